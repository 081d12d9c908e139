//! What a code refuses, however deep the fusion, and what else it wants checked.
//!
//! A refusal is a value, not an error: the throat is computed beside it where the code gives one at all.
//! Each says the fact with its numbers, then the next action, and carries the clause with how we know it.

use weld::source::Source;

/// What a refusal is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum What {
    /// The metal is one for which a throat says too little, or the code is not written for it.
    Metal,
    /// A part is thinner than the code covers.
    ThinPart,
    /// The plates meet at an angle that is not a fillet's.
    Angle,
    /// One weld only, and the joint can turn about it.
    FreeToRotate,
    /// The throat is below the code's least.
    LeastThroat,
    /// The weld is too short to carry load, or too short for its throat.
    EffectiveLength,
    /// Load concentrates at the ends of a long lap.
    LongLap,
    /// The leg is below the code's least.
    LeastLeg,
    /// The leg is above what an edge allows.
    GreatestLeg,
    /// The gap is wider than a fillet may bridge.
    Gap,
    /// The filler is weaker than the parent metal.
    Filler,
    /// The plate itself cannot carry the load.
    Plate,
    /// No throat on this length carries the load.
    NotEnough,
}

/// How heavy a refusal is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Effect {
    /// Something the weld must meet besides the throat the load needs.
    Condition,
    /// The code does not allow the joint as asked; the throat beside it is for information.
    NotAllowed,
    /// The code gives this weld no resistance: there is no throat to ask for.
    NoResistance,
}

/// One thing that the code refuses.
#[derive(Clone, Debug, PartialEq)]
pub struct Refusal {
    /// What it is about.
    pub what: What,
    /// How heavy it is.
    pub effect: Effect,
    /// The clause, and how we know what it says.
    pub clause: Source,
    /// The fact, with numbers.
    pub fact: String,
    /// The next action.
    pub advice: String,
}

impl Refusal {
    pub(super) fn new(
        what: What,
        effect: Effect,
        clause: Source,
        fact: String,
        advice: impl Into<String>,
    ) -> Self {
        Self { what, effect, clause, fact, advice: advice.into() }
    }
}

/// Something that the throat does not answer and that must be checked as well.
#[derive(Clone, Debug, PartialEq)]
pub struct AlsoCheck {
    /// What it is.
    pub what: &'static str,
    /// The clause, and how we know what it says.
    pub clause: Source,
    /// The fact, with numbers where there are any.
    pub fact: String,
}
