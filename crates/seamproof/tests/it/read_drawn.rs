//! Drawn sections read through the command line, against readings worked by hand.
//!
//! `trace = "straight"` takes the points as exact geometry: what is worked by hand must come out to rounding, 1e-9.
//! `trace = "guided"` follows the drawn edge. The path runs through pixels, so no point of the outline lies more than one
//! pixel (1/30 mm) off the drawn line, and a length between two of its points is wrong by 2 px = 0.067 mm at most. Where
//! a steeply cut line is read (the root, on a fusion line that leans by atan(0.4/2) from the joint line's normal and is
//! rounded at its corner), the same bound holds along the joint line: 1 px / cos is 1.02 px. An area is wrong by at most
//! one pixel along its whole outline.

use crate::drawn::{Drawing, bead, butt, butt_both_sides, stored_turned, tee, tee_both_sides};
use crate::run::{folder, seamproof};
use serde_json::Value;
use std::f64::consts::SQRT_2;

const PX_MM: f64 = 1.0 / 30.0;

fn read(drawing: &Drawing, trace: &str) -> Value {
    let place = folder(&[]);
    drawing.write(place.path(), "a", "", trace);
    let said = seamproof(place.path(), &["read", "a.toml", "--json"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""), "{said:?}");
    said.json()
}

/// Length of a closed line, mm.
fn round_about(shape: &[[f64; 2]]) -> f64 {
    (0..shape.len())
        .map(|i| {
            let (a, b) = (shape[i], shape[(i + 1) % shape.len()]);
            (b[0] - a[0]).hypot(b[1] - a[1])
        })
        .sum()
}

/// Compares readings of one weld with what was worked by hand.
#[track_caller]
fn compare(weld: &Value, worked: &[(&str, f64)], length_tolerance: f64, area_tolerance: f64) {
    for (name, by_hand) in worked {
        let got = weld[name].as_f64().unwrap_or_else(|| panic!("{name} is absent: {weld}"));
        let tolerance = if name.ends_with("_mm") { length_tolerance } else { area_tolerance };
        assert!((got - by_hand).abs() <= tolerance, "{name}: {got}, by hand {by_hand}");
        let u = weld[format!("{name}_u")].as_f64().unwrap();
        let shared = weld[format!("{name}_u_shared")].as_f64().unwrap();
        assert!(u >= shared && shared >= 0.0 && u.is_finite(), "{name}: u {u}, shared {shared}");
    }
}

/// The drawn tee, by hand. Toes (4, 0) and (0, 4): legs 4, chord x + y = 4. Largest triangle with its corner at C: the
/// chord's own, height 4/√2, isosceles too. Root P = (-1, 0), where the fusion line meets the joint line: its way to the
/// chord is 5/√2, foot (1.5, 2.5) between the toes. The face is the chord: convexity 0, actual = effective throat.
/// Below the base 0.8; in the upright at mid-leg, y = 2, 0.6. Land 4 - 1 = 3 under the 4 mm upright.
const TEE_LENGTHS: [(&str, f64); 15] = [
    ("leg_base_mm", 4.0),
    ("leg_upright_mm", 4.0),
    ("net_leg_upright_mm", 4.0),
    ("size_base_mm", 4.0),
    ("size_upright_mm", 4.0),
    ("theoretical_throat_mm", 2.0 * SQRT_2),
    ("isosceles_throat_mm", 2.0 * SQRT_2),
    ("corner_throat_mm", 2.0 * SQRT_2),
    ("actual_throat_mm", 2.5 * SQRT_2),
    ("effective_throat_mm", 2.5 * SQRT_2),
    ("penetrated_throat_mm", 2.5 * SQRT_2),
    ("root_penetration_mm", 1.0),
    ("convexity_mm", 0.0),
    ("fusion_depth_base_mm", 0.8),
    ("fusion_depth_upright_mm", 0.6),
];
/// Shoelace of (4, 0) (0, 4) (-0.6, 2) (-1, 0) (1, -0.8): (16 + 2.4 + 2 + 0.8 + 3.2) / 2 = 12.2; outside the plates the
/// triangle of 8.
const TEE_AREAS: [(&str, f64); 3] =
    [("fused_area_mm2", 12.2), ("melted_parent_area_mm2", 4.2), ("deposited_area_mm2", 8.0)];
const TEE_REST: [(&str, f64); 3] = [
    ("dilution", 4.2 / 12.2),
    // Leg and penetration; leg and depth at mid-leg.
    ("fused_length_base_mm", 5.0),
    ("fused_length_upright_mm", 4.6),
];

#[test]
fn a_tee_given_straight_reads_as_worked_by_hand() {
    let json = read(&tee(), "straight");
    let weld = &json["welds"]["only"];
    for worked in [&TEE_LENGTHS[..], &TEE_AREAS, &TEE_REST] {
        compare(weld, worked, 1e-9, 1e-9);
    }
    assert_eq!(weld["mirrored"], false);
    let land = json["joint"]["unfused_land_mm"].as_f64().unwrap();
    assert!((land - 3.0).abs() < 1e-9, "{land}");
    assert!(json["absent"]["full_penetration_by_4_7_3"].is_string());
    // 300 px are 10 mm, each end placed within 1 px: u = √2 / 300.
    let u = json["mm_per_px_u_rel"].as_f64().unwrap();
    assert!((u - SQRT_2 / 300.0).abs() < 1e-12, "{u}");
    assert_eq!(json["scale_clash"], false);
}

#[test]
fn a_tee_followed_by_the_tool_reads_as_drawn() {
    let json = read(&tee(), "guided");
    let weld = &json["welds"]["only"];
    let area = PX_MM * round_about(&tee().fused[0].1);
    compare(weld, &TEE_LENGTHS, 2.0 * PX_MM, 0.0);
    compare(weld, &TEE_AREAS, 0.0, area);
}

/// Points set 2 px inside the drawn line: followed, the zone still reads as drawn; taken straight, it reads small. The
/// bead's lower corners are (±1.5, -2).
#[test]
fn the_tool_follows_the_picture_and_not_the_hand() {
    let mut off = bead();
    let picture = bead().picture();
    for p in &mut off.fused[0].1 {
        p[1] -= 2.0 * PX_MM * p[1].signum();
    }
    let place = folder(&[]);
    picture.save(place.path().join("a.png")).unwrap();
    let depth = |trace: &str| {
        std::fs::write(place.path().join("a.toml"), off.reading_file("a.png", trace)).unwrap();
        let said = seamproof(place.path(), &["read", "a.toml", "--json"]);
        said.json()["welds"]["only"]["depth_mm"].as_f64().unwrap()
    };
    let (guided, straight) = (depth("guided"), depth("straight"));
    assert!((guided - 2.0).abs() <= PX_MM, "guided: {guided}");
    assert!((straight - (2.0 - 2.0 * PX_MM)).abs() < 1e-9, "straight: {straight}");
}

/// Land 4 - 1 - 1 = 2, which is more than t/5 = 0.8: no full penetration by 4.7.3 (the sum of throats, 7.07, would do).
/// Far enough from both to be sure: u of the land is below 0.3 mm.
#[test]
fn a_tee_welded_from_both_sides_is_read_side_by_side() {
    let json = read(&tee_both_sides(), "straight");
    for side in ["left", "right"] {
        let weld = &json["welds"][side];
        for worked in [&TEE_LENGTHS[..], &TEE_AREAS] {
            compare(weld, worked, 1e-9, 1e-9);
        }
        assert_eq!(weld["mirrored"], side == "left");
    }
    let joint = &json["joint"];
    assert!((joint["unfused_land_mm"].as_f64().unwrap() - 2.0).abs() < 1e-9, "{joint}");
    assert_eq!(joint["full_penetration_by_4_7_3"], "no");
    let kinds: Vec<(&str, &str)> = json["outlines"]
        .as_array()
        .unwrap()
        .iter()
        .map(|o| (o["kind"].as_str().unwrap(), o["weld"].as_str().unwrap()))
        .collect();
    assert_eq!(kinds, [("fused", "left"), ("fused", "right")]);
    // The right weld's toe (4, 0) in the section's frame, C = (0, 0).
    let toe = &json["outlines"][1]["mm"][0];
    assert!((toe[0].as_f64().unwrap() - 4.0).abs() < 1e-9 && toe[1].as_f64().unwrap().abs() < 1e-9);
}

/// One weld of such a tee is outlined so far, both faces of the upright are marked: it reads as the one-sided tee does,
/// mirrored when it is the left one, whether its side is said or only seen.
#[test]
fn one_weld_of_two_is_read_with_both_faces_marked() {
    for (i, side) in [(0, Some("left")), (0, None), (1, Some("right")), (1, None)] {
        let mut drawing = tee_both_sides();
        drawing.fused = vec![(side, drawing.fused[i].1.clone())];
        let json = read(&drawing, "straight");
        let welds: Vec<&Value> = json["welds"].as_object().unwrap().values().collect();
        assert_eq!(welds.len(), 1, "{json}");
        let weld = welds[0];
        for worked in [&TEE_LENGTHS[..], &TEE_AREAS] {
            compare(weld, worked, 1e-9, 1e-9);
        }
        assert_eq!(weld["mirrored"], i == 0, "{side:?}");
    }
}

/// The drawn faces lie 4 mm apart: a typed thickness that says so is silent, another one is told and named.
#[test]
fn a_typed_thickness_that_the_faces_contradict_is_told() {
    for (typed, told) in
        [("4 mm", None), ("4.3 mm", None), ("6 mm", Some("6 mm")), ("1e308 mm", Some("1e308 mm"))]
    {
        let mut drawing = tee_both_sides();
        drawing.more = format!("upright_thickness = \"{typed}\"\n");
        let json = read(&drawing, "straight");
        let remarks: Vec<&str> =
            json["remarks"].as_array().unwrap().iter().filter_map(Value::as_str).collect();
        let said = remarks.iter().find(|r| r.contains("plates.upright_thickness"));
        assert_eq!(said.is_some(), told.is_some(), "{typed}: {remarks:?}");
        if let (Some(said), Some(told)) = (said, told) {
            assert!(said.contains(told) && said.contains("4.00 mm apart"), "{said}");
        }
    }
}

/// Faces that are set across the weld are told: one that leans (1 mm in 2.5), one with a point in the fused zone, which is
/// 1 mm wide beside the corner at half the leg; faces as drawn are not.
#[test]
fn a_face_that_is_set_on_the_weld_is_told() {
    type Faces = Vec<(&'static str, Vec<[f64; 2]>)>;
    let remarks = |faces: &dyn Fn(&mut Faces)| -> String {
        let mut drawing = tee_both_sides();
        faces(&mut drawing.faces);
        read(&drawing, "straight")["remarks"].to_string()
    };
    let right = [0.0, 0.0];
    let told = remarks(&|_| ());
    assert!(!told.contains("not parallel") && !told.contains("inside the fused zone"), "{told}");
    let told = remarks(&|faces| {
        faces.iter_mut().find(|(f, _)| *f == "upright_right").unwrap().1 =
            vec![[right[0] + 1.0, 5.0], [0.0, 7.5]];
    });
    assert!(told.contains("not parallel") && told.contains("21.8°"), "{told}");
    let told = remarks(&|faces| {
        faces.iter_mut().find(|(f, _)| *f == "base").unwrap().1.push([2.0, 0.0]);
    });
    assert!(
        told.contains("plates.base: the point") && told.contains("inside the fused zone"),
        "{told}"
    );
}

/// A crack is an open line: √(0.6² + 0.8²) = 1 and 0.5 on from there, neither closed nor crossing itself.
#[test]
fn a_bent_crack_given_straight_is_as_long_as_it_was_drawn() {
    let mut drawing = bead();
    // (-0.5, -0.5), (0.1, -1.3), (0.6, -1.3) mm at 30 px/mm from (270, 120).
    drawing.more = "[[crack]]\npoints = [[255.0, 135.0], [273.0, 159.0], [288.0, 159.0]]\ntrace = \"straight\"\n".to_owned();
    let json = read(&drawing, "straight");
    let long =
        json["welds"]["only"]["crack_length_mm"].as_f64().unwrap_or_else(|| panic!("{json}"));
    assert!((long - 1.5).abs() < 1e-9, "{long}");
}

/// Trapezoids: below (6 + 3)/2 x 2 = 9, above (6 + 3)/2 x 1 = 4.5. Half way down 4.5 wide, at 90 % 3.3.
const BEAD: [(&str, f64); 14] = [
    ("penetration_mm", 2.0),
    ("depth_mm", 2.0),
    ("width_mm", 6.0),
    ("width_surface_mm", 6.0),
    ("width_half_depth_mm", 4.5),
    ("width_90_depth_mm", 3.3),
    ("height_mm", 1.0),
    ("fused_area_mm2", 13.5),
    ("melted_parent_area_mm2", 9.0),
    ("deposited_area_mm2", 4.5),
    ("lost_area_mm2", 0.0),
    ("dilution", 9.0 / 13.5),
    ("squareness", 9.0 / 12.0),
    ("depth_to_width", 2.0 / 6.0),
];

#[test]
fn a_bead_reads_as_worked_by_hand() {
    let json = read(&bead(), "straight");
    compare(&json["welds"]["only"], &BEAD, 1e-9, 1e-9);
    let json = read(&bead(), "guided");
    let lengths: Vec<_> = BEAD.into_iter().filter(|(name, _)| name.ends_with("_mm")).collect();
    compare(&json["welds"]["only"], &lengths, 2.0 * PX_MM, 0.0);
    let area = PX_MM * round_about(&bead().fused[0].1);
    compare(&json["welds"]["only"], &BEAD[7..10], 0.0, area);
}

/// (4 + 1)/2 x 4 = 10; 4 of 5 mm fused: land 1, overlap -1, throat 4.
#[test]
fn a_butt_from_one_side_reads_as_worked_by_hand() {
    let json = read(&butt(), "straight");
    let worked = [
        ("penetration_mm", 4.0),
        ("depth_mm", 4.0),
        ("width_surface_mm", 4.0),
        ("fused_area_mm2", 10.0),
        ("dilution", 1.0),
        ("squareness", 10.0 / 16.0),
    ];
    compare(&json["welds"]["only"], &worked, 1e-9, 1e-9);
    let joint = [
        ("throat_mm", 4.0),
        ("overlap_mm", -1.0),
        ("unfused_land_mm", 1.0),
        ("misalignment_mm", 0.0),
    ];
    compare(&json["joint"], &joint, 1e-9, 0.0);
    assert_eq!(json["joint"]["complete_penetration"], "no");
    let guided = read(&butt(), "guided");
    compare(&guided["joint"], &joint, 2.0 * PX_MM, 0.0);
}

/// 3 + 2.5 = 5.5 in 5 mm: overlap 0.5, throat the whole 5, land 0.
#[test]
fn a_butt_from_both_sides_reads_as_worked_by_hand() {
    let json = read(&butt_both_sides(), "straight");
    compare(&json["welds"]["top"], &[("penetration_mm", 3.0), ("fused_area_mm2", 7.5)], 1e-9, 1e-9);
    compare(
        &json["welds"]["bottom"],
        &[("penetration_mm", 2.5), ("fused_area_mm2", 6.25)],
        1e-9,
        1e-9,
    );
    let joint = [("throat_mm", 5.0), ("overlap_mm", 0.5), ("unfused_land_mm", 0.0)];
    compare(&json["joint"], &joint, 1e-9, 0.0);
    assert_eq!(json["joint"]["complete_penetration"], "yes");
}

/// The file is stored lying on its side and says so (EXIF): the marks are those of the photo as shown.
#[test]
fn a_photo_stored_turned_is_marked_as_it_is_shown() {
    let place = folder(&[("a.png", &stored_turned(&tee().picture()))]);
    for trace in ["straight", "guided"] {
        std::fs::write(place.path().join("a.toml"), tee().reading_file("a.png", trace)).unwrap();
        let said = seamproof(place.path(), &["read", "a.toml", "--json", "--overlay", "o.png"]);
        let json = said.json();
        let tolerance = if trace == "straight" { 1e-9 } else { 2.0 * PX_MM };
        compare(&json["welds"]["only"], &TEE_LENGTHS, tolerance, 0.0);
        let overlay = image::open(place.path().join("o.png")).unwrap();
        let (width, height) = tee().size;
        assert!(
            overlay.width() == width && overlay.height() > height,
            "drawn on the photo as shown"
        );
    }
}

#[test]
fn an_unetched_face_gives_no_penetration() {
    let place = folder(&[]);
    tee().write(place.path(), "a", "", "straight");
    let text = std::fs::read_to_string(place.path().join("a.toml")).unwrap();
    std::fs::write(place.path().join("a.toml"), text.replace("etched = true", "etched = false"))
        .unwrap();
    let json = seamproof(place.path(), &["read", "a.toml", "--json"]).json();
    let weld = &json["welds"]["only"];
    for gone in ["root_penetration_mm", "effective_throat_mm", "actual_throat_mm", "fused_area_mm2"]
    {
        assert!(weld.get(gone).is_none(), "{gone}: {weld}");
        assert_eq!(
            json["absent"][gone], "the face is not etched, so no fusion line is shown",
            "{gone}"
        );
    }
    compare(weld, &[("leg_base_mm", 4.0), ("leg_upright_mm", 4.0)], 1e-9, 0.0);
}

/// The names of the issue, on the joints that have them.
#[test]
fn json_has_the_agreed_names() {
    let json = read(&tee(), "straight");
    let weld = json["welds"]["only"].as_object().unwrap();
    let absent = json["absent"].as_object().unwrap();
    for name in "fused_area_mm2 melted_parent_area_mm2 deposited_area_mm2 lost_area_mm2 dilution leg_base_mm leg_upright_mm \
                 net_leg_upright_mm size_base_mm size_upright_mm theoretical_throat_mm isosceles_throat_mm \
                 corner_throat_mm actual_throat_mm effective_throat_mm penetrated_throat_mm root_penetration_mm \
                 unfused_corner_base_mm unfused_corner_upright_mm fusion_depth_base_mm fusion_depth_upright_mm \
                 fused_length_base_mm fused_length_upright_mm convexity_mm undercut_base_mm undercut_upright_mm \
                 undercut_mm overlap_toe_mm depth_to_width pore_area_share"
        .split_whitespace()
    {
        assert!(weld.contains_key(name) || absent.contains_key(name), "{name}");
        if weld.contains_key(name) {
            assert!(weld[&format!("{name}_u")].is_number(), "{name}_u");
            assert!(weld[&format!("{name}_u_shared")].is_number(), "{name}_u_shared");
        }
    }
    let json = read(&bead(), "straight");
    for name in "penetration_mm depth_mm width_mm width_surface_mm height_mm fused_area_mm2 melted_parent_area_mm2 \
                 deposited_area_mm2 lost_area_mm2 dilution squareness undercut_mm depth_to_width pore_area_share"
        .split_whitespace()
    {
        assert!(json["welds"]["only"][name].is_number(), "{name}");
    }
    let json = read(&butt(), "straight");
    for name in ["throat_mm", "overlap_mm", "unfused_land_mm", "misalignment_mm"] {
        assert!(json["joint"][name].is_number(), "{name}");
        assert!(json["joint"][format!("{name}_u_shared")].is_number(), "{name}");
    }
    for key in ["welds", "joint", "outlines", "remarks", "absent"] {
        assert!(json.get(key).is_some(), "{key}");
    }
    let outline = json["outlines"][0].as_object().unwrap();
    assert_eq!(outline.keys().collect::<Vec<_>>(), ["kind", "weld", "px", "mm", "u_mm"]);
    let count = |key: &str| outline[key].as_array().unwrap().len();
    assert!(count("px") == count("mm") && count("px") == count("u_mm"));
}

/// A place inside the drawn bead gives points that lie on its outline, to the pixel that a path can be off and the half that
/// an edge covered by area may round; a place in the mount gives none, and the answer is no; one beside the photo is refused.
#[test]
fn an_outline_is_proposed_around_a_place_inside() {
    let bead = bead();
    let place = folder(&[]);
    // Fused metal a fifth darker than the plate, as an etch shows it: a greater change is taken for the edge of the metal.
    let mut picture = bead.picture();
    for p in picture.pixels_mut() {
        let v = f64::from(p.0[0]);
        let lit =
            if v < 120.0 { 40.0 + (v - 40.0) * 1.375 } else { 150.0 + (v - 120.0) * 4.0 / 7.0 };
        p.0[0] = lit.round() as u8;
    }
    picture.save(place.path().join("a.png")).unwrap();
    let inside = |at: [f64; 2]| {
        let px = [bead.origin[0] + bead.px_per_mm * at[0], bead.origin[1] - bead.px_per_mm * at[1]];
        let at = format!("{:.1},{:.1}", px[0], px[1]);
        seamproof(place.path(), &["read", "a.png", "--inside", &at, "--json"])
    };
    let said = inside([0.0, -0.5]);
    assert_eq!(said.code, 0, "{said:?}");
    let out = said.json();
    let shape = &bead.fused[0].1;
    let points = out["outlines"][0]["points"].as_array().unwrap();
    assert!((8..=24).contains(&points.len()), "{out}");
    for point in points {
        let px = [point[0].as_f64().unwrap(), point[1].as_f64().unwrap()];
        let p =
            [(px[0] - bead.origin[0]) / bead.px_per_mm, (bead.origin[1] - px[1]) / bead.px_per_mm];
        let off = (0..shape.len())
            .map(|i| {
                let (a, b) = (shape[i], shape[(i + 1) % shape.len()]);
                let (d, q) = ([b[0] - a[0], b[1] - a[1]], [p[0] - a[0], p[1] - a[1]]);
                let t = ((q[0] * d[0] + q[1] * d[1]) / (d[0] * d[0] + d[1] * d[1])).clamp(0.0, 1.0);
                (q[0] - t * d[0]).hypot(q[1] - t * d[1])
            })
            .fold(f64::INFINITY, f64::min);
        assert!(off <= 1.5 * PX_MM, "{p:?} lies {off} mm off");
    }
    let said = inside([-8.0, 3.5]);
    assert_eq!(said.code, 1, "{said:?}");
    assert!(
        said.json()["next"]
            .as_str()
            .unwrap()
            .contains("choose a place in the middle of the fused zone")
    );
    let said = seamproof(place.path(), &["read", "a.png", "--inside", "9000,5"]);
    said.refuses(
        "a.png: inside: the place at (9000.0, 5.0) lies outside the picture of 540 x 300 pixels",
        "choose a place inside the fused zone",
    );
    // The photo where a reading file belongs, and the other way round.
    seamproof(place.path(), &["read", "a.png"]).refuses(
        "a.png: this is a picture, and a text file belongs here",
        "name the text file: a reading file names its photo; `read PHOTO --inside X,Y` takes a photo",
    );
    std::fs::write(place.path().join("a.toml"), "photo = \"a.png\"\n").unwrap();
    let said = seamproof(place.path(), &["read", "a.toml", "--inside", "5,5"]);
    assert!(said.err.ends_with("next: with --inside, name the photo itself\n"), "{said:?}");
}
