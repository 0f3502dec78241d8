//! Proposals of the allocation: kept, accepted in part or as a whole, and withdrawn.

use crate::{chosen, claims, each, new_item, who};
use domain::item::ItemId;
use domain::order::{Order, Priced, Stage};
use store::{Assigned, Store, StoreError};

fn assigned(order: &Order, items: &[ItemId]) -> Assigned {
    let priced = Priced { price: order.price.unwrap(), cost: order.cost };
    let build = order.build.clone().unwrap();
    Assigned { order: order.id, version: order.version, build, priced, claims: claims(items) }
}

fn shelf(store: &Store) -> Vec<ItemId> {
    let items = ["A1B2C301", "A1B2C302", "A1B2C303", "A1B2C304"].map(|s| new_item(Some(s), 1));
    store.take_in(&items, &who()).unwrap().iter().map(|t| t.id).collect()
}

#[test]
fn a_proposal_is_accepted_order_by_order_and_tells_which_still_wait() {
    each(|store| {
        let items = shelf(store);
        let (first, second) = (chosen(store, 1), chosen(store, 1));
        let number = store.propose("{}", &[first.id, second.id], &who()).unwrap();
        let outside = chosen(store, 1);
        assert_eq!(store.waiting_of(number).unwrap(), [(first.id, first.version), (second.id, second.version)]);
        store.accept(number, &[assigned(&first, &items[..2])], &who()).unwrap();
        assert_eq!(store.allocation(number).unwrap().state, "partly accepted");
        assert_eq!(store.order(first.id).unwrap().stage, Stage::Reserved);
        assert_eq!(store.waiting_of(number).unwrap(), [(second.id, second.version)]);
        let states = [(first.id, "accepted".to_string()), (second.id, "proposed".to_string())];
        assert_eq!(store.allocated(number).unwrap(), states);
        let refused = |order: &Order, items: &[ItemId]| {
            let error = store.accept(number, &[assigned(order, items)], &who()).unwrap_err();
            assert!(matches!(error, StoreError::NotNow { .. }), "{error:?}");
            error.to_string()
        };
        assert_eq!(refused(&first, &items[..2]), "order O-00001 was accepted from allocation 1 already");
        assert_eq!(refused(&outside, &items[2..]), "allocation 1 gives nothing to order O-00003");
        store.accept(number, &[assigned(&second, &items[2..])], &who()).unwrap();
        assert_eq!(store.allocation(number).unwrap().state, "accepted");
        assert_eq!(store.waiting_of(number).unwrap(), []);
        assert_eq!(store.waiting_of(number + 1).unwrap(), []);
    });
}

#[test]
fn where_one_order_was_changed_or_one_module_is_gone_nothing_is_accepted() {
    each(|store| {
        let items = shelf(store);
        let (first, second) = (chosen(store, 1), chosen(store, 1));
        let both = [assigned(&first, &items[..2]), assigned(&second, &items[2..])];
        let number = store.propose("{}", &[first.id, second.id], &who()).unwrap();
        let open = |store: &Store| {
            assert_eq!(store.allocation(number).unwrap().state, "proposed");
            assert_eq!(store.order(first.id).unwrap().stage, Stage::Chosen);
            assert_eq!(items.iter().map(|i| store.item(*i).unwrap().free()).sum::<u32>(), 4);
        };
        let (build, price) = (second.build.clone().unwrap(), second.price.unwrap());
        let second = store.choose_build(second.id, None, &build, Priced { price, cost: None }, &who()).unwrap();
        let stale = store.accept(number, &both, &who());
        assert!(matches!(stale, Err(StoreError::Changed { .. })), "{stale:?}");
        open(store);
        assert_eq!(store.waiting_of(number).unwrap(), [(first.id, first.version), (second.id, second.version)]);
        let twice = [assigned(&first, &items[..2]), assigned(&second, &items[1..3])];
        let taken = store.accept(number, &twice, &who());
        assert!(matches!(taken, Err(StoreError::Taken(_))), "{taken:?}");
        open(store);
    });
}

#[test]
fn a_newer_proposal_withdraws_the_one_that_waits() {
    each(|store| {
        let items = shelf(store);
        let order = chosen(store, 1);
        let old = store.propose("{\"old\":1}", &[order.id], &who()).unwrap();
        let new = store.propose("{\"new\":1}", &[order.id], &who()).unwrap();
        assert_eq!(store.allocation(old).unwrap().state, "withdrawn");
        assert_eq!(store.newest_allocation().unwrap().unwrap().number, new);
        let late = store.accept(old, &[assigned(&order, &items[..2])], &who());
        assert!(matches!(late, Err(StoreError::NotNow { .. })), "{late:?}");
        assert_eq!(store.allocation(new).unwrap().answer, "{\"new\":1}");
    });
}
