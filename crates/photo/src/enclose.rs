//! Other ways between set points: round the tips that a least-cost path cuts off.
//!
//! ```text
//!       │    │        A least-cost path takes the short way across a finger where the way round its tip is long and faint.
//!     p ●┄┄┄┄● q      The metal beyond the short way tells: if it looks like what lies inside the zone, the boundary goes
//!       ╲    ╱        round it.
//!        ╲__╱
//! ```
//!
//! Which pieces are in doubt at all is told here ([`doubtful`]). Each pixel near the path goes with the zone or with its
//! surroundings, whichever its lightness and roughness are likelier in (histograms 3 to 12 level pixels inside and outside the
//! path where it follows a line), and parting two neighbours costs little on a line: the cheapest cut of all
//! ([`crate::least_cut`]). Only what differs from the path by more than slivers counts. The other way round a tip, a smooth
//! curve, is [`crate::tip`]'s.
//!
//! How far a piece may leave the path depends on how much the outline turns from the piece before to the piece after: a
//! flank hardly, a tip by a few times the height of the arc with those tangents.
//!
//! Source: own; the cut is that of Y. Boykov, M.-P. Jolly, *Interactive graph cuts*, ICCV 2001 (recalled, not read for this
//! file), lengths on the grid weighed as there usual (Cauchy and Crofton). Weights were tried on drawn sections
//! (`examples/drawn_coverage`): from 0.02 to 0.05 a pixel of metal counts about as much as evidence does on the whole.
//!
//! Guarantees: ways start and end at (or within a few pixels of) the set points, in order; nothing is offered that differs
//! from the path by slivers alone. Not covered: colour; zones in several pieces.

use crate::evidence::{Cost, Window};
use crate::least_cut::LeastCut;
use crate::pyramid::{Plane, level_from_picture, picture_from_level, size_of_pixel};
use crate::trace::{area, distance, squared};

type Px = [f64; 2];

/// Pieces of an outline between its set points, in order, each with both its ends; picture pixels.
pub(crate) type Pieces = Vec<Vec<Px>>;

/// Half the length over which a path's looks are averaged, places.
const HALF_WINDOW: usize = 4;
/// A place looks like a line when its surroundings on the path come below this (0 a line, 1 none), and like none above the
/// second.
const LIKE_A_LINE: f64 = 0.4;
const UNLIKE_A_LINE: f64 = 0.5;
/// So many places in a row that look like no line put a piece in doubt; so many where it may have cut something off.
const DOUBTFUL_RUN: usize = 12;
pub(crate) const SHORT_RUN: usize = 3;
/// A piece over which the outline turns by as much as this (radians) may go round a tip.
const HALF_TURN: f64 = 1.5;
/// A piece that turns by more than this (radians) and bulges less than this share of the arc with its tangents is in doubt, too.
const TURNS: f64 = 0.8;
const CUT_SHORT: f64 = 0.8;
/// Looks above which a piece is in doubt however it runs, and below which it is not, in shares of what parts line from metal.
const UNSURE: f64 = 0.85;
const SURE: f64 = 0.3;
/// Places over which directions before and after a piece are taken.
pub(crate) const TANGENT: usize = 10;
/// How far a piece may leave the path: pixels, shares of its chord, arcs with its tangents, shares of the whole outline.
const REACH_PX: f64 = 4.0;
const REACH_CHORD: f64 = 0.1;
const REACH_ARCS: f64 = 4.0;
const REACH_MOST: f64 = 0.15;
/// How fast it may leave it beyond a set point.
const REACH_GROWS: f64 = 1.5;
/// Pixels from a set point in which the boundary keeps to the path, and how near.
const HOLD: f64 = 3.0;
const HOLD_WITHIN: f64 = 2.0;
/// What a boundary costs for each pixel of length where it follows a line.
const BEND: f64 = 0.02;
/// Costs are whole numbers of this part.
const UNIT: f64 = 1000.0;
/// Most that one pixel's looks may count.
const MOST_LIKELY: f64 = 2.0;
/// A difference into which a disc of this radius does not fit is a sliver, pixels.
const SLIVER: f64 = 2.5;

/// How little the pixels of a window look like a line: 0 as much as can be, 1 not at all.
pub(crate) struct Looks<'a> {
    cost: &'a Cost,
    least: f64,
}

impl<'a> Looks<'a> {
    pub(crate) fn new(cost: &'a Cost) -> Self {
        Self { cost, least: f64::from(cost.px().iter().copied().min().unwrap_or(1)) }
    }

    /// The window's pixels.
    pub(crate) fn grid(&self) -> Grid {
        let w = self.cost.window();
        Grid { w: w.w, h: w.h }
    }

    /// A place of the picture on the window.
    pub(crate) fn on(&self, p: Px) -> Px {
        let w = self.cost.window();
        let p = level_from_picture(w.level, p);
        [p[0] - w.x0 as f64, p[1] - w.y0 as f64]
    }

    /// A place of the window on the picture.
    pub(crate) fn picture(&self, p: Px) -> Px {
        let w = self.cost.window();
        picture_from_level(w.level, [p[0] + w.x0 as f64, p[1] + w.y0 as f64])
    }

    pub(crate) fn at(&self, index: usize) -> f64 {
        let c = f64::from(self.cost.px()[index]);
        ((c - self.least) / (255.0 - self.least).max(1.0)).clamp(0.0, 1.0)
    }

    fn at_picture(&self, p: Px) -> f64 {
        let (x, y, _) = self.cost.window().pixel(p);
        self.at(y * self.cost.window().w + x)
    }

    /// On average over a way.
    pub(crate) fn mean(&self, way: &[Px]) -> f64 {
        way.iter().map(|&p| self.at_picture(p)).sum::<f64>() / way.len().max(1) as f64
    }

    /// Along a way, averaged over its neighbours.
    fn along(&self, way: &[Px]) -> Vec<f64> {
        let each: Vec<f64> = way.iter().map(|&p| self.at_picture(p)).collect();
        let n = each.len();
        (0..n)
            .map(|k| {
                let part = &each[k.saturating_sub(HALF_WINDOW)..(k + HALF_WINDOW + 1).min(n)];
                part.iter().sum::<f64>() / part.len() as f64
            })
            .collect()
    }
}

/// The pieces before and after a piece.
fn beside(pieces: &Pieces, i: usize) -> (&[Px], &[Px]) {
    let n = pieces.len();
    (&pieces[(i + n - 1) % n], &pieces[(i + 1) % n])
}

/// Places, from each set point on, over which the piece that comes to it and the one that leaves it run on the same pixels: the
/// path goes out from the point to a line beside it, and comes back.
pub(crate) fn spurs(pieces: &Pieces, size: f64) -> Vec<usize> {
    (0..pieces.len())
        .map(|i| {
            let (before, _) = beside(pieces, i);
            let here = &pieces[i];
            let most = (before.len() / 2).min(here.len() / 2);
            let apart = |j: usize| distance(before[before.len() - 1 - j], here[j]);
            (0..most).rev().find(|&j| apart(j) <= 1.5 * size).unwrap_or(0)
        })
        .collect()
}

/// A spur as long as this tells that the line beside a set point is not the one that was meant, places.
pub(crate) const SPUR: usize = 4;

/// The directions (not of unit length) in which the outline arrives at a piece and leaves it, over so many places; past a spur
/// at its start or end, from the set point before to the one after.
pub(crate) fn tangents(pieces: &Pieces, i: usize, past: [bool; 2]) -> (Px, Px) {
    let (before, after) = beside(pieces, i);
    let (p, q) = (pieces[i][0], pieces[i][pieces[i].len() - 1]);
    let a = before[before.len() - 1 - TANGENT.min(before.len() - 1)];
    let b = after[TANGENT.min(after.len() - 1)];
    let u = if past[0] {
        [q[0] - before[0][0], q[1] - before[0][1]]
    } else {
        [p[0] - a[0], p[1] - a[1]]
    };
    let to = after[after.len() - 1];
    let v = if past[1] { [to[0] - p[0], to[1] - p[1]] } else { [b[0] - q[0], b[1] - q[1]] };
    (u, v)
}

/// By how much the outline turns over a piece, radians, positive to the right on the screen.
fn turn(pieces: &Pieces, i: usize) -> f64 {
    turn_of(tangents(pieces, i, [false; 2]))
}

/// The angle from one direction to another.
pub(crate) fn turn_of((u, v): (Px, Px)) -> f64 {
    (u[0] * v[1] - u[1] * v[0]).atan2(u[0] * v[0] + u[1] * v[1])
}

/// The places of a piece, if any, over which it follows no line: from the first to the last of runs long enough to tell.
pub(crate) fn astray(looks: &Looks<'_>, piece: &[Px], least: usize) -> Option<(usize, usize)> {
    let mut found: Option<(usize, usize)> = None;
    let mut run = 0;
    for (k, look) in looks.along(piece).into_iter().enumerate() {
        run = if look > UNLIKE_A_LINE { run + 1 } else { 0 };
        if run >= least {
            found = Some((found.map_or(k + 1 - run, |f| f.0), k));
        }
    }
    found
}

/// Which pieces may have cut something off or followed another line: they follow none over a while, or hardly look like one,
/// or run straight on where the outline turns round, or leave a set point by the way they came. No piece may be empty.
pub(crate) fn doubtful(
    looks: &Looks<'_>,
    pieces: &Pieces,
    spurs: &[usize],
    usual: f64,
) -> Vec<bool> {
    let size = size_of_pixel(looks.cost.window().level);
    let way: Vec<Px> = pieces.iter().flatten().copied().collect();
    let clockwise = area(&way).signum();
    let n = pieces.len();
    (0..n)
        .map(|i| {
            let s = &pieces[i];
            let look = looks.mean(s);
            let unsure = look > SURE * usual || astray(looks, s, SHORT_RUN).is_some();
            let cut_short = distance(s[0], s[s.len() - 1]) > 6.0 * size
                && bulge(pieces, i, clockwise).is_some_and(|b| b < CUT_SHORT);
            let half_turn = turn(pieces, i).abs() > HALF_TURN;
            astray(looks, s, DOUBTFUL_RUN).is_some()
                || look > UNSURE * usual
                || unsure && (cut_short || half_turn)
                || spurs[i].max(spurs[(i + 1) % n]) >= SPUR
        })
        .collect()
}

/// How far a piece bulges outward at most, in heights of the arc over its chord that has its tangents; nothing where the outline
/// does not turn round.
fn bulge(pieces: &Pieces, i: usize, clockwise: f64) -> Option<f64> {
    let s = &pieces[i];
    let (p, q) = (s[0], s[s.len() - 1]);
    let chord = distance(p, q);
    let round = turn(pieces, i) * clockwise;
    // Next to a half turn the sign is chance.
    let round = if round < -2.8 { round + std::f64::consts::TAU } else { round };
    if round < TURNS || chord < 1e-9 {
        return None;
    }
    let out = [clockwise * (q[1] - p[1]) / chord, -clockwise * (q[0] - p[0]) / chord];
    let high =
        s.iter().map(|a| (a[0] - p[0]) * out[0] + (a[1] - p[1]) * out[1]).fold(0.0, f64::max);
    Some(high / (0.5 * chord * (0.25 * round).tan()))
}

/// What enclosing metal starts from, in pixels of the window.
pub(crate) struct Zone<'a> {
    looks: &'a Looks<'a>,
    grid: Grid,
    points: Vec<Px>,
    pull: f64,
    /// Inside the path.
    inside: Vec<bool>,
    /// Where the boundary may lie.
    free: Vec<bool>,
    /// How much likelier a pixel's looks are inside than outside, logarithm of the ratio.
    likely: Vec<f64>,
}

impl<'a> Zone<'a> {
    /// `plane` is the looks' level; points and pieces lie on the picture, `pull` is how far a set point may be off there.
    pub(crate) fn new(
        plane: &Plane,
        looks: &'a Looks<'a>,
        points: &[Px],
        pieces: &Pieces,
        pull: f64,
    ) -> Self {
        let w = looks.cost.window();
        let on = |part: &Vec<Px>| part.iter().map(|&p| looks.on(p)).collect();
        let here: Pieces = pieces.iter().map(on).collect();
        let points: Vec<Px> = points.iter().map(|&p| looks.on(p)).collect();
        let pull = pull / size_of_pixel(w.level);
        let way: Vec<Px> = here.iter().flatten().copied().collect();
        let grid = looks.grid();
        let inside = grid.filled(&way);
        let like_a_line: Vec<bool> =
            pieces.iter().flat_map(|s| looks.along(s)).map(|look| look < LIKE_A_LINE).collect();
        Self {
            looks,
            grid,
            free: free(grid, &here, &way, &points, pull),
            likely: likely(plane, w, &inside, &way, &like_a_line),
            points,
            pull,
            inside,
        }
    }

    /// How much likelier each pixel is the zone's metal, logarithm of the ratio.
    pub(crate) fn likely(&self) -> &[f64] {
        &self.likely
    }

    /// The pieces with the metal enclosed that goes with the zone, one for each weight that a pixel's looks may count beside its
    /// evidence; none where that differs from the path by slivers only, or makes no outline through the set points.
    pub(crate) fn enclosed(&self, weights: &[f64]) -> Vec<Pieces> {
        self.cuts(weights).iter().filter_map(|cut| self.with_metal(cut)).collect()
    }

    fn with_metal(&self, cut: &[bool]) -> Option<Pieces> {
        let Self { grid, inside, .. } = self;
        let more: Vec<bool> = (0..grid.n()).map(|i| cut[i] && !inside[i]).collect();
        let less: Vec<bool> = (0..grid.n()).map(|i| !cut[i] && inside[i]).collect();
        let (more, less) = (grid.opened(&more, SLIVER), grid.opened(&less, SLIVER));
        if !more.iter().chain(&less).any(|d| *d) {
            return None;
        }
        let mine: Vec<bool> = (0..grid.n()).map(|i| (inside[i] || more[i]) && !less[i]).collect();
        let contour = grid.boundary(&mine)?;
        let found = between(&contour, &self.points, self.pull + 2.0 * HOLD)?;
        let picture = |part: Vec<Px>| part.into_iter().map(|p| self.looks.picture(p)).collect();
        Some(found.into_iter().map(picture).collect())
    }

    /// The cheapest cut for each weight: which pixels are in. None when nothing is free.
    fn cuts(&self, weights: &[f64]) -> Vec<Vec<bool>> {
        let Self { grid, inside, free, .. } = self;
        let nodes: Vec<usize> = (0..grid.n()).filter(|&i| free[i]).collect();
        if nodes.is_empty() {
            return Vec::new();
        }
        let mut number = vec![usize::MAX; grid.n()];
        for (k, &i) in nodes.iter().enumerate() {
            number[i] = k;
        }
        let look: Vec<f64> = (0..grid.n()).map(|i| self.looks.at(i)).collect();
        let mut network = LeastCut::new(nodes.len());
        // What ties a pixel to its neighbours that are not free.
        let mut held = vec![0.0; nodes.len()];
        for (k, &i) in nodes.iter().enumerate() {
            for (j, length) in grid.neighbours(i) {
                let c = length * (0.5 * (look[i] + look[j]) + BEND);
                match number[j] {
                    usize::MAX => held[k] += if inside[j] { c } else { -c },
                    other if j > i => network.join(k, other, (c * UNIT) as i32),
                    _ => {}
                }
            }
        }
        let mut tied = vec![0; nodes.len()];
        let cut = |weight: &f64| {
            for (k, &i) in nodes.iter().enumerate() {
                let tie = ((weight * self.likely[i] + held[k]) * UNIT) as i32;
                network.tie(k, tie - tied[k]);
                tied[k] = tie;
            }
            let mut out = inside.clone();
            for (&i, found) in nodes.iter().zip(network.inside()) {
                out[i] = found;
            }
            out
        };
        weights.iter().map(cut).collect()
    }
}

/// How far a piece may leave its chord (or the path), given by how much the outline turns over it and how long it is.
pub(crate) fn reach(chord: f64, turn: f64, whole: f64) -> f64 {
    // The height of an arc with these tangents over its chord; a finger is a few times as long.
    let arc = 0.5 * chord * (0.25 * turn.abs()).tan();
    (REACH_PX + REACH_CHORD * chord + REACH_ARCS * arc).min(REACH_MOST * whole)
}

/// Where the boundary may lie: pixels within each place's reach.
fn free(grid: Grid, pieces: &Pieces, way: &[Px], points: &[Px], pull: f64) -> Vec<bool> {
    let whole: f64 = (0..way.len()).map(|i| distance(way[i], way[(i + 1) % way.len()])).sum();
    let hold = pull + HOLD_WITHIN;
    let mut free = vec![false; grid.n()];
    for (i, s) in pieces.iter().enumerate() {
        let chord = distance(s[0], s[s.len() - 1]);
        let most = reach(chord, turn(pieces, i), whole).max(hold);
        let mut along = vec![0.0; s.len()];
        for k in 1..s.len() {
            along[k] = along[k - 1] + distance(s[k], s[k - 1]);
        }
        let long = along[s.len() - 1];
        for (p, at) in s.iter().zip(&along) {
            let reach = (hold + REACH_GROWS * at.min(long - at)).min(most);
            grid.within(*p, reach, |k, _| free[k] = true);
        }
    }
    for p in points {
        let wide = hold + HOLD;
        let near: Vec<Px> =
            way.iter().filter(|q| distance(**q, *p) < 2.0 * wide).copied().collect();
        grid.within(*p, wide, |k, at| {
            if near.iter().all(|q| squared(*q, at) > hold * hold) {
                free[k] = false;
            }
        });
    }
    free
}

/// For each pixel, how much likelier its looks are inside than outside (logarithm of the ratio).
fn likely(plane: &Plane, w: Window, inside: &[bool], way: &[Px], good: &[bool]) -> Vec<f64> {
    let grid = Grid { w: w.w, h: w.h };
    let bins = looks_of(plane, w);
    let mut counts = [vec![0.0; BINS], vec![0.0; BINS]];
    let m = way.len();
    for i in (0..m).filter(|&i| good[i]) {
        let (a, b) = (way[(i + m - 3) % m], way[(i + 3) % m]);
        let d = distance(a, b);
        if d < 1.0 {
            continue;
        }
        let normal = [-(b[1] - a[1]) / d, (b[0] - a[0]) / d];
        for s in (3..=12).flat_map(|k| [f64::from(k), -f64::from(k)]) {
            if let Some(k) = grid.index([way[i][0] + s * normal[0], way[i][1] + s * normal[1]]) {
                counts[usize::from(inside[k])][bins[k]] += 1.0;
            }
        }
    }
    let [outer, inner] = counts.map(|c| shares(&c));
    bins.iter().map(|&b| (inner[b] / outer[b]).ln().clamp(-MOST_LIKELY, MOST_LIKELY)).collect()
}

/// Bins of lightness and of roughness.
const LIGHT: usize = 32;
const ROUGH: usize = 16;
const BINS: usize = LIGHT * ROUGH;

/// The bin of each pixel: mean lightness over 5 x 5 pixels, logarithm of its standard deviation over 7 x 7, each stretched
/// to what the window shows.
fn looks_of(plane: &Plane, w: Window) -> Vec<usize> {
    let grid = Grid { w: w.w, h: w.h };
    let mut px = Vec::with_capacity(grid.n());
    for y in w.y0..w.y0 + w.h {
        for x in w.x0..w.x0 + w.w {
            px.push(f64::from(plane.at(x as isize, y as isize)) / 65535.0);
        }
    }
    let square: Vec<f64> = px.iter().map(|v| v * v).collect();
    let (mean, square) = (grid.means(&px, 3), grid.means(&square, 3));
    let rough =
        square.iter().zip(&mean).map(|(q, m)| (q - m * m).max(0.0).sqrt().max(1e-4).ln()).collect();
    let light = stretched(grid.means(&px, 2), LIGHT);
    light.into_iter().zip(stretched(rough, ROUGH)).map(|(l, r)| l * ROUGH + r).collect()
}

/// Values in bins between their 2nd and 98th percentile.
fn stretched(values: Vec<f64>, bins: usize) -> Vec<usize> {
    let mut sorted = values.clone();
    sorted.sort_by(f64::total_cmp);
    let skip = sorted.len() / 50;
    let (low, high) = match (sorted.get(skip), sorted.get(sorted.len().saturating_sub(1 + skip))) {
        (Some(&low), Some(&high)) => (low, high),
        _ => (0.0, 1.0),
    };
    let scale = bins as f64 / (high - low).max(1e-9);
    values.into_iter().map(|v| (((v - low) * scale).max(0.0) as usize).min(bins - 1)).collect()
}

/// Shares of the bins, spread over their neighbours (a Gaussian of one bin), none of them zero.
fn shares(counts: &[f64]) -> Vec<f64> {
    let mut out = vec![0.0; BINS];
    for (k, out) in out.iter_mut().enumerate() {
        let (a, b) = ((k / ROUGH) as isize, (k % ROUGH) as isize);
        for (da, db) in (-2..=2).flat_map(|da| (-2..=2).map(move |db| (da, db))) {
            let (x, y) = (a + da, b + db);
            if (0..LIGHT as isize).contains(&x) && (0..ROUGH as isize).contains(&y) {
                let weight = (-0.5 * (da * da + db * db) as f64).exp() / std::f64::consts::TAU;
                *out += weight * counts[x as usize * ROUGH + y as usize];
            }
        }
    }
    let total: f64 = out.iter().sum::<f64>() + 1.0;
    // As if twenty more pixels had been seen, spread evenly.
    out.iter().map(|v| (v + 20.0 / BINS as f64) / total).collect()
}

/// The pieces of a closed contour between the places nearest to the set points; nothing when one lies farther off than
/// `within`, or when their order is another.
fn between(contour: &[Px], points: &[Px], within: f64) -> Option<Pieces> {
    let l = contour.len();
    let near: Vec<usize> = points
        .iter()
        .map(|p| {
            (0..l)
                .min_by(|&a, &b| distance(contour[a], *p).total_cmp(&distance(contour[b], *p)))
                .filter(|&k| distance(contour[k], *p) <= within)
        })
        .collect::<Option<_>>()?;
    let n = near.len();
    let forward = |a: usize, b: usize| (b + l - a) % l;
    let round = |step: &dyn Fn(usize) -> usize| (0..n).map(step).sum::<usize>() == l;
    let ahead = round(&|i| forward(near[i], near[(i + 1) % n]));
    if !ahead && !round(&|i| forward(near[(i + 1) % n], near[i])) {
        return None;
    }
    Some(
        (0..n)
            .map(|i| {
                let (a, b) = (near[i], near[(i + 1) % n]);
                let (from, to) = if ahead { (a, b) } else { (b, a) };
                let mut piece: Vec<Px> =
                    (0..=forward(from, to)).map(|k| contour[(from + k) % l]).collect();
                if !ahead {
                    piece.reverse();
                }
                piece
            })
            .collect(),
    )
}

/// Columns and rows of pixels, row after row.
#[derive(Clone, Copy)]
pub(crate) struct Grid {
    pub(crate) w: usize,
    pub(crate) h: usize,
}

impl Grid {
    pub(crate) fn n(self) -> usize {
        self.w * self.h
    }

    /// The pixel in which a place lies, where there is one.
    pub(crate) fn index(self, p: Px) -> Option<usize> {
        let (x, y) = (p[0].round(), p[1].round());
        (x >= 0.0 && y >= 0.0 && x < self.w as f64 && y < self.h as f64)
            .then(|| y as usize * self.w + x as usize)
    }

    /// The eight neighbours, each with the length of boundary that it stands for (Cauchy and Crofton).
    fn neighbours(self, i: usize) -> impl Iterator<Item = (usize, f64)> {
        use std::f64::consts::{FRAC_1_SQRT_2, PI};
        let (x, y) = ((i % self.w) as isize, (i / self.w) as isize);
        (-1..=1).flat_map(move |dy| (-1..=1).map(move |dx| (dx, dy))).filter_map(
            move |(dx, dy): (isize, isize)| {
                let (a, b) = (x + dx, y + dy);
                let there = (dx, dy) != (0, 0)
                    && (0..self.w as isize).contains(&a)
                    && (0..self.h as isize).contains(&b);
                let weight = PI / 8.0 * if dx != 0 && dy != 0 { FRAC_1_SQRT_2 } else { 1.0 };
                there.then(|| (b as usize * self.w + a as usize, weight))
            },
        )
    }

    /// Every pixel within a distance of a place.
    fn within(self, p: Px, reach: f64, mut each: impl FnMut(usize, Px)) {
        let range = |v: f64, side: usize| {
            (v - reach).ceil().max(0.0) as usize
                ..((v + reach).floor() + 1.0).max(0.0).min(side as f64) as usize
        };
        for y in range(p[1], self.h) {
            for x in range(p[0], self.w) {
                let at = [x as f64, y as f64];
                if distance(at, p) <= reach {
                    each(y * self.w + x, at);
                }
            }
        }
    }

    /// Mean over a square of side 2 r + 1, cut to the grid.
    fn means(self, of: &[f64], r: usize) -> Vec<f64> {
        let line = |v: &mut Vec<f64>, n: usize, at: &dyn Fn(usize) -> usize| {
            let before: Vec<f64> = (0..n).map(|k| v[at(k)]).collect();
            for k in 0..n {
                let part = &before[k.saturating_sub(r)..(k + r + 1).min(n)];
                v[at(k)] = part.iter().sum::<f64>() / part.len() as f64;
            }
        };
        let mut out = of.to_vec();
        for y in 0..self.h {
            line(&mut out, self.w, &|k| y * self.w + k);
        }
        for x in 0..self.w {
            line(&mut out, self.h, &|k| k * self.w + x);
        }
        out
    }

    /// Pixels whose centre lies inside a closed way.
    fn filled(self, way: &[Px]) -> Vec<bool> {
        let mut out = vec![false; self.n()];
        for y in 0..self.h {
            // Off the pixels' rows, so that no place of the way lies on it.
            let v = y as f64 + 1e-6;
            let mut crossings: Vec<f64> = (0..way.len())
                .filter_map(|i| {
                    let (a, b) = (way[i], way[(i + 1) % way.len()]);
                    ((a[1] > v) != (b[1] > v))
                        .then(|| a[0] + (v - a[1]) / (b[1] - a[1]) * (b[0] - a[0]))
                })
                .collect();
            crossings.sort_by(f64::total_cmp);
            for pair in crossings.chunks_exact(2) {
                let to = (pair[1].floor() + 1.0).max(0.0) as usize;
                for x in pair[0].ceil().max(0.0) as usize..to.min(self.w) {
                    out[y * self.w + x] = true;
                }
            }
        }
        out
    }

    /// What a disc of this radius fits into.
    fn opened(self, of: &[bool], r: f64) -> Vec<bool> {
        let mut out = vec![false; self.n()];
        for i in (0..self.n()).filter(|&i| of[i]) {
            let at = [(i % self.w) as f64, (i / self.w) as f64];
            let room = |v: f64, side: usize| v >= r.floor() && v + r.floor() < side as f64;
            let mut fits = room(at[0], self.w) && room(at[1], self.h);
            self.within(at, r, |k, _| fits &= of[k]);
            if fits {
                self.within(at, r, |k, _| out[k] = true);
            }
        }
        out
    }

    /// The outer boundary of the greatest piece: middles of the pixel sides between in and out, clockwise on the screen.
    fn boundary(self, mine: &[bool]) -> Option<Vec<Px>> {
        let mut piece = vec![0u32; self.n()];
        let (mut greatest, mut size, mut pieces) = (0, 0, 0);
        for start in 0..self.n() {
            if !mine[start] || piece[start] != 0 {
                continue;
            }
            pieces += 1;
            piece[start] = pieces;
            let mut stack = vec![start];
            let mut found = 0;
            while let Some(i) = stack.pop() {
                found += 1;
                let (x, y) = (i % self.w, i / self.w);
                let sides = [
                    (x > 0).then(|| i - 1),
                    (x + 1 < self.w).then_some(i + 1),
                    (y > 0).then(|| i - self.w),
                    (y + 1 < self.h).then_some(i + self.w),
                ];
                for j in sides.into_iter().flatten().filter(|&j| mine[j]) {
                    if piece[j] == 0 {
                        piece[j] = pieces;
                        stack.push(j);
                    }
                }
            }
            if found > size {
                (greatest, size) = (pieces, found);
            }
        }
        let first = piece.iter().position(|&p| p == greatest && p != 0)?;
        let is = |x: isize, y: isize| {
            (0..self.w as isize).contains(&x)
                && (0..self.h as isize).contains(&y)
                && piece[y as usize * self.w + x as usize] == greatest
        };
        // Along the pixels' sides with the piece on the right; corner (x, y) is the upper left one of pixel (x, y).
        let start = ((first % self.w) as isize, (first / self.w) as isize);
        let (mut at, mut step) = (start, (1isize, 0isize));
        let mut out = Vec::new();
        loop {
            out.push([
                at.0 as f64 - 0.5 + 0.5 * step.0 as f64,
                at.1 as f64 - 0.5 + 0.5 * step.1 as f64,
            ]);
            at = (at.0 + step.0, at.1 + step.1);
            // Pixels ahead on the left and on the right of the corner.
            let (left, right) = match step {
                (1, 0) => ((at.0, at.1 - 1), at),
                (0, 1) => (at, (at.0 - 1, at.1)),
                (-1, 0) => ((at.0 - 1, at.1), (at.0 - 1, at.1 - 1)),
                _ => ((at.0 - 1, at.1 - 1), (at.0, at.1 - 1)),
            };
            step = match (is(left.0, left.1), is(right.0, right.1)) {
                (_, false) => (-step.1, step.0),
                (true, true) => (step.1, -step.0),
                (false, true) => step,
            };
            if at == start && step == (1, 0) {
                return Some(out);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const GRID: Grid = Grid { w: 40, h: 30 };

    fn rectangle(x: std::ops::Range<usize>, y: std::ops::Range<usize>) -> Vec<bool> {
        (0..GRID.n()).map(|i| x.contains(&(i % GRID.w)) && y.contains(&(i / GRID.w))).collect()
    }

    /// By counting: a rectangle of 10 x 6 pixels has 32 sides, around an area of 60.
    #[test]
    fn the_boundary_of_a_rectangle_is_its_sides() {
        let contour = GRID.boundary(&rectangle(5..15, 8..14)).unwrap();
        assert_eq!(contour.len(), 32);
        assert!(area(&contour) > 0.0);
        assert!(
            contour.iter().all(|p| (4.5..=14.5).contains(&p[0]) && (7.5..=13.5).contains(&p[1]))
        );
        assert_eq!(GRID.boundary(&vec![false; GRID.n()]), None);
        // The whole grid has its frame for a boundary.
        assert_eq!(GRID.boundary(&vec![true; GRID.n()]).unwrap().len(), 2 * (40 + 30));
    }

    /// A way along the pixels' sides fills the pixels between.
    #[test]
    fn what_a_boundary_encloses_is_filled_again() {
        let mine = rectangle(5..15, 8..14);
        let corners = [[4.5, 7.5], [14.5, 7.5], [14.5, 13.5], [4.5, 13.5]];
        assert_eq!(GRID.filled(&corners), mine);
    }

    /// A disc of radius 2.5 is 5 pixels wide: it fits into a stripe of 5 rows and not into one of 4.
    #[test]
    fn slivers_are_opened_away() {
        assert!(GRID.opened(&rectangle(3..30, 10..14), SLIVER).iter().all(|o| !o));
        assert!(GRID.opened(&rectangle(3..30, 10..15), SLIVER)[12 * GRID.w + 15]);
    }

    /// Crofton's weights make straight boundaries as long as they are: on a grid line exactly pi/8 (1 + root 2) of its
    /// length, 0.948, and the same along the diagonal, by symmetry of the eight directions to within 8 %.
    #[test]
    fn the_boundary_of_a_half_plane_costs_its_length() {
        let long = |inside: &dyn Fn(f64, f64) -> bool| -> f64 {
            let i = 15 * GRID.w + 20;
            // What one pixel's row of parted neighbours costs for each pixel along the line.
            let (x, y) = (20.0, 15.0);
            (-3..=3)
                .map(|k| {
                    let j = (i as isize + k * GRID.w as isize) as usize;
                    let yy = y + k as f64;
                    GRID.neighbours(j)
                        .filter(|(n, _)| {
                            inside(x, yy) && !inside((n % GRID.w) as f64, (n / GRID.w) as f64)
                        })
                        .map(|(_, w)| w)
                        .sum::<f64>()
                })
                .sum()
        };
        let level = long(&|_, y| y < 15.0);
        let want = std::f64::consts::PI / 8.0 * (1.0 + std::f64::consts::SQRT_2);
        assert!((level - want).abs() < 1e-12, "{level}");
        let diagonal = long(&|x, y| x + y < 35.0) / std::f64::consts::SQRT_2;
        assert!((diagonal / level - 1.0).abs() < 0.08, "{diagonal} {level}");
    }
}
