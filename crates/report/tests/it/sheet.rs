//! Spreadsheets: the same tables are the same bytes, whatever they hold.

use report::sheet::{Cell, Sheet, workbook};

fn readings() -> Sheet {
    Sheet {
        name: "Readings".to_owned(),
        head: ["coupon", "effective_throat_mm"].map(str::to_owned).to_vec(),
        rows: vec![
            vec![Cell::Text("=1+1".to_owned()), Cell::Number(4.061_412_345_678_9)],
            vec![Cell::Text("B & <C>".to_owned()), Cell::Blank],
            vec![Cell::Blank, Cell::Number(f64::NAN)],
        ],
    }
}

/// Names of the parts of a zip archive: they stand in it as they are.
fn holds(bytes: &[u8], text: &str) -> bool {
    bytes.windows(text.len()).any(|w| w == text.as_bytes())
}

#[test]
fn the_same_tables_are_the_same_bytes() {
    let book = workbook("Hollin Ferry", &[readings()]).unwrap();
    assert!(book.starts_with(b"PK"));
    assert!(holds(&book, "xl/worksheets/sheet1.xml"));
    std::thread::sleep(std::time::Duration::from_millis(1100));
    assert!(book == workbook("Hollin Ferry", &[readings()]).unwrap());
    let mut other = readings();
    other.rows[0][1] = Cell::Number(4.0);
    assert!(book != workbook("Hollin Ferry", &[other]).unwrap());
}

#[test]
fn names_that_the_format_does_not_take_are_made_to_fit() {
    for name in ["a/b:c*d?e[f]", "", "'", &"x".repeat(50), "µ\u{7}"] {
        let sheet = Sheet { name: name.to_owned(), ..readings() };
        workbook("t", &[sheet]).unwrap();
    }
    let refused = workbook("t", &[readings(), readings()]).unwrap_err();
    assert!(refused.to_string().starts_with("the tables do not fit into a spreadsheet: "));
    let long = Sheet { rows: vec![vec![Cell::Text("x".repeat(40_000))]], ..readings() };
    assert!(workbook("t", &[long]).is_err());
}
