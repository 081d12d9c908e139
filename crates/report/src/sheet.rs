//! Tables as a spreadsheet file (XLSX): same tables, same bytes.
//!
//! Cells are what they are given as: a text stays a text even where it begins with `=`, and a number is written with all
//! its digits, so that nothing is worked out or rounded on the way. The date that the file carries for its making is
//! fixed, since no clock is asked here.
//!
//! Not covered: formulas, charts, colours.

use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, Workbook, XlsxError};

/// The longest name of a sheet, characters: the file format's own limit.
const LONGEST_NAME: usize = 31;
/// Widest a column is made, characters.
const WIDEST: f64 = 60.0;

/// What stands in a cell.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// Nothing.
    Blank,
    /// A text.
    Text(String),
    /// A number; one that is not finite leaves the cell blank.
    Number(f64),
}

/// A table, which becomes a sheet of the file.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Its name; letters that the format does not take there become spaces.
    pub name: String,
    /// The heads of its columns.
    pub head: Vec<String>,
    /// Its rows.
    pub rows: Vec<Vec<Cell>>,
}

/// Why there is no file.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum SheetError {
    /// More than a sheet holds, two sheets of one name, or a text that is too long.
    #[error("the tables do not fit into a spreadsheet: {why}")]
    DoesNotFit {
        /// What the writer said.
        why: XlsxError,
    },
}

impl SheetError {
    /// What to do next.
    #[must_use]
    pub const fn advice(&self) -> &'static str {
        "take the CSV file instead, which has no such limits"
    }
}

impl From<XlsxError> for SheetError {
    fn from(why: XlsxError) -> Self {
        Self::DoesNotFit { why }
    }
}

/// Writes tables as the sheets of one XLSX file, the first one in front.
///
/// # Errors
///
/// When a table has more rows or columns than a sheet (1 048 576 and 16 384), a text more than 32 767 characters, or two
/// tables have one name.
pub fn workbook(title: &str, sheets: &[Sheet]) -> Result<Vec<u8>, SheetError> {
    let mut book = Workbook::new();
    let made = ExcelDateTime::from_ymd(2000, 1, 1)?;
    book.set_properties(&DocProperties::new().set_title(title).set_creation_datetime(&made));
    let head = Format::new().set_bold().set_text_wrap();
    for table in sheets {
        let sheet = book.add_worksheet();
        sheet.set_name(name_of(&table.name))?;
        sheet.set_freeze_panes(1, 0)?;
        for (column, text) in (0_u16..).zip(&table.head) {
            sheet.write_string_with_format(0, column, text, &head)?;
            sheet.set_column_width(column, width(table, usize::from(column)))?;
        }
        for (row, cells) in (1_u32..).zip(&table.rows) {
            for (column, cell) in (0_u16..).zip(cells) {
                match cell {
                    Cell::Text(text) if !text.is_empty() => {
                        sheet.write_string(row, column, text)?;
                    }
                    Cell::Number(number) if number.is_finite() => {
                        sheet.write_number(row, column, *number)?;
                    }
                    _ => {}
                }
            }
        }
    }
    Ok(book.save_to_buffer()?)
}

fn name_of(name: &str) -> String {
    let fit = |c: char| if c.is_control() || "[]:*?/\\'".contains(c) { ' ' } else { c };
    let name: String = name.chars().map(fit).take(LONGEST_NAME).collect();
    let name = name.trim().to_owned();
    if name.is_empty() { "table".to_owned() } else { name }
}

/// As wide as its texts, within reason; numbers take what their head takes.
fn width(table: &Sheet, column: usize) -> f64 {
    let texts = table.rows.iter().filter_map(|row| match row.get(column) {
        Some(Cell::Text(text)) => Some(text.chars().count()),
        _ => None,
    });
    let head = table.head.get(column).map_or(0, |head| head.chars().count());
    let longest = texts.chain([head]).max().unwrap_or(0);
    (longest as f64 + 2.0).clamp(8.0, WIDEST)
}
