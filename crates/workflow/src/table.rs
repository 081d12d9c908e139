//! Tables of readings as CSV: what `read --csv` writes and `claim` reads.
//!
//! Columns `coupon, section, weld, scale_id, reading, reader, reason, photo`, then each reading with `..._u` and
//! `..._u_shared`. Readings of a joint as a whole (a butt's throat) stand in a row of their own, `weld` = `joint`.
//! Separator comma, semicolon or tab, told from the header; decimal comma read where it cannot be a thousands mark.

use crate::refusal::Refusal;
use crate::wire::ReadOut;
use serde_json::Value;
use trials::tolerance::rows::Row;
use weld::quantity::Length;
use weld::reading::Reading;

/// Labels before the readings.
const LABELS: [&str; 8] =
    ["coupon", "section", "weld", "scale_id", "reading", "reader", "reason", "photo"];
/// Readings of a joint as a whole.
pub(crate) const JOINT: [&str; 4] =
    ["throat_mm", "overlap_mm", "unfused_land_mm", "misalignment_mm"];
/// Marks the row of a joint as a whole.
const JOINT_ROW: &str = "joint";

/// One value with its uncertainty, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cell {
    /// The value.
    pub value_mm: f64,
    /// Its standard uncertainty.
    pub u_mm: Option<f64>,
    /// The part of it that all photos of a scale share.
    pub u_shared_mm: Option<f64>,
}

/// A table of readings, for one value.
#[derive(Clone, Debug, Default)]
pub struct Table {
    /// Its rows.
    pub rows: Vec<Row>,
    /// The throat with penetration of each row, where the table has it.
    pub penetrated: Vec<Option<Cell>>,
    /// The line of each row in the file.
    pub lines: Vec<usize>,
}

/// Reads the rows of a table for one value column.
///
/// # Errors
///
/// Says line, field, fact and next action.
pub fn read_table(file: &str, text: &str, value: &str) -> Result<Table, Refusal> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    // Lines without anything before the header are passed over, here as by the reader of the cells.
    let Some(header) = text.lines().find(|line| !line.trim().is_empty()) else {
        return Err(Refusal::new("the file is empty", ask_for_columns(value)).in_file(file));
    };
    let separator = [';', '\t', ','].into_iter().find(|c| header.contains(*c)).unwrap_or(',');
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator as u8)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let unreadable = |e: &csv::Error| {
        Refusal::new(
            format!("the table cannot be read: {e}"),
            "save it as CSV with one header line",
        )
        .in_file(file)
        .at_line(e.position().and_then(|p| usize::try_from(p.line()).ok()))
    };
    let headers = reader.headers().map_err(|e| unreadable(&e))?;
    let names: Vec<String> = headers.iter().map(str::to_owned).collect();
    let mut count = LineCount::default();
    let header_line = count.at(text, headers.position());
    for (i, name) in names.iter().enumerate() {
        if !name.is_empty() && names[..i].contains(name) {
            return Err(Refusal::new(
                format!("the column '{name}' stands there twice"),
                "keep one of them",
            )
            .in_file(file)
            .at_line(Some(header_line))
            .in_field(name));
        }
    }
    let column = |name: &str| names.iter().position(|n| n == name);
    let missing = |name: &str| {
        let near = names
            .iter()
            .filter(|n| !n.is_empty())
            .map(|n| (strsim::damerau_levenshtein(name, &n.to_lowercase()), n))
            .min()
            .filter(|(distance, _)| *distance <= 2.max(name.len() / 4))
            .map_or_else(
                || {
                    format!(
                        "; there are {}",
                        names.iter().take(12).cloned().collect::<Vec<_>>().join(", ")
                    )
                },
                |(_, n)| format!("; the nearest column is '{n}'"),
            );
        Refusal::new(format!("there is no column '{name}'{near}"), ask_for_columns(value))
            .in_file(file)
            .at_line(Some(header_line))
            .in_field(name)
    };
    let value_at = column(value).ok_or_else(|| missing(value))?;
    let section_at = column("section").ok_or_else(|| missing("section"))?;
    column("coupon").ok_or_else(|| missing("coupon"))?;
    misspelt(&names, value).map_err(|r| r.in_file(file).at_line(Some(header_line)))?;
    let to_mm = unit_of(value).ok_or_else(|| {
        Refusal::new(
            format!("the column '{value}' is no length"),
            "claim a column whose name ends in its unit: _mm, _um or _in",
        )
        .in_file(file)
        .at_line(Some(header_line))
        .in_field(value)
    })?;
    let of_joint = JOINT.contains(&value);
    let mut table = Table::default();
    let mut record = csv::StringRecord::new();
    while reader.read_record(&mut record).map_err(|e| unreadable(&e))? {
        let line = count.at(text, record.position());
        if record.iter().all(str::is_empty) {
            continue;
        }
        if record.len() != names.len() {
            return Err(Refusal::new(
                format!("the line has {} cells, and the header has {}", record.len(), names.len()),
                "check for a missing or an extra separator; a decimal comma needs a semicolon between cells, or quotes",
            )
            .in_file(file)
            .at_line(Some(line)));
        }
        // A quote that is never closed swallows the lines after it.
        if let Some(i) = record.iter().position(|cell| cell.contains('\n')) {
            let name = names.get(i).map_or("", String::as_str);
            return Err(Refusal::new(
                "the cell runs over several lines, so rows would be lost in it",
                "close the quotes of the cell, or take the line break out of it",
            )
            .in_file(file)
            .at_line(Some(line))
            .in_field(name));
        }
        if let Some(cell) =
            record.iter().zip(&names).find(|(cell, name)| name.is_empty() && !cell.is_empty())
        {
            return Err(Refusal::new(
                format!("'{}' stands in a column without a name", cell.0),
                "name the column; a decimal comma needs a semicolon between cells, or quotes",
            )
            .in_file(file)
            .at_line(Some(line)));
        }
        let text = |name: &str| {
            let cell = column(name).and_then(|i| record.get(i)).filter(|t| !t.is_empty());
            cell.map(|cell| plain(cell).to_owned())
        };
        let weld = text("weld");
        let is_joint = weld.as_deref() == Some(JOINT_ROW);
        if is_joint != of_joint && (is_joint || weld.is_some()) {
            continue;
        }
        let number = |at: Option<usize>, name: &str, unit: &str| -> Result<Option<f64>, Refusal> {
            let Some(cell) = at.and_then(|i| record.get(i)).filter(|t| !t.is_empty()) else {
                return Ok(None);
            };
            number(cell, unit)
                .map(Some)
                .map_err(|r| r.in_file(file).at_line(Some(line)).in_field(name))
        };
        let cell = |name: &str, at: Option<usize>, unit: &str| -> Result<Option<Cell>, Refusal> {
            let u_name = format!("{name}_u");
            let shared_name = format!("{name}_u_shared");
            let (u, shared) = (
                number(column(&u_name), &u_name, unit)?,
                number(column(&shared_name), &shared_name, unit)?,
            );
            Ok(number(at, name, unit)?.map(|value_mm| Cell {
                value_mm,
                u_mm: u,
                u_shared_mm: shared,
            }))
        };
        let got = cell(value, Some(value_at), to_mm)?;
        let with_penetration = Reading::PenetratedThroat.field();
        table.penetrated.push(cell(with_penetration, column(with_penetration), "mm")?);
        table.lines.push(line);
        table.rows.push(Row {
            coupon: text("coupon"),
            section: plain(record.get(section_at).unwrap_or_default()).to_owned(),
            weld: weld.filter(|_| !of_joint),
            value_mm: got.map(|c| c.value_mm),
            u_mm: got.and_then(|c| c.u_mm),
            u_shared_mm: got.and_then(|c| c.u_shared_mm),
            scale_id: text("scale_id"),
            reading: text("reading"),
            reader: text("reader"),
            reason: text("reason"),
        });
    }
    if table.rows.is_empty() {
        return Err(Refusal::new(
            "the table has no rows of readings",
            "add a row for each section",
        )
        .in_file(file));
    }
    Ok(table)
}

/// Tells the line of a row. The reader of the cells counts its own: in a file with lines of the kind `\r\n` they are one
/// too low.
#[derive(Default)]
struct LineCount {
    /// So far.
    at: usize,
    /// Line ends before that.
    ends: usize,
}

impl LineCount {
    /// Rows must be asked for in order.
    fn at(&mut self, text: &str, row: Option<&csv::Position>) -> usize {
        let start = row.and_then(|p| usize::try_from(p.byte()).ok()).unwrap_or(self.at);
        let bytes = text.as_bytes();
        let start = start.clamp(self.at, bytes.len());
        let blank = bytes[start..].iter().take_while(|b| matches!(b, b'\r' | b'\n')).count();
        let start = start + blank;
        self.ends += bytes[self.at..start].iter().filter(|b| **b == b'\n').count();
        self.at = start;
        1 + self.ends
    }
}

/// What a table must have.
fn ask_for_columns(value: &str) -> String {
    format!(
        "the table needs the columns coupon, section and {value}; `seamproof read FILE... --csv OUT.csv` writes one"
    )
}

/// Refuses a column that is nearly one that counts: passed over, it would pool sides, or leave a shared error out.
fn misspelt(names: &[String], value: &str) -> Result<(), Refusal> {
    let mut counts: Vec<String> = LABELS.iter().map(|l| (*l).to_owned()).collect();
    for reading in [value, Reading::PenetratedThroat.field()] {
        counts.extend(["", "_u", "_u_shared"].map(|end| format!("{reading}{end}")));
    }
    let known = |name: &String| {
        counts.contains(name)
            || name.strip_suffix("_u_shared").or(name.strip_suffix("_u")).is_some_and(is_reading)
            || is_reading(name)
    };
    for name in names.iter().filter(|n| !n.is_empty() && !known(n)) {
        let meant = if name.eq_ignore_ascii_case("side") && !names.iter().any(|n| n == "weld") {
            Some("weld")
        } else {
            let near = |to: &&String| {
                let allowed = if to.len() < 6 { 1 } else { 2 };
                strsim::damerau_levenshtein(&name.to_lowercase(), to) <= allowed
            };
            counts.iter().filter(|c| !names.contains(c)).find(near).map(String::as_str)
        };
        if let Some(meant) = meant {
            return Err(Refusal::new(
                format!("the column '{name}' is not known, and would be passed over"),
                format!("did you mean '{meant}'? Else give it another name"),
            )
            .in_field(name));
        }
    }
    Ok(())
}

fn is_reading(name: &str) -> bool {
    Reading::from_field(name).is_some() || JOINT.contains(&name)
}

/// The unit at the end of a column's name.
fn unit_of(name: &str) -> Option<&'static str> {
    ["mm", "um", "in"].into_iter().find(|unit| name.ends_with(&format!("_{unit}")))
}

/// A cell as millimetres: a bare number in the column's unit, or a length with its own.
fn number(cell: &str, unit: &str) -> Result<f64, Refusal> {
    let plain = cell.parse::<f64>();
    if let Ok(value) = plain
        && !value.is_finite()
    {
        return Err(Refusal::new(
            format!("'{cell}' is no number"),
            "write the number, or leave the cell blank with a reason",
        ));
    }
    let bare = !cell.ends_with(|c: char| c.is_alphabetic() || c == '"') || plain.is_ok();
    let text = if bare { format!("{cell} {unit}") } else { cell.to_owned() };
    text.parse::<Length>().map(|l| l.mm()).map_err(|e| Refusal::new(&e, e.advice()))
}

/// Whether a joint has readings of its own, or should have had: a throat that the section does not show is a blank, and a
/// blank stops a claim.
fn has_joint_row(reading: &ReadOut) -> bool {
    JOINT.iter().any(|n| reading.joint.contains_key(*n) || reading.absent.contains_key(*n))
}

/// How many rows a reading has in the table.
pub(crate) fn rows_of(reading: &ReadOut) -> usize {
    reading.welds.values().filter(|w| w.is_object()).count() + usize::from(has_joint_row(reading))
}

/// A section that has no reading to show.
#[derive(Clone, Debug, Default)]
pub struct Unread {
    /// Its coupon.
    pub coupon: String,
    /// Its label.
    pub section: String,
    /// Its photo.
    pub photo: String,
    /// Whether a fused zone is marked on it.
    pub marked: bool,
}

impl Unread {
    /// Why it has no values: no reason that a claim takes, so that a claim on the table says so.
    const fn why(&self) -> &'static str {
        if self.marked {
            "not read since it was marked last"
        } else {
            "no fused zone is marked on it yet"
        }
    }
}

/// Cells that a spreadsheet would take for a formula.
const FORMULA: [char; 4] = ['=', '+', '-', '@'];

/// A label as a table has it: what a spreadsheet would take for a formula begins with an apostrophe, control characters are
/// left out. [`plain`] takes the apostrophe away again.
fn guarded(label: &str) -> String {
    let seen: String = label.chars().filter(|c| !c.is_control()).collect();
    if seen.starts_with(FORMULA) || seen.starts_with('\'') { format!("'{seen}") } else { seen }
}

/// The label of a guarded cell.
pub(crate) fn plain(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(rest) if rest.starts_with(FORMULA) || rest.starts_with('\'') => rest,
        _ => cell,
    }
}

/// Writes readings as CSV: a row for each weld, and one for a joint that has readings of its own.
///
/// # Errors
///
/// When a row cannot be written (out of memory).
pub fn write_table(readings: &[ReadOut]) -> Result<Vec<u8>, Refusal> {
    write_table_of_all(readings, &[])
}

/// The same, with a row for each section that has no reading: a table that left it out would let a claim rise.
///
/// # Errors
///
/// As [`write_table`].
pub fn write_table_of_all(readings: &[ReadOut], unread: &[Unread]) -> Result<Vec<u8>, Refusal> {
    let mut names: Vec<&str> = Vec::new();
    let has = |name: &str| {
        readings.iter().any(|r| {
            r.joint.contains_key(name)
                || r.absent.keys().any(|k| k == name || k.ends_with(&format!(".{name}")))
                || r.welds.values().any(|w| w.get(name).is_some())
        })
    };
    names.extend(Reading::ALL.iter().map(|r| r.field()).filter(|n| has(n)));
    names.extend(JOINT.into_iter().filter(|n| has(n)));
    let mut writer = csv::Writer::from_writer(Vec::new());
    let mut header: Vec<String> = LABELS.iter().map(|l| (*l).to_owned()).collect();
    for name in &names {
        header.extend([(*name).to_owned(), format!("{name}_u"), format!("{name}_u_shared")]);
    }
    let broken = |e: &dyn std::fmt::Display| {
        Refusal::new(format!("the table cannot be written: {e}"), "try again")
    };
    writer.write_record(&header).map_err(|e| broken(&e))?;
    for reading in readings {
        let labels = |weld: &str| -> Vec<String> {
            let text = |t: &Option<String>| guarded(t.as_deref().unwrap_or_default());
            vec![
                text(&reading.coupon),
                text(&reading.section),
                weld.to_owned(),
                text(&reading.scale_id),
                text(&reading.reading),
                text(&reading.reader),
                String::new(),
                guarded(&reading.photo),
            ]
        };
        let mut row = |weld: &str, map: &serde_json::Map<String, Value>| -> Result<(), Refusal> {
            let mut cells = labels(weld);
            for name in header.iter().skip(LABELS.len()) {
                cells.push(
                    map.get(name)
                        .filter(|v| v.is_number())
                        .map_or_else(String::new, ToString::to_string),
                );
            }
            writer.write_record(&cells).map_err(|e| broken(&e))
        };
        for (weld, values) in &reading.welds {
            if let Value::Object(map) = values {
                row(weld, map)?;
            }
        }
        if has_joint_row(reading) {
            row(JOINT_ROW, &reading.joint)?;
        }
    }
    for section in unread {
        let cells = header.iter().map(|name| match name.as_str() {
            "coupon" => guarded(&section.coupon),
            "section" => guarded(&section.section),
            "photo" => guarded(&section.photo),
            "reason" => section.why().to_owned(),
            _ => String::new(),
        });
        writer.write_record(cells.collect::<Vec<_>>()).map_err(|e| broken(&e))?;
    }
    writer.into_inner().map_err(|e| broken(&e.error()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A spreadsheet runs what begins with =, +, - or @; the table comes back as it was.
    #[test]
    fn labels_are_no_formulas_and_come_back() {
        for label in ["=1+1", "+cmd", "-A", "@x", "'A", "''=A", "A", "1", "'=A"] {
            let cell = guarded(label);
            assert!(!cell.starts_with(FORMULA), "{cell}");
            assert_eq!(plain(&cell), label);
        }
        assert_eq!(guarded("=1+1\0\u{202e}"), "'=1+1\u{202e}");
    }

    /// No claim rests on a table with a section that was not read.
    #[test]
    fn an_unread_section_is_a_row_that_stops_a_claim() {
        let unread = Unread {
            coupon: "D".into(),
            section: "1".into(),
            photo: "d1.jpg".into(),
            marked: true,
        };
        let table = write_table_of_all(&[], &[unread]).unwrap();
        let text = String::from_utf8(table).unwrap();
        assert!(text.ends_with("\nD,1,,,,,not read since it was marked last,d1.jpg\n"), "{text}");
    }
}
