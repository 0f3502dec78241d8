//! Live Redfish services (DMTF DSP0266): several hosts at once, over HTTPS, with a login. `readers::redfish` reads what
//! they answer; this is the only place that speaks to a network.
//!
//! For the verb that reads: flatten [`Args`], make [`Options`] with `args.options()`, then [`fetch`].

mod address;
mod args;
mod error;
mod host;
mod http;
mod login;
mod send;
mod tls;

#[cfg(test)]
mod tests;

pub use args::Args;
pub use error::RemoteError;
pub use send::send;

use crate::failure::Failure;
use address::Address;
use domain::snapshot::Snapshot;
use host::Host;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use login::Login;
use std::io::IsTerminal;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

/// How services are spoken to.
#[derive(Debug, Clone)]
pub struct Options {
    pub login: Login,
    pub trust: Trust,
    /// Speak `http://` to hosts other than this one, where everyone on the way can read along.
    pub plain_http: bool,
    /// For one connection.
    pub connect: Duration,
    /// For everything that is asked of one host.
    pub whole: Duration,
    /// Largest answer in bytes.
    pub body_most: u64,
    /// Hosts at once.
    pub at_once: usize,
}

/// Whose certificates are believed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Trust {
    /// The system's authorities, and those of a file.
    Authorities(Option<PathBuf>),
    /// Certificates with one of these SHA-256 sums.
    Pins(Vec<[u8; 32]>),
    /// Anyone's.
    Unchecked,
}

/// Is this the address of a service?
pub fn is_address(text: &str) -> bool {
    let scheme = text.split_once("://").map_or("", |(scheme, _)| scheme);
    scheme.eq_ignore_ascii_case("https") || scheme.eq_ignore_ascii_case("http")
}

/// Reads each service; results in the order of the addresses.
pub fn fetch(urls: &[String], options: &Options) -> Vec<(String, Result<Vec<Snapshot>, Failure>)> {
    let stop = Arc::new(AtomicBool::new(false));
    let signals = listen(&stop);
    let results = all(urls, options, &stop);
    signals.into_iter().for_each(|id| {
        signal_hook::low_level::unregister(id);
    });
    results
}

/// The first Ctrl-C asks every host to stop, so that sessions are closed; the second ends the program.
fn listen(stop: &Arc<AtomicBool>) -> Vec<signal_hook::SigId> {
    use signal_hook::consts::{SIGINT, SIGTERM};
    let mut ids = Vec::new();
    for signal in [SIGINT, SIGTERM] {
        ids.extend(signal_hook::flag::register_conditional_shutdown(signal, 130, stop.clone()));
        ids.extend(signal_hook::flag::register(signal, stop.clone()));
    }
    ids
}

type Answer = Result<Vec<Snapshot>, RemoteError>;

fn all(urls: &[String], options: &Options, stop: &Arc<AtomicBool>) -> Vec<(String, Result<Vec<Snapshot>, Failure>)> {
    let bar = bar(urls.len());
    let next = AtomicUsize::new(0);
    let answers: Vec<Mutex<Option<Answer>>> = urls.iter().map(|_| Mutex::new(None)).collect();
    std::thread::scope(|scope| {
        for _ in 0..options.at_once.clamp(1, 64).min(urls.len()) {
            scope.spawn(|| {
                loop {
                    let index = next.fetch_add(1, Ordering::Relaxed);
                    let (Some(url), Some(place)) = (urls.get(index), answers.get(index)) else { break };
                    let answer = one(url, options, stop);
                    *place.lock().unwrap_or_else(PoisonError::into_inner) = Some(answer);
                    bar.inc(1);
                }
            });
        }
    });
    bar.finish_and_clear();
    let answers = answers.into_iter().map(|a| a.into_inner().unwrap_or_else(PoisonError::into_inner));
    let told = answers.map(|a| a.unwrap_or(Err(RemoteError::Interrupted)).map_err(Failure::Remote));
    urls.iter().cloned().zip(told).collect()
}

fn bar(hosts: usize) -> ProgressBar {
    if hosts < 2 || !std::io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::with_draw_target(Some(hosts as u64), ProgressDrawTarget::stderr());
    if let Ok(style) = ProgressStyle::with_template("{bar:30} {pos} of {len} hosts, {elapsed}") {
        bar.set_style(style);
    }
    bar.enable_steady_tick(Duration::from_millis(500));
    bar
}

fn one(url: &str, options: &Options, stop: &Arc<AtomicBool>) -> Answer {
    if stop.load(Ordering::Relaxed) {
        return Err(RemoteError::Interrupted);
    }
    let address = Address::parse(url, options.plain_http)?;
    let mut host = Host::open(address, options, stop.clone())?;
    // What was read before the person asked to stop is not the whole, so it is not given out as if it were.
    let read = host.read();
    if stop.load(Ordering::Relaxed) { Err(RemoteError::Interrupted) } else { read }
}
