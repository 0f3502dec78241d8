//! Exercising memory from a running system: march tests over words that this program has mapped, on every processor at once.
//! What that can't reach is said, not hidden: see [`LIMITS`].

mod catalogue;
mod run;
mod words;

pub use catalogue::{EXERCISES, Exercise, Pattern, all, of_march};
pub use run::{End, Found, KEPT, Outcome, Plan, Progress, run};
pub use words::{Cell, Store, exercise};

/// What exercising in user space can't find, in sentences (own analysis, no source).
pub const LIMITS: [&str; 7] = [
    "memory of the kernel, the firmware, devices and other programs is not touched: only what was free",
    "ECC corrects single bits before a program sees them: read the kernel's counters before and after",
    "DDR5 devices correct single bits inside themselves, and nobody counts those",
    "neighbours in rows and columns are not known: controllers spread addresses over channels, and devices move rows",
    "where the controller scrambles data, the patterns on the devices are not those that are written",
    "refresh, voltage, temperature and timing stay as they are: no margin is tested, and refresh runs on in pauses",
    "a read that follows a write of the same line inside one sweep comes from the cache, unless writes are flushed",
];
