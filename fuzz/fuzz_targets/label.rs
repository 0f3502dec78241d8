//! Labels: any text is read or refused, never a panic; what was read and written reads the same again.
#![no_main]

use libfuzzer_sys::fuzz_target;
use readers::label;

fuzz_target!(|data: &[u8]| {
    let text = String::from_utf8_lossy(data);
    match label::read(&text) {
        Ok(reading) => {
            let written = label::write(&reading);
            let again = label::read(&written);
            assert!(again.as_ref().is_ok_and(|a| a.parts == reading.parts), "{written}: {again:?}");
            let _ = (reading.module(), reading.reading(), reading.nearest());
        }
        Err(error) => assert!(!error.hint().is_empty()),
    }
});
