//! Sending a snapshot to a server of the bench: to the address that a person names, and nowhere else.

use super::address::Address;
use super::http::{Answer, Http, NoAnswer};
use super::login::Login;
use super::tls::{NO_TLS, TlsConnector};
use super::{Options, RemoteError, Trust};
use crate::failure::Failure;
use std::time::Duration;
use ureq::http::{Method, StatusCode};

/// Where a server of the bench takes snapshots.
const PLACE: &str = "/machines";
/// Largest answer: it is a redirect or a page that says what is wrong.
const ANSWER_MOST: u64 = 1 << 20;

/// Sends a document; gives the address of the page that shows it.
///
/// # Errors
/// [`Failure::Send`]: nobody is there, it asks for a token, or it takes no such document. An address that is none.
pub fn send(to: &str, token: Option<&str>, document: &str) -> Result<String, Failure> {
    let address = Address::parse(to, true).map_err(|error| match error {
        RemoteError::Address { text, why } => failed(&text, why, "write http://HOST:PORT as `serve` prints it"),
        other => other.into(),
    })?;
    if address.entry.is_some() {
        return Err(failed(to, "it is more than an address", "write http://HOST:PORT alone"));
    }
    let options = Options {
        login: Login::None,
        trust: Trust::Authorities(None),
        plain_http: true,
        connect: Duration::from_secs(10),
        whole: Duration::from_secs(60),
        body_most: ANSWER_MOST,
        at_once: 1,
    };
    let http = Http::new(&address.base, &address.authority, &options, TlsConnector::new(&options.trust)?);
    let bearer = token.map(|token| format!("Bearer {token}"));
    let mut headers = vec![("Origin", address.base.as_str())];
    headers.extend(bearer.as_deref().map(|b| ("Authorization", b)));
    let answer = http.once(&Method::POST, PLACE, &headers, Some(document)).map_err(|error| {
        let why = match error {
            NoAnswer::Gone(why) | NoAnswer::Failed(why) => why,
            NoAnswer::NoTls => {
                let hint = format!(
                    "write http://{}; `serve` has no TLS of its own, and https:// is for a proxy before it",
                    address.authority
                );
                return failed(&address.base, NO_TLS, &hint);
            }
            NoAnswer::Late(time) => format!("no answer within {} seconds", time.as_secs()),
        };
        failed(&address.base, why, "see that `slotwright serve` listens there, and that this machine reaches it")
    })?;
    taken(&http, &address, token.is_some(), &answer)
}

fn taken(http: &Http, address: &Address, with_token: bool, answer: &Answer) -> Result<String, Failure> {
    let page = answer.header("location").and_then(|to| http.within(to)).filter(|to| to.starts_with("/machine/"));
    if let (StatusCode::SEE_OTHER, Some(page)) = (answer.status, page) {
        return Ok(format!("{}{page}", address.base));
    }
    let (why, hint) = match answer.status {
        StatusCode::UNAUTHORIZED if with_token => {
            ("it has another token", "give the token that `serve` was started with")
        }
        StatusCode::UNAUTHORIZED => {
            ("it asks for its access token", "put it into a file for --token-file, or into SLOTWRIGHT_TOKEN")
        }
        StatusCode::FORBIDDEN => ("it is not known by that name", "write the address as `serve` prints it"),
        StatusCode::PAYLOAD_TOO_LARGE => ("it is too large for it", "see what makes it so large"),
        StatusCode::BAD_REQUEST | StatusCode::UNPROCESSABLE_ENTITY => {
            ("it can't read it", "the server may be older: bring it to this program's version")
        }
        status => {
            let why = format!("the answer is {}, not that of a server of the bench", status.as_u16());
            return Err(failed(&address.base, why, "see that `slotwright serve` of this version listens there"));
        }
    };
    Err(failed(&address.base, why, hint))
}

fn failed(to: &str, why: impl Into<String>, hint: &str) -> Failure {
    Failure::Send { to: to.to_string(), why: why.into(), hint: hint.to_string() }
}
