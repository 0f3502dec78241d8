//! Slotwright: which memory modules fit a server board, at what rate they run, in which slots, at what price.
//!
//! A verb is three things of one name: `verbs/<verb>` (input → view), `cli/<verb>` (arguments → input, view → text).

mod cli;
mod disk;
mod failure;
mod remote;
mod root;
mod verbs;
mod web;
mod world;

use clap::Parser;
use std::process::ExitCode;

fn main() -> ExitCode {
    world::run(|| {
        let asked = match cli::Cli::try_parse() {
            Ok(asked) => asked,
            Err(usage) => {
                let _ = usage.print();
                return if usage.use_stderr() { world::INPUT } else { world::CLEAN };
            }
        };
        let told = asked.run().and_then(|reply| {
            world::say(&reply.text)?;
            reply.notices.iter().for_each(|n| world::complain(n));
            Ok(reply.code)
        });
        told.unwrap_or_else(|failure| {
            world::complain(&failure.render(asked.colour.on_error()));
            if failure.is_ours() { world::BUG } else { world::INPUT }
        })
    })
}
