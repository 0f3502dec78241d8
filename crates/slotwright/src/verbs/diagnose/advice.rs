//! From the engine's advice to the view.

use super::view::{AnswerView, BeliefView, DiagnoseView, NextView, OtherView, StepView, SymptomView, VerdictView};
use super::{CANNOT, GONE};
use engine::diagnose::kit::{self, Deed};
use engine::diagnose::session::{HAND_ON, SURE, Then};
use engine::diagnose::{Advice, Aim, Case, Cause, Choice, Next, Remedy, Said, Step, priors};

/// From this share on another cause is named beside the verdict; no source.
const OPEN: f64 = 0.05;

/// The whole view.
pub fn view(case: &Case<'_>, steps: &[Step], advice: &Advice, notes: Vec<String>) -> DiagnoseView {
    let around = &case.around;
    let (next, verdict, remaining) = match &advice.next {
        Next::Test(choice) => (Some(next(case, choice)), None, choice.expected),
        Next::Runs { remedy, share, hidden } => {
            (None, Some(runs(case, steps, advice, (*remedy, *share), *hidden)), 0.0)
        }
        Next::Verdict { remedy, share, expected } => {
            (None, Some(ended(case, steps, advice, (*remedy, *share))), *expected)
        }
    };
    let start_from = if around.start_told { "the board's own figure" } else { "common practice, no source" };
    DiagnoseView {
        board: around.build.board.id.clone(),
        symptom: SymptomView {
            sign: around.symptom.sign.to_string(),
            place: around.place(),
            slots: around.symptom.slots.iter().map(|s| around.label(*s).to_string()).collect(),
        },
        aim: case.setting.aim.word().to_string(),
        finished: next.is_none(),
        beliefs: beliefs(case, &advice.beliefs),
        beliefs_from: beliefs_from(case),
        cautions: match &advice.next {
            Next::Test(choice) => case.deeds.get(choice.test).map_or_else(Vec::new, |d| cautions(case, d)),
            _ => Vec::new(),
        },
        next,
        verdict,
        spent_minutes: advice.spent,
        remaining_minutes: tenth(remaining),
        clean_starts: case.clean_starts,
        start_minutes: around.start.get(),
        start_from: start_from.to_string(),
        record: record(case, steps, advice),
        answers: steps.iter().map(|s| written(case, s)).collect(),
        notes,
    }
}

fn tenth(figure: f64) -> f64 {
    (figure * 10.0).round() / 10.0
}

fn percent(share: f64) -> f64 {
    tenth(share * 100.0)
}

/// The words of a hypothesis.
fn named(case: &Case<'_>, hypothesis: usize) -> (String, String) {
    let faults = case.model.hypotheses.get(hypothesis).map_or(&[][..], |h| &h.faults);
    let causes: Vec<Cause> = faults.iter().filter_map(|f| Cause::ALL.get(*f).copied()).collect();
    let words: Vec<&str> = causes.iter().map(|c| c.word()).collect();
    let titles: Vec<&str> = causes.iter().map(|c| c.title()).collect();
    (words.join("+"), titles.join(", and with it "))
}

/// Beliefs of half a percent or more, the likeliest first.
fn beliefs(case: &Case<'_>, shares: &[f64]) -> Vec<BeliefView> {
    let mut order: Vec<usize> = (0..shares.len()).collect();
    order.sort_by(|a, b| shares[*b].total_cmp(&shares[*a]).then(a.cmp(b)));
    let shown = order.into_iter().filter(|i| shares[*i] >= 0.005);
    shown
        .map(|i| {
            let (cause, title) = named(case, i);
            BeliefView { cause, title, percent: percent(shares[i]) }
        })
        .collect()
}

fn beliefs_from(case: &Case<'_>) -> String {
    match priors::counted(case.around.symptom, &case.setting.outcomes) {
        0 => "common practice, no source".to_string(),
        n => format!("common practice, no source, at a weight of {}, and {n} outcomes of your own", priors::WEIGHT),
    }
}

/// The likeliest cause after something, and its share.
fn top(case: &Case<'_>, shares: &[f64]) -> (String, f64) {
    let best = (0..shares.len()).reduce(|a, b| if shares[b] > shares[a] { b } else { a });
    best.map_or((String::new(), 0.0), |b| (named(case, b).0, percent(shares[b])))
}

fn said(deed: &Deed, said: Said) -> (String, String) {
    match said {
        Said::Answer(n) => deed.answers.get(n).map_or_else(Default::default, |a| (a.word.to_string(), a.text.clone())),
        Said::Gone => (GONE.to_string(), deed.gone.clone().unwrap_or_default()),
        Said::Cannot => (CANNOT.to_string(), "it can't be done now".to_string()),
    }
}

fn written(case: &Case<'_>, step: &Step) -> String {
    case.deeds.get(step.0).map_or_else(String::new, |d| format!("{}={}", d.name, said(d, step.1).0))
}

fn record(case: &Case<'_>, steps: &[Step], advice: &Advice) -> Vec<StepView> {
    let after = advice.course.iter().skip(1);
    let of = |((number, answer), shares): (&Step, &Vec<f64>)| {
        let deed = case.deeds.get(*number)?;
        let (word, text) = said(deed, *answer);
        let (then, then_percent) = top(case, shares);
        let minutes = match answer {
            Said::Cannot => 0,
            Said::Gone => case.minutes_if_gone(*number),
            Said::Answer(_) => deed.minutes(&case.around),
        };
        let (test, title) = (deed.name.to_string(), deed.title.clone());
        Some(StepView { test, title, answer: word, text, minutes, then, then_percent })
    };
    steps.iter().zip(after).filter_map(of).collect()
}

fn next(case: &Case<'_>, choice: &Choice) -> NextView {
    let deed = &case.deeds[choice.test];
    let others = choice.others.iter().take(5).filter_map(|(test, minutes)| {
        let deed = case.deeds.get(*test)?;
        Some(OtherView {
            test: deed.name.to_string(),
            title: deed.title.clone(),
            minutes: deed.minutes(&case.around),
            expected_minutes: tenth(*minutes),
        })
    });
    NextView {
        test: deed.name.to_string(),
        title: deed.title.clone(),
        how: how(case, deed),
        minutes: deed.minutes(&case.around),
        risk: deed.risk.0.to_string(),
        risk_minutes: deed.risk.1,
        answers: choice.then.iter().map(|t| answer(case, deed, t)).collect(),
        why: why(case, choice),
        unless: unless(case, choice),
        exact: choice.above == 0.0,
        above_minutes: tenth(choice.above),
        others: others.collect(),
    }
}

fn how(case: &Case<'_>, deed: &Deed) -> Vec<String> {
    let mut how = deed.how.clone();
    if deed.starts {
        let minutes = case.around.start.get();
        how.push(match case.clean_starts {
            1 => format!("Start it: about {minutes} min with memory training; do not cut the power meanwhile."),
            n => format!(
                "Start it up to {n} times, about {minutes} min each: once with the symptom means it is still there; {n} \
                 clean ones make it {:.0} % sure that it is gone, where both were as likely before.",
                SURE * 100.0
            ),
        });
        if case.around.symptom.sign.is_errors() {
            how.push(format!("Clear the counters and exercise the memory for {} min.", kit::EXERCISE));
        }
    }
    how
}

fn answer(case: &Case<'_>, deed: &Deed, then: &Then) -> AnswerView {
    let (word, text) = said(deed, then.said);
    let (cause, share) = top(case, &then.beliefs);
    let then_test = then.test.and_then(|t| case.deeds.get(t)).map(|d| d.name.to_string());
    AnswerView { word, text, percent: percent(then.share), then: cause, then_percent: share, then_test }
}

/// Why this test, in sentences.
fn why(case: &Case<'_>, choice: &Choice) -> Vec<String> {
    let mut why = Vec::new();
    let expected = choice.expected;
    let name = |test: usize| case.deeds.get(test).map_or("", |d| d.name);
    if choice.above > 0.0 {
        why.push(format!(
            "With it first, {expected:.1} min are expected at most from here; no way takes less than {:.1} min. There are \
             too many ways to try them all.",
            expected - choice.above
        ));
    } else {
        why.push(format!(
            "With it first, {expected:.1} min are expected from here, risks counted as minutes: the least of all ways \
             ({} courses of answers weighed).",
            choice.histories
        ));
    }
    if let Some((other, minutes)) = choice.others.first() {
        why.push(format!("The next best first test is {} with {minutes:.1} min.", name(*other)));
    }
    why.push(match case.setting.aim {
        Aim::Run => format!("To hand it on now is taken to cost {HAND_ON} min (no source)."),
        Aim::Prove => format!("A verdict now would cost {:.1} min for the chance that it is wrong.", choice.end),
    });
    why
}

/// What would change its mind, in sentences.
fn unless(case: &Case<'_>, choice: &Choice) -> Vec<String> {
    let mut unless = Vec::new();
    if let (Some((other, minutes)), Some(own)) = (choice.others.first(), case.deeds.get(choice.test)) {
        let more = minutes - choice.expected;
        if let Some(deed) = case.deeds.get(*other) {
            unless.push(format!(
                "Where {} takes {more:.1} min more than the {} counted, or {} so much less, {} comes first.",
                own.name,
                own.minutes(&case.around),
                deed.name,
                deed.name
            ));
        }
    }
    unless.push(format!("Where it can't be done now, say {CANNOT}: another one is chosen."));
    unless
}

/// What to be careful of.
fn cautions(case: &Case<'_>, deed: &Deed) -> Vec<String> {
    let mut all: Vec<&str> = Vec::new();
    if deed.off {
        all.push(
            "Shut down, pull every power cord, and wait for the standby light to go out before you touch anything.",
        );
        all.push("Wear the wrist strap. Modules and heat sinks may be hot: let them cool for some minutes.");
    }
    if deed.processor {
        all.push("Processor: the maker's order and torque stand in the board's manual; follow them, and no others.");
        all.push("Never straighten a contact of the socket, and never touch one: a bent one means another board.");
    }
    if deed.processor || deed.name == "clear-settings" || deed.name == "update-firmware" {
        all.push("The customer's data: know that there is a backup, and note settings and keys before you go on.");
    }
    if case.around.nonvolatile {
        all.push("Non-volatile modules may hold the customer's data: leave them in their slots, and in their order.");
    }
    all.iter().map(ToString::to_string).collect()
}

/// Which step brought most of what a remedy is believed with.
fn turned(case: &Case<'_>, steps: &[Step], advice: &Advice, remedy: usize) -> Option<String> {
    let share = |shares: &Vec<f64>| {
        let own = case.model.hypotheses.iter().zip(shares).filter(|(h, _)| h.remedy == remedy);
        own.map(|(_, s)| s).sum::<f64>()
    };
    let course: Vec<f64> = advice.course.iter().map(share).collect();
    let gains = course.windows(2).map(|w| w[1] - w[0]).enumerate();
    let (best, gain) = gains.reduce(|a, b| if b.1 > a.1 { b } else { a })?;
    let step = steps.get(best).filter(|_| gain > 0.0)?;
    Some(format!(
        "Most came of {}: from {:.1} % to {:.1} %.",
        written(case, step),
        course[best] * 100.0,
        course[best + 1] * 100.0
    ))
}

fn remedy(number: usize) -> Remedy {
    Remedy::ALL.get(number).copied().unwrap_or(Remedy::Two)
}

fn verdict(case: &Case<'_>, advice: &Advice, of: (usize, f64), runs: bool, reason: Vec<String>) -> VerdictView {
    let remedy = remedy(of.0);
    let around = &case.around;
    let place = match remedy {
        Remedy::Contact | Remedy::Processor => format!("socket {}", around.socket_name(around.socket)),
        Remedy::Settings | Remedy::Firmware => "the machine".to_string(),
        Remedy::Seat | Remedy::Module | Remedy::Board | Remedy::Two => around.place(),
    };
    // Of two faults at once, where one of them asks for the same.
    let asks = |fault: &usize| Cause::ALL.get(*fault).is_some_and(|c| c.remedy() == remedy);
    let same = case.model.hypotheses.iter().zip(&advice.beliefs);
    let among: f64 = same.filter(|(h, _)| h.remedy == of.0 || h.faults.iter().any(asks)).map(|(_, s)| s).sum();
    let proven = among >= SURE;
    let act = if proven { remedy.act().to_string() } else { likely(remedy.act()) };
    VerdictView { remedy: remedy.word().to_string(), act, place, percent: percent(of.1), proven, runs, reason }
}

/// The same act where it is not proven.
fn likely(act: &str) -> String {
    let mut rest = act.chars();
    let first = rest.next().map(|c| c.to_lowercase().to_string()).unwrap_or_default();
    format!("Not proven, but most likely: {first}{}", rest.as_str())
}

/// Other causes that are still in question, in a sentence.
fn still_open(case: &Case<'_>, shares: &[f64], remedy: usize) -> Option<String> {
    let mut open: Vec<(usize, f64)> = shares
        .iter()
        .enumerate()
        .filter(|(i, share)| **share >= OPEN && case.model.hypotheses.get(*i).is_some_and(|h| h.remedy != remedy))
        .map(|(i, share)| (i, *share))
        .collect();
    open.sort_by(|a, b| b.1.total_cmp(&a.1));
    let words: Vec<String> = open.iter().map(|(i, s)| format!("{} ({:.0} %)", named(case, *i).1, s * 100.0)).collect();
    (!words.is_empty()).then(|| format!("It can still be: {}.", words.join("; ")))
}

/// What to do with the parts that came out for others, in sentences.
fn taken_out(case: &Case<'_>, steps: &[Step], shares: &[f64]) -> Vec<String> {
    let bad = |causes: &[Cause]| {
        let has = |h: &&(usize, f64)| {
            case.model.hypotheses.get(h.0).is_some_and(|m| causes.iter().any(|c| m.faults.contains(&c.number())))
        };
        let all: Vec<(usize, f64)> = shares.iter().copied().enumerate().collect();
        all.iter().filter(has).map(|(_, s)| s * 100.0).sum::<f64>()
    };
    let done = steps.iter().filter(|(_, said)| *said != Said::Cannot).filter_map(|(test, _)| case.deeds.get(*test));
    done.filter_map(|deed| match deed.name {
        "fit-spare" => Some(format!(
            "What the spare replaced is bad with {:.0} %: mark it, and put it back on no shelf before it has run without \
             error in another machine.",
            bad(&[Cause::Module])
        )),
        "new-processor" => Some(format!(
            "The processor that came out is bad with {:.0} %: mark it, and try it elsewhere before it is used or sent back.",
            bad(&[Cause::Processor])
        )),
        "new-board" => Some(format!(
            "The board that came out is bad with {:.0} %: mark it, and try it elsewhere before it is used or sent back.",
            bad(&[Cause::Slot, Cause::Channel, Cause::Contact, Cause::Board])
        )),
        _ => None,
    })
    .collect()
}

fn runs(case: &Case<'_>, steps: &[Step], advice: &Advice, of: (usize, f64), hidden: f64) -> VerdictView {
    let mut reason = vec!["The symptom is gone.".to_string()];
    reason.extend(turned(case, steps, advice, of.0));
    reason.extend(still_open(case, &advice.beliefs, of.0));
    reason.extend(taken_out(case, steps, &advice.beliefs));
    if hidden > 0.0 {
        reason.push(format!(
            "With a chance of {:.1} % it only hides: {} clean starts were asked for.",
            hidden * 100.0,
            case.clean_starts
        ));
    }
    verdict(case, advice, of, true, reason)
}

fn ended(case: &Case<'_>, steps: &[Step], advice: &Advice, of: (usize, f64)) -> VerdictView {
    let mut reason: Vec<String> = turned(case, steps, advice, of.0).into_iter().collect();
    reason.extend(still_open(case, &advice.beliefs, of.0));
    reason.extend(taken_out(case, steps, &advice.beliefs));
    reason.push(match case.setting.aim {
        Aim::Prove => "No test that is left is worth its minutes for what it could still change.".to_string(),
        Aim::Run => format!(
            "No test that is left is worth its minutes: exchange what is still in question together, or hand the machine \
             on; that is taken to cost {HAND_ON} min (no source)."
        ),
    });
    verdict(case, advice, of, false, reason)
}
