//! A controlled area drawn to scale, seen from above.
//!
//! ```text
//!   ┌───────────────┐
//!   │      ┊        │      room, doors, windows and curtains; how far diffuse light is dangerous about the torch;
//!   │  (  ●┊ )      ╪══►   where a straight beam leaves, and how far it is dangerous beyond
//!   │      ┊        │
//!   └───────────────┘
//! ```
//!
//! Nothing is worked out here: distances, ways out and whether a curtain stands come in. What is longer than the sheet
//! ends at its edge, and its length is written. The drawing is as large as it says: the scale is the largest at which
//! walls, words and legend go on the paper together. Words keep off each other where there is room for them.

use super::section::usable;
use super::sheet::{Anchor, Extent, INK_LINE, Pen, SIZE, Sheet, Type};
use super::{ACCENT, Svg, VERMILION};
use crate::faces;
use weld::quantity::show::{Rounding, show_in};
use weld::quantity::{Angle, Length};
use weld::section::Point;

/// What a piece of the plan is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PieceKind {
    /// A door that switches the beam off.
    InterlockedDoor,
    /// A door that does not.
    Door,
    /// A window.
    Window,
    /// A curtain that stands the beam.
    Curtain,
    /// A curtain that does not.
    WeakCurtain,
}

/// A straight piece on the floor, from the room's lower left corner.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanPiece {
    /// One end.
    pub from: [Length; 2],
    /// The other.
    pub to: [Length; 2],
    /// What it is.
    pub kind: PieceKind,
    /// Its name.
    pub name: String,
}

/// A way out for a straight beam.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanWay {
    /// The torch's place that it is seen from.
    pub torch: [Length; 2],
    /// From which direction, from the plan's right towards its top.
    pub from: Angle,
    /// To which.
    pub to: Angle,
    /// What is written on it: how far it is dangerous.
    pub words: String,
}

/// A circle about each place of the torch.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanCircle {
    /// Its radius.
    pub radius: Length,
    /// What is written on it.
    pub words: String,
    /// Drawn in the accent, dashed; else in thin ink.
    pub main: bool,
}

/// A controlled area to draw.
#[derive(Clone, Debug)]
pub struct PlanFigure {
    /// The room's width.
    pub width: Length,
    /// The room's depth.
    pub depth: Length,
    /// The places that the torch is carried to.
    pub torches: Vec<[Length; 2]>,
    /// Doors, windows, curtains.
    pub pieces: Vec<PlanPiece>,
    /// Ways out.
    pub ways: Vec<PlanWay>,
    /// Circles about each place of the torch.
    pub circles: Vec<PlanCircle>,
    /// Widest it may be on paper, mm.
    pub width_mm: f64,
    /// Highest it may be on paper, mm.
    pub height_mm: f64,
}

/// Millimetres of paper for a metre, from large to small: 1:10 to 1:1000.
const SCALES: [f64; 12] =
    [100.0, 50.0, 40.0, 33.333_333, 25.0, 20.0, 13.333_333, 10.0, 5.0, 4.0, 2.0, 1.0];
/// Room about the walls for what goes beyond them, mm of paper.
const MARGIN: f64 = 16.0;
/// Longest that a name may be, mm of paper.
const LONGEST_NAME: f64 = 60.0;

/// A length that a room can have, m.
fn metres(length: Length) -> f64 {
    let v = length.m();
    if v.is_finite() { v.clamp(-1e3, 1e3) } else { 0.0 }
}

/// Words that already have their place on the sheet.
#[derive(Default)]
struct Words {
    taken: Vec<Extent>,
}

impl Words {
    /// The box of words at a place.
    fn around(place: Point, set: &Type<'_>, words: &str) -> Extent {
        let mut around = Extent::NONE;
        for corner in set.corners(place, words) {
            around.hold(corner);
        }
        around
    }

    /// How much of a box lies on words that are there, mm².
    fn covered(&self, around: &Extent) -> f64 {
        let over = |a: &Extent| {
            let x = a.high.x.min(around.high.x) - a.low.x.max(around.low.x);
            let y = a.high.y.min(around.high.y) - a.low.y.max(around.low.y);
            if x > 0.0 && y > 0.0 { x * y } else { 0.0 }
        };
        self.taken.iter().map(over).sum()
    }

    /// Writes words at the first of some places where they lie on no others, else where they lie on the least; only
    /// within a frame, where one is given. False: no place was in it.
    fn write(
        &mut self,
        sheet: &mut Sheet,
        words: &str,
        places: &[(Point, Type<'_>)],
        within: Option<Extent>,
    ) -> bool {
        let inside = |e: &Extent| {
            within.is_none_or(|w| {
                e.low.x >= w.low.x
                    && e.low.y >= w.low.y
                    && e.high.x <= w.high.x
                    && e.high.y <= w.high.y
            })
        };
        let mut best: Option<(f64, Extent, &(Point, Type<'_>))> = None;
        for at in places {
            let around = Self::around(at.0, &at.1, words);
            if !inside(&around) {
                continue;
            }
            // Words that touch read as one.
            let gap = Point::new(0.7, 0.7);
            let covered = self.covered(&Extent { low: around.low - gap, high: around.high + gap });
            if best.as_ref().is_none_or(|(least, ..)| covered < *least) {
                best = Some((covered, around, at));
            }
            if covered == 0.0 {
                break;
            }
        }
        let Some((_, around, (place, set))) = best else { return false };
        // A ground keeps the words legible over lines.
        let ground = Pen { class: "ground", ..Pen::fill("#ffffff", 0.8) };
        sheet.path(&set.corners(*place, words), true, &ground);
        sheet.text(*place, set, words);
        self.taken.push(around);
        true
    }

    /// Keeps words off a place.
    fn keep_off(&mut self, around: Extent) {
        self.taken.push(around);
    }
}

/// Draws an area to scale.
#[must_use]
pub fn plan_drawing(figure: &PlanFigure) -> Svg {
    let (width, height) = (usable(figure.width_mm, 170.0), usable(figure.height_mm, 150.0));
    let (w, d) = (metres(figure.width).max(0.1), metres(figure.depth).max(0.1));
    // Words and legend may be wider than the walls: what is drawn is measured, not what was meant.
    SCALES
        .into_iter()
        .filter(|s| s * w + 2.0 * MARGIN <= width && s * d + 2.0 * MARGIN <= height)
        .map(|s| drawn(figure, s, true, width))
        .find(|svg| svg.width_mm() <= width && svg.height_mm() <= height)
        .unwrap_or_else(|| drawn(figure, 0.5, false, width))
}

fn drawn(figure: &PlanFigure, s: f64, true_to_scale: bool, width: f64) -> Svg {
    let (w, d) = (metres(figure.width).max(0.1), metres(figure.depth).max(0.1));
    let mut sheet = Sheet::default();
    let mut words = Words::default();
    let at = |x: f64, y: f64| Point::new(s * x, s * (d - y));
    let frame = Extent {
        low: at(0.0, d) - Point::new(MARGIN, MARGIN),
        high: at(w, 0.0) + Point::new(MARGIN, MARGIN),
    };
    sheet.hold(frame.low);
    sheet.hold(frame.high);
    let place = |[x, y]: [Length; 2]| at(metres(x), metres(y));
    let torches: Vec<Point> = figure.torches.iter().map(|t| place(*t)).collect();
    for way in &figure.ways {
        way_out(&mut sheet, place(way.torch), way, frame);
    }
    // Walls, thick, with gaps where doors and windows are.
    let corners = [at(0.0, 0.0), at(w, 0.0), at(w, d), at(0.0, d)];
    let whole = |circle: &PlanCircle| {
        let r = s * metres(circle.radius);
        torches.iter().any(|t| corners.iter().all(|c| (*c - *t).norm() <= r))
    };
    for circle in figure.circles.iter().filter(|c| whole(c)) {
        let colour = if circle.main { ACCENT } else { VERMILION };
        sheet.rect(
            corners[3],
            Point::new(s * w, s * d),
            0.0,
            &Pen::fill(colour, 0.09).class("whole-room"),
        );
    }
    sheet.path(&corners, true, &Pen::line(0.9).class("wall"));
    for circle in &figure.circles {
        for torch in &torches {
            about(&mut sheet, *torch, s * metres(circle.radius).max(0.0), circle, frame);
        }
    }
    let mut seen: Vec<PieceKind> = Vec::new();
    for piece in &figure.pieces {
        let ends = [piece.from, piece.to].map(|[x, y]| at(metres(x), metres(y)));
        draw_piece(&mut sheet, ends, piece, corners);
        if !seen.contains(&piece.kind) {
            seen.push(piece.kind);
        }
    }
    for torch in &torches {
        sheet.circle(*torch, 1.1, &Pen::fill(VERMILION, 0.0).class("torch"));
        let r = Point::new(1.3, 1.3);
        words.keep_off(Extent { low: *torch - r, high: *torch + r });
    }
    // What has one place only is written first.
    dimension_words(&mut sheet, &mut words, figure, corners);
    for piece in &figure.pieces {
        let ends = [piece.from, piece.to].map(|[x, y]| at(metres(x), metres(y)));
        name(&mut sheet, &mut words, ends, piece, corners);
    }
    for (i, torch) in torches.iter().enumerate() {
        let set = Type::plain().size(2.4).colour(VERMILION);
        let end = set.at(Anchor::End);
        let places = [(1.8, 3.2, set), (1.8, -1.4, set), (-1.8, 3.2, end), (-1.8, -1.4, end)]
            .map(|(x, y, set)| (*torch + Point::new(x, y), set));
        let called =
            if torches.len() > 1 { format!("torch {}", i + 1) } else { "torch".to_owned() };
        words.write(&mut sheet, &called, &places, None);
    }
    for way in &figure.ways {
        way_words(&mut sheet, &mut words, place(way.torch), way, frame);
    }
    let mut below: Vec<String> = Vec::new();
    for circle in &figure.circles {
        let set = circle_type(circle);
        let placed = if whole(circle) {
            let told = format!("the whole room is within: {}", circle.words);
            let middle = corners[3].towards(corners[2], 0.5);
            let places: Vec<_> = (1..20)
                .map(|i| (middle + Point::new(0.0, 4.0 * f64::from(i)), set))
                .filter(|(p, _)| p.y < corners[0].y - 1.0)
                .collect();
            let placed = words.write(&mut sheet, &told, &places, Some(frame));
            if !placed {
                below.push(told);
            }
            true
        } else {
            torches.iter().any(|torch| {
                let r = s * metres(circle.radius).max(0.0);
                words.write(&mut sheet, &circle.words, &on_circle(*torch, r, circle), Some(frame))
            })
        };
        if !placed {
            below.push(circle.words.clone());
        }
    }
    let mut foot = frame.high.y + 3.0;
    for told in &below {
        sheet.text(
            Point::new(frame.low.x + 1.0, foot),
            &Type::plain().size(2.4).colour(ACCENT),
            told,
        );
        foot += 4.2;
    }
    scale(&mut sheet, Point::new(frame.low.x + 1.0, foot), s, true_to_scale);
    let wide = (width - 3.0).min(frame.size().x.max(120.0));
    legend(
        &mut sheet,
        Point::new(frame.low.x + 1.0, foot + 6.5),
        wide,
        &seen,
        !figure.ways.is_empty(),
    );
    sheet.finish_around(0.5, "Controlled area from above, drawn to scale")
}

/// Room's sides, written along them.
fn dimension_words(sheet: &mut Sheet, words: &mut Words, figure: &PlanFigure, corners: [Point; 4]) {
    let said = |l: Length| show_in(l, Rounding::Nearest, 2, "m");
    let set = Type::plain().at(Anchor::Middle);
    // In the middle of the wall, else beside it: doors have their names there.
    let along = |a: Point, b: Point, off: Point, set: Type<'static>| {
        [0.5, 0.38, 0.62, 0.25, 0.75, 0.12, 0.88].map(|t| (a.towards(b, t) + off, set))
    };
    let below = along(corners[0], corners[1], Point::new(0.0, 5.4), set);
    words.write(sheet, &said(figure.width), &below, None);
    let left = along(corners[0], corners[3], Point::new(-3.0, 0.0), set.turned(-90.0));
    words.write(sheet, &said(figure.depth), &left, None);
}

/// Where a ray from a place within a frame meets the frame.
fn to_frame(o: Point, u: Point, frame: Extent) -> Point {
    let along = |o: f64, u: f64, low: f64, high: f64| {
        if u > 1e-12 {
            (high - o) / u
        } else if u < -1e-12 {
            (low - o) / u
        } else {
            f64::INFINITY
        }
    };
    let t = along(o.x, u.x, frame.low.x, frame.high.x)
        .min(along(o.y, u.y, frame.low.y, frame.high.y))
        .max(0.0);
    o + u * t
}

/// A direction of the plan on the sheet, whose y runs down.
fn direction(angle: f64) -> Point {
    Point::new(angle.cos(), -angle.sin())
}

fn way_out(sheet: &mut Sheet, torch: Point, way: &PlanWay, frame: Extent) {
    let (from, to) = (way.from.rad(), way.to.rad());
    if !(from.is_finite() && to.is_finite() && to > from) {
        return;
    }
    // The frame's corners lie between two rays now and then: small steps do not miss them by much.
    let steps = (((to - from) / 0.03).ceil() as usize).clamp(1, 400);
    let mut outline = vec![torch];
    for i in 0..=steps {
        let angle = from + (to - from) * i as f64 / steps as f64;
        outline.push(to_frame(torch, direction(angle), frame));
    }
    sheet.path(&outline, true, &Pen::fill(VERMILION, 0.16).class("way-out"));
    let edge = Pen::line(0.25).colour(VERMILION).dashed(&[2.0, 1.0]).class("way-edge");
    for p in [outline[1], outline[outline.len() - 1]] {
        sheet.path(&[torch, p], false, &edge);
    }
}

/// The words of a way out, along it and read from below.
fn way_words(sheet: &mut Sheet, words: &mut Words, torch: Point, way: &PlanWay, frame: Extent) {
    let (from, to) = (way.from.rad(), way.to.rad());
    if !(from.is_finite() && to.is_finite() && to > from) {
        return;
    }
    let mut places = Vec::new();
    for share in [0.5, 0.3, 0.7] {
        let angle = from + share * (to - from);
        let end = to_frame(torch, direction(angle), frame);
        let degrees = -angle.to_degrees();
        let (turn, anchor) = if (90.0..=270.0).contains(&degrees.rem_euclid(360.0)) {
            (degrees + 180.0, Anchor::Start)
        } else {
            (degrees, Anchor::End)
        };
        let set =
            Type::plain().bold().size(2.6).at(anchor).colour(VERMILION).turned(turn).class("way");
        for back in [1.5, 8.0, 16.0, 24.0, 32.0] {
            places.push((end - direction(angle) * back, set));
        }
    }
    words.write(sheet, &way.words, &places, None);
}

/// A circle, where it lies within the frame.
fn about(sheet: &mut Sheet, torch: Point, radius: f64, circle: &PlanCircle, frame: Extent) {
    if radius < 0.2 {
        return;
    }
    let pen = if circle.main {
        Pen::line(0.35).colour(ACCENT).dashed(&[1.6, 0.8]).class("reach")
    } else {
        Pen::line(0.2).class("reach")
    };
    let inside = |p: Point| {
        p.x >= frame.low.x && p.x <= frame.high.x && p.y >= frame.low.y && p.y <= frame.high.y
    };
    let steps = 360;
    let mut run: Vec<Point> = Vec::new();
    let mut runs: Vec<Vec<Point>> = Vec::new();
    for i in 0..=steps {
        let angle = std::f64::consts::TAU * f64::from(i) / f64::from(steps);
        let p = torch + direction(angle) * radius;
        if inside(p) {
            run.push(p);
        } else if !run.is_empty() {
            runs.push(std::mem::take(&mut run));
        }
    }
    if !run.is_empty() {
        runs.push(run);
    }
    let lines: Vec<&[Point]> = runs.iter().map(Vec::as_slice).collect();
    sheet.paths(&lines, false, &pen);
}

fn circle_type(circle: &PlanCircle) -> Type<'static> {
    let colour = if circle.main { ACCENT } else { INK_LINE };
    Type::plain().size(2.4).at(Anchor::Middle).colour(colour)
}

/// Where the words of a circle may stand: on top of it, else under it, else along it.
fn on_circle<'a>(torch: Point, radius: f64, circle: &PlanCircle) -> Vec<(Point, Type<'a>)> {
    let set = circle_type(circle);
    let half = 0.5 * set.width(&circle.words);
    let room = radius + 1.4;
    let along = (1..24).map(|i| {
        let u =
            direction(std::f64::consts::FRAC_PI_2 + f64::from(i) * std::f64::consts::TAU / 24.0);
        torch + Point::new(u.x * (room + half), u.y * room + 0.9)
    });
    let places = [torch + Point::new(0.0, -radius - 0.9), torch + Point::new(0.0, radius + 2.6)];
    places.into_iter().chain(along).map(|p| (p, set)).collect()
}

fn draw_piece(sheet: &mut Sheet, [a, b]: [Point; 2], piece: &PlanPiece, walls: [Point; 4]) {
    let Some(u) = (b - a).unit() else { return };
    let n = u.left();
    match piece.kind {
        PieceKind::InterlockedDoor | PieceKind::Door => {
            sheet.path(&[a, b], false, &Pen { class: "gap", ..Pen::line(1.3).colour("#ffffff") });
            // The leaf stands open into the room, with its swing.
            let middle = walls[0].towards(walls[2], 0.5);
            let inwards =
                if (middle - a).x * n.x + (middle - a).y * n.y > 0.0 { n } else { n * -1.0 };
            let wide = (b - a).norm();
            let leaf = a + inwards * wide;
            let locked = piece.kind == PieceKind::InterlockedDoor;
            let pen = if locked {
                Pen::line(0.35).class("door")
            } else {
                Pen::line(0.35).colour(VERMILION).class("door")
            };
            sheet.path(&[a, leaf], false, &pen);
            let swing: Vec<Point> = (0..=12)
                .map(|i| {
                    let t = std::f64::consts::FRAC_PI_2 * f64::from(i) / 12.0;
                    a + u * (wide * t.cos()) + inwards * (wide * t.sin())
                })
                .collect();
            sheet.path(&swing, false, &Pen { width: 0.15, ..pen });
            for end in [a, b] {
                sheet.path(&[end - n * 0.8, end + n * 0.8], false, &Pen::line(0.35));
            }
            if locked {
                sheet.path(&[a, b], false, &Pen::line(0.25).dashed(&[0.8, 0.6]).class("shut"));
            }
        }
        PieceKind::Window => {
            sheet.path(&[a, b], false, &Pen { class: "gap", ..Pen::line(1.3).colour("#ffffff") });
            for off in [-0.5, 0.5] {
                sheet.path(&[a + n * off, b + n * off], false, &Pen::line(0.2).class("window"));
            }
            for end in [a, b] {
                sheet.path(&[end - n * 0.8, end + n * 0.8], false, &Pen::line(0.35));
            }
        }
        PieceKind::Curtain | PieceKind::WeakCurtain => {
            // Folded cloth: a wave about its line.
            let wide = (b - a).norm();
            let folds = ((wide / 3.0).round() as usize).clamp(2, 200);
            let points: Vec<Point> = (0..=8 * folds)
                .map(|i| {
                    let t = i as f64 / (8 * folds) as f64;
                    let wave = (t * folds as f64 * std::f64::consts::TAU).sin();
                    a + u * (wide * t) + n * (0.7 * wave)
                })
                .collect();
            let pen = if piece.kind == PieceKind::Curtain {
                Pen::line(0.55).colour(ACCENT).class("curtain")
            } else {
                Pen::line(0.55).colour(VERMILION).dashed(&[1.2, 1.0]).class("curtain")
            };
            sheet.path(&points, false, &pen);
        }
    }
}

/// A piece's name: outside the walls, a curtain's beside it.
fn name(
    sheet: &mut Sheet,
    words: &mut Words,
    [a, b]: [Point; 2],
    piece: &PlanPiece,
    walls: [Point; 4],
) {
    let Some(u) = (b - a).unit() else { return };
    let n = u.left();
    let middle = a.towards(b, 0.5);
    let centre = walls[0].towards(walls[2], 0.5);
    let away =
        if (middle - centre).x * n.x + (middle - centre).y * n.y > 0.0 { n } else { n * -1.0 };
    let curtain = matches!(piece.kind, PieceKind::Curtain | PieceKind::WeakCurtain);
    let off = if curtain { 2.0 } else { 3.4 };
    let level = u.y.abs() < 0.5;
    let set = Type::plain().size(2.4).at(Anchor::Middle);
    let set = if level { set } else { set.turned(-90.0) };
    // Letters stand on their place: those that are turned stand to its left.
    let lower = if level { Point::new(0.0, 0.8) } else { Point::new(0.8, 0.0) };
    let mut places = Vec::new();
    for across in [off, off + 3.2, -off, off + 6.4, -off - 3.2] {
        for along in [0.5, 0.25, 0.75] {
            places.push((a.towards(b, along) + away * across + lower, set));
        }
    }
    let called =
        faces::fitted(&faces::printable(&piece.name, false), set.size, set.weight, LONGEST_NAME);
    words.write(sheet, &called, &places, None);
}

fn scale(sheet: &mut Sheet, at: Point, s: f64, true_to_scale: bool) {
    let metres = [10.0, 5.0, 2.0, 1.0, 0.5].into_iter().find(|m| m * s <= 45.0).unwrap_or(0.5);
    let end = at + Point::new(metres * s, 0.0);
    sheet.path(&[at, end], false, &Pen::line(0.5).class("scale-bar"));
    for p in [at, end] {
        sheet.path(&[p - Point::new(0.0, 0.9), p + Point::new(0.0, 0.9)], false, &Pen::line(0.25));
    }
    let ratio = (1000.0 / s).round();
    sheet.text(
        end + Point::new(1.6, 0.35 * SIZE),
        &Type::plain(),
        &if true_to_scale {
            format!("{metres} m; scale 1:{ratio} on paper")
        } else {
            format!("{metres} m; larger than the paper: measure by the bar")
        },
    );
}

fn legend(sheet: &mut Sheet, at: Point, wide: f64, kinds: &[PieceKind], ways: bool) {
    let (mut x, mut y) = (at.x, at.y);
    let mut item = |sheet: &mut Sheet, words: &str, draw: &dyn Fn(&mut Sheet, Point)| {
        let set = Type::plain().size(2.4);
        let own = 8.0 + set.width(words);
        if x > at.x && x + own > at.x + wide {
            (x, y) = (at.x, y + 4.4);
        }
        let from = Point::new(x, y);
        draw(sheet, from);
        sheet.text(from + Point::new(8.0, 0.8), &set, words);
        x += own + 4.0;
    };
    let line = |pen: Pen<'static>| {
        move |sheet: &mut Sheet, p: Point| sheet.path(&[p, p + Point::new(7.0, 0.0)], false, &pen)
    };
    for kind in kinds {
        let (words, pen) = match kind {
            PieceKind::InterlockedDoor => ("interlocked door", Pen::line(0.25).dashed(&[0.8, 0.6])),
            PieceKind::Door => ("door, not interlocked", Pen::line(0.35).colour(VERMILION)),
            PieceKind::Window => ("window", Pen::line(0.2)),
            PieceKind::Curtain => ("curtain that stands", Pen::line(0.55).colour(ACCENT)),
            PieceKind::WeakCurtain => (
                "curtain that does not stand",
                Pen::line(0.55).colour(VERMILION).dashed(&[1.2, 1.0]),
            ),
        };
        item(sheet, words, &line(pen));
    }
    if ways {
        item(sheet, "way out: dangerous from the torch as far as written", &|sheet, p| {
            sheet.rect(
                p - Point::new(0.0, 1.2),
                Point::new(7.0, 2.4),
                0.0,
                &Pen::fill(VERMILION, 0.16),
            );
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn m(v: f64) -> Length {
        Length::from_m(v)
    }

    fn room() -> PlanFigure {
        PlanFigure {
            width: m(6.0),
            depth: m(4.0),
            torches: vec![[m(2.5), m(2.0)]],
            pieces: vec![PlanPiece {
                from: [m(6.0), m(1.0)],
                to: [m(6.0), m(2.0)],
                kind: PieceKind::Door,
                name: "yard door".to_owned(),
            }],
            ways: vec![PlanWay {
                torch: [m(2.5), m(2.0)],
                from: Angle::from_deg(-16.0),
                to: Angle::from_deg(0.0),
                words: "to 92.8 m".to_owned(),
            }],
            circles: vec![PlanCircle { radius: m(1.0), words: "eyes".to_owned(), main: true }],
            width_mm: 170.0,
            height_mm: 160.0,
        }
    }

    /// By construction: at 1:50 a metre is 20 mm, so walls of 6 m by 4 m are 120 by 80 mm.
    #[test]
    fn a_plan_is_to_scale() {
        let figure = room();
        let svg = plan_drawing(&figure);
        let wall = svg.as_str().lines().find(|l| l.contains("class=\"wall\"")).unwrap();
        let (wall, _) = wall.split_once("\" fill").unwrap();
        assert!(wall.ends_with("M0 80L120 80L120 0L0 0Z"), "{wall}");
        assert!(svg.as_str().contains("scale 1:50"), "{}", svg.as_str());
        assert!(svg.width_mm() <= 170.0 && svg.height_mm() <= 160.0);
        for words in
            ["yard door", "to 92.8 m", "way out: dangerous from the torch as far as written"]
        {
            assert!(svg.as_str().contains(words), "{words}");
        }
    }

    /// By construction: a wall of 7 m at 1:75 is 93.33 mm, however wide the legend is, and the paper holds all of it.
    #[test]
    fn the_printed_scale_is_true_with_a_full_legend() {
        let kinds = [
            PieceKind::InterlockedDoor,
            PieceKind::Door,
            PieceKind::Window,
            PieceKind::Curtain,
            PieceKind::WeakCurtain,
        ];
        let pieces = kinds.into_iter().enumerate().map(|(i, kind)| {
            let x = 0.2 + 1.2 * i as f64;
            PlanPiece {
                from: [m(x), m(5.0)],
                to: [m(x + 1.0), m(5.0)],
                kind,
                name: format!("opening {i}"),
            }
        });
        let figure = PlanFigure {
            width: m(7.0),
            depth: m(5.0),
            pieces: pieces.collect(),
            height_mm: 120.0,
            ..room()
        };
        let svg = plan_drawing(&figure);
        assert!(svg.width_mm() <= 170.0 && svg.height_mm() <= 120.0);
        let wall = svg.as_str().lines().find(|l| l.contains("class=\"wall\"")).unwrap();
        assert!(svg.as_str().contains("scale 1:75") && wall.contains("L93.33 "), "{wall}");
    }

    /// By construction: 4.38 m about a torch whose farthest corner is 4.03 m away hold the whole room.
    #[test]
    fn a_circle_larger_than_the_room_is_told_and_tinted() {
        let circle = |radius| {
            let circles = vec![PlanCircle {
                radius: m(radius),
                words: "eyes: 4.38 m".to_owned(),
                main: true,
            }];
            plan_drawing(&PlanFigure { circles, ..room() })
        };
        let svg = circle(4.38);
        assert!(
            svg.as_str().contains("the whole room is within: eyes: 4.38 m"),
            "{}",
            svg.as_str()
        );
        assert!(svg.as_str().contains("class=\"whole-room\""));
        assert!(!circle(4.0).as_str().contains("whole room"));
    }

    fn number() -> impl Strategy<Value = f64> {
        prop_oneof![4 => -20.0..20.0_f64, 1 => any::<f64>(), 1 => Just(0.0)]
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

        /// No value, however odd, stops the drawer.
        #[test]
        fn odd_rooms_are_drawn(v in prop::collection::vec(number(), 12), name: String) {
            let figure = PlanFigure {
                width: m(v[0]),
                depth: m(v[1]),
                torches: vec![[m(v[2]), m(v[3])], [m(v[4]), m(v[9])]],
                pieces: [PieceKind::InterlockedDoor, PieceKind::Door, PieceKind::Window, PieceKind::Curtain, PieceKind::WeakCurtain]
                    .map(|kind| PlanPiece { from: [m(v[4]), m(v[5])], to: [m(v[6]), m(v[7])], kind, name: name.clone() })
                    .to_vec(),
                ways: vec![PlanWay { torch: [m(v[2]), m(v[3])], from: Angle::from_deg(v[8]), to: Angle::from_deg(v[9]), words: name.clone() }],
                circles: vec![PlanCircle { radius: m(v[10]), words: name, main: v[11] > 0.0 }],
                width_mm: v[11],
                height_mm: v[10],
            };
            let svg = plan_drawing(&figure);
            prop_assert!(!svg.as_str().contains("NaN") && !svg.as_str().contains("inf"));
        }
    }
}
