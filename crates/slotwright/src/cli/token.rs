//! `store token`: arguments and text.

use super::Reply;
use super::table::table;
use crate::failure::Failure;
use crate::verbs::shop::token::{self, TokenView};
use crate::world;
use store::Store;

/// What is done with tokens.
#[derive(Debug, clap::Subcommand)]
pub enum Act {
    /// Make a token and print it: this once only, the store keeps its sum.
    New {
        /// Under which it writes history; used once for good.
        #[arg(value_name = "NAME")]
        name: String,
        /// What it may do, such as stock:read; may be given more than once, or with commas between.
        #[arg(long, required = true, value_delimiter = ',', value_name = "SCOPE")]
        scope: Vec<String>,
        /// Print the view as JSON.
        #[arg(long)]
        json: bool,
    },
    /// List the tokens: what each may do, when it was used.
    List {
        /// Print the view as JSON.
        #[arg(long)]
        json: bool,
    },
    /// End a token at once.
    Revoke {
        #[arg(value_name = "NAME")]
        name: String,
        /// Print the view as JSON.
        #[arg(long)]
        json: bool,
    },
}

/// Makes, lists or ends.
///
/// # Errors
/// A name or scope is wrong, or there is no such token.
pub fn run(act: &Act, store: &Store) -> Result<Reply, Failure> {
    match act {
        Act::New { name, scope, json } => {
            let view = token::new(store, name, scope, &world::who())?;
            let mut reply = Reply::of(&view, *json, false, || format!("{}\n", view.secret))?;
            let told = format!("token `{}` for {}", view.token.name, view.token.scopes.join(", "));
            reply.notices.push(format!("{told}; keep it now, it is not shown again"));
            Ok(reply)
        }
        Act::List { json } => {
            let view = token::list(store)?;
            Reply::of(&view, *json, false, || list(&view.tokens))
        }
        Act::Revoke { name, json } => {
            let view = token::revoke(store, name, &world::who())?;
            let at = view.revoked.clone().unwrap_or_default();
            Reply::of(&view, *json, false, || format!("token `{}` lets nobody in since {at}\n", view.name))
        }
    }
}

fn list(tokens: &[TokenView]) -> String {
    if tokens.is_empty() {
        return "no tokens\n".to_string();
    }
    let row = |t: &TokenView| {
        let or = |moment: &Option<String>, word: &str| moment.clone().unwrap_or_else(|| word.to_string());
        vec![t.name.clone(), t.scopes.join(" "), t.created.clone(), or(&t.used, "never"), or(&t.revoked, "")]
    };
    table(&["token", "may", "made", "used", "revoked"], &[], tokens.iter().map(row).collect())
}
