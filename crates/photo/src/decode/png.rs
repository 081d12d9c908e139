//! A PNG's chunks, walked before any pixel is decoded.
//!
//! The decoder checks the checksum of every chunk it uses; the walk adds size, turn, whether it moves, and whether the
//! end chunk is there.

use super::{DecodeError, Format, Head, exif};

/// Walks the chunks; a file whose first chunk is not the header is refused.
pub(super) fn head(bytes: &[u8]) -> Result<Head, DecodeError> {
    let mut head = Head::default();
    let mut at = 8_usize;
    let mut first = true;
    loop {
        let Some(length) = bytes
            .get(at..at + 4)
            .and_then(|raw| <[u8; 4]>::try_from(raw).ok())
            .map(u32::from_be_bytes)
        else {
            head.missing = Some("its end chunk");
            break;
        };
        let length = usize::try_from(length).unwrap_or(usize::MAX);
        // The body and the 4 bytes of its check sum.
        let body = at
            .checked_add(8)
            .and_then(|start| bytes.get(start..start.checked_add(length)?.checked_add(4)?));
        let (Some(kind), Some([body @ .., _, _, _, _])) = (bytes.get(at + 4..at + 8), body) else {
            head.missing = Some("the rest of a chunk and its end chunk");
            break;
        };
        if first && kind != b"IHDR" {
            return Err(DecodeError::Damaged {
                format: Format::Png,
                why: "the first chunk is not the header".to_owned(),
            });
        }
        match kind {
            b"IHDR" if first => {
                let [w3, w2, w1, w0, h3, h2, h1, h0, bits, ..] = *body else {
                    return Err(DecodeError::Damaged {
                        format: Format::Png,
                        why: "the header is too short".to_owned(),
                    });
                };
                head.width = u32::from_be_bytes([w3, w2, w1, w0]);
                head.height = u32::from_be_bytes([h3, h2, h1, h0]);
                head.bits = bits;
            }
            b"eXIf" => (head.turn, head.camera) = exif::read(body),
            b"acTL" => head.remarks.push(
                "a moving picture (animated PNG); only its still picture was read".to_owned(),
            ),
            b"IEND" => break,
            _ => {}
        }
        first = false;
        at += length + 12;
    }
    if head.width == 0 || head.height == 0 {
        return Err(DecodeError::EndsEarly {
            format: Format::Png,
            bytes: bytes.len(),
            missing: head.missing.unwrap_or("its header"),
        });
    }
    Ok(head)
}
