//! Whether the values look normal.
//!
//! ```text
//!   A² = −n − Σ (2i − 1)/n · ( ln Φ(yᵢ) + ln Φ̄(yₙ₊₁₋ᵢ) ),   yᵢ = (xᵢ − mean)/s, sorted
//!   A* = A²·(1 + 0.75/n + 2.25/n²)          rejected above 0.752 (5 %)
//! ```
//!
//! What is checked:
//!
//! - one coupon, or one section per coupon: the values;
//! - several coupons with several sections: the deviations from each coupon's mean, each stretched by
//!   √(n/(n − 1)), taken only from coupons with at least 4 sections (deviations of two or three sections are too
//!   strongly tied to each other); and, from 20 coupons on, the coupon means as well.
//!
//! Under 20 usable values nothing is checked: no test sees a departure in so few. A check that does not reject
//! proves nothing.
//!
//! Source: [`STEPHENS_1974`](weld::source::STEPHENS_1974).
//!
//! Not covered: coupons whose scatter differs; several checks are not corrected for each other, which rejects a
//! little more often than one in twenty and so errs to the careful side.

use super::numeric::upper_tail;
use super::random_effects::mean;
use weld::claim::Normality;

/// Values that a check needs.
pub const LEAST: usize = 20;

/// Critical value of A* at 5 %.
pub const CRITICAL: f64 = 0.752;

/// Sections a coupon needs for its deviations to be used.
const LEAST_IN_COUPON: usize = 4;

/// Checks the sections of each coupon.
#[must_use]
pub fn check(coupons: &[Vec<f64>]) -> Normality {
    let single = coupons.len() == 1 || coupons.iter().all(|values| values.len() == 1);
    let mut samples = Vec::new();
    if single {
        samples.push(coupons.concat());
    } else {
        let deviations: Vec<f64> = coupons
            .iter()
            .filter(|values| values.len() >= LEAST_IN_COUPON)
            .flat_map(|values| {
                let middle = mean(values);
                let n = values.len() as f64;
                let stretch = (n / (n - 1.0)).sqrt();
                values.iter().map(move |v| stretch * (v - middle))
            })
            .collect();
        samples.push(deviations);
        samples.push(coupons.iter().map(|values| mean(values)).collect());
    }
    let have = samples.iter().map(Vec::len).max().unwrap_or(0);
    let greatest = samples
        .iter()
        .filter(|sample| sample.len() >= LEAST)
        .filter_map(|sample| anderson_darling(sample))
        .reduce(f64::max);
    match greatest {
        None => Normality::TooFewToCheck { have, need: LEAST },
        Some(statistic) if statistic > CRITICAL => {
            Normality::Rejected { statistic, critical: CRITICAL }
        }
        Some(statistic) => Normality::NotContradicted { statistic, critical: CRITICAL },
    }
}

/// A* of a sample with its own mean and spread; none when the values are all equal.
fn anderson_darling(values: &[f64]) -> Option<f64> {
    let n = values.len() as f64;
    let middle = mean(values);
    let s = (values.iter().map(|v| (v - middle) * (v - middle)).sum::<f64>() / (n - 1.0)).sqrt();
    if s <= 0.0 {
        return None;
    }
    let mut y: Vec<f64> = values.iter().map(|v| (v - middle) / s).collect();
    y.sort_by(f64::total_cmp);
    let ln = |chance: f64| chance.max(1e-300).ln();
    let sum: f64 = y
        .iter()
        .zip(y.iter().rev())
        .enumerate()
        .map(|(i, (low, high))| {
            (2 * i + 1) as f64 / n * (ln(upper_tail(-low)) + ln(upper_tail(*high)))
        })
        .sum();
    Some((-n - sum) * (1.0 + 0.75 / n + 2.25 / (n * n)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tolerance::numeric::normal_draw;
    use rand::{Rng, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    /// `scipy.stats.anderson` of SciPy 1.17.1 gives A² = 0.788419147119 for these 25 numbers; A* is that times
    /// 1 + 0.75/25 + 2.25/625.
    #[test]
    fn statistic_agrees_with_scipy() {
        let values: Vec<f64> =
            (1..=25).map(|i| f64::from(i * i % 37) + 0.1 * f64::from(i)).collect();
        let ours = anderson_darling(&values).unwrap();
        assert!((ours / (0.788_419_147_118_894_2 * 1.0336) - 1.0).abs() < 1e-9, "{ours}");
    }

    /// Normal coupons are rejected about once in twenty: 4000 draws leave a standard error of 0.0034; three of
    /// them, and 0.01 for the published value's rounding and for deviations being tied within a coupon.
    #[test]
    fn normal_values_are_rejected_about_once_in_twenty() {
        let mut rng = ChaCha8Rng::seed_from_u64(41);
        for layout in [vec![20], vec![60], vec![4; 5], vec![5; 5], vec![10; 3], vec![1; 24]] {
            let mut rejected = 0;
            for _ in 0..4000 {
                let coupons: Vec<Vec<f64>> = layout
                    .iter()
                    .map(|&n| {
                        let coupon = normal_draw(&mut rng);
                        (0..n).map(|_| coupon + normal_draw(&mut rng)).collect()
                    })
                    .collect();
                if matches!(check(&coupons), Normality::Rejected { .. }) {
                    rejected += 1;
                }
            }
            let share = f64::from(rejected) / 4000.0;
            println!("{layout:?}: {share:.4} of normal studies rejected");
            assert!((share - 0.05).abs() < 0.0034 * 3.0 + 0.01, "{layout:?} {share}");
        }
    }

    /// Values with a long tail are found out with 60 sections nearly always.
    #[test]
    fn long_tail_is_rejected() {
        let mut rng = ChaCha8Rng::seed_from_u64(5);
        let found = (0..100)
            .filter(|_| {
                let values = (0..60).map(|_| -(1.0 - rng.random::<f64>()).ln()).collect();
                matches!(check(&[values]), Normality::Rejected { .. })
            })
            .count();
        assert!(found >= 95, "{found}");
    }

    #[test]
    fn nineteen_are_too_few() {
        let values = (0..19).map(f64::from).collect();
        assert_eq!(check(&[values]), Normality::TooFewToCheck { have: 19, need: 20 });
    }
}
