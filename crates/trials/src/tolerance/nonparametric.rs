//! The bound that assumes no shape of scatter.
//!
//! ```text
//!   the r-th lowest of n independent values lies below the wanted quantile
//!   with chance  P( Binomial(n, 1 − p) ≥ r );   the greatest r that keeps it at γ or more is used
//! ```
//!
//! With n = 59 the lowest value is a 95 %/95 % bound, with 93 the second lowest.
//!
//! Values must be independent. Sections of one coupon are taken as that, and the bound then speaks for that coupon.
//! With several coupons the lowest section of each coupon is ranked, so n counts **coupons**: a random section of a
//! coupon is never below that coupon's lowest, so the bound holds for sections too, with something to spare.
//!
//! Source: [`WILKS_1941`](weld::source::WILKS_1941).

use weld::claim::Assurance;

/// Which value from below is the bound for `values` independent ones; none when there are too few.
#[must_use]
pub fn rank(values: usize, assurance: Assurance) -> Option<usize> {
    let below = 1.0 - assurance.coverage();
    // In logarithms: among many values the first terms are too small for a double.
    let mut ln_term = values as f64 * assurance.coverage().ln();
    let mut fewer = 0.0;
    let mut best = None;
    for r in 1..=values {
        fewer += ln_term.exp();
        // A double's own doubt goes to the safe side.
        if 1.0 - fewer < assurance.confidence() + 1e-12 {
            break;
        }
        best = Some(r);
        ln_term += ((values - r + 1) as f64 / r as f64 * below / assurance.coverage()).ln();
    }
    best
}

/// The least number of independent values for which the lowest one is a bound.
#[must_use]
pub fn least_number(assurance: Assurance) -> usize {
    let about = ((1.0 - assurance.confidence()).ln() / assurance.coverage().ln()).floor() as usize;
    (about.max(1)..).find(|&n| rank(n, assurance).is_some()).unwrap_or(usize::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn assurance(coverage: f64, confidence: f64) -> Assurance {
        Assurance::new(coverage, confidence).unwrap()
    }

    /// Check values 5.3, whole numbers.
    #[test]
    fn least_numbers_are_the_printed_ones() {
        for (p, g, n) in [
            (0.95, 0.95, 59),
            (0.90, 0.95, 29),
            (0.90, 0.90, 22),
            (0.95, 0.90, 45),
            (0.99, 0.95, 299),
            (0.99, 0.90, 230),
        ] {
            assert_eq!(least_number(assurance(p, g)), n, "{p}/{g}");
        }
    }

    /// The well-known sizes at which the next order statistic may be used at 95/95 (from memory; each follows from the
    /// binomial sum, which the next test takes by another way).
    #[test]
    fn higher_ranks_come_at_the_known_sizes() {
        for (i, n) in [59, 93, 124, 153, 181, 208, 234, 260, 286, 311].into_iter().enumerate() {
            assert_eq!(rank(n, Assurance::USUAL), Some(i + 1), "{n}");
            assert_eq!(
                rank(n - 1, Assurance::USUAL),
                i.checked_sub(0).filter(|&r| r > 0),
                "{n} less one"
            );
        }
    }

    /// Second method: the chance is a regularised incomplete beta function.
    #[test]
    fn rank_agrees_with_the_beta_function() {
        use statrs::function::beta::beta_reg;
        for n in [59, 100, 400, 2000, 20_000] {
            let r = rank(n, Assurance::USUAL).unwrap();
            let holds = |r: usize| beta_reg(r as f64, (n - r + 1) as f64, 0.05);
            assert!(holds(r) >= 0.95 && holds(r + 1) < 0.95, "{n}");
        }
    }

    #[test]
    fn too_few_values_have_no_rank() {
        assert_eq!(rank(58, Assurance::USUAL), None);
        assert_eq!(rank(0, Assurance::USUAL), None);
    }
}
