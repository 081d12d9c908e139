//! Was a point of a guided outline set where no line is?
//!
//! ```text
//!      ━━━━━━━╮ ╭━━━━━━━━   the path must pass the point, so it leaves the line, and comes back beside its own way
//!             │ │
//!             ╰●╯  a set point in clean metal
//! ```
//!
//! About each set point the outline is looked at: where it turns back on itself inside the metal, or where the tool sees no line
//! around the point though it sees one over most of the outline, the point is asked about. It is never moved.
//!
//! Measured on drawn pictures (`tests/it/astray.rs`): asked about 5 of 554 points set right, and 28 of 61 left more than 1 mm
//! off the line: where grain leads the path out and back by a wide bend, nothing is told.
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
            LOOKS.iter().any(|look| lost(at, (look * n as f64) as usize))
        })
        .collect()
}
