//! The fields of DDR3 contents (JEDEC JESD21-C Annex K, 256 bytes).
//!
//! Bytes 0 to 20 and 117 to 149 as makers' published tables show them; the other fields from memory.

use super::layout::Means::{Bcd, Codes, Flag, Maker, Of, Plain};
use super::layout::{big, bit, bits, byte, little, section, with_nibble};

const MTB: super::layout::Means = Of("medium timebases");
const FTB: super::layout::Means = Of("fine timebases, signed");

section! {
    /// Base section, bytes 0 to 59, and the checksum.
    Base {
        sizes: u8 = bits(0, 6, 0), "sizes: bytes in all and bytes used", Plain;
        short_checksum: u8 = bit(0, 7), "checksum covers bytes 0 to 116 only", Flag;
        revision: u8 = byte(1), "SPD revision, a nibble each side of the point", Plain;
        dram_type: u8 = byte(2), "DRAM type", Codes(&[(0x0B, "DDR3")]);
        module_type: u8 = bits(3, 3, 0), "module type", Codes(super::kind::DDR3_TYPES);
        hybrid: u8 = bits(3, 7, 4), "hybrid or reserved", Plain;
        density: u8 = bits(4, 3, 0), "die density, 256 Mbit << n", Plain;
        bank_bits: u8 = bits(4, 6, 4), "bank address bits above 3", Plain;
        columns: u8 = bits(5, 2, 0), "column address bits above 9", Plain;
        rows: u8 = bits(5, 5, 3), "row address bits above 12", Plain;
        not_1500: u8 = bit(6, 0), "1.5 V not operable", Flag;
        volts_1350: u8 = bit(6, 1), "1.35 V operable", Flag;
        volts_1250: u8 = bit(6, 2), "1.25 V operable", Flag;
        width: u8 = bits(7, 2, 0), "device width, 4 << n bits", Plain;
        ranks: u8 = bits(7, 5, 3), "ranks above 1", Plain;
        bus: u8 = bits(8, 2, 0), "primary bus width, 8 << n bits", Plain;
        extension: u8 = bits(8, 4, 3), "bus width extension", Codes(&[(0, "none"), (1, "8 bits")]);
        ftb_divisor: u8 = bits(9, 3, 0), "fine timebase divisor", Plain;
        ftb_dividend: u8 = bits(9, 7, 4), "fine timebase dividend, ps", Plain;
        mtb_dividend: u8 = byte(10), "medium timebase dividend, ns", Plain;
        mtb_divisor: u8 = byte(11), "medium timebase divisor", Plain;
        tck: u8 = byte(12), "least cycle time", MTB;
        cas: u16 = little(14, 2), "CAS latencies, bit 0 is 4", Plain;
        taa: u8 = byte(16), "least CAS latency time", MTB;
        twr: u8 = byte(17), "write recovery time", MTB;
        trcd: u8 = byte(18), "RAS to CAS delay", MTB;
        trrd: u8 = byte(19), "row active to row active delay", MTB;
        trp: u8 = byte(20), "row precharge delay", MTB;
        tras: u16 = with_nibble(22, 21, 0), "active to precharge delay", MTB;
        trc: u16 = with_nibble(23, 21, 4), "active to active or refresh delay", MTB;
        trfc: u16 = little(24, 2), "refresh recovery delay", MTB;
        twtr: u8 = byte(26), "write to read delay", MTB;
        trtp: u8 = byte(27), "read to precharge delay", MTB;
        tfaw: u16 = with_nibble(29, 28, 0), "four activate window", MTB;
        optional: u8 = byte(30), "optional features: drive strengths, DLL off", Plain;
        thermal: u8 = byte(31), "thermal and refresh options", Plain;
        sensor: u8 = bit(32, 7), "thermal sensor", Flag;
        sensor_accuracy: u8 = bits(32, 6, 0), "thermal sensor accuracy", Plain;
        loading: u8 = bits(33, 1, 0), "signal loading", Codes(&[(0, "not told"), (1, "multi-load stack"), (2, "single-load stack")]);
        dies: u8 = bits(33, 6, 4), "die count code", Codes(&[(0, "not told"), (1, "1"), (2, "2"), (3, "4"), (4, "8")]);
        nonstandard: u8 = bit(33, 7), "not a standard single-die device", Flag;
        tck_fine: u8 = byte(34), "least cycle time, fine", FTB;
        taa_fine: u8 = byte(35), "least CAS latency time, fine", FTB;
        trcd_fine: u8 = byte(36), "RAS to CAS delay, fine", FTB;
        trp_fine: u8 = byte(37), "row precharge delay, fine", FTB;
        trc_fine: u8 = byte(38), "active to active delay, fine", FTB;
        activates: u8 = byte(41), "most activates of a row between refreshes", Plain;
        crc: u16 = little(126, 2), "checksum", Plain;
    }
}

section! {
    /// Outline and raw card, which all module types have, bytes 60 to 62.
    Outline {
        height: u8 = bits(60, 4, 0), "height, mm above 15", Of("mm above 15, rounded up");
        card_more: u8 = bits(60, 7, 5), "raw card revision above 3", Plain;
        front: u8 = bits(61, 3, 0), "front thickness", Of("mm above 1");
        back: u8 = bits(61, 7, 4), "back thickness", Of("mm above 1");
        card: u8 = bits(62, 4, 0), "raw card letter", Plain;
        card_revision: u8 = bits(62, 6, 5), "raw card revision", Plain;
        card_extended: u8 = bit(62, 7), "raw card letter of the second set", Flag;
    }
}

section! {
    /// Unbuffered modules, byte 63.
    Unbuffered {
        mirrored: u8 = bit(63, 0), "rank 1 address mirrored", Flag;
    }
}

section! {
    /// Registered modules, bytes 63 to 76.
    Registered {
        registers: u8 = bits(63, 1, 0), "registers", Codes(&[(0, "not told"), (1, "1"), (2, "2"), (3, "4")]);
        dram_rows: u8 = bits(63, 3, 2), "rows of DRAM", Codes(&[(0, "not told"), (1, "1"), (2, "2"), (3, "4")]);
        spreader: u8 = bit(64, 7), "heat spreader", Flag;
        spreader_thermal: u8 = bits(64, 6, 0), "heat spreader's thermal character", Plain;
        register_maker: u16 = big(65, 2), "register maker", Maker;
        register_revision: u8 = byte(67), "register revision", Plain;
        register_type: u8 = bits(68, 2, 0), "register type", Codes(&[(0, "SSTE32882")]);
        controls: [u8; 8] = big(69, 8), "register control words RC1 to RC15", Plain;
    }
}

section! {
    /// Load-reduced modules, bytes 63 to 116.
    LoadReduced {
        mirrored: u8 = bit(63, 0), "rank 1 address mirrored", Flag;
        dram_rows: u8 = bits(63, 3, 2), "rows of DRAM", Codes(&[(0, "not told"), (1, "1"), (2, "2"), (3, "4")]);
        attributes: u8 = bits(63, 7, 4), "orientation and heat spreader", Plain;
        register_revision: u8 = byte(64), "memory buffer revision", Plain;
        register_maker: u16 = big(65, 2), "memory buffer maker", Maker;
        controls: [u8; 23] = big(67, 23), "memory buffer control words, delays and drives by rate", Plain;
        delays: [u8; 6] = big(90, 6), "least and most module delays at 1.5, 1.35 and 1.25 V", Plain;
        personality: [u8; 15] = big(102, 15), "memory buffer personality bytes", Plain;
    }
}

section! {
    /// Manufacturing information, bytes 117 to 149.
    Made {
        maker: u16 = big(117, 2), "module maker", Maker;
        location: u8 = byte(119), "manufacturing location", Plain;
        year: u8 = byte(120), "year", Bcd;
        week: u8 = byte(121), "week", Bcd;
        serial: u32 = big(122, 4), "serial number", Plain;
        part_number: [u8; 18] = big(128, 18), "part number", Plain;
        revision: u8 = byte(146), "module revision", Plain;
        stepping: u8 = byte(147), "module revision, second byte", Plain;
        dram_maker: u16 = big(148, 2), "DRAM maker", Maker;
    }
}

/// Bytes that makers and users fill as they like.
pub const OPEN: &[(usize, usize)] = &[(150, 256)];
