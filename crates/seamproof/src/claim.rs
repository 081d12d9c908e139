//! `seamproof claim`.

use crate::shown::{aligned, listed, wrapped};
use crate::write::against as against_the_joint;
use crate::{Ended, json, say, tell};
use std::path::{Path, PathBuf};
use weld::claim::Population;
use weld::quantity::Share;
use weld::quantity::show::UnitSystem;
use workflow::claim::file::{Claimed, claim_file};
use workflow::claim::{Answer, Asked, Sides, claim, says};
use workflow::refusal::Refusal;
use workflow::study::{Study, is_study};
use workflow::wire::ClaimOut;

/// A claim file, as the help shows it.
pub(crate) const EXAMPLE: &str = r#"A claim file:
  question = "Does the frozen setting carry what the step needs?"
  joint = "joint.toml"               # with its [need] the claim is judged; see `start --help`
  sections = ["a1.toml", "a2.toml"]  # reading files beside this file; or readings = "readings.csv"
  value = "effective_throat"         # the reading that is claimed
  content = 0.95                     # share of all sections
  confidence = 0.95
  need = "4 mm"                      # without a joint file, or to ask for more than it does
  sides = "least"                    # apart, least or sum: two sides are never pooled
  frozen = true                      # the setting was frozen before these coupons were welded
  [[left_out]]                       # for each section that was cut and has no value
  coupon = "B"
  section = 3
  reason = "cut lost"                # cut lost, etch failed or planned exclusion
  [population]                       # what is not named is not covered
  operators = "R. Tan"
  machine = "handheld laser 2 kW, shop number L-02"
  material_heats = "plates 4471-B, wire 88213"
  position = "PB"
  setting = "frozen as S-07"
  length = "each weld less 25 mm at both ends"
  [paper]                            # for `write report`
  customer = "Hollin Ferry Works"
  author = "the welding shop"
  date = "2026-11-25"                # the date that the paper carries
  units = "mm"                       # or in
  title = "Throat of the gangway step's welds"
  invented = true                    # prints 'invented data' on every page
  walked_on = true                   # prints the caution for parts that are walked on"#;

/// How much throat may be claimed from these sections?
///
/// FILE is a claim file (TOML), which says all that is asked, a study (.seam) with its claim, or a table of readings (CSV)
/// with the columns coupon, section and the value, as `read --csv` writes it; the flags are for a table.
/// The claim is a lower one-sided tolerance bound: with the stated confidence at least the stated share of all sections
/// made the same way has it or more.
#[derive(Debug, clap::Args)]
#[command(after_long_help = EXAMPLE)]
pub(crate) struct Args {
    /// Claim file, study or table of readings
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// The claim of the study, where it has several
    #[arg(long, value_name = "NAME")]
    claim: Option<String>,
    #[command(flatten)]
    asked: TableArgs,
    /// Print JSON
    #[arg(long)]
    json: bool,
}

/// What is asked of a table. A claim file says these things itself.
#[derive(Debug, clap::Args)]
struct TableArgs {
    #[arg(
        long,
        value_name = "COLUMN",
        help = "The column to claim [default: effective_throat_mm]"
    )]
    value: Option<String>,
    /// Share of all sections, 0.5 to 0.9999 or '50 %' to '99.99 %' [default: 0.95]
    #[arg(long, value_parser = share, allow_hyphen_values = true, value_name = "SHARE")]
    content: Option<f64>,
    /// Confidence, likewise [default: 0.95]
    #[arg(long, value_parser = share, allow_hyphen_values = true, value_name = "SHARE")]
    confidence: Option<f64>,
    /// The throat needed, with its unit: '3 mm', '1/8 in'
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    need: Option<String>,
    /// Relative standard uncertainty common to all photos: '1 %'
    #[arg(long, value_name = "SHARE", allow_hyphen_values = true)]
    shared_u: Option<String>,
    /// How the two sides of a tee are brought together; they are never pooled [default: apart]
    #[arg(long, value_enum)]
    sides: Option<SidesArg>,
    /// The setting was frozen before these coupons were welded
    #[arg(long)]
    frozen: bool,
    /// Who welded
    #[arg(long, value_name = "NAMES")]
    operators: Option<String>,
    /// The machine
    #[arg(long, value_name = "TEXT")]
    machine: Option<String>,
    /// Heats of plates and wire
    #[arg(long, value_name = "TEXT")]
    heats: Option<String>,
    /// Welding position
    #[arg(long, value_name = "TEXT")]
    position: Option<String>,
    /// The setting
    #[arg(long, value_name = "TEXT")]
    setting: Option<String>,
    /// The length that is spoken for
    #[arg(long, value_name = "TEXT")]
    length: Option<String>,
}

impl TableArgs {
    /// The first flag that was given.
    fn first_given(&self) -> Option<&'static str> {
        [
            ("--value", self.value.is_some()),
            ("--content", self.content.is_some()),
            ("--confidence", self.confidence.is_some()),
            ("--need", self.need.is_some()),
            ("--shared-u", self.shared_u.is_some()),
            ("--sides", self.sides.is_some()),
            ("--frozen", self.frozen),
            ("--operators", self.operators.is_some()),
            ("--machine", self.machine.is_some()),
            ("--heats", self.heats.is_some()),
            ("--position", self.position.is_some()),
            ("--setting", self.setting.is_some()),
            ("--length", self.length.is_some()),
        ]
        .into_iter()
        .find_map(|(flag, given)| given.then_some(flag))
    }

    fn asked(&self) -> Asked {
        Asked {
            value: self.value.clone().unwrap_or_else(|| "effective_throat_mm".to_owned()),
            content: self.content.unwrap_or(0.95),
            confidence: self.confidence.unwrap_or(0.95),
            need: self.need.clone(),
            shared_u: self.shared_u.clone(),
            sides: match self.sides {
                None | Some(SidesArg::Apart) => Sides::Apart,
                Some(SidesArg::Least) => Sides::Least,
                Some(SidesArg::Sum) => Sides::Sum,
            },
            population: Population {
                operators: self.operators.clone(),
                machine: self.machine.clone(),
                material_heats: self.heats.clone(),
                position: self.position.clone(),
                setting: self.setting.clone(),
                length: self.length.clone(),
            },
            frozen: self.frozen.then_some(true),
            units: UnitSystem::Metric,
        }
    }
}

#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum SidesArg {
    /// Each bounded apart, the lowest is claimed
    Apart,
    /// The least side of each section
    Least,
    /// The sum of the sides of each section
    Sum,
}

/// A share as a number or in percent.
fn share(text: &str) -> Result<f64, String> {
    match text.trim().parse::<f64>() {
        Ok(number) => Ok(number),
        Err(_) => text
            .parse::<Share>()
            .map(Share::fraction)
            .map_err(|e| format!("{e}; write 0.95 or '95 %'")),
    }
}

pub(crate) fn run(args: &Args) -> Result<Ended, Refusal> {
    let in_study = is_study(&args.file);
    let (asked, answer, claimed) = if in_study || is_claim_file(&args.file) {
        if let Some(flag) = args.asked.first_given() {
            return Err(Refusal::new(
                if in_study {
                    format!("{flag} is given beside a study, whose claim says itself what is asked")
                } else {
                    format!("{flag} is given beside a claim file, which says itself what is asked")
                },
                "write it into the claim file, and leave the flag out",
            )
            .in_file(args.file.display()));
        }
        let claimed = claimed(&args.file, args.claim.as_deref(), false)?;
        let answer = claimed.worked.answer(&claimed.file.asked);
        (claimed.file.asked.clone(), answer, Some(claimed))
    } else {
        no_claim_named(&args.file, args.claim.as_deref())?;
        let asked = args.asked.asked();
        let answer = claim(&args.file, &asked)?;
        (asked, answer, None)
    };
    let holds = claimed.as_ref().map_or_else(|| answer.holds(), Claimed::holds);
    if args.json {
        say(&json(&form(&asked, &answer, claimed.as_ref()))?)?;
    } else {
        if let Some(claimed) = &claimed {
            say(&against_the_joint(claimed))?;
        }
        say(&match &answer {
            Answer::Claim(out) => page(out, asked.units),
            Answer::No { sentence, advice } => {
                wrapped(sentence, "", "  ") + &wrapped(advice, "  next: ", "  ")
            }
        })?;
    }
    Ok(if holds { Ended::Yes } else { Ended::No })
}

/// The answer for machines; of a claim file with what the code says of its joint.
fn form(asked: &Asked, answer: &Answer, claimed: Option<&Claimed>) -> serde_json::Value {
    let mut out = match answer {
        Answer::Claim(out) => serde_json::json!(out),
        Answer::No { sentence, advice } => {
            serde_json::json!({ "value": asked.value, "verdict": "cannot claim", "sentence": sentence, "next": advice })
        }
    };
    if let Some(claimed) = claimed
        && let Some(need) = claimed.joint.as_ref().and_then(|j| j.out.need.as_ref())
    {
        out["holds"] = claimed.holds().into();
        out["refusals"] = serde_json::json!(need.refusals);
        out["also_check"] = serde_json::json!(need.also_check);
    }
    out
}

/// A claim worked out: from a claim file, or from a study.
pub(crate) fn claimed(
    file: &Path,
    name: Option<&str>,
    for_paper: bool,
) -> Result<Claimed, Refusal> {
    if is_study(file) {
        return Study::open_to_read(file)?.claim(name, for_paper, &tell);
    }
    no_claim_named(file, name)?;
    claim_file(file, for_paper, &tell)
}

fn no_claim_named(file: &Path, name: Option<&str>) -> Result<(), Refusal> {
    if name.is_none() {
        return Ok(());
    }
    Err(Refusal::new("--claim is given, and this is no study", "leave the flag out")
        .in_file(file.display()))
}

/// A claim file is told from a table by the ending of its name.
fn is_claim_file(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("toml"))
}

fn page(out: &ClaimOut, units: UnitSystem) -> String {
    let mut text = wrapped(&out.sentence, "", "");
    text.push('\n');
    let rows: Vec<Vec<String>> = says::rows(out, units).into_iter().map(Vec::from).collect();
    text.push_str(&aligned(&rows, 2));
    let sides = says::sides(out, units);
    if !sides.is_empty() {
        text.push_str("\n  sides, bounded apart\n");
        let mut rows = vec![["weld", "sections", "mean", "s", "bound"].map(str::to_owned).to_vec()];
        rows.extend(sides.into_iter().map(Vec::from));
        text.push_str(&aligned(&rows, 2));
    }
    text.push('\n');
    text.push_str(&wrapped(&out.method, "  method: ", "    "));
    text.push_str(&wrapped(&out.population, "  ", "    "));
    let left_out = says::left_out(out);
    if left_out.is_empty() {
        text.push_str("  left out: nothing\n");
    } else {
        text.push_str(&format!("  left out: {} section(s)\n", left_out.len()));
        for l in &left_out {
            text.push_str(&wrapped(l, "  - ", "    "));
        }
    }
    text.push_str(&wrapped(&out.normality, "  ", "    "));
    text.push_str(&listed("what more would help", &says::more(out)));
    text.push_str(&listed("remarks", &out.remarks));
    text.push_str(&wrapped(
        &format!(
            "{} What the code refuses however deep the fusion is not looked at here.",
            says::CAUTION
        ),
        "\n  ",
        "  ",
    ));
    text
}
