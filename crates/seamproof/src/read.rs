//! `seamproof read`.

use crate::shown::{aligned, listed, wrapped};
use crate::{Ended, json, say};
use std::path::{Path, PathBuf};
use std::rc::Rc;
use weld::reading::Reading;
use weld::section::Side;
use workflow::propose::Proposed;
use workflow::read::{Done, says};
use workflow::refusal::Refusal;
use workflow::study::{Kind, Study, is_study};
use workflow::{files, overlay, propose, read, table};

/// A reading file, as the help shows it.
const EXAMPLE: &str = r#"A reading file:
  photo = "a1.jpg"                   # beside this file
  joint = "tee"                      # bead, butt or tee
  etched = true
  coupon = "A"                       # coupon and section become the rows of a claim
  section = 1
  [[scale]]                          # one or more; several are compared
  from = [54, 1129]                  # pixels: x right, y down, from 0, after the EXIF turn
  to = [369, 1129]
  length = "10 mm"                   # or per_pixel = "2.5 um"; or thickness = "5.02 mm", measured
  [plates]                           # original surfaces on the weld's side, clear of the weld
  base = [[640, 812], [1190, 820]]   # bead: surface; butt: surface, bottom, joint_line
  upright = [[402, 95], [398, 310]]
  upright_thickness = "5 mm"
  [[fused]]                          # points along the boundary, in order
  points = [[655, 815], [560, 900], [380, 830], [340, 640], [400, 560]]
  trace = "guided"                   # along the visible line; "straight" takes the points as given"#;

/// What do these etched sections show, and how surely?
///
/// Each FILE is a reading file (TOML): the photo, its scale, the plates, and the points set along the fused zone; or a study
/// (.seam) with such sections.
/// The fused zone is then followed along the visible fusion line, measured, and every reading gets its uncertainty.
/// Where an etched face shows no fusion line the weld is refused and the exit code is 1; everything else is written.
#[derive(Debug, clap::Args)]
#[command(after_long_help = EXAMPLE)]
pub(crate) struct Args {
    /// Reading files, or studies
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Only these sections of a study, by name
    #[arg(long, value_name = "NAME")]
    section: Vec<String>,
    /// Propose an outline of the fused zone around this place of a photo, for a reading file; FILE is the photo
    #[arg(long, value_name = "X,Y", value_parser = place, conflicts_with = "csv")]
    inside: Option<[f64; 2]>,
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

/// A place on a photo: two numbers with a comma between.
fn place(text: &str) -> Result<[f64; 2], String> {
    let numbers: Vec<f64> = text.split(',').filter_map(|t| t.trim().parse().ok()).collect();
    <[f64; 2]>::try_from(numbers.as_slice())
        .ok()
        .filter(|p| text.matches(',').count() == 1 && p.iter().all(|v| v.is_finite()))
        .ok_or_else(|| "write x and y in pixels, such as 640,480".to_owned())
}

/// Proposes an outline and says how to use it.
fn proposed(args: &Args, inside: [f64; 2]) -> Result<Ended, Refusal> {
    let [photo] = args.files.as_slice() else {
        return Err(Refusal::new(
            format!(
                "{} files are given, and an outline is proposed on one photo",
                args.files.len()
            ),
            "name the one photo that the place is on",
        ));
    };
    let (out, proposal, picture) = match propose::propose(photo, inside)? {
        Proposed::Outlines { out, proposal, photo } => (out, proposal, photo),
        Proposed::Nothing { sentence, advice } => {
            let none = serde_json::json!({ "outlines": [], "sentence": sentence, "next": advice });
            say(&if args.json {
                json(&none)?
            } else {
                wrapped(&sentence, "", "  ") + &wrapped(advice, "  next: ", "  ")
            })?;
            return Ok(Ended::No);
        }
    };
    if let Some(path) = &args.overlay {
        files::write_all(&[(path.clone(), propose::overlay(&picture, &proposal)?)], &[photo])?;
    }
    if args.json {
        say(&json(&out)?)?;
        return Ok(Ended::Yes);
    }
    let mut text = wrapped(&format!("# {}", out.caution), "", "#   ");
    for o in &out.outlines {
        text.push_str(&wrapped(&format!("# {}: {}", o.which, o.seen), "", "#   "));
        let points: Vec<String> =
            o.points.iter().map(|[x, y]| format!("[{x:.1}, {y:.1}]")).collect();
        text.push_str(&format!(
            "[[fused]]\n# side = \"right\"   # or left, top, bottom: say it where the joint has two welds\npoints = [{}]\ntrace = \"guided\"\n",
            points.join(", ")
        ));
    }
    say(&text)?;
    Ok(Ended::Yes)
}

pub(crate) fn run(args: &Args) -> Result<Ended, Refusal> {
    if let Some(inside) = args.inside {
        return proposed(args, inside);
    }
    let sections = sections(args)?;
    let several = sections.len() > 1;
    let mut outs = Vec::with_capacity(sections.len());
    let mut text = String::new();
    let mut written = Vec::new();
    let mut photos = Vec::new();
    let mut refused = false;
    for section in &sections {
        let done = section.read()?;
        if args.json {
            text.push_str(&json(&done.out)?);
        } else {
            text.push_str(&page(&done));
        }
        if let Some(path) = &args.overlay {
            written.push((
                if several { named(path, section.path()) } else { path.clone() },
                overlay::overlay(&done)?,
            ));
        }
        refused |= done.refused();
        if matches!(section, Section::File(_)) {
            photos.push(done.photo_path);
        }
        outs.push(done.out);
    }
    // Everything is read before anything is written: a fault in the last file leaves no half of a table.
    if let Some(path) = &args.csv {
        written.push((path.clone(), table::write_table(&outs)?));
    }
    let inputs: Vec<&Path> = args.files.iter().chain(&photos).map(PathBuf::as_path).collect();
    files::write_all(&written, &inputs)?;
    say(&text)?;
    Ok(if refused { Ended::No } else { Ended::Yes })
}

/// A section to read.
enum Section {
    /// A reading file.
    File(PathBuf),
    /// A section of a study, by its name.
    Kept(Rc<Study>, String),
}

impl Section {
    fn read(&self) -> Result<Done, Refusal> {
        match self {
            Self::File(path) => read::read(path),
            Self::Kept(study, name) => study.read_section(name),
        }
    }

    /// What it is called.
    fn path(&self) -> &Path {
        match self {
            Self::File(path) => path,
            Self::Kept(_, name) => Path::new(name),
        }
    }
}

/// What is to be read, in order.
fn sections(args: &Args) -> Result<Vec<Section>, Refusal> {
    let mut out = Vec::new();
    for file in &args.files {
        if !is_study(file) {
            out.push(Section::File(file.clone()));
            continue;
        }
        let study = Rc::new(Study::open_to_read(file)?);
        let listed = study.list(Kind::Section)?;
        if listed.is_empty() {
            return Err(Refusal::new(
                "the study has no section yet",
                "bring sections in: 'seamproof study import --help'",
            )
            .in_file(file.display()));
        }
        for name in &args.section {
            study.named(Kind::Section, name)?;
        }
        let names = listed.into_iter().map(|section| section.name);
        let wanted = names.filter(|n| args.section.is_empty() || args.section.contains(n));
        out.extend(wanted.map(|name| Section::Kept(Rc::clone(&study), name)));
    }
    if !args.section.is_empty() && out.iter().all(|s| matches!(s, Section::File(_))) {
        return Err(Refusal::new(
            "--section is given, and no study is",
            "leave it out: a reading file is one section",
        ));
    }
    Ok(out)
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
        text.push_str(&wrapped(&says::verdict(weld), "  ", "  "));
        let mut rows = vec![vec![
            match weld.side {
                Side::Only => "weld".to_owned(),
                side => format!("{} weld", side.word()),
            } + if weld.mirrored { " (mirrored)" } else { "" },
            "value".to_owned(),
            "u".to_owned(),
            "95 %".to_owned(),
            "mostly by".to_owned(),
        ]];
        for line in says::weld_lines(weld) {
            let mostly = if line.mostly.is_empty() { "-" } else { line.mostly }.to_owned();
            rows.push(vec![line.words, line.value, line.u, line.within, mostly]);
        }
        text.push_str(&aligned(&rows, 2));
        text.push_str(&absences(&weld.absent));
    }
    let joint = &done.read.joint;
    let sentence = says::joint_verdict(joint);
    if let Some(sentence) = &sentence {
        text.push('\n');
        text.push_str(&wrapped(sentence, "  ", "  "));
    }
    let mut rows: Vec<Vec<String>> = says::joint_lines(joint)
        .into_iter()
        .map(|line| vec![line.words, line.value, line.u, line.within])
        .collect();
    if !rows.is_empty() {
        rows.insert(0, ["joint", "value", "u", "95 %"].map(str::to_owned).to_vec());
        if sentence.is_none() {
            text.push('\n');
        }
        text.push_str(&aligned(&rows, 2));
    }
    for (name, why) in &joint.absent {
        text.push_str(&wrapped(
            &format!("{}: absent, {why}", read::joint_words(name)),
            "  ",
            "    ",
        ));
    }
    text.push_str(&listed("remarks", &out.remarks));
    text.push_str(&wrapped(
        "A macro section does not show microcracks. Static strength only; u is one standard uncertainty.",
        "\n  ",
        "  ",
    ));
    text.push('\n');
    text
}

/// What is not there, reason by reason.
fn absences(absent: &[(Reading, String)]) -> String {
    let mut text = String::new();
    for (i, (_, why)) in absent.iter().enumerate() {
        if absent[..i].iter().any(|(_, earlier)| earlier == why) {
            continue;
        }
        let names: Vec<&str> =
            absent.iter().filter(|(_, other)| other == why).map(|(r, _)| r.words()).collect();
        let names = names.join(", ");
        text.push_str(&wrapped(&format!("{names}: absent, {why}"), "  ", "    "));
    }
    text
}
