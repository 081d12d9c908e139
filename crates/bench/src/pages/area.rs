//! `area`: who may stand where, behind what, wearing what?
//!
//! The page, the JSON and the printed plan say the same words and figures: all three come from `workflow::area`. A plan
//! that was signed is kept in the study, and each page of it says whether the setting has changed since.

use super::by;
use crate::app::App;
use crate::failed::Failed;
use crate::form::{Entry, Input, Posted, Rows, fields, merged, one, without_blanks};
use crate::job::download;
use crate::sheet::{self, About};
use axum::Form;
use axum::extract::{Query, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, PreEscaped, html};
use serde::Deserialize;
use serde_json::{Value, json};
use workflow::area::plan::{drawing, plan};
use workflow::area::says::{NOTHING_AGAINST, always};
use workflow::area::{Area, from_text};
use workflow::refusal::Refusal;
use workflow::study::{Kind, SignedArea, Signing};
use workflow::wire::area::Says;
use workflow::wire::marks_json::{to_json, to_text};

/// Fields that stand together: a title, what to know, and the fields.
type Group = (&'static str, &'static str, Vec<Entry>);

/// Words that a field offers, each as it is printed.
fn words(all: &[&str]) -> Vec<(String, String)> {
    all.iter().map(|word| ((*word).to_owned(), (*word).to_owned())).collect()
}

/// Groups that are folded until something stands in them: not every area has them.
const FOLDED: [&str; 4] =
    ["The pilot beam", "The open fibre", "How the work mirrors", "An arc beside the beam"];

fn groups(settings: &[String]) -> Vec<Group> {
    let setting = Entry::new("setting", "Setting whose beam this is").hint(
        "What is left blank of the beam is taken from it, and the page says when it has changed since the plan was signed.",
    );
    let setting = if settings.is_empty() {
        setting.like("the study has no setting yet")
    } else {
        let words: Vec<(&str, &str)> = settings.iter().map(|s| (s.as_str(), s.as_str())).collect();
        setting.choice(&words)
    };
    vec![
        (
            "The beam",
            "In any notation: 2 kW, 2000 W, 10 mm, 0.4 in.",
            vec![
                setting,
                Entry::new("power", "Greatest power that the laser can give")
                    .hint("blank: that of the setting")
                    .like("2 kW"),
                Entry::new("wavelength", "Wavelength")
                    .hint("blank: that of the setting")
                    .like("1070 nm"),
                Entry::new("focal_length", "Focal length of the last lens").like("150 mm"),
                Entry::new("beam_at_lens", "Width of the beam on that lens").like("10 mm"),
                Entry::new("divergence", "Divergence of the bare beam, full angle")
                    .hint("without a lens, or beside it")
                    .like("2 mrad"),
                Entry::new("widths_at", "Where the maker measures widths")
                    .hint("Most data sheets: 1/e², and the beam reaches 1.41 times as far. Not said: 1/e, and that speaks against the area; of a setting: 1/e².")
                    .choice(&[("1/e2", "at 1/e²"), ("1/e", "at 1/e")]),
                Entry::new("exposure", "Exposure").hint("not said: 100 s").like("100 s"),
                Entry::new("reflectance", "Reflectance of the work, diffuse")
                    .hint("not said: all")
                    .like("100 %"),
                Entry::new("torch_height", "Torch above the floor")
                    .hint("not said: 1 m")
                    .like("1 m"),
            ],
        ),
        (
            "Eyewear",
            "",
            vec![
                Entry::new("eyewear.marking", "Marking as printed on the pair")
                    .like("900-1080 D LB7"),
                Entry::new("eyewear.spot", "Width of the beam where it may be struck").like("5 mm"),
                Entry::new("eyewear.at", "How far from the work its wearer is")
                    .hint("not said: 0.3 m, whoever holds the torch")
                    .like("0.3 m"),
                Entry::new("eyewear.luminous_transmittance", "Luminous transmittance").like("25 %"),
                Entry::new("eyewear.confirmed", "What its maker has stated of this beam")
                    .hint("for a beam wider than 1 mm, where the stricter number is not carried")
                    .like("letter of 2026-10-02: stands 2 kW on 5 mm"),
            ],
        ),
        (
            "The pilot beam",
            "The visible beam that shows the way.",
            vec![
                Entry::new("pilot.power", "Its power").like("0.8 mW"),
                Entry::new("pilot.wavelength", "Its wavelength").like("650 nm"),
                Entry::new("pilot.exposure", "How long somebody looks into it")
                    .hint("not said: 0.25 s, until one turns away")
                    .like("0.25 s"),
            ],
        ),
        (
            "The open fibre",
            "Its end, the cap off or broken. One of the two.",
            vec![
                Entry::new("fibre.na", "Numerical aperture, many modes").like("0.12").of(Input::Number),
                Entry::new("fibre.mode_field", "Width of the mode field, one mode").like("20 um"),
            ],
        ),
        (
            "How the work mirrors",
            "Not said: all of the power, flat.",
            vec![
                Entry::new("work.mirrored", "Share that a bright plate or pool throws on").like("60 %"),
                Entry::new("work.shape", "Shape").choice(&[
                    ("flat", "flat"),
                    ("tube", "tube, pipe"),
                    ("ball", "ball"),
                    ("hollow", "hollow: it may gather the beam"),
                ]),
                Entry::new("work.diameter", "Outside diameter of tube or ball").like("60.3 mm"),
                Entry::new("work.radius", "Or its radius").like("25 mm"),
                Entry::new("work.beam_on_work", "Width of the beam on it")
                    .hint("the widest that it is when the torch is held off its focus; blank: the focus lies on it")
                    .like("2 mm"),
                Entry::new("work.m2", "Beam quality M²")
                    .hint("how little a bulge can leave of the spread; blank: an ideal beam's")
                    .like("6")
                    .of(Input::Number),
            ],
        ),
        (
            "An arc beside the beam",
            "For the welding shade.",
            vec![
                Entry::new("arc.process", "Process").of(Input::Choice(words(&["GMAW", "GTAW", "SMAW"]))),
                Entry::new("arc.current", "Current").like("180 A"),
            ],
        ),
        (
            "The room",
            "Places are counted from the room's lower left corner: across, then along.",
            vec![
                Entry::new("room.width", "Width, across").like("6 m"),
                Entry::new("room.depth", "Depth, along").like("4 m"),
                Entry::new("room.height", "Height").like("3 m"),
                Entry::new("room.torch.0", "Torch, across").like("2.5 m"),
                Entry::new("room.torch.1", "Torch, along").like("2 m"),
            ],
        ),
        (
            "Gas and fume",
            "",
            vec![
                Entry::new("gas.kind", "Shielding gas").choice(&[
                    ("argon", "argon"),
                    ("nitrogen", "nitrogen"),
                    ("helium", "helium"),
                    ("none", "none"),
                ]),
                Entry::new("gas.flow", "Flow of shielding gas").like("20 l/min"),
                Entry::new("gas.leak", "What leaks always").like("0.1 l/min"),
                Entry::new("gas.cylinder", "Cylinder in the room")
                    .hint("its water volume, with its pressure below; without one, the gas that it lets out (10 m3); none, where none stands in the room")
                    .like("50 l"),
                Entry::new("gas.cylinder_pressure", "Pressure of the full cylinder").like("200 bar"),
                Entry::new("gas.liquid", "Liquid gas in a vessel in the room").like("230 l"),
                Entry::new("gas.room", "Volume of the room")
                    .hint("blank: of the room above, with its height")
                    .like("50 m3, or 5 m x 4 m x 2.5 m"),
                Entry::new("gas.air_changes", "Air changes in an hour")
                    .like("0.4")
                    .of(Input::Number),
                Entry::new("fume.parent", "Parent metal")
                    .hint("for what is in the fume")
                    .of(Input::Choice(words(&workflow::wire::area::parents()))),
                Entry::new("fume.wire", "Wire")
                    .hint("not said: none")
                    .of(Input::Choice(words(&workflow::wire::area::wires()))),
                Entry::new("fume.hood.0", "Hood's opening, one side").like("0.3 m"),
                Entry::new("fume.hood.1", "Its other side").like("0.3 m"),
                Entry::new("fume.hood_distance", "From its opening to the weld").like("0.3 m"),
                Entry::new("fume.flanged", "Has it a flange?").of(Input::Flag),
                Entry::new("fume.velocity", "Air wanted at the weld")
                    .hint("not said: 0.5 to 1 m/s")
                    .like("0.5 m/s"),
            ],
        ),
        (
            "The plan",
            "",
            vec![
                Entry::new("paper.site", "Site").like("Hollin Ferry Works, bay 3"),
                Entry::new("paper.author", "Made by").like("R. Tan"),
                Entry::new("paper.officer", "Laser safety officer").like("M. Okafor"),
                Entry::new("paper.date", "Date").like("2026-11-25"),
            ],
        ),
    ]
}

/// What may stand several times in a room.
fn rows() -> [Rows; 4] {
    let ends = || {
        [
            Entry::new("from.0", "From, across").like("6 m"),
            Entry::new("from.1", "From, along").like("1 m"),
            Entry::new("to.0", "To, across").like("6 m"),
            Entry::new("to.1", "To, along").like("2 m"),
        ]
    };
    let row = |table, word, more: Vec<Entry>| {
        let name = Entry::new("name", "Name");
        let entries = [name].into_iter().chain(ends()).chain(more).collect();
        Rows { table, word, entries }
    };
    let torch = Rows {
        table: "torch",
        word: "Another place of the torch",
        entries: vec![
            Entry::new("at.0", "Across").like("3 m"),
            Entry::new("at.1", "Along").like("2 m"),
        ],
    };
    [
        torch,
        row(
            "door",
            "Door",
            vec![Entry::new("interlocked", "Does opening it switch the beam off?").of(Input::Flag)],
        ),
        row("window", "Window", Vec::new()),
        row(
            "curtain",
            "Curtain",
            vec![
                Entry::new("distance", "Or its distance from the torch").like("2 m"),
                Entry::new("height", "Upper edge above the floor").like("2.2 m"),
                Entry::new("bottom_gap", "Lower edge above the floor").like("0 mm"),
                Entry::new("rating.0.stands", "Rating: stands").like("120 W/cm2"),
                Entry::new("rating.0.time", "for").like("100 s"),
                Entry::new("rating.1.stands", "Second rating: stands").like("30 W/cm2"),
                Entry::new("rating.1.time", "for").like("600 s"),
            ],
        ),
    ]
}

/// All single fields.
fn entries() -> Vec<Entry> {
    groups(&[]).into_iter().flat_map(|(_, _, entries)| entries).collect()
}

/// What is filled in, with the text of what no field has.
#[derive(Default)]
struct Filled {
    /// The single fields.
    values: Value,
    /// Places of the torch, doors, windows, curtains, in the order of [`rows`].
    rows: [Vec<Value>; 4],
    /// The text.
    rest: String,
    /// Who signs.
    signing: Value,
}

impl Filled {
    /// As it was sent, blank places and all.
    fn sent(posted: &Posted) -> Self {
        Self {
            values: merged(json!({}), &entries(), posted),
            rows: rows().map(|rows| rows.sent(posted)),
            rest: one(posted, "rest").replace("\r\n", "\n"),
            signing: merged(json!({}), &signing_entries(), posted),
        }
    }

    /// Of a setup: what has a field goes there.
    fn of(setup: &Value) -> Self {
        let mut rest = merged(setup.clone(), &entries(), &Posted::new());
        let rows = rows().map(|rows| match setup.get(rows.table) {
            Some(Value::Array(list)) => list.clone(),
            _ => Vec::new(),
        });
        if let Value::Object(fields) = &mut rest {
            // What was signed belongs to the plan that is kept, and not to one that is to come.
            for table in ["torch", "door", "window", "curtain", "signed"] {
                drop(fields.remove(table));
            }
        }
        // A volume given by its sides is no line of text: it stays where it was written.
        let mut values = setup.clone();
        if let Some(sides) = values.pointer_mut("/gas/room").filter(|room| room.is_array()) {
            rest["gas"]["room"] = sides.take();
        }
        let rest = match without_blanks(rest) {
            Value::Null => String::new(),
            rest => to_text(&rest).unwrap_or_default(),
        };
        Self { values, rows, rest, signing: Value::Null }
    }

    /// The setup: the fields, with the text beside them.
    fn setup(&self) -> Result<Value, Refusal> {
        let text =
            to_json("the text below the fields", &self.rest).map_err(|r| r.in_field("rest"))?;
        let mut filled = self.values.clone();
        for (rows, sent) in rows().iter().zip(&self.rows) {
            filled[rows.table] = sent.iter().cloned().map(without_blanks).collect();
        }
        beside("", without_blanks(filled), text)
    }
}

/// Fields and text as one. The rows of the text come after those of the fields; what both say must be the same.
fn beside(name: &str, fields: Value, text: Value) -> Result<Value, Refusal> {
    match (fields, text) {
        (Value::Null, text) => Ok(text),
        (fields, Value::Null) => Ok(fields),
        (Value::Object(mut all), Value::Object(text)) => {
            for (key, value) in text {
                let name = if name.is_empty() { key.clone() } else { format!("{name}.{key}") };
                let both = beside(&name, all.remove(&key).unwrap_or_default(), value)?;
                drop(all.insert(key, both));
            }
            Ok(all.into())
        }
        (Value::Array(mut rows), Value::Array(text)) if rows.iter().all(Value::is_object) => {
            rows.extend(text);
            Ok(rows.into())
        }
        (fields, text) if fields == text => Ok(fields),
        (fields, text) => Err(Refusal::new(
            format!("the field says {fields}, and the text below says {text}"),
            "keep one of the two",
        )
        .in_field(name)),
    }
}

/// Which row of its table a refusal is about: the last that begins above the refusal's line.
fn row_of(refused: &Refusal, setup: Option<&Value>) -> Option<(&'static str, usize)> {
    let field = refused.field.as_deref()?;
    let table = ["torch", "door", "window", "curtain"]
        .into_iter()
        .find(|t| field == *t || field.strip_prefix(t).is_some_and(|rest| rest.starts_with('.')))?;
    let text = to_text(setup?).ok()?;
    let head = format!("[[{table}]]");
    let before = text.lines().take(refused.line?).filter(|line| *line == head).count();
    Some((table, before.checked_sub(1)?))
}

/// Which kept plan to begin with.
#[derive(Debug, Deserialize)]
pub(crate) struct Which {
    plan: Option<i64>,
    blank: Option<String>,
}

/// What the study has for this page: it may be none, what is safe does not wait for a study.
#[derive(Default)]
struct Known {
    about: About,
    settings: Vec<String>,
    signed: Vec<SignedArea>,
}

async fn known(app: &App, headers: &HeaderMap) -> Result<Known, Failed> {
    let Ok(open) = app.study() else { return Ok(Known::default()) };
    let about = sheet::about(app, headers).await?;
    let found = open.look(|study| {
        let settings = study.list(Kind::Setting)?.into_iter().map(|l| l.name).collect();
        Ok((settings, study.areas()?))
    });
    let (settings, signed) = found.await?;
    Ok(Known { about, settings, signed })
}

/// The page before anything was asked: the plan that was signed last, or a blank one.
pub(crate) async fn page(
    State(app): State<App>,
    headers: HeaderMap,
    Query(which): Query<Which>,
) -> Result<Markup, Failed> {
    let known = known(&app, &headers).await?;
    let begun = match (which.plan, &which.blank) {
        (Some(id), _) => known.signed.iter().find(|s| s.kept_as.record.0 == id),
        (None, None) => known.signed.first(),
        (None, Some(_)) => None,
    };
    let Some(begun) = begun else {
        return Ok(shown(&known, &Filled::default(), None, None, None));
    };
    let plan = match &begun.plan {
        Ok(plan) => plan,
        Err(refusal) => return Ok(shown(&known, &Filled::default(), None, Some(refusal), None)),
    };
    let filled = Filled::of(&to_json("the signed plan", &plan.kept.setup)?);
    let (area, refused) = match &plan.now {
        Ok(area) => (Some(area), None),
        Err(refusal) => (None, Some(refusal)),
    };
    Ok(shown(&known, &filled, area, refused, None))
}

/// Works out a setup: with the settings of the study, where one is open.
async fn worked(app: &App, text: String) -> Result<Area, Failed> {
    match app.study() {
        Ok(open) => open.look(move |study| study.area(&text)).await,
        Err(_) => {
            let find = |_: &str| {
                Err(Refusal::new("no study is open", "open the study that has the setting"))
            };
            Ok(from_text("the setup".to_owned(), &text, &find)?)
        }
    }
}

/// Works out the area.
pub(crate) async fn work(
    State(app): State<App>,
    headers: HeaderMap,
    Form(posted): Form<Posted>,
) -> Result<Response, Failed> {
    let filled = Filled::sent(&posted);
    let setup = match filled.setup() {
        Ok(setup) => setup,
        Err(refusal) => return refused(&app, &headers, &filled, &refusal, None, None).await,
    };
    match worked(&app, to_text(&setup)?).await {
        Ok(area) => {
            let known = known(&app, &headers).await?;
            Ok(shown(&known, &Filled::of(&setup), Some(&area), None, None).into_response())
        }
        Err(Failed::Refused(refusal)) => {
            refused(&app, &headers, &filled, &refusal, Some(&setup), None).await
        }
        Err(other) => Err(other),
    }
}

/// The form again as it was sent, with the refusal at its field.
async fn refused(
    app: &App,
    headers: &HeaderMap,
    filled: &Filled,
    refusal: &Refusal,
    setup: Option<&Value>,
    area: Option<&Area>,
) -> Result<Response, Failed> {
    let known = known(app, headers).await?;
    let page = shown(&known, filled, area, Some(refusal), setup);
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

/// The plan of what was sent, to be signed by hand.
pub(crate) async fn plan_of(
    State(app): State<App>,
    headers: HeaderMap,
    Form(posted): Form<Posted>,
) -> Result<Response, Failed> {
    let filled = Filled::sent(&posted);
    let made = async {
        let area = worked(&app, to_text(&filled.setup()?)?).await?;
        let made = tokio::task::spawn_blocking(move || plan(&area, None));
        Ok::<_, Failed>(made.await.map_err(|_| crate::keep::fault())??)
    };
    match made.await {
        Ok(paper) => Ok(download("area-plan.pdf", "application/pdf", paper.pdf)),
        Err(failed) => not_made(&app, &headers, &filled, failed).await,
    }
}

/// The page with the area as far as it can be worked out, and why there is no plan of it.
async fn not_made(
    app: &App,
    headers: &HeaderMap,
    filled: &Filled,
    failed: Failed,
) -> Result<Response, Failed> {
    let Failed::Refused(refusal) = failed else { return Err(failed) };
    let setup = filled.setup().ok();
    let area = match setup.as_ref().map(to_text) {
        Some(Ok(text)) => worked(app, text).await.ok(),
        _ => None,
    };
    refused(app, headers, filled, &refusal, setup.as_ref(), area.as_ref()).await
}

/// Keeps the plan of what was sent, with who signed it and when.
pub(crate) async fn sign(
    State(app): State<App>,
    headers: HeaderMap,
    Form(posted): Form<Posted>,
) -> Result<Response, Failed> {
    let open = app.study()?;
    let by = by(&app, &headers, &posted)?;
    let at = by.at;
    let filled = Filled::sent(&posted);
    let signing = Signing {
        by: one(&posted, "signed.by").to_owned(),
        on: one(&posted, "signed.date").to_owned(),
        despite: one(&posted, "signed.despite").to_owned(),
    };
    let kept = async {
        let text = to_text(&filled.setup()?)?;
        let kept = open
            .heavy(move |open| open.look_now(|study| study.sign_area(&text, &signing, at)))
            .await?;
        open.write(move |study| study.keep_area(&kept, &by)).await
    };
    match kept.await {
        Ok(revision) => {
            Ok(Redirect::to(&format!("/area?plan={}", revision.record.0)).into_response())
        }
        Err(failed) => not_made(&app, &headers, &filled, failed).await,
    }
}

/// Fields of who signs.
fn signing_entries() -> Vec<Entry> {
    vec![
        Entry::new("signed.by", "Signed by")
            .hint("the laser safety officer, or who is in charge of the area")
            .like("M. Okafor"),
        Entry::new("signed.date", "On").like("2026-11-25"),
        Entry::new("signed.despite", "Why it is released although something speaks against it")
            .hint("blank where nothing does"),
    ]
}

fn shown(
    known: &Known,
    filled: &Filled,
    area: Option<&Area>,
    refused: Option<&Refusal>,
    setup: Option<&Value>,
) -> Markup {
    let groups = groups(&known.settings);
    let in_row = refused.and_then(|r| row_of(r, setup));
    let of_signing =
        refused.is_some_and(|r| r.field.as_deref().is_some_and(|f| f.starts_with("signed.")));
    // A refusal stands at its field: in the group that has it, in its row, else above all of them.
    let group_of = |refusal: &Refusal| {
        groups.iter().position(|(_, _, entries)| crate::form::has(refusal, entries))
    };
    let at = refused.filter(|_| in_row.is_none() && !of_signing).map(group_of);
    let study = !known.about.file.is_empty();
    sheet::page(
        &known.about,
        "Area",
        "area",
        &html! {
            h1 { "Area" }
            p.caution { "A handheld laser welder throws an invisible class 4 beam. What stands here helps to set up a controlled area; it releases nothing: the laser safety officer and the local code decide." }
            @if let Some(refusal) = refused {
                p.bad-news { "Not done: " (refusal.fact) ". " a href={ "#" (crate::failed::REFUSED) } { "To where it is" } }
            }
            (signed_plans(&known.signed))
            @if let Some(area) = area { p { a href="#setup" { "To the setup" } ", to change it or to have it signed." } (answer(area)) }
            form #setup method="post" action="/area" {
                @if area.is_some() { h2 { "Setup" } }
                @if let (Some(refusal), Some(None)) = (refused, at) { (crate::failed::told(refusal)) }
                @for (i, (title, words, entries)) in groups.iter().enumerate() {
                    @let refused_here = refused.filter(|_| at == Some(Some(i)));
                    @let inside = html! {
                        @if !words.is_empty() { p.hint { (words) } }
                        div.grid { (fields(entries, &filled.values, refused_here)) }
                    };
                    @if FOLDED.contains(title) {
                        details open[refused_here.is_some() || crate::form::any_filled(entries, &filled.values)] { summary { h3 { (title) } } (inside) }
                    } @else {
                        h3 { (title) }
                        (inside)
                    }
                    @if *title == "The room" {
                        @for (rows, sent) in rows().iter().zip(&filled.rows) {
                            (rows.shown(sent, in_row.filter(|(t, _)| *t == rows.table).and_then(|(_, i)| Some((i, refused?)))))
                        }
                    }
                }
                details open[!filled.rest.trim().is_empty() || refused.is_some_and(|r| r.field.as_deref() == Some("rest"))] {
                    summary { "As text: what has no field" }
                    div.field {
                        label for="rest" { "Pulses, beam diameter, viewing angle, lit spot, in the words of a setup file" }
                        textarea.text id="rest" name="rest" rows="10" spellcheck="false" placeholder=(EXAMPLE) { (filled.rest) }
                        p.hint { "Anything of a setup file may stand here, doors and curtains too; " code { "seamproof area --help" } " shows one." }
                    }
                }
                button.act { "Work it out" }
                @if area.is_some() {
                    " " button formaction="/area/plan" { "The plan to be signed (PDF)" }
                    @if study {
                        h2 { "When it is signed" }
                        p { "Kept in the study: who signed, when, and the figures of the setting that it rests on. When the setting changes, this page says that the plan no longer stands." }
                        div.grid { (fields(&signing_entries(), &filled.signing, refused.filter(|_| of_signing))) }
                        button formaction="/area/sign" { "Keep the signed plan" }
                    }
                }
            }
            // Whichever way the page is reached, what hurts is said on it.
            @if area.is_none() { (standing(&always())) }
        },
    )
}

/// The plans that were signed, each with what has become of it.
fn signed_plans(signed: &[SignedArea]) -> Markup {
    html! {
        @if !signed.is_empty() {
            h2 { "Signed plans" }
            @for plan in signed {
                @let (stands, state) = plan.state();
                section.card {
                    p { (plan.plan.as_ref().map_or(&plan.kept_as.content.name, |p| &p.kept.sentence)) }
                    p.bad-news[!stands] { (state) }
                    p.faint { @if let Ok(p) = &plan.plan { "fingerprint " span.hex { (p.kept.fingerprint) } " · " } "kept by " (plan.kept_as.stamp.author) ", " (plan.kept_as.stamp.time) " · "
                        a href={ "/area?plan=" (plan.kept_as.record.0) } { "go on from it" } " · "
                        a href={ "/record/" (plan.kept_as.record.0) "/history" } { "history" } }
                }
            }
            p { a href="/area?blank=1" { "Begin a blank one" } }
        }
    }
}

const EXAMPLE: &str = "beam_diameter = \"5 mm\"\n\n[pulse]\nduration = \"2 ms\"\nfrequency = \"50 Hz\"\npeak_power = \"3 kW\"";

fn answer(area: &Area) -> Markup {
    let out = &area.out;
    html! {
        @if let Some(signed) = &out.says.signed { p.faint { (signed) } }
        h2 { "What speaks against releasing the area as it is set up" }
        @if out.against.is_empty() { p.verdict { (NOTHING_AGAINST) } }
        @else { ul.against { @for fact in &out.against { li { (fact) } } } }
        @if let Some(drawing) = drawing(area) {
            div.plan {
                input.large #large type="checkbox"; label.tick for="large" { "Draw the plan large" }
                figure { (PreEscaped(drawing.as_str()))
                    figcaption { "Circles: how far diffuse light from the work is dangerous. What is drawn holds for the places of the torch that are drawn; a handheld torch is carried about." }
                }
            }
        }
        @for [question, answer] in &out.says.answers { h3 { (question) } p { (answer) } }
        details { summary { h2 { "The working: " (out.says.parts.len()) " tables, each figure with its source" } }
        @for part in &out.says.parts {
            h3 { (part.title) }
            table { @for r in &part.rows { tr { th scope="row" { (r.what) } td.num { (r.value) } td.faint { (r.from) } } } }
            @for sentence in &part.sentences { p { (sentence) } }
        }
        }
        @if !out.taken.is_empty() { h2 { "Taken, since the setup does not say" } ul { @for taken in &out.taken { li { (taken) } } } }
        (standing(&out.says))
        p.faint { "Fingerprint of this setup: " span.hex { (out.fingerprint) } }
    }
}

/// What is said whatever the setup is: cautions, check list, etching.
fn standing(says: &Says) -> Markup {
    html! {
        h2 { "Cautions" }
        ul { @for caution in &says.cautions { li { (caution) } } }
        h2 { "Check list" }
        table.checks { @for [topic, what, from] in &says.checks { tr { td { "☐" } th scope="row" { (topic) } td { (what) } td.faint { (from) } } } }
        details { summary { h2 { "Etching and cutting" } }
        ul { @for always in &says.etching_always { li { (always) } } }
        @for e in &says.etchants {
            h3 { (e.name) " (" (e.alloys) ")" }
            p { (e.strength) "." @if e.trained_only { " " b { "Trained persons only." } } " " (e.never) }
            p { b { "First aid: " } (e.first_aid) " " span.faint { (e.from) } }
        }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{Rng, SeedableRng};

    fn posted(fields: &[(&str, &str)]) -> Posted {
        fields.iter().map(|(n, v)| ((*n).to_owned(), (*v).to_owned())).collect()
    }

    /// Fields and text make one setup; what both say must be the same; doors of both stand in it.
    #[test]
    fn fields_and_text_make_one_setup() {
        let text = "torch_height = \"1.2 m\"\n[pulse]\nduration = \"2 ms\"\nfrequency = \"50 Hz\"\n[[door]]\nfrom = [\"0 m\", \"1 m\"]\nto = [\"0 m\", \"2 m\"]\ninterlocked = true\n";
        let sent = posted(&[
            ("power", "2 kW"),
            ("torch_height", "1.2 m"),
            ("door.0.name", "yard"),
            ("door.0.from.0", "6 m"),
            ("door.0.from.1", "1 m"),
            ("door.0.interlocked", "no"),
            ("door.1.name", ""),
            ("rest", text),
        ]);
        let setup = Filled::sent(&sent).setup().unwrap();
        assert_eq!(
            setup,
            json!({
                "power": "2 kW", "torch_height": "1.2 m",
                "pulse": { "duration": "2 ms", "frequency": "50 Hz" },
                "door": [
                    { "name": "yard", "from": ["6 m", "1 m"], "interlocked": false },
                    { "from": ["0 m", "1 m"], "to": ["0 m", "2 m"], "interlocked": true },
                ],
            })
        );
        // On the next page all that has a field stands in it, and the text keeps the rest.
        let next = Filled::of(&setup);
        assert_eq!(next.rows.each_ref().map(Vec::len), [0, 2, 0, 0]);
        assert_eq!(next.rest, "[pulse]\nduration = \"2 ms\"\nfrequency = \"50 Hz\"\n");
        assert_eq!(next.setup().unwrap(), setup);
        // A volume by its sides has no line of its own, and stays in the text.
        let sides = json!({ "power": "2 kW", "gas": { "kind": "argon", "flow": "20 l/min", "room": ["5 m", "4 m", "2.5 m"] } });
        let next = Filled::of(&sides);
        assert!(next.rest.starts_with("[gas]\nroom = ["), "{}", next.rest);
        assert_eq!(next.setup().unwrap(), sides);
        let clash = posted(&[("power", "2 kW"), ("rest", "power = \"3 kW\"")]);
        let refused = Filled::sent(&clash).setup().unwrap_err();
        assert_eq!(refused.field.as_deref(), Some("power"));
        assert!(refused.fact.contains("2 kW") && refused.fact.contains("3 kW"), "{refused}");
    }

    #[test]
    fn ten_thousand_random_forms_make_a_setup_or_are_refused() {
        let names: Vec<String> = entries()
            .iter()
            .map(|e| e.name.to_owned())
            .chain(rows().iter().flat_map(|r| {
                r.entries.iter().map(|e| format!("{}.0.{}", r.table, e.name)).collect::<Vec<_>>()
            }))
            .chain(
                ["rest", "door.3", "door.x.from.0", "curtain.9.rating.88888888888.stands"]
                    .map(str::to_owned),
            )
            .collect();
        let values = [
            "",
            "2 kW",
            "6 m",
            "yes",
            "0.4",
            "\u{0}",
            "[room]\nwidth = 3",
            "power = \"1 W\"",
            "x",
            "[[door]]\n",
        ];
        let mut rng = rand_chacha::ChaCha8Rng::seed_from_u64(3);
        for _ in 0..10_000 {
            let sent: Posted = (0..rng.random_range(0..12))
                .map(|_| {
                    let mut name = names[rng.random_range(0..names.len())].clone();
                    if rng.random_range(0..4) == 0 {
                        name = name
                            .replace('0', ["1", "7", "99", "00", "-1", ""][rng.random_range(0..6)]);
                    }
                    (name, values[rng.random_range(0..values.len())].to_owned())
                })
                .collect();
            let filled = Filled::sent(&sent);
            match filled.setup() {
                Ok(setup) => {
                    let text = to_text(&setup).unwrap_or_default();
                    let find = |_: &str| Err(Refusal::new("there is none", "name another"));
                    if let Err(refusal) = from_text("f".to_owned(), &text, &find) {
                        assert!(!refusal.fact.is_empty() && !refusal.advice.is_empty(), "{text}");
                        let _ = row_of(&refusal, Some(&setup));
                    }
                }
                Err(refusal) => assert!(!refusal.fact.is_empty() && !refusal.advice.is_empty()),
            }
            drop(shown(&Known::default(), &filled, None, None, None));
        }
    }
}
