//! What is odd about a report, counted: sixteen slots with one and the same slip make one note.

use domain::snapshot::Note;

/// Something odd about a resource.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Quirk {
    Capacity { raw: u64, mib: u64, how: &'static str },
    CapacityUnlikely(u64),
    CapacityFromParts,
    Speed { raw: u32, mts: u32, how: &'static str },
    NoStandardRate(u32),
    AboveRated { running: u32, rated: u32 },
    WidthsSlip { bus: u32, data: u32, read: (u32, u32) },
    WidthsUnlikely { bus: u32, data: u32 },
    EccAgainstWidths { bus: u32, data: u32 },
    Word { property: &'static str, word: String },
    NoNumber(&'static str),
    Ranks(u64),
    AbsentYetFilled,
    NamedWithoutCapacity,
    OtherMemory(&'static str),
    Nonvolatile(String),
    Alarm(&'static str),
    ModelElsewhere(&'static str),
    RegisteredYetSoldered,
}

impl Quirk {
    fn words(&self) -> String {
        match self {
            Self::Capacity { raw, mib, how } => {
                format!("CapacityMiB {raw} is read as {} GiB: it counts {how}", *mib as f64 / 1024.0)
            }
            Self::CapacityUnlikely(raw) => format!("CapacityMiB {raw} is more than any module has, so it is left out"),
            Self::CapacityFromParts => {
                "CapacityMiB is missing; the capacity is that of VolatileSizeMiB and NonVolatileSizeMiB".into()
            }
            Self::Speed { raw, mts, how } => format!("speed {raw} is read as {mts} MT/s: it is {how}"),
            Self::NoStandardRate(raw) => format!("speed {raw} is no standard rate"),
            Self::AboveRated { running, rated } => {
                format!("runs at {running} MT/s, above the rated {rated} MT/s of AllowedSpeedsMHz")
            }
            Self::WidthsSlip { bus, data, read } => {
                format!("BusWidthBits {bus} and DataWidthBits {data} are {} and {} in hexadecimal", read.0, read.1)
            }
            Self::WidthsUnlikely { bus, data } => {
                format!("BusWidthBits {bus} and DataWidthBits {data} are no widths of a memory bus")
            }
            Self::EccAgainstWidths { bus, data } => {
                format!("ErrorCorrection contradicts BusWidthBits {bus} and DataWidthBits {data}, so ECC is left open")
            }
            Self::Word { property, word } => format!("{property} `{word}` is not in the standard's list"),
            Self::NoNumber(property) => format!("{property} is no whole number, so it is left out"),
            Self::Ranks(raw) => format!("RankCount {raw} is not the rank count of a module, so it is left out"),
            Self::AbsentYetFilled => "State is Absent, yet a part and a capacity are named; read as empty".into(),
            Self::NamedWithoutCapacity => "names a part but no capacity; whether it is filled is not known".into(),
            Self::OtherMemory(what) => format!("is {what}, so it is no slot for main memory"),
            Self::Nonvolatile(by) => format!(
                "keeps its contents without power ({by}): not counted as DRAM, and it may hold a customer's data, so \
                 ask before it is erased, moved or passed on"
            ),
            Self::Alarm(what) => format!("MemoryMetrics reports an alarm: {what}"),
            Self::ModelElsewhere(property) => format!("Model is missing; the processor's name was found in {property}"),
            Self::RegisteredYetSoldered => "BaseModuleType names a module, yet LPDDR is soldered down".into(),
        }
    }
}

/// Quirks with where each was met first and how often.
#[derive(Debug, Default)]
pub struct Tally {
    entries: Vec<(Quirk, String, usize)>,
    notes: Vec<Note>,
    unread: Vec<(String, String)>,
}

/// How many resources that could not be read are told one by one.
const UNREAD_TOLD: usize = 8;

impl Tally {
    /// Counts one quirk of the resource at `place`.
    pub fn tell(&mut self, quirk: Quirk, place: &str) {
        match self.entries.iter_mut().find(|(known, _, _)| *known == quirk) {
            Some((_, _, count)) => *count += 1,
            None => self.entries.push((quirk, place.to_string(), 1)),
        }
    }
    /// A word outside the standard's list.
    pub fn odd_word(&mut self, property: &'static str, word: &str, place: &str) {
        let same = |q: &Quirk| matches!(q, Quirk::Word { property: p, word: w } if *p == property && w == word);
        match self.entries.iter_mut().find(|(known, _, _)| same(known)) {
            Some((_, _, count)) => *count += 1,
            None => self.entries.push((Quirk::Word { property, word: word.to_string() }, place.to_string(), 1)),
        }
    }
    /// A note of its own.
    pub fn note(&mut self, place: &str, what: impl Into<String>) {
        self.notes.push(Note { offset: None, place: Some(place.to_string()), what: what.into() });
    }
    /// A resource that could not be read.
    pub fn unread(&mut self, place: &str, why: impl Into<String>) {
        self.unread.push((place.to_string(), why.into()));
    }
    /// Was there any resource that could not be read?
    pub fn any_unread(&self) -> bool {
        !self.unread.is_empty()
    }
    /// Everything as notes: what could not be read, what stands for itself, then the quirks by how they came up.
    pub fn into_notes(self) -> Vec<Note> {
        let more = self.unread.len().saturating_sub(UNREAD_TOLD);
        let note = |place: String, what: String| Note { offset: None, place: Some(place), what };
        let mut all: Vec<Note> = Vec::with_capacity(self.notes.len() + self.entries.len());
        for (place, why) in self.unread.into_iter().take(UNREAD_TOLD) {
            all.push(note(place, format!("could not be read: {why}")));
        }
        if more > 0 {
            all.push(Note { offset: None, place: None, what: format!("{more} more resources could not be read") });
        }
        all.extend(self.notes);
        for (quirk, place, count) in self.entries {
            let words = quirk.words();
            let others = count - 1;
            all.push(note(place, if others == 0 { words } else { format!("{words} (and {others} more)") }));
        }
        all
    }
}
