//! Tables of readings that cannot be claimed from, and odd ones that can.

use crate::run::{Said, folder, seamproof};
use std::fmt::Write;

fn claim(table: &str) -> Said {
    claim_with(table, &[])
}

fn claim_with(table: &str, more: &[&str]) -> Said {
    let place = folder(&[("t.csv", table.as_bytes())]);
    seamproof(place.path(), &[&["claim", "t.csv"], more].concat())
}

/// Three sections of each of two coupons, as cells of one table.
const ROWS: [[&str; 3]; 6] = [
    ["A", "1", "3.1"],
    ["A", "2", "3.3"],
    ["A", "3", "3.2"],
    ["B", "1", "3.4"],
    ["B", "2", "3.2"],
    ["B", "3", "3.3"],
];

fn table(separator: &str, end: &str, cell: impl Fn(&str) -> String) -> String {
    let mut text = ["coupon", "section", "effective_throat_mm"].join(separator) + end;
    for row in ROWS {
        text += &([row[0].to_owned(), row[1].to_owned(), cell(row[2])].join(separator) + end);
    }
    text
}

fn plain() -> String {
    table(",", "\n", str::to_owned)
}

const COLUMNS: &str = "the table needs the columns coupon, section and effective_throat_mm; `seamproof read FILE... --csv OUT.csv` writes one";

#[test]
fn a_table_reads_the_same_however_it_was_saved() {
    let plain = claim(&plain());
    assert_eq!(plain.code, 0, "{plain:?}");
    for (how, text) in [
        ("semicolons and decimal commas", table(";", "\n", |c| c.replace('.', ","))),
        ("quoted decimal commas", table(",", "\n", |c| format!("\"{}\"", c.replace('.', ",")))),
        ("tabs", table("\t", "\n", str::to_owned)),
        ("lines of another system", table(",", "\r\n", str::to_owned)),
        ("byte order mark", format!("\u{feff}{}", table(",", "\n", str::to_owned))),
        ("blanks", table(" , ", " \n", str::to_owned)),
        ("empty lines", format!("\n\n{}\n\n", table(",", "\n", str::to_owned))),
        ("empty lines, semicolons", format!("\n{}", table(";", "\n", str::to_owned))),
        ("units in the cells", table(",", "\n", |c| format!("{c} mm"))),
        ("a column more", plain_with_a_note()),
    ] {
        assert_eq!(claim(&text).out, plain.out, "{how}");
    }
}

fn plain_with_a_note() -> String {
    plain().lines().map(|l| format!("{l},note\n")).collect()
}

/// Two rows of 3.1 and 3.3: mean 3.2, s 0.1414; k for n = 2 is 26.26 (the non-central t's exact factor), so the bound is
/// below zero.
#[test]
fn what_leaves_no_throat_is_not_printed_as_a_claim() {
    let said = claim("coupon,section,effective_throat_mm\nA,1,3.1\nA,2,3.3\n");
    assert_eq!(said.code, 1);
    assert!(said.out.starts_with("Cannot claim: the scatter of 0.141 mm around 3.200 mm"));
    let row = said.out.lines().find(|l| l.contains("claim (effective throat)")).unwrap();
    assert!(row.ends_with(" none"), "{row}");
}

#[test]
fn a_blank_stops_the_claim_until_it_has_a_reason() {
    let blank = plain().replace("B,2,3.2", "B,2,");
    let said = claim(&blank);
    assert_eq!(
        said.out,
        "Cannot claim: 1 row has no effective_throat_mm and no reason (t.csv, line 6).\n  \
         next: enter the value (0 where the section shows no throat), or record a reason: cut lost,\n  \
         etch failed, planned exclusion\n"
    );
    assert_eq!((said.code, said.err.as_str()), (1, ""));
    let reasoned = |reason: &str| -> String {
        blank
            .lines()
            .enumerate()
            .map(|(i, l)| match i {
                0 => format!("{l},reason\n"),
                5 => format!("{l},{reason}\n"),
                _ => format!("{l},\n"),
            })
            .collect()
    };
    for reason in ["cut lost", "etch failed", "planned exclusion", "Cut lost"] {
        let said = claim_with(&reasoned(reason), &["--json"]);
        assert_eq!(said.code, 0, "{said:?}");
        let json = said.json();
        assert_eq!(json["n"], 5);
        assert_eq!(json["left_out"][0]["coupon"], "B");
        assert_eq!(json["left_out"][0]["section"], "2");
        assert_eq!(json["left_out"][0]["reason"], reason.to_lowercase());
    }
    claim(&reasoned("too low")).refuses(
        "t.csv:6: reason: 'too low' is no reason to leave a value out",
        "use one of: cut lost, etch failed, planned exclusion",
    );
    // Many blanks are counted, and the first lines named.
    let all: String = (0..30).map(|i| format!("A,{i},\n")).collect();
    let said = claim(&format!("coupon,section,effective_throat_mm\n{all}"));
    assert!(
        said.out.split_whitespace().collect::<Vec<_>>().join(" ").contains(
            "30 rows have no effective_throat_mm and no reason (t.csv, lines 2, 3, 4, 5, 6, 7, 8, 9, 10, 11 and 20 more)"
        ),
        "{said:?}"
    );
}

#[test]
fn a_number_that_could_be_two_is_refused() {
    for (cell, short, long) in [("1,200", "1.2", "1200"), ("3,125", "3.125", "3125")] {
        let text = table(";", "\n", |c| if c == "3.4" { cell.to_owned() } else { c.to_owned() });
        claim(&text).refuses(
            &format!("t.csv:5: effective_throat_mm: {cell} mm could be {short} mm or {long} mm"),
            &format!("write {short} mm or {long} mm"),
        );
    }
}

#[test]
fn a_cell_that_is_no_number_is_refused() {
    let throat = "a throat is zero (no fusion) or more, in mm, and below a metre; leave the value blank, with a reason, where nothing was read";
    let number = "write the number, or leave the cell blank with a reason";
    let unit = "write a number and a unit: mm, in, µm, thou, m or ft";
    for (cell, fact, next) in [
        ("nan", "'nan' is no number", number),
        ("inf", "'inf' is no number", number),
        ("-inf", "'-inf' is no number", number),
        ("n/a", "\"n/a\" does not begin with a number", unit),
        ("-3", "-3 mm is no throat", throat),
        ("5000", "5000 mm is no throat", throat),
        (
            "3.1 kg",
            "\"kg\" is not a unit that is known here",
            "a length is written in mm, in, µm, thou, m or ft",
        ),
    ] {
        claim(&plain().replace("3.4", cell))
            .refuses(&format!("t.csv:5: effective_throat_mm: {fact}"), next);
    }
}

#[test]
fn too_little_to_claim_is_an_answer_of_no() {
    let one = claim("coupon,section,effective_throat_mm\nA,1,3.1\n");
    assert_eq!(
        (one.code, one.out.as_str()),
        (
            1,
            "Cannot claim: 1 section(s) say nothing about scatter (t.csv).\n  \
             next: cut at least 2, better 5 coupons of 3 sections; repeats of one section do not count\n"
        )
    );
    let equal = claim(&table(",", "\n", |_| "3.2".to_owned()));
    assert_eq!(equal.code, 1);
    assert!(
        equal.out.starts_with(
            "Cannot claim: the 6 readings are all equal to the digit (3.2 mm) (t.csv).\n"
        ),
        "{equal:?}"
    );
    let json = claim_with("coupon,section,effective_throat_mm\nA,1,3.1\n", &["--json"]).json();
    assert_eq!(json["verdict"], "cannot claim");
    assert!(json["next"].as_str().unwrap().starts_with("cut at least 2"));
}

#[test]
fn a_table_without_its_columns_is_refused() {
    claim("").refuses("t.csv: the file is empty", COLUMNS);
    claim("\n \n").refuses("t.csv: the file is empty", COLUMNS);
    claim("coupon,section,effective_throat_mm\n")
        .refuses("t.csv: the table has no rows of readings", "add a row for each section");
    for (from, to, fact) in [
        (
            "effective_throat_mm",
            "efective_throat_mm",
            "effective_throat_mm: there is no column 'effective_throat_mm'; the nearest column is 'efective_throat_mm'",
        ),
        (
            "effective_throat_mm",
            "Effective_Throat_mm",
            "effective_throat_mm: there is no column 'effective_throat_mm'; the nearest column is 'Effective_Throat_mm'",
        ),
        (
            "section",
            "sectoin",
            "section: there is no column 'section'; the nearest column is 'sectoin'",
        ),
        ("coupon", "cupon", "coupon: there is no column 'coupon'; the nearest column is 'cupon'"),
        (
            "coupon",
            "plate",
            "coupon: there is no column 'coupon'; there are plate, section, effective_throat_mm",
        ),
    ] {
        claim(&plain().replace(from, to)).refuses(&format!("t.csv:1: {fact}"), COLUMNS);
    }
    claim_with(&plain(), &["--value", "dilution"]).refuses(
        "t.csv:1: dilution: there is no column 'dilution'; there are coupon, section, effective_throat_mm",
        &COLUMNS.replace("effective_throat_mm", "dilution"),
    );
    claim_with(&plain().replace("effective_throat_mm", "dilution"), &["--value", "dilution"])
        .refuses(
            "t.csv:1: dilution: the column 'dilution' is no length",
            "claim a column whose name ends in its unit: _mm, _um or _in",
        );
}

/// A misspelt `weld` would average the two sides of a tee as repeats; a misspelt `..._u_shared` would leave the shared
/// error out. Both make a claim too high, so neither is passed over.
#[test]
fn a_column_that_is_nearly_one_that_counts_is_refused() {
    for (name, meant) in [
        ("wled", "weld"),
        ("Weld", "weld"),
        ("side", "weld"),
        ("readr", "reader"),
        ("Reason", "reason"),
        ("effective_throat_mm_ushared", "effective_throat_mm_u_shared"),
        ("penetrated_throat", "penetrated_throat_mm"),
    ] {
        let text: String = plain()
            .lines()
            .enumerate()
            .map(|(i, l)| format!("{l},{}\n", if i == 0 { name } else { "" }))
            .collect();
        if name == "penetrated_throat" {
            assert_eq!(claim(&text).code, 0, "three letters off is another column");
            continue;
        }
        claim(&text).refuses(
            &format!("t.csv:1: {name}: the column '{name}' is not known, and would be passed over"),
            &format!("did you mean '{meant}'? Else give it another name"),
        );
    }
}

#[test]
fn ragged_and_unclosed_lines_are_named() {
    let separators = "check for a missing or an extra separator; a decimal comma needs a semicolon between cells, or quotes";
    claim(&plain().replace("A,3,3.2", "A,3"))
        .refuses("t.csv:4: the line has 2 cells, and the header has 3", separators);
    claim(&plain().replace("A,3,3.2", "A,3,3,2"))
        .refuses("t.csv:4: the line has 4 cells, and the header has 3", separators);
    // The decimal comma hides where the header ends in a separator too.
    let trailing: String = plain()
        .replace("A,3,3.2", "A,3,3,2")
        .lines()
        .map(|l| if l == "A,3,3,2" { format!("{l}\n") } else { format!("{l},\n") })
        .collect();
    claim(&trailing).refuses(
        "t.csv:4: '2' stands in a column without a name",
        "name the column; a decimal comma needs a semicolon between cells, or quotes",
    );
    // An unclosed quote swallows every row after it; in a column that is not looked at, too.
    claim(&plain().replace("A,3,3.2", "A,3,\"3.2")).refuses(
        "t.csv:4: effective_throat_mm: the cell runs over several lines, so rows would be lost in it",
        "close the quotes of the cell, or take the line break out of it",
    );
    claim(&plain_with_a_note().replace("A,3,3.2,note", "A,3,3.2,\"a1.jpg")).refuses(
        "t.csv:4: note: the cell runs over several lines, so rows would be lost in it",
        "close the quotes of the cell, or take the line break out of it",
    );
    claim(&plain().replace("section", "coupon"))
        .refuses("t.csv:1: coupon: the column 'coupon' stands there twice", "keep one of them");
    claim("coupon,section,effective_throat_mm,effective_throat_mm\nA,1,3.1,2.9\n").refuses(
        "t.csv:1: effective_throat_mm: the column 'effective_throat_mm' stands there twice",
        "keep one of them",
    );
}

/// However lines end and whatever lies before the header, the line that is told is the one that an editor shows.
#[test]
fn the_line_is_the_one_that_an_editor_shows() {
    let bad = plain().replace("3.4", "n/a");
    for (text, line) in [
        (bad.clone(), 5),
        (bad.replace('\n', "\r\n"), 5),
        (format!("\n\n{bad}"), 7),
        (format!("\r\n{}", bad.replace('\n', "\r\n\r\n")), 10),
        (format!("\u{feff}{bad}"), 5),
    ] {
        let said = claim(&text);
        assert!(said.err.starts_with(&format!("t.csv:{line}: effective_throat_mm: ")), "{said:?}");
    }
    let said = claim(&format!("\r\n{}", plain().replace("coupon", "cupon").replace('\n', "\r\n")));
    assert!(said.err.starts_with("t.csv:2: coupon: there is no column"), "{said:?}");
}

#[test]
fn rows_that_contradict_each_other_are_named_by_line() {
    let head = "coupon,section,effective_throat_mm,weld,reading\n";
    for (rows, fact, next) in [
        (
            "A,1,3.1,,1\nA,1,3.2,,1\n",
            "t.csv:3: reading: this reading stands in line 2 already",
            "give a repeat its own reading number, or delete the copy",
        ),
        (
            "A,,3.1,,\nA,2,3.2,,\n",
            "t.csv:2: section: the section has no label",
            "label every section as on its coupon",
        ),
        (
            "A,1,3.1,,\na,2,3.2,,\n",
            "t.csv:3: coupon: 'a' and 'A' differ only in capitals or blanks",
            "spell the label the same way in every row, or tell two coupons apart clearly",
        ),
        (
            "A,1,3.1,front,\nA,2,3.2,left,\n",
            "t.csv:2: weld: 'front' is no side of a weld",
            "use one of: only, left, right, top, bottom",
        ),
        (
            "A,1,-1,,\nA,2,-2,,\nA,3,3,,\n",
            "t.csv:2: effective_throat_mm: -1 mm is no throat; line 3: -2 mm is no throat",
            "a throat is zero (no fusion) or more, in mm, and below a metre; leave the value blank, with a reason, where nothing was read",
        ),
    ] {
        claim(&format!("{head}{rows}")).refuses(fact, next);
    }
    let many: String = (0..1000).map(|i| format!("A,{i},-1,,\n")).collect();
    let said = claim(&format!("{head}{many}"));
    assert!(said.err.contains("; and 995 more\n") && said.err.len() < 600, "{said:?}");
}

#[test]
fn what_is_asked_must_make_sense() {
    for (more, fact, next) in [
        (
            ["--need", "3"],
            "need: \"3\" has no unit",
            "write the unit after it: mm, in, µm, thou, m or ft",
        ),
        (
            ["--need", "0 mm"],
            "need: 0 mm is no needed throat",
            "give the needed throat in mm, above zero",
        ),
        (
            ["--need", "-1 mm"],
            "need: -1 mm is no needed throat",
            "give the needed throat in mm, above zero",
        ),
        (
            ["--content", "95"],
            "content, confidence: a share of 95 of all sections is outside 0.5 to 0.9999",
            "ask for shares, not percents: 0.95 of all sections with confidence 0.95 is usual",
        ),
        (["--shared-u", "0.01"], "shared-u: \"0.01\" has no unit", "write the unit after it: %"),
        (
            ["--shared-u", "-1 %"],
            "shared-u: a shared uncertainty of -1 % is outside 0 to 50 %",
            "give the relative standard uncertainty that all photos have in common, such as \"1 %\"",
        ),
    ] {
        claim_with(&plain(), &more).refuses(fact, next);
    }
    let percent = claim_with(&plain(), &["--content", "95 %", "--confidence", "95 %"]);
    assert_eq!(percent.out, claim(&plain()).out);
    let place = folder(&[]);
    seamproof(place.path(), &["claim", "nix.csv"])
        .refuses("nix.csv: there is no such file", "check the name and the folder");
}

/// 100 000 sections are read and bounded in seconds.
#[test]
fn a_long_table_is_quick() {
    let mut text = String::from("coupon,section,effective_throat_mm\n");
    for i in 0..100_000_u32 {
        writeln!(text, "C{},{i},{:.4}", i % 50, 3.0 + f64::from(i * 7919 % 1000) / 2000.0).unwrap();
    }
    let start = std::time::Instant::now();
    let said = claim_with(&text, &["--json"]);
    let took = start.elapsed();
    assert_eq!(said.json()["n"], 100_000, "{said:?}");
    assert!(took.as_secs() < 20, "{took:?}");
}
