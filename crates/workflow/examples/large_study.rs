//! Makes a study of 10 000 sections over 50 distinct photos and three of 50 megapixels, to measure the bench on it:
//! `cargo run --release -p workflow --example large_study -- DEMO-FOLDER LARGE.seam [COUNT]`.
//!
//! The photos are those of the demo, each with a corner pixel of its own so that none is kept as another; the large ones
//! are blown up from them, with grain. A hundred sections to a coupon; each is read, and what is read of it is kept, but
//! for those on a large photo, on which nothing is marked yet.

use photo::decode::{Photo, decode};
use photo::encode::{Part, paper_jpeg};
use std::path::{Path, PathBuf};
use workflow::clock::By;
use workflow::read::{Done, decoded};
use workflow::refusal::Refusal;
use workflow::study::{Kind, Put, Study};
use workflow::wire::study::short_text;

/// Distinct photos, and large ones: columns and rows of 50 megapixels.
const DISTINCT: usize = 50;
const LARGE: usize = 3;
const LARGE_SIZE: [u32; 2] = [8192, 6144];

fn main() -> Result<(), Refusal> {
    let mut arguments = std::env::args().skip(1);
    let (Some(folder), Some(to)) = (arguments.next(), arguments.next()) else {
        return Err(Refusal::new("a folder and a study are needed", "name the demo's folder"));
    };
    let count: usize = arguments.next().and_then(|n| n.parse().ok()).unwrap_or(10_000);
    let by = By::now("a measurement");
    let text = short_text(Kind::Study, &to, &[("title", "Large"), ("invented", "true")])?;
    let study = Study::create(Path::new(&to), &text, &by)?;
    let photos = PathBuf::from(folder).join("photos");
    let mut files: Vec<PathBuf> = std::fs::read_dir(&photos)
        .map_err(|e| Refusal::new(e, "name the demo's folder"))?
        .flatten()
        .map(|entry| entry.path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .collect();
    files.sort();
    // What is marked on each photo, and what is read of it.
    let mut marked: Vec<(String, Option<Done>)> = Vec::new();
    for i in 0..DISTINCT + LARGE {
        let file = &files[i % files.len()];
        let text = workflow::files::text(file)?;
        let of = workflow::files::photo(&file.with_extension("jpg"))?;
        let photo = decode(&of).map_err(|e| Refusal::new(&e, e.advice()))?;
        let large = i >= DISTINCT;
        let jpeg = if large { blown_up(&photo, i) } else { with_corner(photo, i) }?;
        let name = format!("p{i:02}.jpg");
        let text = if large {
            format!("photo = \"{name}\"\njoint = \"tee\"\netched = true\n")
        } else {
            let own = |line: &str| {
                if line.starts_with("photo = ") {
                    format!("photo = \"{name}\"\n")
                } else {
                    format!("{line}\n")
                }
            };
            text.lines().map(own).collect()
        };
        let decoded = decoded(&jpeg)?;
        study
            .put_decoded(&Put::new(&format!("photos/{name}"), ""), &jpeg, &decoded, &by)
            .map_err(Refusal::from)?;
        let done =
            if large { None } else { Some(Study::read_marks("photos/s.toml", &text, &decoded)?) };
        marked.push((text, done));
    }
    let mut coupon = None;
    for i in 0..count {
        if i % 100 == 0 {
            let label = format!("C{:03}", i / 100);
            let put = Put::new(&label, "");
            coupon = Some(study.put(Kind::Coupon, &put, &by).map_err(Refusal::from)?.record);
        }
        let (text, done) = &marked[i % marked.len()];
        let name = format!("photos/s{i:05}.toml");
        let put = Put { of: None, name: &name, parent: coupon, text };
        let section = study.put_section(&put, &by).map_err(Refusal::from)?;
        if let Some(done) = done {
            study.keep_reading(&section, done, &by).map_err(Refusal::from)?;
        }
    }
    study.close()
}

/// The same photo with another pixel in its corner.
fn with_corner(mut photo: Photo, i: usize) -> Result<Vec<u8>, Refusal> {
    for value in photo.rgb.iter_mut().take(3) {
        *value = (40 + 3 * i) as u8;
    }
    jpeg(&photo)
}

/// The photo at 50 megapixels: each pixel many times, with grain, so that it packs as badly as a photo does.
fn blown_up(photo: &Photo, seed: usize) -> Result<Vec<u8>, Refusal> {
    let [width, height] = LARGE_SIZE;
    let mut grain = 0x9e37_79b9_u32.wrapping_mul(seed as u32 + 1);
    let mut rgb = Vec::with_capacity((3 * width * height) as usize);
    for y in 0..height {
        for x in 0..width {
            let at = [x * photo.width / width, y * photo.height / height];
            let at = 3 * (at[1] * photo.width + at[0]) as usize;
            grain ^= grain << 13;
            grain ^= grain >> 17;
            grain ^= grain << 5;
            let off = (grain % 17) as i16 - 8;
            rgb.extend(
                photo.rgb[at..at + 3].iter().map(|v| (i16::from(*v) + off).clamp(0, 255) as u8),
            );
        }
    }
    let mut large = photo.clone();
    (large.width, large.height, large.rgb) = (width, height, rgb);
    jpeg(&large)
}

fn jpeg(photo: &Photo) -> Result<Vec<u8>, Refusal> {
    let whole = Part { from: [0, 0], size: [photo.width, photo.height] };
    paper_jpeg(photo, whole, photo.width).map_err(|e| Refusal::new(&e, e.advice()))
}
