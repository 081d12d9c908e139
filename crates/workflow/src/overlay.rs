//! The photo with everything that was read drawn on it.

use crate::read::Done;
use crate::refusal::Refusal;
use photo::decode::{MAX_MEGAPIXELS, MAX_SIDE_PX, Photo};
use photo::marks::Kind;
use photo::overlay::{Foot, Look, Stroke, manner, paint, unit_px};
use photo::scale::ScaleMark;
use report::figure::legend::{Item, Sample, legend};
use report::figure::png::{MOST, to_rgb};
use weld::reading::Reading;

/// Draws outlines, plates and throats over the photo and returns a PNG.
///
/// # Errors
///
/// When the picture cannot be written.
pub fn overlay(done: &Done) -> Result<Vec<u8>, Refusal> {
    let mut strokes = Vec::new();
    let plates = &done.asked.marks.plates;
    for points in [
        &plates.surface,
        &plates.bottom,
        &plates.joint_line,
        &plates.base,
        &plates.upright,
        &plates.upright_left,
        &plates.upright_right,
        &plates.upright_far,
    ] {
        if points.len() > 1 {
            strokes.push(Stroke { px: points.clone(), closed: false, look: Look::Plate });
        }
    }
    for mark in &done.asked.marks.scale {
        if let ScaleMark::TwoPoints { from, to, .. }
        | ScaleMark::Bar { from, to, .. }
        | ScaleMark::Thickness { from, to, .. } = mark
        {
            let px = vec![[from.x_px, from.y_px], [to.x_px, to.y_px]];
            strokes.push(Stroke { px, closed: false, look: Look::Scale });
        }
    }
    if let Some(corners) = &done.asked.marks.corners {
        strokes.push(Stroke { px: corners.px.to_vec(), closed: true, look: Look::Scale });
    }
    for outline in &done.read.outlines {
        strokes.push(Stroke {
            px: outline.px.clone(),
            closed: outline.kind.is_closed(),
            look: Look::Outline(outline.kind),
        });
    }
    for second in &done.read.beside {
        strokes.push(Stroke { px: second.px.clone(), closed: false, look: Look::Second });
    }
    for weld in &done.read.welds {
        for d in &weld.dimensions {
            let px = vec![
                done.read.frame.px_from_section(d.from),
                done.read.frame.px_from_section(d.to),
            ];
            strokes.push(Stroke { px, closed: false, look: Look::Dimension(d.reading) });
        }
    }
    for mark in &done.asked.marks.outlines {
        for (i, p) in mark.points.iter().enumerate() {
            let look = if mark.hold.contains(&i) { Look::HeldPoint } else { Look::SetPoint };
            strokes.push(Stroke { px: vec![*p], closed: false, look });
        }
    }
    paint(&done.photo, &strokes, &foot(&done.photo, &strokes)?).map_err(|e| {
        Refusal::new(format!("the overlay cannot be drawn: {e}"), "use a smaller photo")
    })
}

/// The legend of what was painted, to stand under the photo.
pub(crate) fn foot(photo: &Photo, strokes: &[Stroke]) -> Result<Foot, Refusal> {
    let mut looks: Vec<Look> = Vec::new();
    for stroke in strokes {
        // All dimensions but the throat look alike.
        let look = match stroke.look {
            Look::Dimension(reading) if reading != Reading::EffectiveThroat => {
                Look::Dimension(Reading::LegBase)
            }
            other => other,
        };
        if !looks.contains(&look) {
            looks.push(look);
        }
    }
    // Letters some 20 pixels high on a photo of the usual size.
    let width_mm = (f64::from(photo.width) / 8.0).clamp(60.0, 200.0);
    let mm_per_unit = unit_px(photo) * width_mm / f64::from(photo.width);
    let items: Vec<Item> = looks
        .into_iter()
        .map(|look| {
            let (colour, width, dash) = manner(look);
            Item {
                words: words(look).to_owned(),
                sample: match look {
                    Look::Dimension(_) | Look::Scale => Sample::Ends,
                    Look::SetPoint => Sample::Ring,
                    Look::HeldPoint => Sample::Square,
                    _ => Sample::Line,
                },
                colour,
                width: f64::from(width) * mm_per_unit,
                dash: dash.iter().map(|d| f64::from(*d) * mm_per_unit).collect(),
            }
        })
        .collect();
    // A photo wider than a figure can be gets the legend at its left.
    let drawn_px = photo.width.min(MOST);
    let (height, drawn) =
        to_rgb(&legend(&items, width_mm), drawn_px).map_err(|e| Refusal::new(&e, e.advice()))?;
    let rows = photo.height + height;
    let pixels = u64::from(photo.width) * u64::from(rows);
    if rows > MAX_SIDE_PX || pixels > 1_000_000 * u64::from(MAX_MEGAPIXELS) {
        // The largest photos leave no room for it in a picture that can be written.
        return Ok(Foot::default());
    }
    let (row, drawn_row) = (3 * photo.width as usize, 3 * drawn_px as usize);
    let mut rgb = vec![0; row * height as usize];
    for (to, from) in rgb.chunks_exact_mut(row).zip(drawn.chunks_exact(drawn_row)) {
        to[..drawn_row].copy_from_slice(from);
    }
    Ok(Foot { height, rgb })
}

const fn words(look: Look) -> &'static str {
    match look {
        Look::Outline(Kind::Fused) => "fused zone",
        Look::Outline(Kind::Affected) => "heat-affected zone",
        Look::Outline(Kind::Pore) => "pore",
        Look::Outline(Kind::Crack) => "crack",
        Look::Outline(Kind::Unfused) => "lack of fusion",
        Look::Plate => "plates as marked",
        Look::Dimension(Reading::EffectiveThroat) => "effective throat",
        Look::Dimension(_) => "other dimensions",
        Look::Scale => "scale",
        Look::Second => "second line: which is the fusion line?",
        Look::SetPoint => "point set",
        Look::HeldPoint => "point set and held",
    }
}
