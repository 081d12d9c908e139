//! What a revision is.

use crate::Kind;
use std::fmt;
use std::str::FromStr;

/// The number of a record, from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RecordId(pub i64);

impl fmt::Display for RecordId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// A BLAKE3 hash: of a photo's bytes, or of the chain up to an entry.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Hash(pub [u8; 32]);

impl Hash {
    /// The hash of bytes.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        Self(*blake3::hash(bytes).as_bytes())
    }
}

impl fmt::Display for Hash {
    /// 64 hex digits.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

impl fmt::Debug for Hash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

impl FromStr for Hash {
    type Err = ();

    fn from_str(text: &str) -> Result<Self, ()> {
        blake3::Hash::from_hex(text).map(|hash| Self(*hash.as_bytes())).map_err(|_| ())
    }
}

/// Who writes, when, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stamp {
    /// Who.
    pub author: String,
    /// When: `2026-11-25T08:30:00Z`, universal time.
    pub time: String,
    /// Why.
    pub reason: String,
}

/// The language of a content.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Form {
    /// TOML: what people write.
    Toml,
    /// JSON: what the program answered.
    Json,
}

impl Form {
    /// The word that stands in the file.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Toml => "toml",
            Self::Json => "json",
        }
    }

    /// The form of a word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        [Self::Toml, Self::Json].into_iter().find(|form| form.word() == word)
    }
}

/// What a revision says of its record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Content {
    /// What the record is called: a label such as `A`, or the name that other records use for it, such as
    /// `photos/a1.toml`. Of the records of a kind that are not withdrawn, no two have one name.
    pub name: String,
    /// The record that it belongs to.
    pub parent: Option<RecordId>,
    /// The revision that it came out of, by its place in the chain: of a reading, that of the section; of a paper, that of
    /// the claim.
    pub rests_on: Option<i64>,
    /// The photo that it shows or was read from.
    pub photo: Option<Hash>,
    /// The language of the text.
    pub form: Form,
    /// The text, as the command line reads or writes it.
    pub text: String,
    /// Taken out of the study: kept, but no longer counted.
    pub withdrawn: bool,
}

impl Content {
    /// A text under a name, belonging nowhere yet.
    #[must_use]
    pub fn new(name: impl Into<String>, form: Form, text: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            parent: None,
            rests_on: None,
            photo: None,
            form,
            text: text.into(),
            withdrawn: false,
        }
    }

    /// Belonging to a record.
    #[must_use]
    pub fn under(mut self, parent: Option<RecordId>) -> Self {
        self.parent = parent;
        self
    }

    /// Showing a photo.
    #[must_use]
    pub fn showing(mut self, photo: Hash) -> Self {
        self.photo = Some(photo);
        self
    }

    /// Having come out of a revision.
    #[must_use]
    pub fn out_of(mut self, seq: i64) -> Self {
        self.rests_on = Some(seq);
        self
    }
}

/// One revision of a record, as it was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Revision {
    /// Its place in the chain, from 1, over all records.
    pub seq: i64,
    /// The record.
    pub record: RecordId,
    /// What the record is of.
    pub kind: Kind,
    /// Which revision of the record, from 1.
    pub number: i64,
    /// Who, when and why.
    pub stamp: Stamp,
    /// What it says.
    pub content: Content,
    /// Its entry in the chain.
    pub entry: Hash,
}

/// A revision without its text, for lists.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Listed {
    /// Its place in the chain.
    pub seq: i64,
    /// The record.
    pub record: RecordId,
    /// What the record is of.
    pub kind: Kind,
    /// Which revision of the record.
    pub number: i64,
    /// Who, when and why.
    pub stamp: Stamp,
    /// What the record is called.
    pub name: String,
    /// The record that it belongs to.
    pub parent: Option<RecordId>,
    /// The revision that it came out of.
    pub rests_on: Option<i64>,
    /// Its photo.
    pub photo: Option<Hash>,
    /// Taken out of the study.
    pub withdrawn: bool,
}

/// The end of the chain, or the end that it had once.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Head {
    /// Entries up to here.
    pub count: i64,
    /// The last of them.
    pub entry: Hash,
}

impl fmt::Display for Head {
    /// The first 16 hex digits and the count, as papers print it: `0123456789abcdef-57`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.entry.0[..8].iter().try_for_each(|byte| write!(f, "{byte:02x}"))?;
        write!(f, "-{}", self.count)
    }
}
