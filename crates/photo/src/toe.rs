//! Finds the toe that a guided path cut off: where the weld's face comes down to the plate.
//!
//! ```text
//!        face ╲
//!              ╲_     h(s): height of the metal's edge over the plate's surface
//!   ────────●────╲●─────── surface      ● where the traced outline crosses, ● the toe
//!            s ──>
//! ```
//!
//! Between a toe's thin wedge and the way across it, a least-cost path takes the shorter one. The plate's surface is
//! marked, so from the place where the outline crosses it the metal's edge towards the air is followed outward: while it
//! stands off the surface there is weld metal, and the toe is where it comes down, taken from the straight line through the
//! last stretch. The toe of a hollow face is where the edge, below the surface, comes up to it. The toe then becomes one more
//! set point.
//!
//! Guarantees: where the outline already crosses at the toe, nothing is found; never further than it is allowed to look.
//! Not covered: overlap (metal that hangs over the plate ends at no toe), a mount as light as the metal.

use crate::marks::Px;
use crate::pyramid::Plane;

/// The metal's edge stands off the surface when it is higher than this, pixels.
const STANDS_OFF: f64 = 3.0;
/// It has come down when it is lower than this, pixels.
const CAME_DOWN: f64 = 1.5;
/// Metal and mount must differ by this share of full lightness.
const LEAST_CONTRAST: f64 = 0.06;

/// The surroundings of a place on the plate's surface: s along the surface, h off it.
struct Surface<'a> {
    plane: &'a Plane,
    from: Px,
    along: Px,
    off: Px,
}

impl Surface<'_> {
    fn at(&self, s: f64, h: f64) -> Px {
        [0, 1].map(|k| self.from[k] + s * self.along[k] + h * self.off[k])
    }

    /// Lightness, averaged a little along the surface against noise.
    fn light(&self, s: f64, h: f64) -> f64 {
        let each = (-1..=1).map(|k| {
            let p = self.at(s + f64::from(k), h);
            self.plane.sample(p[0], p[1])
        });
        each.sum::<f64>() / 3.0
    }
}

/// Looks for the toe from `from`, a point on the plate's surface, `along` it (a unit step outward), with `off` the unit
/// step into the air, over at most `reach` pixels.
#[must_use]
pub fn find(plane: &Plane, from: Px, along: Px, off: Px, reach: f64) -> Option<Px> {
    let surface = Surface { plane, from, along, off };
    let (at, light) = (|s, h| surface.at(s, h), |s, h| surface.light(s, h));
    let high = reach.clamp(12.0, 400.0);
    let edge = |s: f64| -> Option<f64> {
        let metal = (3..=8).map(|k| light(s, -f64::from(k))).sum::<f64>() / 6.0;
        let mount = (0..6).map(|k| light(s, high + 6.0 + f64::from(k))).sum::<f64>() / 6.0;
        if (metal - mount).abs() < LEAST_CONTRAST {
            return None;
        }
        let half = 0.5 * (metal + mount);
        let inside = |v: f64| (v - half) * (metal - half) > 0.0;
        let mut before = light(s, -3.0);
        let mut h = -2.5;
        while h < high {
            let v = light(s, h);
            if !inside(v) {
                let t = if v == before { 0.0 } else { (half - before) / (v - before) };
                return Some(h - 0.5 + 0.5 * t.clamp(0.0, 1.0));
            }
            before = v;
            h += 0.5;
        }
        None
    };
    let start = edge(0.0)?;
    if start < STANDS_OFF {
        return None;
    }
    let mut slope: Vec<(f64, f64)> = Vec::new();
    let mut low = 0;
    let mut s = 0.0;
    while s < reach {
        s += 1.0;
        let h = edge(s)?;
        if h <= CAME_DOWN {
            low += 1;
            if low == 3 {
                break;
            }
            continue;
        }
        low = 0;
        slope.push((s, h));
    }
    if low < 3 {
        return None;
    }
    let down = s - 2.0;
    // The straight line through the last stretch in which the edge stands off, where it meets the surface.
    let last: Vec<(f64, f64)> =
        slope.iter().rev().take_while(|p| p.1 < 14.0).take(10).copied().collect();
    let toe = meets_zero(&last).filter(|t| (t - down).abs() < 8.0).unwrap_or(down);
    Some(at(toe, 0.0))
}

/// Looks for the toe of a hollow face, as [`find`] does: from `from` outward the metal's edge lies below the surface, and the
/// toe is where it comes up to it.
#[must_use]
pub fn find_below(plane: &Plane, from: Px, along: Px, off: Px, reach: f64) -> Option<Px> {
    let surface = Surface { plane, from, along, off };
    let light = |s, h| surface.light(s, h);
    let mean = |s: f64, h: std::ops::Range<i32>| {
        let n = f64::from(h.end - h.start);
        h.map(|k| light(s, f64::from(k))).sum::<f64>() / n
    };
    // Beyond the weld the plate's own metal lies right below the surface.
    let metal = mean(reach + 8.0, -8..-2);
    let deep = reach.clamp(8.0, 60.0);
    let edge = |s: f64| -> Option<f64> {
        let mount = mean(s, 5..11);
        if (metal - mount).abs() < LEAST_CONTRAST {
            return None;
        }
        let half = 0.5 * (metal + mount);
        let mut h = 3.0;
        while h > -deep {
            if (light(s, h) - half) * (metal - half) > 0.0 {
                return Some(h);
            }
            h -= 0.5;
        }
        None
    };
    let mut s = 0.0;
    if edge(s)? > -STANDS_OFF {
        return None;
    }
    let mut up = 0;
    while s < reach {
        s += 1.0;
        up = if edge(s)? > -CAME_DOWN { up + 1 } else { 0 };
        if up == 3 {
            return Some(surface.at(s - 2.5, 0.0));
        }
    }
    None
}

/// Where the least-squares line through (s, h) reaches h = 0.
fn meets_zero(points: &[(f64, f64)]) -> Option<f64> {
    let n = points.len() as f64;
    if points.len() < 4 {
        return None;
    }
    let (ms, mh) = points.iter().fold((0.0, 0.0), |(a, b), p| (a + p.0 / n, b + p.1 / n));
    let (mut ss, mut sh) = (0.0, 0.0);
    for p in points {
        ss += (p.0 - ms) * (p.0 - ms);
        sh += (p.0 - ms) * (p.1 - mh);
    }
    let slope = sh / ss;
    (slope < -0.05).then(|| ms - mh / slope)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Metal below row 100, and a wedge on it that comes down from 30 px at column 50 to the surface at column 110.
    fn wedge() -> Plane {
        let (width, height) = (200, 200);
        let mut px = vec![3000u16; width * height];
        for y in 0..height {
            for x in 0..width {
                let top = 100.0 - (30.0 * (110.0 - x as f64) / 60.0).clamp(0.0, 40.0);
                // Covered by area, so that the edge lies between pixels.
                let share = (y as f64 + 0.5 - top).clamp(0.0, 1.0);
                px[y * width + x] = (3000.0 + share * 37_000.0) as u16;
            }
        }
        Plane { width, height, px }
    }

    /// From column 70 outward the toe is found at column 110, within a pixel: the slope is 1 in 2, the edge is read to half a
    /// pixel, and the surface lies at row 99.5 between the last mount row and the first metal row.
    #[test]
    fn a_cut_off_toe_is_found() {
        let toe = find(&wedge(), [70.0, 99.5], [1.0, 0.0], [0.0, -1.0], 80.0).unwrap();
        assert!((toe[0] - 110.0).abs() < 1.5, "{toe:?}");
    }

    #[test]
    fn at_the_toe_there_is_nothing_to_find() {
        assert_eq!(find(&wedge(), [112.0, 99.5], [1.0, 0.0], [0.0, -1.0], 60.0), None);
    }
}
