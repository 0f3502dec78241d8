//! How much memory may be taken, and being the first to go where the machine runs out.

use crate::BenchError;
use domain::Capacity;
use std::fs;

/// What `/proc/meminfo` says (Linux kernel, Documentation/filesystems/proc.rst).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Free {
    pub total: Capacity,
    /// What new programs can have without swapping.
    pub available: Capacity,
}

/// Least that stays free however much is asked for (common practice, no source).
const RESERVE_LEAST: Capacity = Capacity::from_mib(512);
/// One part in so many of all memory stays free (common practice, no source).
const RESERVE_PART: u64 = 20;

impl Free {
    /// Reads the running machine's.
    ///
    /// # Errors
    /// `/proc/meminfo` is not there or lacks the figures.
    pub fn now() -> Result<Self, BenchError> {
        fs::read_to_string("/proc/meminfo").ok().and_then(|text| meminfo(&text)).ok_or(BenchError::NoMeminfo)
    }
    /// What stays free: 512 MiB, or a twentieth of all, whichever is more.
    pub fn reserve(self) -> Capacity {
        RESERVE_LEAST.max(Capacity::from_mib(self.total.mib() / RESERVE_PART))
    }
    /// What may be taken.
    pub fn most(self) -> Capacity {
        self.available.saturating_sub(self.reserve())
    }
    /// A share, 0 to 1, of what may be taken.
    pub fn share(self, share: f64) -> Capacity {
        Capacity::from_mib((self.most().mib() as f64 * share.clamp(0.0, 1.0)) as u64)
    }
    /// So much, if it leaves the reserve.
    ///
    /// # Errors
    /// It does not.
    pub fn allow(self, asked: Capacity) -> Result<Capacity, BenchError> {
        if asked <= self.most() {
            return Ok(asked);
        }
        let (most, available, reserve) = (self.most().mib(), self.available.mib(), self.reserve().mib());
        Err(BenchError::Reserve { asked: asked.mib(), most, available, reserve })
    }
}

/// Reads the text of `/proc/meminfo`; `None` where a figure is missing.
pub fn meminfo(text: &str) -> Option<Free> {
    let figure = |name: &str| -> Option<Capacity> {
        let line = text.lines().find_map(|l| l.strip_prefix(name)?.strip_prefix(':'))?;
        let kib: u64 = line.trim().strip_suffix("kB")?.trim().parse().ok()?;
        Some(Capacity::from_mib(kib / 1024))
    };
    Some(Free { total: figure("MemTotal")?, available: figure("MemAvailable")? })
}

/// Tells the kernel to end this program before any other where memory runs out; says whether it took it.
pub fn yield_first() -> bool {
    fs::write("/proc/self/oom_score_adj", "1000").is_ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reserve_stays_free() {
        let free = meminfo("MemTotal:  33554432 kB\nMemFree: 1 kB\nMemAvailable:   16777216 kB\n").unwrap();
        assert_eq!(free.available, Capacity::from_gib(16));
        // A twentieth of 32 GiB is 1638 MiB.
        assert_eq!(free.most(), Capacity::from_mib(16_384 - 1638));
        assert_eq!(free.share(0.5), Capacity::from_mib(7373));
        assert!(free.allow(free.most()).is_ok());
        assert!(free.allow(free.most() + Capacity::from_mib(1)).is_err());
        let small = meminfo("MemTotal: 1048576 kB\nMemAvailable: 102400 kB\n").unwrap();
        assert_eq!(small.most(), Capacity::ZERO);
        assert_eq!(meminfo("MemTotal: many kB\n"), None);
    }
}
