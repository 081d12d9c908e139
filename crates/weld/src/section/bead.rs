//! Readings of a bead on plate.
//!
//! ```text
//!          ╭───╮
//!   ──────●─────●────── surface y = 0
//!          ╲   ╱
//!           ╰─╯  penetration = greatest depth below the surface
//! ```
//!
//! There is no joint, so penetration and greatest depth are the same. A bead claims no throat.
//! Source of the words: [`AWS_A3_0_TERMS`](crate::source::AWS_A3_0_TERMS).

use super::area::{self, Areas};
use super::zone::Zone;
use super::{
    Dimensioned, Face, JointReading, Point, Section, SectionError, SectionReading, Side,
    WeldReading,
};
use crate::reading::{Reading, Readings};

/// Reads a bead on plate.
///
/// # Errors
///
/// When there is more than one outline, or it lies in the air.
pub fn read(section: &Section) -> Result<SectionReading, SectionError> {
    let [fused] = section.fused.as_slice() else {
        return Err(SectionError::Sides {
            found: format!("a bead has one fused outline, and {} are given", section.fused.len()),
        });
    };
    if fused.side != Side::Only {
        return Err(SectionError::Sides {
            found: format!("a bead has no {} side", fused.side.word()),
        });
    }
    let lowest = fused.outline.iter().fold(f64::INFINITY, |m, p| m.min(p.y));
    if lowest > 1e-9 * super::outline::extent(&fused.outline) {
        return Err(SectionError::InTheAir { weld: fused.side.word(), away: lowest });
    }
    let zone = Zone::new(&fused.outline, [Face::level(0.0); 2], None, section.doubt);
    if zone.outline.iter().all(|p| p.y < -section.doubt) {
        return Err(SectionError::NoFace { weld: fused.side.word() });
    }
    let (mut r, mut remarks) = (Readings::default(), Vec::new());
    let lost = zone.enter(&mut r, &mut remarks);
    r.set(Reading::Penetration, zone.depth());
    Areas {
        fused: super::outline::area(&zone.outline),
        melted_parent: area::below_surface(&zone.outline),
        lost,
        pores: area::pores_in(&zone.outline, &section.pores),
    }
    .enter(&mut r);
    let mut dimensions = Vec::new();
    if let [Some(left), Some(right)] = zone.toes {
        dimensions.push(Dimensioned {
            reading: Reading::WidthSurface,
            from: left.at,
            to: right.at,
        });
    }
    if let Some(&deepest) = zone.outline.iter().min_by(|a, b| a.y.total_cmp(&b.y)) {
        dimensions.push(Dimensioned {
            reading: Reading::Penetration,
            from: Point::new(deepest.x, 0.0),
            to: deepest,
        });
    }
    Ok(SectionReading {
        welds: vec![WeldReading { side: fused.side, readings: r, dimensions, remarks }],
        joint: JointReading::default(),
    })
}
