//! Numbers for people: rounded to their uncertainty, in columns.

use weld::measured::Measured;
use weld::quantity::show::{UnitSystem, reading as of_photo};
use weld::quantity::{Angle, Area, Length, Share};
use weld::reading::{Dimension, Reading};

/// A reading and its uncertainty, each with the unit, rounded to the uncertainty.
pub(crate) fn reading(reading: Reading, v: f64, u: f64) -> (String, String) {
    match reading {
        // Shares of a whole are percents; a ratio of two lengths is a plain number.
        Reading::Dilution | Reading::PoreAreaShare => value(reading.dimension(), v, u),
        _ if reading.dimension() == Dimension::Ratio => {
            let (shown, u) = value(Dimension::Length, v, u);
            (shown.trim_end_matches(" mm").to_owned(), u.trim_end_matches(" mm").to_owned())
        }
        _ => value(reading.dimension(), v, u),
    }
}

/// A value and its uncertainty, each with the unit, rounded to the uncertainty.
pub(crate) fn value(dimension: Dimension, value: f64, u: f64) -> (String, String) {
    let shown = match dimension {
        Dimension::Length => {
            of_photo(Measured::new(Length::from_mm(value), Length::from_mm(u)), UnitSystem::Metric)
        }
        Dimension::Area => {
            of_photo(Measured::new(Area::from_mm2(value), Area::from_mm2(u)), UnitSystem::Metric)
        }
        Dimension::Ratio => of_photo(
            Measured::new(Share::from_fraction(value), Share::from_fraction(u)),
            UnitSystem::Metric,
        ),
        Dimension::Angle => {
            of_photo(Measured::new(Angle::from_deg(value), Angle::from_deg(u)), UnitSystem::Metric)
        }
    };
    (shown.value, shown.u.unwrap_or_default())
}

/// Rows of cells as aligned text: the first column left, the others right, two blanks between.
pub(crate) fn aligned(rows: &[Vec<String>], indent: usize) -> String {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width = |c: usize| {
        rows.iter().filter_map(|r| r.get(c)).map(|t| t.chars().count()).max().unwrap_or(0)
    };
    let widths: Vec<usize> = (0..columns).map(width).collect();
    let mut text = String::new();
    for row in rows {
        let mut line = " ".repeat(indent);
        for (c, cell) in row.iter().enumerate() {
            let pad = widths[c] - cell.chars().count();
            if c == 0 {
                line.push_str(cell);
                line.push_str(&" ".repeat(pad));
            } else {
                line.push_str("  ");
                line.push_str(&" ".repeat(pad));
                line.push_str(cell);
            }
        }
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

/// Breaks a sentence into lines of at most 96 characters, the following ones indented.
pub(crate) fn wrapped(text: &str, first: &str, rest: &str) -> String {
    let mut out = String::new();
    let mut line = first.to_owned();
    let mut empty = true;
    for word in text.split_whitespace() {
        if !empty && line.chars().count() + 1 + word.chars().count() > 96 {
            out.push_str(line.trim_end());
            out.push('\n');
            line = rest.to_owned();
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    out.push_str(line.trim_end());
    out.push('\n');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_line_up() {
        let rows = [
            vec!["leg".to_owned(), "6.0 mm".to_owned()],
            vec!["throat".to_owned(), "12.25 mm".to_owned()],
        ];
        assert_eq!(aligned(&rows, 2), "  leg       6.0 mm\n  throat  12.25 mm\n");
    }

    #[test]
    fn values_are_rounded_to_their_uncertainty() {
        // 0.043 rounds to one figure, 0.04, and the value follows; 0.13 keeps two.
        assert_eq!(value(Dimension::Length, 4.0614, 0.043), ("4.06 mm".into(), "0.04 mm".into()));
        assert_eq!(value(Dimension::Length, 4.0614, 0.13), ("4.06 mm".into(), "0.13 mm".into()));
    }
}
