//! The plan of a controlled area: who may stand where, behind what, wearing what; to be ticked and signed.
//!
//! ```text
//!   1  what speaks against it, the room from above to scale, four answers, where it is signed, cautions
//!   2  the working: beam, distances, eyewear, curtains, room, gas, fume, each with its source
//!   n  check list to tick on site, lines to sign, etching and cutting, sources with how each is known
//! ```
//!
//! Words and figures come in as they are printed elsewhere too; nothing is worked out or rounded here, so paper, page
//! and machine agree to the last digit. What is Recalled carries that word, and 'invented data' stands on every page
//! when the flag is set.

use super::words::{self, text};
use super::{Date, Paper, PaperError, world};
use crate::faces::{self, PAPER_FAMILY, Weight};
use crate::figure::Svg;
use serde_json::{Value, json};
use weld::source::Source;

/// All that an area plan says.
#[derive(Clone, Debug)]
pub struct AreaPlan {
    /// Its title.
    pub title: String,
    /// Where the area is.
    pub site: String,
    /// Who worked it out.
    pub author: String,
    /// The laser in a line: power, wavelength.
    pub laser: String,
    /// The date it carries.
    pub date: Date,
    /// The scenario is invented: said on every page.
    pub invented: bool,
    /// Tells this setup from another.
    pub fingerprint: String,
    /// What speaks against releasing the area; empty: nothing in what was entered.
    pub against: Vec<String>,
    /// Questions, each with its answer.
    pub answers: Vec<[String; 2]>,
    /// The room from above, by [`figure::plan`](crate::figure::plan).
    pub plan: Option<Svg>,
    /// Cautions.
    pub cautions: Vec<String>,
    /// The working.
    pub parts: Vec<AreaPart>,
    /// What was taken because nothing was said.
    pub taken: Vec<String>,
    /// The check list: topic, what must be so, source in a few words.
    pub checks: Vec<[String; 3]>,
    /// Who signs: role, and name where it is known.
    pub signatures: Vec<[String; 2]>,
    /// What holds for all etching and cutting.
    pub etching_always: Vec<String>,
    /// Etchants.
    pub etchants: Vec<AreaEtchant>,
    /// Every source leant on.
    pub sources: Vec<Source>,
}

/// A part of the working.
#[derive(Clone, Debug)]
pub struct AreaPart {
    /// Its title.
    pub title: String,
    /// What, how much, and where it is from.
    pub rows: Vec<[String; 3]>,
    /// Sentences.
    pub sentences: Vec<String>,
}

/// An etchant.
#[derive(Clone, Debug)]
pub struct AreaEtchant {
    /// Its name.
    pub name: String,
    /// For which alloys.
    pub alloys: String,
    /// Strength and use.
    pub strength: String,
    /// What never to mix or store.
    pub never: String,
    /// First aid.
    pub first_aid: String,
    /// Only for persons trained for it.
    pub trained_only: bool,
    /// Where it is from, in a few words.
    pub from: String,
}

/// Width of the text, mm: the plan's drawing is at most so wide.
pub const TEXT_WIDTH_MM: f64 = 170.0;

const TEMPLATE: &str = include_str!("area.typ");

/// Typesets the plan.
///
/// # Errors
///
/// When the date is no day. Anything else is typeset.
pub fn area_plan(plan: &AreaPlan) -> Result<Paper, PaperError> {
    let mut files = Vec::new();
    if let Some(svg) = &plan.plan {
        files.push(("plan.svg".to_owned(), svg.as_str().as_bytes().to_vec()));
    }
    files.push(("data.json".to_owned(), data(plan)?.to_string().into_bytes()));
    world::typeset(TEMPLATE, files, plan.date)
}

/// The plan's values as the template reads them, for those who want to look at what a paper says.
///
/// # Errors
///
/// When the date is no day.
pub fn area_data(plan: &AreaPlan) -> Result<String, PaperError> {
    serde_json::to_string_pretty(&data(plan)?)
        .map_err(|e| PaperError::Typesetting { why: e.to_string() })
}

/// A text for the head of a page: one line of at most so many millimetres at eight points.
fn one_line(from: &str, most: f64) -> String {
    // A point is 25.4 / 72 mm.
    faces::fitted(&faces::printable(from, false), 8.0 * 25.4 / 72.0, Weight::Regular, most)
}

fn data(plan: &AreaPlan) -> Result<Value, PaperError> {
    let texts = |all: &[String]| all.iter().map(|t| text(t)).collect::<Vec<_>>();
    Ok(json!({
        "family": PAPER_FAMILY,
        "title": text(&plan.title),
        "running": one_line(&plan.title, 96.0),
        "running_right": one_line(&plan.site, 66.0),
        "site": text(&plan.site),
        "author": text(&plan.author),
        "laser": text(&plan.laser),
        "date": { "year": plan.date.year, "month": plan.date.month, "day": plan.date.day },
        "date_words": plan.date.words()?,
        "invented": plan.invented,
        "fingerprint": text(&plan.fingerprint),
        "against": texts(&plan.against),
        "answers": plan.answers.iter().map(|a| texts(a)).collect::<Vec<_>>(),
        "plan": plan.plan.as_ref().map(|svg| json!({
            "file": "plan.svg",
            "width": svg.width_mm().min(TEXT_WIDTH_MM),
            "alt": "The controlled area from above, drawn to scale",
        })),
        "cautions": texts(&plan.cautions),
        "parts": plan.parts.iter().map(|p| json!({
            "title": text(&p.title),
            "rows": p.rows.iter().map(|r| texts(r)).collect::<Vec<_>>(),
            "sentences": texts(&p.sentences),
        })).collect::<Vec<_>>(),
        "taken": texts(&plan.taken),
        "checks": plan.checks.iter().map(|c| texts(c)).collect::<Vec<_>>(),
        "signatures": plan.signatures.iter().map(|s| texts(s)).collect::<Vec<_>>(),
        "etching_always": texts(&plan.etching_always),
        "etchants": plan.etchants.iter().map(|e| json!({
            "name": text(&e.name),
            "alloys": text(&e.alloys),
            "strength": text(&e.strength),
            "never": text(&e.never),
            "first_aid": text(&e.first_aid),
            "trained_only": e.trained_only,
            "from": text(&e.from),
        })).collect::<Vec<_>>(),
        "sources": plan.sources.iter().map(|s| json!({
            "title": text(s.title),
            "place": text(s.place),
            "seen": text(&words::seen(s)),
            "recalled": words::is_recalled(s),
        })).collect::<Vec<_>>(),
    }))
}
