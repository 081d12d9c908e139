//! Text out: figures rounded to what is known, a bound down, a need up, the other unit system beside it.
//!
//! **To the uncertainty.** The standard uncertainty is rounded to two figures when its first figure is 1 or 2, else to
//! one, and the value to the same place. At most two figures is
//! [`JCGM_100`](crate::source::JCGM_100) 7.2.6, recalled; the choice between one and two is common practice, so that
//! rounding never changes the uncertainty by more than a seventh. Both are rounded to the nearest.
//!
//! **Read from a photograph.** The same, but never finer than a photo can show ([`Kind::finest`](super::kind::Kind::finest)):
//! an uncertainty that would ask for more decimals is rounded to the last one that is left, up where rounding to the
//! nearest would take more than a twentieth off it.
//!
//! **Against a need.** The verdict is on unrounded values. A bound is printed rounded down and a need rounded up, so
//! neither is ever flattered; where that would print a bound that holds as if it did not, both get one more decimal
//! until the paper says what the verdict says.
//!
//! Decimals are fixed, with a point; zero has no sign; what is printed parses back to the printed figure.
//!
//! Not covered: thousands marks (never printed), inch fractions (see [`Length::nearest_64th`](super::Length::nearest_64th)).

use std::fmt;

use super::kind::Quantity;
use super::parse;
use super::units::Unit;
use crate::measured::Measured;

/// The units of a study; on paper the other stands beside it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum UnitSystem {
    /// Millimetres, newtons, degrees Celsius.
    #[default]
    Metric,
    /// Inches, kips, degrees Fahrenheit.
    Inch,
}

impl UnitSystem {
    /// The one that stands beside it.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::Metric => Self::Inch,
            Self::Inch => Self::Metric,
        }
    }
}

/// Which way a figure is rounded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rounding {
    /// To the nearest: a measured value.
    Nearest,
    /// Down: a bound, what is claimed.
    Down,
    /// Up: a need, what is asked.
    Up,
}

/// A measured value, rounded to its uncertainty.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shown {
    /// The value with its unit; on paper the other system in brackets.
    pub value: String,
    /// The standard uncertainty likewise; `None` when it is not known.
    pub u: Option<String>,
}

impl fmt::Display for Shown {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.u {
            Some(u) => write!(f, "{}, u {u}", self.value),
            None => write!(f, "{}, u not known", self.value),
        }
    }
}

/// A bound and the need it is held against, printed so that the figures say what the verdict says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Against {
    /// The bound, rounded down, with its unit.
    pub bound: String,
    /// The need, rounded up, with its unit and as many decimals.
    pub need: String,
    /// The verdict on the unrounded values: bound at least the need. False when either is no number.
    pub holds: bool,
}

/// What stands where a figure should be and there is none.
const NO_VALUE: &str = "no value";

/// A part in 10^12: two figures this near are one figure, and the rest is the noise of `f64`.
const NOISE: f64 = 1e-12;

/// Prints a quantity in the study's units.
#[must_use]
pub fn show<Q: Quantity>(q: Q, rounding: Rounding, decimals: usize, system: UnitSystem) -> String {
    let unit = Q::KIND.paper_unit(system);
    labelled(unit.from_si(q.si()), rounding, decimals_i32(decimals), unit)
}

/// Prints a quantity in a unit of its own, where the study's unit would be out of scale: a room in metres, a limit in
/// W/m². The unit is named by its printed symbol; one of another quantity prints as no value.
#[must_use]
pub fn show_in<Q: Quantity>(q: Q, rounding: Rounding, decimals: usize, symbol: &str) -> String {
    match Q::KIND.units().iter().find(|unit| unit.symbol == symbol) {
        Some(unit) => labelled(unit.from_si(q.si()), rounding, decimals_i32(decimals), unit),
        None => NO_VALUE.to_owned(),
    }
}

/// Prints a quantity in the study's units with the other system in brackets: `4.24 mm (0.167 in)`.
///
/// The figure in brackets is rounded the same way, to a step at least as fine, and agrees with the first within
/// their written digits, so the pair parses back.
#[must_use]
pub fn show_on_paper<Q: Quantity>(
    q: Q,
    rounding: Rounding,
    decimals: usize,
    system: UnitSystem,
) -> String {
    let (unit, other) = (Q::KIND.paper_unit(system), Q::KIND.paper_unit(system.other()));
    let decimals = decimals_i32(decimals);
    let first = rounded(unit.from_si(q.si()), rounding, decimals);
    match (first, unit.symbol == other.symbol) {
        (None, _) => NO_VALUE.to_owned(),
        (Some(first), true) => join(&first, unit.symbol),
        (Some(first), false) => {
            let beside = beside(
                q.si(),
                &first,
                unit,
                rounding,
                other,
                matching_decimals(decimals, unit, other),
            );
            format!("{} ({})", join(&first, unit.symbol), join(&beside, other.symbol))
        }
    }
}

/// Prints a measured value rounded to its standard uncertainty.
///
/// For a temperature `u` is a number of kelvin, as in `Temperature::from_k(2.0)`.
#[must_use]
pub fn measured<Q: Quantity>(m: Measured<Q>, system: UnitSystem) -> Shown {
    to_its_uncertainty(m, None, system)
}

/// Prints a value read from a photograph, rounded to its standard uncertainty and never finer than a photo can show.
///
/// Without an uncertainty the value stands with the decimals of a photo, closing zeros left away.
#[must_use]
pub fn reading<Q: Quantity>(m: Measured<Q>, system: UnitSystem) -> Shown {
    to_its_uncertainty(m, Q::KIND.finest(system).map(decimals_i32), system)
}

fn to_its_uncertainty<Q: Quantity>(
    m: Measured<Q>,
    finest: Option<i32>,
    system: UnitSystem,
) -> Shown {
    let unit = Q::KIND.paper_unit(system);
    let u = m.u.si() / unit.scale;
    let value = unit.from_si(m.value.si());
    match place(u) {
        Some(decimals) if finest.is_some_and(|finest| decimals > finest) => {
            let decimals = finest.unwrap_or(decimals);
            let nearest = rounded(u, Rounding::Nearest, decimals).map_or(0.0, |text| number(&text));
            // Common practice of calibration: rounding that takes more than a twentieth off goes up instead.
            let rounding = if nearest < 0.95 * u { Rounding::Up } else { Rounding::Nearest };
            Shown {
                value: labelled(value, Rounding::Nearest, decimals, unit),
                u: Some(labelled(u, rounding, decimals, unit)),
            }
        }
        Some(decimals) => Shown {
            value: labelled(value, Rounding::Nearest, decimals, unit),
            u: Some(labelled(u, Rounding::Nearest, decimals, unit)),
        },
        None => {
            let value = if value.is_finite() {
                let figure = match finest.and_then(|d| rounded(value, Rounding::Nearest, d)) {
                    Some(figure) => number(&figure).to_string(),
                    None => significant(value, 4),
                };
                join(&figure, unit.symbol)
            } else {
                NO_VALUE.to_owned()
            };
            // An uncertainty of exactly nothing is stated as such; a negative or missing one is not known.
            Shown { value, u: (u == 0.0).then(|| join("0", unit.symbol)) }
        }
    }
}

/// The same with the other system in brackets, each rounded to the uncertainty in its own unit.
#[must_use]
pub fn measured_on_paper<Q: Quantity>(m: Measured<Q>, system: UnitSystem) -> Shown {
    let (unit, other) = (Q::KIND.paper_unit(system), Q::KIND.paper_unit(system.other()));
    let plain = measured(m, system);
    let (u, u_other) = (m.u.si() / unit.scale, m.u.si() / other.scale);
    let (Some(decimals), Some(decimals_other), false) =
        (place(u), place(u_other), unit.symbol == other.symbol)
    else {
        return plain;
    };
    let Some(first) = rounded(unit.from_si(m.value.si()), Rounding::Nearest, decimals) else {
        return plain;
    };
    let second = beside(m.value.si(), &first, unit, Rounding::Nearest, other, decimals_other);
    let u_text = labelled(u_other, Rounding::Nearest, decimals_other, other);
    Shown {
        value: format!("{} ({})", plain.value, join(&second, other.symbol)),
        u: plain.u.map(|u| format!("{u} ({u_text})")),
    }
}

/// Prints a bound and its need so that the printed comparison agrees with the unrounded verdict.
///
/// Starts with `decimals` and adds one as long as the paper would contradict the verdict. Two values equal to the last
/// bit that no decimals can part are printed in full.
#[must_use]
pub fn against<Q: Quantity>(bound: Q, need: Q, decimals: usize, system: UnitSystem) -> Against {
    let unit = Q::KIND.paper_unit(system);
    let holds = bound.si() >= need.si();
    let (b, n) = (unit.from_si(bound.si()), unit.from_si(need.si()));
    let texts = |bound: &str, need: &str| Against {
        bound: join(bound, unit.symbol),
        need: join(need, unit.symbol),
        holds,
    };
    for decimals in decimals_i32(decimals)..=MOST_DECIMALS {
        let (Some(bound), Some(need)) =
            (rounded(b, Rounding::Down, decimals), rounded(n, Rounding::Up, decimals))
        else {
            let label = |x| labelled(x, Rounding::Nearest, decimals, unit);
            return Against { bound: label(b), need: label(n), holds };
        };
        if (number(&bound) >= number(&need)) == holds {
            return texts(&bound, &need);
        }
    }
    // Apart by less than a unit conversion keeps: step once, so that the paper still shows which is less.
    let b = if !holds && b >= n { n.next_down() } else { b };
    texts(&b.to_string(), &n.to_string())
}

/// The same with the other system in brackets; each system's figures agree with the verdict.
#[must_use]
pub fn against_on_paper<Q: Quantity>(
    bound: Q,
    need: Q,
    decimals: usize,
    system: UnitSystem,
) -> Against {
    let (unit, other) = (Q::KIND.paper_unit(system), Q::KIND.paper_unit(system.other()));
    let first = against(bound, need, decimals, system);
    if unit.symbol == other.symbol || !bound.si().is_finite() || !need.si().is_finite() {
        return first;
    }
    let finer =
        usize::try_from(matching_decimals(decimals_i32(decimals), unit, other)).unwrap_or(0);
    let second = against(bound, need, finer, system.other());
    Against {
        bound: format!("{} ({})", first.bound, second.bound),
        need: format!("{} ({})", first.need, second.need),
        holds: first.holds,
    }
}

/// Decimals at which two figures that differ at all in 15 figures are told apart.
const MOST_DECIMALS: i32 = 12;

/// Beyond this many decimals `f64` has nothing more to say about anything we measure.
fn decimals_i32(decimals: usize) -> i32 {
    i32::try_from(decimals).unwrap_or(MOST_DECIMALS).min(MOST_DECIMALS)
}

/// The last decimal that an uncertainty leaves: two figures of `u` when it begins with 1 or 2, else one.
/// Negative for tens, hundreds. `None` when `u` is nothing, negative or no number.
fn place(u: f64) -> Option<i32> {
    if !(u.is_finite() && u > 0.0) {
        return None;
    }
    // The exponent as printed, so that 0.1 is not read as 0.0999.
    let printed = format!("{u:.11e}");
    let (figures, exponent) = printed.split_once('e')?;
    let exponent: i32 = exponent.parse().ok()?;
    let two = figures.starts_with(['1', '2']);
    Some((i32::from(two) - exponent).clamp(-300, 300))
}

/// Decimals in the other unit whose step is at least as fine.
fn matching_decimals(decimals: i32, unit: &Unit, other: &Unit) -> i32 {
    let more = (other.scale / unit.scale).log10();
    ((f64::from(decimals) + more - 1e-9).ceil() as i32).clamp(0, MOST_DECIMALS)
}

/// The figure for the other system: to the nearest, from the exact value where that agrees with the first as printed;
/// else from the printed first, with as many decimals as it takes.
fn beside(
    si: f64,
    first: &str,
    unit: &Unit,
    rounding: Rounding,
    other: &Unit,
    decimals: i32,
) -> String {
    let printed = unit.to_si(number(first));
    let half = 0.5 * unit.scale * 10_f64.powi(-written_decimals(first));
    let agrees = |text: &str| {
        let half_other = 0.5 * other.scale * 10_f64.powi(-written_decimals(text));
        parse::agree(printed, half, other.to_si(number(text)), half_other)
    };
    let exact =
        rounded(other.from_si(si), rounding, decimals).unwrap_or_else(|| NO_VALUE.to_owned());
    // A bound or a need is rounded again in the same direction from what stands beside it, which stays safe.
    if rounding == Rounding::Nearest && agrees(&exact) {
        return exact;
    }
    let again = (decimals.max(0)..=MOST_DECIMALS)
        .filter_map(|d| rounded(other.from_si(printed), rounding, d));
    again.into_iter().find(|text| agrees(text)).unwrap_or(exact)
}

fn written_decimals(text: &str) -> i32 {
    text.split_once('.')
        .map_or(0, |(_, decimals)| i32::try_from(decimals.len()).unwrap_or(MOST_DECIMALS))
}

/// A figure that we printed, read again; 0 cannot happen, since we printed it.
fn number(text: &str) -> f64 {
    text.parse().unwrap_or(0.0)
}

/// The figure with its unit, or that there is none.
fn labelled(x: f64, rounding: Rounding, decimals: i32, unit: &Unit) -> String {
    rounded(x, rounding, decimals)
        .map_or_else(|| NO_VALUE.to_owned(), |text| join(&text, unit.symbol))
}

/// Rounds to so many decimals (negative: tens, hundreds) and prints them all. `None` when it is no number.
fn rounded(x: f64, rounding: Rounding, decimals: i32) -> Option<String> {
    if !x.is_finite() {
        return None;
    }
    let shown = usize::try_from(decimals).unwrap_or(0);
    if rounding == Rounding::Nearest && decimals >= 0 {
        // The formatter rounds the exact binary value, which scaling first would not.
        return Some(fixed(x, shown));
    }
    let power = 10_f64.powi(decimals.abs());
    let scaled = if decimals >= 0 { x * power } else { x / power };
    if scaled.abs() >= 1e15 || !scaled.is_finite() {
        // Nothing is left behind the last decimal to round.
        return Some(fixed(x, shown));
    }
    let near = scaled.round();
    let whole = match rounding {
        _ if (scaled - near).abs() <= NOISE * scaled.abs() => near,
        Rounding::Nearest => near,
        Rounding::Down => scaled.floor(),
        Rounding::Up => scaled.ceil(),
    };
    Some(fixed(if decimals >= 0 { whole / power } else { whole * power }, shown))
}

/// Fixed decimals; no sign on zero; powers of ten from 10^15 on.
fn fixed(x: f64, decimals: usize) -> String {
    let text = if x.abs() < 1e15 { format!("{x:.decimals$}") } else { format!("{x:e}") };
    match text.strip_prefix('-') {
        Some(size) if size.chars().all(|c| matches!(c, '0' | '.')) => size.to_owned(),
        _ => text,
    }
}

/// So many figures, without closing zeros; powers of ten below 10^-6 and from 10^15 on.
#[must_use]
pub fn significant(x: f64, figures: usize) -> String {
    if x == 0.0 {
        return "0".to_owned();
    }
    if !x.is_finite() {
        return NO_VALUE.to_owned();
    }
    let short = format!("{x:.*e}", figures.clamp(1, 17) - 1);
    let x = number(&short);
    if (1e-6..1e15).contains(&x.abs()) { x.to_string() } else { format!("{x:e}") }
}

/// A figure as somebody gave it, for a refusal: twelve figures, and what is no number as it is written.
#[must_use]
pub fn given(x: f64) -> String {
    if x.is_finite() { significant(x, 12) } else { x.to_string() }
}

/// The figure without the noise of its last bits: twelve figures.
pub(super) fn clean(x: f64) -> f64 {
    // Not a number and without end print as words that parse back to themselves.
    format!("{x:.11e}").parse().unwrap_or(x) + 0.0
}

/// The figure with its unit; the degree sign stands close.
pub(super) fn join(figure: &str, symbol: &str) -> String {
    if symbol == "°" { format!("{figure}{symbol}") } else { format!("{figure} {symbol}") }
}

/// `Display` of every quantity: the metric paper unit, the caller's precision, right-aligned in the caller's width.
pub(super) fn display<Q: Quantity>(q: Q, f: &mut fmt::Formatter<'_>) -> fmt::Result {
    let unit = Q::KIND.paper_unit(UnitSystem::Metric);
    let x = unit.from_si(q.si());
    let figure = match f.precision() {
        _ if !x.is_finite() => return f.write_str(NO_VALUE),
        Some(decimals) => fixed(x, decimals),
        None => significant(x, 12),
    };
    let text = join(&figure, unit.symbol);
    match f.width() {
        Some(width) => write!(f, "{text:>width$}"),
        None => f.write_str(&text),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::{Angle, Length, Power, Speed, Stress, Temperature};
    use super::*;
    use UnitSystem::{Inch, Metric};

    fn mm(value: f64) -> Length {
        Length::from_mm(value)
    }

    fn as_measured(value: f64, u: f64) -> String {
        measured(Measured::new(mm(value), mm(u)), Metric).to_string()
    }

    #[test]
    fn figures_stop_where_the_uncertainty_does() {
        assert_eq!(as_measured(4.0613, 0.0814), "4.06 mm, u 0.08 mm");
        assert_eq!(as_measured(4.0613, 0.124), "4.06 mm, u 0.12 mm");
        assert_eq!(as_measured(4.0613, 0.299), "4.06 mm, u 0.30 mm");
        assert_eq!(as_measured(4.0613, 0.3), "4.1 mm, u 0.3 mm");
        assert_eq!(as_measured(4.0613, 0.1), "4.06 mm, u 0.10 mm");
        assert_eq!(as_measured(4.0613, 0.097), "4.06 mm, u 0.10 mm");
        assert_eq!(as_measured(482.6, 34.0), "480 mm, u 30 mm");
        assert_eq!(as_measured(-0.004, 0.09), "0.00 mm, u 0.09 mm");
    }

    /// The examples of JCGM 100:2008, 7.2.6 (recalled): 10.057 62 ohm with 27 milliohm is 10.058 ohm; an uncertainty of
    /// 28.05 kHz is 28 kHz. Here in millimetres, which have the same figures.
    #[test]
    fn the_examples_of_the_guide() {
        assert_eq!(as_measured(10.057_62, 0.027), "10.058 mm, u 0.027 mm");
        assert_eq!(as_measured(1234.4, 28.05), "1234 mm, u 28 mm");
    }

    /// By the guide's rule the third decimal of the first stands; a photo does not show it, and what is left away of the
    /// uncertainty is rounded up, never down.
    #[test]
    fn a_reading_from_a_photo_is_not_finer_than_the_photo() {
        let of = |value, u, system| reading(Measured::new(mm(value), mm(u)), system).to_string();
        assert_eq!(of(10.057_62, 0.027, Metric), "10.06 mm, u 0.03 mm");
        assert_eq!(of(4.0613, 0.014, Metric), "4.06 mm, u 0.02 mm");
        assert_eq!(of(4.0613, 0.124, Metric), "4.06 mm, u 0.12 mm");
        assert_eq!(of(4.0613, 0.0104, Metric), "4.06 mm, u 0.01 mm");
        assert_eq!(of(0.0, 0.006, Metric), "0.00 mm, u 0.01 mm");
        // 4.0613 mm are 0.159894 in, 0.00635 mm are 0.00025 in, 0.0814 mm are 0.0032 in.
        assert_eq!(of(4.0613, 0.006_35, Inch), "0.160 in, u 0.001 in");
        assert_eq!(of(4.0613, 0.0814, Inch), "0.160 in, u 0.003 in");
        assert_eq!(of(4.0613, 0.0, Metric), "4.06 mm, u 0 mm");
        assert_eq!(of(4.5, 0.0, Metric), "4.5 mm, u 0 mm");
        assert_eq!(of(4.0613, f64::NAN, Metric), "4.06 mm, u not known");
    }

    #[test]
    fn an_uncertainty_that_is_none_is_not_invented() {
        assert_eq!(as_measured(4.0613, 0.0), "4.061 mm, u 0 mm");
        assert_eq!(as_measured(4.0613, f64::NAN), "4.061 mm, u not known");
        assert_eq!(as_measured(4.0613, -0.1), "4.061 mm, u not known");
        assert_eq!(as_measured(f64::NAN, 0.1), "no value, u 0.10 mm");
    }

    #[test]
    fn a_room_is_printed_in_metres() {
        let reach = super::super::Length::from_m(92.7081);
        assert_eq!(show_in(reach, Rounding::Up, 1, "m"), "92.8 m");
        assert_eq!(show_in(reach, Rounding::Up, 0, "ft"), "305 ft");
        assert_eq!(show_in(reach, Rounding::Up, 0, "kW"), "no value");
    }

    #[test]
    fn the_other_system_stands_beside() {
        let throat = Measured::new(mm(4.2426), mm(0.08));
        assert_eq!(
            measured_on_paper(throat, Metric).to_string(),
            "4.24 mm (0.167 in), u 0.08 mm (0.003 in)"
        );
        assert_eq!(
            measured_on_paper(throat, Inch).to_string(),
            "0.167 in (4.24 mm), u 0.003 in (0.08 mm)"
        );
        let at = Measured::new(Temperature::from_deg_c(150.0), Temperature::from_k(5.0));
        assert_eq!(measured_on_paper(at, Metric).to_string(), "150 °C (302 °F), u 5 °C (9 °F)");
        assert_eq!(show_on_paper(Angle::from_deg(45.0), Rounding::Nearest, 0, Metric), "45°");
    }

    #[test]
    fn a_bound_goes_down_and_a_need_up() {
        assert_eq!(show(mm(4.19), Rounding::Down, 1, Metric), "4.1 mm");
        assert_eq!(show(mm(4.11), Rounding::Up, 1, Metric), "4.2 mm");
        assert_eq!(show(mm(-0.04), Rounding::Up, 1, Metric), "0.0 mm");
        assert_eq!(show_on_paper(mm(4.19), Rounding::Down, 1, Metric), "4.1 mm (0.161 in)");
        // 4.2 mm is held as metres; the noise of that is not a tenth of a millimetre.
        for tenths in 1..=200 {
            let exact = f64::from(tenths) / 10.0;
            for rounding in [Rounding::Down, Rounding::Nearest, Rounding::Up] {
                assert_eq!(show(mm(exact), rounding, 1, Metric), format!("{exact:.1} mm"));
            }
        }
    }

    #[test]
    fn the_paper_says_what_the_verdict_says() {
        let said = |bound, need| {
            let a = against(mm(bound), mm(need), 1, Metric);
            (a.bound, a.need, a.holds)
        };
        let line = |bound: &str, need: &str, holds| (bound.to_owned(), need.to_owned(), holds);
        assert_eq!(said(4.26, 3.9), line("4.2 mm", "3.9 mm", true));
        assert_eq!(said(4.26, 4.21), line("4.26 mm", "4.21 mm", true));
        assert_eq!(said(4.2634, 4.2611), line("4.263 mm", "4.262 mm", true));
        assert_eq!(said(4.21, 4.26), line("4.2 mm", "4.3 mm", false));
        assert_eq!(said(4.2, 4.2), line("4.2 mm", "4.2 mm", true));
        assert_eq!(said(f64::NAN, 4.2), line("no value", "4.2 mm", false));
        assert_eq!(said(4.2, f64::NAN), line("4.2 mm", "no value", false));
    }

    /// Neighbours in metres may be one figure in inches; the paper still shows which is less.
    #[test]
    fn a_verdict_on_the_last_bit_still_shows() {
        let figure = |text: &str| number(text.split(' ').next().unwrap());
        for step in 1..=2000 {
            let need = Length::from_in(f64::from(step) / 100.0);
            let bound = Length::from_m(need.m().next_down());
            for system in [Metric, Inch] {
                let a = against(bound, need, 1, system);
                assert!(!a.holds && figure(&a.bound) < figure(&a.need), "{a:?}");
            }
        }
    }

    #[test]
    fn a_length_prints_with_its_unit() {
        assert_eq!(format!("{:.2}", mm(2.8284)), "2.83 mm");
        assert_eq!(format!("{:>10.2}|{}", mm(2.8284), mm(4.2)), "   2.83 mm|4.2 mm");
        assert_eq!(format!("{:.1}", mm(-0.01)), "0.0 mm");
        assert_eq!(mm(f64::NAN).to_string(), "no value");
        assert_eq!(format!("{:.0}", Angle::from_deg(60.0)), "60°");
        assert_eq!(Power::from_w(1800.0).to_string(), "1.8 kW");
    }

    /// Any figure with any uncertainty, over more orders of magnitude than a shop meets.
    fn figure() -> impl Strategy<Value = (f64, f64)> {
        (-9.999..9.999_f64, -6..6_i32, 1.0..9.999_f64, -8..5_i32)
            .prop_map(|(value, e, u, eu)| (value * 10_f64.powi(e), u * 10_f64.powi(eu)))
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(4000))]

        /// What we print parses back to what we printed, both systems, whatever the rounding.
        #[test]
        fn what_is_printed_parses_back((value, u) in figure(), decimals in 0..6_usize) {
            for system in [Metric, Inch] {
                let shown = measured_on_paper(Measured::new(mm(value), mm(u)), system);
                let back = Length::parse(&shown.value);
                prop_assert!(back.is_ok(), "{shown}: {back:?}");
                // Half a step of the printed figure, which is at most half of u.
                prop_assert!((back.unwrap().mm() - value).abs() <= 0.5 * u * (1.0 + 1e-9) + 1e-9 * value.abs(), "{shown}");
                for rounding in [Rounding::Nearest, Rounding::Down, Rounding::Up] {
                    let text = show_on_paper(mm(value), rounding, decimals, system);
                    let back = Length::parse(&text);
                    prop_assert!(back.is_ok(), "{text}: {back:?}");
                    let text = show_on_paper(Stress::from_mpa(value), rounding, decimals, system);
                    prop_assert!(Stress::parse(&text).is_ok(), "{text}");
                    let text = show_on_paper(Temperature::from_deg_c(value), rounding, decimals, system);
                    prop_assert!(Temperature::parse(&text).is_ok(), "{text}");
                }
                prop_assert!(!shown.value.starts_with("-0 ") && !shown.value.starts_with("-0.00 "), "{shown}");
            }
        }

        /// A bound is never flattered, nor a need, by more than the noise of `f64`.
        #[test]
        fn rounding_is_to_the_safe_side(value in -1e4..1e4_f64, decimals in 0..8_usize) {
            let read = |rounding| Length::parse(&show(mm(value), rounding, decimals, Metric)).unwrap().mm();
            let (noise, step) = (2.0 * NOISE * value.abs(), 10_f64.powi(-(decimals as i32)));
            prop_assert!(read(Rounding::Down) <= value + noise);
            prop_assert!(read(Rounding::Down) >= value - step - noise);
            prop_assert!(read(Rounding::Up) >= value - noise);
            prop_assert!(read(Rounding::Up) <= value + step + noise);
        }

        /// The printed comparison agrees with the verdict, near and far, in both systems.
        #[test]
        fn printed_comparisons_agree_with_the_verdict(
            need in 0.01..100.0_f64, apart in -1.0..1.0_f64, power in -17..1_i32, decimals in 0..4_usize,
        ) {
            let (bound, need) = (Speed::from_mm_per_s(need + apart * 10_f64.powi(power)), Speed::from_mm_per_s(need));
            for system in [Metric, Inch] {
                let a = against(bound, need, decimals, system);
                prop_assert_eq!(a.holds, bound >= need);
                let figure = |text: &str| text.split(' ').next().unwrap().parse::<f64>().unwrap();
                prop_assert_eq!(figure(&a.bound) >= figure(&a.need), a.holds, "{:?}", a);
                let both = against_on_paper(bound, need, decimals, system);
                let second = |text: &str| figure(text.split_once('(').unwrap().1);
                prop_assert_eq!(second(&both.bound) >= second(&both.need), a.holds, "{:?}", both);
            }
        }

        /// No figure, however odd, stops the printer.
        #[test]
        fn any_bits_print(value: f64, other: f64, decimals: usize) {
            for system in [Metric, Inch] {
                let _ = measured_on_paper(Measured::new(mm(value), mm(other)), system).to_string();
                let _ = measured_on_paper(Measured::new(Temperature::from_k(value), Temperature::from_k(other)), system);
                let _ = against_on_paper(Stress::from_pa(value), Stress::from_pa(other), decimals, system);
                for rounding in [Rounding::Nearest, Rounding::Down, Rounding::Up] {
                    let _ = show_on_paper(mm(value), rounding, decimals, system);
                }
            }
            let _ = super::super::kind::AnyQuantity::from(mm(value)).lines();
        }
    }
}
