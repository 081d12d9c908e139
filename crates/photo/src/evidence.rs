//! How much each pixel looks like a line that somebody would trace.
//!
//! ```text
//!   lightness across a fusion line      edge: how steep            ridge: how much of a dark valley
//!   ───╮    ╭──────                       ╭╮  ╭╮                          ╭╮
//!      │    │                             ││  ││                          ││
//!      ╰────╯                          ───╯╰──╯╰───                    ───╯╰───
//! ```
//!
//! Two features, each the greater of two scales (Gaussians of 1.5 and 2.5 level pixels), each over the local
//! contrast (the standard deviation of lightness in a box around, from integral images), so that a faint line in bright
//! metal and the hard border to a dark mount are judged alike:
//!
//! - *edge*: the length of the gradient;
//! - *ridge*: the greater curvature less the size of the smaller one, dark lines only.
//!
//! A path costs little where a pixel is likelier to be *line* than *beside a line*: [`Cost`] is the logarithm
//! of that ratio, from 32-bin histograms of what has been traced against strips on both sides, blended with a
//! fixed prior until 100 pixels are traced.
//!
//! Source: scales, local contrast and prior were measured for this project on two etched tracks and drawn lines: halving
//! or doubling what edge or ridge count for changed the outline of the first by less than 0.02 % of its width (with the
//! best pixel at 80 and the path sought on the fine level). The log-likelihood ratio is the textbook's (Neyman and Pearson).
//!
//! Guarantees: everything is worked out once for a [`Window`] of a level; the same pixels give the same bytes;
//! integer sums, so neither the order nor the number of threads matters.
//!
//! Not covered: colour; whether the line is *the* fusion line and not the border of the heat-affected zone.

use crate::pyramid::{Plane, Pyramid, level_from_picture, size_of_pixel};
use rayon::prelude::*;

/// Scale of the finer feature, level pixels.
pub const FINE_SIGMA: f64 = 1.5;
/// Scale of the coarser feature, level pixels.
pub const COARSE_SIGMA: f64 = 2.5;
/// Half the side of each box in which the local contrast is taken, level pixels.
const CONTRAST_RADIUS: usize = 16;
/// How far the middle of each of the four boxes lies aside and up or down.
const CONTRAST_ASIDE: usize = 8;
/// Contrast below which a place counts as flat: one step of an 8-bit picture.
const FLAT: f32 = 1.0 / 255.0;
/// Share of the whole window's contrast below which a place counts as flat, too.
const FLOOR: f32 = 0.1;
/// Bins of a histogram.
const BINS: usize = 32;
/// Pixels to be traced until the prior no longer counts.
const TRACED_ENOUGH: f64 = 100.0;

/// A rectangle of a level, in that level's pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Window {
    /// The level of the pyramid.
    pub level: usize,
    /// First column.
    pub x0: usize,
    /// First row.
    pub y0: usize,
    /// Columns.
    pub w: usize,
    /// Rows.
    pub h: usize,
}

impl Window {
    /// The box around some places of the picture and a quarter of its longer side (at least 16 level pixels) more on
    /// each side, cut to the picture; without a finite place, one pixel.
    pub fn around(pyramid: &Pyramid, level: usize, points: &[[f64; 2]]) -> Self {
        Self::with_margin(pyramid, level, points, 0.25)
    }

    fn with_margin(pyramid: &Pyramid, level: usize, points: &[[f64; 2]], share: f64) -> Self {
        let level = level.min(pyramid.levels() - 1);
        let plane = pyramid.level(level);
        let on_level: Vec<_> = points.iter().map(|&p| level_from_picture(level, p)).collect();
        let (low, high) = span(&on_level);
        let margin = (share * (high[0] - low[0]).max(high[1] - low[1])).max(16.0);
        let cut = |v: f64, side: usize| {
            if v.is_finite() { v.clamp(0.0, side as f64 - 1.0) as usize } else { 0 }
        };
        let (x0, y0) = (
            cut((low[0] - margin).floor(), plane.width),
            cut((low[1] - margin).floor(), plane.height),
        );
        let (x1, y1) = (
            cut((high[0] + margin).ceil(), plane.width),
            cut((high[1] + margin).ceil(), plane.height),
        );
        Self { level, x0, y0, w: x1.max(x0) - x0 + 1, h: y1.max(y0) - y0 + 1 }
    }

    /// The pixel of this window nearest to a place of the picture, and whether the place lies inside.
    pub fn pixel(&self, picture: [f64; 2]) -> (usize, usize, bool) {
        let p = level_from_picture(self.level, picture);
        let (x, y) = ((p[0] - self.x0 as f64).round(), (p[1] - self.y0 as f64).round());
        let inside = x >= 0.0 && y >= 0.0 && x < self.w as f64 && y < self.h as f64;
        let cut = |v: f64, side: usize| v.clamp(0.0, side.max(1) as f64 - 1.0) as usize;
        (cut(x, self.w), cut(y, self.h), inside)
    }
}

/// The least and greatest coordinates; zeros when there is no finite point.
pub(crate) fn span(points: &[[f64; 2]]) -> ([f64; 2], [f64; 2]) {
    let mut low = [f64::INFINITY; 2];
    let mut high = [f64::NEG_INFINITY; 2];
    for p in points.iter().filter(|p| p[0].is_finite() && p[1].is_finite()) {
        for k in 0..2 {
            low[k] = low[k].min(p[k]);
            high[k] = high[k].max(p[k]);
        }
    }
    if low[0] > high[0] { ([0.0; 2], [0.0; 2]) } else { (low, high) }
}

/// The features of one window, 0 to 255 each.
#[derive(Debug, Clone)]
pub struct Evidence {
    window: Window,
    edge: Vec<u8>,
    ridge: Vec<u8>,
}

impl Evidence {
    /// Works out the features of a window (cut to the level).
    pub fn new(pyramid: &Pyramid, window: Window) -> Self {
        let plane = pyramid.level(window.level);
        let x0 = window.x0.min(plane.width - 1);
        let y0 = window.y0.min(plane.height - 1);
        let window = Window {
            level: window.level.min(pyramid.levels() - 1),
            x0,
            y0,
            w: window.w.clamp(1, plane.width - x0),
            h: window.h.clamp(1, plane.height - y0),
        };
        let (light, (contrast, floor)) =
            rayon::join(|| cut(plane, window), || local_contrast(plane, window));
        let fine = smooth(&light, window.w, FINE_SIGMA);
        let coarse = smooth(&fine, window.w, (COARSE_SIGMA.powi(2) - FINE_SIGMA.powi(2)).sqrt());
        let n = window.w * window.h;
        let (mut edge, mut ridge) = (vec![0u8; n], vec![0u8; n]);
        edge.par_chunks_mut(window.w * BAND)
            .zip(ridge.par_chunks_mut(window.w * BAND))
            .enumerate()
            .for_each(|(band, (edge, ridge))| {
                let mut e = vec![0f32; window.w];
                let mut r = vec![0f32; window.w];
                for (j, (edge, ridge)) in
                    edge.chunks_mut(window.w).zip(ridge.chunks_mut(window.w)).enumerate()
                {
                    let y = band * BAND + j;
                    e.fill(0.0);
                    r.fill(0.0);
                    features_of_row(&fine, window, y, FINE_SIGMA as f32, &mut e, &mut r);
                    features_of_row(&coarse, window, y, COARSE_SIGMA as f32, &mut e, &mut r);
                    let contrast = &contrast[y * window.w..][..window.w];
                    for (((edge, ridge), (&e, &r)), &c) in
                        edge.iter_mut().zip(ridge.iter_mut()).zip(e.iter().zip(&r)).zip(contrast)
                    {
                        let c = 1.0 / c.max(floor);
                        *edge = squeeze(e * c, EDGE_FULL);
                        *ridge = squeeze(r * c, RIDGE_FULL);
                    }
                }
            });
        Self { window, edge, ridge }
    }

    /// Where these features lie.
    pub fn window(&self) -> Window {
        self.window
    }

    /// Edge and ridge of a pixel of the window; nothing outside it.
    pub fn at(&self, x: usize, y: usize) -> Option<(u8, u8)> {
        let i = (x < self.window.w).then_some(y.checked_mul(self.window.w)?.checked_add(x)?)?;
        Some((*self.edge.get(i)?, *self.ridge.get(i)?))
    }

    /// How much a place of the picture looks like a line, 0 to 1, by the fixed prior, between pixels.
    pub fn strength(&self, picture: [f64; 2]) -> f64 {
        let p = level_from_picture(self.window.level, picture);
        let (x, y) = (p[0] - self.window.x0 as f64, p[1] - self.window.y0 as f64);
        if !(x.is_finite() && y.is_finite()) {
            return 0.0;
        }
        let (fx, fy) = (x.floor(), y.floor());
        let v = |dx: f64, dy: f64| {
            let cut = |v: f64, side: usize| v.clamp(0.0, side as f64 - 1.0) as usize;
            self.at(cut(fx + dx, self.window.w), cut(fy + dy, self.window.h))
                .map_or(0.0, |(e, r)| strength(e, r))
        };
        let (tx, ty) = (x - fx, y - fy);
        (v(0.0, 0.0) * (1.0 - tx) + v(1.0, 0.0) * tx) * (1.0 - ty)
            + (v(0.0, 1.0) * (1.0 - tx) + v(1.0, 1.0) * tx) * ty
    }
}

/// Rows in a band of work.
const BAND: usize = 16;
/// Normalised gradient at which the edge reads two thirds of full.
const EDGE_FULL: f32 = 0.7;
/// Normalised curvature at which the ridge reads two thirds of full.
const RIDGE_FULL: f32 = 0.7;

/// 0 to 1 from both features.
fn strength(edge: u8, ridge: u8) -> f64 {
    let (e, r) = (f64::from(edge) / 255.0, f64::from(ridge) / 255.0);
    1.0 - (1.0 - e) * (1.0 - r)
}

fn squeeze(v: f32, full: f32) -> u8 {
    // v / (v + full/2): two thirds at `full`, never saturated; cheap and the same on every machine.
    let v = v.max(0.0);
    (255.0 * v / (v + 0.5 * full)) as u8
}

fn cut(plane: &Plane, window: Window) -> Vec<f32> {
    let mut out = Vec::with_capacity(window.w * window.h);
    for y in window.y0..window.y0 + window.h {
        let row = &plane.px[y * plane.width + window.x0..][..window.w];
        out.extend(row.iter().map(|&v| f32::from(v) * (1.0 / 65535.0)));
    }
    out
}

/// Standard deviation of lightness in the quietest of four boxes about each pixel, and the value below which it counts as flat:
/// the border to the mount, in one or two of them, must not drown a fainter line beside it.
fn local_contrast(plane: &Plane, window: Window) -> (Vec<f32>, f32) {
    let (w, h) = (window.w, window.h);
    let stride = w + 1;
    let mut sums = vec![(0u64, 0u64); stride * (h + 1)];
    for y in 0..h {
        let row = &plane.px[(window.y0 + y) * plane.width + window.x0..][..w];
        let (above, below) = sums.split_at_mut((y + 1) * stride);
        let above = &above[y * stride + 1..];
        let (mut s, mut q) = (0u64, 0u64);
        for ((&v, a), b) in row.iter().zip(above).zip(&mut below[1..stride]) {
            let v = u64::from(v);
            s = s.wrapping_add(v);
            q = q.wrapping_add(v.wrapping_mul(v));
            *b = (a.0.wrapping_add(s), a.1.wrapping_add(q));
        }
    }
    let deviation = |a: (u64, u64), b: (u64, u64), c: (u64, u64), d: (u64, u64), n: usize| {
        let s = d.0.wrapping_add(a.0).wrapping_sub(b.0).wrapping_sub(c.0) as f64;
        let q = d.1.wrapping_add(a.1).wrapping_sub(b.1).wrapping_sub(c.1) as f64;
        let n = 1.0 / n as f64;
        ((q * n - (s * n).powi(2)).max(0.0).sqrt() * (1.0 / 65535.0)) as f32
    };
    let mut out = vec![0f32; w * h];
    out.par_chunks_mut(w * BAND).enumerate().for_each(|(band, rows)| {
        for (j, row) in rows.chunks_mut(w).enumerate() {
            let y = band * BAND + j;
            let near = CONTRAST_RADIUS - CONTRAST_ASIDE;
            let far = CONTRAST_RADIUS + CONTRAST_ASIDE;
            // Of each pair the first reaches far before the pixel, the second far beyond it.
            let pair = |at: usize, side: usize| {
                [(far, near), (near, far)]
                    .map(|(before, after)| (at.saturating_sub(before), (at + after + 1).min(side)))
            };
            let rows = pair(y, h).map(|(t, b)| {
                (&sums[t * stride..][..stride], &sums[b * stride..][..stride], b - t)
            });
            for (x, out) in row.iter_mut().enumerate() {
                let mut quietest = f32::INFINITY;
                for (l, r) in pair(x, w) {
                    for (top, bottom, high) in rows {
                        let here = deviation(top[l], top[r], bottom[l], bottom[r], (r - l) * high);
                        quietest = quietest.min(here);
                    }
                }
                *out = quietest;
            }
        }
    });
    let whole = deviation(sums[0], sums[w], sums[h * stride], sums[h * stride + w], w * h);
    (out, FLAT.max(FLOOR * whole))
}

/// Gaussian smoothing, separable, border repeated.
fn smooth(of: &[f32], w: usize, sigma: f64) -> Vec<f32> {
    let radius = (3.0 * sigma).ceil() as usize;
    let weights: Vec<f32> = {
        let raw: Vec<f64> =
            (0..=radius).map(|k| (-0.5 * (k as f64 / sigma).powi(2)).exp()).collect();
        let sum = raw[0] + 2.0 * raw[1..].iter().sum::<f64>();
        raw.iter().map(|v| (v / sum) as f32).collect()
    };
    let h = of.len() / w;
    let mut out = vec![0f32; of.len()];
    out.par_chunks_mut(w * BAND).enumerate().for_each(|(band, rows)| {
        let mut padded = vec![0f32; w + 2 * radius];
        for (j, out) in rows.chunks_mut(w).enumerate() {
            let y = band * BAND + j;
            let row = |y: usize| &of[y * w..][..w];
            let middle = &mut padded[radius..radius + w];
            for (m, &v) in middle.iter_mut().zip(row(y)) {
                *m = v * weights[0];
            }
            for (k, &weight) in weights.iter().enumerate().skip(1) {
                let (above, below) = (row(y.saturating_sub(k)), row((y + k).min(h - 1)));
                for ((m, &a), &b) in middle.iter_mut().zip(above).zip(below) {
                    *m += weight * (a + b);
                }
            }
            let (first, last) = (middle[0], middle[w - 1]);
            padded[..radius].fill(first);
            padded[radius + w..].fill(last);
            for (o, &m) in out.iter_mut().zip(&padded[radius..]) {
                *o = m * weights[0];
            }
            for (k, &weight) in weights.iter().enumerate().skip(1) {
                let (left, right) = (&padded[radius - k..], &padded[radius + k..]);
                for ((o, &a), &b) in out.iter_mut().zip(left).zip(right) {
                    *o += weight * (a + b);
                }
            }
        }
    });
    out
}

/// Raises `edge` and `ridge` of a row to those of this scale.
fn features_of_row(
    s: &[f32],
    window: Window,
    y: usize,
    sigma: f32,
    edge: &mut [f32],
    ridge: &mut [f32],
) {
    let (w, h) = (window.w, window.h);
    if w < 3 || h < 3 || y == 0 || y + 1 >= h {
        return;
    }
    let (up, mid, low) = (&s[(y - 1) * w..][..w], &s[y * w..][..w], &s[(y + 1) * w..][..w]);
    let rows = up.windows(3).zip(mid.windows(3)).zip(low.windows(3));
    for (((u, m), l), (e, r)) in rows.zip(edge[1..].iter_mut().zip(ridge[1..].iter_mut())) {
        let gx = 0.5 * (m[2] - m[0]);
        let gy = 0.5 * (l[1] - u[1]);
        let gradient = sigma * (gx * gx + gy * gy).sqrt();
        let xx = m[2] - 2.0 * m[1] + m[0];
        let yy = l[1] - 2.0 * m[1] + u[1];
        let xy = 0.25 * (l[2] - l[0] - u[2] + u[0]);
        let half = 0.5 * (xx + yy);
        let root = (0.25 * (xx - yy) * (xx - yy) + xy * xy).sqrt();
        // Greater curvature half + root, smaller half - root.
        let valley = sigma * sigma * (half + root - (half - root).abs());
        *e = e.max(gradient);
        *r = r.max(valley);
    }
}

/// What a path pays for each pixel of a window, 1 to 255.
#[derive(Debug, Clone)]
pub struct Cost {
    window: Window,
    px: Vec<u8>,
}

/// What the best pixel costs; the worst costs 255. A greater value keeps the path straighter, and cuts off what juts out.
const LEAST: f64 = 25.0;

impl Cost {
    /// The cost before anything has been traced.
    pub fn prior(evidence: &Evidence) -> Self {
        Self::learned(evidence, &[])
    }

    /// The cost after a piece of the line has been traced (places of the picture, in order, about a level pixel
    /// apart or closer).
    pub fn learned(evidence: &Evidence, traced: &[[f64; 2]]) -> Self {
        let table = price(evidence, traced);
        let mut px = vec![0u8; evidence.edge.len()];
        px.par_chunks_mut(1 << 16)
            .zip(evidence.edge.par_chunks(1 << 16).zip(evidence.ridge.par_chunks(1 << 16)))
            .for_each(|(px, (edge, ridge))| {
                for (p, (&e, &r)) in px.iter_mut().zip(edge.iter().zip(ridge)) {
                    *p = table[usize::from(e >> 3) * BINS + usize::from(r >> 3)];
                }
            });
        Self { window: evidence.window, px }
    }

    /// A cost made elsewhere; `None` unless there is one value from 1 to 255 for each pixel of the window.
    pub fn from_px(window: Window, px: Vec<u8>) -> Option<Self> {
        (window.w.checked_mul(window.h) == Some(px.len()) && !px.is_empty() && !px.contains(&0))
            .then_some(Self { window, px })
    }

    /// Where it lies.
    pub fn window(&self) -> Window {
        self.window
    }

    /// Row after row.
    pub fn px(&self) -> &[u8] {
        &self.px
    }
}

/// The price of each pair of bins.
fn price(evidence: &Evidence, traced: &[[f64; 2]]) -> Vec<u8> {
    let mut line = Histogram::default();
    let mut beside = Histogram::default();
    let window = evidence.window;
    let size = size_of_pixel(window.level);
    let mut last_counted: Option<[f64; 2]> = None;
    for pair in traced.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
        let long = dx.hypot(dy);
        // Once each level pixel, however closely the line is sampled.
        if !(long > 0.0 && long.is_finite())
            || last_counted.is_some_and(|l| (a[0] - l[0]).hypot(a[1] - l[1]) < 0.95 * size)
        {
            continue;
        }
        last_counted = Some(a);
        let normal = [-dy / long, dx / long];
        for offset in [-12.0, -10.0, -8.0, -6.0, 0.0, 6.0, 8.0, 10.0, 12.0f64] {
            let p = [a[0] + normal[0] * offset * size, a[1] + normal[1] * offset * size];
            let (x, y, inside) = window.pixel(p);
            if let (true, Some((e, r))) = (inside, evidence.at(x, y)) {
                if offset == 0.0 { line.add(e, r) } else { beside.add(e, r) }
            }
        }
    }
    let trust = (line.count / TRACED_ENOUGH).min(1.0);
    let trust = if beside.count > 0.0 { trust } else { 0.0 };
    let (line_e, line_r) = line.shares();
    let (beside_e, beside_r) = beside.shares();
    let mut ratio = vec![0f64; BINS * BINS];
    for e in 0..BINS {
        for r in 0..BINS {
            let learned = (line_e[e] / beside_e[e]).ln() + (line_r[r] / beside_r[r]).ln();
            let prior =
                PRIOR_SPAN * strength((e * 8 + 4) as u8, (r * 8 + 4) as u8) - PRIOR_SPAN / 2.0;
            ratio[e * BINS + r] = trust * learned + (1.0 - trust) * prior;
        }
    }
    // exp(-ratio) is how many times likelier the pixel is to be beside the line than on it.
    ratio
        .iter()
        .map(|&l| {
            (LEAST + (255.0 - LEAST) / (1.0 + (SLOPE * l).exp())).round().clamp(1.0, 255.0) as u8
        })
        .collect()
}

/// Difference of the prior's log-likelihood ratio between no evidence and full evidence.
const PRIOR_SPAN: f64 = 8.0;
/// How far the log-likelihood ratio is believed: the two features are not independent.
const SLOPE: f64 = 0.5;

#[derive(Default)]
struct Histogram {
    edge: [f64; BINS],
    ridge: [f64; BINS],
    count: f64,
}

impl Histogram {
    fn add(&mut self, edge: u8, ridge: u8) {
        self.edge[usize::from(edge >> 3)] += 1.0;
        self.ridge[usize::from(ridge >> 3)] += 1.0;
        self.count += 1.0;
    }

    /// Shares of the bins, each spread over its neighbours (1 2 4 2 1) and none of them zero.
    fn shares(&self) -> ([f64; BINS], [f64; BINS]) {
        let spread = |of: &[f64; BINS]| {
            let mut out = [0f64; BINS];
            for (i, out) in out.iter_mut().enumerate() {
                let at = |d: isize| of[(i as isize + d).clamp(0, BINS as isize - 1) as usize];
                *out = 0.1 * (at(-2) + 2.0 * at(-1) + 4.0 * at(0) + 2.0 * at(1) + at(2)) + 0.5;
            }
            let sum: f64 = out.iter().sum();
            out.map(|v| v / sum)
        };
        (spread(&self.edge), spread(&self.ridge))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A vertical dark line at x = 40 and a step at x = 120, on 160 x 90 pixels.
    fn line_and_step() -> Pyramid {
        let light = |x: f64| {
            let line = 0.2 * (-0.5 * ((x - 40.0) / 1.5f64).powi(2)).exp();
            let step = 0.3 / (1.0 + (-1.7 * (x - 120.0)).exp());
            0.6 - line - step
        };
        let px = (0..160 * 90).map(|i| (light((i % 160) as f64) * 65535.0) as u16).collect();
        Pyramid::new(Plane { width: 160, height: 90, px }).unwrap()
    }

    fn whole(pyramid: &Pyramid) -> Evidence {
        let (w, h) = (pyramid.picture().width, pyramid.picture().height);
        Evidence::new(pyramid, Window { level: 0, x0: 0, y0: 0, w, h })
    }

    /// By symmetry: the valley is deepest in the middle, its flanks are steepest one sigma away and the step in its middle.
    #[test]
    fn a_dark_line_reads_as_a_ridge_and_a_step_as_an_edge() {
        let evidence = whole(&line_and_step());
        let row: Vec<(u8, u8)> = (0..160).map(|x| evidence.at(x, 45).unwrap()).collect();
        let strongest = |of: &dyn Fn(usize) -> u8, xs: std::ops::Range<usize>| {
            xs.max_by_key(|&x| of(x)).unwrap()
        };
        assert_eq!(strongest(&|x| row[x].1, 25..55), 40);
        assert_eq!(row[40].0, 0);
        assert_eq!(row[40 - 2], row[40 + 2]);
        assert_eq!(strongest(&|x| row[x].0, 105..135), 120);
        assert!(row[80].0 < 5 && row[80].1 < 5, "{:?}", row[80]);
        assert!(evidence.strength([40.0, 45.0]) > 0.6 && evidence.strength([80.0, 45.0]) < 0.05);
        assert_eq!(evidence.at(160, 45), None);
    }

    /// A line that has been traced becomes cheaper against what lies beside it, and so does its like elsewhere.
    #[test]
    fn tracing_makes_the_line_cheaper_than_its_surroundings() {
        let evidence = whole(&line_and_step());
        let traced: Vec<[f64; 2]> = (0..90).map(|y| [40.0, f64::from(y)]).collect();
        let (prior, learned) = (Cost::prior(&evidence), Cost::learned(&evidence, &traced));
        let at = |c: &Cost, x: usize| c.px()[45 * 160 + x];
        assert!(at(&prior, 40) < at(&prior, 80));
        assert!(at(&learned, 40) < at(&prior, 40));
        // What was traced has no edge in its middle: the step is now dearer than before.
        assert!(at(&learned, 120) > at(&prior, 120));
        assert!(learned.px().iter().all(|&c| c >= LEAST as u8));
    }

    #[test]
    fn the_features_of_a_constant_picture_are_nothing() {
        let pyramid =
            Pyramid::new(Plane { width: 50, height: 40, px: vec![30_000; 2_000] }).unwrap();
        let evidence = whole(&pyramid);
        assert!((0..50).all(|x| evidence.at(x, 20) == Some((0, 0))));
        let one = Pyramid::new(Plane { width: 1, height: 1, px: vec![5] }).unwrap();
        assert_eq!(whole(&one).at(0, 0), Some((0, 0)));
    }

    /// Second method: the definition, summed pixel by pixel, in four boxes of 33 x 33 pixels whose middles lie 8 aside and 8
    /// above or below.
    #[test]
    fn the_local_contrast_is_the_least_standard_deviation_in_four_boxes() {
        let px: Vec<u16> =
            (0..80 * 70u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 16) as u16).collect();
        let plane = Plane { width: 80, height: 70, px };
        let window = Window { level: 0, x0: 0, y0: 0, w: 80, h: 70 };
        let (contrast, _) = local_contrast(&plane, window);
        for (x, y) in [(0isize, 0isize), (40, 30), (79, 69), (10, 60)] {
            let mut want = f64::INFINITY;
            for (mx, my) in [(x - 8, y - 8), (x + 8, y - 8), (x - 8, y + 8), (x + 8, y + 8)] {
                let mut values = Vec::new();
                for j in (my - 16).max(0)..=(my + 16).min(69) {
                    for i in (mx - 16).max(0)..=(mx + 16).min(79) {
                        values.push(f64::from(plane.at(i, j)) / 65535.0);
                    }
                }
                let n = values.len() as f64;
                let mean = values.iter().sum::<f64>() / n;
                want =
                    want.min((values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / n).sqrt());
            }
            assert!((f64::from(contrast[y as usize * 80 + x as usize]) - want).abs() < 1e-6);
        }
    }

    /// Metal with a faint line 14 pixels below the border to a mount as dark as can be: the border's contrast, in every box
    /// about the line's pixels that reaches up, is ten times the line's, and the line is still told from plain metal.
    #[test]
    fn the_border_to_the_mount_does_not_drown_a_line_beside_it() {
        let (width, height) = (120, 120);
        let px = (0..width * height)
            .map(|i| match i / width {
                0..40 => 0,
                53..=55 => 26_000,
                _ => 30_000,
            })
            .collect();
        let pyramid = Pyramid::new(Plane { width, height, px }).unwrap();
        let evidence = whole(&pyramid);
        let (line, beside) = (evidence.strength([60.0, 54.0]), evidence.strength([60.0, 80.0]));
        assert!(line > 0.5 && beside < 0.1, "{line} {beside}");
    }
}
