//! Values by coupon against the bound and the need.
//!
//! ```text
//!            need 3.20      claim 3.61
//!   A1   │     ┆              │    ─●─ ─◆─   ─●─      6, least 3.74
//!   A2   ①     ┆              │  ─◆─  ─●─             5, least 3.66
//!        └──┬─────┬─────┬─────┬─────┬──
//!   ● left weld   ◆ right weld   ─ two standard uncertainties each way   ① cut lost
//! ```
//!
//! One row a coupon, one line in it for each section, so that neither marks nor bars cover each other. Sides of a weld
//! have their own marks. A section without a value is an open mark at the axis with the number of its reason: it is
//! part of the picture, not left away.

use super::section::usable;
use super::sheet::{Anchor, INK_LINE, Pen, SIZE, Sheet, Type};
use super::{ACCENT, ORANGE, Svg, bare_length};
use crate::faces::fitted;
use weld::claim::BlankReason;
use weld::measured::Measured;
use weld::quantity::Length;
use weld::quantity::show::{Rounding, UnitSystem, against, show};
use weld::section::{Point, Side};

/// One value.
#[derive(Clone, Debug, PartialEq)]
pub struct StripValue {
    /// The section, as labelled.
    pub section: String,
    /// The weld it belongs to.
    pub side: Side,
    /// The value, mm, with its standard uncertainty; 0 or no number: no bar.
    pub value: Measured<f64>,
}

/// One coupon.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StripGroup {
    /// The coupon, as labelled.
    pub coupon: String,
    /// Its values.
    pub values: Vec<StripValue>,
    /// Its sections without a value, as labelled, and why.
    pub left_out: Vec<(String, BlankReason)>,
}

/// Values to plot.
#[derive(Clone, Debug)]
pub struct Strip<'a> {
    /// What is plotted: 'effective throat'.
    pub words: &'a str,
    /// By coupon.
    pub groups: &'a [StripGroup],
    /// The bound that may be claimed, mm.
    pub bound_mm: Option<f64>,
    /// What is needed, mm.
    pub need_mm: Option<f64>,
    /// Units of the axis.
    pub units: UnitSystem,
    /// Width on paper, mm.
    pub width_mm: f64,
}

/// The number by which a reason is known in the plot.
#[must_use]
pub const fn reason_number(reason: BlankReason) -> usize {
    match reason {
        BlankReason::CutLost => 1,
        BlankReason::EtchFailed => 2,
        BlankReason::PlannedExclusion => 3,
    }
}

/// A mark, and the words for it.
const fn side_words(side: Side) -> &'static str {
    match side {
        Side::Only => "weld",
        Side::Left => "left weld",
        Side::Right => "right weld",
        Side::Top => "top weld",
        Side::Bottom => "bottom weld",
    }
}

/// The axis: where values are on the sheet.
struct Axis {
    low: f64,
    high: f64,
    from: f64,
    to: f64,
}

impl Axis {
    fn at(&self, v: f64) -> f64 {
        self.from + (v - self.low) / (self.high - self.low) * (self.to - self.from)
    }
}

const LINE: f64 = 2.1;

/// Plots values by coupon, all in one drawing.
#[must_use]
pub fn strip_plot(strip: &Strip<'_>) -> Svg {
    plot(strip, strip.groups)
}

/// The same in drawings no higher than a page allows, all with one axis.
#[must_use]
pub fn strip_plots(strip: &Strip<'_>, height_mm: f64) -> Vec<Svg> {
    let room = usable(height_mm, 200.0) - 34.0;
    let mut out = Vec::new();
    let mut start = 0;
    while start < strip.groups.len() {
        let (mut end, mut taken) = (start, 0.0);
        while end < strip.groups.len() {
            let row = row_height(&strip.groups[end]);
            if end > start && taken + row > room {
                break;
            }
            taken += row;
            end += 1;
        }
        out.push(plot(strip, &strip.groups[start..end]));
        start = end;
    }
    out
}

fn row_height(group: &StripGroup) -> f64 {
    // A coupon of hundreds of sections gets finer lines, not a drawing of metres.
    let values = line_height(group) * group.values.len().max(1) as f64 + 2.4;
    let gone = 3.2 * group.left_out.len().div_ceil(2).min(20) as f64 + 1.4;
    values.max(gone).max(5.4)
}

fn line_height(group: &StripGroup) -> f64 {
    LINE.min(60.0 / group.values.len().max(1) as f64)
}

fn finite<'a>(strip: &'a Strip<'_>) -> impl Iterator<Item = Measured<f64>> + 'a {
    let all = strip.groups.iter().flat_map(|g| &g.values).map(|v| v.value);
    all.filter(|v| v.value.is_finite() && v.value.abs() < 1e6)
}

fn bar_half(v: Measured<f64>) -> f64 {
    if v.u.is_finite() && v.u > 0.0 { (2.0 * v.u).min(1e6) } else { 0.0 }
}

/// One unit of the axis, mm.
const fn unit(units: UnitSystem) -> f64 {
    match units {
        UnitSystem::Metric => 1.0,
        UnitSystem::Inch => 25.4,
    }
}

/// A step that people count in: 1, 2 or 5 of some power of ten, about `count` of them.
fn step_of(span: f64, count: f64) -> f64 {
    let raw = (span / count).max(1e-9);
    let power = 10_f64.powf(raw.log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|m| m * power).find(|s| *s >= raw * 0.999).unwrap_or(raw)
}

fn plot(strip: &Strip<'_>, groups: &[StripGroup]) -> Svg {
    let width = usable(strip.width_mm, 170.0);
    let mut sheet = Sheet::default();
    sheet.hold(Point::default());
    sheet.hold(Point::new(width, 0.0));
    let (plain, small) = (Type::plain(), Type::plain().size(2.4));
    let one = unit(strip.units);
    let lines: Vec<f64> = [strip.bound_mm, strip.need_mm]
        .into_iter()
        .flatten()
        .filter(|v| v.is_finite() && v.abs() < 1e6)
        .collect();
    let mut low = f64::INFINITY;
    let mut high = f64::NEG_INFINITY;
    for v in finite(strip) {
        low = low.min(v.value - bar_half(v));
        high = high.max(v.value + bar_half(v));
    }
    for v in &lines {
        low = low.min(*v);
        high = high.max(*v);
    }
    if low > high {
        (low, high) = (0.0, one);
    }
    let span = (high - low).max(0.02 * high.abs()).max(0.01 * one);
    let step = step_of(1.1 * span / one, 7.0) * one;
    let axis_low = ((low - 0.04 * span) / step).floor() * step;
    let axis_high = ((high + 0.04 * span) / step).ceil() * step;

    let name_most = (0.22 * width).min(34.0);
    let names: Vec<String> = groups
        .iter()
        .map(|g| {
            fitted(&crate::faces::printable(&g.coupon, false), plain.size, plain.weight, name_most)
        })
        .collect();
    let name_room = names.iter().map(|n| plain.width(n)).fold(12.0, f64::max);
    let summary_room = 30.0_f64.min(0.2 * width);
    let axis = Axis {
        low: axis_low,
        high: axis_high,
        from: name_room + 9.0,
        to: width - summary_room - 2.0,
    };

    // Heads of the two lines, each in its own row, so that they cannot meet.
    let head = 11.0;
    let rows: f64 = groups.iter().map(row_height).sum();
    let (top, floor) = (head, head + rows.max(6.0));
    ticks(&mut sheet, &axis, step, top, floor, strip);
    need_and_bound(&mut sheet, strip, &axis, top, floor);

    let mut y = top;
    let several = groups.iter().flat_map(|g| &g.values).any(|v| v.side != Side::Only);
    for (group, name) in groups.iter().zip(&names) {
        let height = row_height(group);
        sheet.open("coupon", &group.coupon);
        sheet.text(
            Point::new(name_room, y + 0.5 * height + 0.35 * SIZE),
            &plain.at(Anchor::End),
            name,
        );
        let line = line_height(group);
        let first = y + 0.5 * (height - line * group.values.len() as f64) + 0.5 * line;
        for (i, v) in group.values.iter().enumerate() {
            value(&mut sheet, v, &axis, first + line * i as f64, line, strip.units);
        }
        let pairs = group.left_out.len().div_ceil(2).min(20) as f64;
        for (i, (section, reason)) in group.left_out.iter().take(40).enumerate() {
            let down = 3.2 * ((i / 2) as f64 - 0.5 * (pairs - 1.0));
            let at = Point::new(axis.from - 2.2 - 3.4 * (i % 2) as f64, y + 0.5 * height + down);
            left_out(&mut sheet, at, *reason, section);
        }
        summary(
            &mut sheet,
            group,
            Point::new(axis.to + 2.5, y + 0.5 * height + 0.35 * 2.4),
            strip.units,
        );
        y += height;
        sheet.path(
            &[Point::new(0.0, y), Point::new(width, y)],
            false,
            &Pen::line(0.1).faint(0.35).class("row"),
        );
        sheet.close();
    }
    sheet.path(
        &[Point::new(0.0, top), Point::new(width, top)],
        false,
        &Pen::line(0.1).faint(0.35).class("row"),
    );
    sheet.text(Point::new(name_room, top - 1.6), &small.at(Anchor::End), "coupon");
    legend(&mut sheet, groups, several, width, floor + 13.0);
    let e = sheet.extent();
    sheet.finish(
        Point::new(0.0, e.low.y.min(0.0)),
        Point::new(width, e.high.y - e.low.y.min(0.0) + 0.6),
        &format!("{} by coupon, with what may be claimed and what is needed", strip.words),
    )
}

fn ticks(sheet: &mut Sheet, axis: &Axis, step: f64, top: f64, floor: f64, strip: &Strip<'_>) {
    let one = unit(strip.units);
    let decimals =
        usize::try_from((-(step / one).log10().floor()).clamp(0.0, 6.0) as i64).unwrap_or(0);
    let count = ((axis.high - axis.low) / step).round().clamp(1.0, 40.0) as i64;
    let grid = Pen::line(0.1).faint(0.3).class("grid");
    let small = Type::plain().size(2.4).at(Anchor::Middle);
    for i in 0..=count {
        let v = axis.low + step * i as f64;
        let x = axis.at(v);
        sheet.path(&[Point::new(x, top), Point::new(x, floor)], false, &grid);
        sheet.path(&[Point::new(x, floor), Point::new(x, floor + 1.2)], false, &Pen::line(0.2));
        let text = format!("{:.decimals$}", v / one);
        let text = if text.trim_start_matches(['-', '0', '.']).is_empty() {
            text.trim_start_matches('-').to_owned()
        } else {
            text
        };
        sheet.text(Point::new(x, floor + 4.0), &small, &text);
    }
    sheet.path(
        &[Point::new(axis.from, floor), Point::new(axis.to, floor)],
        false,
        &Pen::line(0.25).class("axis"),
    );
    let unit = if strip.units == UnitSystem::Metric { "mm" } else { "in" };
    let words = format!("{}, {unit}", strip.words);
    sheet.text(
        Point::new(0.5 * (axis.from + axis.to), floor + 8.0),
        &Type::plain().at(Anchor::Middle),
        &words,
    );
}

fn need_and_bound(sheet: &mut Sheet, strip: &Strip<'_>, axis: &Axis, top: f64, floor: f64) {
    let decimals = if strip.units == UnitSystem::Metric { 2 } else { 3 };
    let bare = |text: &str| text.to_owned();
    let (bound, need) = match (strip.bound_mm, strip.need_mm) {
        (Some(b), Some(n)) => {
            let a = against(Length::from_mm(b), Length::from_mm(n), decimals, strip.units);
            (Some(bare(&a.bound)), Some(bare(&a.need)))
        }
        (b, n) => (
            b.map(|b| bare(&show(Length::from_mm(b), Rounding::Down, decimals, strip.units))),
            n.map(|n| bare(&show(Length::from_mm(n), Rounding::Up, decimals, strip.units))),
        ),
    };
    let mut head = |value: Option<f64>, words: String, y: f64, pen: Pen<'_>, set: Type<'_>| {
        let Some(v) = value.filter(|v| v.is_finite() && v.abs() < 1e6) else { return };
        let x = axis.at(v);
        sheet.path(&[Point::new(x, y - 2.4), Point::new(x, floor + 1.2)], false, &pen);
        let right = x + 1.2 + set.width(&words) < axis.to + 20.0;
        let (at, anchor) = if right { (x + 1.2, Anchor::Start) } else { (x - 1.2, Anchor::End) };
        sheet.text(Point::new(at, y), &set.at(anchor), &words);
    };
    let _ = top;
    if let Some(text) = need {
        head(
            strip.need_mm,
            format!("needed {text}"),
            3.0,
            Pen::line(0.35).dashed(&[1.6, 0.9]).class("need"),
            Type::plain().bold(),
        );
    }
    if let Some(text) = bound {
        head(
            strip.bound_mm,
            format!("may be claimed {text}"),
            7.4,
            Pen::line(0.45).colour(ACCENT).class("bound"),
            Type::plain().bold().colour(ACCENT),
        );
    }
}

fn mark(sheet: &mut Sheet, at: Point, side: Side, line: f64) {
    let r = (0.42 * line).clamp(0.2, 0.85);
    match side {
        Side::Only | Side::Left | Side::Top => {
            sheet.circle(at, r, &Pen::fill(INK_LINE, 0.0).class("value"));
        }
        Side::Right | Side::Bottom => {
            let d = 1.35 * r;
            let corners =
                [(0.0, -d), (d, 0.0), (0.0, d), (-d, 0.0)].map(|(x, y)| at + Point::new(x, y));
            let pen = Pen { fill: Some(ORANGE), ..Pen::line(0.18) };
            sheet.path(&corners, true, &pen.class("value"));
        }
    }
}

fn value(sheet: &mut Sheet, v: &StripValue, axis: &Axis, y: f64, line: f64, units: UnitSystem) {
    if !(v.value.value.is_finite() && v.value.value.abs() < 1e6) {
        return;
    }
    let at = Point::new(axis.at(v.value.value), y);
    let title = format!(
        "section {}, {}: {}",
        v.section,
        side_words(v.side),
        super::bare_length_and_u(v.value, units)
    );
    sheet.open("section", &title);
    let half = bar_half(v.value);
    if half > 0.0 {
        let ends = [axis.at(v.value.value - half), axis.at(v.value.value + half)]
            .map(|x| Point::new(x, y));
        sheet.path(&ends, false, &Pen::line(0.22).class("u"));
    }
    mark(sheet, at, v.side, line);
    sheet.close();
}

fn left_out(sheet: &mut Sheet, at: Point, reason: BlankReason, section: &str) {
    sheet.open("left-out", &format!("section {section}: {reason}"));
    let pen = Pen { fill: Some("#ffffff"), ..Pen::line(0.22) };
    sheet.circle(at, 1.45, &pen.class("left-out"));
    sheet.text(
        at + Point::new(0.0, 0.75),
        &Type::plain().size(2.1).at(Anchor::Middle),
        &reason_number(reason).to_string(),
    );
    sheet.close();
}

fn summary(sheet: &mut Sheet, group: &StripGroup, at: Point, units: UnitSystem) {
    let least = group
        .values
        .iter()
        .map(|v| v.value)
        .filter(|v| v.value.is_finite())
        .min_by(|a, b| a.value.total_cmp(&b.value));
    let count = group.values.iter().filter(|v| v.value.value.is_finite()).count();
    let words = match least {
        Some(v) if count == 1 => format!("1 value, {}", bare_length(v, units)),
        Some(v) => format!("{count} values, least {}", bare_length(v, units)),
        None => "no value".to_owned(),
    };
    sheet.text(at, &Type::plain().size(2.4), &words);
}

fn legend(sheet: &mut Sheet, groups: &[StripGroup], several: bool, width: f64, y: f64) {
    let set = Type::plain().size(2.4);
    let (mut x, mut y) = (0.0, y);
    let mut room = |w: f64, x: &mut f64| {
        if *x > 0.0 && *x + w > width {
            *x = 0.0;
            y += 4.2;
        }
        let at = Point::new(*x, y);
        *x += w;
        at
    };
    let mut sides: Vec<Side> = groups.iter().flat_map(|g| &g.values).map(|v| v.side).collect();
    sides.sort();
    sides.dedup();
    for side in sides {
        let words = if several { side_words(side) } else { "one section" };
        let at = room(5.0 + set.width(words) + 4.0, &mut x);
        mark(sheet, at + Point::new(1.2, -0.9), side, LINE);
        sheet.text(at + Point::new(3.6, 0.0), &set, words);
    }
    let barred = groups.iter().flat_map(|g| &g.values).any(|v| bar_half(v.value) > 0.0);
    if barred {
        let words = "value ± 2 u";
        let at = room(8.0 + set.width(words) + 4.0, &mut x);
        sheet.path(
            &[at + Point::new(0.0, -0.9), at + Point::new(6.0, -0.9)],
            false,
            &Pen::line(0.22),
        );
        sheet.text(at + Point::new(7.4, 0.0), &set, words);
    }
    for reason in BlankReason::ALL {
        if groups.iter().flat_map(|g| &g.left_out).any(|(_, r)| *r == reason) {
            let words = format!("section left out: {reason}");
            let at = room(5.0 + set.width(&words) + 4.0, &mut x);
            left_out(sheet, at + Point::new(1.5, -0.9), reason, "sample");
            sheet.text(at + Point::new(4.0, 0.0), &set, &words);
        }
    }
}
