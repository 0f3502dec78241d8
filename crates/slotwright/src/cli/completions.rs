//! `completions SHELL`: what a shell needs to complete commands and options.

use super::{Cli, Reply};
use crate::failure::Failure;
use clap::CommandFactory;
use clap_complete::Shell;

/// Prints what a shell needs to complete commands, options and file names.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The shell.
    #[arg(value_enum)]
    shell: Shell,
}

/// The shell's script.
///
/// # Errors
/// None; as other verbs.
pub fn run(args: &Args) -> Result<Reply, Failure> {
    let mut script = Vec::new();
    let mut command = Cli::command();
    clap_complete::generate(args.shell, &mut command, "slotwright", &mut script);
    Ok(Reply::new(String::from_utf8_lossy(&script).into_owned(), false))
}
