//! The demo: what it writes can be read and claimed again with the same figures, and it writes over nobody's files.

use crate::run::{Said, folder, names, seamproof};
use std::path::Path;
use std::sync::OnceLock;
use tempfile::TempDir;

/// One run for all tests that only look at it.
pub(crate) fn first() -> &'static (TempDir, Said) {
    static RUN: OnceLock<(TempDir, Said)> = OnceLock::new();
    RUN.get_or_init(|| {
        let place = folder(&[]);
        let said = seamproof(place.path(), &["demo"]);
        assert_eq!((said.code, said.err.as_str()), (0, ""), "{said:?}");
        (place, said)
    })
}

/// The bound that a demo printed, such as `3.83`.
fn printed_bound(said: &Said) -> &str {
    let after = said.out.split("Bound ").nth(1).unwrap();
    after.split(' ').next().unwrap()
}

fn reading_files(place: &Path) -> Vec<String> {
    let names = names(&place.join("seamproof-demo/photos"));
    names
        .into_iter()
        .filter(|n| n.ends_with(".toml"))
        .map(|n| format!("seamproof-demo/photos/{n}"))
        .collect()
}

#[test]
fn what_the_demo_writes_reads_to_the_same_table() {
    let (place, said) = first();
    assert!(said.out.starts_with("Invented: Hollin Ferry Works does not exist"));
    let files = reading_files(place.path());
    // The frozen setting's coupons have one letter; the references have words.
    let counted: Vec<&str> = files
        .iter()
        .map(String::as_str)
        .filter(|f| f.rsplit('/').next().is_some_and(|n| n.len() == "a1.toml".len()))
        // E, F and G are the butt's, which has a claim of its own.
        .filter(|f| !["e1.toml", "f1.toml", "g1.toml"].iter().any(|butt| f.ends_with(butt)))
        .collect();
    let mut args = vec!["read"];
    args.extend(&counted);
    args.extend(["--csv", "again.csv"]);
    assert_eq!(seamproof(place.path(), &args).code, 0);
    let table = |name: &str| std::fs::read_to_string(place.path().join(name)).unwrap();
    assert_eq!(table("again.csv"), table("seamproof-demo/readings.csv"));
    // Whoever opens any of them sees that nobody welded this.
    for file in &files {
        assert!(table(file).starts_with("# Invented"), "{file}");
    }
}

#[test]
fn claiming_its_table_gives_the_bound_it_printed() {
    let (place, said) = first();
    let table = "seamproof-demo/readings.csv";
    let args = ["claim", table, "--sides", "least", "--need", "3 mm", "--frozen"];
    let again = seamproof(place.path(), &args);
    assert_eq!(again.code, 0, "{again:?}");
    assert!(again.out.contains(&format!(" {} mm\n", printed_bound(said))), "{}", again.out);
}

/// The report was typeset by another way than the one that `claim` takes on the table: by the claim file, with the need
/// worked out from the joint.
#[test]
fn the_claim_file_and_its_report_give_the_bound_of_the_table() {
    let (place, said) = first();
    let again = seamproof(place.path(), &["claim", "seamproof-demo/claim.toml", "--json"]);
    assert_eq!(again.code, 0, "{again:?}");
    let table = "seamproof-demo/readings.csv";
    let args = ["claim", table, "--sides", "least", "--need", "3 mm", "--frozen", "--json"];
    let [of_file, of_table] = [again.json(), seamproof(place.path(), &args).json()];
    for figure in ["bound_mm", "need_mm", "n", "coupons", "mean_mm", "s_mm", "k", "sentence"] {
        assert_eq!(of_file[figure], of_table[figure], "{figure}");
    }
    // What the demo wrote is what `write report` writes from its files, to the last byte.
    let args = ["write", "report", "seamproof-demo/claim.toml", "--out", "again.pdf", "--json"];
    let written = seamproof(place.path(), &args);
    assert_eq!(written.code, 0, "{written:?}");
    let pdf = |name: &str| std::fs::read(place.path().join(name)).unwrap();
    assert!(pdf("again.pdf") == pdf("seamproof-demo/report.pdf"));
    let said_by_it = &written.json()["says"];
    assert_eq!(said_by_it["figures"][0]["value"], format!("{} mm", printed_bound(said)));
    assert_eq!(said_by_it["figures"][1]["value"], "3.00 mm");
    assert_eq!(said_by_it["invented"], true);
    assert_eq!(said_by_it["sections"].as_array().unwrap().len(), 8);
}

/// The second claim: the butt. Its need is that of `start` on its joint file, and its plates were drawn 6 mm thick and fused
/// through, so no throat is over 6 mm by more than what reading adds.
#[test]
fn the_butt_is_claimed_as_well() {
    let (place, said) = first();
    let claim = seamproof(place.path(), &["claim", "seamproof-demo/butt-claim.toml", "--json"]);
    assert_eq!(claim.code, 0, "{claim:?}");
    let claim = claim.json();
    let need = seamproof(place.path(), &["start", "seamproof-demo/butt-joint.toml", "--json"]);
    assert_eq!(claim["need_mm"], need.json()["need"]["any_plane_mm"]);
    assert_eq!((&claim["n"], &claim["coupons"]), (&3.into(), &3.into()));
    let (mean, bound) = (claim["mean_mm"].as_f64().unwrap(), claim["bound_mm"].as_f64().unwrap());
    assert!((mean - 6.0).abs() < 0.1 && bound < mean, "{mean} {bound}");
    let printed = said.out.rsplit("Bound ").next().unwrap().split(' ').next().unwrap();
    assert_eq!(printed.parse::<f64>().unwrap(), (bound * 100.0).floor() / 100.0);
}

#[test]
fn twice_the_length_of_the_scale_is_twice_the_reading() {
    let (place, _) = first();
    let photos = place.path().join("seamproof-demo/photos");
    let text = std::fs::read_to_string(photos.join("a1.toml")).unwrap();
    let (before, rest) = text.split_once("length = \"").unwrap();
    let (length, after) = rest.split_once(" mm\"").unwrap();
    let twice = 2.0 * length.parse::<f64>().unwrap();
    let other = folder(&[
        ("a1.toml", format!("{before}length = \"{twice} mm\"{after}").as_bytes()),
        ("a1.jpg", &std::fs::read(photos.join("a1.jpg")).unwrap()),
    ]);
    let throat = |place: &Path| {
        let said = seamproof(place, &["read", "a1.toml", "--json"]);
        said.json()["welds"]["right"]["effective_throat_mm"].as_f64().unwrap()
    };
    // Outline and plates are the same pixels; the scale is the only length in the file.
    let ratio = throat(other.path()) / throat(&photos);
    assert!((ratio - 2.0).abs() < 0.01, "{ratio}");
}

#[test]
fn another_seed_is_another_bound_in_the_same_folder() {
    let place = folder(&[]);
    // Not every seed gives a bound: where a face shows no line that the tool would vouch for, the claim waits for a person.
    let [one, two] = ["4", "2"].map(|seed| seamproof(place.path(), &["demo", "--seed", seed]));
    assert_eq!((one.code, two.code), (0, 0), "{one:?} {two:?}");
    assert_ne!(printed_bound(&one), printed_bound(&two));
}

#[test]
fn files_of_somebody_else_are_left_alone() {
    let place = folder(&[("seamproof-demo-notes", b"mine")]);
    std::fs::create_dir(place.path().join("seamproof-demo")).unwrap();
    std::fs::write(place.path().join("seamproof-demo/readings.csv"), "mine").unwrap();
    seamproof(place.path(), &["demo"]).refuses(
        "seamproof-demo: the folder holds files that no demo wrote",
        "name a new or empty folder with --out",
    );
    assert_eq!(names(&place.path().join("seamproof-demo")), ["readings.csv"]);
    seamproof(place.path(), &["demo", "--out", "seamproof-demo-notes"]).refuses(
        "seamproof-demo-notes: the folder cannot be made: File exists (os error 17)",
        "name a folder with --out whose parent may be written",
    );
}
