//! `read --inside`: which outline might the fused zone around this place have?
//!
//! A proposal is no reading: a person looks along it, moves points, and accepts it.

use crate::files;
use crate::overlay::foot;
use crate::refusal::Refusal;
use crate::wire::{ProposedOut, ProposedOutlineOut};
use photo::decode::{Photo, decode};
use photo::marks::Kind;
use photo::overlay::{Look, Stroke, paint};
use photo::propose::{Proposal, ProposeError, propose as propose_outline};
use photo::pyramid::{Plane, Pyramid};
use std::path::Path;
use std::sync::Arc;

/// What was proposed, or why nothing was.
#[derive(Debug)]
pub enum Proposed {
    /// One outline, or two that are nested.
    Outlines {
        /// The form of the answer.
        out: ProposedOut,
        /// The proposal as nouns.
        proposal: Proposal,
        /// The photo, for an overlay.
        photo: Arc<Photo>,
    },
    /// No line is seen around the place.
    Nothing {
        /// Why.
        sentence: String,
        /// What to do.
        advice: &'static str,
    },
}

/// Proposes outlines of the fused zone around a place of a photo (pixels after the EXIF turn).
///
/// # Errors
///
/// When the photo cannot be used, or the place lies outside it.
pub fn propose(path: &Path, inside: [f64; 2]) -> Result<Proposed, Refusal> {
    let file = path.display().to_string();
    let bytes = files::photo(path)?;
    let photo = decode(&bytes).map_err(|e| {
        let text = std::str::from_utf8(&bytes).is_ok();
        let advice = if text { "with --inside, name the photo itself" } else { e.advice() };
        Refusal::new(&e, advice).in_file(&file)
    })?;
    let pyramid = Pyramid::new(Plane {
        width: photo.width as usize,
        height: photo.height as usize,
        px: photo.lightness.clone(),
    })
    .map_err(|e| Refusal::new(&e, e.advice()).in_file(&file))?;
    propose_on(&pyramid, &Arc::new(photo), &file, inside)
}

/// The same on a photo that was made ready.
pub(crate) fn propose_on(
    pyramid: &Pyramid,
    photo: &Arc<Photo>,
    file: &str,
    inside: [f64; 2],
) -> Result<Proposed, Refusal> {
    match propose_outline(pyramid, inside) {
        Ok(proposal) => {
            let outlines = proposal
                .outlines
                .iter()
                .map(|o| ProposedOutlineOut {
                    which: o.which,
                    side: None,
                    points: o.points.clone(),
                    seen: o.seen.why.clone(),
                })
                .collect();
            let out =
                ProposedOut { photo: file.to_owned(), inside, outlines, caution: proposal.caution };
            Ok(Proposed::Outlines { out, proposal, photo: Arc::clone(photo) })
        }
        Err(e @ ProposeError::Outside { .. }) => {
            Err(Refusal::new(&e, e.advice()).in_file(file).in_field("inside"))
        }
        Err(e) => Ok(Proposed::Nothing { sentence: e.to_string(), advice: e.advice() }),
    }
}

/// The photo with the proposed outlines and their points on it, as PNG.
///
/// # Errors
///
/// When the picture cannot be written.
pub fn overlay(photo: &Photo, proposal: &Proposal) -> Result<Vec<u8>, Refusal> {
    let several = proposal.outlines.len() > 1;
    let mut strokes = Vec::new();
    for (i, o) in proposal.outlines.iter().enumerate() {
        let look = if several && i > 0 { Look::Second } else { Look::Outline(Kind::Fused) };
        strokes.push(Stroke { px: o.px.clone(), closed: true, look });
        strokes.extend(o.points.iter().map(|&p| Stroke {
            px: vec![p],
            closed: false,
            look: Look::SetPoint,
        }));
    }
    paint(photo, &strokes, &foot(photo, &strokes)?)
        .map_err(|e| Refusal::new(&e, "report this as a fault"))
}
