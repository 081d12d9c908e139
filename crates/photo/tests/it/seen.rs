//! Whether there is a fusion line: drawn pictures with and without one, real ones, laws.
//!
//! Seeds here were not used to fit the rule. Outlines are set as a user would: eight points by a rule on the drawn truth
//! (pictures without a line: where the weld should be), each off by 0.5 % of the zone's width.

use photo::drawn::scenes::{Kind, scene};
use photo::drawn::style::{Preset, Style};
use photo::drawn::{Drawn, draw, second};
use photo::pyramid::{Plane, Pyramid};
use photo::seen::{Seen, depth_in, judge};
use photo::trace::{Along, Asked, Follow, Outline, Shape, trace};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;
use std::path::PathBuf;
use weld::section::{Butt, Corner, Face, Plates, Point, Tee};

type Px = [f64; 2];

pub(crate) fn pyramid(rgb: &[u8], width: u32, height: u32) -> Pyramid {
    let px = rgb
        .chunks_exact(3)
        .map(|p| {
            let sum = 2126 * u32::from(p[0]) + 7152 * u32::from(p[1]) + 722 * u32::from(p[2]);
            (sum * 257 / 10_000) as u16
        })
        .collect();
    Pyramid::new(Plane { width: width as usize, height: height as usize, px })
        .expect("a whole picture")
}

fn gaussian(random: &mut ChaCha8Rng) -> f64 {
    let (u, v): (f64, f64) = (random.random::<f64>().max(1e-12), random.random());
    (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
}

pub(crate) fn width(px: &[Px]) -> f64 {
    let side = |k: usize| {
        let v = px.iter().map(|p| p[k]);
        v.clone().fold(f64::NEG_INFINITY, f64::max) - v.fold(f64::INFINITY, f64::min)
    };
    side(0).min(side(1))
}

/// Points evenly along a closed outline, each a hand's 0.5 % of the zone's width off.
fn set_points(px: &[Px], frame: (u32, u32), random: &mut ChaCha8Rng) -> Vec<Px> {
    let n = px.len();
    let long = |i: usize| (px[i][0] - px[(i + 1) % n][0]).hypot(px[i][1] - px[(i + 1) % n][1]);
    let total: f64 = (0..n).map(long).sum();
    let (start, off) = (random.random::<f64>(), 0.005 * width(px));
    (0..8)
        .map(|k| {
            let mut left = total * (f64::from(k) + start) / 8.0;
            let mut i = 0;
            while left > long(i) && i + 1 < n {
                left -= long(i);
                i += 1;
            }
            let (a, b) = (px[i], px[(i + 1) % n]);
            let t = left / long(i).max(1e-9);
            let on = |k: usize, side: u32, random: &mut ChaCha8Rng| {
                (a[k] + t * (b[k] - a[k]) + off * gaussian(random))
                    .clamp(0.0, f64::from(side) - 1.0)
            };
            [on(0, frame.0, random), on(1, frame.1, random)]
        })
        .collect()
}

fn guided(pyramid: &Pyramid, points: &[Px]) -> Option<Outline> {
    let asked = Asked {
        points,
        hold: &[],
        follow: Follow::Guided,
        along: Along::Middle,
        shape: Shape::Closed,
    };
    trace(pyramid, &asked).ok()
}

/// Judges every weld of a drawn picture.
fn judge_drawn(drawn: &Drawn, seed: u64) -> Vec<Seen> {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    random.set_stream(5);
    let pyramid = pyramid(&drawn.rgb, drawn.width, drawn.height);
    let truth = &drawn.truth;
    let in_metal = |p: Px| depth_in(&truth.section.plates, truth.camera.section_from_px(p)) > 0.0;
    let frame = (drawn.width, drawn.height);
    let outline =
        |px: &[Px], random: &mut ChaCha8Rng| guided(&pyramid, &set_points(px, frame, random));
    let traced: Vec<_> = truth.fused.iter().filter_map(|f| outline(&f.px, &mut random)).collect();
    traced.iter().map(|o| judge(&pyramid, o, in_metal)).collect()
}

/// An over-etched face, or an unetched one covered by stain or scratches (one in four left bare).
fn without_a_line(i: u64, seed: u64) -> (String, Style) {
    let preset = if i.is_multiple_of(2) { Preset::OverEtched } else { Preset::Unetched };
    let mut style = preset.style(seed);
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    random.set_stream(6);
    let cover = (i / 2) % 4;
    if cover & 1 == 1 {
        style.damage.stain = random.random_range(0.5..1.0);
    }
    if cover & 2 == 2 {
        style.damage.scratches = random.random_range(400..1200);
        style.damage.deep_scratches = random.random_range(8..25);
        style.damage.scratch_strength = random.random_range(0.5..0.9);
    }
    let cover = ["", ", stain", ", scratches", ", stain and scratches"][cover as usize];
    (format!("{}{cover}", preset.word()), style)
}

fn drawn(kind: Kind, style: &Style, held_out: bool, seed: u64) -> Drawn {
    let made = scene(kind, false, seed);
    if held_out {
        second(&made.section, &made.extra, style, seed)
    } else {
        draw(&made.section, &made.extra, style, seed)
    }
}

/// How many pictures: `SEAMPROOF_MANY` for the study of the issue (50 without a line, 200 with one), else few.
fn many(few: u64, all: u64) -> u64 {
    if std::env::var_os("SEAMPROOF_MANY").is_some() { all } else { few }
}

/// The bar of the issue: right in 95 % of them. Of 20 pictures one may be wrong by the bar, and by chance two more (three
/// wrong or fewer in 20 have a chance of 98 % where 5 % are wrong).
fn most_right(wrong: &[String], of: u64, what: &str) {
    println!("{what}: {} of {of} wrong; {wrong:?}", wrong.len());
    let allowed = if of < 40 { 3.0 } else { 0.05 * of as f64 + if of < 200 { 2.0 } else { 0.0 } };
    assert!(wrong.len() as f64 <= allowed, "{what}: {wrong:#?}");
}

#[test]
fn seen_refuses_drawn_faces_without_a_line() {
    let count = many(16, 50);
    let wrong: Vec<String> = (0..count)
        .into_par_iter()
        .filter_map(|i| {
            let seed = 7_300_000 + i;
            let kind = Kind::ALL[(i % 5) as usize];
            let (word, style) = without_a_line(i, seed);
            let picture = drawn(kind, &style, (i / 8) % 2 == 1, seed);
            let seen = judge_drawn(&picture, seed);
            let taken = seen.iter().find(|s| s.line)?;
            Some(format!("{word}, {}, seed {seed}: {}", kind.word(), taken.why))
        })
        .collect();
    most_right(&wrong, count, "without a line");
}

#[test]
fn seen_accepts_drawn_etched_faces() {
    let presets: Vec<Preset> = Preset::ALL.into_iter().filter(|p| p.shows_a_line()).collect();
    let count = many(20, 200);
    let wrong: Vec<String> = (0..count)
        .into_par_iter()
        .filter_map(|i| {
            let seed = 7_400_000 + i;
            let preset = presets[i as usize % presets.len()];
            let kind = Kind::ALL[((i / 10 + i) % 5) as usize];
            let held_out = (i / 10) % 2 == 1;
            let picture = drawn(kind, &preset.style(seed), held_out, seed);
            let seen = judge_drawn(&picture, seed);
            let missed = seen.iter().find(|s| !s.line)?;
            Some(format!("{}, {}, seed {seed}: {}", preset.word(), kind.word(), missed.why))
        })
        .collect();
    most_right(&wrong, count, "with a line");
}

fn file(name: &str) -> Option<Pyramid> {
    let data = std::env::var_os("SEAMPROOF_DATA").map_or_else(
        || PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/data"),
        PathBuf::from,
    );
    let Ok(bytes) = std::fs::read(data.join("sections").join(name)) else {
        println!(
            "did not run: {name} is neither in SEAMPROOF_DATA nor in ../shared/data beside the workspace"
        );
        return None;
    };
    let picture = image::load_from_memory(&bytes).expect("a picture").to_rgb8();
    Some(pyramid(picture.as_raw(), picture.width(), picture.height()))
}

/// Half an ellipse or a U under the surface, with two points on the face, as somebody would outline a track there.
fn plausible(pyramid: &Pyramid, random: &mut ChaCha8Rng) -> Vec<Px> {
    let plane = pyramid.picture();
    let surface = |x: f64| {
        let light = |y: isize| plane.at(x as isize, y);
        (50..900).find(|&y| light(y) > 12_850 && light(y + 8) > 12_850).unwrap_or(450) as f64
    };
    let (middle, half) = (random.random_range(250.0..800.0), random.random_range(70.0..200.0));
    let (deep, blunt) =
        (random.random_range(60.0..350.0), if random.random_bool(0.5) { 1.0 } else { 0.5 });
    let mut points: Vec<Px> = (0..6)
        .map(|k| {
            let (sin, cos) = (std::f64::consts::PI * f64::from(k) / 5.0).sin_cos();
            let x = middle - half * cos.signum() * cos.abs().powf(blunt);
            [x, surface(x) + deep * sin.powf(blunt)]
        })
        .collect();
    points.extend([0.33, -0.33].map(|s| [middle + s * half, surface(middle + s * half)]));
    for p in &mut points {
        *p = p.map(|v| (v + 0.01 * half * gaussian(random)).clamp(0.0, 1040.0));
    }
    points
}

#[test]
fn seen_refuses_six_unetched_photographs() {
    let mut random = ChaCha8Rng::seed_from_u64(4711);
    let (mut all, mut wrong) = (0, Vec::new());
    for number in 1..=6 {
        let Some(pyramid) = file(&format!("vcrti_unetched/unetched-{number}.jpg")) else { return };
        for _ in 0..many(4, 25) {
            all += 1;
            let points = plausible(&pyramid, &mut random);
            if let Some(outline) = guided(&pyramid, &points) {
                let seen = judge(&pyramid, &outline, |_| true);
                if seen.line {
                    wrong.push(format!("picture {number}: {}", seen.why));
                }
            }
        }
    }
    most_right(&wrong, all, "unetched photographs");
}

#[test]
fn seen_accepts_both_etched_tracks() {
    let tracks: [(&str, [Px; 8]); 2] = [
        (
            "example_image_1.tif",
            [
                [659.0, 271.0],
                [688.0, 400.0],
                [735.0, 550.0],
                [820.0, 630.0],
                [905.0, 570.0],
                [938.0, 420.0],
                [934.0, 270.0],
                [797.0, 190.0],
            ],
        ),
        (
            "example_image_3.png",
            [
                [548.0, 508.0],
                [536.0, 390.0],
                [712.0, 232.0],
                [880.0, 390.0],
                [888.0, 502.0],
                [800.0, 582.0],
                [725.0, 602.0],
                [630.0, 570.0],
            ],
        ),
    ];
    for (name, points) in tracks {
        let Some(pyramid) = file(&format!("nanoMFG_lpbf/{name}")) else { return };
        let seen = judge(&pyramid, &guided(&pyramid, &points).unwrap(), |_| true);
        println!("{name}: {}", seen.why);
        assert!(seen.line, "{name}: {}", seen.why);
    }
}

/// A disc of other lightness with a dark rim, on noise; without the disc, noise alone.
fn disc(side: usize, contrast: f64, seed: u64) -> Plane {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let middle = 0.5 * side as f64 - 0.5;
    let px = (0..side * side)
        .map(|i| {
            let (x, y) = ((i % side) as f64 - middle, (i / side) as f64 - middle);
            let d = x.hypot(1.2 * y) - 0.3 * side as f64;
            let v = 0.5 + contrast * (0.1 * (-0.5 * d).tanh() - 0.2 * (-0.1 * d * d).exp());
            ((v + 0.03 * gaussian(&mut random)).clamp(0.0, 1.0) * 65535.0) as u16
        })
        .collect();
    Plane { width: side, height: side, px }
}

fn on_disc(side: usize) -> Vec<Px> {
    let middle = 0.5 * side as f64 - 0.5;
    (0..7)
        .map(|k| {
            let (s, c) = (std::f64::consts::TAU * f64::from(k) / 7.0).sin_cos();
            let r = 0.3 * side as f64;
            [middle + r * c + 0.4, middle + r * s / 1.2 - 0.3]
        })
        .collect()
}

pub(crate) fn quarter_turn(plane: &Plane) -> Plane {
    // (x, y) goes to (height - 1 - y, x).
    let (w, h) = (plane.width, plane.height);
    let px = (0..w * h).map(|i| plane.px[(h - 1 - i % h) * w + i / h]).collect();
    Plane { width: h, height: w, px }
}

/// Turning the photograph does not change the metal. The path's ties are broken the other way round, so shares of some
/// 500 places may differ by a few.
#[test]
fn seen_does_not_depend_on_how_the_photograph_is_turned() {
    for (contrast, seed) in [(1.0, 1), (0.0, 2)] {
        let side = 256;
        let upright = disc(side, contrast, seed);
        let turned = Pyramid::new(quarter_turn(&upright)).unwrap();
        let upright = Pyramid::new(upright).unwrap();
        let points = on_disc(side);
        let moved: Vec<Px> = points.iter().map(|p| [side as f64 - 1.0 - p[1], p[0]]).collect();
        let a = judge(&upright, &guided(&upright, &points).unwrap(), |_| true);
        let b = judge(&turned, &guided(&turned, &moved).unwrap(), |_| true);
        println!("{}\n{}", a.why, b.why);
        assert_eq!(a.line, contrast > 0.0, "{}", a.why);
        assert_eq!(a.line, b.line);
        let near = if contrast > 0.0 { 0.02 } else { 0.2 };
        assert!((a.recaptured.unwrap() - b.recaptured.unwrap()).abs() < near);
        assert!((a.texture_difference.unwrap() - b.texture_difference.unwrap()).abs() < near);
    }
}

#[test]
fn seen_gives_the_same_answer_twice() {
    let pyramid = Pyramid::new(disc(200, 1.0, 3)).unwrap();
    let outline = guided(&pyramid, &on_disc(200)).unwrap();
    assert_eq!(judge(&pyramid, &outline, |_| true), judge(&pyramid, &outline, |_| true));
}

/// Where the plates say that nothing lies in metal there is nothing to see.
#[test]
fn seen_needs_metal() {
    let pyramid = Pyramid::new(disc(200, 1.0, 3)).unwrap();
    let outline = guided(&pyramid, &on_disc(200)).unwrap();
    let seen = judge(&pyramid, &outline, |_| false);
    assert!(!seen.line);
    assert_eq!(
        seen.why,
        "only 0 pixels of the outline lie in metal clear of its surface, too few to tell whether there is a fusion line"
    );
}

/// Depths worked out by hand.
#[test]
fn depth_in_the_plates_is_the_distance_to_their_surfaces() {
    let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-12, "{a} {b}");
    near(depth_in(&Plates::Bead, Point::new(3.0, -2.0)), 2.0);
    let butt = Butt {
        top: [Face::level(0.0), Face::level(-1.0)],
        bottom: Some([Face::level(-6.0); 2]),
        joint_line: Some([Point::new(0.0, 0.0), Point::new(0.0, -6.0)]),
        gap: 0.0,
    };
    near(depth_in(&Plates::Butt(butt), Point::new(-2.0, -2.0)), 2.0);
    near(depth_in(&Plates::Butt(butt), Point::new(2.0, -2.0)), 1.0);
    near(depth_in(&Plates::Butt(butt), Point::new(2.0, -7.0)), -1.0);
    let tee = Plates::Tee(Tee {
        right: Corner { x: 0.0, angle: std::f64::consts::FRAC_PI_2 },
        left: None,
        upright_thickness: Some(5.0),
        base_thickness: Some(8.0),
        gap: 0.0,
    });
    near(depth_in(&tee, Point::new(-1.0, 4.0)), 1.0);
    near(depth_in(&tee, Point::new(-4.5, 4.0)), 0.5);
    near(depth_in(&tee, Point::new(2.0, 4.0)), -2.0);
    near(depth_in(&tee, Point::new(2.0, -3.0)), 3.0);
    near(depth_in(&tee, Point::new(2.0, -9.0)), -1.0);
}

/// Outlines that no tracer makes: cut short, far away, not a number.
#[test]
fn seen_never_panics() {
    let side = 48;
    let pyramid = Pyramid::new(disc(side, 1.0, 4)).unwrap();
    let whole = guided(&pyramid, &on_disc(side)).unwrap();
    let mut random = ChaCha8Rng::seed_from_u64(9);
    for case in 0..10_000 {
        let mut outline = whole.clone();
        let number = |random: &mut ChaCha8Rng| match random.random_range(0..8) {
            0 => f64::NAN,
            1 => f64::INFINITY,
            2 => -1e300,
            _ => random.random_range(-20.0..70.0),
        };
        outline.px.truncate(random.random_range(0..26));
        for p in &mut outline.px {
            if random.random_bool(0.2) {
                *p = [number(&mut random), number(&mut random)];
            }
        }
        if case % 3 == 0 {
            outline.evidence_at.truncate(random.random_range(0..9));
        }
        if case % 5 == 0 {
            outline.set_px.truncate(random.random_range(0..3));
        }
        if case % 7 == 0 {
            outline.level = random.random_range(0..70);
        }
        if case % 11 == 0 {
            outline.shape = Shape::Open;
        }
        let seen = judge(&pyramid, &outline, |p| p[0] > 3.0);
        assert!(!seen.why.is_empty());
    }
    // Whole ones, moved about.
    for _ in 0..100 {
        let mut outline = whole.clone();
        let by = [random.random_range(-60.0..60.0), random.random_range(-60.0..60.0)];
        for p in outline.px.iter_mut().chain(&mut outline.set_px) {
            *p = [p[0] + by[0], p[1] + by[1]];
        }
        assert!(!judge(&pyramid, &outline, |_| true).why.is_empty());
    }
}
