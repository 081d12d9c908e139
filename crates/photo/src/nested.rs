//! Does a second candidate line run beside the one that was traced?
//!
//! ```text
//!      across │ ~~~~~~~╮   ╭~~~~~~~~~~~~╮  ╭~~   a second line, outside (edge of the heat-affected zone?)
//!             │        ╰~~~╯            ╰~~╯
//!           0 │━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━   the traced outline, unrolled
//!             │
//!             └──────────────────────────────── along
//! ```
//!
//! The picture about the traced outline is unrolled; on each side, clear of it, the way of greatest worth is found by
//! dynamic programming. Worth is that of [`crate::propose`]: evidence of a line (cubed) times how much (its cube root) lightness
//! changes across it. Only the part in metal is looked at, and a way counts when its mean worth comes to [`NEARLY`] of
//! that of the traced line: then the tool cannot tell which is the fusion line, and the person says.
//!
//! Measured on drawn pictures (`tests/it/nested.rs`, clean to faint, 42 zones by the first drawer): told on 1 without a second
//! line, and on 23 with a dark one along the outer edge of the heat-affected zone.
//!
//! Guarantees: the same picture and outline give the same answer; nothing is changed in the outline.
//!
//! Not covered: a second line that crosses the traced one; one nearer than its own width; one that is seen along a short
//! part only.

use crate::evidence::{Evidence, Window};
use crate::marks::Px;
use crate::pyramid::{Pyramid, level_from_picture, size_of_pixel};
use crate::trace::Outline;

/// A second line whose mean worth is at least this share of the traced one's is a candidate.
pub const NEARLY: f64 = 0.75;
/// How far from the traced line a second one is looked for, as a share of the zone's width (the root of its area).
const REACH: f64 = 0.35;
/// The most of it, level pixels.
const MOST_REACH: usize = 80;
/// Nearer than this it is the traced line itself, level pixels.
const CLEAR: usize = 8;
/// Steps across from one point to the next, at most.
const JUMP: usize = 1;
/// What a step across costs, in worth.
const STEP_COST: f64 = 0.02;
/// Points that a second line must run beside, of those in metal.
const LEAST_SHARE: f64 = 0.5;
/// Fewer points in metal do not tell.
const LEAST_POINTS: usize = 40;
/// Steps inside and outside over which the metal is compared, and points to either side along the line.
const NEAR: i32 = 2;
const FAR: i32 = 8;
const STRIP: usize = 6;

/// A second line.
#[derive(Clone, Debug, PartialEq)]
pub struct Beside {
    /// Its points on the picture.
    pub px: Vec<Px>,
    /// It runs outside the traced outline, not inside.
    pub outside: bool,
    /// How far from the traced line it runs, median, picture pixels.
    pub apart_px: f64,
    /// Its worth as a share of the traced line's.
    pub worth: f64,
}

/// The better second line beside a traced closed outline, if there is one. `in_metal` tells of a place on the picture
/// whether it lies in the plates.
#[must_use]
pub fn beside(
    pyramid: &Pyramid,
    outline: &Outline,
    in_metal: impl Fn(Px) -> bool,
) -> Option<Beside> {
    let n = outline.px.len();
    if n < LEAST_POINTS {
        return None;
    }
    let level = outline.level.min(pyramid.levels() - 1);
    let size = size_of_pixel(level);
    let turn: f64 = (0..n)
        .map(|i| {
            let (a, b) = (outline.px[i], outline.px[(i + 1) % n]);
            0.5 * (a[0] * b[1] - b[0] * a[1])
        })
        .sum();
    let outward = if turn >= 0.0 { -1.0 } else { 1.0 };
    let reach = ((REACH * turn.abs().sqrt() / size) as usize).min(MOST_REACH);
    let clear = CLEAR.max((3.0 * outline.line_half_width_px.unwrap_or(0.0) / size) as usize);
    if reach <= clear + FAR as usize {
        return None;
    }
    let normals: Vec<[f64; 2]> = (0..n)
        .map(|i| {
            // Over some points, so that the noise of the outline does not cross its neighbours' strips.
            let (a, b) = (outline.px[(i + n - 6) % n], outline.px[(i + 6) % n]);
            let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
            let long = dx.hypot(dy).max(1e-9);
            [-outward * dy / long, outward * dx / long]
        })
        .collect();
    let at = |i: usize, s: f64| -> Px {
        let (p, m) = (outline.px[i], normals[i]);
        [p[0] + s * size * m[0], p[1] + s * size * m[1]]
    };
    let evidence = {
        let far: Vec<Px> =
            (0..n).flat_map(|i| [-1.0, 1.0].map(|sign| at(i, sign * reach as f64))).collect();
        Evidence::new(pyramid, Window::around(pyramid, level, &far))
    };
    let strip = Strip::new(pyramid, &evidence, level, n, reach, &at, &in_metal);
    let metal: Vec<usize> = (0..n).filter(|&i| strip.is_metal(i, 0)).collect();
    if metal.len() < LEAST_POINTS {
        return None;
    }
    let own = metal.iter().map(|&i| strip.best_near(i, 3)).sum::<f64>() / metal.len() as f64;
    [1_i32, -1]
        .into_iter()
        .filter_map(|side| {
            let way = strip.way(side, clear, reach)?;
            let there: Vec<(usize, i32)> =
                way.into_iter().filter(|&(i, j)| strip.is_metal(i, j)).collect();
            if (there.len() as f64) < LEAST_SHARE * metal.len() as f64 {
                return None;
            }
            let worth =
                there.iter().map(|&(i, j)| strip.worth(i, j)).sum::<f64>() / there.len() as f64;
            let mut apart: Vec<f64> =
                there.iter().map(|(_, j)| f64::from(j.abs()) * size).collect();
            apart.sort_by(f64::total_cmp);
            Some(Beside {
                px: there.iter().map(|&(i, j)| at(i, f64::from(j))).collect(),
                outside: side > 0,
                apart_px: apart[apart.len() / 2],
                worth: worth / own.max(1e-9),
            })
        })
        .filter(|b| b.worth >= NEARLY)
        .max_by(|a, b| a.worth.total_cmp(&b.worth))
}

/// The surroundings of an outline, unrolled: point after point, from the inside out.
struct Strip {
    n: usize,
    reach: i32,
    evidence: Vec<f64>,
    metal: Vec<bool>,
    /// Sums of lightness and of its square from the inside out, point after point.
    sums: Vec<[f64; 2]>,
}

impl Strip {
    fn new(
        pyramid: &Pyramid,
        evidence: &Evidence,
        level: usize,
        n: usize,
        reach: usize,
        at: &impl Fn(usize, f64) -> Px,
        in_metal: &impl Fn(Px) -> bool,
    ) -> Self {
        let plane = pyramid.level(level);
        let reach = reach as i32;
        let mut strip =
            Self { n, reach, evidence: Vec::new(), metal: Vec::new(), sums: Vec::new() };
        for i in 0..n {
            let mut sum = [0.0; 2];
            for j in -reach..=reach {
                let p = at(i, f64::from(j));
                let q = level_from_picture(level, p);
                let light = plane.sample(q[0], q[1]);
                let on = q[0] >= 1.0
                    && q[1] >= 1.0
                    && q[0] <= plane.width as f64 - 2.0
                    && q[1] <= plane.height as f64 - 2.0;
                strip.evidence.push(evidence.strength(p));
                strip.metal.push(on && in_metal(p));
                sum = [sum[0] + light, sum[1] + light * light];
                strip.sums.push(sum);
            }
        }
        strip
    }

    fn index(&self, i: usize, j: i32) -> usize {
        (i % self.n) * (2 * self.reach + 1) as usize + (j + self.reach) as usize
    }

    /// The place and what lies around it, over which metal is compared, are metal.
    fn is_metal(&self, i: usize, j: i32) -> bool {
        [-FAR, 0, FAR].iter().all(|d| {
            let k = (j + d).clamp(-self.reach, self.reach);
            self.metal[self.index(i, k)]
        })
    }

    /// Mean and variance of lightness over a strip.
    fn over(&self, i: usize, from: i32, to: i32) -> (f64, f64) {
        let (from, to) = (from.max(-self.reach), to.min(self.reach));
        let mut sum = [0.0; 2];
        for d in 0..=2 * STRIP {
            let row = (i + self.n + d - STRIP) % self.n;
            let b = self.sums[self.index(row, to)];
            let a = self.sums[self.index(row, from)];
            sum = [sum[0] + b[0] - a[0], sum[1] + b[1] - a[1]];
        }
        let count = f64::from((to - from).max(1)) * (2 * STRIP + 1) as f64;
        let mean = sum[0] / count;
        (mean, (sum[1] / count - mean * mean).max(0.0))
    }

    fn worth(&self, i: usize, j: i32) -> f64 {
        let (a, b) = (self.over(i, j - FAR, j - NEAR), self.over(i, j + NEAR, j + FAR));
        let d = (a.0 - b.0).abs() / (0.5 * (a.1 + b.1) + 1e-6).sqrt();
        self.evidence[self.index(i, j)].powi(3) * (d / (1.0 + d)).cbrt()
    }

    /// The greatest worth within so many steps of the traced line itself, which lies between pixels.
    fn best_near(&self, i: usize, steps: i32) -> f64 {
        (-steps..=steps).map(|j| self.worth(i, j)).fold(0.0, f64::max)
    }

    /// The way of greatest worth along one side: for each point, how far out.
    fn way(&self, side: i32, clear: usize, reach: usize) -> Option<Vec<(usize, i32)>> {
        let places: Vec<i32> =
            (clear..=reach.checked_sub(FAR as usize)?).map(|s| side * s as i32).collect();
        let m = places.len();
        if m == 0 {
            return None;
        }
        let worth = |i: usize, k: usize| {
            // Where there is no metal the way may pass, and gains nothing.
            if self.is_metal(i, places[k]) { self.worth(i, places[k]) } else { 0.0 }
        };
        let mut total: Vec<f64> = (0..m).map(|k| worth(0, k)).collect();
        let mut from: Vec<Vec<usize>> = Vec::with_capacity(self.n);
        for i in 1..self.n {
            let (mut next, mut back) = (vec![0.0; m], vec![0; m]);
            for k in 0..m {
                let (low, high) = (k.saturating_sub(JUMP), (k + JUMP).min(m - 1));
                let value = |l: usize| total[l] - STEP_COST * l.abs_diff(k) as f64;
                let best = (low..=high).max_by(|&a, &b| value(a).total_cmp(&value(b))).unwrap_or(k);
                next[k] = value(best) + worth(i, k);
                back[k] = best;
            }
            total = next;
            from.push(back);
        }
        let mut k = (0..m).max_by(|&a, &b| total[a].total_cmp(&total[b]))?;
        let mut way = vec![(self.n - 1, places[k])];
        for i in (1..self.n).rev() {
            k = from[i - 1][k];
            way.push((i - 1, places[k]));
        }
        way.reverse();
        Some(way)
    }
}
