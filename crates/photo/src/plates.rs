//! Plates proposed from the photo: their straight faces, and the joint line where it is to be seen.
//!
//! ```text
//!        │    │            each pixel that steps from dark to metal votes for the lines through it;
//!     ┄┄┄│┄┄┄┄│┄┄┄┄        of the lines with most votes the ones are taken that stand to each other
//!   ─────┘▒▒▒▒└─────       as the plates of the joint do
//!     ─────────────
//! ```
//!
//! Steps are looked for on a small copy of the photo, where they are local maxima across the line; how far they are taken
//! into account is capped, so that a long faint edge outweighs a short bright one (Hough's transform). Each face is then
//! placed between the pixels of a finer copy: across it, at many places, the half level between the metal and the darkest
//! place beside it, and through these a straight line by least squares that gives outliers no weight (Tukey's biweight,
//! scale by the median deviation). What is proposed are places on that line, where the edge was seen, clear of the weld.
//!
//! A proposal is no reading: a person looks whether each line lies on the original surface, and takes it or leaves it.
//!
//! Assumed: the photo stands upright to within [`MOST_TURN`] degrees, metal is brighter than a gap or mount beside it.
//!
//! Measured on drawn pictures (`tests/it/plates.rs`; dark, bright and cloth mounts, clean to faint, half of them with a rule):
//! of 30 pictures 28 got a proposal; of its 57 faces 48 lay within 2 px of the drawn one over its whole visible length, and
//! in 21 pictures all did. Of 24 butts 3 got a joint line, all where it was drawn: the weld has melted most of it, and one
//! that is no nearer to the middle of the weld than its fusion line is not proposed. Marked roughly, 8 px off, all of 9
//! faces were drawn to the edge within 0.1 px on clean pictures.
//! Not covered: plates that are bent; laps and corners; a mount as bright as the metal without a gap.
//!
//! Source: P. V. C. Hough, US patent 3069654 (1962), in the form of angle and distance by Duda and Hart, Communications of
//! the ACM 15 (1972); the biweight: Beaton and Tukey, Technometrics 16 (1974), with its usual constant 4.685. Recalled.

use crate::marks::{Joint, PlateMarks, Px};
use crate::pyramid::{Plane, Pyramid, level_from_picture, picture_from_level};
use crate::surface::usual;

/// Lines are looked for on the level where the picture's longer side is at most so many pixels, and placed on one of at
/// most so many.
const SMALL: f64 = 1000.0;
const FINE: f64 = 2400.0;
/// How far the photo may be turned, degrees, and how finely turns are told apart.
pub const MOST_TURN: f64 = 20.0;
const TURN_STEP: f64 = 0.25;
/// A step of less than this share of the metal's lightness is grain; one of more than that counts as a whole vote.
const LEAST_STEP: f64 = 0.10;
const WHOLE_STEP: f64 = 0.30;
/// Lines that are looked at further, of each kind, and how near two may be and still be one.
const KEPT: usize = 10;
const SAME_TURN: f64 = 3.0;
const SAME_PX: f64 = 9.0;
/// A place on a line has its edge when one lies within so many pixels of the small picture.
const BESIDE: f64 = 2.5;
/// Runs of places with their edge may be interrupted for so many pixels.
const BRIDGE: usize = 14;
/// How far one plate of a butt may stand off from the other, pixels of the small picture.
const STANDS_OFF: usize = 16;
/// An edge so near to both places marked on a rule is the rule's.
const BESIDE_RULE: f64 = 6.0;
/// A face is seen on at least this share of the picture's longer side.
const LEAST_RUN: f64 = 0.05;
/// How far across a line its edge is looked for when it is placed, pixels of the fine picture.
const ACROSS: f64 = 9.0;
/// Places along a face at which its edge is looked for, and the least that must agree.
const PLACES: usize = 240;
const LEAST_PLACES: usize = 24;
/// Shares of a run at which the two points of a face are proposed.
const ENDS: [f64; 2] = [0.08, 0.92];
/// A joint line is square to the surface to within 90° less this, degrees, and passes the middle of what the weld took away
/// from a surface within this share of it.
const SQUARE: f64 = 85.0;
const OFF_MIDDLE: f64 = 0.15;
/// Tukey's constant for the biweight.
const BIWEIGHT: f64 = 4.685;

/// What is proposed.
#[derive(Clone, Debug, PartialEq)]
pub struct ProposedPlates {
    /// The faces, each with its points, picture pixels.
    pub plates: PlateMarks,
    /// What the person must know.
    pub caution: &'static str,
}

/// Why nothing is proposed.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum PlatesError {
    /// No lines stand to each other as the plates of this joint do.
    #[error("no straight edges are seen that could be the plates of a {joint}")]
    NoPlates {
        /// The word for the joint.
        joint: &'static str,
    },
    /// None of the marked faces has an edge beside it.
    #[error("no straight edge is seen beside the marked points")]
    NoEdge,
}

impl PlatesError {
    /// What to do about it.
    #[must_use]
    pub const fn advice(&self) -> &'static str {
        match self {
            Self::NoPlates { .. } => {
                "set two points on each face by hand; a proposal needs a photo that stands upright, with the plates' edges in view"
            }
            Self::NoEdge => "leave the points as you set them, or set them nearer to the edge",
        }
    }
}

const CAUTION: &str = "a proposal: look whether each line lies on the plate's original surface, clear of the weld, and move points that are off";

/// On which side of an edge the metal lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Metal {
    Below,
    Above,
    Right,
    Left,
}

impl Metal {
    /// The unit step across an upright edge into the metal, y down.
    const fn step(self) -> Px {
        match self {
            Self::Below => [0.0, 1.0],
            Self::Above => [0.0, -1.0],
            Self::Right => [1.0, 0.0],
            Self::Left => [-1.0, 0.0],
        }
    }

    const fn is_flat(self) -> bool {
        matches!(self, Self::Below | Self::Above)
    }
}

/// A straight line on a picture, y down.
#[derive(Clone, Copy, Debug)]
struct Line {
    at: Px,
    along: Px,
}

impl Line {
    fn through(a: Px, b: Px) -> Option<Self> {
        let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
        let long = dx.hypot(dy);
        (long.is_finite() && long > 1.0).then(|| Self { at: a, along: [dx / long, dy / long] })
    }

    fn on(&self, t: f64) -> Px {
        [self.at[0] + t * self.along[0], self.at[1] + t * self.along[1]]
    }

    /// How far along it a place lies.
    fn along_of(&self, p: Px) -> f64 {
        (p[0] - self.at[0]) * self.along[0] + (p[1] - self.at[1]) * self.along[1]
    }

    /// The row of a flat line at a column.
    fn height_at(&self, x: f64) -> f64 {
        self.at[1] + (x - self.at[0]) * self.along[1] / self.along[0]
    }

    fn meets(&self, other: &Self) -> Option<Px> {
        let det = self.along[0] * other.along[1] - self.along[1] * other.along[0];
        let (dx, dy) = (other.at[0] - self.at[0], other.at[1] - self.at[1]);
        (det.abs() > 0.2).then(|| self.on((dx * other.along[1] - dy * other.along[0]) / det))
    }

    /// Degrees between two lines, 0 to 90.
    fn turn_to(&self, other: &Self) -> f64 {
        let sin = self.along[0] * other.along[1] - self.along[1] * other.along[0];
        sin.abs().min(1.0).asin().to_degrees()
    }
}

/// A pixel row or column at which the picture steps into metal.
#[derive(Clone, Copy, Debug)]
struct Step {
    at: Px,
    vote: f64,
}

/// A line with the stretches of it on which its edge is seen, along the line.
#[derive(Clone, Debug)]
struct Edge {
    line: Line,
    runs: Vec<[f64; 2]>,
}

impl Edge {
    /// Length seen between two places along it.
    fn seen(&self, from: f64, to: f64) -> f64 {
        self.runs.iter().map(|r| (r[1].min(to) - r[0].max(from)).max(0.0)).sum()
    }

    /// From its first place to its last.
    fn ends(&self) -> [f64; 2] {
        [self.runs.first().map_or(0.0, |r| r[0]), self.runs.last().map_or(0.0, |r| r[1])]
    }

    /// The longest stretch between two runs.
    fn longest_gap(&self) -> Option<[f64; 2]> {
        let gaps = self.runs.windows(2).map(|two| [two[0][1], two[1][0]]);
        gaps.max_by(|a, b| (a[1] - a[0]).total_cmp(&(b[1] - b[0])))
    }

    /// The longest run between two places along it.
    fn longest(&self, from: f64, to: f64) -> Option<[f64; 2]> {
        let inside = self.runs.iter().map(|r| [r[0].max(from), r[1].min(to)]);
        inside.filter(|r| r[1] > r[0]).max_by(|a, b| (a[1] - a[0]).total_cmp(&(b[1] - b[0])))
    }
}

/// The small picture, its steps and how bright its metal is.
struct Look<'a> {
    pyramid: &'a Pyramid,
    small: usize,
    fine: usize,
    /// The lightness of bright metal.
    usual: f64,
    size: Px,
    /// Rules that lie in the picture, each by two places on its edge.
    rules: Vec<[Px; 2]>,
}

impl<'a> Look<'a> {
    fn new(pyramid: &'a Pyramid, rules: &[[Px; 2]]) -> Self {
        let small = pyramid.level_within(SMALL);
        let of = pyramid.level(small);
        Self {
            pyramid,
            small,
            fine: pyramid.level_within(FINE),
            usual: usual(pyramid).max(0.01),
            size: [of.width as f64, of.height as f64],
            rules: rules.iter().map(|two| two.map(|p| level_from_picture(small, p))).collect(),
        }
    }

    fn longer(&self) -> f64 {
        self.size[0].max(self.size[1])
    }

    /// Every pixel at which the small picture steps into metal on that side.
    fn steps(&self, metal: Metal) -> Vec<Step> {
        let plane = self.pyramid.level(self.small);
        let (w, h) = (plane.width, plane.height);
        let [sx, sy] = metal.step().map(|v| v as isize);
        let (ax, ay) = (sy.abs(), sx.abs());
        // Three pixels into the metal less three before it, five wide along the edge.
        let change = |x: isize, y: isize| -> f64 {
            let mut sum = 0.0;
            for along in -2..=2 {
                for across in 1..=3 {
                    let (x, y) = (x + along * ax, y + along * ay);
                    sum += f64::from(plane.at(x + across * sx, y + across * sy))
                        - f64::from(plane.at(x - across * sx, y - across * sy));
                }
            }
            sum / 15.0 / 65535.0
        };
        let all: Vec<f64> =
            (0..w * h).map(|i| change((i % w) as isize, (i / w) as isize) / self.usual).collect();
        let of = |x: isize, y: isize| -> f64 {
            let inside = x >= 0 && y >= 0 && x < w as isize && y < h as isize;
            if inside { all[y as usize * w + x as usize] } else { f64::INFINITY }
        };
        let mut steps = Vec::new();
        for y in 0..h as isize {
            for x in 0..w as isize {
                let here = of(x, y);
                if here < LEAST_STEP {
                    continue;
                }
                let (before, after) = (of(x - sx, y - sy), of(x + sx, y + sy));
                // At the frame there is no edge of a plate.
                if before.is_infinite() || after.is_infinite() || here < before || here <= after {
                    continue;
                }
                let bend = before - 2.0 * here + after;
                let off =
                    if bend < 0.0 { (0.5 * (before - after) / bend).clamp(-0.5, 0.5) } else { 0.0 };
                steps.push(Step {
                    at: [x as f64 + off * sx as f64, y as f64 + off * sy as f64],
                    vote: (here / WHOLE_STEP).min(1.0),
                });
            }
        }
        steps
    }

    /// The lines with most votes on two sides of metal, each with the stretches on which its edge is seen; without those of
    /// rules.
    fn edges(&self, metals: [Metal; 2]) -> [Vec<Edge>; 2] {
        let all = metals.map(|metal| self.lines(&self.steps(metal), metal.is_flat()));
        let rules: Vec<Edge> =
            all.iter().flatten().filter(|edge| self.is_along_a_rule(edge)).cloned().collect();
        all.map(|edges| {
            edges.into_iter().filter(|e| !rules.iter().any(|rule| self.is_of(e, rule))).collect()
        })
    }

    /// Does the edge run through both places that are marked on a rule?
    fn is_along_a_rule(&self, edge: &Edge) -> bool {
        self.rules.iter().any(|two| two.iter().all(|p| off(&edge.line, *p).abs() < BESIDE_RULE))
    }

    /// Is it that edge of a rule, or its other one? Both are as long, and end inside the picture.
    fn is_of(&self, edge: &Edge, rule: &Edge) -> bool {
        let ends = |e: &Edge| e.ends().map(|t| e.line.on(t));
        if edge.line.turn_to(&rule.line) > SAME_TURN {
            return false;
        }
        let square = [-rule.line.along[1], rule.line.along[0]];
        let across = off(&rule.line, edge.line.at);
        let inside =
            |p: Px| p.iter().zip(self.size).all(|(v, side)| *v > SAME_PX && *v < side - SAME_PX);
        across.abs() < BESIDE_RULE
            || ends(edge).into_iter().zip(ends(rule)).all(|(a, b)| {
                let b = [b[0] + across * square[0], b[1] + across * square[1]];
                inside(a) && (a[0] - b[0]).hypot(a[1] - b[1]) < 2.0 * SAME_PX
            })
    }

    fn lines(&self, steps: &[Step], flat: bool) -> Vec<Edge> {
        // Flat: distance is y where x is in the middle; steep: the other way round.
        let [long, high] = if flat { self.size } else { [self.size[1], self.size[0]] };
        let of = |s: &Step| if flat { s.at } else { [s.at[1], s.at[0]] };
        let turns = (2.0 * MOST_TURN / TURN_STEP) as usize + 1;
        let slope = |k: usize| (k as f64 * TURN_STEP - MOST_TURN).to_radians().tan();
        let rows = high.max(1.0) as usize;
        let mut votes = vec![0.0f32; turns * rows];
        for step in steps {
            let [x, y] = of(step);
            for k in 0..turns {
                let at = y - (x - long / 2.0) * slope(k);
                if at >= 0.0 && at < rows as f64 - 1.0 {
                    let (row, share) = (at as usize, at.fract() as f32);
                    votes[k * rows + row] += step.vote as f32 * (1.0 - share);
                    votes[k * rows + row + 1] += step.vote as f32 * share;
                }
            }
        }
        let mut order: Vec<usize> =
            (0..votes.len()).filter(|&i| f64::from(votes[i]) > LEAST_RUN * self.longer()).collect();
        order.sort_unstable_by(|&a, &b| votes[b].total_cmp(&votes[a]).then(a.cmp(&b)));
        let mut kept: Vec<(usize, f64)> = Vec::new();
        for i in order {
            let (k, row) = (i / rows, (i % rows) as f64);
            let near = |&(other, at): &(usize, f64)| {
                let turn = (slope(k) - slope(other)).atan().to_degrees().abs();
                turn < SAME_TURN && (at - row).abs() < SAME_PX + long / 2.0 * turn.to_radians()
            };
            if kept.iter().any(near) {
                continue;
            }
            kept.push((k, row));
            if kept.len() == KEPT {
                break;
            }
        }
        kept.into_iter()
            .filter_map(|(k, row)| {
                let (a, b) =
                    ([0.0, row - long / 2.0 * slope(k)], [long, row + long / 2.0 * slope(k)]);
                let turned = |p: Px| if flat { p } else { [p[1], p[0]] };
                let mut line = Line::through(turned(a), turned(b))?;
                // The turn is told to a quarter degree: least squares through the steps beside the line do better.
                for _ in 0..2 {
                    line = fitted(&beside(steps, &line)).unwrap_or(line);
                }
                // Flat lines run to the right, steep ones down.
                if line.along[usize::from(!flat)] < 0.0 {
                    line.along = line.along.map(|v| -v);
                }
                Some(Edge { line, runs: runs(steps, &line) })
            })
            .filter(|edge| edge.seen(f64::NEG_INFINITY, f64::INFINITY) > LEAST_RUN * self.longer())
            .collect()
    }

    /// The edge where it lies between two places along it: the plates of a butt may stand off from each other, and the best
    /// line through both lies on one of them. Among the steps near the line the offset is taken at which most lie.
    fn nearby(&self, edge: &Edge, steps: &[Step], from: f64, to: f64) -> Option<Edge> {
        let here = |s: &&Step| (from..to).contains(&edge.line.along_of(s.at));
        let mut at = [0usize; 2 * STANDS_OFF + 1];
        for step in steps.iter().filter(here) {
            let row = off(&edge.line, step.at).round() + STANDS_OFF as f64;
            if row >= 0.0 && row < at.len() as f64 {
                at[row as usize] += 1;
            }
        }
        // Three rows together: an edge that leans a little lies in more than one.
        let most = (1..at.len() - 1).max_by_key(|&i| (at[i - 1] + at[i] + at[i + 1], at[i]))?;
        let shift = most as f64 - STANDS_OFF as f64;
        let mut line = edge.line;
        line.at = [line.at[0] - shift * line.along[1], line.at[1] + shift * line.along[0]];
        let steps: Vec<Step> = steps.iter().filter(here).copied().collect();
        for _ in 0..3 {
            let mut better = fitted(&beside(&steps, &line))?;
            if better.along[0] < 0.0 {
                better.along = better.along.map(|v| -v);
            }
            line = better;
        }
        Some(Edge { line, runs: runs(&steps, &line) })
    }

    /// Mean lightness around a place of the small picture, as a share of the metal's.
    fn light(&self, p: Px) -> f64 {
        let plane = self.pyramid.level(self.small);
        let mut sum = 0.0;
        for i in -2..=2 {
            for j in -2..=2 {
                sum += plane.sample(p[0] + f64::from(i), p[1] + f64::from(j));
            }
        }
        sum / 25.0 / self.usual
    }

    /// Two places on the face of a run, placed between pixels; picture pixels.
    fn face(&self, line: &Line, run: [f64; 2], metal: Metal) -> Option<[Px; 2]> {
        let long = run[1] - run[0];
        let [a, b] =
            ENDS.map(|share| picture_from_level(self.small, line.on(run[0] + share * long)));
        place(self.pyramid.level(self.fine), self.fine, a, b, Some(metal.step()))
    }
}

/// Steps within reach of a line, as places.
fn beside(steps: &[Step], line: &Line) -> Vec<Px> {
    steps.iter().filter(|s| off(line, s.at).abs() <= BESIDE).map(|s| s.at).collect()
}

fn off(line: &Line, p: Px) -> f64 {
    line.along[0] * (p[1] - line.at[1]) - line.along[1] * (p[0] - line.at[0])
}

/// Least squares square to the line.
fn fitted(points: &[Px]) -> Option<Line> {
    weighted(&points.iter().map(|&p| (p, 1.0)).collect::<Vec<_>>())
}

fn weighted(points: &[(Px, f64)]) -> Option<Line> {
    let all: f64 = points.iter().map(|(_, w)| w).sum();
    if points.len() < 2 || all <= 0.0 {
        return None;
    }
    let mean = [0, 1].map(|k| points.iter().map(|(p, w)| w * p[k]).sum::<f64>() / all);
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for (p, w) in points {
        let (dx, dy) = (p[0] - mean[0], p[1] - mean[1]);
        xx += w * dx * dx;
        xy += w * dx * dy;
        yy += w * dy * dy;
    }
    if xx + yy <= 1e-9 {
        return None;
    }
    let angle = 0.5 * (2.0 * xy).atan2(xx - yy);
    Some(Line { at: mean, along: [angle.cos(), angle.sin()] })
}

/// Stretches along a line on which steps lie beside it.
fn runs(steps: &[Step], line: &Line) -> Vec<[f64; 2]> {
    let mut along: Vec<f64> = beside(steps, line).iter().map(|&p| line.along_of(p)).collect();
    along.sort_unstable_by(f64::total_cmp);
    along
        .chunk_by(|a, b| b - a <= BRIDGE as f64)
        .filter_map(|run| Some([*run.first()?, *run.last()?]))
        .filter(|run| run[1] - run[0] > BRIDGE as f64)
        .collect()
}

/// Places a face between the pixels of a level: the half level between metal and the darkest place beside it, at many
/// places from `a` to `b` (picture pixels), and a straight line through them. Without a `step` into the metal the brighter
/// side is metal. The two places move square to the line only.
fn place(plane: &Plane, level: usize, a: Px, b: Px, step: Option<Px>) -> Option<[Px; 2]> {
    let (a, b) = (level_from_picture(level, a), level_from_picture(level, b));
    let line = Line::through(a, b)?;
    let long = line.along_of(b);
    let across = [-line.along[1], line.along[0]];
    // Lightness so far along the line and beside it, the mean of five places along.
    let light = |t: f64, s: f64| {
        let of = |k: i32| {
            let p = line.on(t + f64::from(k));
            plane.sample(p[0] + s * across[0], p[1] + s * across[1])
        };
        (-2..=2).map(of).sum::<f64>() / 5.0
    };
    let into_metal = match step {
        Some(step) => (across[0] * step[0] + across[1] * step[1]).signum(),
        None => {
            let side = |s: f64| (0..=40).map(|i| light(long * f64::from(i) / 40.0, s)).sum::<f64>();
            (side(1.5 * ACROSS) - side(-1.5 * ACROSS)).signum()
        }
    };
    let count = PLACES.min(long as usize + 1).max(2);
    let steps = (4.0 * ACROSS) as i32;
    let found: Vec<(f64, f64)> = (0..count)
        .filter_map(|i| {
            let t = long * i as f64 / (count - 1) as f64;
            let profile: Vec<f64> =
                (-steps..=steps).map(|k| light(t, into_metal * f64::from(k) * 0.5)).collect();
            half_level(&profile).map(|k| (t, into_metal * (k - f64::from(steps)) * 0.5))
        })
        .collect();
    let fit = biweight(&found)?;
    Some([0.0, long].map(|t| {
        let s = fit[0] + fit[1] * t;
        let p = line.on(t);
        picture_from_level(level, [p[0] + s * across[0], p[1] + s * across[1]])
    }))
}

/// Where a profile from outside into the metal passes the half level between the darkest place before the metal and the
/// metal behind it: the steepest rise tells which.
fn half_level(profile: &[f64]) -> Option<f64> {
    const APART: usize = 4;
    let n = profile.len();
    let rise = |i: usize| profile[i + APART] - profile[i];
    let steepest = (0..n - APART).max_by(|&a, &b| rise(a).total_cmp(&rise(b)))?;
    let middle = steepest + APART / 2;
    let metal = &profile[(middle + 4).min(n - 1)..(middle + 14).min(n)];
    let level = metal.iter().sum::<f64>() / metal.len().max(1) as f64;
    let low =
        profile[middle.saturating_sub(14)..=middle].iter().copied().fold(f64::INFINITY, f64::min);
    if level - low < 0.5 * LEAST_STEP * level {
        return None;
    }
    let half = 0.5 * (level + low);
    // The last place before the metal that is darker than half.
    let i = (0..(middle + 4).min(n - 1))
        .rev()
        .find(|&i| profile[i] < half && profile[i + 1] >= half)?;
    Some(i as f64 + (half - profile[i]) / (profile[i + 1] - profile[i]))
}

/// A straight line through offsets along another, outliers without weight.
fn biweight(points: &[(f64, f64)]) -> Option<[f64; 2]> {
    if points.len() < LEAST_PLACES {
        return None;
    }
    let median = |mut v: Vec<f64>| {
        v.sort_unstable_by(f64::total_cmp);
        v[v.len() / 2]
    };
    let mut fit = [median(points.iter().map(|p| p.1).collect()), 0.0];
    let mut agree = 0;
    for _ in 0..12 {
        let off = |p: &(f64, f64)| p.1 - fit[0] - fit[1] * p.0;
        let scale = (1.4826 * median(points.iter().map(|p| off(p).abs()).collect())).max(0.1);
        let (mut w, mut t, mut s, mut tt, mut ts) = (0.0, 0.0, 0.0, 0.0, 0.0);
        agree = 0;
        for p in points {
            let u = off(p) / (BIWEIGHT * scale);
            if u.abs() >= 1.0 {
                continue;
            }
            agree += 1;
            let weight = (1.0 - u * u).powi(2);
            w += weight;
            t += weight * p.0;
            s += weight * p.1;
            tt += weight * p.0 * p.0;
            ts += weight * p.0 * p.1;
        }
        let det = w * tt - t * t;
        if det.abs() < 1e-9 {
            return None;
        }
        fit = [(s * tt - t * ts) / det, (w * ts - t * s) / det];
    }
    (agree >= LEAST_PLACES && 2 * agree >= points.len()).then_some(fit)
}

/// Proposes the plates of a joint from the photo alone. `both`: it was welded from both sides; `rules`: two places on the
/// edge of each rule that lies in the picture, whose edges are as straight as a plate's.
///
/// # Errors
///
/// When no lines stand to each other as the plates of this joint do.
pub fn propose(
    pyramid: &Pyramid,
    joint: Joint,
    both: bool,
    rules: &[[Px; 2]],
) -> Result<ProposedPlates, PlatesError> {
    let look = Look::new(pyramid, rules);
    let plates = match joint {
        Joint::Bead => bead(&look),
        Joint::Butt => butt(&look),
        Joint::Tee => tee(&look, both),
    };
    let plates = plates.ok_or(PlatesError::NoPlates { joint: joint.word() })?;
    Ok(ProposedPlates { plates, caution: CAUTION })
}

/// Draws faces that are marked roughly to the edges beside them; faces without an edge stay out.
///
/// # Errors
///
/// When none of them has an edge beside it.
pub fn draw_to_edges(
    pyramid: &Pyramid,
    marked: &PlateMarks,
) -> Result<ProposedPlates, PlatesError> {
    let level = pyramid.level_within(FINE);
    let plane = pyramid.level(level);
    let mut plates = PlateMarks::default();
    for ((field, points), to) in marked.faces().into_iter().zip(plates.faces_mut()) {
        let metal = match field {
            "surface" | "base" => Some(Metal::Below),
            "bottom" => Some(Metal::Above),
            "upright_left" => Some(Metal::Right),
            "upright_right" => Some(Metal::Left),
            // No edge: metal lies on both sides.
            "joint_line" => continue,
            // Which side of it is metal is seen from the picture, if at all.
            _ => None,
        };
        // Points of a face stand in stretches: two plates of a butt, either side of an upright.
        let mut found = false;
        for two in points.chunks(2) {
            let drawn = match two {
                [a, b] => place(plane, level, *a, *b, metal.map(Metal::step)),
                _ => None,
            };
            found |= drawn.is_some();
            to.extend(drawn.map_or_else(|| two.to_vec(), |d| d.to_vec()));
        }
        if !found {
            to.clear();
        }
    }
    if plates.faces().iter().all(|(_, points)| points.is_empty()) {
        return Err(PlatesError::NoEdge);
    }
    Ok(ProposedPlates { plates, caution: CAUTION })
}

/// Surface of a plate: the line with most of its edge seen, with metal below.
fn bead(look: &Look<'_>) -> Option<PlateMarks> {
    let [edges, _] = look.edges([Metal::Below, Metal::Above]);
    let best =
        edges.iter().max_by(|a, b| surface_score(look, a).total_cmp(&surface_score(look, b)))?;
    let surface = stretches(look, best, Metal::Below, None)?;
    Some(PlateMarks { surface, ..PlateMarks::default() })
}

/// Length of the edge with a plate's depth of metal under it: a rule in the picture is thinner.
fn surface_score(look: &Look<'_>, edge: &Edge) -> f64 {
    let deep = 0.06 * look.longer();
    edge.runs
        .iter()
        .map(|run| {
            let places = 12;
            let metal = (0..=places)
                .filter(|i| {
                    let p = edge
                        .line
                        .on(run[0] + (run[1] - run[0]) * f64::from(*i) / f64::from(places));
                    [0.3, 0.65, 1.0].iter().all(|d| look.light([p[0], p[1] + d * deep]) > 0.45)
                })
                .count();
            (run[1] - run[0]) * metal as f64 / f64::from(places + 1)
        })
        .sum()
}

/// Two points on each side of a place along the edge (or of its longest gap), or on the whole.
fn stretches(look: &Look<'_>, edge: &Edge, metal: Metal, split: Option<f64>) -> Option<Vec<Px>> {
    let split = split.or_else(|| edge.longest_gap().map(|gap| 0.5 * (gap[0] + gap[1])));
    let least = 0.5 * LEAST_RUN * look.longer();
    let steps = look.steps(metal);
    let sides = match split {
        Some(at) => vec![[f64::NEG_INFINITY, at], [at, f64::INFINITY]],
        None => vec![[f64::NEG_INFINITY, f64::INFINITY]],
    };
    let points: Vec<Px> = sides
        .into_iter()
        .filter_map(|[from, to]| {
            let own = look.nearby(edge, &steps, from, to)?;
            let run = own.longest(f64::NEG_INFINITY, f64::INFINITY)?;
            (run[1] - run[0] > least).then(|| look.face(&own.line, run, metal)).flatten()
        })
        .flatten()
        .collect();
    (points.len() >= 2).then_some(points)
}

/// Two surfaces in parallel with metal between; the joint line where a dark line crosses it.
fn butt(look: &Look<'_>) -> Option<PlateMarks> {
    let [tops, bottoms] = look.edges([Metal::Below, Metal::Above]);
    let whole = |e: &Edge| e.seen(f64::NEG_INFINITY, f64::INFINITY);
    let mut best: Option<(f64, &Edge, &Edge)> = None;
    for top in &tops {
        for bottom in &bottoms {
            let middle = look.size[0] / 2.0;
            let apart = bottom.line.height_at(middle) - top.line.height_at(middle);
            if top.line.turn_to(&bottom.line) > 4.0
                || !(0.03..0.7).contains(&(apart / look.longer()))
            {
                continue;
            }
            let inside = (1..10)
                .filter(|i| {
                    let x = look.size[0] * f64::from(*i) / 10.0;
                    look.light([x, top.line.height_at(x) + 0.5 * apart]) > 0.45
                })
                .count();
            let score = (whole(top) + whole(bottom)) * inside as f64 / 9.0;
            if best.is_none_or(|(most, ..)| score > most) {
                best = Some((score, top, bottom));
            }
        }
    }
    let (_, top, bottom) = best?;
    let joint = joint_line(look, top, bottom);
    let at =
        |edge: &Edge| joint.and_then(|line| edge.line.meets(&line)).map(|p| edge.line.along_of(p));
    let joint_line = joint.and_then(|line| {
        let ends = [top.line.meets(&line)?, bottom.line.meets(&line)?];
        // A little inside both surfaces: there the line is seen.
        let inside = |share: f64| [0, 1].map(|k| ends[0][k] + share * (ends[1][k] - ends[0][k]));
        Some([0.03, 0.97].map(|s| picture_from_level(look.small, inside(s))).to_vec())
    });
    Some(PlateMarks {
        surface: stretches(look, top, Metal::Below, at(top))?,
        bottom: stretches(look, bottom, Metal::Above, at(bottom))?,
        joint_line: joint_line.unwrap_or_default(),
        ..PlateMarks::default()
    })
}

/// Where a weld took a surface away: the middle of the longest gap in its edge, and how wide it is.
fn melted(edge: &Edge) -> Option<(Px, f64)> {
    let gap = edge.longest_gap()?;
    Some((edge.line.on(0.5 * (gap[0] + gap[1])), gap[1] - gap[0]))
}

/// The dark line from surface to surface, where one is seen below the middle of the weld: a weld's own fusion line is as dark
/// and as steep, and stands off from it.
fn joint_line(look: &Look<'_>, top: &Edge, bottom: &Edge) -> Option<Line> {
    let middles: Vec<(Px, f64)> = [top, bottom].into_iter().filter_map(melted).collect();
    let (top, bottom) = (&top.line, &bottom.line);
    let plane = look.pyramid.level(look.small);
    let mut steps = Vec::new();
    for y in 0..plane.height as isize {
        for x in 4..plane.width as isize - 4 {
            let p = [x as f64, y as f64];
            // Between the surfaces.
            if p[1] < top.height_at(p[0]) + 4.0 || p[1] > bottom.height_at(p[0]) - 4.0 {
                continue;
            }
            let of = |dx: isize| {
                (-2..=2).map(|dy| f64::from(plane.at(x + dx, y + dy))).sum::<f64>() / 5.0 / 65535.0
            };
            let beside = of(-3).min(of(3));
            let depth = (beside - of(0)) / look.usual;
            if depth > 0.15 && of(0) <= of(-1) && of(0) < of(1) {
                steps.push(Step { at: p, vote: (depth / 0.4).min(1.0) });
            }
        }
    }
    let middle = look.size[0] / 2.0;
    let thick = bottom.height_at(middle) - top.height_at(middle);
    let square = |edge: &&Edge| edge.line.turn_to(top) > SQUARE;
    let below = |edge: &&Edge| {
        !middles.is_empty()
            && middles.iter().all(|(p, wide)| off(&edge.line, *p).abs() < OFF_MIDDLE * wide)
    };
    let seen = |edge: &Edge| edge.seen(f64::NEG_INFINITY, f64::INFINITY);
    let lines = look.lines(&steps, false);
    let best =
        lines.iter().filter(square).filter(below).max_by(|a, b| seen(a).total_cmp(&seen(b)))?;
    (seen(best) > 0.2 * thick).then_some(best.line)
}

/// The edges of a tee, and where along them the corners lie.
struct AsTee<'a> {
    score: f64,
    base: &'a Edge,
    /// Left and right face; of a tee welded from one side one may be out of the picture.
    faces: [Option<&'a Edge>; 2],
    /// On the base, left and right.
    base_at: [f64; 2],
    /// On each face; faces run downward.
    face_at: [f64; 2],
}

/// A base with an upright on it.
fn tee(look: &Look<'_>, both: bool) -> Option<PlateMarks> {
    let [bases, _] = look.edges([Metal::Below, Metal::Above]);
    let [lefts, rights] = look.edges([Metal::Right, Metal::Left]);
    // Of a tee welded from one side one face may be out of the picture.
    let none = (!both).then_some(None);
    let mut best: Option<AsTee<'_>> = None;
    for base in &bases {
        for left in lefts.iter().map(Some).chain(none) {
            for right in rights.iter().map(Some).chain(none) {
                let Some(found) = as_tee(look, base, [left, right]) else { continue };
                if best.as_ref().is_none_or(|b| found.score > b.score) {
                    best = Some(found);
                }
            }
        }
    }
    let AsTee { base, faces, base_at: [bl, br], face_at, .. } = best?;
    let least = 0.02 * look.longer();
    let face = |k: usize, metal| {
        let edge = faces[k]?;
        look.face(&edge.line, edge.longest(f64::NEG_INFINITY, face_at[k] - least)?, metal)
    };
    let on_base = |from: f64, to: f64| {
        base.longest(from, to).and_then(|run| look.face(&base.line, run, Metal::Below))
    };
    let bases = [on_base(f64::NEG_INFINITY, bl - least), on_base(br + least, f64::INFINITY)];
    let uprights = [face(0, Metal::Right), face(1, Metal::Left)];
    let points = |two: &[Px; 2]| two.to_vec();
    if both {
        let plates = PlateMarks {
            base: bases.iter().flatten().flatten().copied().collect(),
            upright_left: uprights[0].as_ref().map(points)?,
            upright_right: uprights[1].as_ref().map(points)?,
            ..PlateMarks::default()
        };
        return (plates.base.len() == 4).then_some(plates);
    }
    // A weld hides the corner: on its side the edges begin farther off. Where only one face is seen the weld is on it.
    let hidden = |edge: &Edge, from: f64, to: f64, corner: f64| {
        edge.longest(from, to)
            .map_or(f64::INFINITY, |r| (r[0] - corner).abs().min((r[1] - corner).abs()))
    };
    let side = |k: usize, from: f64, to: f64, corner: f64| {
        let face = faces[k].map(|edge| hidden(edge, f64::NEG_INFINITY, face_at[k], face_at[k]))?;
        Some(face + hidden(base, from, to, corner))
    };
    let weld = match (side(0, f64::NEG_INFINITY, bl, bl), side(1, br, f64::INFINITY, br)) {
        (Some(left), Some(right)) => usize::from(right >= left),
        (Some(_), None) => 0,
        (None, _) => 1,
    };
    Some(PlateMarks {
        base: bases[weld].as_ref().map(points)?,
        upright: uprights[weld].as_ref().map(points)?,
        upright_far: uprights[1 - weld].as_ref().map(points).unwrap_or_default(),
        ..PlateMarks::default()
    })
}

/// How well edges stand as a tee.
fn as_tee<'a>(look: &Look<'_>, base: &'a Edge, faces: [Option<&'a Edge>; 2]) -> Option<AsTee<'a>> {
    let least = LEAST_RUN * look.longer();
    let mut corners = [None; 2];
    for (edge, at) in faces.iter().zip(&mut corners) {
        if let Some(edge) = edge {
            if base.line.turn_to(&edge.line) < 50.0 {
                return None;
            }
            *at = Some(base.line.meets(&edge.line)?);
        }
    }
    let thick = match corners {
        [Some(left), Some(right)] => (right[0] - left[0]) / look.longer(),
        _ => 0.06,
    };
    let askew = match faces {
        [Some(left), Some(right)] => left.line.turn_to(&right.line),
        _ => 0.0,
    };
    if !(0.02..0.6).contains(&thick) || askew > 4.0 {
        return None;
    }
    let [left, right] = match corners {
        [None, None] => return None,
        [left, right] => [left.or(right)?, right.or(left)?],
    };
    let (bl, br) = (base.line.along_of(left), base.line.along_of(right));
    let long = |run: Option<[f64; 2]>| run.map_or(0.0, |r| r[1] - r[0]);
    let on_base = [base.longest(f64::NEG_INFINITY, bl), base.longest(br, f64::INFINITY)].map(long);
    let mut face_at = [0.0; 2];
    let mut score = 0.0;
    for (k, edge) in faces.iter().enumerate() {
        let (Some(edge), Some(at)) = (edge, corners[k]) else { continue };
        face_at[k] = edge.line.along_of(at);
        let run = edge.longest(f64::NEG_INFINITY, face_at[k]);
        if long(run) < least || on_base[k] < least {
            return None;
        }
        // Between the corner and the first of the edge the weld would be: a short way is likelier.
        score += long(run) + on_base[k] - 0.25 * run.map_or(0.0, |r| face_at[k] - r[1]);
    }
    // Metal inside the upright above the base, and under it.
    let middle = match corners {
        [Some(_), Some(_)] => 0.5 * (left[0] + right[0]),
        [Some(_), None] => left[0] + 0.5 * thick * look.longer(),
        _ => right[0] - 0.5 * thick * look.longer(),
    };
    let light = |down: f64| look.light([middle, 0.5 * (left[1] + right[1]) + down * look.longer()]);
    if [-0.1, -0.05, 0.03].iter().filter(|d| light(**d) > 0.45).count() < 2 {
        return None;
    }
    Some(AsTee { score, base, faces, base_at: [bl, br], face_at })
}
