//! Draws one photograph: `draw KIND SEED OUT.png [STYLE] [second]`, and prints its truth.

use std::fmt::Write as _;

use photo::drawn::scenes::{Kind, scene};
use photo::drawn::style::Preset;
use photo::drawn::{draw, second};

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    if let Err(why) = run(&words) {
        eprintln!("{why}");
        std::process::exit(2);
    }
}

fn run(words: &[String]) -> Result<(), String> {
    let [kind, seed, out, rest @ ..] = words else {
        return Err("use: draw KIND SEED OUT.png [STYLE] [second]".to_owned());
    };
    let kind = Kind::ALL.into_iter().find(|k| k.word() == kind).ok_or_else(|| {
        format!("no kind '{kind}'; there are {}", Kind::ALL.map(Kind::word).join(", "))
    })?;
    let seed: u64 = seed.parse().map_err(|_| format!("the seed '{seed}' is not a whole number"))?;
    let preset = match rest.first() {
        Some(word) if word != "second" => {
            Preset::ALL.into_iter().find(|p| p.word() == word).ok_or_else(|| {
                format!("no style '{word}'; there are {}", Preset::ALL.map(Preset::word).join(", "))
            })?
        }
        _ => Preset::Clean,
    };
    let made = scene(kind, true, seed);
    let style = preset.style(seed);
    let began = std::time::Instant::now();
    let drawn = if rest.iter().any(|w| w == "second") {
        second(&made.section, &made.extra, &style, seed)
    } else {
        draw(&made.section, &made.extra, &style, seed)
    };
    let took = began.elapsed();
    std::fs::write(out, drawn.to_png().map_err(|e| e.to_string())?)
        .map_err(|e| format!("{out}: {e}"))?;

    let truth = &drawn.truth;
    let mut text = String::new();
    let _ = writeln!(
        text,
        "{} by {:?}, style {}, {:.0} ms",
        kind.word(),
        made.process,
        preset.word(),
        took.as_secs_f64() * 1e3
    );
    let _ = writeln!(
        text,
        "{} x {} px, {:.5} mm/px, edge {:?}",
        drawn.width, drawn.height, truth.mm_per_px, truth.edge
    );
    for s in &truth.straight {
        let _ = writeln!(
            text,
            "{:?}: ({:.1}, {:.1}) to ({:.1}, {:.1}) px",
            s.what, s.px[0][0], s.px[0][1], s.px[1][0], s.px[1][1]
        );
    }
    for (what, known) in [("rule", truth.ruler), ("bar", truth.bar)] {
        if let Some(k) = known {
            let _ = writeln!(
                text,
                "{what}: {} mm from ({:.2}, {:.2}) to ({:.2}, {:.2}) px",
                k.mm, k.px[0][0], k.px[0][1], k.px[1][0], k.px[1][1]
            );
        }
    }
    match truth.readings() {
        Ok(read) => {
            for weld in read.welds {
                let _ = writeln!(text, "{} weld:", weld.side.word());
                for &reading in weld::reading::Reading::ALL {
                    if let Some(v) = weld.readings.get(reading) {
                        let _ = writeln!(text, "  {} {v:.4}", reading.field());
                    }
                }
            }
        }
        Err(why) => {
            let _ = writeln!(text, "cannot be read: {why}");
        }
    }
    // A closed pipe ends the text, not the program.
    let _ = std::io::Write::write_all(&mut std::io::stdout(), text.as_bytes());
    Ok(())
}
