//! Chores, as `cargo xtask NAME`.
//!
//! | chore | does |
//! |---|---|
//! | accuracy | writes `docs/accuracy.md`: predicted against measured depth and width on the open tables |
//! | check | everything that must hold before a change lands: format, lints, docs, tests |
//! | coverage | draws and reads 1000 sections, and prints how often the stated intervals hold the truth (half an hour to an hour on two cores) |
//! | frames | measures the desk's script in each frame on a phone whose processor is a quarter as quick |
//! | load | measures the bench on 10 000 sections, and with fifty people at once (the study is made once, in minutes) |
//! | mutants | breaks the effective throat in five ways and demands that a test goes red each time |
//! | pictures | writes the README's pictures, `docs/pictures/`, from the demo |
//! | recalled | writes `docs/recalled.md`: every source that is from memory |

mod measure;
mod mutants;
mod pictures;

use std::path::Path;
use std::process::{Command, ExitCode};
use std::time::Instant;

/// Minutes that a check from a clean clone may take on two cores.
const LIMIT_MINUTES: f64 = 40.0;

fn main() -> ExitCode {
    let chore = std::env::args().nth(1).unwrap_or_default();
    match chore.as_str() {
        "accuracy" => accuracy(),
        "check" => check(),
        "coverage" => coverage(),
        "frames" => measure::frames(),
        "load" => measure::load(),
        "mutants" => mutants::mutants(),
        "pictures" => pictures::pictures(),
        "recalled" => recalled(),
        other => {
            eprintln!(
                "there is no chore '{other}'\n  next: cargo xtask accuracy | check | coverage | frames | load | mutants | pictures | recalled"
            );
            ExitCode::from(2)
        }
    }
}

/// One stage: a name, the cargo arguments, and variables to set.
type Stage = (&'static str, &'static [&'static str], &'static [(&'static str, &'static str)]);

/// One profile for everything: two would compile every crate twice.
const STAGES: &[Stage] = &[
    ("format", &["fmt", "--all", "--check"], &[]),
    (
        "lints",
        &["clippy", "--release", "--workspace", "--all-targets", "--", "-D", "warnings"],
        &[],
    ),
    (
        "docs",
        &["doc", "--release", "--workspace", "--no-deps", "--document-private-items"],
        &[("RUSTDOCFLAGS", "-D warnings")],
    ),
    ("tests", &["test", "--release", "--workspace"], &[]),
    ("browser format", &["fmt", "--manifest-path", "browser/Cargo.toml", "--check"], &[]),
    (
        "browser lints",
        &[
            "clippy",
            "--release",
            "--manifest-path",
            "browser/Cargo.toml",
            "--all-targets",
            "--",
            "-D",
            "warnings",
        ],
        BROWSER,
    ),
    // Each test starts a browser and a bench: two at a time are what two cores bear.
    (
        "browser",
        &[
            "test",
            "--release",
            "--manifest-path",
            "browser/Cargo.toml",
            "--",
            "--test-threads",
            "2",
        ],
        BROWSER,
    ),
];

/// The browser tests have a target folder of their own within ours.
const BROWSER: &[(&str, &str)] = &[("CARGO_TARGET_DIR", "target/browser")];

fn check() -> ExitCode {
    let start = Instant::now();
    let mut times = Vec::new();
    let target = std::env::var_os("CARGO_TARGET_DIR")
        .map_or_else(|| xtask::root().join("target"), |named| xtask::root().join(named));
    if let Err(why) = chromium() {
        eprintln!("{why}");
        return ExitCode::from(1);
    }
    for (name, arguments, variables) in STAGES {
        eprintln!("\n== {name}: cargo {}", arguments.join(" "));
        let begin = Instant::now();
        let status = Command::new(cargo())
            .args(*arguments)
            // The browser tests start the program that the tests before them built.
            .env("SEAMPROOF_TARGET", &target)
            .envs(variables.iter().copied())
            .current_dir(xtask::root())
            .status();
        let minutes = begin.elapsed().as_secs_f64() / 60.0;
        times.push((*name, minutes));
        if !status.is_ok_and(|s| s.success()) {
            eprintln!("\n{name} failed after {minutes:.1} min");
            return ExitCode::from(1);
        }
    }
    let total = start.elapsed().as_secs_f64() / 60.0;
    println!();
    for (name, minutes) in times {
        println!("{name:<14} {minutes:>5.1} min");
    }
    println!("{:<14} {total:>5.1} min (limit from a clean clone: {LIMIT_MINUTES:.0})", "together");
    if total > LIMIT_MINUTES {
        println!("over the limit: find the slow stage above and mend it");
    }
    ExitCode::SUCCESS
}

/// The browser tests need Chromium: Debian's is installed where there is none.
fn chromium() -> Result<(), String> {
    let there = ["/usr/bin/chromium", "/usr/bin/chromium-browser"];
    if std::env::var_os("CHROMIUM").is_some() || there.iter().any(|p| Path::new(p).exists()) {
        return Ok(());
    }
    eprintln!("== chromium: apt-get install chromium");
    let run = |arguments: &[&str]| {
        Command::new("apt-get").args(arguments).status().is_ok_and(|s| s.success())
    };
    let install = ["install", "--yes", "--no-install-recommends", "chromium"];
    if run(&install) || (run(&["update"]) && run(&install)) {
        return Ok(());
    }
    Err("Chromium is needed for the browser tests and cannot be installed here\n  next: install it (Debian: apt-get install chromium), or name one in CHROMIUM".to_owned())
}

/// Draws, marks and reads many sections. The table says what is reached; nothing is judged here.
fn coverage() -> ExitCode {
    let done = Command::new(cargo())
        .args(["run", "--release", "--package", "photo", "--example", "drawn_coverage", "--"])
        .args(["1000", "1"])
        .current_dir(xtask::root())
        .status();
    match done {
        Ok(status) if status.success() => ExitCode::SUCCESS,
        Ok(status) => {
            eprintln!("the study stopped: {status}");
            ExitCode::from(1)
        }
        Err(e) => {
            eprintln!("cargo cannot be run: {e}");
            ExitCode::from(1)
        }
    }
}

/// Compares predictions with the open tables; they lie outside the project.
fn accuracy() -> ExitCode {
    let folder = std::env::var_os("SEAMPROOF_DATA")
        .map_or_else(|| xtask::root().join("../shared/data"), std::path::PathBuf::from);
    if !folder.join("tables").is_dir() {
        eprintln!(
            "did not run: no tables/ in {} (SEAMPROOF_DATA, else ../shared/data beside the workspace)\n  next: point SEAMPROOF_DATA at the folder of open data",
            folder.display()
        );
        return ExitCode::from(2);
    }
    let done = Command::new(cargo())
        .args([
            "run",
            "--release",
            "--quiet",
            "--package",
            "physics",
            "--example",
            "accuracy",
            "--",
        ])
        .arg(&folder)
        .current_dir(xtask::root())
        .output();
    match done {
        Ok(done) if done.status.success() => {
            let page = String::from_utf8_lossy(&done.stdout);
            match std::fs::write(xtask::root().join("docs/accuracy.md"), page.as_bytes()) {
                Ok(()) => ExitCode::SUCCESS,
                Err(e) => {
                    eprintln!("docs/accuracy.md cannot be written: {e}");
                    ExitCode::from(1)
                }
            }
        }
        Ok(done) => {
            eprint!("{}", String::from_utf8_lossy(&done.stderr));
            ExitCode::from(1)
        }
        Err(e) => {
            eprintln!("cargo cannot be run: {e}");
            ExitCode::from(1)
        }
    }
}

fn cargo() -> String {
    std::env::var("CARGO").unwrap_or_else(|_| "cargo".to_owned())
}

fn recalled() -> ExitCode {
    match std::fs::write(xtask::root().join("docs/recalled.md"), xtask::recalled_list()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(e) => {
            eprintln!("docs/recalled.md cannot be written: {e}");
            ExitCode::from(1)
        }
    }
}
