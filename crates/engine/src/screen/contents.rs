//! SPD contents by themselves: checksums, and fields that do not go together on a healthy module.

use super::case::{Case, Evidence, maker};
use super::{Check, Entry, Today};
use domain::reading::{Maker, MakerId, Weight};
use domain::{Generation, Kind, ModuleReading};

const SPD: &str = "JEDEC JESD21-C Annex K and L, JESD400-5";

pub const SIGNS: &[Entry] = &[
    Entry {
        name: "checksum-wrong",
        weight: Weight::Reject,
        finds: "A checksum in the SPD contents is not the one of the bytes that it covers",
        means: "The contents were changed by hand or are damaged; many machines then leave the module out",
        innocent: "a dump that was cut or read with an error",
        advice: "read the module again; if it stays so, don't use it",
        source: SPD,
        examples: "spd: checksum base 1234 5678\n-> checksum-wrong\nspd: checksum base 1234 1234\n-> clean",
        check: Check::Module(checksums),
    },
    Entry {
        name: "registered-without-ecc",
        weight: Weight::Suspect,
        finds: "A registered or load-reduced module has no ECC bits",
        means: "The contents were put together by hand: such modules are made for servers, which need ECC",
        innocent: "none is known",
        advice: "count the chips: with ECC a rank has 18 of x4 or 9 of x8 on DDR4, 20 or 10 on DDR5",
        source: "common practice, no source",
        examples: "spd: generation DDR4, kind RDIMM, ecc 0\n-> registered-without-ecc\n\
                   spd: generation DDR4, kind UDIMM, ecc 0\n-> clean",
        check: Check::Module(|case, _| {
            let spd = case.spd()?;
            let kind = registered(spd)?;
            (spd.ecc_bits == Some(0)).then(|| format!("SPD {kind}, no ECC bits"))
        }),
    },
    Entry {
        name: "registered-without-thermal-sensor",
        weight: Weight::Suspect,
        finds: "A registered or load-reduced module of DDR4 or DDR5 tells of no thermal sensor",
        means: "The contents were put together by hand: machines read that sensor to set their fans",
        innocent: "none is known of DDR4 and DDR5; every registered dump at hand has the bit",
        advice: "compare with another module of the lot",
        source: "JEDEC JESD21-C Annex L byte 14, JESD400-5 bytes 210 to 213; common practice",
        examples: "spd: generation DDR4, kind RDIMM, sensor no\n-> registered-without-thermal-sensor\n\
                   spd: generation DDR4, kind RDIMM, sensor yes\n-> clean",
        check: Check::Module(|case, _| {
            let spd = case.spd().filter(|spd| spd.generation != Some(Generation::Ddr3))?;
            let kind = registered(spd)?;
            (spd.thermal_sensor == Some(false)).then(|| format!("SPD {kind}, no thermal sensor"))
        }),
    },
    Entry {
        name: "too-few-dram-rows",
        weight: Weight::Suspect,
        finds: "One row of DRAM on the board is told, with more packages than go into one row",
        means: "Ranks or width in the contents were changed without the rest",
        innocent: "a maker's slip in a byte that no machine uses",
        advice: "count the chips",
        source: "JEDEC JESD21-C Annex L byte 131, JESD400-5 byte 233; ten packages a side of a row, common practice",
        examples: "spd: generation DDR4, ranks 2, width 4, ecc 8, rows 1\n-> too-few-dram-rows\n\
                   spd: generation DDR4, ranks 2, width 4, ecc 8, rows 2\n-> clean\n\
                   spd: generation DDR5, ranks 1, width 4, ecc 8, rows 1\n-> clean",
        check: Check::Module(rows),
    },
    Entry {
        name: "dram-of-another-maker",
        weight: Weight::Suspect,
        finds: "Samsung, SK hynix or Micron made the module, but another maker its DRAM",
        means: "These makers build from their own dies: the contents or the chips are not theirs",
        innocent: "an older die of a maker that was bought up",
        advice: "read the print on the chips",
        source: "common practice, no source; modules of other makers have bought dies",
        examples: "spd: maker Samsung 80CE, dram SK hynix 80AD\n-> dram-of-another-maker\n\
                   spd: maker Samsung 80CE, dram Samsung 80CE\n-> clean\n\
                   spd: maker Kingston 0198, dram SK hynix 80AD\n-> clean",
        check: Check::Module(dies),
    },
    Entry {
        name: "maker-not-in-the-list",
        weight: Weight::Suspect,
        finds: "The maker's id is well formed, but stands for nobody in the list",
        means: "The contents were put together by hand",
        innocent: "a maker that was given its id after the edition of the list that this program carries",
        advice: "compare with the name on the label",
        source: "JEDEC JEP106",
        examples: "spd: maker ? FF5B\n-> maker-not-in-the-list\nspd: maker Samsung 80CE\n-> clean",
        check: Check::Module(|case, _| {
            let maker = case.spd()?.maker.as_ref().filter(|m| m.name.is_none())?;
            maker.id.map(|_| format!("SPD {}", super::case::maker(maker)))
        }),
    },
    Entry {
        name: "keeps-its-contents",
        weight: Weight::Suspect,
        finds: "The module keeps its contents without power",
        means: "It may hold a customer's data, and it is no DRAM: it is never counted as such",
        innocent: "it is what it is",
        advice: "do not sell or lend it before it was erased by its maker's procedure, with a record of it",
        source: "JEDEC JESD21-C Annex L and JESD400-5, byte 3; common practice",
        examples: "spd: kind NVDIMM\n-> keeps-its-contents\nspd: kind RDIMM\n-> clean",
        check: Check::Module(|case, _| {
            let told: Vec<&str> = case
                .told(|r| r.kind)
                .into_iter()
                .filter(|(_, kind)| *kind == Kind::Nonvolatile)
                .map(|(from, _)| from.word())
                .collect();
            (!told.is_empty()).then(|| format!("told by {}", told.join(", ")))
        }),
    },
];

fn checksums(case: &Case, _: Today) -> Option<String> {
    let wrong: Vec<String> = case
        .from(Evidence::Spd)
        .flat_map(|spd| &spd.checksums)
        .filter(|c| !c.holds())
        .map(|c| format!("{}: stored {:04X}h, computed {:04X}h", c.name, c.stored, c.computed))
        .collect();
    (!wrong.is_empty()).then(|| wrong.join("; "))
}

fn registered(reading: &ModuleReading) -> Option<Kind> {
    use Kind::{Lrdimm, Lrdimm3ds, Mrdimm, Rdimm, Rdimm3ds};
    reading.kind.filter(|k| matches!(k, Rdimm | Rdimm3ds | Lrdimm | Lrdimm3ds | Mrdimm))
}

fn rows(case: &Case, _: Today) -> Option<String> {
    /// Ten packages on each side.
    const MOST: u32 = 20;
    let spd = case.spd()?;
    let halves = if spd.generation == Some(Generation::Ddr5) { 2 } else { 1 };
    let width = u32::from(spd.device_width?).max(1);
    let bits = 64 + halves * u32::from(spd.ecc_bits?);
    let dies = if spd.dual_die == Some(true) { 2 } else { 1 };
    let packages = bits / width * u32::from(spd.package_ranks?) / dies;
    (spd.dram_rows == Some(1) && packages > MOST).then(|| format!("SPD 1 row of DRAM, {packages} packages"))
}

/// Module makers that make their own DRAM, by JEP106 bank 1: Samsung, SK hynix, Micron.
const OWN_DIES: [u8; 3] = [0x4E, 0x2D, 0x2C];

fn dies(case: &Case, _: Today) -> Option<String> {
    let spd = case.spd()?;
    let (module, dram) = (spd.maker.as_ref()?, spd.dram_maker.as_ref()?);
    let own =
        |m: &Maker| m.id.is_some_and(|MakerId { continuations, id }| continuations == 0 && OWN_DIES.contains(&id));
    let told = dram.id.is_some_and(|id| id.id != 0);
    (own(module) && told && module.id != dram.id).then(|| format!("SPD module {}, DRAM {}", maker(module), maker(dram)))
}
