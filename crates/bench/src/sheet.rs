//! The sheet that every page is drawn on: a frame, the steps, and at the foot a title block as on a drawing.

use crate::App;
use crate::failed::Failed;
use axum::extract::Path;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use maud::{DOCTYPE, Markup, html};
use workflow::refusal::Refusal;
use workflow::study::Kind;
use workflow::wire::study::short_fields;

/// Files of ours that pages load: name, kind, content.
const FILES: &[(&str, &str, &str)] = &[
    ("sheet.css", CSS, include_str!("static/sheet.css")),
    ("job.js", JS, include_str!("static/job.js")),
    ("chart.js", JS, include_str!("static/chart.js")),
    ("desk.css", CSS, include_str!("static/desk.css")),
    ("desk.js", JS, include_str!("static/desk.js")),
    ("desk-ask.js", JS, include_str!("static/desk-ask.js")),
    ("desk-draw.js", JS, include_str!("static/desk-draw.js")),
    ("desk-guide.js", JS, include_str!("static/desk-guide.js")),
    ("desk-hand.js", JS, include_str!("static/desk-hand.js")),
    ("desk-marks.js", JS, include_str!("static/desk-marks.js")),
    ("desk-sheet.js", JS, include_str!("static/desk-sheet.js")),
    ("desk-path.js", JS, include_str!("static/desk-path.js")),
    ("desk-view.js", JS, include_str!("static/desk-view.js")),
    ("mark.svg", "image/svg+xml", include_str!("static/mark.svg")),
];
const CSS: &str = "text/css; charset=utf-8";
const JS: &str = "text/javascript; charset=utf-8";

/// The steps that have a page: word, address, and the question it answers.
pub(crate) const STEPS: [(&str, &str, &str); 7] = [
    ("start", "/start", "What throat does this load need, and which setting do I try first?"),
    ("read", "/read", "What does this etched section show, and how surely?"),
    ("claim", "/claim", "How much throat may be claimed from these sections?"),
    ("compare", "/compare", "Does one process do what another does, at what heat, time and cost?"),
    ("write", "/write", "What was handed out, and on what does it rest?"),
    ("area", "/area", "Who may stand where, behind what, wearing what?"),
    ("study", "/study", "Who wrote what, when, and is it as it was saved?"),
];

/// What every page of a study says about it.
#[derive(Clone, Debug, Default)]
pub(crate) struct About {
    pub(crate) title: String,
    pub(crate) customer: String,
    pub(crate) invented: bool,
    pub(crate) head: String,
    pub(crate) file: String,
    pub(crate) who: String,
    pub(crate) shop: bool,
}

/// Looks up what every page of a study says about it.
pub(crate) async fn about(app: &App, headers: &HeaderMap) -> Result<About, Failed> {
    let open = app.study()?;
    let file =
        open.path().file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    let who = crate::shop::who(app, headers);
    let shop = app.shop.is_some();
    open.look(move |study| {
        let itself = study.itself()?;
        let fields = short_fields(Kind::Study, &file, &itself.content.text)?;
        let of = |name: &str| {
            fields.iter().find(|(n, _)| *n == name).map_or_else(String::new, |(_, v)| v.clone())
        };
        Ok(About {
            title: of("title"),
            customer: of("customer"),
            invented: of("invented") == "true",
            head: study.head_for_paper()?.to_string(),
            file,
            who,
            shop,
        })
    })
    .await
}

/// A page of a study.
pub(crate) fn page(about: &About, title: &str, here: &str, body: &Markup) -> Markup {
    frame(
        title,
        "",
        &html! {
            (steps(here))
            main #main { (body) }
            footer.block {
                div.cell.wide { small { "study" } (about.title) @if !about.customer.is_empty() { span.faint { " for " (about.customer) } } }
                div.cell { small { "file" } (about.file) }
                div.cell { small { "head" } span.hex title="what papers rest on: check it with 'study'" { (about.head) } }
                div.cell { small { "you" }
                    @if about.who.is_empty() { a href="/name" { "say your name" } } @else { a href="/name" { (about.who) } }
                    @if about.shop { " · " a href="/shop" { "shop" } }
                }
                @if about.invented { div.cell.invented { "invented data" } }
                div.cell.caution { "Static strength only. The engineer accepts the throat for design; local codes and licensed practice govern." }
            }
        },
    )
}

/// A page on which a hand draws: the whole window, no footer.
pub(crate) fn wide(about: &About, title: &str, here: &str, head: &Markup, body: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            (head_of(title, head))
            body.desk { (steps(here)) (body) @if about.invented { p.invented { "invented data" } } }
        }
    }
}

/// A table of rows of cells: the first row heads the columns, the first cell of each names its row.
pub(crate) fn table(rows: &[Vec<String>], more: &Markup) -> Markup {
    html! {
        table {
            @for (i, row) in rows.iter().enumerate() {
                tr { @for (j, cell) in row.iter().enumerate() {
                    @if i == 0 { th scope="col" { (cell) } }
                    @else if j == 0 { th scope="row" { (cell) } }
                    @else { td.num { (cell) } }
                } }
            }
            (more)
        }
    }
}

/// A page without a study.
pub(crate) fn bare(title: &str, body: &Markup) -> Markup {
    frame(title, "bare", &html! { main #main { (body) } })
}

fn steps(here: &str) -> Markup {
    html! {
        nav.steps aria-label="steps" {
            a.home href="/" title="the study" { img src="/static/mark.svg" alt="Seamproof" width="28" height="28"; }
            @for (word, address, question) in STEPS {
                a href=(address) title=(question) aria-current=[(word == here).then_some("page")] { (word) }
            }
        }
    }
}

fn head_of(title: &str, more: &Markup) -> Markup {
    html! {
        head {
            meta charset="utf-8";
            meta name="viewport" content="width=device-width, initial-scale=1";
            meta name="color-scheme" content="light dark";
            title { (title) " · Seamproof" }
            link rel="icon" href="/static/mark.svg" type="image/svg+xml";
            link rel="stylesheet" href="/static/sheet.css";
            (more)
        }
    }
}

fn frame(title: &str, class: &str, inside: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            (head_of(title, &html! {}))
            body class=(class) { a.skip href="#main" { "To the page" } div.sheet { (inside) } }
        }
    }
}

/// A file of ours.
pub(crate) async fn file(Path(name): Path<String>, headers: HeaderMap) -> Response {
    let Some((_, kind, text)) = FILES.iter().find(|(n, ..)| *n == name) else {
        return nothing_here().await.into_response();
    };
    let tag = format!("\"{}\"", &blake3::hash(text.as_bytes()).to_hex()[..16]);
    if headers.get(header::IF_NONE_MATCH).is_some_and(|v| v.as_bytes() == tag.as_bytes()) {
        return StatusCode::NOT_MODIFIED.into_response();
    }
    let headers = [
        (header::CONTENT_TYPE, (*kind).to_owned()),
        (header::ETAG, tag),
        (header::CACHE_CONTROL, "no-cache".to_owned()),
    ];
    (headers, *text).into_response()
}

/// No page of that address.
pub(crate) async fn nothing_here() -> Failed {
    Failed::NotThere(Refusal::new("there is no such page", "go back to the study's first page"))
}
