//! What a label means: the module it describes, with what is odd about it or not certain.

use super::error::{Field, LabelError};
use super::organisation::{die_mbit, on_card, usual_densities};
use super::parts::{KindLetter, LabelParts, Nonvolatile, Ranks, Stacking, SupplyLetter};
use super::scan::Scanned;
use super::speed::{self, Figure};
use super::{Places, nearest};
use crate::cards;
use domain::module::ModuleId;
use domain::quantity::{DieDensity, Voltage};
use domain::reading::{Clocks, Form, Oddity, RawCard};
use domain::{Generation, Kind, Module, ModuleReading, Organisation};

/// A label that was read: the fields as printed, what is odd about them, and notes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LabelReading {
    pub parts: LabelParts,
    /// Fields that contradict each other or what labels are known to say; the offset is a column from 0.
    pub oddities: Vec<Oddity>,
    /// What is not certain in the reading, and cautions; sentences without a full stop.
    pub notes: Vec<String>,
    places: Places,
}

impl LabelReading {
    /// What the fields of a label mean.
    pub fn from_parts(parts: LabelParts) -> Self {
        Self::from_scanned(Scanned { parts, places: Places::default(), speed: None })
    }

    pub(super) fn from_scanned(scanned: Scanned) -> Self {
        let Scanned { parts, places, speed } = scanned;
        let mut reading = Self { parts, oddities: Vec::new(), notes: Vec::new(), places };
        if let Some(speed) = speed {
            reading.look_at_figure(speed.printed, speed.figure);
        }
        reading.look_at_grade();
        reading.look_at_dies();
        reading.look_at_card();
        if reading.parts.nonvolatile.is_some() {
            reading.notes.push(
                "a non-volatile module, never counted as DRAM: it may hold a customer's data, to be erased by the \
                 maker's procedure before resale; the label does not tell what keeps the data without power"
                    .into(),
            );
        }
        if reading.parts.kind == Some(KindLetter::Multiplexed) {
            reading.notes.push("the letter M for a multiplexed-rank module is from memory".into());
        }
        reading
    }

    /// What the label tells of the module; what it does not print stays open.
    pub fn reading(&self) -> ModuleReading {
        let parts = &self.parts;
        let organisation = parts.ranks.map(organisation);
        let kind = kind(parts);
        let card = parts.raw_card.as_ref().map(|letter| RawCard {
            letter: letter.to_string(),
            revision: parts.raw_card_revision.map(|r| r.to_string()).unwrap_or_default(),
        });
        ModuleReading {
            generation: parts.generation,
            kind,
            form: parts.kind.map(|k| if k.is_small() { Form::Sodimm } else { Form::Dimm }),
            capacity: parts.capacity,
            package_ranks: organisation.map(|o| o.package_ranks),
            stack_height: organisation.map(|o| o.stack),
            dual_die: organisation.map(|o| o.dual_die),
            device_width: organisation.map(|o| o.width),
            ecc_bits: ecc_bits(parts),
            die_density: die_density(parts),
            rate: parts.rate,
            clocks: clocks(parts),
            grade: parts.grade.map(|g| g.to_string()),
            voltage: voltage(parts),
            raw_card: card,
            spd_revision: parts.spd_revision.map(|r| r.to_string()),
            temperature_range: parts.temperature_range().map(str::to_string),
            label: Some(parts.written()),
            oddities: self.oddities.clone(),
            ..ModuleReading::default()
        }
    }

    /// The whole module, whose id and label are the label written in full form.
    ///
    /// # Errors
    /// A capacity or organisation that is not printed; a small-outline or a non-volatile module.
    pub fn module(&self) -> Result<Module, LabelError> {
        let parts = &self.parts;
        let missing = |field, at: usize| LabelError::Missing { field, column: at + 1, nearest: None };
        let bus_at = self.places.speed.saturating_sub(4);
        if let Some(mark) = parts.nonvolatile {
            let found = match mark {
                Nonvolatile::Prefix(letter) => format!("N{letter}"),
                Nonvolatile::Word(_) => "NVDIMM".to_string(),
            };
            let column = if matches!(mark, Nonvolatile::Prefix(_)) { bus_at + 1 } else { 1 };
            return Err(LabelError::Nonvolatile { column, found });
        }
        let (Some(generation), Some(rate), Some(kind)) = (parts.generation, parts.rate, kind(parts)) else {
            return Err(missing(Field::Generation, 0));
        };
        if let Some(letter) = parts.kind.filter(|k| k.is_small()) {
            let column = self.places.card.max(1);
            return Err(LabelError::NotServer { column, found: letter.letter().to_string() });
        }
        let Some(capacity) = parts.capacity else {
            return Err(missing(Field::Capacity, self.places.ranks.min(bus_at)));
        };
        let Some(ranks) = parts.ranks else {
            return Err(missing(Field::Organisation, bus_at));
        };
        let label = parts.written();
        Ok(Module {
            id: ModuleId(label.clone()),
            label,
            generation,
            kind,
            capacity,
            organisation: organisation(ranks),
            ecc_bits: ecc_bits(parts),
            rate,
            cas_latency: parts.cas_latency.or_else(|| clocks(parts).and_then(|c| u8::try_from(c.cas).ok())),
            die_density: die_density(parts),
            voltage: voltage(parts).unwrap_or_else(|| Module::standard_voltage(generation)),
            watts: None,
            height: None,
            part_number: None,
            maker: None,
            prices: Vec::new(),
        })
    }

    /// The label that may have been meant, where it could be read but looks like a slip: a letter for a digit in the
    /// tail, or an organisation left out that the raw card implies.
    pub fn nearest(&self) -> Option<String> {
        nearest::beside(self)
    }

    fn odd(&mut self, name: &'static str, offset: usize, seen: String) {
        self.oddities.push(Oddity { name, offset: Some(offset), seen });
    }

    fn look_at_figure(&mut self, printed: u32, figure: Figure) {
        match figure {
            Figure::Rounded(rate) => self.notes.push(format!("{printed} is read as {rate}")),
            Figure::Bandwidth(rate) => {
                if let Some(grade) = self.parts.grade {
                    let seen = format!("the bandwidth {printed} stands with the speed grade {grade}; read as {rate}");
                    self.odd("bandwidth-with-grade", self.places.speed, seen);
                }
            }
            Figure::Rate(_) => {}
        }
    }

    fn look_at_grade(&mut self) {
        let parts = &self.parts;
        let (Some(generation), Some(rate), Some(grade)) = (parts.generation, parts.rate, parts.grade) else {
            return;
        };
        if !speed::is_bin(generation, rate, grade.as_str()) {
            let seen = format!("{rate} is not known to come in grade {grade} (list from memory)");
            self.odd("no-such-speed-bin", self.places.speed, seen);
        } else if clocks(parts).is_none() {
            let stacked = if parts.is_stacked() { " in 3DS stacks" } else { "" };
            self.notes.push(format!("no CAS latency is known for {}{grade}{stacked}", rate.mts()));
        }
    }

    /// The density that capacity and organisation imply, where no such dies are known.
    fn look_at_dies(&mut self) {
        let parts = &self.parts;
        let (Some(generation), Some(capacity), Some(ranks)) = (parts.generation, parts.capacity, parts.ranks) else {
            return;
        };
        let flat = parts.kind.is_some_and(|k| !matches!(k, KindLetter::Registered | KindLetter::LoadReduced));
        if parts.is_stacked() && flat && parts.kind != Some(KindLetter::Multiplexed) {
            let seen = format!("{ranks}: 3DS stacks are not known on unbuffered modules");
            self.odd("stack-on-unbuffered", self.places.ranks, seen);
        }
        let mbit = die_mbit(capacity, ranks.width, organisation(ranks).logical_ranks());
        if mbit.is_some_and(|mbit| usual_densities(generation).contains(&mbit)) {
            return;
        }
        let dies = match mbit {
            Some(mbit) if mbit % 1024 == 0 => format!("{} Gbit", mbit / 1024),
            Some(mbit) => format!("{mbit} Mbit"),
            None => "no whole number of bits".into(),
        };
        let seen =
            format!("{capacity} of {ranks} takes dies of {dies}, which {generation} modules are not known to have");
        self.odd("capacity-against-organisation", self.places.capacity, seen);
    }

    fn look_at_card(&mut self) {
        let (Some(seen), Some(ranks)) = (on_card(&self.parts), self.parts.ranks) else { return };
        if !cards::is_one_of(&ranks.to_string(), seen) {
            let card = self.parts.raw_card.map(|c| c.to_string()).unwrap_or_default();
            let seen = seen.join(" or ");
            let words =
                format!("raw card {card} was seen with {seen}, not with {ranks}: check capacity and organisation");
            self.odd("raw-card-unusual", self.places.card, words);
        }
    }
}

fn organisation(ranks: Ranks) -> Organisation {
    Organisation {
        package_ranks: ranks.package_ranks,
        width: ranks.width,
        stack: if let Stacking::Single(high) = ranks.stacking { high } else { 1 },
        dual_die: matches!(ranks.stacking, Stacking::Dual | Stacking::Quad),
    }
}

fn kind(parts: &LabelParts) -> Option<Kind> {
    if parts.nonvolatile.is_some() {
        return Some(Kind::Nonvolatile);
    }
    Some(match (parts.kind?, parts.is_stacked()) {
        (KindLetter::Registered, false) => Kind::Rdimm,
        (KindLetter::Registered, true) => Kind::Rdimm3ds,
        (KindLetter::LoadReduced, false) => Kind::Lrdimm,
        (KindLetter::LoadReduced, true) => Kind::Lrdimm3ds,
        (KindLetter::Multiplexed, _) => Kind::Mrdimm,
        _ => Kind::Udimm,
    })
}

/// ECC bits: told by a word behind the label, else by the kind, save that registered DDR5 modules come with 4 or 8.
fn ecc_bits(parts: &LabelParts) -> Option<u8> {
    if let Some(word) = parts.ecc {
        return Some(word.bits());
    }
    match (parts.kind?, parts.generation?) {
        (KindLetter::Unbuffered | KindLetter::SmallOutline, _) => Some(0),
        (KindLetter::UnbufferedEcc | KindLetter::SmallOutlineEcc, Generation::Ddr5) => Some(4),
        (_, Generation::Ddr5) => None,
        _ => Some(8),
    }
}

fn voltage(parts: &LabelParts) -> Option<Voltage> {
    match parts.supply {
        Some(SupplyLetter::Low) => Some(Voltage::from_millivolts(1350)),
        Some(SupplyLetter::UltraLow) => Some(Voltage::from_millivolts(1250)),
        None => parts.generation.map(Module::standard_voltage),
    }
}

fn clocks(parts: &LabelParts) -> Option<Clocks> {
    let (generation, rate, stacked) = (parts.generation?, parts.rate?, parts.is_stacked());
    if let Some(cas) = parts.cas_latency {
        return speed::clocks_of_cas(generation, rate, cas, stacked);
    }
    speed::clocks(generation, rate, parts.grade?.as_str(), stacked)
}

fn die_density(parts: &LabelParts) -> Option<DieDensity> {
    let ranks = parts.ranks?;
    let mbit = die_mbit(parts.capacity?, ranks.width, organisation(ranks).logical_ranks())?;
    let gbit = u32::try_from(mbit / 1024).ok().filter(|_| mbit % 1024 == 0)?;
    usual_densities(parts.generation?).contains(&mbit).then(|| DieDensity::from_gbit(gbit))
}
