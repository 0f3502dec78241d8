//! The readers, each as what it tells of a module or machine, or why it can't.

use super::view::UnreadView;
use crate::disk;
use domain::ErrorEvent;
use domain::ModuleReading;
use domain::Origin;
use domain::reading::Oddity;
use domain::snapshot::{ErrorCounts, Snapshot};
use engine::screen::{Evidence, Given};
use std::collections::BTreeMap;
use std::path::Path;

/// What one thing tells of a module.
#[derive(Debug, Default)]
pub struct Told {
    pub given: Vec<Given>,
    pub notes: Vec<String>,
}

/// Why a thing can't be read.
#[derive(Debug)]
pub struct Why {
    /// Byte, or column from 0.
    pub offset: Option<usize>,
    pub why: String,
    pub hint: String,
}

impl Why {
    /// With what can't be read.
    pub fn of(self, from: &str) -> UnreadView {
        UnreadView::new(from, self.offset, self.why, &self.hint)
    }
}

/// A label.
pub fn label(text: &str) -> Result<Told, Why> {
    let read = readers::label::read(text).map_err(|e| Why {
        offset: Some(e.column().saturating_sub(1)),
        why: e.to_string(),
        hint: e.hint(),
    })?;
    let mut notes = read.notes.clone();
    if let Some(nearest) = read.nearest() {
        notes.push(format!("is `{nearest}` meant? look at the label again"));
    } else if let Some(tail) = read.parts.tail.as_deref().filter(|_| !read.parts.tail_is_usual()) {
        notes.push(format!("`{tail}` behind the label is in no form that labels are known to have there; look again"));
    }
    let mut told = Told { given: vec![Given { from: Evidence::Label, reading: read.reading() }], notes };
    told.with_part_number();
    Ok(told)
}

/// A 2-D code, with the label and the part number in it.
pub fn code(text: &str) -> Result<Told, Why> {
    let read =
        readers::label::code::read(text).map_err(|e| Why { offset: None, why: e.to_string(), hint: e.hint() })?;
    let mut told = Told { given: vec![Given { from: Evidence::Code, reading: read.reading() }], notes: Vec::new() };
    told.with_part_number();
    Ok(told)
}

/// A part number alone; what stands behind it is passed over.
pub fn part_number(text: &str) -> Result<Told, Why> {
    let first = text.split_whitespace().next().unwrap_or_default();
    let (read, rest) = match readers::part_number::read(text.trim()) {
        Err(_) if readers::part_number::read(first).is_ok() => {
            let rest = text.trim()[first.len()..].trim().to_string();
            (readers::part_number::read(first), (!rest.is_empty()).then_some(rest))
        }
        read => (read, None),
    };
    let read =
        read.map_err(|e| Why { offset: Some(e.column().saturating_sub(1)), why: e.to_string(), hint: e.hint() })?;
    let mut notes = read.notes;
    notes.extend(rest.map(|rest| format!("`{rest}` behind the part number is passed over")));
    if !read.untold.is_empty() {
        notes.push(format!("a part number does not tell: {}", read.untold.join(", ")));
    }
    Ok(Told { given: vec![Given { from: Evidence::PartNumber, reading: read.reading }], notes })
}

/// SPD contents.
pub fn spd(bytes: &[u8]) -> Result<Told, Why> {
    let read =
        readers::spd::read(bytes).map_err(|e| Why { offset: Some(e.offset()), why: e.to_string(), hint: e.hint() })?;
    let mut told = Told { given: vec![Given { from: Evidence::Spd, reading: read.reading() }], notes: Vec::new() };
    told.with_part_number();
    Ok(told)
}

/// Hexadecimal text: the bytes, and what was taken for granted.
pub fn hex(text: &str) -> Result<(Vec<u8>, Vec<String>), Why> {
    let read = readers::spd::text::read(text).map_err(|e| Why { offset: None, why: e.to_string(), hint: e.hint() })?;
    Ok((read.bytes, read.notes))
}

/// SPD contents as hexadecimal text.
pub fn spd_text(text: &str) -> Result<Told, Why> {
    let (bytes, notes) = hex(text)?;
    let mut told = spd(&bytes)?;
    told.notes.splice(0..0, notes);
    Ok(told)
}

/// An SMBIOS table.
pub fn smbios(bytes: &[u8]) -> Result<Snapshot, Why> {
    readers::smbios::read(bytes).map_err(|e| Why { offset: Some(0), why: e.to_string(), hint: e.hint().to_string() })
}

/// One Redfish document.
pub fn redfish(text: &[u8]) -> Result<Vec<Snapshot>, Why> {
    readers::redfish::read_one(text).map_err(|e| Why { offset: None, why: e.to_string(), hint: e.hint() })
}

/// Sorts of Redfish documents that lead to memory, from the one that tells most.
const SORTS: [&str; 3] = ["#ComputerSystem.", "#MemoryCollection.", "#Memory."];

/// A saved tree of Redfish documents, from its root; without one from its systems, else from what memory it holds.
pub fn redfish_tree(documents: &BTreeMap<String, Vec<u8>>) -> Result<Vec<Snapshot>, Why> {
    let mut tree = readers::redfish::Kept::default();
    documents.iter().for_each(|(path, text)| tree.hold(path, text.clone()));
    let whole = readers::redfish::read(&mut tree);
    let failed = match whole {
        Ok(snapshots) => return Ok(snapshots),
        Err(error) => Why { offset: None, why: error.to_string(), hint: error.hint() },
    };
    for sort in SORTS {
        let of_sort = documents.iter().filter(|(_, text)| {
            let document: Option<serde_json::Value> = serde_json::from_slice(text).ok();
            document.is_some_and(|d| d["@odata.type"].as_str().is_some_and(|t| t.starts_with(sort)))
        });
        let read: Vec<Snapshot> = of_sort
            .filter_map(|(path, text)| readers::redfish::read_text(&mut tree, text, path).ok())
            .flatten()
            .collect();
        if !read.is_empty() {
            return Ok(read);
        }
    }
    Err(failed)
}

/// Our own document.
pub fn snapshot(text: &str) -> Result<Snapshot, Why> {
    readers::snapshot::read(text).map_err(|e| Why { offset: None, why: e.to_string(), hint: e.hint().to_string() })
}

/// The kernel's error counters.
pub fn edac(root: &Path) -> Result<Snapshot, Why> {
    let (errors, mut notes) = readers::edac::read(&disk::Tree::new(root));
    for note in &mut notes {
        note.place = note.place.take().map(|file| root.join(file).display().to_string());
    }
    if errors == ErrorCounts::NotRead {
        let hint = "give the folder that holds mc0, or a root that has sys/devices/system/edac below it".to_string();
        return Err(Why { offset: None, why: "it holds no error counters of a memory controller".to_string(), hint });
    }
    Ok(Snapshot { origins: vec![Origin::Edac], errors, notes, ..Snapshot::default() })
}

/// Logged errors, with notes.
pub type Errors = (Vec<ErrorEvent>, Vec<String>);

/// UEFI error records.
pub fn cper(bytes: &[u8]) -> Result<Errors, Why> {
    let read = readers::cper::read(bytes);
    let read = read.map_err(|e| Why { offset: Some(0), why: e.to_string(), hint: e.hint().to_string() })?;
    Ok((read.events, read.notes))
}

/// A management controller's event log.
pub fn sel(bytes: &[u8]) -> Result<Errors, Why> {
    let read = readers::sel::read(bytes);
    let read = read.map_err(|e| Why { offset: Some(0), why: e.to_string(), hint: e.hint().to_string() })?;
    Ok((read.events, read.notes))
}

/// A snapshot as our own document; `None` where it can't be written, which no input brings about.
pub fn document(snapshot: &Snapshot) -> Option<serde_json::Value> {
    serde_json::from_str(&readers::snapshot::write(snapshot)).ok()
}

impl Told {
    fn with_part_number(&mut self) {
        let more = from_part_number(&self.given);
        self.given.extend(more);
    }
}

/// JEP106 ids, bank 1, of the makers whose part numbers are read: Samsung, SK hynix, Micron.
const SCHEMES: [u8; 3] = [0x4E, 0x2D, 0x2C];

/// What the part numbers in some evidence tell, as evidence of its own; or that they are in none of their maker's forms.
pub fn from_part_number(given: &[Given]) -> Vec<Given> {
    let mut more: Vec<Given> = Vec::new();
    for known in given.iter().filter(|g| g.from != Evidence::PartNumber) {
        let Some(text) = known.reading.part_number.as_deref().filter(|t| !t.trim().is_empty()) else { continue };
        match readers::part_number::read(text) {
            Ok(read) => {
                let told = Given { from: Evidence::PartNumber, reading: read.reading };
                if !more.contains(&told) && !given.contains(&told) {
                    more.push(told);
                }
            }
            Err(why) if known.from == Evidence::Spd && of_a_scheme(&known.reading) => {
                let seen = format!("`{}`: {why}", text.trim());
                let oddity = Oddity { name: "part-number-not-in-form", offset: None, seen };
                let reading = ModuleReading { oddities: vec![oddity], ..ModuleReading::default() };
                more.push(Given { from: Evidence::PartNumber, reading });
            }
            Err(_) => {}
        }
    }
    more
}

fn of_a_scheme(reading: &ModuleReading) -> bool {
    let id = reading.maker.as_ref().and_then(|m| m.id);
    id.is_some_and(|id| id.continuations == 0 && SCHEMES.contains(&id.id))
}
