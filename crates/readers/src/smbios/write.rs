//! Writes tables.
