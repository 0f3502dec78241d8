//! The planner's whole front on large boards, as a ratio to judging builds one by one.

use catalog::{Input, Library};
use domain::{Module, Need};
use std::hint::black_box;
use std::time::{Duration, Instant};

const RUNS: usize = 3;

struct Case {
    name: &'static str,
    need: &'static str,
}

const CASES: [Case; 6] = [
    Case {
        name: "godwit-2s12 (48 slots), 700 GiB to 1 TiB, whole DDR5 catalogue",
        need: "board = \"godwit-2s12\"\nprocessors = [\"ddr5-12ch-4800\", \"ddr5-12ch-4800\"]\ncapacity = { least = \"700 GiB\", most = \"1 TiB\" }\nmodules = { generation = \"DDR5\" }\n",
    },
    Case {
        name: "godwit-2s12 (48 slots), up to 20000 EUR, whole catalogue",
        need: "board = \"godwit-2s12\"\nprocessors = [\"ddr5-12ch-4800\", \"ddr5-12ch-4800\"]\nbudget = \"20000 EUR\"\n",
    },
    Case {
        name: "dunlin-2s6 (24 slots), 700 GiB to 1 TiB, whole catalogue",
        need: "board = \"dunlin-2s6\"\nprocessors = [\"ddr4-6ch-2933\", \"ddr4-6ch-2933\"]\ncapacity = { least = \"700 GiB\", most = \"1 TiB\" }\n",
    },
    Case {
        name: "dunlin-2s6 (24 slots), up to 9000 EUR, whole catalogue",
        need: "board = \"dunlin-2s6\"\nprocessors = [\"ddr4-6ch-2933\", \"ddr4-6ch-2933\"]\nbudget = \"9000 EUR\"\n",
    },
    Case {
        name: "dunlin-2s6 (24 slots), 256 GiB to 3 TiB, no budget, whole catalogue",
        need: "board = \"dunlin-2s6\"\nprocessors = [\"ddr4-6ch-2933\", \"ddr4-6ch-2933\"]\ncapacity = { least = \"256 GiB\", most = \"3 TiB\" }\n",
    },
    Case {
        name: "turnstone-4s6 (four sockets), up to 9000 EUR, whole catalogue",
        need: "board = \"turnstone-4s6\"\nprocessors = [\"ddr4-6ch-2666\", \"ddr4-6ch-2666\", \"ddr4-6ch-2666\", \"ddr4-6ch-2666\"]\nbudget = \"9000 EUR\"\n",
    },
];

fn resolve(text: &str) -> Result<Module, catalog::Unread> {
    Err(catalog::Unread { message: format!("no module `{text}`"), hint: String::new() })
}

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort_unstable();
    times[times.len() / 2]
}

fn time(mut run: impl FnMut()) -> Duration {
    median(
        (0..RUNS)
            .map(|_| {
                let start = Instant::now();
                run();
                start.elapsed()
            })
            .collect(),
    )
}

fn main() {
    let library = match Library::shipped() {
        Ok(library) => library,
        Err(error) => return eprintln!("{error}"),
    };
    println!("median of {RUNS} runs; reference: one judgement of one plan of that front");
    for case in CASES {
        let need: Need = match library.need(&Input::text("bench.toml", case.need), &resolve) {
            Ok(need) => need,
            Err(error) => {
                eprintln!("{}: {error}", case.name);
                continue;
            }
        };
        let front = time(|| {
            black_box(engine::plan::vectors(black_box(&need)));
        });
        let report = engine::plan::plan(&need);
        let whole = time(|| {
            let _ = black_box(engine::plan::plan(black_box(&need)));
        });
        let one = report.front.first().map(|plan| {
            time(|| {
                for _ in 0..100 {
                    black_box(engine::judge::judge(black_box(&plan.build)));
                }
            }) / 100
        });
        let ratio = one.map_or(0.0, |one| front.as_secs_f64() / one.as_secs_f64());
        println!(
            "{}\n    {} lots, {} plans on the front, proof {:?}, {} arrangements looked at",
            case.name,
            need.lots.len(),
            report.front.len(),
            report.proof,
            report.looked_at
        );
        println!(
            "    front {:.1} ms = {ratio:.0} judgements of {:.1} us; front with every plan judged and told {:.1} ms",
            front.as_secs_f64() * 1e3,
            one.unwrap_or_default().as_secs_f64() * 1e6,
            whole.as_secs_f64() * 1e3
        );
    }
}
