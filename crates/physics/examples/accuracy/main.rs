//! How far the keyhole tier is off on open tables: `cargo xtask accuracy`.
//!
//! Reads `tables/` of the folder that is named as the only argument and prints the page `docs/accuracy.md`. One set of
//! constants for all sources; nothing is fitted here.

mod tables;

use physics::beam::Beam;
use physics::keyhole::{self, Absorbed, Case, Constants, Medium, Resolution};
use physics::melt::{Calibration, Melt, Tier, melt};
use physics::metal::Metal;
use physics::predict::{WIDTH_FACTOR, predict};
use physics::setting::{Laser, Plates, Work};
use physics::wobble::{Pattern, Wobble};
use std::path::Path;
use std::process::ExitCode;
use weld::quantity::{Angle, Frequency, Length, Power, Speed, Temperature};

/// A track that was measured, and the setting it was made with.
pub(crate) struct Track {
    pub(crate) metal: Metal,
    pub(crate) power_w: f64,
    pub(crate) speed_mm_s: f64,
    pub(crate) spot_um: f64,
    pub(crate) m2: f64,
    pub(crate) thickness_mm: f64,
    pub(crate) depth_um: f64,
    pub(crate) width_um: Option<f64>,
    pub(crate) wobble: Option<physics::wobble::Wobble>,
}

/// A source and its tracks.
pub(crate) struct Set {
    pub(crate) name: &'static str,
    pub(crate) tracks: Vec<Track>,
}

/// Errors of one quantity: ln(predicted / measured).
struct Errors(Vec<f64>);

impl Errors {
    fn mean(&self) -> f64 {
        self.0.iter().sum::<f64>() / self.0.len() as f64
    }
    fn sd(&self) -> f64 {
        let mean = self.mean();
        (self.0.iter().map(|e| (e - mean).powi(2)).sum::<f64>() / self.0.len() as f64).sqrt()
    }
    /// Quantile of |predicted/measured - 1|, in per cent.
    fn absolute(&self, share: f64) -> f64 {
        let mut all: Vec<f64> = self.0.iter().map(|e| 100.0 * (e.exp() - 1.0).abs()).collect();
        all.sort_by(f64::total_cmp);
        let at = share * (all.len() - 1) as f64;
        let low = at.floor() as usize;
        let high = (low + 1).min(all.len() - 1);
        all[low] + (all[high] - all[low]) * (at - low as f64)
    }
    fn within(&self, factor: f64) -> f64 {
        let inside = self.0.iter().filter(|e| e.abs() <= factor.ln()).count();
        100.0 * inside as f64 / self.0.len() as f64
    }
}

fn laser(t: &Track) -> Laser {
    Laser {
        beam: Beam {
            power: Power::from_w(t.power_w),
            spot: Length::from_um(t.spot_um),
            m2: t.m2,
            wavelength: Length::from_nm(1070.0),
            focus: Length::ZERO,
        },
        travel: Speed::from_mm_per_s(t.speed_mm_s),
        wobble: t.wobble,
        torch_angle: Angle::from_deg(90.0),
        aim: Length::ZERO,
        wire: None,
    }
}

fn predicted(t: &Track) -> Option<Melt> {
    let work = Work {
        metal: t.metal,
        temperature: Temperature::from_deg_c(20.0),
        joint: Plates::Bead { thickness: Length::from_mm(t.thickness_mm) },
    };
    melt(&laser(t), &work, Tier::Keyhole(Resolution::REPORT), Calibration::NONE).ok()
}

/// The keyhole formula alone, whatever the mode: how physics-keyhole.md compares it.
fn keyhole_alone(t: &Track) -> f64 {
    let m = t.metal.thermal();
    let star = physics::metal::loss_temperature(m, Constants::CHOSEN.phi);
    let flow = m.flow(star) - m.flow(293.15);
    let beam = laser(t).beam;
    let case = Case {
        power: t.power_w,
        diverted: 0.0,
        waist: 0.5e-6 * t.spot_um,
        rayleigh: beam.rayleigh().m(),
        focus: 0.0,
        travel: 1e-3 * t.speed_mm_s,
        wobble: t.wobble,
        thickness: 1e-3 * t.thickness_mm,
        medium: Medium { flow, diffusivity: flow / (m.heat(star) - m.heat(293.15)) },
        absorbed: Absorbed::Cone(m.absorptivity.value),
    };
    keyhole::solve(&case, &Constants::CHOSEN, Resolution::REPORT).depth * 1e6
}

fn row(
    name: &str,
    n: usize,
    depth: &Errors,
    width: Option<&Errors>,
    inside: Option<(f64, f64)>,
) -> String {
    let d = format!(
        "{:+.2} | {:.2} | {:.0} % | {:.0} %",
        depth.mean(),
        depth.sd(),
        depth.absolute(0.5),
        depth.absolute(0.9)
    );
    let w = width.map_or("not measured | | | ".to_owned(), |w| {
        format!(
            "{:+.2} | {:.2} | {:.0} % | {:.0} % (within {WIDTH_FACTOR}: {:.0} %)",
            w.mean(),
            w.sd(),
            w.absolute(0.5),
            w.absolute(0.9),
            w.within(WIDTH_FACTOR)
        )
    });
    let b = inside.map_or("no band | ".to_owned(), |(share, factor)| {
        format!("{share:.0} % | {factor:.1} ({:.0} %)", 100.0 * (factor - 1.0 / factor))
    });
    format!("| {name} | {n} | {d} | {w} | {b} |\n")
}

const HEAD: &str = "| source | n | depth: bias | sd | median abs. error | 90th percentile | width: bias | sd | median abs. error | 90th percentile | inside the band | band: median factor (width, % of the depth) |\n|---|---|---|---|---|---|---|---|---|---|---|---|\n";

fn table(sets: &[Set]) -> String {
    let mut page = HEAD.to_owned();
    for set in sets {
        let depth =
            Errors(set.tracks.iter().map(|t| (keyhole_alone(t) / t.depth_um).ln()).collect());
        let melts: Vec<(&Track, Melt)> =
            set.tracks.iter().filter_map(|t| predicted(t).map(|m| (t, m))).collect();
        let widths: Vec<f64> = melts
            .iter()
            .filter_map(|(t, m)| t.width_um.map(|w| (m.surface_width * 1e6 / w).ln()))
            .collect();
        let widths = (!widths.is_empty()).then_some(Errors(widths));
        let mut factors = Vec::new();
        let mut inside = 0;
        for (t, m) in &melts {
            if let Some(f) = m.band.factor() {
                factors.push(f);
                inside += usize::from((m.depth * 1e6 / t.depth_um).ln().abs() <= f.ln());
            }
        }
        factors.sort_by(f64::total_cmp);
        let with = factors.len();
        let band = (with > 0).then(|| (100.0 * inside as f64 / with as f64, factors[with / 2]));
        let name = if with < set.tracks.len() && with > 0 {
            format!("{} ({with} with a band)", set.name)
        } else {
            set.name.to_owned()
        };
        page.push_str(&row(&name, set.tracks.len(), &depth, widths.as_ref(), band));
    }
    page
}

/// X-ray depths: absorbed power and each author's constants.
fn xray(rows: &[tables::Xray]) -> String {
    let c = Constants::CHOSEN;
    let error = |r: &tables::Xray| {
        let star = r.melting_rise + c.phi * (r.boiling_rise - r.melting_rise);
        let k = r.alpha * r.density * r.heat;
        let flow = k * star;
        let heat = r.density * (r.heat * star + r.fusion);
        let waist = r.radius;
        let case = Case {
            power: r.absorbed_w,
            diverted: 0.0,
            waist,
            rayleigh: std::f64::consts::PI * waist * waist / (1.1 * 1.07e-6),
            focus: 0.0,
            travel: r.speed,
            wobble: None,
            thickness: 10e-3,
            medium: Medium { flow, diffusivity: flow / heat },
            absorbed: Absorbed::Share(c.c_l),
        };
        (keyhole::solve(&case, &c, Resolution::REPORT).depth / r.depth).ln()
    };
    let mut page = HEAD.to_owned();
    let mut all: Vec<(String, Vec<f64>)> = Vec::new();
    for (word, name) in
        [("Ti", "x-ray, titanium"), ("Al", "x-ray, aluminium"), ("316", "x-ray, stainless")]
    {
        let errors: Vec<f64> = rows.iter().filter(|r| r.metal == word).map(error).collect();
        if !errors.is_empty() {
            all.push((name.to_owned(), errors));
        }
    }
    for (name, errors) in &all {
        page.push_str(&row(name, errors.len(), &Errors(errors.clone()), None, None));
    }
    let mean = |name: &str| {
        all.iter().find(|(n, _)| n == name).map_or(f64::NAN, |(_, e)| Errors(e.clone()).mean())
    };
    page.push_str(&format!(
        "\nContrast of metals, aluminium less titanium: {:+.2} (the older law: -1.03; zero would be right). \
         Common level of these rows: {:+.2}: the same nominal setting gives depths in this table that other laboratories do not reach, so it is no calibration.\n",
        mean("x-ray, aluminium") - mean("x-ray, titanium"),
        all.iter().map(|(_, e)| Errors(e.clone()).mean() * e.len() as f64).sum::<f64>()
            / all.iter().map(|(_, e)| e.len()).sum::<usize>() as f64
    ));
    page
}

fn main() -> ExitCode {
    let Some(folder) = std::env::args().nth(1) else {
        eprintln!("name the folder that holds tables/");
        return ExitCode::from(2);
    };
    match page(Path::new(&folder)) {
        Ok(page) => {
            print!("{page}");
            ExitCode::SUCCESS
        }
        Err(why) => {
            eprintln!("{why}");
            ExitCode::from(2)
        }
    }
}

fn page(folder: &Path) -> Result<String, String> {
    let tables = folder.join("tables");
    let tracks = [tables::am_bench(&tables)?, tables::hofmann(&tables, true)?];
    let shallow = tables::hofmann(&tables, false)?;
    let as_keyhole = tracks[1]
        .tracks
        .iter()
        .filter_map(predicted)
        .filter(|m| m.mode != physics::melt::Mode::Conduction)
        .count();
    let modes: Vec<Melt> = shallow.tracks.iter().filter_map(predicted).collect();
    let conduction: Vec<(&Track, &Melt)> = shallow
        .tracks
        .iter()
        .zip(&modes)
        .filter(|(_, m)| m.mode == physics::melt::Mode::Conduction)
        .collect();
    let c_depth =
        Errors(conduction.iter().map(|(t, m)| (m.depth * 1e6 / t.depth_um).ln()).collect());
    let c_width = Errors(
        conduction
            .iter()
            .filter_map(|(t, m)| t.width_um.map(|w| (m.surface_width * 1e6 / w).ln()))
            .collect(),
    );
    let c = Constants::CHOSEN;
    let mut out = String::new();
    out.push_str("# Accuracy of the keyhole tier\n\nMade by `cargo xtask accuracy` from open tables; a change of the law shows here.\nErrors are ln(predicted / measured): 0.10 is about 10 %. 'Width' of the band is its whole width over the predicted depth.\n\n");
    out.push_str(&format!(
        "One set of constants for every source and metal: phi {}, cv {:e} m²/W, Ls {} m, cA {}, n0 {}, cz {}, cL {}, bh {}.\n\n",
        c.phi, c.c_v, c.l_s, c.c_a, c.n0, c.c_z, c.c_l, c.b_h
    ));
    out.push_str("## Tracks measured on sections\n\nDeep tracks only (deeper than half their width); depth by the keyhole formula alone, as physics-keyhole.md compares it; width and band as the program predicts them.\n\n");
    out.push_str(&table(&tracks));
    out.push_str(&format!(
        "\nMode: {as_keyhole} of {} deep tracks are called keyhole; of {} shallow ones {} conduction, and there depth is {:+.2} (sd {:.2}), width {:+.2} (sd {:.2}).\n\n",
        tracks[1].tracks.len(), modes.len(), conduction.len(), c_depth.mean(), c_depth.sd(), c_width.mean(), c_width.sd()
    ));
    out.push_str("## Depths seen by x-rays\n\nAbsorbed power is given, and each author's constants; keyholes deeper than 1.5 spot radii.\n\n");
    out.push_str(&xray(&tables::xray(&tables)?));
    out.push_str("\n## From memory\n\nNot tables: figures recalled, ± 20 %, and the shop's rules of thumb (common practice, no source). No bar rests on them.\n\n");
    out.push_str(&table(&tables::recalled()));
    out.push_str(&shop()?);
    out.push_str(FITTED);
    out.push_str("\n## Arc: a published relation on 31 beads\n\n");
    out.push_str(&tables::arc(&tables)?);
    Ok(out)
}

/// What the shop says of its own settings, beside what comes out: the law is not tuned to it.
fn shop() -> Result<String, String> {
    let laser = |travel: f64, spot: f64| Laser {
        beam: Beam {
            power: Power::from_w(1500.0),
            spot: Length::from_um(spot),
            // The same optics: M² goes with the spot.
            m2: 3.0 * spot / 50.0,
            wavelength: Length::from_nm(1070.0),
            focus: Length::ZERO,
        },
        travel: Speed::from_mm_per_s(travel),
        wobble: Some(Wobble {
            pattern: Pattern::Line,
            width: Length::from_mm(1.2),
            frequency: Frequency::from_hz(20.0),
        }),
        torch_angle: Angle::from_deg(90.0),
        aim: Length::ZERO,
        wire: None,
    };
    let expect = |laser: &Laser, joint: Plates| {
        let work =
            Work { metal: Metal::CarbonSteel, temperature: Temperature::from_deg_c(20.0), joint };
        predict(laser, &work, Tier::Keyhole(Resolution::REPORT), Calibration::NONE)
            .map_err(|e| e.to_string())
    };
    let bead = Plates::Bead { thickness: Length::from_mm(12.0) };
    let mut out = String::from(
        "\n## The shop's checks\n\nCommon practice, no source: 1.5 kW on carbon steel, wobble 1.2 mm at 20 Hz.\n\n| the shop says | comes out |\n|---|---|\n",
    );
    for travel in [3.0, 4.0, 5.0] {
        let small = expect(&laser(travel, 50.0), bead)?.middle.depth;
        let large = expect(&laser(travel, 150.0), bead)?.middle.depth;
        out.push_str(&format!(
            "| {travel} mm/s, spot 50 µm: about 5 mm | {small:.2} mm |\n| a spot three times larger: clearly less | {large:.2} mm, {:.0} % less: **missed**, as physics-keyhole.md section 0 foresees |\n",
            100.0 * (1.0 - large / small)
        ));
    }
    let butt = Plates::Butt { thickness: Length::from_in(0.375), gap: Length::ZERO, both: true };
    let said = expect(&laser(4.0, 50.0), butt)?;
    let overlap = said.middle.reading.as_ref().and_then(|r| r.joint.overlap).unwrap_or(0.0);
    out.push_str(&format!(
        "| two such passes meet inside a 3/8 in square butt | they overlap by {overlap:.2} mm |\n"
    ));
    Ok(out)
}

const FITTED: &str = "
## What was fitted on what

- cA, n0 and cz were rounded by hand between a fit and these tables: AM-Bench 2022, the 316L tracks, both sets from memory and the shop's figures took part. cv, Ls likewise; phi mostly on a preheat series and on the contrast of metals in the x-ray table.
- So **no table on this page is blind**. Leave-one-source-out figures (refitted without the source) are in physics-keyhole.md, section 2: AM-Bench +.10/.08, 316L tracks +.35/.21 (bias/sd).
- Ls (power lost in the channel) rests on figures from memory above 5 kW: provisional.
- Wobble: **no open table holds its width and frequency**. Nothing on this page checks it but the shop's figures.
- Widths: the factor 1.18 on the conduction solution is from the 316L tracks; AM-Bench took no part in it.
- Throats, legs and areas of tees: **no open section**. Two settings were compared with 3-D conduction (the prototype, no melt flow): throats within 0.4 mm. The beam's own toes are counted; what the pool's heat may fuse beyond them is at the band's high end alone.
- Weak keyholes: the width is no wider than the same heat from one point makes it; against 3-D conduction of 200 and 300 W the width is 13 to 48 % large.
- Bands: parameter spread propagated, rounded up for welding by hand. The tracks here lie in the regime '2.2'; the bands of 1.6 and 1.8 at walking speed rest on propagation alone.
";
