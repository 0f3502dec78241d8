//! The shape of a file of a shop's own outcomes of diagnosis.

use crate::decode::At;
use schemars::JsonSchema;
use serde::Deserialize;

/// What was found in the shop's own repairs: it takes over from the program's figures as it grows.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "outcomes", rename = "Outcomes")]
#[allow(dead_code, reason = "format is read before the shape")]
pub(crate) struct OutcomesFile {
    /// The version of this file format: 1, also if absent.
    pub format: Option<At<u32>>,
    /// Counts; the same symptom and cause may come again.
    #[serde(default)]
    pub outcome: Vec<OutcomeRow>,
}

/// How often one cause was found for one symptom.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct OutcomeRow {
    /// `no-boot`, `missing-module`, `missing-channel`, `missing-processor`, `wrong-size`, `slow`, `correctable-errors` or
    /// `uncorrectable-errors`.
    pub symptom: At<String>,
    /// `seating`, `module`, `slot`, `channel`, `contact`, `processor`, `board`, `configuration` or `firmware`.
    pub cause: At<String>,
    /// How often, 1 to 1000000; once if absent.
    pub count: Option<At<u32>>,
}
