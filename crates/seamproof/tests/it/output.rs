//! What is written: pages, tables, overlays; whole or not at all, and never over what was read.

use crate::drawn::{Drawing, bead, butt, tee, tee_both_sides};
use crate::run::{folder, names, seamproof};
use serde_json::Value;

/// A tee whose legs are all `leg` mm, so that its throat is (leg + 1)/√2.
fn tee_with_legs(leg: f64) -> Drawing {
    let mut tee = tee();
    tee.fused[0].1[0] = [leg, 0.0];
    tee.fused[0].1[1] = [0.0, leg];
    tee
}

#[test]
fn the_page_of_a_bead_is_aligned_text_with_the_verdict_first() {
    let place = folder(&[]);
    bead().write(place.path(), "a", "coupon = \"A\"\nsection = 1\n", "straight");
    let said = seamproof(place.path(), &["read", "a.toml"]);
    insta::assert_snapshot!("read_bead", said.out);
}

#[test]
fn the_page_of_a_butt_begins_with_the_joints_throat() {
    let place = folder(&[]);
    butt().write(place.path(), "a", "", "straight");
    let said = seamproof(place.path(), &["read", "a.toml"]);
    let sentence = said.out.lines().find(|l| l.contains("Throat of the joint")).unwrap();
    assert!(sentence.contains("Throat of the joint: 4.0"), "{sentence}");
    assert!(sentence.ends_with("; complete penetration: no."), "{sentence}");
}

#[test]
fn an_overlay_is_a_png_as_wide_as_the_photo_with_its_legend_below() {
    let place = folder(&[]);
    tee().write(place.path(), "a", "", "guided");
    bead().write(place.path(), "b", "", "guided");
    let said = seamproof(place.path(), &["read", "a.toml", "--overlay", "o.png"]);
    assert_eq!(said.code, 0, "{said:?}");
    let bytes = std::fs::read(place.path().join("o.png")).unwrap();
    assert_eq!(image::guess_format(&bytes).unwrap(), image::ImageFormat::Png);
    let overlay = image::load_from_memory(&bytes).unwrap().to_rgb8();
    let (width, height) = tee().size;
    assert_eq!(overlay.width(), width);
    // Below the photo the legend: a dark ground with white letters.
    let legend = image::imageops::crop_imm(&overlay, 0, height, width, overlay.height() - height);
    let legend = legend.to_image();
    assert!(legend.height() > 10, "{}", legend.height());
    let count = |of: fn(u8) -> bool| legend.pixels().filter(|p| p.0.iter().all(|v| of(*v))).count();
    assert!(2 * count(|v| v < 40) > legend.pixels().len() && count(|v| v > 200) > 50);
    let overlay = image::imageops::crop_imm(&overlay, 0, 0, width, height).to_image();
    // Grey where nothing is marked, coloured along the outline.
    let coloured = overlay.pixels().filter(|p| p.0[0].abs_diff(p.0[2]) > 40).count();
    assert!(coloured > 300 && coloured < overlay.len() / 30, "{coloured} coloured pixels");
    // Several files: one overlay each, named after the reading file.
    let said = seamproof(place.path(), &["read", "a.toml", "b.toml", "--overlay", "o.png"]);
    assert_eq!(said.code, 0, "{said:?}");
    assert_eq!(
        names(place.path()),
        ["a.png", "a.toml", "b.png", "b.toml", "o-a.png", "o-b.png", "o.png"]
    );
}

/// Three coupons of two sections with legs of 4.0 to 4.5 mm, read, written as a table and claimed.
/// By hand: throats (leg + 1)/√2; coupon means at legs 4.05, 4.25, 4.45; their mean (4.25 + 1)/√2 = 3.712311.
#[test]
fn readings_go_from_photos_to_a_claim() {
    let place = folder(&[]);
    let mut files = Vec::new();
    for (i, leg) in [4.0, 4.1, 4.2, 4.3, 4.4, 4.5].into_iter().enumerate() {
        let labels = format!(
            "coupon = \"{}\"\nsection = {}\nscale_id = \"stand\"\n",
            ["A", "B", "C"][i / 2],
            i % 2 + 1
        );
        tee_with_legs(leg).write(place.path(), &format!("s{i}"), &labels, "straight");
        files.push(format!("s{i}.toml"));
    }
    let mut args = vec!["read", "--csv", "t.csv", "--json"];
    args.extend(files.iter().map(String::as_str));
    let said = seamproof(place.path(), &args);
    assert_eq!(said.code, 0, "{said:?}");
    let lines: Vec<Value> =
        said.out.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert_eq!(lines.len(), 6, "one object a line, one line a file");
    for (line, file) in lines.iter().zip(&files) {
        assert_eq!(line["file"], file.as_str());
        assert!(line["welds"]["only"]["effective_throat_mm"].is_number());
    }

    let table = std::fs::read_to_string(place.path().join("t.csv")).unwrap();
    assert!(
        table.starts_with("coupon,section,weld,scale_id,reading,reader,reason,photo,"),
        "{table}"
    );
    // The header, a row for each weld and one for each joint, with its land.
    assert_eq!(table.lines().count(), 13);
    assert_eq!(table.lines().filter(|l| l.split(',').nth(2) == Some("joint")).count(), 6);

    let said = seamproof(place.path(), &["claim", "t.csv", "--json"]);
    let json = said.json();
    assert_eq!((&json["n"], &json["coupons"]), (&6.into(), &3.into()));
    let mean = json["mean_mm"].as_f64().unwrap();
    assert!((mean - 5.25 / std::f64::consts::SQRT_2).abs() < 1e-9, "{mean}");
    // Legs in mm, halved for throats squared: within 0.1²/2 = 0.005, means' variance 0.2² = 0.04, between 0.04 - 0.005/2.
    let s = ((0.005 + 0.04 - 0.0025) / 2.0_f64).sqrt();
    let got = json["s_mm"].as_f64().unwrap();
    // A floor of the reading's own noise may lift s, never lower it.
    assert!(got >= s - 1e-9 && got < 1.2 * s, "s {got}, by hand {s}");
    let bound = json["statistical_bound_mm"].as_f64().unwrap();
    let k = json["k"].as_f64().unwrap();
    assert!((k - (mean - bound) / got).abs() < 1e-9);
    // All photos share one scale, u = √2/300, so the claim lies below the statistical bound by 1.645 u of it.
    let shared = json["shared_mm"].as_f64().unwrap();
    let by_hand = 1.644_853_626_951_472_2 * std::f64::consts::SQRT_2 / 300.0 * bound;
    assert!((shared - by_hand).abs() < 1e-9, "shared {shared}, by hand {by_hand}");
    for key in ["bound_mm", "method", "verdict", "population", "left_out", "more_sections"] {
        assert!(json.get(key).is_some(), "{key}");
    }
    // A need that is met, one that is not.
    let need = |need: &str| seamproof(place.path(), &["claim", "t.csv", "--need", need]).code;
    assert_eq!((need("1/64 in"), need("3.7 mm")), (0, 1));
}

/// Reads drawings as sections 1, 2, ... of coupon A and claims one value of them.
fn claimed(drawings: &[Drawing], value: &str) -> Value {
    let place = folder(&[]);
    let files: Vec<String> = (0..drawings.len()).map(|i| format!("s{i}.toml")).collect();
    for (i, drawing) in drawings.iter().enumerate() {
        let labels = format!("coupon = \"A\"\nsection = {}\n", i + 1);
        drawing.write(place.path(), &format!("s{i}"), &labels, "straight");
    }
    let mut args = vec!["read", "--csv", "t.csv"];
    args.extend(files.iter().map(String::as_str));
    assert_eq!(seamproof(place.path(), &args).code, 0);
    let said = seamproof(place.path(), &["claim", "t.csv", "--value", value, "--json"]);
    assert!(said.code < 2, "{said:?}");
    said.json()
}

/// The throat of a butt stands in a row of the joint, apart from its welds: two sections, not four. 4 and 3 mm of 5 fused.
#[test]
fn the_throat_of_a_butt_is_claimed_from_the_joints_rows() {
    let mut shallow = butt();
    shallow.fused[0].1[2][1] = -3.0;
    shallow.fused[0].1[3][1] = -3.0;
    let json = claimed(&[butt(), shallow], "throat_mm");
    assert_eq!(json["n"], 2, "{json}");
    assert!((json["mean_mm"].as_f64().unwrap() - 3.5).abs() < 1e-9, "{json}");
}

/// The sides of a tee are two populations: bounded apart, never pooled. Right legs 4 and 4.2, left legs 4 in both.
#[test]
fn the_sides_of_a_tee_are_claimed_apart() {
    let mut other = tee_both_sides();
    other.fused[1].1[0] = [4.2, 0.0];
    other.fused[1].1[1] = [0.0, 4.2];
    let json = claimed(&[tee_both_sides(), other], "effective_throat_mm");
    let sides = json["sides"].as_array().unwrap();
    let of = |side: &str| sides.iter().find(|s| s["weld"] == side).unwrap();
    for (side, legs) in [("left", 4.0), ("right", 4.1)] {
        assert_eq!(of(side)["n"], 2, "{json}");
        let mean = of(side)["mean_mm"].as_f64().unwrap();
        assert!((mean - (legs + 1.0) / std::f64::consts::SQRT_2).abs() < 1e-9, "{side}: {mean}");
    }
}

/// Claims from a table written here.
fn claimed_from(table: &str, more: &[&str]) -> Value {
    let place = folder(&[("t.csv", table.as_bytes())]);
    seamproof(place.path(), &[&["claim", "t.csv", "--json"], more].concat()).json()
}

/// Where the penetration exceeds the leg the two throats part, and the smaller one is claimed (design section 4).
/// By hand: rows 3.5 / 3.2, 3.4 / 3.6 and 3.6 / none count as 3.2, 3.4 and 3.6: mean 3.4.
#[test]
fn of_the_two_throats_the_smaller_is_claimed() {
    let table = "coupon,section,effective_throat_mm,penetrated_throat_mm\nA,1,3.5,3.2\nA,2,3.4,3.6\nA,3,3.6,\n";
    let json = claimed_from(table, &[]);
    assert!((json["mean_mm"].as_f64().unwrap() - 3.4).abs() < 1e-12, "{json}");
    assert!(
        json["remarks"][0].as_str().unwrap().starts_with("in 1 row(s) the penetration exceeds")
    );
}

/// A shared uncertainty that is asked for stands where the table states none or less; it never makes one smaller.
/// 1.645 x 1 % of the bound where the table says nothing or 0.5 %, 1.645 x 2 % where it says 2 %.
#[test]
fn a_shared_uncertainty_is_never_made_smaller() {
    let z = 1.644_853_626_951_472_2;
    for (stated, taken) in [(None, 0.01), (Some(0.005), 0.01), (Some(0.02), 0.02)] {
        let mut table =
            String::from("coupon,section,effective_throat_mm,effective_throat_mm_u_shared\n");
        for (i, value) in [3.5, 3.6, 3.7, 3.55].into_iter().enumerate() {
            let u = stated.map_or_else(String::new, |u: f64| (u * value).to_string());
            table += &format!("A,{i},{value},{u}\n");
        }
        let json = claimed_from(&table, &["--shared-u", "1 %"]);
        let bound = json["statistical_bound_mm"].as_f64().unwrap();
        let shared = json["shared_mm"].as_f64().unwrap();
        assert!((shared - z * taken * bound).abs() < 1e-9, "{stated:?}: {json}");
    }
}

#[test]
fn nothing_is_written_when_one_file_of_several_cannot_be_read() {
    let place = folder(&[("old.csv", b"old"), ("bad.toml", b"photo = 5")]);
    tee().write(place.path(), "a", "", "straight");
    let before = names(place.path());
    let said = seamproof(
        place.path(),
        &["read", "a.toml", "bad.toml", "--csv", "old.csv", "--overlay", "o.png"],
    );
    assert_eq!((said.code, said.out.as_str()), (2, ""));
    assert_eq!(names(place.path()), before);
    assert_eq!(std::fs::read(place.path().join("old.csv")).unwrap(), b"old");
}

/// The overlay cannot be written, so the table is not either.
#[test]
fn outputs_are_written_all_or_none() {
    let place = folder(&[("old.csv", b"old")]);
    tee().write(place.path(), "a", "", "straight");
    let before = names(place.path());
    let said = seamproof(
        place.path(),
        &["read", "a.toml", "--csv", "old.csv", "--overlay", "nowhere/o.png"],
    );
    assert_eq!((said.code, said.out.as_str()), (2, ""));
    assert!(said.err.starts_with("nowhere/o.png: the file cannot be written: "), "{said:?}");
    let said = seamproof(
        place.path(),
        &["read", "a.toml", "--csv", "nowhere/t.csv", "--overlay", "o.png"],
    );
    assert!(said.err.starts_with("nowhere/t.csv: the file cannot be written: "), "{said:?}");
    assert_eq!(names(place.path()), before);
    assert_eq!(std::fs::read(place.path().join("old.csv")).unwrap(), b"old");
    seamproof(place.path(), &["read", "a.toml", "--csv", "."])
        .refuses(".: this is a folder, not a file", "name a file in it");
}

#[test]
fn what_is_read_is_never_written_over() {
    let place = folder(&[]);
    tee().write(place.path(), "a", "", "straight");
    let photo = std::fs::read(place.path().join("a.png")).unwrap();
    let other = "give the output another name";
    for (args, name) in [
        (["--overlay", "a.png"], "a.png"),
        (["--overlay", "./a.png"], "./a.png"),
        (["--csv", "a.toml"], "a.toml"),
    ] {
        seamproof(place.path(), &[&["read", "a.toml"], &args[..]].concat())
            .refuses(&format!("{name}: the answer would be written over what is read"), other);
    }
    assert_eq!(std::fs::read(place.path().join("a.png")).unwrap(), photo);
    // Two answers for one file.
    let sub = place.path().join("b");
    std::fs::create_dir(&sub).unwrap();
    bead().write(&sub, "a", "", "straight");
    let differ =
        "give the outputs different names; reading files of the same name are read in two runs";
    seamproof(place.path(), &["read", "a.toml", "b/a.toml", "--overlay", "o.png"])
        .refuses("o-a.png: two answers would be written to this one file", differ);
    seamproof(place.path(), &["read", "a.toml", "--overlay", "o.csv", "--csv", "o.csv"])
        .refuses("o.csv: two answers would be written to this one file", differ);
}

/// Zones of a photo cut away by a pipe that closes early are no fault of ours.
#[test]
fn a_reader_that_goes_away_is_no_fault() {
    let place = folder(&[]);
    tee().write(place.path(), "a", "", "straight");
    let mut child = std::process::Command::new(env!("CARGO_BIN_EXE_seamproof"))
        .current_dir(place.path())
        .args(["read", "a.toml", "--json"])
        .stdout(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    assert!(child.wait().unwrap().success());
}
