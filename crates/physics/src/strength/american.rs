//! Fillet and groove welds by AISC 360 and by AWS D1.1.
//!
//! ```text
//!   fillet, AISC 360:   0.60 FEXX (1 + 0.50 sin^1.5 θ) on the throat, 0.75 (LRFD) or 1/2.00 (ASD)
//!                       θ: between the load and the weld's own axis
//!   fillet, AWS D1.1:   0.30 FEXX on the diagrammatic throat (allowable stress), whatever the direction
//!   partial-penetration groove, AISC 360 Table J2.5:
//!                       tension square to the throat 0.60 FEXX, 0.80 or 1/1.88
//!                       compression (not finished to bear) 0.90 FEXX, 0.80 or 1/1.88
//!                       shear 0.60 FEXX, 0.75 or 1/2.00; parent metal on the same throat by J4
//!   end-loaded fillet:  beta = 1.2 - 0.002 l/w <= 1 beyond 100 w; 180 w counts beyond 300 w
//! ```
//!
//! LRFD takes factored loads, ASD and allowable stresses take service loads.
//!
//! Sources: [`AISC_360_WELD_STRENGTH`](weld::source::AISC_360_WELD_STRENGTH),
//! [`AISC_360_DIRECTIONAL`](weld::source::AISC_360_DIRECTIONAL), [`AISC_360_LENGTH`](weld::source::AISC_360_LENGTH),
//! [`AISC_360_LEAST_LEG`](weld::source::AISC_360_LEAST_LEG),
//! [`AISC_360_GREATEST_LEG`](weld::source::AISC_360_GREATEST_LEG),
//! [`AISC_360_LEAST_GROOVE`](weld::source::AISC_360_LEAST_GROOVE),
//! [`AWS_D1_1_ALLOWABLE`](weld::source::AWS_D1_1_ALLOWABLE).
//! Not covered: **hollow sections** (the directional increase is not for welds to the ends of rectangular ones: set it
//! off), stainless steel (AISC 370, AWS D1.6), sheet (AWS D1.3), flare grooves, plug and slot welds, the Z loss of acute
//! angles, fatigue.

use weld::quantity::{Angle, Length, Stress};

use super::parent::ellipse;
use super::{Aisc, AwsD11};

/// Increase of a fillet's strength with the angle between load and weld: `1 + 0.50 sin^1.5 θ`, 1 to 1.5.
#[must_use]
pub fn directional_factor(angle: Angle) -> f64 {
    of_sine(angle.rad().sin().abs())
}

/// The same from the sine.
pub(super) fn of_sine(sine: f64) -> f64 {
    1.0 + 0.5 * sine.powf(1.5)
}

/// Strength of a fillet per throat area, factored; `sine` of the angle between load and weld.
pub(super) fn fillet_strength(aisc: &Aisc, sine: f64) -> f64 {
    let directional = if aisc.directional { of_sine(sine.min(1.0)) } else { 1.0 };
    aisc.design.of(0.75, 2.00) * 0.60 * aisc.electrode.mpa() * directional
}

/// Allowable stress on a throat by AWS D1.1, 0.30 FEXX.
#[must_use]
pub fn allowable(aws: &AwsD11) -> Stress {
    0.30 * aws.electrode
}

/// Strength of a partial-penetration groove weld per throat area; `square` is the share of the load square to the
/// throat, positive in tension. `breaks` is the weaker parent metal's tensile strength.
pub(super) fn groove_strength(aisc: &Aisc, breaks: Stress, square: f64) -> f64 {
    let (fexx, fu) = (aisc.electrode.mpa(), breaks.mpa());
    let nominal = if square < 0.0 { 0.90 } else { 0.60 };
    let weld = ellipse(
        square,
        aisc.design.of(0.80, 1.88) * nominal * fexx,
        aisc.design.of(0.75, 2.00) * 0.60 * fexx,
    );
    let parent = aisc.design.of(0.75, 2.00) * fu;
    weld.min(ellipse(square, parent, 0.60 * parent))
}

/// Share of an end-loaded fillet's length that counts, for a length of `length` and a leg of `leg`.
#[must_use]
pub fn end_loaded_factor(length: Length, leg: Length) -> f64 {
    let slenderness = length / leg;
    if slenderness.is_nan() {
        0.0
    } else if slenderness > 300.0 {
        180.0 / slenderness
    } else {
        (1.2 - 0.002 * slenderness).min(1.0)
    }
}

/// By thickness up to and including (in): a size (in).
type Steps = &'static [(f64, f64)];

fn step(steps: Steps, beyond: f64, thickness: Length) -> Length {
    let t = thickness.inches();
    let found = steps.iter().find(|(to, _)| t <= to * (1.0 + 1e-12));
    Length::from_in(found.map_or(beyond, |(_, size)| *size))
}

/// Least leg of a fillet weld by the thinner part, Table J2.4.
#[must_use]
pub fn least_leg(thinner: Length) -> Length {
    step(&[(0.25, 0.125), (0.5, 0.1875), (0.75, 0.25)], 0.3125, thinner)
}

/// Greatest leg along an edge of this thickness, J2.2b.
#[must_use]
pub fn greatest_leg(edge: Length) -> Length {
    if edge.inches() < 0.25 * (1.0 - 1e-12) { edge } else { edge - Length::from_in(1.0 / 16.0) }
}

/// Least throat of a partial-penetration groove weld by the thinner part, Table J2.3.
#[must_use]
pub fn least_groove_throat(thinner: Length) -> Length {
    const STEPS: Steps =
        &[(0.25, 0.125), (0.5, 0.1875), (0.75, 0.25), (1.5, 0.3125), (2.25, 0.375), (6.0, 0.5)];
    step(STEPS, 0.625, thinner)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::Design;
    use super::*;

    /// Check values 3.7 ([`AISC_360_DIRECTIONAL`](weld::source::AISC_360_DIRECTIONAL), form seen), three decimals.
    #[test]
    fn directional_increase() {
        for (degrees, factor) in [
            (0.0, 1.000),
            (15.0, 1.066),
            (30.0, 1.177),
            (45.0, 1.297),
            (60.0, 1.403),
            (75.0, 1.475),
            (90.0, 1.500),
        ] {
            let found = directional_factor(Angle::from_deg(degrees));
            assert!((found - factor).abs() <= 0.5e-3, "{degrees}: {found}");
        }
    }

    /// Check values 3.6a, 3.6b: 1/16 in of leg, E70: LRFD 1.392, ASD 0.928 kip/in; 1/4 in: 5.568 kip/in (four sixteenths
    /// of the rounded 1.392, so 4 x 0.0005 off at most).
    #[test]
    fn fillet_strength_a_sixteenth() {
        for (design, sixteenths, published, within) in [
            (Design::Lrfd, 1.0, 1.392, 0.5e-3),
            (Design::Asd, 1.0, 0.928, 0.5e-3),
            (Design::Lrfd, 4.0, 5.568, 2e-3),
        ] {
            let aisc = Aisc { design, electrode: Stress::from_ksi(70.0), directional: true };
            let throat = super::super::leg::throat(
                Length::from_in(sixteenths / 16.0),
                Angle::from_deg(90.0),
            );
            let found = Stress::from_mpa(fillet_strength(&aisc, 0.0)) * throat;
            assert!(
                (found.kip_per_in() - published).abs() <= within,
                "{design:?}: {}",
                found.kip_per_in()
            );
        }
    }

    /// Check value 3.8 ([`AWS_D1_1_ALLOWABLE`](weld::source::AWS_D1_1_ALLOWABLE), recalled): 1/4 in, E70: 3.712 kip/in,
    /// 650.1 N/mm.
    #[test]
    fn allowable_on_a_quarter_inch() {
        let throat = super::super::leg::throat(Length::from_in(0.25), Angle::from_deg(90.0));
        let found = allowable(&AwsD11 { electrode: Stress::from_ksi(70.0) }) * throat;
        assert!((found.kip_per_in() - 3.712).abs() <= 0.5e-3);
        assert!((found.n_per_mm() - 650.1).abs() <= 0.05);
    }

    /// Check values 3.9 ([`AISC_360_LENGTH`](weld::source::AISC_360_LENGTH), seen): 0.90 at 150, 0.60 at 300 and
    /// beyond 180 w.
    #[test]
    fn end_loaded_fillets_lose() {
        let at = |slenderness: f64| {
            end_loaded_factor(Length::from_mm(5.0 * slenderness), Length::from_mm(5.0))
        };
        assert_eq!(at(100.0), 1.0);
        assert!((at(150.0) - 0.90).abs() < 1e-12);
        assert!((at(300.0) - 0.60).abs() < 1e-12);
        assert!((at(600.0) - 0.30).abs() < 1e-12);
        assert_eq!(end_loaded_factor(Length::ZERO, Length::ZERO), 0.0);
    }

    /// Check values 3.9c and 3.9d, and Table J2.3 as the handbook prints it (page 5.41).
    #[test]
    fn sizes_by_thickness() {
        let inches = Length::from_in;
        let same = |a: Length, b: f64| assert!((a.inches() - b).abs() < 1e-12, "{a} {b}");
        for (t, leg, groove) in [
            (0.25, 0.125, 0.125),
            (0.26, 0.1875, 0.1875),
            (0.5, 0.1875, 0.1875),
            (0.75, 0.25, 0.25),
            (1.0, 0.3125, 0.3125),
            (1.5, 0.3125, 0.3125),
            (2.0, 0.3125, 0.375),
            (4.0, 0.3125, 0.5),
            (7.0, 0.3125, 0.625),
        ] {
            same(least_leg(inches(t)), leg);
            same(least_groove_throat(inches(t)), groove);
        }
        same(greatest_leg(inches(0.1875)), 0.1875);
        same(greatest_leg(inches(0.25)), 0.1875);
        same(greatest_leg(inches(0.5)), 0.4375);
    }

    /// Table J2.5 as the handbook prints it (page 5.44): tension 0.80 x 0.60 FEXX, 0.60 FEXX / 1.88; shear 0.75; compression
    /// 0.90 FEXX. E70 is the weaker here than a parent metal of 90 ksi.
    #[test]
    fn groove_strengths_of_table_j2_5() {
        let fu = Stress::from_ksi(90.0);
        for (design, pull, push, shear) in [
            (Design::Lrfd, 0.80 * 0.60, 0.80 * 0.90, 0.75 * 0.60),
            (Design::Asd, 0.60 / 1.88, 0.90 / 1.88, 0.60 / 2.00),
        ] {
            let aisc = Aisc { design, electrode: Stress::from_ksi(70.0), directional: true };
            let share = |square| Stress::from_mpa(groove_strength(&aisc, fu, square)).ksi() / 70.0;
            assert!((share(1.0) - pull).abs() < 1e-12);
            assert!((share(-1.0) - push).abs() < 1e-12);
            assert!((share(0.0) - shear).abs() < 1e-12);
        }
    }

    proptest! {
        /// A longer end-loaded weld never carries less, and its share never grows.
        #[test]
        fn a_longer_weld_carries_no_less(l in 1.0..2000.0_f64, more in 0.0..500.0_f64) {
            let (leg, a, b) = (Length::from_mm(3.0), Length::from_mm(l), Length::from_mm(l + more));
            let (fa, fb) = (end_loaded_factor(a, leg), end_loaded_factor(b, leg));
            prop_assert!(fb <= fa + 1e-12 && fb > 0.0);
            prop_assert!(fb * b.mm() >= fa * a.mm() - 1e-9);
        }

        /// No direction is weaker than along the weld, none stronger than across it.
        #[test]
        fn along_is_the_weakest(degrees in -720.0..720.0_f64) {
            let factor = directional_factor(Angle::from_deg(degrees));
            prop_assert!((1.0..=1.5).contains(&factor));
        }
    }
}
