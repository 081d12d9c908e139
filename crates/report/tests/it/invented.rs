//! An invented job, for tests and for looking at: a gangway step of the fictional Hollin Ferry Works.

use report::figure::joint::{JointFigure, JointPlates, joint_drawing};
use report::figure::photo::{Look, PhotoDimension, PhotoFigure, PhotoLine, Picture, photo_overlay};
use report::figure::png::to_png;
use report::figure::section::{SectionFigure, WeldFigure, section_drawing};
use report::figure::strip::{StripGroup, StripValue};
use report::paper::Date;
use report::paper::customer::{
    Answer, Caution, Customer, DRAWING_HEIGHT_MM, DRAWING_WIDTH_MM, JointPage, Need,
    PICTURE_WIDTH_MM, Refused, SectionPage, WeldRows,
};
use weld::claim::{
    Assurance, BlankReason, Claim, LeftOut, Method, Normality, Population, Repeatability,
    SideBound, Verdict,
};
use weld::measured::Measured;
use weld::quantity::show::UnitSystem;
use weld::quantity::{Angle, Length, LineLoad};
use weld::reading::Reading;
use weld::section::{
    Butt, Corner, Face, Fused, Plates, Point, Section, SectionReading, Side, Tee, read,
};
use weld::source;

/// A closed line through points, smooth between them.
pub(crate) fn smooth(points: &[(f64, f64)], pieces: usize) -> Vec<Point> {
    let n = points.len();
    let at = |i: usize| Point::new(points[i % n].0, points[i % n].1);
    let mut out = Vec::new();
    for i in 0..n {
        let (a, b, c, d) = (at(i + n - 1), at(i), at(i + 1), at(i + 2));
        for k in 0..pieces {
            let t = k as f64 / pieces as f64;
            let (t2, t3) = (t * t, t * t * t);
            out.push(
                (b * 2.0
                    + (c - a) * t
                    + (a * 2.0 - b * 5.0 + c * 4.0 - d) * t2
                    + (b * 3.0 - a - c * 3.0 + d) * t3)
                    * 0.5,
            );
        }
    }
    out
}

/// One fillet of the tee: legs, root penetration; in the frame of its own corner, to the right.
pub(crate) fn fillet(leg_base: f64, leg_upright: f64, root: f64) -> Vec<Point> {
    let (b, u, p) = (leg_base, leg_upright, root);
    smooth(
        &[
            (b, 0.0),
            (0.56 * b, 0.50 * u),
            (0.0, u),
            (-0.45, 0.62 * u),
            (-0.55 * p - 0.2, 0.7),
            (-p, 0.22),
            (-p - 0.05, -0.1),
            (-0.6 * p, -0.55),
            (0.25, -0.95),
            (0.62 * b, -0.72),
        ],
        12,
    )
}

/// The tee with both welds: 5 mm upright on an 8 mm base.
pub(crate) fn tee(left: (f64, f64, f64), right: (f64, f64, f64)) -> Section {
    let square = std::f64::consts::FRAC_PI_2;
    let plates = Plates::Tee(Tee {
        right: Corner { x: 0.0, angle: square },
        left: Some(Corner { x: -5.0, angle: square }),
        upright_thickness: Some(5.0),
        base_thickness: Some(8.0),
        gap: 0.0,
    });
    let mirrored = |points: Vec<Point>| -> Vec<Point> {
        points.into_iter().rev().map(|p| Point::new(-5.0 - p.x, p.y)).collect()
    };
    Section::exact(
        plates,
        vec![
            Fused {
                side: Side::Left,
                outline: mirrored(fillet(left.0, left.1, left.2)),
                exact: false,
            },
            Fused { side: Side::Right, outline: fillet(right.0, right.1, right.2), exact: false },
        ],
    )
}

/// A 6 mm butt welded from both sides, with a land left between.
pub(crate) fn butt() -> Section {
    let top = smooth(
        &[
            (2.2, 0.0),
            (0.0, 0.55),
            (-2.1, 0.0),
            (-1.1, -0.9),
            (-0.6, -2.2),
            (0.05, -2.75),
            (0.65, -2.1),
            (1.2, -0.8),
        ],
        12,
    );
    let bottom = smooth(
        &[
            (1.9, -6.0),
            (0.9, -5.2),
            (0.5, -4.0),
            (-0.1, -3.5),
            (-0.6, -4.2),
            (-1.0, -5.3),
            (-1.8, -6.0),
            (0.0, -6.5),
        ],
        12,
    );
    Section::exact(
        Plates::Butt(Butt {
            top: [Face::level(0.0); 2],
            bottom: Some([Face::level(-6.0); 2]),
            joint_line: Some([Point::new(0.0, 0.0), Point::new(0.0, -6.0)]),
            gap: 0.0,
        }),
        vec![
            Fused { side: Side::Top, outline: top, exact: false },
            Fused { side: Side::Bottom, outline: bottom, exact: false },
        ],
    )
}

/// A bead on plate.
pub(crate) fn bead() -> Section {
    let outline = smooth(
        &[
            (2.0, 0.0),
            (0.1, 0.7),
            (-1.9, 0.0),
            (-0.9, -1.0),
            (-0.5, -2.6),
            (0.0, -3.1),
            (0.55, -2.5),
            (1.0, -0.9),
        ],
        12,
    );
    Section::exact(Plates::Bead, vec![Fused { side: Side::Only, outline, exact: false }])
}

/// What a section shows, with an uncertainty as a photo gives it.
pub(crate) fn figures(seen: &SectionReading) -> Vec<WeldFigure> {
    seen.welds
        .iter()
        .map(|w| {
            let mut figure = WeldFigure::exact(w);
            for (reading, v) in &mut figure.values {
                v.u = match reading.dimension().power_of_scale() {
                    0 => 0.02 * v.value.abs() + 0.005,
                    _ => 0.035 + 0.006 * v.value.abs(),
                };
            }
            figure
        })
        .collect()
}

pub(crate) const SHOWN: [Reading; 12] = [
    Reading::EffectiveThroat,
    Reading::PenetratedThroat,
    Reading::TheoreticalThroat,
    Reading::ActualThroat,
    Reading::RootPenetration,
    Reading::LegBase,
    Reading::LegUpright,
    Reading::SizeBase,
    Reading::SizeUpright,
    Reading::Convexity,
    Reading::Undercut,
    Reading::Dilution,
];

/// Legs and roots of section `i` of coupon `c`, all between bounds that such welds show.
pub(crate) fn shape(c: usize, i: usize, side: usize) -> (f64, f64, f64) {
    let turn = |k: usize| (0.7 * (c * 31 + i * 7 + side * 3 + k * 13) as f64).sin();
    (3.3 + 0.3 * turn(1), 3.1 + 0.3 * turn(2), 1.75 + 0.22 * turn(3))
}

pub(crate) const PX_PER_MM: f64 = 60.0;

fn px(p: Point) -> [f64; 2] {
    [PX_PER_MM * (p.x + 10.0), PX_PER_MM * (6.0 - p.y)]
}

/// A stand-in for a photo: the section's lines, in the photo's frame.
fn photo(section: &Section) -> Vec<u8> {
    let mut lines: Vec<PhotoLine> = section
        .fused
        .iter()
        .map(|f| PhotoLine {
            px: f.outline.iter().map(|p| px(*p)).collect(),
            look: Look::HeatAffected,
        })
        .collect();
    for (a, b) in [((-9.0, 0.0), (4.5, 0.0)), ((0.0, 0.0), (0.0, 5.5)), ((-5.0, 0.0), (-5.0, 5.5))]
    {
        let ends = [a, b].map(|(x, y)| px(Point::new(x, y)));
        lines.push(PhotoLine { px: ends.to_vec(), look: Look::Crack });
    }
    let figure = PhotoFigure {
        size_px: [900, 720],
        picture: Picture::None,
        lines: &lines,
        dimensions: &[],
        mm_per_px: None,
        units: UnitSystem::Metric,
        width_mm: 90.0,
    };
    to_png(&photo_overlay(&figure), 450).unwrap()
}

pub(crate) fn section_page(c: usize, i: usize, units: UnitSystem) -> SectionPage {
    let section = tee(shape(c, i, 0), shape(c, i, 1));
    let seen = read(&section).unwrap();
    let welds = figures(&seen);
    let dimensions: Vec<PhotoDimension> = welds
        .iter()
        .flat_map(|w| {
            w.dimensions
                .iter()
                .filter(|d| {
                    matches!(
                        d.reading,
                        Reading::EffectiveThroat
                            | Reading::LegBase
                            | Reading::LegUpright
                            | Reading::RootPenetration
                    )
                })
                .filter_map(|d| {
                    let value = w.values.iter().find(|(r, _)| *r == d.reading)?.1;
                    Some(PhotoDimension {
                        reading: d.reading,
                        from: px(d.from),
                        to: px(d.to),
                        value,
                    })
                })
        })
        .collect();
    let lines: Vec<PhotoLine> = section
        .fused
        .iter()
        .map(|f| PhotoLine { px: f.outline.iter().map(|p| px(*p)).collect(), look: Look::Fused })
        .collect();
    let bytes = photo(&section);
    let picture = photo_overlay(&PhotoFigure {
        size_px: [900, 720],
        picture: Picture::Embedded { bytes: &bytes },
        lines: &lines,
        dimensions: &dimensions,
        mm_per_px: Some(1.0 / PX_PER_MM),
        units,
        width_mm: PICTURE_WIDTH_MM,
    });
    let land = seen.joint.unfused_land.unwrap();
    let drawing = Some({
        section_drawing(&SectionFigure {
            section: &section,
            welds: &welds,
            land: Some(Measured::new(land, 0.08)),
            heat_affected: &[],
            units,
            width_mm: DRAWING_WIDTH_MM,
            height_mm: DRAWING_HEIGHT_MM,
        })
    });
    SectionPage {
        coupon: coupon(c),
        section: format!("{}", i + 1),
        picture: (i != 3).then_some(picture),
        no_picture:
            "The file was lost when the camera's card failed; the reading was taken before."
                .to_owned(),
        as_taken: None,
        drawing,
        welds: welds
            .iter()
            .map(|w| WeldRows {
                side: w.side,
                values: SHOWN
                    .iter()
                    .filter_map(|r| w.values.iter().find(|(q, _)| q == r).copied())
                    .collect(),
                absent: vec![],
            })
            .collect(),
        joint: vec![(
            "unfused land".to_owned(),
            Measured::new(Length::from_mm(land), Length::from_mm(0.08)),
        )],
        answers: vec![(
            "full penetration by EN 1993-1-8 4.7.3 (Recalled)".to_owned(),
            "no".to_owned(),
        )],
        remarks: if i == 1 {
            vec!["left toe blurred over 0.12 mm: the leg on the base of the left weld carries that doubt".to_owned()]
        } else {
            vec![]
        },
    }
}

pub(crate) fn coupon(c: usize) -> String {
    format!(
        "{}{}",
        char::from(b'A' + (c % 26) as u8),
        if c < 26 { String::new() } else { (c / 26).to_string() }
    )
}

pub(crate) fn claim() -> Claim {
    Claim {
        assurance: Assurance::USUAL,
        need_mm: Some(3.0),
        bound_mm: 3.1264,
        statistical_bound_mm: 3.1943,
        shared_mm: 0.0679,
        shared_u: Some(0.0129),
        k: 3.8271,
        sections: 17,
        coupons: 3,
        mean_mm: 3.4512,
        s_mm: 0.0671,
        within_mm: Some(0.0595),
        between_mm: Some(0.0311),
        method: Method::RandomEffects,
        verdict: Verdict::Met,
        sentence: "Yes: with 95 % confidence at least 95 % of all sections made this way have an effective throat of 3.12 mm or more, and 3.00 mm is needed.".to_owned(),
        population: Population {
            operators: Some("two, J. Marsh and P. Oduya".to_owned()),
            machine: Some("handheld laser 2 kW, shop number L-02".to_owned()),
            material_heats: Some("plates 4471-B and 4502-A, wire 88213".to_owned()),
            position: Some("PB".to_owned()),
            setting: Some("frozen as S-07: 1.8 kW, 8 mm/s, wobble 1.5 mm at 180 Hz, two wires 1.6 mm".to_owned()),
            length: None,
        },
        normality: Normality::TooFewToCheck { have: 17, need: 20 },
        left_out: vec![LeftOut {
            coupon: Some("B".to_owned()),
            section: "6".to_owned(),
            side: None,
            reason: BlankReason::EtchFailed,
        }],
        repeatability: Some(Repeatability { s_mm: 0.021, freedom: 9, sections: 9, readers: 2 }),
        sides: vec![
            SideBound { side: "left".to_owned(), sections: 17, mean_mm: 3.4512, s_mm: 0.0671, bound_mm: 3.1264 },
            SideBound { side: "right".to_owned(), sections: 17, mean_mm: 3.4931, s_mm: 0.0702, bound_mm: 3.1511 },
        ],
        more: None,
        remarks: vec!["the left weld gives the lower bound and is the one claimed".to_owned()],
    }
}

pub(crate) fn groups(coupons: usize, sections: usize) -> Vec<StripGroup> {
    (0..coupons)
        .map(|c| StripGroup {
            coupon: coupon(c),
            values: (0..sections)
                .flat_map(|i| [(i, Side::Left), (i, Side::Right)])
                .filter(|(i, _)| !(c == 1 && *i == 5))
                .map(|(i, side)| {
                    let (b, u, p) = shape(c, i, usize::from(side == Side::Right));
                    let throat = 0.30 * b + 0.32 * u + 0.85 * p;
                    StripValue {
                        section: (i + 1).to_string(),
                        side,
                        value: Measured::new(throat, 0.055),
                    }
                })
                .collect(),
            left_out: if c == 1 { vec![("6".to_owned(), BlankReason::EtchFailed)] } else { vec![] },
        })
        .collect()
}

pub(crate) fn customer<'a>(
    claim: &'a Claim,
    coupons: usize,
    sections: usize,
    units: UnitSystem,
) -> Customer<'a> {
    Customer {
        title: "Throat of the gangway step's fillet welds".to_owned(),
        study: "Hollin Ferry gangway step".to_owned(),
        edition: "1".to_owned(),
        customer: "Hollin Ferry Works, bridge and gangway office".to_owned(),
        author: "the welding shop, R. Tan".to_owned(),
        date: Date { year: 2026, month: 11, day: 25 },
        units,
        invented: true,
        question: "Do the two handheld laser fillets between the 5 mm gusset and the 8 mm base of the gangway step carry 60 kN along the joint, as the arc welds on the drawing do, although the beads outside are smaller?".to_owned(),
        answer: Answer::Claim(claim),
        value_words: "effective throat".to_owned(),
        joint: Some(JointPage {
            facts: vec![
                ("joint".to_owned(), "tee, welded from both sides, restrained".to_owned()),
                ("base".to_owned(), "8 mm, EN 1.4307".to_owned()),
                ("upright".to_owned(), "5 mm, EN 1.4307".to_owned()),
                ("weld length".to_owned(), "100 mm on each side".to_owned()),
            ],
            drawing: Some(joint_drawing(&JointFigure {
                plates: JointPlates::Tee {
                    base: Length::from_mm(8.0),
                    upright: Length::from_mm(5.0),
                    angle: Angle::from_deg(90.0),
                    gap: Length::ZERO,
                },
                both_sides: true,
                need: Some(Length::from_mm(3.0)),
                units,
                width_mm: 86.0,
                height_mm: 66.0,
            })),
        }),
        need: Some(Need {
            throat: Some(Length::from_mm(3.0)),
            resistance: Some(LineLoad::from_n_per_mm(721.4)),
            load: "60 kN along the joint, static".to_owned(),
            penetration_counts_by: "4.5.2(3), on trials that show that it is consistently achieved: these".to_owned(),
            clauses: vec![source::EN_1993_1_8_THROAT, source::EN_1993_1_8_SIMPLIFIED, source::EN_1993_1_4_WELDS],
        }),
        groups: groups(coupons, sections),
        summary: vec![
            Reading::EffectiveThroat,
            Reading::TheoreticalThroat,
            Reading::RootPenetration,
            Reading::LegBase,
            Reading::LegUpright,
        ],
        sections: (0..coupons).flat_map(|c| (0..sections).map(move |i| (c, i))).map(|(c, i)| section_page(c, i, units)).collect(),
        no_photos: String::new(),
        code: "EN 1993-1-8".to_owned(),
        refusals: vec![Refused {
            effect: "condition".to_owned(),
            what: "effective length".to_owned(),
            clause: source::EN_1993_1_8_EFFECTIVE_LENGTH,
            fact: "of 100 mm welded, 93.8 mm count: twice the throat is taken off unless the weld is full size to its ends".to_owned(),
            advice: "run the weld round the ends, or keep the 93.8 mm in the calculation as it is here".to_owned(),
        }],
        method: vec![
            "Coupons of the joint were welded with the frozen setting, cut at places fixed beforehand, ground, polished and etched. Each face was photographed square with a rule in its plane.".to_owned(),
            "On each photo the fused outline was followed along the visible fusion line between points set by a reader. The effective throat is the shortest way from the weld root to the free surface, convexity not counted.".to_owned(),
            "Each reading carries a standard uncertainty from a Monte Carlo of named contributions: scale, camera out of square, width of the fusion line, doubt of the outline, plate lines, reader.".to_owned(),
        ],
        sources: vec![
            source::EN_1993_1_8_THROAT,
            source::EN_1993_1_8_TEE_BUTT,
            source::AISC_360_EFFECTIVE_THROAT,
            source::AWS_A3_0_TERMS,
            source::JCGM_101,
        ],
        cautions: vec![
            Caution::StaticOnly,
            Caution::WalkedOn,
            Caution::WhoAccepts,
            Caution::ByAgreement,
            Caution::Microcracks,
            Caution::EtchingAcids,
            Caution::ClassFourLaser,
        ],
    }
}
