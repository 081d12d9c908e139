//! `cargo xtask mutants`: breaks the effective throat on purpose, and demands that a test goes red each time.
//!
//! A copy of the ground floor is built under `target/mutants`; the tree itself is never touched. A mistake is a text that
//! must stand in the file exactly once, so that this list cannot rot. A copy that does not compile proves nothing and is
//! a failure of the chore.

use std::fs;
use std::path::Path;
use std::process::{Command, ExitCode, Output};

const FILE: &str = "crates/weld/src/section/throat.rs";

/// A deliberate mistake.
struct Mutant {
    /// What somebody would have got wrong.
    mistake: &'static str,
    right: &'static str,
    wrong: &'static str,
}

const MUTANTS: [Mutant; 5] = [
    Mutant {
        mistake: "face for chord: a bulge counts",
        right: "vec![vec![base, upright], fillet.face.clone()]",
        wrong: "vec![fillet.face.clone(), fillet.face.clone()]",
    },
    Mutant {
        mistake: "chord for hollow: a hollow face is bridged",
        right: "vec![vec![base, upright], fillet.face.clone()]",
        wrong: "vec![vec![base, upright], vec![base, upright]]",
    },
    Mutant {
        mistake: "C for P: no credit for depth",
        right: "vec![vec![Point::new(-p, 0.0)]]",
        wrong: "vec![vec![Point::new(0.0 * p, 0.0)]]",
    },
    Mutant {
        mistake: "the upright's tilt dropped",
        right: "upright: height / outward.dot(fillet.up),",
        wrong: "upright: height / outward.y,",
    },
    Mutant {
        mistake: "unit slip: inches for millimetres",
        right: "keep(d - pore_on(fillet, from, to), from, to);",
        wrong: "keep(d / 25.4 - pore_on(fillet, from, to), from, to);",
    },
];

/// Runs the chore.
pub(crate) fn mutants() -> ExitCode {
    match run() {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => {
            eprintln!("a mistake went unseen: write the test that sees it");
            ExitCode::from(1)
        }
        Err(why) => {
            eprintln!("{why}");
            ExitCode::from(2)
        }
    }
}

fn run() -> Result<bool, String> {
    let copy = xtask::root().join("target/mutants");
    let sound = fs::read_to_string(xtask::root().join(FILE)).map_err(|e| format!("{FILE}: {e}"))?;
    for m in &MUTANTS {
        let found = sound.matches(m.right).count();
        if found != 1 {
            return Err(format!(
                "'{}': its text stands {found} times in {FILE}, not once\n  next: bring MUTANTS in xtask/src/mutants.rs up to the file",
                m.mistake
            ));
        }
    }
    lay_out(&copy).map_err(|e| format!("the copy in target/mutants cannot be made: {e}"))?;
    // A suite that is red before anything is broken would see every mistake.
    if !cargo(&copy, &["--quiet"])?.status.success() {
        return Err("the tests of weld fail with nothing broken: mend them first".to_owned());
    }
    let mut all = true;
    for m in &MUTANTS {
        let broken = sound.replacen(m.right, m.wrong, 1);
        fs::write(copy.join(FILE), broken).map_err(|e| format!("{FILE}: {e}"))?;
        if !cargo(&copy, &["--no-run"])?.status.success() {
            return Err(format!("'{}' does not compile, so it proves nothing", m.mistake));
        }
        let run = cargo(&copy, &["--no-fail-fast"])?;
        let red = red(&String::from_utf8_lossy(&run.stdout));
        let seen = !run.status.success() && !red.is_empty();
        all &= seen;
        println!(
            "{:<44} {:>3} red  {}",
            m.mistake,
            red.len(),
            red.first().map_or("NOT SEEN", String::as_str)
        );
    }
    fs::write(copy.join(FILE), sound).map_err(|e| format!("{FILE}: {e}"))?;
    Ok(all)
}

/// The names of the tests that failed.
fn red(output: &str) -> Vec<String> {
    let failed = |line: &str| {
        Some(line.strip_prefix("test ")?.strip_suffix(" ... FAILED")?.trim().to_owned())
    };
    output.lines().filter_map(failed).collect()
}

/// A workspace of the ground floor alone.
fn lay_out(copy: &Path) -> std::io::Result<()> {
    let root = xtask::root();
    if copy.join("crates").exists() {
        fs::remove_dir_all(copy.join("crates"))?;
    }
    fs::create_dir_all(copy)?;
    let manifest = fs::read_to_string(root.join("Cargo.toml"))?;
    fs::write(
        copy.join("Cargo.toml"),
        manifest.replacen("[\"crates/*\", \"xtask\"]", "[\"crates/weld\"]", 1),
    )?;
    fs::copy(root.join("Cargo.lock"), copy.join("Cargo.lock"))?;
    copy_folder(&root.join("crates/weld"), &copy.join("crates/weld"))
}

fn copy_folder(from: &Path, to: &Path) -> std::io::Result<()> {
    fs::create_dir_all(to)?;
    for entry in fs::read_dir(from)? {
        let entry = entry?;
        let target = to.join(entry.file_name());
        if entry.file_type()?.is_dir() {
            copy_folder(&entry.path(), &target)?;
        } else {
            fs::copy(entry.path(), target)?;
        }
    }
    Ok(())
}

fn cargo(copy: &Path, arguments: &[&str]) -> Result<Output, String> {
    Command::new(crate::cargo())
        .args(["test", "--release", "--offline", "-p", "weld"])
        .args(arguments)
        .env("CARGO_TARGET_DIR", copy.join("target"))
        .current_dir(copy)
        .output()
        .map_err(|e| format!("cargo cannot be run: {e}"))
}
