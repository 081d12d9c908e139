//! Which rows count, and for what.
//!
//! ```text
//!   rows → readings of one section averaged → sections of each coupon → each side of the weld apart
//! ```
//!
//! The least favourable sections are the ones left blank, so a blank without a reason stops the claim, and blanks with
//! one are listed. Repeat readings of a section and readings of its opposite cut face are one section; they tell how
//! well the reader repeats, and never add to the count. Zero is a value: no fusion.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use weld::claim::{BlankReason, LeftOut, Repeatability};
use weld::quantity::show::given;

/// One reading, as it stands in the study.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Row {
    /// The coupon it was cut from.
    pub coupon: Option<String>,
    /// The section's label. Its opposite cut face has the same label and `reading` 'opposite'.
    pub section: String,
    /// Which weld of the section: only, left, right, top or bottom. None is 'only'.
    pub weld: Option<String>,
    /// The reading.
    pub value_mm: Option<f64>,
    /// Its standard uncertainty, the shared part included.
    pub u_mm: Option<f64>,
    /// The part of it that other readings share.
    pub u_shared_mm: Option<f64>,
    /// The scale it was read with.
    pub scale_id: Option<String>,
    /// Which reading of the section this is: '1', '2', 'opposite'.
    pub reading: Option<String>,
    /// Who read it.
    pub reader: Option<String>,
    /// Why there is no value.
    pub reason: Option<String>,
}

/// How the sides of a weld are brought together. They are never pooled.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Sides {
    /// Each bounded apart; the lowest bound is claimed.
    #[default]
    Apart,
    /// The least side of each section.
    Least,
    /// The sum of the sides of each section.
    Sum,
}

/// What is wrong with a row.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Fault {
    /// No label.
    #[error("the section has no label")]
    NoLabel,
    /// A value that no throat has.
    #[error("{} mm is no throat", given(*value_mm))]
    NoThroat {
        /// As given.
        value_mm: f64,
    },
    /// An uncertainty that no reading has.
    #[error("{u_mm} mm is no standard uncertainty")]
    NoUncertainty {
        /// As given.
        u_mm: f64,
    },
    /// A reason that is not on the list.
    #[error("'{given}' is no reason to leave a value out")]
    UnknownReason {
        /// As given.
        given: String,
    },
    /// A side that is not on the list.
    #[error("'{given}' is no side of a weld")]
    UnknownSide {
        /// As given.
        given: String,
    },
    /// 'only' beside named sides.
    #[error("some welds are named by their side and others are not")]
    SidesMixed,
    /// No coupon, though others have one.
    #[error("no coupon is named, though other rows name theirs")]
    NoCoupon,
    /// Two labels that a person would take for one.
    #[error("'{given}' and '{other}' differ only in capitals or blanks")]
    LooksAlike {
        /// In this row.
        given: String,
        /// In another row.
        other: String,
    },
    /// The same reading by the same reader twice.
    #[error("this reading stands in row {other} already")]
    Twice {
        /// The other row.
        other: usize,
    },
    /// A section lacks a side that others have.
    #[error("section {section} has no row for its {side} side")]
    SideMissing {
        /// The section.
        section: String,
        /// The side.
        side: String,
    },
}

/// A fault and the row that has it, counted from 1.
#[derive(Clone, Debug, PartialEq)]
pub struct RowFault {
    /// The row, counted from 1.
    pub row: usize,
    /// What is wrong.
    pub fault: Fault,
}

impl fmt::Display for RowFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "row {}: {}", self.row, self.fault)
    }
}

impl Fault {
    /// What to do next.
    #[must_use]
    pub fn advice(&self) -> &'static str {
        match self {
            Self::NoLabel => "label every section as on its coupon",
            Self::NoThroat { .. } => {
                "a throat is zero (no fusion) or more, in mm, and below a metre; leave the value blank, with a reason, where nothing was read"
            }
            Self::NoUncertainty { .. } => "give a standard uncertainty of zero or more, or none",
            Self::UnknownReason { .. } => "use one of: cut lost, etch failed, planned exclusion",
            Self::UnknownSide { .. } => "use one of: only, left, right, top, bottom",
            Self::SidesMixed => "name the side in every row, or in none",
            Self::NoCoupon => "name the coupon in every row, or in none",
            Self::LooksAlike { .. } => {
                "spell the label the same way in every row, or tell two coupons apart clearly"
            }
            Self::Twice { .. } => "give a repeat its own reading number, or delete the copy",
            Self::SideMissing { .. } => {
                "add the row (blank with a reason if it could not be read), or bound the sides apart"
            }
        }
    }
}

/// One section with a value.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Section {
    pub(crate) coupon: Option<String>,
    pub(crate) label: String,
    pub(crate) value_mm: f64,
    /// The part of the reading's uncertainty that differs from reading to reading.
    pub(crate) noise_mm: Option<f64>,
    pub(crate) shared_mm: Option<f64>,
}

/// The sections of one side.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Side {
    /// None where sides are not told apart.
    pub(crate) name: Option<String>,
    pub(crate) sections: Vec<Section>,
}

impl Side {
    /// The values of each coupon.
    pub(crate) fn coupons(&self) -> Vec<Vec<f64>> {
        let mut coupons: BTreeMap<&Option<String>, Vec<f64>> = BTreeMap::new();
        for section in &self.sections {
            coupons.entry(&section.coupon).or_default().push(section.value_mm);
        }
        coupons.into_values().collect()
    }
}

/// Rows taken apart.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Sorted {
    pub(crate) sides: Vec<Side>,
    pub(crate) left_out: Vec<LeftOut>,
    pub(crate) repeatability: Option<Repeatability>,
    pub(crate) remarks: Vec<String>,
}

/// Why rows cannot be taken apart.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Unsorted {
    Faults(Vec<RowFault>),
    Blanks(Vec<usize>),
}

/// One value that a claim counts: repeats averaged, sides brought together as asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Counted {
    /// The coupon, as labelled.
    pub coupon: Option<String>,
    /// The section, as labelled.
    pub section: String,
    /// The side, where sides are bounded apart.
    pub side: Option<String>,
    /// The value.
    pub value_mm: f64,
    /// Its standard uncertainty, the shared part included; none when no row states one.
    pub u_mm: Option<f64>,
}

/// The values that a claim from `rows` rests on, by coupon and section in the order of their labels; none when the rows
/// cannot be taken as they are.
#[must_use]
pub fn counted_values(rows: &[Row], sides: Sides) -> Vec<Counted> {
    let mut values: Vec<Counted> = sort(rows, sides)
        .map(|sorted| sorted.sides)
        .unwrap_or_default()
        .into_iter()
        .flat_map(|side| side.sections.into_iter().map(move |s| (side.name.clone(), s)))
        .map(|(side, s)| Counted {
            coupon: s.coupon,
            section: s.label,
            side,
            value_mm: s.value_mm,
            u_mm: match (s.noise_mm, s.shared_mm) {
                (Some(noise), shared) => Some(noise.hypot(shared.unwrap_or(0.0))),
                (None, _) => None,
            },
        })
        .collect();
    values.sort_by(|a, b| {
        let key = |v: &Counted| (v.coupon.clone(), in_order(&v.section), v.side.clone());
        key(a).cmp(&key(b))
    });
    values
}

/// Labels as people count: 2 before 10.
fn in_order(label: &str) -> (Option<u64>, String) {
    (label.parse().ok(), label.to_owned())
}

/// A length above this is a slip of the unit.
const MOST_MM: f64 = 1000.0;

/// Coupon, section, side.
type Key = (Option<String>, String, String);

/// The readings of one section and side.
#[derive(Default)]
struct Readings {
    rows: Vec<usize>,
    values: Vec<f64>,
    noise: Vec<f64>,
    shared: Vec<f64>,
    reasons: Vec<BlankReason>,
}

/// Takes rows apart; all faults are found before any is reported.
pub(crate) fn sort(rows: &[Row], sides: Sides) -> Result<Sorted, Unsorted> {
    let mut faults = Vec::new();
    let mut remarks = Vec::new();
    let mut blanks = Vec::new();
    let mut seen: BTreeMap<(Key, String, String), usize> = BTreeMap::new();
    let mut coupons = Labels::default();
    let mut labels: BTreeMap<Option<String>, Labels> = BTreeMap::new();
    let mut readings: BTreeMap<Key, Readings> = BTreeMap::new();
    let mut readers = BTreeSet::new();
    let mut scales = BTreeSet::new();
    let mut kept_despite_reason = 0;
    let any_coupon = rows.iter().any(|row| named(row.coupon.as_deref()).is_some());

    for (i, row) in rows.iter().enumerate() {
        let at = i + 1;
        let mut fault = |fault| faults.push(RowFault { row: at, fault });
        let coupon = named(row.coupon.as_deref());
        let section = row.section.trim().to_owned();
        if section.is_empty() {
            fault(Fault::NoLabel);
        }
        if any_coupon && coupon.is_none() {
            fault(Fault::NoCoupon);
        }
        let alike = coupon
            .as_deref()
            .and_then(|name| coupons.alike(name))
            .or_else(|| labels.entry(coupon.clone()).or_default().alike(&section));
        if let Some((given, other)) = alike {
            fault(Fault::LooksAlike { given, other });
        }
        let side = row.weld.as_deref().map(str::trim).filter(|side| !side.is_empty());
        let side = side.map_or_else(|| "only".to_owned(), str::to_lowercase);
        if !["only", "left", "right", "top", "bottom"].contains(&side.as_str()) {
            fault(Fault::UnknownSide { given: row.weld.clone().unwrap_or_default() });
        }
        if let Some(value_mm) = row.value_mm
            && !(0.0..=MOST_MM).contains(&value_mm)
        {
            fault(Fault::NoThroat { value_mm });
        }
        for u_mm in [row.u_mm, row.u_shared_mm].into_iter().flatten() {
            if !(0.0..=MOST_MM).contains(&u_mm) {
                fault(Fault::NoUncertainty { u_mm });
            }
        }
        let reason = match named(row.reason.as_deref()) {
            None => None,
            Some(given) => {
                let reason = BlankReason::read(&given);
                if reason.is_none() {
                    fault(Fault::UnknownReason { given });
                }
                reason
            }
        };
        let key = (coupon, section, side);
        let reader = named(row.reader.as_deref());
        if let Some(reading) = named(row.reading.as_deref()) {
            let whole = (key.clone(), reading.to_lowercase(), reader.clone().unwrap_or_default());
            if let Some(&other) = seen.get(&whole) {
                fault(Fault::Twice { other });
            } else {
                seen.insert(whole, at);
            }
        }
        let readings = readings.entry(key).or_default();
        readings.rows.push(at);
        match (row.value_mm, reason) {
            (Some(value), reason) => {
                readings.values.push(value);
                if reason.is_some() {
                    kept_despite_reason += 1;
                }
                if let Some(u) = row.u_mm {
                    let shared = row.u_shared_mm.unwrap_or(0.0);
                    readings.noise.push((u * u - shared * shared).max(0.0).sqrt());
                }
                readings.shared.extend(row.u_shared_mm);
                readers.extend(reader);
                scales.extend(named(row.scale_id.as_deref()));
            }
            (None, Some(reason)) => readings.reasons.push(reason),
            (None, None) => {
                // An unknown reason is reported as such.
                if named(row.reason.as_deref()).is_none() {
                    blanks.push(at);
                }
            }
        }
    }

    let sides_named: BTreeSet<String> = readings.keys().map(|key| key.2.clone()).collect();
    if sides_named.contains("only") && sides_named.len() > 1 {
        let only = readings.iter().filter(|(key, _)| key.2 == "only");
        let row = only.flat_map(|(_, readings)| &readings.rows).copied().min().unwrap_or(1);
        faults.push(RowFault { row, fault: Fault::SidesMixed });
    } else if sides != Sides::Apart {
        let places: BTreeMap<(Option<String>, String), usize> = readings
            .iter()
            .map(|(key, readings)| {
                let row = readings.rows.iter().copied().min().unwrap_or(1);
                ((key.0.clone(), key.1.clone()), row)
            })
            .collect();
        for ((coupon, section), row) in places {
            for side in &sides_named {
                if !readings.contains_key(&(coupon.clone(), section.clone(), side.clone())) {
                    let (section, side) = (section.clone(), side.clone());
                    faults.push(RowFault { row, fault: Fault::SideMissing { section, side } });
                }
            }
        }
    }
    if !faults.is_empty() {
        faults.sort_by_key(|fault| fault.row);
        return Err(Unsorted::Faults(faults));
    }
    if !blanks.is_empty() {
        return Err(Unsorted::Blanks(blanks));
    }

    if kept_despite_reason > 0 {
        remarks.push(format!(
            "{kept_despite_reason} row(s) give a value and a reason to leave it out: the value is counted"
        ));
    }
    if scales.len() > 1 {
        remarks.push(format!(
            "{} scales were used: the shared error is the worst of them",
            scales.len()
        ));
    }
    let repeatability = repeatability(&readings, readers.len());
    let several = sides_named.len() > 1;
    let (sections, left_out) = sections(readings, sides, several);
    if !left_out.is_empty() {
        remarks.push(counted(&left_out));
        if several && sides != Sides::Apart {
            remarks.push("a section with one side left out is left out whole".to_owned());
        }
    }
    Ok(Sorted { sides: sections, left_out, repeatability, remarks })
}

/// Averages the readings of each section and lists the sections without any.
fn sections(
    readings: BTreeMap<Key, Readings>,
    sides: Sides,
    several: bool,
) -> (Vec<Side>, Vec<LeftOut>) {
    let mut left_out = Vec::new();
    let mut by_side: BTreeMap<Option<String>, Vec<Section>> = BTreeMap::new();
    let mut by_section: BTreeMap<(Option<String>, String), Vec<Option<Section>>> = BTreeMap::new();
    for ((coupon, section, side), mut readings) in readings {
        let averaged = if readings.values.is_empty() {
            let reason = readings.reasons.iter().min().copied().unwrap_or(BlankReason::CutLost);
            let (coupon, section) = (coupon.clone(), section.clone());
            let side = several.then(|| side.clone());
            left_out.push(LeftOut { coupon, section, side, reason });
            None
        } else {
            // Sorted, so that the order of rows does not show in the last digit.
            readings.values.sort_by(f64::total_cmp);
            let value_mm = super::random_effects::mean(&readings.values);
            let noise_mm = readings.noise.iter().copied().reduce(f64::max);
            let shared_mm = readings.shared.iter().copied().reduce(f64::max);
            Some(Section {
                coupon: coupon.clone(),
                label: section.clone(),
                value_mm,
                noise_mm,
                shared_mm,
            })
        };
        if several && sides == Sides::Apart {
            by_side.entry(Some(side)).or_default().extend(averaged);
        } else {
            by_section.entry((coupon, section)).or_default().push(averaged);
        }
    }
    if !(several && sides == Sides::Apart) {
        let whole = by_section.into_values().filter_map(|parts| {
            let parts: Vec<Section> = parts.into_iter().collect::<Option<_>>()?;
            parts.into_iter().reduce(|one, other| joined(one, other, sides))
        });
        by_side.insert(None, whole.collect());
    }
    let mut sides: Vec<Side> =
        by_side.into_iter().map(|(name, sections)| Side { name, sections }).collect();
    for side in &mut sides {
        side.sections
            .sort_by(|a, b| a.coupon.cmp(&b.coupon).then(a.value_mm.total_cmp(&b.value_mm)));
    }
    (sides, left_out)
}

/// Two sides of one section as one value.
fn joined(one: Section, other: Section, sides: Sides) -> Section {
    let both = |a: Option<f64>, b: Option<f64>, join: fn(f64, f64) -> f64| match (a, b) {
        (Some(a), Some(b)) => Some(join(a, b)),
        (a, b) => a.or(b),
    };
    match sides {
        Sides::Sum => Section {
            value_mm: one.value_mm + other.value_mm,
            noise_mm: both(one.noise_mm, other.noise_mm, f64::hypot),
            shared_mm: both(one.shared_mm, other.shared_mm, |a, b| a + b),
            coupon: one.coupon,
            label: one.label,
        },
        Sides::Apart | Sides::Least => Section {
            value_mm: one.value_mm.min(other.value_mm),
            noise_mm: both(one.noise_mm, other.noise_mm, f64::max),
            shared_mm: both(one.shared_mm, other.shared_mm, f64::max),
            coupon: one.coupon,
            label: one.label,
        },
    }
}

/// How closely repeats agree, pooled over the sections that have any.
fn repeatability(readings: &BTreeMap<Key, Readings>, readers: usize) -> Option<Repeatability> {
    let (mut squares, mut freedom, mut sections) = (0.0, 0, 0);
    for readings in readings.values().filter(|readings| readings.values.len() > 1) {
        let mut values = readings.values.clone();
        values.sort_by(f64::total_cmp);
        let middle = super::random_effects::mean(&values);
        squares += values.iter().map(|v| (v - middle) * (v - middle)).sum::<f64>();
        freedom += values.len() - 1;
        sections += 1;
    }
    (freedom > 0).then(|| Repeatability {
        s_mm: (squares / freedom as f64).sqrt(),
        freedom,
        sections,
        readers,
    })
}

/// How many were left out, and why.
fn counted(left_out: &[LeftOut]) -> String {
    let mut text = format!("{} without a value:", left_out.len());
    for reason in BlankReason::ALL {
        let count = left_out.iter().filter(|section| section.reason == reason).count();
        if count > 0 {
            text.push_str(&format!(" {count} {reason},"));
        }
    }
    text.pop();
    text
}

/// A text that says something.
fn named(text: Option<&str>) -> Option<String> {
    text.map(str::trim).filter(|text| !text.is_empty()).map(str::to_owned)
}

/// Labels met so far, by what a person would read.
#[derive(Default)]
struct Labels(BTreeMap<String, String>);

impl Labels {
    /// The given label and the earlier one that it could be mistaken for.
    fn alike(&mut self, label: &str) -> Option<(String, String)> {
        let plain: String = label.to_lowercase().chars().filter(|c| !c.is_whitespace()).collect();
        let first = self.0.entry(plain).or_insert_with(|| label.to_owned());
        (first.as_str() != label).then(|| (label.to_owned(), first.clone()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(coupon: &str, section: &str, value_mm: f64) -> Row {
        Row {
            coupon: Some(coupon.into()),
            section: section.into(),
            value_mm: Some(value_mm),
            ..Row::default()
        }
    }

    fn blank(coupon: &str, section: &str, reason: &str) -> Row {
        Row { value_mm: None, reason: Some(reason.into()), ..row(coupon, section, 0.0) }
    }

    fn side(row: Row, weld: &str) -> Row {
        Row { weld: Some(weld.into()), ..row }
    }

    fn faults(rows: &[Row]) -> Vec<String> {
        match sort(rows, Sides::Apart) {
            Err(Unsorted::Faults(faults)) => faults.iter().map(ToString::to_string).collect(),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn repeats_and_the_opposite_face_are_one_section() {
        let repeat = |value, reading: &str, reader: &str| Row {
            reading: Some(reading.into()),
            reader: Some(reader.into()),
            ..row("A", "1", value)
        };
        let rows = [
            repeat(3.0, "1", "mt"),
            repeat(3.2, "2", "mt"),
            repeat(3.4, "opposite", "jo"),
            row("A", "2", 4.0),
        ];
        let sorted = sort(&rows, Sides::Apart).unwrap();
        let values: Vec<f64> = sorted.sides[0].sections.iter().map(|s| s.value_mm).collect();
        assert_eq!(values.len(), 2);
        assert!((values[0] - 3.2).abs() < 1e-12);
        let repeats = sorted.repeatability.unwrap();
        assert!((repeats.s_mm - 0.2).abs() < 1e-12);
        assert_eq!((repeats.freedom, repeats.sections, repeats.readers), (2, 1, 2));
    }

    #[test]
    fn blank_without_reason_stops() {
        let mut lone = blank("A", "2", "");
        assert_eq!(
            sort(&[row("A", "1", 3.0), lone.clone()], Sides::Apart),
            Err(Unsorted::Blanks(vec![2]))
        );
        lone.reason = Some("Etch-Failed".into());
        let sorted = sort(&[row("A", "1", 3.0), lone], Sides::Apart).unwrap();
        assert_eq!(sorted.left_out[0].reason, BlankReason::EtchFailed);
        assert_eq!(sorted.remarks, ["1 without a value: 1 etch failed"]);
    }

    #[test]
    fn every_fault_is_named_with_its_row() {
        let twin = Row { reading: Some("1".into()), ..row("A", "7", 3.0) };
        let rows = [
            row("A", "1", -0.2),
            row("A", "2", f64::NAN),
            Row { u_mm: Some(-1.0), ..row("A", "3", 3.0) },
            blank("A", "4", "looked bad"),
            side(row("A", "5", 3.0), "front"),
            row("a", "6", 3.0),
            Row { coupon: None, ..row("A", "8", 3.0) },
            twin.clone(),
            twin,
            row("A", " ", 3.0),
        ];
        assert_eq!(
            faults(&rows),
            [
                "row 1: -0.2 mm is no throat",
                "row 1: some welds are named by their side and others are not",
                "row 2: NaN mm is no throat",
                "row 3: -1 mm is no standard uncertainty",
                "row 4: 'looked bad' is no reason to leave a value out",
                "row 5: 'front' is no side of a weld",
                "row 6: 'a' and 'A' differ only in capitals or blanks",
                "row 7: no coupon is named, though other rows name theirs",
                "row 9: this reading stands in row 8 already",
                "row 10: the section has no label",
            ]
        );
        assert!(Fault::UnknownReason { given: String::new() }.advice().contains("cut lost"));
    }

    #[test]
    fn sides_are_never_pooled() {
        let rows = [
            side(row("A", "1", 3.0), "left"),
            side(row("A", "1", 4.0), "right"),
            side(row("A", "2", 3.5), "Left"),
            side(row("A", "2", 3.1), "right"),
        ];
        let of = |sides| {
            let sorted = sort(&rows, sides).unwrap();
            let values = |side: &Side| side.sections.iter().map(|s| s.value_mm).collect::<Vec<_>>();
            sorted.sides.iter().map(values).collect::<Vec<_>>()
        };
        assert_eq!(of(Sides::Apart), [vec![3.0, 3.5], vec![3.1, 4.0]]);
        assert_eq!(of(Sides::Least), [vec![3.0, 3.1]]);
        assert_eq!(of(Sides::Sum), [vec![6.6, 7.0]]);
    }

    #[test]
    fn section_without_its_other_side_is_not_summed() {
        let rows = [
            side(row("A", "1", 3.0), "left"),
            side(row("A", "1", 4.0), "right"),
            side(row("A", "2", 3.5), "left"),
        ];
        let Err(Unsorted::Faults(faults)) = sort(&rows, Sides::Sum) else { panic!("summed") };
        assert_eq!(faults[0].to_string(), "row 3: section 2 has no row for its right side");
        let mut complete = rows.to_vec();
        complete.push(side(blank("A", "2", "cut lost"), "right"));
        let sorted = sort(&complete, Sides::Least).unwrap();
        assert_eq!(sorted.sides[0].sections.len(), 1);
        assert!(
            sorted
                .remarks
                .contains(&"a section with one side left out is left out whole".to_owned())
        );
    }

    /// By hand: the lesser of 3.0 and 4.0; the lesser of the means (3.5 + 3.7)/2 and 3.1; u of the lesser, 0.05.
    #[test]
    fn the_values_that_count_are_those_of_the_claim() {
        let mut rows = vec![
            side(row("A", "10", 3.0), "left"),
            side(row("A", "10", 4.0), "right"),
            side(row("A", "2", 3.5), "left"),
            side(Row { reading: Some("2".into()), ..row("A", "2", 3.7) }, "left"),
            side(row("A", "2", 3.1), "right"),
        ];
        for row in &mut rows {
            row.u_mm = Some(0.05);
            row.u_shared_mm = Some(0.03);
        }
        let values = counted_values(&rows, Sides::Least);
        let told: Vec<_> = values.iter().map(|v| (v.section.as_str(), v.value_mm)).collect();
        assert_eq!(told, [("2", 3.1), ("10", 3.0)]);
        assert!(values.iter().all(|v| (v.u_mm.unwrap() - 0.05).abs() < 1e-12));
        let apart = counted_values(&rows, Sides::Apart);
        assert_eq!(apart.len(), 4);
        assert!(
            (apart[0].value_mm - 3.6).abs() < 1e-12 && apart[0].side.as_deref() == Some("left")
        );
    }

    #[test]
    fn zero_is_a_value() {
        let sorted = sort(&[row("A", "1", 0.0), row("A", "2", 3.0)], Sides::Apart).unwrap();
        assert_eq!(sorted.sides[0].sections.len(), 2);
    }
}
