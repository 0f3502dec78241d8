//! A snapshot's way back: sent by the machine, taken in by the server, led on to draft and comparison.

use super::server::Server;
use crate::machines::root;
use crate::program::{Place, Told};
use std::io::{Read, Write};
use std::net::TcpListener;

fn sent(place: &Place, to: &str, more: &[&str]) -> Told {
    place.run(&[&["snapshot", "--root", "root", "--send", to][..], more].concat())
}

#[test]
fn a_sent_snapshot_is_shown_and_leads_to_draft_and_comparison() {
    let server = Server::bare();
    let place = Place::new();
    root(&place);
    let first = sent(&place, &server.origin(), &[]);
    assert_eq!(first.code, Some(0), "{}", first.err);
    assert!(first.err.contains(&format!("open {}/machine/1 ", server.origin())), "{}", first.err);
    assert!(!first.out.contains("slotwright-snapshot"), "the document went elsewhere, so a summary is printed");
    // The same again is no other machine.
    assert!(sent(&place, &server.origin(), &[]).err.contains("/machine/1 "));
    let shown = server.get("/machine/1");
    assert_eq!(shown.status, 200);
    let document = place.run(&["snapshot", "--root", "root"]).out;
    let kept = server.get("/machine/1?as=file");
    assert_eq!(kept.body, document);
    assert!(kept.head.contains("machine-1.json"), "{}", kept.head);

    let drafted = server.post("/boards/draft", &[("received", "1")]);
    assert_eq!(drafted.status, 200);
    let label = place.run(&["draft", "root", "--json"]).json()["slots"][0]["label"].as_str().unwrap().to_string();
    assert!(drafted.body.contains(&label), "{label}");

    place.write("root/sys/devices/system/edac/mc/mc0/ce_count", "90\n");
    assert!(sent(&place, &server.origin(), &[]).err.contains("/machine/2 "));
    // The command to type there has this server's own address, and says who reaches it.
    let told = format!("slotwright snapshot --send {}", server.origin());
    server.get("/machines").is(200, &["/machine/2\"", &told, "Only programs of this machine reach that address"]);
    let compared = server.post("/compare", &[("before_received", "1"), ("seen_received", "2")]);
    assert_eq!(compared.status, 200);
    assert!(
        compared.body.contains("90 corrected") && compared.body.contains("machine 2"),
        "the counter that grew is told"
    );
    // What is not there any more is no report.
    let gone = server.post("/compare", &[("before_received", "1"), ("seen_received", "77")]);
    assert_eq!(gone.status, 422);
    assert_eq!(server.get("/machine/77").status, 404);
}

#[test]
fn scanned_codes_are_taken_in_and_a_missing_one_is_named() {
    let server = Server::bare();
    let place = Place::new();
    root(&place);
    let document = place.run(&["snapshot", "--root", "root"]).out;
    let parts = readers::snapshot::parts::split(&readers::snapshot::read(&document).unwrap(), 200).parts;
    assert!(parts.len() > 2, "{parts:?}");
    let (first, rest) = parts.split_first().unwrap();
    let lacking = server.upload("/machines", &[("codes", &rest.join("\r\n"))], &[]);
    assert_eq!(lacking.status, 422);
    assert!(lacking.body.contains("part 1 is not there"), "{}", lacking.body);
    assert!(lacking.body.contains(&rest[0]), "what was scanned is still in the form");
    // The rest as typed, the first as a file.
    let whole = server.upload("/machines", &[("codes", &rest.join(" "))], &[("report", "first.txt", first.as_bytes())]);
    assert_eq!(whole.status, 303, "{}", whole.body);
    assert_eq!(server.get("/machine/1?as=file").body, document);
}

#[test]
fn what_is_no_machine_and_who_may_not_send_are_refused() {
    let server = Server::bare();
    let post =
        |origin: &str, body: &[u8]| server.posted("/machines", origin, "application/json", body.len(), body).status;
    let own = server.origin();
    assert_eq!(post(&own, b"{\"a\": 1}"), 422);
    assert_eq!(post(&own, b"{"), 422);
    assert_eq!(post(&own, b""), 422);
    assert_eq!(post("http://elsewhere.example", b"{}"), 403);
    assert_eq!(server.upload("/machines", &[("step", "file")], &[]).status, 422);
    assert_eq!(server.posted("/read", &own, "application/json", 2, b"{}").status, 415, "this place alone takes JSON");
    assert!(server.get("/machines").body.contains("None has come"));
}

#[test]
fn a_server_with_a_token_is_sent_to_with_it_only() {
    let server = Server::with_token("an-access-token-of-24-ch");
    let place = Place::new();
    root(&place);
    let none = sent(&place, &server.origin(), &[]);
    assert_eq!(none.code, Some(2), "{}", none.err);
    assert!(none.err.contains("access token") && none.err.contains("--out FILE"), "{}", none.err);
    place.write("wrong.txt", "another-token-of-some-length\n");
    place.write("token.txt", "an-access-token-of-24-ch\n");
    let wrong = sent(&place, &server.origin(), &["--token-file", "wrong.txt", "--out", "kept.json"]);
    assert_eq!(wrong.code, Some(2));
    assert!(wrong.err.contains("another token"), "{}", wrong.err);
    assert!(place.read("kept.json").contains("slotwright-snapshot"), "what was taken is not lost");
    let right = sent(&place, &server.origin(), &["--token-file", "token.txt"]);
    assert_eq!(right.code, Some(0), "{}", right.err);
}

#[test]
fn only_the_address_that_was_named_is_spoken_to() {
    let place = Place::new();
    root(&place);
    for to in ["192.0.2.1:7120", "ftp://192.0.2.1", "http://", "http://a:b@192.0.2.1", "http://127.0.0.1:9/machines"] {
        assert_eq!(sent(&place, to, &[]).code, Some(2), "{to}");
    }
    // Nobody listens there.
    let closed = TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap();
    let told = sent(&place, &format!("http://{closed}"), &[]);
    assert!(told.code == Some(2) && told.err.contains("slotwright serve"), "{}", told.err);
    // Another server, which sends on to a second one: that one is not asked.
    let second = TcpListener::bind("127.0.0.1:0").unwrap();
    second.set_nonblocking(true).unwrap();
    let first = TcpListener::bind("127.0.0.1:0").unwrap();
    let (at, on) = (first.local_addr().unwrap(), second.local_addr().unwrap());
    let answering = std::thread::spawn(move || {
        let (mut stream, _) = first.accept().unwrap();
        let mut bytes = vec![0; 1 << 16];
        let _ = stream.read(&mut bytes);
        let head = format!(
            "HTTP/1.1 307 On\r\nLocation: http://{on}/machine/1\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"
        );
        stream.write_all(head.as_bytes()).unwrap();
    });
    let told = sent(&place, &format!("http://{at}"), &[]);
    answering.join().unwrap();
    assert_eq!(told.code, Some(2), "{}", told.err);
    assert!(second.accept().is_err(), "nobody came to the second");
}

#[test]
fn a_machine_that_tells_nothing_sends_nothing() {
    let server = Server::bare();
    let place = Place::new();
    std::fs::create_dir_all(place.path().join("root")).unwrap();
    let told = sent(&place, &server.origin(), &[]);
    assert_eq!(told.code, Some(1), "{}", told.err);
    assert!(told.err.contains("nothing was sent"), "{}", told.err);
    assert!(server.get("/machines").body.contains("None has come"));
}
