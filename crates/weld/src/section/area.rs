//! Areas of a fused zone: melted parent, deposited, lost, dilution, pores.
//!
//! ```text
//!     ┃██╲        ██ deposited = fused less melted parent (the gap included)
//!   ░░┃███╲       ░░ melted parent = fused inside the original plates
//!   ░░C────●
//!    ░░░░░        dilution = melted parent / fused
//! ```
//!
//! Plates are straight faces, so melted parent is the outline clipped by half-planes; the tests compare it with areas
//! worked by hand. Wire needed = deposited less lost.
//!
//! Source: dilution after [`AWS_A3_0_TERMS`](crate::source::AWS_A3_0_TERMS).

use super::outline::{area, centroid, clip, contains};
use super::{Butt, Point};
use crate::reading::{Reading, Readings};

/// Areas of one zone, square millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Areas {
    /// Everything that was liquid.
    pub fused: f64,
    /// The part of it inside the original plates.
    pub melted_parent: f64,
    /// Original parent that is now air.
    pub lost: f64,
    /// Pores in it.
    pub pores: f64,
}

impl Areas {
    /// Enters the areas and what follows from them.
    pub fn enter(&self, readings: &mut Readings) {
        readings.set(Reading::FusedArea, self.fused);
        readings.set(Reading::MeltedParentArea, self.melted_parent);
        readings.set(Reading::DepositedArea, (self.fused - self.melted_parent).max(0.0));
        readings.set(Reading::LostArea, self.lost);
        readings.set(Reading::Dilution, (self.melted_parent / self.fused).clamp(0.0, 1.0));
        readings.set(Reading::PoreAreaShare, self.pores / self.fused);
    }
}

/// Part of the outline below the line y = 0.
#[must_use]
pub fn below_surface(outline: &[Point]) -> f64 {
    area(&clip(outline, Point::default(), Point::new(-1.0, 0.0)))
}

/// Part of the outline inside a base of some thickness with its surface at y = 0.
#[must_use]
pub fn in_base(outline: &[Point], thickness: Option<f64>) -> f64 {
    let mut part = clip(outline, Point::default(), Point::new(-1.0, 0.0));
    if let Some(t) = thickness {
        part = clip(&part, Point::new(0.0, -t), Point::new(1.0, 0.0));
    }
    area(&part)
}

/// Part of the outline inside an upright: behind its face, above the gap, in front of its far face.
#[must_use]
pub fn in_upright(
    outline: &[Point],
    up: Point,
    off: Point,
    gap: f64,
    thickness: Option<f64>,
) -> f64 {
    let mut part = clip(outline, Point::default(), up);
    part = clip(&part, Point::new(0.0, gap), Point::new(1.0, 0.0));
    if let Some(t) = thickness {
        part = clip(&part, off * -t, up * -1.0);
    }
    area(&part)
}

/// Part of the outline inside the two plates of a butt joint; the gap between them is no parent.
#[must_use]
pub fn in_butt(outline: &[Point], butt: &Butt) -> f64 {
    let (from, down) = match butt.joint_line {
        Some([a, b]) => (a, (b - a).unit().unwrap_or(Point::new(0.0, -1.0))),
        None => (Point::default(), Point::new(0.0, -1.0)),
    };
    // Looking down the joint line, the left plate is on its right hand.
    let sideways = down.left();
    let mut sum = 0.0;
    for (i, side) in [(0, -1.0), (1, 1.0)] {
        let edge = from + sideways * (side * 0.5 * butt.gap);
        let mut part = clip(outline, edge, down * side);
        part = clip(&part, butt.top[i].at, butt.top[i].along * -1.0);
        if let Some(bottom) = &butt.bottom {
            part = clip(&part, bottom[i].at, bottom[i].along);
        }
        sum += area(&part);
    }
    sum
}

/// Area of the pores whose middle lies in the zone.
#[must_use]
pub fn pores_in(outline: &[Point], pores: &[Vec<Point>]) -> f64 {
    pores.iter().filter(|p| contains(outline, centroid(p), 0.0)).map(|p| area(p)).sum()
}
