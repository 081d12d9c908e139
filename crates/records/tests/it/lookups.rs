//! Looking things up, also while others write, and where nothing may be written.

use crate::common::{add, all, empty, one_of_each, section, stamp, toml};
use records::{Content, Form, Kind, Part, RecordId, Study};
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
    let of_none = study.head_of(&[]).unwrap();
    assert_eq!((of_none.count, of_none.entry), (0, records::chain::beginning()));
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

/// Sections of two coupons and of none, written turn by turn; of 24 the third is withdrawn, the fourth withdrawn and taken
/// back, the fifth edited, the sixth moved from coupon A to B.
#[test]
fn parts_and_counts_are_those_of_the_whole_list() {
    let folder = tempdir().unwrap();
    let mut study = empty(&folder.path().join("t.seam"));
    let s = &mut study;
    let [a, b] = ["A", "B"].map(|name| add(s, Kind::Coupon, &toml(name, "")).record);
    let of = |i: usize| [None, Some(a), Some(b)][i % 3];
    let made: Vec<RecordId> = (0..24)
        .map(|i| add(s, Kind::Section, &toml(&format!("s{i}"), "x").under(of(i))).record)
        .collect();
    let again = stamp("again");
    for i in [2, 3] {
        s.change(|c| c.withdraw(made[i], 1, &again)).unwrap();
    }
    s.change(|c| c.go_back(made[3], 2, 1, &again)).unwrap();
    s.change(|c| c.edit(made[4], 1, &toml("s4", "y").under(Some(a)), &again)).unwrap();
    s.change(|c| c.edit(made[7], 1, &toml("s7", "x").under(Some(b)), &again)).unwrap();
    // Known from how it was made: a third each, one of B withdrawn, one moved from A to B.
    let counts = [(None, 23), (Some(a), 7), (Some(b), 8)];
    for (under, count) in counts {
        assert_eq!(study.count(Kind::Section, under).unwrap(), count, "{under:?}");
        let whole: Vec<_> = match under {
            None => study.list(Kind::Section).unwrap(),
            Some(of) => study.under(of).unwrap(),
        };
        assert_eq!(whole.len(), count);
        let numbers: Vec<RecordId> = whole.iter().map(|l| l.record).collect();
        assert_eq!(study.numbers(Kind::Section, under).unwrap(), numbers);
        for newest_first in [false, true] {
            let mut want = whole.clone();
            if newest_first {
                want.reverse();
            }
            for (skip, most) in [(0, 5), (5, 5), (20, 5), (23, 5), (0, 0), (0, usize::MAX)] {
                let part = Part { kind: Kind::Section, under, newest_first, skip, most };
                let want: Vec<_> = want.iter().skip(skip).take(most).cloned().collect();
                assert_eq!(study.part(&part).unwrap(), want, "{part:?}");
            }
        }
    }
    let counts = study.counts().unwrap();
    assert_eq!(
        counts.into_iter().collect::<Vec<_>>(),
        [(Kind::Study, 1), (Kind::Coupon, 2), (Kind::Section, 23)]
    );
    let mut names = study.names(Kind::Section).unwrap();
    names.sort();
    let whole = study.list(Kind::Section).unwrap();
    assert_eq!(names, whole.into_iter().map(|l| (l.record, l.name)).collect::<Vec<_>>());
    // What belongs to a record of another kind, or to none that is there, is nothing.
    assert_eq!(study.count(Kind::Section, Some(made[0])).unwrap(), 0);
    assert_eq!(study.count(Kind::Coupon, Some(RecordId(99))).unwrap(), 0);
}

/// Four sections are read; one is edited then, one withdrawn, one edited and read again: two readings are current.
#[test]
fn a_reading_older_than_its_marks_is_not_counted() {
    let folder = tempdir().unwrap();
    let mut study = empty(&folder.path().join("t.seam"));
    let s = &mut study;
    let read = |of: &records::Revision| {
        Content::new(&of.content.name, Form::Json, format!("{}", of.seq))
            .under(Some(of.record))
            .out_of(of.seq)
    };
    let made = ["a", "b", "c", "d"].map(|name| add(s, Kind::Section, &toml(name, "")));
    let readings = made.clone().map(|of| add(s, Kind::Reading, &read(&of)));
    assert_eq!(s.count_current(Kind::Reading).unwrap(), 4);
    let moved = |of: &records::Revision| {
        let mut moved = of.content.clone();
        moved.text.push_str("# a point moved\n");
        moved
    };
    s.change(|c| c.edit(made[1].record, 1, &moved(&made[1]), &stamp("again"))).unwrap();
    s.change(|c| c.withdraw(made[2].record, 1, &stamp("again"))).unwrap();
    let fourth =
        s.change(|c| c.edit(made[3].record, 1, &moved(&made[3]), &stamp("again"))).unwrap();
    assert_eq!(s.count_current(Kind::Reading).unwrap(), 1);
    s.change(|c| c.edit(readings[3].record, 1, &read(&fourth), &stamp("again"))).unwrap();
    assert_eq!(s.count_current(Kind::Reading).unwrap(), 2);
}

/// 10 000 sections: lists do not read their texts, and a page of them does not read the others.
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
    let last =
        Part { kind: Kind::Section, under: None, newest_first: false, skip: 9_900, most: 100 };
    assert_eq!(study.part(&last).unwrap().len(), 100);
    assert_eq!(study.counts().unwrap()[&Kind::Section], 10_000);
    println!("the last hundred listed, and all counted, in {:?}", begin.elapsed());
    let begin = std::time::Instant::now();
    assert_eq!(study.named(Kind::Section, "s9999").unwrap().unwrap().content.name, "s9999");
    assert!(begin.elapsed().as_millis() < 50);
    add(&mut study, Kind::Section, &toml("one more", ""));
}
