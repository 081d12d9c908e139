//! How readily a steel hardens beside a weld, and the preheat an arc weld needs.
//!
//! ```text
//!   CE(IIW) = C + Mn/6 + (Cr + Mo + V)/5 + (Ni + Cu)/15
//!   CET     = C + (Mn + Mo)/10 + (Cr + Cu)/20 + Ni/40
//!   Pcm     = C + Si/30 + (Mn + Cu + Cr)/20 + Ni/60 + Mo/15 + V/10 + 5 B
//!   CEN     = C + A [Si/24 + Mn/6 + Cu/15 + Ni/20 + (Cr + Mo + Nb + V)/5 + 5 B],  A = 0.75 + 0.25 tanh(20 (C - 0.12))
//!   Tp      = 697 CET + 160 tanh(d/35) + 62 HD^0.35 + (53 CET - 32) Q - 328      °C
//! ```
//!
//! Contents in per cent by mass of the ladle or product analysis. A beam weld cools so fast that a steel above about
//! 0.35 % CE(IIW), or 0.12 % C, may be martensitic under a perfect macrosection: ask for hardness before a procedure is
//! written ([`Composition::wants_hardness`]).
//!
//! Sources: [`IIW_CARBON_EQUIVALENT`](weld::source::IIW_CARBON_EQUIVALENT),
//! [`ITO_BESSYO_1968`](weld::source::ITO_BESSYO_1968), [`YURIOKA_CEN`](weld::source::YURIOKA_CEN). Recalled; the two
//! limits are the project's own.
//! Not covered: stainless steel; the preheat formula is for arc welds, and says nothing of a beam's cooling rate.

use weld::quantity::{Length, LineEnergy, Share, Temperature};

/// A steel's analysis.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Composition {
    /// Carbon.
    pub c: Share,
    /// Silicon.
    pub si: Share,
    /// Manganese.
    pub mn: Share,
    /// Chromium.
    pub cr: Share,
    /// Molybdenum.
    pub mo: Share,
    /// Vanadium.
    pub v: Share,
    /// Nickel.
    pub ni: Share,
    /// Copper.
    pub cu: Share,
    /// Boron.
    pub b: Share,
    /// Niobium.
    pub nb: Share,
}

impl Composition {
    /// CE(IIW).
    #[must_use]
    pub fn ce_iiw(&self) -> Share {
        self.c + self.mn / 6.0 + (self.cr + self.mo + self.v) / 5.0 + (self.ni + self.cu) / 15.0
    }

    /// CET.
    #[must_use]
    pub fn cet(&self) -> Share {
        self.c + (self.mn + self.mo) / 10.0 + (self.cr + self.cu) / 20.0 + self.ni / 40.0
    }

    /// Pcm.
    #[must_use]
    pub fn pcm(&self) -> Share {
        self.c
            + self.si / 30.0
            + (self.mn + self.cu + self.cr) / 20.0
            + self.ni / 60.0
            + self.mo / 15.0
            + self.v / 10.0
            + 5.0 * self.b
    }

    /// CEN.
    #[must_use]
    pub fn cen(&self) -> Share {
        let a = 0.75 + 0.25 * (20.0 * (self.c.percent() - 0.12)).tanh();
        let alloy = self.si / 24.0
            + self.mn / 6.0
            + self.cu / 15.0
            + self.ni / 20.0
            + (self.cr + self.mo + self.nb + self.v) / 5.0
            + 5.0 * self.b;
        self.c + a * alloy
    }

    /// Whether hardness is asked for before a procedure is written: CE(IIW) above 0.35 % or carbon above 0.12 %.
    ///
    /// An analysis with a figure that is no number asks for it too.
    #[must_use]
    pub fn wants_hardness(&self) -> bool {
        let harmless = self.ce_iiw().percent() <= 0.35 && self.c.percent() <= 0.12;
        !harmless
    }
}

/// Why no preheat is given.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PreheatError {
    /// Outside what the formula was made for.
    #[error(
        "{what} is {value:.3} {unit}, and the preheat formula was made for {least} to {greatest} {unit}"
    )]
    OutOfRange {
        /// What it is.
        what: &'static str,
        /// As given.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// Least.
        least: f64,
        /// Greatest.
        greatest: f64,
    },
}

impl PreheatError {
    /// What to do next.
    #[must_use]
    pub const fn advice(&self) -> &'static str {
        "qualify the preheat by tests, or take it from the steel maker's instructions"
    }
}

/// Preheat of an arc weld by the CET: thickness, hydrogen content (ml per 100 g of deposit), heat input (arc energy times
/// thermal efficiency).
///
/// A result below room temperature means: none. For steels that yield at up to 1000 N/mm².
///
/// # Errors
///
/// Outside CET 0.2 to 0.5 %, 10 to 90 mm, 1 to 20 ml/100 g, 0.5 to 4 kJ/mm.
pub fn preheat(
    cet: Share,
    thickness: Length,
    hydrogen_ml_per_100_g: f64,
    heat_input: LineEnergy,
) -> Result<Temperature, PreheatError> {
    let within = |what, value: f64, unit, least, greatest| {
        // A bound given in its own unit comes back with the last bits of the conversion.
        let slack = 1e-9 * greatest;
        if (least - slack..=greatest + slack).contains(&value) {
            Ok(value)
        } else {
            Err(PreheatError::OutOfRange { what, value, unit, least, greatest })
        }
    };
    let cet = within("the CET", cet.percent(), "%", 0.2, 0.5)?;
    let d = within("the thickness", thickness.mm(), "mm", 10.0, 90.0)?;
    let hd = within("the hydrogen content", hydrogen_ml_per_100_g, "ml/100 g", 1.0, 20.0)?;
    let q = within("the heat input", heat_input.kj_per_mm(), "kJ/mm", 0.5, 4.0)?;
    Ok(Temperature::from_deg_c(
        697.0 * cet + 160.0 * (d / 35.0).tanh() + 62.0 * hd.powf(0.35) + (53.0 * cet - 32.0) * q
            - 328.0,
    ))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn percent(p: f64) -> Share {
        Share::from_percent(p)
    }

    fn steel() -> Composition {
        Composition {
            c: percent(0.16),
            si: percent(0.40),
            mn: percent(1.50),
            cr: percent(0.10),
            mo: percent(0.02),
            v: percent(0.05),
            ni: percent(0.10),
            cu: percent(0.15),
            ..Composition::default()
        }
    }

    /// Check values 2.8 to 2.10b, five decimals (formulas recalled, evaluated independently).
    #[test]
    fn carbon_equivalents() {
        let steel = steel();
        for (found, expected) in [
            (steel.ce_iiw(), 0.46067),
            (steel.cet(), 0.32700),
            (steel.pcm(), 0.26883),
            (steel.cen(), 0.44915),
        ] {
            assert!((found.percent() - expected).abs() <= 0.5e-5, "{}", found.percent());
        }
        assert!(steel.wants_hardness());
        assert!(
            !Composition { c: percent(0.08), mn: percent(1.2), ..Composition::default() }
                .wants_hardness()
        );
        assert!(Composition { c: percent(f64::NAN), ..Composition::default() }.wants_hardness());
    }

    /// Check values 2.11 and 2.11c, three decimals; 2.11b: the sum of the four partial formulas.
    #[test]
    fn preheats() {
        for (cet, d, hd, q, expected) in
            [(0.33, 40.0, 5.0, 1.5, 119.606), (0.40, 60.0, 10.0, 2.0, 217.948)]
        {
            let found =
                preheat(percent(cet), Length::from_mm(d), hd, LineEnergy::from_kj_per_mm(q))
                    .unwrap();
            assert!((found.deg_c() - expected).abs() <= 0.5e-3, "{}", found.deg_c());
            let parts = (750.0 * cet - 150.0)
                + (160.0 * (d / 35.0).tanh() - 110.0)
                + (62.0 * hd.powf(0.35) - 100.0)
                + ((53.0 * cet - 32.0) * q - 53.0 * cet + 32.0);
            assert!((found.deg_c() - parts).abs() < 1e-9);
        }
    }

    #[test]
    fn outside_its_range_no_preheat_is_given() {
        let refused =
            preheat(percent(0.33), Length::from_mm(6.0), 5.0, LineEnergy::from_kj_per_mm(1.0))
                .unwrap_err();
        assert_eq!(
            refused.to_string(),
            "the thickness is 6.000 mm, and the preheat formula was made for 10 to 90 mm"
        );
        assert!(refused.advice().contains("tests"));
    }

    proptest! {
        /// More carbon never hardens less, and more heat never asks for more preheat within the range.
        #[test]
        fn more_carbon_hardens_more(c in 0.0..0.5_f64, more in 0.0..0.3_f64, mn in 0.0..2.0_f64, q in 0.5..3.5_f64) {
            let of = |c| Composition { c: percent(c), mn: percent(mn), ..steel() };
            let (a, b) = (of(c), of(c + more));
            prop_assert!(b.ce_iiw() >= a.ce_iiw() && b.cet() >= a.cet() && b.pcm() >= a.pcm() && b.cen() >= a.cen());
            let at = |q| preheat(percent(0.35), Length::from_mm(30.0), 5.0, LineEnergy::from_kj_per_mm(q)).unwrap();
            prop_assert!(at(q + 0.5) < at(q));
        }
    }
}
