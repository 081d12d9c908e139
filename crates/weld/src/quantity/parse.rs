//! Shop notation in.
//!
//! ```text
//!   6 mm   .035"   5/16 in   1-1/2 in   1 1/2 in   1½ in   5' 6-1/2"   60 thou   120 µm
//!   18 ipm   35 cm/min   0,5 mm   1,200.5 mm   1 200 mm   1e-3 m   6 mm (0.236 in)
//! ```
//!
//! | written | read as | why |
//! |---|---|---|
//! | `1,2 mm`, `0,125 in`, `,035 in` | decimal comma | cannot be a thousands mark |
//! | `1,200 mm` | refused | 1.2 or 1200: both are usual, a thousandfold apart |
//! | `1.200 mm` | 1.2 mm | a point is a decimal point on drawings, in code and on our own papers; the joint file asks about `60.000 N` |
//! | `1,200.5 mm`, `1.200,5 mm`, `1.200.000 mm` | thousands marks | cannot be anything else |
//! | `5/16 in`, `1/2 mm` | a fraction | as on an inch rule, or a plain part of one; `6/8 mm` may be two legs and is refused |
//! | `1-1/2 in` | one and a half | no spaces; `1 -1/2 in` is refused |
//! | `6 mm (0.236 in)`, `6 mm = 0.236 in` | 6 mm | written twice and agreeing; the first is used |
//!
//! A value written twice agrees when the second is the first rounded to its written digits, or when one value rounds to
//! both and they are within a tenth of each other: `6 mm (1/4 in)` passes, `2 m/min (60 ipm)` does not, though
//! 60 in/min is 2 m/min to a whole number. Fractions count as exact.
//!
//! Signs are read, hyphen or minus; whether a negative figure makes sense is for the caller.
//!
//! Not covered: ranges, tolerances, gauge numbers, sums of units except feet and inches.

use std::borrow::Cow;

use super::kind::{AnyQuantity, Kind, Quantity};
use super::show;
use super::units::{self, NotFound, Unit};

/// Why a text is no quantity, and what to write.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum QuantityError {
    /// Nothing but spaces.
    #[error("there is no value, and {} is needed", needed(*.wanted))]
    Empty {
        /// What was asked for, where that is known.
        wanted: Option<Kind>,
    },
    /// No figure where one has to stand: words, `NaN`, `inf`, a lone unit.
    #[error("\"{text}\" does not begin with a number")]
    NoNumber {
        /// What was written.
        text: String,
        /// What was asked for, where that is known.
        wanted: Option<Kind>,
    },
    /// Digits, marks or signs in an order that makes no number: `1.2.3`, `1,2.5`.
    #[error("\"{figure}\" is not a number")]
    BadNumber {
        /// The figure as written.
        figure: String,
    },
    /// Longer than any figure with its unit.
    #[error("{chars} characters are too many for one value")]
    TooLong {
        /// How many there are.
        chars: usize,
    },
    /// Too large or too small to be held, in the unit given.
    #[error("\"{text}\" is too large or too small to calculate with")]
    Size {
        /// What was written.
        text: String,
    },
    /// A number without unit.
    #[error("\"{figure}\" has no unit")]
    NoUnit {
        /// The figure as written.
        figure: String,
        /// What was asked for, where that is known.
        wanted: Option<Kind>,
    },
    /// A unit that nobody here knows.
    #[error("\"{unit}\" is not a unit that is known here")]
    UnknownUnit {
        /// The unit as written.
        unit: String,
        /// The figure before it.
        figure: String,
        /// The nearest spelling that is known.
        nearest: Option<&'static str>,
        /// What was asked for, where that is known.
        wanted: Option<Kind>,
    },
    /// The first letter has the size that means something else.
    #[error("\"{unit}\" is not taken for {meant}, because {}", other_size(.meant))]
    Capitals {
        /// The unit as written.
        unit: String,
        /// The figure before it.
        figure: String,
        /// The only unit it could be.
        meant: &'static str,
    },
    /// Without capitals it could be two units.
    #[error("\"{unit}\" could be {one} or {other}")]
    TwoUnits {
        /// The unit as written.
        unit: String,
        /// The figure before it.
        figure: String,
        /// One reading.
        one: String,
        /// The other.
        other: String,
    },
    /// A unit of another quantity.
    #[error("\"{text}\" is {}, and {} is needed", .found.with_article(), .wanted.with_article())]
    WrongKind {
        /// What was written.
        text: String,
        /// What its unit measures.
        found: Kind,
        /// What was asked for.
        wanted: Kind,
    },
    /// A comma that is a decimal mark to some and a thousands mark to others.
    #[error("{text} could be {decimal} or {thousands}")]
    Thousands {
        /// What was written.
        text: String,
        /// Read with a decimal comma.
        decimal: String,
        /// Read with a thousands mark.
        thousands: String,
        /// Whether a unit was written.
        has_unit: bool,
        /// What was asked for, where that is known.
        wanted: Option<Kind>,
    },
    /// Written twice, and the two disagree.
    #[error("{first} is {converted}, not {second}")]
    Disagree {
        /// The first as written.
        first: String,
        /// The first in the unit of the second.
        converted: String,
        /// The second as written.
        second: String,
    },
    /// A fraction with nothing below the line.
    #[error("{fraction} divides by nothing")]
    ZeroDenominator {
        /// The fraction as written.
        fraction: String,
    },
    /// A whole number with a fraction of one or more.
    #[error("the fraction in {figure} is {fraction}, which is not less than one")]
    TopHeavy {
        /// The whole figure as written.
        figure: String,
        /// Its fraction.
        fraction: String,
    },
    /// A hyphen with spaces about it, before a fraction.
    #[error("{text} could be {joined} or {less}")]
    LooseHyphen {
        /// What was written.
        text: String,
        /// Read as a whole number with a fraction.
        joined: String,
        /// Read as a subtraction.
        less: String,
    },
    /// Two figures, from and to.
    #[error("\"{text}\" reads as a range")]
    Range {
        /// What was written.
        text: String,
    },
    /// A stroke that may make a fraction or part two values: `6/8 mm`, `18/20 ipm`.
    #[error("{text} could be {fraction} or two values, {over} and {under}")]
    FractionOrTwo {
        /// What was written.
        text: String,
        /// Read as a fraction.
        fraction: String,
        /// The first of two.
        over: String,
        /// The second of two.
        under: String,
    },
    /// More than one figure, as in `6 x 9 mm`.
    #[error("\"{text}\" holds more than one value")]
    Several {
        /// What was written.
        text: String,
    },
    /// A value with its tolerance.
    #[error("\"{text}\" carries a tolerance")]
    Tolerance {
        /// What was written.
        text: String,
    },
    /// Something follows that does not belong to the value.
    #[error("after {read} there is \"{rest}\", which cannot be read")]
    Leftover {
        /// What could be read.
        read: String,
        /// What follows.
        rest: String,
    },
}

fn needed(wanted: Option<Kind>) -> &'static str {
    wanted.map_or("a figure with its unit", Kind::with_article)
}

/// What the wrong size of the first letter means.
fn other_size(meant: &str) -> &'static str {
    match meant.chars().next() {
        Some('M') => "a small m means thousandths",
        Some('m') => "a capital M means millions",
        _ => "a small k means thousands",
    }
}

/// Units to propose: those of the wanted quantity, or a few of the usual ones.
fn units_that_would_do(wanted: Option<Kind>) -> String {
    wanted.map_or_else(
        || "mm, in, mm/s, in/min, kW or MPa, for example".to_owned(),
        Kind::usual_units,
    )
}

impl QuantityError {
    /// What to do next.
    #[must_use]
    pub fn advice(&self) -> Cow<'static, str> {
        match self {
            Self::Empty { wanted } | Self::NoNumber { wanted, .. } => {
                format!("write a number and a unit: {}", units_that_would_do(*wanted)).into()
            }
            Self::BadNumber { .. } => {
                "write the figure with one decimal point, or as a fraction like 5/16".into()
            }
            Self::TooLong { .. } => "write one figure and its unit".into(),
            Self::Size { .. } => "check the exponent and the unit".into(),
            Self::NoUnit { wanted, .. } => {
                format!("write the unit after it: {}", units_that_would_do(*wanted)).into()
            }
            Self::UnknownUnit { figure, nearest, wanted, .. } => {
                let rest = match wanted {
                    Some(kind) => {
                        format!("{} is written in {}", kind.with_article(), kind.usual_units())
                    }
                    None => format!("units are {}", units_that_would_do(None)),
                };
                match nearest {
                    Some(unit) => {
                        format!("if {} was meant, write that; {rest}", show::join(figure, unit))
                    }
                    None => rest,
                }
                .into()
            }
            Self::Capitals { figure, meant, .. } => {
                format!("write {} if that was meant", show::join(figure, meant)).into()
            }
            Self::TwoUnits { figure, one, other, .. } => {
                format!("write {figure} {one} (thousandths) or {figure} {other} (millions)").into()
            }
            Self::WrongKind { wanted, .. } => {
                format!("write it in {}", wanted.usual_units()).into()
            }
            Self::Thousands { decimal, thousands, has_unit: true, .. } => {
                format!("write {decimal} or {thousands}").into()
            }
            Self::Thousands { decimal, thousands, wanted, .. } => format!(
                "write {decimal} or {thousands}, with a unit: {}",
                units_that_would_do(*wanted)
            )
            .into(),
            Self::Disagree { .. } => {
                "correct the one that is wrong, or write only one of them".into()
            }
            Self::ZeroDenominator { .. } => "correct the figure below the line".into(),
            Self::TopHeavy { .. } => {
                "correct the fraction, or write the figure as a decimal".into()
            }
            Self::LooseHyphen { joined, less, .. } => format!("write {joined} or {less}").into(),
            Self::FractionOrTwo { fraction, over, under, .. } => {
                format!("write {fraction}, or one of {over} and {under}").into()
            }
            Self::Range { .. } | Self::Several { .. } => "write one value".into(),
            Self::Tolerance { .. } => {
                "write the value alone; its uncertainty is entered on its own".into()
            }
            Self::Leftover { read, .. } => {
                format!("write {read} alone, or the second figure in brackets").into()
            }
        }
    }
}

/// Reads one quantity of a known kind.
///
/// # Errors
/// [`QuantityError`]: no figure, no unit, another quantity's unit, two readings, or two values that disagree.
pub fn parse<Q: Quantity>(text: &str) -> Result<Q, QuantityError> {
    let (_, value, unit) = read(text, Some(Q::KIND))?;
    Ok(Q::from_unit(value, unit))
}

/// Reads a quantity whose kind is found from its unit.
///
/// # Errors
/// As [`parse`], except that any known unit will do.
pub fn parse_any(text: &str) -> Result<AnyQuantity, QuantityError> {
    let (kind, value, unit) = read(text, None)?;
    Ok(AnyQuantity::from_unit(kind, value, unit))
}

/// Longer than any honest entry; also bounds the work for a hostile one.
const MOST_CHARS: usize = 400;

fn read(text: &str, wanted: Option<Kind>) -> Result<(Kind, f64, &'static Unit), QuantityError> {
    let chars = text.trim().chars().count();
    if chars > MOST_CHARS {
        return Err(QuantityError::TooLong { chars });
    }
    let mut reader = Reader { chars: plain_chars(text), at: 0, wanted };
    reader.spaces();
    if reader.peek().is_none() {
        return Err(QuantityError::Empty { wanted });
    }
    let first = reader.value()?;
    loop {
        reader.spaces();
        let closing = match reader.peek() {
            None => return Ok((first.kind, first.value, first.unit)),
            Some('(') => Some(')'),
            Some('[') => Some(']'),
            Some('=' | '≈' | '~') => None,
            Some('/') if reader.figure_follows(1) => None,
            Some(_) => return Err(reader.leftover(&first.text)),
        };
        let from = reader.at;
        reader.at += 1;
        reader.spaces();
        if matches!(reader.peek(), Some('=' | '≈' | '~')) {
            reader.at += 1;
            reader.spaces();
        }
        if !reader.figure_follows(0) {
            reader.at = from;
            return Err(reader.leftover(&first.text));
        }
        let second = reader.value()?;
        if let Some(closing) = closing {
            reader.spaces();
            if reader.peek() != Some(closing) {
                reader.at = from;
                return Err(reader.leftover(&first.text));
            }
            reader.at += 1;
        }
        first.check_against(&second)?;
    }
}

/// Whether two written values say the same: the second is the first rounded to its digits, or one value rounds to
/// both and they are within a tenth. All in SI; `half` is half a unit of the last written digit.
pub(super) fn agree(first: f64, half_first: f64, second: f64, half_second: f64) -> bool {
    let apart = (first - second).abs();
    let size = first.abs().max(second.abs());
    // The last bits of a conversion are not a disagreement.
    let noise = 1e-9 * size;
    apart <= half_second + noise
        || (apart <= half_first + half_second + noise && apart <= 0.1 * size)
}

/// One value as written.
struct Written {
    value: f64,
    /// Half a unit of its last digit, in its own unit; nothing for a fraction.
    half: f64,
    kind: Kind,
    unit: &'static Unit,
    text: String,
}

impl Written {
    fn check_against(&self, second: &Self) -> Result<(), QuantityError> {
        if self.kind != second.kind {
            return Err(QuantityError::WrongKind {
                text: second.text.clone(),
                found: second.kind,
                wanted: self.kind,
            });
        }
        let (a, b) = (self.unit.to_si(self.value), second.unit.to_si(second.value));
        if agree(a, self.half * self.unit.scale, b, second.half * second.unit.scale) {
            return Ok(());
        }
        // As many figures as it takes to see the difference.
        let converted = second.unit.from_si(a);
        let told_apart = |figures: &usize| {
            show::significant(converted, *figures) != show::significant(second.value, *figures)
        };
        let figures = (4..=12).find(told_apart).unwrap_or(12);
        Err(QuantityError::Disagree {
            first: self.text.clone(),
            converted: show::join(&show::significant(converted, figures), second.unit.symbol),
            second: second.text.clone(),
        })
    }
}

/// One figure as written.
struct Figure {
    value: f64,
    half: f64,
    /// Set when a comma has two readings: decimal, thousands.
    two_readings: Option<(f64, f64)>,
    /// A bare whole number, which may be feet before inches.
    whole: bool,
    /// Above and below the stroke, where the figure is nothing but a fraction.
    stroke: Option<(f64, f64)>,
}

/// Figures that one character writes: above and below the line.
fn vulgar(c: char) -> Option<(f64, f64)> {
    Some(match c {
        '½' => (1.0, 2.0),
        '⅓' => (1.0, 3.0),
        '⅔' => (2.0, 3.0),
        '¼' => (1.0, 4.0),
        '¾' => (3.0, 4.0),
        '⅕' => (1.0, 5.0),
        '⅖' => (2.0, 5.0),
        '⅗' => (3.0, 5.0),
        '⅘' => (4.0, 5.0),
        '⅙' => (1.0, 6.0),
        '⅚' => (5.0, 6.0),
        '⅐' => (1.0, 7.0),
        '⅛' => (1.0, 8.0),
        '⅜' => (3.0, 8.0),
        '⅝' => (5.0, 8.0),
        '⅞' => (7.0, 8.0),
        '⅑' => (1.0, 9.0),
        '⅒' => (1.0, 10.0),
        _ => return None,
    })
}

/// Whether a stroke makes a fraction and cannot part two values: what an inch rule shows, thousandths of an inch, or a
/// plain half, third, quarter, fifth, eighth or tenth of anything. `6/8 mm` may be two legs and `18/20 ipm` two speeds.
fn shop_fraction((over, under): (f64, f64), unit: &Unit) -> bool {
    const INCH_RULE: [f64; 10] = [2.0, 4.0, 8.0, 16.0, 32.0, 64.0, 128.0, 10.0, 100.0, 1000.0];
    let in_inches = matches!(unit.symbol, "in" | "ft") && INCH_RULE.contains(&under);
    let divides_both = |d: &f64| over % d == 0.0 && under % d == 0.0;
    let plain = [2.0, 3.0, 4.0, 5.0, 8.0, 10.0].contains(&under)
        && over < under
        && ![2.0, 3.0, 5.0].iter().any(divides_both);
    in_inches || plain
}

/// One spelling for each mark: spaces of all widths, minus signs, strokes, primes, the two micro signs.
fn plain_chars(text: &str) -> Vec<char> {
    let mut out: Vec<char> = Vec::with_capacity(text.len());
    for c in text.trim().chars() {
        let c = match c {
            '\u{200b}' | '\u{200c}' | '\u{200d}' | '\u{2060}' | '\u{feff}' | '\u{ad}' => continue,
            c if c.is_whitespace() => ' ',
            '−' | '–' | '‐' | '‑' | '﹣' | '-' => '-',
            '⁄' | '∕' => '/',
            '″' | '”' | '“' | '‟' | '〃' => '"',
            '′' | '’' | '‘' | 'ʹ' => '\'',
            'µ' | 'μ' => 'u',
            'º' | '˚' => '°',
            '\u{212a}' => 'K',
            '℃' | '℉' => {
                out.push('°');
                if c == '℃' { 'C' } else { 'F' }
            }
            c => c,
        };
        if c == '\'' && out.last() == Some(&'\'') {
            // Two single primes are a double one.
            out.pop();
            out.push('"');
        } else {
            out.push(c);
        }
    }
    out
}

struct Reader {
    chars: Vec<char>,
    at: usize,
    wanted: Option<Kind>,
}

impl Reader {
    fn peek(&self) -> Option<char> {
        self.ahead(0)
    }

    fn ahead(&self, by: usize) -> Option<char> {
        self.chars.get(self.at.checked_add(by)?).copied()
    }

    fn digit(&self, by: usize) -> bool {
        self.ahead(by).is_some_and(|c| c.is_ascii_digit())
    }

    /// Spaces from `by` on.
    fn count_spaces(&self, by: usize) -> usize {
        self.chars.iter().skip(self.at + by).take_while(|c| **c == ' ').count()
    }

    fn count_digits(&self, by: usize) -> usize {
        self.chars.iter().skip(self.at + by).take_while(|c| c.is_ascii_digit()).count()
    }

    fn spaces(&mut self) {
        self.at += self.count_spaces(0);
    }

    /// Whether an unsigned figure begins at `by`.
    fn unsigned_follows(&self, by: usize) -> bool {
        match self.ahead(by) {
            Some('.' | ',') => self.digit(by + 1),
            Some(c) => c.is_ascii_digit() || vulgar(c).is_some(),
            None => false,
        }
    }

    /// Whether a figure begins at `by`, after spaces and a sign.
    fn figure_follows(&self, by: usize) -> bool {
        let by = by + self.count_spaces(by);
        let by = if matches!(self.ahead(by), Some('-' | '+')) {
            by + 1 + self.count_spaces(by + 1)
        } else {
            by
        };
        self.unsigned_follows(by)
    }

    /// What was written between two places, short enough for a message.
    fn slice(&self, from: usize, to: usize) -> String {
        const MOST: usize = 40;
        let text: String = self.chars.iter().take(to).skip(from).collect();
        let text = text.trim();
        let clean = |c: char| if c.is_control() { '?' } else { c };
        if text.chars().count() > MOST {
            text.chars().take(MOST).map(clean).chain(['…']).collect()
        } else {
            text.chars().map(clean).collect()
        }
    }

    fn rest_from(&self, from: usize) -> String {
        self.slice(from, self.chars.len())
    }

    fn leftover(&self, read: &str) -> QuantityError {
        QuantityError::Leftover { read: read.to_owned(), rest: self.rest_from(self.at) }
    }

    /// A figure with its unit, feet with inches taken together.
    fn value(&mut self) -> Result<Written, QuantityError> {
        let from = self.at;
        let (figure, mut written) = self.plain_value()?;
        if written.unit.symbol == "ft" && figure.whole {
            let back = self.at;
            self.spaces();
            if self.peek() == Some('-') {
                self.at += 1;
                self.spaces();
            }
            if self.unsigned_follows(0) {
                let (_, inches) = self.plain_value()?;
                if inches.unit.symbol != "in" || inches.value >= 12.0 {
                    self.at = back;
                    return Err(self.leftover(&written.text));
                }
                // The sign before the feet is the sign of both.
                let sign = if self.chars.get(from) == Some(&'-') { -1.0 } else { 1.0 };
                written.value += sign * inches.value / 12.0;
                written.half = inches.half / 12.0;
            } else {
                self.at = back;
            }
        }
        written.text = self.slice(from, self.at);
        let si = written.unit.to_si(written.value);
        // Nothing may slip to zero or off the scale on its way to SI.
        let lost =
            written.value != 0.0 && (written.value * written.unit.scale).abs() < f64::MIN_POSITIVE;
        if !si.is_finite() || lost {
            return Err(QuantityError::Size { text: written.text });
        }
        if let Some(wanted) = self.wanted.filter(|wanted| *wanted != written.kind) {
            return Err(QuantityError::WrongKind {
                text: written.text,
                found: written.kind,
                wanted,
            });
        }
        Ok(written)
    }

    fn plain_value(&mut self) -> Result<(Figure, Written), QuantityError> {
        let from = self.at;
        let figure = self.figure()?;
        let figure_text = self.slice(from, self.at);
        self.spaces();
        self.refuse_more_than_one(from)?;
        // "1/4-in plate", "6-mm": a hyphen that only ties the unit on.
        if self.peek() == Some('-') && self.ahead(1).is_some_and(char::is_alphabetic) {
            self.at += 1;
        }
        let unit_from = self.at;
        self.pass_unit();
        let unit_text = self.slice(unit_from, self.at);
        if let Some((decimal, thousands)) = figure.two_readings {
            let label = |value: f64| {
                format!("{} {unit_text}", show::significant(value, 17)).trim_end().to_owned()
            };
            return Err(QuantityError::Thousands {
                text: self.slice(from, self.at),
                decimal: label(decimal),
                thousands: label(thousands),
                has_unit: !unit_text.is_empty(),
                wanted: self.wanted,
            });
        }
        if unit_text.is_empty() {
            return Err(QuantityError::NoUnit { figure: figure_text, wanted: self.wanted });
        }
        match units::find(&unit_text) {
            Ok((kind, unit)) => {
                let text = self.slice(from, self.at);
                if let Some((over, under)) =
                    figure.stroke.filter(|stroke| !shop_fraction(*stroke, unit))
                {
                    let label =
                        |figure: f64| show::join(&show::significant(figure, 12), unit.symbol);
                    return Err(QuantityError::FractionOrTwo {
                        text,
                        fraction: label(figure.value),
                        over: label(over),
                        under: label(under),
                    });
                }
                let written = Written { value: figure.value, half: figure.half, kind, unit, text };
                Ok((figure, written))
            }
            Err(NotFound::Case { meant }) => {
                Err(QuantityError::Capitals { unit: unit_text, figure: figure_text, meant })
            }
            Err(NotFound::Two { one, other }) => {
                Err(QuantityError::TwoUnits { unit: unit_text, figure: figure_text, one, other })
            }
            Err(NotFound::Unknown) => {
                // "6 mm thick": the unit is right, and then there is a word.
                let first = unit_text.split(' ').next().unwrap_or_default();
                let rest = unit_text[first.len()..].trim_start();
                let goes_on = rest.starts_with('/') || rest.to_ascii_lowercase().starts_with("per");
                if !rest.is_empty() && !goes_on && units::find(first).is_ok() {
                    let rest = self.rest_from(unit_from + first.chars().count());
                    return Err(QuantityError::Leftover {
                        read: format!("{figure_text} {first}"),
                        rest,
                    });
                }
                let nearest = units::nearest(&unit_text, self.wanted);
                Err(QuantityError::UnknownUnit {
                    unit: unit_text,
                    figure: figure_text,
                    nearest,
                    wanted: self.wanted,
                })
            }
        }
    }

    fn refuse_more_than_one(&self, from: usize) -> Result<(), QuantityError> {
        let text = || self.rest_from(from);
        let rest = &self.chars[self.at.min(self.chars.len())..];
        let begins = |mark: &str| mark.chars().enumerate().all(|(i, c)| rest.get(i) == Some(&c));
        if begins("±") || begins("+/-") || begins("+-") {
            return Err(QuantityError::Tolerance { text: text() });
        }
        if begins("/") && self.figure_follows(1) {
            return Err(QuantityError::BadNumber { figure: text() });
        }
        if ["x", "X", "×", "*"].into_iter().any(begins) && self.figure_follows(1) {
            return Err(QuantityError::Several { text: text() });
        }
        let mark = ["...", "..", "…", "to ", "-"].into_iter().find(|mark| begins(mark));
        match mark {
            Some(mark) if self.figure_follows(mark.chars().count()) => {
                Err(QuantityError::Range { text: text() })
            }
            _ => Ok(()),
        }
    }

    /// Steps over a unit: up to a bracket, an equals sign, or the next figure.
    fn pass_unit(&mut self) {
        let from = self.at;
        while let Some(c) = self.peek() {
            let stop = match c {
                '(' | ')' | '[' | ']' | '=' | '≈' | '~' | '±' | ',' | ';' => true,
                ' ' => self.figure_follows(0),
                '/' => self.at > from && self.figure_follows(1),
                _ => false,
            };
            if stop {
                break;
            }
            self.at += 1;
            // A prime ends the unit before a figure: 5'6", 5'-6".
            if matches!(c, '\'' | '"') && self.figure_follows(0) {
                break;
            }
        }
    }

    /// A figure with its sign.
    fn figure(&mut self) -> Result<Figure, QuantityError> {
        let from = self.at;
        let negative = match self.peek() {
            Some(c @ ('-' | '+')) => {
                self.at += 1;
                self.spaces();
                c == '-'
            }
            _ => false,
        };
        if !self.unsigned_follows(0) {
            return Err(QuantityError::NoNumber {
                text: self.rest_from(from),
                wanted: self.wanted,
            });
        }
        let mut figure = self.unsigned(from)?;
        if negative {
            figure.value = -figure.value;
            figure.two_readings = figure.two_readings.map(|(one, other)| (-one, -other));
        }
        if figure.value.is_finite() {
            Ok(figure)
        } else {
            Err(QuantityError::Size { text: self.rest_from(from) })
        }
    }

    fn unsigned(&mut self, from: usize) -> Result<Figure, QuantityError> {
        let exact = |value: f64| Figure {
            value,
            half: 0.0,
            two_readings: None,
            whole: false,
            stroke: None,
        };
        let start = self.at;
        if let Some(part) = self.fraction()? {
            let text: String =
                self.chars.iter().take(self.at).skip(start).filter(|c| **c != ' ').collect();
            let stroke = text
                .split_once('/')
                .and_then(|(over, under)| Some((over.parse().ok()?, under.parse().ok()?)));
            return Ok(Figure { stroke, ..exact(part) });
        }
        let digits = self.count_digits(0);
        let plain_whole = digits > 0 && !matches!(self.ahead(digits), Some('.' | ',' | 'e' | 'E'));
        if plain_whole {
            self.at += digits;
            let whole = self.slice_number(start)?;
            if let Some(part) = self.fraction_after_whole(from)? {
                if part >= 1.0 {
                    let figure = self.slice(from, self.at);
                    let fraction = figure.rsplit([' ', '-']).next().unwrap_or_default().to_owned();
                    return Err(QuantityError::TopHeavy { figure, fraction });
                }
                return Ok(exact(whole + part));
            }
            self.at = start;
        }
        self.decimal(from)
    }

    /// Digits from `start` to here as a number.
    fn slice_number(&self, start: usize) -> Result<f64, QuantityError> {
        let text: String = self.chars.iter().take(self.at).skip(start).collect();
        text.parse().map_err(|_| QuantityError::BadNumber { figure: self.slice(start, self.at) })
    }

    /// `5/16`, `5 / 16` or one character; steps over it if it is there.
    fn fraction(&mut self) -> Result<Option<f64>, QuantityError> {
        let start = self.at;
        if let Some((over, under)) = self.peek().and_then(vulgar) {
            self.at += 1;
            return Ok(Some(over / under));
        }
        let digits = self.count_digits(0);
        let gap = self.count_spaces(digits);
        if digits == 0 || self.ahead(digits + gap) != Some('/') {
            return Ok(None);
        }
        let under_at = digits + gap + 1 + self.count_spaces(digits + gap + 1);
        let under_digits = self.count_digits(under_at);
        if under_digits == 0 {
            return Ok(None);
        }
        let number = |from: usize, count: usize| -> f64 {
            let text: String = self.chars.iter().skip(start + from).take(count).collect();
            text.parse().unwrap_or(f64::NAN)
        };
        let (over, under) = (number(0, digits), number(under_at, under_digits));
        self.at += under_at + under_digits;
        let fraction = self.slice(start, self.at);
        let goes_on = match self.peek() {
            Some('.' | ',') => self.digit(1),
            Some('/') => self.figure_follows(1),
            _ => false,
        };
        if goes_on {
            return Err(QuantityError::BadNumber { figure: self.rest_from(start) });
        }
        if under == 0.0 {
            return Err(QuantityError::ZeroDenominator { fraction });
        }
        let value = over / under;
        // Hundreds of digits over hundreds of digits.
        if !value.is_finite() || !under.is_finite() || (value == 0.0 && over != 0.0) {
            return Err(QuantityError::Size { text: fraction });
        }
        Ok(Some(value))
    }

    /// What follows a whole number: ` 1/2`, `-1/2`, `½`. Steps over it if it is there.
    fn fraction_after_whole(&mut self, from: usize) -> Result<Option<f64>, QuantityError> {
        let back = self.at;
        let before = self.count_spaces(0);
        let hyphen = self.ahead(before) == Some('-');
        let after = if hyphen { self.count_spaces(before + 1) } else { 0 };
        self.at += before + usize::from(hyphen) + after;
        let part_at = self.at;
        let part = self.fraction()?;
        let Some(part) = part else {
            self.at = back;
            return Ok(None);
        };
        if hyphen && before + after > 0 {
            let whole = self.slice(from, back);
            let fraction = self.slice(part_at, self.at);
            let less = whole.parse::<f64>().unwrap_or(f64::NAN) - part;
            let text_end = self.at;
            self.spaces();
            let unit_from = self.at;
            self.pass_unit();
            let unit = self.slice(unit_from, self.at);
            let with_unit = |figure: String| format!("{figure} {unit}").trim_end().to_owned();
            return Err(QuantityError::LooseHyphen {
                text: with_unit(self.slice(from, text_end)),
                joined: with_unit(format!("{whole}-{fraction}")),
                less: with_unit(show::significant(less, 12)),
            });
        }
        Ok(Some(part))
    }

    /// Digits with decimal and thousands marks and an exponent.
    fn decimal(&mut self, from: usize) -> Result<Figure, QuantityError> {
        let start = self.at;
        let spaced = self.pass_spaced_groups();
        while let Some(c) = self.peek() {
            let closing_point = c == '.' && self.at > start && !matches!(self.ahead(1), Some('.'));
            if c.is_ascii_digit() || (matches!(c, '.' | ',') && self.digit(1)) || closing_point {
                self.at += 1;
            } else {
                break;
            }
        }
        let marks: String =
            self.chars.iter().take(self.at).skip(start).filter(|c| **c != ' ').collect();
        let exponent = self.exponent();
        let bad = || QuantityError::BadNumber { figure: self.slice(from, self.at) };
        let reading = read_marks(&marks, spaced).ok_or_else(bad)?;
        let value_of = |digits: &str| -> Result<f64, QuantityError> {
            let value: f64 = format!("{digits}{exponent}").parse().map_err(|_| bad())?;
            // Digits that vanish or overflow are not the number that was written.
            let lost = value == 0.0 && digits.contains(|c: char| matches!(c, '1'..='9'));
            if lost || !value.is_finite() {
                return Err(QuantityError::Size { text: self.rest_from(from) });
            }
            Ok(value)
        };
        let value = value_of(&reading.digits)?;
        let two_readings = match &reading.other {
            Some(other) => Some((value, value_of(other)?)),
            None => None,
        };
        let decimals = reading.digits.split_once('.').map_or(0, |(_, part)| part.len());
        let power: i32 = exponent.get(1..).and_then(|digits| digits.parse().ok()).unwrap_or(0);
        let half =
            0.5 * 10_f64.powi(power.saturating_sub(i32::try_from(decimals).unwrap_or(i32::MAX)));
        Ok(Figure {
            value,
            half,
            two_readings,
            whole: decimals == 0 && exponent.is_empty(),
            stroke: None,
        })
    }

    /// `1 200 000`: groups of three after a space. Steps over all but the last digits if it is so.
    fn pass_spaced_groups(&mut self) -> bool {
        let first = self.count_digits(0);
        if !(1..=3).contains(&first) || self.peek() == Some('0') {
            return false;
        }
        let mut end = first;
        while self.ahead(end) == Some(' ') && self.count_digits(end + 1) == 3 {
            end += 4;
        }
        if end == first {
            return false;
        }
        self.at += end;
        true
    }

    /// `e-3`; empty when there is none.
    fn exponent(&mut self) -> String {
        if !matches!(self.peek(), Some('e' | 'E')) {
            return String::new();
        }
        let sign = usize::from(matches!(self.ahead(1), Some('-' | '+')));
        let digits = self.count_digits(1 + sign);
        if digits == 0 {
            return String::new();
        }
        let end = self.at + 1 + sign + digits;
        let text = self.chars.iter().take(end).skip(self.at).collect();
        self.at = end;
        text
    }
}

/// A figure's digits with a decimal point, and the other reading where there are two.
struct Marks {
    digits: String,
    other: Option<String>,
}

/// Tells decimal marks from thousands marks. `spaced`: spaces already mark the thousands. `None` when it is no number.
fn read_marks(text: &str, spaced: bool) -> Option<Marks> {
    let one = |digits: String| Some(Marks { digits, other: None });
    let (points, commas) = (text.matches('.').count(), text.matches(',').count());
    let grouped = |part: &str, mark: char| {
        let mut groups = part.split(mark);
        let first = groups.next().unwrap_or_default();
        (1..=3).contains(&first.len())
            && !first.starts_with('0')
            && groups.all(|group| group.len() == 3)
    };
    let without = |part: &str, mark: char| part.chars().filter(|c| *c != mark).collect::<String>();
    match (points, commas) {
        (0 | 1, 0) => one(text.to_owned()),
        (0, 1) => {
            let digits = text.replace(',', ".");
            let other = (!spaced && grouped(text, ',')).then(|| without(text, ','));
            Some(Marks { digits, other })
        }
        (_, 0) if !spaced && grouped(text, '.') => one(without(text, '.')),
        (0, _) if !spaced && grouped(text, ',') => one(without(text, ',')),
        (1, _) | (_, 1) if !spaced && points > 0 && commas > 0 => {
            // The last mark is the decimal one; all before it must group.
            let last = text.rfind(['.', ','])?;
            let (whole, rest) = text.split_at(last);
            let (decimal, thousands) = if rest.starts_with('.') { ('.', ',') } else { (',', '.') };
            if whole.contains(decimal) || !grouped(whole, thousands) {
                return None;
            }
            one(format!("{}.{}", without(whole, thousands), &rest[1..]))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::{
        Angle, Duration, Force, Frequency, GasFlow, Irradiance, Length, LineEnergy, LineLoad,
        Power, Share, Speed, Stress, Temperature,
    };
    use super::*;

    fn near(found: f64, meant: f64) -> bool {
        (found - meant).abs() <= 1e-12 * meant.abs().max(1.0)
    }

    /// Fact and advice of a refusal, as a person sees them.
    fn refusal<Q: Quantity + std::fmt::Debug>(text: &str) -> (String, String) {
        let error = parse::<Q>(text).expect_err(text);
        (error.to_string(), error.advice().into_owned())
    }

    fn refuses<Q: Quantity + std::fmt::Debug>(text: &str, fact: &str, advice: &str) {
        assert_eq!(refusal::<Q>(text), (fact.to_owned(), advice.to_owned()), "{text}");
    }

    #[test]
    fn lengths_as_the_shop_writes_them() {
        for (text, mm) in [
            ("6 mm", 6.0),
            ("6mm", 6.0),
            ("6-mm", 6.0),
            ("6. mm", 6.0),
            ("  6\u{a0}mm ", 6.0),
            ("6\u{202f}MM", 6.0),
            ("+6 mm", 6.0),
            ("-6 mm", -6.0),
            ("−6 mm", -6.0),
            ("5/16 in", 7.9375),
            ("5 / 16 in", 7.9375),
            ("5⁄16 in.", 7.9375),
            ("3/16\"", 4.7625),
            ("3/16”", 4.7625),
            ("3/16''", 4.7625),
            ("3/16″", 4.7625),
            ("1/4-in.", 6.35),
            ("1-1/2 in", 38.1),
            ("1 1/2 in", 38.1),
            ("1–1/2 in", 38.1),
            ("1½ in", 38.1),
            ("1 ½\"", 38.1),
            ("1-½ in", 38.1),
            ("½ in", 12.7),
            ("-1/2 in", -12.7),
            ("-1-1/2 in", -38.1),
            (".035 in", 0.889),
            (".035\"", 0.889),
            (",035 in", 0.889),
            ("17/16 in", 26.9875),
            ("35/1000 in", 0.889),
            ("1/2 mm", 0.5),
            ("60 thou", 1.524),
            ("60 mil", 1.524),
            ("60 mils", 1.524),
            ("120 um", 0.12),
            ("120 µm", 0.12),
            ("120 μm", 0.12),
            ("1070 nm", 1.07e-3),
            ("0,5 mm", 0.5),
            ("1,2 mm", 1.2),
            ("1,2345 mm", 1.2345),
            ("0,125 in", 3.175),
            ("1.200 mm", 1.2),
            ("1234,567 mm", 1234.567),
            ("1,200.5 mm", 1200.5),
            ("1.200,5 mm", 1200.5),
            ("1,200,000 mm", 1.2e6),
            ("1.200.000 mm", 1.2e6),
            ("1 200 mm", 1200.0),
            ("1\u{2009}200,5 mm", 1200.5),
            ("1e-3 m", 1.0),
            ("1E-3m", 1.0),
            ("2.5e+1 mm", 25.0),
            ("5'", 1524.0),
            ("5' 6\"", 1676.4),
            ("5'-6\"", 1676.4),
            ("5'6-1/2\"", 1689.1),
            ("5 ft 6 in", 1676.4),
            ("-5' 6\"", -1676.4),
            ("0 mm", 0.0),
        ] {
            let found = parse::<Length>(text).unwrap_or_else(|e| panic!("{text}: {e}")).mm();
            assert!(near(found, mm), "{text} read as {found} mm, meant {mm}");
        }
    }

    #[test]
    fn everything_else_as_the_shop_writes_it() {
        let speed = |text: &str| text.parse::<Speed>().unwrap().mm_per_s();
        for text in [
            "18 ipm",
            "18 in/min",
            "18\"/min",
            "18 inches per minute",
            "18 IPM",
            "45,72 cm/min",
            "7.62 mm/s",
        ] {
            assert!(near(speed(text), 7.62), "{text}");
        }
        assert!(near(speed("0.5 m/min"), 500.0 / 60.0));
        assert!(near("1.8 kW".parse::<Power>().unwrap().w(), 1800.0));
        assert!(near("1.8 KW".parse::<Power>().unwrap().w(), 1800.0));
        assert!(near("5 mW".parse::<Power>().unwrap().w(), 0.005));
        assert!(near("15 l/min".parse::<GasFlow>().unwrap().l_per_min(), 15.0));
        assert!(near("35 cfh".parse::<GasFlow>().unwrap().ft3_per_h(), 35.0));
        assert!(near("35 ft3/h".parse::<GasFlow>().unwrap().ft3_per_h(), 35.0));
        for text in ["480 MPa", "480 N/mm2", "480 N/mm²", "480 n/mm^2", "0.48 GPa"] {
            assert!(near(text.parse::<Stress>().unwrap().mpa(), 480.0), "{text}");
        }
        assert!(near("70 ksi".parse::<Stress>().unwrap().ksi(), 70.0));
        assert!(near("0.6 kN/mm".parse::<LineLoad>().unwrap().n_per_mm(), 600.0));
        assert!(near("3.4 kip/in".parse::<LineLoad>().unwrap().kip_per_in(), 3.4));
        assert!(near("12 kips".parse::<Force>().unwrap().kip(), 12.0));
        assert!(near("0,15 kJ/mm".parse::<LineEnergy>().unwrap().j_per_mm(), 150.0));
        assert!(near("15 kJ/in".parse::<LineEnergy>().unwrap().kj_per_in(), 15.0));
        for text in [
            "150 °C",
            "150 C",
            "150 ℃",
            "150 deg C",
            "150ºC",
            "302 °F",
            "302 F",
            "423.15 K",
            "423.15 \u{212a}",
        ] {
            assert!((text.parse::<Temperature>().unwrap().deg_c() - 150.0).abs() < 1e-9, "{text}");
        }
        assert!(near("45°".parse::<Angle>().unwrap().deg(), 45.0));
        assert!(near("45 deg".parse::<Angle>().unwrap().deg(), 45.0));
        assert!(near("120 Hz".parse::<Frequency>().unwrap().hz(), 120.0));
        assert!(near("2 min".parse::<Duration>().unwrap().s(), 120.0));
        assert!(near("250 ms".parse::<Duration>().unwrap().s(), 0.25));
        assert!(near("100 ns".parse::<Duration>().unwrap().s() * 1e7, 1.0));
        assert!(near("5 µs".parse::<Duration>().unwrap().s() * 1e5, 0.5));
        // NIST SP 811: a horsepower of 550 ft lbf/s is 745.6999 W.
        assert!(("1 hp".parse::<Power>().unwrap().w() - 745.6999).abs() < 5e-5);
        assert!(near("12 %".parse::<Share>().unwrap().fraction(), 0.12));
        assert!(near("12 per cent".parse::<Share>().unwrap().fraction(), 0.12));
        assert!(near("1 MW/cm2".parse::<Irradiance>().unwrap().w_per_cm2(), 1e6));
        assert!(near("1 mW/cm2".parse::<Irradiance>().unwrap().w_per_cm2(), 1e-3));
    }

    #[test]
    fn a_comma_with_two_readings_is_refused() {
        refuses::<Length>(
            "1,200 mm",
            "1,200 mm could be 1.2 mm or 1200 mm",
            "write 1.2 mm or 1200 mm",
        );
        refuses::<Length>(
            "-1,250 in",
            "-1,250 in could be -1.25 in or -1250 in",
            "write -1.25 in or -1250 in",
        );
        refuses::<Length>(
            "12,345",
            "12,345 could be 12.345 or 12345",
            "write 12.345 or 12345, with a unit: mm, in, µm, thou, m or ft",
        );
    }

    #[test]
    fn a_bare_number_is_refused_with_the_units_that_would_do() {
        refuses::<Speed>(
            "18",
            "\"18\" has no unit",
            "write the unit after it: mm/s, cm/min, m/min or in/min",
        );
        refuses::<Length>(
            "5/16",
            "\"5/16\" has no unit",
            "write the unit after it: mm, in, µm, thou, m or ft",
        );
        refuses::<Length>(
            "6 mm (0.236)",
            "\"0.236\" has no unit",
            "write the unit after it: mm, in, µm, thou, m or ft",
        );
    }

    #[test]
    fn written_twice_must_agree() {
        refuses::<Speed>(
            "35 cm/min (18 ipm)",
            "35 cm/min is 13.78 in/min, not 18 ipm",
            "correct the one that is wrong, or write only one of them",
        );
        for text in [
            "6 mm (0.236 in)",
            "6 mm [0.236 in]",
            "6 mm = 0.236 in",
            "6 mm (= 0.236 in)",
            "6 mm / 0.236 in",
            "6 mm/0.236 in",
            "6 mm (≈ 1/4 in)",
            "6 mm (15/64 in) [236 thou]",
        ] {
            assert_eq!(parse::<Length>(text), Ok(Length::from_mm(6.0)), "{text}");
        }
        assert_eq!(parse::<Length>("3/16\" (5 mm)"), Ok(Length::from_in(0.1875)));
        assert!(parse::<Speed>("300 ipm (7.6 m/min)").is_ok());
        assert!(parse::<Temperature>("150 °C (302 °F)").is_ok());
        // The first sentence's rule: 60 ipm is 1.524 m/min, which is 2 to the nearest whole number and yet is not 2.
        refuses::<Speed>(
            "2 m/min (60 ipm)",
            "2 m/min is 78.74 in/min, not 60 ipm",
            "correct the one that is wrong, or write only one of them",
        );
        refuses::<Length>(
            "6.0 mm (1/4 in)",
            "6.0 mm is 0.2362 in, not 1/4 in",
            "correct the one that is wrong, or write only one of them",
        );
        assert!(matches!(parse::<Length>("6 mm (5 mm/s)"), Err(QuantityError::WrongKind { .. })));
        assert!(matches!(parse_any("6 mm (5 mm/s)"), Err(QuantityError::WrongKind { .. })));
    }

    #[test]
    fn another_quantity_is_named() {
        refuses::<Speed>(
            "6 mm",
            "\"6 mm\" is a length, and a speed is needed",
            "write it in mm/s, cm/min, m/min or in/min",
        );
        refuses::<Temperature>(
            "20°",
            "\"20°\" is an angle, and a temperature is needed",
            "write it in °C, °F or K",
        );
        refuses::<LineEnergy>(
            "1.2 kN/mm",
            "\"1.2 kN/mm\" is a load per length, and an energy per length is needed",
            "write it in kJ/mm, J/mm, kJ/cm or kJ/in",
        );
    }

    #[test]
    fn an_unknown_unit_names_the_nearest() {
        refuses::<Speed>(
            "18 ipn",
            "\"ipn\" is not a unit that is known here",
            "if 18 ipm was meant, write that; a speed is written in mm/s, cm/min, m/min or in/min",
        );
        refuses::<Force>(
            "500 lb",
            "\"lb\" is not a unit that is known here",
            "if 500 lbf was meant, write that; a force is written in kN, N, kip or lbf",
        );
        refuses::<Stress>(
            "480 mPa",
            "\"mPa\" is not taken for MPa, because a small m means thousandths",
            "write 480 MPa if that was meant",
        );
        refuses::<Irradiance>(
            "2 mw/cm2",
            "\"mw/cm2\" could be mW/cm² or MW/cm²",
            "write 2 mW/cm² (thousandths) or 2 MW/cm² (millions)",
        );
        assert!(matches!(parse::<Power>("1.8 MW"), Err(QuantityError::UnknownUnit { .. })));
        assert!(matches!(parse_any("3 furlongs"), Err(QuantityError::UnknownUnit { .. })));
    }

    #[test]
    fn what_is_no_single_value_is_refused() {
        refuses::<Speed>("18-20 ipm", "\"18-20 ipm\" reads as a range", "write one value");
        for text in ["1/4-3/8 in", "5..6 mm", "5 to 6 mm", "5 – 6 mm", "1.5-2 mm"] {
            assert!(matches!(parse::<Length>(text), Err(QuantityError::Range { .. })), "{text}");
        }
        refuses::<Length>(
            "6 ±0.5 mm",
            "\"6 ±0.5 mm\" carries a tolerance",
            "write the value alone; its uncertainty is entered on its own",
        );
        refuses::<Length>(
            "1 -1/2 in",
            "1 -1/2 in could be 1-1/2 in or 0.5 in",
            "write 1-1/2 in or 0.5 in",
        );
        refuses::<Length>(
            "1 - 1/2 in",
            "1 - 1/2 in could be 1-1/2 in or 0.5 in",
            "write 1-1/2 in or 0.5 in",
        );
        refuses::<Length>("5/0 in", "5/0 divides by nothing", "correct the figure below the line");
        refuses::<Length>(
            "1-5/4 in",
            "the fraction in 1-5/4 is 5/4, which is not less than one",
            "correct the fraction, or write the figure as a decimal",
        );
        for text in ["5/4 mm", "6/9 in", "4/6 m"] {
            assert!(
                matches!(parse::<Length>(text), Err(QuantityError::FractionOrTwo { .. })),
                "{text}"
            );
        }
        refuses::<Length>(
            "6/8 mm",
            "6/8 mm could be 0.75 mm or two values, 6 mm and 8 mm",
            "write 0.75 mm, or one of 6 mm and 8 mm",
        );
        refuses::<Speed>(
            "18 / 20 ipm",
            "18 / 20 ipm could be 0.9 in/min or two values, 18 in/min and 20 in/min",
            "write 0.9 in/min, or one of 18 in/min and 20 in/min",
        );
        refuses::<Length>("6 x 9 mm", "\"6 x 9 mm\" holds more than one value", "write one value");
        refuses::<Length>(
            "6 mm thick",
            "after 6 mm there is \"thick\", which cannot be read",
            "write 6 mm alone, or the second figure in brackets",
        );
        refuses::<Length>(
            "6 mm (nominal)",
            "after 6 mm there is \"(nominal)\", which cannot be read",
            "write 6 mm alone, or the second figure in brackets",
        );
        for text in [
            "6 mm 7 mm",
            "6 mm (0.236 in",
            "5' 13\"",
            "5' 6 mm",
            "5.5' 6\"",
            "6 mm)",
            "6 mm nominal 8",
            "6 mm;",
            "6 mm, 8 mm",
        ] {
            assert!(matches!(parse::<Length>(text), Err(QuantityError::Leftover { .. })), "{text}");
        }
    }

    #[test]
    fn what_is_no_number_is_refused() {
        refuses::<Length>(
            "  ",
            "there is no value, and a length is needed",
            "write a number and a unit: mm, in, µm, thou, m or ft",
        );
        refuses::<Length>(
            "NaN mm",
            "\"NaN mm\" does not begin with a number",
            "write a number and a unit: mm, in, µm, thou, m or ft",
        );
        for text in ["inf mm", "-", "mm", "--6 mm", "\"", "(6 mm)", "~6 mm"] {
            assert!(matches!(parse::<Length>(text), Err(QuantityError::NoNumber { .. })), "{text}");
        }
        for text in [
            "1.2.3 mm",
            "1,2.5 mm",
            "1,20,000 mm",
            "1/2/3 in",
            "1/2.5 in",
            "1.5/16 in",
            "1.200,500.2 mm",
        ] {
            assert!(
                matches!(parse::<Length>(text), Err(QuantityError::BadNumber { .. })),
                "{text}"
            );
        }
        let long = "9".repeat(200);
        for text in ["1e999 mm", "1e-999 mm", "1e-320 mm"] {
            assert!(matches!(parse::<Length>(text), Err(QuantityError::Size { .. })), "{text}");
        }
        assert!(matches!(parse::<LineEnergy>("1e305 kJ/mm"), Err(QuantityError::Size { .. })));
        assert!(near(parse::<Length>(&format!("{long} mm")).unwrap().mm() / 1e200, 1.0));
        assert!(matches!(
            parse::<Length>(&format!("{long}{long} mm")),
            Err(QuantityError::TooLong { .. })
        ));
        assert!(matches!(
            parse::<Length>(&format!("1/{}", "9".repeat(390))),
            Err(QuantityError::Size { .. })
        ));
    }

    #[test]
    fn any_quantity_is_found_by_its_unit() {
        assert_eq!(parse_any("18 ipm"), Ok(AnyQuantity::Speed(Speed::from_in_per_min(18.0))));
        assert_eq!(parse_any("60 mil"), Ok(AnyQuantity::Length(Length::from_thou(60.0))));
        assert_eq!(
            parse_any("18").map_err(|e| e.advice().into_owned()),
            Err("write the unit after it: mm, in, mm/s, in/min, kW or MPa, for example".to_owned())
        );
    }

    /// Pieces of valid entries and of trouble, to be put together at random.
    fn piece() -> impl Strategy<Value = String> {
        const WORDS: &str = "6|1|/|-| |1,200|.035|5/16|1-1/2|½|(|)|[|]|=|in|mm|\"|'|ipm|kW|per|e9|E-400|e|−|\u{a0}|µ|²|0|,|.|..|±|≈|to|\
            NaN|inf|99999999999999999999999999|ft|mPa|°C|sq|%|\u{0}|\u{301}|İ|ß|𝟞|٣";
        let words: Vec<&str> = WORDS.split('|').collect();
        prop_oneof![4 => prop::sample::select(words).prop_map(str::to_owned), 1 => any::<char>().prop_map(String::from)]
    }

    /// Reads the text as kinds with long, odd and few units, and as any; only a panic fails.
    fn read_all_ways(text: &str) {
        for kind in [Some(Kind::Length), Some(Kind::Temperature), Some(Kind::Share), None] {
            if let Err(error) = read(text, kind) {
                let _ = (error.to_string(), error.advice());
            }
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(10_000))]

        #[test]
        fn no_text_stops_the_reader(text in any::<String>()) {
            read_all_ways(&text);
        }

        #[test]
        fn no_mixture_stops_the_reader(pieces in prop::collection::vec(piece(), 0..12)) {
            read_all_ways(&pieces.concat());
        }

        /// One character of a good entry changed, dropped or doubled.
        #[test]
        fn no_slip_of_the_finger_stops_the_reader(
            text in prop::sample::select(&[
                "6 mm (0.236 in)", "1-1/2 in", "5' 6-1/2\"", "35 cm/min = 13.78 ipm", "1.200,5 mm", "1 200 000 N/mm²",
                "2.5e-3 MW/cm2", "−1½ in", "150 °C [302 °F]", "12 per cent", "18 inches per minute", "35 cu ft/hr",
            ][..]),
            at in any::<prop::sample::Index>(), with in any::<char>(), how in 0..3_u8,
        ) {
            let mut chars: Vec<char> = text.chars().collect();
            let at = at.index(chars.len());
            match how {
                0 => chars[at] = with,
                1 => { chars.remove(at); }
                _ => chars.insert(at, with),
            }
            read_all_ways(&chars.into_iter().collect::<String>());
        }

        /// A plain decimal reads the same with point or comma, except where the comma is refused for its two readings.
        #[test]
        fn point_and_comma_read_the_same(thousandths in 1..10_000_000_u32, decimals in 0..5_usize) {
            let point = format!("{:.decimals$} mm", f64::from(thousandths) / 1e3);
            let meant = parse::<Length>(&point).unwrap();
            match parse::<Length>(&point.replace('.', ",")) {
                Ok(read) => prop_assert_eq!(read, meant),
                Err(QuantityError::Thousands { .. }) => prop_assert_eq!(decimals, 3),
                Err(error) => prop_assert!(false, "{point}: {error}"),
            }
        }

        /// Any number with any printed unit is read as the constructor would build it.
        #[test]
        fn every_unit_is_read(value in -1e6..1e6_f64) {
            for kind in Kind::ALL {
                for unit in kind.units() {
                    let text = show::join(&value.to_string(), unit.symbol);
                    prop_assert_eq!(read(&text, Some(*kind)), Ok((*kind, value, unit)), "{}", text);
                }
            }
        }

        /// A fraction of an inch is the decimal it stands for.
        #[test]
        fn fractions_are_their_decimals(whole in 0..40_u32, over in 1..64_u32) {
            let meant = Length::from_in(f64::from(whole) + f64::from(over) / 64.0);
            for text in [format!("{whole}-{over}/64 in"), format!("{whole} {over}/64\""), format!("-{whole}-{over}/64 in")] {
                let read = parse::<Length>(&text).unwrap();
                prop_assert!((read.abs().mm() - meant.mm()).abs() < 1e-9, "{}", text);
            }
            let rule = meant.nearest_64th().unwrap();
            prop_assert_eq!(parse::<Length>(&rule.to_string()), Ok(meant));
        }

        /// A conversion rounded to any number of decimals agrees with what it was rounded from.
        #[test]
        fn a_rounded_conversion_agrees(mm in 0.01..1e4_f64, decimals in 0..6_usize) {
            let text = format!("{mm} mm ({:.decimals$} in)", mm / 25.4);
            prop_assert_eq!(parse::<Length>(&text), Ok(Length::from_mm(mm)), "{}", text);
        }
    }
}
