//! A throw-away file beside a study: photos cut into tiles, so that a page need not decode a photo each time.
//!
//! It holds nothing that is not in the study: delete it, and it is made again. So nothing waits for the disk here, and a
//! file that is damaged is simply replaced.

use crate::{Error, Hash};
use rusqlite::{Connection, OptionalExtension, params};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

const SCHEMA: &str = "
CREATE TABLE IF NOT EXISTS cut (photo BLOB NOT NULL, view INTEGER NOT NULL, PRIMARY KEY (photo, view)) STRICT, WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS tile (
    photo BLOB NOT NULL, view INTEGER NOT NULL, level INTEGER NOT NULL, x INTEGER NOT NULL, y INTEGER NOT NULL,
    jpeg BLOB NOT NULL, PRIMARY KEY (photo, view, level, x, y)
) STRICT;";

/// Which tile: its view, level, column and row.
pub type Place = [u32; 4];

/// Tiles of photos by their hashes.
#[derive(Debug)]
pub struct Tiles {
    conn: Mutex<Connection>,
    path: PathBuf,
}

impl Tiles {
    /// Opens the tiles that lie beside a study, or begins anew.
    ///
    /// # Errors
    ///
    /// When the file can neither be used nor replaced.
    pub fn beside(study: &Path) -> Result<Self, Error> {
        let mut name = study.as_os_str().to_owned();
        name.push("-tiles");
        let path = PathBuf::from(name);
        let conn = opened(&path).or_else(|_| {
            // Whatever is there is no file of tiles, or a damaged one.
            drop(std::fs::remove_file(&path));
            opened(&path)
        });
        match conn {
            Ok(conn) => Ok(Self { conn: Mutex::new(conn), path }),
            Err(e) => Err(Error::of(&path, e)),
        }
    }

    fn conn(&self) -> MutexGuard<'_, Connection> {
        self.conn.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Whether all tiles of a photo are there in a view.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn has(&self, photo: Hash, view: u32) -> Result<bool, Error> {
        let conn = self.conn();
        conn.prepare_cached("SELECT 1 FROM cut WHERE photo = ?1 AND view = ?2")
            .and_then(|mut s| s.exists(params![photo.0, view]))
            .map_err(|e| Error::of(&self.path, e))
    }

    /// One tile, as JPEG; none: there is no such tile, or the photo was not cut yet.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn tile(&self, photo: Hash, [view, level, x, y]: Place) -> Result<Option<Vec<u8>>, Error> {
        let conn = self.conn();
        conn.prepare_cached(
            "SELECT jpeg FROM tile WHERE photo = ?1 AND view = ?2 AND level = ?3 AND x = ?4 AND y = ?5",
        )
        .and_then(|mut s| s.query_row(params![photo.0, view, level, x, y], |r| r.get(0)).optional())
        .map_err(|e| Error::of(&self.path, e))
    }

    /// The last level of a photo that was cut in a view.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn last_level(&self, photo: Hash, view: u32) -> Result<Option<u32>, Error> {
        let conn = self.conn();
        conn.prepare_cached("SELECT max(level) FROM tile WHERE photo = ?1 AND view = ?2")
            .and_then(|mut s| s.query_row(params![photo.0, view], |r| r.get(0)))
            .map_err(|e| Error::of(&self.path, e))
    }

    /// Keeps all tiles of a photo in a view.
    ///
    /// # Errors
    ///
    /// When the disk is full.
    pub fn keep(&self, photo: Hash, view: u32, tiles: &[([u32; 3], Vec<u8>)]) -> Result<(), Error> {
        let mut conn = self.conn();
        let written = || -> rusqlite::Result<()> {
            let all = conn.transaction()?;
            for ([level, x, y], jpeg) in tiles {
                all.prepare_cached("INSERT OR REPLACE INTO tile VALUES (?1, ?2, ?3, ?4, ?5, ?6)")?
                    .execute(params![photo.0, view, level, x, y, jpeg])?;
            }
            all.prepare_cached("INSERT OR REPLACE INTO cut VALUES (?1, ?2)")?
                .execute(params![photo.0, view])?;
            all.commit()
        };
        let written = { written }();
        written.map_err(|e| Error::of(&self.path, e))
    }
}

fn opened(path: &Path) -> rusqlite::Result<Connection> {
    let conn = Connection::open(path)?;
    // Lost on a power cut, and made again.
    conn.execute_batch("PRAGMA journal_mode = MEMORY; PRAGMA synchronous = OFF;")?;
    conn.execute_batch(SCHEMA)?;
    let _: i64 = conn.query_row("SELECT count(*) FROM cut", [], |r| r.get(0))?;
    Ok(conn)
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]
mod tests {
    use super::*;

    #[test]
    fn tiles_are_there_again_and_a_damaged_file_is_replaced() {
        let dir = tempfile::tempdir().unwrap();
        let study = dir.path().join("a.seam");
        let photo = Hash::of(b"a photo");
        {
            let tiles = Tiles::beside(&study).unwrap();
            assert!(!tiles.has(photo, 0).unwrap());
            assert_eq!(tiles.tile(photo, [0, 0, 0, 0]).unwrap(), None);
            tiles.keep(photo, 0, &[([0, 0, 0], vec![1, 2]), ([0, 1, 0], vec![3])]).unwrap();
        }
        let tiles = Tiles::beside(&study).unwrap();
        assert!(tiles.has(photo, 0).unwrap() && !tiles.has(photo, 1).unwrap());
        assert_eq!(tiles.tile(photo, [0, 0, 1, 0]).unwrap(), Some(vec![3]));
        assert_eq!(tiles.tile(Hash::of(b"another"), [0, 0, 1, 0]).unwrap(), None);
        drop(tiles);
        std::fs::write(dir.path().join("a.seam-tiles"), [7; 9000]).unwrap();
        let tiles = Tiles::beside(&study).unwrap();
        assert!(!tiles.has(photo, 0).unwrap());
    }
}
