//! `claim`: how much throat may be claimed from these sections?
//!
//! Asked of a table of readings here; of a claim file in [`mod@file`].

pub mod file;
pub mod says;

use crate::files;
use crate::refusal::Refusal;
use crate::table::{Table, read_table};
use crate::wire::{ClaimOut, LeftOutOut, MoreOut, ReachOut, SideOut};
use std::path::Path;
use trials::tolerance::more::Ask;
pub(crate) use trials::tolerance::rows::Row;
pub use trials::tolerance::rows::Sides;
use trials::tolerance::rows::{Counted, Fault, counted_values};
use trials::tolerance::{ClaimError, Options, claim as claim_rows};
use weld::claim::{Assurance, Claim, Population, Reach, Verdict};
use weld::quantity::show::UnitSystem;
use weld::quantity::{Length, Share};
use weld::reading::Reading;

/// What is asked of a table of readings.
#[derive(Clone, Debug)]
pub struct Asked {
    /// The column to claim, such as `effective_throat_mm`.
    pub value: String,
    /// Share of all sections, 0.5 to 0.9999.
    pub content: f64,
    /// Confidence, 0.5 to 0.9999.
    pub confidence: f64,
    /// The throat needed, with its unit.
    pub need: Option<String>,
    /// Relative standard uncertainty common to all readings, such as `1 %`.
    pub shared_u: Option<String>,
    /// How two sides are brought together.
    pub sides: Sides,
    /// What the claim speaks for.
    pub population: Population,
    /// Whether the setting was frozen before these coupons were welded.
    pub frozen: Option<bool>,
    /// Units of the sentence; inches have the millimetres beside them.
    pub units: UnitSystem,
}

/// An answer: a claim, or that there is none.
#[derive(Clone, Debug)]
pub enum Answer {
    /// A bound, and what it says about the need.
    Claim(Box<ClaimOut>),
    /// Nothing may be claimed.
    No {
        /// The verdict as a sentence.
        sentence: String,
        /// The next action.
        advice: String,
    },
}

impl Answer {
    /// Is the answer a yes (exit code 0) rather than a no (1)?
    #[must_use]
    pub fn holds(&self) -> bool {
        matches!(self, Self::Claim(out) if out.holds())
    }
}

impl ClaimOut {
    /// Does the verdict hold?
    #[must_use]
    pub fn holds(&self) -> bool {
        matches!(
            self.verdict.as_str(),
            "met" | "met within coupon" | "bound only" | "bound only within coupon"
        )
    }
}

/// Works out what a table of readings allows to claim.
///
/// # Errors
///
/// Says file, line, field, fact and next action.
pub fn claim(path: &Path, asked: &Asked) -> Result<Answer, Refusal> {
    let file = path.display().to_string();
    let text = files::text(path)?;
    let readings = Readings::of_table(&file, &text, asked)?;
    Ok(work_out(readings, asked)?.answer(asked))
}

/// Where a row of readings comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Place {
    file: String,
    line: Option<usize>,
}

/// Rows of readings, each with the place it comes from.
#[derive(Clone, Debug)]
struct Readings {
    rows: Vec<Row>,
    places: Vec<Place>,
    /// What is to be said of them.
    remarks: Vec<String>,
    /// Seed of the simulated futures: the same readings give the same figures.
    seed: u64,
    /// What to do about a blank.
    about_blanks: &'static str,
}

impl Readings {
    fn of_table(file: &str, text: &str, asked: &Asked) -> Result<Self, Refusal> {
        let table = read_table(file, text, &asked.value)?;
        let (rows, remarks) = smaller_throat(&table, &asked.value);
        let place = |line: &usize| Place { file: file.to_owned(), line: Some(*line) };
        Ok(Self {
            rows,
            places: table.lines.iter().map(place).collect(),
            remarks,
            seed: seed_of(text),
            about_blanks: "enter the value (0 where the section shows no throat), or record a reason: cut lost, etch failed, planned exclusion",
        })
    }
}

fn seed_of(text: &str) -> u64 {
    blake3::hash(text.as_bytes()).as_bytes()[..8]
        .iter()
        .fold(0_u64, |s, b| (s << 8) | u64::from(*b))
}

/// A claim as nouns: what came out, and the rows that it rests on.
#[derive(Clone, Debug)]
pub struct Worked {
    /// The claim, or why there is none.
    pub outcome: Outcome,
    rows: Vec<Row>,
    sides: Sides,
}

/// What came out.
#[derive(Clone, Debug)]
pub enum Outcome {
    /// A bound, whatever it says about the need.
    Claim(Box<Claim>),
    /// Nothing may be claimed.
    No {
        /// The verdict as a sentence.
        sentence: String,
        /// The next action.
        advice: String,
    },
}

impl Worked {
    /// The answer as the doors give it.
    #[must_use]
    pub fn answer(&self, asked: &Asked) -> Answer {
        match &self.outcome {
            Outcome::Claim(claim) => Answer::Claim(Box::new(form(claim, asked))),
            Outcome::No { sentence, advice } => {
                Answer::No { sentence: sentence.clone(), advice: advice.clone() }
            }
        }
    }

    /// How many sides the rows tell apart.
    #[must_use]
    pub fn row_sides(&self) -> usize {
        let sides: std::collections::BTreeSet<Option<String>> =
            self.rows.iter().map(|row| row.weld.as_ref().map(|w| w.to_lowercase())).collect();
        sides.len()
    }

    /// The values that the claim counts, and would count where there is none.
    #[must_use]
    pub fn values(&self) -> Vec<Counted> {
        counted_values(&self.rows, self.sides)
    }
}

fn work_out(readings: Readings, asked: &Asked) -> Result<Worked, Refusal> {
    let Readings { mut rows, places, mut remarks, seed, about_blanks } = readings;
    let assurance = Assurance::new(asked.content, asked.confidence)
        .map_err(|e| Refusal::new(e, e.advice()).in_field("content, confidence"))?;
    let need_mm = match &asked.need {
        Some(text) => Some(length("need", text)?),
        None => None,
    };
    if let Some(text) = &asked.shared_u {
        let u = text
            .parse::<Share>()
            .map_err(|e| Refusal::new(&e, e.advice()).in_field("shared-u"))?
            .fraction();
        if !(0.0..=0.5).contains(&u) {
            return Err(Refusal::new(
                format!("a shared uncertainty of {text} is outside 0 to 50 %"),
                "give the relative standard uncertainty that all photos have in common, such as \"1 %\"",
            )
            .in_field("shared-u"));
        }
        for row in &mut rows {
            // A stated shared part stands where it is larger.
            row.u_shared_mm = row.value_mm.map(|v| row.u_shared_mm.unwrap_or(0.0).max(v * u));
        }
    }
    let options = Options {
        what: what_of(&asked.value),
        assurance,
        need_mm,
        sides: asked.sides,
        population: asked.population.clone(),
        setting_was_frozen: asked.frozen,
        more: need_mm.map(|_| Ask::default()),
        seed,
        units: asked.units,
        ..Options::default()
    };
    let outcome = match claim_rows(&rows, &options) {
        Ok(mut claim) => {
            remarks.append(&mut claim.remarks);
            let sided = rows.iter().filter(|r| r.value_mm.is_some() && r.weld.is_some()).count();
            if asked.sides == Sides::Least && sided > 1 {
                remarks.push(
                    "where a section has two sides it counts with the less of their values and the larger of their uncertainties".to_owned(),
                );
            }
            claim.remarks = remarks;
            Outcome::Claim(Box::new(claim))
        }
        Err(e) => refuse(&e, &places, asked, about_blanks)?,
    };
    Ok(Worked { outcome, rows, sides: asked.sides })
}

fn length(field: &str, text: &str) -> Result<f64, Refusal> {
    text.parse::<Length>().map(|l| l.mm()).map_err(|e| Refusal::new(&e, e.advice()).in_field(field))
}

/// When penetration exceeds the leg the two throats part; a claim of the effective throat then uses the smaller.
fn smaller_throat(table: &Table, value: &str) -> (Vec<Row>, Vec<String>) {
    let mut rows = table.rows.clone();
    if value != Reading::EffectiveThroat.field() {
        return (rows, Vec::new());
    }
    let mut swapped = 0;
    for (row, other) in rows.iter_mut().zip(&table.penetrated) {
        if let (Some(value), Some(other)) = (row.value_mm, other)
            && other.value_mm < value
        {
            row.value_mm = Some(other.value_mm);
            row.u_mm = other.u_mm.or(row.u_mm);
            row.u_shared_mm = other.u_shared_mm.or(row.u_shared_mm);
            swapped += 1;
        }
    }
    let remarks = if swapped == 0 {
        Vec::new()
    } else {
        vec![format!(
            "in {swapped} row(s) the penetration exceeds the leg, and the throat with penetration, the smaller one, is used"
        )]
    };
    (rows, remarks)
}

/// The most lines that are named one by one.
const LINES_NAMED: usize = 10;
/// The most faults that are told at once.
const FAULTS_TOLD: usize = 5;

fn refuse(
    error: &ClaimError,
    places: &[Place],
    asked: &Asked,
    about_blanks: &str,
) -> Result<Outcome, Refusal> {
    // Rows are counted from 1; a person looks for files and lines.
    let place = |row: usize| places.get(row.wrapping_sub(1));
    let spot = |row: usize| match place(row) {
        Some(Place { line: Some(line), .. }) if one_file(places) => format!("line {line}"),
        Some(Place { file, line: Some(line) }) => format!("{file}:{line}"),
        Some(Place { file, line: None }) => file.clone(),
        None => format!("row {row}"),
    };
    let file = if one_file(places) { places.first().map(|p| p.file.as_str()) } else { None };
    let within = |sentence: String| match file {
        Some(file) => format!("{sentence} ({file})."),
        None => format!("{sentence}."),
    };
    let refusal = match error {
        ClaimError::Blank { rows } => {
            let mut spots: Vec<String> = rows.iter().map(|row| spot(*row)).collect();
            // Both welds of one photo are one file.
            spots.dedup();
            let rest = spots.len().saturating_sub(LINES_NAMED);
            spots.truncate(LINES_NAMED);
            let rest = if rest > 0 { format!(" and {rest} more") } else { String::new() };
            let (count, s) = match rows.len() {
                1 => ("1 row has".to_owned(), ""),
                n => (format!("{n} rows have"), "s"),
            };
            let spots = match file {
                Some(file) => {
                    let lines: Vec<&str> =
                        spots.iter().map(|spot| spot.trim_start_matches("line ")).collect();
                    format!("{file}, line{s} {}", lines.join(", "))
                }
                None => spots.join(", "),
            };
            return Ok(Outcome::No {
                sentence: format!(
                    "Cannot claim: {count} no {} and no reason ({spots}{rest}).",
                    asked.value
                ),
                advice: about_blanks.to_owned(),
            });
        }
        error if error.is_answer_no() => {
            return Ok(Outcome::No {
                sentence: within(capital(&error.to_string())),
                advice: error.advice().to_owned(),
            });
        }
        ClaimError::Rows { faults } => {
            let said = |fault: &Fault| match fault {
                Fault::Twice { other } => {
                    format!("this reading stands in {} already", spot(*other))
                }
                other => other.to_string(),
            };
            let mut fact = String::new();
            for (i, fault) in faults.iter().take(FAULTS_TOLD).enumerate() {
                if i > 0 {
                    fact.push_str(&format!("; {}: ", spot(fault.row)));
                }
                fact.push_str(&said(&fault.fault));
            }
            if faults.len() > FAULTS_TOLD {
                fact.push_str(&format!("; and {} more", faults.len() - FAULTS_TOLD));
            }
            let refusal = Refusal::new(fact, error.advice());
            match faults.first().and_then(|first| Some((first, place(first.row)?))) {
                Some((first, place)) => refusal
                    .in_file(&place.file)
                    .at_line(place.line)
                    .in_field(column_of(&first.fault, &asked.value)),
                None => refusal,
            }
        }
        ClaimError::NoNeed { .. } => Refusal::new(error, error.advice()).in_field("need"),
        _ => {
            let refusal = Refusal::new(error, error.advice());
            match file {
                Some(file) => refusal.in_file(file),
                None => refusal,
            }
        }
    };
    Err(refusal)
}

/// Whether all rows are lines of one table.
fn one_file(places: &[Place]) -> bool {
    places.iter().all(|p| p.line.is_some() && Some(&p.file) == places.first().map(|f| &f.file))
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// The column that a fault of a row stands in.
fn column_of(fault: &Fault, value: &str) -> String {
    match fault {
        Fault::NoLabel => "section".to_owned(),
        Fault::NoThroat { .. } => value.to_owned(),
        Fault::NoUncertainty { .. } => format!("{value}_u"),
        Fault::UnknownReason { .. } => "reason".to_owned(),
        Fault::UnknownSide { .. } | Fault::SidesMixed | Fault::SideMissing { .. } => {
            "weld".to_owned()
        }
        Fault::Twice { .. } => "reading".to_owned(),
        _ => "coupon".to_owned(),
    }
}

/// The trade's words for a column: every throat is a throat, the rest goes by its own name.
fn what_of(column: &str) -> String {
    match Reading::from_field(column) {
        _ if column.contains("throat") => "throat".to_owned(),
        Some(reading) => reading.words().to_owned(),
        None => format!("value ({column})"),
    }
}

fn verdict_word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Met => "met",
        Verdict::MetWithinCoupon => "met within coupon",
        Verdict::NotMet => "not met",
        Verdict::InDoubt => "in doubt",
        Verdict::BoundOnly => "bound only",
        Verdict::BoundOnlyWithinCoupon => "bound only within coupon",
        _ => "cannot claim",
    }
}

fn reach(reach: &Reach) -> ReachOut {
    let none = ReachOut { more: None, tried: None, chance: None, why: None };
    match *reach {
        Reach::With { more, chance } => ReachOut { more: Some(more), chance: Some(chance), ..none },
        Reach::NotWith { tried, chance } => {
            ReachOut { tried: Some(tried), chance: Some(chance), ..none }
        }
        Reach::NotTold { why } => ReachOut { why: Some(why.to_owned()), ..none },
        _ => none,
    }
}

fn form(claim: &Claim, asked: &Asked) -> ClaimOut {
    ClaimOut {
        value: asked.value.clone(),
        content: claim.assurance.coverage(),
        confidence: claim.assurance.confidence(),
        need_mm: claim.need_mm,
        bound_mm: claim.bound_mm,
        statistical_bound_mm: claim.statistical_bound_mm,
        k: claim.k,
        n: claim.sections,
        coupons: claim.coupons,
        mean_mm: claim.mean_mm,
        s_mm: claim.s_mm,
        within_mm: claim.within_mm,
        between_mm: claim.between_mm,
        shared_mm: claim.shared_mm,
        shared_u: claim.shared_u,
        method: claim.method.to_string(),
        verdict: verdict_word(claim.verdict).to_owned(),
        sentence: claim.sentence.clone(),
        speaks_for_procedure: claim.verdict.speaks_for_procedure(),
        population: claim.population.to_string(),
        normality: claim.normality.to_string(),
        left_out: claim
            .left_out
            .iter()
            .map(|l| LeftOutOut {
                coupon: l.coupon.clone(),
                section: l.section.clone(),
                weld: l.side.clone(),
                reason: l.reason.to_string(),
            })
            .collect(),
        sides: claim
            .sides
            .iter()
            .map(|s| SideOut {
                weld: s.side.clone(),
                n: s.sections,
                mean_mm: s.mean_mm,
                s_mm: s.s_mm,
                bound_mm: s.bound_mm,
            })
            .collect(),
        more_sections: claim.more.as_ref().map(|m| MoreOut {
            aimed_chance: m.aimed_chance,
            sections: reach(&m.sections),
            coupons: reach(&m.coupons),
            sections_per_coupon: m.sections_per_coupon,
            after_ten_sections_mm: m.after_ten_sections_mm,
            after_one_coupon_mm: m.after_one_coupon_mm,
        }),
        repeatability_mm: claim.repeatability.map(|r| r.s_mm),
        remarks: claim.remarks.clone(),
    }
}
