//! How much throat may be claimed from a handful of sections.
//!
//! ```text
//!   rows → sections of coupons, side by side        rows
//!        → mean and scatter → bound                 one_sample, random_effects, nonparametric
//!        → is the scatter normal?                   normality
//!        → less the error that all readings share   shared
//!        → against the need → verdict               here
//!        → else: how many more?                     more
//! ```
//!
//! A claim is a lower one-sided tolerance bound: with confidence γ at least a share p of all sections has a throat of
//! the bound or more. Which bound:
//!
//! | sections | bound |
//! |---|---|
//! | of one coupon | [`one_sample`]; speaks for that coupon, not for the procedure |
//! | one of each of several coupons | [`one_sample`] over coupons |
//! | several of several coupons | [`random_effects`] |
//! | normality rejected, and enough independent values | [`nonparametric`] |
//! | normality rejected, too few | the normal bound is shown, but nothing is met by it |
//!
//! The mean and s of a [`Claim`] are those of its method: plain for independent sections; for several coupons the
//! unweighted mean of the coupon means, and s = √(between² + within²), the between part from the scatter of coupon
//! means less within²/ñ (0 when that is negative), with ñ the harmonic mean of the sections per coupon.
//!
//! Sections that agree more closely than they can be read are given the reading's own scatter. A non-parametric bound
//! is never put above the mean either.
//!
//! Sources: [`ISO_16269_6`](weld::source::ISO_16269_6),
//! [`KRISHNAMOORTHY_MATHEW_2004`](weld::source::KRISHNAMOORTHY_MATHEW_2004),
//! [`WILKS_1941`](weld::source::WILKS_1941).
//!
//! Not covered: repeated load; a procedure whose setting moved while the coupons were welded.

pub mod factor;
pub mod more;
pub mod nonparametric;
pub mod normality;
mod numeric;
pub mod one_sample;
pub mod random_effects;
pub mod rows;
pub mod shared;

use more::{Ask, Present};
use one_sample::Sample;
use random_effects::Spread;
use rows::{Row, RowFault, Section, Side, Sides, Unsorted};
use shared::Shared;
use weld::claim::{
    Assurance, Claim, Method, Normality, Population, Ranked, SideBound, Verdict, printed_bound,
    printed_pair,
};
use weld::quantity::Length;
use weld::quantity::show::{Rounding, UnitSystem, against, show};

/// What is asked of the rows.
#[derive(Clone, Debug, PartialEq)]
pub struct Options {
    /// What is to be assured.
    pub assurance: Assurance,
    /// What is claimed, in the trade's words: 'throat', 'leg on the base'.
    pub what: String,
    /// The throat needed; none for the bound alone.
    pub need_mm: Option<f64>,
    /// How the sides of a weld are brought together.
    pub sides: Sides,
    /// Which shape of scatter to go by.
    pub scatter: Scatter,
    /// What the claim speaks for.
    pub population: Population,
    /// Whether the coupons were welded after the setting was frozen; none when not stated.
    pub setting_was_frozen: Option<bool>,
    /// Whether to work out how many more would help, when the need is not met.
    pub more: Option<Ask>,
    /// Seed of that simulation. Nothing else is random.
    pub seed: u64,
    /// Units of the sentence; inches have the millimetres beside them.
    pub units: UnitSystem,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            assurance: Assurance::USUAL,
            what: "throat".to_owned(),
            need_mm: None,
            sides: Sides::Apart,
            scatter: Scatter::Judge,
            population: Population::default(),
            setting_was_frozen: None,
            more: None,
            seed: 0,
            units: UnitSystem::Metric,
        }
    }
}

/// Which shape of scatter a bound may lean on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Scatter {
    /// Normal, unless the values contradict it.
    #[default]
    Judge,
    /// None: the non-parametric bound, whatever the values look like.
    AnyShape,
}

/// Why there is no claim at all.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ClaimError {
    /// Rows that cannot be taken as they are.
    #[error("{}", listed(faults))]
    Rows {
        /// Every fault found, by row.
        faults: Vec<RowFault>,
    },
    /// Blank values without a recorded reason.
    #[error(
        "cannot claim: {} without a value and without a reason: {}",
        counted_rows(rows),
        numbers(rows)
    )]
    Blank {
        /// The rows, counted from 1.
        rows: Vec<usize>,
    },
    /// Too few sections to show any scatter.
    #[error("cannot claim: {have} section(s){} say nothing about scatter", of_side(side.as_deref()))]
    TooFew {
        /// Sections with a value.
        have: usize,
        /// The side, where sides are bounded apart.
        side: Option<String>,
    },
    /// All readings the same, and no reading uncertainty to put in the place of scatter.
    #[error("cannot claim: the {sections} readings{} are all equal to the digit ({value_mm} mm)", of_side(side.as_deref()))]
    AllEqual {
        /// The value.
        value_mm: f64,
        /// Sections with it.
        sections: usize,
        /// The side, where sides are bounded apart.
        side: Option<String>,
    },
    /// The non-parametric bound was asked for, and there are too few independent values.
    #[error(
        "cannot claim without a shape of scatter: {have} independent values, {need} are needed"
    )]
    TooFewForAnyShape {
        /// Independent values: sections of one coupon, or coupons.
        have: usize,
        /// Needed.
        need: usize,
    },
    /// A need that no joint has.
    #[error("{need_mm} mm is no needed throat")]
    NoNeed {
        /// As given.
        need_mm: f64,
    },
    /// A wanted chance outside 0 to 1.
    #[error("a chance of {chance} is not between 0 and 1")]
    NoChance {
        /// As given.
        chance: f64,
    },
}

impl ClaimError {
    /// What to do next.
    #[must_use]
    pub fn advice(&self) -> &'static str {
        match self {
            Self::Rows { faults } => {
                faults.first().map_or("look at the rows again", |fault| fault.fault.advice())
            }
            Self::Blank { .. } => {
                "enter the value, or record a reason: cut lost, etch failed, planned exclusion"
            }
            Self::TooFew { .. } => {
                "cut at least 2, better 5 coupons of 3 sections; repeats of one section do not count"
            }
            Self::AllEqual { .. } => {
                "read to one more digit, or give the reading's standard uncertainty: it then stands for the scatter"
            }
            Self::TooFewForAnyShape { .. } => {
                "cut more coupons, or go by normal scatter where it is not contradicted"
            }
            Self::NoNeed { .. } => "give the needed throat in mm, above zero",
            Self::NoChance { .. } => "ask for a chance such as 0.8",
        }
    }

    /// Whether this is an answer of no rather than bad input.
    #[must_use]
    pub const fn is_answer_no(&self) -> bool {
        matches!(
            self,
            Self::Blank { .. }
                | Self::TooFew { .. }
                | Self::AllEqual { .. }
                | Self::TooFewForAnyShape { .. }
        )
    }
}

fn listed(faults: &[RowFault]) -> String {
    faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")
}

fn counted_rows(rows: &[usize]) -> String {
    if rows.len() == 1 { "1 row".to_owned() } else { format!("{} rows", rows.len()) }
}

fn numbers(rows: &[usize]) -> String {
    rows.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
}

fn of_side(side: Option<&str>) -> String {
    side.map_or_else(String::new, |side| format!(" of the {side} side"))
}

/// Works out what `rows` allow us to claim.
///
/// # Errors
///
/// Fails on rows that cannot be taken as they are, on blanks without a reason, and where nothing shows scatter.
pub fn claim(rows: &[Row], options: &Options) -> Result<Claim, ClaimError> {
    if let Some(need_mm) = options.need_mm
        && !(need_mm.is_finite() && need_mm > 0.0)
    {
        return Err(ClaimError::NoNeed { need_mm });
    }
    if let Some(Ask { chance, .. }) = options.more
        && !(chance > 0.0 && chance < 1.0)
    {
        return Err(ClaimError::NoChance { chance });
    }
    let sorted = rows::sort(rows, options.sides).map_err(|unsorted| match unsorted {
        Unsorted::Faults(faults) => ClaimError::Rows { faults },
        Unsorted::Blanks(rows) => ClaimError::Blank { rows },
    })?;
    let bounds: Vec<Bounded> =
        sorted.sides.iter().map(|side| Bounded::of(side, options)).collect::<Result<_, _>>()?;
    let doubted = bounds.iter().find_map(|side| side.settled_by);
    let sides = side_bounds(&bounds);
    let mut remarks = sorted.remarks;
    let Some(least) = bounds.into_iter().reduce(|a, b| if b.claimed < a.claimed { b } else { a })
    else {
        return Err(ClaimError::TooFew { have: 0, side: None });
    };
    remarks.extend(least.remarks.iter().cloned());
    if let (Some(name), true) = (&least.name, sides.len() > 1) {
        remarks.push(format!(
            "sides bounded apart; the figures are those of the {name} side, the lowest"
        ));
    }
    match options.setting_was_frozen {
        None => remarks.push(
            "not stated whether the setting was frozen before these coupons were welded".to_owned(),
        ),
        Some(false) => {
            remarks.push("these sections chose the setting and cannot claim it".to_owned())
        }
        Some(true) => {}
    }
    let (verdict, sentence) = verdict(&least, doubted, options);
    let more = match (options.need_mm, options.more) {
        (Some(need_mm), Some(ask))
            if !verdict.holds() && !matches!(least.method, Method::OrderStatistic { .. }) =>
        {
            let present = Present {
                coupons: &least.coupons,
                assurance: options.assurance,
                floor: least.floor,
                shared: &least.stated,
            };
            more::more(present, need_mm, ask, options.seed)
        }
        _ => None,
    };
    Ok(Claim {
        assurance: options.assurance,
        need_mm: options.need_mm,
        bound_mm: least.claimed,
        statistical_bound_mm: least.statistical,
        shared_mm: least.statistical - least.claimed,
        shared_u: least.shared_u,
        k: (least.mean - least.statistical) / least.s,
        sections: least.coupons.iter().map(Vec::len).sum(),
        coupons: least.coupons.len(),
        mean_mm: least.mean,
        s_mm: least.s,
        within_mm: least.within,
        between_mm: least.between,
        method: least.method,
        verdict,
        sentence,
        population: options.population.clone(),
        normality: least.normality,
        left_out: sorted.left_out,
        repeatability: sorted.repeatability,
        sides,
        more,
        remarks,
    })
}

/// One side with its bound.
struct Bounded {
    name: Option<String>,
    coupon: Option<String>,
    coupons: Vec<Vec<f64>>,
    mean: f64,
    s: f64,
    within: Option<f64>,
    between: Option<f64>,
    floor: f64,
    method: Method,
    normality: Normality,
    statistical: f64,
    claimed: f64,
    shared_u: Option<f64>,
    stated: Vec<Shared>,
    /// Independent values that would settle a doubt about the normal bound, and what they are.
    settled_by: Option<(usize, Ranked)>,
    remarks: Vec<String>,
}

impl Bounded {
    fn of(side: &Side, options: &Options) -> Result<Self, ClaimError> {
        let coupons = side.coupons();
        let values: Vec<f64> = side.sections.iter().map(|section| section.value_mm).collect();
        let name = side.name.clone();
        let Some(sample) = Sample::of(&values) else {
            return Err(ClaimError::TooFew { have: values.len(), side: name });
        };
        let mut remarks = Vec::new();
        let floor = reading_noise(&side.sections);
        if floor == 0.0 && values.iter().all(|value| *value == values[0]) {
            let (value_mm, sections) = (values[0], values.len());
            return Err(ClaimError::AllEqual { value_mm, sections, side: name });
        }

        let assurance = options.assurance;
        let single = coupons.len() == 1;
        let layered = if single { None } else { Spread::of(&coupons) };
        let layered = layered.filter(|spread| spread.layout.freedom_within() > 0);
        let (mean, seen, s, within, between, normal, normal_method) = match layered {
            None => {
                let floored = sample.with_floor(floor);
                let bound = floored.bound(assurance).unwrap_or(f64::NEG_INFINITY);
                let within = single.then_some(floored.s);
                let method =
                    if single { Method::WithinOneCoupon } else { Method::OneSectionPerCoupon };
                (sample.mean, sample.s, floored.s, within, None, bound, method)
            }
            Some(spread) => {
                let floored = spread.with_floor(floor);
                let root = |variance: Option<f64>| variance.map(f64::sqrt);
                (
                    spread.mean,
                    spread.total_variance().sqrt(),
                    floored.total_variance().sqrt(),
                    root(floored.within_variance()),
                    root(floored.between_variance()),
                    random_effects::bound(&floored, assurance),
                    Method::RandomEffects,
                )
            }
        };
        if s > seen * (1.0 + 1e-12) {
            remarks.push(if layered.is_none() {
                format!(
                    "the sections agree more closely (s {seen:.3} mm) than they were read ({floor:.3} mm): \
                     the reading's own scatter was taken"
                )
            } else {
                format!(
                    "within coupons, or between them, the sections agree more closely than they were read \
                     ({floor:.3} mm): the reading's own scatter was taken, and s is {s:.3} instead of {seen:.3} mm"
                )
            });
        }

        let unfused = values.iter().filter(|value| **value == 0.0).count();
        if unfused > 0 {
            remarks.push(format!(
                "{unfused} of {} sections show no fusion (0 mm): find out why before leaning on a bound",
                values.len()
            ));
        }
        if layered.is_some_and(|spread| spread.within_squares == 0.0) {
            remarks.push(
                "the sections of each coupon are equal to the digit: were they read apart?"
                    .to_owned(),
            );
        }

        let normality = normality::check(&coupons);
        let (ranked, independent) = if single {
            (Ranked::Sections, values.clone())
        } else {
            let lowest = |values: &Vec<f64>| values.iter().copied().fold(f64::INFINITY, f64::min);
            (Ranked::CouponMinima, coupons.iter().map(lowest).collect())
        };
        let mut independent = independent;
        independent.sort_by(f64::total_cmp);
        let rank = nonparametric::rank(independent.len(), assurance);
        let rejected = matches!(normality, Normality::Rejected { .. });
        let any_shape = options.scatter == Scatter::AnyShape;
        let mut settled_by = None;
        let (statistical, method) = match rank {
            Some(rank) if rejected || any_shape => {
                (independent[rank - 1].min(mean), Method::OrderStatistic { rank, of: ranked })
            }
            None if any_shape => {
                return Err(ClaimError::TooFewForAnyShape {
                    have: independent.len(),
                    need: nonparametric::least_number(assurance),
                });
            }
            None if rejected => {
                settled_by = Some((nonparametric::least_number(assurance), ranked));
                // Nothing is met by it; not above the lowest value, so that more confidence never lifts it either.
                (normal.min(independent[0]), normal_method)
            }
            _ => (normal, normal_method),
        };

        let stated: Vec<Shared> = side
            .sections
            .iter()
            .filter_map(|section| {
                let u_shared_mm = section.shared_mm?;
                Some(Shared { value_mm: section.value_mm, u_shared_mm })
            })
            .collect();
        let common = shared::common_u_mm(&stated, statistical);
        let shared_u = common.filter(|_| statistical > 0.0).map(|u| u / statistical);
        let claimed =
            statistical - shared::shared_mm(&stated, statistical, assurance).unwrap_or(0.0);
        if common.is_none() {
            remarks.push(
                "no error common to all readings (scale, fixed camera, reader's edge) is stated: none is taken off"
                    .to_owned(),
            );
        } else if stated.len() < values.len() {
            remarks.push(format!(
                "{} of {} sections state no shared error: the worst stated one was taken for all",
                values.len() - stated.len(),
                values.len()
            ));
        }
        let coupon = side.sections.first().and_then(|section| section.coupon.clone());
        if coupon.is_none() {
            remarks.push("no coupon is named: all sections are taken as one coupon's".to_owned());
        }
        Ok(Self {
            name,
            coupon,
            coupons,
            mean,
            s,
            within,
            between,
            floor,
            method,
            normality,
            statistical,
            claimed,
            shared_u,
            stated,
            settled_by,
            remarks,
        })
    }
}

/// Scatter that the readings alone would show: root mean square of the uncertainties that are stated, else 0.
fn reading_noise(sections: &[Section]) -> f64 {
    let mut squares: Vec<f64> =
        sections.iter().filter_map(|section| section.noise_mm).map(|u| u * u).collect();
    squares.sort_by(f64::total_cmp);
    if squares.is_empty() { 0.0 } else { random_effects::mean(&squares).max(0.0).sqrt() }
}

fn side_bounds(bounds: &[Bounded]) -> Vec<SideBound> {
    bounds
        .iter()
        .filter_map(|side| {
            Some(SideBound {
                side: side.name.clone()?,
                sections: side.coupons.iter().map(Vec::len).sum(),
                mean_mm: side.mean,
                s_mm: side.s,
                bound_mm: side.claimed,
            })
        })
        .collect()
}

/// The verdict on unrounded values, and its sentence.
fn verdict(
    least: &Bounded,
    doubted: Option<(usize, Ranked)>,
    options: &Options,
) -> (Verdict, String) {
    let single = least.coupons.len() == 1;
    let coupon = match &least.coupon {
        Some(coupon) => format!("coupon {coupon}"),
        None => "one coupon".to_owned(),
    };
    let bound = least.claimed;
    let assurance = options.assurance;
    if bound <= 0.0 {
        let sentence = format!(
            "Cannot claim: the scatter of {} around {}, {} section(s) of {} coupon(s), leaves no {}.",
            scatter_words(least.s, options.units),
            scatter_words(least.mean, options.units),
            least.coupons.iter().map(Vec::len).sum::<usize>(),
            least.coupons.len(),
            options.what
        );
        return (Verdict::CannotClaim, sentence);
    }
    if options.setting_was_frozen == Some(false) {
        let sentence = "Cannot claim: these sections chose the setting. Freeze it and weld coupons to confirm it.";
        return (Verdict::CannotClaim, sentence.to_owned());
    }
    let whose =
        if single { format!("{assurance} of {coupon} have") } else { format!("{assurance} have") };
    let whose = capital(&whose);
    let what = with_article(&options.what);
    let caution = if single { "; this is not a claim for the procedure" } else { "" };
    // The answer stands on page one alone: what it hangs on goes with it.
    let frozen = match options.setting_was_frozen {
        None => {
            ", provided that the setting was frozen before they were welded, which nobody has stated"
        }
        Some(_) => "",
    };
    let (shown, needed) = match options.need_mm {
        None => (bound_words(bound, options.units), None),
        Some(need) => {
            let (shown, needed) = pair_words(bound, need, options.units);
            (shown, Some((need, needed)))
        }
    };
    let met = needed.as_ref().is_none_or(|(need, _)| bound >= *need);
    if let (true, Some((number, of))) = (met, doubted) {
        let items = match of {
            Ranked::Sections => "sections of the coupon",
            Ranked::CouponMinima => "coupons",
        };
        let sentence = format!(
            "In doubt: {shown}, the lower of the normal bound and the lowest section, cannot be leaned on, because \
             the scatter is not normal; {number} {items} would settle it without assuming a shape."
        );
        return (Verdict::InDoubt, sentence);
    }
    match needed {
        None => {
            let verdict = if single { Verdict::BoundOnlyWithinCoupon } else { Verdict::BoundOnly };
            (verdict, format!("{whose} {what} of {shown} or more{caution}."))
        }
        Some((_, needed)) if !met => (
            Verdict::NotMet,
            format!("{whose} {what} of {shown} or more: the {needed} needed are not met{caution}."),
        ),
        Some((_, needed)) if single => (
            Verdict::MetWithinCoupon,
            format!(
                "{whose} {what} of {shown} or more: the {needed} needed are met within {coupon}{frozen}{caution}."
            ),
        ),
        Some((_, needed)) => (
            Verdict::Met,
            format!("{whose} {what} of {shown} or more: the {needed} needed are met{frozen}."),
        ),
    }
}

fn with_article(what: &str) -> String {
    let article = if what.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
    format!("{article} {what}")
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A bound, and a bound with its need, for the sentence: millimetres alone, or inches with the millimetres beside.
fn bound_words(bound_mm: f64, units: UnitSystem) -> String {
    let mm = format!("{} mm", printed_bound(bound_mm));
    match units {
        UnitSystem::Metric => mm,
        UnitSystem::Inch => {
            format!("{} ({mm})", show(Length::from_mm(bound_mm), Rounding::Down, 3, units))
        }
    }
}

fn pair_words(bound_mm: f64, need_mm: f64, units: UnitSystem) -> (String, String) {
    let (bound, need) = printed_pair(bound_mm, need_mm);
    match units {
        UnitSystem::Metric => (format!("{bound} mm"), format!("{need} mm")),
        UnitSystem::Inch => {
            let inches = against(Length::from_mm(bound_mm), Length::from_mm(need_mm), 3, units);
            (format!("{} ({bound} mm)", inches.bound), format!("{} ({need} mm)", inches.need))
        }
    }
}

fn scatter_words(mm: f64, units: UnitSystem) -> String {
    let show = |units, decimals| show(Length::from_mm(mm), Rounding::Nearest, decimals, units);
    match units {
        UnitSystem::Metric => show(units, 3),
        UnitSystem::Inch => format!("{} ({})", show(units, 4), show(UnitSystem::Metric, 3)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use weld::claim::Reach;

    fn rows(coupons: &[(&str, &[f64])]) -> Vec<Row> {
        let mut rows = Vec::new();
        for (coupon, values) in coupons {
            for (i, &value) in values.iter().enumerate() {
                rows.push(Row {
                    coupon: Some((*coupon).to_owned()),
                    section: (i + 1).to_string(),
                    value_mm: Some(value),
                    ..Row::default()
                });
            }
        }
        rows
    }

    fn needing(need_mm: f64) -> Options {
        Options { need_mm: Some(need_mm), setting_was_frozen: Some(true), ..Options::default() }
    }

    const THREE: [(&str, &[f64]); 3] =
        [("A", &[3.92, 3.98, 4.05]), ("B", &[4.10, 4.02, 3.99]), ("C", &[3.88, 3.97, 4.01])];

    #[test]
    fn claim_from_three_coupons_reads_as_a_sentence() {
        let claimed = claim(&rows(&THREE), &needing(3.5)).unwrap();
        assert_eq!(claimed.method, Method::RandomEffects);
        assert_eq!(claimed.verdict, Verdict::Met);
        assert_eq!((claimed.sections, claimed.coupons), (9, 3));
        assert!(claimed.sentence.ends_with("the 3.50 mm needed are met."), "{}", claimed.sentence);
        assert!(
            claimed.sentence.starts_with(
                "With 95 % confidence at least 95 % of all sections have a throat of 3."
            ),
            "{}",
            claimed.sentence
        );
        let again = claimed.mean_mm - claimed.k * claimed.s_mm;
        assert!((again - claimed.statistical_bound_mm).abs() < 1e-12);
        let (within, between) = (claimed.within_mm.unwrap(), claimed.between_mm.unwrap());
        assert!((within.hypot(between) - claimed.s_mm).abs() < 1e-12);
        assert!(claimed.population.to_string().contains("operators not stated"));
    }

    /// Check values 5.1: k = 4.2027 for 5 sections; the claim stays inside the coupon.
    #[test]
    fn one_coupon_claims_nothing_for_the_procedure() {
        let claimed = claim(&rows(&[("A", &[3.8, 3.9, 4.0, 4.1, 4.2])]), &needing(3.2)).unwrap();
        assert_eq!(claimed.verdict, Verdict::MetWithinCoupon);
        assert!(!claimed.verdict.speaks_for_procedure());
        assert!((claimed.k - 4.2027).abs() <= 0.5e-4);
        assert_eq!(
            claimed.sentence,
            "With 95 % confidence at least 95 % of all sections of coupon A have a throat of 3.33 mm or more: \
             the 3.20 mm needed are met within coupon A; this is not a claim for the procedure."
        );
    }

    /// The figures of the test above: 3.33 mm are 0.131 in rounded down, 3.20 mm are 0.126 in rounded up (25.4 mm an inch).
    #[test]
    fn a_sentence_in_inches_has_the_millimetres_beside() {
        let options = Options { units: UnitSystem::Inch, ..needing(3.2) };
        let claimed = claim(&rows(&[("A", &[3.8, 3.9, 4.0, 4.1, 4.2])]), &options).unwrap();
        assert!(
            claimed.sentence.contains(
                "a throat of 0.131 in (3.33 mm) or more: the 0.126 in (3.20 mm) needed are met"
            ),
            "{}",
            claimed.sentence
        );
    }

    /// Ten coupons of one section are one sample of ten: k = 2.9110.
    #[test]
    fn one_section_a_coupon_is_a_sample_of_coupons() {
        let names: Vec<String> = (0..10).map(|i| format!("C{i}")).collect();
        let values: Vec<[f64; 1]> = (0..10).map(|i| [4.0 + 0.01 * f64::from(i)]).collect();
        let coupons: Vec<(&str, &[f64])> =
            names.iter().zip(&values).map(|(n, v)| (n.as_str(), v.as_slice())).collect();
        let claimed = claim(&rows(&coupons), &Options::default()).unwrap();
        assert_eq!(claimed.method, Method::OneSectionPerCoupon);
        assert_eq!(claimed.verdict, Verdict::BoundOnly);
        assert!((claimed.k - 2.9110).abs() <= 0.5e-4);
    }

    #[test]
    fn verdict_is_taken_on_unrounded_values() {
        let base = rows(&THREE);
        let bound = claim(&base, &Options::default()).unwrap().bound_mm;
        assert_eq!(claim(&base, &needing(bound)).unwrap().verdict, Verdict::Met);
        let above = bound + 1e-9;
        assert_eq!(claim(&base, &needing(above)).unwrap().verdict, Verdict::NotMet);
    }

    #[test]
    fn blank_without_reason_is_an_answer_of_no() {
        let mut rows = rows(&THREE);
        rows[4].value_mm = None;
        let refused = claim(&rows, &needing(3.0)).unwrap_err();
        assert_eq!(
            refused.to_string(),
            "cannot claim: 1 row without a value and without a reason: 5"
        );
        assert!(refused.is_answer_no());
        assert_eq!(
            refused.advice(),
            "enter the value, or record a reason: cut lost, etch failed, planned exclusion"
        );
        rows[4].reason = Some("Cut lost".into());
        let claimed = claim(&rows, &needing(3.0)).unwrap();
        assert_eq!((claimed.sections, claimed.left_out.len()), (8, 1));
        assert!(claimed.remarks.contains(&"1 without a value: 1 cut lost".to_owned()));
    }

    #[test]
    fn one_row_is_refused() {
        let refused = claim(&rows(&[("A", &[3.9])]), &needing(3.0)).unwrap_err();
        assert_eq!(refused.to_string(), "cannot claim: 1 section(s) say nothing about scatter");
        assert!(claim(&[], &needing(3.0)).is_err());
    }

    #[test]
    fn equal_readings_need_their_uncertainty() {
        let mut rows = rows(&[("A", &[3.5; 5])]);
        let refused = claim(&rows, &needing(3.0)).unwrap_err();
        assert_eq!(
            refused.to_string(),
            "cannot claim: the 5 readings are all equal to the digit (3.5 mm)"
        );
        assert!(refused.is_answer_no() && refused.advice().contains("standard uncertainty"));
        for row in &mut rows {
            row.u_mm = Some(0.05);
        }
        let claimed = claim(&rows, &needing(3.0)).unwrap();
        assert!((claimed.s_mm - 0.05).abs() < 1e-12);
        assert!((claimed.bound_mm - (3.5 - 4.2027 * 0.05)).abs() < 1e-5);
        assert!(claimed.remarks[0].contains("agree more closely"), "{:?}", claimed.remarks);
    }

    /// `u_s` 1 % of each value: bound × (1 − 1.645 × 0.01), to the digit.
    #[test]
    fn shared_error_is_taken_off_whole() {
        let mut rows = rows(&THREE);
        let bare = claim(&rows, &Options::default()).unwrap();
        for row in &mut rows {
            row.u_shared_mm = row.value_mm.map(|v| 0.01 * v);
        }
        let claimed = claim(&rows, &Options::default()).unwrap();
        let z = 1.644_853_626_951_472_2;
        assert_eq!(claimed.statistical_bound_mm, bare.statistical_bound_mm);
        assert!((claimed.shared_mm - z * 0.01 * bare.statistical_bound_mm).abs() < 1e-12);
        let u = claimed.shared_u.unwrap();
        assert!((claimed.bound_mm - claimed.statistical_bound_mm * (1.0 - z * u)).abs() < 1e-12);
        assert!(bare.remarks.iter().any(|r| r.contains("none is taken off")));
    }

    #[test]
    fn lower_side_is_claimed() {
        let mut both = rows(&THREE);
        for row in &mut both {
            row.weld = Some("left".into());
        }
        let mut other = both.clone();
        for row in &mut other {
            row.weld = Some("right".into());
            row.value_mm = row.value_mm.map(|v| v - 0.3);
        }
        both.extend(other);
        let claimed = claim(&both, &needing(3.0)).unwrap();
        assert_eq!(claimed.sides.len(), 2);
        assert_eq!(claimed.sides[1].side, "right");
        assert_eq!(claimed.bound_mm, claimed.sides[1].bound_mm);
        assert_eq!(claimed.sections, 9);
        assert!(claimed.remarks.iter().any(|r| r.contains("those of the right side")));
    }

    #[test]
    fn scatter_that_leaves_nothing_cannot_claim() {
        let claimed = claim(&rows(&[("A", &[0.0, 3.0, 1.0])]), &needing(1.0)).unwrap();
        assert_eq!(claimed.verdict, Verdict::CannotClaim);
        assert!(
            claimed.sentence.starts_with("Cannot claim: the scatter of 1.528 mm"),
            "{}",
            claimed.sentence
        );
        assert!(claimed.remarks.iter().any(|r| r.starts_with("1 of 3 sections show no fusion")));
    }

    #[test]
    fn sections_that_chose_the_setting_do_not_claim_it() {
        let options = Options { setting_was_frozen: Some(false), ..needing(3.0) };
        assert_eq!(claim(&rows(&THREE), &options).unwrap().verdict, Verdict::CannotClaim);
    }

    /// A quarter of the sections much lower than the rest: 24 are enough to see it, too few to do without a shape.
    #[test]
    fn two_heaps_leave_the_bound_in_doubt() {
        let heap: Vec<f64> =
            (0..24).map(|i| if i % 4 == 0 { 3.0 } else { 4.0 } + 0.003 * f64::from(i)).collect();
        let claimed = claim(&rows(&[("A", &heap)]), &needing(2.0)).unwrap();
        assert!(matches!(claimed.normality, Normality::Rejected { .. }));
        assert_eq!(claimed.verdict, Verdict::InDoubt);
        assert!(!claimed.verdict.holds());
        assert!(
            claimed.sentence.contains("59 sections of the coupon would settle it"),
            "{}",
            claimed.sentence
        );
    }

    /// The same two heaps, 60 sections: the lowest value is the bound.
    #[test]
    fn enough_sections_do_without_a_shape() {
        let heap: Vec<f64> =
            (0..60).map(|i| if i % 4 == 0 { 3.0 } else { 4.0 } + 0.001 * f64::from(i)).collect();
        let claimed = claim(&rows(&[("A", &heap)]), &needing(2.0)).unwrap();
        assert_eq!(claimed.method, Method::OrderStatistic { rank: 1, of: Ranked::Sections });
        assert_eq!(claimed.bound_mm, 3.0);
        assert_eq!(claimed.verdict, Verdict::MetWithinCoupon);
        let any = Options { scatter: Scatter::AnyShape, ..needing(2.0) };
        let refused = claim(&rows(&THREE), &any).unwrap_err();
        assert_eq!(
            refused,
            ClaimError::TooFewForAnyShape { have: 3, need: 59 },
            "sections of a coupon are not independent: coupons count"
        );
    }

    #[test]
    fn unmet_need_says_how_many_more() {
        let options = Options { more: Some(Ask::default()), ..needing(3.85) };
        let coupons: [(&str, &[f64]); 2] = [("A", &[3.92, 3.98, 4.05]), ("B", &[4.10, 4.02, 3.99])];
        let claimed = claim(&rows(&coupons), &options).unwrap();
        assert_eq!(claimed.verdict, Verdict::NotMet);
        let more = claimed.more.unwrap();
        assert_eq!(more.one_coupon_beats_ten_sections(), Some(true));
        assert!(!matches!(more.coupons, Reach::NotTold { .. }));
    }

    #[test]
    fn impossible_asks_are_bad_input() {
        let refused = claim(&rows(&THREE), &needing(-1.0)).unwrap_err();
        assert!(!refused.is_answer_no());
        assert_eq!(refused.to_string(), "-1 mm is no needed throat");
        let ask = Ask { chance: 1.0, ..Ask::default() };
        let options = Options { more: Some(ask), ..needing(3.0) };
        assert_eq!(claim(&rows(&THREE), &options), Err(ClaimError::NoChance { chance: 1.0 }));
        let mut bad = rows(&THREE);
        bad[2].value_mm = Some(f64::INFINITY);
        let refused = claim(&bad, &needing(3.0)).unwrap_err();
        assert_eq!(refused.to_string(), "row 3: inf mm is no throat");
        assert!(!refused.is_answer_no());
    }

    /// Coupons of 1 to 4 sections, 1 to 5 of them, values 2 to 5 mm.
    fn some_coupons() -> impl Strategy<Value = Vec<Vec<f64>>> {
        prop::collection::vec(prop::collection::vec(2.0..5.0_f64, 1..5), 1..6)
            .prop_filter("two sections or more", |coupons| coupons.concat().len() >= 2)
    }

    fn named(coupons: &[Vec<f64>], prefix: &str) -> Vec<Row> {
        let names: Vec<String> = (0..coupons.len()).map(|i| format!("{prefix}{i}")).collect();
        let pairs: Vec<(&str, &[f64])> =
            names.iter().zip(coupons).map(|(n, v)| (n.as_str(), v.as_slice())).collect();
        rows(&pairs)
    }

    fn at(coverage: f64, confidence: f64) -> Options {
        Options { assurance: Assurance::new(coverage, confidence).unwrap(), ..Options::default() }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]

        #[test]
        fn more_confidence_or_coverage_never_lifts_the_bound(
            coupons in some_coupons(),
            p in 0.5..0.99_f64, g in 0.5..0.99_f64, dp in 0.0..0.0099_f64, dg in 0.0..0.0099_f64,
        ) {
            let rows = named(&coupons, "C");
            let base = claim(&rows, &at(p, g)).unwrap().bound_mm;
            prop_assert!(claim(&rows, &at(p + dp, g)).unwrap().bound_mm <= base + 1e-9 * (1.0 + base.abs()));
            prop_assert!(claim(&rows, &at(p, g + dg)).unwrap().bound_mm <= base + 1e-9 * (1.0 + base.abs()));
        }

        #[test]
        fn bound_never_exceeds_the_mean(
            coupons in some_coupons(), p in 0.5..0.99_f64, g in 0.5..0.99_f64,
        ) {
            let claimed = claim(&named(&coupons, "C"), &at(p, g)).unwrap();
            prop_assert!(claimed.bound_mm <= claimed.mean_mm + 1e-12);
        }

        #[test]
        fn bound_follows_the_scale_and_the_shift(
            coupons in some_coupons(), c in 0.1..10.0_f64, shift in 0.0..10.0_f64,
        ) {
            let of = |f: &dyn Fn(f64) -> f64| {
                let moved: Vec<Vec<f64>> =
                    coupons.iter().map(|v| v.iter().map(|&x| f(x)).collect()).collect();
                claim(&named(&moved, "C"), &Options::default()).unwrap().bound_mm
            };
            let base = of(&|x| x);
            let size = 1.0 + base.abs();
            prop_assert!((of(&|x| c * x) - c * base).abs() < 1e-9 * c * size);
            prop_assert!((of(&|x| x + shift) - base - shift).abs() < 1e-9 * (size + shift));
        }

        #[test]
        fn order_of_rows_and_names_of_coupons_change_nothing(
            coupons in some_coupons(), turn in 0_usize..20,
        ) {
            let rows = named(&coupons, "C");
            let base = claim(&rows, &Options::default()).unwrap();
            let mut turned = rows.clone();
            turned.reverse();
            turned.rotate_left(turn % rows.len());
            let again = claim(&turned, &Options::default()).unwrap();
            prop_assert_eq!(base.bound_mm.to_bits(), again.bound_mm.to_bits());
            let mut other = coupons.clone();
            other.reverse();
            let renamed = claim(&named(&other, "K"), &Options::default()).unwrap();
            prop_assert!((renamed.bound_mm - base.bound_mm).abs() < 1e-9 * (1.0 + base.bound_mm.abs()));
        }

        /// Repeats that say the same leave the claim where it is: they never count as sections.
        #[test]
        fn repeats_never_add_to_the_count(coupons in some_coupons()) {
            let rows = named(&coupons, "C");
            let doubled: Vec<Row> = rows.iter().chain(&rows).cloned().collect();
            let (one, two) =
                (claim(&rows, &Options::default()).unwrap(), claim(&doubled, &Options::default()).unwrap());
            prop_assert_eq!(one.sections, two.sections);
            prop_assert!((one.bound_mm - two.bound_mm).abs() < 1e-9 * (1.0 + one.bound_mm.abs()));
        }
    }
}
