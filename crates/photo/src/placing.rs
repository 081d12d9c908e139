//! On which side of a dark line the boundary lies: what the set points say of it.
//!
//! ```text
//!        ●        ●      set points, off by a hand's shake each, but together on the boundary that the person sees
//!   ━━━━━━━━━━━━━━━━━━   the line that the tool follows: its middle
//!              ●
//! ```
//!
//! A fusion line is several pixels wide, and where it is the edge of a darker band the tool may lie on the band's middle. How
//! far the line as a whole lies beside the boundary is known twice: not better than the line's half-width (rectangular) and the
//! tool's own placing, and from the set points, whose offsets scatter by the hand's shake. Both together, each weighed by its
//! variance, move the outline's part in metal along its normals, and leave a smaller doubt. What the line wanders off the
//! boundary from place to place, no mean over the set points takes away.
//!
//! Source: two estimates of one quantity weighed by their variances, the textbook's (as
//! [`JCGM_101`](weld::source::JCGM_101) takes its inputs: independent, stated). How closely a hand sets a point on a fusion
//! line, 0.5 % of the zone's width: common practice, no source; where the points scatter more, their scatter is taken.
//!
//! Guarantees: with fewer than three set points in metal the outline stays; held points and the face towards air stay.
//! Not covered: a person whose points are all set on another line than the boundary.

use crate::evidence::span;
use crate::marks::Px;
use crate::pyramid::size_of_pixel;
use crate::trace::{Outline, area, crossing_pair, distance};

/// How surely a guided line in metal is placed at best, as a whole and again from place to place, standard uncertainty in
/// pixels of its level: in drawn sections, roots taken from outlines with smaller doubts lay outside their intervals too
/// often (`examples/drawn_coverage`).
const PLACED_WITHIN: f64 = 1.7;
/// A hand's shake on a fusion line, share of the zone's width.
const SHAKE: f64 = 0.005;
/// Fewer points than this tell nothing.
const LEAST_POINTS: usize = 3;
/// Points on the outline over which a shift fades out towards the face.
const FADES: usize = 12;

/// How surely a line of this half-width is placed as a whole, standard uncertainty, for pixels of this size.
#[must_use]
pub fn of_line(half_width_px: Option<f64>, size: f64) -> f64 {
    (half_width_px.unwrap_or(0.0) / 3f64.sqrt()).hypot(PLACED_WITHIN * size)
}

/// A closed guided outline moved to where line and set points together say that the boundary lies. Points that are held stay.
#[must_use]
pub fn placed(outline: Outline, points: &[Px], hold: &[usize]) -> Outline {
    let Some((shift, u)) = of(&outline, points) else { return outline };
    let held: Vec<Px> = hold.iter().filter_map(|&i| points.get(i).copied()).collect();
    let others = outline.others.iter().map(|other| moved(other, shift, u, &held)).collect();
    Outline { others, ..moved(&outline, shift, u, &held) }
}

/// How far outward the line must be moved, and how surely it is placed then.
fn of(outline: &Outline, points: &[Px]) -> Option<(f64, f64)> {
    let size = size_of_pixel(outline.level);
    let normals = outward(outline)?;
    let mut offsets: Vec<f64> =
        points.iter().filter_map(|&p| offset(outline, &normals, p)).collect();
    let n = offsets.len();
    if n < LEAST_POINTS {
        return None;
    }
    offsets.sort_by(f64::total_cmp);
    let middle = 0.5 * (offsets[(n - 1) / 2] + offsets[n / 2]);
    let mut off: Vec<f64> = offsets.iter().map(|o| (o - middle).abs()).collect();
    off.sort_by(f64::total_cmp);
    // Of a normal distribution half lies within 0.6745 standard deviations.
    let scatter = off[n / 2] / 0.6745;
    let shake = scatter.max(SHAKE * width(&outline.px)).max(0.5 * size);
    // A point set astray tells nothing of the line.
    let kept: Vec<f64> =
        offsets.into_iter().filter(|o| (o - middle).abs() <= 3.0 * shake).collect();
    let mean = kept.iter().sum::<f64>() / kept.len() as f64;
    let wander = PLACED_WITHIN * size;
    let hand = shake.hypot(wander) / (kept.len() as f64).sqrt();
    let line = outline.placed_u_px;
    let weight = line * line / (line * line + hand * hand);
    Some((weight * mean, (line * hand / line.hypot(hand)).hypot(wander)))
}

/// The outline moved along its normals where it lies in metal; unmoved where that would tie it into a knot.
fn moved(outline: &Outline, shift: f64, u: f64, held: &[Px]) -> Outline {
    let Some(normals) = outward(outline) else { return outline.clone() };
    let n = outline.px.len();
    let stays =
        |i: usize| outline.at_mount[i] || held.iter().any(|&p| distance(p, outline.px[i]) < 1e-6);
    let fixed: Vec<usize> = (0..n).filter(|&i| stays(i)).collect();
    let px: Vec<Px> = (0..n)
        .map(|i| {
            // Points to the nearest that stays.
            let near = match fixed.binary_search(&i) {
                Ok(_) => 0,
                Err(_) if fixed.is_empty() => FADES,
                Err(k) => {
                    let around = |j: usize| i.abs_diff(j).min(n - i.abs_diff(j));
                    let m = fixed.len();
                    around(fixed[k % m]).min(around(fixed[(k + m - 1) % m]))
                }
            };
            let share = (near as f64 / FADES as f64).min(1.0);
            [0, 1].map(|c| outline.px[i][c] + share * shift * normals[i][c])
        })
        .collect();
    let mut out = Outline { px, placed_u_px: u, ..outline.clone() };
    for _ in 0..MOST_LOOPS {
        let Some((i, j)) = crossing_pair(&out.px, true) else { return out };
        if (j - i) * 10 > n {
            break;
        }
        out.leave_out(i + 1..=j);
    }
    Outline { placed_u_px: u, ..outline.clone() }
}

/// Loops that a shift may tie where the outline bends sharply, and that are cut out again.
const MOST_LOOPS: usize = 20;

/// How far a set point lies outward of the outline; nothing where it is at the face or at a corner.
fn offset(outline: &Outline, normals: &[Px], p: Px) -> Option<f64> {
    let n = outline.px.len();
    let i = (0..n)
        .min_by(|&a, &b| distance(outline.px[a], p).total_cmp(&distance(outline.px[b], p)))?;
    let clear = |k: usize| !outline.at_mount[(i + n + k - FADES) % n];
    if !(0..=2 * FADES).all(clear) {
        return None;
    }
    let d = [p[0] - outline.px[i][0], p[1] - outline.px[i][1]];
    Some(d[0] * normals[i][0] + d[1] * normals[i][1])
}

/// Unit normals, outward; nothing for an outline of a few points.
fn outward(outline: &Outline) -> Option<Vec<Px>> {
    let px = &outline.px;
    let n = px.len();
    let outward = if area(px) >= 0.0 { 1.0 } else { -1.0 };
    let normal = |i: usize| {
        // Over some points, so that roughness of the line does not turn them.
        let (a, b) = (px[(i + n - 6) % n], px[(i + 6) % n]);
        let d = [b[0] - a[0], b[1] - a[1]];
        let long = d[0].hypot(d[1]);
        if long > 1e-9 { [outward * d[1] / long, -outward * d[0] / long] } else { [0.0, 0.0] }
    };
    (n > 2 * FADES).then(|| (0..n).map(normal).collect())
}

/// The shorter side of the box around some places.
fn width(px: &[Px]) -> f64 {
    let (low, high) = span(px);
    (high[0] - low[0]).min(high[1] - low[1])
}
