//! The tables of a study, and how an older study gets those of today.

use rusqlite::Connection;
use std::sync::OnceLock;

/// Marks an SQLite file as a study, at byte 68 of its header: `SEAM` in ASCII.
pub const APPLICATION_ID: i32 = 0x5345_414D;
/// The version of the tables, `PRAGMA user_version`.
pub const VERSION: i64 = MIGRATIONS.len() as i64;

/// What makes each version out of the one before. A released one is never changed.
const MIGRATIONS: [&str; 1] = [V1];

/// The first version. Rows are only added; the triggers say so to everybody who opens the file with other tools.
/// Texts have a table of their own, so that a list of ten thousand records does not read them.
const V1: &str = "
CREATE TABLE record (
  id INTEGER PRIMARY KEY,
  kind TEXT NOT NULL CHECK (kind IN ('study', 'joint', 'setting', 'coupon', 'cut', 'photo', 'section', 'reading', 'claim', 'paper')),
  UNIQUE (id, kind)
) STRICT;
CREATE INDEX record_by_kind ON record (kind);

CREATE TABLE photo (
  id INTEGER PRIMARY KEY,
  hash BLOB NOT NULL UNIQUE CHECK (length(hash) = 32),
  data BLOB NOT NULL CHECK (length(data) > 0)
) STRICT;

CREATE TABLE revision (
  seq INTEGER PRIMARY KEY AUTOINCREMENT,
  record INTEGER NOT NULL,
  kind TEXT NOT NULL,
  number INTEGER NOT NULL CHECK (number >= 1),
  name TEXT NOT NULL CHECK (name <> ''),
  author TEXT NOT NULL CHECK (author <> ''),
  time TEXT NOT NULL CHECK (time GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9]Z'),
  reason TEXT NOT NULL CHECK (reason <> ''),
  withdrawn INTEGER NOT NULL CHECK (withdrawn IN (0, 1)),
  parent INTEGER REFERENCES record (id),
  rests_on INTEGER REFERENCES revision (seq),
  photo BLOB REFERENCES photo (hash),
  form TEXT NOT NULL CHECK (form IN ('toml', 'json')),
  entry BLOB NOT NULL CHECK (length(entry) = 32),
  UNIQUE (record, number),
  FOREIGN KEY (record, kind) REFERENCES record (id, kind)
) STRICT;

CREATE TABLE content (
  seq INTEGER PRIMARY KEY REFERENCES revision (seq),
  text TEXT NOT NULL
) STRICT;

CREATE INDEX revision_by_name ON revision (kind, name);
CREATE INDEX revision_by_parent ON revision (parent);
CREATE INDEX revision_by_photo ON revision (photo);

CREATE TRIGGER record_is_not_rewritten BEFORE UPDATE ON record BEGIN SELECT RAISE(ABORT, 'nothing in a study is rewritten'); END;
CREATE TRIGGER record_is_not_deleted BEFORE DELETE ON record BEGIN SELECT RAISE(ABORT, 'nothing in a study is deleted'); END;
CREATE TRIGGER photo_is_not_rewritten BEFORE UPDATE ON photo BEGIN SELECT RAISE(ABORT, 'nothing in a study is rewritten'); END;
CREATE TRIGGER photo_is_not_deleted BEFORE DELETE ON photo BEGIN SELECT RAISE(ABORT, 'nothing in a study is deleted'); END;
CREATE TRIGGER content_is_not_rewritten BEFORE UPDATE ON content BEGIN SELECT RAISE(ABORT, 'nothing in a study is rewritten'); END;
CREATE TRIGGER content_is_not_deleted BEFORE DELETE ON content BEGIN SELECT RAISE(ABORT, 'nothing in a study is deleted'); END;
CREATE TRIGGER revision_is_not_rewritten BEFORE UPDATE ON revision BEGIN SELECT RAISE(ABORT, 'nothing in a study is rewritten'); END;
CREATE TRIGGER revision_is_not_deleted BEFORE DELETE ON revision BEGIN SELECT RAISE(ABORT, 'nothing in a study is deleted'); END;
";

/// The version that a file has.
pub(crate) fn version(conn: &Connection) -> rusqlite::Result<i64> {
    conn.query_row("PRAGMA user_version", [], |row| row.get(0))
}

/// Brings a file to the version of today, all of it or nothing.
pub(crate) fn migrate(conn: &mut Connection) -> rusqlite::Result<()> {
    if version(conn)? >= VERSION {
        return Ok(());
    }
    let tx = conn.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
    // Another program may have been faster.
    let from = usize::try_from(version(&tx)?).unwrap_or(0);
    for migration in MIGRATIONS.iter().skip(from) {
        tx.execute_batch(migration)?;
    }
    tx.pragma_update(None, "user_version", VERSION)?;
    tx.commit()
}

/// Type, name and text of each table, index and trigger.
pub(crate) type Drawn = Vec<(String, String, Option<String>)>;

/// The tables that a file has.
pub(crate) fn drawn(conn: &Connection) -> rusqlite::Result<Drawn> {
    let mut rows = conn.prepare("SELECT type, name, sql FROM sqlite_schema ORDER BY name, type")?;
    rows.query_map([], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?.collect()
}

/// The tables that a file of today's version should have.
pub(crate) fn as_it_should_be() -> rusqlite::Result<&'static Drawn> {
    static DRAWN: OnceLock<Drawn> = OnceLock::new();
    if let Some(drawn) = DRAWN.get() {
        return Ok(drawn);
    }
    let mut conn = Connection::open_in_memory()?;
    migrate(&mut conn)?;
    let drawn = drawn(&conn)?;
    Ok(DRAWN.get_or_init(|| drawn))
}
