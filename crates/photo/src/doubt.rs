//! What might as well have been: one Monte Carlo draw of marks, camera and scale.
//!
//! ```text
//!   scale          x (1 + u z)                                  common to every photo of that scale
//!   plane          x (1 + d)                                    scale and section not in one plane
//!   square         a tilted camera: foreshortening and keystone
//!   lens           barrel or pincushion, growing with the square of the distance from the middle
//!   corners        each marked corner + N(0, u)                 straightening
//!   plates         each marked point + N(0, u)                  plate surfaces and joint line
//!   fusion line    one shift for the whole zone, normal         which side of a dark line is the boundary
//!   way            as often as it is likely, another way        where the path is in doubt
//!   outline        a smooth random shift along the normal       where the line runs, point by point
//!   rounding       one shift of the face, rectangular           polish rounds the edge towards air
//! ```
//!
//! The smooth shift is a sum of 32 cosine modes round the outline with a Gaussian spectrum; its correlation length is the
//! larger of 10 pixels and the spacing over which the outline was set by hand. An outline is looked at in at most 256
//! points, corners kept.
//!
//! Defaults by how the photo was taken (all: half-widths of rectangular doubts; common practice, no source):
//!
//! | | hand | stand | microscope |
//! |---|---|---|---|
//! | out of square | 12 degrees | 2 degrees | 0 |
//! | lens, at the frame's corner | 1.5 % | 0.3 % | 0.1 % |
//! | scale out of the section's plane | 0.5 % | 0.2 % | 0 |
//! | polish rounding | 0 | 0 | 0 |
//!
//! Polish rounding (0.05 to 0.1 mm on an unmounted section) is taken when it is stated.
//!
//! Source: [`JCGM_101`](weld::source::JCGM_101).
//! Not covered: the reader's own habit, which only a second reader shows; a lens that is not round.

use crate::lay::LinePx;
use crate::marks::{Held, PlateMarks, Px, Taken};
use crate::scale::ScaleMark;
use crate::straighten::{Corners, Straightened, solve};
use rand::Rng;
use rand_chacha::ChaCha8Rng;

/// How closely a hand sets a point on a plate surface, standard uncertainty in pixels for x and y. Common practice.
pub const PLATE_POINT_PX: f64 = 1.0;
/// How closely a hand sets the corner of a rectangle, standard uncertainty in pixels for x and y. Common practice.
pub const CORNER_POINT_PX: f64 = 1.0;
/// Points in which an outline is looked at in a draw.
pub const DRAW_POINTS: usize = 256;
/// Shortest length over which the outline's shift is the same, pixels.
pub const SHORTEST_CORRELATION_PX: f64 = 10.0;
/// Distance of the camera in longer sides of the picture, for the keystone of a tilted one: a close-up at three.
const CAMERA_DISTANCE: f64 = 3.0;
/// How often a draw takes another way than the likeliest at most, however many there are.
const MOST_WAYS: f64 = 0.5;
/// Cosine modes of the smooth shift.
const MODES: usize = 32;

/// A named contribution to the uncertainty.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Contribution {
    /// Millimetres per pixel.
    Scale,
    /// Scale and section not in one plane.
    Plane,
    /// A camera out of square.
    Square,
    /// The lens.
    Lens,
    /// The marked corners of a rectangle.
    Straightening,
    /// Plate surfaces and joint line.
    Plates,
    /// Which side of the dark line is the boundary, and how surely the line is placed as a whole.
    FusionLine,
    /// Where the line runs.
    Outline,
    /// Which of several ways the line takes.
    Way,
    /// Edges rounded by polishing.
    Rounding,
}

impl Contribution {
    /// All of them.
    pub const ALL: [Self; 10] = [
        Self::Scale,
        Self::Plane,
        Self::Square,
        Self::Lens,
        Self::Straightening,
        Self::Plates,
        Self::FusionLine,
        Self::Outline,
        Self::Way,
        Self::Rounding,
    ];

    /// The words for it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Scale => "scale",
            Self::Plane => "scale and section not in one plane",
            Self::Square => "camera out of square",
            Self::Lens => "lens",
            Self::Straightening => "straightening",
            Self::Plates => "plate and joint lines",
            Self::FusionLine => "width of the fusion line",
            Self::Outline => "run of the outline",
            Self::Way => "which way the outline runs",
            Self::Rounding => "polish rounding",
        }
    }
}

/// How the picture's geometry may be wrong: half-widths of rectangular doubts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Geometry {
    /// Out of square, radians.
    pub square: f64,
    /// Lens, share at the frame's corner.
    pub lens: f64,
    /// Scale out of the section's plane, share.
    pub plane: f64,
    /// Polish rounding, mm.
    pub rounding_mm: f64,
}

impl Geometry {
    /// What was stated, and for the rest the defaults of how the photo was taken.
    #[must_use]
    pub fn of(taken: &Taken, held: Held) -> Self {
        let (square, lens, plane) = match held {
            Held::Hand => (12.0, 0.015, 0.005),
            Held::Stand => (2.0, 0.003, 0.002),
            Held::Microscope => (0.0, 0.001, 0.0),
        };
        Self {
            square: taken.square_within_deg.unwrap_or(square).to_radians(),
            lens: taken.lens_within.unwrap_or(lens),
            plane: taken.plane_within.unwrap_or(plane),
            rounding_mm: taken.rounded_within_mm.unwrap_or(0.0),
        }
    }
}

/// A line prepared for drawing.
#[derive(Clone, Debug)]
pub struct Loose {
    line: LinePx,
    normals: Vec<Px>,
    /// Standard uncertainty of each point, pixels.
    u: Vec<f64>,
    /// Does the whole-zone shift apply here? Not to the face, which is a step and no dark line.
    in_metal: Vec<bool>,
    /// Standard uncertainty of the whole-zone shift, pixels.
    placed_u: f64,
    /// Cosine and sine of each mode at each point, weighted; point-major.
    modes: Vec<[f64; 2]>,
    /// Other ways the line may run, each with how likely it is beside this one.
    others: Vec<(f64, Self)>,
}

/// What is needed to loosen a line.
#[derive(Clone, Debug)]
pub struct Doubt<'a> {
    /// Standard uncertainty of each point, pixels.
    pub u_px: &'a [f64],
    /// Does the face border air here?
    pub at_mount: &'a [bool],
    /// Points to keep.
    pub corners: &'a [usize],
    /// How surely the line in metal is placed as a whole, standard uncertainty, pixels.
    pub placed_u_px: f64,
    /// Length over which the shift is the same, pixels.
    pub correlation_px: f64,
}

impl Loose {
    /// Prepares a line: thins it, finds normals, tabulates modes.
    #[must_use]
    pub fn new(line: &LinePx, doubt: &Doubt<'_>) -> Self {
        let closed = line.kind.is_closed();
        let keep = thin(&line.px, doubt.corners, closed);
        let px: Vec<Px> = keep.iter().map(|&i| line.px[i]).collect();
        let n = px.len();
        let at = |i: isize| -> Px {
            let i = if closed { i.rem_euclid(n as isize) } else { i.clamp(0, n as isize - 1) };
            px[i as usize]
        };
        let mut along = Vec::with_capacity(n);
        let mut total = 0.0;
        let mut normals = Vec::with_capacity(n);
        for i in 0..n as isize {
            along.push(total);
            let (a, b, c) = (at(i - 1), at(i), at(i + 1));
            total += (c[0] - b[0]).hypot(c[1] - b[1]);
            let unit = |p: Px, q: Px| {
                let d = [q[0] - p[0], q[1] - p[1]];
                let l = d[0].hypot(d[1]);
                if l > 0.0 { [d[0] / l, d[1] / l] } else { [0.0, 0.0] }
            };
            let (before, after) = (unit(a, b), unit(b, c));
            let t = [before[0] + after[0], before[1] + after[1]];
            let l = t[0].hypot(t[1]);
            normals.push(if l > 1e-9 { [-t[1] / l, t[0] / l] } else { [-after[1], after[0]] });
        }
        let reach = doubt.correlation_px.max(SHORTEST_CORRELATION_PX) / total.max(1.0);
        let weight = |k: usize| {
            let w = std::f64::consts::TAU * k as f64 * reach;
            (-0.25 * w * w).exp() * if k == 0 { 0.5f64.sqrt() } else { 1.0 }
        };
        let norm: f64 = (0..MODES).map(|k| weight(k) * weight(k)).sum::<f64>().sqrt();
        let mut modes = Vec::with_capacity(n * MODES);
        for s in &along {
            for k in 0..MODES {
                let a = std::f64::consts::TAU * k as f64 * s / total.max(1e-9);
                let w = weight(k) / norm;
                modes.push([w * a.cos(), w * a.sin()]);
            }
        }
        let get = |list: &[f64], i: usize| list.get(i).copied().unwrap_or(0.0);
        Self {
            normals,
            u: keep.iter().map(|&i| get(doubt.u_px, i)).collect(),
            in_metal: keep
                .iter()
                .map(|&i| !doubt.at_mount.get(i).copied().unwrap_or(false))
                .collect(),
            placed_u: doubt.placed_u_px,
            modes,
            others: Vec::new(),
            line: LinePx { px, ..line.clone() },
        }
    }

    /// With other ways that the line may run, each with how likely it is beside this one.
    #[must_use]
    pub fn or(self, others: Vec<(f64, Self)>) -> Self {
        Self { others, ..self }
    }

    /// The line as it stands, in the points a draw looks at.
    #[must_use]
    pub fn as_it_stands(&self) -> &LinePx {
        &self.line
    }

    /// One draw of the line, on the photo.
    fn draw(
        &self,
        rng: &mut ChaCha8Rng,
        frozen: Option<Contribution>,
        rounding_px: f64,
    ) -> Vec<Px> {
        if !self.others.is_empty() {
            let all: f64 = self.others.iter().map(|(likely, _)| likely).sum();
            // Each as often as it is likely among all, this one included.
            let mut pick = rng.random::<f64>() * (1.0 + all).max(all / MOST_WAYS);
            for (likely, other) in &self.others {
                if pick < *likely && frozen != Some(Contribution::Way) {
                    return other.draw(rng, frozen, rounding_px);
                }
                pick -= likely;
            }
        }
        let on = |c: Contribution, shift: f64| if frozen == Some(c) { 0.0 } else { shift };
        // Of a rectangular half-width, the set points' mean and the line's wander, none of which is much the greatest: normal.
        let [z, _] = normals(rng);
        let shift = on(Contribution::FusionLine, self.placed_u * z);
        let face = on(Contribution::Rounding, rounding_px * (2.0 * rng.random::<f64>() - 1.0));
        let mut c = [[0.0; 2]; MODES];
        for pair in &mut c {
            *pair = normals(rng);
        }
        let runs = if frozen == Some(Contribution::Outline) { 0.0 } else { 1.0 };
        self.line
            .px
            .iter()
            .enumerate()
            .map(|(i, p)| {
                let modes = &self.modes[i * MODES..(i + 1) * MODES];
                let smooth: f64 =
                    modes.iter().zip(&c).map(|(m, c)| m[0] * c[0] + m[1] * c[1]).sum();
                let d = runs * smooth * self.u[i] + if self.in_metal[i] { shift } else { face };
                [p[0] + d * self.normals[i][0], p[1] + d * self.normals[i][1]]
            })
            .collect()
    }
}

/// Indices of at most [`DRAW_POINTS`] points, corners among them.
fn thin(px: &[Px], corners: &[usize], closed: bool) -> Vec<usize> {
    let n = px.len();
    if n <= DRAW_POINTS {
        return (0..n).collect();
    }
    let mut keep: Vec<usize> = (0..DRAW_POINTS).map(|k| k * n / DRAW_POINTS).collect();
    keep.extend(corners.iter().copied().filter(|&i| i < n));
    if !closed {
        keep.push(n - 1);
    }
    keep.sort_unstable();
    keep.dedup();
    keep
}

/// Two independent standard normal numbers (Box and Muller).
fn normals(rng: &mut ChaCha8Rng) -> [f64; 2] {
    let r = (-2.0 * (1.0 - rng.random::<f64>()).ln()).sqrt();
    let a = std::f64::consts::TAU * rng.random::<f64>();
    [r * a.cos(), r * a.sin()]
}

/// How the photo's plane may lie otherwise than thought.
#[derive(Clone, Copy, Debug)]
struct Warp {
    middle: Px,
    /// Half of the frame's diagonal, pixels.
    corner: f64,
    lens: f64,
    /// Sine and cosine of the tilt, and the direction it tilts in.
    sin: f64,
    cos: f64,
    towards: [f64; 2],
    /// Camera distance, pixels.
    distance: f64,
    straight: Option<Straightened>,
}

impl Warp {
    fn map(&self, p: Px) -> Px {
        let (mut x, mut y) = (p[0] - self.middle[0], p[1] - self.middle[1]);
        let r = (x * x + y * y) / (self.corner * self.corner);
        let stretch = 1.0 + self.lens * r;
        (x, y) = (x * stretch, y * stretch);
        if self.sin != 0.0 {
            // A plane tilted about the picture's middle: along the tilt a, across it b.
            let a = x * self.towards[0] + y * self.towards[1];
            let b = -x * self.towards[1] + y * self.towards[0];
            let along = a / (self.cos - a * self.sin / self.distance);
            let across = b * (1.0 + along * self.sin / self.distance);
            x = along * self.towards[0] - across * self.towards[1];
            y = along * self.towards[1] + across * self.towards[0];
        }
        let q = [x + self.middle[0], y + self.middle[1]];
        self.straight.map_or(q, |s| s.to_plane.map(q))
    }
}

/// Everything that a draw starts from.
#[derive(Clone, Debug)]
pub struct Start<'a> {
    /// The plates as marked, photo pixels.
    pub plates: &'a PlateMarks,
    /// The lines, prepared.
    pub lines: &'a [Loose],
    /// The scale marks, photo pixels, each with its share in the scale.
    pub scale: &'a [(ScaleMark, f64)],
    /// Relative standard uncertainty of the scale.
    pub scale_u: f64,
    /// The scale as it stands, mm a plane pixel.
    pub mm_per_px: f64,
    /// Corners of a rectangle.
    pub corners: Option<&'a Corners>,
    /// How the geometry may be wrong.
    pub geometry: Geometry,
    /// Columns and rows of the photo.
    pub size: [f64; 2],
}

/// One draw, in plane pixels.
#[derive(Clone, Debug)]
pub struct Drawn {
    /// The plates.
    pub plates: PlateMarks,
    /// The lines.
    pub lines: Vec<LinePx>,
    /// The scale.
    pub mm_per_px: f64,
}

/// Draws once, one contribution frozen if asked. Frozen or not, the same random numbers are used.
#[must_use]
pub fn draw(start: &Start<'_>, rng: &mut ChaCha8Rng, frozen: Option<Contribution>) -> Drawn {
    let on = |c: Contribution| if frozen == Some(c) { 0.0 } else { 1.0 };
    let even = |rng: &mut ChaCha8Rng| 2.0 * rng.random::<f64>() - 1.0;
    let [z, _] = normals(rng);
    let mut scale = 1.0 + on(Contribution::Scale) * start.scale_u * z;
    scale *= 1.0 + on(Contribution::Plane) * start.geometry.plane * even(rng);
    let tilt = on(Contribution::Square) * start.geometry.square * even(rng);
    let direction = std::f64::consts::PI * even(rng);
    let lens = on(Contribution::Lens) * start.geometry.lens * even(rng);
    let mut nudged = start.corners.copied();
    if let Some(corners) = &mut nudged {
        for p in &mut corners.px {
            let [a, b] = normals(rng);
            p[0] += on(Contribution::Straightening) * CORNER_POINT_PX * a;
            p[1] += on(Contribution::Straightening) * CORNER_POINT_PX * b;
        }
    }
    let straight = nudged.as_ref().and_then(|c| solve(c).ok());
    let warp = Warp {
        middle: [0.5 * start.size[0], 0.5 * start.size[1]],
        corner: 0.5 * start.size[0].hypot(start.size[1]),
        lens,
        // A straightened picture has no tilt left.
        sin: if straight.is_some() { 0.0 } else { tilt.sin() },
        cos: if straight.is_some() { 1.0 } else { tilt.cos() },
        towards: [direction.cos(), direction.sin()],
        distance: CAMERA_DISTANCE * start.size[0].max(start.size[1]),
        straight,
    };
    let mut plates = start.plates.clone();
    for points in plates.faces_mut() {
        for p in points {
            let [a, b] = normals(rng);
            let on = on(Contribution::Plates) * PLATE_POINT_PX;
            *p = warp.map([p[0] + on * a, p[1] + on * b]);
        }
    }
    plates.metal = plates.metal.map(|p| warp.map(p));
    let rounding_px = start.geometry.rounding_mm / start.mm_per_px;
    let lines = start
        .lines
        .iter()
        .map(|loose| LinePx {
            px: loose.draw(rng, frozen, rounding_px).into_iter().map(|p| warp.map(p)).collect(),
            ..loose.line.clone()
        })
        .collect();
    // A marked length is bent by the same lens and tilt as the section; a value per pixel is not.
    let bent: f64 =
        start.scale.iter().map(|(mark, share)| share / stretch_of(mark, &warp, start)).sum();
    let whole: f64 = start.scale.iter().map(|(_, share)| share).sum();
    if whole > 0.0 && start.corners.is_none() {
        scale *= bent / whole;
    }
    let mm_per_px = straight.map_or(start.mm_per_px, |s| s.mm_per_px) * scale;
    Drawn { plates, lines, mm_per_px }
}

/// How much longer a mark's distance is on the bent plane than on the photo.
fn stretch_of(mark: &ScaleMark, warp: &Warp, start: &Start<'_>) -> f64 {
    let (from, to) = match *mark {
        ScaleMark::TwoPoints { from, to, .. } | ScaleMark::Thickness { from, to, .. } => (from, to),
        // Burned in after the lens: it is bent by nothing. The picture's middle is what it is true for.
        ScaleMark::Bar { .. } | ScaleMark::PerPixel { .. } => return 1.0,
    };
    let length = |a: Px, b: Px| (b[0] - a[0]).hypot(b[1] - a[1]);
    let (a, b) = ([from.x_px, from.y_px], [to.x_px, to.y_px]);
    let _ = start;
    length(warp.map(a), warp.map(b)) / length(a, b).max(1e-9)
}
