//! The part of a label that starts with `PC`: generation, speed, module letter, raw card and SPD revision.

use super::error::{Field, LabelError};
use super::parts::{KindLetter, LabelParts, Letters, Nonvolatile, SupplyLetter};
use super::scan::Scanned;
use super::speed::{self, Figure};
use super::walk::{Walk, card};
use domain::{DataRate, Generation};

/// How the speed was printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Speed {
    /// The figure as printed.
    pub printed: u32,
    pub figure: Figure,
    rate: DataRate,
    grade: Option<Letters>,
    /// The kind where it stands right behind a bandwidth figure (`19200R`).
    kind: Option<KindLetter>,
}

impl Walk<'_> {
    /// Does `PC4` or `NN4` and the like stand here?
    pub fn is_bus(&self) -> bool {
        matches!(self.rest(), [b'P', b'C', ..] | [b'N', b'N' | b'F' | b'P' | b'H', b'4' | b'5', ..])
    }

    /// The whole `PC…` part.
    pub fn bus(&mut self, scanned: &mut Scanned) -> Result<(), LabelError> {
        let parts = &mut scanned.parts;
        let generation = self.generation(parts)?;
        let lenient = parts.nonvolatile.is_some();
        self.separators();
        scanned.places.speed = self.at;
        let speed = self.speed(generation)?;
        (parts.rate, parts.grade, parts.kind) = (Some(speed.rate), speed.grade, speed.kind);
        scanned.speed = Some(speed);
        if parts.kind.is_some() {
            parts.bandwidth = true;
            return self.bandwidth_fields(parts, generation, &mut scanned.places.card);
        }
        let back = self.at;
        match self.kind_and_card(parts, generation, &mut scanned.places.card) {
            // The label of a non-volatile module may leave out the letter of its bus.
            Err(_) if lenient && parts.kind.is_none() => {
                self.at = back;
                Ok(())
            }
            outcome => outcome,
        }
    }

    fn generation(&mut self, parts: &mut LabelParts) -> Result<Generation, LabelError> {
        let start = self.at;
        let (prefix, generation) = match self.rest() {
            [b'P', b'C', b'3', ..] => (None, Generation::Ddr3),
            [b'P', b'C', b'4', ..] => (None, Generation::Ddr4),
            [b'P', b'C', b'5', ..] => (None, Generation::Ddr5),
            [b'N', letter @ (b'N' | b'F' | b'P' | b'H'), b'4', ..] => (Some(*letter), Generation::Ddr4),
            [b'N', letter @ (b'N' | b'F' | b'P' | b'H'), b'5', ..] => (Some(*letter), Generation::Ddr5),
            _ => return self.bad(Field::Generation, start),
        };
        self.at += 3;
        let supply = match self.here() {
            Some(b'L') => Some(SupplyLetter::Low),
            Some(b'U') => Some(SupplyLetter::UltraLow),
            _ => None,
        };
        self.at += usize::from(supply.is_some());
        let ends = self.here().is_none_or(|b| b == b' ' || b == b'-');
        if !ends || (supply.is_some() && generation != Generation::Ddr3) {
            return self.bad(Field::Generation, start);
        }
        if let Some(letter) = prefix {
            parts.nonvolatile = Some(Nonvolatile::Prefix(char::from(letter)));
        }
        (parts.generation, parts.supply) = (Some(generation), supply);
        Ok(generation)
    }

    fn speed(&mut self, generation: Generation) -> Result<Speed, LabelError> {
        let start = self.at;
        let (printed, digits) = self.number();
        let Some(figure) = speed::figure(generation, printed).filter(|_| (3..=6).contains(&digits)) else {
            return self.bad(Field::Rate, start);
        };
        let (rate, wide) = match figure {
            Figure::Rate(rate) | Figure::Rounded(rate) => (rate, false),
            Figure::Bandwidth(rate) => (rate, true),
        };
        let letters_at = self.at;
        self.skip(|b| b.is_ascii_alphanumeric());
        let behind = self.at;
        self.at = letters_at;
        let letters = self.rest().get(..behind - letters_at).unwrap_or_default();
        let ddr3 = generation == Generation::Ddr3;
        let grade = match letters {
            [] => None,
            // A letter right behind is the kind in the bandwidth form, unless a kind follows by itself.
            [letter] if ddr3 || (wide && !self.kind_follows(behind, generation)) => {
                if let Some(kind) = KindLetter::of(*letter, generation) {
                    self.at = behind;
                    return Ok(Speed { printed, figure, rate, grade: None, kind: Some(kind) });
                }
                Letters::of(letters)
            }
            _ => Letters::of(letters),
        };
        if !letters.is_empty() && !grade.is_some_and(|g| speed::is_grade(generation, g.as_str())) {
            return self.bad(Field::Grade, letters_at);
        }
        self.at = behind;
        Ok(Speed { printed, figure, rate, grade, kind: None })
    }

    /// Is the field behind `place` a kind with or without its raw card?
    fn kind_follows(&self, place: usize, generation: Generation) -> bool {
        let rest = self.rest().get(place - self.at..).unwrap_or_default();
        let start = rest.iter().take_while(|b| matches!(b, b' ' | b'-')).count();
        let field = rest[start..].split(|b| matches!(b, b' ' | b'-')).next().unwrap_or_default();
        matches!(field, [letter, behind @ ..] if KindLetter::of(*letter, generation).is_some() && card(behind).is_some())
    }

    fn kind_and_card(
        &mut self,
        parts: &mut LabelParts,
        generation: Generation,
        place: &mut usize,
    ) -> Result<(), LabelError> {
        let before = self.at;
        let (start, field) = self.segment();
        let [letter, behind @ ..] = KindLetter::of_word(field).unwrap_or(field) else {
            return self.missing(Field::Kind, before);
        };
        let Some(kind) = KindLetter::of(*letter, generation) else {
            return if letter.is_ascii_digit() && parts.grade.is_some() {
                self.missing(Field::Kind, before)
            } else {
                self.bad(Field::Kind, start)
            };
        };
        let Some(card) = card(behind) else {
            return self.bad(Field::RawCard, start + 1);
        };
        set_card(parts, card);
        parts.kind = Some(kind);
        *place = start + 1;
        if generation == Generation::Ddr3 {
            parts.bandwidth = true;
            if parts.raw_card.is_none() {
                return self.bandwidth_fields(parts, generation, place);
            }
        }
        self.spd_revision(parts, generation)
    }

    /// `-12` or `-1010`; absent where the next field starts with a letter.
    fn spd_revision(&mut self, parts: &mut LabelParts, generation: Generation) -> Result<(), LabelError> {
        let back = self.at;
        let wanted = if generation == Generation::Ddr5 { 4 } else { 2 };
        let (start, field) = self.segment();
        if field.len() == wanted && field.iter().all(u8::is_ascii_digit) {
            parts.spd_revision = Letters::of(field);
            return Ok(());
        }
        let digit = field.first().is_some_and(u8::is_ascii_digit);
        self.at = back;
        // `16GB` and `2Rx4` may stand behind as well.
        if digit && !self.is_late_field(parts) {
            return self.bad(Field::SpdRevision, start);
        }
        Ok(())
    }

    /// Does a capacity or an organisation follow that has not been read yet?
    fn is_late_field(&self, parts: &LabelParts) -> bool {
        let mut ahead = self.clone();
        ahead.separators();
        let capacity = parts.capacity.is_none() && matches!(ahead.capacity(), Ok(Some(_)));
        capacity || (parts.ranks.is_none() && matches!(ahead.ranks(false), Ok(Some(_))))
    }

    /// `-11-12-E2`: CAS latency, SPD revision and raw card, each of which may be absent.
    fn bandwidth_fields(
        &mut self,
        parts: &mut LabelParts,
        generation: Generation,
        place: &mut usize,
    ) -> Result<(), LabelError> {
        let back = self.at;
        let (start, clocks) = self.segment();
        if clocks.first().is_some_and(u8::is_ascii_digit) {
            let sound = match clocks {
                // Makers print `9` and `09`.
                [one @ b'5'..=b'9'] | [b'0', one @ b'5'..=b'9'] => Some(one - b'0'),
                [tens @ b'1'..=b'9', ones @ b'0'..=b'9'] => Some((tens - b'0') * 10 + ones - b'0'),
                _ => None,
            };
            let Some(sound) = sound else {
                self.at = back;
                return if self.is_late_field(parts) { Ok(()) } else { self.bad(Field::CasLatency, start) };
            };
            parts.cas_latency = Some(sound);
            self.spd_revision(parts, generation)?;
        } else {
            self.at = back;
        }
        let back = self.at;
        let (start, field) = self.segment();
        match card(field) {
            Some((letters, revision))
                if !letters.is_empty() && super::parts::EccWord::of(field, generation).is_none() =>
            {
                set_card(parts, (letters, revision));
                *place = start;
            }
            _ => self.at = back,
        }
        Ok(())
    }
}

fn set_card(parts: &mut LabelParts, (letters, revision): super::walk::Card<'_>) {
    parts.raw_card = Letters::of(letters);
    parts.raw_card_revision = Letters::of(revision);
}
