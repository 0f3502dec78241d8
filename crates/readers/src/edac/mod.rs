//! Error counters of the Linux kernel (EDAC), from its files.
