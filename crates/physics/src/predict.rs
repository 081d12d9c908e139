//! A setting and a joint become the section to expect, with its band.
//!
//! ```text
//!   setting + work ─ melt ─ fused ─ weld::section::read ─┐
//!        the same at h/f, w/f and at h·f, w·f ───────────┴─ Expected { middle, low, high }
//! ```
//!
//! The band is of the depth ([`band`](crate::band)), widths go with it by [`WIDTH_FACTOR`]; low takes both low. Outside the
//! checked range there is no band, and low and high are absent.
//! Laws that hold for every process are in [`conformance`](crate::conformance).
//! Not covered: what [`melt`](crate::melt) and [`fused`] do not.

use weld::reading::Reading;
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
    /// Low and high end of the 90 % band, where there is one.
    pub ends: Option<[Outcome; 2]>,
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
    if let Some(f) = factor
        && !melted.through
        && melted.reach * f > thickness
    {
        said.limits.push(Limit::new(
            "may come through",
            format!(
                "at the high end of the band the keyhole is {:.1} mm long in {:.1} mm of metal",
                melted.reach * f * 1e3,
                thickness * 1e3
            ),
            "watch the far side of the first coupon, and keep everybody from it",
        ));
    }
    said.ends = factor.map(|f| {
        let end = |depth, width, toes| {
            // A melt that is larger or smaller than thought had more or less heat: the ceiling goes with it.
            let scaled = melted.scaled(depth, width, thickness);
            let scaled = Melt { greatest_area: scaled.greatest_area * depth * width, ..scaled };
            outcome(laser, work, &scaled, toes, &mut Vec::new())
        };
        [end(1.0 / f, 1.0 / WIDTH_FACTOR, Toes::Beam), end(f, WIDTH_FACTOR, Toes::Pool)]
    });
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
    let said = Expected { tier, melt: melted.clone(), middle, ends: None, limits };
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
            "faster travel or less power; where the weld is meant to go through, back it and keep everybody from the far side: the beam comes out there",
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
