//! From setting and joint to the section to expect.

use physics::band::Band;
use physics::beam::Beam;
use physics::deposit::{Feed, Wires};
use physics::fused::InCorner;
use physics::keyhole::Resolution;
use physics::melt::{Calibration, Mode, Tier};
use physics::metal::Metal;
use physics::predict::{Expected, predict};
use physics::setting::{Laser, Plates, Work};
use physics::wobble::{Pattern, Wobble};
use proptest::prelude::*;
use weld::quantity::{Angle, Frequency, Length, Power, Speed, Temperature};
use weld::reading::{Answer, Reading};

fn mm(x: f64) -> Length {
    Length::from_mm(x)
}

/// 1.5 kW, 50 µm, M² 3, 4 mm/s, 1.2 mm at 20 Hz.
fn narrow() -> Laser {
    Laser {
        beam: Beam {
            power: Power::from_w(1500.0),
            spot: Length::from_um(50.0),
            m2: 3.0,
            wavelength: Length::from_nm(1070.0),
            focus: Length::ZERO,
        },
        travel: Speed::from_mm_per_s(4.0),
        wobble: Some(Wobble {
            pattern: Pattern::Line,
            width: mm(1.2),
            frequency: Frequency::from_hz(20.0),
        }),
        torch_angle: Angle::from_deg(90.0),
        aim: Length::ZERO,
        wire: None,
    }
}

fn steel(joint: Plates) -> Work {
    Work { metal: Metal::CarbonSteel, temperature: Temperature::from_deg_c(20.0), joint }
}

fn tee(both: bool) -> Plates {
    Plates::Tee {
        base: mm(8.0),
        upright: mm(5.0),
        angle: Angle::from_deg(90.0),
        gap: Length::ZERO,
        both,
    }
}

const WIRES: Option<(Wires, Feed)> =
    Some((Wires { count: 2, diameter: Length::from_mm(1.6) }, Feed::AsTravel));

fn expect(laser: &Laser, joint: Plates) -> Expected {
    predict(laser, &steel(joint), Tier::Keyhole(Resolution::REPORT), Calibration::NONE).unwrap()
}

/// The shop's figures (common practice, no source), shown as they come out; the law is not tuned to them.
///
/// * about 5 mm at 1.5 kW, 50 µm, 3 to 5 mm/s, 20 Hz and 1.2 mm: the band of 1.6 holds 5 mm, and so it must.
/// * clearly less with a spot three times larger: less, but by 7 % only (known weakness, physics-keyhole.md section 5).
/// * two such passes meet inside a 3/8 in square butt.
#[test]
fn what_the_shop_says() {
    let bead = Plates::Bead { thickness: mm(12.0) };
    for travel in [3.0, 4.0, 5.0] {
        let laser = Laser { travel: Speed::from_mm_per_s(travel), ..narrow() };
        let said = expect(&laser, bead);
        println!(
            "1.5 kW, 50 um, {travel} mm/s, 1.2 mm at 20 Hz: {:.2} mm (shop: about 5)",
            said.middle.depth
        );
        let [low, high] = said.ends.unwrap();
        assert!(low.depth < 5.0 && 5.0 < high.depth);
    }
    let small = expect(&narrow(), bead).middle.depth;
    let beam = Beam { spot: Length::from_um(150.0), m2: 9.0, ..narrow().beam };
    let large = expect(&Laser { beam, ..narrow() }, bead).middle.depth;
    println!(
        "spot times three: {large:.2} mm against {small:.2}, {:.0} % less (shop: clearly less)",
        100.0 * (1.0 - large / small)
    );
    assert!(large < small);
    let butt = Plates::Butt { thickness: Length::from_in(0.375), gap: Length::ZERO, both: true };
    let said = expect(&narrow(), butt);
    let joint = &said.middle.reading.as_ref().unwrap().joint;
    println!(
        "two passes in a 3/8 in square butt overlap by {:+.2} mm (shop: they meet)",
        joint.overlap.unwrap()
    );
    assert_eq!(joint.complete_penetration, Some(Answer::Yes));
    assert!((joint.throat.unwrap() - 9.525).abs() < 1e-9);
    assert!((said.middle.throat().unwrap() - 0.5 * 9.525).abs() < 1e-9);
}

/// A bead's section shows the depth and width that were put in, and the wire's area as deposit.
#[test]
fn a_predicted_bead_reads_as_it_was_made() {
    let laser =
        Laser { wire: Some((Wires { count: 1, diameter: mm(1.2) }, Feed::AsTravel)), ..narrow() };
    let said = expect(&laser, Plates::Bead { thickness: mm(12.0) });
    let got = |r| said.middle.least(r).unwrap();
    assert!((got(Reading::Penetration) - said.middle.depth).abs() < 1e-9);
    assert!((got(Reading::WidthSurface) - said.middle.width).abs() < 1e-9);
    // Pieces of the outline are chords: a width between two of 40 is short by less than 1 %.
    assert!((got(Reading::WidthHalf) / said.middle.width_half - 1.0).abs() < 1e-2);
    let wire = std::f64::consts::FRAC_PI_4 * 1.44;
    assert!(
        (got(Reading::DepositedArea) / wire - 1.0).abs() < 1e-3,
        "{}",
        got(Reading::DepositedArea)
    );
    assert_eq!(said.melt.mode, Mode::Keyhole);
    assert_eq!(said.middle.throat(), None);
}

/// A tee's root penetration on the section is the formula's of design 7; deposit is the wires'; both sides are alike.
#[test]
fn a_predicted_tee_reads_as_it_was_made() {
    for (degrees, aim) in [(30.0, 0.0), (45.0, 0.2), (45.0, -0.3)] {
        let laser = Laser {
            torch_angle: Angle::from_deg(degrees),
            aim: mm(aim),
            travel: Speed::from_mm_per_s(8.0),
            wire: WIRES,
            ..narrow()
        };
        let one = expect(&laser, tee(false));
        let m = &one.melt;
        let beam = InCorner {
            torch: f64::to_radians(degrees),
            between: std::f64::consts::FRAC_PI_2,
            aim,
            depth: m.depth * 1e3,
            mid: m.mid_width * 1e3,
            exponent: m.exponent,
        };
        let p = beam.root_reach();
        let read = one.middle.least(Reading::RootPenetration).unwrap();
        // The outline is a polygon of 48 chords inside the curve.
        assert!(read <= p + 1e-6 && read > p * 0.985, "{degrees} {aim}: {read} {p}");
        let wires = 2.0 * std::f64::consts::FRAC_PI_4 * 2.56;
        assert!((one.middle.sum(Reading::DepositedArea).unwrap() / wires - 1.0).abs() < 2e-3);
        let both = expect(&laser, tee(true));
        let throats: Vec<f64> = both
            .middle
            .reading
            .as_ref()
            .unwrap()
            .welds
            .iter()
            .map(|w| w.readings.get(Reading::EffectiveThroat).unwrap())
            .collect();
        assert!((throats[0] - throats[1]).abs() < 1e-9 && throats[0] > 1.0, "{throats:?}");
        println!(
            "{degrees} deg, aim {aim}: p {p:.2}, throat {:.2}, legs {:?} {:?}, {:?}",
            throats[0],
            one.middle.least(Reading::LegBase),
            one.middle.least(Reading::LegUpright),
            one.limits.iter().map(|l| l.what).collect::<Vec<_>>()
        );
    }
}

/// By construction: struck squarely, the upright's toe lies half the width of the surface from the corner, moved by the aim.
/// Points of the body lie on the upright's face to the last bit there.
#[test]
fn a_beam_square_to_the_upright_has_its_own_toe() {
    let joint = Plates::Tee {
        base: mm(10.0),
        upright: mm(8.0),
        angle: Angle::from_deg(110.0),
        gap: Length::ZERO,
        both: true,
    };
    for step in 0..40 {
        let aim = -0.4 + 0.02 * f64::from(step);
        let laser = Laser {
            beam: Beam {
                power: Power::from_w(1800.0),
                spot: Length::from_um(100.0),
                ..narrow().beam
            },
            travel: Speed::from_mm_per_s(6.0),
            wobble: Some(Wobble {
                pattern: Pattern::Line,
                width: mm(1.5),
                frequency: Frequency::from_hz(60.0),
            }),
            torch_angle: Angle::from_deg(20.0),
            aim: mm(aim),
            wire: WIRES,
        };
        let said = expect(&laser, joint);
        let leg = said.middle.least(Reading::LegUpright).unwrap();
        let own = 0.5 * said.middle.width + aim;
        assert!((leg - own).abs() < 1e-6, "aim {aim:.2}: {leg} and {own}");
        let throat = said.middle.throat().unwrap();
        let all: Vec<f64> = said.band().map(|end| end.throat().unwrap()).collect();
        assert!(
            all.iter().any(|t| *t < throat) && all.iter().any(|t| *t > throat),
            "{aim:.2} {throat} {all:?}"
        );
    }
}

/// Past half the width over sin b depth buys no throat: four times the power reaches hardly farther at 45°.
#[test]
fn depth_alone_buys_no_root() {
    let at = |watts: f64| {
        let beam = Beam { power: Power::from_w(watts), ..narrow().beam };
        let laser = Laser { beam, torch_angle: Angle::from_deg(45.0), wire: WIRES, ..narrow() };
        let said = expect(&laser, tee(false));
        (said.middle.root_reach.unwrap(), 0.5e3 * said.melt.mid_width / 45.0_f64.to_radians().sin())
    };
    let (p, most) = at(2000.0);
    assert!(p <= most && p > 0.9 * most, "{p} {most}");
}

#[test]
fn an_aim_that_misses_has_depth_and_no_throat() {
    let laser = Laser { torch_angle: Angle::from_deg(30.0), aim: mm(2.5), wire: WIRES, ..narrow() };
    let said = expect(&laser, tee(false));
    assert!(
        said.middle.section.is_none() && said.middle.throat().is_none() && said.middle.depth > 3.0
    );
    let limit = said.limits.iter().find(|l| l.what == "no section").unwrap();
    assert!(
        limit.fact.starts_with("the beam misses the corner: it passes 2.50 mm"),
        "{}",
        limit.fact
    );
    let inside = Laser { torch_angle: Angle::from_deg(88.0), ..laser };
    let said = expect(&inside, tee(false));
    assert!(said.limits.iter().any(|l| l.fact.contains("inside the upright")));
}

/// No figure without its band, and outside none: below 3 mm/s.
#[test]
fn outside_the_range_there_is_no_band() {
    let slow = Laser { travel: Speed::from_mm_per_s(2.0), ..narrow() };
    let said = expect(&slow, Plates::Bead { thickness: mm(12.0) });
    assert!(said.ends.is_none() && matches!(said.melt.band, Band::Outside(_)));
    assert!(said.limits.iter().any(|l| l.fact.contains("2.0 mm/s, checked from 3")));
}

/// Physics-keyhole.md, 'Fast closed form' (prototype): against the keyhole tier bias +.09, sd .18, worst factor 5.8 on random
/// handheld settings. Another draw of settings has its own figures: bias within .09 + 3 x .18/√150, sd within a half more.
#[test]
fn the_quick_tier_is_near_the_keyhole_tier() {
    let mut state = 1_u64;
    let mut draw = move |low: f64, high: f64| {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * ((state >> 11) as f64 / (1_u64 << 53) as f64)
    };
    let mut errors = Vec::new();
    while errors.len() < 150 {
        let swings = draw(0.0, 1.0) < 0.7;
        let laser = Laser {
            beam: Beam {
                power: Power::from_w(draw(500.0, 3000.0)),
                spot: Length::from_um(draw(40_f64.ln(), 300_f64.ln()).exp()),
                m2: draw(1.2, 8.0),
                ..narrow().beam
            },
            travel: Speed::from_mm_per_s(draw(2_f64.ln(), 50_f64.ln()).exp()),
            wobble: swings.then(|| Wobble {
                pattern: Pattern::Line,
                width: mm(draw(0.4, 4.0)),
                frequency: Frequency::from_hz(draw(10_f64.ln(), 250_f64.ln()).exp()),
            }),
            ..narrow()
        };
        let joint =
            Plates::Bead { thickness: mm([3.0, 6.0, 10.0, 20.0][draw(0.0, 4.0) as usize % 4]) };
        let of = |tier| predict(&laser, &steel(joint), tier, Calibration::NONE).unwrap();
        let (quick, full) = (of(Tier::Quick), of(Tier::Keyhole(Resolution::REPORT)));
        if full.melt.mode == Mode::Keyhole
            && quick.melt.mode == Mode::Keyhole
            && !full.melt.through
            && full.middle.depth > 0.2
        {
            errors.push((quick.melt.reach / full.melt.reach).ln());
        }
    }
    let n = errors.len() as f64;
    let mean = errors.iter().sum::<f64>() / n;
    let sd = (errors.iter().map(|e| (e - mean).powi(2)).sum::<f64>() / n).sqrt();
    let worst = errors.iter().fold(0.0_f64, |m, e| m.max(e.abs())).exp();
    println!("quick against keyhole: bias {mean:+.3}, sd {sd:.3}, worst factor {worst:.2}");
    assert!(mean.abs() <= 0.09 + 3.0 * 0.18 / n.sqrt() && sd <= 1.5 * 0.18 && worst <= 5.8);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    /// Whatever the setting: no panic, an outline that reads, deposit that is the wire's, throat that depth never thins.
    #[test]
    fn any_setting_is_answered(
        watts in 200.0..5000.0_f64, um in 20.0..600.0_f64, v in 1.0..60.0_f64, width in 0.1..5.0_f64, hz in 5.0..400.0_f64,
        deg in 15.0..80.0_f64, aim in -1.5..1.5_f64, wires in 0_u8..4, d in 0.6..2.0_f64, kind in 0..4_usize, gap in prop_oneof![Just(0.0), 0.0..1.0_f64],
        pattern in 0..3_usize, lean in 50.0..130.0_f64,
    ) {
        let laser = Laser {
            beam: Beam { power: Power::from_w(watts), spot: Length::from_um(um), ..narrow().beam },
            travel: Speed::from_mm_per_s(v),
            wobble: Some(Wobble {
                pattern: [Pattern::Line, Pattern::Circle, Pattern::Eight][pattern],
                width: mm(width),
                frequency: Frequency::from_hz(hz),
            }),
            torch_angle: Angle::from_deg(deg),
            aim: mm(aim),
            wire: (wires > 0).then_some((Wires { count: wires, diameter: mm(d) }, Feed::AsTravel)),
        };
        let (gap, angle) = (mm(gap), Angle::from_deg(lean));
        let joint = match kind {
            0 => Plates::Bead { thickness: mm(6.0) },
            1 => Plates::Butt { thickness: mm(6.0), gap, both: false },
            2 => Plates::Butt { thickness: mm(9.0), gap, both: true },
            _ => Plates::Tee { base: mm(8.0), upright: mm(5.0), angle, gap, both: wires % 2 == 0 },
        };
        let said = predict(&laser, &steel(joint), Tier::Keyhole(Resolution::INTERACTIVE), Calibration::NONE).unwrap();
        let limits: Vec<String> = said.limits.iter().map(|l| format!("{}: {}", l.what, l.fact)).collect();
        prop_assert!(!limits.iter().any(|l| l.starts_with("section:")), "{limits:?}");
        prop_assert!(said.middle.depth.is_finite() && said.melt.heat <= watts);
        prop_assert_eq!(said.middle.section.is_some(), said.middle.reading.is_some());
        if let Some([low, high]) = &said.ends {
            prop_assert!(low.depth <= said.middle.depth && said.middle.depth <= high.depth);
            // In a gap a deeper zone takes more of the wire, and its face falls farther: there less may be more.
            if gap.mm() == 0.0 && let (Some(a), Some(b)) = (low.throat(), said.middle.throat()) {
                prop_assert!(a <= b * 1.02 + 0.02, "low {a} middle {b} {limits:?}");
            }
        }
    }
}

/// A beam of 120 µm, M² 3.
fn beam(watts: f64) -> Beam {
    Beam { power: Power::from_w(watts), spot: Length::from_um(120.0), ..narrow().beam }
}

/// Against the 3-D conduction prototype (shared/prototypes, the keyhole from the deposit's face, no melt flow), which an
/// examiner ran with the absorbed power, depth and deposit of these settings: its throats lie in the bands and within 0.4 mm
/// of what is expected. What the pool's heat may fuse beyond the beam's own toes is at the high end alone.
#[test]
fn tees_are_those_of_three_dimensional_conduction() {
    let at = |watts: f64, travel: f64, rate: f64| Laser {
        beam: beam(watts),
        travel: Speed::from_mm_per_s(travel),
        wobble: Some(Wobble {
            pattern: Pattern::Line,
            width: mm(1.0),
            frequency: Frequency::from_hz(rate),
        }),
        torch_angle: Angle::from_deg(25.0),
        aim: Length::ZERO,
        wire: WIRES,
    };
    let fed = |laser: Laser| Laser {
        wire: WIRES.map(|(wires, _)| (wires, Feed::At(Speed::from_mm_per_s(10.0)))),
        ..laser
    };
    let plates = |base: f64, upright: f64| Plates::Tee {
        base: mm(base),
        upright: mm(upright),
        angle: Angle::from_deg(90.0),
        gap: Length::ZERO,
        both: true,
    };
    let austenitic = Work {
        metal: Metal::Austenitic,
        temperature: Temperature::from_deg_c(20.0),
        joint: plates(8.0, 5.0),
    };
    let tier = Tier::Keyhole(Resolution::REPORT);
    let cases = [
        (predict(&at(1300.0, 6.0, 30.0), &austenitic, tier, Calibration::NONE).unwrap(), 2.3),
        (expect(&fed(at(2000.0, 5.0, 50.0)), plates(8.0, 8.0)), 2.2),
    ];
    for (said, throat) in cases {
        let middle = said.middle.throat().unwrap();
        let all: Vec<f64> = said.band().map(|end| end.throat().unwrap()).collect();
        assert!(
            all.iter().any(|t| *t < throat) && all.iter().any(|t| *t > throat),
            "{throat} {all:?}"
        );
        assert!((middle - throat).abs() < 0.4, "{middle} {throat}");
        assert!(said.limits.iter().any(|l| l.what == "toes"), "{:?}", said.limits);
    }
}

/// The same prototype's widths of slow, weak keyholes: 0.86, 1.46 and 1.42 mm. A line source without end made 1.43, 3.24 and
/// 3.93 mm of them; they may still come out wider, by less than half.
#[test]
fn weak_keyholes_are_not_wider_than_their_heat() {
    let swing = |width: f64, rate: f64| {
        Some(Wobble {
            pattern: Pattern::Line,
            width: mm(width),
            frequency: Frequency::from_hz(rate),
        })
    };
    let cases = [
        (300.0, 100.0, 5.0, None, 0.86),
        (300.0, 150.0, 3.5, swing(1.2, 20.0), 1.46),
        (200.0, 120.0, 5.0, swing(1.5, 50.0), 1.42),
    ];
    for (watts, spot, travel, wobble, width) in cases {
        let laser = Laser {
            beam: Beam { spot: Length::from_um(spot), ..beam(watts) },
            travel: Speed::from_mm_per_s(travel),
            wobble,
            ..narrow()
        };
        let said = expect(&laser, Plates::Bead { thickness: mm(10.0) });
        let over = said.middle.width / width;
        assert!((0.9..1.5).contains(&over), "{watts} W: {over}");
    }
}

/// What is outside of what was checked has no band: a gap, a quick look; and a plate that is pierced says so.
#[test]
fn no_band_where_nothing_was_checked() {
    let gap = |mm_: f64| Plates::Butt { thickness: mm(12.0), gap: mm(mm_), both: false };
    assert!(expect(&narrow(), gap(0.1)).ends.is_some());
    assert!(expect(&narrow(), gap(0.4)).ends.is_none());
    let quick = predict(
        &narrow(),
        &steel(Plates::Bead { thickness: mm(12.0) }),
        Tier::Quick,
        Calibration::NONE,
    );
    assert!(quick.unwrap().ends.is_none());
    let pierced = expect(&narrow(), Plates::Bead { thickness: mm(3.0) });
    assert!(pierced.melt.through && pierced.limits.iter().any(|l| l.what == "through"));
    let nearly = expect(&narrow(), Plates::Bead { thickness: mm(6.0) });
    assert!(!nearly.melt.through && nearly.limits.iter().any(|l| l.what == "may come through"));
}
