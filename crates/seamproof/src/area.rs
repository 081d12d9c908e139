//! `seamproof area`.

use crate::shown::wrapped;
use crate::{Ended, json, say, tell};
use std::path::{Path, PathBuf};
use workflow::area::plan::plan;
use workflow::area::{AreaOut, area};
use workflow::files;
use workflow::refusal::Refusal;
use workflow::wire::area::date_from_flag;

/// A setup file, as the help shows it.
const EXAMPLE: &str = r#"A setup file:
  power = "2 kW"               # the greatest that the laser can give
  wavelength = "1070 nm"       # 400 to 1400 nm
  focal_length = "150 mm"      # welding head: last lens ...
  beam_at_lens = "10 mm"       # ... and the beam's width on it
  divergence = "2 mrad"        # and/or the bare beam, full angle
  widths_at = "1/e2"           # or "1/e": where the maker measures widths
  exposure = "100 s"           # left out: 100 s
  reflectance = "100 %"        # of the work, diffuse; left out: all
  [eyewear]
  marking = "900-1080 D LB7"   # as printed on the pair
  spot = "5 mm"                # width of the beam where it may be struck
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
focal_length, beam_at_lens and divergence, widths at 1/e²; beam_diameter, viewing_angle, diffuse_source, torch_height; [fibre] na or mode_field;
[pulse] duration, frequency, peak_power; [pilot] power, wavelength, exposure;
[work] mirrored, shape (flat, tube, ball, hollow), radius, beam_on_work;
[eyewear] at, luminous_transmittance; [arc] process, current; [[window]] from, to; names;
[[curtain]] distance, bottom_gap; [gas] kind, leak, room, cylinder; [fume] flanged, velocity;
[signed] by, date, fingerprint, and the beam's figures as signed; [paper] site, author, officer, date, title."#;

/// Who may stand where, behind what, wearing what?
///
/// FILE is a setup file (TOML): the beam and its optics, the room, curtains, eyewear, gas, fume. Exit code 1 when
/// something speaks against releasing the area. It releases nothing itself: the laser safety officer decides.
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
    }
    say(&if args.json { json(out)? } else { page(out) })?;
    Ok(if out.against.is_empty() { Ended::Yes } else { Ended::No })
}

fn page(out: &AreaOut) -> String {
    let mut text = format!("{}\n", out.file);
    for [question, answer] in &out.says.answers {
        text.push_str(&format!("\n{question}\n"));
        text.push_str(&wrapped(answer, "  ", "  "));
    }
    text.push_str("\nWhat speaks against releasing the area as it is set up\n");
    if out.against.is_empty() {
        text.push_str("  Nothing that was looked at.\n");
    }
    for fact in &out.against {
        text.push_str(&wrapped(fact, "  - ", "    "));
    }
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
