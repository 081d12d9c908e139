//! The bench under load: `cargo xtask load`, which makes the large study first (10 000 sections over 50 photos and three of
//! 50 megapixels).
//!
//! Printed: how long until the bench answers, each page's median and 99th percentile for one who asks, then fifty at once
//! who take in photos, read and look, with their times and errors; and the memory that it took.
//! Bars: start 200 ms, page 50 ms, no error.

use browser::http::{ask, packed, page, upload};
use browser::{Bench, demo};
use std::path::PathBuf;
use std::time::{Duration, Instant};

const PAGES: usize = 100;
const CLIENTS: usize = 50;
const ROUNDS: usize = 4;

fn said(mut times: Vec<Duration>) -> String {
    times.sort_unstable();
    let at = |share: f64| {
        times[((times.len() as f64 * share).ceil() as usize).clamp(1, times.len()) - 1]
    };
    format!("{:7.1} {:7.1} ms", at(0.5).as_secs_f64() * 1e3, at(0.99).as_secs_f64() * 1e3)
}

#[tokio::main]
async fn main() {
    let study = PathBuf::from(std::env::args().nth(1).expect("name the large study"));
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::copy(&study, folder.path().join("large.seam")).expect("the large study is there");
    let busy = std::fs::read_to_string("/proc/loadavg").unwrap_or_default();
    println!("load before: {}", busy.trim());
    // The second start is a warm one: the program is in memory.
    let first = Instant::now();
    let bench = Bench::start(folder, &["large.seam"]).await;
    let first = first.elapsed();
    let folder = bench.kill().await;
    let again = Instant::now();
    let bench = Bench::start(folder, &["large.seam"]).await;
    println!(
        "start: {:.0} ms, again {:.0} ms",
        first.as_secs_f64() * 1e3,
        again.elapsed().as_secs_f64() * 1e3
    );
    let get = |path: &str| packed(&bench.address, path).expect("answered");
    println!("memory at rest: {}", bench.memory());
    let list = page(&bench.address, "/read").expect("answered");
    let linked = |to: &str| -> Vec<String> {
        let before = format!("href=\"{to}");
        let links = list.split(&before).skip(1);
        links.filter_map(|l| l.split('"').next()).map(|id| format!("{to}{id}")).collect()
    };
    let sections: Vec<String> = linked("/section/")
        .into_iter()
        .filter(|l| l.bytes().last().is_some_and(|b| b.is_ascii_digit()))
        .collect();
    let (section, coupon) = (&sections[0], &linked("/record/")[0]);
    let plain = [
        "/".to_owned(),
        "/start".to_owned(),
        "/read".to_owned(),
        "/read?page=80".to_owned(),
        "/section/new".to_owned(),
        section.clone(),
        "/claim".to_owned(),
        "/claim/new".to_owned(),
        "/write".to_owned(),
        "/study".to_owned(),
        "/study?kind=section".to_owned(),
        coupon.clone(),
        format!("{}/history", section.replace("section", "record")),
    ];
    println!("page                           p50     p99");
    for path in &plain {
        let mut times = Vec::new();
        for _ in 0..PAGES {
            let begin = Instant::now();
            let answer = get(path);
            times.push(begin.elapsed());
            assert_eq!(answer.status, 200, "{path}");
        }
        println!("{path:<26} {}", said(times));
    }
    println!("memory after the pages: {}", bench.memory());
    let photo = std::fs::read(demo().join("photos/a1.jpg")).expect("the demo has it");
    let (address, photo) = (bench.address.clone(), &photo);
    let begin = Instant::now();
    let all: Vec<(&str, Duration, bool)> = std::thread::scope(|scope| {
        let clients: Vec<_> = (0..CLIENTS)
            .map(|client| {
                let (address, sections) = (&address, &sections);
                scope.spawn(move || {
                    let mut out = Vec::new();
                    let mut timed = |what: &'static str, want: u16, method: &str, path: &str, kind: &str, body: &[u8]| {
                        let begin = Instant::now();
                        let answer = ask(address, method, path, kind, body);
                        let good = answer.as_ref().is_ok_and(|a| a.status == want);
                        if !good {
                            println!("{what}: {:?}", answer.as_ref().map(|a| (a.status, a.text())));
                        }
                        out.push((what, begin.elapsed(), good));
                        answer.map(|a| a.location).unwrap_or_default()
                    };
                    for round in 0..ROUNDS {
                        let coupon = format!("L{client}");
                        let label = format!("{round}");
                        // Each a photo of its own: the end of a JPEG may be followed by anything.
                        let mut own = photo.clone();
                        own.extend(format!("{client} {round}").bytes());
                        let fields = [
                            ("coupon", coupon.as_str()), ("section", &label), ("joint", "tee"), ("etched", "yes"), ("held", "hand"),
                        ];
                        let (kind, body) = upload(&fields, &own);
                        let at = timed("take in a photo", 303, "POST", "/section/new", kind, &body);
                        timed("its desk", 200, "GET", &at, "text/plain", b"");
                        let marks = format!("{{\"from\":1,\"marks\":{{\"photo\":\"l{client}-{round}.jpg\",\"joint\":\"tee\",\"etched\":true,\"reader\":\"{round}\"}}}}");
                        timed("save marks", 200, "PUT", &at, "application/json", marks.as_bytes());
                        timed("a list", 200, "GET", "/read?page=80", "text/plain", b"");
                        timed("its small picture", 200, "GET", &format!("{at}/paper"), "text/plain", b"");
                        timed("another desk", 200, "GET", &sections[client], "text/plain", b"");
                    }
                    out
                })
            })
            .collect();
        clients.into_iter().flat_map(|c| c.join().expect("a client ends")).collect()
    });
    println!("{CLIENTS} at once, {ROUNDS} rounds: {:.1} s", begin.elapsed().as_secs_f64());
    for what in
        ["take in a photo", "its desk", "save marks", "a list", "its small picture", "another desk"]
    {
        let of: Vec<Duration> =
            all.iter().filter(|(w, ..)| *w == what).map(|(_, t, _)| *t).collect();
        println!("{what:<26} {}", said(of));
    }
    println!("errors: {} of {}", all.iter().filter(|(.., good)| !good).count(), all.len());
    println!("memory: {}", bench.memory());
    let busy = std::fs::read_to_string("/proc/loadavg").unwrap_or_default();
    println!("load after: {}", busy.trim());
    drop(bench.kill().await);
}
