//! The pages of orders, quotes and the allocation: each step as a form, what is refused beside its field, nothing half done.

use super::labelled;
use super::server::{Got, HOSTILE, Server};

const NEED: &str = "board=plover-1s2&processors=ddr4-2ch-2666&least=32+GiB&most=32+GiB";
const SERIALS: [&str; 6] = ["U1", "U2", "U3", "U4", "U5", "U6"];

/// A server with six small modules on its shelf.
fn shop() -> Server {
    let server = Server::with_store();
    let rows: String = SERIALS.iter().map(|s| format!("16GB 2Rx8 PC4-2666V-E,{s},A1,31 EUR\n")).collect();
    let list = format!("label,serial,bin,cost\n{rows}");
    assert_eq!(server.upload("/stock/intake", &[("do", "send")], &[("files", "in.csv", list.as_bytes())]).status, 303);
    server
}

/// The need's fields and more.
fn with_need<'a>(more: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    let need = [("board", "plover-1s2"), ("processors", "ddr4-2ch-2666"), ("least", "32 GiB"), ("most", "32 GiB")];
    need.into_iter().chain(more.iter().copied()).collect()
}

/// Where an answer leads, in small letters as the head is told.
fn to(got: &Got) -> String {
    assert_eq!(got.status, 303, "{}", got.body);
    let place = got.head.lines().find_map(|l| l.strip_prefix("location: ")).unwrap();
    place.trim().to_string()
}

fn order(server: &Server, customer: &str) -> String {
    to(&server.post("/orders/new", &with_need(&[("customer", customer), ("priority", "4")])))
}

#[test]
fn without_a_store_the_pages_say_so() {
    let server = Server::bare();
    for path in ["/orders", "/orders/new", "/order/1", "/quotes", "/quotes/new", "/quote/1", "/allocate"] {
        server.get(path).is(200, &["started without a store", "--store shop.db serve"]);
    }
    let plan = server.get(&format!("/plan?{NEED}")).is(200, &[]);
    assert!(!plan.body.contains("/quotes/new"), "nothing is offered that can't be done");
}

#[test]
fn an_order_goes_from_the_asking_to_the_shipping() {
    let server = shop();
    server.get("/orders").is(200, &["No order is open"]);
    let got = server.post("/orders/new", &with_need(&[("customer", " "), ("due", "2099-01-31")]));
    let page = got.is(422, &["id=\"f-customer-wrong\"", "needs a customer", "value=\"2099-01-31\""]);
    labelled("/orders/new", &page.body);
    let got = server.post("/orders/new", &with_need(&[("customer", "Creek"), ("due", "soon")]));
    got.is(422, &["id=\"f-due-wrong\"", "<code>soon</code> is no day", "value=\"Creek\""]);
    let path = order(&server, "Creek");
    assert_eq!(path, "/order/o-00001");
    let act = |fields: &[(&str, &str)]| server.post(&path, fields);
    let page = server.get(&path).is(200, &["Plan it from the shelf", "?plans=1#plans", "Creek"]);
    assert!(!page.body.contains("Choose plan 1"), "planning takes its time, so it is asked for");
    let plans = format!("{path}?plans=1");
    let page = server.get(&plans).is(200, &["Plans from what is free on the shelf", "Choose plan 1", "Creek"]);
    labelled(&plans, &page.body);
    let saw = super::server::value(&page.body, "saw");
    // A number alone may stand for another plan by now.
    act(&[("act", "choose"), ("plan", "1"), ("saw", "something else")])
        .is(422, &["is not what it was", "Choose plan 1"]);
    act(&[("act", "reserve")]).is(422, &["No build is chosen"]);
    assert_eq!(to(&act(&[("act", "choose"), ("plan", "1"), ("saw", &saw)])), path);
    assert_eq!(to(&act(&[("act", "reserve")])), path);
    let page = server.get(&path).is(200, &["2 of 2</strong> to pick", "A1", "autofocus"]);
    labelled(&path, &page.body);
    let mine: Vec<&str> = SERIALS.into_iter().filter(|s| page.body.contains(&format!("<td>{s}</td>"))).collect();
    assert_eq!(mine.len(), 2);
    let other = SERIALS.into_iter().find(|s| !mine.contains(s)).unwrap();
    act(&[("act", "pick"), ("scan", other)])
        .is(422, &["id=\"f-scan-wrong\"", "is promised to order", &format!("value=\"{other}\"")]);
    let after = to(&act(&[("act", "pick"), ("scan", &mine[0].to_lowercase())]));
    server.get(&after).is(200, &["Picked: ", mine[0], "1 of 2</strong>"]);
    act(&[("act", "pick"), ("scan", mine[0])]).is(422, &["id=\"f-scan-wrong\""]);
    act(&[("act", "built")]).is(422, &["it can't become built"]);
    let picked = to(&act(&[("act", "pick"), ("scan", mine[1])]));
    server.get(&picked).is(200, &["It is built", "aria-current=\"step\">picked"]);
    exchanged(&server, &path, other);
    act(&[("act", "built"), ("version", "1"), ("note", "kept")])
        .is(422, &["changed by somebody else", "value=\"kept\""]);
    for stage in ["built", "verified", "back", "verified", "shipped"] {
        assert_eq!(to(&act(&[("act", stage), ("note", "by hand")])), path);
    }
    let page = server.get(&path).is(200, &["aria-current=\"step\">shipped", "by hand"]);
    assert!(!page.body.contains("<button"), "a shipped order has nothing left to do");
    server.get("/orders").is(200, &["No order is open"]);
    server.get("/orders?stage=shipped&words=creek").is(200, &["O-00001", "1 order,"]);
}

/// A module is exchanged at the bench for `other`; what is wrong stands beside its field.
fn exchanged(server: &Server, path: &str, other: &str) {
    let swap = |item: &str, why: &str| {
        let fields = [("act", "swap"), ("place", "1 main-1-outer"), ("item", item), ("why", why), ("faulty", "yes")];
        server.post(path, &fields)
    };
    swap(other, "").is(422, &["id=\"f-why-wrong\"", &format!("value=\"{other}\"")]);
    swap("nowhere", "bent").is(422, &["id=\"f-item-wrong\"", "value=\"bent\"", "checked"]);
    assert_eq!(to(&swap(other, "bent")), path);
    server.get(path).is(200, &["1 module was let go", other]);
    let sheet = format!("/sheet/record?order={}", path.strip_prefix("/order/").unwrap());
    server.get(&sheet).is(200, &["Creek", &format!(">{other}</td>")]);
    server.get(&sheet.replace("record", "pick-list")).is(200, &["main-1-outer", other, "A1"]);
    server.get(&sheet.replace("record", "bench")).is(200, &["main-1-outer: 16GB 2Rx8 PC4-2666V-E"]);
}

#[test]
fn an_upgrade_tells_what_stays_and_what_moves() {
    let server = shop();
    let fields = [("customer", "Creek"), ("installed", "main-1-outer = 16GB 2Rx8 PC4-2666V-E"), ("keep", "yes")];
    let path = to(&server.post("/orders/new", &with_need(&fields)));
    assert_eq!(to(&server.post(&path, &[("act", "choose"), ("plan", "1")])), path);
    assert_eq!(to(&server.post(&path, &[("act", "reserve")])), path);
    server.get(&path).is(200, &["1 of 1</strong>"]);
    server.get("/sheet/bench?order=1").is(200, &["main-1-outer: 16GB 2Rx8 PC4-2666V-E stays", "main-2-outer: 16GB"]);
}

#[test]
fn priority_and_due_day_change_and_the_history_tells() {
    let server = shop();
    let path = order(&server, "Creek");
    let change = |priority: &str, due: &str, version: &str| {
        server.post(&path, &[("act", "change"), ("priority", priority), ("due", due), ("version", version)])
    };
    change("1", "soon", "1").is(422, &["id=\"f-due-wrong\"", "value=\"soon\"", "<option value=\"1\" selected>"]);
    change("1", "2099-01-31", "7").is(422, &["was changed by somebody else"]);
    change("4", "", "1").is(422, &["has that priority and due day already"]);
    assert_eq!(to(&change("1", "2099-01-31", "1")), path);
    let page = server.get(&path).is(200, &["priority 4 to 1; wanted by no day to 2099-01-31", "value=\"2099-01-31\""]);
    labelled(&path, &page.body);
    assert_eq!(to(&change("1", "", "2")), path);
    server.get(&path).is(200, &["wanted by 2099-01-31 to no day", "no day named"]);
}

#[test]
fn a_cancelled_order_says_why_and_lets_go() {
    let server = shop();
    let path = order(&server, "Creek");
    server.post(&path, &[("act", "choose"), ("plan", "1")]);
    server.post(&path, &[("act", "reserve")]);
    server.post(&path, &[("act", "cancel"), ("reason", " ")]).is(422, &["id=\"f-reason-wrong\""]);
    assert_eq!(to(&server.post(&path, &[("act", "cancel"), ("reason", "bought elsewhere")])), path);
    server.get(&path).is(200, &["cancelled", "bought elsewhere", "2 modules were let go"]);
    server.get("/order/77").is(404, &["There is no order 77"]);
    server.post(&path, &[("act", "dance")]).is(422, &["is nothing that can be done"]);
}

#[test]
fn a_quote_is_made_revised_and_becomes_an_order() {
    let server = shop();
    let page =
        server.get(&format!("/quotes/new?{NEED}&from=shelf")).is(200, &["16 GiB 2Rx8 UDIMM 2666 used; 62.00 EUR"]);
    labelled("/quotes/new", &page.body);
    let saw = super::server::value(&page.body, "saw");
    let write = |more: &[(&str, &str)]| {
        let base = [("act", "write"), ("from", "shelf"), ("plan", "1"), ("saw", saw.as_str())];
        server.post("/quotes/new", &with_need(&[&base, more].concat()))
    };
    let wrong = [("customer", ""), ("margin", "1,5"), ("days", "-3")];
    write(&wrong)
        .is(422, &["id=\"f-customer-wrong\"", "id=\"f-margin-wrong\"", "id=\"f-days-wrong\"", "value=\"1,5\""]);
    let other = [("act", "write"), ("from", "shelf"), ("plan", "1"), ("saw", "1=other"), ("customer", "Creek")];
    let got = server.post("/quotes/new", &with_need(&other));
    got.is(422, &["id=\"f-plan-wrong\"", "is not what it was", "value=\"Creek\""]);
    assert_eq!(to(&write(&[("customer", "Bank")])), "/quote/q-00001");
    assert_eq!(to(&write(&[("customer", "Creek"), ("margin", "10"), ("days", "30")])), "/quote/q-00002");
    let page = server.get("/quote/2").is(200, &["net 68.20 EUR", "Prices and stock are as quoted", "No. Q-00002"]);
    labelled("/quote/2", &page.body);
    server.get("/quote/2?as=pdf").is(200, &["%PDF-"]);
    // A revision begins as the quote was made: from the shelf, at the quoted build.
    let form = server
        .get("/quotes/new?revise=Q-00002")
        .is(200, &["Planned from what is free on the shelf", "name=\"settings\""]);
    assert!(form.body.contains("quote revise Q-00002</") && !form.body.contains("no longer among"), "{}", form.body);
    let revised = [("act", "write"), ("revise", "Q-00002"), ("plan", "1"), ("margin", "20")];
    assert_eq!(to(&server.post("/quotes/new", &revised)), "/quote/q-00002");
    let told = [
        "net 74.40 EUR",
        "superseded",
        "No. Q-00002 version 2",
        "What version 2 changed",
        "Net: 68.20 EUR; now 74.40 EUR",
    ];
    server.get("/quote/2").is(200, &told);
    server.get("/quote/2?version=1").is(200, &["This is version 1", "68.20"]);
    // Five of six modules go: what changed is told beside the form, and asks for an explicit word.
    for n in 1..=5 {
        assert_eq!(server.post(&format!("/stock/item/{n}"), &[("act", "hold"), ("why", "dust")]).status, 303);
    }
    let changed = ["no longer stands as it was", "are no longer to be had", "Order it anyway"];
    server.get("/quote/2").is(200, &changed);
    server
        .post("/quote/2", &[("act", "order"), ("due", "2099-01-31")])
        .is(422, &[&changed[..], &["value=\"2099-01-31\""]].concat());
    server.post("/quote/2", &[("act", "order"), ("due", "soon")]).is(422, &["id=\"f-due-wrong\""]);
    let path = to(&server.post("/quote/2", &[("act", "order"), ("anyway", "yes"), ("priority", "1")]));
    server.get(&path).is(200, &["74.40 EUR", "href=\"/quote/Q-00002?version=2\"", "aria-current=\"step\">chosen"]);
    server.get("/quotes?state=ordered").is(200, &["Q-00002", "href=\"/order/O-00001\""]);
    server.get("/quote/2").is(200, &["It became order", "href=\"/order/O-00001\""]);
    server.post(&path, &[("act", "reserve")]).is(422, &["the shelf lacks"]);
    // What was looked at is what is withdrawn or ordered.
    let stale = ["was changed by somebody else since you looked at it"];
    server.post("/quote/1", &[("act", "withdraw"), ("version", "7")]).is(422, &stale);
    server.post("/quote/1", &[("act", "order"), ("version", "7")]).is(422, &stale);
    assert_eq!(to(&server.post("/quote/1", &[("act", "withdraw"), ("reason", "")])), "/quote/q-00001");
    server.get("/quotes?state=withdrawn").is(200, &["Q-00001", "1 quote."]);
    server.post("/quote/1", &[("act", "order")]).is(422, &[]);
    server.get("/quote/9").is(404, &["There is no quote"]);
    let prices = server.get("/quotes/prices").is(200, &["None are kept", "None are set", "None was taken in"]);
    labelled("/quotes/prices", &prices.body);
    server.get("/quotes/prices?day=soon").is(422, &["<code>soon</code>"]);
}

#[test]
fn a_proposal_is_accepted_by_order_and_then_as_a_whole() {
    let server = shop();
    server.get("/allocate").is(200, &["There is no proposal yet"]);
    server.post("/allocate", &[("act", "propose")]).is(422, &["No order waits"]);
    let paths = ["Creek", "Bank", "Shoal", "Bight"].map(|name| order(&server, name));
    assert_eq!(to(&server.post("/allocate", &[("act", "propose")])), "/allocate");
    let page = server
        .get("/allocate")
        .is(200, &["3 of 4 orders served", "Orders that go without", "To buy", "Accept all of it"]);
    labelled("/allocate", &page.body);
    server.post("/allocate", &[("act", "some"), ("number", "1")]).is(422, &["No order is ticked"]);
    // Found by a part of the customer's name or of the number; then with the reasons on the page.
    let page = server.get("/allocate?words=sho").is(200, &["1 order found.", "Shoal"]);
    assert!(!page.body.contains("Creek") && page.body.contains("3 of 4 orders served"), "{}", page.body);
    server.get("/allocate?words=o-0000").is(200, &["1 to 3 of 3 orders"]);
    server.get("/allocate?words=soup").is(200, &["No order of this proposal is like that", "Orders that go without"]);
    server.get("/allocate?skip=50").is(200, &["No order of this proposal is like that"]);
    let one = [("act", "some"), ("number", "1"), ("order", "O-00001")];
    assert_eq!(to(&server.post("/allocate?words=creek&skip=0", &one)), "/allocate?words=creek&skip=0&accepted=1");
    let page =
        server.get("/allocate").is(200, &["partly accepted", "Accept the ticked orders", "Accept the rest of it"]);
    assert!(!page.body.contains("Accept all of it"), "one of its orders is served already");
    server.get(&paths[0]).is(200, &["aria-current=\"step\">reserved"]);
    server.post("/allocate", &one).is(422, &[]);
    assert_eq!(to(&server.post("/allocate", &[("act", "all"), ("number", "1")])), "/allocate?accepted=2");
    server.get("/orders?stage=reserved").is(200, &["3 orders"]);
}

#[test]
fn hostile_words_stay_words() {
    let server = shop();
    let sent: String = form_urlencoded::byte_serialize(HOSTILE.as_bytes()).collect();
    let part = sent.replace('+', "%20");
    let path = order(&server, HOSTILE);
    let quoted = [("act", "write"), ("customer", HOSTILE), ("plan", HOSTILE), ("saw", HOSTILE), ("margin", HOSTILE)];
    let asked = [
        server.get(&path),
        server.get("/orders"),
        server.get(&format!("/orders?words={sent}&stage={sent}&skip={sent}")),
        server.get(&format!("/order/{part}?plans={sent}&picked={sent}")),
        server.get(&format!("/quotes?words={sent}&state={sent}")),
        server.get(&format!("/quote/{part}?version={sent}")),
        server.get(&format!("/quotes/new?{NEED}&pick={sent}&from={sent}&revise={sent}")),
        server.get(&format!("/sheet/bench?order={sent}&date={sent}")),
        server.get(&format!("/allocate?accepted={sent}&skip={sent}")),
        server.post(&path, &[("act", HOSTILE), ("version", HOSTILE)]),
        server.post(&path, &[("act", "choose"), ("plan", HOSTILE), ("saw", HOSTILE)]),
        server.post(&path, &[("act", "pick"), ("scan", HOSTILE)]),
        server.post(&path, &[("act", "swap"), ("place", HOSTILE), ("item", HOSTILE), ("why", HOSTILE)]),
        server.post("/quotes/new", &with_need(&quoted)),
        server.post("/allocate", &[("act", "some"), ("number", HOSTILE), ("order", HOSTILE)]),
    ];
    for got in asked {
        assert!((200..500).contains(&got.status), "{}", got.status);
        assert!(!got.body.contains("<script>alert") && !got.body.contains("\"'&\u{202e}"), "{}", got.body);
    }
}
