//! The only drawer of figures, for papers, the bench and overlays.
//!
//! ```text
//!   ●──────●  what was measured: accent          thin ink lines, one accent, figures of equal width
//!   ├──────┤  its dimension: thin ink, arrows    nothing is told by colour alone: dashes and words go with it
//! ```
//!
//! | ask for | look in |
//! |---|---|
//! | a section to scale, with its dimensions | [`section`] |
//! | what was read, drawn over a photo | [`photo`] |
//! | a section to expect, with the ends of its band | [`expected`] |
//! | how its throat answers to each knob | [`answers`] |
//! | the energy that a wobble lays on the seam | [`energy`] |
//! | a joint to scale, with the throat it needs | [`joint`] |
//! | a controlled area from above, to scale | [`plan`] |
//! | throats by coupon against bound and need | [`strip`] |
//! | what the lines on a photo stand for | [`legend`] |
//! | a figure as a picture | [`png`] |
//!
//! A figure is a function of its values. Its size is in millimetres of paper; its ink is `currentColor` and the paper
//! behind a label has the class `ground`, so a page on a dark ground can set both. Coordinates that are no numbers are
//! left out, text is escaped.
//!
//! Colours are those of Okabe and Ito, told apart by people with colour-weak eyes.

pub mod answers;
mod dimension;
pub mod energy;
pub mod expected;
mod hatch;
pub mod joint;
pub mod legend;
pub mod photo;
pub mod plan;
pub mod png;
pub mod section;
mod sheet;
pub mod strip;

use weld::measured::Measured;
use weld::quantity::Length;
use weld::quantity::show::{self, UnitSystem};
use weld::reading::Reading;

/// Ink of a figure on paper.
pub(crate) const INK: &str = "#16202a";
/// The accent: what the claim is about. Okabe and Ito's blue.
pub(crate) const ACCENT: &str = "#0072b2";
/// Orange.
pub(crate) const ORANGE: &str = "#e69f00";
/// Sky blue.
pub(crate) const SKY: &str = "#56b4e9";
/// Bluish green.
pub(crate) const GREEN: &str = "#009e73";
/// Yellow.
pub(crate) const YELLOW: &str = "#f0e442";
/// Vermilion.
pub(crate) const VERMILION: &str = "#d55e00";
/// Reddish purple.
pub(crate) const PURPLE: &str = "#cc79a7";

/// A drawn figure.
#[derive(Clone, Debug, PartialEq)]
pub struct Svg {
    text: String,
    width_mm: f64,
    height_mm: f64,
}

impl Svg {
    /// The drawing as text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.text
    }

    /// The drawing as text, given away.
    #[must_use]
    pub fn into_string(self) -> String {
        self.text
    }

    /// Width on paper, mm.
    #[must_use]
    pub const fn width_mm(&self) -> f64 {
        self.width_mm
    }

    /// Height on paper, mm.
    #[must_use]
    pub const fn height_mm(&self) -> f64 {
        self.height_mm
    }
}

/// Figures on one sheet, beside each other as long as they fit, then below.
#[must_use]
pub fn on_one_sheet(figures: &[Svg], width_mm: f64, words: &str) -> Svg {
    const APART: f64 = 6.0;
    let (mut x, mut y, mut row): (f64, f64, f64) = (0.0, 0.0, 0.0);
    let (mut wide, mut body): (f64, String) = (0.0, String::new());
    for figure in figures {
        if x > 0.0 && x + figure.width_mm > width_mm {
            (x, y, row) = (0.0, y + row + APART, 0.0);
        }
        let outer = format!(
            "width=\"{}mm\" height=\"{}mm\"",
            sheet::num(figure.width_mm),
            sheet::num(figure.height_mm)
        );
        // On the sheet a figure is as large as on its own paper, and the sheet counts in millimetres.
        let inner = format!(
            "x=\"{}\" y=\"{}\" {}",
            sheet::num(x),
            sheet::num(y),
            outer.replace("mm\"", "\"")
        );
        body.push_str(&figure.text.replacen(&outer, &inner, 1));
        wide = wide.max(x + figure.width_mm);
        x += figure.width_mm + APART;
        row = row.max(figure.height_mm);
    }
    let (width_mm, height_mm) = (wide.max(1.0), (y + row).max(1.0));
    let (w, h) = (sheet::num(width_mm), sheet::num(height_mm));
    let text = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 0 {w} {h}\" role=\"img\">\n<title>{}</title>\n{body}</svg>\n",
        sheet::escaped(words)
    );
    Svg { text, width_mm, height_mm }
}

/// A length for a drawing: rounded to its uncertainty where there is one, without the unit, which the drawing states
/// once.
pub(crate) fn bare_length(value: Measured<f64>, units: UnitSystem) -> String {
    let bare = |text: &str| text.split(' ').next().unwrap_or(text).to_owned();
    if !value.value.is_finite() {
        return "no value".to_owned();
    }
    if value.u.is_finite() && value.u > 0.0 {
        let m = Measured::new(Length::from_mm(value.value), Length::from_mm(value.u));
        return bare(&show::reading(m, units).value);
    }
    let decimals = match units {
        UnitSystem::Metric => 2,
        UnitSystem::Inch => 3,
    };
    bare(&show::show(Length::from_mm(value.value), show::Rounding::Nearest, decimals, units))
}

/// The same with its uncertainty, where there is one: `4.06, u 0.05`.
pub(crate) fn bare_length_and_u(value: Measured<f64>, units: UnitSystem) -> String {
    let first = bare_length(value, units);
    if !(value.u.is_finite() && value.u > 0.0 && value.value.is_finite()) {
        return first;
    }
    let m = Measured::new(Length::from_mm(value.value), Length::from_mm(value.u));
    match show::reading(m, units).u {
        Some(u) => format!("{first}, u {}", u.split(' ').next().unwrap_or_default()),
        None => first,
    }
}

/// The sentence under a drawing about its figures.
pub(crate) const fn unit_words(units: UnitSystem) -> &'static str {
    match units {
        UnitSystem::Metric => "dimensions in mm",
        UnitSystem::Inch => "dimensions in inches",
    }
}

/// What a reading is called where its place in the drawing says the rest.
pub(crate) const fn short_words(reading: Reading) -> &'static str {
    match reading {
        Reading::LegBase | Reading::LegUpright | Reading::NetLegUpright => "leg",
        Reading::RootPenetration => "root penetration",
        Reading::WidthSurface => "width",
        other => other.words(),
    }
}
