//! How likely each cause is before any test: common practice without a source, which the shop's own outcomes take over.
//!
//! A Dirichlet of weight 20 around the figures below, plus one count for every outcome of the shop's own.

use super::model::Hypothesis;
use super::symptom::Symptom;
use domain::fault::{CAUSES, Cause, Outcome, Remedy, Sign};

/// How many outcomes of the shop's own weigh as much as the figures here; no source.
pub const WEIGHT: f64 = 20.0;
/// The share of two faults at once, on the likeliest pairs; no source. (Of 2,000 faulty devices in the field 2 had more
/// than one fault: Sridharan and Liberty, SC 2012, second hand. A fresh build has more ways to go wrong twice.)
pub const TWO_AT_ONCE: f64 = 0.03;
const PAIRS: usize = 3;

/// The default figures of a symptom by cause, in the order of [`Cause::ALL`]; common practice, no source.
fn defaults(symptom: &Symptom) -> [f64; CAUSES] {
    // seating, module, slot, channel, contact, processor, board, configuration, firmware
    match symptom.sign {
        Sign::NoBoot => [0.34, 0.16, 0.05, 0.03, 0.12, 0.03, 0.06, 0.13, 0.08],
        Sign::MissingModule => [0.42, 0.20, 0.10, 0.01, 0.10, 0.02, 0.01, 0.10, 0.04],
        Sign::MissingChannel => [0.15, 0.12, 0.08, 0.03, 0.50, 0.05, 0.02, 0.04, 0.01],
        Sign::MissingProcessor => [0.04, 0.02, 0.01, 0.02, 0.55, 0.12, 0.14, 0.06, 0.04],
        // A size between the old and the new is nearly always a matter of support: Thompson and Thompson, PC Hardware
        // in a Nutshell, 2003. The split itself has no source.
        Sign::WrongSize => [0.18, 0.14, 0.04, 0.01, 0.06, 0.01, 0.01, 0.30, 0.25],
        Sign::Slow => [0.01, 0.17, 0.01, 0.01, 0.01, 0.01, 0.01, 0.52, 0.25],
        Sign::Correctable if symptom.slots.len() > 1 => [0.10, 0.15, 0.05, 0.03, 0.45, 0.10, 0.05, 0.05, 0.02],
        Sign::Correctable => [0.12, 0.66, 0.06, 0.01, 0.10, 0.02, 0.01, 0.01, 0.01],
        Sign::Uncorrectable => [0.25, 0.40, 0.09, 0.02, 0.14, 0.03, 0.01, 0.04, 0.02],
    }
}

/// The probability of each cause alone, with the shop's own outcomes; they sum up to 1.
pub fn causes(symptom: &Symptom, outcomes: &[Outcome]) -> [f64; CAUSES] {
    let mut weights = defaults(symptom).map(|p| p * WEIGHT);
    for outcome in outcomes.iter().filter(|o| o.sign == symptom.sign) {
        weights[outcome.cause.number()] += f64::from(outcome.count);
    }
    let sum: f64 = weights.iter().sum();
    weights.map(|w| w / sum)
}

/// How many outcomes of the shop's own went in.
pub fn counted(symptom: &Symptom, outcomes: &[Outcome]) -> u64 {
    outcomes.iter().filter(|o| o.sign == symptom.sign).map(|o| u64::from(o.count)).sum()
}

/// The hypotheses: each cause alone, then the likeliest pairs of causes with different remedies.
pub fn hypotheses(symptom: &Symptom, outcomes: &[Outcome]) -> Vec<Hypothesis> {
    let each = causes(symptom, outcomes);
    let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
    for a in 0..CAUSES {
        for b in a + 1..CAUSES {
            if Cause::ALL[a].remedy() != Cause::ALL[b].remedy() {
                pairs.push((each[a] * each[b], a, b));
            }
        }
    }
    pairs.sort_by(|x, y| y.0.total_cmp(&x.0).then((x.1, x.2).cmp(&(y.1, y.2))));
    pairs.truncate(PAIRS);
    let sum: f64 = pairs.iter().map(|p| p.0).sum();
    let alone = Cause::ALL.iter().map(|c| Hypothesis {
        prior: each[c.number()] * (1.0 - TWO_AT_ONCE),
        faults: vec![c.number()],
        remedy: c.remedy().number(),
    });
    let both = pairs.iter().map(|(p, a, b)| Hypothesis {
        prior: TWO_AT_ONCE * p / sum,
        faults: vec![*a, *b],
        remedy: Remedy::Two.number(),
    });
    alone.chain(both).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use domain::board::SlotIndex;

    #[test]
    fn the_defaults_of_every_sign_sum_up_to_one() {
        for sign in Sign::ALL {
            for slots in [vec![SlotIndex(0)], vec![SlotIndex(0), SlotIndex(1)]] {
                let sum: f64 = defaults(&Symptom { sign, slots }).iter().sum();
                assert!((sum - 1.0).abs() < 1e-9, "{sign}: {sum}");
            }
        }
    }

    #[test]
    fn twenty_outcomes_of_ones_own_weigh_as_much_as_the_defaults() {
        let symptom = Symptom { sign: Sign::MissingModule, slots: vec![SlotIndex(0)] };
        let own = [Outcome { sign: Sign::MissingModule, cause: Cause::Slot, count: 20 }];
        let told = causes(&symptom, &own);
        assert!((told[Cause::Slot.number()] - (0.10 + 1.0) / 2.0).abs() < 1e-12);
        let other = [Outcome { sign: Sign::NoBoot, ..own[0] }];
        assert_eq!(causes(&symptom, &other), causes(&symptom, &[]), "of another sign");
        let all: f64 = hypotheses(&symptom, &own).iter().map(|h| h.prior).sum();
        assert!((all - 1.0).abs() < 1e-12);
    }
}
