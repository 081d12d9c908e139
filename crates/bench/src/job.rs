//! Long works: each is a job that lives until it is done, whether or not a page listens.

use crate::failed::{Failed, told};
use crate::keep::fault;
use crate::{App, sheet};
use axum::Form;
use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse, Redirect, Response, Sse, sse::Event, sse::KeepAlive};
use futures_util::stream::unfold;
use maud::html;
use serde_json::json;
use std::collections::BTreeMap;
use std::convert::Infallible;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;
use tokio::sync::watch;
use workflow::progress::{Progress, Step};
use workflow::refusal::Refusal;

/// Jobs that are remembered.
const MOST: usize = 50;

/// What came out of a job.
#[derive(Clone, Debug)]
pub(crate) enum Made {
    /// A page to go to.
    Page(String),
    /// A file to take along.
    File(Arc<File>),
}

/// A file that a job made.
#[derive(Debug)]
pub(crate) struct File {
    pub(crate) name: String,
    pub(crate) mime: &'static str,
    pub(crate) bytes: Vec<u8>,
    /// What is said beside it.
    pub(crate) words: String,
    /// The page it belongs to.
    pub(crate) back: String,
}

#[derive(Clone, Debug)]
enum End {
    Made(Made),
    Refused(Refusal),
}

#[derive(Clone, Debug, Default)]
struct State_ {
    line: String,
    done: u64,
    of: u64,
    end: Option<End>,
}

/// One long work.
#[derive(Debug)]
pub(crate) struct Job {
    id: u64,
    title: String,
    /// Where it was asked for.
    from: String,
    state: watch::Sender<State_>,
    cancel: AtomicBool,
}

impl Progress for Job {
    fn step(&self, step: &Step<'_>) {
        self.state.send_modify(|s| {
            s.line = step.to_string();
            s.done = step.done;
            s.of = step.of;
        });
    }

    fn cancelled(&self) -> bool {
        self.cancel.load(Ordering::Relaxed)
    }
}

/// All jobs of the bench.
#[derive(Debug, Default)]
pub(crate) struct Jobs {
    next: AtomicU64,
    all: Mutex<BTreeMap<u64, Arc<Job>>>,
}

impl Jobs {
    /// Starts a work and answers the page that shows it.
    pub(crate) fn start(
        &self,
        title: &str,
        from: &str,
        work: impl FnOnce(&Job) -> Result<Made, Failed> + Send + 'static,
    ) -> Redirect {
        let id = 1 + self.next.fetch_add(1, Ordering::Relaxed);
        let state = watch::Sender::new(State_::default());
        let job = Arc::new(Job {
            id,
            title: title.to_owned(),
            from: from.to_owned(),
            state,
            cancel: AtomicBool::new(false),
        });
        {
            let mut all = self.all.lock().unwrap_or_else(PoisonError::into_inner);
            all.insert(id, Arc::clone(&job));
            while all.len() > MOST {
                all.pop_first();
            }
        }
        tokio::task::spawn_blocking(move || {
            let run = std::panic::AssertUnwindSafe(|| work(&job));
            let end = match std::panic::catch_unwind(run) {
                Ok(Ok(made)) => End::Made(made),
                Ok(Err(failed)) => End::Refused(failed.refusal()),
                Err(_) => End::Refused(fault()),
            };
            job.state.send_modify(|s| s.end = Some(end));
        });
        Redirect::to(&format!("/job/{id}"))
    }

    fn find(&self, id: u64) -> Result<Arc<Job>, Failed> {
        let all = self.all.lock().unwrap_or_else(PoisonError::into_inner);
        all.get(&id).map(Arc::clone).ok_or_else(|| Failed::not_there("such job"))
    }
}

/// The page of a job: says how far it is; goes on by itself when it is done.
pub(crate) async fn page(State(app): State<App>, Path(id): Path<u64>) -> Result<Response, Failed> {
    let job = app.jobs.find(id)?;
    let state = job.state.borrow().clone();
    let body = match &state.end {
        Some(End::Made(Made::Page(url))) => return Ok(Redirect::to(url).into_response()),
        Some(End::Made(Made::File(file))) => html! {
            h1 { (job.title) }
            p.verdict { (file.words) }
            p { a.act href={ "/job/" (id) "/file" } download=(file.name) { "Take " (file.name) } " "
                span.faint { (file.bytes.len().div_ceil(1024)) " kB" } }
            p { a href=(file.back) { "Back" } }
        },
        Some(End::Refused(refusal)) => html! {
            h1 { (job.title) }
            (told(refusal))
            p { a.act href=(job.from) { "Back to where it was asked for" } " " a href="/" { "To the study" } }
        },
        None => html! {
            h1 { (job.title) }
            p id="job" data-job=(id) aria-live="polite" {
                @if state.line.is_empty() { "Begun." } @else { (state.line) }
            }
            progress id="bar" max=(state.of.max(1)) value=[(state.of > 0).then_some(state.done)] aria-label="how far it is" {}
            form method="post" action={ "/job/" (id) "/stop" } { button { "Stop" } }
            p.faint { "It goes on when you leave this page." }
            script type="module" src="/static/job.js" {}
            noscript { meta http-equiv="refresh" content="2"; }
        },
    };
    Ok(sheet::bare(&job.title, &body).into_response())
}

/// How far a job is, as it goes.
pub(crate) async fn events(
    State(app): State<App>,
    Path(id): Path<u64>,
) -> Result<Response, Failed> {
    let job = app.jobs.find(id)?;
    let mut state = job.state.subscribe();
    state.mark_changed();
    let stream = unfold((state, job, false), |(mut state, job, over)| async move {
        if over || state.changed().await.is_err() {
            return None;
        }
        let now = state.borrow_and_update().clone();
        let over = now.end.is_some();
        // An event without data is never told to a page.
        let event = Event::default()
            .event(if over { "over" } else { "step" })
            .data(json!({ "line": now.line, "done": now.done, "of": now.of }).to_string());
        Some((Ok::<_, Infallible>(event), (state, job, over)))
    });
    let alive = KeepAlive::new().interval(Duration::from_secs(15));
    Ok(Sse::new(stream).keep_alive(alive).into_response())
}

/// The file that a job made.
pub(crate) async fn file(State(app): State<App>, Path(id): Path<u64>) -> Result<Response, Failed> {
    let job = app.jobs.find(id)?;
    let state = job.state.borrow().clone();
    let Some(End::Made(Made::File(file))) = state.end else {
        return Err(Failed::not_there("file of this job"));
    };
    Ok(download(&file.name, file.mime, file.bytes.clone()))
}

/// A file to take along.
pub(crate) fn download(name: &str, mime: &'static str, bytes: Vec<u8>) -> Response {
    let plain: String = name
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() || "-_.".contains(c) { c } else { '-' })
        .collect();
    let disposition = format!("attachment; filename=\"{plain}\"");
    ([(header::CONTENT_TYPE, mime.to_owned()), (header::CONTENT_DISPOSITION, disposition)], bytes)
        .into_response()
}

/// Asks a job to stop.
pub(crate) async fn stop(
    State(app): State<App>,
    Path(id): Path<u64>,
    Form(_): Form<Vec<(String, String)>>,
) -> Result<Redirect, Failed> {
    let job = app.jobs.find(id)?;
    job.cancel.store(true, Ordering::Relaxed);
    Ok(Redirect::to(&format!("/job/{}", job.id)))
}
