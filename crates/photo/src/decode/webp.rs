//! A WebP's chunks, walked before any pixel is decoded.
//!
//! The size in the file's heading and the size in the packed picture may differ in a hostile file, and the decoder
//! makes room for the packed one; so both are read here and must agree.

use super::{DecodeError, Format, Head, exif};

fn damaged(why: &str) -> DecodeError {
    DecodeError::Damaged { format: Format::WebP, why: why.to_owned() }
}

/// Walks the chunks.
pub(super) fn head(bytes: &[u8]) -> Result<Head, DecodeError> {
    let mut head = Head { bits: 8, ..Head::default() };
    let claimed =
        le(bytes, 4, 4).and_then(|n| usize::try_from(n).ok()).and_then(|n| n.checked_add(8));
    if claimed.is_none_or(|claimed| claimed > bytes.len()) {
        head.missing = Some("the bytes its heading announces");
    }
    let mut canvas = None;
    let mut packed = None;
    for (kind, body) in chunks(bytes.get(12..)) {
        match &kind {
            b"VP8X" => {
                canvas = size_24(body, 4);
                if body.first().is_some_and(|flags| flags & 2 != 0) {
                    head.remarks.push(
                        "a moving picture (animated WebP); only its first frame was read"
                            .to_owned(),
                    );
                }
            }
            b"VP8 " | b"VP8L" if packed.is_none() => packed = packed_size(&kind, body),
            b"ANMF" if packed.is_none() => {
                let frame =
                    size_24(body, 6).ok_or_else(|| damaged("a frame's heading is too short"))?;
                let inner =
                    chunks(body.get(16..)).find_map(|(kind, body)| packed_size(&kind, body));
                if inner.is_some_and(|inner| inner != frame) {
                    return Err(damaged(
                        "a frame's heading and its packed picture disagree on the size",
                    ));
                }
                if canvas.is_some_and(|(w, h)| frame.0 > w || frame.1 > h) {
                    return Err(damaged("a frame is larger than the picture"));
                }
                packed = canvas;
            }
            b"EXIF" => (head.turn, head.camera) = exif::read(body),
            _ => {}
        }
    }
    if let (Some(canvas), Some(packed)) = (canvas, packed)
        && canvas != packed
    {
        return Err(damaged("its heading and its packed picture disagree on the size"));
    }
    let Some((width, height)) = canvas.or(packed) else {
        return Err(DecodeError::EndsEarly {
            format: Format::WebP,
            bytes: bytes.len(),
            missing: head.missing.unwrap_or("its picture"),
        });
    };
    if width == 0 || height == 0 {
        return Err(damaged("it gives a side of 0 px"));
    }
    (head.width, head.height) = (width, height);
    Ok(head)
}

/// Little-endian number of `n` bytes at `at`.
fn le(bytes: &[u8], at: usize, n: usize) -> Option<u32> {
    Some(bytes.get(at..at + n)?.iter().rev().fold(0, |all, byte| all << 8 | u32::from(*byte)))
}

/// Width and height stored as two 24-bit numbers, each less one.
fn size_24(body: &[u8], at: usize) -> Option<(u32, u32)> {
    Some((le(body, at, 3)? + 1, le(body, at + 3, 3)? + 1))
}

/// The size inside a packed picture.
fn packed_size(kind: &[u8; 4], body: &[u8]) -> Option<(u32, u32)> {
    match kind {
        b"VP8 " => Some((le(body, 6, 2)? & 0x3FFF, le(body, 8, 2)? & 0x3FFF)),
        b"VP8L" => {
            let packed = le(body, 1, 4)?;
            Some(((packed & 0x3FFF) + 1, (packed >> 14 & 0x3FFF) + 1))
        }
        _ => None,
    }
}

/// Chunks one after the other; a chunk that runs past the end is given as far as it goes, and is the last.
struct Chunks<'a> {
    bytes: &'a [u8],
}

fn chunks(bytes: Option<&[u8]>) -> Chunks<'_> {
    Chunks { bytes: bytes.unwrap_or(&[]) }
}

impl<'a> Iterator for Chunks<'a> {
    type Item = ([u8; 4], &'a [u8]);

    fn next(&mut self) -> Option<Self::Item> {
        let kind = <[u8; 4]>::try_from(self.bytes.get(..4)?).ok()?;
        let length = usize::try_from(le(self.bytes, 4, 4)?).ok()?;
        let rest = self.bytes.get(8..)?;
        let body = rest.get(..length).unwrap_or(rest);
        self.bytes =
            length.checked_add(length & 1).and_then(|step| rest.get(step..)).unwrap_or(&[]);
        Some((kind, body))
    }
}
