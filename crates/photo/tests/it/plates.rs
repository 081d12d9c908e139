//! Plates proposed on drawn pictures, whose faces are known.
//!
//! A hand sets a point on an edge within 1 px (one standard deviation,
//! [`SHAKE_ON_AN_EDGE_PX`](photo::drawn::hand::SHAKE_ON_AN_EDGE_PX)), so within 2 px in 95 of 100. A proposed face is right
//! when the true one lies no farther off than that, over its whole visible length: a proposal is worth taking where it is
//! no worse than a hand.

use crate::seen::pyramid;
use photo::drawn::draw;
use photo::drawn::hand::SHAKE_ON_AN_EDGE_PX;
use photo::drawn::scenes::{Kind, scene};
use photo::drawn::style::Preset;
use photo::drawn::truth::{Straight, Truth};
use photo::marks::{Joint, PlateMarks, Px};
use photo::plates::{draw_to_edges, propose};
use rayon::prelude::*;

fn joint_of(kind: Kind) -> (Joint, bool) {
    match kind {
        Kind::Bead => (Joint::Bead, false),
        Kind::ButtOneSided => (Joint::Butt, false),
        Kind::ButtTwoSided => (Joint::Butt, true),
        Kind::TeeOneSided => (Joint::Tee, false),
        Kind::TeeTwoSided => (Joint::Tee, true),
    }
}

/// How far a true place lies from the line through the two proposed points next to it.
fn off(points: &[Px], p: Px) -> f64 {
    points
        .chunks_exact(2)
        .map(|two| {
            let (a, b) = (two[0], two[1]);
            let long = (b[0] - a[0]).hypot(b[1] - a[1]);
            let side = ((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])).abs() / long;
            let along = ((b[0] - a[0]) * (p[0] - a[0]) + (b[1] - a[1]) * (p[1] - a[1])) / long;
            // The stretch that the place belongs to is the one it lies along.
            (side, (along - along.clamp(0.0, long)).abs())
        })
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map_or(f64::INFINITY, |(side, _)| side)
}

/// The fields of a proposal with the true faces that they stand for. On a mirrored picture left is right.
fn pairs<'a>(plates: &'a PlateMarks, truth: &Truth) -> Vec<(&'static str, &'a Vec<Px>, Vec<Px>)> {
    let straight = |whats: &[Straight]| -> Vec<Px> {
        truth.straight.iter().filter(|s| whats.contains(&s.what)).flat_map(|s| s.px).collect()
    };
    let mean = |whats: &[Straight]| {
        let px = straight(whats);
        px.iter().map(|p| p[0]).sum::<f64>() / px.len().max(1) as f64
    };
    let (mut left, mut right) = (Straight::UprightLeft, Straight::UprightRight);
    if mean(&[left]) > mean(&[right]) {
        (left, right) = (right, left);
    }
    let nearer = |points: &[Px]| {
        let x = points.iter().map(|p| p[0]).sum::<f64>() / points.len().max(1) as f64;
        if (x - mean(&[left])).abs() < (x - mean(&[right])).abs() { left } else { right }
    };
    plates
        .faces()
        .into_iter()
        .filter(|(_, points)| !points.is_empty())
        .map(|(field, points)| {
            let whats: Vec<Straight> = match field {
                "surface" => vec![Straight::TopLeft, Straight::TopRight],
                "bottom" => vec![Straight::BottomLeft, Straight::BottomRight],
                "base" => vec![Straight::BaseLeft, Straight::BaseRight],
                "upright_left" => vec![left],
                "upright_right" => vec![right],
                "joint_line" => vec![Straight::JointLine],
                _ => vec![nearer(points)],
            };
            // With one weld only the base's weld side is proposed.
            let px = straight(&whats);
            let px = if field == "base" && points.len() == 2 {
                px.chunks(2)
                    .min_by(|a, b| {
                        let x = points[0][0];
                        (a[0][0] - x).abs().total_cmp(&(b[0][0] - x).abs())
                    })
                    .map(<[Px]>::to_vec)
                    .unwrap_or_default()
            } else {
                px
            };
            (field, points, px)
        })
        .collect()
}

const RIGHT_PX: f64 = 2.0 * SHAKE_ON_AN_EDGE_PX;

#[derive(Clone, Copy, Debug, Default)]
struct Count {
    pictures: usize,
    proposed: usize,
    whole: usize,
    faces: usize,
    right: usize,
    joint_lines: usize,
    right_joint_lines: usize,
}

fn count(preset: Preset, kind: Kind, seed: u64) -> (Count, Vec<String>) {
    let made = scene(kind, false, seed);
    let style = preset.style(seed);
    let drawn = draw(&made.section, &made.extra, &style, seed);
    let pyramid = pyramid(&drawn.rgb, drawn.width, drawn.height);
    let (joint, both) = joint_of(kind);
    let mut out = Count { pictures: 1, ..Count::default() };
    let mut told = Vec::new();
    let rules: Vec<[Px; 2]> = drawn.truth.ruler.iter().map(|rule| rule.px).collect();
    match propose(&pyramid, joint, both, &rules) {
        Err(e) => told.push(format!("{preset:?} {kind:?} {seed}: {e}")),
        Ok(proposed) => {
            out.proposed = 1;
            let mut all = true;
            for (field, points, truth) in pairs(&proposed.plates, &drawn.truth) {
                let worst = truth.iter().map(|p| off(points, *p)).fold(0.0, f64::max);
                let good = !truth.is_empty() && worst <= RIGHT_PX;
                if field == "joint_line" {
                    out.joint_lines += 1;
                    out.right_joint_lines += usize::from(worst <= 3.0 * RIGHT_PX);
                    continue;
                }
                out.faces += 1;
                out.right += usize::from(good);
                all &= good;
                if !good {
                    told.push(format!(
                        "{preset:?} {kind:?} {seed} {field}: {worst:.1} px of {:?}",
                        style.frame.mount
                    ));
                }
            }
            out.whole = usize::from(all);
        }
    }
    (out, told)
}

#[test]
fn most_plates_of_drawn_pictures_are_proposed_where_they_are() {
    let cases: Vec<(Preset, Kind, u64)> = Preset::ALL
        .into_iter()
        .flat_map(|p| Kind::ALL.map(|k| (p, k)))
        .enumerate()
        .step_by(2)
        .map(|(i, (p, k))| (p, k, 41_000 + i as u64))
        .collect();
    let all: Vec<(Count, Vec<String>)> =
        cases.par_iter().map(|&(p, k, s)| count(p, k, s)).collect();
    let mut sum = Count::default();
    for (c, told) in &all {
        sum.pictures += c.pictures;
        sum.proposed += c.proposed;
        sum.whole += c.whole;
        sum.faces += c.faces;
        sum.right += c.right;
        sum.joint_lines += c.joint_lines;
        sum.right_joint_lines += c.right_joint_lines;
        for line in told {
            println!("{line}");
        }
    }
    println!("{sum:?}");
    assert!(4 * sum.proposed >= 3 * sum.pictures, "{sum:?}");
    assert!(4 * sum.right >= 3 * sum.faces, "{sum:?}");
}

/// Roughly marked, eight pixels off the edge, a face is drawn to it: a person need not aim. Eight is within the nine across
/// which the edge is looked for.
#[test]
fn rough_marks_are_drawn_to_the_edge() {
    let (mut faces, mut right) = (0, 0);
    for (i, kind) in Kind::ALL.into_iter().enumerate() {
        let seed = 42_000 + i as u64;
        let made = scene(kind, false, seed);
        let style = photo::drawn::style::Style::plain();
        let drawn = draw(&made.section, &made.extra, &style, seed);
        let pyramid = pyramid(&drawn.rgb, drawn.width, drawn.height);
        let mut marked = PlateMarks::default();
        for face in &drawn.truth.straight {
            let shift = |dx: f64, dy: f64| face.px.map(|p| [p[0] + dx, p[1] + dy]);
            match face.what {
                Straight::TopLeft | Straight::TopRight => marked.surface.extend(shift(0.0, 8.0)),
                Straight::BaseLeft | Straight::BaseRight => marked.base.extend(shift(0.0, -8.0)),
                Straight::UprightRight => marked.upright_right.extend(shift(8.0, 0.0)),
                Straight::UprightLeft => marked.upright_left.extend(shift(8.0, 0.0)),
                _ => {}
            }
        }
        let drawn_to = draw_to_edges(&pyramid, &marked).unwrap().plates;
        for (field, points, truth) in pairs(&drawn_to, &drawn.truth) {
            let worst = truth.iter().map(|p| off(points, *p)).fold(0.0, f64::max);
            println!("{kind:?} {field}: {worst:.2} px");
            faces += 1;
            right += usize::from(worst <= RIGHT_PX);
        }
    }
    assert!(faces >= 8, "{faces}");
    assert_eq!(right, faces);
}

/// Neither noise alone nor an empty picture nor wild marks are a trouble; where nothing is seen it is said.
#[test]
fn pictures_without_plates_are_no_trouble() {
    let pyramid = pyramid(&[90; 3 * 64 * 48], 64, 48);
    for joint in [Joint::Bead, Joint::Butt, Joint::Tee] {
        for both in [false, true] {
            let wild = [[[f64::NAN, 1.0], [3.0, f64::INFINITY]]];
            assert_eq!(
                propose(&pyramid, joint, both, &wild).unwrap_err().to_string(),
                format!(
                    "no straight edges are seen that could be the plates of a {}",
                    joint.word()
                )
            );
        }
    }
    let wild = PlateMarks {
        base: vec![[f64::NAN, 1.0], [3.0, f64::INFINITY], [-9e9, 3.0]],
        surface: vec![[1.0, 1.0]],
        ..PlateMarks::default()
    };
    assert_eq!(
        draw_to_edges(&pyramid, &wild).unwrap_err().to_string(),
        "no straight edge is seen beside the marked points"
    );
}

/// A joint line is mostly melted away, and a fusion line is as dark and as steep: few are proposed, and where they are.
#[test]
fn a_joint_line_is_proposed_where_it_is_or_not_at_all() {
    let cases: Vec<(Preset, Kind, u64)> = (0..24)
        .map(|i| {
            let kind = if i % 2 == 0 { Kind::ButtOneSided } else { Kind::ButtTwoSided };
            (Preset::ALL[(i / 2) % Preset::ALL.len()], kind, 51_000 + i as u64)
        })
        .collect();
    let all: Vec<Count> = cases.par_iter().map(|&(p, k, s)| count(p, k, s).0).collect();
    let said: usize = all.iter().map(|c| c.joint_lines).sum();
    let right: usize = all.iter().map(|c| c.right_joint_lines).sum();
    println!("{said} joint lines proposed on {} butts, {right} where they are", cases.len());
    assert!(said >= 2 && right + 1 >= said, "{said} {right}");
}
