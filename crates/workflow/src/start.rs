//! `start`: what throat does this load need?
//!
//! The need only: which setting to try first is not answered yet.

use crate::files;
use crate::refusal::Refusal;
pub use crate::wire::joint::StartOut;
use crate::wire::joint::{
    AskedJoint, CheckOut, CreditOut, FullOut, FusedOut, NeedOut, PartOut, RefusalOut,
    joint_from_toml,
};
use physics::strength::parent::Plate;
use physics::strength::refusal::{Effect, What};
use physics::strength::{Joint, Need, Part, StrengthError, needed};
use std::path::Path;

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
        refusals: need
            .refusals
            .iter()
            .map(|r| RefusalOut {
                effect: match r.effect {
                    Effect::Condition => "condition",
                    Effect::NotAllowed => "not allowed",
                    Effect::NoResistance => "no resistance",
                },
                fact: r.fact.clone(),
                advice: r.advice.clone(),
                clause: r.clause.into(),
            })
            .collect(),
        also_check: need
            .also_check
            .iter()
            .map(|c| CheckOut { what: c.what, fact: c.fact.clone(), clause: c.clause.into() })
            .collect(),
    }
}
