//! The program is killed at any point of an intake, a promise, an allocation, a quote's next version, the order of a quote, and the
//! report of a failure: what it acknowledged is there, nothing is half there.
//!
//! `KILLS` says how often (12); `SLOTWRIGHT_TEST_POSTGRES` adds PostgreSQL.

use serde_json::Value;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::Duration;

const ROWS: usize = 200;
const NEED: &str =
    "board = \"plover-1s2\"\nprocessors = [\"ddr4-2ch-2666\"]\ncapacity = { least = \"16 GiB\", most = \"32 GiB\" }\n";

struct Shop<'a> {
    store: &'a str,
    folder: &'a Path,
}

impl Shop<'_> {
    fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_slotwright"));
        command.args(["--store", self.store]).args(args).current_dir(self.folder);
        command.stdout(Stdio::piped()).stderr(Stdio::piped());
        command
    }
    fn run(&self, args: &[&str]) -> Output {
        self.command(args).output().unwrap()
    }
    fn json(&self, args: &[&str]) -> Value {
        let output = self.run(args);
        serde_json::from_slice(&output.stdout)
            .unwrap_or_else(|e| panic!("{e}: {}", String::from_utf8_lossy(&output.stderr)))
    }
    /// Kills the command after a while; was it acknowledged before?
    fn killed(&self, args: &[&str], after: Duration, input: &str) -> bool {
        let mut child = self.command(args).stdin(Stdio::piped()).spawn().unwrap();
        // A child that is killed early does not read its input.
        let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
        std::thread::sleep(after);
        let _ = child.kill();
        child.wait_with_output().unwrap().status.code().is_some_and(|c| c <= 1)
    }
}

/// A row of times that looks random and is the same each time.
fn spread(run: u64, most: u64) -> Duration {
    Duration::from_micros((run.wrapping_mul(0x9E37_79B9_7F4A_7C15) >> 33) % (most * 1000))
}

#[test]
fn a_kill_at_any_point_loses_nothing_that_was_acknowledged_and_leaves_nothing_half_done() {
    let folder = std::env::temp_dir().join(format!("kills-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let file = folder.join("shop.db").display().to_string();
    trial(&Shop { store: &file, folder: &folder });
    if let Ok(server) = std::env::var("SLOTWRIGHT_TEST_POSTGRES") {
        trial(&Shop { store: &server, folder: &folder });
    }
    std::fs::remove_dir_all(&folder).unwrap();
}

fn trial(shop: &Shop<'_>) {
    let runs: u64 = std::env::var("KILLS").ok().and_then(|k| k.parse().ok()).unwrap_or(12);
    std::fs::write(shop.folder.join("need.toml"), NEED).unwrap();
    let lot = ["stock", "add", "16GB 2Rx8 PC4-2666V-E", "--count", "1000", "--cost", "20 EUR"];
    assert!(shop.run(&lot).status.success());
    let (mut cut, mut whole) = (0, 0);
    for run in 0..runs {
        let acknowledged = match run % 6 {
            0 => intake(shop, run),
            1 => reserve(shop, run),
            2 => allocate(shop, run),
            3 => revise(shop, run),
            4 => sell(shop, run),
            _ => fail(shop, run),
        };
        if acknowledged {
            whole += 1
        } else {
            cut += 1
        }
        let check = shop.run(&["store", "check"]);
        assert!(check.status.success(), "run {run}: {}", String::from_utf8_lossy(&check.stdout));
    }
    println!("{runs} runs on {}: {cut} cut short, {whole} acknowledged before the kill", shop.store);
    assert!(cut > 0, "no run was cut short, so nothing was tried");
}

fn intake(shop: &Shop<'_>, run: u64) -> bool {
    // A server may hold what an earlier trial left.
    let begin = format!("K{}{run:05}", std::process::id());
    let rows: String = (0..ROWS).map(|n| format!("16GB 2Rx8 PC4-2666V-E,{begin}{n:04},20 EUR\n")).collect();
    let table = format!("label,serial,cost\n{rows}");
    let done = shop.killed(&["stock", "intake", "-"], spread(run, 400), &table);
    let there = shop.json(&["stock", "list", "--items", &begin, "--most", "1000", "--json"]);
    let count = there["items"].as_array().unwrap().len();
    assert!(count == ROWS || (count == 0 && !done), "run {run}: {count} rows, acknowledged: {done}");
    done
}

fn order(shop: &Shop<'_>) -> String {
    let made = shop.json(&["order", "new", "need.toml", "--customer", "Curlew", "--json"]);
    made["number"].as_str().unwrap().to_string()
}

fn reserve(shop: &Shop<'_>, run: u64) -> bool {
    let number = order(shop);
    assert!(shop.run(&["order", "choose", &number]).status.success());
    let done = shop.killed(&["order", "reserve", &number], spread(run, 300), "");
    let now = shop.json(&["order", "show", &number, "--json"]);
    let held = now["modules"].as_array().unwrap().len();
    match now["stage"].as_str().unwrap() {
        "reserved" => assert!(held > 0, "run {run}"),
        stage => {
            assert!(stage == "chosen" && held == 0 && !done, "run {run}: {stage}, {held} held, acknowledged: {done}")
        }
    }
    assert!(shop.run(&["order", "cancel", &number, "--why", "tried"]).status.success());
    done
}

fn quoted(shop: &Shop<'_>) -> String {
    let made = shop.json(&["quote", "new", "need.toml", "--customer", "Curlew", "--from-stock", "--json"]);
    made["number"].as_str().unwrap().to_string()
}

/// The versions' states of a quote.
fn states(shop: &Shop<'_>, quote: &str) -> Vec<String> {
    let shown = shop.json(&["quote", "show", quote, "--json"]);
    shown["versions"].as_array().unwrap().iter().map(|v| v["state"].as_str().unwrap().to_string()).collect()
}

fn revise(shop: &Shop<'_>, run: u64) -> bool {
    let quote = quoted(shop);
    let done = shop.killed(&["quote", "revise", &quote, "--from-stock"], spread(run, 300), "");
    let states = states(shop, &quote);
    assert!(states == ["superseded", "open"] || (states == ["open"] && !done), "run {run}: {states:?}, {done}");
    done
}

/// A quote is ordered and has its order, or neither.
fn sell(shop: &Shop<'_>, run: u64) -> bool {
    let quote = quoted(shop);
    let before = shop.json(&["order", "list", "--all", "--json"])["found"].as_u64().unwrap();
    let done = shop.killed(&["quote", "order", &quote], spread(run, 300), "");
    let shown = shop.json(&["quote", "show", &quote, "--json"]);
    let made = shop.json(&["order", "list", "--all", "--json"])["found"].as_u64().unwrap() - before;
    match shown["state"].as_str().unwrap() {
        "ordered" => {
            let order = shop.json(&["order", "show", shown["order"].as_str().unwrap(), "--json"]);
            assert_eq!((made, order["quote"].as_str(), &order["stage"]), (1, Some(quote.as_str()), &"chosen".into()));
            let number = order["number"].as_str().unwrap();
            assert!(shop.run(&["order", "cancel", number, "--why", "tried"]).status.success());
        }
        state => assert!(state == "open" && made == 0 && !done, "run {run}: {state}, {made} orders, {done}"),
    }
    done
}

/// A module failed, is held back and has the record of its diagnosis, or none of it.
fn fail(shop: &Shop<'_>, run: u64) -> bool {
    let serial = format!("F{}{run:06}", std::process::id());
    let add = ["stock", "add", "16GB 2Rx8 PC4-2666V-E", "--serial", &serial, "--cost", "20 EUR"];
    let added = shop.run(&add);
    assert!(added.status.success(), "{}", String::from_utf8_lossy(&added.stderr));
    std::fs::write(shop.folder.join("record.txt"), format!("errors of {serial}\n")).unwrap();
    let report = ["stock", "fail", &serial, "--why", "errors", "--record", "record.txt"];
    let done = shop.killed(&report, spread(run, 200), "");
    let items = shop.json(&["stock", "list", "--items", &serial, "--json"]);
    let failures = shop.json(&["supplier", "failures", "--json"]);
    let mine = failures["failures"].as_array().unwrap().iter().filter(|f| f["item"]["serial"] == serial.as_str());
    let records = shop.json(&["stock", "attach", &serial, "--json"])["attachments"].as_array().unwrap().len();
    match (items["items"][0]["state"].as_str().unwrap(), mine.count(), records) {
        ("held back", 1, 1) => {}
        now => assert!(now == ("on the shelf", 0, 0) && !done, "run {run}: {now:?}, acknowledged: {done}"),
    }
    done
}

fn allocate(shop: &Shop<'_>, run: u64) -> bool {
    let numbers = [order(shop), order(shop)];
    let proposed = shop.json(&["allocate", "propose", "--json"]);
    let allocation = proposed["number"].to_string();
    let done = shop.killed(&["allocate", "accept", &allocation], spread(run, 300), "");
    let stages =
        numbers.each_ref().map(|n| shop.json(&["order", "show", n, "--json"])["stage"].as_str().unwrap().to_string());
    assert!(
        stages == ["reserved", "reserved"] || (stages == ["asked", "asked"] && !done),
        "run {run}: {stages:?}, {done}"
    );
    for number in &numbers {
        assert!(shop.run(&["order", "cancel", number, "--why", "tried"]).status.success());
    }
    done
}
