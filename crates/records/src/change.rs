//! Writing: everything that is done in one change is there as a whole, or not at all.

use crate::Kind;
use crate::chain;
use crate::error::{Error, Stale};
use crate::revision::{Content, Hash, Head, RecordId, Revision, Stamp};
use crate::study::{self, MOST_PHOTO_BYTES, MOST_TEXT_BYTES};
use rusqlite::{Connection, OptionalExtension, params};
use std::path::Path;

/// The longest name, characters.
const LONGEST_NAME: usize = 200;

/// A change that is being made.
#[derive(Debug)]
pub struct Change<'a> {
    conn: &'a Connection,
    path: &'a Path,
    head: Head,
    photos: Vec<Hash>,
}

impl<'a> Change<'a> {
    pub(crate) fn new(conn: &'a Connection, path: &'a Path) -> Result<Self, Error> {
        let head = study::head(conn).map_err(|e| Error::of(path, e))?;
        Ok(Self { conn, path, head, photos: Vec::new() })
    }

    pub(crate) fn has_new_photo(&self) -> bool {
        !self.photos.is_empty()
    }

    fn sql(&self, error: rusqlite::Error) -> Error {
        Error::of(self.path, error)
    }

    /// The end of the chain, with what this change has written so far.
    #[must_use]
    pub const fn head(&self) -> Head {
        self.head
    }

    /// The last revision of a record.
    ///
    /// # Errors
    ///
    /// When there is no such record, or the file cannot be read.
    pub fn last(&self, record: RecordId) -> Result<Revision, Error> {
        study::last(self.conn, record).map_err(|e| self.sql(e))?.ok_or(Error::NoRecord { record })
    }

    /// The record of a kind that has a name and is not withdrawn.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn named(&self, kind: Kind, name: &str) -> Result<Option<Revision>, Error> {
        study::named(self.conn, kind, name).map_err(|e| self.sql(e))
    }

    /// Keeps a photo's bytes; the same photo is kept once. A record that shows it must be written in the same change.
    ///
    /// # Errors
    ///
    /// When it is empty or has more than [`MOST_PHOTO_BYTES`].
    pub fn photo(&mut self, bytes: &[u8]) -> Result<Hash, Error> {
        if bytes.is_empty() {
            return Err(Error::Lacks {
                kind: Kind::Photo,
                what: "a picture, and this one is empty",
            });
        }
        let length = bytes.len() as u64;
        if length > MOST_PHOTO_BYTES {
            return Err(Error::TooLarge {
                what: "the photo",
                bytes: length,
                most: MOST_PHOTO_BYTES,
            });
        }
        let hash = Hash::of(bytes);
        let new = self
            .conn
            .prepare_cached("INSERT INTO photo (hash, data) VALUES (?1, ?2) ON CONFLICT DO NOTHING")
            .and_then(|mut row| row.execute(params![hash.0.as_slice(), bytes]))
            .map_err(|e| self.sql(e))?;
        if new > 0 {
            self.photos.push(hash);
        }
        Ok(hash)
    }

    /// Writes a new record.
    ///
    /// # Errors
    ///
    /// When its name is taken or no name, when it cannot belong where it should, when it lacks what its kind needs, or
    /// when the stamp does not say who, when and why.
    pub fn add(&mut self, kind: Kind, content: &Content, stamp: &Stamp) -> Result<Revision, Error> {
        let record = self
            .conn
            .prepare_cached("SELECT coalesce(max(id), 0) + 1 FROM record")
            .and_then(|mut row| row.query_row([], |row| row.get(0)))
            .map_err(|e| self.sql(e))?;
        self.append(RecordId(record), kind, 1, content, stamp)
    }

    /// Writes the next revision of a record. `from` is the number of the revision that the edit started from. Content
    /// that is the same already is not written again.
    ///
    /// # Errors
    ///
    /// When somebody else wrote a newer one meanwhile: with both versions. Else as [`Change::add`].
    pub fn edit(
        &mut self,
        record: RecordId,
        from: i64,
        content: &Content,
        stamp: &Stamp,
    ) -> Result<Revision, Error> {
        let now = self.last(record)?;
        if now.number != from {
            let started_from = study::revision(self.conn, record, from)
                .map_err(|e| self.sql(e))?
                .ok_or(Error::NoRevision { record, number: from })?;
            return Err(Error::Stale(Box::new(Stale {
                started_from,
                now,
                yours: content.clone(),
            })));
        }
        if now.content == *content {
            return Ok(now);
        }
        self.append(record, now.kind, now.number + 1, content, stamp)
    }

    /// Takes a record out of the study. It stays readable, and may be brought back by [`Change::go_back`].
    ///
    /// # Errors
    ///
    /// As [`Change::edit`].
    pub fn withdraw(
        &mut self,
        record: RecordId,
        from: i64,
        stamp: &Stamp,
    ) -> Result<Revision, Error> {
        let mut content = self.last(record)?.content;
        content.withdrawn = true;
        self.edit(record, from, &content, stamp)
    }

    /// Undoes: writes a revision that says what revision `to` said.
    ///
    /// # Errors
    ///
    /// When there is no revision `to`; else as [`Change::edit`].
    pub fn go_back(
        &mut self,
        record: RecordId,
        from: i64,
        to: i64,
        stamp: &Stamp,
    ) -> Result<Revision, Error> {
        let then = study::revision(self.conn, record, to)
            .map_err(|e| self.sql(e))?
            .ok_or(Error::NoRevision { record, number: to })?;
        self.edit(record, from, &then.content, stamp)
    }

    /// Writes a revision of a history again, with its own stamp, record and number.
    ///
    /// # Errors
    ///
    /// When it does not follow what was written before it, or its entry is not the one that comes out.
    pub fn replay(&mut self, revision: &Revision) -> Result<(), Error> {
        let seq = revision.seq;
        let bad = |why: String| Error::BadHistory { seq, why };
        if seq != self.head.count + 1 {
            return Err(bad(format!("the one before it is {}", self.head.count)));
        }
        let before = study::last(self.conn, revision.record).map_err(|e| self.sql(e))?;
        match &before {
            None if revision.number != 1 => {
                return Err(bad(format!(
                    "it is revision {} of record {}, whose first is missing",
                    revision.number, revision.record
                )));
            }
            Some(before) if before.kind != revision.kind => {
                return Err(bad(format!(
                    "record {} was of a {} and is of a {}",
                    revision.record, before.kind, revision.kind
                )));
            }
            Some(before) if before.number + 1 != revision.number => {
                return Err(bad(format!(
                    "record {} has revision {} before it, and this is revision {}",
                    revision.record, before.number, revision.number
                )));
            }
            _ => {}
        }
        let Revision { record, kind, number, content, stamp, .. } = revision;
        let written = self.append(*record, *kind, *number, content, stamp)?;
        if written.entry != revision.entry {
            return Err(bad(format!(
                "its entry is {}, and {} comes out: it was changed since",
                revision.entry, written.entry
            )));
        }
        Ok(())
    }

    /// Everything that was kept is shown by some record.
    pub(crate) fn finish(&self) -> Result<(), Error> {
        for hash in &self.photos {
            let shown: bool = self
                .conn
                .prepare_cached("SELECT EXISTS (SELECT 1 FROM revision WHERE photo = ?1)")
                .and_then(|mut row| row.query_row([hash.0.as_slice()], |row| row.get(0)))
                .map_err(|e| self.sql(e))?;
            if !shown {
                return Err(Error::Lacks { kind: Kind::Photo, what: "a record that shows it" });
            }
        }
        Ok(())
    }

    fn append(
        &mut self,
        record: RecordId,
        kind: Kind,
        number: i64,
        content: &Content,
        stamp: &Stamp,
    ) -> Result<Revision, Error> {
        said(stamp)?;
        name(kind, &content.name)?;
        let bytes = content.text.len() as u64;
        if bytes > MOST_TEXT_BYTES {
            return Err(Error::TooLarge { what: "the text", bytes, most: MOST_TEXT_BYTES });
        }
        self.belongs(kind, content)?;
        self.is_free(record, kind, content)?;
        let mut revision = Revision {
            seq: self.head.count + 1,
            record,
            kind,
            number,
            stamp: stamp.clone(),
            content: content.clone(),
            entry: self.head.entry,
        };
        revision.entry = chain::entry(self.head.entry, &revision);
        self.insert(&revision).map_err(|e| self.sql(e))?;
        self.head = Head { count: revision.seq, entry: revision.entry };
        Ok(revision)
    }

    fn insert(&self, revision: &Revision) -> rusqlite::Result<()> {
        let Revision { seq, record, kind, number, stamp, content, entry } = revision;
        if *number == 1 {
            self.conn
                .prepare_cached("INSERT INTO record (id, kind) VALUES (?1, ?2)")?
                .execute(params![record.0, kind.word()])?;
        }
        self.conn
            .prepare_cached(
                "INSERT INTO revision (seq, record, kind, number, name, author, time, reason,
                   withdrawn, parent, rests_on, photo, form, entry)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14)",
            )?
            .execute(params![
                seq,
                record.0,
                kind.word(),
                number,
                content.name,
                stamp.author,
                stamp.time,
                stamp.reason,
                i64::from(content.withdrawn),
                content.parent.map(|id| id.0),
                content.rests_on,
                content.photo.as_ref().map(|hash| hash.0.as_slice()),
                content.form.word(),
                entry.0.as_slice(),
            ])?;
        self.conn
            .prepare_cached("INSERT INTO content (seq, text) VALUES (?1, ?2)")?
            .execute(params![seq, content.text])
            .map(|_| ())
    }

    /// Where it belongs, what it came out of, and its photo.
    fn belongs(&self, kind: Kind, content: &Content) -> Result<(), Error> {
        let wrong = |to: String| Error::WrongParent { kind, to };
        if let Some(parent) = content.parent {
            let found: Option<String> = self
                .conn
                .prepare_cached("SELECT kind FROM record WHERE id = ?1")
                .and_then(|mut row| row.query_row([parent.0], |row| row.get(0)).optional())
                .map_err(|e| self.sql(e))?;
            let found = found.ok_or(Error::NoRecord { record: parent })?;
            if !kind.may_belong_to().iter().any(|k| k.word() == found) {
                return Err(wrong(format!("a {found}")));
            }
        }
        match (content.rests_on, content.parent) {
            (Some(_), _) if !kind.comes_out_of_another() => {
                return Err(wrong("a revision of another record".to_owned()));
            }
            (Some(seq), Some(parent)) => {
                let of: Option<i64> = self
                    .conn
                    .prepare_cached("SELECT record FROM revision WHERE seq = ?1")
                    .and_then(|mut row| row.query_row([seq], |row| row.get(0)).optional())
                    .map_err(|e| self.sql(e))?;
                if of != Some(parent.0) {
                    return Err(wrong(format!(
                        "entry {seq}, which is no revision of record {parent}"
                    )));
                }
            }
            (None, None) if !kind.comes_out_of_another() => {}
            (None, Some(_)) if !kind.comes_out_of_another() => {}
            _ => {
                return Err(Error::Lacks {
                    kind,
                    what: "the record that it came out of, and its revision",
                });
            }
        }
        match content.photo {
            None if kind == Kind::Photo => Err(Error::Lacks { kind, what: "a picture" }),
            None => Ok(()),
            Some(hash) => {
                let there: bool = self
                    .conn
                    .prepare_cached("SELECT EXISTS (SELECT 1 FROM photo WHERE hash = ?1)")
                    .and_then(|mut row| row.query_row([hash.0.as_slice()], |row| row.get(0)))
                    .map_err(|e| self.sql(e))?;
                if there { Ok(()) } else { Err(Error::NoPhoto { hash }) }
            }
        }
    }

    /// No other record of the kind has the name, and there is one study.
    fn is_free(&self, record: RecordId, kind: Kind, content: &Content) -> Result<(), Error> {
        let taken = |record| Error::NameTaken { kind, name: content.name.clone(), record };
        if kind == Kind::Study {
            let other: Option<i64> = self
                .conn
                .prepare_cached("SELECT id FROM record WHERE kind = 'study' AND id <> ?1")
                .and_then(|mut row| row.query_row([record.0], |row| row.get(0)).optional())
                .map_err(|e| self.sql(e))?;
            if let Some(other) = other {
                return Err(taken(RecordId(other)));
            }
            if content.withdrawn {
                return Err(Error::Lacks { kind, what: "to stay: everything belongs to it" });
            }
        }
        if content.withdrawn {
            return Ok(());
        }
        match self.named(kind, &content.name)? {
            Some(other) if other.record != record => Err(taken(other.record)),
            _ => Ok(()),
        }
    }
}

/// Who, when and why are said.
fn said(stamp: &Stamp) -> Result<(), Error> {
    let blank = |text: &str| text.trim().is_empty();
    let what = if blank(&stamp.author) {
        "who makes it"
    } else if blank(&stamp.reason) {
        "why it is made"
    } else if !is_time(&stamp.time) {
        "when it is made"
    } else {
        return Ok(());
    };
    Err(Error::NoStamp { what })
}

/// `2026-11-25T08:30:00Z`.
fn is_time(text: &str) -> bool {
    let pattern = b"0000-00-00T00:00:00Z";
    text.len() == pattern.len()
        && text.bytes().zip(pattern).all(|(given, wanted)| match wanted {
            b'0' => given.is_ascii_digit(),
            wanted => given == *wanted,
        })
}

fn name(kind: Kind, name: &str) -> Result<(), Error> {
    let why = if name.is_empty() {
        "it is empty"
    } else if name.trim() != name {
        "it begins or ends with a space"
    } else if name.chars().count() > LONGEST_NAME {
        "it has more than 200 characters"
    } else if name.chars().any(char::is_control) {
        "it holds a character that cannot be printed"
    } else {
        return Ok(());
    };
    Err(Error::BadName { kind, name: name.to_owned(), why })
}
