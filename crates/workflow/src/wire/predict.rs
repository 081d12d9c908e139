//! Forms of what is expected of a setting: for machines, units in the names; figures unrounded.
//!
//! Nothing without its band: outside the checked range `..._low_...` and `..._high_...` are null and a warning says why.

use super::joint::{ClauseOut, NeedOut, RefusalOut};
use serde::Serialize;

/// `start --setting`: one setting on one joint.
#[derive(Clone, Debug, Serialize)]
pub struct ExpectOut {
    /// The joint file.
    pub file: String,
    /// The setting file.
    pub setting: String,
    /// bead, butt, tee or lap.
    pub joint_kind: &'static str,
    /// ISO 4063 number.
    pub process: String,
    /// quick or keyhole; arc for an arc.
    pub tier: &'static str,
    /// How many welds the joint has; figures below are of one weld, the least favourable.
    pub welds: u8,
    /// What to expect.
    pub expected: ExpectedOut,
    /// Share of the power that the joint takes in; arc: the thermal efficiency.
    pub absorbed_share: f64,
    /// The 90 % factor of the depth and its regime; null outside the checked range.
    pub band: Option<BandOut>,
    /// Limits that bite and cautions: the fact, then what to try.
    pub warnings: Vec<String>,
    /// Where the model was checked, and whether this setting lies there.
    pub checked_range: RangeOut,
    /// What the load needs; nothing when the file names no load.
    pub need: Option<NeedOut>,
    /// Does the code allow the weld that is expected? Conditions may remain.
    pub allowed: bool,
    /// Is it expected to meet the need? No where the code does not allow it; null without a need or without a throat.
    pub meets_need: Option<bool>,
    /// By its throat, or as full penetration.
    pub meets_by: Option<&'static str>,
    /// Does the low end of the band meet it?
    pub meets_need_at_low: Option<bool>,
    /// What the code refuses of the weld that is expected, its legs among it.
    pub refusals: Vec<RefusalOut>,
    /// How the throat answers to what a hand or a knob changes.
    pub sensitivity: Vec<SensitivityOut>,
    /// What was taken because nothing was said.
    pub taken: Vec<String>,
    /// What the figures rest on.
    pub sources: Vec<ClauseOut>,
}

/// The expected weld. Lengths in mm, areas in mm², of one weld.
#[derive(Clone, Debug, Default, Serialize)]
pub struct ExpectedOut {
    /// keyhole, transition or conduction; arc.
    pub mode: &'static str,
    /// Depth of fusion along the beam, at most the metal there.
    pub penetration_mm: f64,
    /// Low end of the 90 % band.
    pub penetration_low_mm: Option<f64>,
    /// High end.
    pub penetration_high_mm: Option<f64>,
    /// The keyhole comes out of the far side.
    pub through: bool,
    /// Width at the surface.
    pub width_mm: f64,
    /// Low end.
    pub width_low_mm: Option<f64>,
    /// High end.
    pub width_high_mm: Option<f64>,
    /// Width at half the depth.
    pub width_half_depth_mm: Option<f64>,
    /// Low end.
    pub width_half_depth_low_mm: Option<f64>,
    /// High end.
    pub width_half_depth_high_mm: Option<f64>,
    /// Width at the far side, where the plate is pierced.
    pub width_root_mm: Option<f64>,
    /// Along a tee's joint line, from the corner.
    pub root_penetration_mm: Option<f64>,
    /// Low end.
    pub root_penetration_low_mm: Option<f64>,
    /// High end.
    pub root_penetration_high_mm: Option<f64>,
    /// Size of the fillet, the lesser leg of the largest triangle inside it: what a code's least leg is about.
    pub size_mm: Option<f64>,
    /// Low end.
    pub size_low_mm: Option<f64>,
    /// Leg on the base.
    pub leg_base_mm: Option<f64>,
    /// Low end.
    pub leg_base_low_mm: Option<f64>,
    /// High end.
    pub leg_base_high_mm: Option<f64>,
    /// Leg on the upright.
    pub leg_upright_mm: Option<f64>,
    /// Low end.
    pub leg_upright_low_mm: Option<f64>,
    /// High end.
    pub leg_upright_high_mm: Option<f64>,
    /// Fused area.
    pub fused_area_mm2: Option<f64>,
    /// Low end.
    pub fused_area_low_mm2: Option<f64>,
    /// High end.
    pub fused_area_high_mm2: Option<f64>,
    /// Melted parent metal.
    pub melted_parent_area_mm2: Option<f64>,
    /// Low end.
    pub melted_parent_area_low_mm2: Option<f64>,
    /// High end.
    pub melted_parent_area_high_mm2: Option<f64>,
    /// Metal laid down by the wire.
    pub deposited_area_mm2: f64,
    /// Melted parent over fused area.
    pub dilution: Option<f64>,
    /// Low end.
    pub dilution_low: Option<f64>,
    /// High end.
    pub dilution_high: Option<f64>,
    /// Throat of a weld, depth of fusion counted; a butt's is its part of the fused joint line.
    pub effective_throat_mm: Option<f64>,
    /// Low end.
    pub effective_throat_low_mm: Option<f64>,
    /// High end.
    pub effective_throat_high_mm: Option<f64>,
    /// Throat where a code gives no credit for depth.
    pub theoretical_throat_mm: Option<f64>,
    /// Low end.
    pub theoretical_throat_low_mm: Option<f64>,
    /// High end.
    pub theoretical_throat_high_mm: Option<f64>,
    /// Joint line left unfused.
    pub unfused_land_mm: Option<f64>,
    /// How far the zones of both sides overlap on the joint line; below 0: what stays unfused between them.
    pub overlap_mm: Option<f64>,
    /// Low end.
    pub overlap_low_mm: Option<f64>,
    /// High end.
    pub overlap_high_mm: Option<f64>,
    /// Fused through the whole joint line.
    pub complete_penetration: Option<bool>,
    /// Two-sided tee: counts as full penetration by EN 1993-1-8 4.7.3 (recalled).
    pub as_full_penetration: Option<bool>,
    /// Power over travel; arc: arc energy.
    pub line_energy_kj_per_mm: f64,
    /// Of it what heats the joint.
    pub heat_input_kj_per_mm: f64,
    /// Cooling time from 800 to 500 °C; null for metals that do not transform.
    pub t85_s: Option<f64>,
    /// The quickest of the relations here (EN as it stands and fitted to beams, its shape factors of a tee at both ends,
    /// conduction); hardness is of this one.
    pub t85_low_s: Option<f64>,
    /// The slowest.
    pub t85_high_s: Option<f64>,
    /// By EN 1011-2 as it stands, thick plate.
    pub t85_en_1011_2_thick_s: Option<f64>,
    /// By EN 1011-2 as it stands, thin plate.
    pub t85_en_1011_2_thin_s: Option<f64>,
    /// Thickness at which both agree.
    pub transition_thickness_mm: Option<f64>,
    /// By the line source with mean properties.
    pub t85_conduction_s: Option<f64>,
    /// Heat-affected width by the line source.
    pub haz_width_line_source_mm: Option<f64>,
    /// Heat-affected width by the peak-temperature law.
    pub haz_width_peak_law_mm: Option<f64>,
    /// CE(IIW), where the analysis is given.
    pub ce_iiw_percent: Option<f64>,
    /// Hardness estimate beside the weld, at the quickest of the cooling times.
    pub hardness_hv: Option<f64>,
    /// The same at the slowest.
    pub hardness_low_hv: Option<f64>,
    /// Its greatest: all martensite.
    pub hardness_martensite_hv: Option<f64>,
    /// Preheat by CET at 5 ml of hydrogen in 100 g, where its formula (of arcs) holds.
    pub preheat_deg_c: Option<f64>,
    /// Shrinkage across a butt, by a formula of arc welds.
    pub shrinkage_across_mm: Option<f64>,
    /// Low end.
    pub shrinkage_across_low_mm: Option<f64>,
    /// High end.
    pub shrinkage_across_high_mm: Option<f64>,
    /// How far the edge of a 100 mm wide base bends up beside a fillet, by a formula of arc welds.
    pub warpage_100_mm_base_mm: Option<f64>,
    /// Low end.
    pub warpage_100_mm_base_low_mm: Option<f64>,
    /// High end.
    pub warpage_100_mm_base_high_mm: Option<f64>,
    /// Least and greatest depth along a cycle of the wobble.
    pub depth_along_cycle_mm: Option<[f64; 2]>,
    /// Travel in one cycle.
    pub pitch_mm: Option<f64>,
    /// Mean speed of the spot on its way.
    pub path_speed_mm_per_s: Option<f64>,
    /// Mean power per area on the surface.
    pub irradiance_w_per_cm2: Option<f64>,
    /// Rayleigh length.
    pub rayleigh_mm: Option<f64>,
    /// Passes that the joint's preparation wants (arc, butt) or that the needed throat wants (arc, tee).
    pub passes: Option<u32>,
    /// Passes of both sides together (arc, butt).
    pub passes_of_all_sides: Option<u32>,
    /// The arc's usual preparation of a butt.
    pub preparation: Option<&'static str>,
}

/// The band.
#[derive(Clone, Debug, Serialize)]
pub struct BandOut {
    /// Nine of ten depths lie within this factor, either way.
    pub factor_90: f64,
    /// The regime.
    pub regime: &'static str,
}

/// The checked range.
#[derive(Clone, Debug, Serialize)]
pub struct RangeOut {
    /// This setting lies in it.
    pub inside: bool,
    /// In words.
    pub range: &'static str,
    /// Why it does not.
    pub outside: Vec<String>,
}

/// How the throat answers.
#[derive(Clone, Debug, Serialize)]
pub struct SensitivityOut {
    /// What is changed.
    pub change: String,
    /// By how much the throat grows.
    pub throat_mm: f64,
    /// Low end: the depth is off by the band's factor, before and after the change.
    pub throat_low_mm: Option<f64>,
    /// High end.
    pub throat_high_mm: Option<f64>,
}

/// `start` without a setting: what to try first.
#[derive(Clone, Debug, Serialize)]
pub struct ChoiceOut {
    /// What it is best for: heat, time, cost or wire.
    pub best_for: Vec<&'static str>,
    /// The setting, as a setting file has it.
    pub setting: SettingOut,
    /// What to expect of it.
    pub expected: ExpectedOut,
    /// The band.
    pub band: Option<BandOut>,
    /// Throat less need.
    pub margin_mm: f64,
    /// One standard deviation of the throat from the hand, by the delta method.
    pub hand_scatter_mm: f64,
    /// The same from draws.
    pub hand_scatter_by_draws_mm: f64,
    /// Share of draws of the hand that meet the need.
    pub chance_by_hand: f64,
    /// Does the low end of the model's band meet the need?
    pub meets_need_at_low: Option<bool>,
    /// Seconds of welding for a metre of the joint, all its welds.
    pub time_s_per_m: f64,
    /// Heat for a metre of the joint, all its welds.
    pub heat_kj_per_m: f64,
    /// Money for a metre, where rates are given.
    pub cost_per_m: Option<f64>,
    /// How the throat answers.
    pub sensitivity: Vec<SensitivityOut>,
    /// Limits that bite.
    pub warnings: Vec<String>,
    /// The section to expect, drawn; no part of the form.
    #[serde(skip)]
    pub drawing: Option<report::figure::Svg>,
}

/// A setting, as its file has it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SettingOut {
    /// ISO 4063 number.
    pub process: &'static str,
    /// `1.6 kW`.
    pub power: String,
    /// Focus diameter.
    pub spot: String,
    /// M².
    pub m2: f64,
    /// Wavelength.
    pub wavelength: String,
    /// Focus over the surface.
    pub focus: String,
    /// Travel.
    pub travel: String,
    /// Between beam and base.
    pub torch_angle: String,
    /// Past the corner, up the upright.
    pub aim: String,
    /// The swing.
    pub wobble: WobbleOut,
    /// The wire.
    pub wire: Option<WireOut>,
}

impl SettingOut {
    /// The same as the fields of a study's setting record have it.
    #[must_use]
    pub fn fields(&self) -> Vec<(&'static str, String)> {
        let mut out = vec![
            ("process", self.process.to_owned()),
            ("power", self.power.clone()),
            ("travel_speed", self.travel.clone()),
            ("spot", self.spot.clone()),
            ("m2", self.m2.to_string()),
            ("wavelength", self.wavelength.clone()),
            ("focus", self.focus.clone()),
            ("torch_angle", self.torch_angle.clone()),
            ("aim", self.aim.clone()),
            ("wobble_pattern", self.wobble.pattern.to_owned()),
        ];
        if let (Some(width), Some(frequency)) = (&self.wobble.width, &self.wobble.frequency) {
            out.push(("wobble_width", width.clone()));
            out.push(("wobble_frequency", frequency.clone()));
        }
        if let Some(wire) = &self.wire {
            out.push(("wire", wire.diameter.clone()));
            out.push(("wires", wire.count.to_string()));
            // Left blank, the wire is fed as fast as the torch travels.
            if wire.feed != "travel" {
                out.push(("wire_feed", wire.feed.clone()));
            }
        }
        out
    }
}

/// A wobble, as its table has it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WobbleOut {
    /// line, circle, eight or none.
    pub pattern: &'static str,
    /// Full travel.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub width: Option<String>,
    /// Full cycles.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub frequency: Option<String>,
}

/// Wire, as its table has it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WireOut {
    /// Of each.
    pub diameter: String,
    /// How many.
    pub count: u8,
    /// travel, or a speed.
    pub feed: String,
}

/// Settings that do not serve, by the first limit each meets.
#[derive(Clone, Debug, Serialize)]
pub struct BitesOut {
    /// The limit.
    pub limit: &'static str,
    /// How many settings.
    pub settings: usize,
}

/// What `start` without a setting found.
#[derive(Clone, Debug, Serialize)]
pub struct SearchOut {
    /// What to try first: at most four.
    pub choices: Vec<ChoiceOut>,
    /// Settings looked at.
    pub looked_at: usize,
    /// What bites those that do not serve, by the quick tier.
    pub limits: Vec<BitesOut>,
    /// Three coupons that will tell most.
    pub coupons: Vec<CouponOut>,
    /// Of the costs, where rates are given.
    pub currency: Option<String>,
    /// What was taken of the gun.
    pub gun: Vec<String>,
    /// What must be known.
    pub remarks: Vec<String>,
}

/// A coupon to weld because it tells much.
#[derive(Clone, Debug, Serialize)]
pub struct CouponOut {
    /// Its setting.
    pub setting: SettingOut,
    /// What it tells.
    pub tells: &'static str,
    /// What to expect of it.
    pub expected: ExpectedOut,
    /// The band.
    pub band: Option<BandOut>,
}

/// `compare`: several settings on one joint.
#[derive(Clone, Debug, Serialize)]
pub struct CompareOut {
    /// The joint file.
    pub file: String,
    /// bead, butt, tee or lap.
    pub joint_kind: &'static str,
    /// What the load needs.
    pub need: Option<NeedOut>,
    /// Each setting.
    pub settings: Vec<ComparedOut>,
    /// Currency of the costs.
    pub currency: Option<String>,
    /// What was taken.
    pub taken: Vec<String>,
}

/// A setting beside others. Per metre of the joint, all its welds and passes.
#[derive(Clone, Debug, Serialize)]
pub struct ComparedOut {
    /// The setting file.
    pub setting: String,
    /// ISO 4063 number.
    pub process: String,
    /// What to expect.
    pub expected: ExpectedOut,
    /// The band.
    pub band: Option<BandOut>,
    /// Throat of each weld that counts by the code.
    pub throat_mm: Option<f64>,
    /// Low end of the band.
    pub throat_low_mm: Option<f64>,
    /// High end.
    pub throat_high_mm: Option<f64>,
    /// Resistance of each weld per length at that throat: the least of the weld metal's, the fusion faces' and the plate's.
    pub resistance_n_per_mm: Option<f64>,
    /// At the low end.
    pub resistance_low_n_per_mm: Option<f64>,
    /// Does the code allow the weld that is expected?
    pub allowed: bool,
    /// Meets the need?
    pub meets_need: Option<bool>,
    /// By its throat, or as full penetration.
    pub meets_by: Option<&'static str>,
    /// Passes of each weld.
    pub passes: u32,
    /// Metal laid down.
    pub deposit_mm2: f64,
    /// Heat into the joint.
    pub heat_kj_per_mm: f64,
    /// Cooling time.
    pub t85_s: Option<f64>,
    /// Arc or beam on.
    pub time_s_per_m: f64,
    /// Wire.
    pub wire_kg_per_m: f64,
    /// Shielding gas, where its flow is given.
    pub gas_l_per_m: Option<f64>,
    /// Electricity from the wall.
    pub energy_kwh_per_m: f64,
    /// Money, where rates are given.
    pub cost_per_m: Option<f64>,
    /// Limits that bite.
    pub warnings: Vec<String>,
}
