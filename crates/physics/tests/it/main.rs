//! The public doors of the crate, with whatever anybody types.

#![allow(clippy::unwrap_used, reason = "helpers of tests")]

mod never_panics;
mod predict;
