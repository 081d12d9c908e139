//! One way of saying how large a pixel is.

use super::{
    CALIPER_U_MM, END_PLACING_PX, OUT_OF_SQUARE_DEG, PER_PIXEL_U, SHORTEST_PX, ScaleError,
    UNKNOWN_CAPS,
};

/// A place in the photo as shown, after the EXIF turn: column and row from the top left, pixel centres at whole numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PixelPoint {
    /// Column, in pixels.
    pub x_px: f64,
    /// Row, in pixels, downward.
    pub y_px: f64,
}

/// How a burned-in bar with caps (little cross strokes at its ends) is to be read; makers differ by 4 to 12 %.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CapReading {
    /// Its length is meant between the inner edges of the caps, and those were marked.
    Inside,
    /// Between the centres of the caps.
    Centre,
    /// Between the outer edges of the caps.
    Outside,
    /// Nobody knows. Mark the centres of the caps: the truth then lies within [`UNKNOWN_CAPS`] to either side.
    Unknown,
}

impl CapReading {
    /// The convention in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Inside => "inside its caps",
            Self::Centre => "between the centres of its caps",
            Self::Outside => "outside its caps",
            Self::Unknown => "between the centres of its caps, the convention being unknown",
        }
    }
}

/// One scale mark. `u_rel` is the relative standard uncertainty of the *length* (or of the value per pixel); the
/// placing of marked ends is added to it always.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum ScaleMark {
    /// Two points whose true distance is known: on a ruler, a graticule, the ends of a bar without caps.
    TwoPoints {
        /// One end.
        from: PixelPoint,
        /// The other end.
        to: PixelPoint,
        /// True distance in millimetres.
        length_mm: f64,
        /// Default: the length is exact.
        u_rel: Option<f64>,
    },
    /// A burned-in bar with caps.
    Bar {
        /// One end, marked where `read` says.
        from: PixelPoint,
        /// The other end.
        to: PixelPoint,
        /// The length written beside it, in millimetres.
        length_mm: f64,
        /// Where it was marked and is to be read. A stated convention adds no doubt.
        read: CapReading,
        /// Default: exact, or the doubt of an unknown convention.
        u_rel: Option<f64>,
    },
    /// The microscope's or scanner's own value.
    PerPixel {
        /// Millimetres per pixel of *this* file: void once the picture has been resampled.
        mm_per_px: f64,
        /// Default: [`PER_PIXEL_U`].
        u_rel: Option<f64>,
    },
    /// A plate thickness **measured on the coupon beside the weld**. A nominal thickness serves only with its product
    /// standard's tolerance as `u_rel`: a '5 mm' plate may be 4.6 mm.
    Thickness {
        /// A point on one surface.
        from: PixelPoint,
        /// A point on the other surface, straight across.
        to: PixelPoint,
        /// Two points along either surface, as far apart as can be seen: the thickness is then taken square to them.
        /// Without them the points count as set square within [`OUT_OF_SQUARE_DEG`].
        along: Option<(PixelPoint, PixelPoint)>,
        /// Thickness in millimetres.
        thickness_mm: f64,
        /// Default: [`CALIPER_U_MM`] over the thickness.
        u_rel: Option<f64>,
    },
}

/// What one mark says by itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Said {
    pub(super) mm_per_px: f64,
    pub(super) u_rel: f64,
    pub(super) distance_px: Option<f64>,
}

impl ScaleMark {
    /// The kind of mark in words.
    pub fn words(&self) -> String {
        match self {
            Self::TwoPoints { length_mm, .. } => format!("two points {length_mm} mm apart"),
            Self::Bar { length_mm, read, .. } => {
                format!("bar of {length_mm} mm read {}", read.words())
            }
            Self::PerPixel { .. } => "value per pixel".to_owned(),
            Self::Thickness { thickness_mm, .. } => format!("plate thickness of {thickness_mm} mm"),
        }
    }

    /// All marked points.
    fn points(&self) -> Vec<PixelPoint> {
        match *self {
            Self::TwoPoints { from, to, .. }
            | Self::Bar { from, to, .. }
            | Self::Thickness { from, to, along: None, .. } => vec![from, to],
            Self::Thickness { from, to, along: Some((a, b)), .. } => vec![from, to, a, b],
            Self::PerPixel { .. } => Vec::new(),
        }
    }

    /// Checks and evaluates; `mark` counts from 1.
    pub(super) fn say(&self, mark: usize, width: u32, height: u32) -> Result<Said, ScaleError> {
        for point in self.points() {
            let inside = |at: f64, side: u32| (-0.5..=f64::from(side) - 0.5).contains(&at);
            if !inside(point.x_px, width) || !inside(point.y_px, height) {
                return Err(ScaleError::OutsidePhoto {
                    mark,
                    x_px: point.x_px,
                    y_px: point.y_px,
                    width,
                    height,
                });
            }
        }
        let (length_mm, u_given) = match *self {
            Self::TwoPoints { length_mm, u_rel, .. } | Self::Bar { length_mm, u_rel, .. } => {
                (length_mm, u_rel)
            }
            Self::PerPixel { mm_per_px, u_rel } => (mm_per_px, u_rel),
            Self::Thickness { thickness_mm, u_rel, .. } => (thickness_mm, u_rel),
        };
        // 1 pm to 1 km: anything else is a slip, and would run out of the numbers' range when squared.
        if !(1e-9..=1e6).contains(&length_mm) {
            return Err(ScaleError::BadLength { mark, length_mm });
        }
        if let Some(u_rel) = u_given
            && !(1e-6..=0.5).contains(&u_rel)
        {
            return Err(ScaleError::BadUncertainty { mark, u_rel });
        }
        let (distance_px, u_distance, u_length) = match *self {
            Self::PerPixel { mm_per_px, .. } => {
                return Ok(Said {
                    mm_per_px,
                    u_rel: u_given.unwrap_or(PER_PIXEL_U),
                    distance_px: None,
                });
            }
            Self::TwoPoints { from, to, .. } => {
                let d = distance(from, to);
                (d, two_ends(d), 0.0)
            }
            Self::Bar { from, to, read, .. } => {
                let d = distance(from, to);
                (
                    d,
                    two_ends(d),
                    if read == CapReading::Unknown { UNKNOWN_CAPS / 3_f64.sqrt() } else { 0.0 },
                )
            }
            Self::Thickness { from, to, along: None, thickness_mm, .. } => {
                // Out of square by an angle, the marked way is longer than the thickness by 1 - cos: never shorter.
                // The angle is rectangular within its half-width; second moment of angle²/2, about zero.
                let d = distance(from, to);
                let half = OUT_OF_SQUARE_DEG.to_radians();
                (
                    d,
                    two_ends(d).hypot(half * half / 2.0 / 5_f64.sqrt()),
                    CALIPER_U_MM / thickness_mm,
                )
            }
            Self::Thickness { from, to, along: Some((a, b)), thickness_mm, .. } => {
                let along = distance(a, b);
                if along < SHORTEST_PX {
                    return Err(ScaleError::TooShort { mark, distance_px: along });
                }
                let (ux, uy) = ((b.x_px - a.x_px) / along, (b.y_px - a.y_px) / along);
                let (dx, dy) = (to.x_px - from.x_px, to.y_px - from.y_px);
                let (across, slip) = ((dx * uy - dy * ux).abs(), dx * ux + dy * uy);
                (
                    across,
                    two_ends(across).hypot(two_ends(along) * slip / across),
                    CALIPER_U_MM / thickness_mm,
                )
            }
        };
        if distance_px.is_nan() || distance_px < SHORTEST_PX {
            return Err(ScaleError::TooShort { mark, distance_px });
        }
        let u_rel = u_distance.hypot(u_given.unwrap_or(u_length));
        Ok(Said { mm_per_px: length_mm / distance_px, u_rel, distance_px: Some(distance_px) })
    }
}

fn distance(a: PixelPoint, b: PixelPoint) -> f64 {
    (b.x_px - a.x_px).hypot(b.y_px - a.y_px)
}

/// Relative standard uncertainty of a distance whose two ends are placed with [`END_PLACING_PX`] each.
fn two_ends(distance_px: f64) -> f64 {
    2_f64.sqrt() * END_PLACING_PX / distance_px
}
