//! `cargo xtask pictures`: the README's pictures, made by the program that the README is about.

use std::fs;
use std::process::{Command, ExitCode};

/// What is taken from the demo's folder, and its name in `docs/pictures`.
const TAKEN: [(&str, &str); 2] =
    [("overlays/a1.png", "frozen-setting.png"), ("overlays/first1.png", "first-setting.png")];

/// Runs the demo and keeps its pictures.
pub(crate) fn pictures() -> ExitCode {
    match make() {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("{why}");
            ExitCode::from(1)
        }
    }
}

fn make() -> Result<(), String> {
    let root = xtask::root();
    let demo = root.join("target/demo-for-pictures");
    let done = Command::new(crate::cargo())
        .args(["run", "--release", "--quiet", "--package", "seamproof", "--", "demo", "--out"])
        .arg(&demo)
        .current_dir(&root)
        .status()
        .map_err(|e| format!("cargo cannot be run: {e}"))?;
    if !done.success() {
        return Err("the demo failed: mend it first".to_owned());
    }
    let folder = root.join("docs/pictures");
    fs::create_dir_all(&folder).map_err(|e| format!("docs/pictures: {e}"))?;
    for (from, to) in TAKEN {
        fs::copy(demo.join(from), folder.join(to)).map_err(|e| format!("{to}: {e}"))?;
    }
    let pages = Command::new(crate::cargo())
        .args(["run", "--release", "--quiet", "--manifest-path", "browser/Cargo.toml"])
        .args(["--example", "pictures", "--", "docs/pictures", "--readme"])
        .env("CARGO_TARGET_DIR", "target/browser")
        .current_dir(&root)
        .status();
    if !pages.is_ok_and(|status| status.success()) {
        return Err("the bench's pages could not be taken: is Chromium there?".to_owned());
    }
    // The report's first page, by Debian's poppler-utils: setting a page as a picture is no part of the program.
    let page = Command::new("pdftoppm")
        .args(["-r", "80", "-f", "1", "-l", "1", "-png", "-singlefile"])
        .arg(demo.join("report.pdf"))
        .arg(folder.join("report-page"))
        .status();
    match page {
        Ok(status) if status.success() => Ok(()),
        Ok(_) => Err("pdftoppm could not draw report.pdf".to_owned()),
        Err(e) => Err(format!(
            "pdftoppm cannot be run: {e}\n  next: install Debian's poppler-utils; the other pictures are made"
        )),
    }
}
