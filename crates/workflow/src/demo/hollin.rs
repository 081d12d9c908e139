//! The invented scenario, as numbers: Hollin Ferry Works builds gangway steps.
//!
//! Two joints: the gusset's tee on the step's base, and the butt between the step's landing plates.
//! Nobody welded this. The shapes are those that a laser or an arc could leave, and how they scatter is made up: a part
//! that a whole coupon shares, a part of each section. All lengths in millimetres, angles in degrees.

use photo::drawn::fillet::{Fillet, Uneven};
use photo::drawn::hand;
use photo::drawn::scenes::tee_of;
use rand::Rng;
use rand_chacha::ChaCha8Rng;
use std::f64::consts::{FRAC_PI_2, PI};
use weld::section::{Butt, Face, Fused, Plates, Point, Section, Side};

/// Thickness of the gusset.
pub const UPRIGHT_MM: f64 = 5.0;
/// Thickness of the plate that it stands on.
pub const BASE_MM: f64 = 8.0;
/// The joint and its load.
pub const JOINT_FILE: &str = r#"# Invented: the gangway step of Hollin Ferry Works, by `seamproof demo`.
joint = "tee"
base = "8 mm"
upright = "5 mm"
angle = "90 deg"
gap = "0 mm"
material = "1.4307"
sides = "both"
length = "100 mm"

[need]
load = "40 kN"
direction = "along"
code = "EN 1993-1-8"
"#;

/// The frozen setting, in the flat spelling that a study keeps.
pub const SETTING_FILE: &str = r#"# Invented: the frozen setting of Hollin Ferry Works, by `seamproof demo`.
words = "two 1.6 mm wires, torch 25 degrees from the base"
process = "521"
power = "2 kW"
travel_speed = "4 mm/s"
spot = "120 um"
m2 = 3.0
wavelength = "1070 nm"
focal_length = "150 mm"
beam_at_lens = "5 mm"
focus = "0 mm"
torch_angle = "25 deg"
aim = "0.5 mm"
wobble_pattern = "line"
wobble_width = "3 mm"
wobble_frequency = "50 Hz"
wire = "1.6 mm"
wires = 2
wire_feed = "8 mm/s"
gas = "argon"
gas_flow = "15 l/min"
"#;

/// The gas metal arc beside it.
pub const GMAW_FILE: &str = r#"# Invented: gas metal arc at Hollin Ferry Works, by `seamproof demo`.
words = "GMAW of the same plates"
process = "135"
travel_speed = "6 mm/s"
current = "200 A"
voltage = "23 V"
wire = "1.0 mm"
wires = 1
wire_feed = "10 m/min"
gas = "argon with 2 % carbon dioxide"
gas_flow = "15 l/min"
"#;

/// The claim file for the sections of the frozen setting.
pub fn claim_file(sections: &[String], seed: u64) -> String {
    let names: Vec<String> = sections.iter().map(|name| format!("  \"{name}\",\n")).collect();
    format!(
        r#"# Invented: the claim of Hollin Ferry Works, by `seamproof demo`, seed {seed}.
question = "Do the two handheld laser fillets between the 5 mm gusset and the 8 mm base of the gangway step carry 40 kN along the joint, although the beads outside are small?"
joint = "joint.toml"
sections = [
{}]
value = "effective_throat"
sides = "least"
frozen = true

[population]
operators = "the demo"
machine = "{}"
material_heats = "none: drawn plates of 1.4307"
position = "PB"
setting = "the frozen setting of the demo, torch 25 degrees from the base"
length = "the drawn sections only"

[paper]
customer = "Hollin Ferry Works, gangway office"
author = "the demo"
date = "2026-11-25"
units = "mm"
title = "Throat of the gangway step's fillet welds"
study = "Hollin Ferry gangway step, seed {seed}"
edition = "1"
invented = true
walked_on = true
"#,
        names.concat(),
        FROZEN.words
    )
}

/// Thickness of the landing plates.
pub const LANDING_MM: f64 = 6.0;
/// The butt between the landing plates, and its load.
pub const BUTT_JOINT_FILE: &str = r#"# Invented: the landing plates of Hollin Ferry Works, by `seamproof demo`.
joint = "butt"
plate = "6 mm"
gap = "0 mm"
material = "S355"
sides = "one"
restrained = true
length = "100 mm"

[need]
load = "90 kN"
direction = "across"
code = "EN 1993-1-8"
"#;

/// The claim file for the sections of the butt.
pub fn butt_claim_file(sections: &[String], seed: u64) -> String {
    let names: Vec<String> = sections.iter().map(|name| format!("  \"{name}\",\n")).collect();
    format!(
        r#"# Invented: the second claim of Hollin Ferry Works, by `seamproof demo`, seed {seed}.
question = "Does the butt between the 6 mm landing plates, welded by handheld laser from one side, carry 90 kN across the joint?"
joint = "butt-joint.toml"
sections = [
{}]
value = "throat"
frozen = true

[population]
operators = "the demo"
machine = "{BUTT_WORDS}"
material_heats = "none: drawn plates of S355"
position = "PA"
setting = "the frozen setting of the demo's butt"
length = "the drawn sections only"

[paper]
customer = "Hollin Ferry Works, gangway office"
author = "the demo"
date = "2026-11-25"
units = "mm"
title = "Throat of the landing plates' butt weld"
study = "Hollin Ferry landing plates, seed {seed}"
edition = "1"
invented = true
walked_on = true
"#,
        names.concat()
    )
}

/// How the butt is welded.
pub const BUTT_WORDS: &str = "handheld laser 2 kW, square butt of 6 mm S355, from one side";
/// Its coupons, one section cut from each.
pub const BUTT_COUPONS: [&str; 3] = ["E", "F", "G"];
/// Width of its heat-affected zone.
pub const BUTT_AFFECTED_MM: f64 = 0.7;

/// Coupons that the claim rests on.
pub const COUPONS: [&str; 4] = ["A", "B", "C", "D"];
/// Sections cut from each.
pub const SECTIONS: u32 = 2;

/// A mean, and how it scatters from coupon to coupon and from section to section.
#[derive(Clone, Copy, Debug)]
struct Scatter {
    mean: f64,
    between: f64,
    within: f64,
}

const fn about(mean: f64, between: f64, within: f64) -> Scatter {
    Scatter { mean, between, within }
}

/// How one setting comes out.
#[derive(Clone, Copy, Debug)]
pub struct Setting {
    /// What papers and screens call it.
    pub words: &'static str,
    /// The start of its files' names.
    pub file: &'static str,
    base_leg: Scatter,
    upright_leg: Scatter,
    in_base: f64,
    in_upright: f64,
    root: f64,
    torch_deg: Scatter,
    finger: Scatter,
    half_width: Scatter,
    blunt: f64,
    bulge: Scatter,
    /// Width of the heat-affected zone.
    pub affected_mm: f64,
}

/// The frozen setting: a flat torch, so that the finger runs along the joint line.
pub const FROZEN: Setting = Setting {
    words: "handheld laser 2 kW, two 1.6 mm wires, torch 25 degrees from the base",
    file: "laser",
    base_leg: about(4.3, 0.03, 0.05),
    upright_leg: about(4.1, 0.03, 0.05),
    in_base: 0.45,
    in_upright: 0.40,
    root: 0.20,
    torch_deg: about(25.0, 0.15, 0.3),
    finger: about(2.45, 0.03, 0.05),
    half_width: about(0.85, 0.006, 0.012),
    blunt: 2.6,
    bulge: about(0.03, 0.004, 0.008),
    affected_mm: 0.5,
};

/// The first setting, which does not do.
pub const FIRST: Setting = Setting {
    words: "first setting: handheld laser 2 kW, one 1.2 mm wire, torch 45 degrees",
    file: "first",
    base_leg: about(2.6, 0.03, 0.08),
    upright_leg: about(2.5, 0.03, 0.08),
    in_base: 0.35,
    in_upright: 0.35,
    root: 0.12,
    torch_deg: about(45.0, 0.5, 1.0),
    finger: about(1.2, 0.04, 0.08),
    half_width: about(0.55, 0.01, 0.02),
    blunt: 2.2,
    bulge: about(0.02, 0.004, 0.010),
    affected_mm: 0.45,
};

/// The same plates by gas metal arc: the leg does the work.
pub const GMAW: Setting = Setting {
    words: "GMAW of the same plates",
    file: "gmaw",
    base_leg: about(6.2, 0.08, 0.15),
    upright_leg: about(5.8, 0.08, 0.15),
    in_base: 1.1,
    in_upright: 0.8,
    root: 0.35,
    torch_deg: about(45.0, 1.0, 2.0),
    finger: about(0.5, 0.05, 0.10),
    half_width: about(1.5, 0.05, 0.10),
    blunt: 2.0,
    bulge: about(0.08, 0.01, 0.02),
    affected_mm: 1.8,
};

/// The same plates by gas tungsten arc.
pub const GTAW: Setting = Setting {
    words: "GTAW of the same plates",
    file: "gtaw",
    base_leg: about(5.4, 0.08, 0.12),
    upright_leg: about(5.2, 0.08, 0.12),
    in_base: 0.8,
    in_upright: 0.7,
    root: 0.25,
    torch_deg: about(45.0, 1.0, 2.0),
    finger: about(0.2, 0.03, 0.05),
    half_width: about(1.3, 0.05, 0.10),
    blunt: 2.0,
    bulge: about(-0.03, 0.005, 0.010),
    affected_mm: 2.0,
};

/// How far a coupon lies off the mean, and its sections off the coupon: standard normal, one for each number of each
/// side.
type Off = [f64; 12];

/// Draws the deviations of a coupon, or of a section.
#[must_use]
pub fn off(rng: &mut ChaCha8Rng) -> Off {
    let mut out = [0.0; 12];
    for pair in out.chunks_exact_mut(2) {
        pair.copy_from_slice(&hand::shake(rng, 1.0));
    }
    out
}

/// Half of the butt's width at the surface, and of its finger.
const BUTT_HALF: Scatter = about(1.75, 0.04, 0.06);
const BUTT_FINGER: Scatter = about(0.80, 0.02, 0.03);
/// How deep its nail head goes.
const BUTT_HEAD_MM: f64 = 0.75;
/// Weld metal above the top surface, and below the bottom one.
const BUTT_CAP: Scatter = about(0.25, 0.02, 0.04);
const BUTT_ROOT: Scatter = about(0.30, 0.02, 0.04);
/// How far the beam runs beside the joint line.
const BUTT_AIM: Scatter = about(0.0, 0.05, 0.08);
/// How uneven its fusion line is.
const BUTT_UNEVEN_MM: f64 = 0.03;

/// A section of the butt: a nail head, a finger through the plate, a small root bead.
pub fn butt_section(coupon: &Off, rng: &mut ChaCha8Rng) -> Section {
    let own = off(rng);
    let at = |s: Scatter, i: usize| s.mean + s.between * coupon[i] + s.within * own[i];
    let (half, finger, cap) = (at(BUTT_HALF, 0), at(BUTT_FINGER, 1), at(BUTT_CAP, 2));
    let (root, aim) = (at(BUTT_ROOT, 3), at(BUTT_AIM, 4));
    let mut uneven =
        || -> [f64; 6] { std::array::from_fn(|_| BUTT_UNEVEN_MM * rng.random_range(-1.0..1.0)) };
    let waves = [uneven(), uneven()];
    let wide = |side: usize, share: f64| {
        let nail = (-(share * LANDING_MM / BUTT_HEAD_MM).powi(2)).exp();
        let wave: f64 =
            (2_u32..).zip(&waves[side]).map(|(k, a)| a * (PI * f64::from(k) * share).sin()).sum();
        finger + (half - finger) * nail + wave
    };
    const FLANK: usize = 110;
    const BEAD: usize = 50;
    let share = |i: usize, n: usize| i as f64 / n as f64;
    // Down the left flank, along the root bead, up the right flank and back over the cap.
    let mut outline: Vec<Point> = (0..FLANK)
        .map(|i| share(i, FLANK))
        .map(|t| Point::new(-wide(0, t), -LANDING_MM * t))
        .collect();
    let (left, right) = (wide(0, 1.0), wide(1, 1.0));
    outline.extend((0..BEAD).map(|i| PI * share(i, BEAD)).map(|turn| {
        let x = if turn < FRAC_PI_2 { left } else { right };
        Point::new(-x * turn.cos(), -LANDING_MM - root * turn.sin())
    }));
    outline.extend(
        (0..FLANK).map(|i| 1.0 - share(i, FLANK)).map(|t| Point::new(wide(1, t), -LANDING_MM * t)),
    );
    outline.extend((0..BEAD).map(|i| 1.0 - 2.0 * share(i, BEAD)).map(|v| {
        let reach = if v < 0.0 { wide(0, 0.0) } else { wide(1, 0.0) };
        Point::new(reach * v, cap * (1.0 - v.abs().powf(2.2)))
    }));
    for p in &mut outline {
        p.x += aim;
    }
    let plates = Plates::Butt(Butt {
        top: [Face::level(0.0); 2],
        bottom: Some([Face::level(-LANDING_MM); 2]),
        joint_line: Some([Point::default(), Point::new(0.0, -LANDING_MM)]),
        gap: 0.0,
    });
    Section::exact(plates, vec![Fused { side: Side::Only, outline, exact: true }])
}

impl Setting {
    /// A section of this setting.
    pub fn section(&self, coupon: &Off, rng: &mut ChaCha8Rng) -> Section {
        let own = off(rng);
        let mut side = |first: usize| {
            let at = |s: Scatter, i: usize| {
                s.mean + s.between * coupon[first + i] + s.within * own[first + i]
            };
            Fillet {
                angle: FRAC_PI_2,
                base_leg: at(self.base_leg, 0),
                upright_leg: at(self.upright_leg, 1),
                in_base: self.in_base,
                in_upright: self.in_upright,
                root: self.root,
                unfused: None,
                torch: at(self.torch_deg, 2).to_radians(),
                finger: at(self.finger, 3),
                half_width: at(self.half_width, 4),
                blunt: self.blunt,
                uneven: Uneven::of(0.012 * self.base_leg.mean, || rng.random_range(-1.0..1.0)),
                bulge: at(self.bulge, 5),
                lopsided: 0.1,
                undercut: None,
                lip: None,
            }
        };
        let right = side(0);
        let left = side(6);
        tee_of(&right, &left, UPRIGHT_MM, BASE_MM)
    }
}
