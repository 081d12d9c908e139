//! The shape of one fillet weld: how far it lies on the plates, how deep it goes, and where its finger points.
//!
//! ```text
//!            ┃● toe
//!            ┃ ╲            the shell: legs and depth on each plate
//!      ╭╴╴╴╴╴┃  ╲ face      the finger: along the beam, from the weld's heart inwards
//!      ╰╴╴╴╴╴╴━━━● toe      together, with a soft edge where they meet
//! ```
//!
//! The weld's own frame: corner at the origin, base along +x, millimetres and radians.
//! Plausible shapes, not physics: nothing here says which setting makes which shape.
//!
//! Made for dihedral angles of 60 to 120 degrees. Wild numbers make a wild outline, which
//! [`check`](weld::section::outline::check) refuses.

use std::f64::consts::{FRAC_PI_2, PI};
use weld::section::Point;

/// Waves of an outline.
const WAVES: usize = 7;

/// How uneven an outline is: a few slow waves, 0 at both ends.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Uneven {
    /// Number and height, mm.
    terms: [(f64, f64); WAVES],
}

impl Uneven {
    /// Waves of about `size` mm; `one` gives a number from -1 to 1 for each.
    pub fn of(size: f64, mut one: impl FnMut() -> f64) -> Self {
        let mut terms = [(0.0, 0.0); WAVES];
        for (k, term) in (2_u32..).zip(&mut terms) {
            *term = (f64::from(k), size * one() / f64::from(k).sqrt());
        }
        Self { terms }
    }

    /// At a share of the way, 0 to 1.
    pub(crate) fn at(&self, t: f64) -> f64 {
        self.terms.iter().map(|(k, a)| a * (PI * k * t).sin()).sum()
    }
}

/// One fillet weld.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fillet {
    /// Between the plates, on the weld's side.
    pub angle: f64,
    /// From the corner to the toe on the base.
    pub base_leg: f64,
    /// The same on the upright.
    pub upright_leg: f64,
    /// Depth of the shell in the base.
    pub in_base: f64,
    /// Depth of the shell in the upright.
    pub in_upright: f64,
    /// How far the shell goes past the corner.
    pub root: f64,
    /// The corner is not fused: where that ends on the upright and on the base, and its sag as a share.
    pub unfused: Option<[f64; 3]>,
    /// The beam, from the base.
    pub torch: f64,
    /// How far the finger reaches past the corner's distance from the heart.
    pub finger: f64,
    /// Half of its width.
    pub half_width: f64,
    /// How blunt its tip is: 2 is an ellipse.
    pub blunt: f64,
    /// How uneven the fusion line is.
    pub uneven: Uneven,
    /// Height of the face over the toe-to-toe line, share of its length; hollow: negative.
    pub bulge: f64,
    /// How far that leans to one toe, -1 to 1.
    pub lopsided: f64,
    /// An undercut beside the upright's toe: width and depth.
    pub undercut: Option<(f64, f64)>,
    /// Metal that lies on the base unfused: how far, and its radius.
    pub lip: Option<(f64, f64)>,
}

impl Fillet {
    /// Its outline, counter-clockwise from the toe on the base.
    #[must_use]
    pub fn outline(&self) -> Vec<Point> {
        let up = Point::new(self.angle.cos(), self.angle.sin());
        let into = up.left();
        let open = self.unfused.is_some();

        let toe_base = Point::new(self.base_leg, 0.0);
        let toe_up = up * self.upright_leg;
        let depth_at = |share: f64| {
            (
                Point::new(share * self.base_leg, -self.in_base * hump(share)),
                up * (share * self.upright_leg) + into * (self.in_upright * hump(share)),
            )
        };
        let middle = if open { 0.36 } else { 0.2 };
        let heart =
            Point::new(1.0, 0.0) * (middle * self.base_leg) + up * (middle * self.upright_leg);
        let mut knots = vec![toe_up];
        knots.extend([0.9, 0.75, 0.5].map(|s| depth_at(s).1));
        if let Some([a, b, sag]) = self.unfused {
            let chord = (up * a, Point::new(b, 0.0));
            let sag = heart * sag;
            knots.extend([
                up * (1.5 * a) + into * (0.35 * self.in_upright),
                chord.0,
                chord.0.towards(chord.1, 0.5) + sag,
                chord.1,
            ]);
            knots.push(Point::new(1.5 * b, -0.35 * self.in_base));
        } else {
            knots.push(depth_at(0.25).1);
            let back = (into - Point::new(0.0, 1.0)).unit().unwrap_or(into);
            knots.push(back * self.root + into * 0.1);
            knots.push(depth_at(0.25).0);
        }
        knots.extend([0.5, 0.75, 0.9].map(|s| depth_at(s).0));
        knots.push(toe_base);

        // Finger along the beam.
        let beam = Point::new(-self.torch.cos(), -self.torch.sin());
        let (deep, half, power) = (heart.norm() + self.finger, self.half_width, self.blunt);

        let line = smooth(&knots, 24);
        let mut polar: Vec<(f64, f64)> = Vec::with_capacity(line.len());
        let mut last = f64::NEG_INFINITY;
        for p in &line {
            let d = *p - heart;
            let mut a = d.y.atan2(d.x);
            while a < last - PI {
                a += 2.0 * PI;
            }
            if a > last {
                polar.push((a, d.norm()));
                last = a;
            }
        }
        let (first, end) = (polar[0].0, last);
        const N: usize = 220;
        let mut k = 0;
        let mut fusion: Vec<Point> = Vec::with_capacity(N + 1);
        for i in 0..=N {
            let share = i as f64 / N as f64;
            let a = first + (end - first) * share;
            while k + 2 < polar.len() && polar[k + 1].0 < a {
                k += 1;
            }
            let (p, q) = (polar[k], polar[(k + 1).min(polar.len() - 1)]);
            let t = if q.0 > p.0 { ((a - p.0) / (q.0 - p.0)).clamp(0.0, 1.0) } else { 0.0 };
            let shell = p.1 + (q.1 - p.1) * t;
            let way = Point::new(a.cos(), a.sin());
            let (along, across) = (way.dot(beam), way.cross(beam).abs());
            let window = (8.0 * share.min(1.0 - share)).min(1.0);
            let finger = if open || along <= 0.0 {
                0.0
            } else {
                window
                    * ((along / deep).powf(power) + (across / half).powf(power)).powf(-1.0 / power)
            };
            let r = (shell.powi(8) + finger.powi(8)).powf(0.125);
            let r = if open { r } else { r + window * self.uneven.at(share) };
            fusion.push(heart + way * r.max(0.05));
        }

        // The face, from the base toe (or its lip) to the upright toe (or its groove).
        let mut out = vec![toe_base];
        let mut start = toe_base;
        if let Some((far, r)) = self.lip {
            let low = 0.04;
            out.push(Point::new(self.base_leg + 0.3 * far, low));
            let centre = Point::new(self.base_leg + far, low + r);
            out.extend((0..=16).map(|i| {
                let a = -FRAC_PI_2 + PI * f64::from(i) / 16.0 * 0.8;
                centre + Point::new(a.cos(), a.sin()) * r
            }));
            start = out[out.len() - 1];
        }
        let end = self.undercut.map_or(toe_up, |(w, _)| up * (self.upright_leg - w));
        let chord = end - start;
        let off = chord.left().unit().unwrap_or(up) * -1.0;
        let bulge = chord.norm() * self.bulge;
        const FACE: usize = 70;
        for i in 1..FACE {
            let t = i as f64 / FACE as f64;
            out.push(
                start.towards(end, t)
                    + off * (4.0 * bulge * t * (1.0 - t) * (1.0 + self.lopsided * (2.0 * t - 1.0))),
            );
        }
        if let Some((w, d)) = self.undercut {
            out.push(end);
            out.extend((1..16).map(|i| {
                let t = f64::from(i) / 16.0;
                up * (self.upright_leg - w + w * t) + into * (d * (PI * t).sin())
            }));
        }
        out.extend_from_slice(&fusion[..N]);
        out
    }
}

/// Depth of fusion over the leg: 0 at the toe, 1 around the middle.
fn hump(share: f64) -> f64 {
    (1.0 - share.powi(4)).max(0.0) * (0.75 + 0.25 * (1.0 - share))
}

/// A curve through all knots (centripetal would be safer, uniform is enough for knots this even).
fn smooth(knots: &[Point], pieces: usize) -> Vec<Point> {
    let n = knots.len();
    let at = |i: isize| knots[i.clamp(0, n as isize - 1) as usize];
    let mut out = Vec::with_capacity(n * pieces);
    for i in 0..n.saturating_sub(1) {
        let i = i as isize;
        let (a, b, c, d) = (at(i - 1), at(i), at(i + 1), at(i + 2));
        for k in 0..pieces {
            let t = k as f64 / pieces as f64;
            let (t2, t3) = (t * t, t * t * t);
            out.push(
                (b * 2.0
                    + (c - a) * t
                    + (a * 2.0 - b * 5.0 + c * 4.0 - d) * t2
                    + (b * 3.0 - a - c * 3.0 + d) * t3)
                    * 0.5,
            );
        }
    }
    out.push(at(n as isize - 1));
    out
}
