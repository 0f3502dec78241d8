//! The client against a small server that misbehaves in every way that controllers do.

mod certificate;
mod server;

use super::login::{Login, User};
use super::{Options, RemoteError, Trust, fetch, is_address};
use crate::failure::Failure;
use domain::snapshot::Snapshot;
use server::{Reply, Server};
use std::io::{Read, Write};
use std::time::{Duration, Instant};

fn options() -> Options {
    Options {
        login: Login::None,
        trust: Trust::Authorities(None),
        plain_http: false,
        connect: Duration::from_secs(5),
        whole: Duration::from_secs(20),
        body_most: 100_000,
        at_once: 4,
    }
}

fn user() -> User {
    User { name: "reader".into(), password: "s3cret".into() }
}

fn read(server: &Server, options: &Options) -> Result<Vec<Snapshot>, RemoteError> {
    let mut all = fetch(&[server.url()], options);
    assert_eq!(all.len(), 1);
    all.remove(0).1.map_err(|failure| match failure {
        Failure::Remote(error) => error,
        other => panic!("{other}"),
    })
}

fn notes(all: &[Snapshot]) -> String {
    all.iter().flat_map(|s| &s.notes).map(|n| format!("{}\n", n.what)).collect()
}

const A1: &str = "/redfish/v1/Systems/1/Memory/A1";

#[test]
fn a_service_is_read_page_by_page() {
    let server = Server::start(Vec::new());
    let all = read(&server, &options()).unwrap();
    assert_eq!(all.len(), 1);
    assert_eq!(all[0].installed().mib(), 3 * 16_384);
    assert_eq!(notes(&all), "");
    assert!(server.asked("GET /redfish/v1/Systems/1/Memory?$skip=2"));
}

#[test]
fn several_hosts_are_read_at_once_in_their_order() {
    let servers: Vec<Server> = (0..5).map(|_| Server::start(Vec::new())).collect();
    let mut urls: Vec<String> = servers.iter().map(Server::url).collect();
    urls.insert(2, "https://rack1:0/x y".into());
    let all = fetch(&urls, &options());
    assert_eq!(all.iter().map(|(url, _)| url.clone()).collect::<Vec<_>>(), urls);
    assert_eq!(all.iter().map(|(_, r)| r.is_ok()).collect::<Vec<_>>(), [true, true, false, true, true, true]);
}

#[test]
fn a_session_is_made_used_and_closed() {
    let server = Server::start(vec![("", Reply::Session)]);
    let told = Options { login: Login::Session(user()), ..options() };
    assert_eq!(read(&server, &told).unwrap()[0].slots.len(), 3);
    assert!(server.asked("DELETE /redfish/v1/SessionService/Sessions/7"));
    assert_eq!(server.open_sessions(), 0);
    // Also when reading fails.
    let server = Server::start(vec![("", Reply::Session), ("/redfish/v1", Reply::Status(500))]);
    assert!(read(&server, &told).is_err());
    assert!(server.asked("DELETE /redfish/v1/SessionService/Sessions/7"));
    assert_eq!(server.open_sessions(), 0);
}

#[test]
fn a_refused_login_is_told_without_the_password() {
    let server = Server::start(vec![("", Reply::Session)]);
    let wrong = User { name: "reader".into(), password: "wr0ng".into() };
    for login in [Login::None, Login::Basic(wrong.clone()), Login::Session(wrong)] {
        let error = read(&server, &Options { login, ..options() }).unwrap_err();
        assert!(matches!(error, RemoteError::Login { .. }), "{error}");
        assert!(error.to_string().contains("401") && !format!("{error:?}").contains("wr0ng"), "{error:?}");
        assert!(error.hint().contains("SLOTWRIGHT_PASSWORD"));
    }
    assert!(read(&server, &Options { login: Login::Basic(user()), ..options() }).is_ok());
}

#[test]
fn a_busy_service_is_asked_once_more() {
    let server = Server::start(vec![(A1, Reply::Busy(1))]);
    assert_eq!(notes(&read(&server, &options()).unwrap()), "");
    let server = Server::start(vec![(A1, Reply::Busy(9))]);
    let all = read(&server, &options()).unwrap();
    assert!(notes(&all).contains("503"), "{}", notes(&all));
    assert_eq!(all[0].slots.len(), 3);
    assert_eq!(server.count(&format!("GET {A1}")), 2);
}

#[test]
fn one_bad_answer_costs_one_slot() {
    let cases = [
        (Reply::Html, "text/html in place of JSON"),
        (Reply::Large, "larger than 100000 bytes"),
        (Reply::Away("https://elsewhere.invalid/x"), "off this host"),
        (Reply::Away(A1), "redirects"),
        (Reply::Status(403), "403"),
        (Reply::Status(404), "it is not there"),
    ];
    for (reply, words) in cases {
        let server = Server::start(vec![(A1, reply)]);
        let all = read(&server, &options()).unwrap();
        assert!(notes(&all).contains(words), "{words}: {}", notes(&all));
        assert_eq!(all[0].installed().mib(), 2 * 16_384, "{words}");
    }
    let server = Server::start(vec![(A1, Reply::Cut)]);
    let all = read(&server, &options()).unwrap();
    assert!(notes(&all).contains("breaks off"), "{}", notes(&all));
    let server = Server::start(vec![(A1, Reply::Away("/redfish/v1/Systems/1/Memory/A2/"))]);
    assert_eq!(read(&server, &options()).unwrap()[0].installed().mib(), 3 * 16_384);
}

#[test]
fn a_slow_service_is_left_when_the_time_is_up() {
    let server = Server::start(vec![(A1, Reply::Slow)]);
    let start = Instant::now();
    let all = read(&server, &Options { whole: Duration::from_secs(2), ..options() }).unwrap();
    assert!(start.elapsed() < Duration::from_secs(15), "the answer would have taken 30 s");
    assert_eq!(all[0].slots.iter().filter(|s| s.module.is_none()).count(), 2, "{}", notes(&all));
    assert!(notes(&all).contains("more than 2 s in all") || notes(&all).contains("broke off"), "{}", notes(&all));
}

#[test]
fn nobody_at_home_is_told() {
    let gone = Server::start(Vec::new()).url();
    let error = fetch(&[gone], &options()).remove(0).1.unwrap_err();
    assert!(matches!(error, Failure::Remote(RemoteError::Unreachable { .. })), "{error}");
}

#[test]
fn a_plain_port_that_is_asked_for_tls_is_told_with_what_to_write() {
    let listener = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let port = listener.local_addr().unwrap().port();
    let server = std::thread::spawn(move || {
        for stream in listener.incoming().take(2) {
            let mut stream = stream.unwrap();
            let _ = stream.read(&mut [0; 512]).unwrap();
            stream.write_all(b"HTTP/1.1 400 Bad Request\r\nContent-Length: 0\r\n\r\n").unwrap();
        }
    });
    let plain = format!("https://127.0.0.1:{port}");
    let error = fetch(std::slice::from_ref(&plain), &options()).remove(0).1.unwrap_err();
    let Failure::Remote(error) = error else { panic!("{error:?}") };
    assert!(matches!(error, RemoteError::NoTls { .. }), "{error:?}");
    assert!(error.hint().contains("write http://"), "{}", error.hint());
    let sent = super::send::send(&plain, None, "{}").unwrap_err();
    let Failure::Send { why, hint, .. } = &sent else { panic!("{sent:?}") };
    assert_eq!(why, "it answers without TLS");
    assert!(hint.contains(&format!("write http://127.0.0.1:{port}")), "{hint}");
    server.join().unwrap();
}

#[test]
fn a_certificate_is_checked_by_authority_or_by_sum() {
    let server = Server::with_tls();
    let error = read(&server, &options()).unwrap_err();
    let RemoteError::Certificate { sum: Some(sum), .. } = &error else { panic!("{error:?}") };
    assert_eq!(*sum, server.sum());
    assert!(error.hint().contains("--pin"));
    let pinned = |pin: [u8; 32]| Options { trust: Trust::Pins(vec![pin]), ..options() };
    assert_eq!(read(&server, &pinned(server.pin())).unwrap()[0].slots.len(), 3);
    let error = read(&server, &pinned([7; 32])).unwrap_err();
    assert!(error.to_string().contains("not the pinned one"), "{error}");
    assert!(read(&server, &Options { trust: Trust::Unchecked, ..options() }).is_ok());
}

#[test]
fn addresses_are_known_by_their_scheme() {
    assert!(is_address("https://rack1") && is_address("HTTP://rack1"));
    assert!(!is_address("rack1") && !is_address("c:\\x") && !is_address("captures/redfish"));
}
