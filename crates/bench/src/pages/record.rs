//! Any record: its fields, its text, its history; going back, and taking it out.

use super::{by, from_of, keep_next, saved_or};
use crate::app::App;
use crate::failed::Failed;
use crate::form::{Entry, Input, Posted, fields, from, one, text, typed};
use crate::sheet;
use axum::Form;
use axum::extract::{Path, State};
use axum::http::HeaderMap;
use axum::response::{Redirect, Response};
use maud::{Markup, html};
use serde_json::Value;
use workflow::refusal::Refusal;
use workflow::study::{Kind, Put, RecordId, Revision, Study};
use workflow::wire::study::{Field, Want, fields as fields_of, short_fields, short_text};

/// The fields of a short record as a form has them.
pub(super) fn entries(known: &'static [Field]) -> Vec<Entry> {
    let choice = |words: &[(&str, &str)]| {
        let owned = |(word, label): &(&str, &str)| ((*word).to_owned(), (*label).to_owned());
        Input::Choice(words.iter().map(owned).collect())
    };
    let entry = |field: &'static Field| {
        let (input, hint) = match field.want {
            Want::Flag => (Input::Flag, ""),
            Want::Text if field.name == "process" => (choice(PROCESSES), "ISO 4063"),
            Want::Text if field.name == "wobble_pattern" => (choice(PATTERNS), ""),
            Want::Speed if field.name == "wire_feed" => {
                (Input::Text, "blank: as fast as the torch travels")
            }
            Want::Text if field.name == "note" => (Input::Long, ""),
            Want::Text => (Input::Text, ""),
            Want::Count => (Input::Text, "a whole number"),
            Want::Number => (Input::Number, "a plain number"),
            Want::Day => (Input::Text, "year-month-day"),
            _ => (Input::Text, "with its unit, in any notation"),
        };
        Entry::new(field.name, words(field.name)).like(field.example).hint(hint).of(input)
    };
    known.iter().map(entry).collect()
}

const PROCESSES: &[(&str, &str)] = &[
    ("521", "521 laser beam"),
    ("131", "131 MIG"),
    ("135", "135 MAG"),
    ("136", "136 MAG, cored wire"),
    ("138", "138 MAG, metal-cored wire"),
    ("141", "141 TIG"),
];
const PATTERNS: &[(&str, &str)] = &[
    ("line", "straight across"),
    ("circle", "circle"),
    ("eight", "figure of eight"),
    ("none", "none"),
];

/// A field's name as a label.
fn words(name: &'static str) -> &'static str {
    match name {
        "welded_by" => "welded by",
        "welded_on" => "welded on",
        "taken_by" => "taken by",
        "taken_on" => "taken on",
        "travel_speed" => "travel speed",
        "wire_feed" => "wire feed",
        "torch_angle" => "torch angle",
        "wobble_width" => "wobble: full travel of the beam's centre",
        "wobble_frequency" => "wobble frequency",
        "gas_flow" => "gas flow",
        "spot" => "spot: focus diameter at 1/e²",
        "m2" => "M²",
        "focus" => "focus over the surface, below it negative",
        "aim" => "aim past the corner, up the upright",
        "focal_length" => "focal length of the last lens (for the area)",
        "beam_at_lens" => "beam on that lens at 1/e² (for the area)",
        "divergence" => "divergence without a lens, 1/e² (for the area)",
        "wobble_pattern" => "wobble",
        "wire" => "wire diameter",
        "wires" => "number of wires",
        "metal" => "metal, where it is not the joint's",
        "steel" => "steel's analysis by its certificate, %, for hardness and preheat",
        "invented" => "the data are invented",
        "heats" => "heats of plates and wire",
        other => other,
    }
}

/// What a short record's text holds, for its form.
pub(super) fn values(revision: &Revision) -> Result<Value, Refusal> {
    let content = &revision.content;
    let given = short_fields(revision.kind, &content.name, &content.text)?;
    Ok(given.into_iter().map(|(name, text)| (name.to_owned(), flag(text))).collect())
}

fn flag(text: String) -> Value {
    match text.as_str() {
        "true" => true.into(),
        "false" => false.into(),
        _ => text.into(),
    }
}

/// The text of a short record as it was sent.
pub(super) fn text_of(
    kind: Kind,
    name: &str,
    entries: &[Entry],
    posted: &Posted,
) -> Result<String, Refusal> {
    let given: Vec<(&str, &str)> = entries
        .iter()
        .map(|entry| {
            let sent = one(posted, entry.name);
            (
                entry.name,
                match (&entry.input, sent) {
                    (Input::Flag, "yes") => "true",
                    (Input::Flag, "no") => "false",
                    (_, sent) => sent,
                },
            )
        })
        .collect();
    short_text(kind, name, &given)
}

/// A kind that has a form here.
fn short(word: &str) -> Result<(Kind, &'static [Field]), Failed> {
    Kind::from_word(word)
        .filter(|kind| !matches!(kind, Kind::Study | Kind::Photo))
        .and_then(|kind| Some((kind, fields_of(kind)?)))
        .ok_or_else(|| Failed::not_there(&format!("form for '{word}'")))
}

/// A blank form.
pub(crate) async fn new_page(
    State(app): State<App>,
    headers: HeaderMap,
    Path(word): Path<String>,
) -> Result<Markup, Failed> {
    let (kind, known) = short(&word)?;
    new_form(&app, &headers, kind, &entries(known), &Posted::new(), None).await
}

async fn new_form(
    app: &App,
    headers: &HeaderMap,
    kind: Kind,
    entries: &[Entry],
    posted: &Posted,
    refused: Option<&Refusal>,
) -> Result<Markup, Failed> {
    let about = sheet::about(app, headers).await?;
    let values = typed(posted);
    let joints = app.study()?.look(|study| study.list(Kind::Joint)).await?;
    Ok(sheet::page(
        &about,
        kind.word(),
        "study",
        &html! {
            h1 { "A " (kind.word()) }
            form method="post" {
                div.field { label for="name" { "Name" } input id="name" name="name" value=(one(posted, "name")) placeholder="A" required;
                    p.hint { "the label on the piece, or what people call it" } }
                @if kind == Kind::Coupon && !joints.is_empty() {
                    div.field { label for="parent" { "Joint" }
                        select id="parent" name="parent" { @for joint in &joints { option value=(joint.record.0) { (joint.name) } } } }
                }
                div.columns { (fields(entries, &values, refused)) }
                button.act { "Save" }
            }
        },
    ))
}

/// Keeps a new short record.
pub(crate) async fn new(
    State(app): State<App>,
    headers: HeaderMap,
    Path(word): Path<String>,
    Form(posted): Form<Posted>,
) -> Result<Response, Failed> {
    let (kind, known) = short(&word)?;
    let entries = entries(known);
    let name = one(&posted, "name").to_owned();
    let by = by(&app, &headers, &posted)?;
    let saved = match text_of(kind, &name, &entries, &posted) {
        Err(refusal) => Err(refusal.into()),
        Ok(text) => {
            let parent = one(&posted, "parent").parse().ok().map(RecordId);
            let work = move |study: &Study| {
                study.put(kind, &Put { of: None, name: &name, parent, text: &text }, &by)
            };
            app.study()?.write(work).await
        }
    };
    let then = |record: Revision| Redirect::to(&format!("/record/{}", record.record.0));
    saved_or(saved, then, async |refusal| {
        new_form(&app, &headers, kind, &entries, &posted, Some(&refusal)).await
    })
    .await
}

/// One record: its fields or its text, and what belongs to it.
pub(crate) async fn page(
    State(app): State<App>,
    headers: HeaderMap,
    Path(id): Path<i64>,
) -> Result<Markup, Failed> {
    let revision = any(&app, id).await?;
    form_page(&app, &headers, &revision, None, None).await
}

/// The last revision of a record of any kind.
async fn any(app: &App, id: i64) -> Result<Revision, Failed> {
    let revision = app.study()?.look(move |study| Ok(study.last(RecordId(id)).ok())).await?;
    revision.ok_or_else(|| Failed::not_there("such record"))
}

async fn form_page(
    app: &App,
    headers: &HeaderMap,
    revision: &Revision,
    posted: Option<&Posted>,
    refused: Option<&Refusal>,
) -> Result<Markup, Failed> {
    let about = sheet::about(app, headers).await?;
    let record = revision.record;
    let under = app.study()?.look(move |study| study.under(record)).await?;
    let kind = revision.kind;
    let known = fields_of(kind).map(entries);
    let written = !matches!(kind, Kind::Reading | Kind::Paper);
    let text = posted.map_or(revision.content.text.as_str(), |p| one(p, "text"));
    let held = match posted {
        Some(posted) => typed(posted),
        None if known.is_some() => values(revision)?,
        None => Value::Null,
    };
    Ok(sheet::page(
        &about,
        &revision.content.name,
        "study",
        &html! {
            h1 { (kind.word()) " " (revision.content.name) }
            p.faint { "revision " (revision.number) " by " (revision.stamp.author) ", " (revision.stamp.time) ": " (revision.stamp.reason) " · " a href={ "/record/" (record.0) "/history" } { "history" } }
            @if revision.content.withdrawn { p.verdict { "Taken out of the study." } }
            @if let (Kind::Photo, Some(hash)) = (kind, revision.content.photo) { p { a href={ "/photo/" (hash) } { "The photo as it was taken in" } } }
            @if let Some(page) = own_page(revision) { p { a.act href=(page) { "Open" } } }
            form method="post" {
                (from(revision.number))
                @match &known {
                    Some(entries) => div.columns { (fields(entries, &held, refused)) },
                    None => {
                        @if let Some(refused) = refused { (crate::failed::told(refused)) }
                        div.field { label for="text" { "Text" } textarea.text id="text" name="text" rows="24" readonly[!written] spellcheck="false" { (text) } }
                    }
                }
                @if written {
                    div.field { label for="reason" { "Why (may stay blank)" } input id="reason" name="reason"; }
                    button.act { "Save" }
                }
            }
            @if !under.is_empty() {
                h2 { "What belongs to it" }
                ul { @for l in &under { li { (l.kind.word()) " " a href=(address(l.kind, l.record)) { (l.name) } } } }
            }
            @if kind == Kind::Coupon { p { a href={ "/section/new?coupon=" (revision.content.name) } { "Take in the photo of a section" } } }
            @if written && kind != Kind::Study && !revision.content.withdrawn {
                form method="post" action={ "/record/" (record.0) "/out" } {
                    (from(revision.number))
                    button { "Take it out of the study" } " " span.faint { "it stays readable in the history" }
                }
            }
        },
    ))
}

/// Where a record is worked on.
pub(crate) fn address(kind: Kind, record: RecordId) -> String {
    match kind {
        Kind::Joint => format!("/joint/{}", record.0),
        Kind::Section => format!("/section/{}", record.0),
        Kind::Claim => format!("/claim/{}", record.0),
        _ => format!("/record/{}", record.0),
    }
}

fn own_page(revision: &Revision) -> Option<String> {
    matches!(revision.kind, Kind::Joint | Kind::Section | Kind::Claim)
        .then(|| address(revision.kind, revision.record))
}

/// Keeps the next revision of a record.
pub(crate) async fn save(
    State(app): State<App>,
    headers: HeaderMap,
    Path(id): Path<i64>,
    Form(posted): Form<Posted>,
) -> Result<Response, Failed> {
    let before = any(&app, id).await?;
    let number = from_of(&posted)?;
    let by = by(&app, &headers, &posted)?;
    let kind = before.kind;
    let sent = match fields_of(kind) {
        Some(known) => text_of(kind, &before.content.name, &entries(known), &posted),
        None => Ok(text(&posted, "text")),
    };
    let saved = match sent {
        Err(refusal) => Err(refusal.into()),
        Ok(sent) => keep_next(&app.study()?, &before, number, sent, by).await,
    };
    let then = |saved: Revision| Redirect::to(&address(kind, saved.record));
    saved_or(saved, then, async |refusal| {
        form_page(&app, &headers, &before, Some(&posted), Some(&refusal)).await
    })
    .await
}

/// Everything that a record ever said: what each revision changed, and of a section what was read of it.
pub(crate) async fn history(
    State(app): State<App>,
    headers: HeaderMap,
    Path(id): Path<i64>,
) -> Result<Markup, Failed> {
    let about = sheet::about(&app, &headers).await?;
    let look = move |study: &Study| {
        let Ok(all) = study.history(RecordId(id)) else { return Ok(None) };
        let read = match all.last() {
            Some(r) if r.kind == Kind::Section => study.kept_by_revision(&r.content.name)?,
            _ => [].into(),
        };
        let texts = all.windows(2).map(|two| [&two[0], &two[1]].map(|r| &r.content.text));
        let changed: Vec<String> = texts.map(|[old, new]| lines_changed(old, new)).collect();
        Ok(Some((all, changed, read)))
    };
    let (all, changed, read) =
        app.study()?.look(look).await?.ok_or_else(|| Failed::not_there("such record"))?;
    let last = all.last().map_or(0, |r| r.number);
    let written = all.last().is_some_and(|r| !matches!(r.kind, Kind::Reading | Kind::Paper));
    let before = |i: usize| i.checked_sub(1).map(|i| (&all[i].content, &changed[i]));
    Ok(sheet::page(
        &about,
        "History",
        "study",
        &html! {
            h1 { "History of " @if let Some(r) = all.last() { (r.kind.word()) " " (r.content.name) } }
            p.faint { "Nothing is overwritten. Going back writes a new revision that says what the old one said." }
            @for (i, r) in all.iter().enumerate().rev() {
                section.card {
                    h2 { "Revision " (r.number) }
                    p { (r.stamp.time) ", " (r.stamp.author) ": " (r.stamp.reason) @if r.content.withdrawn { " (taken out)" } }
                    @for line in read.get(&r.seq).into_iter().flatten() { p { (line) } }
                    @if let Some((before, changed)) = before(i) {
                        @if before.photo != r.content.photo { p { "another photo" } }
                        @if changed.is_empty() { p.faint { "its text stays as it was" } }
                        @else { details open[i + 1 == all.len()] { summary { "What it changed: lines with − went, lines with + came" } pre { (changed) } } }
                    }
                    details { summary { "What it says" } pre { (r.content.text) } }
                    @if r.number != last && written {
                        form.inline method="post" action={ "/record/" (id) "/back" } {
                            (from(last)) input type="hidden" name="to" value=(r.number);
                            button { "Go back to this" }
                        }
                    }
                    p.faint.hex { "entry " (r.entry) }
                }
            }
        },
    ))
}

/// The lines that went and came from one text to the next, in their order.
fn lines_changed(before: &str, after: &str) -> String {
    // Two long texts that share nothing would take long to tell apart closely.
    let text = similar::TextDiff::configure()
        .timeout(std::time::Duration::from_millis(100))
        .diff_lines(before, after);
    let sign = |tag| match tag {
        similar::ChangeTag::Delete => Some('−'),
        similar::ChangeTag::Insert => Some('+'),
        similar::ChangeTag::Equal => None,
    };
    let lines = text.iter_all_changes().filter_map(|change| {
        Some(format!("{} {}\n", sign(change.tag())?, change.value().trim_end_matches('\n')))
    });
    lines.collect()
}

/// Goes back to what an earlier revision said.
pub(crate) async fn back(
    State(app): State<App>,
    headers: HeaderMap,
    Path(id): Path<i64>,
    Form(posted): Form<Posted>,
) -> Result<Redirect, Failed> {
    let number = from_of(&posted)?;
    let to: i64 = one(&posted, "to").parse().map_err(|_| Failed::not_there("such revision"))?;
    let by = by(&app, &headers, &posted)?;
    let work = move |study: &Study| study.go_back(RecordId(id), number, to, &by);
    let revision = app.study()?.write(work).await?;
    Ok(Redirect::to(&address(revision.kind, revision.record)))
}

/// Takes a record out.
pub(crate) async fn out(
    State(app): State<App>,
    headers: HeaderMap,
    Path(id): Path<i64>,
    Form(posted): Form<Posted>,
) -> Result<Redirect, Failed> {
    let number = from_of(&posted)?;
    let by = by(&app, &headers, &posted)?;
    app.study()?.write(move |study| study.withdraw(RecordId(id), number, &by)).await?;
    Ok(Redirect::to(&format!("/record/{id}")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_revision_tells_the_lines_that_went_and_came() {
        let (before, after) = ("a = 1\nb = 2\nc = 3\n", "a = 1\nb = 4\nc = 3\nd = 5\n");
        assert_eq!(lines_changed(before, after), "− b = 2\n+ b = 4\n+ d = 5\n");
        assert_eq!(lines_changed(before, before), "");
    }
}
