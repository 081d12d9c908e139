//! A study becomes a folder: the history whole, and its end as files that the steps read.
//!
//! ```text
//!   FOLDER/study.json        what belongs to it, and the chain's head
//!         /history.jsonl     every revision, a line each
//!         /files/...         joint, claim and reading files and photos, as they stand at the end
//!         /numbered/...      those of them whose names are none for a file
//!         /older/...         photos that only older revisions show
//!         /readings.csv      the readings that are kept, as `claim` reads them
//!         /readings.xlsx     the same as a spreadsheet
//! ```
//!
//! `import` takes the first two and the photos, and makes an equal study of them.

use super::{Head, Kind, PROGRAM, Study, json, watched};
use crate::progress::{Progress, Step};
use crate::refusal::Refusal;
use crate::table::{plain, write_table_of_all};
use crate::wire::study::{EXPORT_FORM, ExportForm, PhotoFile, RevisionForm, TextFile};
use records::{Form, Hash, Listed};
use report::sheet::{Cell, Sheet, workbook};
use std::collections::{BTreeMap, BTreeSet};
use std::io::Write;
use std::path::{Path, PathBuf};

/// The first columns of the table of readings are labels.
const LABEL_COLUMNS: usize = 8;

/// What came of an export.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Exported {
    /// The head that the folder has.
    pub head: Head,
    /// What could not be made of it. The history is whole all the same.
    pub remarks: Vec<String>,
}

/// Exports a study to a new folder, or an empty one.
///
/// # Errors
///
/// When the folder holds anything, the disk is full, or the person stops it; then no folder is left.
pub fn export(study: &Study, folder: &Path, progress: &dyn Progress) -> Result<Exported, Refusal> {
    let refuse = |e: std::io::Error| {
        Refusal::new(format!("the folder cannot be written: {e}"), "name a new folder with --out")
            .in_file(folder.display())
    };
    if let Ok(mut inside) = std::fs::read_dir(folder) {
        if inside.next().is_some() {
            return Err(Refusal::new(
                "the folder holds something, and nothing is written over",
                "name a new folder with --out",
            )
            .in_file(folder.display()));
        }
    } else if folder.exists() {
        return Err(Refusal::new("this is a file, not a folder", "name a new folder with --out")
            .in_file(folder.display()));
    }
    let parent = folder.parent().filter(|p| !p.as_os_str().is_empty());
    let new = tempfile::tempdir_in(parent.unwrap_or(Path::new("."))).map_err(refuse)?;
    let exported = fill(study, new.path(), progress)?;
    #[cfg(unix)]
    {
        // A temporary folder is private; what is left is an ordinary one.
        use std::os::unix::fs::PermissionsExt;
        std::fs::set_permissions(new.path(), std::fs::Permissions::from_mode(0o755))
            .map_err(refuse)?;
    }
    if folder.exists() {
        std::fs::remove_dir(folder).map_err(refuse)?;
    }
    std::fs::rename(new.path(), folder).map_err(refuse)?;
    // It has its name now, and is no longer a temporary one.
    let _ = new.keep();
    Ok(exported)
}

fn fill(study: &Study, folder: &Path, progress: &dyn Progress) -> Result<Exported, Refusal> {
    let head = study.head()?;
    let current = current(study)?;
    let mut taken = Taken::default();
    let mut files = Vec::new();
    let mut names: BTreeMap<Hash, Vec<String>> = BTreeMap::new();
    for listed in &current {
        let file = place(listed, &mut taken);
        match (listed.kind, listed.photo) {
            (Kind::Photo, Some(hash)) => names.entry(hash).or_default().push(file),
            _ => {
                let text = study.last(listed.record)?.content.text;
                put(folder, &file, text.as_bytes())?;
                files.push(TextFile { record: listed.record.0, file });
            }
        }
    }
    let all = study.store().photos()?;
    let mut photos = Vec::new();
    for ((hash, _), done) in all.iter().zip(1..) {
        let bytes = study.photo(*hash)?;
        let older = || vec![format!("older/{hash}.{}", ending(&bytes))];
        // One picture may have two names.
        for file in names.remove(hash).unwrap_or_else(older) {
            put(folder, &file, &bytes)?;
            watched(progress, &Step { verb: "copied", done, of: all.len() as u64, what: &file })?;
            photos.push(PhotoFile { hash: hash.to_string(), file });
        }
    }
    history(study, &folder.join("history.jsonl"), head)?;
    // The history is what an export is for: tables that cannot be made of it do not stop it.
    let mut remarks = Vec::new();
    match tables(study) {
        Ok(tables) => tables.iter().try_for_each(|(name, bytes)| put(folder, name, bytes))?,
        Err(refusal) => remarks.push(format!("without a table of readings: {}", refusal.fact)),
    }
    let form = ExportForm {
        form: EXPORT_FORM.to_owned(),
        program: PROGRAM.to_owned(),
        head: head.entry.to_string(),
        entries: head.count,
        photos,
        files,
    };
    put(folder, "study.json", (json(&form)? + "\n").as_bytes())?;
    if study.head()? != head {
        return Err(Refusal::new(
            "the study was changed while it was exported",
            "do it again, or export a backup of it",
        )
        .in_file(study.path().display()));
    }
    Ok(Exported { head, remarks })
}

/// The readings that are kept, as CSV and as a spreadsheet.
fn tables(study: &Study) -> Result<Vec<(&'static str, Vec<u8>)>, Refusal> {
    if study.readings()?.is_empty() {
        return Ok(Vec::new());
    }
    let table = readings_csv(study)?;
    Ok(vec![("readings.xlsx", spreadsheet(study, &table)?), ("readings.csv", table)])
}

/// The readings that are kept, as the table that `claim` reads.
///
/// # Errors
///
/// When nothing was read yet, or the file cannot be read.
pub fn readings_csv(study: &Study) -> Result<Vec<u8>, Refusal> {
    let (read, unread) = study.read_and_unread()?;
    let readings: Vec<_> = read.into_iter().map(|kept| kept.reading).collect();
    if readings.is_empty() {
        return Err(Refusal::new(
            "nothing was read from the sections of this study yet",
            "open a section, and set its marks",
        )
        .in_file(study.path().display()));
    }
    write_table_of_all(&readings, &unread)
}

/// The same as a spreadsheet.
///
/// # Errors
///
/// As [`readings_csv`].
pub fn readings_xlsx(study: &Study) -> Result<Vec<u8>, Refusal> {
    spreadsheet(study, &readings_csv(study)?)
}

/// What becomes a file of its own, as it stands at the end.
fn current(study: &Study) -> Result<Vec<Listed>, Refusal> {
    let mut out = Vec::new();
    // Photos keep the names that the reading files have for them.
    for kind in [Kind::Photo, Kind::Section, Kind::Joint, Kind::Claim] {
        out.extend(study.list(kind)?);
    }
    Ok(out)
}

fn history(study: &Study, path: &Path, head: Head) -> Result<(), Refusal> {
    let unwritten = |e: std::io::Error| {
        Refusal::new(format!("the file cannot be written: {e}"), "check the disk and its room")
            .in_file(path.display())
    };
    let mut file = std::io::BufWriter::new(std::fs::File::create(path).map_err(unwritten)?);
    study.store().each_after(0, |revision| -> Result<(), Refusal> {
        if revision.seq > head.count {
            return Ok(());
        }
        let line = json(&RevisionForm::from(&revision))?;
        writeln!(file, "{line}").map_err(unwritten)
    })?;
    file.flush().map_err(unwritten)
}

fn put(folder: &Path, name: &str, bytes: &[u8]) -> Result<(), Refusal> {
    let path = folder.join(name);
    let write = || {
        if let Some(parent) = path.parent() {
            std::fs::create_dir_all(parent)?;
        }
        std::fs::write(&path, bytes)
    };
    write().map_err(|e| {
        Refusal::new(format!("the file cannot be written: {e}"), "check the disk and its room")
            .in_file(path.display())
    })
}

/// The names that are taken in the folder, in small letters: some systems do not tell them apart.
#[derive(Default)]
struct Taken {
    files: BTreeSet<String>,
    folders: BTreeSet<String>,
}

impl Taken {
    /// Takes a name, unless it is a file's or a folder's already, or lies in what is a file.
    fn take(&mut self, name: &str) -> bool {
        let name = name.to_lowercase();
        let above: Vec<String> =
            name.match_indices('/').map(|(at, _)| name[..at].to_owned()).collect();
        let free = !self.folders.contains(&name)
            && !self.files.contains(&name)
            && !above.iter().any(|folder| self.files.contains(folder));
        if free {
            self.files.insert(name);
            self.folders.extend(above);
        }
        free
    }
}

/// Where a record lies in the folder: under its name, where that is a name of a file everywhere and no other record has
/// it; else under its number.
fn place(listed: &Listed, taken: &mut Taken) -> String {
    let by_name = format!("files/{}", listed.name);
    if is_safe(&listed.name) && taken.take(&by_name) {
        return by_name;
    }
    let ending = if listed.kind == Kind::Photo { "photo" } else { Form::Toml.word() };
    // A number belongs to one record, and no name reaches into this folder.
    format!("numbered/record-{}.{ending}", listed.record)
}

/// Whether a name is a path inside of a folder on every system: no way out, no letters that some system refuses, no name
/// of a device.
pub(super) fn is_safe(name: &str) -> bool {
    let devices = ["con", "prn", "aux", "nul"];
    let part = |part: &str| {
        let stem = part.split('.').next().unwrap_or(part).to_lowercase();
        let numbered = ["com", "lpt"].into_iter().any(|d| {
            stem.strip_prefix(d)
                .is_some_and(|n| n.len() == 1 && n.bytes().all(|b| b.is_ascii_digit()))
        });
        !part.is_empty()
            && !part.starts_with(['.', ' '])
            && !part.ends_with(['.', ' '])
            && part.len() <= 200
            && !devices.contains(&stem.as_str())
            && !numbered
            && !part.chars().any(|c| c.is_control() || "\\/:*?\"<>|".contains(c))
    };
    name.split('/').all(part) && name.split('/').count() <= 8
}

/// The usual ending of a photo file, by its first bytes.
fn ending(bytes: &[u8]) -> &'static str {
    match bytes {
        [0xff, 0xd8, ..] => "jpg",
        [0x89, b'P', ..] => "png",
        [b'R', b'I', b'F', b'F', ..] => "webp",
        [b'I', b'I', ..] | [b'M', b'M', ..] => "tif",
        _ => "photo",
    }
}

/// The table of readings as a spreadsheet: what is a number there is one here.
fn spreadsheet(study: &Study, table: &[u8]) -> Result<Vec<u8>, Refusal> {
    let unread = |e: csv::Error| {
        Refusal::new(format!("the table of readings cannot be read: {e}"), "report this as a fault")
    };
    let mut reader = csv::Reader::from_reader(table);
    let head: Vec<String> = reader.headers().map_err(unread)?.iter().map(str::to_owned).collect();
    let mut rows = Vec::new();
    for record in reader.records() {
        let record = record.map_err(unread)?;
        rows.push(
            record
                .iter()
                .enumerate()
                .map(|(column, cell)| match cell.parse() {
                    _ if cell.is_empty() => Cell::Blank,
                    Ok(number) if column >= LABEL_COLUMNS => Cell::Number(number),
                    // A workbook's texts are no formulas: nothing has to guard them.
                    _ => Cell::Text(plain(cell).to_owned()),
                })
                .collect(),
        );
    }
    let itself = study.itself()?;
    let about = [
        ("study", itself.content.name.clone()),
        ("head of its chain", study.head_for_paper()?.to_string()),
        (
            "u",
            "one standard uncertainty; u_shared is the part that all photos of one scale share"
                .to_owned(),
        ),
        ("units", "as the heads of the columns say".to_owned()),
        ("caution", "Static strength only. A macro section does not show microcracks.".to_owned()),
    ];
    let text = |text: &str| Cell::Text(text.to_owned());
    let about = Sheet {
        name: "About".to_owned(),
        head: ["what", "is"].map(str::to_owned).to_vec(),
        rows: about.iter().map(|(what, is)| vec![text(what), text(is)]).collect(),
    };
    let sheets = [Sheet { name: "Readings".to_owned(), head, rows }, about];
    workbook(&itself.content.name, &sheets).map_err(|e| {
        let advice = e.advice();
        Refusal::new(e, advice)
    })
}

/// Where a photo or a text of an exported folder lies; none where the name would lead out of it.
pub(super) fn inside(folder: &Path, file: &str) -> Option<PathBuf> {
    is_safe(file).then(|| folder.join(file))
}
