//! How many more sections or coupons reach a wanted throat, and the chance that they will.
//!
//! ```text
//!   present rows → means and variances that could have made them → further rows → the bound of all rows
//! ```
//!
//! Each simulated future draws the unknown mean and variances from the same pivotal that the bound uses (so that not
//! knowing them is part of the chance), keeps the present values, adds the further sections and works the bound out
//! again by the same formula, shared error included. A further section of a present coupon shares what is known of
//! that coupon. All futures use the same draws for every number tried, so that more is compared with less fairly.
//!
//! The chance of a step is known to ±0.5/√futures or better. Not covered: a setting that changes meanwhile.

use super::factor::one_sided_factor;
use super::numeric::{chi_squared_draw, normal_draw};
use super::one_sample::Sample;
use super::random_effects::{Bounds, Fineness, Layout, Spread, mean};
use super::shared::{Shared, shared_mm};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use weld::claim::{Assurance, More, Reach};

/// What is looked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ask {
    /// The chance that the further work should have.
    pub chance: f64,
    /// Sections to be cut from each further coupon.
    pub sections_per_coupon: usize,
    /// Futures to simulate.
    pub futures: usize,
    /// The most sections to try.
    pub most_sections: usize,
    /// The most coupons to try.
    pub most_coupons: usize,
}

impl Default for Ask {
    fn default() -> Self {
        Self {
            chance: 0.8,
            sections_per_coupon: 3,
            futures: 400,
            most_sections: 200,
            most_coupons: 50,
        }
    }
}

/// The rows as they stand.
#[derive(Clone, Copy, Debug)]
pub struct Present<'a> {
    /// The values of each coupon.
    pub coupons: &'a [Vec<f64>],
    /// What is to be assured.
    pub assurance: Assurance,
    /// Reading noise below which no scatter is believed; 0 when not stated.
    pub floor: f64,
    /// Shared uncertainties.
    pub shared: &'a [Shared],
}

/// One possible truth, and the draws for what it would show.
struct Future {
    mean: f64,
    between: f64,
    within: f64,
    /// Coupon effects of the present coupons.
    effects: Vec<f64>,
    /// Standard normals for further sections of present coupons.
    sections: Vec<f64>,
    /// Standard normals for further coupons, `1 + m` each.
    coupons: Vec<f64>,
}

/// Works out what more would bring; none when there are fewer than two values.
#[must_use]
pub fn more(present: Present<'_>, need_mm: f64, ask: Ask, seed: u64) -> Option<More> {
    let coupons = present.coupons;
    let single = coupons.len() == 1;
    let lone = !single && coupons.iter().all(|values| values.len() == 1);
    let per_coupon = if lone { 1 } else { ask.sections_per_coupon.clamp(1, 100) };
    let most_sections = ask.most_sections.clamp(10, 1000);
    let most_coupons = ask.most_coupons.clamp(1, 1000);
    let futures: Vec<Future> = (0..ask.futures.clamp(1, 10_000))
        .map(|i| {
            let mut rng = ChaCha8Rng::seed_from_u64(seed);
            rng.set_stream(i as u64 + 1);
            let mut future =
                if single || lone { alike(present, &mut rng) } else { layered(present, &mut rng) }?;
            future.sections = (0..most_sections).map(|_| normal_draw(&mut rng)).collect();
            let numbers = most_coupons * (1 + per_coupon);
            future.coupons = (0..numbers).map(|_| normal_draw(&mut rng)).collect();
            Some(future)
        })
        .collect::<Option<_>>()?;

    let after_sections = |more: usize| {
        let targets = filled(coupons, more);
        bounds(present, &futures, |future| {
            let mut values = coupons.to_vec();
            for (&target, z) in targets.iter().zip(&future.sections) {
                values[target].push(future.mean + future.effects[target] + future.within * z);
            }
            values
        })
    };
    let after_coupons = |more: usize| {
        bounds(present, &futures, |future| {
            let further = future.coupons.chunks(1 + per_coupon).take(more).map(|draws| {
                let middle = future.mean + future.between * draws[0];
                draws[1..].iter().map(|z| middle + future.within * z).collect()
            });
            coupons.iter().cloned().chain(further).collect()
        })
    };

    let reach = |after: &dyn Fn(usize) -> Vec<f64>, most: usize| {
        let chance = |more: usize| {
            let bounds = after(more);
            bounds.iter().filter(|&&bound| bound >= need_mm).count() as f64 / bounds.len() as f64
        };
        least(ask.chance, most, chance)
    };
    let (sections, ten) = if lone {
        (
            Reach::NotTold {
                why: "one section a coupon does not tell the scatter within a coupon",
            },
            None,
        )
    } else {
        (reach(&after_sections, most_sections), Some(median(after_sections(10))))
    };
    let (further, one) = if single {
        (Reach::NotTold { why: "one coupon does not tell the scatter between coupons" }, None)
    } else {
        (reach(&after_coupons, most_coupons), Some(median(after_coupons(1))))
    };
    Some(More {
        aimed_chance: ask.chance,
        sections,
        coupons: further,
        sections_per_coupon: per_coupon,
        after_ten_sections_mm: ten,
        after_one_coupon_mm: one,
        futures: futures.len(),
    })
}

/// A possible truth behind independent values: one coupon's sections, or one section a coupon.
fn alike(present: Present<'_>, rng: &mut ChaCha8Rng) -> Option<Future> {
    let sample = Sample::of(&present.coupons.concat())?.with_floor(present.floor);
    let freedom = sample.sections - 1;
    let sigma = sample.s * (freedom as f64 / chi_squared_draw(rng, freedom)).sqrt();
    let mean = sample.mean + normal_draw(rng) * sigma / (sample.sections as f64).sqrt();
    Some(Future {
        mean,
        between: 0.0,
        within: sigma,
        effects: vec![0.0; present.coupons.len()],
        sections: Vec::new(),
        coupons: Vec::new(),
    })
}

/// A possible truth behind several sections of several coupons.
fn layered(present: Present<'_>, rng: &mut ChaCha8Rng) -> Option<Future> {
    let spread = Spread::of(present.coupons)?.with_floor(present.floor);
    let layout = spread.layout;
    let (a, n) = (layout.coupons(), layout.harmonic());
    let within = spread.within_squares / chi_squared_draw(rng, layout.freedom_within());
    let of_means = (spread.between_squares / chi_squared_draw(rng, a - 1)).max(within / n);
    let between = of_means - within / n;
    let grand = spread.mean + normal_draw(rng) * (of_means / a as f64).sqrt();
    let effects = present
        .coupons
        .iter()
        .map(|values| {
            let trust = between / (between + within / values.len() as f64);
            let trust = if trust.is_finite() { trust } else { 0.0 };
            let left = (between * (1.0 - trust)).max(0.0).sqrt();
            trust * (mean(values) - grand) + left * normal_draw(rng)
        })
        .collect();
    Some(Future {
        mean: grand,
        between: between.sqrt(),
        within: within.sqrt(),
        effects,
        sections: Vec::new(),
        coupons: Vec::new(),
    })
}

/// Which coupon each further section is cut from: always the one with the fewest.
fn filled(coupons: &[Vec<f64>], more: usize) -> Vec<usize> {
    let mut sizes: Vec<usize> = coupons.iter().map(Vec::len).collect();
    (0..more)
        .map(|_| {
            let target = (0..sizes.len()).min_by_key(|&i| sizes[i]).unwrap_or(0);
            sizes[target] += 1;
            target
        })
        .collect()
}

/// The claim in each future.
fn bounds(
    present: Present<'_>,
    futures: &[Future],
    values: impl Fn(&Future) -> Vec<Vec<f64>>,
) -> Vec<f64> {
    let mut table = None;
    let mut factor = None;
    futures
        .iter()
        .map(|future| {
            let coupons = values(future);
            let independent = coupons.len() == 1 || coupons.iter().all(|values| values.len() == 1);
            let bound = if independent {
                Sample::of(&coupons.concat()).and_then(|sample| {
                    let k = *factor.get_or_insert_with(|| {
                        one_sided_factor(sample.sections, present.assurance)
                    });
                    Some(sample.mean - k? * sample.s.max(present.floor))
                })
            } else {
                Spread::of(&coupons).and_then(|spread| {
                    let table =
                        table.get_or_insert_with(|| ready(spread.layout, present.assurance));
                    table.bound(&spread.with_floor(present.floor))
                })
            };
            let bound = bound.unwrap_or(f64::NEG_INFINITY);
            bound - shared_mm(present.shared, bound, present.assurance).unwrap_or(0.0)
        })
        .collect()
}

fn ready(layout: Layout, assurance: Assurance) -> Bounds {
    Bounds::new(layout, assurance, Fineness::Quick, 24)
}

/// The least number with the wanted chance, by doubling and halving.
fn least(wanted: f64, most: usize, chance: impl Fn(usize) -> f64) -> Reach {
    let (mut short, mut enough) = (0, 1);
    let mut there = chance(enough);
    while there < wanted && enough < most {
        short = enough;
        enough = (2 * enough).min(most);
        there = chance(enough);
    }
    if there < wanted {
        return Reach::NotWith { tried: enough, chance: there };
    }
    while enough - short > 1 {
        let middle = (short + enough) / 2;
        let here = chance(middle);
        if here >= wanted {
            (enough, there) = (middle, here);
        } else {
            short = middle;
        }
    }
    Reach::With { more: enough, chance: there }
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(f64::NEG_INFINITY)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tolerance::random_effects;

    fn present(coupons: &[Vec<f64>]) -> Present<'_> {
        Present { coupons, assurance: Assurance::USUAL, floor: 0.0, shared: &[] }
    }

    fn now(coupons: &[Vec<f64>]) -> f64 {
        random_effects::bound(&Spread::of(coupons).unwrap(), Assurance::USUAL)
    }

    /// Two coupons that differ: k is 26 between them, and a third takes it to 8. No number of sections does that. Not
    /// knowing how much coupons differ, twenty at most should do for half the mean.
    #[test]
    fn third_coupon_beats_ten_sections() {
        let coupons = vec![vec![3.90, 3.95, 4.00], vec![4.20, 4.25, 4.15]];
        let found = more(present(&coupons), 2.0, Ask::default(), 1).unwrap();
        assert_eq!(found.one_coupon_beats_ten_sections(), Some(true));
        assert!(found.after_one_coupon_mm.unwrap() > now(&coupons));
        assert!(
            matches!(found.sections, Reach::NotWith { tried: 200, chance } if chance < 0.8),
            "{found:?}"
        );
        assert!(
            matches!(found.coupons, Reach::With { more, chance } if more <= 20 && chance >= 0.8),
            "{found:?}"
        );
    }

    /// One coupon of 4 with mean 4 and s 0.091. To claim 3.6 needs k ≤ 4.4, which 5 sections have (4.20); not knowing
    /// the truth asks for some more.
    #[test]
    fn one_coupon_asks_for_sections_only() {
        let coupons = vec![vec![3.9, 4.1, 3.95, 4.05]];
        let found = more(present(&coupons), 3.6, Ask::default(), 1).unwrap();
        assert!(matches!(found.coupons, Reach::NotTold { .. }));
        assert_eq!(found.one_coupon_beats_ten_sections(), None);
        let Reach::With { more, chance } = found.sections else { panic!("{found:?}") };
        assert!((1..=60).contains(&more) && chance >= 0.8, "{found:?}");
    }

    #[test]
    fn one_section_a_coupon_asks_for_coupons_only() {
        let coupons = vec![vec![3.9], vec![4.1], vec![3.95], vec![4.05]];
        let found = more(present(&coupons), 3.6, Ask::default(), 1).unwrap();
        assert!(matches!(found.sections, Reach::NotTold { .. }));
        assert_eq!(found.sections_per_coupon, 1);
        assert!(matches!(found.coupons, Reach::With { .. }), "{found:?}");
    }

    /// A need above the wanted quantile itself is never reached.
    #[test]
    fn hopeless_need_stays_hopeless() {
        let coupons = vec![vec![3.9, 4.1, 4.0], vec![4.0, 4.2, 3.8], vec![4.1, 3.9, 4.0]];
        let found = more(present(&coupons), 4.2, Ask::default(), 1).unwrap();
        assert!(
            matches!(found.sections, Reach::NotWith { chance, .. } if chance < 0.2),
            "{found:?}"
        );
        assert!(
            matches!(found.coupons, Reach::NotWith { chance, .. } if chance < 0.2),
            "{found:?}"
        );
    }

    /// The same seed, the same answer; another seed, nearly the same chance (each known to ±0.025, so within 0.1).
    #[test]
    fn seed_fixes_the_answer() {
        let coupons = vec![vec![3.9, 4.1, 4.0], vec![4.0, 4.2, 3.9], vec![4.1, 3.9, 4.0]];
        let ask = Ask { most_coupons: 3, chance: 0.99, ..Ask::default() };
        let chance = |seed| match more(present(&coupons), 3.2, ask, seed).unwrap().coupons {
            Reach::With { chance, .. } | Reach::NotWith { chance, .. } => chance,
            told => panic!("{told:?}"),
        };
        assert_eq!(chance(7).to_bits(), chance(7).to_bits());
        assert!((chance(7) - chance(8)).abs() < 0.1);
    }

    #[test]
    fn one_value_has_no_future() {
        assert_eq!(more(present(&[vec![4.0]]), 3.0, Ask::default(), 1), None);
    }
}
