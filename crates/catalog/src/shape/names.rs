//! The shape of a file of processor names.

use super::Named;
use crate::decode::At;
use schemars::JsonSchema;
use serde::Deserialize;

/// What a processor's own name, as machines report it, tells of its memory.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "processor-names", rename = "ProcessorNames")]
#[allow(dead_code, reason = "format and source are read before the shape or only checked")]
pub(crate) struct NamesFile {
    /// The version of this file format: 1, also if absent.
    pub format: Option<At<u32>>,
    /// Where the figures of this file are written.
    pub source: Option<At<String>>,
    /// Your own: a name, or a pattern of names, and the processor family that it is of.
    #[serde(default)]
    pub processors: Named<At<String>>,
    /// Patterns of names, and what they tell.
    #[serde(default)]
    pub name: Vec<NameRow>,
}

/// Patterns of names, and what they tell.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct NameRow {
    /// `#` is one digit, `?` one letter or digit, `*` any letters and digits, a blank one blank or more.
    pub like: Vec<At<String>>,
    /// Channels of one processor, 1 to 32.
    pub channels: Option<At<u8>>,
    /// What the slots hang on: `processor` (if absent), `buffer` (chips between the processor and the slots) or `hub`
    /// (one for all processors).
    pub on: Option<At<String>>,
}
