//! The photo with everything that was read drawn on it.

use crate::read::Done;
use crate::refusal::Refusal;
use photo::overlay::{Look, Stroke, paint};
use photo::scale::ScaleMark;

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
    paint(&done.photo, &strokes).map_err(|e| {
        Refusal::new(format!("the overlay cannot be drawn: {e}"), "use a smaller photo")
    })
}
