//! One file per step.

pub(crate) mod area;
pub(crate) mod claim;
pub(crate) mod home;
pub(crate) mod record;
pub(crate) mod section;
pub(crate) mod sight;
pub(crate) mod start;
pub(crate) mod study;

use crate::app::App;
use crate::failed::Failed;
use crate::form::{Posted, one};
use crate::shop::who;
use axum::http::HeaderMap;
use workflow::clock::By;
use workflow::refusal::Refusal;
use workflow::study::{Kind, RecordId, Revision, Study};

/// Who writes, and why if the page says it.
pub(crate) fn by(app: &App, headers: &HeaderMap, posted: &Posted) -> Result<By, Failed> {
    let named = one(posted, "author");
    let author = if named.is_empty() { who(app, headers) } else { named.to_owned() };
    if author.is_empty() {
        return Err(Refusal::new(
            "nobody is named, and a study keeps who wrote what",
            "say your name first: the link stands at the foot of each page",
        )
        .in_field("author")
        .into());
    }
    Ok(By::now(author).because(one(posted, "reason")))
}

/// The revision that an edit starts from.
pub(crate) fn from_of(posted: &Posted) -> Result<i64, Refusal> {
    one(posted, "from").parse().map_err(|_| {
        Refusal::new("the page does not say which revision it started from", "load the page again")
            .in_field("from")
    })
}

/// The last revision of a record of a kind.
pub(crate) fn last(study: &Study, id: i64, kind: Kind) -> Result<Option<Revision>, Refusal> {
    // Asking for a record that is not there is no fault of the file.
    Ok(study.last(RecordId(id)).ok().filter(|r| r.kind == kind))
}
