//! What is in the fume, by parent metal and wire, and how much air a hood must move.
//!
//! ```text
//!   Q = v (10 x² + A)        plain opening of area A, v wanted at a distance x
//!   Q = 0.75 v (10 x² + A)   with a flange
//! ```
//!
//! Limits differ by country and change; each is given with its jurisdiction, and the lower one is the better aim. Whether
//! they are met is measured in the breathing zone, never worked out.
//!
//! It holds near the hood, to about one and a half of its widths; farther off draughts decide.
//!
//! Sources: named at each limit; [`FUME_BY_METAL`], [`DALLA_VALLE`], recalled; [`CAPTURE_VELOCITY`], quoted.
//!
//! Not covered: coatings, oils and primers other than zinc; cadmium, lead and beryllium (do not weld them without a
//! hygienist); how much fume a setting makes.

use crate::{OutOfRange, above_nothing, not_below_nothing};
use weld::quantity::{Area, GasFlow, Length, Speed};
use weld::source::{
    ACGIH_TLV, CAPTURE_VELOCITY, CHROMIUM_STRICTER, DALLA_VALLE, EU_CARCINOGENS, EU_MANGANESE,
    FUME_BY_METAL, MANGANESE_LIMITS, NIOSH_REL, OSHA_1910_1000, OSHA_1910_1026, Source, Sourced,
    WELDING_FUME_CANCER, ZINC_OXIDE_LIMIT,
};

/// Sources that are not named at a limit.
pub const SOURCES: [Source; 4] =
    [FUME_BY_METAL, WELDING_FUME_CANCER, DALLA_VALLE, CAPTURE_VELOCITY];

/// A parent metal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Parent {
    /// Structural steel.
    CarbonSteel,
    /// Zinc-coated steel.
    Galvanised,
    /// Austenitic, ferritic, duplex stainless steel.
    Stainless,
    /// Nickel alloy.
    NickelAlloy,
    /// Aluminium alloy.
    Aluminium,
    /// Titanium alloy.
    Titanium,
}

impl Parent {
    /// All of them, with the words of a setup file.
    pub const ALL: [(&'static str, Self); 6] = [
        ("structural steel", Self::CarbonSteel),
        ("galvanised steel", Self::Galvanised),
        ("stainless steel", Self::Stainless),
        ("nickel alloy", Self::NickelAlloy),
        ("aluminium", Self::Aluminium),
        ("titanium", Self::Titanium),
    ];
}

/// A wire.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wire {
    /// None.
    None,
    /// Solid wire for structural steel.
    CarbonSteel,
    /// Solid stainless wire.
    Stainless,
    /// Stainless flux-cored wire: its fume holds the most hexavalent chromium.
    StainlessFluxCored,
    /// Nickel alloy.
    NickelAlloy,
    /// Aluminium alloy.
    Aluminium,
    /// Titanium.
    Titanium,
}

impl Wire {
    /// All of them, with the words of a setup file.
    pub const ALL: [(&'static str, Self); 7] = [
        ("none", Self::None),
        ("structural steel", Self::CarbonSteel),
        ("stainless steel", Self::Stainless),
        ("stainless flux-cored", Self::StainlessFluxCored),
        ("nickel alloy", Self::NickelAlloy),
        ("aluminium", Self::Aluminium),
        ("titanium", Self::Titanium),
    ];
}

/// Something in the fume.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Constituent {
    /// Hexavalent chromium.
    ChromiumSix,
    /// Nickel and its oxides.
    Nickel,
    /// Manganese.
    Manganese,
    /// Zinc oxide.
    Zinc,
    /// Aluminium oxide.
    Aluminium,
    /// Iron oxide.
    Iron,
    /// Titanium dioxide.
    Titanium,
    /// Ozone, made by ultraviolet light.
    Ozone,
}

impl Constituent {
    /// Its name and what it does.
    #[must_use]
    pub const fn words(self) -> [&'static str; 2] {
        match self {
            Self::ChromiumSix => ["hexavalent chromium", "causes cancer of the lung"],
            Self::Nickel => ["nickel and its oxides", "causes cancer, sensitises"],
            Self::Manganese => ["manganese", "harms the nervous system"],
            Self::Zinc => [
                "zinc oxide",
                "metal fume fever: chills and fever hours later, often taken for influenza",
            ],
            Self::Aluminium => ["aluminium oxide", "harms the lung; much of it, very fine"],
            Self::Iron => ["iron oxide", "settles in the lung"],
            Self::Titanium => ["titanium dioxide", "harms the lung; fine titanium burns"],
            Self::Ozone => ["ozone", "burns the lung; bright metal throws much ultraviolet back"],
        }
    }
}

/// What the fume of a weld holds, the worst first.
#[must_use]
pub fn expected(parent: Parent, wire: Wire) -> Vec<Constituent> {
    use Constituent as C;
    let of_parent: &[C] = match parent {
        Parent::CarbonSteel => &[C::Manganese, C::Iron],
        Parent::Galvanised => &[C::Zinc, C::Manganese, C::Iron],
        Parent::Stainless => &[C::ChromiumSix, C::Nickel, C::Manganese, C::Iron, C::Ozone],
        Parent::NickelAlloy => &[C::ChromiumSix, C::Nickel, C::Manganese],
        Parent::Aluminium => &[C::Aluminium, C::Ozone],
        Parent::Titanium => &[C::Titanium, C::Ozone],
    };
    let of_wire: &[C] = match wire {
        Wire::None => &[],
        Wire::CarbonSteel => &[C::Manganese, C::Iron],
        Wire::Stainless | Wire::StainlessFluxCored => {
            &[C::ChromiumSix, C::Nickel, C::Manganese, C::Iron, C::Ozone]
        }
        Wire::NickelAlloy => &[C::ChromiumSix, C::Nickel, C::Manganese],
        Wire::Aluminium => &[C::Aluminium, C::Ozone],
        Wire::Titanium => &[C::Titanium],
    };
    let mut all: Vec<C> = of_parent.iter().chain(of_wire).copied().collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// A limit of what is breathed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FumeLimit {
    /// Of what.
    pub of: Constituent,
    /// The limit, mg/m³; ozone in ppm.
    pub value: Sourced<f64>,
    /// Of what part of it, and over what time.
    pub kind: &'static str,
    /// Whose it is, and whether it is law.
    pub jurisdiction: &'static str,
}

/// Whether a limit of the European Union is among those here; without one each member's own holds.
#[must_use]
pub fn has_european_limit(of: Constituent) -> bool {
    LIMITS.iter().any(|l| l.of == of && (l.jurisdiction == EU_LAW || l.jurisdiction == EU_ADVICE))
}

impl FumeLimit {
    /// The unit of its value.
    #[must_use]
    pub const fn unit(&self) -> &'static str {
        match self.of {
            Constituent::Ozone => "ppm",
            _ => "mg/m³",
        }
    }
}

const fn row(
    of: Constituent,
    value: f64,
    source: Source,
    kind: &'static str,
    jurisdiction: &'static str,
) -> FumeLimit {
    FumeLimit { of, value: Sourced { value, source }, kind, jurisdiction }
}

const US_LAW: &str = "United States, law";
const US_ADVICE: &str = "United States, recommended";
const EU_LAW: &str = "European Union, binding";
const EU_ADVICE: &str = "European Union, indicative";

/// Limits, each with its jurisdiction.
pub const LIMITS: [FumeLimit; 26] = [
    row(Constituent::ChromiumSix, 0.005, OSHA_1910_1026, "8 h", US_LAW),
    row(Constituent::ChromiumSix, 0.0025, OSHA_1910_1026, "8 h, action level", US_LAW),
    row(Constituent::ChromiumSix, 0.0002, CHROMIUM_STRICTER, "8 h", US_ADVICE),
    row(Constituent::ChromiumSix, 0.0005, CHROMIUM_STRICTER, "short term, inhalable", US_ADVICE),
    row(Constituent::ChromiumSix, 0.005, EU_CARCINOGENS, "8 h, from January 2025", EU_LAW),
    row(Constituent::Nickel, 1.0, OSHA_1910_1000, "8 h", US_LAW),
    row(Constituent::Nickel, 0.015, NIOSH_REL, "8 h, metal and compounds", US_ADVICE),
    row(Constituent::Nickel, 0.2, ACGIH_TLV, "8 h, inhalable, oxides", US_ADVICE),
    row(Constituent::Nickel, 1.5, ACGIH_TLV, "8 h, inhalable, metal alone", US_ADVICE),
    row(Constituent::Nickel, 0.01, EU_CARCINOGENS, "8 h, respirable, compounds", EU_LAW),
    row(Constituent::Nickel, 0.05, EU_CARCINOGENS, "8 h, inhalable, compounds", EU_LAW),
    row(Constituent::Manganese, 5.0, MANGANESE_LIMITS, "ceiling", US_LAW),
    row(Constituent::Manganese, 0.02, MANGANESE_LIMITS, "8 h, respirable", US_ADVICE),
    row(Constituent::Manganese, 0.1, MANGANESE_LIMITS, "8 h, inhalable", US_ADVICE),
    row(Constituent::Manganese, 0.05, EU_MANGANESE, "8 h, respirable", EU_ADVICE),
    row(Constituent::Manganese, 0.2, EU_MANGANESE, "8 h, inhalable", EU_ADVICE),
    row(Constituent::Zinc, 5.0, ZINC_OXIDE_LIMIT, "8 h, fume", US_LAW),
    row(Constituent::Zinc, 2.0, ACGIH_TLV, "8 h, respirable", US_ADVICE),
    row(Constituent::Zinc, 10.0, ACGIH_TLV, "short term, respirable", US_ADVICE),
    row(Constituent::Aluminium, 5.0, OSHA_1910_1000, "8 h, respirable", US_LAW),
    row(Constituent::Aluminium, 1.0, ACGIH_TLV, "8 h, respirable", US_ADVICE),
    row(Constituent::Iron, 10.0, OSHA_1910_1000, "8 h, fume", US_LAW),
    row(Constituent::Iron, 5.0, ACGIH_TLV, "8 h, respirable", US_ADVICE),
    row(Constituent::Titanium, 15.0, OSHA_1910_1000, "8 h, total dust", US_LAW),
    row(Constituent::Ozone, 0.1, OSHA_1910_1000, "8 h", US_LAW),
    row(Constituent::Ozone, 0.05, ACGIH_TLV, "8 h, heavy work", US_ADVICE),
];

/// Air velocities that carry welding fume to a hood: from still air to a draughty hall.
pub const CAPTURE: [Sourced<Speed>; 2] = [
    Sourced { value: Speed::from_m_per_s(0.5), source: CAPTURE_VELOCITY },
    Sourced { value: Speed::from_m_per_s(1.0), source: CAPTURE_VELOCITY },
];

/// How far before a hood the relation of its air flow holds, in widths of a round opening of the same area.
pub const HOLDS_TO: Sourced<f64> = Sourced { value: 1.5, source: DALLA_VALLE };

/// The greatest distance before a hood at which [`hood_flow`] holds.
#[must_use]
pub fn holds_to(opening: Area) -> Length {
    Length::from_m(HOLDS_TO.value * (4.0 * opening.m2() / std::f64::consts::PI).sqrt())
}

/// Air that a hood must draw so that at a distance before it the air moves at a velocity.
///
/// # Errors
///
/// A velocity, a distance or an opening that cannot be.
pub fn hood_flow(
    velocity: Speed,
    distance: Length,
    opening: Area,
    flanged: bool,
) -> Result<GasFlow, OutOfRange> {
    let v = above_nothing(
        "the capture velocity",
        velocity.m_per_s(),
        velocity,
        "write the velocity wanted at the weld, 0.5 to 1 m/s",
    )?;
    let x = not_below_nothing(
        "the hood's distance",
        distance.m(),
        distance,
        "write the distance from the hood's opening to the weld: hood_distance = \"0.3 m\"",
    )?;
    let a = above_nothing(
        "the hood's opening",
        opening.m2(),
        opening,
        "write the sides of the hood's opening: hood = [\"0.3 m\", \"0.3 m\"]",
    )?;
    let plain = v * (10.0 * x * x + a);
    // One cubic metre a second is 60 000 litres a minute.
    Ok(GasFlow::from_l_per_min(6e4 * if flanged { 0.75 * plain } else { plain }))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// [`DALLA_VALLE`], recalled, by hand: 0.5 m/s at 0.3 m before 0.09 m²: 0.5 (0.9 + 0.09) = 0.495 m³/s = 1782 m³/h;
    /// with a flange three quarters of it.
    #[test]
    fn a_hood() {
        let flow = |flanged| {
            hood_flow(Speed::from_m_per_s(0.5), Length::from_m(0.3), Area::from_m2(0.09), flanged)
                .unwrap()
                .m3_per_h()
        };
        assert!((flow(false) - 1782.0).abs() < 1e-6, "{}", flow(false));
        assert!((flow(true) - 1336.5).abs() < 1e-6);
        let none = hood_flow(Speed::from_m_per_s(0.5), Length::from_m(0.3), Area::ZERO, false);
        assert!(none.unwrap_err().to_string().contains("hood's opening"));
        // 0.09 m² are a round opening of 0.3385 m, and 1.5 of it 0.5078 m.
        assert!((holds_to(Area::from_m2(0.09)).m() - 0.5078).abs() < 0.5e-4);
    }

    /// [`OSHA_1910_1026`] and [`MANGANESE_LIMITS`], quoted; [`CHROMIUM_STRICTER`], recalled.
    #[test]
    fn published_limits() {
        let has = |of, value: f64, jurisdiction| {
            LIMITS.iter().any(|l| {
                l.of == of
                    && (l.value.value - value).abs() < 1e-12
                    && l.jurisdiction == jurisdiction
            })
        };
        for value in [0.005, 0.0025] {
            assert!(has(Constituent::ChromiumSix, value, US_LAW));
        }
        for value in [0.0002, 0.0005] {
            assert!(has(Constituent::ChromiumSix, value, US_ADVICE));
        }
        // [`NIOSH_REL`] and [`ACGIH_TLV`], recalled: oxides of nickel are limited far below the metal.
        for value in [0.015, 0.2] {
            assert!(has(Constituent::Nickel, value, US_ADVICE));
        }
        assert!(has(Constituent::Iron, 5.0, US_ADVICE));
        assert!(has(Constituent::Manganese, 5.0, US_LAW));
        for value in [0.02, 0.1] {
            assert!(has(Constituent::Manganese, value, US_ADVICE));
        }
    }

    /// Each metal brings what the issue of safety names for it, and each constituent that is expected has a limit.
    #[test]
    fn what_a_metal_brings() {
        use Constituent as C;
        assert!(expected(Parent::Stainless, Wire::None).contains(&C::ChromiumSix));
        assert!(expected(Parent::Stainless, Wire::None).contains(&C::Ozone));
        assert!(expected(Parent::CarbonSteel, Wire::Stainless).contains(&C::Nickel));
        assert!(expected(Parent::CarbonSteel, Wire::None).contains(&C::Manganese));
        assert_eq!(expected(Parent::Galvanised, Wire::None)[1], C::Zinc);
        assert!(expected(Parent::Aluminium, Wire::None).contains(&C::Aluminium));
        for (_, parent) in Parent::ALL {
            for (_, wire) in Wire::ALL {
                for of in expected(parent, wire) {
                    assert!(LIMITS.iter().any(|l| l.of == of), "{of:?}");
                }
            }
        }
    }
}
