//! From text to the fields of a label: capacity and organisation in any place, the `PC…` part from left to right.

use super::bus::Speed;
use super::error::{Field, LabelError};
use super::parts::{EccWord, LabelParts, Nonvolatile, Ranks, Stacking};
use super::walk::{Walk, text};
use super::{LONGEST, Places};
use domain::{Capacity, Generation};

/// Words that name a non-volatile module wherever they stand.
const NONVOLATILE: [&[u8]; 3] = [b"NVDIMM", b"PMEM", b"PERSISTENT"];

/// What a scan gives: the fields, where they stood, and how an odd speed was taken.
pub struct Scanned {
    pub parts: LabelParts,
    pub places: Places,
    pub speed: Option<Speed>,
}

/// Reads the fields of a label.
pub fn scan(text: &str) -> Result<Scanned, LabelError> {
    let Some(mut walk) = Walk::new(text) else {
        return Err(LabelError::TooLong { length: text.chars().count(), most: LONGEST });
    };
    let mut scanned = Scanned { parts: LabelParts::default(), places: Places::default(), speed: None };
    if NONVOLATILE.iter().any(|word| walk.has(word)) {
        scanned.parts.nonvolatile = Some(Nonvolatile::Word(None));
    }
    walk.separators();
    if walk.here().is_none() {
        return Err(LabelError::Empty);
    }
    while walk.here().is_some() {
        walk.field(&mut scanned)?;
        walk.separators();
    }
    let parts = &scanned.parts;
    if parts.rate.is_none() && parts.nonvolatile.is_none() {
        return walk.missing(Field::Generation, walk.at);
    }
    if parts.rate.is_none() && parts.capacity.is_none() && parts.ranks.is_none() {
        return walk.missing(Field::Capacity, 0);
    }
    Ok(scanned)
}

impl Walk<'_> {
    /// One field from here: something is there.
    fn field(&mut self, scanned: &mut Scanned) -> Result<(), LabelError> {
        let start = self.at;
        let parts = &mut scanned.parts;
        if parts.capacity.is_none()
            && let Some(capacity) = self.capacity()?
        {
            scanned.places.capacity = start;
            parts.capacity = Some(capacity);
            return Ok(());
        }
        if parts.ranks.is_none()
            && let Some(ranks) = self.ranks(parts.rate.is_none())?
        {
            scanned.places.ranks = start;
            parts.ranks = Some(ranks);
            return Ok(());
        }
        if parts.rate.is_some() || parts.nonvolatile.is_some() {
            if parts.rate.is_none() && self.is_bus() {
                return self.bus(scanned);
            }
            return self.behind(parts);
        }
        match self.here() {
            Some(b'P' | b'N') => self.bus(scanned),
            _ => self.blame(parts, start),
        }
    }

    /// The error for a text before the `PC…` part that is none of its fields.
    fn blame<T>(&self, parts: &LabelParts, start: usize) -> Result<T, LabelError> {
        if parts.capacity.is_none() && parts.ranks.is_none() {
            return self.bad(Field::Capacity, start);
        }
        if parts.ranks.is_none() {
            return self.bad(Field::Organisation, start);
        }
        self.bad(Field::Generation, start)
    }

    /// `64GB`, `64 GB`, `1T`; `None` and nothing walked over where no capacity stands here.
    pub fn capacity(&mut self) -> Result<Option<Capacity>, LabelError> {
        let start = self.at;
        let (figure, digits) = self.number();
        self.skip(|b| b == b' ');
        let mib: u64 = match self.here() {
            _ if digits == 0 => 0,
            Some(b'M') => 1,
            Some(b'G') => 1024,
            Some(b'T') => 1024 * 1024,
            _ => 0,
        };
        self.at += usize::from(mib > 0);
        self.eat(b'I');
        self.eat(b'B');
        if mib == 0 || self.here().is_some_and(|b| b.is_ascii_alphabetic()) {
            self.at = start;
            return Ok(None);
        }
        let mib = u64::from(figure) * mib;
        // 64 MiB to 1 TiB: no module of these generations is outside.
        if digits <= 7 && (64..=1024 * 1024).contains(&mib) {
            return Ok(Some(Capacity::from_mib(mib)));
        }
        self.bad(Field::Capacity, start)
    }

    /// `2Rx4`; `None` and nothing walked over where none stands here. Before the `PC…` part, what starts like one has
    /// to be one.
    pub fn ranks(&mut self, strict: bool) -> Result<Option<Ranks>, LabelError> {
        let start = self.at;
        let (ranks, digits) = self.number();
        if digits != 1 || !matches!(self.here(), Some(b'R' | b'D' | b'Q' | b'S')) {
            self.at = start;
            return Ok(None);
        }
        let stacking = match (self.here(), self.rest().get(1)) {
            (Some(b'D'), _) => Some((Stacking::Dual, 1)),
            (Some(b'Q'), _) => Some((Stacking::Quad, 1)),
            (Some(b'S'), Some(high @ b'2'..=b'8')) => Some((Stacking::Single(high - b'0'), 2)),
            (Some(b'S'), _) => None,
            _ => Some((Stacking::Mono, 0)),
        };
        self.at += stacking.map_or(0, |(_, bytes)| bytes);
        let mut sound = self.eat(b'R');
        self.skip(|b| b == b' ');
        sound &= self.eat(b'X');
        self.skip(|b| b == b' ');
        let (width, _) = self.number();
        match (u8::try_from(ranks), stacking, u8::try_from(width)) {
            (Ok(package_ranks @ 1..=8), Some((stacking, _)), Ok(width @ (4 | 8 | 16 | 32))) if sound => {
                Ok(Some(Ranks { package_ranks, stacking, width }))
            }
            _ if strict => self.bad(Field::Organisation, start),
            _ => {
                self.at = start;
                Ok(None)
            }
        }
    }

    /// A field behind the `PC…` part, or anywhere on the label of a non-volatile module.
    fn behind(&mut self, parts: &mut LabelParts) -> Result<(), LabelError> {
        let (start, field) = self.segment();
        if NONVOLATILE.contains(&field) {
            let named = field == b"NVDIMM" && self.here() == Some(b'-');
            let letter = self.rest().get(1).copied().filter(|b| named && matches!(b, b'N' | b'F' | b'P' | b'H'));
            let alone = self.rest().get(2).is_none_or(|b| matches!(b, b' ' | b'-'));
            if let Some(letter) = letter.filter(|_| alone) {
                self.at += 2;
                if let Some(Nonvolatile::Word(word)) = &mut parts.nonvolatile {
                    *word = Some(char::from(letter));
                }
            }
            return Ok(());
        }
        if !field.iter().all(u8::is_ascii_alphanumeric) {
            return self.bad(Field::Tail, start);
        }
        if let Some(word) = EccWord::of(field, parts.generation.unwrap_or(Generation::Ddr4)) {
            parts.ecc = Some(word);
        } else if parts.rate.is_some() {
            let field = text(field);
            match &mut parts.tail {
                Some(tail) => {
                    tail.push('-');
                    tail.push_str(&field);
                }
                None => parts.tail = Some(field),
            }
        }
        Ok(())
    }
}
