//! Runs the built binary in a folder of its own.

use serde_json::Value;
use std::path::Path;
use std::process::Command;
use tempfile::TempDir;

/// What a run said.
#[derive(Debug)]
pub(crate) struct Said {
    /// Exit code: 0 done, 1 the answer is no, 2 bad input; anything else is a crash.
    pub(crate) code: i32,
    /// Standard output.
    pub(crate) out: String,
    /// Standard error.
    pub(crate) err: String,
}

impl Said {
    /// The one JSON object that was printed.
    pub(crate) fn json(&self) -> Value {
        assert_eq!(self.out.lines().count(), 1, "one object a line: {self:?}");
        serde_json::from_str(&self.out).unwrap_or_else(|e| panic!("{e}: {self:?}"))
    }

    /// Asserts a refusal: exit code 2, this fact and this next action, nothing on standard output.
    #[track_caller]
    pub(crate) fn refuses(&self, fact: &str, next: &str) {
        assert_eq!(self.err, format!("{fact}\n  next: {next}\n"));
        assert_eq!((self.code, self.out.as_str()), (2, ""));
    }
}

impl Said {
    /// Asserts bad input whose first words these are, with a next action, and nothing on standard output.
    #[track_caller]
    pub(crate) fn refuses_with(&self, words: &str) {
        assert!(self.err.starts_with(words) && self.err.contains("\n  next: "), "{self:?}");
        assert_eq!((self.code, self.out.as_str()), (2, ""));
    }
}

/// Runs `seamproof` in a folder.
pub(crate) fn seamproof(folder: &Path, args: &[&str]) -> Said {
    let done = Command::new(env!("CARGO_BIN_EXE_seamproof"))
        .current_dir(folder)
        .args(args)
        .env_remove("COLUMNS")
        .output()
        .unwrap();
    Said {
        code: done.status.code().unwrap_or(-1),
        out: String::from_utf8(done.stdout).unwrap(),
        err: String::from_utf8(done.stderr).unwrap(),
    }
}

/// A folder with files in it.
pub(crate) fn folder(files: &[(&str, &[u8])]) -> TempDir {
    let folder = TempDir::new().unwrap();
    for (name, bytes) in files {
        std::fs::write(folder.path().join(name), bytes).unwrap();
    }
    folder
}

/// The names in a folder, in order.
pub(crate) fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}
