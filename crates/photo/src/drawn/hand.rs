//! Where a hand sets points on a drawn photograph.
//!
//! ```text
//!   ●────●────┄┄toe┄┄────●     evenly along the outline, moved on where a root or a toe is near:
//!   │                    ●     the answer must come from the line, not from a point set on it
//!   ●────●────●───┄root┄─┘
//! ```
//!
//! The rule knows the outline and where readings end, and nothing of how a reader works.

use super::Px;
use super::truth::Truth;
use rand::Rng;
use rand_chacha::ChaCha8Rng;

/// Shake of a hand on the fusion line, share of the outline's width.
pub const SHAKE_ON_THE_LINE: f64 = 0.005;
/// Shake of a hand on a straight edge or a rule's tick, px.
pub const SHAKE_ON_AN_EDGE_PX: f64 = 1.0;

/// A point as a hand sets it: off by a normal shake in each direction, never outside the picture.
pub fn set(p: Px, shake_px: f64, truth: &Truth, rng: &mut ChaCha8Rng) -> Px {
    let [a, b] = shake(rng, shake_px);
    let inside = |v: f64, side: u32| v.clamp(0.0, f64::from(side) - 1.0);
    [inside(p[0] + a, truth.width), inside(p[1] + b, truth.height)]
}

/// Two normal numbers.
pub fn shake(rng: &mut ChaCha8Rng, sd: f64) -> [f64; 2] {
    let r = sd * (-2.0 * (1.0 - rng.random::<f64>()).ln()).sqrt();
    let a = std::f64::consts::TAU * rng.random::<f64>();
    [r * a.cos(), r * a.sin()]
}

/// The points that a hand sets along each outline, at most eight, in the outlines' order.
pub fn outlines(truth: &Truth, rng: &mut ChaCha8Rng) -> Vec<Vec<Px>> {
    let readings = truth.readings().ok();
    truth
        .fused
        .iter()
        .enumerate()
        .map(|(i, fused)| {
            // Roots and toes are where readings were taken: their ends are kept clear of.
            let shunned: Vec<Px> = readings
                .iter()
                .filter_map(|r| r.welds.get(i))
                .flat_map(|w| w.dimensions.iter().flat_map(|d| [d.from, d.to]))
                .map(|p| truth.camera.px_from_section(p))
                .collect();
            along(&fused.px, &shunned)
                .into_iter()
                .map(|p| set(p, SHAKE_ON_THE_LINE * width(&fused.px), truth, rng))
                .collect()
        })
        .collect()
}

/// The shorter side of the box around an outline, pixels.
fn width(px: &[Px]) -> f64 {
    let side = |k: usize| {
        let v = px.iter().map(|p| p[k]);
        v.clone().fold(f64::NEG_INFINITY, f64::max) - v.fold(f64::INFINITY, f64::min)
    };
    side(0).min(side(1))
}

/// Eight points evenly along the outline, moved on where a root or a toe is within 5 % of its length.
fn along(px: &[Px], shunned: &[Px]) -> Vec<Px> {
    let n = px.len();
    let step = |i: usize| {
        let (a, b) = (px[i], px[(i + 1) % n]);
        (b[0] - a[0]).hypot(b[1] - a[1])
    };
    let mut at = vec![0.0; n];
    for i in 1..n {
        at[i] = at[i - 1] + step(i - 1);
    }
    let length = at[n - 1] + step(n - 1);
    let place = |p: &Px| {
        let near = |i: &usize| (px[*i][0] - p[0]).hypot(px[*i][1] - p[1]);
        (0..n)
            .min_by(|a, b| near(a).total_cmp(&near(b)))
            .filter(|i| near(i) < 0.02 * length)
            .map(|i| at[i])
    };
    let shunned: Vec<f64> = shunned.iter().filter_map(place).collect();
    let gap = |a: f64, b: f64| {
        let d = (a - b).rem_euclid(length);
        d.min(length - d)
    };
    let mut out: Vec<(f64, Px)> = Vec::new();
    for k in 0..8 {
        let mut s = length * (f64::from(k) + 0.5) / 8.0;
        for _ in 0..20 {
            match shunned.iter().find(|&&bad| gap(s, bad) < 0.0501 * length) {
                Some(_) => s = (s + 0.01 * length).rem_euclid(length),
                None => break,
            }
        }
        if shunned.iter().any(|&bad| gap(s, bad) < 0.05 * length)
            || out.iter().any(|(o, _)| gap(*o, s) < 0.03 * length)
        {
            continue;
        }
        let i = at.partition_point(|&a| a <= s).saturating_sub(1);
        let t = (s - at[i]) / step(i).max(1e-9);
        let (a, b) = (px[i], px[(i + 1) % n]);
        out.push((s, [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]));
    }
    out.sort_by(|a, b| a.0.total_cmp(&b.0));
    out.into_iter().map(|(_, p)| p).collect()
}
