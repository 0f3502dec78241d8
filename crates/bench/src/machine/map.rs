//! Memory that this program maps for itself, gives back when it is dropped, and nothing else.

use crate::BenchError;
use std::ptr::NonNull;

/// Bytes of a huge page on the processors that have them (x86-64, and 4 KiB kernels of AArch64).
const HUGE_PAGE: usize = 2 << 20;
/// Policy "bind" and flag "move what is there" of mbind(2); the flag is from <numaif.h>.
const MPOL_BIND: libc::c_int = 2;
const MPOL_MF_MOVE: libc::c_uint = 2;

/// Huge pages: asked for, or not.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Huge {
    Asked,
    No,
}

/// A block of zeroed memory, on a huge page's boundary, of whole pages.
#[derive(Debug)]
pub struct Block {
    /// What mmap gave, with the room for the boundary.
    base: NonNull<u8>,
    mapped: usize,
    start: NonNull<u8>,
    bytes: usize,
    /// Did the kernel lock it, so that it never goes to a disk?
    pub locked: bool,
    /// Did the kernel take the advice on huge pages?
    pub huge: bool,
    /// Did the kernel bind it to the node that was asked for? `None` where none was.
    pub bound: Option<bool>,
}

// SAFETY: a block owns its mapping alone; moving it to another thread moves that ownership.
unsafe impl Send for Block {}
// SAFETY: through a shared block only reads are possible (`words`), which any number of threads may do.
unsafe impl Sync for Block {}

impl Block {
    /// Maps `bytes`, rounded up to whole huge pages, on a NUMA node where one is given.
    ///
    /// # Errors
    /// The kernel gives no memory.
    pub fn new(bytes: usize, huge: Huge, node: Option<u32>) -> Result<Self, BenchError> {
        let failed = |why: String| BenchError::Map { bytes, why };
        let rounded =
            bytes.max(1).checked_next_multiple_of(HUGE_PAGE).ok_or_else(|| failed("too large".to_string()))?;
        let mapped = rounded.checked_add(HUGE_PAGE).ok_or_else(|| failed("too large".to_string()))?;
        let flags = libc::MAP_PRIVATE | libc::MAP_ANONYMOUS | libc::MAP_NORESERVE;
        // SAFETY: a new anonymous mapping at an address of the kernel's choice touches no memory that is in use.
        let base =
            unsafe { libc::mmap(std::ptr::null_mut(), mapped, libc::PROT_READ | libc::PROT_WRITE, flags, -1, 0) };
        if base == libc::MAP_FAILED {
            return Err(failed(std::io::Error::last_os_error().to_string()));
        }
        let base = NonNull::new(base.cast::<u8>()).ok_or_else(|| failed("no address".to_string()))?;
        let gap = base.as_ptr().align_offset(HUGE_PAGE).min(HUGE_PAGE);
        // SAFETY: `gap` is at most HUGE_PAGE, and the mapping is that much longer than the block.
        let start = unsafe { base.add(gap) };
        let mut block = Self { base, mapped, start, bytes: rounded, locked: false, huge: false, bound: None };
        let at = block.start.as_ptr().cast::<libc::c_void>();
        if huge == Huge::Asked {
            // SAFETY: the range is the block's own mapping; the advice changes no contents.
            block.huge = unsafe { libc::madvise(at, rounded, libc::MADV_HUGEPAGE) } == 0;
        }
        block.bound = node.map(|node| block.bind(node));
        Ok(block)
    }

    fn bind(&self, node: u32) -> bool {
        let mut mask = [0u64; 16];
        let Some(word) = mask.get_mut(node as usize / 64) else { return false };
        *word |= 1 << (node % 64);
        let bits: libc::c_ulong = 1024;
        // SAFETY: the range is the block's own; the mask lives through the call and has the 1024 bits that are stated.
        let done = unsafe {
            libc::syscall(
                libc::SYS_mbind,
                self.start.as_ptr(),
                self.bytes,
                MPOL_BIND,
                mask.as_ptr(),
                bits,
                MPOL_MF_MOVE,
            )
        };
        done == 0
    }

    /// Locks it into memory; says whether the kernel did.
    pub fn lock(&mut self) -> bool {
        // SAFETY: the range is the block's own mapping.
        self.locked = unsafe { libc::mlock(self.start.as_ptr().cast(), self.bytes) } == 0;
        self.locked
    }

    /// Its words.
    pub fn words(&self) -> &[u64] {
        // SAFETY: the mapping is readable, zeroed by the kernel, aligned, and `bytes` long; it lives as long as `self`.
        unsafe { std::slice::from_raw_parts(self.start.as_ptr().cast(), self.bytes / 8) }
    }
    /// Its words, to write.
    pub fn words_mut(&mut self) -> &mut [u64] {
        // SAFETY: as `words`; `&mut self` keeps every other use away.
        unsafe { std::slice::from_raw_parts_mut(self.start.as_ptr().cast(), self.bytes / 8) }
    }
    /// Its address in this program.
    pub fn address(&self) -> usize {
        self.start.as_ptr() as usize
    }
    /// Bytes.
    pub fn len(&self) -> usize {
        self.bytes
    }
    /// Is it without bytes? Never.
    pub fn is_empty(&self) -> bool {
        self.bytes == 0
    }
}

impl Drop for Block {
    fn drop(&mut self) {
        // SAFETY: exactly what mmap gave goes back; nothing borrows the block any more.
        unsafe { libc::munmap(self.base.as_ptr().cast(), self.mapped) };
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_block_is_zeroed_aligned_and_its_own() {
        let mut block = Block::new(5 << 20, Huge::Asked, None).unwrap();
        assert_eq!((block.len(), block.address() % HUGE_PAGE, block.bound), (6 << 20, 0, None));
        assert!(block.words().iter().all(|w| *w == 0));
        block.words_mut().fill(7);
        let other = Block::new(1, Huge::No, None).unwrap();
        assert!(other.words().iter().all(|w| *w == 0));
        let apart =
            block.address() + block.len() <= other.address() || other.address() + other.len() <= block.address();
        assert!(apart);
        assert!(Block::new(usize::MAX - 5, Huge::No, None).is_err());
    }
}
