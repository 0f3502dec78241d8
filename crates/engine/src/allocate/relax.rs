//! Lagrangian prices of the sorts: with a price per module each order decides alone, which bounds what all can reach together.
//! Held, Wolfe, Crowder 1974 (subgradient steps), Camerini, Fratta, Maffioli 1975 (deflected direction). Figures in whole scaled
//! numbers, so that a bound is exact whatever prices it is taken at.

use super::frame::{Ask, Core, Opt};

/// One order counts so much in a bound of orders.
pub(super) const COUNT: i64 = 1 << 14;
/// One minor unit of money counts so much in a bound of cost.
pub(super) const MINOR: i64 = 1 << 8;
/// The highest price: with at most 2^24 modules no sum passes 63 bits.
const DEAREST: f64 = (1_u64 << 36) as f64;

/// The orders under question, and what all others use.
#[derive(Clone, Copy)]
pub(super) struct Part<'a> {
    pub core: &'a Core,
    pub asks: &'a [usize],
    pub base: &'a [u32],
}

/// What a class of priority is asked for in a bound of orders.
#[derive(Debug, Clone, Copy)]
pub(super) enum Role {
    /// Just so many of them.
    Exactly(u32),
    /// Each counts so much.
    Weight(i64),
}

/// Prices with the bound that they give.
#[derive(Debug, Clone)]
pub(super) struct Priced {
    /// By sort, scaled.
    pub prices: Vec<i64>,
    /// Scaled: above all that orders can reach, or below all that cost can.
    pub bound: i64,
}

/// What an option is worth at prices.
pub(super) fn price(option: &Opt, prices: &[i64]) -> i64 {
    option.needs.iter().map(|&(s, n)| prices[s] * i64::from(n)).sum()
}

/// The cheapest option of an order with its price, other costs counted at `other` each.
pub(super) fn cheapest(ask: &Ask, prices: &[i64], other: i64) -> Option<(i64, usize)> {
    ask.options.iter().enumerate().map(|(i, o)| (o.other * other + price(o, prices), i)).min()
}

/// How many modules of a sort cost less than its price.
pub(super) fn worth(curve: &[i64], price: i64) -> usize {
    let (mut low, mut high) = (0, curve.len() - 1);
    while low < high {
        let mid = (low + high) / 2;
        if (curve[mid + 1] - curve[mid]) * MINOR < price {
            low = mid + 1;
        } else {
            high = mid;
        }
    }
    low
}

/// Prices that bound how many orders (by weight) can be served. `reached` is what some answer has.
pub(super) fn orders(part: Part, roles: &[Role], start: &[i64], rounds: usize, reached: i64) -> Priced {
    let eval = |prices: &[i64], slope: &mut [i64]| {
        let mut sum = 0;
        for (s, out) in slope.iter_mut().enumerate() {
            *out = i64::from(part.core.supply(s) - part.base[s]);
            sum += prices[s] * *out;
        }
        for (class, role) in roles.iter().enumerate() {
            for (least, ask, option) in taken(part, class, *role, prices, 0) {
                let weight = if let Role::Weight(w) = role { w * COUNT } else { 0 };
                sum += weight - least;
                spend(&part.core.asks[ask].options[option], slope, -1);
            }
        }
        // The bound is to be low: turned about, so that it climbs.
        slope.iter_mut().for_each(|g| *g = -*g);
        -sum
    };
    let most = roles.iter().map(|r| if let Role::Weight(w) = r { *w * COUNT } else { 0 }).max().unwrap_or(0);
    let mut found = climb(start, rounds, -reached * COUNT, most as f64, eval);
    found.bound = -found.bound;
    found
}

/// Prices that bound the cost of serving so many orders of each class. `reached` is the cost of some answer.
pub(super) fn cost(part: Part, counts: &[u32], start: &[i64], rounds: usize, reached: i64) -> Priced {
    let eval = |prices: &[i64], slope: &mut [i64]| {
        let mut sum = 0;
        for (s, out) in slope.iter_mut().enumerate() {
            let (curve, base) = (&part.core.curves[s], part.base[s] as usize);
            let best = worth(curve, prices[s]).max(base);
            let more = i64::try_from(best - base).unwrap_or(0);
            sum += (curve[best] - curve[base]) * MINOR - prices[s] * more;
            *out = -more;
        }
        for (class, n) in counts.iter().enumerate() {
            for (least, ask, option) in taken(part, class, Role::Exactly(*n), prices, MINOR) {
                sum += least;
                spend(&part.core.asks[ask].options[option], slope, 1);
            }
        }
        sum
    };
    climb(start, rounds, reached * MINOR, DEAREST, eval)
}

/// Which orders of a class are served at prices, with price, order and option.
fn taken(part: Part, class: usize, role: Role, prices: &[i64], other: i64) -> Vec<(i64, usize, usize)> {
    let mine = part.asks.iter().filter(|&&a| part.core.asks[a].class == class);
    let all = mine.filter_map(|&a| cheapest(&part.core.asks[a], prices, other).map(|(p, o)| (p, a, o))).collect();
    chosen(all, role)
}

/// Those of a class that are served, given price, order and option of all.
pub(super) fn chosen(mut all: Vec<(i64, usize, usize)>, role: Role) -> Vec<(i64, usize, usize)> {
    match role {
        Role::Weight(w) => all.retain(|(p, _, _)| *p < w * COUNT),
        Role::Exactly(n) => {
            let n = n as usize;
            if n > 0 && n < all.len() {
                all.select_nth_unstable(n - 1);
            }
            all.truncate(n);
        }
    }
    all
}

fn spend(option: &Opt, slope: &mut [i64], sign: i64) {
    for &(s, n) in &option.needs {
        slope[s] += sign * i64::from(n);
    }
}

/// Climbs a concave bound from prices; `aim` is a value that it can't pass.
pub(super) fn climb(
    start: &[i64],
    rounds: usize,
    aim: i64,
    most: f64,
    eval: impl Fn(&[i64], &mut [i64]) -> i64,
) -> Priced {
    let mut at: Vec<f64> = start.iter().map(|p| *p as f64).collect();
    let mut prices = start.to_vec();
    let mut slope = vec![0; start.len()];
    let mut way = vec![0.0; start.len()];
    let mut best = Priced { prices: prices.clone(), bound: i64::MIN };
    // Where all options tie, as at prices of nothing, a step rarely climbs: then it goes on from where it came to, not from the start.
    let (mut stride, mut stale, mut climbed) = (1.0, 0, false);
    for _ in 0..=rounds {
        slope.fill(0);
        let value = eval(&prices, &mut slope);
        if value > best.bound {
            climbed = best.bound > i64::MIN;
            best = Priced { prices: prices.clone(), bound: value };
            stale = 0;
        } else {
            stale += 1;
        }
        if stale > 12 {
            (stride, stale) = (stride * 0.7, 0);
            if climbed {
                at = best.prices.iter().map(|p| *p as f64).collect();
            }
        }
        let gap = (aim.saturating_sub(value)) as f64;
        let mut length = 0.0;
        for (i, g) in slope.iter().enumerate() {
            let blocked = (at[i] <= 0.0 && *g < 0) || (at[i] >= most && *g > 0);
            way[i] = if blocked { 0.0 } else { *g as f64 + 0.6 * way[i] };
            length += way[i] * way[i];
        }
        if gap <= 0.0 || length == 0.0 || stride < 1e-4 {
            break;
        }
        for (i, p) in at.iter_mut().enumerate() {
            *p = (*p + stride * gap / length * way[i]).clamp(0.0, most);
            prices[i] = p.round() as i64;
        }
    }
    best
}
