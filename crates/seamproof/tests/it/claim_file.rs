//! Claim files and the report to the customer: the same figures as the table's claim, the same bytes wherever it is run,
//! and a refusal with its place for everything that is missing.

use crate::drawn::{Drawing, tee};
use crate::run::{Said, folder, names, seamproof};
use std::path::Path;
use std::process::Command;
use tempfile::TempDir;

/// What stands above the tables of every claim file here.
const HEAD: &str = "question = \"Does it carry?\"\nsections = [\"s0.toml\", \"s1.toml\", \"s2.toml\", \"s3.toml\"]\n";
const PAPER: &str = "[paper]\ncustomer = \"Hollin Ferry Works\"\nauthor = \"the shop\"\ndate = \"2026-11-25\"\ninvented = true\n";

fn tee_with_legs(leg: f64) -> Drawing {
    let mut tee = tee();
    tee.fused[0].1[0] = [leg, 0.0];
    tee.fused[0].1[1] = [0.0, leg];
    tee
}

/// Two coupons of two sections with legs of 4.0 to 4.3 mm, so throats (leg + 1)/√2 of 3.54 to 3.75 mm.
fn coupons(claim: &str) -> TempDir {
    let place = folder(&[("claim.toml", claim.as_bytes())]);
    for (i, leg) in [4.0, 4.1, 4.2, 4.3].into_iter().enumerate() {
        let labels = format!(
            "coupon = \"{}\"\nsection = {}\nscale_id = \"stand\"\n",
            ["A", "B"][i / 2],
            i % 2 + 1
        );
        tee_with_legs(leg).write(place.path(), &format!("s{i}"), &labels, "straight");
    }
    place
}

/// What was said, its lines joined.
fn one_line(said: &Said) -> String {
    said.out.replace('\n', " ")
}

fn report(place: &Path) -> Said {
    seamproof(place, &["write", "report", "claim.toml", "--out", "r.pdf"])
}

#[test]
fn a_claim_file_claims_as_its_table_does() {
    let place = coupons(&format!("{HEAD}need = \"2 mm\"\nfrozen = true\n"));
    let said = seamproof(place.path(), &["claim", "claim.toml", "--json"]);
    assert!(said.code < 2, "{said:?}");
    // One line a section that was read, in any order.
    assert_eq!(said.err.lines().count(), 4, "{said:?}");
    assert!(said.err.contains("read 4 of 4: s"), "{said:?}");
    let args = ["read", "s0.toml", "s1.toml", "s2.toml", "s3.toml", "--csv", "t.csv"];
    assert_eq!(seamproof(place.path(), &args).code, 0);
    let args = ["claim", "t.csv", "--need", "2 mm", "--frozen", "--json"];
    assert_eq!(seamproof(place.path(), &args).json(), said.json());
    // The table named by the claim file: the same again.
    std::fs::write(
        place.path().join("c.toml"),
        "readings = \"t.csv\"\nneed = \"2 mm\"\nfrozen = true\n",
    )
    .unwrap();
    assert_eq!(seamproof(place.path(), &["claim", "c.toml", "--json"]).json(), said.json());
}

/// Runs with another zone, language and home, from another folder.
fn elsewhere(place: &Path, zone: &str, lang: &str, from: &Path, claim: &str) -> Vec<u8> {
    let out = place.join(format!("{}.pdf", lang.replace('.', "-")));
    let done = Command::new(env!("CARGO_BIN_EXE_seamproof"))
        .current_dir(from)
        .args(["write", "report", claim, "--out"])
        .arg(&out)
        .envs([("TZ", zone), ("LANG", lang), ("LC_ALL", lang), ("HOME", "/nowhere")])
        .output()
        .unwrap();
    assert!(done.status.code().is_some_and(|code| code < 2), "{done:?}");
    std::fs::read(out).unwrap()
}

#[test]
fn the_same_files_give_the_same_report_to_the_last_byte() {
    let place = coupons(&format!("{HEAD}{PAPER}"));
    let one = elsewhere(place.path(), "UTC", "C", place.path(), "claim.toml");
    assert!(one.starts_with(b"%PDF-") && one.len() > 20_000);
    let name = place.path().file_name().unwrap().to_str().unwrap();
    let claim = format!("{name}/claim.toml");
    let parent = place.path().parent().unwrap();
    let other = elsewhere(place.path(), "Pacific/Auckland", "de_DE.UTF-8", parent, &claim);
    assert!(one == other, "the report hangs on where and in which language it is written");
    // A reading file that changes shows in the paper.
    let text = std::fs::read_to_string(place.path().join("s0.toml")).unwrap();
    std::fs::write(place.path().join("s0.toml"), format!("{text}# looked at again\n")).unwrap();
    assert!(one != elsewhere(place.path(), "UTC", "C", place.path(), "claim.toml"));
}

/// Legs of 4 mm give throats of 3.5 mm at most: 9 mm are not there.
#[test]
fn the_report_is_written_when_the_answer_is_no() {
    let place = coupons(&format!("{HEAD}need = \"9 mm\"\n{PAPER}"));
    let said = report(place.path());
    assert_eq!(said.code, 1, "{said:?}");
    assert!(one_line(&said).contains("the 9.00 mm needed are not met"), "{said:?}");
    assert!(said.out.contains("r.pdf: "), "{said:?}");
    assert!(std::fs::read(place.path().join("r.pdf")).unwrap().starts_with(b"%PDF-"));
    // One section says nothing about scatter: no claim, and still a report.
    std::fs::write(
        place.path().join("claim.toml"),
        format!("question = \"?\"\nsections = [\"s0.toml\"]\n{PAPER}"),
    )
    .unwrap();
    let said = report(place.path());
    assert_eq!(said.code, 1, "{said:?}");
    assert!(
        one_line(&said).starts_with("Cannot claim: 1 section(s) say nothing about scatter"),
        "{said:?}"
    );
}

#[test]
fn a_table_alone_makes_a_report_without_photos() {
    let table = "coupon,section,effective_throat_mm,effective_throat_mm_u\nA,1,3.5,0.05\nA,2,3.6,0.05\nB,1,3.55,0.05\nB,2,3.7,0.05\n";
    let claim = format!("question = \"?\"\nreadings = \"t.csv\"\nneed = \"2 mm\"\n{PAPER}");
    let place = folder(&[("t.csv", table.as_bytes()), ("claim.toml", claim.as_bytes())]);
    let said = report(place.path());
    assert!(said.code < 2, "{said:?}");
    assert_eq!(names(place.path()), ["claim.toml", "r.pdf", "t.csv"]);
}

/// EN 1993-1-8 by hand: 10 kN along 2 x 100 mm of weld in 1.4307 needs less than the least throat of 3 mm (4.5.2(2),
/// Recalled), so 3 mm is what is needed.
#[test]
fn the_need_comes_from_the_joint_file() {
    let joint = "joint = \"tee\"\nbase = \"8 mm\"\nupright = \"4 mm\"\nmaterial = \"1.4307\"\nsides = \"both\"\nlength = \"100 mm\"\n[need]\nload = \"10 kN\"\ndirection = \"along\"\ncode = \"EN 1993-1-8\"\n";
    let place = coupons(&format!("joint = \"joint.toml\"\n{HEAD}{PAPER}"));
    place_file(place.path(), "joint.toml", joint);
    let said = seamproof(place.path(), &["claim", "claim.toml", "--json"]);
    assert_eq!(said.json()["need_mm"], 3.0, "{said:?}");
    let said = report(place.path());
    assert!(
        said.code < 2 && one_line(&said).contains("the 3.00 mm needed are not met"),
        "{said:?}"
    );
    // Asking for less than the load needs would print a yes that is none.
    place_file(
        place.path(),
        "claim.toml",
        &format!("joint = \"joint.toml\"\n{HEAD}need = \"2 mm\"\n{PAPER}"),
    );
    let said = seamproof(place.path(), &["claim", "claim.toml"]);
    assert!(
        said.err.ends_with(
            "claim.toml:4: need: a need of 2.00 mm is less than the 3.00 mm that the joint's load needs\n  next: leave need out, or correct the load in the joint file\n"
        ),
        "{said:?}"
    );
    // One-sided and free to rotate: no resistance (EN 1993-1-8 4.12, Recalled), whatever the sections show.
    place_file(
        place.path(),
        "joint.toml",
        &joint.replace("sides = \"both\"", "sides = \"one\"\nrestrained = false"),
    );
    place_file(place.path(), "claim.toml", &format!("joint = \"joint.toml\"\n{HEAD}{PAPER}"));
    let said = report(place.path());
    assert_eq!(said.code, 1, "{said:?}");
    assert!(one_line(&said).starts_with("No throat will do for this joint"), "{said:?}");
}

fn place_file(place: &Path, name: &str, text: &str) {
    std::fs::write(place.join(name), text).unwrap();
}

/// What a claim file lacks is said with its place, before anything is written.
#[test]
fn what_is_wrong_with_a_claim_file_is_said_with_its_place() {
    let place = coupons("");
    let run = |text: &str| {
        place_file(place.path(), "claim.toml", text);
        seamproof(place.path(), &["claim", "claim.toml"])
    };
    let sections = "name each reading file once, beside this file: sections = [\"a1.toml\", \"a2.toml\"]; or readings = \"readings.csv\"";
    run("need = \"3 mm\"\n").refuses(
        "claim.toml: sections: neither sections nor readings are named, so there is nothing to claim from",
        sections,
    );
    run("sections = [\"s0.toml\",\n\"s0.toml\"]").refuses(
        "claim.toml:2: sections: s0.toml stands here twice, and would count as a repeat reading",
        sections,
    );
    run("sections = [\"s9.toml\"]").refuses(
        "claim.toml:1: sections: s9.toml: there is no such file",
        "check the name and the folder",
    );
    run("readings = \"t.csv\"").refuses(
        "claim.toml:1: readings: t.csv: there is no such file",
        "check the name and the folder",
    );
    run("sections = [\"s0.toml\"]\njoint = \"j.toml\"\ncontent = 95").refuses(
        "claim.toml:3: content: a content of 95 is outside 0.5 to 0.9999",
        "ask for shares, not percents: 0.95 of all sections with confidence 0.95 is usual",
    );
    run("sections = [\"s0.toml\"]\nneed = \"3\"").refuses(
        "claim.toml:2: need: \"3\" has no unit",
        "write the unit after it: mm, in, µm, thou, m or ft",
    );
    let said = run("sections = [\"s0.toml\"]\nvalue = \"efective_throat\"");
    assert!(
        said.err.starts_with(
            "claim.toml:2: value: 'efective_throat' is no length that is read from a section\n  next: did you mean 'effective_throat_mm'?"
        ),
        "{said:?}"
    );
    run("sections = [\"s0.toml\"]\n[paper]\ncustomer = \"x\"\nauthor = \"y\"\ndate = \"2026-02-30\"")
        .refuses(
            "claim.toml:5: paper.date: '2026-02-30' is not a day",
            "give the paper's date as text, year, month and day: date = \"2026-11-25\"",
        );
    run("sections = [\"s0.toml\"]\n[paper]\ncustomer = \"x\"\nauthor = \"y\"\n").refuses(
        "claim.toml:2: paper.date: the field 'date' is missing in [paper]",
        "give the paper's date as text, year, month and day: date = \"2026-11-25\"",
    );
    run("sections = [\"s0.toml\"]\n[population]\nneed = \"3 mm\"\n").refuses(
        "claim.toml:3: population.need: there is no field 'need' in [population]",
        "move 'need' to the top of the file, above the first table",
    );
    run("sections = [\"s0.toml\"]\n[left_out]\nsection = 1\nreason = \"cut lost\"\n").refuses(
        "claim.toml:2: left_out: [left_out] stands here, and there may be several of them",
        "write a table for each: [[left_out]] with coupon, section and reason",
    );
    run("sections = [\"s0.toml\"]\n[[left_out]]\nsection = 1\nreason = \"looked bad\"\n").refuses(
        "claim.toml:4: left_out.reason: 'looked bad' is no reason to leave a value out",
        "write reason = \"cut lost\", \"etch failed\" or \"planned exclusion\"; a section that shows no throat counts with 0",
    );
    // A section that was read is not talked away.
    let said = run(&format!(
        "{HEAD}[[left_out]]\ncoupon = \"A\"\nsection = 1\nreason = \"planned exclusion\"\n"
    ));
    assert!(
        said.err.ends_with(
            "claim.toml:3: left_out: coupon A section 1 is left out here, and it has a value or a reason already\n  next: take this [[left_out]] away: a value that was read counts, and a section is left out once\n"
        ),
        "{said:?}"
    );
    // Flags beside a claim file would print another claim than the file's.
    seamproof(place.path(), &["claim", "claim.toml", "--need", "1 mm"]).refuses(
        "claim.toml: --need is given beside a claim file, which says itself what is asked",
        "write it into the claim file, and leave the flag out",
    );
    // The report needs its question and its paper.
    place_file(place.path(), "claim.toml", HEAD);
    let said = report(place.path());
    assert!(
        said.err.ends_with(
            "claim.toml: paper: the report does not say for whom it is, by whom and of which day\n  next: add a [paper] table with customer, author and date\n"
        ),
        "{said:?}"
    );
    assert!(!names(place.path()).contains(&"r.pdf".to_owned()));
}

#[test]
fn sections_left_out_are_counted_out_with_their_reason() {
    let place = coupons(&format!(
        "{HEAD}[[left_out]]\ncoupon = \"B\"\nsection = 3\nreason = \"etch failed\"\n"
    ));
    let json = seamproof(place.path(), &["claim", "claim.toml", "--json"]).json();
    assert_eq!(json["n"], 4);
    assert_eq!(json["left_out"][0]["section"], "3");
    assert_eq!(json["left_out"][0]["reason"], "etch failed");
}

/// Nothing that the report is read from is written over.
#[test]
fn a_report_is_never_written_over_its_evidence() {
    let place = coupons(&format!("{HEAD}{PAPER}"));
    for name in ["s0.png", "s0.toml", "claim.toml"] {
        let args = ["write", "report", "claim.toml", "--out", name];
        let said = seamproof(place.path(), &args);
        assert_eq!(said.code, 2);
        assert!(
            said.err.contains("the answer would be written over what is read"),
            "{name}: {said:?}"
        );
    }
}

/// What `start` says of the joint stands in the claim's JSON as well, word for word.
#[test]
fn the_json_of_a_claim_file_names_what_the_code_refuses() {
    let joint = "joint = \"tee\"\nbase = \"3 mm\"\nupright = \"4 mm\"\nmaterial = \"S355\"\nsides = \"both\"\nlength = \"100 mm\"\n[need]\nload = \"10 kN\"\ndirection = \"along\"\ncode = \"EN 1993-1-8\"\n";
    let place = coupons(&format!("joint = \"joint.toml\"\n{HEAD}frozen = true\n"));
    std::fs::write(place.path().join("joint.toml"), joint).unwrap();
    let said = seamproof(place.path(), &["claim", "claim.toml", "--json"]).json();
    let started = seamproof(place.path(), &["start", "joint.toml", "--json"]).json();
    // EN 1993-1-8 4.1 (recalled): parts of 4 mm or more.
    let refusals = said["refusals"].as_array().unwrap();
    assert!(!refusals.is_empty());
    assert_eq!(said["refusals"], started["need"]["refusals"]);
    assert_eq!(said["holds"], false);
}

/// 25.4 mm are an inch: the pair in the sentence agrees, and the bound is rounded down in both.
#[test]
fn a_claim_in_inches_is_said_in_inches() {
    let place = coupons(&format!("{HEAD}need = \"2 mm\"\nfrozen = true\n{PAPER}units = \"in\"\n"));
    let json = seamproof(place.path(), &["claim", "claim.toml", "--json"]).json();
    let sentence = json["sentence"].as_str().unwrap();
    let bound = json["bound_mm"].as_f64().unwrap();
    let inches = (bound / 25.4 * 1e3).floor() / 1e3;
    let mm = (bound * 100.0).floor() / 100.0;
    assert!(sentence.contains(&format!("{inches:.3} in ({mm:.2} mm)")), "{sentence} {bound}");
    assert!(sentence.contains("0.079 in (2.00 mm) needed"), "{sentence}");
    let page = seamproof(place.path(), &["claim", "claim.toml"]);
    assert!(page.out.contains(&format!("{inches:.3} in ({mm:.2} mm)")), "{page:?}");
}
