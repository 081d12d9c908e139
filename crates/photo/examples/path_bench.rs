//! Times the guided path on one picture and writes what a peer needs to do the same work.
//!
//! `path_bench PICTURE FOLDER x,y x,y x,y ...` (closed outline through these points, picture pixels) prints one
//! `name value` a line: medians of nine runs in milliseconds. Into FOLDER go `cost.u8` (the cost window, row
//! after row), `segments.txt` (seed, goal and window of each segment in pixels of that window), `path.txt` (the
//! guided path) and `outline.txt` (the refined outline), both in picture pixels.
//!
//! `path_bench PICTURE FOLDER --trace x,y ...` times nothing and writes `outline.txt` only.
//!
//! `benches/peers/path.py` runs it beside a general image library.

use photo::evidence::{Cost, Evidence};
use photo::path;
use photo::pyramid::{Plane, Pyramid};
use photo::trace::{Along, Asked, Follow, Shape, evidence_for, path_on, trace};
use std::fmt::Write as _;
use std::time::Instant;

type Fallible<T> = Result<T, Box<dyn std::error::Error>>;

fn median_ms<T>(mut work: impl FnMut() -> T) -> (T, f64) {
    let mut times = Vec::new();
    let mut last = None;
    for _ in 0..9 {
        let start = Instant::now();
        last = Some(work());
        times.push(start.elapsed().as_secs_f64() * 1e3);
    }
    times.sort_by(f64::total_cmp);
    match last {
        Some(last) => (last, times[4]),
        None => (work(), 0.0),
    }
}

fn main() -> Fallible<()> {
    let mut given = std::env::args().skip(1);
    let picture =
        given.next().ok_or("a picture, a folder and at least three points x,y are needed")?;
    let folder = std::path::PathBuf::from(given.next().ok_or("a folder to write to is needed")?);
    let mut given = given.peekable();
    let trace_only = given.next_if(|g| g == "--trace").is_some();
    let points = given
        .map(|p| {
            let (x, y) = p.split_once(',').ok_or("a point is written x,y")?;
            Ok([x.parse()?, y.parse()?])
        })
        .collect::<Fallible<Vec<[f64; 2]>>>()?;

    let bytes = std::fs::read(picture)?;
    let text =
        |px: &[[f64; 2]]| px.iter().map(|p| format!("{} {}\n", p[0], p[1])).collect::<String>();
    let asked = Asked {
        points: &points,
        hold: &[],
        follow: Follow::Guided,
        along: Along::Steepest,
        shape: Shape::Closed,
    };
    let start = Instant::now();
    let rgb = image::load_from_memory(&bytes)?.to_rgb8();
    let (width, height) = (rgb.width() as usize, rgb.height() as usize);
    let grey = |p: &image::Rgb<u8>| {
        let sum = u32::from(p[0]) * 19595 + u32::from(p[1]) * 38470 + u32::from(p[2]) * 7471;
        (((sum + 128) * 257) >> 16) as u16
    };
    let plane = Plane { width, height, px: rgb.pixels().map(grey).collect() };
    if trace_only {
        let outline = trace(&Pyramid::new(plane)?, &asked)?;
        std::fs::write(folder.join("outline.txt"), text(&outline.px))?;
        return Ok(());
    }
    println!("decode_ms {:.2}", start.elapsed().as_secs_f64() * 1e3);
    println!("width {width}\nheight {height}");

    let (pyramid, ms) = median_ms(|| Pyramid::new(plane.clone()));
    let pyramid = pyramid?;
    let (_, copy_ms) = median_ms(|| plane.clone());
    println!("pyramid_ms {:.2}", (ms - copy_ms).max(0.0));

    let evidence = evidence_for(&pyramid, &asked)?;
    let window = evidence.window();
    println!("level {}\nwindow_w {}\nwindow_h {}", window.level, window.w, window.h);
    let (_, ms) = median_ms(|| Evidence::new(&pyramid, window));
    println!("features_ms {ms:.2}");
    let (cost, ms) = median_ms(|| Cost::prior(&evidence));
    println!("cost_ms {ms:.2}");

    let mut line = Vec::new();
    let mut segments = String::new();
    let (mut maps, mut ways, mut full) = (Vec::new(), Vec::new(), Vec::new());
    for (i, &seed) in points.iter().enumerate() {
        let goal = points[(i + 1) % points.len()];
        let (map, ms) = median_ms(|| path::map(&cost, seed, Some(goal)));
        maps.push(ms);
        let (_, ms) = median_ms(|| path::map(&cost, seed, None));
        full.push(ms);
        let (way, ms) = median_ms(|| path::between(&cost, seed, goal));
        ways.push(ms);
        line.extend(way);
        let ((sx, sy, _), (gx, gy, _)) = (window.pixel(seed), window.pixel(goal));
        let (x0, y0) = (map.window.x0 - window.x0, map.window.y0 - window.y0);
        writeln!(segments, "{sx} {sy} {gx} {gy} {x0} {y0} {} {}", map.window.w, map.window.h)?;
    }
    for (name, times) in
        [("segment_map", &mut maps), ("largest_map", &mut full), ("segment_path", &mut ways)]
    {
        println!("{name}_total_ms {:.2}", times.iter().sum::<f64>());
        println!("{name}_worst_ms {:.2}", times.iter().copied().fold(0.0, f64::max));
    }
    let (_, ms) = median_ms(|| path_on(&pyramid, &evidence, &asked));
    println!("path_on_ms {ms:.2}");
    let (outline, ms) = median_ms(|| trace(&pyramid, &asked));
    println!("trace_ms {ms:.2}");

    std::fs::write(folder.join("cost.u8"), cost.px())?;
    std::fs::write(folder.join("segments.txt"), segments)?;
    std::fs::write(folder.join("path.txt"), text(&line))?;
    std::fs::write(folder.join("outline.txt"), text(&outline?.px))?;
    Ok(())
}
