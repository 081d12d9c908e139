//! `seamproof compare`.

use crate::shown::{aligned, listed, wrapped};
use crate::start::tier;
use crate::{Ended, json, say};
use std::path::PathBuf;
use weld::quantity::show::significant;
use workflow::compare::compare;
use workflow::refusal::Refusal;
use workflow::wire::predict::{CompareOut, ComparedOut};

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
    let fails = out.settings.iter().any(|s| s.meets_need == Some(false));
    Ok(if fails { Ended::No } else { Ended::Yes })
}

fn page(out: &CompareOut) -> String {
    let mut text = format!(
        "{}: {}, one metre of the joint, all its welds and passes\n\n",
        out.file, out.joint_kind
    );
    if let Some(specify) = out.need.as_ref().and_then(|n| n.any_plane_mm.or(n.specify_mm)) {
        text.push_str(&format!("  needed throat of each weld: {specify:.2} mm\n\n"));
    }
    let mut rows = vec![vec![String::new()]];
    rows[0].extend(out.settings.iter().map(|s| format!("{} ({})", s.setting, s.process)));
    let none = || "-".to_owned();
    let mut row = |name: &str, of: &dyn Fn(&ComparedOut) -> String| {
        let mut line = vec![name.to_owned()];
        line.extend(out.settings.iter().map(of));
        rows.push(line);
    };
    let some = |v: Option<f64>, unit: &str| {
        v.map_or_else(none, |v| format!("{} {unit}", significant(v, 3)))
    };
    row("throat of each weld", &|s| some(s.throat_mm, "mm"));
    row("90 % band of it", &|s| match (s.throat_low_mm, s.throat_high_mm) {
        (Some(low), Some(high)) => {
            format!("{} to {} mm", significant(low, 3), significant(high, 3))
        }
        _ => "no band".to_owned(),
    });
    row("carries, each weld", &|s| some(s.resistance_n_per_mm, "N/mm"));
    row("meets the need", &|s| {
        s.meets_need.map_or_else(none, |yes| if yes { "yes" } else { "no" }.to_owned())
    });
    row("passes of each weld", &|s| s.passes.to_string());
    row("deposit", &|s| some(Some(s.deposit_mm2), "mm²"));
    row("heat into the joint", &|s| some(Some(s.heat_kj_per_mm), "kJ/mm"));
    row("t8/5", &|s| some(s.t85_s, "s"));
    row("time", &|s| some(Some(s.time_s_per_m), "s"));
    row("wire", &|s| some(Some(s.wire_kg_per_m * 1e3), "g"));
    row("gas", &|s| some(s.gas_l_per_m, "l"));
    row("electricity", &|s| some(Some(s.energy_kwh_per_m), "kWh"));
    if let Some(currency) = &out.currency {
        row("cost", &|s| some(s.cost_per_m, currency));
    }
    text.push_str(&aligned(&rows, 2));
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
