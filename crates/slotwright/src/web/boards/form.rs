//! The form of a board file's head: fields read out of its text, and what a person changed in them put back into it.

use crate::verbs::board_file::Fault;
use crate::web::query::Query;
use catalog::{Held, Sheet, SlotDraft, SocketDraft};

/// What a field holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sort {
    Words,
    Number,
    /// With commas between.
    WordList,
    NumberList,
}

/// A field: its path in the text, its label and hint.
#[derive(Debug, Clone, Copy)]
pub struct Line {
    pub path: &'static [&'static str],
    pub sort: Sort,
    pub label: &'static str,
    pub hint: &'static str,
}

const fn line(path: &'static [&'static str], sort: Sort, label: &'static str, hint: &'static str) -> Line {
    Line { path, sort, label, hint }
}

/// What the board is.
pub const HEAD: [Line; 8] = [
    line(&["title"], Sort::Words, "Title", "its name for people"),
    line(&["about"], Sort::Words, "About", "one or two sentences"),
    line(&["source"], Sort::Words, "Source", "the manual, edition and pages"),
    line(&["generation"], Sort::Words, "Memory", "DDR3, DDR4 or DDR5"),
    line(&["processors"], Sort::WordList, "Processor families", "with commas between"),
    line(&["kinds"], Sort::WordList, "Kinds of module", "such as RDIMM, LRDIMM"),
    line(&["ecc"], Sort::Words, "ECC", "required or optional; required if empty"),
    line(&["training_minutes"], Sort::Number, "Minutes of memory training", "at first start"),
];

/// What it can't pass.
pub const LIMITS: [Line; 7] = [
    line(&["limits", "module"], Sort::Words, "Largest module", "such as 128 GiB"),
    line(&["limits", "processor"], Sort::Words, "Most per processor", ""),
    line(&["limits", "system"], Sort::Words, "Most in all", ""),
    line(&["limits", "slot_watts"], Sort::Words, "Power of a slot", "such as 15 W"),
    line(&["limits", "memory_watts"], Sort::Words, "Power of all memory", ""),
    line(&["limits", "height_mm"], Sort::Number, "Tallest module, mm", "such as 31.25"),
    line(&["limits", "height_under_heat_sink_mm"], Sort::Number, "Tallest under a heat sink, mm", ""),
];

/// One row of data rates: (key, sort, label, hint).
pub const RATE: [(&str, Sort, &str, &str); 4] = [
    ("kinds", Sort::WordList, "Kinds", "such as RDIMM, LRDIMM"),
    ("modules_per_channel", Sort::NumberList, "Modules a channel", "such as 2"),
    ("ranks", Sort::NumberList, "Ranks, least and most", "any if empty"),
    ("most", Sort::Number, "At most, MT/s", "such as 2666"),
];
/// Rows that the form shows at most; further ones are changed in the text.
const RATES_MOST: usize = 24;

/// Fields of laying the slots out anew.
pub const SHAPE: [(&str, &str, &str, &str); 5] = [
    ("lay.sockets", "Sockets, by name", "west, east", "with commas between"),
    ("lay.controllers", "Controllers of a socket", "1", "1 where the manual is silent"),
    ("lay.channels", "Channels of a controller", "", "such as 6"),
    ("lay.slots", "Slots of a channel", "", "1 to 4"),
    (
        "lay.pattern",
        "Labels",
        "{socket}-{channel}-{place}",
        "{socket} {controller} {channel} {letter} {place}, as printed on the board",
    ),
];

/// Before a field's name: what it held when the page was made.
const WAS: &str = "was.";

/// The name of a field.
pub fn name(path: &[&str]) -> String {
    path.join(".")
}

/// Rows of rates that the form shows: those there are, and one more.
pub fn rates(sheet: &Sheet) -> usize {
    sheet.count(&["rate"]).min(RATES_MOST - 1) + 1
}

/// What a field shows.
pub fn shown(sheet: &Sheet, path: &[&str]) -> String {
    sheet.get(path).map(|held| held.words()).unwrap_or_default()
}

/// Hidden fields with what the form holds, so that what a person changes can be told from what the text has.
pub fn was(sheet: &Sheet) -> Vec<(String, String)> {
    every(rates(sheet))
        .into_iter()
        .map(|(path, _)| {
            let steps: Vec<&str> = path.iter().map(String::as_str).collect();
            (format!("{WAS}{}", name(&steps)), shown(sheet, &steps))
        })
        .collect()
}

/// Every field with its path and sort.
fn every(rates: usize) -> Vec<(Vec<String>, Sort)> {
    let own = |l: &Line| (l.path.iter().map(ToString::to_string).collect::<Vec<_>>(), l.sort);
    let mut all: Vec<(Vec<String>, Sort)> = HEAD.iter().chain(&LIMITS).map(own).collect();
    for row in 0..rates {
        all.extend(
            RATE.iter().map(|(key, sort, ..)| (vec!["rate".to_string(), row.to_string(), key.to_string()], *sort)),
        );
    }
    all
}

/// Puts what a person changed in the form into the text; names the fields that could not be put there.
pub fn take(sheet: &mut Sheet, fields: &Query) -> Vec<String> {
    let mut refused = Vec::new();
    let sent = (0..RATES_MOST).take_while(|row| fields.pairs().any(|(n, _)| n == format!("rate.{row}.most"))).count();
    let gone: Vec<usize> = (0..sheet.count(&["rate"]).min(sent)).filter(|row| is_emptied(fields, *row)).collect();
    for (path, sort) in every(sent) {
        let steps: Vec<&str> = path.iter().map(String::as_str).collect();
        let field = name(&steps);
        let goes = gone.iter().any(|row| field.starts_with(&format!("rate.{row}.")));
        if goes
            || !fields.pairs().any(|(n, _)| n == field)
            || fields.get(&field) == fields.get(&format!("{WAS}{field}"))
        {
            continue;
        }
        let value = held(fields.get(&field), sort);
        if !sheet.put(&steps, value.as_ref()) {
            refused.push(field);
        }
    }
    for row in gone.into_iter().rev() {
        sheet.remove("rate", row);
    }
    refused
}

/// A row whose fields are all empty, and were not, is no row any more.
fn is_emptied(fields: &Query, row: usize) -> bool {
    let field = |key: &str| format!("rate.{row}.{key}");
    RATE.iter().all(|(key, ..)| fields.get(&field(key)).is_empty())
        && RATE.iter().any(|(key, ..)| !fields.get(&format!("{WAS}{}", field(key))).is_empty())
}

fn held(words: &str, sort: Sort) -> Option<Held> {
    let number = |words: &str| {
        let plain =
            words.parse::<i64>().is_ok() || words.parse::<f64>().is_ok_and(|n| n.is_finite() && words.contains('.'));
        // What is no number is kept as it was typed: the reader says what is wrong with it.
        if plain { Held::Number(words.to_string()) } else { Held::Words(words.to_string()) }
    };
    let items = |one: &dyn Fn(&str) -> Held| {
        Held::List(words.split(',').map(str::trim).filter(|w| !w.is_empty()).map(one).collect())
    };
    if words.trim().is_empty() {
        return None;
    }
    Some(match sort {
        Sort::Words => Held::Words(words.to_string()),
        Sort::Number => number(words),
        Sort::WordList => items(&|w| Held::Words(w.to_string())),
        Sort::NumberList => items(&number),
    })
}

/// The faults whose place lies in a field's value.
pub fn faults<'a>(sheet: Option<&Sheet>, path: &[&str], all: &'a [Fault]) -> Vec<&'a str> {
    let Some(lines) = sheet.and_then(|s| s.lines(path)) else { return Vec::new() };
    let here = all.iter().filter(|f| f.place.is_some_and(|(line, _)| lines.contains(&line)));
    here.map(|f| f.problem.as_str()).collect()
}

/// Sockets as the form lays them out.
///
/// # Errors
/// What is wrong, by field.
pub fn laid(fields: &Query) -> Result<Vec<SocketDraft>, Vec<(&'static str, String)>> {
    let mut wrong = Vec::new();
    let mut number = |field: &'static str, most: usize| {
        let words = fields.get(field);
        let read = words.parse::<usize>().ok().filter(|n| (1..=most).contains(n));
        if read.is_none() {
            wrong.push((field, format!("`{words}` is no whole number from 1 to {most}")));
        }
        read.unwrap_or(1)
    };
    let (controllers, channels, slots) =
        (number("lay.controllers", 16), number("lay.channels", 16), number("lay.slots", 4));
    let names: Vec<&str> = fields.get("lay.sockets").split(',').map(str::trim).filter(|n| !n.is_empty()).collect();
    if names.is_empty() || names.len() > 16 {
        wrong.push(("lay.sockets", "name 1 to 16 sockets, with commas between".to_string()));
    }
    let pattern = fields.get("lay.pattern");
    let needed = [("{socket}", names.len() > 1), ("{place}", slots > 1)];
    let channel = ["{channel}", "{letter}"].iter().any(|part| pattern.contains(part));
    let lacking = needed.iter().find(|(part, needed)| *needed && !pattern.contains(part)).map(|(part, _)| *part);
    if let Some(part) = lacking.or((!channel && controllers * channels > 1).then_some("{channel}")) {
        wrong.push(("lay.pattern", format!("without {part} several slots would bear one label")));
    }
    if !wrong.is_empty() {
        return Err(wrong);
    }
    let label = |socket: &str, controller: usize, channel: usize, place: usize| {
        let at = controller * channels + channel;
        // Letters go on over all channels of a socket; 16 × 16 of them do not, so then the number stands.
        let letter = u8::try_from(at)
            .ok()
            .filter(|a| *a < 26)
            .map_or_else(|| (at + 1).to_string(), |a| char::from(b'A' + a).to_string());
        let label =
            pattern.replace("{controller}", &(controller + 1).to_string()).replace("{channel}", &(at + 1).to_string());
        let label = label.replace("{letter}", &letter).replace("{place}", &(place + 1).to_string());
        SlotDraft { label: label.replace("{socket}", socket), confirm: String::new() }
    };
    let lanes = |socket: &str, controller: usize| -> Vec<Vec<SlotDraft>> {
        (0..channels).map(|c| (0..slots).map(|p| label(socket, controller, c, p)).collect()).collect()
    };
    let socket = |name: &&str| SocketDraft {
        name: name.to_string(),
        controllers: (0..controllers).map(|c| lanes(name, c)).collect(),
    };
    Ok(names.iter().map(socket).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "format = 1\ntitle = \"A\"\nkinds = [\"RDIMM\"]\n\n[[rate]]\nkinds = [\"RDIMM\"]\nmodules_per_channel = [2]\nmost = 2400\n";

    fn sent(sheet: &Sheet, changes: &[(&str, &str)]) -> Query {
        let mut query = Query::default();
        for (name, value) in was(sheet) {
            query.push(name.trim_start_matches(WAS), &value);
            query.push(&name, &value);
        }
        changes.iter().fold(query, |query, (name, value)| query.with(name, value))
    }

    #[test]
    fn what_is_not_changed_leaves_the_text_alone() {
        let mut sheet = Sheet::read(TEXT).unwrap();
        let query = sent(&sheet, &[]);
        assert!(take(&mut sheet, &query).is_empty());
        assert_eq!(sheet.text(), TEXT);
    }

    #[test]
    fn form_and_text_are_joined_field_by_field() {
        let before = Sheet::read(TEXT).unwrap();
        // Meanwhile the title was changed in the text, and the kinds and a rate in the form.
        let mut sheet = Sheet::read(&TEXT.replace("\"A\"", "\"B\"")).unwrap();
        let query = sent(
            &before,
            &[
                ("kinds", "RDIMM, LRDIMM"),
                ("rate.1.most", "2133"),
                ("rate.1.kinds", "LRDIMM"),
                ("limits.height_mm", "tall"),
            ],
        );
        assert!(take(&mut sheet, &query).is_empty());
        let text = sheet.text();
        assert!(text.contains("title = \"B\"\nkinds = [\"RDIMM\", \"LRDIMM\"]\n"), "{text}");
        assert!(
            text.contains("[[rate]]\nmost = 2133\nkinds = [\"LRDIMM\"]")
                || text.contains("[[rate]]\nkinds = [\"LRDIMM\"]"),
            "{text}"
        );
        assert!(text.contains("height_mm = \"tall\""), "{text}");
        assert_eq!(sheet.count(&["rate"]), 2);
    }

    #[test]
    fn an_emptied_row_goes() {
        let mut sheet = Sheet::read(TEXT).unwrap();
        let empty = ["kinds", "modules_per_channel", "ranks", "most"].map(|k| format!("rate.0.{k}"));
        let changes: Vec<(&str, &str)> = empty.iter().map(|n| (n.as_str(), "")).collect();
        let query = sent(&sheet, &changes);
        take(&mut sheet, &query);
        assert_eq!(sheet.count(&["rate"]), 0, "{}", sheet.text());
    }

    #[test]
    fn slots_are_laid_out_by_a_pattern() {
        let ask = |text: &str| laid(&Query::parse(text));
        let laid =
            ask("lay.sockets=w,e&lay.controllers=2&lay.channels=2&lay.slots=2&lay.pattern={socket}-{letter}{place}")
                .unwrap();
        let labels: Vec<&str> =
            laid.iter().flat_map(|s| s.controllers.iter().flatten().flatten()).map(|s| s.label.as_str()).collect();
        assert_eq!(labels[..5], ["w-A1", "w-A2", "w-B1", "w-B2", "w-C1"]);
        assert_eq!(labels.len(), 16);
        let wrong = ask("lay.sockets=w,e&lay.controllers=0&lay.channels=soup&lay.slots=9&lay.pattern=x").unwrap_err();
        assert_eq!(wrong.len(), 4, "{wrong:?}");
        assert!(ask("lay.sockets=w&lay.controllers=1&lay.channels=1&lay.slots=1&lay.pattern=x").is_ok());
    }
}
