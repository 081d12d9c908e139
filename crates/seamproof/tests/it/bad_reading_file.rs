//! Reading files that cannot be read: each told by file, line, field, fact and next action.

use crate::drawn::{butt, butt_both_sides, tee, tee_both_sides};
use crate::run::{Said, folder, names, seamproof};

/// The reading file of the drawn tee:
///
/// ```text
///  1 photo = "a.png"          9 base = [[360.0, 270.0], [480.0, 270.0]]
///  2 joint = "tee"           10 upright = [[210.0, 120.0], [210.0, 45.0]]
///  3 etched = true           11 upright_thickness = "4 mm"
///  4 [[scale]]               12 [[fused]]
///  5 from = [120.0, 200.0]   13 points = [[330.0, 270.0], [210.0, 150.0], [192.0, 210.0], [180.0, 270.0], [240.0, 294.0]]
///  6 to = [420.0, 200.0]     14 trace = "straight"
///  7 length = "10 mm"
///  8 [plates]
/// ```
fn lines() -> Vec<String> {
    tee().reading_file("a.png", "straight").lines().map(str::to_owned).collect()
}

/// Reads the drawn tee with one line (from 1) replaced.
fn with(line: usize, by: &str) -> Said {
    let mut lines = lines();
    by.clone_into(&mut lines[line - 1]);
    read(lines.join("\n").as_bytes())
}

fn read(file: &[u8]) -> Said {
    let place = folder(&[("a.toml", file), ("old.csv", b"old")]);
    tee().picture().save(place.path().join("a.png")).unwrap();
    let said =
        seamproof(place.path(), &["read", "a.toml", "--csv", "old.csv", "--overlay", "o.png"]);
    if said.code != 0 {
        assert_eq!(names(place.path()), ["a.png", "a.toml", "old.csv"], "nothing is written");
        assert_eq!(std::fs::read(place.path().join("old.csv")).unwrap(), b"old");
    }
    said
}

const POINTS: &str =
    "write points in pixels as [[x, y], [x, y]], x to the right, y down, decimals with a point";
const LENGTH: &str = "write a length with its unit as text, such as \"5 mm\" or \"100 um\"";
const UNIT: &str = "write the unit after it: mm, in, µm, thou, m or ft";

#[test]
fn the_file_of_these_tests_is_read() {
    assert_eq!(lines().len(), 14);
    let said = read(lines().join("\n").as_bytes());
    assert_eq!(said.code, 0, "{said:?}");
    assert_eq!(read(lines().join("\r\n").as_bytes()).out, said.out, "lines of another system");
    let marked = format!("\u{feff}{}", lines().join("\n"));
    assert_eq!(read(marked.as_bytes()).out, said.out, "byte order mark");
}

#[test]
fn a_field_of_the_wrong_type_is_told_in_a_persons_words() {
    for (line, by, fact, next) in [
        (
            1,
            "photo = 5",
            "a.toml:1: photo: the number 5 stands here, and a text in double quotes belongs here",
            "name the photo beside this file: photo = \"a1.jpg\"",
        ),
        (
            2,
            "joint = tee",
            "a.toml:2: joint: a text stands here without its double quotes",
            "say the kind of joint: joint = \"bead\", \"butt\" or \"tee\"",
        ),
        (
            3,
            "etched = \"yes\"",
            "a.toml:3: etched: the text \"yes\" stands here, and true or false belongs here",
            "say whether the face was etched: etched = true or etched = false",
        ),
        (
            3,
            "etched = true\ncoupon = 1.5",
            "a.toml:4: coupon: a label is a text or a whole number, and this is neither",
            "write a label as text or as a whole number: coupon = \"A\" or section = 1",
        ),
        (
            5,
            "from = \"120, 200\"",
            "a.toml:5: scale.from: the text \"120, 200\" stands here, and a list in square brackets belongs here",
            "write one point in pixels as [x, y], decimals with a point",
        ),
        (
            7,
            "length = 10",
            "a.toml:7: scale.length: the number 10 stands here, and a text in double quotes belongs here",
            LENGTH,
        ),
        (
            7,
            "length = \"10 mm\"\nu = 0.005",
            "a.toml:8: scale.u: the number 0.005 stands here, and a text in double quotes belongs here",
            "write the relative standard uncertainty as text: u = \"0.5 %\"",
        ),
        (
            9,
            "base = [360, 270]",
            "a.toml:9: plates.base: the number 360 stands here, and a list in square brackets belongs here",
            POINTS,
        ),
        (
            13,
            "points = [[330, \"270\"], [210, 150], [192, 210]]",
            "a.toml:13: fused.points: the text \"270\" stands here, and a number belongs here",
            POINTS,
        ),
        (
            14,
            "hold = 1",
            "a.toml:14: fused.hold: the number 1 stands here, and a list in square brackets belongs here",
            "list points by number, counted from 0: hold = [2]",
        ),
        (
            4,
            "[scale]",
            "a.toml:4: scale: [scale] stands here, and there may be several of them",
            "write it with double brackets: [[scale]]",
        ),
        (
            14,
            "trace = \"straight",
            "a.toml:14: fused.trace: the text's closing quote is missing",
            "\"guided\" follows the visible line between the points, \"straight\" takes them as given",
        ),
    ] {
        with(line, by).refuses(fact, next);
    }
}

/// A decimal comma makes three numbers of two: `[590,5, 450]` must never be taken as (590, 5).
#[test]
fn a_point_has_two_numbers() {
    let one = "write one point in pixels as [x, y], decimals with a point";
    for (line, by, place, count, next) in [
        (5, "from = [120,5, 200]", "5: scale.from", 3, one),
        (6, "to = [420]", "6: scale.to", 1, one),
        (9, "base = [[360, 270,5], [480, 270]]", "9: plates.base", 3, POINTS),
        (11, "metal = []", "11: plates.metal", 0, one),
        (13, "points = [[330,5, 270], [210, 150], [192, 210]]", "13: fused.points", 3, POINTS),
    ] {
        let fact =
            format!("a.toml:{place}: a point has 2 numbers, x and y, and this one has {count}");
        with(line, by).refuses(&fact, next);
    }
}

#[test]
fn an_unknown_field_is_named_with_the_nearest_right_one() {
    let plates = "surface, bottom, joint_line, base, upright, upright_left, upright_right, upright_far, \
                  upright_thickness, base_thickness, gap, metal";
    for (line, by, place, unknown, within, near, known) in [
        (
            9,
            "bass = [[360, 270], [480, 270]]",
            "9: plates.bass",
            "bass",
            " in [plates]",
            "base",
            plates,
        ),
        (
            5,
            "form = [120, 200]",
            "5: scale.form",
            "form",
            " in [scale]",
            "from",
            "from, to, length, read, per_pixel, thickness, along, u",
        ),
        (
            13,
            "point = [[1, 2]]",
            "13: fused.point",
            "point",
            " in [fused]",
            "points",
            "side, points, hold, trace",
        ),
        (
            14,
            "trase = \"guided\"",
            "14: fused.trase",
            "trase",
            " in [fused]",
            "trace",
            "side, points, hold, trace",
        ),
        (
            14,
            "[cut]\njaw = \"12 deg\"",
            "15: cut.jaw",
            "jaw",
            " in [cut]",
            "yaw",
            "yaw, pitch, yaw_within",
        ),
    ] {
        with(line, by).refuses(
            &format!("a.toml:{place}: there is no field '{unknown}'{within}"),
            &format!("did you mean '{near}'? Known here: {known}"),
        );
    }
    for (line, by, place, unknown, near) in [
        (3, "etchd = true", 3, "etchd", "etched"),
        (3, "cupon = \"A\"", 3, "cupon", "coupon"),
        (12, "[[fussed]]", 12, "fussed", "fused"),
        (8, "[plate]", 8, "plate", "plates"),
    ] {
        let said = with(line, by);
        let fact = format!("a.toml:{place}: {unknown}: there is no field '{unknown}'\n");
        assert!(said.err.starts_with(&fact), "{said:?}");
        assert!(said.err.contains(&format!("next: did you mean '{near}'? Known here: photo,")));
        assert_eq!(said.code, 2);
    }
    with(14, "coupon = \"A\"").refuses(
        "a.toml:14: fused.coupon: there is no field 'coupon' in [fused]",
        "move 'coupon' to the top of the file, above the first table",
    );
    with(14, "zebra = 1").refuses(
        "a.toml:14: fused.zebra: there is no field 'zebra' in [fused]",
        "known here: side, points, hold, trace",
    );
}

#[test]
fn a_missing_field_is_asked_for() {
    for (line, fact, next) in [
        (
            1,
            "a.toml:1: photo: the field 'photo' is missing",
            "name the photo beside this file: photo = \"a1.jpg\"",
        ),
        (
            2,
            "a.toml:1: joint: the field 'joint' is missing",
            "say the kind of joint: joint = \"bead\", \"butt\" or \"tee\"",
        ),
        (
            3,
            "a.toml:1: etched: the field 'etched' is missing",
            "say whether the face was etched: etched = true or etched = false",
        ),
        (
            5,
            "a.toml:4: scale: the scale lacks its two points",
            "give from = [x, y] and to = [x, y], the two ends in pixels",
        ),
    ] {
        with(line, "").refuses(fact, next);
    }
    assert!(with(13, "").err.contains("fused.points: the field 'points' is missing in [fused]"));
    let missing = |field: &str, joint: &str| {
        format!(
            "plates.{field} has 0 point(s), and a {joint} needs at least 2 there\n  next: mark two points or more along"
        )
    };
    assert!(with(9, "").err.starts_with(&format!("a.toml:8: {}", missing("base", "tee"))));
    assert!(with(10, "").err.starts_with(&format!("a.toml:8: {}", missing("upright", "tee"))));
    assert!(with(2, "joint = \"bead\"").err.contains(&missing("surface", "bead")));
    with(1, "photo = \"\"").refuses(
        "a.toml:1: photo: the photo has no name",
        "name the photo beside this file: photo = \"a1.jpg\"",
    );
}

#[test]
fn a_missing_section_is_asked_for() {
    let without = |from: usize, to: usize| {
        let kept: Vec<String> = lines()
            .into_iter()
            .enumerate()
            .filter(|(i, _)| !(from..=to).contains(&(i + 1)))
            .map(|(_, line)| line)
            .collect();
        read(kept.join("\n").as_bytes())
    };
    let said = without(4, 7);
    assert!(said.err.starts_with("a.toml: scale: no [[scale]] is given"), "{said:?}");
    without(8, 11).refuses(
        "a.toml:1: plates: the field 'plates' is missing",
        "add a [plates] table: bead: surface; butt: surface, bottom, joint_line; tee: base and upright",
    );
    without(12, 14).refuses(
        "a.toml: fused: no [[fused]] zone is outlined, so there is nothing to read",
        "add [[fused]] with points = [[x, y], ...] set along the boundary of the fused zone, in order",
    );
}

#[test]
fn a_file_that_is_no_text_is_refused() {
    read(b"").refuses(
        "a.toml:1: photo: the field 'photo' is missing",
        "name the photo beside this file: photo = \"a1.jpg\"",
    );
    let save = "save it as UTF-8 in your editor";
    read(b"photo = \"a.png\"\njoint = \"\xff\xfe\"\n")
        .refuses("a.toml:2: the file is not UTF-8 text", save);
    let mut wide: Vec<u8> = vec![0xff, 0xfe];
    wide.extend(lines().join("\n").encode_utf16().flat_map(u16::to_le_bytes));
    read(&wide).refuses("a.toml:1: the file is not UTF-8 text", save);
    let place = folder(&[]);
    tee().picture().save(place.path().join("a.png")).unwrap();
    let said = seamproof(place.path(), &["read", "a.png"]);
    assert!(
        said.err.starts_with("a.png: this is a picture, and a text file belongs here"),
        "{said:?}"
    );
    seamproof(place.path(), &["read", "nix.toml"])
        .refuses("nix.toml: there is no such file", "check the name and the folder");
    seamproof(place.path(), &["read", "."])
        .refuses(".: this is a folder, not a file", "name a file in it");
    for deep in [format!("photo = {}", "[".repeat(100_000)), "a.".repeat(100_000) + "b = 1"] {
        let said = read(deep.as_bytes());
        assert_eq!(said.code, 2, "{}", said.err);
    }
}

#[test]
fn coordinates_must_be_numbers_on_the_photo() {
    let frame = "count columns and rows from the top left corner of the photo as it is shown, after any turn";
    let plate = "set plate points inside the photo: x from the left, y from the top, counted from 0 after the EXIF turn";
    let zone =
        "set the point inside the picture; a zone cut off by the frame needs another photograph";
    for (line, by, fact, next) in [
        (
            5,
            "from = [nan, 200]",
            "a.toml:4: scale 1: the point (NaN, 200.0) lies outside the photo of 540 x 400 px",
            frame,
        ),
        (
            5,
            "from = [inf, 200]",
            "a.toml:4: scale 1: the point (inf, 200.0) lies outside the photo of 540 x 400 px",
            frame,
        ),
        (
            6,
            "to = [420, -1]",
            "a.toml:4: scale 1: the point (420.0, -1.0) lies outside the photo of 540 x 400 px",
            frame,
        ),
        (
            9,
            "base = [[360, 270], [480, nan]]",
            "a.toml:9: plates.base has a point at (480.0, NaN), outside the photo of 540 x 400 pixels",
            plate,
        ),
        (
            10,
            "upright = [[210, 120], [210, 400]]",
            "a.toml:10: plates.upright has a point at (210.0, 400.0), outside the photo of 540 x 400 pixels",
            plate,
        ),
    ] {
        with(line, by).refuses(fact, next);
    }
    let said = with(13, "points = [[330, 270], [210, 150], [192, 1e9]]");
    assert!(said.err.starts_with("a.toml:13: fused.points: point "), "{said:?}");
    assert!(said.err.contains("lies outside the picture of 540 x 400 pixels"), "{said:?}");
    assert!(said.err.ends_with(&format!("next: {zone}\n")), "{said:?}");
    let said = with(13, "points = [[330, 270], [210, inf], [192, 210]]");
    assert!(said.err.contains("has a coordinate that is not a number"), "{said:?}");
}

#[test]
fn a_scale_must_be_a_length_above_zero() {
    let above = "give the true length between the two points, above zero, with its unit";
    with(7, "length = \"-5 mm\"")
        .refuses("a.toml:4: scale 1: -5 mm is not a length a scale can have", above);
    with(7, "length = \"0 mm\"")
        .refuses("a.toml:4: scale 1: 0 mm is not a length a scale can have", above);
    for (by, place, fact, next) in [
        ("length = \"10\"", "7: scale.length", "\"10\" has no unit", UNIT),
        (
            "length = \"1,200 mm\"",
            "7: scale.length",
            "1,200 mm could be 1.2 mm or 1200 mm",
            "write 1.2 mm or 1200 mm",
        ),
        (
            "length = \"5 kg\"",
            "7: scale.length",
            "\"kg\" is not a unit that is known here",
            "a length is written in mm, in, µm, thou, m or ft",
        ),
        (
            "length = \"5 mm/s\"",
            "7: scale.length",
            "\"5 mm/s\" is a speed, and a length is needed",
            "write it in mm, in, µm, thou, m or ft",
        ),
        ("per_pixel = \"2.5\"", "7: scale.per_pixel", "\"2.5\" has no unit", UNIT),
        ("thickness = \"5\"", "7: scale.thickness", "\"5\" has no unit", UNIT),
        (
            "length = \"10 mm\"\nu = \"0.5\"",
            "8: scale.u",
            "\"0.5\" has no unit",
            "write the unit after it: %",
        ),
        (
            "length = \"10 mm\"\nread = \"insied\"",
            "8: scale.read",
            "'insied' is not known here",
            "write \"inside\" or \"centre\" or \"outside\" or \"unknown\"",
        ),
        (
            "",
            "4: scale",
            "the scale says no length",
            "give length = \"10 mm\" between two points, per_pixel = \"2.5 um\", or thickness = \"5.02 mm\" (measured) across a plate",
        ),
        (
            "length = \"10 mm\"\nper_pixel = \"2 um\"",
            "4: scale",
            "the scale says its length in more than one way",
            "give each way its own [[scale]]; they are then compared",
        ),
        (
            "thickness = \"5 mm\"\nalong = [[10, 10]]",
            "8: scale.along",
            "1 point(s) are given along the surface, and 2 are needed",
            "write two points in pixels as [[x, y], [x, y]], decimals with a point",
        ),
    ] {
        with(7, by).refuses(&format!("a.toml:{place}: {fact}"), next);
    }
    with(5, "from = [419, 200]").refuses(
        "a.toml:4: scale 1: the two points are 1.0 px apart; at least 10 px are needed",
        "mark points as far apart as the ruler or bar allows: 300 px or more keep the placing below 0.5 %",
    );
    // The second scale is at fault, and its line is told.
    with(7, "length = \"10 mm\"\n[[scale]]\nper_pixel = \"0 um\"")
        .refuses("a.toml:8: scale 2: 0 mm is not a length a scale can have", above);
}

#[test]
fn corners_to_straighten_by_must_be_four() {
    let corners = "mark the four corners in pixels, clockwise from the top left: corners = [[x, y], [x, y], [x, y], [x, y]]";
    let size = "give width and height with their unit: size = [\"50 mm\", \"30 mm\"]";
    let four = "[[10, 10], [90, 10], [90, 90], [10, 90]]";
    let two = "[\"50 mm\", \"50 mm\"]";
    for (given, sizes, line, field, fact, next) in [
        (
            "[[10,5, 10], [90, 10], [90, 90], [10, 90]]",
            two,
            16,
            "corners",
            "a point has 2 numbers, x and y, and this one has 3",
            corners,
        ),
        (
            "[[10, 10], [90, 10], [90, 90]]",
            two,
            16,
            "corners",
            "3 are given, and 4 are needed",
            corners,
        ),
        (four, "[\"50 mm\"]", 17, "size", "1 are given, and 2 are needed", size),
        (four, "[\"50\", \"50 mm\"]", 17, "size", "\"50\" has no unit", UNIT),
    ] {
        with(14, &format!("trace = \"straight\"\n[straighten]\ncorners = {given}\nsize = {sizes}"))
            .refuses(&format!("a.toml:{line}: straighten.{field}: {fact}"), next);
    }
    let crossed = with(
        14,
        &format!("[straighten]\ncorners = [[10, 10], [90, 90], [90, 10], [10, 90]]\nsize = {two}"),
    );
    assert!(crossed.err.starts_with("a.toml:14: straighten: the four corners"), "{crossed:?}");
    with(14, &format!("[straighten]\ncornres = {four}\nsize = {two}")).refuses(
        "a.toml:15: straighten.cornres: there is no field 'cornres' in [straighten]",
        "did you mean 'corners'? Known here: corners, size",
    );
}

#[test]
fn lengths_of_the_plates_need_a_unit() {
    with(11, "upright_thickness = \"4\"")
        .refuses("a.toml:11: plates.upright_thickness: \"4\" has no unit", UNIT);
    with(11, "upright_thickness = \"-4 mm\"").refuses(
        "a.toml:11: plates.upright_thickness is -4 mm, which is not a usable length",
        "give the measured length with its unit, such as \"5 mm\"",
    );
    with(11, "gap = \"1,200 mm\"").refuses(
        "a.toml:11: plates.gap: 1,200 mm could be 1.2 mm or 1200 mm",
        "write 1.2 mm or 1200 mm",
    );
}

#[test]
fn an_outline_must_be_one() {
    with(13, "points = [[330, 270], [210, 150]]").refuses(
        "a.toml:13: fused.points: 2 point(s) were set, and 3 are needed",
        "set points along the whole line: about eight for a zone, two or more for a crack",
    );
    with(13, "points = [[330, 270], [192, 210], [210, 150], [180, 270], [240, 294]]").refuses(
        "a.toml:13: fused.points: the outline crosses itself near (330, 270), even with straight lines between the set points",
        "set the points in order along the line, once around",
    );
    // 60 px right of the upright, 90 px above the base, at 30 px/mm: the nearest plate is the upright, 2 mm away.
    with(13, "points = [[270, 60], [330, 60], [300, 180]]").refuses(
        "a.toml:13: fused: the fused outline (only) lies in the air: it touches no plate, the nearest one is 2.00 mm away",
        "check that the plate lines lie on the original surfaces of this photo and that outline and plates use the same scale",
    );
    for (by, fact, next) in [
        (
            "hold = [5]",
            "fused.hold: point 5 is to be held, and there are 5 points, counted from 0",
            "list points by number, counted from 0: hold = [2]",
        ),
        (
            "hold = [-1]",
            "fused.hold: point -1 is to be held, and there are 5 points, counted from 0",
            "list points by number, counted from 0: hold = [2]",
        ),
        ("side = \"top\"", "fused.side: 'top' is not known here", "write \"left\" or \"right\""),
        (
            "trace = \"strait\"",
            "fused.trace: 'strait' is not known here",
            "write \"guided\" or \"straight\"",
        ),
        ("[cut]\nyaw = \"12\"", "cut.yaw: \"12\" has no unit", "write the unit after it: ° or rad"),
        (
            "[cut]\nyaw = \"12 deg\"\nyaw_within = \"9 deg\"",
            "cut: the cut's yaw is given as an angle and as a bound",
            "give yaw when it was measured, yaw_within when it is only bounded",
        ),
    ] {
        let line = if by.starts_with("[cut]\nyaw = \"12\"") { 15 } else { 14 };
        with(14, by).refuses(&format!("a.toml:{line}: {fact}"), next);
    }
    with(2, "joint = \"lap-edge\"").refuses(
        "a.toml:2: joint: 'lap-edge' is no kind of joint that is read",
        "write \"bead\", \"butt\" or \"tee\"",
    );
}

#[test]
fn the_side_is_asked_for_where_there_are_two_and_refused_where_there_is_one() {
    let place = folder(&[]);
    let read = |text: &str| {
        std::fs::write(place.path().join("a.toml"), text).unwrap();
        seamproof(place.path(), &["read", "a.toml"])
    };
    tee_both_sides().picture().save(place.path().join("a.png")).unwrap();
    let text = tee_both_sides().reading_file("a.png", "straight");
    assert_eq!(read(&text).code, 0);
    let sides = "give each fused zone its own side: tee: left or right; butt: top or bottom";
    let unsaid = "2 fused zones are outlined, and this one does not say its side";
    read(&text.replace("side = \"right\"\n", ""))
        .refuses(&format!("a.toml:16: fused.side: {unsaid}"), sides);
    read(&text.replace("side = \"left\"\n", "").replace("side = \"right\"\n", ""))
        .refuses(&format!("a.toml:12: fused.side: {unsaid}"), sides);
    read(&text.replace("side = \"right\"", "side = \"left\""))
        .refuses("a.toml:16: fused.side: two fused zones are outlined for the side 'left'", sides);
    read(&format!("{text}[[fused]]\nside = \"left\"\npoints = [[1, 1], [9, 1], [5, 9]]\n"))
        .refuses(
            "a.toml:20: fused.side: 3 fused zones are outlined, and a tee has 2 at most",
            sides,
        );
    // One face of the upright is not enough for two welds.
    let lines: Vec<&str> = text.lines().filter(|l| !l.starts_with("upright_left")).collect();
    read(&lines.join("\n")).refuses(
        "a.toml:8: plates.upright_left: two welds are outlined, but plates.upright_left is not marked",
        "mark both faces of the upright: upright_left and upright_right",
    );
    butt_both_sides().picture().save(place.path().join("a.png")).unwrap();
    let text = butt_both_sides().reading_file("a.png", "straight");
    assert_eq!(read(&text).code, 0);
    let said = read(&text.replace("side = \"top\"\n", "").replace("side = \"bottom\"\n", ""));
    assert!(said.err.starts_with(&format!("a.toml:12: fused.side: {unsaid}\n")), "{said:?}");
    let bead = crate::drawn::bead();
    bead.picture().save(place.path().join("a.png")).unwrap();
    read(
        &bead
            .reading_file("a.png", "straight")
            .replace("[[fused]]\n", "[[fused]]\nside = \"left\"\n"),
    )
    .refuses("a.toml:11: fused.side: a bead on plate has one side only", "leave the side out");
    butt().picture().save(place.path().join("a.png")).unwrap();
    let text = butt().reading_file("a.png", "straight");
    read(&text.replace("[[fused]]\n", "[[fused]]\nside = \"left\"\n"))
        .refuses("a.toml:13: fused.side: 'left' is not known here", "write \"top\" or \"bottom\"");
}

/// Ten drawn millimetres stated as 10 mm and, by the value per pixel, as 11: both stand in the answer, neither wins.
#[test]
fn two_scales_that_clash_are_reported() {
    // 30 px/mm: 33.333 um a pixel; 36.667 um is 10 % more.
    let said = with(7, "length = \"10 mm\"\n[[scale]]\nper_pixel = \"36.6667 um\"");
    assert_eq!(said.code, 0, "{said:?}");
    let flat = said.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flat.contains(
            "THE SCALES CLASH: scale 2 (value per pixel) gives a pixel 10.0 % larger than scale 1 (two points 10 mm apart)"
        ),
        "{flat}"
    );
    let agree = with(7, "length = \"10 mm\"\n[[scale]]\nper_pixel = \"33.4 um\"");
    assert!(!agree.out.contains("CLASH"), "{agree:?}");
}
