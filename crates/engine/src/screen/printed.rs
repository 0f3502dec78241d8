//! What only the label and the 2-D code print, against the bytes that they are printed from.

use super::case::{Case, Evidence, made, maker_id, plain_serial, same_serial};
use super::{Check, Entry, Today};
use domain::ModuleReading;
use domain::reading::{RawCard, Weight};

const LABEL: &str = "JEDEC JESD21-C 4.19 and JESD401-5 (label), JESD21-C Annex L and JESD400-5 (SPD)";

pub const SIGNS: &[Entry] = &[
    Entry {
        name: "code-differs-from-spd",
        weight: Weight::Reject,
        finds: "The 2-D code's maker, place, date or serial is not the one in the SPD contents, from which the label is \
                printed",
        means: "The label belongs to another module, or the contents were written anew",
        innocent: "a code and a dump that were taken from two modules of one lot",
        advice: "scan the code again while the same module is in the reader",
        source: "seven labels with both published; the digits are those of SPD bytes 512 to 520 (JESD400-5)",
        examples: "code: maker 80CE, location 2, made 2023-7, serial 4448ECFB\n\
                   spd: maker 80CE, location 2, made 2023-7, serial 4448ED07\n-> code-differs-from-spd\n\
                   code: maker 80CE, location 2, made 2023-7, serial 4448ECFB\n\
                   spd: maker 80CE, location 2, made 2023-7, serial 4448ECFB\n-> clean",
        check: Check::Module(code),
    },
    Entry {
        name: "spd-revision-differs",
        weight: Weight::Suspect,
        finds: "The SPD revision on the label is not the one in the contents",
        means: "The contents were replaced by those of another module",
        innocent: "a later firmware of the maker's programming station; a misread digit on the label",
        advice: "compare with another module of the lot",
        source: LABEL,
        examples: "label: revision 12\nspd: revision 11\n-> spd-revision-differs\n\
                   label: revision 1010\nspd: revision 1010\n-> clean",
        check: Check::Module(|case, _| case.differ(|r| r.spd_revision.as_deref())),
    },
    Entry {
        name: "raw-card-differs",
        weight: Weight::Suspect,
        finds: "The raw card on the label is not the one in the contents",
        means: "The contents belong to another board layout: drive strengths and routing data are then wrong",
        innocent: "a misread letter on the label; a revision that the maker left out",
        advice: "compare with another module of the lot",
        source: LABEL,
        examples: "label: card B2\nspd: card A2\n-> raw-card-differs\nlabel: card B2\nspd: card B2\n-> clean\n\
                   label: card B\nspd: card B2\n-> clean",
        check: Check::Module(raw_cards),
    },
    Entry {
        name: "temperature-range-differs",
        weight: Weight::Suspect,
        finds: "The temperature range on a DDR5 label is not the one in the contents",
        means: "The module is sold for another range than it was made for",
        innocent: "a misread letter on the label",
        advice: "take the narrower range",
        source: LABEL,
        examples: "label: range XT\nspd: range NT\n-> temperature-range-differs\n\
                   label: range XT\nspd: range XT\n-> clean",
        check: Check::Module(|case, _| case.differ(|r| r.temperature_range.as_deref())),
    },
    Entry {
        name: "date-differs",
        weight: Weight::Suspect,
        finds: "The date of manufacture on the label or in the list is not the one in the contents",
        means: "The label belongs to another module",
        innocent: "a list that holds the date of delivery; a label that was printed a week after the test",
        advice: "compare the year; a week or two apart is harmless",
        source: "common practice, no source",
        examples: "list: made 2022-10\nspd: made 2019-10\n-> date-differs\nlist: made 2022-10\nspd: made 2022-10\n\
                   -> clean",
        check: Check::Module(dates),
    },
];

fn code(case: &Case, _: Today) -> Option<String> {
    let spd = case.spd()?;
    let differing: Vec<String> = case.from(Evidence::Code).flat_map(|code| code_fields(code, spd)).collect();
    (!differing.is_empty()).then(|| differing.join("; "))
}

fn code_fields(code: &ModuleReading, spd: &ModuleReading) -> Vec<String> {
    let id = |r: &ModuleReading| r.maker.as_ref().and_then(|m| m.id).map(maker_id);
    let place = |r: &ModuleReading| r.location.map(|l| format!("{l:02X}h"));
    let date = |r: &ModuleReading| r.made.map(made);
    let serial = |r: &ModuleReading| r.serial.as_deref().and_then(plain_serial);
    let mut fields = Vec::new();
    for (what, printed, held) in
        [("maker", id(code), id(spd)), ("place", place(code), place(spd)), ("made", date(code), date(spd))]
    {
        if let (Some(printed), Some(held)) = (printed, held)
            && printed != held
        {
            fields.push(format!("{what}: 2-D code {printed}, SPD {held}"));
        }
    }
    if let (Some(printed), Some(held)) = (serial(code), serial(spd))
        && !same_serial(&printed, &held)
    {
        fields.push(format!("serial: 2-D code {printed}, SPD {held}"));
    }
    fields
}

fn raw_cards(case: &Case, _: Today) -> Option<String> {
    let told = case.told(|r| r.raw_card.as_ref());
    let same = |a: &&RawCard, b: &&RawCard| {
        let revision = a.revision.is_empty() || b.revision.is_empty() || a.revision == b.revision;
        a.letter == b.letter && revision
    };
    super::case::unlike(&told, same).then(|| {
        let words: Vec<_> = told.iter().map(|(from, c)| (*from, format!("{}{}", c.letter, c.revision))).collect();
        super::case::list(&words)
    })
}

fn dates(case: &Case, _: Today) -> Option<String> {
    // The code against the SPD is a sign of its own.
    let told: Vec<_> = case.told(|r| r.made).into_iter().filter(|(from, _)| *from != Evidence::Code).collect();
    super::case::unlike(&told, |a, b| a == b).then(|| {
        let words: Vec<_> = told.iter().map(|(from, m)| (*from, made(*m))).collect();
        super::case::list(&words)
    })
}
