//! Bounds on sections that somebody else measured.
//!
//! The data are not committed: they are looked for in `SEAMPROOF_DATA`, else in `../shared/data` beside the workspace.
//! Without them each test prints that it did not run.

use std::collections::BTreeMap;
use std::path::PathBuf;
use trials::tolerance::one_sample::Sample;
use trials::tolerance::rows::Row;
use trials::tolerance::{ClaimError, Options, claim};
use weld::claim::{Assurance, Method, Verdict};

/// The cells of a comma-separated file without commas inside cells, header and all; none when it is not there.
fn table(path: &str) -> Option<Vec<Vec<String>>> {
    let root = std::env::var_os("SEAMPROOF_DATA").map_or_else(
        || PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/data"),
        PathBuf::from,
    );
    let file = root.join(path);
    let Ok(text) = std::fs::read_to_string(&file) else {
        println!("did not run: {} is not there", file.display());
        return None;
    };
    let cells =
        |line: &str| line.split(',').map(|cell| cell.trim().trim_matches('"').to_owned()).collect();
    Some(text.lines().filter(|line| !line.trim().is_empty()).map(cells).collect())
}

fn row(coupon: &str, section: usize, value_mm: Option<f64>) -> Row {
    Row {
        coupon: Some(coupon.to_owned()),
        section: section.to_string(),
        value_mm,
        ..Row::default()
    }
}

/// Depths of 18 electron-beam samples, four sections each, mm. Samples in the order of the file.
fn beam_samples() -> Option<Vec<(String, Vec<f64>)>> {
    let rows = table("tables/ebw/ebw_data.csv")?;
    let rows: Vec<_> = rows.into_iter().skip(1).filter(|cells| !cells[0].is_empty()).collect();
    let samples = rows
        .chunks(4)
        .map(|four| {
            let depths = four.iter().filter_map(|cells| cells[4].parse().ok()).collect();
            (four[0][..4].join(" "), depths)
        })
        .collect();
    Some(samples)
}

/// Two samples of one setting, 0.25 mm apart, 0.04 mm within: pooling their eight sections claims 1.06 mm, but two
/// coupons that differ so much say almost nothing of a third.
#[test]
fn two_samples_that_differ_do_not_claim_what_pooling_would() {
    let Some(samples) = beam_samples() else { return };
    assert_eq!(samples.len(), 18);
    let twice: Vec<_> = samples.iter().filter(|(setting, _)| setting == "47 139 4.5 80").collect();
    assert_eq!(twice.len(), 2);
    let all: Vec<f64> = twice.iter().flat_map(|(_, depths)| depths.clone()).collect();
    let pooled = Sample::of(&all).unwrap().bound(Assurance::USUAL).unwrap();
    let rows: Vec<Row> = twice
        .iter()
        .zip(["P", "Q"])
        .flat_map(|((_, depths), name)| {
            depths.iter().enumerate().map(|(i, &d)| row(name, i, Some(d)))
        })
        .collect();
    let claimed = claim(&rows, &Options { need_mm: Some(1.0), ..Options::default() }).unwrap();
    println!(
        "pooled {pooled:.3} mm, random effects {:.3} mm, k {:.2}",
        claimed.bound_mm, claimed.k
    );
    assert!(pooled > 1.0, "{pooled}");
    assert_eq!(claimed.method, Method::RandomEffects);
    assert_eq!(claimed.verdict, Verdict::CannotClaim, "{}", claimed.sentence);
}

/// One sample of that file was read as 1.08 mm four times.
#[test]
fn four_equal_depths_are_refused() {
    let Some(samples) = beam_samples() else { return };
    let (_, depths) = samples.iter().find(|(setting, _)| setting == "43 150 9.0 50").unwrap();
    let rows: Vec<Row> = depths.iter().enumerate().map(|(i, &d)| row("A", i, Some(d))).collect();
    assert_eq!(
        claim(&rows, &Options::default()),
        Err(ClaimError::AllEqual { value_mm: 1.08, sections: 4, side: None })
    );
}

/// Steel on copper: per setting 5 welds of 4 sections, depth into the copper, um.
type Welds = BTreeMap<String, BTreeMap<String, Vec<Option<f64>>>>;

fn steel_copper() -> Option<Welds> {
    let rows = table("tables/steel_copper/data.csv")?;
    let mut settings = Welds::new();
    for cells in rows.into_iter().skip(1) {
        let setting = cells[..7].join(" ");
        settings
            .entry(setting)
            .or_default()
            .entry(cells[7].clone())
            .or_default()
            .push(cells[12].parse().ok());
    }
    Some(settings)
}

/// Blank rows stop a claim; recorded as 'etch failed', they are listed.
#[test]
fn blank_sections_stop_the_claim() {
    let Some(settings) = steel_copper() else { return };
    let blank = settings
        .values()
        .find(|welds| {
            let all: Vec<_> = welds.values().flatten().collect();
            all.iter().any(|v| v.is_none()) && all.iter().any(|v| v.is_some_and(|v| v > 0.0))
        })
        .unwrap();
    let mut rows: Vec<Row> = blank
        .iter()
        .flat_map(|(weld, values)| {
            values.iter().enumerate().map(move |(i, v)| row(weld, i, v.map(|um| 1e-3 * um)))
        })
        .collect();
    let refused = claim(&rows, &Options::default()).unwrap_err();
    assert!(matches!(&refused, ClaimError::Blank { rows } if rows.len() == 10), "{refused}");
    for row in rows.iter_mut().filter(|row| row.value_mm.is_none()) {
        row.reason = Some("etch failed".into());
    }
    assert_eq!(claim(&rows, &Options::default()).unwrap().left_out.len(), 10);
}

/// Each weld in turn is kept out, the other four claim, and the kept-out sections are counted. A 95 %/95 % bound must
/// hold for 95 % of them or more on average; settings with blanks or without any depth say nothing and are passed over.
#[test]
fn kept_out_welds_hold_the_claim() {
    let Some(settings) = steel_copper() else { return };
    let (mut held, mut pooled_held, mut all, mut used) = (0, 0, 0, 0);
    for welds in settings.values() {
        let welds: Option<Vec<Vec<f64>>> =
            welds.values().map(|v| v.iter().copied().collect::<Option<Vec<f64>>>()).collect();
        let Some(welds) = welds.filter(|welds| welds.concat().iter().any(|&v| v > 0.0)) else {
            continue;
        };
        used += 1;
        for (out, kept_out) in welds.iter().enumerate() {
            let rest = || welds.iter().enumerate().filter(|(i, _)| *i != out);
            let rows: Vec<Row> = rest()
                .flat_map(|(i, values)| {
                    values.iter().enumerate().map(move |(j, &v)| row(&format!("W{i}"), j, Some(v)))
                })
                .collect();
            let claimed = claim(&rows, &Options::default()).unwrap();
            let values: Vec<f64> = rest().flat_map(|(_, values)| values.clone()).collect();
            let pooled = Sample::of(&values).unwrap().bound(Assurance::USUAL).unwrap();
            assert!(claimed.statistical_bound_mm <= pooled + 1e-9);
            held += kept_out.iter().filter(|&&v| v >= claimed.bound_mm).count();
            pooled_held += kept_out.iter().filter(|&&v| v >= pooled).count();
            all += kept_out.len();
        }
    }
    println!(
        "{used} settings, {all} kept-out sections: {held} at or above the claim, {pooled_held} above the pooled bound"
    );
    assert!(used >= 10 && held as f64 >= 0.95 * all as f64, "{held} of {all}");
}
