//! What `--help` says, and what is said to a command that cannot be understood.

use crate::run::{folder, seamproof};

#[test]
fn help_says_what_each_step_wants() {
    let empty = folder(&[]);
    for (name, args) in [
        ("help", vec!["--help"]),
        ("help_units", vec!["units", "--help"]),
        ("help_start", vec!["start", "--help"]),
        ("help_read", vec!["read", "--help"]),
        ("help_claim", vec!["claim", "--help"]),
        ("help_compare", vec!["compare", "--help"]),
        ("help_area", vec!["area", "--help"]),
        ("help_write", vec!["write", "--help"]),
        ("help_write_report", vec!["write", "report", "--help"]),
        ("help_study", vec!["study", "--help"]),
        ("help_study_new", vec!["study", "new", "--help"]),
        ("help_study_check", vec!["study", "check", "--help"]),
        ("help_study_export", vec!["study", "export", "--help"]),
        ("help_study_import", vec!["study", "import", "--help"]),
        ("help_study_backup", vec!["study", "backup", "--help"]),
        ("help_bench", vec!["bench", "--help"]),
        ("help_demo", vec!["demo", "--help"]),
    ] {
        let said = seamproof(empty.path(), &args);
        assert_eq!(said.code, 0);
        insta::assert_snapshot!(name, said.out);
    }
}

/// The example of the help is a reading file that is understood: only its photo is missing.
#[test]
fn the_help_of_read_shows_a_file_that_is_understood() {
    let empty = folder(&[]);
    let help = seamproof(empty.path(), &["read", "--help"]).out;
    let (_, example) = help.split_once("A reading file:\n").unwrap();
    std::fs::write(empty.path().join("a1.toml"), example).unwrap();
    seamproof(empty.path(), &["read", "a1.toml"]).refuses(
        "a1.toml:1: photo: a1.jpg: there is no such file",
        "check the name and the folder",
    );
}

#[test]
fn a_step_that_is_not_there_is_bad_input() {
    let empty = folder(&[]);
    let said = seamproof(empty.path(), &["clame", "a.toml"]);
    assert_eq!(said.code, 2);
    assert!(said.err.contains("similar subcommand") && said.err.contains("'claim'"), "{said:?}");
    for args in [&[][..], &["read"], &["claim"], &["units"], &["claim", "a.csv", "--content", "x"]]
    {
        assert_eq!(seamproof(empty.path(), args).code, 2, "{args:?}");
    }
}
