//! `claim`: how much throat may be claimed from these sections?

use crate::files;
use crate::refusal::Refusal;
use crate::table::{Table, read_table};
use crate::wire::{ClaimOut, LeftOutOut, MoreOut, ReachOut, SideOut};
use std::path::Path;
use trials::tolerance::more::Ask;
pub use trials::tolerance::rows::Sides;
use trials::tolerance::rows::{Fault, Row};
use trials::tolerance::{ClaimError, Options, claim as claim_rows};
use weld::claim::{Assurance, Claim, Population, Reach, Verdict};
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
    let table = read_table(&file, &text, &asked.value)?;
    let assurance = Assurance::new(asked.content, asked.confidence)
        .map_err(|e| Refusal::new(e, e.advice()).in_field("content, confidence"))?;
    let need_mm = match &asked.need {
        Some(text) => Some(length("need", text)?),
        None => None,
    };
    let (mut rows, mut remarks) = smaller_throat(&table, &asked.value);
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
        seed: blake3::hash(text.as_bytes()).as_bytes()[..8]
            .iter()
            .fold(0_u64, |s, b| (s << 8) | u64::from(*b)),
        ..Options::default()
    };
    match claim_rows(&rows, &options) {
        Ok(claim) => {
            let mut out = form(&claim, asked);
            remarks.append(&mut out.remarks);
            out.remarks = remarks;
            Ok(Answer::Claim(Box::new(out)))
        }
        Err(e) => refuse(&e, &file, &table, asked),
    }
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

fn refuse(error: &ClaimError, file: &str, table: &Table, asked: &Asked) -> Result<Answer, Refusal> {
    // Rows are counted without the header; a person looks for lines.
    let line = |row: usize| table.lines.get(row.wrapping_sub(1)).copied().unwrap_or(row);
    let refusal = match error {
        ClaimError::Blank { rows } => {
            let named: Vec<String> =
                rows.iter().take(LINES_NAMED).map(|row| line(*row).to_string()).collect();
            let rest = rows.len().saturating_sub(LINES_NAMED);
            let rest = if rest > 0 { format!(" and {rest} more") } else { String::new() };
            let (rows, s) = match rows.len() {
                1 => ("1 row has".to_owned(), ""),
                n => (format!("{n} rows have"), "s"),
            };
            return Ok(Answer::No {
                sentence: format!(
                    "Cannot claim: {rows} no {} and no reason ({file}, line{s} {}{rest}).",
                    asked.value,
                    named.join(", ")
                ),
                advice: "enter the value (0 where the section shows no throat), or record a reason: cut lost, etch failed, planned exclusion".to_owned(),
            });
        }
        error if error.is_answer_no() => {
            return Ok(Answer::No {
                sentence: format!("{} ({file}).", capital(&error.to_string())),
                advice: error.advice().to_owned(),
            });
        }
        ClaimError::Rows { faults } => {
            let said = |fault: &Fault| match fault {
                Fault::Twice { other } => {
                    format!("this reading stands in line {} already", line(*other))
                }
                other => other.to_string(),
            };
            let mut fact = String::new();
            for (i, fault) in faults.iter().take(FAULTS_TOLD).enumerate() {
                if i > 0 {
                    fact.push_str(&format!("; line {}: ", line(fault.row)));
                }
                fact.push_str(&said(&fault.fault));
            }
            if faults.len() > FAULTS_TOLD {
                fact.push_str(&format!("; and {} more", faults.len() - FAULTS_TOLD));
            }
            let refusal = Refusal::new(fact, error.advice()).in_file(file);
            match faults.first() {
                Some(first) => refusal
                    .at_line(Some(line(first.row)))
                    .in_field(column_of(&first.fault, &asked.value)),
                None => refusal,
            }
        }
        ClaimError::NoNeed { .. } => Refusal::new(error, error.advice()).in_field("need"),
        _ => Refusal::new(error, error.advice()).in_file(file),
    };
    Err(refusal)
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
