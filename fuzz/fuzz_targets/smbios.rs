//! SMBIOS tables: any bytes are read or refused, never a panic; what was read is written and read again, and goes through
//! the snapshot document unchanged.
#![no_main]

use libfuzzer_sys::fuzz_target;
use readers::{smbios, snapshot};

fuzz_target!(|data: &[u8]| match smbios::read(data) {
    Ok(seen) => {
        assert!(smbios::recognises(data) || data.len() < 6);
        let _ = smbios::read(&smbios::write::write(&seen));
        assert!(snapshot::read(&snapshot::write(&seen)) == Ok(seen));
    }
    Err(error) => assert!(!error.hint().is_empty()),
});
