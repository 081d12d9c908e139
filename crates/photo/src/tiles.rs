//! A photo cut into tiles for a page, at every size that somebody may look at it.
//!
//! ```text
//!   level 0: the photo itself      level 1: halved      ...      last level: one tile
//!   ┌────┬────┬──┐                 ┌────┬──┐                     ┌──┐
//!   │512 │512 │..│                 │512 │..│                     │..│
//! ```
//!
//! Two views: the photo as it is, and its lightness evened out over a neighbourhood, in which a faint etch is easier to
//! see. Both are for looking at: what is read is read from the photo itself.

use crate::decode::Photo;
use crate::encode::EncodeError;
use image::codecs::jpeg::JpegEncoder;
use image::{ExtendedColorType, ImageEncoder};
use rayon::prelude::*;

/// The side of a tile, pixels; those at the right and at the bottom are smaller.
pub const SIDE: u32 = 512;
/// Quality of a tile: the grain of an etched face is still to be seen.
const QUALITY: u8 = 85;
/// The longer side of the plane on which a neighbourhood's lightness is averaged, pixels.
const NEIGHBOURS_ON: usize = 768;
/// A neighbourhood's half side on that plane, pixels: a sixteenth of the photo.
const NEIGHBOURS: usize = 24;
/// The least scatter that is spread out, as a share of all lightness: below it there is only noise.
const LEAST_SCATTER: f64 = 0.01;
/// Grey levels for one standard deviation.
const SPREAD: f64 = 48.0;

/// How a photo is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum View {
    /// As it is.
    Plain,
    /// Its lightness less the mean around, over the scatter around.
    Local,
}

/// One tile.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tile {
    /// Its level: 0 is the photo itself.
    pub level: u32,
    /// Its column and row among the tiles of the level.
    pub at: [u32; 2],
    /// JPEG.
    pub jpeg: Vec<u8>,
}

/// How many levels a photo has: the last one is a single tile.
#[must_use]
pub fn levels(width: u32, height: u32) -> u32 {
    let mut longer = width.max(height).max(1);
    let mut levels = 1;
    while longer > SIDE {
        longer = longer.div_ceil(2);
        levels += 1;
    }
    levels
}

/// Cuts a photo into the tiles of all levels.
///
/// # Errors
/// When a tile cannot be packed.
pub fn cut(photo: &Photo, view: View) -> Result<Vec<Tile>, EncodeError> {
    let size = [photo.width as usize, photo.height as usize];
    let mut picture = match view {
        View::Plain => Picture { size, channels: 3, px: photo.rgb.clone() },
        View::Local => evened(photo),
    };
    let mut tiles = Vec::new();
    for level in 0..levels(photo.width, photo.height) {
        if level > 0 {
            picture = picture.halved();
        }
        tiles.extend(picture.tiles(level)?);
    }
    Ok(tiles)
}

struct Picture {
    size: [usize; 2],
    channels: usize,
    px: Vec<u8>,
}

impl Picture {
    /// Each pixel is the mean of four; at an odd edge of those that are there.
    fn halved(&self) -> Self {
        let ([w, h], c) = (self.size, self.channels);
        let size = [w.div_ceil(2), h.div_ceil(2)];
        let mut px = vec![0; size[0] * size[1] * c];
        px.par_chunks_mut(size[0] * c).enumerate().for_each(|(y, row)| {
            let rows = [2 * y, (2 * y + 1).min(h - 1)];
            for (x, to) in row.chunks_exact_mut(c).enumerate() {
                let columns = [2 * x, (2 * x + 1).min(w - 1)];
                for (k, to) in to.iter_mut().enumerate() {
                    let sum: u32 = rows
                        .iter()
                        .flat_map(|y| columns.iter().map(move |x| (y * w + x) * c + k))
                        .map(|i| u32::from(self.px[i]))
                        .sum();
                    *to = ((sum + 2) / 4) as u8;
                }
            }
        });
        Self { size, channels: c, px }
    }

    fn tiles(&self, level: u32) -> Result<Vec<Tile>, EncodeError> {
        let side = SIDE as usize;
        let [across, down] = self.size.map(|s| s.div_ceil(side));
        let color =
            if self.channels == 3 { ExtendedColorType::Rgb8 } else { ExtendedColorType::L8 };
        (0..across * down)
            .into_par_iter()
            .map(|i| {
                let (x, y) = (i % across, i / across);
                let w = side.min(self.size[0] - x * side);
                let h = side.min(self.size[1] - y * side);
                let c = self.channels;
                let mut px = Vec::with_capacity(w * h * c);
                for row in y * side..y * side + h {
                    let from = (row * self.size[0] + x * side) * c;
                    px.extend_from_slice(&self.px[from..from + w * c]);
                }
                let mut jpeg = Vec::new();
                JpegEncoder::new_with_quality(&mut jpeg, QUALITY)
                    .write_image(&px, w as u32, h as u32, color)
                    .map_err(|error| EncodeError::Refused { why: error.to_string() })?;
                Ok(Tile { level, at: [x as u32, y as u32], jpeg })
            })
            .collect()
    }
}

/// The photo's lightness, evened out: grey.
fn evened(photo: &Photo) -> Picture {
    let [w, h] = [photo.width as usize, photo.height as usize];
    let around = Around::of(&photo.lightness, w, h);
    let mut px = vec![0; w * h];
    px.par_chunks_mut(w).enumerate().for_each(|(y, row)| {
        for (x, to) in row.iter_mut().enumerate() {
            let (mean, scatter) = around.at(x, y);
            let l = f64::from(photo.lightness[y * w + x]) / 65_535.0;
            *to = (128.0 + SPREAD * (l - mean) / scatter).clamp(0.0, 255.0) as u8;
        }
    });
    Picture { size: [w, h], channels: 1, px }
}

/// Mean and scatter of the lightness around each pixel of a small copy.
struct Around {
    step: usize,
    size: [usize; 2],
    mean: Vec<f64>,
    scatter: Vec<f64>,
}

impl Around {
    fn of(lightness: &[u16], w: usize, h: usize) -> Self {
        let step = w.max(h).div_ceil(NEIGHBOURS_ON).max(1);
        let size = [w.div_ceil(step), h.div_ceil(step)];
        // Sums of the lightness and of its square over each cell of the small copy, then over neighbourhoods.
        let cells: Vec<[f64; 3]> = (0..size[0] * size[1])
            .into_par_iter()
            .map(|i| {
                let (cx, cy) = (i % size[0], i / size[0]);
                let mut sums = [0.0; 3];
                for y in cy * step..((cy + 1) * step).min(h) {
                    for x in cx * step..((cx + 1) * step).min(w) {
                        let l = f64::from(lightness[y * w + x]) / 65_535.0;
                        sums = [sums[0] + 1.0, sums[1] + l, sums[2] + l * l];
                    }
                }
                sums
            })
            .collect();
        let (row, column) = (size[0] + 1, size[1] + 1);
        let mut total = vec![[0.0; 3]; row * column];
        for y in 1..column {
            for x in 1..row {
                for k in 0..3 {
                    total[y * row + x][k] = cells[(y - 1) * size[0] + x - 1][k]
                        + total[(y - 1) * row + x][k]
                        + total[y * row + x - 1][k]
                        - total[(y - 1) * row + x - 1][k];
                }
            }
        }
        let (mean, scatter) = (0..size[0] * size[1])
            .map(|i| {
                let (x, y) = (i % size[0], i / size[0]);
                let (x0, y0) = (x.saturating_sub(NEIGHBOURS), y.saturating_sub(NEIGHBOURS));
                let (x1, y1) =
                    ((x + NEIGHBOURS + 1).min(size[0]), (y + NEIGHBOURS + 1).min(size[1]));
                let sum = |k: usize| {
                    total[y1 * row + x1][k] - total[y0 * row + x1][k] - total[y1 * row + x0][k]
                        + total[y0 * row + x0][k]
                };
                let (n, mean) = (sum(0), sum(1) / sum(0));
                (mean, (sum(2) / n - mean * mean).max(0.0).sqrt().max(LEAST_SCATTER))
            })
            .unzip();
        Self { step, size, mean, scatter }
    }

    /// Between the middles of four cells, so that no cell's edge is seen.
    fn at(&self, x: usize, y: usize) -> (f64, f64) {
        let place = |v: usize, side: usize| {
            let at = ((v as f64 + 0.5) / self.step as f64 - 0.5).clamp(0.0, side as f64 - 1.0);
            let low = at.floor() as usize;
            (low, (low + 1).min(side - 1), at - at.floor())
        };
        let (x0, x1, tx) = place(x, self.size[0]);
        let (y0, y1, ty) = place(y, self.size[1]);
        let of = |plane: &[f64]| {
            let at = |x: usize, y: usize| plane[y * self.size[0] + x];
            let upper = at(x0, y0) + tx * (at(x1, y0) - at(x0, y0));
            let lower = at(x0, y1) + tx * (at(x1, y1) - at(x0, y1));
            upper + ty * (lower - upper)
        };
        (of(&self.mean), of(&self.scatter))
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]
mod tests {
    use super::*;
    use crate::decode::decode;
    use crate::encode::png;

    fn photo(width: u32, height: u32, of: impl Fn(u32, u32) -> u8) -> Photo {
        let grey = (0..height).flat_map(|y| (0..width).map(move |x| (x, y)));
        let rgb: Vec<u8> = grey.flat_map(|(x, y)| [of(x, y); 3]).collect();
        decode(&png(width, height, &rgb).unwrap()).unwrap()
    }

    /// 1300 halves to 650 and to 325: three levels; 512 is one tile. Tiles of a level: each side over 512, rounded up.
    #[test]
    fn levels_end_with_one_tile() {
        for (side, count) in [(64, 1), (512, 1), (513, 2), (1024, 2), (1025, 3), (1300, 3)] {
            assert_eq!(levels(side, 64), count, "{side}");
            assert_eq!(levels(64, side), count, "{side}");
        }
        let tiles = cut(&photo(1300, 700, |_, _| 90), View::Plain).unwrap();
        let of = |level| tiles.iter().filter(|t| t.level == level).count();
        assert_eq!([of(0), of(1), of(2)], [3 * 2, 2, 1]);
        let edge = tiles.iter().find(|t| t.level == 0 && t.at == [2, 1]).unwrap();
        let edge = decode(&edge.jpeg).unwrap();
        assert_eq!([edge.width, edge.height], [1300 - 1024, 700 - 512]);
    }

    /// A chessboard of single pixels, 0 and 200, is an even 100 when halved.
    #[test]
    fn halving_is_the_mean_of_four() {
        let board = photo(700, 601, |x, y| if (x + y) % 2 == 0 { 200 } else { 0 });
        let tiles = cut(&board, View::Plain).unwrap();
        let last = decode(&tiles.last().unwrap().jpeg).unwrap();
        assert_eq!([last.width, last.height], [350, 301]);
        assert!(last.rgb[..3 * 300 * 350].iter().all(|v| v.abs_diff(100) <= 2));
    }

    /// Under light that grows fourfold from left to right, stripes 40 % darker than the metal are 20 grey levels deep at
    /// one place and 84 at another. Evened, depth d becomes 48 d over the scatter around: d/2 of the stripes (half of
    /// all rows) and 5.6 of the slope (0.2 levels a pixel over the 97 pixels of a neighbourhood, over the root of 12),
    /// so 84 and 95.
    #[test]
    fn the_evened_view_takes_uneven_light_away() {
        let light = |x: u32| 30.0 + 0.2 * f64::from(x);
        let lined = photo(1000, 600, |x, y| {
            let stripe = if y % 20 < 10 { 0.6 } else { 1.0 };
            (light(x) * stripe).round() as u8
        });
        let view = evened(&lined);
        for (x, depth) in [(100, 0.4 * light(100)), (900, 0.4 * light(900))] {
            let shown = f64::from(view.px[315 * 1000 + x]) - f64::from(view.px[305 * 1000 + x]);
            let expected = 48.0 * depth / (0.5 * depth).hypot(0.2 * 97.0 / 12_f64.sqrt());
            assert!((shown / expected - 1.0).abs() < 0.05, "{x}: {shown}, {expected} expected");
        }
    }
}
