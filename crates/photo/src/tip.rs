//! The way round a tip: of all smooth curves that go on as the outline came, the one that looks most like its boundary.
//!
//! ```text
//!      u ↓    ↑ v      From the set point p the outline goes on as it came there (u), and it comes to q as it goes on there
//!        ●    ●        (v). Between them a cubic: how far it runs out, how pointed, how askew, are four numbers. Each curve
//!       p╲    ╱q       is worth what its pixels look like a line more than pixels nearby usually do, and what the metal
//!         ╲__╱         that it encloses looks like the zone's.
//! ```
//!
//! A path that pays for each pixel takes the short way across a finger, for the long way round costs more however good its
//! line. Here a longer line is more evidence, not more cost: the gain is a sum over its pixels of how much less they cost than
//! metal nearby does, with the neighbour that looks most like a line counted for each. The best curve is then laid onto the
//! line, pixel for pixel (dynamic programming over offsets along its normals).
//!
//! All ways of a piece, the path's and enclosed metal's among them, are then worth their line and metal less what they turn to
//! and fro beyond need: grain boundaries in the zone are good line, and a sum over pixels would take the longest detour.
//!
//! Source: own. The cubic is Hermite's; comparing a sum of logarithms of likelihood ratios is the textbook's (Neyman and
//! Pearson), the area term by Green's theorem as in region-based contours.
//!
//! Guarantees: ways start and end at the set points. Not covered: tips with more than one end, pieces with a corner in them.

use crate::enclose::{
    Grid, Looks, Pieces, SHORT_RUN, SPUR, TANGENT, astray, reach, tangents, turn_of,
};
use crate::trace::{area, distance, respace, smooth_run};

type Px = [f64; 2];

/// How far out a curve runs: its speeds at either end, chords.
const SPEEDS: [f64; 8] = [0.6, 1.2, 2.0, 3.0, 4.2, 5.6, 7.5, 10.0];
/// How far askew: its directions at either end against the tangents, radians.
const ASKEW: [f64; 5] = [-0.5, -0.25, 0.0, 0.25, 0.5];
/// Places of a piece before and after those that follow no line, from which a shorter curve starts.
const STAND_OFF: usize = 5;
/// What each place of a spur takes off the worth of a path, in pixels of line.
const SPUR_COSTS: f64 = 3.0;
/// What a radian of needless turning takes off the worth of a way, in pixels of line: grain boundaries in the metal offer long
/// detours of good line, and a melt's edge is smooth. Tried on a real track and on drawn sections.
const TURNING_COSTS: f64 = 10.0;
/// Chords over which a way's turning is taken, pixels.
const CHORD: f64 = 8.0;
/// What a pixel of enclosed metal counts beside a pixel of line.
const METAL_COUNTS: f64 = 0.02;
/// The sharpest bend of a curve, radians a pixel.
const SHARPEST: f64 = 0.6;
/// A bend whose tangent is this is less sharp than that.
const GENTLE: f64 = 0.6;
/// How far the line may lie from the best curve, pixels, and what a pixel aside costs from one place to the next.
const ASIDE: usize = 6;
const ASIDE_COSTS: f64 = 0.08;
/// So near to its ends a way may come near to its neighbours, pixels.
const CLEAR_OF_ENDS: f64 = 8.0;
/// Offsets from the path, both sides, in which usual looks are taken, pixels.
const BESIDE: std::ops::RangeInclusive<i32> = 5..=14;

/// The least of each pixel's looks and its eight neighbours'.
fn nearest(looks: &Looks<'_>) -> Vec<f64> {
    let Grid { w, h } = looks.grid();
    let mut near = vec![1.0; w * h];
    for y in 0..h {
        for x in 0..w {
            let rows = y.saturating_sub(1)..(y + 2).min(h);
            near[y * w + x] = rows
                .flat_map(|b| (x.saturating_sub(1)..(x + 2).min(w)).map(move |a| b * w + a))
                .map(|k| looks.at(k))
                .fold(1.0, f64::min);
        }
    }
    near
}

/// Half-way between what pixels look on an outline and beside it: what line and metal are parted by.
pub(crate) fn parting(looks: &Looks<'_>, pieces: &Pieces) -> f64 {
    half_way(looks, pieces, |k| looks.at(k))
}

fn half_way(looks: &Looks<'_>, pieces: &Pieces, of: impl Fn(usize) -> f64) -> f64 {
    let grid = looks.grid();
    let here: Vec<Px> = pieces.iter().flatten().map(|&p| looks.on(p)).collect();
    let m = here.len();
    let (mut on, mut beside): (Vec<f64>, Vec<f64>) = (Vec::new(), Vec::new());
    for i in 0..m {
        let (a, b) = (here[(i + m - 3) % m], here[(i + 3) % m]);
        let d = distance(a, b);
        if d < 1.0 {
            continue;
        }
        let normal = [-(b[1] - a[1]) / d, (b[0] - a[0]) / d];
        on.extend(grid.index(here[i]).map(&of));
        for s in BESIDE.flat_map(|k| [f64::from(k), -f64::from(k)]) {
            let p = [here[i][0] + s * normal[0], here[i][1] + s * normal[1]];
            beside.extend(grid.index(p).map(&of));
        }
    }
    on.sort_by(f64::total_cmp);
    let line = on.get(on.len() / 2).copied().unwrap_or(0.5);
    let metal = beside.iter().sum::<f64>() / beside.len().max(1) as f64;
    0.5 * (line + metal)
}

/// What curves are judged by, on one window.
pub(crate) struct Tips<'a> {
    looks: &'a Looks<'a>,
    grid: Grid,
    /// Looks of the best of a pixel and its eight neighbours.
    near: Vec<f64>,
    /// For each row, sums of how much likelier its pixels are the zone's; one more column than the window.
    sums: Vec<f64>,
    /// What parts line from metal in `near`, and in a pixel's own looks.
    usual: f64,
    usual_own: f64,
    /// +1 where the outline runs clockwise on the screen.
    clockwise: f64,
}

impl<'a> Tips<'a> {
    /// `likely` says of each pixel of the window how much likelier it is the zone's metal (logarithm of the ratio); the pieces
    /// lie on the picture, and `parting` is what [`parting`] gave for them.
    pub(crate) fn new(looks: &'a Looks<'a>, likely: &[f64], pieces: &Pieces, parting: f64) -> Self {
        let grid = looks.grid();
        let near = nearest(looks);
        let columns = grid.w + 1;
        let mut sums = vec![0.0; columns * grid.h];
        for y in 0..grid.h {
            for x in 0..grid.w {
                sums[y * columns + x + 1] = sums[y * columns + x] + likely[y * grid.w + x];
            }
        }
        let way: Vec<Px> = pieces.iter().flatten().copied().collect();
        Self {
            looks,
            grid,
            usual: half_way(looks, pieces, |k| near[k]),
            usual_own: parting,
            near,
            sums,
            clockwise: area(&way).signum(),
        }
    }

    /// Pixels that other pieces run along: a way is not worth the line of its neighbours.
    fn taken(&self, pieces: &Pieces, i: usize) -> Vec<bool> {
        let mut taken = vec![false; self.grid.n()];
        let s = &pieces[i];
        let ends = [self.looks.on(s[0]), self.looks.on(s[s.len() - 1])];
        for p in pieces.iter().enumerate().filter(|(k, _)| *k != i).flat_map(|(_, s)| s) {
            let p = self.looks.on(*p);
            if ends.iter().all(|e| distance(*e, p) > CLEAR_OF_ENDS) {
                for (dx, dy) in (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (dx, dy))) {
                    if let Some(k) = self.grid.index([p[0] + f64::from(dx), p[1] + f64::from(dy)]) {
                        taken[k] = true;
                    }
                }
            }
        }
        taken
    }

    /// What a way (pixels of the window) is worth; nothing when it leaves the window, runs into another piece or bends too
    /// sharply for a line.
    fn worth(&self, way: &[Px], taken: &[bool], curve: bool) -> Option<f64> {
        let (mut line, mut metal) = (0.0, 0.0);
        let mut before: Option<Px> = None;
        for pair in way.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            let step = [b[0] - a[0], b[1] - a[1]];
            let long = distance(a, b);
            let middle = [0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])];
            let k = self.grid.index(middle)?;
            if taken[k] {
                return None;
            }
            line += long
                * if curve { self.usual - self.near[k] } else { self.usual_own - self.looks.at(k) };
            let (x, y) = ((middle[0] + 0.5).max(0.0), k / self.grid.w);
            let row = &self.sums[y * (self.grid.w + 1)..][..=self.grid.w];
            let x0 = (x as usize).min(self.grid.w - 1);
            let up_to = row[x0] + (x - x0 as f64).clamp(0.0, 1.0) * (row[x0 + 1] - row[x0]);
            metal += step[1] * up_to;
            if let (Some(p), true) = (before, curve && long > 1e-9) {
                let (across, along) =
                    (p[0] * step[1] - p[1] * step[0], p[0] * step[0] + p[1] * step[1]);
                // Hardly any place of a curve bends by much, and the angle itself takes a while.
                if across.abs() > GENTLE * along
                    && across.atan2(along).abs() > SHARPEST * long.max(1.0)
                {
                    return None;
                }
            }
            before = Some(step);
        }
        Some(line + METAL_COUNTS * self.clockwise * metal)
    }

    /// What ways of one piece, on the picture, are worth; the first is the path, which may touch its neighbours, and pays for
    /// the spurs at its ends.
    pub(crate) fn worth_of(
        &self,
        ways: &[Vec<Px>],
        pieces: &Pieces,
        spurs: &[usize],
        i: usize,
    ) -> Vec<f64> {
        let taken = self.taken(pieces, i);
        let none = vec![false; taken.len()];
        let ends = [spurs[i], spurs[(i + 1) % pieces.len()]];
        let spur: usize = ends.into_iter().filter(|&s| s >= SPUR).sum();
        let (from, to) = tangents(pieces, i, ends.map(|s| s >= SPUR));
        ways.iter()
            .enumerate()
            .map(|(k, way)| {
                let here: Vec<Px> = way.iter().map(|&p| self.looks.on(p)).collect();
                let worth = self.worth(&here, if k == 0 { &none } else { &taken }, false);
                worth.unwrap_or(f64::NEG_INFINITY)
                    - TURNING_COSTS * needless_turning(&here, from, to)
                    - if k == 0 { SPUR_COSTS * spur as f64 } else { 0.0 }
            })
            .collect()
    }

    /// The best smooth ways of one piece, on the picture: of the whole of it, and of the part that follows no line.
    pub(crate) fn round(&self, pieces: &Pieces, spurs: &[usize], i: usize) -> Vec<Vec<Px>> {
        let s = &pieces[i];
        let last = s.len() - 1;
        let (from, to) = tangents(pieces, i, [false; 2]);
        let mut asked = vec![((0, last), (from, to))];
        let past = [spurs[i], spurs[(i + 1) % pieces.len()]].map(|s| s >= SPUR);
        if past.contains(&true) {
            asked.push(((0, last), tangents(pieces, i, past)));
        }
        if let Some((a, b)) = astray(self.looks, s, SHORT_RUN) {
            let (a, b) = (a.saturating_sub(STAND_OFF), (b + STAND_OFF).min(last));
            let towards = |a: Px, b: Px| [b[0] - a[0], b[1] - a[1]];
            let u = if a >= TANGENT { towards(s[a - TANGENT], s[a]) } else { from };
            let v = if b + TANGENT < s.len() { towards(s[b], s[b + TANGENT]) } else { to };
            // What lies before or after it may be no part of the outline either, but the way back from a set point beyond.
            asked.extend([((a, b), (u, v)), ((a, last), (u, to)), ((0, b), (from, v))]);
        }
        let taken = self.taken(pieces, i);
        let long = |s: &Vec<Px>| -> f64 {
            s.windows(2).map(|w| distance(self.looks.on(w[0]), self.looks.on(w[1]))).sum()
        };
        let whole: f64 = pieces.iter().map(long).sum();
        asked
            .into_iter()
            .filter_map(|((a, b), directions)| {
                let ends = [s[a], s[b]].map(|p| self.looks.on(p));
                let part = self.curve(ends, directions, &taken, whole)?;
                let mut way = s[..a].to_vec();
                way.extend(part);
                way.extend(&s[b + 1..]);
                Some(way)
            })
            .collect()
    }

    /// The best smooth way, on the picture, between two places of the window that leaves and arrives in about these directions;
    /// `whole` is the outline's length.
    fn curve(
        &self,
        [p, q]: [Px; 2],
        (u, v): (Px, Px),
        taken: &[bool],
        whole: f64,
    ) -> Option<Vec<Px>> {
        let chord = distance(p, q);
        if chord < 3.0 || u[0].hypot(u[1]) < 1e-9 || v[0].hypot(v[1]) < 1e-9 {
            return None;
        }
        let turn = turn_of((u, v));
        let (u, v) = (u[1].atan2(u[0]), v[1].atan2(v[0]));
        let curve = |x: [f64; 4]| {
            let unit = |a: f64| [a.cos(), a.sin()];
            let (a, b) = (unit(u + x[2]), unit(v + x[3]));
            let (a, b) = (a.map(|c| c * x[0] * chord), b.map(|c| c * x[1] * chord));
            // Each unit of speed adds at most a quarter of a chord of height at either end.
            let parts = (chord * (1.0 + 0.3 * (x[0] + x[1]))).ceil().max(6.0) as usize;
            (0..=parts).map(move |k| {
                let t = k as f64 / parts as f64;
                let s = 1.0 - t;
                [0, 1].map(|c| {
                    (1.0 + 2.0 * t) * s * s * p[c]
                        + t * s * s * a[c]
                        + t * t * (3.0 - 2.0 * t) * q[c]
                        - t * t * s * b[c]
                })
            })
        };
        let most = reach(chord, turn, whole);
        let along = [(q[0] - p[0]) / chord, (q[1] - p[1]) / chord];
        let off = |a: &Px| {
            let d = [a[0] - p[0], a[1] - p[1]];
            let s = d[0] * along[0] + d[1] * along[1];
            (d[0] * along[1] - d[1] * along[0]).abs().max(-s).max(s - chord)
        };
        let mut drawn = Vec::new();
        let mut worth = |x: [f64; 4]| {
            drawn.clear();
            for a in curve(x) {
                if off(&a) > most {
                    return f64::NEG_INFINITY;
                }
                drawn.push(a);
            }
            self.worth(&drawn, taken, true).unwrap_or(f64::NEG_INFINITY)
        };
        let mut best = (f64::NEG_INFINITY, [1.0, 1.0, 0.0, 0.0]);
        for a in SPEEDS {
            for b in SPEEDS {
                for c in ASKEW {
                    for d in ASKEW {
                        let x = [a, b, c, d];
                        let w = worth(x);
                        if w > best.0 {
                            best = (w, x);
                        }
                    }
                }
            }
        }
        if !best.0.is_finite() {
            return None;
        }
        let mut step = [1.2, 1.2, 0.12, 0.12];
        for _ in 0..5 {
            for k in 0..4 {
                for sign in [-1.0, 1.0] {
                    let mut x = best.1;
                    if k < 2 {
                        x[k] *= if sign > 0.0 { step[k] } else { 1.0 / step[k] };
                    } else {
                        x[k] += sign * step[k];
                    }
                    let w = worth(x);
                    if w > best.0 {
                        best = (w, x);
                    }
                }
            }
            for (k, s) in step.iter_mut().enumerate() {
                *s = if k < 2 { s.sqrt() } else { 0.6 * *s };
            }
        }
        let laid = laid(&evenly(&curve(best.1).collect::<Vec<_>>()), ASIDE, |p| {
            self.grid.index(p).map_or(1.0, |k| self.looks.at(k))
        });
        Some(laid.into_iter().map(|p| self.looks.picture(p)).collect())
    }
}

/// How much a way turns to and fro beyond the turn from the direction in which the outline comes to the one in which it goes on,
/// radians.
fn needless_turning(way: &[Px], from: Px, to: Px) -> f64 {
    let even = respace(&smooth_run(way), CHORD);
    let mut directions = vec![from];
    directions.extend(even.windows(2).map(|w| [w[1][0] - w[0][0], w[1][1] - w[0][1]]));
    directions.push(to);
    let turned: f64 = directions.windows(2).map(|d| turn_of((d[0], d[1])).abs()).sum();
    (turned - turn_of((from, to)).abs()).max(0.0)
}

/// A curve (places a pixel apart) laid onto the line beside it: of all ways at most `aside` pixels off, never more than one
/// further from one place to the next, the one that looks most like a line. The ends stay.
fn laid(curve: &[Px], aside: usize, look: impl Fn(Px) -> f64) -> Vec<Px> {
    let n = curve.len();
    let states = 2 * aside + 1;
    let place = |i: usize, k: usize| {
        let (a, b) = (curve[i.saturating_sub(2)], curve[(i + 2).min(n - 1)]);
        let s = (k as f64 - aside as f64) / distance(a, b).max(1e-9);
        [curve[i][0] - s * (b[1] - a[1]), curve[i][1] + s * (b[0] - a[0])]
    };
    let mut cost = vec![f64::INFINITY; states];
    cost[aside] = 0.0;
    let mut back: Vec<Vec<usize>> = Vec::with_capacity(n);
    for i in 1..n {
        let mut next = vec![f64::INFINITY; states];
        let mut from = vec![aside; states];
        for k in 0..states {
            let look = look(place(i, k));
            for (j, so_far) in cost.iter().enumerate().take(k + 2).skip(k.saturating_sub(1)) {
                let c = so_far + ASIDE_COSTS * j.abs_diff(k) as f64 + look;
                if c < next[k] {
                    (next[k], from[k]) = (c, j);
                }
            }
        }
        cost = next;
        back.push(from);
    }
    let mut k = aside;
    let mut out = Vec::with_capacity(n);
    for i in (0..n).rev() {
        out.push(if i == 0 || i + 1 == n { curve[i] } else { place(i, k) });
        if i > 0 {
            k = back[i - 1][k];
        }
    }
    out.reverse();
    out
}

/// The same curve in places at most a pixel apart.
fn evenly(curve: &[Px]) -> Vec<Px> {
    let long: f64 = curve.windows(2).map(|w| distance(w[0], w[1])).sum();
    respace(curve, long / long.ceil().max(2.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::{Cost, Window};

    const SIDE: usize = 160;

    /// Dark lines along these places, a pixel wide to either side, in metal that looks like none.
    fn drawn(lines: &[Vec<Px>]) -> Cost {
        let mut px = vec![200; SIDE * SIDE];
        for line in lines {
            for p in evenly(line) {
                for (dx, dy) in (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (dx, dy))) {
                    let (x, y) = (p[0].round() as isize + dx, p[1].round() as isize + dy);
                    px[y as usize * SIDE + x as usize] = if dx == 0 && dy == 0 { 1 } else { 60 };
                }
            }
        }
        Cost::from_px(Window { level: 0, x0: 0, y0: 0, w: SIDE, h: SIDE }, px).unwrap()
    }

    /// Half an ellipse below a chord from (60, 70) to (100, 70), so deep.
    fn finger(deep: f64) -> Vec<Px> {
        (0..=60)
            .map(|k| {
                let (sin, cos) = (std::f64::consts::PI * f64::from(k) / 60.0).sin_cos();
                [80.0 - 20.0 * cos, 70.0 + deep * sin]
            })
            .collect()
    }

    fn pieces(tip: Vec<Px>) -> Pieces {
        let straight = |a: Px, b: Px| evenly(&[a, b]);
        vec![
            straight([100.0, 20.0], [60.0, 20.0]),
            straight([60.0, 20.0], [60.0, 70.0]),
            tip,
            straight([100.0, 70.0], [100.0, 20.0]),
        ]
    }

    /// A finger of known depth, cut off by a path across: the curve reaches its tip to within the pixels of the
    /// drawn line (three wide), and is worth more.
    #[test]
    fn the_curve_goes_round_a_tip_that_the_path_cut_off() {
        for deep in [8.0, 16.0, 25.0] {
            let across = pieces(evenly(&[[60.0, 70.0], [100.0, 70.0]]));
            let cost = drawn(&pieces(finger(deep)));
            let looks = Looks::new(&cost);
            let tips =
                Tips::new(&looks, &vec![0.0; SIDE * SIDE], &across, parting(&looks, &across));
            let way = tips.round(&across, &[0; 4], 2).swap_remove(0);
            let lowest = way.iter().map(|p| p[1]).fold(0.0, f64::max);
            assert!((lowest - 70.0 - deep).abs() < 1.5, "{deep}: {lowest}");
            assert_eq!((way[0], way[way.len() - 1]), ([60.0, 70.0], [100.0, 70.0]));
            let worth = tips.worth_of(&[across[2].clone(), way], &across, &[0; 4], 2);
            assert!(worth[1] > worth[0], "{worth:?}");
        }
    }

    /// Where the line runs straight across, so does the curve, though the outline turns round there.
    #[test]
    fn a_line_across_stays_across() {
        let across = pieces(evenly(&[[60.0, 70.0], [100.0, 70.0]]));
        let cost = drawn(&across);
        let looks = Looks::new(&cost);
        let tips = Tips::new(&looks, &vec![0.0; SIDE * SIDE], &across, parting(&looks, &across));
        let way = tips.round(&across, &[0; 4], 2).swap_remove(0);
        assert!(way.iter().all(|p| (p[1] - 70.0).abs() < 1.5), "{way:?}");
    }

    /// By hand: a straight way and half a circle between upright tangents turn no more than they must; a notch with four square
    /// corners turns by four right angles to and fro, and comes to nothing between its ends.
    #[test]
    fn a_notch_turns_needlessly_and_a_tip_does_not() {
        let line = evenly(&[[20.0, 50.0], [120.0, 80.0]]);
        assert!(needless_turning(&line, [10.0, 3.0], [10.0, 3.0]) < 1e-9);
        let tip = evenly(&finger(20.0));
        assert!(needless_turning(&tip, [0.0, 1.0], [0.0, -1.0]) < 0.05);
        let notch: Vec<Px> =
            [[0.0, 0.0], [40.0, 0.0], [40.0, 40.0], [80.0, 40.0], [80.0, 0.0], [120.0, 0.0]].into();
        let turning = needless_turning(&evenly(&notch), [1.0, 0.0], [1.0, 0.0]);
        assert!((turning - std::f64::consts::TAU).abs() < 0.05, "{turning}");
    }

    /// A straight line 4 pixels below a straight curve: laid onto it, its ends apart.
    #[test]
    fn a_curve_is_laid_onto_the_line_beside_it() {
        let look = |p: Px| if (p[1] - 54.0).abs() < 0.5 { 0.0 } else { 0.8 };
        let curve = evenly(&[[20.0, 50.0], [120.0, 50.0]]);
        let laid = laid(&curve, 6, look);
        assert_eq!((laid[0], laid[100]), (curve[0], curve[100]));
        assert!(laid[10..90].iter().all(|p| (p[1] - 54.0).abs() < 1e-9));
    }
}
