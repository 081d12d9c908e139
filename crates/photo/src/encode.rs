//! A picture buffer becomes PNG bytes, for overlays and for the bench.
//!
//! Same pixels, same bytes: no date, no text, no pixel density is written.
//! Not covered: see-through pixels, 16 bits, any other format.

use image::ImageEncoder;
use image::codecs::png::{CompressionType, FilterType, PngEncoder};

use crate::decode::{MAX_MEGAPIXELS, MAX_SIDE_PX};

/// Why a buffer is not written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum EncodeError {
    /// A side of 0, or beyond what is read back.
    #[error(
        "a picture of {width} x {height} px is not written; sides are 1 to {MAX_SIDE_PX} px, at most {MAX_MEGAPIXELS} megapixels"
    )]
    BadSize {
        /// Columns.
        width: u32,
        /// Rows.
        height: u32,
    },
    /// The buffer does not fit the size.
    #[error("{width} x {height} px need {needed} bytes of red, green, blue; {given} were given")]
    WrongLength {
        /// Columns.
        width: u32,
        /// Rows.
        height: u32,
        /// Bytes that are needed.
        needed: u64,
        /// Bytes that were given.
        given: usize,
    },
    /// The writer refused.
    #[error("the PNG could not be written: {why}")]
    Refused {
        /// What it said.
        why: String,
    },
}

impl EncodeError {
    /// What to do next.
    pub fn advice(&self) -> &'static str {
        match self {
            Self::BadSize { .. } => "draw the overlay on the photo at a smaller size",
            Self::WrongLength { .. } => {
                "this is a fault of the program: please report it with the photo's size"
            }
            Self::Refused { .. } => {
                "draw the overlay again; if it fails again, please report it with the photo's size"
            }
        }
    }
}

/// Writes red, green, blue in 8 bits, row by row, as a PNG (quick packing).
///
/// # Errors
/// [`EncodeError`] when the size is beyond the limits or the buffer does not fit it.
pub fn png(width: u32, height: u32, rgb: &[u8]) -> Result<Vec<u8>, EncodeError> {
    let pixels = u64::from(width) * u64::from(height);
    if pixels == 0
        || width > MAX_SIDE_PX
        || height > MAX_SIDE_PX
        || pixels > u64::from(MAX_MEGAPIXELS) * 1_000_000
    {
        return Err(EncodeError::BadSize { width, height });
    }
    if rgb.len() as u64 != 3 * pixels {
        return Err(EncodeError::WrongLength {
            width,
            height,
            needed: 3 * pixels,
            given: rgb.len(),
        });
    }
    let mut bytes = Vec::new();
    PngEncoder::new_with_quality(&mut bytes, CompressionType::Fast, FilterType::Adaptive)
        .write_image(rgb, width, height, image::ExtendedColorType::Rgb8)
        .map_err(|error| EncodeError::Refused { why: error.to_string() })?;
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::png;
    use crate::decode::{Format, decode};

    #[test]
    fn what_is_written_is_read_back_to_the_last_bit() {
        let rgb: Vec<u8> = (0..3 * 80 * 70_u32).map(|i| (i * i / 7) as u8).collect();
        let bytes = png(80, 70, &rgb).unwrap();
        assert_eq!(bytes, png(80, 70, &rgb).unwrap(), "same pixels, same bytes");
        let photo = decode(&bytes).unwrap();
        assert_eq!((photo.format, photo.width, photo.height, photo.bits), (Format::Png, 80, 70, 8));
        assert_eq!(photo.rgb, rgb);
    }

    #[test]
    fn a_buffer_that_does_not_fit_is_refused() {
        assert_eq!(
            png(2, 2, &[0; 11]).unwrap_err().to_string(),
            "2 x 2 px need 12 bytes of red, green, blue; 11 were given"
        );
        assert_eq!(
            png(0, 5, &[]).unwrap_err().to_string(),
            "a picture of 0 x 5 px is not written; sides are 1 to 20000 px, at most 100 megapixels"
        );
    }
}
