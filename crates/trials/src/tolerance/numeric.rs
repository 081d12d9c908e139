//! The few numerical tools that the bounds share: normal tail, quadrature nodes, root.

use libm::erfc;
use rand::Rng;
use rand_chacha::ChaCha8Rng;
use statrs::function::erf::erfc_inv;
use std::f64::consts::{PI, SQRT_2};

/// Chance that a standard normal exceeds `x`; exact in the far tail, where 1 − Φ would lose its digits.
pub(crate) fn upper_tail(x: f64) -> f64 {
    0.5 * erfc(x / SQRT_2)
}

/// The standard normal's quantile of share `p`, 0 < p < 1.
///
/// One Newton step on top of the library's inverse, which stops at about 11 digits.
pub(crate) fn normal_quantile(p: f64) -> f64 {
    if p == 0.5 {
        return 0.0;
    }
    let z = -SQRT_2 * erfc_inv(2.0 * p);
    z + (upper_tail(z) - (1.0 - p)) / normal_density(z)
}

/// Density of the standard normal.
pub(crate) fn normal_density(x: f64) -> f64 {
    (-0.5 * x * x).exp() / (2.0 * PI).sqrt()
}

/// One standard normal number.
pub(crate) fn normal_draw(rng: &mut ChaCha8Rng) -> f64 {
    let radius = (-2.0 * (1.0 - rng.random::<f64>()).ln()).sqrt();
    radius * (2.0 * PI * rng.random::<f64>()).cos()
}

/// One chi-squared number with `freedom` degrees of freedom, at least 1.
pub(crate) fn chi_squared_draw(rng: &mut ChaCha8Rng, freedom: usize) -> f64 {
    (0..freedom).map(|_| normal_draw(rng).powi(2)).sum::<f64>().max(f64::MIN_POSITIVE)
}

/// Nodes and weights of the Gauss-Legendre rule with `n` points on -1 … 1, by Newton on the Legendre recurrence.
pub(crate) fn gauss_legendre(n: usize) -> Vec<(f64, f64)> {
    (0..n)
        .map(|i| {
            let mut x = (PI * (i as f64 + 0.75) / (n as f64 + 0.5)).cos();
            let mut slope = 1.0;
            for _ in 0..60 {
                let (mut before, mut here) = (1.0, x);
                for j in 2..=n {
                    let j = j as f64;
                    (before, here) = (here, ((2.0 * j - 1.0) * x * here - (j - 1.0) * before) / j);
                }
                slope = n as f64 * (x * here - before) / (x * x - 1.0);
                let step = here / slope;
                x -= step;
                if step.abs() < 1e-16 {
                    break;
                }
            }
            (x, 2.0 / ((1.0 - x * x) * slope * slope))
        })
        .collect()
}

/// Points and weights of `panels` Gauss panels on `from` … `to`.
pub(crate) fn panels(
    rule: &[(f64, f64)],
    from: f64,
    to: f64,
    panels: usize,
) -> impl Iterator<Item = (f64, f64)> + '_ {
    let half = 0.5 * (to - from) / panels as f64;
    (0..panels).flat_map(move |panel| {
        let middle = from + half * (2 * panel + 1) as f64;
        rule.iter().map(move |&(x, w)| (middle + half * x, half * w))
    })
}

/// Where a log-concave curve has fallen `drop` below its peak, between `peak` and `limit`.
pub(crate) fn fallen(ln_curve: impl Fn(f64) -> f64, peak: f64, limit: f64, drop: f64) -> f64 {
    let wanted = ln_curve(peak) - drop;
    if ln_curve(limit) > wanted {
        return limit;
    }
    let (mut inside, mut outside) = (peak, limit);
    for _ in 0..40 {
        let middle = 0.5 * (inside + outside);
        if ln_curve(middle) > wanted {
            inside = middle;
        } else {
            outside = middle;
        }
    }
    outside
}

/// Finds k > 0 where the falling chance `miss(k)` equals `wanted`; 0 when it is already there at k = 0.
///
/// `miss` gives the chance and its slope. The search is Newton in ln k against ln miss, where both tails are
/// almost straight, held inside a bracket; on doubt the larger k (the lower bound on the throat) is returned.
pub(crate) fn solve_miss(
    wanted: f64,
    start: f64,
    closeness: f64,
    miss: impl Fn(f64) -> (f64, f64),
) -> f64 {
    if miss(0.0).0 <= wanted * (1.0 + 1e-13) {
        return 0.0;
    }
    let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
    let mut x = if start > 0.0 && start.is_finite() { start.ln() } else { 0.0 };
    for _ in 0..200 {
        let (chance, slope) = miss(x.exp());
        let gap = chance.ln() - wanted.ln();
        if gap > 0.0 {
            low = x;
        } else {
            high = x;
        }
        let step = -gap * chance / (x.exp() * slope);
        let newton = x + step.clamp(-3.0, 3.0);
        let next = if newton.is_finite() && newton > low && newton < high {
            newton
        } else if low.is_finite() && high.is_finite() {
            0.5 * (low + high)
        } else if low.is_finite() {
            low + 2.0
        } else {
            high - 2.0
        };
        if (next - x).abs() < closeness {
            return next.exp();
        }
        x = next;
    }
    if high.is_finite() { high.exp() } else { x.exp() }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST/SEMATECH 1.3.6.7.4 prints 1.959964; more digits of the same number by mpmath 1.4.1.
    #[test]
    fn normal_quantile_has_all_its_digits() {
        for (p, z) in [
            (0.5, 0.0),
            (0.9, 1.281_551_565_544_600_4),
            (0.95, 1.644_853_626_951_472_2),
            (0.975, 1.959_963_984_540_054),
            (0.999, 3.090_232_306_167_813_5),
        ] {
            assert!((normal_quantile(p) - z).abs() < 4e-15, "{p}: {}", normal_quantile(p));
        }
    }

    /// A 16-point rule is exact for polynomials up to degree 31.
    #[test]
    fn quadrature_is_exact_where_it_must_be() {
        let rule = gauss_legendre(16);
        let power: f64 = panels(&rule, 0.0, 2.0, 1).map(|(x, w)| w * x.powi(31)).sum();
        assert!((power / 2f64.powi(32) * 32.0 - 1.0).abs() < 1e-13);
    }
}
