//! The power goes while people save: what was answered with 'saved' is there afterwards, whole, and nothing half.
//!
//! `SEAMPROOF_POWER_CUTS` says how often the bench is killed (20 unless it says otherwise), each time at another moment.

use browser::http::{ask, page, upload};
use browser::{Bench, demo, demo_folder, said};
use serde_json::json;
use std::time::Duration;

/// Saves marks of a section, one revision after the other, until the bench is gone: the revisions that were answered with
/// 'saved', each with the reader that it names.
fn save_marks(address: &str, section: &str, mut from: i64, turn: usize) -> Vec<(i64, String)> {
    let mut saved = Vec::new();
    loop {
        let reader = format!("turn {turn} after {from}");
        let body = json!({ "from": from, "marks": { "photo": "a1.jpg", "joint": "tee", "etched": true, "reader": reader } });
        let answer = ask(address, "PUT", section, "application/json", body.to_string().as_bytes());
        let Ok(answer) = answer else { return saved };
        assert_eq!(answer.status, 200, "{}", answer.text());
        let said: serde_json::Value = serde_json::from_slice(&answer.body).unwrap();
        from = said["revision"].as_i64().unwrap();
        assert!(said["saved"].is_string(), "{said}");
        saved.push((from, reader));
    }
}

/// Takes in photos until the bench is gone: the addresses of the sections that were answered with.
fn take_in(address: &str, photo: &[u8], turn: usize) -> Vec<String> {
    let mut saved = Vec::new();
    for n in 0.. {
        // Each a photo of its own: the end of a JPEG may be followed by anything.
        let mut own = photo.to_vec();
        own.extend(format!("{turn} {n}").bytes());
        let (coupon, section) = (format!("P{turn}"), n.to_string());
        let fields = [
            ("coupon", coupon.as_str()),
            ("section", &section),
            ("joint", "tee"),
            ("etched", "yes"),
        ];
        let (kind, body) = upload(&fields, &own);
        let Ok(answer) = ask(address, "POST", "/section/new", kind, &body) else { break };
        assert_eq!(answer.status, 303, "{}", answer.text());
        saved.push(answer.location);
    }
    saved
}

/// The address of the section of a name, and its last revision.
fn section(address: &str, name: &str) -> (String, i64) {
    let list = page(address, "/read").unwrap();
    let at = list.find(&format!("<b>{name}</b>")).unwrap();
    let link = list[..at].rfind("href=\"/section/").unwrap() + 6;
    let path = list[link..].split('"').next().unwrap().to_owned();
    let history = page(address, &path.replace("section", "record")).unwrap();
    let last =
        history.split("revision ").nth(1).unwrap().split(' ').next().unwrap().parse().unwrap();
    (path, last)
}

#[tokio::test(flavor = "multi_thread")]
async fn what_was_answered_with_saved_outlives_a_power_cut() {
    let cuts: usize =
        std::env::var("SEAMPROOF_POWER_CUTS").ok().and_then(|n| n.parse().ok()).unwrap_or(20);
    let photo = std::fs::read(demo().join("photos/a1.jpg")).unwrap();
    let mut folder = demo_folder();
    let mut moment = 0x2545_f491_4f6c_dd1d_u64;
    let (mut revisions, mut photos) = (0, 0);
    let mut bench = Bench::start(folder, &["demo.seam"]).await;
    for turn in 0..cuts {
        let at = bench.address.clone();
        let (path, last) = section(&at, "a1");
        let marks = {
            let (at, path) = (at.clone(), path.clone());
            tokio::task::spawn_blocking(move || save_marks(&at, &path, last, turn))
        };
        let taken = {
            let (at, photo) = (at.clone(), photo.clone());
            tokio::task::spawn_blocking(move || take_in(&at, &photo, turn))
        };
        moment ^= moment << 13;
        moment ^= moment >> 7;
        moment ^= moment << 17;
        tokio::time::sleep(Duration::from_micros(moment % 400_000)).await;
        folder = bench.kill().await;
        let (marks, taken) = (marks.await.unwrap(), taken.await.unwrap());
        let checked = said(&["study", "check", "demo.seam"], folder.path());
        assert!(checked.contains("as it was saved"), "turn {turn}: {checked}");
        bench = Bench::start(folder, &["demo.seam"]).await;
        let history =
            page(&bench.address, &format!("{}/history", path.replace("section", "record")))
                .unwrap();
        for (revision, reader) in &marks {
            let card =
                history.split("<h2>Revision ").find(|c| c.starts_with(&format!("{revision}<")));
            assert!(
                card.is_some_and(|c| c.contains(reader)),
                "turn {turn}: revision {revision} is gone"
            );
        }
        // One more may have been written whose answer the cut swallowed; no more than one.
        let (_, now) = section(&bench.address, "a1");
        let told = marks.last().map_or(last, |(revision, _)| *revision);
        assert!((told..=told + 1).contains(&now), "turn {turn}: told {told}, there {now}");
        // A desk opens its photo: each is there to its last byte.
        for path in &taken {
            let answer = ask(&bench.address, "GET", path, "text/plain", b"").unwrap();
            assert_eq!(answer.status, 200, "turn {turn}: {path}");
        }
        revisions += marks.len();
        photos += taken.len();
    }
    println!(
        "{cuts} cuts: {revisions} revisions and {photos} photos were answered with 'saved', and all are there"
    );
    assert!(
        revisions >= cuts && photos > 0,
        "{revisions} revisions, {photos} photos: too few to say anything"
    );
}
