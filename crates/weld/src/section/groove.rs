//! Undercut: the groove of lost parent metal beside a toe.
//!
//! ```text
//!        face ╲
//!   ───────────●toe   ╭──── original surface
//!      zone     ╲____╱  ↕ undercut
//! ```
//!
//! The outline is everything that was liquid, so beyond the toe it dips below the original surface along the groove and
//! comes up again on the far side. A zone that merely widens under the surface (a barrel-shaped keyhole zone) also goes
//! outward below the toe, but does not come up again: it is no undercut. Where the far wall of a groove never melted,
//! bring the outline up that wall to the surface, or the groove cannot be told from a wide zone.
//!
//! Source: numbers 5011 and 5012 of [`ISO_6520_1`](crate::source::ISO_6520_1).

use super::Point;
use super::fillet::{Fillet, Track};
use super::outline::area;

/// A groove beside one toe, in coordinates of the plate's surface: s along it, h above it.
#[derive(Clone, Debug, PartialEq)]
pub struct Groove {
    /// Depth below the original surface, millimetres.
    pub depth: f64,
    /// Cross-section of parent metal lost in it, square millimetres.
    pub lost: f64,
    /// How far the zone runs outward under the surface without coming up again (no groove).
    pub bulge: f64,
    /// The groove's wall, from the toe outward.
    pub wall: Vec<Point>,
}

/// Finds the groove beyond a toe. `beyond` are the points of the outline that follow the toe on the metal's side, in
/// coordinates of the surface with s growing away from the weld; the first is the toe itself.
#[must_use]
pub fn beside(beyond: impl Iterator<Item = Point>) -> Groove {
    let mut wall: Vec<Point> = Vec::new();
    for p in beyond {
        if wall.first().is_some_and(|toe| p.x < toe.x || p.y > 0.0) {
            break;
        }
        let dipped = wall.len() > 1;
        wall.push(p);
        // Back on the surface: the groove's far lip. What follows is the zone below the plate.
        if dipped && p.y >= 0.0 {
            break;
        }
    }
    let outermost = wall
        .iter()
        .enumerate()
        .max_by(|a, b| a.1.x.total_cmp(&b.1.x).then(b.0.cmp(&a.0)))
        .map_or(0, |(i, _)| i);
    wall.truncate(outermost + 1);
    let deepest = wall.iter().fold(0.0_f64, |d, p| d.max(-p.y));
    let (first, last) = match (wall.first(), wall.last()) {
        (Some(&f), Some(&l)) if wall.len() > 2 => (f, l),
        (Some(&f), Some(&l)) => {
            return Groove { depth: 0.0, lost: 0.0, bulge: (l.x - f.x).max(0.0), wall: Vec::new() };
        }
        _ => return Groove { depth: 0.0, lost: 0.0, bulge: 0.0, wall: Vec::new() },
    };
    if -last.y > 0.5 * deepest {
        return Groove { depth: 0.0, lost: 0.0, bulge: last.x - first.x, wall: Vec::new() };
    }
    let mut closed = wall.clone();
    closed.push(Point::new(last.x, 0.0));
    Groove { depth: deepest, lost: area(&closed), bulge: 0.0, wall }
}

/// The groove beside a fillet's toe on one plate; `along` is the unit step along the plate, `off` off it.
#[must_use]
pub fn of_track(fillet: &Fillet, track: &Track, along: Point, off: Point, base: bool) -> Groove {
    let outline = &fillet.outline;
    let n = outline.len();
    let view = |p: Point| Point::new(p.dot(along), p.dot(off));
    // Counter-clockwise, metal comes before the base toe and after the upright toe.
    let (piece, toe) = track.outer;
    let walk = (0..n).map(move |k| if base { (piece + n - k) % n } else { (piece + 1 + k) % n });
    beside(std::iter::once(view(toe)).chain(walk.map(|i| view(outline[i]))))
}

/// The walls of both grooves in the fillet's frame, where there are any.
#[must_use]
pub fn both(fillet: &Fillet) -> Vec<Vec<Point>> {
    let mut out = Vec::new();
    let plates = [
        (&fillet.base, Point::new(1.0, 0.0), Point::new(0.0, 1.0), true),
        (&fillet.upright, fillet.up, fillet.off, false),
    ];
    for (track, along, off, base) in plates {
        let Some(track) = track else { continue };
        let groove = of_track(fillet, track, along, off, base);
        if !groove.wall.is_empty() {
            out.push(groove.wall.iter().map(|p| along * p.x + off * p.y).collect());
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A groove 0.8 wide and 0.3 deep, a triangle: depth 0.3, lost 0.8 x 0.3 / 2 = 0.12.
    #[test]
    fn a_groove_comes_up_again() {
        let wall = [(6.0, 0.0), (6.4, -0.3), (6.8, 0.0), (5.0, -2.0)];
        let groove = beside(wall.iter().map(|&(x, y)| Point::new(x, y)));
        assert!((groove.depth - 0.3).abs() < 1e-15);
        assert!((groove.lost - 0.12).abs() < 1e-15);
    }

    /// The groove of 0.3 with its far lip exactly on the surface, and a zone that bulges past the lip below it.
    #[test]
    fn a_zone_that_bulges_past_the_far_lip_does_not_hide_the_groove() {
        let wall = [(6.0, 0.0), (6.4, -0.3), (6.8, 0.0), (7.2, -1.0), (5.0, -2.0)];
        let groove = beside(wall.iter().map(|&(x, y)| Point::new(x, y)));
        assert!((groove.depth - 0.3).abs() < 1e-15);
        assert!((groove.lost - 0.12).abs() < 1e-15);
    }

    /// A zone that widens from 6.0 to 6.3 while it goes 1 mm down is no groove.
    #[test]
    fn a_barrel_is_no_groove() {
        let wall = [(6.0, 0.0), (6.2, -0.5), (6.3, -1.0), (5.0, -2.0)];
        let groove = beside(wall.iter().map(|&(x, y)| Point::new(x, y)));
        assert_eq!(groove.depth, 0.0);
        assert!((groove.bulge - 0.3).abs() < 1e-12);
    }
}
