//! The web bench's pages over plain HTTP: what they answer, what they refuse, and that hostile names stay words.

mod boards;
mod compared;
mod orders;
mod received;
pub mod server;
mod stock;

use server::{HOSTILE, MULTIPART, Server, multipart};

/// Every page with its status and words that it must show.
const PAGES: &[(&str, u16, &str)] = &[
    ("/", 200, "The way of a machine"),
    ("/need", 200, "Go on with this board"),
    ("/build", 200, "Lay it out"),
    ("/sheets", 200, "Sheets are made of a plan or a build"),
    ("/compare", 200, "The earlier report"),
    ("/boards", 200, "dunlin-2s6"),
    ("/boards/new", 200, "The board file (TOML)"),
    ("/boards/draft", 200, "Draft it"),
    ("/boards/dunlin-2s6", 200, "Plan on this board"),
    ("/boards/dunlin-2s6?count=6", 200, "<strong>is supported</strong>"),
    ("/boards/dunlin-2s6?count=5", 200, "runs, but is not advised"),
    ("/boards/dunlin-2s6/edit", 200, "Take over and check"),
    ("/boards/dunlin", 404, "did you mean"),
    ("/boards/dunlin/edit", 404, "did you mean"),
    ("/modules", 200, "ddr4-rdimm"),
    ("/modules?generation=DDR5&sort=capacity&order=down", 200, "aria-sort=\"descending\""),
    ("/modules?text=nowhere", 200, "None is like that"),
    ("/rules", 200, "channels-unequal"),
    ("/rules/channels-unequal", 200, "The first example, drawn"),
    ("/rules/serial-repeated", 200, "Innocently"),
    ("/rules/channel-unequal", 404, "did you mean"),
    ("/machines", 200, "snapshot --send"),
    ("/machine/1", 404, "There is no machine 1"),
    ("/read", 200, "Scan or type"),
    ("/read?text=64GB+2Rx4+PC4-2933Y-RB2-12", 200, "64 GiB 2Rx4 DDR4 RDIMM 2933"),
    ("/nothing", 404, "There is no page"),
];

#[test]
fn every_page_answers_and_keeps_its_frame() {
    let server = Server::new();
    for (path, status, words) in PAGES {
        let got = server.get(path).is(*status, &[words, "<html lang=\"en\">", "id=\"main\""]);
        assert!(got.head.contains("content-security-policy: default-src 'none'"), "{path}");
        assert!(!got.body.contains(" style=") && !got.body.contains("onclick"), "{path}");
        assert_eq!(got.body.matches("<script").count(), 1, "{path}");
        if *status == 200 && !path.starts_with("/need") && *path != "/sheets" && *path != "/build" {
            assert!(got.body.contains("The same as a command line"), "{path}");
        }
        labelled(path, &got.body);
    }
}

/// Every field has a label, and every id stands once.
fn labelled(path: &str, page: &str) {
    for kind in ["<input ", "<select ", "<textarea "] {
        for tag in page.split(kind).skip(1).map(|t| &t[..t.find('>').unwrap()]) {
            let id = tag.split("id=\"").nth(1).and_then(|v| v.split('"').next());
            let ticked = tag.contains("type=\"checkbox\"") || tag.contains("type=\"radio\"");
            let named = tag.contains("type=\"hidden\"")
                || tag.contains("aria-label=")
                || ticked
                || id.is_some_and(|id| page.contains(&format!("for=\"{id}\"")));
            assert!(named, "{path}: {tag}");
        }
    }
    let mut ids: Vec<&str> = page.split(" id=\"").skip(1).filter_map(|t| t.split('"').next()).collect();
    let count = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), count, "{path}: an id stands twice");
}

#[test]
fn hostile_words_come_back_as_words() {
    let server = Server::new();
    let sent: String = form_urlencoded::byte_serialize(HOSTILE.as_bytes()).collect();
    let part = sent.replace('+', "%20");
    let paths = [
        format!("/rules/{part}"),
        format!("/boards/{part}"),
        format!("/boards/{part}/edit"),
        format!("/boards/dunlin-2s6?count={sent}&mode={sent}&processor={sent}&ranks={sent}"),
        format!("/modules?text={sent}&generation={sent}&kind={sent}&capacity={sent}&rate={sent}&sort={sent}"),
        format!("/read?text={sent}&how={sent}"),
        format!("/compare?board={sent}&s.x={sent}"),
        format!("/build?board={sent}"),
        format!("/{part}"),
    ];
    for path in &paths {
        let got = server.get(path);
        assert!((200..500).contains(&got.status), "{path}: {}", got.status);
        assert!(!got.body.contains("<script>alert"), "{path}: {}", got.body);
        assert!(!got.body.contains("\"'&\u{202e}"), "{path}: {}", got.body);
    }
    let fields = [("text", HOSTILE), ("report", HOSTILE), ("seen_text", HOSTILE), ("before_text", HOSTILE)];
    for path in ["/read", "/boards/draft", "/compare", "/boards/new"] {
        let got = server.upload(path, &fields, &[("files", HOSTILE, b"label\nsoup\n"), ("seen", HOSTILE, b"x")]);
        assert!((200..500).contains(&got.status), "{path}: {}", got.status);
        assert!(got.body.contains("&lt;script&gt;"), "{path}: {}", got.body);
        assert!(!got.body.contains("<script>alert"), "{path}: {}", got.body);
    }
}

#[test]
fn what_is_wrong_stands_beside_its_field_and_the_rest_stays() {
    let server = Server::new();
    server.get("/modules?rate=soup&text=kept").is(422, &["id=\"f-rate-wrong\"", "value=\"kept\"", "value=\"soup\""]);
    server.get("/boards/dunlin-2s6?count=99&mode=loud").is(422, &["id=\"f-mode-wrong\"", "value=\"99\""]);
    server.get("/boards/dunlin-2s6?count=99").is(422, &["id=\"f-count-wrong\"", "give a count from 1 to 12"]);
    server.upload("/read", &[("text", " "), ("how", "tray")], &[]).is(422, &["id=\"f-text-wrong\""]);
    server
        .upload("/compare", &[("node", "two")], &[])
        .is(422, &["id=\"f-node-wrong\"", "id=\"f-seen-wrong\"", "id=\"f-before-wrong\"", "value=\"two\""]);
    server.upload("/boards/draft", &[("report", "soup")], &[]).is(422, &["id=\"f-files-wrong\"", ">\nsoup</textarea>"]);
}

#[test]
fn forms_of_other_pages_and_broken_ones_are_refused() {
    let server = Server::new();
    let body = multipart(&[("text", "64GB 2Rx4 PC4-2933Y-R")], &[]);
    for origin in ["http://elsewhere.example", "null", "http://127.0.0.1:1"] {
        server.posted("/read", origin, MULTIPART, body.len(), &body).is(403, &["does not come from a page"]);
    }
    let text = b"id=heron&act=save&text=";
    server
        .posted("/boards/new", "http://elsewhere.example", "application/x-www-form-urlencoded", text.len(), text)
        .is(403, &[]);
    server.posted("/read", &server.origin(), MULTIPART, body.len(), &body).is(200, &["Read 1 module"]);
    // Cut short, though the length is as said; then shorter than said; then of no kind that is known.
    let cut = &body[..body.len() - 20];
    server.posted("/read", &server.origin(), MULTIPART, cut.len(), cut).is(400, &["could not be read"]);
    let short = server.posted("/read", &server.origin(), MULTIPART, body.len(), cut);
    assert!([0, 400].contains(&short.status), "{short:?}");
    let odd = server.posted("/read", &server.origin(), "application/json", 2, b"{}");
    assert!((400..500).contains(&odd.status), "{odd:?}");
    let most = 17 << 20;
    let large = server.posted("/read", &server.origin(), MULTIPART, most, b"--between\r\n");
    assert_eq!(large.status, 413, "{large:?}");
    server.get("/read").is(200, &[]);
}

#[test]
fn modules_are_read_from_scans_texts_and_files() {
    let server = Server::bare();
    let tray = "/read?how=tray&text=64GB+2Rx4+PC4-2933Y-RB2-12&text=32GB+2Rx4+PC4-2666V-R";
    server.get(tray).is(200, &["2 scanned so far", "96 GiB", "slotwright read --tray"]);
    let same = "/read?how=same&text=64GB+2Rx4+PC4-2933Y-RB2-12&text=32GB+2Rx4+PC4-2933Y-RB2-12";
    server.get(same).is(200, &["suspect"]);
    let list = b"label,quantity\n64GB 2Rx4 PC4-2933Y-R,3\nsoup,1\n";
    let got = server.upload("/read", &[("text", ""), ("how", "tray")], &[("files", "tray.csv", list)]);
    got.is(200, &["3 × 64 GiB", "192 GiB", "tray.csv:3", "Not read"]);
    let dump = std::fs::read_to_string(crate::top().join("examples/used-1.hex")).unwrap();
    server.upload("/read", &[("text", &dump)], &[]).is(200, &["SPD contents", "Signs"]);
    server.get("/read?text=%2Fetc%2Fhostname").is(422, &["Nothing of it can be read"]);
    let kept = r#"{"slotwright-snapshot": 1, "slots": [{"origin": "smbios", "handle": "0x1", "name": "A1", "state": "filled",
        "module": {"generation": "DDR4", "nonvolatile": true, "capacity_mib": 16384}}]}"#;
    let kept = kept.replace("\n", "");
    server
        .upload("/read", &[], &[("files", "seen.json", kept.as_bytes())])
        .is(200, &["keeps its contents without power", "may hold a customer"]);
}
