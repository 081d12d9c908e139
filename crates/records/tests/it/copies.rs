//! Backups, and histories written again.

use crate::common::{Numbers, all, empty, is_well, one_of_each, section, stamp, toml};
use proptest::prelude::*;
use records::{Content, Error, Form, Kind, RecordId, Revision, Study};
use std::path::Path;
use tempfile::tempdir;

#[test]
fn a_backup_is_the_study_of_one_moment() {
    let folder = tempdir().unwrap();
    let [path, copy] = ["t.seam", "copy.seam"].map(|name| folder.path().join(name));
    one_of_each(&path).close().unwrap();
    let mut writing = Study::open(&path).unwrap();
    let reading = Study::open_to_read(&path).unwrap();
    // Others write while it is copied.
    let mut steps = 0;
    let head = reading
        .backup(&copy, &mut |_, _| {
            steps += 1;
            section(
                &mut writing,
                &format!("n{steps}"),
                None,
                format!("picture {steps}").as_bytes(),
            );
            true
        })
        .unwrap();
    assert!(steps > 0);
    assert_eq!(head.count, 13);
    let copied = Study::open_to_read(&copy).unwrap();
    assert_eq!(copied.head().unwrap(), head);
    assert_eq!(all(&copied), all(&writing)[..13]);
    is_well(&copy);
    is_well(&path);
    let refused = reading.backup(&copy, &mut |_, _| true).unwrap_err();
    assert_eq!(refused.to_string(), format!("{} is there already", copy.display()));
    let stopped = folder.path().join("stopped.seam");
    assert!(matches!(reading.backup(&stopped, &mut |_, _| false), Err(Error::Stopped)));
    assert!(!stopped.exists());
}

/// Writes the history of a study into another file.
fn again(study: &Study, to: &Path) -> Result<(), Error> {
    Study::rebuild(to, |change| {
        for (hash, _) in study.photos()? {
            change.photo(&study.photo(hash)?)?;
        }
        study.each_after(0, |revision| change.replay(&revision))
    })
}

/// Anything that people may do, in any order; what is refused is passed over.
fn work(study: &mut Study, seed: u64, steps: usize) {
    let mut numbers = Numbers(seed);
    for step in 0..steps {
        let count = study.head().unwrap().count;
        let record = RecordId(1 + numbers.below(usize::try_from(count).unwrap()) as i64);
        let kind = Kind::ALL[numbers.below(Kind::ALL.len())];
        let what = numbers.below(6);
        let picture = numbers.bytes(1 + step);
        let tried: Result<Revision, Error> = study.change(|c| {
            let why = stamp(&format!("step {step}"));
            let mut content = Content::new(
                format!("n{}", step / 2),
                if step % 2 == 0 { Form::Toml } else { Form::Json },
                "µ\0\n".repeat(step),
            );
            match what {
                0..=2 => {
                    if kind.may_belong_to().is_empty() || step % 3 == 0 {
                        content.parent = None;
                    } else {
                        content.parent = Some(record);
                        content.rests_on = kind
                            .comes_out_of_another()
                            .then(|| c.last(record).map(|r| r.seq))
                            .transpose()?;
                    }
                    if matches!(kind, Kind::Photo | Kind::Section) {
                        content.photo = Some(c.photo(&picture)?);
                    }
                    c.add(kind, &content, &why)
                }
                3 => {
                    let last = c.last(record)?;
                    let content = Content { text: "edited".to_owned(), ..last.content };
                    c.edit(record, last.number, &content, &why)
                }
                4 => {
                    let last = c.last(record)?;
                    c.go_back(record, last.number, 1, &why)
                }
                _ => {
                    let last = c.last(record)?;
                    c.withdraw(record, last.number, &why)
                }
            }
        });
        drop(tried);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]
    #[test]
    fn a_history_written_again_is_an_equal_study(seed in any::<u64>(), steps in 0_usize..60) {
        let folder = tempdir().unwrap();
        let [path, copy] = ["t.seam", "copy.seam"].map(|name| folder.path().join(name));
        let mut study = empty(&path);
        work(&mut study, seed, steps);
        again(&study, &copy).unwrap();
        let copied = Study::open_to_read(&copy).unwrap();
        prop_assert_eq!(all(&copied), all(&study));
        prop_assert_eq!(copied.head().unwrap(), study.head().unwrap());
        let sorted = |s: &Study| { let mut p = s.photos().unwrap(); p.sort(); p };
        prop_assert_eq!(sorted(&copied), sorted(&study));
        is_well(&path);
        is_well(&copy);
    }
}

#[test]
fn a_history_that_was_changed_is_not_taken() {
    let folder = tempdir().unwrap();
    let study = one_of_each(&folder.path().join("t.seam"));
    let history = all(&study);
    let told = |change: &dyn Fn(&mut Vec<Revision>)| {
        let mut changed = history.clone();
        change(&mut changed);
        let to = folder.path().join("copy.seam");
        let refused = Study::rebuild(&to, |c| {
            for (hash, _) in study.photos()? {
                c.photo(&study.photo(hash)?)?;
            }
            changed.iter().try_for_each(|revision| c.replay(revision))
        })
        .unwrap_err();
        assert!(!to.exists());
        refused.to_string()
    };
    let begins = "of the history does not follow the one before it: ";
    assert!(
        told(&|h| h[3].content.text = "changed".to_owned())
            .starts_with(&format!("entry 4 {begins}its entry is "))
    );
    assert_eq!(told(&|h| drop(h.remove(3))), format!("entry 5 {begins}the one before it is 3"));
    assert_eq!(
        told(&|h| h[3].number = 2),
        format!("entry 4 {begins}it is revision 2 of record 4, whose first is missing")
    );
    assert_eq!(
        told(&|h| h[10].number = 3),
        format!("entry 11 {begins}record 7 has revision 1 before it, and this is revision 3")
    );
    assert_eq!(
        told(&|h| h[10].kind = Kind::Cut),
        format!("entry 11 {begins}record 7 was of a section and is of a cut")
    );
}

#[test]
fn a_photo_that_a_history_speaks_of_must_come_with_it() {
    let folder = tempdir().unwrap();
    let study = one_of_each(&folder.path().join("t.seam"));
    let refused = Study::rebuild(&folder.path().join("copy.seam"), |c| {
        study.each_after(0, |revision| c.replay(&revision))
    });
    assert!(matches!(refused, Err(Error::NoPhoto { .. })));
    let mut other = empty(&folder.path().join("o.seam"));
    let stamp = stamp("twice");
    let refused: Result<(), Error> = other.change(|c| {
        c.add(Kind::Coupon, &toml("A", ""), &stamp)?;
        c.add(Kind::Coupon, &toml("A", ""), &stamp).map(|_| ())
    });
    assert!(matches!(refused, Err(Error::NameTaken { .. })));
}
