//! Lines and figures laid onto a layer: scratches, cracks, ticks, digits.

use super::Px;
use super::distance::Piece;

/// One value a pixel.
pub(crate) struct Layer {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) data: Vec<f32>,
}

impl Layer {
    pub(crate) fn new(width: usize, height: usize) -> Self {
        Self { width, height, data: vec![0.0; width * height] }
    }

    /// A straight stroke with round ends; `ends` are half-widths in px at both ends. The larger value stays.
    pub(crate) fn stroke(&mut self, a: Px, b: Px, ends: [f64; 2], value: f32) {
        if !(a[0] + a[1] + b[0] + b[1]).is_finite() {
            return;
        }
        let piece = Piece { a, b, strength: value };
        let most = ends[0].max(ends[1]);
        let reach = most + 1.0;
        let low = (a[1].min(b[1]) - reach).floor().max(0.0);
        let high = (a[1].max(b[1]) + reach).ceil().min(self.height as f64 - 1.0);
        if low > high {
            return;
        }
        for y in low as usize..=high as usize {
            let Some((from, to)) = piece.columns(y as f64, reach, self.width) else { continue };
            let row = &mut self.data[y * self.width..(y + 1) * self.width];
            for (x, v) in row.iter_mut().enumerate().take(to + 1).skip(from) {
                let (d, t) = piece.distance(x as f64, y as f64);
                let half = ends[0] + (ends[1] - ends[0]) * t;
                // A line narrower than a pixel is fainter, not narrower.
                let most = (2.0 * half).min(1.0);
                let share = ((half.max(0.5) + 0.5 - d).clamp(0.0, 1.0) * most) as f32;
                let new = share * value;
                if new.abs() > v.abs() {
                    *v = new;
                }
            }
        }
    }

    /// A line through points, tapering at both ends when asked.
    pub(crate) fn line(&mut self, points: &[Px], half: f64, taper: bool, value: f32) {
        let n = points.len().max(2) - 1;
        let at = |i: usize| {
            let t = i as f64 / n as f64;
            if taper { half * (0.25 + 0.75 * (4.0 * t * (1.0 - t)).sqrt()) } else { half }
        };
        for (i, w) in points.windows(2).enumerate() {
            self.stroke(w[0], w[1], [at(i), at(i + 1)], value);
        }
    }

    /// A word, its lower left corner and its letter height by a mapping from letter space (x right, y up, height 1).
    pub(crate) fn write(
        &mut self,
        word: &str,
        place: impl Fn(f64, f64) -> Px,
        half: f64,
        value: f32,
    ) {
        let mut x0 = 0.0;
        for letter in word.chars() {
            for line in strokes(letter) {
                let points: Vec<Px> =
                    rounded(line).iter().map(|&(x, y)| place(x0 + x, y)).collect();
                self.line(&points, half, false, value);
            }
            x0 += if letter == 'm' { 0.95 } else { 0.72 };
        }
    }
}

/// A pen's way through its points, in curves where it has many.
fn rounded(line: Pen) -> Vec<(f64, f64)> {
    if line.len() < 5 {
        return line.to_vec();
    }
    let closed = line.first() == line.last();
    let n = line.len() as isize;
    let at = |i: isize| {
        let i = if closed { i.rem_euclid(n - 1) } else { i.clamp(0, n - 1) };
        line[i as usize]
    };
    let mut out = Vec::new();
    for i in 0..n - 1 {
        let (a, b, c, d) = (at(i - 1), at(i), at(i + 1), at(i + 2));
        for k in 0..6 {
            let t = f64::from(k) / 6.0;
            let curve = |a: f64, b: f64, c: f64, d: f64| {
                0.5 * (2.0 * b
                    + (c - a) * t
                    + (2.0 * a - 5.0 * b + 4.0 * c - d) * t * t
                    + (3.0 * b - a - 3.0 * c + d) * t * t * t)
            };
            out.push((curve(a.0, b.0, c.0, d.0), curve(a.1, b.1, c.1, d.1)));
        }
    }
    out.push(at(n - 1));
    out
}

type Pen = &'static [(f64, f64)];

/// A plain engraved alphabet: digits and 'm'.
fn strokes(letter: char) -> &'static [Pen] {
    match letter {
        '0' => &[&[
            (0.25, 0.0),
            (0.05, 0.2),
            (0.05, 0.8),
            (0.25, 1.0),
            (0.45, 0.8),
            (0.45, 0.2),
            (0.25, 0.0),
        ]],
        '1' => &[&[(0.08, 0.78), (0.28, 1.0), (0.28, 0.0)]],
        '2' => &[&[(0.05, 0.8), (0.2, 1.0), (0.4, 0.95), (0.45, 0.7), (0.05, 0.0), (0.48, 0.0)]],
        '3' => &[&[
            (0.05, 0.9),
            (0.25, 1.0),
            (0.45, 0.8),
            (0.38, 0.58),
            (0.2, 0.53),
            (0.45, 0.4),
            (0.45, 0.15),
            (0.25, 0.0),
            (0.03, 0.12),
        ]],
        '4' => &[&[(0.38, 0.0), (0.38, 1.0), (0.02, 0.3), (0.5, 0.3)]],
        '5' => &[&[
            (0.45, 1.0),
            (0.1, 1.0),
            (0.07, 0.55),
            (0.3, 0.6),
            (0.46, 0.4),
            (0.42, 0.12),
            (0.2, 0.0),
            (0.03, 0.1),
        ]],
        '6' => &[&[
            (0.4, 1.0),
            (0.15, 0.7),
            (0.05, 0.3),
            (0.2, 0.0),
            (0.42, 0.1),
            (0.44, 0.4),
            (0.28, 0.52),
            (0.07, 0.4),
        ]],
        '7' => &[&[(0.03, 1.0), (0.47, 1.0), (0.2, 0.0)]],
        '8' => &[&[
            (0.25, 0.54),
            (0.07, 0.75),
            (0.25, 1.0),
            (0.43, 0.75),
            (0.25, 0.54),
            (0.04, 0.25),
            (0.25, 0.0),
            (0.46, 0.25),
            (0.25, 0.54),
        ]],
        '9' => &[&[
            (0.1, 0.0),
            (0.35, 0.3),
            (0.45, 0.7),
            (0.3, 1.0),
            (0.08, 0.9),
            (0.06, 0.6),
            (0.22, 0.48),
            (0.43, 0.6),
        ]],
        'm' => &[
            &[(0.05, 0.0), (0.05, 0.65)],
            &[(0.05, 0.5), (0.2, 0.66), (0.36, 0.58), (0.4, 0.0)],
            &[(0.4, 0.5), (0.55, 0.66), (0.71, 0.58), (0.75, 0.0)],
        ],
        _ => &[],
    }
}
