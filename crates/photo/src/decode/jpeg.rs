//! A JPEG's build, walked before any pixel is decoded: size, coding, turn, and whether the file is whole.
//!
//! The pixel decoder fills missing data and says nothing, so the walk looks for the end mark itself, and [`whole`]
//! counts the blocks.

pub(super) mod whole;

use super::{DecodeError, Format, Head, exif};

/// Walks the segments; a file without a frame header is refused.
pub(super) fn head(bytes: &[u8]) -> Result<Head, DecodeError> {
    let mut head = Head { bits: 8, ..Head::default() };
    let mut at = 2;
    let mut exif_seen = false;
    loop {
        let Some(marker_at) = marker_from(bytes, at) else {
            head.missing = Some("its end mark");
            break;
        };
        let marker = bytes.get(marker_at + 1).copied().unwrap_or(0);
        at = marker_at + 2;
        if marker == 0xD9 {
            break;
        }
        if marker == 0x01 || (0xD0..=0xD8).contains(&marker) {
            continue;
        }
        let body = match (bytes.get(at), bytes.get(at + 1)) {
            (Some(high), Some(low)) => {
                let length = usize::from(*high) << 8 | usize::from(*low);
                if length < 2 {
                    return Err(DecodeError::Damaged {
                        format: Format::Jpeg,
                        why: format!("segment {marker:02X} is shorter than its own length"),
                    });
                }
                bytes.get(at + 2..at + length)
            }
            _ => None,
        };
        let Some(body) = body else {
            head.missing = Some("the rest of a header segment");
            break;
        };
        at += body.len() + 2;
        match marker {
            0xC0..=0xC3 | 0xC5..=0xC7 | 0xC9..=0xCB | 0xCD..=0xCF => {
                frame(marker, body, &mut head)?
            }
            0xE1 if !exif_seen && body.starts_with(b"Exif\0\0") => {
                exif_seen = true;
                (head.turn, head.camera) = exif::read(body);
            }
            0xDA if head.width == 0 => {
                return Err(DecodeError::Damaged {
                    format: Format::Jpeg,
                    why: "pixel data come before the frame header".to_owned(),
                });
            }
            _ => {}
        }
    }
    if head.width == 0 {
        return Err(DecodeError::EndsEarly {
            format: Format::Jpeg,
            bytes: bytes.len(),
            missing: head.missing.unwrap_or("its frame header"),
        });
    }
    Ok(head)
}

/// The next marker at or after `at`: skips fill bytes, stuffed zeros and restart marks of the packed data.
fn marker_from(bytes: &[u8], mut at: usize) -> Option<usize> {
    loop {
        let rest = bytes.get(at..)?;
        at += rest.iter().position(|byte| *byte == 0xFF)?;
        match bytes.get(at + 1)? {
            0x00 | 0xD0..=0xD7 => at += 2,
            0xFF => at += 1,
            _ => return Some(at),
        }
    }
}

/// The frame header: bits, height, width, number of colour components.
fn frame(marker: u8, body: &[u8], head: &mut Head) -> Result<(), DecodeError> {
    let coding = match marker {
        0xC0..=0xC2 => None,
        0xC3 => Some("lossless coding"),
        0xC9..=0xCB | 0xCD..=0xCF => Some("arithmetic coding"),
        _ => Some("hierarchical coding"),
    };
    if let Some(coding) = coding {
        return Err(DecodeError::NotRead { format: Format::Jpeg, what: coding.to_owned() });
    }
    let [bits, h1, h0, w1, w0, components, ..] = *body else {
        return Err(DecodeError::Damaged {
            format: Format::Jpeg,
            why: "the frame header is too short".to_owned(),
        });
    };
    if bits != 8 {
        return Err(DecodeError::NotRead {
            format: Format::Jpeg,
            what: format!("{bits} bits per sample"),
        });
    }
    head.width = u32::from(w1) << 8 | u32::from(w0);
    head.height = u32::from(h1) << 8 | u32::from(h0);
    if head.width == 0 || head.height == 0 {
        return Err(DecodeError::NotRead {
            format: Format::Jpeg,
            what: "a size given only after the pixels".to_owned(),
        });
    }
    if components == 4 {
        head.remarks.push("stored in print colours (CMYK); converted to red, green, blue without a colour profile".to_owned());
    }
    Ok(())
}
