//! Which setting to try first for a throat that is needed.
//!
//! ```text
//!   grid of settings ─ quick tier ─ the best 300 ─ keyhole tier ─ hand scatter ─ rank by heat, time, wire or cost
//! ```
//!
//! A setting serves when its expected throat, less what hand scatter takes from it (1.645 standard deviations, by the delta
//! method on travel, aim and angle), meets the need, and when it does so with each of the three off by as much. That is the hand alone: how far the model itself may be off is the band,
//! printed beside; only coupons narrow it.
//!
//! Hand scatter: travel 15 %, aim 0.3 mm, angle 3°, one standard deviation each: a judgement, no source.
//! Nothing here draws at random: draws come in.
//! Not covered: starts and ends, corners, reach of the torch; the gun's own patterns.

use weld::quantity::{Angle, Frequency, Length, Power, Share, Speed};
use weld::reading::Answer;

use crate::beam::Beam;
use crate::deposit::{self, Feed, Wires};
use crate::keyhole::Resolution;
use crate::melt::{Calibration, Mode, Tier};
use crate::predict::{Expected, Outcome, PredictError, expected};
use crate::setting::{Laser, Plates, Work};
use crate::wobble::{Pattern, Wobble};

/// What the gun can do.
#[derive(Clone, Debug, PartialEq)]
pub struct Gun {
    /// Greatest power at the work.
    pub power: Power,
    /// Focus diameters at hand.
    pub spots: Vec<Length>,
    /// M² of the first spot; it goes with the spot.
    pub m2: f64,
    /// Wavelength.
    pub wavelength: Length,
    /// Greatest width of the swing.
    pub widest: Length,
    /// Wires at hand, and how many times as fast as the torch travels they are fed.
    pub wires: Vec<Option<(Wires, f64)>>,
}

impl Gun {
    /// A common handheld gun: 2 kW, 120 µm, swing to 3 mm, no wire, one or two wires of 1.0 to 1.6 mm that are pushed as fast
    /// as the torch travels; two also at twice and three times that. Common practice, no source
    /// ([`COMMON_PRACTICE`](weld::source::COMMON_PRACTICE)).
    #[must_use]
    pub fn common() -> Self {
        let fed = |count, mm, times| Some((Wires { count, diameter: Length::from_mm(mm) }, times));
        Self {
            power: Power::from_w(2000.0),
            spots: vec![Length::from_um(120.0)],
            m2: 3.0,
            wavelength: Length::from_nm(1070.0),
            widest: Length::from_mm(3.0),
            wires: vec![
                None,
                fed(1, 1.0, 1.0),
                fed(1, 1.2, 1.0),
                fed(1, 1.6, 1.0),
                fed(2, 1.6, 1.0),
                fed(2, 1.6, 2.0),
                fed(2, 1.6, 3.0),
            ],
        }
    }
}

/// What is asked of the weld.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Goal {
    /// Throat of each weld, mm.
    pub throat: f64,
    /// Depth of fusion counts in it.
    pub depth_counts: bool,
    /// Least leg that the code asks for, mm; of the largest triangle inside the weld.
    pub least_leg: Option<f64>,
    /// Full penetration by the code's rule for two-sided tees serves as well.
    pub full: bool,
    /// Fused lengths that the load needs on a tee's base (leg and root together) and upright (leg), mm; 0: none is asked.
    pub fused: [f64; 2],
}

impl Goal {
    /// The throat that an outcome shows against this goal.
    #[must_use]
    pub fn shown(&self, outcome: &Outcome) -> Option<f64> {
        if self.depth_counts { outcome.throat() } else { outcome.throat_without_depth() }
    }

    /// Are the fillets as large as the code asks, by the largest triangle inside them?
    fn legs(&self, outcome: &Outcome) -> bool {
        self.least_leg.is_none_or(|least| outcome.size().is_some_and(|size| size >= least))
    }

    /// Does the outcome count as full penetration, where that serves?
    #[must_use]
    pub fn as_full(&self, outcome: &Outcome) -> bool {
        let joint = outcome.reading.as_ref().map(|r| &r.joint);
        self.full && joint.is_some_and(|j| j.full_penetration_by_4_7_3 == Some(Answer::Yes))
    }

    /// Is its throat enough, and are the fusion faces?
    #[must_use]
    pub fn by_throat(&self, outcome: &Outcome) -> bool {
        use weld::reading::Reading::{LegBase, LegUpright, RootPenetration};
        let leg = |of| outcome.least(of).unwrap_or(0.0);
        let root = if self.depth_counts { leg(RootPenetration) } else { 0.0 };
        let faces = self.fused == [0.0; 2]
            || (leg(LegBase) + root >= self.fused[0] && leg(LegUpright) >= self.fused[1]);
        faces && self.shown(outcome).is_some_and(|throat| throat >= self.throat)
    }

    /// Does the outcome meet the goal, one way or the other? `None` without a throat.
    #[must_use]
    pub fn met_by(&self, outcome: &Outcome) -> Option<bool> {
        self.shown(outcome)?;
        Some(self.by_throat(outcome) || self.as_full(outcome))
    }

    /// How far the throat lies over the goal at the worse end of a band, mm: 0 where it serves as full penetration there,
    /// endlessly below where there is no throat or the fillet is too small. `None` without a band.
    #[must_use]
    pub fn at_worse_end(&self, said: &Expected) -> Option<f64> {
        let over = |end: &Outcome| match self.shown(end) {
            Some(throat) if self.legs(end) => {
                let over = throat - self.throat;
                match self.met_by(end) {
                    Some(true) => over.max(0.0),
                    // Enough of a throat on faces that are too short is no better than just too little.
                    _ => over.min(-f64::MIN_POSITIVE),
                }
            }
            _ => f64::NEG_INFINITY,
        };
        said.band().map(over).reduce(f64::min)
    }
}

fn fed(travel: f64, times: f64) -> Feed {
    if times == 1.0 { Feed::AsTravel } else { Feed::At(Speed::from_mm_per_s(travel * times)) }
}

/// Every setting that is looked at: powers, spots, foci, swings, travels, angles, aims, wires.
#[must_use]
pub fn candidates(gun: &Gun, work: &Work) -> Vec<Laser> {
    let tee = matches!(work.joint, Plates::Tee { .. });
    let angles: &[f64] = if tee { &[25.0, 30.0, 35.0, 45.0] } else { &[90.0] };
    let aims: &[f64] = if tee { &[0.0, 0.3] } else { &[0.0] };
    let foci: &[f64] = if tee { &[0.0] } else { &[0.0, -1.0] };
    let powers: &[f64] = if tee { &[0.5, 0.65, 0.8, 1.0] } else { &[0.35, 0.5, 0.65, 0.8, 1.0] };
    let widths: &[f64] = &[0.0, 1.0, 1.5, 2.0, 2.5, 3.0];
    let rates: &[f64] = &[30.0, 80.0];
    let travels: &[f64] = if tee {
        &[4.0, 6.0, 8.0, 10.0, 13.0, 17.0]
    } else {
        &[3.0, 4.0, 5.0, 6.5, 8.0, 10.0, 13.0, 16.0, 20.0, 25.0]
    };
    let first = gun.spots.first().copied().unwrap_or(Length::from_um(120.0));
    let mut out = Vec::new();
    for spot in &gun.spots {
        for power in powers {
            for focus in foci {
                let beam = Beam {
                    power: gun.power * *power,
                    spot: *spot,
                    m2: (gun.m2 * (*spot / first)).max(1.0),
                    wavelength: gun.wavelength,
                    focus: Length::from_mm(*focus),
                };
                for &width in widths.iter().filter(|w| **w <= gun.widest.mm()) {
                    for &rate in if width > 0.0 { rates } else { &rates[..1] } {
                        let wobble = (width > 0.0).then(|| Wobble {
                            pattern: Pattern::Line,
                            width: Length::from_mm(width),
                            frequency: Frequency::from_hz(rate),
                        });
                        for &travel in travels {
                            for &degrees in angles {
                                for &aim in aims {
                                    for wires in &gun.wires {
                                        out.push(Laser {
                                            beam,
                                            travel: Speed::from_mm_per_s(travel),
                                            wobble,
                                            torch_angle: Angle::from_deg(degrees),
                                            aim: Length::from_mm(aim),
                                            wire: wires.map(|(w, times)| (w, fed(travel, times))),
                                        });
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
    out
}

/// Why a setting does not serve: the first limit that it meets.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Bites {
    /// It serves.
    Nothing,
    /// The corner is missed, or the deposit cannot lie there.
    NoSection,
    /// The throat is too small.
    Throat,
    /// The code's least leg.
    Leg,
    /// The deposit laps over its toes.
    Overlap,
    /// The far side melts through where it must not.
    Through,
    /// Outside the checked range: no band.
    NoBand,
    /// The hand's scatter takes it below the need.
    Hand,
}

impl Bites {
    /// In words.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Nothing => "serves",
            Self::NoSection => "no section: beam misses, nothing melts, or gap unfilled",
            Self::Throat => "throat too small",
            Self::Leg => "leg below the code's least",
            Self::Overlap => "deposit laps over its toes",
            Self::Through => "melts through",
            Self::NoBand => "outside the checked range",
            Self::Hand => "hand scatter takes it below the need",
        }
    }
}

/// Judges an expected section against the goal.
#[must_use]
pub fn judge(said: &Expected, work: &Work, goal: &Goal) -> Bites {
    if said.middle.reading.is_none() {
        return Bites::NoSection;
    }
    if said.melt.mode == Mode::Conduction || said.melt.band.factor().is_none() {
        return Bites::NoBand;
    }
    if goal.met_by(&said.middle) != Some(true) {
        return Bites::Throat;
    }
    if !goal.legs(&said.middle) {
        return Bites::Leg;
    }
    if said.limits.iter().any(|l| l.what == "overlap") {
        return Bites::Overlap;
    }
    // A butt may be welded through, but a keyhole far longer than the plate drops out; a tee's base is no backing.
    let tee = matches!(work.joint, Plates::Tee { .. });
    if (tee && said.limits.iter().any(|l| l.what == "through"))
        || said.melt.reach > 1.3 * said.melt.depth
    {
        return Bites::Through;
    }
    Bites::Nothing
}

/// A setting after the first sieve.
#[derive(Clone, Debug, PartialEq)]
pub struct Sieved {
    /// The setting.
    pub laser: Laser,
    /// What bites, at the quick tier.
    pub bites: Bites,
    /// Throat over need, at the quick tier; at most 1.5, more is no better.
    pub margin: f64,
}

/// The first sieve: quick tier.
///
/// # Errors
///
/// When a figure cannot be.
pub fn sieve(laser: &Laser, work: &Work, goal: &Goal) -> Result<Sieved, PredictError> {
    let said = expected(laser, work, Tier::Quick, Calibration::NONE)?;
    let bites = judge(&said, work, goal);
    let margin = goal.shown(&said.middle).unwrap_or(0.0) / goal.throat.max(1e-9);
    Ok(Sieved { laser: *laser, bites, margin: margin.min(1.5) })
}

/// The `most` settings worth the keyhole tier: a quarter each by heat, by time and by wire of those with a quarter to spare
/// for the hand, the rest by heat of all that serve or nearly do (the quick tier may be off, so a tenth below the need still
/// counts).
#[must_use]
pub fn worth_a_look(mut all: Vec<Sieved>, most: usize) -> Vec<Laser> {
    all.retain(|s| s.bites == Bites::Nothing || (s.bites == Bites::Throat && s.margin > 0.9));
    let heat = |s: &Sieved| (s.laser.beam.power / s.laser.travel).j_per_m();
    let room = |s: &&Sieved| s.bites == Bites::Nothing && s.margin > 1.25;
    let mut cool: Vec<&Sieved> = all.iter().filter(room).collect();
    let mut fast = cool.clone();
    let mut lean = cool.clone();
    let mut rest: Vec<&Sieved> = all.iter().collect();
    cool.sort_by(|a, b| heat(a).total_cmp(&heat(b)));
    fast.sort_by(|a, b| b.laser.travel.total_cmp(&a.laser.travel));
    let wire = |s: &Sieved| {
        let area = |(wires, feed): (Wires, Feed)| {
            let all = Share::from_percent(100.0);
            deposit::area(wires, feed, s.laser.travel, all).ok().map(|a| a.mm2())
        };
        s.laser.wire.and_then(area).unwrap_or(0.0)
    };
    lean.sort_by(|a, b| wire(a).total_cmp(&wire(b)).then(heat(a).total_cmp(&heat(b))));
    rest.sort_by(|a, b| a.bites.cmp(&b.bites).then(heat(a).total_cmp(&heat(b))));
    let mut out: Vec<Laser> = Vec::new();
    let quarter = most / 4;
    let first = [cool, fast, lean].into_iter().flat_map(|by| by.into_iter().take(quarter));
    for s in first.chain(rest) {
        if out.len() >= most {
            break;
        }
        if !out.contains(&s.laser) {
            out.push(s.laser);
        }
    }
    out
}

/// One standard deviation of what a hand does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hand {
    /// Travel, as a share.
    pub travel: f64,
    /// Aim, mm.
    pub aim: f64,
    /// Angle, degrees.
    pub angle: f64,
}

impl Hand {
    /// A judgement, no source.
    pub const USUAL: Self = Self { travel: 0.15, aim: 0.3, angle: 3.0 };

    /// The setting as a hand that is off by so many standard deviations makes it.
    #[must_use]
    pub fn off(&self, laser: &Laser, [travel, aim, angle]: [f64; 3]) -> Laser {
        Laser {
            travel: laser.travel * (1.0 + self.travel * travel).max(0.2),
            aim: laser.aim + Length::from_mm(self.aim * aim),
            torch_angle: Angle::from_deg(
                (laser.torch_angle.deg() + self.angle * angle).clamp(5.0, 90.0),
            ),
            ..*laser
        }
    }
}

/// How the throat answers to one figure of the setting.
#[derive(Clone, Debug, PartialEq)]
pub struct Answers {
    /// What is changed: `1 mm/s slower`.
    pub change: String,
    /// By how much the throat grows, mm.
    pub throat: f64,
    /// The same where the depth is off by the band's factor, down and up, the less first; none without a band.
    pub band: Option<[f64; 2]>,
}

/// A setting looked at closely.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// The setting.
    pub laser: Laser,
    /// What to expect, without the band's ends.
    pub said: Expected,
    /// Throat that it shows against the goal, mm.
    pub throat: f64,
    /// Standard deviation of the throat from the hand, mm, by the delta method.
    pub hand: f64,
    /// What bites.
    pub bites: Bites,
}

/// The throat of a setting at the keyhole tier, 0 when there is none, and whether the goal is met.
fn tried(laser: &Laser, work: &Work, goal: &Goal) -> (f64, bool) {
    let tier = Tier::Keyhole(Resolution::INTERACTIVE);
    let said = expected(laser, work, tier, Calibration::NONE).ok();
    let middle = said.as_ref().map(|s| &s.middle);
    (
        middle.and_then(|m| goal.shown(m)).unwrap_or(0.0),
        middle.and_then(|m| goal.met_by(m)) == Some(true),
    )
}

fn throat(laser: &Laser, work: &Work, goal: &Goal) -> f64 {
    tried(laser, work, goal).0
}

/// Looks at a setting closely: keyhole tier, and the hand's scatter by the delta method.
///
/// # Errors
///
/// When a figure cannot be.
pub fn look(laser: &Laser, work: &Work, goal: &Goal, hand: Hand) -> Result<Choice, PredictError> {
    let said = expected(laser, work, Tier::Keyhole(Resolution::INTERACTIVE), Calibration::NONE)?;
    let shown = goal.shown(&said.middle).unwrap_or(0.0);
    let bites = judge(&said, work, goal);
    if bites != Bites::Nothing {
        return Ok(Choice { laser: *laser, said, throat: shown, hand: 0.0, bites });
    }
    let tee = matches!(work.joint, Plates::Tee { .. });
    let mut variance = 0.0;
    for i in 0..3 {
        // A butt's square torch has no angle here.
        if i == 2 && !tee {
            continue;
        }
        let at = |sign: f64| {
            let mut off = [0.0; 3];
            off[i] = sign;
            throat(&hand.off(laser, off), work, goal)
        };
        let slope = 0.5 * (at(1.0) - at(-1.0));
        variance += slope * slope;
    }
    let sd = variance.sqrt();
    // The delta method does not see an edge, such as an aim that misses: the goal has to be met with each figure of the hand
    // 1.645 deviations off as well.
    let holds = || {
        [-1.645, 1.645].iter().all(|z| {
            (0..if tee { 3 } else { 2 }).all(|i| {
                let mut off = [0.0; 3];
                off[i] = *z;
                tried(&hand.off(laser, off), work, goal).1
            })
        })
    };
    let enough = shown - 1.645 * sd >= goal.throat || goal.as_full(&said.middle);
    let bites = if enough && holds() { Bites::Nothing } else { Bites::Hand };
    Ok(Choice { laser: *laser, said, throat: shown, hand: sd, bites })
}

/// Share of draws of the hand (each three standard normals) that meet the need, share whose throat alone is enough, and the
/// throat's standard deviation, mm.
#[must_use]
pub fn drawn(
    laser: &Laser,
    work: &Work,
    goal: &Goal,
    hand: Hand,
    draws: &[[f64; 3]],
) -> (f64, f64, f64) {
    let all: Vec<(f64, bool)> =
        draws.iter().map(|off| tried(&hand.off(laser, *off), work, goal)).collect();
    let n = all.len().max(1) as f64;
    let mean = all.iter().map(|(t, _)| t).sum::<f64>() / n;
    let sd = (all.iter().map(|(t, _)| (t - mean).powi(2)).sum::<f64>() / n).sqrt();
    let share = |of: &dyn Fn(&(f64, bool)) -> bool| all.iter().filter(|d| of(d)).count() as f64 / n;
    (share(&|d| d.1), share(&|d| d.0 >= goal.throat), sd)
}

/// How the throat answers to each figure that a hand or a knob changes.
///
/// The band of an answer keeps the model's fault as it is, before and after the change: the depth is a factor less or more
/// than thought in both. A change that no setting can have (travel to nothing) is left out.
#[must_use]
pub fn answers(laser: &Laser, work: &Work, goal: &Goal) -> Vec<Answers> {
    let tier = Tier::Keyhole(Resolution::INTERACTIVE);
    let at = |laser: &Laser, scale: f64| {
        let said = expected(laser, work, tier, Calibration { scale, ..Calibration::NONE }).ok()?;
        let throat = goal.shown(&said.middle).unwrap_or(0.0);
        Some((throat, said.melt.band.factor()))
    };
    let Some((now, factor)) = at(laser, 1.0) else { return Vec::new() };
    let ends = factor.map(|f| [1.0 / f, f].map(|scale| (scale, at(laser, scale))));
    let beam = laser.beam;
    let mut changes = vec![
        (
            "1 mm/s slower".to_owned(),
            Laser { travel: laser.travel - Speed::from_mm_per_s(1.0), ..*laser },
        ),
        (
            "100 W more".to_owned(),
            Laser { beam: Beam { power: beam.power + Power::from_w(100.0), ..beam }, ..*laser },
        ),
    ];
    if let Some(w) = laser.wobble {
        let wider = Wobble { width: w.width + Length::from_mm(0.5), ..w };
        changes.push(("wobble 0.5 mm wider".to_owned(), Laser { wobble: Some(wider), ..*laser }));
    }
    if matches!(work.joint, Plates::Tee { .. }) {
        let flatter = Angle::from_deg((laser.torch_angle.deg() - 5.0).max(5.0));
        changes.push(("torch 5° flatter".to_owned(), Laser { torch_angle: flatter, ..*laser }));
        let up = laser.aim + Length::from_mm(0.3);
        changes.push(("aim 0.3 mm up the upright".to_owned(), Laser { aim: up, ..*laser }));
        let out = laser.aim - Length::from_mm(0.3);
        changes.push(("aim 0.3 mm out on the base".to_owned(), Laser { aim: out, ..*laser }));
    } else {
        let aside = laser.aim + Length::from_mm(0.3);
        changes.push(("aim 0.3 mm aside".to_owned(), Laser { aim: aside, ..*laser }));
    }
    changes
        .into_iter()
        .filter_map(|(change, laser)| {
            let throat = at(&laser, 1.0)?.0 - now;
            let end = |(scale, before): (f64, Option<(f64, Option<f64>)>)| {
                Some(at(&laser, scale)?.0 - before?.0)
            };
            let band = ends.and_then(|[low, high]| {
                let all = [end(low)?, throat, end(high)?];
                Some([
                    all.into_iter().fold(f64::INFINITY, f64::min),
                    all.into_iter().fold(f64::NEG_INFINITY, f64::max),
                ])
            });
            Some(Answers { change, throat, band })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::metal::Metal;
    use weld::quantity::Temperature;

    fn tee() -> Work {
        Work {
            metal: Metal::Austenitic,
            temperature: Temperature::from_deg_c(20.0),
            joint: Plates::Tee {
                base: Length::from_mm(8.0),
                upright: Length::from_mm(5.0),
                angle: Angle::from_deg(90.0),
                gap: Length::ZERO,
                both: true,
            },
        }
    }

    const GOAL: Goal =
        Goal { throat: 2.0, depth_counts: true, least_leg: None, full: false, fused: [0.0; 2] };

    #[test]
    fn the_grid_is_ten_thousand_settings_and_more() {
        let tees = candidates(&Gun::common(), &tee()).len();
        assert!((9_000..=15_000).contains(&tees), "{tees}");
    }

    /// The delta method against draws: a throat that is nearly straight in what the hand does. The draws here are a lattice of
    /// the normal's own quantiles, so that nothing is drawn at random.
    #[test]
    fn the_delta_method_agrees_with_draws() {
        let laser = Laser {
            beam: Beam {
                power: Power::from_w(1800.0),
                spot: Length::from_um(120.0),
                m2: 3.0,
                wavelength: Length::from_nm(1070.0),
                focus: Length::ZERO,
            },
            travel: Speed::from_mm_per_s(8.0),
            wobble: Some(Wobble {
                pattern: Pattern::Line,
                width: Length::from_mm(2.5),
                frequency: Frequency::from_hz(80.0),
            }),
            torch_angle: Angle::from_deg(30.0),
            aim: Length::ZERO,
            wire: Some((Wires { count: 1, diameter: Length::from_mm(1.6) }, Feed::AsTravel)),
        };
        let small = Hand { travel: 0.05, aim: 0.05, angle: 1.0 };
        let close = look(&laser, &tee(), &Goal { throat: 0.5, ..GOAL }, small).unwrap();
        // Quantiles of the standard normal at 1/14, 3/14 .. 13/14 have variance 0.850.
        let q = [-1.465_2, -0.791_6, -0.366_1, 0.0, 0.366_1, 0.791_6, 1.465_2];
        let variance = q.iter().map(|x| x * x).sum::<f64>() / 7.0;
        let mut draws = Vec::new();
        for a in q {
            for b in q {
                for c in q {
                    draws.push([a, b, c]);
                }
            }
        }
        let (share, _, sd) = drawn(&laser, &tee(), &Goal { throat: 0.5, ..GOAL }, small, &draws);
        assert!((sd / variance.sqrt() / close.hand - 1.0).abs() < 0.15, "{sd} {}", close.hand);
        assert!((share - 1.0).abs() < 1e-12);
    }

    /// Each answer lies in its band; a setting that would stand still is no answer.
    #[test]
    fn answers_lie_in_their_bands() {
        let all: Vec<Laser> = candidates(&Gun::common(), &tee()).into_iter().step_by(700).collect();
        let mut banded = 0;
        for laser in &all {
            for a in answers(laser, &tee(), &GOAL) {
                assert!(a.throat.is_finite());
                if let Some([low, high]) = a.band {
                    assert!(low <= a.throat && a.throat <= high, "{a:?}");
                    banded += 1;
                }
            }
        }
        assert!(banded > 20, "{banded}");
        let slow = Laser { travel: Speed::from_mm_per_s(0.9), ..all[0] };
        assert!(answers(&slow, &tee(), &GOAL).iter().all(|a| a.change != "1 mm/s slower"));
    }

    /// A goal that nothing meets is met by nothing, and each refusal names what bites.
    #[test]
    fn an_impossible_goal_is_refused() {
        let far = Goal { throat: 30.0, ..GOAL };
        let some: Vec<Laser> =
            candidates(&Gun::common(), &tee()).into_iter().step_by(400).collect();
        for laser in &some {
            let s = sieve(laser, &tee(), &far).unwrap();
            assert_ne!(s.bites, Bites::Nothing, "{laser:?}");
        }
        let all = some.iter().map(|l| sieve(l, &tee(), &far).unwrap()).collect();
        assert!(worth_a_look(all, 300).is_empty());
    }
}
