//! What an allocation says in words.

use super::question::{Offered, name};
use domain::Money;
use engine::allocate::{Answer, Buy, Change, Levels, Passed, Proof, Reason, Short};

/// Of the orders that took what another lacks, so many are named.
const MOST_NAMED: usize = 3;

/// Why not a cheaper option; that the shelf has none of a sort at all is no news.
pub fn passed(passed: &Passed, options: &[Offered], short: &impl Fn(&Short) -> String) -> Option<String> {
    let words = options.get(passed.choice).map_or("", |o| o.build.words.as_str());
    let reason = match &passed.reason {
        Reason::Missing(shorts) if shorts.iter().any(|s| s.free == 0 && s.taken.is_empty()) => return None,
        Reason::Missing(shorts) => shorts.iter().map(short).collect::<Vec<_>>().join("; "),
        Reason::Dearer(by) if by.minor() == 0 => "it would cost the same in modules".to_string(),
        Reason::Dearer(by) => format!("the cheap modules are with other orders, it would cost {by} more"),
    };
    Some(format!("not {words}: {reason}"))
}

/// What an option lacks, and who has it.
pub fn lacks(short: &Short, sorts: &[String], number: &impl Fn(i64) -> String) -> String {
    let named = short.taken.iter().take(MOST_NAMED);
    let mut taken: Vec<String> = named.map(|(order, n)| format!("{n} went to {}", number(*order))).collect();
    let (others, rest) = (short.taken.len().saturating_sub(MOST_NAMED), short.taken.iter().skip(MOST_NAMED));
    match others {
        0 => {}
        1 => taken.push(format!("{} to another order", rest.map(|t| t.1).sum::<u32>())),
        _ => taken.push(format!("{} to {others} other orders", rest.map(|t| t.1).sum::<u32>())),
    }
    let taken = if taken.is_empty() { String::new() } else { format!(" ({})", taken.join(", ")) };
    format!("{} of {} {} missing{taken}", short.missing(), short.needed, name(sorts, short.sort))
}

/// What a purchase takes from the shelf besides, where it does.
pub fn beside(buy: &Buy, sorts: &[String]) -> Option<String> {
    let all: Vec<String> = buy.from_stock.iter().map(|(sort, n)| format!("{n} x {}", name(sorts, *sort))).collect();
    (!all.is_empty()).then(|| all.join(", "))
}

/// What was reached, level by level.
pub fn reached(answer: &Answer) -> Vec<String> {
    let levels = &answer.levels;
    let tally =
        levels.served.iter().map(|t| format!("priority {}: {} of {} orders served", t.priority, t.served, t.asked));
    let rest = [format!("modules for {}", levels.cost), format!("broken sets: {}", levels.broken)];
    tally.chain(rest).collect()
}

/// How far from the best the answer can be.
pub fn proof(answer: &Answer) -> String {
    let bounds = &answer.bounds;
    match answer.proof {
        Proof::Complete => "proved best at all four levels: orders by priority, cost, sets, age".to_string(),
        Proof::Cost => {
            "proved: no more orders can be served, and none for less; sets and age may be better".to_string()
        }
        Proof::Served => {
            let (cost, over) = (bounds.cost, over(answer.levels.cost, bounds.cost));
            format!(
                "proved: no more orders can be served; as many can't cost less than {cost}, this is {over} above it"
            )
        }
        Proof::Open => {
            let most: Vec<String> =
                bounds.served.iter().map(|t| format!("{} of priority {}", t.served, t.priority)).collect();
            let (cost, over) = (bounds.cost, over(answer.levels.cost, bounds.cost));
            let most = most.join(", ");
            format!(
                "at most {most} can be served; as many as here can't cost less than {cost}, this is {over} above it"
            )
        }
    }
}

/// How far a cost is above a bound, rounded up so that it never looks better than it is.
fn over(cost: Money, bound: Money) -> String {
    let currency = cost.currency();
    let (cost, bound) = (i128::from(cost.minor()), i128::from(bound.minor()));
    if bound <= 0 {
        return Money::from_minor(i64::try_from(cost - bound).unwrap_or(i64::MAX), currency).to_string();
    }
    let hundredths = ((cost - bound).max(0) * 10_000 + bound - 1) / bound;
    format!("{}.{:02} %", hundredths / 100, hundredths % 100)
}

/// What changed against the answer before, and what that is worth.
pub fn moves(answer: &Answer, number: &impl Fn(i64) -> String) -> Vec<String> {
    let Some(moves) = &answer.moves else { return Vec::new() };
    let gone = moves.orders.iter().filter(|m| m.what == Change::Gone).count();
    let moved = moves.orders.iter().filter_map(|m| {
        let what = match m.what {
            Change::Came => "is served now",
            Change::Left => "is not served any more",
            Change::Gone => return None,
            Change::Choice => "gets another build",
            Change::Modules => "gets other modules",
        };
        Some(format!("order {} {what}", number(m.order)))
    });
    let gone = match gone {
        0 => None,
        1 => Some("1 order is no longer waiting".to_string()),
        n => Some(format!("{n} orders are no longer waiting")),
    };
    let served = |levels: &Levels| levels.served.iter().map(|t| t.served).collect::<Vec<_>>();
    let all = |levels: &Levels| {
        let tallies = levels.served.iter().map(|t| format!("{} of priority {}", t.served, t.priority));
        tallies.collect::<Vec<_>>().join(", ")
    };
    let afresh = (served(&moves.free) > served(&answer.levels))
        .then(|| format!("worked out afresh, {} would be served, and more would move", all(&moves.free)));
    let still = (moves.modules > 0).then(|| {
        let held = &moves.held;
        let more = if served(held) == served(&answer.levels) { "as many orders".to_string() } else { all(held) };
        format!(
            "{} modules change hands; with nothing moved, {more} would be served, with modules for {}",
            moves.modules, held.cost
        )
    });
    moved.chain(gone).chain(still).chain(afresh).collect()
}

#[cfg(test)]
mod tests {
    use super::{lacks, over};
    use domain::{Currency, Money};
    use engine::allocate::Short;

    #[test]
    fn a_gap_is_never_rounded_down() {
        let euros = |minor| Money::from_minor(minor, Currency::parse("EUR").unwrap());
        assert_eq!(over(euros(10_000), euros(10_000)), "0.00 %");
        assert_eq!(over(euros(10_065), euros(10_000)), "0.65 %");
        assert_eq!(over(euros(1_000_001), euros(1_000_000)), "0.01 %");
        assert_eq!(over(euros(250), euros(0)), "2.50 EUR");
    }

    #[test]
    fn of_many_that_took_it_a_few_are_named() {
        let short = |taken: Vec<(i64, u32)>| Short { sort: 0, needed: 8, free: 1, taken };
        let said =
            |taken| lacks(&short(taken), &["DDR4 16 GiB 2Rx4 RDIMM 2400 used".to_string()], &|id| format!("O-{id:05}"));
        let what = "7 of 8 DDR4 16 GiB 2Rx4 RDIMM 2400 used missing";
        assert_eq!(said(vec![]), what);
        assert_eq!(said(vec![(1, 9), (2, 4)]), format!("{what} (9 went to O-00001, 4 went to O-00002)"));
        let five = said(vec![(1, 9), (2, 8), (3, 7), (4, 6), (5, 5)]);
        assert!(five.ends_with("7 went to O-00003, 11 to 2 other orders)"), "{five}");
    }
}
