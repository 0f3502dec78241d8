//! Serial numbers of one module.

use super::case::{Case, Evidence, is_blank, list, plain_serial, same_serial};
use super::{Check, Entry, Today};
use domain::reading::Weight;

pub const SIGNS: &[Entry] = &[
    Entry {
        name: "serial-blank",
        weight: Weight::Suspect,
        finds: "Every digit of the serial is 0, or every digit is F",
        means: "The contents were copied from a template, as those who rewrite modules do",
        innocent: "a small maker that does not number its modules",
        advice: "compare with the label; give it a mark of your own before it goes into stock",
        source: "JEDEC JESD21-C Annex L and JESD400-5: serials are unique for a maker and its part",
        examples: "spd: serial 00000000\n-> serial-blank\nspd: serial FFFFFFFF\n-> serial-blank\n\
                   spd: serial 4448ECFB\n-> clean",
        check: Check::Module(blank),
    },
    Entry {
        name: "serial-differs",
        weight: Weight::Suspect,
        finds: "The serial on the label or in the list is not the one in the contents",
        means: "The label, or the row of the list, belongs to another module",
        innocent: "a server maker's or a shop's own serial on the sticker",
        advice: "find the module that the serial in the list belongs to; two rows may have been swapped",
        source: "common practice, no source",
        examples: "list: serial 4448ECFB\nspd: serial 4448ED07\n-> serial-differs\n\
                   list: serial 80CE0223074448ECFB\nspd: serial 4448ECFB\n-> clean",
        check: Check::Module(differ),
    },
];

fn blank(case: &Case, _: Today) -> Option<String> {
    let told: Vec<(Evidence, String)> = case
        .told(|r| r.serial.as_deref().and_then(plain_serial))
        .into_iter()
        .filter(|(_, serial)| is_blank(serial))
        .collect();
    (!told.is_empty()).then(|| list(&told))
}

fn differ(case: &Case, _: Today) -> Option<String> {
    // The code against the SPD is a sign of its own.
    let both = case.spd().is_some();
    let told: Vec<(Evidence, String)> = case
        .told(|r| r.serial.as_deref().and_then(plain_serial))
        .into_iter()
        .filter(|(from, _)| !(both && *from == Evidence::Code))
        .collect();
    super::case::unlike(&told, |a, b| same_serial(a, b)).then(|| list(&told))
}
