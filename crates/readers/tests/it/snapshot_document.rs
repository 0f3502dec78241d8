//! The snapshot document: every field comes back, unknown ones are noted, newer versions refused, the schema is fresh.

use crate::smbios_kept::machines;
use domain::module::{Generation, Kind};
use domain::quantity::{Capacity, DataRate, DieDensity, Height, Voltage};
use domain::reading::{Checksum, Clocks, Form, Made, Maker, MakerId, ModuleReading, Oddity, Origin, RawCard};
use domain::snapshot::{
    ArrayRole, ErrorController, ErrorCounts, ErrorModule, Location, Note, Reported, ReportedField, SeenArray,
    SeenModule, SeenProcessor, SeenRange, SeenRate, SeenSlot, SlotState, Snapshot,
};
use proptest::prelude::*;
use readers::snapshot::{self, SnapshotError};
use std::path::Path;

/// A source of choices, so that every field is sometimes there and sometimes not.
struct Dice {
    bytes: Vec<u8>,
    at: usize,
}

impl Dice {
    fn byte(&mut self) -> u8 {
        self.at += 1;
        self.bytes.get(self.at % self.bytes.len().max(1)).copied().unwrap_or(0).wrapping_add((self.at / 97) as u8)
    }
    fn long(&mut self) -> u64 {
        (0..8).fold(0, |n, _| n << 8 | u64::from(self.byte()))
    }
    fn word(&mut self) -> u16 {
        self.long() as u16
    }
    fn double(&mut self) -> u32 {
        self.long() as u32
    }
    fn text(&mut self) -> String {
        const LETTERS: [char; 8] = ['A', '1', ' ', '"', '\\', 'é', '\u{FFFD}', '\n'];
        (0..self.byte() % 6).map(|_| LETTERS[usize::from(self.byte() % 8)]).collect()
    }
    fn maybe<T>(&mut self, make: impl Fn(&mut Self) -> T) -> Option<T> {
        (!self.byte().is_multiple_of(3)).then(|| make(self))
    }
    fn some<T>(&mut self, make: impl Fn(&mut Self) -> T) -> Vec<T> {
        (0..self.byte() % 3).map(|_| make(self)).collect()
    }
    fn of<T: Copy>(&mut self, all: &[T]) -> T {
        all[usize::from(self.byte()) % all.len()]
    }
    fn origin(&mut self) -> Origin {
        self.of(&Origin::ALL).0
    }
    fn maker(&mut self) -> Maker {
        let id = self.maybe(|d| MakerId { continuations: d.byte(), id: d.byte() });
        Maker { name: self.maybe(Self::text).map(Into::into), id }
    }
    fn rate(&mut self) -> SeenRate {
        SeenRate { rate: DataRate::from_mts(self.double()), raw: self.double() }
    }
    fn reading(&mut self) -> ModuleReading {
        ModuleReading {
            generation: self.maybe(|d| d.of(&Generation::ALL).0),
            kind: self.maybe(|d| d.of(&Kind::ALL).0),
            form: self.maybe(|d| d.of(&Form::ALL).0),
            capacity: self.maybe(|d| Capacity::from_mib(d.long())),
            package_ranks: self.maybe(Self::byte),
            stack_height: self.maybe(Self::byte),
            dual_die: self.maybe(|d| d.byte() > 99),
            device_width: self.maybe(Self::byte),
            ecc_bits: self.maybe(Self::byte),
            die_density: self.maybe(|d| DieDensity::from_gbit(d.double())),
            rate: self.maybe(|d| DataRate::from_mts(d.double())),
            clocks: self.maybe(|d| Clocks { cas: d.word(), rcd: d.word(), rp: d.word() }),
            grade: self.maybe(Self::text),
            rates: self.some(|d| (DataRate::from_mts(d.double()), d.word())),
            voltage: self.maybe(|d| Voltage::from_millivolts(d.double())),
            height: self.maybe(|d| Height::from_mm(f64::from(d.word()) / 100.0)),
            raw_card: self.maybe(|d| RawCard { letter: d.text(), revision: d.text() }),
            spd_revision: self.maybe(Self::text),
            temperature_range: self.maybe(Self::text),
            thermal_sensor: self.maybe(|d| d.byte() > 99),
            dram_rows: self.maybe(Self::byte),
            maker: self.maybe(Self::maker),
            dram_maker: self.maybe(Self::maker),
            register_maker: self.maybe(Self::maker),
            part_number: self.maybe(Self::text).map(Into::into),
            serial: self.maybe(Self::text).map(Into::into),
            made: self.maybe(|d| Made { year: d.word(), week: d.byte() }),
            location: self.maybe(Self::byte),
            label: self.maybe(Self::text),
            checksums: self.some(|d| Checksum { name: "base", stored: d.word(), computed: d.word() }),
            oddities: self.some(|d| Oddity {
                name: "widths-odd",
                offset: d.maybe(|d| d.byte().into()),
                seen: d.text(),
            }),
        }
    }
    fn module(&mut self) -> SeenModule {
        SeenModule {
            reading: self.reading(),
            running: self.maybe(Self::rate),
            rated: self.maybe(Self::rate),
            nonvolatile: self.byte() > 99,
            widths: self.maybe(|d| (d.word(), d.word())),
            health: self.maybe(Self::text).map(Into::into),
            reported: self.some(|d| Reported { field: d.of(&ReportedField::ALL).0, text: d.text().into() }),
        }
    }
    fn slot(&mut self) -> SeenSlot {
        use SlotState::{Disabled, Empty, Filled, NotMemory, Unknown};
        SeenSlot {
            origin: self.origin(),
            handle: self.text().into(),
            array: self.maybe(Self::text).map(Into::into),
            name: self.text().into(),
            bank: self.maybe(Self::text).map(Into::into),
            location: Location {
                socket: self.maybe(Self::double),
                controller: self.maybe(Self::double),
                channel: self.maybe(Self::double),
                slot: self.maybe(Self::double),
            },
            processor: self.maybe(Self::text).map(Into::into),
            state: self.of(&[Disabled, Empty, Filled, NotMemory, Unknown]),
            module: self.maybe(Self::module),
        }
    }
    fn counted(&mut self) -> ErrorModule {
        ErrorModule {
            index: self.double(),
            by_rank: self.byte() > 99,
            label: self.maybe(Self::text),
            location: self.some(|d| (d.text(), d.double())),
            size: self.maybe(|d| Capacity::from_mib(d.long())),
            kind: self.maybe(Self::text),
            device: self.maybe(Self::text),
            mode: self.maybe(Self::text),
            corrected: self.maybe(Self::long),
            uncorrected: self.maybe(Self::long),
        }
    }
    fn errors(&mut self) -> ErrorCounts {
        let controller = |d: &mut Self| ErrorController {
            index: d.double(),
            driver: d.maybe(Self::text),
            size: d.maybe(|d| Capacity::from_mib(d.long())),
            corrected: d.maybe(Self::long),
            uncorrected: d.maybe(Self::long),
            corrected_unplaced: d.maybe(Self::long),
            uncorrected_unplaced: d.maybe(Self::long),
            seconds: d.maybe(Self::long),
            modules: d.some(Self::counted),
        };
        match self.byte() % 3 {
            0 => ErrorCounts::NotRead,
            1 => ErrorCounts::NoDriver,
            _ => ErrorCounts::Read(self.some(controller)),
        }
    }
    fn snapshot(&mut self) -> Snapshot {
        use ArrayRole::{Flash, Other, System, Unknown};
        Snapshot {
            origins: self.some(Self::origin),
            taken: self.maybe(Self::text),
            system: self.maybe(Self::text),
            firmware: self.maybe(Self::text),
            processors: self.some(|d| SeenProcessor {
                origin: d.origin(),
                handle: d.text().into(),
                name: d.text().into(),
                model: d.maybe(Self::text),
                present: d.maybe(|d| d.byte() > 99),
                cores: d.maybe(Self::double),
            }),
            arrays: self.some(|d| SeenArray {
                handle: d.text().into(),
                role: d.of(&[Flash, Other, System, Unknown]),
                ecc: d.maybe(Self::text),
                maximum: d.maybe(|d| Capacity::from_mib(d.long())),
                devices: d.maybe(Self::word),
            }),
            slots: self.some(Self::slot),
            ranges: self.some(|d| SeenRange {
                handle: d.text().into(),
                first: d.long(),
                last: d.long(),
                array: d.maybe(Self::text).map(Into::into),
                slot: d.maybe(Self::text).map(Into::into),
                width_or_position: d.maybe(Self::byte),
            }),
            total: self.maybe(|d| Capacity::from_mib(d.long())),
            errors: self.errors(),
            notes: self.some(|d| Note { offset: d.maybe(Self::long), place: d.maybe(Self::text), what: d.text() }),
        }
    }
}

proptest! {
    #[test]
    fn every_field_comes_back(bytes in prop::collection::vec(any::<u8>(), 50..2000)) {
        let given = Dice { bytes, at: 0 }.snapshot();
        let text = snapshot::write(&given);
        prop_assert!(snapshot::recognises(&text));
        prop_assert_eq!(snapshot::read(&text), Ok(given));
    }

    #[test]
    fn any_text_is_survived(text in ".*", cut in 0..4000usize) {
        prop_assert!(snapshot::read(&text).is_err());
        let machine = readers::smbios::read(&crate::smbios_kept::raw("1s-4slot-ddr4.bin")).expect("a table");
        let whole = snapshot::write(&machine);
        let cut: String = whole.chars().take(cut).collect();
        if let Err(error) = snapshot::read(&cut) {
            prop_assert!(!error.to_string().is_empty() && !error.hint().is_empty());
        }
    }
}

#[test]
fn every_kept_machine_comes_back() {
    for machine in machines() {
        let given = readers::smbios::read(&machine.table.bytes()).expect("a table");
        assert!(snapshot::read(&snapshot::write(&given)) == Ok(given), "{}", machine.id);
    }
}

#[test]
fn unknown_fields_are_noted_and_newer_versions_refused() {
    let read = |text: &str| snapshot::read(text);
    let odd = r#"{"slotwright-snapshot": 1, "colour": "blue", "slots": [{"origin": "smbios", "handle": "0x1", "name": "A1", "state": "empty", "lid": 1, "bank": null}]}"#;
    let places: Vec<String> = read(odd).expect("a snapshot").notes.into_iter().filter_map(|n| n.place).collect();
    assert_eq!(places, ["/colour", "/slots/0/lid"]);
    assert_eq!(read(r#"{"slotwright-snapshot": 2}"#), Err(SnapshotError::Newer { found: 2 }));
    assert_eq!(read(r#"{"slots": []}"#), Err(SnapshotError::NotASnapshot));
    assert_eq!(read("[]"), Err(SnapshotError::NotASnapshot));
    assert!(matches!(read(r#"{"slotwright-snapshot": "x"}"#), Err(SnapshotError::Version { .. })));
    assert!(matches!(
        read("{\n\"slotwright-snapshot\": 1,\n \"slots\": 3}"),
        Err(SnapshotError::Shape { line: 3, .. })
    ));
    assert!(matches!(read("{\n"), Err(SnapshotError::NotJson { line: 2, .. })));
    let state = odd.replace("empty", "lost");
    assert!(matches!(read(&state), Err(SnapshotError::Word { path, .. }) if path == "/slots/0/state"));
}

#[test]
fn the_published_schema_is_fresh() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/schemas/snapshot.json");
    let made = serde_json::to_string_pretty(&schemars::schema_for!(snapshot::Document)).expect("a schema") + "\n";
    if std::env::var_os("UPDATE").is_some() {
        std::fs::write(&path, &made).expect("the schema is written");
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(kept == made, "{} is stale: run the tests once with UPDATE=1", path.display());
}
