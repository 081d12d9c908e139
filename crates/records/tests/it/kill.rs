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

/// As long as a study is open here its file is locked, so that no program from outside takes the journal for a dead one and
/// deletes it: whatever else was opened and closed here meanwhile. SQLite, 'File Locking And Concurrency': a reader holds a
/// read lock on the shared range, 510 bytes from 1073741826.
#[test]
#[cfg(target_os = "linux")]
fn an_open_study_stays_locked() {
    use std::os::unix::fs::MetadataExt;
    let folder = tempdir().unwrap();
    let path = folder.path().join("one.seam");
    let mut study = empty(&path);
    let inode = std::fs::metadata(&path).unwrap().ino();
    let is_locked = || {
        let all = std::fs::read_to_string("/proc/locks").unwrap();
        let (file, range) = (format!(":{inode} "), "1073741826 1073742335");
        all.lines().any(|l| l.contains("READ") && l.contains(&file) && l.ends_with(range))
    };
    assert!(is_locked());
    // What the bench's pool does: further connections, some of which are closed again; and a second name of the file.
    let other = Study::open_to_read(&path).unwrap();
    assert!(is_locked());
    drop(Study::open_to_read(&path).unwrap());
    std::fs::hard_link(&path, folder.path().join("two.seam")).unwrap();
    drop(Study::open_to_read(&folder.path().join("two.seam")).unwrap());
    assert!(is_locked());
    let first = study.change::<_, records::Error>(|c| {
        c.add(Kind::Coupon, &toml("c", "one"), &stamp("new")).map(|_| ())
    });
    first.unwrap();
    drop(other);
    assert!(is_locked());
    study.close().unwrap();
    assert!(!is_locked());
    // Closed, it is looked at again: something else may lie there now.
    std::fs::remove_file(&path).unwrap();
    std::fs::write(&path, [0; 200]).unwrap();
    assert!(Study::open(&path).is_err());
}
