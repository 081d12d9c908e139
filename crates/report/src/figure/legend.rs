//! What the lines on a photo stand for: a strip to stand under it.
//!
//! Samples carry the colours and dashes that were painted, given by whoever painted them.

use super::Svg;
use super::section::usable;
use super::sheet::{Pen, SIZE, Sheet, Type};
use weld::section::Point;

/// How a sample is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sample {
    /// A piece of line.
    Line,
    /// A line with end strokes, as a dimension has.
    Ends,
    /// A ring.
    Ring,
    /// A square.
    Square,
}

/// One entry.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// What it stands for.
    pub words: String,
    /// How it is drawn.
    pub sample: Sample,
    /// Red, green, blue.
    pub colour: [u8; 3],
    /// Width of the line, mm.
    pub width: f64,
    /// Dashes and gaps, mm.
    pub dash: Vec<f64>,
}

const LINE: f64 = 5.4;
const SAMPLE: f64 = 9.0;
const EDGE: f64 = 2.5;

/// Draws the legend, as wide as asked and as high as it takes.
#[must_use]
pub fn legend(items: &[Item], width_mm: f64) -> Svg {
    let width = usable(width_mm, 160.0);
    let set = Type::plain().colour("#ffffff");
    let mut placed = Vec::new();
    let (mut x, mut y) = (EDGE, EDGE + 0.5 * LINE);
    for item in items {
        let room = SAMPLE + 1.5 + set.width(&item.words);
        if x > EDGE && x + room > width - EDGE {
            (x, y) = (EDGE, y + LINE);
        }
        placed.push((Point::new(x, y), item));
        x += room + 6.0;
    }
    let size = Point::new(width, y + 0.5 * LINE + EDGE);
    let mut sheet = Sheet::default();
    // A little over the edge: a last row of pixels that is covered in part would show the paper.
    sheet.rect(
        Point::default(),
        size + Point::new(0.0, 1.0),
        0.0,
        &Pen::fill("#0b0f14", 1.0).class("ground"),
    );
    for (at, item) in placed {
        let [r, g, b] = item.colour;
        let colour = format!("#{r:02x}{g:02x}{b:02x}");
        let pen = Pen::line(item.width).colour(&colour).dashed(&item.dash).class("sample");
        let (a, b) = (at, at + Point::new(SAMPLE, 0.0));
        let (middle, half) = (a.towards(b, 0.5), 1.1);
        match item.sample {
            Sample::Ring => sheet.circle(middle, half, &Pen { dash: &[], ..pen }),
            Sample::Square => {
                let corner = Point::new(half, half);
                sheet.path(
                    &[
                        middle - corner,
                        middle + Point::new(half, -half),
                        middle + corner,
                        middle + Point::new(-half, half),
                    ],
                    true,
                    &Pen { dash: &[], ..pen },
                );
            }
            Sample::Line | Sample::Ends => {
                sheet.path(&[a, b], false, &pen);
                if item.sample == Sample::Ends {
                    for end in [a, b] {
                        let stroke = Point::new(0.0, half);
                        sheet.path(&[end - stroke, end + stroke], false, &Pen { dash: &[], ..pen });
                    }
                }
            }
        }
        sheet.text(b + Point::new(1.5, 0.35 * SIZE), &set, &item.words);
    }
    sheet.finish(Point::default(), size, "What the lines on the photo stand for")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn item(words: &str) -> Item {
        Item {
            words: words.to_owned(),
            sample: Sample::Line,
            colour: [230, 159, 0],
            width: 0.4,
            dash: vec![2.0, 1.0],
        }
    }

    /// Two entries that do not fit beside each other stand under each other: one line more, 5.4 mm.
    #[test]
    fn entries_wrap_and_every_word_is_there() {
        let long = "a line whose words are as long as half of the narrow strip";
        let [one, two] = [1, 2].map(|n| legend(&vec![item(long); n], 100.0));
        assert!((two.height_mm() - one.height_mm() - LINE).abs() < 1e-9);
        assert!((one.width_mm() - 100.0).abs() < 1e-9);
        assert_eq!(two.as_str().matches(long).count(), 2);
        assert!(two.as_str().contains("#e69f00"));
    }
}
