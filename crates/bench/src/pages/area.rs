//! `area`: who may stand where, behind what, wearing what?
//!
//! The page, the JSON and the printed plan say the same words and figures: all three come from `workflow::area`.

use crate::app::App;
use crate::failed::Failed;
use crate::form::{Entry, Input, Posted, fields, merged, one};
use crate::job::download;
use crate::sheet::{self, About};
use axum::Form;
use axum::extract::State;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use maud::{Markup, PreEscaped, html};
use serde_json::{Value, json};
use workflow::area::plan::{drawing, plan};
use workflow::area::{Area, from_text};
use workflow::refusal::Refusal;
use workflow::wire::marks_json::{to_json, to_text};

fn entries() -> Vec<Entry> {
    vec![
        Entry::new("power", "Greatest power of the laser").like("2 kW"),
        Entry::new("wavelength", "Wavelength").like("1070 nm"),
        Entry::new("focal_length", "Focal length of the last lens").like("150 mm"),
        Entry::new("beam_at_lens", "Width of the beam on that lens").like("10 mm"),
        Entry::new("divergence", "Divergence of the bare beam, full angle")
            .hint("without a lens, or beside it")
            .like("2 mrad"),
        Entry::new("widths_at", "Where the maker measures widths")
            .choice(&[("1/e2", "at 1/e²"), ("1/e", "at 1/e")]),
        Entry::new("exposure", "Exposure").hint("not said: 100 s").like("100 s"),
        Entry::new("reflectance", "Reflectance of the work, diffuse")
            .hint("not said: all")
            .like("100 %"),
        Entry::new("eyewear.marking", "Eyewear: marking as printed").like("900-1080 D LB7"),
        Entry::new("eyewear.spot", "Eyewear: width of the beam where it may be struck")
            .like("5 mm"),
        Entry::new("room.width", "Room: width").like("6 m"),
        Entry::new("room.depth", "Room: depth").like("4 m"),
        Entry::new("room.height", "Room: height").like("3 m"),
        Entry::new("gas.kind", "Shielding gas")
            .choice(&[("argon", "argon"), ("nitrogen", "nitrogen")]),
        Entry::new("gas.flow", "Flow of shielding gas").like("20 l/min"),
        Entry::new("gas.air_changes", "Air changes in an hour").like("0.4").of(Input::Number),
        Entry::new("fume.parent", "Parent metal")
            .hint("for what is in the fume")
            .like("stainless steel"),
        Entry::new("fume.wire", "Wire").like("stainless steel"),
        Entry::new("paper.site", "Plan: site").like("Hollin Ferry Works, bay 3"),
        Entry::new("paper.author", "Plan: made by").like("R. Tan"),
        Entry::new("paper.officer", "Plan: laser safety officer").like("M. Okafor"),
        Entry::new("paper.date", "Plan: date").like("2026-11-25"),
    ]
}

/// What the page begins with: nothing is taken for granted but the form.
const REST: &str = "";

/// The page before anything was asked.
pub(crate) async fn page(State(app): State<App>, headers: HeaderMap) -> Result<Markup, Failed> {
    let about = about(&app, &headers).await;
    Ok(shown(&about, &json!({}), REST, None, None))
}

/// What is safe does not wait for a study.
async fn about(app: &App, headers: &HeaderMap) -> About {
    sheet::about(app, headers).await.unwrap_or_default()
}

/// What was sent, as a setup: the text of rooms, doors and curtains with the fields in it.
fn setup(posted: &Posted) -> Result<Value, Refusal> {
    let rest = one(posted, "rest").replace("\r\n", "\n");
    let before = to_json("the text below the fields", &rest).map_err(|r| r.in_field("rest"))?;
    Ok(merged(before, &entries(), posted))
}

/// The part of a setup that has no field.
fn rest_of(setup: &Value) -> String {
    let blank = merged(setup.clone(), &entries(), &Posted::new());
    to_text(&blank).unwrap_or_default()
}

/// Works out the area.
pub(crate) async fn work(
    State(app): State<App>,
    headers: HeaderMap,
    Form(posted): Form<Posted>,
) -> Response {
    let about = about(&app, &headers).await;
    let answered = setup(&posted).and_then(|values| {
        let text = to_text(&values)?;
        Ok((from_text("the setup".to_owned(), &text), values))
    });
    let rest = one(&posted, "rest");
    match answered {
        Err(refusal) => {
            let sent: Value = merged(json!({}), &entries(), &posted);
            let page = shown(&about, &sent, rest, None, Some(&refusal));
            (StatusCode::UNPROCESSABLE_ENTITY, page).into_response()
        }
        Ok((Err(refusal), values)) => {
            let page = shown(&about, &values, rest, None, Some(&refusal));
            (StatusCode::UNPROCESSABLE_ENTITY, page).into_response()
        }
        Ok((Ok(area), values)) => {
            let rest = rest_of(&values);
            shown(&about, &values, &rest, Some(&area), None).into_response()
        }
    }
}

/// The plan to be signed.
pub(crate) async fn plan_pdf(values: Value) -> Result<Response, Failed> {
    let made = tokio::task::spawn_blocking(move || {
        let text = to_text(&values)?;
        plan(&from_text("the setup".to_owned(), &text)?, None)
    });
    let paper = made.await.map_err(|_| crate::keep::fault())??;
    Ok(download("area-plan.pdf", "application/pdf", paper.pdf))
}

/// The plan of what was sent.
pub(crate) async fn plan_of(Form(posted): Form<Posted>) -> Result<Response, Failed> {
    plan_pdf(setup(&posted)?).await
}

fn shown(
    about: &About,
    values: &Value,
    rest: &str,
    area: Option<&Area>,
    refused: Option<&Refusal>,
) -> Markup {
    sheet::page(
        about,
        "Area",
        "area",
        &html! {
            h1 { "Area" }
            p.caution { "A handheld laser welder throws an invisible class 4 beam. What stands here helps to set up a controlled area; it releases nothing: the laser safety officer and the local code decide." }
            @if let Some(area) = area { (answer(area)) }
            form method="post" action="/area" {
                div.columns { (fields(&entries(), values, refused)) }
                div.field {
                    label for="rest" { "Torch, doors, windows, curtains and what else the setup file has" }
                    textarea.text id="rest" name="rest" rows="10" spellcheck="false" placeholder=(EXAMPLE) { (rest) }
                    p.hint { "as in a setup file: " code { "seamproof area --help" } " shows one" }
                }
                button.act { "Work it out" } " "
                @if area.is_some() { button formaction="/area/plan" { "The plan to be signed (PDF)" } }
            }
        },
    )
}

const EXAMPLE: &str = "[room]\ntorch = [\"2.5 m\", \"2 m\"]\n\n[[door]]\nfrom = [\"6 m\", \"1 m\"]\nto = [\"6 m\", \"2 m\"]\ninterlocked = true\n\n[[curtain]]\nfrom = [\"4.5 m\", \"0 m\"]\nto = [\"4.5 m\", \"4 m\"]\nheight = \"2.2 m\"\nrating = [{ stands = \"120 W/cm2\", time = \"100 s\" }]";

fn answer(area: &Area) -> Markup {
    let out = &area.out;
    html! {
        h2 { "What speaks against releasing the area as it is set up" }
        @if out.against.is_empty() { p.verdict { "Nothing that was looked at." } }
        @else { ul.against { @for fact in &out.against { li { (fact) } } } }
        @if let Some(drawing) = drawing(area) { figure { (PreEscaped(drawing.as_str())) } }
        @for [question, answer] in &out.says.answers { h3 { (question) } p { (answer) } }
        @for part in &out.says.parts {
            h2 { (part.title) }
            table { @for r in &part.rows { tr { th scope="row" { (r.what) } td.num { (r.value) } td.faint { (r.from) } } } }
            @for sentence in &part.sentences { p { (sentence) } }
        }
        @if !out.taken.is_empty() { h2 { "Taken, since the setup does not say" } ul { @for taken in &out.taken { li { (taken) } } } }
        h2 { "Cautions" }
        ul { @for caution in &out.says.cautions { li { (caution) } } }
        h2 { "Check list" }
        table.checks { @for [topic, what, from] in &out.says.checks { tr { td { "☐" } th scope="row" { (topic) } td { (what) } td.faint { (from) } } } }
        h2 { "Etching and cutting" }
        ul { @for always in &out.says.etching_always { li { (always) } } }
        @for e in &out.says.etchants {
            h3 { (e.name) " (" (e.alloys) ")" }
            p { (e.strength) "." @if e.trained_only { " " b { "Trained persons only." } } " " (e.never) }
            p { b { "First aid: " } (e.first_aid) " " span.faint { (e.from) } }
        }
        p.faint { "Fingerprint of this setup: " span.hex { (out.fingerprint) } }
    }
}
