//! What a bead on plate and each weld of a butt joint have in common: toes, width, height, depth.
//!
//! ```text
//!          ╭───╮      height: excess weld metal above the surface
//!   ──●───╯─ ─ ─╰───●── surface;   ● toes, width at the surface between them
//!      ╲           ╱
//!       ╲  depth  ╱   widths at half and at nine tenths of the depth
//!        ╰───────╯
//! ```
//!
//! The view has the weld's own surface up and the outline counter-clockwise; the far weld of a butt joint is turned
//! over into it. Left and right plate may lie at different heights or tilt, so heights are taken over the plate on
//! whose side of the joint line a point lies.
//!
//! Squareness is the area below the surface over (greatest width there x greatest depth): 1 for a rectangle, 1/2 for a
//! triangle. Source of the words: [`AWS_A3_0_TERMS`](crate::source::AWS_A3_0_TERMS); squareness is a ratio of ours.

use super::groove::{self, Groove};
use super::outline::{centroid, clip, counter_clockwise, extent};
use super::stretch::{Look, Stretch, chain, stretches};
use super::tee::DEEP_FOR_ITS_WIDTH;
use super::{Face, Point};
use crate::reading::{Reading, Readings};

/// One zone with its own surface up.
#[derive(Clone, Debug)]
pub struct Zone {
    /// The outline, counter-clockwise.
    pub outline: Vec<Point>,
    /// Surface of the left and the right plate.
    pub faces: [Face; 2],
    /// Place that parts left from right, along the surface.
    pub middle: f64,
    /// Toes, left and right; `None` where none is in view.
    pub toes: [Option<Toe>; 2],
    /// The face from the right toe to the left one; empty when a toe is missing.
    pub face: Vec<Point>,
}

/// A toe of a bead or butt weld.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Toe {
    /// The outline's piece that crosses the surface.
    pub piece: usize,
    /// The place.
    pub at: Point,
}

impl Zone {
    /// Finds toes and face of a zone; `doubt` is how far a toe may lie below the surface and still be one.
    #[must_use]
    pub fn new(outline: &[Point], faces: [Face; 2], middle: Option<f64>, doubt: f64) -> Self {
        let outline = counter_clockwise(outline);
        let below = clip(&outline, faces[0].at, faces[0].along * -1.0);
        let centre = if below.is_empty() { centroid(&outline) } else { centroid(&below) };
        let middle = middle.unwrap_or(centre.x);
        let mut zone = Self { outline, faces, middle, toes: [None, None], face: Vec::new() };
        let lowest = doubt.max(1e-9 * extent(&zone.outline));
        for side in [0, 1] {
            // The toe is found where the zone's own middle is; a missed seam has its middle beside the joint line.
            zone.toes[side] = [0.0, -lowest, -2.0 * lowest]
                .into_iter()
                .find_map(|height| zone.toe(side, height, centre));
        }
        if let [Some(left), Some(right)] = zone.toes {
            zone.face = chain(&zone.outline, (right.piece, right.at), (left.piece, left.at));
        }
        zone
    }

    /// The face; where a toe is out of view, the outline between the highest places left and right of the zone's middle: a
    /// hollow face whose rounded toes stay just below the surface has its face there all the same.
    #[must_use]
    pub fn face_or_top(&self) -> Vec<Point> {
        if !self.face.is_empty() {
            return self.face.clone();
        }
        let centre = centroid(&self.outline);
        let highest = |side: usize| {
            let from = self.over(side, centre).x;
            (0..self.outline.len())
                .map(|i| (i, self.over(side, self.outline[i])))
                .filter(|(_, p)| p.x >= from)
                .max_by(|a, b| a.1.y.total_cmp(&b.1.y))
                .map(|(i, _)| (i, self.outline[i]))
        };
        match [0, 1].map(|side| self.toes[side].map(|t| (t.piece, t.at)).or_else(|| highest(side)))
        {
            [Some(left), Some(right)] => chain(&self.outline, right, left),
            _ => Vec::new(),
        }
    }

    /// Coordinates over one plate's surface: s outward from the middle, h above it.
    fn over(&self, side: usize, p: Point) -> Point {
        let face = self.faces[side];
        let d = p - face.at;
        let s = d.dot(face.along);
        Point::new(if side == 0 { -s } else { s }, face.along.cross(d))
    }

    fn toe(&self, side: usize, height: f64, centre: Point) -> Option<Toe> {
        let view: Vec<Point> = self.outline.iter().map(|&p| self.over(side, p)).collect();
        let from = self.over(side, centre).x;
        let runs: Vec<Stretch> =
            stretches(&view, height, Look::Below).into_iter().filter(|r| r.to.s >= from).collect();
        let metal = stretches(&view, height, Look::Above);
        let mut reached = *runs.first()?;
        for next in &runs[1..] {
            let middle = 0.5 * (reached.to.s + next.from.s);
            if !metal.iter().any(|m| m.from.s <= middle && middle <= m.to.s) {
                break;
            }
            reached = *next;
        }
        let (a, b) = (reached.to.piece, (reached.to.piece + 1) % view.len());
        let rise = view[b].y - view[a].y;
        let t = if rise == 0.0 { 0.0 } else { ((height - view[a].y) / rise).clamp(0.0, 1.0) };
        Some(Toe { piece: a, at: self.outline[a].towards(self.outline[b], t) })
    }

    /// Height of a point over the surface of the plate on whose side it lies; below is negative.
    #[must_use]
    pub fn height(&self, p: Point) -> f64 {
        let side = usize::from(p.x > self.middle);
        self.over(side, p).y
    }

    /// The groove beside one toe.
    #[must_use]
    pub fn groove(&self, side: usize) -> Option<Groove> {
        let toe = self.toes[side]?;
        let n = self.outline.len();
        let walk = (0..n)
            .map(|k| if side == 1 { (toe.piece + n - k) % n } else { (toe.piece + 1 + k) % n });
        Some(groove::beside(
            std::iter::once(self.over(side, toe.at))
                .chain(walk.map(|i| self.over(side, self.outline[i]))),
        ))
    }

    /// Greatest depth below the surface, wherever it is.
    #[must_use]
    pub fn depth(&self) -> f64 {
        self.outline.iter().fold(0.0, |d, &p| d.max(-self.height(p)))
    }

    /// Width between the outermost crossings at some depth below the left plate's surface.
    fn width_at(&self, depth: f64) -> Option<f64> {
        let view: Vec<Point> = self
            .outline
            .iter()
            .map(|&p| Point::new((p - self.faces[1].at).dot(self.faces[1].along), self.height(p)))
            .collect();
        let runs = stretches(&view, -depth, Look::Above);
        Some(runs.last()?.to.s - runs.first()?.from.s)
    }

    /// Enters the readings that bead and butt share; returns the area lost in grooves.
    pub fn enter(&self, r: &mut Readings, remarks: &mut Vec<String>) -> f64 {
        let depth = self.depth();
        r.set(Reading::Depth, depth);
        let along = self.faces[1].along;
        let spread = |points: &[Point]| {
            let s = points.iter().map(|p| p.dot(along));
            s.clone().fold(f64::NEG_INFINITY, f64::max) - s.fold(f64::INFINITY, f64::min)
        };
        let width = spread(&self.outline);
        r.set(Reading::Width, width);
        let no_toe =
            "a toe is not in view: the outline does not cross the original surface on both sides";
        match self.toes {
            [Some(left), Some(right)] => {
                r.set(Reading::WidthSurface, (right.at - left.at).dot(along));
                let heights = || self.face.iter().map(|&p| self.height(p));
                // A toe is on the surface by definition; its rounding is no underfill.
                let rounding = 1e-9 * extent(&self.outline);
                let sunk = -heights().fold(0.0, f64::min);
                r.set(Reading::Height, heights().fold(0.0, f64::max));
                r.set(Reading::Underfill, if sunk > rounding { sunk } else { 0.0 });
            }
            _ => {
                for reading in [Reading::WidthSurface, Reading::Height, Reading::Underfill] {
                    r.absent(reading, no_toe);
                }
            }
        }
        let mut lost = 0.0;
        match (self.groove(0), self.groove(1)) {
            (Some(left), Some(right)) => {
                r.set(Reading::Undercut, left.depth.max(right.depth));
                lost = left.lost + right.lost;
            }
            _ => r.absent(Reading::Undercut, no_toe),
        }
        let below = clip(&self.outline, self.faces[0].at, self.faces[0].along * -1.0);
        let none = "the zone does not reach below the surface";
        if depth > 0.0 && below.len() > 2 {
            let widest = spread(&below);
            r.set(Reading::Squareness, super::outline::area(&below) / (widest * depth));
            r.set(Reading::DepthToWidth, depth / width);
            if depth / width > DEEP_FOR_ITS_WIDTH {
                remarks.push(format!(
                    "the zone is {:.1} times as deep as wide: above {DEEP_FOR_ITS_WIDTH:.0}, look for centreline cracks (common practice, no source)",
                    depth / width
                ));
            }
            for (reading, share) in [(Reading::WidthHalf, 0.5), (Reading::WidthDeep, 0.9)] {
                match self.width_at(share * depth) {
                    Some(w) => r.set(reading, w),
                    None => r.absent(reading, none),
                }
            }
        } else {
            for reading in
                [Reading::Squareness, Reading::DepthToWidth, Reading::WidthHalf, Reading::WidthDeep]
            {
                r.absent(reading, none);
            }
        }
        lost
    }
}
