//! SPD contents of DDR3, DDR4 and DDR5 modules (JEDEC JESD21-C Annex K and L, JESD400-5), read and written.
