//! The study's first page: where the job stands and what comes next; without a study, how to begin.

use super::by;
use crate::app::App;
use crate::failed::{Failed, Told, told};
use crate::form::{Entry, Posted, fields, one, unseen};
use crate::job::Made;
use crate::keep::Open;
use crate::{sheet, shop};
use axum::extract::{Query, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Form, Json};
use maud::{Markup, html};
use serde_json::{Value, json};
use std::path::PathBuf;
use weld::quantity::Length;
use weld::quantity::parse::parse;
use workflow::refusal::Refusal;
use workflow::study::{ENDING, Kind, Study};
use workflow::wire::study::short_text;

/// How many of each kind there are, and the step that comes next.
struct Stands {
    joints: usize,
    coupons: usize,
    sections: usize,
    read: usize,
    claims: usize,
    /// Reports.
    papers: usize,
    /// Area plans that were signed.
    plans: usize,
    /// Those of them that no longer stand.
    fallen: usize,
}

pub(crate) async fn page(State(app): State<App>, headers: HeaderMap) -> Result<Response, Failed> {
    let Ok(open) = app.study() else {
        return Ok(sheet::bare("Begin", &begin(&app, None, &Posted::new())).into_response());
    };
    let about = sheet::about(&app, &headers).await?;
    let stands = open
        .look(|study| {
            let counts = study.counts()?;
            let count = |kind| counts.get(&kind).copied().unwrap_or(0);
            let areas = study.areas()?;
            Ok(Stands {
                joints: count(Kind::Joint),
                coupons: count(Kind::Coupon),
                sections: count(Kind::Section),
                read: study.count_read()?,
                claims: count(Kind::Claim),
                papers: count(Kind::Paper).saturating_sub(areas.len()),
                plans: areas.len(),
                fallen: areas.iter().filter(|plan| !plan.state().0).count(),
            })
        })
        .await?;
    let next = next(&stands);
    let count = |n: usize, one: &str| format!("{n} {one}{}", if n == 1 { "" } else { "s" });
    let state = |step: &str| match step {
        "start" => count(stands.joints, "joint"),
        "read" => format!(
            "{} of {}, {} read",
            count(stands.sections, "section"),
            count(stands.coupons, "coupon"),
            stands.read
        ),
        "claim" => count(stands.claims, "claim"),
        "write" => format!("{} handed out", count(stands.papers, "paper")),
        "compare" => "settings on one joint, before welding".to_owned(),
        "area" if stands.plans == 0 => "before the beam is switched on".to_owned(),
        "area" if stands.fallen == 0 => format!("{} signed", count(stands.plans, "plan")),
        "area" => format!(
            "{} signed, {} no longer {}: have {} signed again",
            count(stands.plans, "plan"),
            stands.fallen,
            if stands.fallen == 1 { "stands" } else { "stand" },
            if stands.fallen == 1 { "it" } else { "them" }
        ),
        _ => format!("head {}", about.head),
    };
    let body = html! {
        h1 { (about.title) }
        p.verdict { (next.0) " " a.act href=(next.1) { (next.2) } }
        ol.walk {
            @for (word, address, question) in sheet::STEPS {
                li { a href=(address) { b { (word) } } " " span { (question) } " " span.faint { (state(word)) } }
            }
        }
        p.faint { "A throat is shown by sections: cut, etched, photographed and read. Cutting, etching acids, fume and the beam can hurt: see " a href="/area" { "area" } " before you start." }
    };
    Ok(sheet::page(&about, &about.title.clone(), "", &body).into_response())
}

fn next(s: &Stands) -> (&'static str, &'static str, &'static str) {
    if s.joints == 0 {
        ("First say what the joint is and what it must carry.", "/joint/new", "Describe the joint")
    } else if s.sections == 0 {
        ("Next, take the photo of an etched section.", "/section/new", "Take in a photo")
    } else if s.read == 0 {
        ("Next, set points along the fusion line.", "/read", "Mark a section")
    } else if s.claims == 0 {
        (
            "Next, ask how much throat these sections allow to claim.",
            "/claim/new",
            "Ask for a claim",
        )
    } else if s.papers == 0 {
        ("Next, look at the claim, and write the report.", "/claim", "Look at the claim")
    } else {
        (
            "The report is written. More sections, or a second coupon, make the claim stronger.",
            "/section/new",
            "Take in a photo",
        )
    }
}

fn new_entries() -> Vec<Entry> {
    vec![
        Entry::new("title", "What is it about?").like("Gangway step"),
        Entry::new("customer", "For whom? (may stay blank)").like("Hollin Ferry Works"),
        Entry::new("author", "Who are you?")
            .hint("Your name stands beside everything that you write.")
            .like("R. Tan"),
    ]
}

fn begin(app: &App, refused: Option<&Refusal>, posted: &Posted) -> Markup {
    let values: serde_json::Map<String, Value> =
        posted.iter().map(|(n, v)| (n.clone(), Value::from(v.clone()))).collect();
    let studies = studies(app);
    html! {
        h1 { "Seamproof" }
        p.verdict { "From photos of etched weld sections to the throat that may be claimed." }
        p.caution { "What keeps people whole does not wait for a study: " a href="/area" { "work out the area" } " about the beam, its eyewear, curtains and air, and read the cautions for welding and etching." }
        div.two {
            section {
                h2 { "Begin a study" }
                form method="post" action="/new" {
                    (fields(&new_entries(), &Value::Object(values), refused))
                    button.act { "Begin" }
                }
                p.faint { "A study is one file, kept in " code { (app.folder.display()) } "." }
            }
            section {
                h2 { "Look around first" }
                p { "The demo study: a gangway step of an invented works, with drawn photos of its sections, readings and two claims. Everything may be tried on it." }
                form method="post" action="/demo" { button { "Make the demo study" } " " span.faint { "takes about a quarter of a minute" } }
                @if !studies.is_empty() {
                    h2 { "Go on with a study" }
                    ul {
                        @for name in &studies {
                            li { form.inline method="post" action="/open" { input type="hidden" name="study" value=(name); button { (name) } } }
                        }
                    }
                }
            }
        }
    }
}

/// Studies in the folder and in those inside of it.
fn studies(app: &App) -> Vec<String> {
    let mut found = Vec::new();
    let mut look = |folder: &std::path::Path, inside: &str, deeper: &mut Vec<(PathBuf, String)>| {
        for entry in std::fs::read_dir(folder).into_iter().flatten().flatten().take(500) {
            let name = entry.file_name().to_string_lossy().into_owned();
            if name.starts_with('.') {
                continue;
            }
            let shown = if inside.is_empty() { name.clone() } else { format!("{inside}/{name}") };
            match entry.file_type() {
                Ok(kind) if kind.is_dir() => deeper.push((entry.path(), shown)),
                Ok(_) if name.ends_with(&format!(".{ENDING}")) => found.push(shown),
                _ => {}
            }
        }
    };
    let mut deeper = Vec::new();
    look(&app.folder, "", &mut deeper);
    for (folder, inside) in deeper.into_iter().take(100) {
        look(&folder, &inside, &mut Vec::new());
    }
    found.sort();
    found
}

/// Begins a new study.
pub(crate) async fn new(
    State(app): State<App>,
    Form(posted): Form<Posted>,
) -> Result<Response, Failed> {
    match make(&app, &posted) {
        Ok(open) => {
            app.turn_to(open);
            Ok(named(one(&posted, "author"), "/"))
        }
        Err(refusal) => {
            let body = begin(&app, Some(&refusal), &posted);
            let status = StatusCode::UNPROCESSABLE_ENTITY;
            Ok((status, sheet::bare("Begin", &body)).into_response())
        }
    }
}

fn make(app: &App, posted: &Posted) -> Result<Open, Refusal> {
    let title = one(posted, "title");
    let by = by(app, &HeaderMap::new(), posted).map_err(|f| f.refusal())?;
    let mut given = vec![("title", title)];
    given.extend(Some(("customer", one(posted, "customer"))).filter(|(_, v)| !v.is_empty()));
    let text = short_text(Kind::Study, "the new study", &given)?;
    let mut name: String = title
        .to_lowercase()
        .chars()
        .map(|c| if c.is_alphanumeric() { c } else { '-' })
        .take(60)
        .collect();
    while name.contains("--") {
        name = name.replace("--", "-");
    }
    let name = name.trim_matches('-');
    let name = if name.is_empty() { "study" } else { name };
    let free = (1..1000)
        .map(|n| if n == 1 { format!("{name}.{ENDING}") } else { format!("{name}-{n}.{ENDING}") })
        .map(|file| app.folder.join(file))
        .find(|path| !path.exists());
    let path = free.ok_or_else(|| {
        Refusal::new("no name is free for this study", "give it another title").in_field("title")
    })?;
    Open::of(Study::create(&path, &text, &by)?)
}

/// Opens a study of the folder.
pub(crate) async fn open(
    State(app): State<App>,
    Form(posted): Form<Posted>,
) -> Result<Response, Failed> {
    if app.shop.is_some() && app.study().is_ok() {
        return Err(Refusal::new(
            "another study is not opened from here while the shop is open",
            "close the bench and start it with the other study",
        )
        .into());
    }
    let wanted = one(&posted, "study");
    // Only what the page offered: a name with '..' in it leads elsewhere.
    let found = studies(&app).into_iter().find(|name| name == wanted);
    let name =
        found.ok_or_else(|| Failed::not_there(&format!("study '{wanted}' in this folder")))?;
    app.turn_to(Open::file(&app.folder.join(name))?);
    Ok(Redirect::to("/").into_response())
}

/// Makes the demo study and opens it.
pub(crate) async fn demo(State(app): State<App>) -> Result<Redirect, Failed> {
    let bench = App::clone(&app);
    Ok(app.jobs.start("The demo study", "/", move |job| {
        use workflow::progress::{Progress, Step};
        job.step(&Step { verb: "drawing and reading photos: step", done: 0, of: 1, what: "" });
        let folder = bench.folder.join("seamproof-demo");
        workflow::demo::demo(&folder, 1)?;
        bench.turn_to(Open::file(&folder.join(format!("demo.{ENDING}")))?);
        Ok(Made::Page("/".to_owned()))
    }))
}

/// Says who somebody is, and goes on to a page.
fn named(name: &str, to: &str) -> Response {
    let cookie = shop::name_cookie(name);
    ([(header::SET_COOKIE, cookie)], Redirect::to(to)).into_response()
}

/// Asks for a name.
pub(crate) async fn name_page(
    State(app): State<App>,
    headers: HeaderMap,
    Query(asked): Query<Posted>,
) -> maud::Markup {
    let who = shop::who(&app, &headers);
    name_form(&who, one(&asked, "back"), None)
}

fn name_form(who: &str, back: &str, refused: Option<&Refusal>) -> Markup {
    sheet::bare(
        "Your name",
        &html! {
            h1 { "Your name" }
            p { "It stands beside everything that you write into a study, and on no paper unless you put it there." }
            @if let Some(refused) = refused { (told(refused)) }
            form method="post" action="/name" {
                input type="hidden" name="back" value=(back);
                div.field { label for="author" { "Name" } input id="author" name="author" value=(who) autofocus autocomplete="name" placeholder="R. Tan"; }
                button.act { "That is me" }
            }
        },
    )
}

/// Keeps the name in the browser.
pub(crate) async fn name(Form(posted): Form<Posted>) -> Response {
    let name = one(&posted, "author");
    if name.is_empty() || name.chars().count() > 80 || name.chars().any(unseen) {
        let refusal = Refusal::new("this is no name", "write up to 80 letters").in_field("name");
        let form = name_form(name, one(&posted, "back"), Some(&refusal));
        return (StatusCode::UNPROCESSABLE_ENTITY, form).into_response();
    }
    let back = one(&posted, "back");
    // Only within the bench.
    // A path of this bench; a browser takes a second slash of either kind for another machine.
    let own = back.starts_with('/')
        && !back[1..].starts_with(['/', '\\'])
        && !back.contains(|c: char| c.is_control());
    let to = if own { back } else { "/" };
    named(name, to)
}

/// A length, speed or power in every usual unit.
pub(crate) async fn units(Query(asked): Query<Posted>) -> maud::Markup {
    let text = one(&asked, "text");
    let answer = (!text.is_empty()).then(|| workflow::units::units(text));
    sheet::bare(
        "Units",
        &html! {
            h1 { "Units" }
            form method="get" action="/units" {
                div.field { label for="text" { "A quantity" } input id="text" name="text" value=(text) placeholder="5/16 in, 18 ipm, 80 thou, 35 cm/min"; }
                button.act { "Convert" }
            }
            @match &answer {
                None => {},
                Some(Err(refusal)) => (told(refusal)),
                Some(Ok(out)) => {
                    p.verdict { (out.text) " is a " (out.kind) "." }
                    table { @for v in &out.values { tr { td { (v.shown) } } } }
                    @if let Some(note) = &out.note { p { (note) } }
                }
            }
            p { a href="/" { "To the study" } }
        },
    )
}

/// Is a text a length? Asked by the desk before anything is drawn with it.
pub(crate) async fn length(Query(asked): Query<Posted>) -> Result<Json<Value>, Told> {
    let text = one(&asked, "text");
    let length = parse::<Length>(text).map_err(|e| Refusal::new(&e, e.advice()))?;
    if length <= Length::ZERO {
        let fact = format!("'{text}' is no distance between two points");
        return Err(Refusal::new(fact, "write a length above zero, such as 10 mm or 1/2 in").into());
    }
    Ok(Json(json!({ "mm": length.mm() })))
}
