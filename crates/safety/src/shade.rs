//! Which welding shade belongs beside the laser eyewear, never instead of it.
//!
//! ```text
//!   shade S = (7/3) log10(1/τ) + 1        τ: luminous transmittance
//! ```
//!
//! Laser eyewear lets the plume's blue and ultraviolet through; a welding shade stops those and lets a dangerous share of
//! the beam through: shade 14 still passes 0.3 % of infrared, an optical density of 2.5.
//!
//! Sources: [`ANSI_Z87_1_SHADE`], [`OSHA_1910_133`], both quoted.
//!
//! Not covered: a shade for a laser's plume alone. No published table was found; where an arc is struck as well, the
//! table of its process holds.

use crate::OutOfRange;
use weld::quantity::Share;
use weld::source::{ANSI_Z87_1_SHADE, OSHA_1910_133, Source, Sourced};

/// Sources of the shades.
pub const SOURCES: [Source; 2] = [ANSI_Z87_1_SHADE, OSHA_1910_133];

/// Share of infrared that shade 14 lets through, 780 to 2000 nm.
pub const SHADE_14_INFRARED: Sourced<Share> =
    Sourced { value: Share::from_percent(0.3), source: ANSI_Z87_1_SHADE };

/// Luminous transmittance of a shade.
#[must_use]
pub fn luminous(shade: f64) -> Share {
    Share::from_fraction(10_f64.powf(-3.0 / 7.0 * (shade - 1.0)))
}

/// Shade of a luminous transmittance.
#[must_use]
pub fn shade_of(luminous: Share) -> f64 {
    7.0 / 3.0 * (1.0 / luminous.fraction()).log10() + 1.0
}

/// An arc beside the beam.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Arc {
    /// Gas metal arc and flux-cored arc: MIG, MAG.
    Gmaw,
    /// Gas tungsten arc: TIG.
    Gtaw,
    /// Covered electrodes.
    Smaw,
}

impl Arc {
    /// The trade's word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Gmaw => "GMAW (MIG/MAG)",
            Self::Gtaw => "GTAW (TIG)",
            Self::Smaw => "SMAW (covered electrode)",
        }
    }

    /// Up to which current, A, which least shade.
    const fn table(self) -> &'static [(f64, u8)] {
        match self {
            Self::Gmaw => &[(60.0, 7), (160.0, 10), (250.0, 10), (500.0, 10)],
            Self::Gtaw => &[(50.0, 8), (150.0, 8), (500.0, 10)],
            Self::Smaw => &[(60.0, 7), (160.0, 8), (250.0, 10), (550.0, 11)],
        }
    }
}

/// Least shade for an arc of a current, A. At the border of two rows the darker one.
///
/// # Errors
///
/// A current that the table does not reach.
pub fn least(arc: Arc, amperes: f64) -> Result<Sourced<u8>, OutOfRange> {
    let table = arc.table();
    let most = table.last().map_or(0.0, |row| row.0);
    if !(amperes > 0.0 && amperes <= most) {
        return Err(OutOfRange {
            what: "the current",
            given: format!("{} A", weld::quantity::show::significant(amperes, 6)),
            needed: "the table of least shades does not reach it",
            advice: "check the current; beyond the table (500 A, covered electrodes 550 A) ask the maker of the filter",
        });
    }
    let row = table.iter().find(|row| amperes < row.0).or(table.last());
    Ok(Sourced { value: row.map_or(14, |row| row.1), source: OSHA_1910_133 })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// [`ANSI_Z87_1_SHADE`], quoted: nominal luminous transmittance in percent, to the digits printed (within a half of
    /// the last, shades 8 and 14 exact to three).
    #[test]
    fn shades_by_transmittance() {
        for (shade, percent, half) in [
            (5.0, 1.93, 0.005),
            (8.0, 0.1, 0.0005),
            (10.0, 0.0139, 0.00005),
            (11.0, 0.0052, 0.00005),
            (12.0, 0.0019, 0.00005),
            (13.0, 0.000_72, 0.000_005),
            (14.0, 0.000_27, 0.000_005),
        ] {
            let found = luminous(shade).percent();
            assert!((found - percent).abs() <= half, "shade {shade}: {found} against {percent}");
            assert!((shade_of(luminous(shade)) - shade).abs() < 1e-12);
        }
    }

    /// [`OSHA_1910_133`], quoted.
    #[test]
    fn least_shades() {
        for (arc, rows) in [
            (Arc::Gmaw, [(30.0, 7), (100.0, 10), (200.0, 10), (400.0, 10)]),
            (Arc::Gtaw, [(30.0, 8), (100.0, 8), (200.0, 10), (400.0, 10)]),
            (Arc::Smaw, [(30.0, 7), (100.0, 8), (200.0, 10), (400.0, 11)]),
        ] {
            for (amperes, shade) in rows {
                assert_eq!(least(arc, amperes).unwrap().value, shade, "{arc:?} {amperes}");
            }
        }
        assert_eq!(least(Arc::Gtaw, 150.0).unwrap().value, 10);
        assert_eq!(least(Arc::Gmaw, 500.0).unwrap().value, 10);
        for amperes in [0.0, -5.0, 501.0, f64::NAN] {
            assert!(least(Arc::Gmaw, amperes).is_err());
        }
    }

    /// [`ANSI_Z87_1_SHADE`], quoted: shade 14 lets 0.3 % of infrared through, an optical density of about 2.5: far below
    /// the 5.9 that 1.5 kW need.
    #[test]
    fn a_shade_is_no_laser_protection() {
        let od = -SHADE_14_INFRARED.value.fraction().log10();
        assert!((od - 2.5).abs() < 0.05, "{od}");
    }
}
