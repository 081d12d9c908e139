//! Setup files of any bytes, and the settings that they name: answered or refused, and what is answered is finite and can be drawn.

use super::{change, changed, helpful, random};
use proptest::collection::vec;
use proptest::prelude::*;
use workflow::area::{Area, from_text, plan::drawing};
use workflow::refusal::Refusal;
use workflow::wire::setting::setting_from_toml;

/// A setup file that uses every field.
const SETUP: &str = r#"setting = "frozen.toml"
power = "2 kW"
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
confirmed = "letter of 2026-10-02"
[arc]
process = "GMAW"
current = "180 A"
[room]
width = "6 m"
depth = "4 m"
height = "3 m"
torch = ["2 m", "1.6 m"]
[[torch]]
at = ["3 m", "2 m"]
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
setting = "frozen.toml"
power = "1.8 kW"
wavelength = "1070 nm"
divergence = "2 mrad"
focal_length = "150 mm"
beam_at_lens = "10 mm"
[paper]
site = "Hollin Ferry Works"
author = "the welding shop"
officer = "the officer"
date = "2026-11-25"
title = "Bay 2"
invented = true
"#;

/// A setting that says everything of its beam.
const SETTING: &str = r#"process = "521"
power = "1.6 kW"
spot = "120 um"
m2 = 3
wavelength = "1070 nm"
divergence = "2 mrad"
focal_length = "150 mm"
beam_at_lens = "10 mm"
travel = "8 mm/s"
gas = "argon"
[wobble]
pattern = "line"
width = "1.5 mm"
frequency = "60 Hz"
[wire]
diameter = "1.6 mm"
count = 2
feed = "travel"
"#;

fn answered(text: &str) -> Result<Area, Refusal> {
    from_text("f".to_owned(), text, &|_| Ok(SETTING.to_owned()))
}

fn setup(text: &str) {
    judged(answered(text), text);
}

fn judged(answered: Result<Area, Refusal>, text: &str) {
    match answered {
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
    let area = answered(SETUP).unwrap();
    assert!(area.out.nohd_m.is_some() && area.out.en207_pulsed.is_some());
    assert_eq!(area.out.changed_since_signed, Some(true));
    assert_eq!(area.setup.line("eyewear.marking"), Some(30));
    assert!(drawing(&area).is_some());
}

/// By construction: what is left blank is the setting's, at 1/e², and everything comes out as if it had been written.
#[test]
fn a_setting_lends_what_the_setup_leaves_blank() {
    let lent = answered("setting = \"frozen.toml\"\n").unwrap().out;
    let written = answered(
        "power = \"1.6 kW\"\nwavelength = \"1070 nm\"\nfocal_length = \"150 mm\"\nbeam_at_lens = \"10 mm\"\n\
         divergence = \"2 mrad\"\nwidths_at = \"1/e2\"\n",
    )
    .unwrap()
    .out;
    assert_eq!(lent.power_w, 1600.0);
    assert_eq!(lent.nohd_m, written.nohd_m);
    assert_eq!(lent.hazard_beyond_focus_m, written.hazard_beyond_focus_m);
    assert_eq!(lent.needed_od_whole_beam, written.needed_od_whole_beam);
    let setting = lent.setting.unwrap();
    assert_eq!(
        setting.taken,
        ["power", "wavelength", "divergence", "focal_length", "beam_at_lens"]
    );
    assert!(lent.taken.iter().any(|t| t.contains("the laser may be set higher")));
    // The setup's own width at 1/e beside the setting's lens at 1/e²: each by its own.
    let own = answered("setting = \"frozen.toml\"\ndivergence = \"1 mrad\"\n").unwrap().out;
    assert_eq!(own.hazard_beyond_focus_m, written.hazard_beyond_focus_m);
    assert!(
        own.against.iter().any(|a| a.starts_with("divergence is 1 mrad in the setup and 2 mrad"))
    );
}

/// A greater power is the laser's greatest; a smaller one leaves the setting without its area.
#[test]
fn a_setting_beyond_its_area_speaks_against_it() {
    let greater = answered("setting = \"frozen.toml\"\npower = \"2 kW\"\n").unwrap().out;
    // What else is missing speaks against both.
    let of_setting = |out: workflow::area::AreaOut| -> Vec<String> {
        out.against.into_iter().filter(|a| a.contains("setting '")).collect()
    };
    assert_eq!((greater.power_w, of_setting(greater).len()), (2000.0, 0));
    let smaller = answered("setting = \"frozen.toml\"\npower = \"1 kW\"\n").unwrap().out;
    assert_eq!(
        of_setting(smaller),
        [
            "power is 1000 W in the setup and 1600 W in the setting 'frozen.toml': correct the one that is wrong"
        ]
    );
}

/// What the plan rests on changes its fingerprint; what else a setting says does not.
#[test]
fn a_setting_that_changed_since_the_plan_was_signed_is_told() {
    let with = |setting: &str, signed: &str| {
        let text = format!("setting = \"frozen.toml\"\n{signed}");
        from_text("f".to_owned(), &text, &|_| Ok(setting.to_owned())).unwrap().out
    };
    let print = with(SETTING, "").fingerprint;
    let signed = format!(
        "[signed]\nby = \"M. Okafor\"\ndate = \"2026-11-26\"\nfingerprint = \"{print}\"\npower = \"1.6 kW\"\n\
         wavelength = \"1070 nm\"\ndivergence = \"2 mrad\"\nfocal_length = \"150 mm\"\nbeam_at_lens = \"10 mm\"\n"
    );
    for same in ["travel = \"8 mm/s\"", "power = \"1.6 kW\""] {
        let other =
            if same.starts_with('t') { "travel = \"9 mm/s\"" } else { "power = \"1600 W\"" };
        let out = with(&SETTING.replace(same, other), &signed);
        assert_eq!((out.changed_since_signed, out.beam_changed.len()), (Some(false), 0), "{other}");
    }
    let out = with(&SETTING.replace("1.6 kW", "1.8 kW"), &signed);
    assert_eq!(out.changed_since_signed, Some(true));
    assert_eq!(out.beam_changed, ["power was 1600 W, is 1800 W"]);
    assert!(
        out.against.iter().any(|a| a.starts_with(
            "the setup has changed since M. Okafor signed (power was 1600 W, is 1800 W): the plan then was "
        )),
        "{:?}",
        out.against
    );
    let gone = with(&SETTING.replace("beam_at_lens = \"10 mm\"\n", ""), &signed);
    assert_eq!(gone.beam_changed, ["beam at lens was 10 mm, is not said"]);
}

/// What a prediction asks of a setting moves no distance: spot, M², wobble, travel and wire say nothing of the area.
#[test]
fn no_distance_moves_with_what_predicts_the_weld() {
    let with = |setting: &str| {
        let text = "setting = \"frozen.toml\"\n";
        serde_json::to_value(
            from_text("f".to_owned(), text, &|_| Ok(setting.to_owned())).unwrap().out,
        )
        .unwrap()
    };
    let before = with(SETTING);
    for (from, to) in [
        ("120 um", "400 um"),
        ("m2 = 3", "m2 = 9"),
        ("8 mm/s", "2 mm/s"),
        ("\"1.5 mm\"", "\"3 mm\""),
        ("60 Hz", "200 Hz"),
        ("count = 2", "count = 1"),
        ("\"line\"", "\"circle\""),
    ] {
        assert_ne!(SETTING.replace(from, to), SETTING, "{from}");
        assert_eq!(with(&SETTING.replace(from, to)), before, "{from} to {to}");
    }
}

#[test]
fn a_setting_that_lends_nothing_is_refused_at_the_field_that_names_it() {
    let with = |setting: Result<&str, &str>| {
        let find = |_: &str| match setting {
            Ok(text) => Ok(text.to_owned()),
            Err(fact) => Err(Refusal::new(fact, "check the name and the folder")),
        };
        from_text("f".to_owned(), "exposure = \"100 s\"\nsetting = \"a.toml\"\n", &find)
            .unwrap_err()
            .to_string()
    };
    assert_eq!(
        with(Err("there is no such file")),
        "f:2: setting: there is no such file\n  next: check the name and the folder"
    );
    let arc = "process = \"135\"\ncurrent = \"180 A\"\nvoltage = \"24 V\"\ntravel = \"6 mm/s\"\n[wire]\ndiameter = \"1 mm\"\nfeed = \"8 m/min\"\n";
    assert!(
        with(Ok(arc))
            .starts_with("f:2: setting: the setting 'a.toml' is an arc's, and has no beam")
    );
    let bad = with(Ok("power = \"1.6\"\n"));
    assert!(bad.starts_with("f:2: setting: the setting 'a.toml'"), "{bad}");
    let none = answered("exposure = \"100 s\"\n").unwrap_err().to_string();
    assert!(
        none.starts_with("f: power: the field 'power' is missing") && none.contains("setting = "),
        "{none}"
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 10_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn changed_setups_are_answered_or_refused(changes in vec(change(), 1..8)) {
        setup(&changed(SETUP, &changes));
    }

    /// The setting is of any bytes, and lends what it can.
    #[test]
    fn changed_settings_are_answered_or_refused(changes in vec(change(), 1..8)) {
        let setting = changed(SETTING, &changes);
        if let Err(refusal) = setting_from_toml("f", &setting) {
            helpful(&refusal, &setting);
        }
        let text = "setting = \"frozen.toml\"\n";
        judged(from_text("f".to_owned(), text, &|_| Ok(setting.clone())), &setting);
    }

    #[test]
    fn random_setups_are_refused(text in random()) {
        setup(&text);
        setup(&format!("power = \"1 kW\"\nwavelength = \"1070 nm\"\n{text}"));
    }
}
