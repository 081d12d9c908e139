//! The two faces that everything is set in, and the widths of their letters.
//!
//! `DejaVu Sans Condensed`, regular and bold: all its digits are equally wide, so columns of figures line up.
//!
//! Not covered: scripts that the face has no letters for (Chinese, Japanese, Korean, emoji). A letter it does not have
//! is printed as its code point, so that nothing is lost without a trace.

use std::fmt::Write as _;
use std::sync::LazyLock;
use ttf_parser::Face;

/// Regular.
pub(crate) fn regular() -> &'static [u8] {
    dejavu::sans_condensed::regular()
}

/// Bold.
pub(crate) fn bold() -> &'static [u8] {
    dejavu::sans_condensed::bold()
}

/// How a drawing asks for the face: the built-in one, or its nearest kin where a browser draws.
pub(crate) const FAMILY: &str = "DejaVu Sans Condensed, DejaVu Sans, Arial, sans-serif";

/// How a paper asks for it: the typesetter files the condensed cut under the family's plain name.
pub(crate) const PAPER_FAMILY: &str = "DejaVu Sans";

/// How heavy letters are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Weight {
    Regular,
    Bold,
}

static REGULAR: LazyLock<Option<Face<'static>>> = LazyLock::new(|| Face::parse(regular(), 0).ok());
static BOLD: LazyLock<Option<Face<'static>>> = LazyLock::new(|| Face::parse(bold(), 0).ok());

/// Width of a line of text, in the unit of `size`. Kerning is left out: it only makes the line narrower.
pub(crate) fn width(text: &str, size: f64, weight: Weight) -> f64 {
    let face = match weight {
        Weight::Regular => REGULAR.as_ref(),
        Weight::Bold => BOLD.as_ref(),
    };
    let Some(face) = face else { return 0.6 * size * text.chars().count() as f64 };
    let em = f64::from(face.units_per_em());
    let units: f64 = text
        .chars()
        .map(|c| {
            face.glyph_index(c).and_then(|g| face.glyph_hor_advance(g)).map_or(0.6 * em, f64::from)
        })
        .sum();
    size * units / em
}

fn has(c: char) -> bool {
    REGULAR.as_ref().is_none_or(|face| face.glyph_index(c).is_some())
}

/// Text from elsewhere, made fit to print: no control letters, none that turn the direction of reading, and those that
/// the face does not have as their code points. New lines stay when `lines` is set.
pub(crate) fn printable(text: &str, lines: bool) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\n' if lines => out.push('\n'),
            // Letters with no mark of their own that join, part or turn what stands beside them.
            '\u{200b}'..='\u{200f}'
            | '\u{202a}'..='\u{202e}'
            | '\u{2060}'..='\u{2069}'
            | '\u{feff}' => {}
            c if c.is_whitespace() => out.push(' '),
            c if c.is_control() => {}
            c if has(c) => out.push(c),
            c => {
                let _ = write!(out, "[U+{:04X}]", c as u32);
            }
        }
    }
    out
}

/// Cuts a line to a width, with a mark where it was cut.
pub(crate) fn fitted(text: &str, size: f64, weight: Weight, most: f64) -> String {
    if width(text, size, weight) <= most {
        return text.to_owned();
    }
    let mut kept = String::new();
    let mut used = width("…", size, weight);
    for c in text.chars() {
        let mut buffer = [0; 4];
        used += width(c.encode_utf8(&mut buffer), size, weight);
        if used > most {
            break;
        }
        kept.push(c);
    }
    format!("{}…", kept.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_are_equally_wide() {
        let zero = width("0", 10.0, Weight::Regular);
        assert!(zero > 5.0 && zero < 6.5, "{zero}");
        for digit in "123456789".chars() {
            assert!((width(&digit.to_string(), 10.0, Weight::Regular) - zero).abs() < 1e-12);
        }
    }

    #[test]
    fn text_from_elsewhere_is_made_printable() {
        assert_eq!(printable("a\u{202e}b\u{7}c\td\n", false), "abc d ");
        assert_eq!(printable("one\ntwo", true), "one\ntwo");
        assert_eq!(printable("é µm Ω Я", false), "é µm Ω Я");
        assert_eq!(printable("中", false), "[U+4E2D]");
    }

    #[test]
    fn a_long_line_is_cut_with_a_mark() {
        let cut = fitted("a rather long name of a coupon", 3.0, Weight::Regular, 20.0);
        assert!(cut.ends_with('…') && width(&cut, 3.0, Weight::Regular) <= 20.0, "{cut}");
        assert_eq!(fitted("A1", 3.0, Weight::Regular, 20.0), "A1");
    }
}
