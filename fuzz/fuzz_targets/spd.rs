//! SPD contents: any bytes are read or refused, never a panic; what was read is written back byte for byte. The same bytes
//! as text go through the hex reader, and what that gives through the contents.
#![no_main]

use libfuzzer_sys::fuzz_target;
use readers::spd;

fn contents(bytes: &[u8]) {
    match spd::read(bytes) {
        Ok(read) => {
            assert_eq!(spd::write(&read), bytes);
            let reading = read.reading();
            assert!(reading.oddities.iter().all(|o| o.offset.is_none_or(|at| at <= bytes.len())));
            let mut sealed = read.clone();
            sealed.seal();
            assert!(sealed.checksums().all(|(_, stored, computed)| stored == computed));
        }
        Err(error) => assert!(!error.hint().is_empty()),
    }
}

fuzz_target!(|data: &[u8]| {
    contents(data);
    match spd::text::read(&String::from_utf8_lossy(data)) {
        Ok(text) => contents(&text.bytes),
        Err(error) => assert!(!error.hint().is_empty()),
    }
});
