//! The physical page behind an address, from `/proc/self/pagemap` (Linux kernel, Documentation/admin-guide/mm/pagemap.rst).
//! Without the right CAP_SYS_ADMIN the kernel shows no page numbers.

use std::fs::File;
use std::os::unix::fs::FileExt;

/// Bytes of a page and of an entry; bits of an entry: the page is there, and its number.
const ENTRY: u64 = 8;
const PRESENT: u64 = 1 << 63;
const NUMBER: u64 = (1 << 55) - 1;

/// The kernel's table of this program's pages.
#[derive(Debug)]
pub struct PageMap {
    file: Option<File>,
    page: u64,
}

impl PageMap {
    /// Opens it, where the kernel allows.
    pub fn open() -> Self {
        // SAFETY: asks for a constant of the system; it has no other effect.
        let page = unsafe { libc::sysconf(libc::_SC_PAGESIZE) };
        Self { file: File::open("/proc/self/pagemap").ok(), page: u64::try_from(page).unwrap_or(4096).max(1) }
    }
    /// The physical address behind one of this program's; `None` where the kernel does not tell.
    pub fn physical(&self, address: usize) -> Option<u64> {
        let address = address as u64;
        let mut entry = [0u8; ENTRY as usize];
        self.file.as_ref()?.read_exact_at(&mut entry, address / self.page * ENTRY).ok()?;
        decode(u64::from_le_bytes(entry), address, self.page)
    }
}

fn decode(entry: u64, address: u64, page: u64) -> Option<u64> {
    let number = entry & NUMBER;
    (entry & PRESENT != 0 && number != 0).then(|| number.checked_mul(page)?.checked_add(address % page)).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_entry_without_a_number_tells_nothing() {
        assert_eq!(decode(PRESENT | 0x1_2345, 0x7F00_0ABC, 4096), Some(0x1234_5ABC));
        assert_eq!(decode(PRESENT, 0x7F00_0ABC, 4096), None);
        assert_eq!(decode(0x1_2345, 0, 4096), None);
    }
}
