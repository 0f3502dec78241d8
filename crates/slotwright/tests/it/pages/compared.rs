//! Plans and earlier reports held against what a machine says now.

use super::server::Server;

/// A machine of one socket with four slots on two channels; `None` is an empty slot.
fn report(slots: [Option<u32>; 4]) -> String {
    let slot = |(at, size): (usize, &Option<u32>)| {
        let name = ["P0_A1", "P0_A2", "P0_B1", "P0_B2"][at];
        let module = size.map_or_else(String::new, |mib| {
            format!(r#", "module": {{"generation": "DDR4", "kind": "RDIMM", "capacity_mib": {mib}}}"#)
        });
        let state = if size.is_some() { "filled" } else { "empty" };
        format!(r#"{{"origin": "smbios", "handle": "0x{at}", "name": "{name}", "state": "{state}"{module}}}"#)
    };
    let slots: Vec<String> = slots.iter().enumerate().map(slot).collect();
    format!(r#"{{"slotwright-snapshot": 1, "system": "A server", "slots": [{}]}}"#, slots.join(", "))
}

const SIZE: Option<u32> = Some(32_768);

#[test]
fn an_earlier_report_is_held_against_a_later_one() {
    let server = Server::bare();
    let before = report([SIZE, None, SIZE, None]);
    let send = |now: &str| {
        let files = [("before", "before.json", before.as_bytes()), ("seen", "now.json", now.as_bytes())];
        server.upload("/compare", &[], &files)
    };
    send(&before).is(200, &["As planned: no difference"]);
    let gone = send(&report([SIZE, None, None, None]));
    gone.is(200, &["<strong>missing</strong>", "P0_B1", "Likely, in this order", "pull every power cord"]);
    send("{}").is(422, &["id=\"f-seen-wrong\""]);
    send("soup").is(422, &["id=\"f-seen-wrong\""]);
}

#[test]
fn of_two_reports_each_fault_stands_beside_its_own() {
    let server = Server::bare();
    let good = report([SIZE, None, SIZE, None]);
    let fault = |page: &str, of: &str| page.contains(&format!("id=\"f-{of}-wrong\""));
    // Pasted, both bear the same name; as files they may.
    let pasted =
        |before: &str, seen: &str| server.upload("/compare", &[("before_text", before), ("seen_text", seen)], &[]);
    let sent = |before: &str, seen: &str| {
        let files = [("before", "report.json", before.as_bytes()), ("seen", "report.json", seen.as_bytes())];
        server.upload("/compare", &[], &files)
    };
    for (before, seen) in [(good.as_str(), "soup"), ("soup", good.as_str()), ("soup", "soup")] {
        for got in [pasted(before, seen), sent(before, seen)] {
            let page = got.is(422, &["This can't be compared yet"]).body;
            assert_eq!(
                (fault(&page, "before"), fault(&page, "seen")),
                (before == "soup", seen == "soup"),
                "{before:.9}"
            );
        }
    }
    pasted(&good, &good).is(200, &["no difference"]);
}

/// The board of one's own that the report is of, saved through the page, and a build on it.
#[test]
fn a_build_is_held_against_the_machine_and_drawn() {
    let server = Server::new();
    let board = "format = 1\ntitle = \"Own\"\nabout = \"Own.\"\ngeneration = \"DDR4\"\nprocessors = [\"ddr4-6ch-2933\"]\nkinds = [\"RDIMM\"]\nsource = \"own\"\n\n[[socket]]\nname = \"p0\"\ncontrollers = [[[\"P0_A1\", \"P0_A2\"], [\"P0_B1\", \"P0_B2\"], [\"P0_C1\", \"P0_C2\"]], [[\"P0_D1\", \"P0_D2\"], [\"P0_E1\", \"P0_E2\"], [\"P0_F1\", \"P0_F2\"]]]\n";
    server.post("/boards/new", &[("id", "own"), ("text", board), ("act", "save")]).is(303, &[]);
    let build =
        "/compare?board=own&processors=ddr4-6ch-2933&s.P0_A1=32GB+2Rx4+PC4-2933Y-R&s.P0_B1=32GB+2Rx4+PC4-2933Y-R";
    server
        .get(build)
        .is(200, &["Planned is", "2 modules", "data-map", "The plan as build.toml", "action=\"/compare?board=own"]);
    let now = report([SIZE, None, None, SIZE]);
    let got = server.upload(build, &[("seen_text", &now)], &[]);
    let got = got.is(200, &["P0_B1", "P0_B2", "data-map", "href=\"#slot-P0-B1", "wrist strap"]);
    assert!(got.body.contains("differs-from-plan"), "the map marks the slots");
    server.upload(build, &[("seen_text", "soup")], &[]).is(422, &["id=\"f-seen-wrong\"", ">\nsoup</textarea>"]);
}
