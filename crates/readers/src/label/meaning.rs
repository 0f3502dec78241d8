//! What a label means: the module it describes, with notes on what is odd or not certain.

use super::organisation::{die_mbit, on_card, plain, usual_densities};
use super::parts::{KindLetter, LabelParts, Stacking, SupplyLetter};
use super::speed;
use domain::module::ModuleId;
use domain::quantity::{DieDensity, Voltage};
use domain::{Generation, Kind, Module, Organisation};

/// A label that was read: the module, the fields as printed, and notes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LabelReading {
    /// Its id and label are the label written in full form.
    pub module: Module,
    pub parts: LabelParts,
    /// What is odd about the label, or not certain in its reading; sentences without a full stop.
    pub notes: Vec<String>,
}

impl LabelReading {
    /// What the fields of a label mean.
    pub fn from_parts(parts: LabelParts) -> Self {
        let mut notes = Vec::new();
        let stacked = matches!(parts.stacking, Stacking::Single(_));
        let organisation = organisation(&parts);
        let label = parts.to_string();
        let module = Module {
            id: ModuleId(label.clone()),
            label,
            generation: parts.generation,
            kind: kind(&parts, stacked, &mut notes),
            capacity: parts.capacity,
            organisation,
            ecc_bits: ecc_bits(&parts),
            rate: parts.rate,
            cas_latency: cas_latency(&parts, stacked, &mut notes),
            die_density: die_density(&parts, organisation, &mut notes),
            voltage: voltage(&parts),
            watts: None,
            height: None,
            part_number: None,
            maker: None,
            prices: Vec::new(),
        };
        note_card(&parts, &mut notes);
        Self { module, parts, notes }
    }
}

fn organisation(parts: &LabelParts) -> Organisation {
    Organisation {
        package_ranks: parts.package_ranks,
        width: parts.width,
        stack: if let Stacking::Single(high) = parts.stacking { high } else { 1 },
        dual_die: matches!(parts.stacking, Stacking::Dual | Stacking::Quad),
    }
}

fn kind(parts: &LabelParts, stacked: bool, notes: &mut Vec<String>) -> Kind {
    match (parts.kind, stacked) {
        (KindLetter::Registered, false) => Kind::Rdimm,
        (KindLetter::Registered, true) => Kind::Rdimm3ds,
        (KindLetter::LoadReduced, false) => Kind::Lrdimm,
        (KindLetter::LoadReduced, true) => Kind::Lrdimm3ds,
        (KindLetter::UnbufferedEcc | KindLetter::Unbuffered, stacked) => {
            if stacked {
                notes.push("3DS stacks are not known on unbuffered modules".into());
            }
            Kind::Udimm
        }
        (KindLetter::Multiplexed, _) => {
            notes.push("the letter M for a multiplexed-rank module is from memory".into());
            Kind::Mrdimm
        }
    }
}

/// ECC bits: told by a word behind the label, else by the kind, save that registered DDR5 modules come with 4 or 8.
fn ecc_bits(parts: &LabelParts) -> Option<u8> {
    if let Some(word) = parts.ecc {
        return Some(word.bits());
    }
    match (parts.kind, parts.generation) {
        (KindLetter::Unbuffered, _) => Some(0),
        (KindLetter::UnbufferedEcc, Generation::Ddr5) => Some(4),
        (_, Generation::Ddr5) => None,
        _ => Some(8),
    }
}

fn voltage(parts: &LabelParts) -> Voltage {
    match parts.supply {
        Some(SupplyLetter::Low) => Voltage::from_millivolts(1350),
        Some(SupplyLetter::UltraLow) => Voltage::from_millivolts(1250),
        None => Module::standard_voltage(parts.generation),
    }
}

fn cas_latency(parts: &LabelParts, stacked: bool, notes: &mut Vec<String>) -> Option<u8> {
    if parts.cas_latency.is_some() {
        return parts.cas_latency;
    }
    let grade = parts.grade.as_deref()?;
    if !speed::is_bin(parts.generation, parts.rate, grade) {
        notes.push(format!("{} is not known to come in grade {grade} (list from memory)", parts.rate));
    }
    let clocks = speed::cas_latency(parts.generation, parts.rate, grade, stacked);
    if clocks.is_none() {
        notes.push(format!("no CAS latency is known for {}{grade}", parts.rate.mts()));
    }
    clocks
}

/// The density that capacity and organisation imply; noted where no such dies are known.
fn die_density(parts: &LabelParts, organisation: Organisation, notes: &mut Vec<String>) -> Option<DieDensity> {
    let mbit = die_mbit(parts.capacity, parts.width, organisation.logical_ranks());
    let gbit = mbit.filter(|m| m % 1024 == 0).and_then(|m| u32::try_from(m / 1024).ok());
    if let Some(gbit) = gbit.filter(|g| usual_densities(parts.generation).contains(g)) {
        return Some(DieDensity::from_gbit(gbit));
    }
    let dies = match (gbit, mbit) {
        (Some(gbit), _) => format!("{gbit} Gbit"),
        (None, Some(mbit)) => format!("{mbit} Mbit"),
        (None, None) => "no whole number of bits".into(),
    };
    notes.push(format!(
        "{} of {organisation} takes dies of {dies}, which {} modules are not known to have",
        parts.capacity, parts.generation
    ));
    None
}

fn note_card(parts: &LabelParts, notes: &mut Vec<String>) {
    let Some(seen) = on_card(parts) else { return };
    let printed = plain(parts);
    if !seen.contains(&printed.as_str()) {
        notes.push(format!(
            "raw card {} was seen with {}, not with {printed}: check capacity and organisation",
            parts.raw_card.as_deref().unwrap_or_default(),
            seen.join(" or ")
        ));
    }
}
