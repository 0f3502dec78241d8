//! Readers against published labels, and their properties.

mod edac_trees;
mod error_records;
mod example_table;
mod label_properties;
mod labels;
mod part_numbers;
mod redfish_captures;
mod redfish_damage;
mod smbios_damage;
mod smbios_kept;
mod smbios_machines;
mod smbios_oddities;
mod smbios_oracle;
mod snapshot_document;
mod spd;
mod spd_built;
mod spd_properties;
