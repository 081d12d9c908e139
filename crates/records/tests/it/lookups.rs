//! Looking things up, also while others write, and where nothing may be written.

use crate::common::{add, all, empty, one_of_each, section, stamp, toml};
use records::{Kind, Study};
use tempfile::tempdir;

#[test]
fn records_are_found_by_kind_name_and_parent() {
    let folder = tempdir().unwrap();
    let study = one_of_each(&folder.path().join("t.seam"));
    for kind in Kind::ALL {
        let count = if matches!(kind, Kind::Photo | Kind::Section) { 2 } else { 1 };
        assert_eq!(study.list(kind).unwrap().len(), count, "{kind}");
        assert_eq!(Kind::from_word(kind.word()), Some(kind));
    }
    let cut = study.named(Kind::Cut, "A 1").unwrap().unwrap();
    let names =
        |listed: Vec<records::Listed>| listed.into_iter().map(|l| l.name).collect::<Vec<_>>();
    assert_eq!(names(study.under(cut.record).unwrap()), ["a1.jpg", "a1.toml", "a2.jpg", "a2.toml"]);
    let section = study.named(Kind::Section, "a1.toml").unwrap().unwrap();
    assert_eq!(section.number, 2);
    assert_eq!(study.photo(section.content.photo.unwrap()).unwrap(), b"the picture of a1");
    assert_eq!(study.named(Kind::Section, "a1").unwrap(), None);
    // In the order of the chain, each after the one before.
    let all = all(&study);
    assert_eq!(all.len(), 13);
    assert!(all.iter().zip(1..).all(|(r, seq)| r.seq == seq));
    let head = study.head().unwrap();
    assert_eq!((head.count, head.entry), (13, all[12].entry));
    let of_claims = study.head_of(&[Kind::Claim, Kind::Joint]).unwrap();
    assert_eq!((of_claims.count, of_claims.entry), (9, all[8].entry));
}

#[test]
fn a_reader_sees_whole_states_while_another_writes() {
    let folder = tempdir().unwrap();
    let path = folder.path().join("t.seam");
    empty(&path).close().unwrap();
    let writer = {
        let path = path.clone();
        std::thread::spawn(move || {
            let mut study = Study::open(&path).unwrap();
            for i in 0..60 {
                section(&mut study, &format!("s{i}"), None, format!("picture {i}").as_bytes());
            }
        })
    };
    let study = Study::open_to_read(&path).unwrap();
    let mut last = 0;
    while last < 121 {
        let count = study.head().unwrap().count;
        // Photo and section come together.
        assert!(count % 2 == 1 && count >= last, "{count} after {last}");
        last = count;
        assert!(!writer.is_finished() || last == study.head().unwrap().count || last < 121);
    }
    writer.join().unwrap();
}

#[test]
fn who_opens_to_read_writes_nothing() {
    let folder = tempdir().unwrap();
    let path = folder.path().join("t.seam");
    one_of_each(&path).close().unwrap();
    let before = std::fs::read(&path).unwrap();
    let mut study = Study::open_to_read(&path).unwrap();
    let refused: records::Error = study
        .change(|c| c.add(Kind::Coupon, &toml("Z", ""), &stamp("new")))
        .map(|_| ())
        .unwrap_err();
    assert_eq!(refused.to_string(), format!("{} may not be written", path.display()));
    drop(study);
    assert_eq!(std::fs::read(&path).unwrap(), before);
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
}

/// 10 000 sections: lists do not read their texts.
#[test]
fn ten_thousand_sections_are_listed_at_once() {
    let folder = tempdir().unwrap();
    let mut study = empty(&folder.path().join("t.seam"));
    let text = "x".repeat(2_000);
    study
        .change::<_, records::Error>(|c| {
            for i in 0..10_000 {
                c.add(Kind::Section, &toml(&format!("s{i}"), &text), &stamp("new"))?;
            }
            Ok(())
        })
        .unwrap();
    let begin = std::time::Instant::now();
    assert_eq!(study.list(Kind::Section).unwrap().len(), 10_000);
    let took = begin.elapsed();
    println!("10 000 sections listed in {took:?}");
    // A page is to be there within 50 ms; a shared core may be ten times slower.
    assert!(took.as_millis() < 500, "{took:?}");
    let begin = std::time::Instant::now();
    assert_eq!(study.named(Kind::Section, "s9999").unwrap().unwrap().content.name, "s9999");
    assert!(begin.elapsed().as_millis() < 50);
    add(&mut study, Kind::Section, &toml("one more", ""));
}
