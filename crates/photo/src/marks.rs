//! What a person marked on a photograph of a section.
//!
//! Places are pixels after the EXIF turn: x right, y down, pixel centres at integers. Nothing here is checked yet;
//! [`crate::lay`] and [`crate::reading`] say what does not fit.

use crate::scale::ScaleMark;
use crate::straighten::Corners;
use crate::trace::Follow;
use weld::section::Side;

/// A place on the photograph, pixels.
pub type Px = [f64; 2];

/// The kind of joint.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Joint {
    /// Bead on plate.
    Bead,
    /// Two plates edge to edge.
    Butt,
    /// An upright on a base.
    Tee,
}

impl Joint {
    /// The word in files and on paper.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Bead => "bead",
            Self::Butt => "butt",
            Self::Tee => "tee",
        }
    }
}

/// What an outline is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A fused zone, closed.
    Fused,
    /// A heat-affected zone, closed.
    Affected,
    /// A pore or void, closed.
    Pore,
    /// A crack, open.
    Crack,
    /// A lack-of-fusion line, open.
    Unfused,
}

impl Kind {
    /// The word in files and on paper.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Fused => "fused",
            Self::Affected => "affected",
            Self::Pore => "pore",
            Self::Crack => "crack",
            Self::Unfused => "unfused",
        }
    }

    /// Is it a closed line?
    #[must_use]
    pub const fn is_closed(self) -> bool {
        matches!(self, Self::Fused | Self::Affected | Self::Pore)
    }
}

/// One line set by hand.
#[derive(Clone, Debug, PartialEq)]
pub struct OutlineMark {
    /// What it is of.
    pub kind: Kind,
    /// The weld it belongs to, where the joint has two.
    pub side: Option<Side>,
    /// Set points in order.
    pub points: Vec<Px>,
    /// Points (from 0) that are not pulled to the line.
    pub hold: Vec<usize>,
    /// Guided along the line that the picture shows, or straight as given.
    pub follow: Follow,
}

/// The plates as marked. Which fields are needed depends on the joint.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PlateMarks {
    /// Bead, butt: the top surface, two points or more.
    pub surface: Vec<Px>,
    /// Butt: the bottom surface.
    pub bottom: Vec<Px>,
    /// Butt: the joint line, two points.
    pub joint_line: Vec<Px>,
    /// Tee: the base's surface on the weld's side.
    pub base: Vec<Px>,
    /// Tee, one weld: the upright's surface on the weld's side.
    pub upright: Vec<Px>,
    /// Tee, two welds: the upright's left surface.
    pub upright_left: Vec<Px>,
    /// Tee, two welds: the upright's right surface.
    pub upright_right: Vec<Px>,
    /// Tee, one weld: the upright's other surface.
    pub upright_far: Vec<Px>,
    /// Tee: the upright's thickness, mm.
    pub upright_thickness_mm: Option<f64>,
    /// Tee: the base's thickness, mm.
    pub base_thickness_mm: Option<f64>,
    /// Tee, butt: the gap between the plates, mm.
    pub gap_mm: f64,
    /// Any point inside the plate, where the surface alone does not tell which side is metal (a photo that lies on its
    /// side).
    pub metal: Option<Px>,
}

impl PlateMarks {
    /// The points of every face and of the joint line.
    pub fn faces_mut(&mut self) -> [&mut Vec<Px>; 8] {
        [
            &mut self.surface,
            &mut self.bottom,
            &mut self.joint_line,
            &mut self.base,
            &mut self.upright,
            &mut self.upright_left,
            &mut self.upright_right,
            &mut self.upright_far,
        ]
    }

    /// The points of every face and of the joint line, with the field's name.
    #[must_use]
    pub fn faces(&self) -> [(&'static str, &Vec<Px>); 8] {
        [
            ("surface", &self.surface),
            ("bottom", &self.bottom),
            ("joint_line", &self.joint_line),
            ("base", &self.base),
            ("upright", &self.upright),
            ("upright_left", &self.upright_left),
            ("upright_right", &self.upright_right),
            ("upright_far", &self.upright_far),
        ]
    }
}

/// How the cut lies to the seam.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Cut {
    /// Turn about the upright direction, degrees: stretches across the seam; corrected by its cosine.
    pub yaw_deg: f64,
    /// Tilt about the base direction, degrees: stretches heights; corrected by its cosine.
    pub pitch_deg: f64,
    /// The yaw is only known to be within this, degrees: readings are then taken at the low end.
    pub yaw_within_deg: Option<f64>,
}

/// How the photo was taken, as far as it bears on its geometry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Held {
    /// By hand: a phone or a camera, never quite square, its lens close up.
    Hand,
    /// On a stand, square to the section.
    Stand,
    /// By a microscope or a flat scanner: no perspective.
    Microscope,
}

/// What is known of the camera and of the specimen; what is not is taken from [`Held`].
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Taken {
    /// How it was held; told from the photo's camera entry when not given.
    pub held: Option<Held>,
    /// How far the camera may be out of square, degrees.
    pub square_within_deg: Option<f64>,
    /// How much the lens may stretch or shrink at the frame's corner, share.
    pub lens_within: Option<f64>,
    /// How far scale and section may lie out of one plane, as a share of the distance to the camera.
    pub plane_within: Option<f64>,
    /// How far the polish may have rounded edges, mm.
    pub rounded_within_mm: Option<f64>,
}

/// Everything marked on one photograph.
#[derive(Clone, Debug, PartialEq)]
pub struct Marks {
    /// The kind of joint.
    pub joint: Joint,
    /// Was the face etched? An unetched one shows no fusion line.
    pub etched: bool,
    /// How pixels become millimetres, one or more ways.
    pub scale: Vec<ScaleMark>,
    /// The plates.
    pub plates: PlateMarks,
    /// Every line.
    pub outlines: Vec<OutlineMark>,
    /// How the cut lies.
    pub cut: Cut,
    /// Corners of a rectangle in the section's plane.
    pub corners: Option<Corners>,
    /// How the photo was taken.
    pub taken: Taken,
}
