//! A study: the steps of the job on what is kept in one file, with its history.
//!
//! ```text
//!   bench, command line ── put ──> study file ── claim, report ──> answers with the chain's head
//!          folder of files ─ bring ─┘  │   └─ export ── folder ── import ──> an equal study
//! ```
//!
//! A section of a study is a reading file and its photo, a claim is a claim file: the same texts as on the disk, read by the
//! same functions, so the figures are the same to the last digit. Names in a study are like those in a folder:
//! `photos/a1.toml` finds its photo `a1.jpg` as `photos/a1.jpg`. A section keeps the hash of the photo that it was set on:
//! another photo of that name does not change what was read.
//!
//! What is read from a section is kept beside it when somebody asks for it ([`Study::keep_reading`]), and so is what a
//! paper said ([`Study::keep_paper`]).

mod area;
mod bring;
mod export;
mod import;

pub use area::{KeptPlan, SignedArea, Signing};
pub(crate) use bring::{Brought, BroughtSection};
pub use bring::{Outcome, bring};
pub use export::{Exported, export, readings_csv, readings_xlsx};
pub use import::import;
pub use records::{
    Content, Form, Hash, Head, Kind, Listed, Part, RecordId, Revision, Stale, Stamp,
};

use crate::claim::Answer;
use crate::claim::file::{Claimed, FromStudy, claim_on};
use crate::clock::By;
use crate::progress::{Progress, Step, go_on, stopped};
use crate::read::{Decoded, Done, decoded, of_photo, read_text};
use crate::refusal::Refusal;
use crate::shelf::Shelf;
use crate::table::Unread;
use crate::wire::claim_file::claim_from_toml;
use crate::wire::joint::{AskedJoint, joint_from_toml};
use crate::wire::study::{CheckOut, KeptPaper, KeptReading, fields, short_fields};
use crate::wire::{label_of_draft, photo_of_draft, reading_from_toml};
use records::check::Mark;
use records::{Change, Error};
use report::paper::Paper;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// The ending of a study file's name.
pub const ENDING: &str = "seam";
/// This program's version, as it stands beside what it answered.
const PROGRAM: &str = env!("CARGO_PKG_VERSION");
/// Kinds that the program writes itself. What a paper rests on is the state of all others.
const ANSWERS: [Kind; 2] = [Kind::Reading, Kind::Paper];

impl From<Error> for Refusal {
    fn from(error: Error) -> Self {
        if matches!(error, Error::Stopped) {
            return stopped();
        }
        let advice = error.advice();
        Self::new(error, advice)
    }
}

/// Why something was not saved.
#[derive(Debug)]
pub enum Unsaved {
    /// Somebody was faster: both versions, so that nothing is lost.
    Stale(Box<Stale>),
    /// It cannot be saved as it is.
    Refused(Refusal),
    /// The disk, not what was to be saved: the same may do later.
    Disk(Refusal),
}

impl From<Error> for Unsaved {
    fn from(error: Error) -> Self {
        match error {
            Error::Stale(stale) => Self::Stale(stale),
            disk @ (Error::Full { .. }
            | Error::Io { .. }
            | Error::Database { .. }
            | Error::Busy { .. }) => Self::Disk(disk.into()),
            other => Self::Refused(other.into()),
        }
    }
}

impl From<Refusal> for Unsaved {
    fn from(refusal: Refusal) -> Self {
        Self::Refused(refusal)
    }
}

impl From<Unsaved> for Refusal {
    fn from(unsaved: Unsaved) -> Self {
        match unsaved {
            Unsaved::Stale(stale) => Error::Stale(stale).into(),
            Unsaved::Refused(refusal) | Unsaved::Disk(refusal) => refusal,
        }
    }
}

/// What is to be written into a study: a new record, or the next revision of one.
#[derive(Clone, Copy, Debug)]
pub struct Put<'a> {
    /// The record and the number of the revision that the edit started from; none: a new record.
    pub of: Option<(RecordId, i64)>,
    /// What the record is called.
    pub name: &'a str,
    /// The record that it belongs to.
    pub parent: Option<RecordId>,
    /// The text.
    pub text: &'a str,
}

impl<'a> Put<'a> {
    /// A new record that belongs nowhere yet.
    #[must_use]
    pub const fn new(name: &'a str, text: &'a str) -> Self {
        Self { of: None, name, parent: None, text }
    }

    /// Belonging to a record.
    #[must_use]
    pub const fn under(mut self, parent: RecordId) -> Self {
        self.parent = Some(parent);
        self
    }
}

/// A study that is open. Any number of threads may ask it; one at a time is answered.
#[derive(Debug)]
pub struct Study {
    store: Mutex<records::Study>,
    path: PathBuf,
}

/// Which kind of section a joint's file makes, or a reading file is of: laps and corners are fillets too.
#[must_use]
pub fn section_kind(text: &str) -> &'static str {
    let table: Option<toml::Table> = text.parse().ok();
    match table.as_ref().and_then(|t| t.get("joint")?.as_str()) {
        Some("butt") => "butt",
        Some("bead") => "bead",
        _ => "tee",
    }
}

/// Whether a file is a study: by its name, or by its first bytes.
#[must_use]
pub fn is_study(path: &Path) -> bool {
    use std::io::Read;
    let mut first = [0; 16];
    path.extension().is_some_and(|e| e.eq_ignore_ascii_case(ENDING))
        || std::fs::File::open(path)
            .and_then(|mut file| file.read_exact(&mut first))
            .is_ok_and(|()| first == *b"SQLite format 3\0")
}

impl Study {
    /// The joint that a section is of: its coupon's; else the only one of the study of the section's kind.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn joint_of(&self, section: &Revision) -> Result<Option<(String, AskedJoint)>, Refusal> {
        // A joint that cannot be understood says nothing of a section.
        let read = |joint: Revision| {
            let asked = joint_from_toml(&joint.content.name, &joint.content.text).ok()?;
            Some((joint.content.name, asked))
        };
        if let Some(coupon) = section.content.parent
            && let Some(joint) = self.last(coupon)?.content.parent
        {
            return Ok(read(self.last(joint)?));
        }
        let kind = section_kind(&section.content.text);
        let mut of_kind = Vec::new();
        for joint in self.list(Kind::Joint)? {
            let joint = self.last(joint.record)?;
            if section_kind(&joint.content.text) == kind {
                of_kind.extend(read(joint));
            }
        }
        Ok(if of_kind.len() == 1 { of_kind.pop() } else { None })
    }

    /// Makes a new study. `text` is that of its first record, with its title: [`crate::wire::study::short_text`].
    ///
    /// # Errors
    ///
    /// When a file of that name is there, its folder may not be written, or the text is not one of a study.
    pub fn create(path: &Path, text: &str, by: &By) -> Result<Self, Refusal> {
        let path = with_ending(path)?;
        let content = Content::new(title(&path.display().to_string(), text)?, Form::Toml, text);
        let store = records::Study::create(&path, &content, &by.stamp("study begun"))?;
        Ok(Self::of(store))
    }

    /// Opens a study to read and write.
    ///
    /// # Errors
    ///
    /// When there is none, or the file is something else, newer than this program, damaged, or may not be written.
    pub fn open(path: &Path) -> Result<Self, Refusal> {
        Ok(Self::of(records::Study::open(path)?))
    }

    /// Opens a study to read; others may write meanwhile.
    ///
    /// # Errors
    ///
    /// As [`Study::open`], but for the right to write.
    pub fn open_to_read(path: &Path) -> Result<Self, Refusal> {
        Ok(Self::of(records::Study::open_to_read(path)?))
    }

    fn of(store: records::Study) -> Self {
        let path = store.path().to_path_buf();
        Self { store: Mutex::new(store), path }
    }

    /// Brings the journal into the file and closes it.
    ///
    /// # Errors
    ///
    /// When the disk fails. What was saved is safe all the same.
    pub fn close(self) -> Result<(), Refusal> {
        let store = self.store.into_inner().unwrap_or_else(PoisonError::into_inner);
        Ok(store.close()?)
    }

    /// The study file.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// A change that failed was taken back by the file, so a panic leaves nothing behind that would matter.
    fn store(&self) -> MutexGuard<'_, records::Study> {
        self.store.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// What something in the study is called in a refusal.
    fn shown(&self, name: &str) -> String {
        format!("{}/{name}", self.path.display())
    }

    /// The end of the chain.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn head(&self) -> Result<Head, Refusal> {
        Ok(self.store().head()?)
    }

    /// The head that papers print: after the last revision that is no reading and no paper. So writing a paper, or the same
    /// one again, changes nothing of what it prints.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn head_for_paper(&self) -> Result<Head, Refusal> {
        let kinds: Vec<Kind> = Kind::ALL.into_iter().filter(|k| !ANSWERS.contains(k)).collect();
        Ok(self.store().head_of(&kinds)?)
    }

    /// The record of the study itself.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn itself(&self) -> Result<Revision, Refusal> {
        Ok(self.store().last(RecordId(1))?)
    }

    /// Every record of a kind that is not withdrawn, the oldest first, without its text.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn list(&self, kind: Kind) -> Result<Vec<Listed>, Refusal> {
        Ok(self.store().list(kind)?)
    }

    /// A part of the records of a kind that are not withdrawn, without their texts: what a page shows of a long list.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn part(&self, part: &Part) -> Result<Vec<Listed>, Refusal> {
        Ok(self.store().part(part)?)
    }

    /// How many records of a kind are not withdrawn, of all or of those that belong to a record.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn count(&self, kind: Kind, under: Option<RecordId>) -> Result<usize, Refusal> {
        Ok(self.store().count(kind, under)?)
    }

    /// How many records of each kind are not withdrawn.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn counts(&self) -> Result<BTreeMap<Kind, usize>, Refusal> {
        Ok(self.store().counts()?)
    }

    /// How many sections have a kept reading that is not older than their marks.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn count_read(&self) -> Result<usize, Refusal> {
        Ok(self.store().count_current(Kind::Reading)?)
    }

    /// The numbers alone of the records of a kind that are not withdrawn, the oldest first: of all, or of those that belong
    /// to a record.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn numbers(&self, kind: Kind, under: Option<RecordId>) -> Result<Vec<RecordId>, Refusal> {
        Ok(self.store().numbers(kind, under)?)
    }

    /// The names alone of the records of a kind that are not withdrawn, in no order.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn names(&self, kind: Kind) -> Result<Vec<(RecordId, String)>, Refusal> {
        Ok(self.store().names(kind)?)
    }

    /// Every record that belongs to this one and is not withdrawn, the oldest first, without its text.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn under(&self, record: RecordId) -> Result<Vec<Listed>, Refusal> {
        Ok(self.store().under(record)?)
    }

    /// The last revision of a record.
    ///
    /// # Errors
    ///
    /// When there is no such record.
    pub fn last(&self, record: RecordId) -> Result<Revision, Refusal> {
        Ok(self.store().last(record)?)
    }

    /// All revisions of a record, the first one first.
    ///
    /// # Errors
    ///
    /// When there is no such record.
    pub fn history(&self, record: RecordId) -> Result<Vec<Revision>, Refusal> {
        let history = self.store().history(record)?;
        if history.is_empty() { Err(Error::NoRecord { record }.into()) } else { Ok(history) }
    }

    /// The record of a kind that has a name.
    ///
    /// # Errors
    ///
    /// When there is none, with the nearest names.
    pub fn named(&self, kind: Kind, name: &str) -> Result<Revision, Refusal> {
        if let Some(found) = self.store().named(kind, name)? {
            return Ok(found);
        }
        let some = Part { kind, under: None, newest_first: false, skip: 0, most: 20 };
        let listed = self.part(&some)?;
        let names: Vec<&str> = listed.iter().map(|l| l.name.as_str()).collect();
        let advice = if names.is_empty() {
            format!("the study has no {kind} yet")
        } else {
            crate::refusal::near_or_known(name, &names)
        };
        Err(Refusal::new(format!("there is no {kind} '{name}' in the study"), advice)
            .in_file(self.path.display()))
    }

    /// The bytes of a photo.
    ///
    /// # Errors
    ///
    /// When there is none, or its bytes are no longer those that were saved.
    pub fn photo(&self, hash: Hash) -> Result<Vec<u8>, Refusal> {
        Ok(self.store().photo(hash)?)
    }

    /// Keeps a photo: its bytes, and a record that shows it. `put.text` is a short record of who took it and how, or empty.
    ///
    /// # Errors
    ///
    /// When the bytes are no photo that is read: then nothing is stored. Else as [`Study::put`].
    pub fn put_photo(&self, put: &Put<'_>, bytes: &[u8], by: &By) -> Result<Revision, Unsaved> {
        let decoded = decoded(bytes).map_err(|r| r.in_file(put.name))?;
        self.put_decoded(put, bytes, &decoded, by)
    }

    /// The same for a photo that was decoded already.
    ///
    /// # Errors
    ///
    /// As [`Study::put_photo`]; and when these are not the bytes that were decoded.
    pub fn put_decoded(
        &self,
        put: &Put<'_>,
        bytes: &[u8],
        decoded: &Decoded,
        by: &By,
    ) -> Result<Revision, Unsaved> {
        short_fields(Kind::Photo, put.name, put.text)?;
        self.store().change(|change| {
            let hash = change.photo(bytes)?;
            if hash.0 != decoded.hash {
                let fact = "the photo that was looked at is another one";
                return Err(Refusal::new(fact, "take it in again").in_file(put.name).into());
            }
            write(change, Kind::Photo, put, Some(hash), &by.stamp("photo taken in"))
        })
    }

    /// Keeps a section: the text of a reading file, whose photo is in the study already.
    ///
    /// The text must have the fields of a reading file; whether its marks are complete, and something can be read from them,
    /// is not asked, so that marks half set are not lost.
    ///
    /// # Errors
    ///
    /// When the text is not that of a reading file, or names a photo that is not in the study. Else as [`Study::put`].
    pub fn put_section(&self, put: &Put<'_>, by: &By) -> Result<Revision, Unsaved> {
        let (photo, line) = photo_of_draft(&self.shown(put.name), put.text)?;
        let photo = beside_name(put.name, &photo);
        self.store().change(|change| {
            let Some(found) = change.named(Kind::Photo, &photo)? else {
                let fact = format!("there is no photo '{photo}' in the study");
                let refusal = Refusal::new(fact, "take the photo in first, or correct its name")
                    .in_file(self.shown(put.name))
                    .at_line(Some(line))
                    .in_field("photo");
                return Err(refusal.into());
            };
            write(change, Kind::Section, put, found.content.photo, &by.stamp("marks set"))
        })
    }

    /// Keeps a record of the other kinds that people write: study, joint, setting, coupon, cut, claim.
    ///
    /// # Errors
    ///
    /// When the text is not one of its kind, when its name is taken, when it cannot belong where it should; and when
    /// somebody else saved a newer revision meanwhile, with both versions.
    pub fn put(&self, kind: Kind, put: &Put<'_>, by: &By) -> Result<Revision, Unsaved> {
        let file = self.shown(put.name);
        let mut put = *put;
        let name;
        match kind {
            Kind::Joint => drop(joint_from_toml(&file, put.text)?),
            Kind::Claim => drop(claim_from_toml(&file, put.text)?),
            Kind::Study => {
                name = title(&file, put.text)?;
                put.name = &name;
            }
            kind if fields(kind).is_some() && kind != Kind::Photo => {
                short_fields(kind, &file, put.text)?;
            }
            _ => {
                let fact = format!("a {kind} is not written as a text alone");
                return Err(Refusal::new(fact, "take it in by its own step").into());
            }
        }
        self.store().change(|change| write(change, kind, &put, None, &by.stamp("written")))
    }

    /// Takes a record out of the study: it stays readable, and no longer counts.
    ///
    /// # Errors
    ///
    /// When somebody else saved a newer revision meanwhile, with both versions.
    pub fn withdraw(&self, record: RecordId, from: i64, by: &By) -> Result<Revision, Unsaved> {
        let stamp = by.stamp("taken out");
        self.store().change(|change| Ok(change.withdraw(record, from, &stamp)?))
    }

    /// Undoes: a new revision that says what revision `to` said.
    ///
    /// # Errors
    ///
    /// When somebody else saved a newer revision meanwhile, with both versions.
    pub fn go_back(
        &self,
        record: RecordId,
        from: i64,
        to: i64,
        by: &By,
    ) -> Result<Revision, Unsaved> {
        let stamp = by.stamp(&format!("back to revision {to}"));
        self.store().change(|change| Ok(change.go_back(record, from, to, &stamp)?))
    }

    /// Reads a section as [`crate::read::read`] reads a file.
    ///
    /// # Errors
    ///
    /// Says file, line, field, fact and next action.
    pub fn read_section(&self, name: &str) -> Result<Done, Refusal> {
        self.read_revision(&self.named(Kind::Section, name)?)
    }

    /// Reads one revision of a section, also one that is no longer the last.
    ///
    /// # Errors
    ///
    /// As [`Study::read_section`].
    pub fn read_revision(&self, section: &Revision) -> Result<Done, Refusal> {
        let name = &section.content.name;
        let file = self.shown(name);
        let text = &section.content.text;
        let hash = section.content.photo.ok_or_else(|| {
            Refusal::new("the section has no photo", "take the photo in, and set its marks again")
                .in_file(&file)
        })?;
        let bytes = self.photo(hash)?;
        let asked = reading_from_toml(&file, text)?;
        let photo = PathBuf::from(beside_name(name, &asked.photo));
        let decoded = decoded(&bytes).map_err(|r| of_photo(r, &photo, &file, &asked))?;
        let mut done = read_text(&file, text, photo, &decoded)?;
        // Where the study lies is no part of what was read.
        done.out.file = name.clone();
        Ok(done)
    }

    /// Reads marks that are not saved, on the photo of a section, decoded once.
    ///
    /// # Errors
    ///
    /// As [`Study::read_section`].
    pub fn read_marks(name: &str, text: &str, decoded: &Decoded) -> Result<Done, Refusal> {
        let asked = reading_from_toml(name, text)?;
        read_text(name, text, PathBuf::from(beside_name(name, &asked.photo)), decoded)
    }

    /// Keeps what was read from a revision of a section. The same figures are not written again.
    ///
    /// # Errors
    ///
    /// When the reading cannot be written.
    pub fn keep_reading(
        &self,
        section: &Revision,
        done: &Done,
        by: &By,
    ) -> Result<Revision, Unsaved> {
        let text = kept_reading(&section.content.name, done.out.clone())?;
        let content = Content::new(&section.content.name, Form::Json, text)
            .under(Some(section.record))
            .out_of(section.seq);
        self.store().change(|change| keep(change, Kind::Reading, &content, &by.stamp("read")))
    }

    /// The readings that are kept, each of the last revision of its section, in the order of the sections. A section that
    /// was edited since it was read has none.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn readings(&self) -> Result<Vec<KeptReading>, Refusal> {
        Ok(self.read_and_unread()?.0)
    }

    /// The same, and the sections without one: their marks are not complete, cannot be read, or were set a moment ago.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn read_and_unread(&self) -> Result<(Vec<KeptReading>, Vec<Unread>), Refusal> {
        let store = self.store();
        let mut kept: std::collections::BTreeMap<i64, RecordId> = store
            .list(Kind::Reading)?
            .into_iter()
            .filter_map(|reading| Some((reading.rests_on?, reading.record)))
            .collect();
        let (mut read, mut unread) = (Vec::new(), Vec::new());
        for section in store.list(Kind::Section)? {
            let Some(record) = kept.remove(&section.seq) else {
                let text = store.last(section.record)?.content.text;
                let label = |field| label_of_draft(&text, field).unwrap_or_default();
                unread.push(Unread {
                    coupon: label("coupon"),
                    section: label("section"),
                    photo: label("photo"),
                    marked: text.lines().any(|line| line.trim() == "[[fused]]"),
                });
                continue;
            };
            let text = store.last(record)?.content.text;
            read.push(serde_json::from_str(&text).map_err(|e| {
                Refusal::new(
                    format!("the reading kept of '{}' cannot be understood: {e}", section.name),
                    "read the section again",
                )
                .in_file(self.path.display())
            })?);
        }
        Ok((read, unread))
    }

    /// The coupon that a section belongs to by its label: the one of that name, or a new one of the same joint. Without a
    /// label it stays where it is.
    ///
    /// # Errors
    ///
    /// When the coupon cannot be written.
    pub fn coupon_by_label(
        &self,
        section: &Revision,
        label: Option<&str>,
        by: &By,
    ) -> Result<Option<RecordId>, Unsaved> {
        let parent = section.content.parent;
        let of = parent.map(|parent| self.last(parent)).transpose()?;
        let of = of.filter(|of| of.kind == Kind::Coupon);
        let Some(label) = label.filter(|l| of.as_ref().is_none_or(|of| of.content.name != *l))
        else {
            return Ok(parent);
        };
        if let Some(known) = self.list(Kind::Coupon)?.into_iter().find(|c| c.name == label) {
            return Ok(Some(known.record));
        }
        let joint = of.and_then(|of| of.content.parent);
        let put = Put { of: None, name: label, parent: joint, text: "" };
        Ok(Some(self.put(Kind::Coupon, &put, by)?.record))
    }

    /// What the kept reading of a section says first, if it was read since it was marked last.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn kept_of(&self, section: &Listed) -> Result<Option<Vec<String>>, Refusal> {
        let store = self.store();
        let Some(kept) = store.named(Kind::Reading, &section.name)? else { return Ok(None) };
        if kept.content.rests_on != Some(section.seq) {
            return Ok(None);
        }
        let kept: Result<KeptReading, _> = serde_json::from_str(&kept.content.text);
        Ok(kept.ok().map(|kept| crate::read::says::kept(&kept.reading)))
    }

    /// What was read of each revision of a section, where it was read and kept: by the revision's place in the study.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn kept_by_revision(
        &self,
        section: &str,
    ) -> Result<std::collections::BTreeMap<i64, Vec<String>>, Refusal> {
        let store = self.store();
        let Some(kept) = store.named(Kind::Reading, section)? else { return Ok([].into()) };
        let all = store.history(kept.record)?;
        let said = all.into_iter().filter_map(|reading| {
            let kept: KeptReading = serde_json::from_str(&reading.content.text).ok()?;
            Some((reading.content.rests_on?, crate::read::says::kept(&kept.reading)))
        });
        Ok(said.collect())
    }

    /// Works out a claim of the study: the one of that name, or the only one.
    ///
    /// # Errors
    ///
    /// Says file, line, field, fact and next action; also when the study is changed meanwhile.
    pub fn claim(
        &self,
        name: Option<&str>,
        for_paper: bool,
        progress: &dyn Progress,
    ) -> Result<Claimed, Refusal> {
        let claim = self.claim_named(name)?;
        let head = self.head_for_paper()?;
        let shelf = Kept { study: self, claim: &claim.content.name };
        let mut claimed = claim_on(&shelf, &claim.content.text, for_paper, progress)?;
        if self.head_for_paper()? != head {
            return Err(Refusal::new(
                "the study was changed while it was read",
                "do it again: the claim and its sections must be of one moment",
            )
            .in_file(self.path.display()));
        }
        claimed.study = Some(FromStudy {
            path: self.path.clone(),
            title: self.itself()?.content.name,
            head: head.to_string(),
        });
        Ok(claimed)
    }

    fn claim_named(&self, name: Option<&str>) -> Result<Revision, Refusal> {
        if let Some(name) = name {
            return self.named(Kind::Claim, name);
        }
        let listed = self.list(Kind::Claim)?;
        match listed.as_slice() {
            [only] => self.last(only.record),
            [] => Err(Refusal::new(
                "the study has no claim yet",
                "write one: a claim file says what is asked of which sections",
            )
            .in_file(self.path.display())),
            several => {
                let names: Vec<&str> = several.iter().map(|l| l.name.as_str()).collect();
                Err(Refusal::new(
                    format!("the study has {} claims", several.len()),
                    format!("name one with --claim: {}", names.join(", ")),
                )
                .in_file(self.path.display()))
            }
        }
    }

    /// Keeps that a report was handed out: what it said, and the hash of its file. The same paper is not written again.
    ///
    /// # Errors
    ///
    /// When the claim is none of this study, or the study may not be written.
    pub fn keep_paper(
        &self,
        claimed: &Claimed,
        paper: &Paper,
        by: &By,
    ) -> Result<Revision, Unsaved> {
        let prefix = self.shown("");
        let name = claimed.path.strip_prefix(&prefix).unwrap_or(&claimed.path);
        let claim = self.named(Kind::Claim, name)?;
        let hex = |bytes: &[u8]| bytes.iter().map(|b| format!("{b:02x}")).collect::<String>();
        let kept = KeptPaper {
            program: PROGRAM.to_owned(),
            paper: "customer report".to_owned(),
            head: claimed.study.as_ref().map_or_else(String::new, |s| s.head.clone()),
            fingerprint: hex(&claimed.fingerprint),
            pdf_blake3: Hash::of(&paper.pdf).to_string(),
            pages: paper.pages,
            sentence: match claimed.worked.answer(&claimed.file.asked) {
                Answer::Claim(out) => out.sentence,
                Answer::No { sentence, .. } => sentence,
            },
            holds: claimed.holds(),
        };
        let content = Content::new(format!("report of {name}"), Form::Json, json(&kept)?)
            .under(Some(claim.record))
            .out_of(claim.seq);
        self.store().change(|change| keep(change, Kind::Paper, &content, &by.stamp("handed out")))
    }

    /// Copies the study to a new file while others may go on writing. Answers the head that the copy has.
    ///
    /// # Errors
    ///
    /// When a file of that name is there, the disk is full, or the person stops it; then no file is left.
    pub fn backup(&self, to: &Path, progress: &dyn Progress) -> Result<Head, Refusal> {
        let to = with_ending(to)?;
        let store = self.store();
        Ok(store.backup(&to, &mut |done, of| {
            progress.step(&Step { verb: "copied", done, of, what: "" });
            !progress.cancelled()
        })?)
    }
}

/// Checks every row and photo of a study, and looks for a head that a paper prints: `0123456789abcdef`, with or without the
/// count, `-57`.
///
/// # Errors
///
/// When there is no study, or the head is none. What is wrong inside of the study is an answer.
pub fn check(
    path: &Path,
    head: Option<&str>,
    progress: &dyn Progress,
) -> Result<CheckOut, Refusal> {
    let mark = head
        .map(|text| {
            text.parse::<Mark>().map_err(|why| {
                Refusal::new(
                    format!("'{text}' is no head of a study: {why}"),
                    "write it as the paper prints it: 0123456789abcdef-57",
                )
                .in_field("--head")
            })
        })
        .transpose()?;
    let found = records::check(path, mark.as_ref(), &mut |done, of| {
        // A line for each entry would be a flood.
        if done == of || done % 1000 == 0 {
            progress.step(&Step { verb: "checked", done, of, what: "" });
        }
        !progress.cancelled()
    })?;
    let whole = found.faults.is_empty();
    let missing = mark.as_ref().filter(|_| found.mark_at.is_none());
    let mut sentence = if whole {
        "The study is as it was saved: every entry fits the one before it, and every photo its hash."
            .to_owned()
    } else {
        format!("The study is not as it was saved: {} fault(s) were found.", found.faults.len())
    };
    match (&mark, found.mark_at) {
        (Some(mark), Some(at)) => {
            sentence.push_str(&format!(
                " The head {mark} is in it, at entry {at} of {}",
                found.head.count
            ));
            sentence.push_str(if whole {
                ": what that paper rests on has not been changed since."
            } else {
                ", and the chain is whole up to there."
            });
        }
        (Some(mark), None) => sentence.push_str(&format!(
            " The head {mark} is not in it: this is not the past that the paper was printed from."
        )),
        (None, _) => {}
    }
    let next = match (whole, missing) {
        (false, _) => Some("go back to a backup for what is named, and ask who had the file"),
        (true, Some(_)) => Some(
            "compare with a backup of the paper's day: the chain was written anew, or the paper is of another study",
        ),
        (true, None) => None,
    };
    Ok(CheckOut {
        study: path.display().to_string(),
        head: found.head.to_string(),
        entries: found.head.count,
        records: found.records,
        photos: found.photos,
        faults: found.faults.iter().map(ToString::to_string).collect(),
        asked_head: mark.as_ref().map(ToString::to_string),
        asked_head_at: found.mark_at,
        sentence,
        next: next.map(str::to_owned),
        holds: whole && missing.is_none(),
    })
}

/// The study's files as a claim finds them.
struct Kept<'a> {
    study: &'a Study,
    claim: &'a str,
}

impl Shelf for Kept<'_> {
    fn claim(&self) -> String {
        self.study.shown(self.claim)
    }

    fn shown(&self, name: &str) -> String {
        self.study.shown(&beside_name(self.claim, name))
    }

    fn joint(&self, name: &str) -> Result<String, Refusal> {
        let joint = self.study.named(Kind::Joint, &beside_name(self.claim, name));
        Ok(joint.map_err(|r| r.in_file(self.shown(name)))?.content.text)
    }

    fn table(&self, name: &str) -> Result<String, Refusal> {
        Err(Refusal::new(
            "a study keeps sections and no tables",
            "name the sections: sections = [\"a1.toml\", \"a2.toml\"]",
        )
        .in_file(self.shown(name)))
    }

    fn section(&self, name: &str) -> Result<Done, Refusal> {
        let section = self.study.named(Kind::Section, &beside_name(self.claim, name));
        self.study.read_revision(&section.map_err(|r| r.in_file(self.shown(name)))?)
    }
}

/// A name in a file of a study is meant beside that file, as in a folder: `photos/a1.toml` and `a1.jpg` give
/// `photos/a1.jpg`.
fn beside_name(file: &str, name: &str) -> String {
    let mut parts: Vec<&str> = file.split('/').collect();
    parts.pop();
    for part in name.split('/') {
        match part {
            "" | "." => {}
            ".." if parts.last().is_some_and(|last| *last != "..") => drop(parts.pop()),
            part => parts.push(part),
        }
    }
    parts.join("/")
}

/// Only what ends in `.seam` is a study to people and to their mail programs.
fn with_ending(path: &Path) -> Result<PathBuf, Refusal> {
    if path.extension().is_some_and(|e| e.eq_ignore_ascii_case(ENDING)) {
        return Ok(path.to_path_buf());
    }
    Err(Refusal::new(
        format!("the name does not end in .{ENDING}"),
        format!("name it {}.{ENDING}", path.display()),
    )
    .in_file(path.display()))
}

/// The name of a study that is to be made, told before any work is done for it.
fn new_name(path: &Path) -> Result<PathBuf, Refusal> {
    let path = with_ending(path)?;
    if path.exists() { Err(Error::Exists { path }.into()) } else { Ok(path) }
}

fn title(file: &str, text: &str) -> Result<String, Refusal> {
    let fields = short_fields(Kind::Study, file, text)?;
    Ok(fields.into_iter().next().map_or_else(String::new, |(_, title)| title.trim().to_owned()))
}

/// Writes a record as its kind wants it: new, or the next revision.
fn write(
    change: &mut Change<'_>,
    kind: Kind,
    put: &Put<'_>,
    photo: Option<Hash>,
    stamp: &Stamp,
) -> Result<Revision, Unsaved> {
    let mut content = Content::new(put.name, Form::Toml, put.text).under(put.parent);
    content.photo = photo;
    Ok(match put.of {
        None => change.add(kind, &content, stamp)?,
        Some((record, from)) => change.edit(record, from, &content, stamp)?,
    })
}

/// Writes what the program answered: under its name once, and the next revision when it comes out otherwise.
fn keep(
    change: &mut Change<'_>,
    kind: Kind,
    content: &Content,
    stamp: &Stamp,
) -> Result<Revision, Unsaved> {
    Ok(match change.named(kind, &content.name)? {
        None => change.add(kind, content, stamp)?,
        Some(kept) => change.edit(kept.record, kept.number, content, stamp)?,
    })
}

fn kept_reading(name: &str, out: crate::wire::ReadOut) -> Result<String, Refusal> {
    let mut reading = out;
    name.clone_into(&mut reading.file);
    // Nine tenths of it, and nobody asks for them without the photo.
    reading.outlines.clear();
    json(&KeptReading { program: PROGRAM.to_owned(), reading })
}

fn json(value: &impl serde::Serialize) -> Result<String, Refusal> {
    serde_json::to_string(value).map_err(|e| {
        Refusal::new(format!("the answer cannot be written as JSON: {e}"), "report this as a fault")
    })
}

/// Asks whether to go on, for works with many small parts.
fn watched(progress: &dyn Progress, step: &Step<'_>) -> Result<(), Refusal> {
    progress.step(step);
    go_on(progress)
}
