//! Leg and throat of a drawn (diagrammatic) fillet: no penetration, flat face, equal legs.
//!
//! ```text
//!   throat = leg · cos(ψ/2)      legs measured along the plates, ψ between them
//! ```
//!
//! Source: geometry; the skewed-leg factor is that of [`AWS_D1_1_SKEWED`](weld::source::AWS_D1_1_SKEWED), where a leg
//! is measured square to the other plate. Range: 30 to 150 degrees.
//! Not covered: unequal legs, hollow faces (read those from the section: `weld::section::throat`).

use weld::quantity::{Angle, Length};

/// The equal leg whose triangle has this throat.
#[must_use]
pub fn of_throat(throat: Length, angle: Angle) -> Length {
    throat / (0.5 * angle.rad()).cos()
}

/// The throat of a triangle with these equal legs.
#[must_use]
pub fn throat(leg: Length, angle: Angle) -> Length {
    leg * (0.5 * angle.rad()).cos()
}

/// How many times the leg of a 90-degree fillet a skewed one needs for the same throat, legs square to the other plate.
#[must_use]
pub fn skewed_factor(angle: Angle) -> f64 {
    (0.5 * angle.rad()).sin() * std::f64::consts::SQRT_2
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Check values 1.14: geometry, three decimals (70.7 degrees and round figures alike).
    #[expect(clippy::approx_constant, reason = "as printed")]
    #[test]
    fn throat_over_leg_by_angle() {
        for (degrees, ratio) in [
            (60.0, 0.866),
            (75.0, 0.793),
            (80.0, 0.766),
            (90.0, 0.7071),
            (100.0, 0.643),
            (110.0, 0.574),
            (120.0, 0.500),
            (135.0, 0.383),
        ] {
            let found = throat(Length::from_mm(1.0), Angle::from_deg(degrees)).mm();
            assert!((found - ratio).abs() <= 0.5e-3, "{degrees}: {found}");
        }
    }

    /// Check values 1.15: [`AWS_D1_1_SKEWED`](weld::source::AWS_D1_1_SKEWED), recalled, two decimals, printed upwards at
    /// some angles (0.76 at 65 degrees where the formula gives 0.7598): within 0.006.
    #[test]
    fn skewed_factors_are_those_of_the_annex() {
        let printed = [
            (60.0, 0.71),
            (65.0, 0.76),
            (70.0, 0.81),
            (75.0, 0.86),
            (80.0, 0.91),
            (85.0, 0.96),
            (90.0, 1.00),
            (100.0, 1.08),
            (105.0, 1.12),
            (110.0, 1.16),
            (115.0, 1.19),
            (120.0, 1.23),
            (125.0, 1.25),
            (130.0, 1.28),
            (135.0, 1.31),
        ];
        for (degrees, factor) in printed {
            let found = skewed_factor(Angle::from_deg(degrees));
            assert!((found - factor).abs() <= 0.006, "{degrees}: {found}");
        }
    }

    proptest! {
        /// Leg and throat undo each other at every angle.
        #[test]
        fn leg_and_throat_undo_each_other(mm in 0.1..50.0_f64, degrees in 30.0..150.0_f64) {
            let angle = Angle::from_deg(degrees);
            let back = throat(of_throat(Length::from_mm(mm), angle), angle).mm();
            prop_assert!((back - mm).abs() <= 4.0 * f64::EPSILON * mm);
        }
    }
}
