//! Writing: nothing is overwritten, nobody's edit is lost, and what makes no sense is refused.

use crate::common::{add, all, elsewhere, empty, is_well, one_of_each, section, stamp, toml};
use records::{Content, Error, Form, Kind, MOST_PHOTO_BYTES, RecordId, Revision, Stamp, Study};
use tempfile::tempdir;

fn place() -> (tempfile::TempDir, std::path::PathBuf) {
    let folder = tempdir().unwrap();
    let path = folder.path().join("t.seam");
    (folder, path)
}

#[test]
fn an_edit_leaves_what_stood_there() {
    let (_folder, path) = place();
    let mut study = empty(&path);
    let first = add(&mut study, Kind::Coupon, &toml("A", "heat = \"4471-B\"\n"));
    let mut later = first.content.clone();
    later.text = "heat = \"4471-C\"\n".to_owned();
    let why = Stamp {
        author: "M. Ode".to_owned(),
        time: "2026-11-26T09:00:00Z".to_owned(),
        reason: "heat misread".to_owned(),
    };
    let second = study.change(|c| c.edit(first.record, 1, &later, &why)).unwrap();
    assert_eq!((second.number, &second.stamp, &second.content), (2, &why, &later));
    assert_eq!(study.history(first.record).unwrap(), [first.clone(), second.clone()]);
    assert_eq!(study.last(first.record).unwrap(), second);
    assert_eq!(study.revision(first.record, 1).unwrap(), first);
    // The same again is not written again.
    let same = study.change(|c| c.edit(first.record, 2, &later, &stamp("again"))).unwrap();
    assert_eq!(same, second);
    assert_eq!(study.head().unwrap().count, 3);
}

#[test]
fn a_stale_edit_is_refused_with_both_versions() {
    let (_folder, path) = place();
    let mut study = empty(&path);
    let first = add(&mut study, Kind::Coupon, &toml("A", "one"));
    let [mine, theirs] = ["mine", "theirs"].map(|text| toml("A", text));
    // Two people have the same study open.
    let mut other = Study::open(&path).unwrap();
    let now = other.change(|c| c.edit(first.record, 1, &theirs, &stamp("faster"))).unwrap();
    let refused: Error = study
        .change(|c| c.edit(first.record, 1, &mine, &stamp("slower")))
        .map(|_: Revision| ())
        .unwrap_err();
    assert_eq!(
        refused.to_string(),
        "coupon 'A' was changed by R. Tan at 2026-11-25T08:30:00Z while you worked: you started from revision 1, and it has revision 2 now"
    );
    let Error::Stale(stale) = refused else { panic!("{refused}") };
    assert_eq!((stale.started_from, stale.now, stale.yours), (first.clone(), now, mine.clone()));
    // From the newer one it goes.
    study.change(|c| c.edit(first.record, 2, &mine, &stamp("looked at both"))).unwrap();
    assert_eq!(study.last(first.record).unwrap().content, mine);
    is_well(&path);
}

#[test]
fn going_back_is_a_new_revision() {
    let (_folder, path) = place();
    let mut study = empty(&path);
    let first = add(&mut study, Kind::Coupon, &toml("A", "one"));
    let id = first.record;
    study.change(|c| c.edit(id, 1, &toml("A", "two"), &stamp("edit"))).unwrap();
    let back = study.change(|c| c.go_back(id, 2, 1, &stamp("undo"))).unwrap();
    assert_eq!((back.number, &back.content), (3, &first.content));
    let forth = study.change(|c| c.go_back(id, 3, 2, &stamp("redo"))).unwrap();
    assert_eq!((forth.number, forth.content.text.as_str()), (4, "two"));
    let gone = study.change(|c| c.withdraw(id, 4, &stamp("welded wrong plate"))).unwrap();
    assert!(gone.content.withdrawn);
    assert_eq!(study.list(Kind::Coupon).unwrap(), []);
    assert_eq!(study.named(Kind::Coupon, "A").unwrap(), None);
    assert_eq!(study.history(id).unwrap().len(), 5);
    // Its name is free, and it cannot come back while another has it.
    add(&mut study, Kind::Coupon, &toml("A", "another"));
    let refused: Error = study.change(|c| c.go_back(id, 5, 4, &stamp("undo"))).unwrap_err();
    assert_eq!(refused.to_string(), "there is a coupon 'A' already");
    let refused: Error = study.change(|c| c.go_back(id, 5, 9, &stamp("undo"))).unwrap_err();
    assert_eq!(refused.to_string(), format!("record {id} has no revision 9"));
}

#[test]
fn a_change_that_fails_leaves_nothing() {
    let (_folder, path) = place();
    let mut study = one_of_each(&path);
    let (before, photos) = (all(&study), study.photos().unwrap());
    let refused: Error = study
        .change(|c| {
            let hash = c.photo(b"a new picture")?;
            c.add(Kind::Photo, &toml("n.jpg", "").showing(hash), &stamp("new"))?;
            c.add(Kind::Section, &toml("a1.toml", ""), &stamp("the name is taken")).map(|_| ())
        })
        .unwrap_err();
    assert_eq!(refused.to_string(), "there is a section 'a1.toml' already");
    assert_eq!((all(&study), study.photos().unwrap()), (before, photos));
    is_well(&path);
}

#[test]
fn what_makes_no_sense_is_refused() {
    let (_folder, path) = place();
    let mut study = one_of_each(&path);
    let before = all(&study);
    let id = |kind| study.list(kind).unwrap()[0].record;
    let [section, coupon, claim, reading] =
        [Kind::Section, Kind::Coupon, Kind::Claim, Kind::Reading].map(id);
    let of_claim = study.last(claim).unwrap().seq;
    let read = |parent, seq| {
        let mut content = Content::new("r", Form::Json, "{}").under(parent);
        content.rests_on = seq;
        content
    };
    let long = "x".repeat(201);
    for (kind, content, fact) in [
        (Kind::Study, toml("second", ""), "there is a study 'second' already"),
        (Kind::Coupon, toml("A", ""), "there is a coupon 'A' already"),
        (Kind::Coupon, toml("", ""), "'' is no name for a coupon: it is empty"),
        (
            Kind::Coupon,
            toml(" B", ""),
            "' B' is no name for a coupon: it begins or ends with a space",
        ),
        (
            Kind::Coupon,
            toml("B\u{7}", ""),
            "'B\u{7}' is no name for a coupon: it holds a character that cannot be printed",
        ),
        (Kind::Coupon, toml("B", "").under(Some(section)), "a coupon cannot belong to a section"),
        (
            Kind::Coupon,
            toml("B", "").under(Some(RecordId(99))),
            "there is no record 99 in this study",
        ),
        (Kind::Photo, toml("p.jpg", ""), "a photo needs a picture"),
        (
            Kind::Section,
            toml("s", "").showing(elsewhere()),
            &format!("there is no photo {} in this study", elsewhere()),
        ),
        (
            Kind::Reading,
            read(None, None),
            "a reading needs the record that it came out of, and its revision",
        ),
        (
            Kind::Reading,
            read(Some(section), None),
            "a reading needs the record that it came out of, and its revision",
        ),
        (
            Kind::Reading,
            read(Some(section), Some(of_claim)),
            &format!(
                "a reading cannot belong to entry {of_claim}, which is no revision of record {section}"
            ),
        ),
        (Kind::Reading, read(Some(coupon), Some(1)), "a reading cannot belong to a coupon"),
        (Kind::Paper, read(Some(reading), Some(1)), "a paper cannot belong to a reading"),
        (
            Kind::Coupon,
            read(None, Some(1)),
            "a coupon cannot belong to a revision of another record",
        ),
        (
            Kind::Cut,
            toml(&long, ""),
            &format!("'{long}' is no name for a cut: it has more than 200 characters"),
        ),
    ] {
        let refused: Error =
            study.change(|c| c.add(kind, &content, &stamp("new"))).map(|_| ()).unwrap_err();
        assert_eq!(refused.to_string(), fact);
        assert!(!refused.advice().is_empty());
    }
    let who = |author: &str, time: &str, reason: &str| Stamp {
        author: author.to_owned(),
        time: time.to_owned(),
        reason: reason.to_owned(),
    };
    for (stamp, lacks) in [
        (who(" ", "2026-11-25T08:30:00Z", "new"), "who makes it"),
        (who("R. Tan", "2026-11-25T08:30:00Z", ""), "why it is made"),
        (who("R. Tan", "2026-11-25 08:30:00", "new"), "when it is made"),
        (who("R. Tan", "2026-11-25T08:30:0µ", "new"), "when it is made"),
    ] {
        let refused: Error =
            study.change(|c| c.add(Kind::Coupon, &toml("B", ""), &stamp)).map(|_| ()).unwrap_err();
        assert_eq!(refused.to_string(), format!("the change does not say {lacks}"));
    }
    let refused: Error = study.change(|c| c.photo(b"loose")).map(|_| ()).unwrap_err();
    assert_eq!(refused.to_string(), "a photo needs a record that shows it");
    let refused: Error = study.change(|c| c.photo(b"")).map(|_| ()).unwrap_err();
    assert_eq!(refused.to_string(), "a photo needs a picture, and this one is empty");
    let huge = vec![0; usize::try_from(MOST_PHOTO_BYTES).unwrap() + 1];
    let refused: Error = study.change(|c| c.photo(&huge)).map(|_| ()).unwrap_err();
    assert_eq!(
        refused.to_string(),
        "the photo has 268435457 bytes, and at most 268435456 are taken"
    );
    assert_eq!(all(&study), before);
    is_well(&path);
}

#[test]
fn a_photo_is_kept_once() {
    let (_folder, path) = place();
    let mut study = empty(&path);
    for name in ["a1", "a2"] {
        section(&mut study, name, None, b"one picture");
    }
    let photos = study.photos().unwrap();
    assert_eq!(photos.len(), 1);
    assert_eq!(photos[0].1, 11);
    assert_eq!(study.photo(photos[0].0).unwrap(), b"one picture");
    let refused = study.photo(elsewhere()).unwrap_err();
    assert_eq!(refused.to_string(), format!("there is no photo {} in this study", elsewhere()));
}

/// After a photo the whole study is in the one file: the journal is empty, and a reader finds all of it there.
#[test]
fn a_photo_is_in_the_file_when_it_is_answered() {
    let (_folder, path) = place();
    let mut study = empty(&path);
    let journal = || std::fs::metadata(path.with_extension("seam-wal")).map_or(0, |m| m.len());
    add(&mut study, Kind::Coupon, &toml("A", ""));
    assert!(journal() > 0);
    section(&mut study, "a1", None, b"a picture");
    assert_eq!(journal(), 0);
    study.close().unwrap();
    assert!(!path.with_extension("seam-wal").exists());
}

#[test]
fn a_file_is_never_made_over_another() {
    let (folder, path) = place();
    empty(&path).close().unwrap();
    let made = |path: &std::path::Path| {
        Study::create(path, &toml("x", ""), &stamp("new")).map(|_| ()).unwrap_err().to_string()
    };
    assert_eq!(made(&path), format!("{} is there already", path.display()));
    let other = folder.path().join("o.seam");
    let journal = folder.path().join("o.seam-wal");
    std::fs::write(&journal, "old").unwrap();
    let fact = format!("{} is left over from a study that was deleted", journal.display());
    assert_eq!(made(&other), fact);
    assert!(!other.exists());
    let nowhere = folder.path().join("none/n.seam");
    assert_eq!(
        made(&nowhere),
        format!("there is no folder {}", folder.path().join("none").display())
    );
    // A first record that is refused leaves no file, and no other one beside it.
    let refused = Study::create(&folder.path().join("b.seam"), &toml("", ""), &stamp("new"));
    assert!(matches!(refused, Err(Error::BadName { .. })));
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 2);
}

#[test]
fn what_is_no_study_is_told_and_left_alone() {
    let (folder, path) = place();
    let foreign = folder.path().join("f.seam");
    rusqlite::Connection::open(&foreign).unwrap().execute_batch("CREATE TABLE t (x)").unwrap();
    std::fs::write(&path, "photo = \"a1.jpg\"\n").unwrap();
    let long = folder.path().join("l.seam");
    std::fs::write(&long, "photo = \"a1.jpg\"\n".repeat(100)).unwrap();
    for (file, why) in [
        (&path, "it is shorter than the header of one"),
        (&long, "its first bytes are those of another kind of file"),
        (&foreign, "it is a database of something else"),
        (&folder.path().to_path_buf(), "it is a folder"),
    ] {
        for opened in [Study::open(file), Study::open_to_read(file)] {
            let fact = format!("{} is no study: {why}", file.display());
            assert_eq!(opened.map(|_| ()).unwrap_err().to_string(), fact);
        }
    }
    let nothing = folder.path().join("n.seam");
    let refused = Study::open(&nothing).map(|_| ()).unwrap_err();
    assert_eq!(refused.to_string(), format!("there is no study {}", nothing.display()));
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 3, "nothing else was made");
}

#[test]
fn a_newer_study_is_not_touched() {
    let (_folder, path) = place();
    empty(&path).close().unwrap();
    rusqlite::Connection::open(&path).unwrap().pragma_update(None, "user_version", 7).unwrap();
    let fact = format!(
        "{} is a study of version 7, and this program knows versions up to 1",
        path.display()
    );
    for opened in [Study::open(&path), Study::open_to_read(&path)] {
        assert_eq!(opened.map(|_| ()).unwrap_err().to_string(), fact);
    }
    let checked = records::check(&path, None, &mut |_, _| true);
    assert_eq!(checked.map(|_| ()).unwrap_err().to_string(), fact);
}
