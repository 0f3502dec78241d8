//! Quotes from the shelf: versions, the paper that prints the same again, and what changed before the order.

use crate::program::Place;

pub const NEED: &str = r#"board = "dunlin-2s6"
processors = ["ddr4-6ch-2933", "ddr4-6ch-2933"]
firmware = "2.14"
machines = 2
capacity = { least = "384 GiB", most = "400 GiB" }
modules = { kinds = ["RDIMM"], capacities = ["32 GiB"], rates = [2933] }
"#;

pub const SHOP: &str =
    "format = 1\nname = \"Knot Servers\"\nmargin = \"10 %\"\ntax = { name = \"VAT\", rate = \"19 %\" }\n";

/// A shop with 30 used modules at 42.50 EUR, and a quote on 24 of them at 40 % on top.
pub fn shop() -> Place {
    let place = Place::new();
    place.write("need.toml", NEED);
    place.write("shop.toml", SHOP);
    place.write("tray.csv", "label,count,condition,cost\n32GB 2Rx4 PC4-2933Y-R,30,used,42.50 EUR\n");
    ok(&place, &["stock", "intake", "tray.csv"]);
    ok(&place, &["quote", "margin", "used", "40"]);
    let said =
        ok(&place, &["quote", "new", "need.toml", "--customer", "Plover", "--from-stock", "--shop", "shop.toml"]);
    // 24 x 59.50, and 19 % on that.
    assert!(said.contains("net 1428.00 EUR, total 1699.32 EUR"), "{said}");
    place
}

pub fn run(place: &Place, args: &[&str]) -> crate::program::Told {
    let all: Vec<&str> = ["--store", "shop.db"].into_iter().chain(args.iter().copied()).collect();
    place.run(&all)
}

pub fn ok(place: &Place, args: &[&str]) -> String {
    let ran = run(place, args);
    assert_eq!(ran.code, Some(0), "{args:?}: {}{}", ran.out, ran.err);
    ran.out
}

pub fn refused(place: &Place, args: &[&str]) -> String {
    let ran = run(place, args);
    assert_eq!(ran.code, Some(2), "{args:?}: {}{}", ran.out, ran.err);
    ran.err
}

#[test]
fn a_paper_prints_the_same_after_a_revision_and_after_prices_moved() {
    let place = shop();
    let before = ok(&place, &["quote", "paper", "1"]);
    for words in ["No. Q-00001", "Knot Servers", "59.50 EUR", "1428.00 EUR", "VAT 19 %", "1699.32 EUR"] {
        assert!(before.contains(words), "{words}: {before}");
    }
    ok(&place, &["quote", "paper", "1", "--pdf", "before.pdf"]);
    ok(&place, &["quote", "margin", "used ddr4", "50"]);
    let revised = ok(&place, &["quote", "revise", "1", "--from-stock", "--shop", "shop.toml"]);
    assert!(revised.contains("version 2") && revised.contains("net 1530.00 EUR"), "{revised}");
    assert_eq!(ok(&place, &["quote", "paper", "1", "--version", "1"]), before);
    ok(&place, &["quote", "paper", "1", "--version", "1", "--pdf", "after.pdf"]);
    ok(&place, &["quote", "paper", "1", "--pdf", "second.pdf"]);
    let bytes = |name: &str| std::fs::read(place.path().join(name)).unwrap();
    assert!(bytes("before.pdf") == bytes("after.pdf") && bytes("before.pdf") != bytes("second.pdf"));
    let shown: serde_json::Value = serde_json::from_str(&ok(&place, &["quote", "show", "1", "--json"])).unwrap();
    assert_eq!((&shown["version"], &shown["versions"][0]["state"]), (&2.into(), &"superseded".into()));
}

#[test]
fn a_changed_price_or_a_bare_shelf_needs_a_word_and_the_quoted_price_holds() {
    let place = shop();
    place.write("prices.csv", "label,condition,price\n32GB 2Rx4 PC4-2933Y-R,used,60 EUR\n");
    ok(&place, &["quote", "prices", "prices.csv", "--valid-from", "2026-01-01"]);
    let changed = refused(&place, &["quote", "order", "1"]);
    assert!(changed.contains("quoted at 1428.00 EUR, today 1440.00 EUR") && changed.contains("--anyway"), "{changed}");
    ok(&place, &["stock", "mark", "1", "held back", "--why", "a flood"]);
    let gone = refused(&place, &["quote", "order", "1"]);
    assert!(gone.contains("24 of 24 DDR4 32 GiB 2Rx4 RDIMM 2933 used are no longer to be had"), "{gone}");
    let ordered = ok(&place, &["quote", "order", "1", "--anyway"]);
    assert!(ordered.contains("order O-00001 for Plover: chosen") && ordered.contains("1428.00 EUR"), "{ordered}");
    assert!(refused(&place, &["quote", "order", "1", "--anyway"]).contains("is ordered"));
    assert!(refused(&place, &["quote", "withdraw", "1"]).contains("is ordered"));
}

#[test]
fn nothing_changed_is_ordered_at_once_and_a_withdrawn_quote_never() {
    let place = shop();
    ok(&place, &["quote", "new", "need.toml", "--customer", "Knot", "--from-stock"]);
    ok(&place, &["quote", "withdraw", "2", "--why", "called off"]);
    assert!(refused(&place, &["quote", "order", "2", "--anyway"]).contains("is withdrawn"));
    ok(&place, &["quote", "order", "Q-00001"]);
    let list = ok(&place, &["quote", "list", "--state", "ordered"]);
    assert!(list.contains("Q-00001") && !list.contains("Q-00002"), "{list}");
    let table = ok(&place, &["quote", "list", "plover", "--csv"]);
    assert_eq!(table.lines().count(), 2, "{table}");
    assert!(table.contains("Q-00001,1,ordered,Plover,") && table.contains(",2,1428.00,1699.32,EUR"), "{table}");
}

#[test]
fn a_faulty_price_list_is_told_row_by_row_and_not_taken() {
    let place = shop();
    place.write("bad.csv", "label,condition,price\n32GB 2Rx4 PC4-2933Y-R,usd,60 EUR\nX,new,1 EUR\n");
    let told = refused(&place, &["quote", "prices", "bad.csv", "--valid-from", "2026-01-01"]);
    assert!(told.contains("line 2: `usd`") && told.contains("line 3: `X`"), "{told}");
    assert_eq!(ok(&place, &["quote", "prices"]), "label,condition,price,supplier\n");
    assert!(refused(&place, &["quote", "margin", "cheap", "5"]).contains("no class"));
    assert!(refused(&place, &["quote", "margin", "new drd5", "5"]).contains("at `drd5` it needs a generation"));
    assert!(refused(&place, &["quote", "margin", "new ddr5 rdimm soup", "5"]).contains("nothing more"));
    assert!(refused(&place, &["quote", "margin", "", "5"]).contains("at its end it needs new or used"));
    for percent in ["5 percent", "-5", "1,5", "1000.01", "NaN", ""] {
        assert!(refused(&place, &["quote", "margin", "new", "--", percent]).contains("no percentage"), "{percent}");
    }
}

#[test]
fn tables_hold_everything_and_what_is_changed_is_told_as_json() {
    let place = shop();
    for _ in 0..2 {
        ok(&place, &["quote", "new", "need.toml", "--customer", "Knot", "--from-stock", "--shop", "shop.toml"]);
    }
    let rows = |text: &str| text.lines().count() - 1;
    assert_eq!(rows(&ok(&place, &["quote", "list", "--csv"])), 3);
    assert_eq!(rows(&ok(&place, &["quote", "list", "plover", "--csv"])), 1);
    assert!(run(&place, &["quote", "list", "--csv", "--most", "1"]).err.contains("cannot be used with"));
    let json = |args: &[&str]| -> serde_json::Value { serde_json::from_str(&ok(&place, args)).unwrap() };
    let withdrawn = json(&["quote", "withdraw", "3", "--json"]);
    assert_eq!((&withdrawn["number"], &withdrawn["state"]), (&"Q-00003".into(), &"withdrawn".into()));
    let margin = json(&["quote", "--date", "2026-01-05", "margin", "new ddr4", "12.5", "--json"]);
    assert_eq!((&margin["class"], &margin["valid_from"]), (&"new ddr4".into(), &"2026-01-05".into()));
    place.write("prices.csv", "label,condition,price\n32GB 2Rx4 PC4-2933Y-R,used,60 EUR\n");
    let took = json(&["quote", "prices", "prices.csv", "--valid-from", "2026-02-01", "--json"]);
    assert_eq!((&took["prices"], &took["valid_until"]), (&1.into(), &serde_json::Value::Null));
    let on = |day| json(&["quote", "--date", day, "prices", "--json"])["prices"].as_array().unwrap().len();
    assert_eq!((on("2026-01-31"), on("2026-02-01")), (0, 1));
    ok(&place, &["order", "new", "need.toml", "--customer", "Curlew"]);
    ok(&place, &["quote", "order", "1", "--anyway"]);
    assert_eq!(rows(&ok(&place, &["order", "list", "--csv"])), 2);
    ok(&place, &["order", "reserve", "2"]);
    let shown = json(&["order", "show", "2", "--json"]);
    let slot = shown["modules"][0]["slot"].as_str().unwrap();
    let swap = ["order", "swap", "2", "--slot", slot, "--item", "1", "--why", "a scratch", "--json"];
    assert_eq!(json(&swap)["item"]["item"], 1);
    let picked = json(&["order", "pick", "2", "1", "--json"]);
    assert_eq!((&picked["picked"], &picked["left"]), (&1.into(), &23.into()));
    let picked = json(&["order", "pick", "2", "--all", "--json"]);
    assert_eq!((&picked["left"], &picked["order"]["stage"]), (&0.into(), &"picked".into()));
}

#[test]
fn a_stated_day_is_when_it_was_done() {
    let place = shop();
    let new =
        ["quote", "--date", "2026-03-02", "new", "need.toml", "--customer", "Knot", "--valid-days", "7", "--json"];
    let view: serde_json::Value = serde_json::from_str(&ok(&place, &new)).unwrap();
    assert_eq!((&view["issued"], &view["valid_until"]), (&"2026-03-02".into(), &"2026-03-09".into()));
    assert_eq!(view["at"], "2026-03-02T12:00:00Z");
    let show = |day| -> serde_json::Value {
        serde_json::from_str(&ok(&place, &["quote", "--date", day, "show", "2", "--json"])).unwrap()
    };
    assert_eq!((&show("2026-03-09")["expired"], &show("2026-03-10")["expired"]), (&false.into(), &true.into()));
    assert!(refused(&place, &["quote", "--date", "2026-03-10", "order", "2", "--anyway"]).contains("has expired"));
    assert!(run(&place, &["quote", "--date", "2026-02-30", "list"]).err.contains("2026-02-30"));
}
