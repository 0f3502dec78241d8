//! Small random boards with many modules on offer, so that what the planner leaves out and how it mixes come up.

use super::random::{Dice, maybe, module, need};
use domain::quantity::Watts;
use domain::stock::{Condition, Lot};
use domain::{Board, Capacity, Currency, Kind, Module, Money, Need};
use std::sync::Arc;

/// A need with many sorts on offer, most of them of few capacities, so that sorts cover each other and points of
/// three sorts and more come up: mostly unlimited lots and nothing installed, on a board of at most `slots_most` slots.
pub fn wide_need(seed: u64, slots_most: usize, lots: usize) -> Need {
    let mut need = need(seed, slots_most, 2);
    let mut dice = Dice::new(seed ^ 0x0057_1DE0_FFE2);
    let dice = &mut dice;
    let capacities: Vec<u64> = [8u64, 16, 32, 64].into_iter().filter(|_| dice.chance(60)).collect();
    let currency = Currency::parse("EUR").expect("a code");
    let mut modules: Vec<Arc<Module>> = Vec::new();
    while modules.len() < lots {
        let mut made = module(dice, modules.len());
        if dice.chance(85) {
            made.kind = Kind::Rdimm;
            made.organisation.stack = 1;
        }
        if !capacities.is_empty() {
            made.capacity = Capacity::from_gib(dice.pick(&capacities));
        }
        if dice.chance(15) {
            made.watts = None;
        }
        modules.push(Arc::new(made));
    }
    if dice.chance(70) {
        need.installed.clear();
        need.loose.clear();
    }
    let lot = |m: &Arc<Module>, dice: &mut Dice| Lot {
        module: m.clone(),
        condition: Condition::New,
        each: Money::from_minor(
            m.capacity.gib() as i64 * (60 + dice.below(80) as i64) + dice.below(4) as i64,
            currency,
        ),
        count: dice.chance(20).then(|| 1 + dice.below(3) as u32),
        bin: None,
    };
    need.lots = modules.iter().map(|m| lot(m, dice)).collect();
    let mut board = Board::clone(&need.board);
    if dice.chance(40) {
        let watts = Watts::from_watts(dice.pick(&[12.0, 18.0, 24.0, 40.0]));
        board.limits.memory_watts = maybe(dice, 100, watts);
    }
    for mode in &mut board.modes {
        mode.ecc_bits = dice.chance(15).then_some(8);
    }
    if let Some(chart) = board.charts.first_mut() {
        chart.ranks = dice.chance(60).then_some(dice.pick(&[1, 2]));
    }
    need.board = Arc::new(board);
    need
}
