//! The web bench: the steps of the job as pages, for a browser on this machine or, with a pass phrase, on a phone in the
//! shop.
//!
//! ```text
//!   page ── form, points, photo ──> workflow ──> sentence, figures, drawing
//! ```
//!
//! Pages are made here and work without JavaScript, but for the section desk, where a hand draws. No formula lives here:
//! forms become the texts that the command line reads from files, and what is answered is what it prints.
//!
//! Everything below this floor waits for the disk and the cores; here it is handed to threads that may.

mod app;
mod failed;
mod form;
mod job;
mod keep;
mod leaf;
mod pages;
mod pick;
mod serve;
mod sheet;
mod shop;

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]
mod tests;

use app::App;
pub use serve::{Options, Shop, serve};
