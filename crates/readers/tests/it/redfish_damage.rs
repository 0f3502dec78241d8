//! Redfish from services that misbehave: paging, loops, missing, broken and odd resources, and any bytes at all.

use crate::redfish_captures::{keep, trees};
use domain::reading::{Form, MakerId};
use domain::snapshot::{SlotState, Snapshot};
use domain::{Generation, Kind};
use proptest::prelude::*;
use readers::redfish::{self, Fetch, Kept, RedfishError, Unfetched};
use std::sync::LazyLock;

const MODULE: &str = r#""MemoryType":"DRAM","MemoryDeviceType":"DDR4","BaseModuleType":"RDIMM","CapacityMiB":16384"#;

fn memory(slot: &str) -> String {
    format!(r#"{{"@odata.id":"/redfish/v1/Systems/1/Memory/{slot}","Id":"{slot}","DeviceLocator":"{slot}",{MODULE}}}"#)
}

/// A service with one system, whose Memory collection is as given.
fn service(pages: &[(&str, &str)]) -> Kept {
    let mut kept = Kept::default();
    kept.hold("/redfish/v1", r#"{"Systems":{"@odata.id":"/redfish/v1/Systems"}}"#);
    kept.hold("/redfish/v1/Systems", r#"{"Members":[{"@odata.id":"/redfish/v1/Systems/1"}]}"#);
    let system =
        r#"{"@odata.id":"/redfish/v1/Systems/1","Id":"1","Memory":{"@odata.id":"/redfish/v1/Systems/1/Memory"}}"#;
    kept.hold("/redfish/v1/Systems/1", system);
    for slot in ["A1", "A2", "A3"] {
        kept.hold(&format!("/redfish/v1/Systems/1/Memory/{slot}"), memory(slot));
    }
    for (path, text) in pages {
        kept.hold(path, *text);
    }
    kept
}

fn one(mut kept: Kept) -> Snapshot {
    let mut all = redfish::read(&mut kept).unwrap();
    assert_eq!(all.len(), 1);
    all.remove(0)
}

fn told(snapshot: &Snapshot, words: &str) -> bool {
    snapshot.notes.iter().any(|n| n.what.contains(words))
}

fn names(snapshot: &Snapshot) -> Vec<&str> {
    snapshot.slots.iter().map(|s| s.name.as_str()).collect()
}

const MEMORY: &str = "/redfish/v1/Systems/1/Memory";

#[test]
fn pages_are_followed_and_circles_left() {
    let first = r#"{"Members":[{"@odata.id":"/redfish/v1/Systems/1/Memory/A1"}],"Members@odata.count":3,
        "Members@odata.nextLink":"/redfish/v1/Systems/1/Memory?$skip=1"}"#;
    let second = r#"{"Members":[{"@odata.id":"/redfish/v1/Systems/1/Memory/A2/"},
        {"@odata.id":"/redfish/v1/Systems/1/Memory/A3"}],"@odata.nextLink":"/redfish/v1/Systems/1/Memory?$skip=1"}"#;
    let seen = one(service(&[(MEMORY, first), ("/redfish/v1/Systems/1/Memory?$skip=1", second)]));
    assert_eq!(names(&seen), ["A1", "A2", "A3"]);
    assert!(told(&seen, "link in circles"), "{:?}", seen.notes);
}

#[test]
fn what_is_missing_or_broken_costs_no_more_than_itself() {
    let page = r#"{"Members":[{"@odata.id":"/redfish/v1/Systems/1/Memory/A1"},
        {"@odata.id":"/redfish/v1/Systems/1/Memory/GONE"},{"@odata.id":"/redfish/v1/Systems/1/Memory/BAD"},
        {"@odata.id":"/redfish/v1/Systems/1/Memory/ERR"},{"@odata.id":"../../etc"},
        {"@odata.id":"/redfish/v1/Systems/1/Memory/A1"}],"Members@odata.count":9}"#;
    let error = r#"{"error":{"code":"Base.1.0.GeneralError","message":"no rights"}}"#;
    let bad = "/redfish/v1/Systems/1/Memory/BAD";
    let seen = one(service(&[(MEMORY, page), (bad, "{\n \"Id\": x}"), ("/redfish/v1/Systems/1/Memory/ERR", error)]));
    assert_eq!(names(&seen), ["A1", "", "", ""]);
    assert_eq!(seen.slots.iter().filter(|s| s.state == SlotState::Unknown).count(), 3);
    let at_bad = seen.notes.iter().find(|n| n.place.as_deref() == Some(bad)).unwrap();
    assert!(at_bad.what.starts_with("could not be read: is no JSON at line 2"), "{}", at_bad.what);
    for words in ["it is not there", "no rights", "neither a resource nor a link", "listed twice", "9 members"] {
        assert!(told(&seen, words), "{words}: {:?}", seen.notes);
    }
}

#[test]
fn a_text_that_breaks_off_is_read_as_far_as_it_goes() {
    let whole = format!(r#"{{"Members":[{},{},{}]}}"#, memory("A1"), memory("A2"), memory("A3"));
    let cut = &whole[..whole.len() - 40];
    let seen = &redfish::read_one(cut.as_bytes()).unwrap()[0];
    assert_eq!(names(seen), ["A1", "A2", "A3"]);
    assert!(told(seen, "breaks off after"), "{:?}", seen.notes);
    let seen = one(service(&[(MEMORY, &whole[..whole.len() / 2])]));
    assert_eq!(names(&seen)[0], "A1");
    assert!(told(&seen, "breaks off after"), "{:?}", seen.notes);
}

#[test]
fn single_files_are_enough() {
    let whole = memory("A1");
    let list = format!("[{},{}]", memory("A1"), memory("A2"));
    let members = format!(r#"{{"Members":[{},{}]}}"#, memory("A1"), memory("A2"));
    let system = format!(r#"{{"Id":"1","Memory":{members}}}"#);
    let bare = format!(r#"{{"Id":"1","MemorySummary":{{"TotalSystemMemoryGiB":64}},"Memory":{list}}}"#);
    for (text, slots) in [(&whole, 1), (&list, 2), (&members, 2), (&system, 2), (&bare, 2)] {
        let seen = redfish::read_one(text.as_bytes()).unwrap_or_else(|e| panic!("{text}: {e}"));
        assert_eq!((seen.len(), seen[0].slots.len()), (1, slots), "{text}");
        assert_eq!(seen[0].slots[0].module.as_ref().unwrap().reading.kind, Some(Kind::Rdimm));
    }
    let seen = &redfish::read_one(bare.as_bytes()).unwrap()[0];
    assert!(told(seen, "TotalSystemMemoryGiB is 64, yet the modules sum up to 32 GiB"), "{:?}", seen.notes);
}

#[test]
fn other_documents_are_refused_with_a_hint() {
    for text in ["", "{}", "[]", "null", "7", "nonsense", r#"{"Members":[]}"#, r#"{"ChassisType":"Rack"}"#] {
        let error = redfish::read_one(text.as_bytes()).unwrap_err();
        assert!(!error.hint().is_empty() && !error.to_string().is_empty(), "{text}");
    }
    let error = redfish::read_one(br#"{"error":{"message":"log in first"}}"#).unwrap_err();
    assert!(matches!(&error, RedfishError::Complaint { message, .. } if message == "log in first"), "{error}");
    assert!(matches!(redfish::read_one(b"{\"a\":}"), Err(RedfishError::Json { line: 1, column: 6, .. })));
}

fn read(json: &str) -> (Snapshot, domain::snapshot::SeenSlot) {
    let seen = redfish::read_one(json.as_bytes()).unwrap().remove(0);
    let slot = seen.slots[0].clone();
    (seen, slot)
}

#[test]
fn slips_of_controllers_are_read_through() {
    let json = r#"{"Id":"a","DeviceLocator":"DIMM_P0_A0","MemoryType":"DRAM","MemoryDeviceType":"DDR4",
        "CapacityMiB":15625,"BusWidthBits":48,"DataWidthBits":"40","OperatingSpeedMhz":"1467","RankCount":null,
        "ModuleManufacturerID":"0xce80","Manufacturer":"NO DIMM","SerialNumber":12345678,"PartNumber":" M393A2K43 "}"#;
    let (seen, slot) = read(json);
    let module = slot.module.unwrap();
    assert_eq!(module.reading.capacity.map(|c| c.mib()), Some(16_384));
    assert_eq!((module.widths, module.reading.ecc_bits), (Some((48, 40)), Some(8)));
    assert_eq!(module.running.map(|r| (r.rate.mts(), r.raw)), Some((2933, 1467)));
    assert_eq!(module.reading.serial.as_deref(), Some("12345678"));
    assert_eq!(module.reading.part_number.as_deref(), Some("M393A2K43"));
    let maker = module.reading.maker.unwrap();
    assert_eq!((maker.name, maker.id), (None, Some(MakerId { continuations: 0, id: 0x4e })));
    for words in ["CapacityMiB 15625 is read as 16 GiB", "72 and 64 in hexadecimal", "the clock in MHz"] {
        assert!(told(&seen, words), "{words}: {:?}", seen.notes);
    }
}

#[test]
fn eighteen_digits_of_a_serial_are_taken_apart() {
    let module = |serial: &str| {
        let json =
            format!(r#"{{"MemoryType":"DRAM","CapacityMiB":8192,"Manufacturer":"0xCE80","SerialNumber":"{serial}"}}"#);
        read(&json).1.module.unwrap()
    };
    let long = module("80CE0123401a2b3c4d");
    assert_eq!(long.reading.serial.as_deref(), Some("1A2B3C4D"));
    assert_eq!(long.reading.made.map(|m| (m.year, m.week)), Some((2023, 40)));
    assert_eq!(long.reading.location, Some(1));
    assert_eq!(long.reported.first().map(|r| r.text.as_str()), Some("80CE0123401a2b3c4d"));
    let other = module("80CE01239901234567");
    assert_eq!((other.reading.serial.as_deref(), other.reported.len()), (Some("80CE01239901234567"), 0));
}

#[test]
fn states_are_told_apart() {
    let state = |json: &str| read(json).1.state;
    let head = r#"{"MemoryType":"DRAM","#;
    assert_eq!(state(&format!(r#"{head}"CapacityMiB":0}}"#)), SlotState::Empty);
    assert_eq!(state(&format!(r#"{head}"CapacityMiB":null,"Status":{{"State":"Enabled"}}}}"#)), SlotState::Empty);
    assert_eq!(state(&format!(r#"{head}"CapacityMiB":1024,"Status":{{"State":"Absent"}}}}"#)), SlotState::Empty);
    assert_eq!(state(&format!(r#"{head}"CapacityMiB":8192,"Status":{{"State":"Disabled"}}}}"#)), SlotState::Disabled);
    assert_eq!(state(&format!(r#"{head}"CapacityMiB":8192,"Enabled":false}}"#)), SlotState::Disabled);
    assert_eq!(state(&format!(r#"{head}"CapacityMiB":"8192"}}"#)), SlotState::Filled);
    assert_eq!(state(&format!(r#"{head}"CapacityMiB":null,"PartNumber":"X1"}}"#)), SlotState::Unknown);
    assert_eq!(state(&format!(r#"{head}"CapacityMiB":[],"Name":"x"}}"#)), SlotState::Unknown);
    let cxl = r#"{"MemoryType":"DRAM","CapacityMiB":8192,"CXL":{"LabelStorageSizeBytes":0}}"#;
    assert_eq!(state(cxl), SlotState::NotMemory);
    let (_, soldered) = read(r#"{"MemoryType":"DRAM","CapacityMiB":8192,"MemoryDeviceType":"LPDDR5_SDRAM"}"#);
    let reading = soldered.module.unwrap().reading;
    assert_eq!((reading.form, reading.generation), (Some(Form::SolderedDown), None));
    let (_, old) = read(r#"{"MemoryType":"DDR3","CapacityMiB":8192}"#);
    assert_eq!(old.module.unwrap().reading.generation, Some(Generation::Ddr3));
}

#[test]
fn every_sign_of_lasting_contents_is_taken() {
    for sign in [
        r#""MemoryType":"NVDIMM_N""#,
        r#""MemoryType":"DRAM","OperatingMemoryModes":["Volatile","PMEM"]"#,
        r#""MemoryType":"DRAM","MemoryMedia":["DRAM","NAND"]"#,
        r#""MemoryType":"DRAM","MemoryClassification":"Block""#,
        r#""MemoryType":"DRAM","Regions":[{"MemoryClassification":"ByteAccessiblePersistent"}]"#,
        r#""MemoryType":"DRAM","PersistentRegionSizeLimitMiB":"4096""#,
        r#""MemoryType":"DRAM","NonVolatileSizeMiB":4096"#,
    ] {
        let (seen, slot) = read(&format!(r#"{{"CapacityMiB":16384,{sign}}}"#));
        let module = slot.module.unwrap();
        assert!(module.nonvolatile && module.reading.kind == Some(Kind::Nonvolatile), "{sign}");
        assert!(seen.installed().is_zero() && told(&seen, "may hold a customer's data"), "{sign}");
    }
}

#[test]
fn counters_and_alarms_come_along() {
    let slot = r#"{"Id":"A1","DeviceLocator":"A1","MemoryType":"DRAM","CapacityMiB":8192,
        "Metrics":{"@odata.id":"/redfish/v1/m"}}"#;
    let metrics = r#"{"LifeTime":{"CorrectableECCErrorCount":7,"UncorrectableECCErrorCount":"0"},
        "OperatingSpeedMHz":2666,"HealthData":{"AlarmTrips":{"Temperature":true}}}"#;
    let page = format!(r#"{{"Members":[{slot}]}}"#);
    let seen = one(service(&[(MEMORY, &page), ("/redfish/v1/m", metrics)]));
    let domain::snapshot::ErrorCounts::Read(all) = &seen.errors else { panic!("{:?}", seen.errors) };
    let module = &all[0].modules[0];
    assert_eq!((module.label.as_deref(), module.corrected, module.uncorrected), (Some("A1"), Some(7), Some(0)));
    assert_eq!(seen.slots[0].module.as_ref().unwrap().running.unwrap().raw, 2666);
    assert!(told(&seen, "reports an alarm: temperature"));
}

/// A service that understands `$expand`, or says that it does.
struct Expanding {
    kept: Kept,
    asked: Vec<String>,
    honest: bool,
}
impl Fetch for Expanding {
    fn get(&mut self, path: &str) -> Result<Vec<u8>, Unfetched> {
        self.asked.push(path.to_string());
        match path.split_once("?$expand=") {
            Some((MEMORY, _)) if self.honest => {
                Ok(format!(r#"{{"Members":[{},{}]}}"#, memory("A1"), memory("A2")).into_bytes())
            }
            Some(_) => Err(Unfetched::Missing),
            None => self.kept.get(path),
        }
    }
    fn queries(&self) -> bool {
        true
    }
}

#[test]
fn members_are_asked_for_whole_where_that_is_offered() {
    let page = r#"{"Members":[{"@odata.id":"/redfish/v1/Systems/1/Memory/A1"},
        {"@odata.id":"/redfish/v1/Systems/1/Memory/A2"}]}"#;
    for honest in [true, false] {
        let mut kept = service(&[(MEMORY, page)]);
        kept.hold(
            "/redfish/v1",
            r#"{"Systems":{"@odata.id":"/redfish/v1/Systems"},
            "ProtocolFeaturesSupported":{"ExpandQuery":{"NoLinks":true,"Levels":true}}}"#,
        );
        let mut service = Expanding { kept, asked: Vec::new(), honest };
        let seen = redfish::read(&mut service).unwrap().remove(0);
        assert_eq!(names(&seen), ["A1", "A2"]);
        let single = service.asked.iter().filter(|p| p.ends_with("/A1")).count();
        assert_eq!(single, usize::from(!honest), "{:?}", service.asked);
        assert!(service.asked.contains(&format!("{MEMORY}?$expand=.($levels=1)")), "{:?}", service.asked);
    }
}

/// Goes away after so many answers.
struct Leaving(Kept, usize);
impl Fetch for Leaving {
    fn get(&mut self, path: &str) -> Result<Vec<u8>, Unfetched> {
        if self.1 == 0 {
            return Err(Unfetched::Closed("the time is up".into()));
        }
        self.1 -= 1;
        self.0.get(path)
    }
}

#[test]
fn a_service_that_goes_away_leaves_what_was_read() {
    let page = r#"{"Members":[{"@odata.id":"/redfish/v1/Systems/1/Memory/A1"},
        {"@odata.id":"/redfish/v1/Systems/1/Memory/A2"}]}"#;
    let seen = redfish::read(&mut Leaving(service(&[(MEMORY, page)]), 5)).unwrap().remove(0);
    assert_eq!(names(&seen), ["A1", ""]);
    assert!(told(&seen, "the time is up"));
    let error = redfish::read(&mut Leaving(service(&[]), 0)).unwrap_err();
    assert!(matches!(error, RedfishError::Entry { why: Unfetched::Closed(_), .. }), "{error}");
}

/// Texts of real resources, to be damaged.
static TEXTS: LazyLock<Vec<Vec<u8>>> = LazyLock::new(|| {
    let mut all = vec![memory("A1").into_bytes()];
    for tree in trees() {
        let mut kept = keep(&tree);
        let index = kept.get("/redfish/v1/Systems").unwrap();
        let systems: serde_json::Value = serde_json::from_slice(&index).unwrap();
        let path = systems["Members"][0]["@odata.id"].as_str().unwrap().to_string();
        for part in ["", "/Memory", "/Processors"] {
            all.extend(kept.get(&format!("{path}{part}")));
        }
    }
    all
});

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_are_survived(bytes in proptest::collection::vec(any::<u8>(), 0..600)) {
        if let Err(error) = redfish::read_one(&bytes) {
            prop_assert!(!error.to_string().is_empty());
        }
    }

    #[test]
    fn damaged_resources_are_survived(
        pick in any::<prop::sample::Index>(), cut in any::<prop::sample::Index>(),
        pokes in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..6),
    ) {
        let mut text = TEXTS[pick.index(TEXTS.len())].clone();
        for (at, byte) in pokes {
            let at = at.index(text.len());
            text[at] = byte;
        }
        let mut whole = text.clone();
        whole.truncate(cut.index(text.len() + 1));
        for text in [text, whole] {
            if let Ok(seen) = redfish::read_one(&text) {
                prop_assert!(!seen.is_empty());
            }
            let path = "/redfish/v1/Systems/1/Memory";
            let seen = redfish::read(&mut service(&[(path, &String::from_utf8_lossy(&text))])).unwrap();
            prop_assert_eq!(seen.len(), 1);
        }
    }
}
