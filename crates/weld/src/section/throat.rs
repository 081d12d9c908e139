//! The throats of a fillet weld: the thickness that carries the load.
//!
//! ```text
//!   y ┃● toe              theoretical: height from C of the greatest triangle inside the weld metal
//!     ┃ ╲                 actual:      shortest way from the weld root P to the face as it is
//!     ┃╱ ╲ face           effective:   the same, convexity not counted: the face replaced by the toe-to-toe
//!     C   ╲                            line where it bulges, kept where it is hollow, grooves kept
//!   P╱━━━━━● toe ── x     penetrated:  from P square to the outer side of the theoretical triangle
//! ```
//!
//! This is the only place that decides what a throat is. `physics` calls it on the section it predicts, `photo` on the
//! section it reads, `report` prints what it returns.
//!
//! The greatest triangle with its corner at C inside the weld metal has the height of C over the convex hull of the
//! face: the outer side may lie no further out than any point of the face, and among all its directions the hull's
//! nearest point gives the greatest height. Its legs never pass the toes, because the toes belong to the face.
//!
//! The way of an effective throat may cross parent metal that never melted: that metal is sound. It may not cross a
//! crack or a lack-of-fusion line: then that side has **no throat**. A pore in the way is subtracted.
//! When the corner is not fused there is no triangle and no root penetration; the effective throat is the least
//! distance from any point of the unfused inner boundary to the free surface.
//! When the penetration exceeds the leg, the effective throat (a distance to the toe) and the throat with penetration
//! (a perpendicular) part; both are given, and a claim uses the smaller.
//!
//! Sources: [`EN_1993_1_8_THROAT`](crate::source::EN_1993_1_8_THROAT),
//! [`AWS_A3_0_TERMS`](crate::source::AWS_A3_0_TERMS),
//! [`AISC_360_EFFECTIVE_THROAT`](crate::source::AISC_360_EFFECTIVE_THROAT).
//! Not covered: flare grooves, plates curved in the section.

use super::Point;
use super::fillet::Fillet;
use super::groove;
use super::outline::{crossing, extent, nearest_on_line, to_piece};
use super::stretch::{Look, between, stretches};

/// A throat: its length, and where it runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Throat {
    /// Length that carries load, millimetres; pores in the way taken off.
    pub length: f64,
    /// Where it starts, at the root or the unfused corner.
    pub from: Point,
    /// Where it ends, at the free surface.
    pub to: Point,
}

/// The greatest triangle inside the weld metal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Triangle {
    /// Height from the corner, the theoretical throat.
    pub height: f64,
    /// Leg on the base.
    pub base: f64,
    /// Leg on the upright.
    pub upright: f64,
    /// Unit step from the corner square to the outer side.
    pub outward: Point,
}

/// The greatest triangle with its corner at C inside the weld metal, no credit for depth.
///
/// `None` when the corner is not fused or a toe is not in view.
#[must_use]
pub fn greatest_triangle(fillet: &Fillet) -> Option<Triangle> {
    if !fillet.corner_fused {
        return None;
    }
    let nearest = nearest_of_hull(&fillet.face)?;
    let height = nearest.norm();
    let outward = nearest.unit()?;
    Some(Triangle {
        height,
        base: height / outward.x,
        upright: height / outward.dot(fillet.up),
        outward,
    })
}

/// Height of the greatest isosceles triangle inside the weld metal.
#[must_use]
pub fn isosceles(fillet: &Fillet) -> Option<f64> {
    if !fillet.corner_fused {
        return None;
    }
    let half = 0.5 * fillet.angle;
    let bisector = Point::new(half.cos(), half.sin());
    fillet.face.iter().map(|p| p.dot(bisector)).min_by(f64::total_cmp)
}

/// Shortest way from the corner to the face as it is.
#[must_use]
pub fn from_corner(fillet: &Fillet) -> Option<Throat> {
    if !fillet.corner_fused {
        return None;
    }
    let (length, to) = nearest_on_line(Point::default(), &fillet.face)?;
    Some(Throat { length, from: Point::default(), to })
}

/// Height from the root, moved along the joint line only, square to the outer side of the greatest triangle.
///
/// `roots` are the root on each lip, as [`starts`] gives them; the lip nearer the face counts. That side's line is
/// extended where the foot falls beyond a toe.
#[must_use]
pub fn with_penetration(triangle: &Triangle, roots: &[Vec<Point>]) -> f64 {
    let height = |root: &Point| triangle.height - root.dot(triangle.outward);
    roots.iter().flatten().map(height).fold(f64::INFINITY, f64::min)
}

/// Where throats of a side start: the weld root on each lip, or the boundary of an unfused corner.
#[must_use]
pub fn starts(fillet: &Fillet, root: Option<f64>) -> Vec<Vec<Point>> {
    match root {
        Some(p) if fillet.corner_fused => {
            let lip = Point::new(-p, fillet.gap);
            if fillet.gap > 0.0 {
                // On the upright's lip the root stands over the base's, unless the slot is slanted at its mouth.
                let mouth = fillet.up * (fillet.gap / fillet.angle.sin());
                let upper = if p > 0.0 { lip } else { mouth };
                vec![vec![Point::new(-p, 0.0)], vec![upper]]
            } else {
                vec![vec![Point::new(-p, 0.0)]]
            }
        }
        _ => fillet.inner_boundary(),
    }
}

/// Shortest way from the root to the face as it is, convexity included.
#[must_use]
pub fn actual(fillet: &Fillet, starts: &[Vec<Point>]) -> Option<Throat> {
    let mut surface = free_surface(fillet)?;
    surface.remove(0);
    shortest(fillet, starts, &surface)
}

/// Shortest way from the root to the free surface, convexity not counted: the effective throat.
#[must_use]
pub fn effective(fillet: &Fillet, starts: &[Vec<Point>]) -> Option<Throat> {
    shortest(fillet, starts, &free_surface(fillet)?)
}

/// Does a crack or a lack-of-fusion line lie across this way?
#[must_use]
pub fn is_broken(fillet: &Fillet, way: &Throat) -> bool {
    let reach = (way.to - way.from).norm();
    let near = fillet.doubt.max(1e-9 * extent(&fillet.outline));
    fillet.breaks.iter().any(|line| {
        line.windows(2).any(|w| {
            // A line that only meets the way's own start is the notch the way starts from.
            crossing(way.from, way.to, w[0], w[1]).is_some_and(|(t, _)| t * reach > near)
        })
    })
}

/// The free surface that a throat may end on: toe-to-toe line first, then the face, the grooves, the plates beyond.
fn free_surface(fillet: &Fillet) -> Option<Vec<Vec<Point>>> {
    let (base, upright) = fillet.toes()?;
    let far = 10.0 * extent(&fillet.outline);
    let mut surface = vec![vec![base, upright], fillet.face.clone()];
    for groove in groove::both(fillet) {
        surface.push(groove);
    }
    surface.push(vec![base, base + Point::new(far, 0.0)]);
    surface.push(vec![upright, upright + fillet.up * far]);
    Some(surface)
}

fn shortest(fillet: &Fillet, starts: &[Vec<Point>], surface: &[Vec<Point>]) -> Option<Throat> {
    let mut best: Option<Throat> = None;
    let mut keep = |length: f64, from: Point, to: Point| {
        if best.is_none_or(|b| length < b.length) {
            best = Some(Throat { length, from, to });
        }
    };
    for start in starts {
        for line in surface {
            if let Some((d, from, to)) = between(start, line) {
                keep(d - pore_on(fillet, from, to), from, to);
            }
        }
    }
    if !fillet.pores.is_empty() {
        // A way through a pore may be longer on paper and still carry less: look at every point of the surface.
        for &from in starts.iter().flatten() {
            for line in surface {
                for to in fine(line, extent(&fillet.outline) / 200.0) {
                    let pore = pore_on(fillet, from, to);
                    if pore > 0.0 {
                        keep((to - from).norm() - pore, from, to);
                    }
                }
            }
        }
    }
    best
}

/// Points along a line, no further apart than `step`, within reach of the weld.
fn fine(line: &[Point], step: f64) -> Vec<Point> {
    let mut out = Vec::new();
    for w in line.windows(2) {
        let n = ((w[1] - w[0]).norm() / step).ceil().clamp(1.0, 400.0) as usize;
        out.extend((0..=n).map(|i| w[0].towards(w[1], i as f64 / n as f64)));
    }
    out
}

/// Length of pore on the way between two points.
fn pore_on(fillet: &Fillet, from: Point, to: Point) -> f64 {
    let Some(along) = (to - from).unit() else { return 0.0 };
    let reach = (to - from).norm();
    fillet
        .pores
        .iter()
        .map(|pore| {
            let view: Vec<Point> = pore
                .iter()
                .map(|&p| Point::new((p - from).dot(along), along.cross(p - from)))
                .collect();
            stretches(&view, 0.0, Look::Above)
                .iter()
                .map(|s| (s.to.s.min(reach) - s.from.s.max(0.0)).max(0.0))
                .sum::<f64>()
        })
        .sum()
}

/// The point of the convex hull of some points that is nearest to the origin; `None` when the origin is inside.
fn nearest_of_hull(points: &[Point]) -> Option<Point> {
    let hull = convex_hull(points);
    if hull.len() < 2 {
        return hull.first().copied();
    }
    if hull.len() > 2 && (0..hull.len()).all(|i| hull[i].cross(hull[(i + 1) % hull.len()]) >= 0.0) {
        return None;
    }
    (0..hull.len())
        .map(|i| {
            let (a, b) = (hull[i], hull[(i + 1) % hull.len()]);
            let (d, t) = to_piece(Point::default(), a, b);
            (d, a.towards(b, t))
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, p)| p)
}

/// Convex hull, counter-clockwise, by Andrew's monotone chain.
fn convex_hull(points: &[Point]) -> Vec<Point> {
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    sorted.dedup();
    if sorted.len() < 3 {
        return sorted;
    }
    let half = |points: &mut dyn Iterator<Item = Point>| {
        let mut chain: Vec<Point> = Vec::new();
        for p in points {
            while chain.len() > 1
                && (chain[chain.len() - 1] - chain[chain.len() - 2])
                    .cross(p - chain[chain.len() - 1])
                    <= 0.0
            {
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut hull = half(&mut sorted.iter().copied());
    hull.extend(half(&mut sorted.iter().rev().copied()));
    hull
}
