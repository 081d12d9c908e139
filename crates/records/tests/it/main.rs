//! The study file: what is kept, what is refused, what a broken run leaves, and what a check names.

#![allow(
    clippy::unwrap_used,
    reason = "all of this is tests: the lint knows only functions marked as one"
)]

mod chain;
mod common;
mod copies;
mod cut;
mod kept;
mod kill;
mod lookups;
mod tamper;
mod wild;
mod writes;
