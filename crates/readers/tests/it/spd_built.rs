//! Contents built from the standard, of modules without a capture: fields set, checksums made, read back and compared.
//!
//! `UPDATE=1` writes them to `captures/spd/built/`.

use crate::spd::{capture, folder};
use domain::Generation;
use domain::reading::MakerId;
use readers::spd::sections::{Module3, Module4, Module5};
use readers::spd::{self, Sections, Spd, ddr4, ddr5, maker};

/// What a built module must read as.
struct Expected {
    file: &'static str,
    kind: &'static str,
    gib: u64,
    label: Option<&'static str>,
    clocks: (u16, u16, u16),
    mts: u32,
    ecc: u8,
    stack: u8,
}

/// A maker that no list has, so that nobody's name stands on what was never made.
const MAKER: MakerId = MakerId { continuations: 16, id: 0x7D };

fn text<const N: usize>(text: &str) -> [u8; N] {
    let mut bytes = [b' '; N];
    bytes[..text.len()].copy_from_slice(text.as_bytes());
    bytes
}

/// Registered DDR5: times in ps, the CAS map from 20 in steps of 2.
fn ddr5_base(base: &mut ddr5::Base, (density, stack, width): (u8, u8, u8), tck: u16, taa: u16) {
    base.total = 3;
    base.revision = 0x10;
    (base.density, base.stack, base.width) = (density, stack, width);
    (base.rows, base.columns, base.bank_bits, base.group_bits) = (0, 1, 2, 3);
    (base.tck, base.tck_max, base.taa) = (tck, 1010, taa);
    // 22, 26, 28, 30, 32, 36, 40, 42, 46, 50, 52 ...: all even latencies are allowed here.
    base.cas = 0xFF_FFFF_FFFF;
    (base.trcd, base.trp, base.tras, base.trc, base.twr) = (16_000, 16_000, 32_000, 48_000, 30_000);
    (base.trfc1, base.trfc2, base.trfc_sb) = (295, 160, 130);
}

fn ddr5(code: u8, dram: (u8, u8, u8), speed: (u16, u16), organisation: (u8, u8), card: u8) -> Spd {
    let mut spd = Spd::blank(Generation::Ddr5, code);
    if let Sections::Ddr5 { base, common, module, made } = &mut spd.sections {
        ddr5_base(base, dram, speed.0, speed.1);
        common.revision = 0x10;
        (common.hub_present, common.hub_maker) = (1, maker::store(MAKER));
        (common.pmic0_present, common.pmic0_maker) = (1, maker::store(MAKER));
        (common.sensor0, common.sensor1, common.sensor_maker) = (1, 1, maker::store(MAKER));
        (common.height, common.front, common.back) = (17, 1, 2);
        (common.card, common.dram_rows, common.temperature) = (card, 2, 8);
        (common.ranks, common.extension) = organisation;
        (common.bus, common.subchannels) = (2, 1);
        if let Module5::Registered(driver, _) = module {
            (driver.present, driver.maker) = (1, maker::store(MAKER));
        }
        (made.maker, made.dram_maker) = (maker::store(MAKER), maker::store(MAKER));
        (made.year, made.week, made.serial) = (0x25, 0x14, 0x0000_2025);
        made.part_number = text("BUILT-FROM-THE-STANDARD");
    }
    spd
}

fn ddr4_base(base: &mut ddr4::Base) {
    (base.used, base.total, base.revision) = (3, 2, 0x12);
    (base.volts_1200, base.endures_1200, base.sensor) = (1, 1, 1);
    (base.bus, base.extension) = (3, 1);
    (base.density, base.rows, base.columns, base.bank_bits, base.group_bits) = (5, 5, 1, 0, 2);
    // 2666: 750 ps, 13.75 ns for CL, nRCD and nRP, which is 19 clocks.
    (base.tck, base.tck_max, base.taa, base.trcd, base.trp) = (6, 13, 110, 110, 110);
    (base.tras, base.trc, base.cas) = (256, 366, 0x1FFF);
}

fn nonvolatile() -> Spd {
    // Hybrid, NVDIMM-N, on the section of an RDIMM.
    let mut spd = Spd::blank(Generation::Ddr4, 0x91);
    if let Sections::Ddr4 { base, outline, module, hybrid, made } = &mut spd.sections {
        ddr4_base(base);
        (base.width, base.ranks) = (0, 0);
        (outline.height, outline.card) = (17, 2);
        if let Module4::Registered(register) = module {
            (register.register_type, register.registers, register.dram_rows) = (1, 1, 1);
            register.register_maker = maker::store(MAKER);
        }
        if let Some(hybrid) = hybrid {
            (hybrid.product, hybrid.controller_maker) = (1, maker::store(MAKER));
        }
        (made.maker, made.dram_maker) = (maker::store(MAKER), maker::store(MAKER));
        (made.year, made.week, made.serial) = (0x19, 0x30, 0x0000_2019);
        made.part_number = text("BUILT-NVDIMM-N");
    }
    spd
}

fn old_load_reduced() -> Spd {
    let mut spd = Spd::blank(Generation::Ddr3, 0x0B);
    if let Sections::Ddr3 { base, outline, module, made } = &mut spd.sections {
        (base.sizes, base.short_checksum, base.revision) = (0x12, 1, 0x11);
        (base.density, base.columns, base.rows) = (4, 2, 4);
        (base.volts_1350, base.sensor) = (1, 1);
        (base.width, base.ranks, base.bus, base.extension) = (0, 3, 3, 1);
        (base.ftb_dividend, base.ftb_divisor, base.mtb_dividend, base.mtb_divisor) = (1, 1, 1, 8);
        // 1333: 1.5 ns, 13.125 ns, which is 9 clocks.
        (base.tck, base.cas, base.taa, base.trcd, base.trp) = (12, 0x3C, 105, 105, 105);
        (base.tras, base.trc) = (288, 393);
        (outline.height, outline.card) = (15, 2);
        if let Module3::LoadReduced(buffer) = module {
            (buffer.dram_rows, buffer.register_maker) = (2, maker::store(MAKER));
        }
        (made.maker, made.dram_maker) = (maker::store(MAKER), maker::store(MAKER));
        (made.year, made.week, made.serial) = (0x13, 0x20, 0x0000_2013);
        made.part_number = text("BUILT-LRDIMM");
    }
    spd
}

fn built() -> Vec<(Expected, Spd)> {
    let mut all = built_ddr5();
    all.extend(built_older());
    all
}

fn built_ddr5() -> Vec<(Expected, Spd)> {
    let of = |file, kind, gib, label, clocks, mts, (ecc, stack)| Expected {
        file,
        kind,
        gib,
        label,
        clocks,
        mts,
        ecc,
        stack,
    };
    vec![
        (
            of(
                "ddr5-rdimm-3ds-256g.hex",
                "RDIMM-3DS",
                256,
                Some("256GB 2S4Rx4 PC5-4800B-RA0-1010-XT"),
                (46, 39, 39),
                4800,
                (8, 4),
            ),
            ddr5(1, (4, 3, 0), (416, 18_750), (1, 2), 0),
        ),
        (
            of(
                "ddr5-mrdimm-64g-8800.hex",
                "MRDIMM",
                64,
                Some("64GB 2Rx4 PC5-8800B-MA0-1010-XT"),
                (72, 71, 71),
                8800,
                (8, 1),
            ),
            ddr5(7, (4, 0, 0), (227, 16_000), (1, 2), 0),
        ),
        (
            of(
                "ddr5-rdimm-64g-5600.hex",
                "RDIMM",
                64,
                Some("64GB 2Rx4 PC5-5600B-RA0-1010-XT"),
                (46, 45, 45),
                5600,
                (8, 1),
            ),
            ddr5(1, (4, 0, 0), (357, 16_000), (1, 2), 0),
        ),
        (
            of(
                "ddr5-rdimm-96g-6400.hex",
                "RDIMM",
                96,
                Some("96GB 2Rx4 PC5-6400B-RA0-1010-XT"),
                (52, 52, 52),
                6400,
                (8, 1),
            ),
            ddr5(1, (5, 0, 0), (312, 16_000), (1, 2), 0),
        ),
        (
            of(
                "ddr5-rdimm-32g-ec4.hex",
                "RDIMM",
                32,
                Some("32GB 1Rx4 PC5-4800B-RC0-1010-XT"),
                (40, 39, 39),
                4800,
                (4, 1),
            ),
            ddr5(1, (4, 0, 0), (416, 16_000), (0, 1), 2),
        ),
    ]
}

fn built_older() -> Vec<(Expected, Spd)> {
    let of = |file, kind, gib, label, clocks, mts, (ecc, stack)| Expected {
        file,
        kind,
        gib,
        label,
        clocks,
        mts,
        ecc,
        stack,
    };
    vec![
        (of("ddr4-nvdimm-n-16g.hex", "NVDIMM", 16, None, (19, 19, 19), 2666, (8, 1)), nonvolatile()),
        (
            of("ddr3-lrdimm-32g.hex", "LRDIMM", 32, Some("32GB 4Rx4 PC3L-10600L-9-11-C0"), (9, 9, 9), 1333, (8, 1)),
            old_load_reduced(),
        ),
    ]
}

#[test]
fn contents_built_from_the_standard_read_back() {
    for (expected, mut spd) in built() {
        let file = expected.file;
        spd.seal();
        let bytes = spd::write(&spd);
        let read = spd::read(&bytes).unwrap_or_else(|e| panic!("{file}: {e}"));
        assert_eq!(read, spd, "{file}");
        let reading = read.reading();
        assert_eq!(reading.kind.map(|k| k.name()), Some(expected.kind), "{file}");
        assert_eq!(reading.capacity.map(|c| c.mib()), Some(expected.gib * 1024), "{file}");
        assert_eq!(reading.label.as_deref(), expected.label, "{file}");
        assert_eq!(reading.clocks.map(|c| (c.cas, c.rcd, c.rp)), Some(expected.clocks), "{file}");
        assert_eq!(reading.rate.map(|r| r.mts()), Some(expected.mts), "{file}");
        assert_eq!((reading.ecc_bits, reading.stack_height), (Some(expected.ecc), Some(expected.stack)), "{file}");
        assert_eq!(reading.oddities, [], "{file}");
        assert!(reading.checksums.iter().all(|c| c.holds()), "{file}");
    }
}

#[test]
fn the_dram_of_a_multiplexed_rank_module_runs_at_half_the_rate_of_its_bus() {
    let spd = ddr5(7, (4, 0, 0), (454, 16_000), (1, 2), 0);
    assert_eq!(spd.reading().rate.map(|r| r.mts()), Some(8800));
}

#[test]
fn built_contents_are_those_in_the_captures() {
    for (expected, mut spd) in built() {
        spd.seal();
        let bytes = spd::write(&spd);
        let path = format!("built/{}", expected.file);
        if std::env::var_os("UPDATE").is_some() {
            let row = |r: &[u8]| r.iter().map(|b| format!("{b:02x}")).collect::<Vec<_>>().join(" ") + "\n";
            let text = bytes.chunks(16).map(row).collect::<String>();
            std::fs::create_dir_all(folder().join("built")).expect("a folder");
            std::fs::write(folder().join(&path), format!("# built from the standard\n{text}")).expect("written");
        }
        assert_eq!(capture(&path), bytes, "{path}");
    }
}
