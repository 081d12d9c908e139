//! What chores and house rules share. The rules themselves are tests, so that `cargo test` is the only command to know.

use std::fmt::Write;
use std::path::{Path, PathBuf};

/// The workspace's folder.
#[must_use]
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap_or_else(|| Path::new(".")).to_owned()
}

/// A source constant as written in `weld/src/source.rs`.
#[derive(Debug, PartialEq, Eq)]
pub struct SourceEntry {
    /// Its name.
    pub name: String,
    /// Its title.
    pub title: String,
    /// Clause, table, page.
    pub place: String,
    /// Is it from memory?
    pub recalled: bool,
}

/// Every source of `weld/src/source.rs`.
#[must_use]
pub fn sources() -> Vec<SourceEntry> {
    let text =
        std::fs::read_to_string(root().join("crates/weld/src/source.rs")).unwrap_or_default();
    text.split("\npub const ")
        .skip(1)
        .filter_map(|entry| {
            let (name, rest) = entry.split_once(": Source")?;
            let body = rest.split("\n};").next()?;
            let quoted = |field: &str| {
                let after = body.split_once(field)?.1;
                after
                    .split('"')
                    .nth(1)
                    .map(|t| t.replace("\\\n", "").split_whitespace().collect::<Vec<_>>().join(" "))
            };
            Some(SourceEntry {
                name: name.to_owned(),
                title: quoted("title:")?,
                place: quoted("place:")?,
                recalled: body.contains("Seen::Recalled"),
            })
        })
        .collect()
}

/// The page that lists every source from memory, so that a new one shows in a change.
#[must_use]
pub fn recalled_list() -> String {
    let mut page = String::from(
        "# Recalled\n\nSources that nobody on this project has had in front of them. What rests on them prints the word beside it.\nMade by `cargo xtask recalled`; a test compares it with the code.\n\n| source | title | place |\n|---|---|---|\n",
    );
    for s in sources().iter().filter(|s| s.recalled) {
        let _ = writeln!(page, "| `{}` | {} | {} |", s.name, s.title, s.place);
    }
    page
}
