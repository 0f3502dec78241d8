//! Readers against published labels, and their properties.

mod label_properties;
mod labels;
mod redfish_captures;
mod redfish_damage;
