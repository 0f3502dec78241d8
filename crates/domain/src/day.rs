//! Days and moments as counts. What they are called in a calendar is the app's business: this room knows no clock.

/// A day, counted from 1970-01-01.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Day(i64);

impl Day {
    /// From days since 1970-01-01.
    pub const fn from_days(days: i64) -> Self {
        Self(days)
    }
    /// In days since 1970-01-01.
    pub const fn days(self) -> i64 {
        self.0
    }
}

/// A moment, in seconds since 1970-01-01 00:00 UTC.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Stamp(i64);

impl Stamp {
    /// From seconds since 1970-01-01 00:00 UTC.
    pub const fn from_seconds(seconds: i64) -> Self {
        Self(seconds)
    }
    /// In seconds since 1970-01-01 00:00 UTC.
    pub const fn seconds(self) -> i64 {
        self.0
    }
    /// The day that it lies in, in UTC.
    pub const fn day(self) -> Day {
        Day(self.0.div_euclid(86_400))
    }
}
