//! The study file: records, photos, and all that was ever written into it.
//!
//! One study is one SQLite file, `.seam`. People send each other one file, and years later it still says who measured
//! what, from which photo, and what stood there before.
//!
//! ```text
//!   record ──< revision ──> revision ──> ...      a record is edited by writing the next revision
//!                 │  each: author, time, reason, name, parent, content, and its entry in the chain
//!                 └─> photo                       bytes under their BLAKE3 hash, written once
//! ```
//!
//! | ask for | look in |
//! |---|---|
//! | open, create, look things up | [`Study`] |
//! | write: add, edit, withdraw, go back | [`Change`] |
//! | what a revision is, and the bytes that are hashed | [`Revision`], [`chain`] |
//! | is the file what was saved? | [`check()`] |
//! | a copy while others write | [`Study::backup`] |
//!
//! **What holds.** Rows are only ever added: a correction is a new revision, and so is going back. An edit names the
//! revision it started from; when somebody was faster it is refused with both versions. What [`Study::change`] has
//! answered with `Ok` outlives a power cut: the journal is written to the disk before (`synchronous = FULL`).
//! Several writes in one change are all there or none.
//!
//! **What the chain shows.** Each revision is hashed together with the entry before it. A row that was changed with
//! other tools no longer fits its entry, and the first one that does not is named. Whoever rewrites the whole chain
//! behind a change makes a file that fits in itself: that shows only against a head that was kept elsewhere, on a
//! printed paper or in a copy. [`check()`] takes such a head.
//!
//! **What it does not know.** Contents are texts in the forms that the command line reads; they are kept and hashed, not
//! understood. The time comes in with each change. Two machines must not write one file over a network share: SQLite's
//! locks do not hold there.

mod backup;
pub mod chain;
mod change;
pub mod check;
mod error;
mod kind;
mod revision;
mod schema;
mod study;
pub mod tiles;

pub use change::Change;
pub use check::check;
pub use error::{Error, Stale};
pub use kind::Kind;
pub use revision::{Content, Form, Hash, Head, Listed, RecordId, Revision, Stamp};
pub use schema::{APPLICATION_ID, VERSION};
pub use study::{MOST_PHOTO_BYTES, MOST_TEXT_BYTES, Part, Study};

/// Told how far a long work is: parts done, parts in all. Answers whether to go on.
pub type Watch<'a> = dyn FnMut(u64, u64) -> bool + 'a;
