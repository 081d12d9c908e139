//! Where a drawing puts things must be where the nouns say they are.

use crate::invented;
use report::figure::Svg;
use report::figure::answers::{AnswerBar, AnswersFigure, answer_words, answers_drawing};
use report::figure::energy::{EnergyFigure, energy_drawing};
use report::figure::expected::{Banded, ExpectedFigure, expected_drawing};
use report::figure::joint::{JointFigure, JointPlates, joint_drawing};
use report::figure::photo::{Look, PhotoDimension, PhotoFigure, PhotoLine, Picture, photo_overlay};
use report::figure::png::to_png;
use report::figure::section::{SectionFigure, WeldFigure, section_drawing};
use report::figure::strip::{Strip, strip_plot, strip_plots};
use weld::measured::Measured;
use weld::quantity::show::UnitSystem;
use weld::quantity::{Angle, Length};
use weld::reading::Reading;
use weld::section::{Section, read};

/// Two decimals on paper: each end of a line is off by at most 0.005 mm in each direction.
const PRINTED: f64 = 0.0051;

/// The points of every path whose attributes all contain the words.
fn paths(svg: &Svg, words: &[&str]) -> Vec<Vec<(f64, f64)>> {
    svg.as_str()
        .lines()
        .filter(|l| l.starts_with("<path") && words.iter().all(|w| l.contains(w)))
        .map(|l| {
            let d = l.split("d=\"").nth(1).unwrap().split('"').next().unwrap();
            d.split(['M', 'L'])
                .filter(|p| !p.is_empty())
                .map(|p| {
                    let (x, y) = p.trim_end_matches('Z').split_once(' ').unwrap();
                    (x.parse().unwrap(), y.parse().unwrap())
                })
                .collect()
        })
        .collect()
}

fn circles(svg: &Svg, class: &str) -> Vec<(f64, f64)> {
    let of = |l: &str, name: &str| -> f64 {
        l.split(&format!("{name}=\"")).nth(1).unwrap().split('"').next().unwrap().parse().unwrap()
    };
    svg.as_str()
        .lines()
        .filter(|l| l.starts_with("<circle") && l.contains(&format!("class=\"{class}\"")))
        .map(|l| (of(l, "cx"), of(l, "cy")))
        .collect()
}

fn texts(svg: &Svg) -> Vec<String> {
    svg.as_str()
        .lines()
        .filter(|l| l.starts_with("<text"))
        .map(|l| l.split_once('>').unwrap().1.trim_end_matches("</text>").to_owned())
        .collect()
}

fn drawn(section: &Section, welds: &[WeldFigure], land: Option<f64>) -> Svg {
    section_drawing(&SectionFigure {
        section,
        welds,
        land: land.map(|v| Measured::new(v, 0.0)),
        heat_affected: &[],
        units: UnitSystem::Metric,
        width_mm: 168.0,
        height_mm: 110.0,
    })
}

/// The drawing's scale, from the fused outline's width on paper and in the section.
fn scale(svg: &Svg, section: &Section) -> f64 {
    let outline = &section.fused[0].outline;
    let on_paper = &paths(svg, &["class=\"fused\""])[0];
    let width = |it: &mut dyn Iterator<Item = f64>| {
        let all: Vec<f64> = it.collect();
        all.iter().copied().fold(f64::MIN, f64::max) - all.iter().copied().fold(f64::MAX, f64::min)
    };
    width(&mut on_paper.iter().map(|p| p.0)) / width(&mut outline.iter().map(|p| p.x))
}

#[test]
fn dimensions_end_where_the_nouns_say() {
    for section in
        [invented::tee((3.4, 3.1, 1.7), (3.2, 3.3, 1.5)), invented::butt(), invented::bead()]
    {
        let seen = read(&section).unwrap();
        let welds: Vec<WeldFigure> = seen.welds.iter().map(WeldFigure::exact).collect();
        let svg = drawn(&section, &welds, seen.joint.unfused_land);
        // Usual scales have few digits, so what the printed outline says is rounded to them.
        let s = (scale(&svg, &section) * 100.0).round() / 100.0;
        let mut found = 0;
        for weld in &seen.welds {
            for d in &weld.dimensions {
                // Throats lie on the metal; the others have their own line beside it, as long as what they measure.
                let lines = paths(
                    &svg,
                    &[&format!("data-reading=\"{}\"", d.reading.field()), "class=\"dimension\""],
                );
                let lines = if d.reading == Reading::Penetration {
                    paths(&svg, &["data-reading=\"penetration_mm\"", "class=\"measured\""])
                } else {
                    lines
                };
                let ends = [d.from, d.to].map(|p| (s * p.x, -s * p.y));
                let near = |a: (f64, f64), b: (f64, f64)| {
                    (a.0 - b.0).abs() < PRINTED && (a.1 - b.1).abs() < PRINTED
                };
                let hit = match d.reading {
                    Reading::EffectiveThroat | Reading::Penetration => {
                        lines.iter().any(|l| near(l[0], ends[0]) && near(l[1], ends[1]))
                    }
                    Reading::LegBase | Reading::RootPenetration | Reading::WidthSurface => {
                        let (a, b) = (ends[0].0.min(ends[1].0), ends[0].0.max(ends[1].0));
                        lines.iter().any(|l| {
                            let (p, q) = (l[0].0.min(l[1].0), l[0].0.max(l[1].0));
                            (p - a).abs() < PRINTED && (q - b).abs() < PRINTED
                        })
                    }
                    Reading::LegUpright => lines.iter().any(|l| {
                        (l[0].1 - ends[0].1).abs() < PRINTED && (l[1].1 - ends[1].1).abs() < PRINTED
                    }),
                    _ => continue,
                };
                assert!(
                    hit,
                    "{:?} of the {} weld: {ends:?} not among {lines:?} at {s}:1",
                    d.reading,
                    weld.side.word()
                );
                found += 1;
            }
        }
        assert!(found >= 2, "{found}");
    }
}

#[test]
fn the_weld_root_is_marked_where_it_is() {
    let section = invented::tee((3.4, 3.1, 1.7), (3.2, 3.3, 1.5));
    let seen = read(&section).unwrap();
    let welds: Vec<WeldFigure> = seen.welds.iter().map(WeldFigure::exact).collect();
    let svg = drawn(&section, &welds, seen.joint.unfused_land);
    let s = (scale(&svg, &section) * 100.0).round() / 100.0;
    let marks = circles(&svg, "weld-root");
    for weld in &seen.welds {
        let p = weld.dimensions.iter().find(|d| d.reading == Reading::RootPenetration).unwrap().to;
        assert!(
            marks
                .iter()
                .any(|m| (m.0 - s * p.x).abs() < PRINTED && (m.1 + s * p.y).abs() < PRINTED),
            "{marks:?}"
        );
    }
}

/// The theoretical throat on paper is as long as its value, at the drawing's scale.
#[test]
fn the_theoretical_throat_is_as_long_as_it_reads() {
    let section = invented::tee((3.4, 3.1, 1.7), (3.2, 3.3, 1.5));
    let seen = read(&section).unwrap();
    let welds: Vec<WeldFigure> = seen.welds.iter().map(WeldFigure::exact).collect();
    let svg = drawn(&section, &welds, None);
    let s = (scale(&svg, &section) * 100.0).round() / 100.0;
    let lines = paths(&svg, &["data-reading=\"theoretical_throat_mm\""]);
    assert_eq!(lines.len(), 2);
    for (line, weld) in lines.iter().zip(&seen.welds) {
        let length = (line[0].0 - line[1].0).hypot(line[0].1 - line[1].1);
        let value = weld.readings.get(Reading::TheoreticalThroat).unwrap();
        assert!((length - s * value).abs() < 2.0 * PRINTED, "{length} for {value} at {s}:1");
    }
}

#[test]
fn a_reading_without_a_value_gets_no_dimension() {
    let section = invented::tee((3.4, 3.1, 1.7), (3.2, 3.3, 1.5));
    let seen = read(&section).unwrap();
    let mut welds: Vec<WeldFigure> = seen.welds.iter().map(WeldFigure::exact).collect();
    for weld in &mut welds {
        weld.values.retain(|(r, _)| *r != Reading::EffectiveThroat);
    }
    let svg = drawn(&section, &welds, None);
    assert!(paths(&svg, &["data-reading=\"effective_throat_mm\""]).is_empty());
    assert!(!texts(&svg).iter().any(|t| t.contains("effective throat")));
}

/// A drawing stays on the paper it was given, and no text lies on another.
#[test]
fn labels_keep_clear_of_each_other() {
    for (a, b) in [
        ((3.4, 3.1, 1.7), (3.2, 3.3, 1.5)),
        ((2.0, 2.2, 0.3), (2.1, 1.9, 0.5)),
        ((5.5, 3.0, 2.2), (3.0, 5.5, 2.2)),
        ((4.0, 4.0, 1.0), (4.0, 4.0, 1.0)),
    ] {
        let section = invented::tee(a, b);
        let seen = read(&section).unwrap();
        let welds = invented::figures(&seen);
        for width_mm in [168.0, 120.0, 84.0] {
            let svg = section_drawing(&SectionFigure {
                section: &section,
                welds: &welds,
                land: seen.joint.unfused_land.map(|v| Measured::new(v, 0.05)),
                heat_affected: &[],
                units: UnitSystem::Metric,
                width_mm,
                height_mm: 110.0,
            });
            assert!(svg.width_mm() <= width_mm + 1.0, "{} in {width_mm}", svg.width_mm());
            let boxes = level_boxes(&svg);
            for (i, p) in boxes.iter().enumerate() {
                for q in &boxes[i + 1..] {
                    let x = p.1[2].min(q.1[2]) - p.1[0].max(q.1[0]);
                    let y = p.1[3].min(q.1[3]) - p.1[1].max(q.1[1]);
                    assert!(
                        x <= 0.3 || y <= 0.3,
                        "'{}' lies on '{}' for {a:?} {b:?} at {width_mm}",
                        p.0,
                        q.0
                    );
                }
            }
        }
    }
}

/// Boxes of the texts that are not turned, with letters taken as 0.55 of their size wide.
fn level_boxes(svg: &Svg) -> Vec<(String, [f64; 4])> {
    let of = |l: &str, name: &str| -> f64 {
        l.split(&format!(" {name}=\"")).nth(1).unwrap().split('"').next().unwrap().parse().unwrap()
    };
    svg.as_str()
        .lines()
        .filter(|l| l.starts_with("<text") && !l.contains("rotate"))
        .map(|l| {
            let words = l.split_once('>').unwrap().1.trim_end_matches("</text>").to_owned();
            let (x, y, size) = (of(l, "x"), of(l, "y"), of(l, "font-size"));
            let w = 0.55 * size * words.chars().count() as f64;
            let left = if l.contains("\"middle\"") {
                x - 0.5 * w
            } else if l.contains("\"end\"") {
                x - w
            } else {
                x
            };
            (words, [left, y - 0.75 * size, left + w, y])
        })
        .collect()
}

#[test]
fn a_photo_is_overlaid_pixel_by_pixel() {
    let line = PhotoLine { px: vec![[0.0, 0.0], [199.0, 0.0], [199.0, 99.0]], look: Look::Fused };
    let dimension = PhotoDimension {
        reading: Reading::EffectiveThroat,
        from: [50.0, 50.0],
        to: [150.0, 50.0],
        value: Measured::new(4.0614, 0.043),
    };
    let figure = PhotoFigure {
        size_px: [200, 100],
        picture: Picture::Href("photo?a=1&b=2"),
        lines: &[line],
        dimensions: &[dimension],
        mm_per_px: Some(0.05),
        units: UnitSystem::Metric,
        width_mm: 100.0,
    };
    let svg = photo_overlay(&figure);
    // Half a millimetre a pixel, and pixel 0 has its centre half a pixel inside the picture.
    assert_eq!(paths(&svg, &["class=\"fused\""])[0], [(0.25, 0.25), (99.75, 0.25), (99.75, 49.75)]);
    assert_eq!(paths(&svg, &["class=\"dimension\""])[0], [(25.25, 25.25), (75.25, 25.25)]);
    assert!(texts(&svg).contains(&"effective throat 4.06".to_owned()), "{:?}", texts(&svg));
    assert!(svg.as_str().contains("href=\"photo?a=1&amp;b=2\""));
    insta::assert_snapshot!("photo", svg.as_str());
}

#[test]
fn a_strip_plot_puts_values_bound_and_need_on_one_axis() {
    let groups = invented::groups(2, 6);
    let strip = Strip {
        words: "effective throat",
        groups: &groups,
        bound_mm: Some(3.1264),
        need_mm: Some(3.0),
        units: UnitSystem::Metric,
        width_mm: 170.0,
    };
    let svg = strip_plot(&strip);
    let x_of = |class: &str| paths(&svg, &[&format!("class=\"{class}\"")])[0][0].0;
    let (need, bound) = (x_of("need"), x_of("bound"));
    let per_mm = (bound - need) / 0.1264;
    let marks = circles(&svg, "value");
    let values: Vec<f64> = groups
        .iter()
        .flat_map(|g| &g.values)
        .filter(|v| v.side == weld::section::Side::Left)
        .map(|v| v.value.value)
        .collect();
    for (mark, value) in marks.iter().zip(&values) {
        // Each of the two lines is printed to 0.005 mm, and the value lies several times as far off as they are apart.
        let expected = need + per_mm * (value - 3.0);
        let slack = 2.0 * PRINTED * (1.0 + (value - 3.0).abs() / 0.1264);
        assert!((mark.0 - expected).abs() < slack, "{value}: {} against {expected}", mark.0);
    }
    let words = texts(&svg);
    assert!(
        words.contains(&"needed 3.00 mm".to_owned())
            && words.contains(&"may be claimed 3.12 mm".to_owned()),
        "{words:?}"
    );
    assert!(words.contains(&"section left out: etch failed".to_owned()));
    insta::assert_snapshot!("strip", svg.as_str());
}

#[test]
fn many_coupons_go_on_several_drawings_with_one_axis() {
    let groups = invented::groups(60, 4);
    let strip = Strip {
        words: "effective throat",
        groups: &groups,
        bound_mm: Some(3.1264),
        need_mm: Some(3.0),
        units: UnitSystem::Inch,
        width_mm: 170.0,
    };
    let all = strip_plots(&strip, 215.0);
    assert!(all.len() > 1 && all.iter().all(|s| s.height_mm() <= 215.0));
    let names: usize = all.iter().map(|s| s.as_str().matches("class=\"coupon\"").count()).sum();
    assert_eq!(names, 60);
    let need = |s: &Svg| paths(s, &["class=\"need\""])[0][0].0;
    assert!(all.iter().all(|s| (need(s) - need(&all[0])).abs() < PRINTED));
}

#[test]
fn the_needed_throat_is_as_long_as_the_need_at_any_angle() {
    for degrees in [90.0, 65.0, 115.0] {
        let svg = joint_drawing(&JointFigure {
            plates: JointPlates::Tee {
                base: Length::from_mm(8.0),
                upright: Length::from_mm(5.0),
                angle: Angle::from_deg(degrees),
                gap: Length::ZERO,
            },
            both_sides: true,
            need: Some(Length::from_mm(3.0)),
            units: UnitSystem::Metric,
            width_mm: 86.0,
            height_mm: 66.0,
        });
        let length = |l: &Vec<(f64, f64)>| (l[0].0 - l[1].0).hypot(l[0].1 - l[1].1);
        // The base's thickness is the last of the two that are dimensioned.
        let s = length(&paths(&svg, &["class=\"dimension thickness\""])[1]) / 8.0;
        let needed = paths(&svg, &["needed-throat"]);
        assert_eq!(needed.len(), 2);
        for line in needed {
            assert!(
                (length(&line) - 3.0 * s).abs() < 4.0 * PRINTED,
                "{} at {degrees}",
                length(&line)
            );
        }
        if degrees == 90.0 {
            insta::assert_snapshot!("joint", svg.as_str());
        }
    }
}

#[test]
fn a_section_is_drawn_the_same_each_time() {
    let section = invented::butt();
    let seen = read(&section).unwrap();
    let welds = invented::figures(&seen);
    let svg = drawn(&section, &welds, seen.joint.unfused_land);
    assert_eq!(svg, drawn(&section, &welds, seen.joint.unfused_land));
    insta::assert_snapshot!("butt_words", texts(&svg).join("\n"));
    let section = invented::tee((3.4, 3.1, 1.7), (3.2, 3.3, 1.5));
    let seen = read(&section).unwrap();
    let welds = invented::figures(&seen);
    let svg = drawn(&section, &welds, seen.joint.unfused_land);
    insta::assert_snapshot!("tee_words", texts(&svg).join("\n"));
}

#[test]
fn a_figure_is_a_picture_of_the_width_asked() {
    let svg = drawn(&invented::bead(), &[], None);
    let png = to_png(&svg, 300).unwrap();
    assert_eq!(png[16..20], 300_u32.to_be_bytes());
    assert_eq!(png, to_png(&svg, 300).unwrap());
    let refused = to_png(&svg, 0).unwrap_err();
    assert_eq!(refused.to_string(), "a picture 0 pixels wide cannot be made");
    assert_eq!(refused.advice(), "ask for 1 to 8000 pixels");
}

/// By construction: ends of a band a factor narrower and wider are drawn by that factor, on the expected section's scale.
#[test]
fn the_ends_of_a_band_are_drawn_where_they_lie() {
    let middle = invented::bead();
    let scaled = |by: f64| {
        let mut section = middle.clone();
        for fused in &mut section.fused {
            fused.outline.iter_mut().for_each(|p| *p = *p * by);
        }
        section
    };
    let (low, high) = (scaled(0.8), scaled(1.25));
    let seen = read(&middle).unwrap();
    let at = seen.welds[0].dimensions.iter().find(|d| d.reading == Reading::Penetration).unwrap();
    let readings = [Banded { at: *at, words: "penetration 3.0 (2.4 to 3.8)".to_owned() }];
    let figure = ExpectedFigure {
        section: &middle,
        ends: Some([Some(&low), Some(&high)]),
        readings: &readings,
        beam: Some((weld::section::Point::default(), Angle::from_deg(90.0))),
        band: "a factor of 1.25 either way",
        width_mm: 120.0,
        height_mm: 90.0,
    };
    let svg = expected_drawing(&figure);
    let width = |class: &str| {
        let all = paths(&svg, &[&format!("class=\"{class}\"")]).remove(0);
        let x = |f: fn(f64, f64) -> f64, from| all.iter().map(|p| p.0).fold(from, f);
        x(f64::max, f64::MIN) - x(f64::min, f64::MAX)
    };
    let is = width("fused");
    assert!((width("low") - 0.8 * is).abs() < 4.0 * PRINTED, "{} {is}", width("low"));
    assert!((width("high") - 1.25 * is).abs() < 4.0 * PRINTED, "{} {is}", width("high"));
    let said = texts(&svg);
    assert!(said.contains(&"penetration 3.0 (2.4 to 3.8)".to_owned()), "{said:?}");
    assert!(said.iter().any(|t| t == "high end of the band"));
    // Without a band nothing of it is drawn or named.
    let none = expected_drawing(&ExpectedFigure { ends: None, ..figure });
    assert!(
        !none.as_str().contains("class=\"high\"")
            && !texts(&none).iter().any(|t| t.contains("band") && t.contains("end"))
    );
}

/// By construction: three strips with means of 1, 2 and 4 J/mm² stand out as 1 to 2 to 4, and the swing is drawn to the map's
/// own scale.
#[test]
fn energy_stands_out_as_it_is() {
    let svg = energy_drawing(&EnergyFigure {
        step_along_mm: 0.5,
        step_across_mm: 0.5,
        across: 3,
        j_per_mm2: &[0.5, 2.0, 4.0, 1.5, 2.0, 4.0],
        way: &[[0.0, 0.0], [0.5, 0.5], [1.0, 0.0]],
        swing_mm: 1.0,
        spot_mm: 0.2,
        width_mm: 120.0,
    });
    let profile = paths(&svg, &["class=\"profile\""]).remove(0);
    let most = texts(&svg).into_iter().find(|t| t.ends_with(" J/mm²")).unwrap();
    assert_eq!(most, "4 J/mm²");
    let from = profile[0].0 - (profile[1].0 - profile[0].0);
    let out: Vec<f64> = profile.iter().map(|p| p.0 - from).collect();
    assert!(
        (out[1] / out[0] - 2.0).abs() < 0.01 && (out[2] / out[0] - 4.0).abs() < 0.01,
        "{out:?}"
    );
    // Three strips of 0.5 mm make the frame 1.5 mm high; the swing is two thirds of it.
    let frame = paths(&svg, &["class=\"frame\""]).remove(0);
    let swing = paths(&svg, &["class=\"dimension\""]).remove(0);
    let (high, span) = ((frame[3].1 - frame[0].1).abs(), (swing[1].1 - swing[0].1).abs());
    assert!((span / high - 2.0 / 3.0).abs() < 0.01, "{span} of {high}");
}

/// Bars are as long as their answers on one scale; each is written with its band, or with the word that it has none.
#[test]
fn answers_are_as_long_as_they_are() {
    let bars = [
        AnswerBar { change: "1 mm/s slower".to_owned(), throat_mm: 0.4, band_mm: Some([0.2, 0.6]) },
        AnswerBar { change: "aim aside".to_owned(), throat_mm: -0.2, band_mm: None },
    ];
    let svg = answers_drawing(&AnswersFigure { bars: &bars, width_mm: 120.0 });
    let wide: Vec<f64> = svg
        .as_str()
        .lines()
        .filter(|l| l.starts_with("<rect") && l.contains("class=\"answer\""))
        .map(|l| l.split(" width=\"").nth(1).unwrap().split('"').next().unwrap().parse().unwrap())
        .collect();
    assert!((wide[0] / wide[1] - 2.0).abs() < 0.02, "{wide:?}");
    let band = paths(&svg, &["class=\"band\""]);
    assert_eq!(band.len(), 1);
    assert!(
        ((band[0][1].0 - band[0][0].0) / wide[0] - 1.0).abs() < 0.02,
        "0.2 to 0.6 is as long as 0.4"
    );
    assert_eq!(answer_words(&bars[0]), "+ 0.40 mm (+ 0.20 to + 0.60)");
    assert_eq!(answer_words(&bars[1]), "\u{2212} 0.20 mm (no band)");
    let zero = AnswerBar { change: String::new(), throat_mm: -0.001, band_mm: None };
    assert_eq!(answer_words(&zero), "0.00 mm (no band)");
}
