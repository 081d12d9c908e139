//! Hatching: parallel lines cut to an outline, so that a drawing needs no pattern with a name.

use weld::section::Point;

/// Most lines that one outline gets; a wider outline gets them further apart.
const MOST: f64 = 400.0;

/// Lines at 45 degrees, rising to the right on the sheet, `apart` mm from each other, inside a closed outline.
pub(crate) fn hatch(outline: &[Point], apart: f64) -> Vec<[Point; 2]> {
    let mut lines = Vec::new();
    if outline.len() < 3 || !outline.iter().copied().all(super::sheet::sound) {
        return lines;
    }
    // On a line, x + y is the same all along; across them it grows by apart times the root of 2.
    let level = |p: &Point| p.x + p.y;
    let (low, high) = outline
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), p| (l.min(level(p)), h.max(level(p))));
    let step = (apart * std::f64::consts::SQRT_2).max((high - low) / MOST);
    if !(step > 0.0 && high > low) {
        return lines;
    }
    let mut k = (low / step).ceil();
    while k * step <= high {
        let at = k * step;
        k += 1.0;
        let mut cuts: Vec<Point> = Vec::new();
        for (i, a) in outline.iter().enumerate() {
            let b = &outline[(i + 1) % outline.len()];
            let (da, db) = (level(a) - at, level(b) - at);
            if (da < 0.0) != (db < 0.0) {
                cuts.push(a.towards(*b, da / (da - db)));
            }
        }
        cuts.sort_by(|a, b| a.x.total_cmp(&b.x));
        for pair in cuts.chunks_exact(2) {
            lines.push([pair[0], pair[1]]);
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A square of side 10 has diagonals of length 10 √2 across the lines: with lines 1 apart, 14 or 15 of them.
    #[test]
    fn a_square_is_filled_edge_to_edge() {
        let square =
            [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)].map(|(x, y)| Point::new(x, y));
        let lines = hatch(&square, 1.0);
        assert!((14..=15).contains(&lines.len()), "{}", lines.len());
        for [a, b] in lines {
            for p in [a, b] {
                assert!(p.x >= -1e-9 && p.x <= 10.0 + 1e-9 && p.y >= -1e-9 && p.y <= 10.0 + 1e-9);
            }
            assert!((a.x + a.y - b.x - b.y).abs() < 1e-9);
        }
    }

    #[test]
    fn odd_outlines_get_none() {
        assert!(hatch(&[], 1.0).is_empty());
        assert!(hatch(&[Point::default(); 5], 1.0).is_empty());
        assert!(hatch(&[Point::new(f64::NAN, 0.0); 5], 1.0).is_empty());
    }
}
