//! Study files with bytes changed at random: an answer or a refusal, never a crash.

use crate::common::{Numbers, one_of_each};
use records::{Kind, Study, check};
use tempfile::tempdir;

/// 10 000 files. What is not part of any row may change unseen; a row may not.
#[test]
fn damaged_files_are_named_or_refused() {
    let folder = tempdir().unwrap();
    let path = folder.path().join("t.seam");
    let study = one_of_each(&path);
    let history = crate::common::all(&study);
    study.close().unwrap();
    let good = std::fs::read(&path).unwrap();
    let mut numbers = Numbers(77);
    let (mut refused, mut named, mut unseen) = (0, 0, 0);
    for _ in 0..10_000 {
        let mut bytes = good.clone();
        for _ in 0..=numbers.below(3) {
            // Half of them near the head of a page, where the structure is.
            let page = 4096 * numbers.below(bytes.len() / 4096);
            let at =
                page + if numbers.below(2) == 0 { numbers.below(100) } else { numbers.below(4096) };
            bytes[at] = numbers.next() as u8;
        }
        if numbers.below(20) == 0 {
            bytes.truncate(numbers.below(bytes.len()));
        }
        std::fs::write(&path, &bytes).unwrap();
        match check(&path, None, &mut |_, _| true) {
            Err(e) => {
                refused += 1;
                assert!(!e.advice().is_empty());
            }
            Ok(checked) if !checked.faults.is_empty() => named += 1,
            Ok(checked) => {
                unseen += 1;
                assert_eq!(checked.head.count, 13);
                let opened = Study::open_to_read(&path).unwrap();
                assert_eq!(crate::common::all(&opened), history);
            }
        }
        // Whoever opens it without a check gets rows or a refusal.
        if let Ok(study) = Study::open_to_read(&path) {
            for kind in Kind::ALL {
                let _ = study.list(kind);
            }
        }
        for ending in ["seam-wal", "seam-shm"] {
            let _ = std::fs::remove_file(path.with_extension(ending));
        }
    }
    println!("{refused} refused, {named} named, {unseen} whole");
    assert!(refused > 100 && named > 1000 && unseen > 100, "{refused} {named} {unseen}");
}
