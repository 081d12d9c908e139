//! No value, however odd, stops the drawer, and what it draws is always a drawing.

use proptest::prelude::*;
use report::figure::answers::{AnswerBar, AnswersFigure, answers_drawing};
use report::figure::energy::{EnergyFigure, energy_drawing};
use report::figure::expected::{Banded, ExpectedFigure, expected_drawing};
use report::figure::joint::{JointFigure, JointPlates, joint_drawing};
use report::figure::photo::{Look, PhotoDimension, PhotoFigure, PhotoLine, Picture, photo_overlay};
use report::figure::png::to_png;
use report::figure::section::{SectionFigure, WeldFigure, section_drawing};
use report::figure::strip::{Strip, StripGroup, StripValue, strip_plot, strip_plots};
use report::figure::{Svg, on_one_sheet};
use weld::claim::BlankReason;
use weld::measured::Measured;
use weld::quantity::show::UnitSystem;
use weld::quantity::{Angle, Length};
use weld::reading::Reading;
use weld::section::{Butt, Corner, Dimensioned, Face, Fused, Plates, Point, Section, Side, Tee};

/// A number as a shop has it, or any at all.
fn number() -> impl Strategy<Value = f64> {
    prop_oneof![4 => -20.0..20.0_f64, 1 => any::<f64>(), 1 => Just(0.0)]
}

fn point() -> impl Strategy<Value = Point> {
    (number(), number()).prop_map(|(x, y)| Point::new(x, y))
}

fn line() -> impl Strategy<Value = Vec<Point>> {
    prop::collection::vec(point(), 0..7)
}

fn side() -> impl Strategy<Value = Side> {
    prop::sample::select(vec![Side::Only, Side::Left, Side::Right, Side::Top, Side::Bottom])
}

fn reading() -> impl Strategy<Value = Reading> {
    prop::sample::select(vec![
        Reading::LegBase,
        Reading::LegUpright,
        Reading::SizeBase,
        Reading::SizeUpright,
        Reading::TheoreticalThroat,
        Reading::EffectiveThroat,
        Reading::RootPenetration,
        Reading::Penetration,
        Reading::WidthSurface,
    ])
}

fn plates() -> impl Strategy<Value = Plates> {
    let face = || (point(), point()).prop_map(|(at, along)| Face { at, along });
    let corner = || (number(), number()).prop_map(|(x, angle)| Corner { x, angle });
    let some = || prop::option::of(number());
    prop_oneof![
        Just(Plates::Bead),
        (corner(), prop::option::of(corner()), some(), some(), number()).prop_map(
            |(right, left, upright_thickness, base_thickness, gap)| Plates::Tee(Tee {
                right,
                left,
                upright_thickness,
                base_thickness,
                gap
            })
        ),
        (
            face(),
            face(),
            prop::option::of((face(), face())),
            prop::option::of((point(), point())),
            number()
        )
            .prop_map(|(a, b, bottom, joint, gap)| Plates::Butt(Butt {
                top: [a, b],
                bottom: bottom.map(|(a, b)| [a, b]),
                joint_line: joint.map(|(a, b)| [a, b]),
                gap
            })),
    ]
}

fn weld() -> impl Strategy<Value = WeldFigure> {
    let values = prop::collection::vec((reading(), number(), number()), 0..8);
    let dimensions = prop::collection::vec((reading(), point(), point()), 0..8);
    (side(), values, dimensions).prop_map(|(side, values, dimensions)| WeldFigure {
        side,
        values: values.into_iter().map(|(r, v, u)| (r, Measured::new(v, u))).collect(),
        dimensions: dimensions
            .into_iter()
            .map(|(reading, from, to)| Dimensioned { reading, from, to })
            .collect(),
    })
}

/// A drawing: one root, tags in pairs, no number that is none.
fn is_sound(svg: &Svg) {
    let text = svg.as_str();
    assert!(text.starts_with("<svg ") && text.ends_with("</svg>\n"));
    assert_eq!(text.matches("<g ").count(), text.matches("</g>").count());
    let numbers: String =
        text.lines().filter(|l| !l.starts_with("<text") && !l.contains("<title>")).collect();
    assert!(!numbers.contains("NaN") && !numbers.contains("inf"), "{text}");
    assert!(!numbers.contains("\"-0\"") && !numbers.contains(" -0 "), "{text}");
    assert!(svg.width_mm() >= 1.0 && svg.height_mm() <= 2000.0);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(10_000))]

    #[test]
    fn any_section_is_drawn(
        plates in plates(),
        fused in prop::collection::vec((side(), line()), 0..3),
        extra in prop::collection::vec(line(), 0..4),
        welds in prop::collection::vec(weld(), 0..3),
        land in prop::option::of(number()),
        (width_mm, height_mm) in (number(), number()),
    ) {
        let section = Section {
            plates,
            fused: fused.into_iter().map(|(side, outline)| Fused { side, outline, exact: false }).collect(),
            pores: extra.iter().take(1).cloned().collect(),
            cracks: extra.iter().skip(1).take(1).cloned().collect(),
            unfused: extra.iter().skip(2).cloned().collect(),
            touching: Vec::new(),
            doubt: 0.0,
        };
        let svg = section_drawing(&SectionFigure {
            section: &section,
            welds: &welds,
            land: land.map(|v| Measured::new(v, 0.1)),
            heat_affected: &extra,
            units: UnitSystem::Metric,
            width_mm,
            height_mm,
        });
        is_sound(&svg);
    }

    #[test]
    fn any_values_are_plotted(
        rows in prop::collection::vec((".{0,40}", prop::collection::vec((side(), number(), number()), 0..6), 0..5_usize), 0..6),
        bound_mm in prop::option::of(number()),
        need_mm in prop::option::of(number()),
        width_mm in number(),
        words in ".{0,30}",
    ) {
        let groups: Vec<StripGroup> = rows.into_iter().map(|(coupon, values, gone)| StripGroup {
            values: values.into_iter().map(|(side, v, u)| StripValue { section: coupon.clone(), side, value: Measured::new(v, u) }).collect(),
            left_out: (0..gone).map(|i| (coupon.clone(), BlankReason::ALL[i % 3])).collect(),
            coupon,
        }).collect();
        let strip = Strip { words: &words, groups: &groups, bound_mm, need_mm, units: UnitSystem::Inch, width_mm };
        is_sound(&strip_plot(&strip));
        for svg in strip_plots(&strip, width_mm) {
            is_sound(&svg);
        }
    }

    #[test]
    fn any_photo_is_overlaid(
        size_px in any::<[u32; 2]>(),
        lines in prop::collection::vec(line(), 0..4),
        dimensions in prop::collection::vec((reading(), point(), point(), number(), number()), 0..4),
        mm_per_px in prop::option::of(number()),
        href in ".{0,40}",
        width_mm in number(),
    ) {
        let px = |p: &Point| [p.x * 10.0, p.y * 10.0];
        let lines: Vec<PhotoLine> = lines.iter().map(|l| PhotoLine { px: l.iter().map(px).collect(), look: Look::Crack }).collect();
        let dimensions: Vec<PhotoDimension> = dimensions.iter().map(|(reading, a, b, v, u)| PhotoDimension {
            reading: *reading, from: px(a), to: px(b), value: Measured::new(*v, *u),
        }).collect();
        is_sound(&photo_overlay(&PhotoFigure {
            size_px, picture: Picture::Href(&href), lines: &lines, dimensions: &dimensions, mm_per_px,
            units: UnitSystem::Metric, width_mm,
        }));
    }

    #[test]
    fn any_expected_section_is_drawn(
        plates in plates(),
        outlines in prop::collection::vec(line(), 3),
        ends in prop::option::of((any::<bool>(), any::<bool>())),
        readings in prop::collection::vec((reading(), point(), point(), ".{0,30}"), 0..4),
        beam in prop::option::of((point(), number())),
        band in ".{0,60}",
        (width_mm, height_mm) in (number(), number()),
    ) {
        let with = |outline: &Vec<Point>| Section::exact(
            plates,
            vec![Fused { side: Side::Only, outline: outline.clone(), exact: true }],
        );
        let [middle, low, high] = [0, 1, 2].map(|i| with(&outlines[i]));
        let readings: Vec<Banded> = readings
            .into_iter()
            .map(|(reading, from, to, words)| Banded { at: Dimensioned { reading, from, to }, words })
            .collect();
        is_sound(&expected_drawing(&ExpectedFigure {
            section: &middle,
            ends: ends.map(|(a, b)| [a.then_some(&low), b.then_some(&high)]),
            readings: &readings,
            beam: beam.map(|(at, angle)| (at, Angle::from_rad(angle))),
            band: &band,
            width_mm,
            height_mm,
        }));
    }

    #[test]
    fn any_energy_is_drawn(
        (step_along_mm, step_across_mm) in (number(), number()),
        across in 0..60_usize,
        j_per_mm2 in prop::collection::vec(number(), 0..200),
        way in prop::collection::vec([number(), number()], 0..9),
        (swing_mm, spot_mm, width_mm) in (number(), number(), number()),
    ) {
        is_sound(&energy_drawing(&EnergyFigure {
            step_along_mm, step_across_mm, across, j_per_mm2: &j_per_mm2, way: &way, swing_mm, spot_mm, width_mm,
        }));
    }

    #[test]
    fn any_answers_are_drawn(
        rows in prop::collection::vec((".{0,40}", number(), prop::option::of([number(), number()])), 0..8),
        width_mm in number(),
    ) {
        let bars: Vec<AnswerBar> = rows
            .into_iter()
            .map(|(change, throat_mm, band_mm)| AnswerBar { change, throat_mm, band_mm })
            .collect();
        let svg = answers_drawing(&AnswersFigure { bars: &bars, width_mm });
        is_sound(&svg);
        let two = on_one_sheet(&[svg.clone(), svg], width_mm, "two");
        prop_assert_eq!(two.as_str().matches("<svg ").count(), 3);
    }

    #[test]
    fn any_joint_is_drawn(a in number(), b in number(), c in number(), angle in number(), need in prop::option::of(number()), both_sides: bool) {
        let mm = Length::from_mm;
        for plates in [
            JointPlates::Bead { plate: mm(a) },
            JointPlates::Butt { plate: mm(a), gap: mm(b) },
            JointPlates::Tee { base: mm(a), upright: mm(b), angle: Angle::from_rad(angle), gap: mm(c) },
        ] {
            is_sound(&joint_drawing(&JointFigure { plates, both_sides, need: need.map(mm), units: UnitSystem::Metric, width_mm: a, height_mm: b }));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// Whatever text a figure carries, a reader of drawings can read it.
    #[test]
    fn any_text_leaves_a_drawing_that_can_be_read(words in "\\PC{0,60}|.{0,60}", coupon: String) {
        let groups = [StripGroup { coupon, values: vec![], left_out: vec![] }];
        let strip = Strip { words: &words, groups: &groups, bound_mm: None, need_mm: None, units: UnitSystem::Metric, width_mm: 120.0 };
        prop_assert!(to_png(&strip_plot(&strip), 60).is_ok());
    }
}
