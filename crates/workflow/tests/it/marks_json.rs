//! Marks go to a page and come back as what they were.

use crate::READING;
use serde_json::{Value, json};
use workflow::wire::marks_json::{to_json, to_text};
use workflow::wire::reading_from_toml;

#[test]
fn a_reading_file_that_went_to_a_page_and_back_asks_the_same() {
    let page = to_json("a.toml", READING).unwrap();
    assert_eq!(page["fused"][0]["points"][0], json!([655, 268]));
    assert_eq!(page["scale"][0]["length"], "100 um");
    let back = to_text(&page).unwrap();
    let [was, is] = [READING, back.as_str()].map(|t| reading_from_toml("a.toml", t).unwrap());
    // Lines move, marks do not.
    assert_eq!(format!("{:?}", is.marks), format!("{:?}", was.marks));
    assert_eq!((is.photo, is.coupon, is.section), (was.photo, was.coupon, was.section));
    assert_eq!((is.scale_id, is.reading, is.reader), (was.scale_id, was.reading, was.reader));
    // A second time changes nothing.
    assert_eq!(to_text(&to_json("a.toml", &back).unwrap()).unwrap(), back);
}

/// A browser writes 268.0 as 268 and any other number with the digits that tell it apart: 17 are enough for all.
#[test]
fn a_point_that_was_moved_is_saved_to_the_last_digit() {
    let mut page = to_json("a.toml", READING).unwrap();
    page["fused"][0]["points"][1] = serde_json::from_str("[700.123456789012345, 0.1]").unwrap();
    page["fused"][0]["hold"] = Value::Null;
    let asked = reading_from_toml("a.toml", &to_text(&page).unwrap()).unwrap();
    let fused = &asked.marks.outlines[0];
    let x: f64 = "700.123456789012345".parse().unwrap();
    assert_eq!(fused.points[1], [x, 0.1]);
    assert!(fused.hold.is_empty());
}

/// 10 000 random values: a text, or a refusal.
#[test]
fn wild_json_is_a_text_or_refused() {
    let mut state = 3_u64;
    let mut below = |n: u64| {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) % n
    };
    fn any(below: &mut impl FnMut(u64) -> u64, depth: u32) -> Value {
        let names = ["photo", "scale", "points", "a b", "", "\u{7}", "x.y"];
        match below(if depth == 0 { 6 } else { 8 }) {
            0 => Value::Null,
            1 => below(2).eq(&0).into(),
            2 => (below(1000) as f64 / 7.0).into(),
            3 => (u64::MAX - below(3)).into(),
            4 => "1979-05-27\n\u{1f600}\"\\".into(),
            5 => i64::MIN.into(),
            6 => (0..below(4)).map(|_| any(below, depth - 1)).collect(),
            _ => {
                let mut object = serde_json::Map::new();
                for _ in 0..below(4) {
                    let name = names[below(7) as usize].to_owned();
                    object.insert(name, any(below, depth - 1));
                }
                object.into()
            }
        }
    }
    let (mut taken, mut refused) = (0, 0);
    for _ in 0..10_000 {
        let mut object = serde_json::Map::new();
        object.insert("fused".to_owned(), any(&mut below, 3));
        match to_text(&object.into()) {
            Ok(text) => {
                taken += 1;
                let back = to_json("x", &text).unwrap();
                assert_eq!(to_text(&back).unwrap(), text);
            }
            Err(refusal) => {
                refused += 1;
                assert!(!refusal.fact.is_empty() && !refusal.advice.is_empty());
            }
        }
    }
    assert!(taken > 1000 && refused > 100, "{taken} taken, {refused} refused");
    assert!(to_text(&json!([1])).is_err());
}
