//! A journal that was cut anywhere, as a power cut on a poor disk leaves it.

use crate::common::{Numbers, all, empty, is_well, section, stamp, toml};
use records::{Kind, Study};
use tempfile::tempdir;

/// A state of the files on the disk.
struct State {
    file: Vec<u8>,
    journal: Vec<u8>,
    /// Entries that had been brought into the file.
    in_file: usize,
}

#[test]
fn a_journal_cut_at_a_thousand_places_leaves_a_whole_past() {
    let folder = tempdir().unwrap();
    let path = folder.path().join("t.seam");
    let wal = folder.path().join("t.seam-wal");
    let mut study = empty(&path);
    let mut numbers = Numbers(5);
    let mut states = Vec::new();
    // The counts that stand between two changes.
    let mut whole = vec![1];
    let mut in_file = 1;
    for i in 0..60 {
        if i % 12 == 5 {
            section(&mut study, &format!("s{i}"), None, &numbers.bytes(9_000));
        } else {
            let text = "x".repeat(numbers.below(9_000));
            study
                .change::<_, records::Error>(|c| {
                    for n in 0..=numbers.below(3) {
                        let name = format!("c{i} {n}");
                        let first = c.add(Kind::Coupon, &toml(&name, &text), &stamp("new"))?;
                        c.edit(first.record, 1, &toml(&name, "two"), &stamp("edit"))?;
                    }
                    Ok(())
                })
                .unwrap();
        }
        let count = all(&study).len();
        whole.push(count);
        let journal = std::fs::read(&wal).unwrap();
        if journal.is_empty() {
            in_file = count;
        } else {
            let file = std::fs::read(&path).unwrap();
            states.push(State { file, journal, in_file });
        }
    }
    let history = all(&study);
    assert!(states.len() > 40, "{} states with something in the journal", states.len());
    let cut = folder.path().join("cut.seam");
    let cut_wal = folder.path().join("cut.seam-wal");
    let mut lengths = std::collections::BTreeSet::new();
    let mut shorter = 0;
    for _ in 0..1000 {
        let state = &states[numbers.below(states.len())];
        let keep = numbers.below(state.journal.len() + 1);
        std::fs::write(&cut, &state.file).unwrap();
        std::fs::write(&cut_wal, &state.journal[..keep]).unwrap();
        let opened = Study::open(&cut).unwrap();
        let found = all(&opened);
        let count = found.len();
        assert_eq!(found, history[..count], "another past");
        assert!(count >= state.in_file, "{count} of {} that were in the file", state.in_file);
        assert!(whole.contains(&count), "{count}: half a change");
        shorter += usize::from(count > state.in_file);
        lengths.insert(count);
        opened.close().unwrap();
        is_well(&cut);
        std::fs::remove_file(&cut).unwrap();
        assert!(!cut_wal.exists());
    }
    println!(
        "1000 cuts, {} different lengths of the past, {shorter} with some of the journal",
        lengths.len()
    );
    assert!(lengths.len() > 30 && shorter > 300, "{} lengths, {shorter}", lengths.len());
}
