//! What the camera wrote beside the pixels: which way up, which camera, when.
//!
//! The stored pixel density (dots per inch) is **not** read: cameras and phones write 72 or 96 whatever stands in
//! front of them, and picture editors overwrite it, so it says nothing about millimetres on the coupon (common
//! practice, no source). A scale comes from the picture itself, see [`scale`](crate::scale).
//! Not covered: the place (GPS), which is nobody's business here; lens data; makers' notes; the old `ImageMagick`
//! text form of EXIF in PNG.

use super::ifd::{Directory, Tags};

/// How the stored picture is turned so that it shows as it was taken (EXIF tag 0x0112).
///
/// The pixels of a [`Photo`](super::Photo) are those *after* the turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Turn {
    /// Stored upright (1, or no entry, or an entry that makes no sense).
    #[default]
    None,
    /// Mirrored left to right (2).
    MirroredSideways,
    /// Half a turn (3).
    Half,
    /// Mirrored top to bottom (4).
    MirroredUpright,
    /// Mirrored about the falling diagonal (5).
    MirroredFalling,
    /// A quarter turn to the right (6).
    QuarterRight,
    /// Mirrored about the rising diagonal (7).
    MirroredRising,
    /// A quarter turn to the left (8).
    QuarterLeft,
}

impl Turn {
    /// From the EXIF number, 1 to 8; `None` for any other.
    pub fn from_exif(number: u64) -> Option<Self> {
        Some(match number {
            1 => Self::None,
            2 => Self::MirroredSideways,
            3 => Self::Half,
            4 => Self::MirroredUpright,
            5 => Self::MirroredFalling,
            6 => Self::QuarterRight,
            7 => Self::MirroredRising,
            8 => Self::QuarterLeft,
            _ => return None,
        })
    }

    /// The turn in words, as done to the stored pixels.
    pub fn words(self) -> &'static str {
        match self {
            Self::None => "not turned",
            Self::MirroredSideways => "mirrored left to right",
            Self::Half => "turned by half a turn",
            Self::MirroredUpright => "mirrored top to bottom",
            Self::MirroredFalling => "mirrored about the falling diagonal",
            Self::QuarterRight => "turned a quarter to the right",
            Self::MirroredRising => "mirrored about the rising diagonal",
            Self::QuarterLeft => "turned a quarter to the left",
        }
    }

    /// Does it change the hand of the section?
    pub fn mirrors(self) -> bool {
        matches!(
            self,
            Self::MirroredSideways
                | Self::MirroredUpright
                | Self::MirroredFalling
                | Self::MirroredRising
        )
    }

    /// Do width and height change places?
    pub fn swaps_sides(self) -> bool {
        matches!(
            self,
            Self::MirroredFalling | Self::QuarterRight | Self::MirroredRising | Self::QuarterLeft
        )
    }

    /// Where the shown pixels are stored in a picture of `width` x `height`: the index of the top left one, and the step
    /// in index to the next shown column and to the next shown row.
    pub(super) fn stored_from_shown(self, width: isize, height: isize) -> (isize, isize, isize) {
        let (right, bottom) = (width - 1, (height - 1) * width);
        match self {
            Self::None => (0, 1, width),
            Self::MirroredSideways => (right, -1, width),
            Self::Half => (bottom + right, -1, -width),
            Self::MirroredUpright => (bottom, 1, -width),
            Self::MirroredFalling => (0, width, 1),
            Self::QuarterRight => (bottom, -width, 1),
            Self::MirroredRising => (bottom + right, -width, -1),
            Self::QuarterLeft => (right, width, -1),
        }
    }
}

/// Who took the photo and when, as the camera wrote it; a messenger usually strips it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Camera {
    /// Maker, as written.
    pub make: Option<String>,
    /// Model, as written.
    pub model: Option<String>,
    /// When, as written by the camera's own clock: `2026:11:25 09:30:00`.
    pub taken: Option<String>,
}

impl Camera {
    /// Did the camera leave its name?
    pub fn is_named(&self) -> bool {
        self.make.is_some() || self.model.is_some()
    }
}

/// Reads an EXIF block, with or without its `Exif` heading; what cannot be read is left at its default.
pub(super) fn read(block: &[u8]) -> (Turn, Camera) {
    let block = block.strip_prefix(b"Exif\0\0").unwrap_or(block);
    let Some((tags, first)) = Tags::open(block) else { return (Turn::None, Camera::default()) };
    let Some(directory) = tags.directory(first) else { return (Turn::None, Camera::default()) };
    of_directory(tags, &directory)
}

/// Turn and camera out of a directory that is already open, as a TIFF page's is.
pub(super) fn of_directory(tags: Tags<'_>, directory: &Directory) -> (Turn, Camera) {
    let turn = tags.first(directory, 0x0112).and_then(Turn::from_exif).unwrap_or_default();
    let inner = tags.first(directory, 0x8769).and_then(|at| tags.directory(at));
    let taken =
        inner.and_then(|inner| tags.text(&inner, 0x9003)).or_else(|| tags.text(directory, 0x0132));
    (
        turn,
        Camera { make: tags.text(directory, 0x010F), model: tags.text(directory, 0x0110), taken },
    )
}
