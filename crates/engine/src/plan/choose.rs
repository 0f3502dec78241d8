//! The few plans a person sees, chosen by a stated rule, with what each gains and loses.
//!
//! The rule: plans that the maker stands behind before others; then the cheapest, the most bandwidth, at each data
//! rate the lowest price per GB/s of an even fill (of an uneven one where nothing even fits), the most free slots, the
//! most capacity, and the most free slots at that capacity. At most seven, cheapest first.

use super::kinds::{Objectives, Plan};
use domain::finding::Severity;
use std::cmp::Reverse;

const SHOWN_MOST: usize = 7;

/// Writes reasons into the plans and picks the few.
pub fn choose(mut front: Vec<Plan>) -> (Vec<Plan>, Vec<usize>) {
    let supported: Vec<usize> =
        (0..front.len()).filter(|i| front[*i].judgement.count(Severity::Unsupported) == 0).collect();
    let pool: Vec<usize> = if supported.is_empty() { (0..front.len()).collect() } else { supported };
    let mut chosen: Vec<usize> = Vec::new();
    let mut pick = |place: Option<usize>, why: String, front: &mut Vec<Plan>| {
        let Some(place) = place else { return };
        if chosen.contains(&place) || chosen.len() < SHOWN_MOST {
            front[place].why.push(why);
            if !chosen.contains(&place) {
                chosen.push(place);
            }
        }
    };
    let o = |i: &usize, front: &Vec<Plan>| front[*i].objectives;
    let cheapest = pool.iter().copied().min_by_key(|i| (o(i, &front).price, Reverse(o(i, &front).bandwidth)));
    pick(cheapest, "the cheapest".into(), &mut front);
    let fastest = pool.iter().copied().max_by_key(|i| (o(i, &front).bandwidth, Reverse(o(i, &front).price)));
    pick(fastest, "the most bandwidth".into(), &mut front);
    let mut rates: Vec<_> = pool.iter().map(|i| o(i, &front).rate).collect();
    rates.sort_unstable_by(|a, b| b.cmp(a));
    rates.dedup();
    let even: Vec<bool> = front.iter().map(is_even).collect();
    // Uneven fills are shown by value only where nothing even fits.
    let balanced = pool.iter().any(|i| even[*i]);
    for rate in &rates {
        let best = pool
            .iter()
            .copied()
            .filter(|i| o(i, &front).rate == *rate && even[*i] == balanced && !o(i, &front).usable.is_zero())
            .min_by(|a, b| by_value(&front[*a].objectives, &front[*b].objectives));
        let step = if balanced { "even" } else { "uneven" };
        pick(best, format!("the lowest price per GB/s of an {step} fill at {rate}"), &mut front);
    }
    let most = pool.iter().map(|i| o(i, &front).usable).max();
    let alike = || pool.iter().copied().filter(|i| even[*i] == balanced);
    let room = alike().min_by_key(|i| (Reverse(o(i, &front).free), o(i, &front).price));
    pick(room, format!("the most slots left free by an {} fill", if balanced { "even" } else { "uneven" }), &mut front);
    let largest = pool.iter().copied().max_by_key(|i| (o(i, &front).usable, Reverse(o(i, &front).price)));
    pick(largest, "the most capacity".into(), &mut front);
    let grow = alike()
        .filter(|i| Some(o(i, &front).usable) == most)
        .min_by_key(|i| (Reverse(o(i, &front).free), o(i, &front).price));
    pick(grow, "the most slots left free at the most capacity".into(), &mut front);
    chosen.sort_by_key(|i| o(i, &front));
    for plan in &mut front {
        if plan.why.is_empty() {
            plan.why.push("no other plan is as good by every measure".into());
        }
    }
    for i in 0..chosen.len() {
        let own = front[chosen[i]].objectives;
        let mut sentences = Vec::new();
        if i > 0 {
            sentences.push(against(&own, &front[chosen[i - 1]], "the plan before"));
        }
        if let Some(next) = chosen.get(i + 1) {
            sentences.push(against(&own, &front[*next], "the plan after"));
        }
        front[chosen[i]].against = sentences;
    }
    (front, chosen)
}

/// One region on every socket, all as large.
fn is_even(plan: &Plan) -> bool {
    let regions = &plan.judgement.regions;
    let mut sockets: Vec<u8> = regions.iter().map(|r| r.socket).collect();
    sockets.dedup();
    sockets.len() == regions.len()
        && regions.len() == plan.build.processors.iter().flatten().count()
        && regions.windows(2).all(|w| w[0].capacity == w[1].capacity && w[0].width == w[1].width)
}

/// Lowest price per bandwidth first, in whole numbers; then more capacity.
fn by_value(a: &Objectives, b: &Objectives) -> std::cmp::Ordering {
    let cross = |x: &Objectives, y: &Objectives| i128::from(x.price) * i128::from(y.bandwidth.mbs());
    cross(a, b).cmp(&cross(b, a)).then(b.usable.cmp(&a.usable)).then(a.cmp(b))
}

/// What `own` gains and loses against another plan, in one sentence.
fn against(own: &Objectives, other_plan: &Plan, name: &str) -> String {
    let other = &other_plan.objectives;
    let currency = other_plan.price.currency();
    let mut gains = Vec::new();
    let mut losses = Vec::new();
    let mut weigh = |better: bool, same: bool, text: String| {
        if !same {
            if better { gains.push(text) } else { losses.push(text) }
        }
    };
    let money = domain::Money::from_minor((own.price - other.price).abs(), currency);
    let dearer = if own.price < other.price { "cheaper" } else { "dearer" };
    weigh(own.price < other.price, own.price == other.price, format!("{money} {dearer}"));
    let (more, less) = (own.usable.max(other.usable), own.usable.min(other.usable));
    let word = |better: bool| if better { "more" } else { "less" };
    let better = own.usable > other.usable;
    weigh(better, own.usable == other.usable, format!("{} {}", more - less, word(better)));
    let gap = own.bandwidth.mbs().abs_diff(other.bandwidth.mbs());
    let better = own.bandwidth > other.bandwidth;
    let gap_text = domain::Bandwidth::from_mbs(gap);
    weigh(better, gap == 0, format!("{gap_text} {}", word(better)));
    let better = own.rate > other.rate;
    let step = own.rate.mts().abs_diff(other.rate.mts());
    weigh(better, step == 0, format!("{step} MT/s {}", if better { "faster" } else { "slower" }));
    let better = own.free > other.free;
    let count = |n: u16, one: &str, many: &str| format!("{n} {}", if n == 1 { one } else { many });
    let few = |better: bool| if better { "more" } else { "fewer" };
    let slots = count(own.free.abs_diff(other.free), "slot", "slots");
    weigh(better, own.free == other.free, format!("{slots} {} free", few(better)));
    let better = own.bought < other.bought;
    let modules = count(own.bought.abs_diff(other.bought), "module", "modules");
    weigh(better, own.bought == other.bought, format!("{modules} {} to buy", few(!better)));
    // No plan of a front is better by nothing or worse by nothing than another, but by what is not weighed here.
    match (gains.is_empty(), losses.is_empty()) {
        (false, false) => format!("beside {name}: {}; but {}", gains.join(", "), losses.join(", ")),
        (false, true) => format!("beside {name}: {}", gains.join(", ")),
        (true, false) => format!("beside {name}: {}", losses.join(", ")),
        (true, true) => format!("beside {name}: the same by every measure"),
    }
}
