//! What papers and figures say, and that they say it to the byte each time.

#![allow(clippy::unwrap_used)]

mod figures;
mod invented;
mod paper;
mod sheet;
mod wild;
