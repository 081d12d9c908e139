//! `compare`: settings beside each other on one joint, before anything is welded.

use super::choices::{rates, rates_form};
use super::found;
use crate::app::App;
use crate::failed::{Failed, told};
use crate::form::{Posted, one};
use crate::sheet;
use axum::extract::{Query, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use workflow::compare::compare_read;
use workflow::predict::{TIERS, says};
use workflow::refusal::Refusal;
use workflow::start::from_text;
use workflow::study::{Kind, Listed};
use workflow::wire::predict::{CompareOut, ComparedOut};
use workflow::wire::setting::setting_from_toml;

/// The settings that are asked for, on the joint that is asked for.
pub(crate) async fn page(
    State(app): State<App>,
    headers: HeaderMap,
    Query(sent): Query<Posted>,
) -> Result<Response, Failed> {
    let open = app.study()?;
    let about = sheet::about(&app, &headers).await?;
    let (joints, settings) =
        open.look(|study| Ok((study.list(Kind::Joint)?, study.list(Kind::Setting)?))).await?;
    let chosen: Vec<i64> =
        sent.iter().filter(|(n, _)| n == "setting").filter_map(|(_, v)| v.parse().ok()).collect();
    let answered = match one(&sent, "joint").parse::<i64>() {
        Err(_) => None,
        Ok(joint) => {
            let joint = found(&open, joint, Kind::Joint).await?;
            let mut asked = Vec::new();
            for id in &chosen {
                asked.push(found(&open, *id, Kind::Setting).await?);
            }
            let rates = rates(&sent);
            let work = move |_: &crate::keep::Open| {
                Ok(rates.and_then(|rates| {
                    let started = from_text(joint.content.name.clone(), &joint.content.text)?;
                    let settings = asked
                        .iter()
                        .map(|s| {
                            let content = &s.content;
                            Ok((
                                content.name.clone(),
                                setting_from_toml(&content.name, &content.text)?,
                            ))
                        })
                        .collect::<Result<Vec<_>, Refusal>>()?;
                    compare_read(&started, &settings, TIERS[1].1, rates.as_ref()).map_err(|r| {
                        // The page has ticks where the command line has flags.
                        if settings.len() < 2 {
                            Refusal { advice: "tick two or more".to_owned(), ..r }
                        } else {
                            r
                        }
                    })
                }))
            };
            Some(open.heavy(work).await?)
        }
    };
    let refused = answered.as_ref().and_then(|a| a.as_ref().err());
    let status = if refused.is_some() { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    let page = sheet::page(
        &about,
        "Compare",
        "compare",
        &html! {
            h1 { "Compare" }
            @match &answered {
                Some(Ok(out)) => (answer(out)),
                Some(Err(refusal)) => (told(refusal)),
                None => p { "Does one process do what another does on this joint, and at what heat, time and cost? Settings are compared as they should come out, before anything is welded." },
            }
            (form(&joints, &settings, &sent, &chosen, refused))
        },
    );
    Ok((status, page).into_response())
}

fn form(
    joints: &[Listed],
    settings: &[Listed],
    sent: &Posted,
    chosen: &[i64],
    refused: Option<&Refusal>,
) -> Markup {
    if joints.is_empty() {
        return html! { p.verdict { "First say what the joint is. " a.act href="/joint/new" { "Describe the joint" } } };
    }
    let first = joints.first().map(|j| j.record.0);
    let new = format!("/joint/{}/setting", first.unwrap_or_default());
    let joint = one(sent, "joint");
    html! {
        form method="get" action="/compare" {
            div.field { label for="joint" { "Joint" }
                select id="joint" name="joint" { @for j in joints { option value=(j.record.0) selected[j.record.0.to_string() == joint] { (j.name) } } } }
            div.field { fieldset { legend { "Settings" }
                @if settings.is_empty() { p.hint { "The study has no setting yet." } }
                div.several { @for s in settings { label.tick { input type="checkbox" name="setting" value=(s.record.0) checked[chosen.contains(&s.record.0)]; " " (s.name) } } }
                p.hint { a href=(new) { "Try a setting and keep it" } ", laser or arc" } } }
            (rates_form(sent, refused))
            p { button.act { "Compare" } }
        }
    }
}

/// Whether a setting meets the need, and how surely.
fn meets(s: &ComparedOut, need: Option<f64>) -> &'static str {
    match (s.meets_need, s.throat_low_mm.zip(need)) {
        (Some(true), Some((low, need))) if low >= need => {
            " is expected to meet it, at the low end of its band as well. "
        }
        (Some(true), Some(_)) => " is expected to meet it; the low end of its band does not. ",
        (Some(true), None) => " is expected to meet it, without a band to say how surely. ",
        (Some(false), _) => " is not expected to meet it. ",
        (None, _) => " is expected to give what stands below. ",
    }
}

fn answer(out: &CompareOut) -> Markup {
    let need = out.need.as_ref().and_then(|n| n.any_plane_mm.or(n.specify_mm));
    html! {
        p.verdict {
            @if let Some(need) = need { "Each weld needs a throat of " (says::need(need)) ". " }
            @for s in &out.settings {
                (s.setting) (meets(s, need))
            }
        }
        p.faint { "One metre of " (out.file) ", all its welds and passes." }
        (sheet::table(&says::compared(out), &html! {}))
        p.caution { (says::NOT_WELDED) " Static strength only." }
        @for s in &out.settings {
            @if !s.warnings.is_empty() { h2 { (s.setting) ": what bites" } ul { @for line in &s.warnings { li { (line) } } } }
        }
        @if !out.taken.is_empty() { h2 { "Taken, since the settings do not say" } ul { @for line in &out.taken { li { (line) } } } }
    }
}
