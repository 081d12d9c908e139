//! What a claim says, in rounded figures: the same at every door.

use crate::read::joint_words;
use crate::read::says::words;
use crate::wire::{ClaimOut, ReachOut};
use weld::quantity::Length;
use weld::quantity::show::{Rounding, UnitSystem, against, against_on_paper, show, show_on_paper};

/// A label and its figure.
pub type Row = [String; 2];

/// The caution that stands with every claim.
pub const CAUTION: &str = "Static strength only: the land of a partial-penetration weld is a crack-like notch; repeated load needs a fatigue design. The engineer accepts the throat for design, the examiner signs the qualification, the welding coordinator issues the procedure.";

/// Lengths as a claim prints them.
struct Lengths(UnitSystem);

impl Lengths {
    /// Of what is read or claimed.
    const fn decimals(&self) -> usize {
        match self.0 {
            UnitSystem::Metric => 2,
            UnitSystem::Inch => 3,
        }
    }

    /// Scatter with one decimal more than what is read or claimed.
    fn scatter(&self, mm: f64) -> String {
        show(Length::from_mm(mm), Rounding::Nearest, self.decimals() + 1, self.0)
    }

    fn mean(&self, mm: f64) -> String {
        show(Length::from_mm(mm), Rounding::Nearest, self.decimals(), self.0)
    }

    fn down(&self, mm: f64) -> String {
        show(Length::from_mm(mm), Rounding::Down, self.decimals(), self.0)
    }
}

/// The claim and what it was worked out from.
#[must_use]
pub fn rows(out: &ClaimOut, units: UnitSystem) -> Vec<Row> {
    let of = Lengths(units);
    let length = Length::from_mm;
    let (bound, need) = match (out.need_mm, units) {
        (Some(need), UnitSystem::Metric) => {
            let printed = against(length(out.bound_mm), length(need), of.decimals(), units);
            (printed.bound, Some(printed.need))
        }
        (Some(need), UnitSystem::Inch) => {
            let printed =
                against_on_paper(length(out.bound_mm), length(need), of.decimals(), units);
            (printed.bound, Some(printed.need))
        }
        (None, UnitSystem::Metric) => (of.down(out.bound_mm), None),
        (None, UnitSystem::Inch) => {
            (show_on_paper(length(out.bound_mm), Rounding::Down, of.decimals(), units), None)
        }
    };
    // What cannot be claimed is not printed where a claim stands.
    let claimed = match out.verdict.as_str() {
        "cannot claim" => "none".to_owned(),
        "in doubt" => format!("in doubt ({bound})"),
        _ => bound,
    };
    let words = words(&out.value).unwrap_or_else(|| joint_words(&out.value));
    let mut rows = vec![[format!("claim ({words})"), claimed]];
    if let Some(need) = need {
        rows.push(["need".to_owned(), need]);
    }
    rows.push(["sections".to_owned(), out.n.to_string()]);
    rows.push(["coupons".to_owned(), out.coupons.to_string()]);
    rows.push(["mean".to_owned(), of.mean(out.mean_mm)]);
    rows.push(["standard deviation s".to_owned(), of.scatter(out.s_mm)]);
    if let Some(v) = out.within_mm {
        rows.push(["  within coupons".to_owned(), of.scatter(v)]);
    }
    if let Some(v) = out.between_mm {
        rows.push(["  between coupons".to_owned(), of.scatter(v)]);
    }
    rows.push(["k = (mean - statistical bound) / s".to_owned(), format!("{:.4}", out.k)]);
    rows.push(["statistical bound".to_owned(), of.down(out.statistical_bound_mm)]);
    rows.push(["shared error takes".to_owned(), of.scatter(out.shared_mm)]);
    if let Some(v) = out.repeatability_mm {
        rows.push(["one reader's repeat reading, s".to_owned(), of.scatter(v)]);
    }
    rows
}

/// Sides that were bounded apart: weld, sections, mean, s, bound.
#[must_use]
pub fn sides(out: &ClaimOut, units: UnitSystem) -> Vec<[String; 5]> {
    let of = Lengths(units);
    out.sides
        .iter()
        .map(|side| {
            [
                side.weld.clone(),
                side.n.to_string(),
                of.mean(side.mean_mm),
                of.scatter(side.s_mm),
                of.down(side.bound_mm),
            ]
        })
        .collect()
}

/// What more sections or coupons would bring, as sentences.
#[must_use]
pub fn more(out: &ClaimOut) -> Vec<String> {
    let Some(more) = &out.more_sections else { return Vec::new() };
    let say = |r: &ReachOut, [one, many]: [&str; 2]| match (r.more, r.tried, r.chance, &r.why) {
        (Some(n), _, Some(c), _) => {
            let what = if n == 1 { one } else { many };
            format!("{n} more {what} would reach the need with a chance of {:.0} %", 100.0 * c)
        }
        (_, Some(n), Some(c), _) => {
            format!(
                "not even {n} more {many} would reach the need surely enough: their chance is {:.0} %",
                100.0 * c
            )
        }
        (_, _, _, Some(why)) => format!("more {many}: {why}"),
        _ => format!("more {many}: not told"),
    };
    let sections = ["section from the same coupons", "sections from the same coupons"];
    let mut said = Vec::new();
    // Four values ask for 5.14 (ISO 16269-6, 95 % and 95 %): above it is their number that costs, not the welds.
    if out.k > 5.0 {
        let few = match (out.coupons, out.n) {
            (1, n) => format!("{n} sections"),
            (coupons, _) => format!("{coupons} coupons"),
        };
        said.push(format!(
            "k is {:.1} because {few} hardly tell how much welds scatter: the bound keeps so many standard deviations below the mean, and each coupon more brings it closer",
            out.k
        ));
    }
    said.push(say(&more.sections, sections));
    let coupons =
        ["coupon", "coupons"].map(|c| format!("{c} of {} sections", more.sections_per_coupon));
    let coupons = [coupons[0].as_str(), coupons[1].as_str()];
    said.push(say(&more.coupons, coupons));
    if let (Some(a), Some(b)) = (more.after_one_coupon_mm, more.after_ten_sections_mm)
        && a > b
    {
        said.push(format!(
                "one more coupon (expected bound {a:.2} mm) buys more than ten more sections ({b:.2} mm)"
            ));
    }
    said
}

/// Sections without a value, each with its reason.
#[must_use]
pub fn left_out(out: &ClaimOut) -> Vec<String> {
    out.left_out
        .iter()
        .map(|l| {
            let coupon = l.coupon.as_ref().map_or_else(String::new, |c| format!("coupon {c} "));
            let weld = l.weld.as_ref().map_or_else(String::new, |w| format!(" {w}"));
            format!("{coupon}section {}{weld}: {}", l.section, l.reason)
        })
        .collect()
}
