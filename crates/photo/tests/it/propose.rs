//! Outlines proposed from a click: how often they are right, how often there is none, and laws.

use crate::seen::{pyramid, quarter_turn, width};
use photo::drawn::scenes::{Kind, scene};
use photo::drawn::style::Preset;
use photo::drawn::{draw, second};
use photo::propose::{ProposeError, propose};
use photo::pyramid::{Plane, Pyramid};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;

type Px = [f64; 2];

fn to_side(p: Px, a: Px, b: Px) -> f64 {
    let d = [b[0] - a[0], b[1] - a[1]];
    let long = (d[0] * d[0] + d[1] * d[1]).max(1e-12);
    let t = (((p[0] - a[0]) * d[0] + (p[1] - a[1]) * d[1]) / long).clamp(0.0, 1.0);
    (p[0] - a[0] - t * d[0]).hypot(p[1] - a[1] - t * d[1])
}

/// Mean distance of two closed outlines, the worse of both directions, weighted by length.
fn apart(a: &[Px], b: &[Px]) -> f64 {
    let mean = |from: &[Px], to: &[Px]| {
        let (mut sum, mut total) = (0.0, 0.0);
        for i in 0..from.len() {
            let (p, q) = (from[i], from[(i + 1) % from.len()]);
            let long = (p[0] - q[0]).hypot(p[1] - q[1]);
            let middle = [0.5 * (p[0] + q[0]), 0.5 * (p[1] + q[1])];
            let near = (0..to.len())
                .map(|k| to_side(middle, to[k], to[(k + 1) % to.len()]))
                .fold(f64::INFINITY, f64::min);
            sum += long * near;
            total += long;
        }
        sum / total
    };
    mean(a, b).max(mean(b, a))
}

/// The area's centre and a hand's 7 % of the width about it.
fn click(px: &[Px], random: &mut ChaCha8Rng) -> Px {
    let (mut area, mut x, mut y) = (0.0, 0.0, 0.0);
    for i in 0..px.len() {
        let (p, q) = (px[i], px[(i + 1) % px.len()]);
        let cross = p[0] * q[1] - q[0] * p[1];
        area += cross;
        x += (p[0] + q[0]) * cross;
        y += (p[1] + q[1]) * cross;
    }
    let off = 0.07 * width(px);
    let mut at = |v: f64| v / (3.0 * area) + random.random_range(-off..off);
    [at(x), at(y)]
}

/// Outcome of one click: nothing, or the best of what was offered, as a share of the zone's width.
fn outcomes(preset: Preset, kind: Kind, held_out: bool, seed: u64) -> Vec<Option<f64>> {
    let made = scene(kind, false, seed);
    let style = preset.style(seed);
    let drawer = if held_out { second } else { draw };
    let drawn = drawer(&made.section, &made.extra, &style, seed);
    let pyramid = pyramid(&drawn.rgb, drawn.width, drawn.height);
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    drawn
        .truth
        .fused
        .iter()
        .map(|fused| {
            let got = propose(&pyramid, click(&fused.px, &mut random)).ok()?;
            assert!(got.outlines.iter().all(|o| o.points.len() <= 24 && o.seen.line));
            assert!(got.outlines.len() == 1 || got.caution.contains("two nested lines"));
            let off = got.outlines.iter().map(|o| apart(&o.px, &fused.px) / width(&fused.px));
            off.reduce(f64::min)
        })
        .collect()
}

/// Shares over the strata clean to faint. What is claimed in `propose`'s header is no more than this measures; the
/// assertion only guards against a proposer that has gone blind or wild (few pictures, wide margins).
#[test]
fn proposals_are_right_as_often_as_is_claimed() {
    let many = std::env::var_os("SEAMPROOF_MANY").is_some();
    let presets: Vec<Preset> = Preset::ALL.into_iter().filter(|p| p.shows_a_line()).collect();
    for (held_out, count) in
        [(false, if many { 100 } else { 10 }), (true, if many { 50 } else { 2 })]
    {
        let all: Vec<Option<f64>> = (0..count)
            .into_par_iter()
            .flat_map_iter(|i| {
                let kind = Kind::ALL[(i + i / 10) % 5];
                outcomes(presets[i % presets.len()], kind, held_out, 8_100_000 + i as u64)
            })
            .collect();
        let offered: Vec<f64> = all.iter().flatten().copied().collect();
        let right = offered.iter().filter(|&&e| e <= 0.03).count();
        println!(
            "{} drawer: {} zones, {} proposed, {right} of them within 3 % of the width",
            if held_out { "second" } else { "first" },
            all.len(),
            offered.len()
        );
        if !held_out {
            assert!(3 * offered.len() >= all.len() && 2 * right >= offered.len());
        }
    }
}

/// Reported only: an outline proposed where there is no line. A person must look at every proposal.
#[test]
fn proposals_on_faces_without_a_line_are_counted() {
    let count = if std::env::var_os("SEAMPROOF_MANY").is_some() { 40 } else { 4 };
    let all: Vec<Option<f64>> = (0..count)
        .into_par_iter()
        .flat_map_iter(|i| {
            let preset = [Preset::OverEtched, Preset::Unetched][i % 2];
            outcomes(preset, Kind::ALL[(i / 2) % 5], (i / 10) % 2 == 1, 8_200_000 + i as u64)
        })
        .collect();
    println!(
        "without a line: {} of {} zones got a proposal",
        all.iter().flatten().count(),
        all.len()
    );
}

fn ring(side: usize) -> Plane {
    let middle = 0.5 * side as f64 - 0.5;
    let mut random = ChaCha8Rng::seed_from_u64(5);
    let px = (0..side * side)
        .map(|i| {
            let (x, y) = ((i % side) as f64 - middle, (i / side) as f64 - middle);
            let d = x.hypot(1.2 * y) - 0.28 * side as f64;
            let v = 0.5 + 0.1 * (-0.5 * d).tanh() - 0.2 * (-0.1 * d * d).exp();
            ((v + 0.02 * random.random_range(-1.0..1.0)) * 65535.0) as u16
        })
        .collect();
    Plane { width: side, height: side, px }
}

/// The truth is a curve by formula. Half a per cent of the width is one pixel.
#[test]
fn a_ring_is_proposed_where_it_was_drawn_however_it_is_turned() {
    let side = 300;
    let plane = ring(side);
    let r = 0.28 * side as f64;
    let middle = 0.5 * side as f64 - 0.5;
    let truth: Vec<Px> = (0..400)
        .map(|k| {
            let (s, c) = (std::f64::consts::TAU * f64::from(k) / 400.0).sin_cos();
            [middle + r * c, middle + r * s / 1.2]
        })
        .collect();
    let at = [middle + 9.0, middle - 5.0];
    let upright = propose(&Pyramid::new(plane.clone()).unwrap(), at).unwrap();
    let px = &upright.outlines[0].px;
    let off = apart(px, &truth);
    println!("ring: {off:.3} px off, {}", upright.outlines[0].seen.why);
    assert!(off < 1.0, "{off}");
    let turned =
        propose(&Pyramid::new(quarter_turn(&plane)).unwrap(), [side as f64 - 1.0 - at[1], at[0]])
            .unwrap();
    assert_eq!(upright.outlines.len(), turned.outlines.len());
    let back: Vec<Px> =
        turned.outlines[0].px.iter().map(|p| [p[1], side as f64 - 1.0 - p[0]]).collect();
    assert!(apart(px, &back) < 0.3, "{}", apart(px, &back));
}

#[test]
fn a_click_beside_the_picture_or_on_nothing_is_refused_in_words() {
    let pyramid = Pyramid::new(ring(100)).unwrap();
    let error = propose(&pyramid, [120.0, 5.0]).unwrap_err();
    assert_eq!(
        error.to_string(),
        "the place at (120.0, 5.0) lies outside the picture of 100 x 100 pixels"
    );
    assert_eq!(error.advice(), "choose a place inside the fused zone");
    let flat = Pyramid::new(Plane { width: 200, height: 200, px: vec![30_000; 40_000] }).unwrap();
    assert!(matches!(propose(&flat, [100.0, 100.0]), Err(ProposeError::NoLine { .. })));
}

#[test]
fn propose_never_panics() {
    let mut random = ChaCha8Rng::seed_from_u64(1);
    let small = Pyramid::new(ring(40)).unwrap();
    let tiny = Pyramid::new(Plane { width: 1, height: 3, px: vec![0, 9, 65535] }).unwrap();
    for case in 0..10_000 {
        let number = |random: &mut ChaCha8Rng| match random.random_range(0..6) {
            0 => f64::NAN,
            1 => f64::INFINITY,
            2 => -1e300,
            _ => random.random_range(-300.0..300.0),
        };
        let at = [number(&mut random), number(&mut random)];
        let _ = propose(if case % 2 == 0 { &small } else { &tiny }, at);
    }
    for _ in 0..40 {
        let at = [random.random_range(0.0..39.0), random.random_range(0.0..39.0)];
        let _ = propose(&small, at);
    }
}
