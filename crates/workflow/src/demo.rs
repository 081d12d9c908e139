//! `demo`: the whole job on drawn photographs of an invented works.
//!
//! ```text
//!   seed ─ scenario ─ drawn photos ─ points as a hand sets them ─ read ─┬─ readings.csv
//!                     joint.toml ─ need ────────────────────────────────┴─ claim.toml ─ report.pdf
//!                     laser.toml ─ what the setting should make of the joint, before any section is read
//!                     butt-joint.toml ─ need ─ three photos of a butt ──── butt-claim.toml
//! ```
//!
//! The reader is told nothing that a person with the photo and the reading file would not have: it reads the files that
//! were written, and so can anybody else. The scenario's numbers are in [`hollin`].

pub mod hollin;

use crate::claim::file::{Claimed, SectionRead, work};
use crate::clock::{By, Moment};
use crate::cores::side_by_side;
use crate::files;
use crate::overlay::overlay;
use crate::predict::{TIERS, expect};
use crate::read::{Done, read};
use crate::refusal::Refusal;
use crate::start::start;
use crate::study::{Brought, BroughtSection, Hash, Kind, Study};
use crate::table::write_table;
use crate::wire::claim_file::claim_from_toml;
use crate::wire::predict::ExpectOut;
use crate::wire::study::short_text;
use crate::write::report;
use hollin::{
    BASE_MM, BUTT_AFFECTED_MM, BUTT_COUPONS, BUTT_WORDS, COUPONS, FIRST, FROZEN, GMAW, GTAW,
    LANDING_MM, SECTIONS, Setting,
};
use photo::drawn::hand::{self, SHAKE_ON_AN_EDGE_PX};
use photo::drawn::style::{Edge, Mount, Preset, Style};
use photo::drawn::truth::{Straight, Truth};
use photo::drawn::{Drawn, Extra, Px, draw};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use weld::section::Side;

/// Marks a folder as one that the demo may write again.
const MARK: &str = "INVENTED.txt";
const MARK_TEXT: &str = "Invented: Hollin Ferry Works does not exist. Photos, coupons and readings in this folder were drawn and read by `seamproof demo`, which may write this folder again.\n";
/// Columns and rows of a photo: of the tee's claim, of what only stands beside it, and of a butt, which is flat.
const SIZE: [usize; 2] = [1280, 960];
const BESIDE_SIZE: [usize; 2] = [800, 600];
const BUTT_SIZE: [usize; 2] = [800, 480];
/// Quality of the JPEG.
const QUALITY: u8 = 92;
/// The setting files.
const LASER: &str = "laser.toml";
const GMAW_SETTING: &str = "gmaw.toml";
/// The study of the same files.
const STUDY: &str = "demo.seam";
/// When the demo's study says it was written: the day that its report carries, 2026-11-25 at 8 o'clock, so that the same
/// seed gives the same study.
const WRITTEN_AT: i64 = 1_795_593_600;

/// A section of the scenario and what was read from it.
#[derive(Debug)]
pub struct Section {
    /// How it was welded, in words.
    pub setting: &'static str,
    /// The claim that rests on it, if any.
    pub rests: Rests,
    /// Its reading file.
    pub file: PathBuf,
    /// What was read.
    pub done: Done,
}

/// What rests on a section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rests {
    /// The claim of the tee's throat.
    Tee,
    /// The claim of the butt's.
    Butt,
    /// No claim: it stands beside for comparison.
    Nothing,
}

/// The job done.
#[derive(Debug)]
pub struct Job {
    /// Its sections, those of the tee's claim first, those of the butt's last.
    pub sections: Vec<Section>,
    /// The claim file worked out: the joint's need, and what may be claimed, the lesser side of each section.
    pub claimed: Claimed,
    /// The second claim, of the butt.
    pub butt: Claimed,
    /// What the frozen setting should make of the tee, by physics alone.
    pub expected: ExpectOut,
    /// Pages of the report.
    pub pages: usize,
}

/// One photo to draw.
struct Shot {
    words: &'static str,
    affected_mm: f64,
    rests: Rests,
    coupon: String,
    number: u32,
    section: weld::section::Section,
    seed: u64,
}

impl Shot {
    fn name(&self) -> String {
        format!("{}{}", self.coupon.to_lowercase().replace(' ', "-"), self.number)
    }
}

/// Does the whole job into a folder.
///
/// # Errors
///
/// When the folder holds anything that no demo wrote, or a file cannot be written.
pub fn demo(out: &Path, seed: u64) -> Result<Job, Refusal> {
    let photos = out.join("photos");
    let overlays = out.join("overlays");
    claim_folder(out)?;
    for folder in [&photos, &overlays] {
        make(folder)?;
    }
    files::write_all(&[(out.join(MARK), MARK_TEXT.as_bytes().to_vec())], &[])?;
    let shots = shots(seed);
    let read_all = |shots: &[Shot]| -> Result<Vec<Section>, Refusal> {
        let made = side_by_side(shots, |shot| take(shot, &photos, &overlays))?;
        let section = |(shot, (file, done)): (&Shot, _)| Section {
            setting: shot.words,
            rests: shot.rests,
            file,
            done,
        };
        Ok(shots.iter().zip(made).map(section).collect())
    };
    // Those of the tee's claim come first: its report is set while the others are drawn and read.
    let (first, others) = shots.split_at(shots.iter().filter(|s| s.rests == Rests::Tee).count());
    let mut sections = read_all(first)?;
    let outs: Vec<_> = sections.iter().map(|s| s.done.out.clone()).collect();
    files::write_all(
        &[
            (out.join("readings.csv"), write_table(&outs)?),
            (out.join("joint.toml"), hollin::JOINT_FILE.as_bytes().to_vec()),
            (out.join("butt-joint.toml"), hollin::BUTT_JOINT_FILE.as_bytes().to_vec()),
            (out.join(LASER), hollin::SETTING_FILE.as_bytes().to_vec()),
            (out.join(GMAW_SETTING), hollin::GMAW_FILE.as_bytes().to_vec()),
        ],
        &[],
    )?;
    let expected = expect(&start(&out.join("joint.toml"))?, &out.join(LASER), TIERS[1].1)?.out;
    // As `claim` and `write report` do it, but for the photos, which were read above.
    let claim = |of: &[&Section], name: &str, text: fn(&[String], u64) -> String, for_paper| {
        let names: Vec<String> = of.iter().map(|s| name_in(out, &s.file)).collect();
        let (path, text) = (out.join(name), text(&names, seed));
        files::write_all(&[(path.clone(), text.clone().into_bytes())], &[])?;
        let read: Vec<_> = of
            .iter()
            .zip(&names)
            .map(|(s, name)| SectionRead::of(name, &s.done, for_paper))
            .collect::<Result<_, _>>()?;
        let file = claim_from_toml(&path.display().to_string(), &text)?;
        work(&path, &text, file, read)
    };
    let set_report = || -> Result<(Claimed, usize), Refusal> {
        let tee: Vec<&Section> = sections.iter().collect();
        let claimed = claim(&tee, "claim.toml", hollin::claim_file, true)?;
        let paper = report(&claimed)?;
        files::write_all(&[(out.join("report.pdf"), paper.pdf)], &[])?;
        Ok((claimed, paper.pages))
    };
    let (reported, others) = std::thread::scope(|scope| {
        let reporter = scope.spawn(set_report);
        let others = read_all(others);
        (reporter.join().unwrap_or_else(|fault| std::panic::resume_unwind(fault)), others)
    });
    let ((claimed, pages), others) = (reported?, others?);
    let butts: Vec<&Section> = others.iter().filter(|s| s.rests == Rests::Butt).collect();
    let butt = claim(&butts, "butt-claim.toml", hollin::butt_claim_file, false)?;
    sections.extend(others);
    keep(out, seed, &sections)?;
    Ok(Job { sections, claimed, butt, expected, pages })
}

/// The same files as a study, with what was read.
fn keep(out: &Path, seed: u64, sections: &[Section]) -> Result<(), Refusal> {
    let mut brought = Brought::default();
    for (joint, text, claim) in [
        ("joint.toml", hollin::JOINT_FILE, "claim.toml"),
        ("butt-joint.toml", hollin::BUTT_JOINT_FILE, "butt-claim.toml"),
    ] {
        brought.joints.push((joint.to_owned(), text.to_owned()));
        let claim_text = files::text(&out.join(claim))?;
        brought.claims.push((claim.to_owned(), claim_text, Some(joint.to_owned())));
    }
    for (name, text) in [(LASER, hollin::SETTING_FILE), (GMAW_SETTING, hollin::GMAW_FILE)] {
        brought.settings.push((name.to_owned(), text.to_owned(), Some("joint.toml".to_owned())));
    }
    for Section { file, done, .. } in sections {
        brought.sections.push(BroughtSection {
            name: name_in(out, file),
            text: files::text(file)?,
            coupon: done.out.coupon.clone(),
            photo: name_in(out, &done.photo_path),
            photo_path: done.photo_path.clone(),
            hash: Hash(done.photo_hash),
            reading: Some(done.out.clone()),
        });
    }
    let path = out.join(STUDY);
    // The folder is a demo's own: an earlier study in it is written again like all the rest.
    for ending in ["", "-wal", "-shm"] {
        let old = out.join(format!("{STUDY}{ending}"));
        if old.exists() {
            std::fs::remove_file(&old).map_err(|e| {
                Refusal::new(
                    format!("the earlier demo's study cannot be replaced: {e}"),
                    "close it where it is open, or name another folder with --out",
                )
                .in_file(old.display())
            })?;
        }
    }
    let title = format!("Hollin Ferry gangway step, seed {seed}");
    let fields =
        [("title", title.as_str()), ("customer", "Hollin Ferry Works"), ("invented", "true")];
    let text = short_text(Kind::Study, STUDY, &fields)?;
    let by =
        By { author: "the demo".to_owned(), reason: None, at: Moment::from_seconds(WRITTEN_AT) };
    Study::of_brought(&path, &text, &brought, &by)
}

/// A file's name as one beside the claim file has it.
fn name_in(out: &Path, file: &Path) -> String {
    let inside = file.strip_prefix(out).unwrap_or(file);
    inside.components().map(|c| c.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/")
}

fn shots(seed: u64) -> Vec<Shot> {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    rng.set_stream(3);
    let mut out: Vec<Shot> = Vec::new();
    let mut add = |setting: &'static Setting, coupon: &str, sections: u32, rests: Rests| {
        let shared = hollin::off(&mut rng);
        for number in 1..=sections {
            out.push(Shot {
                words: setting.words,
                affected_mm: setting.affected_mm,
                rests,
                coupon: coupon.to_owned(),
                number,
                section: setting.section(&shared, &mut rng),
                seed: seed.wrapping_mul(1_000_003).wrapping_add(out.len() as u64),
            });
        }
    };
    for coupon in COUPONS {
        add(&FROZEN, coupon, SECTIONS, Rests::Tee);
    }
    for other in [&FIRST, &GMAW, &GTAW] {
        add(other, other.file, 1, Rests::Nothing);
    }
    for coupon in BUTT_COUPONS {
        let shared = hollin::off(&mut rng);
        out.push(Shot {
            words: BUTT_WORDS,
            affected_mm: BUTT_AFFECTED_MM,
            rests: Rests::Butt,
            coupon: coupon.to_owned(),
            number: 1,
            section: hollin::butt_section(&shared, &mut rng),
            seed: seed.wrapping_mul(1_000_003).wrapping_add(out.len() as u64),
        });
    }
    out
}

/// The works' own stand: good light, a rule in the picture, and each photo a little different.
fn style(shot: &Shot) -> Style {
    let mut style = Preset::Clean.style(shot.seed);
    [style.frame.width, style.frame.height] = match shot.rests {
        Rests::Tee => SIZE,
        Rests::Nothing => BESIDE_SIZE,
        Rests::Butt => BUTT_SIZE,
    };
    style.frame.fill = 0.8;
    style.frame.mount = Mount::Dark;
    style.frame.ruler = true;
    style.frame.bar = false;
    if style.line.edge == Edge::Step {
        style.line.edge = Edge::DarkLine;
    }
    style
}

/// Draws a photo, sets points on it as a hand would, and reads the two files.
fn take(shot: &Shot, photos: &Path, overlays: &Path) -> Result<(PathBuf, Done), Refusal> {
    let butt = shot.rests == Rests::Butt;
    let extra = Extra {
        plate_mm: if butt { LANDING_MM } else { BASE_MM },
        affected_mm: shot.affected_mm,
        half_width_mm: if butt { 9.0 } else { 14.0 },
        upright_height_mm: 15.0,
    };
    let drawn = draw(&shot.section, &extra, &style(shot), shot.seed);
    let name = shot.name();
    let file = photos.join(format!("{name}.toml"));
    let photo = format!("{name}.jpg");
    let jpeg = drawn.to_jpeg(QUALITY).map_err(|e| Refusal::new(&e, e.advice()))?;
    let text = reading_file(shot, &drawn, &photo)?;
    files::write_all(&[(photos.join(&photo), jpeg), (file.clone(), text.into_bytes())], &[])?;
    let done = read(&file)?;
    files::write_all(&[(overlays.join(format!("{name}.png")), overlay(&done)?)], &[])?;
    Ok((file, done))
}

/// The reading file of a drawn photo: what a person would set who sees it.
fn reading_file(shot: &Shot, drawn: &Drawn, photo: &str) -> Result<String, Refusal> {
    let truth = &drawn.truth;
    let mut rng = ChaCha8Rng::seed_from_u64(shot.seed);
    rng.set_stream(4);
    let rng = &mut rng;
    let rule = truth.ruler.as_ref().ok_or_else(|| {
        Refusal::new(
            format!("the drawn photo {photo} has no rule in view"),
            "try another --seed, and report this one as a fault",
        )
    })?;
    let butt = shot.rests == Rests::Butt;
    let [from, to] = rule.px.map(|p| hand::set(p, SHAKE_ON_AN_EDGE_PX, truth, rng));
    let mut text = format!(
        "# Invented: a drawn photo of Hollin Ferry Works, by `seamproof demo`. {}.\nphoto = \"{photo}\"\njoint = \"{}\"\netched = true\ncoupon = \"{}\"\nsection = {}\nreader = \"the demo\"\n\n[camera]\nheld = \"stand\"\n\n[[scale]]\nfrom = {}\nto = {}\nlength = \"{} mm\"\n\n[plates]\n",
        shot.words,
        if butt { "butt" } else { "tee" },
        shot.coupon,
        shot.number,
        dot(from),
        dot(to),
        rule.mm
    );
    let faces: &[(&str, &[Straight])] = if butt { &ON_A_BUTT } else { &ON_A_TEE };
    for (field, faces) in faces {
        if *field == "joint_line" {
            text.push_str("# The weld has melted it: from the drawing, as witness lines scribed before welding would give it.\n");
        }
        let _ = writeln!(text, "{field} = {}", dots(&on_faces(truth, faces, rng)));
    }
    for (mut points, fused) in hand::outlines(truth, rng).into_iter().zip(&truth.fused) {
        if butt {
            on_the_root_bead(&mut points, &fused.px, truth, rng);
        }
        let side = match fused.side {
            Side::Only => String::new(),
            side => format!("side = \"{}\"\n", side.word()),
        };
        let _ = write!(text, "\n[[fused]]\n{side}points = {}\ntrace = \"guided\"\n", dots(&points));
    }
    Ok(text)
}

/// Where a weld comes through the plate a person sets a point on its root bead as well: the guided path would cut it off.
fn on_the_root_bead(points: &mut Vec<Px>, outline: &[Px], truth: &Truth, rng: &mut ChaCha8Rng) {
    let height = |p: &Px| truth.camera.section_from_px(*p).y;
    let Some(lowest) = outline.iter().copied().min_by(|a, b| height(a).total_cmp(&height(b)))
    else {
        return;
    };
    // Between the two points that lie lowest on either side of it.
    let both = |i: usize| height(&points[i]) + height(&points[(i + 1) % points.len()]);
    let Some(before) = (0..points.len()).min_by(|&a, &b| both(a).total_cmp(&both(b))) else {
        return;
    };
    points.insert(before + 1, hand::set(lowest, SHAKE_ON_AN_EDGE_PX, truth, rng));
}

/// Plate fields and the faces that they are marked on.
const ON_A_TEE: [(&str, &[Straight]); 3] = [
    ("base", &[Straight::BaseRight, Straight::BaseLeft]),
    ("upright_right", &[Straight::UprightRight]),
    ("upright_left", &[Straight::UprightLeft]),
];
const ON_A_BUTT: [(&str, &[Straight]); 3] = [
    ("surface", &[Straight::TopLeft, Straight::TopRight]),
    ("bottom", &[Straight::BottomLeft, Straight::BottomRight]),
    ("joint_line", &[Straight::JointLine]),
];

fn on_faces(truth: &Truth, faces: &[Straight], rng: &mut ChaCha8Rng) -> Vec<Px> {
    truth
        .straight
        .iter()
        .filter(|s| faces.contains(&s.what))
        .flat_map(|s| s.px)
        .map(|p| hand::set(p, SHAKE_ON_AN_EDGE_PX, truth, rng))
        .collect()
}

fn dot(p: Px) -> String {
    format!("[{:.1}, {:.1}]", p[0], p[1])
}

fn dots(points: &[Px]) -> String {
    let all: Vec<String> = points.iter().map(|p| dot(*p)).collect();
    format!("[{}]", all.join(", "))
}

/// Takes a folder that is new, empty, or a demo's own; nobody else's files are written over.
fn claim_folder(out: &Path) -> Result<(), Refusal> {
    make(out)?;
    let mut inside = std::fs::read_dir(out).map_err(|e| {
        Refusal::new(format!("the folder cannot be looked into: {e}"), "name another with --out")
            .in_file(out.display())
    })?;
    let ours = std::fs::read_to_string(out.join(MARK)).is_ok_and(|text| text == MARK_TEXT);
    if inside.next().is_some() && !ours {
        return Err(Refusal::new(
            "the folder holds files that no demo wrote",
            "name a new or empty folder with --out",
        )
        .in_file(out.display()));
    }
    Ok(())
}

fn make(folder: &Path) -> Result<(), Refusal> {
    std::fs::create_dir_all(folder).map_err(|e| {
        Refusal::new(
            format!("the folder cannot be made: {e}"),
            "name a folder with --out whose parent may be written",
        )
        .in_file(folder.display())
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use weld::reading::{Answer, Reading};
    use weld::section::read as read_section;

    /// The truth is the drawn section's own geometry. An interval of 95 % misses 1 in 20 on average; of 22 throats more
    /// than 4 are outside by chance once in 200 (binomial), and none by more than the interval again.
    #[test]
    fn the_demo_reads_the_throats_that_were_drawn() {
        let folder = tempfile::tempdir().unwrap();
        let job = demo(folder.path(), 1).unwrap();
        let (mut outside, mut compared) = (0, 0);
        for (shot, got) in shots(1).iter().zip(&job.sections) {
            if shot.rests == Rests::Butt {
                continue;
            }
            for truth in read_section(&shot.section).unwrap().welds {
                let drawn = truth.readings.get(Reading::EffectiveThroat).unwrap();
                let weld = got.done.read.welds.iter().find(|w| w.side == truth.side).unwrap();
                let (_, v) =
                    weld.values.iter().find(|(r, _)| *r == Reading::EffectiveThroat).unwrap();
                let off = (v.value - drawn).abs() / v.expanded();
                assert!(off < 2.0, "{} {}: {} of {drawn}", shot.name(), weld.side.word(), v.value);
                outside += u32::from(off > 1.0);
                compared += 1;
            }
        }
        assert_eq!(compared, 22);
        assert!(outside <= 4, "{outside} of {compared} outside their intervals");
        // The plates were drawn 6 mm thick and fused through, so the throat is 6 mm by construction.
        for got in job.sections.iter().filter(|s| s.rests == Rests::Butt) {
            let joint = &got.done.read.joint;
            let (_, v) = joint.values.iter().find(|(name, _)| *name == "throat_mm").unwrap();
            assert!((v.value - LANDING_MM).abs() < 2.0 * v.expanded(), "{}", v.value);
            assert_eq!(joint.answers, [("complete_penetration", Answer::Yes)]);
        }
    }
}
