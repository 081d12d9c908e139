//! Is a plate's surface seen where it was marked?
//!
//! ```text
//!        mount      · · · · · · · ·          each strip is as long as it is told from noise,
//!      ─────────────●──────────────  marked  and lies clear of the line on its own side
//!        metal      · · · · · · · ·
//! ```
//!
//! At each marked point lightness is averaged over a strip on either side of the marked line and along it. Where the sides
//! are alike and no dark line lies between them, nothing is seen there: the point was set in the mount, or in the metal.
//! It is asked about, never refused: a surface may be worn away, or lie under a bright mount.
//!
//! Measured on drawn pictures (`tests/it/surface.rs`): asked about at 6 of 430 points set right with a hand's shake, at 105
//! of 108 set 1.5 mm into the metal and at 104 of 108 set 1.5 mm into a dark mount.
//! Not covered: the joint line, which a weld melts; a mount as bright as the metal without a gap between them.

use crate::marks::Px;
use crate::pyramid::{Pyramid, level_from_picture};

/// Half the length of a strip, and how near and how far from the line it begins and ends, pixels of the level looked at.
const ALONG: i32 = 12;
const NEAR: i32 = 4;
const FAR: i32 = 11;
/// The picture is looked at on the level where its longer side is at most so many pixels.
const LONGEST: f64 = 1500.0;
/// Sides that differ by less than this share of the metal's lightness are alike. Common practice; see the test.
const ALIKE: f64 = 0.10;
/// Darker than this share of the metal's lightness is the mount.
const MOUNT: f64 = 0.35;

/// What lies at a marked point where no surface is seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Instead {
    /// Dark on both sides.
    Mount,
    /// Metal, or what is as bright, on both sides.
    Metal,
}

/// The marked points of a face where no surface is seen, each with what lies there instead.
#[must_use]
pub fn unseen(pyramid: &Pyramid, points: &[Px]) -> Vec<(Px, Instead)> {
    let (Some(first), Some(last)) = (points.first(), points.last()) else { return Vec::new() };
    let (dx, dy) = (last[0] - first[0], last[1] - first[1]);
    let long = dx.hypot(dy);
    if !(long.is_finite() && long > 1.0) {
        return Vec::new();
    }
    let level = pyramid.level_within(LONGEST);
    let (along, across) = ([dx / long, dy / long], [-dy / long, dx / long]);
    let usual = usual(pyramid);
    points
        .iter()
        .filter_map(|&p| {
            let q = level_from_picture(level, p);
            // The mean along the line, so many level pixels beside it.
            let beside = |s: i32| {
                let light = (-ALONG..=ALONG).map(|t| {
                    let (t, s) = (f64::from(t), f64::from(s));
                    let (x, y) =
                        (q[0] + t * along[0] + s * across[0], q[1] + t * along[1] + s * across[1]);
                    pyramid.level(level).sample(x, y)
                });
                light.sum::<f64>() / f64::from(2 * ALONG + 1)
            };
            let strip = |sign: i32| {
                (NEAR..=FAR).map(|s| beside(sign * s)).sum::<f64>() / f64::from(FAR - NEAR + 1)
            };
            let (a, b) = (strip(1), strip(-1));
            let dark = (-NEAR..=NEAR).map(beside).fold(f64::INFINITY, f64::min);
            let change = (a - b).abs().max(a.min(b) - dark);
            if change >= ALIKE * usual {
                return None;
            }
            Some((p, if a.max(b) < MOUNT * usual { Instead::Mount } else { Instead::Metal }))
        })
        .collect()
}

/// The lightness of bright metal: what nine places in ten of the picture do not pass.
pub(crate) fn usual(pyramid: &Pyramid) -> f64 {
    let plane = pyramid.level(pyramid.levels() - 1);
    let mut light: Vec<u16> = plane.px.clone();
    light.sort_unstable();
    light.get(light.len() * 9 / 10).copied().map_or(0.0, |v| f64::from(v) / 65535.0)
}
