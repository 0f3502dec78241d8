//! Labels read in a second on one core, against a plain split of the same text into its fields.

use readers::label;
use std::hint::black_box;
use std::time::{Duration, Instant};

const LABELS: [&str; 8] = [
    "16GB 1Rx4 PC4-2666V-RC2-12-PA0",
    "64GB 2Rx4 PC4-2933Y-RA2-12-DC1",
    "32GB 4DRx4 PC4-2133P-LD0-10-DC0",
    "128GB 2S4Rx4 PC4-2933Y-LA1-12",
    "64GB 2Rx4 PC5-4800B-RA0-1010-XT",
    "8GB 2Rx8 PC3L-12800R-11-12-E2",
    "16GB 2Rx4 PC4-19200R-17-11-B1",
    "64 GB 2Rx4 PC5-6400B-R",
];
/// Short runs, so that some go undisturbed on a shared machine.
const ROUNDS: u32 = 500;
const RUNS: usize = 500;

/// The shortest of some runs, a label.
fn each(mut of: impl FnMut(&str)) -> Duration {
    let run = |of: &mut dyn FnMut(&str)| {
        let start = Instant::now();
        for _ in 0..ROUNDS {
            for text in LABELS {
                of(black_box(text));
            }
        }
        start.elapsed()
    };
    let fastest = (0..RUNS).map(|_| run(&mut of)).min().unwrap_or_default();
    fastest / (ROUNDS * LABELS.len() as u32)
}

/// The reference: the fields between blanks and dashes, each as a text of its own. It knows no field's meaning.
fn split(text: &str) -> Vec<String> {
    text.split([' ', '-']).map(str::to_ascii_uppercase).collect()
}

fn main() {
    let reference = each(|text| drop(black_box(split(text))));
    println!("fastest of {RUNS} runs over {} labels; reference: std's split into owned fields", LABELS.len());
    println!("split into fields        {reference:>9.0?} a label");
    let print = |what: &str, time: Duration| {
        let (ratio, rate) = (time.as_secs_f64() / reference.as_secs_f64(), 1e-6 / time.as_secs_f64());
        println!("{what:<24} {time:>9.0?} a label, {ratio:.2} x the reference, {rate:.1} M/s");
    };
    print("read", each(|text| drop(black_box(label::read(text)))));
    print("read, module reading", each(|text| drop(black_box(label::read(text).map(|r| r.reading())))));
    print("read, written back", each(|text| drop(black_box(label::read(text).map(|r| label::write(&r))))));
    print("part number", {
        let number = "M393A8G40MB2-CVFBY";
        each(|_| drop(black_box(readers::part_number::read(black_box(number)))))
    });
}
