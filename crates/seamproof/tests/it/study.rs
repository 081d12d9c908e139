//! Studies at the command line: the same figures as from files, the head on the paper, and what is said when it goes wrong.

use crate::demo::first;
use crate::run::{Said, folder, names, seamproof};
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// A copy of the demo's study, and where it lies.
fn demo_study() -> (TempDir, PathBuf) {
    let place = folder(&[]);
    let path = place.path().join("demo.seam");
    std::fs::copy(first().0.path().join("seamproof-demo/demo.seam"), &path).unwrap();
    (place, path)
}

fn ok(place: &Path, args: &[&str]) -> Said {
    let said = seamproof(place, args);
    assert_eq!(said.code, 0, "{args:?} {said:?}");
    said
}

/// The rows of a table, by column; what is blank is left out. The demo's tables quote nothing.
fn rows(table: &str) -> Vec<BTreeMap<&str, &str>> {
    let mut lines = table.lines();
    let names: Vec<&str> = lines.next().unwrap().split(',').collect();
    lines
        .map(|l| names.iter().copied().zip(l.split(',')).filter(|(_, v)| !v.is_empty()).collect())
        .collect()
}

/// What was said, however its lines were broken.
fn flat(said: &Said) -> String {
    said.out.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Everything but the name of the file that it was read from.
fn figures(line: &str) -> Value {
    let mut value: Value = serde_json::from_str(line).unwrap();
    value.as_object_mut().unwrap().remove("file");
    value
}

#[test]
fn the_demo_s_study_reads_as_its_files_do() {
    let (place, _) = demo_study();
    let files = first().0.path().join("seamproof-demo");
    let of_study = ok(place.path(), &["read", "demo.seam", "--json", "--csv", "study.csv"]);
    let lines: Vec<&str> = of_study.out.lines().collect();
    assert_eq!(lines.len(), 14);
    let sections: Vec<String> = lines
        .iter()
        .map(|line| {
            serde_json::from_str::<Value>(line).unwrap()["file"].as_str().unwrap().to_owned()
        })
        .collect();
    let mut args = vec!["read"];
    args.extend(sections.iter().map(String::as_str));
    args.push("--json");
    let of_files = ok(&files, &args);
    for (study, file) in lines.iter().zip(of_files.out.lines()) {
        assert_eq!(figures(study), figures(file));
    }
    let one = ["read", "demo.seam", "--section", &sections[10], "--json"];
    assert_eq!(ok(place.path(), &one).out.trim_end(), lines[10]);
    // Reading leaves the study as it was, and nothing beside it.
    assert_eq!(names(place.path()), ["demo.seam", "study.csv"]);
    let study = std::fs::read(files.join("demo.seam")).unwrap();
    assert!(std::fs::read(place.path().join("demo.seam")).unwrap() == study);
}

#[test]
fn the_demo_s_study_claims_what_its_files_do() {
    let (place, path) = demo_study();
    let files = first().0.path().join("seamproof-demo");
    let file = ok(&files, &["claim", "claim.toml", "--json"]).json();
    let study = ok(place.path(), &["claim", "demo.seam", "--claim", "claim.toml", "--json"]).json();
    assert_eq!(study, file);
    // The paper is that of the files, but for the head.
    let report = |folder: &Path, name: &str, out: &str| {
        let out = place.path().join(out);
        let mut args = vec!["write", "report", name, "--out", out.to_str().unwrap(), "--json"];
        if name.ends_with(".seam") {
            args.extend(["--claim", "claim.toml"]);
        }
        let said = ok(folder, &args);
        let mut says = said.json()["says"].clone();
        // A long word may be broken where a blank without width stands.
        let study = says["study"].as_str().unwrap().replace('\u{200b}', "");
        for part in ["study", "running_study", "method"] {
            says.as_object_mut().unwrap().remove(part).unwrap();
        }
        (study, says)
    };
    let (of_file, says_of_file) = report(&files, "claim.toml", "file.pdf");
    let (of_study, says_of_study) = report(place.path(), "demo.seam", "study.pdf");
    assert_eq!(says_of_study, says_of_file);
    let head = of_study.split("head ").nth(1).unwrap().split(',').next().unwrap().to_owned();
    assert_eq!(of_study.replace(&format!(", head {head}"), ""), of_file);
    // The head is in the study, also after more was written.
    ok(place.path(), &["study", "check", "demo.seam", "--head", &head]);
    let entries = |path: &Path| {
        ok(place.path(), &["study", "check", path.to_str().unwrap(), "--json"]).json()["entries"]
            .as_i64()
            .unwrap()
    };
    let after_paper = entries(&path);
    // The same report again is the same bytes, prints the same head, and is kept once.
    let (again, _) = report(place.path(), "demo.seam", "again.pdf");
    assert_eq!(again, of_study);
    let pdf = |name: &str| std::fs::read(place.path().join(name)).unwrap();
    assert!(pdf("again.pdf") == pdf("study.pdf"));
    assert_eq!(entries(&path), after_paper);
    assert_eq!(entries(&first().0.path().join("seamproof-demo/demo.seam")), after_paper - 1);
}

#[test]
fn another_head_is_not_in_the_study() {
    let (place, path) = demo_study();
    let said =
        seamproof(place.path(), &["study", "check", "demo.seam", "--head", "0123456789abcdef-57"]);
    assert_eq!(said.code, 1, "{said:?}");
    assert!(flat(&said).contains("The head 0123456789abcdef-57 is not in it"), "{said:?}");
    assert!(flat(&said).contains("next: compare with a backup"), "{said:?}");
    seamproof(place.path(), &["study", "check", "demo.seam", "--head", "0123"]).refuses(
        "--head: '0123' is no head of a study: a head has 16 digits as papers print it, or up to 64",
        "write it as the paper prints it: 0123456789abcdef-57",
    );
    // A byte of a photo changed on the disk.
    let mut bytes = std::fs::read(&path).unwrap();
    let photo = std::fs::read(first().0.path().join("seamproof-demo/photos/a1.jpg")).unwrap();
    // Far into it: SQLite may leave an older copy of a row's first bytes where nothing is.
    let part = &photo[20_000..20_040];
    let at = bytes.windows(part.len()).position(|w| w == part).unwrap();
    bytes[at] ^= 1;
    std::fs::write(&path, bytes).unwrap();
    let said = seamproof(place.path(), &["study", "check", "demo.seam"]);
    assert_eq!(said.code, 1, "{said:?}");
    assert!(
        flat(&said).contains("- the photo of photo 'photos/a1.jpg', section 'photos/a1.toml' is not the one that was saved, "),
        "{said:?}"
    );
    // A damaged photo is not read as if nothing were.
    let said = seamproof(place.path(), &["read", "demo.seam", "--section", "photos/a1.toml"]);
    assert_eq!(said.code, 2, "{said:?}");
    assert!(said.err.contains("is not the one that was saved"), "{said:?}");
}

#[test]
fn export_and_import_make_an_equal_study() {
    let (place, _) = demo_study();
    let place = place.path();
    let exported = ok(place, &["study", "export", "demo.seam", "--out", "out"]);
    let imported = ok(place, &["study", "import", "out", "--out", "copy.seam"]);
    let head = |said: &Said| said.out.split("head ").nth(1).unwrap().trim().to_owned();
    assert_eq!(head(&exported), head(&imported));
    let check = |name: &str| {
        let mut out = ok(place, &["study", "check", name, "--json"]).json();
        out.as_object_mut().unwrap().remove("study");
        out
    };
    assert_eq!(check("copy.seam"), check("demo.seam"));
    // The folder's own files are read and claimed as they are, to the same table.
    let demo = first().0.path().join("seamproof-demo");
    let text = |path: PathBuf| std::fs::read_to_string(path).unwrap();
    let table = text(place.join("out/readings.csv"));
    let counted = text(demo.join("readings.csv"));
    // The study's table has the columns of the butt, too: each row of the demo's is one of it, column by column.
    let (table, counted) = (rows(&table), rows(&counted));
    for row in &counted {
        let same = |r: &BTreeMap<&str, &str>| row.iter().all(|(name, v)| r.get(name) == Some(v));
        assert!(table.iter().any(same), "{row:?}");
    }
    let of_file = ok(place, &["claim", "out/files/claim.toml", "--json"]).json();
    let of_study = ok(place, &["claim", "demo.seam", "--claim", "claim.toml", "--json"]).json();
    assert_eq!(of_file, of_study);
    ok(place, &["study", "backup", "demo.seam", "--out", "backup.seam"]);
    assert_eq!(check("backup.seam"), check("demo.seam"));
    seamproof(place, &["study", "backup", "demo.seam", "--out", "backup.seam"])
        .refuses("backup.seam is there already", "choose another name: no file is written over");
}

#[test]
fn a_folder_of_files_becomes_a_study() {
    let place = folder(&[]);
    let place = place.path();
    let demo = first().0.path().join("seamproof-demo");
    let args = ["study", "import", demo.to_str().unwrap(), "--out", "mine.seam"];
    seamproof(place, &args).refuses(
        &format!("{}: --title is not given", demo.display()),
        "add --title 'Gangway step'",
    );
    let mut args = args.to_vec();
    args.extend(["--title", "Gangway step", "--author", "R. Tan", "--invented"]);
    let said = ok(place, &args);
    assert!(
        flat(&said).starts_with(
            "mine.seam: a new study of 2 joints, 2 settings, 14 sections, 14 readings and 2 claims, head "
        ),
        "{said:?}"
    );
    let of_study = ok(place, &["claim", "mine.seam", "--claim", "claim.toml", "--json"]).json();
    assert_eq!(of_study, ok(&demo, &["claim", "claim.toml", "--json"]).json());
    seamproof(place, &args)
        .refuses("mine.seam is there already", "choose another name: no file is written over");
    std::fs::create_dir(place.join("empty")).unwrap();
    let args = ["study", "import", "empty", "--out", "e.seam", "--title", "t", "--author", "a"];
    seamproof(place, &args).refuses(
        "empty: no reading file, joint file, setting file or claim file is in this folder",
        "name the folder that holds them, or one that 'study export' made",
    );
}

#[test]
fn a_new_study_is_empty_and_says_what_to_do() {
    let place = folder(&[("notes.txt", b"mine")]);
    let place = place.path();
    let new = |name: &str| {
        seamproof(place, &["study", "new", name, "--title", "Gangway step", "--author", "R. Tan"])
    };
    let said = new("s.seam");
    assert!(said.out.starts_with("s.seam: a new study, head ") && said.code == 0, "{said:?}");
    assert_eq!(names(place), ["notes.txt", "s.seam"]);
    let [exists, ending] = [new("s.seam"), new("notes.txt")];
    exists.refuses("s.seam is there already", "choose another name: no file is written over");
    ending.refuses("notes.txt: the name does not end in .seam", "name it notes.txt.seam");
    seamproof(place, &["read", "s.seam"]).refuses(
        "s.seam: the study has no section yet",
        "bring sections in: 'seamproof study import --help'",
    );
    seamproof(place, &["claim", "s.seam"]).refuses(
        "s.seam: the study has no claim yet",
        "write one: a claim file says what is asked of which sections",
    );
    seamproof(place, &["read", "none.seam"]).refuses(
        "there is no study none.seam",
        "check the name and the folder, or make one with 'study new'",
    );
    std::fs::write(place.join("text.seam"), "photo = 'a1.jpg'".repeat(20)).unwrap();
    seamproof(place, &["study", "check", "text.seam"]).refuses(
        "text.seam is no study: its first bytes are those of another kind of file",
        "name a study file, NAME.seam, as 'study new' makes it",
    );
    seamproof(place, &["claim", "notes.txt", "--claim", "x"])
        .refuses("notes.txt: --claim is given, and this is no study", "leave the flag out");
    seamproof(place, &["read", "notes.txt", "--section", "x"]).refuses(
        "--section is given, and no study is",
        "leave it out: a reading file is one section",
    );
    seamproof(place, &["claim", "s.seam", "--need", "3 mm"]).refuses(
        "s.seam: --need is given beside a study, whose claim says itself what is asked",
        "write it into the claim file, and leave the flag out",
    );
}
