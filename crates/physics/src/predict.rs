//! A setting and a joint become the section to expect, with its band.
//!
//! ```text
//!   setting + work ─ melt ─ fused ─ weld::section::read ─┐
//!        the same at h/f, w/f and at h·f, w·f ───────────┴─ Expected { middle, low, high, wide }
//! ```
//!
//! No end melts more than all of the beam could (the ceiling of [`melt`](crate::melt) with nothing reflected): where that
//! bites, the deep end is narrow, and the widest zone is an outcome of its own. A figure's band is taken over all of them.
//!
//! The band is of the depth ([`band`](crate::band)), widths go with it by [`WIDTH_FACTOR`]; low takes both low. Outside the
//! checked range there is no band, and low and high are absent.
//! Laws that hold for every process are in [`conformance`](crate::conformance).
//! Not covered: what [`melt`](crate::melt) and [`fused`] do not.

use weld::reading::{Answer, Reading};
use weld::section::{self, Section, SectionReading};

use crate::band::{Band, CLOSED};
use crate::beam::BeamError;
use crate::deposit::DepositError;
use crate::fused::{self, FusedError, Limit, Toes};
use crate::melt::{Calibration, Melt, Mode, Tier, melt, thickness_along};
use crate::setting::{Laser, Plates, Work};

/// 90 % factor of widths, either way: on the open tracks nine of ten lie within it (docs/accuracy.md); a judgement for
/// swung welds, of which none are open.
pub const WIDTH_FACTOR: f64 = 1.4;

/// What to expect at one end of the band or in its middle. Millimetres.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// Depth along the beam, at most the metal there.
    pub depth: f64,
    /// Width at the surface.
    pub width: f64,
    /// Width at half the depth.
    pub width_half: f64,
    /// Width at the far side, where the plate is pierced.
    pub width_root: Option<f64>,
    /// Where the zone leaves a tee's joint line.
    pub root_reach: Option<f64>,
    /// The section, unless the beam misses or the deposit cannot lie there.
    pub section: Option<Section>,
    /// What the section shows.
    pub reading: Option<SectionReading>,
    /// Why there is no section.
    pub fault: Option<FusedError>,
}

impl Expected {
    /// The outcomes over which a figure's band is taken; none without a band.
    pub fn band(&self) -> impl Iterator<Item = &Outcome> {
        self.ends.iter().flat_map(|ends| ends.iter().chain(&self.wide))
    }
}

impl Outcome {
    /// The throat of each weld where a code gives no credit for depth.
    #[must_use]
    pub fn throat_without_depth(&self) -> Option<f64> {
        let reading = self.reading.as_ref()?;
        if reading.joint.throat.is_some() {
            self.throat()
        } else {
            self.least(Reading::TheoreticalThroat)
        }
    }

    /// A reading of the least favourable weld.
    #[must_use]
    pub fn least(&self, of: Reading) -> Option<f64> {
        let welds = &self.reading.as_ref()?.welds;
        let all: Option<Vec<f64>> = welds.iter().map(|w| w.readings.get(of)).collect();
        all?.into_iter().reduce(f64::min)
    }

    /// The size of the fillets as a code counts it: the lesser leg of the largest triangle inside the weld metal. A fused
    /// skin without metal on it has none: 0. `None` without a fillet.
    #[must_use]
    pub fn size(&self) -> Option<f64> {
        self.least(Reading::LegBase)?;
        let leg = |of| self.least(of).unwrap_or(0.0);
        Some(leg(Reading::SizeBase).min(leg(Reading::SizeUpright)))
    }

    /// A reading summed over the welds.
    #[must_use]
    pub fn sum(&self, of: Reading) -> Option<f64> {
        let welds = &self.reading.as_ref()?.welds;
        welds.iter().map(|w| w.readings.get(of)).sum()
    }

    /// The throat of each weld that counts: the least effective throat of a tee's welds (the smaller of it and the throat
    /// with penetration), a weld's part of the fused joint line of a butt; a bead has none.
    #[must_use]
    pub fn throat(&self) -> Option<f64> {
        let reading = self.reading.as_ref()?;
        if let Some(throat) = reading.joint.throat {
            return Some(throat / reading.welds.len().max(1) as f64);
        }
        let effective = self.least(Reading::EffectiveThroat)?;
        Some(self.least(Reading::PenetratedThroat).map_or(effective, |p| p.min(effective)))
    }
}

/// A prediction.
#[derive(Clone, Debug, PartialEq)]
pub struct Expected {
    /// Which tier.
    pub tier: Tier,
    /// What melts.
    pub melt: Melt,
    /// The expected outcome.
    pub middle: Outcome,
    /// Low and high end of the 90 % band of the depth, where there is one. However deep, no end melts more than the whole
    /// beam could.
    pub ends: Option<[Outcome; 2]>,
    /// The widest zone of the band, where the beam's power does not let it be as deep as the high end.
    pub wide: Option<Outcome>,
    /// Limits that bite and cautions.
    pub limits: Vec<Limit>,
}

/// Why nothing is predicted.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PredictError {
    /// A figure of the setting or of the work cannot be.
    #[error("{0}")]
    Figure(#[from] BeamError),
    /// A figure of the wire cannot be.
    #[error("{0}")]
    Wire(#[from] DepositError),
}

impl PredictError {
    /// What to do next.
    #[must_use]
    pub fn advice(&self) -> &'static str {
        match self {
            Self::Figure(e) => e.advice(),
            Self::Wire(e) => e.advice(),
        }
    }

    /// What the figure is of, as its error names it.
    #[must_use]
    pub const fn what(&self) -> &'static str {
        match self {
            Self::Figure(BeamError::Figure { what, .. })
            | Self::Wire(DepositError::Figure { what, .. }) => what,
            Self::Wire(_) => "the wire",
        }
    }
}

/// Predicts the section of a laser weld.
///
/// # Errors
///
/// When a figure of setting or work is outside what can be.
pub fn predict(
    laser: &Laser,
    work: &Work,
    tier: Tier,
    calibration: Calibration,
) -> Result<Expected, PredictError> {
    let (mut said, melted, thickness) = middle(laser, work, tier, calibration)?;
    // A slider's tier has no band: it is off by more than the keyhole tier's.
    let factor = melted.band.factor().filter(|_| tier != Tier::Quick);
    let Some(f) = factor else { return Ok(said) };
    let ways = [
        (thickness, "the keyhole is", OUT_BELOW),
        (
            behind_the_upright(laser, work).unwrap_or(f64::INFINITY),
            "the beam comes out behind the upright: the keyhole is",
            BEHIND,
        ),
    ];
    for (metal, what, advice) in ways {
        if melted.reach <= metal && melted.reach * f > metal {
            let [long, metal] = [melted.reach * f * 1e3, metal * 1e3];
            let fact = format!(
                "at the high end of the band {what} {long:.1} mm long in {metal:.1} mm of metal"
            );
            said.limits.push(Limit::new("may come through", fact, advice));
        }
    }
    // What the ceiling were if all of the beam were absorbed.
    let all = (laser.beam.power.w() - melted.wire).max(0.0) / (melted.heat - melted.wire).max(1e-9);
    let most = melted.greatest_area * all.max(1.0);
    let end = |depth: f64, width: f64, toes| {
        // A melt that is larger or smaller than thought had more or less heat: the ceiling goes with it.
        let scaled = melted.scaled(depth, width, thickness);
        let greatest_area = (scaled.greatest_area * depth * width).min(most);
        let mut scaled = Melt { greatest_area, ..scaled };
        if !matches!(work.joint, Plates::Tee { .. }) {
            scaled = fused::within_the_heat(&scaled).0;
        }
        outcome(laser, work, &scaled, toes, &mut Vec::new())
    };
    let ends = [end(1.0 / f, 1.0 / WIDTH_FACTOR, Toes::Beam), end(f, WIDTH_FACTOR, Toes::Pool)];
    let parent =
        said.middle.sum(Reading::MeltedParentArea).unwrap_or(0.0) / f64::from(work.joint.welds());
    let as_deep = 1e6 * most / (WIDTH_FACTOR * parent.max(1e-9));
    said.wide = (as_deep < f).then(|| end(as_deep.max(1.0 / f), WIDTH_FACTOR, Toes::Pool));
    said.limits.extend(may_stay_unfused(&said.middle, &ends[0]));
    said.ends = Some(ends);
    said.limits.extend(may_run_through(&said, work));
    Ok(said)
}

/// The same without the ends of the band: a third of the work, for searches. `ends` is empty whatever the band.
///
/// # Errors
///
/// As [`predict`].
pub fn expected(
    laser: &Laser,
    work: &Work,
    tier: Tier,
    calibration: Calibration,
) -> Result<Expected, PredictError> {
    middle(laser, work, tier, calibration).map(|(said, _, _)| said)
}

fn middle(
    laser: &Laser,
    work: &Work,
    tier: Tier,
    calibration: Calibration,
) -> Result<(Expected, Melt, f64), PredictError> {
    laser.check()?;
    work.check()?;
    let melted = melt(laser, work, tier, calibration)?;
    let thickness = thickness_along(laser, &work.joint);
    let mut limits = cautions(laser, work, &melted);
    let (melted, limit) = match work.joint {
        Plates::Tee { .. } => (melted, None),
        _ => fused::within_the_heat(&melted),
    };
    limits.extend(limit);
    let middle = outcome(laser, work, &melted, Toes::Beam, &mut limits);
    if let Band::Outside(why) = &melted.band {
        for fact in why {
            limits.push(Limit {
                what: "outside the checked range",
                fact: format!("no band: {fact}"),
                advice: "weld a coupon and read it; take no figure from here",
            });
        }
    }
    let said = Expected { tier, melt: melted.clone(), middle, ends: None, wide: None, limits };
    Ok((said, melted, thickness))
}

fn outcome(
    laser: &Laser,
    work: &Work,
    melt: &Melt,
    toes: Toes,
    limits: &mut Vec<Limit>,
) -> Outcome {
    let drawn = fused::section(laser, &work.joint, melt, toes);
    let mut out = Outcome {
        depth: melt.depth * 1e3,
        width: melt.surface_width * 1e3,
        width_half: 2e3 * melt.half_width(0.5 * melt.depth),
        width_root: melt.through.then(|| 2e3 * melt.half_width(melt.depth)),
        root_reach: None,
        section: None,
        reading: None,
        fault: None,
    };
    match drawn {
        Ok(drawn) => {
            out.root_reach = drawn.root_reach;
            out.width *= drawn.narrowed;
            out.width_half *= drawn.narrowed;
            match section::read(&drawn.section) {
                Ok(reading) => {
                    limits.extend(drawn.warnings);
                    out.reading = Some(reading);
                    out.section = Some(drawn.section);
                }
                Err(e) => limits.push(Limit {
                    what: "section",
                    fact: e.to_string(),
                    advice: "change aim, angle or wire: this shape of zone and deposit cannot be read as a weld",
                }),
            }
        }
        Err(e) => {
            limits.push(Limit { what: "no section", fact: e.to_string(), advice: e.advice() });
            out.fault = Some(e);
        }
    }
    out
}

/// A joint line that is fused whole in the middle of the band, and not at its low end.
fn may_stay_unfused(middle: &Outcome, low: &Outcome) -> Option<Limit> {
    let land = |o: &Outcome| o.reading.as_ref()?.joint.unfused_land;
    let whole = |o: &Outcome| {
        let joint = &o.reading.as_ref()?.joint;
        match joint.complete_penetration {
            Some(answer) => Some(answer == Answer::Yes),
            // A tenth of a millimetre is all that is printed.
            None => joint.unfused_land.map(|land| land < 0.05),
        }
    };
    if whole(middle) != Some(true) || whole(low) == Some(true) {
        return None;
    }
    let left = match land(low) {
        Some(land) => format!("{land:.1} mm of the joint line stay unfused"),
        None => "the joint line is not fused through".to_owned(),
    };
    Some(Limit::new(
        "may stay unfused",
        format!("at the low end of the band {left}"),
        "read the root on the first coupons before anything is built on it",
    ))
}

/// A zone that runs along the whole joint line of a one-sided tee somewhere in the band, and not in its middle.
fn may_run_through(said: &Expected, work: &Work) -> Option<Limit> {
    let Plates::Tee { upright, angle, both: false, .. } = work.joint else { return None };
    let length = upright.mm() / angle.rad().sin();
    let through = |o: &Outcome| o.root_reach.is_some_and(|reach| reach > length);
    (!through(&said.middle) && said.band().any(through)).then(|| {
        Limit::new(
            "may come through",
            format!(
                "at an end of the band the zone runs along the joint line through the upright's {:.1} mm: metal may drop through on the far side",
                upright.mm()
            ),
            OUT_BELOW,
        )
    })
}

/// Metal, m, after which a beam that is aimed up the upright comes out behind it, above the base; the swing's far end counts.
/// `None` where it ends in the base.
fn behind_the_upright(laser: &Laser, work: &Work) -> Option<f64> {
    let Plates::Tee { upright, angle, .. } = work.joint else { return None };
    let (torch, between) = (laser.torch_angle.rad(), angle.rad());
    let aim = laser.aim.m() + laser.wobble.map_or(0.0, |w| 0.5 * w.width.m());
    // How fast the beam goes into the upright, square to its face.
    let into = (between - torch).sin();
    if aim <= 0.0 || into <= 1e-9 {
        return None;
    }
    let through = upright.m() / into;
    let (enters, falls) = (aim / into * between.sin(), through * torch.sin());
    (enters > falls).then_some(through)
}

const OUT_BELOW: &str =
    "back or shut off the far side, let nobody stand there, and look at it with the beam off";
const BEHIND: &str = "aim lower or steeper; back or shut off the far side, let nobody stand there, and look at it with the beam off";

/// What is worth saying whatever the section.
fn cautions(laser: &Laser, work: &Work, melt: &Melt) -> Vec<Limit> {
    let mut out = Vec::new();
    if let Some(w) = laser.wobble {
        let pitch = w.pitch(laser.travel).mm();
        let spot = 2e3 * melt.radius;
        if pitch > 0.25 && pitch > spot {
            out.push(Limit::new(
                "ripple",
                format!("each cycle advances {pitch:.2} mm, more than the melt is wide around the spot ({spot:.2} mm): the root is ragged"),
                "raise the frequency or travel slower",
            ));
        }
    }
    let [low, high] = melt.along_cycle;
    if low > 0.0 && high > 1.3 * low {
        out.push(Limit::new(
            "uneven root",
            format!("depth swings between {:.2} and {:.2} mm along a cycle", low * 1e3, high * 1e3),
            "a narrower or slower wobble evens it",
        ));
    }
    if let Some(metal) = behind_the_upright(laser, work)
        && melt.reach > metal
    {
        out.push(Limit::new(
            "through",
            format!(
                "aimed so the beam comes out behind the upright: the keyhole would be {:.1} mm long in {:.1} mm of metal",
                melt.reach * 1e3,
                metal * 1e3
            ),
            BEHIND,
        ));
    }
    let gap = work.joint.gap().mm();
    let closed = gap <= 1e3 * CLOSED * (1.0 + 1e-9);
    if gap > 0.0 && matches!(work.joint, Plates::Butt { .. }) && laser.wire.is_none() {
        out.push(Limit::new(
            "gap",
            "part of the beam passes through the open gap; the share taken here was never checked"
                .to_owned(),
            "close the gap or feed wire",
        ));
    } else if gap > 0.0 && !closed {
        out.push(Limit::new(
            "gap",
            format!("how a gap of {gap:.2} mm changes depth and root was never checked"),
            "close the gap, or weld a coupon with just this gap",
        ));
    }
    if !matches!(work.joint, Plates::Tee { .. }) && melt.through {
        let leaves = (melt.absorbed * laser.beam.power.w() - melt.heat).max(0.0);
        out.push(Limit::new(
            "through",
            format!(
                "the keyhole would be {:.1} mm long in {:.1} mm of metal: the far side melts through and may sag or drop, and of what is absorbed {leaves:.0} W leave below, beside the beam itself",
                melt.reach * 1e3,
                melt.depth * 1e3
            ),
            "faster travel or less power; where the weld is meant to go through, back it and let nobody stand at the far side: the beam comes out there",
        ));
    }
    if melt.mode == Mode::Keyhole && melt.depth > 2.0 * melt.surface_width {
        out.push(Limit::new(
            "deep for its width",
            format!(
                "depth over width {:.1}: above 2 the middle may crack (common practice)",
                melt.depth / melt.surface_width
            ),
            "a wider wobble",
        ));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::beam::Beam;
    use crate::metal::Metal;
    use weld::quantity::{Angle, Length, Power, Speed, Temperature};

    /// By hand: 4 mm upright, torch 20°, aim 2.5 mm up: the beam enters 2.5 / cos 20° = 2.660 mm above the base, falls
    /// 4 tan 20° = 1.456 mm on its way of 4 / cos 20° = 4.257 mm, and comes out 1.2 mm above the base. Aimed 1.3 mm up it
    /// enters 1.383 mm above it and ends in the base.
    #[test]
    fn a_beam_aimed_up_comes_out_behind_the_upright() {
        let at = |aim: f64| {
            let laser = Laser {
                beam: Beam {
                    power: Power::from_w(2000.0),
                    spot: Length::from_um(120.0),
                    m2: 3.0,
                    wavelength: Length::from_nm(1070.0),
                    focus: Length::ZERO,
                },
                travel: Speed::from_mm_per_s(5.0),
                wobble: None,
                torch_angle: Angle::from_deg(20.0),
                aim: Length::from_mm(aim),
                wire: None,
            };
            let work = Work {
                metal: Metal::CarbonSteel,
                temperature: Temperature::from_deg_c(20.0),
                joint: Plates::Tee {
                    base: Length::from_mm(8.0),
                    upright: Length::from_mm(4.0),
                    angle: Angle::from_deg(90.0),
                    gap: Length::ZERO,
                    both: false,
                },
            };
            (
                behind_the_upright(&laser, &work),
                cautions(
                    &laser,
                    &work,
                    &melt(&laser, &work, Tier::Quick, Calibration::NONE).unwrap(),
                ),
            )
        };
        let (way, told) = at(2.5);
        assert!((way.unwrap() - 4.2567e-3).abs() < 1e-7, "{way:?}");
        assert!(told.iter().any(|l| l.what == "through" && l.fact.contains("behind the upright")));
        assert_eq!(at(1.3).0, None);
        assert_eq!(at(-0.5).0, None);
    }
}
