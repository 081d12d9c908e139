//! What a unit is, and how the shop spells it.
//!
//! A unit is found in two steps: each word of it (`inches`, `min.`, `sq mm`) is brought to one symbol, then the
//! symbols are looked up together (`in/min`). So every spelling of an inch works with every spelling of a minute.
//!
//! Capitals are forgiven as on a drawing in capitals (`6 MM`, `1.8 KW`), except where they change the meaning: `mPa`
//! is not taken for `MPa`, nor `mw/cm2` for either of its two readings.
//!
//! Not covered: products of units (`N mm`), negative exponents (`mm s-1`), pounds and kilograms (a mass is no force).

use super::kind::Kind;

/// A unit: its printed symbol and its size in the SI unit of its quantity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// As we print it; it parses back.
    pub symbol: &'static str,
    /// How many SI units one of it is.
    pub scale: f64,
    /// Where its zero lies, in SI units: 0, except for °C and °F.
    pub zero: f64,
    /// Whether a refusal proposes it and a conversion lists it.
    pub usual: bool,
}

impl Unit {
    pub(super) const fn of(scale: f64) -> Self {
        Self { symbol: "", scale, zero: 0.0, usual: true }
    }

    pub(super) const fn from_zero(scale: f64, zero: f64) -> Self {
        Self { symbol: "", scale, zero, usual: true }
    }

    /// The SI number of so many of this unit.
    #[must_use]
    pub const fn to_si(&self, value: f64) -> f64 {
        value * self.scale + self.zero
    }

    /// How many of this unit an SI number is.
    #[must_use]
    pub const fn from_si(&self, si: f64) -> f64 {
        (si - self.zero) / self.scale
    }
}

/// Everything that may be written for one symbol. `case` marks those whose first letter means something else in the
/// other size.
struct Word {
    symbol: &'static str,
    written: &'static [&'static str],
    case: bool,
}

const fn word(symbol: &'static str, written: &'static [&'static str]) -> Word {
    Word { symbol, written, case: false }
}

const fn cased(symbol: &'static str, written: &'static [&'static str]) -> Word {
    Word { symbol, written, case: true }
}

static WORDS: &[Word] = &[
    word("mm", &["mm", "millimetre", "millimetres", "millimeter", "millimeters"]),
    word("cm", &["cm", "centimetre", "centimetres", "centimeter", "centimeters"]),
    word("m", &["m", "metre", "metres", "meter", "meters"]),
    word(
        "µm",
        &["um", "micron", "microns", "micrometre", "micrometres", "micrometer", "micrometers"],
    ),
    word("nm", &["nm", "nanometre", "nanometres", "nanometer", "nanometers"]),
    word("in", &["in", "inch", "inches", "ins"]),
    word("ft", &["ft", "foot", "feet"]),
    word("thou", &["thou", "mil", "mils", "thous"]),
    word("mm²", &["mm²", "sqmm"]),
    word("cm²", &["cm²", "sqcm"]),
    word("m²", &["m²", "sqm"]),
    word("in²", &["in²", "inch²", "inches²", "sqin"]),
    word("ft²", &["ft²", "foot²", "feet²", "sqft"]),
    word("m³", &["m³", "cum"]),
    word("ft³", &["ft³", "foot³", "feet³", "cuft"]),
    word("l", &["l", "L", "litre", "litres", "liter", "liters", "ltr"]),
    word("s", &["s", "sec", "secs", "second", "seconds"]),
    word("min", &["min", "mins", "minute", "minutes"]),
    word("h", &["h", "hr", "hrs", "hour", "hours"]),
    cased("ms", &["ms", "msec", "millisecond", "milliseconds"]),
    word("µs", &["us", "usec", "microsecond", "microseconds"]),
    word("ns", &["ns", "nsec", "nanosecond", "nanoseconds"]),
    word("W", &["W", "watt", "watts"]),
    word("kW", &["kW", "kilowatt", "kilowatts"]),
    cased("mW", &["mW", "milliwatt", "milliwatts"]),
    cased("MW", &["MW", "megawatt", "megawatts"]),
    word("hp", &["hp", "horsepower"]),
    word("J", &["J", "joule", "joules"]),
    word("kJ", &["kJ", "kilojoule", "kilojoules"]),
    word("N", &["N", "newton", "newtons"]),
    word("kN", &["kN", "kilonewton", "kilonewtons"]),
    word("kip", &["kip", "kips"]),
    word("lbf", &["lbf", "lbsf"]),
    word("Pa", &["Pa", "pascal", "pascals"]),
    word("kPa", &["kPa"]),
    cased("MPa", &["MPa", "megapascal", "megapascals"]),
    word("GPa", &["GPa"]),
    word("psi", &["psi"]),
    word("ksi", &["ksi"]),
    word("°C", &["°C", "C", "degC", "degreeC", "degreesC", "celsius"]),
    word("°F", &["°F", "F", "degF", "degreeF", "degreesF", "fahrenheit"]),
    cased("K", &["K", "kelvin", "kelvins"]),
    word("°", &["°", "deg", "degs", "degree", "degrees"]),
    word("rad", &["rad", "radian", "radians"]),
    cased("mrad", &["mrad", "milliradian", "milliradians"]),
    word("Hz", &["Hz", "hertz"]),
    word("kHz", &["kHz", "kilohertz"]),
    word("%", &["%", "percent", "pct", "/cent"]),
    word("in/min", &["ipm"]),
    word("in/s", &["ips"]),
    word("ft/min", &["fpm"]),
    word("l/min", &["lpm"]),
    word("ft³/h", &["cfh", "scfh"]),
    word("ft³/min", &["cfm", "scfm"]),
    // Two names for one thing, once both sides of the stroke are symbols.
    word("ksi", &["kip/in²"]),
    word("psi", &["lbf/in²"]),
    word("Pa", &["N/m²"]),
];

/// Why a unit was not found.
#[derive(Debug, PartialEq)]
pub(super) enum NotFound {
    /// The first letter is in the wrong size for the only unit it could be.
    Case { meant: &'static str },
    /// Without capitals it could be two units.
    Two { one: String, other: String },
    /// Nothing like it.
    Unknown,
}

/// Brings the spelling to plain letters: one stroke, raised figures, no dots, spaces only where they may not be.
fn squeeze(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut power = None;
    let mut joins = true;
    for part in text.split_whitespace() {
        let part: String = part.chars().filter(|c| !matches!(c, '.' | '^')).collect();
        match part.to_ascii_lowercase().as_str() {
            "" => continue,
            "per" => {
                out.push('/');
                joins = true;
                continue;
            }
            "sq" | "square" => {
                power = Some('²');
                continue;
            }
            "cu" | "cubic" => {
                power = Some('³');
                continue;
            }
            lower => {
                if !joins && !part.starts_with('/') {
                    // "m in" is not "min".
                    out.push(' ');
                }
                joins = part.ends_with('/') || matches!(lower, "deg" | "degree" | "degrees" | "°");
            }
        }
        let mut left_first_word = false;
        for c in part.chars() {
            if !c.is_alphabetic() && !left_first_word {
                left_first_word = true;
                out.extend(power.take().filter(|_| !out.ends_with('/')));
            }
            match c {
                '"' => out.push_str("in"),
                '\'' => out.push_str("ft"),
                '2' => out.push('²'),
                '3' => out.push('³'),
                c => out.push(c),
            }
        }
        out.extend(power.take());
    }
    out
}

/// One word of a unit, without its stroke.
fn symbol_of(text: &str) -> Result<&'static str, NotFound> {
    let exact = WORDS.iter().find(|w| w.symbol == text || w.written.contains(&text));
    if let Some(found) = exact {
        return Ok(found.symbol);
    }
    let is_like = |w: &&Word| {
        w.symbol.eq_ignore_ascii_case(text)
            || w.written.iter().any(|name| name.eq_ignore_ascii_case(text))
    };
    let one = WORDS.iter().find(is_like);
    let other = WORDS.iter().find(|w| is_like(w) && one.is_some_and(|one| one.symbol != w.symbol));
    match (one, other) {
        (None, _) => Err(NotFound::Unknown),
        (Some(one), Some(other)) => {
            Err(NotFound::Two { one: one.symbol.to_owned(), other: other.symbol.to_owned() })
        }
        (Some(one), None) => {
            let same_size = one.written.iter().any(|name| {
                name.eq_ignore_ascii_case(text) && name.chars().next() == text.chars().next()
            });
            // A word written out ("Kelvin", "MILLIWATT") cannot be mistaken for another.
            let written_out = text.chars().count() > 4;
            if one.case && !same_size && !written_out {
                Err(NotFound::Case { meant: one.symbol })
            } else {
                Ok(one.symbol)
            }
        }
    }
}

/// Finds a unit by its printed symbol.
#[must_use]
pub fn by_symbol(symbol: &str) -> Option<(Kind, &'static Unit)> {
    Kind::ALL
        .iter()
        .find_map(|kind| Some((*kind, kind.units().iter().find(|unit| unit.symbol == symbol)?)))
}

/// Finds a unit by what the shop writes for it.
pub(super) fn find(text: &str) -> Result<(Kind, &'static Unit), NotFound> {
    let text = squeeze(text);
    let whole = |symbol: &str| by_symbol(symbol).ok_or(NotFound::Unknown);
    match (symbol_of(&text), text.split_once('/')) {
        (Ok(symbol), _) => whole(symbol),
        (Err(trouble), None) => Err(trouble),
        (Err(_), Some((over, under))) => {
            let under = symbol_of(under)?;
            let over = symbol_of(over).map_err(|trouble| match trouble {
                NotFound::Two { one, other } => NotFound::Two {
                    one: format!("{one}/{under}"),
                    other: format!("{other}/{under}"),
                },
                trouble => trouble,
            })?;
            let both = format!("{over}/{under}");
            whole(symbol_of(&both).unwrap_or(&both))
        }
    }
}

/// The spelling nearest to the one that was not found: of the wanted quantity, or of any; `None` when nothing is near.
pub(super) fn nearest(text: &str, wanted: Option<Kind>) -> Option<&'static str> {
    let text: String = squeeze(text).chars().take(24).collect();
    let allowed =
        |symbol: &str| by_symbol(symbol).is_some_and(|(kind, _)| wanted.is_none_or(|w| w == kind));
    let spelled = WORDS.iter().flat_map(|w| w.written.iter().map(|name| (w.symbol, *name)));
    let symbols =
        Kind::ALL.iter().flat_map(|kind| kind.units()).map(|unit| (unit.symbol, unit.symbol));
    spelled
        .chain(symbols)
        .filter(|(symbol, _)| allowed(symbol))
        .map(|(_, name)| (steps(&text, name), name))
        // Half of it must be right; where it could be any quantity, more of it, with its first letter. Else the
        // proposal is noise.
        .filter(|(steps, name)| match wanted {
            Some(_) => steps * 2 <= name.chars().count(),
            None => steps * 3 <= name.chars().count() && name.chars().next() == text.chars().next(),
        })
        .min_by_key(|(steps, _)| *steps)
        .map(|(_, name)| name)
}

/// How many letters must be put in, taken out or changed.
fn steps(one: &str, other: &str) -> usize {
    let other: Vec<char> = other.chars().collect();
    let mut row: Vec<usize> = (0..=other.len()).collect();
    for (i, a) in one.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, b) in other.iter().enumerate() {
            let changed = diagonal + usize::from(a != *b);
            diagonal = row[j + 1];
            row[j + 1] = changed.min(diagonal + 1).min(row[j] + 1);
        }
    }
    row[other.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_printed_symbol_is_found_again() {
        for kind in Kind::ALL {
            for unit in kind.units() {
                assert_eq!(find(unit.symbol), Ok((*kind, unit)), "{}", unit.symbol);
            }
        }
    }

    #[test]
    fn no_symbol_stands_for_two_quantities() {
        let mut seen = std::collections::BTreeSet::new();
        for unit in Kind::ALL.iter().flat_map(|kind| kind.units()) {
            assert!(seen.insert(unit.symbol), "{} twice", unit.symbol);
        }
    }

    #[test]
    fn no_spelling_stands_for_two_symbols() {
        let mut seen = std::collections::BTreeMap::new();
        for w in WORDS {
            for name in w.written {
                assert_eq!(seen.insert(*name, w.symbol), None, "{name}");
            }
        }
    }

    #[test]
    fn each_quantity_has_its_paper_units() {
        for kind in Kind::ALL {
            for system in
                [super::super::show::UnitSystem::Metric, super::super::show::UnitSystem::Inch]
            {
                let symbol = kind.paper_symbol(system);
                assert!(kind.units().iter().any(|unit| unit.symbol == symbol), "{kind:?} {symbol}");
            }
        }
    }

    #[test]
    fn spellings_of_the_shop() {
        for (text, symbol) in [
            ("MM", "mm"),
            ("in.", "in"),
            ("Inches per minute", "in/min"),
            ("\"/min", "in/min"),
            ("I.P.M.", "in/min"),
            ("IPM", "in/min"),
            ("in / min.", "in/min"),
            ("M/MIN", "m/min"),
            ("mm per second", "mm/s"),
            ("N/mm^2", "N/mm²"),
            ("n/MM2", "N/mm²"),
            ("kip/in2", "ksi"),
            ("kips / sq. in.", "ksi"),
            ("MPA", "MPa"),
            ("sq mm", "mm²"),
            ("cu ft per hr", "ft³/h"),
            ("cu. ft./hr", "ft³/h"),
            ("CFH", "ft³/h"),
            ("L/min", "l/min"),
            ("deg C", "°C"),
            ("° F", "°F"),
            ("per cent", "%"),
            ("Kelvin", "K"),
            ("W/cm^2", "W/cm²"),
            ("W / sq cm", "W/cm²"),
            ("MIL", "thou"),
        ] {
            assert_eq!(find(text).map(|(_, unit)| unit.symbol), Ok(symbol), "{text}");
        }
    }

    #[test]
    fn capitals_count_where_they_change_the_meaning() {
        for small in ["mPa", "mpa"] {
            assert_eq!(find(small), Err(NotFound::Case { meant: "MPa" }));
        }
        assert_eq!(find("k"), Err(NotFound::Case { meant: "K" }));
        assert_eq!(find("MS"), Err(NotFound::Case { meant: "ms" }));
        assert_eq!(
            find("mw/cm2"),
            Err(NotFound::Two { one: "mW/cm²".to_owned(), other: "MW/cm²".to_owned() })
        );
        assert_eq!(find("m in"), Err(NotFound::Unknown), "not minutes");
    }

    /// Capitals may be refused, but never turn one unit into another. Milliwatts written `MW` are megawatts.
    #[test]
    fn capitals_turn_no_unit_into_another() {
        for (kind, unit) in
            Kind::ALL.iter().flat_map(|kind| kind.units().iter().map(move |unit| (*kind, unit)))
        {
            for text in [unit.symbol.to_ascii_uppercase(), unit.symbol.to_ascii_lowercase()] {
                if unit.symbol.starts_with("mW") {
                    continue;
                }
                match find(&text) {
                    Ok(found) => assert_eq!(found, (kind, unit), "{text}"),
                    Err(NotFound::Unknown) => panic!("{text}"),
                    Err(_) => assert!(unit.symbol.starts_with(['m', 'M', 'K']), "{text}"),
                }
            }
        }
    }

    #[test]
    fn the_nearest_spelling_is_named() {
        assert_eq!(nearest("ipn", Some(Kind::Speed)), Some("ipm"));
        assert_eq!(nearest("mm/sek", Some(Kind::Speed)), Some("mm/s"));
        assert_eq!(nearest("lb", Some(Kind::Force)), Some("lbf"));
        assert_eq!(nearest("inc", None), Some("inch"));
        assert_eq!(nearest("furlong", Some(Kind::Length)), None);
        assert_eq!(nearest("V", None), None);
        assert_eq!(nearest("kg", None), None);
    }
}
