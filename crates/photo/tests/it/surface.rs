//! Surfaces marked where they are, and where they are not, on drawn pictures.

use crate::seen::pyramid;
use photo::drawn::draw;
use photo::drawn::hand::{SHAKE_ON_AN_EDGE_PX, set};
use photo::drawn::scenes::{Kind, scene};
use photo::drawn::style::{Mount, Preset};
use photo::drawn::truth::Straight;
use photo::surface::{Instead, unseen};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;
use weld::section::Point;

/// Of one picture: points marked right and asked about, points marked right; then of the points set 1.5 mm too low (in the
/// metal) and 1.5 mm too high (in the mount) how many are asked about for what they are, and how many there are.
fn counts(preset: Preset, kind: Kind, seed: u64) -> [[usize; 2]; 3] {
    let made = scene(kind, false, seed);
    let style = preset.style(seed);
    let drawn = draw(&made.section, &made.extra, &style, seed);
    let pyramid = pyramid(&drawn.rgb, drawn.width, drawn.height);
    let truth = &drawn.truth;
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let mut out = [[0; 2]; 3];
    for face in truth.straight.iter().filter(|s| s.what != Straight::JointLine) {
        let right = face.px.map(|p| set(p, SHAKE_ON_AN_EDGE_PX, truth, &mut rng));
        out[0][0] += unseen(&pyramid, &right).len();
        out[0][1] += right.len();
        if !matches!(
            face.what,
            Straight::TopLeft | Straight::TopRight | Straight::BaseLeft | Straight::BaseRight
        ) || style.frame.mount != Mount::Dark
        {
            continue;
        }
        for (k, y, what) in [(1, -1.5, Instead::Metal), (2, 1.5, Instead::Mount)] {
            let off = face.mm.map(|p| truth.camera.px_from_section(Point::new(p.x, p.y + y)));
            out[k][0] += unseen(&pyramid, &off).iter().filter(|(_, w)| *w == what).count();
            out[k][1] += off.len();
        }
    }
    out
}

/// The bars are ours: a remark that comes on one good mark in fifty would not be read, and of ten misplaced marks nine
/// should be asked about.
#[test]
fn misplaced_surfaces_are_asked_about_and_right_ones_are_not() {
    let cases: Vec<(Preset, Kind, u64)> = Preset::ALL
        .into_iter()
        .filter(|p| p.shows_a_line())
        .flat_map(|p| Kind::ALL.map(|k| (p, k)))
        .enumerate()
        .map(|(i, (p, k))| (p, k, 9000 + i as u64))
        .collect();
    let all: Vec<[[usize; 2]; 3]> = cases.par_iter().map(|&(p, k, s)| counts(p, k, s)).collect();
    let sum =
        |k: usize| all.iter().fold([0, 0], |s: [usize; 2], c| [s[0] + c[k][0], s[1] + c[k][1]]);
    let [right, metal, mount] = [sum(0), sum(1), sum(2)];
    println!("right {right:?}, in metal {metal:?}, in the mount {mount:?}");
    assert!(50 * right[0] <= right[1], "asked about {right:?} marked right");
    assert!(10 * metal[0] >= 9 * metal[1], "asked about {metal:?} in metal");
    assert!(10 * mount[0] >= 9 * mount[1], "asked about {mount:?} in the mount");
}

#[test]
fn no_points_and_wild_points_are_no_trouble() {
    let pyramid = pyramid(&[90; 3 * 64 * 48], 64, 48);
    for points in [vec![], vec![[1.0, 1.0]], vec![[f64::NAN, 1.0], [3.0, f64::INFINITY]]] {
        assert_eq!(unseen(&pyramid, &points), []);
    }
    // Outside the picture nothing is seen either.
    assert_eq!(unseen(&pyramid, &[[-900.0, 20.0], [900.0, 20.0]]).len(), 2);
}
