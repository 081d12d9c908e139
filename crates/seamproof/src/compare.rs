//! `seamproof compare`.

use crate::shown::{aligned, listed, wrapped};
use crate::start::tier;
use crate::{Ended, json, say};
use std::path::PathBuf;
use workflow::compare::compare;
use workflow::predict::says::{compared, needed_throat};
use workflow::refusal::Refusal;
use workflow::wire::predict::CompareOut;

/// Files, as the help shows them.
const EXAMPLE: &str = r#"An arc's setting file:
  process = "135"              # ISO 4063: 131 MIG, 135 MAG, 136 and 138 cored MAG, 141 TIG
  current = "180 A"
  voltage = "22 V"
  travel = "6 mm/s"
  gas_flow = "15 l/min"
  [wire]
  diameter = "1.0 mm"
  feed = "8 m/min"
A laser's is shown by 'seamproof start --help'. A rates file, plain numbers of your own:
  currency = "EUR"
  labour_per_h = 50
  machine_per_h = 8
  energy_per_kwh = 0.25
  gas_per_m3 = 10
  wire_per_kg = 6"#;

/// Does one process do what another does on this joint, and at what heat, time and cost?
///
/// The prediction's side, before anything is welded: throat with its band, resistance, heat, cooling time, time, wire,
/// gas, energy and cost for a metre of the joint. An arc fillet counts as the triangle of its deposit.
#[derive(Debug, clap::Args)]
#[command(after_long_help = EXAMPLE)]
pub(crate) struct Args {
    /// Joint file
    #[arg(value_name = "JOINT.toml")]
    joint: PathBuf,
    /// Setting file; give two or more
    #[arg(long, value_name = "SETTING.toml", required = true)]
    setting: Vec<PathBuf>,
    /// How closely to look: quick or keyhole
    #[arg(long, default_value = "keyhole")]
    tier: String,
    /// Rates file: your own costs
    #[arg(long, value_name = "RATES.toml")]
    rates: Option<PathBuf>,
    /// Print JSON
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(args: &Args) -> Result<Ended, Refusal> {
    let out = compare(&args.joint, &args.setting, tier(&args.tier)?, args.rates.as_deref())?;
    say(&if args.json { json(&out)? } else { page(&out) })?;
    let fails = out.need.is_some() && out.settings.iter().any(|s| s.meets_need != Some(true));
    Ok(if fails { Ended::No } else { Ended::Yes })
}

fn page(out: &CompareOut) -> String {
    let mut text = format!(
        "{}: {}, one metre of the joint, all its welds and passes\n\n",
        out.file, out.joint_kind
    );
    if let Some(needed) = out.need.as_ref().and_then(needed_throat) {
        text.push_str(&format!("  needed throat of each weld: {needed}\n\n"));
    }
    text.push_str(&aligned(&compared(out), 2));
    for s in &out.settings {
        text.push_str(&listed(&s.setting, &s.warnings));
    }
    text.push_str(&listed("taken, since the files do not say", &out.taken));
    text.push_str(&wrapped(
        "Predicted, not welded: what is claimed of either comes from cut sections. Static strength only.",
        "\n  ",
        "  ",
    ));
    text
}
