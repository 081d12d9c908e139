//! What a record is of.

use std::fmt;

/// What a record is of.
///
/// The order is that of the work; a record belongs to one of an earlier kind:
///
/// ```text
///   joint ─ setting ─ coupon ─ cut ─┬─ photo
///     └─ claim ─ paper              └─ section ─ reading
/// ```
///
/// Steps may be left out: a section may belong to a coupon whose cuts nobody wrote down.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// The study itself: one record, the first.
    Study,
    /// The joint and its load.
    Joint,
    /// A setting of the machine.
    Setting,
    /// A welded coupon.
    Coupon,
    /// A cut through a coupon.
    Cut,
    /// A photograph, with its bytes.
    Photo,
    /// A section: a photo with what was marked on it.
    Section,
    /// What was read from a section, as it was printed then.
    Reading,
    /// What is asked of which sections.
    Claim,
    /// A paper that was handed out.
    Paper,
}

impl Kind {
    /// All kinds, in the order of the work.
    pub const ALL: [Self; 10] = [
        Self::Study,
        Self::Joint,
        Self::Setting,
        Self::Coupon,
        Self::Cut,
        Self::Photo,
        Self::Section,
        Self::Reading,
        Self::Claim,
        Self::Paper,
    ];

    /// The word that stands in the file.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Study => "study",
            Self::Joint => "joint",
            Self::Setting => "setting",
            Self::Coupon => "coupon",
            Self::Cut => "cut",
            Self::Photo => "photo",
            Self::Section => "section",
            Self::Reading => "reading",
            Self::Claim => "claim",
            Self::Paper => "paper",
        }
    }

    /// The kind of a word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }

    /// Kinds that a record of this kind may belong to.
    #[must_use]
    pub const fn may_belong_to(self) -> &'static [Self] {
        match self {
            Self::Study | Self::Joint => &[],
            Self::Setting => &[Self::Joint],
            Self::Coupon | Self::Claim => &[Self::Joint, Self::Setting],
            Self::Cut => &[Self::Coupon],
            Self::Photo | Self::Section => &[Self::Joint, Self::Setting, Self::Coupon, Self::Cut],
            Self::Reading => &[Self::Section],
            // A report belongs to its claim; an area plan to the setting whose beam it is about, or to the study.
            Self::Paper => &[Self::Claim, Self::Setting, Self::Study],
        }
    }

    /// Whether a record of this kind comes out of another one, and says of which revision: a reading out of a section, a
    /// paper out of a claim, a setting or the study.
    #[must_use]
    pub const fn comes_out_of_another(self) -> bool {
        matches!(self, Self::Reading | Self::Paper)
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}
