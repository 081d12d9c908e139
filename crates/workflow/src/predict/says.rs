//! What is expected of a setting, worded and rounded once: for the command line, the bench, and the pictures.
//!
//! No figure of the model without its band, or the word that there is none.

use crate::predict::{ANOTHER_METAL, BY_FULL};
use crate::wire::joint::{ClauseOut, NeedOut};
use crate::wire::predict::{
    BandOut, ChoiceOut, CompareOut, ComparedOut, ExpectOut, ExpectedOut, SearchOut, SensitivityOut,
    SettingOut,
};
use physics::fused::BEFORE_THE_ROOT;
pub use report::figure::answers::{AnswerBar, answer_words};
use weld::quantity::Length;
use weld::quantity::show::{Rounding, UnitSystem, show, significant};

/// What stands over how the throat answers.
pub const ANSWERS: &str =
    "what changes the throat that counts (in brackets: were the depth off as far as the band goes)";

/// What stands under every prediction.
pub const NOT_WELDED: &str =
    "Predicted, not welded: no claim rests on it. Material and cooling figures are recalled.";

/// A needed throat, rounded up.
#[must_use]
pub fn need(mm: f64) -> String {
    show(Length::from_mm(mm), Rounding::Up, 2, UnitSystem::Metric)
}

/// The low end of a band to a tenth, down; a last bit below a tenth is that tenth.
fn down(mm: f64) -> f64 {
    (10.0 * mm + 1e-6).floor() / 10.0
}

/// The high end, up.
fn up(mm: f64) -> f64 {
    (10.0 * mm - 1e-6).ceil() / 10.0
}

/// A band's ends: the low one rounded down, the high one up.
#[must_use]
pub fn ends(low: Option<f64>, high: Option<f64>) -> String {
    match (low, high) {
        (Some(low), Some(high)) => format!("{:.1} to {:.1}", down(low), up(high)),
        _ => "no band".to_owned(),
    }
}

/// The same with its unit, where there is one.
fn ends_mm(low: Option<f64>, high: Option<f64>) -> String {
    let unit = if low.is_some() && high.is_some() { " mm" } else { "" };
    format!("{}{unit}", ends(low, high))
}

/// A length with its band.
#[must_use]
pub fn banded(value: Option<f64>, low: Option<f64>, high: Option<f64>) -> String {
    let Some(value) = value else { return "none".to_owned() };
    if let (Some(low), Some(high)) = (low, high)
        && high - low < 5e-3
        && value > 0.0
    {
        return format!("{value:.1} mm  (as far as the plates go, at both ends of the band)");
    }
    let label = if low.is_some() && high.is_some() { "90 %: " } else { "" };
    format!("{value:.1} mm  ({label}{})", ends(low, high))
}

/// The throat with its band.
#[must_use]
pub fn throat(e: &ExpectedOut) -> String {
    banded(e.effective_throat_mm, e.effective_throat_low_mm, e.effective_throat_high_mm)
}

/// The penetration along the beam with its band.
#[must_use]
pub fn penetration(e: &ExpectedOut) -> String {
    let text = banded(Some(e.penetration_mm), e.penetration_low_mm, e.penetration_high_mm);
    if e.through { format!("through, {text}") } else { text }
}

/// The throat that a prediction is compared with, and why it is that.
#[must_use]
pub fn needed_throat(of: &NeedOut) -> Option<String> {
    let counts = of.penetration_counts_by.counts;
    let mm = if counts { of.any_plane_mm.or(of.specify_mm) } else { of.specify_mm }?;
    let why = match (of.throat_mm, of.specify_mm, of.least_throat_mm) {
        (_, Some(specify), _) if counts && mm > specify + 5e-3 => {
            "with depth counted the throat may lie in any plane"
        }
        (Some(throat), _, Some(least)) if least > throat => "the least that the code lets count",
        _ => "by the load",
    };
    Some(format!("{}  ({why})", need(mm)))
}

/// Hardness over the cooling times.
fn hardness(e: &ExpectedOut) -> Option<String> {
    let hv = e.hardness_hv?;
    Some(match e.hardness_low_hv {
        Some(low) if hv - low >= 1.0 => format!("{low:.0} to {hv:.0} HV"),
        _ => format!("about {hv:.0} HV"),
    })
}

/// A clause, and how it is known.
#[must_use]
pub fn clause(clause: &ClauseOut) -> String {
    format!("{}, {} ({})", clause.title, clause.place, clause.seen)
}

/// Before a beam is switched on to try what is told here.
pub const BEAM_SAFETY: &str = "A beam of this power is class 4, its reflections too: before a coupon is welded close the laser area, wear eyewear for its wavelength, extract the fume (seamproof area works the area out), and follow your laser safety officer.";

/// Whether the need is met, as a sentence.
#[must_use]
pub fn verdict(said: &ExpectOut) -> String {
    let Some(need) = &said.need else {
        return "What this setting should make; no load is given to compare it with.".to_owned();
    };
    if !said.allowed {
        return format!(
            "{} does not allow this weld as it is expected, whatever its throat: see what it refuses.",
            need.code
        );
    }
    let by = match said.meets_by {
        Some(BY_FULL) => {
            " as full penetration, by how little is left unfused and not by each weld's throat"
        }
        _ => "",
    };
    let wire = if said.warnings.iter().any(|w| w.starts_with(BEFORE_THE_ROOT)) {
        ", if the wire melts behind the beam and not before it (see 'deposit before the root')"
    } else {
        ""
    };
    if said.warnings.iter().any(|w| w.starts_with(ANOTHER_METAL)) {
        return "Whether it meets the need cannot be told: the setting's metal is not the joint's."
            .to_owned();
    }
    // A butt by arc is what its preparation makes of it.
    let prepared = match said.expected.preparation {
        Some(words) => format!(", prepared as a {words}"),
        None => String::new(),
    };
    match (said.meets_need, said.meets_need_at_low) {
        (Some(true), Some(true)) => format!(
            "Expected to meet the need{by}, at the low end of the band as well{wire}: weld coupons and read them."
        ),
        (Some(true), _) if said.expected.effective_throat_low_mm.is_none() => {
            format!(
                "Expected to meet the need{by}{prepared}, but there is no band: only coupons tell."
            )
        }
        (None, _) if said.expected.effective_throat_mm.is_some() => {
            "Whether it meets the need cannot be told, since there is no band: only coupons tell."
                .to_owned()
        }
        (Some(true), _) => {
            format!(
                "Expected to meet the need{by}{wire}; the low end of the band does not: only coupons tell."
            )
        }
        (Some(false), _) if said.expected.effective_throat_mm.is_some() => {
            "Not expected to meet the need.".to_owned()
        }
        _ => "No throat is expected, so the need is not met by this.".to_owned(),
    }
}

/// The expected weld: what, and how much.
#[must_use]
pub fn rows(said: &ExpectOut) -> Vec<[String; 2]> {
    let e = &said.expected;
    let row = |name: &str, value: String| [name.to_owned(), value];
    let arc = e.mode == "arc";
    let mut rows = vec![
        row(
            match e.mode {
                "transition" => "mode (transition: a keyhole shallower than it is wide)",
                _ => "mode",
            },
            e.mode.to_owned(),
        ),
        row(
            if arc { "penetration of a bead on plate" } else { "penetration along the beam" },
            penetration(e),
        ),
        row("width at the surface", banded(Some(e.width_mm), e.width_low_mm, e.width_high_mm)),
    ];
    // An arc's depth is not counted, so its root is not worked out.
    if e.root_penetration_mm.is_some() && !arc {
        rows.push(row(
            "penetration along the joint line",
            banded(e.root_penetration_mm, e.root_penetration_low_mm, e.root_penetration_high_mm),
        ));
    }
    if let Some(overlap) = e.overlap_mm {
        let band = match (e.overlap_low_mm, e.overlap_high_mm) {
            (Some(low), Some(high)) => format!("90 %: {:.1} to {:.1}", down(low), up(high)),
            _ => "no band".to_owned(),
        };
        rows.push(row(
            "overlap of both sides on the joint line, below 0 unfused",
            format!("{overlap:.1} mm  ({band})"),
        ));
    }
    if said.joint_kind != "bead" {
        rows.push(row("effective throat, each weld", throat(e)));
    }
    if let Some(needed) = said.need.as_ref().and_then(needed_throat) {
        rows.push(row("needed throat, each weld", needed));
    }
    if said.need.as_ref().is_some_and(|n| !n.penetration_counts_by.counts) {
        rows.push(row(
            "throat that counts by the code, without depth",
            banded(
                e.theoretical_throat_mm,
                e.theoretical_throat_low_mm,
                e.theoretical_throat_high_mm,
            ),
        ));
    }
    // Without wire it is all parent metal.
    if let (Some(dilution), Some(low), Some(high)) = (e.dilution, e.dilution_low, e.dilution_high)
        && e.deposited_area_mm2 > 0.0
    {
        let percent = |share: f64| 100.0 * share;
        rows.push(row(
            "dilution",
            format!(
                "{:.0} %  (90 %: {:.0} to {:.0})",
                percent(dilution),
                percent(low).floor(),
                percent(high).ceil()
            ),
        ));
    }
    if e.leg_base_mm.is_some() {
        if let Some(size) = e.size_mm {
            let low = match e.size_low_mm {
                Some(low) => format!("  (low end {:.1})", down(low)),
                None => String::new(),
            };
            let words = "size of the fillet, the largest triangle inside it";
            rows.push(row(words, format!("{size:.1} mm{low}")));
        }
        let leg = banded(e.leg_base_mm, e.leg_base_low_mm, e.leg_base_high_mm);
        rows.push(row("leg on the base", leg));
        let leg = banded(e.leg_upright_mm, e.leg_upright_low_mm, e.leg_upright_high_mm);
        rows.push(row("leg on the upright", leg));
    }
    let yes = |yes| if yes { "yes" } else { "no" }.to_owned();
    if let Some(complete) = e.complete_penetration {
        rows.push(row("fused through the joint line", yes(complete)));
    }
    let asks = said.need.as_ref().is_none_or(|n| n.as_full_penetration.is_some());
    if let Some(full) = e.as_full_penetration.filter(|_| asks) {
        let whole = e.unfused_land_mm.is_some_and(|land| land < 1e-6);
        rows.push(row(
            "as full penetration by EN 1993-1-8 4.7.3 (recalled)",
            if full && whole { "yes, fused through".to_owned() } else { yes(full) },
        ));
    }
    rows.push(row("deposit, each weld", format!("{:.2} mm²", e.deposited_area_mm2)));
    rows.push(row(
        "energy / heat for each length",
        format!(
            "{} / {} kJ/mm",
            significant(e.line_energy_kj_per_mm, 3),
            significant(e.heat_input_kj_per_mm, 3)
        ),
    ));
    rows.push(row(
        if arc { "thermal efficiency" } else { "absorbed share" },
        format!("{:.0} %", 100.0 * said.absorbed_share),
    ));
    let two = |low: f64, high: f64, unit: &str| {
        format!("{} to {} {unit}", significant(low, 2), significant(high, 2))
    };
    if let (Some(low), Some(high)) = (e.t85_low_s, e.t85_high_s) {
        rows.push(row("cooling time t8/5, by different relations", two(low, high, "s")));
    }
    if let (Some(a), Some(b)) = (e.haz_width_line_source_mm, e.haz_width_peak_law_mm) {
        rows.push(row("heat-affected width, by two relations", two(a.min(b), a.max(b), "mm")));
    }
    if let Some(ce) = e.ce_iiw_percent {
        rows.push(row("CE(IIW)", format!("{ce:.2} %")));
    }
    if let (Some(hv), Some(m)) = (hardness(e), e.hardness_martensite_hv) {
        rows.push(row(
            "hardness beside the weld, by cooling time",
            format!("{hv} (all martensite {m:.0})"),
        ));
    }
    if let Some(t) = e.preheat_deg_c {
        rows.push(row(
            "preheat by CET (a relation of arcs)",
            if t <= 20.0 { "none".to_owned() } else { format!("{:.0} °C", t.ceil()) },
        ));
    }
    let by_arcs = |name: &str, mm: Option<f64>, low: Option<f64>, high: Option<f64>| {
        let mm = significant(mm?, 2);
        let band = match (low, high) {
            (Some(low), Some(high)) => {
                format!("weld's size 90 %: {} to {}", significant(low, 2), significant(high, 2))
            }
            _ => "no band".to_owned(),
        };
        Some(row(name, format!("about {mm} mm  ({band})")))
    };
    rows.extend(by_arcs(
        "shrinkage across (a relation of arcs)",
        e.shrinkage_across_mm,
        e.shrinkage_across_low_mm,
        e.shrinkage_across_high_mm,
    ));
    rows.extend(by_arcs(
        "edge of a 100 mm wide base bends up by (a relation of arcs)",
        e.warpage_100_mm_base_mm,
        e.warpage_100_mm_base_low_mm,
        e.warpage_100_mm_base_high_mm,
    ));
    if let Some(passes) = e.passes {
        rows.push(row("passes of each weld", passes.to_string()));
    }
    rows
}

/// A band, as a sentence.
#[must_use]
pub fn band_words(band: &BandOut) -> String {
    format!(
        "band before your own coupons: a factor of {} either way ({})",
        significant(band.factor_90, 3),
        band.regime
    )
}

/// The band, or why there is none, as a sentence.
#[must_use]
pub fn band(said: &ExpectOut) -> String {
    match &said.band {
        Some(band) => band_words(band),
        None if said.checked_range.outside.is_empty() => {
            "no band was made for this process".to_owned()
        }
        None => {
            format!("no band, outside the checked range: {}", said.checked_range.outside.join("; "))
        }
    }
}

/// What the code asks or refuses.
#[must_use]
pub fn refusals(said: &ExpectOut) -> Vec<String> {
    said.refusals
        .iter()
        .map(|r| format!("{}: {}; next: {}; {}", r.effect, r.fact, r.advice, clause(&r.clause)))
        .collect()
}

/// Answers as a picture has them.
#[must_use]
pub fn answer_bars(all: &[SensitivityOut]) -> Vec<AnswerBar> {
    all.iter()
        .map(|a| AnswerBar {
            change: a.change.clone(),
            throat_mm: a.throat_mm,
            band_mm: a.throat_low_mm.zip(a.throat_high_mm).map(|(low, high)| [low, high]),
        })
        .collect()
}

/// How the throat answers, in lines.
#[must_use]
pub fn answers(all: &[SensitivityOut]) -> Vec<String> {
    answer_bars(all).iter().map(|a| format!("{}: {}", a.change, answer_words(a))).collect()
}

/// What a choice is best for.
#[must_use]
pub fn best_for(names: &[&str]) -> String {
    format!("least {}", names.join(" and "))
}

/// Settings worth trying, one a column; the first row names them.
#[must_use]
pub fn choices(found: &SearchOut) -> Vec<Vec<String>> {
    let mut rows = vec![vec![String::new()]];
    rows[0].extend(found.choices.iter().map(|c| best_for(&c.best_for)));
    let mut row = |name: &str, of: &dyn Fn(&ChoiceOut) -> String| {
        let mut line = vec![name.to_owned()];
        line.extend(found.choices.iter().map(of));
        rows.push(line);
    };
    row("power", &|c| c.setting.power.clone());
    row("spot, M²", &|c| format!("{}, {:.1}", c.setting.spot, c.setting.m2));
    row("travel", &|c| c.setting.travel.clone());
    row("wobble across", &|c| match (&c.setting.wobble.width, &c.setting.wobble.frequency) {
        (Some(w), Some(f)) => format!("{w}, {f}"),
        _ => "none".to_owned(),
    });
    row("torch angle, aim", &|c| format!("{}, {}", c.setting.torch_angle, c.setting.aim));
    row("wire", &|c| {
        c.setting.wire.as_ref().map_or_else(
            || "none".to_owned(),
            |w| match w.feed.as_str() {
                "travel" => format!("{} x {}", w.count, w.diameter),
                feed => format!("{} x {}, fed at {feed}", w.count, w.diameter),
            },
        )
    });
    row("throat expected", &|c| {
        c.expected.effective_throat_mm.map_or_else(String::new, |t| format!("{t:.1} mm"))
    });
    row("90 % band", &|c| {
        ends_mm(c.expected.effective_throat_low_mm, c.expected.effective_throat_high_mm)
    });
    row("serves by", &|c| {
        if c.margin_mm >= 0.0 { "its throat" } else { "full penetration" }.to_owned()
    });
    row("low end serves too", &|c| match c.meets_need_at_low {
        Some(true) => "yes".to_owned(),
        Some(false) => "no".to_owned(),
        None => "no band".to_owned(),
    });
    row("hand scatter, 1 sd of 500 draws", &|c| format!("{:.2} mm", c.hand_scatter_by_draws_mm));
    row("of them meet the need, if the model is right", &|c| {
        format!("{:.0} %", (100.0 * c.chance_by_hand).floor())
    });
    row("what bites", &|c| {
        let names: Vec<&str> = c.warnings.iter().filter_map(|w| w.split(':').next()).collect();
        if names.is_empty() { "nothing".to_owned() } else { names.join(", ") }
    });
    row("heat, one metre", &|c| format!("{} kJ", significant(c.heat_kj_per_m, 3)));
    row("time, one metre", &|c| format!("{} s", significant(c.time_s_per_m, 3)));
    if found.choices.iter().any(|c| c.cost_per_m.is_some()) {
        let currency = found.currency.as_deref().unwrap_or_default();
        row("cost, one metre", &|c| {
            c.cost_per_m.map_or_else(String::new, |c| format!("{} {currency}", significant(c, 3)))
        });
    }
    rows
}

/// A setting's wobble.
#[must_use]
pub fn wobble(setting: &SettingOut) -> String {
    match (&setting.wobble.width, &setting.wobble.frequency) {
        (Some(width), Some(rate)) => format!("wobble {width} at {rate}"),
        _ => "no wobble".to_owned(),
    }
}

/// Coupons that tell most: each as a sentence.
#[must_use]
pub fn coupons(found: &SearchOut) -> Vec<String> {
    let first_has_wire = found.coupons.first().is_some_and(|c| c.setting.wire.is_some());
    found
        .coupons
        .iter()
        .map(|c| {
            let s = &c.setting;
            let wobble = wobble(s);
            let wire = match (&s.wire, first_has_wire) {
                (None, true) => ", no wire",
                _ => "",
            };
            format!(
                "{}, {}, {wobble}{wire}: it tells {}; penetration expected {}",
                s.power,
                s.travel,
                c.tells,
                penetration(&c.expected)
            )
        })
        .collect()
}

/// Settings beside each other, one a column; the first row names them.
#[must_use]
pub fn compared(out: &CompareOut) -> Vec<Vec<String>> {
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
    let counted = out.need.as_ref().is_some_and(|n| !n.penetration_counts_by.counts);
    let throat = if counted { "throat that counts, without depth" } else { "throat of each weld" };
    row(throat, &|s| s.throat_mm.map_or_else(none, |t| format!("{t:.1} mm")));
    row("90 % band of it", &|s| ends_mm(s.throat_low_mm, s.throat_high_mm));
    row("carries, each weld", &|s| some(s.resistance_n_per_mm, "N/mm"));
    row("at the low end", &|s| some(s.resistance_low_n_per_mm, "N/mm"));
    if out.need.is_some() {
        row("allowed by the code", &|s| if s.allowed { "yes" } else { "no" }.to_owned());
    }
    row("meets the need", &|s| match (s.meets_need, s.meets_by) {
        (Some(true), Some(BY_FULL)) => "yes, as full penetration".to_owned(),
        (Some(true), _) => "yes".to_owned(),
        (Some(false), _) => "no".to_owned(),
        (None, _) => none(),
    });
    if out.settings.iter().any(|s| s.expected.complete_penetration.is_some()) {
        row("fused through the joint line", &|s| match s.expected.complete_penetration {
            Some(yes) => if yes { "yes" } else { "no" }.to_owned(),
            None => none(),
        });
    }
    row("passes of each weld", &|s| s.passes.to_string());
    row("deposit", &|s| some(Some(s.deposit_mm2), "mm²"));
    row("heat into the joint", &|s| some(Some(s.heat_kj_per_mm), "kJ/mm"));
    row("t8/5", &|s| match (s.expected.t85_low_s, s.expected.t85_high_s) {
        (Some(low), Some(high)) => {
            format!("{} to {} s", significant(low, 2), significant(high, 2))
        }
        _ => none(),
    });
    if out.settings.iter().any(|s| s.expected.hardness_hv.is_some()) {
        row("hardness beside the weld", &|s| hardness(&s.expected).unwrap_or_else(none));
    }
    row("time, arc or beam on", &|s| some(Some(s.time_s_per_m), "s"));
    row("wire", &|s| some(Some(s.wire_kg_per_m * 1e3), "g"));
    row("gas", &|s| some(s.gas_l_per_m, "l"));
    row("electricity", &|s| some(Some(s.energy_kwh_per_m), "kWh"));
    if let Some(currency) = &out.currency {
        row("cost", &|s| some(s.cost_per_m, currency));
    }
    rows
}
