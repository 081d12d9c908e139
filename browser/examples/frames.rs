//! The desk's frames on a phone: `cargo xtask frames`.
//!
//! 390 x 844 at three device pixels to one, the processor slowed four times by the browser; a scripted pan, a pinch and the
//! drag of a point. From the browser's own trace of the page's main thread: script in each frame (functions, microtasks,
//! collection of garbage; time that the thread worked, not that it waited for others), the longest task, and how often readings were asked for. The same gestures on an empty page, in
//! the same run, are the floor. Bars: script p95 6 ms, no task over 50 ms, readings ten times a second.

use browser::{Bench, Look, PHONE, View, Window, demo_folder, places};
use chromiumoxide::cdp::browser_protocol::emulation::SetCpuThrottlingRateParams;
use chromiumoxide::cdp::browser_protocol::input::DispatchTouchEventType::{
    self, TouchEnd, TouchMove, TouchStart,
};
use chromiumoxide::cdp::browser_protocol::tracing::{
    EndParams, EventDataCollected, EventTracingComplete, StartParams, StartTransferMode,
    TraceConfig,
};
use futures_util::StreamExt;
use serde_json::Value;
use std::collections::BTreeMap;
use std::time::{Duration, Instant};

/// Moves of a gesture, and how far apart: a finger on a screen of 60 Hz.
const MOVES: usize = 150;
const APART: Duration = Duration::from_millis(16);
/// What counts as script.
const SCRIPT: [&str; 7] = [
    "FunctionCall",
    "EvaluateScript",
    "RunMicrotasks",
    "MinorGC",
    "MajorGC",
    "v8.compile",
    "V8.GCScavenger",
];

/// Where a gesture's fingers are, by its share done.
type Way = fn(f64, [f64; 2]) -> Vec<[f64; 2]>;

fn pan(t: f64, [x, y]: [f64; 2]) -> Vec<[f64; 2]> {
    let turn = std::f64::consts::TAU * t;
    vec![[x + 90.0 * (2.0 * turn).sin(), y + 110.0 * turn.sin()]]
}

fn pinch(t: f64, [x, y]: [f64; 2]) -> Vec<[f64; 2]> {
    let half = 70.0 + 50.0 * (2.0 * std::f64::consts::TAU * t).sin();
    vec![[x - half, y - half / 2.0], [x + half, y + half / 2.0]]
}

fn drag(t: f64, [x, y]: [f64; 2]) -> Vec<[f64; 2]> {
    let turn = 3.0 * std::f64::consts::TAU * t;
    vec![[x + 14.0 * turn.sin(), y + 14.0 * (1.0 - turn.cos())]]
}

async fn gesture(view: &View, way: Way, at: [f64; 2]) -> Duration {
    view.touch(TouchStart, &way(0.0, at)).await;
    tokio::time::sleep(Duration::from_millis(if way(0.0, at).len() > 1 { 20 } else { 30 })).await;
    let begin = Instant::now();
    for i in 1..=MOVES {
        let due = begin + APART * i as u32;
        tokio::time::sleep_until(due.into()).await;
        view.touch(TouchMove, &way(i as f64 / MOVES as f64, at)).await;
    }
    let took = begin.elapsed();
    view.touch(DispatchTouchEventType::clone(&TouchEnd), &[]).await;
    took
}

/// Runs a gesture under the browser's trace.
async fn traced(view: &View, way: Way, at: [f64; 2]) -> (Duration, Vec<Value>) {
    let mut data = view.page.event_listener::<EventDataCollected>().await.expect("a listener");
    let mut ended = view.page.event_listener::<EventTracingComplete>().await.expect("a listener");
    let categories = [
        "devtools.timeline",
        "disabled-by-default-devtools.timeline",
        "v8",
        "toplevel",
        "__metadata",
    ];
    let config = TraceConfig::builder().included_categories(categories).build();
    let start = StartParams::builder()
        .transfer_mode(StartTransferMode::ReportEvents)
        .trace_config(config)
        .build();
    view.page.execute(start).await.expect("a trace can be begun");
    let took = gesture(view, way, at).await;
    tokio::time::sleep(Duration::from_millis(400)).await;
    view.page.execute(EndParams::default()).await.expect("a trace can be ended");
    let mut events = Vec::new();
    loop {
        tokio::select! {
            Some(more) = data.next() => events.extend(more.value.iter().cloned()),
            _ = ended.next() => break,
        }
    }
    while let Ok(Some(more)) = tokio::time::timeout(Duration::from_millis(300), data.next()).await {
        events.extend(more.value.iter().cloned());
    }
    (took, events)
}

/// Something on the main thread: when it began and ended, and how long the thread worked on it, microseconds. What
/// other programs took of the processor meanwhile is in the first two and not in the last; the slowing is in all.
#[derive(Clone, Copy, Debug)]
struct Span {
    from: f64,
    to: f64,
    worked: f64,
}

/// What the main thread of the page did.
#[derive(Default)]
struct Done {
    frames: Vec<f64>,
    script: Vec<Span>,
    tasks: Vec<Span>,
    /// All that has a name, to tell what a long task did.
    named: Vec<(String, Span)>,
}

impl Done {
    /// What the longest task did, the longest parts first.
    fn longest(&self) -> String {
        let Some(task) = self.tasks.iter().max_by(|a, b| a.worked.total_cmp(&b.worked)) else {
            return String::new();
        };
        let inside = |s: &Span| s.from >= task.from && s.to <= task.to;
        let mut parts: BTreeMap<&str, f64> = BTreeMap::new();
        for (name, span) in self.named.iter().filter(|(_, s)| inside(s)) {
            *parts.entry(name).or_default() += span.worked / 1e3;
        }
        let mut parts: Vec<(&str, f64)> = parts.into_iter().collect();
        parts.sort_by(|a, b| b.1.total_cmp(&a.1));
        let words: Vec<String> =
            parts.iter().take(9).map(|(name, ms)| format!("{name} {ms:.1}")).collect();
        words.join(", ")
    }
}

fn done(events: &[Value]) -> Done {
    let key = |e: &Value| (e["pid"].as_i64().unwrap_or(0), e["tid"].as_i64().unwrap_or(0));
    let is = |e: &Value, names: &[&str]| e["name"].as_str().is_some_and(|n| names.contains(&n));
    // The main thread of the page: the renderer's that made most frames.
    let mut made: BTreeMap<(i64, i64), usize> = BTreeMap::new();
    for e in events.iter().filter(|e| is(e, &["Commit", "EventDispatch", "FireAnimationFrame"])) {
        *made.entry(key(e)).or_default() += 1;
    }
    let mut out = Done::default();
    let Some((main, _)) = made.into_iter().max_by_key(|(_, n)| *n) else { return out };
    for e in events.iter().filter(|e| key(e) == main) {
        if e["ph"] != "X" {
            continue;
        }
        let [from, long] = ["ts", "dur"].map(|k| e[k].as_f64().unwrap_or(0.0));
        let span = Span { from, to: from + long, worked: e["tdur"].as_f64().unwrap_or(long) };
        // Each frame hands its layers over once.
        if is(e, &["Commit"]) {
            out.frames.push(from);
        }
        if let Some(name) = e["name"].as_str() {
            out.named.push((name.to_owned(), span));
        }
        if is(e, &["RunTask", "ThreadControllerImpl::RunTask"]) {
            out.tasks.push(span);
        } else if is(e, &SCRIPT) {
            out.script.push(span);
        }
    }
    out.frames.sort_unstable_by(f64::total_cmp);
    // Script within script counts once.
    out.script.sort_unstable_by(|a, b| a.from.total_cmp(&b.from).then(b.to.total_cmp(&a.to)));
    let mut whole: Vec<Span> = Vec::new();
    for span in out.script.drain(..) {
        if whole.last().is_none_or(|last| span.from >= last.to) {
            whole.push(span);
        }
    }
    out.script = whole;
    out
}

fn at(values: &mut [f64], share: f64) -> f64 {
    values.sort_unstable_by(f64::total_cmp);
    let n = values.len();
    if n == 0 { 0.0 } else { values[((n as f64 * share).ceil() as usize).clamp(1, n) - 1] }
}

fn told(what: &str, took: Duration, events: &[Value], asked: f64) {
    let done = done(events);
    let mut script: Vec<f64> = done
        .frames
        .windows(2)
        .map(|f| {
            let within = done.script.iter().filter(|s| s.from >= f[0] && s.from < f[1]);
            within.map(|s| s.worked).sum::<f64>() / 1e3
        })
        .collect();
    let mut apart: Vec<f64> = done.frames.windows(2).map(|f| (f[1] - f[0]) / 1e3).collect();
    let mut tasks: Vec<f64> = done.tasks.iter().map(|t| t.worked / 1e3).collect();
    let waited = done.tasks.iter().filter(|t| t.to - t.from > 50e3).count();
    let long = tasks.iter().filter(|t| **t > 50.0).count();
    println!(
        "{what:<22} {:4} frames, apart p50 {:5.1} p95 {:5.1} ms · script p50 {:5.2} p95 {:5.2} max {:6.2} ms · tasks p95 {:5.1} max {:6.1} ms, over 50 ms: {long} ({waited} with what they waited) · readings {:.1} a second",
        done.frames.len(),
        at(&mut apart, 0.5),
        at(&mut apart, 0.95),
        at(&mut script, 0.5),
        at(&mut script, 0.95),
        at(&mut script, 1.0),
        at(&mut tasks, 0.95),
        at(&mut tasks, 1.0),
        asked / took.as_secs_f64(),
    );
    println!("{:<22} its longest task, ms: {}", "", done.longest());
}

#[tokio::main]
async fn main() {
    let busy = || std::fs::read_to_string("/proc/loadavg").unwrap_or_default().trim().to_owned();
    println!("load before: {}", busy());
    let bench = Bench::start(demo_folder(), &["demo.seam"]).await;
    let window = Window::new().await;
    let section = places(&window, &bench).await.section;
    let look = Look { ..PHONE };
    let slow = async |view: &View| {
        view.page.execute(SetCpuThrottlingRateParams::new(4.0)).await.expect("it can be slowed");
    };
    let empty = window.open(&format!("{}/static/mark.svg", bench.address), look).await;
    slow(&empty).await;
    let middle = [195.0, 300.0];
    for (what, way) in [("floor: pan", pan as Way), ("floor: pinch", pinch), ("floor: drag", drag)]
    {
        let (took, events) = traced(&empty, way, middle).await;
        told(what, took, &events, 0.0);
    }
    drop(empty);
    let view = window.open(&format!("{}{section}", bench.address), look).await;
    view.settled().await;
    view.until_said("Effective throat").await;
    slow(&view).await;
    let desk = "document.getElementById('desk').desk";
    for (what, way) in [("desk: pan", pan as Way), ("desk: pinch", pinch)] {
        let (took, events) = traced(&view, way, middle).await;
        told(what, took, &events, 0.0);
    }
    view.add(&format!("{desk}.fit(); {desk}.choose('fused.right')")).await;
    view.settled().await;
    let point: [f64; 2] = view.eval(&format!("{desk}.marks.line({desk}.line).points[1]")).await;
    let at = view.on_photo(point).await;
    view.click(at).await;
    tokio::time::sleep(Duration::from_millis(600)).await;
    // Under a finger nothing is read until it rests; under a mouse the bench reads meanwhile, here on the same cores as the
    // browser paints.
    for what in ["desk: drag", "desk: drag again", "desk: drag, read"] {
        if what.ends_with("read") {
            view.add(&format!("{desk}.reader.hurry = () => {desk}.reader.plan(0)")).await;
        }
        let before: f64 = view.eval(&format!("{desk}.reader.asked")).await;
        let point: [f64; 2] = view.eval(&format!("(() => {{ const d = {desk}; return d.picked ? d.marks.line(d.picked.id).points[d.picked.at] : d.marks.line(d.line).points[1]; }})()")).await;
        let at = view.on_photo(point).await;
        let (took, events) = traced(&view, drag, at).await;
        let after: f64 = view.eval(&format!("{desk}.reader.asked")).await;
        told(what, took, &events, after - before);
        view.settled().await;
    }
    assert_eq!(view.faults().await, Vec::<String>::new());
    println!("load after: {}", busy());
    window.close().await;
}
