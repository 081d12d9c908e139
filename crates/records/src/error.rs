//! What cannot be done, as facts, each with the next action.

use crate::Kind;
use crate::revision::{Content, Hash, RecordId, Revision};
use crate::schema::VERSION;
use crate::study::{MOST_PHOTO_BYTES, MOST_TEXT_BYTES};
use std::path::{Path, PathBuf};

/// An edit that started from a revision which is no longer the last one. Nothing of it is lost: both versions are here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stale {
    /// The revision that the edit started from.
    pub started_from: Revision,
    /// What stands there now.
    pub now: Revision,
    /// What was to be written.
    pub yours: Content,
}

/// Why something cannot be done.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// No file of that name.
    #[error("there is no study {}", path.display())]
    NotThere {
        /// The file.
        path: PathBuf,
    },
    /// The folder that a new file is to lie in is not there.
    #[error("there is no folder {}", path.display())]
    NoFolder {
        /// The folder.
        path: PathBuf,
    },
    /// A file of that name is there.
    #[error("{} is there already", path.display())]
    Exists {
        /// The file.
        path: PathBuf,
    },
    /// The journal of a study that is gone lies where a new one would find it.
    #[error("{} is left over from a study that was deleted", path.display())]
    LeftOver {
        /// The journal.
        path: PathBuf,
    },
    /// Not a study.
    #[error("{} is no study: {why}", path.display())]
    NotAStudy {
        /// The file.
        path: PathBuf,
        /// What it is instead.
        why: String,
    },
    /// Written by a newer program.
    #[error("{} is a study of version {found}, and this program knows versions up to {VERSION}", path.display())]
    Newer {
        /// The file.
        path: PathBuf,
        /// Its version.
        found: i64,
    },
    /// The file is not what was saved.
    #[error("{} is damaged: {why}", path.display())]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        why: String,
    },
    /// Somebody else writes.
    #[error("another program has been writing to {} for longer than 5 s", path.display())]
    Busy {
        /// The file.
        path: PathBuf,
    },
    /// The study may not be written.
    #[error("{} may not be written", path.display())]
    ReadOnly {
        /// The file.
        path: PathBuf,
    },
    /// The disk has no room.
    #[error("the disk of {} is full", path.display())]
    Full {
        /// The file.
        path: PathBuf,
    },
    /// The operating system refused.
    #[error("{} cannot be used: {error}", path.display())]
    Io {
        /// The file.
        path: PathBuf,
        /// What it said.
        error: std::io::Error,
    },
    /// The database refused.
    #[error("{} cannot be used: {error}", path.display())]
    Database {
        /// The file.
        path: PathBuf,
        /// What it said.
        error: rusqlite::Error,
    },
    /// No such record.
    #[error("there is no record {record} in this study")]
    NoRecord {
        /// What was asked for.
        record: RecordId,
    },
    /// No such revision.
    #[error("record {record} has no revision {number}")]
    NoRevision {
        /// The record.
        record: RecordId,
        /// What was asked for.
        number: i64,
    },
    /// No such photo.
    #[error("there is no photo {hash} in this study")]
    NoPhoto {
        /// What was asked for.
        hash: Hash,
    },
    /// Somebody was faster.
    #[error(
        "{} '{}' was changed by {} at {} while you worked: you started from revision {}, and it has revision {} now",
        .0.now.kind, .0.now.content.name, .0.now.stamp.author, .0.now.stamp.time, .0.started_from.number, .0.now.number
    )]
    Stale(Box<Stale>),
    /// Another record has the name.
    #[error("there is a {kind} '{name}' already")]
    NameTaken {
        /// What it is of.
        kind: Kind,
        /// The name.
        name: String,
        /// The record that has it.
        record: RecordId,
    },
    /// Not a name.
    #[error("'{name}' is no name for a {kind}: {why}")]
    BadName {
        /// What it is of.
        kind: Kind,
        /// The name.
        name: String,
        /// Why not.
        why: &'static str,
    },
    /// Who, when or why is missing.
    #[error("the change does not say {what}")]
    NoStamp {
        /// What is missing.
        what: &'static str,
    },
    /// Belongs where it cannot.
    #[error("a {kind} cannot belong to {to}")]
    WrongParent {
        /// What it is of.
        kind: Kind,
        /// To what, in words.
        to: String,
    },
    /// A reading without its section's revision, a photo without a picture.
    #[error("a {kind} needs {what}")]
    Lacks {
        /// What it is of.
        kind: Kind,
        /// What it lacks.
        what: &'static str,
    },
    /// Too much.
    #[error("{what} has {bytes} bytes, and at most {most} are taken")]
    TooLarge {
        /// What.
        what: &'static str,
        /// How much it has.
        bytes: u64,
        /// How much is taken.
        most: u64,
    },
    /// A history that cannot have been: its records and revisions do not follow each other.
    #[error("entry {seq} of the history does not follow the one before it: {why}")]
    BadHistory {
        /// The place in the chain.
        seq: i64,
        /// What is wrong.
        why: String,
    },
    /// Stopped by the person.
    #[error("stopped")]
    Stopped,
}

impl Error {
    /// What to do next.
    #[must_use]
    pub fn advice(&self) -> String {
        match self {
            Self::NotThere { .. } => "check the name and the folder, or make one with 'study new'",
            Self::NoFolder { .. } => "make the folder first, or check its name",
            Self::Exists { .. } => "choose another name: no file is written over",
            Self::LeftOver { .. } => {
                "move it away if the study is really gone, or bring the study back beside it"
            }
            Self::NotAStudy { .. } => "name a study file, NAME.seam, as 'study new' makes it",
            Self::Newer { .. } => {
                "use the newer program: this one would lose what it does not know"
            }
            Self::Damaged { .. } => {
                "run 'study check' on it, and go back to a backup for what it names"
            }
            Self::Busy { .. } => "try again when the other program is done, or end it",
            Self::ReadOnly { .. } => {
                "give yourself the right to write the file and its folder, or work on a copy"
            }
            Self::Full { .. } => {
                "make room and try again: what was saved before is there, this change is not"
            }
            Self::Io { .. } | Self::Database { .. } => "check the disk, the name and the rights",
            Self::NoRecord { .. } | Self::NoRevision { .. } | Self::NoPhoto { .. } => {
                "look the record up again: the page may be of another study"
            }
            Self::Stale(_) => {
                "look at both versions and save yours again, starting from the newer one"
            }
            Self::NameTaken { .. } => "choose another name, or edit the record that has it",
            Self::BadName { .. } => {
                "write a name of 1 to 200 characters, such as A, or photos/a1.toml"
            }
            Self::NoStamp { .. } => {
                "give author, time as 2026-11-25T08:30:00Z, and a reason in a few words"
            }
            Self::WrongParent { .. } => {
                "put it under one of an earlier step: joint, setting, coupon, cut, section, reading"
            }
            Self::Lacks { .. } => "give it together with the record",
            Self::TooLarge { .. } => {
                return format!(
                    "a photo may have {} MB, a text {} MB: save it smaller",
                    MOST_PHOTO_BYTES >> 20,
                    MOST_TEXT_BYTES >> 20
                );
            }
            Self::BadHistory { .. } => {
                "export the study again: a history is taken whole, as it was written"
            }
            Self::Stopped => "start it again when you like: nothing was written",
        }
        .to_owned()
    }

    /// What the database said, in our words.
    pub(crate) fn of(path: &Path, error: rusqlite::Error) -> Self {
        use rusqlite::ErrorCode;
        let path = path.to_path_buf();
        match error.sqlite_error_code() {
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Busy { path },
            Some(ErrorCode::DiskFull) => Self::Full { path },
            Some(ErrorCode::ReadOnly) => Self::ReadOnly { path },
            Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => {
                Self::Damaged { path, why: error.to_string() }
            }
            _ => Self::Database { path, error },
        }
    }

    pub(crate) fn io(path: &Path, error: std::io::Error) -> Self {
        let path = path.to_path_buf();
        match error.kind() {
            std::io::ErrorKind::NotFound => Self::NotThere { path },
            std::io::ErrorKind::AlreadyExists => Self::Exists { path },
            std::io::ErrorKind::StorageFull => Self::Full { path },
            _ => Self::Io { path, error },
        }
    }
}
