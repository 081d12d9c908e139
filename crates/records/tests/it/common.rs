//! Studies to try things on.

use records::{Content, Form, Hash, Kind, RecordId, Revision, Stamp, Study};
use std::path::Path;

/// A stream of numbers (splitmix64), so that the cases are the same everywhere.
pub(crate) struct Numbers(pub(crate) u64);

impl Numbers {
    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    pub(crate) fn below(&mut self, n: usize) -> usize {
        (self.next() % n as u64) as usize
    }

    pub(crate) fn bytes(&mut self, n: usize) -> Vec<u8> {
        (0..n).map(|_| self.next() as u8).collect()
    }
}

pub(crate) fn stamp(reason: &str) -> Stamp {
    Stamp {
        author: "R. Tan".to_owned(),
        time: "2026-11-25T08:30:00Z".to_owned(),
        reason: reason.to_owned(),
    }
}

pub(crate) fn toml(name: &str, text: &str) -> Content {
    Content::new(name, Form::Toml, text)
}

/// A new study without anything in it.
pub(crate) fn empty(path: &Path) -> Study {
    let content = toml("Hollin Ferry gangway step", "title = \"Hollin Ferry gangway step\"\n");
    Study::create(path, &content, &stamp("begun")).unwrap()
}

/// Writes one record, in a change of its own.
pub(crate) fn add(study: &mut Study, kind: Kind, content: &Content) -> Revision {
    study.change(|c| c.add(kind, content, &stamp("new"))).unwrap()
}

/// Photo and section in one change, as they arrive together.
pub(crate) fn section(
    study: &mut Study,
    name: &str,
    coupon: Option<RecordId>,
    photo: &[u8],
) -> Revision {
    study
        .change(|c| {
            let hash = c.photo(photo)?;
            let picture = toml(&format!("{name}.jpg"), "").under(coupon).showing(hash);
            c.add(Kind::Photo, &picture, &stamp("photographed"))?;
            let marks = format!("photo = \"{name}.jpg\"\n");
            let marks = toml(&format!("{name}.toml"), &marks).under(coupon).showing(hash);
            c.add(Kind::Section, &marks, &stamp("points set"))
        })
        .unwrap()
}

/// A study with a record of every kind and some history: 13 entries.
pub(crate) fn one_of_each(path: &Path) -> Study {
    let mut study = empty(path);
    let s = &mut study;
    let joint = add(s, Kind::Joint, &toml("joint.toml", "joint = \"tee\"\n"));
    let setting = add(s, Kind::Setting, &toml("S-07", "").under(Some(joint.record)));
    let coupon = add(s, Kind::Coupon, &toml("A", "").under(Some(setting.record)));
    let cut = add(s, Kind::Cut, &toml("A 1", "").under(Some(coupon.record)));
    let first = section(s, "a1", Some(cut.record), b"the picture of a1");
    let read = Content::new("a1.toml", Form::Json, "{\"throat_mm\":3.82}")
        .under(Some(first.record))
        .out_of(first.seq);
    add(s, Kind::Reading, &read);
    let claim = toml("claim.toml", "sections = [\"a1.toml\"]\n").under(Some(joint.record));
    let claim = add(s, Kind::Claim, &claim);
    let paper =
        Content::new("report.pdf", Form::Json, "{}").under(Some(claim.record)).out_of(claim.seq);
    add(s, Kind::Paper, &paper);
    let mut moved = first.content.clone();
    moved.text.push_str("# a point moved\n");
    s.change(|c| c.edit(first.record, 1, &moved, &stamp("the root lies deeper"))).unwrap();
    section(s, "a2", Some(cut.record), "the picture of a2".as_bytes());
    study
}

/// Every revision of a study.
pub(crate) fn all(study: &Study) -> Vec<Revision> {
    let mut out = Vec::new();
    study
        .each_after::<records::Error>(0, |r| {
            out.push(r);
            Ok(())
        })
        .unwrap();
    out
}

/// The check of a study of which nothing is expected to be wrong.
#[track_caller]
pub(crate) fn is_well(path: &Path) {
    let checked = records::check(path, None, &mut |_, _| true).unwrap();
    assert_eq!(checked.faults, []);
}

/// A hash of something that is in no study.
pub(crate) fn elsewhere() -> Hash {
    Hash::of(b"not here")
}
