//! Second lines beside the traced one: told where the drawing has one, not told where it has none.

use crate::seen::pyramid;
use photo::drawn::draw;
use photo::drawn::hand;
use photo::drawn::scenes::{Kind, scene};
use photo::drawn::style::{Edge, Preset};
use photo::nested::beside;
use photo::seen::depth_in;
use photo::trace::{Along, Asked, Follow, Shape, trace};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;

/// For each zone: whether a second line is told, and whether it lies outside.
fn told(preset: Preset, kind: Kind, outer_line: f64, seed: u64) -> Vec<Option<bool>> {
    let made = scene(kind, false, seed);
    let mut style = preset.style(seed);
    style.metal.outer_line = outer_line;
    style.metal.outer_soft = 0.1;
    style.line.edge = Edge::DarkLine;
    let drawn = draw(&made.section, &made.extra, &style, seed);
    let pyramid = pyramid(&drawn.rgb, drawn.width, drawn.height);
    let truth = &drawn.truth;
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    hand::outlines(truth, &mut rng)
        .iter()
        .filter_map(|points| {
            let asked = Asked {
                points,
                hold: &[],
                follow: Follow::Guided,
                along: Along::Steepest,
                shape: Shape::Closed,
            };
            let outline = trace(&pyramid, &asked).ok()?;
            let in_metal =
                |p| depth_in(&truth.section.plates, truth.camera.section_from_px(p)) > 0.0;
            Some(beside(&pyramid, &outline, in_metal).map(|b| {
                if std::env::var_os("SEAMPROOF_TELL").is_some() {
                    println!(
                        "{} {} {seed} line {outer_line}: {:.2} outside {}",
                        preset.word(),
                        kind.word(),
                        b.worth,
                        b.outside
                    );
                }
                b.outside
            }))
        })
        .collect()
}

#[test]
fn a_second_line_is_told_and_none_is_not() {
    let cases: Vec<(Preset, Kind, u64)> = [
        Preset::Clean,
        Preset::Noisy,
        Preset::Blurred,
        Preset::TiltedLight,
        Preset::GrainHeavy,
        Preset::FaintLine,
    ]
    .into_iter()
    .flat_map(|p| Kind::ALL.map(|k| (p, k)))
    .enumerate()
    .map(|(i, (p, k))| (p, k, 7000 + i as u64))
    .collect();
    let count = |line: f64| {
        let all: Vec<Option<bool>> =
            cases.par_iter().flat_map_iter(|&(p, k, s)| told(p, k, line, s)).collect();
        let outside = all.iter().filter(|t| **t == Some(true)).count();
        [outside, all.iter().flatten().count(), all.len()]
    };
    let (none, strong) = (count(0.0), count(0.6));
    println!("outside, told, all: without a second line {none:?}, with one {strong:?}");
    assert!(10 * none[1] <= none[2], "told without one: {none:?}");
    assert!(2 * strong[0] >= strong[2], "told with one: {strong:?}");
}
