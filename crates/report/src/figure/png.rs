//! A figure as a picture.
//!
//! Set in the two built-in faces; fonts of the machine are not looked at, so the same figure gives the same pixels.

use super::Svg;
use crate::faces;
use resvg::tiny_skia::{Color, Pixmap, Transform};
use resvg::usvg::{self, fontdb};
use std::sync::{Arc, LazyLock};

static FONTS: LazyLock<Arc<fontdb::Database>> = LazyLock::new(|| {
    let mut fonts = fontdb::Database::new();
    fonts.load_font_data(faces::regular().to_vec());
    fonts.load_font_data(faces::bold().to_vec());
    Arc::new(fonts)
});

/// Why a figure is no picture.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum PngError {
    /// The size cannot be had.
    #[error("a picture {width} pixels wide cannot be made")]
    Size {
        /// What was asked.
        width: u32,
    },
    /// The drawing cannot be read.
    #[error("the drawing cannot be read: {why}")]
    Drawing {
        /// What the reader said.
        why: String,
    },
    /// The picture cannot be packed.
    #[error("the picture cannot be packed: {why}")]
    Packing {
        /// What the packer said.
        why: String,
    },
}

impl PngError {
    /// What to do next.
    #[must_use]
    pub const fn advice(&self) -> &'static str {
        match self {
            Self::Size { .. } => "ask for 1 to 8000 pixels",
            Self::Drawing { .. } | Self::Packing { .. } => {
                "keep the values that were drawn and report it: a figure can always be drawn"
            }
        }
    }
}

/// Widest picture, pixels.
pub const MOST: u32 = 8000;

/// Paints a figure on white, so many pixels wide, as PNG.
///
/// # Errors
///
/// When the width is 0 or above 8000, or the drawing cannot be read.
pub fn to_png(svg: &Svg, width_px: u32) -> Result<Vec<u8>, PngError> {
    pixels(svg, width_px)?.encode_png().map_err(|e| PngError::Packing { why: e.to_string() })
}

/// Paints a figure on white: rows, and red, green, blue row by row, to be set beside other pixels.
///
/// # Errors
///
/// As [`to_png`].
pub fn to_rgb(svg: &Svg, width_px: u32) -> Result<(u32, Vec<u8>), PngError> {
    let map = pixels(svg, width_px)?;
    let rgb = map.data().chunks_exact(4).flat_map(|p| [p[0], p[1], p[2]]).collect();
    Ok((map.height(), rgb))
}

fn pixels(svg: &Svg, width_px: u32) -> Result<Pixmap, PngError> {
    let size = PngError::Size { width: width_px };
    if width_px == 0 || width_px > MOST {
        return Err(size);
    }
    let options = usvg::Options {
        font_family: "DejaVu Sans".to_owned(),
        fontdb: Arc::clone(&FONTS),
        // Nothing outside the drawing is opened.
        image_href_resolver: usvg::ImageHrefResolver {
            resolve_string: Box::new(|_, _| None),
            ..usvg::ImageHrefResolver::default()
        },
        ..usvg::Options::default()
    };
    let tree = usvg::Tree::from_str(svg.as_str(), &options)
        .map_err(|e| PngError::Drawing { why: e.to_string() })?;
    let scale = width_px as f32 / tree.size().width();
    let height = (tree.size().height() * scale).ceil();
    if !(1.0..=f32::from(u16::MAX)).contains(&height) {
        return Err(size);
    }
    let mut map = Pixmap::new(width_px, height as u32).ok_or(size)?;
    map.fill(Color::WHITE);
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut map.as_mut());
    Ok(map)
}
