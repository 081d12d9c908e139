//! How a throat answers to what a hand or a knob changes, each answer with its band.
//!
//! ```text
//!                     less  │  more
//!   1 mm/s slower           ├■■■■■■──┤     + 0.31 (0.19 to 0.50)
//!   aim 0.3 mm up   ├──■■■■■┤              − 0.22 (− 0.40 to − 0.10)
//! ```

use super::section::usable;
use super::sheet::{Anchor, Pen, Sheet, Type};
use super::{ACCENT, Svg, VERMILION};
use weld::section::Point;

/// One answer.
#[derive(Clone, Debug, PartialEq)]
pub struct AnswerBar {
    /// What is changed.
    pub change: String,
    /// By how much the throat grows, mm.
    pub throat_mm: f64,
    /// The same at the ends of the band, the less first; none: no band.
    pub band_mm: Option<[f64; 2]>,
}

/// Answers to draw.
#[derive(Clone, Debug)]
pub struct AnswersFigure<'a> {
    /// The answers.
    pub bars: &'a [AnswerBar],
    /// Widest it may be on paper, mm.
    pub width_mm: f64,
}

/// Room of one answer, mm of paper.
const STEP: f64 = 6.4;

/// An answer as its figure is written: with a sign, to a hundredth, with its band.
#[must_use]
pub fn answer_words(bar: &AnswerBar) -> String {
    let signed = |v: f64| {
        let rounded = format!("{:.2}", v.abs());
        match rounded.as_str() {
            "0.00" => rounded,
            _ if v < 0.0 => format!("\u{2212} {rounded}"),
            _ => format!("+ {rounded}"),
        }
    };
    match bar.band_mm {
        Some([low, high]) => {
            format!("{} mm ({} to {})", signed(bar.throat_mm), signed(low), signed(high))
        }
        None => format!("{} mm (no band)", signed(bar.throat_mm)),
    }
}

/// Draws answers on one scale.
#[must_use]
pub fn answers_drawing(figure: &AnswersFigure<'_>) -> Svg {
    let width = usable(figure.width_mm, 110.0);
    let mut sheet = Sheet::default();
    let set = Type::plain().size(2.6);
    let bars: Vec<&AnswerBar> = figure.bars.iter().filter(|b| b.throat_mm.is_finite()).collect();
    let span = |b: &AnswerBar| {
        let [low, high] = b.band_mm.unwrap_or([b.throat_mm; 2]);
        [low.min(b.throat_mm), high.max(b.throat_mm)]
    };
    let least = bars.iter().map(|b| span(b)[0]).fold(0.0, f64::min);
    let most = bars.iter().map(|b| span(b)[1]).fold(0.0, f64::max);
    // A screen sets letters wider than paper does.
    let names = 1.15 * bars.iter().map(|b| set.width(&b.change)).fold(0.0, f64::max);
    let words = 1.15 * bars.iter().map(|b| set.width(&answer_words(b))).fold(0.0, f64::max);
    let room = (width - names - words - 8.0).max(20.0);
    let s = room / (most - least).max(0.1);
    let zero = names + 4.0 - s * least;
    let x = |v: f64| zero + s * v;
    let foot = STEP * bars.len() as f64;
    sheet.hold(Point::default());
    sheet.hold(Point::new(names + 7.0 + room + words, foot));
    for (i, bar) in bars.iter().enumerate() {
        let y = STEP * (i as f64 + 0.5);
        sheet.text(Point::new(names, y + 0.9), &set.at(Anchor::End), &bar.change);
        let colour = if bar.throat_mm < 0.0 { VERMILION } else { ACCENT };
        let (left, right) = (x(bar.throat_mm.min(0.0)), x(bar.throat_mm.max(0.0)));
        let size = Point::new((right - left).max(0.15), 2.6);
        sheet.rect(Point::new(left, y - 1.3), size, 0.0, &Pen::fill(colour, 0.55).class("answer"));
        if let Some([low, high]) = bar.band_mm {
            let pen = Pen::line(0.3).class("band");
            sheet.path(&[Point::new(x(low), y), Point::new(x(high), y)], false, &pen);
            for end in [low, high] {
                let ends = [Point::new(x(end), y - 1.1), Point::new(x(end), y + 1.1)];
                sheet.path(&ends, false, &Pen::line(0.3));
            }
        }
        let at = Point::new(names + 4.0 + room + 3.0, y + 0.9);
        sheet.text(at, &set, &answer_words(bar));
    }
    sheet.path(
        &[Point::new(zero, 0.0), Point::new(zero, foot)],
        false,
        &Pen::line(0.25).class("zero"),
    );
    let note = Type::plain().size(2.4);
    let under = "change of the throat; bars: as expected, lines: where the depth is off by the band's factor either way";
    for (i, line) in super::expected::wrapped(under, &note, width - 2.0).iter().enumerate() {
        sheet.text(Point::new(0.0, foot + 4.0 + 3.6 * i as f64), &note, line);
    }
    sheet.finish_around(0.4, "How the throat answers to what a hand or a knob changes")
}
