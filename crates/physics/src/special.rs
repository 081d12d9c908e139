//! The few functions of mathematical physics that conduction needs.
//!
//! Sources: definitions; published values to compare with are in the tests (Abramowitz and Stegun, recalled).

/// Euler's constant.
const EULER: f64 = 0.577_215_664_901_532_9;

/// Modified Bessel functions of the second kind K0(x) and K1(x), both times e^x, for x > 0.
///
/// Ascending series to 2, Temme's continued fraction beyond: 1e-14 relative. Not a number for x <= 0 or no number.
#[must_use]
pub fn bessel_k01_scaled(x: f64) -> (f64, f64) {
    if x.is_nan() || x <= 0.0 {
        return (f64::NAN, f64::NAN);
    }
    if x <= 2.0 {
        let q = 0.25 * x * x;
        let log = (0.5 * x).ln() + EULER;
        // K0 = -(ln(x/2) + γ) I0 + Σ q^k/k!² H_k;  K1 = 1/x + (ln(x/2) + γ) I1 - (x/4) Σ q^k/(k!(k+1)!) (2 H_k + 1/(k+1))
        let (mut t0, mut t1, mut harmonic) = (1.0, 1.0, 0.0);
        let (mut i0, mut i1, mut s0, mut s1) = (1.0, 1.0, 0.0, 1.0);
        for k in 1..40 {
            let n = f64::from(k);
            t0 *= q / (n * n);
            t1 *= q / (n * (n + 1.0));
            harmonic += 1.0 / n;
            i0 += t0;
            i1 += t1;
            s0 += t0 * harmonic;
            s1 += t1 * (2.0 * harmonic + 1.0 / (n + 1.0));
            if t0 < 1e-18 * i0 {
                break;
            }
        }
        let scale = x.exp();
        let k0 = -log * i0 + s0;
        let k1 = 1.0 / x + log * (0.5 * x * i1) - 0.25 * x * s1;
        return (k0 * scale, k1 * scale);
    }
    // Temme's continued fraction for order 0 by Steed's way.
    let mut b = 2.0 * (1.0 + x);
    let mut d = 1.0 / b;
    let (mut h, mut delta) = (d, d);
    let (mut q1, mut q2) = (0.0, 1.0);
    let a1 = 0.25;
    let mut c = a1;
    let mut q = a1;
    let mut a = -a1;
    let mut s = 1.0 + q * delta;
    for i in 2..10_000 {
        let n = f64::from(i);
        a -= 2.0 * (n - 1.0);
        c = -a * c / n;
        let new = (q1 - b * q2) / a;
        q1 = q2;
        q2 = new;
        q += c * new;
        b += 2.0;
        d = 1.0 / (b + a * d);
        delta *= b * d - 1.0;
        h += delta;
        let step = q * delta;
        s += step;
        if (step / s).abs() < 1e-16 {
            break;
        }
    }
    h *= a1;
    let k0 = (std::f64::consts::PI / (2.0 * x)).sqrt() / s;
    (k0, k0 * (x + 0.5 - h) / x)
}

/// Exponential integral E1(x) for x > 0; infinite at 0, not a number below.
#[must_use]
pub fn exp_integral(x: f64) -> f64 {
    if x.is_nan() || x < 0.0 {
        return f64::NAN;
    }
    if x == 0.0 {
        return f64::INFINITY;
    }
    if x <= 1.0 {
        let (mut term, mut sum) = (1.0, 0.0);
        for k in 1..60 {
            let n = f64::from(k);
            term *= -x / n;
            sum -= term / n;
            if term.abs() < 1e-18 {
                break;
            }
        }
        return sum - EULER - x.ln();
    }
    // Lentz's continued fraction.
    let mut b = x + 1.0;
    let mut c = 1e300;
    let mut d = 1.0 / b;
    let mut h = d;
    for i in 1..500 {
        let n = f64::from(i);
        let a = -n * n;
        b += 2.0;
        d = 1.0 / (a * d + b);
        c = b + a / c;
        let step = c * d;
        h *= step;
        if (step - 1.0).abs() < 1e-16 {
            break;
        }
    }
    h * (-x).exp()
}

/// ∫ erf(w/s) dw from 0 to u, even in u; u, s in one unit, s > 0.
#[must_use]
pub fn erf_integral(u: f64, s: f64) -> f64 {
    let r = u / s;
    u * libm::erf(r) + s / std::f64::consts::PI.sqrt() * ((-(r * r).min(700.0)).exp() - 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn k(x: f64) -> (f64, f64) {
        let (a, b) = bessel_k01_scaled(x);
        (a * (-x).exp(), b * (-x).exp())
    }

    /// Check value 7.12 (Abramowitz and Stegun, Tables 9.8 and 9.9, recalled), ten printed decimals.
    #[test]
    fn bessel_functions_are_those_of_the_tables() {
        assert!((k(1.0).0 - 0.421_024_438_2).abs() <= 0.5e-10);
        assert!((k(1.0).1 - 0.601_907_230_2).abs() <= 0.5e-10);
        assert!((k(0.1).0 - 2.427_069_024_7).abs() <= 0.5e-10);
    }

    /// Series and continued fraction are two ways to the same function: they meet at 2. So does the integral
    /// `K_n(x)` = ∫ exp(-x cosh t) cosh(nt) dt, by the trapezium rule, which is exact to rounding for such a function.
    #[test]
    fn series_fraction_and_integral_agree() {
        for x in [0.01, 0.3, 1.0, 1.999_999, 2.000_001, 3.0, 7.5, 40.0, 300.0] {
            let (mut k0, mut k1) = (0.0, 0.0);
            for i in 0..20_000 {
                let t = (f64::from(i)) * 1e-3;
                let f = (-x * (t.cosh() - 1.0)).exp() * if i == 0 { 0.5e-3 } else { 1e-3 };
                k0 += f;
                k1 += f * t.cosh();
            }
            let (a, b) = bessel_k01_scaled(x);
            assert!((a / k0 - 1.0).abs() < 1e-12, "{x}: {a} {k0}");
            assert!((b / k1 - 1.0).abs() < 1e-12, "{x}: {b} {k1}");
        }
        assert!(bessel_k01_scaled(0.0).0.is_nan() && bessel_k01_scaled(f64::NAN).1.is_nan());
    }

    /// E1 against its integral; and E1(1) = 0.219 383 934 (Abramowitz and Stegun Table 5.1, recalled).
    #[test]
    fn exponential_integral() {
        assert!((exp_integral(1.0) - 0.219_383_934).abs() <= 0.5e-9);
        for x in [0.02_f64, 0.7, 1.0, 1.000_001, 4.0, 30.0] {
            // ∫ exp(-x e^t) dt from 0, trapezium in t of a function that dies fast.
            let n = 400_000;
            let end = (750.0 / x + 1.0).ln();
            let step = end / f64::from(n);
            let sum: f64 = (0..=n)
                .map(|i| {
                    let f = (-x * (f64::from(i) * step).exp()).exp();
                    if i == 0 || i == n { 0.5 * f } else { f }
                })
                .sum();
            assert!((exp_integral(x) / (sum * step) - 1.0).abs() < 1e-8, "{x}");
        }
        assert!(exp_integral(-1.0).is_nan() && exp_integral(0.0).is_infinite());
    }

    /// Check value 7.11 (Abramowitz and Stegun Table 7.1, recalled), ten decimals, by the slope of the integral.
    #[test]
    fn the_error_function_and_its_integral() {
        for (x, erf) in [
            (0.1, 0.112_462_916_0),
            (0.5, 0.520_499_877_8),
            (1.0, 0.842_700_792_9),
            (2.0, 0.995_322_265_0),
        ] {
            assert!((libm::erf(x) - erf).abs() <= 0.5e-10);
            let slope = (erf_integral(x + 1e-4, 1.0) - erf_integral(x - 1e-4, 1.0)) / 2e-4;
            // Third derivative of the integral is below 1.2: 1.2 h²/6.
            assert!((slope - erf).abs() < 2e-9 + 0.5e-10);
        }
    }
}
