//! Slots laid out anew from counts and a pattern of labels.

use crate::web::query::Query;
use catalog::{SlotDraft, SocketDraft};

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
