//! What must not change, and what must change in proportion, when a photo is taken otherwise.

use crate::drawn::{Drawing, Xy, bead, butt, tee, tee_both_sides};
use crate::run::{folder, seamproof};
use serde_json::{Map, Value};

fn read(drawing: &Drawing) -> Value {
    let place = folder(&[]);
    drawing.write(place.path(), "a", "", "straight");
    let said = seamproof(place.path(), &["read", "a.toml", "--json"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""), "{said:?}");
    said.json()
}

/// Every reading of every weld and of the joint: its name and value, without the uncertainties.
fn readings(json: &Value) -> Vec<(String, f64)> {
    let of = |prefix: &str, map: &Map<String, Value>| -> Vec<(String, f64)> {
        map.iter()
            .filter(|(name, _)| !name.ends_with("_u") && !name.ends_with("_u_shared"))
            .filter_map(|(name, v)| Some((format!("{prefix}.{name}"), v.as_f64()?)))
            .collect()
    };
    let mut all: Vec<(String, f64)> = json["welds"]
        .as_object()
        .unwrap()
        .iter()
        .flat_map(|(weld, map)| of(weld, map.as_object().unwrap()))
        .collect();
    all.extend(of("joint", json["joint"].as_object().unwrap()));
    assert!(all.len() > 10, "{all:?}");
    all
}

fn all() -> [(&'static str, Drawing); 4] {
    [("tee", tee()), ("tee, both", tee_both_sides()), ("bead", bead()), ("butt", butt())]
}

/// Lengths grow with the scale and areas with its square; shares and angles do not.
#[test]
fn twice_the_scale_is_twice_the_length() {
    for (name, drawing) in all() {
        let mut twice = drawing.clone();
        twice.ten_mm = "20 mm";
        twice.more = twice.more.replace("4 mm", "8 mm");
        let (one, two) = (readings(&read(&drawing)), readings(&read(&twice)));
        assert_eq!(one.len(), two.len());
        for ((field, a), (other, b)) in one.iter().zip(&two) {
            assert_eq!(field, other);
            let factor = match field {
                f if f.ends_with("_mm2") => 4.0,
                f if f.ends_with("_mm") => 2.0,
                _ => 1.0,
            };
            assert!((b - factor * a).abs() <= 1e-9 * (1.0 + a.abs()), "{name}: {field} {a} {b}");
        }
    }
}

/// Every place moved: the same section in the same section's frame.
fn moved(drawing: &Drawing, moved: fn(Xy) -> Xy, size: (u32, u32)) -> Drawing {
    Drawing { moved, size, ..drawing.clone() }
}

#[track_caller]
fn same(name: &str, one: &Drawing, other: &Drawing, swapped: bool) {
    let mut a = readings(&read(one));
    let mut b = readings(&read(other));
    if swapped {
        for (field, _) in &mut b {
            *field = match field.split_once('.').unwrap() {
                ("left", rest) => format!("right.{rest}"),
                ("right", rest) => format!("left.{rest}"),
                _ => field.clone(),
            };
        }
    }
    a.sort_by(|x, y| x.0.cmp(&y.0));
    b.sort_by(|x, y| x.0.cmp(&y.0));
    assert_eq!(a.len(), b.len(), "{name}");
    for ((field, x), (other, y)) in a.iter().zip(&b) {
        assert_eq!(field, other, "{name}");
        // Sideways aim is signed along the photo's x.
        let y = if swapped && field.ends_with("aim_offset_mm") { -y } else { *y };
        assert!((x - y).abs() <= 1e-9 * (1.0 + x.abs()), "{name}: {field} {x} {y}");
    }
}

#[test]
fn a_photo_moved_reads_the_same() {
    for (name, drawing) in all() {
        let (w, h) = drawing.size;
        let there = moved(&drawing, |[x, y]| [x + 17.0, y + 23.0], (w + 30, h + 30));
        same(name, &drawing, &there, false);
    }
}

/// Seen from the other cut face, or through a microscope that mirrors: left is right and all else the same.
#[test]
fn a_photo_mirrored_reads_the_same() {
    for (name, drawing) in all() {
        let mut mirrored = moved(&drawing, |[x, y]| [599.0 - x, y], (700, drawing.size.1));
        if name == "tee, both" {
            // Both welds are marked by where the photo shows them.
            mirrored.moved = |[x, y]| [699.0 - x, y];
            for (side, _) in &mut mirrored.fused {
                *side = side.map(|s| if s == "left" { "right" } else { "left" });
            }
            for (field, _) in &mut mirrored.faces {
                *field = match *field {
                    "upright_left" => "upright_right",
                    "upright_right" => "upright_left",
                    other => other,
                };
            }
        }
        same(name, &drawing, &mirrored, true);
        let json = read(&mirrored);
        if name == "tee" {
            assert_eq!(json["welds"]["only"]["mirrored"], true);
        }
    }
}

/// A quarter turn of photo and marks. Of a bead and a butt the surface alone does not tell up from down then, and the
/// tool asks for a point in the metal.
#[test]
fn a_photo_turned_a_quarter_reads_the_same() {
    for (name, drawing) in all() {
        let (w, h) = drawing.size;
        let mut turned = moved(&drawing, |[x, y]| [450.0 - y, x], (h.max(460), w));
        if name == "bead" {
            let place = folder(&[]);
            turned.write(place.path(), "a", "", "straight");
            seamproof(place.path(), &["read", "a.toml"]).refuses(
                "a.toml:9: plates.surface: the surface stands nearly upright in the photo, so it does not tell on which side the metal is",
                "give plates.metal = [x, y], any point inside the plate, or turn the photo upright",
            );
            // (0, -4) mm lies at (270, 240) px, turned at (210, 270).
            turned.more = "metal = [210, 270]\n".to_owned();
        }
        same(name, &drawing, &turned, false);
    }
}

/// The same files give the same words, whatever was read before and however many threads there are.
#[test]
fn the_same_photo_gives_the_same_digits() {
    let place = folder(&[]);
    tee().write(place.path(), "a", "", "guided");
    let first = seamproof(place.path(), &["read", "a.toml", "--json"]);
    let again = seamproof(place.path(), &["read", "a.toml", "--json"]);
    assert_eq!(first.out, again.out);
    let one = std::process::Command::new(env!("CARGO_BIN_EXE_seamproof"))
        .current_dir(place.path())
        .env("RAYON_NUM_THREADS", "1")
        .args(["read", "a.toml", "--json"])
        .output()
        .unwrap();
    assert_eq!(first.out.as_bytes(), one.stdout);
}
