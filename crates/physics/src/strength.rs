//! The throat a load needs, and everything the code refuses however deep the fusion.
//!
//! ```text
//!   joint + load + code  ->  throat of each weld (mm, unrounded), resistance, refusals, what else to check
//! ```
//!
//! | ask for | look in |
//! |---|---|
//! | the throat, all in one | [`needed`] |
//! | the load's direction | [`load`] |
//! | EN 1993-1-8 and EN 1993-1-4 | [`en`] |
//! | AISC 360 and AWS D1.1 | [`american`] |
//! | resistance as the throat grows | [`capacity`] |
//! | fused length on each plate, the plate itself | [`parent`] |
//! | a group of welds, elastic | [`group`] |
//! | a group of welds, about its instantaneous centre | [`centre`] |
//! | leg and throat of a drawn fillet | [`leg`] |
//!
//! **Static strength only.** The land of a partial-penetration weld is a crack-like notch: for repeated load a fatigue
//! design for root failure, or weld through.
//!
//! The needed throat is what the *load* asks for; [`Need::specify`] is the greater of it and the code's least throat,
//! and is what a claim is compared with. Refusals are computed beside it. Where the code gives no resistance at all
//! (one-sided and free to rotate, too short, an obtuse angle, aluminium) there is no throat: `None`, never zero.
//!
//! Sources are at each formula; most are [`Seen::Recalled`](weld::source::Seen::Recalled), and a paper prints so.
//! Not covered: fatigue, fire, impact; **aluminium** (heat-affected strength governs: refused); hollow sections; lap welds
//! other than as a 90-degree fillet; moments about the weld's own axis.

pub mod american;
pub mod capacity;
pub mod centre;
pub mod en;
pub mod group;
pub mod leg;
pub mod load;
pub mod parent;
pub mod refusal;

mod butt;
mod tee;

use std::fmt;

use weld::materials::{Basis, Family, Filler, Grade, MaterialError};
use weld::quantity::show::given;
use weld::quantity::{Angle, Length, LineLoad, Stress};
use weld::source::{
    AISC_360_EFFECTIVE_THROAT, AISC_360_FATIGUE, AWS_D1_1_ALLOWABLE, AWS_D1_1_ONE_SIDED,
    AWS_D1_1_QUALIFICATION, AWS_D1_1_SCOPE, EN_1993_1_4_WELDS, EN_1993_1_8_CONSUMABLES,
    EN_1993_1_8_DISTRIBUTION, EN_1993_1_8_ONE_SIDED, EN_1993_1_8_PARTIAL_PENETRATION,
    EN_1993_1_8_SCOPE, EN_1993_1_8_THROAT, EN_1993_1_9_ROOT, EN_1993_1_12_HIGH_STRENGTH,
    SEAMPROOF_ALUMINIUM, Source,
};

use capacity::Capacity;
use load::Load;
use parent::FusedLength;
use refusal::{AlsoCheck, Effect, Refusal, What};

/// A metal with its nominal strength.
#[derive(Clone, Debug, PartialEq)]
pub struct Metal {
    /// What papers call it.
    pub name: String,
    /// What kind of metal.
    pub family: Family,
    /// Nominal yield strength.
    pub yield_strength: Stress,
    /// Nominal tensile strength.
    pub ultimate: Stress,
    /// The grade, when it is one of the tables'; the correlation factor hangs on it.
    pub grade: Option<Grade>,
    /// Where the strengths are from; `None` when the user gave them.
    pub source: Option<Source>,
}

impl Metal {
    /// A grade at a thickness.
    ///
    /// # Errors
    ///
    /// When the tables do not go to that thickness.
    pub fn of(grade: Grade, thickness: Length, basis: Basis) -> Result<Self, MaterialError> {
        let strength = grade.strength(thickness, basis)?;
        Ok(Self {
            name: grade.name().to_owned(),
            family: grade.family(),
            yield_strength: strength.yield_strength.value,
            ultimate: strength.ultimate.value,
            grade: Some(grade),
            source: Some(strength.ultimate.source),
        })
    }
}

/// A plate of the joint.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its thickness.
    pub thickness: Length,
    /// Its metal.
    pub metal: Metal,
}

impl Part {
    /// A plate of a grade.
    ///
    /// # Errors
    ///
    /// When the tables do not go to that thickness.
    pub fn of(grade: Grade, thickness: Length, basis: Basis) -> Result<Self, MaterialError> {
        Ok(Self { thickness, metal: Metal::of(grade, thickness, basis)? })
    }
}

/// Whether anything keeps a one-sided joint from turning about its weld.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Restraint {
    /// Nobody said. For a one-sided fillet that is no answer.
    #[default]
    NotSaid,
    /// The parts hold the joint: the root cannot be opened by turning about the weld.
    Held,
    /// The weld alone keeps the parts from turning.
    FreeToRotate,
}

/// Welded from one side or both.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Welds {
    /// One weld.
    One(Restraint),
    /// A weld on each side, alike.
    Both,
}

impl Welds {
    /// How many welds share the load.
    #[must_use]
    pub const fn count(self) -> u8 {
        match self {
            Self::One(_) => 1,
            Self::Both => 2,
        }
    }
}

/// A lap at an edge, looked at as a tee of 90 degrees: base below, the lapped plate as upright.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lap {
    /// Length of the lap in the direction of the force, when the weld's end takes the load in (a long lap, an end-loaded
    /// weld); `None` when stress in the weld follows that in the plate.
    pub along_the_force: Option<Length>,
    /// The weld lies along the edge of the lapped plate, whose thickness limits the leg.
    pub along_an_edge: bool,
}

/// An upright on a base, or a lap at an edge.
#[derive(Clone, Debug, PartialEq)]
pub struct Tee {
    /// The plate that is stood upon.
    pub base: Part,
    /// The plate that stands, or laps.
    pub upright: Part,
    /// Angle between base and upright on the right weld's side (the only one's), 30 to 150 degrees.
    pub angle: Angle,
    /// Gap between base and upright.
    pub gap: Length,
    /// One side or both.
    pub welds: Welds,
    /// Overall length of the weld.
    pub length: Length,
    /// Full size to both ends (run-on and run-off plates, or returned round the corners): then the length counts whole.
    pub full_size_to_ends: bool,
    /// Leg of the weld on the plates, when it is settled; American least and greatest legs and end-loaded lengths want it.
    pub leg: Option<Length>,
    /// When it is a lap.
    pub lap: Option<Lap>,
    /// The filler, when there is one.
    pub filler: Option<Filler>,
}

impl Tee {
    /// A tee at right angles with a weld on each side, no gap, ends not full size, legs and filler open.
    #[must_use]
    pub fn two_sided(base: Part, upright: Part, length: Length) -> Self {
        Self {
            base,
            upright,
            angle: Angle::from_deg(90.0),
            gap: Length::ZERO,
            welds: Welds::Both,
            length,
            full_size_to_ends: false,
            leg: None,
            lap: None,
            filler: None,
        }
    }
}

/// Two plates edge to edge.
#[derive(Clone, Debug, PartialEq)]
pub struct Butt {
    /// The plates.
    pub parts: [Part; 2],
    /// Gap between them.
    pub gap: Length,
    /// One side or both.
    pub welds: Welds,
    /// Overall length of the weld.
    pub length: Length,
    /// Full size to both ends.
    pub full_size_to_ends: bool,
    /// The filler, when there is one.
    pub filler: Option<Filler>,
}

/// A joint.
#[derive(Clone, Debug, PartialEq)]
pub enum Joint {
    /// Tee, or lap at an edge.
    Tee(Tee),
    /// Butt.
    Butt(Butt),
    /// A bead on a plate: joins nothing.
    Bead,
}

/// Which of the Eurocode's two methods.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum EnMethod {
    /// 4.5.3.2.
    #[default]
    Directional,
    /// 4.5.3.3.
    Simplified,
}

/// EN 1993-1-8 with its partial factors; National Annexes may change them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct En {
    /// Method for fillets and partial-penetration butts.
    pub method: EnMethod,
    /// `gamma_M2`, 1.25 ([`EN_1993_1_8_GAMMA_M2`](weld::source::EN_1993_1_8_GAMMA_M2)).
    pub gamma_m2: f64,
    /// `gamma_M0`; `None`: 1.0, for stainless steel 1.1.
    pub gamma_m0: Option<f64>,
}

impl En {
    /// Directional method with the recommended partial factors.
    pub const RECOMMENDED: Self =
        Self { method: EnMethod::Directional, gamma_m2: 1.25, gamma_m0: None };

    /// `gamma_M0` for a metal.
    fn gamma_m0(&self, family: Family) -> f64 {
        self.gamma_m0.unwrap_or(if family == Family::Stainless { 1.1 } else { 1.0 })
    }
}

/// Which of the two American ways of bringing in safety.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Design {
    /// Load and resistance factor design: factored loads.
    Lrfd,
    /// Allowable strength design: service loads.
    Asd,
}

/// AISC 360.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Aisc {
    /// LRFD or ASD.
    pub design: Design,
    /// Classification strength of the filler, FEXX; 70 ksi for E70.
    pub electrode: Stress,
    /// Use the directional increase. Not for welds to the ends of rectangular hollow sections, nor where welds of other
    /// directions share the load.
    pub directional: bool,
}

/// AWS D1.1 by itself: allowable stresses on the diagrammatic throat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AwsD11 {
    /// Classification strength of the filler, FEXX.
    pub electrode: Stress,
}

/// Which code.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Code {
    /// EN 1993-1-8, stainless steel by EN 1993-1-4.
    En(En),
    /// AISC 360.
    Aisc(Aisc),
    /// AWS D1.1 alone.
    AwsD11(AwsD11),
}

/// How the throat was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// EN directional, throat at half the angle.
    EnDirectional,
    /// EN simplified, any plane.
    EnSimplified,
    /// AISC fillet with the directional increase.
    AiscDirectional,
    /// AISC fillet without.
    AiscFillet,
    /// AISC partial-penetration groove weld.
    AiscGroove,
    /// AWS D1.1 allowable stress.
    AwsAllowable,
    /// The weld must go through: as the weaker plate.
    FullPenetration,
}

impl fmt::Display for Method {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::EnDirectional => {
                "directional method, throat at half the angle between the plates"
            }
            Self::EnSimplified => "simplified method, whatever the direction",
            Self::AiscDirectional => "fillet weld with the directional increase",
            Self::AiscFillet => "fillet weld without directional increase",
            Self::AiscGroove => "partial-penetration groove weld",
            Self::AwsAllowable => "allowable stress on the throat",
            Self::FullPenetration => "full penetration, as the weaker plate",
        })
    }
}

impl Code {
    /// Which loads its strengths are compared with.
    #[must_use]
    pub const fn loads(&self) -> &'static str {
        match self {
            Self::En(_) => "design values of the load (ultimate limit state)",
            Self::Aisc(Aisc { design: Design::Lrfd, .. }) => "factored loads (LRFD)",
            Self::Aisc(Aisc { design: Design::Asd, .. }) => "service loads (ASD)",
            Self::AwsD11(_) => "service loads (allowable stress)",
        }
    }
}

/// Whether depth of fusion may be counted in the throat, and by which clause.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Credit {
    /// It may, on the condition.
    pub counts: bool,
    /// The clause that says so, or that says the throat is the drawn one.
    pub clause: Source,
    /// What must be shown and written.
    pub condition: &'static str,
}

/// The joint as a full-penetration weld: another way to the same end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FullPenetration {
    /// Sum of the throats must be at least this (tee: thickness of the upright; butt: of the thinner plate).
    pub least_sum_of_throats: Length,
    /// The unfused land may be at most this; zero for a butt.
    pub greatest_land: Length,
    /// What the joint then carries per millimetre of length, in the direction of the load.
    pub line_resistance: LineLoad,
    /// Load over that.
    pub utilisation: f64,
    /// The clause.
    pub clause: Source,
}

/// What a load needs.
#[derive(Clone, Debug, PartialEq)]
pub struct Need {
    /// Throat of each weld that the load needs, unrounded; `None` when no throat will do (see the refusals).
    pub throat: Option<Length>,
    /// Least throat the code allows, whatever the load; `None` when it names none.
    pub least_throat: Option<Length>,
    /// The greater of both: what a claim is compared with.
    pub specify: Option<Length>,
    /// By EN, the throat that the simplified method needs: it holds whatever way the throat lies, so use it where the
    /// throat is counted by depth and does not lie at half the angle. American codes have one strength for any plane:
    /// then the same as `throat` without the directional increase.
    pub any_plane: Option<Length>,
    /// How many welds share the load.
    pub welds: u8,
    /// Length of each weld that counts at the needed throat.
    pub effective_length: Option<Length>,
    /// Resistance of each weld per millimetre of its overall length at the needed throat, in the direction of the load.
    pub line_resistance: Option<LineLoad>,
    /// By EN, the stresses at the needed throat of the side that governs.
    pub throat_stress: Option<en::ThroatStress>,
    /// Resistance as a function of the throat; `None` when the code gives none.
    pub capacity: Option<Capacity>,
    /// How it was found.
    pub method: Method,
    /// Which loads it was compared with.
    pub loads: &'static str,
    /// The clause of the method.
    pub clause: Source,
    /// Whether depth of fusion counts, and by which clause.
    pub penetration_counts_by: Credit,
    /// The joint as full penetration, where the code has such a way.
    pub as_full_penetration: Option<FullPenetration>,
    /// Load over the resistance of the upright (butt: of the weaker plate) itself.
    pub plate_utilisation: f64,
    /// Fused length each weld needs on each plate (tee), at the needed throat.
    pub fused: Vec<FusedLength>,
    /// Legs of a flat fillet without depth that has just the needed throat (tee): where a plate needs more fused length,
    /// its metal governs and not the weld.
    pub flat_leg: Option<Length>,
    /// What the code refuses, heaviest first.
    pub refusals: Vec<Refusal>,
    /// What else must be checked.
    pub also_check: Vec<AlsoCheck>,
    /// Every source leaned on, for the paper's list.
    pub sources: Vec<Source>,
}

impl Need {
    /// Whether the code allows the joint as asked (conditions may remain).
    #[must_use]
    pub fn allowed(&self) -> bool {
        self.throat.is_some() && self.refusals.iter().all(|r| r.effect == Effect::Condition)
    }

    /// What a claim is compared with when depth of fusion counts in its throat: such a throat need not lie at half the
    /// angle, so the greater of [`Need::any_plane`] and the code's least throat. Never below [`Need::specify`].
    #[must_use]
    pub fn specify_any_plane(&self) -> Option<Length> {
        let specify = self.specify?;
        Some(self.any_plane.map_or(specify, |any| any.max(specify)))
    }

    /// What one weld carries for each millimetre of the joint at a throat, in the direction of the load: the least of the weld
    /// metal's, of the plate's own for each weld, and, where their fused lengths are given (base, upright), of the fusion
    /// faces'. `depth`: the throat has depth of fusion in it, so it may lie in any plane. Below the code's least throat nothing
    /// is carried. `None` where the code gives no resistance.
    #[must_use]
    pub fn carries(
        &self,
        throat: Length,
        faces: Option<[Length; 2]>,
        depth: bool,
    ) -> Option<LineLoad> {
        let capacity = self.capacity.as_ref()?;
        if self.least_throat.is_some_and(|least| throat < least * (1.0 - 1e-9)) {
            return Some(LineLoad::from_n_per_mm(0.0));
        }
        let counted = match (self.throat, self.any_plane) {
            (Some(own), Some(any)) if depth && any > own => throat * (own / any),
            _ => throat,
        };
        let demand = capacity.demand / capacity.length;
        // The plane governs the strength, the whole throat the ends that are not full size.
        let ends = capacity.effective(throat.mm()) / capacity.effective(counted.mm());
        let mut out = capacity.line_resistance(counted).n_per_mm() * ends;
        if demand > 0.0 {
            out = out.min(demand / self.plate_utilisation.max(1e-12));
            for face in self.fused.iter().filter(|f| f.least.mm() > 0.0) {
                if let Some([base, upright]) = faces {
                    let fused = if face.plate == parent::Plate::Base { base } else { upright };
                    out = out.min(demand * (fused / face.least));
                }
            }
        }
        Some(LineLoad::from_n_per_mm(out))
    }

    /// The plate whose metal at the fusion face governs: it needs a longer fused length than the legs of a flat fillet
    /// of just the needed throat. `None`: the weld governs, or nothing is needed.
    #[must_use]
    pub fn parent_governs(&self) -> Option<&FusedLength> {
        let leg = self.flat_leg?;
        let longest = self.fused.iter().max_by(|a, b| a.least.mm().total_cmp(&b.least.mm()))?;
        (longest.least > leg).then_some(longest)
    }

    /// The refusal about something, if there is one.
    #[must_use]
    pub fn refusal(&self, what: What) -> Option<&Refusal> {
        self.refusals.iter().find(|refusal| refusal.what == what)
    }
}

/// Why a question cannot be answered at all.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum StrengthError {
    /// A bead on plate.
    #[error("a bead on a plate joins nothing, so no load asks a throat of it")]
    Bead,
    /// A one-sided fillet without the answer.
    #[error(
        "the fillet is one-sided, and nothing says whether the joint is free to rotate about the weld's own axis"
    )]
    RestraintNotSaid,
    /// The load points nowhere.
    #[error("the load's parts {parts:?} give no direction")]
    NoDirection {
        /// As given.
        parts: [f64; 3],
    },
    /// A number that cannot be.
    #[error("{what} is {} {unit}, outside {least} to {greatest} {unit}", given(*value))]
    Number {
        /// What it is.
        what: &'static str,
        /// As given.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// Least that is taken.
        least: f64,
        /// Greatest that is taken.
        greatest: f64,
    },
    /// A yield strength above the tensile strength.
    #[error("{name} yields at {yields:.0} but breaks at {breaks:.0}")]
    YieldAboveUltimate {
        /// The metal.
        name: String,
        /// Its yield strength.
        yields: Stress,
        /// Its tensile strength.
        breaks: Stress,
    },
    /// An end-loaded weld by AISC without its leg.
    #[error(
        "the weld is end-loaded over {length:.0}, and its reduction hangs on the leg, which a deep weld's throat does not tell"
    )]
    LegNeeded {
        /// Length of the lap along the force.
        length: Length,
    },
}

impl StrengthError {
    /// What to do next.
    #[must_use]
    pub const fn advice(&self) -> &'static str {
        match self {
            Self::Bead => {
                "name the joint that the weld is for: a tee with base and upright, or a butt"
            }
            Self::RestraintNotSaid => {
                "answer `restrained`: yes when the parts hold the joint so that its root cannot open, no when the weld alone does"
            }
            Self::NoDirection { .. } => {
                "give the load's parts along the weld, across it and along the upright, at least one of them not zero"
            }
            Self::Number { .. } => "check the figure and its unit",
            Self::YieldAboveUltimate { .. } => {
                "check which of the two strengths is which: the tensile strength is the greater"
            }
            Self::LegNeeded { .. } => "give the leg of the outside fillet",
        }
    }
}

/// The throat each weld of a joint needs for a load, and what the code refuses.
///
/// # Errors
///
/// When the joint cannot carry load (a bead), a required answer is missing, or a figure cannot be what it says.
pub fn needed(joint: &Joint, load: &Load, code: &Code) -> Result<Need, StrengthError> {
    check_code(code)?;
    match joint {
        Joint::Bead => Err(StrengthError::Bead),
        Joint::Tee(tee) => tee::needed(tee, load, code),
        Joint::Butt(butt) => butt::needed(butt, load, code),
    }
}

fn number(
    what: &'static str,
    value: f64,
    unit: &'static str,
    least: f64,
    greatest: f64,
) -> Result<(), StrengthError> {
    if (least..=greatest).contains(&value) {
        Ok(())
    } else {
        Err(StrengthError::Number { what, value, unit, least, greatest })
    }
}

fn check_code(code: &Code) -> Result<(), StrengthError> {
    match code {
        Code::En(en) => {
            number("gamma_M2", en.gamma_m2, "(factor)", 1.0, 3.0)?;
            en.gamma_m0.map_or(Ok(()), |gamma| number("gamma_M0", gamma, "(factor)", 1.0, 3.0))
        }
        Code::Aisc(Aisc { electrode, .. }) | Code::AwsD11(AwsD11 { electrode }) => {
            number("the strength of the electrode", electrode.mpa(), "MPa", 50.0, 2000.0)
        }
    }
}

fn check_part(part: &Part) -> Result<(), StrengthError> {
    number("the thickness of a plate", part.thickness.mm(), "mm", 0.1, 1000.0)?;
    let metal = &part.metal;
    number("a yield strength", metal.yield_strength.mpa(), "MPa", 10.0, 2000.0)?;
    number("a tensile strength", metal.ultimate.mpa(), "MPa", 10.0, 2000.0)?;
    if metal.yield_strength > metal.ultimate {
        return Err(StrengthError::YieldAboveUltimate {
            name: metal.name.clone(),
            yields: metal.yield_strength,
            breaks: metal.ultimate,
        });
    }
    Ok(())
}

/// What is alike for every joint: parts and metals that the code is not written for, a weak filler.
fn common_refusals(parts: [&Part; 2], filler: Option<Filler>, code: &Code) -> Vec<Refusal> {
    let mut out = Vec::new();
    if let Some(part) = parts.iter().find(|part| part.metal.family == Family::Aluminium) {
        out.push(Refusal::new(
            What::Metal,
            Effect::NoResistance,
            SEAMPROOF_ALUMINIUM,
            format!(
                "{} is aluminium: the softened zone beside the weld governs, and a throat says nothing about it",
                part.metal.name
            ),
            "design the joint by EN 1999-1-1 with its heat-affected strengths, and prove it by tensile tests",
        ));
    }
    let thinner = parts[0].thickness.min(parts[1].thickness);
    let strongest = parts[0].metal.yield_strength.max(parts[1].metal.yield_strength);
    match code {
        Code::En(_) => {
            if thinner.mm() < 4.0 {
                out.push(Refusal::new(
                    What::ThinPart,
                    Effect::NotAllowed,
                    EN_1993_1_8_SCOPE,
                    format!("the thinner part is {thinner:.2}, and the clauses on welds cover parts of 4 mm and over"),
                    "design thinner parts by EN 1993-1-3, or by tests to EN 1990 Annex D",
                ));
            }
            if strongest.mpa() > 460.0 {
                out.push(Refusal::new(
                    What::Metal,
                    Effect::NotAllowed,
                    EN_1993_1_12_HIGH_STRENGTH,
                    format!("a part yields at {strongest:.0}, and the correlation factors end at S460 (460 MPa)"),
                    "design the weld by EN 1993-1-12",
                ));
            }
            if let Some(filler) = filler {
                let class = filler.strength();
                let weak = parts.iter().find(|part| {
                    class.ultimate.value < part.metal.ultimate
                        || class.yield_strength.value < part.metal.yield_strength
                });
                if let Some(part) = weak {
                    out.push(Refusal::new(
                        What::Filler,
                        Effect::Condition,
                        EN_1993_1_8_CONSUMABLES,
                        format!(
                            "{} (yield {:.0}, tensile {:.0}) is weaker than {} ({:.0}, {:.0}); the throat is worked out with the lower tensile strength",
                            filler.name(),
                            class.yield_strength.value,
                            class.ultimate.value,
                            part.metal.name,
                            part.metal.yield_strength,
                            part.metal.ultimate,
                        ),
                        "choose a filler at least as strong as the parent metal, or have the engineer accept this one",
                    ));
                }
            }
        }
        Code::Aisc(_) | Code::AwsD11(_) => {
            if let Some(part) = parts.iter().find(|part| part.metal.family == Family::Stainless) {
                out.push(Refusal::new(
                    What::Metal,
                    Effect::NotAllowed,
                    AWS_D1_1_SCOPE,
                    format!(
                        "{} is stainless steel, and AISC 360 and AWS D1.1 are for structural steel",
                        part.metal.name
                    ),
                    "design by AISC 370 and weld by AWS D1.6, or use EN 1993-1-4",
                ));
            }
            // 1/8 in, which the metric edition prints as 3 mm.
            if thinner.mm() < 3.0 {
                out.push(Refusal::new(
                    What::ThinPart,
                    Effect::NotAllowed,
                    AWS_D1_1_SCOPE,
                    format!("the thinner part is {thinner:.2}, and AWS D1.1 covers parts of 1/8 in (3 mm) and over"),
                    "weld thinner parts by AWS D1.3",
                ));
            }
        }
    }
    out
}

/// Whether depth of fusion counts.
fn credit(code: &Code, groove: bool) -> Credit {
    match code {
        Code::En(_) => Credit {
            counts: true,
            clause: if groove { EN_1993_1_8_PARTIAL_PENETRATION } else { EN_1993_1_8_THROAT },
            condition: "only when preliminary tests show that the penetration is consistently achieved; the contract must name EN 1993-1-8 4.5.2(3)",
        },
        Code::Aisc(_) => Credit {
            counts: true,
            clause: AISC_360_EFFECTIVE_THROAT,
            condition: "only when tests with the production process and its procedure variables show consistent penetration beyond the root; the contract must name AISC 360 J2.2a",
        },
        Code::AwsD11(_) if groove => Credit {
            counts: true,
            clause: AWS_D1_1_QUALIFICATION,
            condition: "only as far as the qualification of the procedure shows it on its macrosections; laser is not a prequalified process",
        },
        Code::AwsD11(_) => Credit {
            counts: false,
            clause: AWS_D1_1_ALLOWABLE,
            condition: "AWS D1.1 alone gives the diagrammatic throat only; if depth is to count, the contract must name AISC 360 J2.2a or EN 1993-1-8 4.5.2(3)",
        },
    }
}

/// A need in words is rounded up, to a hundredth of a millimetre.
fn up(length: Length) -> Length {
    Length::from_mm((length.mm() * 100.0 - 1e-6).ceil() / 100.0)
}

/// The weld on one side lies off the line of the load.
fn eccentricity(code: &Code) -> AlsoCheck {
    AlsoCheck {
        what: "eccentricity",
        clause: if matches!(code, Code::En(_)) { EN_1993_1_8_ONE_SIDED } else { AWS_D1_1_ONE_SIDED },
        fact: "welded from one side, so the throat lies off the line of the load: the bending that this puts into the root is not in the throat above".to_owned(),
    }
}

/// What no throat answers.
fn always_check(code: &Code, filler: Option<Filler>) -> Vec<AlsoCheck> {
    let mut out = vec![AlsoCheck {
        what: "repeated load",
        clause: if matches!(code, Code::En(_)) { EN_1993_1_9_ROOT } else { AISC_360_FATIGUE },
        fact: "static strength only: the unfused land is a crack-like notch; for repeated load a fatigue design for root failure, or weld through".to_owned(),
    }];
    match code {
        Code::En(_) => {
            out.push(AlsoCheck {
                what: "deformation capacity",
                clause: EN_1993_1_8_DISTRIBUTION,
                fact: "the load is taken as evenly shared by the welds and along them; the joint must be able to deform to make it so".to_owned(),
            });
            if filler.is_none() {
                out.push(AlsoCheck {
                    what: "weld metal",
                    clause: EN_1993_1_8_CONSUMABLES,
                    fact: "no filler was named: show that the weld metal is at least as strong as the parent metal".to_owned(),
                });
            }
        }
        Code::Aisc(_) | Code::AwsD11(_) => out.push(AlsoCheck {
            what: "process",
            clause: AWS_D1_1_QUALIFICATION,
            fact: "laser welding is not a prequalified process: procedure qualification tests and the Engineer's approval".to_owned(),
        }),
    }
    out
}

/// Puts refusals in order and lists the sources.
fn finish(mut need: Need, parts: [&Part; 2], filler: Option<Filler>, code: &Code) -> Need {
    let stainless = parts.iter().any(|part| part.metal.family == Family::Stainless);
    if stainless && matches!(code, Code::En(_)) {
        need.also_check.push(AlsoCheck {
            what: "stainless steel",
            clause: EN_1993_1_4_WELDS,
            fact: "beta_w and gamma_M0 above are those for stainless steel".to_owned(),
        });
    }
    need.refusals.sort_by_key(|refusal| std::cmp::Reverse(refusal.effect));
    let all = [Some(need.clause), Some(need.penetration_counts_by.clause)]
        .into_iter()
        .chain(parts.map(|part| part.metal.source))
        .chain([filler.map(|filler| filler.strength().ultimate.source)])
        .chain([need.as_full_penetration.map(|full| full.clause)])
        .flatten()
        .chain(need.fused.iter().map(|fused| fused.clause))
        .chain(need.refusals.iter().map(|refusal| refusal.clause))
        .chain(need.also_check.iter().map(|check| check.clause));
    let mut sources: Vec<Source> = Vec::new();
    for source in all {
        if !sources.contains(&source) {
            sources.push(source);
        }
    }
    need.sources = sources;
    need
}

#[cfg(test)]
mod tests;
