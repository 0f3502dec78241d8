//! The fields of DDR4 contents (JEDEC JESD21-C Annex L, 512 bytes).

use super::layout::Means::{Bcd, Codes, Flag, Maker, Of, Plain};
use super::layout::{big, bit, bits, byte, little, section, with_nibble};

const MTB: super::layout::Means = Of("x 125 ps");
const FTB: super::layout::Means = Of("ps, signed");
const LOADING: super::layout::Means =
    Codes(&[(0, "not told"), (1, "multi-load stack"), (2, "single-load stack (3DS)")]);
const ROWS: super::layout::Means = Codes(&[(0, "not told"), (1, "1"), (2, "2"), (3, "4")]);
const DRIVE: super::layout::Means = Codes(&[(0, "light"), (1, "moderate"), (2, "strong"), (3, "very strong")]);

section! {
    /// Base section, bytes 0 to 127.
    Base {
        used: u8 = bits(0, 3, 0), "bytes used", Codes(&[(1, "128"), (2, "256"), (3, "384"), (4, "512")]);
        total: u8 = bits(0, 6, 4), "bytes in all", Codes(&[(1, "256"), (2, "512")]);
        revision: u8 = byte(1), "SPD revision, a nibble each side of the point", Plain;
        dram_type: u8 = byte(2), "DRAM type", Codes(&[(0x0C, "DDR4"), (0x0E, "DDR4E")]);
        module_type: u8 = bits(3, 3, 0), "module type", Codes(super::kind::DDR4_TYPES);
        media: u8 = bits(3, 6, 4), "hybrid media", Codes(super::kind::MEDIA);
        hybrid: u8 = bit(3, 7), "hybrid module", Flag;
        density: u8 = bits(4, 3, 0), "die density code", Plain;
        bank_bits: u8 = bits(4, 5, 4), "bank address bits above 2", Plain;
        group_bits: u8 = bits(4, 7, 6), "bank group bits", Plain;
        columns: u8 = bits(5, 2, 0), "column address bits above 9", Plain;
        rows: u8 = bits(5, 5, 3), "row address bits above 12", Plain;
        loading: u8 = bits(6, 1, 0), "signal loading", LOADING;
        dies: u8 = bits(6, 6, 4), "dies a package above 1", Plain;
        stacked: u8 = bit(6, 7), "package of several dies", Flag;
        activates: u8 = bits(7, 3, 0), "most activates of a row between refreshes", Codes(&[
            (0, "untested"), (1, "700 K"), (2, "600 K"), (3, "500 K"), (4, "400 K"), (5, "300 K"), (6, "200 K"), (8, "unlimited"),
        ]);
        window: u8 = bits(7, 5, 4), "window of those activates", Codes(&[(0, "8192 tREFI"), (1, "4096 tREFI"), (2, "2048 tREFI")]);
        hard_repair: u8 = bits(9, 7, 6), "post-package repair", Codes(&[(0, "none"), (1, "one row a bank group")]);
        soft_repair: u8 = bit(9, 5), "soft post-package repair", Flag;
        test_repair: u8 = bit(9, 4), "self-test with post-package repair", Flag;
        second_loading: u8 = bits(10, 1, 0), "second package: signal loading", LOADING;
        second_ratio: u8 = bits(10, 3, 2), "second package: density against the first", Codes(&[
            (0, "equal"), (1, "one step smaller"), (2, "two steps smaller"),
        ]);
        second_dies: u8 = bits(10, 6, 4), "second package: dies above 1", Plain;
        second_stacked: u8 = bit(10, 7), "second package of several dies", Flag;
        volts_1200: u8 = bit(11, 0), "1.2 V operable", Flag;
        endures_1200: u8 = bit(11, 1), "1.2 V endurant", Flag;
        width: u8 = bits(12, 2, 0), "device width, 4 << n bits", Plain;
        ranks: u8 = bits(12, 5, 3), "package ranks above 1", Plain;
        asymmetric: u8 = bit(12, 6), "ranks differ", Flag;
        bus: u8 = bits(13, 2, 0), "primary bus width, 8 << n bits", Plain;
        extension: u8 = bits(13, 4, 3), "bus width extension", Codes(&[(0, "none"), (1, "8 bits")]);
        sensor: u8 = bit(14, 7), "thermal sensor", Flag;
        extended_type: u8 = bits(15, 3, 0), "extended module type", Plain;
        timebases: u8 = bits(17, 3, 0), "timebases", Codes(&[(0, "125 ps and 1 ps")]);
        tck: u8 = byte(18), "least cycle time", MTB;
        tck_max: u8 = byte(19), "longest cycle time", MTB;
        cas: u32 = super::layout::Place { width: 30, ..little(20, 4) }, "CAS latencies, bit 0 is 7 or 23", Plain;
        cas_high: u8 = bit(23, 7), "CAS latencies start at 23", Flag;
        taa: u8 = byte(24), "least CAS latency time", MTB;
        trcd: u8 = byte(25), "RAS to CAS delay", MTB;
        trp: u8 = byte(26), "row precharge delay", MTB;
        tras: u16 = with_nibble(28, 27, 0), "active to precharge delay", MTB;
        trc: u16 = with_nibble(29, 27, 4), "active to active or refresh delay", MTB;
        trfc1: u16 = little(30, 2), "refresh recovery delay, normal", MTB;
        trfc2: u16 = little(32, 2), "refresh recovery delay, twice as often", MTB;
        trfc4: u16 = little(34, 2), "refresh recovery delay, four times as often", MTB;
        tfaw: u16 = with_nibble(37, 36, 0), "four activate window", MTB;
        trrd_s: u8 = byte(38), "activate to activate delay, other bank group", MTB;
        trrd_l: u8 = byte(39), "activate to activate delay, same bank group", MTB;
        tccd_l: u8 = byte(40), "CAS to CAS delay, same bank group", MTB;
        twr: u16 = with_nibble(42, 41, 0), "write recovery time", MTB;
        twtr_s: u16 = with_nibble(44, 43, 0), "write to read delay, other bank group", MTB;
        twtr_l: u16 = with_nibble(45, 43, 4), "write to read delay, same bank group", MTB;
        wiring: [u8; 18] = big(60, 18), "connector to DRAM bit map", Plain;
        tccd_l_fine: u8 = byte(117), "CAS to CAS delay, same bank group, fine", FTB;
        trrd_l_fine: u8 = byte(118), "activate to activate delay, same bank group, fine", FTB;
        trrd_s_fine: u8 = byte(119), "activate to activate delay, other bank group, fine", FTB;
        trc_fine: u8 = byte(120), "active to active delay, fine", FTB;
        trp_fine: u8 = byte(121), "row precharge delay, fine", FTB;
        trcd_fine: u8 = byte(122), "RAS to CAS delay, fine", FTB;
        taa_fine: u8 = byte(123), "least CAS latency time, fine", FTB;
        tck_max_fine: u8 = byte(124), "longest cycle time, fine", FTB;
        tck_fine: u8 = byte(125), "least cycle time, fine", FTB;
        crc: u16 = little(126, 2), "checksum of the base section", Plain;
    }
}

section! {
    /// Outline and raw card, which all module types have, and the checksum of the module section.
    Outline {
        height: u8 = bits(128, 4, 0), "height", Of("mm above 15, rounded up");
        card_more: u8 = bits(128, 7, 5), "raw card revision above 3", Plain;
        front: u8 = bits(129, 3, 0), "front thickness", Of("mm above 1");
        back: u8 = bits(129, 7, 4), "back thickness", Of("mm above 1");
        card: u8 = bits(130, 4, 0), "raw card letter", Plain;
        card_revision: u8 = bits(130, 6, 5), "raw card revision", Plain;
        card_extended: u8 = bit(130, 7), "raw card letter of the second set", Flag;
        crc: u16 = little(254, 2), "checksum of the module section", Plain;
    }
}

section! {
    /// Unbuffered modules.
    Unbuffered {
        mirrored: u8 = bit(131, 0), "rank 1 address mirrored", Flag;
    }
}

section! {
    /// Registered modules, bytes 131 to 138.
    Registered {
        registers: u8 = bits(131, 1, 0), "registers", ROWS;
        dram_rows: u8 = bits(131, 3, 2), "rows of DRAM", ROWS;
        register_type: u8 = bits(131, 7, 4), "register type", Codes(&[(0, "RCD01"), (1, "RCD02")]);
        spreader: u8 = bit(132, 7), "heat spreader", Flag;
        spreader_thermal: u8 = bits(132, 6, 0), "heat spreader's thermal character", Plain;
        register_maker: u16 = big(133, 2), "register maker", Maker;
        register_revision: u8 = byte(135), "register revision, 255 is not told", Plain;
        mirrored: u8 = bit(136, 0), "rank 1 address mirrored", Flag;
        drive_cke: u8 = bits(137, 1, 0), "drive of clock enable", DRIVE;
        drive_odt: u8 = bits(137, 3, 2), "drive of termination", DRIVE;
        drive_ca: u8 = bits(137, 5, 4), "drive of command and address", DRIVE;
        drive_cs: u8 = bits(137, 7, 6), "drive of chip select", DRIVE;
        drive_y0: u8 = bits(138, 1, 0), "drive of clocks Y0 and Y2", DRIVE;
        drive_y1: u8 = bits(138, 3, 2), "drive of clocks Y1 and Y3", DRIVE;
        slew: u8 = bit(138, 6), "slew rate control", Flag;
    }
}

section! {
    /// What load-reduced modules have behind a register like that of [`Registered`], bytes 138 to 156.
    Buffers {
        drive_bcom: u8 = bit(138, 4), "drive of the buffers' command", Plain;
        drive_bck: u8 = bit(138, 5), "drive of the buffers' clock", Plain;
        buffer_revision: u8 = byte(139), "data buffer revision, 255 is not told", Plain;
        vref_dram: [u8; 4] = big(140, 4), "DRAM reference voltage of ranks 0 to 3", Plain;
        vref_buffer: u8 = byte(144), "data buffer reference voltage", Plain;
        mdq: [u8; 3] = big(145, 3), "data buffer drive and termination up to 1866, 2400, 3200", Plain;
        dram_drive: u8 = byte(148), "DRAM drive strength, two bits a rate", Plain;
        rtt: [u8; 3] = big(149, 3), "DRAM write and nominal termination up to 1866, 2400, 3200", Plain;
        rtt_park: [u8; 3] = big(152, 3), "DRAM park termination up to 1866, 2400, 3200", Plain;
        vref_range: u8 = byte(155), "reference voltage ranges", Plain;
        equalisation: u8 = byte(156), "gain and equalisation", Plain;
    }
}

section! {
    /// Hybrid parameters of non-volatile modules, bytes 192 to 203 (from memory).
    Hybrid {
        product: u16 = little(192, 2), "non-volatile product id", Plain;
        controller_maker: u16 = big(194, 2), "non-volatile controller maker", Maker;
        controller: u16 = little(196, 2), "non-volatile controller id", Plain;
        controller_revision: u8 = byte(198), "non-volatile controller revision", Plain;
        card: u8 = byte(199), "non-volatile raw card", Plain;
        character: u8 = byte(200), "non-volatile character", Plain;
        hybrid_media: u16 = little(201, 2), "non-volatile media types", Plain;
        start_time: u8 = byte(203), "longest time to make the media ready", Plain;
    }
}

section! {
    /// Manufacturing information, bytes 320 to 352.
    Made {
        maker: u16 = big(320, 2), "module maker", Maker;
        location: u8 = byte(322), "manufacturing location", Plain;
        year: u8 = byte(323), "year", Bcd;
        week: u8 = byte(324), "week", Bcd;
        serial: u32 = big(325, 4), "serial number", Plain;
        part_number: [u8; 20] = big(329, 20), "part number", Plain;
        revision: u8 = byte(349), "module revision", Plain;
        dram_maker: u16 = big(350, 2), "DRAM maker", Maker;
        stepping: u8 = byte(352), "DRAM stepping", Plain;
    }
}

/// Bytes that makers and users fill as they like.
pub const OPEN: &[(usize, usize)] = &[(353, 512)];
/// The same, and the hybrid functions, of a hybrid module.
pub const OPEN_HYBRID: &[(usize, usize)] = &[(204, 254), (256, 320), (353, 512)];
