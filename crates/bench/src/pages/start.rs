//! `start`: the joint, its load, and the throat that it needs.

use super::{by, file_name, found, from_of, keep_next, saved_or};
use crate::app::App;
use crate::failed::{Failed, told};
use crate::form::{Entry, Input, Posted, fields, from, merged};
use crate::sheet;
use axum::Form;
use axum::extract::{Path, State};
use axum::http::HeaderMap;
use axum::response::{Redirect, Response};
use maud::{Markup, PreEscaped, html};
use serde_json::{Value, json};
use weld::quantity::Length;
use weld::quantity::show::{Rounding, UnitSystem, show};
use workflow::refusal::Refusal;
use workflow::start::{Started, from_text};
use workflow::study::{Kind, Listed, Put, Revision};
use workflow::wire::marks_json::{to_json, to_text};
use workflow::write::joint_page;

fn entries() -> Vec<Entry> {
    vec![
        Entry::new("joint", "Kind of joint").choice(&[
            ("tee", "tee, or inside corner (fillet welds)"),
            ("lap", "lap (fillet welds)"),
            ("butt", "butt"),
            ("bead", "bead on plate, a trial that joins nothing"),
        ]),
        Entry::new("base", "Base: thickness").hint("tee and lap").like("8 mm"),
        Entry::new("upright", "Upright: thickness").hint("tee and lap").like("5 mm"),
        Entry::new("plate", "Plate: thickness").hint("butt and bead").like("6 mm"),
        Entry::new("angle", "Angle between the plates").hint("tee; blank: 90 deg").like("90 deg"),
        Entry::new("gap", "Gap").hint("blank: none").like("0 mm"),
        Entry::new("material", "Material of the plates").hint("a grade; plates of two materials are written in the joint's text").like("1.4307"),
        Entry::new("sides", "Welded from").choice(&[("both", "both sides"), ("one", "one side")]),
        Entry::new("restrained", "One side only: is it held from turning about the weld?")
            .hint("Free to turn, a one-sided fillet is given no resistance (EN 1993-1-8 4.12, Recalled).")
            .of(Input::Flag),
        Entry::new("length", "Length of the weld").like("100 mm"),
        Entry::new("need.load", "Load").hint("on the whole length, or per length").like("60 kN, or 0.6 kN/mm"),
        Entry::new("need.direction", "Which way the load points").choice(&[
            ("along", "along the weld"),
            ("across", "across the weld, along the base"),
            ("upright", "across the weld, along the upright"),
            ("through", "butt: through the thickness"),
        ]),
        Entry::new("need.code", "Code").choice(&[
            ("EN 1993-1-8", "EN 1993-1-8 (stainless: with EN 1993-1-4)"),
            ("AISC 360", "AISC 360"),
            ("AWS D1.1", "AWS D1.1"),
        ]),
        Entry::new("need.electrode", "Strength of the filler").hint("AISC and AWS").like("70 ksi"),
        Entry::new("need.design", "Design by").hint("AISC").choice(&[("LRFD", "LRFD"), ("ASD", "ASD")]),
    ]
}

/// All joints.
pub(crate) async fn list(State(app): State<App>, headers: HeaderMap) -> Result<Markup, Failed> {
    let about = sheet::about(&app, &headers).await?;
    let joints = app
        .study()?
        .look(|study| {
            let listed = study.list(Kind::Joint)?;
            listed.into_iter().map(|l| study.last(l.record)).collect::<Result<Vec<_>, _>>()
        })
        .await?;
    Ok(sheet::page(
        &about,
        "Start",
        "start",
        &html! {
            h1 { "Start" }
            p { "What throat does the load need? Describe the joint and what it must carry." }
            @for joint in &joints {
                section.card {
                    h2 { a href={ "/joint/" (joint.record.0) } { (joint.content.name) } }
                    @match from_text(joint.content.name.clone(), &joint.content.text) {
                        Ok(started) => p.verdict { (needed(&started)) },
                        Err(refusal) => (told(&refusal)),
                    }
                }
            }
            p { a.act href="/joint/new" { "Describe a joint" } }
        },
    ))
}

/// The need of a joint as a sentence.
fn needed(started: &Started) -> String {
    let Some(need) = &started.out.need else {
        return "No load is given, so there is no need to work out.".to_owned();
    };
    let up = |mm: f64| show(Length::from_mm(mm), Rounding::Up, 2, UnitSystem::Metric);
    match (need.any_plane_mm.or(need.specify_mm), need.allowed) {
        (Some(mm), true) => {
            let load = started.asked.load_words().unwrap_or_default();
            format!(
                "Each weld needs an effective throat of {} for {load} by {}.",
                up(mm),
                need.code
            )
        }
        (Some(mm), false) => format!(
            "A throat of {} would carry the load, but {} does not allow this joint as it is.",
            up(mm),
            need.code
        ),
        (None, _) => format!("No throat will do for this joint by {}.", need.code),
    }
}

/// A blank form.
pub(crate) async fn new_page(State(app): State<App>, headers: HeaderMap) -> Result<Markup, Failed> {
    let blank = json!({ "joint": "tee", "sides": "both", "need": { "direction": "along", "code": "EN 1993-1-8" } });
    form_page(&app, &headers, None, &blank, "joint.toml", None).await
}

/// One joint: what its load needs, drawn to scale, and the form.
pub(crate) async fn page(
    State(app): State<App>,
    headers: HeaderMap,
    Path(id): Path<i64>,
) -> Result<Markup, Failed> {
    let joint = found(&app.study()?, id, Kind::Joint).await?;
    let values = to_json(&joint.content.name, &joint.content.text)?;
    form_page(
        &app,
        &headers,
        Some((id, joint.number, &joint.content.text)),
        &values,
        &joint.content.name,
        None,
    )
    .await
}

async fn form_page(
    app: &App,
    headers: &HeaderMap,
    of: Option<(i64, i64, &str)>,
    values: &Value,
    name: &str,
    refused: Option<&Refusal>,
) -> Result<Markup, Failed> {
    let about = sheet::about(app, headers).await?;
    let settings = app.study()?.look(|study| study.list(Kind::Setting)).await?;
    let started = of.map(|(_, _, text)| from_text(name.to_owned(), text));
    let action = of.map_or_else(|| "/joint/new".to_owned(), |(id, ..)| format!("/joint/{id}"));
    Ok(sheet::page(
        &about,
        "Joint",
        "start",
        &html! {
            h1 { @if of.is_some() { (name) } @else { "A joint" } }
            @match &started {
                None => p { "Lengths in any notation: " code { "5/16 in" } ", " code { "8 mm" } ", " code { "80 thou" } "." },
                Some(Err(refusal)) => (told(refusal)),
                Some(Ok(started)) => { (answer(started)) @if let Some((id, ..)) = of { (which(id, &settings)) } },
            }
            @if of.is_some() { h2 { "The joint as it is described" } }
            form method="post" action=(action) {
                @match of { Some((_, number, _)) => (from(number)), None => div.field { label for="name" { "Name" } input id="name" name="name" value=(name); p.hint { "as the claim will name it" } } }
                div.columns { (fields(&entries(), values, refused)) }
                button.act { "Save" }
                @if let Some((id, ..)) = of { " " a href={ "/record/" (id) } { "as text" } " " a href={ "/record/" (id) "/history" } { "history" } }
            }
        },
    ))
}

/// The ways to a setting, and to the photo of what was welded.
fn which(id: i64, settings: &[Listed]) -> Markup {
    html! {
        h2 { "Which setting?" }
        p { a.act href={ "/joint/" (id) "/choices" } { "Search settings worth trying" } " "
            a href={ "/joint/" (id) "/setting" } { "Try one of your own" } }
        @if !settings.is_empty() {
            p { "Settings of the study, on this joint: "
                @for (i, s) in settings.iter().enumerate() { @if i > 0 { ", " } a href={ "/joint/" (id) "/setting?of=" (s.record.0) } { (s.name) } }
                @if settings.len() > 1 { ". " a href={ "/compare?joint=" (id) @for s in settings.iter().take(4) { "&setting=" (s.record.0) } } { "Compare them" } } "." }
        }
        h2 { "Welded, cut and etched?" }
        p { a.act href={ "/section/new?joint=" (id) } { "Take in a photo of a section" } }
    }
}

/// What the load needs, and what the code has against the joint.
fn answer(started: &Started) -> Markup {
    let units = UnitSystem::Metric;
    let need = started.need.as_ref().and_then(|n| n.specify_any_plane().or(n.specify));
    let page = joint_page(started, need, units);
    html! {
        p.verdict { (needed(started)) }
        div.two {
            @if let Some(drawing) = &page.drawing { figure { (PreEscaped(drawing.as_str())) } }
            table { @for (what, of) in &page.facts { tr { th scope="row" { (what) } td { (of) } } } }
        }
        @if let Some(need) = &started.out.need {
            @if !need.refusals.is_empty() {
                h2 { "What the code says, however deep the fusion" }
                ul { @for r in &need.refusals { li { (r.fact) " " span.faint { (r.clause.place) " (" (r.clause.seen) ")" } " " (r.advice) } } }
            }
            p.faint { (need.penetration_counts_by.condition) " (" (need.penetration_counts_by.clause.seen) ")" }
        }
        @for remark in &started.out.remarks { p.faint { (remark) } }
    }
}

/// Keeps a new joint.
pub(crate) async fn new(
    State(app): State<App>,
    headers: HeaderMap,
    Form(posted): Form<Posted>,
) -> Result<Response, Failed> {
    let values = merged(json!({}), &entries(), &posted);
    let name = file_name(&posted, "joint.toml");
    let text = to_text(&values)?;
    let by = by(&app, &headers, &posted)?;
    let put_name = name.clone();
    let saved = app
        .study()?
        .write(move |study| study.put(Kind::Joint, &Put::new(&put_name, &text), &by))
        .await;
    let then = |joint: Revision| Redirect::to(&format!("/joint/{}", joint.record.0));
    saved_or(saved, then, async |refusal| {
        form_page(&app, &headers, None, &values, &name, Some(&refusal)).await
    })
    .await
}

/// Keeps the next revision of a joint.
pub(crate) async fn save(
    State(app): State<App>,
    headers: HeaderMap,
    Path(id): Path<i64>,
    Form(posted): Form<Posted>,
) -> Result<Response, Failed> {
    let open = app.study()?;
    let joint = found(&open, id, Kind::Joint).await?;
    let number = from_of(&posted)?;
    let before = to_json(&joint.content.name, &joint.content.text)?;
    let values = merged(before, &entries(), &posted);
    let by = by(&app, &headers, &posted)?;
    let saved = keep_next(&open, &joint, number, to_text(&values)?, by).await;
    let then = |_| Redirect::to(&format!("/joint/{id}"));
    saved_or(saved, then, async |refusal| {
        let of = Some((id, number, joint.content.text.as_str()));
        form_page(&app, &headers, of, &values, &joint.content.name, Some(&refusal)).await
    })
    .await
}
