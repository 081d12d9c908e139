//! Forms of a study: the short records that have no file of their own, what is kept of readings and papers, and the folder
//! that a study is exported to.

use super::ReadOut;
use crate::refusal::{Refusal, line_of, near_or_known};
use records::Kind;
use serde::{Deserialize, Serialize};
use toml::de::{DeTable, DeValue};
use weld::quantity::parse::{QuantityError, parse};
use weld::quantity::{Angle, Frequency, GasFlow, Length, Power, Speed, Temperature};

/// What a field of a short record wants.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Want {
    /// Any text.
    Text,
    /// A length with its unit.
    Length,
    /// A speed with its unit.
    Speed,
    /// A power with its unit.
    Power,
    /// An angle with its unit.
    Angle,
    /// A frequency with its unit.
    Frequency,
    /// A gas flow with its unit.
    GasFlow,
    /// A temperature with its unit.
    Temperature,
    /// A plain number above nothing.
    Number,
    /// A whole number from 1.
    Count,
    /// Yes or no.
    Flag,
    /// A day, `2026-11-25`.
    Day,
}

/// A field of a short record.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Field {
    /// Its name in the text.
    pub name: &'static str,
    /// What it wants.
    pub want: Want,
    /// An example, as it is written.
    pub example: &'static str,
}

const fn field(name: &'static str, want: Want, example: &'static str) -> Field {
    Field { name, want, example }
}

/// The title of a study.
const TITLE: &str = "title";
const NOTE: Field = field("note", Want::Text, "anything worth keeping");

const STUDY: &[Field] = &[
    field(TITLE, Want::Text, "Gangway step"),
    field("customer", Want::Text, "Hollin Ferry Works"),
    field("invented", Want::Flag, "true"),
    NOTE,
];
// The flat spelling of a setting file: `wire::setting` reads both.
const SETTING: &[Field] = &[
    field("words", Want::Text, "two wires, flat torch"),
    field("process", Want::Text, "521"),
    field("power", Want::Power, "1.8 kW"),
    field("travel_speed", Want::Speed, "35 cm/min"),
    field("spot", Want::Length, "0.15 mm"),
    field("m2", Want::Number, "3"),
    field("wavelength", Want::Length, "1070 nm"),
    field("focal_length", Want::Length, "150 mm"),
    field("beam_at_lens", Want::Length, "10 mm"),
    field("divergence", Want::Angle, "2 mrad"),
    field("focus", Want::Length, "0 mm"),
    field("torch_angle", Want::Angle, "25 deg"),
    field("aim", Want::Length, "0 mm"),
    field("wobble_pattern", Want::Text, "line"),
    field("wobble_width", Want::Length, "3 mm"),
    field("wobble_frequency", Want::Frequency, "80 Hz"),
    field("wire", Want::Length, "1.6 mm"),
    field("wires", Want::Count, "2"),
    field("wire_feed", Want::Speed, "35 cm/min"),
    field("current", Want::Text, "180 A"),
    field("voltage", Want::Text, "24 V"),
    field("preheat", Want::Temperature, "20 °C"),
    field("metal", Want::Text, "carbon steel"),
    field("steel", Want::Text, "C 0.17, Si 0.3, Mn 1.4"),
    field("gas", Want::Text, "argon"),
    field("gas_flow", Want::GasFlow, "15 l/min"),
    NOTE,
];
const COUPON: &[Field] = &[
    field("welded_by", Want::Text, "R. Tan"),
    field("welded_on", Want::Day, "2026-11-25"),
    field("machine", Want::Text, "handheld laser 2 kW, shop number L-02"),
    field("heats", Want::Text, "plates 4471-B, wire 88213"),
    field("position", Want::Text, "PB"),
    field("length", Want::Length, "150 mm"),
    NOTE,
];
const CUT: &[Field] = &[
    field("at", Want::Length, "60 mm"),
    field("face", Want::Text, "the one towards the start"),
    NOTE,
];
const PHOTO: &[Field] = &[
    field("taken_by", Want::Text, "R. Tan"),
    field("taken_on", Want::Day, "2026-11-25"),
    field("camera", Want::Text, "phone on the stand"),
    NOTE,
];

/// The fields of a short record, in the order of a page; none for the kinds that have a file of their own (joint, section,
/// claim) and for those that the program writes (reading, paper).
#[must_use]
pub fn fields(kind: Kind) -> Option<&'static [Field]> {
    match kind {
        Kind::Study => Some(STUDY),
        Kind::Setting => Some(SETTING),
        Kind::Coupon => Some(COUPON),
        Kind::Cut => Some(CUT),
        Kind::Photo => Some(PHOTO),
        Kind::Joint | Kind::Section | Kind::Reading | Kind::Claim | Kind::Paper => None,
    }
}

/// The text of a short record from its fields; fields left blank are left out.
///
/// # Errors
///
/// When a field is not known, or is not what it wants: `file` is what the record is called.
pub fn short_text(kind: Kind, file: &str, given: &[(&str, &str)]) -> Result<String, Refusal> {
    let known = fields(kind).unwrap_or_default();
    let mut text = String::new();
    for field in known {
        let Some((_, value)) = given.iter().find(|(name, _)| *name == field.name) else { continue };
        let value = value.trim();
        if value.is_empty() {
            continue;
        }
        let value = match field.want {
            Want::Flag | Want::Count | Want::Number => value.to_owned(),
            _ => toml::Value::String(value.to_owned()).to_string(),
        };
        text.push_str(&format!("{} = {value}\n", field.name));
    }
    if let Some((unknown, _)) =
        given.iter().find(|(name, _)| known.iter().all(|field| field.name != *name))
    {
        return Err(unknown_field(unknown, known).in_file(file));
    }
    short_fields(kind, file, &text)?;
    Ok(text)
}

fn unknown_field(unknown: &str, known: &[Field]) -> Refusal {
    let names: Vec<&str> = known.iter().map(|field| field.name).collect();
    Refusal::new(format!("there is no field '{unknown}'"), near_or_known(unknown, &names))
        .in_field(unknown)
}

/// The fields of a short record that are given, as texts, in the order of a page.
///
/// # Errors
///
/// Says line, field, fact and next action.
pub fn short_fields(
    kind: Kind,
    file: &str,
    text: &str,
) -> Result<Vec<(&'static str, String)>, Refusal> {
    let known = fields(kind).unwrap_or_default();
    let table = DeTable::parse(text).map_err(|e| Refusal::of_toml(file, text, &e))?;
    let table = table.into_inner();
    let here = |r: Refusal, start| r.in_file(file).at_line(Some(line_of(text, start)));
    for (key, _) in &table {
        if known.iter().all(|field| field.name != key.get_ref().as_ref()) {
            return Err(here(unknown_field(key.get_ref(), known), key.span().start));
        }
    }
    let mut out = Vec::new();
    for field in known {
        let Some((_, value)) = table.iter().find(|(key, _)| key.get_ref() == field.name) else {
            if field.name == TITLE {
                let refusal = Refusal::new(
                    "the study has no title",
                    format!("say what it is about: title = \"{}\"", field.example),
                );
                return Err(refusal.in_file(file).in_field(TITLE));
            }
            continue;
        };
        let wants = || format!("write it as {} = {}", field.name, shown(field));
        let refuse = |fact: String, advice: String| {
            here(Refusal::new(fact, advice).in_field(field.name), value.span().start)
        };
        let given = match (field.want, value.get_ref()) {
            (Want::Flag, DeValue::Boolean(yes)) => yes.to_string(),
            (Want::Count, DeValue::Integer(number)) => {
                let counted = i64::from_str_radix(number.as_str(), number.radix());
                match counted {
                    Ok(n @ 1..=1000) => n.to_string(),
                    _ => {
                        return Err(refuse(
                            format!("'{number}' is no count from 1 to 1000"),
                            wants(),
                        ));
                    }
                }
            }
            (Want::Number, DeValue::Integer(number)) => number.to_string(),
            (Want::Number, DeValue::Float(number)) => number.to_string(),
            (Want::Flag | Want::Count | Want::Number, _) => {
                return Err(refuse("something else belongs here".to_owned(), wants()));
            }
            (_, DeValue::String(given)) => given.to_string(),
            _ => return Err(refuse("a text in double quotes belongs here".to_owned(), wants())),
        };
        let of_quantity = |e: QuantityError| refuse(e.to_string(), e.advice().to_string());
        match field.want {
            Want::Length => drop(parse::<Length>(&given).map_err(of_quantity)?),
            Want::Speed => drop(parse::<Speed>(&given).map_err(of_quantity)?),
            Want::Power => drop(parse::<Power>(&given).map_err(of_quantity)?),
            Want::Angle => drop(parse::<Angle>(&given).map_err(of_quantity)?),
            Want::Frequency => drop(parse::<Frequency>(&given).map_err(of_quantity)?),
            Want::GasFlow => drop(parse::<GasFlow>(&given).map_err(of_quantity)?),
            Want::Temperature => drop(parse::<Temperature>(&given).map_err(of_quantity)?),
            Want::Number if !given.parse::<f64>().is_ok_and(|n| n > 0.0 && n.is_finite()) => {
                return Err(refuse(format!("'{given}' is no number above nothing"), wants()));
            }
            Want::Day if super::claim_file::date(&given).is_none() => {
                return Err(refuse(format!("'{given}' is not a day"), wants()));
            }
            Want::Text if field.name == TITLE && given.trim().is_empty() => {
                return Err(refuse("the study has no title".to_owned(), wants()));
            }
            _ => {}
        }
        out.push((field.name, given));
    }
    Ok(out)
}

fn shown(field: &Field) -> String {
    match field.want {
        Want::Flag | Want::Count | Want::Number => field.example.to_owned(),
        _ => format!("\"{}\"", field.example),
    }
}

/// A reading as it is kept in a study.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct KeptReading {
    /// The program's version that read it.
    pub program: String,
    /// What was read.
    #[serde(flatten)]
    pub reading: ReadOut,
}

/// What is kept of a paper that was handed out: enough to tell it from another, and to write it again.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeptPaper {
    /// The program's version that wrote it.
    pub program: String,
    /// Which paper: `customer report`.
    pub paper: String,
    /// The head that it prints.
    pub head: String,
    /// The fingerprint of all that it rests on, hex.
    pub fingerprint: String,
    /// The BLAKE3 hash of the file, hex.
    pub pdf_blake3: String,
    /// Its pages.
    pub pages: usize,
    /// The verdict as a sentence.
    pub sentence: String,
    /// Whether the answer was yes.
    pub holds: bool,
}

/// What is kept of an area plan that was signed: what it rests on, so that a change shows, and enough to write it again.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeptArea {
    /// The program's version that wrote it.
    pub program: String,
    /// Which paper: `area plan`.
    pub paper: String,
    /// The head of the study that it was signed at.
    pub head: String,
    /// The fingerprint that stands on the plan.
    pub fingerprint: String,
    /// The BLAKE3 hash of the file, hex.
    pub pdf_blake3: String,
    /// Its pages.
    pub pages: usize,
    /// What was signed, as a sentence.
    pub sentence: String,
    /// Nothing spoke against it.
    pub holds: bool,
    /// Where the area is.
    pub site: String,
    /// Who signed.
    pub signed_by: String,
    /// When: year-month-day.
    pub signed_on: String,
    /// Why it was released although something spoke against it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub despite: Option<String>,
    /// The setting, and which revision of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub setting: Option<(String, i64)>,
    /// The setup file, with what was signed in its `[signed]`.
    pub setup: String,
}

/// The first words of a folder that a study was exported to.
pub const EXPORT_FORM: &str = "seamproof study 1";

/// `study.json` of an exported study: what belongs to it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ExportForm {
    /// [`EXPORT_FORM`].
    pub form: String,
    /// The program's version that wrote it.
    pub program: String,
    /// The chain's last entry, hex.
    pub head: String,
    /// Entries of the chain.
    pub entries: i64,
    /// Every photo, and where it lies in the folder.
    pub photos: Vec<PhotoFile>,
    /// The texts that lie in the folder, as they stand at the end of the history.
    pub files: Vec<TextFile>,
}

/// A photo in an exported folder.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PhotoFile {
    /// The BLAKE3 hash of its bytes, hex.
    pub hash: String,
    /// Where it lies.
    pub file: String,
}

/// A text in an exported folder.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TextFile {
    /// The record.
    pub record: i64,
    /// Where it lies.
    pub file: String,
}

/// A line of `history.jsonl`: one revision.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RevisionForm {
    /// Its place in the chain, from 1.
    pub seq: i64,
    /// The record.
    pub record: i64,
    /// What the record is of.
    pub kind: String,
    /// Which revision of the record, from 1.
    pub number: i64,
    /// What the record is called.
    pub name: String,
    /// Who.
    pub author: String,
    /// When.
    pub time: String,
    /// Why.
    pub reason: String,
    /// Taken out of the study.
    pub withdrawn: bool,
    /// The record that it belongs to.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub parent: Option<i64>,
    /// The revision that it came out of, by its place in the chain.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rests_on: Option<i64>,
    /// The hash of its photo, hex.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub photo: Option<String>,
    /// The language of the text: `toml` or `json`.
    pub form: String,
    /// The text.
    pub text: String,
    /// Its entry in the chain, hex.
    pub entry: String,
}

impl From<&records::Revision> for RevisionForm {
    fn from(r: &records::Revision) -> Self {
        Self {
            seq: r.seq,
            record: r.record.0,
            kind: r.kind.word().to_owned(),
            number: r.number,
            name: r.content.name.clone(),
            author: r.stamp.author.clone(),
            time: r.stamp.time.clone(),
            reason: r.stamp.reason.clone(),
            withdrawn: r.content.withdrawn,
            parent: r.content.parent.map(|id| id.0),
            rests_on: r.content.rests_on,
            photo: r.content.photo.map(|hash| hash.to_string()),
            form: r.content.form.word().to_owned(),
            text: r.content.text.clone(),
            entry: r.entry.to_string(),
        }
    }
}

impl RevisionForm {
    /// The revision.
    ///
    /// # Errors
    ///
    /// Says the field that is no kind, form or hash.
    pub fn revision(self) -> Result<records::Revision, Refusal> {
        let bad = |field: &str, given: &str, wants: &str| {
            Refusal::new(
                format!("'{given}' is no {field} of a revision"),
                format!("export the study again; {wants} belongs here"),
            )
            .in_field(field)
        };
        let hash = |field: &str, given: &str| {
            given
                .parse::<records::Hash>()
                .map_err(|()| bad(field, given, "a hash of 64 hex digits"))
        };
        let kind = Kind::from_word(&self.kind)
            .ok_or_else(|| bad("kind", &self.kind, "a word such as section"))?;
        let form = records::Form::from_word(&self.form)
            .ok_or_else(|| bad("form", &self.form, "toml or json"))?;
        let photo = self.photo.as_deref().map(|given| hash("photo", given)).transpose()?;
        let entry = hash("entry", &self.entry)?;
        Ok(records::Revision {
            seq: self.seq,
            record: records::RecordId(self.record),
            kind,
            number: self.number,
            stamp: records::Stamp { author: self.author, time: self.time, reason: self.reason },
            content: records::Content {
                name: self.name,
                parent: self.parent.map(records::RecordId),
                rests_on: self.rests_on,
                photo,
                form,
                text: self.text,
                withdrawn: self.withdrawn,
            },
            entry,
        })
    }
}

/// What a check of a study found.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CheckOut {
    /// The study file.
    pub study: String,
    /// The head of its chain, as papers print it.
    pub head: String,
    /// Entries of the chain.
    pub entries: i64,
    /// Records.
    pub records: u64,
    /// Photos.
    pub photos: u64,
    /// What is not as it was saved.
    pub faults: Vec<String>,
    /// The head that was looked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub asked_head: Option<String>,
    /// Where in the chain it stands.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub asked_head_at: Option<i64>,
    /// The answer as sentences.
    pub sentence: String,
    /// What to do next, where the answer is no.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next: Option<String>,
    /// Is the study as it was saved, and the head in it?
    pub holds: bool,
}
