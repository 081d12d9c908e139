//! Makes a study of 10 000 sections over the photos of a folder, to measure the bench on it:
//! `cargo run --release -p workflow --example large_study -- DEMO-FOLDER LARGE.seam [COUNT]`.
//!
//! Each photo of the folder's reading files is taken in once; sections share them, a hundred to a coupon.

use std::path::{Path, PathBuf};
use workflow::clock::By;
use workflow::refusal::Refusal;
use workflow::study::{Kind, Put, Study};
use workflow::wire::study::short_text;

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
    let mut texts = Vec::new();
    for file in &files {
        let photo = file.with_extension("jpg");
        let bytes = workflow::files::photo(&photo)?;
        let name = format!("photos/{}", photo.file_name().unwrap_or_default().to_string_lossy());
        study.put_photo(&Put::new(&name, ""), &bytes, &by).map_err(Refusal::from)?;
        texts.push(workflow::files::text(file)?);
    }
    let mut coupon = None;
    for i in 0..count {
        if i % 100 == 0 {
            let label = format!("C{}", i / 100);
            let put = Put::new(&label, "");
            coupon = Some(study.put(Kind::Coupon, &put, &by).map_err(Refusal::from)?.record);
        }
        let name = format!("photos/s{i:05}.toml");
        let put = Put { of: None, name: &name, parent: coupon, text: &texts[i % texts.len()] };
        study.put_section(&put, &by).map_err(Refusal::from)?;
    }
    study.close()
}
