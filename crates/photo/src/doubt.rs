//! How the marks might as well have been set: one Monte Carlo draw of a section.
//!
//! ```text
//!   scale          x (1 + u z)                                 common to every photo of that scale
//!   plate points   each + N(0, u) in x and y                   how closely a hand sets a point
//!   fusion line    one shift for the whole zone, rectangular   which side of a dark line is the boundary
//!   outline        a smooth random shift along the normal      where the line runs, point by point
//! ```
//!
//! The smooth shift is a sum of 32 cosine modes round the outline with a Gaussian spectrum; its correlation length is the
//! larger of 10 pixels and the spacing over which the outline was set by hand. An outline is looked at in at most 256
//! points, corners kept.
//!
//! Source: [`JCGM_101`](weld::source::JCGM_101). Defaults: common practice, no source.
//! Not covered here: lens, a camera out of square, polish rounding at the toes, the reader's own habit.

use crate::lay::LinePx;
use crate::marks::{PlateMarks, Px};
use rand::Rng;
use rand_chacha::ChaCha8Rng;

/// How closely a hand sets a point on a plate surface, standard uncertainty in pixels for x and y. Common practice.
pub const PLATE_POINT_PX: f64 = 1.0;
/// Points in which an outline is looked at in a draw.
pub const DRAW_POINTS: usize = 256;
/// Shortest length over which the outline's shift is the same, pixels.
pub const SHORTEST_CORRELATION_PX: f64 = 10.0;
/// Cosine modes of the smooth shift.
const MODES: usize = 32;

/// A line prepared for drawing.
#[derive(Clone, Debug)]
pub struct Loose {
    line: LinePx,
    normals: Vec<Px>,
    /// Standard uncertainty of each point, pixels.
    u: Vec<f64>,
    /// Does the whole-zone shift apply here? Not to the face, which is a step and no dark line.
    shifts: Vec<bool>,
    /// Half-width of the rectangular whole-zone shift, pixels.
    half_width: f64,
    /// Cosine and sine of each mode at each point, weighted; point-major.
    modes: Vec<[f64; 2]>,
}

/// What is needed to loosen a line.
#[derive(Clone, Debug)]
pub struct Doubt<'a> {
    /// Standard uncertainty of each point, pixels.
    pub u_px: &'a [f64],
    /// Does the face border air here?
    pub at_mount: &'a [bool],
    /// Points to keep.
    pub corners: &'a [usize],
    /// Half the dark line's width, pixels.
    pub half_width_px: f64,
    /// Length over which the shift is the same, pixels.
    pub correlation_px: f64,
}

impl Loose {
    /// Prepares a line: thins it, finds normals, tabulates modes.
    #[must_use]
    pub fn new(line: &LinePx, doubt: &Doubt<'_>) -> Self {
        let closed = line.kind.is_closed();
        let keep = thin(&line.px, doubt.corners, closed);
        let px: Vec<Px> = keep.iter().map(|&i| line.px[i]).collect();
        let n = px.len();
        let at = |i: isize| -> Px {
            let i = if closed { i.rem_euclid(n as isize) } else { i.clamp(0, n as isize - 1) };
            px[i as usize]
        };
        let mut along = Vec::with_capacity(n);
        let mut total = 0.0;
        let mut normals = Vec::with_capacity(n);
        for i in 0..n as isize {
            along.push(total);
            let (a, b, c) = (at(i - 1), at(i), at(i + 1));
            total += (c[0] - b[0]).hypot(c[1] - b[1]);
            let unit = |p: Px, q: Px| {
                let d = [q[0] - p[0], q[1] - p[1]];
                let l = d[0].hypot(d[1]);
                if l > 0.0 { [d[0] / l, d[1] / l] } else { [0.0, 0.0] }
            };
            let (before, after) = (unit(a, b), unit(b, c));
            let t = [before[0] + after[0], before[1] + after[1]];
            let l = t[0].hypot(t[1]);
            normals.push(if l > 1e-9 { [-t[1] / l, t[0] / l] } else { [-after[1], after[0]] });
        }
        let reach = doubt.correlation_px.max(SHORTEST_CORRELATION_PX) / total.max(1.0);
        let weight = |k: usize| {
            let w = std::f64::consts::TAU * k as f64 * reach;
            (-0.25 * w * w).exp() * if k == 0 { 0.5f64.sqrt() } else { 1.0 }
        };
        let norm: f64 = (0..MODES).map(|k| weight(k) * weight(k)).sum::<f64>().sqrt();
        let mut modes = Vec::with_capacity(n * MODES);
        for s in &along {
            for k in 0..MODES {
                let a = std::f64::consts::TAU * k as f64 * s / total.max(1e-9);
                let w = weight(k) / norm;
                modes.push([w * a.cos(), w * a.sin()]);
            }
        }
        let get = |list: &[f64], i: usize| list.get(i).copied().unwrap_or(0.0);
        Self {
            normals,
            u: keep.iter().map(|&i| get(doubt.u_px, i)).collect(),
            shifts: keep
                .iter()
                .map(|&i| !doubt.at_mount.get(i).copied().unwrap_or(false))
                .collect(),
            half_width: doubt.half_width_px,
            modes,
            line: LinePx { px, ..line.clone() },
        }
    }

    /// One draw of the line.
    #[must_use]
    pub fn draw(&self, rng: &mut ChaCha8Rng) -> LinePx {
        let shift = self.half_width * (2.0 * rng.random::<f64>() - 1.0);
        let mut c = [[0.0; 2]; MODES];
        for pair in &mut c {
            *pair = normals(rng);
        }
        let px = self
            .line
            .px
            .iter()
            .enumerate()
            .map(|(i, p)| {
                let modes = &self.modes[i * MODES..(i + 1) * MODES];
                let smooth: f64 =
                    modes.iter().zip(&c).map(|(m, c)| m[0] * c[0] + m[1] * c[1]).sum();
                let d = smooth * self.u[i] + if self.shifts[i] { shift } else { 0.0 };
                [p[0] + d * self.normals[i][0], p[1] + d * self.normals[i][1]]
            })
            .collect();
        LinePx { px, ..self.line.clone() }
    }
}

/// Indices of at most [`DRAW_POINTS`] points, corners among them.
fn thin(px: &[Px], corners: &[usize], closed: bool) -> Vec<usize> {
    let n = px.len();
    if n <= DRAW_POINTS {
        return (0..n).collect();
    }
    let mut keep: Vec<usize> = (0..DRAW_POINTS).map(|k| k * n / DRAW_POINTS).collect();
    keep.extend(corners.iter().copied().filter(|&i| i < n));
    if !closed {
        keep.push(n - 1);
    }
    keep.sort_unstable();
    keep.dedup();
    keep
}

/// Two independent standard normal numbers (Box and Muller).
#[must_use]
pub fn normals(rng: &mut ChaCha8Rng) -> [f64; 2] {
    let r = (-2.0 * (1.0 - rng.random::<f64>()).ln()).sqrt();
    let a = std::f64::consts::TAU * rng.random::<f64>();
    [r * a.cos(), r * a.sin()]
}

/// One draw of the plates.
#[must_use]
pub fn draw_plates(plates: &PlateMarks, rng: &mut ChaCha8Rng) -> PlateMarks {
    let mut out = plates.clone();
    for points in [
        &mut out.surface,
        &mut out.bottom,
        &mut out.joint_line,
        &mut out.base,
        &mut out.upright,
        &mut out.upright_left,
        &mut out.upright_right,
        &mut out.upright_far,
    ] {
        for p in points {
            let [a, b] = normals(rng);
            p[0] += PLATE_POINT_PX * a;
            p[1] += PLATE_POINT_PX * b;
        }
    }
    out
}
