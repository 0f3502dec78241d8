//! Readers against published labels, and their properties.

mod label_properties;
mod labels;
