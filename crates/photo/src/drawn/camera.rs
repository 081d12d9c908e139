//! Where a place in the section's plane lies on the picture, and back.
//!
//! ```text
//!   section, mm (y up) ── roll, tilt, perspective ──> ideal px ── lens ──> px (x right, y down, centres at integers)
//! ```
//!
//! A plane seen through a pinhole is a homography, so straight plate faces stay straight up to the lens. The lens is
//! written the way it is undone, ideal = c + (px - c)(1 + k r^2) with r = 1 in the picture's corner; the way out is
//! found by Newton's method to the last digits, so truth and picture use one and the same mapping.
//!
//! Not covered: decentred or fish-eye lenses, a rolling shutter.

use super::Px;
use weld::section::Point;

/// How the camera stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Stand {
    /// The place shown in the middle of the picture, mm.
    pub(crate) middle: Point,
    /// Pixels a millimetre in the middle of an untilted picture.
    pub(crate) px_per_mm: f64,
    /// Turn in the picture's plane, radians.
    pub(crate) roll: f64,
    /// Angle between optical axis and the section's normal, radians.
    pub(crate) tilt: f64,
    /// Direction in which the section falls away, radians from +x.
    pub(crate) towards: f64,
    /// Distance of the pinhole, mm.
    pub(crate) distance: f64,
    /// Lens term in the corner, share of the radius.
    pub(crate) lens: f64,
    /// The section is seen mirrored.
    pub(crate) mirrored: bool,
}

/// The mapping between the section's plane and the picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Camera {
    /// Ideal px from mm.
    ideal_from_section: [[f64; 3]; 3],
    section_from_ideal: [[f64; 3]; 3],
    centre: Px,
    corner: f64,
    lens: f64,
}

impl Camera {
    pub(crate) fn new(width: usize, height: usize, stand: &Stand) -> Self {
        let centre = [0.5 * (width as f64 - 1.0), 0.5 * (height as f64 - 1.0)];
        let (sr, cr) = stand.roll.sin_cos();
        let flip = if stand.mirrored { -1.0 } else { 1.0 };
        // Turned and centred: (X, Y) = A (x, y) + b.
        let a = [[cr * flip, -sr], [sr * flip, cr]];
        let m = stand.middle;
        let b = [-(a[0][0] * m.x + a[0][1] * m.y), -(a[1][0] * m.x + a[1][1] * m.y)];
        let (st, ct) = stand.tilt.sin_cos();
        let (sp, cp) = stand.towards.sin_cos();
        // u = X cos + Y sin shrinks by cos tilt and falls away by sin tilt.
        let squeeze = ct - 1.0;
        let rows = [
            [1.0 + squeeze * cp * cp, squeeze * cp * sp],
            [squeeze * cp * sp, 1.0 + squeeze * sp * sp],
            [st * cp / stand.distance, st * sp / stand.distance],
        ];
        let plane = rows.map(|r| {
            [
                r[0] * a[0][0] + r[1] * a[1][0],
                r[0] * a[0][1] + r[1] * a[1][1],
                r[0] * b[0] + r[1] * b[1],
            ]
        });
        let depth = [plane[2][0], plane[2][1], plane[2][2] + 1.0];
        let k = stand.px_per_mm;
        let mut h = [[0.0; 3]; 3];
        for i in 0..3 {
            h[0][i] = k * plane[0][i] + centre[0] * depth[i];
            h[1][i] = -k * plane[1][i] + centre[1] * depth[i];
            h[2][i] = depth[i];
        }
        Self {
            ideal_from_section: h,
            section_from_ideal: inverse(&h),
            centre,
            corner: centre[0].hypot(centre[1]).max(1.0),
            lens: stand.lens,
        }
    }

    /// The pixel that shows a place of the section.
    #[must_use]
    pub fn px_from_section(&self, p: Point) -> Px {
        self.px_from_ideal(apply(&self.ideal_from_section, [p.x, p.y]))
    }

    /// The place of the section that a pixel shows, mm.
    #[must_use]
    pub fn section_from_px(&self, px: Px) -> Point {
        let [x, y] = apply(&self.section_from_ideal, self.ideal_from_px(px));
        Point::new(x, y)
    }

    /// Millimetres a pixel at a place of the picture: root of the area that one pixel shows.
    #[must_use]
    pub fn mm_per_px(&self, px: Px) -> f64 {
        let at = |dx: f64, dy: f64| self.section_from_px([px[0] + dx, px[1] + dy]);
        let (dx, dy) = (at(0.5, 0.0) - at(-0.5, 0.0), at(0.0, 0.5) - at(0.0, -0.5));
        dx.cross(dy).abs().sqrt()
    }

    pub(crate) fn ideal_from_px(&self, px: Px) -> Px {
        let (dx, dy) = (px[0] - self.centre[0], px[1] - self.centre[1]);
        let grow = self.lens * (dx * dx + dy * dy) / (self.corner * self.corner);
        [px[0] + dx * grow, px[1] + dy * grow]
    }

    fn px_from_ideal(&self, ideal: Px) -> Px {
        if self.lens == 0.0 {
            return ideal;
        }
        let (dx, dy) = (ideal[0] - self.centre[0], ideal[1] - self.centre[1]);
        let wanted = dx.hypot(dy) / self.corner;
        if !(wanted > 0.0 && wanted.is_finite()) {
            return ideal;
        }
        let mut r = wanted;
        for _ in 0..20 {
            let slope = 1.0 + 3.0 * self.lens * r * r;
            r -= (r * (1.0 + self.lens * r * r) - wanted) / slope.max(0.1);
        }
        let share = r / wanted;
        [self.centre[0] + dx * share, self.centre[1] + dy * share]
    }

    pub(crate) fn section_from_ideal(&self, ideal: Px) -> Px {
        apply(&self.section_from_ideal, ideal)
    }

    /// A straight line n . p = c of the section as (a, b, c) in ideal pixels: a x + b y + c is the distance in pixels,
    /// positive where n . p > c.
    pub(crate) fn line_in_ideal(&self, normal: Point, c: f64) -> [f64; 3] {
        let l = [normal.x, normal.y, -c];
        let m = &self.section_from_ideal;
        let mut out = [0.0; 3];
        for (i, o) in out.iter_mut().enumerate() {
            *o = l[0] * m[0][i] + l[1] * m[1][i] + l[2] * m[2][i];
        }
        let n = out[0].hypot(out[1]);
        // The third row of the inverse keeps its sign over a picture, so the side is settled at the centre.
        let w = m[2][0] * self.centre[0] + m[2][1] * self.centre[1] + m[2][2];
        let k = if n > 0.0 { w.signum() / n } else { 0.0 };
        out.map(|v| v * k)
    }
}

fn apply(m: &[[f64; 3]; 3], p: Px) -> Px {
    let row = |r: &[f64; 3]| r[0] * p[0] + r[1] * p[1] + r[2];
    let w = row(&m[2]);
    [row(&m[0]) / w, row(&m[1]) / w]
}

fn inverse(m: &[[f64; 3]; 3]) -> [[f64; 3]; 3] {
    let c = |i: usize, j: usize| {
        let (a, b) = ((i + 1) % 3, (i + 2) % 3);
        let (d, e) = ((j + 1) % 3, (j + 2) % 3);
        m[a][d] * m[b][e] - m[a][e] * m[b][d]
    };
    let det: f64 = (0..3).map(|j| m[0][j] * c(0, j)).sum();
    let mut out = [[0.0; 3]; 3];
    for (i, row) in out.iter_mut().enumerate() {
        for (j, v) in row.iter_mut().enumerate() {
            *v = c(j, i) / det;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tilted() -> Camera {
        Camera::new(
            1600,
            1200,
            &Stand {
                middle: Point::new(1.0, 2.0),
                px_per_mm: 40.0,
                roll: 0.05,
                tilt: 0.2,
                towards: 0.7,
                distance: 150.0,
                lens: 0.02,
                mirrored: true,
            },
        )
    }

    #[test]
    fn there_and_back_is_the_same_place() {
        let camera = tilted();
        for (x, y) in [(-12.0, 8.0), (0.0, 0.0), (10.0, -9.0)] {
            let back = camera.section_from_px(camera.px_from_section(Point::new(x, y)));
            assert!((back - Point::new(x, y)).norm() < 1e-10, "{back:?}");
        }
    }

    #[test]
    fn a_line_stays_a_line_and_knows_its_distance() {
        let camera = Camera { lens: 0.0, ..tilted() };
        let line = camera.line_in_ideal(Point::new(0.0, 1.0), 2.0);
        let over = |p: Point| {
            let q = camera.px_from_section(p);
            line[0] * q[0] + line[1] * q[1] + line[2]
        };
        assert!(
            over(Point::new(-7.0, 2.0)).abs() < 1e-9 && over(Point::new(9.0, 2.0)).abs() < 1e-9
        );
        assert!(
            over(Point::new(1.0, 2.01)) > 0.35,
            "0.01 mm at about 40 px/mm: {}",
            over(Point::new(1.0, 2.01))
        );
    }
}
