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
pub struct Stamp {
    seconds: i64,
    /// Seconds that clocks are ahead of UTC where it was taken.
    ahead: i32,
}

impl Stamp {
    /// From seconds since 1970-01-01 00:00 UTC.
    pub const fn from_seconds(seconds: i64) -> Self {
        Self { seconds, ahead: 0 }
    }
    /// The same where clocks are so many seconds ahead of UTC; below 0, behind it.
    pub const fn with_clock(self, ahead: i32) -> Self {
        Self { ahead, ..self }
    }
    /// In seconds since 1970-01-01 00:00 UTC.
    pub const fn seconds(self) -> i64 {
        self.seconds
    }
    /// The day that it lies in where it was taken; in UTC where that is not known.
    pub const fn day(self) -> Day {
        Day((self.seconds + self.ahead as i64).div_euclid(86_400))
    }
}

#[cfg(test)]
mod tests {
    use super::{Day, Stamp};

    #[test]
    fn the_day_is_that_of_the_place() {
        let evening = Stamp::from_seconds(20_000 * 86_400 - 3_600);
        assert_eq!(evening.day(), Day::from_days(19_999));
        assert_eq!(evening.with_clock(7_200).day(), Day::from_days(20_000));
        assert_eq!(Stamp::from_seconds(20_000 * 86_400).with_clock(-18_000).day(), Day::from_days(19_999));
        assert_eq!(Stamp::from_seconds(0).with_clock(-1).day(), Day::from_days(-1));
    }
}
