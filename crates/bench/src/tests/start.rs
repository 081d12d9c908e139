//! The pages of `start` and `compare`: settings on a joint, as the command line has them.

use super::*;
use workflow::predict::{TIERS, expect, says};
use workflow::start::start;

fn query(fields: &[(&str, &str)]) -> String {
    let fields: Vec<String> =
        fields.iter().map(|(n, v)| format!("{}={}", encoded(n), encoded(v))).collect();
    fields.join("&")
}

const LASER: &[(&str, &str)] = &[
    ("process", "521"),
    ("power", "2 kW"),
    ("travel_speed", "4 mm/s"),
    ("spot", "120 um"),
    ("m2", "3.0"),
    ("torch_angle", "25 deg"),
    ("aim", "0.5 mm"),
    ("wobble_pattern", "line"),
    ("wobble_width", "3 mm"),
    ("wobble_frequency", "50 Hz"),
    ("wire", "1.6 mm"),
    ("wires", "2"),
    ("wire_feed", "8 mm/s"),
];

/// The page of a setting says what the command line says of the same files, with every picture.
#[tokio::test(flavor = "multi_thread")]
async fn a_setting_is_expected_as_the_command_line_expects_it() {
    let bed = Bed::demo();
    let joint = bed.id(Kind::Joint, "joint.toml").await;
    let laser = bed.id(Kind::Setting, "laser.toml").await;
    let started = start(&demo().join("joint.toml")).unwrap();
    let said = expect(&started, &demo().join("laser.toml"), TIERS[1].1).unwrap().out;
    let (status, page) = bed.get(&format!("/joint/{joint}/setting?of={laser}")).await;
    assert_eq!(status, StatusCode::OK, "{}", told(&page));
    let page = plain(&page);
    assert!(page.contains(&says::verdict(&said)) && page.contains(says::NOT_WELDED));
    for [what, of] in says::rows(&said) {
        assert!(page.contains(&what) && page.contains(&of), "{what}: {of}");
    }
    for line in says::refusals(&said).iter().chain(&said.warnings).chain(&said.taken) {
        assert!(page.contains(line.as_str()), "{line}");
    }
    for bar in says::answer_bars(&said.sensitivity) {
        assert!(page.contains(&says::answer_words(&bar)), "{bar:?}");
    }
    // Joint, expected section, what changes the throat, energy; the band's two ends are drawn.
    assert_eq!(page.matches("<svg ").count(), 4);
    assert!(page.contains("class=\"high\"") && page.contains("class=\"low\""));
    // The same by its fields, in other notation: 4 mm/s are 24 cm/min.
    let inches = LASER.iter().map(|(n, v)| match *n {
        "travel_speed" => (*n, "24 cm/min"),
        "power" => (*n, "2000 W"),
        "wobble_width" => (*n, "3,0 mm"),
        _ => (*n, *v),
    });
    let inches: Vec<_> = inches.collect();
    let (status, by_fields) = bed.get(&format!("/joint/{joint}/setting?{}", query(&inches))).await;
    assert_eq!(status, StatusCode::OK, "{}", told(&by_fields));
    assert!(plain(&by_fields).contains(&says::throat(&said.expected)));
    assert!(by_fields.contains("value=\"24 cm/min\""), "what was typed stays as it was typed");
}

/// No figure of the model without its band: outside the checked range every one says that there is none.
#[tokio::test(flavor = "multi_thread")]
async fn outside_the_checked_range_nothing_has_a_band() {
    let bed = Bed::demo();
    let joint = bed.id(Kind::Joint, "joint.toml").await;
    let slow: Vec<_> = LASER
        .iter()
        .map(|(n, v)| if *n == "travel_speed" { (*n, "2 mm/s") } else { (*n, *v) })
        .collect();
    let (status, page) = bed.get(&format!("/joint/{joint}/setting?{}", query(&slow))).await;
    assert_eq!(status, StatusCode::OK, "{}", told(&page));
    assert!(
        page.contains("no band, outside the checked range: travel of 2.0 mm/s"),
        "{}",
        plain(&page)
    );
    assert!(!page.contains("(90 %") && !page.contains("class=\"high\""));
    let inside = page.split("<svg ").nth(2).unwrap();
    assert!(inside.contains("(no band)"), "{inside}");
}

/// Bad input: fact and next action at the field, and what was typed stays.
#[tokio::test(flavor = "multi_thread")]
async fn a_setting_that_cannot_be_is_refused_at_its_field() {
    let bed = Bed::demo();
    let joint = bed.id(Kind::Joint, "joint.toml").await;
    let mut wrong = Vec::new();
    for (name, value, label, fact) in [
        ("power", "2", "f-power", "has no unit"),
        ("power", "2 mm", "f-power", "is a length, and a power is needed"),
        ("wobble_frequency", "", "f-wobble_frequency", "the field 'wobble.frequency' is missing"),
        ("wires", "20", "f-wires", "20 wires, outside 1 to 8"),
        ("spot", "", "f-spot", "the field 'spot' is missing"),
        ("process", "111", "f-process", "process '111' is not predicted here"),
        ("torch_angle", "-3 deg", "f-torch_angle", "the torch angle is"),
    ] {
        let fields: Vec<_> =
            LASER.iter().map(|(n, v)| if *n == name { (*n, value) } else { (*n, *v) }).collect();
        let (status, page) = bed.get(&format!("/joint/{joint}/setting?{}", query(&fields))).await;
        let said = told(&page);
        if status != StatusCode::UNPROCESSABLE_ENTITY
            || !said.contains(fact)
            || !said.contains("Next: ")
        {
            wrong.push(format!("{name} = {value}: {status} {said}"));
        }
        let (before, _) = page.split_once("class=\"told\"").unwrap_or((&page, ""));
        let last = before
            .rsplit("id=\"f-")
            .find(|s| !s.split('"').next().unwrap_or_default().ends_with("-hint"));
        if last.is_none_or(|l| format!("f-{}", l.split('"').next().unwrap_or_default()) != label) {
            wrong.push(format!("{name} = {value}: not told at {label}"));
        }
        for (field, typed) in fields {
            if !page.contains(&format!("value=\"{typed}\"")) {
                wrong.push(format!("{name} = {value}: {field} lost '{typed}'"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// A setting is kept under its joint, changed, and compared with another.
#[tokio::test(flavor = "multi_thread")]
async fn a_setting_is_kept_changed_and_compared() {
    let bed = Bed::demo();
    let joint = bed.id(Kind::Joint, "joint.toml").await;
    let gmaw = bed.id(Kind::Setting, "gmaw.toml").await;
    let keep = format!("/joint/{joint}/setting/keep");
    let (status, _, page) = bed.form(&keep, LASER).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(told(&page).contains("the setting has no name"), "{}", told(&page));
    let named = [LASER, &[("name", "quick")]].concat();
    let (status, headers, page) = bed.form(&keep, &named).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{}", told(&page));
    let to = headers[header::LOCATION].to_str().unwrap().to_owned();
    let quick = to.rsplit('=').next().unwrap().to_owned();
    let (status, page) = bed.get(&to).await;
    assert_eq!(status, StatusCode::OK);
    assert!(page.contains("quick on joint.toml") && page.contains("value=\"4 mm/s\""));
    // Changed from a page that somebody else was faster than: nothing is lost.
    let change = [LASER, &[("of", quick.as_str()), ("from", "1"), ("name", "quick")]].concat();
    let faster: Vec<_> = change
        .iter()
        .map(|(n, v)| if *n == "travel_speed" { (*n, "6 mm/s") } else { (*n, *v) })
        .collect();
    assert_eq!(bed.form(&keep, &faster).await.0, StatusCode::SEE_OTHER);
    assert_eq!(bed.form(&keep, &change).await.0, StatusCode::CONFLICT);
    let (status, page) = bed
        .get(&format!(
            "/compare?joint={joint}&setting={quick}&setting={gmaw}&currency=EUR&labour_per_h=50"
        ))
        .await;
    assert_eq!(status, StatusCode::OK, "{}", told(&page));
    let page = plain(&page);
    for says in [
        "quick (521)",
        "gmaw.toml (135)",
        "90 % band of it",
        "cost",
        " EUR",
        "no claim rests on it",
    ] {
        assert!(page.contains(says), "{says}");
    }
    let (status, page) = bed.get(&format!("/compare?joint={joint}&setting={quick}")).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(told(&page).contains("tick two or more"), "{}", told(&page));
    let (status, page) = bed
        .get(&format!(
            "/compare?joint={joint}&setting={quick}&setting={gmaw}&currency=EUR&labour_per_h=much"
        ))
        .await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{}", told(&page));
    assert!(page.contains("value=\"much\""));
}

/// The search: settings to try with their bands, coupons that tell most, each to be looked at closely.
#[tokio::test(flavor = "multi_thread")]
async fn settings_worth_trying_are_searched_and_looked_at() {
    let bed = Bed::demo();
    let joint = bed.id(Kind::Joint, "joint.toml").await;
    let address = format!("/joint/{joint}/choices");
    let (status, _, page) = bed.form(&address, &[("power", "2 kW"), ("m2", "three")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        told(&page).contains("'three' is no number") && page.contains("value=\"2 kW\""),
        "{}",
        told(&page)
    );
    let (status, headers, _) = bed.form(&address, &[("power", "1.8 kW")]).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let to = bed.follow(&headers).await;
    let (status, page) = bed.get(&to).await;
    assert_eq!(status, StatusCode::OK, "{}", told(&page));
    let shown = plain(&page);
    for says in [
        "least heat",
        "90 % band",
        "Three coupons that tell most",
        "it tells what the first choice gives",
        "penetration expected",
        "(90 %:",
        "Why others do not serve",
        "no claim rests on it",
    ] {
        assert!(shown.contains(says), "{says}");
    }
    let closely: Vec<String> = shown
        .split(&format!("href=\"/joint/{joint}/setting?"))
        .skip(1)
        .map(|rest| rest.split('"').next().unwrap().to_owned())
        .collect();
    assert!(closely.len() >= 4, "a choice and three coupons: {closely:?}");
    for address in closely {
        let (status, page) = bed.get(&format!("/joint/{joint}/setting?{address}")).await;
        assert_eq!(status, StatusCode::OK, "{address}: {}", told(&page));
    }
    // The same again is known, and asks for no job.
    let (_, headers, _) = bed.form(&address, &[("power", "1.8 kW")]).await;
    assert_eq!(headers[header::LOCATION].to_str().unwrap(), to);
}

/// Whatever stands in an address is answered or refused, never with a fault of ours.
#[tokio::test(flavor = "multi_thread")]
async fn ten_thousand_wild_addresses_are_answered() {
    use rand::{Rng, SeedableRng};
    let bed = Bed::demo();
    let joint = bed.id(Kind::Joint, "joint.toml").await;
    let mut rng = rand_chacha::ChaCha8Rng::seed_from_u64(11);
    let wild = [
        "",
        "0",
        "-1 mm",
        "1e999 W",
        "NaN",
        "five",
        "5/16\"",
        "\u{0}",
        "18 ipm",
        "99999999 kW",
        "\"",
        "=",
        "[wobble]",
    ];
    let mut worked = 0;
    for i in 0..10_000 {
        let mut fields: Vec<(&str, &str)> = LASER.to_vec();
        for _ in 0..rng.random_range(1..4) {
            let at = rng.random_range(0..fields.len());
            fields[at].1 = wild[rng.random_range(0..wild.len())];
        }
        let path = match i % 8 {
            0 => format!("/joint/{joint}/choices?{}", query(&fields)),
            1 => {
                format!("/compare?joint={joint}&setting={}&{}", rng.random::<i32>(), query(&fields))
            }
            _ => format!("/joint/{joint}/setting?{}", query(&fields)),
        };
        let (status, page) = bed.get(&path).await;
        assert!(status == StatusCode::OK || status.is_client_error(), "{path}: {status}");
        // A word that was typed stands in its field; in an answer nothing is no number.
        assert!(!page.contains("NaN mm") && !page.contains("inf mm"), "{path}");
        worked += usize::from(page.contains("What changes the throat"));
    }
    assert!(worked > 50, "{worked} of them were worked out");
}
