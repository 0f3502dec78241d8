//! `diagnose` as its user meets it: by hand and from a report, answers in order, cautions, outcomes of one's own.

use crate::program::{Place, Told};

const PLAN: &str = "build-24x64.toml";

fn place() -> Place {
    let place = Place::new();
    place.example(PLAN);
    place
}

fn by_hand(place: &Place, more: &[&str]) -> Told {
    let mut args = vec!["diagnose", PLAN, "--symptom", "missing", "--at", "west-1-outer"];
    args.extend(more);
    place.run(&args)
}

fn next(told: &Told) -> String {
    told.json()["next"]["test"].as_str().unwrap_or_else(|| panic!("{}", told.out)).to_string()
}

#[test]
fn a_report_and_the_same_symptom_by_hand_give_the_same_advice() {
    let place = Place::new();
    let told = std::fs::read_to_string(crate::top().join("scenarios/compared-with-the-plan.md")).unwrap();
    let block = |kind: &str| {
        let (_, rest) = told.split_once(&format!("```{kind}\n")).unwrap();
        rest.split_once("```").unwrap().0.to_string()
    };
    place.write("plan.toml", block("toml plan.toml"));
    place.write("seen.json", block("json seen.json"));
    let seen = place.run(&["diagnose", "plan.toml", "seen.json", "--json"]);
    let hand = place.run(&["diagnose", "plan.toml", "--symptom", "missing", "--at", "west-2-outer", "--json"]);
    assert_eq!(seen.json()["symptom"]["slots"], serde_json::json!(["west-2-outer"]), "{}", seen.err);
    assert_eq!(seen.json()["beliefs"], hand.json()["beliefs"]);
    assert_eq!(seen.json()["next"], hand.json()["next"]);
    assert!(seen.json()["notes"].to_string().contains("--difference"), "the other differences are told");
    let slow = place.run(&["diagnose", "plan.toml", "seen.json", "--difference", "3", "--json"]);
    assert_eq!(slow.json()["symptom"]["sign"], "slow");
    let none = place.run(&["diagnose", "plan.toml", "seen.json", "--difference", "9"]);
    assert_eq!((none.code, none.err.contains("(1) missing")), (Some(2), true), "{}", none.err);
}

#[test]
fn a_record_is_read_again_and_goes_on_where_it_stopped() {
    let place = place();
    let first = by_hand(&place, &["--did", "swap-neighbour=moves", "--record", "so-far.txt", "--json"]);
    assert_eq!(first.code, Some(1), "{}", first.err);
    assert!(place.read("so-far.txt").contains("\nswap-neighbour=moves #"), "{}", place.read("so-far.txt"));
    let again = by_hand(&place, &["--answers", "so-far.txt", "--json"]);
    assert_eq!(again.out, first.out);
    let ended = by_hand(&place, &["--answers", "so-far.txt", "--did", "fit-spare=gone", "--json"]);
    let view = ended.json();
    assert_eq!(
        (ended.code, &view["finished"], &view["verdict"]["remedy"]),
        (Some(0), &true.into(), &"replace-module".into())
    );
    assert!(view["verdict"]["percent"].as_f64().unwrap() > 90.0, "{}", ended.out);
    assert_eq!(view["record"].as_array().unwrap().len(), 2);
}

#[test]
fn the_order_of_answers_does_not_matter_to_what_is_believed() {
    let place = place();
    let one = by_hand(&place, &["--did", "look=nothing", "--did", "reseat=stays", "--json"]).json();
    let other = by_hand(&place, &["--did", "reseat=stays", "--did", "look=nothing", "--json"]).json();
    assert_eq!(one["beliefs"], other["beliefs"]);
    assert_eq!(one["next"], other["next"]);
}

#[test]
fn what_cannot_be_done_is_passed_over_to_the_end_with_cautions_at_the_processor() {
    let place = place();
    let mut said: Vec<String> = Vec::new();
    let mut lifted = 0;
    loop {
        let mut more: Vec<&str> = said.iter().flat_map(|s| ["--did", s]).collect();
        more.push("--json");
        let told = by_hand(&place, &more);
        let view = told.json();
        if view["finished"] == true {
            break;
        }
        let test = next(&told);
        let cautions = view["cautions"].to_string();
        if test.contains("processor") || test == "new-board" {
            lifted += 1;
            assert!(cautions.contains("torque") && cautions.contains("Never straighten"), "{test}: {cautions}");
        }
        if view["next"]["how"].to_string().contains("Take") {
            assert!(cautions.contains("power cord") && cautions.contains("wrist strap"), "{test}: {cautions}");
        }
        said.push(format!("{test}=cant"));
        assert!(said.len() < 25, "it does not end: {said:?}");
    }
    assert!(lifted > 0 && said.len() > 5, "{said:?}");
}

#[test]
fn own_outcomes_take_over_and_their_faults_have_a_line() {
    let place = place();
    let own = "[[outcome]]\nsymptom = \"missing-module\"\ncause = \"slot\"\ncount = 400\n";
    place.write("own.toml", own);
    let told = by_hand(&place, &["--outcomes", "own.toml", "--json"]).json();
    assert_eq!(told["beliefs"][0]["cause"], "slot");
    assert!(told["beliefs_from"].as_str().unwrap().contains("400 outcomes of your own"));
    place.write("own.toml", own.replace("\"slot\"", "\"slit\""));
    let wrong = by_hand(&place, &["--outcomes", "own.toml"]);
    assert_eq!(wrong.code, Some(2));
    assert!(wrong.err.contains("own.toml:3") && wrong.err.contains("did you mean `slot`"), "{}", wrong.err);
}

#[test]
fn a_symptom_that_comes_and_goes_asks_for_clean_starts() {
    let place = place();
    let told = by_hand(&place, &["--shows-up", "50", "--json"]).json();
    assert_eq!(told["clean_starts"], 5);
    let always = by_hand(&place, &["--json"]).json();
    assert!(told["remaining_minutes"].as_f64() > always["remaining_minutes"].as_f64());
    let ended = by_hand(&place, &["--shows-up", "50", "--did", "reseat=gone", "--json"]).json();
    assert!(ended["verdict"]["reason"].to_string().contains("only hides"), "{ended}");
}

#[test]
fn the_two_aims_part_ways() {
    let place = place();
    let aim = |aim: &str| by_hand(&place, &["--aim", aim, "--did", "swap-neighbour=moves", "--json"]).json();
    let (run, prove) = (aim("run"), aim("prove"));
    assert_eq!(run["next"]["test"], "fit-spare", "a machine that is to run needs a module");
    assert_ne!(prove["next"]["test"], "fit-spare", "what is proven needs none: {prove}");
}

#[test]
fn what_cannot_be_followed_is_told_with_what_to_do() {
    let place = place();
    let cases: &[(&[&str], &str, &str)] = &[
        (&["--did", "reseat"], "`reseat` is no answer", "TEST=ANSWER"),
        (&["--did", "resaet=stays"], "no test `resaet`", "use one of: read-log"),
        (&["--did", "reseat=maybe"], "`maybe` is no answer of `reseat`", "use one of: gone, stays, cant"),
        (&["--did", "reseat=stays", "--did", "reseat=gone"], "step 2 does `reseat` a second time", "take one"),
        (&["--did", "reseat=gone", "--did", "look=nothing"], "step 2 comes after", "--shows-up"),
        (&["--aim", "win"], "no aim `win`", "run or prove"),
        (&["--shows-up", "0"], "0 of 100 starts", "1 to 100"),
        (&["--answers", "none.txt"], "none.txt", "check the path"),
        (&["--at", "west-2-outer"], "missing-module can't be at west-1-outer, west-2-outer", "one filled slot"),
    ];
    for (more, why, hint) in cases {
        let told = by_hand(&place, more);
        assert_eq!(told.code, Some(2), "{more:?}: {}{}", told.out, told.err);
        assert!(told.err.contains(why) && told.err.contains(hint), "{more:?}: {}", told.err);
    }
    let told = place.run(&["diagnose", PLAN, "--symptom", "missing", "--at", "west-1-oter"]);
    assert!(told.code == Some(2) && told.err.contains("west-1-outer"), "{}", told.err);
    let told = place.run(&["diagnose", PLAN, "--symptom", "missing"]);
    assert!(told.code == Some(2) && told.err.contains("--at"), "{}", told.err);
}

#[test]
fn a_machine_that_runs_again_proves_nothing_and_the_part_that_came_out_is_told_of() {
    let place = place();
    let ended = by_hand(&place, &["--did", "fit-spare=gone", "--json"]).json();
    let verdict = &ended["verdict"];
    assert_eq!((&verdict["runs"], &verdict["proven"]), (&true.into(), &false.into()), "{verdict}");
    assert!(verdict["act"].as_str().unwrap().starts_with("Not proven, but most likely: "), "{verdict}");
    let reasons = verdict["reason"].to_string();
    // What is believed of the module itself, alone or beside another fault.
    let module: f64 = ended["beliefs"].as_array().unwrap().iter().fold(0.0, |sum, belief| {
        let with = belief["cause"].as_str().unwrap().split('+').any(|cause| cause == "module");
        sum + if with { belief["percent"].as_f64().unwrap() } else { 0.0 }
    });
    assert!((20.0..50.0).contains(&module), "{ended}");
    assert!(reasons.contains(&format!("What the spare replaced is bad with {module:.0} %")), "{reasons}");
    assert!(reasons.contains("It can still be: a bad module"), "{reasons}");
    let proven = by_hand(&place, &["--did", "swap-neighbour=gone", "--json"]).json();
    assert_eq!(proven["verdict"]["proven"], true, "{proven}");
    assert!(proven["verdict"]["act"].as_str().unwrap().starts_with("Replace nothing"), "{proven}");
}

#[test]
fn without_a_report_and_a_symptom_it_says_what_to_give() {
    let place = place();
    let told = place.run(&["diagnose", PLAN]);
    assert_eq!(told.code, Some(2));
    assert!(told.err.contains("nothing says what is wrong") && told.err.contains("--symptom"), "{}", told.err);
}
