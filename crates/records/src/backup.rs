//! A copy of a study while others write to it.

use crate::Watch;
use crate::error::Error;
use crate::revision::Head;
use crate::study::{NewFile, Study};
use rusqlite::Connection;
use rusqlite::backup::{Backup, StepResult};
use std::path::Path;

/// Pages of a step: 4 MB of them.
const STEP_PAGES: i32 = 1024;

impl Study {
    /// Copies the study to a new file, as it is at this moment; others may go on writing. Answers the head that the copy
    /// has.
    ///
    /// A copy made by other means while the study is open may lack what is still in its journal.
    ///
    /// # Errors
    ///
    /// When a file of that name is there, when the disk is full, or when `watch` says stop; then no file is left.
    pub fn backup(&self, to: &Path, watch: &mut Watch<'_>) -> Result<Head, Error> {
        let sql = |e| Error::of(to, e);
        let new = NewFile::beside(to)?;
        let mut copy = Connection::open(&new.temporary).map_err(sql)?;
        // One state is copied from beginning to end, whatever is written meanwhile.
        let state = self.conn.unchecked_transaction().map_err(|e| self.sql(e))?;
        let head = self.head()?;
        {
            let backup = Backup::new(&state, &mut copy).map_err(sql)?;
            loop {
                let step = backup.step(STEP_PAGES).map_err(sql)?;
                let so_far = backup.progress();
                let pages = |n: i32| u64::try_from(n).unwrap_or(0);
                let of = pages(so_far.pagecount);
                if !watch(of - pages(so_far.remaining).min(of), of) {
                    return Err(Error::Stopped);
                }
                match step {
                    StepResult::Done => break,
                    StepResult::More => {}
                    _ => return Err(Error::Busy { path: self.path().to_path_buf() }),
                }
            }
        }
        state.finish().map_err(|e| self.sql(e))?;
        copy.close().map_err(|(_, e)| sql(e))?;
        new.keep(to)?;
        Ok(head)
    }
}
