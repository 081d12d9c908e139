//! The claim file: which sections, what is asked of them, and for whom the paper is.

use super::{Label, quantity, word};
use crate::claim::{Asked, Sides};
use crate::refusal::{Refusal, line_of};
use report::paper::Date;
use serde::Deserialize;
use std::ops::Range;
use toml::Spanned;
use weld::claim::{Assurance, BlankReason, Population};
use weld::quantity::show::UnitSystem;
use weld::quantity::{Length, Share};
use weld::reading::{Dimension, Reading};

/// A claim file.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct ClaimForm {
    question: Option<Spanned<String>>,
    joint: Option<Spanned<String>>,
    sections: Option<Spanned<Vec<Spanned<String>>>>,
    readings: Option<Spanned<String>>,
    value: Option<Spanned<String>>,
    content: Option<Spanned<ShareForm>>,
    confidence: Option<Spanned<ShareForm>>,
    need: Option<Spanned<String>>,
    shared_u: Option<Spanned<String>>,
    sides: Option<Spanned<String>>,
    frozen: Option<bool>,
    #[serde(default)]
    left_out: Vec<Spanned<LeftOutForm>>,
    #[serde(default)]
    population: PopulationForm,
    paper: Option<PaperForm>,
}

/// A share as a number or in percent.
#[derive(Debug, Deserialize)]
#[serde(untagged, expecting = "a share is a number such as 0.95 or a text such as \"95 %\"")]
enum ShareForm {
    Number(f64),
    Text(String),
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct LeftOutForm {
    coupon: Option<Label>,
    section: Label,
    weld: Option<Spanned<String>>,
    reason: Spanned<String>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct PopulationForm {
    operators: Option<String>,
    machine: Option<String>,
    material_heats: Option<String>,
    position: Option<String>,
    setting: Option<String>,
    length: Option<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct PaperForm {
    customer: Spanned<String>,
    author: Spanned<String>,
    date: Spanned<String>,
    units: Option<Spanned<String>>,
    title: Option<String>,
    study: Option<String>,
    edition: Option<Label>,
    #[serde(default)]
    invented: bool,
    #[serde(default)]
    walked_on: bool,
}

/// A claim file turned into nouns, with the lines of its parts for later refusals.
#[derive(Clone, Debug)]
pub struct ClaimFile {
    /// The customer's question.
    pub question: Option<String>,
    /// The joint file, beside the claim file.
    pub joint: Option<String>,
    /// What the claim rests on.
    pub from: From,
    /// What is asked of it.
    pub asked: Asked,
    /// Sections that were cut and have no value.
    pub left_out: Vec<LeftOut>,
    /// What the paper says about itself.
    pub paper: Option<PaperAsked>,
    /// Fields that stand in the file, with their lines.
    pub lines: Vec<(&'static str, usize)>,
}

/// What a claim rests on.
#[derive(Clone, Debug)]
pub enum From {
    /// Reading files, beside the claim file, each with its line.
    Sections(Vec<(String, usize)>),
    /// A table of readings, beside the claim file, with its line.
    Table(String, usize),
}

/// A section without a value, as the claim file names it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftOut {
    /// The coupon.
    pub coupon: Option<String>,
    /// The section.
    pub section: String,
    /// The weld; none: every weld of the section.
    pub weld: Option<String>,
    /// Why.
    pub reason: BlankReason,
    /// The line of its table.
    pub line: usize,
}

/// What a paper says about itself.
#[derive(Clone, Debug)]
pub struct PaperAsked {
    /// For whom.
    pub customer: String,
    /// By whom.
    pub author: String,
    /// The date it carries.
    pub date: Date,
    /// Units that come first.
    pub units: UnitSystem,
    /// Its title, where one is given.
    pub title: Option<String>,
    /// The study it belongs to, where one is named.
    pub study: Option<String>,
    /// Which edition of the paper.
    pub edition: Option<String>,
    /// The data are invented.
    pub invented: bool,
    /// The part is walked on.
    pub walked_on: bool,
}

impl ClaimFile {
    /// The line of a field, where it stands in the file.
    #[must_use]
    pub fn line(&self, field: &str) -> Option<usize> {
        self.lines.iter().find(|(f, _)| *f == field).map(|(_, line)| *line)
    }
}

/// Turns the text of a claim file into nouns.
///
/// # Errors
///
/// Says line, field, fact and next action.
pub fn claim_from_toml(file: &str, text: &str) -> Result<ClaimFile, Refusal> {
    let form: ClaimForm = toml::from_str(text)
        .map_err(|e| Refusal::of_toml(file, text, &e).in_words_of(&TOP, own_advice))?;
    let at = |span: Range<usize>| line_of(text, span.start);
    // Helpers of the reading file carry the place as a byte offset in `line`.
    let placed =
        |r: Refusal| Refusal { line: r.line.map(|start| at(start..start)), ..r }.in_file(file);
    let lines = form.places().map(|(f, span)| (f, at(span))).collect();
    let from = readings(&form, &at).map_err(|r| r.in_file(file))?;
    let rests_on_table = matches!(from, From::Table(..));
    let mut asked = asked(&form, rests_on_table).map_err(placed)?;
    let left_out = form
        .left_out
        .iter()
        .map(|l| left_out(l, at(l.span())))
        .collect::<Result<_, _>>()
        .map_err(placed)?;
    let paper = form.paper.map(paper).transpose().map_err(placed)?;
    asked.units = paper.as_ref().map_or(UnitSystem::Metric, |p| p.units);
    let joint = form.joint.as_ref().map(|j| j.get_ref().clone());
    if joint.as_ref().is_some_and(|j| j.trim().is_empty()) {
        let refusal =
            Refusal::new("the joint file has no name", own_advice("joint").unwrap_or_default());
        let line = form.joint.as_ref().map(|j| at(j.span()));
        return Err(refusal.in_file(file).in_field("joint").at_line(line));
    }
    let question = form.question.map(Spanned::into_inner).filter(|q| !q.trim().is_empty());
    Ok(ClaimFile { question, joint, from, asked, left_out, paper, lines })
}

impl ClaimForm {
    /// The fields at the top of the file that stand there, with their places.
    fn places(&self) -> impl Iterator<Item = (&'static str, Range<usize>)> + use<> {
        fn of<T>(field: &Option<Spanned<T>>) -> Option<Range<usize>> {
            field.as_ref().map(Spanned::span)
        }
        [
            ("question", of(&self.question)),
            ("joint", of(&self.joint)),
            ("sections", of(&self.sections)),
            ("readings", of(&self.readings)),
            ("value", of(&self.value)),
            ("content", of(&self.content)),
            ("confidence", of(&self.confidence)),
            ("need", of(&self.need)),
            ("shared_u", of(&self.shared_u)),
            ("sides", of(&self.sides)),
        ]
        .into_iter()
        .filter_map(|(field, place)| Some((field, place?)))
    }
}

fn readings(form: &ClaimForm, at: &impl Fn(Range<usize>) -> usize) -> Result<From, Refusal> {
    match (&form.sections, &form.readings) {
        (Some(sections), None) => {
            let names: Vec<(String, usize)> =
                sections.get_ref().iter().map(|s| (s.get_ref().clone(), at(s.span()))).collect();
            for (i, (name, line)) in names.iter().enumerate() {
                let fact = if name.trim().is_empty() {
                    "a reading file has no name".to_owned()
                } else if names[..i].iter().any(|(other, _)| other == name) {
                    format!("{name} stands here twice, and would count as a repeat reading")
                } else {
                    continue;
                };
                return Err(Refusal::new(fact, own_advice("sections").unwrap_or_default())
                    .in_field("sections")
                    .at_line(Some(*line)));
            }
            if names.is_empty() {
                return Err(Refusal::new(
                    "no reading file is named, so there is nothing to claim from",
                    own_advice("sections").unwrap_or_default(),
                )
                .in_field("sections")
                .at_line(Some(at(sections.span()))));
            }
            Ok(From::Sections(names))
        }
        (None, Some(table)) if !table.get_ref().trim().is_empty() => {
            Ok(From::Table(table.get_ref().clone(), at(table.span())))
        }
        (None, Some(table)) => Err(Refusal::new(
            "the table of readings has no name",
            own_advice("readings").unwrap_or_default(),
        )
        .in_field("readings")
        .at_line(Some(at(table.span())))),
        (Some(_), Some(table)) => Err(Refusal::new(
            "sections and readings are both given, and a claim rests on one of them",
            "keep sections (reading files, with their photos) or readings (a table)",
        )
        .in_field("readings")
        .at_line(Some(at(table.span())))),
        (None, None) => Err(Refusal::new(
            "neither sections nor readings are named, so there is nothing to claim from",
            own_advice("sections").unwrap_or_default(),
        )
        .in_field("sections")),
    }
}

/// A refusal whose place is a byte offset in `line`.
fn here(span: Range<usize>, refusal: Refusal) -> Refusal {
    Refusal { line: Some(span.start), ..refusal }
}

fn asked(form: &ClaimForm, rests_on_table: bool) -> Result<Asked, Refusal> {
    let usual = Assurance::USUAL;
    let content = share("content", form.content.as_ref(), usual.coverage())?;
    let confidence = share("confidence", form.confidence.as_ref(), usual.confidence())?;
    if let Some(need) = &form.need {
        let length = quantity::<Length>("need", need)?;
        if length.mm() <= 0.0 {
            let fact = format!("'{}' is no needed throat", need.get_ref());
            let refusal = Refusal::new(fact, own_advice("need").unwrap_or_default());
            return Err(here(need.span(), refusal.in_field("need")));
        }
    }
    if let Some(u) = &form.shared_u {
        let share = quantity::<Share>("shared_u", u)?.fraction();
        if !(0.0..=0.5).contains(&share) {
            let fact = format!("a shared uncertainty of {} is outside 0 to 50 %", u.get_ref());
            let refusal = Refusal::new(fact, own_advice("shared_u").unwrap_or_default());
            return Err(here(u.span(), refusal.in_field("shared_u")));
        }
    }
    let sides = match &form.sides {
        None => Sides::Apart,
        Some(text) => word(
            "sides",
            text,
            &[("apart", Sides::Apart), ("least", Sides::Least), ("sum", Sides::Sum)],
        )?,
    };
    let inner = |text: &Option<Spanned<String>>| text.as_ref().map(|t| t.get_ref().clone());
    let told = |text: &Option<String>| text.clone().filter(|t| !t.trim().is_empty());
    let p = &form.population;
    Ok(Asked {
        value: value(form.value.as_ref(), rests_on_table)?,
        content,
        confidence,
        need: inner(&form.need),
        shared_u: inner(&form.shared_u),
        sides,
        population: Population {
            operators: told(&p.operators),
            machine: told(&p.machine),
            material_heats: told(&p.material_heats),
            position: told(&p.position),
            setting: told(&p.setting),
            length: told(&p.length),
        },
        frozen: form.frozen,
        units: UnitSystem::Metric,
    })
}

/// A share within what an assurance takes, 0.5 to 0.9999.
fn share(field: &str, given: Option<&Spanned<ShareForm>>, usual: f64) -> Result<f64, Refusal> {
    let Some(given) = given else { return Ok(usual) };
    let refuse = |r: Refusal| here(given.span(), r.in_field(field));
    let share = match given.get_ref() {
        ShareForm::Number(number) => *number,
        ShareForm::Text(text) => {
            text.parse::<Share>().map_err(|e| refuse(Refusal::new(&e, e.advice())))?.fraction()
        }
    };
    // Both have the same range.
    Assurance::new(share, share).map(|_| share).map_err(|e| {
        let fact = format!("a {field} of {share} is outside 0.5 to 0.9999");
        refuse(Refusal::new(fact, e.advice()))
    })
}

/// The column that is claimed; a reading may be named without its unit.
fn value(given: Option<&Spanned<String>>, rests_on_table: bool) -> Result<String, Refusal> {
    let Some(given) = given else { return Ok(Reading::EffectiveThroat.field().to_owned()) };
    let asked = given.get_ref().trim();
    let mut lengths: Vec<&str> = Reading::ALL
        .iter()
        .filter(|r| r.dimension() == Dimension::Length)
        .map(|r| r.field())
        .collect();
    lengths.extend(crate::table::JOINT);
    let known = |name: &str| lengths.iter().find(|l| **l == name).map(|l| (*l).to_owned());
    if let Some(name) = known(asked).or_else(|| known(&format!("{asked}_mm"))) {
        return Ok(name);
    }
    // A table may have columns of its own.
    if rests_on_table && !asked.is_empty() {
        return Ok(asked.to_owned());
    }
    let refusal = Refusal::new(
        format!("'{asked}' is no length that is read from a section"),
        crate::refusal::near_or_known(asked, &lengths),
    );
    Err(here(given.span(), refusal.in_field("value")))
}

fn left_out(form: &Spanned<LeftOutForm>, line: usize) -> Result<LeftOut, Refusal> {
    let l = form.get_ref();
    let told = |label: &Label| Some(label.text()).filter(|t| !t.is_empty());
    let section = told(&l.section).ok_or_else(|| {
        let refusal = Refusal::new("the section that is left out has no label", LABEL_IT);
        here(form.span(), refusal.in_field("left_out.section"))
    })?;
    let weld = match &l.weld {
        None => None,
        Some(text) => {
            let known = ["left", "right", "top", "bottom", "only"].map(|w| (w, w));
            Some(word("left_out.weld", text, &known)?.to_owned())
        }
    };
    let reason = BlankReason::read(l.reason.get_ref()).ok_or_else(|| {
        let fact = format!("'{}' is no reason to leave a value out", l.reason.get_ref().trim());
        let refusal = Refusal::new(fact, own_advice("reason").unwrap_or_default());
        here(l.reason.span(), refusal.in_field("left_out.reason"))
    })?;
    Ok(LeftOut { coupon: l.coupon.as_ref().and_then(told), section, weld, reason, line })
}

const LABEL_IT: &str = "label it as on its coupon: section = 3";

fn paper(form: PaperForm) -> Result<PaperAsked, Refusal> {
    for (field, text) in [("paper.customer", &form.customer), ("paper.author", &form.author)] {
        if text.get_ref().trim().is_empty() {
            let refusal = Refusal::new("nobody is named", own_advice(field).unwrap_or_default());
            return Err(here(text.span(), refusal.in_field(field)));
        }
    }
    let units = match &form.units {
        None => UnitSystem::Metric,
        Some(text) => {
            word("paper.units", text, &[("mm", UnitSystem::Metric), ("in", UnitSystem::Inch)])?
        }
    };
    let date = date(form.date.get_ref().trim()).ok_or_else(|| {
        let fact = format!("'{}' is not a day", form.date.get_ref());
        let refusal = Refusal::new(fact, own_advice("paper.date").unwrap_or_default());
        here(form.date.span(), refusal.in_field("paper.date"))
    })?;
    let told = |text: Option<String>| text.filter(|t| !t.trim().is_empty());
    Ok(PaperAsked {
        customer: form.customer.into_inner(),
        author: form.author.into_inner(),
        date,
        units,
        title: told(form.title),
        study: told(form.study),
        edition: told(form.edition.map(|e| e.text())),
        invented: form.invented,
        walked_on: form.walked_on,
    })
}

/// Year, month and day, `2026-11-25`.
pub(crate) fn date(text: &str) -> Option<Date> {
    let digits = |part: &str, n: usize| {
        (part.len() == n && part.bytes().all(|b| b.is_ascii_digit())).then_some(())
    };
    let mut parts = text.split('-');
    let (year, month, day) = (parts.next()?, parts.next()?, parts.next()?);
    if parts.next().is_some() {
        return None;
    }
    digits(year, 4)?;
    digits(month, 2)?;
    digits(day, 2)?;
    let date =
        Date { year: year.parse().ok()?, month: month.parse().ok()?, day: day.parse().ok()? };
    date.words().ok().map(|_| date)
}

/// Fields that stand above every table.
const TOP: [&str; 11] = [
    "question",
    "joint",
    "sections",
    "readings",
    "value",
    "content",
    "confidence",
    "need",
    "shared_u",
    "sides",
    "frozen",
];

/// What a field of a claim file wants.
fn own_advice(field: &str) -> Option<&'static str> {
    Some(match field.rsplit('.').next()? {
        "question" => "write the customer's question as text: question = \"Does it carry 60 kN?\"",
        "joint" => "name the joint file beside this file: joint = \"joint.toml\"",
        "sections" => {
            "name each reading file once, beside this file: sections = [\"a1.toml\", \"a2.toml\"]; or readings = \"readings.csv\""
        }
        "readings" => "name the table beside this file: readings = \"readings.csv\"",
        "value" => "name one reading as text: value = \"effective_throat\"",
        "content" | "confidence" => "write a share such as 0.95 or \"95 %\"",
        "need" => "write the needed throat above zero, with its unit: need = \"3 mm\"",
        "shared_u" => {
            "give the relative standard uncertainty that all photos have in common: shared_u = \"1 %\""
        }
        "sides" => "write \"apart\", \"least\" or \"sum\"",
        "frozen" | "invented" | "walked_on" => "write true or false, without quotes",
        "left_out" => "write a table for each: [[left_out]] with coupon, section and reason",
        "reason" => {
            "write reason = \"cut lost\", \"etch failed\" or \"planned exclusion\"; a section that shows no throat counts with 0"
        }
        "section" => LABEL_IT,
        "operators" | "machine" | "material_heats" | "position" | "setting" | "length" => {
            "write what the claim speaks for as text: position = \"PB\""
        }
        "paper" => "add a [paper] table with customer, author and date",
        "customer" => "say for whom the paper is: customer = \"...\"",
        "author" => "say who answers for it: author = \"...\"",
        "date" => "give the paper's date as text, year, month and day: date = \"2026-11-25\"",
        "units" => "write units = \"mm\" or units = \"in\"",
        "title" | "study" => "write it as text, in double quotes",
        _ => return None,
    })
}
