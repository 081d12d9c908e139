//! One side of a fillet, turned so that every other file can think in one picture.
//!
//! ```text
//!              ┃        h (upright): air > 0
//!     upright  ┃ T_u
//!              ●╲
//!              ┃ ╲  face, from T_b to T_u counter-clockwise
//!              ┃  ╲
//!   P ●═══════ C───● T_b ──────  s along +x
//!   joint line   base
//! ```
//!
//! The view has its corner C at the origin, the base along +x, the upright at the dihedral angle, and the outline
//! counter-clockwise. The left weld of a tee is mirrored into it, so nothing here knows left from right.
//!
//! The toe is the end of the last stretch of plate surface, counted from the corner, that is fused: an unfused pocket
//! bridged by weld metal does not end the leg, a groove of air (undercut) does, and metal that lies on the surface
//! unfused (overlap) is not reached.
//!
//! Source: words after [`AWS_A3_0_TERMS`](crate::source::AWS_A3_0_TERMS).
//! Not covered: plates curved in the section; more than one outline a side.

use super::outline::{area, clip, contains, counter_clockwise, extent, to_boundary};
use super::stretch::{Crossing, Look, Spans, Stretch, chain, covered, stretches};
use super::{Corner, Fused, Point, Section, SectionError, Tee};

/// What rounding from pixels to millimetres and back may leave, as a share of the outline's size.
const ROUNDING: f64 = 1e-6;

/// How one plate is met: its fused stretches along the surface, counted from the corner.
#[derive(Clone, Debug, PartialEq)]
pub struct Track {
    /// Fused stretches from the plate's real edge to the toe, cut by lack-of-fusion lines.
    pub fused: Spans,
    /// Where the plate's surface begins: 0, or the upright's edge above a gap.
    pub edge: f64,
    /// The toe, along the surface from the corner.
    pub toe: f64,
    /// Where the outline leaves the surface at the far end (the toe, unless the last stretch is marked unfused).
    pub outer: (usize, Point),
    /// Where the outline first meets the surface (for an unfused corner).
    pub inner: (usize, Point),
    /// Length from the edge to the first fused point.
    pub open_corner: f64,
    /// The outline only touches the plate and enters it nowhere: a drawn, textbook outline.
    pub touching: bool,
}

impl Track {
    /// Length fused from the edge to the toe, pockets not counted.
    #[must_use]
    pub fn fused_length(&self) -> f64 {
        self.fused.length()
    }
}

/// One side of a fillet in its own frame.
#[derive(Clone, Debug)]
pub struct Fillet {
    /// Dihedral angle, radians.
    pub angle: f64,
    /// Unit step up the upright.
    pub up: Point,
    /// Unit step off the upright's face into the air.
    pub off: Point,
    /// Gap between base surface and upright edge.
    pub gap: f64,
    /// Length of joint line under the upright, when its thickness is known.
    pub joint_length: Option<f64>,
    /// The upright's thickness.
    pub upright_thickness: Option<f64>,
    /// The base's thickness.
    pub base_thickness: Option<f64>,
    /// The fused outline, counter-clockwise.
    pub outline: Vec<Point>,
    /// Cracks first, then lack-of-fusion lines.
    pub breaks: Vec<Vec<Point>>,
    /// How many of the breaks are cracks.
    cracks: usize,
    /// Pores.
    pub pores: Vec<Vec<Point>>,
    /// How the base is met; `None` when it is not.
    pub base: Option<Track>,
    /// How the upright is met.
    pub upright: Option<Track>,
    /// The face from the base toe to the upright toe; empty when a toe is missing.
    pub face: Vec<Point>,
    /// Is the corner itself fused to both plates?
    pub corner_fused: bool,
    /// Below this two lines are one.
    pub doubt: f64,
    /// The outline is given as geometry, not traced on a photograph.
    pub exact: bool,
    mirrored: bool,
    shift: f64,
}

impl Fillet {
    /// Turns one weld of a tee into the common picture.
    ///
    /// # Errors
    ///
    /// When the corner lies outside the face or the angle is no fillet's.
    pub fn of(
        section: &Section,
        tee: &Tee,
        corner: Corner,
        mirrored: bool,
        fused: &Fused,
        settled: Option<[bool; 2]>,
    ) -> Result<Self, SectionError> {
        let degrees = corner.angle.to_degrees();
        if !(30.0..=150.0).contains(&degrees) {
            return Err(SectionError::Angle { degrees });
        }
        let shift = corner.x;
        let view = |p: &Point| {
            let x = p.x - shift;
            Point::new(if mirrored { -x } else { x }, p.y)
        };
        let lines = |list: &[Vec<Point>]| -> Vec<Vec<Point>> {
            list.iter().map(|line| line.iter().map(view).collect()).collect()
        };
        let outline = counter_clockwise(&fused.outline.iter().map(view).collect::<Vec<_>>());
        let (sin, cos) = corner.angle.sin_cos();
        let mut breaks = lines(&section.cracks);
        let cracks = breaks.len();
        breaks.extend(lines(&section.unfused));
        let mut fillet = Self {
            angle: corner.angle,
            up: Point::new(cos, sin),
            off: Point::new(sin, -cos),
            gap: tee.gap,
            joint_length: tee.upright_thickness.map(|t| t / sin),
            upright_thickness: tee.upright_thickness,
            base_thickness: tee.base_thickness,
            breaks,
            cracks,
            pores: lines(&section.pores),
            base: None,
            upright: None,
            face: Vec::new(),
            corner_fused: false,
            doubt: section.doubt,
            exact: fused.exact,
            mirrored,
            shift,
            outline,
        };
        fillet.base = fillet.track(0.0, settled.map(|s| s[0]), |p| p);
        let (up, off) = (fillet.up, fillet.off);
        fillet.upright = fillet
            .track(tee.gap / sin, settled.map(|s| s[1]), |p| Point::new(p.dot(up), p.dot(off)));
        fillet.refuse_wrong_side(fused.side.word())?;
        if let (Some(base), Some(upright)) = (&fillet.base, &fillet.upright) {
            let mut face = vec![Point::new(base.toe, 0.0)];
            face.extend(chain(&fillet.outline, base.outer, upright.outer));
            face.push(fillet.up * upright.toe);
            face.dedup();
            fillet.face = face;
            // What is unfused over less than the doubt cannot be told from fused.
            let touches = base.touching || upright.touching;
            let reach = if touches { fillet.touch_reach() } else { fillet.doubt };
            let near = reach.max(1e-9 * extent(&fillet.outline));
            let edge = fillet.up * upright.edge;
            fillet.corner_fused = base.open_corner <= near
                && upright.open_corner <= near
                && contains(&fillet.outline, Point::default(), near)
                && contains(&fillet.outline, edge, near);
        }
        Ok(fillet)
    }

    /// A point of this view, back in the section's frame.
    #[must_use]
    pub fn back(&self, p: Point) -> Point {
        Point::new(if self.mirrored { -p.x } else { p.x } + self.shift, p.y)
    }

    /// Base toe and upright toe.
    #[must_use]
    pub fn toes(&self) -> Option<(Point, Point)> {
        Some((Point::new(self.base.as_ref()?.toe, 0.0), self.up * self.upright.as_ref()?.toe))
    }

    /// The boundary of the weld metal towards an unfused corner, with any lack-of-fusion lines near the corner.
    #[must_use]
    pub fn inner_boundary(&self) -> Vec<Vec<Point>> {
        let (Some(base), Some(upright)) = (&self.base, &self.upright) else { return Vec::new() };
        let mut out = Vec::new();
        let near = 1e-9 * extent(&self.outline);
        if contains(&self.outline, Point::default(), near) {
            out.push(vec![Point::default()]);
        } else {
            out.push(chain(&self.outline, upright.inner, base.inner));
        }
        // A leg that is cut open by a lack-of-fusion line is open from the edge to its first fused point.
        for (track, along) in [(base, Point::new(1.0, 0.0)), (upright, self.up)] {
            if track.open_corner > near {
                let first = track.edge + track.open_corner;
                if contains(&self.outline, along * (0.5 * (track.edge + first)), near) {
                    out.push(vec![along * track.edge, along * first]);
                } else {
                    out.push(vec![along * first]);
                }
            }
        }
        out
    }

    /// How near the surface a point of an outline lies that touches it.
    fn touch_reach(&self) -> f64 {
        (3.0 * self.doubt).max(ROUNDING * extent(&self.outline))
    }

    fn refuse_wrong_side(&self, weld: &'static str) -> Result<(), SectionError> {
        let inside = contains(&self.outline, Point::default(), 0.0);
        // Weld metal in the wedge of air between the plates; a fillet without any lies behind its own corner.
        let above = clip(&self.outline, Point::default(), Point::new(1.0, 0.0));
        let in_wedge = area(&clip(&above, Point::default(), self.up * -1.0));
        if in_wedge > self.doubt * self.doubt || inside {
            return Ok(());
        }
        let on_base = self.outline.iter().any(|p| p.y <= self.doubt);
        let on_upright = self.outline.iter().any(|p| p.dot(self.off) <= self.doubt);
        if on_base || on_upright {
            let outside = to_boundary(Point::default(), &self.outline);
            return Err(SectionError::RootOutsideFace { weld, outside });
        }
        Ok(())
    }

    /// Follows one plate's surface from its edge; `view` gives (s along the surface, h into the air).
    fn track(
        &self,
        edge: f64,
        settled: Option<bool>,
        view: impl Fn(Point) -> Point,
    ) -> Option<Track> {
        let outline: Vec<Point> = self.outline.iter().map(|&p| view(p)).collect();
        let breaks: Vec<Vec<Point>> =
            self.breaks.iter().map(|line| line.iter().map(|&p| view(p)).collect()).collect();
        let size = extent(&outline);
        let slack = 1e-9 * size;
        let entered = |s: &Stretch| s.to.s > edge + slack;
        let mut runs: Vec<Stretch> =
            stretches(&outline, 0.0, Look::Below).into_iter().filter(entered).collect();
        let metal = stretches(&outline, 0.0, Look::Above);
        // Does it enter the plate anywhere on the weld's side of the edge? If not, touching counts (see the module).
        let deepest =
            outline.iter().filter(|p| p.x > edge + slack).fold(0.0_f64, |d, p| d.max(-p.y));
        if !self.exact && deepest <= slack.max(self.doubt) {
            // A traced outline that enters the plate by no more than the doubt shows no fusion to it.
            return None;
        }
        let touching = self.exact && settled.unwrap_or(deepest <= ROUNDING * size);
        if touching {
            // A nudged outline floats over the surface here and dips below it there: its points near it are what touches.
            let reach = self.touch_reach();
            let near: Vec<usize> = (0..outline.len())
                .filter(|&i| outline[i].y.abs() <= reach && outline[i].x >= edge - reach)
                .collect();
            let by_s = |a: &&usize, b: &&usize| outline[**a].x.total_cmp(&outline[**b].x);
            let (first, last) = (near.iter().min_by(by_s)?, near.iter().max_by(by_s)?);
            let at = |i: usize| Crossing { s: outline[i].x, piece: i };
            let from = at(*first);
            // The surface begins at the plate's edge; a corner point nudged off it still lies on it.
            let from = Crossing { s: if from.s <= edge + reach { edge } else { from.s }, ..from };
            runs = vec![Stretch { from, to: at(*last) }];
        }
        let first = *runs.first()?;
        let near = self.doubt.max(slack);
        let (cracks, unfused) = breaks.split_at(self.cracks);
        let mut cut = covered(unfused, 0.0, edge, f64::INFINITY, near);
        // A crack that merely crosses the surface does not unfuse the leg; one that runs along it does.
        let along = covered(cracks, 0.0, edge, f64::INFINITY, near).0;
        cut.0.extend(along.into_iter().filter(|(a, b)| b - a > 2.5 * near));
        let mut last = first;
        let mut reached = Spans(vec![(first.from.s.max(edge), first.to.s)]);
        for next in &runs[1..] {
            let middle = 0.5 * (last.to.s + next.from.s);
            let bridged = metal.iter().any(|m| m.from.s <= middle && middle <= m.to.s);
            if !bridged {
                break;
            }
            reached.0.push((next.from.s, next.to.s));
            last = *next;
        }
        let fused = Spans(reached.less(&cut).0.into_iter().filter(|(a, b)| b - a > 0.0).collect());
        let (first_fused, toe) = match (fused.0.first(), fused.0.last()) {
            (Some(a), Some(b)) => (a.0, b.1),
            _ => return None,
        };
        let place = |c: Crossing| {
            let at = if touching { self.outline[c.piece] } else { self.on_piece(c, &view) };
            (c.piece, at)
        };
        Some(Track {
            edge,
            toe,
            outer: place(last.to),
            inner: place(first.from),
            open_corner: (first_fused - edge).max(0.0),
            touching,
            fused,
        })
    }

    /// The point of a crossing in this frame.
    fn on_piece(&self, crossing: Crossing, view: &impl Fn(Point) -> Point) -> Point {
        let a = self.outline[crossing.piece];
        let b = self.outline[(crossing.piece + 1) % self.outline.len()];
        let (sa, sb) = (view(a), view(b));
        let t = if sb.y == sa.y { 0.0 } else { (-sa.y / (sb.y - sa.y)).clamp(0.0, 1.0) };
        a.towards(b, t)
    }
}
