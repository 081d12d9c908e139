//! A joint drawn to scale, with the throat that its load needs.
//!
//! ```text
//!        │  5  │
//!        │     │╲  needed throat 3.20
//!   ─────┴─────┴─╲────
//!           8
//!   ──────────────────
//! ```
//!
//! The needed throat is drawn as the flat-faced triangle that has it, without any penetration: what must be there from
//! root to face, wherever the root lies. In a butt joint it is the depth to be fused.

use super::dimension::{self, THIN};
use super::hatch::hatch;
use super::section::{scale_bar, usable};
use super::sheet::{Anchor, INK_LINE, Pen, SIZE, Sheet, Type};
use super::{ACCENT, Svg, bare_length, unit_words};
use weld::measured::Measured;
use weld::quantity::show::{Rounding, UnitSystem, show};
use weld::quantity::{Angle, Length};
use weld::section::Point;

/// The plates of a joint, before anything is welded.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum JointPlates {
    /// One plate.
    Bead {
        /// Its thickness.
        plate: Length,
    },
    /// Two plates edge to edge.
    Butt {
        /// Their thickness.
        plate: Length,
        /// Gap between them.
        gap: Length,
    },
    /// An upright standing on a base.
    Tee {
        /// Thickness of the base.
        base: Length,
        /// Thickness of the upright.
        upright: Length,
        /// Angle between them on the right hand side.
        angle: Angle,
        /// Gap between them.
        gap: Length,
    },
}

/// A joint to draw.
#[derive(Clone, Copy, Debug)]
pub struct JointFigure {
    /// Its plates.
    pub plates: JointPlates,
    /// Welded from both sides.
    pub both_sides: bool,
    /// Throat that one weld needs, when it is known.
    pub need: Option<Length>,
    /// Units of the figures.
    pub units: UnitSystem,
    /// Widest it may be on paper, mm.
    pub width_mm: f64,
    /// Highest it may be on paper, mm.
    pub height_mm: f64,
}

/// A length that a plate or a throat can have on paper, mm.
fn mm(length: Length) -> f64 {
    let v = length.mm();
    if v.is_finite() { v.clamp(0.0, 1e4) } else { 0.0 }
}

/// Draws a joint to scale.
#[must_use]
pub fn joint_drawing(figure: &JointFigure) -> Svg {
    let (width, height) = (usable(figure.width_mm, 80.0), usable(figure.height_mm, 70.0));
    let scales =
        [10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.5, 2.0, 1.5, 1.0, 0.75, 0.5, 0.2, 0.1, 0.05, 0.01, 0.002];
    let mut sheet = Sheet::default();
    for scale in scales {
        sheet = draw(figure, scale);
        let taken = sheet.extent().size();
        if taken.x <= width && taken.y <= height {
            break;
        }
    }
    sheet.finish_around(0.4, "Joint before welding, drawn to scale, with the needed throat")
}

fn draw(figure: &JointFigure, s: f64) -> Sheet {
    let mut sheet = Sheet::default();
    match figure.plates {
        JointPlates::Tee { base, upright, angle, gap } => {
            tee(&mut sheet, figure, s, [mm(base), mm(upright), mm(gap)], angle);
        }
        JointPlates::Butt { plate, gap } => butt(&mut sheet, figure, s, mm(plate), Some(mm(gap))),
        JointPlates::Bead { plate } => butt(&mut sheet, figure, s, mm(plate), None),
    }
    let e = sheet.extent();
    let at = Point::new(e.low.x, e.high.y + 4.5);
    scale_bar(&mut sheet, at, s, figure.units, 18.0);
    let words = unit_words(figure.units);
    sheet.text(
        Point::new(sheet.extent().high.x.min(e.low.x + 36.0).max(e.low.x + 32.0), at.y + 0.9),
        &Type::plain().size(2.4),
        words,
    );
    sheet
}

fn figure_of(v: f64, units: UnitSystem) -> String {
    let text = bare_length(Measured::new(v, 0.0), units);
    // A plate's nominal thickness needs no decimals that say nothing.
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// The need, rounded up.
fn need_words(need: Length, units: UnitSystem) -> String {
    let decimals = if units == UnitSystem::Metric { 2 } else { 3 };
    let text = show(need, Rounding::Up, decimals, units);
    format!("needed throat {}", text.split(' ').next().unwrap_or_default())
}

fn thickness(sheet: &mut Sheet, a: Point, b: Point, text: &str) {
    dimension::line(sheet, a, b, &Pen::line(THIN).class("dimension thickness"));
    let level = (a.y - b.y).abs() < 1e-6;
    let middle = a.towards(b, 0.5);
    if level {
        sheet.text(middle + Point::new(0.0, -0.9), &Type::plain().at(Anchor::Middle), text);
    } else {
        sheet.text(middle + Point::new(-1.0, 0.35 * SIZE), &Type::plain().at(Anchor::End), text);
    }
}

fn tee(
    sheet: &mut Sheet,
    figure: &JointFigure,
    s: f64,
    [base, upright, gap]: [f64; 3],
    angle: Angle,
) {
    let radians = dihedral(angle);
    let (sin, cos) = radians.sin_cos();
    let need = figure.need.map(mm).filter(|n| *n > 0.0);
    // The triangle of throat a between plates at an angle has equal legs a / sin(half of the angle beside the face).
    let leg = |a: f64, angle: f64| a / (0.5 * angle).cos().max(0.1);
    let span = need.map_or(0.0, |a| leg(a, radians.clamp(0.5, 2.6)));
    let half = upright / sin / 2.0;
    let side = (1.6 * span).max(1.4 * upright).max(0.6 * base).max(1.0);
    let (left, right) = (-half - side, half + side);
    let top = (1.7 * span).max(1.8 * upright) + gap;
    let at = |x: f64, y: f64| Point::new(s * x, -s * y);
    let body = Pen { fill: Some(INK_LINE), fill_opacity: 0.07, ..Pen::line(0.0) };
    let edge = Pen::line(0.25).class("edge");
    sheet.path(
        &[at(left, 0.0), at(right, 0.0), at(right, -base), at(left, -base)],
        true,
        &Pen { stroke: None, ..body },
    );
    for y in [0.0, -base] {
        sheet.path(&[at(left, y), at(right, y)], false, &edge);
    }
    let lean = |x: f64, y: f64| at(x + y * cos / sin, y);
    let faces = [-half, half];
    sheet.path(
        &[lean(faces[0], gap), lean(faces[0], top), lean(faces[1], top), lean(faces[1], gap)],
        true,
        &Pen { stroke: None, ..body },
    );
    for x in faces {
        sheet.path(&[lean(x, gap), lean(x, top)], false, &edge);
    }
    if gap > 0.0 {
        sheet.path(&[lean(faces[0], gap), lean(faces[1], gap)], false, &edge);
    }
    if let Some(a) = need {
        let sides: &[(f64, f64)] =
            if figure.both_sides { &[(1.0, half), (-1.0, -half)] } else { &[(1.0, half)] };
        for &(out, x) in sides {
            let between = if out > 0.0 { radians } else { std::f64::consts::PI - radians };
            let leg = leg(a, between);
            let corner = Point::new(x, 0.0);
            let up = Point::new(cos, sin);
            let (p, q) = (corner + Point::new(out * leg, 0.0), corner + up * leg);
            let to = |p: Point| at(p.x, p.y);
            let outline = [to(corner), to(p), to(q)];
            let lines = hatch(&outline, 1.3);
            let lines: Vec<&[Point]> = lines.iter().map(|l| l.as_slice()).collect();
            sheet.paths(&lines, false, &Pen::line(0.12).colour(ACCENT));
            sheet.path(
                &outline,
                true,
                &Pen::line(0.3).colour(ACCENT).dashed(&[1.6, 0.8]).class("needed"),
            );
            let foot = p.towards(q, 0.5);
            let (c, f) = (to(corner), to(foot));
            if (f - c).norm() > 2.5 * dimension::ARROW {
                dimension::line(
                    sheet,
                    c,
                    f,
                    &Pen::line(0.4).colour(ACCENT).class("dimension needed-throat"),
                );
            } else {
                sheet.path(
                    &[c, f],
                    false,
                    &Pen::line(0.4).colour(ACCENT).class("dimension needed-throat"),
                );
            }
            if out > 0.0 {
                let Some(dir) = (f - c).unit() else { continue };
                let bend = f + dir * 5.0;
                let bend = Point::new(bend.x.max(s * (x + leg)) + 1.0, bend.y.min(-3.0));
                let shelf = bend + Point::new(1.6, 0.0);
                sheet.path(
                    &[f, bend, shelf],
                    false,
                    &Pen::line(THIN).colour(ACCENT).class("leader"),
                );
                let words = figure.need.map(|n| need_words(n, figure.units)).unwrap_or_default();
                sheet.text(
                    shelf + Point::new(0.6, 0.35 * SIZE),
                    &Type::plain().bold().colour(ACCENT),
                    &words,
                );
                if figure.both_sides {
                    sheet.text(
                        shelf + Point::new(0.6, 0.35 * SIZE + 3.6),
                        &Type::plain().size(2.4).colour(ACCENT),
                        "on each side",
                    );
                }
            }
        }
    }
    let y = top - 0.18 * (top - gap);
    thickness(sheet, lean(faces[0], y), lean(faces[1], y), &figure_of(upright, figure.units));
    let words = figure_of(base, figure.units);
    let x = left + (0.3 * side).max((Type::plain().width(&words) + 2.0) / s);
    thickness(sheet, at(x, 0.0), at(x, -base), &words);
    if gap > 0.0 {
        sheet.text(
            at(left, gap) + Point::new(0.0, -1.0),
            &Type::plain().size(2.4),
            &format!("gap {}", figure_of(gap, figure.units)),
        );
    }
}

fn butt(sheet: &mut Sheet, figure: &JointFigure, s: f64, plate: f64, gap: Option<f64>) {
    let plate = plate.max(0.01);
    let half = 0.5 * gap.unwrap_or(0.0);
    let reach = half + 2.2 * plate;
    let at = |x: f64, y: f64| Point::new(s * x, -s * y);
    let edge = Pen::line(0.25).class("edge");
    for side in [-1.0, 1.0] {
        let (near, far) = (side * half, side * reach);
        let corners = [at(far, 0.0), at(near, 0.0), at(near, -plate), at(far, -plate)];
        sheet.path(&corners, true, &Pen::fill(INK_LINE, 0.07));
        sheet.path(&[corners[0], corners[1]], false, &edge);
        sheet.path(&[corners[2], corners[3]], false, &edge);
        if gap.is_some() {
            sheet.path(&[corners[1], corners[2]], false, &edge);
        }
    }
    if let Some(need) = figure.need.filter(|n| n.is_finite() && mm(*n) > 0.0) {
        let a = mm(need);
        let wide = 0.5 * plate;
        let sides: &[f64] = if figure.both_sides { &[0.0, 1.0] } else { &[0.0] };
        for &bottom in sides {
            let y = |d: f64| if bottom > 0.0 { -plate + d } else { -d };
            let outline =
                [at(-wide, y(0.0)), at(wide, y(0.0)), at(0.6 * wide, y(a)), at(-0.6 * wide, y(a))];
            let lines = hatch(&outline, 1.3);
            let lines: Vec<&[Point]> = lines.iter().map(|l| l.as_slice()).collect();
            sheet.paths(&lines, false, &Pen::line(0.12).colour(ACCENT));
            sheet.path(
                &outline,
                true,
                &Pen::line(0.3).colour(ACCENT).dashed(&[1.6, 0.8]).class("needed"),
            );
        }
        let x = reach + 3.0 / s;
        let (top, low) = (at(x, 0.0), at(x, -a));
        for p in [(half, 0.0), (0.6 * wide, -a)] {
            dimension::extension(sheet, at(p.0, p.1), at(x, p.1));
        }
        dimension::line(
            sheet,
            top,
            low,
            &Pen::line(0.4).colour(ACCENT).class("dimension needed-throat"),
        );
        sheet.text(
            top.towards(low, 0.5) + Point::new(1.6, 0.35 * SIZE),
            &Type::plain().bold().colour(ACCENT),
            &need_words(need, figure.units),
        );
    }
    let x = -reach + 0.9 * plate;
    thickness(sheet, at(x, 0.0), at(x, -plate), &figure_of(plate, figure.units));
    if let Some(gap) = gap.filter(|g| *g > 0.0) {
        sheet.text(
            at(0.0, 0.0) + Point::new(0.0, -1.2),
            &Type::plain().size(2.4).at(Anchor::Middle),
            &format!("gap {}", figure_of(gap, figure.units)),
        );
    }
}

/// An angle that plates can have: between 30 and 150 degrees, square where it is no number.
fn dihedral(angle: Angle) -> f64 {
    let a = angle.rad();
    if a.is_finite() { a.clamp(0.5, 2.6) } else { std::f64::consts::FRAC_PI_2 }
}
