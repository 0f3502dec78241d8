//! The pages of the stock: the shelf, an item and what is done to it, taking in by scanner and by file.

use super::labelled;
use super::server::{HOSTILE, Server};

const LABEL: &str = "64GB 2Rx4 PC4-2933Y-RB2-12";

/// Scans lines as the page carries them along, and then the last one.
fn scan(server: &Server, lines: &[&str], last: &str, cost: &str) -> super::server::Got {
    let mut fields: Vec<(&str, &str)> = lines.iter().map(|l| ("line", *l)).collect();
    fields.extend([("scan", last), ("do", "scan"), ("cost", cost)]);
    server.post("/stock/intake", &fields)
}

#[test]
fn without_a_store_the_pages_say_so() {
    let server = Server::bare();
    for path in ["/stock", "/stock/intake", "/stock/item/1"] {
        server.get(path).is(200, &["started without a store", "--store shop.db serve"]);
    }
}

#[test]
fn a_scanner_takes_in_and_the_item_is_moved_and_held() {
    let server = Server::with_store();
    server.get("/stock").is(200, &["Nothing is on the shelf yet", "--store shop.db stock list"]);
    let page = server.get("/stock/intake").is(200, &["Label, 2-D code or part number", "autofocus"]);
    labelled("/stock/intake", &page.body);
    let waiting = scan(&server, &[], LABEL, "42 EUR").is(200, &["now its serial", "value=\"42 EUR\""]);
    labelled("/stock/intake", &waiting.body);
    let over = scan(&server, &[LABEL], LABEL, "42 EUR").is(422, &["had no serial and is let go"]);
    assert_eq!(over.body.matches("name=\"line\"").count(), 2, "both lines are carried along");
    scan(&server, &[LABEL], "aa01", "42 EUR").is(200, &["1: 64 GiB 2Rx4 DDR4 RDIMM 2933, AA01"]);
    scan(&server, &[LABEL, "aa01"], "done", "").is(422, &["what it cost is not said", "value=\"aa01\""]);
    let done = scan(&server, &[LABEL, "aa01"], "done", "42 EUR");
    assert_eq!(done.status, 303);
    assert!(done.head.contains("location: /stock?view=items&took=1"), "{}", done.head);
    let listed = server.get("/stock?view=items&took=1").is(200, &["1 module was taken in", "AA01", "not screened"]);
    labelled("/stock", &listed.body);
    server.get("/stock?view=items&again-cost=7+EUR").is(200, &["/stock/intake?cost=7+EUR"]);
    server.get("/stock").is(200, &[LABEL, "1 model.", "42.00 EUR"]);
    let item = server.get("/stock/item/1").is(200, &["AA01", "taken in", "stock show 1"]);
    labelled("/stock/item/1", &item.body);
    let act = |fields: &[(&str, &str)]| server.post("/stock/item/1", fields);
    assert_eq!(act(&[("act", "move"), ("bin", "c9"), ("version", "1")]).status, 303);
    act(&[("act", "move"), ("bin", "c8"), ("version", "1")]).is(422, &["was changed by somebody else"]);
    act(&[("act", "hold"), ("why", " "), ("version", "2")]).is(422, &["no reason given"]);
    assert_eq!(act(&[("act", "hold"), ("why", "bent"), ("version", "2")]).status, 303);
    server.get("/stock/item/1").is(200, &["held back", "C9", "bent", "Put it on the shelf"]);
    server.get("/stock?view=items&state=held+back").is(200, &["AA01"]);
    server.get("/stock?words=a01&view=items").is(200, &["AA01"]);
    server.get("/stock?words=nowhere").is(200, &["Look for items and serials"]);
    // What the shelf has already is told at once, and does not stay in the list.
    let known = scan(&server, &[LABEL], "aa01", "42 EUR").is(422, &["in stock already: item 1"]);
    assert!(known.body.contains("value=\"undo\"") && !known.body.contains("Leave out number"), "{}", known.body);
    scan(&server, &[LABEL, "aa02", LABEL, "aa03"], "leave out 1", "").is(200, &["Undone", "AA02", "AA03"]);
    let right = |name: &str, value: &str| {
        [("act", "correct"), ("right-why", "misread"), ("version", "3"), (name, value)]
            .map(|(n, v)| (n.to_string(), v.to_string()))
    };
    let correct = |name: &str, value: &str| {
        let fields = right(name, value);
        let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect();
        server.post("/stock/item/1", &fields)
    };
    correct("right-cost", "4,1,0 EUR").is(422, &["has a comma", "value=\"4,1,0 EUR\""]);
    assert_eq!(correct("right-cost", "40,50 EUR").status, 303);
    server.get("/stock/item/1").is(200, &["40.50 EUR each", "cost `42.00 EUR` to `40.50 EUR`; misread"]);
    server.get("/stock/item/99").is(404, &["There is no item 99"]);
}

#[test]
fn a_list_goes_in_whole_or_every_bad_row_stands_beside_the_form() {
    let server = Server::with_store();
    let send = |list: &str| server.upload("/stock/intake", &[("do", "send")], &[("files", "in.csv", list.as_bytes())]);
    let head = "label,serial,cost,bin\n";
    let bad = format!("{head}{LABEL},AA01,41 EUR,B1\n{LABEL},AA01,41 EUR,B1\n{LABEL},AA02,41,B 1\n");
    let refused = send(&bad).is(
        422,
        &["2 rows", "line 3", "was given already: line 2", "line 4, column 3", "line 4, column 4", "is no bin"],
    );
    labelled("/stock/intake", &refused.body);
    server.get("/stock").is(200, &["Nothing is on the shelf yet"]);
    assert_eq!(send(&format!("{head}{LABEL},AA01,41 EUR,B1\n{LABEL},AA02,40.50 EUR,B1\n")).status, 303);
    server.get("/stock").is(200, &[LABEL, "40.50 to 41.00 EUR"]);
    server.upload("/stock/intake", &[("do", "send")], &[]).is(422, &["No file was sent"]);
}

#[test]
fn pages_are_turned() {
    let server = Server::with_store();
    let rows: String = (0..60).map(|n| format!("{LABEL},AA{n:04},1 EUR\n")).collect();
    let list = format!("label,serial,cost\n{rows}");
    assert_eq!(server.upload("/stock/intake", &[("do", "send")], &[("files", "in.csv", list.as_bytes())]).status, 303);
    let first = server.get("/stock?view=items").is(200, &["AA0059", "After these"]);
    assert!(!first.body.contains("AA0009") && !first.body.contains("Before these"));
    let second = server.get("/stock?view=items&skip=50").is(200, &["AA0009", "AA0000", "Before these"]);
    assert!(!second.body.contains("After these"));
}

#[test]
fn hostile_words_stay_words() {
    let server = Server::with_store();
    let sent: String = form_urlencoded::byte_serialize(HOSTILE.as_bytes()).collect();
    let part = sent.replace('+', "%20");
    let asked = [
        server.get(&format!("/stock?words={sent}&view={sent}&state={sent}&model={sent}&skip={sent}")),
        server.get(&format!("/stock/item/{part}")),
        server.get(&format!("/stock/intake?cost={sent}&line={sent}")),
        scan(&server, &[HOSTILE], HOSTILE, HOSTILE),
        server.upload(
            "/stock/intake",
            &[("do", "send"), ("bin", HOSTILE)],
            &[("files", HOSTILE, format!("label,serial\n{HOSTILE},{HOSTILE}\n").as_bytes())],
        ),
    ];
    for got in asked {
        assert!((200..500).contains(&got.status), "{}", got.status);
        assert!(!got.body.contains("<script>alert") && !got.body.contains("\"'&\u{202e}"), "{}", got.body);
    }
}
