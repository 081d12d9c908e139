//! `seamproof area`.

use crate::shown::wrapped;
use crate::{Ended, json, say, tell};
use std::path::{Path, PathBuf};
use workflow::area::plan::plan;
use workflow::area::says::NOTHING_AGAINST;
use workflow::area::{AreaOut, area};
use workflow::files;
use workflow::refusal::Refusal;
use workflow::wire::area::date_from_flag;

/// A setup file, as the help shows it.
const EXAMPLE: &str = r#"A setup file:
  power = "2 kW"               # the greatest that the laser can give; W, kW, mW, hp
  wavelength = "1070 nm"       # 400 to 1400 nm
  focal_length = "150 mm"      # welding head: last lens ...
  beam_at_lens = "10 mm"       # ... and the beam's width on it
  divergence = "2 mrad"        # and/or the bare beam, full angle
  widths_at = "1/e2"           # or "1/e": where the maker measures widths; say which
  exposure = "100 s"           # left out: 100 s
  reflectance = "100 %"        # of the work, diffuse; left out: all
  [eyewear]
  marking = "900-1080 D LB7"   # as printed on the pair
  spot = "5 mm"                # width of the beam where it may be struck, as widths_at has it
  [room]
  width = "6 m"
  depth = "4 m"
  height = "3 m"
  torch = ["2.5 m", "2 m"]     # places count from the lower left corner
  [[door]]
  from = ["6 m", "1 m"]
  to = ["6 m", "2 m"]
  interlocked = true
  [[curtain]]
  from = ["4.5 m", "0 m"]
  to = ["4.5 m", "4 m"]
  height = "2.2 m"
  rating = [{ stands = "120 W/cm2", time = "100 s" }]
  [gas]
  flow = "20 l/min"
  air_changes = 0.4            # in an hour; room = "50 m3" where [room] has no height
  [fume]
  parent = "stainless steel"
  wire = "stainless steel"
  hood = ["0.3 m", "0.3 m"]
  hood_distance = "0.3 m"
Besides: setting = "laser.toml", a setting file beside it, which lends what is left out of power, wavelength,
focal_length, beam_at_lens and divergence, widths at 1/e².
Above the first [table]: beam_diameter; viewing_angle; diffuse_source; torch_height (above the floor, "1 m").
[fibre] na or mode_field; [pulse] duration ("2 ms", "5 us", "100 ns"), frequency, peak_power, with power as the mean;
[pilot] power, wavelength, exposure;
[work] mirrored (share of the power that a bright plate or pool throws on as a mirror does), radius or diameter,
  beam_on_work, m2 (how little a bulge can leave of the spread), shape: flat, tube (pipe), ball (sphere), hollow (concave);
[eyewear] at (the beam's width there counts where it is less than spot; not said: 0.3 m),
  luminous_transmittance, confirmed (what its maker has stated of the beam that it stands);
[arc] current, process: GMAW (MAG, MIG, FCAW, 131, 135, 136), GTAW (TIG, 141), SMAW (MMA, stick, 111);
[[torch]] at: another place that the torch is carried to, as often as it has them; [[window]] from, to; names;
[[curtain]] distance, bottom_gap;
[gas] leak, room ("50 m3" or "5 m x 4 m x 2.5 m"), cylinder (its water volume, "50 l", with
  cylinder_pressure, "200 bar", or the gas that it lets out, "10 m3"; "none"),
  liquid (of a vessel, "230 l"), kind: argon (Ar, I1, M21), nitrogen (N2), helium (He), none;
[fume] flanged, velocity,
  parent: structural steel (mild, carbon steel, S355), galvanised steel, stainless steel (304L, 1.4307), nickel alloy
  (Inconel), aluminium (5083, 6082), titanium (Ti-6Al-4V),
  wire: none, structural steel (ER70S-6, G3Si1), stainless steel (ER308LSi, 316L), stainless flux-cored (E308LT),
  nickel alloy (ERNiCrMo-3), aluminium (ER4043, ER5356), titanium (ERTi-2);
[signed] by, date, fingerprint, and the beam's figures as signed; [paper] site, author, officer, date, title.
Words are taken however they are cased."#;

/// Who may stand where, behind what, wearing what?
///
/// FILE is a setup file (TOML): the beam and its optics, the room, curtains, eyewear, gas, fume. Exit code 1 when
/// something speaks against releasing the area; what the file does not say speaks against it as well, or is listed as taken. It releases
/// nothing itself: the laser safety officer decides.
#[derive(Debug, clap::Args)]
#[command(after_long_help = EXAMPLE)]
pub(crate) struct Args {
    /// Setup file
    #[arg(value_name = "FILE.toml")]
    file: PathBuf,
    /// Print JSON
    #[arg(long)]
    json: bool,
    /// Write the plan to be signed
    #[arg(long, value_name = "OUT.pdf")]
    plan: Option<PathBuf>,
    /// Date of the plan, instead of the file's: 2026-11-25
    #[arg(long, value_name = "DATE", requires = "plan")]
    date: Option<String>,
}

pub(crate) fn run(args: &Args) -> Result<Ended, Refusal> {
    let answered = area(&args.file)?;
    let out = &answered.out;
    if let Some(to) = &args.plan {
        let date = args.date.as_deref().map(date_from_flag).transpose()?;
        let paper = plan(&answered, date)?;
        let inputs: [&Path; 1] = [&args.file];
        files::write_all(&[(to.clone(), paper.pdf)], &inputs)?;
        for remark in &paper.remarks {
            tell(remark);
        }
        if !args.json {
            say(&written(out, to, paper.pages))?;
        }
    }
    if args.json {
        say(&json(out)?)?;
    } else if args.plan.is_none() {
        say(&page(out))?;
    }
    Ok(if out.against.is_empty() { Ended::Yes } else { Ended::No })
}

/// What is told of a plan that was written: the plan has the rest.
fn written(out: &AreaOut, to: &Path, pages: usize) -> String {
    let mut text = format!(
        "{}\n\nThe plan is written: {}, {pages} pages, to be read, ticked on site and signed.\n",
        out.file,
        to.display()
    );
    against(out, &mut text);
    text
}

fn against(out: &AreaOut, text: &mut String) {
    text.push_str("\nWhat speaks against releasing the area as it is set up\n");
    if out.against.is_empty() {
        text.push_str(&wrapped(NOTHING_AGAINST, "  ", "  "));
    }
    for fact in &out.against {
        text.push_str(&wrapped(fact, "  - ", "    "));
    }
}

fn page(out: &AreaOut) -> String {
    let mut text = format!("{}\n", out.file);
    if let Some(signed) = &out.says.signed {
        text.push_str(&wrapped(signed, "  ", "  "));
    }
    for [question, answer] in &out.says.answers {
        text.push_str(&format!("\n{question}\n"));
        text.push_str(&wrapped(answer, "  ", "  "));
    }
    against(out, &mut text);
    for part in &out.says.parts {
        text.push_str(&format!("\n{}\n", part.title));
        // A long value gets a line of its own; it does not push all others aside.
        let width = |texts: &mut dyn Iterator<Item = &String>, most: usize| {
            texts.map(|t| t.chars().count()).filter(|n| *n <= most).max().unwrap_or(0)
        };
        let what = width(&mut part.rows.iter().map(|r| &r.what), 52);
        let value = width(&mut part.rows.iter().map(|r| &r.value), 42);
        for r in &part.rows {
            let line = format!("  {:<what$}  {:<value$}  {}", r.what, r.value, r.from);
            if line.chars().count() <= 118 {
                text.push_str(line.trim_end());
                text.push('\n');
            } else {
                text.push_str(&format!("  {:<what$}  {}\n", r.what, r.value));
                text.push_str(&wrapped(&r.from, &" ".repeat(what + 4), &" ".repeat(what + 4)));
            }
        }
        for sentence in &part.sentences {
            text.push_str(&wrapped(sentence, "  ", "  "));
        }
    }
    text.push_str("\nCheck list\n");
    for [topic, what, from] in &out.says.checks {
        text.push_str(&wrapped(&format!("{topic}: {what} {from}"), "  [ ] ", "      "));
    }
    text.push_str("\nEtching and cutting\n");
    for always in &out.says.etching_always {
        text.push_str(&wrapped(always, "  - ", "    "));
    }
    for e in &out.says.etchants {
        let trained = if e.trained_only { " Trained persons only." } else { "" };
        text.push_str(&wrapped(
            &format!(
                "{} ({}): {}.{trained} {} First aid: {} {}",
                e.name, e.alloys, e.strength, e.never, e.first_aid, e.from
            ),
            "  - ",
            "    ",
        ));
    }
    if !out.taken.is_empty() {
        text.push_str("\nTaken, since the file does not say\n");
        for taken in &out.taken {
            text.push_str(&wrapped(taken, "  - ", "    "));
        }
    }
    text.push_str("\nCautions\n");
    for caution in &out.says.cautions {
        text.push_str(&wrapped(caution, "  - ", "    "));
    }
    text.push_str(&format!("\nfingerprint of this setup: {}\n", out.fingerprint));
    text
}
