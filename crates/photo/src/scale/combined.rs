//! Several scale marks become one scale, and a clash is said and not settled.

use super::mark::Said;
use super::{CLASH_FACTOR, CapReading, MOST_MARKS, ScaleError, ScaleMark};

/// Millimetres per pixel with its uncertainty and where they come from.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Scale {
    /// Millimetres per pixel.
    pub mm_per_px: f64,
    /// Relative standard uncertainty. With a [`clash`](Self::clash) it reaches past both marks.
    pub u_rel: f64,
    /// Each mark by itself, in the order given.
    pub parts: Vec<Part>,
    /// The two marks that contradict each other most, if any do.
    pub clash: Option<Clash>,
    /// What the user should know.
    pub remarks: Vec<String>,
}

/// What one mark says by itself.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Part {
    /// The kind of mark in words.
    pub words: String,
    /// Millimetres per pixel.
    pub mm_per_px: f64,
    /// Relative standard uncertainty.
    pub u_rel: f64,
    /// Distance of its ends in pixels; across the plate for a thickness; none for a value per pixel.
    pub distance_px: Option<f64>,
    /// Its share in the scale, 0 to 1; with a clash no mark has one.
    pub weight: Option<f64>,
}

/// Two marks further apart than their uncertainties allow.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Clash {
    /// Number of the one with the smaller pixel, from 1.
    pub smaller: usize,
    /// Number of the one with the larger pixel, from 1.
    pub larger: usize,
    /// By how much the larger exceeds the smaller, as a share of the smaller.
    pub difference_rel: f64,
    /// What their uncertainties allow, as a share of the smaller: twice the joint standard uncertainty.
    pub allowed_rel: f64,
}

/// Combines the marks on one photo of `width` x `height` pixels (as shown, after the turn).
///
/// # Errors
/// [`ScaleError`] when nothing is marked or a mark cannot be one.
pub fn combine(marks: &[ScaleMark], width: u32, height: u32) -> Result<Scale, ScaleError> {
    if marks.len() > MOST_MARKS {
        return Err(ScaleError::TooMany { given: marks.len() });
    }
    let said = marks
        .iter()
        .zip(1..)
        .map(|(mark, number)| mark.say(number, width, height))
        .collect::<Result<Vec<_>, _>>()?;
    if said.is_empty() {
        return Err(ScaleError::NoMark);
    }
    let clash = worst_clash(&said);
    let weights: Vec<f64> = said.iter().map(|s| (s.mm_per_px * s.u_rel).powi(-2)).collect();
    let sum: f64 = weights.iter().sum();
    let (mm_per_px, u_mm) = if clash.is_some() {
        let least = said.iter().map(|s| s.mm_per_px).fold(f64::INFINITY, f64::min);
        let most = said.iter().map(|s| s.mm_per_px).fold(0.0, f64::max);
        let middle = 0.5 * (least + most);
        let reach = said
            .iter()
            .map(|s| (s.mm_per_px - middle).abs() + s.mm_per_px * s.u_rel)
            .fold(0.0, f64::max);
        (middle, reach)
    } else {
        let mean = said.iter().zip(&weights).map(|(s, w)| s.mm_per_px * w).sum::<f64>() / sum;
        (mean, 1.0 / sum.sqrt())
    };
    let parts = marks.iter().zip(&said).zip(&weights).map(|((mark, s), weight)| Part {
        words: mark.words(),
        mm_per_px: s.mm_per_px,
        u_rel: s.u_rel,
        distance_px: s.distance_px,
        weight: if clash.is_some() { None } else { Some(weight / sum) },
    });
    let parts: Vec<Part> = parts.collect();
    let u_rel = u_mm / mm_per_px;
    let remarks = remarks(marks, &parts, clash.as_ref(), mm_per_px, u_rel, width);
    Ok(Scale { mm_per_px, u_rel, parts, clash, remarks })
}

/// The pair whose difference exceeds what is allowed by the largest factor.
fn worst_clash(said: &[Said]) -> Option<Clash> {
    let mut worst: Option<(f64, Clash)> = None;
    for (i, a) in said.iter().enumerate() {
        for (j, b) in said.iter().enumerate() {
            let difference = b.mm_per_px - a.mm_per_px;
            let allowed = CLASH_FACTOR * (a.mm_per_px * a.u_rel).hypot(b.mm_per_px * b.u_rel);
            let factor = difference / allowed;
            if factor > 1.0 && worst.as_ref().is_none_or(|(most, _)| factor > *most) {
                let (difference_rel, allowed_rel) =
                    (difference / a.mm_per_px, allowed / a.mm_per_px);
                worst = Some((
                    factor,
                    Clash { smaller: i + 1, larger: j + 1, difference_rel, allowed_rel },
                ));
            }
        }
    }
    worst.map(|(_, clash)| clash)
}

fn remarks(
    marks: &[ScaleMark],
    parts: &[Part],
    clash: Option<&Clash>,
    mm_per_px: f64,
    u_rel: f64,
    width: u32,
) -> Vec<String> {
    let mut remarks = Vec::new();
    if let Some(Clash { smaller, larger, difference_rel, allowed_rel }) = clash {
        let name = |number: usize| parts.get(number - 1).map_or("", |part| part.words.as_str());
        remarks.push(format!(
            "THE SCALES CLASH: scale {larger} ({}) gives a pixel {:.1} % larger than scale {smaller} ({}), where their uncertainties allow {:.1} %. \
             Find the wrong one: until then the middle is used with ±{:.1} % so that both are inside",
            name(*larger),
            100.0 * difference_rel,
            name(*smaller),
            100.0 * allowed_rel,
            100.0 * u_rel,
        ));
        let capped = |mark: &ScaleMark| matches!(mark, ScaleMark::Bar { .. });
        if marks.iter().any(capped) {
            remarks.push("look first at how the capped bar is read: inside and outside its caps differ by 4 to 12 %".to_owned());
        } else if marks.iter().any(|mark| matches!(mark, ScaleMark::PerPixel { .. })) {
            remarks.push("look first at the value per pixel: it is void once the picture has been resized, as messengers do".to_owned());
        } else if marks.iter().any(|mark| matches!(mark, ScaleMark::Thickness { .. })) {
            remarks.push(
                "look first at the plate: measured beside the weld, or only nominal?".to_owned(),
            );
        }
    }
    if marks
        .iter()
        .any(|mark| matches!(mark, ScaleMark::Bar { read: CapReading::Unknown, u_rel: None, .. }))
    {
        remarks.push("nobody knows how the capped bar is to be read: ±6 % is allowed for it; a photo of a ruler at the same setting settles it".to_owned());
    }
    if clash.is_none() && u_rel > 0.02 {
        remarks.push(format!("the scale is uncertain by {:.1} % and will dominate: mark points farther apart, or a second scale", 100.0 * u_rel));
    }
    let across_mm = mm_per_px * f64::from(width);
    if !(0.05..=1000.0).contains(&across_mm) {
        remarks.push(format!("by this scale the photo shows {across_mm:.3} mm from side to side: are the units right?"));
    }
    remarks
}

#[cfg(test)]
mod tests {
    use super::{Scale, combine};
    use crate::scale::{CapReading, PixelPoint, ScaleError, ScaleMark};

    fn at(x_px: f64, y_px: f64) -> PixelPoint {
        PixelPoint { x_px, y_px }
    }

    /// The burned-in bar of the etched laser track `example_image_1` (nanoMFG, MIT): 100 µm = 315 px, columns 54 to 369.
    fn track_bar(u_rel: Option<f64>) -> ScaleMark {
        ScaleMark::TwoPoints {
            from: at(54.0, 1129.0),
            to: at(369.0, 1129.0),
            length_mm: 0.1,
            u_rel,
        }
    }

    fn on_track(marks: &[ScaleMark]) -> Result<Scale, ScaleError> {
        combine(marks, 1600, 1200)
    }

    /// `truth.csv` of the data manifest gives 0.3175 µm per pixel, four digits. By hand: √2 / 315 = 0.44896 %.
    #[test]
    fn the_bar_of_the_etched_track_gives_the_scale_written_down_for_it() {
        let scale = on_track(&[track_bar(None)]).unwrap();
        assert!(
            (1e3 * scale.mm_per_px - 0.3175).abs() <= 0.5e-4,
            "{} um per px",
            1e3 * scale.mm_per_px
        );
        assert!((scale.u_rel - 0.004_489_6).abs() < 1e-7, "{}", scale.u_rel);
        assert_eq!((scale.parts[0].distance_px, scale.parts[0].weight), (Some(315.0), Some(1.0)));
        assert_eq!((scale.clash, scale.remarks.len()), (None, 0));
    }

    /// By hand: 1 % of the length and 0.44896 % of the ends: √(1² + 0.44896²) = 1.09616 %.
    #[test]
    fn a_stated_doubt_of_the_length_is_added_to_the_placing_of_the_ends() {
        let scale = on_track(&[track_bar(Some(0.01))]).unwrap();
        assert!((scale.u_rel - 0.010_961_6).abs() < 1e-7, "{}", scale.u_rel);
    }

    /// 3-4-5 triangle: 300 across, 400 down = 500 px; 25 mm: 0.05 mm per px.
    #[test]
    fn a_slanting_ruler_is_read_along_itself() {
        let mark = ScaleMark::TwoPoints {
            from: at(10.0, 20.0),
            to: at(310.0, 420.0),
            length_mm: 25.0,
            u_rel: None,
        };
        assert!((combine(&[mark], 1000, 1000).unwrap().mm_per_px - 0.05).abs() < 1e-15);
    }

    /// Stated conventions add no doubt; the unknown one adds 6 % / √3 = 3.4641 %: √(3.4641² + 0.44896²) = 3.4931 %.
    #[test]
    fn only_an_unknown_cap_convention_adds_doubt() {
        let bar = |read| ScaleMark::Bar {
            from: at(54.0, 1129.0),
            to: at(369.0, 1129.0),
            length_mm: 0.1,
            read,
            u_rel: None,
        };
        for read in [CapReading::Inside, CapReading::Centre, CapReading::Outside] {
            let scale = on_track(&[bar(read)]).unwrap();
            assert_eq!(scale.u_rel, on_track(&[track_bar(None)]).unwrap().u_rel);
            assert!(scale.remarks.is_empty());
        }
        let scale = on_track(&[bar(CapReading::Unknown)]).unwrap();
        assert!((scale.u_rel - 0.034_931).abs() < 1e-6, "{}", scale.u_rel);
        assert_eq!(
            scale.remarks,
            [
                "nobody knows how the capped bar is to be read: ±6 % is allowed for it; a photo of a ruler at the same setting settles it",
                "the scale is uncertain by 3.5 % and will dominate: mark points farther apart, or a second scale",
            ]
        );
    }

    /// By hand. Bar: 0.31746 µm ± 0.44896 % = 0.0014253; value per pixel 0.3180 µm ± 0.5 % = 0.0015900.
    /// Weights 492 260 and 395 554; mean (0.31746·492 260 + 0.3180·395 554) / 887 814 = 0.317700; u = 0.0010613 = 0.33406 %.
    #[test]
    fn two_scales_that_agree_are_weighted_by_what_they_are_worth() {
        let scale =
            on_track(&[track_bar(None), ScaleMark::PerPixel { mm_per_px: 0.318e-3, u_rel: None }])
                .unwrap();
        assert_eq!(scale.clash, None);
        assert!((1e3 * scale.mm_per_px - 0.317_701).abs() < 2e-6, "{}", 1e3 * scale.mm_per_px);
        assert!((scale.u_rel - 0.003_340_6).abs() < 1e-6, "{}", scale.u_rel);
        assert!((scale.parts[0].weight.unwrap() - 0.554_46).abs() < 1e-4);
        let once = on_track(&[track_bar(None)]).unwrap().u_rel;
        let four = on_track(&[track_bar(None); 4]).unwrap().u_rel;
        assert!((four - once / 2.0).abs() < 1e-12, "four equal scales halve the doubt");
    }

    /// A picture shrunk from 1600 to 1280 px keeps its bar (252 px) while the microscope's value stays behind:
    /// 0.1 / 252 = 0.39683 µm against 0.3175: 25.0 % more.
    /// Allowed: 2 √((0.39683·√2/252)² + (0.3175·0.005)²) = 0.0054711 µm = 1.72 %.
    /// Middle 0.35716; reach 0.03966 + 0.002227 = 0.041891 = 11.73 %.
    #[test]
    fn a_shrunk_photo_clashes_with_the_microscopes_value_and_says_so() {
        let bar = ScaleMark::TwoPoints {
            from: at(43.5, 903.0),
            to: at(295.5, 903.0),
            length_mm: 0.1,
            u_rel: None,
        };
        let scale =
            combine(&[ScaleMark::PerPixel { mm_per_px: 0.3175e-3, u_rel: None }, bar], 1280, 960)
                .unwrap();
        let clash = scale.clash.as_ref().unwrap();
        assert_eq!((clash.smaller, clash.larger), (1, 2));
        assert!(
            (clash.difference_rel - 0.249_86).abs() < 1e-4
                && (clash.allowed_rel - 0.017_23).abs() < 1e-4,
            "{clash:?}"
        );
        assert!((1e3 * scale.mm_per_px - 0.357_163).abs() < 1e-6, "{}", 1e3 * scale.mm_per_px);
        for part in &scale.parts {
            let off = (part.mm_per_px / scale.mm_per_px - 1.0).abs();
            assert!(
                off < scale.u_rel && part.weight.is_none(),
                "the widened doubt holds both marks: {off}"
            );
        }
        assert_eq!(
            scale.remarks,
            [
                "THE SCALES CLASH: scale 2 (two points 0.1 mm apart) gives a pixel 25.0 % larger than scale 1 (value per pixel), where their \
                 uncertainties allow 1.7 %. Find the wrong one: until then the middle is used with ±11.7 % so that both are inside",
                "look first at the value per pixel: it is void once the picture has been resized, as messengers do",
            ]
        );
    }

    /// Two marks 1.2 % apart do not clash at ± 0.45 % and ± 0.5 %: 2 √(0.449² + 0.5²) = 1.34 %; 1.5 % do.
    #[test]
    fn the_border_between_agreeing_and_clashing_is_twice_the_joint_doubt() {
        let with = |factor: f64| {
            on_track(&[
                track_bar(None),
                ScaleMark::PerPixel { mm_per_px: 0.1 / 315.0 * factor, u_rel: None },
            ])
            .unwrap()
            .clash
        };
        assert_eq!(with(1.012), None);
        assert!(with(1.015).is_some());
        assert!(with(1.0 / 1.015).is_some());
    }

    /// The wrong one of three does not pull the others: all three are inside the widened doubt.
    #[test]
    fn among_three_scales_the_worst_pair_is_named() {
        let wrong = ScaleMark::PerPixel { mm_per_px: 0.2e-3, u_rel: Some(0.001) };
        let scale = on_track(&[
            track_bar(None),
            wrong,
            ScaleMark::PerPixel { mm_per_px: 0.3178e-3, u_rel: Some(0.002) },
        ])
        .unwrap();
        let clash = scale.clash.unwrap();
        assert_eq!((clash.smaller, clash.larger), (2, 3));
    }

    /// Plate 5.02 mm, marked 251 px straight down a level surface: 0.02 mm per px. Marked askew by 20 px, the surface
    /// given, the same; without the surface the longer way shows: √(251² + 20²) = 251.796.
    #[test]
    fn a_plate_is_measured_square_to_its_surface_when_that_is_marked() {
        let plate = |dx: f64, along| ScaleMark::Thickness {
            from: at(400.0, 100.0),
            to: at(400.0 + dx, 351.0),
            along,
            thickness_mm: 5.02,
            u_rel: None,
        };
        let surface = Some((at(100.0, 100.0), at(900.0, 100.0)));
        let square = combine(&[plate(0.0, surface)], 1000, 800).unwrap();
        let askew = combine(&[plate(20.0, surface)], 1000, 800).unwrap();
        let free = combine(&[plate(20.0, None)], 1000, 800).unwrap();
        assert!((square.mm_per_px - 0.02).abs() < 1e-12 && (askew.mm_per_px - 0.02).abs() < 1e-12);
        assert!((free.mm_per_px - 5.02 / 251.796).abs() < 1e-6, "{}", free.mm_per_px);
        // By hand: ends √2/251 = 0.56343 %, caliper 0.02/5.02 = 0.39841 %: together 0.69007 %.
        assert!((square.u_rel - 0.006_900_7).abs() < 1e-6, "{}", square.u_rel);
        assert!(askew.u_rel > square.u_rel && free.u_rel > square.u_rel);
        // A turned photo, the same plate: nothing changes.
        let turned = ScaleMark::Thickness {
            from: at(100.0, 400.0),
            to: at(351.0, 420.0),
            along: Some((at(100.0, 100.0), at(100.0, 700.0))),
            thickness_mm: 5.02,
            u_rel: None,
        };
        assert!((combine(&[turned], 1000, 800).unwrap().mm_per_px - 0.02).abs() < 1e-12);
    }

    #[test]
    fn marks_that_cannot_be_are_refused_with_the_fact_and_the_way_out() {
        let two = |from, to, length_mm, u_rel| ScaleMark::TwoPoints { from, to, length_mm, u_rel };
        let (a, b) = (at(54.0, 100.0), at(369.0, 100.0));
        let cases = [
            (vec![], "no scale is given, so pixels cannot be turned into millimetres"),
            (vec![two(a, b, 0.0, None)], "scale 1: 0 mm is not a length a scale can have"),
            (
                vec![track_bar(None), two(a, b, -0.1, None)],
                "scale 2: -0.1 mm is not a length a scale can have",
            ),
            (vec![two(a, b, f64::NAN, None)], "scale 1: NaN mm is not a length a scale can have"),
            (
                vec![two(a, b, f64::INFINITY, None)],
                "scale 1: inf mm is not a length a scale can have",
            ),
            (
                vec![two(a, a, 0.1, None)],
                "scale 1: the two points are 0.0 px apart; at least 10 px are needed",
            ),
            (
                vec![two(a, at(1600.0, 100.0), 0.1, None)],
                "scale 1: the point (1600.0, 100.0) lies outside the photo of 1600 x 1200 px",
            ),
            (
                vec![two(at(f64::NAN, 1.0), b, 0.1, None)],
                "scale 1: the point (NaN, 1.0) lies outside the photo of 1600 x 1200 px",
            ),
            (
                vec![two(a, b, 0.1, Some(0.0))],
                "scale 1: a relative uncertainty of 0 is not between 0.000001 and 0.5",
            ),
            (
                vec![two(a, b, 0.1, Some(f64::NAN))],
                "scale 1: a relative uncertainty of NaN is not between 0.000001 and 0.5",
            ),
            (
                vec![ScaleMark::PerPixel { mm_per_px: -1.0, u_rel: None }],
                "scale 1: -1 mm is not a length a scale can have",
            ),
        ];
        for (marks, fact) in cases {
            let error = on_track(&marks).unwrap_err();
            assert_eq!(error.to_string(), fact);
            assert!(!error.advice().is_empty());
        }
        // The outermost edge of the photo still belongs to it.
        assert!(on_track(&[two(at(-0.5, -0.5), at(1599.5, 1199.5), 10.0, None)]).is_ok());
    }

    #[test]
    fn a_slip_of_units_is_asked_about() {
        let scale = on_track(&[ScaleMark::TwoPoints {
            from: at(54.0, 9.0),
            to: at(369.0, 9.0),
            length_mm: 1000.0,
            u_rel: None,
        }])
        .unwrap();
        assert_eq!(
            scale.remarks,
            ["by this scale the photo shows 5079.365 mm from side to side: are the units right?"]
        );
    }

    proptest::proptest! {
        /// Whatever is given, a scale that comes out is a number above zero with a doubt above zero, its agreeing
        /// marks' mean lies among them, and turning the photo by a half turn changes nothing.
        #[test]
        fn a_scale_is_a_number_or_a_refusal(
            ends in proptest::collection::vec((-10.0..1700.0_f64, -10.0..1300.0_f64, -10.0..1700.0_f64, -10.0..1300.0_f64), 1..5),
            length_mm in proptest::num::f64::ANY, u in proptest::option::of(proptest::num::f64::ANY), near in 0.5..2.0_f64,
        ) {
            let marks = |half: bool, length_mm: f64, u_rel: Option<f64>| -> Vec<ScaleMark> {
                let put = |x: f64, y: f64| if half { at(1599.0 - x, 1199.0 - y) } else { at(x, y) };
                let mut marks: Vec<_> = ends.iter()
                    .map(|(a, b, c, d)| ScaleMark::TwoPoints { from: put(*a, *b), to: put(*c, *d), length_mm, u_rel }).collect();
                marks.push(ScaleMark::PerPixel { mm_per_px: length_mm * near / 500.0, u_rel });
                marks
            };
            for (length_mm, u) in [(length_mm, u), (1.0, u), (length_mm, None), (1.0, None)] {
                let Ok(scale) = on_track(&marks(false, length_mm, u)) else { continue };
                assert!(scale.mm_per_px > 0.0 && scale.mm_per_px.is_finite() && scale.u_rel > 0.0 && scale.u_rel.is_finite(), "{scale:?}");
                let among = |f: fn(f64, f64) -> f64, start| scale.parts.iter().map(|p| p.mm_per_px).fold(start, f);
                assert!(scale.mm_per_px >= among(f64::min, f64::MAX) * (1.0 - 1e-9) && scale.mm_per_px <= among(f64::max, 0.0) * (1.0 + 1e-9));
                if let Ok(turned) = on_track(&marks(true, length_mm, u)) {
                    assert!((turned.mm_per_px / scale.mm_per_px - 1.0).abs() < 1e-9);
                }
            }
        }
    }
}
