//! Which module a label names that the catalogue does not have.

use catalog::Unread;
use domain::{Catalog, Module};
use readers::label;

/// The module that a label describes.
///
/// What a label does not print (watts, height, ECC bits, die density) is taken from the catalogue, where all modules of
/// the same make-up agree on it; the label stays as it was written.
///
/// # Errors
/// What the label reader says of the text.
pub fn module(catalog: &Catalog, text: &str) -> Result<Module, Unread> {
    let mut read = label::module(text).map_err(|error| Unread {
        message: format!("`{text}` is no module of the catalogue, and no label: {error}"),
        hint: error.hint(),
    })?;
    read.label = text.trim().to_string();
    complete(&mut read, catalog);
    Ok(read)
}

fn complete(read: &mut Module, catalog: &Catalog) {
    let make_up = |m: &Module| (m.generation, m.kind, m.capacity, m.organisation, m.rate);
    let all = catalog.modules.values().map(AsRef::as_ref);
    let alike: Vec<&Module> = all.filter(|m| make_up(m) == make_up(read)).collect();
    read.watts = read.watts.or_else(|| agreed(&alike, |m| m.watts));
    read.height = read.height.or_else(|| agreed(&alike, |m| m.height));
    read.ecc_bits = read.ecc_bits.or_else(|| agreed(&alike, |m| m.ecc_bits));
    read.die_density = read.die_density.or_else(|| agreed(&alike, |m| m.die_density));
    read.cas_latency = read.cas_latency.or_else(|| agreed(&alike, |m| m.cas_latency));
}

/// What all of them say, where they say the same.
fn agreed<T: PartialEq + Copy>(alike: &[&Module], field: impl Fn(&Module) -> Option<T>) -> Option<T> {
    let first = field(alike.first()?)?;
    alike.iter().all(|m| field(m) == Some(first)).then_some(first)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::world;

    #[test]
    fn a_full_label_takes_watts_from_the_catalogue_and_stays_as_written() {
        let library = world::shipped().unwrap();
        let read = module(library.catalog(), "64GB 2Rx4 PC4-2933Y-RB2-12").unwrap();
        let known = &library.catalog().modules["ddr4-rdimm-64-2rx4-2933"];
        assert_eq!(read.label, "64GB 2Rx4 PC4-2933Y-RB2-12");
        assert_eq!((read.watts, read.height), (known.watts, known.height));
        let error = module(library.catalog(), "64GB 2Rx4 PC4-2933Y-X").unwrap_err();
        assert!(error.message.contains("column"), "{}", error.message);
    }
}
