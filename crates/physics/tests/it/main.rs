//! The public doors of the crate, with whatever anybody types.

mod never_panics;
mod predict;
