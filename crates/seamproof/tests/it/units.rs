//! `units`: one value in every usual unit, or why not.

use crate::run::{folder, seamproof};

/// By hand: 1 in = 25.4 mm exactly (design section 3).
#[test]
fn shop_notation_is_converted() {
    let empty = folder(&[]);
    // 18 x 25.4 / 60 = 7.62 mm/s; 5/16 x 25.4 = 7.9375; 0.035 x 25.4 = 0.889; 0.080 x 25.4 = 2.032; 350 / 60 = 5.8333.
    for (text, kind, first, unit) in [
        ("18 ipm", "speed", 7.62, "mm/s"),
        ("5/16 in", "length", 7.9375, "mm"),
        (".035\"", "length", 0.889, "mm"),
        ("80 thou", "length", 2.032, "mm"),
        ("35 cm/min", "speed", 350.0 / 60.0, "mm/s"),
        ("1,2 mm", "length", 1.2, "mm"),
        ("-3 mm", "length", -3.0, "mm"),
    ] {
        let said = seamproof(empty.path(), &["units", "--json", text]);
        assert_eq!(said.code, 0, "{text}: {said:?}");
        let json = said.json();
        assert_eq!((json["text"].as_str(), json["kind"].as_str()), (Some(text), Some(kind)));
        let value = &json["values"][0];
        assert_eq!(value["unit"], unit, "{text}");
        let got = value["value"].as_f64().unwrap();
        assert!((got - first).abs() <= 1e-12 * first.abs(), "{text}: {got}");
    }
}

#[test]
fn units_are_printed_for_people() {
    let empty = folder(&[]);
    let said = seamproof(empty.path(), &["units", "5/16", "in"]);
    insta::assert_snapshot!(said.out, @r"
    5/16 in is a length:
      7.9375 mm
      0.3125 in
      7937.5 µm
      312.5 thou
      0.0079375 m
      0.0260417 ft
      on the inch rule 5/16 in
    ");
    let said = seamproof(empty.path(), &["units", "12 deg"]);
    assert!(said.out.starts_with("12 deg is an angle:\n"), "{said:?}");
}

#[test]
fn what_can_be_read_in_two_ways_is_refused_with_both() {
    let empty = folder(&[]);
    for (text, fact, next) in [
        ("1,200 mm", "1,200 mm could be 1.2 mm or 1200 mm", "write 1.2 mm or 1200 mm"),
        (
            "6",
            "\"6\" has no unit",
            "write the unit after it: mm, in, mm/s, in/min, kW or MPa, for example",
        ),
        (
            "35 cm/min (18 ipm)",
            "35 cm/min is 13.78 in/min, not 18 ipm",
            "correct the one that is wrong, or write only one of them",
        ),
    ] {
        seamproof(empty.path(), &["units", text]).refuses(fact, next);
    }
}
