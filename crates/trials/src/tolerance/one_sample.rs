//! The bound from independent sections: one coupon's, or one section from each of several coupons.
//!
//! ```text
//!   bound = mean − k·s
//! ```
//!
//! From one coupon it speaks for that coupon only: what differs from coupon to coupon (fit-up, heat of the plate, hand)
//! never had a chance to show.
//!
//! Source: [`ISO_16269_6`](weld::source::ISO_16269_6).

use super::factor::one_sided_factor;
use super::random_effects::mean;
use weld::claim::Assurance;

/// Mean, standard deviation and count of independent sections.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// Mean.
    pub mean: f64,
    /// Standard deviation with n − 1.
    pub s: f64,
    /// How many.
    pub sections: usize,
}

impl Sample {
    /// Takes the values together; none with fewer than two.
    #[must_use]
    pub fn of(values: &[f64]) -> Option<Self> {
        if values.len() < 2 {
            return None;
        }
        let middle = mean(values);
        let squares: f64 = values.iter().map(|v| (v - middle) * (v - middle)).sum();
        let s = (squares / (values.len() - 1) as f64).sqrt();
        Some(Self { mean: middle, s, sections: values.len() })
    }

    /// The same sample with a standard deviation of at least `floor`.
    #[must_use]
    pub fn with_floor(self, floor: f64) -> Self {
        Self { s: self.s.max(floor), ..self }
    }

    /// The tolerance bound; none for a sample of fewer than two.
    #[must_use]
    pub fn bound(&self, assurance: Assurance) -> Option<f64> {
        Some(self.mean - one_sided_factor(self.sections, assurance)? * self.s)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Check values 5.20: 3.90 mm, s 0.18 mm, 10 sections, 95/95 give 3.3760 mm.
    #[test]
    fn bound_of_the_worked_sample() {
        let sample = Sample { mean: 3.90, s: 0.18, sections: 10 };
        assert!((sample.bound(Assurance::USUAL).unwrap() - 3.3760).abs() <= 0.5e-4);
    }

    /// NIST `StRD` `NumAcc1`: mean 10000002 and standard deviation 1, exactly. `NumAcc4`: mean 10000000.2, s 0.1; a double
    /// carries those data to 1.9e-9, so s to about 1e-8 of itself.
    #[test]
    fn leading_digits_cost_nothing() {
        let one = Sample::of(&[10_000_001.0, 10_000_003.0, 10_000_002.0]).unwrap();
        assert_eq!((one.mean, one.s), (10_000_002.0, 1.0));
        let mut values = vec![10_000_000.2];
        for _ in 0..500 {
            values.extend([10_000_000.1, 10_000_000.3]);
        }
        let four = Sample::of(&values).unwrap();
        assert!((four.mean - 10_000_000.2).abs() < 2e-9 && (four.s - 0.1).abs() < 1.5e-9);
    }
}
