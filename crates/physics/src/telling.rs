//! Which coupons tell most about a gun, before any is welded.
//!
//! Own coupons correct two numbers: the overall scale of the depth, and the share of the wobble's own heat that helps; a
//! third, the spot's real size, is at the noise with three coupons, so none is chosen for it. A coupon's depth answers to
//! the two by `J = [1, d ln h / d ln heat]`. What is known of them after some coupons is `P = P0 + Σ JᵀJ / σ²`, and the
//! depth of another setting is then known to `J P⁻¹ Jᵀ`. The coupons that tell most make the mean of that over the gun's
//! settings least. The first choice is always one of them: it is what will be welded.
//! How far three coupons take a band is not worked out here: on the open tables three of one gun left depths off by 18 %
//! (rms out of sample), which two numbers alone would promise to beat.
//!
//! Before any coupon the two are known to 0.35 each (standard deviation of the logarithm), a coupon's depth to 0.10.
//! Source: [`SEAMPROOF_KEYHOLE`](weld::source::SEAMPROOF_KEYHOLE), section 4.
//! Not covered: what the two numbers do not carry; scatter by hand, which coupons of the same setting tell.

use crate::keyhole::Resolution;
use crate::melt::{Calibration, Mode, Tier, melt};
use crate::predict::{Expected, PredictError, expected, predict};
use crate::search::Gun;
use crate::setting::{Laser, Work};
use crate::wobble::{Pattern, Wobble};
use weld::quantity::{Frequency, Length, Speed};

/// Standard deviations of the logarithms of scale and wobble heat before own coupons.
const KNOWN: [f64; 2] = [0.35, 0.35];
/// Standard deviation of the logarithm of one coupon's depth.
const ONE_COUPON: f64 = 0.10;

/// A coupon to weld.
#[derive(Clone, Debug, PartialEq)]
pub struct Telling {
    /// Its setting.
    pub laser: Laser,
    /// What to expect of it.
    pub said: Expected,
    /// What it tells.
    pub tells: &'static str,
}

type Row = [f64; 2];
type Known = [[f64; 2]; 2];

/// What one more coupon makes of what is known: the covariance, updated by its row.
fn told(known: &Known, row: &Row) -> Known {
    let carried: Row = std::array::from_fn(|i| (0..2).map(|k| known[i][k] * row[k]).sum());
    let spread = ONE_COUPON * ONE_COUPON + (0..2).map(|i| row[i] * carried[i]).sum::<f64>();
    std::array::from_fn(|i| std::array::from_fn(|j| known[i][j] - carried[i] * carried[j] / spread))
}

fn variance(known: &Known, row: &Row) -> f64 {
    (0..2).map(|i| (0..2).map(|j| row[i] * known[i][j] * row[j]).sum::<f64>()).sum()
}

fn mean_variance(known: &Known, rows: &[Row]) -> f64 {
    rows.iter().map(|row| variance(known, row)).sum::<f64>() / rows.len().max(1) as f64
}

fn before() -> Known {
    std::array::from_fn(|i| std::array::from_fn(|j| if i == j { KNOWN[i] * KNOWN[i] } else { 0.0 }))
}

/// The two of the rows that, beside the first, tell most about all. Of pairs that tell as much (straight welds all answer
/// alike) the one that lies farthest apart, where a third number would show.
fn best_two(first: &Row, rows: &[Row], apart: impl Fn(usize, usize) -> f64) -> Option<[usize; 2]> {
    let known = told(&before(), first);
    let mut best: Option<(f64, f64, [usize; 2])> = None;
    for i in 0..rows.len() {
        let one = told(&known, &rows[i]);
        for j in i + 1..rows.len() {
            let left = mean_variance(&told(&one, &rows[j]), rows);
            let far = apart(i, j);
            let better = best.is_none_or(|(least, most, _)| {
                left < least * (1.0 - 1e-9) || (left <= least * (1.0 + 1e-9) && far > most)
            });
            if better {
                best = Some((left, far, [i, j]));
            }
        }
    }
    best.map(|(.., pair)| pair)
}

/// How a setting's depth answers to the two numbers; none where it makes no keyhole of its own depth, or has no band.
fn row(laser: &Laser, work: &Work) -> Option<Row> {
    let tier = Tier::Keyhole(Resolution::INTERACTIVE);
    let depth = |calibration| {
        let melt = melt(laser, work, tier, calibration).ok()?;
        (melt.mode == Mode::Keyhole && melt.reach > 0.0).then_some(melt.reach.ln())
    };
    let said = expected(laser, work, tier, Calibration::NONE).ok()?;
    // A keyhole that comes out below shows no depth, a beam that misses the corner no weld, and a band is what is to be
    // narrowed.
    if said.melt.through || said.melt.band.factor().is_none() || said.middle.reading.is_none() {
        return None;
    }
    // Wire for a wide pool would be stubbed into a narrow one.
    if said.limits.iter().any(|l| l.what == "overlap") {
        return None;
    }
    let step = 0.05_f64;
    let with = |wobble_heat| depth(Calibration { wobble_heat, ..Calibration::NONE });
    Some([1.0, (with(step.exp())? - with((-step).exp())?) / (2.0 * step)])
}

/// Settings of the gun that a coupon may have: with the torch, aim and wire of the first choice (where the wire's metal does
/// not fit, its coupon goes without).
fn candidates(first: &Laser, gun: &Gun) -> Vec<Laser> {
    let mut out = Vec::new();
    for share in [0.5, 0.75, 1.0] {
        for travel in [4.0, 6.0, 8.0, 12.0, 16.0, 20.0] {
            for (width, rate) in [(0.0, 0.0), (1.0, 30.0), (2.0, 50.0), (3.0, 80.0)] {
                if width > gun.widest.mm() {
                    continue;
                }
                let wobble = (width > 0.0).then(|| Wobble {
                    pattern: first.wobble.map_or(Pattern::Line, |w| w.pattern),
                    width: Length::from_mm(width),
                    frequency: Frequency::from_hz(rate),
                });
                let beam = crate::beam::Beam { power: gun.power * share, ..first.beam };
                let travel = Speed::from_mm_per_s(travel);
                out.push(Laser { beam, travel, wobble, ..*first });
            }
        }
    }
    out.retain(|laser| laser != first);
    out
}

/// The three coupons that tell most about a gun on a joint: the first choice, and the two that go with it best. None where
/// the first choice has no band to be narrowed.
///
/// # Errors
///
/// When a figure of the first choice cannot be.
pub fn most_telling(first: &Laser, gun: &Gun, work: &Work) -> Result<Vec<Telling>, PredictError> {
    let Some(own) = row(first, work) else { return Ok(Vec::new()) };
    let (lasers, rows): (Vec<Laser>, Vec<Row>) = candidates(first, gun)
        .into_iter()
        .filter_map(|laser| {
            let bare = Laser { wire: None, ..laser };
            [laser, bare].into_iter().find_map(|laser| Some((laser, row(&laser, work)?)))
        })
        .unzip();
    let apart = |i: usize, j: usize| {
        let (a, b) = (&lasers[i], &lasers[j]);
        (a.travel / b.travel).ln().abs() + (a.beam.power / b.beam.power).ln().abs()
    };
    let Some([i, j]) = best_two(&own, &rows, apart) else { return Ok(Vec::new()) };
    let tier = Tier::Keyhole(Resolution::REPORT);
    [*first, lasers[i], lasers[j]]
        .into_iter()
        .enumerate()
        .map(|(n, laser)| {
            let tells = match (n, laser.wobble.is_some()) {
                (0, _) => "what the first choice gives",
                (_, true) => "how much of the wobble's own heat helps",
                (_, false) => "how deep this gun goes at all, without its wobble's own heat",
            };
            Ok(Telling { said: predict(&laser, work, tier, Calibration::NONE)?, laser, tells })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::beam::Beam;
    use crate::metal::Metal;
    use crate::setting::Plates;
    use proptest::prelude::*;
    use weld::quantity::{Angle, Power, Temperature};

    /// By hand, one number alone: a coupon known to σ takes a variance V to Vσ²/(V + σ²).
    #[test]
    fn one_coupon_on_one_number() {
        let known = told(&before(), &[1.0, 0.0]);
        let (v, s) = (0.35_f64.powi(2), 0.10_f64.powi(2));
        assert!((known[0][0] - v * s / (v + s)).abs() < 1e-15);
        // What it does not answer to stays as it was.
        assert_eq!(known[1][1], 0.35 * 0.35);
    }

    /// By brute force and another formula: of all pairs beside the first choice none tells more about the gun's settings. One
    /// is straight, as physics-keyhole.md, section 4, found with nine numbers.
    #[test]
    fn one_is_straight_and_one_swings() {
        let work = Work {
            metal: Metal::CarbonSteel,
            temperature: Temperature::from_deg_c(20.0),
            joint: Plates::Bead { thickness: Length::from_mm(12.0) },
        };
        let first = Laser {
            beam: Beam {
                power: Power::from_w(1500.0),
                spot: Length::from_um(120.0),
                m2: 3.0,
                wavelength: Length::from_nm(1070.0),
                focus: Length::ZERO,
            },
            travel: Speed::from_mm_per_s(8.0),
            wobble: Some(Wobble {
                pattern: Pattern::Line,
                width: Length::from_mm(2.0),
                frequency: Frequency::from_hz(50.0),
            }),
            torch_angle: Angle::from_deg(90.0),
            aim: Length::ZERO,
            wire: None,
        };
        let most = most_telling(&first, &Gun::common(), &work).unwrap();
        assert_eq!(most.len(), 3);
        assert_eq!(most[0].laser, first);
        assert!(most.iter().any(|c| c.laser.wobble.is_none()));
        let rows: Vec<Row> = candidates(&first, &Gun::common())
            .iter()
            .filter_map(|laser| row(laser, &work))
            .collect();
        let left = |all: [&Row; 3]| {
            let sum = |i: usize, j: usize| {
                let prior = if i == j { 1.0 / (KNOWN[i] * KNOWN[i]) } else { 0.0 };
                prior + all.iter().map(|r| r[i] * r[j]).sum::<f64>() / (ONE_COUPON * ONE_COUPON)
            };
            let (a, b, d) = (sum(0, 0), sum(0, 1), sum(1, 1));
            let of = |r: &Row| {
                (d * r[0] * r[0] - 2.0 * b * r[0] * r[1] + a * r[1] * r[1]) / (a * d - b * b)
            };
            rows.iter().map(of).sum::<f64>() / rows.len() as f64
        };
        let chosen: Vec<Row> = most.iter().map(|c| row(&c.laser, &work).unwrap()).collect();
        let best = left([&chosen[0], &chosen[1], &chosen[2]]);
        assert!(rows.len() > 20, "{}", rows.len());
        for (i, one) in rows.iter().enumerate() {
            for two in &rows[i + 1..] {
                assert!(left([&chosen[0], one, two]) >= best * (1.0 - 1e-8));
            }
        }
        for c in &most {
            assert!(c.said.ends.is_some() && !c.said.melt.through);
        }
    }

    proptest! {
        /// By the other way: the information of three coupons added up and inverted is what updating one by one gives, in any
        /// order; and no coupon ever makes less known.
        #[test]
        fn one_by_one_is_all_at_once(heat in proptest::array::uniform3(-1.0..1.0_f64)) {
            let rows = heat.map(|h| [1.0, h]);
            let known = rows.iter().fold(before(), |k, r| told(&k, r));
            let back = rows.iter().rev().fold(before(), |k, r| told(&k, r));
            let sum = |i: usize, j: usize| {
                let prior = if i == j { 1.0 / (KNOWN[i] * KNOWN[i]) } else { 0.0 };
                prior + rows.iter().map(|r| r[i] * r[j]).sum::<f64>() / (ONE_COUPON * ONE_COUPON)
            };
            let (a, b, d) = (sum(0, 0), sum(0, 1), sum(1, 1));
            let det = a * d - b * b;
            let inverse = [[d / det, -b / det], [-b / det, a / det]];
            for i in 0..2 {
                for j in 0..2 {
                    prop_assert!((known[i][j] - inverse[i][j]).abs() < 1e-9);
                    prop_assert!((known[i][j] - back[i][j]).abs() < 1e-9);
                }
                prop_assert!(known[i][i] <= KNOWN[i] * KNOWN[i] + 1e-12);
            }
        }
    }
}
