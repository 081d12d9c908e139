//! Points set beside the fusion line, in clean metal, on drawn pictures.

use crate::seen::pyramid;
use photo::astray;
use photo::drawn::draw;
use photo::drawn::hand;
use photo::drawn::scenes::{Kind, scene};
use photo::drawn::style::Preset;
use photo::seen::depth_in;
use photo::trace::{Along, Asked, Follow, Shape, trace};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;

/// Of one picture: points asked about though all are set right, and how many points; then of its outlines with the point
/// deepest in the metal set 2 mm further in and left more than 1 mm off, how many are asked about, and how many there are.
fn counts(preset: Preset, kind: Kind, seed: u64) -> [usize; 4] {
    let made = scene(kind, false, seed);
    let drawn = draw(&made.section, &made.extra, &preset.style(seed), seed);
    let pyramid = pyramid(&drawn.rgb, drawn.width, drawn.height);
    let truth = &drawn.truth;
    let plates = &truth.section.plates;
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let told = |points: &[[f64; 2]]| {
        let asked = Asked {
            points,
            hold: &[],
            follow: Follow::Guided,
            along: Along::Steepest,
            shape: Shape::Closed,
        };
        let outline = trace(&pyramid, &asked).ok()?;
        Some((astray::points(&outline).len(), outline))
    };
    let mut out = [0; 4];
    for (points, fused) in hand::outlines(truth, &mut rng).into_iter().zip(&truth.fused) {
        if let Some((count, _)) = told(&points) {
            out[0] += count;
            out[1] += points.len();
        }
        // Outwards from the middle of the points.
        let n = points.len() as f64;
        let middle = [0, 1].map(|k| points.iter().map(|p| p[k]).sum::<f64>() / n);
        let depth = |p: &[f64; 2]| depth_in(plates, truth.camera.section_from_px(*p));
        let Some(i) =
            (0..points.len()).max_by(|&a, &b| depth(&points[a]).total_cmp(&depth(&points[b])))
        else {
            continue;
        };
        let (dx, dy) = (points[i][0] - middle[0], points[i][1] - middle[1]);
        let off = 2.0 / truth.mm_per_px / dx.hypot(dy);
        let moved = [points[i][0] + off * dx, points[i][1] + off * dy];
        if depth(&moved) < 0.5 {
            continue;
        }
        let mut points = points.clone();
        points[i] = moved;
        let Some((count, outline)) = told(&points) else { continue };
        // Where it was pulled back to the line nothing is astray.
        let to_truth = |p: [f64; 2]| {
            let all = fused.px.iter().map(|q| (q[0] - p[0]).hypot(q[1] - p[1]));
            truth.mm_per_px * all.fold(f64::INFINITY, f64::min)
        };
        if to_truth(outline.set_px[i]) > 1.0 {
            out[2] += usize::from(count > 0);
            out[3] += 1;
        }
    }
    out
}

/// Of points set right at most one in fifty may be asked about, or nobody reads it. What `astray`'s header claims of those set
/// off is no more than this measures; the assertion only guards against a rule that has gone blind.
#[test]
fn points_in_clean_metal_are_asked_about_and_right_ones_are_not() {
    let cases: Vec<(Preset, Kind, u64)> = Preset::ALL
        .into_iter()
        .filter(|p| p.shows_a_line())
        .flat_map(|p| Kind::ALL.map(|k| (p, k)))
        .enumerate()
        .map(|(i, (p, k))| (p, k, 5000 + i as u64))
        .collect();
    let [right, all, off, moved] = cases
        .par_iter()
        .map(|&(p, k, s)| counts(p, k, s))
        .reduce(|| [0; 4], |a, b| [0, 1, 2, 3].map(|k| a[k] + b[k]));
    println!("right {right} of {all}, off {off} of {moved}");
    assert!(50 * right <= all, "asked about {right} of {all} set right");
    assert!(4 * off > moved, "asked about {off} of {moved} set off");
}
