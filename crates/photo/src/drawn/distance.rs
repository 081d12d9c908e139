//! Distance to lines on the picture, in pixels, without asking every pixel about every piece.
//!
//! Near: each piece is laid into the rows that it reaches, within a band; exact to rounding. Far: asked on a grid of
//! every eighth pixel, exact there and bilinear between; used only for texture, never for an edge.

use super::Px;
use rayon::prelude::*;

/// Pieces from a to b with a strength each.
pub(crate) struct Piece {
    pub(crate) a: Px,
    pub(crate) b: Px,
    pub(crate) strength: f32,
}

impl Piece {
    pub(crate) fn distance(&self, x: f64, y: f64) -> (f64, f64) {
        let (dx, dy) = (self.b[0] - self.a[0], self.b[1] - self.a[1]);
        let (px, py) = (x - self.a[0], y - self.a[1]);
        let l2 = dx * dx + dy * dy;
        let t = if l2 > 0.0 { ((px * dx + py * dy) / l2).clamp(0.0, 1.0) } else { 0.0 };
        let (ex, ey) = (px - t * dx, py - t * dy);
        ((ex * ex + ey * ey).sqrt(), t)
    }

    /// Columns of a row that lie within `reach` of the piece (perhaps a few more).
    pub(crate) fn columns(&self, y: f64, reach: f64, width: usize) -> Option<(usize, usize)> {
        let (a, b) = (self.a, self.b);
        let (low, high) = if a[1] <= b[1] { (a, b) } else { (b, a) };
        if y < low[1] - reach || y > high[1] + reach {
            return None;
        }
        let rise = high[1] - low[1];
        let at = |yy: f64| {
            let t = if rise > 1e-9 { ((yy - low[1]) / rise).clamp(0.0, 1.0) } else { 0.5 };
            low[0] + (high[0] - low[0]) * t
        };
        let (x0, x1) = if rise > 1e-9 { (at(y - reach), at(y + reach)) } else { (a[0], b[0]) };
        let from = (x0.min(x1) - reach).floor().max(0.0);
        let to = (x0.max(x1) + reach).ceil().min(width as f64 - 1.0);
        (from <= to).then_some((from as usize, to as usize))
    }
}

/// The pieces of a closed outline.
pub(crate) fn closed(points: &[Px]) -> Vec<Piece> {
    (0..points.len())
        .map(|i| Piece { a: points[i], b: points[(i + 1) % points.len()], strength: 1.0 })
        .collect()
}

/// Distance within a band, and the strength of the nearest piece.
pub(crate) struct Near {
    pub(crate) band: f32,
    /// `band` where no piece is nearer.
    pub(crate) distance: Vec<f32>,
    pub(crate) strength: Vec<f32>,
}

/// Lays pieces into rows.
pub(crate) fn near(pieces: &[Piece], width: usize, height: usize, band: f64) -> Near {
    let mut distance = vec![band as f32; width * height];
    let mut strength = vec![0.0_f32; width * height];
    let strips = 16;
    distance
        .par_chunks_mut(strips * width)
        .zip(strength.par_chunks_mut(strips * width))
        .enumerate()
        .for_each(|(strip, (dist, str))| {
            let y0 = strip * strips;
            for piece in pieces {
                let (low, high) =
                    (piece.a[1].min(piece.b[1]) - band, piece.a[1].max(piece.b[1]) + band);
                if high < y0 as f64 || low > (y0 + strips) as f64 {
                    continue;
                }
                for (row, (d_row, s_row)) in
                    dist.chunks_mut(width).zip(str.chunks_mut(width)).enumerate()
                {
                    let y = (y0 + row) as f64;
                    let Some((from, to)) = piece.columns(y, band, width) else { continue };
                    for x in from..=to {
                        let d = piece.distance(x as f64, y).0 as f32;
                        if d < d_row[x] {
                            d_row[x] = d;
                            s_row[x] = piece.strength;
                        }
                    }
                }
            }
        });
    Near { band: band as f32, distance, strength }
}

/// Marks pixel centres inside a closed outline, even-odd.
pub(crate) fn fill(points: &[Px], width: usize, inside: &mut [bool]) {
    inside.par_chunks_mut(width).enumerate().for_each(|(row, line)| {
        let y = row as f64;
        let mut crossings: Vec<f64> = Vec::new();
        for (i, a) in points.iter().enumerate() {
            let b = points[(i + 1) % points.len()];
            if (a[1] > y) != (b[1] > y) {
                crossings.push(a[0] + (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1]));
            }
        }
        crossings.sort_by(f64::total_cmp);
        for pair in crossings.chunks_exact(2) {
            let from = pair[0].ceil().max(0.0);
            let to = pair[1].floor().min(width as f64 - 1.0);
            if from <= to {
                for v in &mut line[from as usize..=to as usize] {
                    *v = true;
                }
            }
        }
    });
}

/// Signed distance to some closed outlines, positive inside any, cut off at the band.
pub(crate) fn signed(outlines: &[Vec<Px>], width: usize, height: usize, band: f64) -> Vec<f32> {
    let mut all: Option<Vec<f32>> = None;
    for outline in outlines {
        let mut d = near(&closed(outline), width, height, band).distance;
        let mut inside = vec![false; width * height];
        fill(outline, width, &mut inside);
        d.par_iter_mut().zip(&inside).for_each(|(d, &i)| {
            if !i {
                *d = -*d;
            }
        });
        all = Some(match all {
            None => d,
            Some(mut before) => {
                before.par_iter_mut().zip(&d).for_each(|(b, d)| *b = b.max(*d));
                before
            }
        });
    }
    all.unwrap_or_default()
}

/// Distance to the nearest piece, everywhere, from a grid.
pub(crate) struct Far {
    columns: usize,
    rows: usize,
    distance: Vec<f32>,
    nearest: Vec<u32>,
}

/// Pixels between two grid points.
const STEP: usize = 8;

impl Far {
    pub(crate) fn new(pieces: &[Piece], width: usize, height: usize) -> Self {
        let (columns, rows) = (width / STEP + 2, height / STEP + 2);
        let mut distance = vec![1e6_f32; columns * rows];
        let mut nearest = vec![0_u32; columns * rows];
        let flat: Vec<[f32; 5]> = pieces
            .iter()
            .map(|p| {
                let (dx, dy) = ((p.b[0] - p.a[0]) as f32, (p.b[1] - p.a[1]) as f32);
                let l2 = dx * dx + dy * dy;
                [p.a[0] as f32, p.a[1] as f32, dx, dy, if l2 > 0.0 { 1.0 / l2 } else { 0.0 }]
            })
            .collect();
        distance.par_chunks_mut(columns).zip(nearest.par_chunks_mut(columns)).enumerate().for_each(
            |(row, (dist, near))| {
                let y = (row * STEP) as f32;
                for (column, (d, n)) in dist.iter_mut().zip(near).enumerate() {
                    let x = (column * STEP) as f32;
                    let (mut best, mut which) = (f32::INFINITY, 0);
                    for (i, [ax, ay, dx, dy, inv]) in flat.iter().enumerate() {
                        let (px, py) = (x - ax, y - ay);
                        let t = ((px * dx + py * dy) * inv).clamp(0.0, 1.0);
                        let (ex, ey) = (px - t * dx, py - t * dy);
                        let d2 = ex * ex + ey * ey;
                        if d2 < best {
                            (best, which) = (d2, i);
                        }
                    }
                    if best.is_finite() {
                        *d = best.sqrt();
                        *n = which as u32;
                    }
                }
            },
        );
        Self { columns, rows, distance, nearest }
    }

    fn cell(&self, x: f64, y: f64) -> (usize, f32, f32) {
        let (gx, gy) = ((x / STEP as f64).max(0.0), (y / STEP as f64).max(0.0));
        let (i, j) = ((gx as usize).min(self.columns - 2), (gy as usize).min(self.rows - 2));
        (j * self.columns + i, (gx - i as f64).min(1.0) as f32, (gy - j as f64).min(1.0) as f32)
    }

    pub(crate) fn distance(&self, x: f64, y: f64) -> f32 {
        let (k, u, v) = self.cell(x, y);
        let d = &self.distance;
        let top = d[k] + (d[k + 1] - d[k]) * u;
        let low = d[k + self.columns] + (d[k + self.columns + 1] - d[k + self.columns]) * u;
        top + (low - top) * v
    }

    /// Exact distance, and the nearest piece with the share of the way along it, among those near the grid points
    /// around.
    pub(crate) fn exact(&self, pieces: &[Piece], x: f64, y: f64) -> Option<(f64, usize, f64)> {
        let (k, _, _) = self.cell(x, y);
        let mut best: Option<(f64, usize, f64)> = None;
        let mut seen = usize::MAX;
        for at in [k, k + 1, k + self.columns, k + self.columns + 1] {
            let i = self.nearest[at] as usize;
            if i == seen {
                continue;
            }
            seen = i;
            for j in i.saturating_sub(1)..=(i + 1) {
                let Some(piece) = pieces.get(j) else { continue };
                let (d, t) = piece.distance(x, y);
                if best.is_none_or(|b| d < b.0) {
                    best = Some((d, j, t));
                }
            }
        }
        best
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The band agrees with asking every piece, and the grid with the band.
    #[test]
    fn the_band_is_the_distance() {
        let ring: Vec<Px> = (0..40)
            .map(|i| {
                let a = f64::from(i) * 0.157;
                [60.3 + 30.0 * a.cos(), 50.7 + 21.0 * a.sin()]
            })
            .collect();
        let pieces = closed(&ring);
        let band = near(&pieces, 120, 100, 9.0);
        let far = Far::new(&pieces, 120, 100);
        for y in 0..100 {
            for x in 0..120 {
                let (fx, fy) = (x as f64, y as f64);
                let d = pieces.iter().map(|p| p.distance(fx, fy).0).fold(f64::INFINITY, f64::min);
                let got = f64::from(band.distance[y * 120 + x]);
                assert!((got - d.min(9.0)).abs() < 1e-5, "({x}, {y}): {got} for {d}");
                let (near, _, _) = far.exact(&pieces, fx, fy).unwrap();
                assert!(near - d < 1.5, "({x}, {y}): {near} for {d}");
            }
        }
    }
}
