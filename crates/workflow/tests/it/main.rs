//! What comes from outside is never trusted: reading files and tables of any bytes are read or refused, with a fact and a
//! next action, and never crash.

#![allow(
    clippy::unwrap_used,
    reason = "all of this is tests: the lint knows only functions marked as one"
)]

mod area;
mod marks_json;
mod study;

use proptest::collection::vec;
use proptest::prelude::*;
use workflow::refusal::Refusal;
use workflow::table::read_table;
use workflow::wire::claim_file::{From, claim_from_toml};
use workflow::wire::reading_from_toml;

/// A reading file that uses every field.
pub(crate) const READING: &str = r#"photo = "a1.jpg"
joint = "tee"
etched = true
coupon = "A"
section = 1
scale_id = "stand 1"
reading = 2
reader = "M. Dunne"
[[scale]]
from = [54, 1129]
to = [369, 1129.5]
length = "100 um"
read = "inside"
u = "0.5 %"
[[scale]]
per_pixel = "2.5 um"
[[scale]]
from = [1, 2]
to = [3, 400]
thickness = "5.02 mm"
along = [[1, 2], [300, 4]]
[plates]
base = [[10, 260], [1590, 240]]
upright_left = [[10, 26], [15, 240]]
upright_right = [[110, 26], [115, 240]]
upright_thickness = "3/16 in"
base_thickness = "8 mm"
gap = "0.2 mm"
metal = [5, 6]
[[fused]]
side = "left"
points = [[655, 268], [700, 560], [900, 560], [935, 262]]
hold = [2, 0]
trace = "guided"
[[fused]]
side = "right"
points = [
  [655, 268],
  [700, 560],
  [900, 560],
]
trace = "straight"
[[pore]]
points = [[1, 1], [2, 1], [2, 2]]
[[crack]]
points = [[1, 1], [2, 1e2]]
[cut]
yaw = "12 deg"
pitch = "-1 deg"
[straighten]
corners = [[1, 2], [500, 2], [500, 400], [1, 400]]
size = ["50 mm", "40 mm"]
[camera]
held = "hand"
lens_within = "1 %"
"#;

/// A joint file that uses every field that a tee has.
const JOINT: &str = r#"joint = "tee"
base = "8 mm"
upright = "3/16 in"
angle = "95 deg"
gap = "0.2 mm"
material = "1.4301"
base_material = "own"
product = "cold-rolled strip"
filler = "19 9 L Si"
sides = "one"
restrained = true
length = "100 mm"
full_size_to_ends = false
leg = "5 mm"
[[metal]]
name = "own"
family = "structural steel"
yield_strength = "36 ksi"
tensile_strength = "400 MPa"
[need]
load = "0.1 kN/mm"
direction = [1, 0.5, -2e-1]
code = "EN 1993-1-8"
method = "directional"
strengths = "product standard"
gamma_m2 = 1.25
gamma_m0 = 1.0
"#;

/// A claim file that uses every field but `readings`.
const CLAIM: &str = r#"question = """Does it carry
what it must?"""
joint = "joint.toml"
sections = ["a1.toml", "a2.toml",
  "b/b1.toml"]
value = "effective_throat"
content = "95 %"
confidence = 0.9
need = "1/8 in"
shared_u = "1 %"
sides = "least"
frozen = true
[[left_out]]
coupon = "A"
section = 3
weld = "left"
reason = "cut lost"
[[left_out]]
section = "9b"
reason = "Etch-Failed"
[population]
operators = "two"
machine = "L-02"
material_heats = "4471-B"
position = "PB"
setting = "S-07"
length = "all but 25 mm at both ends"
[paper]
customer = "Hollin Ferry Works"
author = "the shop"
date = "2026-11-25"
units = "in"
title = "Throat"
study = "step"
edition = 2
invented = true
walked_on = false
"#;

const TABLE: &str = "\u{feff}coupon;section;weld;effective_throat_mm;effective_throat_mm_u;effective_throat_mm_u_shared;\
penetrated_throat_mm;scale_id;reading;reader;reason;photo\r\n\
A;1;left;3,1;0,05;0,01;3,2;s1;1;MD;;a1.jpg\r\nA;2;left;;;;;s1;1;MD;cut lost;a2.jpg\r\n\
A;1;right;3.5 mm;;;1/8 in;s1;1;MD;;\"a1;1.jpg\"\r\nB;1;joint;;;;;;;;;\r\n";

/// Pieces that mean something to one of the two readers.
const PIECES: [&str; 30] = [
    "\"",
    "'",
    "\"\"\"",
    "[[",
    "]]",
    "[",
    "]",
    "{",
    "}",
    "=",
    ",",
    ";",
    "\t",
    "\r",
    "\n",
    "\u{feff}",
    "\0",
    "#",
    "\\u",
    "nan",
    "-inf",
    "1e999",
    "-",
    ".",
    "fused",
    "1,200 mm",
    "½",
    "99999999999999999999",
    "\u{1F600}",
    "2026-01-01",
];

/// One change to a text's bytes.
#[derive(Clone, Debug)]
enum Change {
    Put(usize, u8),
    Add(usize, usize),
    Cut(usize, usize),
    Copy(usize, usize, usize),
}

fn change() -> impl Strategy<Value = Change> {
    prop_oneof![
        (any::<usize>(), any::<u8>()).prop_map(|(at, byte)| Change::Put(at, byte)),
        (any::<usize>(), 0..PIECES.len()).prop_map(|(at, piece)| Change::Add(at, piece)),
        (any::<usize>(), 1..40_usize).prop_map(|(at, long)| Change::Cut(at, long)),
        (any::<usize>(), any::<usize>(), 1..60_usize).prop_map(|(a, b, n)| Change::Copy(a, b, n)),
    ]
}

fn changed(text: &str, changes: &[Change]) -> String {
    let mut bytes = text.as_bytes().to_vec();
    for change in changes {
        let n = bytes.len() + 1;
        match *change {
            Change::Put(at, byte) => {
                if let Some(b) = bytes.get_mut(at % n) {
                    *b = byte;
                }
            }
            Change::Add(at, piece) => {
                let at = at % n;
                bytes.splice(at..at, PIECES[piece].bytes());
            }
            Change::Cut(at, long) => {
                let at = at % n;
                bytes.drain(at..(at + long).min(n - 1));
            }
            Change::Copy(from, to, long) => {
                let from = from % n;
                let piece = bytes[from..(from + long).min(n - 1)].to_vec();
                let to = to % n;
                bytes.splice(to..to, piece);
            }
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

/// Bytes, or pieces that mean something, one after the other.
fn random() -> impl Strategy<Value = String> {
    prop_oneof![
        vec(any::<u8>(), 0..300).prop_map(|bytes| String::from_utf8_lossy(&bytes).into_owned()),
        vec((0..PIECES.len()).prop_map(|i| PIECES[i]), 0..60).prop_map(|pieces| pieces.concat()),
    ]
}

fn helpful(refusal: &Refusal, text: &str) {
    assert!(!refusal.fact.trim().is_empty() && !refusal.advice.trim().is_empty(), "{refusal:?}");
    assert_eq!(refusal.file.as_deref(), Some("f"), "{refusal:?}");
    let lines = 1 + text.bytes().filter(|b| *b == b'\n').count();
    assert!(refusal.line.is_none_or(|line| (1..=lines).contains(&line)), "{refusal:?}");
    assert!(!refusal.to_string().contains("untagged"), "{refusal}");
}

fn claim_file(text: &str) {
    match claim_from_toml("f", text) {
        Ok(file) => {
            assert!((0.5..=0.9999).contains(&file.asked.content));
            assert!(file.lines.iter().all(|(_, line)| *line <= 1 + text.matches('\n').count()));
            if let From::Sections(names) = &file.from {
                assert!(!names.is_empty());
            }
            if let Some(paper) = &file.paper {
                assert!(paper.date.words().is_ok(), "{:?}", paper.date);
            }
        }
        Err(refusal) => helpful(&refusal, text),
    }
}

fn toml(text: &str) {
    if let Err(refusal) = reading_from_toml("f", text) {
        helpful(&refusal, text);
    }
}

fn joint(text: &str) {
    match workflow::start::from_text("f".to_owned(), text) {
        Ok(started) => {
            let Some(need) = started.out.need else { return };
            assert!(need.throat_mm.is_none_or(|t| t.is_finite() && t >= 0.0), "{text}");
            assert!(need.throat_mm.is_some() || !need.allowed, "{text}");
        }
        Err(refusal) => helpful(&refusal, text),
    }
}

fn table(text: &str) {
    match read_table("f", text, "effective_throat_mm") {
        Ok(table) => {
            assert!(!table.rows.is_empty());
            assert_eq!(table.rows.len(), table.lines.len());
            assert_eq!(table.rows.len(), table.penetrated.len());
            for row in &table.rows {
                assert!(row.value_mm.is_none_or(f64::is_finite), "{row:?}");
            }
        }
        Err(refusal) => helpful(&refusal, text),
    }
}

/// The seeds of the cases below are read as they are.
#[test]
fn the_unchanged_texts_are_read() {
    let asked = reading_from_toml("f", READING).unwrap();
    assert_eq!((asked.marks.scale.len(), asked.marks.outlines.len()), (3, 4));
    assert_eq!(asked.lines.scale, [9, 15, 17]);
    assert_eq!((asked.lines.plate("gap"), asked.lines.plate("surface")), (28, 22));
    let file = claim_from_toml("f", CLAIM).unwrap();
    assert_eq!(file.asked.value, "effective_throat_mm");
    // A percent is a hundredth to the last bit but one.
    assert!((file.asked.content - 0.95).abs() < 1e-15 && file.asked.confidence == 0.9);
    assert_eq!((file.line("joint"), file.line("sides")), (Some(3), Some(11)));
    assert!(matches!(&file.from, From::Sections(s) if s[2] == ("b/b1.toml".to_owned(), 5)));
    assert_eq!((file.left_out[0].line, file.left_out[1].section.as_str()), (13, "9b"));
    assert_eq!(file.paper.unwrap().date.words().unwrap(), "25 November 2026");
    let table = read_table("f", TABLE, "effective_throat_mm").unwrap();
    assert_eq!(table.rows.len(), 3, "the joint's own row is not one of a weld");
    assert_eq!((table.rows[0].value_mm, table.rows[2].value_mm), (Some(3.1), Some(3.5)));
    assert_eq!(table.lines, [2, 3, 4]);
    let started = workflow::start::from_text("f".to_owned(), JOINT).unwrap();
    assert!(started.out.need.unwrap().throat_mm.is_some());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 10_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn changed_reading_files_are_read_or_refused(changes in vec(change(), 1..8)) {
        toml(&changed(READING, &changes));
    }

    #[test]
    fn random_reading_files_are_refused(text in random()) {
        toml(&text);
    }

    #[test]
    fn changed_joint_files_are_answered_or_refused(changes in vec(change(), 1..8)) {
        joint(&changed(JOINT, &changes));
    }

    #[test]
    fn random_joint_files_are_refused(text in random()) {
        joint(&text);
    }

    #[test]
    fn changed_claim_files_are_read_or_refused(changes in vec(change(), 1..8)) {
        claim_file(&changed(CLAIM, &changes));
    }

    #[test]
    fn random_claim_files_are_refused(text in random()) {
        claim_file(&text);
        claim_file(&format!("sections = [\"a\"]\n{text}"));
    }

    #[test]
    fn changed_tables_are_read_or_refused(changes in vec(change(), 1..8)) {
        table(&changed(TABLE, &changes));
    }

    #[test]
    fn random_tables_are_read_or_refused(text in random()) {
        table(&text);
        table(&format!("coupon,section,effective_throat_mm\n{text}"));
    }
}
