//! Labels, 2-D codes and part numbers: any text is read or refused, never a panic; what was read and written reads the
//! same again, and what is offered for a slip can be read.
#![no_main]

use libfuzzer_sys::fuzz_target;
use readers::{label, part_number};

fuzz_target!(|data: &[u8]| {
    let text = String::from_utf8_lossy(data);
    match label::read(&text) {
        Ok(reading) => {
            let written = label::write(&reading);
            let again = label::read(&written);
            assert!(again.as_ref().is_ok_and(|a| a.parts == reading.parts), "{written}: {again:?}");
            let _ = (reading.module(), reading.reading());
            let offered = reading.nearest();
            assert!(offered.is_none_or(|text| label::read(&text).is_ok()));
        }
        Err(error) => {
            assert!(!error.hint().is_empty() && error.column() >= 1);
            assert!(error.nearest().is_none_or(|text| label::read(text).is_ok()));
        }
    }
    if let Ok(code) = label::code::read(&text) {
        let _ = code.reading();
        let again = label::code::read(&label::code::write(&code));
        // A field that stands twice is written once.
        assert!(!code.oddities.is_empty() || again.as_ref() == Ok(&code), "{again:?}");
    }
    match part_number::read(&text) {
        Ok(part) => assert!(part.reading.generation.is_some()),
        Err(error) => assert!(error.nearest().is_none_or(|text| part_number::read(text).is_ok())),
    }
});
