//! The cheapest way from one pixel to another: the *guided path* that snaps to a line between two set points.
//!
//! ```text
//!    5 6 7      A map holds, for each pixel of a window, the step that leads home to the seed: 0 right,
//!    4 ● 0      1 right and down, 2 down ... 7 right and up (255 at the seed itself and where nothing
//!    3 2 1      was reached). Whoever holds a map only walks.
//! ```
//!
//! A step along a side costs 5, across a corner 7 (7/5 = 1.4 for the root of two), times the mean cost of both pixels.
//! Costs are small integers, so the queue is a ring of buckets and each step is constant work. A bucket is as wide as
//! the cheapest step allows: what lies in one bucket cannot shorten anything else in it, so it is taken out in any
//! order. With costs from 25 to 255 a ring of 32 is enough.
//!
//! Source: E. W. Dijkstra, *A note on two problems in connexion with graphs*, Numerische Mathematik 1 (1959);
//! buckets: R. B. Dial, *Algorithm 360*, Communications of the ACM 12 (1969); their width: E. A. Dinitz (1978), as
//! usually quoted. All three recalled, not read for this file.
//!
//! Guarantees: the path is a cheapest one (a test compares it with plain relaxation until nothing changes);
//! its cost does not depend on which end is the seed; equal ways are settled the same way each time.
//!
//! Not covered: a path that leaves the window; sub-pixel places ([`crate::refine`]).

use crate::evidence::{Cost, Window};
use crate::pyramid::{level_from_picture, picture_from_level};

/// The eight steps (columns, rows): to the right, then clockwise on the screen.
pub const STEPS: [(isize, isize); 8] =
    [(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1)];

/// No step: the seed, or not reached.
pub const NONE: u8 = 255;

/// The longest side of a map.
pub const LONGEST_MAP: usize = 768;
/// How much wider than the box of its ends a way may lie: a share of the box's longer side, and level pixels at least. Two
/// points on the flanks of a finger lie close together, and the way between them goes round its tip.
const AROUND: f64 = 0.25;
const LEAST_AROUND: f64 = 48.0;

/// The dearest step: across a corner between two pixels of cost 255.
const DEAREST_STEP: u32 = 7 * (255 + 255);

/// For each pixel of a window, the step towards the seed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Map {
    /// Where it lies.
    pub window: Window,
    /// Row after row: 0 to 7 an index into [`STEPS`], [`NONE`] at the seed and where nothing was reached.
    pub directions: Vec<u8>,
}

impl Map {
    /// The way from a place of the picture to the seed, pixel by pixel in the picture's frame, its own pixel first.
    ///
    /// `None` outside the window; only the pixel itself where nothing was reached.
    pub fn walk(&self, from: [f64; 2]) -> Option<Vec<[f64; 2]>> {
        let (x, y, inside) = self.window.pixel(from);
        if !inside {
            return None;
        }
        Some(
            self.walk_pixels(x, y)
                .into_iter()
                .map(|(x, y)| picture_of(self.window, x, y))
                .collect(),
        )
    }

    fn walk_pixels(&self, mut x: usize, mut y: usize) -> Vec<(usize, usize)> {
        let mut way = vec![(x, y)];
        // A map made elsewhere could turn in a circle: no way is longer than the window has pixels.
        while way.len() <= self.directions.len() {
            let Some(&direction) = self.directions.get(y * self.window.w + x) else { break };
            let Some(&(dx, dy)) = STEPS.get(usize::from(direction)) else { break };
            let (nx, ny) = (x.wrapping_add_signed(dx), y.wrapping_add_signed(dy));
            if nx >= self.window.w || ny >= self.window.h {
                break;
            }
            (x, y) = (nx, ny);
            way.push((x, y));
        }
        way
    }
}

fn picture_of(window: Window, x: usize, y: usize) -> [f64; 2] {
    picture_from_level(window.level, [(window.x0 + x) as f64, (window.y0 + y) as f64])
}

/// The map of the ways to a seed, over at most 768 x 768 pixels of the cost's window.
///
/// The seed is drawn to the nearest pixel of that window. With a second place, the map lies around both (their
/// box and a quarter more); without, in the middle around the seed.
pub fn map(cost: &Cost, seed: [f64; 2], other: Option<[f64; 2]>) -> Map {
    let window = part(cost.window(), seed, other, LONGEST_MAP);
    let grid = Grid::new(cost, window);
    let (x, y, _) = window.pixel(seed);
    let found = grid.search((x, y), None);
    Map { window, directions: found.directions() }
}

/// The cheapest path between two places, both ends included, pixel centres in the picture's frame.
///
/// It stays in the box of both and a quarter of its longer side more (at least 48 level pixels).
pub fn between(cost: &Cost, from: [f64; 2], to: [f64; 2]) -> Vec<[f64; 2]> {
    let window = part(cost.window(), from, Some(to), usize::MAX);
    let grid = Grid::new(cost, window);
    let (sx, sy, _) = window.pixel(to);
    let (x, y, _) = window.pixel(from);
    let found = grid.search((sx, sy), Some((x, y)));
    let map = Map { window, directions: found.directions() };
    map.walk_pixels(x, y).into_iter().map(|(x, y)| picture_of(window, x, y)).collect()
}

/// The pixel within `radius` (picture pixels) of `near` through which the way from `from` to `to` is cheapest.
///
/// Of equally cheap ones the nearest to `near`.
pub(crate) fn gate(
    cost: &Cost,
    from: [f64; 2],
    near: [f64; 2],
    to: [f64; 2],
    radius: f64,
) -> [f64; 2] {
    let reach = [[near[0] - radius, near[1] - radius], [near[0] + radius, near[1] + radius]];
    let ends = [from, to, reach[0], reach[1]];
    let window = part_around(cost.window(), &ends, usize::MAX);
    let grid = Grid::new(cost, window);
    let size = crate::pyramid::size_of_pixel(window.level);
    let (nx, ny, _) = window.pixel(near);
    let r = (radius / size).ceil() as usize;
    let mut best = (f64::INFINITY, f64::INFINITY, near);
    let (fx, fy, _) = window.pixel(from);
    let (tx, ty, _) = window.pixel(to);
    let (first, second) = rayon::join(
        || grid.search_around((fx, fy), (nx, ny), r),
        || grid.search_around((tx, ty), (nx, ny), r),
    );
    for y in ny.saturating_sub(r)..=(ny + r).min(window.h - 1) {
        for x in nx.saturating_sub(r)..=(nx + r).min(window.w - 1) {
            let p = picture_of(window, x, y);
            let apart = (p[0] - near[0]).hypot(p[1] - near[1]);
            if apart > radius {
                continue;
            }
            let (Some(a), Some(b)) = (first.length(x, y), second.length(x, y)) else { continue };
            let length = f64::from(a) + f64::from(b);
            if (length, apart) < (best.0, best.1) {
                best = (length, apart, p);
            }
        }
    }
    best.2
}

fn part(whole: Window, a: [f64; 2], b: Option<[f64; 2]>, most: usize) -> Window {
    match b {
        Some(b) => part_around(whole, &[a, b], most),
        None => {
            let p = level_from_picture(whole.level, a);
            let half = most as f64 / 2.0;
            let box_of = |d: f64| picture_from_level(whole.level, [p[0] + d, p[1] + d]);
            clip(whole, &[box_of(-half), box_of(half - 1.0)], 0.0, most, a)
        }
    }
}

fn part_around(whole: Window, points: &[[f64; 2]], most: usize) -> Window {
    let on_level: Vec<_> = points.iter().map(|&p| level_from_picture(whole.level, p)).collect();
    let (low, high) = crate::evidence::span(&on_level);
    let margin = (AROUND * (high[0] - low[0]).max(high[1] - low[1])).max(LEAST_AROUND);
    clip(whole, points, margin, most, points.first().copied().unwrap_or_default())
}

/// The box of some points and a margin inside a window, at most `most` pixels a side, the seed kept inside.
fn clip(whole: Window, points: &[[f64; 2]], margin: f64, most: usize, seed: [f64; 2]) -> Window {
    let on_level: Vec<_> = points.iter().map(|&p| level_from_picture(whole.level, p)).collect();
    let (low, high) = crate::evidence::span(&on_level);
    let (sx, sy, _) = whole.pixel(seed);
    let side = |low: f64, high: f64, first: usize, count: usize, seed: usize| {
        let cut = |v: f64| (v - first as f64).clamp(0.0, count as f64 - 1.0) as usize;
        let (mut a, mut b) = (cut((low - margin).floor()), cut((high + margin).ceil()));
        (a, b) = (a.min(seed), b.max(seed));
        if b - a + 1 > most {
            // Too long: keep the seed and, of the rest, what lies nearest to it.
            let spare = most - 1;
            a = a.max(seed.saturating_sub(spare / 2)).min(b - spare);
            b = a + spare;
        }
        (a, b - a + 1)
    };
    let (x, w) = side(low[0], high[0], whole.x0, whole.w, sx);
    let (y, h) = side(low[1], high[1], whole.y0, whole.h, sy);
    Window { level: whole.level, x0: whole.x0 + x, y0: whole.y0 + y, w, h }
}

/// The costs of a window with a border that no path enters.
struct Grid {
    w: usize,
    h: usize,
    stride: usize,
    cost: Vec<u8>,
    cheapest: u8,
}

/// Lengths of the ways to a seed and the steps towards it, both with the border.
struct Found {
    w: usize,
    stride: usize,
    length: Vec<u32>,
    step: Vec<u8>,
}

impl Grid {
    fn new(cost: &Cost, window: Window) -> Self {
        let whole = cost.window();
        let stride = window.w + 2;
        let mut px = vec![0u8; stride * (window.h + 2)];
        let (dx, dy) = (window.x0 - whole.x0, window.y0 - whole.y0);
        for (y, row) in px.chunks_mut(stride).skip(1).take(window.h).enumerate() {
            row[1..=window.w].copy_from_slice(&cost.px()[(dy + y) * whole.w + dx..][..window.w]);
        }
        let cheapest = cost.px().iter().copied().min().unwrap_or(1).max(1);
        Self { w: window.w, h: window.h, stride, cost: px, cheapest }
    }

    fn search(&self, seed: (usize, usize), goal: Option<(usize, usize)>) -> Found {
        self.search_around(seed, goal.unwrap_or((usize::MAX / 2, 0)), 0)
    }

    /// Stops when all pixels within `radius` (in both directions) of the goal are settled.
    fn search_around(&self, seed: (usize, usize), goal: (usize, usize), radius: usize) -> Found {
        let stride = self.stride;
        let n = self.cost.len();
        // The border counts as reached at no cost, so nothing ever steps onto it.
        let mut length = vec![0u32; n];
        for row in length.chunks_mut(stride).skip(1).take(self.h) {
            row[1..=self.w].fill(u32::MAX);
        }
        let mut step = vec![NONE; n];
        let mut open = 0usize;
        let mut wanted: Vec<bool> = Vec::new();
        if goal.0 < self.w && goal.1 < self.h {
            wanted = vec![false; n];
            for y in goal.1.saturating_sub(radius)..=(goal.1 + radius).min(self.h - 1) {
                for x in goal.0.saturating_sub(radius)..=(goal.0 + radius).min(self.w - 1) {
                    wanted[(y + 1) * stride + x + 1] = true;
                    open += 1;
                }
            }
        }
        let offsets = STEPS.map(|(dx, dy)| (dy * stride as isize + dx) as usize);
        let cheapest_step = 10 * u32::from(self.cheapest);
        let shift = cheapest_step.ilog2();
        let ring = ((DEAREST_STEP >> shift) as usize + 2).next_power_of_two();
        let mut buckets: Vec<Vec<u32>> = vec![Vec::new(); ring];
        let start = (seed.1 + 1) * stride + seed.0 + 1;
        length[start] = 0;
        buckets[0].push(start as u32);
        let mut waiting = 1usize;
        let mut now = 0u32;
        let mut batch: Vec<u32> = Vec::new();
        while waiting > 0 {
            // The cheapest step is at least as long as the bucket is wide, so a bucket cannot grow while it is emptied.
            std::mem::swap(&mut buckets[now as usize & (ring - 1)], &mut batch);
            waiting = waiting.wrapping_sub(batch.len());
            for &at in &batch {
                let at = at as usize;
                let so_far = length[at];
                // Shortened since, and done in an earlier bucket.
                if so_far >> shift != now {
                    continue;
                }
                if let Some(wanted) = wanted.get_mut(at).filter(|w| **w) {
                    *wanted = false;
                    open -= 1;
                    if open == 0 {
                        return Found { w: self.w, stride, length, step };
                    }
                }
                let here = u32::from(self.cost[at]);
                for (k, &offset) in offsets.iter().enumerate() {
                    let to = at.wrapping_add(offset);
                    let long = if k & 1 == 0 { 5 } else { 7 };
                    let total = so_far.wrapping_add(long * (here + u32::from(self.cost[to])));
                    if total < length[to] {
                        length[to] = total;
                        step[to] = (k as u8 + 4) & 7;
                        buckets[(total >> shift) as usize & (ring - 1)].push(to as u32);
                        waiting = waiting.wrapping_add(1);
                    }
                }
            }
            batch.clear();
            now = now.wrapping_add(1);
        }
        Found { w: self.w, stride, length, step }
    }
}

impl Found {
    fn directions(&self) -> Vec<u8> {
        let rows = self.step.len() / self.stride - 2;
        let mut out = Vec::with_capacity(self.w * rows);
        for row in self.step.chunks(self.stride).skip(1).take(rows) {
            out.extend_from_slice(&row[1..=self.w]);
        }
        out
    }

    fn length(&self, x: usize, y: usize) -> Option<u32> {
        self.length.get((y + 1) * self.stride + x + 1).copied().filter(|&l| l != u32::MAX)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{Rng, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    fn random_cost(seed: u64, w: usize, h: usize, least: u8) -> Cost {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let px = (0..w * h).map(|_| random.random_range(least..=255)).collect();
        Cost::from_px(Window { level: 0, x0: 0, y0: 0, w, h }, px).unwrap()
    }

    fn step_price(cost: &Cost, a: (usize, usize), b: (usize, usize)) -> u32 {
        let w = cost.window().w;
        let at = |p: (usize, usize)| u32::from(cost.px()[p.1 * w + p.0]);
        let long = if a.0 != b.0 && a.1 != b.1 { 7 } else { 5 };
        long * (at(a) + at(b))
    }

    /// Second method: relaxation over all pixels until nothing changes (Bellman and Ford).
    fn relaxed(cost: &Cost, seed: (usize, usize)) -> Vec<u32> {
        let (w, h) = (cost.window().w, cost.window().h);
        let mut length = vec![u32::MAX; w * h];
        length[seed.1 * w + seed.0] = 0;
        loop {
            let mut changed = false;
            for y in 0..h {
                for x in 0..w {
                    if length[y * w + x] == u32::MAX {
                        continue;
                    }
                    for (dx, dy) in STEPS {
                        let (nx, ny) = (x.wrapping_add_signed(dx), y.wrapping_add_signed(dy));
                        if nx < w && ny < h {
                            let total = length[y * w + x] + step_price(cost, (x, y), (nx, ny));
                            if total < length[ny * w + nx] {
                                length[ny * w + nx] = total;
                                changed = true;
                            }
                        }
                    }
                }
            }
            if !changed {
                return length;
            }
        }
    }

    #[test]
    fn the_map_leads_along_cheapest_ways() {
        for (seed, least) in [(1, 1), (2, 1), (3, 80), (4, 250)] {
            let cost = random_cost(seed, 37, 29, least);
            let want = relaxed(&cost, (11, 17));
            let map = map(&cost, [11.0, 17.0], None);
            assert_eq!((map.window.w, map.window.h), (37, 29));
            for y in 0..29 {
                for x in 0..37 {
                    let way = map.walk_pixels(x, y);
                    assert_eq!(way.last(), Some(&(11, 17)));
                    let price: u32 = way.windows(2).map(|s| step_price(&cost, s[0], s[1])).sum();
                    assert_eq!(price, want[y * 37 + x], "from {x} {y}");
                }
            }
        }
    }

    /// Prices are symmetric, so both ends ask for the same price.
    #[test]
    fn a_path_costs_the_same_from_either_end() {
        for seed in 0..20 {
            let cost = random_cost(seed, 40, 40, 1);
            let price = |way: &[[f64; 2]]| -> u32 {
                let px = |p: [f64; 2]| (p[0] as usize, p[1] as usize);
                way.windows(2).map(|s| step_price(&cost, px(s[0]), px(s[1]))).sum()
            };
            let (a, b) = ([3.0, 5.0], [36.0, 31.0]);
            let (there, back) = (between(&cost, a, b), between(&cost, b, a));
            assert_eq!((there[0], there[there.len() - 1]), (a, b));
            assert_eq!((back[0], back[back.len() - 1]), (b, a));
            assert_eq!(price(&there), price(&back));
        }
    }

    #[test]
    fn a_map_is_never_larger_than_agreed_and_keeps_its_seed() {
        let cost =
            Cost::from_px(Window { level: 0, x0: 10, y0: 20, w: 1000, h: 900 }, vec![9; 900_000])
                .unwrap();
        for (seed, other) in
            [([15.0, 25.0], None), ([15.0, 25.0], Some([1000.0, 900.0])), ([500.0, 915.0], None)]
        {
            let map = map(&cost, seed, other);
            assert!(map.window.w <= LONGEST_MAP && map.window.h <= LONGEST_MAP);
            let (x, y, inside) = map.window.pixel(seed);
            assert!(inside);
            assert_eq!(map.directions[y * map.window.w + x], NONE);
        }
    }

    #[test]
    fn a_map_from_elsewhere_that_turns_in_a_circle_ends() {
        let window = Window { level: 0, x0: 0, y0: 0, w: 2, h: 1 };
        let map = Map { window, directions: vec![0, 4] };
        assert!(map.walk([0.0, 0.0]).unwrap().len() <= 3);
        assert!(map.walk([5.0, 0.0]).is_none());
    }
}
