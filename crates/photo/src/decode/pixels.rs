//! From decoded samples to what the reader works on: lightness in 16 bits, colours in 8, both turned upright.

use image::DynamicImage;
use rayon::prelude::*;

use super::exif::Turn;

/// Rows made together, so that a quarter turn reads the stored rows in pieces that stay in the cache.
const BAND: usize = 32;

/// Rec. 709 weights of red, green and blue in ten-thousandths; they add up to 10 000.
const WEIGHTS: [u32; 3] = [2126, 7152, 722];

/// A stored sample: 8 or 16 bits.
trait Sample: Copy + Send + Sync + Into<u32> {
    /// To 8 bits, rounded.
    fn to_8(self) -> u8;
    /// One step of this sample on the scale 0 to 65 535.
    const STEP: u32;
    /// The largest value: fully opaque.
    const FULL: u32;
}

impl Sample for u8 {
    const STEP: u32 = 257;
    const FULL: u32 = 255;
    fn to_8(self) -> u8 {
        self
    }
}

impl Sample for u16 {
    const STEP: u32 = 1;
    const FULL: u32 = 65_535;
    fn to_8(self) -> u8 {
        // At most (65 535 + 128) / 257 = 255.
        u8::try_from((u32::from(self) + 128) / 257).unwrap_or(u8::MAX)
    }
}

/// Lightness 0 to 65 535 of one pixel. A grey sample comes out as itself (times 257 from 8 bits), nothing is lost.
fn lightness<T: Sample>(red: T, green: T, blue: T) -> u16 {
    let [r, g, b] = WEIGHTS;
    let sum = r * red.into() + g * green.into() + b * blue.into();
    u16::try_from((sum * T::STEP + 5000) / 10_000).unwrap_or(u16::MAX)
}

/// What [`upright`] hands back.
#[derive(Debug)]
pub(super) struct Upright {
    pub(super) width: u32,
    pub(super) height: u32,
    pub(super) lightness: Vec<u16>,
    pub(super) rgb: Vec<u8>,
    /// How many pixels were not fully opaque.
    pub(super) see_through: usize,
}

/// Turns and converts; `None` for sample kinds that the formats' heads never let through.
pub(super) fn upright(picture: DynamicImage, turn: Turn) -> Option<Upright> {
    let (width, height) = (picture.width(), picture.height());
    let size = (usize::try_from(width).ok()?, usize::try_from(height).ok()?);
    if size.0 == 0 || size.1 == 0 {
        return None;
    }
    let (lightness, rgb, see_through) = match picture {
        DynamicImage::ImageRgb8(p) if turn == Turn::None => {
            let rgb = p.into_raw();
            let mut light = vec![0_u16; rgb.len() / 3];
            light.par_chunks_mut(4096).zip(rgb.par_chunks(3 * 4096)).for_each(|(light, rgb)| {
                for (light, [r, g, b]) in light.iter_mut().zip(rgb.as_chunks::<3>().0) {
                    *light = lightness(*r, *g, *b);
                }
            });
            (light, rgb, 0)
        }
        DynamicImage::ImageLuma8(p) => convert::<u8, 1>(&p, size, turn),
        DynamicImage::ImageLumaA8(p) => convert::<u8, 2>(&p, size, turn),
        DynamicImage::ImageRgb8(p) => convert::<u8, 3>(&p, size, turn),
        DynamicImage::ImageRgba8(p) => convert::<u8, 4>(&p, size, turn),
        DynamicImage::ImageLuma16(p) => convert::<u16, 1>(&p, size, turn),
        DynamicImage::ImageLumaA16(p) => convert::<u16, 2>(&p, size, turn),
        DynamicImage::ImageRgb16(p) => convert::<u16, 3>(&p, size, turn),
        DynamicImage::ImageRgba16(p) => convert::<u16, 4>(&p, size, turn),
        _ => return None,
    };
    let (width, height) = if turn.swaps_sides() { (height, width) } else { (width, height) };
    Some(Upright { width, height, lightness, rgb, see_through })
}

/// `N` samples a pixel: grey, grey and opacity, colour, colour and opacity.
fn convert<T: Sample, const N: usize>(
    samples: &[T],
    (width, height): (usize, usize),
    turn: Turn,
) -> (Vec<u16>, Vec<u8>, usize) {
    let pixels = samples.as_chunks::<N>().0;
    let (shown_width, shown_height) =
        if turn.swaps_sides() { (height, width) } else { (width, height) };
    // Both sides are at most 20 000 here, so these fit.
    let (origin, step_x, step_y) = turn.stored_from_shown(width as isize, height as isize);
    let mut light = vec![0_u16; shown_width * shown_height];
    let mut rgb = vec![0_u8; 3 * shown_width * shown_height];
    light
        .par_chunks_mut(BAND * shown_width)
        .zip(rgb.par_chunks_mut(3 * BAND * shown_width))
        .enumerate()
        .for_each(|(band, (light, rgb))| {
            let rows = light.len() / shown_width;
            let first = origin + (band * BAND) as isize * step_y;
            // The band's pixels as shown, copied run by run as stored.
            let mut shown = vec![pixels[0]; light.len()];
            if turn.swaps_sides() {
                for x in 0..shown_width {
                    let run = run(pixels, first + x as isize * step_x, rows, step_y);
                    shown[x..]
                        .iter_mut()
                        .step_by(shown_width)
                        .zip(run)
                        .for_each(|(to, from)| *to = *from);
                }
            } else {
                for (row, shown) in shown.chunks_exact_mut(shown_width).enumerate() {
                    let run = run(pixels, first + row as isize * step_y, shown_width, step_x);
                    shown.iter_mut().zip(run).for_each(|(to, from)| *to = *from);
                }
            }
            for ((light, rgb), pixel) in
                light.iter_mut().zip(rgb.as_chunks_mut::<3>().0).zip(&shown)
            {
                let [r, g, b] = if N < 3 { [pixel[0]; 3] } else { [pixel[0], pixel[1], pixel[2]] };
                *light = lightness(r, g, b);
                *rgb = [r.to_8(), g.to_8(), b.to_8()];
            }
        });
    let see_through = if N.is_multiple_of(2) {
        pixels.par_iter().filter(|pixel| pixel[N - 1].into() < T::FULL).count()
    } else {
        0
    };
    (light, rgb, see_through)
}

/// `n` pixels from `at`, forward (`step` 1) or backward (-1).
fn run<P>(pixels: &[P], at: isize, n: usize, step: isize) -> impl Iterator<Item = &P> {
    let at = at as usize;
    let (forward, backward) = if step > 0 {
        (&pixels[at..at + n], &pixels[..0])
    } else {
        (&pixels[..0], &pixels[at + 1 - n..=at])
    };
    forward.iter().chain(backward.iter().rev())
}

#[cfg(test)]
mod tests {
    use super::{lightness, upright};
    use crate::decode::exif::Turn;
    use image::{DynamicImage, GrayImage, ImageBuffer, Luma, RgbImage};

    /// Six pixels `abc / def`, stored; what must be shown for each EXIF number, written down by hand from the EXIF
    /// table "row 0 is at the visual ..., column 0 at the visual ..." (CIPA DC-008, tag 0x0112; recalled) and the same
    /// from Pillow 13.0 `ImageOps.exif_transpose`.
    const SHOWN: [(u64, &[&str]); 8] = [
        (1, &["abc", "def"]),
        (2, &["cba", "fed"]),
        (3, &["fed", "cba"]),
        (4, &["def", "abc"]),
        (5, &["ad", "be", "cf"]),
        (6, &["da", "eb", "fc"]),
        (7, &["fc", "eb", "da"]),
        (8, &["cf", "be", "ad"]),
    ];

    #[test]
    fn all_eight_turns_show_the_picture_upright() {
        let stored = GrayImage::from_raw(3, 2, b"abcdef".to_vec()).unwrap();
        for (number, rows) in SHOWN {
            let turn = Turn::from_exif(number).unwrap();
            for picture in [
                DynamicImage::ImageLuma8(stored.clone()),
                DynamicImage::ImageRgb8(DynamicImage::ImageLuma8(stored.clone()).to_rgb8()),
            ] {
                let shown = upright(picture, turn).unwrap();
                assert_eq!(
                    (shown.width as usize, shown.height as usize),
                    (rows[0].len(), rows.len()),
                    "turn {number}"
                );
                let grey: Vec<u8> = shown.rgb.chunks(3).map(|p| p[1]).collect();
                assert_eq!(String::from_utf8(grey).unwrap(), rows.concat(), "turn {number}");
                let light: Vec<u16> = rows.concat().bytes().map(|b| 257 * u16::from(b)).collect();
                assert_eq!(shown.lightness, light, "turn {number}");
            }
            assert_eq!(turn.mirrors(), [2, 4, 5, 7].contains(&number));
        }
        assert_eq!((Turn::from_exif(0), Turn::from_exif(9)), (None, None));
    }

    /// Sixteen-bit grey must arrive untouched: all 65 536 levels.
    #[test]
    fn sixteen_bit_grey_is_kept_level_by_level() {
        let levels: Vec<u16> = (0..=u16::MAX).collect();
        let picture = ImageBuffer::<Luma<u16>, _>::from_raw(256, 256, levels.clone()).unwrap();
        let shown = upright(DynamicImage::ImageLuma16(picture), Turn::None).unwrap();
        assert_eq!(shown.lightness, levels);
        assert_eq!((shown.rgb[0], shown.rgb[3 * 65_535]), (0, 255));
    }

    /// Rec. 709 by hand: red 0.2126 x 65 535 = 13 932.7, green 0.7152 -> 46 870.6, blue 0.0722 -> 4731.6.
    #[test]
    fn lightness_has_the_rec_709_weights() {
        assert_eq!(
            [lightness(255_u8, 0, 0), lightness(0_u8, 255, 0), lightness(0_u8, 0, 255)],
            [13_933, 46_871, 4_732]
        );
        assert_eq!(
            [lightness(65_535_u16, 0, 0), lightness(0_u16, 65_535, 0), lightness(0_u16, 0, 65_535)],
            [13_933, 46_871, 4_732]
        );
        assert!((0..=255_u8).all(|v| lightness(v, v, v) == 257 * u16::from(v)));
    }

    /// A picture larger than one band, with sides that no band divides, against the plain definition of a turn.
    #[test]
    fn bands_do_not_show_in_a_turned_picture() {
        let (w, h) = (37, 53);
        let stored = RgbImage::from_fn(w, h, |x, y| image::Rgb([x as u8, y as u8, (x * y) as u8]));
        for number in 1..=8 {
            let turn = Turn::from_exif(number).unwrap();
            let shown = upright(DynamicImage::ImageRgb8(stored.clone()), turn).unwrap();
            let mut plain = DynamicImage::ImageRgb8(stored.clone());
            plain.apply_orientation(image::metadata::Orientation::from_exif(number as u8).unwrap());
            assert_eq!(shown.rgb, plain.to_rgb8().into_raw(), "turn {number}");
        }
    }
}
