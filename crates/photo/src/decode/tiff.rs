//! A TIFF's first page, its tags walked before any pixel is decoded.
//!
//! Read: 1, 8 and 16 bits; grey, red-green-blue, with see-through channel, CMYK, 8-bit palette; stored plain or packed
//! by LZW, deflate or `PackBits`; strips or tiles; either byte order; `BigTIFF`. Everything else is refused by name.
//!
//! The pixel decoder does not know palettes. A palette picture is handed to it as a grey one (one tag changed in a
//! copy of the file), and the colours are put in afterwards.
//! Not covered: pages after the first; JPEG or fax packing inside TIFF; 32-bit and floating samples.

use super::ifd::{Directory, Tags};
use super::{DecodeError, Format, Head, exif};

/// More pages than this are counted as this many.
const MAX_PAGES: usize = 1000;

const NEW_SUBFILE_TYPE: u16 = 254;
const WIDTH: u16 = 256;
const HEIGHT: u16 = 257;
const BITS: u16 = 258;
const PACKING: u16 = 259;
const COLOURS: u16 = 262;
const STRIP_OFFSETS: u16 = 273;
const SAMPLES: u16 = 277;
const STRIP_BYTES: u16 = 279;
const COLOUR_MAP: u16 = 320;
const TILE_OFFSETS: u16 = 324;
const TILE_BYTES: u16 = 325;
const SUB_DIRECTORIES: u16 = 330;
const SAMPLE_FORMAT: u16 = 339;
const DNG_VERSION: u16 = 50706;

fn not_read(what: String) -> DecodeError {
    DecodeError::NotRead { format: Format::Tiff, what }
}

/// Walks the first page's tags and counts the pages.
pub(super) fn head(bytes: &[u8]) -> Result<Head, DecodeError> {
    let early =
        |missing| DecodeError::EndsEarly { format: Format::Tiff, bytes: bytes.len(), missing };
    let (tags, first) = Tags::open(bytes).ok_or_else(|| early("its heading"))?;
    let page = tags.directory(first).ok_or_else(|| early("its first page's tags"))?;
    let one = |tag| tags.first(&page, tag);
    let preview = one(NEW_SUBFILE_TYPE).is_some_and(|kind| kind & 1 != 0)
        && page.entry(SUB_DIRECTORIES).is_some();
    if preview || page.entry(DNG_VERSION).is_some() || one(COLOURS) == Some(32803) {
        return Err(DecodeError::OtherFormat { format: Format::Raw });
    }
    let side = |tag| one(tag).and_then(|n| u32::try_from(n).ok()).filter(|n| *n > 0);
    let (Some(width), Some(height)) = (side(WIDTH), side(HEIGHT)) else {
        return Err(DecodeError::Damaged {
            format: Format::Tiff,
            why: "the first page gives no width or height".to_owned(),
        });
    };
    let (turn, camera) = exif::of_directory(tags, &page);
    let mut head = Head { width, height, turn, camera, ..Head::default() };

    let bits = tags.numbers(&page, BITS).unwrap_or_else(|| vec![1]);
    let per_sample = bits.first().copied().unwrap_or(1);
    let samples = one(SAMPLES).unwrap_or(1);
    let colours = one(COLOURS).unwrap_or(1);
    let known = match (colours, per_sample) {
        (0 | 1, 1) => samples == 1,
        (0..=2 | 5, 8 | 16) => true,
        (3, 8) => samples == 1,
        _ => false,
    };
    if bits.iter().any(|b| *b != per_sample) || !known {
        return Err(not_read(format!(
            "{samples} x {per_sample} bits of {}",
            colour_words(colours)
        )));
    }
    head.bits = u8::try_from(per_sample).unwrap_or(8);
    if let Some(format) =
        tags.numbers(&page, SAMPLE_FORMAT).and_then(|all| all.into_iter().find(|f| *f != 1))
    {
        return Err(not_read(format!("sample format {format} (not whole positive numbers)")));
    }
    if let Some(packing) = packing_not_read(one(PACKING).unwrap_or(1)) {
        return Err(not_read(packing));
    }
    if colours == 5 {
        head.remarks.push("stored in print colours (CMYK); converted to red, green, blue without a colour profile".to_owned());
    }
    if colours == 3 {
        head.palette = Some(
            palette(tags, &page)
                .ok_or_else(|| not_read("a palette picture without its palette".to_owned()))?,
        );
    }
    head.missing = missing(bytes, tags, &page);
    let pages = pages(tags, first);
    if pages > 1 {
        let many = if pages >= MAX_PAGES { " or more" } else { "" };
        head.remarks.push(format!(
            "holds {pages}{many} pages; only the first ({width} x {height} px) was read"
        ));
    }
    Ok(head)
}

/// The same file with its palette numbers declared as grey levels.
pub(super) fn as_grey(bytes: &[u8]) -> Option<Vec<u8>> {
    let (tags, first) = Tags::open(bytes)?;
    let at = tags.directory(first)?.entry(COLOURS)?.at;
    let mut copy = bytes.to_vec();
    let value = if tags.big_endian() { [0, 1] } else { [1, 0] };
    copy.get_mut(at..at.checked_add(2)?)?.copy_from_slice(&value);
    Some(copy)
}

/// 256 colours out of the map's 3 x 256 numbers of 16 bits; a map written in 8 bits by mistake is seen by its size.
fn palette(tags: Tags<'_>, page: &Directory) -> Option<Vec<[u8; 3]>> {
    let map = tags.numbers(page, COLOUR_MAP)?;
    if map.len() != 768 {
        return None;
    }
    let shift = if map.iter().all(|n| *n < 256) { 0 } else { 8 };
    let level = |i: usize| map.get(i).map_or(0, |n| u8::try_from(n >> shift & 0xFF).unwrap_or(0));
    Some((0..256).map(|i| [level(i), level(256 + i), level(512 + i)]).collect())
}

/// Does every strip or tile lie inside the file?
fn missing(bytes: &[u8], tags: Tags<'_>, page: &Directory) -> Option<&'static str> {
    let (offsets, sizes) = if page.entry(TILE_OFFSETS).is_some() {
        (TILE_OFFSETS, TILE_BYTES)
    } else {
        (STRIP_OFFSETS, STRIP_BYTES)
    };
    let (Some(offsets), Some(sizes)) = (tags.numbers(page, offsets), tags.numbers(page, sizes))
    else {
        return Some("the list of its strips");
    };
    let length = bytes.len() as u64;
    let whole = offsets
        .iter()
        .zip(&sizes)
        .all(|(at, size)| at.checked_add(*size).is_some_and(|end| end <= length));
    if whole && !offsets.is_empty() && offsets.len() == sizes.len() {
        None
    } else {
        Some("pixel strips that its tags announce")
    }
}

/// Counts the pages by following the chain, which may be a loop in a damaged file.
fn pages(tags: Tags<'_>, first: u64) -> usize {
    let mut seen = vec![first];
    while seen.len() < MAX_PAGES {
        let Some(next) = seen.last().and_then(|at| tags.directory(*at)).map(|page| page.next)
        else {
            break;
        };
        if next == 0 || seen.contains(&next) || tags.directory(next).is_none() {
            break;
        }
        seen.push(next);
    }
    seen.len()
}

fn colour_words(colours: u64) -> String {
    match colours {
        0 | 1 => "grey".to_owned(),
        2 => "red-green-blue".to_owned(),
        3 => "palette".to_owned(),
        5 => "CMYK".to_owned(),
        6 => "YCbCr".to_owned(),
        8 => "CIE Lab".to_owned(),
        other => format!("colour model {other}"),
    }
}

/// The packing in words, when it is one that is not read.
fn packing_not_read(packing: u64) -> Option<String> {
    let name = match packing {
        1 | 5 | 8 | 32773 | 32946 => return None,
        2..=4 => "fax packing",
        6 | 7 => "JPEG packing inside TIFF",
        34712 => "JPEG 2000 packing inside TIFF",
        34925 => "LZMA packing",
        50000 => "Zstandard packing",
        50001 => "WebP packing inside TIFF",
        other => return Some(format!("packing number {other}")),
    };
    Some(name.to_owned())
}
