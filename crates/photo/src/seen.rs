//! Is there a fusion line at all along an outline, or did the path find what a path always finds?
//!
//! ```text
//!    a line is there                            nothing is there
//!      ○   d aside                                ○
//!       ╲                                          ╲___
//!   ━━━━━╲━━━━━━━╱━━━ outline                 ─ ─ ─ ─ ╲─ ─ ─ ─ ╱─ ─ outline
//!         ━━━━━━╱                                      ╲______╱
//!              ○     the second path comes back       ○      another way is as good
//! ```
//!
//! An unetched or over-etched face has no fusion line, and the least-cost path still gives an outline there. So two
//! questions are asked along the part of the outline that lies in metal, and three more things weighed beside them:
//!
//! 1. *Recapture*: eight new points away from the set ones, moved aside by 2 % of the zone's width in turn to one side and to
//!    the other, are traced anew; then with sides swapped, and both again from eight points between. Which share of the
//!    outline, away from the new points, is met again to within 5 level pixels? A line brings the path back; noise,
//!    scratches and stains mostly do not.
//! 2. *Texture*: how different are lightness and steepness (across and along, over lightness) 2 to 10 level pixels inside and
//!    outside? The greatest of three Kolmogorov-Smirnov distances, 0 alike, 1 wholly unlike.
//!
//! 3. *Standing out*: along which share of the outline does a line stand out of the noise?
//! 4. *Steadiness*: is one side the brighter all along, or by chance now this, now that? The mean step over its standard
//!    deviation, at most 1.5.
//! 5. *Evidence*: its mean.
//!
//! There is a line where `recapture + 0.7 texture + 0.4 standing out + 0.5 steadiness + 0.6 evidence` reaches 1.8. None of them
//! does it alone: pits of an over-etched face give as much evidence as a fusion line does, a scratch brings a path back, and a
//! stain has two sides.
//!
//! Source: own. Weights and level are a logistic fit, rounded, to drawn pictures of both drawers (160 with a line, 120 without)
//! and to other outlines on the unetched photographs. Pictures never used for it (`tests/it/seen.rs` with `SEAMPROOF_MANY`) are
//! counted there; both etched tracks are accepted. Weakest: faces stained and scratched, on which a path comes back (about 95 %
//! refused), low contrast and a faint line (about 95 % accepted, where the outline itself often strays).
//!
//! Guarantees: the same picture and outline give the same answer; no panic; where too little of the outline lies in metal
//! to tell, the answer is no.
//!
//! Not covered: a line along which the metal is alike on both sides (the inner of two nested lines in the second track):
//! mostly refused, the safe side; which of two nested lines is the fusion line ([`crate::propose`]); a stain or a scratch that
//! runs all along the outline looks like a line; whether an outline set by hand is right (it is never refused, but this
//! says that the tool sees no line).

use crate::evidence::Evidence;
use crate::marks::Px;
use crate::pyramid::{Plane, Pyramid, level_from_picture, size_of_pixel};
use crate::trace::{Asked, Follow, Outline, Shape, evidence_for, kolmogorov_smirnov, path_on};
use rayon::prelude::*;
use weld::section::{Plates, Point};

/// What all of it must come to.
pub const ENOUGH: f64 = 1.8;
/// How much a texture difference counts beside a recaptured share.
const TEXTURE_COUNTS: f64 = 0.7;
/// The share of the outline along which a line stands out of the noise.
const STANDS_OUT_COUNTS: f64 = 0.4;
/// How steadily one side is the brighter.
const STEADY_COUNTS: f64 = 0.5;
/// Mean evidence.
const EVIDENCE_COUNTS: f64 = 0.6;
/// Steadier than this a step counts no more.
const STEADIEST: f64 = 1.5;
/// How far aside the new points are set, as a share of the zone's width (the root of its area).
const ASIDE: f64 = 0.02;
/// The least of it, level pixels.
const LEAST_ASIDE: f64 = 4.0;
/// A second path within this distance is the same, level pixels.
const SAME: f64 = 5.0;
/// Points this close to the frame of the metal see what is not metal, level pixels.
const CLEAR: f64 = 5.0;
/// Points in metal that are needed to tell, about one a level pixel.
const LEAST_POINTS: usize = 24;
/// New points for the second path.
const NEW_POINTS: usize = 8;
/// A side darker than this share of the other is the mount.
const MOUNT: f64 = 0.35;
/// Darker than this share of the usual lightness beside the outline is a pore or the mount.
const PORE: f64 = 0.25;

/// Whether there is a fusion line along an outline, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct Seen {
    /// The answer.
    pub line: bool,
    /// How much the outline's part in metal looks like a line, mean, 0 to 1.
    pub evidence: f64,
    /// Share of the outline's part in metal along which a line stands out of the noise (three times it), 0 to 1.
    pub stands_out: f64,
    /// How steadily one side is the brighter: the mean step from inside to outside over its standard deviation, at most 1.5.
    pub steady: f64,
    /// How different the metal is inside and outside, 0 to 1; nothing where too few places could be compared.
    pub texture_difference: Option<f64>,
    /// Share of the outline that a second path met again; nothing where none could be traced.
    pub recaptured: Option<f64>,
    /// Length of the outline's part in metal, picture pixels.
    pub metal_px: f64,
    /// The reason in words.
    pub why: String,
}

/// How deep a place lies in the original plates, mm; negative outside.
///
/// Two plates count as one where they meet.
#[must_use]
pub fn depth_in(plates: &Plates, at: Point) -> f64 {
    match plates {
        Plates::Bead => -at.y,
        Plates::Butt(butt) => {
            let joint = butt.joint_line.map_or(0.0, |j| j[0].x);
            let k = usize::from(at.x > joint);
            let below_top = butt.top[k].height_at(at.x) - at.y;
            butt.bottom.map_or(below_top, |b| below_top.min(at.y - b[k].height_at(at.x)))
        }
        Plates::Tee(tee) => {
            let base = tee.base_thickness.map_or(-at.y, |t| (-at.y).min(at.y + t));
            let (sin, cos) = tee.right.angle.sin_cos();
            let right = at.y * cos - (at.x - tee.right.x) * sin;
            let left = match tee.left {
                Some(l) => (at.x - l.x) * l.angle.sin() + at.y * l.angle.cos(),
                None => tee.upright_thickness.map_or(f64::INFINITY, |t| t - right),
            };
            base.max(right.min(left))
        }
    }
}

/// Judges an outline that was traced on this picture. `in_metal` tells of a place on the picture whether it lies in the
/// plates (`|p| depth_in(&section.plates, section_from_px(p)) > 0.0`); where the plates are not known, `|_| true`: then
/// only what is as dark as the mount is left out, and the face to a bright mount is taken for a line.
#[must_use]
pub fn judge(pyramid: &Pyramid, outline: &Outline, in_metal: impl Fn(Px) -> bool + Sync) -> Seen {
    let mut seen = Seen {
        line: false,
        evidence: 0.0,
        stands_out: 0.0,
        steady: 0.0,
        texture_difference: None,
        recaptured: None,
        metal_px: 0.0,
        why: String::new(),
    };
    let Some(line) = Line::new(pyramid, outline, in_metal) else {
        "the outline has no points, so there is nothing to judge".clone_into(&mut seen.why);
        return seen;
    };
    let metal: Vec<usize> = (0..line.n()).filter(|&i| line.metal[i]).collect();
    seen.metal_px = metal.len() as f64 * line.size;
    if metal.len() < LEAST_POINTS {
        seen.why = format!(
            "only {:.0} pixels of the outline lie in metal clear of its surface, too few to tell whether there is a fusion line",
            seen.metal_px
        );
        return seen;
    }
    let evidence = |i: &usize| outline.evidence_at.get(*i).copied().unwrap_or(0.0);
    seen.evidence = metal.iter().map(evidence).sum::<f64>() / metal.len() as f64;
    let out = |i: &usize| outline.seen.get(*i).copied().unwrap_or(false);
    seen.stands_out = metal.iter().filter(|i| out(i)).count() as f64 / metal.len() as f64;
    seen.steady = line.steady(&metal);
    seen.texture_difference = line.texture();
    seen.recaptured = line.recapture();
    let (r, t) = (seen.recaptured.unwrap_or(0.0), seen.texture_difference.unwrap_or(0.0));
    let sum = r
        + TEXTURE_COUNTS * t
        + STANDS_OUT_COUNTS * seen.stands_out
        + STEADY_COUNTS * seen.steady
        + EVIDENCE_COUNTS * seen.evidence;
    seen.line = sum >= ENOUGH;
    seen.why = format!(
        "{}: a path set beside the outline came back to it on {:.0} % of its length, a line stands out of the noise on {:.0} %, \
         the metal inside and outside differs by {t:.2} (0 alike, 1 wholly unlike), and one side is the brighter with a \
         steadiness of {:.2} (0 by chance, {STEADIEST} all along); weighed together {sum:.2}, and {ENOUGH} is a line",
        if seen.line { "a fusion line is seen" } else { "no fusion line is seen" },
        100.0 * r,
        100.0 * seen.stands_out,
        seen.steady
    );
    seen
}

/// An outline with its surroundings.
struct Line<'a, F> {
    pyramid: &'a Pyramid,
    level: usize,
    plane: &'a Plane,
    outline: &'a Outline,
    in_metal: F,
    size: f64,
    /// Unit normals towards the inside.
    normals: Vec<[f64; 2]>,
    metal: Vec<bool>,
    width: f64,
}

impl<'a, F: Fn(Px) -> bool + Sync> Line<'a, F> {
    fn new(pyramid: &'a Pyramid, outline: &'a Outline, in_metal: F) -> Option<Self> {
        let px = &outline.px;
        let n = px.len();
        if n < 8 {
            return None;
        }
        let turn: f64 = (0..n)
            .map(|i| {
                let (a, b) = (px[i], px[(i + 1) % n]);
                0.5 * (a[0] * b[1] - b[0] * a[1])
            })
            .sum();
        let inward = if turn >= 0.0 { 1.0 } else { -1.0 };
        let closed = outline.shape == Shape::Closed;
        let index = |i: usize, d: isize| {
            let j = i as isize + d;
            if closed {
                j.rem_euclid(n as isize) as usize
            } else {
                j.clamp(0, n as isize - 1) as usize
            }
        };
        let normals = (0..n)
            .map(|i| {
                let (a, b) = (px[index(i, -2)], px[index(i, 2)]);
                let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
                let long = dx.hypot(dy);
                if long > 1e-9 { [-inward * dy / long, inward * dx / long] } else { [0.0, 1.0] }
            })
            .collect();
        let level = outline.level.min(pyramid.levels() - 1);
        let mut line = Self {
            pyramid,
            level,
            plane: pyramid.level(level),
            outline,
            in_metal,
            size: size_of_pixel(level),
            normals,
            metal: Vec::new(),
            width: turn.abs().sqrt(),
        };
        // The brighter side of each point is metal, whatever the other is.
        let sides: Vec<[f64; 2]> = (0..n)
            .map(|i| {
                let side = |sign: f64| {
                    (4..=8).map(|s| line.look(line.beside(i, sign * f64::from(s)))).sum::<f64>()
                        / 5.0
                };
                [side(1.0), side(-1.0)]
            })
            .collect();
        let usual = median(sides.iter().map(|s| s[0].max(s[1])).collect()).unwrap_or(0.0);
        line.metal = (0..n)
            .map(|i| {
                let [a, b] = sides[i];
                a.min(b) > MOUNT * a.max(b).max(usual * MOUNT)
                    && [-CLEAR, 0.0, CLEAR].iter().all(|&s| (line.in_metal)(line.beside(i, s)))
            })
            .collect();
        Some(line)
    }

    fn n(&self) -> usize {
        self.outline.px.len()
    }

    /// So many level pixels further inside, on the picture.
    fn beside(&self, i: usize, s: f64) -> Px {
        let (p, m) = (self.outline.px[i], self.normals[i]);
        [p[0] + s * self.size * m[0], p[1] + s * self.size * m[1]]
    }

    /// Lightness at a place of the picture.
    fn look(&self, p: Px) -> f64 {
        let q = level_from_picture(self.level, p);
        self.plane.sample(q[0], q[1])
    }

    /// The mean step from inside to outside over its standard deviation along the outline. Looked at in single pixels of the
    /// picture: an average over the level's would follow the grain.
    fn steady(&self, metal: &[usize]) -> f64 {
        let picture = self.pyramid.picture();
        let look = |p: Px| f64::from(picture.at(p[0].round() as isize, p[1].round() as isize));
        let side = |i: usize, sign: f64| {
            [2.0, 4.0, 6.0, 10.0].iter().map(|s| look(self.beside(i, sign * s))).sum::<f64>()
        };
        let steps: Vec<f64> = metal.iter().map(|&i| side(i, 1.0) - side(i, -1.0)).collect();
        let n = steps.len() as f64;
        let mean = steps.iter().sum::<f64>() / n;
        let spread = (steps.iter().map(|s| (s - mean).powi(2)).sum::<f64>() / n).sqrt();
        (mean.abs() / spread.max(1.0)).min(STEADIEST)
    }

    fn texture(&self) -> Option<f64> {
        let look = |p: Px| self.look(p);
        // Each place: lightness, how steep across and along.
        let mut sides: [Vec<[f64; 3]>; 2] = [Vec::new(), Vec::new()];
        for i in (0..self.n()).filter(|&i| self.metal[i]).step_by(2) {
            let m = self.normals[i].map(|v| v * self.size);
            for s in 2..=10 {
                for (side, sign) in [(0, 1.0), (1, -1.0)] {
                    let p = self.beside(i, sign * f64::from(s));
                    if (self.in_metal)(p) {
                        let across =
                            look([p[0] + m[0], p[1] + m[1]]) - look([p[0] - m[0], p[1] - m[1]]);
                        let along =
                            look([p[0] - m[1], p[1] + m[0]]) - look([p[0] + m[1], p[1] - m[0]]);
                        sides[side].push([look(p), across.abs(), along.abs()]);
                    }
                }
            }
        }
        let usual = median(sides.iter().flatten().map(|v| v[0]).collect())?;
        for side in &mut sides {
            side.retain(|v| v[0] > PORE * usual && v[0] > 0.0 && v.iter().all(|x| x.is_finite()));
        }
        if sides.iter().any(|s| s.len() < 4 * LEAST_POINTS) {
            return None;
        }
        let apart = |of: &dyn Fn(&[f64; 3]) -> f64| {
            kolmogorov_smirnov(sides[0].iter().map(of).collect(), sides[1].iter().map(of).collect())
        };
        Some(apart(&|v| v[0]).max(apart(&|v| v[1] / v[0])).max(apart(&|v| v[2] / v[0])))
    }

    fn recapture(&self) -> Option<f64> {
        let asked = |points| Asked {
            points,
            hold: &[],
            follow: Follow::Guided,
            along: self.outline.along,
            shape: self.outline.shape,
        };
        let aside = (ASIDE * self.width).max(LEAST_ASIDE * self.size);
        let moved = |(places, way): (&[usize], f64)| -> Vec<Px> {
            places
                .iter()
                .enumerate()
                .map(|(k, &i)| {
                    let way = if k % 2 == 0 { way } else { -way };
                    let s = if self.metal[i] { way * aside / self.size } else { 0.0 };
                    let picture = self.pyramid.picture();
                    let p = self.beside(i, s);
                    [
                        p[0].clamp(0.0, picture.width as f64 - 1.0),
                        p[1].clamp(0.0, picture.height as f64 - 1.0),
                    ]
                })
                .collect()
        };
        let [a, b] = self.new_places();
        let sets = [(&a[..], 1.0), (&a[..], -1.0), (&b[..], 1.0), (&b[..], -1.0)].map(moved);
        // One window for all, around the outline itself.
        let evidence = evidence_for(self.pyramid, &asked(&self.outline.set_px))
            .or_else(|_| evidence_for(self.pyramid, &asked(&sets[0])))
            .ok()?;
        let met: Vec<(usize, usize)> = sets
            .par_iter()
            .map(|points| self.met(&evidence, &asked(points), 2.5 * aside + 6.0 * self.size))
            .collect();
        let (good, all) = met.iter().fold((0, 0), |(g, a), m| (g + m.0, a + m.1));
        (all >= LEAST_POINTS / 2).then(|| good as f64 / all as f64)
    }

    /// How many of the points in metal away from the new ones the second path meets, and how many there are.
    fn met(&self, evidence: &Evidence, asked: &Asked<'_>, away: f64) -> (usize, usize) {
        let Ok(second) = path_on(self.pyramid, evidence, asked) else { return (0, 0) };
        let far =
            |p: Px, from: &[Px], d: f64| from.iter().all(|q| (p[0] - q[0]).hypot(p[1] - q[1]) >= d);
        let (mut good, mut all) = (0, 0);
        for i in (0..self.n()).filter(|&i| self.metal[i]) {
            let p = self.outline.px[i];
            if far(p, asked.points, away) {
                all += 1;
                good += usize::from(!far(p, &second, SAME * self.size));
            }
        }
        (good, all)
    }

    /// Places evenly along the outline, as far from the set points as that allows, and those half-way between them.
    fn new_places(&self) -> [Vec<usize>; 2] {
        let n = self.n();
        let set = &self.outline.set_px;
        let phases = 8;
        let places = |phase: usize| -> Vec<usize> {
            (0..NEW_POINTS)
                .map(|k| (k * n / NEW_POINTS + phase * n / (NEW_POINTS * phases)) % n)
                .collect()
        };
        let clear = |places: &[usize]| {
            let to_set = |&i: &usize| {
                let p = self.outline.px[i];
                let all = set.iter().map(|q| (p[0] - q[0]).hypot(p[1] - q[1]));
                all.fold(f64::INFINITY, f64::min)
            };
            places.iter().map(to_set).sum::<f64>()
        };
        let mut best = (f64::NEG_INFINITY, 0);
        for phase in 0..phases {
            let sum = clear(&places(phase));
            if sum > best.0 {
                best = (sum, phase);
            }
        }
        [places(best.1), places(best.1 + phases / 2)]
    }
}

fn median(mut of: Vec<f64>) -> Option<f64> {
    of.sort_by(f64::total_cmp);
    of.get(of.len() / 2).copied()
}
