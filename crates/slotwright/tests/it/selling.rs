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
    place.write("other.toml", SHOP.replace("19 %", "7 %").replace("Knot Servers", "Knot and Sons"));
    ok(&place, &["store", "settings", "other.toml"]);
    assert_eq!(json(&place, &["quote", "revise", "1"])["total"], was["total"]);
    let other = json(&place, &["quote", "revise", "1", "--settings-now", "--valid-days", "3"]);
    assert_eq!(other["total"]["amount"], "1527.96");
    let changes = lines(&other["changes"]).join("\n");
    for told in [
        "shop: Knot Servers; now Knot and Sons",
        "tax: VAT 19 %; now VAT 7 %",
        "net: 1428.00 EUR, as before",
        "total: 1699.32 EUR; now 1527.96 EUR",
        "valid until: ",
    ] {
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
    for words in [
        "the quoted build is no longer among those worth having: this is another, the nearest to it",
        "build: 12 × 32 GiB 2Rx4 RDIMM 2933 used; now 12 × 32 GiB 2Rx4 RDIMM 2933 new",
        "32GB 2Rx4 PC4-2933Y-R, used: 24 at 59.50 EUR, 1428.00 EUR; now none",
        "new: none before; now 24 at 99.00 EUR, 2376.00 EUR",
    ] {
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

/// A shop that buys of two suppliers: what one of them asks is used, and the catalogue's price is not.
fn suppliers(place: &Place) {
    place.write(
        "suppliers.csv",
        "label,condition,price,supplier\n\
         32GB 2Rx4 PC4-2933Y-R,used,39 EUR,Whimbrel Parts\n\
         32GB 2Rx4 PC4-2933Y-RB2-12,used,38 EUR,Stilt Trading\n",
    );
    ok(place, &["quote", "prices", "suppliers.csv", "--valid-from", "2026-01-01", "--valid-until", "2099-01-01"]);
}

#[test]
fn what_is_to_be_bought_is_at_the_cheapest_suppliers_price_of_the_day() {
    let place = shop();
    let small = NEED.replace("machines = 2\n", "");
    place.write("three.toml", small.replace("firmware", "machines = 3\nfirmware"));
    ok(&place, &["order", "new", "three.toml", "--customer", "Curlew"]);
    let before = run(&place, &["allocate", "propose"]);
    assert!(before.out.contains("6 x DDR4 32 GiB 2Rx4 RDIMM 2933 used at 47.00 EUR\n"), "{}", before.out);
    suppliers(&place);
    let told = run(&place, &["allocate", "propose"]);
    assert!(told.out.contains("6 x DDR4 32 GiB 2Rx4 RDIMM 2933 used at 38.00 EUR from Stilt Trading"), "{}", told.out);
    let view: Value = serde_json::from_str(&run(&place, &["allocate", "propose", "--json"]).out).unwrap();
    let line = &view["purchase"][0];
    assert_eq!((&line["supplier"], &line["sum"]), (&"Stilt Trading".into(), &"228.00 EUR".into()));
    // A quote from what can be bought stands on the same price: 24 x 38 EUR and 40 % on top.
    let quote = json(&place, &["quote", "new", "need.toml", "--customer", "Knot", "--shop", "shop.toml"]);
    assert_eq!(quote["net"]["amount"], "1276.80");
    ok(&place, &["quote", "order", "2"]);
}

#[test]
fn an_order_without_a_quote_costs_the_customer_what_a_quote_would() {
    let place = shop();
    ok(&place, &["store", "settings", "shop.toml"]);
    ok(&place, &["order", "new", "need.toml", "--customer", "Curlew"]);
    let chosen = json(&place, &["order", "choose", "1"]);
    assert_eq!((&chosen["price"]["amount"], &chosen["cost"]["amount"]), (&"1428.00".into(), &"1020.00".into()));
    assert_eq!(chosen["price_is"], "net price by the shop's prices");
    assert!(ok(&place, &["order", "show", "1"]).contains("1428.00 EUR; its modules cost 1020.00 EUR"));
    ok(&place, &["order", "cancel", "1", "--why", "for the trial"]);
    ok(&place, &["order", "new", "need.toml", "--customer", "Plover"]);
    ok(&place, &["allocate", "propose"]);
    ok(&place, &["allocate", "accept", "1"]);
    let reserved = json(&place, &["order", "show", "2"]);
    assert_eq!(
        (&reserved["stage"], &reserved["price"], &reserved["cost"]),
        (&"reserved".into(), &chosen["price"], &chosen["cost"])
    );
    // A shop that has said nothing of prices has only what the modules cost.
    let bare = Place::new();
    bare.write("need.toml", NEED);
    bare.write("tray.csv", "label,count,condition,cost\n32GB 2Rx4 PC4-2933Y-R,30,used,42.50 EUR\n");
    ok(&bare, &["stock", "intake", "tray.csv"]);
    ok(&bare, &["order", "new", "need.toml", "--customer", "Curlew"]);
    let chosen = json(&bare, &["order", "choose", "1"]);
    assert_eq!((&chosen["price"], &chosen["price_is"]), (&chosen["cost"], &"cost of its modules".into()));
}

#[test]
fn a_quote_is_ordered_from_its_own_day_on_and_not_dated_back_once_it_is_over() {
    let place = shop();
    ok(
        &place,
        &[
            "quote",
            "--date",
            "2026-03-02",
            "new",
            "need.toml",
            "--customer",
            "Knot",
            "--from-stock",
            "--valid-days",
            "7",
        ],
    );
    let order = |day: &str, rest: &[&str]| {
        let args: Vec<&str> = ["quote", "--date", day, "order", "2"].into_iter().chain(rest.iter().copied()).collect();
        run(&place, &args)
    };
    let early = order("2026-03-01", &["--anyway"]);
    assert!(early.code == Some(2) && early.err.contains("is dated later than the day"), "{}", early.err);
    assert!(order("2026-03-10", &["--anyway"]).err.contains("has expired"));
    let back = order("2026-03-05", &[]);
    assert!(back.code == Some(2), "{}", back.out);
    assert!(back.err.contains("its last day, 2026-03-09, is over; 2026-03-05 is a day of the past"), "{}", back.err);
    assert_eq!(order("2026-03-05", &["--anyway"]).code, Some(0));
}

#[test]
fn an_order_of_a_quote_says_what_the_shelf_lacks() {
    let place = shop();
    ok(&place, &["stock", "mark", "1", "held back", "--why", "a flood"]);
    ok(&place, &["quote", "new", "need.toml", "--customer", "Knot"]);
    let ordered = ok(&place, &["quote", "order", "2"]);
    assert!(ordered.contains("! the shelf lacks 24 of 24 DDR4 32 GiB 2Rx4 RDIMM 2933 used"), "{ordered}");
    assert!(ordered.contains("slotwright allocate propose") && !ordered.contains("order reserve"), "{ordered}");
    assert_eq!(json(&place, &["order", "show", "1"])["next_command"], "allocate propose");
    ok(&place, &["stock", "mark", "1", "on the shelf", "--why", "dry again"]);
    assert_eq!(json(&place, &["order", "show", "1"])["lacks"], Value::Array(vec![]));
}

#[test]
fn every_bad_row_of_a_price_list_is_told_and_a_wrong_list_is_corrected() {
    let place = shop();
    place.write(
        "prices.csv",
        "label,condition,price,supplier\n32GB 2Rx4 PC4-2933Y-R,used,600 EUR,\n32GB 2Rx4 PC4-2933Y-R,new,70 USD,\n\
         32GB 2Rx4 PC4-2933Y-R,used,61 EUR,\nX,new,1 EUR,\n64GB 2Rx4 PC4-2933Y-R,new,-4 EUR,\n64GB 2Rx4 PC4-2933Y-R,used,5 EUR\n",
    );
    let told = refused(&place, &["quote", "prices", "prices.csv", "--valid-from", "2026-01-01"]);
    for words in [
        "line 3: it is priced in USD, and line 2 in EUR",
        "line 4: `32GB 2Rx4 PC4-2933Y-R`, used, is priced twice: line 2",
        "line 5: `X`",
        "line 6: ",
        "line 7: it has 3 cells, and line 1 has 4",
    ] {
        assert!(told.contains(words), "{words}: {told}");
    }
    let take = |price: &str, rest: &[&str]| {
        place.write("prices.csv", format!("label,condition,price\n32GB 2Rx4 PC4-2933Y-R,used,{price} EUR\n"));
        let args = ["quote", "prices", "prices.csv", "--valid-from", "2026-01-01"];
        run(&place, &args.into_iter().chain(rest.iter().copied()).collect::<Vec<_>>())
    };
    assert!(take("60", &["--correct"]).err.contains("there is no price list `prices.csv` from that day"));
    assert_eq!(take("600", &[]).code, Some(0));
    let again = take("60", &[]);
    assert!(again.code == Some(2) && again.err.contains("add --correct"), "{}", again.err);
    assert_eq!(take("60", &["--correct"]).code, Some(0));
    assert!(ok(&place, &["quote", "prices"]).contains("used,60.00 EUR"));
    let lists = ok(&place, &["quote", "prices", "--lists"]);
    assert!(lists.contains("prices.csv, version 1") && lists.contains("corrected"), "{lists}");
    let withdraw = ["quote", "prices", "--withdraw", "prices.csv", "--valid-from", "2026-01-01", "--why", "not agreed"];
    assert!(ok(&place, &withdraw).contains("withdrawn"));
    assert_eq!(ok(&place, &["quote", "prices"]), "label,condition,price,supplier\n");
    assert!(refused(&place, &withdraw).contains("there is no price list"));
    assert!(ok(&place, &["quote", "margin"]).contains("used     40 %"));
}

#[test]
fn what_is_left_of_a_proposal_is_accepted_and_told_in_short() {
    let place = shop();
    place.write("one.toml", NEED.replace("machines = 2\n", ""));
    for customer in ["Curlew", "Knot", "Godwit"] {
        ok(&place, &["order", "new", "one.toml", "--customer", customer]);
    }
    assert_eq!(run(&place, &["allocate", "propose"]).code, Some(1));
    let first = ok(&place, &["allocate", "accept", "1", "--order", "O-00001"]);
    for words in [
        "allocation 1: partly accepted",
        "O-00001  Curlew",
        "not accepted yet: O-00002",
        "without modules: O-00003",
        "slotwright order sheet O-00001 pick-list",
    ] {
        assert!(first.contains(words), "{words}: {first}");
    }
    assert!(!first.contains("proved") && first.lines().count() < 12, "{first}");
    let again = refused(&place, &["allocate", "accept", "1", "--order", "1"]);
    assert!(again.contains("order O-00001 was accepted from allocation 1 already"), "{again}");
    assert!(refused(&place, &["allocate", "accept", "1", "--order", "3"]).contains("has no modules for order O-00003"));
    let rest = json(&place, &["allocate", "accept", "1"]);
    assert_eq!(
        (&rest["state"], &rest["orders"][0]["order"], &rest["modules"]),
        (&"accepted".into(), &"O-00002".into(), &12.into())
    );
    assert!(refused(&place, &["allocate", "accept", "1"]).contains("allocation 1 is accepted"));
}

#[test]
fn an_exchange_for_another_condition_or_generation_is_not_let_through_unsaid() {
    let place = shop();
    place.write(
        "more.csv",
        "label,serial,count,condition,cost\n32GB 2Rx4 PC4-2933Y-R,NEW00001,1,new,90 EUR\n\
         64GB 2Rx4 PC4-2666V-R,BIG00001,1,used,80 EUR\n32GB 2Rx8 PC5-4800B-R,DDR50001,1,used,80 EUR\n",
    );
    ok(&place, &["stock", "intake", "more.csv"]);
    place.write("one.toml", NEED.replace("machines = 2\n", ""));
    ok(&place, &["order", "new", "one.toml", "--customer", "Curlew"]);
    let plans = refused(&place, &["order", "choose", "1", "--plan", "77"]);
    assert!(plans.contains("pick from 1 to") && !plans.contains("--all"), "{plans}");
    ok(&place, &["order", "choose", "1"]);
    ok(&place, &["order", "reserve", "1"]);
    let shown = json(&place, &["order", "show", "1"]);
    let slot = shown["modules"][0]["slot"].as_str().unwrap();
    let swap = |item: &str, rest: &[&str]| {
        let args = ["order", "swap", "1", "--slot", slot, "--item", item, "--why", "a trial"];
        run(&place, &args.into_iter().chain(rest.iter().copied()).collect::<Vec<_>>())
    };
    let new = swap("NEW00001", &[]);
    assert!(
        new.code == Some(2) && new.err.contains("2933 used, and item 2 is DDR4 32 GiB 2Rx4 RDIMM 2933 new"),
        "{}",
        new.err
    );
    let other = swap("DDR50001", &["--anyway"]);
    assert!(
        other.code == Some(2) && other.err.contains("takes DDR4") && other.err.contains("does not go in"),
        "{}",
        other.err
    );
    let new = swap("NEW00001", &["--anyway"]);
    assert!(
        new.code == Some(0) && new.out.contains("! it is DDR4 32 GiB 2Rx4 RDIMM 2933 new in the place of"),
        "{}{}",
        new.out,
        new.err
    );
    // A larger and slower one has the whole machine checked anew, and the papers say so.
    let big = swap("BIG00001", &["--anyway"]);
    assert!(big.code == Some(1) && big.out.lines().count() > 2, "{}{}", big.out, big.err);
    let record = ok(&place, &["order", "sheet", "1", "record"]);
    assert!(record.contains("Other than was planned: machine 1") && record.contains("2666 MT/s"), "{record}");
    assert!(ok(&place, &["order", "show", "1"]).contains("! other than chosen: machine 1"));
    // Back to what was chosen: nothing is said any more.
    let back = swap("1", &[]);
    assert!(back.code == Some(0) && back.out.lines().count() == 1, "{}{}", back.out, back.err);
}

#[test]
fn a_listed_price_is_for_the_sort_whatever_is_printed_on_the_modules() {
    let place = Place::new();
    place.write("need.toml", NEED);
    place.write("tray.csv", "label,count,condition,cost\n32GB 2Rx4 PC4-2933Y-RB2-12,30,used,40 EUR\n");
    place.write("prices.csv", "label,condition,price\n32GB 2Rx4 PC4-2933Y-R,used,100 EUR\n");
    ok(&place, &["stock", "intake", "tray.csv"]);
    ok(&place, &["quote", "prices", "prices.csv", "--valid-from", "2026-01-01"]);
    let net =
        || json(&place, &["quote", "new", "need.toml", "--customer", "Knot", "--from-stock"])["net"]["amount"].clone();
    assert_eq!(net(), "2400.00");
    place.write("one.csv", "label,count,condition,cost\n32GB 2Rx4 PC4-2933Y-R,1,used,40 EUR\n");
    ok(&place, &["stock", "intake", "one.csv"]);
    assert_eq!(net(), "2400.00");
    ok(&place, &["quote", "order", "1"]);
    // A list in another currency than the stock is not quoted from.
    place.write("prices.csv", "label,condition,price\n32GB 2Rx4 PC4-2933Y-R,used,100 USD\n");
    ok(&place, &["quote", "prices", "prices.csv", "--valid-from", "2026-01-01", "--correct"]);
    let mixed = refused(&place, &["quote", "new", "need.toml", "--customer", "Knot", "--from-stock"]);
    assert!(mixed.contains("at 100.00 USD, and it costs 40.00 EUR"), "{mixed}");
}
