//! Where the files that others name are found: beside a file on the disk, or in a study.

use crate::files;
use crate::read::{Done, beside, read};
use crate::refusal::Refusal;
use std::path::{Path, PathBuf};

/// Where the files that a claim names are found.
pub(crate) trait Shelf: Sync {
    /// The claim file itself, as it is called in a refusal.
    fn claim(&self) -> String;

    /// What a file is called in a refusal.
    fn shown(&self, name: &str) -> String;

    /// The text of a joint file.
    fn joint(&self, name: &str) -> Result<String, Refusal>;

    /// The text of a table of readings.
    fn table(&self, name: &str) -> Result<String, Refusal>;

    /// A section, read from its reading file and photo.
    fn section(&self, name: &str) -> Result<Done, Refusal>;
}

/// The folder of a claim file.
pub(crate) struct Folder<'a> {
    /// The claim file.
    pub(crate) claim: &'a Path,
}

impl Folder<'_> {
    fn path(&self, name: &str) -> PathBuf {
        beside(self.claim, name)
    }
}

impl Shelf for Folder<'_> {
    fn claim(&self) -> String {
        self.claim.display().to_string()
    }

    fn shown(&self, name: &str) -> String {
        self.path(name).display().to_string()
    }

    fn joint(&self, name: &str) -> Result<String, Refusal> {
        files::text(&self.path(name))
    }

    fn table(&self, name: &str) -> Result<String, Refusal> {
        files::text(&self.path(name))
    }

    fn section(&self, name: &str) -> Result<Done, Refusal> {
        read(&self.path(name))
    }
}
