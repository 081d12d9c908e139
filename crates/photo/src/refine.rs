//! Where a line lies to a fraction of a pixel, and how surely.
//!
//! ```text
//!            normal
//!              ↑            lightness along the normal, averaged 2 sigma along the line
//!   ───────────┼──────────   a ─────╮        ╭──── b
//!     path  ●──●──●──●              ╰╮      ╭╯         five parameters: levels a and b on both sides,
//!              │                     ╰──────╯          depth of the dark line, its place, its width
//!              ↓                        ↑ place
//! ```
//!
//! 1. *Profiles* across the path, one each level pixel, in steps of 0.25 pixel.
//! 2. *Offsets* up to 4 sigma (6 pixels) to either side, chosen together: dynamic programming over how well a step and
//!    a dark line explain the lightness about each offset, against the odds of a jump from one profile to the next.
//! 3. *Place* by a five-parameter least-squares fit (Gauss-Newton, damped) around that offset; its
//!    standard error from the fit, with the noise pooled over neighbours and counted as correlated (below).
//! 4. *Together again*: the places with their errors and a random walk along the line (one tridiagonal system,
//!    outliers weighted down).
//!
//! A dark line and a bare step (metal to mount) are the same model with one part zero.
//!
//! **Counting samples.** Neighbouring samples of a bilinear profile share pixels. The kernel is a triangle of half-width 1:
//! its autocovariance integrates to 1 and is 2/3 at zero on average over the phase, so noise is
//! correlated over 1.5 pixels, and 49 samples at 0.25 pixel hold as much as 49 x 0.25 / 1.5 = 8. So steps 2 and 3 look
//! at every second one; profiles are still laid on each other to a quarter pixel.
//!
//! Guarantees: no place moves further than 6 level pixels from the path; a held end does not move; a place whose
//! contrast is below three times its noise keeps the jointly chosen offset and says
//! `u = search width / sqrt 12`; no `u` is below 0.1 level pixel.
//!
//! Not covered: which of two nested lines is meant (the nearer and clearer one wins); lines closer together than
//! about 4 level pixels (they are read as one wide line); bright lines on dark metal without a step.

use crate::evidence::FINE_SIGMA;
use crate::pyramid::Plane;
use rayon::prelude::*;

/// Samples in a level pixel, across the line.
const PER_PIXEL: usize = 4;
/// How far to either side a place may lie, in samples: 4 sigma.
const REACH: usize = (4.0 * FINE_SIGMA) as usize * PER_PIXEL;
/// Half the stretch over which a profile is averaged along the line, in level pixels: 2 sigma.
const ALONG: usize = (2.0 * FINE_SIGMA) as usize;
/// Half the length of the fit, in samples: 4 sigma again.
const FIT: usize = REACH;
/// Half a profile, in samples: a fit at the farthest place.
const HALF: usize = REACH + FIT;
const PROFILE: usize = 2 * HALF + 1;
/// Samples that share the same noise (see the header).
const CORRELATED: f64 = 1.5 * PER_PIXEL as f64;
/// Samples of a fit count less the farther they lie from its middle: standard deviation of the weights, level pixels.
const TAPER: f64 = 4.0;
/// The least standard uncertainty of a place, level pixels.
pub const LEAST_U: f64 = 0.1;
/// Contrast over noise below which nothing is fitted.
const LEAST_CONTRAST: f64 = 3.0;
/// The same for step 2, about the path.
const TAPER_WIDE: f64 = 6.0;
/// Steps 2 and 3 take every second sample: they share pixels anyway.
const COARSE: usize = 2;
/// Widths (standard deviations) of the lines tried in step 2, level pixels.
const WIDTHS: [f64; 3] = [1.0, 1.6, 2.5];
/// How much the line may turn away from the path in one level pixel (one standard deviation), step 2.
const JUMP: f64 = 0.3;
/// The same for step 4.
const WALK: f64 = 0.2;
/// Profiles to either side over which noise is pooled, and over which line or step is decided.
const NEIGHBOURS: usize = 8;
/// A line shallower than this share of the step at it is no line.
const LEAST_DEPTH: f64 = 0.5;
/// The farthest a fit may move from the chosen offset, level pixels.
const FARTHEST_FIT: f64 = 2.0;
/// Profiles next to a corner that see the other side of it: averaging reaches 3 along, blur 2, and the far end of
/// a profile that is 20 degrees off square to the other side another 2.
pub(crate) const NEAR_CORNER: usize = 7;

/// The search width's standard uncertainty: rectangular over 2 x 4 sigma, level pixels.
pub fn unseen_u() -> f64 {
    2.0 * REACH as f64 / PER_PIXEL as f64 / 12f64.sqrt()
}

/// How a stretch of line ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// The line goes on, or is cut by the picture's border.
    Free,
    /// A corner: the last profiles also see the other side.
    Corner,
    /// A place that must not move.
    Held,
}

/// What was found at one point of the path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Where, on the level.
    pub at: [f64; 2],
    /// Standard uncertainty across the line, level pixels.
    pub u: f64,
    /// Depth of the dark line, lightness 0 to 1 (0 when nothing was fitted).
    pub depth: f64,
    /// Lightness on the right of the direction of travel (as seen on the screen) less that on the left.
    pub step: f64,
    /// Half the line's width at half its depth, level pixels (0 when nothing was fitted).
    pub half_width: f64,
    /// Whether contrast over noise was at least three.
    pub seen: bool,
}

/// Finds the line along a path of points about one level pixel apart, in the level's frame.
///
/// Paths shorter than three points come back as they are, unseen.
pub fn refine(plane: &Plane, path: &[[f64; 2]], ends: [End; 2]) -> Vec<Place> {
    let as_it_is = |at: [f64; 2]| Place {
        at,
        u: unseen_u(),
        depth: 0.0,
        step: 0.0,
        half_width: 0.0,
        seen: false,
    };
    let n = path.len();
    if n < 3 || path.iter().any(|p| !(p[0].is_finite() && p[1].is_finite())) {
        return path.iter().map(|&p| as_it_is(p)).collect();
    }
    let normals = normals(path);
    let raw: Vec<Vec<f64>> = path
        .par_iter()
        .zip(&normals)
        .with_min_len(64)
        .map(|(&p, &m)| profile(plane, p, m))
        .collect();
    let near_corner = |i: usize| {
        (ends[0] == End::Corner && i < NEAR_CORNER.min(n / 3))
            || (ends[1] == End::Corner && n - 1 - i < NEAR_CORNER.min(n / 3))
    };

    let chosen = smooth_offsets(&choose(&raw, ends, &near_corner));
    // Profiles are laid on each other to the nearest sample; what that leaves over is put back into the place.
    let offsets: Vec<isize> = chosen.iter().map(|c| c.round() as isize).collect();
    let centre: Vec<f64> = (0..n)
        .map(|i| {
            let reach = ALONG.min(i).min(n - 1 - i);
            let over = (i - reach..=i + reach).map(|j| offsets[j] as f64 - chosen[j]).sum::<f64>();
            (chosen[i] + over / (2 * reach + 1) as f64) / PER_PIXEL as f64
        })
        .collect();
    let mut fits: Vec<Fit> = (0..n)
        .into_par_iter()
        .with_min_len(32)
        .map(|i| fit(&average(&raw, i, Some(&offsets)), true))
        .collect();
    // A bare step has no depth to fit: moving it looks the same as deepening a line (both are a bell), so five
    // parameters do not place it. Line or step is decided over the neighbours, not one by one.
    let is_step: Vec<bool> = (0..n)
        .map(|i| {
            let near = &fits[i.saturating_sub(NEIGHBOURS)..(i + NEIGHBOURS + 1).min(n)];
            2 * near
                .iter()
                .filter(|f| !f.usable || f.depth < LEAST_DEPTH * (f.b - f.a).abs())
                .count()
                > near.len()
        })
        .collect();
    fits.par_iter_mut().zip(&is_step).enumerate().with_min_len(32).for_each(|(i, (f, &step))| {
        if step {
            *f = fit(&average(&raw, i, Some(&offsets)), false);
        }
    });
    // Noise pooled over the neighbours: one profile holds too few independent samples to know its own.
    let pooled = |of: &dyn Fn(&Fit) -> f64| -> Vec<f64> {
        (0..n)
            .map(|i| {
                let mut near: Vec<f64> = fits
                    [i.saturating_sub(NEIGHBOURS)..(i + NEIGHBOURS + 1).min(n)]
                    .iter()
                    .map(of)
                    .collect();
                near.sort_by(f64::total_cmp);
                near[near.len() / 2].sqrt()
            })
            .collect()
    };
    let noise = pooled(&|f| f.variance);
    let left = pooled(&|f| f.residual);
    let mut measured: Vec<(f64, f64)> = Vec::with_capacity(n);
    let mut places: Vec<Place> = Vec::with_capacity(n);
    for i in 0..n {
        let chosen = centre[i];
        let f = &fits[i];
        let contrast = f.depth.abs().max((f.b - f.a).abs());
        let mut place = as_it_is(path[i]);
        let seen =
            f.usable && contrast >= LEAST_CONTRAST * left[i] && contrast > 0.0 && !near_corner(i);
        if seen {
            place.u = (f.spread * noise[i]).clamp(LEAST_U, unseen_u());
            place.depth = f.depth;
            place.step = f.b - f.a;
            place.half_width = f.width * (2.0 * 2f64.ln()).sqrt();
            place.seen = true;
            measured.push((chosen + f.place, place.u));
        } else {
            measured.push((chosen, unseen_u()));
        }
        places.push(place);
    }
    if ends[0] == End::Held {
        measured[0] = (0.0, 1e-3);
    }
    if ends[1] == End::Held {
        measured[n - 1] = (0.0, 1e-3);
    }
    let together = join(&measured);
    for ((place, &t), (p, m)) in places.iter_mut().zip(&together).zip(path.iter().zip(&normals)) {
        let t = t.clamp(-(REACH as f64) / PER_PIXEL as f64, REACH as f64 / PER_PIXEL as f64);
        place.at = [p[0] + t * m[0], p[1] + t * m[1]];
    }
    if ends[0] == End::Held {
        places[0].at = path[0];
    }
    if ends[1] == End::Held {
        places[n - 1].at = path[n - 1];
    }
    places
}

/// The mean over neighbours: one profile's own offset follows its noise, and would carry it into the place.
fn smooth_offsets(offsets: &[isize]) -> Vec<f64> {
    let n = offsets.len();
    (0..n)
        .map(|i| {
            let reach = (2 * ALONG).min(i).min(n - 1 - i);
            offsets[i - reach..=i + reach].iter().sum::<isize>() as f64 / (2 * reach + 1) as f64
        })
        .collect()
}

/// Unit normals: to the right of the direction of travel, as seen on the screen (y down).
fn normals(path: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let n = path.len();
    let mut last = [0.0, 1.0];
    (0..n)
        .map(|i| {
            let (a, b) = (path[i.saturating_sub(2)], path[(i + 2).min(n - 1)]);
            let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
            let long = dx.hypot(dy);
            if long > 1e-9 {
                last = [-dy / long, dx / long];
            }
            last
        })
        .collect()
}

fn profile(plane: &Plane, p: [f64; 2], normal: [f64; 2]) -> Vec<f64> {
    (0..PROFILE)
        .map(|k| {
            let s = (k as f64 - HALF as f64) / PER_PIXEL as f64;
            plane.sample(p[0] + s * normal[0], p[1] + s * normal[1])
        })
        .collect()
}

/// The mean of the profiles about `i`; with offsets, each moved so that the chosen places lie on each other and
/// shortened to the stretch and the samples of the fit.
fn average(raw: &[Vec<f64>], i: usize, offsets: Option<&[isize]>) -> Vec<f64> {
    let reach = ALONG.min(i).min(raw.len() - 1 - i);
    let (from, to) = (i - reach, i + reach);
    let share = 1.0 / (to - from + 1) as f64;
    let (first, count, step) =
        if offsets.is_some() { (REACH, 2 * FIT / COARSE + 1, COARSE) } else { (0, PROFILE, 1) };
    let mut sum = vec![0f64; count];
    for j in from..=to {
        let first = first.saturating_add_signed(offsets.map_or(0, |o| o[j]));
        for (s, v) in sum.iter_mut().zip(raw[j][first..].iter().step_by(step)) {
            *s += v * share;
        }
    }
    sum
}

/// Step 2: the offsets, in samples.
fn choose(raw: &[Vec<f64>], ends: [End; 2], near_corner: &dyn Fn(usize) -> bool) -> Vec<isize> {
    let n = raw.len();
    let states = 2 * REACH + 1;
    let smooth: Vec<Vec<f64>> =
        (0..n).into_par_iter().with_min_len(64).map(|i| average(raw, i, None)).collect();
    let weights: Vec<f64> = (0..=PROFILE / COARSE)
        .map(|k| (-0.5 * (coarse_place(k) / TAPER_WIDE).powi(2)).exp())
        .collect();
    let centred_all: Vec<(Vec<f64>, f64)> = smooth
        .iter()
        .map(|p| centred(&p.iter().step_by(COARSE).copied().collect::<Vec<_>>(), &weights))
        .collect();
    let templates: Vec<Vec<Template>> = (0..states)
        .map(|k| {
            WIDTHS
                .iter()
                .map(|&w| template((k as f64 - REACH as f64) / PER_PIXEL as f64, w, &weights))
                .collect()
        })
        .collect();
    // What counts as flat: a quarter of the usual spread of lightness along a profile.
    let mut spreads: Vec<f64> = centred_all.iter().map(|p| p.1).collect();
    spreads.sort_by(f64::total_cmp);
    let flat = (0.0625 * spreads[n / 2]).max(1e-6);
    let independent = weights.iter().sum::<f64>() * COARSE as f64 / CORRELATED;
    let scores: Vec<Vec<f64>> = centred_all
        .par_iter()
        .with_min_len(64)
        .map(|(p, all)| {
            templates
                .iter()
                .map(|widths| {
                    let most = widths.iter().map(|t| explained(p, t)).fold(0.0, f64::max);
                    0.5 * independent * ((all + flat) / ((all - most).max(0.0) + flat)).ln()
                })
                .collect()
        })
        .collect();
    // Neighbouring profiles share their average: each adds a share of what it says.
    let share = 1.0 / ALONG as f64;
    let most = PER_PIXEL as isize;
    let price: Vec<f64> =
        (0..=most).map(|d| 0.5 * (d as f64 / PER_PIXEL as f64 / JUMP).powi(2)).collect();
    let mut best = vec![0f64; states];
    if ends[0] == End::Held {
        best.fill(f64::NEG_INFINITY);
        best[REACH] = 0.0;
    } else if !near_corner(0) {
        best.copy_from_slice(&scores[0]);
    }
    let mut back: Vec<Vec<i8>> = Vec::with_capacity(n);
    back.push(vec![0; states]);
    for (i, score) in scores.iter().enumerate().skip(1) {
        let mut next = vec![f64::NEG_INFINITY; states];
        let mut from = vec![0i8; states];
        for k in 0..states as isize {
            // The straight step first, then outwards: equal ways prefer the straighter one.
            for d in [0, 1, -1, 2, -2, 3, -3, 4, -4] {
                let j = k + d;
                if j < 0 || j >= states as isize {
                    continue;
                }
                let v = best[j as usize] - price[d.unsigned_abs()];
                if v > next[k as usize] {
                    next[k as usize] = v;
                    from[k as usize] = d as i8;
                }
            }
        }
        if !near_corner(i) {
            for (v, s) in next.iter_mut().zip(score) {
                *v += share * s;
            }
        }
        best = next;
        back.push(from);
    }
    let mut k = REACH;
    if ends[1] != End::Held {
        for (j, v) in best.iter().enumerate() {
            if *v > best[k] {
                k = j;
            }
        }
    }
    let mut offsets = vec![0isize; n];
    for i in (0..n).rev() {
        offsets[i] = k as isize - REACH as isize;
        k = k.saturating_add_signed(isize::from(back[i][k])).min(states - 1);
    }
    offsets
}

/// A profile times the root of the weights, free of a constant, and its sum of squares.
fn centred(p: &[f64], weights: &[f64]) -> (Vec<f64>, f64) {
    let total: f64 = weights.iter().sum();
    let mean = p.iter().zip(weights).map(|(v, w)| v * w).sum::<f64>() / total;
    let out: Vec<f64> = p.iter().zip(weights).map(|(v, w)| (v - mean) * w.sqrt()).collect();
    let sum = out.iter().map(|v| v * v).sum();
    (out, sum)
}

/// Level pixels from the path of a sample of step 2.
fn coarse_place(k: usize) -> f64 {
    (k * COARSE) as f64 / PER_PIXEL as f64 - HALF as f64 / PER_PIXEL as f64
}

/// A dark line and a step at one place, each of unit length under the weights and free of a constant, and their
/// scalar product.
struct Template {
    line: Vec<f64>,
    step: Vec<f64>,
    shared: f64,
}

fn template(place: f64, width: f64, weights: &[f64]) -> Template {
    let unit = |f: &dyn Fn(f64) -> f64| {
        let raw: Vec<f64> =
            (0..weights.len()).map(|k| f((coarse_place(k) - place) / width)).collect();
        let (v, sum) = centred(&raw, weights);
        let long = sum.sqrt().max(1e-12);
        v.iter().map(|v| v / long).collect::<Vec<_>>()
    };
    let line = unit(&|s| -(-0.5 * s * s).exp());
    let step = unit(&|s| erf(s / 2f64.sqrt()));
    let shared = line.iter().zip(&step).map(|(a, b)| a * b).sum();
    Template { line, step, shared }
}

/// Sum of squares that a step and a dark line (no bright one) take off a centred profile.
fn explained(p: &[f64], t: &Template) -> f64 {
    let dot = |t: &[f64]| t.iter().zip(p).map(|(t, v)| t * v).sum::<f64>();
    let (line, step) = (dot(&t.line), dot(&t.step));
    // The line's own share once the step is taken into account.
    let depth = line - t.shared * step;
    if depth > 0.0 {
        step * step + depth * depth / (1.0 - t.shared * t.shared).max(1e-9)
    } else {
        step * step
    }
}

/// Step 3: five parameters about the middle of a profile.
struct Fit {
    a: f64,
    b: f64,
    depth: f64,
    place: f64,
    width: f64,
    /// Mean square of what the fit leaves.
    residual: f64,
    /// Variance of the noise on one sample of the averaged profile: `residual` plus what the fit took up.
    variance: f64,
    /// Standard error of the place for noise of one.
    spread: f64,
    usable: bool,
}

fn fit(profile: &[f64], with_line: bool) -> Fit {
    let n = profile.len();
    let at = |k: usize| (k as f64 - (n / 2) as f64) * COARSE as f64 / PER_PIXEL as f64;
    let end = n / 6;
    let mean = |p: &[f64]| p.iter().sum::<f64>() / p.len() as f64;
    let (a, b) = (mean(&profile[..end]), mean(&profile[n - end..]));
    let middle = mean(&profile[n / 2 - 1..=n / 2 + 1]);
    let mut x = [a, b, if with_line { (0.5 * (a + b) - middle).max(0.0) } else { 0.0 }, 0.0, 1.2];
    let weights: Vec<f64> = (0..n).map(|k| (-0.5 * (at(k) / TAPER).powi(2)).exp()).collect();
    let look = |x: &[f64; 5]| {
        let (mut sum, mut jj, mut jr) = (0.0, [[0f64; 5]; 5], [0f64; 5]);
        for (k, (value, weight)) in profile.iter().zip(&weights).enumerate() {
            let (m, mut g) = model(x, at(k));
            if !with_line {
                g[2] = 0.0;
            }
            let (off, heavy) = (value - m, g.map(|v| v * weight));
            sum += weight * off * off;
            for i in 0..5 {
                jr[i] += heavy[i] * off;
                for j in 0..=i {
                    jj[i][j] += heavy[i] * g[j];
                }
            }
        }
        (sum, jj, jr)
    };
    let (mut sum, mut jj, mut jr) = look(&x);
    let mut damping = 1e-3;
    for _ in 0..25 {
        let mut damped = jj;
        for i in 0..5 {
            damped[i][i] += damping * jj[i][i] + 1e-12;
        }
        let Some(step) = solve(&damped, &jr) else { break };
        let mut next = x;
        for i in 0..5 {
            next[i] += step[i];
        }
        next[4] = next[4].clamp(0.4, 3.5);
        let found = look(&next);
        if found.0 <= sum {
            let moved = (next[3] - x[3]).abs() + (next[4] - x[4]).abs();
            x = next;
            (sum, jj, jr) = found;
            damping = (damping * 0.3).max(1e-9);
            if moved < 1e-3 {
                break;
            }
        } else {
            damping *= 8.0;
            if damping > 1e6 {
                break;
            }
        }
    }
    let jacobian: Vec<[f64; 5]> = (0..n)
        .map(|k| {
            let mut g = model(&x, at(k)).1;
            if !with_line {
                g[2] = 0.0;
            }
            g
        })
        .collect();
    let mut normal = [[0f64; 5]; 5];
    for (g, w) in jacobian.iter().zip(&weights) {
        for i in 0..5 {
            for j in 0..5 {
                normal[i][j] += w * g[i] * g[j];
            }
        }
    }
    for (i, row) in normal.iter_mut().enumerate() {
        row[i] += 1e-12;
    }
    let place_of = |g: &[f64; 5]| solve(&normal, g);
    // Noise of one on each sample, correlated as in the header: what is left of it in the residuals, and what of it
    // gets into the place. `gain[k]` is what the five parameters make of sample k.
    let gain: Option<Vec<[f64; 5]>> =
        jacobian.iter().zip(&weights).map(|(g, w)| place_of(&g.map(|v| v * w))).collect();
    let total: f64 = weights.iter().sum();
    let (spread, left) = gain.as_ref().map_or((f64::NAN, f64::NAN), |gain| {
        let (mut place, mut left) = (0.0, total);
        let mut gcg = [[0f64; 5]; 5];
        for k in 0..n {
            let mut gc = [0f64; 5];
            let reach = 2 * PER_PIXEL / COARSE;
            let near = k.saturating_sub(reach)..(k + reach + 1).min(n);
            for (l, gain) in gain.iter().enumerate().take(near.end).skip(near.start) {
                let c = covariance(COARSE * k.abs_diff(l));
                for i in 0..5 {
                    gc[i] += gain[i] * c;
                }
            }
            place += gc[3] * gain[k][3];
            left -= 2.0 * weights[k] * (0..5).map(|i| jacobian[k][i] * gc[i]).sum::<f64>();
            for i in 0..5 {
                for j in 0..5 {
                    gcg[i][j] += gc[i] * gain[k][j];
                }
            }
        }
        for i in 0..5 {
            for j in 0..5 {
                left += normal[i][j] * gcg[i][j];
            }
        }
        (place.max(0.0).sqrt(), left / total)
    });
    let residual = sum / total;
    let variance = residual / left.max(0.05);
    let usable = x[3].abs() <= FARTHEST_FIT
        && x.iter().all(|v| v.is_finite())
        && spread.is_finite()
        && variance.is_finite();
    Fit {
        a: x[0],
        b: x[1],
        depth: x[2],
        place: x[3],
        width: x[4],
        residual,
        variance,
        spread,
        usable,
    }
}

/// Correlation of two samples of a bilinear profile this many samples apart: a triangle with itself, the cubic
/// B-spline, over its value at zero.
fn covariance(samples: usize) -> f64 {
    let d = samples as f64 / PER_PIXEL as f64;
    if d < 1.0 { 1.0 - 1.5 * d * d + 0.75 * d * d * d } else { 0.25 * (2.0 - d).max(0.0).powi(3) }
}

/// Lightness at `s` and its derivatives by level a, level b, depth, place and width.
fn model(x: &[f64; 5], s: f64) -> (f64, [f64; 5]) {
    let [a, b, depth, place, width] = *x;
    let v = (s - place) / width;
    let bell = (-0.5 * v * v).exp();
    let e = erf_with(v * std::f64::consts::FRAC_1_SQRT_2, bell);
    let slope = (b - a) * bell / (std::f64::consts::TAU.sqrt() * width);
    let value = 0.5 * (a + b) + 0.5 * (b - a) * e - depth * bell;
    let by_place = -slope - depth * bell * v / width;
    (value, [0.5 * (1.0 - e), 0.5 * (1.0 + e), -bell, by_place, by_place * v])
}

/// Error function to 1.5e-7: Abramowitz and Stegun 7.1.26 (recalled; the test integrates it).
fn erf(x: f64) -> f64 {
    erf_with(x, (-x * x).exp())
}

/// The same where `exp(-x^2)` is known.
fn erf_with(x: f64, bell: f64) -> f64 {
    let t = 1.0 / (1.0 + 0.327_591_1 * x.abs());
    let poly = ((((1.061_405_429 * t - 1.453_152_027) * t + 1.421_413_741) * t - 0.284_496_736)
        * t
        + 0.254_829_592)
        * t;
    (1.0 - poly * bell).copysign(x)
}

/// Cholesky for a symmetric matrix given by its lower triangle; `None` when it is not positive.
fn solve(of: &[[f64; 5]; 5], right: &[f64; 5]) -> Option<[f64; 5]> {
    let mut l = *of;
    for i in 0..5 {
        for j in 0..=i {
            let sum: f64 = (0..j).map(|k| l[i][k] * l[j][k]).sum();
            if i == j {
                let d = l[i][i] - sum;
                if d.is_nan() || d <= 0.0 {
                    return None;
                }
                l[i][i] = d.sqrt();
            } else {
                l[i][j] = (l[i][j] - sum) / l[j][j];
            }
        }
    }
    let mut x = *right;
    for i in 0..5 {
        let sum: f64 = (0..i).map(|k| l[i][k] * x[k]).sum();
        x[i] = (x[i] - sum) / l[i][i];
    }
    for i in (0..5).rev() {
        let sum: f64 = (i + 1..5).map(|k| l[k][i] * x[k]).sum();
        x[i] = (x[i] - sum) / l[i][i];
    }
    Some(x)
}

/// Step 4: the most likely random walk through places with these errors, outliers beyond 2 errors weighted down (Huber).
fn join(measured: &[(f64, f64)]) -> Vec<f64> {
    let n = measured.len();
    let link = 1.0 / (WALK * WALK);
    let mut weights: Vec<f64> = measured.iter().map(|m| 1.0 / (m.1 * m.1)).collect();
    let mut at: Vec<f64> = measured.iter().map(|m| m.0).collect();
    for _ in 0..6 {
        // Thomas' algorithm: the diagonal dominates, so it cannot divide by zero.
        let mut c = vec![0f64; n];
        let mut d = vec![0f64; n];
        for i in 0..n {
            let links = f64::from(u8::from(i > 0)) + f64::from(u8::from(i + 1 < n));
            let diagonal = weights[i] + link * links;
            let right = weights[i] * measured[i].0;
            let (before_c, before_d) = if i > 0 { (c[i - 1], d[i - 1]) } else { (0.0, 0.0) };
            let low = if i > 0 { -link } else { 0.0 };
            let pivot = diagonal - low * before_c;
            c[i] = -link / pivot;
            d[i] = (right - low * before_d) / pivot;
        }
        for i in (0..n).rev() {
            at[i] = d[i] - if i + 1 < n { c[i] * at[i + 1] } else { 0.0 };
        }
        for ((w, m), t) in weights.iter_mut().zip(measured).zip(&at) {
            let away = (m.0 - t).abs() / m.1;
            *w = (1.0f64).min(2.0 / away.max(1e-12)) / (m.1 * m.1);
        }
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Second method: Simpson's rule on the definition, 1e-9; the formula promises 1.5e-7.
    #[test]
    fn the_error_function_is_the_integral_it_stands_for() {
        for x in [-3.0, -1.0, -0.2, 0.0, 0.3, 1.0, 2.5f64] {
            let h = x / 1000.0;
            let f = |k: usize| (-(h * k as f64).powi(2)).exp();
            let sum: f64 = (0..500).map(|k| f(2 * k) + 4.0 * f(2 * k + 1) + f(2 * k + 2)).sum();
            let integral = 2.0 / std::f64::consts::PI.sqrt() * h / 3.0 * sum;
            assert!((erf(x) - integral).abs() < 2e-7, "{x}");
        }
    }

    /// Second method: differences of the model.
    #[test]
    fn the_models_slopes_are_its_differences() {
        let x = [0.2, 0.5, 0.15, 0.3, 1.3];
        for s in [-2.0, -0.4, 0.3, 1.7] {
            let (_, g) = model(&x, s);
            for i in 0..5 {
                let h = 1e-3;
                let (mut up, mut low) = (x, x);
                up[i] += h;
                low[i] -= h;
                let d = (model(&up, s).0 - model(&low, s).0) / (2.0 * h);
                assert!((d - g[i]).abs() < 3e-4, "parameter {i} at {s}: {d} {}", g[i]);
            }
        }
    }

    #[test]
    fn an_exact_profile_gives_its_five_numbers_back() {
        let x = [0.2, 0.5, 0.15, 0.3, 1.3];
        let profile: Vec<f64> = (0..=2 * FIT)
            .step_by(COARSE)
            .map(|k| model(&x, (k as f64 - FIT as f64) / PER_PIXEL as f64).0)
            .collect();
        let f = fit(&profile, true);
        assert!(f.usable);
        for (got, want) in [f.a, f.b, f.depth, f.place, f.width].iter().zip(x) {
            assert!((got - want).abs() < 1e-4, "{got} {want}");
        }
    }

    /// An outlier pulls with at most 2 / u = 20 (Huber); the chain on both sides of it holds with
    /// sqrt(w^2 + 4 w k) - w = 41.4 for w = 1/u^2 = 100 and k = 1/0.2^2 = 25: it gives way by 0.483.
    #[test]
    fn a_walk_without_noise_is_left_alone_and_a_far_outlier_is_not_followed() {
        let mut measured: Vec<(f64, f64)> = (0..40).map(|_| (1.0, 0.1)).collect();
        for t in join(&measured) {
            assert!((t - 1.0).abs() < 1e-9);
        }
        measured[20].0 = 5.0;
        let t = join(&measured)[20];
        assert!((t - 1.483).abs() < 0.02, "{t}");
    }
}
