//! Legs of a fillet weld: from the corner to the toe along each plate.
//!
//! ```text
//!   ┃●  ┐
//!   ┃ ╲ │ leg on the upright; net of the gap it counts from the upright's real edge
//!   ┃  ╲│
//!   C───●   leg on the base
//! ```
//!
//! Unequal legs are kept apart (asymmetry, number 512 of [`ISO_6520_1`](crate::source::ISO_6520_1)).
//! When the corner is not fused each leg counts its fused stretch only.
//!
//! Source: [`AWS_A3_0_TERMS`](crate::source::AWS_A3_0_TERMS). Not covered: a toe beyond a plate's edge.

use super::fillet::{Fillet, Track};

/// The leg along one plate, millimetres.
#[must_use]
pub fn leg(fillet: &Fillet, track: &Track) -> f64 {
    if fillet.corner_fused { track.toe } else { track.fused_length() }
}

/// The upright's leg from its real edge, millimetres.
#[must_use]
pub fn net_leg(fillet: &Fillet, track: &Track) -> f64 {
    if fillet.corner_fused { track.toe - track.edge } else { track.fused_length() }
}
