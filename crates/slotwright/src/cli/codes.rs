//! `snapshot --qr`: codes on the terminal, one after the other, or as files.

use crate::failure::Failure;
use crate::verbs::codes::{self, Codes};
use crate::world;
use domain::Snapshot;
use draw::text::{Ground, code};
use std::io::{self, IsTerminal};
use std::path::Path;

/// Shows the codes, as large as the terminal has room for; a person goes on with Enter. Gives what is left to print, and a line on
/// what to do with them.
///
/// # Errors
/// The terminal can't be written to.
pub fn show(snapshot: &Snapshot, colour: bool) -> Result<(String, String), Failure> {
    // A line holds two rows of squares; heading, question and the cursor's own line stand below.
    let side = world::width().unwrap_or(80).min(2 * world::height().unwrap_or(60).saturating_sub(3));
    let Codes { set, parts } = codes::codes(snapshot, side);
    let count = parts.len();
    let ground = if colour { Ground::Coloured } else { Ground::Dark };
    let stops = io::stdout().is_terminal() && io::stdin().is_terminal();
    let mut rest = String::new();
    for (at, (_, squares)) in parts.iter().enumerate() {
        let heading = format!("code {} of {count}, snapshot {set}", at + 1);
        let whole = format!("{}{heading}\n", code(squares, ground));
        if !stops {
            rest.push_str(&whole);
            continue;
        }
        world::say(&whole)?;
        if at + 1 < count && world::ask("Scan it, then press Enter for the next.").is_none() {
            break;
        }
    }
    let word = if count == 1 { "the code's text" } else { "the texts of all codes, in any order," };
    let what = format!(
        "give {word} to `slotwright read`, `draft` or `compare`, or to the page Machines of `slotwright serve`"
    );
    Ok((rest, what))
}

/// Writes the codes as files into a folder, which is made where it is not there; tells what was written.
///
/// # Errors
/// A file can't be written.
pub fn write(snapshot: &Snapshot, folder: &Path) -> Result<String, Failure> {
    let failed = |e: io::Error| Failure::Write { path: folder.display().to_string(), why: e.to_string() };
    std::fs::create_dir_all(folder).map_err(failed)?;
    let files = codes::files(snapshot);
    for (name, svg) in &files {
        world::write_file(&folder.join(name), svg)?;
    }
    let names = match files.as_slice() {
        [] => return Ok("no code was made".to_string()),
        [(one, _)] => one.clone(),
        [(first, _), .., (last, _)] => format!("{first} to {last}"),
    };
    Ok(format!("codes written: {names} in {}", folder.display()))
}
