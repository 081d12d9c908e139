//! The open tables, read from where they lie, and the figures from memory.

use crate::{Set, Track};
use physics::metal::Metal;
use physics::wobble::{Pattern, Wobble};
use std::fs;
use std::path::Path;
use weld::quantity::{Frequency, Length};

/// Rows of a file as numbers, quotes and all marks off; a field that is no number is NaN.
fn rows(path: &Path) -> Result<Vec<Vec<String>>, String> {
    let text = fs::read_to_string(path).map_err(|e| {
        format!(
            "{} cannot be read: {e}\n  next: point SEAMPROOF_DATA at the folder of open data",
            path.display()
        )
    })?;
    Ok(text
        .trim_start_matches('\u{feff}')
        .lines()
        .skip(1)
        .filter(|l| !l.trim().is_empty())
        .map(|l| l.split(',').map(|f| f.trim().trim_matches('"').to_owned()).collect())
        .collect())
}

fn number(row: &[String], i: usize) -> f64 {
    row.get(i).and_then(|f| f.parse().ok()).unwrap_or(f64::NAN)
}

/// AM-Bench 2022: seven settings on bare alloy 718 ([`AM_BENCH_2022`](weld::source::AM_BENCH_2022)).
pub(crate) fn am_bench(tables: &Path) -> Result<Set, String> {
    let rows = rows(&tables.join("nist_ambench2022/amb2022_in718_single_tracks.csv"))?;
    let tracks = rows
        .iter()
        .map(|r| Track {
            metal: Metal::Nickel718,
            power_w: number(r, 1),
            speed_mm_s: 1e3 * number(r, 2),
            spot_um: number(r, 3),
            m2: 1.1,
            thickness_mm: 10.0,
            depth_um: number(r, 5),
            width_um: Some(number(r, 4)),
            wobble: None,
        })
        .collect();
    Ok(Set { name: "AM-Bench 2022, alloy 718", tracks })
}

/// 316L tracks on bare plate without balling: those deeper than half their width, or the others
/// ([`HOFMANN_316L`](weld::source::HOFMANN_316L)).
pub(crate) fn hofmann(tables: &Path, deep: bool) -> Result<Set, String> {
    let rows = rows(&tables.join("hofmann316L/hofmann316L_clean.csv"))?;
    let tracks = rows
        .iter()
        .filter(|r| number(r, 4) == 0.0 && number(r, 8) == 0.0)
        .filter(|r| (number(r, 6) / number(r, 5) > 0.5) == deep)
        .map(|r| Track {
            metal: Metal::Austenitic,
            power_w: number(r, 1),
            speed_mm_s: number(r, 2),
            spot_um: 1e3 * number(r, 3),
            m2: 1.2,
            thickness_mm: 10.0,
            depth_um: number(r, 6),
            width_um: Some(number(r, 5)),
            wobble: None,
        })
        .collect();
    Ok(Set { name: "316L single tracks, bare plate", tracks })
}

/// A keyhole seen by x-rays ([`KEYHOLE_XRAY`](weld::source::KEYHOLE_XRAY)).
pub(crate) struct Xray {
    pub(crate) metal: &'static str,
    pub(crate) absorbed_w: f64,
    pub(crate) speed: f64,
    pub(crate) radius: f64,
    pub(crate) alpha: f64,
    pub(crate) density: f64,
    pub(crate) heat: f64,
    pub(crate) boiling_rise: f64,
    pub(crate) melting_rise: f64,
    pub(crate) fusion: f64,
    pub(crate) depth: f64,
}

/// Keyholes deeper than 1.5 spot radii. The metal is told by its density.
pub(crate) fn xray(tables: &Path) -> Result<Vec<Xray>, String> {
    let rows = rows(&tables.join("keyhole_xray/dataset_keyhole.csv"))?;
    Ok(rows
        .iter()
        .filter(|r| r.first().is_some_and(|c| c == "keyhole"))
        .map(|r| Xray {
            metal: match number(r, 6) {
                d if d < 3000.0 => "Al",
                d if d < 5000.0 => "Ti",
                _ => "316",
            },
            absorbed_w: number(r, 2),
            speed: number(r, 3),
            radius: number(r, 4),
            alpha: number(r, 5),
            density: number(r, 6),
            heat: number(r, 7),
            boiling_rise: number(r, 8),
            melting_rise: number(r, 10),
            fusion: number(r, 11),
            depth: number(r, 12),
        })
        .filter(|x| x.depth > 1.5 * x.radius)
        .collect())
}

/// W, µm, mm/s, M², mm thick, mm deep.
fn from_memory(metal: Metal, rows: &[[f64; 6]], wobble: Option<Wobble>) -> Vec<Track> {
    rows.iter()
        .map(|&[power_w, spot_um, speed_mm_s, m2, thickness_mm, depth]| Track {
            metal,
            power_w,
            speed_mm_s,
            spot_um,
            m2,
            thickness_mm,
            depth_um: 1e3 * depth,
            width_um: None,
            wobble,
        })
        .collect()
}

/// Figures recalled, and the shop's.
pub(crate) fn recalled() -> Vec<Set> {
    let narrow = Wobble {
        pattern: Pattern::Line,
        width: Length::from_mm(1.2),
        frequency: Frequency::from_hz(20.0),
    };
    vec![
        Set {
            name: "10 kW fibre, 304 (recalled)",
            tracks: from_memory(
                Metal::Austenitic,
                &[
                    [10e3, 130.0, 50.0, 12.0, 30.0, 13.0],
                    [10e3, 130.0, 167.0, 12.0, 30.0, 8.0],
                    [10e3, 560.0, 50.0, 12.0, 30.0, 9.0],
                    [10e3, 560.0, 167.0, 12.0, 30.0, 4.5],
                    [10e3, 200.0, 16.7, 12.0, 40.0, 18.0],
                ],
                None,
            ),
        },
        Set {
            name: "4 kW, 0.6 mm, 304L (recalled)",
            tracks: from_memory(
                Metal::Austenitic,
                &[
                    [4e3, 600.0, 16.7, 24.0, 20.0, 6.5],
                    [4e3, 600.0, 50.0, 24.0, 20.0, 4.0],
                    [4e3, 600.0, 100.0, 24.0, 20.0, 2.6],
                    [4e3, 600.0, 150.0, 24.0, 20.0, 2.0],
                ],
                None,
            ),
        },
        Set {
            name: "handheld, carbon steel (common practice)",
            tracks: from_memory(
                Metal::CarbonSteel,
                &[
                    [1500.0, 50.0, 4.0, 6.0, 12.0, 5.0],
                    [2000.0, 50.0, 4.0, 6.0, 15.0, 8.5],
                    [1500.0, 150.0, 4.0, 12.0, 12.0, 3.5],
                ],
                Some(narrow),
            ),
        },
    ]
}

/// The published relation for arc penetration against measured beads.
pub(crate) fn arc(tables: &Path) -> Result<String, String> {
    use physics::arc::{Arc, Process};
    use weld::quantity::{Speed, Temperature};
    let rows = rows(&tables.join("arc_ccd/arc_ccd_31.csv"))?;
    let work = physics::setting::Work {
        metal: Metal::CarbonSteel,
        temperature: Temperature::from_deg_c(20.0),
        joint: physics::setting::Plates::Bead { thickness: Length::from_mm(12.0) },
    };
    let (mut errors, mut inside) = (Vec::new(), 0);
    for r in &rows {
        let arc = Arc {
            process: Process::Mag,
            current: number(r, 3),
            voltage: number(r, 2),
            travel: Speed::from_mm_per_s(number(r, 4)),
            wire: None,
        };
        let bead = arc.bead(&work).map_err(|e| e.to_string())?;
        let measured = number(r, 8);
        errors.push((bead.depth / measured).ln());
        let [low, high] = bead.ends.unwrap_or_default();
        inside += usize::from((low..=high).contains(&measured));
    }
    let n = errors.len() as f64;
    let mean = errors.iter().sum::<f64>() / n;
    let sd = (errors.iter().map(|e| (e - mean).powi(2)).sum::<f64>() / n).sqrt();
    Ok(format!(
        "Penetration = K (I^4/(S U^2))^(1/3), K 0.0010 to 0.0019 as published (recalled), its geometric mean taken; nothing fitted here. Process of the beads is not named: n {}, bias {mean:+.2}, sd {sd:.2}, inside the published range of K {inside} of {}.\n",
        rows.len(),
        rows.len()
    ))
}
