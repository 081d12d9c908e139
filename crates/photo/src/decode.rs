//! A photograph file becomes lightness and colours, or a plain refusal.
//!
//! ```text
//!   bytes ──> what is it? ──> header: size, turn, whole? ──> limits ──> pixels ──> turned upright ──> Photo
//!             (first bytes)   (no pixel decoded yet)         (refuse)
//! ```
//!
//! Read: JPEG, PNG, TIFF and WebP, told by content and never by name. Pixels are those after the EXIF turn, column and
//! row from the top left, a whole number = the centre of a pixel.
//!
//! **Lightness** is 0 to 65 535: 0.2126 red + 0.7152 green + 0.0722 blue, the weights of Rec. ITU-R BT.709 (recalled),
//! taken on the numbers *as stored*, which are gamma-encoded, and not on light intensity. Edges are found and placed
//! on this scale, where steps look as even as they do to the eye. Colour profiles are not applied.
//!
//! **See-through pixels**: opacity is ignored, the stored colour is used as it is, and a remark says how many pixels
//! it concerns.
//!
//! **Memory**: at most about 25 bytes a pixel while it works (a plain 16-bit TIFF with opacity: the file 8, unpacked 8, a
//! copy 8), so 2.5 GB at 100 megapixels; 7 for a JPEG. Afterwards 5 bytes a pixel: 60 MB for a photo of 12 megapixels.
//!
//! Not covered: HEIC and camera raw files (refused with what to do); pages and frames after the first; a flipped bit in
//! a JPEG that leaves its codes readable, which no check sum guards.

mod exif;
mod format;
mod ifd;
mod jpeg;
mod pixels;
mod png;
mod tiff;
mod webp;

use std::io::Cursor;
use std::panic::{AssertUnwindSafe, catch_unwind};

use image::{DynamicImage, ImageDecoder, Limits, RgbImage};

pub use exif::{Camera, Turn};
pub use format::Format;

/// The longest side read, in pixels. Common practice, no source: four times a good phone's.
pub const MAX_SIDE_PX: u32 = 20_000;
/// The most pixels read, in millions. Common practice, no source.
pub const MAX_MEGAPIXELS: u32 = 100;
/// The shortest side read, in pixels: a thumbnail below it shows no fusion line. Common practice, no source.
pub const MIN_SIDE_PX: u32 = 64;
/// The most pixels one byte of the file may stand for, in pictures above one megapixel.
///
/// A photograph packs to 1 to 20 pixels a byte; an even grey JPEG reaches about 170, an even PNG in 8 bits 1030.
/// Beyond this the file is made to fill the memory and not to be looked at.
pub const MAX_PX_PER_BYTE: u64 = 5_000;
/// The most memory a pixel decoder may take for its own use, in bytes.
const MAX_DECODER_BYTES: u64 = 1 << 30;

/// A photograph, upright, ready to be read.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Photo {
    /// Columns, after the turn.
    pub width: u32,
    /// Rows, after the turn.
    pub height: u32,
    /// Lightness 0 to 65 535, row by row, `width * height` numbers. 16-bit grey is kept level by level.
    pub lightness: Vec<u16>,
    /// Red, green, blue in 8 bits, row by row, for showing.
    pub rgb: Vec<u8>,
    /// Bits per sample as stored: 8 or 16, fewer in line drawings.
    pub bits: u8,
    /// What the file is.
    pub format: Format,
    /// What was done to the stored pixels so that they show upright.
    pub turned: Turn,
    /// Who took it and when, as the camera wrote it.
    pub camera: Camera,
    /// What the user should know: pages left out, see-through pixels, mirrored, print colours.
    pub remarks: Vec<String>,
}

/// Why a file is not read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum DecodeError {
    /// Nothing was given.
    #[error("the file is empty (0 bytes)")]
    Empty,
    /// The first bytes fit no kind known here.
    #[error("the file starts with {start}, which is no kind of picture known here")]
    NotAPicture {
        /// The first bytes, as hexadecimal numbers.
        start: String,
    },
    /// A known kind that is not read.
    #[error("the file is a {}, which is not read here", format.words())]
    OtherFormat {
        /// What it is.
        format: Format,
    },
    /// Beyond the limits; found in the header, no pixel was decoded.
    #[error(
        "the picture claims {width} x {height} px, {:.1} megapixels; at most {MAX_SIDE_PX} px a side and {MAX_MEGAPIXELS} megapixels are read",
        megapixels(*width, *height)
    )]
    TooBig {
        /// Stored width in pixels.
        width: u32,
        /// Stored height in pixels.
        height: u32,
    },
    /// Too small to show a section.
    #[error(
        "the picture is {width} x {height} px; a section needs at least {MIN_SIDE_PX} px on its shorter side"
    )]
    TooSmall {
        /// Stored width in pixels.
        width: u32,
        /// Stored height in pixels.
        height: u32,
    },
    /// The file is too small for the size it claims.
    #[error(
        "the file has {bytes} bytes and claims {width} x {height} px, more than {MAX_PX_PER_BYTE} pixels a byte; no photograph packs so tightly"
    )]
    TooTight {
        /// File size.
        bytes: usize,
        /// Stored width in pixels.
        width: u32,
        /// Stored height in pixels.
        height: u32,
    },
    /// The file is cut short.
    #[error("the {} ends after {bytes} bytes and lacks {missing}, so part of it is missing", format.words())]
    EndsEarly {
        /// What it is.
        format: Format,
        /// File size.
        bytes: usize,
        /// What is not there.
        missing: &'static str,
    },
    /// The file contradicts itself or its check sums.
    #[error("the {} is damaged: {why}", format.words())]
    Damaged {
        /// What it is.
        format: Format,
        /// What does not fit.
        why: String,
    },
    /// A way of storing pixels that is not read.
    #[error("the {} stores its pixels in a way that is not read here: {what}", format.words())]
    NotRead {
        /// What it is.
        format: Format,
        /// The way.
        what: String,
    },
    /// The pixel decoder gave up in a way it should not.
    #[error("the {} made its decoder give up", format.words())]
    GaveUp {
        /// What it is.
        format: Format,
    },
}

impl DecodeError {
    /// What to do next.
    pub fn advice(&self) -> &'static str {
        match self {
            Self::Empty => {
                "the copy or upload did not finish: copy the file again from the camera or microscope"
            }
            Self::NotAPicture { .. } => {
                "give a JPEG, PNG, TIFF or WebP file as the camera or microscope saved it"
            }
            Self::OtherFormat { format } => format.advice(),
            Self::TooBig { .. } => {
                "cut the picture down to the weld, or save it at half size and mark the scale anew"
            }
            Self::TooSmall { .. } => {
                "give the full picture, not its preview; the weld should fill most of it and be 500 px across or more"
            }
            Self::TooTight { .. } => {
                "give the picture as the camera or microscope saved it; this file was made by a program or is damaged"
            }
            Self::EndsEarly { .. } => {
                "the copy or upload broke off: copy the file again from the camera or microscope"
            }
            Self::Damaged { .. } => {
                "copy the file again from where it came; if that fails too, open it in a picture viewer and save it as PNG"
            }
            Self::NotRead { .. } => {
                "open it in a picture viewer and save it as PNG, or as 8- or 16-bit TIFF, without changing its size"
            }
            Self::GaveUp { .. } => {
                "open it in a picture viewer and save it as PNG; please report the file, a decoder should refuse and not give up"
            }
        }
    }
}

/// What a format's header tells before any pixel is decoded.
#[derive(Debug, Default)]
struct Head {
    width: u32,
    height: u32,
    bits: u8,
    turn: Turn,
    camera: Camera,
    remarks: Vec<String>,
    /// What a file that is cut short lacks.
    missing: Option<&'static str>,
    /// Colours of an 8-bit palette TIFF.
    palette: Option<Vec<[u8; 3]>>,
}

/// Reads a photograph.
///
/// # Errors
/// [`DecodeError`] for a file of another kind, beyond the limits, cut short or damaged. Half a picture is never given.
pub fn decode(bytes: &[u8]) -> Result<Photo, DecodeError> {
    if bytes.is_empty() {
        return Err(DecodeError::Empty);
    }
    let Some(format) = Format::of(bytes) else {
        let start: Vec<String> = bytes.iter().take(8).map(|byte| format!("{byte:02X}")).collect();
        return Err(DecodeError::NotAPicture { start: start.join(" ") });
    };
    let head = match format {
        Format::Jpeg => jpeg::head(bytes)?,
        Format::Png => png::head(bytes)?,
        Format::Tiff => tiff::head(bytes)?,
        Format::WebP => webp::head(bytes)?,
        other => return Err(DecodeError::OtherFormat { format: other }),
    };
    check_size(head.width, head.height, bytes.len())?;
    if let Some(missing) = head.missing {
        return Err(DecodeError::EndsEarly { format, bytes: bytes.len(), missing });
    }
    // Last resort: the decoders are other people's code and have panicked on odd input before (arithmetic that
    // overflows is checked in our builds). A bad photo must not take a study down with it. Nothing outside the call
    // is touched, so there is no half-changed state to see afterwards.
    let unpacked = catch_unwind(AssertUnwindSafe(|| {
        let (whole, unpacked) = rayon::join(
            || if format == Format::Jpeg { whole_jpeg(bytes) } else { Ok(()) },
            || unpack(format, bytes, &head),
        );
        whole.and(unpacked)
    }))
    .map_err(|_| DecodeError::GaveUp { format })??;
    finish(format, head, unpacked)
}

fn whole_jpeg(bytes: &[u8]) -> Result<(), DecodeError> {
    jpeg::whole::check(bytes).map_err(|flaw| match flaw {
        jpeg::whole::Flaw::Missing(missing) => {
            DecodeError::EndsEarly { format: Format::Jpeg, bytes: bytes.len(), missing }
        }
        jpeg::whole::Flaw::Damaged(why) => {
            DecodeError::Damaged { format: Format::Jpeg, why: why.to_owned() }
        }
    })
}

fn check_size(width: u32, height: u32, bytes: usize) -> Result<(), DecodeError> {
    let pixels = u64::from(width) * u64::from(height);
    if width > MAX_SIDE_PX || height > MAX_SIDE_PX || pixels > u64::from(MAX_MEGAPIXELS) * 1_000_000
    {
        return Err(DecodeError::TooBig { width, height });
    }
    if width < MIN_SIDE_PX || height < MIN_SIDE_PX {
        return Err(DecodeError::TooSmall { width, height });
    }
    if pixels > 1_000_000 && pixels / MAX_PX_PER_BYTE > bytes as u64 {
        return Err(DecodeError::TooTight { bytes, width, height });
    }
    Ok(())
}

/// Decodes the pixels as stored, before the turn.
fn unpack(format: Format, bytes: &[u8], head: &Head) -> Result<DynamicImage, DecodeError> {
    let refused = |error: image::ImageError| match error {
        image::ImageError::Unsupported(what) => {
            DecodeError::NotRead { format, what: what.to_string() }
        }
        other => DecodeError::Damaged { format, why: other.to_string() },
    };
    let mut limits = Limits::default();
    limits.max_image_width = Some(MAX_SIDE_PX);
    limits.max_image_height = Some(MAX_SIDE_PX);
    limits.max_alloc = Some(MAX_DECODER_BYTES);
    let limited = |mut decoder: Box<dyn ImageDecoder + '_>| {
        decoder.set_limits(limits.clone()).map_err(refused)?;
        if decoder.dimensions() != (head.width, head.height) {
            let (w, h) = decoder.dimensions();
            return Err(DecodeError::Damaged {
                format,
                why: format!(
                    "its header gives {} x {} px and its pixels {w} x {h}",
                    head.width, head.height
                ),
            });
        }
        DynamicImage::from_decoder(decoder).map_err(refused)
    };
    match format {
        Format::Jpeg => limited(Box::new(
            image::codecs::jpeg::JpegDecoder::new(Cursor::new(bytes)).map_err(refused)?,
        )),
        Format::Png => limited(Box::new(
            image::codecs::png::PngDecoder::with_limits(Cursor::new(bytes), limits.clone())
                .map_err(refused)?,
        )),
        Format::WebP => limited(Box::new(
            image::codecs::webp::WebPDecoder::new(Cursor::new(bytes)).map_err(refused)?,
        )),
        _ => {
            let grey = if head.palette.is_some() { tiff::as_grey(bytes) } else { None };
            let picture = limited(Box::new(
                image::codecs::tiff::TiffDecoder::new(Cursor::new(
                    grey.as_deref().unwrap_or(bytes),
                ))
                .map_err(refused)?,
            ))?;
            Ok(match (&head.palette, picture) {
                (Some(palette), DynamicImage::ImageLuma8(numbers)) => coloured(palette, &numbers),
                (_, picture) => picture,
            })
        }
    }
}

/// Puts a palette's colours in.
fn coloured(palette: &[[u8; 3]], numbers: &image::GrayImage) -> DynamicImage {
    let colour =
        |number: u8| image::Rgb(palette.get(usize::from(number)).copied().unwrap_or_default());
    DynamicImage::ImageRgb8(RgbImage::from_fn(numbers.width(), numbers.height(), |x, y| {
        colour(numbers.get_pixel(x, y).0[0])
    }))
}

/// Turns upright and gathers the remarks.
fn finish(format: Format, head: Head, unpacked: DynamicImage) -> Result<Photo, DecodeError> {
    let mut remarks = head.remarks;
    let upright = pixels::upright(unpacked, head.turn).ok_or_else(|| DecodeError::NotRead {
        format,
        what: "an unusual kind of sample".to_owned(),
    })?;
    if upright.see_through > 0 {
        let pixels = upright.lightness.len();
        remarks.push(format!(
            "{} of {pixels} pixels are see-through; their stored colour was used as it is",
            upright.see_through
        ));
    }
    if head.turn.mirrors() {
        remarks.push(format!(
            "the file asks for the picture to be {}; it is shown and read that way",
            head.turn.words()
        ));
    }
    if head.bits == 1 {
        remarks
            .push("only black and white are stored: an edge is no finer than one pixel".to_owned());
    }
    Ok(Photo {
        width: upright.width,
        height: upright.height,
        lightness: upright.lightness,
        rgb: upright.rgb,
        bits: head.bits,
        format,
        turned: head.turn,
        camera: head.camera,
        remarks,
    })
}

fn megapixels(width: u32, height: u32) -> f64 {
    f64::from(width) * f64::from(height) / 1e6
}
