//! SMBIOS tables (DMTF DSP0134): what a machine says of its processors and memory.
