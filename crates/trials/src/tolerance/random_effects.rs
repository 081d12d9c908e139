//! The bound from several coupons with several sections each.
//!
//! ```text
//!   throat of section j of coupon i  =  μ + Aᵢ + eᵢⱼ        Aᵢ ~ N(0, σ_a²),  eᵢⱼ ~ N(0, σ_e²)
//!   wanted quantile                  =  μ − z_p·√(σ_a² + σ_e²)
//!
//!   ȳ   unweighted mean of the a coupon means      ñ   harmonic mean of the sections per coupon
//!   A   sum of squares of the coupon means about ȳ      S   sum of squares within coupons
//!
//!   E = S/χ²(N − a)      stands for σ_e²            M = A/χ²(a − 1)      stands for σ_a² + σ_e²/ñ
//!   T = ȳ + Z·√(M/a) − z_p·√( M + (1 − 1/ñ)·E )     bound = the (1 − γ) quantile of T
//! ```
//!
//! For equal numbers of sections this is the balanced pivotal of the source, for unequal ones its unweighted-means
//! form. Nothing in it asks whether the estimate of the between-coupon variance came out positive, so there is no
//! falling back to a pooled bound.
//!
//! **One step is ours.** Coupon means that happen to agree make M small, and then T can end above the bound that
//! pools all sections as if they were independent. The pooled bound is then taken: of the two, always the lower. It
//! can only lower a claim, and with it nobody gains by scatter between coupons being unlikely small.
//!
//! No sampling. With √χ²(a − 1) = w·sin θ and √χ²(N − a) = w·cos θ the length w and the angle θ are independent, and
//! given θ the pivotal less ȳ is `(Z·α − z_p·β)/w`, so for d = ȳ − bound
//!
//! ```text
//!   1 − γ = E_θ P( d·w + Z·α(θ) < z_p·β(θ) ) = E_θ E_w Φ̄( (d·w − z_p·β)/α ) = E_θ E_Z F_w( (z_p·β + Z·α)/d )
//! ```
//!
//! The two right-hand forms are equal; at each θ the one whose integrand is the smoother is summed by Gauss's rule.
//! The bound is exact to about 1e-9 of d (5e-8 for shares and confidences near 0.9999), and needs no seed.
//!
//! Source: [`KRISHNAMOORTHY_MATHEW_2004`](weld::source::KRISHNAMOORTHY_MATHEW_2004), with the unweighted means of
//! [`THOMAS_HULTQUIST_1978`](weld::source::THOMAS_HULTQUIST_1978). Measured coverage: `examples/coverage.rs`.
//!
//! Not covered: operators or machines as a further level; coupons whose scatter differs.

use super::factor::factor;
use super::numeric::{
    fallen, gauss_legendre, normal_density, normal_quantile, panels, solve_miss, upper_tail,
};
use std::f64::consts::FRAC_PI_2;
use weld::claim::Assurance;

/// How many coupons, and how many sections in each: all that the bound needs to know of them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Layout {
    coupons: usize,
    harmonic: f64,
    freedom_within: usize,
}

impl Layout {
    /// The layout of coupons with these numbers of sections; none for fewer than two coupons or an empty one.
    #[must_use]
    pub fn of(sections: &[usize]) -> Option<Self> {
        if sections.len() < 2 || sections.contains(&0) {
            return None;
        }
        let coupons = sections.len();
        let inverse: f64 = sections.iter().map(|&n| 1.0 / n as f64).sum();
        Some(Self {
            coupons,
            harmonic: coupons as f64 / inverse,
            freedom_within: sections.iter().sum::<usize>() - coupons,
        })
    }

    /// Coupons.
    #[must_use]
    pub const fn coupons(&self) -> usize {
        self.coupons
    }

    /// Harmonic mean of the sections per coupon.
    #[must_use]
    pub const fn harmonic(&self) -> f64 {
        self.harmonic
    }

    /// Degrees of freedom within coupons; 0 when each has one section.
    #[must_use]
    pub const fn freedom_within(&self) -> usize {
        self.freedom_within
    }
}

/// What the sections of several coupons come to: the analysis of variance behind the bound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// The layout.
    pub layout: Layout,
    /// Unweighted mean of the coupon means.
    pub mean: f64,
    /// Sum of squares of the coupon means about `mean`; for equal numbers n, the sum of squares between, over n.
    pub between_squares: f64,
    /// Sum of squares within coupons.
    pub within_squares: f64,
    /// Mean of all sections, whatever their coupon.
    pub pooled_mean: f64,
    /// Sum of squares of all sections about `pooled_mean`.
    pub pooled_squares: f64,
}

impl Spread {
    /// Takes the sections of each coupon apart; none for fewer than two coupons or an empty one.
    #[must_use]
    pub fn of(coupons: &[Vec<f64>]) -> Option<Self> {
        let sizes: Vec<usize> = coupons.iter().map(Vec::len).collect();
        let layout = Layout::of(&sizes)?;
        let means: Vec<f64> = coupons.iter().map(|values| mean(values)).collect();
        let middle = mean(&means);
        let within_squares = coupons
            .iter()
            .zip(&means)
            .map(|(values, m)| values.iter().map(|v| (v - m) * (v - m)).sum::<f64>())
            .sum();
        let between_squares = means.iter().map(|m| (m - middle) * (m - middle)).sum();
        let sections: f64 = sizes.iter().map(|&n| n as f64).sum();
        let shift: f64 = sizes.iter().zip(&means).map(|(&n, m)| n as f64 * (m - middle)).sum();
        let pooled_mean = middle + shift / sections;
        let among: f64 = sizes
            .iter()
            .zip(&means)
            .map(|(&n, m)| n as f64 * (m - pooled_mean) * (m - pooled_mean))
            .sum();
        let pooled_squares = within_squares + among;
        Some(Self {
            layout,
            mean: middle,
            between_squares,
            within_squares,
            pooled_mean,
            pooled_squares,
        })
    }

    /// Estimated variance within coupons; none when each has one section.
    #[must_use]
    pub fn within_variance(&self) -> Option<f64> {
        let freedom = self.layout.freedom_within;
        (freedom > 0).then(|| self.within_squares / freedom as f64)
    }

    /// Estimated variance between coupons, 0 when the estimate is not positive; none when each has one section.
    #[must_use]
    pub fn between_variance(&self) -> Option<f64> {
        let within = self.within_variance()?;
        Some((self.variance_of_means() - within / self.layout.harmonic).max(0.0))
    }

    /// Estimated variance of one section of one coupon, between and within together.
    #[must_use]
    pub fn total_variance(&self) -> f64 {
        match (self.between_variance(), self.within_variance()) {
            (Some(between), Some(within)) => between + within,
            _ => self.variance_of_means(),
        }
    }

    /// The same spread with scatter of at least `floor` within coupons and in the coupon means.
    ///
    /// Readings that agree more closely than they can be read show luck, not a steady process.
    #[must_use]
    pub fn with_floor(self, floor: f64) -> Self {
        let layout = self.layout;
        let least = floor * floor;
        let (a, freedom) = (layout.coupons as f64, layout.freedom_within as f64);
        Self {
            between_squares: self.between_squares.max((a - 1.0) * least / layout.harmonic),
            within_squares: self.within_squares.max(freedom * least),
            pooled_squares: self.pooled_squares.max((a + freedom - 1.0) * least),
            ..self
        }
    }

    fn variance_of_means(&self) -> f64 {
        self.between_squares / (self.layout.coupons - 1) as f64
    }
}

/// Mean, centred on the first value so that many equal leading digits cost nothing.
pub(crate) fn mean(values: &[f64]) -> f64 {
    let Some(&first) = values.first() else { return 0.0 };
    first + values.iter().map(|v| v - first).sum::<f64>() / values.len() as f64
}

/// How finely the integrals are cut. The fine one is for claims.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fineness {
    /// Exact to about 1e-9 of the distance from mean to bound.
    Fine,
    /// Exact to about 5e-4, and quicker: for simulated futures, never for a claim.
    Quick,
}

/// The tolerance bound of several coupons: the pivotal's, or the pooled one where that is lower.
#[must_use]
pub fn bound(spread: &Spread, assurance: Assurance) -> f64 {
    let pivotal = spread.mean - pivotal_depth(spread, assurance, Fineness::Fine);
    pivotal.min(pooled_bound(spread, pooled_factor(&spread.layout, assurance)))
}

/// How far the pivotal's own quantile lies below the mean.
#[must_use]
pub fn pivotal_depth(spread: &Spread, assurance: Assurance, fineness: Fineness) -> f64 {
    let (size, angle) = size_and_angle(spread);
    if size == 0.0 { 0.0 } else { size * unit_depth(&spread.layout, angle, assurance, fineness) }
}

/// The bound that takes all sections as independent. Too high a claim when coupons differ: a ceiling only.
fn pooled_bound(spread: &Spread, k: f64) -> f64 {
    let sections = spread.layout.coupons + spread.layout.freedom_within;
    spread.pooled_mean - k * (spread.pooled_squares / (sections - 1) as f64).sqrt()
}

fn pooled_factor(layout: &Layout, assurance: Assurance) -> f64 {
    let sections = (layout.coupons + layout.freedom_within) as f64;
    factor(sections - 1.0, sections, assurance)
}

fn size_and_angle(spread: &Spread) -> (f64, f64) {
    let (between, within) = (spread.between_squares.sqrt(), spread.within_squares.sqrt());
    (between.hypot(within), between.atan2(within))
}

/// The depth for between and within sums of squares sin² and cos² of `angle`.
fn unit_depth(layout: &Layout, angle: f64, assurance: Assurance, fineness: Fineness) -> f64 {
    let a = layout.coupons as f64;
    let (freedom_between, freedom_within) = (a - 1.0, layout.freedom_within as f64);
    let (between, within) = angle.sin_cos();
    if layout.freedom_within == 0 {
        return factor(freedom_between, a, assurance) * between / freedom_between.sqrt();
    }
    let z = normal_quantile(assurance.coverage());
    let (order, turn, closeness) = match fineness {
        Fineness::Fine => (20, 14, 1e-13),
        Fineness::Quick => (8, 8, 1e-6),
    };
    let length = Chi::new(freedom_between + freedom_within, gauss_legendre(order), fineness);
    let turn = gauss_legendre(turn);

    // With one degree of freedom the quantile lives where its chi is as rare as 1 − γ.
    let rare = 0.3 * (1.0 - assurance.confidence()) / (freedom_between + freedom_within).sqrt();
    let inner = (1.0 - 1.0 / layout.harmonic).sqrt() * within;
    let corners: Vec<(f64, f64, f64)> =
        corners(freedom_between, freedom_within, between.atan2(inner), rare, &turn)
            .into_iter()
            .map(|(t, weight)| {
                let (sin, cos) = t.sin_cos();
                (between / (a.sqrt() * sin), z * (between / sin).hypot(inner / cos), weight)
            })
            .collect();
    let miss = |d: f64| {
        let (mut chance, mut slope) = (0.0, 0.0);
        for &(alpha, depth, weight) in &corners {
            let (part, steep) = if alpha < d {
                length.below(depth, alpha, d)
            } else {
                length.tail(depth, alpha, d)
            };
            chance += weight * part;
            slope += weight * steep;
        }
        (chance, slope)
    };
    let start = z * (between + within / freedom_within.sqrt()) + between;
    solve_miss(1.0 - assurance.confidence(), start, closeness, miss)
}

/// Angles θ with weights that sum to one, cut finely where either sum of squares starts to matter.
fn corners(
    freedom_between: f64,
    freedom_within: f64,
    layer: f64,
    rare: f64,
    rule: &[(f64, f64)],
) -> Vec<(f64, f64)> {
    let ln_density = |t: f64| {
        let (sin, cos) = t.sin_cos();
        (freedom_between - 1.0) * sin.max(1e-300).ln()
            + (freedom_within - 1.0) * cos.max(1e-300).ln()
    };
    let peak = (freedom_between - 1.0).sqrt().atan2((freedom_within - 1.0).sqrt());
    let from = fallen(ln_density, peak, 0.0, 40.0);
    let to = fallen(ln_density, peak, FRAC_PI_2, 40.0);
    let mut cuts = vec![from, to];
    // The length w is known to about 1/√(its degrees of freedom) of itself, so θ matters on that scale.
    let pieces = 4 + ((freedom_between + freedom_within).sqrt() / 3.0) as usize;
    cuts.extend((1..pieces).map(|i| from + (to - from) * i as f64 / pieces as f64));
    for (edge, sign, layer) in [(0.0, 1.0, layer), (FRAC_PI_2, -1.0, FRAC_PI_2 - layer)] {
        let mut gap = layer.clamp(1e-7, rare);
        while gap < 0.5 {
            cuts.push(edge + sign * gap);
            gap *= 3.0;
        }
    }
    cuts.retain(|&t| t >= from && t <= to);
    cuts.sort_by(f64::total_cmp);
    let mut nodes: Vec<(f64, f64)> = cuts
        .windows(2)
        .flat_map(|pair| panels(rule, pair[0], pair[1], 1))
        .map(|(t, weight)| (t, weight * (ln_density(t) - ln_density(peak)).exp()))
        .collect();
    let whole: f64 = nodes.iter().map(|node| node.1).sum();
    for node in &mut nodes {
        node.1 /= whole;
    }
    nodes
}

/// A chi variable: nodes for sums over it, and its distribution function as a table.
struct Chi {
    nodes: Vec<(f64, f64)>,
    low: f64,
    step: f64,
    /// Distribution function, density and its slope, times one, one and two steps, at each knot.
    knots: Vec<[f64; 3]>,
    normal: Vec<(f64, f64)>,
    rule: Vec<(f64, f64)>,
    count: usize,
    cornered: bool,
}

/// Standard deviations to which a normal variable is summed; 2e-17 lies beyond.
const REACH: f64 = 8.5;

impl Chi {
    fn new(freedom: f64, rule: Vec<(f64, f64)>, fineness: Fineness) -> Self {
        let peak = (freedom - 1.0).max(0.0).sqrt();
        let ln = |w: f64| (freedom - 1.0) * w.max(1e-300).ln() - 0.5 * w * w;
        let low = fallen(ln, peak, 0.0, 40.0);
        let high = fallen(ln, peak, peak + 12.0, 40.0);
        let (count, cells) = match fineness {
            Fineness::Fine => (3, 320),
            Fineness::Quick => (2, 60),
        };
        let density = |w: f64| (ln(w) - ln(peak)).exp();
        let step = (high - low) / cells as f64;
        let small = gauss_legendre(6);
        let mut sums = vec![0.0];
        let mut sum = 0.0;
        for i in 0..cells {
            let from = low + step * i as f64;
            sum += panels(&small, from, from + step, 1).map(|(w, v)| v * density(w)).sum::<f64>();
            sums.push(sum);
        }
        let knots = sums
            .iter()
            .enumerate()
            .map(|(i, part)| {
                let w = low + step * i as f64;
                let here = density(w) / sum;
                let slope = if w > 0.0 {
                    here * ((freedom - 1.0) / w - w)
                } else if freedom == 2.0 {
                    (-ln(peak)).exp() / sum
                } else {
                    0.0
                };
                [part / sum, here * step, slope * step * step]
            })
            .collect();
        let mut nodes: Vec<(f64, f64)> =
            panels(&rule, low, high, count).map(|(w, v)| (w, v * density(w))).collect();
        let whole: f64 = nodes.iter().map(|node| node.1).sum();
        for node in &mut nodes {
            node.1 /= whole;
        }
        let normal = panels(&rule, -REACH, REACH, count)
            .map(|(x, weight)| (x, weight * normal_density(x)))
            .collect();
        // With few degrees of freedom the distribution function has a corner at w = 0 that the sum must meet.
        let cornered = freedom < 9.0;
        Self { nodes, low, step, knots, normal, rule, count, cornered }
    }

    /// Distribution function and density at `w`, by quintic Hermite pieces.
    fn at(&self, w: f64) -> (f64, f64) {
        let place = (w - self.low) / self.step;
        if place <= 0.0 {
            return (0.0, 0.0);
        }
        let cell = place as usize;
        let (Some(l), Some(r)) = (self.knots.get(cell), self.knots.get(cell + 1)) else {
            return (1.0, 0.0);
        };
        let t = place - cell as f64;
        // In powers of t, from both ends' value, first and second derivative.
        let (rise, first, second) =
            (r[0] - l[0] - l[1] - 0.5 * l[2], r[1] - l[1] - l[2], r[2] - l[2]);
        let c3 = 10.0 * rise - 4.0 * first + 0.5 * second;
        let c4 = -15.0 * rise + 7.0 * first - second;
        let c5 = 6.0 * rise - 3.0 * first + 0.5 * second;
        let value = l[0] + t * (l[1] + t * (0.5 * l[2] + t * (c3 + t * (c4 + t * c5))));
        let slope = l[1] + t * (l[2] + t * (3.0 * c3 + t * (4.0 * c4 + t * 5.0 * c5)));
        (value, slope / self.step)
    }

    /// Chance that `d`·w < `depth` + `alpha`·Z, summed over Z, and its slope in `d`.
    fn below(&self, depth: f64, alpha: f64, d: f64) -> (f64, f64) {
        let (mut chance, mut slope) = (0.0, 0.0);
        let mut add = |x: f64, weight: f64| {
            let w = (depth + alpha * x) / d;
            let (part, density) = self.at(w);
            chance += weight * part;
            slope -= weight * density * w / d;
        };
        if self.cornered && depth < alpha * REACH {
            for (x, weight) in panels(&self.rule, -depth / alpha, REACH, self.count) {
                add(x, weight * normal_density(x));
            }
        } else {
            for &(x, weight) in &self.normal {
                add(x, weight);
            }
        }
        (chance, slope)
    }

    /// The same chance, summed over w.
    fn tail(&self, depth: f64, alpha: f64, d: f64) -> (f64, f64) {
        let (mut chance, mut slope) = (0.0, 0.0);
        for &(w, weight) in &self.nodes {
            let y = (d * w - depth) / alpha;
            chance += weight * upper_tail(y);
            slope -= weight * w * normal_density(y) / alpha;
        }
        (chance, slope)
    }
}

/// The bounds of one layout, ready for thousands of simulated studies.
///
/// Built by the formula of [`bound`] at Chebyshev points of the angle between the two sums of squares, and read by
/// barycentric interpolation.
#[derive(Clone, Debug)]
pub struct Bounds {
    layout: Layout,
    pooled: f64,
    nodes: Vec<(f64, f64)>,
}

impl Bounds {
    /// Works the pivotal out at `points` places.
    #[must_use]
    pub fn new(layout: Layout, assurance: Assurance, fineness: Fineness, points: usize) -> Self {
        let points = points.max(4);
        let nodes = (0..points)
            .map(|i| {
                let x = (std::f64::consts::PI * i as f64 / (points - 1) as f64).cos();
                let angle = 0.5 * FRAC_PI_2 * (1.0 + x);
                (angle, unit_depth(&layout, angle, assurance, fineness))
            })
            .collect();
        Self { layout, pooled: pooled_factor(&layout, assurance), nodes }
    }

    /// The bound; none when `spread` has another layout.
    #[must_use]
    pub fn bound(&self, spread: &Spread) -> Option<f64> {
        if spread.layout != self.layout {
            return None;
        }
        let (size, angle) = size_and_angle(spread);
        let pivotal = spread.mean - size * self.unit_depth(angle);
        Some(pivotal.min(pooled_bound(spread, self.pooled)))
    }

    fn unit_depth(&self, angle: f64) -> f64 {
        let (mut above, mut below) = (0.0, 0.0);
        let last = self.nodes.len() - 1;
        for (i, &(node, value)) in self.nodes.iter().enumerate() {
            if angle == node {
                return value;
            }
            let half = if i == 0 || i == last { 0.5 } else { 1.0 };
            let sign = if i % 2 == 0 { 1.0 } else { -1.0 };
            let weight = sign * half / (angle - node);
            above += weight * value;
            below += weight;
        }
        above / below
    }
}

#[cfg(test)]
mod tests {
    use super::super::factor::one_sided_factor;
    use super::super::numeric::normal_draw;
    use super::*;
    use proptest::prelude::*;
    use rand::SeedableRng;
    use rand_chacha::ChaCha8Rng;

    const Z95: f64 = 1.644_853_626_951_472_2;

    fn spread(sizes: &[usize], between_squares: f64, within_squares: f64) -> Spread {
        let layout = Layout::of(sizes).unwrap();
        let pooled_squares = within_squares + layout.harmonic() * between_squares;
        Spread {
            layout,
            mean: 0.0,
            between_squares,
            within_squares,
            pooled_mean: 0.0,
            pooled_squares,
        }
    }

    /// Second method: trapezoidal sums over both chi-squares in their logarithms (SciPy 1.17.1 normal tail, steps
    /// 0.05 and 0.03), which agree with each other to the digits given.
    #[test]
    fn depth_agrees_with_a_second_method() {
        for (sizes, between, within, p, g, expected, digits) in [
            (vec![3; 3], 0.09, 0.04, 0.95, 0.95, 1.630_816_300_328_8, 1e-10),
            (vec![5; 2], 0.02, 0.3, 0.95, 0.95, 3.730_914_683_1, 1e-9),
            (vec![2; 10], 0.1, 0.1, 0.95, 0.95, 0.341_747_085_634_489, 1e-10),
            (vec![1, 9], 0.05, 0.2, 0.90, 0.95, 4.605_567_191_430_6, 1e-10),
            (vec![1, 2, 3, 4, 5], 0.2, 0.5, 0.99, 0.90, 1.144_334_240_667_78, 1e-10),
            (vec![5; 5], 0.010_229_2, 0.216_636_6, 0.95, 0.95, 0.283_261_028_830_118, 1e-10),
        ] {
            let assurance = Assurance::new(p, g).unwrap();
            let case = spread(&sizes, between, within);
            let fine = pivotal_depth(&case, assurance, Fineness::Fine);
            assert!((fine / expected - 1.0).abs() < digits, "{sizes:?}: {fine:.13} {expected}");
            let quick = pivotal_depth(&case, assurance, Fineness::Quick);
            assert!((quick / expected - 1.0).abs() < 1e-3, "{sizes:?}: quick {quick} {expected}");
        }
    }

    /// Sections that repeat within each coupon leave one sample of coupon means: the exact factor at n = coupons.
    #[test]
    fn no_scatter_within_is_one_sample_of_coupons() {
        for sizes in [vec![2, 2], vec![5; 2], vec![3; 5], vec![100; 10], vec![1, 40], vec![1, 2, 1]]
        {
            let a = sizes.len();
            let depth = pivotal_depth(&spread(&sizes, 1.0, 0.0), Assurance::USUAL, Fineness::Fine);
            let k = one_sided_factor(a, Assurance::USUAL).unwrap() / ((a - 1) as f64).sqrt();
            assert!((depth / k - 1.0).abs() < 1e-10, "{sizes:?} {depth} {k}");
            for (p, g) in [(0.9999, 0.9999), (0.5, 0.99), (0.99, 0.5), (0.5, 0.9999), (0.9999, 0.9)]
            {
                let assurance = Assurance::new(p, g).unwrap();
                let depth = pivotal_depth(&spread(&sizes, 1.0, 0.0), assurance, Fineness::Fine);
                let k = one_sided_factor(a, assurance).unwrap() / ((a - 1) as f64).sqrt();
                // At the edge of what may be asked, 1000 sections included, a little less.
                assert!((depth / k - 1.0).abs() < 5e-8, "{sizes:?} {p} {g} {depth} {k}");
            }
        }
    }

    /// Coupon means that agree exactly: `T = −z_p·√((1 − 1/n)·S/χ²)`, whose quantile needs the chi-squared one only:
    /// χ²(0.05, 10) = 3.9403 and χ²(0.05, 8) = 2.7326 (printed tables, four decimals).
    #[test]
    fn agreeing_coupons_leave_the_within_chi_squared() {
        for (sizes, keep, chi) in [(vec![2; 10], 0.5_f64, 3.9403_f64), (vec![5; 2], 0.8, 2.7326)] {
            let depth = pivotal_depth(&spread(&sizes, 0.0, 1.0), Assurance::USUAL, Fineness::Fine);
            let expected = Z95 * (keep / chi).sqrt();
            assert!((depth / expected - 1.0).abs() < 1e-5, "{depth} {expected}");
        }
    }

    /// Coupons that agree exactly must not gain by it: the bound is never above the pooled one.
    #[test]
    fn agreeing_coupons_do_not_lift_the_bound_above_the_pooled_one() {
        let coupons = vec![vec![3.0, 3.2, 3.4, 3.6, 3.8], vec![3.8, 3.6, 3.4, 3.2, 3.0]];
        let case = Spread::of(&coupons).unwrap();
        assert_eq!(case.between_variance(), Some(0.0));
        let pooled = super::super::one_sample::Sample::of(&coupons.concat()).unwrap();
        let pooled = pooled.bound(Assurance::USUAL).unwrap();
        let pivotal = case.mean - pivotal_depth(&case, Assurance::USUAL, Fineness::Fine);
        assert!(pivotal > pooled, "the case shows nothing: {pivotal} {pooled}");
        assert!((bound(&case, Assurance::USUAL) - pooled).abs() < 1e-12);
    }

    /// [`NIST_STRD_SIRSTV`](weld::source::NIST_STRD_SIRSTV): certified sums of squares 5.11462616e-2 (between, that
    /// is 5 times ours) and 2.16636560e-1, F 1.18046237440255. Six constant leading digits leave 1e-9.
    #[test]
    fn analysis_of_variance_matches_the_certified_one() {
        let rows = [
            [196.3052, 196.1240, 196.1890, 196.2569, 196.3403],
            [196.3042, 196.3825, 196.1669, 196.3257, 196.0422],
            [196.1303, 196.2005, 196.2889, 196.0343, 196.1811],
            [196.2795, 196.1748, 196.1494, 196.1485, 195.9885],
            [196.2119, 196.1051, 196.1850, 196.0052, 196.2090],
        ];
        let case = Spread::of(&rows.map(Vec::from)).unwrap();
        let f = (5.0 * case.between_squares / 4.0) / (case.within_squares / 20.0);
        assert!((5.0 * case.between_squares - 5.114_626_16e-2).abs() < 5e-11);
        assert!((case.within_squares - 2.166_365_60e-1).abs() < 5e-10);
        assert!((f / 1.180_462_374_402_55 - 1.0).abs() < 1e-9, "{f:.14}");
        assert!(
            (case.pooled_squares - 5.0 * case.between_squares - case.within_squares).abs() < 1e-12
        );
    }

    /// Very many coupons: the variances are as good as known. `k → z_p + z_γ·√(M/a + z_p²·v/4)`, with v the
    /// variance of the estimated total, 2M²/(a − 1) + 2((1 − 1/n)E)²/(N − a). The rest is of order 1/a.
    #[test]
    fn very_many_coupons_reach_the_known_variance_limit() {
        let (a, n, share) = (2000, 3, 0.5);
        let m = share + (1.0 - share) / n as f64;
        let (fb, fw) = ((a - 1) as f64, (a * (n - 1)) as f64);
        let case = spread(&vec![n; a], m * fb, (1.0 - share) * fw);
        let depth = pivotal_depth(&case, Assurance::USUAL, Fineness::Fine);
        let rest = (1.0 - 1.0 / n as f64) * (1.0 - share);
        let v = 2.0 * m * m / fb + 2.0 * rest * rest / fw;
        let limit = Z95 + Z95 * (m / a as f64 + Z95 * Z95 * v / 4.0).sqrt();
        assert!((depth - limit).abs() < 5.0 / a as f64, "{depth} {limit}");
    }

    /// The table that simulations read is the formula that claims use.
    #[test]
    fn table_reads_what_the_formula_gives() {
        let mut rng = ChaCha8Rng::seed_from_u64(3);
        for sizes in [vec![2, 2], vec![5; 5], vec![1, 9], vec![1, 2, 3, 4, 5]] {
            let layout = Layout::of(&sizes).unwrap();
            let table = Bounds::new(layout, Assurance::USUAL, Fineness::Fine, 64);
            for _ in 0..12 {
                let coupons: Vec<Vec<f64>> = sizes
                    .iter()
                    .map(|&n| {
                        let coupon = normal_draw(&mut rng);
                        (0..n).map(|_| coupon + normal_draw(&mut rng)).collect()
                    })
                    .collect();
                let case = Spread::of(&coupons).unwrap();
                let (read, worked) = (table.bound(&case).unwrap(), bound(&case, Assurance::USUAL));
                let off = (read - worked).abs() / (case.mean - worked);
                assert!(off < 1e-4, "{sizes:?} {read} {worked} {off:e}");
            }
            let other = spread(&[7, 7], 1.0, 1.0);
            assert_eq!(table.bound(&other), None);
        }
    }

    /// Coverage of 2000 studies a cell; the bar of 0.945 less 3.5 standard errors of a share of 0.95,
    /// 3.5·√(0.95·0.05/2000) = 0.017, so that chance alone fails one cell in four thousand. The whole table, 20 000
    /// studies a cell: `examples/coverage.rs`.
    #[test]
    fn bound_holds_as_often_as_it_says() {
        let studies = 2000;
        let designs: [&[usize]; 7] =
            [&[2, 2], &[3, 3, 3], &[5; 5], &[2; 10], &[1, 9], &[1, 1, 1, 1, 9], &[1, 2, 3, 4, 5]];
        for (i, sizes) in designs.into_iter().enumerate() {
            let layout = Layout::of(sizes).unwrap();
            let table = Bounds::new(layout, Assurance::USUAL, Fineness::Fine, 64);
            for share in [0.0_f64, 0.5, 0.95] {
                let mut rng = ChaCha8Rng::seed_from_u64(700 + i as u64);
                let held = (0..studies)
                    .filter(|_| {
                        let coupons: Vec<Vec<f64>> = sizes
                            .iter()
                            .map(|&n| {
                                let coupon = share.sqrt() * normal_draw(&mut rng);
                                (0..n)
                                    .map(|_| coupon + (1.0 - share).sqrt() * normal_draw(&mut rng))
                                    .collect()
                            })
                            .collect();
                        table.bound(&Spread::of(&coupons).unwrap()).unwrap() <= -Z95
                    })
                    .count();
                let coverage = held as f64 / studies as f64;
                assert!(coverage > 0.945 - 0.017, "{sizes:?} {share}: {coverage}");
            }
        }
    }

    #[test]
    fn one_coupon_has_no_layout() {
        assert_eq!(Layout::of(&[5]), None);
        assert_eq!(Layout::of(&[5, 0]), None);
        assert_eq!(Spread::of(&[vec![1.0, 2.0]]), None);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]

        /// More scatter between coupons, at the same scatter within, never lifts the bound.
        #[test]
        fn more_scatter_between_coupons_never_lifts_the_bound(
            a in 2_usize..6, n in 2_usize..5, between in 0.0..2.0_f64, further in 0.001..2.0_f64,
        ) {
            let sizes = vec![n; a];
            let at = |b: f64| bound(&spread(&sizes, b, 1.0), Assurance::USUAL);
            prop_assert!(at(between + further) <= at(between) + 1e-9);
        }

        /// A floor under the scatter never lifts the bound.
        #[test]
        fn floor_never_lifts_the_bound(
            a in 2_usize..6, n in 2_usize..5, between in 0.0..1.0_f64, within in 0.0..1.0_f64,
            floor in 0.0..1.0_f64,
        ) {
            let case = spread(&vec![n; a], between, within + 0.01);
            prop_assert!(
                bound(&case.with_floor(floor), Assurance::USUAL) <= bound(&case, Assurance::USUAL) + 1e-9
            );
        }
    }
}
