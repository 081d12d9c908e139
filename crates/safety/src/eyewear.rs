//! Which eyewear a beam needs, and whether a pair does.
//!
//! ```text
//!   optical density D lets through 10^-D: OD 7 one ten-millionth, 0.00001 %
//!   needed, whole beam through a pupil     OD = log10( P / (area of 7 mm) / H )
//!   needed at a distance                   OD = log10( E / H )
//!   EN 207, continuous (D), > 315 to 1400 nm: LBn stands 10^(n+1) W/m² and lets through 10^-n
//!   so n is the least whole number of at least log10(E) - 1, and of at least the OD
//! ```
//!
//! The powers of ten are W/m². A textbook's worked example prints the same figures in W/cm², ten thousand times too
//! much: 50 W on 5 mm are 2.55e6 **W/m²**, which is D LB6.
//!
//! Marking, as printed on the pair: `D LB7 @ 1070`, `900-1080 D LB7`, `1064 DIR LB6`, `900-1080 D LB7 + IR LB8`. A pair
//! that names no continuous mode is not made for a continuous beam, whatever its number. Letters of maker and
//! certification, and filters for adjustment (`RB1`, EN 208), count for nothing and are named.
//!
//! EN 207:2017 tests with a beam of 1 mm; for a wider one its annex raises the power density, d^1.7 for glass
//! ([`EN_207_PULSED`], recalled). The published worked examples do without it; where it asks more, that speaks against a
//! pair until its maker has stated what it stands on that width.
//!
//! The spot on the filter is the width at 1/e (63 % of the power), as d63 of the standard. F(d) is stated for 1 to 15 mm
//! (recalled); beyond 15 mm it goes on growing here, which asks the more. Pulses longer than 0.25 s count as continuous
//! (recalled), with the power within them.
//!
//! Sources: [`OPTICAL_DENSITY`], [`EN_207_SCALE`], [`EN_207_WORKED`], quoted; [`EN_207_PULSED`], [`EN_207_MARKING`],
//! recalled.
//!
//! Not covered: eyewear for adjustment (EN 208), ISO 19818, how long a pair stands a direct hit (tested: 5 s; it is
//! made for the glance that was not meant, never for looking).

use crate::OutOfRange;
use crate::beam::Beam;
use crate::distance::Limits;
use crate::exposure::{PUPIL, Pulses, disc};
use std::f64::consts::PI;
use weld::quantity::{Irradiance, Length, Power, Share};
use weld::source::{
    EN_207_MARKING, EN_207_PULSED, EN_207_SCALE, EN_207_WORKED, OPTICAL_DENSITY, Source, Sourced,
};

/// Sources of what eyewear needs.
pub const SOURCES: [Source; 5] =
    [OPTICAL_DENSITY, EN_207_SCALE, EN_207_WORKED, EN_207_PULSED, EN_207_MARKING];

/// Highest scale number of EN 207.
pub const HIGHEST: Sourced<u8> = Sourced { value: 10, source: EN_207_SCALE };
/// Least luminous transmittance that needs no word about more light.
pub const LEAST_LUMINOUS: Sourced<Share> =
    Sourced { value: Share::from_percent(20.0), source: EN_207_MARKING };
/// Exponent by which EN 207:2017 raises the power density of a beam wider than 1 mm, for glass.
const WIDE_BEAM: Sourced<f64> = Sourced { value: 1.7, source: EN_207_PULSED };
/// Pulses longer than this are rated in mode D, s.
const LONGEST_PULSE_S: Sourced<f64> = Sourced { value: 0.25, source: EN_207_PULSED };
/// Time of the test, s.
const TEST_S: Sourced<f64> = Sourced { value: 5.0, source: EN_207_PULSED };

/// Share of light that an optical density lets through.
#[must_use]
pub fn transmittance(od: f64) -> Share {
    Share::from_fraction(10_f64.powf(-od))
}

/// Optical density that brings an exposure down to its limit; nothing when it is below. Both in the same unit.
#[must_use]
pub fn needed_od(exposure: f64, limit: f64) -> f64 {
    (exposure / limit).log10().max(0.0)
}

/// Optical density that a whole beam through an open pupil needs.
#[must_use]
pub fn od_whole_beam(power: Power, limit: Irradiance) -> f64 {
    needed_od((power / disc(PUPIL.value)).w_per_m2(), limit.w_per_m2())
}

/// What EN 207 asks of a filter, by its modes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    /// Power density on the filter: the mean, or that within a pulse which counts as continuous.
    pub density: Irradiance,
    /// Scale number that stands the power density.
    pub by_density: u8,
    /// Scale number that lets through little enough.
    pub by_od: u8,
    /// Scale number for the mode of pulses (I or R), where the beam has pulses of at most 0.25 s.
    pub pulsed: Option<(Mode, u8)>,
    /// Scale number after the correction for wide beams, glass; recalled.
    pub wide_beam: u8,
}

impl Scale {
    /// What a pair must carry in mode D.
    #[must_use]
    pub fn needed(&self) -> u8 {
        self.by_density.max(self.by_od)
    }

    /// Whether EN 207 has such a number: its highest is LB10.
    #[must_use]
    pub fn exists(&self) -> bool {
        let pulsed = self.pulsed.map_or(0, |(_, n)| n);
        self.needed().max(pulsed) <= HIGHEST.value
    }
}

/// A number from 1; more than any standard has stays more.
fn number(n: f64) -> u8 {
    // A power of ten worked out in f64 may lie a hair above itself.
    let n = (n - 1e-9).ceil();
    if n.is_nan() { u8::MAX } else { n.clamp(1.0, 250.0) as u8 }
}

/// Scale numbers for a beam that strikes a filter in a spot of some width (1/e).
///
/// # Errors
///
/// A spot without width.
pub fn scale(beam: &Beam, limits: &Limits, spot: Length) -> Result<Scale, OutOfRange> {
    let d = crate::above_nothing(
        "the spot on the eyewear",
        spot.m(),
        spot,
        "write the width of the beam where it may strike the eyewear: spot = \"5 mm\"",
    )?;
    // A long pulse is a continuous beam while it lasts, and as strong as it is within.
    let is_long = |p: &&Pulses| p.duration.s() > LONGEST_PULSE_S.value;
    let pulses = beam.pulses.as_ref();
    let within =
        pulses.filter(is_long).map_or(1.0, |p| (p.energy_over_mean_s / p.duration.s()).max(1.0));
    let mean = beam.power.w() / (0.25 * PI * d * d);
    let density = mean * within;
    let od = od_whole_beam(beam.power, limits.eye.irradiance);
    let wide = density * (d * 1e3).max(1.0).powf(WIDE_BEAM.value);
    let pulsed = pulses.filter(|p| !is_long(p)).map(|p| {
        let n = (p.per_second * TEST_S.value).max(1.0);
        let dose = mean * p.energy_over_mean_s * n.powf(0.25);
        let mode = if p.duration.s() < 1e-6 { Mode::Giant } else { Mode::Pulsed };
        (mode, number(dose.log10() - 5_f64.log10() + 3.0).max(number(od)))
    });
    Ok(Scale {
        density: Irradiance::from_w_per_m2(density),
        by_density: number(density.log10() - 1.0),
        by_od: number(od),
        pulsed,
        wide_beam: number(wide.log10() - 1.0).max(number(od)),
    })
}

/// How a laser emits, by EN 207.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mode {
    /// D: continuous.
    Continuous,
    /// I: pulses of 1 µs to 0.25 s.
    Pulsed,
    /// R: pulses of 1 ns to 1 µs.
    Giant,
    /// M: shorter.
    ModeLocked,
}

impl Mode {
    /// Its letter.
    #[must_use]
    pub const fn letter(self) -> char {
        match self {
            Self::Continuous => 'D',
            Self::Pulsed => 'I',
            Self::Giant => 'R',
            Self::ModeLocked => 'M',
        }
    }

    const fn of(letter: char) -> Option<Self> {
        match letter {
            'D' => Some(Self::Continuous),
            'I' => Some(Self::Pulsed),
            'R' => Some(Self::Giant),
            'M' => Some(Self::ModeLocked),
            _ => None,
        }
    }
}

/// One line of a marking: for these wavelengths and modes, this number.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Shortest and longest wavelength, nm.
    pub nm: [f64; 2],
    /// Modes.
    pub modes: Vec<Mode>,
    /// Scale number.
    pub number: u8,
}

/// A marking that cannot be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum MarkingError {
    /// Nothing is written.
    #[error("the marking is empty")]
    Empty,
    /// No number of the scale.
    #[error("\"{part}\" names no scale number LB")]
    NoNumber {
        /// The part.
        part: String,
    },
    /// A number as before 2010.
    #[error(
        "\"{part}\" is marked {number} without a B, after the edition before 2010, which tested otherwise"
    )]
    OldNumber {
        /// The part.
        part: String,
        /// The number as printed.
        number: String,
    },
    /// A number that the standard does not have.
    #[error("\"{part}\" is marked {number}, and the scale runs from LB1 to LB10")]
    Number {
        /// The part.
        part: String,
        /// The number as printed.
        number: String,
    },
    /// No mode.
    #[error("\"{part}\" names no mode")]
    NoMode {
        /// The part.
        part: String,
    },
    /// No wavelength.
    #[error("\"{part}\" names no wavelength")]
    NoWavelength {
        /// The part.
        part: String,
    },
    /// Only what counts for nothing.
    #[error("\"{only}\" stands there and nothing that protects: no mode and scale number LB")]
    NothingCarried {
        /// What was read.
        only: String,
    },
    /// Two scale numbers for one mode.
    #[error("\"{part}\" has {first} and {second}, and one mode has one number")]
    TwoNumbers {
        /// The part.
        part: String,
        /// The first.
        first: String,
        /// The second.
        second: String,
    },
    /// A second wavelength within a mark that is not whole.
    #[error(
        "\"{second}\" in \"{part}\" is a second wavelength before mode and scale number of the first are there"
    )]
    TwoWavelengths {
        /// The part.
        part: String,
        /// The second.
        second: String,
    },
    /// Something that belongs to no marking.
    #[error("\"{word}\" in \"{part}\" is neither wavelength, mode nor scale number")]
    Word {
        /// The part.
        part: String,
        /// The word.
        word: String,
    },
    /// An optical density.
    #[error(
        "\"{part}\" states an optical density, which says nothing about what the pair withstands"
    )]
    DensityOnly {
        /// The part.
        part: String,
    },
}

impl MarkingError {
    /// What to do next.
    #[must_use]
    pub const fn advice(&self) -> &'static str {
        match self {
            Self::OldNumber { .. } => {
                "ask the maker for the scale number LB by the edition in force, or take another pair; until then count the pair as none"
            }
            Self::DensityOnly { .. } => {
                "look for the EN 207 marking on the frame or the filter, such as 900-1080 D LB7; without one count the pair as none"
            }
            _ => {
                "type the marking as it is printed on the pair: wavelengths in nm, modes, scale number, such as marking = \"900-1080 D LB7 + IR LB8\"; if it cannot be read, count the pair as none"
            }
        }
    }
}

/// Longest marking taken.
const LONGEST: usize = 200;

/// A marking as read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Marking {
    /// What it carries.
    pub marks: Vec<Mark>,
    /// What stands on the pair and counts for nothing here: maker, certification, strength of the frame, filters for
    /// adjustment.
    pub beside: Vec<String>,
}

/// Reads what a marking carries.
///
/// # Errors
///
/// What is missing or cannot be read.
pub fn marking(text: &str) -> Result<Vec<Mark>, MarkingError> {
    read(text).map(|read| read.marks)
}

/// Reads a marking as printed: several filters or modes after each other, letters of maker and certification between.
///
/// # Errors
///
/// What is missing or cannot be read.
pub fn read(text: &str) -> Result<Marking, MarkingError> {
    let text: String = text.chars().take(LONGEST).collect();
    let mut all = Marking::default();
    let mut before: Option<Vec<[f64; 2]>> = None;
    let mut seen_part = false;
    for part in text.split(['+', ';', '\n']).map(str::trim).filter(|p| !p.is_empty()) {
        seen_part = true;
        part_of(part, &mut before, &mut all)?;
    }
    match (all.marks.is_empty(), seen_part, all.beside.first()) {
        (false, ..) => Ok(all),
        (true, true, Some(only)) => Err(MarkingError::NothingCarried { only: only.clone() }),
        _ => Err(MarkingError::Empty),
    }
}

/// What is being gathered of one mark.
#[derive(Default)]
struct Gathered {
    nm: Vec<[f64; 2]>,
    modes: Vec<Mode>,
    number: Option<u8>,
    /// The number of a filter for adjustment, RB.
    adjusts: Option<String>,
}

impl Gathered {
    /// Modes and number are there, or it is a filter for adjustment: what comes next may be another's.
    fn whole(&self) -> bool {
        self.adjusts.is_some() || self.number.is_some() && !self.modes.is_empty()
    }

    fn nothing(&self) -> bool {
        self.nm.is_empty() && self.modes.is_empty() && self.number.is_none()
    }

    /// Puts it to those that are read. A second number for the same filter leaves the wavelengths out.
    fn put(
        &mut self,
        part: &str,
        before: &mut Option<Vec<[f64; 2]>>,
        all: &mut Marking,
    ) -> Result<(), MarkingError> {
        let part = || part.to_owned();
        let now = std::mem::take(self);
        if let Some(number) = now.adjusts {
            let nm = now.nm.iter().map(
                |[a, b]| {
                    if a == b { format!("{a}") } else { format!("{a}-{b}") }
                },
            );
            let nm = nm.collect::<Vec<_>>().join(" ");
            all.beside.push(format!("{nm} {number} (for adjustment, EN 208)").trim().to_owned());
            return Ok(());
        }
        let number = now.number.ok_or_else(|| MarkingError::NoNumber { part: part() })?;
        if now.modes.is_empty() {
            return Err(MarkingError::NoMode { part: part() });
        }
        let nm = if now.nm.is_empty() { before.clone().unwrap_or_default() } else { now.nm };
        if nm.is_empty() {
            return Err(MarkingError::NoWavelength { part: part() });
        }
        all.marks.extend(nm.iter().map(|nm| Mark { nm: *nm, modes: now.modes.clone(), number }));
        *before = Some(nm);
        Ok(())
    }
}

fn part_of(
    part: &str,
    before: &mut Option<Vec<[f64; 2]>>,
    all: &mut Marking,
) -> Result<(), MarkingError> {
    let named = || part.to_owned();
    // Dashes, signs and units as people type them; a range keeps together.
    let plain: String = part
        .chars()
        .map(|c| match c {
            '–' | '—' | '−' => '-',
            '@' | ',' | '(' | ')' => ' ',
            c => c.to_ascii_uppercase(),
        })
        .collect();
    let plain = plain.replace(" - ", "-").replace('>', " >").replace("> ", ">");
    let words: Vec<&str> = plain.split_whitespace().collect();
    let mut now = Gathered::default();
    let mut read_any = false;
    let mut at = 0;
    while at < words.len() {
        let word = words[at].trim_end_matches(':');
        let next = words.get(at + 1).copied().unwrap_or_default();
        at += 1;
        let odd = |word: &str| MarkingError::Word { part: named(), word: word.to_owned() };
        if matches!(word, "" | "NM" | "AT" | "EN" | "ISO" | "DIN") || is_standard(word) {
            continue;
        }
        if let Some(density) = word.strip_prefix("OD") {
            let number = |t: &str| t.trim_matches(['=', '>', '<']).parse::<f64>().is_ok();
            if density.is_empty() || number(density) {
                // Beside a scale number it says the same again; alone it says nothing of what the pair stands.
                if !now.whole() && all.marks.is_empty() {
                    return Err(MarkingError::DensityOnly { part: named() });
                }
                let own = density.is_empty() && number(next);
                at += usize::from(own);
                all.beside.push(if own { format!("OD {next}") } else { word.to_owned() });
                continue;
            }
        }
        let joined;
        let mut scale = word;
        if matches!(word, "LB" | "L" | "RB") && is_digits(next) {
            // `LB 7` with a blank.
            joined = format!("{word}{next}");
            scale = &joined;
            at += 1;
        }
        if let Some(digits) = scale.strip_prefix("LB").filter(|d| is_digits(d)) {
            let printed = || format!("LB{digits}");
            let n: u8 = digits
                .parse()
                .map_err(|_| MarkingError::Number { part: named(), number: printed() })?;
            if !(1..=HIGHEST.value).contains(&n) {
                return Err(MarkingError::Number { part: named(), number: printed() });
            }
            if now.adjusts.is_some() {
                now.put(part, before, all)?;
            }
            if let Some(first) = now.number.replace(n) {
                return Err(MarkingError::TwoNumbers {
                    part: named(),
                    first: format!("LB{first}"),
                    second: printed(),
                });
            }
            read_any = true;
        } else if scale.strip_prefix("RB").is_some_and(is_digits) {
            if now.whole() {
                now.put(part, before, all)?;
            }
            now.adjusts = Some(scale.to_owned());
            read_any = true;
        } else if scale.strip_prefix('L').is_some_and(is_digits) {
            return Err(MarkingError::OldNumber { part: named(), number: scale.to_owned() });
        } else if word.len() == 4 && word.starts_with('0') && is_digits(word) {
            all.beside.push(word.to_owned());
        } else if let Some(read) = wavelengths(word) {
            // `D LB7 @ 1070` says its wavelength last; after a whole mark another begins.
            if now.whole() && !now.nm.is_empty() {
                now.put(part, before, all)?;
            }
            let begun = !now.modes.is_empty() || now.number.is_some();
            if begun && !now.nm.is_empty() {
                return Err(MarkingError::TwoWavelengths {
                    part: named(),
                    second: word.to_owned(),
                });
            }
            now.nm.push(read);
            read_any = true;
        } else if let Some(read) = letters(word) {
            if now.whole() {
                now.put(part, before, all)?;
            }
            for mode in read {
                if !now.modes.contains(&mode) {
                    now.modes.push(mode);
                }
            }
            read_any = true;
        } else if is_beside(word) && (now.whole() || now.nothing()) {
            // `CE 0196`: the body that certified it.
            let body = matches!(word, "CE" | "UKCA") && next.len() == 4 && is_digits(next);
            at += usize::from(body);
            all.beside.push(if body { format!("{word} {next}") } else { word.to_owned() });
        } else {
            return Err(odd(word));
        }
    }
    if read_any && !(now.nothing() && now.adjusts.is_none()) {
        now.put(part, before, all)
    } else {
        Ok(())
    }
}

/// `207`, `207:2017`, `EN207`, `208`, `166`: the standard that a marking is by.
fn is_standard(word: &str) -> bool {
    let number = word.strip_prefix("EN").unwrap_or(word);
    let (number, year) = number.split_once(':').unwrap_or((number, "2017"));
    matches!(number, "207" | "208" | "166" | "12254" | "60825" | "19818-1") && is_digits(year)
}

/// Letters of a maker, of certification (`CE`, `CE0196`), of the frame's strength (`S`, `FT`).
fn is_beside(word: &str) -> bool {
    let letters = word.strip_prefix("CE").filter(|body| body.len() == 4 && is_digits(body));
    letters.is_some()
        || (word.chars().count() <= 12
            && word
                .chars()
                .all(|c| c.is_alphabetic() || matches!(c, '&' | '®' | '™' | '.' | '-' | '/')))
            && word.chars().any(char::is_alphabetic)
}

fn is_digits(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit())
}

fn letters(word: &str) -> Option<Vec<Mode>> {
    word.chars()
        .filter(|c| *c != '/')
        .map(Mode::of)
        .collect::<Option<Vec<_>>>()
        .filter(|m| !m.is_empty())
}

/// `1070`, `1070NM`, `900-1080`, `>900-1080`.
fn wavelengths(word: &str) -> Option<[f64; 2]> {
    let bare = word.trim_start_matches('>').trim_end_matches("NM");
    let one = |text: &str| {
        let text = text.trim_start_matches('>').trim_end_matches("NM");
        is_digits(text)
            .then(|| text.parse::<f64>().ok())
            .flatten()
            .filter(|nm| (180.0..=1e6).contains(nm))
    };
    match bare.split_once('-') {
        None => one(bare).map(|nm| [nm, nm]),
        Some((from, to)) => {
            let (from, to) = (one(from)?, one(to)?);
            (from <= to).then_some([from, to])
        }
    }
}

/// What a check of a pair comes to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// It carries what the published relation asks.
    Holds,
    /// It does not, and why.
    Not(Vec<String>),
}

/// A pair held against what the beam needs.
#[derive(Clone, Debug, PartialEq)]
pub struct Checked {
    /// Scale number that it carries for this wavelength, by mode D.
    pub continuous: Option<u8>,
    /// The same by the pulses' mode.
    pub pulsed: Option<u8>,
    /// The verdict.
    pub verdict: Verdict,
    /// Whether it carries the number that the correction for wide beams (recalled) asks as well.
    pub wide_beam: bool,
}

/// Holds a marking against what a beam needs.
#[must_use]
pub fn check(marks: &[Mark], beam: &Beam, need: &Scale) -> Checked {
    let nm = beam.light.wavelength().nm();
    let carried = |mode: Mode| {
        marks
            .iter()
            // A wavelength on the label stands for itself, not for its neighbours: half a nanometre is rounding.
            .filter(|m| m.nm[0] - 0.5 <= nm && nm <= m.nm[1] + 0.5)
            .filter(|m| m.modes.contains(&mode))
            .map(|m| m.number)
            // Lines that overlap: nobody knows which of them was tested at this wavelength.
            .min()
    };
    let covers = marks.iter().any(|m| m.nm[0] - 0.5 <= nm && nm <= m.nm[1] + 0.5);
    let shown = weld::quantity::show::significant(nm, 5);
    let continuous = carried(Mode::Continuous);
    let pulsed = need.pulsed.and_then(|(mode, _)| carried(mode));
    let mut why = Vec::new();
    if !need.exists() {
        why.push(format!(
            "the beam would ask LB{}, and the scale ends at LB{}: no eyewear stands it",
            need.needed().max(need.pulsed.map_or(0, |(_, n)| n)),
            HIGHEST.value
        ));
    }
    if covers {
        match continuous {
            None => why.push(format!("it names no mode D (continuous) at {shown} nm")),
            Some(n) if n < need.needed() => {
                why.push(format!(
                    "it is D LB{n} at {shown} nm, and D LB{} is needed",
                    need.needed()
                ));
            }
            Some(_) => {}
        }
        if let Some((mode, n)) = need.pulsed {
            let letter = mode.letter();
            match pulsed {
                None => why.push(format!("it names no mode {letter} (pulses) at {shown} nm")),
                Some(has) if has < n => {
                    why.push(format!(
                        "it is {letter} LB{has} at {shown} nm, and {letter} LB{n} is needed"
                    ));
                }
                Some(_) => {}
            }
        }
    } else {
        why.push(format!("it is not made for {shown} nm"));
    }
    Checked {
        continuous,
        pulsed,
        wide_beam: continuous.is_some_and(|n| n >= need.wide_beam),
        verdict: if why.is_empty() { Verdict::Holds } else { Verdict::Not(why) },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::distance::limits;
    use proptest::prelude::*;
    use weld::quantity::Duration;

    fn near(found: f64, published: f64, half: f64) {
        assert!((found - published).abs() <= half, "{found} against {published}");
    }

    fn beam(w: f64) -> (Beam, Limits) {
        let beam = Beam::new(Power::from_w(w), Length::from_nm(1064.0), None).unwrap();
        (beam, limits(&beam, Duration::from_s(100.0)).unwrap())
    }

    fn needs(w: f64, mm: f64) -> Scale {
        let (beam, limits) = beam(w);
        scale(&beam, &limits, Length::from_mm(mm)).unwrap()
    }

    /// Definition: OD 7 lets through one ten-millionth, 1e-5 %. [`OPTICAL_DENSITY`], quoted: 12.5 J/cm² over
    /// 5e-6 J/cm² needs 6.4.
    #[test]
    fn optical_density() {
        near(transmittance(7.0).percent(), 1e-5, 1e-17);
        near(needed_od(12.5, 5e-6), 6.4, 0.05);
        assert_eq!(needed_od(1.0, 2.0), 0.0);
    }

    /// Check value 6.13, worked apart: 1000, 1500, 2000, 3000 W through 7 mm at 50 W/m²: 5.716, 5.892, 6.017, 6.193; OD 6
    /// fails above about 1924 W.
    #[test]
    fn a_whole_beam_through_a_pupil() {
        let od = |w| od_whole_beam(Power::from_w(w), Irradiance::from_w_per_m2(50.0));
        for (w, published) in [(1000.0, 5.716), (1500.0, 5.892), (2000.0, 6.017), (3000.0, 6.193)] {
            near(od(w), published, 0.0005);
        }
        assert!(od(1924.0) < 6.0 && od(1925.0) > 6.0);
    }

    /// [`EN_207_WORKED`], quoted, with its W/cm² read as the W/m² that they are: 50 W on 5 mm are 2.55e6 W/m², D LB6;
    /// check value 6.14c: 1500 W on 5 mm are 7.64e7 W/m², D LB7.
    #[test]
    fn the_worked_scale_number() {
        let textbook = needs(50.0, 5.0);
        near(textbook.density.w_per_m2(), 2.55e6, 0.005e6);
        assert_eq!((textbook.by_density, textbook.needed()), (6, 6));
        let handheld = needs(1500.0, 5.0);
        near(handheld.density.w_per_m2(), 7.64e7, 0.005e7);
        assert_eq!(handheld.needed(), 7);
    }

    /// [`EN_207_PULSED`], recalled: pulses of 0.5 s once a second are 3 kW while they last and rated D, 3 kW on 5 mm =
    /// 1.528e8 W/m², D LB8; of 0.25 s they are rated I, and D by the mean, 7.64e7 W/m², LB7.
    #[test]
    fn a_long_pulse_is_continuous_while_it_lasts() {
        let needs = |s: f64| {
            let pulses = crate::beam::PulseData {
                duration: Duration::from_s(s),
                frequency: weld::quantity::Frequency::from_hz(1.0),
                peak: None,
            };
            let beam =
                Beam::new(Power::from_w(1500.0), Length::from_nm(1064.0), Some(pulses)).unwrap();
            let limits = limits(&beam, Duration::from_s(100.0)).unwrap();
            scale(&beam, &limits, Length::from_mm(5.0)).unwrap()
        };
        let long = needs(0.5);
        near(long.density.w_per_m2(), 1.528e8, 0.0005e8);
        assert_eq!((long.needed(), long.pulsed), (8, None));
        let short = needs(0.25);
        near(short.density.w_per_m2(), 7.64e7, 0.005e7);
        assert_eq!((short.needed(), short.pulsed.map(|p| p.0)), (7, Some(Mode::Pulsed)));
    }

    /// [`EN_207_SCALE`], quoted: LB5 to LB10 stand 1e6 to 1e11 W/m², the bound included.
    #[test]
    fn the_scale_of_power_densities() {
        for n in 5..=10_u8 {
            let w = 10_f64.powi(i32::from(n) + 1) * 0.25 * PI * 1e-6;
            assert_eq!(needs(w, 1.0).by_density, n);
            assert_eq!(needs(1.001 * w, 1.0).by_density, n + 1);
        }
        assert!(!needs(2e5, 1.0).exists());
    }

    #[test]
    fn markings_are_read_as_printed() {
        let read = |text: &str| marking(text).unwrap();
        let at_1070 = Mark { nm: [1070.0; 2], modes: vec![Mode::Continuous], number: 7 };
        for text in
            ["D LB7 @ 1070", "d lb7 1070 nm", "1070nm D LB7", "1070 D LB 7", "EN 207 1070 D LB7"]
        {
            assert_eq!(read(text), std::slice::from_ref(&at_1070), "{text}");
        }
        let two = read(">900 - 1080 D LB7 + IRM LB8");
        assert_eq!(two[0].nm, [900.0, 1080.0]);
        assert_eq!((two[1].nm, two[1].number), ([900.0, 1080.0], 8));
        assert_eq!(two[1].modes, [Mode::Pulsed, Mode::Giant, Mode::ModeLocked]);
        assert_eq!(read("DIR 1030–1090 LB6")[0].modes.len(), 3);
        let each = read("1064, 1070 D LB7");
        assert_eq!((each.len(), each[0].nm, &each[1]), (2, [1064.0; 2], &at_1070));
    }

    /// As pairs of the trade are printed: maker, certification, strength of the frame, a filter for adjustment.
    #[test]
    fn what_stands_beside_the_marking_counts_for_nothing_and_is_named() {
        let marks = |text: &str| {
            let read = super::read(text).unwrap();
            let marks: Vec<String> = read
                .marks
                .iter()
                .map(|m| {
                    let modes: String = m.modes.iter().map(|m| m.letter()).collect();
                    format!("{}-{} {modes}{}", m.nm[0], m.nm[1], m.number)
                })
                .collect();
            (marks.join(", "), read.beside.join(", "))
        };
        for (text, carried, beside) in [
            ("1070 D LB7 LV CE", "1070-1070 D7", "LV, CE"),
            ("900-1100 D LB7 + IR LB8 LV S CE 0196", "900-1100 D7, 900-1100 IR8", "LV, S, CE 0196"),
            ("630-650 RB1 1070 D LB7", "1070-1070 D7", "630-650 RB1 (for adjustment, EN 208)"),
            ("D LB7 @ 1070, R LB5", "1070-1070 D7, 1070-1070 R5", ""),
            ("900-1080 D LB7 1064 D LB9 CE0196", "900-1080 D7, 1064-1064 D9", "CE0196"),
            ("EN 207:2017 1070 D LB7 OD 7", "1070-1070 D7", "OD 7"),
            ("1070 D LB7 CE 1883", "1070-1070 D7", "CE 1883"),
        ] {
            assert_eq!(marks(text), (carried.to_owned(), beside.to_owned()), "{text}");
        }
    }

    #[test]
    fn a_marking_that_cannot_be_read_says_why() {
        let said = |text: &str| marking(text).unwrap_err().to_string();
        assert_eq!(said(" "), "the marking is empty");
        assert_eq!(said("1070 D"), "\"1070 D\" names no scale number LB");
        assert_eq!(said("1070 LB7"), "\"1070 LB7\" names no mode");
        assert_eq!(said("D LB7"), "\"D LB7\" names no wavelength");
        assert_eq!(
            said("1070 D LB17"),
            "\"1070 D LB17\" is marked LB17, and the scale runs from LB1 to LB10"
        );
        assert!(said("1070 D L7").contains("without a B"));
        assert!(said("OD 7 @ 1070").contains("optical density"));
        assert_eq!(
            said("1070 D LB7 LB8"),
            "\"1070 D LB7 LB8\" has LB7 and LB8, and one mode has one number"
        );
        assert!(said("1070 D 1064 LB7").contains("\"1064\" in"), "{}", said("1070 D 1064 LB7"));
        assert!(said("1070 D7").contains("\"D7\" in \"1070 D7\" is neither"));
        assert!(said("630-650 RB1").contains("for adjustment, EN 208"));
        assert!(said("CE 0196").contains("nothing that protects"));
        assert!(marking("1080-900 D LB7").is_err());
    }

    /// By construction: the pair of the trade's label against 1.5 kW.
    #[test]
    fn a_pair_is_held_against_the_beam() {
        let (beam, limits) = beam(1500.0);
        let need = scale(&beam, &limits, Length::from_mm(5.0)).unwrap();
        let check = |text: &str| check(&marking(text).unwrap(), &beam, &need);
        assert_eq!(check("900-1080 D LB7").verdict, Verdict::Holds);
        assert!(!check("900-1080 D LB7").wide_beam && check("900-1080 D LB9").wide_beam);
        let why = |text: &str| match check(text).verdict {
            Verdict::Not(why) => why.join("; "),
            Verdict::Holds => String::new(),
        };
        assert_eq!(why("900-1080 D LB6"), "it is D LB6 at 1064 nm, and D LB7 is needed");
        assert_eq!(why("900-1080 IR LB8"), "it names no mode D (continuous) at 1064 nm");
        assert_eq!(why("D LB7 @ 1070"), "it is not made for 1064 nm");
        // Of two lines that both hold for it the lesser counts.
        let lesser = "it is D LB6 at 1064 nm, and D LB7 is needed";
        assert_eq!(why("900-1080 D LB6 + 1064 D LB9"), lesser);
        assert_eq!(why("1064 D LB9 + 900-1080 D LB6"), lesser);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(10_000))]

        /// No text, however odd, stops the reader; a marking put together by the rules is read.
        #[test]
        fn any_marking_is_read_or_refused(text in "[0-9DIRMLBlb@ ,+>nm–-]{0,30}", any: String) {
            for text in [text, any] {
                if let Err(e) = marking(&text) {
                    prop_assert!(!e.to_string().is_empty() && !e.advice().is_empty());
                }
            }
        }

        /// More power or a smaller spot never asks less.
        #[test]
        fn more_never_asks_less(w in 1.0..2e4_f64, k in 1.0..10.0_f64, mm in 0.1..50.0_f64) {
            let (less, more, smaller) = (needs(w, mm), needs(k * w, mm), needs(w, mm / k));
            prop_assert!(more.needed() >= less.needed() && smaller.needed() >= less.needed());
            prop_assert!(more.wide_beam >= less.wide_beam);
        }
    }
}
