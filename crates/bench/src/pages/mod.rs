//! One file per step.

pub(crate) mod area;
pub(crate) mod choices;
pub(crate) mod claim;
pub(crate) mod compare;
pub(crate) mod expect;
pub(crate) mod home;
pub(crate) mod record;
pub(crate) mod section;
pub(crate) mod sight;
pub(crate) mod start;
pub(crate) mod study;

use crate::app::App;
use crate::failed::Failed;
use crate::form::{Posted, one, seen};
use crate::keep::Open;
use crate::shop::who;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use maud::Markup;
use std::sync::Arc;
use workflow::clock::By;
use workflow::refusal::Refusal;
use workflow::study::{Kind, Put, RecordId, Revision};
use workflow::wire::label_of_draft;

/// Who writes, and why if the page says it.
pub(crate) fn by(app: &App, headers: &HeaderMap, posted: &Posted) -> Result<By, Failed> {
    let named = one(posted, "author");
    let author = if named.is_empty() { who(app, headers) } else { named.to_owned() };
    if author.is_empty() {
        return Err(Refusal::new(
            "nobody is named, and a study keeps who wrote what",
            "say your name: in its field where there is one, else by the link at the foot of each page",
        )
        .in_field("author")
        .into());
    }
    // It is kept for ever: a sentence or two.
    Ok(By::now(author).because(seen(one(posted, "reason"), 300)))
}

/// The revision that an edit starts from.
pub(crate) fn from_of(posted: &Posted) -> Result<i64, Refusal> {
    one(posted, "from").parse().map_err(|_| {
        Refusal::new("the page does not say which revision it started from", "load the page again")
            .in_field("from")
    })
}

/// The last revision of a record of a kind.
pub(crate) async fn found(open: &Arc<Open>, id: i64, kind: Kind) -> Result<Revision, Failed> {
    // Asking for a record that is not there is no fault of the file.
    let found = open.look(move |study| Ok(study.last(RecordId(id)).ok())).await?;
    found
        .filter(|r| r.kind == kind)
        .ok_or_else(|| Failed::not_there(&format!("such {}", kind.word())))
}

/// Keeps the next revision of a record, for an edit that started from revision `number`.
pub(crate) async fn keep_next(
    open: &Arc<Open>,
    before: &Revision,
    number: i64,
    text: String,
    by: By,
) -> Result<Revision, Failed> {
    let before = before.clone();
    open.write(move |study| {
        let (of, content) = (Some((before.record, number)), &before.content);
        let mut put = Put { of, name: &content.name, parent: content.parent, text: &text };
        if before.kind != Kind::Section {
            return study.put(before.kind, &put, &by);
        }
        // A section goes with its coupon's label; a stale edit makes no coupon.
        if study.last(before.record)?.number == number {
            let label = label_of_draft(&text, "coupon");
            put.parent = study.coupon_by_label(&before, label.as_deref(), &by)?;
        }
        study.put_section(&put, &by)
    })
    .await
}

/// What a form answers: what comes when it was saved; else the form again, with the refusal at its field.
pub(crate) async fn saved_or<T>(
    saved: Result<T, Failed>,
    then: impl FnOnce(T) -> Redirect,
    form: impl AsyncFnOnce(Refusal) -> Result<Markup, Failed>,
) -> Result<Response, Failed> {
    match saved {
        Ok(saved) => Ok(then(saved).into_response()),
        Err(Failed::Refused(refusal)) => {
            Ok((StatusCode::UNPROCESSABLE_ENTITY, form(refusal).await?).into_response())
        }
        Err(other) => Err(other),
    }
}

/// The name of a file in a study, as a form gives it.
pub(crate) fn file_name(posted: &Posted, unnamed: &str) -> String {
    match one(posted, "name") {
        "" => unnamed.to_owned(),
        name if name.ends_with(".toml") => name.to_owned(),
        name => format!("{name}.toml"),
    }
}
