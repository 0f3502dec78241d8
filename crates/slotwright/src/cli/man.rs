//! `man [VERB]`: manual pages.

use super::{Cli, Reply};
use crate::failure::Failure;
use crate::verbs;
use clap::CommandFactory;
use clap_mangen::Man;

/// Prints the manual page of the program, or of one verb, for `man -l -`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// A verb.
    verb: Option<String>,
}

/// The page, as roff.
///
/// # Errors
/// There is no such verb.
pub fn run(args: &Args) -> Result<Reply, Failure> {
    let mut command = Cli::command();
    command.build();
    let page = match &args.verb {
        None => command,
        Some(verb) => match command.get_subcommands().find(|c| c.get_name() == verb) {
            Some(found) => found.clone(),
            None => {
                let known = command.get_subcommands().map(|c| c.get_name());
                return Err(Failure::NoVerb { name: verb.clone(), near: verbs::nearest(verb, known) });
            }
        },
    };
    let mut text = Vec::new();
    match Man::new(page).render(&mut text) {
        Ok(()) => Ok(Reply::new(String::from_utf8_lossy(&text).into_owned(), false)),
        Err(e) => Err(Failure::Write { path: "the manual page".to_string(), why: e.to_string() }),
    }
}
