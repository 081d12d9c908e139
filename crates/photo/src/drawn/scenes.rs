//! Sections that could have been welded: every kind of joint, from a seed.
//!
//! ```text
//!   laser: nail head and finger      arc: round
//!     ──●─────╮ ╭─────●──            ──●╮           ╭●──
//!        ╰──╮ │ │ ╭──╯                  ╰╮         ╭╯
//!           │ ╰─╯ │                      ╰──╮   ╭──╯
//!            ╲___╱                          ╰───╯
//! ```
//!
//! Plausible shapes, not physics: width, depth, lean and bulge are drawn from ranges that shop welds show. Every outline
//! has at least 200 points, is simple, and its section can be read.
//!
//! Plates 3 to 12 mm. Laser: surface width 1.6 to 4.5 mm, finger 0.7 to 1.6 mm; arc: width 5 to 11 mm. Not covered:
//! grooves with bevels, edge welds, several passes.

use super::Extra;
use super::fillet::{Fillet, Uneven};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::f64::consts::{FRAC_PI_2, PI};
use weld::section::outline::{check, contains, to_boundary};
use weld::section::{Butt, Corner, Face, Fused, Plates, Point, Section, Side, Tee, read};

/// Joint and sides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Bead on plate.
    Bead,
    /// Butt from the top.
    ButtOneSided,
    /// Butt from both surfaces.
    ButtTwoSided,
    /// Tee from the right.
    TeeOneSided,
    /// Tee from both sides.
    TeeTwoSided,
}

impl Kind {
    /// All of them.
    pub const ALL: [Self; 5] =
        [Self::Bead, Self::ButtOneSided, Self::ButtTwoSided, Self::TeeOneSided, Self::TeeTwoSided];

    /// The word for it, as in file names.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Bead => "bead",
            Self::ButtOneSided => "butt",
            Self::ButtTwoSided => "butt-both",
            Self::TeeOneSided => "tee",
            Self::TeeTwoSided => "tee-both",
        }
    }
}

/// How it was welded, by its shape.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Process {
    /// A nail head with a finger.
    Laser,
    /// Round.
    Arc,
}

/// A section to draw.
#[derive(Clone, Debug, PartialEq)]
pub struct Scene {
    /// Joint and sides.
    pub kind: Kind,
    /// How it was welded.
    pub process: Process,
    /// The section.
    pub section: Section,
    /// What the picture needs besides.
    pub extra: Extra,
}

/// A scene of one kind. With `flaws`, a part of them has pores, a crack or a lack-of-fusion line; undercut, overlap,
/// gaps, an unfused corner come either way.
#[must_use]
pub fn scene(kind: Kind, flaws: bool, seed: u64) -> Scene {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    rng.set_stream(2);
    let rng = &mut rng;
    let process = if rng.random_bool(0.7) { Process::Laser } else { Process::Arc };
    for attempt in 0..60 {
        // After many refusals leave the fancy shapes out.
        let fancy = attempt < 40;
        let (plates, fused, extra) = match kind {
            Kind::Bead => bead(process, fancy, rng),
            Kind::ButtOneSided | Kind::ButtTwoSided => {
                butt(process, kind == Kind::ButtTwoSided, fancy, rng)
            }
            Kind::TeeOneSided | Kind::TeeTwoSided => {
                tee(process, kind == Kind::TeeTwoSided, fancy, rng)
            }
        };
        if fused.iter().any(|f| f.outline.len() < 200 || check(&f.outline).is_err()) {
            continue;
        }
        let mut section = Section::exact(plates, fused);
        if read(&section).is_err() {
            continue;
        }
        if flaws {
            let sound = section.clone();
            spoil(&mut section, rng);
            if read(&section).is_err() {
                section = sound;
            }
        }
        return Scene { kind, process, section, extra };
    }
    plain(kind, process)
}

/// A tee welded from both sides, upright at a right angle and tight, as the two shapes say.
#[must_use]
pub fn tee_of(right: &Fillet, left: &Fillet, upright_mm: f64, base_mm: f64) -> Section {
    let corner = |x| Corner { x, angle: FRAC_PI_2 };
    let mirrored = left.outline().iter().map(|p| Point::new(-upright_mm - p.x, p.y)).collect();
    let plates = Plates::Tee(Tee {
        right: corner(0.0),
        left: Some(corner(-upright_mm)),
        upright_thickness: Some(upright_mm),
        base_thickness: Some(base_mm),
        gap: 0.0,
    });
    let fused = vec![
        Fused { side: Side::Right, outline: right.outline(), exact: true },
        Fused { side: Side::Left, outline: mirrored, exact: true },
    ];
    Section::exact(plates, fused)
}

/// A scene that always works: a flat fillet, a half ellipse.
fn plain(kind: Kind, process: Process) -> Scene {
    let round = |turn: f64| -> Vec<Point> {
        (0..240)
            .map(|i| {
                let (s, c) = (2.0 * PI * f64::from(i) / 240.0).sin_cos();
                Point::new(2.0 * c, turn * (0.4 + 0.6 * if s < 0.0 { 3.0 } else { 1.0 } * s))
            })
            .collect()
    };
    let fused = |side, outline| Fused { side, outline, exact: true };
    let down = |outline: Vec<Point>, t: f64| {
        outline.iter().map(|p| Point::new(p.x, p.y - t)).collect::<Vec<_>>()
    };
    let butt = Butt {
        top: [Face::level(0.0); 2],
        bottom: Some([Face::level(-6.0); 2]),
        joint_line: Some([Point::default(), Point::new(0.0, -6.0)]),
        gap: 0.0,
    };
    let tee = |left: bool| Tee {
        right: Corner { x: 0.0, angle: FRAC_PI_2 },
        left: left.then_some(Corner { x: -6.0, angle: FRAC_PI_2 }),
        upright_thickness: Some(6.0),
        base_thickness: Some(8.0),
        gap: 0.0,
    };
    let fillet = |mirror: bool| -> Vec<Point> {
        let corners = [(5.0, 0.0), (0.0, 5.0), (-0.8, 2.0), (-1.0, -1.0), (2.0, -0.8), (5.0, 0.0)];
        let mut out = Vec::new();
        for w in corners.windows(2) {
            for k in 0..50 {
                let p = Point::new(w[0].0, w[0].1)
                    .towards(Point::new(w[1].0, w[1].1), f64::from(k) / 50.0);
                out.push(if mirror { Point::new(-6.0 - p.x, p.y) } else { p });
            }
        }
        out
    };
    let (plates, fused) = match kind {
        Kind::Bead => (Plates::Bead, vec![fused(Side::Only, round(1.0))]),
        Kind::ButtOneSided => (Plates::Butt(butt), vec![fused(Side::Top, round(1.0))]),
        Kind::ButtTwoSided => (
            Plates::Butt(butt),
            vec![fused(Side::Top, round(1.0)), fused(Side::Bottom, down(round(-1.0), 6.0))],
        ),
        Kind::TeeOneSided => (Plates::Tee(tee(false)), vec![fused(Side::Right, fillet(false))]),
        Kind::TeeTwoSided => (
            Plates::Tee(tee(true)),
            vec![fused(Side::Right, fillet(false)), fused(Side::Left, fillet(true))],
        ),
    };
    Scene { kind, process, section: Section::exact(plates, fused), extra: Extra::default() }
}

fn affected(process: Process, rng: &mut ChaCha8Rng) -> f64 {
    match process {
        Process::Laser => rng.random_range(0.25..0.9),
        Process::Arc => rng.random_range(0.9..2.6),
    }
}

/// A few slow waves, 0 at both ends, amplitude about `size`.
fn unevenness(size: f64, rng: &mut ChaCha8Rng) -> Uneven {
    Uneven::of(size, || rng.random_range(-1.0..1.0))
}

/// The same as a function of the share of the way.
fn waves(size: f64, rng: &mut ChaCha8Rng) -> impl Fn(f64) -> f64 + use<> {
    let uneven = unevenness(size, rng);
    move |t| uneven.at(t)
}

/// How far the far lip of a groove stands over the surface, mm: nothing that shows.
const LIP: f64 = 1e-6;

/// A zone seen with its own surface up: width at the surface, depth, height over the surface (negative: underfill).
struct Wanted {
    width: f64,
    depth: f64,
    height: f64,
    fancy: bool,
}

fn zone(process: Process, want: &Wanted, rng: &mut ChaCha8Rng) -> Vec<Point> {
    let half = 0.5 * want.width;
    let depth = want.depth;
    let finger = match process {
        Process::Laser => rng.random_range(0.35..0.8_f64).min(0.8 * half),
        Process::Arc if rng.random_bool(0.3) => half * rng.random_range(0.3..0.6),
        Process::Arc => half,
    };
    let blunt = match process {
        Process::Laser => rng.random_range(0.45..1.0),
        Process::Arc => rng.random_range(0.7..1.25),
    };
    let head = match process {
        Process::Laser => rng.random_range(0.35..0.9_f64),
        Process::Arc => depth * rng.random_range(0.35..0.6),
    };
    let waist = rng.random_range(-0.12..0.12);
    let lean = rng.random_range(-0.06..0.06);
    let bend = rng.random_range(-0.06..0.06);
    let uneven = [waves(0.018 * want.width, rng), waves(0.018 * want.width, rng)];
    let skew = rng.random_range(0.88..1.12);
    let side = |sign: f64, u: f64| {
        let z = depth * (FRAC_PI_2 * u).sin();
        let c = (FRAC_PI_2 * u).cos().max(0.0).powf(blunt);
        let belly = 1.0 + waist * (PI * (z / depth)).sin();
        let wide = finger * c * belly
            + (half - finger) * (-(z / head).powi(2)).exp() * if u < 1.0 { 1.0 } else { 0.0 };
        let taper = (FRAC_PI_2 * u).cos().max(0.0).powf(0.3);
        let w = if sign < 0.0 { skew * wide } else { wide / skew }
            + taper * uneven[usize::from(sign > 0.0)](u);
        let axis = lean * z + bend * z * z / depth;
        Point::new(axis + sign * w.max(0.0), -z)
    };
    const N: usize = 110;
    let mut out: Vec<Point> = (0..N).map(|i| side(-1.0, i as f64 / N as f64)).collect();
    out.extend((0..=N).rev().map(|i| side(1.0, i as f64 / N as f64)));
    let (left, right) = (out[0], out[2 * N]);
    // Grooves beside the toes.
    let groove = |rng: &mut ChaCha8Rng| {
        (want.fancy && rng.random_bool(0.15)).then(|| {
            (rng.random_range(0.35..0.8_f64).min(0.25 * half), rng.random_range(0.08..0.3))
        })
    };
    let (gl, gr) = (groove(rng), groove(rng));
    let (mut from, mut to) = (right.x, left.x);
    if let Some((w, d)) = gr {
        // The far lip ends a hair above the surface, so that the groove ends there however the zone bulges below.
        out[2 * N].y = LIP;
        out.extend((1..=24).map(|i| {
            let t = f64::from(i) / 24.0;
            Point::new(
                right.x - w * t,
                if i == 24 { 0.0 } else { -d * (PI * t).sin().max(0.0).powf(1.4) },
            )
        }));
        from -= w;
    }
    if let Some((w, _)) = gl {
        to += w;
        out[0].y = LIP;
    }
    let round = rng.random_range(1.8..2.8);
    let tip = rng.random_range(-0.12..0.12);
    const CAP: usize = 60;
    for i in 1..CAP {
        let t = i as f64 / CAP as f64;
        let v: f64 = 2.0 * t - 1.0;
        let y = want.height * (1.0 - v.abs().powf(round)) * (1.0 + tip * v);
        out.push(Point::new(from + (to - from) * t, y));
    }
    if let Some((w, d)) = gl {
        out.extend((0..24).map(|i| {
            let t = f64::from(i) / 24.0;
            Point::new(to - w * t, -d * (PI * t).sin().max(0.0).powf(1.4))
        }));
    }
    out
}

type Made = (Plates, Vec<Fused>, Extra);

fn extra(process: Process, plate_mm: f64, rng: &mut ChaCha8Rng) -> Extra {
    Extra {
        plate_mm,
        affected_mm: affected(process, rng),
        half_width_mm: rng.random_range(11.0..24.0),
        upright_height_mm: rng.random_range(14.0..30.0),
    }
}

fn bead(process: Process, fancy: bool, rng: &mut ChaCha8Rng) -> Made {
    let t = rng.random_range(3.0..12.0);
    let want = match process {
        Process::Laser => Wanted {
            width: rng.random_range(1.6..4.5),
            depth: rng.random_range(0.8..5.5_f64).min(0.85 * t),
            height: rng.random_range(-0.15..0.7),
            fancy,
        },
        Process::Arc => Wanted {
            width: rng.random_range(5.0..11.0),
            depth: rng.random_range(1.0..4.0_f64).min(0.7 * t),
            height: rng.random_range(0.8..3.0),
            fancy,
        },
    };
    let outline = zone(process, &want, rng);
    (Plates::Bead, vec![Fused { side: Side::Only, outline, exact: true }], extra(process, t, rng))
}

fn butt(process: Process, both: bool, fancy: bool, rng: &mut ChaCha8Rng) -> Made {
    let t: f64 = if both { rng.random_range(5.0..12.0) } else { rng.random_range(3.0..8.0) };
    let gap = if rng.random_bool(0.6) { 0.0 } else { rng.random_range(0.05..0.5) };
    let high = if rng.random_bool(0.3) { rng.random_range(0.1..0.12 * t) } else { 0.0 };
    let wanted = |rng: &mut ChaCha8Rng| {
        let (width, height) = match process {
            Process::Laser => (rng.random_range(1.8..4.5), rng.random_range(-0.25..0.6)),
            Process::Arc => (rng.random_range(5.0..10.0), rng.random_range(0.5..2.2)),
        };
        let depth = if both {
            t * rng.random_range(0.3..0.72)
        } else if rng.random_bool(0.55) {
            t + rng.random_range(0.15..0.8)
        } else {
            t * rng.random_range(0.4..0.93)
        };
        Wanted { width, depth, height, fancy }
    };
    let shape = |rng: &mut ChaCha8Rng| {
        let want = wanted(rng);
        let aim = rng.random_range(-0.35..0.35);
        let points = zone(process, &want, rng);
        // Right plate lower by `high`: the weld runs down from one to the other.
        let slope = 0.35 * want.width;
        (points, aim, slope)
    };
    let place = |(points, aim, slope): (Vec<Point>, f64, f64), turned: bool| -> Vec<Point> {
        points
            .iter()
            .map(|p| {
                let s = ((p.x + slope) / (2.0 * slope)).clamp(0.0, 1.0);
                let drop = high * s * s * (3.0 - 2.0 * s);
                let y = if turned { -t - p.y } else { p.y };
                Point::new(p.x + aim, y - drop)
            })
            .collect()
    };
    let plates = Plates::Butt(Butt {
        top: [Face::level(0.0), Face::level(-high)],
        bottom: Some([Face::level(-t), Face::level(-t - high)]),
        joint_line: Some([Point::default(), Point::new(0.0, -t - high)]),
        gap,
    });
    let mut fused = vec![Fused { side: Side::Top, outline: place(shape(rng), false), exact: true }];
    if both {
        fused.push(Fused { side: Side::Bottom, outline: place(shape(rng), true), exact: true });
    } else if rng.random_bool(0.5) {
        fused[0].side = Side::Only;
    }
    (plates, fused, extra(process, t, rng))
}

fn tee(process: Process, both: bool, fancy: bool, rng: &mut ChaCha8Rng) -> Made {
    let angle: f64 = if rng.random_bool(0.75) {
        (90.0 + rng.random_range(-1.5..1.5_f64)).to_radians()
    } else {
        rng.random_range(70.0..110.0_f64).to_radians()
    };
    let t: f64 = rng.random_range(3.0..10.0);
    let base: f64 = rng.random_range(4.0..12.0);
    let gap = if rng.random_bool(0.7) { 0.0 } else { rng.random_range(0.05..0.5) };
    let left = both.then(|| Corner { x: -t / angle.sin(), angle: PI - angle });
    let right = fillet(process, angle, t.min(base), fancy, rng).outline();
    let side = if !both && rng.random_bool(0.5) { Side::Only } else { Side::Right };
    let mut fused = vec![Fused { side, outline: right, exact: true }];
    if let Some(corner) = left {
        let other = fillet(process, corner.angle, t.min(base), fancy, rng).outline();
        let outline = other.iter().map(|p| Point::new(corner.x - p.x, p.y)).collect();
        fused.push(Fused { side: Side::Left, outline, exact: true });
    }
    let plates = Plates::Tee(Tee {
        right: Corner { x: 0.0, angle },
        left,
        upright_thickness: Some(t),
        base_thickness: Some(base),
        gap,
    });
    (plates, fused, extra(process, base, rng))
}

/// A fillet's shape from the seed, in the ranges that shop welds show.
fn fillet(process: Process, angle: f64, thin: f64, fancy: bool, rng: &mut ChaCha8Rng) -> Fillet {
    let laser = process == Process::Laser;
    let size = if laser {
        rng.random_range(2.4..5.5)
    } else {
        rng.random_range(4.0..8.0_f64).min(1.1 * thin + 1.5)
    };
    let base_leg = size * rng.random_range(0.88..1.15);
    let upright_leg = size * rng.random_range(0.88..1.15);
    let shallow: std::ops::Range<f64> = if laser { 0.15..0.6 } else { 0.4..1.5 };
    let in_base = rng.random_range(shallow.clone()).min(0.4 * thin);
    let mut in_upright = rng.random_range(shallow).min(0.4 * thin);
    let open = fancy && rng.random_bool(0.10);
    let undercut = (fancy && rng.random_bool(0.2))
        .then(|| (rng.random_range(0.4..0.9), rng.random_range(0.1..0.35)));
    if let Some((_, d)) = undercut {
        in_upright = f64::max(in_upright, 2.2 * d);
    }
    let lip = (fancy && undercut.is_none() && rng.random_bool(0.12))
        .then(|| (rng.random_range(0.4..1.0), rng.random_range(0.15..0.3)));
    let (mut unfused, mut root) = (None, 0.0);
    if open {
        let (a, b) =
            (rng.random_range(0.1..0.24) * upright_leg, rng.random_range(0.1..0.24) * base_leg);
        unfused = Some([a, b, rng.random_range(0.0..0.12)]);
    } else {
        root = rng.random_range(0.15..0.5) * in_base.min(in_upright).max(0.2);
    }
    let torch = rng.random_range(24.0..52.0_f64).to_radians() * angle / FRAC_PI_2;
    let (finger, half_width) = match process {
        Process::Laser => (
            rng.random_range(0.3..1.0) * rng.random_range(0.5..4.5_f64).min(0.75 * thin),
            rng.random_range(0.4..0.85),
        ),
        Process::Arc => {
            (rng.random_range(0.0..1.6_f64).min(0.3 * thin), rng.random_range(1.0..2.2))
        }
    };
    let blunt = rng.random_range(1.7..2.6);
    let uneven = unevenness(0.02 * size, rng);
    let bulge = if rng.random_bool(0.55) {
        rng.random_range(0.0..0.16)
    } else {
        rng.random_range(-0.10..0.0)
    };
    let lopsided = rng.random_range(-0.4..0.4);
    Fillet {
        angle,
        base_leg,
        upright_leg,
        in_base,
        in_upright,
        root,
        unfused,
        torch,
        finger,
        half_width,
        blunt,
        uneven,
        bulge,
        lopsided,
        undercut,
        lip,
    }
}

/// Pores, a crack, a lack-of-fusion line.
fn spoil(section: &mut Section, rng: &mut ChaCha8Rng) {
    let outlines: Vec<Vec<Point>> = section.fused.iter().map(|f| f.outline.clone()).collect();
    let Some(outline) = outlines.get(rng.random_range(0..outlines.len().max(1))) else { return };
    let n = outline.len();
    let inner = |rng: &mut ChaCha8Rng, room: f64| {
        (0..40).find_map(|_| {
            let (a, b) = (outline[rng.random_range(0..n)], outline[rng.random_range(0..n)]);
            let p = a.towards(b, rng.random_range(0.2..0.8));
            (contains(outline, p, 0.0) && to_boundary(p, outline) > room).then_some(p)
        })
    };
    if rng.random_bool(0.3) {
        for _ in 0..rng.random_range(1..5) {
            let r: f64 = rng.random_range(0.05..0.28);
            let Some(at) = inner(rng, r + 0.06) else { continue };
            let (long, turn) = (rng.random_range(1.0..1.25), rng.random_range(0.0..PI));
            let clear = section.pores.iter().flatten().all(|p| (*p - at).norm() > 2.0 * r);
            if clear {
                section.pores.push(
                    (0..32)
                        .map(|i| {
                            let (s, c) = (2.0 * PI * f64::from(i) / 32.0).sin_cos();
                            let (u, v) = (r * c, r * s / long);
                            at + Point::new(
                                u * turn.cos() - v * turn.sin(),
                                u * turn.sin() + v * turn.cos(),
                            )
                        })
                        .collect(),
                );
            }
        }
    }
    if rng.random_bool(0.08)
        && let Some(at) = inner(rng, 0.3)
    {
        let long = rng.random_range(0.3..1.2);
        let turn: f64 = FRAC_PI_2 + rng.random_range(-0.5..0.5);
        let wave = waves(0.03, rng);
        let line: Vec<Point> = (0..=20)
            .map(|i| {
                let t = f64::from(i) / 20.0;
                let along = Point::new(turn.cos(), turn.sin());
                at + along * ((t - 0.5) * long) + along.left() * wave(t)
            })
            .take_while(|p| contains(outline, *p, 0.0))
            .collect();
        if line.len() > 4 {
            section.cracks.push(line);
        }
    }
    if rng.random_bool(0.08) {
        // Along the fusion line, where it is steep: lack of side-wall fusion.
        let from = rng.random_range(0..n);
        let line: Vec<Point> = (0..18).map(|k| outline[(from + k) % n]).collect();
        if line.iter().all(|p| p.y < -0.3) {
            section.unfused.push(line);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every scene is drawn by its own geometry, not by the one that always works.
    #[test]
    fn scenes_can_be_read_and_are_simple() {
        for kind in Kind::ALL {
            for seed in 0..120 {
                let made = scene(kind, seed % 2 == 0, seed);
                assert!(read(&made.section).is_ok(), "{kind:?} {seed}");
                assert_ne!(
                    made.section,
                    plain(kind, made.process).section,
                    "{kind:?} {seed} fell back"
                );
                for f in &made.section.fused {
                    assert!(f.outline.len() >= 200, "{kind:?} {seed}: {} points", f.outline.len());
                }
            }
        }
    }
}
