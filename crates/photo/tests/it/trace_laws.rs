//! What must hold for any picture and any points.

use photo::evidence::{Cost, Evidence, Window};
use photo::path;
use photo::pyramid::{Plane, Pyramid};
use photo::trace::{Along, Asked, Follow, Outline, Shape, TraceError, trace};
use proptest::prelude::*;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

const SIDE: usize = 256;

/// A dark ring on a grey ground with grain, `at` its centre.
fn ring(width: usize, height: usize, at: [f64; 2], seed: u64) -> Plane {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    // Grain belongs to the metal: it moves with the ring.
    let grain: Vec<f64> = (0..SIDE * SIDE).map(|_| random.random::<f64>() - 0.5).collect();
    let px = (0..width * height)
        .map(|i| {
            let (x, y) = ((i % width) as f64 - at[0], (i / width) as f64 - at[1]);
            let d = x.hypot(y) - 80.0 - 6.0 * (3.0 * y.atan2(x)).sin();
            let (gx, gy) = ((x + 128.0) as isize, (y + 128.0) as isize);
            let g = if (0..SIDE as isize).contains(&gx) && (0..SIDE as isize).contains(&gy) {
                grain[gy as usize * SIDE + gx as usize]
            } else {
                0.0
            };
            ((0.5 + 0.05 * d.clamp(-1.0, 1.0) - 0.2 * (-d * d / 6.0).exp() + 0.05 * g) * 65535.0)
                as u16
        })
        .collect();
    Plane { width, height, px }
}

fn ring_points(at: [f64; 2]) -> Vec<[f64; 2]> {
    (0..7)
        .map(|k| {
            let a = k as f64 * 0.9 + 0.2;
            let r = 80.0 + 6.0 * (3.0 * a).sin();
            [at[0] + (r * a.cos()).round(), at[1] + (r * a.sin()).round()]
        })
        .collect()
}

fn guided(plane: Plane, points: &[[f64; 2]]) -> Outline {
    let pyramid = Pyramid::new(plane).expect("a drawn picture");
    let asked = Asked {
        points,
        hold: &[],
        follow: Follow::Guided,
        along: Along::Middle,
        shape: Shape::Closed,
    };
    trace(&pyramid, &asked).expect("an outline")
}

fn greatest_distance(a: &[[f64; 2]], b: &[[f64; 2]]) -> f64 {
    let n = b.len();
    a.iter()
        .map(|p| {
            (0..n)
                .map(|i| {
                    let (q, r) = (b[i], b[(i + 1) % n]);
                    let d = [r[0] - q[0], r[1] - q[1]];
                    let long = d[0] * d[0] + d[1] * d[1];
                    let t = (((p[0] - q[0]) * d[0] + (p[1] - q[1]) * d[1]) / long.max(1e-12))
                        .clamp(0.0, 1.0);
                    (p[0] - q[0] - t * d[0]).hypot(p[1] - q[1] - t * d[1])
                })
                .fold(f64::INFINITY, f64::min)
        })
        .fold(0.0, f64::max)
}

/// Equal ways through equal pixels are settled by direction, so a turned path may differ by a pixel, and the two fits
/// start from places that much apart. The second starts within the first one's fit, so what is left is the fit's
/// change over a tenth of a pixel: half the least u (0.05 pixel) is "the same line" with room to spare.
#[test]
fn a_turned_picture_gives_the_turned_outline() {
    for seed in 0..6 {
        let plane = ring(SIDE, SIDE, [128.0, 128.0], seed);
        let points = ring_points([128.0, 128.0]);
        let outline = guided(plane.clone(), &points);
        // A quarter turn: the pixel (x, y) comes to (side - 1 - y, x).
        let turned = Plane {
            width: SIDE,
            height: SIDE,
            px: (0..SIDE * SIDE)
                .map(|i| plane.px[(SIDE - 1 - i % SIDE) * SIDE + i / SIDE])
                .collect(),
        };
        let turn = |p: &[f64; 2]| [SIDE as f64 - 1.0 - p[1], p[0]];
        let points: Vec<_> = points.iter().map(turn).collect();
        let want: Vec<_> = outline.px.iter().map(turn).collect();
        let got = guided(turned, &points);
        let off = greatest_distance(&got.px, &want);
        println!("turned {seed}: greatest distance {off:.4} px");
        assert!(off < 0.05, "turned {seed}: {off}");
    }
}

/// Nothing depends on where the zone lies in the picture: the same window of the same pixels.
/// What is left is the rounding of sums of coordinates, 1e-9 with room to spare.
#[test]
fn a_moved_zone_gives_the_moved_outline() {
    let first = guided(ring(400, 380, [150.0, 160.0], 1), &ring_points([150.0, 160.0]));
    for (dx, dy) in [(17.0, 0.0), (0.0, 23.0), (31.0, 9.0)] {
        let at = [150.0 + dx, 160.0 + dy];
        let moved = guided(ring(400, 380, at, 1), &ring_points(at));
        assert_eq!(moved.px.len(), first.px.len());
        for (p, q) in moved.px.iter().zip(&first.px) {
            assert!(
                (p[0] - q[0] - dx).abs() < 1e-9 && (p[1] - q[1] - dy).abs() < 1e-9,
                "{p:?} {q:?}"
            );
        }
    }
}

#[test]
fn the_same_question_gets_the_same_answer() {
    let a = guided(ring(300, 300, [150.0, 150.0], 4), &ring_points([150.0, 150.0]));
    let b = guided(ring(300, 300, [150.0, 150.0], 4), &ring_points([150.0, 150.0]));
    assert_eq!(a, b);
}

fn crosses(px: &[[f64; 2]], closed: bool) -> bool {
    let n = px.len();
    let sides = if closed { n } else { n - 1 };
    let side = |p: [f64; 2], q: [f64; 2], r: [f64; 2]| {
        (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
    };
    (0..sides).any(|i| {
        (i + 2..sides).any(|j| {
            if closed && i == 0 && j + 1 == sides {
                return false;
            }
            let (a, b, c, d) = (px[i], px[(i + 1) % n], px[j], px[(j + 1) % n]);
            // Two pieces of one straight line lie on different sides of each other by rounding alone: their boxes tell.
            let over =
                |k: usize| a[k].min(b[k]) <= c[k].max(d[k]) && c[k].min(d[k]) <= a[k].max(b[k]);
            side(a, b, c) * side(a, b, d) < 0.0
                && side(c, d, a) * side(c, d, b) < 0.0
                && over(0)
                && over(1)
        })
    })
}

/// A straight outline's pieces lie on one line to the last digits, and do not cross.
#[test]
fn pieces_of_one_straight_line_do_not_cross() {
    let ends = [[0.0, 0.0], [3.247_989_887_875_336_4, 8.0], [16.176_124_861_275_18, 29.0]];
    let pieces: Vec<[f64; 2]> = (0..3)
        .flat_map(|i| {
            let (a, b) = (ends[i], ends[(i + 1) % 3]);
            (0..25).map(move |k| {
                let t = f64::from(k) / 25.0;
                [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]
            })
        })
        .collect();
    assert!(!crosses(&pieces, true));
    assert!(crosses(&[[0.0, 0.0], [4.0, 4.0], [4.0, 0.0], [0.0, 4.0]], true));
}

/// A small picture of one of four kinds: constant, noise, a step, a dark diagonal.
fn small(width: usize, height: usize, seed: u64, kind: usize) -> Plane {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let level: u16 = random.random();
    let px = (0..width * height)
        .map(|i| match kind {
            0 => level,
            1 => random.random(),
            2 if i % width > width / 2 => 60_000,
            2 => 3_000,
            _ if (i % width).abs_diff(i / width) < 2 => 1_000,
            _ => 40_000 + random.random::<u16>() % 4_000,
        })
        .collect();
    Plane { width, height, px }
}

fn any_coordinate() -> impl Strategy<Value = f64> {
    prop_oneof![
        60 => 0.0..40.0f64,
        4 => (0u8..40).prop_map(f64::from),
        1 => -1e3..1e3f64,
        1 => Just(f64::NAN),
        1 => Just(f64::INFINITY),
        1 => Just(-1e300),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 10_000, failure_persistence: None, ..ProptestConfig::default() })]

    /// Either an error with a fact and an advice, or an outline whose numbers are numbers and which does not cross
    /// itself.
    #[test]
    fn no_picture_and_no_points_break_the_tracer(
        (width, height, picture, kind) in (1usize..40, 1usize..40, any::<u64>(), 0usize..4),
        points in prop::collection::vec([any_coordinate(), any_coordinate()], 0..7),
        hold in prop::collection::vec(0usize..8, 0..3),
        choice in 0usize..16,
    ) {
        let inside = |p: &[f64; 2]| [p[0].min(width as f64 - 1.0), p[1].min(height as f64 - 1.0)];
        // Mostly inside, so that the tracer itself is reached.
        let points: Vec<_> = if choice % 4 == 0 { points } else { points.iter().map(inside).collect() };
        let hold: Vec<_> = if choice % 4 == 1 { hold } else { hold.into_iter().filter(|&i| i < points.len()).collect() };
        let asked = Asked {
            points: &points,
            hold: &hold,
            follow: if choice % 5 == 0 { Follow::Straight } else { Follow::Guided },
            along: [Along::Middle, Along::Inside, Along::Outside, Along::Steepest][choice % 4],
            shape: if choice < 4 { Shape::Open } else { Shape::Closed },
        };
        let pyramid = Pyramid::new(small(width, height, picture, kind)).unwrap();
        match trace(&pyramid, &asked) {
            Ok(outline) => {
                let n = outline.px.len();
                prop_assert!(n >= 2);
                prop_assert_eq!(outline.u_px.len(), n);
                prop_assert!(outline.px.iter().all(|p| p[0].is_finite() && p[1].is_finite()));
                prop_assert!(outline.u_px.iter().all(|u| *u >= 0.1 && u.is_finite()));
                prop_assert!(outline.evidence.is_finite());
                prop_assert!(!crosses(&outline.px, outline.shape == Shape::Closed));
                for &i in hold.iter().filter(|_| asked.follow == Follow::Guided) {
                    let straight = outline.remarks.contains(&photo::trace::Remark::JoinedStraight);
                    let kept = outline.px.contains(&points[i]);
                    prop_assert!(kept || straight, "held point {} is not on the outline", i);
                }
            }
            Err(e) => {
                prop_assert!(!e.to_string().is_empty() && !e.advice().is_empty());
                let bad = points.iter().any(|p| p.iter().any(|v| !v.is_finite()));
                let named =
                    matches!(e, TraceError::NotANumber { .. } | TraceError::Outside { .. } | TraceError::TooFewPoints { .. });
                prop_assert!(!bad || named);
            }
        }
    }

}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2_000, failure_persistence: None, ..ProptestConfig::default() })]

    /// A map may be asked for anywhere.
    #[test]
    fn no_place_breaks_a_map(
        (width, height, picture, kind) in (1usize..40, 1usize..40, any::<u64>(), 0usize..4),
        seed in [any_coordinate(), any_coordinate()],
        other in prop::option::of([any_coordinate(), any_coordinate()]),
        cursor in [any_coordinate(), any_coordinate()],
    ) {
        let pyramid = Pyramid::new(small(width, height, picture, kind)).unwrap();
        let window = Window::around(&pyramid, 0, &[seed, cursor]);
        let evidence = Evidence::new(&pyramid, window);
        let cost = Cost::learned(&evidence, &[seed, cursor, [3.0, 4.0]]);
        let map = path::map(&cost, seed, other);
        prop_assert_eq!(map.directions.len(), map.window.w * map.window.h);
        prop_assert_eq!(map.directions.iter().filter(|&&d| d == path::NONE).count(), 1);
        if let Some(way) = map.walk(cursor) {
            prop_assert!(way.len() <= map.directions.len());
        }
    }
}

/// Every refusal is a fact with its numbers and something to do.
#[test]
fn bad_points_are_refused_with_a_fact_and_an_advice() {
    let pyramid = Pyramid::new(ring(300, 300, [150.0, 150.0], 1)).unwrap();
    let refuse = |points: &[[f64; 2]], hold: &[usize]| {
        let asked = Asked {
            points,
            hold,
            follow: Follow::Guided,
            along: Along::Middle,
            shape: Shape::Closed,
        };
        let e = trace(&pyramid, &asked).unwrap_err();
        (e.to_string(), e.advice())
    };
    let good = ring_points([150.0, 150.0]);
    let with = |i: usize, p: [f64; 2]| {
        let mut points = good.clone();
        points[i] = p;
        points
    };
    assert_eq!(refuse(&good[..2], &[]).0, "2 point(s) were set, and 3 are needed");
    assert_eq!(
        refuse(&with(2, [f64::NAN, 0.0]), &[]).0,
        "point 3 has a coordinate that is not a number"
    );
    assert_eq!(
        refuse(&with(0, [300.2, 10.0]), &[]).0,
        "point 1 at (300.2, 10.0) lies outside the picture of 300 x 300 pixels"
    );
    assert_eq!(
        refuse(&with(1, good[0]), &[]).0,
        "points 1 and 2 are 0.00 pixels apart, so no line leads from one to the other"
    );
    assert_eq!(refuse(&good, &[9]).0, "point 10 is to be held, and only 7 were set");
    let small = [[10.0, 10.0], [14.0, 10.0], [12.0, 13.0]];
    assert_eq!(
        refuse(&small, &[]).0,
        "the set points span 4.0 pixels, and a line needs at least 12 to be read"
    );
    assert!(refuse(&small, &[]).1.contains("closer photograph"));
    let one = Pyramid::new(Plane { width: 1, height: 1, px: vec![7] }).unwrap();
    let points = [[0.0, 0.0], [0.2, 0.0], [0.0, 0.2]];
    let asked = Asked {
        points: &points,
        hold: &[],
        follow: Follow::Guided,
        along: Along::Middle,
        shape: Shape::Closed,
    };
    assert!(trace(&one, &asked).is_err());
}
