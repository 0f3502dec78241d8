//! Damaged tables: nothing panics, and what is lost is said.

use crate::smbios_kept::{RAW, machines, raw};
use domain::snapshot::Snapshot;
use proptest::prelude::*;
use readers::smbios::{self, SmbiosError};

fn tells(snapshot: &Snapshot, words: &str) -> bool {
    snapshot.notes.iter().any(|n| n.what.contains(words))
}

#[test]
fn a_table_cut_at_any_length_is_never_taken_for_whole() {
    let table = &machines().remove(0).table.bytes();
    let whole = smbios::read(table).expect("a table");
    assert_eq!(whole.notes.iter().filter(|n| n.what.contains("end of the table")).count(), 0);
    for length in 0..table.len() {
        let cut = table.get(..length).unwrap_or_default();
        match smbios::read(cut) {
            Ok(snapshot) => {
                let told =
                    ["end of the table", "cut short", "left over", "double NUL"].iter().any(|w| tells(&snapshot, w));
                assert!(told, "{length} of {} bytes: {:?}", table.len(), snapshot.notes);
                assert!(snapshot.slots.len() <= whole.slots.len());
            }
            Err(SmbiosError::Empty) => assert_eq!(length, 0),
            Err(error) => assert!(length < 200 && !error.hint().is_empty(), "{length}: {error}"),
        }
    }
}

#[test]
fn raw_tables_cut_at_any_length_are_survived() {
    for name in RAW {
        let bytes = raw(name);
        let step = if bytes.len() > 8000 { 97 } else { 7 };
        for length in (0..bytes.len()).step_by(step) {
            if let Ok(snapshot) = smbios::read(bytes.get(..length).unwrap_or_default()) {
                assert!(!snapshot.notes.is_empty(), "{name} cut to {length} bytes");
            }
        }
    }
}

#[test]
fn what_is_no_table_is_refused_with_what_to_do() {
    for bytes in [&b""[..], b"\x00", b"hello, this is text and no table at all", &[0xFF; 64], &[0; 64]] {
        let error = smbios::read(bytes).expect_err("no table");
        assert!(!error.hint().is_empty() && !error.to_string().is_empty());
        assert!(!smbios::recognises(bytes));
    }
}

#[test]
fn an_entry_point_alone_says_where_its_table_is() {
    let bytes = raw("1s-2slot-ddr5-sm3.bin");
    let error = smbios::read(bytes.get(..24).unwrap_or_default()).expect_err("no table");
    assert!(matches!(error, SmbiosError::EntryPointOnly { length: 5809, .. }), "{error}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn any_bytes_are_survived(bytes in prop::collection::vec(any::<u8>(), 0..600)) {
        let recognised = smbios::recognises(&bytes);
        prop_assert_eq!(recognised, smbios::read(&bytes).is_ok() && bytes.len() >= 6);
    }

    #[test]
    fn flipped_bits_are_survived(which in 0..7usize, flips in prop::collection::vec((any::<prop::sample::Index>(), 0..8u8), 1..9)) {
        let mut bytes = raw(RAW[which]);
        for (at, bit) in flips {
            let at = at.index(bytes.len());
            bytes[at] ^= 1 << bit;
        }
        if let Ok(snapshot) = smbios::read(&bytes) {
            prop_assert!(snapshot.slots.len() <= bytes.len() / 4);
            // Whatever was read can be written and read again.
            prop_assert!(smbios::read(&smbios::write::write(&snapshot)).is_ok());
        }
    }

    #[test]
    fn a_hole_in_the_table_is_survived(which in 0..6usize, at in any::<prop::sample::Index>(), length in 1..40usize) {
        let mut bytes = raw(RAW[which]);
        let start = at.index(bytes.len());
        let end = (start + length).min(bytes.len());
        bytes.drain(start..end);
        if let Ok(snapshot) = smbios::read(&bytes) {
            prop_assert!(snapshot.slots.len() <= 32);
        }
    }
}
