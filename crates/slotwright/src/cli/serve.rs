//! `serve`: arguments, the access token, and what is printed at the start.

use super::Reply;
use crate::failure::Failure;
use crate::web::{self, Start};
use crate::world::{self, Data};
use catalog::{Folder, Input};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use store::Store;

/// Serves the pages of the web bench on this machine.
///
/// On loopback it asks for nothing. Where others can reach the address, an access token is needed; the pages then travel
/// in the clear, so put a proxy with TLS before them. The pages of the shop are there where --store names a store.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The address and port to listen on; port 0 takes any that is free.
    #[arg(long, value_name = "ADDRESS:PORT", default_value = "127.0.0.1:7120")]
    listen: SocketAddr,
    /// A file whose first line is the access token, 16 characters at least.
    #[arg(long, value_name = "FILE")]
    token_file: Option<PathBuf>,
    /// The shop's settings (TOML): name, margin, tax, terms.
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,
    /// Offer a page that only prints its size, for load trials.
    #[arg(long, hide = true)]
    reference: bool,
}

/// Serves until it is stopped.
///
/// # Errors
/// The address can't be listened on, is open without a token, or a file is wrong.
pub fn run(args: &Args, data: Data, store: Option<Store>) -> Result<Reply, Failure> {
    let token = token(args.token_file.as_deref())?;
    let open = !args.listen.ip().is_loopback();
    if open && token.is_none() {
        return Err(Failure::OpenAddress { address: args.listen.to_string() });
    }
    if open {
        world::complain(&format!(
            "caution: {} can be reached from other machines; whoever has the token may use it, and pages travel in the clear",
            args.listen
        ));
    }
    let shop = match &args.shop {
        Some(path) => Some(data.library.shop(&Input::file(&Folder::default(), path)?)?),
        None => None,
    };
    let folder = data.folder().map(PathBuf::from);
    let start =
        Start { data, folder, shop, listen: args.listen, token, reference: args.reference, store: store.map(Arc::new) };
    web::serve(start, |address| {
        let _ = world::say(&format!("listening on http://{address}\nstop with Ctrl-C\n"));
    })?;
    Ok(Reply::default())
}

/// The token: of the file, else of SLOTWRIGHT_TOKEN.
///
/// # Errors
/// The file can't be read, or the token is too short.
pub fn token(file: Option<&Path>) -> Result<Option<String>, Failure> {
    let (text, from) = match file {
        Some(path) => {
            let text = std::fs::read_to_string(path)
                .map_err(|e| Failure::Token { from: path.display().to_string(), why: format!("can't be read: {e}") })?;
            (Some(text), path.display().to_string())
        }
        None => {
            (std::env::var("SLOTWRIGHT_TOKEN").ok().filter(|t| !t.trim().is_empty()), "SLOTWRIGHT_TOKEN".to_string())
        }
    };
    let Some(text) = text else { return Ok(None) };
    let token = text.lines().next().unwrap_or_default().trim().to_string();
    if token.chars().count() < web::TOKEN_LEAST {
        return Err(Failure::Token { from, why: format!("is shorter than {} characters", web::TOKEN_LEAST) });
    }
    Ok(Some(token))
}
