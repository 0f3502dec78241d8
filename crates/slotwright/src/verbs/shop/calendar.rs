//! Days and moments of the store as people and scripts write them.

use crate::failure::Failure;
use domain::{Day, Stamp};
use jiff::Timestamp;
use jiff::civil::Date;

const EPOCH: Date = jiff::civil::date(1970, 1, 1);

/// A day as `2026-11-25`.
pub fn day(day: Day) -> String {
    i32::try_from(day.days())
        .ok()
        .and_then(|days| EPOCH.checked_add(jiff::Span::new().try_days(days).ok()?).ok())
        .map_or_else(|| format!("day {}", day.days()), |date| date.to_string())
}

/// The day of a date.
pub fn of(date: Date) -> Day {
    let span = date.since((jiff::Unit::Day, EPOCH));
    Day::from_days(span.map_or(0, |s| i64::from(s.get_days())))
}

/// Reads `2026-11-25`.
///
/// # Errors
/// It is no day of the calendar.
pub fn read_day(text: &str) -> Result<Day, Failure> {
    text.trim().parse::<Date>().map(of).map_err(|_| Failure::Shop {
        why: format!("`{}` is no day", text.trim()),
        hint: "write year, month and day, such as 2026-11-25".to_string(),
    })
}

/// A moment as `2026-11-25T14:05:00Z`.
pub fn moment(stamp: Stamp) -> String {
    Timestamp::from_second(stamp.seconds()).map_or_else(|_| format!("second {}", stamp.seconds()), |t| t.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_go_both_ways() {
        for text in ["1970-01-01", "2026-11-25", "2000-02-29", "1969-12-31"] {
            assert_eq!(day(read_day(text).unwrap()), text);
        }
        assert_eq!(read_day("1970-01-02").unwrap(), Day::from_days(1));
        assert_eq!(moment(Stamp::from_seconds(0)), "1970-01-01T00:00:00Z");
        for wrong in ["2026-13-01", "25.11.2026", "", "2025-02-29"] {
            assert!(read_day(wrong).is_err(), "{wrong}");
        }
    }
}
