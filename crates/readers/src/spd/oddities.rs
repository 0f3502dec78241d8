//! What is not as the standard or a healthy module has it, each with its offset and the figures.

use super::contents::{Readout, whole};
use super::made::{Manufacturing, bcd, manufacturing};
use super::sections::Sections;
use super::{Spd, card, kind, label, maker};
use crate::cards;
use domain::Generation;
use domain::reading::Oddity;

/// The names that [`Spd::oddities`] gives, with what each says.
pub const NAMES: &[(&str, &str)] = &[
    ("base-only", "DDR4 contents end after the base and module sections; nothing tells the maker"),
    ("cas-not-in-map", "the CAS latency that the times need is not among those that the module supports"),
    ("checksum-wrong", "a checksum stored is not that of the bytes that it covers"),
    ("date-blank", "no date of manufacture is stored"),
    ("date-not-bcd", "year or week is not stored as decimal digits"),
    ("erased", "a section is all 00 or FF"),
    ("hub-registers-not-contents", "the registers of the SPD hub were read, with one page of contents behind them"),
    ("maker-blank", "no module maker is stored"),
    ("maker-fingerprint-differs", "revision and stepping are not stored as this maker stores them"),
    ("maker-parity-wrong", "a maker's id does not have odd parity"),
    ("no-such-speed-bin", "the clocks are those of no speed grade"),
    ("organisation-unreadable", "a code of density, width or bus is not in the standard"),
    ("pages-repeated", "the first page was read again in place of the later ones"),
    ("pages-swapped", "the second page came before the first"),
    ("part-number-blank", "no part number is stored"),
    ("part-number-garbled", "the part number is not printing text"),
    ("raw-card-unusual", "the raw card was not seen with this organisation"),
    ("reserved-bits-set", "bits that the standard reserves are not zero"),
    ("row-cycle-too-short", "the row cycle is shorter than its parts"),
    ("serial-blank", "no serial number is stored"),
    ("size-wrong", "there are fewer or more bytes than such contents have"),
    ("type-byte-wrong", "byte 2 is not the DRAM type that the checksum or the size speaks for"),
    ("type-unknown", "the module type is not one that the standard has"),
    ("week-impossible", "the week is not 1 to 53"),
    ("year-impossible", "the year is before there were such modules"),
];

/// Collects oddities with offsets of what was read.
struct Found {
    starts: usize,
    all: Vec<Oddity>,
}

impl Found {
    fn add(&mut self, name: &'static str, offset: impl Into<Option<usize>>, seen: String) {
        let offset = offset.into().map(|o| o + self.starts);
        self.all.push(Oddity { name, offset, seen });
    }
}

impl Spd {
    /// What is odd, in the order of what it concerns: how it was read, checksums, organisation, times, making.
    pub fn oddities(&self) -> Vec<Oddity> {
        let mut found = Found { starts: self.starts(), all: Vec::new() };
        self.readout_oddities(&mut found);
        self.checksum_oddities(&mut found);
        self.module_oddities(&mut found);
        self.timing_oddities(&mut found);
        self.reserved_oddities(&mut found);
        match self.manufacturing() {
            Some(made) => self.made_oddities(&made, &mut found),
            None => self.made_missing(&mut found),
        }
        found.all
    }

    fn readout_oddities(&self, found: &mut Found) {
        let read = self.before.len() + self.length + self.after.len();
        match self.readout {
            Readout::HubFirst => found.all.push(Oddity {
                name: "hub-registers-not-contents",
                offset: Some(0),
                seen: format!("registers up to offset {}, then {} bytes of contents", self.starts(), self.length),
            }),
            Readout::PagesRepeated => {
                let seen = format!("bytes 0 to {} come {} times", self.length - 1, read / self.length.max(1));
                found.add("pages-repeated", self.length, seen);
            }
            Readout::PagesSwapped => found.add("pages-swapped", 0, "bytes 256 to 511 come first".into()),
            Readout::TypeMended { found: byte } => {
                let seen = format!("{byte:02X}, with which no checksum holds; that of {} does", self.generation());
                found.add("type-byte-wrong", 2, seen);
            }
            Readout::TypeGuessed { found: byte } => {
                let generation = self.generation();
                let seen = format!("{byte:02X}; size and place of the part number are those of {generation}");
                found.add("type-byte-wrong", 2, seen);
            }
            Readout::Plain => {}
        }
        let whole = whole(self.generation());
        if self.generation() == Generation::Ddr4 && self.length == 256 && self.readout == Readout::Plain {
            found.add("base-only", 256, "256 of 512 bytes".into());
        } else if self.readout == Readout::Plain || matches!(self.readout, Readout::TypeMended { .. }) {
            // DDR5 memories may have 2048 bytes, of which 1024 are laid out.
            let larger = self.generation() == Generation::Ddr5 && read == 2048;
            if self.length < whole {
                let seen = format!("{} of {whole} bytes; what lies behind them is not told", self.length);
                found.add("size-wrong", self.length, seen);
            } else if !self.after.is_empty() && !larger {
                found.add("size-wrong", whole, format!("{read} bytes where {} has {whole}", self.generation()));
            }
        }
    }

    fn checksum_oddities(&self, found: &mut Found) {
        for (sum, stored, computed) in self.checksums().filter(|(_, stored, computed)| stored != computed) {
            let seen =
                format!("{}: stored {stored:04X}, bytes {} to {} give {computed:04X}", sum.name, sum.from, sum.to - 1);
            found.add("checksum-wrong", sum.at, seen);
        }
    }

    fn module_oddities(&self, found: &mut Found) {
        let code = match &self.sections {
            Sections::Ddr3 { base, .. } => base.module_type,
            Sections::Ddr4 { base, .. } => base.module_type,
            Sections::Ddr5 { base, .. } => base.module_type,
        };
        if self.type_name().is_none() {
            found.add("type-unknown", 3, format!("code {code} of {}", self.generation()));
        }
        let Some(organised) = self.organised() else { return };
        if organised.capacity.is_none() {
            let seen = format!("die {:?} Mbit, devices x{:?}", organised.die_mbit, organised.width);
            found.add("organisation-unreadable", 4, seen.replace("Some(", "").replace(')', "").replace("None", "?"));
        }
        let letter = kind::letter(self.type_name(), organised.ecc_bits.is_some_and(|e| e > 0));
        let at = match self.sections {
            Sections::Ddr3 { .. } => 62,
            Sections::Ddr4 { .. } => 130,
            Sections::Ddr5 { .. } => 232,
        };
        let card = card::raw_card(&self.sections).filter(|_| self.reaches(at + 1) && !self.sections.hybrid());
        if let (Some(letter), Some(card), Some(organisation)) = (letter, card, label::organisation(&organised))
            && let Some(seen) = cards::seen_on(self.generation(), letter, &card.letter)
            && !cards::is_one_of(&organisation, seen)
        {
            let seen = format!("card {} with {organisation}; seen with {}", card.letter, seen.join(", "));
            found.add("raw-card-unusual", at, seen);
        }
    }

    fn timing_oddities(&self, found: &mut Found) {
        let Some(times) = self.times() else { return };
        let at = if self.generation() == Generation::Ddr5 { 20 } else { 12 };
        let at = if self.generation() == Generation::Ddr4 { 18 } else { at };
        let Some((rate, tck)) = times.standard() else {
            found.add("no-such-speed-bin", at, format!("cycle time {} ps, which is no standard rate", times.tck));
            return;
        };
        let needed = times.clocks(times.taa, tck);
        let map = match self.generation() {
            Generation::Ddr3 => 14,
            Generation::Ddr4 => 20,
            Generation::Ddr5 => 24,
        };
        if !times.cas.has(times.cas.rounded(needed)) {
            let seen = format!("{} ps take {needed} clocks at {rate}; supported: {:?}", times.taa, times.cas.all());
            found.add("cas-not-in-map", map, seen);
        }
        if let (Some(clocks), Some(grade)) = (times.clocks_at(tck), self.grade())
            && !grade.exact
        {
            let bin = grade.clocks;
            let seen = format!(
                "{}-{}-{} at {rate}; nearest {} {}-{}-{}",
                clocks.cas, clocks.rcd, clocks.rp, grade.name, bin.cas, bin.rcd, bin.rp
            );
            found.add("no-such-speed-bin", at, seen);
        }
        // One clock of slack: published contents of a 3DS module are 500 ps short of the sum.
        if times.trc + times.tck < times.tras + times.trp {
            let at = if self.generation() == Generation::Ddr5 { 38 } else { at + 11 };
            let seen = format!("row cycle {} ps, active {} and precharge {} ps", times.trc, times.tras, times.trp);
            found.add("row-cycle-too-short", at, seen);
        }
    }

    /// Bits in no field, unless a later revision of the standard than the tables here may have given them a meaning.
    fn reserved_oddities(&self, found: &mut Found) {
        let (revision, newest) = match &self.sections {
            Sections::Ddr3 { base, .. } => (base.revision, 0x13),
            Sections::Ddr4 { base, .. } => (base.revision, 0x14),
            Sections::Ddr5 { base, .. } => (base.revision, 0x11),
        };
        if revision > newest || self.type_name().is_none() {
            return;
        }
        let open = self.sections.open();
        let reserved = |at: &usize| !open.iter().any(|(from, to)| (*from..*to).contains(at));
        let set: Vec<(usize, u8)> = (0..self.length)
            .filter(reserved)
            .filter_map(|at| self.rest.get(at).filter(|b| **b != 0).map(|b| (at, *b)))
            .collect();
        if let Some((first, _)) = set.first() {
            let told: Vec<String> = set.iter().take(4).map(|(at, b)| format!("{at}: {b:02X}")).collect();
            let more = if set.len() > 4 { format!(" and {} more", set.len() - 4) } else { String::new() };
            found.add("reserved-bits-set", *first, format!("bits of bytes {}{more}", told.join(", ")));
        }
    }

    fn made_missing(&self, found: &mut Found) {
        let made = manufacturing(&self.sections);
        if self.length > made.at {
            let seen = format!("manufacturing information ends at byte {} of {}", self.length, made.end);
            found.add("size-wrong", self.length, seen);
        }
    }

    fn made_oddities(&self, made: &Manufacturing<'_>, found: &mut Found) {
        let contents = self.contents();
        let section = contents.get(made.at..made.end).unwrap_or_default();
        if let Some(filled) = [0u8, 0xFF].into_iter().find(|f| section.iter().all(|b| b == f)) {
            let seen = format!("manufacturing information, bytes {} to {}, all {filled:02X}", made.at, made.end - 1);
            found.add("erased", made.at, seen);
            return;
        }
        for (what, bytes, at) in [("module", made.maker, made.at), ("DRAM", made.dram_maker, made.dram_at)] {
            match maker::stored(bytes) {
                Some(stored) if !stored.parity => {
                    found.add("maker-parity-wrong", at, format!("{what} maker {bytes:04X}"));
                }
                None if at == made.at => found.add("maker-blank", at, format!("{bytes:04X}")),
                _ => {}
            }
        }
        self.date_oddities(made, found);
        if made.serial_blank() {
            found.add("serial-blank", made.at + 5, format!("{:08X}", made.serial));
        }
        match (made.part_number(), made.part_number_garbled()) {
            (None, _) => found.add("part-number-blank", made.part_at, "no text".into()),
            (Some(text), Some((at, byte))) => {
                found.add("part-number-garbled", at, format!("byte {byte:02X} in `{text}`"));
            }
            _ => {}
        }
        self.fingerprint(made, found);
    }

    fn date_oddities(&self, made: &Manufacturing<'_>, found: &mut Found) {
        let (year_at, week_at) = (made.at + 3, made.at + 4);
        if made.date_blank() {
            found.add("date-blank", year_at, format!("year {:02X}, week {:02X}", made.year, made.week));
            return;
        }
        // Years from which modules of a generation were made (from memory).
        let first = match self.generation() {
            Generation::Ddr3 => 7,
            Generation::Ddr4 => 13,
            Generation::Ddr5 => 20,
        };
        match bcd(made.year) {
            None => found.add("date-not-bcd", year_at, format!("year {:02X}", made.year)),
            Some(year) if year < first => {
                found.add("year-impossible", year_at, format!("{} for {}", 2000 + u16::from(year), self.generation()));
            }
            Some(_) => {}
        }
        match bcd(made.week) {
            None => found.add("date-not-bcd", week_at, format!("week {:02X}", made.week)),
            Some(week) if !(1..=53).contains(&week) => found.add("week-impossible", week_at, format!("week {week}")),
            Some(_) => {}
        }
    }

    /// Habits of three makers, seen on their modules: revision and stepping are the last two letters of the part number,
    /// 00 and FF, or 00 and 00.
    fn fingerprint(&self, made: &Manufacturing<'_>, found: &mut Found) {
        let ddr4 = self.generation() == Generation::Ddr4;
        let part = made.part_number().unwrap_or_default();
        let mut last = part.bytes().rev();
        let (expected, how) = match made.maker {
            0x802C if self.generation() != Generation::Ddr3 => match (last.next(), last.next()) {
                (Some(revision), Some(die)) => ((revision, die), "the part number's last two characters"),
                _ => return,
            },
            0x80AD if ddr4 => ((0x00, 0xFF), "00 and FF"),
            0x80CE if ddr4 => ((0x00, 0x00), "00 and 00"),
            _ => return,
        };
        if (made.revision, made.stepping) != expected {
            let seen = format!("revision {:02X}, stepping {:02X}; usual: {how}", made.revision, made.stepping);
            found.add("maker-fingerprint-differs", made.revision_at, seen);
        }
    }
}
