//! From set points to an outline with a doubt at each of its points.
//!
//! ```text
//!   ● set by a person, ◆ held        1  pull each point (not the held ones) to the line nearby, on a coarse level
//!                                    2  guided paths between neighbours, learn what the line looks like,
//!      ◆───────────◆  face           3  pull and trace again, then take the path to the fine level by way-marks
//!     /             \                4  corners: held points, and where the path turns sharply
//!    ●               ●  fusion       5  refine each stretch between corners across the line, twice
//!     \             /   line         6  toes: where two refined stretches meet
//!      ╰────●──────╯                 7  points evenly spaced, each with its u
//! ```
//!
//! The face in air and the fusion line in metal are traced by the same means: one is a step, the other mostly a
//! dark line. A closed outline has its last point joined to the first; an open line (a crack) has not.
//!
//! Where the guided path follows no line over a while, or runs straight on where the outline turns round, other ways are
//! sought ([`crate::enclose`], [`crate::tip`]): the one that is worth most as a line is the outline, those that are worth hardly
//! less go with it ([`Outline::others`]) and into the uncertainty of what is read from it.
//!
//! A hand-set outline is never refused for want of a line: where the tool sees none, it keeps the path and says so
//! ([`Remark::NoLineSeen`], [`Outline::seen`]). Straight outlines are exact: their corners are the given points.
//!
//! Guarantees: held points lie on the outline to the last digit; the outline does not cross itself; the same
//! picture and points give the same outline; no panic, whatever the points.
//!
//! Not covered: proposing an outline without set points; choosing between nested lines; what part of the outline is
//! face (only [`Outline::at_mount`] is told).
//!
//! Source: own; the path is [`crate::path`]'s, the places are [`crate::refine`]'s. Measured against a hand mask in
//! `tests/it/trace_photographs.rs`, against drawn truth in `tests/it/trace_drawn.rs`, against a general image library
//! in `benches/peers/path.py`.

use crate::enclose::{self, Looks, Zone};
use crate::evidence::{Cost, Evidence, Window};
use crate::path;
use crate::placing;
use crate::pyramid::{Plane, Pyramid, level_from_picture, picture_from_level, size_of_pixel};
use crate::refine::{End, LEAST_U, NEAR_CORNER, Place, refine, unseen_u};
use crate::tip::{self, Tips};
use rayon::prelude::*;

/// How far a set point may be pulled, as a share of the zone's width.
pub const PULL_SHARE: f64 = 0.01;

/// How to get from one set point to the next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Follow {
    /// Along the line the picture shows.
    Guided,
    /// Straight, as given.
    Straight,
}

/// Which part of a dark line in metal the outline follows.
///
/// An etched fusion line is several pixels wide, and people differ: some count it to the zone, some not. Half its
/// width is doubt whichever is chosen ([`Outline::line_half_width_px`]); what was chosen must be said.
/// A bare step (the face) has one place only.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Along {
    /// Its middle.
    #[default]
    Middle,
    /// The edge on the zone's side, at half depth (closed outlines only; of an open line the middle).
    Inside,
    /// The edge on the far side, at half depth: the line counts to the zone.
    Outside,
    /// The edge towards the brighter side, at half depth: where lightness changes most, on which a hand that snaps
    /// to edges lands. It may change sides along the line.
    Steepest,
}

/// Whether the last point is joined to the first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// A zone.
    Closed,
    /// A crack, a lack-of-fusion line.
    Open,
}

/// What a person set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asked<'a> {
    /// Points in order along the line, picture pixels.
    pub points: &'a [[f64; 2]],
    /// Which of them (from 0) must not be pulled.
    pub hold: &'a [usize],
    /// How to get from one to the next.
    pub follow: Follow,
    /// Which part of a dark line to follow.
    pub along: Along,
    /// Closed or open.
    pub shape: Shape,
}

/// A traced line in the picture's frame (x right, y down, pixel centres at integers).
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    /// Points in order, evenly spaced between corners, about one level pixel apart; the first is not repeated at the end.
    pub px: Vec<[f64; 2]>,
    /// Standard uncertainty of each point across the line.
    pub u_px: Vec<f64>,
    /// For each point, whether a line was seen there (contrast at least three times the noise).
    pub seen: Vec<bool>,
    /// For each point, whether one side is as dark as the mount.
    pub at_mount: Vec<bool>,
    /// For each point, how much it looks like a line, 0 to 1.
    pub evidence_at: Vec<f64>,
    /// Closed or open.
    pub shape: Shape,
    /// Which part of a dark line was followed.
    pub along: Along,
    /// Indices of the points kept sharp.
    pub corners: Vec<usize>,
    /// The set points after pulling, in the order given.
    pub set_px: Vec<[f64; 2]>,
    /// The level of the pyramid on which it was read.
    pub level: usize,
    /// Half the dark line's width at half its depth, median over where a dark line was seen in metal.
    pub line_half_width_px: Option<f64>,
    /// Standard uncertainty of where the line as a whole lies to the boundary that it stands for, in metal.
    pub placed_u_px: f64,
    /// Mean of `evidence_at` over the part in metal (over everything when there is none).
    pub evidence: f64,
    /// What the person should know.
    pub remarks: Vec<Remark>,
    /// How likely this way is beside the likeliest one, 0 to 1; that one has 1.
    pub likely: f64,
    /// Other ways the line may run, as far as they differ by more than slivers.
    pub others: Vec<Self>,
}

impl Outline {
    /// Drops points, and all that is known of each of them.
    pub(crate) fn leave_out(&mut self, places: std::ops::RangeInclusive<usize>) {
        let count = places.end() + 1 - places.start();
        self.px.drain(places.clone());
        self.u_px.drain(places.clone());
        self.seen.drain(places.clone());
        self.at_mount.drain(places.clone());
        self.evidence_at.drain(places.clone());
        self.corners.retain(|i| !places.contains(i));
        for i in self.corners.iter_mut().filter(|i| **i > *places.end()) {
            *i -= count;
        }
    }

    /// Where another way lies farthest from this one, and how far, pixels; nothing when there is no other.
    #[must_use]
    pub fn farthest_other(&self) -> Option<([f64; 2], f64)> {
        let off = |p: [f64; 2]| {
            self.px.iter().map(|&q| squared(p, q)).fold(f64::INFINITY, f64::min).sqrt()
        };
        self.others
            .iter()
            .flat_map(|other| other.px.iter().step_by(4))
            .map(|&p| (p, off(p)))
            .max_by(|a, b| a.1.total_cmp(&b.1))
    }
}

/// What the person should know about an outline.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Remark {
    /// No line was seen over this share of the outline; the path was kept there.
    NoLineSeen {
        /// 0 to 1.
        share: f64,
    },
    /// Small loops were cut out of the refined outline.
    LoopsCut {
        /// How many.
        count: usize,
    },
    /// The refined outline crossed itself, so the guided path was kept.
    PathKept,
    /// The guided path crossed itself too, so the set points were joined straight.
    JoinedStraight,
}

impl std::fmt::Display for Remark {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NoLineSeen { share } => {
                write!(
                    f,
                    "no line seen by the tool along {:.0} % of the outline: its doubt there is the search width's",
                    100.0 * share
                )
            }
            Self::LoopsCut { count } => {
                write!(f, "{count} small loop(s) cut out of the outline: look at it closely")
            }
            Self::PathKept => write!(
                f,
                "the refined outline crossed itself, so the guided path was kept to the pixel"
            ),
            Self::JoinedStraight => write!(
                f,
                "the guided path crossed itself, so the set points were joined straight: set more points"
            ),
        }
    }
}

/// Why there is no outline.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum TraceError {
    /// Not enough to make a line of.
    #[error("{given} point(s) were set, and {needed} are needed")]
    TooFewPoints {
        /// Points set.
        given: usize,
        /// Points needed.
        needed: usize,
    },
    /// More than anybody sets.
    #[error("{given} points were set, and at most {most} make one {}", if *guided { "guided line" } else { "line" })]
    TooManyPoints {
        /// Points set.
        given: usize,
        /// Points taken.
        most: usize,
        /// The line is sought on the photo.
        guided: bool,
    },
    /// Not a number, or infinite.
    #[error("point {number} has a coordinate that is not a number")]
    NotANumber {
        /// From 1.
        number: usize,
    },
    /// Beside the picture.
    #[error(
        "point {number} at ({x:.1}, {y:.1}) lies outside the picture of {width} x {height} pixels"
    )]
    Outside {
        /// From 1.
        number: usize,
        /// Column.
        x: f64,
        /// Row.
        y: f64,
        /// Pixels in a row.
        width: usize,
        /// Rows.
        height: usize,
    },
    /// Two neighbours on one spot.
    #[error(
        "points {first} and {second} are {apart_px:.2} pixels apart, so no line leads from one to the other"
    )]
    Coincide {
        /// From 1.
        first: usize,
        /// From 1.
        second: usize,
        /// How far apart.
        apart_px: f64,
    },
    /// A held point that was not set.
    #[error("point {number} is to be held, and only {points} were set")]
    HoldsUnknown {
        /// From 1.
        number: usize,
        /// Points set.
        points: usize,
    },
    /// Nothing to see in a zone this small.
    #[error(
        "the set points span {span_px:.1} pixels, and a line needs at least {needed_px:.0} to be read"
    )]
    TooSmall {
        /// The longer side of their box.
        span_px: f64,
        /// What is needed.
        needed_px: f64,
    },
    /// No order in the points.
    #[error(
        "the outline crosses itself near ({x:.0}, {y:.0}), even with straight lines between the set points"
    )]
    CrossesItself {
        /// Column.
        x: f64,
        /// Row.
        y: f64,
    },
}

impl TraceError {
    /// What to do about it.
    pub fn advice(&self) -> &'static str {
        match self {
            Self::TooFewPoints { .. } => {
                "set points along the whole line: about eight for a zone, two or more for a crack"
            }
            Self::TooManyPoints { guided: true, .. } => {
                "set fewer: between them the line is sought on the photo; or take the points exactly as set, with trace = \"straight\""
            }
            Self::TooManyPoints { guided: false, .. } => "leave points out",
            Self::NotANumber { .. } => "set the point again",
            Self::Outside { .. } => {
                "set the point inside the picture; a zone cut off by the frame needs another photograph"
            }
            Self::Coincide { .. } => "delete one of the two",
            Self::HoldsUnknown { .. } => "count the points from 1 in the order they were set",
            Self::TooSmall { .. } => {
                "take a closer photograph, or check that the points belong to this picture"
            }
            Self::CrossesItself { .. } => "set the points in order along the line, once around",
        }
    }
}

/// Most points of one line: a guided one is sought from each point to the next.
const MOST_GUIDED: usize = 300;
const MOST_STRAIGHT: usize = 20_000;
/// The least span of the set points, picture pixels.
const LEAST_SPAN: f64 = 12.0;
/// The least distance of neighbours, picture pixels.
const LEAST_APART: f64 = 1.0;

/// Traces a line through set points.
///
/// # Errors
/// When the points make no line: too few, outside the picture, on one spot, spanning too little, or in an order
/// that crosses itself.
pub fn trace(pyramid: &Pyramid, asked: &Asked<'_>) -> Result<Outline, TraceError> {
    let evidence = evidence_for(pyramid, asked)?;
    traced(pyramid, &evidence, asked)
}

/// The evidence that [`trace`] works on: the level at which the points' box is at most 700 pixels long, box and 25 %.
///
/// # Errors
/// As [`trace`].
pub fn evidence_for(pyramid: &Pyramid, asked: &Asked<'_>) -> Result<Evidence, TraceError> {
    let level = check(pyramid, asked)?;
    Ok(Evidence::new(pyramid, Window::around(pyramid, level, asked.points)))
}

/// The guided path alone, on evidence that is at hand already (the points' box should lie inside its window): neither taken
/// round tips nor placed to a fraction of a pixel.
///
/// # Errors
/// As [`trace`].
pub fn path_on(
    pyramid: &Pyramid,
    evidence: &Evidence,
    asked: &Asked<'_>,
) -> Result<Vec<[f64; 2]>, TraceError> {
    check(pyramid, asked)?;
    let work = Work::new(pyramid, evidence, asked);
    let ways = work.guide(pyramid, asked, false);
    let pieces = ways.likely.first().map(|(_, path)| work.fine(&ways, path).1).unwrap_or_default();
    Ok(pieces.into_iter().flatten().collect())
}

fn traced(
    pyramid: &Pyramid,
    evidence: &Evidence,
    asked: &Asked<'_>,
) -> Result<Outline, TraceError> {
    let work = Work::new(pyramid, evidence, asked);
    let straight = |remarks| work.straight(asked.points, remarks);
    match asked.follow {
        Follow::Straight => straight(Vec::new()),
        Follow::Guided => {
            let ways = work.guide(pyramid, asked, true);
            let refined = |pieces: &enclose::Pieces| {
                let (points, segments) = work.fine(&ways, pieces);
                work.refined(asked, &points, segments)
            };
            let way = |(likely, pieces): &(f64, enclose::Pieces)| {
                refined(pieces).map(|outline| Outline { likely: *likely, ..outline })
            };
            let mut found = ways.likely.par_iter().map(way).collect::<Vec<_>>().into_iter();
            let best = found.next().flatten();
            let others = if best.is_some() { found.flatten().collect() } else { Vec::new() };
            match best.or_else(|| ways.instead.iter().find_map(refined)) {
                Some(outline) => Ok(Outline { others, ..outline }),
                None => straight(vec![Remark::JoinedStraight]),
            }
        }
    }
}

/// Pixels of the coarser level from one way-mark to the next, and how far each may move on the finer one.
const WAY_MARK_EVERY: usize = 8;
const WAY_MARK_WITHIN: f64 = 1.5;
/// What a pixel's looks count beside its evidence, in turn: metal that looks like the zone's is enclosed.
const METAL_COUNTS: [f64; 2] = [0.02, 0.05];
/// Ways that come as near as this everywhere are one, pixels of the coarser level.
const OTHER_WAY: f64 = 3.0;
/// So many pixels that look wholly like a line against ones that look like none make a way e times as likely as another.
const LIKELIER: f64 = 4.0;
/// A way that is less likely than this beside another does not count.
const UNLIKELY: f64 = 0.05;
/// The longest side of a zone, in pixels of the level on which the way is sought. On finer ones the grain of the metal
/// competes with the line: on 250 the etched track's outline lies as near to its mask as on 700, and fewer drawn roots
/// are cut off.
const GUIDE_SIDE: f64 = 250.0;
/// What a window is longer than the box of its points: a quarter on each side.
const WINDOW: f64 = 1.5;

/// The same window on the level on which the way is sought; nothing when that is the level at hand.
fn coarser(pyramid: &Pyramid, fine: &Evidence) -> Option<Evidence> {
    let w = fine.window();
    let mut level = w.level;
    let mut side = w.w.max(w.h) as f64 / WINDOW;
    while side > GUIDE_SIDE && level + 1 < pyramid.levels() {
        side /= 2.0;
        level += 1;
    }
    let up = level - w.level;
    (up > 0).then(|| {
        let part = |v: usize| v >> up;
        let (x0, y0) = (part(w.x0), part(w.y0));
        Evidence::new(
            pyramid,
            Window { level, x0, y0, w: part(w.x0 + w.w) + 1 - x0, h: part(w.y0 + w.h) + 1 - y0 },
        )
    })
}

fn check(pyramid: &Pyramid, asked: &Asked<'_>) -> Result<usize, TraceError> {
    let points = asked.points;
    let needed = if asked.shape == Shape::Closed { 3 } else { 2 };
    if points.len() < needed {
        return Err(TraceError::TooFewPoints { given: points.len(), needed });
    }
    let guided = asked.follow == Follow::Guided;
    let most = if guided { MOST_GUIDED } else { MOST_STRAIGHT };
    if points.len() > most {
        return Err(TraceError::TooManyPoints { given: points.len(), most, guided });
    }
    let (width, height) = (pyramid.picture().width, pyramid.picture().height);
    for (i, &[x, y]) in points.iter().enumerate() {
        if !(x.is_finite() && y.is_finite()) {
            return Err(TraceError::NotANumber { number: i + 1 });
        }
        let inside = |v: f64, side: usize| (-0.5..=side as f64 - 0.5).contains(&v);
        if !(inside(x, width) && inside(y, height)) {
            return Err(TraceError::Outside { number: i + 1, x, y, width, height });
        }
    }
    if let Some(&i) = asked.hold.iter().find(|&&i| i >= points.len()) {
        return Err(TraceError::HoldsUnknown { number: i.saturating_add(1), points: points.len() });
    }
    let (low, high) = crate::evidence::span(points);
    let span_px = (high[0] - low[0]).max(high[1] - low[1]);
    let size = size_of_pixel(pyramid.level_for(span_px));
    for i in 0..points.len() {
        let j = (i + 1) % points.len();
        if j == 0 && asked.shape == Shape::Open {
            continue;
        }
        let apart_px = distance(points[i], points[j]);
        if apart_px < LEAST_APART * size {
            return Err(TraceError::Coincide { first: i + 1, second: j + 1, apart_px });
        }
    }
    if span_px < LEAST_SPAN {
        return Err(TraceError::TooSmall { span_px, needed_px: LEAST_SPAN });
    }
    // Chords of an outline that is set in order may cross here and there; of one set crisscross nothing need be sought.
    if guided && let Some([x, y]) = crisscross(points, asked.shape == Shape::Closed) {
        return Err(TraceError::CrossesItself { x, y });
    }
    Ok(pyramid.level_for(span_px))
}

/// One per cent of the zone's width: the shorter side of the points' box, the longer one where that is under a
/// quarter of it (a crack has no width); at least 1.5 level pixels.
fn pull_radius(points: &[[f64; 2]], level: usize) -> f64 {
    let (low, high) = crate::evidence::span(points);
    let (w, h) = (high[0] - low[0], high[1] - low[1]);
    let width = if w.min(h) < 0.25 * w.max(h) { w.max(h) } else { w.min(h) };
    (PULL_SHARE * width).max(1.5 * size_of_pixel(level))
}

/// Level pixels between the points of an outline.
const SPACING: f64 = 1.0;
/// Standard deviation of the smoothing of a pixel path, level pixels.
const PATH_SIGMA: f64 = 3.0;
/// A corner is judged by chords from 3 to 13 level pixels away on each side.
const CHORD_FROM: f64 = 3.0;
const CHORD_TO: f64 = 13.0;
/// Turn that makes a set point a corner, and one that makes any place a corner, degrees.
const CORNER_AT_SET_POINT: f64 = 35.0;
const CORNER_ANYWHERE: f64 = 60.0;

/// How far the crossing of two refined stretches may lie from their ends, level pixels.
const FARTHEST_CORNER: f64 = 4.0;

/// Set points and the pieces between them, picture frame.
type Way = (Vec<[f64; 2]>, enclose::Pieces);

/// Ways between the set points as sought: the likeliest first and others that may be as well; and what stands in for the
/// likeliest, in turn, where it makes no outline.
struct Ways {
    points: Vec<[f64; 2]>,
    held: Vec<bool>,
    /// The level on which they were sought, where it is coarser than the one at hand.
    coarse: Option<usize>,
    /// Each with how likely it is beside the first.
    likely: Vec<(f64, enclose::Pieces)>,
    instead: Vec<enclose::Pieces>,
}

/// How far two ways between the same points lie apart at most.
fn differ(a: &[Vec<[f64; 2]>], b: &[Vec<[f64; 2]>]) -> f64 {
    let far = |a: &[[f64; 2]], b: &[[f64; 2]]| {
        // Neighbouring places are a pixel apart: every third tells as much.
        a.iter()
            .step_by(3)
            .map(|&p| b.iter().map(|&q| squared(p, q)).fold(f64::INFINITY, f64::min))
            .fold(0.0, f64::max)
            .sqrt()
    };
    a.iter().zip(b).map(|(a, b)| far(a, b).max(far(b, a))).fold(0.0, f64::max)
}

struct Work<'a> {
    level: usize,
    plane: &'a Plane,
    evidence: &'a Evidence,
    closed: bool,
    pull: f64,
}

/// One point of an outline in the making, in the level's frame.
#[derive(Debug, Clone, Copy)]
struct Knot {
    at: [f64; 2],
    u: f64,
    seen: bool,
    depth: f64,
    step: f64,
    half_width: f64,
    corner: bool,
    held: bool,
}

impl<'a> Work<'a> {
    fn new(pyramid: &'a Pyramid, evidence: &'a Evidence, asked: &Asked<'_>) -> Self {
        let level = evidence.window().level;
        Self {
            level,
            plane: pyramid.level(level),
            evidence,
            closed: asked.shape == Shape::Closed,
            pull: pull_radius(asked.points, level),
        }
    }

    fn on_level(&self, p: [f64; 2]) -> [f64; 2] {
        level_from_picture(self.level, p)
    }

    /// Pulled points and the guided paths between them, picture frame.
    fn guide(&self, pyramid: &Pyramid, asked: &Asked<'_>, round_tips: bool) -> Ways {
        let coarse = coarser(pyramid, self.evidence);
        let guide = coarse.as_ref().unwrap_or(self.evidence);
        let held: Vec<bool> = (0..asked.points.len()).map(|i| asked.hold.contains(&i)).collect();
        let mut points = asked.points.to_vec();
        let prior = Cost::prior(guide);
        let mut segments = self.segments(&prior, &points);
        let mut last = None;
        for _ in 0..2 {
            let traced: Vec<[f64; 2]> = segments.iter().flatten().copied().collect();
            let cost = Cost::learned(guide, &traced);
            let n = points.len();
            points = (0..n)
                .into_par_iter()
                .map(|i| {
                    if held[i] {
                        return points[i];
                    }
                    // From the middle of the segment before to the middle of the one after, through a disc
                    // around the point as it was set.
                    let middle = |s: &[[f64; 2]]| s.get(s.len() / 2).copied();
                    let before = if i > 0 {
                        segments.get(i - 1)
                    } else {
                        segments.last().filter(|_| self.closed)
                    };
                    let before = before.and_then(|s| middle(s));
                    let after = segments.get(i).and_then(|s| middle(s));
                    match (before, after) {
                        (Some(a), Some(b)) => path::gate(&cost, a, asked.points[i], b, self.pull),
                        (Some(a), None) | (None, Some(a)) => {
                            path::gate(&cost, a, asked.points[i], a, self.pull)
                        }
                        (None, None) => points[i],
                    }
                })
                .collect();
            segments = self.segments(&cost, &points);
            last = Some(cost);
        }
        let (likely, instead) = match last {
            Some(cost) if round_tips && self.closed => {
                let plane = pyramid.level(guide.window().level);
                self.ways(plane, &cost, &points, segments)
            }
            _ => (vec![(1.0, segments)], Vec::new()),
        };
        Ways { points, held, coarse: coarse.map(|c| c.window().level), likely, instead }
    }

    /// One of them on the level at hand.
    fn fine(&self, ways: &Ways, pieces: &enclose::Pieces) -> Way {
        match ways.coarse {
            Some(coarse) => self.onto_fine(coarse, &ways.held, &ways.points, pieces),
            None => (ways.points.clone(), pieces.clone()),
        }
    }

    /// The ways between the set points, the likeliest first; further ones only as far as the path is in doubt and they
    /// differ from the others. Then what stands in for the likeliest, in turn, where it makes no outline.
    fn ways(
        &self,
        plane: &Plane,
        cost: &Cost,
        points: &[[f64; 2]],
        path: enclose::Pieces,
    ) -> (Vec<(f64, enclose::Pieces)>, Vec<enclose::Pieces>) {
        let looks = Looks::new(cost);
        let size = size_of_pixel(cost.window().level);
        let parting = tip::parting(&looks, &path);
        // Which pieces are in doubt, and the spurs that tell of it.
        let doubtful = |pieces: &enclose::Pieces| {
            let spurs = enclose::spurs(pieces, size);
            (enclose::doubtful(&looks, pieces, &spurs, parting), spurs)
        };
        if !doubtful(&path).0.contains(&true) {
            return (vec![(1.0, path)], Vec::new());
        }
        let zone = Zone::new(plane, &looks, points, &path, self.pull);
        let tips = Tips::new(&looks, zone.likely(), &path, parting);
        let enclosed = zone.enclosed(&METAL_COUNTS);
        let apart = OTHER_WAY * size;
        let mut best = path.clone();
        let mut others: Vec<(usize, f64, Vec<[f64; 2]>)> = Vec::new();
        let mut taken: Vec<(f64, usize)> = Vec::new();
        // Those that look least like a line first: what they turn out to be gives the others their tangents. Twice, for the
        // first may have started from neighbours that were wrong themselves.
        for _ in 0..2 {
            let mut done = vec![false; path.len()];
            let next = |best: &enclose::Pieces, done: &[bool]| {
                let (doubtful, spurs) = doubtful(best);
                let open =
                    (0..best.len()).filter(|&i| (doubtful[i] || best[i] != path[i]) && !done[i]);
                open.max_by(|&a, &b| looks.mean(&best[a]).total_cmp(&looks.mean(&best[b])))
                    .map(|i| (i, spurs))
            };
            while let Some((i, spurs)) = next(&best, &done) {
                done[i] = true;
                let mut ways = vec![path[i].clone()];
                let more = enclosed.iter().map(|way| way[i].clone());
                for way in more.chain(tips.round(&best, &spurs, i)).chain([best[i].clone()]) {
                    let new = |w: &Vec<[f64; 2]>| {
                        differ(std::slice::from_ref(w), std::slice::from_ref(&way)) > apart
                    };
                    if ways.iter().all(new) {
                        ways.push(way);
                    }
                }
                // The way that is worth most; those that are not much less likely are others.
                let worth = tips.worth_of(&ways, &best, &spurs, i);
                let k = (0..ways.len()).max_by(|&a, &b| worth[a].total_cmp(&worth[b])).unwrap_or(0);
                others.retain(|(of, ..)| *of != i);
                taken.retain(|(_, of)| *of != i);
                for (other, &w) in worth.iter().enumerate() {
                    let likely = ((w - worth[k]) / LIKELIER).exp();
                    if other != k && likely > UNLIKELY {
                        others.push((i, likely, ways[other].clone()));
                    }
                }
                if k > 0 {
                    taken.push((worth[k] - worth[0], i));
                }
                best[i] = ways.swap_remove(k);
            }
        }
        let mut out = vec![(1.0, best.clone())];
        for (i, likely, way) in others {
            let mut other = best.clone();
            other[i] = way;
            out.push((likely, other));
        }
        // Instead of a best that ties itself into a knot: the path in one piece of it, in all but one, everywhere.
        taken.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut instead: Vec<enclose::Pieces> = Vec::new();
        if taken.len() > 1 {
            let with = |from: &enclose::Pieces, of: &enclose::Pieces, i: usize| {
                let mut way = from.clone();
                way[i].clone_from(&of[i]);
                way
            };
            instead.extend(taken.iter().map(|&(_, i)| with(&best, &path, i)));
            instead.extend(taken.iter().rev().map(|&(_, i)| with(&path, &best, i)));
        }
        if !taken.is_empty() {
            instead.push(path);
        }
        (out, instead)
    }

    /// The path of a coarser level on this one: through the place nearby, every few pixels, where the way is cheapest.
    fn onto_fine(
        &self,
        coarse: usize,
        held: &[bool],
        points: &[[f64; 2]],
        segments: &[Vec<[f64; 2]>],
    ) -> (Vec<[f64; 2]>, Vec<Vec<[f64; 2]>>) {
        let traced: Vec<[f64; 2]> = segments.iter().flatten().copied().collect();
        let cost = Cost::learned(self.evidence, &traced);
        let near = WAY_MARK_WITHIN * size_of_pixel(coarse);
        let count = segments.len();
        // A way-mark before and after each set point, and every few pixels between.
        let marks: Vec<Vec<[f64; 2]>> = segments
            .iter()
            .map(|s| {
                let parts = (s.len() / WAY_MARK_EVERY).max(2);
                (1..parts).map(|k| s[k * (s.len() - 1) / parts]).collect()
            })
            .collect();
        let gated: Vec<Vec<[f64; 2]>> = (0..count)
            .into_par_iter()
            .map(|i| {
                let (a, b) = (points[i], points[(i + 1) % points.len()]);
                let m = &marks[i];
                (0..m.len())
                    .map(|k| {
                        let before = if k == 0 { a } else { m[k - 1] };
                        let after = m.get(k + 1).copied().unwrap_or(b);
                        path::gate(&cost, before, m[k], after, near)
                    })
                    .collect()
            })
            .collect();
        let set: Vec<[f64; 2]> = (0..points.len())
            .into_par_iter()
            .map(|i| {
                let before =
                    if i > 0 { gated.get(i - 1) } else { gated.last().filter(|_| self.closed) };
                let before = before.and_then(|m| m.last().copied());
                let after = gated.get(i).and_then(|m| m.first().copied());
                match (before, after) {
                    _ if held[i] => points[i],
                    (Some(a), Some(b)) => path::gate(&cost, a, points[i], b, near),
                    (Some(a), None) | (None, Some(a)) => path::gate(&cost, a, points[i], a, near),
                    (None, None) => points[i],
                }
            })
            .collect();
        let fine = (0..count)
            .into_par_iter()
            .map(|i| {
                let mut stops = vec![set[i]];
                stops.extend(&gated[i]);
                stops.push(set[(i + 1) % set.len()]);
                let mut way: Vec<[f64; 2]> = Vec::new();
                for pair in stops.windows(2) {
                    let part = path::between(&cost, pair[0], pair[1]);
                    way.extend(part.into_iter().skip(usize::from(!way.is_empty())));
                }
                way
            })
            .collect();
        (set, fine)
    }

    fn segments(&self, cost: &Cost, points: &[[f64; 2]]) -> Vec<Vec<[f64; 2]>> {
        let n = points.len();
        let count = if self.closed { n } else { n - 1 };
        (0..count)
            .into_par_iter()
            .map(|i| path::between(cost, points[i], points[(i + 1) % n]))
            .collect()
    }

    /// Steps 4 to 7; `None` when even the path crosses itself.
    fn refined(
        &self,
        asked: &Asked<'_>,
        points: &[[f64; 2]],
        segments: Vec<Vec<[f64; 2]>>,
    ) -> Option<Outline> {
        let held: Vec<bool> = (0..points.len()).map(|i| asked.hold.contains(&i)).collect();
        let size = size_of_pixel(self.level);
        let (way, marks) = join(
            segments
                .into_iter()
                .map(|s| s.into_iter().map(|p| self.on_level(p)).collect())
                .collect(),
            &points.iter().map(|&p| self.on_level(p)).collect::<Vec<_>>(),
            &held,
            self.closed,
            self.pull / size,
        );
        let breaks = breaks(&way, &marks, &held, self.closed);
        let mut stretches = stretches(&way, &breaks, self.closed);
        let hand_u = (self.pull / size / 3f64.sqrt()).max(LEAST_U);
        let path: Vec<Knot> =
            self.knots(stretches.iter().map(|s| (s.clone(), None)).collect(), hand_u);
        // To the right of the direction of travel is inside when the shoelace sum is positive (y down).
        let inward = if area(&way) >= 0.0 { 1.0 } else { -1.0 };
        let side = match asked.along {
            Along::Inside if self.closed => Some(inward),
            Along::Outside if self.closed => Some(-inward),
            Along::Steepest => None,
            _ => Some(0.0),
        };
        let mut round = self.closed && breaks.is_empty();
        let places = self.places(&stretches, round);
        for (stretch, places) in stretches.iter_mut().zip(places) {
            stretch.points = places.iter().map(|p| p.at).collect();
        }
        (stretches, round) = without_false_corners(stretches, self.closed, round);
        if !round {
            meet(&mut stretches, self.closed);
        }
        for s in &mut stretches {
            // Smooth again: a base that follows the first pass's noise would hand it on to the second.
            s.points = if round { smooth_round(&s.points) } else { smooth_run(&s.points) };
        }
        let places = self.places(&stretches, round);
        for (s, p) in stretches.iter_mut().zip(&places) {
            s.points = p.iter().map(|p| p.at).collect();
            if side != Some(0.0) {
                to_edge(s, p, side, round);
            }
        }
        if !round {
            meet(&mut stretches, self.closed);
        }
        let mut knots =
            self.knots(stretches.into_iter().zip(places.into_iter().map(Some)).collect(), hand_u);
        let mut remarks = Vec::new();
        let mut cut = 0;
        cut_loops(&mut knots, self.closed, &mut cut);
        let unusable =
            |knots: &[Knot]| knots.len() < 3 || crossing(&positions(knots), self.closed).is_some();
        if unusable(&knots) {
            knots = path;
            cut = 0;
            cut_loops(&mut knots, self.closed, &mut cut);
            if unusable(&knots) {
                return None;
            }
            remarks.push(Remark::PathKept);
        }
        if cut > 0 {
            remarks.push(Remark::LoopsCut { count: cut });
        }
        let mut outline = self.finish(knots, points.to_vec(), remarks);
        outline.along = asked.along;
        // Held to the last digit, whatever the level's arithmetic did.
        for &p in asked.hold.iter().filter_map(|&i| asked.points.get(i)) {
            if let Some(px) = outline.px.iter_mut().find(|q| distance(**q, p) < 1e-6) {
                *px = p;
            }
        }
        Some(outline)
    }

    fn places(&self, stretches: &[Stretch], round: bool) -> Vec<Vec<Place>> {
        stretches.iter().map(|s| self.refine_stretch(s, round)).collect()
    }

    fn refine_stretch(&self, stretch: &Stretch, round: bool) -> Vec<Place> {
        if !round {
            return refine(self.plane, &stretch.points, stretch.ends);
        }
        // A line without any corner has no ends: refine it with an overlap and drop the overlap again.
        let n = stretch.points.len();
        let over = 40.min(n);
        let mut path = Vec::with_capacity(n + 2 * over);
        path.extend_from_slice(&stretch.points[n - over..]);
        path.extend_from_slice(&stretch.points);
        path.extend_from_slice(&stretch.points[..over]);
        let places = refine(self.plane, &path, [End::Free; 2]);
        places[over..over + n].to_vec()
    }

    /// One run of knots from refined stretches (or from the path itself).
    fn knots(&self, stretches: Vec<(Stretch, Option<Vec<Place>>)>, hand_u: f64) -> Vec<Knot> {
        let mut knots: Vec<Knot> = Vec::new();
        let count = stretches.len();
        for (number, (stretch, places)) in stretches.into_iter().enumerate() {
            let n = stretch.points.len();
            for (i, &at) in stretch.points.iter().enumerate() {
                let end = if i == 0 {
                    Some(stretch.ends[0])
                } else if i + 1 == n {
                    Some(stretch.ends[1])
                } else {
                    None
                };
                let corner = matches!(end, Some(End::Corner | End::Held));
                // A corner is the end of one stretch and the start of the next: keep it once.
                let shared = corner && i + 1 == n && (number + 1 < count || self.closed);
                if shared {
                    continue;
                }
                let p = places.as_ref().and_then(|p| p.get(i));
                let inside = |v: f64, side: usize| v.clamp(-0.5, side as f64 - 0.5);
                let at = if end == Some(End::Held) {
                    at
                } else {
                    [inside(at[0], self.plane.width), inside(at[1], self.plane.height)]
                };
                let mut knot = Knot {
                    at,
                    u: p.map_or(unseen_u(), |p| p.u),
                    seen: p.is_some_and(|p| p.seen),
                    depth: p.map_or(0.0, |p| p.depth),
                    step: p.map_or(0.0, |p| p.step),
                    half_width: p.map_or(0.0, |p| p.half_width),
                    corner,
                    held: end == Some(End::Held),
                };
                if end == Some(End::Held) {
                    knot.u = hand_u;
                }
                knots.push(knot);
            }
        }
        near_corners(&mut knots, self.closed);
        knots
    }

    fn straight(&self, points: &[[f64; 2]], remarks: Vec<Remark>) -> Result<Outline, TraceError> {
        let on_level: Vec<_> = points.iter().map(|&p| self.on_level(p)).collect();
        if let Some(at) = crossing(&on_level, self.closed) {
            let [x, y] = picture_from_level(self.level, at);
            return Err(TraceError::CrossesItself { x, y });
        }
        let u = (self.pull / size_of_pixel(self.level) / 3f64.sqrt()).max(LEAST_U);
        let n = points.len();
        let mut knots = Vec::new();
        for i in 0..if self.closed { n } else { n - 1 } {
            let (a, b) = (on_level[i], on_level[(i + 1) % n]);
            let parts = (distance(a, b) / SPACING).ceil().max(1.0) as usize;
            for k in 0..parts {
                let at = between(a, b, k as f64 / parts as f64);
                knots.push(Knot {
                    at,
                    u,
                    seen: false,
                    depth: 0.0,
                    step: 0.0,
                    half_width: 0.0,
                    corner: k == 0,
                    held: k == 0,
                });
            }
        }
        if let (false, Some(&at)) = (self.closed, on_level.last()) {
            knots.push(Knot {
                at,
                u,
                seen: false,
                depth: 0.0,
                step: 0.0,
                half_width: 0.0,
                corner: true,
                held: true,
            });
        }
        // What there is to see is still worth telling, the places are not.
        let found = refine(self.plane, &positions(&knots), [End::Free; 2]);
        for (knot, p) in knots.iter_mut().zip(found) {
            (knot.seen, knot.depth, knot.step, knot.half_width) =
                (p.seen, p.depth, p.step, p.half_width);
        }
        let mut outline = self.finish(knots, points.to_vec(), remarks);
        // To the last digit, whatever the level's arithmetic did.
        for (&corner, &p) in outline.corners.iter().zip(points) {
            if let Some(px) = outline.px.get_mut(corner) {
                *px = p;
            }
        }
        Ok(outline)
    }

    fn finish(&self, knots: Vec<Knot>, set_px: Vec<[f64; 2]>, mut remarks: Vec<Remark>) -> Outline {
        let size = size_of_pixel(self.level);
        let n = knots.len();
        let at = positions(&knots);
        let px: Vec<[f64; 2]> = at.iter().map(|&p| picture_from_level(self.level, p)).collect();
        let (dark, light) = self.range();
        let mut at_mount = Vec::with_capacity(n);
        for i in 0..n {
            let normal = self.normal(&at, i);
            let look =
                |s: f64| self.plane.sample(at[i][0] + s * normal[0], at[i][1] + s * normal[1]);
            let side = |sign: f64| (4..=8).map(|s| look(sign * f64::from(s))).sum::<f64>() / 5.0;
            let mount = side(1.0).min(side(-1.0)) < dark + 0.25 * (light - dark);
            at_mount.push(mount);
        }
        let evidence_at: Vec<f64> = px.iter().map(|&p| self.evidence.strength(p)).collect();
        let mean = |keep: &dyn Fn(usize) -> bool| {
            let (sum, count) = (0..n)
                .filter(|&i| keep(i))
                .fold((0.0, 0usize), |(s, c), i| (s + evidence_at[i], c + 1));
            (count > 10).then(|| sum / count as f64)
        };
        let evidence = mean(&|i| !at_mount[i]).or_else(|| mean(&|_| true)).unwrap_or(0.0);
        let mut widths: Vec<f64> = knots
            .iter()
            .zip(&at_mount)
            .filter(|(k, mount)| k.seen && !**mount && is_line(k.depth, k.step))
            .map(|(k, _)| k.half_width * size)
            .collect();
        widths.sort_by(f64::total_cmp);
        let unseen = knots.iter().filter(|k| !k.seen).count();
        if n > 0 && unseen * 20 > n {
            remarks.push(Remark::NoLineSeen { share: unseen as f64 / n as f64 });
        }
        Outline {
            u_px: knots.iter().map(|k| k.u * size).collect(),
            seen: knots.iter().map(|k| k.seen).collect(),
            corners: (0..n).filter(|&i| knots[i].corner).collect(),
            px,
            at_mount,
            evidence_at,
            shape: if self.closed { Shape::Closed } else { Shape::Open },
            along: Along::default(),
            set_px,
            level: self.level,
            placed_u_px: placing::of_line(widths.get(widths.len() / 2).copied(), evidence, size),
            line_half_width_px: widths.get(widths.len() / 2).copied(),
            evidence,
            remarks,
            likely: 1.0,
            others: Vec::new(),
        }
    }

    fn normal(&self, at: &[[f64; 2]], i: usize) -> [f64; 2] {
        let n = at.len();
        let index = |d: isize| {
            let j = i as isize + d;
            if self.closed {
                j.rem_euclid(n as isize) as usize
            } else {
                j.clamp(0, n as isize - 1) as usize
            }
        };
        let (a, b) = (at[index(-2)], at[index(2)]);
        let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
        let long = dx.hypot(dy);
        if long > 1e-9 { [-dy / long, dx / long] } else { [0.0, 1.0] }
    }

    /// The 2nd and 98th percentile of lightness in the window.
    fn range(&self) -> (f64, f64) {
        let window = self.evidence.window();
        let mut counts = vec![0usize; 256];
        let mut total = 0usize;
        for y in (window.y0..window.y0 + window.h).step_by(2) {
            for v in self.plane.px[y * self.plane.width + window.x0..][..window.w].iter().step_by(2)
            {
                counts[usize::from(v >> 8)] += 1;
                total += 1;
            }
        }
        let at = |share: f64| {
            let mut left = share * total as f64;
            counts.iter().position(|&c| {
                left -= c as f64;
                left < 0.0
            })
        };
        (at(0.02).unwrap_or(0) as f64 / 255.0, at(0.98).unwrap_or(255) as f64 / 255.0)
    }
}

/// Kolmogorov-Smirnov distance of two samples: the greatest of their distribution functions.
pub(crate) fn kolmogorov_smirnov(mut a: Vec<f64>, mut b: Vec<f64>) -> f64 {
    a.sort_by(f64::total_cmp);
    b.sort_by(f64::total_cmp);
    let (mut i, mut j, mut most) = (0, 0, 0.0f64);
    while i < a.len() && j < b.len() {
        let v = a[i].min(b[j]);
        while i < a.len() && a[i] <= v {
            i += 1;
        }
        while j < b.len() && b[j] <= v {
            j += 1;
        }
        most = most.max((i as f64 / a.len() as f64 - j as f64 / b.len() as f64).abs());
    }
    most
}

/// A run of path between two breaks, evenly spaced, level frame.
#[derive(Debug, Clone)]
struct Stretch {
    points: Vec<[f64; 2]>,
    ends: [End; 2],
}

/// One run of pixels from all segments, and where in it the set points lie.
///
/// Two segments may come to a point and leave it over the same pixels: such a spur is cut off (it is no part of a
/// boundary), or, at a held point, opened to a narrow wedge.
fn join(
    mut segments: Vec<Vec<[f64; 2]>>,
    points: &[[f64; 2]],
    held: &[bool],
    closed: bool,
    pull: f64,
) -> (Vec<[f64; 2]>, Vec<Option<usize>>) {
    let count = segments.len();
    let longest = (8.0 * pull).max(12.0) as usize;
    for i in 0..count {
        let k = (i + 1) % count;
        if k == i || (k == 0 && !closed) {
            continue;
        }
        let (a, b) = (&segments[i], &segments[k]);
        let most = longest.min(a.len() / 3).min(b.len() / 3);
        let mut spur = 0;
        for j in 1..most {
            if distance(a[a.len() - 1 - j], b[j]) <= 1.5 {
                spur = j;
            }
        }
        if spur >= 2 {
            let wider = if held[k % points.len()] { (spur + 2).min(most) } else { spur };
            let a = &mut segments[i];
            a.truncate(a.len() - wider);
            segments[k].drain(..wider);
        }
    }
    let mut way: Vec<[f64; 2]> = Vec::new();
    let mut marks = vec![None; points.len()];
    for (i, segment) in segments.iter().enumerate() {
        if held[i] {
            marks[i] = Some(way.len());
            way.push(points[i]);
        } else {
            marks[i] = Some(way.len());
        }
        let next = (i + 1) % points.len();
        // A held point stands for the pixels at it.
        let stands = |k: usize, p: [f64; 2]| held[k] && distance(points[k], p) < 1.5;
        for &p in segment {
            if way.last().is_none_or(|&l| distance(l, p) > 1e-6)
                && !stands(i, p)
                && !stands(next, p)
            {
                way.push(p);
            }
        }
        if i + 1 == count && !closed && held[next] {
            way.push(points[next]);
        }
    }
    if !closed && let Some(last) = marks.last_mut() {
        *last = Some(way.len().saturating_sub(1));
    }
    if closed && way.len() > 1 && distance(way[0], way[way.len() - 1]) < 1e-6 {
        way.pop();
    }
    let last = way.len().saturating_sub(1);
    for m in marks.iter_mut().flatten() {
        *m = (*m).min(last);
    }
    (way, marks)
}

/// Where the path is broken into stretches: index into the path, and how the stretches end there.
fn breaks(
    way: &[[f64; 2]],
    marks: &[Option<usize>],
    held: &[bool],
    closed: bool,
) -> Vec<(usize, End)> {
    let n = way.len();
    let mut found: Vec<(usize, End)> = Vec::new();
    for (mark, _) in marks.iter().zip(held).filter(|(_, h)| **h) {
        if let Some(i) = *mark {
            found.push((i, End::Held));
        }
    }
    let chord = (CHORD_TO as usize).min(n / 4);
    if chord > CHORD_FROM as usize + 3 {
        let turn = |i: usize| turn(way, i, closed);
        // Sharpest first, and none within a chord of another.
        let mut sharp: Vec<(f64, usize)> = Vec::new();
        for i in 0..n {
            let t = turn(i);
            let near_set_point = marks.iter().flatten().any(|&m| {
                let d = m.abs_diff(i);
                d.min(if closed { n - d } else { d }) <= 4
            });
            if t >= if near_set_point { CORNER_AT_SET_POINT } else { CORNER_ANYWHERE } {
                sharp.push((t, i));
            }
        }
        sharp.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        for (_, i) in sharp {
            let free = found.iter().all(|&(j, _)| {
                let d = i.abs_diff(j);
                d.min(if closed { n - d } else { d }) > CHORD_TO as usize
            });
            if free && (closed || (i > chord && i + chord < n)) {
                found.push((i, End::Corner));
            }
        }
    }
    found.sort_by_key(|b| b.0);
    found.dedup_by_key(|b| b.0);
    found
}

/// How much the path turns at `i`, degrees.
fn turn(way: &[[f64; 2]], i: usize, closed: bool) -> f64 {
    let n = way.len();
    // Walk by length, not by count: diagonal steps are longer.
    let walk = |back: bool, far: f64| {
        let (mut j, mut left) = (i, far);
        loop {
            let k = match (back, closed) {
                (true, true) => (j + n - 1) % n,
                (false, true) => (j + 1) % n,
                (true, false) if j > 0 => j - 1,
                (false, false) if j + 1 < n => j + 1,
                _ => return way[j],
            };
            let d = distance(way[j], way[k]);
            if d >= left {
                return between(way[j], way[k], if d > 0.0 { left / d } else { 0.0 });
            }
            left -= d.max(1e-3);
            j = k;
        }
    };
    let (a, b) = (walk(true, CHORD_TO), walk(true, CHORD_FROM));
    let (c, d) = (walk(false, CHORD_FROM), walk(false, CHORD_TO));
    let (u, v) = ([b[0] - a[0], b[1] - a[1]], [d[0] - c[0], d[1] - c[1]]);
    if u[0].hypot(u[1]) < 1.0 || v[0].hypot(v[1]) < 1.0 {
        return 0.0;
    }
    (u[0] * v[1] - u[1] * v[0]).atan2(u[0] * v[0] + u[1] * v[1]).abs().to_degrees()
}

fn stretches(way: &[[f64; 2]], breaks: &[(usize, End)], closed: bool) -> Vec<Stretch> {
    let n = way.len();
    let mut cuts: Vec<(usize, End)> = Vec::new();
    if closed {
        if breaks.is_empty() {
            return vec![Stretch { points: smooth_round(way), ends: [End::Free; 2] }];
        }
        cuts.extend_from_slice(breaks);
        cuts.push((breaks[0].0 + n, breaks[0].1));
    } else {
        if breaks.first().is_none_or(|b| b.0 != 0) {
            cuts.push((0, End::Free));
        }
        cuts.extend_from_slice(breaks);
        if cuts.last().is_none_or(|b| b.0 + 1 != n) {
            cuts.push((n.saturating_sub(1), End::Free));
        }
    }
    cuts.windows(2)
        .map(|c| {
            let run: Vec<_> = (c[0].0..=c[1].0).map(|i| way[i % n]).collect();
            Stretch { points: smooth_run(&run), ends: [c[0].1, c[1].1] }
        })
        .collect()
}

fn bell() -> Vec<f64> {
    let radius = (3.0 * PATH_SIGMA) as usize;
    let raw: Vec<f64> = (0..=2 * radius)
        .map(|k| (-0.5 * ((k as f64 - radius as f64) / PATH_SIGMA).powi(2)).exp())
        .collect();
    let sum: f64 = raw.iter().sum();
    raw.iter().map(|v| v / sum).collect()
}

/// Smooths and spaces a run evenly; its ends stay (the run is continued point-symmetrically).
pub(crate) fn smooth_run(run: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let even = respace(run, SPACING);
    let n = even.len();
    if n < 3 {
        return even;
    }
    let bell = bell();
    let radius = bell.len() / 2;
    let at = |i: isize| -> [f64; 2] {
        let last = n as isize - 1;
        let mirror = |end: [f64; 2], of: [f64; 2]| [2.0 * end[0] - of[0], 2.0 * end[1] - of[1]];
        if i < 0 {
            mirror(even[0], even[(-i).min(last) as usize])
        } else if i > last {
            mirror(even[n - 1], even[(2 * last - i).max(0) as usize])
        } else {
            even[i as usize]
        }
    };
    let smooth: Vec<[f64; 2]> = (0..n as isize)
        .map(|i| {
            // Exactly, also where the run is shorter than the bell.
            if i == 0 || i + 1 == n as isize {
                return even[i as usize];
            }
            let mut sum = [0.0; 2];
            for (k, w) in bell.iter().enumerate() {
                let p = at(i + k as isize - radius as isize);
                sum = [sum[0] + w * p[0], sum[1] + w * p[1]];
            }
            sum
        })
        .collect();
    respace(&smooth, SPACING)
}

/// The same for a closed run.
fn smooth_round(run: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let mut around = run.to_vec();
    around.extend(run.first().copied());
    let mut even = respace(&around, SPACING);
    even.pop();
    let n = even.len();
    if n < 3 {
        return even;
    }
    let bell = bell();
    let radius = bell.len() / 2;
    let mut smooth: Vec<[f64; 2]> = (0..n)
        .map(|i| {
            let mut sum = [0.0; 2];
            for (k, w) in bell.iter().enumerate() {
                let p = even
                    [(i as isize + k as isize - radius as isize).rem_euclid(n as isize) as usize];
                sum = [sum[0] + w * p[0], sum[1] + w * p[1]];
            }
            sum
        })
        .collect();
    smooth.extend(smooth.first().copied());
    let mut even = respace(&smooth, SPACING);
    even.pop();
    even
}

/// The same line with points evenly spaced, as near to `spacing` as a whole number of parts allows; ends kept.
pub(crate) fn respace(run: &[[f64; 2]], spacing: f64) -> Vec<[f64; 2]> {
    let total: f64 = run.windows(2).map(|w| distance(w[0], w[1])).sum();
    let (Some(&first), Some(&last)) = (run.first(), run.last()) else { return Vec::new() };
    if !(total > 0.0 && total.is_finite()) {
        return vec![first];
    }
    let parts = (total / spacing).round().max(1.0) as usize;
    let mut out = Vec::with_capacity(parts + 1);
    out.push(first);
    let (mut i, mut before) = (0, 0.0);
    for k in 1..parts {
        let want = total * k as f64 / parts as f64;
        while i + 2 < run.len() && before + distance(run[i], run[i + 1]) < want {
            before += distance(run[i], run[i + 1]);
            i += 1;
        }
        let long = distance(run[i], run[i + 1]);
        out.push(between(
            run[i],
            run[i + 1],
            if long > 0.0 { ((want - before) / long).clamp(0.0, 1.0) } else { 0.0 },
        ));
    }
    out.push(last);
    out
}

/// Moves a refined stretch from the middle of its dark line to one edge: `side` 1 to the right of the direction of
/// travel, -1 to the left, `None` to the brighter one. The way is the median of the neighbours', nothing where a step
/// was seen.
fn to_edge(stretch: &mut Stretch, places: &[Place], side: Option<f64>, round: bool) {
    let n = stretch.points.len();
    let widths: Vec<Option<f64>> = places
        .iter()
        .map(|p| {
            let way = side.unwrap_or(p.step.signum());
            p.seen.then_some(if is_line(p.depth, p.step) { way * p.half_width } else { 0.0 })
        })
        .collect();
    let median = |near: &mut dyn Iterator<Item = usize>| {
        let mut known: Vec<f64> = near.filter_map(|i| widths.get(i).copied().flatten()).collect();
        known.sort_by(f64::total_cmp);
        known.get(known.len() / 2).copied()
    };
    let whole = median(&mut (0..n)).unwrap_or(0.0);
    let at = |i: usize, d: isize| {
        let j = i as isize + d;
        if round { j.rem_euclid(n as isize) as usize } else { j.clamp(0, n as isize - 1) as usize }
    };
    let half: Vec<f64> =
        (0..n).map(|i| median(&mut (-15..=15).map(|d| at(i, d))).unwrap_or(whole)).collect();
    let from = stretch.points.clone();
    for (i, p) in stretch.points.iter_mut().enumerate() {
        let held = (i == 0 && stretch.ends[0] == End::Held)
            || (i + 1 == n && stretch.ends[1] == End::Held);
        let (a, b) = (from[at(i, -2)], from[at(i, 2)]);
        let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
        let long = dx.hypot(dy);
        if held || long < 1e-9 {
            continue;
        }
        // Smooth the change of width, and fade towards a held end.
        let mean = (-8..=8).map(|d| half[at(i, d)]).sum::<f64>() / 17.0;
        let fade = |end: End, away: usize| {
            if end == End::Held { (away as f64 / 6.0).min(1.0) } else { 1.0 }
        };
        let s = mean * fade(stretch.ends[0], i) * fade(stretch.ends[1], n - 1 - i);
        *p = [p[0] - s * dy / long, p[1] + s * dx / long];
    }
}

/// Whether what was found is a dark line and not a step.
fn is_line(depth: f64, step: f64) -> bool {
    depth > 0.5 * step.abs()
}

/// Joins stretches again where the refined line hardly turns: a set point beside the line bends the path, not the
/// line. The flag tells whether the line then has no end at all.
fn without_false_corners(
    stretches: Vec<Stretch>,
    closed: bool,
    round: bool,
) -> (Vec<Stretch>, bool) {
    let count = stretches.len();
    if round || count == 0 {
        return (stretches, round);
    }
    let turns_little = |a: &Stretch, b: &Stretch| {
        if a.ends[1] != End::Corner {
            return false;
        }
        let (Some((_, u)), Some((_, v))) = (line_near(a, true), line_near(b, false)) else {
            return false;
        };
        (u[0] * v[1] - u[1] * v[0]).atan2(u[0] * v[0] + u[1] * v[1]).abs().to_degrees()
            < CORNER_AT_SET_POINT
    };
    let join: Vec<bool> = (0..count)
        .map(|i| {
            (closed || i + 1 < count) && turns_little(&stretches[i], &stretches[(i + 1) % count])
        })
        .collect();
    let whole = closed && join.iter().all(|j| *j);
    // Start after a corner that stays.
    let first = join.iter().rposition(|j| !j).map_or(0, |i| (i + 1) % count);
    let first = if closed { first } else { 0 };
    let mut out: Vec<Stretch> = Vec::new();
    for k in 0..count {
        let i = (first + k) % count;
        let s = &stretches[i];
        let before = (i + count - 1) % count;
        let trim = NEAR_CORNER.min(s.points.len() / 3);
        match out.last_mut().filter(|_| k > 0 && join[before]) {
            Some(last) => {
                let keep = last.points.len() - NEAR_CORNER.min(last.points.len() / 3);
                last.points.truncate(keep);
                last.points.extend_from_slice(&s.points[trim..]);
                last.ends[1] = s.ends[1];
            }
            None => out.push(s.clone()),
        }
    }
    if whole && let Some(only) = out.first_mut() {
        let trim = NEAR_CORNER.min(only.points.len() / 3);
        only.points.drain(..trim);
        only.points.truncate(only.points.len() - trim);
        only.ends = [End::Free; 2];
    }
    (out, whole)
}

/// The straight line through 7 to 13 points from one end of a stretch, in the direction of travel.
fn line_near(s: &Stretch, at_end: bool) -> Option<([f64; 2], [f64; 2])> {
    let n = s.points.len();
    let (from, to) = (NEAR_CORNER.min(n / 3), (2 * NEAR_CORNER).min(n));
    let mut part: Vec<[f64; 2]> =
        (from..to).map(|j| if at_end { s.points[n - 1 - j] } else { s.points[j] }).collect();
    if at_end {
        part.reverse();
    }
    let (c, u) = straight_through(&part)?;
    let (a, b) = (part.first()?, part.last()?);
    let along = (b[0] - a[0]) * u[0] + (b[1] - a[1]) * u[1];
    Some((c, if along < 0.0 { [-u[0], -u[1]] } else { u }))
}

/// Step 6: neighbouring stretches end in one point, the crossing of the straight lines through 7 to 13 points from
/// the corner; where there is no such crossing nearby, half-way between both ends.
fn meet(stretches: &mut [Stretch], closed: bool) {
    let count = stretches.len();
    for i in 0..count {
        let k = (i + 1) % count;
        if k == 0 && !closed {
            continue;
        }
        if stretches[i].ends[1] != End::Corner {
            continue;
        }
        let (a, b) = (stretches[i].points.last().copied(), stretches[k].points.first().copied());
        let (Some(a), Some(b)) = (a, b) else { continue };
        let middle = between(a, b, 0.5);
        let crossing = match (line_near(&stretches[i], true), line_near(&stretches[k], false)) {
            (Some((p, u)), Some((q, v))) => {
                let sine = u[0] * v[1] - u[1] * v[0];
                (sine.abs() > 0.3).then(|| {
                    let t = ((q[0] - p[0]) * v[1] - (q[1] - p[1]) * v[0]) / sine;
                    [p[0] + t * u[0], p[1] + t * u[1]]
                })
            }
            _ => None,
        };
        let corner = crossing.filter(|&c| distance(c, middle) < FARTHEST_CORNER).unwrap_or(middle);
        let near = |n: usize| NEAR_CORNER.min(n / 3);
        {
            let s = &mut stretches[i].points;
            let n = s.len();
            let m = near(n);
            let from = s[n - 1 - m];
            for j in 0..m {
                s[n - 1 - j] = between(corner, from, j as f64 / m as f64);
            }
            s[n - 1] = corner;
        }
        let s = &mut stretches[k].points;
        let m = near(s.len());
        let from = s[m];
        for (j, p) in s.iter_mut().enumerate().take(m) {
            *p = between(corner, from, j as f64 / m as f64);
        }
        s[0] = corner;
    }
}

/// Total least squares: a point on the line and its direction.
fn straight_through(points: &[[f64; 2]]) -> Option<([f64; 2], [f64; 2])> {
    if points.len() < 3 {
        return None;
    }
    let n = points.len() as f64;
    let c = points.iter().fold([0.0; 2], |c, p| [c[0] + p[0] / n, c[1] + p[1] / n]);
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for p in points {
        let (x, y) = (p[0] - c[0], p[1] - c[1]);
        xx += x * x;
        xy += x * y;
        yy += y * y;
    }
    let angle = 0.5 * (2.0 * xy).atan2(xx - yy);
    (xx + yy > 1e-9).then(|| (c, [angle.cos(), angle.sin()]))
}

/// Points next to a corner were drawn towards it unseen: they are as doubtful as the last seen neighbours and half
/// the way to the corner's own doubt, not as doubtful as a search.
fn near_corners(knots: &mut [Knot], closed: bool) {
    let n = knots.len();
    if n < 4 * NEAR_CORNER {
        return;
    }
    for i in 0..n {
        if !knots[i].corner || !(closed || (i > 2 * NEAR_CORNER && i + 2 * NEAR_CORNER < n)) {
            continue;
        }
        let index = |d: isize| (i as isize + d).rem_euclid(n as isize) as usize;
        let known = |sign: isize| {
            (NEAR_CORNER as isize..2 * NEAR_CORNER as isize)
                .map(|d| knots[index(sign * d)])
                .find(|k| k.seen)
        };
        if let (Some(a), Some(b)) = (known(-1), known(1)) {
            // Both lines are extended over as many points as they were fitted to, and cross: their errors add in
            // quadrature, twice.
            let u = 2.0 * a.u.hypot(b.u);
            for d in 1 - NEAR_CORNER as isize..NEAR_CORNER as isize {
                let k = &mut knots[index(d)];
                if !k.seen {
                    k.u = k.u.min(u);
                    k.seen = true;
                    (k.depth, k.step, k.half_width) = (0.0, 0.0, 0.0);
                }
            }
        }
    }
}

fn positions(knots: &[Knot]) -> Vec<[f64; 2]> {
    knots.iter().map(|k| k.at).collect()
}

/// Cuts loops of at most a twentieth of the outline (and 40 points), and of a closed one such as are slivers (both sides of a
/// spur laid onto one line) or little beside the zone and at most a quarter of it long, at the point where they close.
fn cut_loops(knots: &mut Vec<Knot>, closed: bool, count: &mut usize) {
    for _ in 0..50 {
        let Some((i, j)) = crossing_pair(&positions(knots), closed) else { return };
        let n = knots.len();
        let whole = area(&positions(knots)).abs();
        let small = |part: &[Knot]| {
            let (long, cut) = (part.len(), area(&positions(part)).abs());
            let little = cut < (SLIVER * long as f64).max(LITTLE * whole);
            long <= 40.min(n / 20) || closed && long <= n / 4 && little
        };
        // Points i+1 ..= j lie on the loop; the rest of a closed line is the other loop. A held point is never cut.
        let rest: Vec<Knot> = knots[j + 1..].iter().chain(&knots[..=i]).copied().collect();
        if small(&knots[i + 1..=j]) && !knots[i + 1..=j].iter().any(|k| k.held) {
            knots.drain(i + 1..=j);
        } else if closed && small(&rest) && !rest.iter().any(|k| k.held) {
            knots.truncate(j + 1);
            knots.drain(..=i);
        } else {
            return;
        }
        *count += 1;
        if knots.len() < 8 {
            return;
        }
    }
}

/// Area of a sliver over the length of its boundary, level pixels; and share of a zone's area that is little beside it.
const SLIVER: f64 = 1.5;
const LITTLE: f64 = 0.02;

/// Where a line crosses itself, if it does.
fn crossing(at: &[[f64; 2]], closed: bool) -> Option<[f64; 2]> {
    crossing_pair(at, closed).map(|(i, _)| at[i])
}

/// A place where a line crosses itself, where it does so more often than it has points.
fn crisscross(at: &[[f64; 2]], closed: bool) -> Option<[f64; 2]> {
    let n = at.len();
    let sides = if closed { n } else { n.saturating_sub(1) };
    let mut crossings = 0;
    for i in 0..sides {
        for j in i + 2..sides {
            let neighbours = closed && i == 0 && j == sides - 1;
            if !neighbours && cross(at[i], at[i + 1], at[j], at[(j + 1) % n]) {
                crossings += 1;
                if crossings > n {
                    return Some(at[i]);
                }
            }
        }
    }
    None
}

/// The first two sides (i < j, side i from point i to the next) that cross or touch.
pub(crate) fn crossing_pair(at: &[[f64; 2]], closed: bool) -> Option<(usize, usize)> {
    let n = at.len();
    let sides = if closed { n } else { n.saturating_sub(1) };
    let ends = |i: usize| (at[i], at[(i + 1) % n]);
    // Sweep from left to right over sides sorted by their left end.
    let mut order: Vec<(f64, f64, usize)> = (0..sides)
        .map(|i| {
            let (a, b) = ends(i);
            (a[0].min(b[0]), a[0].max(b[0]), i)
        })
        .collect();
    order.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.2.cmp(&b.2)));
    let mut first: Option<(usize, usize)> = None;
    let mut active: Vec<(f64, usize)> = Vec::new();
    for (left, right, i) in order {
        active.retain(|a| a.0 >= left);
        for &(_, j) in &active {
            let (low, high) = (i.min(j), i.max(j));
            let neighbours = high - low == 1 || (closed && low == 0 && high == sides - 1);
            // The two sides of a closed line of two points lie on each other.
            if neighbours && (sides > 2 || !closed) {
                // Neighbours share a point: they only clash when one turns straight back on the other.
                let (p, q, r) = if high - low == 1 {
                    (at[low], at[high], at[(high + 1) % n])
                } else {
                    (at[high], at[0], at[1])
                };
                let (u, v) = ([p[0] - q[0], p[1] - q[1]], [r[0] - q[0], r[1] - q[1]]);
                let back =
                    u[0] * v[0] + u[1] * v[1] > 0.0 && (u[0] * v[1] - u[1] * v[0]).abs() < 1e-9;
                if !back {
                    continue;
                }
            } else {
                let ((a, b), (c, d)) = (ends(low), ends(high));
                if !cross(a, b, c, d) {
                    continue;
                }
            }
            if first.is_none_or(|f| (low, high) < f) {
                first = Some((low, high));
            }
        }
        active.push((right, i));
    }
    first
}

fn cross(a: [f64; 2], b: [f64; 2], c: [f64; 2], d: [f64; 2]) -> bool {
    let side = |p: [f64; 2], q: [f64; 2], r: [f64; 2]| {
        (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
    };
    let (s1, s2, s3, s4) = (side(a, b, c), side(a, b, d), side(c, d, a), side(c, d, b));
    if s1 * s2 > 0.0 || s3 * s4 > 0.0 {
        return false;
    }
    // On one straight line: they touch only where their boxes do.
    let over = |k: usize| a[k].min(b[k]) <= c[k].max(d[k]) && c[k].min(d[k]) <= a[k].max(b[k]);
    over(0) && over(1)
}

/// Signed: positive when the line runs clockwise on the screen (y down), so that inside is on its right.
pub(crate) fn area(at: &[[f64; 2]]) -> f64 {
    let n = at.len();
    (0..n).map(|i| at[i][0] * at[(i + 1) % n][1] - at[(i + 1) % n][0] * at[i][1]).sum::<f64>() / 2.0
}

/// The square of [`distance`], for the nearest of many.
pub(crate) fn squared(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] - b[0]).powi(2) + (a[1] - b[1]).powi(2)
}

pub(crate) fn distance(a: [f64; 2], b: [f64; 2]) -> f64 {
    // Not hypot: that guards against lengths beyond 1e150 pixels and takes several times as long.
    squared(a, b).sqrt()
}

fn between(a: [f64; 2], b: [f64; 2], t: f64) -> [f64; 2] {
    [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]
}
