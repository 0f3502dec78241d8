//! A two-dimensional code as terminal text: a letter is two squares, one above the other.

use crate::code::{Code, QUIET};

/// How a terminal shows dark squares on light ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ground {
    /// Colours say it: black on white, whatever the terminal's own are.
    Coloured,
    /// No colours; the terminal's letters are light on dark ground, so blocks are the light squares.
    Dark,
}

/// Prints a code with its clear space, a line for two rows of squares.
pub fn code(code: &Code, ground: Ground) -> String {
    let quiet = QUIET as isize;
    let end = code.width() as isize + quiet;
    let mut text = String::new();
    for top in (-quiet..end).step_by(2) {
        // White twice: consoles without the brighter one keep the other.
        text.push_str(if ground == Ground::Coloured { "\x1b[30;47;107m" } else { "" });
        for left in -quiet..end {
            // An odd row has nothing below it, where the terminal's own ground shows.
            let below = top + 1 < end;
            let dark = (code.is_dark(left, top), below && code.is_dark(left, top + 1));
            let drawn = match ground {
                Ground::Coloured => dark,
                Ground::Dark => (!dark.0, below && !dark.1),
            };
            text.push(match drawn {
                (true, true) => '█',
                (true, false) => '▀',
                (false, true) => '▄',
                (false, false) => ' ',
            });
        }
        text.push_str(if ground == Ground::Coloured { "\x1b[0m\n" } else { "\n" });
    }
    text
}
