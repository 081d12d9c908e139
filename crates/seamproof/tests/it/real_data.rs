//! Real photos and tables through the command line. None of them is in the repository: see `shared/data/MANIFEST.md`.
//!
//! They are looked for in `SEAMPROOF_DATA`, else in `../shared/data` beside the workspace.

use crate::run::{Said, folder, seamproof};
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// A file of the data, or a word on why the test did not run.
fn data(name: &str) -> Option<PathBuf> {
    let root = std::env::var_os("SEAMPROOF_DATA").map_or_else(
        || Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../shared/data"),
        PathBuf::from,
    );
    let path = root.join(name);
    if path.exists() {
        return Some(path);
    }
    println!("did not run: {} is not there (SEAMPROOF_DATA, else ../shared/data)", path.display());
    None
}

/// Reads a photo of the data: the reading file names it by its full path.
fn read(photo: &Path, rest: &str) -> Value {
    let text = format!("photo = {:?}\n{rest}", photo.canonicalize().unwrap().to_str().unwrap());
    let place = folder(&[("a.toml", text.as_bytes())]);
    let said = seamproof(place.path(), &["read", "a.toml", "--json", "--overlay", "o.png"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""), "{said:?}");
    let of_photo = image::ImageReader::open(photo).unwrap().with_guessed_format().unwrap();
    let (width, height) = of_photo.into_dimensions().unwrap();
    let overlay = image::image_dimensions(place.path().join("o.png")).unwrap();
    assert!(overlay.0 == width && overlay.1 > height, "the photo, and its legend below");
    said.json()
}

/// `truth.csv`: depth 116.4 ± 5 um below the rough surface, height 23.9 um (which shares the surface's doubt), area
/// 9377 um². The mask's border snaps to the outer edge of the dark line and the outline runs along its middle, 2.4 px =
/// 0.76 um further in, along about 290 um of fusion line: 2.4 % of the area less, on top of the issue's 1.5 %. The width is
/// reported: the mask bulges round two grains there, which these points do not.
#[test]
fn an_etched_track_reads_as_its_hand_mask() {
    let Some(photo) = data("sections/nanoMFG_lpbf/example_image_1.tif") else { return };
    let json = read(
        &photo,
        r#"joint = "bead"
etched = true
[[scale]]
from = [53.5, 1129]
to = [368.5, 1129]
length = "100 um"
read = "inside"
[plates]
surface = [[560, 268], [640, 270], [950, 268], [1080, 250]]
[[fused]]
points = [[659, 271], [688, 400], [735, 550], [820, 630], [905, 570], [938, 420], [934, 270], [797, 190]]
"#,
    );
    let weld = &json["welds"]["only"];
    let um = |name: &str| 1e3 * weld[name].as_f64().unwrap();
    println!(
        "track 1: depth {:.1} um (u {:.1}), height {:.1} um (u {:.1}), width {:.1} um, area {:.0} um2",
        um("depth_mm"),
        um("depth_mm_u"),
        um("height_mm"),
        um("height_mm_u"),
        um("width_mm"),
        1e3 * um("fused_area_mm2")
    );
    assert!((um("depth_mm") - 116.4).abs() <= 5.0);
    assert!((um("height_mm") - 23.9).abs() <= 5.0);
    assert!((1e3 * um("fused_area_mm2") / 9377.0 - 1.0).abs() <= 0.015 + 0.76 * 290.0 / 9377.0);
}

/// Reported, not judged: there is no mask, and a curve that ignores the picture does as well there.
#[test]
fn the_other_etched_track_is_read() {
    let Some(photo) = data("sections/nanoMFG_lpbf/example_image_3.png") else { return };
    let json = read(
        &photo,
        r#"joint = "bead"
etched = true
[[scale]]
from = [53.5, 1129]
to = [430.5, 1129]
length = "100 um"
[plates]
surface = [[32, 509], [320, 509], [992, 501], [1520, 494]]
[[fused]]
points = [[548, 508], [536, 390], [712, 232], [880, 390], [888, 502], [800, 582], [725, 602], [630, 570]]
"#,
    );
    let remarks = json["remarks"].to_string();
    assert!(
        remarks.contains(
            "the name ends in .png, but the content is a JPEG picture: read as what it is"
        ),
        "{remarks}"
    );
    let weld = &json["welds"]["only"];
    println!("track 3: {weld}");
    assert!(weld["depth_mm"].as_f64().unwrap() > 0.0);
}

/// Claims one value of a table made here.
fn claim(rows: &[[String; 4]], more: &[&str]) -> Said {
    let mut text = String::from("coupon,section,depth_um,reason\n");
    for row in rows {
        text += &(row.join(",") + "\n");
    }
    let place = folder(&[("t.csv", text.as_bytes())]);
    seamproof(place.path(), &[&["claim", "t.csv", "--value", "depth_um"], more].concat())
}

fn cells(path: &Path) -> Vec<Vec<String>> {
    let text = std::fs::read_to_string(path).unwrap();
    text.lines()
        .skip(1)
        .filter(|line| !line.is_empty())
        .map(|line| line.split(',').map(|cell| cell.trim_matches('"').to_owned()).collect())
        .collect()
}

/// The sections of one setting of `tables/steel_copper`: block and weld as coupon, the place as section, the weld's depth
/// in copper as value.
fn steel_copper(path: &Path, setting: [&str; 6], reason: &str) -> Vec<[String; 4]> {
    cells(path)
        .iter()
        .filter(|c| c[1..7].iter().eq(setting.iter()))
        .map(|c| {
            let reason = if c[12].is_empty() { reason } else { "" };
            [format!("{}-{}", c[0], c[7]), c[8].clone(), c[12].clone(), reason.to_owned()]
        })
        .collect()
}

/// Worked independently with NumPy and SciPy (2.4 and 1.17), 95/95, by drawing the pivotal 40 million times:
/// T = mean + Z √(M/a) − z √(M + (1 − 1/ñ) E), M = A/χ²(a − 1), E = S/χ²(N − a), bound its 5 % quantile.
/// 5 welds x 4 sections, all values: mean 346.35 um, s 74.88914 (between: 0), bound 176.79 ± 0.05 (four standard errors),
/// k 2.2642; the bound that pools all 20 is 180.66, higher, so it is not the one.
#[test]
fn a_measured_table_is_bounded_within_and_between_coupons() {
    let Some(path) = data("tables/steel_copper/data.csv") else { return };
    let rows = steel_copper(&path, ["1200", "1.2", "10", "-2", "0", "0.7"], "");
    assert_eq!(rows.len(), 20);
    let said = claim(&rows, &["--json"]);
    let json = said.json();
    assert_eq!((&json["n"], &json["coupons"]), (&20.into(), &5.into()), "{json}");
    let near = |name: &str, um: f64, by: f64| {
        let got = 1e3 * json[name].as_f64().unwrap();
        assert!((got - um).abs() <= by, "{name}: {got}, worked {um}");
    };
    near("mean_mm", 346.35, 1e-6);
    near("s_mm", 74.889_140_3, 1e-6);
    near("between_mm", 0.0, 1e-6);
    near("statistical_bound_mm", 176.788, 0.05);
    let k = json["k"].as_f64().unwrap();
    assert!((k - 2.264_2).abs() < 0.001, "{k}");
    println!("steel on copper: {}", json["sentence"]);
}

/// Two blocks of the same setting, 10 welds x 4: mean 141.975 um, s 30.485698 by the same means. The scatter is not normal:
/// SciPy's anderson on the values less their weld's mean gives 0.8627, times 1 + 0.75/40 + 2.25/40² = 0.880, above the
/// 0.752 of 5 %. So nothing is met by the normal bound of 73.5: the lowest section, 28 um, stands in its place and the
/// verdict is 'in doubt'.
#[test]
fn scatter_that_is_not_normal_leaves_the_claim_in_doubt() {
    let Some(path) = data("tables/steel_copper/data.csv") else { return };
    let rows = steel_copper(&path, ["1050", "1", "15", "0", "0", "0.6"], "");
    let said = claim(&rows, &["--json"]);
    let json = said.json();
    assert_eq!((&json["n"], &json["coupons"]), (&40.into(), &10.into()));
    assert!((1e3 * json["mean_mm"].as_f64().unwrap() - 141.975).abs() < 1e-6);
    assert!((1e3 * json["s_mm"].as_f64().unwrap() - 30.485_697_9).abs() < 1e-6);
    let bound = 1e3 * json["statistical_bound_mm"].as_f64().unwrap();
    assert!((bound - 28.0).abs() < 1e-9, "{bound}: {json}");
    assert_eq!((said.code, json["verdict"].as_str()), (1, Some("in doubt")), "{json}");
}

/// 10 of 20 sections of this setting are blank: nothing is claimed until each has a reason; then they are listed.
#[test]
fn blanks_of_a_measured_table_stop_the_claim() {
    let Some(path) = data("tables/steel_copper/data.csv") else { return };
    let setting = ["900", "0.8", "20", "2", "0", "0.5"];
    let said = claim(&steel_copper(&path, setting, ""), &[]);
    assert_eq!(said.code, 1);
    assert!(
        said.out.starts_with("Cannot claim: 10 rows have no depth_um and no reason"),
        "{said:?}"
    );
    let said = claim(&steel_copper(&path, setting, "cut lost"), &["--json"]);
    let json = said.json();
    assert_eq!(json["left_out"].as_array().unwrap().len(), 10, "{json}");
    // 9 of the 10 that are left show no fusion: the bound leaves no throat.
    assert_eq!((said.code, json["verdict"].as_str()), (1, Some("cannot claim")), "{json}");
}

/// Sample 1 of `tables/ebw`, depths 1.60 1.62 1.68 1.58 (taken as mm): mean 1.62, s 0.043205, k for n = 4 from SciPy's
/// non-central t: nct.ppf(0.95, 3, 2 z) / 2 = 5.143875, bound 1.397759. One sample is one coupon.
/// All 18 samples x 4 as coupons, the pivotal drawn 40 million times: mean 1.195556, s 0.229823, bound 0.63518 ± 0.00024.
#[test]
fn sections_of_one_sample_speak_for_that_sample() {
    let Some(path) = data("tables/ebw/ebw_data.csv") else { return };
    let rows: Vec<[String; 4]> = cells(&path)
        .iter()
        .enumerate()
        .map(|(i, c)| {
            let um = 1e3 * c[4].parse::<f64>().unwrap();
            [
                format!("sample {}", i / 4 + 1),
                (i % 4 + 1).to_string(),
                um.to_string(),
                String::new(),
            ]
        })
        .collect();
    assert_eq!(rows.len(), 72);
    let said = claim(&rows[..4], &["--json"]);
    let json = said.json();
    assert_eq!((&json["n"], &json["coupons"]), (&4.into(), &1.into()));
    let get = |json: &Value, name: &str| json[name].as_f64().unwrap();
    assert!((get(&json, "k") - 5.143_875).abs() < 1e-6, "{json}");
    assert!((get(&json, "bound_mm") - 1.397_759).abs() < 1e-6, "{json}");
    assert_eq!((said.code, &json["speaks_for_procedure"]), (0, &Value::Bool(false)));
    assert!(json["sentence"].as_str().unwrap().contains("this is not a claim for the procedure"));

    let json = claim(&rows, &["--json"]).json();
    assert_eq!((&json["n"], &json["coupons"]), (&72.into(), &18.into()));
    assert!((get(&json, "mean_mm") - 1.195_555_6).abs() < 1e-6);
    assert!((get(&json, "s_mm") - 0.229_823_4).abs() < 1e-6);
    assert!((get(&json, "statistical_bound_mm") - 0.635_18).abs() < 0.000_24, "{json}");
    let coupons: BTreeMap<&String, ()> = rows.iter().map(|r| (&r[0], ())).collect();
    assert_eq!(coupons.len(), 18);
}
