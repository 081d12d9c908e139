//! The study: what is exported comes back equal, what is brought in is understood or refused, and two people lose nothing.

use proptest::prelude::*;
use records::{Content, Error, Form, Kind, RecordId, Revision, Stamp};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use tempfile::tempdir;
use workflow::clock::{By, Moment};
use workflow::progress::{Progress, Quiet, Step};
use workflow::study::{Hash, Put, Study, Unsaved, check, export, import};
use workflow::wire::ReadOut;
use workflow::wire::study::{fields, short_fields, short_text};

/// A stream of numbers (splitmix64), so that the cases are the same everywhere.
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) % n as u64) as usize
    }
}

fn by() -> By {
    By { author: "R. Tan".to_owned(), reason: None, at: Moment::from_seconds(1_795_593_600) }
}

/// A grey picture of 64 by 64 pixels as a TIFF without compression, written by hand: header, nine entries, pixels.
fn picture(grey: u8) -> Vec<u8> {
    let mut out = b"II*\0\x08\0\0\0".to_vec();
    let entries: [(u16, u16, u32); 9] = [
        (256, 3, 64),
        (257, 3, 64),
        (258, 3, 8),
        (259, 3, 1),
        (262, 3, 1),
        (273, 4, 122),
        (277, 3, 1),
        (278, 3, 64),
        (279, 4, 64 * 64),
    ];
    out.extend(9_u16.to_le_bytes());
    for (tag, kind, value) in entries {
        out.extend(tag.to_le_bytes());
        out.extend(kind.to_le_bytes());
        out.extend(1_u32.to_le_bytes());
        out.extend(value.to_le_bytes());
    }
    out.extend(0_u32.to_le_bytes());
    out.extend(std::iter::repeat_n(grey, 64 * 64));
    out
}

const SECTION: &str = "photo = \"a1.tif\"\njoint = \"bead\"\netched = true\ncoupon = \"A\"\nsection = 1\n[[scale]]\nper_pixel = \"0.1 mm\"\n[plates]\nsurface = [[2, 20], [60, 20]]\n[[fused]]\npoints = [[10, 20], [32, 50], [54, 20]]\ntrace = \"straight\"\n";

fn new_study(path: &Path) -> Study {
    Study::create(path, "title = \"Hollin Ferry\"\ninvented = true\n", &by()).unwrap()
}

fn with_a_section(path: &Path) -> (Study, Revision) {
    let study = new_study(path);
    let coupon = study.put(Kind::Coupon, &Put::new("A", "position = \"PB\"\n"), &by()).unwrap();
    let photo = Put::new("photos/a1.tif", "").under(coupon.record);
    study.put_photo(&photo, &picture(90), &by()).unwrap();
    let marks = Put::new("photos/a1.toml", SECTION).under(coupon.record);
    let section = study.put_section(&marks, &by()).unwrap();
    (study, section)
}

fn all(path: &Path) -> Vec<Revision> {
    let mut out = Vec::new();
    records::Study::open_to_read(path)
        .unwrap()
        .each_after::<Error>(0, |r| {
            out.push(r);
            Ok(())
        })
        .unwrap();
    out
}

/// Every file below a folder.
fn tree(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut out = BTreeMap::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(dir) = open.pop() {
        for entry in std::fs::read_dir(dir).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                open.push(path);
            } else {
                let name = path.strip_prefix(folder).unwrap().to_path_buf();
                out.insert(name, std::fs::read(path).unwrap());
            }
        }
    }
    out
}

#[test]
fn a_section_of_a_study_reads_as_its_file_does() {
    let folder = tempdir().unwrap();
    let (study, section) = with_a_section(&folder.path().join("t.seam"));
    let files = folder.path().join("photos");
    std::fs::create_dir(&files).unwrap();
    std::fs::write(files.join("a1.tif"), picture(90)).unwrap();
    std::fs::write(files.join("a1.toml"), SECTION).unwrap();
    let mut of_file = workflow::read::read(&files.join("a1.toml")).unwrap();
    let of_study = study.read_section("photos/a1.toml").unwrap();
    assert_eq!(of_study.fingerprint, of_file.fingerprint);
    of_file.out.file = "photos/a1.toml".to_owned();
    assert_eq!(of_study.out, of_file.out);
    // By construction: the triangle goes from row 20 to row 50, 0.1 mm each.
    let depth = of_study.out.welds["only"]["penetration_mm"].as_f64().unwrap();
    assert!((depth - 3.0).abs() < 0.15, "{depth}");
    // What is kept says the same to the last digit, and is written once.
    let kept = study.keep_reading(&section, &of_study, &by()).unwrap();
    assert_eq!(study.keep_reading(&section, &of_study, &by()).unwrap(), kept);
    let figures = ReadOut { outlines: Vec::new(), ..of_study.out.clone() };
    assert_eq!(study.readings().unwrap()[0].reading, figures);
    // Marks that were moved since have no reading yet, and the older ones still read as they did.
    let moved = SECTION.replace("[32, 50]", "[32, 55]");
    let put = Put {
        of: Some((section.record, 1)),
        name: "photos/a1.toml",
        parent: section.content.parent,
        text: &moved,
    };
    study.put_section(&put, &by().because("the root lies deeper")).unwrap();
    assert_eq!(study.readings().unwrap(), []);
    assert_eq!(study.read_revision(&section).unwrap().out, of_study.out);
    assert!(study.read_section("photos/a1.toml").unwrap().out != of_study.out);
    let history = study.history(section.record).unwrap();
    assert_eq!(history[1].stamp.reason, "the root lies deeper");
}

#[test]
fn two_people_on_one_section_lose_nothing() {
    let folder = tempdir().unwrap();
    let path = folder.path().join("t.seam");
    let (study, section) = with_a_section(&path);
    let other = Study::open(&path).unwrap();
    let [mine, theirs] = ["[32, 51]", "[32, 52]"].map(|p| SECTION.replace("[32, 50]", p));
    let put = |text| Put {
        of: Some((section.record, 1)),
        name: "photos/a1.toml",
        parent: section.content.parent,
        text,
    };
    let now = other.put_section(&put(&theirs), &By::now("M. Ode")).unwrap();
    let refused = study.put_section(&put(&mine), &by()).unwrap_err();
    let Unsaved::Stale(stale) = refused else { panic!("{refused:?}") };
    assert_eq!((&stale.started_from, &stale.now), (&section, &now));
    assert_eq!(stale.yours.text, mine);
    let put = Put { of: Some((section.record, now.number)), ..put(&mine) };
    study.put_section(&put, &by()).unwrap();
    let back = study.go_back(section.record, 3, 2, &by()).unwrap();
    assert_eq!((back.content.text.as_str(), back.number), (theirs.as_str(), 4));
    assert!(check(&path, None, &Quiet).unwrap().holds);
}

#[test]
fn what_cannot_be_understood_is_not_stored() {
    let folder = tempdir().unwrap();
    let path = folder.path().join("t.seam");
    let (study, section) = with_a_section(&path);
    let before = study.head().unwrap();
    let said = |unsaved: Unsaved| Refusal::from(unsaved).to_string();
    use workflow::refusal::Refusal;
    let shown = path.display();
    let put = Put::new("p.tif", "");
    assert_eq!(
        said(study.put_photo(&put, b"no picture at all, only words", &by()).unwrap_err())
            .lines()
            .next()
            .unwrap(),
        "p.tif: the file starts with 6E 6F 20 70 69 63 74 75, which is no kind of picture known here"
    );
    for (put, fact) in [
        (
            Put::new("b.toml", SECTION),
            format!(
                "{shown}/b.toml:1: photo: there is no photo 'a1.tif' in the study\n  next: take the photo in first, or correct its name"
            ),
        ),
        (
            Put::new("b.toml", "photo = 1"),
            format!(
                "{shown}/b.toml:1: photo: the number 1 stands here, and a text in double quotes belongs here\n  next: name the photo beside this file: photo = \"a1.jpg\""
            ),
        ),
    ] {
        assert_eq!(said(study.put_section(&put, &by()).unwrap_err()), fact);
    }
    for (kind, text, fact) in [
        (Kind::Joint, "joint = \"knee\"", "'knee' is no kind of joint"),
        (Kind::Claim, "sections = []", "no reading file is named"),
        (Kind::Study, "", "the study has no title"),
        (Kind::Setting, "power = \"2\"", "\"2\" has no unit"),
        (Kind::Setting, "colour = \"red\"", "there is no field 'colour'"),
        (Kind::Coupon, "welded_on = \"2026-02-30\"", "'2026-02-30' is not a day"),
        (Kind::Reading, "{}", "a reading is not written as a text alone"),
        (Kind::Photo, "", "a photo is not written as a text alone"),
    ] {
        let refused = said(study.put(kind, &Put::new("x", text), &by()).unwrap_err());
        assert!(refused.contains(fact), "{refused}\nnot: {fact}");
        assert!(refused.contains("\n  next: "), "{refused}");
    }
    assert_eq!(study.head().unwrap(), before);
    let gone = study.withdraw(section.record, 1, &by()).unwrap();
    assert!(gone.content.withdrawn);
    let refused = study.read_section("photos/a1.toml").unwrap_err();
    assert_eq!(refused.fact, "there is no section 'photos/a1.toml' in the study");
}

/// Names that a folder must not be led astray by.
const NAMES: [&str; 12] = [
    "a1.toml",
    "photos/a1.toml",
    "A1.TOML",
    "../out.toml",
    "/etc/x.toml",
    "con.toml",
    "a\\b.toml",
    ".hidden",
    "ends with.",
    "µ ü.toml",
    "../../../x",
    "a1.toml/b",
];

/// Anything that people may do, in any order; what is refused is passed over.
fn work(path: &Path, seed: u64, steps: usize) {
    let mut study = records::Study::open(path).unwrap();
    let mut numbers = Numbers(seed);
    let stamp = |step| Stamp {
        author: "R. Tan".to_owned(),
        time: "2026-11-25T08:30:00Z".to_owned(),
        reason: format!("step {step}"),
    };
    for step in 0..steps {
        let count = study.head().unwrap().count;
        let record = RecordId(1 + numbers.below(usize::try_from(count).unwrap()) as i64);
        let kind = Kind::ALL[numbers.below(Kind::ALL.len())];
        let what = numbers.below(6);
        let name = NAMES[numbers.below(NAMES.len())];
        let pictures = vec![numbers.below(256) as u8; 3 + numbers.below(4)];
        let tried: Result<Revision, Error> = study.change(|c| {
            let last = c.last(record);
            match what {
                0..=2 => {
                    let text = format!("text \"{step}\" µ\u{1f600}\\ \r\n\t\0");
                    let form = if step % 2 == 0 { Form::Toml } else { Form::Json };
                    let mut content = Content::new(name, form, text);
                    if !kind.may_belong_to().is_empty() && step % 3 != 0 {
                        content.parent = Some(record);
                        let seq = last?.seq;
                        content.rests_on = kind.comes_out_of_another().then_some(seq);
                    }
                    if matches!(kind, Kind::Photo | Kind::Section) {
                        content.photo = Some(c.photo(&pictures)?);
                    }
                    c.add(kind, &content, &stamp(step))
                }
                3 => {
                    let last = last?;
                    let content = Content { text: "edited".to_owned(), ..last.content };
                    c.edit(record, last.number, &content, &stamp(step))
                }
                4 => c.go_back(record, last?.number, 1, &stamp(step)),
                _ => c.withdraw(record, last?.number, &stamp(step)),
            }
        });
        drop(tried);
    }
    study.close().unwrap();
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]
    #[test]
    fn an_exported_study_comes_back_equal(seed in any::<u64>(), steps in 0_usize..60) {
        let folder = tempdir().unwrap();
        let [path, copy] = ["t.seam", "copy.seam"].map(|name| folder.path().join(name));
        let [first, second] = ["one", "two"].map(|name| folder.path().join(name));
        new_study(&path).close().unwrap();
        work(&path, seed, steps);
        let study = Study::open_to_read(&path).unwrap();
        let exported = export(&study, &first, &Quiet).unwrap();
        prop_assert_eq!(exported.head, study.head().unwrap());
        prop_assert_eq!(import(&first, &copy, &Quiet).unwrap(), exported.head);
        prop_assert_eq!(all(&copy), all(&path));
        prop_assert!(check(&copy, Some(&exported.head.to_string()), &Quiet).unwrap().holds);
        // The copy's own export is the same files.
        export(&Study::open_to_read(&copy).unwrap(), &second, &Quiet).unwrap();
        prop_assert_eq!(tree(&second), tree(&first));
        drop(study);
        // Nothing was written beside the two folders and the two studies.
        prop_assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 4);
    }
}

#[test]
fn an_exported_folder_has_what_the_steps_read() {
    let folder = tempdir().unwrap();
    let path = folder.path().join("t.seam");
    let (study, section) = with_a_section(&path);
    let done = study.read_section("photos/a1.toml").unwrap();
    study.keep_reading(&section, &done, &by()).unwrap();
    // One picture under a second name.
    study.put_photo(&Put::new("same.tif", ""), &picture(90), &by()).unwrap();
    // A picture that no last revision shows.
    let old = study.put_photo(&Put::new("old.tif", ""), &picture(10), &by()).unwrap();
    study.withdraw(old.record, 1, &by()).unwrap();
    let out = folder.path().join("out");
    let exported = export(&study, &out, &Quiet).unwrap();
    assert_eq!(exported.remarks, Vec::<String>::new());
    let files: Vec<String> =
        tree(&out).into_keys().map(|p| p.to_string_lossy().replace('\\', "/")).collect();
    let older = format!("older/{}.tif", Hash::of(&picture(10)));
    assert_eq!(
        files,
        [
            "files/photos/a1.tif",
            "files/photos/a1.toml",
            "files/same.tif",
            "history.jsonl",
            &older,
            "readings.csv",
            "readings.xlsx",
            "study.json"
        ]
    );
    let again = workflow::read::read(&out.join("files/photos/a1.toml")).unwrap();
    assert_eq!(again.fingerprint, done.fingerprint);
    let copy = folder.path().join("copy.seam");
    assert_eq!(import(&out, &copy, &Quiet).unwrap(), exported.head);
    // Whoever changed a text there is told: the history would say otherwise.
    std::fs::write(out.join("files/photos/a1.toml"), "changed").unwrap();
    let refused = import(&out, &folder.path().join("x.seam"), &Quiet).unwrap_err();
    assert_eq!(
        refused.fact,
        "the text was changed after the export, and a history is taken as it was written"
    );
    std::fs::write(out.join("files/same.tif"), picture(91)).unwrap();
    let refused = import(&out, &folder.path().join("x.seam"), &Quiet).unwrap_err();
    assert!(refused.fact.starts_with("the photo is not the one that was exported, "));
    let refused = export(&study, &out, &Quiet).unwrap_err();
    assert_eq!(refused.fact, "the folder holds something, and nothing is written over");
}

/// Up to three changes to a text; in half of them a digit becomes another.
fn changed(text: &str, numbers: &mut Numbers) -> Vec<u8> {
    let mut bytes = text.as_bytes().to_vec();
    let digits_only = numbers.below(2) == 0;
    for _ in 0..=numbers.below(3) {
        if digits_only {
            let digits: Vec<usize> =
                (0..bytes.len()).filter(|&i| bytes[i].is_ascii_digit()).collect();
            if !digits.is_empty() {
                bytes[digits[numbers.below(digits.len())]] = b'0' + numbers.below(10) as u8;
            }
            continue;
        }
        if bytes.is_empty() {
            break;
        }
        let put = b"0123456789-+.,e[]{}:\\ \n\"/=ntmu\0\xff";
        let (at, by) = (numbers.below(bytes.len()), put[numbers.below(put.len())]);
        match numbers.below(4) {
            0 => bytes.insert(at, by),
            1 => drop(bytes.remove(at)),
            2 => bytes.truncate(at.max(1)),
            _ => bytes[at] = by,
        }
    }
    bytes
}

/// 10 000 folders whose JSON was changed at random: an equal study, or a refusal and no file.
#[test]
fn changed_folders_are_refused_and_leave_nothing() {
    let folder = tempdir().unwrap();
    let path = folder.path().join("t.seam");
    let (study, section) = with_a_section(&path);
    let moved = SECTION.replace("[32, 50]", "[32, 55]");
    let put = Put { of: Some((section.record, 1)), ..Put::new("photos/a1.toml", &moved) };
    study.put_section(&put, &by()).unwrap();
    let out = folder.path().join("out");
    let head = export(&study, &out, &Quiet).unwrap().head;
    let [list, history] = ["study.json", "history.jsonl"]
        .map(|name| (out.join(name), std::fs::read_to_string(out.join(name)).unwrap()));
    let copy = folder.path().join("copy.seam");
    let mut numbers = Numbers(4);
    let (mut taken, mut refused) = (0, 0);
    for case in 0..10_000 {
        let (file, text) = if case % 3 == 0 { &list } else { &history };
        let bytes = changed(text, &mut numbers);
        std::fs::write(file, &bytes).unwrap();
        match import(&out, &copy, &Quiet) {
            Ok(came) => {
                // A blank more, or one digit for itself.
                assert_eq!(came, head, "{}", String::from_utf8_lossy(&bytes));
                taken += 1;
                std::fs::remove_file(&copy).unwrap();
            }
            Err(refusal) => {
                refused += 1;
                assert!(refusal.file.is_some(), "{refusal}");
                assert!(!refusal.fact.is_empty() && !refusal.advice.is_empty(), "{refusal}");
                assert!(!copy.exists());
            }
        }
        std::fs::write(file, text).unwrap();
    }
    println!("{taken} taken, {refused} refused");
    assert!(refused > 8_000, "{refused}");
    // The study, the folder, and nothing else.
    drop(study);
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 2);
    assert_eq!(import(&out, &copy, &Quiet).unwrap(), head);
}

#[test]
fn every_example_of_a_short_record_is_understood() {
    for kind in Kind::ALL {
        let Some(known) = fields(kind) else { continue };
        let given: Vec<(&str, &str)> = known.iter().map(|f| (f.name, f.example)).collect();
        let text = short_text(kind, "x", &given).unwrap();
        let back = short_fields(kind, "x", &text).unwrap();
        let back: Vec<(&str, &str)> = back.iter().map(|(n, v)| (*n, v.as_str())).collect();
        assert_eq!(back, given);
    }
    let quoted = [("title", "the \"step\" \\ µ\n\u{7}")];
    let text = short_text(Kind::Study, "x", &quoted).unwrap();
    assert_eq!(short_fields(Kind::Study, "x", &text).unwrap()[0].1, quoted[0].1);
    let refused = short_text(Kind::Coupon, "x", &[("welder", "R. Tan")]).unwrap_err();
    assert!(refused.advice.starts_with("did you mean 'welded_by'?"), "{refused}");
}

/// 10 000 short records changed at random.
#[test]
fn wild_short_records_are_understood_or_refused() {
    let mut numbers = Numbers(6);
    let texts: Vec<(Kind, String)> = Kind::ALL
        .into_iter()
        .filter_map(|kind| {
            let given: Vec<(&str, &str)> =
                fields(kind)?.iter().map(|f| (f.name, f.example)).collect();
            Some((kind, short_text(kind, "x", &given).unwrap()))
        })
        .collect();
    let (mut taken, mut refused) = (0, 0);
    for case in 0..10_000 {
        let (kind, text) = &texts[case % texts.len()];
        let text = String::from_utf8_lossy(&changed(text, &mut numbers)).into_owned();
        match short_fields(*kind, "x", &text) {
            Ok(_) => taken += 1,
            Err(refusal) => {
                refused += 1;
                assert_eq!(refusal.file.as_deref(), Some("x"), "{text}");
                assert!(!refusal.fact.is_empty() && !refusal.advice.is_empty(), "{text}");
            }
        }
    }
    assert!(taken > 1000 && refused > 1000, "{taken} taken, {refused} refused");
}

/// Stops after some steps.
struct Stops(std::sync::atomic::AtomicUsize);

impl Progress for Stops {
    fn step(&self, _: &Step<'_>) {
        self.0.fetch_sub(1, std::sync::atomic::Ordering::Relaxed);
    }

    fn cancelled(&self) -> bool {
        self.0.load(std::sync::atomic::Ordering::Relaxed) == 0
    }
}

#[test]
fn who_stops_leaves_nothing_behind() {
    let folder = tempdir().unwrap();
    let path = folder.path().join("t.seam");
    let (study, _) = with_a_section(&path);
    study.put_photo(&Put::new("b.tif", ""), &picture(1), &by()).unwrap();
    let stops = || Stops(1.into());
    let [out, copy] = ["out", "copy.seam"].map(|name| folder.path().join(name));
    let stopped = |refused: Result<(), workflow::refusal::Refusal>| {
        assert_eq!(refused.unwrap_err().fact, "stopped");
        assert!(!out.exists() && !copy.exists());
    };
    stopped(export(&study, &out, &stops()).map(|_| ()));
    stopped(study.backup(&copy, &stops()).map(|_| ()));
    stopped(check(&path, None, &Stops(0.into())).map(|_| ()));
    let folder_of = folder.path().join("folder");
    export(&study, &folder_of, &Quiet).unwrap();
    stopped(import(&folder_of, &copy, &stops()).map(|_| ()));
    study.backup(&copy, &Quiet).unwrap();
    assert_eq!(all(&copy), all(&path));
}

/// Two signed plans, one of which another program's version wrote: that one says so, and hides neither the other nor itself.
#[test]
fn a_plan_that_cannot_be_understood_hides_no_other() {
    let dir = tempdir().unwrap();
    let path = dir.path().join("a.seam");
    let study = new_study(&path);
    let setup = std::fs::read_to_string("../../examples/area.toml").unwrap();
    let signing = workflow::study::Signing {
        by: "M. Okafor".to_owned(),
        on: "2026-11-25".to_owned(),
        despite: "a trial of the paper".to_owned(),
    };
    let kept = study.sign_area(&setup, &signing, by().at).unwrap();
    study.keep_area(&kept, &by()).unwrap();
    drop(study);
    let mut store = records::Study::open(&path).unwrap();
    let of = store.last(RecordId(1)).unwrap();
    let odd = Content::new("area plan of elsewhere", Form::Json, "{\"sentence\": 7}")
        .under(Some(of.record))
        .out_of(of.seq);
    store.change(|c| c.add(Kind::Paper, &odd, &of.stamp)).unwrap();
    store.close().unwrap();
    let plans = Study::open(&path).unwrap().areas().unwrap();
    let states: Vec<_> = plans.iter().map(workflow::study::SignedArea::state).collect();
    assert_eq!(states.len(), 2, "{states:?}");
    assert!(!states[0].0 && states[0].1.contains("'area plan of elsewhere' cannot be understood"));
    assert!(states[1].0 && states[1].1.starts_with("It stands."), "{states:?}");
}
