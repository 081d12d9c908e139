//! `seamproof read`.

use crate::shown::{self, aligned, value, wrapped};
use crate::{Ended, json, say};
use std::path::{Path, PathBuf};
use weld::reading::{Dimension, Reading};
use workflow::read::Done;
use workflow::refusal::Refusal;
use workflow::{files, overlay, read, table};

/// What do these etched sections show, and how surely?
///
/// Each FILE is a reading file (TOML): the photo, its scale, the plates, and the points set along the fused zone.
/// The fused zone is then followed along the visible fusion line, measured, and every reading gets its uncertainty.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// Reading files
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Write the readings as a table for `claim`
    #[arg(long, value_name = "OUT.csv")]
    csv: Option<PathBuf>,
    /// Write the photo with everything that was read drawn on it; several files: OUT-NAME.png
    #[arg(long, value_name = "OUT.png")]
    overlay: Option<PathBuf>,
    /// Print JSON, one line a file
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(args: &Args) -> Result<Ended, Refusal> {
    let mut outs = Vec::with_capacity(args.files.len());
    let several = args.files.len() > 1;
    let mut text = String::new();
    let mut pictures = Vec::new();
    for file in &args.files {
        let done = read::read(file)?;
        if args.json {
            text.push_str(&json(&done.out)?);
        } else {
            text.push_str(&page(&done));
        }
        if let Some(path) = &args.overlay {
            pictures.push((
                if several { named(path, file) } else { path.clone() },
                overlay::overlay(&done)?,
            ));
        }
        outs.push(done.out);
    }
    // Everything is read before anything is written: a fault in the last file leaves no half of a table.
    if let Some(path) = &args.csv {
        files::write(path, &table::write_table(&outs)?)?;
    }
    for (path, png) in &pictures {
        files::write(path, png)?;
    }
    say(&text)?;
    Ok(Ended::Yes)
}

/// OUT.png and a1.toml make OUT-a1.png.
fn named(path: &Path, file: &Path) -> PathBuf {
    let part =
        |p: &Path| p.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
    let ending = path.extension().map_or_else(|| "png".into(), |e| e.to_string_lossy());
    path.with_file_name(format!("{}-{}.{ending}", part(path), part(file)))
}

fn page(done: &Done) -> String {
    let out = &done.out;
    let mut text = format!("{}: {} on {}", out.file, out.joint_kind, out.photo);
    if let Some(coupon) = &out.coupon {
        text.push_str(&format!(", coupon {coupon}"));
    }
    if let Some(section) = &out.section {
        text.push_str(&format!(", section {section}"));
    }
    text.push_str(&format!(
        "\n  scale {} um per pixel, u {:.2} %\n",
        weld::quantity::show::significant(1e3 * out.mm_per_px, 4),
        100.0 * out.mm_per_px_u_rel
    ));
    for weld in &done.read.welds {
        text.push('\n');
        text.push_str(&wrapped(&verdict(weld), "  ", "  "));
        let mut rows = vec![vec![
            if weld.mirrored {
                format!("{} weld (mirrored)", weld.side.word())
            } else {
                format!("{} weld", weld.side.word())
            },
            "value".to_owned(),
            "u".to_owned(),
            "u shared".to_owned(),
        ]];
        for (reading, v) in &weld.values {
            let (shown, u) = shown::reading(*reading, v.value, v.u);
            let (_, shared) = shown::reading(*reading, v.value, v.u_shared);
            let shared = if v.u_shared > 0.0 { shared } else { "-".to_owned() };
            rows.push(vec![reading.words().to_owned(), shown, u, shared]);
        }
        text.push_str(&aligned(&rows, 2));
        for (reading, why) in &weld.absent {
            text.push_str(&wrapped(&format!("{}: absent, {why}", reading.words()), "  ", "    "));
        }
    }
    let joint = &done.read.joint;
    let mut rows: Vec<Vec<String>> = Vec::new();
    for (name, v) in &joint.values {
        let (shown, u) = value(Dimension::Length, v.value, v.u);
        rows.push(vec![words(name).to_owned(), shown, u]);
    }
    for (name, answer) in &joint.answers {
        rows.push(vec![words(name).to_owned(), answer.word().to_owned()]);
    }
    if !rows.is_empty() {
        rows.insert(0, vec!["joint".to_owned(), "value".to_owned(), "u".to_owned()]);
        text.push('\n');
        text.push_str(&aligned(&rows, 2));
    }
    for (name, why) in &joint.absent {
        text.push_str(&wrapped(&format!("{}: absent, {why}", words(name)), "  ", "    "));
    }
    if !out.remarks.is_empty() {
        text.push_str("\n  remarks\n");
        for remark in &out.remarks {
            text.push_str(&wrapped(remark, "  - ", "    "));
        }
    }
    text.push_str(&wrapped(
        "A macro section does not show microcracks. Static strength only; u is one standard uncertainty.",
        "\n  ",
        "  ",
    ));
    text.push('\n');
    text
}

/// The reading that matters, as a sentence.
fn verdict(weld: &photo_read::WeldRead) -> String {
    let get = |r: Reading| weld.values.iter().find(|(name, _)| *name == r).map(|(_, v)| v);
    let say = |r: Reading| {
        get(r).map(|v| {
            let (shown, u) = shown::reading(r, v.value, v.u);
            format!("{shown} (u {u})")
        })
    };
    let side = match weld.side {
        weld::section::Side::Only => "the weld".to_owned(),
        side => format!("the {} weld", side.word()),
    };
    if let Some(throat) = say(Reading::EffectiveThroat) {
        let rest = match say(Reading::RootPenetration) {
            Some(p) => format!(", its root lies {p} beyond the corner"),
            None => String::new(),
        };
        return format!("Effective throat of {side}: {throat}{rest}.");
    }
    if let Some((_, why)) = weld.absent.iter().find(|(r, _)| *r == Reading::EffectiveThroat) {
        return format!("No throat for {side}: {why}.");
    }
    match say(Reading::Penetration) {
        Some(p) => format!("Penetration of {side}: {p}."),
        None => format!("No penetration for {side}."),
    }
}

fn words(name: &str) -> &str {
    match name {
        "throat_mm" => "throat of the joint",
        "overlap_mm" => "overlap on the joint line",
        "unfused_land_mm" => "unfused land",
        "misalignment_mm" => "misalignment",
        "complete_penetration" => "complete penetration",
        "full_penetration_by_4_7_3" => "full penetration by EN 1993-1-8 4.7.3 (Recalled)",
        other => other,
    }
}

/// What the hall hands out of the room.
use workflow::read::nouns as photo_read;
