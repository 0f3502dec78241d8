//! `store`: arguments and text.

use super::Reply;
use crate::failure::Failure;
use crate::verbs::shop::keep;
use std::path::PathBuf;
use store::Store;

/// The shop's store: where it is, whether it holds together, a backup.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    act: Act,
}

#[derive(Debug, clap::Subcommand)]
enum Act {
    /// Say where the store is and look for what does not hold together.
    Check {
        /// Print the view as JSON.
        #[arg(long)]
        json: bool,
    },
    /// Copy the store to a new file while it is in use (for one in a file; a server has its own tools).
    Backup {
        /// The new file.
        #[arg(value_name = "FILE")]
        to: PathBuf,
    },
}

/// Looks over or copies.
///
/// # Errors
/// The store can't be opened, or the copy can't be written.
pub fn run(args: &Args, open: impl FnOnce() -> Result<Store, Failure>) -> Result<Reply, Failure> {
    let store = open()?;
    match &args.act {
        Act::Check { json } => {
            let view = keep::look(&store)?;
            Reply::of(&view, *json, !view.faults.is_empty(), || {
                let mut text = format!("{} ({})\n", view.place, view.database);
                match view.faults.as_slice() {
                    [] => text.push_str("all holds together\n"),
                    faults => text.extend(faults.iter().map(|f| format!("- {f}\n"))),
                }
                text
            })
        }
        Act::Backup { to } => {
            keep::backup(&store, to)?;
            Ok(Reply::new(format!("wrote {}\n", to.display()), false))
        }
    }
}
