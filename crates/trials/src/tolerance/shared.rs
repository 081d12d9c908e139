//! The error that all readings share, and that no number of sections averages out.
//!
//! ```text
//!   claim = bound × (1 − z_γ·u_s)
//! ```
//!
//! A wrong scale, a camera that is never moved, a reader who always takes the outer edge: such an error moves every
//! value the same way, so it does not show in their scatter. `u_s` is its relative standard uncertainty **at the
//! bound**. A shared error may be a share of the throat (a scale) or a length (an edge habit), and rows give it in mm
//! beside each value, so the greater of two readings is taken:
//!
//! ```text
//!   u_s·bound = max( greatest of u_i / value_i × bound,  least of u_i )
//! ```
//!
//! The first is right for a scale, the second for a length, and one of the two covers any mixture of both. Where the
//! stated parts are the same share of every value it *is* a scale, and the first alone is taken: the formula above, to
//! the digit. Different scales are not averaged down: the worst one speaks. Below a bound of zero only the length is left.
//!
//! Not covered: an error that grows as the throat shrinks faster than in proportion.

use super::numeric::normal_quantile;
use weld::claim::Assurance;

/// How closely stated parts must be the same share of their values to be a scale's: what rounding to four figures leaves.
const SAME_SHARE: f64 = 1e-3;

/// A value with the part of its uncertainty that it shares with the others, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shared {
    /// The value.
    pub value_mm: f64,
    /// Its shared standard uncertainty.
    pub u_shared_mm: f64,
}

/// The standard uncertainty taken as common at a bound of `bound_mm`, mm; none when no row states one.
///
/// Values of zero carry no relative error and are passed over.
#[must_use]
pub fn common_u_mm(stated: &[Shared], bound_mm: f64) -> Option<f64> {
    let some = stated.iter().filter(|row| row.value_mm > 0.0);
    let relative = some.clone().map(|row| row.u_shared_mm / row.value_mm).reduce(f64::max)?;
    let least = some.clone().map(|row| row.u_shared_mm / row.value_mm).reduce(f64::min)?;
    let of_scale = relative * bound_mm.max(0.0);
    if relative - least <= SAME_SHARE * relative {
        return Some(of_scale);
    }
    let length = some.map(|row| row.u_shared_mm).reduce(f64::min)?;
    Some(of_scale.max(length))
}

/// What the shared error takes off a bound of `bound_mm`, mm; none when no row states one.
#[must_use]
pub fn shared_mm(stated: &[Shared], bound_mm: f64, assurance: Assurance) -> Option<f64> {
    Some(normal_quantile(assurance.confidence()) * common_u_mm(stated, bound_mm)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(pairs: &[(f64, f64)]) -> Vec<Shared> {
        pairs.iter().map(|&(value_mm, u_shared_mm)| Shared { value_mm, u_shared_mm }).collect()
    }

    /// 1 % of each value is a scale's error: it takes 1.645 % off the bound, wherever that lies.
    #[test]
    fn scale_error_takes_its_share() {
        let z = 1.644_853_626_951_472_2;
        let stated = rows(&[(3.5, 0.035), (4.0, 0.040)]);
        assert!((shared_mm(&stated, 3.0, Assurance::USUAL).unwrap() - z * 0.030).abs() < 1e-14);
        assert!((shared_mm(&stated, 3.5, Assurance::USUAL).unwrap() - z * 0.035).abs() < 1e-14);
        assert!((shared_mm(&stated, 3.8, Assurance::USUAL).unwrap() - z * 0.038).abs() < 1e-14);
    }

    /// An edge habit of 0.05 mm takes z × 0.05 mm off the bound wherever the bound lies below the values.
    #[test]
    fn edge_habit_is_a_length() {
        let u = common_u_mm(&rows(&[(3.0, 0.05), (4.0, 0.05)]), 2.0).unwrap();
        assert!((u - 0.05).abs() < 1e-15);
    }

    /// For u² = habit² + (scale × value)² the shared error at the bound is never understated.
    #[test]
    fn any_mixture_is_covered() {
        for (habit, scale) in [(0.05, 0.0), (0.0, 0.02), (0.03, 0.02), (0.1, 0.001)] {
            let at = |v: f64| f64::hypot(habit, scale * v);
            let stated = rows(&[(3.0, at(3.0)), (3.6, at(3.6)), (4.2, at(4.2))]);
            for bound in [0.5, 2.0, 2.9, 3.2, 4.0] {
                assert!(common_u_mm(&stated, bound).unwrap() >= at(bound) * (1.0 - 1e-12));
            }
        }
    }

    #[test]
    fn nothing_stated_is_nothing_known() {
        assert_eq!(common_u_mm(&[], 3.0), None);
        assert_eq!(common_u_mm(&rows(&[(0.0, 0.05)]), 3.0), None);
    }
}
