//! Figures and texts for papers.

use crate::faces;
use weld::measured::Measured;
use weld::quantity::kind::Quantity;
use weld::quantity::show::{self, UnitSystem};
use weld::quantity::{Angle, Area, Length, Share};
use weld::reading::{Dimension, Reading};
use weld::source::{Seen, Source};

/// Longest run of letters that is left whole: longer words are file names and the like.
const WHOLE: usize = 16;
/// How many letters of a longer run stand together.
const TOGETHER: usize = 6;

/// A text from elsewhere, made fit for a paper: printable, and with places to break in long runs of letters, so that a
/// file name of two hundred letters wraps instead of leaving the page.
pub(super) fn text(from: &str) -> String {
    let plain = faces::printable(from, true);
    let mut out = String::with_capacity(plain.len());
    for run in plain.split_inclusive(char::is_whitespace) {
        let long = run.chars().count() > WHOLE;
        for (i, c) in run.chars().enumerate() {
            if long && i > 0 && i % TOGETHER == 0 {
                out.push('\u{200b}');
            }
            out.push(c);
        }
    }
    out
}

/// A reading for a table: the figure and its uncertainty, each in both systems, the unit apart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Cell {
    /// `4.06, u 0.05`.
    pub(super) first: String,
    /// The same in the other system; empty where there is none.
    pub(super) beside: String,
}

/// The unit of a reading, as a table's head has it: `mm (in)`.
pub(super) fn unit(reading: Reading, units: UnitSystem) -> String {
    fn both<Q: Quantity>(units: UnitSystem) -> String {
        let (first, beside) = (Q::KIND.paper_symbol(units), Q::KIND.paper_symbol(units.other()));
        if first == beside { first.to_owned() } else { format!("{first} ({beside})") }
    }
    match reading {
        Reading::Dilution | Reading::PoreAreaShare => both::<Share>(units),
        _ => match reading.dimension() {
            Dimension::Length => both::<Length>(units),
            Dimension::Area => both::<Area>(units),
            Dimension::Angle => both::<Angle>(units),
            Dimension::Ratio => String::new(),
        },
    }
}

/// A reading, in the unit of its field name, rounded to its uncertainty.
pub(super) fn cell(reading: Reading, v: Measured<f64>, units: UnitSystem) -> Cell {
    let shown = figures(reading, v, units);
    // Nothing of it is seen, and how little of it could have been.
    let (figure, u) = shown.first.split_once(", u ").unwrap_or((&shown.first, ""));
    if !is_flaw(reading) || figure.parse() != Ok(0.0) {
        return shown;
    }
    let first = if u.is_empty() { "none".to_owned() } else { format!("none, u {u}") };
    Cell { first, beside: String::new() }
}

/// Faults whose absence is the rule.
const fn is_flaw(reading: Reading) -> bool {
    matches!(
        reading,
        Reading::Undercut
            | Reading::UndercutBase
            | Reading::UndercutUpright
            | Reading::OverlapToe
            | Reading::Underfill
    )
}

fn figures(reading: Reading, v: Measured<f64>, units: UnitSystem) -> Cell {
    match reading {
        Reading::Dilution | Reading::PoreAreaShare => {
            both(Measured::new(Share::from_fraction(v.value), Share::from_fraction(v.u)), units)
        }
        _ => match reading.dimension() {
            Dimension::Length => {
                both(Measured::new(Length::from_mm(v.value), Length::from_mm(v.u)), units)
            }
            Dimension::Area => {
                both(Measured::new(Area::from_mm2(v.value), Area::from_mm2(v.u)), units)
            }
            Dimension::Angle => {
                both(Measured::new(Angle::from_deg(v.value), Angle::from_deg(v.u)), units)
            }
            Dimension::Ratio => {
                // A plain number: rounded as a length is, the unit left away.
                let one = both(
                    Measured::new(Length::from_mm(v.value), Length::from_mm(v.u)),
                    UnitSystem::Metric,
                );
                Cell { beside: String::new(), ..one }
            }
        },
    }
}

/// A length, rounded to its uncertainty.
pub(super) fn length_cell(v: Measured<Length>, units: UnitSystem) -> Cell {
    both(v, units)
}

fn both<Q: Quantity>(m: Measured<Q>, units: UnitSystem) -> Cell {
    let (here, there) = (Q::KIND.paper_symbol(units), Q::KIND.paper_symbol(units.other()));
    let in_system = |units: UnitSystem, symbol: &str| {
        let shown = show::reading(m, units);
        let bare = |text: &str| text.trim_end_matches(symbol).trim_end().to_owned();
        match shown.u {
            Some(u) if bare(&u) == "0" => bare(&shown.value),
            Some(u) => format!("{}, u {}", bare(&shown.value), bare(&u)),
            None => format!("{}, u not known", bare(&shown.value)),
        }
    };
    Cell {
        first: in_system(units, here),
        beside: if here == there { String::new() } else { in_system(units.other(), there) },
    }
}

/// How a source is known, for people.
pub(super) fn seen(source: &Source) -> String {
    match source.seen {
        Seen::Read => "read".to_owned(),
        Seen::QuotedBy(by) => format!("quoted by {by}"),
        Seen::Recalled => "Recalled".to_owned(),
    }
}

/// Whether a source was given from memory.
pub(super) fn is_recalled(source: &Source) -> bool {
    source.seen == Seen::Recalled
}

#[cfg(test)]
mod tests {
    use super::*;
    use UnitSystem::{Inch, Metric};

    #[test]
    fn a_reading_is_rounded_to_its_uncertainty_in_both_systems() {
        let v = Measured::new(4.0614, 0.043);
        let cell_of = |units| cell(Reading::EffectiveThroat, v, units);
        assert_eq!(cell_of(Metric).first, "4.06, u 0.04");
        assert_eq!(cell_of(Metric).beside, "0.160, u 0.002");
        assert_eq!(cell_of(Inch).first, "0.160, u 0.002");
        assert_eq!(unit(Reading::EffectiveThroat, Metric), "mm (in)");
    }

    #[test]
    fn shares_ratios_and_angles_have_their_own_units() {
        assert_eq!(
            cell(Reading::Dilution, Measured::new(0.412, 0.02), Metric).first,
            "41.2, u 2.0"
        );
        assert_eq!(unit(Reading::Dilution, Metric), "%");
        assert_eq!(
            cell(Reading::DepthToWidth, Measured::new(1.234, 0.04), Inch).first,
            "1.23, u 0.04"
        );
        assert_eq!(
            cell(Reading::ToeAngleBase, Measured::new(133.2, 3.0), Metric).first,
            "133, u 3"
        );
        assert_eq!(cell(Reading::LegBase, Measured::new(4.5, 0.0), Metric).first, "4.5");
        assert_eq!(
            cell(Reading::LegBase, Measured::new(f64::NAN, 0.1), Metric).first,
            "no value, u 0.10"
        );
    }

    #[test]
    fn a_fault_that_is_not_there_is_none() {
        let none = cell(Reading::Undercut, Measured::new(0.0, 0.006), Metric);
        assert_eq!((none.first.as_str(), none.beside.as_str()), ("none, u 0.01", ""));
        assert_eq!(cell(Reading::Undercut, Measured::new(0.0, 0.0), Metric).first, "none");
        let some = cell(Reading::Undercut, Measured::new(0.214, 0.04), Metric);
        assert_eq!(some.first, "0.21, u 0.04");
        assert_eq!(
            cell(Reading::Convexity, Measured::new(0.0, 0.006), Metric).first,
            "0.00, u 0.01"
        );
    }

    #[test]
    fn long_runs_of_letters_get_places_to_break() {
        let long = text(&"x".repeat(100));
        assert_eq!(long.matches('\u{200b}').count(), 16);
        assert_eq!(text("short words stay"), "short words stay");
    }
}
