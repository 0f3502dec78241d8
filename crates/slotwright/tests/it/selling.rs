//! What a quote keeps from version to version, and the settings, prices and dates that it is made with.

use crate::program::Place;
use crate::quotes::{NEED, SHOP, ok, refused, run, shop};
use serde_json::Value;

fn json(place: &Place, args: &[&str]) -> Value {
    let all: Vec<&str> = args.iter().copied().chain(["--json"]).collect();
    serde_json::from_str(&ok(place, &all)).unwrap()
}

fn lines(value: &Value) -> Vec<&str> {
    value.as_array().unwrap().iter().map(|v| v.as_str().unwrap()).collect()
}

#[test]
fn a_revision_keeps_what_it_does_not_name() {
    let place = shop();
    let was = json(&place, &["quote", "show", "1"]);
    let revised = json(&place, &["quote", "revise", "1"]);
    assert_eq!(revised["version"], 2);
    for same in ["net", "total", "build"] {
        assert_eq!(revised[same], was[same], "{same}");
    }
    assert_eq!(lines(&revised["changes"]), ["net: 1428.00 EUR, as before", "total: 1699.32 EUR, as before"]);
    assert_eq!(lines(&revised["notes"]), [""; 0]);
    let paper = ok(&place, &["quote", "paper", "1"]);
    assert!(paper.contains("Knot Servers") && paper.contains("VAT 19 %"), "{paper}");
    // Other settings, only where they are asked for.
    place.write("other.toml", &SHOP.replace("19 %", "7 %").replace("Knot Servers", "Knot and Sons"));
    ok(&place, &["store", "settings", "other.toml"]);
    assert_eq!(json(&place, &["quote", "revise", "1"])["total"], was["total"]);
    let other = json(&place, &["quote", "revise", "1", "--settings-now", "--valid-days", "3"]);
    assert_eq!(other["total"]["amount"], "1527.96");
    let changes = lines(&other["changes"]).join("\n");
    for told in ["shop: Knot Servers; now Knot and Sons", "tax: VAT 19 %; now VAT 7 %", "net: 1428.00 EUR, as before",
        "total: 1699.32 EUR; now 1527.96 EUR", "valid until: "] {
        assert!(changes.contains(told), "{told}: {changes}");
    }
    assert_eq!(lines(&json(&place, &["quote", "show", "1"])["changes"]).join("\n"), changes);
}

#[test]
fn a_revision_says_when_the_quoted_build_is_another() {
    let place = shop();
    ok(&place, &["stock", "mark", "1", "held back", "--why", "a flood"]);
    let gone = refused(&place, &["quote", "revise", "1"]);
    assert!(gone.contains("nothing fits"), "{gone}");
    place.write("tray.csv", "label,count,condition,cost\n32GB 2Rx4 PC4-2933Y-R,30,new,90 EUR\n");
    ok(&place, &["stock", "intake", "tray.csv"]);
    let told = ok(&place, &["quote", "revise", "1"]);
    let flat = told.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in ["the quoted build is no longer among those worth having: this is another, the nearest to it",
        "build: 12 × 32 GiB 2Rx4 RDIMM 2933 used; now 12 × 32 GiB 2Rx4 RDIMM 2933 new",
        "32GB 2Rx4 PC4-2933Y-R, used: 24 at 59.50 EUR, 1428.00 EUR; now none", "new: none before; now 24 at 99.00 EUR, 2376.00 EUR"] {
        assert!(flat.contains(words), "{words}: {told}");
    }
    // From what can be bought, the same sort as was quoted at first is there again.
    let bought = ok(&place, &["quote", "revise", "1", "--from-catalogue"]);
    assert!(bought.contains("planned: from the shelf; now from what can be bought"), "{bought}");
}

#[test]
fn a_quote_takes_the_settings_of_the_store_and_says_where_there_are_none() {
    let place = shop();
    let bare = ok(&place, &["quote", "new", "need.toml", "--customer", "Knot", "--from-stock"]);
    assert!(bare.contains("net 1428.00 EUR, without tax") && bare.contains("! no tax is set"), "{bare}");
    assert!(ok(&place, &["store", "settings"]).contains("no settings are kept"));
    assert!(refused(&place, &["quote", "revise", "2", "--settings-now"]).contains("keeps no settings"));
    place.write("bad.toml", "format = 1\nname = \"Knot\"\nmargin = \"much\"\n");
    assert!(refused(&place, &["store", "settings", "bad.toml"]).contains("`much` is no percentage"));
    let kept = json(&place, &["store", "settings", "shop.toml"]);
    assert_eq!((&kept["name"], &kept["tax"]["rate"]), (&"Knot Servers".into(), &"19 %".into()));
    assert_eq!(json(&place, &["store", "settings"])["file"], SHOP);
    let made = json(&place, &["quote", "new", "need.toml", "--customer", "Knot", "--from-stock"]);
    assert_eq!((&made["total"]["amount"], lines(&made["notes"]).len()), (&"1699.32".into(), 0));
    let paper = ok(&place, &["sheet", "quote", "need.toml"]);
    assert!(paper.contains("Knot Servers") && paper.contains("VAT 19 %"), "{paper}");
    ok(&place, &["quote", "order", "3"]);
    assert!(ok(&place, &["order", "sheet", "1", "bench"]).contains("Knot Servers"));
}

#[test]
fn a_revision_is_not_dated_before_what_it_revises() {
    let place = shop();
    place.write("need.toml", NEED);
    ok(&place, &["quote", "--date", "2026-03-02", "new", "need.toml", "--customer", "Knot"]);
    let early = run(&place, &["quote", "--date", "2026-03-01", "revise", "2"]);
    assert!(early.code == Some(2) && early.err.contains("is dated 2026-03-02"), "{}", early.err);
    ok(&place, &["quote", "--date", "2026-03-02", "revise", "2"]);
}
