//! Depth of fusion into each plate of a fillet, and the length that is fused to each.
//!
//! ```text
//!          ┃●
//!     ╭────┃ ╲      depth in the upright: at mid-leg, square to its face
//!     │ mid┃  ╲
//!     ╰╮   C───●
//!      ╰───┴──╯     depth in the base: greatest depth below its surface
//! ```
//!
//! Fused length on the base is leg plus root penetration, on the upright leg plus depth: the parent-metal check of a
//! weld that fails beside, not through, its throat.
//!
//! Terms of the trade; no clause defines them.

use super::Point;
use super::fillet::Fillet;
use super::stretch::{Look, stretches};

/// Greatest depth of the zone below the base's surface, millimetres.
#[must_use]
pub fn in_base(fillet: &Fillet) -> f64 {
    fillet.outline.iter().fold(0.0, |d, p| d.max(-p.y))
}

/// Depth of the zone in the upright at mid-leg, square to its face; `None` when the face is not fused there.
#[must_use]
pub fn in_upright(fillet: &Fillet) -> Option<f64> {
    let track = fillet.upright.as_ref()?;
    let middle = 0.5 * track.toe;
    let slack = 1e-9 * track.toe.abs();
    track.fused.holding(middle, slack)?;
    // Looked at along the normal: s runs into the upright, h along it.
    let view: Vec<Point> =
        fillet.outline.iter().map(|p| Point::new(-p.dot(fillet.off), p.dot(fillet.up))).collect();
    stretches(&view, middle, Look::Above)
        .iter()
        .find(|s| s.from.s <= slack && s.to.s >= -slack)
        .map(|s| s.to.s.max(0.0))
}
