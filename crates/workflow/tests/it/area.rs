//! Setup files of any bytes: answered or refused, and what is answered is finite and can be drawn.

use super::{change, changed, helpful, random};
use proptest::collection::vec;
use proptest::prelude::*;
use workflow::area::{from_text, plan::drawing};

/// A setup file that uses every field.
const SETUP: &str = r#"power = "2 kW"
wavelength = "1070 nm"
divergence = "2 mrad"
beam_diameter = "5 mm"
focal_length = "150 mm"
beam_at_lens = "10 mm"
widths_at = "1/e2"
exposure = "100 s"
reflectance = "60 %"
viewing_angle = "10 deg"
diffuse_source = "3 mm"
torch_height = "1 m"
[fibre]
na = 0.12
[pulse]
duration = "2 ms"
frequency = "50 Hz"
peak_power = "3 kW"
[pilot]
power = "1 mW"
wavelength = "650 nm"
exposure = "0.25 s"
[work]
mirrored = 0.6
shape = "tube"
radius = "25 mm"
beam_on_work = "2 mm"
[eyewear]
marking = "900-1080 D LB9 + IR LB8"
spot = "5 mm"
at = "0.6 m"
luminous_transmittance = 0.25
[arc]
process = "GMAW"
current = "180 A"
[room]
width = "6 m"
depth = "4 m"
height = "3 m"
torch = ["2 m", "1.6 m"]
[[door]]
name = "yard"
from = ["6 m", "1 m"]
to = ["6 m", "2.2 m"]
interlocked = false
[[window]]
from = ["0 m", "2.4 m"]
to = ["0 m", "3.4 m"]
[[curtain]]
from = ["2.6 m", "3.4 m"]
to = ["6 m", "3.4 m"]
height = "2.2 m"
bottom_gap = "50 mm"
rating = [{ stands = "120 W/cm2", time = "100 s" }, { stands = "30 W/cm2", time = "600 s" }]
[[curtain]]
distance = "2 m"
height = "2.2 m"
[gas]
kind = "argon"
flow = "20 l/min"
leak = "0.1 l/min"
room = "50 m3"
air_changes = "0.4 /h"
cylinder = "11 m3"
[fume]
parent = "stainless steel"
wire = "stainless flux-cored"
hood = ["0.3 m", "0.3 m"]
hood_distance = "0.3 m"
flanged = true
velocity = "0.7 m/s"
[signed]
by = "the officer"
date = "2026-11-25"
fingerprint = "0123456789ab"
[paper]
site = "Hollin Ferry Works"
author = "the welding shop"
officer = "the officer"
date = "2026-11-25"
title = "Bay 2"
invented = true
"#;

fn setup(text: &str) {
    match from_text("f".to_owned(), text) {
        Ok(area) => {
            let out = &area.out;
            for v in [
                Some(out.mpe_eye_w_per_m2),
                Some(out.mpe_skin_w_per_m2),
                out.nohd_m,
                out.hazard_beyond_focus_m,
                out.hazard_from_lens_m,
                out.fibre_end_m,
                out.far_side_m,
                out.mirrored_m,
                Some(out.diffuse_hazard_m),
                Some(out.diffuse_skin_m),
                Some(out.needed_od_whole_beam),
                out.oxygen_percent_steady,
                out.oxygen_percent_after_1h,
                out.oxygen_percent_cylinder_emptied,
            ]
            .into_iter()
            .flatten()
            {
                assert!(v.is_finite() && v >= 0.0, "{v}\n{text}");
            }
            assert!(!out.says.cautions.is_empty() && out.says.answers.len() == 4);
            for words in out.says.answers.iter().flatten().chain(&out.against) {
                assert!(!words.contains("NaN") && !words.contains("no value"), "{words}\n{text}");
            }
            if let Some(svg) = drawing(&area) {
                assert!(!svg.as_str().contains("NaN"));
            }
        }
        Err(refusal) => helpful(&refusal, text),
    }
}

/// The seed of the cases below is answered as it is.
#[test]
fn the_unchanged_setup_is_answered() {
    let area = from_text("f".to_owned(), SETUP).unwrap();
    assert!(area.out.nohd_m.is_some() && area.out.en207_pulsed.is_some());
    assert_eq!(area.out.changed_since_signed, Some(true));
    assert_eq!(area.setup.line("eyewear.marking"), Some(29));
    assert!(drawing(&area).is_some());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 10_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn changed_setups_are_answered_or_refused(changes in vec(change(), 1..8)) {
        setup(&changed(SETUP, &changes));
    }

    #[test]
    fn random_setups_are_refused(text in random()) {
        setup(&text);
        setup(&format!("power = \"1 kW\"\nwavelength = \"1070 nm\"\n{text}"));
    }
}
