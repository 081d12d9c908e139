//! Rules about the building itself. Each says why it is broken and what to do instead.

#![allow(
    clippy::unwrap_used,
    reason = "helpers of tests: a rule that cannot be looked up is broken"
)]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use std::process::Command;
use xtask::{recalled_list, root, sources};

/// Which of our crates each may use. The whole list: an edge that is not here is refused.
const MAY_USE: &[(&str, &[&str])] = &[
    ("weld", &[]),
    ("physics", &["weld"]),
    ("photo", &["weld"]),
    ("trials", &["weld"]),
    ("safety", &["weld"]),
    ("records", &["weld"]),
    ("report", &["weld"]),
    ("workflow", &["physics", "photo", "trials", "safety", "records", "report", "weld"]),
    ("bench", &["workflow", "weld"]),
    ("seamproof", &["bench", "workflow", "weld"]),
    ("xtask", &[]),
];

fn metadata() -> serde_json::Value {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".to_owned());
    let out = Command::new(cargo)
        .args(["metadata", "--format-version", "1", "--no-deps"])
        .current_dir(root())
        .output()
        .unwrap();
    serde_json::from_slice(&out.stdout).unwrap()
}

/// Our crates and what they depend on, dev-dependencies apart.
fn dependencies(dev: bool) -> BTreeMap<String, BTreeSet<String>> {
    let mut out = BTreeMap::new();
    for package in metadata()["packages"].as_array().unwrap() {
        let names = package["dependencies"]
            .as_array()
            .unwrap()
            .iter()
            .filter(|d| (d["kind"] == "dev") == dev)
            .map(|d| d["name"].as_str().unwrap().to_owned())
            .collect();
        out.insert(package["name"].as_str().unwrap().to_owned(), names);
    }
    out
}

#[test]
fn rooms_only_open_as_drawn() {
    let may: BTreeMap<&str, &[&str]> = MAY_USE.iter().copied().collect();
    for (name, uses) in dependencies(false) {
        let allowed = may.get(name.as_str()).unwrap_or_else(|| {
            panic!("crates/{name} has no place in ARCHITECTURE.md: add it to MAY_USE in house_rules.rs with its reason")
        });
        for other in uses.iter().filter(|o| may.contains_key(o.as_str())) {
            assert!(
                allowed.contains(&other.as_str()),
                "`{name}` must not depend on `{other}`: pass the value in from `workflow`, or move the noun down into `weld`"
            );
        }
    }
}

/// A distance at which somebody is safe must not move because a model was calibrated: nothing that is fitted, and
/// nothing that could fit, reaches `safety`, neither by a dependency of its own nor through the hall.
#[test]
fn nothing_fitted_reaches_safety() {
    let mut reached = BTreeSet::from(["safety".to_owned()]);
    let all = dependencies(false);
    while let Some(next) = reached
        .iter()
        .filter_map(|name| all.get(name))
        .flatten()
        .find(|name| all.contains_key(*name) && !reached.contains(*name))
        .cloned()
    {
        reached.insert(next);
    }
    assert_eq!(
        reached,
        BTreeSet::from(["safety".to_owned(), "weld".to_owned()]),
        "`safety` reaches more than `weld`: its formulas stand alone"
    );
    let outside: Vec<&String> =
        all["safety"].iter().filter(|name| !all.contains_key(*name)).collect();
    assert_eq!(
        outside,
        ["thiserror"],
        "`safety` needs arithmetic only: a library that fits or draws at random has no place in it"
    );
    let hall = root().join("crates/workflow/src");
    for file in ["area.rs", "area/says.rs", "area/plan.rs", "wire/area.rs"] {
        let text = fs::read_to_string(hall.join(file)).unwrap_or_default();
        for fitted in ["physics", "photo", "trials", "claim", "start"] {
            for way in [format!("{fitted}::"), format!("crate::{fitted}")] {
                let found = text.lines().any(|l| {
                    !l.trim_start().starts_with("//")
                        && l.match_indices(&way).any(|(at, _)| {
                            !l[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_')
                        })
                });
                assert!(
                    !found,
                    "workflow's {file} names `{way}`: what `safety` works out comes from the setup file alone"
                );
            }
        }
    }
}

#[test]
fn folder_names_are_crate_names() {
    for package in metadata()["packages"].as_array().unwrap() {
        let manifest = Path::new(package["manifest_path"].as_str().unwrap());
        let folder = manifest.parent().unwrap().file_name().unwrap().to_str().unwrap();
        assert_eq!(package["name"].as_str(), Some(folder), "a crate is named as its folder");
    }
}

#[test]
fn nouns_and_rooms_know_no_wire_format() {
    for (name, uses) in dependencies(false) {
        if ["workflow", "bench", "seamproof", "records", "report", "xtask"].contains(&name.as_str())
        {
            continue;
        }
        for format in ["serde", "serde_json", "toml", "csv"] {
            assert!(
                !uses.contains(format),
                "`{name}` must not know how its values are stored or sent: `{format}` belongs in workflow::wire"
            );
        }
    }
}

#[test]
fn everything_below_the_bench_is_synchronous() {
    for (name, uses) in dependencies(false) {
        if !["bench", "seamproof"].contains(&name.as_str()) {
            assert!(!uses.contains("tokio"), "`{name}` must be free of tokio");
        }
    }
}

/// Every Rust file of the workspace's crates.
fn visit(dir: &Path, each: &mut impl FnMut(&Path, &str)) {
    for entry in fs::read_dir(dir).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            visit(&path, each);
        } else if path.extension().is_some_and(|e| e == "rs") {
            each(&path, &fs::read_to_string(&path).unwrap());
        }
    }
}

#[test]
fn every_source_is_leant_on() {
    let list = root().join("crates/weld/src/source.rs");
    let names: BTreeSet<String> = sources().into_iter().map(|s| s.name).collect();
    assert!(names.len() > 5, "the sources were not found: {names:?}");
    let mut idle = names;
    visit(&root().join("crates"), &mut |path, text| {
        if path != list {
            idle.retain(|name| !text.contains(name.as_str()));
        }
    });
    assert!(idle.is_empty(), "sources nobody cites: {idle:?}");
}

#[test]
fn recalled_sources_are_listed() {
    let page = fs::read_to_string(root().join("docs/recalled.md")).unwrap_or_default();
    assert!(
        page == recalled_list(),
        "docs/recalled.md is not up to date: run `cargo xtask recalled` and look at the change"
    );
}

#[test]
fn the_drawer_and_the_reader_do_not_know_each_other() {
    let photo = root().join("crates/photo/src");
    let reader = [
        "decode", "scale", "pyramid", "evidence", "path", "refine", "trace", "lay", "doubt",
        "reading", "marks", "overlay", "nested", "surface", "astray",
    ];
    visit(&photo, &mut |path, text| {
        let inside = path.strip_prefix(&photo).unwrap().to_str().unwrap().replace('\\', "/");
        let code: String = text
            .lines()
            .filter(|l| !l.trim_start().starts_with("//"))
            .collect::<Vec<_>>()
            .join("\n");
        if inside.starts_with("drawn") {
            for module in reader {
                assert!(
                    !code.contains(&format!("crate::{module}")),
                    "{inside} names the reader's `{module}`: a truth that leans on the reader proves nothing"
                );
            }
        } else if inside != "lib.rs" {
            assert!(
                !code.contains("crate::drawn"),
                "{inside} names the drawer: the reader must not be told what to see"
            );
        }
    });
}

#[test]
fn the_effective_throat_is_computed_in_one_place() {
    let mut places = Vec::new();
    visit(&root().join("crates"), &mut |path, text| {
        if text.contains("pub fn effective(") {
            places.push(path.strip_prefix(root()).unwrap().to_str().unwrap().replace('\\', "/"));
        }
    });
    assert_eq!(places, ["crates/weld/src/section/throat.rs"]);
}

/// Where a question of the table 'Where is ...?' is answered must exist.
#[test]
fn the_map_names_files_that_are_there() {
    let map = fs::read_to_string(root().join("ARCHITECTURE.md")).unwrap();
    let mut found = 0;
    for word in map.split('`').skip(1).step_by(2) {
        let file = word.split(':').next().unwrap_or(word);
        if file.contains('/')
            && (file.ends_with(".rs") || file.ends_with(".toml") || file.ends_with(".md"))
        {
            found += 1;
            assert!(root().join(file).exists(), "ARCHITECTURE.md names {file}, which is not there");
        }
    }
    assert!(found > 10, "the table 'Where is ...?' was not found");
}

/// Nothing of this machine, of a registry or of a foreign product's folder may be written into the project.
#[test]
fn no_path_of_a_machine_is_written_down() {
    let marks = ["/home/", "/root/", "C:\\\\Users"];
    for top in ["crates", "xtask", "benches", "docs"] {
        let dir = root().join(top);
        if dir.exists() {
            visit(&dir, &mut |path, text| {
                if path.ends_with("house_rules.rs") {
                    return;
                }
                for mark in marks {
                    assert!(
                        !text.contains(mark),
                        "{} holds the path of a machine: {mark}",
                        path.display()
                    );
                }
            });
        }
    }
}
