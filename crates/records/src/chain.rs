//! The chain: each revision is hashed together with the entry before it.
//!
//! ```text
//!   entry(0) = BLAKE3("seamproof study 1")
//!   entry(n) = BLAKE3(entry(n - 1), bytes(n))          n = 1, 2, 3, ... the place in the chain
//! ```
//!
//! The canonical bytes of a revision, in this order, so that any other program can check a study:
//!
//! | field | bytes |
//! |---|---|
//! | place in the chain, record, number | each 8 bytes, little-endian |
//! | kind, name, author, time, reason, form, content | each the length in bytes (8 bytes, little-endian), then UTF-8 |
//! | withdrawn | 1 byte, 0 or 1 |
//! | parent, revision it rests on | each 1 byte, 0: none; or 1 and 8 bytes, little-endian |
//! | photo | 1 byte, 0: none; or 1 and the 32 bytes of its BLAKE3 hash |
//!
//! Every text carries its length, so no two revisions have the same bytes. A photo's bytes are in the chain by their
//! hash. BLAKE3 is the plain hash of 32 bytes, without a key.
//!
//! A chain guards against a change that leaves the rest as it was. It does not guard against somebody who writes all
//! entries anew behind the change; only a head that was kept outside the file does.

use crate::revision::{Hash, Revision};

/// What the chain begins with: the BLAKE3 hash of `seamproof study 1`.
#[must_use]
pub fn beginning() -> Hash {
    Hash::of(b"seamproof study 1")
}

/// The canonical bytes of a revision; its own entry is not among them.
#[must_use]
pub fn canonical(revision: &Revision) -> Vec<u8> {
    let (stamp, content) = (&revision.stamp, &revision.content);
    let mut out = Vec::with_capacity(content.text.len() + 256);
    for number in [revision.seq, revision.record.0, revision.number] {
        out.extend(number.to_le_bytes());
    }
    for text in [
        revision.kind.word(),
        &content.name,
        &stamp.author,
        &stamp.time,
        &stamp.reason,
        content.form.word(),
        &content.text,
    ] {
        out.extend((text.len() as u64).to_le_bytes());
        out.extend(text.as_bytes());
    }
    out.push(u8::from(content.withdrawn));
    for number in [content.parent.map(|id| id.0), content.rests_on] {
        out.push(u8::from(number.is_some()));
        out.extend(number.into_iter().flat_map(i64::to_le_bytes));
    }
    out.push(u8::from(content.photo.is_some()));
    out.extend(content.photo.into_iter().flat_map(|hash| hash.0));
    out
}

/// The entry of a revision that follows `previous`.
#[must_use]
pub fn entry(previous: Hash, revision: &Revision) -> Hash {
    let mut hasher = blake3::Hasher::new();
    hasher.update(&previous.0).update(&canonical(revision));
    Hash(*hasher.finalize().as_bytes())
}
