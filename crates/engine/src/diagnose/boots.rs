//! Symptoms that come and go: how many clean starts until it is likely that the fault is gone.

/// The probability that a fault is still there after so many clean starts in a row.
///
/// `before` is the probability that it is there; `shows` that a start shows it while it is; both 0 to 1.
pub fn still_there(before: f64, shows: f64, starts: u32) -> f64 {
    let hidden = before * (1.0 - shows).powi(starts.min(i32::MAX as u32) as i32);
    let all = hidden + (1.0 - before);
    if all > 0.0 { hidden / all } else { 0.0 }
}

/// Clean starts until the fault is gone with a probability of `sure`; `None` where no count up to 1000 reaches it.
pub fn clean_starts(before: f64, shows: f64, sure: f64) -> Option<u32> {
    (0..=1000).find(|n| still_there(before, shows, *n) <= 1.0 - sure + 1e-12)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn more_starts_make_it_surer_and_none_change_nothing() {
        assert_eq!(still_there(0.3, 0.4, 0), 0.3);
        assert!(still_there(0.3, 0.4, 2) < still_there(0.3, 0.4, 1));
        assert_eq!(clean_starts(0.5, 0.0, 0.95), None);
        assert_eq!(clean_starts(0.01, 0.5, 0.95), Some(0));
        assert_eq!(clean_starts(0.5, 1.0, 0.95), Some(1));
    }
}
