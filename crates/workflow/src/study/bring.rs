//! A folder of files becomes a new study.

use super::{Kind, Study, beside_name, kept_reading, new_name, title, watched};
use crate::clock::By;
use crate::cores::side_by_side;
use crate::files;
use crate::progress::{Progress, Step, go_on};
use crate::read::{beside, decoded, of_photo, read_text};
use crate::refusal::Refusal;
use crate::wire::ReadOut;
use crate::wire::claim_file::{From, claim_from_toml};
use crate::wire::joint::joint_from_toml;
use crate::wire::reading_from_toml;
use crate::wire::setting::setting_from_toml;
use crate::wire::study::short_fields;
use records::{Change, Content, Form, Hash, Head, RecordId, Stamp};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

/// Folders inside of folders are looked into this far.
const DEEPEST: usize = 4;
/// The most files taken from a folder.
const MOST_FILES: usize = 20_000;

/// What came of a folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Outcome {
    /// The study file.
    pub study: PathBuf,
    /// The end of its chain.
    pub head: Head,
    /// Joints, sections, readings and claims that were taken in.
    pub joints: usize,
    /// Settings.
    pub settings: usize,
    /// Sections, each with its photo.
    pub sections: usize,
    /// Sections from which something could be read.
    pub readings: usize,
    /// Claims.
    pub claims: usize,
    /// What was passed over, and why; sections from which nothing could be read.
    pub remarks: Vec<String>,
}

/// What is to be brought into a new study.
#[derive(Debug, Default)]
pub(crate) struct Brought {
    /// Joint files: name and text.
    pub(crate) joints: Vec<(String, String)>,
    /// Setting files: name, text, and the joint that they are for, where one is named.
    pub(crate) settings: Vec<(String, String, Option<String>)>,
    /// Sections with their photos.
    pub(crate) sections: Vec<BroughtSection>,
    /// Claim files: name, text, and the joint that they name.
    pub(crate) claims: Vec<(String, String, Option<String>)>,
}

/// A section that is to be brought in.
#[derive(Debug)]
pub(crate) struct BroughtSection {
    /// Its name, and the text of its reading file.
    pub(crate) name: String,
    pub(crate) text: String,
    /// Its coupon's label.
    pub(crate) coupon: Option<String>,
    /// Its photo: the name in the study, where it lies, and the hash of its bytes.
    pub(crate) photo: String,
    pub(crate) photo_path: PathBuf,
    pub(crate) hash: Hash,
    /// What was read from it.
    pub(crate) reading: Option<ReadOut>,
}

/// What a TOML file is.
enum File {
    Joint(String),
    Setting(String),
    Section(String),
    Claim(String, Option<String>),
}

/// Makes a new study of the reading files, joint files, setting files and claim files of a folder, with the photos that they name. `text`
/// is that of the study's first record. Each section is read, and what is read is kept.
///
/// # Errors
///
/// When a file cannot be understood or a photo cannot be read: then no study is made. A section from which nothing can be
/// read is taken in all the same, with a remark.
pub fn bring(
    folder: &Path,
    to: &Path,
    text: &str,
    by: &By,
    progress: &dyn Progress,
) -> Result<Outcome, Refusal> {
    let to = new_name(to)?;
    let (brought, mut remarks) = look_through(folder, progress)?;
    if brought.sections.is_empty()
        && brought.joints.is_empty()
        && brought.settings.is_empty()
        && brought.claims.is_empty()
    {
        return Err(Refusal::new(
            "no reading file, joint file, setting file or claim file is in this folder",
            "name the folder that holds them, or one that 'study export' made",
        )
        .in_file(folder.display()));
    }
    for section in brought.sections.iter().filter(|s| s.reading.is_none()) {
        remarks.push(format!(
            "{}: nothing could be read from it; look at it with 'seamproof read'",
            section.name
        ));
    }
    let head = records::Study::rebuild(&to, |change| -> Result<Head, Refusal> {
        begin(change, &to, text, by)?;
        write_brought(change, &brought, &by.stamp("brought in from a folder"))?;
        Ok(change.head())
    })?;
    Ok(Outcome {
        study: to,
        head,
        joints: brought.joints.len(),
        settings: brought.settings.len(),
        sections: brought.sections.len(),
        readings: brought.sections.iter().filter(|s| s.reading.is_some()).count(),
        claims: brought.claims.len(),
        remarks,
    })
}

/// Writes the first record of a study.
fn begin(change: &mut Change<'_>, path: &Path, text: &str, by: &By) -> Result<(), Refusal> {
    let content = Content::new(title(&path.display().to_string(), text)?, Form::Toml, text);
    change.add(Kind::Study, &content, &by.stamp("study begun"))?;
    Ok(())
}

/// Writes joints, settings, coupons, photos, sections, readings and claims. A single joint is what everything belongs to.
pub(crate) fn write_brought(
    change: &mut Change<'_>,
    brought: &Brought,
    stamp: &Stamp,
) -> Result<(), Refusal> {
    let mut joints = Vec::new();
    for (name, text) in &brought.joints {
        let joint = change.add(Kind::Joint, &Content::new(name, Form::Toml, text), stamp)?;
        joints.push((name, joint.record));
    }
    let only = match joints.as_slice() {
        [(_, only)] => Some(*only),
        _ => None,
    };
    let joint_of = |name: &Option<String>| {
        let named = name.as_ref().and_then(|name| joints.iter().find(|(known, _)| *known == name));
        named.map(|(_, id)| *id)
    };
    for (name, text, joint) in &brought.settings {
        let content = Content::new(name, Form::Toml, text).under(joint_of(joint).or(only));
        change.add(Kind::Setting, &content, stamp)?;
    }
    let mut coupons: BTreeMap<&str, RecordId> = BTreeMap::new();
    let mut photos: BTreeMap<&str, Hash> = BTreeMap::new();
    for section in &brought.sections {
        let under = match section.coupon.as_deref() {
            None => only,
            Some(label) => Some(match coupons.get(label) {
                Some(coupon) => *coupon,
                None => {
                    let coupon = Content::new(label, Form::Toml, "").under(only);
                    let record = change.add(Kind::Coupon, &coupon, stamp)?.record;
                    coupons.insert(label, record);
                    record
                }
            }),
        };
        if !photos.contains_key(section.photo.as_str()) {
            let hash = change.photo(&files::photo(&section.photo_path)?)?;
            let photo = Content::new(&section.photo, Form::Toml, "").under(under).showing(hash);
            change.add(Kind::Photo, &photo, stamp)?;
            photos.insert(&section.photo, hash);
        }
        if photos.get(section.photo.as_str()) != Some(&section.hash) {
            return Err(Refusal::new(
                "the photo was changed while it was read",
                "leave the folder alone meanwhile, and do it again",
            )
            .in_file(section.photo_path.display()));
        }
        let marks = Content::new(&section.name, Form::Toml, &section.text)
            .under(under)
            .showing(section.hash);
        let written = change.add(Kind::Section, &marks, stamp)?;
        if let Some(out) = &section.reading {
            let reading = kept_reading(&section.name, out.clone())?;
            let reading = Content::new(&section.name, Form::Json, reading)
                .under(Some(written.record))
                .out_of(written.seq);
            change.add(Kind::Reading, &reading, stamp)?;
        }
    }
    for (name, text, joint) in &brought.claims {
        let content = Content::new(name, Form::Toml, text).under(joint_of(joint));
        change.add(Kind::Claim, &content, stamp)?;
    }
    Ok(())
}

/// Finds and understands what is in a folder.
fn look_through(folder: &Path, progress: &dyn Progress) -> Result<(Brought, Vec<String>), Refusal> {
    let mut names = Vec::new();
    texts(folder, "", 0, &mut names)?;
    names.sort();
    let mut remarks = Vec::new();
    let mut brought = Brought::default();
    let mut sections = Vec::new();
    for name in names {
        let path = folder.join(&name);
        match what(&name, &path)? {
            Ok(File::Joint(text)) => brought.joints.push((name, text)),
            Ok(File::Setting(text)) => brought.settings.push((name, text, None)),
            Ok(File::Claim(text, joint)) => brought.claims.push((name, text, joint)),
            Ok(File::Section(text)) => sections.push((name, text, path)),
            Err(why) => remarks.push(format!("{name}: passed over, {why}")),
        }
    }
    let count = AtomicU64::new(0);
    brought.sections = side_by_side(&sections, |(name, text, path)| {
        go_on(progress)?;
        let section = section(name, text, path)?;
        let done = 1 + count.fetch_add(1, Ordering::Relaxed);
        watched(progress, &Step { verb: "read", done, of: sections.len() as u64, what: name })?;
        Ok(section)
    })?;
    Ok((brought, remarks))
}

/// The TOML files of a folder and of those in it, by their names from there.
fn texts(folder: &Path, inside: &str, depth: usize, out: &mut Vec<String>) -> Result<(), Refusal> {
    let refuse = |e: std::io::Error| {
        Refusal::new(format!("the folder cannot be looked into: {e}"), "check its name and rights")
            .in_file(folder.display())
    };
    for entry in std::fs::read_dir(folder).map_err(refuse)? {
        let entry = entry.map_err(refuse)?;
        let name = entry.file_name();
        let Some(name) = name.to_str().filter(|name| !name.starts_with('.')) else { continue };
        let name = if inside.is_empty() { name.to_owned() } else { format!("{inside}/{name}") };
        // A link may lead anywhere, and round in circles.
        let kind = entry.file_type().map_err(refuse)?;
        if kind.is_dir() && depth < DEEPEST {
            texts(&entry.path(), &name, depth + 1, out)?;
        } else if kind.is_file() && name.to_ascii_lowercase().ends_with(".toml") {
            out.push(name);
        }
        if out.len() > MOST_FILES {
            return Err(Refusal::new(
                format!("there are more than {MOST_FILES} TOML files in this folder"),
                "name the folder of one study",
            )
            .in_file(folder.display()));
        }
    }
    Ok(())
}

/// What a file is, told by the fields that only it has; or why it is passed over.
fn what(name: &str, path: &Path) -> Result<Result<File, &'static str>, Refusal> {
    let file = path.display().to_string();
    let text = files::text(path)?;
    let table: toml::Table =
        toml::from_str(&text).map_err(|e| Refusal::of_toml(&file, &text, &e))?;
    let has = |field: &str| table.contains_key(field);
    if has("photo") {
        reading_from_toml(&file, &text)?;
        return Ok(Ok(File::Section(text)));
    }
    if ["sections", "readings", "paper"].into_iter().any(has) {
        let claim = claim_from_toml(&file, &text)?;
        return Ok(match claim.from {
            From::Table(..) => Err("it rests on a table, and a study keeps sections"),
            From::Sections(_) => {
                let joint = claim.joint.map(|joint| beside_name(name, &joint));
                Ok(File::Claim(text, joint))
            }
        });
    }
    if has("joint") {
        joint_from_toml(&file, &text)?;
        return Ok(Ok(File::Joint(text)));
    }
    if ["travel", "travel_speed"].into_iter().any(has) {
        setting_from_toml(&file, &text)?;
        return Ok(match short_fields(Kind::Setting, &file, &text) {
            Ok(_) => Ok(File::Setting(text)),
            Err(_) => Err(
                "a study keeps a setting's fields flat (wobble_width, wire, wires, wire_feed), and has none for optics and analysis",
            ),
        });
    }
    Ok(Err("it is no reading file, joint file, setting file or claim file"))
}

fn section(name: &str, text: &str, path: &Path) -> Result<BroughtSection, Refusal> {
    let file = path.display().to_string();
    let asked = reading_from_toml(&file, text)?;
    let photo_path = beside(path, &asked.photo);
    let photo = beside_name(name, &asked.photo);
    let told = |r: Refusal| of_photo(r, &photo_path, &file, &asked);
    if photo.starts_with("../") || Path::new(&asked.photo).is_absolute() {
        return Err(told(Refusal::new(
            "the photo lies outside of the folder",
            "put it into the folder, or name a folder that holds both",
        )));
    }
    let bytes = files::photo(&photo_path).map_err(told)?;
    let decoded = decoded(&bytes).map_err(told)?;
    let read = read_text(&file, text, PathBuf::from(&photo), &decoded);
    Ok(BroughtSection {
        name: name.to_owned(),
        text: text.to_owned(),
        coupon: asked.coupon.clone(),
        photo,
        photo_path,
        hash: Hash(decoded.hash),
        reading: read.ok().map(|done| done.out),
    })
}

impl Study {
    /// Makes a study of what is at hand, for the demo.
    pub(crate) fn of_brought(
        path: &Path,
        text: &str,
        brought: &Brought,
        by: &By,
    ) -> Result<(), Refusal> {
        records::Study::rebuild(path, |change| {
            begin(change, path, text, by)?;
            write_brought(change, brought, &by.stamp("made by the demo"))
        })
    }
}
