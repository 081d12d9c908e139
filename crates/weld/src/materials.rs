//! Strengths of steels and fillers, as the codes want them: nominal values by grade and thickness.
//!
//! A code's formula takes the *nominal* strength of the grade, never the value of a test certificate.
//! For European steels two tables are in use, and the National Annex says which: the product standard
//! ([`Basis::ProductStandard`], the lower one for S275 and S355) or Table 3.1 of EN 1993-1-1 ([`Basis::Table31`]).
//!
//! ```text
//!   fu, N/mm²              product standard   EN 1993-1-1 Table 3.1
//!   S235, to 40 mm               360                 360
//!   S275, to 40 mm               410                 430
//!   S355, to 40 mm               470                 490
//! ```
//!
//! Below 3 mm the product standard prints higher tensile strengths (430, 510); the lower ones are used here.
//!
//! Sources: [`EN_10025_2`], [`EN_10025_3`], [`EN_10025_4`], [`EN_1993_1_1_TABLE_3_1`], [`EN_1993_1_4_STRENGTH`],
//! [`ASTM_STRUCTURAL`], [`AWS_A5_FILLER`], [`ISO_14341`], [`ISO_14343`]. All but the first and part of Table 3.1 are
//! recalled.
//! Not covered: hollow sections' own product standards, S450, steels above S460, cold-worked stainless steel, duplex,
//! aluminium (named here only so that it can be refused).

use crate::quantity::{Length, Stress};
use crate::source::{
    ASTM_STRUCTURAL, AWS_A5_FILLER, EN_1993_1_1_TABLE_3_1, EN_1993_1_4_STRENGTH, EN_10025_2,
    EN_10025_3, EN_10025_4, ISO_14341, ISO_14343, Source, Sourced,
};

/// What kind of metal: the codes treat them apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Family {
    /// Non-alloy and fine-grain structural steel.
    CarbonSteel,
    /// Austenitic stainless steel, annealed.
    Stainless,
    /// Aluminium: the heat-affected strength governs, so no throat-only claim.
    Aluminium,
}

impl Family {
    /// The word on paper.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::CarbonSteel => "structural steel",
            Self::Stainless => "stainless steel",
            Self::Aluminium => "aluminium",
        }
    }
}

/// How a stainless flat product was rolled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// Cold-rolled strip, to 8 mm.
    ColdRolledStrip,
    /// Hot-rolled strip, to 13.5 mm.
    HotRolledStrip,
    /// Hot-rolled plate, to 75 mm.
    HotRolledPlate,
}

/// Which table the nominal strength is taken from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Basis {
    /// The product standard's least values (UK and others).
    #[default]
    ProductStandard,
    /// EN 1993-1-1 Table 3.1.
    Table31,
}

/// A steel grade.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grade {
    /// S235 to EN 10025-2.
    S235,
    /// S275 to EN 10025-2.
    S275,
    /// S355 to EN 10025-2.
    S355,
    /// S420N/NL to EN 10025-3.
    S420N,
    /// S420M/ML to EN 10025-4.
    S420M,
    /// S460N/NL to EN 10025-3.
    S460N,
    /// S460M/ML to EN 10025-4.
    S460M,
    /// 1.4301 (304).
    En14301(Form),
    /// 1.4307 (304L).
    En14307(Form),
    /// 1.4404 (316L).
    En14404(Form),
    /// ASTM A36.
    A36,
    /// ASTM A572 Grade 50.
    A572Grade50,
    /// ASTM A992.
    A992,
}

/// Nominal yield and tensile strength of a product.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strength {
    /// Yield strength, or 0.2 % proof strength.
    pub yield_strength: Sourced<Stress>,
    /// Least tensile strength.
    pub ultimate: Sourced<Stress>,
}

/// Why a grade has no nominal strength.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum MaterialError {
    /// The plate is thicker than the table goes, or its thickness is no thickness.
    #[error("{grade} has no nominal strength at {thickness:.1}: the table goes to {greatest:.1}")]
    Thickness {
        /// The grade.
        grade: &'static str,
        /// The plate's thickness.
        thickness: Length,
        /// The table's greatest thickness.
        greatest: Length,
    },
}

impl MaterialError {
    /// What to do next.
    #[must_use]
    pub const fn advice(&self) -> &'static str {
        "check the thickness and its unit; for a thicker product give yield and tensile strength from its own standard"
    }
}

/// Thickness up to and including (mm), yield, tensile strength (N/mm²).
type Bands = &'static [(f64, f64, f64)];

const S235: Bands =
    &[(16.0, 235.0, 360.0), (40.0, 225.0, 360.0), (100.0, 215.0, 360.0), (150.0, 195.0, 350.0)];
const S275: Bands = &[
    (16.0, 275.0, 410.0),
    (40.0, 265.0, 410.0),
    (63.0, 255.0, 410.0),
    (80.0, 245.0, 410.0),
    (100.0, 235.0, 410.0),
    (150.0, 225.0, 400.0),
];
const S355: Bands = &[
    (16.0, 355.0, 470.0),
    (40.0, 345.0, 470.0),
    (63.0, 335.0, 470.0),
    (80.0, 325.0, 470.0),
    (100.0, 315.0, 470.0),
    (150.0, 295.0, 450.0),
];
const S420N: Bands = &[
    (16.0, 420.0, 520.0),
    (40.0, 400.0, 520.0),
    (63.0, 390.0, 520.0),
    (80.0, 370.0, 520.0),
    (100.0, 360.0, 520.0),
];
const S420M: Bands = &[
    (16.0, 420.0, 520.0),
    (40.0, 400.0, 520.0),
    (63.0, 390.0, 500.0),
    (80.0, 380.0, 480.0),
    (100.0, 370.0, 470.0),
];
const S460N: Bands = &[
    (16.0, 460.0, 540.0),
    (40.0, 440.0, 540.0),
    (63.0, 430.0, 540.0),
    (80.0, 410.0, 540.0),
    (100.0, 400.0, 540.0),
];
const S460M: Bands = &[
    (16.0, 460.0, 540.0),
    (40.0, 440.0, 540.0),
    (63.0, 430.0, 530.0),
    (80.0, 410.0, 510.0),
    (100.0, 400.0, 500.0),
];

impl Grade {
    /// The grade as it is written on drawings.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::S235 => "S235",
            Self::S275 => "S275",
            Self::S355 => "S355",
            Self::S420N => "S420N",
            Self::S420M => "S420M",
            Self::S460N => "S460N",
            Self::S460M => "S460M",
            Self::En14301(_) => "EN 1.4301",
            Self::En14307(_) => "EN 1.4307",
            Self::En14404(_) => "EN 1.4404",
            Self::A36 => "ASTM A36",
            Self::A572Grade50 => "ASTM A572 Grade 50",
            Self::A992 => "ASTM A992",
        }
    }

    /// What kind of metal it is.
    #[must_use]
    pub const fn family(self) -> Family {
        match self {
            Self::En14301(_) | Self::En14307(_) | Self::En14404(_) => Family::Stainless,
            _ => Family::CarbonSteel,
        }
    }

    /// Nominal strength of a product of this thickness.
    ///
    /// `basis` matters for European structural steels only.
    ///
    /// # Errors
    ///
    /// When the thickness is not positive or lies beyond the table.
    pub fn strength(self, thickness: Length, basis: Basis) -> Result<Strength, MaterialError> {
        let (bands, source) = self.bands(basis);
        let t = thickness.mm();
        let greatest = bands.last().map_or(0.0, |band| band.0);
        // A quarter of an inch is 6.35 mm only to the last bit.
        let found = bands.iter().find(|band| t > 0.0 && t <= band.0 * (1.0 + 1e-12));
        let Some(&(_, fy, fu)) = found else {
            return Err(MaterialError::Thickness {
                grade: self.name(),
                thickness,
                greatest: Length::from_mm(greatest),
            });
        };
        let of = |mpa| Sourced { value: Stress::from_mpa(mpa), source };
        Ok(Strength { yield_strength: of(fy), ultimate: of(fu) })
    }

    fn bands(self, basis: Basis) -> (Bands, Source) {
        let european = |product: Bands, standard: Source, table: Bands| match basis {
            Basis::ProductStandard => (product, standard),
            Basis::Table31 => (table, EN_1993_1_1_TABLE_3_1),
        };
        let stainless = |form, rows: [Bands; 3]| {
            let [cold, strip, plate] = rows;
            let bands = match form {
                Form::ColdRolledStrip => cold,
                Form::HotRolledStrip => strip,
                Form::HotRolledPlate => plate,
            };
            (bands, EN_1993_1_4_STRENGTH)
        };
        match self {
            Self::S235 => european(S235, EN_10025_2, &[(40.0, 235.0, 360.0), (80.0, 215.0, 360.0)]),
            Self::S275 => european(S275, EN_10025_2, &[(40.0, 275.0, 430.0), (80.0, 255.0, 410.0)]),
            Self::S355 => european(S355, EN_10025_2, &[(40.0, 355.0, 490.0), (80.0, 335.0, 470.0)]),
            Self::S420N => {
                european(S420N, EN_10025_3, &[(40.0, 420.0, 520.0), (80.0, 390.0, 520.0)])
            }
            Self::S420M => {
                european(S420M, EN_10025_4, &[(40.0, 420.0, 520.0), (80.0, 390.0, 500.0)])
            }
            Self::S460N => {
                european(S460N, EN_10025_3, &[(40.0, 460.0, 540.0), (80.0, 430.0, 540.0)])
            }
            Self::S460M => {
                european(S460M, EN_10025_4, &[(40.0, 460.0, 540.0), (80.0, 430.0, 530.0)])
            }
            Self::En14301(form) => stainless(
                form,
                [&[(8.0, 230.0, 540.0)], &[(13.5, 210.0, 520.0)], &[(75.0, 210.0, 520.0)]],
            ),
            Self::En14307(form) => stainless(
                form,
                [&[(8.0, 220.0, 520.0)], &[(13.5, 200.0, 520.0)], &[(75.0, 200.0, 500.0)]],
            ),
            Self::En14404(form) => stainless(
                form,
                [&[(8.0, 240.0, 530.0)], &[(13.5, 220.0, 530.0)], &[(75.0, 220.0, 520.0)]],
            ),
            // 36, 50, 58, 65 ksi.
            Self::A36 => (&[(203.2, 36.0 * KSI, 58.0 * KSI)], ASTM_STRUCTURAL),
            Self::A572Grade50 => (&[(101.6, 50.0 * KSI, 65.0 * KSI)], ASTM_STRUCTURAL),
            Self::A992 => (&[(101.6, 50.0 * KSI, 65.0 * KSI)], ASTM_STRUCTURAL),
        }
    }
}

/// N/mm² in a ksi.
const KSI: f64 = Stress::from_ksi(1.0).mpa();

/// A filler, by its class.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Filler {
    /// Covered electrodes E70xx.
    E70,
    /// Solid wire ER70S-6.
    Er70s6,
    /// Solid wire of ISO 14341-A strength symbol 42, such as G 42 4 M21 3Si1.
    G42,
    /// Stainless wire 19 9 L Si (308LSi).
    G199LSi,
    /// Stainless wire 19 12 3 L Si (316LSi).
    G19123LSi,
}

impl Filler {
    /// The class as it is written on the box.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::E70 => "E70xx",
            Self::Er70s6 => "ER70S-6",
            Self::G42 => "ISO 14341-A G 42",
            Self::G199LSi => "ISO 14343-A 19 9 L Si",
            Self::G19123LSi => "ISO 14343-A 19 12 3 L Si",
        }
    }

    /// Least strength of the all-weld metal of its class.
    #[must_use]
    pub const fn strength(self) -> Strength {
        let (fy, fu, source) = match self {
            Self::E70 | Self::Er70s6 => (58.0 * KSI, 70.0 * KSI, AWS_A5_FILLER),
            Self::G42 => (420.0, 500.0, ISO_14341),
            Self::G199LSi | Self::G19123LSi => (320.0, 510.0, ISO_14343),
        };
        Strength {
            yield_strength: Sourced { value: Stress::from_mpa(fy), source },
            ultimate: Sourced { value: Stress::from_mpa(fu), source },
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn both(grade: Grade, mm: f64, basis: Basis) -> (f64, f64) {
        let strength = grade.strength(Length::from_mm(mm), basis).unwrap();
        (strength.yield_strength.value.mpa().round(), strength.ultimate.value.mpa().round())
    }

    /// As printed: [`EN_10025_2`] as quoted by readle.co.uk, Table 7; [`EN_1993_1_1_TABLE_3_1`] as quoted by stee116;
    /// the stainless rows are recalled ([`EN_1993_1_4_STRENGTH`]).
    #[test]
    fn strengths_are_those_of_the_tables() {
        use Basis::{ProductStandard, Table31};
        for (grade, mm, basis, expected) in [
            (Grade::S235, 16.0, ProductStandard, (235.0, 360.0)),
            (Grade::S235, 16.1, ProductStandard, (225.0, 360.0)),
            (Grade::S235, 101.0, ProductStandard, (195.0, 350.0)),
            (Grade::S275, 10.0, ProductStandard, (275.0, 410.0)),
            (Grade::S275, 10.0, Table31, (275.0, 430.0)),
            (Grade::S355, 6.0, ProductStandard, (355.0, 470.0)),
            (Grade::S355, 6.0, Table31, (355.0, 490.0)),
            (Grade::S355, 60.0, Table31, (335.0, 470.0)),
            (Grade::S355, 120.0, ProductStandard, (295.0, 450.0)),
            (Grade::S420N, 40.0, Table31, (420.0, 520.0)),
            (Grade::En14307(Form::HotRolledPlate), 8.0, ProductStandard, (200.0, 500.0)),
            (Grade::En14307(Form::ColdRolledStrip), 5.0, ProductStandard, (220.0, 520.0)),
            (Grade::En14404(Form::HotRolledPlate), 8.0, ProductStandard, (220.0, 520.0)),
            (Grade::A36, 25.4, ProductStandard, (248.0, 400.0)),
        ] {
            assert_eq!(both(grade, mm, basis), expected, "{} {mm} mm {basis:?}", grade.name());
        }
        assert!((Filler::E70.strength().ultimate.value.ksi() - 70.0).abs() < 1e-12);
    }

    #[test]
    fn a_plate_beyond_the_table_is_refused() {
        let refused =
            Grade::S355.strength(Length::from_mm(200.0), Basis::ProductStandard).unwrap_err();
        assert_eq!(
            refused.to_string(),
            "S355 has no nominal strength at 200.0 mm: the table goes to 150.0 mm"
        );
        assert!(refused.advice().contains("unit"));
        assert!(Grade::S355.strength(Length::from_mm(f64::NAN), Basis::Table31).is_err());
        assert!(Grade::S355.strength(Length::ZERO, Basis::Table31).is_err());
    }

    proptest! {
        /// A thicker plate is never stronger, and yield stays below tensile strength.
        #[test]
        fn thicker_is_not_stronger(thin in 0.1..150.0_f64, more in 0.0..50.0_f64) {
            for grade in [Grade::S235, Grade::S275, Grade::S355, Grade::S420N, Grade::S420M, Grade::S460N, Grade::S460M] {
                for basis in [Basis::ProductStandard, Basis::Table31] {
                    let at = |mm| grade.strength(Length::from_mm(mm), basis);
                    let (Ok(a), Ok(b)) = (at(thin), at(thin + more)) else { continue };
                    prop_assert!(b.yield_strength.value <= a.yield_strength.value);
                    prop_assert!(b.ultimate.value <= a.ultimate.value);
                    prop_assert!(a.yield_strength.value < a.ultimate.value);
                }
            }
        }
    }
}
