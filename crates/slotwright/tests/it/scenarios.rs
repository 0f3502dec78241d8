//! Plays `scenarios/*.md`: prose, files and commands with what they print. `UPDATE=1` writes what they print now.
//!
//! A block ```` ```toml NAME ```` (or `json`, `text`) is a file; ```` ```copy FROM NAME ```` copies one of the repository's, and
//! holds words on it; a block ```` ```console ```` holds `$ command` lines, each with what it
//! prints below it; `[exit N]` ends a command that does not exit with 0.

use crate::program::Place;
use std::fs;

#[test]
fn the_scenarios_go_as_they_are_told() {
    let folder = crate::top().join("scenarios");
    let update = std::env::var_os("UPDATE").is_some();
    let mut played = 0;
    let mut stale = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|e| e != "md") {
            continue;
        }
        let told = fs::read_to_string(&path).unwrap();
        let now = play(&told);
        if update && now != told {
            fs::write(&path, &now).unwrap();
        } else if now != told {
            stale.push(format!("{}\n{}", path.display(), first_difference(&told, &now)));
        }
        played += 1;
    }
    assert!(played >= 5, "only {played} scenarios were found");
    assert!(stale.is_empty(), "these went otherwise (UPDATE=1 rewrites them):\n{}", stale.join("\n"));
}

fn first_difference(told: &str, now: &str) -> String {
    let lines = told.lines().zip(now.lines()).enumerate();
    let mut unlike = lines.filter(|(_, (a, b))| a != b);
    match unlike.next() {
        Some((i, (a, b))) => format!("line {}:\n- {a}\n+ {b}", i + 1),
        None => "one goes on where the other ends".to_string(),
    }
}

/// The same text, with what each command prints now.
fn play(told: &str) -> String {
    let place = Place::new();
    fs::create_dir_all(place.path().join("examples")).unwrap();
    for entry in fs::read_dir(crate::top().join("examples")).unwrap() {
        let path = entry.unwrap().path();
        place.write(&format!("examples/{}", path.file_name().unwrap().to_string_lossy()), fs::read(&path).unwrap());
    }
    let mut now = String::new();
    let mut lines = told.lines();
    while let Some(line) = lines.next() {
        now.push_str(line);
        now.push('\n');
        let Some(kind) = line.strip_prefix("```").filter(|k| !k.is_empty()) else {
            continue;
        };
        let block: Vec<&str> = lines.by_ref().take_while(|l| *l != "```").collect();
        if let Some(name) = ["toml ", "json ", "text "].iter().find_map(|k| kind.strip_prefix(k)) {
            place.write(name, block.join("\n") + "\n");
        }
        if let Some((from, name)) = kind.strip_prefix("copy ").and_then(|k| k.split_once(' ')) {
            place.write(name, fs::read(crate::top().join(from)).unwrap());
        }
        if kind == "console" {
            for command in block.iter().filter_map(|l| l.strip_prefix("$ ")) {
                now.push_str(&run(&place, command));
            }
        } else {
            now.extend(block.iter().flat_map(|l| [*l, "\n"]));
        }
        now.push_str("```\n");
    }
    now
}

/// A command's words; what stands in double quotes is one.
fn words(command: &str) -> Vec<String> {
    let parts = command.split('"').enumerate();
    let words = parts.map(|(i, part)| match i % 2 {
        0 => part.split_whitespace().map(str::to_string).collect::<Vec<_>>(),
        _ => vec![part.to_string()],
    });
    words.flatten().collect()
}

fn run(place: &Place, command: &str) -> String {
    let words = words(command);
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    assert_eq!(words.first(), Some(&"slotwright"), "{command}");
    let told = place.run(&words[1..]);
    let mut text = format!("$ {command}\n{}{}", told.out, told.err);
    if told.code != Some(0) {
        text.push_str(&format!("[exit {}]\n", told.code.unwrap_or(-1)));
    }
    text
}
