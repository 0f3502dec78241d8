//! The words of one line of the notation, read one after another with errors that name the line.

use super::NotationError;
use domain::board::{Board, SlotIndex};
use domain::module::{Module, ModuleId, Organisation};
use domain::quantity::{DieDensity, QuantityError, Voltage};
use domain::{Capacity, DataRate, Generation, Height, Kind, Watts};
use std::str::FromStr;

/// What is left of a line.
pub(super) struct Words<'t> {
    line: usize,
    words: std::vec::IntoIter<&'t str>,
}

impl<'t> Words<'t> {
    /// The words of a line, without its comment.
    pub fn of(line: usize, text: &'t str) -> Self {
        let text = text.split('#').next().unwrap_or_default();
        Self { line, words: text.split_whitespace().collect::<Vec<_>>().into_iter() }
    }
    /// The next word, left in place.
    pub fn peek(&self) -> Option<&'t str> {
        self.words.as_slice().first().copied()
    }
    /// Passes over the word that was looked at.
    pub fn skip(&mut self) {
        self.words.next();
    }
    pub fn next(&mut self, expected: &'static str) -> Result<&'t str, NotationError> {
        self.words.next().ok_or(NotationError::Missing { line: self.line, expected })
    }
    /// The error that a word is not what should stand there.
    pub fn wrong(&self, found: &str, expected: &'static str) -> NotationError {
        NotationError::Word { line: self.line, found: found.to_string(), expected }
    }
    pub fn keyword(&mut self, word: &'static str) -> Result<(), NotationError> {
        let found = self.next(word)?;
        if found == word { Ok(()) } else { Err(self.wrong(found, word)) }
    }
    pub fn end(&mut self) -> Result<(), NotationError> {
        match self.words.next() {
            Some(found) => Err(NotationError::Extra { line: self.line, found: found.to_string() }),
            None => Ok(()),
        }
    }
    pub fn number<N: FromStr>(&mut self, expected: &'static str) -> Result<N, NotationError> {
        let word = self.next(expected)?;
        word.parse().map_err(|_| self.wrong(word, expected))
    }
    /// `2 sockets`: a number from 1 to `most` and one of the nouns.
    pub fn count(&mut self, most: u8, nouns: &[&str], expected: &'static str) -> Result<u8, NotationError> {
        let number: u8 = self.number(expected)?;
        if !(1..=most).contains(&number) {
            return Err(self.wrong(&number.to_string(), expected));
        }
        let noun = self.next(expected)?;
        if nouns.contains(&noun) { Ok(number) } else { Err(self.wrong(noun, expected)) }
    }
    fn quantity<T>(&self, read: Result<T, QuantityError>) -> Result<T, NotationError> {
        read.map_err(|cause| NotationError::Quantity { line: self.line, cause })
    }
    pub fn capacity(&mut self) -> Result<Capacity, NotationError> {
        let word = self.next("a capacity")?;
        self.quantity(Capacity::parse(word))
    }
    pub fn rate(&self, word: &str) -> Result<DataRate, NotationError> {
        self.quantity(DataRate::parse(word))
    }
    /// A number with its unit, such as `12W` or `31.25mm`.
    pub fn measure(&mut self, unit: &str, expected: &'static str) -> Result<f64, NotationError> {
        let word = self.next(expected)?;
        measured(word, unit).ok_or_else(|| self.wrong(word, expected))
    }
    /// One kind or more, up to the first word that is none.
    pub fn kinds(&mut self) -> Result<Vec<Kind>, NotationError> {
        let mut kinds = Vec::new();
        while let Some(kind) = self.peek().and_then(Kind::parse) {
            self.skip();
            kinds.push(kind);
        }
        if kinds.is_empty() { Err(self.wrong(self.peek().unwrap_or_default(), "a module kind")) } else { Ok(kinds) }
    }
    /// Channel numbers by their letters: `abc` is 0, 1, 2.
    pub fn channels(&self, letters: &str) -> Result<Vec<u8>, NotationError> {
        letters
            .bytes()
            .map(|b| if b.is_ascii_lowercase() { Ok(b - b'a') } else { Err(self.wrong(letters, "channel letters")) })
            .collect()
    }
    /// The one slot with a name.
    pub fn slot(&self, board: &Board, name: &str) -> Result<SlotIndex, NotationError> {
        let missing = NotationError::NoSlot { line: self.line, name: name.to_string() };
        board.slot_by_label(name).ok_or(missing)
    }
    /// The slots that the next words name; `*` stands for every socket, channel or position.
    pub fn slots(&mut self, board: &Board) -> Result<Vec<SlotIndex>, NotationError> {
        let mut slots = Vec::new();
        while let Some(word) = self.peek().filter(|w| is_slot_name(w)) {
            self.skip();
            let before = slots.len();
            let fits = |label: &str| label.chars().zip(word.chars()).all(|(l, w)| w == '*' || w == l);
            slots.extend(board.indexed().filter(|(_, s)| fits(&s.label)).map(|(i, _)| i));
            if slots.len() == before {
                return Err(NotationError::NoSlot { line: self.line, name: word.to_string() });
            }
        }
        if slots.is_empty() {
            Err(self.wrong(self.peek().unwrap_or_default(), "a slot such as `0a1`"))
        } else {
            Ok(slots)
        }
    }
    /// `64GB 2Rx4 RDIMM`, then in any order a rate, generation, `16Gbit`, `12W`, `31.25mm`, `1.35V`, `no-ecc`.
    pub fn module(&mut self, generation: Generation, rate: DataRate) -> Result<Module, NotationError> {
        let capacity = self.capacity()?;
        let word = self.next("an organisation such as 2Rx4")?;
        let organisation = organisation(word).ok_or_else(|| self.wrong(word, "an organisation such as 2Rx4"))?;
        let word = self.next("a module kind")?;
        let kind = Kind::parse(word).ok_or_else(|| self.wrong(word, "a module kind"))?;
        let mut module = Module {
            id: ModuleId(String::new()),
            label: String::new(),
            generation,
            kind,
            capacity,
            organisation,
            ecc_bits: Some(8),
            rate,
            cas_latency: None,
            die_density: None,
            voltage: Module::standard_voltage(generation),
            watts: None,
            height: None,
            part_number: None,
            maker: None,
            prices: Vec::new(),
        };
        let mut extras = String::new();
        while let Some(word) = self.peek() {
            self.skip();
            if word.bytes().all(|b| b.is_ascii_digit()) {
                module.rate = self.rate(word)?;
            } else {
                extra(&mut module, word)
                    .ok_or_else(|| self.wrong(word, "a rate, 16Gbit, 12W, 31.25mm, 1.35V, no-ecc"))?;
                extras.push(' ');
                extras.push_str(word);
            }
        }
        module.label = format!("{}{extras}", module.short());
        module.id = ModuleId(module.label.clone());
        Ok(module)
    }
}

/// Socket digit or `*`, channel letter or `*`, position digit or `*`.
fn is_slot_name(word: &str) -> bool {
    let mut bytes = word.bytes();
    let digit = |b: Option<u8>| b.is_some_and(|b| b == b'*' || b.is_ascii_digit());
    digit(bytes.next())
        && bytes.next().is_some_and(|b| b == b'*' || b.is_ascii_lowercase())
        && digit(bytes.next())
        && bytes.next().is_none()
}

fn measured(word: &str, unit: &str) -> Option<f64> {
    word.strip_suffix(unit)?.parse().ok().filter(|n: &f64| n.is_finite() && *n >= 0.0)
}

/// `2Rx4`, `4DRx4`, `2S4Rx4`.
fn organisation(word: &str) -> Option<Organisation> {
    let (ranks, width) = word.split_once("Rx")?;
    let (ranks, stack, dual_die) = match (ranks.split_once('S'), ranks.strip_suffix('D')) {
        (Some((ranks, stack)), _) => (ranks, stack.parse().ok()?, false),
        (None, Some(ranks)) => (ranks, 1, true),
        (None, None) => (ranks, 1, false),
    };
    let organisation = Organisation { package_ranks: ranks.parse().ok()?, width: width.parse().ok()?, stack, dual_die };
    let plausible = (1..=8).contains(&organisation.package_ranks)
        && matches!(organisation.width, 4 | 8 | 16)
        && (1..=16).contains(&organisation.stack);
    plausible.then_some(organisation)
}

/// One word that adds to a module.
fn extra(module: &mut Module, word: &str) -> Option<()> {
    if let Some(generation) = Generation::parse(word) {
        module.generation = generation;
        module.voltage = Module::standard_voltage(generation);
    } else if let Some(gbit) = word.strip_suffix("Gbit") {
        module.die_density = Some(DieDensity::from_gbit(gbit.parse().ok()?));
    } else if let Some(watts) = measured(word, "W") {
        module.watts = Some(Watts::from_watts(watts));
    } else if let Some(mm) = measured(word, "mm") {
        module.height = Some(Height::from_mm(mm));
    } else if let Some(volts) = measured(word, "V") {
        module.voltage = Voltage::from_millivolts((volts * 1000.0).round() as u32);
    } else {
        module.ecc_bits = match word {
            "no-ecc" => Some(0),
            "ecc4" => Some(4),
            "ecc8" => Some(8),
            "ecc-unknown" => None,
            _ => return None,
        };
    }
    Some(())
}
