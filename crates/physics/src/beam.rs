//! The laser beam between its focus and the plate.
//!
//! ```text
//!      ╲       ╱          w(z) = w0 √(1 + ((z - focus)/zR)²)      zR = π w0² / (M² λ)
//!       ╲     ╱           w0 half the focus diameter, to 1/e² of the middle
//!   ─────╲───╱──── surface  focus above the surface +, below it -
//!         ╲ ╱   zR
//!          │ focus
//! ```
//!
//! Source of the widths: [`ISO_11146_1`](weld::source::ISO_11146_1). Range: any beam with M² of 1 and more.
//! Not covered: beams that are no Gaussian (ring, donut), focus shift as the lens warms, loss in the glass: give power and
//! spot as measured at the work.

use weld::quantity::{Irradiance, Length, Power};

/// A beam and its focus.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beam {
    /// Power at the work.
    pub power: Power,
    /// Diameter of the focus, to 1/e².
    pub spot: Length,
    /// Times-diffraction-limit factor M².
    pub m2: f64,
    /// Wavelength.
    pub wavelength: Length,
    /// Place of the focus over the plate's surface; negative below it.
    pub focus: Length,
}

/// Why a beam cannot be.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum BeamError {
    /// A figure that cannot be.
    #[error("{what} is {} {unit}, outside {least} to {greatest} {unit}", plain(*value))]
    Figure {
        /// What it is.
        what: &'static str,
        /// As given.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// Least that is taken.
        least: f64,
        /// Greatest that is taken.
        greatest: f64,
    },
}

/// A figure as a person reads it: one of 309 digits in powers of ten.
fn plain(value: f64) -> String {
    if value.abs() < 1e9 { value.to_string() } else { format!("{value:.3e}") }
}

impl BeamError {
    /// What to do next.
    #[must_use]
    pub fn advice(&self) -> &'static str {
        let Self::Figure { what, .. } = self;
        match *what {
            "the spot" => {
                "check the figure and its unit; spot is the focus diameter to 1/e², as a beam camera or the maker of the optics states it"
            }
            "M²" => {
                "give M² of the beam, or bpp in mm mrad, as a beam camera or the maker of the optics states it; spot is the focus diameter to 1/e²"
            }
            "the power" => "give the power at the work with its unit: power = \"1.6 kW\"",
            "the wobble's width" => {
                "give the full side-to-side travel of the beam's centre, or pattern = \"none\" for a beam that stands still"
            }
            "the wobble's frequency" => {
                "give full cycles in a second: frequency = \"60 Hz\", or pattern = \"none\" for a beam that stands still"
            }
            "the travel speed" => {
                "give the travel speed with its unit: travel = \"8 mm/s\", \"18 ipm\""
            }
            "the torch angle" => {
                "give the angle between the beam and the base's surface, 90° square to it"
            }
            _ => "check the figure and its unit",
        }
    }
}

pub(crate) fn figure(
    what: &'static str,
    value: f64,
    unit: &'static str,
    least: f64,
    greatest: f64,
) -> Result<f64, BeamError> {
    if (least..=greatest).contains(&value) {
        Ok(value)
    } else {
        // The unit's conversion leaves its last bits; nobody wrote them.
        let value = format!("{value:.9e}").parse().unwrap_or(value);
        Err(BeamError::Figure { what, value, unit, least, greatest })
    }
}

impl Beam {
    /// Checks the figures: 1 W to 30 kW, 5 µm to 10 mm, M² 1 to 300, 300 nm to 11 µm, focus within 100 mm.
    ///
    /// # Errors
    ///
    /// Names the figure that is outside.
    pub fn check(&self) -> Result<(), BeamError> {
        figure("the power", self.power.w(), "W", 1.0, 30_000.0)?;
        figure("the spot", self.spot.um(), "µm", 5.0, 10_000.0)?;
        figure("M²", self.m2, "(ratio)", 1.0, 300.0)?;
        figure("the wavelength", self.wavelength.nm(), "nm", 300.0, 11_000.0)?;
        figure("the focus offset", self.focus.mm(), "mm", -100.0, 100.0)?;
        Ok(())
    }

    /// Rayleigh length: from the focus to where the beam is √2 as wide.
    #[must_use]
    pub fn rayleigh(&self) -> Length {
        let w0 = 0.5 * self.spot.m();
        Length::from_m(std::f64::consts::PI * w0 * w0 / (self.m2 * self.wavelength.m()))
    }

    /// Beam parameter product: waist radius times half the angle of divergence, mm mrad.
    #[must_use]
    pub fn parameter_product(&self) -> f64 {
        self.m2 * self.wavelength.m() / std::f64::consts::PI * 1e6
    }

    /// Radius to 1/e² at a depth below the surface, unguided.
    #[must_use]
    pub fn radius_at(&self, depth: Length) -> Length {
        let off = (depth + self.focus) / self.rayleigh();
        0.5 * self.spot * (1.0 + off * off).sqrt()
    }

    /// Mean power per area on the surface, over the circle to 1/e².
    #[must_use]
    pub fn irradiance(&self) -> Irradiance {
        let w = self.radius_at(Length::ZERO);
        self.power / (std::f64::consts::PI * (w * w))
    }
}

/// Focus diameter from fibre and optics: core times focusing over collimating length.
///
/// # Errors
///
/// For a core outside 5 µm to 2 mm, or focal lengths outside 5 mm to 2 m.
pub fn spot_of_fibre(
    core: Length,
    collimating: Length,
    focusing: Length,
) -> Result<Length, BeamError> {
    let core = figure("the fibre's core", core.um(), "µm", 5.0, 2000.0)?;
    let collimating = figure("the collimating focal length", collimating.mm(), "mm", 5.0, 2000.0)?;
    let focusing = figure("the focusing focal length", focusing.mm(), "mm", 5.0, 2000.0)?;
    Ok(Length::from_um(core * focusing / collimating))
}

/// M² of a beam parameter product (mm mrad) at a wavelength.
#[must_use]
pub fn m2_of_product(product: f64, wavelength: Length) -> f64 {
    product * 1e-6 * std::f64::consts::PI / wavelength.m()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    pub(crate) fn beam() -> Beam {
        Beam {
            power: Power::from_w(1500.0),
            spot: Length::from_um(50.0),
            m2: 3.0,
            wavelength: Length::from_nm(1070.0),
            focus: Length::ZERO,
        }
    }

    /// Physics.md section 7, case 5: zR(50 µm, M² 3, 1.07 µm) = 0.612 mm, three decimals.
    #[test]
    fn rayleigh_length() {
        assert!((beam().rayleigh().mm() - 0.612).abs() <= 0.5e-3);
        // By definition √2 as wide there, and twice the area.
        let at = beam().radius_at(beam().rayleigh());
        assert!((at / (0.5 * beam().spot) - 2.0_f64.sqrt()).abs() < 1e-12);
        // By construction: a diffraction-limited 1.07 µm beam has λ/π.
        assert!((beam().parameter_product() / 3.0 - 1.07 / std::f64::consts::PI).abs() < 1e-12);
        let m2 = m2_of_product(beam().parameter_product(), beam().wavelength);
        assert!((m2 - 3.0).abs() < 1e-12);
    }

    /// By construction: 1500 W on a circle of 50 µm are 1500/(π 25² 10^-8 cm²) W/cm²; a 50 µm core imaged 1:2 is 100 µm.
    #[test]
    fn irradiance_and_image_of_the_fibre() {
        let area_cm2 = std::f64::consts::PI * 25e-4 * 25e-4;
        assert!((beam().irradiance().w_per_cm2() / (1500.0 / area_cm2) - 1.0).abs() < 1e-12);
        let mm = Length::from_mm;
        let spot = spot_of_fibre(Length::from_um(50.0), mm(60.0), mm(120.0)).unwrap();
        assert!((spot.um() - 100.0).abs() < 1e-9);
    }

    #[test]
    fn a_beam_that_cannot_be_is_named() {
        let wide = Beam { spot: Length::from_mm(50.0), ..beam() };
        assert_eq!(
            wide.check().unwrap_err().to_string(),
            "the spot is 50000 µm, outside 5 to 10000 µm"
        );
        assert!(Beam { m2: f64::NAN, ..beam() }.check().unwrap_err().advice().contains("1/e²"));
    }

    proptest! {
        /// Away from the focus a beam is wider, either way alike.
        #[test]
        fn the_focus_is_the_narrowest(mm in 0.0..5.0_f64, more in 0.001..5.0_f64) {
            let at = |mm| Beam { focus: Length::from_mm(mm), ..beam() }.radius_at(Length::ZERO);
            prop_assert!(at(mm + more) > at(mm));
            prop_assert!((at(-mm) / at(mm) - 1.0).abs() < 1e-12);
        }
    }
}
