//! The web bench: pages that mirror the verbs, on loopback by default. State lives in the address; all works without script.
//!
//! `server (HTTP) → guard → routes → a page's function: Asked → Answer`. Pages call verbs and only this room knows HTML.

mod allocate;
mod api;
mod app;
mod asked;
mod boards;
mod build;
mod compare;
mod diagnose;
mod enter;
mod field;
mod guard;
mod heading;
mod home;
mod judged;
mod layout;
mod machine;
mod modules;
mod need;
mod orders;
mod plans;
mod prose;
mod query;
mod quotes;
mod read;
mod received;
mod reference;
mod routes;
mod rules;
mod server;
mod sheets;
mod shop;
mod stock;
mod suppliers;

pub use guard::TOKEN_LEAST;

use crate::failure::Failure;
use crate::world::Data;
use app::App;
use domain::shop::Shop;
use guard::Guard;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::sync::Arc;
use store::Store;
use tokio::net::TcpListener;
use tokio::sync::watch;

/// What a server is started with.
#[derive(Debug)]
pub struct Start {
    pub data: Data,
    /// Where boards are saved.
    pub folder: Option<PathBuf>,
    pub shop: Option<Shop>,
    pub listen: SocketAddr,
    /// Asked for where others can reach the address.
    pub token: Option<String>,
    pub reference: bool,
    /// The shop's, where one was named.
    pub store: Option<Arc<Store>>,
}

/// Serves until Ctrl-C or a stop signal; `listening` is told the address once it is open.
///
/// # Errors
/// The address can't be listened on.
pub fn serve(start: Start, listening: impl FnOnce(SocketAddr)) -> Result<(), Failure> {
    let failed = |e: std::io::Error| Failure::Listen { address: start.listen.to_string(), why: e.to_string() };
    // Closing a store waits, which must not happen within the runtime below: this one goes last.
    let _open = start.store.clone();
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .max_blocking_threads(64)
        .enable_io()
        .enable_time()
        .build()
        .map_err(failed)?;
    runtime.block_on(async {
        let listener = TcpListener::bind(start.listen).await.map_err(failed)?;
        let address = listener.local_addr().map_err(failed)?;
        let Some(guard) = Guard::new(address, start.token) else {
            return Err(failed(std::io::Error::other("the machine gives no random numbers")));
        };
        let app = Arc::new(App::new(start.data, start.folder, start.shop, guard, start.reference, start.store));
        let (stop, stopped) = watch::channel(false);
        let signals = signal_hook::iterator::Signals::new([signal_hook::consts::SIGINT, signal_hook::consts::SIGTERM]);
        let mut signals = signals.map_err(failed)?;
        std::thread::spawn(move || {
            if signals.forever().next().is_some() {
                let _ = stop.send(true);
            }
        });
        listening(address);
        server::run(listener, app, stopped).await.map_err(failed)
    })
}
