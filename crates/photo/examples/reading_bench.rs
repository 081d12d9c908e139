//! How long a reading takes on a photo of 12 megapixels, part by part; medians of several runs, decode apart.
//!
//! `cargo run --release -p photo --example reading_bench`
//!
//! The picture is a plain drawing of a tee (two levels, a dark fusion line, a little noise): what takes the time is the
//! number of pixels and of outline points, not what they show.

use photo::decode::decode;
use photo::encode::png;
use photo::marks::{Cut, Joint, Kind, Marks, OutlineMark, PlateMarks, Taken};
use photo::reading::bench::{draws, prepare};
use photo::scale::{PixelPoint, ScaleMark};
use photo::trace::Follow;
use std::time::Instant;
use weld::section::Point;
use weld::section::outline::{contains, to_boundary};

const WIDTH: u32 = 4000;
const HEIGHT: u32 = 3000;

fn zone() -> Vec<[f64; 2]> {
    vec![
        [2600.0, 2000.0],
        [2150.0, 1500.0],
        [1800.0, 1200.0],
        [1600.0, 1500.0],
        [1500.0, 2000.0],
        [1700.0, 2250.0],
        [2200.0, 2200.0],
    ]
}

fn picture() -> Vec<u8> {
    let outline: Vec<Point> = zone().iter().map(|p| Point::new(p[0], p[1])).collect();
    let mut rgb = Vec::with_capacity((WIDTH * HEIGHT * 3) as usize);
    let mut noise = 1u32;
    for y in 0..HEIGHT {
        for x in 0..WIDTH {
            noise = noise.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let grain = (noise >> 28) as u8;
            let plate = y >= 2000 || (1300..=1800).contains(&x);
            let near = (1350..2700).contains(&x) && (1050..2400).contains(&y);
            let level = if near && contains(&outline, Point::new(f64::from(x), f64::from(y)), 0.0) {
                140
            } else if plate {
                175
            } else {
                20
            };
            let line = near
                && plate
                && to_boundary(Point::new(f64::from(x), f64::from(y)), &outline) < 4.0;
            let v = if line { 70 } else { level + grain };
            rgb.extend([v, v, v]);
        }
    }
    rgb
}

fn median(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

fn timed<T>(runs: usize, mut f: impl FnMut() -> T) -> (f64, T) {
    let mut last = f();
    let times = (0..runs)
        .map(|_| {
            let start = Instant::now();
            last = f();
            1e3 * start.elapsed().as_secs_f64()
        })
        .collect();
    (median(times), last)
}

fn main() {
    let bytes = png(WIDTH, HEIGHT, &picture()).expect("a picture of 12 megapixels is written");
    let (decode_ms, photo) = timed(5, || decode(&bytes).expect("what was written is read"));
    let point = |x: f64, y: f64| PixelPoint { x_px: x, y_px: y };
    let marks = Marks {
        joint: Joint::Tee,
        etched: true,
        scale: vec![ScaleMark::TwoPoints {
            from: point(100.0, 2900.0),
            to: point(3100.0, 2900.0),
            length_mm: 30.0,
            u_rel: None,
        }],
        plates: PlateMarks {
            base: vec![[2700.0, 2000.0], [3900.0, 2000.0]],
            upright: vec![[1800.0, 100.0], [1800.0, 1100.0]],
            upright_thickness_mm: Some(5.0),
            ..PlateMarks::default()
        },
        outlines: vec![OutlineMark {
            kind: Kind::Fused,
            side: None,
            points: zone(),
            hold: vec![0, 2],
            follow: Follow::Guided,
        }],
        cut: Cut::default(),
        corners: None,
        taken: Taken::default(),
    };
    let (trace_ms, prepared) = timed(5, || prepare(&photo, &marks).expect("the drawing is read"));
    let (draws_ms, count) = timed(9, || draws(&prepared, 1000));
    println!(
        "12-megapixel photo, tee, one outline; medians, {} threads",
        std::thread::available_parallelism().map_or(1, usize::from)
    );
    println!("decode PNG              {decode_ms:8.1} ms");
    println!("pyramid, trace, prepare {trace_ms:8.1} ms");
    println!(
        "readings, 1000 draws    {draws_ms:8.1} ms  (bar 60; {count} readable, {:.1} us a draw and thread)",
        draws_ms * 2.0
    );
}
