//! Photograph files, read and refused.
//!
//! The small pictures are described in `files/README.md`: six tiles of 32 px, `abc / def`, each of one colour.

use photo::decode::{Camera, DecodeError, Format, Photo, Turn, decode};
use proptest::prelude::*;
use std::path::PathBuf;

/// Colours of the tiles a to f, as drawn.
const TILES: [[u8; 3]; 6] =
    [[230, 30, 40], [40, 200, 60], [50, 70, 220], [240, 220, 60], [20, 20, 20], [235, 235, 235]];

macro_rules! small {
    ($name:literal) => {
        include_bytes!(concat!("files/", $name)).as_slice()
    };
}

/// The colour in the middle of each tile, row by row.
fn tiles(photo: &Photo) -> Vec<[u8; 3]> {
    let (across, down) = (photo.width / 32, photo.height / 32);
    let middle = |i: u32| {
        let at = 3 * ((i / across * 32 + 16) * photo.width + i % across * 32 + 16) as usize;
        [photo.rgb[at], photo.rgb[at + 1], photo.rgb[at + 2]]
    };
    (0..across * down).map(middle).collect()
}

fn furthest(a: &[[u8; 3]], b: &[[u8; 3]]) -> u8 {
    assert_eq!(a.len(), b.len());
    a.as_flattened().iter().zip(b.as_flattened()).map(|(x, y)| x.abs_diff(*y)).max().unwrap_or(0)
}

/// Tolerance 2 levels for JPEG and lossy WebP: Pillow 13.0 gives these same pictures within 2 of the drawn colours, and
/// two JPEG decoders may round apart by 1. Everything else is exact.
#[test]
fn every_kind_that_is_read_gives_the_drawn_colours() {
    let exact: [(&str, &[u8], Format, u8); 14] = [
        ("png", small!("tiles.png"), Format::Png, 8),
        ("png, palette of 4 bits", small!("tiles-palette.png"), Format::Png, 4),
        ("png, see-through", small!("tiles-rgba.png"), Format::Png, 8),
        ("tiff, plain", small!("tiles-plain.tif"), Format::Tiff, 8),
        ("tiff, LZW", small!("tiles-lzw.tif"), Format::Tiff, 8),
        ("tiff, PackBits", small!("tiles-packbits.tif"), Format::Tiff, 8),
        ("tiff, palette", small!("tiles-palette.tif"), Format::Tiff, 8),
        ("tiff, see-through", small!("tiles-rgba.tif"), Format::Tiff, 8),
        ("tiff, 16 bits, deflate", small!("tiles16-deflate.tif"), Format::Tiff, 16),
        ("tiff, planes apart", small!("tiles-planar.tif"), Format::Tiff, 8),
        ("tiff, stored in tiles", small!("tiles-tiled.tif"), Format::Tiff, 8),
        ("tiff, CMYK", small!("tiles-cmyk.tif"), Format::Tiff, 8),
        ("webp, lossless", small!("tiles-lossless.webp"), Format::WebP, 8),
        ("png, moving", small!("tiles-animated.png"), Format::Png, 8),
    ];
    for (name, bytes, format, bits) in exact {
        let photo = decode(bytes).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert_eq!(
            (photo.format, photo.width, photo.height, photo.bits, photo.turned),
            (format, 96, 64, bits, Turn::None),
            "{name}"
        );
        assert_eq!(tiles(&photo), TILES, "{name}");
    }
    for (name, bytes) in [
        ("jpeg", small!("tiles.jpg")),
        ("jpeg, progressive", small!("tiles-progressive.jpg")),
        ("jpeg, CMYK, inverted (Adobe)", small!("tiles-cmyk-adobe.jpg")),
        ("jpeg, YCCK", small!("tiles-ycck.jpg")),
    ] {
        let photo = decode(bytes).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert_eq!(
            (photo.format, photo.width, photo.height, photo.bits),
            (Format::Jpeg, 96, 64, 8),
            "{name}"
        );
        assert!(furthest(&tiles(&photo), &TILES) <= 2, "{name}: {:?}", tiles(&photo));
    }
    // Grey levels of the same tiles by the weights 0.2126, 0.7152, 0.0722, by hand: a 73.2, b 155.9, c 76.6, d 212.7.
    let grey = [73, 156, 77, 213, 20, 235].map(|v| [v; 3]);
    for (name, bytes) in [
        ("tiff", small!("tiles-grey.tif")),
        ("tiff, white is zero", small!("tiles-white-is-zero.tif")),
        ("jpeg", small!("tiles-grey.jpg")),
    ] {
        let photo = decode(bytes).unwrap();
        assert!(
            furthest(&tiles(&photo), &grey) <= u8::from(name == "jpeg"),
            "grey {name}: {:?}",
            tiles(&photo)
        );
    }
}

/// The ramp rises by 10 a pixel, so every low byte counts: 0, 10, ... 61 430.
#[test]
fn sixteen_bits_arrive_whole() {
    let ramp: Vec<u16> = (0..96 * 64).map(|i| 10 * i).collect();
    for (name, bytes) in [
        ("tiff, LZW", small!("ramp16.tif")),
        ("big tiff, big-endian, deflate", small!("ramp16-big.tif")),
        ("png", small!("ramp16.png")),
    ] {
        let photo = decode(bytes).unwrap();
        assert_eq!(photo.bits, 16, "{name}");
        assert_eq!(photo.lightness, ramp, "{name}");
    }
}

/// An EXIF block that holds the turn alone, in either byte order.
fn exif_block(turn: u8, big_endian: bool) -> Vec<u8> {
    let mut block = Vec::new();
    if big_endian {
        block.extend(b"MM\0\x2A\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0");
        block.extend([turn, 0, 0, 0, 0, 0, 0]);
    } else {
        block.extend(b"II\x2A\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0");
        block.extend([turn, 0, 0, 0, 0, 0, 0, 0]);
    }
    block
}

fn with_exif(jpeg: &[u8], block: &[u8]) -> Vec<u8> {
    let mut body = b"Exif\0\0".to_vec();
    body.extend(block);
    let mut bytes = jpeg[..2].to_vec();
    bytes.extend([0xFF, 0xE1]);
    bytes.extend(u16::try_from(body.len() + 2).expect("a short block").to_be_bytes());
    bytes.extend(body);
    bytes.extend(&jpeg[2..]);
    bytes
}

fn png_with_exif_at_end(png: &[u8], block: &[u8]) -> Vec<u8> {
    let mut chunk = b"eXIf".to_vec();
    chunk.extend(block);
    let crc = !chunk.iter().fold(u32::MAX, |crc, byte| {
        (0..8).fold(
            crc ^ u32::from(*byte),
            |c, _| if c & 1 == 1 { c >> 1 ^ 0xEDB8_8320 } else { c >> 1 },
        )
    });
    let end = png.len() - 12;
    let mut bytes = png[..end].to_vec();
    bytes.extend(u32::try_from(block.len()).expect("a short block").to_be_bytes());
    bytes.extend(chunk);
    bytes.extend(crc.to_be_bytes());
    bytes.extend(&png[end..]);
    bytes
}

/// What must be shown for each number; the table of CIPA DC-008 (recalled), and the same from Pillow 13.0.
#[test]
fn the_exif_turn_is_obeyed_in_every_kind_of_file() {
    let shown = [
        (1, 3, "abcdef"),
        (2, 3, "cbafed"),
        (3, 3, "fedcba"),
        (4, 3, "defabc"),
        (5, 2, "adbecf"),
        (6, 2, "daebfc"),
        (7, 2, "fcebda"),
        (8, 2, "cfbead"),
    ];
    for (turn, across, order) in shown {
        let wanted: Vec<[u8; 3]> =
            order.bytes().map(|tile| TILES[usize::from(tile - b'a')]).collect();
        let mut tiff = small!("tiles-turned-6.tif").to_vec();
        let at = tiff.windows(10).position(|w| w == [0x12, 1, 3, 0, 1, 0, 0, 0, 6, 0]).unwrap();
        tiff[at + 8] = turn;
        for (name, bytes) in [
            ("jpeg", with_exif(small!("tiles.jpg"), &exif_block(turn, false))),
            ("jpeg, big-endian", with_exif(small!("tiles.jpg"), &exif_block(turn, true))),
            (
                "png, after the pixels",
                png_with_exif_at_end(small!("tiles.png"), &exif_block(turn, true)),
            ),
            ("tiff", tiff),
        ] {
            let photo =
                decode(&bytes).unwrap_or_else(|error| panic!("{name}, turn {turn}: {error}"));
            assert_eq!(photo.width / 32, across, "{name}, turn {turn}");
            assert!(furthest(&tiles(&photo), &wanted) <= 2, "{name}, turn {turn}");
            assert_eq!(Turn::from_exif(turn.into()), Some(photo.turned), "{name}");
            let told = photo
                .remarks
                .iter()
                .any(|remark| remark.starts_with("the file asks for the picture to be mirrored"));
            assert_eq!(
                told,
                photo.turned.mirrors(),
                "{name}, turn {turn}: a mirrored section must be said"
            );
        }
    }
    let webp = decode(small!("tiles-turned-6.webp")).unwrap();
    assert_eq!((webp.width, webp.height, webp.turned), (64, 96, Turn::QuarterRight));
    assert!(
        furthest(&tiles(&webp), &[3, 0, 4, 1, 5, 2].map(|i| TILES[i])) <= 3,
        "{:?}",
        tiles(&webp)
    );
    assert_eq!(
        webp.camera,
        Camera { make: Some("Hollin".to_owned()), model: Some("Ferry 1".to_owned()), taken: None }
    );
    // A number that means nothing turns nothing.
    assert_eq!(
        decode(&with_exif(small!("tiles.jpg"), &exif_block(9, false))).unwrap().turned,
        Turn::None
    );
}

#[test]
fn what_was_left_out_is_said() {
    let remarks = |bytes| decode(bytes).unwrap().remarks;
    assert_eq!(
        remarks(small!("tiles-three-pages.tif")),
        ["holds 3 pages; only the first (96 x 64 px) was read"]
    );
    assert_eq!(
        remarks(small!("tiles-animated.webp")),
        ["a moving picture (animated WebP); only its first frame was read"]
    );
    assert_eq!(
        remarks(small!("tiles-animated.png")),
        ["a moving picture (animated PNG); only its still picture was read"]
    );
    assert_eq!(
        remarks(small!("tiles-rgba.tif")),
        ["64 of 6144 pixels are see-through; their stored colour was used as it is"]
    );
    assert_eq!(
        remarks(small!("tiles-cmyk-adobe.jpg")),
        ["stored in print colours (CMYK); converted to red, green, blue without a colour profile"]
    );
    assert_eq!(
        remarks(small!("tiles-1bit.tif")),
        ["only black and white are stored: an edge is no finer than one pixel"]
    );
    assert!(remarks(small!("tiles.jpg")).is_empty());
}

fn refused(bytes: &[u8]) -> DecodeError {
    let error = decode(bytes).map(|photo| photo.format).expect_err("a refusal");
    assert!(!error.advice().is_empty());
    error
}

#[test]
fn a_file_that_cannot_be_read_is_refused_with_the_fact() {
    let cases: [(&[u8], &str); 15] = [
        (b"", "the file is empty (0 bytes)"),
        (
            b"hello, weld",
            "the file starts with 68 65 6C 6C 6F 2C 20 77, which is no kind of picture known here",
        ),
        (small!("tiles.gif"), "the file is a GIF picture, which is not read here"),
        (
            b"\0\0\0\x18ftypheic\0\0\0\0mif1heic",
            "the file is a HEIC picture, which is not read here",
        ),
        (b"%PDF-1.7\n", "the file is a PDF document, which is not read here"),
        (b"II\x2A\0\x10\0\0\0CR\x02\0", "the file is a camera raw file, which is not read here"),
        (
            small!("claims-60000.png"),
            "the picture claims 60000 x 60000 px, 3600.0 megapixels; at most 20000 px a side and 100 megapixels are read",
        ),
        (
            small!("claims-9000.png"),
            "the file has 74 bytes and claims 9000 x 9000 px, more than 5000 pixels a byte; no photograph packs so tightly",
        ),
        (
            small!("one-pixel.png"),
            "the picture is 1 x 1 px; a section needs at least 64 px on its shorter side",
        ),
        (
            small!("small.png"),
            "the picture is 32 x 21 px; a section needs at least 64 px on its shorter side",
        ),
        (
            small!("float32.tif"),
            "the TIFF picture stores its pixels in a way that is not read here: 1 x 32 bits of grey",
        ),
        (
            small!("tiles-jpeg-inside.tif"),
            "the TIFF picture stores its pixels in a way that is not read here: JPEG packing inside TIFF",
        ),
        (
            &small!("tiles.jpg")[..700],
            "the JPEG picture ends after 700 bytes and lacks its end mark, so part of it is missing",
        ),
        (
            &small!("tiles-lossless.webp")[..80],
            "the WebP picture ends after 80 bytes and lacks the bytes its heading announces, so part of it is missing",
        ),
        (
            &small!("tiles.png")[..190],
            "the PNG picture ends after 190 bytes and lacks the rest of a chunk and its end chunk, so part of it is missing",
        ),
    ];
    for (bytes, fact) in cases {
        assert_eq!(refused(bytes).to_string(), fact);
    }
    assert!(refused(b"\0\0\0\x18ftypheic").advice().contains("Most Compatible"));
}

/// A cut file that a repair program closed again has its end mark; the blocks are counted.
#[test]
fn half_a_picture_is_never_given() {
    let closed = |bytes: &[u8], keep: usize| {
        let mut bytes = bytes[..keep].to_vec();
        bytes.extend([0xFF, 0xD9]);
        bytes
    };
    let jpeg = small!("tiles.jpg");
    assert_eq!(
        refused(&closed(jpeg, 760)).to_string(),
        "the JPEG picture ends after 762 bytes and lacks some of its blocks, so part of it is missing"
    );
    assert_eq!(
        refused(&closed(small!("tiles-progressive.jpg"), 364)).to_string(),
        "the JPEG picture ends after 366 bytes and lacks some of its scans, so part of it is missing"
    );
    // Every shorter beginning of every kind is refused, closed again or not. (A TIFF keeps its tags before or after the
    // pixels; both are here. The JPEG may lose its last 2 bytes of padding and keep every block.)
    for bytes in [
        jpeg,
        small!("tiles.png"),
        small!("tiles-lzw.tif"),
        small!("tiles-plain.tif"),
        small!("ramp16.tif"),
        small!("tiles-lossless.webp"),
        small!("tiles-turned-6.webp"),
    ] {
        assert!(decode(bytes).is_ok());
        for keep in 0..bytes.len() {
            assert!(
                decode(&bytes[..keep]).is_err(),
                "{:?} cut to {keep} of {} bytes",
                Format::of(bytes),
                bytes.len()
            );
        }
    }
    for keep in 2..jpeg.len() - 4 {
        assert!(
            decode(&closed(jpeg, keep)).is_err(),
            "JPEG cut to {keep} of {} bytes and closed again",
            jpeg.len()
        );
    }
}

/// Where the open data lie, when they do.
fn data() -> Option<PathBuf> {
    let beside = || PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../../../shared/data"));
    let folder = std::env::var_os("SEAMPROOF_DATA").map_or_else(beside, PathBuf::from);
    if folder.is_dir() { Some(folder) } else { None }
}

/// What a few pixels of the open photographs (see the data manifest) are in Pillow 13.0.
type Known = (&'static str, (u32, u32), u8, &'static [(u32, u32, [u8; 3])]);
const KNOWN: [Known; 6] = [
    (
        "sections/nanoMFG_lpbf/example_image_1.tif",
        (1600, 1200),
        0,
        &[
            (0, 0, [6, 7, 7]),
            (800, 600, [101, 93, 91]),
            (1599, 1199, [113, 111, 102]),
            (100, 1129, [255, 255, 255]),
            (685, 430, [114, 112, 104]),
        ],
    ),
    (
        "sections/nanoMFG_lpbf/example_image_3.png",
        (1600, 1200),
        4,
        &[
            (10, 10, [12, 12, 12]),
            (800, 600, [128, 123, 119]),
            (700, 300, [144, 142, 129]),
            (1590, 1190, [105, 104, 118]),
        ],
    ),
    (
        "sections/vcrti_unetched/unetched-1.jpg",
        (1048, 1048),
        4,
        &[(10, 10, [0, 0, 0]), (500, 500, [104, 104, 104]), (900, 300, [0, 0, 0])],
    ),
    (
        "bead_surface/bam_wid417/WID417_post.jpg",
        (5184, 3456),
        4,
        &[
            (10, 10, [255, 255, 255]),
            (2000, 1500, [132, 133, 135]),
            (4000, 3000, [34, 29, 25]),
            (5183, 3455, [30, 19, 17]),
        ],
    ),
    (
        "textures/nist_steel/grain_structures_steel.tif",
        (800, 600),
        0,
        &[(0, 0, [238; 3]), (400, 300, [237; 3]), (799, 599, [224; 3])],
    ),
    (
        "textures/decarb1045/str_1a3_full.png",
        (2566, 1500),
        0,
        &[(0, 0, [0; 3]), (1200, 700, [99; 3]), (2565, 1499, [247; 3])],
    ),
];

/// Lossless kinds exactly; JPEG within 4 levels, the largest difference over all pixels of these photographs (share of
/// values more than 2 apart: 0.05 % at most): the decoders smooth half-size colours differently.
#[test]
fn real_photographs_have_the_pixels_another_decoder_gives() {
    let Some(folder) = data() else {
        println!(
            "did not run: no folder SEAMPROOF_DATA and no ../shared/data beside the workspace"
        );
        return;
    };
    for (name, size, tolerance, pixels) in KNOWN {
        let Ok(bytes) = std::fs::read(folder.join(name)) else {
            println!("did not run for {name}: not there");
            continue;
        };
        let photo = decode(&bytes).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert_eq!((photo.width, photo.height), size, "{name}");
        for (x, y, wanted) in pixels {
            let at = (y * photo.width + x) as usize;
            assert!(
                furthest(
                    &[[photo.rgb[3 * at], photo.rgb[3 * at + 1], photo.rgb[3 * at + 2]]],
                    &[*wanted]
                ) <= tolerance,
                "{name} at ({x}, {y})"
            );
            let [r, g, b] = [0, 1, 2].map(|c| f64::from(photo.rgb[3 * at + c]));
            let light = 257.0 * (0.2126 * r + 0.7152 * g + 0.0722 * b);
            assert!(
                (f64::from(photo.lightness[at]) - light).abs() <= 0.501,
                "{name} at ({x}, {y})"
            );
        }
    }
}

const SEEDS: [&[u8]; 16] = [
    small!("tiles.jpg"),
    small!("tiles-progressive.jpg"),
    small!("tiles-grey.jpg"),
    small!("tiles-ycck.jpg"),
    small!("tiles.png"),
    small!("tiles-palette.png"),
    small!("tiles-animated.png"),
    small!("ramp16.png"),
    small!("tiles-lzw.tif"),
    small!("tiles-palette.tif"),
    small!("tiles-tiled.tif"),
    small!("tiles16-deflate.tif"),
    small!("ramp16-big.tif"),
    small!("tiles-lossless.webp"),
    small!("tiles-turned-6.webp"),
    small!("tiles-animated.webp"),
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 10_000, failure_persistence: None, ..ProptestConfig::default() })]

    /// Changed, cut, spliced or random bytes: an answer or a refusal, never a panic, and never more memory than the
    /// limits allow (on Linux the greatest address space of the process is looked at: 2.5 GB that 100 megapixels may
    /// take, and the test program itself, fit in 4 GiB).
    #[test]
    fn no_bytes_bring_the_reader_down(
        seed in 0..SEEDS.len(), other in 0..SEEDS.len(),
        changes in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..8),
        near_the_start in any::<bool>(), cut in proptest::option::weighted(0.3, any::<prop::sample::Index>()),
        splice in proptest::option::weighted(0.2, any::<prop::sample::Index>()),
        noise in proptest::option::weighted(0.1, proptest::collection::vec(any::<u8>(), 0..400)),
    ) {
        let mut bytes = SEEDS[seed].to_vec();
        if let Some(noise) = noise {
            bytes.truncate(12);
            bytes.extend(noise);
        }
        if let Some(splice) = splice {
            let at = splice.index(bytes.len().min(SEEDS[other].len()));
            bytes.truncate(at);
            bytes.extend(&SEEDS[other][at..]);
        }
        for (at, value) in changes {
            let reach = if near_the_start { bytes.len().min(200) } else { bytes.len() };
            let at = at.index(reach);
            bytes[at] = value;
        }
        if let Some(cut) = cut {
            let at = cut.index(bytes.len());
            bytes.truncate(at);
        }
        if let Ok(photo) = decode(&bytes) {
            let pixels = photo.width as usize * photo.height as usize;
            prop_assert_eq!((photo.lightness.len(), photo.rgb.len()), (pixels, 3 * pixels));
        }
        let peak_kb = std::fs::read_to_string("/proc/self/status").ok().and_then(|status| {
            status.lines().find_map(|line| line.strip_prefix("VmPeak:")?.trim().strip_suffix(" kB")?.parse::<u64>().ok())
        });
        prop_assert!(peak_kb.is_none_or(|kb| kb < 4 << 20), "the process took {peak_kb:?} kB");
    }
}
