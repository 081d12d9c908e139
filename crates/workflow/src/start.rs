//! `start`: what throat does this load need, and which setting is worth trying first?
//!
//! [`start`] answers the first from a joint file; [`choose`] searches settings for the second; what a given setting should
//! make is [`predict`](crate::predict).

use crate::cores::side_by_side;
use crate::files;
use crate::predict::pictures::{Drawn, drawn as drawn_section};
use crate::predict::says;
use crate::predict::{
    PerMetre, band_form, cost, expected_form, goal, limit_words, no_filler, per_metre, refuse_lap,
    setting_form, work_of,
};
use crate::refusal::Refusal;
pub use crate::wire::joint::StartOut;
use crate::wire::joint::{
    AskedJoint, CheckOut, CreditOut, FullOut, FusedOut, NeedOut, PartOut, RefusalOut,
    joint_from_toml,
};
use crate::wire::predict::{BitesOut, ChoiceOut, CouponOut, SearchOut};
use crate::wire::setting::{AskedProcess, AskedSetting, Rates};
use physics::keyhole::Resolution;
use physics::melt::{Calibration, Tier};
use physics::predict::{PredictError, predict};
use physics::search::{
    Bites, Choice, Goal, Gun, Hand, answers, candidates, drawn, look, sieve, worth_a_look,
};
use physics::setting::{Laser, Plates, Work};
use physics::strength::parent::Plate;
use physics::strength::refusal::{Effect, What};
use physics::strength::{Joint, Need, Part, StrengthError, needed};
use physics::telling::most_telling;
use rand::SeedableRng;
use std::collections::BTreeMap;
use std::path::Path;
use weld::quantity::Length;
use weld::quantity::parse::QuantityError;

/// A joint file answered.
#[derive(Debug)]
pub struct Started {
    /// The form of the answer.
    pub out: StartOut,
    /// What was asked.
    pub asked: AskedJoint,
    /// What the load needs, as nouns.
    pub need: Option<Need>,
}

/// Reads a joint file and works out what its load needs.
///
/// # Errors
///
/// Says file, line, field, fact and next action.
pub fn start(path: &Path) -> Result<Started, Refusal> {
    from_text(path.display().to_string(), &files::text(path)?)
}

/// The same from the text of a joint file.
///
/// # Errors
///
/// As [`start`].
pub fn from_text(file: String, text: &str) -> Result<Started, Refusal> {
    let asked = joint_from_toml(&file, text)?;
    let need = match &asked.need {
        None => None,
        Some(n) => Some(
            needed(&asked.joint, &n.load, &n.code).map_err(|e| place(&e, &asked).in_file(&file))?,
        ),
    };
    let out = StartOut {
        file,
        joint_kind: asked.kind,
        need: need
            .as_ref()
            .zip(asked.need.as_ref())
            .map(|(n, a)| form(n, a.code_name, parts(&asked.joint))),
        taken: asked.taken.clone(),
        remarks: asked.remarks.clone(),
    };
    Ok(Started { out, asked, need })
}

/// Where the room's refusal belongs in the file.
fn place(error: &StrengthError, asked: &AskedJoint) -> Refusal {
    let field = match error {
        StrengthError::Bead => "joint",
        StrengthError::RestraintNotSaid => "restrained",
        StrengthError::NoDirection { .. } => "need.direction",
        StrengthError::LegNeeded { .. } => "leg",
        StrengthError::Number { what, .. } => match *what {
            "the strength of the electrode" => "need.electrode",
            "the length of the weld" => "length",
            "the angle between the plates" => "angle",
            "the gap" => "gap",
            "the leg" => "leg",
            _ => "need",
        },
        _ => "need",
    };
    let line = asked.line(field).or_else(|| asked.line("sides")).or_else(|| asked.line("need"));
    Refusal::new(error, error.advice()).in_field(field).at_line(line)
}

fn plate(plate: Plate) -> &'static str {
    match plate {
        Plate::Base => "base",
        Plate::Upright => "upright",
    }
}

fn parts(joint: &Joint) -> Vec<PartOut> {
    let parts: [(&'static str, &Part); 2] = match joint {
        Joint::Bead => return Vec::new(),
        Joint::Tee(tee) => [("base", &tee.base), ("upright", &tee.upright)],
        Joint::Butt(butt) => [("plate", &butt.parts[0]), ("other plate", &butt.parts[1])],
    };
    parts
        .into_iter()
        .map(|(name, part)| PartOut {
            part: name,
            metal: part.metal.name.clone(),
            thickness_mm: part.thickness.mm(),
            yield_strength_mpa: part.metal.yield_strength.mpa(),
            tensile_strength_mpa: part.metal.ultimate.mpa(),
            source: part.metal.source.map(Into::into),
        })
        .collect()
}

fn form(need: &Need, code: &'static str, parts: Vec<PartOut>) -> NeedOut {
    NeedOut {
        allowed: need.allowed(),
        throat_mm: need.throat.map(|t| t.mm()),
        least_throat_mm: need.least_throat.map(|t| t.mm()),
        specify_mm: need.specify.map(|t| t.mm()),
        any_plane_mm: need.specify_any_plane().map(|t| t.mm()),
        welds: need.welds,
        effective_length_mm: need.effective_length.map(|l| l.mm()),
        resistance_n_per_mm: need.line_resistance.map(|r| r.n_per_mm()),
        code,
        clause: need.clause.into(),
        method: need.method.to_string(),
        loads: need.loads,
        penetration_counts_by: CreditOut {
            counts: need.penetration_counts_by.counts,
            clause: need.penetration_counts_by.clause.into(),
            condition: need.penetration_counts_by.condition,
        },
        as_full_penetration: need.as_full_penetration.map(|full| FullOut {
            least_sum_of_throats_mm: full.least_sum_of_throats.mm(),
            greatest_land_mm: full.greatest_land.mm(),
            resistance_n_per_mm: full.line_resistance.n_per_mm(),
            utilisation: full.utilisation,
            clause: full.clause.into(),
        }),
        plate_utilisation: need.plate_utilisation,
        parts,
        fused: need
            .fused
            .iter()
            .map(|f| FusedOut {
                plate: plate(f.plate),
                least_mm: f.least.mm(),
                asked_by_code: f.asked_by_code,
                clause: f.clause.into(),
            })
            .collect(),
        governs: need
            .flat_leg
            .map(|_| need.parent_governs().map_or("weld", |fused| plate(fused.plate))),
        least_leg_asked: need
            .refusal(What::LeastLeg)
            .is_some_and(|r| r.effect == Effect::Condition),
        refusals: need.refusals.iter().map(refusal_form).collect(),
        also_check: need
            .also_check
            .iter()
            .map(|c| CheckOut { what: c.what, fact: c.fact.clone(), clause: c.clause.into() })
            .collect(),
    }
}

pub(crate) fn refusal_form(r: &physics::strength::refusal::Refusal) -> RefusalOut {
    RefusalOut {
        effect: match r.effect {
            Effect::Condition => "condition",
            Effect::NotAllowed => "not allowed",
            Effect::NoResistance => "no resistance",
        },
        fact: r.fact.clone(),
        advice: r.advice.clone(),
        clause: r.clause.into(),
    }
}

/// What the search is told of the gun; what is not said is a common one's.
#[derive(Clone, Debug, Default)]
pub struct AskedGun {
    /// Greatest power at the work, as text.
    pub power: Option<String>,
    /// Focus diameters at hand, as texts.
    pub spots: Vec<String>,
    /// M² of the first.
    pub m2: Option<f64>,
    /// Money.
    pub rates: Option<Rates>,
}

/// How many settings are looked at by the keyhole tier.
const LOOKED_AT: usize = 300;
/// Where no setting holds against the hand, the choice is among so many.
const NEAREST: usize = 12;
/// Draws of the hand for each setting shown.
const DRAWS: usize = 500;

/// Searches settings for a joint whose need is known, and ranks what serves.
///
/// # Errors
///
/// When a figure of the gun cannot be read, or the joint is one that nothing can be predicted for.
pub fn choose(started: &Started, asked: &AskedGun) -> Result<SearchOut, Refusal> {
    let mut out = SearchOut {
        choices: Vec::new(),
        looked_at: 0,
        limits: Vec::new(),
        coupons: Vec::new(),
        currency: asked.rates.as_ref().map(|rates| rates.currency.clone()),
        gun: Vec::new(),
        remarks: Vec::new(),
    };
    let Some(goal) = started.need.as_ref().and_then(|n| goal(n, &started.asked.joint)) else {
        out.remarks.push(if started.need.is_none() {
            "no load is given, so no setting can be chosen for it: add [need], or ask what a setting makes with --setting".to_owned()
        } else {
            "no throat will do, so no setting will: see what the code refuses".to_owned()
        });
        return Ok(out);
    };
    let gun = gun(asked, &mut out.gun)?;
    if gun.spots.len() > 1 {
        out.remarks.push(
            "between spots: a spot three times larger takes 6 to 8 % off the depth here, and the trade finds clearly more (docs/accuracy.md): do not choose a spot by these depths".to_owned(),
        );
    }
    if let Err(refusal) = refuse_lap(started) {
        out.remarks.push(format!("{}: {}", refusal.fact, refusal.advice));
        return Ok(out);
    }
    let (work, limits) = work_of(&started.asked, None)?;
    out.remarks.extend(limits.iter().map(limit_words));
    if work.metal.calibrate_first() {
        out.remarks.push(format!(
            "{}: calibrate first; before own coupons no setting is proposed",
            work.metal.word()
        ));
        return Ok(out);
    }
    work.check().map_err(|e| Refusal::new(e, e.advice()).in_file(&started.out.file))?;
    let refuse = |e: PredictError| Refusal::new(&e, e.advice());
    let all = candidates(&gun, &work);
    out.looked_at = all.len();
    out.gun.push(
        match work.joint {
            Plates::Tee { .. } => {
                "looked at: travel 4 to 17 mm/s, torch 25 to 45°, aim 0 and 0.3 mm up the upright"
            }
            _ => "looked at: travel 3 to 25 mm/s, focus on the surface and 1 mm below it",
        }
        .to_owned(),
    );
    let sieved = side_by_side(&all, |laser| sieve(laser, &work, &goal).map_err(refuse))?;
    let mut counted: BTreeMap<Bites, usize> = BTreeMap::new();
    for s in &sieved {
        *counted.entry(s.bites).or_default() += 1;
    }
    let best = worth_a_look(sieved, LOOKED_AT);
    let looked =
        side_by_side(&best, |laser| look(laser, &work, &goal, Hand::USUAL).map_err(refuse))?;
    for choice in &looked {
        if choice.bites == Bites::Hand {
            *counted.entry(Bites::Hand).or_default() += 1;
        }
    }
    let most = counted
        .iter()
        .filter(|(b, _)| **b != Bites::Nothing)
        .max_by_key(|(_, n)| **n)
        .map(|(b, n)| (*b, *n));
    out.limits = counted
        .into_iter()
        .filter(|(b, _)| *b != Bites::Nothing)
        .map(|(b, settings)| BitesOut { limit: b.word(), settings })
        .collect();
    let mut serving: Vec<&Choice> = looked.iter().filter(|c| c.bites == Bites::Nothing).collect();
    if serving.is_empty() {
        // What serves but for the hand: the ones that have most left of it.
        serving = looked.iter().filter(|c| c.bites == Bites::Hand).collect();
        let left = |c: &&Choice| c.throat - 1.645 * c.hand;
        serving.sort_by(|a, b| left(b).total_cmp(&left(a)));
        serving.truncate(NEAREST);
        if !serving.is_empty() {
            out.remarks.push(
                "none of the settings holds against the hand's scatter: shown are the nearest, which serve only where the torch is guided or the hand is better than taken".to_owned(),
            );
        }
    }
    let asked_rates = asked.rates.as_ref();
    let sure = side_by_side(&serving, |choice| {
        let tier = Tier::Keyhole(Resolution::INTERACTIVE);
        let said = predict(&choice.laser, &work, tier, Calibration::NONE).map_err(refuse)?;
        Ok((*choice, goal.at_worse_end(&said)))
    })?;
    let shown = ranked(&sure, &work, asked_rates);
    if shown.is_empty() {
        out.remarks.push(format!(
            "none of {} settings serves: most have {}; a throat of {:.2} mm{} is asked of each weld with a hand's scatter. Try a wider wobble, more power, {}or another joint",
            all.len(),
            most.map_or("no section", |(bites, _)| bites.word()),
            goal.throat,
            goal.least_leg.map_or_else(String::new, |leg| format!(" and legs of {leg:.2} mm")),
            if work.joint.welds() == 1 { "the other side as well, " } else { "" },
        ));
        return Ok(out);
    }
    // The same joint, the same draws: the seed is a constant.
    let mut rng = rand_chacha::ChaCha8Rng::seed_from_u64(1);
    let draws: Vec<[f64; 3]> = (0..DRAWS).map(|_| [(); 3].map(|()| normal(&mut rng))).collect();
    let forms = side_by_side(&shown, |(best_for, choice)| {
        let mut form = choice_form(best_for.clone(), choice, &work, &goal, &draws, asked_rates)
            .map_err(refuse)?;
        form.warnings.extend(no_filler(&started.asked, &choice.laser).as_ref().map(limit_words));
        Ok(form)
    })?;
    out.choices = forms;
    let mut telling = Vec::new();
    for choice in shown.iter().map(|(_, choice)| *choice).chain(serving.iter().copied()) {
        // A keyhole that is shallower than wide, or one that comes out below, tells little of depth.
        telling = most_telling(&choice.laser, &gun, &work).map_err(refuse)?;
        if !telling.is_empty() {
            break;
        }
    }
    let of_a_choice = |laser: &Laser| shown.iter().any(|(_, choice)| choice.laser == *laser);
    out.coupons = telling
        .iter()
        .enumerate()
        .map(|(i, c)| {
            let asked = AskedSetting::of(AskedProcess::Laser(c.laser));
            CouponOut {
                setting: setting_form(&c.laser),
                tells: if i == 0 && !of_a_choice(&c.laser) { NOT_THE_CHOICE } else { c.tells },
                expected: expected_form(&c.laser, &work, &c.said, &asked),
                band: band_form(&c.said),
            }
        })
        .collect();
    if out.coupons.is_empty() {
        out.remarks.push(
            "no coupons are proposed: none of the settings that serve makes a keyhole deeper than wide, within the plates and with a band, from which the model could learn. Weld the first choice and read three sections of it".to_owned(),
        );
    } else {
        out.remarks.push(
            "three coupons: the first choice that tells of depth, and the two that tell most beside it about scale and wobble heat, with its torch and aim, and its wire where that fits; on open tables three of one gun left depths off by 18 % (rms)".to_owned(),
        );
    }
    out.remarks.push(
        "the band is of the model before your own coupons; the hand's scatter is 15 % travel, 0.3 mm aim, 3° angle (a judgement, no source)".to_owned(),
    );
    Ok(out)
}

/// What the first coupon tells where no choice that is shown tells of depth.
const NOT_THE_CHOICE: &str = "how deep a setting goes that serves too; the choices above make no keyhole deeper than wide, so their depth tells the model nothing";

/// A standard normal by the polar way; two uniforms each.
fn normal(rng: &mut impl rand::Rng) -> f64 {
    loop {
        let (u, v): (f64, f64) = (rng.random_range(-1.0..1.0), rng.random_range(-1.0..1.0));
        let s = u * u + v * v;
        if s > 0.0 && s < 1.0 {
            return u * (-2.0 * s.ln() / s).sqrt();
        }
    }
}

/// Can the gun be as it is asked? Said before a search begins.
///
/// # Errors
///
/// When a figure of it cannot be read, or cannot be.
pub fn gun_can_be(asked: &AskedGun) -> Result<(), Refusal> {
    gun(asked, &mut Vec::new()).map(|_| ())
}

fn gun(asked: &AskedGun, out: &mut Vec<String>) -> Result<Gun, Refusal> {
    let mut gun = Gun::common();
    match &asked.power {
        Some(text) => {
            gun.power = weld::quantity::parse::parse(text)
                .map_err(|e: QuantityError| Refusal::new(&e, e.advice()).in_field("--power"))?;
            physics::beam::Beam {
                power: gun.power,
                spot: gun.spots[0],
                m2: gun.m2,
                wavelength: gun.wavelength,
                focus: Length::ZERO,
            }
            .check()
            .map_err(|e| Refusal::new(e, e.advice()).in_field("--power"))?;
        }
        None => out.push("2 kW at the work (--power)".to_owned()),
    }
    if asked.spots.is_empty() {
        out.push("spot 120 µm, M² 3 (--spot, --m2)".to_owned());
    } else {
        gun.spots = asked
            .spots
            .iter()
            .map(|text| {
                let spot: Length = weld::quantity::parse::parse(text)
                    .map_err(|e: QuantityError| Refusal::new(&e, e.advice()).in_field("--spot"))?;
                if (10.0..=2000.0).contains(&spot.um()) {
                    Ok(spot)
                } else {
                    Err(Refusal::new(
                        format!("a spot of {:.0} µm is outside 10 to 2000 µm", spot.um()),
                        "give the focus diameter to 1/e², such as --spot '120 um'",
                    )
                    .in_field("--spot"))
                }
            })
            .collect::<Result<_, _>>()?;
        gun.m2 = (gun.spots[0].um() / 40.0).clamp(1.1, 60.0);
    }
    if let Some(m2) = asked.m2 {
        if !(1.0..=300.0).contains(&m2) {
            return Err(Refusal::new(
                format!("M² {m2} is outside 1 to 300"),
                "give M² of the beam, such as --m2 3",
            )
            .in_field("--m2"));
        }
        gun.m2 = m2;
    }
    out.push("wobble across to 3 mm; no wire, one wire of 1.0, 1.2 or 1.6 mm, or two of 1.6 mm, pushed at travel speed, the two also at twice and three times it (common practice, no source)".to_owned());
    Ok(gun)
}

/// A choice, and what it has left over the need at the worse end of its band, mm.
type Sure<'a> = (&'a Choice, Option<f64>);
/// What choices are put in order by: the least first.
type Order<'a> = &'a dyn Fn(&Sure<'_>) -> f64;

/// The best by heat, by time, by cost (without rates: by wire) and by doubt: the one that has most left at the worse end of
/// the band. Each setting once.
fn ranked<'a>(
    serving: &[Sure<'a>],
    work: &Work,
    rates: Option<&Rates>,
) -> Vec<(Vec<&'static str>, &'a Choice)> {
    let heat = |(c, _): &Sure<'_>| (c.laser.beam.power / c.laser.travel).j_per_m();
    let time = |(c, _): &Sure<'_>| 1.0 / c.laser.travel.m_per_s();
    let third = |(c, _): &Sure<'_>| match rates {
        Some(rates) => cost(&of_choice(c, work), rates),
        None => of_choice(c, work).wire_kg,
    };
    let word = if rates.is_some() { "cost" } else { "wire" };
    let doubt = |(_, left): &Sure<'_>| -left.unwrap_or(f64::NEG_INFINITY);
    let orders: [(&'static str, Order<'_>); 4] =
        [("heat", &heat), ("time", &time), (word, &third), ("doubt", &doubt)];
    let mut out: Vec<(Vec<&'static str>, &Choice)> = Vec::new();
    for (name, of) in orders {
        // Alike in this: the one with less heat.
        let best =
            serving.iter().min_by(|a, b| of(a).total_cmp(&of(b)).then(heat(a).total_cmp(&heat(b))));
        let Some((best, _)) = best else { continue };
        match out.iter_mut().find(|(_, c)| c.laser == best.laser) {
            Some((names, _)) => names.push(name),
            None => out.push((vec![name], best)),
        }
    }
    out
}

fn of_choice(c: &Choice, work: &Work) -> PerMetre {
    let process = AskedProcess::Laser(c.laser);
    per_metre(&process, &AskedSetting::of(process), work)
}

fn choice_form(
    best_for: Vec<&'static str>,
    choice: &Choice,
    work: &Work,
    goal: &Goal,
    draws: &[[f64; 3]],
    rates: Option<&Rates>,
) -> Result<ChoiceOut, PredictError> {
    let laser = &choice.laser;
    let said = predict(laser, work, Tier::Keyhole(Resolution::REPORT), Calibration::NONE)?;
    let (chance, by_throat, sd) = drawn(laser, work, goal, Hand::USUAL, draws);
    let one = of_choice(choice, work);
    let welds = f64::from(work.joint.welds());
    let throat = goal.shown(&said.middle).unwrap_or(0.0);
    let expected =
        expected_form(laser, work, &said, &AskedSetting::of(AskedProcess::Laser(*laser)));
    let band = band_form(&said);
    let setting = setting_form(laser);
    let words = format!(
        "{}: {}, {}, {}, torch {}; {}",
        says::best_for(&best_for),
        setting.power,
        setting.travel,
        says::wobble(&setting),
        setting.torch_angle,
        band.as_ref().map_or_else(|| "no band".to_owned(), says::band_words)
    );
    let drawing = said.middle.section.as_ref().and_then(|section| {
        drawn_section(&Drawn {
            section,
            ends: said.ends.as_ref().map(|ends| ends.each_ref().map(|e| e.section.as_ref())),
            expected: &expected,
            laser: Some(*laser),
            joint: &work.joint,
            band: &words,
        })
    });
    Ok(ChoiceOut {
        best_for,
        drawing,
        setting,
        band,
        margin_mm: throat - goal.throat,
        hand_scatter_mm: choice.hand,
        hand_scatter_by_draws_mm: sd,
        chance_by_hand: chance,
        meets_need_at_low: goal.at_worse_end(&said).map(|left| left >= 0.0),
        time_s_per_m: welds * one.time_s,
        heat_kj_per_m: welds * expected.heat_input_kj_per_mm * 1e3,
        cost_per_m: rates.map(|r| welds * cost(&one, r)),
        sensitivity: answers(laser, work, goal)
            .into_iter()
            .map(Into::into)
            .collect(),
        warnings: said
            .limits
            .iter()
            .map(limit_words)
            .chain((by_throat > chance + 0.01).then(|| {
                format!(
                    "fusion faces: {:.0} % of the draws have the throat, and {:.0} % the fused lengths that the load needs on the plates as well; try: wider toes, by a wider wobble or slower travel",
                    (100.0 * by_throat).floor(),
                    (100.0 * chance).floor()
                )
            }))
            .chain((sd > 1.5 * choice.hand + 0.05).then(|| {
                format!(
                    "hand: {DRAWS} draws scatter by {sd:.2} mm where the delta method says {:.2} mm: some {}; try: a wider wobble, or a guide for the torch",
                    choice.hand,
                    if matches!(work.joint, Plates::Tee { .. }) { "miss the corner" } else { "miss the joint line" }
                )
            }))
            .collect(),
        expected,
    })
}
