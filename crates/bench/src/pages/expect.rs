//! `start`, the setting: what it should make of a joint, with its band, drawn to scale.
//!
//! Asked by its address, so that going back, and sending it to somebody, shows the same. Nothing is kept until it is asked
//! for.

use super::record::{entries, text_of, values};
use super::{by, found, keep_next, saved_or};
use crate::app::App;
use crate::failed::{Failed, told};
use crate::form::{Entry, Posted, fields, one, typed};
use crate::sheet;
use axum::Form;
use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, PreEscaped, html};
use serde_json::Value;
use workflow::predict::{Predicted, TIERS, expect_asked, pictures, says};
use workflow::refusal::Refusal;
use workflow::start::from_text;
use workflow::study::{Kind, Put, RecordId, Revision, Study};
use workflow::wire::setting::setting_from_toml;
use workflow::wire::study::fields as fields_of;

/// The fields of a setting by what they are about.
const GROUPS: [(&str, &[&str]); 4] = [
    ("What moves", &["process", "travel_speed", "torch_angle", "aim", "preheat", "metal", "steel"]),
    (
        "The beam and its wobble",
        &[
            "power",
            "spot",
            "m2",
            "wavelength",
            "focus",
            "wobble_pattern",
            "wobble_width",
            "wobble_frequency",
        ],
    ),
    ("An arc", &["current", "voltage"]),
    ("Wire and gas", &["wire", "wires", "wire_feed", "gas", "gas_flow"]),
];

/// Any notation is said once for all of them.
const ANY: &str = "with its unit, in any notation";

fn setting_entries() -> Vec<Entry> {
    let mut entries = entries(fields_of(Kind::Setting).unwrap_or_default());
    for entry in &mut entries {
        if entry.hint == ANY {
            entry.hint = "";
        }
    }
    entries
}

/// One setting on one joint.
pub(crate) async fn page(
    State(app): State<App>,
    headers: HeaderMap,
    Path(id): Path<i64>,
    Query(sent): Query<Posted>,
) -> Result<Response, Failed> {
    let open = app.study()?;
    let joint = found(&open, id, Kind::Joint).await?;
    let known = setting_entries();
    let asked = known.iter().any(|entry| !one(&sent, entry.name).is_empty());
    let of = match one(&sent, "of").parse::<i64>() {
        Ok(of) => Some(found(&open, of, Kind::Setting).await?),
        Err(_) => None,
    };
    let (filled, text, name) = match &of {
        // A record as it is kept; what is changed in its form goes before it.
        Some(setting) if !asked => {
            (values(setting)?, Some(Ok(setting.content.text.clone())), setting.content.name.clone())
        }
        _ => (
            typed(&sent),
            asked.then(|| text_of(Kind::Setting, "this setting", &known, &sent)),
            "this setting".to_owned(),
        ),
    };
    let answered = match text {
        None => None,
        Some(Err(refusal)) => Some(Err(refusal)),
        Some(Ok(text)) => {
            let joint = joint.clone();
            let work = move |_: &crate::keep::Open| Ok(expected(&joint, &name, &text));
            Some(open.heavy(work).await?)
        }
    };
    let status = match &answered {
        Some(Err(_)) => StatusCode::UNPROCESSABLE_ENTITY,
        _ => StatusCode::OK,
    };
    let page = shown(&app, &headers, &joint, of.as_ref(), &filled, answered.as_ref()).await?;
    Ok((status, page).into_response())
}

fn expected(joint: &Revision, name: &str, text: &str) -> Result<Predicted, Refusal> {
    let started = from_text(joint.content.name.clone(), &joint.content.text)?;
    let asked = setting_from_toml(name, text)?;
    expect_asked(&started, name, &asked, TIERS[1].1)
}

async fn shown(
    app: &App,
    headers: &HeaderMap,
    joint: &Revision,
    of: Option<&Revision>,
    filled: &Value,
    answered: Option<&Result<Predicted, Refusal>>,
) -> Result<Markup, Failed> {
    let about = sheet::about(app, headers).await?;
    let refused = answered.and_then(|a| a.as_ref().err());
    let said = answered.and_then(|a| a.as_ref().ok());
    // The setting's fields are flat: `wobble.width` of a refusal is `wobble_width` here.
    let refused = refused.map(|r| Refusal { field: r.field.as_deref().map(flat), ..r.clone() });
    let id = joint.record.0;
    let known = setting_entries();
    let groups: Vec<(&str, Vec<Entry>)> = GROUPS
        .iter()
        .map(|(title, names)| {
            let of = |name: &&str| known.iter().find(|e| e.name == *name).cloned();
            (*title, names.iter().filter_map(of).collect())
        })
        .collect();
    let at = refused
        .as_ref()
        .map(|r| groups.iter().position(|(_, entries)| crate::form::has(r, entries)));
    Ok(sheet::page(
        &about,
        "Setting",
        "start",
        &html! {
            h1 { @match of { Some(of) => { (of.content.name) " on " (joint.content.name) }, None => { "A setting on " (joint.content.name) } } }
            p { a href={ "/joint/" (id) } { "The joint and its need" } " · " a href={ "/joint/" (id) "/choices" } { "settings worth trying" } }
            @if let Some(said) = said { (answer(said)) }
            @else { p { "What should this setting make of the joint?" } }
            form method="get" action={ "/joint/" (id) "/setting" } {
                @if let Some(of) = of { input type="hidden" name="of" value=(of.record.0); input type="hidden" name="from" value=(of.number); }
                @if said.is_some() { h2 { "The setting" } }
                p.hint { "Each with its unit, in any notation: " code { "1.6 kW" } ", " code { "18 ipm" } ", " code { "35 cm/min" } ", " code { "120 um" } "." }
                @if let (Some(refused), Some(None)) = (&refused, at) { (told(refused)) }
                @for (i, (title, entries)) in groups.iter().enumerate() {
                    h3 { (title) }
                    div.grid { (fields(entries, filled, refused.as_ref().filter(|_| at == Some(Some(i))))) }
                }
                // What a prediction does not ask for is kept as it was.
                @for entry in known.iter().filter(|e| GROUPS.iter().all(|(_, names)| !names.contains(&e.name))) {
                    @if let Some(value) = filled.get(entry.name).and_then(Value::as_str) { input type="hidden" name=(entry.name) value=(value); }
                }
                p { button.act { "Work it out" } }
                @if said.is_some() {
                    div.field { label for="name" { "Name" }
                        input id="name" name="name" value=(of.map_or("", |of| of.content.name.as_str())) placeholder="frozen" readonly[of.is_some()];
                        p.hint { "to keep it in the study, for coupons, comparisons and the area" } }
                    button formmethod="post" formaction={ "/joint/" (id) "/setting/keep" } { @if of.is_some() { "Keep the change" } @else { "Keep it as a setting" } }
                }
            }
        },
    ))
}

/// The field of a study's setting record that a setting file's field is.
fn flat(field: &str) -> String {
    match field {
        "travel" => "travel_speed".to_owned(),
        "wire.diameter" => "wire".to_owned(),
        "wire.count" => "wires".to_owned(),
        "wire.feed" => "wire_feed".to_owned(),
        other => other.replace('.', "_"),
    }
}

fn answer(said: &Predicted) -> Markup {
    let out = &said.out;
    let listed = |head: &str, lines: &[String]| {
        html! { @if !lines.is_empty() { h2 { (head) } ul { @for line in lines { li { (line) } } } } }
    };
    html! {
        p.verdict { (says::verdict(out)) }
        div.beside {
            figure { (PreEscaped(pictures::joint(said).as_str())) figcaption { "The joint before welding." } }
            @if let Some(drawing) = pictures::expected(said) {
                figure { (PreEscaped(drawing.as_str())) figcaption { "What to expect: in brackets the 90 % band." } }
            } @else { p.faint { (says::band(out)) } }
        }
        table { @for [what, of] in says::rows(out) { tr { th scope="row" { (what) } td.num { (of) } } } }
        p.caution { (says::NOT_WELDED) @if out.tier != "arc" { " " (says::BEAM_SAFETY) } }
        (listed("What bites, and what to try", &out.warnings))
        (listed("What the code asks or refuses, however deep the fusion", &says::refusals(out)))
        @if let Some(drawing) = pictures::answers(said) {
            h2 { "What changes the throat" }
            figure { (PreEscaped(drawing.as_str())) }
        }
        @if let Some(drawing) = pictures::energy(said) {
            h2 { "The energy on the seam" }
            figure { (PreEscaped(drawing.as_str()))
                figcaption { "Energy in the beam for each area, by the wobble's own way and the travel: geometry of the setting as it is given, so it has no band. How much of it is taken up stands above." } }
        }
        (listed("Taken, since neither joint nor setting says", &out.taken))
    }
}

/// Keeps a setting: a new one under the joint, or the next revision of the one that it started from.
pub(crate) async fn keep(
    State(app): State<App>,
    headers: HeaderMap,
    Path(id): Path<i64>,
    Form(posted): Form<Posted>,
) -> Result<Response, Failed> {
    let open = app.study()?;
    let joint = found(&open, id, Kind::Joint).await?;
    let by = by(&app, &headers, &posted)?;
    let of = match one(&posted, "of").parse::<i64>() {
        Ok(of) => Some(found(&open, of, Kind::Setting).await?),
        Err(_) => None,
    };
    let name = one(&posted, "name").to_owned();
    let text = text_of(Kind::Setting, "this setting", &setting_entries(), &posted);
    let saved = match (text, &of) {
        (Err(refusal), _) => Err(refusal.into()),
        (Ok(_), None) if name.is_empty() => {
            Err(Refusal::new("the setting has no name", "name it, such as frozen")
                .in_field("name")
                .into())
        }
        (Ok(text), Some(of)) => keep_next(&open, of, super::from_of(&posted)?, text, by).await,
        (Ok(text), None) => {
            let parent = Some(RecordId(id));
            let work = move |study: &Study| {
                study.put(Kind::Setting, &Put { of: None, name: &name, parent, text: &text }, &by)
            };
            open.write(work).await
        }
    };
    let then = |kept: Revision| Redirect::to(&format!("/joint/{id}/setting?of={}", kept.record.0));
    saved_or(saved, then, async |refusal| {
        shown(&app, &headers, &joint, of.as_ref(), &typed(&posted), Some(&Err(refusal))).await
    })
    .await
}
