//! The load on a joint and the way it points.
//!
//! ```text
//!        z  along the upright (butt: through the thickness)
//!        │ ╱ x  along the weld
//!        │╱
//!        └─────── y  across, in the base plane (butt: in the plane of the plates, positive pulls them apart)
//! ```
//!
//! The load passes through the weld group's own line: what it does by its lever about that line is not in it
//! (see [`group`](super::group) for levers along the weld, and EN 1993-1-8 4.12 for one-sided welds).
//! Static: the greatest design load, once.

use weld::quantity::{Angle, Force, Length, LineLoad};

use super::StrengthError;

/// How much.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Amount {
    /// On the whole length of the joint, all its welds together.
    Whole(Force),
    /// On each millimetre of the joint's length, all its welds together.
    PerLength(LineLoad),
}

/// Which way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Direction {
    /// Along the weld, x.
    Along,
    /// Across the weld in the base plane, y.
    Across,
    /// Along the upright, z; of a butt: through the thickness.
    Upright,
    /// Parts along x, y and z in any common unit; only their proportion and their signs count.
    Parts([f64; 3]),
}

/// A static load.
///
/// By EN and by LRFD the design (factored) load; by ASD and by allowable stresses the service load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load {
    /// How much; a negative amount turns the direction round.
    pub amount: Amount,
    /// Which way.
    pub direction: Direction,
}

/// A unit direction in the cut's own frame: x along the weld, p level (in the base plane), q up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Unit {
    pub(super) x: f64,
    pub(super) p: f64,
    pub(super) q: f64,
}

impl Unit {
    /// The same direction as the left weld of a tee sees it.
    pub(super) fn mirrored(self) -> Self {
        Self { p: -self.p, ..self }
    }

    /// Part along a unit step (level, up) of the cut's plane.
    pub(super) fn along(self, step: (f64, f64)) -> f64 {
        self.p * step.0 + self.q * step.1
    }
}

impl Load {
    /// A force on the whole length.
    #[must_use]
    pub const fn whole(force: Force, direction: Direction) -> Self {
        Self { amount: Amount::Whole(force), direction }
    }

    /// A load on each millimetre of length.
    #[must_use]
    pub const fn per_length(load: LineLoad, direction: Direction) -> Self {
        Self { amount: Amount::PerLength(load), direction }
    }

    /// Newtons on the whole joint, signed; less than a billionth is nothing.
    pub(super) fn newtons(&self, length: Length) -> f64 {
        let n = match self.amount {
            Amount::Whole(force) => force.n(),
            Amount::PerLength(load) => load.n_per_mm() * length.mm(),
        };
        if n.abs() < 1e-9 { 0.0 } else { n }
    }

    /// Its direction, for an upright at `angle` to the base; the sign of the amount is in it.
    pub(super) fn unit(&self, angle: Angle) -> Result<Unit, StrengthError> {
        let parts = match self.direction {
            Direction::Along => [1.0, 0.0, 0.0],
            Direction::Across => [0.0, 1.0, 0.0],
            Direction::Upright => [0.0, 0.0, 1.0],
            Direction::Parts(parts) => parts,
        };
        let greatest = parts.iter().fold(0.0_f64, |g, part| g.max(part.abs()));
        if !(parts.iter().all(|part| part.is_finite()) && greatest > 0.0) {
            return Err(StrengthError::NoDirection { parts });
        }
        let [x, y, z] = parts.map(|part| part / greatest);
        let (sin, cos) = angle.rad().sin_cos();
        let (p, q) = (y + z * cos, z * sin);
        let size = x.hypot(p).hypot(q);
        // y and z may cancel where the upright leans over.
        if size < 1e-9 {
            return Err(StrengthError::NoDirection { parts });
        }
        let amount = match self.amount {
            Amount::Whole(force) => force.n(),
            Amount::PerLength(load) => load.n_per_mm(),
        };
        let size = if amount < 0.0 { -size } else { size };
        Ok(Unit { x: x / size, p: p / size, q: q / size })
    }
}
