//! A weld cut across and looked at end-on.
//!
//! ```text
//!            │ upright │                      bead, butt:
//!            │         │
//!            │         ●  toe                        y
//!            │        │ \                            │   joint line x = 0
//!   y        │        │  \  face            ─────────┼───────── top surface y = 0
//!   │  ──────┴─ ─ ─ ─ C───● toe                      │
//!   └─ x     base              ── +x        ─────────┴───────── bottom
//! ```
//!
//! Coordinates are millimetres in the plane of the cut, right-handed, y up.
//! Tee: the corner C, where the two plate surfaces on the weld's side meet, is (0, 0), the base runs along +x, the
//! upright up; in a two-sided tee C is the right weld's corner, and the left weld is looked at mirrored.
//! Bead and butt: the joint line (bead: the middle of the zone) starts at (0, 0), the top surface is y = 0.
//! Pixels never reach this module; `photo` converts them first.
//!
//! **Words.** *Face*: the part of a fused outline that borders air. *Fusion line*: the rest, in metal. *Toe*: the last
//! fused point on the original plate surface, on the weld's side of any undercut. *Weld root*: the end of the stretch
//! of joint line that is fused without a break from that side's corner.
//!
//! A fused outline is everything that was liquid: melted parent and added metal together. Where it touches a plate's
//! surface without entering it, it counts as fused only if it enters that plate nowhere (a drawn, textbook triangle);
//! beside a stretch that does enter, metal lying on the surface is overlap.

pub mod area;
pub mod bead;
pub mod butt;
pub mod depth;
pub mod fillet;
pub mod flaws;
pub mod groove;
pub mod joint_line;
pub mod leg;
pub mod outline;
pub mod profile;
pub mod stretch;
pub mod tee;
pub mod throat;
pub mod zone;

use crate::quantity::show::given;
use crate::reading::{Answer, Readings};
use outline::OutlineError;

/// A point, or a step, in the plane of the cut, in millimetres.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// Along the base or the top surface.
    pub x: f64,
    /// Away from the base or the top surface.
    pub y: f64,
}

impl Point {
    /// Millimetres along, millimetres up.
    #[must_use]
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// Scalar product.
    #[must_use]
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y
    }

    /// Cross product: positive when `other` lies to the left of `self`.
    #[must_use]
    pub fn cross(self, other: Self) -> f64 {
        self.x * other.y - self.y * other.x
    }

    /// Length of the step.
    #[must_use]
    pub fn norm(self) -> f64 {
        // Not hypot: that guards against lengths beyond 1e150 mm and takes several times as long.
        self.dot(self).sqrt()
    }

    /// The step turned a quarter to the left.
    #[must_use]
    pub const fn left(self) -> Self {
        Self::new(-self.y, self.x)
    }

    /// The unit step in the same direction; `None` for a step of no length.
    #[must_use]
    pub fn unit(self) -> Option<Self> {
        let n = self.norm();
        (n > 0.0 && n.is_finite()).then(|| self * (1.0 / n))
    }

    /// The point a share `t` of the way to `other`.
    #[must_use]
    pub fn towards(self, other: Self, t: f64) -> Self {
        self + (other - self) * t
    }
}

impl std::ops::Add for Point {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        Self::new(self.x + o.x, self.y + o.y)
    }
}

impl std::ops::Sub for Point {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        Self::new(self.x - o.x, self.y - o.y)
    }
}

impl std::ops::Mul<f64> for Point {
    type Output = Self;
    fn mul(self, k: f64) -> Self {
        Self::new(self.x * k, self.y * k)
    }
}

/// A straight plate face: a point on it and the unit direction it runs in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Face {
    /// A point on the face.
    pub at: Point,
    /// Unit direction along it, with a positive x.
    pub along: Point,
}

impl Face {
    /// The line y = `height`.
    #[must_use]
    pub const fn level(height: f64) -> Self {
        Self { at: Point::new(0.0, height), along: Point::new(1.0, 0.0) }
    }

    /// Height of the face above a place.
    #[must_use]
    pub fn height_at(&self, x: f64) -> f64 {
        self.at.y + (x - self.at.x) * self.along.y / self.along.x
    }
}

/// Which weld of a joint.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// The only weld of the joint.
    Only,
    /// Tee: the weld left of the upright, as the photograph shows it.
    Left,
    /// Tee: the weld right of the upright.
    Right,
    /// Butt: the weld made from the top surface.
    Top,
    /// Butt: the weld made from the bottom surface.
    Bottom,
}

impl Side {
    /// The word in files and on paper.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Only => "only",
            Self::Left => "left",
            Self::Right => "right",
            Self::Top => "top",
            Self::Bottom => "bottom",
        }
    }
}

/// One side of a tee: where its corner is and how the upright stands there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Corner {
    /// Place of the corner along the base.
    pub x: f64,
    /// Dihedral angle between base and upright on the weld's side, radians; 30 to 150 degrees.
    pub angle: f64,
}

/// The plates of a tee: the base's surface is y = 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tee {
    /// The right corner, or the only one (a weld on the other hand is looked at mirrored).
    pub right: Corner,
    /// The left corner, when the joint is welded from both sides.
    pub left: Option<Corner>,
    /// Thickness of the upright, square to its faces; needed for the unfused land.
    pub upright_thickness: Option<f64>,
    /// Thickness of the base.
    pub base_thickness: Option<f64>,
    /// Gap between the base's surface and the upright's edge.
    pub gap: f64,
}

/// The plates of a butt joint.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Butt {
    /// Top faces of the left and the right plate.
    pub top: [Face; 2],
    /// Bottom faces of the left and the right plate, when they are in view.
    pub bottom: Option<[Face; 2]>,
    /// The joint line, from the top down, when it is known.
    pub joint_line: Option<[Point; 2]>,
    /// Gap between the plates, square to the joint line.
    pub gap: f64,
}

/// The original plates, before welding.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Plates {
    /// One plate with its surface at y = 0.
    Bead,
    /// Two plates edge to edge.
    Butt(Butt),
    /// An upright standing on a base.
    Tee(Tee),
}

/// A fused zone.
#[derive(Clone, Debug, PartialEq)]
pub struct Fused {
    /// The weld it belongs to.
    pub side: Side,
    /// Its closed outline, first point not repeated.
    pub outline: Vec<Point>,
    /// Given as geometry (drawn, or set straight), not traced along a line on a photograph. Only such an outline may
    /// touch a plate without entering it and still count as fused to it.
    pub exact: bool,
}

/// A section: plates and everything that was marked on them.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// The original plates.
    pub plates: Plates,
    /// Fused zones, one a weld.
    pub fused: Vec<Fused>,
    /// Pores and voids, closed.
    pub pores: Vec<Vec<Point>>,
    /// Cracks, open lines.
    pub cracks: Vec<Vec<Point>>,
    /// Lack-of-fusion lines, open.
    pub unfused: Vec<Vec<Point>>,
    /// For each fused zone of a tee, in order: does it only touch the base, the upright? Empty: to be decided here. A Monte
    /// Carlo draw nudges the lines, but not what kind of outline it is, so it is given what was decided ([`touching`]).
    pub touching: Vec<[bool; 2]>,
    /// How far apart two lines must be to be told apart, mm; 0 for exact geometry. A void narrower than this does not
    /// end a fused stretch, a line nearer than this to a plate face lies on it.
    pub doubt: f64,
}

impl Section {
    /// A section with plates and fused zones alone, exact.
    #[must_use]
    pub fn exact(plates: Plates, fused: Vec<Fused>) -> Self {
        Self {
            plates,
            fused,
            pores: Vec::new(),
            cracks: Vec::new(),
            unfused: Vec::new(),
            touching: Vec::new(),
            doubt: 0.0,
        }
    }

    /// Lines that no load crosses: cracks and lack of fusion.
    pub fn breaks(&self) -> impl Iterator<Item = &Vec<Point>> {
        self.cracks.iter().chain(&self.unfused)
    }
}

/// What one weld shows.
#[derive(Clone, Debug, PartialEq)]
pub struct WeldReading {
    /// Which weld.
    pub side: Side,
    /// Its readings.
    pub readings: Readings,
    /// Lines worth drawing: where a reading was taken.
    pub dimensions: Vec<Dimensioned>,
    /// Things the reader must know.
    pub remarks: Vec<String>,
}

/// A reading as two points, for drawings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dimensioned {
    /// What it is.
    pub reading: crate::reading::Reading,
    /// From here, in the section's frame.
    pub from: Point,
    /// To there.
    pub to: Point,
}

/// What the joint as a whole shows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct JointReading {
    /// Butt: length of joint line fused from the surfaces without a break, at most the thickness both plates share, mm.
    pub throat: Option<f64>,
    /// Butt: how far the two fused stretches overlap on the joint line; negative: unfused land, mm.
    pub overlap: Option<f64>,
    /// Stretch of joint line left unfused, mm.
    pub unfused_land: Option<f64>,
    /// Butt: fused through the whole shared thickness.
    pub complete_penetration: Option<Answer>,
    /// Butt: offset of the plates, mm.
    pub misalignment: Option<f64>,
    /// Tee: treated as full penetration by [`EN_1993_1_8_TEE_BUTT`](crate::source::EN_1993_1_8_TEE_BUTT).
    pub full_penetration_by_4_7_3: Option<Answer>,
    /// Why something above is missing: its name and the reason.
    pub absent: Vec<(&'static str, String)>,
    /// Things the reader must know.
    pub remarks: Vec<String>,
}

/// All that a section shows.
#[derive(Clone, Debug, PartialEq)]
pub struct SectionReading {
    /// One a weld.
    pub welds: Vec<WeldReading>,
    /// The joint as a whole.
    pub joint: JointReading,
}

/// Why a section cannot be read.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SectionError {
    /// An outline is not a closed simple line.
    #[error("the fused outline ({weld}) {error}")]
    Outline {
        /// Which weld.
        weld: &'static str,
        /// What is wrong with it.
        error: OutlineError,
    },
    /// An outline touches no plate.
    #[error(
        "the fused outline ({weld}) lies in the air: it touches no plate, the nearest one is {away:.2} mm away"
    )]
    InTheAir {
        /// Which weld.
        weld: &'static str,
        /// Distance to the nearest plate surface, mm.
        away: f64,
    },
    /// An outline lies wholly inside a plate and has no face.
    #[error(
        "the fused outline ({weld}) lies wholly inside the metal: it has no face towards the air"
    )]
    NoFace {
        /// Which weld.
        weld: &'static str,
    },
    /// The corner lies beyond the face.
    #[error(
        "the corner of the plates lies {outside:.2} mm outside the fused outline ({weld}) on its air side, so no root \
         can be behind the face"
    )]
    RootOutsideFace {
        /// Which weld.
        weld: &'static str,
        /// How far out it lies, mm.
        outside: f64,
    },
    /// The plates stand at an angle that is not a fillet's.
    #[error("base and upright meet at {degrees:.1} degrees, outside 30 to 150")]
    Angle {
        /// The angle, degrees.
        degrees: f64,
    },
    /// A weld is named that this joint does not have, or one twice.
    #[error("{found}")]
    Sides {
        /// The fact.
        found: String,
    },
    /// There is no fused zone.
    #[error("the section has no fused outline, so there is nothing to read")]
    NothingFused,
    /// A number is not finite or a thickness is not positive.
    #[error("{what} is {}, which is not a usable length", given(*value))]
    Number {
        /// What it is.
        what: &'static str,
        /// The value as written.
        value: f64,
    },
}

impl SectionError {
    /// What the person at the bench can do about it.
    #[must_use]
    pub fn advice(&self) -> &'static str {
        match self {
            Self::Outline { error, .. } => error.advice(),
            Self::InTheAir { .. } => {
                "check that the plate lines lie on the original surfaces of this photo and that outline and plates use the same scale"
            }
            Self::NoFace { .. } => {
                "bring the outline up to the weld's surface at both toes; a zone wholly inside the metal is a pore or another weld"
            }
            Self::RootOutsideFace { .. } => {
                "check that base and upright were marked along their original surfaces on the weld's side, and that the photo's weld is the one outlined"
            }
            Self::Angle { .. } => {
                "check the points of the base and of the upright: two of them may be swapped"
            }
            Self::Sides { .. } => {
                "give each fused outline its own side: tee: left or right; butt: top or bottom"
            }
            Self::NothingFused => {
                "outline the fused zone with [[fused]] points set along its boundary"
            }
            Self::Number { .. } => "give a finite, positive length with its unit, such as \"5 mm\"",
        }
    }
}

/// Reads a section: every quantity of its kind of joint, present or absent with a reason.
///
/// # Errors
///
/// When an outline is open, crosses itself, lies in the air, or the plates cannot be what they are said to be.
pub fn read(section: &Section) -> Result<SectionReading, SectionError> {
    validate(section)?;
    measure(section)
}

/// Reads a section whose outlines are known to be simple and finite: what [`read`] does after its checks.
///
/// For Monte Carlo draws, where the checked outline is only nudged.
///
/// # Errors
///
/// As [`read`], but an outline that crosses itself is not found out.
pub fn measure(section: &Section) -> Result<SectionReading, SectionError> {
    if section.fused.is_empty() {
        return Err(SectionError::NothingFused);
    }
    let mut reading = match &section.plates {
        Plates::Bead => bead::read(section),
        Plates::Butt(butt) => butt::read(section, butt),
        Plates::Tee(tee) => tee::read(section, tee),
    }?;
    flaws::enter(section, &mut reading.welds);
    Ok(reading)
}

/// For each fused zone of a tee: does it only touch the base, the upright? Nothing for other joints.
///
/// # Errors
///
/// As [`measure`].
pub fn touching(section: &Section) -> Result<Vec<[bool; 2]>, SectionError> {
    match &section.plates {
        Plates::Tee(tee) => tee::touching(section, tee),
        Plates::Bead | Plates::Butt(_) => Ok(Vec::new()),
    }
}

fn validate(section: &Section) -> Result<(), SectionError> {
    for fused in &section.fused {
        outline::check(&fused.outline)
            .map_err(|error| SectionError::Outline { weld: fused.side.word(), error })?;
    }
    let positive = |what, value: Option<f64>| match value {
        Some(value) if !(value.is_finite() && value > 0.0) => {
            Err(SectionError::Number { what, value })
        }
        _ => Ok(()),
    };
    match &section.plates {
        Plates::Bead => {}
        Plates::Butt(butt) => {
            if !(butt.gap.is_finite() && butt.gap >= 0.0) {
                return Err(SectionError::Number { what: "the gap", value: butt.gap });
            }
        }
        Plates::Tee(tee) => {
            positive("the upright's thickness", tee.upright_thickness)?;
            positive("the base's thickness", tee.base_thickness)?;
            if !(tee.gap.is_finite() && tee.gap >= 0.0) {
                return Err(SectionError::Number { what: "the gap", value: tee.gap });
            }
        }
    }
    Ok(())
}
