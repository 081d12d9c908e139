//! A program that is killed while it writes: everything that it had called saved is there, and nothing is there by half.

use crate::common::{Numbers, all, empty, is_well, section, stamp, toml};
use records::{Kind, Study};
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;
use tempfile::tempdir;

/// Names the study that the child writes to.
const STUDY: &str = "SEAMPROOF_TEST_STUDY";

/// The child: writes until it is killed, and says after each change how many entries are saved.
#[test]
#[ignore = "started by the test below, as a program of its own"]
fn child() {
    let Some(path) = std::env::var_os(STUDY) else { return };
    let path = Path::new(&path);
    let mut study = if path.exists() { Study::open(path).unwrap() } else { empty(path) };
    let mut numbers = Numbers(u64::from(std::process::id()));
    loop {
        let count = study.head().unwrap().count;
        if numbers.below(3) == 0 {
            let picture = numbers.bytes(40_000);
            section(&mut study, &format!("s{count}"), None, &picture);
        } else {
            study
                .change::<_, records::Error>(|c| {
                    let name = format!("c{count}");
                    let first = c.add(Kind::Coupon, &toml(&name, "one"), &stamp("new"))?;
                    c.edit(first.record, 1, &toml(&name, "two"), &stamp("edit"))
                })
                .unwrap();
        }
        let saved = study.head().unwrap().count;
        let mut out = std::io::stdout().lock();
        writeln!(out, "saved {saved}").unwrap();
        out.flush().unwrap();
    }
}

/// Writes for a while, is killed, and answers how many entries were called saved.
fn write_and_be_killed(path: &Path, wait: Duration) -> i64 {
    let mut child = Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "kill::child", "--ignored", "--nocapture", "--test-threads=1"])
        .env(STUDY, path)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    std::thread::sleep(wait);
    // On Unix this is signal 9: nothing is tidied up.
    child.kill().unwrap();
    let out = BufReader::new(child.stdout.take().unwrap());
    let saved = out
        .lines()
        .map_while(Result::ok)
        .filter_map(|line| line.rsplit_once("saved ")?.1.parse().ok())
        .last();
    child.wait().unwrap();
    saved.unwrap_or(0)
}

#[test]
fn two_hundred_kills_lose_nothing_that_was_saved() {
    let folder = tempdir().unwrap();
    let mut numbers = Numbers(9);
    let (mut kills, mut in_writing, mut entries) = (0, 0, 0);
    for file in 0..10 {
        let path = folder.path().join(format!("{file}.seam"));
        let mut before = 0;
        for _ in 0..20 {
            let wait = Duration::from_micros(numbers.below(70_000) as u64);
            let saved = write_and_be_killed(&path, wait);
            kills += 1;
            if !path.exists() {
                assert_eq!(saved, 0);
                continue;
            }
            let study = Study::open(&path).unwrap();
            let history = all(&study);
            let count = history.len() as i64;
            assert!(
                count >= saved.max(before),
                "{count} entries of {saved} saved, {before} before"
            );
            // Each change wrote two entries after the first one of the study: both are there or none.
            assert_eq!(count % 2, 1, "half a change");
            let pictures = history.iter().filter(|r| r.kind == Kind::Photo).count();
            assert_eq!(pictures, history.iter().filter(|r| r.kind == Kind::Section).count());
            assert_eq!(pictures, study.photos().unwrap().len());
            in_writing += u32::from(saved > before);
            before = count;
            drop(study);
            is_well(&path);
        }
        entries += before;
    }
    println!(
        "{kills} kills, {in_writing} of them after something was saved; {entries} entries are there"
    );
    assert_eq!(kills, 200);
    assert!(in_writing > 50, "{in_writing}: the child was killed too early to show anything");
}
