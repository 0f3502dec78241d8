//! One service: log in, read, log out. The session is closed however reading ends.

use super::address::Address;
use super::http::{Answer, Http, NoAnswer};
use super::login::{Login, User};
use super::tls::{Memory, TlsConnector};
use super::{Options, RemoteError};
use domain::snapshot::Snapshot;
use readers::redfish::{self, Fetch, RedfishError, Unfetched};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, PoisonError};
use std::time::Duration;
use ureq::http::{Method, StatusCode};

/// Where sessions are made (DSP0266).
const SESSIONS: &str = "/redfish/v1/SessionService/Sessions";
/// Time to close a session in, when all other time is used up.
const FAREWELL: Duration = Duration::from_secs(5);

/// A service that is being read.
pub struct Host {
    http: Http,
    name: String,
    entry: Option<String>,
    /// Sent with every request.
    proof: Option<(&'static str, String)>,
    /// The session to close.
    session: Option<String>,
    shown: Memory,
    stop: Arc<AtomicBool>,
    /// The first error that ended everything.
    ended: Option<RemoteError>,
}

impl Host {
    /// Connects and logs in.
    ///
    /// # Errors
    /// The host can't be reached, is not believed, or refuses the login.
    pub fn open(address: Address, options: &Options, stop: Arc<AtomicBool>) -> Result<Self, RemoteError> {
        let tls = TlsConnector::new(&options.trust)?;
        let shown = tls.shown.clone();
        let http = Http::new(&address.base, &address.authority, options, tls);
        let (name, entry) = (address.authority, address.entry);
        let mut host = Self { http, name, entry, proof: None, session: None, shown, stop, ended: None };
        match &options.login {
            Login::None => {}
            Login::Basic(user) => host.proof = Some(("Authorization", user.basic())),
            Login::Session(user) => host.log_in(user)?,
        }
        Ok(host)
    }

    fn log_in(&mut self, user: &User) -> Result<(), RemoteError> {
        let body = serde_json::json!({ "UserName": user.name, "Password": user.password }).to_string();
        let answer = self.http.send(&Method::POST, SESSIONS, &[], Some(&body)).map_err(|why| self.error(why))?;
        let refused = |why: String| RemoteError::Login { host: self.name.clone(), why };
        if !answer.status.is_success() {
            return Err(refused(complaint(&answer)));
        }
        let token = answer.header("x-auth-token").map(str::to_string);
        let token = token.ok_or_else(|| refused("it made a session but sent no X-Auth-Token".into()))?;
        let told: serde_json::Value = serde_json::from_slice(&answer.body).unwrap_or_default();
        let place = answer.header("location").or_else(|| told.get("@odata.id")?.as_str());
        // Some controllers name themselves otherwise than they were called, so the path alone counts.
        self.session = place.and_then(redfish::path_of);
        self.proof = Some(("X-Auth-Token", token));
        Ok(())
    }

    /// Reads everything, or the resource that the address names.
    ///
    /// # Errors
    /// Nothing could be read.
    pub fn read(&mut self) -> Result<Vec<Snapshot>, RemoteError> {
        let read = match self.entry.clone() {
            None => redfish::read(self),
            Some(path) => match self.get(&path) {
                Ok(text) => redfish::read_text(self, &text, &path),
                Err(why) => Err(RedfishError::Entry { path, why }),
            },
        };
        read.map_err(|error| match (&error, self.ended.take()) {
            (RedfishError::Entry { .. }, Some(ended)) => ended,
            _ => RemoteError::Redfish { host: self.name.clone(), error },
        })
    }

    fn error(&self, why: NoAnswer) -> RemoteError {
        let host = self.name.clone();
        let shown = self.shown.lock().unwrap_or_else(PoisonError::into_inner);
        match (why, &shown.refused) {
            (NoAnswer::Gone(_), Some(refused)) => {
                RemoteError::Certificate { host, why: refused.clone(), sum: shown.sum.clone() }
            }
            (NoAnswer::Gone(why) | NoAnswer::Failed(why), _) => RemoteError::Unreachable { host, why },
            (NoAnswer::NoTls, _) => RemoteError::NoTls { host },
            (NoAnswer::Late(time), _) => RemoteError::Unreachable { host, why: late(time) },
        }
    }

    fn closed(&mut self, error: RemoteError) -> Unfetched {
        let words = error.to_string();
        self.ended.get_or_insert(error);
        Unfetched::Closed(words)
    }
}

impl Fetch for Host {
    fn get(&mut self, path: &str) -> Result<Vec<u8>, Unfetched> {
        if self.stop.load(Ordering::Relaxed) {
            return Err(self.closed(RemoteError::Interrupted));
        }
        let proof: Vec<(&str, &str)> = self.proof.iter().map(|(name, value)| (*name, value.as_str())).collect();
        // The root alone is defined with its closing slash (DSP0266).
        let asked = if path == redfish::ROOT { "/redfish/v1/" } else { path };
        let answer = match self.http.send(&Method::GET, asked, &proof, None) {
            Ok(answer) => answer,
            Err(NoAnswer::Failed(why)) => return Err(Unfetched::Failed(why)),
            Err(NoAnswer::Late(time)) => return Err(Unfetched::Closed(late(time))),
            Err(gone) => {
                let error = self.error(gone);
                return Err(self.closed(error));
            }
        };
        match answer.status {
            StatusCode::OK => {}
            StatusCode::NOT_FOUND | StatusCode::GONE => return Err(Unfetched::Missing),
            StatusCode::UNAUTHORIZED => {
                let error = RemoteError::Login { host: self.name.clone(), why: complaint(&answer) };
                return Err(self.closed(error));
            }
            _ => return Err(Unfetched::Failed(complaint(&answer))),
        }
        let kind = answer.header("content-type").unwrap_or("application/json");
        let looks = answer.body.iter().find(|b| !b.is_ascii_whitespace());
        if !kind.contains("json") && !matches!(looks, Some(b'{' | b'[')) {
            return Err(Unfetched::Failed(format!("it answered with {kind} in place of JSON")));
        }
        if answer.cut && serde_json::from_slice::<serde::de::IgnoredAny>(&answer.body).is_ok() {
            return Err(Unfetched::Failed("its answer broke off".into()));
        }
        Ok(answer.body)
    }
    fn queries(&self) -> bool {
        true
    }
}

impl Drop for Host {
    fn drop(&mut self) {
        if let (Some(path), Some((name, token))) = (self.session.take(), self.proof.take()) {
            self.http.allow(FAREWELL);
            // A service that does not hear this closes the session itself after a while.
            let _ = self.http.send(&Method::DELETE, &path, &[(name, &token)], None);
        }
    }
}

fn late(time: Duration) -> String {
    format!("it took more than {} s in all", time.as_secs_f64())
}

/// What a service says of a request that it did not answer as asked.
fn complaint(answer: &Answer) -> String {
    let told: serde_json::Value = serde_json::from_slice(&answer.body).unwrap_or_default();
    let message = told.pointer("/error/message").and_then(|m| m.as_str()).unwrap_or("");
    let status = answer.status;
    if message.is_empty() { format!("it answered {status}") } else { format!("it answered {status}: {message}") }
}
