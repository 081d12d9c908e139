//! A section drawn to scale, with its dimensions.
//!
//! ```text
//!                  │ upright │       effective throat 4.06
//!                  │         │      ╱
//!                ● │  4.5    │ ●   ╱            legs stand in the metal of their plates,
//!               ╱╲ │         │ ╱╲ ╱             throats go out into the air,
//!         ─────●──┴P───────P─┴──●─────────      what lies along the joint makes one chain
//!              │   │ │     │ │   │   base
//!              ├───┼─┼─────┼─┼───┤
//!               leg pen land
//! ```
//!
//! The same drawing for a drawn, a photographed and a predicted section, since they are one type. Where something was
//! read is taken from the readings' own [`Dimensioned`] points, and the figure beside it from their values; a reading
//! without a value gets no dimension. The theoretical throat is drawn with its triangle, from the sizes.
//!
//! Not covered: several passes drawn apart, plates curved in the section.

use super::dimension::{self, Link, THIN, Way};
use super::hatch::hatch;
use super::sheet::{Anchor, Extent, INK_LINE, Pen, SIZE, Sheet, Type, sound};
use super::{
    ACCENT, ORANGE, SKY, Svg, VERMILION, bare_length, bare_length_and_u, short_words, unit_words,
};
use weld::measured::Measured;
use weld::quantity::show::UnitSystem;
use weld::reading::Reading;
use weld::section::{Butt, Dimensioned, Face, Plates, Point, Section, Side, Tee, WeldReading};

/// What was read from one weld, for drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct WeldFigure {
    /// Which weld.
    pub side: Side,
    /// Values with their standard uncertainty, in the unit of each reading's field name; 0 where it is exact.
    pub values: Vec<(Reading, Measured<f64>)>,
    /// Where they were taken.
    pub dimensions: Vec<Dimensioned>,
}

impl WeldFigure {
    /// Of a drawn or predicted section, whose readings carry no uncertainty.
    #[must_use]
    pub fn exact(weld: &WeldReading) -> Self {
        let values = weld
            .readings
            .iter()
            .filter_map(|(reading, value)| {
                value.as_ref().ok().map(|v| (reading, Measured::new(*v, 0.0)))
            })
            .collect();
        Self { side: weld.side, values, dimensions: weld.dimensions.clone() }
    }

    fn value(&self, reading: Reading) -> Option<Measured<f64>> {
        self.values
            .iter()
            .find(|(r, _)| *r == reading)
            .map(|(_, v)| *v)
            .filter(|v| v.value.is_finite())
    }

    /// Where a reading was taken, if it has a value to print and lies where paper can show it.
    fn dimension(&self, reading: Reading) -> Option<(Dimensioned, Measured<f64>)> {
        let found = self
            .dimensions
            .iter()
            .find(|d| d.reading == reading && sound(d.from) && sound(d.to))?;
        Some((*found, self.value(reading)?))
    }
}

/// A section to draw.
#[derive(Clone, Debug)]
pub struct SectionFigure<'a> {
    /// The plates and what was marked on them.
    pub section: &'a Section,
    /// What was read, one a weld; empty: the section alone.
    pub welds: &'a [WeldFigure],
    /// Unfused land, mm, where the joint was read.
    pub land: Option<Measured<f64>>,
    /// Heat-affected outlines.
    pub heat_affected: &'a [Vec<Point>],
    /// Units of the figures.
    pub units: UnitSystem,
    /// Widest it may be on paper, mm.
    pub width_mm: f64,
    /// Highest it may be on paper, mm.
    pub height_mm: f64,
}

/// Drawing scales that are tried, the largest first; smaller ones are whatever fits.
pub(super) const SCALES: [f64; 15] =
    [20.0, 15.0, 12.0, 10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.5, 2.0, 1.5, 1.0, 0.75, 0.5];

/// Draws a section to scale, at the largest usual scale at which it fits with its labels.
#[must_use]
pub fn section_drawing(figure: &SectionFigure<'_>) -> Svg {
    let width = usable(figure.width_mm, 160.0);
    let height = usable(figure.height_mm, 110.0);
    let mut window = window(figure);
    if window.size().x <= 0.0 {
        window = Extent { low: Point::new(-5.0, -5.0), high: Point::new(5.0, 5.0) };
    }
    let size = window.size();
    // A section of kilometres still fits.
    let least = 0.5 * (width / size.x).min(height / size.y);
    let mut scales = SCALES
        .iter()
        .copied()
        .filter(|s| *s > least && s * size.x <= width)
        .chain([least, 0.5 * least]);
    let mut sheet = draw(figure, &window, scales.next().unwrap_or(least), width);
    for scale in scales {
        let taken = sheet.extent().size();
        if taken.x <= width && taken.y <= height {
            break;
        }
        sheet = draw(figure, &window, scale, width);
    }
    sheet.finish_around(0.4, "Section of a weld, drawn to scale")
}

pub(super) fn usable(asked: f64, usual: f64) -> f64 {
    if asked.is_finite() && asked > 0.0 { asked.clamp(40.0, 1000.0) } else { usual }
}

pub(super) fn finite(points: &[Point]) -> impl Iterator<Item = Point> + '_ {
    points.iter().copied().filter(|p| sound(*p))
}

/// What of the section is drawn, mm of the section, y up: the welds and some plate about them.
pub(super) fn window(figure: &SectionFigure<'_>) -> Extent {
    let section = figure.section;
    let mut e = Extent::NONE;
    for p in section.fused.iter().flat_map(|f| finite(&f.outline)) {
        e.hold(p);
    }
    for p in section.breaks().chain(&section.pores).flat_map(|l| finite(l)) {
        e.hold(p);
    }
    let mut faces = Vec::new();
    match &section.plates {
        Plates::Bead => e.hold(Point::default()),
        Plates::Tee(tee) => {
            faces.push(Point::new(tee.right.x, 0.0));
            faces.extend(tee.left.map(|l| Point::new(l.x, 0.0)));
            faces.extend(upright_feet(tee).map(|feet| feet[0]));
        }
        Plates::Butt(butt) => {
            faces.extend(butt.top.map(|f| f.at));
            faces.extend(butt.joint_line.into_iter().flatten());
        }
    }
    for p in finite(&faces) {
        e.hold(p);
    }
    let size = e.size();
    let margin = (0.22 * size.x.max(size.y)).max(1.0);
    if size.x.max(size.y) <= 0.0 {
        return Extent::NONE;
    }
    let (mut low, mut high) =
        (e.low - Point::new(margin, margin), e.high + Point::new(margin, margin));
    // A plate whose far side is near is drawn whole.
    let depth = low.y;
    let whole = |t: f64| t.is_finite() && t > 0.0 && -t > depth - 1.2 * margin;
    match &section.plates {
        Plates::Tee(tee) => {
            if let Some(t) = tee.base_thickness.filter(|t| whole(*t)) {
                low.y = -t;
            }
        }
        Plates::Butt(butt) => {
            let bottoms = butt.bottom.iter().flatten().map(|f| f.at.y).filter(|y| y.is_finite());
            if let Some(b) = bottoms.reduce(f64::min).filter(|b| whole(-b)) {
                low.y = low.y.min(b);
            }
            high.y = e.high.y;
        }
        Plates::Bead => high.y = e.high.y,
    }
    Extent { low, high }
}

/// From the section's millimetres to the sheet's.
#[derive(Clone, Copy)]
pub(super) struct View {
    pub(super) scale: f64,
}

impl View {
    pub(super) fn at(self, p: Point) -> Point {
        Point::new(self.scale * p.x, -self.scale * p.y)
    }

    pub(super) fn all(self, points: &[Point]) -> Vec<Point> {
        finite(points).map(|p| self.at(p)).collect()
    }
}

/// Below this width on paper, mm, labels are set in two lines.
const NARROW: f64 = 130.0;

const PLATE_EDGE: f64 = 0.25;
pub(super) const HIDDEN: &[f64] = &[1.2, 0.8];
const JOINT: &[f64] = &[2.6, 0.7, 0.5, 0.7];

fn draw(figure: &SectionFigure<'_>, window: &Extent, scale: f64, width: f64) -> Sheet {
    let view = View { scale };
    let mut sheet = Sheet::default();
    let section = figure.section;
    plates(&mut sheet, &section.plates, window, view);
    for zone in figure.heat_affected {
        let pen = Pen::line(0.25).colour(SKY).dashed(&[2.0, 1.0]).class("heat-affected");
        sheet.path(&view.all(zone), true, &pen);
    }
    for fused in &section.fused {
        let outline = view.all(&fused.outline);
        sheet.path(&outline, true, &Pen::fill("#ffffff", 0.75).class("ground fused-ground"));
        let lines = hatch(&outline, 1.3);
        let lines: Vec<&[Point]> = lines.iter().map(|l| l.as_slice()).collect();
        sheet.paths(&lines, false, &Pen::line(0.12).colour(ORANGE).class("hatch"));
    }
    // The plates as they were before welding, seen through what was melted.
    hidden(&mut sheet, &section.plates, window, view);
    for fused in &section.fused {
        let pen = Pen::line(0.4).class("fused").rounded();
        sheet.path(&view.all(&fused.outline), true, &pen);
    }
    for pore in &section.pores {
        let pen = Pen { fill: Some("#ffffff"), ..Pen::line(0.25) };
        sheet.path(&view.all(pore), true, &pen.class("pore ground"));
    }
    for crack in &section.cracks {
        sheet.path(
            &view.all(crack),
            false,
            &Pen::line(0.45).colour(VERMILION).class("crack").rounded(),
        );
    }
    for line in &section.unfused {
        let pen = Pen::line(0.45).colour(VERMILION).dashed(&[1.0, 0.6]).class("unfused");
        sheet.path(&view.all(line), false, &pen);
    }
    match &section.plates {
        Plates::Tee(_) => tee_dimensions(&mut sheet, figure, view, width < NARROW),
        Plates::Bead | Plates::Butt(_) => flat_dimensions(&mut sheet, figure, window, view),
    }
    legend(&mut sheet, figure, view, width);
    sheet
}

/// Feet of the upright's faces on the base: left, right. `None` where neither left face nor thickness is known.
fn upright_feet(tee: &Tee) -> Option<[Point; 2]> {
    let right = Point::new(tee.right.x, 0.0);
    let left = match (tee.left, tee.upright_thickness) {
        (Some(left), _) => left.x,
        (None, Some(t)) => tee.right.x - t / tee.right.angle.sin().max(0.1),
        (None, None) => return None,
    };
    Some([Point::new(left, 0.0), right])
}

pub(super) fn plates(sheet: &mut Sheet, plates: &Plates, window: &Extent, view: View) {
    let body = Pen::fill(INK_LINE, 0.07).class("plate");
    let edge = Pen::line(PLATE_EDGE).class("edge");
    let (low, high) = (window.low, window.high);
    let line = |sheet: &mut Sheet, a: Point, b: Point| {
        sheet.path(&[view.at(a), view.at(b)], false, &edge);
    };
    let area = |sheet: &mut Sheet, points: &[Point]| sheet.path(&view.all(points), true, &body);
    match plates {
        Plates::Bead => {
            area(
                sheet,
                &[low, Point::new(high.x, low.y), Point::new(high.x, 0.0), Point::new(low.x, 0.0)],
            );
            line(sheet, Point::new(low.x, 0.0), Point::new(high.x, 0.0));
        }
        Plates::Tee(tee) => {
            let floor = tee.base_thickness.map_or(low.y, |t| low.y.max(-t));
            area(
                sheet,
                &[
                    Point::new(low.x, floor),
                    Point::new(high.x, floor),
                    Point::new(high.x, 0.0),
                    Point::new(low.x, 0.0),
                ],
            );
            for [a, b] in base_surface(tee, window) {
                line(sheet, a, b);
            }
            if tee.base_thickness.is_some_and(|t| -t >= low.y) {
                line(sheet, Point::new(low.x, floor), Point::new(high.x, floor));
            }
            let [left, right] = upright_faces(tee, window);
            area(sheet, &[left.0, left.1, right.1, right.0]);
            line(sheet, right.0, right.1);
            if upright_feet(tee).is_some() {
                line(sheet, left.0, left.1);
            }
            if tee.gap > 0.0 {
                line(sheet, left.0, right.0);
            }
        }
        Plates::Butt(butt) => {
            for (side, outline) in butt_plates(butt, window).into_iter().enumerate() {
                area(sheet, &outline);
                let [top_end, top_joint, bottom_joint, bottom_end] = outline;
                line(sheet, top_end, top_joint);
                if butt.bottom.is_some_and(|b| b[side].at.y >= low.y) {
                    line(sheet, bottom_end, bottom_joint);
                }
                if butt.joint_line.is_some() && butt.gap > 0.0 {
                    line(sheet, top_joint, bottom_joint);
                }
            }
        }
    }
}

/// The base's surface: beside the upright, and under it where a gap parts them.
fn base_surface(tee: &Tee, window: &Extent) -> Vec<[Point; 2]> {
    let [left, right] = upright_faces(tee, window).map(|face| face.0.x);
    let at = |x: f64| Point::new(x, 0.0);
    if tee.gap > 0.0 {
        return vec![[at(window.low.x), at(window.high.x)]];
    }
    vec![[at(window.low.x), at(left)], [at(right), at(window.high.x)]]
}

/// Left and right face of the upright, each from its foot to the top of the window.
fn upright_faces(tee: &Tee, window: &Extent) -> [(Point, Point); 2] {
    let up = |angle: f64, mirror: f64| {
        let (sin, cos) = if angle.is_finite() { angle.sin_cos() } else { (1.0, 0.0) };
        Point::new(mirror * cos, sin.max(0.1))
    };
    let right = up(tee.right.angle, 1.0);
    let left = tee.left.map_or(right, |l| up(l.angle, -1.0));
    let feet = upright_feet(tee).unwrap_or_else(|| {
        // Its thickness is not known: it is drawn to the edge of the picture, without a face there.
        [Point::new(window.low.x.min(tee.right.x), 0.0), Point::new(tee.right.x, 0.0)]
    });
    let gap = if tee.gap.is_finite() { tee.gap.max(0.0) } else { 0.0 };
    let face = |foot: Point, dir: Point| {
        let reach = |y: f64| foot + dir * (y / dir.y);
        (reach(gap), reach(window.high.y.max(gap)))
    };
    [face(feet[0], left), face(feet[1], right)]
}

/// Left and right plate: outer top, top at the joint, bottom at the joint, outer bottom.
fn butt_plates(butt: &Butt, window: &Extent) -> [[Point; 4]; 2] {
    let height = |f: &Face, x: f64| {
        let y = f.height_at(x);
        if y.is_finite() { y } else { f.at.y }
    };
    let middle = butt.joint_line.unwrap_or([Point::new(0.0, 0.0), Point::new(0.0, -1.0)]);
    let down = (middle[1] - middle[0]).unit().unwrap_or(Point::new(0.0, -1.0));
    let half = if butt.gap.is_finite() { 0.5 * butt.gap.max(0.0) } else { 0.0 };
    [(0, window.low.x, -half), (1, window.high.x, half)].map(|(side, outer, shift)| {
        let top = butt.top[side];
        let bottom = butt.bottom.map(|b| b[side]).filter(|b| height(b, outer) >= window.low.y);
        let lip = |y: f64| {
            let along = if down.y.abs() > 1e-9 { (y - middle[0].y) / down.y } else { 0.0 };
            Point::new(middle[0].x + shift + along * down.x, y)
        };
        let at = |f: Option<Face>, x: f64| f.map_or(window.low.y, |f| height(&f, x));
        [
            Point::new(outer, at(Some(top), outer)),
            lip(at(Some(top), middle[0].x)),
            lip(at(bottom, middle[1].x)),
            Point::new(outer, at(bottom, outer)),
        ]
    })
}

pub(super) fn hidden(sheet: &mut Sheet, plates: &Plates, window: &Extent, view: View) {
    let joint = Pen::line(0.2).dashed(JOINT).class("joint-line");
    let before = Pen::line(THIN).dashed(HIDDEN).class("before");
    match plates {
        Plates::Bead => {
            let ends = [Point::new(window.low.x, 0.0), Point::new(window.high.x, 0.0)];
            sheet.path(&view.all(&ends), false, &before);
        }
        Plates::Tee(tee) => {
            for ends in base_surface(tee, window) {
                sheet.path(&view.all(&ends), false, &before);
            }
            let [left, right] = upright_faces(tee, window);
            sheet.path(&[view.at(right.0), view.at(right.1)], false, &before);
            if upright_feet(tee).is_some() {
                sheet.path(&[view.at(left.0), view.at(left.1)], false, &before);
            }
            if tee.gap <= 0.0 || !tee.gap.is_finite() {
                sheet.path(&[view.at(left.0), view.at(right.0)], false, &joint);
            }
        }
        Plates::Butt(butt) => {
            for (side, [top_end, top, bottom, bottom_end]) in
                butt_plates(butt, window).into_iter().enumerate()
            {
                sheet.path(&[view.at(top_end), view.at(top)], false, &before);
                if butt.bottom.is_some_and(|b| b[side].at.y >= window.low.y) {
                    sheet.path(&[view.at(bottom_end), view.at(bottom)], false, &before);
                }
            }
            if butt.joint_line.is_some() {
                for [_, top, bottom, _] in butt_plates(butt, window) {
                    sheet.path(&[view.at(top), view.at(bottom)], false, &joint);
                    if butt.gap <= 0.0 || !butt.gap.is_finite() {
                        break;
                    }
                }
            }
        }
    }
}

/// A point worth a name.
fn spot(sheet: &mut Sheet, at: Point, class: &str) {
    let pen = Pen { fill: Some("#ffffff"), ..Pen::line(0.25) };
    sheet.circle(at, 0.55, &Pen { class, ..pen });
}

fn root_spot(sheet: &mut Sheet, at: Point, name_at: Point, anchor: Anchor) {
    sheet.circle(at, 0.65, &Pen::fill(ACCENT, 0.0).class("weld-root"));
    sheet.text(name_at, &Type::plain().bold().at(anchor).colour(ACCENT), "P");
}

/// A plate's tint, for behind a label that stands in it.
const TINT: &str = "#eff0f0";

/// Text in a plate, with the ground cleared behind it.
fn haloed(sheet: &mut Sheet, at: Point, set: &Type<'_>, text: &str) {
    let [a, b, _, d] = Type { turn: 0.0, ..*set }.corners(Point::default(), text);
    // The box, turned with the text.
    let (sin, cos) = set.turn.to_radians().sin_cos();
    let place = |p: Point| at + Point::new(p.x * cos - p.y * sin, p.x * sin + p.y * cos);
    let (g, inset) = (0.3, 0.1 * set.size);
    let corners = [
        Point::new(a.x - g, a.y + inset),
        Point::new(b.x + g, a.y + inset),
        Point::new(b.x + g, d.y),
        Point::new(a.x - g, d.y),
    ]
    .map(place);
    sheet.path(&corners, true, &Pen::fill(TINT, 0.85).class("plate-ground"));
    sheet.text(at, set, text);
}

fn tee_dimensions(sheet: &mut Sheet, figure: &SectionFigure<'_>, view: View, narrow: bool) {
    let mut links: Vec<Link<'_>> = Vec::new();
    let mut drops: Vec<Point> = Vec::new();
    let mut roots: Vec<(Point, f64)> = Vec::new();
    // Where the unfused land ends, on either side.
    let mut ends: Vec<f64> = Vec::new();
    let mut lowest = 0.0_f64;
    for p in figure.section.fused.iter().flat_map(|f| finite(&f.outline)) {
        lowest = lowest.max(view.at(p).y);
    }
    let link = |d: &Dimensioned, v: Measured<f64>| {
        let (a, b) = (view.at(d.from), view.at(d.to));
        Link {
            ends: [a.x.min(b.x), a.x.max(b.x)],
            words: short_words(d.reading).to_owned(),
            figure: bare_length(v, figure.units),
            reading: d.reading.field(),
        }
    };
    for weld in figure.welds {
        let outward = if weld.side == Side::Left { -1.0 } else { 1.0 };
        let leg = weld.dimension(Reading::LegBase);
        if let Some((d, v)) = &leg {
            if (d.to - d.from).norm() * view.scale > 0.2 {
                links.push(link(d, *v));
                drops.extend([view.at(d.from), view.at(d.to)]);
            }
            spot(sheet, view.at(d.to), "toe");
        }
        if let Some((d, v)) = weld.dimension(Reading::RootPenetration)
            && (d.to - d.from).norm() * view.scale > 0.2
        {
            links.push(link(&d, v));
            drops.extend([view.at(d.from), view.at(d.to)]);
        }
        match (weld.dimension(Reading::RootPenetration), &leg) {
            (Some((d, _)), _) => {
                ends.push(view.at(d.to).x);
                roots.push((view.at(d.to), outward));
            }
            // Not fused at its corner: the land begins there, and there is no root.
            (None, Some((d, _))) => ends.push(view.at(d.from).x),
            (None, None) => {}
        }
        let leg = leg_on_upright(sheet, figure, weld, view);
        callouts(sheet, weld, view, figure.units, outward, narrow, leg);
    }
    if let (1, Plates::Tee(tee)) = (ends.len(), &figure.section.plates) {
        // Welded from one side: the land reaches the upright's other face.
        ends.extend(upright_feet(tee).map(|feet| view.at(feet[0]).x));
    }
    if let (Some(land), [a, b]) = (figure.land, ends.as_slice())
        && land.value.is_finite()
        && (a - b).abs() > 0.2
    {
        links.push(Link {
            ends: [a.min(*b), a.max(*b)],
            words: "unfused land".to_owned(),
            figure: bare_length(land, figure.units),
            reading: "unfused_land_mm",
        });
        drops.extend([Point::new(*a, 0.0), Point::new(*b, 0.0)]);
    }
    if links.is_empty() {
        return;
    }
    // Under the welds; under the plate where they leave no room in it.
    let thickness = match &figure.section.plates {
        Plates::Tee(tee) => tee.base_thickness.filter(|t| t.is_finite() && *t > 0.0),
        _ => None,
    };
    let floor = thickness.map(|t| t * view.scale);
    let inside = lowest + 4.5;
    let at = match floor {
        Some(floor) if inside + 10.0 > floor && inside - 2.0 < floor => floor.max(lowest) + 4.0,
        _ => inside,
    };
    drops.sort_by(|a, b| a.x.total_cmp(&b.x));
    drops.dedup_by(|a, b| (a.x - b.x).abs() < 0.01);
    for from in drops {
        dimension::extension(sheet, from, Point::new(from.x, at));
    }
    dimension::chain(sheet, &links, at, Way::Level);
    // Their names in the upright; one for both where the land has no room for two.
    match roots.as_slice() {
        [(a, _), (b, _)] if (a.x - b.x).abs() < 6.5 => {
            let middle = a.towards(*b, 0.5);
            sheet.circle(*a, 0.65, &Pen::fill(ACCENT, 0.0).class("weld-root"));
            root_spot(sheet, *b, middle + Point::new(0.0, -1.6), Anchor::Middle);
        }
        _ => {
            for (at, outward) in roots {
                let anchor = if outward > 0.0 { Anchor::End } else { Anchor::Start };
                root_spot(sheet, at, at + Point::new(-1.1 * outward, -1.3), anchor);
            }
        }
    }
}

/// Room that the words of a leg need in the upright beside the weld root's name and the throat's line, mm of paper.
const LEG_ROOM: f64 = 10.0;

/// The leg on the upright, in the plate. Where its words have no room there they are handed back, to stand in the air.
fn leg_on_upright(
    sheet: &mut Sheet,
    figure: &SectionFigure<'_>,
    weld: &WeldFigure,
    view: View,
) -> Option<Callout> {
    let (d, v) = weld.dimension(Reading::LegUpright)?;
    let (corner, toe) = (view.at(d.from), view.at(d.to));
    spot(sheet, toe, "toe");
    let u = (toe - corner).unit()?;
    let outward = if weld.side == Side::Left { -1.0 } else { 1.0 };
    // Into the plate, square to its face.
    let inward = if outward > 0.0 { Point::new(u.y, -u.x) } else { Point::new(-u.y, u.x) };
    let (both, thickness) = match &figure.section.plates {
        Plates::Tee(tee) => (
            tee.left.is_some(),
            upright_feet(tee).map_or(f64::INFINITY, |f| (f[1].x - f[0].x).abs() * view.scale),
        ),
        _ => (false, f64::INFINITY),
    };
    let room = if both { 0.5 * thickness } else { thickness };
    let text = format!("{} {}", short_words(d.reading), bare_length(v, figure.units));
    let set = Type::plain();
    let pen = Pen::line(THIN).of(d.reading.field());
    if room >= LEG_ROOM && set.width(&text) < (toe - corner).norm() - 1.0 {
        // Deep enough in the plate to be clear of most fused zones, and clear of the weld root's name.
        let root = weld
            .dimension(Reading::RootPenetration)
            .map_or(0.0, |(d, _)| (d.to - d.from).norm() * view.scale);
        let most = if both { room - 4.5 } else { room - 1.0 };
        let at = [0.62, 0.5, 0.74, 0.4, 0.3]
            .into_iter()
            .map(|share| (share * room).min(22.0))
            .find(|d| *d >= 3.2 && *d <= most && (*d < root - 1.0 || *d > root + 4.0))
            .unwrap_or((0.5 * room).clamp(3.2, 8.0));
        let at = inward * at;
        dimension::extension(sheet, toe, toe + at);
        dimension::line(sheet, corner + at, toe + at, &pen);
        // Read from the right hand side of the sheet, beside the line on the plate's inner side.
        let turn = {
            let degrees = u.y.atan2(u.x).to_degrees();
            if degrees >= 90.0 {
                degrees - 180.0
            } else if degrees < -90.0 {
                degrees + 180.0
            } else {
                degrees
            }
        };
        let (sin, cos) = turn.to_radians().sin_cos();
        // Above the line as it is read.
        let above = Point::new(sin, -cos) * 0.9;
        let below = Point::new(-sin, cos) * (0.76 * SIZE + 0.5);
        let side = if above.dot(inward) >= 0.0 { above } else { below };
        // Towards the toe, where fused zones are thin.
        let length = (toe - corner).norm();
        let along = (1.0 - (0.5 * set.width(&text) + 0.6) / length).clamp(0.5, 0.6);
        let middle = corner.towards(toe, along) + at + side;
        haloed(sheet, middle, &set.at(Anchor::Middle).turned(turn), &text);
        None
    } else {
        let at = inward * (0.5 * room).min(3.2);
        dimension::extension(sheet, toe, toe + at);
        dimension::line(sheet, corner + at, toe + at, &pen);
        Some(Callout {
            end: toe,
            words: short_words(d.reading),
            figure: bare_length(v, figure.units),
            main: false,
        })
    }
}

/// A name that stands in the air, with a leader to what it names.
struct Callout {
    end: Point,
    words: &'static str,
    figure: String,
    main: bool,
}

/// Throats, drawn where they were taken and named outside, in the air.
fn callouts(
    sheet: &mut Sheet,
    weld: &WeldFigure,
    view: View,
    units: UnitSystem,
    outward: f64,
    narrow: bool,
    leg: Option<Callout>,
) {
    let mut out: Vec<Callout> = leg.into_iter().collect();
    if let (Some(base), Some(upright)) =
        (weld.dimension(Reading::LegBase), weld.dimension(Reading::LegUpright))
        && let (Some(b), Some(u)) =
            ((base.0.to - base.0.from).unit(), (upright.0.to - upright.0.from).unit())
        && let (Some(size_b), Some(size_u), Some(throat)) = (
            weld.value(Reading::SizeBase),
            weld.value(Reading::SizeUpright),
            weld.value(Reading::TheoreticalThroat),
        )
    {
        let corner = base.0.from;
        let (p, q) = (corner + b * size_b.value, corner + u * size_u.value);
        if sound(p) && sound(q) && (p - q).norm() > 0.0 {
            let t = (corner - p).dot(q - p) / (q - p).dot(q - p);
            let foot = p.towards(q, t);
            let pen = Pen::line(THIN).dashed(HIDDEN).class("triangle");
            sheet.path(&[view.at(corner), view.at(p), view.at(q)], true, &pen);
            let pen = Pen::line(0.18).of(Reading::TheoreticalThroat.field()).class("dimension");
            sheet.path(&[view.at(corner), view.at(foot)], false, &pen);
            if let Some(dir) = (foot - corner).unit() {
                dimension::arrow(sheet, view.at(foot), Point::new(dir.x, -dir.y), &pen);
            }
            out.push(Callout {
                end: view.at(foot),
                words: "theoretical throat",
                figure: bare_length(throat, units),
                main: false,
            });
        }
    }
    if let Some((d, v)) = weld.dimension(Reading::EffectiveThroat) {
        let (a, b) = (view.at(d.from), view.at(d.to));
        let pen = Pen::line(0.45).colour(ACCENT).of(d.reading.field());
        if (b - a).norm() > 2.5 * dimension::ARROW {
            dimension::line(sheet, a, b, &pen);
        } else {
            sheet.path(&[a, b], false, &pen.class("dimension"));
        }
        out.push(Callout {
            end: b,
            words: "effective throat",
            figure: bare_length_and_u(v, units),
            main: true,
        });
    }
    if out.is_empty() {
        return;
    }
    // The higher end gets the higher shelf, so that leaders do not cross; all stand in the air above the base.
    out.sort_by(|a, b| a.end.y.total_cmp(&b.end.y));
    let mut reach = f64::NEG_INFINITY;
    for reading in [Reading::LegBase, Reading::LegUpright] {
        if let Some((d, _)) = weld.dimension(reading) {
            reach = reach.max(view.at(d.to).x * outward);
        }
    }
    for c in &out {
        reach = reach.max(c.end.x * outward);
    }
    // On a narrow drawing words and figure stand under each other.
    let step = if narrow { 8.2 } else { 5.2 };
    let last = (out[out.len() - 1].end.y - 4.0).min(-3.0);
    let shelf = |i: usize| last - step * (out.len() - 1 - i) as f64;
    for (i, c) in out.iter().enumerate() {
        let (x, y) = (outward * (reach + 3.0), shelf(i));
        let colour = if c.main { ACCENT } else { INK_LINE };
        let set = Type::plain().colour(colour).at(if outward > 0.0 {
            Anchor::Start
        } else {
            Anchor::End
        });
        let set = if c.main { set.bold() } else { set };
        let pen = Pen::line(THIN).colour(colour).class("leader");
        sheet.path(&[c.end, Point::new(x, y), Point::new(x + 1.6 * outward, y)], false, &pen);
        let at = Point::new(x + 2.2 * outward, y + 0.35 * SIZE);
        if narrow {
            sheet.text(at - Point::new(0.0, 1.6), &set.size(2.4), c.words);
            sheet.text(at + Point::new(0.0, 1.7), &set, &c.figure);
        } else {
            sheet.text(at, &set, &format!("{} {}", c.words, c.figure));
        }
    }
}

/// Bead and butt: widths above and below, depths along the joint at the side.
fn flat_dimensions(sheet: &mut Sheet, figure: &SectionFigure<'_>, window: &Extent, view: View) {
    let mut e = Extent::NONE;
    for p in figure.section.fused.iter().flat_map(|f| finite(&f.outline)) {
        e.hold(view.at(p));
    }
    if e.low.x > e.high.x {
        return;
    }
    let mut links: Vec<Link<'_>> = Vec::new();
    let mut roots: Vec<(Point, bool)> = Vec::new();
    // Beside the plate, so that no label lies on its edge.
    let side = e.high.x.max(view.at(window.high).x) + 3.5;
    for weld in figure.welds {
        let below = weld.side == Side::Bottom;
        if let Some((d, v)) = weld.dimension(Reading::WidthSurface) {
            let (a, b) = (view.at(d.from), view.at(d.to));
            let out = if below { 1.0 } else { -1.0 };
            let at = if below { e.high.y + 4.0 } else { e.low.y - 4.0 };
            for p in [a, b] {
                dimension::extension(sheet, p, Point::new(p.x, at));
                spot(sheet, p, "toe");
            }
            let pen = Pen::line(THIN).of(d.reading.field());
            dimension::line(sheet, Point::new(a.x, at), Point::new(b.x, at), &pen);
            let text = format!("{} {}", short_words(d.reading), bare_length(v, figure.units));
            let y = if out > 0.0 { at + 1.0 + 0.76 * SIZE } else { at - 0.9 };
            let middle = Point::new(0.5 * (a.x + b.x), y);
            sheet.text(middle, &Type::plain().at(Anchor::Middle), &text);
        }
        if let Some((d, v)) = weld.dimension(Reading::Penetration) {
            let (a, b) = (view.at(d.from), view.at(d.to));
            roots.push((b, below));
            if (a.y - b.y).abs() > 0.2 {
                let pen = Pen::line(0.45).colour(ACCENT).of(d.reading.field()).class("measured");
                sheet.path(&[a, b], false, &pen);
                // Along the surface from where the metal ends, from the root from where it is.
                let start = Point::new(e.high.x.max(a.x), a.y);
                dimension::extension(sheet, start, Point::new(side, a.y));
                dimension::extension(sheet, b, Point::new(side, b.y));
                links.push(Link {
                    ends: [a.y.min(b.y), a.y.max(b.y)],
                    words: if figure.welds.len() > 1 {
                        format!("penetration, {}", weld.side.word())
                    } else {
                        "penetration".to_owned()
                    },
                    figure: bare_length_and_u(v, figure.units),
                    reading: d.reading.field(),
                });
            }
        }
    }
    if let (Some(land), [a, b]) = (figure.land, roots.as_slice())
        && land.value.is_finite()
        && land.value > 0.0
        && (a.0.y - b.0.y).abs() > 0.2
    {
        links.push(Link {
            ends: [a.0.y.min(b.0.y), a.0.y.max(b.0.y)],
            words: "unfused land".to_owned(),
            figure: bare_length(land, figure.units),
            reading: "unfused_land_mm",
        });
    }
    dimension::chain(sheet, &links, side, Way::Upright(1));
    if matches!(figure.section.plates, Plates::Butt(_)) {
        // Beyond the root, and on different sides of the joint line, so that a short land has room for both.
        for (at, below) in roots {
            if below {
                root_spot(sheet, at, at + Point::new(1.2, -1.3), Anchor::Start);
            } else {
                root_spot(sheet, at, at + Point::new(-1.2, 3.2), Anchor::End);
            }
        }
    }
}

/// A length that makes a scale bar of a good size, in mm of the section, and its words.
pub(super) fn bar(mm_per_paper_mm: f64, wanted: f64, units: UnitSystem) -> Option<(f64, String)> {
    let (unit, word) = match units {
        UnitSystem::Metric => (1.0, "mm"),
        UnitSystem::Inch => (25.4, "in"),
    };
    let most = wanted * mm_per_paper_mm / unit;
    if !(most.is_finite() && most > 0.0) {
        return None;
    }
    let power = 10_f64.powf(most.log10().floor());
    let step = [5.0, 2.0, 1.0].into_iter().find(|s| s * power <= most)?;
    let length = step * power;
    let decimals = usize::try_from((-power.log10().floor()).max(0.0) as i64).unwrap_or(0);
    Some((length * unit, format!("{length:.decimals$} {word}")))
}

pub(super) fn scale_bar(sheet: &mut Sheet, at: Point, scale: f64, units: UnitSystem, wanted: f64) {
    let Some((mm, words)) = bar(1.0 / scale, wanted, units) else { return };
    let end = at + Point::new(mm * scale, 0.0);
    sheet.path(&[at, end], false, &Pen::line(0.5).class("scale-bar"));
    for p in [at, end] {
        sheet.path(&[p - Point::new(0.0, 0.9), p + Point::new(0.0, 0.9)], false, &Pen::line(0.25));
    }
    sheet.text(end + Point::new(1.4, 0.35 * SIZE), &Type::plain(), &words);
}

fn legend(sheet: &mut Sheet, figure: &SectionFigure<'_>, view: View, width: f64) {
    let section = figure.section;
    let e = sheet.extent();
    if e.low.x > e.high.x {
        return;
    }
    let mut items: Vec<(&str, &str)> = vec![("fused", "fused")];
    if !figure.heat_affected.is_empty() {
        items.push(("heat", "heat-affected"));
    }
    match &section.plates {
        Plates::Bead => {}
        Plates::Tee(_) => items.push(("joint", "joint line")),
        Plates::Butt(b) if b.joint_line.is_some() => items.push(("joint", "joint line")),
        Plates::Butt(_) => {}
    }
    if !section.pores.is_empty() {
        items.push(("pore", "pore"));
    }
    if !section.cracks.is_empty() {
        items.push(("crack", "crack"));
    }
    if !section.unfused.is_empty() {
        items.push(("unfused", "lack of fusion"));
    }
    if figure.welds.iter().any(|w| {
        w.dimension(Reading::WidthSurface).is_some() || w.dimension(Reading::LegBase).is_some()
    }) {
        items.push(("toe", "toe"));
    }
    if figure.welds.iter().any(|w| !w.dimensions.is_empty())
        && !matches!(section.plates, Plates::Bead)
    {
        items.push(("root", "weld root"));
    }
    let set = Type::plain().size(2.4);
    let (left, right) = (e.low.x, (e.low.x + width - 1.0).max(e.high.x));
    let (mut x, mut y) = (left, e.high.y + 5.0);
    scale_bar(sheet, Point::new(x, y), view.scale, figure.units, 22.0);
    x = sheet.extent().high.x.min(left + 45.0).max(left + 40.0);
    let words = unit_words(figure.units);
    sheet.text(Point::new(x, y + 0.8), &set, words);
    x += set.width(words) + 5.0;
    for (what, words) in items {
        let sample = match what {
            "toe" | "pore" => 2.6,
            "root" => 4.6,
            _ => 6.5,
        };
        let room = sample + 1.4 + set.width(words) + 4.0;
        if x + room > right && x > left {
            x = left;
            y += 4.4;
        }
        let (a, b) = (Point::new(x, y), Point::new(x + sample, y));
        let middle = a.towards(b, 0.5);
        match what {
            "fused" => {
                let swatch = [
                    a + Point::new(0.0, -1.4),
                    b + Point::new(0.0, -1.4),
                    b + Point::new(0.0, 1.2),
                    a + Point::new(0.0, 1.2),
                ];
                let lines = hatch(&swatch, 1.3);
                let lines: Vec<&[Point]> = lines.iter().map(|l| l.as_slice()).collect();
                sheet.paths(&lines, false, &Pen::line(0.12).colour(ORANGE));
                sheet.path(&swatch, true, &Pen::line(0.4));
            }
            "heat" => sheet.path(&[a, b], false, &Pen::line(0.25).colour(SKY).dashed(&[2.0, 1.0])),
            "joint" => sheet.path(&[a, b], false, &Pen::line(0.2).dashed(JOINT)),
            "pore" => sheet.circle(middle, 1.0, &Pen { fill: Some("#ffffff"), ..Pen::line(0.25) }),
            "crack" => sheet.path(&[a, b], false, &Pen::line(0.45).colour(VERMILION)),
            "unfused" => {
                sheet.path(&[a, b], false, &Pen::line(0.45).colour(VERMILION).dashed(&[1.0, 0.6]));
            }
            "toe" => spot(sheet, middle, "sample"),
            _ => {
                sheet.circle(a + Point::new(0.7, 0.0), 0.65, &Pen::fill(ACCENT, 0.0));
                sheet.text(a + Point::new(2.0, 0.9), &set.bold().colour(ACCENT), "P");
            }
        }
        sheet.text(Point::new(x + sample + 1.4, y + 0.8), &set, words);
        x += room;
    }
}
