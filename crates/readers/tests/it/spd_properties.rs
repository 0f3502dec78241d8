//! SPD contents and hex text under any input: nothing panics, what is written reads back the same.

use crate::spd::captures;
use domain::Generation;
use proptest::prelude::*;
use readers::spd::{self, Spd};

/// A capture with some bytes changed, cut off somewhere.
fn mutated() -> impl Strategy<Value = Vec<u8>> {
    let whole: Vec<Vec<u8>> = captures().into_iter().map(|(_, bytes)| bytes).collect();
    let changes = proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..12);
    (proptest::sample::select(whole), changes, 0usize..1200).prop_map(|(mut bytes, changes, end)| {
        for (at, byte) in changes {
            let at = at.index(bytes.len());
            bytes[at] = byte;
        }
        bytes.truncate(end.max(1));
        bytes
    })
}

/// Reads, writes, reads again; gives whether there was anything to read.
fn round_trip(bytes: &[u8]) -> Result<bool, TestCaseError> {
    match spd::read(bytes) {
        Ok(read) => {
            let written = spd::write(&read);
            prop_assert_eq!(&written, bytes);
            prop_assert_eq!(spd::read(&written), Ok(read.clone()));
            let reading = read.reading();
            prop_assert_eq!(reading.generation, Some(read.generation()));
            prop_assert!(reading.oddities.iter().all(|o| o.offset.is_none_or(|at| at <= bytes.len())));
            Ok(true)
        }
        Err(error) => {
            prop_assert!(!error.hint().is_empty());
            Ok(false)
        }
    }
}

proptest! {
    #[test]
    fn any_bytes_are_read_or_refused(bytes in proptest::collection::vec(any::<u8>(), 0..1300)) {
        round_trip(&bytes)?;
    }

    #[test]
    fn any_bytes_with_a_dram_type_are_read(mut bytes in proptest::collection::vec(any::<u8>(), 16..1300), kind in 0usize..3) {
        bytes[2] = [0x0B, 0x0C, 0x12][kind];
        // Not the registers of a hub.
        bytes[0] &= 0x3F;
        bytes[1] |= 1;
        prop_assert!(round_trip(&bytes)?);
    }

    #[test]
    fn mutated_captures_are_read_or_refused(bytes in mutated()) {
        round_trip(&bytes)?;
    }

    /// A field that is set reads back, and no other field changes by it.
    #[test]
    fn what_is_set_reads_back(cas in any::<u64>(), tck in any::<u16>(), serial in any::<u32>(), ranks in 0u8..8) {
        let mut spd = Spd::blank(Generation::Ddr5, 1);
        if let spd::Sections::Ddr5 { base, common, made, .. } = &mut spd.sections {
            base.cas = cas & 0xFF_FFFF_FFFF;
            base.tck = tck;
            common.ranks = ranks;
            made.serial = serial;
        }
        spd.seal();
        prop_assert_eq!(spd::read(&spd::write(&spd)), Ok(spd));
    }

    #[test]
    fn any_text_is_survived(text in any::<String>()) {
        let _ = spd::text::read(&text);
    }

    #[test]
    fn text_like_a_dump_is_survived(text in "[0-9a-fx:*#|, \n\\-]{0,300}") {
        let _ = spd::text::read(&text);
    }

    #[test]
    fn any_bytes_survive_being_printed(bytes in proptest::collection::vec(any::<u8>(), 1..600), gap in 0usize..3) {
        // A first row that counts from 0 is taken for the columns' numbers.
        prop_assume!(bytes.get(..8) != Some(&[0, 1, 2, 3, 4, 5, 6, 7]));
        let hex = |row: &[u8]| row.iter().map(|b| format!("{b:02X}")).collect::<Vec<_>>().join(" ");
        let column = |row: &[u8]| {
            row.iter().map(|b| if (0x20..0x7F).contains(b) { char::from(*b) } else { '.' }).collect::<String>()
        };
        let rows = |print: &dyn Fn(usize, &[u8]) -> String| {
            bytes.chunks(16).enumerate().map(|(i, row)| print(i * 16, row) + "\n").collect::<String>()
        };
        let text = match gap {
            0 => rows(&|_, row| hex(row)),
            1 => rows(&|at, row| format!("{at:04x}: {}", hex(row))),
            _ => rows(&|at, row| format!("{at:08x}  {}  |{}|", hex(row), column(row))),
        };
        prop_assert_eq!(spd::text::bytes(&text), Ok(bytes));
    }
}
