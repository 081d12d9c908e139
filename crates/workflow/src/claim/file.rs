//! A claim file worked out: its sections read, or its table, and what may be claimed from them.
//!
//! ```text
//!   claim.toml ── sections = [...] ── read each, with its photo ──┐
//!              └─ readings = "..." ── rows of a table ────────────┴─ left-out sections ── claim
//! ```
//!
//! Reading files go through the same table that `read --csv` writes, so that a claim from the files and one from their
//! table are the same to the last digit.

use super::{Outcome, Place, Readings, Row, Sides, Worked, seed_of, smaller_throat, work_out};
use crate::cores::side_by_side;
use crate::files;
use crate::progress::{Progress, Step, go_on};
use crate::read::{Done, PlateSeen, SAY_WHICH};
use crate::refusal::Refusal;
use crate::shelf::{Folder, Shelf};
use crate::start::{self, Started};
use crate::table::{read_table, rows_of, write_table};
use crate::wire::ReadOut;
use crate::wire::claim_file::{ClaimFile, From, LeftOut, claim_from_toml};
use photo::encode::{Part, paper_jpeg};
use photo::marks::{Kind, Marks, Px};
use photo::reading::Read;
use physics::strength::refusal::Effect;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use weld::claim::printed_pair;
use weld::quantity::Length;
use weld::reading::Reading;

/// Widest a photo is kept for paper, pixels: 84 mm at 250 dots to the inch.
const PAPER_PX: u32 = 830;
/// What is shown around the marks, as a share of their longer side.
const AROUND: f64 = 0.08;

/// A section that was read for a claim.
#[derive(Clone, Debug)]
pub struct SectionRead {
    /// Its reading file, as the claim file names it.
    pub name: String,
    /// The form of the answer.
    pub out: ReadOut,
    /// What was marked.
    pub marks: Marks,
    /// The reading, as nouns.
    pub read: Read,
    /// Its photo for paper, where one is wanted.
    pub picture: Option<Picture>,
    /// Fingerprint of the reading file and its photo.
    pub fingerprint: [u8; 32],
    /// The BLAKE3 hash of the photo's bytes.
    pub photo_hash: [u8; 32],
}

/// The part of a photo around its marks, for paper.
#[derive(Clone, Debug)]
pub struct Picture {
    /// JPEG of the part that is marked.
    pub jpeg: Vec<u8>,
    /// Which part of the photo it is.
    pub part: Part,
    /// JPEG of the whole photo: whoever doubts a scale looks for it there.
    pub whole: Vec<u8>,
    /// Its size, pixels of the photo.
    pub size: [u32; 2],
}

impl SectionRead {
    /// A section that was read, under the name that a claim file has for it.
    ///
    /// # Errors
    ///
    /// When its photo cannot be written for paper.
    pub fn of(name: &str, done: &Done, for_paper: bool) -> Result<Self, Refusal> {
        let picture = if for_paper {
            let part = part_of(done);
            let size = [done.photo.width, done.photo.height];
            let jpeg = |part| {
                paper_jpeg(&done.photo, part, PAPER_PX)
                    .map_err(|e| Refusal::new(&e, e.advice()).in_file(&done.out.file))
            };
            let whole = jpeg(Part { from: [0; 2], size })?;
            Some(Picture { jpeg: jpeg(part)?, part, whole, size })
        } else {
            None
        };
        Ok(Self {
            name: name.to_owned(),
            out: done.out.clone(),
            marks: done.asked.marks.clone(),
            read: done.read.clone(),
            picture,
            fingerprint: done.fingerprint,
            photo_hash: done.photo_hash,
        })
    }
}

/// The part of a photo that holds every mark but the scale's.
fn part_of(done: &Done) -> Part {
    let marks = &done.asked.marks;
    let plates = marks.plates.faces().into_iter().flat_map(|(_, points)| points);
    let all: Vec<Px> = done
        .read
        .outlines
        .iter()
        .flat_map(|o| &o.px)
        .chain(plates)
        .copied()
        .filter(|p| p[0].is_finite() && p[1].is_finite())
        .collect();
    let size = [done.photo.width, done.photo.height];
    let spans = [0, 1].map(|axis| {
        let of = |f: fn(f64, f64) -> f64| all.iter().map(|p| p[axis]).reduce(f);
        (of(f64::min).unwrap_or(0.0), of(f64::max).unwrap_or(f64::from(size[axis])))
    });
    let around = AROUND * spans.iter().map(|(low, high)| high - low).fold(0.0, f64::max);
    let mut part = Part { from: [0; 2], size };
    for axis in [0, 1] {
        let (low, high) = spans[axis];
        let most = f64::from(size[axis]);
        let from = (low - around).floor().clamp(0.0, most - 1.0);
        let to = (high + around).ceil().clamp(from + 1.0, most);
        part.from[axis] = from as u32;
        part.size[axis] = (to - from) as u32;
    }
    part
}

/// The study that a claim was taken from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FromStudy {
    /// The study file.
    pub path: PathBuf,
    /// What the study is called.
    pub title: String,
    /// The head of its chain, as papers print it: after the last revision that is no reading and no paper.
    pub head: String,
}

/// A claim file worked out.
#[derive(Debug)]
pub struct Claimed {
    /// The claim file's path.
    pub path: String,
    /// The study that it was taken from, where it was none of a folder.
    pub study: Option<FromStudy>,
    /// What it says.
    pub file: ClaimFile,
    /// Its sections; empty where it rests on a table.
    pub sections: Vec<SectionRead>,
    /// Its joint and what the load needs, where one is named.
    pub joint: Option<Started>,
    /// What came out.
    pub worked: Worked,
    /// Fingerprint of the claim file and of everything that it rests on.
    pub fingerprint: [u8; 32],
}

/// Reads a claim file, its sections or its table, and works out what may be claimed. `for_paper`: the photos are kept.
///
/// # Errors
///
/// Says file, line, field, fact and next action.
pub fn claim_file(
    path: &Path,
    for_paper: bool,
    progress: &dyn Progress,
) -> Result<Claimed, Refusal> {
    let text = files::text(path)?;
    claim_on(&Folder { claim: path }, &text, for_paper, progress)
}

/// Works out a claim from the text of a claim file and what is found on a shelf.
pub(crate) fn claim_on(
    shelf: &dyn Shelf,
    text: &str,
    for_paper: bool,
    progress: &dyn Progress,
) -> Result<Claimed, Refusal> {
    let file = claim_from_toml(&shelf.claim(), text)?;
    let sections = match &file.from {
        From::Table(..) => Vec::new(),
        From::Sections(names) => {
            let count = AtomicU64::new(0);
            side_by_side(names, |(name, line)| {
                go_on(progress)?;
                let section = section(shelf, name, *line, for_paper)?;
                let done = 1 + count.fetch_add(1, Ordering::Relaxed);
                progress.step(&Step { verb: "read", done, of: names.len() as u64, what: name });
                Ok(section)
            })?
        }
    };
    work_on(shelf, text, file, sections)
}

fn section(
    shelf: &dyn Shelf,
    name: &str,
    line: usize,
    for_paper: bool,
) -> Result<SectionRead, Refusal> {
    let shown = shelf.shown(name);
    let done = shelf.section(name).map_err(|r| {
        // A reading file that cannot be opened is told where it is named; what is wrong in it, in it.
        let unopened =
            r.line.is_none() && r.field.is_none() && r.file.as_deref() == Some(shown.as_str());
        if unopened {
            Refusal { fact: format!("{name}: {}", r.fact), ..r }
                .in_file(shelf.claim())
                .at_line(Some(line))
                .in_field("sections")
        } else {
            r
        }
    })?;
    SectionRead::of(name, &done, for_paper)
}

/// Works out a claim from a claim file whose sections were read.
///
/// # Errors
///
/// Says file, line, field, fact and next action.
pub fn work(
    path: &Path,
    text: &str,
    file: ClaimFile,
    sections: Vec<SectionRead>,
) -> Result<Claimed, Refusal> {
    work_on(&Folder { claim: path }, text, file, sections)
}

fn work_on(
    shelf: &dyn Shelf,
    text: &str,
    file: ClaimFile,
    sections: Vec<SectionRead>,
) -> Result<Claimed, Refusal> {
    let shown = shelf.claim();
    let mut all = blake3::Hasher::new();
    all.update(text.as_bytes());
    let mut file = file;
    let joint = match &file.joint {
        None => None,
        Some(name) => {
            let text = shelf
                .joint(name)
                .map_err(|r| named(r, name, &shown, file.line("joint"), "joint"))?;
            all.update(text.as_bytes());
            Some(start::from_text(shelf.shown(name), &text)?)
        }
    };
    if let Some(joint) = &joint {
        take_need(&mut file, joint).map_err(|r| r.in_file(&shown))?;
    }
    let mut readings = match &file.from {
        From::Sections(_) => {
            for section in &sections {
                all.update(&section.fingerprint);
            }
            one_face_counts_once(shelf, &sections)?;
            let of_joint = joint.as_ref().zip(file.joint.as_deref());
            if let Some((joint, name)) = of_joint {
                plates_are_the_joints(shelf, &sections, &joint.asked.joint, name)?;
            }
            let mut readings = of_sections(shelf, &file, &sections)?;
            readings.remarks.extend(open_questions(&sections, of_joint));
            readings
        }
        From::Table(name, line) => {
            let text =
                shelf.table(name).map_err(|r| named(r, name, &shown, Some(*line), "readings"))?;
            all.update(text.as_bytes());
            Readings::of_table(&shelf.shown(name), &text, &file.asked)?
        }
    };
    for left_out in &file.left_out {
        leave_out(&mut readings, left_out, &shown)?;
    }
    let mut worked = work_out(readings, &file.asked).map_err(|r| {
        // What has no file of its own is asked in this one.
        let line = r.field.as_deref().and_then(|field| file.line(field));
        if r.file.is_none() { r.in_file(&shown).at_line(line) } else { r }
    })?;
    // No throat will do, so none is claimed for this joint, however much the sections show.
    if let Some(need) = joint.as_ref().and_then(|j| j.need.as_ref())
        && need.specify.is_none()
    {
        let first = need.refusals.iter().max_by_key(|r| r.effect);
        worked.outcome = Outcome::No {
            sentence: first.map_or_else(
                || "No: the code gives this joint no throat that will do.".to_owned(),
                |r| format!("No throat will do for this joint: {}.", r.fact),
            ),
            advice: first.map_or_else(
                || "look at what the code says of the joint".to_owned(),
                |r| r.advice.clone(),
            ),
        };
    }
    let fingerprint = *all.finalize().as_bytes();
    Ok(Claimed { path: shown, study: None, file, sections, joint, worked, fingerprint })
}

/// A file that cannot be opened is told where it is named.
fn named(r: Refusal, name: &str, file: &str, line: Option<usize>, field: &str) -> Refusal {
    Refusal { fact: format!("{name}: {}", r.fact), ..r }.in_file(file).at_line(line).in_field(field)
}

/// Readings that a load's need is compared with, and whether depth of fusion counts in them.
const THROATS: [(&str, bool); 5] = [
    (Reading::EffectiveThroat.field(), true),
    (Reading::PenetratedThroat.field(), true),
    ("throat_mm", true),
    (Reading::TheoreticalThroat.field(), false),
    (Reading::IsoscelesThroat.field(), false),
];

impl Claimed {
    /// Is the answer a yes (exit code 0) rather than a no (1)? A joint that the code does not allow is no, whatever its
    /// throat.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.worked.answer(&self.file.asked).holds() && self.against().is_empty()
    }

    /// What the code has against the joint itself, whatever its throat.
    #[must_use]
    pub fn against(&self) -> Vec<String> {
        let need = self.joint.as_ref().and_then(|j| j.need.as_ref());
        need.into_iter()
            .flat_map(|n| &n.refusals)
            .filter(|r| r.effect != Effect::Condition)
            .map(|r| r.fact.clone())
            .collect()
    }

    /// The throat that the joint's load needs, compared with the value claimed.
    #[must_use]
    pub fn need_of_joint(&self) -> Option<Length> {
        need_of(self.joint.as_ref()?, &self.file.asked.value)
    }
}

/// The need of a joint for a value: where depth of fusion counts, the throat need not lie at half the angle.
fn need_of(joint: &Started, value: &str) -> Option<Length> {
    let need = joint.need.as_ref()?;
    let (_, by_depth) = THROATS.iter().find(|(name, _)| *name == value)?;
    if *by_depth { need.specify_any_plane() } else { need.specify }
}

/// Takes the need from the joint, unless the claim file asks for as much or more.
fn take_need(file: &mut ClaimFile, joint: &Started) -> Result<(), Refusal> {
    let Some(need) = need_of(joint, &file.asked.value) else { return Ok(()) };
    let value = file.asked.value.clone();
    let by_depth = [Reading::EffectiveThroat.field(), Reading::PenetratedThroat.field()]
        .contains(&value.as_str());
    let credit = joint.need.as_ref().map(|n| n.penetration_counts_by);
    if let Some(credit) = credit.filter(|c| by_depth && !c.counts) {
        return Err(Refusal::new(
            format!("depth of fusion does not count by the joint's code ({}), and '{value}' has it in it", credit.condition),
            "claim theoretical_throat, or name a code in the joint file that counts depth of fusion",
        )
        .in_field("value")
        .at_line(file.line("value").or(file.line("joint"))));
    }
    if file.asked.sides == Sides::Sum {
        return Err(Refusal::new(
            "the sum of both sides is claimed, and the need of the joint is that of one weld",
            "write sides = \"least\" or \"apart\"",
        )
        .in_field("sides")
        .at_line(file.line("sides")));
    }
    let asked = file.asked.need.as_ref().and_then(|text| text.parse::<Length>().ok());
    match asked {
        Some(asked) if asked.mm() < need.mm() => {
            let (low, high) = printed_pair(asked.mm(), need.mm());
            Err(Refusal::new(
                format!(
                    "a need of {low} mm is less than the {high} mm that the joint's load needs"
                ),
                "leave need out, or correct the load in the joint file",
            )
            .in_field("need")
            .at_line(file.line("need")))
        }
        Some(_) => Ok(()),
        None => {
            file.asked.need = Some(format!("{} mm", need.mm()));
            Ok(())
        }
    }
}

/// Coupon and section, as people call it.
fn called(section: &SectionRead) -> String {
    format!(
        "coupon {} section {}",
        section.out.coupon.as_deref().unwrap_or("not said"),
        section.out.section.as_deref().unwrap_or("not said")
    )
}

/// A section whose plate is another than the joint's has a wrong scale: none of its lengths counts. All are named at once.
fn plates_are_the_joints(
    shelf: &dyn Shelf,
    sections: &[SectionRead],
    joint: &physics::strength::Joint,
    name: &str,
) -> Result<(), Refusal> {
    let plate = |s: &SectionRead| PlateSeen::of(&s.read, &s.marks, joint);
    let wrong: Vec<(&SectionRead, PlateSeen)> =
        sections.iter().filter_map(|s| Some((s, plate(s).filter(|p| p.is_another())?))).collect();
    let Some((first, seen)) = wrong.first() else { return Ok(()) };
    let others: Vec<String> = wrong.iter().skip(1).map(|(s, _)| called(s)).collect();
    let others = if others.is_empty() {
        String::new()
    } else {
        format!(" (likewise {})", others.join(", "))
    };
    Err(Refusal::new(
        format!("{}: {}{others}", called(first), seen.words(name)),
        "correct the scale of these sections, or the thickness in the joint's file",
    )
    .in_field("scale")
    .in_file(shelf.shown(&first.name)))
}

/// What a claim's sections leave open, each kind once: it belongs beside the answer and not only beside each section.
fn open_questions(sections: &[SectionRead], joint: Option<(&Started, &str)>) -> Vec<String> {
    let of = |which: &dyn Fn(&SectionRead) -> bool| -> Option<String> {
        let all: Vec<String> = sections.iter().filter(|s| which(s)).map(called).collect();
        (!all.is_empty()).then(|| all.join(", "))
    };
    let second = of(&|s| s.out.remarks.iter().any(|r| r.contains(SAY_WHICH)));
    let second = second.map(|all| {
        format!(
            "a second line runs beside the fusion line of {all}: which of the two it is has to be said by the reader, since the outer one may be the edge of the heat-affected zone"
        )
    });
    let scale = joint.and_then(|(joint, name)| {
        let all = of(&|s| {
            PlateSeen::of(&s.read, &s.marks, &joint.asked.joint).is_some_and(PlateSeen::differs)
        })?;
        Some(format!(
            "by their scales the plates of {all} are more than 3 % off what {name} says: where a calliper on the plate does not say so too, the scale is off, and every length with it"
        ))
    });
    second.into_iter().chain(scale).collect()
}

/// One cut face under two labels would count as two sections, and the claim would rise by a copy. Two faces may lie in one
/// photo: then their fused zones lie apart. Two photos under one label would be taken for one face read twice, and a low
/// section would hide behind a high one: a face that was photographed again says so by the number of its reading.
fn one_face_counts_once(shelf: &dyn Shelf, sections: &[SectionRead]) -> Result<(), Refusal> {
    let label = |s: &SectionRead| (s.out.coupon.clone(), s.out.section.clone());
    for (i, one) in sections.iter().enumerate() {
        for two in &sections[i + 1..] {
            let again = one.out.reading.is_some() || two.out.reading.is_some();
            if one.photo_hash != two.photo_hash && label(one) == label(two) && !again {
                return Err(Refusal::new(
                    format!(
                        "this section and {} are of two photos and have one label, {}: they would count as one",
                        shelf.shown(&one.name),
                        called(one)
                    ),
                    "correct the label of one; where the same face was photographed and read again, number its reading: reading = 2",
                )
                .in_field("section")
                .in_file(shelf.shown(&two.name)));
            }
            if one.photo_hash != two.photo_hash || label(one) == label(two) {
                continue;
            }
            let lie_over = fused_boxes(one)
                .iter()
                .any(|a| fused_boxes(two).iter().any(|b| share_over(a, b) > SAME_FACE));
            if lie_over {
                return Err(Refusal::new(
                    format!(
                        "this section, {}, and {}, {}, are read from the same place of the same photo: one cut face would count twice",
                        called(two),
                        shelf.shown(&one.name),
                        called(one)
                    ),
                    "leave one of them out of the claim, or take in the photo of the other cut",
                )
                .in_field("section")
                .in_file(shelf.shown(&two.name)));
            }
        }
    }
    Ok(())
}

/// Share of the smaller box above which two fused zones of one photo are one face.
const SAME_FACE: f64 = 0.5;

/// The boxes of a section's fused zones on its photo: left, top, right, bottom.
fn fused_boxes(section: &SectionRead) -> Vec<[f64; 4]> {
    let fused = section.read.outlines.iter().filter(|o| o.kind == Kind::Fused);
    fused
        .map(|o| {
            let of = |axis: usize, f: fn(f64, f64) -> f64| {
                o.px.iter().map(|p| p[axis]).reduce(f).unwrap_or(0.0)
            };
            [of(0, f64::min), of(1, f64::min), of(0, f64::max), of(1, f64::max)]
        })
        .collect()
}

/// The common area of two boxes over the smaller one's.
fn share_over(a: &[f64; 4], b: &[f64; 4]) -> f64 {
    let side = |axis: usize| (a[axis + 2].min(b[axis + 2]) - a[axis].max(b[axis])).max(0.0);
    let area = |r: &[f64; 4]| (r[2] - r[0]) * (r[3] - r[1]);
    side(0) * side(1) / area(a).min(area(b)).max(1e-9)
}

/// The rows of sections that were read, by way of their table.
fn of_sections(
    shelf: &dyn Shelf,
    file: &ClaimFile,
    sections: &[SectionRead],
) -> Result<Readings, Refusal> {
    let shown = &shelf.claim();
    let outs: Vec<ReadOut> = sections.iter().map(|s| s.out.clone()).collect();
    let value = &file.asked.value;
    let has = |map: &serde_json::Map<String, serde_json::Value>| map.contains_key(value);
    let of_weld = format!(".{value}");
    let named = outs.iter().any(|out| {
        has(&out.joint)
            || out.welds.values().filter_map(|w| w.as_object()).any(has)
            || out.absent.keys().any(|k| k == value || k.ends_with(&of_weld))
    });
    if !named {
        let kinds: Vec<&str> = outs.iter().map(|o| o.joint_kind.as_str()).collect();
        return Err(Refusal::new(
            format!(
                "no '{value}' is read from any of the {} section(s), of the kind {}",
                outs.len(),
                distinct(&kinds).join(", ")
            ),
            "claim a reading that these joints have: tee: effective_throat; butt: throat; bead: penetration",
        )
        .in_file(shown)
        .in_field("value")
        .at_line(file.line("value")));
    }
    let bytes = write_table(&outs)?;
    let text = String::from_utf8_lossy(&bytes);
    // Which section each line of the table is of; the first line is its head.
    let mut of_line: Vec<usize> = vec![0, 0];
    for (i, out) in outs.iter().enumerate() {
        of_line.extend(std::iter::repeat_n(i, rows_of(out)));
    }
    let place = |line: usize| Place {
        file: of_line
            .get(line)
            .and_then(|i| sections.get(*i))
            .map_or_else(|| shown.clone(), |s| shelf.shown(&s.name)),
        line: None,
    };
    let table = read_table(shown, &text, value).map_err(|r| match r.line {
        Some(line) if line > 1 => Refusal { file: Some(place(line).file), line: None, ..r },
        _ => Refusal { line: file.line("value"), ..r },
    })?;
    let (rows, remarks) = smaller_throat(&table, value);
    Ok(Readings {
        rows,
        places: table.lines.iter().map(|line| place(*line)).collect(),
        remarks,
        seed: seed_of(&text),
        about_blanks: "look at the photo and its marks again, or record a reason in the claim file under [[left_out]]: cut lost, etch failed, planned exclusion; a section that shows no throat counts with 0",
    })
}

fn distinct<'a>(words: &[&'a str]) -> Vec<&'a str> {
    let mut out: Vec<&str> = Vec::new();
    for word in words {
        if !out.contains(word) {
            out.push(word);
        }
    }
    out
}

/// Enters the reason of a section without a value: into its blank rows, or as rows of its own where it was never read.
fn leave_out(readings: &mut Readings, asked: &LeftOut, file: &str) -> Result<(), Refusal> {
    let weld = |row: &Row| row.weld.clone().unwrap_or_else(|| "only".to_owned());
    let same = |row: &Row| {
        row.coupon.as_deref().map(str::trim) == asked.coupon.as_deref()
            && row.section.trim() == asked.section
            && asked.weld.as_ref().is_none_or(|w| *w == weld(row))
    };
    let found: Vec<usize> =
        (0..readings.rows.len()).filter(|&i| readings.rows.get(i).is_some_and(same)).collect();
    if found.is_empty() {
        let mut welds: Vec<Option<String>> = match &asked.weld {
            Some(weld) => vec![Some(weld.clone())],
            None => readings.rows.iter().map(|row| row.weld.clone()).collect(),
        };
        welds.sort();
        welds.dedup();
        if welds.is_empty() {
            welds.push(None);
        }
        for weld in welds {
            readings.rows.push(Row {
                coupon: asked.coupon.clone(),
                section: asked.section.clone(),
                weld,
                reason: Some(asked.reason.to_string()),
                ..Row::default()
            });
            readings.places.push(Place { file: file.to_owned(), line: Some(asked.line) });
        }
        return Ok(());
    }
    let mut entered = false;
    for i in found {
        if let Some(row) = readings.rows.get_mut(i)
            && row.value_mm.is_none()
            && row.reason.is_none()
        {
            row.reason = Some(asked.reason.to_string());
            entered = true;
        }
    }
    if entered {
        return Ok(());
    }
    let coupon = asked.coupon.as_ref().map_or_else(String::new, |c| format!("coupon {c} "));
    Err(Refusal::new(
        format!(
            "{coupon}section {} is left out here, and it has a value or a reason already",
            asked.section
        ),
        "take this [[left_out]] away: a value that was read counts, and a section is left out once",
    )
    .in_file(file)
    .at_line(Some(asked.line))
    .in_field("left_out"))
}
