//! The paper says what it was given, on every page what must stand there, and the same to the byte.

use crate::invented;
use report::figure::photo::{PhotoFigure, Picture, photo_overlay};
use report::paper::customer::{Answer, Customer, SectionPage, customer_data, customer_report};
use report::paper::{Date, PaperError};
use std::process::Command;
use weld::quantity::show::UnitSystem::{Inch, Metric};

#[test]
fn the_paper_says_what_it_was_given() {
    let claim = invented::claim();
    let mut customer = invented::customer(&claim, 2, 2, Metric);
    for s in &mut customer.sections {
        s.drawing = None;
    }
    insta::assert_snapshot!("data", customer_data(&customer).unwrap());
}

#[test]
fn inches_come_first_when_asked() {
    let claim = invented::claim();
    let data = customer_data(&invented::customer(&claim, 1, 1, Inch)).unwrap();
    let data: serde_json::Value = serde_json::from_str(&data).unwrap();
    assert_eq!(data["figures"][0]["value"], "0.123 in");
    assert_eq!(data["figures"][0]["beside"], "3.12 mm");
    assert_eq!(data["figures"][1]["value"], "0.119 in");
}

#[test]
fn the_file_is_a_pdf_with_its_pages() {
    let claim = invented::claim();
    let paper = customer_report(&invented::customer(&claim, 3, 3, Metric)).unwrap();
    assert!(paper.pdf.starts_with(b"%PDF-"));
    assert!(paper.pages >= 5, "{}", paper.pages);
    assert_eq!(paper.remarks, Vec::<String>::new());
    let text = String::from_utf8_lossy(&paper.pdf);
    assert!(
        text.contains(&format!("/Count {}", paper.pages)) && text.trim_end().ends_with("%%EOF")
    );
}

/// Writes the report to the file that the environment names; the test below runs it in other processes.
#[test]
#[ignore = "run by the test below"]
fn write_the_report() {
    let Ok(out) = std::env::var("REPORT_OUT") else { return };
    let claim = invented::claim();
    let paper = customer_report(&invented::customer(&claim, 2, 2, Metric)).unwrap();
    std::fs::write(out, paper.pdf).unwrap();
}

#[test]
fn same_values_same_bytes_whatever_the_process_thread_zone_and_language() {
    let folder = std::env::temp_dir().join(format!("report-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let run = |name: &str, zone: &str, lang: &str, home: &str| {
        let out = folder.join(name);
        let done = Command::new(std::env::current_exe().unwrap())
            .args(["--ignored", "--exact", "paper::write_the_report"])
            .envs([("TZ", zone), ("LANG", lang), ("LC_ALL", lang), ("HOME", home)])
            .env("REPORT_OUT", &out)
            .output()
            .unwrap();
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stdout));
        std::fs::read(out).unwrap()
    };
    let first = run("one.pdf", "UTC", "C", "/");
    assert!(first == run("two.pdf", "Pacific/Auckland", "de_DE.UTF-8", "/nowhere"));
    std::fs::remove_dir_all(&folder).unwrap();
    let here = || {
        let claim = invented::claim();
        customer_report(&invented::customer(&claim, 2, 2, Metric)).unwrap().pdf
    };
    let threads: Vec<_> = (0..2).map(|_| std::thread::spawn(here)).collect();
    for thread in threads {
        assert!(thread.join().unwrap() == first);
    }
}

#[test]
fn a_word_from_a_user_is_only_a_word() {
    let claim = invented::claim();
    let mut customer = invented::customer(&claim, 1, 1, Metric);
    customer.title = "#panic(\"no\") $x$ *b* <tag> [ \\ ` // é 中 \u{202e}x".to_owned();
    customer.question = "#import \"x.typ\"\n= Not a heading\n- no list".to_owned();
    customer.sections[0].remarks = vec!["x".repeat(400), "]".to_owned()];
    let paper = customer_report(&customer).unwrap();
    assert_eq!(paper.remarks, Vec::<String>::new());
    assert!(customer_data(&customer).unwrap().contains("[U+4E2D]"));
}

#[test]
fn long_jobs_and_long_names_flow_over_pages() {
    let claim = invented::claim();
    let mut customer = invented::customer(&claim, 10, 4, Metric);
    let long = "coupon of the north side, second attempt, welded on a Friday ".repeat(3);
    customer.sections[0].coupon = long.clone();
    customer.sections[1].section = "x".repeat(120);
    customer.groups[0].coupon = long.clone();
    customer.study = long.clone();
    customer.customer = long.clone();
    customer.sections[2].remarks = vec![long.repeat(30); 8];
    customer.refusals = vec![customer.refusals[0].clone(); 30];
    let paper = customer_report(&customer).unwrap();
    assert!(paper.pages > 15, "{}", paper.pages);
    assert_eq!(paper.remarks, Vec::<String>::new());
}

#[test]
fn little_is_a_paper_too() {
    let paper = customer_report(&Customer {
        title: String::new(),
        study: String::new(),
        edition: String::new(),
        customer: String::new(),
        author: String::new(),
        date: Date { year: 2026, month: 1, day: 1 },
        units: Metric,
        invented: false,
        question: String::new(),
        answer: Answer::No {
            sentence: "Nothing can be claimed".to_owned(),
            advice: "weld more".to_owned(),
        },
        value_words: String::new(),
        joint: None,
        need: None,
        groups: vec![],
        summary: vec![],
        sections: vec![SectionPage::default()],
        no_photos: String::new(),
        code: String::new(),
        refusals: vec![],
        method: vec![],
        sources: vec![],
        cautions: vec![],
    })
    .unwrap();
    assert!(paper.pages >= 1);
}

/// A photo that only begins like one must not stop the paper.
#[test]
fn a_broken_photo_does_not_stop_the_paper() {
    let claim = invented::claim();
    let mut customer = invented::customer(&claim, 1, 1, Metric);
    for bytes in
        [&b"\xff\xd8\xff\xe0 no picture follows"[..], &b"\x89PNG\r\n\x1a\n nor here"[..], b""]
    {
        customer.sections[0].picture = Some(photo_overlay(&PhotoFigure {
            size_px: [100, 80],
            picture: Picture::Embedded { bytes },
            lines: &[],
            dimensions: &[],
            mm_per_px: None,
            units: Metric,
            width_mm: 84.0,
        }));
        customer_report(&customer).unwrap();
    }
}

#[test]
fn a_day_that_is_none_stops_the_paper() {
    let claim = invented::claim();
    let mut customer = invented::customer(&claim, 1, 1, Metric);
    customer.date = Date { year: 2026, month: 2, day: 30 };
    let refused = customer_report(&customer).unwrap_err();
    assert_eq!(refused, PaperError::Date { date: customer.date });
    assert_eq!(refused.to_string(), "2026-02-30 is not a day");
}

/// A plan with nothing in it, and one full of what users may type, are papers too: same values, same bytes.
#[test]
fn any_area_plan_is_a_paper() {
    use report::paper::area::{AreaEtchant, AreaPart, AreaPlan, area_plan};
    let plan = |word: &str, n: usize| {
        let w = || word.to_owned();
        AreaPlan {
            title: w(),
            site: w(),
            author: w(),
            laser: w(),
            date: Date { year: 2026, month: 11, day: 25 },
            invented: n > 0,
            fingerprint: w(),
            against: vec![w(); n],
            answers: vec![[w(), w()]; n],
            plan: None,
            cautions: vec![w(); n],
            parts: vec![
                AreaPart {
                    title: w(),
                    rows: vec![[w(), w(), format!("{word} (Recalled)")]; n],
                    sentences: vec![w(); n],
                };
                n
            ],
            taken: vec![w(); n],
            checks: vec![[w(), w(), w()]; n],
            signatures: vec![[w(), w()]; n],
            etching_always: vec![w(); n],
            etchants: vec![
                AreaEtchant {
                    name: w(),
                    alloys: w(),
                    strength: w(),
                    never: w(),
                    first_aid: w(),
                    trained_only: true,
                    from: w(),
                };
                n
            ],
            sources: vec![],
        }
    };
    assert!(area_plan(&plan("", 0)).unwrap().pages >= 1);
    for word in ["#panic(\"no\") $x$ *b* [ \\ ` // é 中 \u{202e}x", &"x".repeat(300)] {
        let paper = area_plan(&plan(word, 3)).unwrap();
        assert_eq!(paper.remarks, Vec::<String>::new());
        assert!(paper == area_plan(&plan(word, 3)).unwrap());
    }
}
