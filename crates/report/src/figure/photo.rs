//! What was read, drawn over a photograph of the section.
//!
//! Coordinates are pixels of the picture as given, integers at the pixels' centres; the picture may be a part cut out
//! of a photo, and the coordinates are then those of the part. Every line has a dark rim, so that it shows on bright
//! steel and on a black mount, and its own dashes beside its colour; figures stand on dark plates, pushed apart.
//!
//! | line | colour | dashes |
//! |---|---|---|
//! | fused outline | orange | full |
//! | heat-affected outline | sky blue | long |
//! | pore | vermilion | full, thin |
//! | crack, lack of fusion | vermilion, purple | short |
//! | plate surfaces, joint line | white, long and short | |
//! | effective throat, penetration | green, full, with arrows | |
//! | other dimensions | yellow, thin, with arrows | |

use super::dimension;
use super::section::{scale_bar, usable};
use super::sheet::{Anchor, Pen, Sheet, Type, sound};
use super::{
    GREEN, ORANGE, PURPLE, SKY, Svg, VERMILION, YELLOW, bare_length, short_words, unit_words,
};
use weld::measured::Measured;
use weld::quantity::show::UnitSystem;
use weld::reading::Reading;
use weld::section::Point;

/// How the bytes of a picture are packed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PictureKind {
    /// JPEG.
    Jpeg,
    /// PNG.
    Png,
}

impl PictureKind {
    /// The kind that bytes begin as, if either.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Option<Self> {
        if bytes.starts_with(&[0xff, 0xd8, 0xff]) {
            Some(Self::Jpeg)
        } else if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
            Some(Self::Png)
        } else {
            None
        }
    }

    const fn mime(self) -> &'static str {
        match self {
            Self::Jpeg => "image/jpeg",
            Self::Png => "image/png",
        }
    }
}

/// Where the picture comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Picture<'a> {
    /// A page has it at this address.
    Href(&'a str),
    /// Its bytes, put into the drawing.
    Embedded {
        /// JPEG or PNG.
        bytes: &'a [u8],
    },
    /// No picture: the lines alone, to lie over one.
    None,
}

/// What a line on a photo stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    /// A fused outline.
    Fused,
    /// A heat-affected outline.
    HeatAffected,
    /// A pore or void.
    Pore,
    /// A crack.
    Crack,
    /// A lack-of-fusion line.
    LackOfFusion,
    /// A plate's surface.
    Plate,
    /// Where plates meet.
    JointLine,
}

/// A line on a photo.
#[derive(Clone, Debug, PartialEq)]
pub struct PhotoLine {
    /// Its points, pixels.
    pub px: Vec<[f64; 2]>,
    /// What it stands for; outlines and pores are closed.
    pub look: Look,
}

/// A reading on a photo.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PhotoDimension {
    /// What it is.
    pub reading: Reading,
    /// From here, pixels.
    pub from: [f64; 2],
    /// To there.
    pub to: [f64; 2],
    /// How much, mm, with its standard uncertainty.
    pub value: Measured<f64>,
}

/// A photo with what was read from it.
#[derive(Clone, Debug)]
pub struct PhotoFigure<'a> {
    /// Width and height of the picture, pixels.
    pub size_px: [u32; 2],
    /// The picture.
    pub picture: Picture<'a>,
    /// Lines over it.
    pub lines: &'a [PhotoLine],
    /// Dimensions over it.
    pub dimensions: &'a [PhotoDimension],
    /// Scale, for a bar; `None`: no bar.
    pub mm_per_px: Option<f64>,
    /// Units of the figures.
    pub units: UnitSystem,
    /// Width on paper, mm.
    pub width_mm: f64,
}

/// Draws lines and dimensions over a photo.
#[must_use]
pub fn photo_overlay(figure: &PhotoFigure<'_>) -> Svg {
    let width = usable(figure.width_mm, 85.0);
    let [w, h] = figure.size_px.map(|v| f64::from(v.max(1)));
    let k = width / w;
    let height = (k * h).clamp(1.0, 1500.0);
    let mut sheet = Sheet::default();
    let size = Point::new(width, k * h);
    match figure.picture {
        Picture::Href(href) => sheet.image(Point::default(), size, href),
        Picture::Embedded { bytes } => match PictureKind::of(bytes) {
            Some(kind) => {
                let href = format!("data:{};base64,{}", kind.mime(), base64(bytes));
                sheet.image(Point::default(), size, &href);
            }
            None => {
                missing(&mut sheet, size, "the photo cannot be shown: it is neither JPEG nor PNG")
            }
        },
        Picture::None => {}
    }
    let at = |p: [f64; 2]| Point::new(k * (p[0] + 0.5), k * (p[1] + 0.5));
    let mut covered: Vec<Point> = Vec::new();
    for line in figure.lines {
        let points: Vec<Point> = line.px.iter().map(|p| at(*p)).filter(|p| sound(*p)).collect();
        let (pen, closed) = manner(line.look);
        let step = (points.len() / 150).max(1);
        covered.extend(points.iter().step_by(step));
        let rim = Pen {
            width: pen.width + 0.22,
            dash: &[],
            class: "rim",
            ..pen.colour("#000000").faint(0.5)
        };
        sheet.path(&points, closed, &rim);
        sheet.path(&points, closed, &pen);
    }
    let dimensions: Vec<(PhotoDimension, Point, Point)> = figure
        .dimensions
        .iter()
        .map(|d| (*d, at(d.from), at(d.to)))
        .filter(|(d, a, b)| sound(*a) && sound(*b) && d.value.value.is_finite())
        .collect();
    for (d, a, b) in &dimensions {
        let main = is_main(d.reading);
        let colour = if main { GREEN } else { YELLOW };
        let pen = Pen::line(if main { 0.3 } else { 0.18 }).colour(colour).of(d.reading.field());
        let rim = Pen::line(pen.width + 0.25).colour("#000000").faint(0.55).class("rim");
        sheet.path(&[*a, *b], false, &rim);
        if (*b - *a).norm() >= 2.5 * dimension::ARROW {
            dimension::line(&mut sheet, *a, *b, &pen);
        } else {
            sheet.path(&[*a, *b], false, &pen.class("dimension"));
            for end in [a, b] {
                sheet.circle(*end, 0.5, &Pen::fill(colour, 0.0).class("arrow"));
            }
        }
    }
    labels(&mut sheet, &dimensions, &covered, size, figure);
    if let Some(mm) = figure.mm_per_px.filter(|m| m.is_finite() && *m > 0.0) {
        let scale = k / mm;
        let plate = Point::new(1.5, height - 5.6);
        sheet.rect(
            plate,
            Point::new(if figure.units == UnitSystem::Metric { 27.0 } else { 30.0 }, 4.2),
            0.6,
            &Pen::fill("#ffffff", 0.85),
        );
        scale_bar(&mut sheet, plate + Point::new(1.4, 2.1), scale, figure.units, 14.0);
    }
    sheet.finish(
        Point::default(),
        Point::new(width, height),
        &format!("Photo of a section with what was read from it; {}", unit_words(figure.units)),
    )
}

fn missing(sheet: &mut Sheet, size: Point, words: &str) {
    sheet.rect(Point::default(), size, 0.0, &Pen::fill("#16202a", 0.06));
    let set = Type::plain().at(Anchor::Middle);
    sheet.text(size * 0.5, &set, &crate::faces::fitted(words, set.size, set.weight, size.x - 4.0));
}

fn manner(look: Look) -> (Pen<'static>, bool) {
    match look {
        Look::Fused => (Pen::line(0.22).colour(ORANGE).class("fused").rounded(), true),
        Look::HeatAffected => {
            (Pen::line(0.3).colour(SKY).dashed(&[2.0, 1.0]).class("heat-affected").rounded(), true)
        }
        Look::Pore => (Pen::line(0.25).colour(VERMILION).class("pore").rounded(), true),
        Look::Crack => {
            (Pen::line(0.35).colour(VERMILION).dashed(&[0.8, 0.7]).class("crack"), false)
        }
        Look::LackOfFusion => {
            (Pen::line(0.35).colour(PURPLE).dashed(&[0.8, 0.7]).class("unfused"), false)
        }
        Look::Plate => (Pen::line(0.2).colour("#ffffff").class("plate"), false),
        Look::JointLine => (
            Pen::line(0.25).colour("#ffffff").dashed(&[2.6, 0.7, 0.5, 0.7]).class("joint-line"),
            false,
        ),
    }
}

const fn is_main(reading: Reading) -> bool {
    matches!(reading, Reading::EffectiveThroat | Reading::Penetration)
}

/// A box: upper left corner and size.
type Box2 = (Point, Point);

fn overlap(a: &Box2, b: &Box2) -> f64 {
    let x = (a.0.x + a.1.x).min(b.0.x + b.1.x) - a.0.x.max(b.0.x);
    let y = (a.0.y + a.1.y).min(b.0.y + b.1.y) - a.0.y.max(b.0.y);
    if x > 0.0 && y > 0.0 { x * y } else { 0.0 }
}

/// How much of a line lies in a box, in steps of a tenth.
fn crossed(b: &Box2, line: (Point, Point)) -> f64 {
    let inside =
        |p: Point| p.x > b.0.x && p.x < b.0.x + b.1.x && p.y > b.0.y && p.y < b.0.y + b.1.y;
    (0..=10).filter(|i| inside(line.0.towards(line.1, 0.1 * f64::from(*i)))).count() as f64
}

/// Whether two lines cross.
fn cross(a: (Point, Point), b: (Point, Point)) -> bool {
    let side = |l: (Point, Point), p: Point| (l.1 - l.0).cross(p - l.0) > 0.0;
    side(a, b.0) != side(a, b.1) && side(b, a.0) != side(b, a.1)
}

/// Puts the figures where they cover least: tried about each dimension, the nearest place that covers nothing wins.
fn labels(
    sheet: &mut Sheet,
    dimensions: &[(PhotoDimension, Point, Point)],
    outlines: &[Point],
    size: Point,
    figure: &PhotoFigure<'_>,
) {
    let set = Type::plain().size(2.5);
    // The bar's corner is taken.
    let mut placed: Vec<Box2> = vec![(Point::new(0.0, size.y - 7.0), Point::new(30.0, 7.0))];
    let mut leaders: Vec<(Point, Point)> = Vec::new();
    // What the claim is about chooses first.
    let mut order: Vec<usize> = (0..dimensions.len()).collect();
    order.sort_by_key(|i| !is_main(dimensions[*i].0.reading));
    for index in order {
        let (d, a, b) = &dimensions[index];
        let main = is_main(d.reading);
        let text = format!("{} {}", short_words(d.reading), bare_length(d.value, figure.units));
        let set = if main { set.bold() } else { set };
        let room = Point::new(set.width(&text) + 1.6, 3.9);
        // A throat is named from its end at the face, out of the metal.
        let tip = a.towards(*b, if main { 1.0 } else { 0.5 });
        let mut best: Option<(f64, Box2, Point)> = None;
        for ring in 0..9 {
            for turn in 0..24 {
                let angle = std::f64::consts::TAU * f64::from(turn) / 24.0;
                let reach = 2.0 + 4.0 * f64::from(ring);
                let (sin, cos) = angle.sin_cos();
                let centre =
                    tip + Point::new(cos * (reach + 0.5 * room.x), sin * (reach + 0.5 * room.y));
                let most = size - room - Point::new(0.6, 0.6);
                let corner = Point::new(
                    (centre.x - 0.5 * room.x).clamp(0.6, most.x.max(0.6)),
                    (centre.y - 0.5 * room.y).clamp(0.6, most.y.max(0.6)),
                );
                let here = (corner, room);
                let end = Point::new(
                    tip.x.clamp(corner.x, corner.x + room.x),
                    tip.y.clamp(corner.y, corner.y + room.y),
                );
                let leader = (tip, end);
                let mut cost = (end - tip).norm();
                for p in &placed {
                    cost += 10.0 * overlap(&here, p) + 4.0 * crossed(p, leader);
                }
                for (i, (_, p, q)) in dimensions.iter().enumerate() {
                    cost += 6.0 * crossed(&here, (*p, *q));
                    if i != index && cross(leader, (*p, *q)) {
                        cost += 12.0;
                    }
                }
                for l in &leaders {
                    cost += 4.0 * crossed(&here, *l) + if cross(leader, *l) { 12.0 } else { 0.0 };
                }
                let covered = outlines
                    .iter()
                    .filter(|p| {
                        p.x > corner.x
                            && p.x < corner.x + room.x
                            && p.y > corner.y
                            && p.y < corner.y + room.y
                    })
                    .count();
                cost += 0.6 * covered as f64;
                if best.is_none_or(|(least, ..)| cost < least) {
                    best = Some((cost, here, end));
                }
            }
        }
        let Some((_, (corner, room), end)) = best else { continue };
        placed.push((corner, room));
        leaders.push((tip, end));
        let colour = if main { GREEN } else { YELLOW };
        sheet.path(&[tip, end], false, &Pen::line(0.5).colour("#000000").faint(0.55).class("rim"));
        sheet.path(&[tip, end], false, &Pen::line(0.2).colour(colour).class("leader"));
        sheet.rect(corner, room, 0.6, &Pen::fill("#0b0f14", 0.82).class("label"));
        sheet.text(corner + Point::new(0.8, 2.85), &set.colour("#ffffff").class("label"), &text);
    }
}

const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

fn base64(bytes: &[u8]) -> String {
    let mut out = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for chunk in bytes.chunks(3) {
        let three = [0, 1, 2].map(|i| u32::from(chunk.get(i).copied().unwrap_or(0)));
        let bits = three[0] << 16 | three[1] << 8 | three[2];
        for i in 0..4_usize {
            if i <= chunk.len() {
                let index = (bits >> (18 - 6 * i) & 63) as usize;
                out.push(char::from(LETTERS[index]));
            } else {
                out.push('=');
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The test values of RFC 4648, section 10.
    #[test]
    fn base64_as_published() {
        for (plain, coded) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
    }

    #[test]
    fn a_picture_that_is_none_is_said() {
        let figure = PhotoFigure {
            size_px: [100, 80],
            picture: Picture::Embedded { bytes: b"GIF89a" },
            lines: &[],
            dimensions: &[],
            mm_per_px: None,
            units: UnitSystem::Metric,
            width_mm: 85.0,
        };
        assert!(photo_overlay(&figure).as_str().contains("the photo cannot be shown"));
    }
}
