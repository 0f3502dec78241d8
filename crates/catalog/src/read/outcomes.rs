//! A shop's own outcomes of diagnosis.

use crate::reading::Reading;
use crate::shape::outcomes::{OutcomeRow, OutcomesFile};
use domain::fault::{Cause, Outcome, Sign};

/// The outcomes of a file, in its order.
pub(crate) fn outcomes(reading: &mut Reading, name: &str, bytes: &[u8]) -> Option<Vec<Outcome>> {
    let root = reading.parse(name, bytes)?;
    reading.check_format(&root, false);
    let file: OutcomesFile = reading.decode(&root)?;
    Some(file.outcome.iter().filter_map(|row| outcome(reading, row)).collect())
}

fn outcome(reading: &mut Reading, row: &OutcomeRow) -> Option<Outcome> {
    let sign = Sign::parse(&row.symptom.value);
    if sign.is_none() {
        reading.unknown(&row.symptom, "symptom", Sign::ALL.iter().map(|s| s.word()));
    }
    let cause = Cause::parse(&row.cause.value);
    if cause.is_none() {
        reading.unknown(&row.cause, "cause", Cause::ALL.iter().map(|c| c.word()));
    }
    let count = row.count.as_ref().map_or(Some(1), |c| reading.ranged(c, "how often it was found", 1, 1_000_000));
    Some(Outcome { sign: sign?, cause: cause?, count: count? })
}
