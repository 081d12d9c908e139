//! Lines drawn over a photograph: outlines, plates, dimensions, set points.
//!
//! Colours are those of Okabe and Ito, told apart by people with colour-weak eyes, and never alone: each kind of line has
//! its own dashes. Every line has a dark rim, so that it shows on bright steel and on a black mount.
//!
//! | line | colour | dashes |
//! |---|---|---|
//! | fused outline | orange | full |
//! | heat-affected outline | sky blue | long |
//! | pore | vermilion | full, thin |
//! | crack, lack of fusion | vermilion, purple | short |
//! | plate surfaces, joint line | blue | long and short |
//! | effective throat | green | full, with end strokes |
//! | other dimensions | yellow | full, thin, with end strokes |
//! | scale, straightened rectangle | white | dots, with end strokes |
//! | second line beside a fused outline | sky blue | dots |
//!
//! Set points are rings, held points squares. A picture that says all this may stand under the photo ([`Foot`]).

use crate::decode::Photo;
use crate::encode::{EncodeError, png};
use crate::marks::{Kind, Px};
use tiny_skia::{
    Color, LineCap, LineJoin, Paint, PathBuilder, Pixmap, Stroke as Pen, StrokeDash, Transform,
};
use weld::reading::Reading;

/// What a line stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    /// An outline or an open line.
    Outline(Kind),
    /// A plate's surface or the joint line.
    Plate,
    /// Where a reading was taken.
    Dimension(Reading),
    /// Where the scale was taken, or a rectangle that straightens.
    Scale,
    /// A second line, which may be the fusion line as well.
    Second,
    /// A point set by hand.
    SetPoint,
    /// A point set by hand and held.
    HeldPoint,
}

/// A line, or one point, on the photo.
#[derive(Clone, Debug)]
pub struct Stroke {
    /// Its points, pixels (centres at integers).
    pub px: Vec<Px>,
    /// Joined at the end?
    pub closed: bool,
    /// What it stands for.
    pub look: Look,
}

const ORANGE: [u8; 3] = [230, 159, 0];
const SKY: [u8; 3] = [86, 180, 233];
const GREEN: [u8; 3] = [0, 158, 115];
const YELLOW: [u8; 3] = [240, 228, 66];
const BLUE: [u8; 3] = [0, 114, 178];
const VERMILION: [u8; 3] = [213, 94, 0];
const PURPLE: [u8; 3] = [204, 121, 167];

/// A picture to stand under the photo, as wide as it.
#[derive(Clone, Debug, Default)]
pub struct Foot {
    /// Rows.
    pub height: u32,
    /// Red, green, blue, row by row.
    pub rgb: Vec<u8>,
}

/// Paints strokes over the photo, sets the foot under it, and returns a PNG.
///
/// # Errors
///
/// When the photo's size is not one that can be written, or the foot does not fit it.
pub fn paint(photo: &Photo, strokes: &[Stroke], foot: &Foot) -> Result<Vec<u8>, EncodeError> {
    let (width, height) = (photo.width, photo.height);
    let bad = EncodeError::BadSize { width, height };
    let mut map = Pixmap::new(width, height).ok_or(bad)?;
    for (to, from) in map.data_mut().chunks_exact_mut(4).zip(photo.rgb.chunks_exact(3)) {
        to[..3].copy_from_slice(from);
        to[3] = 255;
    }
    // A line as thick as a pen's on a print: about a thousandth of the picture's longer side.
    let unit = unit_px(photo) as f32;
    for stroke in strokes {
        let (colour, thickness, dashes) = manner(stroke.look);
        let thickness = thickness * unit;
        let Some(path) = path(stroke, unit) else { continue };
        let pen = |width: f32, dash: bool| Pen {
            width,
            line_cap: LineCap::Round,
            line_join: LineJoin::Round,
            dash: if dash {
                StrokeDash::new(dashes.iter().map(|d| d * unit).collect(), 0.0)
            } else {
                None
            },
            ..Pen::default()
        };
        let paint = |c: [u8; 3], alpha: u8| {
            let mut paint = Paint { anti_alias: true, ..Paint::default() };
            paint.set_color(Color::from_rgba8(c[0], c[1], c[2], alpha));
            paint
        };
        // The rim is dashed with the line: a dashed line on a full rim reads as a full line.
        let dashed = !dashes.is_empty();
        map.stroke_path(
            &path,
            &paint([0, 0, 0], 150),
            &pen(thickness + 1.2 * unit, dashed),
            Transform::identity(),
            None,
        );
        map.stroke_path(
            &path,
            &paint(colour, 255),
            &pen(thickness, dashed),
            Transform::identity(),
            None,
        );
    }
    let mut rgb: Vec<u8> = map.data().chunks_exact(4).flat_map(|p| [p[0], p[1], p[2]]).collect();
    rgb.extend_from_slice(&foot.rgb);
    png(width, height + foot.height, &rgb)
}

/// The unit in which lines are as thick as [`manner`] says, pixels.
#[must_use]
pub fn unit_px(photo: &Photo) -> f64 {
    (f64::from(photo.width.max(photo.height)) / 1000.0).max(1.0)
}

/// Colour, thickness and dashes of a line, the last two in units of [`unit_px`].
#[must_use]
pub fn manner(look: Look) -> ([u8; 3], f32, &'static [f32]) {
    match look {
        Look::Outline(Kind::Fused) => (ORANGE, 1.6, &[]),
        Look::Outline(Kind::Affected) => (SKY, 1.4, &[9.0, 5.0]),
        Look::Outline(Kind::Pore) => (VERMILION, 1.0, &[]),
        Look::Outline(Kind::Crack) => (VERMILION, 1.6, &[4.0, 4.0]),
        Look::Outline(Kind::Unfused) => (PURPLE, 1.6, &[4.0, 4.0]),
        Look::Plate => (BLUE, 1.4, &[10.0, 4.0, 2.0, 4.0]),
        Look::Dimension(Reading::EffectiveThroat) => (GREEN, 2.2, &[]),
        Look::Dimension(_) => (YELLOW, 1.0, &[]),
        Look::Second => (SKY, 1.4, &[2.0, 4.0]),
        Look::Scale => ([255, 255, 255], 1.2, &[2.0, 3.0]),
        Look::SetPoint | Look::HeldPoint => ([255, 255, 255], 1.2, &[]),
    }
}

fn path(stroke: &Stroke, unit: f32) -> Option<tiny_skia::Path> {
    // Pixel centres at integers here, at halves there.
    let at = |p: Px| (p[0] as f32 + 0.5, p[1] as f32 + 0.5);
    let mut builder = PathBuilder::new();
    match stroke.look {
        Look::SetPoint => {
            let (x, y) = at(*stroke.px.first()?);
            builder.push_circle(x, y, 4.0 * unit);
        }
        Look::HeldPoint => {
            let (x, y) = at(*stroke.px.first()?);
            builder.push_rect(tiny_skia::Rect::from_xywh(
                x - 4.0 * unit,
                y - 4.0 * unit,
                8.0 * unit,
                8.0 * unit,
            )?);
        }
        _ => {
            for (i, &p) in stroke.px.iter().enumerate() {
                let (x, y) = at(p);
                if i == 0 { builder.move_to(x, y) } else { builder.line_to(x, y) }
            }
            if stroke.closed {
                builder.close();
            }
            if let (Look::Dimension(_) | Look::Scale, [a, b]) = (stroke.look, stroke.px.as_slice())
            {
                end_strokes(&mut builder, at(*a), at(*b), 5.0 * unit);
            }
        }
    }
    builder.finish()
}

/// Short strokes square to a dimension at both its ends.
fn end_strokes(builder: &mut PathBuilder, a: (f32, f32), b: (f32, f32), half: f32) {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let length = dx.hypot(dy);
    if length <= 0.0 {
        return;
    }
    let (nx, ny) = (-dy / length * half, dx / length * half);
    for (x, y) in [a, b] {
        builder.move_to(x - nx, y - ny);
        builder.line_to(x + nx, y + ny);
    }
}
