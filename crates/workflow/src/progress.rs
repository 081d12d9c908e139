//! Told how far a long work is, and asked whether to go on.

use crate::refusal::Refusal;

/// Who listens to a long work: a line on the screen, or a job of the bench.
///
/// Any `Fn(&str)` listens to the steps as lines and never stops the work.
pub trait Progress: Sync {
    /// A part is done.
    fn step(&self, step: &Step<'_>);

    /// Whether the person has asked to stop. It is looked at between the parts of the work.
    fn cancelled(&self) -> bool {
        false
    }
}

/// A part of a work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Step<'a> {
    /// What is done with the parts: `read`, `checked`, `copied`.
    pub verb: &'a str,
    /// Parts done.
    pub done: u64,
    /// Parts in all.
    pub of: u64,
    /// The part, where it has a name.
    pub what: &'a str,
}

impl std::fmt::Display for Step<'_> {
    /// `read 3 of 8: a3.toml`.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} {} of {}", self.verb, self.done, self.of)?;
        if self.what.is_empty() { Ok(()) } else { write!(f, ": {}", self.what) }
    }
}

impl<F: Fn(&str) + Sync> Progress for F {
    fn step(&self, step: &Step<'_>) {
        self(&step.to_string());
    }
}

/// Nobody listens.
#[derive(Clone, Copy, Debug, Default)]
pub struct Quiet;

impl Progress for Quiet {
    fn step(&self, _: &Step<'_>) {}
}

/// What is said to a person who stopped a work.
#[must_use]
pub fn stopped() -> Refusal {
    Refusal::new("stopped", "start it again when you like: nothing was written")
}

/// Goes on, or says that the person stopped it.
pub(crate) fn go_on(progress: &dyn Progress) -> Result<(), Refusal> {
    if progress.cancelled() { Err(stopped()) } else { Ok(()) }
}
