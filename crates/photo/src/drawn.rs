//! A photograph that never was: a section drawn as an etched macro, with everything about it known.
//!
//! ```text
//!   weld::section ─ shape: what is metal ─ distance: how far from every line ─┐
//!   style ── camera ───────────────────────────────────────────────────────────┤
//!                                               metal or second: tones ─ optics ─ Drawn { rgb, truth }
//! ```
//!
//! Pixels: x right, y down, centres at integers; edges are covered by area, so the boundary lies where the truth says,
//! between pixels. Same section, style and seed: same bytes.
//!
//! [`draw`] and [`second()`] are two drawers with the same interface and nothing in common but the geometry, the frame and
//! the sensor: the first has Voronoi grain and columns and the line profiles of [`style::Edge`]; the second has
//! veining, brushed dendrites, and an erf-shaped change of light with no line. The second is held out when a reader is
//! made better on the first.
//!
//! Which point is the truth: [`style::Edge`] says it for the first; for the second it is where the change of *light*
//! is half done (its bytes are the light to the power 1/2.2, so the half level of the bytes lies a little to the dark
//! side). The metal's edge towards the mount is the half level in both.
//!
//! Guarantees: never refuses and never panics; wild styles are tamed, points that are no place are left out.
//! Not covered: depth of field over the frame, a rule out of the section's plane, more than one pass a weld.

mod camera;
mod distance;
pub mod fillet;
pub mod hand;
mod metal;
mod mount;
mod optics;
pub mod scenes;
mod second;
mod shape;
mod stage;
mod stroke;
pub mod style;
mod texture;
pub mod truth;

pub use camera::Camera;
pub use second::second;

use stage::Stage;
use style::Style;
use truth::Truth;
use weld::section::Section;

/// A place on the picture: column and row, centres at integers.
pub type Px = [f64; 2];

/// What a picture needs that a section does not hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extra {
    /// Thickness of plates whose thickness the section does not give, mm.
    pub plate_mm: f64,
    /// Width of the heat-affected zone, mm.
    pub affected_mm: f64,
    /// Half of the sample's width, mm.
    pub half_width_mm: f64,
    /// Height of the upright, mm.
    pub upright_height_mm: f64,
}

impl Default for Extra {
    fn default() -> Self {
        Self { plate_mm: 6.0, affected_mm: 0.8, half_width_mm: 20.0, upright_height_mm: 25.0 }
    }
}

impl Extra {
    fn tamed(&self) -> Self {
        let within =
            |v: f64, low: f64, high: f64| if v.is_nan() { low } else { v.clamp(low, high) };
        Self {
            plate_mm: within(self.plate_mm, 0.1, 200.0),
            affected_mm: within(self.affected_mm, 0.01, 50.0),
            half_width_mm: within(self.half_width_mm, 0.5, 1000.0),
            upright_height_mm: within(self.upright_height_mm, 0.5, 1000.0),
        }
    }
}

/// A drawn photograph.
#[derive(Clone, Debug)]
pub struct Drawn {
    /// Red, green, blue, row by row.
    pub rgb: Vec<u8>,
    /// Columns.
    pub width: u32,
    /// Rows.
    pub height: u32,
    /// What is known about it.
    pub truth: Truth,
}

/// Why a picture could not be written.
#[derive(Debug, thiserror::Error)]
#[error("the drawn picture of {width} x {height} px could not be written: {source}")]
pub struct WriteError {
    width: u32,
    height: u32,
    source: image::ImageError,
}

impl WriteError {
    /// What to do about it.
    #[must_use]
    pub fn advice(&self) -> &'static str {
        "draw it at a smaller size; if it fails again, please report it with the seed"
    }
}

impl Drawn {
    fn failed(&self, source: image::ImageError) -> WriteError {
        WriteError { width: self.width, height: self.height, source }
    }

    /// The picture as PNG.
    ///
    /// # Errors
    ///
    /// When the encoder refuses the size.
    pub fn to_png(&self) -> Result<Vec<u8>, WriteError> {
        use image::ImageEncoder as _;
        let mut bytes = Vec::new();
        image::codecs::png::PngEncoder::new_with_quality(
            &mut bytes,
            image::codecs::png::CompressionType::Fast,
            image::codecs::png::FilterType::Adaptive,
        )
        .write_image(&self.rgb, self.width, self.height, image::ExtendedColorType::Rgb8)
        .map_err(|e| self.failed(e))?;
        Ok(bytes)
    }

    /// The picture as JPEG, quality 1 to 100.
    ///
    /// # Errors
    ///
    /// When the encoder refuses the size.
    pub fn to_jpeg(&self, quality: u8) -> Result<Vec<u8>, WriteError> {
        let mut bytes = Vec::new();
        image::codecs::jpeg::JpegEncoder::new_with_quality(&mut bytes, quality.clamp(1, 100))
            .encode(&self.rgb, self.width, self.height, image::ExtendedColorType::Rgb8)
            .map_err(|e| self.failed(e))?;
        Ok(bytes)
    }

    /// The same picture after it was stored as JPEG; the truth stays.
    ///
    /// # Errors
    ///
    /// When the encoder refuses the size.
    pub fn through_jpeg(mut self, quality: u8) -> Result<Self, WriteError> {
        let bytes = self.to_jpeg(quality)?;
        let back = image::load_from_memory_with_format(&bytes, image::ImageFormat::Jpeg)
            .map_err(|e| self.failed(e))?;
        self.rgb = back.into_rgb8().into_raw();
        Ok(self)
    }
}

/// Draws a section as an etched macro.
#[must_use]
pub fn draw(section: &Section, extra: &Extra, style: &Style, seed: u64) -> Drawn {
    let stage = Stage::new(section, extra, style, seed);
    let light = metal::shade(&stage);
    stage.finish(light, 1.0)
}
