//! The fields of DDR5 contents (JEDEC JESD400-5, 1024 bytes).
//!
//! As revision 1.1 has them; codes and fields of later revisions are from memory and marked so.

use super::layout::Means::{Bcd, Codes, Flag, Maker, Of, Plain};
use super::layout::{big, bit, bits, byte, little, section};

const PS: super::layout::Means = Of("ps");
const NS: super::layout::Means = Of("ns");
const CK: super::layout::Means = Of("clocks at least");
const STACK: super::layout::Means =
    Codes(&[(0, "one die"), (1, "two dies"), (2, "3DS of 2"), (3, "3DS of 4"), (4, "3DS of 8"), (5, "3DS of 16")]);
const DENSITY: super::layout::Means = Codes(&[
    (1, "4 Gbit"),
    (2, "8 Gbit"),
    (3, "12 Gbit"),
    (4, "16 Gbit"),
    (5, "24 Gbit"),
    (6, "32 Gbit"),
    (7, "48 Gbit"),
    (8, "64 Gbit"),
]);
const PMIC: super::layout::Means = Codes(&[(0, "PMIC5000"), (1, "PMIC5010"), (2, "PMIC5100")]);

section! {
    /// Base section, bytes 0 to 127, and the checksum.
    Base {
        beta: u8 = bits(0, 3, 0), "beta level", Plain;
        total: u8 = bits(0, 6, 4), "bytes in all", Codes(&[(1, "256"), (2, "512"), (3, "1024"), (4, "2048")]);
        beta_high: u8 = bit(0, 7), "beta level, highest bit", Plain;
        revision: u8 = byte(1), "SPD revision of the base section, a nibble each side of the point", Plain;
        dram_type: u8 = byte(2), "DRAM type", Codes(&[(0x12, "DDR5")]);
        module_type: u8 = bits(3, 3, 0), "module type", Codes(super::kind::DDR5_TYPES);
        media: u8 = bits(3, 6, 4), "hybrid media", Codes(super::kind::MEDIA);
        hybrid: u8 = bit(3, 7), "hybrid module", Flag;
        density: u8 = bits(4, 4, 0), "die density", DENSITY;
        stack: u8 = bits(4, 7, 5), "dies a package", STACK;
        rows: u8 = bits(5, 4, 0), "row address bits above 16", Plain;
        columns: u8 = bits(5, 7, 5), "column address bits above 10", Plain;
        width: u8 = bits(6, 7, 5), "device width, 4 << n bits", Plain;
        bank_bits: u8 = bits(7, 2, 0), "bank address bits in a group", Plain;
        group_bits: u8 = bits(7, 7, 5), "bank group bits", Plain;
        second_density: u8 = bits(8, 4, 0), "second DRAM: die density", DENSITY;
        second_stack: u8 = bits(8, 7, 5), "second DRAM: dies a package", STACK;
        second_rows: u8 = bits(9, 4, 0), "second DRAM: row address bits above 16", Plain;
        second_columns: u8 = bits(9, 7, 5), "second DRAM: column address bits above 10", Plain;
        second_width: u8 = bits(10, 7, 5), "second DRAM: device width, 4 << n bits", Plain;
        second_bank_bits: u8 = bits(11, 2, 0), "second DRAM: bank address bits in a group", Plain;
        second_group_bits: u8 = bits(11, 7, 5), "second DRAM: bank group bits", Plain;
        repair: u8 = byte(12), "post-package repair and burst of 32", Plain;
        duty: u8 = byte(13), "duty cycle adjuster and partial self refresh", Plain;
        faults: u8 = byte(14), "fault handling", Plain;
        vdd: u8 = byte(16), "VDD", Codes(&[(0, "1.1 V")]);
        vddq: u8 = byte(17), "VDDQ", Codes(&[(0, "1.1 V")]);
        vpp: u8 = byte(18), "VPP", Codes(&[(0, "1.8 V")]);
        nonstandard: u8 = bit(19, 0), "timings are not of the standard", Flag;
        tck: u16 = little(20, 2), "least cycle time", PS;
        tck_max: u16 = little(22, 2), "longest cycle time", PS;
        cas: u64 = little(24, 5), "CAS latencies, bit 0 is 20, each bit 2 more", Plain;
        taa: u16 = little(30, 2), "least CAS latency time", PS;
        trcd: u16 = little(32, 2), "RAS to CAS delay", PS;
        trp: u16 = little(34, 2), "row precharge delay", PS;
        tras: u16 = little(36, 2), "active to precharge delay", PS;
        trc: u16 = little(38, 2), "active to active or refresh delay", PS;
        twr: u16 = little(40, 2), "write recovery time", PS;
        trfc1: u16 = little(42, 2), "refresh recovery delay, normal", NS;
        trfc2: u16 = little(44, 2), "refresh recovery delay, fine", NS;
        trfc_sb: u16 = little(46, 2), "refresh recovery delay, same bank", NS;
        trfc1_dlr: u16 = little(48, 2), "the same, other logical rank, normal", NS;
        trfc2_dlr: u16 = little(50, 2), "the same, other logical rank, fine", NS;
        trfc_sb_dlr: u16 = little(52, 2), "the same, other logical rank, same bank", NS;
        refresh: u16 = little(54, 2), "refresh management", Plain;
        second_refresh: u16 = little(56, 2), "second DRAM: refresh management", Plain;
        adaptive: [u8; 12] = big(58, 12), "adaptive refresh management levels A, B, C", Plain;
        trrd_l: u16 = little(70, 2), "activate to activate delay, same bank group", PS;
        trrd_l_ck: u8 = byte(72), "activate to activate delay, same bank group", CK;
        tccd_l: u16 = little(73, 2), "read to read delay, same bank group", PS;
        tccd_l_ck: u8 = byte(75), "read to read delay, same bank group", CK;
        tccd_l_wr: u16 = little(76, 2), "write to write delay, same bank group", PS;
        tccd_l_wr_ck: u8 = byte(78), "write to write delay, same bank group", CK;
        tccd_l_wr2: u16 = little(79, 2), "write to write delay, same bank group, second not read-modify-write", PS;
        tccd_l_wr2_ck: u8 = byte(81), "write to write delay, same bank group, second not read-modify-write", CK;
        tfaw: u16 = little(82, 2), "four activate window", PS;
        tfaw_ck: u8 = byte(84), "four activate window", CK;
        tccd_l_wtr: u16 = little(85, 2), "write to read delay, same bank group", PS;
        tccd_l_wtr_ck: u8 = byte(87), "write to read delay, same bank group", CK;
        tccd_s_wtr: u16 = little(88, 2), "write to read delay, other bank group", PS;
        tccd_s_wtr_ck: u8 = byte(90), "write to read delay, other bank group", CK;
        trtp: u16 = little(91, 2), "read to precharge delay", PS;
        trtp_ck: u8 = byte(93), "read to precharge delay", CK;
        tccd_m: u16 = little(94, 2), "read to read delay, other bank of the group (from revision 1.2, from memory)", PS;
        tccd_m_ck: u8 = byte(96), "read to read delay, other bank of the group (from memory)", CK;
        tccd_m_wr: u16 = little(97, 2), "write to write delay, other bank of the group (from memory)", PS;
        tccd_m_wr_ck: u8 = byte(99), "write to write delay, other bank of the group (from memory)", CK;
        tccd_m_wtr: u16 = little(100, 2), "write to read delay, other bank of the group (from memory)", PS;
        tccd_m_wtr_ck: u8 = byte(102), "write to read delay, other bank of the group (from memory)", CK;
        crc: u16 = little(510, 2), "checksum", Plain;
    }
}

section! {
    /// What all module types have, bytes 192 to 239.
    Module {
        revision: u8 = byte(192), "SPD revision of the module section, a nibble each side of the point", Plain;
        hashing: u8 = byte(193), "hashing sequence", Plain;
        hub_maker: u16 = big(194, 2), "SPD hub maker", Maker;
        hub_type: u8 = bits(196, 6, 0), "SPD hub type", Codes(&[(0, "SPD5118"), (1, "ESPD5216")]);
        hub_present: u8 = bit(196, 7), "SPD hub", Flag;
        hub_revision: u8 = byte(197), "SPD hub revision", Plain;
        pmic0_maker: u16 = big(198, 2), "first power management chip's maker", Maker;
        pmic0_type: u8 = bits(200, 6, 0), "first power management chip's type", PMIC;
        pmic0_present: u8 = bit(200, 7), "first power management chip", Flag;
        pmic0_revision: u8 = byte(201), "first power management chip's revision", Plain;
        pmic1_maker: u16 = big(202, 2), "second power management chip's maker", Maker;
        pmic1_type: u8 = bits(204, 6, 0), "second power management chip's type", PMIC;
        pmic1_present: u8 = bit(204, 7), "second power management chip", Flag;
        pmic1_revision: u8 = byte(205), "second power management chip's revision", Plain;
        pmic2_maker: u16 = big(206, 2), "third power management chip's maker", Maker;
        pmic2_type: u8 = bits(208, 6, 0), "third power management chip's type", PMIC;
        pmic2_present: u8 = bit(208, 7), "third power management chip", Flag;
        pmic2_revision: u8 = byte(209), "third power management chip's revision", Plain;
        sensor_maker: u16 = big(210, 2), "temperature sensors' maker", Maker;
        sensor_type: u8 = bits(212, 5, 0), "temperature sensors' type", Codes(&[(0, "TS5111"), (1, "TS5110")]);
        sensor1: u8 = bit(212, 6), "second temperature sensor", Flag;
        sensor0: u8 = bit(212, 7), "first temperature sensor", Flag;
        sensor_revision: u8 = byte(213), "temperature sensors' revision", Plain;
        height: u8 = bits(230, 4, 0), "height", Of("mm above 15, rounded up");
        front: u8 = bits(231, 3, 0), "front thickness", Of("mm above 1");
        back: u8 = bits(231, 7, 4), "back thickness", Of("mm above 1");
        card: u8 = bits(232, 4, 0), "raw card letter", Plain;
        card_revision: u8 = bits(232, 7, 5), "raw card revision", Plain;
        dram_rows: u8 = bits(233, 1, 0), "rows of DRAM", Codes(&[(0, "not told"), (1, "1"), (2, "2"), (3, "4")]);
        spreader: u8 = bit(233, 2), "heat spreader", Flag;
        temperature: u8 = bits(233, 7, 4), "operating temperature range", Codes(super::kind::TEMPERATURES);
        ranks: u8 = bits(234, 5, 3), "package ranks a sub-channel above 1", Plain;
        asymmetric: u8 = bit(234, 6), "ranks differ", Flag;
        bus: u8 = bits(235, 2, 0), "primary width of a sub-channel, 8 << n bits", Plain;
        extension: u8 = bits(235, 4, 3), "ECC bits of a sub-channel", Codes(&[(0, "none"), (1, "4 bits"), (2, "8 bits")]);
        subchannels: u8 = bits(235, 6, 5), "sub-channels above 1", Plain;
    }
}

section! {
    /// The chip that stands between bus and DRAM: clock driver, register, multiplexing register or memory buffer.
    Driver {
        maker: u16 = big(240, 2), "clock driver, register or buffer: maker", Maker;
        chip_type: u8 = bits(242, 6, 0), "clock driver, register or buffer: type", Codes(&[
            (0, "first of its kind (RCD01, CKD01, MRCD01)"), (1, "RCD02"), (2, "RCD03"), (3, "RCD04 (from memory)"), (4, "RCD05 (from memory)"),
        ]);
        present: u8 = bit(242, 7), "clock driver, register or buffer", Flag;
        revision: u8 = byte(243), "clock driver, register or buffer: revision", Plain;
    }
}

section! {
    /// The data buffers of load-reduced and multiplexed-rank modules, and the register's control words.
    Buffers {
        buffer_maker: u16 = big(244, 2), "data buffer maker", Maker;
        buffer_type: u8 = bits(246, 6, 0), "data buffer type", Plain;
        buffer_present: u8 = bit(246, 7), "data buffer", Flag;
        buffer_revision: u8 = byte(247), "data buffer revision", Plain;
        clock_enables: u8 = byte(248), "register clock enables", Plain;
        output_enables: u8 = byte(249), "register address and control output enables", Plain;
        clock_drive: u8 = byte(250), "register clock drive", Plain;
        address_drive: u8 = byte(252), "register address and chip select drive", Plain;
        buffer_drive: u8 = byte(253), "register to data buffer drive", Plain;
        slew: u8 = byte(254), "register output slew", Plain;
        buffer_slew: u8 = byte(255), "register to data buffer slew", Plain;
        buffer_park: u8 = byte(256), "data buffer strobe park termination", Plain;
    }
}

section! {
    /// Manufacturing information, bytes 512 to 554.
    Made {
        maker: u16 = big(512, 2), "module maker", Maker;
        location: u8 = byte(514), "manufacturing location", Plain;
        year: u8 = byte(515), "year", Bcd;
        week: u8 = byte(516), "week", Bcd;
        serial: u32 = big(517, 4), "serial number", Plain;
        part_number: [u8; 30] = big(521, 30), "part number", Plain;
        revision: u8 = byte(551), "module revision", Plain;
        dram_maker: u16 = big(552, 2), "DRAM maker", Maker;
        stepping: u8 = byte(554), "DRAM stepping", Plain;
    }
}

/// Bytes that makers and users fill as they like.
pub const OPEN: &[(usize, usize)] = &[(555, 1024)];
/// The same, and the module section, of types whose section is not laid out here.
pub const OPEN_OTHER: &[(usize, usize)] = &[(240, 510), (555, 1024)];
