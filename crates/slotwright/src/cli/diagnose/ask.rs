//! The conversation at a terminal: one test at a time, answers by number or word.

use super::words;
use crate::cli::paint::Paint;
use crate::failure::Failure;
use crate::verbs::diagnose::{CANNOT, DiagnoseView};
use crate::world;
use std::io::BufRead;
use std::path::PathBuf;

/// Where a conversation ended.
pub struct Ended {
    pub view: DiagnoseView,
    /// The file to save to, where that was asked for.
    pub save: Option<PathBuf>,
}

/// What a line means.
#[derive(Debug, PartialEq, Eq)]
enum Line {
    Answer(String),
    Why,
    Undo,
    Stop(Option<PathBuf>),
    Unknown,
}

/// Asks until it is found, or until one stops.
pub fn until_it_ends(
    first: DiagnoseView,
    next: impl Fn(&[String]) -> Result<DiagnoseView, Failure>,
    paint: Paint,
) -> Result<Ended, Failure> {
    let mut view = first;
    let mut lines = std::io::stdin().lock().lines();
    loop {
        if view.finished {
            return Ok(Ended { view, save: None });
        }
        world::say(&words::question(&view, paint))?;
        // The end of input, as by Ctrl-D, stops.
        let Some(Ok(line)) = lines.next() else { return Ok(Ended { view, save: None }) };
        let mut answers = view.answers.clone();
        match read(&view, &line) {
            Line::Answer(answer) => answers.push(answer),
            Line::Undo => {
                answers.pop();
            }
            Line::Why => {
                world::say(&words::why(&view, paint))?;
                continue;
            }
            Line::Stop(save) => return Ok(Ended { view, save }),
            Line::Unknown => {
                world::say("Give the number or the word of an answer, or: why, can't, undo, stop, save FILE.\n")?;
                continue;
            }
        }
        match next(&answers) {
            Ok(then) => view = then,
            Err(failure) => world::complain(&failure.render(false)),
        }
    }
}

fn read(view: &DiagnoseView, line: &str) -> Line {
    let line = line.trim();
    let (word, rest) = line.split_once(char::is_whitespace).unwrap_or((line, ""));
    let word = word.to_lowercase();
    let Some(test) = &view.next else { return Line::Unknown };
    match word.as_str() {
        "why" | "?" => Line::Why,
        "undo" => Line::Undo,
        "stop" | "quit" => Line::Stop(None),
        "save" if !rest.trim().is_empty() => Line::Stop(Some(PathBuf::from(rest.trim()))),
        "can't" | "cannot" | CANNOT => Line::Answer(format!("{}={CANNOT}", test.test)),
        // Another test than the one asked for.
        other if other.contains('=') => Line::Answer(other.to_string()),
        other => {
            let number = other.parse::<usize>().ok().and_then(|n| test.answers.get(n.checked_sub(1)?));
            let named = number.or_else(|| test.answers.iter().find(|a| a.word == other));
            named.map_or(Line::Unknown, |a| Line::Answer(format!("{}={}", test.test, a.word)))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verbs::diagnose::{self, Asked, Place};
    use std::path::Path;

    fn view() -> DiagnoseView {
        let plan = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/build-24x64.toml");
        let at = ["west-1-outer".to_string()];
        let place = Place::Hand { sign: "missing", at: &at };
        let asked = Asked { plan: &plan, place, aim: "run", shows_up: 100, outcomes: None, answers: &[] };
        diagnose::diagnose(&world::shipped().unwrap(), &asked).unwrap()
    }

    #[test]
    fn answers_are_taken_by_number_and_by_word() {
        let view = view();
        let next = view.next.clone().unwrap();
        let answer = |word: &str| Line::Answer(format!("{}={word}", next.test));
        assert_eq!(read(&view, " 1 "), answer(&next.answers[0].word));
        let last = &next.answers[next.answers.len() - 1].word;
        assert_eq!(read(&view, &last.to_uppercase()), answer(last));
        assert_eq!(read(&view, "can't"), answer("cant"));
        assert_eq!(read(&view, "look=nothing"), Line::Answer("look=nothing".to_string()));
        assert_eq!(read(&view, "save a b.txt"), Line::Stop(Some(PathBuf::from("a b.txt"))));
        for unknown in ["0", "9", "", "maybe", "save"] {
            assert_eq!(read(&view, unknown), Line::Unknown, "{unknown}");
        }
    }
}
