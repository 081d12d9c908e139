//! The section a photograph shows, with its uncertainty.
//!
//! ```text
//!   bytes ─ decode ─ Photo ─┬─ scale: millimetres per pixel
//!                           ├─ pyramid, evidence, path, refine, trace: outlines from set points
//!                           └─ lay: plates, corner, frame ─ weld::section ─ reading: values with their u
//! ```
//!
//! Pixels are those after the EXIF turn: x right, y down, centres at integers. Only millimetres leave this crate, in the
//! section's frame; transforms are named `section_from_px`.
//!
//! The reader knows no physics: it must not be told what to see.

pub mod astray;
pub mod decode;
pub mod doubt;
pub mod drawn;
mod enclose;
pub mod encode;
pub mod evidence;
pub mod lay;
mod least_cut;
pub mod marks;
pub mod nested;
pub mod overlay;
pub mod path;
pub mod placing;
pub mod plates;
pub mod propose;
pub mod pyramid;
pub mod reading;
pub mod refine;
pub mod scale;
pub mod seen;
pub mod straighten;
pub mod surface;
pub mod tiles;
mod tip;
pub mod toe;
pub mod trace;
