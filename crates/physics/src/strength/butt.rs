//! Butt welds: how deep from each side, or through.
//!
//! ```text
//!   partial: the throat is the fused stretch of joint line, square to it the pull, along it both shears
//!   through: as the weaker plate; then nothing is taken off for the ends
//! ```
//!
//! A partial-penetration butt never carries more than the plate. Where no throat short of the thickness will do, the need
//! is the whole thickness, and the method says [`Method::FullPenetration`].
//! A one-sided partial-penetration butt counts only when the joint is held against rotation
//! ([`EN_1993_1_8_ONE_SIDED`]); when nobody said, it is taken as free, and only welding through counts.
//!
//! Sources: [`EN_1993_1_8_PARTIAL_PENETRATION`], [`EN_1993_1_8_FULL_PENETRATION`], [`AISC_360_WELD_STRENGTH`],
//! [`AISC_360_LEAST_GROOVE`], [`AWS_D1_1_ALLOWABLE`].
//! Not covered: undermatched filler in a full-penetration butt, backing left in place, misaligned plates (the section
//! reads the thickness they share).

use weld::quantity::{Angle, Length, LineLoad, Stress};
use weld::source::{
    AISC_360_LEAST_GROOVE, AISC_360_WELD_STRENGTH, AWS_D1_1_ALLOWABLE, AWS_D1_1_ONE_SIDED,
    EN_1993_1_8_EFFECTIVE_LENGTH, EN_1993_1_8_FULL_PENETRATION, EN_1993_1_8_LEAST_THROAT,
    EN_1993_1_8_ONE_SIDED, EN_1993_1_8_PARTIAL_PENETRATION, Source,
};

use super::american;
use super::capacity::{Capacity, LapRule, LengthRule, Through};
use super::en::{Limits, ThroatStress};
use super::load::Load;
use super::parent::{ellipse, plate_strength};
use super::refusal::{Effect, Refusal, What};
use super::{
    Butt, Code, EnMethod, FullPenetration, Method, Need, Restraint, StrengthError, Welds,
    always_check, check_part, common_refusals, credit, eccentricity, finish, number, up,
};

pub(super) fn needed(butt: &Butt, load: &Load, code: &Code) -> Result<Need, StrengthError> {
    let [one, other] = &butt.parts;
    check_part(one)?;
    check_part(other)?;
    number("the length of the weld", butt.length.mm(), "mm", 1.0, 1e6)?;
    number("the gap", butt.gap.mm(), "mm", 0.0, 100.0)?;
    let newtons = load.newtons(butt.length);
    number("the load on the joint", newtons, "N", -1e12, 1e12)?;
    let unit = load.unit(Angle::from_deg(90.0))?;
    let parts = [one, other];
    let count = f64::from(butt.welds.count());
    let thinner = one.thickness.min(other.thickness);
    let yields = one.metal.yield_strength.min(other.metal.yield_strength);
    let breaks = one.metal.ultimate.min(other.metal.ultimate);
    let gamma_m0 = match code {
        Code::En(en) => en.gamma_m0(one.metal.family).max(en.gamma_m0(other.metal.family)),
        _ => 1.0,
    };

    let stress = ThroatStress {
        normal: Stress::from_mpa(unit.p),
        across: Stress::from_mpa(unit.q),
        along: Stress::from_mpa(unit.x),
    };
    let (strength, any_plane) = match code {
        Code::En(en) => {
            let limits = Limits::of(en, [&one.metal, &other.metal], butt.filler);
            (limits.strength(en.method, stress, false), limits.simplified())
        }
        Code::Aisc(aisc) => {
            let strength = american::groove_strength(aisc, breaks, unit.p);
            (strength, american::groove_strength(aisc, breaks, 0.0).min(strength))
        }
        Code::AwsD11(aws) => {
            let parent = ellipse(unit.p, 0.60 * yields.mpa(), 0.40 * yields.mpa());
            let strength = american::allowable(aws).mpa().min(parent);
            (strength, strength)
        }
    };
    // Force through the thinner plate, whose weakest metal governs.
    let (plate, plate_clause) = plate_strength(code, yields, breaks, gamma_m0, unit.p);
    let per_mm = plate * thinner.mm();
    let through = Through { at: thinner.mm() / count, force: per_mm * butt.length.mm() / count };
    let held = matches!(butt.welds, Welds::Both | Welds::One(Restraint::Held));
    let capacity = |strength| Capacity {
        demand: newtons.abs() / count,
        strength,
        length: butt.length.mm(),
        rule: if matches!(code, Code::En(_)) {
            LengthRule::European { full_size: butt.full_size_to_ends }
        } else {
            LengthRule::Whole
        },
        lap: LapRule::None,
        through: Some(through),
        partial: held,
    };
    let (mut capacity, mut any_plane) = (capacity(strength), capacity(any_plane));
    // Too short for the least throat: short of the whole thickness nothing counts.
    let too_short = held && matches!(code, Code::En(_)) && capacity.greatest() < 3.0;
    if too_short {
        capacity.partial = false;
        any_plane.partial = false;
    }

    let mut refusals = common_refusals(parts, butt.filler, code);
    if let Welds::One(restraint) = butt.welds
        && restraint != Restraint::Held
    {
        let why = match restraint {
            Restraint::FreeToRotate => "is free to rotate about its axis",
            _ => "may be free to rotate about its axis (nobody said)",
        };
        refusals.push(Refusal::new(
            What::FreeToRotate,
            Effect::Condition,
            if matches!(code, Code::En(_)) { EN_1993_1_8_ONE_SIDED } else { AWS_D1_1_ONE_SIDED },
            format!("the butt has one weld and {why}: short of the whole {thinner:.2} no resistance is given"),
            "weld through, weld from both sides, or show that the joint is held",
        ));
    }
    let resists = refusals.iter().all(|refusal| refusal.effect != Effect::NoResistance);
    let throat = if resists { capacity.needed() } else { None };
    let line_load = newtons.abs() / butt.length.mm();
    let plate_utilisation = line_load / per_mm;
    if plate_utilisation > 1.0 {
        refusals.push(Refusal::new(
            What::Plate,
            if throat.is_some() { Effect::NotAllowed } else { Effect::NoResistance },
            plate_clause,
            format!(
                "the load is {:.0} % of what the {thinner:.2} plate itself carries over the length of the weld",
                100.0 * plate_utilisation
            ),
            "no weld helps: make the plate thicker, longer or of a stronger grade",
        ));
    }
    let whole = Length::from_mm(through.at);
    let through_only = throat.is_some_and(|throat| throat >= whole);
    let least = match code {
        Code::En(_) => Length::from_mm(3.0),
        _ => american::least_groove_throat(thinner),
    };
    if let Some(throat) = throat.filter(|throat| *throat < least && !through_only) {
        let (throat, shown) = (up(throat), up(least));
        let (clause, fact) = match code {
            Code::En(_) => (
                EN_1993_1_8_LEAST_THROAT,
                format!(
                    "the load needs a throat of {throat:.2}, and none below {shown:.2} may be counted"
                ),
            ),
            _ => (
                AISC_360_LEAST_GROOVE,
                format!(
                    "the load needs a throat of {throat:.2}, and a part of {thinner:.2} asks for at least {shown:.2}"
                ),
            ),
        };
        let advice = if least >= whole {
            "weld through: the plate is too thin for a throat that counts short of its thickness"
        } else {
            "specify and show at least that throat"
        };
        refusals.push(Refusal::new(What::LeastThroat, Effect::Condition, clause, fact, advice));
    }
    if too_short && resists {
        refusals.push(Refusal::new(
            What::EffectiveLength,
            Effect::Condition,
            EN_1993_1_8_EFFECTIVE_LENGTH,
            format!(
                "a weld {:.1} long is too short for a partial-penetration butt to carry load",
                butt.length
            ),
            "weld through, or make the weld longer",
        ));
    }
    // Short of the least throat nothing counts, so a plate thinner than that is welded through.
    let least = least.min(whole);
    let (method, clause) = method(code, through_only);
    let mut also_check = always_check(code, butt.filler);
    if matches!(butt.welds, Welds::One(_)) && !through_only {
        also_check.push(eccentricity(code));
    }
    let need = Need {
        throat,
        least_throat: Some(least),
        specify: throat.map(|throat| throat.max(least)),
        any_plane: if resists { any_plane.needed() } else { None },
        welds: butt.welds.count(),
        effective_length: throat.map(|throat| {
            if through_only {
                butt.length
            } else {
                Length::from_mm(capacity.effective(throat.mm()))
            }
        }),
        line_resistance: throat.map(|throat| capacity.line_resistance(throat)),
        throat_stress: throat
            .filter(|throat| matches!(code, Code::En(_)) && throat.mm() > 0.0)
            .map(|throat| {
                let effective =
                    if through_only { butt.length.mm() } else { capacity.effective(throat.mm()) };
                let f = capacity.demand / (effective * throat.mm());
                ThroatStress {
                    normal: stress.normal * f,
                    across: stress.across * f,
                    along: stress.along * f,
                }
            }),
        capacity: resists.then_some(capacity),
        method,
        loads: code.loads(),
        clause,
        penetration_counts_by: credit(code, true),
        as_full_penetration: resists.then(|| FullPenetration {
            least_sum_of_throats: thinner,
            greatest_land: Length::ZERO,
            line_resistance: LineLoad::from_n_per_mm(per_mm),
            utilisation: plate_utilisation,
            clause: method_through(code),
        }),
        plate_utilisation,
        fused: Vec::new(),
        flat_leg: None,
        refusals,
        also_check,
        sources: Vec::new(),
    };
    Ok(finish(need, parts, butt.filler, code))
}

fn method(code: &Code, through: bool) -> (Method, Source) {
    if through {
        return (Method::FullPenetration, method_through(code));
    }
    match code {
        Code::En(en) => (
            match en.method {
                EnMethod::Directional => Method::EnDirectional,
                EnMethod::Simplified => Method::EnSimplified,
            },
            EN_1993_1_8_PARTIAL_PENETRATION,
        ),
        Code::Aisc(_) => (Method::AiscGroove, AISC_360_WELD_STRENGTH),
        Code::AwsD11(_) => (Method::AwsAllowable, AWS_D1_1_ALLOWABLE),
    }
}

const fn method_through(code: &Code) -> Source {
    match code {
        Code::En(_) => EN_1993_1_8_FULL_PENETRATION,
        Code::Aisc(_) => AISC_360_WELD_STRENGTH,
        Code::AwsD11(_) => AWS_D1_1_ALLOWABLE,
    }
}
