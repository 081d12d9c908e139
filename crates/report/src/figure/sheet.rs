//! A sheet to draw on: millimetres of paper, x to the right, y down.
//!
//! Everything that goes on it is checked: a line with a coordinate that is no number, or that lies a kilometre off, is
//! left out; text is made printable and escaped; figures have at most two decimals and zero has no sign.

use super::{INK, Svg};
use crate::faces::{self, FAMILY, Weight};
use std::fmt::Write as _;
use weld::section::Point;

/// The stroke and fill of a shape.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Pen<'a> {
    /// Colour of the line.
    pub(crate) stroke: Option<&'a str>,
    /// Its width, mm.
    pub(crate) width: f64,
    /// Dashes and gaps, mm.
    pub(crate) dash: &'a [f64],
    /// Colour of the inside.
    pub(crate) fill: Option<&'a str>,
    /// How much of the fill shows, 0 to 1; 0 means all of it.
    pub(crate) fill_opacity: f64,
    /// How much of the line shows, 0 to 1; 0 means all of it.
    pub(crate) opacity: f64,
    /// What it stands for, for pages and tests.
    pub(crate) class: &'a str,
    /// The reading that it shows.
    pub(crate) reading: &'a str,
    /// Round ends and corners.
    pub(crate) round: bool,
}

/// Ink.
pub(crate) const INK_LINE: &str = "currentColor";

impl<'a> Pen<'a> {
    pub(crate) const fn line(width: f64) -> Self {
        Self {
            stroke: Some(INK_LINE),
            width,
            dash: &[],
            fill: None,
            fill_opacity: 0.0,
            opacity: 0.0,
            class: "",
            reading: "",
            round: false,
        }
    }

    pub(crate) const fn fill(colour: &'a str, opacity: f64) -> Self {
        Self { stroke: None, fill: Some(colour), fill_opacity: opacity, ..Self::line(0.0) }
    }

    pub(crate) const fn colour(self, colour: &'a str) -> Self {
        Self { stroke: Some(colour), ..self }
    }

    pub(crate) const fn dashed(self, dash: &'a [f64]) -> Self {
        Self { dash, ..self }
    }

    pub(crate) const fn class(self, class: &'a str) -> Self {
        Self { class, ..self }
    }

    pub(crate) const fn of(self, reading: &'a str) -> Self {
        Self { reading, ..self }
    }

    pub(crate) const fn faint(self, opacity: f64) -> Self {
        Self { opacity, ..self }
    }

    pub(crate) const fn rounded(self) -> Self {
        Self { round: true, ..self }
    }
}

/// Which end of a text its place is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// How a text is set.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Type<'a> {
    pub(crate) size: f64,
    pub(crate) weight: Weight,
    pub(crate) anchor: Anchor,
    pub(crate) colour: &'a str,
    /// Degrees, clockwise on the sheet, about its place.
    pub(crate) turn: f64,
    pub(crate) class: &'a str,
}

/// Size of the letters in figures, mm: eight points.
pub(crate) const SIZE: f64 = 2.8;

impl<'a> Type<'a> {
    pub(crate) const fn plain() -> Self {
        Self {
            size: SIZE,
            weight: Weight::Regular,
            anchor: Anchor::Start,
            colour: INK_LINE,
            turn: 0.0,
            class: "",
        }
    }

    pub(crate) const fn at(self, anchor: Anchor) -> Self {
        Self { anchor, ..self }
    }

    pub(crate) const fn bold(self) -> Self {
        Self { weight: Weight::Bold, ..self }
    }

    pub(crate) const fn colour(self, colour: &'a str) -> Self {
        Self { colour, ..self }
    }

    pub(crate) const fn size(self, size: f64) -> Self {
        Self { size, ..self }
    }

    pub(crate) const fn turned(self, turn: f64) -> Self {
        Self { turn, ..self }
    }

    pub(crate) const fn class(self, class: &'a str) -> Self {
        Self { class, ..self }
    }

    pub(crate) fn width(&self, text: &str) -> f64 {
        faces::width(&faces::printable(text, false), self.size, self.weight)
    }

    /// Corners of the box around a line of text.
    pub(crate) fn corners(&self, at: Point, text: &str) -> [Point; 4] {
        let w = self.width(text);
        let left = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => -0.5 * w,
            Anchor::End => -w,
        };
        let (up, down) = (-0.76 * self.size, 0.24 * self.size);
        let (sin, cos) = self.turn.to_radians().sin_cos();
        [(left, up), (left + w, up), (left + w, down), (left, down)]
            .map(|(x, y)| at + Point::new(x * cos - y * sin, x * sin + y * cos))
    }
}

/// What lies on a sheet, from its upper left to its lower right corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Extent {
    pub(crate) low: Point,
    pub(crate) high: Point,
}

impl Extent {
    /// Nothing at all.
    pub(crate) const NONE: Self = Self {
        low: Point::new(f64::INFINITY, f64::INFINITY),
        high: Point::new(f64::NEG_INFINITY, f64::NEG_INFINITY),
    };

    pub(crate) fn hold(&mut self, p: Point) {
        self.low = Point::new(self.low.x.min(p.x), self.low.y.min(p.y));
        self.high = Point::new(self.high.x.max(p.x), self.high.y.max(p.y));
    }

    pub(crate) fn size(&self) -> Point {
        if self.low.x > self.high.x { Point::default() } else { self.high - self.low }
    }
}

/// A figure being drawn.
#[derive(Clone, Debug)]
pub(crate) struct Sheet {
    body: String,
    extent: Extent,
}

impl Default for Sheet {
    fn default() -> Self {
        Self { body: String::new(), extent: Extent::NONE }
    }
}

impl Sheet {
    /// What has been drawn so far lies within.
    pub(crate) const fn extent(&self) -> Extent {
        self.extent
    }

    /// Leaves room, as if something were drawn there.
    pub(crate) fn hold(&mut self, p: Point) {
        if sound(p) {
            self.extent.hold(p);
        }
    }

    /// A line through points, or a closed outline.
    pub(crate) fn path(&mut self, points: &[Point], closed: bool, pen: &Pen<'_>) {
        self.paths(&[points], closed, pen);
    }

    /// Several lines with one pen.
    pub(crate) fn paths(&mut self, lines: &[&[Point]], closed: bool, pen: &Pen<'_>) {
        let mut d = String::new();
        for line in lines {
            if line.len() < 2 || !line.iter().copied().all(sound) {
                continue;
            }
            for (i, p) in line.iter().enumerate() {
                self.extent.hold(*p);
                d.push(if i == 0 { 'M' } else { 'L' });
                let _ = write!(d, "{} {}", num(p.x), num(p.y));
            }
            if closed {
                d.push('Z');
            }
        }
        if d.is_empty() {
            return;
        }
        let _ = write!(self.body, "<path d=\"{d}\"");
        self.pen(pen);
        self.body.push_str("/>\n");
    }

    /// A circle.
    pub(crate) fn circle(&mut self, at: Point, radius: f64, pen: &Pen<'_>) {
        if !sound(at) || !radius.is_finite() {
            return;
        }
        self.extent.hold(at - Point::new(radius, radius));
        self.extent.hold(at + Point::new(radius, radius));
        let _ = write!(
            self.body,
            "<circle cx=\"{}\" cy=\"{}\" r=\"{}\"",
            num(at.x),
            num(at.y),
            num(radius.clamp(0.0, FAR))
        );
        self.pen(pen);
        self.body.push_str("/>\n");
    }

    /// A rectangle from its upper left corner, with rounded corners when `round` is above 0.
    pub(crate) fn rect(&mut self, at: Point, size: Point, round: f64, pen: &Pen<'_>) {
        if !sound(at) || !sound(size) || size.x <= 0.0 || size.y <= 0.0 {
            return;
        }
        self.extent.hold(at);
        self.extent.hold(at + size);
        let _ = write!(
            self.body,
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"",
            num(at.x),
            num(at.y),
            num(size.x),
            num(size.y)
        );
        if round > 0.0 {
            let _ = write!(self.body, " rx=\"{}\"", num(round));
        }
        self.pen(pen);
        self.body.push_str("/>\n");
    }

    /// A line of text; its place is on the base line.
    pub(crate) fn text(&mut self, at: Point, set: &Type<'_>, text: &str) {
        if !sound(at) || text.is_empty() || !set.turn.is_finite() {
            return;
        }
        for corner in set.corners(at, text) {
            self.extent.hold(corner);
        }
        let _ = write!(
            self.body,
            "<text x=\"{}\" y=\"{}\" font-size=\"{}\"",
            num(at.x),
            num(at.y),
            num(set.size)
        );
        if set.weight == Weight::Bold {
            self.body.push_str(" font-weight=\"700\"");
        }
        match set.anchor {
            Anchor::Start => {}
            Anchor::Middle => self.body.push_str(" text-anchor=\"middle\""),
            Anchor::End => self.body.push_str(" text-anchor=\"end\""),
        }
        if set.turn != 0.0 {
            let _ = write!(
                self.body,
                " transform=\"rotate({} {} {})\"",
                num(set.turn),
                num(at.x),
                num(at.y)
            );
        }
        if !set.class.is_empty() {
            let _ = write!(self.body, " class=\"{}\"", set.class);
        }
        let _ = writeln!(self.body, " fill=\"{}\">{}</text>", set.colour, escaped(text));
    }

    /// A picture, given as a place or as bytes in the drawing.
    pub(crate) fn image(&mut self, at: Point, size: Point, href: &str) {
        if !sound(at) || !sound(size) {
            return;
        }
        self.extent.hold(at);
        self.extent.hold(at + size);
        let _ = writeln!(
            self.body,
            "<image x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" preserveAspectRatio=\"none\" href=\"{}\"/>",
            num(at.x),
            num(at.y),
            num(size.x),
            num(size.y),
            attribute(href)
        );
    }

    /// Lets what follows belong together, with words for those who point at it.
    pub(crate) fn open(&mut self, class: &str, title: &str) {
        let _ = write!(self.body, "<g class=\"{class}\">");
        if !title.is_empty() {
            let _ = write!(self.body, "<title>{}</title>", escaped(title));
        }
        self.body.push('\n');
    }

    /// Ends what [`open`](Self::open) began.
    pub(crate) fn close(&mut self) {
        self.body.push_str("</g>\n");
    }

    /// The figure from its upper left corner on, with a sentence for those who cannot see it.
    pub(crate) fn finish(self, from: Point, size: Point, words: &str) -> Svg {
        let side = |v: f64| if v.is_finite() { v.clamp(1.0, 2000.0) } else { 1.0 };
        let from = if sound(from) { from } else { Point::default() };
        let (width_mm, height_mm) = (side(size.x), side(size.y));
        let (w, h) = (num(width_mm), num(height_mm));
        let text = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"{} {} {w} {h}\" \
             color=\"{INK}\" font-family=\"{FAMILY}\" role=\"img\">\n<title>{}</title>\n{}</svg>\n",
            num(from.x),
            num(from.y),
            escaped(words),
            self.body
        );
        Svg { text, width_mm, height_mm }
    }

    /// The figure with a margin about all that was drawn.
    pub(crate) fn finish_around(self, margin: f64, words: &str) -> Svg {
        let Extent { low, .. } = self.extent;
        let size = self.extent.size() + Point::new(2.0 * margin, 2.0 * margin);
        self.finish(low - Point::new(margin, margin), size, words)
    }

    fn pen(&mut self, pen: &Pen<'_>) {
        let b = &mut self.body;
        match pen.fill {
            Some(fill) => {
                let _ = write!(b, " fill=\"{fill}\"");
                if pen.fill_opacity > 0.0 && pen.fill_opacity < 1.0 {
                    let _ = write!(b, " fill-opacity=\"{}\"", num(pen.fill_opacity));
                }
            }
            None => b.push_str(" fill=\"none\""),
        }
        if let Some(stroke) = pen.stroke.filter(|_| pen.width > 0.0) {
            let _ = write!(b, " stroke=\"{stroke}\" stroke-width=\"{}\"", num(pen.width));
            if !pen.dash.is_empty() {
                let dash: Vec<String> = pen.dash.iter().map(|d| num(*d)).collect();
                let _ = write!(b, " stroke-dasharray=\"{}\"", dash.join(" "));
            }
            if pen.opacity > 0.0 && pen.opacity < 1.0 {
                let _ = write!(b, " stroke-opacity=\"{}\"", num(pen.opacity));
            }
            if pen.round {
                b.push_str(" stroke-linejoin=\"round\" stroke-linecap=\"round\"");
            }
        }
        if !pen.class.is_empty() {
            let _ = write!(b, " class=\"{}\"", pen.class);
        }
        if !pen.reading.is_empty() {
            let _ = write!(b, " data-reading=\"{}\"", pen.reading);
        }
    }
}

/// Further away than this from the sheet's corner, mm, nothing is drawn.
const FAR: f64 = 1e6;

pub(crate) fn sound(p: Point) -> bool {
    p.x.is_finite() && p.y.is_finite() && p.x.abs() < FAR && p.y.abs() < FAR
}

/// A coordinate: two decimals at most, no sign on zero.
pub(crate) fn num(v: f64) -> String {
    let mut text = format!("{v:.2}");
    if text.contains('.') {
        let kept = text.trim_end_matches('0').trim_end_matches('.').len();
        text.truncate(kept);
    }
    if text == "-0" { "0".to_owned() } else { text }
}

fn attribute(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            c if c.is_control() || c == '\u{fffe}' || c == '\u{ffff}' => {}
            c => out.push(c),
        }
    }
    out
}

/// Text for between tags.
pub(crate) fn escaped(text: &str) -> String {
    attribute(&faces::printable(text, false))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn zero_has_no_sign_and_no_tail() {
        assert_eq!(num(-0.0), "0");
        assert_eq!(num(-0.004), "0");
        assert_eq!(num(2.5), "2.5");
        assert_eq!(num(100.0), "100");
    }

    #[test]
    fn text_cannot_leave_its_place() {
        let mut sheet = Sheet::default();
        sheet.text(Point::new(1.0, 1.0), &Type::plain(), "</text><script>\"a\" & b\u{0}");
        let svg = sheet.finish(Point::default(), Point::new(10.0, 10.0), "x]]>");
        assert!(
            svg.as_str().contains("&lt;/text&gt;&lt;script&gt;&quot;a&quot; &amp; b</text>"),
            "{}",
            svg.as_str()
        );
    }

    #[test]
    fn what_is_no_number_is_left_out() {
        let mut sheet = Sheet::default();
        sheet.path(&[Point::new(f64::NAN, 0.0), Point::new(1.0, 1.0)], false, &Pen::line(0.2));
        sheet.circle(Point::new(1e9, 0.0), 1.0, &Pen::line(0.2));
        sheet.text(Point::new(0.0, f64::INFINITY), &Type::plain(), "x");
        assert!(sheet.body.is_empty());
    }
}
