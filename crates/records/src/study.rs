//! A study that is open.

use crate::Kind;
use crate::chain;
use crate::change::Change;
use crate::error::Error;
use crate::revision::{Content, Form, Hash, Head, Listed, RecordId, Revision, Stamp};
use crate::schema::{self, APPLICATION_ID, VERSION};
use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags, OptionalExtension, Row, TransactionBehavior, params};
use std::collections::BTreeMap;
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

/// The largest photo file taken, bytes.
pub const MOST_PHOTO_BYTES: u64 = 256 << 20;
/// The longest text of a record taken, bytes.
pub const MOST_TEXT_BYTES: u64 = 16 << 20;
/// How long a writer waits for another one.
const WAIT: Duration = Duration::from_secs(5);
/// How long a checkpoint waits for readers: it is tried again after the next change.
const WAIT_FOR_READERS: Duration = Duration::from_millis(100);
/// The journal is brought into the file when it is longer than this, bytes.
const LONG_JOURNAL: u64 = 4 << 20;

/// Columns of a revision without its text.
const LISTED: &str = "r.seq, r.record, r.kind, r.number, r.author, r.time, r.reason, r.name, r.parent, r.rests_on, r.photo, r.withdrawn";
/// The text and what belongs to it.
const WHOLE: &str = ", r.form, r.entry, t.text";
/// Revisions with their texts. A text that is missing is no reason to pass a revision over.
const WITH_TEXT: &str = "FROM revision r LEFT JOIN content t ON t.seq = r.seq";
/// The last revision of each record.
const LAST: &str =
    "NOT EXISTS (SELECT 1 FROM revision l WHERE l.record = r.record AND l.number > r.number)";
/// The numbers of a kind's records that are not withdrawn. Few are, so those are sought, and all others are counted in the
/// index of kinds alone: ten thousand rows need not be looked at to know how many there are.
const STANDING: &str = "SELECT k.id FROM record k WHERE k.kind = ?1 AND ?2 IS NULL AND k.id NOT IN
     (SELECT r.record FROM revision r WHERE r.withdrawn = 1
      AND NOT EXISTS (SELECT 1 FROM revision l WHERE l.record = r.record AND l.number > r.number))";
/// The same of those that belong to one record.
const STANDING_UNDER: &str = "SELECT r.record FROM revision r
     WHERE r.kind = ?1 AND r.parent = ?2 AND r.withdrawn = 0
     AND NOT EXISTS (SELECT 1 FROM revision l WHERE l.record = r.record AND l.number > r.number)";

/// A part of a list: of which records, in which order, and from where to where.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Part {
    /// Records of this kind.
    pub kind: Kind,
    /// Only those that belong to this record.
    pub under: Option<RecordId>,
    /// The latest record first, instead of the oldest.
    pub newest_first: bool,
    /// So many of them are passed over.
    pub skip: usize,
    /// So many are listed at most.
    pub most: usize,
}

/// A study file that is open.
#[derive(Debug)]
pub struct Study {
    pub(crate) conn: Connection,
    path: PathBuf,
    /// Let go after the connection.
    _held: Held,
}

impl Study {
    /// Makes a new study whose first record is the study itself.
    ///
    /// The file is made under another name and then given its own, so a broken run leaves no half study.
    ///
    /// # Errors
    ///
    /// When a file of that name is there, when its folder may not be written, or when the first record is refused.
    pub fn create(path: &Path, content: &Content, stamp: &Stamp) -> Result<Self, Error> {
        Self::rebuild(path, |change| change.add(Kind::Study, content, stamp))?;
        Self::open(path)
    }

    /// Makes a new study out of a history: `fill` writes everything, in one go. What it answers is handed on.
    ///
    /// # Errors
    ///
    /// As [`Study::create`], and whatever `fill` refuses; then no file is left.
    pub fn rebuild<T, E: From<Error>>(
        path: &Path,
        fill: impl FnOnce(&mut Change<'_>) -> Result<T, E>,
    ) -> Result<T, E> {
        let new = NewFile::beside(path)?;
        let sql = |e| Error::of(path, e);
        let mut conn =
            Connection::open_with_flags(&new.temporary, flags_to_write()).map_err(sql)?;
        settle(&conn).map_err(sql)?;
        // Nobody else sees this file yet: it is brought to the disk once, when it is whole.
        (|| {
            conn.pragma_update(None, "journal_mode", "memory")?;
            conn.pragma_update(None, "synchronous", "off")?;
            conn.pragma_update(None, "application_id", APPLICATION_ID)?;
            schema::migrate(&mut conn)
        })()
        .map_err(sql)?;
        let tx = conn.transaction().map_err(sql)?;
        let mut change = Change::new(&tx, path)?;
        let out = fill(&mut change)?;
        change.finish()?;
        tx.commit().map_err(sql)?;
        conn.pragma_update(None, "journal_mode", "wal").map_err(sql)?;
        conn.close().map_err(|(_, e)| sql(e))?;
        new.keep(path)?;
        Ok(out)
    }

    /// Opens a study to read and write.
    ///
    /// # Errors
    ///
    /// When there is none, when the file is something else, newer than this program, damaged, or may not be written.
    pub fn open(path: &Path) -> Result<Self, Error> {
        let held = Held::of(path)?;
        let sql = |e| Error::of(path, e);
        let mut conn = Connection::open_with_flags(path, flags_to_write()).map_err(sql)?;
        (|| {
            settle(&conn)?;
            conn.pragma_update(None, "journal_mode", "wal")?;
            // The journal reaches the disk before a change is answered, and so it does on a disk with a cache.
            conn.pragma_update(None, "synchronous", "full")?;
            conn.pragma_update(None, "fullfsync", "on")?;
            conn.pragma_update(None, "checkpoint_fullfsync", "on")?;
            // The journal is brought in by `checkpoint`, never halfway.
            conn.pragma_update(None, "wal_autocheckpoint", 0)?;
            if schema::version(&conn)? <= VERSION { schema::migrate(&mut conn) } else { Ok(()) }
        })()
        .map_err(sql)?;
        let study = Self { conn, path: path.to_path_buf(), _held: held };
        study.known()?;
        Ok(study)
    }

    /// Opens a study to read. Others may write meanwhile.
    ///
    /// # Errors
    ///
    /// As [`Study::open`], but for the right to write.
    pub fn open_to_read(path: &Path) -> Result<Self, Error> {
        let study = Self::open_as_it_is(path)?;
        study.known()?;
        Ok(study)
    }

    /// Opens a study to read, whatever its tables look like.
    pub(crate) fn open_as_it_is(path: &Path) -> Result<Self, Error> {
        let held = Held::of(path)?;
        let open = |name: &Path, flags| -> rusqlite::Result<Connection> {
            let conn = Connection::open_with_flags(name, flags)?;
            settle(&conn)?;
            conn.pragma_update(None, "query_only", "on")?;
            schema::version(&conn)?;
            Ok(conn)
        };
        // With the right to write, the last reader takes the journal's file away; without it, it would stay behind.
        let conn = open(path, flags_to_write()).or_else(|e| {
            let journal = beside(path, "-wal");
            let quiet = std::fs::metadata(&journal).map_or(true, |m| m.len() == 0);
            // A folder that may not be written, and nobody writes: the file is read as it lies.
            match immutable(path) {
                Some(uri) if quiet => open(
                    Path::new(&uri),
                    OpenFlags::SQLITE_OPEN_READ_ONLY
                        | OpenFlags::SQLITE_OPEN_URI
                        | OpenFlags::SQLITE_OPEN_NO_MUTEX,
                )
                .map_err(|_| e),
                _ => Err(e),
            }
        });
        let conn = conn.map_err(|e| Error::of(path, e))?;
        Ok(Self { conn, path: path.to_path_buf(), _held: held })
    }

    /// Refuses a newer study, and one whose tables are not those of its version.
    fn known(&self) -> Result<(), Error> {
        let found = schema::version(&self.conn).map_err(|e| self.sql(e))?;
        if found > VERSION {
            return Err(Error::Newer { path: self.path.clone(), found });
        }
        let drawn = schema::drawn(&self.conn).map_err(|e| self.sql(e))?;
        let should = schema::as_it_should_be().map_err(|e| self.sql(e))?;
        if drawn != *should {
            return Err(Error::Damaged {
                path: self.path.clone(),
                why: format!("its tables are not those of version {VERSION}"),
            });
        }
        Ok(())
    }

    /// Writes: what `work` does is there as a whole when this answers, and outlives a power cut; or nothing of it is.
    ///
    /// # Errors
    ///
    /// What `work` refuses; and when another program writes for longer than 5 s, or the disk is full.
    pub fn change<T, E: From<Error>>(
        &mut self,
        work: impl FnOnce(&mut Change<'_>) -> Result<T, E>,
    ) -> Result<T, E> {
        let path = &self.path;
        let sql = |e| Error::of(path, e);
        let tx =
            self.conn.transaction_with_behavior(TransactionBehavior::Immediate).map_err(sql)?;
        let mut change = Change::new(&tx, path)?;
        let out = work(&mut change)?;
        change.finish()?;
        let photo = change.has_new_photo();
        tx.commit().map_err(sql)?;
        let journal = || std::fs::metadata(beside(path, "-wal")).map_or(0, |m| m.len());
        if photo || journal() > LONG_JOURNAL {
            // The change is safe in the journal already; what cannot be brought in now is brought in later.
            let _ = self.checkpoint();
        }
        Ok(out)
    }

    /// Brings the journal into the file and empties it, unless somebody is reading an older state.
    ///
    /// # Errors
    ///
    /// When the disk fails.
    pub fn checkpoint(&self) -> Result<(), Error> {
        let work = || {
            self.conn.busy_timeout(WAIT_FOR_READERS)?;
            self.conn.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))?;
            self.conn.busy_timeout(WAIT)
        };
        work().map_err(|e| self.sql(e))
    }

    /// Brings the journal in and closes the file.
    ///
    /// # Errors
    ///
    /// When the disk fails. What was saved is safe all the same.
    pub fn close(self) -> Result<(), Error> {
        if !self.conn.is_readonly("main").unwrap_or(true) {
            let _ = self.checkpoint();
        }
        let Self { conn, path, _held } = self;
        conn.close().map_err(|(_, e)| Error::of(&path, e))
    }

    /// The file.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    pub(crate) fn sql(&self, error: rusqlite::Error) -> Error {
        Error::of(&self.path, error)
    }

    /// The end of the chain.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn head(&self) -> Result<Head, Error> {
        head(&self.conn).map_err(|e| self.sql(e))
    }

    /// The end that the chain had after its last revision of these kinds: the state that they are in, whatever was
    /// written of other kinds since.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn head_of(&self, kinds: &[Kind]) -> Result<Head, Error> {
        let words: Vec<String> = kinds.iter().map(|kind| format!("'{}'", kind.word())).collect();
        let of = || {
            // Back from the end ('+' keeps the index of names out): the first one met is it, and mostly it is near. Kind by
            // kind, one that the study does not have would be sought through the whole chain.
            self.conn
                .prepare_cached(&format!(
                    "SELECT seq, entry FROM revision WHERE +kind IN ({}) ORDER BY seq DESC LIMIT 1",
                    words.join(", ")
                ))?
                .query_row([], |row| Ok(Head { count: row.get(0)?, entry: hash(row, 1)? }))
                .optional()
                .map(|head| head.unwrap_or(Head { count: 0, entry: chain::beginning() }))
        };
        of().map_err(|e| self.sql(e))
    }

    /// The last revision of a record.
    ///
    /// # Errors
    ///
    /// When there is no such record, or the file cannot be read.
    pub fn last(&self, record: RecordId) -> Result<Revision, Error> {
        last(&self.conn, record).map_err(|e| self.sql(e))?.ok_or(Error::NoRecord { record })
    }

    /// One revision of a record, from 1.
    ///
    /// # Errors
    ///
    /// When there is none, or the file cannot be read.
    pub fn revision(&self, record: RecordId, number: i64) -> Result<Revision, Error> {
        revision(&self.conn, record, number)
            .map_err(|e| self.sql(e))?
            .ok_or(Error::NoRevision { record, number })
    }

    /// All revisions of a record, the first one first.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn history(&self, record: RecordId) -> Result<Vec<Revision>, Error> {
        let all = || -> rusqlite::Result<Vec<_>> {
            let mut rows = self.conn.prepare_cached(&format!(
                "SELECT {LISTED}{WHOLE} {WITH_TEXT} WHERE r.record = ?1 ORDER BY r.number"
            ))?;
            rows.query_map([record.0], whole)?.collect()
        };
        all().map_err(|e| self.sql(e))
    }

    /// The record of a kind that has a name and is not withdrawn.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn named(&self, kind: Kind, name: &str) -> Result<Option<Revision>, Error> {
        named(&self.conn, kind, name).map_err(|e| self.sql(e))
    }

    /// Every record of a kind that is not withdrawn, the oldest first, without its text.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn list(&self, kind: Kind) -> Result<Vec<Listed>, Error> {
        let all = || -> rusqlite::Result<Vec<_>> {
            let mut rows = self.conn.prepare_cached(&format!(
                "SELECT {LISTED} FROM revision r
                 WHERE r.kind = ?1 AND r.withdrawn = 0 AND {LAST} ORDER BY r.record"
            ))?;
            rows.query_map([kind.word()], listed)?.collect()
        };
        all().map_err(|e| self.sql(e))
    }

    /// A part of the records of a kind that are not withdrawn, without their texts: what a page shows of a long list.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn part(&self, part: &Part) -> Result<Vec<Listed>, Error> {
        let (standing, under) = standing(part.under);
        let order = if part.newest_first { "DESC" } else { "ASC" };
        let number = |n: usize| i64::try_from(n).unwrap_or(i64::MAX);
        let some = || -> rusqlite::Result<Vec<_>> {
            let mut rows = self.conn.prepare_cached(&format!(
                "SELECT {LISTED} FROM revision r
                 WHERE r.record IN ({standing} ORDER BY 1 {order} LIMIT ?3 OFFSET ?4) AND {LAST}
                 ORDER BY r.record {order}"
            ))?;
            let of = params![part.kind.word(), under, number(part.most), number(part.skip)];
            rows.query_map(of, listed)?.collect()
        };
        some().map_err(|e| self.sql(e))
    }

    /// How many records of a kind are not withdrawn, of all or of those that belong to a record.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn count(&self, kind: Kind, under: Option<RecordId>) -> Result<usize, Error> {
        let (standing, under) = standing(under);
        let count = || -> rusqlite::Result<i64> {
            self.conn
                .prepare_cached(&format!("SELECT count(*) FROM ({standing})"))?
                .query_row(params![kind.word(), under], |row| row.get(0))
        };
        Ok(usize::try_from(count().map_err(|e| self.sql(e))?).unwrap_or(0))
    }

    /// How many records of each kind are not withdrawn.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn counts(&self) -> Result<BTreeMap<Kind, usize>, Error> {
        let tell = |sql: &str| -> rusqlite::Result<BTreeMap<Kind, usize>> {
            let mut rows = self.conn.prepare_cached(sql)?;
            let rows = rows.query_map([], |row| Ok((row.get(0)?, row.get::<_, i64>(1)?)))?;
            let known = |(word, n): (String, i64)| {
                Kind::from_word(&word).map(|kind| (kind, usize::try_from(n).unwrap_or(0)))
            };
            rows.filter_map(|row| row.map(known).transpose()).collect()
        };
        let all = || -> rusqlite::Result<BTreeMap<Kind, usize>> {
            let mut counts = tell("SELECT kind, count(*) FROM record GROUP BY kind")?;
            // The rows as they lie: in the order of an index each would be sought by itself.
            let out = tell(&format!(
                "SELECT r.kind, count(*) FROM revision r WHERE r.withdrawn = 1 AND {LAST} GROUP BY +r.kind"
            ))?;
            for (kind, n) in out {
                let count = counts.entry(kind).or_default();
                *count = count.saturating_sub(n);
            }
            Ok(counts)
        };
        all().map_err(|e| self.sql(e))
    }

    /// The numbers alone of the records of a kind that are not withdrawn, the oldest first: of all, or of those that belong
    /// to a record.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn numbers(&self, kind: Kind, under: Option<RecordId>) -> Result<Vec<RecordId>, Error> {
        let (standing, under) = standing(under);
        let all = || -> rusqlite::Result<Vec<_>> {
            let mut rows = self.conn.prepare_cached(&format!("{standing} ORDER BY 1"))?;
            rows.query_map(params![kind.word(), under], |row| row.get(0).map(RecordId))?.collect()
        };
        all().map_err(|e| self.sql(e))
    }

    /// The names alone of the records of a kind that are not withdrawn, in no order.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn names(&self, kind: Kind) -> Result<Vec<(RecordId, String)>, Error> {
        let all = || -> rusqlite::Result<Vec<_>> {
            // The rows as they lie ('+' keeps the index of names out): each would be sought by itself else.
            let mut rows = self.conn.prepare_cached(&format!(
                "SELECT r.record, r.name FROM revision r
                 WHERE +r.kind = ?1 AND r.withdrawn = 0 AND {LAST}"
            ))?;
            rows.query_map([kind.word()], |row| Ok((RecordId(row.get(0)?), row.get(1)?)))?.collect()
        };
        all().map_err(|e| self.sql(e))
    }

    /// How many records of a kind came out of their parent as it stands now: sections' readings that are not older than
    /// their marks.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn count_current(&self, kind: Kind) -> Result<usize, Error> {
        let count = || -> rusqlite::Result<i64> {
            self.conn
                .prepare_cached(&format!(
                    "SELECT count(*) FROM revision r
                     WHERE +r.kind = ?1 AND r.withdrawn = 0 AND {LAST} AND r.rests_on =
                     (SELECT max(p.seq) FROM revision p WHERE p.record = r.parent)"
                ))?
                .query_row([kind.word()], |row| row.get(0))
        };
        Ok(usize::try_from(count().map_err(|e| self.sql(e))?).unwrap_or(0))
    }

    /// Every record that belongs to this one and is not withdrawn, the oldest first, without its text.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn under(&self, record: RecordId) -> Result<Vec<Listed>, Error> {
        let all = || -> rusqlite::Result<Vec<_>> {
            let mut rows = self.conn.prepare_cached(&format!(
                "SELECT {LISTED} FROM revision r
                 WHERE r.parent = ?1 AND r.withdrawn = 0 AND {LAST} ORDER BY r.record"
            ))?;
            rows.query_map([record.0], listed)?.collect()
        };
        all().map_err(|e| self.sql(e))
    }

    /// Every revision in the order of the chain, after a place in it. One is held at a time.
    ///
    /// # Errors
    ///
    /// What `each` refuses, and when the file cannot be read.
    pub fn each_after<E: From<Error>>(
        &self,
        seq: i64,
        mut each: impl FnMut(Revision) -> Result<(), E>,
    ) -> Result<(), E> {
        let sql = |e| self.sql(e);
        let mut rows = self
            .conn
            .prepare_cached(&format!(
                "SELECT {LISTED}{WHOLE} {WITH_TEXT} WHERE r.seq > ?1 ORDER BY r.seq"
            ))
            .map_err(sql)?;
        let mut rows = rows.query([seq]).map_err(sql)?;
        while let Some(row) = rows.next().map_err(sql)? {
            each(whole(row).map_err(sql)?)?;
        }
        Ok(())
    }

    /// The bytes of a photo.
    ///
    /// # Errors
    ///
    /// When there is none, when its bytes are no longer those that were saved, or when the file cannot be read.
    pub fn photo(&self, hash: Hash) -> Result<Vec<u8>, Error> {
        let data: Option<Vec<u8>> = self
            .conn
            .prepare_cached("SELECT data FROM photo WHERE hash = ?1")
            .and_then(|mut rows| rows.query_row([hash.0.as_slice()], |row| row.get(0)).optional())
            .map_err(|e| self.sql(e))?;
        let data = data.ok_or(Error::NoPhoto { hash })?;
        if Hash::of(&data) != hash {
            return Err(Error::Damaged {
                path: self.path.clone(),
                why: format!("photo {hash} is not the one that was saved"),
            });
        }
        Ok(data)
    }

    /// The hash and size, bytes, of every photo, those of older revisions too.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn photos(&self) -> Result<Vec<(Hash, u64)>, Error> {
        let all = || -> rusqlite::Result<Vec<_>> {
            let mut rows =
                self.conn.prepare_cached("SELECT hash, length(data) FROM photo ORDER BY id")?;
            rows.query_map([], |row| Ok((hash(row, 0)?, row.get::<_, i64>(1)?.unsigned_abs())))?
                .collect()
        };
        all().map_err(|e| self.sql(e))
    }
}

/// The records of a kind that are not withdrawn, as a query of one column: the kind is `?1`, the parent `?2`.
fn standing(under: Option<RecordId>) -> (&'static str, Option<i64>) {
    match under {
        None => (STANDING, None),
        Some(record) => (STANDING_UNDER, Some(record.0)),
    }
}

fn flags_to_write() -> OpenFlags {
    OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX
}

/// What holds for every connection. A study may come from anybody, so its own tables are not trusted.
fn settle(conn: &Connection) -> rusqlite::Result<()> {
    conn.busy_timeout(WAIT)?;
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false)?;
    conn.pragma_update(None, "cell_size_check", "on")?;
    conn.pragma_update(None, "foreign_keys", "on")
}

/// Study files that this program has open, and how often.
///
/// On Unix a program that closes a file, however it opened it, loses its locks on it, also those of its other connections;
/// then the next reader from outside takes the journal for a dead one and deletes it, with all that was saved. So nobody
/// looks into a file that is open here.
static HELD: Mutex<BTreeMap<String, usize>> = Mutex::new(BTreeMap::new());

/// A study file that is open here.
#[derive(Debug)]
struct Held(String);

impl Held {
    /// Looks at the file if it is not open here yet.
    fn of(path: &Path) -> Result<Self, Error> {
        let io = |e| Error::io(path, e);
        let mut all = HELD.lock().unwrap_or_else(PoisonError::into_inner);
        let file = which(path).map_err(io)?;
        let times = all.get(&file).copied().unwrap_or(0);
        if times == 0 {
            look(path)?;
        }
        all.insert(file.clone(), times + 1);
        Ok(Self(file))
    }
}

impl Drop for Held {
    fn drop(&mut self) {
        let mut all = HELD.lock().unwrap_or_else(PoisonError::into_inner);
        let times = all.get(&self.0).copied().unwrap_or(0);
        if times > 1 {
            all.insert(self.0.clone(), times - 1);
        } else {
            all.remove(&self.0);
        }
    }
}

/// Which file a path leads to: two names of one file are one file.
#[cfg(unix)]
fn which(path: &Path) -> std::io::Result<String> {
    use std::os::unix::fs::MetadataExt;
    std::fs::metadata(path).map(|m| format!("{}/{}", m.dev(), m.ino()))
}

#[cfg(not(unix))]
fn which(path: &Path) -> std::io::Result<String> {
    path.canonicalize().map(|p| p.display().to_string())
}

/// Looks at a file's header before the database touches it: is this a study at all?
fn look(path: &Path) -> Result<(), Error> {
    let not = |why: &str| Error::NotAStudy { path: path.to_path_buf(), why: why.to_owned() };
    if path.is_dir() {
        return Err(not("it is a folder"));
    }
    let mut header = [0; 100];
    let mut file = File::open(path).map_err(|e| Error::io(path, e))?;
    if file.read_exact(&mut header).is_err() {
        return Err(not("it is shorter than the header of one"));
    }
    if !header.starts_with(b"SQLite format 3\0") {
        return Err(not("its first bytes are those of another kind of file"));
    }
    if header[68..72] != APPLICATION_ID.to_be_bytes() {
        return Err(not("it is a database of something else"));
    }
    let version = i64::from(u32::from_be_bytes([header[60], header[61], header[62], header[63]]));
    if version > VERSION {
        return Err(Error::Newer { path: path.to_path_buf(), found: version });
    }
    Ok(())
}

/// A study's file name with an ending more.
fn beside(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}

/// The name under which a file is read as it lies.
fn immutable(path: &Path) -> Option<String> {
    let path = path.canonicalize().ok()?;
    let name = path.to_str()?.replace('%', "%25").replace('?', "%3f").replace('#', "%23");
    Some(format!("file:{name}?immutable=1"))
}

/// A file that has not yet got its name.
pub(crate) struct NewFile {
    /// Where it lies until then.
    pub(crate) temporary: tempfile::TempPath,
}

impl NewFile {
    /// An empty file beside the place where it will lie.
    pub(crate) fn beside(path: &Path) -> Result<Self, Error> {
        if path.exists() {
            return Err(Error::Exists { path: path.to_path_buf() });
        }
        if !folder(path).is_dir() {
            return Err(Error::NoFolder { path: folder(path).to_path_buf() });
        }
        // An old journal would be read into the new file.
        for ending in ["-wal", "-journal"] {
            let journal = beside(path, ending);
            if journal.exists() {
                return Err(Error::LeftOver { path: journal });
            }
        }
        let file = tempfile::NamedTempFile::new_in(folder(path)).map_err(|e| Error::io(path, e))?;
        Ok(Self { temporary: file.into_temp_path() })
    }

    /// Brings it to the disk and gives it its name.
    pub(crate) fn keep(self, path: &Path) -> Result<(), Error> {
        let io = |e| Error::io(path, e);
        let file = File::open(&self.temporary).map_err(io)?;
        #[cfg(unix)]
        {
            // A temporary file is private; a study is an ordinary file.
            use std::os::unix::fs::PermissionsExt;
            file.set_permissions(std::fs::Permissions::from_mode(0o644)).map_err(io)?;
        }
        file.sync_all().map_err(io)?;
        self.temporary.persist_noclobber(path).map_err(|e| io(e.error))?;
        #[cfg(unix)]
        File::open(folder(path)).and_then(|folder| folder.sync_all()).map_err(io)?;
        Ok(())
    }
}

/// The folder of a file.
fn folder(path: &Path) -> &Path {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    }
}

pub(crate) fn head(conn: &Connection) -> rusqlite::Result<Head> {
    conn.prepare_cached("SELECT seq, entry FROM revision ORDER BY seq DESC LIMIT 1")?
        .query_row([], |row| Ok(Head { count: row.get(0)?, entry: hash(row, 1)? }))
        .optional()
        .map(|head| head.unwrap_or(Head { count: 0, entry: chain::beginning() }))
}

pub(crate) fn last(conn: &Connection, record: RecordId) -> rusqlite::Result<Option<Revision>> {
    conn.prepare_cached(&format!(
        "SELECT {LISTED}{WHOLE} {WITH_TEXT} WHERE r.record = ?1 ORDER BY r.number DESC LIMIT 1"
    ))?
    .query_row([record.0], whole)
    .optional()
}

pub(crate) fn revision(
    conn: &Connection,
    record: RecordId,
    number: i64,
) -> rusqlite::Result<Option<Revision>> {
    conn.prepare_cached(&format!(
        "SELECT {LISTED}{WHOLE} {WITH_TEXT} WHERE r.record = ?1 AND r.number = ?2"
    ))?
    .query_row(params![record.0, number], whole)
    .optional()
}

pub(crate) fn named(
    conn: &Connection,
    kind: Kind,
    name: &str,
) -> rusqlite::Result<Option<Revision>> {
    conn.prepare_cached(&format!(
        "SELECT {LISTED}{WHOLE} {WITH_TEXT}
         WHERE r.kind = ?1 AND r.name = ?2 AND r.withdrawn = 0 AND {LAST} ORDER BY r.record LIMIT 1"
    ))?
    .query_row(params![kind.word(), name], whole)
    .optional()
}

/// Every revision of the chain in its order, whatever it holds.
pub(crate) fn all_revisions() -> String {
    format!("SELECT {LISTED}{WHOLE} {WITH_TEXT} ORDER BY r.seq")
}

/// A hash in a column.
pub(crate) fn hash(row: &Row<'_>, column: usize) -> rusqlite::Result<Hash> {
    row.get::<_, [u8; 32]>(column).map(Hash)
}

fn word<T>(row: &Row<'_>, column: usize, known: fn(&str) -> Option<T>) -> rusqlite::Result<T> {
    let word: String = row.get(column)?;
    known(&word).ok_or_else(|| {
        rusqlite::Error::FromSqlConversionFailure(
            column,
            rusqlite::types::Type::Text,
            format!("'{word}' is not known here").into(),
        )
    })
}

fn listed(row: &Row<'_>) -> rusqlite::Result<Listed> {
    Ok(Listed {
        seq: row.get(0)?,
        record: RecordId(row.get(1)?),
        kind: word(row, 2, Kind::from_word)?,
        number: row.get(3)?,
        stamp: Stamp { author: row.get(4)?, time: row.get(5)?, reason: row.get(6)? },
        name: row.get(7)?,
        parent: row.get::<_, Option<i64>>(8)?.map(RecordId),
        rests_on: row.get(9)?,
        photo: row.get::<_, Option<[u8; 32]>>(10)?.map(Hash),
        withdrawn: row.get::<_, i64>(11)? != 0,
    })
}

pub(crate) fn whole(row: &Row<'_>) -> rusqlite::Result<Revision> {
    let Listed { seq, record, kind, number, stamp, name, parent, rests_on, photo, withdrawn } =
        listed(row)?;
    let form = word(row, 12, Form::from_word)?;
    let text = row.get(14)?;
    Ok(Revision {
        seq,
        record,
        kind,
        number,
        stamp,
        content: Content { name, parent, rests_on, photo, form, text, withdrawn },
        entry: hash(row, 13)?,
    })
}
