//! What is marked inside a zone: how many pores and how large, how long cracks and lack of fusion are.
//!
//! A pore counts to the zone that its middle lies in. A line counts to the zone that it lies nearest to, with its whole
//! length: cracks run out of a zone, and lack of fusion lies on its border.
//!
//! Only what was marked is counted, and nothing is read where nothing is marked: an empty list is not a sound weld, and a
//! macro section does not show microcracks.
//!
//! Source: terms of [`ISO_6520_1`](crate::source::ISO_6520_1); how large a pore is, its greatest extent in the section.

use super::outline::{centroid, contains, to_boundary};
use super::{Point, Section, WeldReading};
use crate::reading::Reading;

/// Enters flaws into the readings of each weld; `welds` in the order of the section's fused outlines.
pub fn enter(section: &Section, welds: &mut [WeldReading]) {
    for (i, weld) in welds.iter_mut().enumerate() {
        let Some(zone) = section.fused.get(i).map(|f| &f.outline) else { continue };
        let pores: Vec<f64> = section
            .pores
            .iter()
            .filter(|p| contains(zone, centroid(p), 0.0))
            .map(|p| across(p))
            .collect();
        let largest = pores.iter().copied().fold(0.0, f64::max);
        if !pores.is_empty() {
            weld.readings.set(Reading::LargestPore, largest);
            let pores = pores.len();
            weld.remarks.push(format!(
                "{pores} pore{} marked in it, the largest {largest:.2} mm across",
                if pores == 1 { " is" } else { "s are" }
            ));
        }
        for (reading, lines) in [
            (Reading::CrackLength, &section.cracks),
            (Reading::LackOfFusionLength, &section.unfused),
        ] {
            let own: Vec<f64> =
                lines.iter().filter(|l| nearest(section, l) == Some(i)).map(|l| long(l)).collect();
            if !own.is_empty() {
                weld.readings.set(reading, own.iter().sum());
            }
        }
    }
}

/// Greatest distance of two points of a pore.
fn across(pore: &[Point]) -> f64 {
    pore.iter()
        .enumerate()
        .flat_map(|(i, a)| pore[i + 1..].iter().map(move |b| (*b - *a).norm()))
        .fold(0.0, f64::max)
}

fn long(line: &[Point]) -> f64 {
    line.windows(2).map(|s| (s[1] - s[0]).norm()).sum()
}

/// Which zone a line's middle lies in, or nearest to.
fn nearest(section: &Section, line: &[Point]) -> Option<usize> {
    let middle = *line.get(line.len() / 2)?;
    let away = |zone: &[Point]| {
        if contains(zone, middle, 0.0) { 0.0 } else { to_boundary(middle, zone) }
    };
    (0..section.fused.len()).min_by(|&a, &b| {
        away(&section.fused[a].outline).total_cmp(&away(&section.fused[b].outline))
    })
}
