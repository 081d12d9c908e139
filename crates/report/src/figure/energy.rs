//! The energy that a wobbling beam lays on each place of the seam, drawn to scale.
//!
//! ```text
//!   ┌──────────────────┐ ─┐
//!   │▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓│  │ ▓▓▓▓▓    darker is more; the profile beside it says how much,
//!   │░/\░░/\░░/\░░/\░░░│  │ ░░       as a mean along the seam
//!   │▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓│  │ ▓▓▓▓▓
//!   └──────────────────┘ ─┘
//!     travel ──►
//! ```
//!
//! Geometry of the setting as it is given, energy in the beam: nothing is absorbed here, so there is no band.

use super::section::{scale_bar, usable};
use super::sheet::{Anchor, INK_LINE, Pen, Sheet, Type};
use super::{ACCENT, Svg};
use weld::quantity::show::{UnitSystem, significant};
use weld::section::Point;

/// A map to draw. It repeats along the seam.
#[derive(Clone, Debug)]
pub struct EnergyFigure<'a> {
    /// Step between places along the seam, mm.
    pub step_along_mm: f64,
    /// Step between places across the seam, mm.
    pub step_across_mm: f64,
    /// Places across the seam.
    pub across: usize,
    /// J/mm² at each place, row by row along the seam.
    pub j_per_mm2: &'a [f64],
    /// The way of the beam's centre over one repeat, mm: along and across the seam.
    pub way: &'a [[f64; 2]],
    /// Full travel of the beam's centre; 0: it does not swing.
    pub swing_mm: f64,
    /// Diameter of the spot on the surface.
    pub spot_mm: f64,
    /// Widest it may be on paper, mm.
    pub width_mm: f64,
}

/// Shades; a profile beside the map says the rest.
const LEVELS: usize = 6;
/// Places that are drawn at most, so that a page stays small.
const MOST_PLACES: usize = 24_000;

/// Draws a map to scale.
#[must_use]
pub fn energy_drawing(figure: &EnergyFigure<'_>) -> Svg {
    let width = usable(figure.width_mm, 110.0);
    let mut sheet = Sheet::default();
    let across = figure.across.max(1);
    let rows = figure.j_per_mm2.len() / across;
    let pitch = figure.step_along_mm * rows as f64;
    let wide = figure.step_across_mm * across as f64;
    let peak = figure.j_per_mm2.iter().copied().filter(|e| e.is_finite()).fold(0.0, f64::max);
    if !(rows > 0 && pitch > 0.0 && wide > 0.0 && peak > 0.0) {
        sheet.text(Point::new(0.0, 4.0), &Type::plain(), "no energy to draw");
        return sheet.finish_around(0.4, "Energy on the seam: none");
    }
    // As much of the seam as is half as long again as it is wide, and no more places than a page bears.
    let most = (MOST_PLACES / (across * rows)).max(1);
    let repeats = ((1.5 * wide / pitch).ceil() as usize).clamp(1, most);
    let long = pitch * repeats as f64;
    let profile_mm = 26.0;
    let s = ((width - profile_mm - 22.0).max(10.0) / long).min(60.0 / wide);
    let at = |along: f64, y: f64| Point::new(s * along, s * (0.5 * wide - y));
    // One path for each shade; places beside each other of one shade are one piece.
    let level = |e: f64| ((e / peak * LEVELS as f64) as usize).min(LEVELS - 1);
    for shade in 1..LEVELS {
        let mut pieces: Vec<Vec<Point>> = Vec::new();
        for b in 0..across {
            let (low, high) =
                (b as f64 * figure.step_across_mm, (b + 1) as f64 * figure.step_across_mm);
            let mut begun: Option<usize> = None;
            for a in 0..=rows * repeats {
                let here =
                    a < rows * repeats && level(figure.j_per_mm2[(a % rows) * across + b]) == shade;
                match (begun, here) {
                    (None, true) => begun = Some(a),
                    (Some(from), false) => {
                        let (x0, x1) =
                            (from as f64 * figure.step_along_mm, a as f64 * figure.step_along_mm);
                        let (y0, y1) = (low - 0.5 * wide, high - 0.5 * wide);
                        pieces.push(vec![at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1)]);
                        begun = None;
                    }
                    _ => {}
                }
            }
        }
        let pieces: Vec<&[Point]> = pieces.iter().map(Vec::as_slice).collect();
        let strength = shade as f64 / (LEVELS - 1) as f64;
        sheet.paths(
            &pieces,
            true,
            &Pen::fill(ACCENT, 0.12 + 0.75 * strength * 0.99).class("energy"),
        );
    }
    let frame =
        [at(0.0, 0.5 * wide), at(long, 0.5 * wide), at(long, -0.5 * wide), at(0.0, -0.5 * wide)];
    sheet.path(&frame, true, &Pen::line(0.2).class("frame"));
    // The way of the centre, where it can be told from a filled band.
    if figure.swing_mm > 0.0 && s * pitch > 1.2 {
        let mut way: Vec<Point> = Vec::new();
        for i in 0..repeats {
            way.extend(figure.way.iter().map(|[x, y]| at(x + i as f64 * pitch, *y)));
        }
        let inside = |p: &Point| p.x >= 0.0 && p.x <= s * long;
        for run in way.split(|p| !inside(p)) {
            sheet.path(run, false, &Pen::line(0.25).class("way"));
        }
    }
    widths(&mut sheet, figure, s, wide, at(0.0, 0.0));
    profile(
        &mut sheet,
        figure,
        Frame { s, wide, rows, from: s * long + 4.0, room: profile_mm - 6.0 },
    );
    let below = sheet.extent().high.y + 4.5;
    scale_bar(&mut sheet, Point::new(0.0, below), s, UnitSystem::Metric, 18.0);
    let set = Type::plain().size(2.4);
    let mut x = 30.0;
    sheet.text(Point::new(x, below + 0.8), &set, "travel");
    x += set.width("travel") + 1.5;
    let tip = Point::new(x + 6.0, below);
    sheet.path(&[Point::new(x, below), tip], false, &Pen::line(0.2));
    super::dimension::arrow(&mut sheet, tip, Point::new(1.0, 0.0), &Pen::line(0.2));
    x += 10.0;
    for shade in [1, LEVELS / 2, LEVELS - 1] {
        let strength = shade as f64 / (LEVELS - 1) as f64;
        let swatch = Point::new(x, below - 1.4);
        sheet.rect(
            swatch,
            Point::new(4.0, 2.8),
            0.0,
            &Pen::fill(ACCENT, 0.12 + 0.75 * strength * 0.99),
        );
        let words = format!("from {}", significant(peak * shade as f64 / LEVELS as f64, 2));
        sheet.text(Point::new(x + 5.0, below + 0.8), &set, &words);
        x += 5.0 + set.width(&words) + 3.0;
    }
    sheet.text(Point::new(x, below + 0.8), &set, "J/mm², in the beam");
    sheet.finish_around(
        0.4,
        "Energy on each place of the seam, drawn to scale, and its mean across the seam",
    )
}

/// The swing and the spot, at the left.
fn widths(sheet: &mut Sheet, figure: &EnergyFigure<'_>, s: f64, wide: f64, middle: Point) {
    let set = Type::plain().size(2.4).at(Anchor::Middle).turned(-90.0);
    let swings = figure.swing_mm > 0.0;
    let (span, words) = if swings {
        (figure.swing_mm, format!("swing {} mm", significant(figure.swing_mm, 3)))
    } else {
        (figure.spot_mm, format!("spot {} mm", significant(figure.spot_mm, 3)))
    };
    let half = 0.5 * s * span.min(wide);
    let (a, b) = (middle + Point::new(-3.0, -half), middle + Point::new(-3.0, half));
    for p in [a, b] {
        super::dimension::extension(sheet, Point::new(0.0, p.y), p);
    }
    super::dimension::line(sheet, a, b, &Pen::line(super::dimension::THIN));
    sheet.text(middle + Point::new(-4.4, 0.0), &set, &words);
}

struct Frame {
    s: f64,
    wide: f64,
    rows: usize,
    from: f64,
    room: f64,
}

/// The mean along the seam at each place across it.
fn profile(sheet: &mut Sheet, figure: &EnergyFigure<'_>, frame: Frame) {
    let Frame { s, wide, rows, from, room } = frame;
    let across = figure.across.max(1);
    let mean: Vec<f64> = (0..across)
        .map(|b| (0..rows).map(|a| figure.j_per_mm2[a * across + b]).sum::<f64>() / rows as f64)
        .collect();
    let most = mean.iter().copied().fold(0.0, f64::max);
    if most <= 0.0 {
        return;
    }
    let y = |b: f64| s * (wide - (b + 0.5) * figure.step_across_mm);
    let line: Vec<Point> = mean
        .iter()
        .enumerate()
        .map(|(b, e)| Point::new(from + room * e / most, y(b as f64)))
        .collect();
    sheet.path(&[Point::new(from, 0.0), Point::new(from, s * wide)], false, &Pen::line(0.2));
    sheet.path(&line, false, &Pen::line(0.4).colour(ACCENT).class("profile"));
    let set = Type::plain().size(2.4);
    let Some((at, _)) = mean.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1)) else { return };
    let top = Point::new(from + room, y(at as f64));
    sheet.text(
        top + Point::new(1.0, 0.8),
        &set.colour(ACCENT),
        &format!("{} J/mm²", significant(most, 2)),
    );
    let middle = mean[across / 2];
    if figure.swing_mm > 0.0 && middle < 0.9 * most {
        let words = format!("middle {}", significant(middle, 2));
        let at = Point::new(from + room * middle / most, 0.5 * s * wide);
        sheet.text(at + Point::new(1.0, 0.8), &set.colour(INK_LINE), &words);
    }
    sheet.text(Point::new(from, s * wide + 3.2), &set, "mean along the seam");
}
