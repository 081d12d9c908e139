//! `cargo xtask load` and `cargo xtask frames`: how the bench does, measured. They print; nothing is judged here, because a
//! busy machine would judge with them.

use std::ffi::OsStr;
use std::process::{Command, ExitCode};

/// The bench on 10 000 sections, and with fifty people at once.
pub(crate) fn load() -> ExitCode {
    ended(made_study().and_then(|study| browser("load", &[study.as_os_str()])))
}

/// Script in each frame of the desk on a phone whose processor is a quarter as quick.
pub(crate) fn frames() -> ExitCode {
    ended(
        cargo(&["build", "--release", "--package", "seamproof"], &[])
            .and_then(|()| browser("frames", &[])),
    )
}

fn ended(done: Result<(), String>) -> ExitCode {
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("{why}");
            ExitCode::from(1)
        }
    }
}

fn cargo(arguments: &[&str], more: &[&OsStr]) -> Result<(), String> {
    let done = Command::new(crate::cargo())
        .args(arguments)
        .args(more)
        .current_dir(xtask::root())
        .status()
        .map_err(|e| format!("cargo cannot be run: {e}"))?;
    if done.success() {
        Ok(())
    } else {
        Err(format!("cargo {} stopped: {done}", arguments.join(" ")))
    }
}

/// The large study, made once: it takes minutes.
fn made_study() -> Result<std::path::PathBuf, String> {
    let target = xtask::root().join("target");
    let (demo, study) = (target.join("demo-for-load"), target.join("large.seam"));
    // The program that is measured is the one that stands here now.
    cargo(
        &["run", "--release", "--package", "seamproof", "--", "demo", "--out"],
        &[demo.as_os_str()],
    )?;
    if !study.exists() {
        let half = target.join("large-half.seam");
        drop(std::fs::remove_file(&half));
        let make = ["run", "--release", "--package", "workflow", "--example", "large_study", "--"];
        cargo(&make, &[demo.as_os_str(), half.as_os_str()])?;
        std::fs::rename(&half, &study).map_err(|e| format!("{}: {e}", study.display()))?;
    }
    Ok(study)
}

fn browser(example: &str, more: &[&OsStr]) -> Result<(), String> {
    let done = Command::new(crate::cargo())
        .args([
            "run",
            "--release",
            "--quiet",
            "--manifest-path",
            "browser/Cargo.toml",
            "--example",
            example,
            "--",
        ])
        .args(more)
        .env("CARGO_TARGET_DIR", "target/browser")
        .current_dir(xtask::root())
        .status()
        .map_err(|e| format!("cargo cannot be run: {e}"))?;
    if done.success() { Ok(()) } else { Err(format!("{example} stopped: {done}")) }
}
