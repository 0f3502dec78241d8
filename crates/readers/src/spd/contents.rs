//! Contents as values: the frame (length, pages, what lies around them), the sections, and the bits in no field.

use super::LEAST;
use super::checksum::{self, Sum};
use super::error::{self, SpdError};
use super::layout::{Contents, SIZE};
use super::sections::Sections;
use domain::Generation;

/// What was odd about how the contents were read out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Readout {
    /// From the first byte on, in order.
    Plain,
    /// The registers of the SPD hub came first, and one page of contents after them.
    HubFirst,
    /// The first page was read again in place of the later ones.
    PagesRepeated,
    /// The two pages came in the wrong order.
    PagesSwapped,
    /// The DRAM type is wrong by one byte: with the right one the checksum holds.
    TypeMended {
        /// What stands at byte 2.
        found: u8,
    },
    /// The DRAM type is wrong and no checksum holds: taken from the size, and a part number where it should be.
    TypeGuessed {
        /// What stands at byte 2.
        found: u8,
    },
}

/// The contents of a module's SPD memory, every field as stored.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spd {
    pub sections: Sections,
    /// How they were read out.
    pub readout: Readout,
    /// Bytes of contents that were read, from offset 0.
    pub(super) length: usize,
    /// The bits that are in no field: reserved, the makers' and the users' own.
    pub(super) rest: Contents,
    /// Checksums as computed; `None` where bytes are missing. In the order of [`Spd::sums`].
    pub(super) computed: [Option<u16>; 2],
    pub(super) before: Vec<u8>,
    pub(super) after: Vec<u8>,
}

/// Where the contents lie in what was read.
struct Frame<'a> {
    before: &'a [u8],
    contents: &'a [u8],
    after: &'a [u8],
    readout: Readout,
}

/// The size of whole contents in bytes.
pub fn whole(generation: Generation) -> usize {
    match generation {
        Generation::Ddr3 => 256,
        Generation::Ddr4 => 512,
        Generation::Ddr5 => 1024,
    }
}

fn generation(bytes: &[u8]) -> Option<Generation> {
    match bytes.get(2)? {
        0x0B => Some(Generation::Ddr3),
        0x0C | 0x0E => Some(Generation::Ddr4),
        0x12 => Some(Generation::Ddr5),
        _ => None,
    }
}

/// Tries the three DRAM types at byte 2; gives the one with which the checksum of the base section holds.
fn mend(bytes: &[u8]) -> Option<(Generation, u8)> {
    let mut contents = padded(bytes);
    [(Generation::Ddr3, 0x0B), (Generation::Ddr4, 0x0C), (Generation::Ddr5, 0x12)].into_iter().find(|(g, code)| {
        contents[2] = *code;
        let sum = checksum::sums(*g, contents[0] & 0x80 != 0).first();
        sum.is_some_and(|s| s.at + 2 <= bytes.len() && s.stored(&contents) == s.compute(&contents))
    })
}

fn padded(bytes: &[u8]) -> Contents {
    let mut contents = [0; SIZE];
    for (to, from) in contents.iter_mut().zip(bytes) {
        *to = *from;
    }
    contents
}

/// Reads contents. Missing bytes, repeated pages and the like are told by [`Spd::oddities`].
///
/// # Errors
/// Too few bytes, nothing stored, another generation of memory, or the registers of a hub alone.
pub fn read(bytes: &[u8]) -> Result<Spd, SpdError> {
    let Some(first) = bytes.first().filter(|_| bytes.len() >= LEAST) else {
        return Err(SpdError::TooShort { length: bytes.len() });
    };
    if bytes.iter().all(|b| b == first) {
        return Err(SpdError::Erased { length: bytes.len(), filled: *first });
    }
    if let Some(ordered) = swapped(bytes) {
        let frame = Frame { before: &[], contents: &ordered, after: &[], readout: Readout::PagesSwapped };
        return Ok(take(frame, Generation::Ddr4));
    }
    let (frame, generation) = frame(bytes)?;
    Ok(take(frame, generation))
}

/// Reads the sections of a frame.
fn take(frame: Frame<'_>, generation: Generation) -> Spd {
    let contents = padded(frame.contents);
    let length = frame.contents.len().min(SIZE);
    let mut spd = Spd {
        sections: Sections::read(generation, &contents),
        readout: frame.readout,
        length,
        rest: contents,
        computed: [None; 2],
        before: frame.before.to_vec(),
        after: frame.after.to_vec(),
    };
    spd.sections.clear(&mut spd.rest);
    let sums = spd.sums();
    for (slot, sum) in spd.computed.iter_mut().zip(sums) {
        *slot = (sum.at + 2 <= length).then(|| sum.compute(&contents));
    }
    spd
}

/// Puts two pages of DDR4 contents in order where the second came first.
fn swapped(bytes: &[u8]) -> Option<[u8; 512]> {
    let (second, first) = bytes.split_at_checked(256).filter(|_| bytes.len() == 512)?;
    if generation(bytes).is_some() || first.get(2) != Some(&0x0C) || mend(first)?.0 != Generation::Ddr4 {
        return None;
    }
    let mut ordered = [0; 512];
    ordered[..256].copy_from_slice(first);
    ordered[256..].copy_from_slice(second);
    Some(ordered)
}

fn frame(bytes: &[u8]) -> Result<(Frame<'_>, Generation), SpdError> {
    if bytes.starts_with(&[0x51, 0x18]) {
        let (before, page) = bytes.split_at_checked(128).unwrap_or((bytes, &[]));
        if page.len() >= LEAST && page.get(2) == Some(&0x12) {
            let (contents, after) = page.split_at(page.len().min(128));
            return Ok((Frame { before, contents, after, readout: Readout::HubFirst }, Generation::Ddr5));
        }
        return Err(SpdError::HubRegisters);
    }
    let found = bytes.get(2).copied().unwrap_or_default();
    let named = generation(bytes);
    if let Some(generation) = named.filter(|g| bytes.len() == whole(*g)) {
        return Ok((cut(bytes, generation), generation));
    }
    // Of contents that have not the size of the generation that they name, the checksum may know better.
    if let Some((generation, code)) = mend(bytes)
        && code != found
        && named != Some(generation)
    {
        return Ok((Frame { readout: Readout::TypeMended { found }, ..cut(bytes, generation) }, generation));
    }
    if let Some(generation) = named {
        return Ok((cut(bytes, generation), generation));
    }
    let known = error::other_type(found);
    match by_part_number(bytes).filter(|_| known.is_none()) {
        Some(generation) => {
            Ok((Frame { readout: Readout::TypeGuessed { found }, ..cut(bytes, generation) }, generation))
        }
        None => Err(SpdError::OtherType { found, known }),
    }
}

/// The generation of whose size the bytes are, where text stands at its part number.
fn by_part_number(bytes: &[u8]) -> Option<Generation> {
    let places = [(Generation::Ddr3, 128..146), (Generation::Ddr4, 329..349), (Generation::Ddr5, 521..551)];
    let (generation, place) = places.into_iter().find(|(g, _)| bytes.len() == whole(*g))?;
    let text = bytes.get(place)?;
    let printed = text.iter().all(|b| matches!(b, 0 | 0xFF | 0x20..0x7F));
    let letters = text.iter().filter(|b| b.is_ascii_alphanumeric()).count();
    (printed && letters >= 6).then_some(generation)
}

/// Cuts off what lies behind the contents: pages that repeat the first one, and bytes past the whole size.
fn cut(bytes: &[u8], generation: Generation) -> Frame<'_> {
    let pages: &[usize] = match generation {
        Generation::Ddr3 => &[],
        Generation::Ddr4 => &[256],
        Generation::Ddr5 => &[128, 256, 512],
    };
    let repeated = pages.iter().find(|page| {
        let (first, later) = bytes.split_at_checked(**page).unwrap_or((bytes, &[]));
        !later.is_empty() && later.len() % **page == 0 && later.chunks(**page).all(|c| c == first)
    });
    let end = repeated.copied().unwrap_or(whole(generation)).min(bytes.len());
    let (contents, after) = bytes.split_at(end);
    let readout = if repeated.is_some() { Readout::PagesRepeated } else { Readout::Plain };
    Frame { before: &[], contents, after, readout }
}

/// Writes contents as they were read, byte for byte, with whatever fields were set since.
///
/// Checksums are written as they stand; [`Spd::seal`] makes them right.
pub fn write(spd: &Spd) -> Vec<u8> {
    let contents = spd.contents();
    let own = contents.get(..spd.length).unwrap_or(&contents);
    let mut bytes = Vec::with_capacity(spd.before.len() + own.len() + spd.after.len());
    bytes.extend_from_slice(&spd.before);
    match (spd.readout, own.split_at_checked(256)) {
        (Readout::PagesSwapped, Some((first, second))) => {
            bytes.extend_from_slice(second);
            bytes.extend_from_slice(first);
        }
        _ => bytes.extend_from_slice(own),
    }
    bytes.extend_from_slice(&spd.after);
    bytes
}

impl Spd {
    /// Whole contents with nothing set but the generation and the module type's code (byte 3), to fill in.
    pub fn blank(generation: Generation, module_type: u8) -> Self {
        let mut bytes = [0; SIZE];
        bytes[2] = match generation {
            Generation::Ddr3 => 0x0B,
            Generation::Ddr4 => 0x0C,
            Generation::Ddr5 => 0x12,
        };
        bytes[3] = module_type;
        let contents = bytes.get(..whole(generation)).unwrap_or_default();
        take(Frame { before: &[], contents, after: &[], readout: Readout::Plain }, generation)
    }
    /// The generation of memory.
    pub fn generation(&self) -> Generation {
        self.sections.generation()
    }
    /// Bytes of contents that were read; whole contents have 256, 512 or 1024.
    pub fn length(&self) -> usize {
        self.length
    }
    /// Were the contents read as far as this offset?
    pub fn reaches(&self, offset: usize) -> bool {
        offset <= self.length
    }
    /// The contents as bytes, zeros where they were not read.
    pub fn contents(&self) -> Contents {
        let mut contents = self.rest;
        self.sections.write(&mut contents);
        contents
    }
    /// The checksums that such contents carry.
    pub fn sums(&self) -> &'static [Sum] {
        let short = matches!(&self.sections, Sections::Ddr3 { base, .. } if base.short_checksum == 1);
        checksum::sums(self.generation(), short)
    }
    /// Makes the checksums right for the fields as they are now.
    pub fn seal(&mut self) {
        let contents = self.contents();
        for (sum, slot) in self.sums().iter().zip(&mut self.computed) {
            let value = sum.compute(&contents);
            *slot = (sum.at + 2 <= self.length).then_some(value);
            self.sections.set_checksum(sum.at, value);
        }
    }
    /// Checksums as stored and as computed when the contents were read or sealed; those whose bytes are missing are
    /// left out.
    pub fn checksums(&self) -> impl Iterator<Item = (Sum, u16, u16)> + '_ {
        let stored = |sum: &Sum| self.sections.checksum(sum.at);
        self.sums().iter().zip(self.computed).filter_map(move |(sum, computed)| Some((*sum, stored(sum), computed?)))
    }
    /// Offset of the contents within what was read.
    pub(super) fn starts(&self) -> usize {
        self.before.len()
    }
}
