//! Module files into modules.

use super::amounts;
use crate::error::Fault;
use crate::reading::{Citing, Reading};
use crate::shape::processor::ModuleEntry;
use domain::module::{ModuleId, Price};
use domain::quantity::DieDensity;
use domain::{Condition, Generation, Kind, Module, Organisation, Watts};

/// A module, checked against itself.
pub(crate) fn module(reading: &mut Reading, citing: &Citing<'_>, file: &ModuleEntry) -> Option<Module> {
    let id = reading.name(&file.id, "the id of a module")?;
    let label = reading.name(&file.label, "the label of a module")?;
    let capacity = amounts::capacity(reading, &file.capacity);
    let organisation = organisation(reading, file);
    let rate = amounts::rate(reading, &file.rate);
    let (generation, kind) = (file.generation.value(), file.kind.value());
    let ecc: &[u8] = if generation == Generation::Ddr5 { &[0, 4, 8] } else { &[0, 8] };
    let ecc_bits = file.ecc_bits.as_ref();
    let ecc_bits = ecc_bits.and_then(|bits| one_of(reading, bits, "the number of ECC bits", ecc));
    let die = file.die_gbit.as_ref();
    let die = die.and_then(|d| reading.ranged(d, "the density of a die in Gbit", 1, 256));
    let watts = file.watts.as_ref();
    let watts = watts.and_then(|w| reading.ranged(w, "the power of a module in W", 0.0, 100.0));
    let height = file.height_mm.as_ref().and_then(|h| amounts::height(reading, h));
    let voltage = file.voltage.as_ref().and_then(|v| amounts::voltage(reading, v));
    let part = file.part_number.as_ref();
    let part_number = part.and_then(|p| reading.name(p, "the part number"));
    let prices = prices(reading, file);
    citing.cite(reading, file.id.span, file.source.as_ref(), file.mark);
    let module = Module {
        id: ModuleId(id),
        label,
        generation,
        kind,
        capacity: capacity?,
        organisation: organisation?,
        ecc_bits,
        rate: rate?,
        cas_latency: file.cas_latency,
        die_density: die.map(DieDensity::from_gbit),
        voltage: voltage.unwrap_or_else(|| Module::standard_voltage(generation)),
        watts: watts.map(Watts::from_watts),
        height,
        part_number,
        maker: file.maker.clone(),
        prices,
    };
    agrees(reading, file, &module);
    Some(module)
}

fn organisation(reading: &mut Reading, file: &ModuleEntry) -> Option<Organisation> {
    let package_ranks = reading.ranged(&file.ranks, "the number of package ranks", 1, 8);
    let width = one_of(reading, &file.width, "the width of a device", &[4, 8, 16]);
    let stack = match &file.stack {
        Some(stack) => one_of(reading, stack, "the height of a 3DS stack", &[1, 2, 4, 8, 16]),
        None => Some(1),
    };
    let dual_die = file.dual_die;
    Some(Organisation { package_ranks: package_ranks?, width: width?, stack: stack?, dual_die })
}

fn prices(reading: &mut Reading, file: &ModuleEntry) -> Vec<Price> {
    let both = [(Condition::New, &file.prices.new), (Condition::Used, &file.prices.used)];
    let mut prices = Vec::new();
    for (condition, text) in both {
        let each = text.as_ref().and_then(|text| amounts::money(reading, text));
        prices.extend(each.map(|each| Price { condition, each }));
    }
    prices
}

/// A number that can only be one of a few.
pub(crate) fn one_of(reading: &mut Reading, at: &crate::decode::At<u8>, what: &str, allowed: &[u8]) -> Option<u8> {
    if allowed.contains(&at.value) {
        return Some(at.value);
    }
    let list: Vec<String> = allowed.iter().map(u8::to_string).collect();
    let list = list.join(", ");
    reading.report(
        Fault::contradiction(at.span, format!("{what} is {}, but can only be one of {list}", at.value))
            .hint(format!("use one of: {list}")),
    );
    None
}

/// Do the figures of a module hold together?
fn agrees(reading: &mut Reading, file: &ModuleEntry, module: &Module) {
    let organisation = module.organisation;
    if module.kind.is_3ds() != (organisation.stack > 1) && module.kind != Kind::Mrdimm {
        let span = file.stack.as_ref().map_or(file.ranks.span, |s| s.span);
        let text = format!("kind {} with 3DS stacks of {}", module.kind, organisation.stack);
        reading.report(Fault::contradiction(span, text).hint(
            "stacks of 2 or more make an RDIMM-3DS or LRDIMM-3DS; two dies that are package ranks are `dual_die`",
        ));
    }
    // 64 data bits of a rank, width bits a device, one die a device and logical rank (JESD79-4, JESD79-5).
    if let Some(die) = module.die_density.filter(|_| module.kind != Kind::Nonvolatile) {
        let devices = 64 / u64::from(organisation.width);
        let mib = u64::from(organisation.logical_ranks()) * devices * u64::from(die.gbit()) * 128;
        if mib != module.capacity.mib() {
            let made = domain::Capacity::from_mib(mib);
            let text = format!("{organisation} of {die} dies makes {made}, not {}", module.capacity);
            let span = file.die_gbit.as_ref().map_or(file.capacity.span, |d| d.span);
            let fault = Fault::contradiction(span, text).see(file.capacity.span, "the capacity");
            reading.report(fault.hint("capacity = ranks × stack × 64 / width × die density / 8"));
        }
    }
}
