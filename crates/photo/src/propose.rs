//! An outline proposed from one click inside the fused zone, when the etch allows.
//!
//! ```text
//!      r │ · · · · · · · · · · · ·      180 rays from the click, radii growing by 2 % a step
//!        │~~~~╮   ╭~~~~~~~~~╮  ╭~~      outer line (edge of the heat-affected zone?)
//!        │━━━╮╰~~~╯  ╭━━━━╮ ╰~~╯        inner line (fusion line?)
//!        │   ╰━━━━━━━╯    ╰━━━━━━
//!        └─────────────────────── angle     the way around closes: it ends where it began
//! ```
//!
//! Each place is worth its evidence of a line (cubed) times how much (its cube root) lightness and steepness change across it over a strip of rays. The
//! closed way of greatest worth is found by dynamic programming. Where a second one runs clear
//! of the first and is worth nearly as much, both are offered, never silently one: the tool cannot tell the fusion line
//! from the outer edge of the heat-affected zone. A way is kept only where twelve of eighteen places lead to it: the click,
//! the middle of what is found, and eight around each. What is left is traced like set points and judged by [`crate::seen`];
//! where that sees no line, nothing is proposed.
//!
//! A proposal is no reading: a person looks at it, moves points, and accepts it.
//!
//! Guarantees: the same picture and click give the same proposal; no panic.
//!
//! Measured on drawn pictures (`tests/it/propose.rs`, clean to faint): by the first drawer 89 of 140 zones got a proposal, 66 of
//! these within 3 % of the zone's width on the mean; by the second, whose boundary is a soft change of light without a line,
//! 10 of 70, 6 of these right. Of 56 zones without any line 2 got one. On the demo's fillets, whose roots are deep, a person
//! who clicked 21 times got 6, and none was right: the desk offers it beside the hand's way, not before it.
//!
//! Not covered: zones that a ray from the click leaves and enters again (only *star-shaped* ones can be proposed; most
//! fillets with a deep root are not); zones cut off by the frame; a click in the mount; a bright mount is told from metal by
//! its edge alone.
//!
//! Source: own; see `methods.md` of the project for what was tried.

use crate::evidence::{Evidence, Window};
use crate::marks::Px;
use crate::pyramid::{Pyramid, level_from_picture, size_of_pixel};
use crate::seen::{Seen, judge};
use crate::trace::{Along, Asked, Follow, Shape, trace};
use rayon::prelude::*;
use weld::section::Point;
use weld::section::outline::{centroid, contains, to_boundary};

/// Rays from the click.
const RAYS: usize = 180;
/// Growth of the radius from one step to the next.
const GROWTH: f64 = 0.02;
/// The least radius, as a share of the picture's shorter side, and in pixels.
const LEAST_SHARE: f64 = 0.015;
const LEAST_RADIUS: f64 = 10.0;
/// A radius is looked at on the level where it is at most so many pixels.
const LONGEST_RADIUS: f64 = 220.0;
/// The most that the face is worth.
const FACE: f64 = 0.5;
/// Of two ways alike the outer one: what a step of radius is worth.
const OUTER: f64 = 0.0007;
/// A change of lightness by this share of the metal's is the face.
const LEAVES: f64 = 0.35;
/// The most of a zone's outline that may be face.
const MOST_FACE: f64 = 0.6;
/// Steps of radius from one ray to the next, at most.
const JUMP: usize = 6;
/// What a step of radius costs, in worth.
const STEP_COST: f64 = 0.015;
/// Rays to either side, and steps of radius inside and outside, over which the metal is compared.
const STRIP: usize = 4;
const NEAR: usize = 2;
const FAR: usize = 8;
/// Darker than this share of the lightness close to the click is the mount.
const MOUNT: f64 = 0.35;
/// Dark steps on end that are the mount and not a pore.
const MOUNT_STEPS: usize = 8;
/// Two lines are apart when this many steps of radius lie between them, and they are offered both when the second
/// is worth at least this share of the first.
const APART: usize = 4;
const NEARLY: f64 = 0.75;
/// Clicks beside the given one lie this share of the way's mean radius aside, in both directions.
const ASIDE: f64 = 0.15;
/// Ways within this share of their mean radius are the same, and so many places must lead to it.
const AGREE: f64 = 0.05;
const LEAST_VOTES: usize = 12;
/// Set points handed on.
const POINTS: usize = 24;

/// One outline that may be it.
#[derive(Clone, Debug, PartialEq)]
pub struct ProposedOutline {
    /// The traced outline, picture pixels.
    pub px: Vec<Px>,
    /// At most 24 set points that give it.
    pub points: Vec<Px>,
    /// Mean worth along the way, 0 to 1: for comparing proposals of one picture, not a probability.
    pub score: f64,
    /// Whether a line is seen along it.
    pub seen: Seen,
    /// Which line it is, in words.
    pub which: &'static str,
}

/// What is offered: one outline, or two that are nested, the inner one first.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// At least one.
    pub outlines: Vec<ProposedOutline>,
    /// What the person must know.
    pub caution: &'static str,
}

/// Why nothing is proposed.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ProposeError {
    /// Not a place on the picture.
    #[error("the place at ({x:.1}, {y:.1}) lies outside the picture of {width} x {height} pixels")]
    Outside {
        /// Column.
        x: f64,
        /// Row.
        y: f64,
        /// Columns of the picture.
        width: usize,
        /// Rows of the picture.
        height: usize,
    },
    /// Nothing but mount, or no room.
    #[error("there is no metal around the place at ({x:.0}, {y:.0})")]
    NoMetal {
        /// Column.
        x: f64,
        /// Row.
        y: f64,
    },
    /// The best way around is no line.
    #[error("no outline can be proposed from this place: {why}")]
    NoLine {
        /// What was seen.
        why: String,
    },
}

impl ProposeError {
    /// What to do about it.
    #[must_use]
    pub fn advice(&self) -> &'static str {
        match self {
            Self::Outside { .. } => "choose a place inside the fused zone",
            Self::NoMetal { .. } => {
                "choose a place in the middle of the fused zone, away from the mount and the picture's border"
            }
            Self::NoLine { .. } => {
                "set about eight points along the line by hand; if no line is to be seen, etch the section again"
            }
        }
    }
}

const CAUTION: &str = "a proposal: look along the whole line and move points that are off; only zones that every \
                       ray from the place leaves once can be proposed";
const CAUTION_TWO: &str = "two nested lines are seen: say which is the fusion line (the outer one may be the edge of the \
                           heat-affected zone); only zones that every ray from the place leaves once can be proposed";

/// Proposes outlines of the zone around a click.
///
/// # Errors
/// When the click lies outside the picture or in the mount, or where no line is seen around it.
pub fn propose(pyramid: &Pyramid, click: Px) -> Result<Proposal, ProposeError> {
    let (width, height) = (pyramid.picture().width, pyramid.picture().height);
    let [x, y] = click;
    let inside = |v: f64, side: usize| v >= 0.0 && v <= side as f64 - 1.0;
    if !(inside(x, width) && inside(y, height)) {
        return Err(ProposeError::Outside { x, y, width, height });
    }
    let (agreed, asked) = agreed(pyramid, click);
    if agreed.is_empty() {
        return Err(ProposeError::NoMetal { x, y });
    }
    let mut why = String::new();
    let mut outlines: Vec<(f64, ProposedOutline)> = Vec::new();
    let most = agreed.iter().map(|a| a.votes).max().unwrap_or(0);
    for Agreed { way, votes } in &agreed {
        if *votes < LEAST_VOTES || (*votes as f64) < NEARLY * most as f64 {
            if why.is_empty() {
                why = format!(
                    "only {votes} of {asked} places around it lead to the same outline, and {LEAST_VOTES} are needed"
                );
            }
            continue;
        }
        let asked = Asked {
            points: &way.points,
            hold: &[],
            follow: Follow::Guided,
            along: Along::Middle,
            shape: Shape::Closed,
        };
        let traced = match trace(pyramid, &asked) {
            Ok(traced) => traced,
            Err(e) => {
                why = e.to_string();
                continue;
            }
        };
        let seen = judge(pyramid, &traced, |_| true);
        if seen.line {
            // Points on the refined line, not on the grid of rays.
            let nearest = |p: &Px| {
                let d = |q: &Px| (q[0] - p[0]).powi(2) + (q[1] - p[1]).powi(2);
                traced.px.iter().copied().min_by(|a, b| d(a).total_cmp(&d(b))).unwrap_or(*p)
            };
            let proposed = ProposedOutline {
                points: way.points.iter().map(nearest).collect(),
                px: traced.px,
                score: way.score,
                seen,
                which: "the only line seen",
            };
            outlines.push((way.radius, proposed));
        } else {
            why = seen.why;
        }
    }
    outlines.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut outlines: Vec<ProposedOutline> = outlines.into_iter().map(|o| o.1).collect();
    let caution = match outlines.as_mut_slice() {
        [] => return Err(ProposeError::NoLine { why }),
        [inner, outer] => {
            inner.which = "the inner of two nested lines";
            outer.which = "the outer of two nested lines";
            CAUTION_TWO
        }
        _ => CAUTION,
    };
    Ok(Proposal { outlines, caution })
}

/// A way that so many places lead to.
struct Agreed {
    way: Found,
    votes: usize,
}

/// The two outlines around the click that most places inside them lead to, the one with more first, and how many places were
/// asked: the click and eight around it, then the middle of what these agree on best and eight around that. So a click
/// near an edge, which sees half of the zone aslant, leads to the same as one in the middle.
fn agreed(pyramid: &Pyramid, click: Px) -> (Vec<Agreed>, usize) {
    let around = |from: Px, reach: f64| {
        (0..8).map(move |k| {
            let (sin, cos) = (std::f64::consts::TAU * f64::from(k) / 8.0).sin_cos();
            [from[0] + reach * cos, from[1] + reach * sin]
        })
    };
    let at = Point::new(click[0], click[1]);
    let ask = |places: Vec<Px>| -> Vec<Vec<Found>> {
        let ways = |p| {
            let all = ways_from(pyramid, p).into_iter();
            all.filter(|w| contains(&w.outline, at, 0.0)).collect()
        };
        places.into_par_iter().map(ways).collect()
    };
    let mut all = ask(vec![click]);
    let Some(radius) = all[0].first().map(|w| w.radius) else { return (Vec::new(), 1) };
    all.extend(ask(around(click, ASIDE * radius).collect()));
    if let Some(best) = alike(&all).first() {
        let centre = centroid(&best.way.outline);
        let centre = [centre.x, centre.y];
        let reach = ASIDE * best.way.radius;
        all.extend(ask(std::iter::once(centre).chain(around(centre, reach)).collect()));
    }
    let asked = all.len();
    let mut out = alike(&all);
    // Two that cross are not two nested lines.
    if let [first, second, ..] = out.as_slice()
        && !(lies_in(&first.way, &second.way) || lies_in(&second.way, &first.way))
    {
        out.remove(1);
    }
    out.truncate(2);
    (out, asked)
}

/// Ways by how many places lead to them, most first. Of those alike the one nearest to all others stands for them.
fn alike(by_place: &[Vec<Found>]) -> Vec<Agreed> {
    let mut groups: Vec<Vec<(usize, &Found)>> = Vec::new();
    for (place, ways) in by_place.iter().enumerate() {
        for way in ways {
            match groups.iter_mut().find(|g| apart(g[0].1, way) < AGREE) {
                Some(group) => group.push((place, way)),
                None => groups.push(vec![(place, way)]),
            }
        }
    }
    let mut out: Vec<Agreed> = groups
        .into_iter()
        .filter_map(|group| {
            let mut places: Vec<usize> = group.iter().map(|g| g.0).collect();
            places.dedup();
            let off = |way: &Found| group.iter().map(|g| apart(way, g.1)).sum::<f64>();
            let way = group.iter().map(|g| g.1).min_by(|a, b| off(a).total_cmp(&off(b)))?;
            Some(Agreed { way: way.clone(), votes: places.len() })
        })
        .collect();
    out.sort_by(|a, b| b.votes.cmp(&a.votes).then(b.way.score.total_cmp(&a.way.score)));
    out
}

/// Whether nearly all of a way lies within another.
fn lies_in(inner: &Found, outer: &Found) -> bool {
    let within = inner.outline.iter().filter(|p| contains(&outer.outline, **p, 0.0)).count();
    10 * within >= 9 * inner.outline.len()
}

/// A closed way on the picture.
#[derive(Clone)]
struct Found {
    /// One place a ray, picture pixels.
    outline: Vec<Point>,
    points: Vec<Px>,
    score: f64,
    /// Mean distance from the click.
    radius: f64,
}

/// The best closed way around a click, and a second one clear of it.
fn ways_from(pyramid: &Pyramid, click: Px) -> Vec<Found> {
    let Some(polar) = Polar::new(pyramid, click) else { return Vec::new() };
    let worth = polar.worth();
    let Some(first) = around(&worth, polar.steps) else { return Vec::new() };
    let second = beside(&worth, &polar, &first);
    [Some(first), second]
        .into_iter()
        .flatten()
        // The outline of the whole piece is no zone.
        .filter(|way| polar.face_share(way) <= MOST_FACE)
        .map(|way| {
            let px: Vec<Px> = (0..RAYS).map(|ray| polar.place(ray, way.at[ray])).collect();
            let outline = px.iter().map(|p| Point::new(p[0], p[1])).collect();
            let radius = way.at.iter().map(|&j| polar.radii[j]).sum::<f64>() / RAYS as f64;
            let points = px.iter().step_by(RAYS.div_ceil(POINTS)).copied().collect();
            Found { outline, points, score: way.score, radius }
        })
        .collect()
}

/// Mean distance of two ways, as a share of the smaller one's mean radius.
fn apart(a: &Found, b: &Found) -> f64 {
    let mean = |from: &[Point], to: &[Point]| {
        from.iter().map(|p| to_boundary(*p, to)).sum::<f64>() / from.len().max(1) as f64
    };
    mean(&a.outline, &b.outline).max(mean(&b.outline, &a.outline))
        / a.radius.min(b.radius).max(1e-9)
}

/// The surroundings of a click by ray and step of radius, ray after ray.
struct Polar {
    click: Px,
    radii: Vec<f64>,
    steps: usize,
    evidence: Vec<f64>,
    light: Vec<f64>,
    steep: Vec<f64>,
    /// Steps of each ray that lie on the picture and before the mount.
    open: Vec<usize>,
    /// Lightness close to the click.
    usual: f64,
}

fn direction(ray: usize) -> [f64; 2] {
    let (sin, cos) = (std::f64::consts::TAU * ray as f64 / RAYS as f64).sin_cos();
    [cos, sin]
}

impl Polar {
    fn new(pyramid: &Pyramid, click: Px) -> Option<Self> {
        let picture = pyramid.picture();
        let (w, h) = (picture.width as f64, picture.height as f64);
        let least = (LEAST_SHARE * w.min(h)).max(LEAST_RADIUS);
        let mut radii = Vec::new();
        let mut r = least;
        while r < w.hypot(h) {
            radii.push(r);
            r *= 1.0 + GROWTH;
        }
        let steps = radii.len();
        if steps < 2 * FAR {
            return None;
        }
        let level_of: Vec<usize> = radii
            .iter()
            .map(|r| {
                let mut level = 0;
                while r / size_of_pixel(level) > LONGEST_RADIUS && level + 1 < pyramid.levels() {
                    level += 1;
                }
                level
            })
            .collect();
        let most = level_of.last().copied().unwrap_or(0);
        let evidence: Vec<Evidence> = (0..=most)
            .map(|level| {
                let plane = pyramid.level(level);
                let at = level_from_picture(level, click);
                let reach = LONGEST_RADIUS + 32.0;
                let cut = |v: f64, side: usize| v.clamp(0.0, side as f64 - 1.0) as usize;
                let (x0, y0) = (cut(at[0] - reach, plane.width), cut(at[1] - reach, plane.height));
                let (x1, y1) = (cut(at[0] + reach, plane.width), cut(at[1] + reach, plane.height));
                Evidence::new(pyramid, Window { level, x0, y0, w: x1 - x0 + 1, h: y1 - y0 + 1 })
            })
            .collect();
        let cells: Vec<[f64; 3]> = (0..RAYS)
            .into_par_iter()
            .flat_map_iter(|ray| {
                let d = direction(ray);
                let (radii, level_of, evidence) = (&radii, &level_of, &evidence);
                radii.iter().zip(level_of).map(move |(r, &level)| {
                    let p = [click[0] + r * d[0], click[1] + r * d[1]];
                    if p[0] < 0.0 || p[1] < 0.0 || p[0] > w - 1.0 || p[1] > h - 1.0 {
                        return [f64::NAN; 3];
                    }
                    let plane = pyramid.level(level);
                    let q = level_from_picture(level, p);
                    let light = plane.sample(q[0], q[1]);
                    let gx = plane.sample(q[0] + 1.0, q[1]) - plane.sample(q[0] - 1.0, q[1]);
                    let gy = plane.sample(q[0], q[1] + 1.0) - plane.sample(q[0], q[1] - 1.0);
                    [evidence[level].strength(p), light, gx.hypot(gy)]
                })
            })
            .collect();
        let usual = usual(&cells, steps);
        let mount = MOUNT * usual;
        let open: Vec<usize> = (0..RAYS)
            .map(|ray| {
                let mut run = 0;
                for (j, cell) in cells[ray * steps..][..steps].iter().enumerate() {
                    if cell[1].is_nan() {
                        return j;
                    }
                    run = if cell[1] < mount { run + 1 } else { 0 };
                    if run == MOUNT_STEPS {
                        // The edge itself is worth looking at.
                        return (j + 3).saturating_sub(MOUNT_STEPS);
                    }
                }
                steps
            })
            .collect();
        if open.iter().any(|&o| o < 2) {
            return None;
        }
        let of = |k: usize| {
            cells.iter().map(|c| if c[k].is_nan() { 0.0 } else { c[k] }).collect::<Vec<f64>>()
        };
        let (evidence, light, steep) = (of(0), of(1), of(2));
        Some(Self { click, radii, steps, evidence, light, steep, open, usual })
    }

    /// Evidence times change of the metal; -1 where nothing may pass.
    fn worth(&self) -> Vec<f64> {
        let light = Sums::new(&self.light, self.steps);
        let steep = Sums::new(&self.steep, self.steps);
        (0..RAYS * self.steps)
            .into_par_iter()
            .with_min_len(4096)
            .map(|k| {
                let (ray, j) = (k / self.steps, k % self.steps);
                if j >= self.open[ray] {
                    return -1.0;
                }
                let change = if j < FAR || j + FAR >= self.steps {
                    0.0
                } else {
                    let strip = |sums: &Sums| {
                        let (a, b) = (
                            sums.strip(ray, j - FAR, j - NEAR),
                            sums.strip(ray, j + NEAR, j + FAR),
                        );
                        (a.0 - b.0).abs() / (0.5 * (a.1 + b.1) + 1e-6).sqrt()
                    };
                    let d = strip(&light).max(strip(&steep));
                    d / (1.0 + d)
                };
                let worth = self.evidence[k].powi(3) * change.cbrt();
                // The face is a clear edge wherever it runs: it may be followed, it must not lead.
                let worth = if self.is_face(&light, ray, j) { worth.min(FACE) } else { worth };
                worth + OUTER * j as f64
            })
            .collect()
    }

    /// Whether lightness changes here as it does from metal to what is none.
    fn is_face(&self, light: &Sums, ray: usize, j: usize) -> bool {
        let inner = light.strip(ray, j.saturating_sub(FAR), j.saturating_sub(NEAR)).0;
        let outer = light.strip(ray, (j + NEAR).min(self.steps), (j + FAR).min(self.steps)).0;
        (inner - outer).abs() > LEAVES * self.usual
    }

    /// Share of a way that runs along the face.
    fn face_share(&self, way: &Way) -> f64 {
        let light = Sums::new(&self.light, self.steps);
        let face = way.at.iter().enumerate().filter(|(ray, j)| self.is_face(&light, *ray, **j));
        face.count() as f64 / RAYS as f64
    }

    fn place(&self, ray: usize, j: usize) -> Px {
        let (d, r) = (direction(ray), self.radii[j]);
        [self.click[0] + r * d[0], self.click[1] + r * d[1]]
    }
}

/// The median lightness close to the click.
fn usual(cells: &[[f64; 3]], steps: usize) -> f64 {
    let mut near: Vec<f64> = cells
        .chunks(steps)
        .flat_map(|ray| ray.iter().take(2 * FAR))
        .map(|c| c[1])
        .filter(|v| !v.is_nan())
        .collect();
    near.sort_by(f64::total_cmp);
    near.get(near.len() / 2).copied().unwrap_or(0.0)
}

/// Sums along the rays, for means and variances of strips.
struct Sums {
    steps: usize,
    sums: Vec<(f64, f64)>,
}

impl Sums {
    fn new(of: &[f64], steps: usize) -> Self {
        let mut sums = Vec::with_capacity(RAYS * (steps + 1));
        for ray in 0..RAYS {
            let (mut s, mut q) = (0.0, 0.0);
            sums.push((0.0, 0.0));
            for v in &of[ray * steps..][..steps] {
                s += v;
                q += v * v;
                sums.push((s, q));
            }
        }
        Self { steps, sums }
    }

    /// Mean and variance over the rays about `ray` and the steps `from..to`.
    fn strip(&self, ray: usize, from: usize, to: usize) -> (f64, f64) {
        let (mut s, mut q) = (0.0, 0.0);
        for d in 0..=2 * STRIP {
            let row = ((ray + RAYS + d - STRIP) % RAYS) * (self.steps + 1);
            let (a, b) = (self.sums[row + from], self.sums[row + to]);
            s += b.0 - a.0;
            q += b.1 - a.1;
        }
        let n = ((2 * STRIP + 1) * (to - from)).max(1) as f64;
        let mean = s / n;
        (mean, (q / n - mean * mean).max(0.0))
    }
}

/// A closed way: the step of radius at each ray, and its mean worth.
struct Way {
    at: Vec<usize>,
    score: f64,
}

/// A closed way of great worth: the best way twice around tells where to start, and from there the best way that comes
/// back to its start is exact.
fn around(worth: &[f64], steps: usize) -> Option<Way> {
    let twice = best_way(worth, steps, 2 * RAYS, None)?;
    let at = best_way(worth, steps, RAYS, Some(twice[RAYS]))?;
    let score =
        at.iter().enumerate().map(|(ray, &j)| worth[ray * steps + j]).sum::<f64>() / RAYS as f64;
    Some(Way { at, score })
}

/// The best way over so many rays from ray 0; with a start, it also ends there one ray later.
fn best_way(worth: &[f64], steps: usize, rays: usize, start: Option<usize>) -> Option<Vec<usize>> {
    let value = |ray: usize, j: usize| {
        let v = worth[(ray % RAYS) * steps + j];
        if v < 0.0 { f64::NEG_INFINITY } else { v }
    };
    let mut sum: Vec<f64> = (0..steps)
        .map(|j| if start.is_none_or(|s| s == j) { value(0, j) } else { f64::NEG_INFINITY })
        .collect();
    let last = if start.is_some() { rays } else { rays - 1 };
    let mut back = vec![0u8; last * steps];
    for ray in 1..=last {
        let closing = start.is_some() && ray == last;
        let mut next = vec![f64::NEG_INFINITY; steps];
        for (j, (next, back)) in
            next.iter_mut().zip(&mut back[(ray - 1) * steps..ray * steps]).enumerate()
        {
            let own = if closing { 0.0 } else { value(ray, j) };
            if own == f64::NEG_INFINITY {
                continue;
            }
            for d in 0..=2 * JUMP {
                let Some(&from) = (j + d).checked_sub(JUMP).and_then(|f| sum.get(f)) else {
                    continue;
                };
                let v = from + own - STEP_COST * d.abs_diff(JUMP) as f64;
                if v > *next {
                    *next = v;
                    *back = d as u8;
                }
            }
        }
        sum = next;
    }
    let end = match start {
        Some(s) => s,
        None => (0..steps).max_by(|&a, &b| sum[a].total_cmp(&sum[b]).then(b.cmp(&a)))?,
    };
    if sum[end] == f64::NEG_INFINITY {
        return None;
    }
    let mut way = vec![end; last + 1];
    for ray in (0..last).rev() {
        way[ray] =
            (way[ray + 1] + usize::from(back[ray * steps + way[ray + 1]])).checked_sub(JUMP)?;
    }
    way.truncate(rays);
    Some(way)
}

/// A second way clear of the first in metal, where it is worth nearly as much there. Along the face both run together.
fn beside(worth: &[f64], polar: &Polar, first: &Way) -> Option<Way> {
    let steps = polar.steps;
    let face: Vec<bool> = (0..RAYS).map(|r| first.at[r] + 2 * APART >= polar.open[r]).collect();
    let free = face.iter().filter(|f| !**f).count();
    if free < RAYS / 4 {
        return None;
    }
    let in_metal = |way: &Way| {
        let own = way.at.iter().enumerate().filter(|(ray, _)| !face[*ray]);
        own.map(|(ray, &j)| worth[ray * steps + j].max(0.0)).sum::<f64>() / free as f64
    };
    let enough = NEARLY * in_metal(first);
    let mut options: Vec<(f64, Way)> = Vec::new();
    for outer in [false, true] {
        let mut left = worth.to_vec();
        for ray in (0..RAYS).filter(|&r| !face[r]) {
            for j in 0..steps {
                let gone =
                    if outer { j < first.at[ray] + APART } else { j + APART > first.at[ray] };
                if gone {
                    left[ray * steps + j] = -1.0;
                }
            }
        }
        if let Some(way) = around(&left, steps) {
            options.push((in_metal(&way), way));
        }
    }
    options
        .into_iter()
        .filter(|(w, _)| *w >= enough)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, way)| way)
}
