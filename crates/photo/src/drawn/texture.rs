//! Noise and grain as functions of a place: same place and seed, same value, on any thread.

/// A well-mixed number for a lattice point.
#[inline]
pub(crate) fn hash(ix: i32, iy: i32, seed: u32) -> u32 {
    let mut h =
        (ix as u32).wrapping_mul(0x9E37_79B1) ^ (iy as u32).wrapping_mul(0x85EB_CA77) ^ seed;
    h ^= h >> 15;
    h = h.wrapping_mul(0x2C1B_3C6D);
    h ^= h >> 13;
    h = h.wrapping_mul(0x297A_2D39);
    h ^ (h >> 16)
}

/// The top 24 bits as 0 to 1.
pub(crate) fn unit(h: u32) -> f32 {
    (h >> 8) as f32 * (1.0 / 16_777_216.0)
}

/// A second number from one.
pub(crate) fn again(h: u32) -> u32 {
    let h = h.wrapping_mul(0x9E37_79B1) ^ 0x5BD1_E995;
    (h ^ (h >> 14)).wrapping_mul(0xC2B2_AE35)
}

/// The lattice cell of a coordinate and the way into it; quicker than `floor` on plain hardware.
fn cell(v: f32) -> (i32, f32) {
    let whole = v as i32;
    let whole = if (whole as f32) > v { whole.wrapping_sub(1) } else { whole };
    (whole, v - whole as f32)
}

/// Smooth noise, -1 to 1, one lump a unit.
#[inline]
pub(crate) fn noise(x: f32, y: f32, seed: u32) -> f32 {
    let ((ix, u), (iy, v)) = (cell(x), cell(y));
    let (u, v) = (u * u * (3.0 - 2.0 * u), v * v * (3.0 - 2.0 * v));
    let at = |i: i32, j: i32| unit(hash(ix.wrapping_add(i), iy.wrapping_add(j), seed));
    let top = at(0, 0) + (at(1, 0) - at(0, 0)) * u;
    let low = at(0, 1) + (at(1, 1) - at(0, 1)) * u;
    2.0 * (top + (low - top) * v) - 1.0
}

/// Noise with finer and weaker noise on it.
pub(crate) fn rough(mut x: f32, mut y: f32, seed: u32, octaves: u32) -> f32 {
    let (mut sum, mut share, mut all) = (0.0, 1.0, 0.0);
    for octave in 0..octaves {
        sum += share * noise(x, y, seed.wrapping_add(octave * 0x51ED));
        all += share;
        share *= 0.55;
        // Turned a little each time, so that the lattice does not show.
        (x, y) = (1.62 * x + 1.18 * y + 7.3, 1.62 * y - 1.18 * x - 3.1);
    }
    sum / all
}

/// 0 to 1 between two places.
pub(crate) fn ramp(from: f32, to: f32, v: f32) -> f32 {
    let t = ((v - from) / (to - from)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// Share of a pixel on the positive side of an edge at distance `d` px: a blur of half-width `soft` px, point-symmetric
/// about the edge, so that half is on the edge.
pub(crate) fn cover(d: f32, soft: f32) -> f32 {
    let t = (0.5 + 0.5 * d / soft).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// One grain.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Grain {
    /// Its number.
    pub(crate) id: u32,
    /// Distance to its boundary, in cells.
    pub(crate) rim: f32,
    /// A number of the boundary, the same from both sides.
    pub(crate) between: u32,
}

/// The grain of a Voronoi tessellation of a jittered grid that holds a place, coordinates in cells.
pub(crate) fn grain(x: f32, y: f32, seed: u32) -> Grain {
    let ((ix, u), (iy, v)) = (cell(x), cell(y));
    let mut first = (f32::INFINITY, 0_u32, 0.0, 0.0);
    let mut second = first;
    for j in -1..=1 {
        for i in -1..=1 {
            let h = hash(ix.wrapping_add(i), iy.wrapping_add(j), seed);
            let px = i as f32 + 0.06 + 0.88 * (h & 0xFFFF) as f32 / 65_535.0 - u;
            let py = j as f32 + 0.06 + 0.88 * (h >> 16) as f32 / 65_535.0 - v;
            let d = px * px + py * py;
            if d < first.0 {
                second = first;
                first = (d, h, px, py);
            } else if d < second.0 {
                second = (d, h, px, py);
            }
        }
    }
    let apart = (first.2 - second.2).hypot(first.3 - second.3).max(1e-6);
    Grain {
        id: again(first.1),
        rim: 0.5 * (second.0 - first.0) / apart,
        between: again(first.1 ^ second.1),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_edge_covers_half_of_a_pixel_it_halves() {
        assert_eq!(cover(0.0, 1.0), 0.5);
        for d in [0.1, 0.4, 0.9] {
            assert!((cover(d, 1.0) + cover(-d, 1.0) - 1.0).abs() < 1e-6);
        }
    }

    #[test]
    fn a_boundary_is_the_same_from_both_sides() {
        let (mut found, mut same) = (0, 0);
        for i in 0..4000 {
            let (a, b) = (grain(i as f32 * 0.01, 0.3, 5), grain(i as f32 * 0.01 + 0.01, 0.3, 5));
            if a.id != b.id && a.rim < 0.02 && b.rim < 0.02 {
                found += 1;
                same += usize::from(a.between == b.between);
            }
        }
        // Where three grains meet, the two nearest may be another pair.
        assert!(found > 5 && same * 10 >= found * 9, "{same} of {found}");
    }
}
