//! Clean drawings of sections: mount, plates and fused zones, each of one grey, edges where they are said to be.
//!
//! A shape is given in millimetres, y up, and put on the picture by [`Drawing::px`]. The pixels hold the share of each
//! shape exactly along rows and by 8 lines down, so that an edge lies where it was drawn to better than 1/16 pixel.

use image::{DynamicImage, GrayImage, ImageEncoder, ImageFormat};
use std::fmt::Write;
use std::path::Path;

/// Greys of the mount, of the plates and of the fused zones.
const GREYS: [f64; 3] = [40.0, 190.0, 120.0];
/// Lines drawn in each row of pixels.
const LINES: usize = 8;

pub(crate) type Xy = [f64; 2];

/// A section to be drawn and read.
#[derive(Clone, Debug)]
pub(crate) struct Drawing {
    /// Picture, pixels.
    pub(crate) size: (u32, u32),
    /// Where (0, 0) mm lies, pixels.
    pub(crate) origin: Xy,
    /// Pixels to the millimetre.
    pub(crate) px_per_mm: f64,
    /// The word for the joint.
    pub(crate) joint: &'static str,
    /// Plates, drawn, mm.
    pub(crate) plates: Vec<Vec<Xy>>,
    /// Fields of `[plates]` with their points, mm.
    pub(crate) faces: Vec<(&'static str, Vec<Xy>)>,
    /// Further lines of `[plates]`.
    pub(crate) more: String,
    /// Fused zones with their side, mm.
    pub(crate) fused: Vec<(Option<&'static str>, Vec<Xy>)>,
    /// The length of the scale's 10 drawn millimetres, as it is written.
    pub(crate) ten_mm: &'static str,
    /// Moves every pixel place.
    pub(crate) moved: fn(Xy) -> Xy,
}

impl Drawing {
    fn px(&self, p: Xy) -> Xy {
        (self.moved)([
            self.origin[0] + self.px_per_mm * p[0],
            self.origin[1] - self.px_per_mm * p[1],
        ])
    }

    /// The picture.
    pub(crate) fn picture(&self) -> GrayImage {
        let (w, h) = (self.size.0 as usize, self.size.1 as usize);
        let mut grey = vec![GREYS[0]; w * h];
        let fused = self.fused.iter().map(|(_, shape)| shape);
        let shapes = self.plates.iter().map(|s| (s, GREYS[1])).chain(fused.map(|s| (s, GREYS[2])));
        for (shape, level) in shapes {
            let px: Vec<Xy> = shape.iter().map(|&p| self.px(p)).collect();
            let share = shares(&px, w, h);
            for (g, s) in grey.iter_mut().zip(&share) {
                *g += (level - *g) * s;
            }
        }
        let bytes = grey.iter().map(|g| g.round() as u8).collect();
        GrayImage::from_raw(self.size.0, self.size.1, bytes).unwrap()
    }

    /// The reading file for a photo of that name.
    pub(crate) fn reading_file(&self, photo: &str, trace: &str) -> String {
        let scale = [[-5.0, 0.0], [5.0, 0.0]].map(|p| {
            let middle = [f64::from(self.size.0) / 2.0, f64::from(self.size.1) / 2.0];
            [middle[0] + self.px_per_mm * p[0], middle[1]]
        });
        let mut text = format!("photo = \"{photo}\"\njoint = \"{}\"\netched = true\n", self.joint);
        write!(
            text,
            "[[scale]]\nfrom = {:?}\nto = {:?}\nlength = \"{}\"\n[plates]\n",
            scale[0], scale[1], self.ten_mm
        )
        .unwrap();
        let points = |points: &[Xy]| -> Vec<Xy> { points.iter().map(|&p| self.px(p)).collect() };
        for (field, face) in &self.faces {
            writeln!(text, "{field} = {:?}", points(face)).unwrap();
        }
        text.push_str(&self.more);
        for (side, shape) in &self.fused {
            text.push_str("[[fused]]\n");
            if let Some(side) = side {
                writeln!(text, "side = \"{side}\"").unwrap();
            }
            writeln!(text, "points = {:?}\ntrace = \"{trace}\"", points(shape)).unwrap();
        }
        text
    }

    /// Writes picture and reading file as NAME.png and NAME.toml; labels go to the top of the file.
    pub(crate) fn write(&self, folder: &Path, name: &str, labels: &str, trace: &str) {
        self.picture().save(folder.join(format!("{name}.png"))).unwrap();
        let text = self.reading_file(&format!("{name}.png"), trace);
        std::fs::write(folder.join(format!("{name}.toml")), format!("{labels}{text}")).unwrap();
    }
}

/// A PNG that is stored turned and asks, by EXIF turn 6, to be turned a quarter to the right.
pub(crate) fn stored_turned(picture: &GrayImage) -> Vec<u8> {
    let turned = image::imageops::rotate270(picture);
    let mut bytes = Vec::new();
    let mut encoder = image::codecs::png::PngEncoder::new(&mut bytes);
    // Little-endian TIFF header, one entry: 0x0112 (turn), type 3 (short), 1 value, 6.
    let exif =
        [b"II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0\x06\0\0\0\0\0\0\0".as_slice()].concat();
    encoder.set_exif_metadata(exif).unwrap();
    encoder
        .write_image(&turned, turned.width(), turned.height(), image::ExtendedColorType::L8)
        .unwrap();
    bytes
}

/// A picture as a file of some kind.
pub(crate) fn as_file(picture: &GrayImage, format: ImageFormat) -> Vec<u8> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    DynamicImage::from(picture.clone()).write_to(&mut bytes, format).unwrap();
    bytes.into_inner()
}

/// The share of each pixel that lies in a polygon, pixel centres at integers.
fn shares(shape: &[Xy], w: usize, h: usize) -> Vec<f64> {
    let mut share = vec![0.0; w * h];
    for line in 0..h * LINES {
        let y = (line as f64 + 0.5) / LINES as f64 - 0.5;
        let mut crossings: Vec<f64> = (0..shape.len())
            .filter_map(|i| {
                let (a, b) = (shape[i], shape[(i + 1) % shape.len()]);
                ((a[1] <= y) != (b[1] <= y))
                    .then(|| a[0] + (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1]))
            })
            .collect();
        crossings.sort_by(f64::total_cmp);
        let row = &mut share[line / LINES * w..][..w];
        for pair in crossings.chunks_exact(2) {
            let (from, to) = (pair[0].max(-0.5), pair[1].min(w as f64 - 0.5));
            for (x, s) in row.iter_mut().enumerate() {
                let (left, right) = (x as f64 - 0.5, x as f64 + 0.5);
                *s += (right.min(to) - left.max(from)).max(0.0) / LINES as f64;
            }
        }
    }
    share
}

fn as_given(p: Xy) -> Xy {
    p
}

/// A one-sided tee: upright 4 mm, base 4 mm, weld on the right.
///
/// ```text
///     │      │            zone: (4, 0) (0, 4) (-0.6, 2) (-1, 0) (1, -0.8)
///     │      ●  4
///     │     ╱│ ╲          legs 4 and 4, flat face x + y = 4, root P (-1, 0): penetration 1
///     │    ● │   ╲        below the base 0.8, into the upright at mid-leg 0.6
///   ──┴───P──C─────●──
/// ```
pub(crate) fn tee() -> Drawing {
    Drawing {
        size: (540, 400),
        origin: [210.0, 270.0],
        px_per_mm: 30.0,
        joint: "tee",
        plates: vec![vec![
            [-6.0, -4.0],
            [10.0, -4.0],
            [10.0, 0.0],
            [0.0, 0.0],
            [0.0, 8.0],
            [-4.0, 8.0],
            [-4.0, 0.0],
            [-6.0, 0.0],
        ]],
        faces: vec![
            ("base", vec![[5.0, 0.0], [9.0, 0.0]]),
            ("upright", vec![[0.0, 5.0], [0.0, 7.5]]),
        ],
        more: "upright_thickness = \"4 mm\"\n".to_owned(),
        fused: vec![(None, vec![[4.0, 0.0], [0.0, 4.0], [-0.6, 2.0], [-1.0, 0.0], [1.0, -0.8]])],
        ten_mm: "10 mm",
        moved: as_given,
    }
}

/// The same weld on both sides of the upright.
pub(crate) fn tee_both_sides() -> Drawing {
    let one = tee();
    let right = one.fused[0].1.clone();
    let left = right.iter().map(|p| [-4.0 - p[0], p[1]]).collect();
    Drawing {
        size: (700, 400),
        origin: [400.0, 270.0],
        plates: vec![vec![
            [-13.0, -4.0],
            [9.0, -4.0],
            [9.0, 0.0],
            [0.0, 0.0],
            [0.0, 8.0],
            [-4.0, 8.0],
            [-4.0, 0.0],
            [-13.0, 0.0],
        ]],
        faces: vec![
            ("base", vec![[-12.0, 0.0], [-9.0, 0.0], [5.0, 0.0], [8.0, 0.0]]),
            ("upright_left", vec![[-4.0, 5.0], [-4.0, 7.5]]),
            ("upright_right", vec![[0.0, 5.0], [0.0, 7.5]]),
        ],
        more: String::new(),
        fused: vec![(Some("left"), left), (Some("right"), right)],
        ..one
    }
}

/// A bead: 3 mm wide at the top, 6 at the surface, 3 at the bottom; 1 mm high, 2 deep.
pub(crate) fn bead() -> Drawing {
    Drawing {
        size: (540, 300),
        origin: [270.0, 120.0],
        joint: "bead",
        plates: vec![vec![[-8.0, 0.0], [8.0, 0.0], [8.0, -5.0], [-8.0, -5.0]]],
        faces: vec![("surface", vec![[-7.5, 0.0], [-5.0, 0.0], [5.0, 0.0], [7.5, 0.0]])],
        more: String::new(),
        fused: vec![(
            None,
            vec![[-3.0, 0.0], [-1.5, 1.0], [1.5, 1.0], [3.0, 0.0], [1.5, -2.0], [-1.5, -2.0]],
        )],
        ..tee()
    }
}

/// A butt in 5 mm: from the top 4 mm deep, 4 wide at the surface, 1 at the bottom; its face flush.
pub(crate) fn butt() -> Drawing {
    Drawing {
        size: (540, 300),
        origin: [270.0, 70.0],
        joint: "butt",
        plates: vec![vec![[-8.0, 0.0], [8.0, 0.0], [8.0, -5.0], [-8.0, -5.0]]],
        faces: vec![
            ("surface", vec![[-7.5, 0.0], [-4.0, 0.0], [4.0, 0.0], [7.5, 0.0]]),
            ("bottom", vec![[-7.5, -5.0], [-4.0, -5.0], [4.0, -5.0], [7.5, -5.0]]),
            ("joint_line", vec![[0.0, 0.0], [0.0, -5.0]]),
        ],
        fused: vec![(None, vec![[-2.0, 0.0], [2.0, 0.0], [0.5, -4.0], [-0.5, -4.0]])],
        ..bead()
    }
}

/// The same from both sides: 3 mm deep from the top, 2.5 from the bottom.
pub(crate) fn butt_both_sides() -> Drawing {
    Drawing {
        fused: vec![
            (Some("top"), vec![[-2.0, 0.0], [2.0, 0.0], [0.5, -3.0], [-0.5, -3.0]]),
            (Some("bottom"), vec![[-2.0, -5.0], [-0.5, -2.5], [0.5, -2.5], [2.0, -5.0]]),
        ],
        ..butt()
    }
}
