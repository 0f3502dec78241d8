//! Hex text of contents in the usual layouts.
