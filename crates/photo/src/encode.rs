//! A picture buffer becomes PNG bytes, for overlays and for the bench; a part of a photo becomes a small JPEG, for paper.
//!
//! Same pixels, same bytes: no date, no text, no pixel density is written.
//! Not covered: see-through pixels, 16 bits, any other format.

use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ImageEncoder, RgbImage, imageops};

use crate::decode::{MAX_MEGAPIXELS, MAX_SIDE_PX, Photo};

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
    #[error("the picture could not be written: {why}")]
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

/// A rectangle of a photo, pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Part {
    /// Its first column and row.
    pub from: [u32; 2],
    /// Columns and rows.
    pub size: [u32; 2],
}

/// Quality of a picture for paper: no blocks to be seen in the grain of an etched face.
const PAPER_QUALITY: u8 = 88;

/// Writes a part of a photo as a JPEG for paper, upright, at most `widest` columns wide; a wider one is averaged down.
///
/// # Errors
/// [`EncodeError`] when the part does not lie in the photo.
pub fn paper_jpeg(photo: &Photo, part: Part, widest: u32) -> Result<Vec<u8>, EncodeError> {
    let [width, height] = part.size;
    let fits = |from: u32, size: u32, whole: u32| {
        size > 0 && from.checked_add(size).is_some_and(|end| end <= whole)
    };
    if widest == 0
        || !fits(part.from[0], width, photo.width)
        || !fits(part.from[1], height, photo.height)
    {
        return Err(EncodeError::BadSize { width, height });
    }
    let row_bytes = 3 * photo.width as usize;
    let rgb: Vec<u8> = photo
        .rgb
        .chunks_exact(row_bytes)
        .skip(part.from[1] as usize)
        .take(height as usize)
        .filter_map(|row| row.get(3 * part.from[0] as usize..3 * (part.from[0] + width) as usize))
        .flatten()
        .copied()
        .collect();
    let given = rgb.len();
    let needed = 3 * u64::from(width) * u64::from(height);
    let mut picture = RgbImage::from_raw(width, height, rgb).ok_or(EncodeError::WrongLength {
        width,
        height,
        needed,
        given,
    })?;
    if width > widest {
        let rows = (f64::from(height) * f64::from(widest) / f64::from(width)).round();
        picture = imageops::thumbnail(&picture, widest, (rows as u32).max(1));
    }
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, PAPER_QUALITY)
        .encode_image(&picture)
        .map_err(|error| EncodeError::Refused { why: error.to_string() })?;
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::{Part, paper_jpeg, png};
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

    /// Left half 40, right half 200: the part is all of the right half, whatever its size on paper.
    #[test]
    fn a_part_of_a_photo_is_that_part() {
        let rgb: Vec<u8> =
            (0..256 * 200).flat_map(|i| [if i % 256 < 128 { 40_u8 } else { 200 }; 3]).collect();
        let photo = decode(&png(256, 200, &rgb).unwrap()).unwrap();
        let part = Part { from: [128, 10], size: [128, 180] };
        for (widest, size) in [(300, (128, 180)), (64, (64, 90))] {
            let bytes = paper_jpeg(&photo, part, widest).unwrap();
            assert_eq!(bytes, paper_jpeg(&photo, part, widest).unwrap());
            let back = decode(&bytes).unwrap();
            assert_eq!((back.format, back.width, back.height), (Format::Jpeg, size.0, size.1));
            assert!(back.rgb.iter().all(|v| v.abs_diff(200) <= 3));
        }
        for part in [Part { from: [129, 10], size: [128, 40] }, Part { from: [0, 0], size: [0, 5] }]
        {
            assert!(paper_jpeg(&photo, part, 10).is_err());
        }
    }
}
