//! Fillet and butt welds by EN 1993-1-8, stainless steel by EN 1993-1-4.
//!
//! ```text
//!   throat plane through the root, at half the angle between the plates; load per mm f on throat a:
//!     sigma  = f · n / a     square to the plane        n = (-sin ψ/2, cos ψ/2)
//!     tau    = f · b / a     in the plane, across       b = ( cos ψ/2, sin ψ/2)
//!     tau_x  = f · x / a     along the weld
//!   directional:  sqrt(sigma^2 + 3 (tau^2 + tau_x^2)) <= fu / (beta_w gamma_M2)   and   sigma <= 0.9 fu / gamma_M2
//!   simplified:   |f| / a <= fu / (sqrt 3 beta_w gamma_M2)
//! ```
//!
//! The directional method needs the plane of the throat. The code's picture of a deep-penetration fillet keeps it at
//! half the angle; the shortest way from root to face may lie otherwise. The simplified method holds for any plane, so
//! its throat is given beside ([`Need::any_plane`](super::Need::any_plane)). Below 60 degrees, where the code makes the
//! weld a partial-penetration butt weld, only the simplified value is used.
//!
//! Parts of different grades: the lower of the two values is taken for each of the two limits, which is never more than
//! what the lower grade alone gives (4.5.3.2(7)). A filler weaker than the parent metal replaces it, with `beta_w` 1.
//!
//! Sources: [`EN_1993_1_8_DIRECTIONAL`](weld::source::EN_1993_1_8_DIRECTIONAL),
//! [`EN_1993_1_8_SIMPLIFIED`](weld::source::EN_1993_1_8_SIMPLIFIED), [`EN_1993_1_8_CORRELATION`],
//! [`EN_1993_1_4_WELDS`], recalled; `gamma_M2` [`EN_1993_1_8_GAMMA_M2`](weld::source::EN_1993_1_8_GAMMA_M2), quoted.
//! Range: S235 to S460 and annealed austenitic stainless steel, 4 mm and over.
//! Not covered: national values of `beta_w` for S420 and S460, flare grooves, plug and slot welds, welds to unstiffened
//! flanges (4.10), intermittent welds, hollow sections (section 7), cold-formed zones (4.14), fatigue (EN 1993-1-9).

use weld::materials::{Family, Filler, Grade};
use weld::quantity::{Angle, Length, Stress};
use weld::source::{EN_1993_1_4_WELDS, EN_1993_1_8_CORRELATION, Sourced};

use super::load::Unit;
use super::{En, EnMethod, Metal};

/// Correlation factor `beta_w` of a metal.
///
/// A steel that Table 4.1 does not name takes 1.00, the table's greatest.
#[must_use]
pub const fn correlation_factor(metal: &Metal) -> Sourced<f64> {
    let value = match (metal.family, metal.grade) {
        (Family::CarbonSteel, Some(Grade::S235)) => 0.80,
        (Family::CarbonSteel, Some(Grade::S275)) => 0.85,
        (Family::CarbonSteel, Some(Grade::S355)) => 0.90,
        _ => 1.00,
    };
    let source = match metal.family {
        Family::Stainless => EN_1993_1_4_WELDS,
        _ => EN_1993_1_8_CORRELATION,
    };
    Sourced { value, source }
}

/// Design shear strength of the weld, `fu / (sqrt 3 beta_w gamma_M2)`.
#[must_use]
pub fn design_shear_strength(ultimate: Stress, beta_w: f64, gamma_m2: f64) -> Stress {
    ultimate / (3.0_f64.sqrt() * beta_w * gamma_m2)
}

/// Reduction of a long lap joint, `1.2 - 0.2 Lj / (150 a)`, from 0 to 1; 1 up to 150 a.
#[must_use]
pub fn long_lap_factor(lap: Length, throat: Length) -> f64 {
    let factor = 1.2 - 0.2 * (lap / (150.0 * throat));
    // No throat, no length: nothing may be counted.
    if factor.is_nan() { 0.0 } else { factor.clamp(0.0, 1.0) }
}

/// Stresses on the throat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThroatStress {
    /// Square to the throat.
    pub normal: Stress,
    /// In the throat, across the weld.
    pub across: Stress,
    /// In the throat, along the weld.
    pub along: Stress,
}

impl ThroatStress {
    /// `sqrt(sigma^2 + 3 (tau^2 + tau_x^2))`.
    #[must_use]
    pub fn equivalent(&self) -> Stress {
        let (s, t, l) = (self.normal.mpa(), self.across.mpa(), self.along.mpa());
        Stress::from_mpa((s * s + 3.0 * (t * t + l * l)).sqrt())
    }
}

/// A load of one newton per mm on a throat of one millimetre, on the plane at half the angle.
pub(super) fn on_half_angle(unit: Unit, angle: Angle) -> ThroatStress {
    let (sin, cos) = (0.5 * angle.rad()).sin_cos();
    ThroatStress {
        normal: Stress::from_mpa(unit.along((-sin, cos))),
        across: Stress::from_mpa(unit.along((cos, sin))),
        along: Stress::from_mpa(unit.x),
    }
}

/// The two limits of the directional method, N/mm².
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Limits {
    /// `fu / (beta_w gamma_M2)`.
    pub(super) equivalent: f64,
    /// `0.9 fu / gamma_M2`.
    pub(super) normal: f64,
}

impl Limits {
    /// The lower of both parts and of the filler.
    pub(super) fn of(en: &En, metals: [&Metal; 2], filler: Option<Filler>) -> Self {
        let mut equivalent = f64::MAX;
        let mut normal = f64::MAX;
        for metal in metals {
            let fu = metal.ultimate.mpa();
            equivalent = equivalent.min(fu / (correlation_factor(metal).value * en.gamma_m2));
            normal = normal.min(0.9 * fu / en.gamma_m2);
        }
        if let Some(filler) = filler {
            let fu = filler.strength().ultimate.value.mpa();
            if metals.iter().any(|metal| fu < metal.ultimate.mpa()) {
                equivalent = equivalent.min(fu / en.gamma_m2);
                normal = normal.min(0.9 * fu / en.gamma_m2);
            }
        }
        Self { equivalent, normal }
    }

    /// Resistance per throat area in the direction of the load, from its stresses per unit.
    pub(super) fn directional(self, unit: ThroatStress) -> f64 {
        let by_both = self.equivalent / unit.equivalent().mpa();
        by_both.min(self.normal / unit.normal.mpa().abs())
    }

    /// Resistance per throat area whatever the direction.
    pub(super) fn simplified(self) -> f64 {
        // The normal limit never governs here: 0.9 > 1 / (sqrt 3 beta_w) for any beta_w above 0.65.
        (self.equivalent / 3.0_f64.sqrt()).min(self.normal)
    }

    /// By the method asked; below 60 degrees by the simplified one only.
    pub(super) fn strength(self, method: EnMethod, unit: ThroatStress, acute: bool) -> f64 {
        match method {
            EnMethod::Directional if !acute => self.directional(unit),
            _ => self.simplified(),
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use weld::materials::Basis;

    use super::*;

    /// Check values 3.0b: `beta_w` ([`EN_1993_1_8_CORRELATION`], recalled); stainless steel 1.0 ([`EN_1993_1_4_WELDS`]).
    #[test]
    fn correlation_factors_of_table_4_1() {
        use weld::materials::Form::HotRolledPlate;
        for (grade, beta_w) in [
            (Grade::S235, 0.80),
            (Grade::S275, 0.85),
            (Grade::S355, 0.90),
            (Grade::S420N, 1.00),
            (Grade::S420M, 1.00),
            (Grade::S460N, 1.00),
            (Grade::S460M, 1.00),
            (Grade::En14307(HotRolledPlate), 1.00),
            (Grade::A36, 1.00),
        ] {
            let metal = Metal::of(grade, Length::from_mm(8.0), Basis::Table31).unwrap();
            assert_eq!(correlation_factor(&metal).value, beta_w, "{}", grade.name());
        }
    }

    /// Check values 3.1 to 3.1f, recalled, two decimals.
    #[test]
    fn design_shear_strengths() {
        for (fu, beta_w, published) in [
            (360.0, 0.80, 207.85),
            (430.0, 0.85, 233.66),
            (490.0, 0.90, 251.47),
            (510.0, 0.90, 261.73),
            (470.0, 0.90, 241.20),
            (520.0, 1.00, 240.18),
            (540.0, 1.00, 249.42),
        ] {
            let found = design_shear_strength(Stress::from_mpa(fu), beta_w, 1.25).mpa();
            assert!((found - published).abs() <= 0.005, "{fu}: {found}");
        }
    }

    /// Check value 3.5 ([`EN_1993_1_8_LONG_LAP`](weld::source::EN_1993_1_8_LONG_LAP), recalled): 1200 mm on a4 is 0.80.
    #[test]
    fn long_laps_lose() {
        let mm = Length::from_mm;
        assert!((long_lap_factor(mm(1200.0), mm(4.0)) - 0.80).abs() < 1e-12);
        assert_eq!(long_lap_factor(mm(600.0), mm(4.0)), 1.0);
        assert_eq!(long_lap_factor(mm(9000.0), mm(4.0)), 0.0);
        assert_eq!(long_lap_factor(Length::ZERO, Length::ZERO), 0.0);
    }

    proptest! {
        /// The simplified method is never less safe than the directional one, on any plane and for any steel.
        #[test]
        fn simplified_is_the_safe_one(
            x in -1.0..1.0_f64, p in -1.0..1.0_f64, q in -1.0..1.0_f64, degrees in 60.0..120.0_f64,
            beta_w in 0.8..1.0_f64,
        ) {
            let size = x.hypot(p).hypot(q);
            prop_assume!(size > 1e-3);
            let unit = Unit { x: x / size, p: p / size, q: q / size };
            let limits = Limits { equivalent: 490.0 / (beta_w * 1.25), normal: 0.9 * 490.0 / 1.25 };
            let stress = on_half_angle(unit, Angle::from_deg(degrees));
            prop_assert!(limits.simplified() <= limits.directional(stress) * (1.0 + 1e-12));
        }

        /// The three stresses carry the whole load.
        #[test]
        fn nothing_is_lost_in_resolving(x in -1.0..1.0_f64, p in -1.0..1.0_f64, q in -1.0..1.0_f64, degrees in 30.0..150.0_f64) {
            let stress = on_half_angle(Unit { x, p, q }, Angle::from_deg(degrees));
            let back = stress.normal.mpa().hypot(stress.across.mpa()).hypot(stress.along.mpa());
            prop_assert!((back - x.hypot(p).hypot(q)).abs() < 1e-14);
        }
    }
}
