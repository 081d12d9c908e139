//! The tag directories that TIFF files and EXIF blocks share: read with every length checked, nothing trusted.
//!
//! Not covered: signed, rational and floating values; nothing here needs them.

/// The most entries taken from one directory; real ones hold a few dozen.
const MAX_ENTRIES: u64 = 4096;

/// Bytes with the order of their numbers known.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tags<'a> {
    bytes: &'a [u8],
    big_endian: bool,
    wide: bool,
}

/// One directory: its entries, and where the next page's directory starts (0: none).
#[derive(Debug)]
pub(super) struct Directory {
    entries: Vec<Entry>,
    pub(super) next: u64,
}

/// One tag: its number, the size of its values, how many, and the byte where they start.
#[derive(Debug, Clone, Copy)]
pub(super) struct Entry {
    tag: u16,
    size: u64,
    count: u64,
    pub(super) at: usize,
}

impl<'a> Tags<'a> {
    /// Opens a block that starts with `II*` or `MM*` (or the wide `+` form); gives also where the first directory starts.
    pub(super) fn open(bytes: &'a [u8]) -> Option<(Self, u64)> {
        let (big_endian, wide) = match bytes.get(..4)? {
            b"II\x2A\0" => (false, false),
            b"MM\0\x2A" => (true, false),
            b"II\x2B\0" => (false, true),
            b"MM\0\x2B" => (true, true),
            _ => return None,
        };
        let tags = Self { bytes, big_endian, wide };
        let first = tags.number(if wide { 8 } else { 4 }, tags.width())?;
        Some((tags, first))
    }

    pub(super) fn big_endian(&self) -> bool {
        self.big_endian
    }

    /// Bytes of an offset or count: 4, or 8 in the wide form.
    fn width(&self) -> u64 {
        if self.wide { 8 } else { 4 }
    }

    fn number(&self, at: u64, size: u64) -> Option<u64> {
        let at = usize::try_from(at).ok()?;
        let raw = self.bytes.get(at..at.checked_add(usize::try_from(size).ok()?)?)?;
        let step = |n: u64, byte: &u8| (n << 8) | u64::from(*byte);
        Some(if self.big_endian {
            raw.iter().fold(0, step)
        } else {
            raw.iter().rev().fold(0, step)
        })
    }

    pub(super) fn directory(&self, at: u64) -> Option<Directory> {
        let (head, each) = if self.wide { (8, 20) } else { (2, 12) };
        let n = self.number(at, head)?;
        let start = at.checked_add(head)?;
        let mut entries = Vec::new();
        for i in 0..n.min(MAX_ENTRIES) {
            let here = start.checked_add(i * each)?;
            let tag = u16::try_from(self.number(here, 2)?).ok()?;
            let kind = self.number(here + 2, 2)?;
            let count = self.number(here + 4, self.width())?;
            let size = match kind {
                1 | 2 | 6 | 7 => 1,
                3 | 8 => 2,
                4 | 9 | 11 | 13 => 4,
                5 | 10 | 12 | 16 | 17 | 18 => 8,
                _ => continue,
            };
            let inline = here + 4 + self.width();
            let fits = count.checked_mul(size).is_some_and(|all| all <= self.width());
            let Some(at) = (if fits { Some(inline) } else { self.number(inline, self.width()) })
            else {
                continue;
            };
            let Ok(at) = usize::try_from(at) else { continue };
            entries.push(Entry { tag, size, count, at });
        }
        let next = n
            .checked_mul(each)
            .and_then(|all| start.checked_add(all))
            .and_then(|end| self.number(end, self.width()));
        Some(Directory { entries, next: next.unwrap_or(0) })
    }

    /// All whole numbers of a tag, or `None` when it is absent or runs past the end of the bytes.
    pub(super) fn numbers(&self, directory: &Directory, tag: u16) -> Option<Vec<u64>> {
        let entry = directory.entry(tag)?;
        let all = usize::try_from(entry.count.checked_mul(entry.size)?).ok()?;
        self.bytes.get(entry.at..entry.at.checked_add(all)?)?;
        let at = entry.at as u64;
        (0..entry.count).map(|i| self.number(at + i * entry.size, entry.size)).collect()
    }

    /// The first whole number of a tag.
    pub(super) fn first(&self, directory: &Directory, tag: u16) -> Option<u64> {
        let entry = directory.entry(tag)?;
        if entry.count == 0 { None } else { self.number(entry.at as u64, entry.size) }
    }

    /// A tag's text up to its closing zero, at most 200 characters and without control characters.
    pub(super) fn text(&self, directory: &Directory, tag: u16) -> Option<String> {
        let entry = directory.entry(tag)?;
        let raw =
            self.bytes.get(entry.at..entry.at.checked_add(usize::try_from(entry.count).ok()?)?)?;
        let raw = raw.split(|byte| *byte == 0).next()?;
        let text: String =
            String::from_utf8_lossy(raw).chars().filter(|c| !c.is_control()).take(200).collect();
        let text = text.trim();
        if text.is_empty() { None } else { Some(text.to_owned()) }
    }
}

impl Directory {
    pub(super) fn entry(&self, tag: u16) -> Option<&Entry> {
        self.entries.iter().find(|entry| entry.tag == tag)
    }
}
