//! The report to a customer: may this throat be claimed, and why should an engineer believe it?
//!
//! ```text
//!   1  question, answer, what may be claimed beside what is needed, who accepts it, what is Recalled
//!      the joint to scale with the needed throat
//!   2  values by coupon against bound and need; how the bound came about; for whom it speaks; what was left out
//!      what the code refuses however deep the fusion; cautions
//!   3  all readings in one table; each section's photo with its readings and their uncertainty
//!   n  method in words; sources with how each is known
//! ```
//!
//! Every figure comes from a value given here and is rounded by [`weld::quantity::show`]: readings to their
//! uncertainty, a bound down, a need up. Nothing is worked out: a figure that is wrong on paper was wrong before.
//!
//! The words of clauses that only memory vouches for carry 'Recalled' where they stand and on the page of the answer,
//! and 'invented data' stands on every page when the flag is set.

use super::words::{self, Cell, text};
use super::{Date, Paper, PaperError, world};
use crate::faces::{self, PAPER_FAMILY, Weight};
use crate::figure::Svg;
use crate::figure::strip::{Strip, StripGroup, reason_number, strip_plots};
use serde_json::{Value, json};
use weld::claim::{Claim, LeftOut, Reach, Verdict};
use weld::measured::Measured;
use weld::quantity::kind::Quantity;
use weld::quantity::show::{Rounding, UnitSystem, against, show};
use weld::quantity::{Length, LineLoad};
use weld::reading::Reading;
use weld::section::Side;
use weld::source::Source;

/// All that a customer report says.
#[derive(Clone, Debug)]
pub struct Customer<'a> {
    /// What it is about, a line: `Throat of the gangway step's fillet welds`.
    pub title: String,
    /// The study, and the edition that this paper was printed from, with its chain's head where there is one.
    pub study: String,
    /// Which edition of the paper: `1`.
    pub edition: String,
    /// For whom.
    pub customer: String,
    /// By whom.
    pub author: String,
    /// The date it carries.
    pub date: Date,
    /// Units that come first; the other stands beside.
    pub units: UnitSystem,
    /// The data are invented: said on every page.
    pub invented: bool,
    /// The customer's question, as sentences.
    pub question: String,
    /// The answer.
    pub answer: Answer<'a>,
    /// What is claimed: `effective throat`.
    pub value_words: String,
    /// The joint.
    pub joint: Option<JointPage>,
    /// What the load needs.
    pub need: Option<Need>,
    /// Values by coupon; empty: no plot.
    pub groups: Vec<StripGroup>,
    /// Readings that the table of all readings shows, at most six fit.
    pub summary: Vec<Reading>,
    /// One a section.
    pub sections: Vec<SectionPage>,
    /// Why there is no photo of any section; empty: each has its own page.
    pub no_photos: String,
    /// The code that was asked: `EN 1993-1-8`; empty: none was, and the paper says so.
    pub code: String,
    /// What it refuses however deep the fusion.
    pub refusals: Vec<Refused>,
    /// Method, a paragraph each.
    pub method: Vec<String>,
    /// Every source leant on.
    pub sources: Vec<Source>,
    /// The cautions that apply.
    pub cautions: Vec<Caution>,
}

/// What the sections answer.
#[derive(Clone, Debug)]
pub enum Answer<'a> {
    /// A claim, whatever its verdict.
    Claim(&'a Claim),
    /// Nothing can be claimed from these sections.
    No {
        /// The fact.
        sentence: String,
        /// What to do next.
        advice: String,
    },
}

/// The joint, in words and drawn.
#[derive(Clone, Debug, Default)]
pub struct JointPage {
    /// What, and what of it: `base`, `8 mm, 1.4307`.
    pub facts: Vec<(String, String)>,
    /// Drawn to scale by [`figure::joint`](crate::figure::joint).
    pub drawing: Option<Svg>,
}

/// What the load needs.
#[derive(Clone, Debug)]
pub struct Need {
    /// The needed throat; `None`: the code gives this joint none.
    pub throat: Option<Length>,
    /// Resistance of the weld per length at that throat.
    pub resistance: Option<LineLoad>,
    /// The load, in words.
    pub load: String,
    /// How penetration may be counted, in words.
    pub penetration_counts_by: String,
    /// The clauses it rests on.
    pub clauses: Vec<Source>,
}

/// One section: its photo and what was read from it.
#[derive(Clone, Debug, Default)]
pub struct SectionPage {
    /// The coupon, as labelled.
    pub coupon: String,
    /// The section, as labelled.
    pub section: String,
    /// The photo with outline and dimensions, by [`figure::photo`](crate::figure::photo), at most
    /// [`PICTURE_WIDTH_MM`] wide.
    pub picture: Option<Svg>,
    /// Why there is no photo, where there is none.
    pub no_picture: String,
    /// The same photo with nothing drawn on it, so that the reader can judge the outline for himself.
    pub as_taken: Option<Svg>,
    /// The section drawn to scale, by [`figure::section`](crate::figure::section): beside the photo when it is at most
    /// [`DRAWING_WIDTH_MM`] wide, else across the page.
    pub drawing: Option<Svg>,
    /// What was read, one a weld.
    pub welds: Vec<WeldRows>,
    /// Readings of the joint as a whole: words, and a length with its uncertainty.
    pub joint: Vec<(String, Measured<Length>)>,
    /// Answers of the joint as a whole: words, and `yes`, `no`, `cannot say`.
    pub answers: Vec<(String, String)>,
    /// Things the reader must know.
    pub remarks: Vec<String>,
}

/// What was read from one weld.
#[derive(Clone, Debug)]
pub struct WeldRows {
    /// Which weld.
    pub side: Side,
    /// Readings in the unit of their field name, each with its standard uncertainty, in the order they are printed.
    pub values: Vec<(Reading, Measured<f64>)>,
    /// Readings that are not there, and why.
    pub absent: Vec<(Reading, String)>,
}

/// Something the code refuses, or asks for, whatever the throat.
#[derive(Clone, Debug)]
pub struct Refused {
    /// How heavy it is, a word or two: `no resistance`, `not allowed`, `condition`.
    pub effect: String,
    /// What it is about: `least throat`.
    pub what: String,
    /// The clause, and how it is known.
    pub clause: Source,
    /// The fact, with its numbers.
    pub fact: String,
    /// The next action.
    pub advice: String,
}

/// A caution that a report carries when it applies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[non_exhaustive]
pub enum Caution {
    /// Static strength only: on every claim.
    StaticOnly,
    /// The part is walked on.
    WalkedOn,
    /// Who accepts what: on every claim.
    WhoAccepts,
    /// Quality level and qualification are by agreement.
    ByAgreement,
    /// A macro does not show microcracks.
    Microcracks,
    /// Steel that hardens beside the weld.
    Hardening,
    /// Aluminium, whose heat-affected strength governs.
    Aluminium,
    /// Acids used to etch.
    EtchingAcids,
    /// The laser is of class 4.
    ClassFourLaser,
    /// Fume, and shielding gas in closed rooms.
    FumeAndGas,
}

impl Caution {
    /// All of them, in the order they are printed.
    pub const ALL: [Self; 10] = [
        Self::StaticOnly,
        Self::WalkedOn,
        Self::WhoAccepts,
        Self::ByAgreement,
        Self::Microcracks,
        Self::Hardening,
        Self::Aluminium,
        Self::EtchingAcids,
        Self::ClassFourLaser,
        Self::FumeAndGas,
    ];

    /// The caution as it is printed.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::StaticOnly => {
                "Static strength only. The unfused land behind a partial-penetration weld is a crack-like notch: load that repeats needs a fatigue design for failure from the root, or a weld through the whole thickness."
            }
            Self::WalkedOn => {
                "This part is walked on, so its load repeats. The throat claimed here answers the static load; how many cycles of which size it stands is a separate question, and it is not answered here."
            }
            Self::WhoAccepts => {
                "The engineer accepts the throat for design; the examiner signs the qualification; the welding coordinator issues the procedure. This report does none of the three."
            }
            Self::ByAgreement => {
                "ISO 5817 excludes beam welds, and the welder qualification standards do not list handheld laser welding (both Recalled): quality level and qualification are by agreement between maker and customer, in writing."
            }
            Self::Microcracks => {
                "A macro section does not show microcracks, and it shows one plane: what lies between the cuts is claimed from statistics, not seen."
            }
            Self::Hardening => {
                "Fast cooling can harden this steel under a perfect macro: measure the hardness before a procedure is written."
            }
            Self::Aluminium => {
                "In aluminium the strength of the heat-affected metal governs; a throat alone claims nothing."
            }
            Self::EtchingAcids => {
                "Etching acids burn and give off fumes: extraction, goggles and gloves, by the acid's own safety data sheet."
            }
            Self::ClassFourLaser => {
                "A handheld welding laser is a class 4 laser: it hurts eyes and skin far beyond the joint, by reflections too. Only in a controlled area that the laser safety officer has released, by the local rules."
            }
            Self::FumeAndGas => {
                "Welding fume is captured at the source; shielding gas displaces air in pits, tanks and closed rooms."
            }
        }
    }
}

/// Width of a section's photo in the report, mm.
pub const PICTURE_WIDTH_MM: f64 = 74.0;
/// Width of a section's drawing beside its photo, mm.
pub const DRAWING_WIDTH_MM: f64 = 92.0;
/// Height that a drawing may have so that two sections share a page, mm.
pub const DRAWING_HEIGHT_MM: f64 = 64.0;

/// Width of the text, mm.
const TEXT_WIDTH: f64 = 170.0;

const TEMPLATE: &str = include_str!("customer.typ");

/// Typesets the report.
///
/// # Errors
///
/// When the date is no day. Anything else is typeset.
pub fn customer_report(report: &Customer<'_>) -> Result<Paper, PaperError> {
    let (data, mut files) = data(report)?;
    files.push(("data.json".to_owned(), data.to_string().into_bytes()));
    world::typeset(TEMPLATE, files, report.date)
}

/// The report's values as the template reads them, for those who want to look at what a paper says.
///
/// # Errors
///
/// When the date is no day.
pub fn customer_data(report: &Customer<'_>) -> Result<String, PaperError> {
    let (data, _) = data(report)?;
    serde_json::to_string_pretty(&data).map_err(|e| PaperError::Typesetting { why: e.to_string() })
}

/// A file's name and what is in it.
type File = (String, Vec<u8>);

/// Figures that go in as files of their own.
#[derive(Default)]
struct Figures {
    files: Vec<File>,
}

impl Figures {
    fn add(&mut self, svg: &Svg, alt: &str) -> Value {
        let file = format!("figure-{:04}.svg", self.files.len() + 1);
        self.files.push((file.clone(), svg.as_str().as_bytes().to_vec()));
        json!({ "file": file, "width": svg.width_mm().min(TEXT_WIDTH), "alt": alt })
    }
}

fn data(report: &Customer<'_>) -> Result<(Value, Vec<File>), PaperError> {
    let mut figures = Figures::default();
    let date_words = report.date.words()?;
    let claim = match &report.answer {
        Answer::Claim(claim) => Some(*claim),
        Answer::No { .. } => None,
    };
    let joint = joint(report, &mut figures);
    let strips = strips(report, claim, &mut figures);
    let sections: Vec<Value> =
        report.sections.iter().map(|s| section(s, report.units, &mut figures)).collect();
    let (answer, answer_more) = match &report.answer {
        Answer::Claim(claim) => (text(&claim.sentence), String::new()),
        Answer::No { sentence, advice } => {
            (text(sentence), format!("What to do next: {}", text(advice)))
        }
    };
    let mut cautions = report.cautions.clone();
    cautions.sort();
    cautions.dedup();
    let data = json!({
        "family": PAPER_FAMILY,
        "title": text(&report.title),
        "running": one_line(&report.title, 96.0),
        "running_right": one_line(&format!("for {}", report.customer), 66.0),
        "running_study": one_line(&report.study, 68.0),
        "study": text(&report.study),
        "edition": text(&report.edition),
        "customer": text(&report.customer),
        "author": text(&report.author),
        "date": { "year": report.date.year, "month": report.date.month, "day": report.date.day },
        "date_words": date_words,
        "invented": report.invented,
        "question": text(&report.question),
        "answer": answer,
        "answer_more": answer_more,
        "figures": claim.map(|c| main_figures(c, report)).unwrap_or_default(),
        "beside_the_answer": beside_the_answer(report, claim),
        "joint": joint,
        "strip_title": text(&format!("{} by coupon", capital(&report.value_words))),
        "strips": strips,
        "claim": claim.map(|c| claim_page(c, report.units)),
        "code_words": if report.code.is_empty() { "the code".to_owned() } else { text(&report.code) },
        "code_asked": !report.code.is_empty() || !report.refusals.is_empty(),
        "refusals": report.refusals.iter().map(refused).collect::<Vec<_>>(),
        "cautions": cautions.iter().map(|c| c.words()).collect::<Vec<_>>(),
        "values": values(report),
        "summary": summary(report),
        "no_photos": text(&report.no_photos),
        "picture_width": PICTURE_WIDTH_MM,
        "sections": sections,
        "method": report.method.iter().map(|m| text(m)).collect::<Vec<_>>(),
        "sources": report.sources.iter().map(source).collect::<Vec<_>>(),
    });
    Ok((data, figures.files))
}

/// A text for the head or the foot of a page: one line of at most so many millimetres at eight points.
fn one_line(from: &str, most: f64) -> String {
    // A point is 25.4 / 72 mm.
    faces::fitted(&faces::printable(from, false), 8.0 * 25.4 / 72.0, Weight::Regular, most)
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

const fn decimals(units: UnitSystem) -> usize {
    match units {
        UnitSystem::Metric => 2,
        UnitSystem::Inch => 3,
    }
}

fn cell(c: &Cell) -> Value {
    json!({ "first": c.first, "beside": c.beside })
}

/// What may be claimed beside what is needed, large.
fn main_figures(claim: &Claim, report: &Customer<'_>) -> Vec<Value> {
    if claim.verdict == Verdict::CannotClaim || !claim.bound_mm.is_finite() {
        return Vec::new();
    }
    let bound = Length::from_mm(claim.bound_mm);
    let figure = |words: &str, [value, beside]: [String; 2], main: bool| json!({ "words": words, "value": value, "beside": beside, "main": main });
    let claimed = if claim.verdict.speaks_for_procedure()
        || claim.need_mm.is_some() && !matches!(claim.verdict, Verdict::MetWithinCoupon)
    {
        "may be claimed"
    } else {
        "bound within the coupon"
    };
    match claim.need_mm {
        Some(need) => {
            let [bound, need] = both_against(bound, Length::from_mm(need), report.units);
            vec![figure(claimed, bound, true), figure("needed", need, false)]
        }
        None => {
            let both = [report.units, report.units.other()]
                .map(|u| show(bound, Rounding::Down, decimals(u), u));
            vec![figure(claimed, both, true)]
        }
    }
}

/// What must not be read apart from the answer.
fn beside_the_answer(report: &Customer<'_>, claim: Option<&Claim>) -> Vec<String> {
    let mut out = Vec::new();
    if let Some(claim) = claim {
        out.push(format!(
            "Assured: {} have it. The bound rests on {} of {}.",
            claim.assurance,
            counted(claim.sections, "section"),
            counted(claim.coupons, "coupon"),
        ));
        let unstated: Vec<String> = claim.population.unstated().map(str::to_owned).collect();
        if !unstated.is_empty() {
            out.push(format!(
                "It speaks for welds made as these were and for no others: {} {} not stated, so another is not covered.",
                join_words(&unstated),
                if unstated.len() == 1 { "is" } else { "are" }
            ));
        }
        if !claim.left_out.is_empty() {
            out.push(match claim.left_out.len() {
                1 => {
                    "One section is left out of the claim; it is listed with its reason.".to_owned()
                }
                n => format!(
                    "{n} sections are left out of the claim; each is listed with its reason."
                ),
            });
        }
    }
    if !report.refusals.is_empty() {
        let mut what: Vec<String> = Vec::new();
        for r in &report.refusals {
            let words = format!("{} ({})", text(&r.what), text(&r.effect));
            if !what.contains(&words) {
                what.push(words);
            }
        }
        out.push(format!(
            "Besides the throat, and however deep the fusion, {} is against this joint or asks more of it: {}. Facts and next steps stand under its own heading.",
            if report.code.is_empty() { "the code".to_owned() } else { text(&report.code) },
            what.join("; ")
        ));
    }
    out.push(
        "Static strength only. The engineer accepts the throat for design; this report does not."
            .to_owned(),
    );
    let mut recalled: Vec<String> = Vec::new();
    let clauses = report.need.iter().flat_map(|n| &n.clauses);
    let all = clauses.chain(report.refusals.iter().map(|r| &r.clause)).chain(&report.sources);
    for source in all.filter(|s| words::is_recalled(s)) {
        let name = short_name(source);
        if !recalled.contains(&name) {
            recalled.push(name);
        }
    }
    if !recalled.is_empty() {
        out.push(format!(
            "Recalled: what is said here of {} is given from memory and is to be checked against the page before it is relied on.",
            join_words(&recalled)
        ));
    }
    if report.invented {
        out.push("Invented data: this answer is an example and speaks for no weld.".to_owned());
    }
    out
}

/// A source's name as people say it: what stands before the first comma.
fn short_name(source: &Source) -> String {
    source.title.split(',').next().unwrap_or(source.title).to_owned()
}

fn join_words(words: &[String]) -> String {
    match words.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, before)) => format!("{} and {last}", before.join(", ")),
        None => String::new(),
    }
}

fn counted(n: usize, what: &str) -> String {
    if n == 1 { format!("1 {what}") } else { format!("{n} {what}s") }
}

fn fact(words: &str, of: String) -> Value {
    json!([words, of])
}

fn joint(report: &Customer<'_>, figures: &mut Figures) -> Value {
    if report.joint.is_none() && report.need.is_none() {
        return Value::Null;
    }
    let mut facts: Vec<Value> = Vec::new();
    let mut figure = Value::Null;
    if let Some(joint) = &report.joint {
        facts.extend(joint.facts.iter().map(|(what, of)| fact(&text(what), text(of))));
        if let Some(svg) = &joint.drawing {
            figure = figures
                .add(svg, "The joint before welding, drawn to scale, with the needed throat");
        }
    }
    if let Some(need) = &report.need {
        if !need.load.is_empty() {
            facts.push(fact("load", text(&need.load)));
        }
        let throat = match need.throat {
            Some(t) => in_both(t, Rounding::Up, decimals, report.units),
            None => "none is given by the code".to_owned(),
        };
        facts.push(fact("needed throat", throat));
        if let Some(r) = need.resistance {
            let places = |u| LineLoad::KIND.decimals(u);
            facts.push(fact("resistance", in_both(r, Rounding::Down, places, report.units)));
        }
        if !need.penetration_counts_by.is_empty() {
            facts.push(fact("penetration counts by", text(&need.penetration_counts_by)));
        }
    }
    let clauses: Vec<String> = report
        .need
        .iter()
        .flat_map(|n| &n.clauses)
        .map(|c| text(&format!("{}, {} ({})", short_name(c), c.place, words::seen(c))))
        .collect();
    json!({ "figure": figure, "facts": facts, "clauses": clauses })
}

fn strips(report: &Customer<'_>, claim: Option<&Claim>, figures: &mut Figures) -> Vec<Value> {
    if report.groups.is_empty() {
        return Vec::new();
    }
    let need_mm = claim
        .and_then(|c| c.need_mm)
        .or_else(|| report.need.as_ref().and_then(|n| n.throat).map(|t| t.mm()));
    let strip = Strip {
        words: &report.value_words,
        groups: &report.groups,
        bound_mm: claim.filter(|c| c.verdict != Verdict::CannotClaim).map(|c| c.bound_mm),
        need_mm,
        units: report.units,
        width_mm: TEXT_WIDTH,
    };
    let alt = format!("{} by coupon against the bound and the need", report.value_words);
    strip_plots(&strip, 215.0).iter().map(|svg| figures.add(svg, &alt)).collect()
}

/// A scatter, or what is taken off: small beside a reading, so it has one decimal more. The other system beside.
fn scatter(mm: f64, units: UnitSystem) -> String {
    in_both(Length::from_mm(mm), Rounding::Nearest, |u| decimals(u) + 1, units)
}

/// A quantity in both systems, each rounded from the value itself, so that one need prints as one pair everywhere.
fn in_both<Q: Quantity>(
    q: Q,
    rounding: Rounding,
    decimals: impl Fn(UnitSystem) -> usize,
    units: UnitSystem,
) -> String {
    let [first, beside] = [units, units.other()].map(|u| show(q, rounding, decimals(u), u));
    if first == beside { first } else { format!("{first} ({beside})") }
}

/// Bound and need in both systems: each agrees with the verdict by itself.
fn both_against(bound: Length, need: Length, units: UnitSystem) -> [[String; 2]; 2] {
    let [first, beside] = [units, units.other()].map(|u| against(bound, need, decimals(u), u));
    [[first.bound, beside.bound], [first.need, beside.need]]
}

fn statistic_cell(mm: f64, rounding: Rounding, units: UnitSystem) -> Value {
    let [first, beside] =
        [units, units.other()].map(|u| show(Length::from_mm(mm), rounding, decimals(u), u));
    json!({ "first": first, "beside": beside })
}

fn scatter_cell(mm: f64, units: UnitSystem) -> Value {
    let [first, beside] = [units, units.other()]
        .map(|u| show(Length::from_mm(mm), Rounding::Nearest, decimals(u) + 1, u));
    json!({ "first": first, "beside": beside })
}

fn claim_page(claim: &Claim, units: UnitSystem) -> Value {
    let bound = Length::from_mm(claim.bound_mm);
    let mut facts = Vec::new();
    match claim.need_mm {
        Some(need) => {
            let pair = both_against(bound, Length::from_mm(need), units);
            for (words, [first, beside]) in ["bound", "need"].into_iter().zip(pair) {
                facts.push(fact(words, format!("{first} ({beside})")));
            }
        }
        None => facts.push(fact("bound", in_both(bound, Rounding::Down, decimals, units))),
    }
    facts.push(fact("assured", claim.assurance.to_string()));
    facts.push(fact(
        "rests on",
        format!("{} of {}", counted(claim.sections, "section"), counted(claim.coupons, "coupon")),
    ));
    facts.push(fact(
        "mean",
        in_both(Length::from_mm(claim.mean_mm), Rounding::Nearest, decimals, units),
    ));
    facts.push(fact("standard deviation s", scatter(claim.s_mm, units)));
    if let Some(v) = claim.within_mm {
        facts.push(fact("s within coupons", scatter(v, units)));
    }
    if let Some(v) = claim.between_mm {
        facts.push(fact("s between coupons", scatter(v, units)));
    }
    facts.push(fact(
        "k",
        format!(
            "{}, so that mean − k·s is the statistical bound {}",
            plain(claim.k, 4),
            in_both(Length::from_mm(claim.statistical_bound_mm), Rounding::Down, decimals, units)
        ),
    ));
    let shared = match claim.shared_u {
        Some(u) => format!(
            "takes {} for {} % of standard uncertainty that all photos share",
            scatter(claim.shared_mm, units),
            plain(100.0 * u, 2)
        ),
        None => "not stated by any reading, so nothing was taken off".to_owned(),
    };
    facts.push(fact("shared error", shared));
    if let Some(r) = claim.repeatability {
        let readers = match r.readers {
            0 => String::new(),
            n => format!(", {}", counted(n, "reader")),
        };
        facts.push(fact(
            "repeat reading, s",
            format!(
                "{} over {} read more than once{readers}",
                scatter(r.s_mm, units),
                counted(r.sections, "section")
            ),
        ));
    }
    facts.push(fact("method", capital(&claim.method.to_string())));
    facts.push(fact("shape of the scatter", capital(&claim.normality.to_string())));
    if let Some(more) = &claim.more {
        let say = |reach: &Reach, what: &str| match reach {
            Reach::With { more, chance } => format!(
                "{more} more {what} would reach the need with a chance of {} %",
                plain(100.0 * chance, 0)
            ),
            Reach::NotWith { tried, chance } => format!(
                "not even {tried} more {what} would: their chance is {} %",
                plain(100.0 * chance, 0)
            ),
            Reach::NotTold { why } => format!("more {what}: {why}"),
            _ => format!("more {what}: not told"),
        };
        let coupons = format!("coupons of {}", counted(more.sections_per_coupon, "section"));
        facts.push(fact(
            "what more would help",
            format!(
                "{}; {}",
                say(&more.sections, "sections of the same coupons"),
                say(&more.coupons, &coupons)
            ),
        ));
    }
    let stated = |value: &Option<String>| {
        value.as_deref().map_or_else(|| "not stated: not covered".to_owned(), text)
    };
    let p = &claim.population;
    let population = p.all();
    let left_out: Vec<Value> = claim.left_out.iter().map(left_out_row).collect();
    json!({
        "facts": facts,
        "sides": claim.sides.iter().map(|s| json!({
            "side": text(&s.side),
            "sections": s.sections.to_string(),
            "mean": statistic_cell(s.mean_mm, Rounding::Nearest, units),
            "s": scatter_cell(s.s_mm, units),
            "bound": statistic_cell(s.bound_mm, Rounding::Down, units),
        })).collect::<Vec<_>>(),
        "population": population.iter().map(|(what, of)| fact(what, stated(of))).collect::<Vec<_>>(),
        "left_out": left_out,
        "left_out_words": format!("{} cut and carries no value; numbers as in the plot.", if claim.left_out.len() == 1 { "One section was".to_owned() } else { format!("{} sections were", claim.left_out.len()) }),
        "remarks": claim.remarks.iter().map(|r| text(r)).collect::<Vec<_>>(),
    })
}

/// Fixed decimals, without a sign on zero.
fn plain(v: f64, decimals: usize) -> String {
    if !v.is_finite() {
        return "no value".to_owned();
    }
    let text = format!("{v:.decimals$}");
    if text.trim_start_matches(['-', '0', '.']).is_empty() {
        text.trim_start_matches('-').to_owned()
    } else {
        text
    }
}

fn left_out_row(l: &LeftOut) -> Value {
    json!([
        l.coupon.as_deref().map_or_else(|| "–".to_owned(), text),
        text(&l.section),
        l.side.as_deref().map_or_else(|| "–".to_owned(), text),
        format!("{}: {}", reason_number(l.reason), l.reason),
    ])
}

fn refused(r: &Refused) -> Value {
    json!({
        "effect": text(&capital(&r.effect)),
        "what": text(&capital(&r.what)),
        "clause": text(&format!("{}, {}", short_name(&r.clause), r.clause.place)),
        "recalled": words::is_recalled(&r.clause),
        "seen": text(&words::seen(&r.clause)),
        "fact": text(&r.fact),
        "advice": text(&r.advice),
    })
}

fn source(s: &Source) -> Value {
    json!({
        "title": text(s.title),
        "place": text(s.place),
        "seen": text(&words::seen(s)),
        "recalled": words::is_recalled(s),
    })
}

/// A reading in one line: the other system's figure beside it, its uncertainty once.
fn in_a_line(c: &Cell) -> Value {
    let beside = c.beside.split(", u ").next().unwrap_or_default();
    json!({ "first": c.first, "beside": beside })
}

const fn weld_word(side: Side) -> &'static str {
    match side {
        Side::Only => "weld",
        other => other.word(),
    }
}

fn summary(report: &Customer<'_>) -> Value {
    if report.summary.is_empty() || report.sections.iter().all(|s| s.welds.is_empty()) {
        return Value::Null;
    }
    let head: Vec<Value> = report
        .summary
        .iter()
        .map(|r| json!({ "words": r.words(), "unit": words::unit(*r, report.units) }))
        .collect();
    let mut rows = Vec::new();
    for s in &report.sections {
        for w in &s.welds {
            let cells: Vec<Value> = report
                .summary
                .iter()
                .map(|r| {
                    value_of(w, *r).map_or(Value::Null, |v| cell(&words::cell(*r, v, report.units)))
                })
                .collect();
            rows.push(json!({
                "coupon": text(&s.coupon),
                "section": text(&s.section),
                "weld": weld_word(w.side),
                "cells": cells,
            }));
        }
    }
    json!({
        "words": "u is one standard uncertainty; figures are rounded to it. The other unit system stands beneath.",
        "head": head,
        "rows": rows,
    })
}

/// The values behind the plot, where no table of readings holds them.
fn values(report: &Customer<'_>) -> Value {
    if report.groups.iter().all(|g| g.values.is_empty()) || !summary(report).is_null() {
        return Value::Null;
    }
    let rows: Vec<Value> = report
        .groups
        .iter()
        .flat_map(|g| g.values.iter().map(move |v| (g, v)))
        .map(|(g, v)| {
            let length = Measured::new(Length::from_mm(v.value.value), Length::from_mm(v.value.u));
            json!({
                "coupon": text(&g.coupon),
                "section": text(&v.section),
                "weld": weld_word(v.side),
                "cell": cell(&words::length_cell(length, report.units)),
            })
        })
        .collect();
    json!({
        "words": text(&report.value_words),
        "unit": words::unit(Reading::LegBase, report.units),
        "rows": rows,
    })
}

fn value_of(weld: &WeldRows, reading: Reading) -> Option<Measured<f64>> {
    weld.values.iter().find(|(r, _)| *r == reading).map(|(_, v)| *v)
}

fn section(s: &SectionPage, units: UnitSystem, figures: &mut Figures) -> Value {
    let title = match (s.coupon.is_empty(), s.section.is_empty()) {
        (true, _) => format!("Section {}", s.section),
        (false, true) => format!("Coupon {}", s.coupon),
        (false, false) => format!("Coupon {}, section {}", s.coupon, s.section),
    };
    let mut rows: Vec<Value> = Vec::new();
    // Lengths are most of them: their unit stands in the table's head.
    let length = words::unit(Reading::LegBase, units);
    let own = |unit: String| if unit == length { String::new() } else { unit };
    let mut order: Vec<Reading> = Vec::new();
    for (reading, _) in s.welds.iter().flat_map(|w| &w.values) {
        if !order.contains(reading) {
            order.push(*reading);
        }
    }
    for reading in order {
        let cells: Vec<Option<Measured<f64>>> =
            s.welds.iter().map(|w| value_of(w, reading)).collect();
        if cells.iter().all(Option::is_none) {
            continue;
        }
        let cells: Vec<Value> = cells
            .into_iter()
            .map(|v| v.map_or(Value::Null, |v| in_a_line(&words::cell(reading, v, units))))
            .collect();
        rows.push(json!({ "words": reading.words(), "unit": own(words::unit(reading, units)), "cells": cells, "joint": false }));
    }
    let of_joint = |words: &str, unit: String, value: Value| json!({ "words": words, "unit": unit, "cells": [value], "joint": true });
    for (words, v) in &s.joint {
        rows.push(of_joint(&text(words), String::new(), in_a_line(&words::length_cell(*v, units))));
    }
    for (words, answer) in &s.answers {
        rows.push(of_joint(
            &text(words),
            String::new(),
            json!({ "first": text(answer), "beside": "" }),
        ));
    }
    let absent: Vec<Value> = s
        .welds
        .iter()
        .flat_map(|w| w.absent.iter().map(move |(r, why)| (w.side, *r, why)))
        .map(|(side, r, why)| {
            let words = if side == Side::Only {
                r.words().to_owned()
            } else {
                format!("{}, {}", side.word(), r.words())
            };
            json!({ "words": words, "why": text(why) })
        })
        .collect();
    let picture = s.picture.as_ref().map_or(Value::Null, |svg| {
        figures.add(svg, &format!("{title}: the photo with outline and dimensions"))
    });
    let as_taken = s
        .as_taken
        .as_ref()
        .map_or(Value::Null, |svg| figures.add(svg, &format!("{title}: the photo as taken")));
    let drawn = s.drawing.as_ref().map(|svg| {
        (
            svg.width_mm() > DRAWING_WIDTH_MM + 0.01,
            figures.add(svg, &format!("{title}: drawn to scale with dimensions")),
        )
    });
    let (drawing, wide) = match drawn {
        Some((true, figure)) => (Value::Null, figure),
        Some((false, figure)) => (figure, Value::Null),
        None => (Value::Null, Value::Null),
    };
    let welds: Vec<&str> = if s.welds.is_empty() && !rows.is_empty() {
        vec!["joint"]
    } else {
        s.welds.iter().map(|w| weld_word(w.side)).collect()
    };
    json!({
        "title": text(&title),
        "unit": length,
        "picture": picture,
        "as_taken": as_taken,
        "no_picture": text(&s.no_picture),
        "drawing": drawing,
        "wide": wide,
        "welds": welds,
        "rows": rows,
        "absent": absent,
        "remarks": s.remarks.iter().map(|r| text(r)).collect::<Vec<_>>(),
    })
}
