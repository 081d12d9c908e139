//! Where a hand sets points on a drawn photograph.
//!
//! ```text
//!        ●┄┄toe┄┄●──face──●┄┄toe┄┄●     beside each toe and on both sides of the root, as near as a rule allows
//!         ╲                      ╱      that keeps clear of them, and the middle of each flank: eight points or fewer.
//!          ●                    ●       The answer must come from the line, not from a point set on it.
//!           ╲                  ╱
//!            ●┄┄┄┄ root ┄┄┄┄┄┄●
//! ```
//!
//! The rule knows the outline and where toes and root lie, and nothing of how a reader works.

use super::Px;
use super::truth::Truth;
use rand::Rng;
use rand_chacha::ChaCha8Rng;
use weld::reading::Reading;
use weld::section::{Point, Section, SectionReading};

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
            let [one, other, root] = toes_and_root(&truth.section, readings.as_ref(), i)
                .map(|p| truth.camera.px_from_section(p));
            along(&fused.px, [one, other], root)
                .into_iter()
                .map(|p| set(p, SHAKE_ON_THE_LINE * width(&fused.px), truth, rng))
                .collect()
        })
        .collect()
}

/// Where a person sees toes and root of one weld; a weld without a root has its deepest point there.
fn toes_and_root(section: &Section, truth: Option<&SectionReading>, weld: usize) -> [Point; 3] {
    let outline = &section.fused[weld].outline;
    let find = |reading| {
        let weld = truth?.welds.get(weld)?;
        weld.dimensions.iter().find(|d| d.reading == reading)
    };
    let farthest = |a: Point, b: Point| {
        let off = |p: &Point| (b - a).cross(*p - a).abs();
        outline.iter().copied().max_by(|p, q| off(p).total_cmp(&off(q))).unwrap_or(a)
    };
    let [one, other] =
        match (find(Reading::LegBase), find(Reading::LegUpright), find(Reading::WidthSurface)) {
            (Some(base), Some(upright), _) => [base.to, upright.to],
            (_, _, Some(width)) => [width.from, width.to],
            _ => [outline[0], outline[outline.len() / 2]],
        };
    let root = find(Reading::RootPenetration).or_else(|| find(Reading::Penetration));
    [one, other, root.map_or_else(|| farthest(one, other), |d| d.to)]
}

/// The shorter side of the box around an outline, pixels.
fn width(px: &[Px]) -> f64 {
    let side = |k: usize| {
        let v = px.iter().map(|p| p[k]);
        v.clone().fold(f64::NEG_INFINITY, f64::max) - v.fold(f64::INFINITY, f64::min)
    };
    side(0).min(side(1))
}

/// How far from toes and root points are set at least, share of the outline's length: a little over what is asked of a
/// study that sets none within 5 %.
const CLEAR: f64 = 0.055;
/// Places on the outline among which points are chosen.
const PLACES: usize = 2000;
/// An arc shorter than this share of the outline gets no point in its middle, and one shorter than half of it one point.
const SHORT: f64 = 0.04;

/// Points on the outline beside each toe and on both sides of the root, and the middle of each flank.
fn along(px: &[Px], toes: [Px; 2], root: Px) -> Vec<Px> {
    let apart = |a: Px, b: Px| (b[0] - a[0]).hypot(b[1] - a[1]);
    let (even, length) = evenly(px);
    let nearest = |p: Px| {
        (0..PLACES).min_by(|&a, &b| apart(even[a], p).total_cmp(&apart(even[b], p))).unwrap_or(0)
    };
    let [one, other] = toes.map(nearest);
    let deep = nearest(root);
    let clear =
        |k: usize| [toes[0], toes[1], root].iter().all(|&q| apart(even[k], q) >= CLEAR * length);
    let steps = |a: usize, b: usize| (b + PLACES - a) % PLACES;
    // The face first: from one toe forward to the other without passing the root.
    let (one, other) =
        if steps(one, deep) < steps(one, other) { (other, one) } else { (one, other) };
    let mut out = Vec::new();
    for (from, to, middle) in [(one, other, false), (other, deep, true), (deep, one, true)] {
        let places: Vec<usize> =
            (0..=steps(from, to)).map(|k| (from + k) % PLACES).filter(|&k| clear(k)).collect();
        let (Some(&first), Some(&last)) = (places.first(), places.last()) else { continue };
        let long = steps(first, last) as f64 / PLACES as f64;
        out.push(even[first]);
        if middle && long > SHORT {
            out.push(even[places[places.len() / 2]]);
        }
        if long > 0.5 * SHORT {
            out.push(even[last]);
        }
    }
    out
}

/// An outline as evenly spaced places, and its length.
fn evenly(px: &[Px]) -> (Vec<Px>, f64) {
    let n = px.len();
    let step = |i: usize| {
        let (a, b) = (px[i % n], px[(i + 1) % n]);
        (b[0] - a[0]).hypot(b[1] - a[1])
    };
    let length: f64 = (0..n).map(step).sum();
    let mut out = Vec::with_capacity(PLACES);
    let (mut i, mut before) = (0, 0.0);
    for k in 0..PLACES {
        let s = length * k as f64 / PLACES as f64;
        while i + 1 < n && before + step(i) < s {
            before += step(i);
            i += 1;
        }
        let (a, b) = (px[i], px[(i + 1) % n]);
        let t = (s - before) / step(i).max(1e-9);
        out.push([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]);
    }
    (out, length)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A rectangle of 10 x 4 lying on its face, length 28: toes at the upper corners, root in the middle below. By the rule
    /// two points lie on the face and three on each flank, none nearer than 5 % of 28 = 1.4 to a toe or the root.
    #[test]
    fn no_more_than_eight_points_and_none_near_a_toe_or_the_root() {
        let outline = [[0.0, 0.0], [10.0, 0.0], [10.0, 4.0], [0.0, 4.0]];
        let shunned = [[0.0, 0.0], [10.0, 0.0], [5.0, 4.0]];
        for turned in 0..4 {
            let mut px = outline.to_vec();
            px.rotate_left(turned);
            let points = along(&px, [shunned[0], shunned[1]], shunned[2]);
            assert_eq!(points.len(), 8);
            assert_eq!(points.iter().filter(|p| p[1] == 0.0).count(), 2, "{points:?}");
            for p in &points {
                let near = shunned.iter().map(|q| (p[0] - q[0]).hypot(p[1] - q[1]));
                assert!(near.fold(f64::INFINITY, f64::min) >= 0.05 * 28.0, "{p:?}");
            }
        }
    }
}
