//! `seamproof demo`.

use crate::shown::{aligned, wrapped};
use crate::{Ended, say};
use std::path::PathBuf;
use std::time::Instant;
use weld::claim::printed_pair;
use weld::quantity::Length;
use weld::quantity::show::{Rounding, UnitSystem, show};
use weld::reading::{Dimension, Reading};
use workflow::claim::Outcome;
use workflow::claim::file::Claimed;
use workflow::demo::{self, Job, Rests, Section, hollin};
use workflow::predict::says;
use workflow::read::nouns::Value;
use workflow::read::says::value;
use workflow::refusal::Refusal;

/// The whole job on an invented example: photos, readings and a claim.
///
/// Hollin Ferry Works does not exist. Its etched sections are drawn, with the grain, blur and uneven light of a
/// photograph; points are set on them as a hand would, and everything after that is the ordinary way: the files that are
/// written can be read again by `read` and `claim`.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// Folder to write; a new or empty one, or an earlier demo's
    #[arg(long, default_value = "seamproof-demo", value_name = "FOLDER")]
    out: PathBuf,
    /// Other seeds weld other coupons
    #[arg(long, default_value = "1", value_name = "N")]
    seed: u64,
}

pub(crate) fn run(args: &Args) -> Result<Ended, Refusal> {
    let begin = Instant::now();
    let job = demo::demo(&args.out, args.seed)?;
    let took = begin.elapsed().as_secs_f64();
    say(&page(args, &job, took))?;
    Ok(Ended::Yes)
}

fn page(args: &Args, job: &Job, took: f64) -> String {
    let out = args.out.display();
    let mut text = wrapped(
        &format!(
            "Invented: Hollin Ferry Works does not exist; photos, coupons and readings are drawn, seed {}.",
            args.seed
        ),
        "",
        "",
    );
    text.push_str(&wrapped(
        &format!(
            "The joints: a {:.0} mm gusset on an {:.0} mm base of a gangway step, EN 1.4307, a two-sided tee; and a {:.0} mm butt of S355 between its landing plates.",
            hollin::UPRIGHT_MM,
            hollin::BASE_MM,
            hollin::LANDING_MM
        ),
        "",
        "",
    ));
    text.push_str(&wrapped(&needed(&job.claimed, "The tee"), "\nstart  ", "       "));
    text.push_str(&wrapped(&needed(&job.butt, "The butt"), "       ", "       "));
    text.push_str(&wrapped(&expected(job), "       ", "       "));
    text.push_str(&wrapped(
        "Each section, left and right weld, ± half of its 95 % interval:",
        "\nread   ",
        "       ",
    ));
    let mut setting = "";
    let mut rows: Vec<Vec<String>> = Vec::new();
    for section in &job.sections {
        if section.setting != setting {
            setting = section.setting;
            text.push_str(&aligned(&rows, 9));
            rows.clear();
            text.push_str(&wrapped(setting, "\n       ", "       "));
            let head: &[&str] = match section.rests {
                Rests::Butt => &["section", "throat", "width", "through the plate"],
                _ => &[
                    "section",
                    "throat left",
                    "throat right",
                    "penetration",
                    "",
                    "land",
                    "full (4.7.3)",
                ],
            };
            rows.push(head.iter().map(|&h| h.to_owned()).collect());
        }
        rows.push(if section.rests == Rests::Butt { butt_row(section) } else { row(section) });
    }
    text.push_str(&aligned(&rows, 9));
    text.push_str(&wrapped("The tee, the lesser side of each section:", "\nclaim  ", "       "));
    text.push_str(&claimed(&job.claimed));
    text.push_str(&wrapped("The butt:", "       ", "       "));
    text.push_str(&claimed(&job.butt));
    text.push_str(&wrapped(
        "Static strength only: steps are walked on, and repeated load needs a fatigue design.",
        "\n       ",
        "       ",
    ));
    text.push_str(&wrapped(
        &format!(
            "{out}/report.pdf: the report to the customer, {} pages. Beside it photos with their reading files, overlays, readings.csv, joint.toml, laser.toml and gmaw.toml (settings), claim.toml, the butt's butt-joint.toml and butt-claim.toml, and demo.seam, the same as one study file; {took:.1} s.",
            job.pages
        ),
        "\nwrite  ",
        "       ",
    ));
    text.push_str(&format!(
        "\ntry\n  seamproof read {out}/photos/a1.toml\n  seamproof start {out}/joint.toml\n  seamproof start {out}/joint.toml --setting {out}/laser.toml --svg expected.svg\n  seamproof compare {out}/joint.toml --setting {out}/laser.toml --setting {out}/gmaw.toml\n  seamproof claim {out}/claim.toml\n  seamproof claim {out}/butt-claim.toml\n  seamproof write report {out}/claim.toml --out report.pdf\n  seamproof study check {out}/demo.seam\n  seamproof demo --out {out} --seed {}\nlook at {out}/report.pdf, and at {out}/overlays/a1.png: is the line where you see it?\n",
        args.seed.wrapping_add(1)
    ));
    text
}

/// What physics expects of the frozen setting, beside what was read.
fn expected(job: &Job) -> String {
    let throats: Vec<f64> = job
        .sections
        .iter()
        .filter(|s| s.rests == Rests::Tee)
        .flat_map(|s| &s.done.read.welds)
        .flat_map(|w| w.values.iter().filter(|(r, _)| *r == Reading::EffectiveThroat))
        .map(|(_, v)| v.value)
        .collect();
    let mean = throats.iter().sum::<f64>() / throats.len().max(1) as f64;
    let least = throats.iter().copied().fold(f64::INFINITY, f64::min);
    format!(
        "Expected of the frozen setting on the tee, before anything was cut: a throat of {}; read below: {mean:.1} mm in the mean, {least:.1} mm the least. Setting and sections are invented, so this checks nothing; it shows what is compared, and how wide the band is before own coupons.",
        says::throat(&job.expected.expected)
    )
}

/// What the load needs, beside the code's least throat.
fn needed(claimed: &Claimed, what: &str) -> String {
    let joint = claimed.joint.as_ref();
    let load = joint
        .and_then(|j| j.asked.need.as_ref())
        .map_or_else(String::new, |n| format!("{what}, {}: ", n.load_text));
    let need = joint.and_then(|j| j.out.need.as_ref());
    let up = |mm: Option<f64>| {
        mm.map_or_else(
            || "none".to_owned(),
            |mm| show(Length::from_mm(mm), Rounding::Up, 2, UnitSystem::Metric),
        )
    };
    need.map_or_else(String::new, |n| {
        format!(
            "{load}the load needs a throat of {}, the least that {} takes is {} (Recalled), so {} is needed.",
            up(n.throat_mm),
            n.code,
            up(n.least_throat_mm),
            up(n.any_plane_mm)
        )
    })
}

fn butt_row(section: &Section) -> Vec<String> {
    let read = &section.done.read;
    let shown = |v: Option<&Value>| {
        v.map_or_else(
            || "absent".to_owned(),
            |v| {
                let (shown, expanded) = value(Dimension::Length, v.value, v.expanded());
                format!("{} ± {expanded}", shown.trim_end_matches(" mm"))
            },
        )
    };
    let throat = read.joint.values.iter().find(|(name, _)| *name == "throat_mm");
    let width = read
        .welds
        .first()
        .and_then(|w| w.values.iter().find(|(reading, _)| *reading == Reading::WidthSurface));
    let through = read.joint.answers.iter().find(|(name, _)| *name == "complete_penetration");
    let label = |text: &Option<String>| text.clone().unwrap_or_default();
    vec![
        format!("{} {}", label(&section.done.out.coupon), label(&section.done.out.section)),
        shown(throat.map(|(_, v)| v)),
        shown(width.map(|(_, v)| v)),
        through.map_or_else(String::new, |(_, a)| a.word().to_owned()),
    ]
}

fn row(section: &Section) -> Vec<String> {
    let read = &section.done.read;
    let of = |side: &str, reading: Reading| {
        let weld = read.welds.iter().find(|w| w.side.word() == side);
        let value_of = weld.and_then(|w| w.values.iter().find(|(r, _)| *r == reading));
        value_of.map_or_else(
            || "absent".to_owned(),
            |(_, v)| {
                let (shown, expanded) = value(Dimension::Length, v.value, v.expanded());
                format!("{} ± {expanded}", shown.trim_end_matches(" mm"))
            },
        )
    };
    let label = |text: &Option<String>| text.clone().unwrap_or_default();
    let land = read.joint.values.iter().find(|(name, _)| *name == "unfused_land_mm");
    let full = read.joint.answers.iter().find(|(name, _)| *name == "full_penetration_by_4_7_3");
    vec![
        format!("{} {}", label(&section.done.out.coupon), label(&section.done.out.section)),
        of("left", Reading::EffectiveThroat),
        of("right", Reading::EffectiveThroat),
        of("left", Reading::RootPenetration),
        of("right", Reading::RootPenetration),
        land.map_or_else(|| "absent".to_owned(), |(_, v)| value(Dimension::Length, v.value, v.u).0),
        full.map_or_else(String::new, |(_, a)| a.word().to_owned()),
    ]
}

fn claimed(claimed: &Claimed) -> String {
    match &claimed.worked.outcome {
        Outcome::Claim(claim) => {
            let mut text = wrapped(&claim.sentence, "       ", "       ");
            let figures = claim.need_mm.map(|need| printed_pair(claim.bound_mm, need));
            if let Some((bound, need)) = figures {
                text.push_str(&wrapped(
                    &format!(
                        "Bound {bound} mm, need {need} mm: {} sections of {} coupons; mean {:.2} mm, s {:.3} mm, k = {:.2}.",
                        claim.sections, claim.coupons, claim.mean_mm, claim.s_mm, claim.k
                    ),
                    "       ",
                    "       ",
                ));
            }
            text
        }
        Outcome::No { sentence, advice } => {
            wrapped(sentence, "       ", "       ") + &wrapped(advice, "       next: ", "       ")
        }
    }
}
