//! The fused zone that a melt and its wire make in a joint, as the section that a cut would show.
//!
//! ```text
//!              │ upright│                       along the beam s (from the corner inward), square to it n (up +)
//!        shoulder ╲_    ● toe                   zone   |s/h|^m + |2 (n - e)/w|^m <= 1 behind the corner
//!         ╭─────────╲_ ╱ ╲   face               toes   where zone or deposit reach farther; the face is the cap of the
//!   P ●━━━│━━━━━━━━━━C    ╲                            deposit on them
//!         ╰──╮      ╱──────● toe                P      where the zone leaves the joint line:
//!   ─────────╰─────╯  base ─────                       [((p cos b + c)/h)^m + |2 (p sin b - e)/w|^m] = 1
//! ```
//!
//! c is the metal that the axis passes before it is level with the corner: none at e = 0. No ray melts more than h of
//! metal, so p is at most h sin(ψ - b)/sin ψ: h cos b in a square tee.
//! Past half the width over sin b depth buys no throat: width or a flatter torch does, and hand scatter in aim moves P by
//! e / sin b. Deposit that the beam's own toes do not hold lies on legs of its own: fused by the pool's heat while the
//! parent metal melted stays under the ceiling of [`greatest_area`](crate::melt::Melt::greatest_area), else lying there
//! unfused (overlap). Nothing is read here: throat, areas and dilution come from `weld::section`, as for a photograph.
//!
//! Guarantees: outlines are simple and counter-clockwise; the deposit's area is kept to 0.04 % of its cap.
//! Not checked on a real tee; the wedge at the toes is a straight line from toe to shoulder.
//! Not covered: sag under gravity, undercut, humping, several passes, an aim that misses the corner (refused).

use std::f64::consts::PI;

use weld::quantity::{Angle, Area, Length, Share};
use weld::section::outline::{area, first_self_crossing};
use weld::section::{Butt, Face, Fused, Plates as Seen, Point, Section, Side};

use crate::deposit::{self, DepositError, Groove, cap, segment_area};
use crate::melt::Melt;
use crate::setting::{Laser, Plates, tee_section};

/// A predicted section and what must be said about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawn {
    /// The section.
    pub section: Section,
    /// Where the zone leaves the joint line of a tee, mm.
    pub root_reach: Option<f64>,
    /// Share of its width that a tee's zone keeps where the heat does not melt all of it; else 1.
    pub narrowed: f64,
    /// What bites.
    pub warnings: Vec<Limit>,
}

/// A limit that bites.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// One word or two.
    pub what: &'static str,
    /// The fact, with numbers.
    pub fact: String,
    /// What to try.
    pub advice: &'static str,
}

impl Limit {
    pub(crate) const fn new(what: &'static str, fact: String, advice: &'static str) -> Self {
        Self { what, fact, advice }
    }
}

/// The caution that depth is counted from the corner, with the deposit behind the beam.
pub const BEFORE_THE_ROOT: &str = "deposit before the root";

/// How far a deposit's toes are fused where they stand beyond the beam's own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Toes {
    /// No farther than the beam melts: what is expected, since no section shows more.
    Beam,
    /// As far as the pool's heat could at most: the high end of a band.
    Pool,
}

/// Why no section comes of a melt.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum FusedError {
    /// Nothing melts.
    #[error("nothing melts: {absorbed:.0} W are absorbed and spread too fast")]
    Cold {
        /// Absorbed power, W.
        absorbed: f64,
    },
    /// The axis passes the corner by more than half the zone.
    #[error(
        "the beam misses the corner: it passes {aim:.2} mm from it and melts {half:.2} mm to either side"
    )]
    Missed {
        /// How far the axis passes, mm.
        aim: f64,
        /// Half the width, mm.
        half: f64,
    },
    /// What the axis meets before the corner takes the whole depth.
    #[error(
        "the corner stays unfused: aimed so, the beam meets a plate {before:.2} mm before it and melts {depth:.2} mm deep"
    )]
    Short {
        /// Depth along the beam, mm.
        depth: f64,
        /// Metal along the axis before the corner, mm.
        before: f64,
    },
    /// The torch would have to stand inside the upright.
    #[error(
        "at {torch:.0}° the torch stands inside the upright, which leans to {upright:.0}° on the weld's side"
    )]
    Inside {
        /// Torch angle, degrees.
        torch: f64,
        /// Angle between the plates, degrees.
        upright: f64,
    },
    /// The gap takes more metal than there is.
    #[error(
        "the gap of {gap:.2} mm takes {taken:.2} mm² of a deposit of {deposit:.2} mm²: the face falls too far below the surface to be a weld's"
    )]
    Underfilled {
        /// The gap, mm.
        gap: f64,
        /// What it takes, mm².
        taken: f64,
        /// What is fed, mm².
        deposit: f64,
    },
    /// The deposit cannot lie there.
    #[error("{0}")]
    Deposit(#[from] DepositError),
}

impl FusedError {
    /// What to do next.
    #[must_use]
    pub const fn advice(&self) -> &'static str {
        match self {
            Self::Cold { .. } => "more power, slower travel, a smaller spot, or less wire",
            Self::Missed { .. } => "aim at the corner, or swing wider",
            Self::Short { .. } => "aim at the corner",
            Self::Inside { .. } => {
                "lay the torch flatter: torch_angle below the angle between the plates by 10° and more"
            }
            Self::Underfilled { .. } => "close the gap, or feed wire",
            Self::Deposit(e) => e.advice(),
        }
    }
}

/// A beam in the corner of a tee, mm and radians: it comes in at `torch` to the base, its axis passes the corner by `aim`
/// (up the upright +), and what it melts is `depth` long, `mid` wide and of the shape `exponent`.
///
/// Depth is counted along the axis from where it meets the plates: the corner itself at aim 0. No ray melts more metal
/// than that depth, whichever plate it enters by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InCorner {
    /// Between beam and base, rad.
    pub torch: f64,
    /// Between the plates, rad; more than `torch`.
    pub between: f64,
    /// Axis past the corner, mm.
    pub aim: f64,
    /// Along the beam, mm.
    pub depth: f64,
    /// Width of the body, mm.
    pub mid: f64,
    /// Of its outline.
    pub exponent: f64,
}

impl InCorner {
    /// Metal that a ray `n` above the corner passes before it is level with it, mm. None where the upright leans away.
    fn before(&self, n: f64) -> f64 {
        let lean = if n > 0.0 { self.between - self.torch } else { self.torch };
        (n.abs() / lean.tan()).max(0.0)
    }

    /// How far below the corner the ray `n` melts, mm; below 0 where it ends before it. None outside the body.
    fn below(&self, n: f64) -> Option<f64> {
        let across = (2.0 * (n - self.aim).abs() / self.mid).powf(self.exponent);
        let body = (across <= 1.0).then(|| {
            self.depth * (1.0 - across).powf(self.exponent.recip()) - self.before(self.aim)
        })?;
        Some(body.max(0.0).min(self.depth - self.before(n)))
    }

    /// Whether the corner itself melts; else why not.
    fn hits(&self) -> Result<(), FusedError> {
        if self.aim.abs() >= 0.5 * self.mid {
            return Err(FusedError::Missed { aim: self.aim, half: 0.5 * self.mid });
        }
        if self.below(0.0).is_none_or(|s| s <= 0.0) {
            let (depth, before) = (self.depth, self.before(self.aim));
            return Err(FusedError::Short { depth, before });
        }
        Ok(())
    }

    /// How far along the joint line it fuses, mm; 0 when the corner itself is not fused.
    #[must_use]
    pub fn root_reach(&self) -> f64 {
        if self.hits().is_err() {
            return 0.0;
        }
        let (sin, cos) = self.torch.sin_cos();
        let fuses = |p: f64| self.below(p * sin).is_some_and(|s| p * cos <= s);
        let (mut low, mut high) = (0.0, (0.5 * self.mid + self.aim.abs()) / sin.max(1e-3) + 1e-9);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if fuses(middle) { low = middle } else { high = middle }
        }
        low
    }

    /// Points of the body's outline, from its upper side to its lower: depth below the corner and height n, mm.
    fn body(&self) -> Vec<(f64, f64)> {
        const PIECES: u32 = 48;
        let power = 2.0 / self.exponent;
        (0..=PIECES)
            .map(|i| {
                let (sin, cos) = (PI * f64::from(i) / f64::from(PIECES)).sin_cos();
                let n = self.aim + 0.5 * self.mid * cos.abs().powf(power).copysign(cos);
                let s = self.depth * sin.max(0.0).powf(power) - self.before(self.aim);
                (s.max(0.0).min(self.depth - self.before(n)), n)
            })
            .collect()
    }
}

/// The section of a melt.
///
/// # Errors
///
/// When nothing melts, the beam misses, or the deposit cannot lie there.
pub fn section(
    laser: &Laser,
    joint: &Plates,
    melt: &Melt,
    toes: Toes,
) -> Result<Drawn, FusedError> {
    if !(melt.depth > 1e-6 && melt.surface_width > 1e-6) {
        return Err(FusedError::Cold { absorbed: melt.heat });
    }
    match *joint {
        Plates::Bead { .. } => Ok(bead(melt)),
        Plates::Butt { thickness, gap, both } => butt(laser, melt, thickness, gap, both),
        Plates::Tee { base, upright, angle, gap, both } => {
            let plates = TeePlates { base, upright, angle, gap, both };
            tee(laser, melt, plates, toes)
        }
    }
}

/// Half of a bead's outline under the surface, from the right toe down to the bottom, mm.
fn side_of(melt: &Melt, x: f64) -> Vec<Point> {
    const PIECES: u32 = 40;
    let depth = melt.depth * 1e3;
    (0..=PIECES)
        .map(|i| {
            // Denser near surface and bottom.
            let share = 0.5 * (1.0 - (PI * f64::from(i) / f64::from(PIECES)).cos());
            let z = share * melt.depth;
            Point::new(x + melt.half_width(z) * 1e3, -share * depth)
        })
        .collect()
}

/// The outline of a zone under a level surface with a cap, counter-clockwise; deposit that laps over the toes lies on the
/// surface as a half circle.
fn under_surface(melt: &Melt, x: f64, crown: Option<Length>, laps: Option<f64>) -> Vec<Point> {
    let right = side_of(melt, x);
    let mut out: Vec<Point> = right.iter().map(|p| Point::new(2.0 * x - p.x, p.y)).collect();
    out.extend(right.iter().rev().copied());
    let (from, to) = (right[0], out[0]);
    if let Some(half) = laps {
        let ends = [Point::new(x + half, 0.0), Point::new(x - half, 0.0)];
        out.extend(cap(ends[0], ends[1], Length::from_mm(half)));
    } else if let Some(crown) = crown {
        let face = cap(from, to, crown);
        out.extend(face[1..face.len().max(2) - 1].iter().copied());
    }
    out.dedup_by(|a, b| (*a - *b).norm() < 1e-9);
    out
}

/// Sagitta of an area on a chord, or half the width of the half circle that it makes when it laps over the toes.
fn crown(
    chord: f64,
    mm2: f64,
    warnings: &mut Vec<Limit>,
) -> Result<(Option<Length>, Option<f64>), DepositError> {
    match deposit::sagitta(Length::from_mm(chord), Area::from_mm2(mm2)) {
        Ok(s) => {
            over_fed(s.mm() / chord, warnings);
            Ok((Some(s), None))
        }
        Err(DepositError::TooMuch { .. }) => {
            let half = (2.0 * mm2 / PI).sqrt();
            warnings.push(Limit::new(
                "overlap",
                format!(
                    "{mm2:.1} mm² of deposit on a zone {chord:.2} mm wide lap over its toes by {:.2} mm a side",
                    half - 0.5 * chord
                ),
                "less wire, or a wider wobble",
            ));
            Ok((None, Some(half)))
        }
        Err(e) => Err(e),
    }
}

/// A bulging face is over-fed. The limit is common practice.
fn over_fed(ratio: f64, warnings: &mut Vec<Limit>) {
    if ratio > 0.1 {
        warnings.push(Limit::new(
            "convex face",
            format!(
                "the face stands {:.0} % of its width out: over-fed (common practice: 10 %)",
                100.0 * ratio
            ),
            "less wire, faster wire-free travel, or a wider wobble",
        ));
    }
}

fn bead(melt: &Melt) -> Drawn {
    let mut warnings = Vec::new();
    // No more than a half circle is drawn, so nothing is left to refuse.
    let (crown, laps) =
        crown(melt.surface_width * 1e3, melt.deposit.mm2(), &mut warnings).unwrap_or_default();
    let outline = under_surface(melt, 0.0, crown, laps);
    let fused = Fused { side: Side::Only, outline, exact: true };
    Drawn {
        section: Section::exact(Seen::Bead, vec![fused]),
        root_reach: None,
        narrowed: 1.0,
        warnings,
    }
}

fn butt(
    laser: &Laser,
    melt: &Melt,
    thickness: Length,
    gap: Length,
    both: bool,
) -> Result<Drawn, FusedError> {
    let mut warnings = Vec::new();
    let t = thickness.mm();
    let aim = laser.aim.mm();
    // Each side fills as much of the gap as it melts; two sides share it.
    let filled = if both { (0.5 * t).min(melt.depth * 1e3) } else { melt.depth * 1e3 };
    let groove = Groove {
        gap,
        depth: Length::from_mm(filled),
        top_width: Length::from_mm(melt.surface_width * 1e3),
        root_width: Length::ZERO,
        root_share: Share::ZERO,
    };
    let (crown, laps) = match deposit::butt(melt.deposit, groove) {
        Ok(laid) => {
            over_fed(laid.crown.mm() / (melt.surface_width * 1e3), &mut warnings);
            (Some(laid.crown), None)
        }
        Err(DepositError::TooMuch { .. }) => {
            let over = melt.deposit.mm2() - gap.mm() * filled;
            self::crown(melt.surface_width * 1e3, over, &mut warnings)?
        }
        Err(DepositError::TooLittle { .. }) => return Err(underfilled(melt, gap, filled)),
        Err(e) => return Err(e.into()),
    };
    let top = under_surface(melt, aim, crown, laps);
    // A hollow that cuts into the zone's own sides is no face.
    if crown.is_some_and(|c| c.mm() < 0.0) && first_self_crossing(&top).is_some() {
        return Err(underfilled(melt, gap, filled));
    }
    let turned = |outline: &[Point]| -> Vec<Point> {
        outline.iter().rev().map(|p| Point::new(p.x, -t - p.y)).collect()
    };
    let fused = if both {
        let bottom = turned(&top);
        vec![
            Fused { side: Side::Top, outline: top, exact: true },
            Fused { side: Side::Bottom, outline: bottom, exact: true },
        ]
    } else {
        vec![Fused { side: Side::Only, outline: top, exact: true }]
    };
    let plates = Butt {
        top: [Face::level(0.0); 2],
        bottom: Some([Face::level(-t); 2]),
        joint_line: Some([Point::new(0.0, 0.0), Point::new(0.0, -t)]),
        gap: gap.mm(),
    };
    let section = Section::exact(Seen::Butt(plates), fused);
    Ok(Drawn { section, root_reach: None, narrowed: 1.0, warnings })
}

fn underfilled(melt: &Melt, gap: Length, filled: f64) -> FusedError {
    FusedError::Underfilled { gap: gap.mm(), taken: gap.mm() * filled, deposit: melt.deposit.mm2() }
}

/// An overlap that is worth a word, mm.
const LEAST_OVERLAP: f64 = 0.05;

/// What a tee's outline is made from, mm.
struct Reach {
    /// Unit step along the beam, inward.
    along: Point,
    /// Unit step square to it, up.
    up: Point,
    /// Unit step along the upright.
    upright: Point,
    beam: InCorner,
    /// Leg of the gap on the upright.
    edge: f64,
    gap: f64,
    run_in: f64,
}

impl Reach {
    fn outline(&self, face: &[Point], narrower: f64) -> Vec<Point> {
        let mut out = face.to_vec();
        // An upright that leans away from the beam cuts the body's upper shoulder off.
        let beam = InCorner { mid: self.beam.mid * narrower, ..self.beam };
        let zone = beam.body().into_iter().map(|(s, n)| self.along * s + self.up * n);
        // Struck squarely, its shoulders lie on the upright's face to the last bits.
        out.extend(zone.skip_while(|&p| self.upright.cross(p) <= 1e-9));
        out.dedup_by(|a, b| (*a - *b).norm() < 1e-9);
        out
    }
}

/// The face from the base toe to the upright toe, given the fused legs (mm, net of the gap), and how far it bulges over its
/// chord.
fn face(
    reach: &Reach,
    deposit: f64,
    base: f64,
    upright: f64,
    warnings: &mut Vec<Limit>,
) -> Vec<Point> {
    let at = |k: f64| (Point::new(k * base, 0.0), reach.upright * (k * upright + reach.edge));
    let (b, u) = at(1.0);
    let free = deposit - reach.gap * reach.run_in;
    let chord = (u - b).norm();
    let triangle = 0.5 * b.cross(u);
    // The face may dip until it lies along the flatter of the two plates.
    let lean = |tip: Point, other: Point| {
        let (edge, way) = (tip * -1.0, other - tip);
        edge.cross(way).abs().atan2(edge.dot(way))
    };
    let deepest = 0.5 * (0.5 * lean(b, u).min(lean(u, b)) * 0.98).tan();
    let segment = |ratio: f64| {
        segment_area(Length::from_mm(chord), Length::from_mm(ratio * chord))
            .map_or(0.0, |a| a.mm2())
    };
    let least = triangle - segment(deepest);
    let most = triangle + segment(0.5);
    if free >= least && free <= most {
        let over = Area::from_mm2(free - triangle);
        let s = deposit::sagitta(Length::from_mm(chord), over).unwrap_or(Length::ZERO);
        over_fed(s.mm() / chord, warnings);
        return cap(b, u, s);
    }
    if free > most {
        let k = (free / most).sqrt();
        let over = (k - 1.0) * base.max(upright);
        if over >= LEAST_OVERLAP {
            warnings.push(Limit::new(
                "overlap",
                format!(
                    "{deposit:.1} mm² of deposit on toes {chord:.2} mm apart lap over them by {over:.2} mm"
                ),
                "less wire, or a wider wobble",
            ));
        }
        let (kb, ku) = at(k);
        let wide = (ku - kb).norm();
        let mut out = vec![b];
        out.extend(cap(kb, ku, Length::from_mm(0.5 * wide)));
        out.push(u);
        return out;
    }
    // Little or no wire: what there is lies in the corner, and the plates' own surfaces are the rest of the face.
    let mut out = vec![b];
    if free > 1e-3 {
        let k = (free / least).sqrt();
        let (kb, ku) = at(k);
        let wide = (ku - kb).norm();
        out.extend(cap(kb, ku, Length::from_mm(-deepest * wide)));
    } else {
        out.push(Point::new(0.0, 0.0));
        if reach.gap > 0.0 {
            warnings.push(Limit::new(
                "gap",
                format!(
                    "the gap of {:.2} mm takes {:.2} mm² and {deposit:.2} mm² are fed",
                    reach.gap,
                    reach.gap * reach.run_in
                ),
                "close the gap, or feed more wire",
            ));
        }
    }
    out.push(u);
    out
}

#[derive(Clone, Copy)]
struct TeePlates {
    base: Length,
    upright: Length,
    angle: Angle,
    gap: Length,
    both: bool,
}

fn tee(laser: &Laser, melt: &Melt, plates: TeePlates, toes: Toes) -> Result<Drawn, FusedError> {
    let TeePlates { base, upright, angle, gap, both } = plates;
    let (b, psi) = (laser.torch_angle.rad(), angle.rad());
    if b > psi - 10.0_f64.to_radians() {
        return Err(FusedError::Inside { torch: laser.torch_angle.deg(), upright: angle.deg() });
    }
    let mut warnings = Vec::new();
    let (aim, depth, mid, top) =
        (laser.aim.mm(), melt.depth * 1e3, melt.mid_width * 1e3, melt.surface_width * 1e3);
    let beam = InCorner { torch: b, between: psi, aim, depth, mid, exponent: melt.exponent };
    beam.hits()?;
    let (sin, cos) = b.sin_cos();
    let run_in = beam.root_reach();
    let reach = Reach {
        along: Point::new(-cos, -sin),
        up: Point::new(-sin, cos),
        upright: Point::new(psi.cos(), psi.sin()),
        beam,
        edge: gap.mm() / psi.sin(),
        gap: gap.mm(),
        run_in,
    };
    // Toes of the beam itself, and legs that the deposit makes (flat, equal).
    let on_upright = if psi - b <= 0.5 * PI {
        (0.5 * top + aim) / (psi - b).sin()
    } else {
        // It leans away from the beam: the toe is where the body itself leaves it.
        let (away, sideways) = (-(psi - b).cos(), (psi - b).sin());
        let out = |y: f64| {
            (y * away / depth).powf(melt.exponent)
                + (2.0 * (y * sideways - aim).abs() / mid).powf(melt.exponent)
        };
        let (mut low, mut high) = (0.0, 4.0 * (depth + mid));
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if out(middle) <= 1.0 { low = middle } else { high = middle }
        }
        low
    };
    let own = ((0.5 * top - aim) / sin, (on_upright - reach.edge).max(0.05));
    let corner = deposit::Corner { angle, gap, run_in: Length::from_mm(run_in) };
    let laid = match deposit::fillet(melt.deposit.max(Area::from_mm2(1e-3)), corner, 0.0) {
        Ok(f) => f.base_leg.mm(),
        Err(_) => 0.0,
    };
    let ceiling = melt.greatest_area * 1e6;
    let mm2 = melt.deposit.mm2();
    let drawn = |(b, u): (f64, f64), narrower: f64, warnings: &mut Vec<Limit>| {
        let face = face(&reach, mm2, b, u, warnings);
        reach.outline(&face, narrower)
    };
    let pool = match toes {
        Toes::Beam => own,
        Toes::Pool => (own.0.max(laid), own.1.max(laid)),
    };
    let legs = |share: f64| (own.0 + share * (pool.0 - own.0), own.1 + share * (pool.1 - own.1));
    let mut said = Vec::new();
    let mut outline = drawn(pool, 1.0, &mut said);
    let by_pool = pool.0 > own.0 * 1.05 || pool.1 > own.1 * 1.05;
    if by_pool && area(&outline) - mm2 > ceiling {
        // The heat fuses the deposit's toes as far as it goes.
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..24 {
            let middle = 0.5 * (low + high);
            if area(&drawn(legs(middle), 1.0, &mut Vec::new())) - mm2 > ceiling {
                high = middle
            } else {
                low = middle
            }
        }
        said.clear();
        outline = drawn(legs(low), 1.0, &mut said);
        let (base, upright) = legs(low);
        said.push(Limit::new(
            "cold toes",
            format!(
                "the deposit would lie {laid:.2} mm wide on the plates, and the heat fuses {base:.2} mm of the base and {upright:.2} mm of the upright"
            ),
            "more power, slower travel, or less wire",
        ));
    }
    if toes == Toes::Beam && laid > 1.05 * own.0.min(own.1) {
        said.push(Limit::new(
            "toes",
            format!(
                "a flat fillet of the deposit would stand {laid:.2} mm wide; the beam's own toes stand {:.2} mm (base) and {:.2} mm (upright) from the corner, and no more is counted: no section shows that the pool's heat fuses the rest, so only the high end of the band has it",
                own.0, own.1
            ),
            "a wider wobble or less wire; look at the toes of the first coupon",
        ));
    }
    let mut narrowed = 1.0;
    if area(&outline) - mm2 > ceiling * (1.0 + 1e-9) {
        // A swing so wide that the heat does not melt all it sweeps: narrower.
        let (mut low, mut high) = (0.05, 1.0);
        for _ in 0..24 {
            let middle = 0.5 * (low + high);
            let narrow = (own.0 * middle, own.1 * middle);
            if area(&drawn(narrow, middle, &mut Vec::new())) - mm2 > ceiling {
                high = middle
            } else {
                low = middle
            }
        }
        InCorner { mid: mid * low, ..beam }.hits()?;
        narrowed = low;
        said.clear();
        outline = drawn((own.0 * low, own.1 * low), low, &mut said);
        said.push(melt_limit(low));
    }
    warnings.append(&mut said);
    // Along the beam from the middle of a flat face to the corner.
    let before = laid * (0.5 * psi).cos() * (b - 0.5 * psi).cos().max(0.2).recip();
    if laid > 0.0 && toes == Toes::Beam && before > 0.3 * depth {
        warnings.push(Limit::new(
            BEFORE_THE_ROOT,
            format!(
                "the depth of {depth:.2} mm is counted from the corner, as where the wire melts into the pool behind the beam; {before:.2} mm of deposit lie before the corner, and where the beam has to pass them the root is that much shallower"
            ),
            "look at the root of the first coupon; feed the wire into the pool, not into the beam",
        ));
    }
    let run_in = InCorner { mid: mid * narrowed, ..beam }.root_reach();
    let length = upright.mm() / psi.sin();
    if run_in > length {
        warnings.push(Limit::new(
            "through",
            format!("the zone reaches {run_in:.2} mm along the joint line, through the upright's {:.2} mm", upright.mm()),
            "expect drop-through on the far side and let nobody stand there, or take it back",
        ));
    }
    if both && (0.5 * length..=length).contains(&run_in) {
        warnings.push(Limit::new(
            "roots meet",
            format!("each zone reaches {run_in:.2} mm along the {length:.2} mm of joint line: they meet, and more depth adds no throat"),
            "nothing; or less power and heat for the same throat",
        ));
    }
    if melt.through {
        warnings.push(Limit::new(
            "through",
            format!("the keyhole comes out below the base of {:.1} mm", base.mm()),
            "faster travel or less power",
        ));
    }
    Ok(Drawn {
        section: tee_section(outline, [base, upright, gap], angle, both),
        root_reach: Some(run_in),
        narrowed,
        warnings,
    })
}

fn melt_limit(share: f64) -> Limit {
    Limit::new(
        "melt limit",
        format!(
            "the heat melts no more than {:.0} % of the width that swing and pool would have",
            100.0 * share
        ),
        "swing narrower, travel slower, or more power",
    )
}

/// Narrows a bead's or butt's melt until its area is one that the heat can melt; says by how much.
#[must_use]
pub fn within_the_heat(melt: &Melt) -> (Melt, Option<Limit>) {
    let melted = |m: &Melt| {
        let n = 64;
        let step = m.depth / f64::from(n);
        (0..n).map(|i| 2.0 * m.half_width((f64::from(i) + 0.5) * step) * step).sum::<f64>()
    };
    let full = melted(melt);
    if full <= melt.greatest_area || full <= 0.0 {
        return (melt.clone(), None);
    }
    let share = melt.greatest_area / full;
    let narrow = melt.scaled(1.0, share, f64::INFINITY);
    let narrow = Melt { depth: melt.depth, through: melt.through, ..narrow };
    (narrow, (share < 0.98).then(|| melt_limit(share)))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn square(h: f64, w: f64, deg: f64, aim: f64) -> InCorner {
        let (torch, between) = (deg.to_radians(), 0.5 * PI);
        InCorner { torch, between, aim, depth: h, mid: w, exponent: 4.0 }
    }

    /// Physics.md section 5, by hand from its closed form at e = 0 (h 4, w 2, b 45°, m 4):
    /// [(cos b/4)^4 + (sin b)^4]^(-1/4) = (1/1024 + 1/4)^(-1/4). Its own case, h 1, gives 1.19 by the same form; there the
    /// ray to that point passes 1.19/cos b = 1.68 mm of upright, so cos b = 0.71 is what a depth of 1 mm can give.
    #[test]
    fn reach_along_the_joint_line() {
        let p = square(4.0, 2.0, 45.0, 0.0).root_reach();
        assert!((p - (1.0_f64 / 1024.0 + 0.25).powf(-0.25)).abs() < 1e-9, "{p}");
        let shallow = square(1.0, 2.0, 45.0, 0.0).root_reach();
        assert!((shallow - 0.5_f64.sqrt()).abs() < 1e-9, "{shallow}");
        // Depth without end: half the width over sin b; aim moves it by e / sin b.
        let deep = square(1e6, 2.0, 45.0, 0.0).root_reach();
        assert!((deep - 2.0_f64.sqrt()).abs() < 1e-6, "{deep}");
        let aimed = square(1e6, 2.0, 45.0, 0.3).root_reach();
        assert!((aimed - deep - 0.3 * 2.0_f64.sqrt()).abs() < 1e-6);
        assert_eq!(square(3.0, 1.0, 40.0, 0.6).root_reach(), 0.0);
        // Aimed 0.9 mm up at 45°, the axis meets the upright 0.9 mm before the corner; 0.8 mm of depth do not reach it.
        let short = square(0.8, 2.5, 45.0, 0.9);
        assert_eq!(short.root_reach(), 0.0);
        assert!(matches!(short.hits(), Err(FusedError::Short { .. })), "{:?}", short.hits());
    }

    proptest! {
        /// Deeper or wider never reaches less; no ray to the joint line passes more metal than the depth.
        #[test]
        fn deeper_or_wider_reaches_as_far(
            h in 0.3..8.0_f64, w in 0.3..4.0_f64, deg in 15.0..75.0_f64, e in -0.4..0.4_f64, m in 2.0..6.0_f64,
            between in 85.0..120.0_f64,
        ) {
            // The aim stays: it helps only when it is up.
            let at = |h: f64, w: f64| InCorner {
                torch: deg.to_radians(), between: between.to_radians(), aim: e, depth: h, mid: w, exponent: m,
            };
            let p = |h, w| at(h, w).root_reach();
            prop_assert!(p(1.1 * h, w) >= p(h, w) - 1e-9);
            prop_assert!(p(h, 1.1 * w) >= p(h, w) - 1e-9);
            // Sine rule in the triangle of corner, root and where the ray enters the upright.
            let (psi, b) = (between.to_radians(), deg.to_radians());
            if psi - b < 0.5 * PI {
                prop_assert!(p(h, w) * psi.sin() / (psi - b).sin() <= h + 1e-9);
            }
        }
    }
}
