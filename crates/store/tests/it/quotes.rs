//! Quotes: versions, validity, and the order that one becomes; prices and margins by day.

use crate::{each, euro, priced, rooms, who};
use domain::item::{Subject, Who};
use domain::order::Stage;
use domain::quote::{Margin, NewQuote, Price, PriceList, QuoteState};
use domain::shop::Percent;
use domain::{Condition, Currency, Day, Stamp};
use store::{QuoteFilter, StoreError, Terms};

fn terms(who: &Who) -> Terms {
    Terms { priority: 4, due: None, day: who.at.day() }
}

fn offer(net: i64) -> NewQuote {
    let today = who().at.day();
    NewQuote {
        customer: "Curlew Hosting".to_string(),
        need: "board = \"dunlin-2s6\"".to_string(),
        build: "{\"words\":\"few\"}".to_string(),
        paper: "{}".to_string(),
        machines: 2,
        net: euro(net),
        total: euro(net + 19),
        issued: today,
        valid_until: Day::from_days(today.days() + 14),
    }
}

fn later(days: i64) -> Who {
    Who { name: "desk".to_string(), at: Stamp::from_seconds(who().at.seconds() + days * 86_400) }
}

#[test]
fn a_new_version_supersedes_the_older_and_both_stay() {
    each(|store| {
        let first = store.new_quote(&offer(100), &who()).unwrap();
        assert_eq!((first.number.as_str(), first.version, first.state), ("Q-00001", 1, QuoteState::Open));
        let second = store.revise_quote("q-1", 1, &offer(200), &who()).unwrap();
        assert_eq!((second.number.as_str(), second.version), ("Q-00001", 2));
        let states: Vec<_> = store.quote_versions("1").unwrap().iter().map(|q| (q.state, q.offer.net)).collect();
        assert_eq!(states, [(QuoteState::Superseded, euro(100)), (QuoteState::Open, euro(200))]);
        assert!(matches!(store.revise_quote("1", 1, &offer(300), &who()), Err(StoreError::Changed { .. })));
        assert_eq!(store.quote("Q-00001", None).unwrap().offer, offer(200));
        assert_eq!(store.quote("Q-00001", Some(1)).unwrap().offer, offer(100));
        assert!(matches!(store.quote("Q-00001", Some(3)), Err(StoreError::Absent { .. })));
        assert!(matches!(store.quote_versions("7"), Err(StoreError::Absent { .. })));
        assert!(matches!(store.order_quote(first.id, terms(&who()), &who()), Err(StoreError::Changed { .. })));
        let acts: Vec<String> = store.history(Subject::Quote(first.id.0)).unwrap().into_iter().map(|e| e.act).collect();
        assert_eq!(acts, ["quoted", "superseded"]);
    });
}

#[test]
fn a_quote_becomes_one_order_with_its_build_and_price() {
    each(|store| {
        let quote = store.new_quote(&offer(90_000), &who()).unwrap();
        let early = store.order_quote(quote.id, terms(&later(-1)), &later(-1));
        assert!(matches!(early, Err(StoreError::NotNow { .. })), "{early:?}");
        // Its last day still counts.
        let order = store.order_quote(quote.id, terms(&later(14)), &later(14)).unwrap();
        assert_eq!((order.stage, order.price, order.quote), (Stage::Chosen, Some(euro(90_000)), Some(quote.id)));
        assert_eq!((order.machines, order.priority, order.need), (2, 4, offer(1).need));
        assert_eq!(order.build.as_deref(), Some("{\"words\":\"few\"}"));
        let ordered = store.quote("1", None).unwrap();
        assert_eq!((ordered.state, ordered.order.as_deref()), (QuoteState::Ordered, Some("O-00001")));
        assert!(order.quoted && store.order_by_number("1").unwrap().quoted);
        let other = store.choose_build(order.id, None, "{\"words\":\"more\"}", priced(90_000), &who()).unwrap();
        assert!(!other.quoted && other.quote == Some(quote.id), "another build has a price of its own");
        assert!(matches!(store.order_quote(quote.id, terms(&who()), &who()), Err(StoreError::NotNow { .. })));
        assert!(matches!(store.revise_quote("1", 1, &offer(1), &who()), Err(StoreError::NotNow { .. })));
        assert!(matches!(store.withdraw_quote("1", None, "", &who()), Err(StoreError::NotNow { .. })));
    });
}

#[test]
fn what_expired_or_was_withdrawn_is_not_ordered_and_leaves_no_order() {
    each(|store| {
        let expired = store.new_quote(&offer(100), &who()).unwrap();
        let gone = store.new_quote(&offer(100), &who()).unwrap();
        let other = store.withdraw_quote(&gone.number, Some(2), "customer called", &who());
        assert!(matches!(other, Err(StoreError::Changed { .. })), "{other:?}");
        store.withdraw_quote(&gone.number, Some(1), "customer called", &who()).unwrap();
        for (quote, by) in [(&expired, later(15)), (&gone, who())] {
            assert!(matches!(store.order_quote(quote.id, terms(&by), &by), Err(StoreError::NotNow { .. })));
        }
        assert_eq!(store.quote(&expired.number, None).unwrap().state, QuoteState::Open, "it can still be revised");
        assert!(matches!(store.order_by_number("1"), Err(StoreError::Absent { .. })));
        let wrong = NewQuote { valid_until: Day::from_days(0), ..offer(1) };
        assert!(matches!(store.new_quote(&wrong, &who()), Err(StoreError::Refused(_))));
    });
}

#[test]
fn quotes_are_listed_once_each_by_their_newest_version() {
    each(|store| {
        store.new_quote(&offer(100), &who()).unwrap();
        store.new_quote(&NewQuote { customer: "Plover".to_string(), ..offer(300) }, &who()).unwrap();
        store.revise_quote("1", 1, &offer(200), &who()).unwrap();
        let list = |words: &str, state| {
            let page = store.quotes(&QuoteFilter { words: words.to_string(), state, skip: 0, most: 10 }).unwrap();
            assert_eq!(page.found, page.list.len() as u64);
            page.list.into_iter().map(|q| (q.number, q.version)).collect::<Vec<_>>()
        };
        let (first, second) = (("Q-00001".to_string(), 2), ("Q-00002".to_string(), 1));
        assert_eq!(list("", None), [second.clone(), first.clone()]);
        assert_eq!(list("curlew", Some(QuoteState::Open)), [first]);
        assert_eq!(list("PLOVER", None), [second]);
        assert!(list("", Some(QuoteState::Superseded)).is_empty());
        store.new_quote(&NewQuote { customer: "Österreich GmbH".to_string(), ..offer(300) }, &who()).unwrap();
        for words in ["Österreich", "österreich", "ÖSTERREICH gmbh"] {
            assert_eq!(list(words, None), [("Q-00003".to_string(), 1)], "{words}");
        }
    });
}

#[test]
fn eight_who_order_one_quote_at_once_get_one_order() {
    for room in rooms() {
        let store = room.open();
        let quote = store.new_quote(&offer(100), &who()).unwrap();
        let made = std::thread::scope(|scope| {
            let work = || store.order_quote(quote.id, terms(&who()), &who()).is_ok();
            let hands: Vec<_> = (0..8).map(|_| scope.spawn(work)).collect();
            hands.into_iter().map(|h| h.join().unwrap()).filter(|ok| *ok).count()
        });
        assert_eq!(made, 1, "{:?}", room.place);
        assert_eq!(store.faults().unwrap(), Vec::<String>::new());
    }
}

#[test]
fn prices_hold_from_their_day_and_the_newest_list_counts() {
    each(|store| {
        let price = |label: &str, minor, supplier: Option<&str>| Price {
            label: label.to_string(),
            condition: Condition::New,
            each: euro(minor),
            supplier: supplier.map(str::to_string),
        };
        let list = |from, until: Option<i64>, prices: Vec<Price>| PriceList {
            name: "shop".to_string(),
            valid_from: Day::from_days(from),
            valid_until: until.map(Day::from_days),
            currency: Currency::parse("EUR").unwrap(),
            prices,
        };
        let first = list(100, None, vec![price("A", 1, None), price("B", 2, None), price("A", 9, Some("Knot"))]);
        store.take_prices(&first, false, &who()).unwrap();
        store.take_prices(&list(200, Some(210), vec![price("A", 3, None)]), false, &who()).unwrap();
        let on = |day| {
            let prices = store.prices_on(Day::from_days(day)).unwrap();
            prices.into_iter().map(|p| (p.label, p.supplier.is_some(), p.each.minor())).collect::<Vec<_>>()
        };
        let row = |l: &str, s, m| (l.to_string(), s, m);
        assert!(on(99).is_empty());
        assert_eq!(on(100), [row("A", false, 1), row("A", true, 9), row("B", false, 2)]);
        assert_eq!(on(210), [row("A", false, 3), row("A", true, 9), row("B", false, 2)]);
        assert_eq!(on(211), on(100));
        assert!(matches!(store.take_prices(&first, false, &who()), Err(StoreError::NotNow { .. })));
        for wrong in [
            list(300, None, vec![]),
            list(300, Some(299), vec![price("A", 1, None)]),
            list(300, None, vec![price("A", 1, None), price("A", 2, None)]),
        ] {
            assert!(matches!(store.take_prices(&wrong, false, &who()), Err(StoreError::Refused(_))), "{wrong:?}");
        }
        assert_eq!(on(300), on(100));
    });
}

#[test]
fn a_price_list_is_corrected_or_withdrawn_and_every_version_stays() {
    each(|store| {
        let day = Day::from_days(100);
        let list = |minor| PriceList {
            name: "50%_off".to_string(),
            valid_from: day,
            valid_until: None,
            currency: Currency::parse("EUR").unwrap(),
            prices: vec![Price {
                label: "A".to_string(),
                condition: Condition::New,
                each: euro(minor),
                supplier: None,
            }],
        };
        let on = || store.prices_on(day).unwrap().iter().map(|p| p.each.minor()).collect::<Vec<_>>();
        let kept = || {
            let lists = store.price_lists().unwrap();
            lists.into_iter().map(|l| (l.name, l.state, l.prices)).collect::<Vec<_>>()
        };
        let row = |name: &str, state: &str| (name.to_string(), state.to_string(), 1);
        let none = store.take_prices(&list(1), true, &who());
        assert!(matches!(none, Err(StoreError::Absent { .. })), "nothing to be corrected: {none:?}");
        let first = store.take_prices(&list(100_000), false, &who()).unwrap();
        store.take_prices(&list(1_000), true, &who()).unwrap();
        assert_eq!(on(), [1_000]);
        store.withdraw_prices("50%_off", day, "a slip", &who()).unwrap();
        assert_eq!(on(), [0_i64; 0]);
        let again = store.withdraw_prices("50%_off", day, "a slip", &who());
        assert!(matches!(again, Err(StoreError::Absent { .. })), "{again:?}");
        // What was withdrawn leaves its place to the next of that name.
        store.take_prices(&list(2_000), false, &who()).unwrap();
        assert_eq!(on(), [2_000]);
        let all =
            [row("50%_off", "holds"), row("50%_off, version 2", "withdrawn"), row("50%_off, version 1", "corrected")];
        assert_eq!(kept(), all);
        let acts: Vec<String> = store.history(Subject::PriceList(first)).unwrap().into_iter().map(|e| e.act).collect();
        assert_eq!(acts, ["taken in", "corrected"]);
    });
}

#[test]
fn margins_hold_from_their_day() {
    each(|store| {
        let set = |class: &str, from, hundredths| {
            let percent = Percent::from_hundredths(hundredths);
            let margin = Margin { class: class.to_string(), valid_from: Day::from_days(from), percent };
            store.set_margin(&margin, &who())
        };
        set("New  DDR5", 10, 800).unwrap();
        set("used", 10, 4000).unwrap();
        set("used", 20, 3000).unwrap();
        set("used", 20, 3500).unwrap();
        assert!(matches!(set(" ", 1, 1), Err(StoreError::Refused(_))));
        let on = |day| {
            let margins = store.margins_on(Day::from_days(day)).unwrap();
            margins.into_iter().map(|m| (m.class, m.percent.hundredths())).collect::<Vec<_>>()
        };
        assert!(on(9).is_empty());
        assert_eq!(on(19), [("new ddr5".to_string(), 800), ("used".to_string(), 4000)]);
        assert_eq!(on(20)[1].1, 3500);
        let all: Vec<_> = store.margins().unwrap().iter().map(|m| (m.class.clone(), m.valid_from.days())).collect();
        assert_eq!(all, [("new ddr5".to_string(), 10), ("used".to_string(), 20), ("used".to_string(), 10)]);
    });
}

#[test]
fn the_newest_settings_hold() {
    each(|store| {
        assert_eq!(store.settings().unwrap(), None);
        store.keep_settings("name = \"Knot\"", &who()).unwrap();
        store.keep_settings("name = \"Knot Servers\"", &later(1)).unwrap();
        let now = store.settings().unwrap().unwrap();
        assert_eq!((now.text.as_str(), now.who), ("name = \"Knot Servers\"", later(1)));
    });
}
