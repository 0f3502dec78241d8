//! Boards written in the browser: form and text in step, saved whole or not at all, drafts confirmed slot by slot.

use super::server::{HOSTILE, Server, fields, lines, value};

/// Sends the form of a page with some fields changed.
fn sent(server: &Server, path: &str, page: &str, changes: &[(&str, &str)]) -> super::server::Got {
    let mut all = fields(page);
    all.push(("text".to_string(), lines(page, "text")));
    for (name, value) in changes {
        all.retain(|(n, _)| n != name);
        all.push((name.to_string(), value.to_string()));
    }
    let all: Vec<(&str, &str)> = all.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect();
    server.post(path, &all)
}

#[test]
fn form_and_text_stay_in_step() {
    let server = Server::new();
    let page = server.get("/boards/dunlin-2s6/edit").body;
    assert_eq!(value(&page, "limits.module"), "128 GiB");
    let path = "/boards/dunlin-2s6/edit";
    let page = sent(&server, path, &page, &[("limits.module", "64 GiB"), ("title", HOSTILE)]).is(200, &[]).body;
    let text = lines(&page, "text");
    assert!(text.contains("module = \"64 GiB\"") && text.contains("alert(1)"), "{text}");
    assert!(!page.contains("<script>alert"));
    let text = text.replace("module = \"64 GiB\"", "module = \"32 GiB\"");
    let page = sent(&server, path, &page, &[("text", &text)]).is(200, &[]).body;
    assert_eq!(value(&page, "limits.module"), "32 GiB");
    let page =
        sent(&server, path, &page, &[("act", "add:rate")]).is(200, &["id=\"f-rate.0.modules_per_channel-wrong\""]).body;
    assert_eq!(value(&page, "rate.0.kinds"), "RDIMM, LRDIMM, RDIMM-3DS, LRDIMM-3DS");
    let page = sent(&server, path, &page, &[("rate.0.modules_per_channel", "2"), ("rate.0.most", "2400")]);
    let page = page.is(200, &["nothing is wrong"]).body;
    assert!(lines(&page, "text").ends_with("modules_per_channel = [2]\nmost = 2400\n"), "{page}");
    let laid = [
        ("act", "lay"),
        ("lay.sockets", "n, s"),
        ("lay.controllers", "2"),
        ("lay.channels", "3"),
        ("lay.slots", "1"),
        ("lay.pattern", "{socket}-{letter}"),
    ];
    let page = sent(&server, path, &page, &laid).body;
    assert!(page.contains("n-A") && page.contains("s-F"), "{page}");
    let file = sent(&server, path, &page, &[("act", "file"), ("id", "mine")]).is(200, &["[[socket]]"]);
    assert!(file.head.contains("attachment; filename=\"mine.toml\""), "{}", file.head);
}

/// A board written in the form alone, by the buttons that a page without script has: its file reads as one written by hand.
#[test]
fn a_board_written_in_the_form_is_the_one_written_by_hand() {
    let server = Server::new();
    let page = server.get("/boards/new?sockets=1&controllers=1&channels=2&slots=2").body;
    let path = "/boards/new";
    let steps: [&[(&str, &str)]; 9] = [
        &[
            ("title", "Snipe <b>of two</b>"),
            ("about", "One socket."),
            ("source", "manual, page 4"),
            ("generation", "DDR4"),
            ("processors", "ddr4-2ch-2666"),
            ("kinds", "UDIMM"),
            ("training_minutes", "2"),
            ("socket.0.name", "mid"),
            ("socket.0.controllers.0", "m-1-far, m-1-near\r\nm-2-far, m-2-near"),
            ("act", "look"),
        ],
        &[("slot.0.tab", "blue"), ("slot.2.under_heat_sink", "true"), ("limits.module", "16 GiB")],
        &[("limits.module.severity", "wrong"), ("limits.module.source", "page 5"), ("act", "add:rate")],
        &[("rate.0.modules_per_channel", "2"), ("rate.0.most", "2400"), ("act", "add:mode")],
        &[
            ("mode.0.name", "mirror"),
            ("mode.0.usable", "half"),
            ("mode.0.alike", "0, 1"),
            ("mixing.widths", "false"),
            ("mixing.widths.outcome", "disables-mode"),
            ("act", "add:chart"),
        ],
        &[("chart.0.closed", "true"), ("act", "add:chart.0.fill")],
        &[("chart.0.fill.0.slots", "m-1-far"), ("act", "add:chart.0.fill")],
        &[("chart.0.fill.1.slots", "m-1-far, m-2-far"), ("act", "add:chart.0.fill")],
        &[("chart.0.fill.2.verdict", "not-advised"), ("act", "cut:chart.0.fill.2")],
    ];
    let page = steps.iter().fold(page, |page, changes| sent(&server, path, &page, changes).is(200, &[]).body);
    assert!(page.contains("4 lines are guesses") && !page.contains("<b>of two"), "{page}");
    let page = sent(&server, path, &page, &[("act", "confirm")]).is(200, &["nothing is wrong with its text"]).body;
    sent(&server, path, &page, &[("act", "save"), ("id", "snipe-1s2")]).is(303, &[]);
    let hand = r#"
        format = 1
        title = "Snipe <b>of two</b>"
        about = "One socket."
        generation = "DDR4"
        processors = ["ddr4-2ch-2666"]
        kinds = ["UDIMM"]
        training_minutes = 2
        source = "manual, page 4"
        socket = [{ name = "mid", controllers = [[["m-1-far", "m-1-near"], ["m-2-far", "m-2-near"]]] }]
        slot = { m-1-far = { tab = "blue" }, m-2-far = { under_heat_sink = true } }
        limits.module = { most = "16 GiB", severity = "wrong", source = "page 5" }
        mixing.widths = { allowed = false, outcome = "disables-mode" }
        rate = [{ kinds = ["UDIMM"], modules_per_channel = [2], most = 2400 }]
        mode = [{ name = "mirror", usable = "half", alike = [[0, 1]] }]
        [[chart]]
        closed = true
        fill = [{ count = 1, slots = ["m-1-far"] }, { count = 2, slots = ["m-1-far", "m-2-far"] }]
    "#;
    let read = |text: &str| toml::from_str::<toml::Table>(text).unwrap();
    assert_eq!(read(&server.place.read("data/boards/snipe-1s2.toml")), read(hand));
    server.place.write("hand/snipe-1s2.toml", hand);
    let shown = |file: &str| server.place.run(&["boards", file, "--json"]).out;
    assert_eq!(shown("data/boards/snipe-1s2.toml"), shown("hand/snipe-1s2.toml"));
    server.place.write(
        "build.toml",
        "board = \"data/boards/snipe-1s2.toml\"\nprocessors = [\"ddr4-2ch-2666\"]\n[slots]\nm-1-far = \"16GB 2Rx8 PC4-2666V-E\"\nm-2-far = \"16GB 2Rx8 PC4-2666V-E\"\n",
    );
    let checked = server.place.run(&["check", "build.toml"]);
    assert_eq!(checked.code, Some(0), "{}{}", checked.out, checked.err);
}

#[test]
fn a_fault_has_its_place_and_loses_nothing() {
    let server = Server::new();
    let page = server.get("/boards/dunlin-2s6/edit").body;
    let path = "/boards/dunlin-2s6/edit";
    let got = sent(&server, path, &page, &[("limits.module", "128 apples"), ("about", "kept")]);
    let line = lines(&got.body, "text").lines().position(|l| l.contains("apples")).unwrap() + 1;
    let place = format!("line {line}, column ");
    let words =
        ["id=\"f-limits.module-wrong\"", &place, "module = &quot;128 apples&quot;", "kept</textarea>", "data-map"];
    let page = got.is(200, &words).body;
    // No TOML at all: the text comes back as it was, the form keeps what was typed, and the board is drawn so far.
    let broken = format!("{}\nmodule = ", lines(&page, "text"));
    let got = sent(&server, path, &page, &[("text", &broken), ("title", "typed")]);
    let got = got.is(200, &["the form waits", "value=\"typed\"", "data-map"]);
    assert_eq!(lines(&got.body, "text"), broken);
    let mended = broken.strip_suffix("\nmodule = ").unwrap().replace("128 apples", "64 GiB");
    let page = sent(&server, path, &got.body, &[("text", &mended)]).is(200, &["nothing is wrong"]).body;
    assert!(lines(&page, "text").contains("title = \"typed\""), "what was typed meanwhile is taken over then");
}

#[test]
fn a_board_is_saved_whole_or_not_at_all() {
    let server = Server::new();
    let page = server.get("/boards/dunlin-2s6/edit").body;
    let path = "/boards/dunlin-2s6/edit";
    let save = |changes: &[(&str, &str)]| sent(&server, path, &page, &[&[("act", "save")], changes].concat());
    let got = save(&[("id", "heron-2s6")]).is(303, &[]);
    assert!(got.head.contains("location: /boards/heron-2s6"), "{}", got.head);
    server.get("/boards/heron-2s6").is(200, &["Plan on this board"]);
    let saved = server.place.read("data/boards/heron-2s6.toml");
    save(&[("id", "heron-2s6"), ("title", "Other")])
        .is(422, &["id=\"f-id-wrong\"", "tick that it may be replaced", "value=\"Other\""]);
    assert_eq!(server.place.read("data/boards/heron-2s6.toml"), saved);
    save(&[("id", "dunlin-2s6")]).is(422, &["id=\"f-id-wrong\""]);
    save(&[("id", "heron-2s6"), ("title", "Other"), ("replace", "yes")]).is(303, &[]);
    assert!(server.place.read("data/boards/heron-2s6.toml").contains("\"Other\""));
    for name in ["../heron", "/tmp/heron", "", "Heron", "heron.toml", HOSTILE] {
        save(&[("id", name)]).is(422, &["id=\"f-id-wrong\""]);
    }
    save(&[("id", "faulty"), ("limits.module", "apples")]).is(422, &["is not saved", "apples"]);
    assert_eq!(boards(&server), ["heron-2s6.toml"]);
}

fn boards(server: &Server) -> Vec<String> {
    let folder = std::fs::read_dir(server.place.path().join("data/boards")).unwrap();
    let mut names: Vec<String> = folder.map(|e| e.unwrap().file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

/// Somebody put a faulty file beside it: the folder can't be read as a whole, so nothing is changed at all.
#[test]
fn a_folder_that_can_not_be_read_changes_nothing() {
    let server = Server::new();
    let page = server.get("/boards/plover-1s2/edit").body;
    let save = |changes: &[(&str, &str)]| {
        sent(&server, "/boards/plover-1s2/edit", &page, &[&[("act", "save")], changes].concat())
    };
    save(&[("id", "heron"), ("title", "First")]).is(303, &[]);
    server.place.write("data/boards/other.toml", "title = ");
    save(&[("id", "heron"), ("title", "Second"), ("replace", "yes")])
        .is(422, &["not saved", "other.toml", "value=\"Second\""]);
    assert!(server.place.read("data/boards/heron.toml").contains("First"));
    save(&[("id", "egret")]).is(422, &["not saved"]);
    assert_eq!(boards(&server), ["heron.toml", "other.toml"]);
    server.get("/boards/heron").is(200, &["First"]);
}

#[test]
fn without_a_folder_a_board_is_kept_as_a_file() {
    let server = Server::bare();
    let page = server.get("/boards/new?sockets=1&controllers=1&channels=2&slots=2").body;
    assert!(!page.contains("value=\"save\""), "{page}");
    sent(&server, "/boards/new", &page, &[("act", "save"), ("id", "x")])
        .is(422, &["id=\"f-id-wrong\"", "without a folder"]);
    sent(&server, "/boards/new", &page, &[("act", "file"), ("id", "x")]).is(200, &["format = 1"]);
}

#[test]
fn a_draft_is_confirmed_slot_by_slot() {
    let server = Server::new();
    let story = std::fs::read_to_string(crate::top().join("scenarios/a-board-from-a-machine.md")).unwrap();
    let report = story.split("machine.json\n").nth(1).and_then(|t| t.split("```").next()).unwrap();
    let page = server.upload("/boards/draft", &[], &[("files", "machine.json", report.as_bytes())]);
    let page = page.is(200, &["12 slots", "To confirm", "P1_DIMM_A1", "name=\"ok.11\""]).body;
    let mut all = fields(&page);
    all.retain(|(n, _)| n != "label.0");
    all.push(("label.0".to_string(), "outer \"1\"".to_string()));
    all.push(("ok.0".to_string(), "yes".to_string()));
    let send = |all: &[(String, String)]| {
        let all: Vec<(&str, &str)> = all.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect();
        server.post("/boards/draft", &all)
    };
    let mut wrong = all.clone();
    wrong.iter_mut().filter(|(n, _)| n == "channel.1").for_each(|(_, v)| *v = "soup".to_string());
    send(&wrong).is(422, &["id=\"f-channel.1-wrong\"", "value=\"soup\"", "value=\"outer &quot;1&quot;\""]);
    let page = send(&all).is(200, &["11 of 12 slots unconfirmed", "action=\"/boards/new\""]).body;
    let text = lines(&page, "text");
    assert!(text.contains("[\"outer \\\"1\\\"\"],   # channel 0\n"), "{text}");
    assert!(text.contains("[\"P1_DIMM_B1\"],   # channel 1: confirm: likely\n"), "{text}");
    sent(&server, "/boards/new", &page, &[("act", "save"), ("id", "used-server")]).is(303, &[]);
    server.get("/boards/used-server").is(200, &["outer &quot;1&quot;", "P2_DIMM_M1"]);
}
