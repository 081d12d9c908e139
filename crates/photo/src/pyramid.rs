//! A picture's lightness, halved again and again, so that every zone can be read at a handy size.
//!
//! ```text
//!   level 0        level 1        level 2          a pixel of level k covers 2^k x 2^k pixels
//!  ┌─┬─┬─┬─┐      ┌───┬───┐      ┌───────┐         of the picture; centres are at integers on
//!  ├─┼─┼─┼─┤      │   │   │      │       │         every level, so
//!  ├─┼─┼─┼─┤      ├───┼───┤      │       │           picture = (level + 1/2) 2^k - 1/2
//!  ├─┼─┼─┼─┤      │   │   │      │       │         and the half-pixel shift is never forgotten.
//!  └─┴─┴─┴─┘      └───┴───┘      └───────┘
//! ```
//!
//! Frame: x to the right, y down, pixel centres at integers, as in the whole of `photo`.
//!
//! Guarantees: each level is the exact mean of the level below (rounded to 1/65535); turning the picture by 90
//! degrees turns each level as long as the sides can be halved.
//! An odd side is halved upwards, its last row or column counted twice.
//!
//! Memory: two bytes a pixel and a third more for all levels: 267 MB for 100 megapixels.
//!
//! Not covered: colour (the decoder makes lightness), straightening.

use rayon::prelude::*;

/// Most pixels a picture may have.
pub const MOST_PIXELS: usize = 100_000_000;

/// The longest side of a zone, in level pixels, that is worked on without halving once more.
pub const LONGEST_SIDE: f64 = 700.0;

/// A picture's lightness as displayed (gamma-encoded grey): 0 black, 65535 white, row after row from the top.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plane {
    /// Pixels in a row.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// `width * height` values.
    pub px: Vec<u16>,
}

impl Plane {
    /// The value at a pixel; outside the picture the nearest pixel's.
    pub fn at(&self, x: isize, y: isize) -> u16 {
        let x = x.clamp(0, self.width as isize - 1) as usize;
        let y = y.clamp(0, self.height as isize - 1) as usize;
        self.px.get(y * self.width + x).copied().unwrap_or(0)
    }

    /// Lightness from 0 to 1 between pixels, bilinear; outside the picture the nearest pixel's.
    pub fn sample(&self, x: f64, y: f64) -> f64 {
        let (fx, fy) = (x.floor(), y.floor());
        let (ix, iy) = (fx as isize, fy as isize);
        let (tx, ty) = (x - fx, y - fy);
        let v =
            |dx: isize, dy: isize| f64::from(self.at(ix.saturating_add(dx), iy.saturating_add(dy)));
        let top = v(0, 0) * (1.0 - tx) + v(1, 0) * tx;
        let low = v(0, 1) * (1.0 - tx) + v(1, 1) * tx;
        (top * (1.0 - ty) + low * ty) / 65535.0
    }
}

/// A picture that cannot be worked on.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PictureError {
    /// No pixel at all.
    #[error("the picture is {width} x {height} pixels, so there is nothing to see")]
    Empty {
        /// Pixels in a row.
        width: usize,
        /// Rows.
        height: usize,
    },
    /// More pixels than fit.
    #[error("the picture has {width} x {height} pixels, more than the {} million that fit in memory", MOST_PIXELS / 1_000_000)]
    TooLarge {
        /// Pixels in a row.
        width: usize,
        /// Rows.
        height: usize,
    },
    /// The buffer does not belong to the size.
    #[error("{values} lightness values were given for {width} x {height} pixels")]
    WrongCount {
        /// Pixels in a row.
        width: usize,
        /// Rows.
        height: usize,
        /// Values given.
        values: usize,
    },
}

impl PictureError {
    /// What to do about it.
    pub fn advice(&self) -> &'static str {
        match self {
            Self::Empty { .. } => "export the photograph again and check that it opens in a viewer",
            Self::TooLarge { .. } => {
                "crop the photograph to the weld, or save it at a lower resolution"
            }
            Self::WrongCount { .. } => {
                "the decoder handed over a broken picture: report the file it came from"
            }
        }
    }
}

/// All levels of one picture.
#[derive(Debug, Clone)]
pub struct Pyramid {
    levels: Vec<Plane>,
}

impl Pyramid {
    /// Halves the picture until its longer side is at most 64 pixels.
    ///
    /// # Errors
    /// When the picture is empty, too large, or its values do not match its size.
    pub fn new(picture: Plane) -> Result<Self, PictureError> {
        let Plane { width, height, .. } = picture;
        if width == 0 || height == 0 {
            return Err(PictureError::Empty { width, height });
        }
        match width.checked_mul(height) {
            Some(n) if n > MOST_PIXELS => return Err(PictureError::TooLarge { width, height }),
            None => return Err(PictureError::TooLarge { width, height }),
            Some(n) if n != picture.px.len() => {
                return Err(PictureError::WrongCount { width, height, values: picture.px.len() });
            }
            Some(_) => {}
        }
        let mut levels = vec![picture];
        while let Some(last) = levels.last() {
            if last.width.max(last.height) <= 64 {
                break;
            }
            let next = halve(last);
            levels.push(next);
        }
        Ok(Self { levels })
    }

    /// The picture itself.
    pub fn picture(&self) -> &Plane {
        &self.levels[0]
    }

    /// How many levels there are, at least one.
    pub fn levels(&self) -> usize {
        self.levels.len()
    }

    /// A level; beyond the last one, the last.
    pub fn level(&self, level: usize) -> &Plane {
        &self.levels[level.min(self.levels.len() - 1)]
    }

    /// The level at which the picture's longer side is at most so many pixels; the last one where none is so small.
    pub fn level_within(&self, longest: f64) -> usize {
        let picture = self.picture();
        let longer = picture.width.max(picture.height) as f64;
        let mut level = 0;
        while longer / size_of_pixel(level) > longest && level + 1 < self.levels.len() {
            level += 1;
        }
        level
    }

    /// The level at which a box with this longer side (picture pixels) is at most 700 pixels long.
    ///
    /// That leaves it 350 to 700 pixels long unless the picture shows it smaller.
    pub fn level_for(&self, longer_side: f64) -> usize {
        let mut level = 0;
        let mut side = longer_side;
        while side > LONGEST_SIDE && level + 1 < self.levels.len() {
            side /= 2.0;
            level += 1;
        }
        level
    }
}

/// Where a place in the picture lies on a level.
pub fn level_from_picture(level: usize, p: [f64; 2]) -> [f64; 2] {
    let s = size_of_pixel(level);
    [(p[0] + 0.5) / s - 0.5, (p[1] + 0.5) / s - 0.5]
}

/// Where a place on a level lies in the picture.
pub fn picture_from_level(level: usize, p: [f64; 2]) -> [f64; 2] {
    let s = size_of_pixel(level);
    [(p[0] + 0.5) * s - 0.5, (p[1] + 0.5) * s - 0.5]
}

/// The side of a level's pixel in picture pixels.
pub fn size_of_pixel(level: usize) -> f64 {
    2f64.powi(level.min(60) as i32)
}

fn halve(of: &Plane) -> Plane {
    let (width, height) = (of.width.div_ceil(2), of.height.div_ceil(2));
    let mut px = vec![0u16; width * height];
    // Bands of rows keep the two threads busy without a task per row.
    px.par_chunks_mut(width * 32).enumerate().for_each(|(band, rows)| {
        for (j, row) in rows.chunks_mut(width).enumerate() {
            let y = 2 * (band * 32 + j);
            let upper = &of.px[y * of.width..(y + 1) * of.width];
            let y = (y + 1).min(of.height - 1);
            let lower = &of.px[y * of.width..(y + 1) * of.width];
            let mean = |a: u16, b: u16, c: u16, d: u16| {
                ((u32::from(a) + u32::from(b) + u32::from(c) + u32::from(d) + 2) >> 2) as u16
            };
            let pairs = upper.chunks_exact(2).zip(lower.chunks_exact(2));
            for (out, (u, l)) in row.iter_mut().zip(pairs) {
                *out = mean(u[0], u[1], l[0], l[1]);
            }
            if of.width % 2 == 1
                && let (Some(out), Some(&u), Some(&l)) =
                    (row.last_mut(), upper.last(), lower.last())
            {
                *out = mean(u, u, l, l);
            }
        }
    });
    Plane { width, height, px }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By definition: a pixel of level 1 is centred between the four it covers.
    #[test]
    fn a_place_keeps_its_place_on_every_level() {
        assert_eq!(picture_from_level(1, [0.0, 0.0]), [0.5, 0.5]);
        assert_eq!(picture_from_level(3, [0.0, 1.0]), [3.5, 11.5]);
        for level in 0..6 {
            let p = [123.25, 7.5];
            let q = picture_from_level(level, level_from_picture(level, p));
            assert!((p[0] - q[0]).abs() < 1e-12 && (p[1] - q[1]).abs() < 1e-12);
        }
    }

    #[test]
    fn a_halved_picture_keeps_its_mean_and_counts_an_odd_border_twice() {
        let picture = Plane { width: 3, height: 2, px: vec![10, 20, 30, 30, 40, 50] };
        let half = halve(&picture);
        assert_eq!((half.width, half.height), (2, 1));
        assert_eq!(half.px, vec![25, 40]);
    }

    #[test]
    fn a_picture_without_pixels_is_refused_with_advice() {
        let e = Pyramid::new(Plane { width: 0, height: 4, px: vec![] }).unwrap_err();
        assert_eq!(e.to_string(), "the picture is 0 x 4 pixels, so there is nothing to see");
        assert!(e.advice().contains("export"));
        let e = Pyramid::new(Plane { width: 2, height: 4, px: vec![1] }).unwrap_err();
        assert_eq!(e.to_string(), "1 lightness values were given for 2 x 4 pixels");
        let e = Pyramid::new(Plane { width: usize::MAX, height: 4, px: vec![1] }).unwrap_err();
        assert!(e.to_string().contains("100 million"), "{e}");
    }
}
