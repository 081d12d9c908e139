//! Which quantities there are, and a value whose quantity is known only from its unit.

use std::fmt;

use super::show::{self, UnitSystem};
use super::units::Unit;
use super::{
    Angle, Area, Duration, Force, Frequency, GasFlow, Irradiance, Length, LineEnergy, LineLoad,
    Power, Share, Speed, Stress, Temperature, Volume,
};

/// What every quantity can do, for code that reads or prints any of them.
pub trait Quantity: Copy {
    /// Which quantity it is.
    const KIND: Kind;

    /// The number in the SI unit.
    fn si(self) -> f64;

    /// Builds it from a number of a unit of its own kind.
    fn from_unit(value: f64, unit: &Unit) -> Self;
}

/// Lists the quantities: words, words with article, paper units and usual decimals in metric and in inches.
macro_rules! kinds {
    ($($name:ident, $words:literal, $article:literal, $metric:literal . $md:literal, $inch:literal . $id:literal;)+) => {
        /// Which quantity a value is of.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Kind {
            $(#[doc = concat!("Of ", $article, ".")] $name,)+
        }

        impl Kind {
            /// All of them.
            pub const ALL: &'static [Self] = &[$(Self::$name,)+];

            /// The trade's word for it.
            #[must_use]
            pub const fn words(self) -> &'static str { match self { $(Self::$name => $words,)+ } }

            /// The word with its article, for sentences.
            #[must_use]
            pub const fn with_article(self) -> &'static str { match self { $(Self::$name => $article,)+ } }

            /// The units it is written in, the usual ones first.
            #[must_use]
            pub const fn units(self) -> &'static [Unit] { match self { $(Self::$name => $name::UNITS,)+ } }

            /// The symbol of the unit it is printed in.
            #[must_use]
            pub const fn paper_symbol(self, system: UnitSystem) -> &'static str {
                match (self, system) {
                    $((Self::$name, UnitSystem::Metric) => $metric, (Self::$name, UnitSystem::Inch) => $inch,)+
                }
            }

            /// Decimals it is usually printed with, where no uncertainty says otherwise.
            #[must_use]
            pub const fn decimals(self, system: UnitSystem) -> usize {
                match (self, system) {
                    $((Self::$name, UnitSystem::Metric) => $md, (Self::$name, UnitSystem::Inch) => $id,)+
                }
            }
        }

        /// A value whose quantity was found from its unit.
        #[derive(Clone, Copy, Debug, PartialEq)]
        pub enum AnyQuantity {
            $(#[doc = concat!("It is ", $article, ".")] $name($name),)+
        }

        impl AnyQuantity {
            pub(super) fn from_unit(kind: Kind, value: f64, unit: &Unit) -> Self {
                match kind { $(Kind::$name => Self::$name($name::from_unit(value, unit)),)+ }
            }

            /// Which quantity it is.
            #[must_use]
            pub const fn kind(self) -> Kind { match self { $(Self::$name(_) => Kind::$name,)+ } }

            fn si(self) -> f64 { match self { $(Self::$name(value) => value.si(),)+ } }
        }

        impl fmt::Display for AnyQuantity {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                match self { $(Self::$name(value) => value.fmt(f),)+ }
            }
        }

        $(impl From<$name> for AnyQuantity {
            fn from(value: $name) -> Self { Self::$name(value) }
        })+
    };
}

kinds! {
    Length, "length", "a length", "mm".2, "in".3;
    Area, "area", "an area", "mm²".1, "in²".3;
    Speed, "speed", "a speed", "mm/s".1, "in/min".1;
    Power, "power", "a power", "kW".2, "kW".2;
    LineEnergy, "energy per length", "an energy per length", "kJ/mm".3, "kJ/in".2;
    Stress, "stress", "a stress", "MPa".0, "ksi".1;
    LineLoad, "load per length", "a load per length", "N/mm".0, "kip/in".2;
    Force, "force", "a force", "kN".1, "kip".1;
    Temperature, "temperature", "a temperature", "°C".0, "°F".0;
    Angle, "angle", "an angle", "°".1, "°".1;
    Frequency, "frequency", "a frequency", "Hz".0, "Hz".0;
    GasFlow, "gas flow", "a gas flow", "l/min".1, "ft³/h".0;
    Volume, "volume", "a volume", "m³".1, "ft³".0;
    Duration, "time", "a time", "s".1, "s".1;
    Share, "share", "a share", "%".1, "%".1;
    Irradiance, "power per area", "a power per area", "W/cm²".3, "W/cm²".3;
}

impl Kind {
    /// The most decimals that a reading from a photograph is printed with.
    ///
    /// Phone photos give 0.05 to 0.1 mm at best, microscopes 0.01 mm: a third decimal of a millimetre says nothing.
    /// Common practice. `None`: not read from photographs.
    #[must_use]
    pub const fn finest(self, system: UnitSystem) -> Option<usize> {
        match (self, system) {
            (Self::Length | Self::Area, UnitSystem::Metric) => Some(2),
            (Self::Length, UnitSystem::Inch) => Some(3),
            (Self::Area, UnitSystem::Inch) => Some(4),
            (Self::Angle | Self::Share, _) => Some(1),
            _ => None,
        }
    }

    /// The unit it is printed in.
    pub(super) fn paper_unit(self, system: UnitSystem) -> &'static Unit {
        let symbol = self.paper_symbol(system);
        // A test holds that the symbol is in the table; the first unit is at least of the right kind.
        self.units().iter().find(|unit| unit.symbol == symbol).unwrap_or(&self.units()[0])
    }

    /// The usual units as a sentence has them: `mm/s, cm/min, m/min or in/min`.
    #[must_use]
    pub fn usual_units(self) -> String {
        let symbols: Vec<&str> =
            self.units().iter().filter(|unit| unit.usual).map(|unit| unit.symbol).collect();
        match symbols.split_last() {
            Some((last, [])) => (*last).to_owned(),
            Some((last, before)) => format!("{} or {last}", before.join(", ")),
            None => String::new(),
        }
    }
}

impl AnyQuantity {
    /// The value in each usual unit of its quantity, to twelve figures, which drops the last bits' noise.
    #[must_use]
    pub fn conversions(self) -> Vec<(f64, &'static str)> {
        let usual = self.kind().units().iter().filter(|unit| unit.usual);
        usual.map(|unit| (show::clean(unit.from_si(self.si())), unit.symbol)).collect()
    }

    /// The same, ready to print, to six figures: `7.62 mm/s`.
    #[must_use]
    pub fn lines(self) -> Vec<String> {
        self.conversions()
            .into_iter()
            .map(|(value, symbol)| show::join(&show::significant(value, 6), symbol))
            .collect()
    }

    /// What else is worth saying: for a length, the nearest 1/64 inch and how far off it is.
    #[must_use]
    pub fn note(self) -> Option<String> {
        let Self::Length(length) = self else { return None };
        // Below half a sixty-fourth the rule shows nothing.
        let rule = length.nearest_64th().filter(|rule| rule.whole + rule.numerator > 0)?;
        let off = rule.off_by.mm();
        Some(if off.abs() < 0.5e-3 {
            format!("on the inch rule {rule}")
        } else {
            let side = if off > 0.0 { "more" } else { "less" };
            format!("nearest 1/64 in is {rule}, which is {:.3} mm {side}", off.abs())
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1 in = 25.4 mm ([`NIST_SP_811`](crate::source::NIST_SP_811), recalled): 18 in/min is 457.2 mm/min.
    #[test]
    fn eighteen_inches_a_minute_in_every_usual_unit() {
        let speed = AnyQuantity::from(Speed::from_in_per_min(18.0));
        assert_eq!(
            speed.conversions(),
            [(7.62, "mm/s"), (45.72, "cm/min"), (0.4572, "m/min"), (18.0, "in/min")]
        );
        assert_eq!(speed.lines(), ["7.62 mm/s", "45.72 cm/min", "0.4572 m/min", "18 in/min"]);
        assert_eq!(speed.note(), None);
    }

    #[test]
    fn a_length_notes_the_inch_rule() {
        let note = |length: Length| AnyQuantity::from(length).note();
        assert_eq!(
            note(Length::from_mm(6.0)).as_deref(),
            Some("nearest 1/64 in is 15/64 in, which is 0.047 mm less")
        );
        assert_eq!(note(Length::from_in(0.3125)).as_deref(), Some("on the inch rule 5/16 in"));
        assert_eq!(note(Length::from_mm(0.1)), None);
        assert_eq!(note(Length::from_mm(f64::NAN)), None);
    }

    #[test]
    fn the_usual_units_make_a_sentence() {
        assert_eq!(Kind::Speed.usual_units(), "mm/s, cm/min, m/min or in/min");
        assert_eq!(Kind::Share.usual_units(), "%");
    }
}
