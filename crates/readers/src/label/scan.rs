//! From text to the fields of a label: one walk from left to right, columns kept for errors.

use super::LONGEST;
use super::error::{Field, LabelError};
use super::parts::{EccWord, KindLetter, LabelParts, Stacking, SupplyLetter};
use super::speed::{self, Figure};
use super::walk::{Walk, card};
use domain::{Capacity, DataRate, Generation};

/// Reads the fields of a label, with notes on how an odd form was taken.
pub fn scan(text: &str) -> Result<(LabelParts, Vec<String>), LabelError> {
    let length = text.chars().count();
    if text.trim().is_empty() {
        return Err(LabelError::Empty);
    }
    if length > LONGEST {
        return Err(LabelError::TooLong { length });
    }
    let mut walk = Walk::new(text);
    walk.refuse_nonvolatile()?;
    let capacity = walk.capacity()?;
    let (package_ranks, stacking, width) = walk.organisation()?;
    let (generation, supply) = walk.generation()?;
    let speed = walk.speed(generation)?;
    let mut parts = LabelParts {
        capacity,
        package_ranks,
        stacking,
        width,
        generation,
        supply,
        rate: speed.rate,
        grade: speed.grade,
        kind: KindLetter::Registered,
        cas_latency: None,
        raw_card: None,
        raw_card_revision: None,
        spd_revision: None,
        tail: None,
        ecc: None,
    };
    match speed.kind {
        Some(kind) => {
            parts.kind = kind;
            walk.bandwidth_fields(&mut parts)?;
        }
        None => walk.kind_and_card(&mut parts)?,
    }
    walk.rest(&mut parts)?;
    Ok((parts, speed.notes))
}

struct Speed {
    notes: Vec<String>,
    rate: DataRate,
    grade: Option<String>,
    /// The kind where it stands right behind a bandwidth figure (`19200R`).
    kind: Option<KindLetter>,
}

impl Walk {
    fn refuse_nonvolatile(&self) -> Result<(), LabelError> {
        let words = ["NVDIMM", "NN4", "NN5"];
        for place in 0..self.chars.len() {
            let starts = place == 0 || !self.chars[place - 1].is_alphanumeric();
            if let Some(word) = words.iter().find(|w| starts && self.is_at(place, w)) {
                return Err(LabelError::Nonvolatile { column: place + 1, found: (*word).to_string() });
            }
        }
        Ok(())
    }

    fn capacity(&mut self) -> Result<Capacity, LabelError> {
        self.separators();
        let start = self.at;
        if self.is_at(start, "PC") {
            return self.missing(Field::Capacity, start);
        }
        let digits = self.take(|c| c.is_ascii_digit());
        if self.here() == Some('R') && !digits.is_empty() {
            return self.missing(Field::Capacity, start);
        }
        self.skip(|c| c == ' ');
        let unit = self.take(|c| c.is_ascii_alphabetic());
        let mib = match unit.as_str() {
            "M" | "MB" | "MIB" => 1,
            "G" | "GB" | "GIB" => 1024,
            "T" | "TB" | "TIB" => 1024 * 1024,
            _ => return self.bad(Field::Capacity, start),
        };
        match digits.parse::<u64>() {
            // 64 MiB to 1 TiB: no server module of these generations is outside.
            Ok(n) if digits.len() <= 7 && (64..=1024 * 1024).contains(&(n * mib)) => Ok(Capacity::from_mib(n * mib)),
            _ => self.bad(Field::Capacity, start),
        }
    }

    fn organisation(&mut self) -> Result<(u8, Stacking, u8), LabelError> {
        self.separators();
        let start = self.at;
        if self.here().is_none_or(|c| c == 'P') {
            return self.missing(Field::Organisation, start);
        }
        let ranks = self.take(|c| c.is_ascii_digit()).parse::<u8>().ok().filter(|r| (1..=8).contains(r));
        let stacking = match self.here() {
            Some('D') => Some(Stacking::Dual),
            Some('Q') => Some(Stacking::Quad),
            Some('S') => {
                let high = self.chars.get(self.at + 1).and_then(|c| c.to_digit(10));
                high.filter(|h| (2..=8).contains(h)).map(|h| Stacking::Single(h as u8))
            }
            _ => Some(Stacking::Mono),
        };
        self.at += match stacking {
            Some(Stacking::Mono) | None => 0,
            Some(Stacking::Dual | Stacking::Quad) => 1,
            Some(Stacking::Single(_)) => 2,
        };
        let mut sound = self.eat('R');
        self.skip(|c| c == ' ');
        sound &= self.eat('X');
        self.skip(|c| c == ' ');
        let width = self.take(|c| c.is_ascii_digit()).parse::<u8>().ok().filter(|w| matches!(w, 4 | 8 | 16));
        match (ranks, stacking, width) {
            (Some(ranks), Some(stacking), Some(width)) if sound => Ok((ranks, stacking, width)),
            _ => self.bad(Field::Organisation, start),
        }
    }

    fn generation(&mut self) -> Result<(Generation, Option<SupplyLetter>), LabelError> {
        self.separators();
        let start = self.at;
        let mut sound = self.eat('P');
        sound &= self.eat('C');
        let generation = match self.here() {
            Some('3') => Generation::Ddr3,
            Some('4') => Generation::Ddr4,
            Some('5') => Generation::Ddr5,
            _ => return self.bad(Field::Generation, start),
        };
        self.at += 1;
        let supply = match self.here() {
            Some('L') => Some(SupplyLetter::Low),
            Some('U') => Some(SupplyLetter::UltraLow),
            _ => None,
        };
        self.at += usize::from(supply.is_some());
        let ends = self.here().is_none_or(|c| c == ' ' || c == '-');
        if !sound || !ends || (supply.is_some() && generation != Generation::Ddr3) {
            return self.bad(Field::Generation, start);
        }
        Ok((generation, supply))
    }

    fn speed(&mut self, generation: Generation) -> Result<Speed, LabelError> {
        self.separators();
        let start = self.at;
        let digits = self.take(|c| c.is_ascii_digit());
        let figure = digits.parse().ok().and_then(|f| speed::figure(generation, f));
        let Some(figure) = figure else {
            return self.bad(Field::Rate, start);
        };
        let letters_at = self.at;
        let letters = self.take(|c| c.is_ascii_alphanumeric());
        let mut notes = Vec::new();
        let (rate, wide) = match figure {
            Figure::Rate(rate) => (rate, false),
            Figure::Rounded(rate) => {
                notes.push(format!("{digits} is read as {rate}"));
                (rate, false)
            }
            Figure::Bandwidth(rate) => (rate, true),
        };
        let one = (letters.len() == 1).then(|| letters.chars().next()).flatten();
        // A letter right behind is the kind in the bandwidth form, unless a kind follows by itself.
        let ddr3 = generation == Generation::Ddr3;
        if let Some(letter) = one.filter(|_| ddr3 || (wide && !self.kind_follows(generation))) {
            if let Some(kind) = KindLetter::of(letter, generation) {
                return Ok(Speed { notes, rate, grade: None, kind: Some(kind) });
            }
            self.refuse_kind(letters_at, letter)?;
        }
        let grade = (!letters.is_empty()).then_some(letters);
        if grade.as_deref().is_some_and(|g| !speed::is_grade(generation, g)) {
            return self.bad(Field::Grade, letters_at);
        }
        if wide && grade.is_some() {
            notes.push(format!("the bandwidth {digits} stands with a speed grade; read as {rate}"));
        }
        Ok(Speed { notes, rate, grade, kind: None })
    }

    /// Is the next field a kind with or without its raw card?
    fn kind_follows(&self, generation: Generation) -> bool {
        let mut ahead = Walk { chars: self.chars.clone(), at: self.at };
        let (_, field) = ahead.segment();
        let mut chars = field.chars();
        chars.next().is_some_and(|c| KindLetter::of(c, generation).is_some()) && card(chars.as_str()).is_some()
    }

    /// Errors for letters of kinds that are known, but not handled.
    fn refuse_kind(&self, start: usize, letter: char) -> Result<(), LabelError> {
        match letter {
            'S' | 'T' => Err(LabelError::NotServer { column: start + 1, found: letter.to_string() }),
            'N' => Err(LabelError::Nonvolatile { column: start + 1, found: self.found(start) }),
            _ => Ok(()),
        }
    }

    fn kind_and_card(&mut self, parts: &mut LabelParts) -> Result<(), LabelError> {
        let before = self.at;
        let (start, field) = self.segment();
        let word = match field.as_str() {
            "RDIMM" => "R",
            "LRDIMM" => "L",
            "UDIMM" => "U",
            "SODIMM" => "S",
            other => other,
        };
        let mut chars = word.chars();
        let Some(letter) = chars.next() else {
            return self.missing(Field::Kind, before);
        };
        self.refuse_kind(start, letter)?;
        let Some(kind) = KindLetter::of(letter, parts.generation) else {
            return if letter.is_ascii_digit() && parts.grade.is_some() {
                self.missing(Field::Kind, before)
            } else {
                self.bad(Field::Kind, start)
            };
        };
        let Some((letters, revision)) = card(chars.as_str()) else {
            return self.bad(Field::RawCard, start + 1);
        };
        parts.kind = kind;
        parts.raw_card = letters;
        parts.raw_card_revision = revision;
        if parts.generation == Generation::Ddr3 && parts.raw_card.is_none() {
            return self.bandwidth_fields(parts);
        }
        self.spd_revision(parts)
    }

    /// `-12` or `-1010`; absent where the next field starts with a letter.
    fn spd_revision(&mut self, parts: &mut LabelParts) -> Result<(), LabelError> {
        let back = self.at;
        let (start, field) = self.segment();
        let wanted = if parts.generation == Generation::Ddr5 { 4 } else { 2 };
        if field.len() == wanted && field.bytes().all(|b| b.is_ascii_digit()) {
            parts.spd_revision = Some(field);
        } else if field.starts_with(|c: char| c.is_ascii_digit()) {
            return self.bad(Field::SpdRevision, start);
        } else {
            self.at = back;
        }
        Ok(())
    }

    /// `-11-12-E2`: CAS latency, SPD revision and raw card, each of which may be absent.
    fn bandwidth_fields(&mut self, parts: &mut LabelParts) -> Result<(), LabelError> {
        let back = self.at;
        let (start, clocks) = self.segment();
        if clocks.starts_with(|c: char| c.is_ascii_digit()) {
            let sound = clocks.parse().ok().filter(|c| (5..=99).contains(c));
            let Some(sound) = sound else {
                return self.bad(Field::CasLatency, start);
            };
            // Written back as a rate, DDR5 has no place for it.
            parts.cas_latency = (parts.generation != Generation::Ddr5).then_some(sound);
            self.spd_revision(parts)?;
        } else {
            self.at = back;
        }
        let back = self.at;
        let (_, field) = self.segment();
        match card(&field) {
            Some((Some(letters), revision)) if EccWord::of(&field, parts.generation).is_none() => {
                parts.raw_card = Some(letters);
                parts.raw_card_revision = revision;
            }
            _ => self.at = back,
        }
        Ok(())
    }

    /// The tail and the ECC word.
    fn rest(&mut self, parts: &mut LabelParts) -> Result<(), LabelError> {
        let mut tail: Vec<String> = Vec::new();
        loop {
            let (start, field) = self.segment();
            if field.is_empty() {
                break;
            }
            if !field.bytes().all(|b| b.is_ascii_alphanumeric()) {
                return self.bad(Field::Tail, start);
            }
            match EccWord::of(&field, parts.generation) {
                Some(word) => parts.ecc = Some(word),
                None => tail.push(field),
            }
        }
        parts.tail = (!tail.is_empty()).then(|| tail.join("-"));
        Ok(())
    }
}
