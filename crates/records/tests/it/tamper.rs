//! Rows that were changed with other tools: the check names them.

use crate::common::{all, is_well, one_of_each};
use records::{Hash, Kind, Study, chain, check};
use rusqlite::Connection;
use std::path::{Path, PathBuf};
use tempfile::{TempDir, tempdir};

fn place() -> (TempDir, PathBuf) {
    let folder = tempdir().unwrap();
    let path = folder.path().join("t.seam");
    one_of_each(&path).close().unwrap();
    (folder, path)
}

fn faults(path: &Path) -> Vec<String> {
    let checked = check(path, None, &mut |_, _| true).unwrap();
    checked.faults.iter().map(ToString::to_string).collect()
}

/// Opens the file with no guard of its own.
fn unguarded(path: &Path) -> Connection {
    let conn = Connection::open(path).unwrap();
    conn.execute_batch("PRAGMA foreign_keys = off; PRAGMA ignore_check_constraints = on;").unwrap();
    conn
}

/// Does something to the rows behind the triggers' back, and leaves the tables as they were.
fn behind_the_triggers(path: &Path, sql: &str) {
    let conn = unguarded(path);
    let triggers: Vec<(String, String)> = conn
        .prepare("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'")
        .unwrap()
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
        .unwrap()
        .collect::<Result<_, _>>()
        .unwrap();
    for (name, _) in &triggers {
        conn.execute_batch(&format!("DROP TRIGGER {name}")).unwrap();
    }
    conn.execute_batch(sql).unwrap();
    for (_, sql) in &triggers {
        conn.execute_batch(sql).unwrap();
    }
}

#[test]
fn plain_sql_is_refused_by_the_file_itself() {
    let (_folder, path) = place();
    let conn = Connection::open(&path).unwrap();
    for table in ["record", "photo", "revision", "content"] {
        let refused = conn.execute(&format!("UPDATE {table} SET rowid = 99"), []).unwrap_err();
        assert_eq!(refused.to_string(), "nothing in a study is rewritten");
        let refused = conn.execute(&format!("DELETE FROM {table}"), []).unwrap_err();
        assert_eq!(refused.to_string(), "nothing in a study is deleted");
    }
    drop(conn);
    is_well(&path);
}

/// Every column of every table, changed with plain SQL.
#[test]
fn a_row_that_was_changed_is_named() {
    let section = "entry 7, revision 1 of section 'a1.toml' by R. Tan at 2026-11-25T08:30:00Z, is not what was saved: the first broken link of the chain";
    let not = |what: &str| section.replace("revision 1 of section 'a1.toml'", what);
    let picture = Hash::of(b"the picture of a1");
    let of_a1 = "photo 'a1.jpg', section 'a1.toml'";
    for (sql, said) in [
        ("UPDATE content SET text = text || ' ' WHERE seq = 7", section.to_owned()),
        ("UPDATE content SET seq = 70 WHERE seq = 7", "entry 7 cannot be read: its text is missing".to_owned()),
        ("DELETE FROM content WHERE seq = 7", "entry 7 cannot be read: its text is missing".to_owned()),
        ("INSERT INTO content (seq, text) VALUES (70, 'x')", "the file: content 70 speaks of a revision that is not there".to_owned()),
        ("UPDATE revision SET name = 'b1' WHERE seq = 7", not("revision 1 of section 'b1'")),
        ("UPDATE revision SET author = 'M. Ode' WHERE seq = 7", section.replace("R. Tan", "M. Ode")),
        ("UPDATE revision SET time = '2026-11-24T08:30:00Z' WHERE seq = 7", section.replace("-25T", "-24T")),
        ("UPDATE revision SET reason = 'none' WHERE seq = 7", section.to_owned()),
        ("UPDATE revision SET withdrawn = 1 WHERE seq = 7", section.to_owned()),
        ("UPDATE revision SET parent = 4 WHERE seq = 7", section.to_owned()),
        ("UPDATE revision SET parent = NULL WHERE seq = 7", section.to_owned()),
        ("UPDATE revision SET rests_on = 1 WHERE seq = 7", section.to_owned()),
        ("UPDATE revision SET photo = (SELECT hash FROM photo WHERE id = 2) WHERE seq = 7", section.to_owned()),
        ("UPDATE revision SET photo = NULL WHERE seq = 7", section.to_owned()),
        ("UPDATE revision SET form = 'json' WHERE seq = 7", section.to_owned()),
        ("UPDATE revision SET number = 9 WHERE seq = 7", not("revision 9 of section 'a1.toml'")),
        ("UPDATE revision SET record = 99 WHERE seq = 10", not("revision 1 of paper 'report.pdf'").replace("entry 7", "entry 10")),
        ("UPDATE revision SET entry = zeroblob(32) WHERE seq = 7", section.to_owned()),
        ("UPDATE revision SET kind = 'cut' WHERE seq = 7", not("revision 1 of cut 'a1.toml'")),
        ("UPDATE revision SET kind = 'bead' WHERE seq = 7", "entry 7 cannot be read: Conversion error from type Text at index: 2, 'bead' is not known here".to_owned()),
        ("UPDATE revision SET seq = 70 WHERE seq = 7", "entry 7 is missing from the chain".to_owned()),
        ("DELETE FROM revision WHERE seq = 7", "entry 7 is missing from the chain".to_owned()),
        ("DELETE FROM revision WHERE seq > 11", "the end of the chain is missing: 13 entries were written, and 11 are there".to_owned()),
        ("UPDATE sqlite_sequence SET seq = 99", "the end of the chain is missing: 99 entries were written, and 13 are there".to_owned()),
        ("UPDATE record SET kind = 'cut' WHERE id = 7", section.to_owned()),
        ("UPDATE record SET id = 99 WHERE id = 7", section.to_owned()),
        ("DELETE FROM record WHERE id = 7", section.to_owned()),
        ("INSERT INTO record (id, kind) VALUES (99, 'cut')", "record 99 has no revision".to_owned()),
        ("UPDATE photo SET data = CAST(data || ' ' AS BLOB) WHERE id = 1", format!("the photo of {of_a1} is not the one that was saved, {picture}")),
        ("UPDATE photo SET data = x'74657874' WHERE id = 1", format!("the photo of {of_a1} is not the one that was saved, {picture}")),
        ("UPDATE photo SET hash = zeroblob(32) WHERE id = 1", format!("the photo of {of_a1} is missing, {picture}")),
        ("DELETE FROM photo WHERE id = 1", format!("the photo of {of_a1} is missing, {picture}")),
        ("INSERT INTO photo (hash, data) VALUES (zeroblob(32), x'00')", format!("the photo {} belongs to no record, and was not saved by this program", Hash([0; 32]))),
    ] {
        let (_folder, path) = place();
        behind_the_triggers(&path, sql);
        let faults = faults(&path);
        assert!(faults.contains(&said), "{sql}\n{faults:#?}\nnot: {said}");
    }
}

#[test]
fn tables_that_were_changed_are_named_and_not_written_to() {
    for (sql, said) in [
        (
            "DROP TRIGGER photo_is_not_rewritten",
            "'photo_is_not_rewritten' is missing: the tables are not those of version 1",
        ),
        (
            "DROP INDEX revision_by_name",
            "'revision_by_name' is missing: the tables are not those of version 1",
        ),
        (
            "CREATE TABLE notes (x)",
            "'notes' is one too many: the tables are not those of version 1",
        ),
        (
            "ALTER TABLE revision ADD COLUMN extra TEXT",
            "'revision' is changed: the tables are not those of version 1",
        ),
    ] {
        let (_folder, path) = place();
        unguarded(&path).execute_batch(sql).unwrap();
        assert_eq!(faults(&path), [said]);
        let refused = Study::open(&path).map(|_| ()).unwrap_err();
        assert_eq!(
            refused.to_string(),
            format!("{} is damaged: its tables are not those of version 1", path.display())
        );
    }
}

/// What a check cannot see by itself, and a printed head shows.
#[test]
fn a_chain_written_anew_fits_in_itself_but_not_a_printed_head() {
    let (_folder, path) = place();
    let printed = Study::open_to_read(&path).unwrap().head().unwrap().to_string();
    let mark = printed.parse().unwrap();
    let looked = |path: &Path| check(path, Some(&mark), &mut |_, _| true).unwrap();
    assert_eq!(looked(&path).mark_at, Some(13));
    // Later work leaves the printed head in the past.
    let mut study = Study::open(&path).unwrap();
    crate::common::section(&mut study, "a3", None, b"later");
    study.close().unwrap();
    let later = looked(&path);
    assert_eq!((later.mark_at, later.head.count, later.faults), (Some(13), 15, vec![]));
    // Somebody makes a throat better, and hashes everything behind it again.
    let mut history = all(&Study::open_to_read(&path).unwrap());
    let mut sql = String::new();
    let mut entry = chain::beginning();
    for revision in &mut history {
        if revision.kind == Kind::Reading {
            revision.content.text = revision.content.text.replace("3.82", "4.82");
        }
        entry = chain::entry(entry, revision);
        sql.push_str(&format!(
            "UPDATE revision SET entry = x'{entry}' WHERE seq = {seq}; UPDATE content SET text = '{}' WHERE seq = {seq};\n",
            revision.content.text, seq = revision.seq
        ));
    }
    behind_the_triggers(&path, &sql);
    let rewritten = looked(&path);
    assert_eq!(rewritten.faults, []);
    assert_eq!(rewritten.mark_at, None);
    // The digits alone do not help it either.
    let digits = printed.split('-').next().unwrap().parse().unwrap();
    assert_eq!(check(&path, Some(&digits), &mut |_, _| true).unwrap().mark_at, None);
}

#[test]
fn a_check_can_be_stopped() {
    let (_folder, path) = place();
    let stopped = check(&path, None, &mut |_, _| false);
    assert!(matches!(stopped, Err(records::Error::Stopped)));
}
