//! Where the beam can leave the room: plan geometry.
//!
//! ```text
//!   ┌──────────────┐        The torch may point anywhere. Every direction is followed until a wall or a curtain
//!   │   ●───────── ─ ─ ─    that stands stops it. What meets an open door or a window first is a way out, and it
//!   │     torch    door     is given with its angles.
//!   └──────────────┘
//! ```
//!
//! Windows never stop the beam: glass passes light about 1 µm. A door stops it only when it is interlocked, so that
//! the beam goes off when it is opened. A curtain that does not stand the beam counts as none.
//!
//! Source: geometry ([`LASER_GEOMETRY`]). Not covered: mirrors on the way, heights (see [`barrier`](crate::barrier)),
//! rooms that are not rectangular.

use crate::OutOfRange;
use weld::quantity::{Angle, Length};
use weld::source::{LASER_GEOMETRY, Source};

/// Sources of the plan.
pub const SOURCES: [Source; 1] = [LASER_GEOMETRY];

/// A place on the floor, from the room's lower left corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// To the right.
    pub x: Length,
    /// Up the plan.
    pub y: Length,
}

/// A straight piece on the floor plan.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// One end.
    pub from: Place,
    /// The other.
    pub to: Place,
}

/// An opening in a wall, and whether it stops a beam.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opening {
    /// Where.
    pub piece: Piece,
    /// It stops the beam: an interlocked door that is shut.
    pub stops: bool,
}

/// A curtain, and whether it stands the beam.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Curtain {
    /// Where.
    pub piece: Piece,
    /// It stands the beam where it hangs.
    pub stops: bool,
}

/// A rectangular room with what is in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Its width, along x.
    pub width: Length,
    /// Its depth, along y.
    pub depth: Length,
    /// Where the torch works.
    pub torch: Place,
    /// Doors and windows.
    pub openings: Vec<Opening>,
    /// Curtains.
    pub curtains: Vec<Curtain>,
}

/// A way out for the beam.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WayOut {
    /// Through which opening, counted from 0.
    pub opening: usize,
    /// From which direction, counted from x towards y.
    pub from: Angle,
    /// To which.
    pub to: Angle,
    /// How far the opening is from the torch, at its nearest within these directions.
    pub distance: Length,
}

/// How far a place on the plan may be off a wall and still lie in it, m.
const IN_WALL: f64 = 0.02;

type Xy = [f64; 2];

fn xy(place: Place) -> Xy {
    [place.x.m(), place.y.m()]
}

fn ends(piece: &Piece) -> [Xy; 2] {
    [xy(piece.from), xy(piece.to)]
}

fn less(a: Xy, b: Xy) -> Xy {
    [a[0] - b[0], a[1] - b[1]]
}

fn cross(a: Xy, b: Xy) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

fn dot(a: Xy, b: Xy) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

/// Nearest distance from a place to a piece.
#[must_use]
pub fn distance(from: Place, piece: &Piece) -> Length {
    let ([a, b], p) = (ends(piece), xy(from));
    let along = less(b, a);
    let length2 = dot(along, along);
    let t = if length2 > 0.0 { (dot(less(p, a), along) / length2).clamp(0.0, 1.0) } else { 0.0 };
    let foot = [a[0] + t * along[0], a[1] + t * along[1]];
    let d = less(foot, p);
    Length::from_m(dot(d, d).sqrt())
}

/// Where a ray from `o` along the unit direction `u` meets a piece: how far.
fn meets(o: Xy, u: Xy, [a, b]: [Xy; 2]) -> Option<f64> {
    let along = less(b, a);
    let turn = cross(u, along);
    if turn.abs() < 1e-12 {
        return None;
    }
    let to = less(a, o);
    let (far, share) = (cross(to, along) / turn, cross(to, u) / turn);
    (far > 1e-9 && (-1e-12..=1.0 + 1e-12).contains(&share)).then_some(far)
}

impl Plan {
    /// Checks that the plan can be drawn: sizes above nothing, the torch in the room, openings in its walls.
    ///
    /// # Errors
    ///
    /// What does not fit.
    pub fn check(&self) -> Result<(), OutOfRange> {
        let w = crate::above_nothing(
            "the room's width",
            self.width.m(),
            self.width,
            "write the inside width: width = \"6 m\"",
        )?;
        let d = crate::above_nothing(
            "the room's depth",
            self.depth.m(),
            self.depth,
            "write the inside depth: depth = \"4 m\"",
        )?;
        let shown = |p: Xy| format!("{:.2} m, {:.2} m", p[0], p[1]);
        let [x, y] = xy(self.torch);
        if !(x > 0.0 && x < w && y > 0.0 && y < d) {
            return Err(OutOfRange {
                what: "the torch's place",
                given: shown([x, y]),
                needed: "it must lie inside the room",
                advice: "count from the room's lower left corner: torch = [\"2 m\", \"1.5 m\"]",
            });
        }
        let wall = |p: Xy| {
            let near = |v: f64, at: f64| (v - at).abs() <= IN_WALL;
            let within = |v: f64, most: f64| (-IN_WALL..=most + IN_WALL).contains(&v);
            (near(p[0], 0.0) || near(p[0], w)) && within(p[1], d)
                || (near(p[1], 0.0) || near(p[1], d)) && within(p[0], w)
        };
        for opening in &self.openings {
            let [a, b] = ends(&opening.piece);
            let middle = [0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])];
            for p in [a, b, middle] {
                if !wall(p) {
                    return Err(OutOfRange {
                        what: "a door's or window's place",
                        given: shown(p),
                        needed: "it must lie in one wall",
                        advice: "give both ends on the same wall, counted from the room's lower left corner",
                    });
                }
            }
        }
        for curtain in &self.curtains {
            for p in ends(&curtain.piece) {
                if !p.iter().all(|v| v.is_finite()) {
                    return Err(OutOfRange {
                        what: "a curtain's place",
                        given: shown(p),
                        needed: "it must be a place in the room",
                        advice: "count from the room's lower left corner: from = [\"2 m\", \"0 m\"]",
                    });
                }
            }
        }
        Ok(())
    }

    /// Which openings the beam can leave by, in order of direction, looking as far as `reach`.
    #[must_use]
    pub fn ways_out(&self, reach: Length) -> Vec<WayOut> {
        let o = xy(self.torch);
        let angle = |p: Xy| {
            let d = less(p, o);
            d[1].atan2(d[0]).rem_euclid(std::f64::consts::TAU)
        };
        // What is seen can only change in the direction of an end, of a crossing, or where the reach ends.
        let pieces: Vec<[Xy; 2]> = self
            .openings
            .iter()
            .map(|o| ends(&o.piece))
            .chain(self.curtains.iter().map(|c| ends(&c.piece)))
            .collect();
        let mut turns: Vec<f64> = vec![0.0, std::f64::consts::TAU];
        for piece in &pieces {
            turns.extend(piece.iter().map(|p| angle(*p)));
            turns.extend(on_circle(o, reach.m(), *piece).into_iter().map(angle));
            for other in &pieces {
                let along = less(piece[1], piece[0]);
                let length = dot(along, along).sqrt();
                if length > 0.0 {
                    let u = [along[0] / length, along[1] / length];
                    if let Some(far) = meets(piece[0], u, *other).filter(|f| *f <= length) {
                        turns.push(angle([piece[0][0] + far * u[0], piece[0][1] + far * u[1]]));
                    }
                }
            }
        }
        turns.sort_by(f64::total_cmp);
        let mut out: Vec<WayOut> = Vec::new();
        for pair in turns.windows(2) {
            let (from, to) = (pair[0], pair[1]);
            if to - from < 1e-9 {
                continue;
            }
            let middle = 0.5 * (from + to);
            let Some(opening) = self.leaves(o, [middle.cos(), middle.sin()], reach.m()) else {
                continue;
            };
            let piece = ends(&self.openings[opening].piece);
            let nearest = nearest_between(o, from, to, piece);
            match out.last_mut() {
                Some(last) if last.opening == opening && (from - last.to.rad()).abs() < 1e-9 => {
                    last.to = Angle::from_rad(to);
                    last.distance = last.distance.min(Length::from_m(nearest));
                }
                _ => out.push(WayOut {
                    opening,
                    from: Angle::from_rad(from),
                    to: Angle::from_rad(to),
                    distance: Length::from_m(nearest),
                }),
            }
        }
        // A way out that begins before a whole turn and ends after it is one.
        if out.len() > 1
            && let (Some(first), Some(last)) = (out.first().copied(), out.last().copied())
            && first.opening == last.opening
            && first.from.rad() < 1e-9
            && (last.to.rad() - std::f64::consts::TAU).abs() < 1e-9
        {
            out.pop();
            out[0].from = last.from - Angle::from_rad(std::f64::consts::TAU);
            out[0].distance = first.distance.min(last.distance);
        }
        out
    }

    /// The opening that a ray leaves by, when nothing stops it before.
    fn leaves(&self, o: Xy, u: Xy, reach: f64) -> Option<usize> {
        // The nearest of the openings is where the ray meets the wall.
        let (opening, far) = self
            .openings
            .iter()
            .enumerate()
            .filter_map(|(i, opening)| meets(o, u, ends(&opening.piece)).map(|far| (i, far)))
            .min_by(|a, b| a.1.total_cmp(&b.1))?;
        let curtain = self
            .curtains
            .iter()
            .filter(|c| c.stops)
            .filter_map(|c| meets(o, u, ends(&c.piece)))
            .any(|at| at <= far);
        (!self.openings[opening].stops && !curtain && far <= reach).then_some(opening)
    }
}

/// Where a piece crosses a circle.
fn on_circle(o: Xy, r: f64, [a, b]: [Xy; 2]) -> Vec<Xy> {
    let (along, to) = (less(b, a), less(a, o));
    let (p, q, s) = (dot(along, along), 2.0 * dot(along, to), dot(to, to) - r * r);
    let root = q * q - 4.0 * p * s;
    if p <= 0.0 || root < 0.0 || !r.is_finite() {
        return Vec::new();
    }
    [-1.0, 1.0]
        .into_iter()
        .map(|sign| (-q + sign * root.sqrt()) / (2.0 * p))
        .filter(|t| (0.0..=1.0).contains(t))
        .map(|t| [a[0] + t * along[0], a[1] + t * along[1]])
        .collect()
}

/// Nearest distance to a piece within a sector.
fn nearest_between(o: Xy, from: f64, to: f64, piece: [Xy; 2]) -> f64 {
    let [a, b] = piece;
    let along = less(b, a);
    let length2 = dot(along, along);
    let foot = (length2 > 0.0).then(|| {
        let t = dot(less(o, a), along) / length2;
        [a[0] + t * along[0], a[1] + t * along[1]]
    });
    let inside = foot.filter(|f| {
        let d = less(*f, o);
        let at = d[1].atan2(d[0]).rem_euclid(std::f64::consts::TAU);
        at >= from && at <= to
    });
    if let Some(f) = inside {
        let d = less(f, o);
        return dot(d, d).sqrt();
    }
    [from, to]
        .into_iter()
        .filter_map(|at| {
            let u = [at.cos(), at.sin()];
            // Along the whole line: the sector's edge may touch the piece's very end.
            let turn = cross(u, along);
            (turn.abs() > 1e-12).then(|| cross(less(a, o), along) / turn)
        })
        .filter(|far| *far > 0.0)
        .fold(f64::INFINITY, f64::min)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn place(x: f64, y: f64) -> Place {
        Place { x: Length::from_m(x), y: Length::from_m(y) }
    }

    fn piece(a: (f64, f64), b: (f64, f64)) -> Piece {
        Piece { from: place(a.0, a.1), to: place(b.0, b.1) }
    }

    fn room(openings: Vec<Opening>, curtains: Vec<Curtain>) -> Plan {
        Plan {
            width: Length::from_m(6.0),
            depth: Length::from_m(4.0),
            torch: place(3.0, 2.0),
            openings,
            curtains,
        }
    }

    fn door(stops: bool) -> Opening {
        Opening { piece: piece((6.0, 1.0), (6.0, 3.0)), stops }
    }

    const FAR: Length = Length::from_m(90.0);

    /// Geometry: a door of ±1 m, 3 m away, is open between -atan(1/3) and +atan(1/3), 3 m at its nearest.
    #[test]
    fn an_open_door_is_a_way_out() {
        let ways = room(vec![door(false)], vec![]).ways_out(FAR);
        assert_eq!(ways.len(), 1, "{ways:?}");
        let half = (1.0_f64 / 3.0).atan();
        assert!((ways[0].from.rad() + half).abs() < 1e-9 && (ways[0].to.rad() - half).abs() < 1e-9);
        assert!((ways[0].distance.m() - 3.0).abs() < 1e-9);
        assert!(room(vec![door(true)], vec![]).ways_out(FAR).is_empty());
        assert!(room(vec![door(false)], vec![]).ways_out(Length::from_m(2.9)).is_empty());
    }

    /// A curtain from (5, 2) to (5, 4) hides the upper half of the door; one that does not stand hides nothing.
    #[test]
    fn a_curtain_hides_what_lies_behind_it() {
        let curtain = |stops| Curtain { piece: piece((5.0, 2.0), (5.0, 4.0)), stops };
        let ways = room(vec![door(false)], vec![curtain(true)]).ways_out(FAR);
        assert_eq!(ways.len(), 1, "{ways:?}");
        assert!((ways[0].to.rad() - std::f64::consts::TAU).abs() < 1e-9, "{ways:?}");
        let whole = room(vec![door(false)], vec![curtain(false)]).ways_out(FAR);
        assert!((whole[0].to.rad() - (1.0_f64 / 3.0).atan()).abs() < 1e-9);
        let shut = Curtain { piece: piece((5.0, 0.0), (5.0, 4.0)), stops: true };
        assert!(room(vec![door(false)], vec![shut]).ways_out(FAR).is_empty());
    }

    #[test]
    fn plans_that_cannot_be_drawn() {
        assert!(room(vec![door(false)], vec![]).check().is_ok());
        let off = Opening { piece: piece((5.0, 1.0), (6.0, 3.0)), stops: false };
        assert!(room(vec![off], vec![]).check().unwrap_err().to_string().contains("in one wall"));
        let mut outside = room(vec![], vec![]);
        outside.torch = place(7.0, 1.0);
        assert!(outside.check().unwrap_err().to_string().contains("inside the room"));
    }

    proptest! {
        /// Against another way of looking: 3600 rays, each followed by itself, leave where the sectors say.
        #[test]
        fn sectors_agree_with_rays(tx in 0.5..5.5_f64, ty in 0.5..3.5_f64, cx in 0.5..5.5_f64, cy in 0.5..3.5_f64, dx in -2.0..2.0_f64, dy in -2.0..2.0_f64, reach in 1.0..9.0_f64) {
            let mut plan = room(
                vec![door(false), Opening { piece: piece((1.0, 4.0), (3.0, 4.0)), stops: false }],
                vec![Curtain { piece: piece((cx, cy), (cx + dx, cy + dy)), stops: true }],
            );
            plan.torch = place(tx, ty);
            let ways = plan.ways_out(Length::from_m(reach));
            for i in 0..3600 {
                let at = (f64::from(i) + 0.5) * std::f64::consts::TAU / 3600.0;
                let u = [at.cos(), at.sin()];
                // Walk to the wall in centimetres; the curtain is crossed where its two sides change.
                let left = plan.leaves([tx, ty], u, reach);
                let near_edge = ways.iter().any(|w| {
                    [w.from.rad(), w.to.rad()].iter().any(|e| {
                        let d = (at - e).rem_euclid(std::f64::consts::TAU);
                        d.min(std::f64::consts::TAU - d) < 2e-3
                    })
                });
                let said = ways.iter().find(|w| {
                    [at, at - std::f64::consts::TAU].iter().any(|a| (w.from.rad()..=w.to.rad()).contains(a))
                }).map(|w| w.opening);
                prop_assert!(near_edge || said == left, "{at}: {said:?} against {left:?}");
            }
        }
    }
}
