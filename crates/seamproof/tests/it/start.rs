//! The need of a joint, through the program: published values, what the codes refuse, and what a wrong field is told.

use crate::run::{Said, folder, seamproof};
use serde_json::Value;

const JOINT: &str = r#"joint = "tee"
base = "8 mm"
upright = "5 mm"
material = "1.4307"
sides = "both"
length = "150 mm"
[need]
load = "60 kN"
direction = "along"
code = "EN 1993-1-8"
"#;

/// The joint of the published rows: S355 with the tensile strength of EN 1993-1-1 Table 3.1, thick plates that do not
/// govern, full size to its ends so that 100 mm count whole.
fn published(load: &str, direction: &str, need: &str) -> String {
    format!(
        "joint = \"tee\"\nbase = \"30 mm\"\nupright = \"30 mm\"\nmaterial = \"S355\"\nsides = \"both\"\nlength = \"100 mm\"\n\
         full_size_to_ends = true\n[need]\nload = \"{load}\"\ndirection = \"{direction}\"\n{need}"
    )
}

fn ask(text: &str, args: &[&str]) -> Said {
    let place = folder(&[("joint.toml", text.as_bytes())]);
    // The need alone: what to try first is asked in `predict`.
    let mut all = vec!["start", "joint.toml", "--need-only"];
    all.extend(args);
    seamproof(place.path(), &all)
}

fn need(text: &str) -> Value {
    ask(text, &["--json"]).json()["need"].clone()
}

fn near(value: &Value, published: f64, digits: f64) {
    let got = value.as_f64().unwrap();
    assert!((got - published).abs() <= digits, "{got} against {published}");
}

const TABLE_31: &str = "code = \"EN 1993-1-8\"\nstrengths = \"EN 1993-1-1 Table 3.1\"\n";

/// EN 1993-1-8 4.5.3.3 (recalled): 2 x a4 x 100 mm of S355 with fu 490 carry 201.174 kN, so that load needs a throat of 4 mm.
#[test]
fn simplified_method() {
    let text = published("201.174 kN", "along", &format!("{TABLE_31}method = \"simplified\"\n"));
    let need = need(&text);
    near(&need["throat_mm"], 4.0, 0.5e-5 * 4.0);
    near(&need["resistance_n_per_mm"], 201_174.0 / 200.0, 0.1);
}

/// EN 1993-1-8 4.5.3.2 (recalled): 100 kN across the same use 0.40586 of it, so that load needs 0.40586 x 4 mm; and the
/// simplified method needs the root of 3/2 times as much (identity of the two clauses).
#[test]
fn directional_method() {
    let need = need(&published("100 kN", "across", TABLE_31));
    near(&need["throat_mm"], 0.40586 * 4.0, 0.5e-5 * 4.0);
    near(&need["least_throat_mm"], 3.0, 0.0);
    near(&need["specify_mm"], 3.0, 0.0);
    let far = published("400 kN", "across", TABLE_31);
    let far = ask(&far, &["--json"]).json()["need"].clone();
    near(&far["any_plane_mm"], far["specify_mm"].as_f64().unwrap() * 1.5_f64.sqrt(), 1e-9);
}

/// AISC Manual, equation 8-2 (recalled): a 1/4 in fillet of E70 carries 5.568 kip/in by LRFD; AWS D1.1 (recalled): 3.712 kip/in.
#[test]
fn american_codes() {
    let throat = 0.25 * 25.4 * 0.5_f64.sqrt();
    for (load, code) in [
        ("11.136 kip/in", "code = \"AISC 360\"\ndesign = \"LRFD\"\nelectrode = \"70 ksi\"\n"),
        ("7.424 kip/in", "code = \"AWS D1.1\"\nelectrode = \"70 ksi\"\n"),
    ] {
        let need = need(&published(load, "along", code));
        // Four published digits.
        near(&need["throat_mm"], throat, 1e-4 * throat);
    }
}

/// EN 1993-1-8 4.7.3 (recalled): as full penetration from a sum of throats of t and a land of t/5, at most 3 mm.
#[test]
fn two_sided_tee_as_full_penetration() {
    for (upright, sum, land) in [("5 mm", 5.0, 1.0), ("20 mm", 20.0, 3.0)] {
        let need = need(&JOINT.replace("upright = \"5 mm\"", &format!("upright = \"{upright}\"")));
        near(&need["as_full_penetration"]["least_sum_of_throats_mm"], sum, 1e-9);
        near(&need["as_full_penetration"]["greatest_land_mm"], land, 1e-9);
    }
}

/// EN 1993-1-8 4.12 (recalled): one weld, free to rotate about its axis: no resistance, and the answer is no.
#[test]
fn one_sided_and_free_to_rotate_is_given_no_resistance() {
    let one = JOINT.replace("\"both\"", "\"one\"");
    let free = one.replace("length", "restrained = false\nlength");
    let said = ask(&free, &[]);
    assert_eq!(said.code, 1, "{said:?}");
    assert!(said.out.contains("No throat will do: EN 1993-1-8 gives this joint no resistance"));
    let need = ask(&free, &["--json"]).json()["need"].clone();
    assert!(need["throat_mm"].is_null() && need["allowed"] == false, "{need}");
    let first = &need["refusals"][0];
    assert_eq!(first["effect"], "no resistance");
    assert!(first["clause"]["place"].as_str().unwrap().contains("4.12"), "{first}");
    assert_eq!(ask(&one.replace("length", "restrained = true\nlength"), &[]).code, 0);
    ask(&one, &[]).refuses(
        "joint.toml:5: restrained: the fillet is one-sided, and nothing says whether the joint is free to rotate about the weld's own axis",
        "answer `restrained`: yes when the parts hold the joint so that its root cannot open, no when the weld alone does",
    );
}

/// What no depth of fusion answers: EN 1993-1-8 4.1(1) parts of 4 mm and over, 4.5.1(2) length of 30 mm or 6a; aluminium.
/// All recalled. The answer is no, and each names its clause.
#[test]
fn what_the_code_refuses_however_deep_the_fusion() {
    for (from, to, clause) in [
        ("base = \"8 mm\"", "base = \"3.5 mm\"", "4.1(1)"),
        ("length = \"150 mm\"", "length = \"25 mm\"", "4.5.1"),
    ] {
        let text = JOINT.replace(from, to);
        let said = ask(&text, &["--json"]);
        assert_eq!(said.code, 1, "{to}: {said:?}");
        let refusals = said.json()["need"]["refusals"].as_array().unwrap().clone();
        let found = refusals.iter().any(|r| {
            r["effect"] != "condition" && r["clause"]["place"].as_str().unwrap().contains(clause)
        });
        assert!(found, "{to}: {refusals:?}");
    }
    let alloy = JOINT.replace("\"1.4307\"", "\"6082-T6\"").replace(
        "[need]",
        "[[metal]]\nname = \"6082-T6\"\nfamily = \"aluminium\"\nyield_strength = \"250 MPa\"\ntensile_strength = \"290 MPa\"\n[need]",
    );
    let said = ask(&alloy, &["--json"]);
    assert_eq!((said.code, &said.json()["need"]["throat_mm"]), (1, &Value::Null));
}

/// EN 1993-1-8 4.5.2(3) and AISC 360 J2.2a count depth of fusion, AWS D1.1 alone does not.
#[test]
fn whether_depth_counts_is_said() {
    let of = |code: &str| need(&published("60 kN", "along", code))["penetration_counts_by"].clone();
    let en = of(TABLE_31);
    assert_eq!(en["counts"], true);
    assert!(en["condition"].as_str().unwrap().contains("4.5.2(3)"));
    let aisc = of("code = \"AISC 360\"\ndesign = \"ASD\"\nelectrode = \"70 ksi\"\n");
    assert!(aisc["condition"].as_str().unwrap().contains("J2.2a"), "{aisc}");
    assert_eq!(of("code = \"AWS D1.1\"\nelectrode = \"70 ksi\"\n")["counts"], false);
}

/// A file without a load is understood, and says what is missing.
#[test]
fn without_a_load_there_is_no_need() {
    let (joint, _) = JOINT.split_once("[need]").unwrap();
    let said = ask(joint, &[]);
    assert_eq!(said.code, 0);
    assert!(
        said.out.contains("No load is given") && said.out.contains("next: add [need]"),
        "{said:?}"
    );
    assert!(ask(joint, &["--json"]).json()["need"].is_null());
}

#[test]
fn the_same_joint_in_inches_needs_the_same() {
    let inches = JOINT
        .replace("\"8 mm\"", "\"8/25.4 in\"")
        .replace("\"150 mm\"", "\"5.905511811 in\"")
        .replace("\"60 kN\"", "\"13.48853657 kip\"");
    let inches = inches.replace("\"8/25.4 in\"", "\"0.31496063 in\"");
    let (a, b) = (need(JOINT), need(&inches));
    near(&b["throat_mm"], a["throat_mm"].as_f64().unwrap(), 1e-7);
}

#[test]
fn a_wrong_field_is_told_what_would_be_right() {
    let next_direction = "write \"along\" the weld, \"across\" it in the base plane, \"upright\" (butt: \"through\" the thickness), or its parts [x, y, z] along these three";
    for (from, to, fact, next) in [
        (
            "\"8 mm\"",
            "\"8\"",
            "joint.toml:2: base: \"8\" has no unit",
            "write the unit after it: mm, in, µm, thou, m or ft",
        ),
        (
            "\"8 mm\"",
            "\"0 mm\"",
            "joint.toml:2: base: 0 mm is no length that a part can have",
            "give a length above nothing, such as \"8 mm\"",
        ),
        (
            "base = \"8 mm\"\n",
            "",
            "joint.toml: base: the field 'base' is missing",
            "give the thickness of the tee's base: base = \"8 mm\"",
        ),
        (
            "\"tee\"",
            "\"edge\"",
            "joint.toml:1: joint: 'edge' is no kind of joint whose need is worked out",
            "write \"tee\", \"lap\", \"butt\" or \"bead\"; an inside corner is a \"tee\" welded on one side",
        ),
        (
            "\"tee\"",
            "\"butt\"",
            "joint.toml:2: base: 'base' says nothing about a butt",
            "a butt or bead has plate; leave this out, or correct 'joint'",
        ),
        (
            "base = \"8 mm\"",
            "base = 8",
            "joint.toml:2: base: the number 8 stands here, and a text in double quotes belongs here",
            "give the plate's thickness with its unit as text, such as \"8 mm\"",
        ),
        (
            "\"60 kN\"",
            "\"60\"",
            "joint.toml:8: need.load: \"60\" has no unit",
            "write a force on the whole length, such as \"60 kN\", or a load per length, such as \"0.6 kN/mm\"",
        ),
        (
            "\"along\"",
            "\"sideways\"",
            "joint.toml:9: need.direction: 'sideways' is no direction of a tee's load",
            next_direction,
        ),
        (
            "\"along\"",
            "[1, 0]",
            "joint.toml:9: need.direction: 2 number(s) stand here, and 3 are needed",
            next_direction,
        ),
        (
            "\"along\"",
            "[0, 0, 0]",
            "joint.toml:9: need.direction: the load's parts [0.0, 0.0, 0.0] give no direction",
            "give the load's parts along the weld, across it and along the upright, at least one of them not zero",
        ),
        (
            "\"EN 1993-1-8\"",
            "\"AISC 360\"",
            "joint.toml: need.electrode: the field 'need.electrode' is missing",
            "give the classification strength of the filler: electrode = \"70 ksi\"",
        ),
        (
            "\"1.4307\"",
            "\"P91\"",
            "joint.toml:4: material: the tables have no strengths for 'P91'",
            "known: S235, S275, S355, S420N, S420M, S460N, S460M, 1.4301, 1.4307, 1.4404, A36, A572 Grade 50, A992; for another add [[metal]] with name = \"P91\", family, yield_strength and tensile_strength",
        ),
        (
            "\"150 mm\"",
            "\"150 km\"",
            "joint.toml:6: length: \"km\" is not a unit that is known here",
            "lengths are written in mm, in, µm, thou, m or ft",
        ),
    ] {
        assert!(JOINT.contains(from));
        let said = ask(&JOINT.replacen(from, to, 1), &[]);
        if to == "\"150 km\"" {
            assert!(said.err.starts_with(fact), "{said:?}");
            assert_eq!(said.code, 2);
            continue;
        }
        said.refuses(fact, next);
    }
}

/// What would be ignored or contradicts itself is refused.
#[test]
fn fields_that_clash_are_refused() {
    let american = JOINT.replace("1.4307", "A36").replace(
        "code = \"EN 1993-1-8\"",
        "code = \"AISC 360\"\ndesign = \"LRFD\"\nelectrode = \"100 ksi\"",
    );
    ask(&american.replace("length", "filler = \"E70\"\nlength"), &[]).refuses(
        "joint.toml:13: need.electrode: the electrode is given as 100 ksi, and E70xx is of the 70 ksi class",
        "correct the one that is wrong",
    );
    ask(&format!("{american}gamma_m2 = 1.0\n"), &[]).refuses(
        "joint.toml: need.gamma_m2: partial factors are nothing that AISC 360 asks",
        "leave gamma_m2 and gamma_m0 out",
    );
    let own = "[[metal]]\nname = \"own\"\nfamily = \"structural steel\"\nyield_strength = \"250 MPa\"\ntensile_strength = \"400 MPa\"\n[need]";
    ask(&JOINT.replace("[need]", own), &[]).refuses(
        "joint.toml:7: metal.name: no part is made of 'own'",
        "name it as material of a part, or leave the [[metal]] out",
    );
}

/// The example of the help is a joint file that is understood.
#[test]
fn the_help_of_start_shows_a_file_that_is_understood() {
    let empty = folder(&[]);
    let help = seamproof(empty.path(), &["start", "--help"]).out;
    let (_, example) = help.split_once("A joint file:\n").unwrap();
    let (example, _) = example.split_once("Besides:").unwrap();
    let said = ask(example, &[]);
    // 60 kN on 100 mm are more than the upright itself carries: understood, and the answer is no.
    assert_eq!((said.code, said.err.as_str()), (1, ""), "{said:?}");
    assert!(said.out.contains("114 %"), "{said:?}");
}

/// A thousandfold is a thousandfold whoever writes it: the file is read with a decimal point, and asks.
#[test]
fn a_point_that_could_be_a_thousands_mark_is_asked_about() {
    let remarks = |text: &str| ask(text, &["--json"]).json()["remarks"].clone();
    assert_eq!(remarks(JOINT), Value::Array(Vec::new()));
    let said = remarks(&JOINT.replace("60 kN", "60.000 N"));
    assert_eq!(
        said[0],
        "need.load: '60.000 N' is read with a decimal point, not as 60000 N: if thousands were meant, write 60000 N"
    );
    // 0.315 in and 60.5 kN cannot be meant so.
    for (from, to) in [("60 kN", "60.5 kN"), ("8 mm", "0.315 in"), ("60 kN", "60000 N")] {
        assert_eq!(remarks(&JOINT.replace(from, to)), Value::Array(Vec::new()), "{to}");
    }
    let page = ask(&JOINT.replace("60 kN", "60.000 N"), &[]);
    assert!(page.out.contains("if thousands were meant"), "{page:?}");
}

#[test]
fn an_electrode_in_the_wrong_unit_is_asked_about() {
    let american = |electrode: &str| {
        JOINT.replace("1.4307", "S355").replace(
            "code = \"EN 1993-1-8\"",
            &format!("code = \"AWS D1.1\"\nelectrode = \"{electrode}\""),
        )
    };
    let remarks = |text: &str| ask(text, &["--json"]).json()["remarks"].clone();
    assert_eq!(remarks(&american("70 ksi")), Value::Array(Vec::new()));
    let said = remarks(&american("70 MPa"));
    assert!(said[0].as_str().unwrap().starts_with("need.electrode: 70 MPa is no usual strength"));
}

#[test]
fn fields_that_mean_nothing_are_refused_by_name() {
    ask(&JOINT.replace("[need]", "along_an_edge = true\n[need]"), &[]).refuses(
        "joint.toml:7: along_an_edge: 'along_an_edge' says nothing about a tee",
        "a tee or lap has base and upright; leave this out",
    );
    let steel = JOINT.replace("1.4307", "S355");
    ask(&steel.replace("[need]", "product = \"cold-rolled strip\"\n[need]"), &[]).refuses(
        "joint.toml:7: product: 'product' tells the products of a stainless grade of the tables apart, and no part is of one",
        "leave it out, or correct the material",
    );
    let aws = steel.replace(
        "code = \"EN 1993-1-8\"",
        "code = \"AWS D1.1\"\nelectrode = \"70 ksi\"\nmethod = \"directional\"",
    );
    ask(&aws, &[]).refuses(
        "joint.toml:12: need.method: 'method' is nothing that AWS D1.1 asks",
        "leave it out",
    );
}
