//! Quantities, with the unit in the constructor's name and SI inside.
//!
//! A quantity is stored in its SI unit and meets another unit only at a boundary: a form field, a file, a paper.
//! Inside a formula the number is read out once, by a getter that names the unit, and the local variable takes the
//! symbol that the cited source uses.
//!
//! | ask for | look in |
//! |---|---|
//! | what a unit is, how the shop spells it | [`units`] |
//! | which quantities there are; a value whose quantity is only known from its unit | [`kind`] |
//! | shop notation in: `5/16 in`, `18 ipm`, `0,5 mm` | [`parse`] |
//! | text out: rounded to the uncertainty, bounds down, needs up | [`show`] |
//!
//! Only products that mean something in this trade are written down. Power over travel speed is a [`LineEnergy`],
//! which no signature takes for a [`Force`], though both are newtons to a physicist.
//!
//! Range: any `f64`, negative or not; the caller knows what is possible for its own quantity. A figure that is not a
//! number stays one through every sum, [`min`](Length::min) and [`max`](Length::max), and prints as such.
//!
//! Source: factors from [`NIST_SP_811`](crate::source::NIST_SP_811), recalled; the inch, the pound and the standard
//! acceleration are exact by definition, so the derived factors here carry more digits than the printed ones.
//!
//! Not covered: sheet and wire gauge numbers (several tables share the same number), temperature differences as a
//! quantity of their own, and gas volume at other than the meter's own conditions.

pub mod kind;
pub mod parse;
pub mod show;
pub mod units;

use std::cmp::Ordering;
use std::fmt;
use std::ops::{Add, Div, Mul, Neg, Sub};
use std::str::FromStr;

use kind::{Kind, Quantity};
use parse::QuantityError;
use units::Unit;

/// Metres in an inch, exact.
const INCH: f64 = 0.0254;
/// Metres in a foot, exact.
const FOOT: f64 = 0.3048;
/// Newtons in a pound-force, exact: 0.453 592 37 kg x 9.806 65 m/s².
const POUND_FORCE: f64 = 4.448_221_615_260_5;
/// Newtons in a kip.
const KIP: f64 = 1e3 * POUND_FORCE;
/// Cubic metres in a cubic foot, exact.
const CUBIC_FOOT: f64 = FOOT * FOOT * FOOT;
/// A mechanical horsepower, 550 foot pounds-force a second, in watts: the metric one is 1.4 % smaller.
const HORSEPOWER: f64 = 550.0 * FOOT * POUND_FORCE;
/// Kelvin at 0 °C.
const ICE: f64 = 273.15;
/// Kelvin at 0 °F, from 459.67 °F of absolute temperature.
const ZERO_FAHRENHEIT: f64 = 459.67 * 5.0 / 9.0;

/// Declares one quantity: its name, its units with constructor, getter, printed symbol and size in SI.
///
/// The `usual` units are the ones a refusal proposes and a conversion lists; the `also` units are read as well.
macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, si: $si:ident;
     usual: $($from:ident / $to:ident $symbol:literal = $unit:expr),+;
     also: $($from2:ident / $to2:ident $symbol2:literal = $unit2:expr),* ;) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
        pub struct $name { $si: f64 }

        impl $name {
            /// The units it is written in, the usual ones first.
            pub const UNITS: &'static [Unit] = &[
                $(Unit { symbol: $symbol, usual: true, ..$unit },)+
                $(Unit { symbol: $symbol2, usual: false, ..$unit2 },)*
            ];
            $(
                #[doc = concat!("Builds it from a number of ", $symbol, ".")]
                #[must_use]
                pub const fn $from(value: f64) -> Self { Self { $si: $unit.to_si(value) } }
                #[doc = concat!("The number of ", $symbol, " in it.")]
                #[must_use]
                pub const fn $to(self) -> f64 { $unit.from_si(self.$si) }
            )+
            $(
                #[doc = concat!("Builds it from a number of ", $symbol2, ".")]
                #[must_use]
                pub const fn $from2(value: f64) -> Self { Self { $si: $unit2.to_si(value) } }
                #[doc = concat!("The number of ", $symbol2, " in it.")]
                #[must_use]
                pub const fn $to2(self) -> f64 { $unit2.from_si(self.$si) }
            )*
            /// The smaller of the two; not a number if either is not one, so that nothing unmeasured is hidden.
            #[must_use]
            pub const fn min(self, other: Self) -> Self {
                if self.$si.is_nan() || other.$si > self.$si { self } else { other }
            }
            /// The greater of the two; not a number if either is not one, so that nothing unmeasured is hidden.
            #[must_use]
            pub const fn max(self, other: Self) -> Self {
                if self.$si.is_nan() || other.$si < self.$si { self } else { other }
            }
            /// Order for sorting, any two values; those that are not numbers come first or last, by sign.
            #[must_use]
            pub fn total_cmp(&self, other: &Self) -> Ordering { self.$si.total_cmp(&other.$si) }
            /// Whether it is a number, neither missing nor without end.
            #[must_use]
            pub const fn is_finite(self) -> bool { self.$si.is_finite() }
            /// Reads shop notation.
            ///
            /// # Errors
            /// [`QuantityError`] says what cannot be read and what to write.
            pub fn parse(text: &str) -> Result<Self, QuantityError> { parse::parse(text) }
        }

        impl Quantity for $name {
            const KIND: Kind = Kind::$name;

            fn si(self) -> f64 { self.$si }

            fn from_unit(value: f64, unit: &Unit) -> Self { Self { $si: unit.to_si(value) } }
        }

        impl FromStr for $name {
            type Err = QuantityError;

            fn from_str(text: &str) -> Result<Self, QuantityError> { parse::parse(text) }
        }

        impl fmt::Display for $name {
            /// The number in the metric paper unit, with the unit; the caller's precision is kept: `{:.2}`.
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result { show::display(*self, f) }
        }
    };
}

/// Sums, differences, multiples and ratios, for quantities whose zero is nothing at all.
macro_rules! arithmetic {
    ($($name:ident . $si:ident),+ $(,)?) => { $(
        impl $name {
            /// Nothing at all.
            pub const ZERO: Self = Self { $si: 0.0 };

            /// Its size without its sign.
            #[must_use]
            pub const fn abs(self) -> Self { Self { $si: self.$si.abs() } }
        }

        impl Default for $name { fn default() -> Self { Self::ZERO } }
        impl Add for $name { type Output = Self; fn add(self, b: Self) -> Self { Self { $si: self.$si + b.$si } } }
        impl Sub for $name { type Output = Self; fn sub(self, b: Self) -> Self { Self { $si: self.$si - b.$si } } }
        impl Neg for $name { type Output = Self; fn neg(self) -> Self { Self { $si: -self.$si } } }
        impl Mul<f64> for $name { type Output = Self; fn mul(self, k: f64) -> Self { Self { $si: self.$si * k } } }
        impl Mul<$name> for f64 { type Output = $name; fn mul(self, q: $name) -> $name { q * self } }
        impl Div<f64> for $name { type Output = Self; fn div(self, k: f64) -> Self { Self { $si: self.$si / k } } }
        impl Div for $name { type Output = f64; fn div(self, b: Self) -> f64 { self.$si / b.$si } }
        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(all: I) -> Self { all.fold(Self::ZERO, Add::add) }
        }
    )+ };
}

/// One product and the two quotients that undo it: `whole = one x other`, each in SI.
macro_rules! product {
    ($($whole:ident . $w:ident = $one:ident . $a:ident * $other:ident . $b:ident;)+) => { $(
        impl Mul<$other> for $one {
            type Output = $whole;
            fn mul(self, other: $other) -> $whole { $whole { $w: self.$a * other.$b } }
        }
        impl Div<$other> for $whole {
            type Output = $one;
            fn div(self, other: $other) -> $one { $one { $a: self.$w / other.$b } }
        }
        impl Div<$one> for $whole {
            type Output = $other;
            fn div(self, one: $one) -> $other { $other { $b: self.$w / one.$a } }
        }
    )+ };
}

quantity! {
    /// A distance: a leg, a throat, a penetration, a gap, a wire diameter, a wavelength.
    Length, si: metres;
    usual: from_mm / mm "mm" = Unit::of(1e-3), from_in / inches "in" = Unit::of(INCH),
        from_um / um "µm" = Unit::of(1e-6), from_thou / thou "thou" = Unit::of(1e-3 * INCH),
        from_m / m "m" = Unit::of(1.0), from_ft / ft "ft" = Unit::of(FOOT);
    also: from_cm / cm "cm" = Unit::of(1e-2), from_nm / nm "nm" = Unit::of(1e-9);
}
quantity! {
    /// An area of the cut: fused, deposited, of a wire.
    Area, si: square_metres;
    usual: from_mm2 / mm2 "mm²" = Unit::of(1e-6), from_in2 / in2 "in²" = Unit::of(INCH * INCH);
    also: from_cm2 / cm2 "cm²" = Unit::of(1e-4), from_m2 / m2 "m²" = Unit::of(1.0),
        from_ft2 / ft2 "ft²" = Unit::of(FOOT * FOOT);
}
quantity! {
    /// How fast the torch travels or the wire is fed.
    Speed, si: metres_per_second;
    usual: from_mm_per_s / mm_per_s "mm/s" = Unit::of(1e-3), from_cm_per_min / cm_per_min "cm/min" = Unit::of(1e-2 / 60.0),
        from_m_per_min / m_per_min "m/min" = Unit::of(1.0 / 60.0), from_in_per_min / in_per_min "in/min" = Unit::of(INCH / 60.0);
    also: from_m_per_s / m_per_s "m/s" = Unit::of(1.0), from_cm_per_s / cm_per_s "cm/s" = Unit::of(1e-2),
        from_mm_per_min / mm_per_min "mm/min" = Unit::of(1e-3 / 60.0), from_in_per_s / in_per_s "in/s" = Unit::of(INCH),
        from_ft_per_min / ft_per_min "ft/min" = Unit::of(FOOT / 60.0);
}
quantity! {
    /// Power: of the beam, of the arc, absorbed.
    Power, si: watts;
    usual: from_kw / kw "kW" = Unit::of(1e3), from_w / w "W" = Unit::of(1.0);
    also: from_mw / mw "mW" = Unit::of(1e-3), from_hp / hp "hp" = Unit::of(HORSEPOWER);
}
quantity! {
    /// Energy laid down per length of seam: power over travel speed. Not a force, whatever the joules say.
    LineEnergy, si: joules_per_metre;
    usual: from_kj_per_mm / kj_per_mm "kJ/mm" = Unit::of(1e6), from_j_per_mm / j_per_mm "J/mm" = Unit::of(1e3),
        from_kj_per_cm / kj_per_cm "kJ/cm" = Unit::of(1e5), from_kj_per_in / kj_per_in "kJ/in" = Unit::of(1e3 / INCH);
    also: from_j_per_m / j_per_m "J/m" = Unit::of(1.0), from_kj_per_m / kj_per_m "kJ/m" = Unit::of(1e3),
        from_j_per_cm / j_per_cm "J/cm" = Unit::of(1e2), from_j_per_in / j_per_in "J/in" = Unit::of(1.0 / INCH);
}
quantity! {
    /// Force over area: a strength, a stress in the throat.
    Stress, si: pascals;
    usual: from_mpa / mpa "MPa" = Unit::of(1e6), from_n_per_mm2 / n_per_mm2 "N/mm²" = Unit::of(1e6),
        from_ksi / ksi "ksi" = Unit::of(KIP / (INCH * INCH)), from_psi / psi "psi" = Unit::of(POUND_FORCE / (INCH * INCH));
    also: from_pa / pa "Pa" = Unit::of(1.0), from_kpa / kpa "kPa" = Unit::of(1e3), from_gpa / gpa "GPa" = Unit::of(1e9),
        from_kn_per_mm2 / kn_per_mm2 "kN/mm²" = Unit::of(1e9);
}
quantity! {
    /// Force per length of weld: what a seam has to carry.
    LineLoad, si: newtons_per_metre;
    usual: from_n_per_mm / n_per_mm "N/mm" = Unit::of(1e3), from_kn_per_mm / kn_per_mm "kN/mm" = Unit::of(1e6),
        from_kn_per_m / kn_per_m "kN/m" = Unit::of(1e3), from_kip_per_in / kip_per_in "kip/in" = Unit::of(KIP / INCH);
    also: from_n_per_m / n_per_m "N/m" = Unit::of(1.0), from_lbf_per_in / lbf_per_in "lbf/in" = Unit::of(POUND_FORCE / INCH),
        from_lbf_per_ft / lbf_per_ft "lbf/ft" = Unit::of(POUND_FORCE / FOOT), from_kip_per_ft / kip_per_ft "kip/ft" = Unit::of(KIP / FOOT);
}
quantity! {
    /// A force on the joint.
    Force, si: newtons;
    usual: from_kn / kn "kN" = Unit::of(1e3), from_n / n "N" = Unit::of(1.0), from_kip / kip "kip" = Unit::of(KIP),
        from_lbf / lbf "lbf" = Unit::of(POUND_FORCE);
    also:;
}
quantity! {
    /// A temperature on the thermometer's scale, counted from absolute zero inside.
    ///
    /// Two temperatures are not added; their difference is [`kelvin_above`](Temperature::kelvin_above).
    Temperature, si: kelvin;
    usual: from_deg_c / deg_c "°C" = Unit::from_zero(1.0, ICE), from_deg_f / deg_f "°F" = Unit::from_zero(5.0 / 9.0, ZERO_FAHRENHEIT),
        from_k / k "K" = Unit::of(1.0);
    also:;
}
quantity! {
    /// An angle: of the torch, of a bevel, between plates, of a beam's spread.
    Angle, si: radians;
    usual: from_deg / deg "°" = Unit::of(std::f64::consts::PI / 180.0), from_rad / rad "rad" = Unit::of(1.0);
    also: from_mrad / mrad "mrad" = Unit::of(1e-3);
}
quantity! {
    /// Full cycles in a second: of the wobble, of pulses.
    Frequency, si: hertz;
    usual: from_hz / hz "Hz" = Unit::of(1.0), from_khz / khz "kHz" = Unit::of(1e3);
    also:;
}
quantity! {
    /// Flow of shielding gas as the meter reads it; the meter's reference conditions are not corrected for.
    GasFlow, si: cubic_metres_per_second;
    usual: from_l_per_min / l_per_min "l/min" = Unit::of(1e-3 / 60.0), from_ft3_per_h / ft3_per_h "ft³/h" = Unit::of(CUBIC_FOOT / 3600.0);
    also: from_m3_per_h / m3_per_h "m³/h" = Unit::of(1.0 / 3600.0), from_ft3_per_min / ft3_per_min "ft³/min" = Unit::of(CUBIC_FOOT / 60.0);
}
quantity! {
    /// A volume of air or gas: of a room, of what a cylinder lets out.
    Volume, si: cubic_metres;
    usual: from_m3 / m3 "m³" = Unit::of(1.0), from_ft3 / ft3 "ft³" = Unit::of(CUBIC_FOOT), from_l / l "l" = Unit::of(1e-3);
    also:;
}
quantity! {
    /// How long something takes: an exposure, a cycle, a weld.
    Duration, si: seconds;
    usual: from_s / s "s" = Unit::of(1.0), from_min / minutes "min" = Unit::of(60.0), from_ms / ms "ms" = Unit::of(1e-3);
    also: from_h / h "h" = Unit::of(3600.0), from_us / us "µs" = Unit::of(1e-6), from_ns / ns "ns" = Unit::of(1e-9);
}
quantity! {
    /// A share of a whole, written in per cent and kept as a fraction: 12 % is 0.12 inside.
    Share, si: fraction;
    usual: from_percent / percent "%" = Unit::of(1e-2);
    also:;
}
quantity! {
    /// Power over area: a beam on a surface, a limit for an eye.
    Irradiance, si: watts_per_square_metre;
    usual: from_w_per_cm2 / w_per_cm2 "W/cm²" = Unit::of(1e4), from_kw_per_cm2 / kw_per_cm2 "kW/cm²" = Unit::of(1e7),
        from_mega_w_per_cm2 / mega_w_per_cm2 "MW/cm²" = Unit::of(1e10), from_w_per_m2 / w_per_m2 "W/m²" = Unit::of(1.0);
    also: from_milli_w_per_cm2 / milli_w_per_cm2 "mW/cm²" = Unit::of(10.0), from_w_per_mm2 / w_per_mm2 "W/mm²" = Unit::of(1e6),
        from_kw_per_mm2 / kw_per_mm2 "kW/mm²" = Unit::of(1e9), from_kw_per_m2 / kw_per_m2 "kW/m²" = Unit::of(1e3);
}

arithmetic! {
    Length.metres, Area.square_metres, Speed.metres_per_second, Power.watts, LineEnergy.joules_per_metre,
    Stress.pascals, LineLoad.newtons_per_metre, Force.newtons, Angle.radians, Frequency.hertz,
    GasFlow.cubic_metres_per_second, Volume.cubic_metres, Duration.seconds, Share.fraction, Irradiance.watts_per_square_metre,
}

product! {
    Power.watts = LineEnergy.joules_per_metre * Speed.metres_per_second;
    Force.newtons = LineLoad.newtons_per_metre * Length.metres;
    Force.newtons = Stress.pascals * Area.square_metres;
    LineLoad.newtons_per_metre = Stress.pascals * Length.metres;
    Length.metres = Speed.metres_per_second * Duration.seconds;
    Power.watts = Irradiance.watts_per_square_metre * Area.square_metres;
    Volume.cubic_metres = GasFlow.cubic_metres_per_second * Duration.seconds;
    Volume.cubic_metres = Area.square_metres * Length.metres;
}

impl Mul for Length {
    type Output = Area;

    fn mul(self, other: Self) -> Area {
        Area { square_metres: self.metres * other.metres }
    }
}

impl Div<Length> for Area {
    type Output = Length;

    fn div(self, other: Length) -> Length {
        Length { metres: self.square_metres / other.metres }
    }
}

/// Travel in one cycle of the wobble: its pitch.
impl Div<Frequency> for Speed {
    type Output = Length;

    fn div(self, cycles: Frequency) -> Length {
        Length { metres: self.metres_per_second / cycles.hertz }
    }
}

/// The part of the power that is meant: absorbed, lost, reflected.
impl Mul<Share> for Power {
    type Output = Power;

    fn mul(self, share: Share) -> Power {
        self * share.fraction
    }
}

impl Temperature {
    /// How many kelvin it lies above another; negative when below.
    #[must_use]
    pub const fn kelvin_above(self, other: Self) -> f64 {
        self.kelvin - other.kelvin
    }
}

impl Share {
    /// Builds it from a fraction of one.
    #[must_use]
    pub const fn from_fraction(fraction: f64) -> Self {
        Self { fraction }
    }

    /// The fraction of one.
    #[must_use]
    pub const fn fraction(self) -> f64 {
        self.fraction
    }
}

/// A length to the nearest 1/64 inch, as on an inch rule.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InchFraction {
    /// Whether the length is negative.
    pub negative: bool,
    /// Whole inches.
    pub whole: u32,
    /// Above the line, in lowest terms; 0 when there is no fraction.
    pub numerator: u32,
    /// Below the line: 1, 2, 4, 8, 16, 32 or 64.
    pub denominator: u32,
    /// The fraction less the length: positive when the fraction is the longer.
    pub off_by: Length,
}

impl fmt::Display for InchFraction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { negative, whole, numerator, denominator, .. } = *self;
        if negative {
            f.write_str("-")?;
        }
        match (whole, numerator) {
            (_, 0) => write!(f, "{whole} in"),
            (0, _) => write!(f, "{numerator}/{denominator} in"),
            _ => write!(f, "{whole}-{numerator}/{denominator} in"),
        }
    }
}

impl Length {
    /// The nearest 1/64 inch; `None` beyond a million inches, where nobody uses a rule, and when it is no number.
    #[must_use]
    pub fn nearest_64th(self) -> Option<InchFraction> {
        let sixty_fourths = (self.inches().abs() * 64.0).round();
        if sixty_fourths.is_nan() || sixty_fourths > 64e6 {
            return None;
        }
        // At most 64e6, so the cast is exact.
        let count = sixty_fourths as u32;
        let negative = self.metres < 0.0 && count > 0;
        let (whole, over) = (count / 64, count % 64);
        // Halve both as long as they are even; 0/64 becomes 0/1 in six steps.
        let halvings = over.trailing_zeros().min(6);
        let rule = Self::from_in(sixty_fourths / 64.0);
        let rule = if negative { -rule } else { rule };
        Some(InchFraction {
            negative,
            whole,
            numerator: over >> halvings,
            denominator: 64 >> halvings,
            off_by: rule - self,
        })
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Half a unit of the last digit that the source prints.
    fn printed(found: f64, published: f64, last_digit: f64) {
        assert!((found - published).abs() <= 0.5 * last_digit, "{found} against {published}");
    }

    /// [`NIST_SP_811`](crate::source::NIST_SP_811), recalled: 1 in = 25.4 mm exactly, so 1 in/min is 0.423333 mm/s.
    #[test]
    fn an_inch_a_minute() {
        printed(Speed::from_in_per_min(1.0).mm_per_s(), 0.423_333, 1e-6);
    }

    /// [`NIST_SP_811`](crate::source::NIST_SP_811), recalled: 1 mil = 0.0254 mm exactly. Exact, so the tolerance is
    /// `f64`'s own.
    #[test]
    fn thousandths_and_sixteenths() {
        for (length, mm) in [
            (Length::from_thou(1.0), 0.0254),
            (Length::from_thou(45.0), 1.143),
            (Length::from_in(1.0 / 16.0), 1.5875),
        ] {
            assert!((length.mm() - mm).abs() <= 4.0 * f64::EPSILON * mm, "{length}");
        }
    }

    /// [`NIST_SP_811`](crate::source::NIST_SP_811), recalled: 1 psi = 6.894757E+03 Pa.
    #[test]
    fn a_ksi() {
        printed(Stress::from_ksi(1.0).mpa(), 6.894_757, 1e-6);
        printed(Stress::from_ksi(70.0).mpa(), 482.633, 1e-3);
        printed(Stress::from_psi(1.0).pa(), 6.894_757e3, 1e-3);
    }

    /// [`NIST_SP_811`](crate::source::NIST_SP_811), recalled: 1 lbf = 4.448222 N, so 1 kip/in is 175.1268 N/mm.
    #[test]
    fn a_kip_to_the_inch() {
        printed(LineLoad::from_kip_per_in(1.0).n_per_mm(), 175.126_8, 1e-4);
        printed(Force::from_lbf(1.0).n(), 4.448_222, 1e-6);
    }

    /// [`NIST_SP_811`](crate::source::NIST_SP_811), recalled: 1 kJ/in is 0.03937008 kJ/mm.
    #[test]
    fn a_kilojoule_to_the_inch() {
        printed(LineEnergy::from_kj_per_in(1.0).kj_per_mm(), 0.039_370_08, 1e-8);
    }

    /// [`NIST_SP_811`](crate::source::NIST_SP_811), recalled: 1 ft³/h is 0.4719474 l/min.
    #[test]
    fn a_cubic_foot_an_hour() {
        printed(GasFlow::from_ft3_per_h(1.0).l_per_min(), 0.471_947_4, 1e-7);
        printed(GasFlow::from_ft3_per_h(20.0).l_per_min(), 9.439, 1e-3);
    }

    /// The fixed points of the two scales: water freezes at 32 °F and boils at 212 °F by the scale's own definition.
    #[test]
    fn the_two_thermometers() {
        for (f, c) in [(32.0, 0.0), (212.0, 100.0), (-40.0, -40.0)] {
            assert!((Temperature::from_deg_f(f).deg_c() - c).abs() < 1e-10, "{f} °F");
        }
        assert!(
            (Temperature::from_deg_c(20.0).kelvin_above(Temperature::from_k(0.0)) - 293.15).abs()
                < 1e-10
        );
    }

    #[test]
    fn power_over_travel_is_line_energy() {
        let energy: LineEnergy = Power::from_kw(1.5) / Speed::from_mm_per_s(10.0);
        assert!((energy.kj_per_mm() - 0.15).abs() < 1e-12, "{energy}");
    }

    #[test]
    fn a_load_over_a_strength_is_a_throat() {
        let throat: Length = LineLoad::from_n_per_mm(600.0) / Stress::from_mpa(200.0);
        assert!((throat.mm() - 3.0).abs() < 1e-12, "{throat}");
    }

    #[test]
    fn travel_over_wobble_is_pitch() {
        let pitch: Length = Speed::from_mm_per_s(12.0) / Frequency::from_hz(80.0);
        assert!((pitch.mm() - 0.15).abs() < 1e-12, "{pitch}");
    }

    #[test]
    fn inch_rule() {
        let on_rule = |mm: f64| Length::from_mm(mm).nearest_64th().map(|rule| rule.to_string());
        assert_eq!(on_rule(6.0).as_deref(), Some("15/64 in"));
        assert_eq!(on_rule(38.1).as_deref(), Some("1-1/2 in"));
        assert_eq!(on_rule(-12.7).as_deref(), Some("-1/2 in"));
        assert_eq!(on_rule(25.4).as_deref(), Some("1 in"));
        assert_eq!(on_rule(0.01).as_deref(), Some("0 in"));
        assert_eq!(on_rule(-0.01).as_deref(), Some("0 in"));
        for beyond in [f64::NAN, f64::INFINITY, 1e300] {
            assert_eq!(on_rule(beyond), None);
        }
    }

    #[test]
    fn what_is_no_number_is_not_hidden() {
        let (known, missing) = (Length::from_mm(3.0), Length::from_mm(f64::NAN));
        for pair in [known.min(missing), missing.min(known), known.max(missing), missing.max(known)]
        {
            assert!(!pair.is_finite());
        }
        assert_eq!(known.min(Length::from_mm(2.0)), Length::from_mm(2.0));
        assert_eq!(known.max(Length::from_mm(2.0)), known);
    }

    proptest! {
        /// What goes in by one unit comes out of it, whichever unit it was.
        #[test]
        fn every_unit_gives_back_what_it_was_given(value in -1e6..1e6_f64) {
            for kind in Kind::ALL {
                for unit in kind.units() {
                    let back = unit.from_si(unit.to_si(value));
                    // Subtracting the zero of °C or °F loses up to the last bits of that zero.
                    let allowed = 4.0 * f64::EPSILON * (value.abs() + unit.zero / unit.scale);
                    prop_assert!((back - value).abs() <= allowed, "{value} {} came back {back}", unit.symbol);
                }
            }
        }

        /// Going by way of a third unit changes nothing.
        #[test]
        fn conversions_commute(value in 1e-3..1e6_f64) {
            for kind in Kind::ALL.iter().filter(|kind| **kind != Kind::Temperature) {
                for a in kind.units() {
                    for b in kind.units() {
                        for c in kind.units() {
                            let straight = c.from_si(a.to_si(value));
                            let round = c.from_si(b.to_si(b.from_si(a.to_si(value))));
                            prop_assert!((straight - round).abs() <= 4.0 * f64::EPSILON * straight.abs());
                        }
                    }
                }
            }
        }

        /// 2.54 cm/min is one inch a minute.
        #[test]
        fn centimetres_and_inches_a_minute(inches in 0.1..1e3_f64) {
            let ratio = Speed::from_in_per_min(inches) / Speed::from_cm_per_min(2.54 * inches);
            prop_assert!((ratio - 1.0).abs() < 1e-14, "{ratio}");
        }

        /// Line energy times travel is the power again.
        #[test]
        fn products_undo_their_quotients(w in 1.0..1e4_f64, v in 1e-3..1.0_f64) {
            let (power, travel) = (Power::from_w(w), Speed::from_m_per_s(v));
            let again = power / travel * travel;
            prop_assert!((again.w() - w).abs() <= 4.0 * f64::EPSILON * w);
        }
    }
}
