//! An exported folder becomes a study again, equal to the one that it came from.

use super::export::inside;
use super::{Hash, Head, new_name, watched};
use crate::files;
use crate::progress::{Progress, Step};
use crate::refusal::Refusal;
use crate::wire::study::{EXPORT_FORM, ExportForm, RevisionForm};
use records::{Change, Error, RecordId};
use std::fs::File;
use std::io::{BufRead, BufReader, Read};
use std::path::Path;

/// The longest line of a history, bytes: the longest text of a record, each letter written as six.
const LONGEST_LINE: u64 = 6 * records::MOST_TEXT_BYTES + (1 << 16);

/// Makes a study of a folder that `export` made: the same records, revisions, authors and times, and so the same chain.
/// Answers its head.
///
/// # Errors
///
/// When something is missing, was changed since, or does not follow from the entry before it; then no file is left.
pub fn import(folder: &Path, to: &Path, progress: &dyn Progress) -> Result<Head, Refusal> {
    let to = new_name(to)?;
    let list = folder.join("study.json");
    let form = form(&list)?;
    let refuse = |fact: String, advice: &str| Refusal::new(fact, advice).in_file(list.display());
    records::Study::rebuild(&to, |change| -> Result<Head, Refusal> {
        for (photo, done) in form.photos.iter().zip(1..) {
            let Some(path) = inside(folder, &photo.file) else {
                return Err(refuse(
                    format!("'{}' is no place inside of the folder", photo.file),
                    EXPORT_AGAIN,
                )
                .in_field("photos"));
            };
            let kept = change
                .photo(&files::photo(&path)?)
                .map_err(|e| Refusal::from(e).in_file(path.display()))?;
            if photo.hash.parse() != Ok(kept) {
                return Err(Refusal::new(
                    format!("the photo is not the one that was exported, {}", photo.hash),
                    "bring the photo back from the study or from another copy",
                )
                .in_file(path.display()));
            }
            let of = form.photos.len() as u64;
            watched(progress, &Step { verb: "took in", done, of, what: &photo.file })?;
        }
        history(change, &folder.join("history.jsonl"))?;
        let head = change.head();
        let wanted = form.head.parse::<Hash>();
        if wanted != Ok(head.entry) || form.entries != head.count {
            return Err(refuse(
                format!(
                    "the history ends with {} entries and the hash {}, and {} entries with {} were exported",
                    head.count, head.entry, form.entries, form.head
                ),
                EXPORT_AGAIN,
            )
            .in_field("head"));
        }
        texts(change, folder, &form)?;
        Ok(head)
    })
}

const EXPORT_AGAIN: &str = "export the study again: a folder is taken whole, as it was written";

fn form(path: &Path) -> Result<ExportForm, Refusal> {
    let text = files::text(path)?;
    let form: ExportForm = serde_json::from_str(&text).map_err(|e| of_json(&e, path, None))?;
    if form.form != EXPORT_FORM {
        return Err(Refusal::new(
            format!("'{}' is no form of an exported study that this program knows", form.form),
            format!("the form is '{EXPORT_FORM}'; a newer program may know more"),
        )
        .in_file(path.display())
        .in_field("form"));
    }
    Ok(form)
}

/// A refusal of a JSON text, with the line; the place in the words of the reader of JSON is left out.
fn of_json(error: &serde_json::Error, path: &Path, line: Option<usize>) -> Refusal {
    let said = error.to_string();
    let fact = said.split(" at line ").next().unwrap_or(&said);
    Refusal::new(format!("this cannot be understood: {fact}"), EXPORT_AGAIN)
        .in_file(path.display())
        .at_line(line.or(Some(error.line()).filter(|line| *line > 0)))
}

/// Writes every revision again, one line at a time.
fn history(change: &mut Change<'_>, path: &Path) -> Result<(), Refusal> {
    let file = File::open(path).map_err(|e| {
        Refusal::new(format!("the history cannot be opened: {e}"), EXPORT_AGAIN)
            .in_file(path.display())
    })?;
    let mut file = BufReader::new(file);
    let mut line = Vec::new();
    for number in 1.. {
        line.clear();
        let here = |r: Refusal| r.in_file(path.display()).at_line(Some(number));
        let read = file.by_ref().take(LONGEST_LINE).read_until(b'\n', &mut line).map_err(|e| {
            here(Refusal::new(format!("the history cannot be read: {e}"), "check the disk"))
        })?;
        if read == 0 {
            break;
        }
        if read as u64 == LONGEST_LINE {
            let fact = format!("the line has more than {LONGEST_LINE} bytes");
            return Err(here(Refusal::new(fact, EXPORT_AGAIN)));
        }
        if line.iter().all(u8::is_ascii_whitespace) {
            continue;
        }
        let form: RevisionForm =
            serde_json::from_slice(&line).map_err(|e| of_json(&e, path, Some(number)))?;
        change.replay(&form.revision().map_err(here)?).map_err(|e| here(e.into()))?;
    }
    Ok(())
}

/// A text that somebody changed in the folder would be lost silently: the history says otherwise.
fn texts(change: &Change<'_>, folder: &Path, form: &ExportForm) -> Result<(), Refusal> {
    for file in &form.files {
        let Some(path) = inside(folder, &file.file) else {
            let fact = format!("'{}' is no place inside of the folder", file.file);
            return Err(Refusal::new(fact, EXPORT_AGAIN)
                .in_file(folder.join("study.json").display())
                .in_field("files"));
        };
        if !path.exists() {
            continue;
        }
        let last = change.last(RecordId(file.record)).map_err(|e: Error| {
            Refusal::from(e).in_file(folder.join("study.json").display()).in_field("files")
        })?;
        if files::text(&path)? != last.content.text {
            return Err(Refusal::new(
                "the text was changed after the export, and a history is taken as it was written",
                "keep the change elsewhere, bring the old text back or delete it here, and edit the study that comes out",
            )
            .in_file(path.display()));
        }
    }
    Ok(())
}
