//! The parent metal beside a weld: at the fusion face, and the plate itself.
//!
//! ```text
//!   fusion face of one plate: line load f on one weld, resolved square to the plate (s) and along it (t)
//!     AISC 360 J4.2:   fused length >= f / (phi 0.60 Fu)                 (the resultant as shear: the lower value)
//!     AWS D1.1:        fused length >= f / (0.40 Fy)
//!     EN 1993-1-8:     asks for none in steel; here sqrt(s^2 + 3 t^2) <= fu/gamma_M2, s <= 0.9 fu/gamma_M2
//!   plate: force through the thickness t against its yield (EN: von Mises) or yield and rupture (AISC)
//! ```
//!
//! A small outside bead with deep fusion has short legs: its fused length (leg + depth, each plate) is what carries the
//! load out of the weld metal, so it is stated even where the code does not ask.
//!
//! Sources: [`AISC_360_PARENT`], [`AWS_D1_1_ALLOWABLE`], [`EN_1993_1_1_PLATE`]; all recalled.
//! Not covered: tearing of the base through its thickness (EN 1993-1-10), punching, block shear, buckling, the base's
//! own bending.

use weld::quantity::{Length, Stress};
use weld::source::{
    AISC_360_PARENT, AWS_D1_1_ALLOWABLE, EN_1993_1_1_PLATE, EN_1993_1_8_DIRECTIONAL, Source,
};

use super::{Code, Design, Metal};

/// Which plate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Plate {
    /// The base of a tee.
    Base,
    /// The upright of a tee.
    Upright,
}

/// Fused length that one weld needs on one plate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FusedLength {
    /// On which plate.
    pub plate: Plate,
    /// At least so much, measured in the cut: leg plus penetration on the base, leg plus depth on the upright.
    pub least: Length,
    /// The clause it comes from.
    pub clause: Source,
    /// Whether the code asks for this check; if not it is ours, with the code's own limit.
    pub asked_by_code: bool,
}

/// Least fused length for a line load of `f` N/mm; `square` is the share of the load square to the plate, 0 to 1.
pub(super) fn fused_length(
    code: &Code,
    plate: Plate,
    metal: &Metal,
    f: f64,
    square: f64,
) -> FusedLength {
    let (least, clause, asked_by_code) = match code {
        Code::En(en) => {
            let fu = metal.ultimate.mpa() / en.gamma_m2;
            let along_2 = (1.0 - square * square).max(0.0);
            let combined = (square * square + 3.0 * along_2).sqrt() / fu;
            (f * combined.max(square.abs() / (0.9 * fu)), EN_1993_1_8_DIRECTIONAL, false)
        }
        Code::Aisc(aisc) => {
            (f / (aisc.design.of(0.75, 2.00) * 0.60 * metal.ultimate.mpa()), AISC_360_PARENT, true)
        }
        Code::AwsD11(_) => (f / (0.40 * metal.yield_strength.mpa()), AWS_D1_1_ALLOWABLE, true),
    };
    FusedLength { plate, least: Length::from_mm(least), clause, asked_by_code }
}

/// Strength of a plate per area of its cross-section for a load with this share square to it, and the clause.
pub(super) fn plate_strength(
    code: &Code,
    yields: Stress,
    breaks: Stress,
    gamma_m0: f64,
    square: f64,
) -> (f64, Source) {
    let (fy, fu) = (yields.mpa(), breaks.mpa());
    let along_2 = (1.0 - square * square).max(0.0);
    match code {
        Code::En(_) => {
            (fy / gamma_m0 / (square * square + 3.0 * along_2).sqrt(), EN_1993_1_1_PLATE)
        }
        Code::Aisc(aisc) => {
            let pull = (aisc.design.of(0.90, 1.67) * fy).min(aisc.design.of(0.75, 2.00) * fu);
            let shear =
                0.60 * (aisc.design.of(1.00, 1.50) * fy).min(aisc.design.of(0.75, 2.00) * fu);
            (ellipse(square, pull, shear), AISC_360_PARENT)
        }
        Code::AwsD11(_) => (ellipse(square, 0.60 * fy, 0.40 * fy), AWS_D1_1_ALLOWABLE),
    }
}

/// Strength between a pull's and a shear's: `1 / sqrt((s/pull)^2 + (t/shear)^2)`.
///
/// The American codes give the two and no rule between; the ellipse is ours, as is usual.
pub(super) fn ellipse(square: f64, pull: f64, shear: f64) -> f64 {
    let along_2 = (1.0 - square * square).max(0.0);
    1.0 / ((square / pull).powi(2) + along_2 / (shear * shear)).sqrt()
}

impl Design {
    /// The factor on a nominal strength: resistance factor, or one over the safety factor.
    pub(super) fn of(self, phi: f64, omega: f64) -> f64 {
        match self {
            Self::Lrfd => phi,
            Self::Asd => 1.0 / omega,
        }
    }
}
