//! Takes perspective out: from four corners of a known rectangle to a plane seen square.
//!
//! ```text
//!     ●────────●                 ●──────────●
//!    ╱          ╲       ──>      │          │  width x height, millimetres
//!   ●────────────●               ●──────────●
//!    as photographed              as it is
//! ```
//!
//! The picture itself is never resampled: lines are traced on the photo as it is, and their points are carried over by
//! the homography. The rectangle must lie in the plane of the section.
//!
//! Source: the direct linear solution for four points, text-book projective geometry; check: the centre of the unit
//! square goes to the crossing of the diagonals.
//! Not covered: lens distortion, a rectangle above or below the section.

use crate::marks::Px;
use weld::quantity::show::given;

/// A map of the plane that keeps straight lines straight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Homography([f64; 9]);

impl Homography {
    /// The map that takes four points to four others; `None` when three of them lie on one line.
    #[must_use]
    pub fn between(from: [Px; 4], to: [Px; 4]) -> Option<Self> {
        // Unknowns h0..h7 with h8 = 1: two equations a point.
        let mut a = [[0.0; 9]; 8];
        for (i, (&[x, y], &[u, v])) in from.iter().zip(&to).enumerate() {
            a[2 * i] = [x, y, 1.0, 0.0, 0.0, 0.0, -u * x, -u * y, u];
            a[2 * i + 1] = [0.0, 0.0, 0.0, x, y, 1.0, -v * x, -v * y, v];
        }
        for column in 0..8 {
            let pivot =
                (column..8).max_by(|&i, &j| a[i][column].abs().total_cmp(&a[j][column].abs()))?;
            if a[pivot][column].abs() < 1e-12 {
                return None;
            }
            a.swap(column, pivot);
            let lead = a[column];
            for (row, line) in a.iter_mut().enumerate() {
                if row != column {
                    let factor = line[column] / lead[column];
                    for (value, top) in line.iter_mut().zip(&lead) {
                        *value -= factor * top;
                    }
                }
            }
        }
        let mut h = [1.0; 9];
        for i in 0..8 {
            h[i] = a[i][8] / a[i][i];
        }
        h.iter().all(|v| v.is_finite()).then_some(Self(h))
    }

    /// Where a point goes; not finite on the horizon.
    #[must_use]
    pub fn map(&self, [x, y]: Px) -> Px {
        let h = &self.0;
        let w = h[6] * x + h[7] * y + h[8];
        [(h[0] * x + h[1] * y + h[2]) / w, (h[3] * x + h[4] * y + h[5]) / w]
    }

    /// Area scale at a point: how many square units a square unit becomes.
    #[must_use]
    pub fn area_scale(&self, [x, y]: Px) -> f64 {
        let h = &self.0;
        let w = h[6] * x + h[7] * y + h[8];
        let det = h[0] * (h[4] * h[8] - h[5] * h[7]) - h[1] * (h[3] * h[8] - h[5] * h[6])
            + h[2] * (h[3] * h[7] - h[4] * h[6]);
        (det / (w * w * w)).abs()
    }
}

/// Four marked corners of a rectangle of known size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Corners {
    /// The corners as they lie on the photo, clockwise, the first two along the width.
    pub px: [Px; 4],
    /// Width and height, mm.
    pub size_mm: [f64; 2],
}

/// The way between the photo and the plane seen square, measured in 'straight pixels'.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Straightened {
    /// Photo to plane.
    pub to_plane: Homography,
    /// Plane to photo.
    pub to_photo: Homography,
    /// Millimetres of a straight pixel.
    pub mm_per_px: f64,
}

/// Why corners do not straighten.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum StraightenError {
    /// The corners make no convex four-sided figure.
    #[error("the four corners of straighten make no convex four-sided figure in the order given")]
    NotConvex,
    /// Too small to be placed.
    #[error("a side of the rectangle is {px:.0} px long on the photo, and at least 40 are needed")]
    TooSmall {
        /// Its length.
        px: f64,
    },
    /// A size that cannot be.
    #[error("straighten.size holds {} mm, which is not a usable length", given(*mm))]
    Size {
        /// The length.
        mm: f64,
    },
    /// A corner outside the photo.
    #[error(
        "straighten.corners has a point at ({x:.1}, {y:.1}), outside the photo of {width} x {height} pixels"
    )]
    Outside {
        /// Column.
        x: f64,
        /// Row.
        y: f64,
        /// Columns of the photo.
        width: u32,
        /// Rows of the photo.
        height: u32,
    },
}

impl StraightenError {
    /// What to do about it.
    #[must_use]
    pub fn advice(&self) -> &'static str {
        match self {
            Self::NotConvex => {
                "mark the corners clockwise: top left, top right, bottom right, bottom left of the rectangle as it was printed"
            }
            Self::TooSmall { .. } => {
                "use a larger rectangle in the plane of the section, or a closer photo"
            }
            Self::Size { .. } => {
                "give width and height with their unit: size = [\"50 mm\", \"30 mm\"]"
            }
            Self::Outside { .. } => {
                "mark corners that the photo shows: x from the left, y from the top"
            }
        }
    }
}

/// Solves the way between the photo and the plane.
///
/// # Errors
///
/// When the corners are no rectangle seen askew.
pub fn straighten(
    corners: &Corners,
    width: u32,
    height: u32,
) -> Result<Straightened, StraightenError> {
    for &[x, y] in &corners.px {
        let inside = |v: f64, side: u32| (-0.5..=f64::from(side) - 0.5).contains(&v);
        if !(inside(x, width) && inside(y, height)) {
            return Err(StraightenError::Outside { x, y, width, height });
        }
    }
    for mm in corners.size_mm {
        if !(mm.is_finite() && mm > 0.0) {
            return Err(StraightenError::Size { mm });
        }
    }
    solve(corners)
}

/// As [`straighten`], for corners that were checked and only nudged.
///
/// # Errors
///
/// When the corners are no rectangle seen askew.
pub fn solve(corners: &Corners) -> Result<Straightened, StraightenError> {
    let p = corners.px;
    let side = |i: usize| {
        let (a, b) = (p[i], p[(i + 1) % 4]);
        [b[0] - a[0], b[1] - a[1]]
    };
    let long = |s: [f64; 2]| s[0].hypot(s[1]);
    if let Some(px) = (0..4).map(|i| long(side(i))).find(|l| *l < 40.0) {
        return Err(StraightenError::TooSmall { px });
    }
    let turn = |i: usize| {
        let (a, b) = (side(i), side((i + 1) % 4));
        a[0] * b[1] - a[1] * b[0]
    };
    // Clockwise on a photo, y down: every turn is to the right, a positive cross product.
    if (0..4).any(|i| turn(i) <= 0.0) {
        return Err(StraightenError::NotConvex);
    }
    let [w_mm, h_mm] = corners.size_mm;
    // A straight pixel is the photo's own, on the average, so that doubts in pixels keep their meaning.
    let mm_per_px = 2.0 * (w_mm + h_mm) / (0..4).map(|i| long(side(i))).sum::<f64>();
    let (w, h) = (w_mm / mm_per_px, h_mm / mm_per_px);
    let plane = [[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]];
    let (Some(to_plane), Some(to_photo)) =
        (Homography::between(p, plane), Homography::between(plane, p))
    else {
        return Err(StraightenError::NotConvex);
    };
    Ok(Straightened { to_plane, to_photo, mm_per_px })
}

impl Straightened {
    /// How much lengths differ between the rectangle's corners as photographed: the largest over the smallest, less one.
    #[must_use]
    pub fn unevenness(&self, corners: &Corners) -> f64 {
        let scales = corners.px.map(|p| self.to_plane.area_scale(p).sqrt());
        let (low, high) =
            scales.iter().fold((f64::INFINITY, 0.0_f64), |(l, h), &s| (l.min(s), h.max(s)));
        high / low - 1.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const UNIT: [Px; 4] = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];

    /// Unit square to (0,0) (2,0) (1.5,1) (0.5,1): the centre goes to the crossing of the diagonals, (1, 2/3)
    /// (projective geometry).
    #[test]
    fn the_centre_of_the_square_goes_to_the_crossing_of_the_diagonals() {
        let h =
            Homography::between(UNIT, [[0.0, 0.0], [2.0, 0.0], [1.5, 1.0], [0.5, 1.0]]).unwrap();
        let [x, y] = h.map([0.5, 0.5]);
        assert!((x - 1.0).abs() < 1e-12 && (y - 2.0 / 3.0).abs() < 1e-12, "({x}, {y})");
        assert!((h.0[7] - 1.0).abs() < 1e-12);
    }

    /// A map that only scales by 3 has an area scale of 9 everywhere.
    #[test]
    fn scaling_by_three_makes_nine_of_an_area() {
        let h =
            Homography::between(UNIT, [[0.0, 0.0], [3.0, 0.0], [3.0, 3.0], [0.0, 3.0]]).unwrap();
        assert!((h.area_scale([0.3, 0.8]) - 9.0).abs() < 1e-12);
    }

    /// A 50 x 30 mm card photographed square at 10 px/mm: 0.1 mm a pixel, and even everywhere.
    #[test]
    fn a_card_seen_square_stays_as_it_is() {
        let corners = Corners {
            px: [[100.0, 100.0], [600.0, 100.0], [600.0, 400.0], [100.0, 400.0]],
            size_mm: [50.0, 30.0],
        };
        let s = straighten(&corners, 800, 600).unwrap();
        assert!((s.mm_per_px - 0.1).abs() < 1e-12);
        assert!(s.unevenness(&corners) < 1e-9);
        let [x, y] = s.to_plane.map([350.0, 250.0]);
        assert!((x - 250.0).abs() < 1e-9 && (y - 150.0).abs() < 1e-9);
        let [u, v] = s.to_photo.map([x, y]);
        assert!((u - 350.0).abs() < 1e-9 && (v - 250.0).abs() < 1e-9);
    }

    #[test]
    fn corners_in_the_wrong_order_are_refused() {
        let corners = Corners {
            px: [[100.0, 100.0], [100.0, 400.0], [600.0, 400.0], [600.0, 100.0]],
            size_mm: [50.0, 30.0],
        };
        let error = straighten(&corners, 800, 600).unwrap_err();
        assert_eq!(
            error.to_string(),
            "the four corners of straighten make no convex four-sided figure in the order given"
        );
        assert!(error.advice().contains("clockwise"));
    }
}
