//! Label, 2-D code, part number, list and SPD against each other in what a module is.

use super::case::{Case, Evidence, list, maker, plain_part, same_maker, same_part, unlike};
use super::{Check, Entry, Today};
use domain::reading::Weight;
use domain::{DataRate, Kind, ModuleReading};

const TABLES: &str = "JEDEC JESD21-C Annex L and JESD400-5 (SPD), JESD21-C 4.19 and JESD401-5 (label)";

pub const SIGNS: &[Entry] = &[
    Entry {
        name: "generation-differs",
        weight: Weight::Reject,
        finds: "Two sources name different DDR generations",
        means: "The label or the SPD contents belong to another module; the edge connector has another notch, so it is \
                easily seen which is true",
        innocent: "a label, dump or list row that was taken for another module",
        advice: "look at the notch, then find which of the two was mixed up",
        source: TABLES,
        examples: "label: generation DDR5\nspd: generation DDR4\n-> generation-differs\n\
                   label: generation DDR4\nspd: generation DDR4\n-> clean",
        check: Check::Module(|case, _| case.differ(|r| r.generation)),
    },
    Entry {
        name: "kind-differs",
        weight: Weight::Reject,
        finds: "Two sources name different module types, such as RDIMM and LRDIMM",
        means: "The module is not what it is sold as; kinds do not run together in one machine",
        innocent: "a label, dump or list row that was taken for another module; a list that calls every registered \
                   module an RDIMM",
        advice: "count the chips by hand: an LRDIMM has data buffers along the edge, a UDIMM has no register",
        source: TABLES,
        examples: "label: kind RDIMM\nspd: kind LRDIMM\n-> kind-differs\n\
                   label: kind RDIMM\nspd: kind RDIMM-3DS\n-> clean",
        check: Check::Module(|case, _| case.differ(|r| r.kind.map(plain_kind))),
    },
    Entry {
        name: "capacity-differs",
        weight: Weight::Reject,
        finds: "Two sources give different capacities",
        means: "The module is remarked, or its SPD contents were rewritten: a machine that believes them addresses \
                memory that is not there",
        innocent: "a label, dump or list row that was taken for another module; a list that counts in decimal GB",
        advice: "don't build with it; read it in a machine that you know, and compare what that counts",
        source: TABLES,
        examples: "label: capacity 64GB\nspd: capacity 32GB\n-> capacity-differs\n\
                   label: capacity 64GB\npart-number: capacity 64GB\nspd: capacity 64GB\n-> clean",
        check: Check::Module(|case, _| case.differ(|r| r.capacity)),
    },
    Entry {
        name: "ranks-differ",
        weight: Weight::Reject,
        finds: "Two sources give different package ranks",
        means: "Another module than the one that is labelled; ranks decide what fits into a channel and at what rate",
        innocent: "a label, dump or list row that was taken for another module; logical ranks of a 3DS module counted \
                   in place of package ranks",
        advice: "compare with the maker's data sheet for the part number",
        source: TABLES,
        examples: "label: ranks 2\nspd: ranks 1\n-> ranks-differ\nlabel: ranks 2\nspd: ranks 2\n-> clean",
        check: Check::Module(|case, _| case.differ(|r| r.package_ranks)),
    },
    Entry {
        name: "device-width-differs",
        weight: Weight::Reject,
        finds: "Two sources give different device widths",
        means: "Another module than the one that is labelled; x4 and x8 differ in what error correction can repair, and \
                many boards do not take them together",
        innocent: "a label, dump or list row that was taken for another module",
        advice: "count the DRAM chips: with ECC a rank has 18 of x4 or 9 of x8 on DDR4, 20 or 10 on DDR5",
        source: TABLES,
        examples: "label: width 4\nspd: width 8\n-> device-width-differs\nlabel: width 4\nspd: width 4\n-> clean",
        check: Check::Module(|case, _| case.differ(|r| r.device_width)),
    },
    Entry {
        name: "stack-differs",
        weight: Weight::Reject,
        finds: "Two sources give different heights of the 3DS stacks",
        means: "Another module than the one that is labelled",
        innocent: "a list that writes two dies a package (DDP) as a stack; a label or dump taken for another module",
        advice: "compare with the maker's data sheet for the part number",
        source: TABLES,
        examples: "label: stack 4\nspd: stack 2\n-> stack-differs\nlabel: stack 4\nspd: stack 4\n-> clean",
        check: Check::Module(|case, _| case.differ(|r| r.stack_height)),
    },
    Entry {
        name: "ecc-differs",
        weight: Weight::Reject,
        finds: "Two sources give different ECC bits",
        means: "The module has other chips than the label says: without ECC bits a server does not take it",
        innocent: "a label, dump or list row that was taken for another module",
        advice: "count the chips of a rank",
        source: TABLES,
        examples: "label: ecc 8\nspd: ecc 0\n-> ecc-differs\nlabel: ecc 8\nspd: ecc 8\n-> clean",
        check: Check::Module(|case, _| case.differ(|r| r.ecc_bits)),
    },
    Entry {
        name: "die-density-differs",
        weight: Weight::Suspect,
        finds: "Two sources give different die densities",
        means: "Other dies than the part number says; capacity and ranks may have been made to fit",
        innocent: "a part number's scheme that we read wrongly, which is not published in full",
        advice: "compare with the maker's data sheet for the part number",
        source: TABLES,
        examples: "part-number: density 16\nspd: density 8\n-> die-density-differs\n\
                   part-number: density 16\nspd: density 16\n-> clean",
        check: Check::Module(|case, _| case.differ(|r| r.die_density)),
    },
    Entry {
        name: "rate-differs",
        weight: Weight::Reject,
        finds: "Two sources give different rated data rates",
        means: "The module is remarked: it runs slower than it is sold for, or fails at the rate that it claims",
        innocent: "a label, dump or list row that was taken for another module; a list that states the rate that the \
                   module ran at",
        advice: "take the slower figure until the maker's data sheet for the part number says otherwise",
        source: TABLES,
        examples: "label: rate 3200\nspd: rate 2666\n-> rate-differs\n\
                   part-number: rate 3200\nspd: rate 2933\n-> rate-differs\n\
                   label: rate 2933\nspd: rate 2933\n-> clean",
        check: Check::Module(|case, _| rates(case).0),
    },
    Entry {
        name: "rated-above-its-part-number",
        weight: Weight::Reject,
        finds: "The SPD contents or the label claim a higher rate than the part number is rated for",
        means: "The contents were rewritten to sell a slower module: the checksum is then right, and the module fails \
                under load",
        innocent: "a part number in the SPD that lacks its speed code, or a scheme that we read wrongly",
        advice: "sell and run it at the rate of its part number",
        source: "reported by hobbyists for DDR4 modules of 2133 sold as 3200; common practice",
        examples: "part-number: rate 2133\nspd: rate 3200\n-> rated-above-its-part-number\n\
                   part-number: rate 3200\nspd: rate 3200\n-> clean",
        check: Check::Module(|case, _| rates(case).1),
    },
    Entry {
        name: "speed-grade-differs",
        weight: Weight::Suspect,
        finds: "Two sources agree on the rate, but not on the CAS latency",
        means: "Another speed bin than the one that is labelled",
        innocent: "3DS modules, whose makers count their added latency differently (17 or 18 at 2133)",
        advice: "use the slower figure; a machine takes what the SPD contents say",
        source: "JEDEC JESD79-4 and JESD79-5, speed bins",
        examples: "label: rate 2400, clocks 16-16-16\nspd: rate 2400, clocks 17-17-17\n-> speed-grade-differs\n\
                   label: rate 2400, clocks 17-17-17\nspd: rate 2400, clocks 17-17-17\n-> clean",
        check: Check::Module(grade),
    },
    Entry {
        name: "voltage-differs",
        weight: Weight::Suspect,
        finds: "Two sources give different supply voltages",
        means: "A DDR3 module that is labelled for a lower voltage than it is made for may fail at that voltage",
        innocent: "a module for both voltages whose label names only one",
        advice: "run it at the higher voltage",
        source: TABLES,
        examples: "label: voltage 1350\nspd: voltage 1500\n-> voltage-differs\n\
                   label: voltage 1350\nspd: voltage 1350\n-> clean",
        check: Check::Module(|case, _| case.differ(|r| r.voltage)),
    },
    Entry {
        name: "part-number-differs",
        weight: Weight::Suspect,
        finds: "Two sources give different part numbers",
        means: "The label does not belong to this module",
        innocent: "a server maker's own part number on the sticker or in the list, beside the module maker's in the SPD",
        advice: "compare both part numbers with the sticker; where one is a server maker's, look up what it stands for",
        source: "common practice, no source",
        examples: "label: part M393A4K40CB2-CTD\nspd: part M393A2K40CB2-CTD\n-> part-number-differs\n\
                   label: part MTA36ASF8G72PZ-3G2E1\nspd: part 36ASF8G72PZ-3G2E1\n-> clean",
        check: Check::Module(parts),
    },
    Entry {
        name: "maker-differs",
        weight: Weight::Suspect,
        finds: "The maker in the SPD is not the one that the part number, label or 2-D code tells",
        means: "The label, or the contents, were taken from another maker's module",
        innocent: "a maker that was bought by another, or a reseller's brand in the SPD of a module that somebody else \
                   made",
        advice: "compare the print on the board and on the chips with both names",
        source: "JEDEC JEP106; common practice",
        examples: "part-number: maker Samsung 80CE\nspd: maker SK hynix 80AD\n-> maker-differs\n\
                   part-number: maker Samsung\nspd: maker Samsung 80CE\n-> clean",
        check: Check::Module(makers),
    },
];

/// The kind without its stacks, which are compared apart.
fn plain_kind(kind: Kind) -> Kind {
    match kind {
        Kind::Rdimm3ds => Kind::Rdimm,
        Kind::Lrdimm3ds => Kind::Lrdimm,
        other => other,
    }
}

/// Rates that differ, and a claim above the part number's rating.
fn rates(case: &Case) -> (Option<String>, Option<String>) {
    let told = case.told(|r| r.rate);
    let told: Vec<(Evidence, DataRate)> = told.into_iter().filter(|(from, _)| *from != Evidence::Machine).collect();
    let rated = told.iter().find(|(from, _)| *from == Evidence::PartNumber).map(|(_, rate)| *rate);
    let claims: Vec<(Evidence, DataRate)> =
        told.iter().filter(|(from, _)| *from != Evidence::PartNumber).copied().collect();
    let above = rated.is_some_and(|rated| claims.iter().any(|(_, claim)| *claim > rated));
    let below = rated.is_some_and(|rated| claims.iter().any(|(_, claim)| *claim < rated));
    let differ = unlike(&claims, |a, b| a == b) || below;
    (differ.then(|| list(&told)), above.then(|| list(&told)))
}

fn grade(case: &Case, _: Today) -> Option<String> {
    let told = case.told(|r| Some((r.rate?, r.clocks?.cas, stacked(r))));
    let unlike = unlike(&told, |a, b| a.0 != b.0 || a.1 == b.1 || (a.2 && b.2 && a.1.abs_diff(b.1) == 1));
    unlike.then(|| {
        let words: Vec<(Evidence, String)> =
            told.iter().map(|(from, (rate, cas, _))| (*from, format!("CL {cas} at {rate}"))).collect();
        list(&words)
    })
}

fn stacked(reading: &ModuleReading) -> bool {
    reading.stack_height.is_some_and(|h| h > 1) || reading.kind.is_some_and(Kind::is_3ds)
}

fn parts(case: &Case, _: Today) -> Option<String> {
    let told = case.told(|r| r.part_number.as_deref().and_then(plain_part));
    unlike(&told, |a, b| same_part(a, b)).then(|| list(&told))
}

fn makers(case: &Case, _: Today) -> Option<String> {
    let told = case.told(|r| r.maker.as_ref());
    unlike(&told, |a, b| same_maker(a, b)).then(|| {
        let words: Vec<(Evidence, String)> = told.iter().map(|(from, m)| (*from, maker(m))).collect();
        list(&words)
    })
}
