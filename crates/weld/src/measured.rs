//! A value together with how surely it is known.

/// A value with its standard uncertainty, both in the unit its context names.
///
/// `u` is one standard deviation (JCGM 100, 2.3.1), not an expanded uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured<T> {
    /// The best estimate.
    pub value: T,
    /// Its standard uncertainty, same unit, not negative.
    pub u: T,
}

impl<T> Measured<T> {
    /// Puts a value and its standard uncertainty together.
    pub const fn new(value: T, u: T) -> Self {
        Self { value, u }
    }
}
