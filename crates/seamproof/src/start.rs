//! `seamproof start`.

use crate::shown::{aligned, wrapped};
use crate::{Ended, json, say};
use std::path::PathBuf;
use weld::quantity::show::{Rounding, UnitSystem, show, show_on_paper, significant};
use weld::quantity::{Length, LineLoad, Stress};
use workflow::refusal::Refusal;
use workflow::start::{StartOut, start};
use workflow::wire::joint::{ClauseOut, NeedOut};

/// A joint file, as the help shows it.
const EXAMPLE: &str = r#"A joint file:
  joint = "tee"                # tee, lap: base and upright; butt: plate, other_plate; bead
  base = "8 mm"
  upright = "5 mm"
  angle = "90 deg"
  gap = "0 mm"
  material = "1.4307"          # if they differ: base_material, upright_material, other_material
  sides = "both"               # one or both
  restrained = true            # required for one-sided fillets: free to rotate gives no resistance
  length = "100 mm"            # overall length of the weld
  [need]                       # the load; without it there is no need to work out
  load = "60 kN"               # on the whole length, or per length: "0.6 kN/mm"
  direction = "along"          # along, across, upright (butt: through), or parts [x, y, z]
  code = "EN 1993-1-8"         # or "AISC 360", "AWS D1.1", both with electrode = "70 ksi";
                               # AISC also with design = "LRFD" or "ASD"
Besides: full_size_to_ends, leg, filler, product, lap_along_force, along_an_edge;
in [need]: method, strengths, gamma_m2, gamma_m0;
and [[metal]] with name, family, yield_strength, tensile_strength for a metal of your own."#;

/// What throat does this load need, and what does the code refuse however deep the fusion?
///
/// FILE is a joint file (TOML): the plates, the weld and the load. Static strength only; most clauses are recalled and
/// say so: have the engineer check them against the code in force.
#[derive(Debug, clap::Args)]
#[command(after_long_help = EXAMPLE)]
pub(crate) struct Args {
    /// Joint file
    #[arg(value_name = "FILE.toml")]
    file: PathBuf,
    /// Print JSON
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(args: &Args) -> Result<Ended, Refusal> {
    let started = start(&args.file)?;
    let out = &started.out;
    let load = started.asked.need.as_ref().map_or("", |n| n.load_text.as_str());
    say(&if args.json { json(out)? } else { page(out, load) })?;
    Ok(match &out.need {
        Some(need) if !need.allowed => Ended::No,
        _ => Ended::Yes,
    })
}

/// A need is rounded up.
fn up(mm: f64) -> String {
    show_on_paper(Length::from_mm(mm), Rounding::Up, 2, UnitSystem::Metric)
}

/// What carries is rounded down.
fn down(n_per_mm: f64) -> String {
    show_on_paper(LineLoad::from_n_per_mm(n_per_mm), Rounding::Down, 0, UnitSystem::Metric)
}

fn clause(clause: &ClauseOut) -> String {
    format!("{}, {} ({})", clause.title, clause.place, clause.seen)
}

fn page(out: &StartOut, load: &str) -> String {
    let mut text = format!("{}: {}\n\n", out.file, out.joint_kind);
    let Some(need) = &out.need else {
        text.push_str(&wrapped("No load is given, so there is no need to work out.", "  ", "  "));
        text.push_str(&wrapped(
            "next: add [need] with load, direction and code; 'seamproof start --help' shows a whole file",
            "  ",
            "    ",
        ));
        return text;
    };
    text.push_str(&wrapped(&answer(need, load), "  ", "  "));
    text.push('\n');
    text.push_str(&aligned(&working(need), 2));
    text.push_str(&wrapped(
        &format!("method: {}; {}", need.method, clause(&need.clause)),
        "  ",
        "    ",
    ));
    match need.governs {
        Some("weld") => text.push_str("  governing: the weld metal in the throat\n"),
        Some(plate) => text.push_str(&wrapped(
            &format!(
                "governing: the {plate}'s metal at the fusion face; a flat fillet of just that throat has shorter legs, so show the fused length above as well"
            ),
            "  ",
            "    ",
        )),
        None => {}
    }
    text.push_str(&wrapped(&format!("compared with: {}", need.loads), "  ", "    "));
    let credit = &need.penetration_counts_by;
    text.push_str(&wrapped(
        &format!(
            "depth of fusion {}: {}; {}",
            if credit.counts { "may count in the throat" } else { "does not count in the throat" },
            credit.condition,
            clause(&credit.clause)
        ),
        "  ",
        "    ",
    ));
    if let Some(full) = &need.as_full_penetration {
        text.push_str(&wrapped(
            &format!(
                "as full penetration: sum of throats at least {}, unfused land at most {}; the joint then carries {} (load / resistance {}); {}",
                up(full.least_sum_of_throats_mm),
                show_on_paper(
                    Length::from_mm(full.greatest_land_mm),
                    Rounding::Down,
                    2,
                    UnitSystem::Metric
                ),
                down(full.resistance_n_per_mm),
                significant(full.utilisation, 3),
                clause(&full.clause)
            ),
            "  ",
            "    ",
        ));
    }
    if !need.refusals.is_empty() {
        text.push_str("\n  what the code asks or refuses, however deep the fusion\n");
        for r in &need.refusals {
            let line = format!("{}: {}; {}", r.effect, r.fact, clause(&r.clause));
            text.push_str(&wrapped(&line, "  - ", "    "));
            text.push_str(&wrapped(&format!("next: {}", r.advice), "    ", "      "));
        }
    }
    if !need.also_check.is_empty() {
        text.push_str("\n  also to be checked\n");
        for c in &need.also_check {
            let line = format!("{}: {}; {}", c.what, c.fact, clause(&c.clause));
            text.push_str(&wrapped(&line, "  - ", "    "));
        }
    }
    if !out.remarks.is_empty() {
        text.push_str("\n  remarks\n");
        for remark in &out.remarks {
            text.push_str(&wrapped(remark, "  - ", "    "));
        }
    }
    if !out.taken.is_empty() {
        text.push_str("\n  taken, since the file does not say\n");
        for taken in &out.taken {
            text.push_str(&wrapped(taken, "  - ", "    "));
        }
    }
    text.push_str(&wrapped(
        "Static strength only. 'Recalled' clauses are from memory: the engineer checks them against the code in force, and accepts the throat for design.",
        "\n  ",
        "  ",
    ));
    text
}

/// The answer as a sentence.
fn answer(need: &NeedOut, load: &str) -> String {
    let each = if need.welds == 1 { "The weld" } else { "Each of the two welds" };
    let Some(specify) = need.specify_mm else {
        let why = need.refusals.first().map_or("", |r| r.fact.as_str());
        return format!("No throat will do: {} gives this joint no resistance: {why}.", need.code);
    };
    let mut text = format!("{each} needs a throat of {} for {load} by {}", up(specify), need.code);
    if let (Some(throat), Some(least)) = (need.throat_mm, need.least_throat_mm)
        && throat < least
    {
        text.push_str(&format!(
            "; the load alone would need {}, the code's least governs",
            up(throat)
        ));
    }
    text.push('.');
    if need.least_throat_mm.is_none() && need.least_leg_asked {
        text.push_str(" The legs have a least size besides, however deep the fusion: see below.");
    }
    if let Some(any) = need.any_plane_mm
        && any > specify * (1.0 + 1e-9)
    {
        text.push_str(&format!(
            " Where depth of fusion counts in it, compare a claim with {}: such a throat need not lie at half the angle.",
            up(any)
        ));
    }
    if !need.allowed {
        text.push_str(" But the code does not allow the joint as asked: see below.");
    }
    text
}

fn working(need: &NeedOut) -> Vec<Vec<String>> {
    let row = |name: &str, value: String| vec![name.to_owned(), value];
    let mut rows = Vec::new();
    if let Some(t) = need.throat_mm {
        rows.push(row("throat the load needs", up(t)));
    }
    if let Some(t) = need.least_throat_mm {
        rows.push(row("least throat of the code", up(t)));
    }
    if let Some(l) = need.effective_length_mm {
        rows.push(row(
            "effective length of each weld at the throat the load needs",
            show_on_paper(Length::from_mm(l), Rounding::Down, 1, UnitSystem::Metric),
        ));
    }
    if let Some(r) = need.resistance_n_per_mm {
        rows.push(row(
            "resistance of each weld at the throat the load needs, over its whole length",
            down(r),
        ));
    }
    for part in &need.parts {
        let stress = |mpa| show(Stress::from_mpa(mpa), Rounding::Nearest, 0, UnitSystem::Metric);
        rows.push(row(
            &format!("{}, {}: yield and tensile strength", part.part, part.metal),
            format!("{}, {}", stress(part.yield_strength_mpa), stress(part.tensile_strength_mpa)),
        ));
    }
    for fused in &need.fused {
        let ours = if fused.asked_by_code { "" } else { " (our check, with the code's own limit)" };
        rows.push(row(
            &format!("fused length each weld needs on the {}{ours}", fused.plate),
            up(fused.least_mm),
        ));
    }
    rows.push(row("load / resistance of the plate itself", significant(need.plate_utilisation, 3)));
    rows
}
