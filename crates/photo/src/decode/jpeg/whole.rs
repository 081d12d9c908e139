//! Is every block of a JPEG really in the file?
//!
//! The pixel decoder does not say: a file cut in the middle and closed again with an end mark comes out at full size
//! with its last complete rows repeated down to the bottom, which looks like metal. So the packed data are walked
//! symbol by symbol, no pixel is computed, and the blocks are counted. A flipped bit usually shows too, because the
//! codes after it no longer fit.
//!
//! Progressive files (many scans, each finer): it is checked that every coefficient of every component is brought to
//! its last bit. Not covered: a progressive file cut inside its very last scan, which loses the finest grey step in
//! part of the picture and nothing else.
//!
//! Source: the code tables and block order of ITU-T T.81 (JPEG), recalled; checked on files of three encoders.

use super::marker_from;

/// What the walk found wrong.
#[derive(Debug, PartialEq, Eq)]
pub(in crate::decode) enum Flaw {
    /// The packed data end before all blocks have come.
    Missing(&'static str),
    /// A code that no table holds.
    Damaged(&'static str),
}

/// One colour component: its number and how many blocks it has in a unit, across and down.
#[derive(Debug, Clone, Copy)]
struct Component {
    id: u8,
    across: u64,
    down: u64,
}

/// What has been declared so far.
#[derive(Default)]
struct State {
    width: u64,
    height: u64,
    progressive: bool,
    components: Vec<Component>,
    /// DC tables 0 to 3, then AC tables 0 to 3.
    codes: [Option<Box<Codes>>; 8],
    restart: u64,
    /// Per component and coefficient the lowest bit sent so far; 255: nothing yet.
    sent: [Vec<u8>; 4],
}

/// Walks all scans.
pub(in crate::decode) fn check(bytes: &[u8]) -> Result<(), Flaw> {
    let mut state = State::default();
    let mut at = 2;
    while let Some(marker_at) = marker_from(bytes, at) {
        let marker = bytes.get(marker_at + 1).copied().unwrap_or(0xD9);
        at = marker_at + 2;
        if marker == 0xD9 {
            break;
        }
        if marker == 0x01 || marker == 0xD8 {
            continue;
        }
        let length =
            bytes.get(at..at + 2).map_or(0, |raw| usize::from(raw[0]) << 8 | usize::from(raw[1]));
        let body = bytes
            .get(at + 2..(at + length).max(at + 2))
            .ok_or(Flaw::Missing("the rest of a header segment"))?;
        at += body.len() + 2;
        match marker {
            0xC0..=0xC2 => state
                .frame(marker, body)
                .ok_or(Flaw::Damaged("the frame header does not fit itself"))?,
            0xC4 => state.tables(body).ok_or(Flaw::Damaged("a code table does not fit itself"))?,
            0xDD => {
                state.restart =
                    body.get(..2).map_or(0, |raw| u64::from(raw[0]) << 8 | u64::from(raw[1]))
            }
            0xDA => state.scan(body, bytes.get(at..).unwrap_or(&[]))?,
            _ => {}
        }
    }
    let complete = (0..state.components.len())
        .all(|c| state.sent.get(c).is_some_and(|all| all.iter().all(|low| *low == 0)));
    if complete { Ok(()) } else { Err(Flaw::Missing("some of its scans")) }
}

impl State {
    fn frame(&mut self, marker: u8, body: &[u8]) -> Option<()> {
        self.progressive = marker == 0xC2;
        let side = |at: usize| Some(u64::from(*body.get(at)?) << 8 | u64::from(*body.get(at + 1)?));
        (self.height, self.width) = (side(1)?, side(3)?);
        self.components.clear();
        for part in body.get(6..)?.as_chunks::<3>().0.iter().take(usize::from(*body.get(5)?)) {
            let (across, down) = (u64::from(part[1] >> 4), u64::from(part[1] & 15));
            if !(1..=4).contains(&across) || !(1..=4).contains(&down) || self.components.len() == 4
            {
                return None;
            }
            self.components.push(Component { id: part[0], across, down });
        }
        self.sent = std::array::from_fn(|_| vec![255; 64]);
        if self.components.is_empty() { None } else { Some(()) }
    }

    fn tables(&mut self, mut body: &[u8]) -> Option<()> {
        while let [head, rest @ ..] = body {
            let counts: &[u8; 16] = rest.first_chunk()?;
            let n: usize = counts.iter().map(|n| usize::from(*n)).sum();
            let symbols = rest.get(16..16 + n)?;
            let slot = usize::from(head & 3) + if head & 0x10 == 0 { 0 } else { 4 };
            *self.codes.get_mut(slot)? = Some(Box::new(Codes::new(counts, symbols)?));
            body = &rest[16 + n..];
        }
        Some(())
    }

    fn scan(&mut self, body: &[u8], packed: &[u8]) -> Result<(), Flaw> {
        const UNFIT: Flaw = Flaw::Damaged("a scan header does not fit the frame");
        let n = usize::from(*body.first().ok_or(UNFIT)?);
        let (Some(parts), Some([first, last, bits])) =
            (body.get(1..1 + 2 * n), body.get(1 + 2 * n..4 + 2 * n))
        else {
            return Err(UNFIT);
        };
        let (first, last, low) =
            if self.progressive { (*first, *last, bits & 15) } else { (0, 63, 0) };
        if n == 0 || first > last || last > 63 {
            return Err(UNFIT);
        }
        let mut chosen = Vec::new();
        for part in parts.as_chunks::<2>().0 {
            let c = self
                .components
                .iter()
                .position(|component| component.id == part[0])
                .ok_or(UNFIT)?;
            if let Some(sent) = self
                .sent
                .get_mut(c)
                .and_then(|all| all.get_mut(usize::from(first)..=usize::from(last)))
            {
                sent.fill(low);
            }
            chosen.push((c, usize::from(part[1] >> 4 & 3), 4 + usize::from(part[1] & 3)));
        }
        if self.progressive {
            return Ok(());
        }
        let most =
            |side: fn(&Component) -> u64| self.components.iter().map(side).max().unwrap_or(1);
        let (across, down) = (most(|c| c.across), most(|c| c.down));
        // Blocks of one unit, with their tables; and how many units.
        let mut blocks = Vec::new();
        let units = if let [(c, dc, ac)] = chosen[..] {
            let c = self.components[c];
            blocks.push((dc, ac));
            (self.width * c.across).div_ceil(8 * across) * (self.height * c.down).div_ceil(8 * down)
        } else {
            for (c, dc, ac) in &chosen {
                let c = self.components[*c];
                blocks.extend((0..c.across * c.down).map(|_| (*dc, *ac)));
            }
            self.width.div_ceil(8 * across) * self.height.div_ceil(8 * down)
        };
        let mut tables = Vec::new();
        for (dc, ac) in blocks {
            let (Some(dc), Some(ac)) = (&self.codes[dc], &self.codes[ac]) else {
                return Err(Flaw::Damaged("a scan uses a code table that is not there"));
            };
            tables.push((dc.as_ref(), ac.as_ref()));
        }
        let mut bits = Bits { packed, at: 0, held: 0, count: 0 };
        for unit in 0..units {
            if self.restart > 0 && unit > 0 && unit % self.restart == 0 {
                bits.restart()?;
            }
            for (dc, ac) in &tables {
                bits.block(dc, ac)?;
            }
        }
        Ok(())
    }
}

/// Bits looked at in one step; longer codes go the slow way.
const QUICK: u32 = 10;

/// One table of codes: canonical prefix codes, 1 to 16 bits.
struct Codes {
    /// For each `QUICK` bits: symbol and length, length 0 where the code is longer.
    quick: Vec<(u8, u8)>,
    /// For each length 1 to 16: first code past this length, and the index of symbol less code.
    past: [u32; 17],
    shift: [i64; 17],
    symbols: Vec<u8>,
}

impl Codes {
    fn new(counts: &[u8; 16], symbols: &[u8]) -> Option<Self> {
        let mut codes = Self {
            quick: vec![(0, 0); 1 << QUICK],
            past: [0; 17],
            shift: [0; 17],
            symbols: symbols.to_vec(),
        };
        let (mut code, mut index) = (0_u32, 0_usize);
        for (length, count) in (1_u32..).zip(counts) {
            codes.shift[length as usize] = i64::try_from(index).ok()? - i64::from(code);
            for _ in 0..*count {
                if length <= QUICK {
                    let from = usize::try_from(code << (QUICK - length)).ok()?;
                    let symbol = *symbols.get(index)?;
                    codes
                        .quick
                        .get_mut(from..from + (1 << (QUICK - length)))?
                        .fill((symbol, u8::try_from(length).ok()?));
                }
                code += 1;
                index += 1;
            }
            if code > 1 << length {
                return None;
            }
            codes.past[length as usize] = code;
            code <<= 1;
        }
        Some(codes)
    }
}

/// The packed data of one scan, bit by bit, with stuffed zeros taken out.
struct Bits<'a> {
    packed: &'a [u8],
    at: usize,
    /// The next bits, left-aligned.
    held: u64,
    count: u32,
}

impl Bits<'_> {
    fn fill(&mut self) {
        while self.count <= 56 {
            let byte = match (self.packed.get(self.at), self.packed.get(self.at + 1)) {
                (Some(0xFF), Some(0)) => {
                    self.at += 2;
                    0xFF
                }
                (Some(0xFF) | None, _) => return,
                (Some(byte), _) => {
                    self.at += 1;
                    *byte
                }
            };
            self.held |= u64::from(byte) << (56 - self.count);
            self.count += 8;
        }
    }

    fn skip(&mut self, n: u32) -> Result<(), Flaw> {
        if n > self.count {
            return Err(Flaw::Missing("some of its blocks"));
        }
        self.held <<= n;
        self.count -= n;
        Ok(())
    }

    fn symbol(&mut self, codes: &Codes) -> Result<u8, Flaw> {
        // At most 16 bits of code and 15 of value follow one filling.
        if self.count < 32 {
            self.fill();
        }
        let (symbol, length) = codes.quick[(self.held >> (64 - QUICK)) as usize];
        if length > 0 {
            self.skip(u32::from(length))?;
            return Ok(symbol);
        }
        for length in QUICK + 1..=16 {
            let code = (self.held >> (64 - length)) as u32;
            if code < codes.past[length as usize] {
                self.skip(length)?;
                let index = usize::try_from(i64::from(code) + codes.shift[length as usize]).ok();
                return index
                    .and_then(|i| codes.symbols.get(i))
                    .copied()
                    .ok_or(Flaw::Damaged("a code that no table holds"));
            }
        }
        if self.count < 16 {
            Err(Flaw::Missing("some of its blocks"))
        } else {
            Err(Flaw::Damaged("a code that no table holds"))
        }
    }

    fn block(&mut self, dc: &Codes, ac: &Codes) -> Result<(), Flaw> {
        let length = self.symbol(dc)?;
        self.skip(u32::from(length & 15))?;
        let mut k = 1;
        while k < 64 {
            let symbol = self.symbol(ac)?;
            let (run, length) = (symbol >> 4, symbol & 15);
            if length == 0 && run < 15 {
                return Ok(());
            }
            k += u32::from(run) + 1;
            self.skip(u32::from(length))?;
        }
        if k > 64 { Err(Flaw::Damaged("a block with more than 64 numbers")) } else { Ok(()) }
    }

    /// Drops the padding and steps over the restart mark, which must come next.
    fn restart(&mut self) -> Result<(), Flaw> {
        (self.held, self.count) = (0, 0);
        loop {
            let rest = self.packed.get(self.at..).unwrap_or(&[]);
            let Some(step) = rest.iter().position(|byte| *byte == 0xFF) else {
                return Err(Flaw::Missing("some of its blocks"));
            };
            self.at += step;
            match self.packed.get(self.at + 1) {
                Some(0xD0..=0xD7) => {
                    self.at += 2;
                    return Ok(());
                }
                Some(0xFF) => self.at += 1,
                Some(0) => self.at += 2,
                _ => return Err(Flaw::Missing("some of its blocks")),
            }
        }
    }
}
