//! Fillets of a tee, or of a lap at an edge: throat, refusals and checks put together.
//!
//! A two-sided tee whose upright leans has one weld in the dihedral angle and one in its supplement; both share the load
//! evenly, and the weaker direction governs both throats.
//! A pair of welds may instead be taken as full penetration
//! ([`EN_1993_1_8_TEE_BUTT`]): sum of throats at least the upright's thickness, land at most min(t/5, 3 mm).

use weld::quantity::{Angle, Length, LineLoad, Stress};
use weld::source::{
    AISC_360_DIRECTIONAL, AISC_360_GREATEST_LEG, AISC_360_LEAST_GROOVE, AISC_360_LEAST_LEG,
    AISC_360_LENGTH, AISC_360_WELD_STRENGTH, AWS_D1_1_ALLOWABLE, AWS_D1_1_FIT_UP,
    AWS_D1_1_ONE_SIDED, AWS_D1_1_SKEWED, EN_1993_1_1_PLATE, EN_1993_1_8_ANGLE,
    EN_1993_1_8_DIRECTIONAL, EN_1993_1_8_EFFECTIVE_LENGTH, EN_1993_1_8_LEAST_THROAT,
    EN_1993_1_8_LONG_LAP, EN_1993_1_8_ONE_SIDED, EN_1993_1_8_SIMPLIFIED, EN_1993_1_8_TEE_BUTT,
    Source,
};

use super::american;
use super::capacity::{Capacity, LapRule, LengthRule};
use super::en::{Limits, ThroatStress, on_half_angle};
use super::load::{Load, Unit};
use super::parent::{Plate, fused_length, plate_strength};
use super::refusal::{Effect, Refusal, What};
use super::{
    Aisc, Code, En, EnMethod, FullPenetration, Method, Need, Part, Restraint, StrengthError, Tee,
    Welds, always_check, check_part, common_refusals, credit, eccentricity, finish, leg, number,
    up,
};

/// One weld as the load sees it.
#[derive(Clone, Copy)]
struct Side {
    unit: Unit,
    angle: Angle,
}

impl Side {
    fn degrees(self) -> f64 {
        self.angle.deg()
    }
}

/// Angles are compared with a slack that only swallows the last bits of a conversion.
const SLACK_DEG: f64 = 1e-9;

pub(super) fn needed(tee: &Tee, load: &Load, code: &Code) -> Result<Need, StrengthError> {
    check(tee)?;
    let newtons = load.newtons(tee.length);
    number("the load on the joint", newtons, "N", -1e12, 1e12)?;
    let unit = load.unit(tee.angle)?;
    let mut sides = vec![Side { unit, angle: tee.angle }];
    if tee.welds == Welds::Both {
        sides.push(Side { unit: unit.mirrored(), angle: Angle::from_deg(180.0) - tee.angle });
    }
    let parts = [&tee.base, &tee.upright];
    let mut refusals = common_refusals(parts, tee.filler, code);
    one_sided(tee, code, &mut refusals);
    angles(&sides, code, &mut refusals);

    let lapped = end_loaded(tee, unit);
    if lapped.is_some_and(|l| needs_leg(tee, code, l)) {
        return Err(StrengthError::LegNeeded { length: lapped.unwrap_or(tee.length) });
    }
    let strength = strength(tee, code, &sides);
    let count = f64::from(tee.welds.count());
    let capacity = |strength: f64| Capacity {
        demand: newtons.abs() / count,
        strength,
        length: tee.length.mm(),
        rule: length_rule(tee, code, &sides),
        lap: lap_rule(tee, code, lapped),
        through: None,
        partial: true,
    };
    let (capacity, any_plane) = (capacity(strength.asked), capacity(strength.any_plane));
    let least_throat = match code {
        Code::En(_) => Some(Length::from_mm(3.0)),
        // Below 60 degrees it counts as a groove weld, and takes that weld's least throat.
        _ if sides.iter().any(|side| acute(*side)) => {
            Some(american::least_groove_throat(tee.base.thickness.min(tee.upright.thickness)))
        }
        _ => None,
    };
    too_short(tee, code, &capacity, &mut refusals);

    let resists = refusals.iter().all(|refusal| refusal.effect != Effect::NoResistance);
    let throat = if resists { capacity.needed() } else { None };
    if resists && throat.is_none() {
        refusals.push(not_enough(&capacity, code));
    }
    if let Some(throat) = throat {
        at_throat(code, &capacity, throat, [least_throat, lapped], &mut refusals);
    }
    legs(tee, code, throat, &mut refusals);

    // The plate's own cross-section: an upright's lies square to it, a lapped plate's square to the base plane.
    let (sin, cos) = tee.angle.rad().sin_cos();
    let plate_normal = if tee.lap.is_some() { (1.0, 0.0) } else { (cos, sin) };
    let across_plate = unit.along(plate_normal);
    let gamma_m0 = gamma_m0(code, tee);
    let upright = &tee.upright;
    let line_load = newtons.abs() / tee.length.mm();
    let of_plate = |part: &Part, name: &'static str| {
        let (strength, clause) = plate_strength(
            code,
            part.metal.yield_strength,
            part.metal.ultimate,
            gamma_m0,
            across_plate,
        );
        let used = line_load / (strength * part.thickness.mm());
        (used, clause, part.thickness, name)
    };
    let mut plate = of_plate(upright, "upright");
    if tee.lap.is_some() {
        // Both plates of a lap take the whole load.
        plate.3 = "lapped plate";
        let base = of_plate(&tee.base, "base");
        if base.0 > plate.0 {
            plate = base;
        }
    }
    let (plate_utilisation, plate_clause, plate_thickness, plate_name) = plate;
    if plate_utilisation > 1.0 {
        refusals.push(Refusal::new(
            What::Plate,
            Effect::NotAllowed,
            plate_clause,
            format!(
                "the load is {:.0} % of what the {plate_thickness:.2} {plate_name} itself carries over its length",
                100.0 * plate_utilisation,
            ),
            format!("no weld helps: make the {plate_name} thicker, longer or of a stronger grade"),
        ));
    }

    let fused = throat.map_or_else(Vec::new, |throat| {
        // A long lap's peak is what the face sees.
        let f = capacity.demand
            / (capacity.effective(throat.mm()) * capacity.beta(throat.mm()).max(1e-3));
        vec![
            fused_length(code, Plate::Base, &tee.base.metal, f, unit.q),
            fused_length(code, Plate::Upright, &upright.metal, f, unit.along((sin, -cos))),
        ]
    });
    let as_full_penetration =
        tee_butt(tee, code, across_plate, gamma_m0, line_load).filter(|_| resists);
    let (method, clause) = method(code, &sides);
    let mut also_check = always_check(code, tee.filler);
    if matches!(tee.welds, Welds::One(_)) {
        also_check.push(eccentricity(code));
    }
    if matches!(code, Code::En(_)) && unit.q.abs() > 1e-9 && tee.lap.is_none() {
        also_check.push(super::refusal::AlsoCheck {
            what: "base through its thickness",
            clause: EN_1993_1_1_PLATE,
            fact: format!(
                "the upright pulls or pushes the {:.2} base through its thickness: check its bending, and lamellar tearing by EN 1993-1-10",
                tee.base.thickness
            ),
        });
    }
    let need = Need {
        throat,
        least_throat,
        specify: throat.map(|throat| least_throat.map_or(throat, |least| throat.max(least))),
        any_plane: if resists { any_plane.needed() } else { None },
        welds: tee.welds.count(),
        effective_length: throat.map(|throat| Length::from_mm(capacity.effective(throat.mm()))),
        line_resistance: throat.map(|throat| capacity.line_resistance(throat)),
        throat_stress: throat.and_then(|throat| {
            let unit = strength.stress?;
            let a = throat.mm();
            if a == 0.0 {
                return None;
            }
            let f = capacity.demand / (capacity.effective(a) * capacity.beta(a) * a);
            Some(ThroatStress {
                normal: unit.normal * f,
                across: unit.across * f,
                along: unit.along * f,
            })
        }),
        capacity: resists.then_some(capacity),
        method,
        loads: code.loads(),
        clause,
        penetration_counts_by: credit(code, false),
        as_full_penetration,
        plate_utilisation,
        fused,
        flat_leg: throat.map(|t| super::leg::of_throat(t, tee.angle)),
        refusals,
        also_check,
        sources: Vec::new(),
    };
    Ok(finish(need, parts, tee.filler, code))
}

fn check(tee: &Tee) -> Result<(), StrengthError> {
    check_part(&tee.base)?;
    check_part(&tee.upright)?;
    number("the length of the weld", tee.length.mm(), "mm", 1.0, 1e6)?;
    // A right angle is 90 degrees only to the last bits.
    number(
        "the angle between the plates",
        (tee.angle.deg() * 1e9).round() / 1e9,
        "°",
        30.0,
        150.0,
    )?;
    number("the gap", tee.gap.mm(), "mm", 0.0, 100.0)?;
    if let Some(leg) = tee.leg {
        number("the leg", leg.mm(), "mm", 0.1, 1000.0)?;
    }
    if let Some(length) = tee.lap.and_then(|lap| lap.along_the_force) {
        number("the length of the lap", length.mm(), "mm", 0.1, 1e6)?;
    }
    if tee.welds == Welds::One(Restraint::NotSaid) {
        return Err(StrengthError::RestraintNotSaid);
    }
    Ok(())
}

fn gamma_m0(code: &Code, tee: &Tee) -> f64 {
    match code {
        Code::En(en) => {
            en.gamma_m0(tee.base.metal.family).max(en.gamma_m0(tee.upright.metal.family))
        }
        _ => 1.0,
    }
}

fn one_sided(tee: &Tee, code: &Code, refusals: &mut Vec<Refusal>) {
    if tee.welds != Welds::One(Restraint::FreeToRotate) {
        return;
    }
    let clause =
        if matches!(code, Code::En(_)) { EN_1993_1_8_ONE_SIDED } else { AWS_D1_1_ONE_SIDED };
    refusals.push(Refusal::new(
        What::FreeToRotate,
        Effect::NoResistance,
        clause,
        "the joint has one weld and is free to rotate about its axis: the root opens, and no resistance is given however deep the fusion".to_owned(),
        "weld from both sides, weld through, or hold the parts so that the joint cannot turn",
    ));
}

fn angles(sides: &[Side], code: &Code, refusals: &mut Vec<Refusal>) {
    let greatest = if matches!(code, Code::En(_)) { 120.0 } else { 135.0 };
    for side in sides {
        let degrees = side.degrees();
        if degrees > greatest + SLACK_DEG {
            let (clause, advice) = match code {
                Code::En(_) => (
                    EN_1993_1_8_ANGLE,
                    "find the resistance by tests to EN 1990 Annex D, or count the other side alone as a one-sided weld",
                ),
                _ => (
                    AWS_D1_1_SKEWED,
                    "prepare the edge as a groove weld, or count the other side alone as a one-sided weld",
                ),
            };
            refusals.push(Refusal::new(
                What::Angle,
                Effect::NoResistance,
                clause,
                format!("the plates meet at {degrees:.1}° on one side, and a fillet has a resistance up to {greatest:.0}° only"),
                advice,
            ));
        } else if degrees < 60.0 - SLACK_DEG {
            let (clause, fact, advice) = match code {
                Code::En(_) => (
                    EN_1993_1_8_ANGLE,
                    format!(
                        "the plates meet at {degrees:.1}° on one side: below 60° the weld counts as a partial-penetration butt weld"
                    ),
                    "count no more throat than the depth that trials show is consistently reached in the acute corner",
                ),
                _ => (
                    AWS_D1_1_SKEWED,
                    format!(
                        "the plates meet at {degrees:.1}° on one side: below 60° the weld counts as a partial-penetration groove weld, less the Z loss"
                    ),
                    "read the throat from sections, or take off the Z loss of the process and position",
                ),
            };
            refusals.push(Refusal::new(What::Angle, Effect::Condition, clause, fact, advice));
        }
    }
}

/// Strength per throat area in the direction of the load, the weakest side's.
struct Strengths {
    asked: f64,
    any_plane: f64,
    stress: Option<ThroatStress>,
}

fn strength(tee: &Tee, code: &Code, sides: &[Side]) -> Strengths {
    match code {
        Code::En(en) => {
            let limits = Limits::of(en, [&tee.base.metal, &tee.upright.metal], tee.filler);
            let mut weakest =
                Strengths { asked: f64::MAX, any_plane: limits.simplified(), stress: None };
            for side in sides {
                let stress = on_half_angle(side.unit, side.angle);
                let strength = limits.strength(en.method, stress, acute(*side));
                if strength < weakest.asked {
                    weakest.asked = strength;
                    weakest.stress = Some(stress);
                }
            }
            weakest
        }
        Code::Aisc(aisc) => {
            let plain = american::fillet_strength(&Aisc { directional: false, ..*aisc }, 0.0);
            let asked = sides.iter().map(|side| {
                if acute(*side) {
                    plain
                } else {
                    american::fillet_strength(aisc, side.unit.p.hypot(side.unit.q))
                }
            });
            Strengths { asked: asked.fold(f64::MAX, f64::min), any_plane: plain, stress: None }
        }
        Code::AwsD11(aws) => {
            let allowable = american::allowable(aws).mpa();
            Strengths { asked: allowable, any_plane: allowable, stress: None }
        }
    }
}

fn acute(side: Side) -> bool {
    side.degrees() < 60.0 - SLACK_DEG
}

fn method(code: &Code, sides: &[Side]) -> (Method, Source) {
    let all_acute = sides.iter().all(|side| acute(*side));
    match code {
        Code::En(En { method: EnMethod::Directional, .. }) if !all_acute => {
            (Method::EnDirectional, EN_1993_1_8_DIRECTIONAL)
        }
        Code::En(_) => (Method::EnSimplified, EN_1993_1_8_SIMPLIFIED),
        Code::Aisc(Aisc { directional: true, .. }) if !all_acute => {
            (Method::AiscDirectional, AISC_360_DIRECTIONAL)
        }
        Code::Aisc(_) => (Method::AiscFillet, AISC_360_WELD_STRENGTH),
        Code::AwsD11(_) => (Method::AwsAllowable, AWS_D1_1_ALLOWABLE),
    }
}

fn length_rule(tee: &Tee, code: &Code, sides: &[Side]) -> LengthRule {
    if matches!(code, Code::En(_)) {
        return LengthRule::European { full_size: tee.full_size_to_ends };
    }
    let quarter = 0.25 * tee.length;
    if tee.leg.is_some_and(|leg| leg <= quarter) {
        return LengthRule::Whole;
    }
    // The throat that a drawn fillet with a leg of l/4 has in the wider corner.
    let greatest_throat =
        sides.iter().map(|side| leg::throat(quarter, side.angle).mm()).fold(f64::MAX, f64::min);
    LengthRule::American { greatest_throat }
}

/// Length of a lap in the direction of the force. A load with a part along the weld is taken in over the weld's own length
/// at least, whatever was said.
fn end_loaded(tee: &Tee, unit: Unit) -> Option<Length> {
    let lap = tee.lap?;
    let own = (unit.x.abs() > 1e-9).then_some(tee.length);
    match (lap.along_the_force, own) {
        (Some(said), Some(own)) => Some(said.max(own)),
        (said, own) => said.or(own),
    }
}

/// By AISC the reduction hangs on the leg; where nobody spoke of an end-loaded weld, there is none up to 100 of the least legs.
fn needs_leg(tee: &Tee, code: &Code, lapped: Length) -> bool {
    let least = american::least_leg(tee.base.thickness.min(tee.upright.thickness));
    let said = tee.lap.is_some_and(|lap| lap.along_the_force.is_some());
    !matches!(code, Code::En(_)) && tee.leg.is_none() && (said || lapped > 100.0 * least)
}

fn lap_rule(tee: &Tee, code: &Code, lapped: Option<Length>) -> LapRule {
    let Some(length) = lapped else { return LapRule::None };
    match (code, tee.leg) {
        (Code::En(_), _) => LapRule::European { lap: length.mm() },
        (_, Some(leg)) => LapRule::American { beta: american::end_loaded_factor(length, leg) },
        // Short enough for any leg that is allowed.
        (_, None) => LapRule::None,
    }
}

fn too_short(tee: &Tee, code: &Code, capacity: &Capacity, refusals: &mut Vec<Refusal>) {
    let length = tee.length;
    match code {
        Code::En(_) if capacity.greatest() < 3.0 => {
            let (taken, needs) = if tee.full_size_to_ends { (0.0, 30.0) } else { (6.0, 36.0) };
            refusals.push(Refusal::new(
                What::EffectiveLength,
                Effect::NoResistance,
                EN_1993_1_8_EFFECTIVE_LENGTH,
                format!(
                    "a weld {length:.1} long has an effective length of {:.1} mm at the least throat of 3 mm; below 30 mm it may not be designed to carry load",
                    (length.mm() - taken).max(0.0)
                ),
                format!("make the weld at least {needs:.0} mm long, or do not count it"),
            ));
        }
        Code::Aisc(_) | Code::AwsD11(_) => {
            if let Some(leg) = tee.leg.filter(|leg| 4.0 * *leg > length) {
                refusals.push(Refusal::new(
                    What::EffectiveLength,
                    Effect::Condition,
                    AISC_360_LENGTH,
                    format!(
                        "a weld {length:.1} long with a leg of {leg:.2} is shorter than four legs: its leg counts as {:.2}",
                        0.25 * length
                    ),
                    "make the weld longer, or count the smaller leg",
                ));
            }
        }
        Code::En(_) => {}
    }
}

fn not_enough(capacity: &Capacity, code: &Code) -> Refusal {
    let greatest = Length::from_mm(capacity.greatest());
    let length = Length::from_mm(capacity.length);
    let clause =
        if matches!(code, Code::En(_)) { EN_1993_1_8_EFFECTIVE_LENGTH } else { AISC_360_LENGTH };
    Refusal::new(
        What::NotEnough,
        Effect::NoResistance,
        clause,
        format!(
            "the greatest throat that counts on a weld {length:.1} long is {greatest:.2}, and the load is {:.0} % of what it carries",
            100.0 * capacity.utilisation(greatest)
        ),
        "make the weld longer, weld the other side too, or share the load with further welds",
    )
}

/// What shows once the throat is known.
fn at_throat(
    code: &Code,
    capacity: &Capacity,
    throat: Length,
    [least, lapped]: [Option<Length>; 2],
    refusals: &mut Vec<Refusal>,
) {
    if let Some(least) = least.filter(|least| throat < *least) {
        let clause = if matches!(code, Code::En(_)) {
            EN_1993_1_8_LEAST_THROAT
        } else {
            AISC_360_LEAST_GROOVE
        };
        let (needs, least) = (up(throat), up(least));
        refusals.push(Refusal::new(
            What::LeastThroat,
            Effect::Condition,
            clause,
            format!(
                "the load needs a throat of {needs:.2}, and none below {least:.2} may be counted"
            ),
            format!("specify and show a throat of at least {least:.2}"),
        ));
    }
    let beta = capacity.beta(throat.mm());
    if let (true, Some(length)) = (beta < 1.0 && throat.mm() > 0.0, lapped) {
        let clause =
            if matches!(code, Code::En(_)) { EN_1993_1_8_LONG_LAP } else { AISC_360_LENGTH };
        refusals.push(Refusal::new(
            What::LongLap,
            Effect::Condition,
            clause,
            format!(
                "the lap is {length:.0} long: {:.1} % of the weld's resistance counts",
                100.0 * beta
            ),
            "nothing to do: the throat has it in; a shorter lap or a wider weld would lose less",
        ));
    }
}

/// American sizes by leg, and what the gap does.
fn legs(tee: &Tee, code: &Code, throat: Option<Length>, refusals: &mut Vec<Refusal>) {
    if matches!(code, Code::En(_)) {
        return;
    }
    // Bits, not metal.
    let below = |a: Length, b: Length| a < b * (1.0 - 1e-9);
    let thinner = tee.base.thickness.min(tee.upright.thickness);
    let least = american::least_leg(thinner);
    let shown = up(least);
    let (effect, fact) = match tee.leg {
        Some(leg) if below(leg, least) => (
            Some(Effect::NotAllowed),
            format!(
                "a leg of {leg:.2} is below the least of {shown:.2} for a thinner part of {thinner:.2}"
            ),
        ),
        Some(_) => (None, String::new()),
        None => (
            Some(Effect::Condition),
            format!(
                "with a thinner part of {thinner:.2} the leg must be at least {shown:.2}, however deep the fusion"
            ),
        ),
    };
    if let Some(effect) = effect {
        refusals.push(Refusal::new(
            What::LeastLeg,
            effect,
            AISC_360_LEAST_LEG,
            fact,
            "lay down more metal, so that both legs reach the least size",
        ));
    }
    if tee.lap.is_some_and(|lap| lap.along_an_edge) {
        let edge = tee.upright.thickness;
        let greatest = american::greatest_leg(edge);
        let (effect, fact) = match tee.leg {
            Some(leg) if below(greatest, leg) => (
                Some(Effect::NotAllowed),
                format!(
                    "a leg of {leg:.2} is above the {greatest:.2} that an edge of {edge:.2} allows"
                ),
            ),
            Some(_) => (None, String::new()),
            None => (
                Some(Effect::Condition),
                format!("along an edge of {edge:.2} the leg may be at most {greatest:.2}"),
            ),
        };
        if let Some(effect) = effect {
            refusals.push(Refusal::new(
                What::GreatestLeg,
                effect,
                AISC_360_GREATEST_LEG,
                fact,
                "keep the toe below the edge, or note on the drawing that the edge is built out to full throat",
            ));
        }
    }
    let gap = tee.gap;
    if gap.inches() > 0.1875 * (1.0 + 1e-9) {
        refusals.push(Refusal::new(
            What::Gap,
            Effect::NotAllowed,
            AWS_D1_1_FIT_UP,
            format!("the gap of {gap:.2} is wider than 3/16 in (4.76 mm)"),
            "bring the parts together, or prepare the joint as a groove weld",
        ));
    } else if gap.inches() > 0.0625 * (1.0 + 1e-9) {
        refusals.push(Refusal::new(
            What::Gap,
            Effect::Condition,
            AWS_D1_1_FIT_UP,
            format!("the gap of {gap:.2} is wider than 1/16 in (1.59 mm): the legs grow by it"),
            format!("make each leg {gap:.2} longer, or show the throat net of the gap on sections"),
        ));
    }
    // AWS D1.1 alone counts the drawn throat, whatever lies below it.
    if let (Code::AwsD11(_), Some(leg), Some(throat)) = (code, tee.leg, throat) {
        let obtuse = if tee.welds == Welds::Both {
            tee.angle.max(Angle::from_deg(180.0) - tee.angle)
        } else {
            tee.angle
        };
        // Beyond 1/16 in the gap is taken off the leg that bridges it.
        let bridges = gap.inches() > 0.0625 * (1.0 + 1e-9);
        let net = if bridges { (leg - gap).max(Length::ZERO) } else { leg };
        let drawn = leg::throat(net, obtuse);
        if below(drawn, throat) {
            let less = if bridges { format!(" less the gap of {gap:.2}") } else { String::new() };
            let throat = up(throat);
            refusals.push(Refusal::new(
                What::NotEnough,
                Effect::NotAllowed,
                AWS_D1_1_ALLOWABLE,
                format!("a leg of {leg:.2}{less} draws a throat of {drawn:.2}, the load needs {throat:.2}, and depth does not count"),
                "make the legs longer, or name AISC 360 J2.2a in the contract and show the depth by tests",
            ));
        }
    }
}

fn tee_butt(
    tee: &Tee,
    code: &Code,
    square: f64,
    gamma_m0: f64,
    line_load: f64,
) -> Option<FullPenetration> {
    let Code::En(_) = code else { return None };
    if tee.welds != Welds::Both || tee.lap.is_some() {
        return None;
    }
    let t = tee.upright.thickness;
    let yields: Stress = tee.base.metal.yield_strength.min(tee.upright.metal.yield_strength);
    let breaks = tee.base.metal.ultimate.min(tee.upright.metal.ultimate);
    let (strength, _) = plate_strength(code, yields, breaks, gamma_m0, square);
    let resistance = strength * t.mm();
    Some(FullPenetration {
        least_sum_of_throats: t,
        greatest_land: (t / 5.0).min(Length::from_mm(3.0)),
        line_resistance: LineLoad::from_n_per_mm(resistance),
        utilisation: line_load / resistance,
        clause: EN_1993_1_8_TEE_BUTT,
    })
}
