//! The section that a setting should make, with the ends of its band.
//!
//! ```text
//!        │ upright │        solid, hatched: expected
//!        │   ┊┌─┐╎ │╲       long dashes: high end of the band
//!   ─────┴───┊┤ ├╎─┴─╲──    dots: low end
//!            ┊└─┘╎          arrow: the beam's axis
//! ```
//!
//! Drawn by the same hand as a section that was read ([`section`](super::section)), but with no dimension that stands
//! without its band: what is written beside it comes in as words.
//!
//! Not covered: an arc's butt, which is filled by its preparation.

use super::dimension::{self, THIN};
use super::hatch::hatch;
use super::section::{
    HIDDEN, SCALES, SectionFigure, View, hidden, plates, scale_bar, usable, window,
};
use super::sheet::{Extent, INK_LINE, Pen, SIZE, Sheet, Type, sound};
use super::{ACCENT, ORANGE, Svg, VERMILION, unit_words};
use weld::quantity::Angle;
use weld::quantity::show::UnitSystem;
use weld::reading::Reading;
use weld::section::{Dimensioned, Point, Section};

/// Words for a reading, with its band in them.
#[derive(Clone, Debug, PartialEq)]
pub struct Banded {
    /// Where it is taken on the expected section.
    pub at: Dimensioned,
    /// What is written: `effective throat 4.1 (2.6 to 6.5)`.
    pub words: String,
}

/// An expected section to draw.
#[derive(Clone, Debug)]
pub struct ExpectedFigure<'a> {
    /// What is expected.
    pub section: &'a Section,
    /// Low and high end of the band; none where the setting lies outside the checked range.
    pub ends: Option<[Option<&'a Section>; 2]>,
    /// What is written beside it.
    pub readings: &'a [Banded],
    /// Where the beam's axis meets the plate, mm of the section, and its angle to the base.
    pub beam: Option<(Point, Angle)>,
    /// A sentence about the band, or about why there is none.
    pub band: &'a str,
    /// Widest it may be on paper, mm.
    pub width_mm: f64,
    /// Highest it may be on paper, mm.
    pub height_mm: f64,
}

const HIGH: &[f64] = &[2.4, 1.0];
const LOW: &[f64] = &[0.5, 0.8];
const UNITS: UnitSystem = UnitSystem::Metric;

/// Draws an expected section to scale.
#[must_use]
pub fn expected_drawing(figure: &ExpectedFigure<'_>) -> Svg {
    let width = usable(figure.width_mm, 110.0);
    let height = usable(figure.height_mm, 90.0);
    let mut seen = Extent::NONE;
    let ends = figure.ends.iter().flatten().flatten();
    for section in std::iter::once(figure.section).chain(ends.copied()) {
        let w = window(&bare(section, figure));
        if w.size().x > 0.0 {
            seen.hold(w.low);
            seen.hold(w.high);
        }
    }
    if seen.size().x <= 0.0 {
        seen = Extent { low: Point::new(-5.0, -5.0), high: Point::new(5.0, 5.0) };
    }
    let size = seen.size();
    let least = 0.4 * (width / size.x).min(height / size.y);
    let mut sheet = Sheet::default();
    for scale in SCALES.iter().copied().filter(|s| *s > least).chain([least, 0.5 * least]) {
        sheet = draw(figure, &seen, View { scale }, width);
        let taken = sheet.extent().size();
        if taken.x <= width && taken.y <= height {
            break;
        }
    }
    sheet.finish_around(
        0.4,
        "Section to expect of a setting, drawn to scale, with the ends of its band",
    )
}

/// A section as the drawer of sections takes it, without dimensions.
fn bare<'a>(section: &'a Section, figure: &ExpectedFigure<'_>) -> SectionFigure<'a> {
    SectionFigure {
        section,
        welds: &[],
        land: None,
        heat_affected: &[],
        units: UNITS,
        width_mm: figure.width_mm,
        height_mm: figure.height_mm,
    }
}

fn draw(figure: &ExpectedFigure<'_>, window: &Extent, view: View, width: f64) -> Sheet {
    let mut sheet = Sheet::default();
    plates(&mut sheet, &figure.section.plates, window, view);
    for fused in &figure.section.fused {
        let outline = view.all(&fused.outline);
        sheet.path(&outline, true, &Pen::fill("#ffffff", 0.75).class("ground fused-ground"));
        let lines = hatch(&outline, 1.3);
        let lines: Vec<&[Point]> = lines.iter().map(|l| l.as_slice()).collect();
        sheet.paths(&lines, false, &Pen::line(0.12).colour(ORANGE).class("hatch"));
    }
    hidden(&mut sheet, &figure.section.plates, window, view);
    let ends = figure.ends.unwrap_or_default();
    for (end, dash, class) in [(ends[0], LOW, "low"), (ends[1], HIGH, "high")] {
        for fused in end.iter().flat_map(|section| &section.fused) {
            let pen = Pen::line(0.35).colour(ACCENT).dashed(dash).class(class);
            sheet.path(&view.all(&fused.outline), true, &pen);
        }
    }
    for fused in &figure.section.fused {
        let pen = Pen::line(0.4).class("fused").rounded();
        sheet.path(&view.all(&fused.outline), true, &pen);
    }
    if let Some((at, angle)) = figure.beam {
        beam(&mut sheet, view.at(at), angle, window, view);
    }
    callouts(&mut sheet, figure, window, view);
    legend(&mut sheet, figure, view, width);
    sheet
}

/// The beam's axis, coming down from the right at its angle to the base.
fn beam(sheet: &mut Sheet, tip: Point, angle: Angle, window: &Extent, view: View) {
    let (sin, cos) = angle.rad().sin_cos();
    let from = Point::new(cos, -sin);
    // From the window's upper or right edge.
    let high = view.at(window.high);
    let up = if sin > 1e-6 { (tip.y - high.y) / sin } else { f64::INFINITY };
    let right = if cos > 1e-6 { (high.x - tip.x) / cos } else { f64::INFINITY };
    let far = up.min(right).clamp(4.0, 60.0);
    let pen = Pen::line(0.3).colour(VERMILION).class("beam");
    sheet.path(&[tip + from * far, tip], false, &pen);
    dimension::arrow(sheet, tip, from * -1.0, &pen);
}

/// Readings drawn where they are taken, named to the right of everything.
fn callouts(sheet: &mut Sheet, figure: &ExpectedFigure<'_>, window: &Extent, view: View) {
    let mut all: Vec<(&Banded, Point)> = Vec::new();
    for banded in figure.readings {
        let (a, b) = (view.at(banded.at.from), view.at(banded.at.to));
        if !(sound(a) && sound(b)) {
            continue;
        }
        let main = banded.at.reading == Reading::EffectiveThroat
            || banded.at.reading == Reading::Penetration;
        let pen = if main {
            Pen::line(0.45).colour(ACCENT).of(banded.at.reading.field())
        } else {
            Pen::line(0.25).of(banded.at.reading.field())
        };
        if (b - a).norm() > 2.5 * dimension::ARROW {
            dimension::line(sheet, a, b, &pen);
        } else {
            sheet.path(&[a, b], false, &pen.class("dimension"));
        }
        // A leader from the end that is nearer to where the words stand.
        all.push((banded, if a.x > b.x { a } else { b }));
    }
    all.sort_by(|a, b| a.1.y.total_cmp(&b.1.y));
    let wanted: Vec<f64> = all.iter().map(|(_, p)| p.y).collect();
    let places = dimension::spread(&wanted, &vec![5.0; all.len()]);
    let x = view.at(window.high).x + 3.0;
    for ((banded, end), y) in all.iter().zip(places) {
        let main = banded.at.reading == Reading::EffectiveThroat
            || banded.at.reading == Reading::Penetration;
        let colour = if main { ACCENT } else { INK_LINE };
        let pen = Pen::line(THIN).colour(colour).class("leader");
        sheet.path(&[*end, Point::new(x, y), Point::new(x + 1.4, y)], false, &pen);
        let set = Type::plain().size(2.6).colour(colour);
        let set = if main { set.bold() } else { set };
        sheet.text(Point::new(x + 2.0, y + 0.35 * SIZE), &set, &banded.words);
    }
}

fn legend(sheet: &mut Sheet, figure: &ExpectedFigure<'_>, view: View, width: f64) {
    let e = sheet.extent();
    let set = Type::plain().size(2.4);
    let (left, right) = (e.low.x, (e.low.x + width - 1.0).max(e.high.x));
    let (mut x, mut y) = (left, e.high.y + 5.0);
    scale_bar(sheet, Point::new(x, y), view.scale, UNITS, 22.0);
    x = sheet.extent().high.x.min(left + 42.0).max(left + 34.0);
    sheet.text(Point::new(x, y + 0.8), &set, unit_words(UNITS));
    x += set.width(unit_words(UNITS)) + 5.0;
    let ink = |dash| Pen::line(0.35).colour(ACCENT).dashed(dash);
    let mut items = vec![(Pen::line(0.4), "expected")];
    if figure.ends.is_some() {
        items.push((ink(HIGH), "high end of the band"));
        items.push((ink(LOW), "low end"));
    }
    items.push((Pen::line(THIN).dashed(HIDDEN), "before welding"));
    if figure.beam.is_some() {
        items.push((Pen::line(0.3).colour(VERMILION), "beam's axis"));
    }
    for (pen, words) in items {
        let room = 9.0 + set.width(words) + 4.0;
        if x + room > right && x > left {
            x = left;
            y += 4.4;
        }
        sheet.path(&[Point::new(x, y), Point::new(x + 7.5, y)], false, &pen);
        sheet.text(Point::new(x + 9.0, y + 0.8), &set, words);
        x += room;
    }
    for line in wrapped(figure.band, &set, right - left) {
        y += 4.4;
        sheet.text(Point::new(left, y + 0.8), &set, &line);
    }
}

/// A browser may set words in a wider face than the one that they are measured in.
const ROOM: f64 = 0.84;

/// Words in lines that are no wider than asked, whatever face they are set in.
pub(super) fn wrapped(words: &str, set: &Type<'_>, width: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words.split_whitespace() {
        match lines.last_mut() {
            Some(line) if set.width(&format!("{line} {word}")) <= ROOM * width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}
