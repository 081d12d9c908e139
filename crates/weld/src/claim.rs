//! What a claim is. `trials` works one out, `report` prints it.
//!
//! A claim is a lower one-sided tolerance bound: with a stated confidence, at least a stated share of all sections
//! made the same way has a throat of the bound or more. All lengths here are millimetres and unrounded; the verdict is
//! taken on them as they are. For paper, a bound is rounded down and a need up: [`printed_pair`].

use std::fmt;

/// How much is to be assured: a share of all sections, and the confidence in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Assurance {
    coverage: f64,
    confidence: f64,
}

/// Why an assurance cannot be asked for.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum AssuranceError {
    /// The share lies outside the range that a claim may have.
    #[error("a share of {asked} of all sections is outside 0.5 to 0.9999")]
    Coverage {
        /// What was asked.
        asked: f64,
    },
    /// The confidence lies outside the range that a claim may have.
    #[error("a confidence of {asked} is outside 0.5 to 0.9999")]
    Confidence {
        /// What was asked.
        asked: f64,
    },
}

impl AssuranceError {
    /// What to do next.
    #[must_use]
    pub fn advice(&self) -> &'static str {
        "ask for shares, not percents: 0.95 of all sections with confidence 0.95 is usual"
    }
}

impl Assurance {
    /// At least 95 % of all sections, with 95 % confidence.
    pub const USUAL: Self = Self { coverage: 0.95, confidence: 0.95 };

    /// An assurance of a share `coverage` of all sections with `confidence`, both from 0.5 to 0.9999.
    ///
    /// # Errors
    ///
    /// Refuses a share or a confidence outside that range, percents among them.
    pub fn new(coverage: f64, confidence: f64) -> Result<Self, AssuranceError> {
        let allowed = 0.5..=0.9999;
        if !allowed.contains(&coverage) {
            return Err(AssuranceError::Coverage { asked: coverage });
        }
        if !allowed.contains(&confidence) {
            return Err(AssuranceError::Confidence { asked: confidence });
        }
        Ok(Self { coverage, confidence })
    }

    /// The share of all sections.
    #[must_use]
    pub const fn coverage(self) -> f64 {
        self.coverage
    }

    /// The confidence.
    #[must_use]
    pub const fn confidence(self) -> f64 {
        self.confidence
    }
}

impl fmt::Display for Assurance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let percent = |share: f64| {
            let text = format!("{:.2}", 100.0 * share);
            text.trim_end_matches('0').trim_end_matches('.').to_owned()
        };
        write!(
            f,
            "with {} % confidence at least {} % of all sections",
            percent(self.confidence),
            percent(self.coverage)
        )
    }
}

/// How a bound was reached.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Method {
    /// Sections of one coupon: mean − k·s with the exact factor. Speaks for that coupon only.
    WithinOneCoupon,
    /// One section from each of several coupons: mean − k·s over coupons with the exact factor.
    OneSectionPerCoupon,
    /// Several sections from several coupons: one-way random effects, generalised pivotal quantity.
    RandomEffects,
    /// The `rank`-th lowest value among independent ones: no shape of scatter is assumed.
    OrderStatistic {
        /// 1 is the least value.
        rank: usize,
        /// What was ranked.
        of: Ranked,
    },
}

/// What an order statistic was taken over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ranked {
    /// Sections of one coupon.
    Sections,
    /// The lowest section of each coupon: sections of one coupon are not independent, coupons are.
    CouponMinima,
}

impl fmt::Display for Method {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::WithinOneCoupon => {
                f.write_str("normal tolerance bound within one coupon, exact factor (non-central t)")
            }
            Self::OneSectionPerCoupon => f.write_str(
                "normal tolerance bound over coupons with one section each, exact factor (non-central t)",
            ),
            Self::RandomEffects => f.write_str(
                "random-effects tolerance bound over coupons and sections, generalised pivotal quantity",
            ),
            Self::OrderStatistic { rank, of } => {
                let of = match of {
                    Ranked::Sections => "sections",
                    Ranked::CouponMinima => "the coupons' lowest sections",
                };
                write!(f, "non-parametric bound: value number {rank} from below among {of}")
            }
        }
    }
}

/// What the bound says about the need.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Verdict {
    /// The bound is at or above the need.
    Met,
    /// At or above the need, but from one coupon: not a claim for the procedure.
    MetWithinCoupon,
    /// The bound is below the need.
    NotMet,
    /// The normal bound would meet the need, but the values are not normal and too few to do without.
    InDoubt,
    /// Nothing may be claimed: see the sentence.
    CannotClaim,
    /// No need was given; the bound stands alone.
    BoundOnly,
    /// No need was given, and the bound speaks for one coupon only: not a claim for the procedure.
    BoundOnlyWithinCoupon,
}

impl Verdict {
    /// Whether a door should leave with 'done' (true) or with 'the answer is no'.
    ///
    /// A bound met within one coupon is an answer of yes to the question asked, within that coupon.
    #[must_use]
    pub const fn holds(self) -> bool {
        matches!(
            self,
            Self::Met | Self::MetWithinCoupon | Self::BoundOnly | Self::BoundOnlyWithinCoupon
        )
    }

    /// Whether the claim speaks for the procedure, not for one coupon.
    #[must_use]
    pub const fn speaks_for_procedure(self) -> bool {
        matches!(self, Self::Met | Self::BoundOnly)
    }
}

/// What a claim speaks for. What is not named is not covered.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Population {
    /// Who welded.
    pub operators: Option<String>,
    /// The machine, by maker's number or shop number.
    pub machine: Option<String>,
    /// Heats of the plates and the wire.
    pub material_heats: Option<String>,
    /// Welding position.
    pub position: Option<String>,
    /// The frozen setting.
    pub setting: Option<String>,
    /// The length spoken for: weld less the excluded ends of the cut plan.
    pub length: Option<String>,
}

impl Population {
    /// What there is to state, each with what was.
    #[must_use]
    pub const fn all(&self) -> [(&'static str, &Option<String>); 6] {
        [
            ("operators", &self.operators),
            ("machine", &self.machine),
            ("material heats", &self.material_heats),
            ("position", &self.position),
            ("setting", &self.setting),
            ("length", &self.length),
        ]
    }

    /// What nobody stated, and so is not covered.
    pub fn unstated(&self) -> impl Iterator<Item = &'static str> + use<> {
        self.all().map(|(what, value)| value.is_none().then_some(what)).into_iter().flatten()
    }
}

impl fmt::Display for Population {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("speaks for: ")?;
        for (i, (what, value)) in self.all().into_iter().enumerate() {
            let gap = if i == 0 { "" } else { "; " };
            write!(f, "{gap}{what} {}", value.as_deref().unwrap_or("not stated"))?;
        }
        Ok(())
    }
}

/// Why a section has no value. The whole list: anything else stops the claim.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum BlankReason {
    /// The cut was lost.
    CutLost,
    /// The etch showed nothing.
    EtchFailed,
    /// The plan excluded it beforehand.
    PlannedExclusion,
}

impl BlankReason {
    /// The whole list.
    pub const ALL: [Self; 3] = [Self::CutLost, Self::EtchFailed, Self::PlannedExclusion];

    /// Reads a reason, whatever its capitals, blanks, hyphens or underscores.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let plain = |text: &str| {
            text.to_lowercase()
                .split(|c: char| c.is_whitespace() || c == '-' || c == '_')
                .filter(|word| !word.is_empty())
                .collect::<Vec<_>>()
                .join(" ")
        };
        let asked = plain(text);
        Self::ALL.into_iter().find(|reason| reason.to_string() == asked)
    }
}

impl fmt::Display for BlankReason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::CutLost => "cut lost",
            Self::EtchFailed => "etch failed",
            Self::PlannedExclusion => "planned exclusion",
        })
    }
}

/// A section that carries no value in the claim.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftOut {
    /// The coupon, as labelled.
    pub coupon: Option<String>,
    /// The section, as labelled.
    pub section: String,
    /// The side, where sides are told apart.
    pub side: Option<String>,
    /// Why.
    pub reason: BlankReason,
}

/// How closely repeat readings of one section agree.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Repeatability {
    /// Standard deviation of one reading, pooled over the sections read more than once.
    pub s_mm: f64,
    /// Its degrees of freedom.
    pub freedom: usize,
    /// Sections read more than once.
    pub sections: usize,
    /// Readers that took part; 0 when nobody is named.
    pub readers: usize,
}

/// Whether the values look normal.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum Normality {
    /// Too few independent values for any check to see a departure.
    TooFewToCheck {
        /// Values that could be used.
        have: usize,
        /// Values a check needs.
        need: usize,
    },
    /// Checked, and not contradicted. That is not a proof.
    NotContradicted {
        /// The modified Anderson-Darling statistic.
        statistic: f64,
        /// Its critical value.
        critical: f64,
    },
    /// Checked, and rejected.
    Rejected {
        /// The modified Anderson-Darling statistic.
        statistic: f64,
        /// Its critical value.
        critical: f64,
    },
}

impl fmt::Display for Normality {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::TooFewToCheck { have, need } => {
                write!(
                    f,
                    "normal scatter is assumed: {have} independent values (coupons, or sections of one coupon) are too few to check, {need} are needed"
                )
            }
            Self::NotContradicted { statistic, critical } => write!(
                f,
                "normal scatter is assumed and not contradicted (Anderson-Darling {statistic:.3}, limit {critical})"
            ),
            Self::Rejected { statistic, critical } => write!(
                f,
                "the scatter is not normal (Anderson-Darling {statistic:.3} above the limit {critical})"
            ),
        }
    }
}

/// The bound of one side, where the sides of a weld are bounded apart.
#[derive(Clone, Debug, PartialEq)]
pub struct SideBound {
    /// The side, as read.
    pub side: String,
    /// Sections with a value.
    pub sections: usize,
    /// Mean of the method.
    pub mean_mm: f64,
    /// Total standard deviation.
    pub s_mm: f64,
    /// Bound after the shared error.
    pub bound_mm: f64,
}

/// How far one way of adding work would go.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum Reach {
    /// So many more reach the need with this chance.
    With {
        /// How many more.
        more: usize,
        /// Chance that the bound then meets the need.
        chance: f64,
    },
    /// Even this many more do not reach the wanted chance.
    NotWith {
        /// The most that was tried.
        tried: usize,
        /// Chance that the bound then meets the need.
        chance: f64,
    },
    /// The present sections do not tell.
    NotTold {
        /// Why not.
        why: &'static str,
    },
}

/// What more work would bring.
#[derive(Clone, Debug, PartialEq)]
pub struct More {
    /// The chance that was aimed at.
    pub aimed_chance: f64,
    /// More sections, cut from the same coupons.
    pub sections: Reach,
    /// More coupons of `sections_per_coupon` sections each.
    pub coupons: Reach,
    /// Sections cut from each further coupon.
    pub sections_per_coupon: usize,
    /// Median bound expected after ten more sections from the same coupons.
    pub after_ten_sections_mm: Option<f64>,
    /// Median bound expected after one more coupon.
    pub after_one_coupon_mm: Option<f64>,
    /// Simulated futures behind each chance.
    pub futures: usize,
}

impl More {
    /// Whether one more coupon buys more than ten more sections; none when either is not told.
    #[must_use]
    pub fn one_coupon_beats_ten_sections(&self) -> Option<bool> {
        Some(self.after_one_coupon_mm? > self.after_ten_sections_mm?)
    }
}

/// How much throat may be claimed, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct Claim {
    /// What is assured.
    pub assurance: Assurance,
    /// The throat needed, when one was given.
    pub need_mm: Option<f64>,
    /// The claim: the statistical bound less the shared error. Unrounded; at or below zero nothing may be claimed.
    pub bound_mm: f64,
    /// The bound before the shared error.
    pub statistical_bound_mm: f64,
    /// What the shared error takes away.
    pub shared_mm: f64,
    /// Relative standard uncertainty taken as common to all readings; none when no row states one.
    pub shared_u: Option<f64>,
    /// (mean − statistical bound) / s.
    pub k: f64,
    /// Sections with a value: repeats and opposite faces counted once.
    pub sections: usize,
    /// Coupons with a value.
    pub coupons: usize,
    /// Mean used by the method: plain over one coupon's sections, unweighted over coupon means for several coupons.
    pub mean_mm: f64,
    /// Total standard deviation: plain s for one sample, √(between² + within²) for several coupons.
    pub s_mm: f64,
    /// Standard deviation within coupons; none where one section a coupon cannot tell.
    pub within_mm: Option<f64>,
    /// Standard deviation between coupons, 0 when the estimate is not positive; none for one coupon.
    pub between_mm: Option<f64>,
    /// How the bound was reached.
    pub method: Method,
    /// What the bound says about the need.
    pub verdict: Verdict,
    /// The verdict as a written sentence.
    pub sentence: String,
    /// What the claim speaks for.
    pub population: Population,
    /// Whether the values look normal.
    pub normality: Normality,
    /// Sections without a value, and why.
    pub left_out: Vec<LeftOut>,
    /// Agreement of repeat readings, when there are any.
    pub repeatability: Option<Repeatability>,
    /// Each side's own bound, where sides are bounded apart; else empty.
    pub sides: Vec<SideBound>,
    /// What more work would bring, when it was asked and the need is not met.
    pub more: Option<More>,
    /// Everything else a reader of the claim must know.
    pub remarks: Vec<String>,
}

/// A bound and a need for paper: the bound rounded down, the need up, to 0.01 mm.
///
/// Where that would show the wrong order, or hide the margin, one more digit each until it does not (at most six).
#[must_use]
pub fn printed_pair(bound_mm: f64, need_mm: f64) -> (String, String) {
    let mut pair = (String::new(), String::new());
    for digits in 2..=6 {
        let (bound, need) = (rounded_down(bound_mm, digits), rounded_up(need_mm, digits));
        pair = (format!("{bound:.digits$}"), format!("{need:.digits$}"));
        if (bound >= need) == (bound_mm >= need_mm) {
            break;
        }
    }
    pair
}

/// A bound for paper: rounded down to 0.01 mm.
#[must_use]
pub fn printed_bound(bound_mm: f64) -> String {
    format!("{:.2}", rounded_down(bound_mm, 2))
}

/// Rounds down, forgiving only what a double cannot tell from the printed digit.
fn rounded_down(value: f64, digits: usize) -> f64 {
    let scale = 10f64.powi(digits as i32);
    (value * scale + 1e-9).floor() / scale
}

/// Rounds up, forgiving only what a double cannot tell from the printed digit.
fn rounded_up(value: f64, digits: usize) -> f64 {
    let scale = 10f64.powi(digits as i32);
    (value * scale - 1e-9).ceil() / scale
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn percents_are_refused_as_shares() {
        let refused = Assurance::new(95.0, 0.95).unwrap_err();
        assert_eq!(refused.to_string(), "a share of 95 of all sections is outside 0.5 to 0.9999");
        assert!(refused.advice().contains("not percents"));
    }

    #[test]
    fn assurance_reads_as_a_sentence() {
        assert_eq!(
            Assurance::new(0.9, 0.995).unwrap().to_string(),
            "with 99.5 % confidence at least 90 % of all sections"
        );
    }

    #[test]
    fn bound_prints_down_and_need_up() {
        assert_eq!(printed_pair(3.376, 3.2), ("3.37".into(), "3.20".into()));
        assert_eq!(printed_bound(3.5), "3.50");
        assert_eq!(printed_bound(-0.001), "-0.01");
    }

    #[test]
    fn thin_margin_prints_one_more_digit() {
        assert_eq!(printed_pair(3.504, 3.501), ("3.504".into(), "3.501".into()));
        assert_eq!(printed_pair(3.4996, 3.5), ("3.49".into(), "3.50".into()));
        assert_eq!(printed_pair(3.5, 3.5), ("3.50".into(), "3.50".into()));
    }

    #[test]
    fn reasons_are_read_whatever_their_spelling() {
        for text in ["cut lost", "Cut-Lost", "CUT_LOST", " cut  lost "] {
            assert_eq!(BlankReason::read(text), Some(BlankReason::CutLost));
        }
        assert_eq!(BlankReason::read("looked bad"), None);
    }

    #[test]
    fn population_says_what_is_not_stated() {
        let population =
            Population { operators: Some("two, named".into()), ..Population::default() };
        assert_eq!(
            population.to_string(),
            "speaks for: operators two, named; machine not stated; material heats not stated; \
             position not stated; setting not stated; length not stated"
        );
    }
}
