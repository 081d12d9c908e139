//! Is the file what was saved?

use crate::chain;
use crate::error::Error;
use crate::revision::{Hash, Head, RecordId, Revision};
use crate::schema::{self, VERSION};
use crate::study::{Study, all_revisions, hash, whole};
use crate::{Kind, Watch};
use rusqlite::OptionalExtension;
use std::collections::BTreeMap;
use std::fmt;
use std::path::Path;
use std::str::FromStr;

/// A head as a paper prints it, to look for in a study: 16 hex digits or more, and the count where it is given.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mark {
    digits: String,
    count: Option<i64>,
}

impl FromStr for Mark {
    type Err = &'static str;

    /// `0123456789abcdef` or `0123456789abcdef-57`. Blanks are passed over, also those without width that a paper may have
    /// where its line was broken.
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let blank = |c: char| c.is_whitespace() || matches!(c, '\u{200b}' | '\u{ad}');
        let text: String = text.chars().filter(|c| !blank(*c)).collect();
        let text = text.to_ascii_lowercase();
        let (digits, count) = match text.split_once('-') {
            Some((digits, count)) => (digits, Some(count)),
            None => (text.as_str(), None),
        };
        let count = match count.map(str::parse) {
            None => None,
            Some(Ok(count)) if count > 0 => Some(count),
            Some(_) => return Err("the count after the '-' is no whole number above zero"),
        };
        if !digits.bytes().all(|b| b.is_ascii_hexdigit()) {
            return Err("a head has the digits 0 to 9 and a to f only");
        }
        if !(16..=64).contains(&digits.len()) {
            return Err("a head has 16 digits as papers print it, or up to 64");
        }
        Ok(Self { digits: digits.to_owned(), count })
    }
}

impl fmt::Display for Mark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.digits)?;
        self.count.map_or(Ok(()), |count| write!(f, "-{count}"))
    }
}

impl Mark {
    fn is(&self, seq: i64, entry: Hash) -> bool {
        self.count.is_none_or(|count| count == seq) && entry.to_string().starts_with(&self.digits)
    }
}

/// Something that is not as it was saved.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Fault {
    /// The file itself: pages, indexes, references.
    File {
        /// What the database says.
        why: String,
    },
    /// A table, an index or a trigger is missing, changed, or one too many.
    Tables {
        /// Its name.
        name: String,
        /// What is wrong with it.
        why: &'static str,
    },
    /// A revision that does not fit its entry: the first broken link of the chain.
    Link {
        /// The revision as it stands there now.
        revision: Box<Revision>,
    },
    /// A revision that cannot be read at all.
    Unreadable {
        /// Its place in the chain.
        seq: i64,
        /// What the database says.
        why: String,
    },
    /// An entry is missing.
    Gap {
        /// Its place in the chain.
        seq: i64,
    },
    /// Entries were cut off the end of the chain.
    CutOff {
        /// Entries that are there.
        there: i64,
        /// Entries that were written.
        written: i64,
    },
    /// A record whose revisions are not numbered 1, 2, 3, ...
    Numbers {
        /// The record.
        record: RecordId,
        /// Where in the chain.
        seq: i64,
    },
    /// A record without any revision.
    Empty {
        /// The record.
        record: RecordId,
    },
    /// Bytes that are not those of the photo's hash.
    Photo {
        /// What they should be.
        hash: Hash,
        /// The records that show it.
        shown_by: String,
    },
    /// A photo that is not there.
    NoPhoto {
        /// Which.
        hash: Hash,
        /// The records that show it.
        shown_by: String,
    },
    /// A photo that no revision speaks of.
    LoosePhoto {
        /// Which.
        hash: Hash,
    },
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::File { why } => write!(f, "the file: {why}"),
            Self::Tables { name, why } => {
                write!(f, "'{name}' is {why}: the tables are not those of version {VERSION}")
            }
            Self::Link { revision: r } => write!(
                f,
                "entry {}, revision {} of {} '{}' by {} at {}, is not what was saved: the first broken link of the chain",
                r.seq, r.number, r.kind, r.content.name, r.stamp.author, r.stamp.time
            ),
            Self::Unreadable { seq, why } => write!(f, "entry {seq} cannot be read: {why}"),
            Self::Gap { seq } => write!(f, "entry {seq} is missing from the chain"),
            Self::CutOff { there, written } => write!(
                f,
                "the end of the chain is missing: {written} entries were written, and {there} are there"
            ),
            Self::Numbers { record, seq } => write!(
                f,
                "the revisions of record {record} are not numbered in their order, first at entry {seq}"
            ),
            Self::Empty { record } => write!(f, "record {record} has no revision"),
            Self::Photo { hash, shown_by } => {
                write!(f, "the photo of {shown_by} is not the one that was saved, {hash}")
            }
            Self::NoPhoto { hash, shown_by } => {
                write!(f, "the photo of {shown_by} is missing, {hash}")
            }
            Self::LoosePhoto { hash } => {
                write!(
                    f,
                    "the photo {hash} belongs to no record, and was not saved by this program"
                )
            }
        }
    }
}

/// What came out of a check.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Checked {
    /// The end of the chain.
    pub head: Head,
    /// Records, each with its revisions.
    pub records: u64,
    /// Photos.
    pub photos: u64,
    /// What is not as it was saved; empty when all is well.
    pub faults: Vec<Fault>,
    /// Where in the chain the head that was asked for stands; none: nowhere, or none was asked for.
    pub mark_at: Option<i64>,
}

/// Checks every row and every photo of a study, and looks for a head that was kept elsewhere.
///
/// # Errors
///
/// When there is no study, or when `watch` says stop. What is wrong inside of it is an answer, not an error.
pub fn check(path: &Path, mark: Option<&Mark>, watch: &mut Watch<'_>) -> Result<Checked, Error> {
    let study = Study::open_as_it_is(path)?;
    // One state is looked at from beginning to end, whatever is written meanwhile.
    let state = study.conn.unchecked_transaction().map_err(|e| study.sql(e))?;
    let found = schema::version(&study.conn).map_err(|e| study.sql(e))?;
    if found > VERSION {
        return Err(Error::Newer { path: path.to_path_buf(), found });
    }
    let mut out = Checked {
        head: Head { count: 0, entry: chain::beginning() },
        records: 0,
        photos: 0,
        faults: Vec::new(),
        mark_at: None,
    };
    let looked = tables(&study, &mut out)
        .and_then(|()| file(&study, &mut out))
        .map_err(|e| study.sql(e))
        .and_then(|()| links(&study, mark, &mut out, watch))
        .and_then(|()| photos(&study, &mut out, watch));
    match looked {
        Ok(()) => {}
        Err(stopped @ Error::Stopped) => return Err(stopped),
        // A page that cannot be read ends the look; what was found until then is told with it.
        Err(e) => out.faults.push(Fault::File { why: e.to_string() }),
    }
    state.finish().map_err(|e| study.sql(e))?;
    Ok(out)
}

fn tables(study: &Study, out: &mut Checked) -> rusqlite::Result<()> {
    let drawn = schema::drawn(&study.conn)?;
    let should = schema::as_it_should_be()?;
    let mut fault = |name: &str, why| {
        out.faults.push(Fault::Tables { name: name.to_owned(), why });
    };
    for (kind, name, sql) in should {
        match drawn.iter().find(|(k, n, _)| k == kind && n == name) {
            None => fault(name, "missing"),
            Some((_, _, found)) if found != sql => fault(name, "changed"),
            Some(_) => {}
        }
    }
    for (kind, name, _) in &drawn {
        if !should.iter().any(|(k, n, _)| k == kind && n == name) {
            fault(name, "one too many");
        }
    }
    if drawn == *should && schema::version(&study.conn)? != VERSION {
        fault("user_version", "another number");
    }
    Ok(())
}

fn file(study: &Study, out: &mut Checked) -> rusqlite::Result<()> {
    let mut rows = study.conn.prepare("PRAGMA integrity_check(5)")?;
    let said: Vec<String> = rows.query_map([], |row| row.get(0))?.collect::<Result<_, _>>()?;
    out.faults.extend(said.into_iter().filter(|why| why != "ok").map(|why| Fault::File { why }));
    let mut rows = study.conn.prepare("PRAGMA foreign_key_check")?;
    let broken: Vec<(String, Option<i64>, String)> = rows
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?
        .collect::<Result<_, _>>()?;
    // A photo that is missing is told below, by the records that show it.
    for (table, row, to) in broken.into_iter().filter(|(_, _, to)| to != "photo").take(5) {
        let row = row.map_or_else(String::new, |row| format!(" {row}"));
        out.faults
            .push(Fault::File { why: format!("{table}{row} speaks of a {to} that is not there") });
    }
    Ok(())
}

/// Walks the chain.
fn links(
    study: &Study,
    mark: Option<&Mark>,
    out: &mut Checked,
    watch: &mut Watch<'_>,
) -> Result<(), Error> {
    let sql = |e| study.sql(e);
    let of: i64 =
        study.conn.query_row("SELECT count(*) FROM revision", [], |row| row.get(0)).map_err(sql)?;
    let kinds: BTreeMap<i64, String> = {
        let mut rows = study.conn.prepare("SELECT id, kind FROM record").map_err(sql)?;
        rows.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
            .and_then(Iterator::collect)
            .map_err(sql)?
    };
    let mut numbers: BTreeMap<i64, i64> = BTreeMap::new();
    let mut rows = study.conn.prepare(&all_revisions()).map_err(sql)?;
    let mut rows = rows.query([]).map_err(sql)?;
    // The first fault of the chain is told; those after it may only follow from it.
    let mut whole_so_far = true;
    while let Some(row) = rows.next().map_err(sql)? {
        let seq: i64 = row.get(0).map_err(sql)?;
        let entry = hash(row, 13);
        if whole_so_far {
            let fault = if seq != out.head.count + 1 {
                Some(Fault::Gap { seq: out.head.count + 1 })
            } else {
                match whole(row) {
                    Err(e) => {
                        let no_text =
                            matches!(row.get_ref(14), Ok(rusqlite::types::ValueRef::Null));
                        let why =
                            if no_text { "its text is missing".to_owned() } else { e.to_string() };
                        Some(Fault::Unreadable { seq, why })
                    }
                    Ok(revision) => {
                        let record = revision.record.0;
                        let number = numbers.entry(record).or_insert(0);
                        *number += 1;
                        let fits = chain::entry(out.head.entry, &revision) == revision.entry
                            && kinds.get(&record).map(String::as_str) == Some(revision.kind.word());
                        if !fits {
                            Some(Fault::Link { revision: Box::new(revision) })
                        } else if *number != revision.number {
                            Some(Fault::Numbers { record: revision.record, seq })
                        } else {
                            None
                        }
                    }
                }
            };
            whole_so_far = fault.is_none();
            out.faults.extend(fault);
            if let (true, Some(mark), Ok(entry)) = (whole_so_far, mark, &entry)
                && mark.is(seq, *entry)
            {
                out.mark_at = Some(seq);
            }
        }
        if let Ok(entry) = entry {
            out.head = Head { count: seq, entry };
        }
        if !watch(seq.unsigned_abs(), of.unsigned_abs()) {
            return Err(Error::Stopped);
        }
    }
    if whole_so_far {
        for id in kinds.keys().filter(|id| !numbers.contains_key(id)) {
            out.faults.push(Fault::Empty { record: RecordId(*id) });
        }
    }
    out.records = kinds.len() as u64;
    // The table's own count of rows ever written.
    let written: Option<i64> = study
        .conn
        .query_row("SELECT seq FROM sqlite_sequence WHERE name = 'revision'", [], |row| row.get(0))
        .optional()
        .map_err(sql)?;
    let written = written.unwrap_or(0);
    if written != out.head.count {
        out.faults.push(Fault::CutOff { there: out.head.count, written });
    }
    Ok(())
}

fn photos(study: &Study, out: &mut Checked, watch: &mut Watch<'_>) -> Result<(), Error> {
    let sql = |e| study.sql(e);
    let shown_by = |hash: &[u8]| -> rusqlite::Result<Option<String>> {
        let mut rows = study.conn.prepare_cached(
            "SELECT DISTINCT kind, name FROM revision WHERE photo = ?1 ORDER BY seq LIMIT 3",
        )?;
        let names: Vec<String> = rows
            .query_map([hash], |row| {
                Ok(format!("{} '{}'", row.get::<_, String>(0)?, row.get::<_, String>(1)?))
            })?
            .collect::<Result<_, _>>()?;
        Ok((!names.is_empty()).then(|| names.join(", ")))
    };
    let of: i64 =
        study.conn.query_row("SELECT count(*) FROM photo", [], |row| row.get(0)).map_err(sql)?;
    let mut rows = study.conn.prepare("SELECT hash, data FROM photo ORDER BY id").map_err(sql)?;
    let mut rows = rows.query([]).map_err(sql)?;
    while let Some(row) = rows.next().map_err(sql)? {
        out.photos += 1;
        let hash = hash(row, 0).map_err(sql)?;
        let kept = row.get_ref(1).map_err(sql)?.as_blob().is_ok_and(|data| Hash::of(data) == hash);
        match shown_by(&hash.0).map_err(sql)? {
            None => out.faults.push(Fault::LoosePhoto { hash }),
            Some(shown_by) if !kept => out.faults.push(Fault::Photo { hash, shown_by }),
            Some(_) => {}
        }
        if !watch(out.photos, of.unsigned_abs()) {
            return Err(Error::Stopped);
        }
    }
    let mut rows = study
        .conn
        .prepare(
            "SELECT DISTINCT r.photo FROM revision r
             WHERE r.photo IS NOT NULL AND NOT EXISTS (SELECT 1 FROM photo p WHERE p.hash = r.photo)
             LIMIT 5",
        )
        .map_err(sql)?;
    let missing: Vec<[u8; 32]> =
        rows.query_map([], |row| row.get(0)).and_then(Iterator::collect).map_err(sql)?;
    for hash in missing {
        let shown_by = shown_by(&hash).map_err(sql)?.unwrap_or_else(|| Kind::Photo.to_string());
        out.faults.push(Fault::NoPhoto { hash: Hash(hash), shown_by });
    }
    Ok(())
}
