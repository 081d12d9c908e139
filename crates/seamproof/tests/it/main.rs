//! The command line, run as a person runs it: files in a folder, words out, an exit code.

#![allow(
    clippy::unwrap_used,
    reason = "all of this is tests: the lint knows only functions marked as one"
)]

mod area;
mod area_numbers;
mod bad_photo;
mod bad_reading_file;
mod bad_table;
mod claim_file;
mod demo;
mod drawn;
mod fuzz;
mod help;
mod output;
mod predict;
mod read_drawn;
mod read_laws;
mod real_data;
mod run;
mod start;
mod study;
mod units;
