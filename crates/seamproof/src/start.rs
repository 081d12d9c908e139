//! `seamproof start`.

use crate::shown::{aligned, listed, wrapped};
use crate::{Ended, json, say};
use std::path::PathBuf;
use weld::quantity::show::{Rounding, UnitSystem, show, show_on_paper, significant};
use weld::quantity::{Length, LineLoad, Stress};
use workflow::files;
use workflow::predict::{TIERS, Tier, expect, pictures, says};
use workflow::refusal::Refusal;
use workflow::start::{AskedGun, StartOut, choose, start};
use workflow::wire::joint::NeedOut;
use workflow::wire::predict::{ExpectOut, SearchOut};
use workflow::wire::setting::rates_from_toml;

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
and [[metal]] with name, family, yield_strength, tensile_strength for a metal of your own.
A bead has plate and material.

A setting file, for --setting:
  process = "521"              # ISO 4063: 52x laser beam, 135 MAG, 131 MIG, 141 TIG
  power = "1.6 kW"
  spot = "120 um"              # focus diameter to 1/e²; or [optics] fibre, collimator, lens
  m2 = 3                       # or bpp, mm mrad
  wavelength = "1070 nm"
  focus = "0 mm"               # negative: focus below the surface
  travel = "8 mm/s"
  torch_angle = "30 deg"       # between beam and base surface
  aim = "0 mm"                 # beam axis past the corner, + up the upright
  gas = "argon"
  [wobble]
  pattern = "line"             # line, circle, eight, none
  width = "1.5 mm"             # full side-to-side travel of the beam's centre
  frequency = "60 Hz"
  [wire]
  diameter = "1.6 mm"
  count = 2
  feed = "travel"              # or a speed
Besides: focal_length, beam_at_lens, divergence for 'seamproof area'; preheat, gas_flow, metal ("nickel 718", ...), steel = "C 0.18, Si 0.3, Mn 1.4" from its certificate, for hardness and preheat.
An arc's setting is shown by 'seamproof compare --help'."#;

/// What throat does this load need, and which setting is worth trying first?
///
/// FILE is a joint file (TOML): the plates, the weld and the load. It tells what throat the load needs, what the code
/// refuses however deep the fusion, and the settings worth trying first; with --setting, the section that one setting
/// should make, with its band. Static strength only; most clauses are recalled and say so: have the engineer check them
/// against the code in force. No prediction carries a claim: that comes from cut sections. Before the beam is switched on
/// to try a setting, 'seamproof area' works the laser area out.
#[derive(Debug, clap::Args)]
#[command(after_long_help = EXAMPLE)]
pub(crate) struct Args {
    /// Joint file
    #[arg(value_name = "FILE.toml")]
    file: PathBuf,
    /// Setting file: what should this setting make of the joint?
    #[arg(long, value_name = "SETTING.toml")]
    setting: Option<PathBuf>,
    /// With --setting, how closely to look: quick or keyhole
    #[arg(long, default_value = "keyhole")]
    tier: String,
    /// Draw what is to be expected: the section with its band beside the joint, what changes the throat, and with --setting
    /// the energy on the seam
    #[arg(long, value_name = "OUT.svg", conflicts_with = "need_only")]
    svg: Option<PathBuf>,
    /// The need alone, no search for settings
    #[arg(long, conflicts_with = "setting")]
    need_only: bool,
    /// Searching: greatest power at the work, such as "2 kW"
    #[arg(long, conflicts_with = "setting")]
    power: Option<String>,
    /// Searching: focus diameter at hand, such as "120 um"; may be given several times
    #[arg(long, conflicts_with = "setting")]
    spot: Vec<String>,
    /// Searching: M² of the first spot
    #[arg(long, conflicts_with = "setting")]
    m2: Option<f64>,
    /// Searching: rates file, to rank by cost ('seamproof compare --help' shows one)
    #[arg(long, value_name = "RATES.toml", conflicts_with = "setting")]
    rates: Option<PathBuf>,
    /// Print JSON
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(args: &Args) -> Result<Ended, Refusal> {
    let started = start(&args.file)?;
    if let Some(setting) = &args.setting {
        let of_setting = expect(&started, setting, tier(&args.tier)?)?;
        if let Some(to) = &args.svg {
            let drawn = pictures::sheet(&of_setting).into_string().into_bytes();
            files::write_all(&[(to.clone(), drawn)], &[&args.file, setting])?;
        }
        let said = of_setting.out;
        say(&if args.json { json(&said)? } else { predicted(&said) })?;
        // What cannot be told is no yes.
        return Ok(match (said.meets_need, &said.need) {
            (Some(true), _) | (None, None) => Ended::Yes,
            _ => Ended::No,
        });
    }
    let out = &started.out;
    let load = started.asked.load_words().unwrap_or_default();
    let found = if args.need_only || started.need.as_ref().is_none_or(|n| !n.allowed()) {
        None
    } else {
        let rates = args
            .rates
            .as_ref()
            .map(|path| rates_from_toml(&path.display().to_string(), &files::text(path)?))
            .transpose()?;
        let gun =
            AskedGun { power: args.power.clone(), spots: args.spot.clone(), m2: args.m2, rates };
        Some(choose(&started, &gun)?)
    };
    if let Some(to) = &args.svg {
        let Some(found) = &found else {
            return Err(Refusal::new(
                "nothing is searched for this joint, so there is nothing to draw",
                "give the joint a [need] that a weld can meet, or draw one setting with --setting",
            )
            .in_field("--svg"));
        };
        let drawn = pictures::choices_sheet(&started, found)?;
        files::write_all(&[(to.clone(), drawn.into_string().into_bytes())], &[&args.file])?;
    }
    if args.json {
        let both = Both { start: out, found: found.as_ref() };
        say(&json(&both)?)?;
    } else {
        let mut text = page(out, &load);
        if let Some(found) = &found {
            text.push_str(&choices(found));
        }
        say(&text)?;
    }
    Ok(match &out.need {
        Some(need) if !need.allowed => Ended::No,
        Some(_) if found.as_ref().is_some_and(|f| f.choices.is_empty()) => Ended::No,
        _ => Ended::Yes,
    })
}

/// Need and choices as one object.
#[derive(serde::Serialize)]
struct Both<'a> {
    #[serde(flatten)]
    start: &'a StartOut,
    #[serde(flatten, skip_serializing_if = "Option::is_none")]
    found: Option<&'a SearchOut>,
}

/// The tier by its word.
pub(crate) fn tier(word: &str) -> Result<Tier, Refusal> {
    TIERS.iter().find(|(name, _)| *name == word).map(|(_, tier)| *tier).ok_or_else(|| {
        Refusal::new(
            format!("there is no tier '{word}'"),
            if word == "heat" {
                "3-D conduction with the whole joint is not in this version; write --tier keyhole"
            } else {
                "write --tier quick for a slider's speed, or --tier keyhole"
            },
        )
        .in_field("--tier")
    })
}

fn predicted(said: &ExpectOut) -> String {
    let mut text = format!(
        "{} on {} ({}): process {}, {} tier\n\n",
        said.setting, said.file, said.joint_kind, said.process, said.tier
    );
    text.push_str(&wrapped(&says::verdict(said), "  ", "  "));
    text.push('\n');
    let rows: Vec<Vec<String>> = says::rows(said).into_iter().map(Vec::from).collect();
    text.push_str(&aligned(&rows, 2));
    text.push_str(&wrapped(&says::band(said), "  ", "    "));
    text.push_str(&listed("what bites, and what to try", &said.warnings));
    text.push_str(&listed(
        "what the code asks or refuses, however deep the fusion",
        &says::refusals(said),
    ));
    text.push_str(&listed(says::ANSWERS, &says::answers(&said.sensitivity)));
    text.push_str(&listed("taken, since the files do not say", &said.taken));
    text.push_str(&wrapped(says::NOT_WELDED, "\n  ", "  "));
    if said.tier != "arc" {
        text.push_str(&wrapped(says::BEAM_SAFETY, "  ", "  "));
    }
    text
}

fn choices(found: &SearchOut) -> String {
    let mut text = format!("\n  worth trying first (of {} settings)\n", found.looked_at);
    if !found.gun.is_empty() {
        text.push_str(&wrapped(&format!("the gun: {}", found.gun.join("; ")), "  ", "    "));
    }
    if !found.choices.is_empty() {
        text.push_str(&aligned(&says::choices(found), 2));
        for c in &found.choices {
            let mut lines = says::answers(&c.sensitivity);
            lines.extend(c.warnings.iter().cloned());
            let head = format!("{}: {}; what bites", says::best_for(&c.best_for), says::ANSWERS);
            text.push_str(&listed(&head, &lines));
        }
        text.push_str(&listed("three coupons that tell most", &says::coupons(found)));
    }
    let limits: Vec<String> =
        found.limits.iter().map(|l| format!("{} settings: {}", l.settings, l.limit)).collect();
    text.push_str(&listed("why others do not serve (quick tier)", &limits));
    text.push_str(&listed("to know", &found.remarks));
    if !found.choices.is_empty() {
        text.push_str(&wrapped(says::BEAM_SAFETY, "\n  ", "  "));
    }
    text
}

/// A need is rounded up.
fn up(mm: f64) -> String {
    show_on_paper(Length::from_mm(mm), Rounding::Up, 2, UnitSystem::Metric)
}

/// What carries is rounded down.
fn down(n_per_mm: f64) -> String {
    show_on_paper(LineLoad::from_n_per_mm(n_per_mm), Rounding::Down, 0, UnitSystem::Metric)
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
        &format!("method: {}; {}", need.method, says::clause(&need.clause)),
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
            says::clause(&credit.clause)
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
                says::clause(&full.clause)
            ),
            "  ",
            "    ",
        ));
    }
    if !need.refusals.is_empty() {
        text.push_str("\n  what the code asks or refuses, however deep the fusion\n");
        for r in &need.refusals {
            let line = format!("{}: {}; {}", r.effect, r.fact, says::clause(&r.clause));
            text.push_str(&wrapped(&line, "  - ", "    "));
            text.push_str(&wrapped(&format!("next: {}", r.advice), "    ", "      "));
        }
    }
    let checks: Vec<String> = need
        .also_check
        .iter()
        .map(|c| format!("{}: {}; {}", c.what, c.fact, says::clause(&c.clause)))
        .collect();
    text.push_str(&listed("also to be checked", &checks));
    text.push_str(&listed("remarks", &out.remarks));
    text.push_str(&listed("taken, since the file does not say", &out.taken));
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
