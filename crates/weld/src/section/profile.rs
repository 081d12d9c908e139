//! The shape of the face: convexity, toe angles, overlap, and how deep the zone is for its width.
//!
//! ```text
//!   ●╲  ╮                convexity: furthest the face stands out of the toe-to-toe line; hollow: negative
//!   ┃ ╲  ╲               toe angle: between face and plate, measured in the air (180 degrees: flush)
//!   ┃  ╲  ╲╮
//!   ┗━━━●══╯             overlap: weld metal beyond the toe that is not fused to the plate
//!          ↔
//! ```
//!
//! Source: 503, 505, 506 of [`ISO_6520_1`](crate::source::ISO_6520_1).

use super::Point;
use super::fillet::Fillet;

/// How far the face stands out of the toe-to-toe line, millimetres; negative when it is hollow by more.
#[must_use]
pub fn convexity(fillet: &Fillet) -> Option<f64> {
    let (base, upright) = fillet.toes()?;
    let along = (upright - base).unit()?;
    // From base toe to upright toe the metal is on the left, the air on the right.
    let out = |p: &Point| -along.cross(*p - base);
    let most = fillet.face.iter().map(out).fold(0.0, f64::max);
    let least = fillet.face.iter().map(out).fold(0.0, f64::min);
    Some(if most >= -least { most } else { least })
}

/// Angle in the air between a plate beyond its toe and the face at the toe, degrees.
///
/// The face's direction is taken over a tenth of the toe-to-toe distance: nearer, the trace decides, not the weld.
#[must_use]
pub fn toe_angle(face_from_toe: &[Point], away: Point) -> Option<f64> {
    let (first, last) = (*face_from_toe.first()?, *face_from_toe.last()?);
    let reach = 0.1 * (last - first).norm();
    let mut at = first;
    for w in face_from_toe.windows(2) {
        if (w[1] - first).norm() >= reach {
            let (near, far) = ((w[0] - first).norm(), (w[1] - first).norm());
            let t = if far > near { ((reach - near) / (far - near)).clamp(0.0, 1.0) } else { 1.0 };
            at = w[0].towards(w[1], t);
            break;
        }
    }
    let along = (at - first).unit()?;
    Some(along.cross(away).atan2(along.dot(away)).abs().to_degrees())
}

/// Weld metal beyond each toe that is not fused to the plate: on the base, on the upright, millimetres.
#[must_use]
pub fn overlap(fillet: &Fillet) -> Option<(f64, f64)> {
    let (base, upright) = (fillet.base.as_ref()?, fillet.upright.as_ref()?);
    let furthest =
        |along: Point| fillet.face.iter().map(|p| p.dot(along)).fold(f64::NEG_INFINITY, f64::max);
    Some((
        (furthest(Point::new(1.0, 0.0)) - base.toe).max(0.0),
        (furthest(fillet.up) - upright.toe).max(0.0),
    ))
}

/// Depth of the fused zone below the toe-to-toe line over the length of that line.
///
/// Above 2, centreline cracking is a concern (common practice, no source).
#[must_use]
pub fn depth_to_width(fillet: &Fillet) -> Option<f64> {
    let (base, upright) = fillet.toes()?;
    let width = (upright - base).norm();
    let along = (upright - base).unit()?;
    let depth = fillet.outline.iter().map(|p| along.cross(*p - base)).fold(0.0, f64::max);
    Some(depth / width)
}
