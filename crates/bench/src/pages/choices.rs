//! `start`, the search: which settings are worth trying first on a joint, and which coupons tell most.

use super::found;
use crate::app::App;
use crate::failed::{Failed, told};
use crate::form::{Entry, Input, Posted, fields, one, typed};
use crate::job::Made;
use crate::sheet;
use axum::Form;
use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, PreEscaped, html};
use serde_json::Value;
use std::sync::{Arc, Mutex, PoisonError};
use workflow::predict::{pictures, says};
use workflow::refusal::Refusal;
use workflow::start::{AskedGun, choose, from_text, gun_can_be};
use workflow::study::{Kind, Revision};
use workflow::wire::marks_json::to_text;
use workflow::wire::predict::{SearchOut, SettingOut};
use workflow::wire::setting::{Rates, rates_from_toml};

/// Searches that are remembered: the same joint and gun give the same answer.
const MOST: usize = 16;

/// Searches that were done, the latest last: the joint's place in the chain with the gun, and what was found.
#[derive(Debug, Default)]
pub(crate) struct Searched(Mutex<Vec<(String, Arc<SearchOut>)>>);

impl Searched {
    fn find(&self, key: &str) -> Option<Arc<SearchOut>> {
        let all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        all.iter().find(|(k, _)| k == key).map(|(_, found)| Arc::clone(found))
    }

    fn keep(&self, key: String, found: SearchOut) {
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        all.retain(|(k, _)| *k != key);
        all.push((key, Arc::new(found)));
        if all.len() > MOST {
            all.remove(0);
        }
    }
}

fn gun_entries() -> Vec<Entry> {
    vec![
        Entry::new("power", "Greatest power at the work").hint("blank: 2 kW").like("2 kW"),
        Entry::new("spot", "Spot: focus diameter at 1/e²").hint("blank: 120 um").like("120 um"),
        Entry::new("m2", "M² of the beam")
            .hint("blank: usual for the spot")
            .like("3")
            .of(Input::Number),
    ]
}

/// A user's own costs.
pub(super) fn rate_entries() -> Vec<Entry> {
    let number = |name, label, example| Entry::new(name, label).like(example).of(Input::Number);
    vec![
        Entry::new("currency", "Currency").like("EUR"),
        number("labour_per_h", "Labour, for an hour", "50"),
        number("machine_per_h", "Machine, for an hour of welding", "8"),
        number("energy_per_kwh", "Electricity, for a kWh", "0.25"),
        number("gas_per_m3", "Shielding gas, for a m³", "10"),
        number("wire_per_kg", "Wire, for a kg", "6"),
    ]
}

/// The rates that were sent; none when nothing was.
pub(super) fn rates(posted: &Posted) -> Result<Option<Rates>, Refusal> {
    let sent = crate::form::merged(Value::Null, &rate_entries(), posted);
    if sent.as_object().is_none_or(serde_json::Map::is_empty) {
        return Ok(None);
    }
    rates_from_toml("your rates", &to_text(&sent)?).map(Some)
}

/// The fields of rates, folded away.
pub(super) fn rates_form(sent: &Posted, refused: Option<&Refusal>) -> Markup {
    let entries = rate_entries();
    let values = typed(sent);
    let said = entries.iter().any(|e| !one(sent, e.name).is_empty());
    let here = refused.filter(|r| crate::form::has(r, &entries));
    html! {
        details open[said || here.is_some()] {
            summary { "Your own costs" }
            p.hint { "Plain numbers in your currency; left blank, nothing is said of cost." }
            div.grid { (fields(&entries, &values, here)) }
        }
    }
}

fn gun(posted: &Posted) -> Result<AskedGun, Refusal> {
    let text = |name: &str| Some(one(posted, name).to_owned()).filter(|t| !t.is_empty());
    let m2 = text("m2")
        .map(|t| {
            t.replace(',', ".").parse::<f64>().map_err(|_| {
                Refusal::new(format!("'{t}' is no number"), "write M² as a plain number, such as 3")
                    .in_field("m2")
            })
        })
        .transpose()?;
    let asked = AskedGun {
        power: text("power"),
        spots: text("spot").into_iter().collect(),
        m2,
        rates: rates(posted)?,
    };
    // The flags of the command line are fields here.
    gun_can_be(&asked).map_err(|r| {
        let field = r.field.as_deref().map(|f| f.trim_start_matches("--").to_owned());
        Refusal { field, ..r }
    })?;
    Ok(asked)
}

/// What a search is remembered by.
fn key(joint: &Revision, posted: &Posted) -> String {
    let names = gun_entries().into_iter().chain(rate_entries());
    let said: Vec<String> = names.map(|e| one(posted, e.name).to_owned()).collect();
    format!("{} {}", joint.seq, said.join("\u{1f}"))
}

/// The fields that say the gun, as an address has them.
fn address(id: i64, posted: &Posted) -> String {
    let names = gun_entries().into_iter().chain(rate_entries());
    let said: Vec<(&str, &str)> =
        names.map(|e| (e.name, one(posted, e.name))).filter(|(_, v)| !v.is_empty()).collect();
    let said = serde_urlencoded::to_string(said).unwrap_or_default();
    format!("/joint/{id}/choices?{said}")
}

/// What was found, or the form that asks for it.
pub(crate) async fn page(
    State(app): State<App>,
    headers: HeaderMap,
    Path(id): Path<i64>,
    Query(sent): Query<Posted>,
) -> Result<Markup, Failed> {
    let joint = found(&app.study()?, id, Kind::Joint).await?;
    shown(&app, &headers, &joint, &sent, None).await
}

/// Searches: some seconds.
pub(crate) async fn search(
    State(app): State<App>,
    headers: HeaderMap,
    Path(id): Path<i64>,
    Form(posted): Form<Posted>,
) -> Result<Response, Failed> {
    let joint = found(&app.study()?, id, Kind::Joint).await?;
    let asked = gun(&posted)
        .and_then(|gun| Ok((from_text(joint.content.name.clone(), &joint.content.text)?, gun)));
    let (started, gun) = match asked {
        Ok(asked) => asked,
        Err(refusal) => {
            let page = shown(&app, &headers, &joint, &posted, Some(&refusal)).await?;
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
    };
    let (key, then) = (key(&joint, &posted), address(id, &posted));
    if app.searched.find(&key).is_some() {
        return Ok(Redirect::to(&then).into_response());
    }
    let bench = App::clone(&app);
    let job = app.jobs.start("Settings worth trying", &then.clone(), move |_| {
        bench.searched.keep(key, choose(&started, &gun)?);
        Ok(Made::Page(then))
    });
    Ok(job.into_response())
}

async fn shown(
    app: &App,
    headers: &HeaderMap,
    joint: &Revision,
    sent: &Posted,
    refused: Option<&Refusal>,
) -> Result<Markup, Failed> {
    let about = sheet::about(app, headers).await?;
    let id = joint.record.0;
    let found = app.searched.find(&key(joint, sent)).filter(|_| refused.is_none());
    let values = typed(sent);
    let entries = gun_entries();
    let here = refused.filter(|r| crate::form::has(r, &entries));
    let nowhere = refused.filter(|r| here.is_none() && !crate::form::has(r, &rate_entries()));
    Ok(sheet::page(
        &about,
        "Settings worth trying",
        "start",
        &html! {
            h1 { "Settings worth trying on " (joint.content.name) }
            p { a href={ "/joint/" (id) } { "The joint and its need" } " · " a href={ "/joint/" (id) "/setting" } { "try a setting of your own" } }
            @match &found {
                Some(found) => (answer(id, found)),
                None => p { "Some ten thousand settings of the gun are sieved, three hundred looked at closely, and at most four shown: the ones with the least heat, the least time, the least wire or cost, and the least doubt. It takes some seconds." },
            }
            form method="post" action={ "/joint/" (id) "/choices" } {
                @if found.is_some() { h2 { "Another gun" } }
                @if let Some(refused) = nowhere { (told(refused)) }
                div.grid { (fields(&entries, &values, here)) }
                (rates_form(sent, refused))
                p { button.act { "Search" } }
            }
        },
    ))
}

/// A link to a setting's own page.
fn closely(id: i64, setting: &SettingOut) -> String {
    let fields = serde_urlencoded::to_string(setting.fields()).unwrap_or_default();
    format!("/joint/{id}/setting?{fields}")
}

fn answer(id: i64, found: &SearchOut) -> Markup {
    html! {
        p.verdict {
            @match found.choices.len() {
                0 => "No setting of this gun serves.",
                1 => "One setting is the best in everything that was asked.",
                n => { (n) " settings to try first, of " (found.looked_at) " that were looked at." },
            }
            @if !found.choices.is_empty() && found.choices.iter().all(|c| c.meets_need_at_low != Some(true)) {
                " At the low end of the band none serves: only coupons tell."
            }
        }
        @if !found.choices.is_empty() {
            (sheet::table(&says::choices(found), &html! {
                tr { th scope="row" { "look closely" }
                    @for choice in &found.choices { td { a href=(closely(id, &choice.setting)) { "section, band, energy" } } } }
            }))
            p.caution { (says::NOT_WELDED) " " (says::BEAM_SAFETY) }
            @for choice in &found.choices {
                h2 { (says::best_for(&choice.best_for)) }
                @if let Some(drawing) = &choice.drawing { figure { (PreEscaped(drawing.as_str())) figcaption { "What to expect: in brackets the 90 % band." } } }
                h3 { (says::ANSWERS) }
                figure { (PreEscaped(pictures::answers_of(&choice.sensitivity).as_str())) }
                @if !choice.warnings.is_empty() { ul { @for line in &choice.warnings { li { (line) } } } }
            }
            @if !found.coupons.is_empty() {
                h2 { "Three coupons that tell most" }
                ol { @for (line, coupon) in says::coupons(found).iter().zip(&found.coupons) { li { (line) " " a href=(closely(id, &coupon.setting)) { "look closely" } } } }
            }
        }
        @if !found.limits.is_empty() {
            h2 { "Why others do not serve, by the quick tier" }
            table { @for limit in &found.limits { tr { td.num { (limit.settings) } th scope="row" { (limit.limit) } } } }
        }
        // The flags of the command line are fields here.
        @for line in found.gun.iter().chain(&found.remarks) { p.faint { (line.split(" (--").next().unwrap_or(line)) } }
    }
}
