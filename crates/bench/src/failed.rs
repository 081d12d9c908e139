//! What a page says when something cannot be done: the fact, then the next action; as a page or as JSON.

use crate::sheet;
use axum::Json;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use maud::html;
use serde_json::{Value, json};
use workflow::refusal::Refusal;
use workflow::study::{Stale, Unsaved};
use workflow::wire::marks_json;

/// Why a page or an answer cannot be given.
#[derive(Debug)]
pub(crate) enum Failed {
    /// It cannot be done as asked.
    Refused(Refusal),
    /// Somebody else saved a newer revision meanwhile.
    Stale(Box<Stale>),
    /// The disk, not what was sent.
    Disk(Refusal),
    /// There is no such page or record.
    NotThere(Refusal),
    /// No study is open.
    NoStudy,
}

impl From<Refusal> for Failed {
    fn from(refusal: Refusal) -> Self {
        Self::Refused(refusal)
    }
}

impl From<Unsaved> for Failed {
    fn from(unsaved: Unsaved) -> Self {
        match unsaved {
            Unsaved::Stale(stale) => Self::Stale(stale),
            Unsaved::Refused(refusal) => Self::Refused(refusal),
            Unsaved::Disk(refusal) => Self::Disk(refusal),
        }
    }
}

impl Failed {
    /// Nothing of that name.
    pub(crate) fn not_there(what: &str) -> Self {
        Self::NotThere(Refusal::new(
            format!("there is no {what}"),
            "go back to the study's first page; it may have been taken out",
        ))
    }

    pub(crate) const fn status(&self) -> StatusCode {
        match self {
            Self::Refused(_) => StatusCode::UNPROCESSABLE_ENTITY,
            Self::Stale(_) => StatusCode::CONFLICT,
            Self::Disk(_) => StatusCode::INSUFFICIENT_STORAGE,
            Self::NotThere(_) => StatusCode::NOT_FOUND,
            Self::NoStudy => StatusCode::SERVICE_UNAVAILABLE,
        }
    }

    /// The refusal in it.
    pub(crate) fn refusal(&self) -> Refusal {
        match self {
            Self::Refused(refusal) | Self::Disk(refusal) | Self::NotThere(refusal) => {
                refusal.clone()
            }
            Self::Stale(stale) => Refusal::new(
                format!(
                    "{} saved this as revision {} at {}, after you had begun from revision {}",
                    stale.now.stamp.author,
                    stale.now.number,
                    stale.now.stamp.time,
                    stale.started_from.number
                ),
                "look at both, and save yours again over theirs, or leave theirs",
            ),
            Self::NoStudy => Refusal::new("no study is open", "open one, or begin a new one"),
        }
    }
}

impl IntoResponse for Failed {
    fn into_response(self) -> Response {
        if matches!(self, Self::NoStudy) {
            return Redirect::to("/").into_response();
        }
        let refusal = self.refusal();
        let body = html! {
            (told(&refusal))
            @if let Self::Stale(stale) = &self {
                div.two {
                    section { h2 { "Yours, not saved" } pre { (stale.yours.text) } }
                    section { h2 { "Theirs, saved" } pre { (stale.now.content.text) } }
                }
            }
            p { a href="/" { "To the study" } }
        };
        (self.status(), sheet::bare("This cannot be done", &body)).into_response()
    }
}

/// Where on its page a refusal stands.
pub(crate) const REFUSED: &str = "refused";

/// Fact and next action, as a page shows them.
pub(crate) fn told(refusal: &Refusal) -> maud::Markup {
    html! {
        div.told id=(REFUSED) role="alert" {
            p.fact {
                @if let Some(field) = &refusal.field { b { (field) ": " } }
                (refusal.fact)
            }
            p.next { "Next: " (refusal.advice) }
        }
    }
}

/// The same for machines, and for the pages on which a hand draws.
#[derive(Debug)]
pub(crate) struct Told(pub(crate) Failed);

impl<E: Into<Failed>> From<E> for Told {
    fn from(failed: E) -> Self {
        Self(failed.into())
    }
}

impl Told {
    pub(crate) fn body(&self) -> Json<Value> {
        let refusal = self.0.refusal();
        let mut body = json!({
            "fact": refusal.fact, "advice": refusal.advice, "field": refusal.field, "line": refusal.line,
        });
        if let Failed::Stale(stale) = &self.0 {
            let now = &stale.now;
            body["theirs"] = json!({
                "revision": now.number,
                "author": now.stamp.author,
                "time": now.stamp.time,
                "marks": marks_json::to_json(&now.content.name, &now.content.text).ok(),
            });
        }
        Json(body)
    }
}

impl IntoResponse for Told {
    fn into_response(self) -> Response {
        (self.0.status(), self.body()).into_response()
    }
}
