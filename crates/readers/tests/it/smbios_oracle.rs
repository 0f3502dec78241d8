//! The getters of another library, smbios-lib, on every kept table: each field agrees.

use crate::smbios_kept::{RAW, machines, raw};
use domain::Capacity;
use domain::reading::Text;
use domain::snapshot::{ReportedField, SeenSlot, Snapshot};
use smbioslib::{
    MemorySize, MemorySizeExtended, MemorySpeed, SMBiosData, SMBiosMemoryDevice, SMBiosPhysicalMemoryArray,
    SMBiosProcessorInformation, SMBiosSystemInformation,
};

fn mib(device: &SMBiosMemoryDevice<'_>) -> Option<u64> {
    match device.size()? {
        MemorySize::NotInstalled | MemorySize::Unknown => None,
        MemorySize::SeeExtendedSize => match device.extended_size()? {
            MemorySizeExtended::Megabytes(mib) => Some(u64::from(mib)),
            MemorySizeExtended::SeeSize => None,
        },
        MemorySize::Kilobytes(kib) => Some(u64::from(kib) / 1024),
        MemorySize::Megabytes(mib) => Some(u64::from(mib)),
    }
}

fn speed(told: Option<MemorySpeed>) -> Option<u32> {
    match told? {
        MemorySpeed::MTs(mts) => Some(u32::from(mts)),
        MemorySpeed::Unknown | MemorySpeed::SeeExtendedSpeed => None,
    }
}

fn text(string: smbioslib::SMBiosString) -> Option<String> {
    Some(string.to_utf8_lossy()?).filter(|s| !s.is_empty())
}

fn slot(place: &str, theirs: &SMBiosMemoryDevice<'_>, ours: &SeenSlot) {
    use smbioslib::SMBiosStruct;
    let place = format!("{place} {}", ours.handle);
    assert_eq!(format!("0x{:04X}", *theirs.parts().header.handle()), ours.handle, "{place}");
    assert_eq!(
        theirs.physical_memory_array_handle().map(|h| format!("0x{:04X}", *h)),
        ours.array.clone().map(Into::into),
        "{place}"
    );
    assert_eq!(text(theirs.device_locator()).unwrap_or_default(), ours.name, "{place}");
    assert_eq!(text(theirs.bank_locator()), ours.bank.clone().map(Into::into), "{place}");
    let Some(module) = &ours.module else { return };
    assert_eq!(mib(theirs), module.reading.capacity.map(Capacity::mib), "{place}");
    let widths = theirs
        .total_width()
        .zip(theirs.data_width())
        .filter(|(t, d)| *t != 0xFFFF && *d != 0xFFFF && *t != 0 && *d != 0);
    assert_eq!(widths, module.widths, "{place}");
    assert_eq!(speed(theirs.speed()), module.rated.map(|r| r.raw), "{place}");
    assert_eq!(speed(theirs.configured_memory_speed()), module.running.map(|r| r.raw), "{place}");
    let ranks = theirs.attributes().map(|a| a & 15).filter(|r| (1..=8).contains(r));
    assert_eq!(ranks, module.reading.package_ranks, "{place}");
    let detail = theirs.type_detail().is_some_and(|d| d.non_volatile());
    assert!(!detail || module.nonvolatile, "{place}");
    let kept = |field, cleaned: Option<Text>| {
        let reported = module.reported.iter().find(|r| r.field == field).map(|r| r.text.clone());
        reported.or(cleaned).map(String::from)
    };
    let maker = module.reading.maker.clone().and_then(|m| m.name);
    let named = kept(ReportedField::Maker, maker);
    if let Some(told) = text(theirs.manufacturer()) {
        assert_eq!(Some(told), named, "{place}");
    }
    assert_eq!(text(theirs.serial_number()), kept(ReportedField::Serial, module.reading.serial.clone()), "{place}");
    assert_eq!(
        text(theirs.part_number()),
        kept(ReportedField::PartNumber, module.reading.part_number.clone()),
        "{place}"
    );
}

fn table(place: &str, bytes: &[u8], ours: &Snapshot) -> usize {
    use smbioslib::SMBiosStruct;
    let theirs = SMBiosData::from_vec_and_version(bytes.to_vec(), None);
    let devices = theirs.collect::<SMBiosMemoryDevice<'_>>();
    assert_eq!(devices.len(), ours.slots.len(), "{place}");
    devices.iter().zip(&ours.slots).for_each(|(t, o)| slot(place, t, o));

    let arrays = theirs.collect::<SMBiosPhysicalMemoryArray<'_>>();
    assert_eq!(arrays.len(), ours.arrays.len(), "{place}");
    for (t, o) in arrays.iter().zip(&ours.arrays) {
        assert_eq!(format!("0x{:04X}", *t.parts().header.handle()), o.handle, "{place}");
        assert_eq!(t.number_of_memory_devices(), o.devices, "{place}");
    }
    let processors = theirs.collect::<SMBiosProcessorInformation<'_>>();
    assert_eq!(processors.len(), ours.processors.len(), "{place}");
    for (t, o) in processors.iter().zip(&ours.processors) {
        assert_eq!(text(t.socket_designation()).unwrap_or_default(), o.name, "{place}");
        if let Some(model) = &o.model {
            assert_eq!(text(t.processor_version()).as_deref().map(str::trim), Some(model.as_str()), "{place}");
        }
    }
    if let Some(product) = theirs.first::<SMBiosSystemInformation<'_>>().and_then(|s| text(s.product_name())) {
        // Names that were overwritten for the captures are blanks to us.
        let blanked = product.bytes().all(|b| matches!(b, b'x' | b' '));
        assert!(blanked || ours.system.as_deref().is_some_and(|s| s.ends_with(product.trim())), "{place}");
    }
    devices.len()
}

#[test]
fn every_field_agrees_with_another_library() {
    let mut slots = 0;
    for machine in machines() {
        let bytes = machine.table.bytes();
        slots += table(&machine.id, &bytes, &readers::smbios::read(&bytes).expect("a table"));
    }
    for name in RAW.iter().filter(|name| !name.starts_with("vm-")) {
        let bytes = raw(name);
        // Their reader takes the table alone.
        let start = if name.contains("sm3") {
            32
        } else if name.contains("winheader") {
            8
        } else {
            0
        };
        let ours = readers::smbios::read(&bytes).expect("a table");
        slots += table(name, bytes.get(start..).unwrap_or_default(), &ours);
    }
    assert!(slots > 4100, "{slots}");
}
