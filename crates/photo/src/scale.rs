//! How many millimetres a pixel is, and how surely.
//!
//! ```text
//!   two points on a ruler      bar with caps            plate, across             given
//!   |....|....|....|....|      ├────────────┤           ═══●══════ surface        0.32 µm per pixel
//!   ●              ●           inside ●    ●               │ across
//!   from           to          centre of the caps       ═══●══════ surface
//!                              outside
//! ```
//!
//! One mark gives s = length / distance in pixels. Its relative standard uncertainty is
//! u² = u²(length) + u²(distance), where each marked end is placed with [`END_PLACING_PX`] along the line, so that
//! u(distance) = √2 · [`END_PLACING_PX`] / distance.
//! Several marks are combined by weights 1 / u² (weighted mean, JCGM 100:2008 (GUM) for independent inputs, recalled). Two
//! that lie further apart than 2 √(u₁² + u₂²) clash: the scale then is the middle of the extremes, its uncertainty
//! reaches past both, and it says so; which of them is wrong is for a person to find.
//!
//! Pixels are those after the EXIF turn, centres at whole numbers, and square. A bar drawn on columns 54 to 368 has
//! its ends at 53.5 and 368.5: 315 pixels.
//!
//! Not covered: pixels that are not square; a scale that changes across the photo (tilt, lens: the straightening
//! answers for those); a scale lying nearer or farther than the section, which the caller adds to the reading's
//! uncertainty; one person's edge habit, shared by all marks of one reader.

mod combined;
mod mark;
mod resampled;

pub use combined::{Clash, Part, Scale, combine};
pub use mark::{CapReading, PixelPoint, ScaleMark};
pub use resampled::resampled_hint;

/// How well one end is placed along the line, standard uncertainty in pixels. Common practice, no source.
pub const END_PLACING_PX: f64 = 1.0;
/// Relative standard uncertainty of a 'per pixel' value when none is given. Common practice, no source.
pub const PER_PIXEL_U: f64 = 0.005;
/// Standard uncertainty of a plate thickness read with a caliper when none is given, in millimetres. Common practice, no source.
pub const CALIPER_U_MM: f64 = 0.02;
/// How far out of square a thickness is marked when the surface is not: half-width of a rectangular doubt, in degrees.
/// Common practice, no source.
pub const OUT_OF_SQUARE_DEG: f64 = 5.0;
/// Half-width of the doubt when nobody knows how a capped bar is to be read, marked at the centre of its caps.
///
/// On the vanadium-alloy tracks of Giulietti (Sheffield 2024, CC BY 4.0, measured for our data manifest) a 100 µm bar
/// read outside its caps gives 4 to 12 % less than read inside; the centre lies half of the worst from either.
pub const UNKNOWN_CAPS: f64 = 0.06;
/// The shortest distance two marks may have, in pixels: below it the ends' placing alone is 14 %.
pub const SHORTEST_PX: f64 = 10.0;
/// Two marks clash when they differ by more than this many times their joint standard uncertainty (about 95 %).
pub const CLASH_FACTOR: f64 = 2.0;

/// Scales that one photo may have: each is weighed against each.
pub(crate) const MOST_MARKS: usize = 50;

/// Why a scale cannot be had. Marks are numbered from 1, in the order given.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ScaleError {
    /// Nothing was marked.
    #[error("no scale is given, so pixels cannot be turned into millimetres")]
    NoMark,
    /// More than anybody marks.
    #[error("{given} scales are given, and at most {MOST_MARKS} are read")]
    TooMany {
        /// How many.
        given: usize,
    },
    /// A length that cannot be.
    #[error("scale {mark}: {length_mm} mm is not a length a scale can have")]
    BadLength {
        /// Which mark, from 1.
        mark: usize,
        /// The length given.
        length_mm: f64,
    },
    /// An uncertainty that cannot be.
    #[error("scale {mark}: a relative uncertainty of {u_rel} is not between 0.000001 and 0.5")]
    BadUncertainty {
        /// Which mark, from 1.
        mark: usize,
        /// The relative standard uncertainty given.
        u_rel: f64,
    },
    /// The two points are the same, or nearly.
    #[error(
        "scale {mark}: the two points are {distance_px:.1} px apart; at least {SHORTEST_PX} px are needed"
    )]
    TooShort {
        /// Which mark, from 1.
        mark: usize,
        /// Their distance, across the plate for a thickness.
        distance_px: f64,
    },
    /// A point that the photo does not have.
    #[error(
        "scale {mark}: the point ({x_px:.1}, {y_px:.1}) lies outside the photo of {width} x {height} px"
    )]
    OutsidePhoto {
        /// Which mark, from 1.
        mark: usize,
        /// Column.
        x_px: f64,
        /// Row.
        y_px: f64,
        /// Photo's columns.
        width: u32,
        /// Photo's rows.
        height: u32,
    },
}

impl ScaleError {
    /// What to do next.
    pub fn advice(&self) -> &'static str {
        match self {
            Self::NoMark => {
                "mark two points of known distance (ruler, burned-in bar), measure the plate beside the weld, or give the micrometres per pixel"
            }
            Self::TooMany { .. } => "keep the longest one or two",
            Self::BadLength { .. } => {
                "give the true length between the two points, above zero, with its unit"
            }
            Self::BadUncertainty { .. } => {
                "give the standard uncertainty as a share, 0.01 for 1 %, or leave it out for the default"
            }
            Self::TooShort { .. } => {
                "mark points as far apart as the ruler or bar allows: 300 px or more keep the placing below 0.5 %"
            }
            Self::OutsidePhoto { .. } => {
                "count columns and rows from the top left corner of the photo as it is shown, after any turn"
            }
        }
    }
}
