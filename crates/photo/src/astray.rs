//! Was a point of a guided outline set where no line is?
//!
//! ```text
//!      ━━━━━━━╮ ╭━━━━━━━━   the path must pass the point, so it leaves the line, and comes back beside its own way
//!             │ │
//!             ╰●╯  a set point in clean metal
//! ```
//!
//! About each set point the outline is looked at: where it turns back on itself inside the metal, or where the tool sees no line
//! around the point though it sees one over most of the outline, or clearly less of one, the point is asked about. It is never
//! moved.
//!
//! Measured on drawn pictures (`tests/it/astray.rs`): asked about 3 to 9 of 554 points set right, and 17 to 34 of 62 left more than 1 mm
//! off the line (for 0.8 to 0.9 of its usual evidence): where grain gives as much evidence as a line, nothing is told.
//! Not covered: a point set on another line ([`crate::nested`]); a point so near that the path is only bent.

use crate::marks::Px;
use crate::trace::{Outline, Shape};

/// How far along the outline to either side of a point it is looked at, as shares of its length: a point may lie near or far
/// from the line.
const LOOKS: [f64; 3] = [0.02, 0.035, 0.05];
/// Ends of such a piece nearer than this share of its length have turned back on themselves: at a corner of 50 degrees they
/// are 0.42 of it apart.
const TURNED: f64 = 0.42;
/// A line is seen over at least this share of an outline that has one, and about less than the second of its point.
const SEEN: f64 = 0.5;
const NOT_SEEN: f64 = 0.2;
/// About a point in clean metal the outline gives less than this share of its usual evidence.
const FAINT: f64 = 0.87;

/// The set points, as pulled, that a closed outline goes out to and comes back from, or about which no line is seen.
#[must_use]
pub fn points(outline: &Outline) -> Vec<Px> {
    let n = outline.px.len();
    if n < 200 || outline.shape != Shape::Closed {
        return Vec::new();
    }
    let apart = |a: Px, b: Px| (b[0] - a[0]).hypot(b[1] - a[1]);
    let share = |from: usize, count: usize| {
        let seen = (0..count).filter(|k| outline.seen[(from + k) % n]).count();
        seen as f64 / count as f64
    };
    let has_line = share(0, n) >= SEEN;
    let mut usual: Vec<f64> =
        (0..n).filter(|&i| !outline.at_mount[i]).map(|i| outline.evidence_at[i]).collect();
    usual.sort_by(f64::total_cmp);
    let usual = usual.get(usual.len() / 2).copied().unwrap_or(0.0);
    // About a point in clean metal the outline looks less like a line than it mostly does.
    let faint = |at: usize| {
        let half = (LOOKS[0] * n as f64) as usize;
        let about = (0..=2 * half).map(|k| (at + n - half + k) % n);
        let in_metal = about.clone().all(|i| !outline.at_mount[i]);
        let mean = about.map(|i| outline.evidence_at[i]).sum::<f64>() / (2 * half + 1) as f64;
        has_line && in_metal && mean < FAINT * usual
    };
    let lost = |at: usize, half: usize| {
        let from = at + n - half;
        let piece = |k: usize| outline.px[(from + k) % n];
        let long: f64 = (0..2 * half).map(|k| apart(piece(k), piece(k + 1))).sum();
        // Toes end thin as well: there the face borders the mount.
        let in_metal = (0..=2 * half).all(|k| !outline.at_mount[(from + k) % n]);
        let turned = apart(piece(0), piece(2 * half)) < TURNED * long;
        in_metal && turned || has_line && share(from, 2 * half + 1) < NOT_SEEN
    };
    outline
        .set_px
        .iter()
        .copied()
        .filter(|&p| {
            let at = (0..n)
                .min_by(|&a, &b| apart(outline.px[a], p).total_cmp(&apart(outline.px[b], p)))
                .unwrap_or(0);
            faint(at) || LOOKS.iter().any(|look| lost(at, (look * n as f64) as usize))
        })
        .collect()
}
