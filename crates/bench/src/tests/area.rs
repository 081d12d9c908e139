//! The area's page: a plan that is signed and kept, and what cannot be worked out.

use super::*;

const BEAM: &[(&str, &str)] = &[
    ("power", "2 kW"),
    ("wavelength", "1070 nm"),
    ("focal_length", "150 mm"),
    ("beam_at_lens", "10 mm"),
    ("widths_at", "1/e2"),
];
const PLAN: &[(&str, &str)] = &[
    ("paper.site", "Hollin Ferry Works, bay 2"),
    ("paper.author", "R. Tan"),
    ("paper.date", "2026-11-25"),
];
const ROOM: &[(&str, &str)] = &[
    ("room.width", "6 m"),
    ("room.depth", "4 m"),
    ("room.torch.0", "2 m"),
    ("room.torch.1", "1.6 m"),
    ("door.0.name", "yard door"),
    ("door.0.from.0", "3.5 m"),
    ("door.0.from.1", "4 m"),
    ("door.0.to.0", "5.5 m"),
    ("door.0.to.1", "4 m"),
    ("door.0.interlocked", "yes"),
];

/// What else is asked of an area: without it there is something against it.
const BESIDE: &[(&str, &str)] = &[
    ("eyewear.marking", "900-1080 D LB9"),
    ("gas.kind", "none"),
    ("fume.parent", "stainless steel"),
    ("fume.hood.0", "0.3 m"),
    ("fume.hood.1", "0.3 m"),
    ("fume.hood_distance", "0.3 m"),
];

fn all<'a>(parts: &[&[(&'a str, &'a str)]]) -> Vec<(&'a str, &'a str)> {
    parts.concat()
}

/// The same with one field said otherwise.
fn but<'a>(fields: &[(&'a str, &'a str)], name: &str, value: &'a str) -> Vec<(&'a str, &'a str)> {
    let mut fields = fields.to_vec();
    for field in &mut fields {
        if field.0 == name {
            field.1 = value;
        }
    }
    fields
}

/// Bad input: the page says fact and next action at the field, and keeps everything that was typed.
#[tokio::test(flavor = "multi_thread")]
async fn what_cannot_be_worked_out_is_said_and_nothing_is_lost() {
    let bed = Bed::demo();
    let bare = [
        ("power", "2 kW"),
        ("wavelength", "1070 nm"),
        ("divergence", "2 mrad"),
        ("eyewear.marking", "900-1080 D LB7"),
        ("rest", "[pilot]\npower = \"0.8 mW\"\nwavelength = \"650 nm\""),
    ];
    let fields = all(&[&bare, ROOM, PLAN]);
    let mut wrong = Vec::new();
    for (name, value, fact, next) in [
        (
            "wavelength",
            "10.6 um",
            "the wavelength is 10600 nm, and the tables here hold from 400 to 1400 nm",
            "check the wavelength on the laser's label",
        ),
        (
            "divergence",
            "0 mrad",
            "the divergence is 0 mrad, and it must be above nothing",
            "write the full angle from the laser's data sheet",
        ),
        ("eyewear.marking", "shade 14", "", "type the marking as it is printed on the pair"),
        ("power", "2", "has no unit", "write the unit after it: kW or W"),
        (
            "room.torch.1",
            "",
            "there is no value, and a length is needed",
            "write a number and a unit",
        ),
        ("door.0.to.1", "5 m", "a door's or window's place", ""),
        (
            "door.0.interlocked",
            "",
            "interlocked",
            "answer whether opening the door switches the beam off",
        ),
        ("rest", "[pilot\npower = 3", "", ""),
    ] {
        let sent = but(&fields, name, value);
        let (status, _, page) = bed.form("/area", &sent).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{name} = {value}");
        let said = told(&page);
        if !(said.contains(fact) && said.contains(next) && said.contains("Next: ")) {
            wrong.push(format!("{name} = {value}: {said}"));
        }
        assert_eq!(page.matches("class=\"told\"").count(), 1, "{name} = {value}");
        for (field, typed) in &sent {
            let kept = typed.replace('"', "&quot;");
            assert!(page.contains(&kept), "{name} = {value}: {field} lost '{typed}'");
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    // A row that is wrong says so in its own place, not in the first.
    let two = all(&[
        &fields,
        &[
            ("door.1.name", "front"),
            ("door.1.from.0", "6 m"),
            ("door.1.from.1", "1 thing"),
            ("door.1.to.0", "6 m"),
            ("door.1.to.1", "2 m"),
            ("door.1.interlocked", "no"),
        ],
    ]);
    let (status, _, page) = bed.form("/area", &two).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    let (before, after) = page.split_once("class=\"told\"").unwrap();
    assert!(
        before.contains("Door 2") && !before.contains("Door 3") && after.contains("Door 3"),
        "{}",
        told(&page)
    );
}

/// Page, JSON and plan print the same words: the page has every sentence and row of the answer.
#[tokio::test(flavor = "multi_thread")]
async fn the_page_prints_what_the_json_prints() {
    let bed = Bed::demo();
    let (status, _, page) = bed.form("/area", &all(&[BEAM, ROOM, PLAN])).await;
    assert_eq!(status, StatusCode::OK);
    let setup = "power = \"2 kW\"\nwavelength = \"1070 nm\"\nfocal_length = \"150 mm\"\nbeam_at_lens = \"10 mm\"\nwidths_at = \"1/e2\"\n\
                 [room]\nwidth = \"6 m\"\ndepth = \"4 m\"\ntorch = [\"2 m\", \"1.6 m\"]\n[[door]]\nname = \"yard door\"\nfrom = [\"3.5 m\", \"4 m\"]\nto = [\"5.5 m\", \"4 m\"]\ninterlocked = true\n";
    let none = |_: &str| unreachable!("it names no setting");
    let out = workflow::area::from_text("f".to_owned(), setup, &none).unwrap().out;
    let page = plain(&page);
    for words in out
        .says
        .answers
        .iter()
        .flatten()
        .chain(&out.says.cautions)
        .chain(&out.taken)
        .chain(&out.against)
    {
        assert!(page.contains(words.as_str()), "{words}");
    }
    for part in &out.says.parts {
        for row in &part.rows {
            for cell in [&row.what, &row.value, &row.from] {
                assert!(page.contains(cell.as_str()), "{cell}");
            }
        }
    }
    for [_, check, from] in &out.says.checks {
        assert!(page.contains(check.as_str()) && page.contains(from.as_str()), "{check}");
    }
    assert!(page.contains(&out.fingerprint));
}

/// A plan that is signed stands until its setting changes what it rests on.
#[tokio::test(flavor = "multi_thread")]
async fn a_signed_plan_stands_until_its_setting_changes() {
    let bed = Bed::demo();
    let beam = [
        ("name", "frozen"),
        ("process", "521"),
        ("power", "1.6 kW"),
        ("spot", "120 um"),
        ("wavelength", "1070 nm"),
        ("focal_length", "150 mm"),
        ("beam_at_lens", "10 mm"),
        ("travel_speed", "8 mm/s"),
    ];
    let (status, headers, page) = bed.form("/record/setting/new", &beam).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{}", told(&page));
    let setting = headers[header::LOCATION].to_str().unwrap().to_owned();
    let fields = all(&[&[("setting", "frozen")], ROOM, BESIDE, PLAN]);
    let (status, _, page) = bed.form("/area", &fields).await;
    assert_eq!(status, StatusCode::OK, "{}", told(&page));
    assert!(
        page.contains("setting &#39;frozen&#39;") || page.contains("setting 'frozen'"),
        "{}",
        told(&page)
    );
    assert!(
        page.contains("1.6 kW") && page.contains("the laser may be set higher"),
        "{}",
        told(&page)
    );
    // Nobody signs, no day: refused, and the area stays on the page.
    for (by, on, fact) in
        [("", "2026-11-26", "nobody signs"), ("M. Okafor", "26.11.", "is not a day")]
    {
        let sent = all(&[&fields, &[("signed.by", by), ("signed.date", on)]]);
        let (status, _, page) = bed.form("/area/sign", &sent).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(
            page.contains(fact)
                && page.contains("What eyewear?")
                && page.contains(&format!("value=\"{on}\"")),
            "{}",
            told(&page)
        );
    }
    let signed = all(&[&fields, &[("signed.by", "M. Okafor"), ("signed.date", "2026-11-26")]]);
    let (status, headers, page) = bed.form("/area/sign", &signed).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{}", told(&page));
    let plan = headers[header::LOCATION].to_str().unwrap().to_owned();
    let state = async || {
        let (status, page) = bed.get(&plan).await;
        assert_eq!(status, StatusCode::OK, "{}", told(&page));
        plain(&page)
    };
    let page = state().await;
    assert!(page.contains("Area plan of Hollin Ferry Works, bay 2 for 1600 W at 1070 nm, setting 'frozen' at revision 1, signed by M. Okafor on 2026-11-26."), "{}", told(&page));
    assert!(page.contains("It stands: the setting 'frozen' is as it was."), "{}", told(&page));
    assert!(page.contains("value=\"yard door\""), "the setup is there to go on from");
    let (_, papers) = bed.get("/write").await;
    assert!(papers.contains("signed by M. Okafor"), "{papers}");
    // What the plan does not rest on.
    let edit = async |from: &str, name: &str, value: &str| {
        let mut fields = but(&beam[1..], name, value);
        fields.push(("from", from));
        bed.form(&setting, &fields).await.0
    };
    assert_eq!(edit("1", "travel_speed", "9 mm/s").await, StatusCode::SEE_OTHER);
    let page = state().await;
    assert!(page.contains("It stands: the setting 'frozen' is at revision 2, it was signed at 1, and nothing that the plan rests on has changed."), "{}", told(&page));
    // What it does.
    assert_eq!(edit("2", "power", "1.8 kW").await, StatusCode::SEE_OTHER);
    let page = state().await;
    let fallen = "It no longer stands, the setting has changed since it was signed: power was 1600 W, is 1800 W. Have it signed again.";
    assert!(page.contains(fallen), "{}", told(&page));
    // Said on the other pages as well.
    let (_, home) = bed.get("/").await;
    assert!(plain(&home).contains("1 plan signed, 1 no longer stands"), "{}", plain(&home));
    let (_, papers) = bed.get("/write").await;
    assert!(plain(&papers).contains(fallen), "{}", plain(&papers));
    // Signed again: one plan of the site, its next revision; the study is whole.
    let (status, headers, page) = bed.form("/area/sign", &signed).await;
    assert_eq!(
        (status, headers[header::LOCATION].to_str().unwrap()),
        (StatusCode::SEE_OTHER, plan.as_str()),
        "{}",
        told(&page)
    );
    assert!(state().await.contains("It stands: the setting 'frozen' is as it was."));
    let path = bed.dir.path().join("a.seam");
    let checked = workflow::study::check(&path, None, &workflow::progress::Quiet).unwrap();
    assert!(checked.holds, "{:?}", checked.faults);
    // Taken out of the study: the plan says so.
    let out = format!("{setting}/out");
    assert_eq!(bed.form(&out, &[("from", "3")]).await.0, StatusCode::SEE_OTHER);
    assert!(
        state().await.contains("It no longer stands: there is no setting 'frozen' in the study")
    );
}

/// Where something speaks against an area, whoever releases it says why.
#[tokio::test(flavor = "multi_thread")]
async fn an_area_with_something_against_it_is_signed_with_a_reason_only() {
    let bed = Bed::demo();
    let open = but(ROOM, "door.0.interlocked", "no");
    let fields =
        all(&[BEAM, &open, PLAN, &[("signed.by", "M. Okafor"), ("signed.date", "2026-11-26")]]);
    let (status, _, page) = bed.form("/area/sign", &fields).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        page.contains("speak against releasing this area") && page.contains("yard door"),
        "{}",
        told(&page)
    );
    let despite = all(&[&fields, &[("signed.despite", "a wall stands behind the door")]]);
    let (status, headers, page) = bed.form("/area/sign", &despite).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{}", told(&page));
    let (_, page) = bed.get(headers[header::LOCATION].to_str().unwrap()).await;
    assert!(
        page.contains("although something spoke against it (a wall stands behind the door)"),
        "{}",
        told(&page)
    );
    // Without a setting nobody is told of one that goes beyond it, and the page says that.
    assert!(page.contains("It names no setting"), "{}", told(&page));
}

/// Each caution, the check list and the etchants stand on the page whichever way it is reached: blank, worked out, or
/// refused.
#[tokio::test(flavor = "multi_thread")]
async fn each_caution_stands_on_every_page_of_the_area() {
    let bed = Bed::of(None, None);
    let always = workflow::area::says::always();
    let (_, begin) = bed.get("/").await;
    assert!(begin.contains("href=\"/area\""), "{begin}");
    let blank = bed.get("/area").await.1;
    let begun = bed.get("/area?blank=1").await.1;
    let worked = bed.form("/area", &all(&[BEAM, ROOM])).await.2;
    let refused = bed.form("/area", &but(BEAM, "power", "2")).await.2;
    for page in [blank, begun, worked, refused] {
        let page = plain(&page);
        for words in always
            .cautions
            .iter()
            .chain(&always.etching_always)
            .chain(always.checks.iter().map(|c| &c[1]))
        {
            assert_eq!(page.matches(words.as_str()).count(), 1, "{words}");
        }
    }
}

/// What is safe does not wait for a study.
#[tokio::test(flavor = "multi_thread")]
async fn without_a_study_the_area_is_worked_out_and_not_kept() {
    let bed = Bed::of(None, None);
    let (status, page) = bed.get("/area").await;
    assert_eq!(status, StatusCode::OK, "{}", told(&page));
    let (status, _, page) = bed.form("/area", &all(&[BEAM, ROOM])).await;
    assert_eq!(status, StatusCode::OK, "{}", told(&page));
    assert!(page.contains("The plan to be signed") && !page.contains("Keep the signed plan"));
    let (status, _, page) = bed.form("/area", &[("setting", "frozen")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("no study is open"), "{}", told(&page));
}
