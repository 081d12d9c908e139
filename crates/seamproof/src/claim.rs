//! `seamproof claim`.

use crate::shown::{aligned, wrapped};
use crate::{Ended, json, say};
use std::path::PathBuf;
use weld::claim::{Population, printed_bound, printed_pair};
use weld::quantity::Share;
use workflow::claim::{Answer, Asked, Sides, claim};
use workflow::refusal::Refusal;
use workflow::wire::{ClaimOut, ReachOut};

/// How much throat may be claimed from these sections?
///
/// FILE is a table of readings (CSV) with the columns coupon, section and the value, as `read --csv` writes it.
/// The claim is a lower one-sided tolerance bound: with the stated confidence at least the stated share of all sections
/// made the same way has it or more.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// Table of readings
    #[arg(value_name = "FILE.csv")]
    file: PathBuf,
    /// The column to claim
    #[arg(long, default_value = "effective_throat_mm", value_name = "COLUMN")]
    value: String,
    /// Share of all sections, 0.5 to 0.9999 or '50 %' to '99.99 %'
    #[arg(long, default_value = "0.95", value_parser = share, allow_hyphen_values = true, value_name = "SHARE")]
    content: f64,
    /// Confidence, likewise
    #[arg(long, default_value = "0.95", value_parser = share, allow_hyphen_values = true, value_name = "SHARE")]
    confidence: f64,
    /// The throat needed, with its unit: '3 mm', '1/8 in'
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    need: Option<String>,
    /// Relative standard uncertainty common to all photos: '1 %'
    #[arg(long, value_name = "SHARE", allow_hyphen_values = true)]
    shared_u: Option<String>,
    /// How the two sides of a tee are brought together; they are never pooled
    #[arg(long, value_enum, default_value = "apart")]
    sides: SidesArg,
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
    /// Print JSON
    #[arg(long)]
    json: bool,
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
    let asked = Asked {
        value: args.value.clone(),
        content: args.content,
        confidence: args.confidence,
        need: args.need.clone(),
        shared_u: args.shared_u.clone(),
        sides: match args.sides {
            SidesArg::Apart => Sides::Apart,
            SidesArg::Least => Sides::Least,
            SidesArg::Sum => Sides::Sum,
        },
        population: Population {
            operators: args.operators.clone(),
            machine: args.machine.clone(),
            material_heats: args.heats.clone(),
            position: args.position.clone(),
            setting: args.setting.clone(),
            length: args.length.clone(),
        },
        frozen: args.frozen.then_some(true),
    };
    let answer = claim(&args.file, &asked)?;
    match &answer {
        Answer::Claim(out) => say(&if args.json { json(out)? } else { page(out) })?,
        Answer::No { sentence, advice } => {
            let none = serde_json::json!({ "value": asked.value, "verdict": "cannot claim", "sentence": sentence, "next": advice });
            say(&if args.json {
                json(&none)?
            } else {
                wrapped(sentence, "", "  ") + &wrapped(advice, "  next: ", "  ")
            })?;
        }
    }
    Ok(if answer.holds() { Ended::Yes } else { Ended::No })
}

fn page(out: &ClaimOut) -> String {
    let mut text = wrapped(&out.sentence, "", "");
    text.push('\n');
    let mm = |v: f64| format!("{v:.3} mm");
    let (bound, need) = match out.need_mm {
        Some(need) => {
            let (bound, need) = printed_pair(out.bound_mm, need);
            (bound, Some(need))
        }
        None => (printed_bound(out.bound_mm), None),
    };
    // What cannot be claimed is not printed where a claim stands.
    let claimed = match out.verdict.as_str() {
        "cannot claim" => "none".to_owned(),
        "in doubt" => format!("in doubt ({bound} mm)"),
        _ => format!("{bound} mm"),
    };
    let mut rows = vec![vec![format!("claim ({})", out.value), claimed]];
    if let Some(need) = need {
        rows.push(vec!["need".to_owned(), format!("{need} mm")]);
    }
    rows.push(vec!["sections".to_owned(), out.n.to_string()]);
    rows.push(vec!["coupons".to_owned(), out.coupons.to_string()]);
    rows.push(vec!["mean".to_owned(), mm(out.mean_mm)]);
    rows.push(vec!["standard deviation s".to_owned(), mm(out.s_mm)]);
    if let Some(v) = out.within_mm {
        rows.push(vec!["  within coupons".to_owned(), mm(v)]);
    }
    if let Some(v) = out.between_mm {
        rows.push(vec!["  between coupons".to_owned(), mm(v)]);
    }
    rows.push(vec!["k = (mean - statistical bound) / s".to_owned(), format!("{:.4}", out.k)]);
    rows.push(vec!["statistical bound".to_owned(), mm(out.statistical_bound_mm)]);
    rows.push(vec!["shared error takes".to_owned(), mm(out.shared_mm)]);
    if let Some(v) = out.repeatability_mm {
        rows.push(vec!["one reader's repeat reading, s".to_owned(), mm(v)]);
    }
    text.push_str(&aligned(&rows, 2));
    if !out.sides.is_empty() {
        text.push_str("\n  sides, bounded apart\n");
        let mut rows = vec![vec![
            "weld".to_owned(),
            "sections".to_owned(),
            "mean".to_owned(),
            "s".to_owned(),
            "bound".to_owned(),
        ]];
        for s in &out.sides {
            rows.push(vec![
                s.weld.clone(),
                s.n.to_string(),
                mm(s.mean_mm),
                mm(s.s_mm),
                mm(s.bound_mm),
            ]);
        }
        text.push_str(&aligned(&rows, 2));
    }
    text.push('\n');
    text.push_str(&wrapped(&out.method, "  method: ", "    "));
    text.push_str(&wrapped(&out.population, "  ", "    "));
    if out.left_out.is_empty() {
        text.push_str("  left out: nothing\n");
    } else {
        text.push_str(&format!("  left out: {} section(s)\n", out.left_out.len()));
        for l in &out.left_out {
            let coupon = l.coupon.as_ref().map_or_else(String::new, |c| format!("coupon {c} "));
            let weld = l.weld.as_ref().map_or_else(String::new, |w| format!(" {w}"));
            text.push_str(&wrapped(
                &format!("{coupon}section {}{weld}: {}", l.section, l.reason),
                "  - ",
                "    ",
            ));
        }
    }
    text.push_str(&wrapped(&out.normality, "  ", "    "));
    if let Some(more) = &out.more_sections {
        let say = |r: &ReachOut, [one, many]: [&str; 2]| match (r.more, r.tried, r.chance, &r.why) {
            (Some(n), _, Some(c), _) => {
                let what = if n == 1 { one } else { many };
                format!("{n} more {what} would reach the need with a chance of {:.0} %", 100.0 * c)
            }
            (_, Some(n), Some(c), _) => {
                format!("not even {n} more {many} would: their chance is {:.0} %", 100.0 * c)
            }
            (_, _, _, Some(why)) => format!("more {many}: {why}"),
            _ => format!("more {many}: not told"),
        };
        text.push_str("\n  what more would help\n");
        let sections = ["section from the same coupons", "sections from the same coupons"];
        text.push_str(&wrapped(&say(&more.sections, sections), "  - ", "    "));
        let coupons =
            ["coupon", "coupons"].map(|c| format!("{c} of {} sections", more.sections_per_coupon));
        let coupons = [coupons[0].as_str(), coupons[1].as_str()];
        text.push_str(&wrapped(&say(&more.coupons, coupons), "  - ", "    "));
        if let (Some(a), Some(b)) = (more.after_one_coupon_mm, more.after_ten_sections_mm)
            && a > b
        {
            text.push_str(&wrapped(
                &format!("one more coupon (expected bound {a:.2} mm) buys more than ten more sections ({b:.2} mm)"),
                "  - ",
                "    ",
            ));
        }
    }
    if !out.remarks.is_empty() {
        text.push_str("\n  remarks\n");
        for remark in &out.remarks {
            text.push_str(&wrapped(remark, "  - ", "    "));
        }
    }
    text.push_str(&wrapped(
        "Static strength only: the land of a partial-penetration weld is a crack-like notch; repeated load needs a fatigue design. The engineer accepts the throat for design, the examiner signs the qualification, the welding coordinator issues the procedure. What the code refuses however deep the fusion is not looked at here.",
        "\n  ",
        "  ",
    ));
    text
}
