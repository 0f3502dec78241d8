//! A snapshot as one JSON document, written and read.
