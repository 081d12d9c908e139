//! What a file is, by its first bytes and never by its name.
//!
//! Not covered: telling apart camera makers' raw files that start like a TIFF; those are told by their tags, in the
//! TIFF reader.

/// A kind of file, told by its first bytes.
///
/// [`words`](Self::words) and [`usual_endings`](Self::usual_endings) let the caller say that a file's ending and its
/// content disagree; the content decides.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Format {
    /// JPEG, read here.
    Jpeg,
    /// PNG, read here.
    Png,
    /// TIFF (or `BigTIFF`), read here.
    Tiff,
    /// WebP, read here.
    WebP,
    /// GIF: at most 256 colours.
    Gif,
    /// Windows bitmap.
    Bmp,
    /// HEIC or HEIF, what many phones store by default.
    Heic,
    /// AVIF.
    Avif,
    /// JPEG XL.
    JpegXl,
    /// JPEG 2000.
    Jpeg2000,
    /// A camera maker's raw file (CR2, CR3, NEF, ARW, DNG, ORF, RW2, RAF).
    Raw,
    /// A PDF document.
    Pdf,
    /// A layered picture-editor file (PSD).
    Psd,
    /// A film (MP4, MOV).
    Film,
    /// A ZIP archive, also the container of office documents.
    Zip,
    /// Text: HTML, XML, SVG, e-mail.
    Text,
}

impl Format {
    /// Tells the kind from the first bytes, or `None` when they fit nothing known here.
    pub fn of(bytes: &[u8]) -> Option<Self> {
        let starts = |magic: &[u8]| bytes.starts_with(magic);
        if starts(b"\xFF\xD8\xFF") {
            return Some(Self::Jpeg);
        }
        if starts(b"\x89PNG\r\n\x1A\n") {
            return Some(Self::Png);
        }
        if starts(b"II\x2A\0") || starts(b"MM\0\x2A") || starts(b"II\x2B\0") || starts(b"MM\0\x2B")
        {
            return Some(if bytes.get(8..10) == Some(b"CR") { Self::Raw } else { Self::Tiff });
        }
        if starts(b"IIRO")
            || starts(b"IIRS")
            || starts(b"MMOR")
            || starts(b"IIU\0")
            || starts(b"FUJIFILMCCD-RAW")
        {
            return Some(Self::Raw);
        }
        if starts(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
            return Some(Self::WebP);
        }
        if starts(b"GIF87a") || starts(b"GIF89a") {
            return Some(Self::Gif);
        }
        if starts(b"BM") && bytes.get(6..10) == Some(&[0; 4]) {
            return Some(Self::Bmp);
        }
        if bytes.get(4..8) == Some(b"ftyp") {
            return Some(match bytes.get(8..12) {
                Some(
                    b"heic" | b"heix" | b"hevc" | b"hevx" | b"heim" | b"heis" | b"mif1" | b"msf1",
                ) => Self::Heic,
                Some(b"avif" | b"avis") => Self::Avif,
                Some(b"crx ") => Self::Raw,
                _ => Self::Film,
            });
        }
        if starts(b"\xFF\x0A") || starts(b"\0\0\0\x0CJXL ") {
            return Some(Self::JpegXl);
        }
        if starts(b"\xFF\x4F\xFF\x51") || starts(b"\0\0\0\x0CjP  ") {
            return Some(Self::Jpeg2000);
        }
        if starts(b"%PDF") {
            return Some(Self::Pdf);
        }
        if starts(b"8BPS") {
            return Some(Self::Psd);
        }
        if starts(b"PK\x03\x04") {
            return Some(Self::Zip);
        }
        let text = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
        if text.first() == Some(&b'<') || starts(b"From: ") || starts(b"MIME-Version") {
            return Some(Self::Text);
        }
        None
    }

    /// The kind in words, with its article left out: "JPEG picture", "PDF document".
    pub fn words(self) -> &'static str {
        match self {
            Self::Jpeg => "JPEG picture",
            Self::Png => "PNG picture",
            Self::Tiff => "TIFF picture",
            Self::WebP => "WebP picture",
            Self::Gif => "GIF picture",
            Self::Bmp => "BMP picture",
            Self::Heic => "HEIC picture",
            Self::Avif => "AVIF picture",
            Self::JpegXl => "JPEG XL picture",
            Self::Jpeg2000 => "JPEG 2000 picture",
            Self::Raw => "camera raw file",
            Self::Pdf => "PDF document",
            Self::Psd => "PSD picture-editor file",
            Self::Film => "film",
            Self::Zip => "ZIP archive or office document",
            Self::Text => "text file (web page, drawing or e-mail)",
        }
    }

    /// The name endings that go with this kind, lower case and without the dot; the first is the commonest.
    pub fn usual_endings(self) -> &'static [&'static str] {
        match self {
            Self::Jpeg => &["jpg", "jpeg", "jpe", "jfif", "mpo"],
            Self::Png => &["png", "apng"],
            Self::Tiff => &["tif", "tiff"],
            Self::WebP => &["webp"],
            Self::Gif => &["gif"],
            Self::Bmp => &["bmp", "dib"],
            Self::Heic => &["heic", "heif", "hif"],
            Self::Avif => &["avif"],
            Self::JpegXl => &["jxl"],
            Self::Jpeg2000 => &["jp2", "j2k", "jpx"],
            Self::Raw => &["dng", "cr2", "cr3", "nef", "arw", "orf", "rw2", "raf"],
            Self::Pdf => &["pdf"],
            Self::Psd => &["psd", "psb"],
            Self::Film => &["mp4", "mov", "m4v"],
            Self::Zip => &["zip", "docx", "xlsx", "pptx", "odt"],
            Self::Text => &["html", "xml", "svg", "eml", "txt"],
        }
    }

    /// What to do with a file of this kind so that it can be read here.
    pub(crate) fn advice(self) -> &'static str {
        match self {
            Self::Heic => {
                "save it as JPEG: on an iPhone set Settings, Camera, Formats to 'Most Compatible' and photograph again, or send the \
                 photo by e-mail, which converts it; on a computer open it in the photo viewer and export as JPEG or TIFF"
            }
            Self::Avif | Self::JpegXl | Self::Jpeg2000 | Self::Bmp => {
                "open it in a picture viewer and save it as PNG or TIFF, without changing its size"
            }
            Self::Gif => {
                "a GIF has at most 256 colours and may move; go back to the camera's or microscope's own file, or save one frame as PNG"
            }
            Self::Raw => {
                "export it from the camera's software as 16-bit TIFF or as JPEG, at full size"
            }
            Self::Pdf => {
                "take the picture out of the document at its full size (not a screenshot) and save it as PNG or TIFF"
            }
            Self::Psd => "flatten it and export it as TIFF or PNG, without changing its size",
            Self::Film => "photograph the section as a still picture and save it as JPEG",
            Self::Zip => "unpack it first, and give the picture file itself",
            Self::Text => {
                "give the picture file itself (JPEG, PNG, TIFF or WebP); a saved web page or a drawing is not a photograph"
            }
            Self::Jpeg | Self::Png | Self::Tiff | Self::WebP => "save it again as PNG or TIFF",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Format;

    /// First bytes as the formats' own documents give them (common knowledge, recalled).
    #[test]
    fn a_file_is_told_by_its_first_bytes() {
        let kinds: [(&[u8], Format); 15] = [
            (b"\xFF\xD8\xFF\xE0", Format::Jpeg),
            (b"\x89PNG\r\n\x1A\n", Format::Png),
            (b"II\x2A\0\x08\0\0\0\x01\0", Format::Tiff),
            (b"MM\0\x2A\0\0\0\x08", Format::Tiff),
            (b"RIFF\x10\0\0\0WEBPVP8 ", Format::WebP),
            (b"GIF89a", Format::Gif),
            (b"BM\x36\0\x0C\0\0\0\0\0\x36\0", Format::Bmp),
            (b"\0\0\0\x18ftypheic", Format::Heic),
            (b"\0\0\0\x18ftypmif1", Format::Heic),
            (b"\0\0\0\x18ftypcrx ", Format::Raw),
            (b"II\x2A\0\x10\0\0\0CR\x02\0", Format::Raw),
            (b"\0\0\0\x18ftypisom", Format::Film),
            (b"%PDF-1.7", Format::Pdf),
            (b"PK\x03\x04", Format::Zip),
            (b"<svg xmlns", Format::Text),
        ];
        for (bytes, kind) in kinds {
            assert_eq!(Format::of(bytes), Some(kind), "{bytes:?}");
        }
        assert_eq!(Format::of(b""), None);
        assert_eq!(Format::of(b"hello"), None);
    }
}
