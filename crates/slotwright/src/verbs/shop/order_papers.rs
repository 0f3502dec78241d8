//! The papers of an order: those of its chosen build, with the exact modules that are promised to it.

use super::chosen::ChosenBuild;
use super::{exchanges, order};
use crate::failure::Failure;
use crate::verbs::plan::{self, MoveView, TakenOutView};
use crate::verbs::sheet::{Job, Papers, There};
use crate::world::Data;
use catalog::Input;
use domain::Need;
use domain::shop::Shop;
use jiff::civil::Date;
use store::Store;

/// What the papers of an order are made from.
///
/// # Errors
/// There is no such order, no build is chosen for it, or its board is not known any more.
pub fn job(data: &Data, store: &Store, number: &str, shop: Option<Shop>, date: Date) -> Result<Job, Failure> {
    let order = store.order_by_number(number)?;
    let Some(build) = &order.build else {
        return Err(Failure::Shop {
            why: format!("no build is chosen for order {}", order.number),
            hint: "choose one, then there is something to print".to_string(),
        });
    };
    let chosen = ChosenBuild::read(build)?;
    let papers = Papers { number: order.number.clone(), customer: order.customer.clone(), date };
    let reservations = store.reservations(order.id)?;
    let exchanged = exchanges::of(data, &chosen, &reservations);
    // Of one machine the papers are those of what is in it; of several, what is other is told beside.
    let built = if order.machines == 1 { exchanges::build(&chosen, &exchanged, 1) } else { chosen.clone() };
    let mut job = Job::of_build(built.check(data)?, shop, papers);
    job.machines = order.machines;
    job.exchanged = exchanged.iter().map(exchanges::Exchange::words).collect();
    for machine in (1..=order.machines).filter(|_| order.machines > 1) {
        let found = exchanges::findings(data, &chosen, &exchanged, machine);
        job.exchanged.extend(found.into_iter().map(|f| format!("machine {machine}: {f}")));
    }
    job.promised = reservations.iter().filter(|r| r.promise.binds()).map(order::promise).collect();
    let need = plan::read_text(&data.library, &Input::text("need", order.need.as_str()))?;
    job.there = there(&need, &chosen);
    Ok(job)
}

/// What becomes of the modules that the need names as there: a slot of the build that the shelf does not fill holds one of them.
fn there(need: &Need, chosen: &ChosenBuild) -> There {
    let label = |slot: domain::SlotIndex| need.board.slot(slot).label.clone();
    let mut had: Vec<(String, String)> =
        need.installed.iter().map(|(slot, module)| (label(*slot), module.label.clone())).collect();
    let own = |slot: &str| !chosen.picks.iter().any(|p| p.slot == slot);
    let mut there = There::default();
    let mut open = Vec::new();
    for (slot, module) in chosen.build.slots.iter().filter(|(slot, _)| own(slot)) {
        match had.iter().position(|(s, m)| s == slot && m == module) {
            Some(at) => there.stays.push(had.remove(at).0),
            None => open.push((slot.clone(), module.clone())),
        }
    }
    for (to, module) in open {
        // What comes from no slot is one of the loose ones.
        if let Some(at) = had.iter().position(|(_, m)| *m == module) {
            there.moves.push(MoveView { from: had.remove(at).0, to, module });
        }
    }
    there.taken_out = had.into_iter().map(|(slot, module)| TakenOutView { slot: Some(slot), module }).collect();
    there
}
