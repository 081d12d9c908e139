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

/// How surely a guided line in metal is placed as a whole at best, standard uncertainty in pixels of its level.
const PLACED_WITHIN: f64 = 1.7;
/// How far the line wanders off the boundary from place to place, standard deviation in pixels of its level: the first at the
/// second's evidence, e times as far for each third less, never more than the fourth. Fitted by eye to where 437 roots and
/// deepest points were read in drawn sections of both drawers (`examples/drawn_coverage`): with what is common to the whole line
/// they lay 1.0, 1.3, 1.6, 2.9 and 3.6 pixels off (one standard deviation) at evidence 0.89, 0.86, 0.82, 0.77 and 0.72.
const WANDERS: f64 = 0.9;
const AT_EVIDENCE: f64 = 0.87;
const FOR_EACH: f64 = 0.085;
const AT_MOST: f64 = 3.5;
/// A hand's shake on a fusion line, share of the zone's width.
const SHAKE: f64 = 0.005;
/// Fewer points than this tell nothing.
const LEAST_POINTS: usize = 3;
/// Points on the outline over which a shift fades out towards the face.
const FADES: usize = 12;

/// How surely a line of this half-width and mean evidence is placed, standard uncertainty, for pixels of this size.
#[must_use]
pub fn of_line(half_width_px: Option<f64>, evidence: f64, size: f64) -> f64 {
    as_a_whole(half_width_px, size).hypot(wander(evidence, size))
}

fn as_a_whole(half_width_px: Option<f64>, size: f64) -> f64 {
    (half_width_px.unwrap_or(0.0) / 3f64.sqrt()).hypot(PLACED_WITHIN * size)
}

fn wander(evidence: f64, size: f64) -> f64 {
    (WANDERS * ((AT_EVIDENCE - evidence) / FOR_EACH).exp()).clamp(WANDERS, AT_MOST) * size
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
    let wander = wander(outline.evidence, size);
    let hand = shake.hypot(wander) / (kept.len() as f64).sqrt();
    let line = as_a_whole(outline.line_half_width_px, size);
    let weight = line * line / (line * line + hand * hand);
    Some((weight * mean, (line * hand / line.hypot(hand)).hypot(wander)))
}

/// The outline moved along its normals where it lies in metal. Where that would tie it into a knot it stays, and what it should
/// have been moved by is in its doubt.
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
    Outline { placed_u_px: u.hypot(shift), ..outline.clone() }
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trace::{Along, Shape};

    const RADIUS: f64 = 200.0;

    /// A closed outline through these places, level 0, nothing of it at the mount.
    fn outline(px: Vec<Px>) -> Outline {
        let n = px.len();
        Outline {
            u_px: vec![0.5; n],
            seen: vec![true; n],
            at_mount: vec![false; n],
            evidence_at: vec![AT_EVIDENCE; n],
            shape: Shape::Closed,
            along: Along::Middle,
            corners: Vec::new(),
            set_px: Vec::new(),
            level: 0,
            // With 1.7 as a whole: hypot(1.7, 2.471841) = 3.
            line_half_width_px: Some(2.471_841 * 3f64.sqrt()),
            placed_u_px: 3.0,
            evidence: AT_EVIDENCE,
            remarks: Vec::new(),
            likely: 1.0,
            others: Vec::new(),
            px,
        }
    }

    fn on_circle(radius: f64, share: f64) -> Px {
        let (sin, cos) = (std::f64::consts::TAU * share).sin_cos();
        [300.0 + radius * cos, 300.0 + radius * sin]
    }

    fn circle() -> Outline {
        outline((0..1256).map(|k| on_circle(RADIUS, f64::from(k) / 1256.0)).collect())
    }

    fn radius(p: Px) -> f64 {
        distance(p, [300.0, 300.0])
    }

    /// By hand. Eight points 5 px outside a circle of radius 200: their offsets do not scatter, so the shake is 0.5 % of 400,
    /// 2 px; with the wander 0.9 a point is known to hypot(2, 0.9) = 2.19317, eight to 0.77540. Weight 9 / (9 + 0.60125) =
    /// 0.93738, shift 4.6869; doubt 3 x 0.77540 / 3.09859 = 0.75073, with the wander 1.17200.
    #[test]
    fn line_and_set_points_are_weighed_by_their_variances() {
        let points: Vec<Px> = (0..8).map(|k| on_circle(RADIUS + 5.0, f64::from(k) / 8.0)).collect();
        let placed = placed(circle(), &points, &[]);
        assert!(placed.px.iter().all(|&p| (radius(p) - 204.6869).abs() < 2e-3));
        assert!((placed.placed_u_px - 1.17200).abs() < 2e-4, "{}", placed.placed_u_px);
    }

    /// By hand: 0.085 below the evidence at which a line wanders 0.9 px it wanders e times as far, and never more than 3.5 px.
    #[test]
    fn a_fainter_line_wanders_further() {
        assert!((wander(0.785, 1.0) - 0.9 * std::f64::consts::E).abs() < 1e-9);
        assert!((wander(0.95, 2.0) - 1.8).abs() < 1e-12);
        assert!((wander(0.3, 1.0) - 3.5).abs() < 1e-12);
        assert!((of_line(Some(3.0), 0.3, 1.0) - (3.0f64 + 1.7 * 1.7 + 12.25).sqrt()).abs() < 1e-12);
    }

    /// By hand: one of nine points 60 px off is left out, so that the eight give the shift of the test above. With it the mean
    /// would be 11.1 px.
    #[test]
    fn a_point_set_astray_tells_nothing_of_the_line() {
        let mut points: Vec<Px> =
            (0..8).map(|k| on_circle(RADIUS + 5.0, f64::from(k) / 8.0)).collect();
        points.push(on_circle(RADIUS + 60.0, 0.07));
        let placed = placed(circle(), &points, &[]);
        assert!(placed.px.iter().all(|&p| (radius(p) - 204.6869).abs() < 2e-3));
    }

    /// What is at the mount, and a held point, stay to the last digit; far from them the line moves.
    #[test]
    fn the_face_and_held_points_stay() {
        let mut before = circle();
        for i in 900..1000 {
            before.at_mount[i] = true;
        }
        let held = before.px[300];
        let mut points: Vec<Px> =
            (0..5).map(|k| on_circle(RADIUS + 5.0, 0.05 + f64::from(k) / 8.0)).collect();
        points.push(held);
        let placed = placed(before.clone(), &points, &[5]);
        for i in (900..1000).chain([300]) {
            assert_eq!(placed.px[i], before.px[i], "{i}");
        }
        assert!(radius(placed.px[100]) > RADIUS + 3.0);
    }

    /// Two circles joined by a neck narrower than twice the shift cannot be moved inward without a knot that is more than a
    /// small loop: the line stays, and the shift is in its doubt.
    #[test]
    fn a_line_that_cannot_be_moved_keeps_the_whole_doubt() {
        // Two lobes of radius 80 about (200, 300) and (500, 300), joined by straight sides 4 px apart.
        let mut px: Vec<Px> = Vec::new();
        let mouth = (2.0f64 / 80.0).asin();
        let lobe = |px: &mut Vec<Px>, x: f64, from: f64| {
            let whole = std::f64::consts::TAU - 2.0 * mouth;
            px.extend((0..=500).map(|k| {
                let (sin, cos) = (from + mouth + whole * f64::from(k) / 500.0).sin_cos();
                [x + 80.0 * cos, 300.0 + 80.0 * sin]
            }));
        };
        lobe(&mut px, 200.0, 0.0);
        px.extend((1..140).map(|k| [280.0 + f64::from(k), 298.0]));
        lobe(&mut px, 500.0, std::f64::consts::PI);
        px.extend((1..140).map(|k| [420.0 - f64::from(k), 302.0]));
        let before = outline(px);
        let points: Vec<Px> = [0.25, 0.5, 0.75]
            .into_iter()
            .flat_map(|share: f64| {
                let (sin, cos) = (std::f64::consts::TAU * share).sin_cos();
                [[200.0 + 74.0 * cos, 300.0 + 74.0 * sin], [500.0 - 74.0 * cos, 300.0 + 74.0 * sin]]
            })
            .collect();
        let (shift, u) = of(&before, &points).unwrap();
        assert!(shift < -4.0, "{shift}");
        let after = placed(before.clone(), &points, &[]);
        assert_eq!(after.px, before.px);
        assert!((after.placed_u_px - u.hypot(shift)).abs() < 1e-12);
    }
}
