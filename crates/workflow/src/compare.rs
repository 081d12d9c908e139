//! `compare`: does one process do what another does on this joint, and at what heat, time and cost?
//!
//! The prediction's side: from setting files, before anything is welded. Figures are per metre of the joint, all its welds and
//! passes; an arc that does not reach the needed throat in one pass is given as many as its metal wants.

use crate::files;
use crate::predict::{BY_FULL, cost, expect_asked, per_metre, setting};
use crate::refusal::Refusal;
use crate::start::{Started, start};
use crate::wire::predict::{CompareOut, ComparedOut};
use crate::wire::setting::{AskedProcess, AskedSetting, Rates, rates_from_toml};
use physics::melt::Tier;
use std::path::{Path, PathBuf};
use weld::quantity::Length;

/// Compares setting files on a joint.
///
/// # Errors
///
/// Says file, line, field, fact and next action.
pub fn compare(
    joint: &Path,
    settings: &[PathBuf],
    tier: Tier,
    rates: Option<&Path>,
) -> Result<CompareOut, Refusal> {
    let started = start(joint)?;
    let rates = rates
        .map(|path| rates_from_toml(&path.display().to_string(), &files::text(path)?))
        .transpose()?;
    let read = |path: &PathBuf| Ok((path.display().to_string(), setting(path)?));
    let settings = settings.iter().map(read).collect::<Result<Vec<_>, Refusal>>()?;
    compare_read(&started, &settings, tier, rates.as_ref())
}

/// The same of a joint and settings that were read, each setting with its name.
///
/// # Errors
///
/// As [`compare`].
pub fn compare_read(
    started: &Started,
    settings: &[(String, AskedSetting)],
    tier: Tier,
    rates: Option<&Rates>,
) -> Result<CompareOut, Refusal> {
    if settings.len() < 2 {
        return Err(Refusal::new(
            format!("{} setting is given, and a comparison wants two", settings.len()),
            "name each with its own flag: --setting laser.toml --setting arc.toml",
        ));
    }
    let mut out = CompareOut {
        file: started.out.file.clone(),
        joint_kind: started.asked.kind,
        need: started.out.need.clone(),
        settings: Vec::new(),
        currency: rates.map(|r| r.currency.clone()),
        taken: vec![
            "time and cost are of the arc or beam alone: no preparation, tacking, cleaning or waiting between passes".to_owned(),
            "electricity from the wall: 30 % becomes beam, 80 % becomes arc (common practice, no source)"
                .to_owned(),
            "what a weld carries is the least of its metal's, its fusion faces' and its share of the plate's".to_owned(),
        ],
    };
    for (file, asked) in settings {
        let predicted = expect_asked(started, file, asked, tier)?;
        let (said, work) = (predicted.out, predicted.work);
        let one = per_metre(&asked.process, asked, &work);
        let passes = said.expected.passes.unwrap_or(1);
        let times = said
            .expected
            .passes_of_all_sides
            .map_or(f64::from(passes) * f64::from(said.welds), f64::from);
        let counts = started.need.as_ref().is_none_or(|n| n.penetration_counts_by.counts);
        let (mut throat, mut low, mut high) = if counts {
            let e = &said.expected;
            (e.effective_throat_mm, e.effective_throat_low_mm, e.effective_throat_high_mm)
        } else {
            let e = &said.expected;
            (e.theoretical_throat_mm, e.theoretical_throat_low_mm, e.theoretical_throat_high_mm)
        };
        // As many passes as the needed throat wants lay the triangle of all their metal.
        if matches!(asked.process, AskedProcess::Arc(_)) && said.joint_kind != "butt" && passes > 1
        {
            throat = throat.map(|t| t * f64::from(passes).sqrt());
            (low, high) = (None, None);
        }
        let e = &said.expected;
        // Fused on the base: leg and root together; on the upright the leg.
        let faces = |base: Option<f64>, root: Option<f64>, upright: Option<f64>| {
            let root = root.filter(|_| counts).unwrap_or(0.0);
            Some([Length::from_mm(base? + root), Length::from_mm(upright?)])
        };
        let middle = faces(e.leg_base_mm, e.root_penetration_mm, e.leg_upright_mm);
        let at_low = faces(e.leg_base_low_mm, e.root_penetration_low_mm, e.leg_upright_low_mm);
        let carries = |mm: Option<f64>, faces: Option<[Length; 2]>| {
            let need = started.need.as_ref()?;
            Some(need.carries(Length::from_mm(mm?), faces, counts)?.n_per_mm())
        };
        // As full penetration the joint carries what its plate does.
        let full = started.out.need.as_ref().and_then(|n| n.as_full_penetration.as_ref());
        let full = full.map(|f| f.resistance_n_per_mm / f64::from(said.welds));
        let wanted = started
            .need
            .as_ref()
            .and_then(|n| if counts { n.specify_any_plane() } else { n.specify });
        if rates.is_some() && asked.gas_flow.is_none() {
            out.taken.push(format!("{file}: no gas_flow is given, so its cost has no gas in it"));
        }
        for line in &said.taken {
            let line = format!("{file}: {line}");
            if !started.asked.taken.iter().any(|t| line.ends_with(t.as_str())) {
                out.taken.push(line);
            }
        }
        out.settings.push(ComparedOut {
            throat_mm: throat,
            throat_low_mm: low,
            throat_high_mm: high,
            resistance_n_per_mm: if said.meets_by == Some(BY_FULL) {
                full
            } else {
                carries(throat, middle)
            },
            resistance_low_n_per_mm: carries(low, at_low),
            allowed: said.allowed,
            meets_need: match said.meets_need {
                Some(true) => Some(true),
                // A throat that would do on fusion faces that do not is none.
                _ if !said.allowed || matches!(asked.process, AskedProcess::Laser(_)) => {
                    said.meets_need
                }
                _ => wanted.zip(throat).map(|(w, t)| t >= w.mm() * (1.0 - 1e-9)),
            },
            meets_by: said.meets_by,
            passes,
            deposit_mm2: said.expected.deposited_area_mm2 * times,
            heat_kj_per_mm: said.expected.heat_input_kj_per_mm * times,
            t85_s: said.expected.t85_s,
            time_s_per_m: one.time_s * times,
            wire_kg_per_m: one.wire_kg * times,
            gas_l_per_m: one.gas_l.map(|g| g * times),
            energy_kwh_per_m: one.kwh * times,
            cost_per_m: rates.map(|r| cost(&one, r) * times),
            warnings: said.warnings,
            band: said.band,
            process: said.process,
            expected: said.expected,
            setting: file.clone(),
        });
    }
    Ok(out)
}
