//! Example cases as text: `spd: capacity 32GB, serial 4448ECFB`, a line for each source; `module` begins the next one.
//!
//! `today 2026-48` sets the date; `-> NAME` or `-> clean` ends a case. For the examples of signs, and for explaining them.

use super::{Evidence, Given, Today};
use domain::module::Generation;
use domain::quantity::{DieDensity, Voltage};
use domain::reading::{Checksum, Clocks, Made, Maker, MakerId, Oddity, RawCard};
use domain::{Capacity, DataRate, Kind, ModuleReading};

/// The date of a case that names none.
const TODAY: Today = Today { year: 2026, week: 1 };

/// Why an example can't be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line}: `{text}` {why}")]
pub struct NotationError {
    /// From 1.
    pub line: usize,
    pub text: String,
    pub why: &'static str,
}

/// One case: the modules of a tray, and what is expected of them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Example {
    pub today: Today,
    pub modules: Vec<Vec<Given>>,
    /// The sign that is there; `None` where there is none at all.
    pub expected: Option<String>,
}

/// Reads cases.
///
/// # Errors
/// A line is in none of the forms.
pub fn parse(text: &str) -> Result<Vec<Example>, NotationError> {
    let mut examples = Vec::new();
    let mut today = TODAY;
    let mut modules = vec![Vec::new()];
    for (i, line) in text.lines().enumerate() {
        let line = line.trim();
        let wrong = |why| NotationError { line: i + 1, text: line.to_string(), why };
        if line.is_empty() {
            continue;
        }
        if let Some(expected) = line.strip_prefix("-> ") {
            let expected = (expected != "clean").then(|| expected.to_string());
            examples.push(Example { today, modules: std::mem::replace(&mut modules, vec![Vec::new()]), expected });
            today = TODAY;
        } else if line == "module" {
            modules.push(Vec::new());
        } else if let Some(date) = line.strip_prefix("today ") {
            let Made { year, week } = made(date).ok_or_else(|| wrong("is no date"))?;
            today = Today { year, week };
        } else {
            let (from, fields) = line.split_once(": ").ok_or_else(|| wrong("has no source"))?;
            let from = evidence(from).ok_or_else(|| wrong("names no source"))?;
            let mut reading = ModuleReading::default();
            for field in fields.split(", ") {
                let (key, value) = field.split_once(' ').ok_or_else(|| wrong("has a field without a value"))?;
                set(&mut reading, key, value).ok_or_else(|| wrong("has a field that can't be read"))?;
            }
            if let Some(module) = modules.last_mut() {
                module.push(Given { from, reading });
            }
        }
    }
    Ok(examples)
}

fn evidence(word: &str) -> Option<Evidence> {
    Some(match word {
        "label" => Evidence::Label,
        "code" => Evidence::Code,
        "part-number" => Evidence::PartNumber,
        "spd" => Evidence::Spd,
        "list" => Evidence::List,
        "machine" => Evidence::Machine,
        _ => return None,
    })
}

fn set(reading: &mut ModuleReading, key: &str, value: &str) -> Option<()> {
    let number = || value.parse::<u8>().ok();
    match key {
        "generation" => reading.generation = Some(Generation::parse(value)?),
        "kind" => reading.kind = Some(Kind::parse(value)?),
        "capacity" => reading.capacity = Some(Capacity::parse(value).ok()?),
        "ranks" => reading.package_ranks = Some(number()?),
        "stack" => reading.stack_height = Some(number()?),
        "width" => reading.device_width = Some(number()?),
        "ecc" => reading.ecc_bits = Some(number()?),
        "density" => reading.die_density = Some(DieDensity::from_gbit(number()?.into())),
        "rate" => reading.rate = Some(DataRate::parse(value).ok()?),
        "clocks" => reading.clocks = Some(clocks(value)?),
        "voltage" => reading.voltage = Some(Voltage::from_millivolts(value.parse().ok()?)),
        "card" => reading.raw_card = Some(card(value)?),
        "revision" => reading.spd_revision = Some(value.to_string()),
        "range" => reading.temperature_range = Some(value.to_string()),
        "sensor" => reading.thermal_sensor = Some(value == "yes"),
        "rows" => reading.dram_rows = Some(number()?),
        "maker" => reading.maker = Some(maker(value)?),
        "dram" => reading.dram_maker = Some(maker(value)?),
        "register" => reading.register_maker = Some(maker(value)?),
        "part" => reading.part_number = Some(value.into()),
        "serial" => reading.serial = Some(value.into()),
        "made" => reading.made = Some(made(value)?),
        "location" => reading.location = Some(number()?),
        "checksum" => reading.checksums.push(checksum(value)?),
        "oddity" => {
            let name = super::by_name(value)?.name;
            reading.oddities.push(Oddity { name, offset: None, seen: "as in the example".to_string() });
        }
        _ => return None,
    }
    Some(())
}

/// `22-22-22`.
fn clocks(text: &str) -> Option<Clocks> {
    let mut figures = text.split('-').map(|f| f.parse().ok());
    Some(Clocks { cas: figures.next()??, rcd: figures.next()??, rp: figures.next()?? })
}

/// `2021-40`.
fn made(text: &str) -> Option<Made> {
    let (year, week) = text.split_once('-')?;
    Some(Made { year: year.parse().ok()?, week: week.parse().ok()? })
}

/// `B2`, `B`.
fn card(text: &str) -> Option<RawCard> {
    let letter = text.get(..1)?.to_string();
    Some(RawCard { letter, revision: text.get(1..)?.to_string() })
}

/// `SK hynix 80AD`: a name, the two bytes of its id as an SPD holds them, or both; `?` stands for no name.
fn maker(text: &str) -> Option<Maker> {
    let (name, bytes) = match text.rsplit_once(' ') {
        Some((name, last)) if last.len() == 4 => (name, u16::from_str_radix(last, 16).ok()),
        _ => (text, None),
    };
    let name = (name != "?").then(|| name.to_string());
    let id = bytes.map(|b| {
        let [first, second] = b.to_be_bytes();
        MakerId { continuations: first & 0x7F, id: second & 0x7F }
    });
    Some(Maker { name: name.map(Into::into), id })
}

/// `base 1234 5678`: stored, computed.
fn checksum(text: &str) -> Option<Checksum> {
    let mut words = text.split(' ');
    let name = if words.next()? == "base" { "base" } else { "module section" };
    let mut figure = || words.next().and_then(|w| u16::from_str_radix(w, 16).ok());
    Some(Checksum { name, stored: figure()?, computed: figure()? })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_faulty_line_is_told_with_its_number() {
        let error = parse("spd: capacity 32GB\nspd: capacity much").unwrap_err();
        assert_eq!(error.to_string(), "line 2: `spd: capacity much` has a field that can't be read");
        for text in ["spd", "tape: capacity 1GB", "spd: capacity", "spd: colour red", "today soon"] {
            assert!(parse(text).is_err(), "{text}");
        }
    }
}
