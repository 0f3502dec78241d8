//! Logged errors as plain data, with the modules that they point to.

use domain::{ErrorEvent, ErrorPlace, Snapshot};
use engine::errors::{self, Setting, Suspect};
use schemars::JsonSchema;
use serde::Serialize;

/// Logged errors of one file.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ErrorsView {
    pub threshold: ThresholdView,
    /// The worst first.
    pub suspects: Vec<SuspectView>,
    /// In the order of the file.
    pub events: Vec<EventView>,
}

/// When corrected errors are too many.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ThresholdView {
    pub name: String,
    pub words: String,
    /// An id of the register of sources, or `practice`.
    pub source: String,
}

/// A module that errors point to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct SuspectView {
    /// The slot's name, or the numbers that the record has in its place.
    pub module: String,
    /// How surely it is this one.
    pub known: String,
    pub corrected: u64,
    pub uncorrected: u64,
    /// The threshold was reached, data was lost, or a cell erred again.
    pub replace: bool,
    pub evidence: Vec<String>,
    pub advice: String,
}

/// One logged error.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct EventView {
    /// RFC 3339, UTC; none where the clock was not set.
    pub at: Option<String>,
    /// `fatal`, `uncorrected`, `corrected` or `notice`.
    pub gravity: String,
    pub what: String,
    /// In words, figures as the record counts them.
    pub place: String,
    /// Physical byte address.
    pub address: Option<u64>,
    /// The SMBIOS handle of its slot.
    pub handle: Option<u16>,
    pub notes: Vec<String>,
    /// Byte offset of the record.
    pub offset: u64,
}

/// The names of thresholds, the first taken where none is chosen.
pub fn thresholds() -> Vec<&'static str> {
    errors::SETTINGS.iter().map(|s| s.name).collect()
}

/// A threshold by its name; the first where there is none of that name.
pub fn threshold(name: Option<&str>) -> Setting {
    name.and_then(errors::setting).unwrap_or(errors::SETTINGS[0])
}

impl ErrorsView {
    /// Events, with slots named where a machine's report is there.
    pub fn new(events: &[ErrorEvent], machine: Option<&Snapshot>, setting: Setting) -> Self {
        let threshold = ThresholdView {
            name: setting.name.to_string(),
            words: setting.words.to_string(),
            source: setting.source.to_string(),
        };
        Self {
            threshold,
            suspects: errors::suspects(events, machine, setting).into_iter().map(SuspectView::new).collect(),
            events: events.iter().map(EventView::new).collect(),
        }
    }
}

impl SuspectView {
    fn new(suspect: Suspect) -> Self {
        Self {
            module: suspect.module,
            known: suspect.sureness.words().to_string(),
            corrected: suspect.corrected,
            uncorrected: suspect.uncorrected,
            replace: suspect.replace,
            evidence: suspect.evidence,
            advice: suspect.advice,
        }
    }
}

impl EventView {
    fn new(event: &ErrorEvent) -> Self {
        let at = event.at.and_then(|s| jiff::Timestamp::from_second(i64::try_from(s).ok()?).ok());
        Self {
            at: at.map(|t| t.to_string()),
            gravity: event.gravity.to_string(),
            what: event.what.clone(),
            place: words(&event.place),
            address: event.place.address,
            handle: event.place.handle,
            notes: event.notes.clone(),
            offset: event.offset,
        }
    }
}

/// `handle 0x1100, node 0, card 1, rank 0 bank 3 row 70001 column 24`.
fn words(place: &ErrorPlace) -> String {
    let number = |word: &str, n: Option<u32>| n.map(|n| format!("{word} {n}"));
    let wide = |n: Option<u16>| n.map(u32::from);
    let all = [
        place.name.clone(),
        place.handle.map(|h| format!("handle 0x{h:04X}")),
        number("node", wide(place.node)),
        number("card", wide(place.card)),
        number("sensor", place.sensor.map(u32::from)),
        number("module", wide(place.module)),
        number("rank", wide(place.rank)),
        number("device", wide(place.device)),
        number("bank group", place.bank_group.map(u32::from)),
        number("bank", wide(place.bank)),
        number("row", place.row),
        number("column", wide(place.column)),
        number("bit", wide(place.bit)),
        place.address.map(|a| format!("address 0x{a:X}")),
    ];
    let told: Vec<String> = all.into_iter().flatten().collect();
    if told.is_empty() { "not told".to_string() } else { told.join(", ") }
}
