//! The shop's API over plain HTTP: every address of its document with the right token, with each wrong one, and misused.

mod walk;

use crate::pages::server::{Got, Server};
use serde_json::{Value, json};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

const NEED: &str = r#"board = "dunlin-2s6"
processors = ["ddr4-6ch-2933", "ddr4-6ch-2933"]
firmware = "2.14"
capacity = { least = "384 GiB", most = "400 GiB" }
modules = { kinds = ["RDIMM"], capacities = ["32 GiB"], rates = [2933] }
"#;
const LABEL: &str = "32GB 2Rx4 PC4-2933Y-RB2";

/// A shop that is served, with a token for each scope and one that was revoked.
struct Shop {
    server: Server,
    document: Value,
    tokens: BTreeMap<String, String>,
    revoked: String,
    called: RefCell<BTreeSet<String>>,
}

/// An address of the document.
struct Operation<'a> {
    method: String,
    path: &'a str,
    /// All that it needs, with commas between.
    scope: String,
    told: &'a Value,
}

impl Shop {
    fn new() -> Self {
        let server = Server::with_store();
        let told = server.call("GET", "/api/v1/openapi.json", None, &[], b"");
        assert_eq!(told.status, 200, "{}", told.head);
        let document: Value = serde_json::from_str(&told.body).unwrap();
        let token = |name: &str, scope: &str| {
            let told = server.place.run(&["--store", "shop.db", "store", "token", "new", name, "--scope", scope]);
            assert_eq!(told.code, Some(0), "{}", told.err);
            told.out.trim().to_string()
        };
        let all = ["stock", "orders", "quotes", "allocate"].map(|t| ["read", "write"].map(|w| format!("{t}:{w}")));
        let both = "quotes:write,orders:write".to_string();
        let each = all.as_flattened().iter().chain([&both]);
        let tokens = each.map(|s| (s.clone(), token(&format!("for {s}"), s))).collect();
        let revoked = token("former", &all.as_flattened().join(","));
        let ended = server.place.run(&["--store", "shop.db", "store", "token", "revoke", "former"]);
        assert_eq!(ended.code, Some(0), "{}", ended.err);
        Self { server, document, tokens, revoked, called: RefCell::default() }
    }
    fn operations(&self) -> BTreeMap<&str, Operation<'_>> {
        let ways = self.document["paths"].as_object().unwrap().iter().flat_map(|(path, ways)| {
            ways.as_object().unwrap().iter().map(move |(method, told)| {
                let scopes = told["security"][0]["token"].as_array().map(Vec::as_slice).unwrap_or_default();
                let scope = scopes.iter().map(|s| s.as_str().unwrap()).collect::<Vec<_>>().join(",");
                let operation = Operation { method: method.to_uppercase(), path, scope, told };
                (told["operationId"].as_str().unwrap(), operation)
            })
        });
        ways.filter(|(_, o)| !o.scope.is_empty()).collect()
    }
    /// Calls it with no token, with each that may not, and at last with the one that may.
    #[track_caller]
    fn call(&self, name: &str, part: &str, body: &Value, status: u16) -> Value {
        let operations = self.operations();
        let operation = operations.get(name).unwrap_or_else(|| panic!("{name} is not in the document"));
        let path = match operation.path.split_once('{') {
            Some((before, after)) => format!("{before}{part}{}", after.split_once('}').unwrap().1),
            None => operation.path.to_string(),
        };
        let body = if operation.method == "POST" { body.to_string() } else { String::new() };
        let ask = |token: Option<&str>| self.server.call(&operation.method, &path, token, &[], body.as_bytes());
        let nobody = ask(None);
        problem(&nobody, 401);
        assert!(nobody.head.contains("www-authenticate: bearer"), "{}", nobody.head);
        problem(&ask(Some(&self.revoked)), 401);
        let needed = || operation.scope.split(',');
        for (scope, token) in self.tokens.iter().filter(|(s, _)| !needed().all(|n| s.split(',').any(|s| s == n))) {
            let told = problem(&ask(Some(token)), 403);
            assert!(needed().all(|n| told["detail"].as_str().unwrap().contains(n)), "{name} by {scope}: {told}");
        }
        let got = ask(Some(&self.tokens[&operation.scope]));
        assert_eq!(got.status, status, "{name}: {}", got.body);
        assert!(got.head.contains("content-type: application/json"), "{}", got.head);
        self.declared(name, &got);
        self.called.borrow_mut().insert(name.to_string());
        serde_json::from_str(&got.body).unwrap()
    }
    #[track_caller]
    fn declared(&self, name: &str, got: &Got) {
        let told = self.operations().remove(name).unwrap().told;
        assert!(told["responses"].get(got.status.to_string()).is_some(), "{name}: {} is not declared", got.status);
    }
    /// With the right token and further lines of the head.
    fn ask(&self, method: &str, path: &str, scope: &str, lines: &[&str], body: &str) -> Got {
        self.server.call(method, path, Some(&self.tokens[scope]), lines, body.as_bytes())
    }
    fn stocked(&self) {
        let row = |serial: &str| json!({ "label": LABEL, "serial": serial, "cost": "42.50 EUR", "bin": "a1" });
        let lot = json!({ "label": LABEL, "count": 60, "condition": "used", "cost": "40 EUR" });
        let took = self.call("takeIn", "", &json!({ "items": [row("AA01"), row("AA02"), lot] }), 201);
        assert_eq!((&took["modules"], took["items"].as_array().unwrap().len()), (&62.into(), 3));
    }
}

#[track_caller]
fn problem(got: &Got, status: u16) -> Value {
    assert_eq!(got.status, status, "{}\n{}", got.head, got.body);
    assert!(got.head.contains("content-type: application/problem+json"), "{}", got.head);
    let told: Value = serde_json::from_str(&got.body).unwrap_or_else(|e| panic!("{e}: {}", got.body));
    assert_eq!(told["status"], status);
    assert!(!told["detail"].as_str().unwrap().is_empty() && !told["hint"].as_str().unwrap().is_empty(), "{told}");
    told
}

#[test]
fn every_address_answers_the_right_token_only() {
    let shop = Shop::new();
    walk::all(&shop);
    let all: BTreeSet<String> = shop.operations().keys().map(ToString::to_string).collect();
    let called = shop.called.borrow();
    assert_eq!(all.difference(&called).collect::<Vec<_>>(), Vec::<&String>::new(), "never called");
}

#[test]
fn what_somebody_else_changed_is_not_written_over() {
    let shop = Shop::new();
    shop.stocked();
    let path = "/api/v1/stock/items/1/move";
    let shown = shop.ask("GET", "/api/v1/stock/items/1", "stock:read", &[], "");
    assert!(shown.head.contains("etag: \"1\""), "{}", shown.head);
    let to = |lines: &[&str], body: &str| shop.ask("POST", path, "stock:write", lines, body);
    let moved = to(&["If-Match: \"1\""], r#"{"bin":"B1"}"#);
    assert!(moved.status == 200 && moved.head.contains("etag: \"2\""), "{}", moved.head);
    problem(&to(&["If-Match: \"1\""], r#"{"bin":"B2"}"#), 412);
    problem(&to(&[], r#"{"bin":"B2","version":1}"#), 409);
    problem(&to(&["If-Match: \"2\""], r#"{"bin":"B2","version":1}"#), 400);
    problem(&to(&["If-Match: 2"], r#"{"bin":"B2"}"#), 400);
    problem(&shop.ask("POST", "/api/v1/orders", "orders:write", &["If-Match: \"1\""], "{}"), 400);
    let now = shop.ask("GET", "/api/v1/stock/items/1", "stock:read", &[], "");
    assert!(now.body.contains("\"bin\": \"B1\""), "{}", now.body);
    shop.call("newOrder", "", &json!({ "need": NEED, "customer": "Plover" }), 201);
    let choose = "/api/v1/orders/1/choose";
    problem(&shop.ask("POST", choose, "orders:write", &["If-Match: \"9\""], r#"{"plan":1}"#), 412);
    problem(&shop.ask("POST", "/api/v1/orders/1/reserve", "orders:write", &[], "{}"), 409);
    // A conflict that is not one of versions stays 409, whatever If-Match says.
    problem(&shop.ask("POST", "/api/v1/orders/1/reserve", "orders:write", &["If-Match: \"1\""], "{}"), 409);
    let swap = r#"{"machine":1,"slot":"west-1-outer","item":"AA01","why":"x"}"#;
    problem(&shop.ask("POST", "/api/v1/orders/1/swap", "orders:write", &["If-Match: \"9\""], swap), 412);
    problem(&shop.ask("POST", "/api/v1/orders/1/swap", "orders:write", &[], swap), 409);
    problem(&shop.ask("POST", "/api/v1/orders/1/pick", "orders:write", &["If-Match: \"9\""], "{}"), 412);
    problem(&shop.ask("POST", "/api/v1/orders/1/pick", "orders:write", &[], "{}"), 409);
    let far = format!(r#"{{"stage":"built","version":{}}}"#, i64::MAX);
    problem(&shop.ask("POST", "/api/v1/orders/1/step", "orders:write", &[], &far), 409);
}

#[test]
fn a_list_goes_in_whole_or_not_at_all_and_each_bad_row_is_told() {
    let shop = Shop::new();
    let row = |label: &str, serial: &str, cost: &str| json!({ "label": label, "serial": serial, "cost": cost });
    let rows = [
        row(LABEL, "AA01", "1 EUR"),
        row("soup", "AA02", "1 EUR"),
        row(LABEL, "AA03", "much"),
        row(LABEL, "AA01", "1 EUR"),
    ];
    let send = |items: &[Value]| {
        shop.ask("POST", "/api/v1/stock/items", "stock:write", &[], &json!({ "items": items }).to_string())
    };
    let told = problem(&send(&rows), 422);
    let at: Vec<&str> = told["errors"].as_array().unwrap().iter().map(|e| e["pointer"].as_str().unwrap()).collect();
    assert_eq!(at, ["/items/1", "/items/2", "/items/3"], "{told}");
    let empty =
        problem(&send(&[row(LABEL, "AA01", "1 EUR"), json!({ "cost": "1 EUR" }), row("a\nb", "", "1 EUR")]), 422);
    assert_eq!(
        (&empty["errors"][0]["pointer"], &empty["errors"][1]["pointer"]),
        (&"/items/1".into(), &"/items/2".into())
    );
    problem(&send(&[]), 422);
    assert_eq!(shop.call("listItems", "", &json!({}), 200)["items"], json!([]), "nothing went in");
    assert_eq!(send(&rows[..1]).status, 201);
    problem(&send(&rows[..1]), 422);
}

#[test]
fn no_cookie_and_no_token_of_the_pages_lets_anybody_in() {
    let shop = Shop::new();
    let path = "/api/v1/orders";
    let token = &shop.tokens["orders:read"];
    for lines in [
        format!("Cookie: slotwright={token}"),
        format!("Authorization: Basic {token}"),
        format!("Authorization: Bearer {token}x"),
        format!("Authorization: Bearer {token}\r\nAuthorization: Bearer {token}"),
        "Authorization: Bearer".to_string(),
    ] {
        problem(&shop.server.call("GET", path, None, &[&lines], b""), 401);
    }
    assert_eq!(shop.server.call("GET", path, None, &[&format!("authorization: bearer {token}")], b"").status, 200);
    problem(&shop.server.call("GET", &format!("{path}?token={token}"), None, &[], b""), 401);
    // A browser's form of another page has no bearer, whatever else it has.
    let form = ["Content-Type: text/plain", "Origin: http://elsewhere.example"];
    problem(&shop.server.call("POST", path, None, &form, b"{}"), 401);
    // The API's token opens no page's form.
    let form = ["Content-Type: application/x-www-form-urlencoded", "Origin: http://elsewhere.example"];
    assert_eq!(shop.server.call("POST", "/stock/intake", Some(token), &form, b"a=b").status, 403);
}

#[test]
fn misuse_is_a_problem_and_never_our_fault() {
    let shop = Shop::new();
    shop.stocked();
    let deep = "[".repeat(10_000);
    let bodies = [
        "",
        "soup",
        "[]",
        "null",
        "7",
        "{",
        r#"{"unknown":1}"#,
        r#"{"version":"x","version":1}"#,
        &deep,
        "\u{feff}{}",
        "\"\\ud800\"",
    ];
    let parts = ["0", "-1", "99999999999999999999", "%00", "%ff", "..%2f..", "O-99999", "%F0%9F%A6%86", "'--"];
    for (name, operation) in shop.operations() {
        let path = |part: &str| match operation.path.split_once('{') {
            Some((before, after)) => format!("{before}{part}{}", after.split_once('}').unwrap().1),
            None => operation.path.to_string(),
        };
        let misused = |got: &Got, what: &str| {
            assert!((400..500).contains(&got.status), "{name}, {what}: {} {}", got.status, got.body);
            problem(got, got.status);
            if got.status != 404 && got.status != 405 {
                shop.declared(name, got);
            }
        };
        let post = operation.method == "POST";
        for body in bodies.iter().filter(|_| post) {
            misused(&shop.ask("POST", &path("1"), &operation.scope, &[], body), body);
        }
        let properties = operation.told.pointer("/requestBody/content/application~1json/schema/$ref");
        let schema = properties.and_then(|r| shop.document.pointer(r.as_str().unwrap().trim_start_matches('#')));
        for key in schema.iter().flat_map(|s| s["properties"].as_object().unwrap().keys()) {
            for value in [json!({ "x": 1 }), json!([[1]]), json!(-1.5), json!(1e300), json!("a\u{0}b")] {
                let body = json!({ key.as_str(): value }).to_string();
                misused(&shop.ask("POST", &path("1"), &operation.scope, &[], &body), &body);
            }
        }
        for part in parts.iter().filter(|_| operation.path.contains('{')) {
            misused(
                &shop.ask(&operation.method, &path(part), &operation.scope, &[], if post { "{}" } else { "" }),
                part,
            );
        }
        if post {
            misused(&shop.ask("POST", &path("1"), &operation.scope, &["Content-Type: text/plain"], "{}"), "text");
            misused(&shop.ask("POST", &format!("{}?x=1", path("1")), &operation.scope, &[], "{}"), "query");
        }
        misused(&shop.ask("DELETE", &path("1"), &operation.scope, &[], ""), "DELETE");
    }
    let large = format!("{{\"why\":\"{}\"}}", "x".repeat(17 << 20));
    problem(&shop.ask("POST", "/api/v1/orders/1/cancel", "orders:write", &[], &large), 413);
    for query in ["most=0", "most=1001", "skip=x", "words=%00", "state=soup", "x=1", "most=1&most=2"] {
        problem(&shop.ask("GET", &format!("/api/v1/stock/items?{query}"), "stock:read", &[], ""), 400);
    }
    // Values without their names.
    problem(&shop.ask("POST", "/api/v1/allocations", "allocate:write", &[], "[true]"), 422);
    let row = json!({ "items": [[LABEL, "", "", "", "", "", 1, "used", "", "1 EUR", "", "", "", ""]] }).to_string();
    problem(&shop.ask("POST", "/api/v1/stock/items", "stock:write", &[], &row), 422);
    for path in ["/api", "/api/", "/api/v1", "/api/v2/orders", "/api/v1/orders/", "/api/v1/orders/1/2/3"] {
        problem(&shop.server.call("GET", path, None, &[], b""), 404);
    }
    let listed = shop.ask("GET", "/api/v1/stock/items?skip=4294967295", "stock:read", &[], "");
    assert_eq!(listed.status, 200, "{}", listed.body);
}

#[test]
fn without_a_store_the_document_is_there_and_nothing_else() {
    let server = Server::bare();
    assert_eq!(server.call("GET", "/api/v1/openapi.json", None, &[], b"").status, 200);
    let told = problem(&server.call("GET", "/api/v1/orders", Some("x"), &[], b""), 503);
    assert!(told["hint"].as_str().unwrap().contains("--store"), "{told}");
}

#[test]
fn tokens_are_listed_without_their_secret() {
    let shop = Shop::new();
    shop.call("listOrders", "", &json!({}), 200);
    let run = |args: &[&str]| shop.server.place.run(&[&["--store", "shop.db", "store", "token"], args].concat());
    let listed = run(&["list", "--json"]);
    let tokens = listed.json()["tokens"].as_array().unwrap().clone();
    assert_eq!(tokens.len(), 10);
    assert!(shop.tokens.values().all(|secret| !listed.out.contains(secret)));
    let of = |name: &str| tokens.iter().find(|t| t["name"] == name).unwrap();
    assert!(of("for orders:read")["used"].is_string() && of("former")["revoked"].is_string());
    assert_eq!(of("for stock:write")["scopes"], json!(["stock:write"]));
    let wrong = run(&["new", "x", "--scope", "stock:eat"]);
    assert!(wrong.code == Some(2) && wrong.err.contains("stock:read, stock:write"), "{}", wrong.err);
    assert!(run(&["new", "former", "--scope", "stock:read"]).err.contains("already"));
    let made = run(&["new", "till", "--scope", "stock:read,orders:read", "--json"]).json();
    assert_eq!(made["secret"].as_str().unwrap().len(), 64);
}
