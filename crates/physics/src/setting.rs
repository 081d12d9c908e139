//! What is set before a weld is made, and what it is made on.
//!
//! ```text
//!                upright │          torch angle b: between the beam and the base's surface
//!                        │  ╲       aim e: how far the beam's axis passes the corner, square to it,
//!                        │    ╲ b        positive up the upright
//!       base ────────────●──────
//! ```
//!
//! Beads and butts are hit square to the plate unless said otherwise; only a tee's section takes the angle up.

use weld::quantity::{Angle, Length, Speed, Temperature};
use weld::section::{Corner, Fused, Plates as Seen, Point, Section, Side, Tee};

use crate::beam::{Beam, BeamError, figure};
use crate::deposit::{Feed, Wires};
use crate::metal::Metal;
use crate::wobble::Wobble;

/// A handheld laser's setting.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Laser {
    /// The beam and its focus.
    pub beam: Beam,
    /// Travel of the torch.
    pub travel: Speed,
    /// The swing, if any.
    pub wobble: Option<Wobble>,
    /// Between beam and base surface.
    pub torch_angle: Angle,
    /// Beam axis past the corner (tee), positive up the upright; past the joint line (butt), to either side.
    pub aim: Length,
    /// Wires, if any.
    pub wire: Option<(Wires, Feed)>,
}

/// What is welded.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Work {
    /// The metal.
    pub metal: Metal,
    /// Temperature of the plates before welding.
    pub temperature: Temperature,
    /// The joint.
    pub joint: Plates,
}

/// Plates and how they meet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Plates {
    /// A bead on a plate.
    Bead {
        /// Its thickness.
        thickness: Length,
    },
    /// Two plates edge to edge.
    Butt {
        /// The thinner plate's thickness.
        thickness: Length,
        /// Gap between them.
        gap: Length,
        /// Welded from both sides, alike.
        both: bool,
    },
    /// An upright on a base.
    Tee {
        /// The base's thickness.
        base: Length,
        /// The upright's thickness.
        upright: Length,
        /// Between them, on the weld's side.
        angle: Angle,
        /// Gap under the upright.
        gap: Length,
        /// Welded from both sides, alike.
        both: bool,
    },
}

impl Plates {
    /// Gap between the plates; a bead has none.
    #[must_use]
    pub const fn gap(&self) -> Length {
        match *self {
            Self::Bead { .. } => Length::ZERO,
            Self::Butt { gap, .. } | Self::Tee { gap, .. } => gap,
        }
    }

    /// How many welds.
    #[must_use]
    pub const fn welds(&self) -> u8 {
        match self {
            Self::Butt { both: true, .. } | Self::Tee { both: true, .. } => 2,
            _ => 1,
        }
    }
}

impl Laser {
    /// Checks the figures: travel 0.1 mm/s to 5 m/s, torch angle 5 to 90 degrees, aim within 20 mm.
    ///
    /// # Errors
    ///
    /// Names the figure that is outside.
    pub fn check(&self) -> Result<(), BeamError> {
        self.beam.check()?;
        figure("the travel speed", self.travel.mm_per_s(), "mm/s", 0.1, 5000.0)?;
        figure("the torch angle", self.torch_angle.deg(), "°", 5.0 - 1e-9, 90.0 + 1e-9)?;
        figure("the aim", self.aim.mm(), "mm", -20.0, 20.0)?;
        self.wobble.map_or(Ok(()), |w| w.check())
    }
}

impl Work {
    /// Checks the figures: plates 0.3 to 100 mm, gap to 5 mm, angle 30 to 150 degrees, -60 to 600 °C.
    ///
    /// # Errors
    ///
    /// Names the figure that is outside.
    pub fn check(&self) -> Result<(), BeamError> {
        let thick = |what, t: Length| figure(what, t.mm(), "mm", 0.3, 100.0);
        figure("the plate's temperature", self.temperature.deg_c(), "°C", -60.0, 600.0)?;
        match self.joint {
            Plates::Bead { thickness } => thick("the plate's thickness", thickness).map(|_| ()),
            Plates::Butt { thickness, gap, .. } => {
                thick("the plate's thickness", thickness)?;
                figure("the gap", gap.mm(), "mm", 0.0, 5.0).map(|_| ())
            }
            Plates::Tee { base, upright, angle, gap, .. } => {
                thick("the base's thickness", base)?;
                thick("the upright's thickness", upright)?;
                figure(
                    "the angle between the plates",
                    angle.deg(),
                    "°",
                    30.0 - 1e-9,
                    150.0 + 1e-9,
                )?;
                figure("the gap", gap.mm(), "mm", 0.0, 5.0).map(|_| ())
            }
        }
    }
}

/// The section of a tee with this weld on one side, or with the same weld on both: looked at in the mirror, and on a leaning
/// upright welded at its own angle, alike. The plates are base, upright and gap.
pub(crate) fn tee_section(
    outline: Vec<Point>,
    [base, upright, gap]: [Length; 3],
    angle: Angle,
    both: bool,
) -> Section {
    let psi = angle.rad();
    let width = upright.mm() / psi.sin();
    let other = both.then(|| Fused {
        side: Side::Left,
        outline: outline.iter().rev().map(|p| Point::new(-width - p.x, p.y)).collect(),
        exact: true,
    });
    let side = if both { Side::Right } else { Side::Only };
    let mut fused = vec![Fused { side, outline, exact: true }];
    fused.extend(other);
    let plates = Tee {
        right: Corner { x: 0.0, angle: psi },
        left: both.then_some(Corner { x: -width, angle: psi }),
        upright_thickness: Some(upright.mm()),
        base_thickness: Some(base.mm()),
        gap: gap.mm(),
    };
    Section::exact(Seen::Tee(plates), fused)
}
