//! One study of each released version is kept: today's program opens it and finds what was written then.

use crate::common::{all, is_well, one_of_each, section};
use records::Study;
use std::path::PathBuf;
use tempfile::tempdir;

/// Version 0.1.0, written by the test below when it was new.
#[test]
fn the_study_of_0_1_0_opens() {
    let kept = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/kept/0.1.0.seam");
    let folder = tempdir().unwrap();
    let path = folder.path().join("t.seam");
    std::fs::copy(&kept, &path).unwrap();
    is_well(&path);
    let mut study = Study::open(&path).unwrap();
    // What was written then is what the same calls write today, to the last entry.
    let today = one_of_each(&folder.path().join("today.seam"));
    assert_eq!(all(&study), all(&today));
    assert_eq!(study.head().unwrap(), today.head().unwrap());
    section(&mut study, "a3", None, b"later");
    study.close().unwrap();
    is_well(&path);
}

#[test]
#[ignore = "run once for each release, to keep its study: it writes into the tests' folder"]
fn keep_the_study_of_this_version() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/kept");
    std::fs::create_dir_all(&folder).unwrap();
    let name = format!("{}.seam", env!("CARGO_PKG_VERSION"));
    one_of_each(&folder.join(name)).close().unwrap();
}
