//! How far the beam is dangerous, and what eyes, skin, curtains and lungs need.
//!
//! | question | look in |
//! |---|---|
//! | how much may an eye, a skin take? | [`exposure`] |
//! | what the beam is: its spread, its pulses, its focus | [`beam`] |
//! | how far is it dangerous: bare, beyond a focus, from a fibre, reflected? | [`distance`] |
//! | which eyewear, and does this pair do? | [`eyewear`] |
//! | which welding shade beside it? | [`shade`] |
//! | what must a curtain stand, and what passes over and under it? | [`barrier`] |
//! | where can the beam leave the room? | [`room`] |
//! | how much oxygen is left? | [`gas`] |
//! | what is in the fume, and how much air must a hood move? | [`fume`] |
//! | what belongs to a controlled area? | [`checks`] |
//! | what may an etchant never meet? | [`etch`] |
//!
//! Nothing fitted to a study, and no model of the weld, reaches this crate: a distance never moves because a model was
//! calibrated. A house rule refuses the dependency.
//!
//! Every formula errs to the long side: the beam's power counts whole, absorption and wobble never lower an exposure,
//! a diffuse reflection is taken as a point unless its size is given. A distance that a formula gives is no permission:
//! the laser safety officer decides.
//!
//! Not covered: wavelengths outside 400 to 1400 nm, pulses under 1 ns, optical instruments (binoculars, telescopes)
//! that gather more of the beam than a pupil does.

pub mod barrier;
pub mod beam;
pub mod checks;
pub mod distance;
pub mod etch;
pub mod exposure;
pub mod eyewear;
pub mod fume;
pub mod gas;
pub mod room;
pub mod shade;

/// A quantity that a formula cannot take.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{what} is {given}, and {needed}")]
pub struct OutOfRange {
    /// What it is.
    pub what: &'static str,
    /// What was given, with its unit.
    pub given: String,
    /// What the formula takes.
    pub needed: &'static str,
    /// What to do next.
    pub advice: &'static str,
}

impl OutOfRange {
    /// What to do next.
    #[must_use]
    pub const fn advice(&self) -> &'static str {
        self.advice
    }
}

/// A number that must be above nothing and finite.
pub(crate) fn above_nothing(
    what: &'static str,
    si: f64,
    given: impl std::fmt::Display,
    advice: &'static str,
) -> Result<f64, OutOfRange> {
    if si.is_finite() && si > 0.0 {
        Ok(si)
    } else {
        Err(OutOfRange {
            what,
            given: given.to_string(),
            needed: "it must be above nothing",
            advice,
        })
    }
}

/// A number that must be at least nothing and finite.
pub(crate) fn not_below_nothing(
    what: &'static str,
    si: f64,
    given: impl std::fmt::Display,
    advice: &'static str,
) -> Result<f64, OutOfRange> {
    if si.is_finite() && si >= 0.0 {
        Ok(si)
    } else {
        Err(OutOfRange {
            what,
            given: given.to_string(),
            needed: "it must not be below nothing",
            advice,
        })
    }
}
