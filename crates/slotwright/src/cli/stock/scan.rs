//! `stock scan`: lines of a scanner, each answered at once on standard error.

use crate::failure::Failure;
use crate::verbs::shop::intake::{ScreenedView, Terms};
use crate::verbs::shop::scan::{self, Said, Scan};
use crate::world::{self, Data};
use std::io::{self, BufRead, IsTerminal};
use store::Store;

/// Reads until `done`, then takes all of it in.
///
/// # Errors
/// Standard input ends before `done`, a line of a file is wrong, or something can't be taken in.
pub fn run(data: &Data, store: &Store, terms: &Terms) -> Result<ScreenedView, Failure> {
    let input = io::stdin();
    let by_hand = input.is_terminal();
    if by_hand {
        world::complain(
            "scan a label, then its serial; `bin A3`, `undo`, `leave out 3`; `done` takes all in, Ctrl-C nothing",
        );
    }
    let mut scan = Scan::new(&terms.bin);
    let mut number = 0;
    for line in input.lock().lines() {
        let line = line.map_err(|e| Failure::Shop {
            why: format!("standard input can't be read: {e}"),
            hint: "give plain text, a line each".to_string(),
        })?;
        number += 1;
        match scan::line(store, &mut scan, &line)? {
            Said::Nothing => {}
            Said::Label(words) => world::complain(&format!("{words}: now its serial")),
            Said::Module(words) => world::complain(&words),
            Said::Bin(bin) => world::complain(&format!("bin {bin}")),
            Said::Undone(words) => world::complain(&format!("undone: {words}")),
            Said::Done => return scan::take_in(data, store, &scan, terms, &world::who()),
            // A person sees it and scans again; a file must be right as a whole.
            Said::Wrong(why, hint) | Said::Dropped(why, hint) | Said::Known(why, hint) if by_hand => {
                world::complain(&format!("not taken: {why}\n  help: {hint}"));
            }
            Said::Wrong(why, hint) | Said::Dropped(why, hint) | Said::Known(why, hint) => {
                return Err(Failure::Shop { why: format!("line {number}, `{}`: {why}", line.trim()), hint });
            }
        }
    }
    Err(Failure::Shop {
        why: "the input ended before `done`, so nothing was taken in".to_string(),
        hint: "end with a line `done`".to_string(),
    })
}
