//! SMBIOS tables of the kept machines → snapshots, as a ratio to finding where each structure ends, and to another
//! library's getters for the same fields.

use readers::smbios::write::Table;
use serde::Deserialize;
use smbioslib::{SMBiosData, SMBiosMemoryDevice};
use std::hint::black_box;
use std::time::{Duration, Instant};

const RUNS: usize = 200;
const ROUNDS: usize = 1;

#[derive(Deserialize)]
struct Machine {
    table: Table,
}

/// The least of many short runs, which other work on the machine disturbs least.
fn least(mut run: impl FnMut()) -> Duration {
    let mut once = || {
        let start = Instant::now();
        (0..ROUNDS).for_each(|_| run());
        start.elapsed()
    };
    (0..RUNS).map(|_| once()).min().unwrap_or_default() / u32::try_from(ROUNDS).unwrap_or(1)
}

/// The reference: from one structure to the next, no field read.
fn ends(table: &[u8]) -> usize {
    let (mut at, mut count) = (0, 0);
    while let Some(length) = table.get(at + 1) {
        let strings = table.get(at + usize::from(*length)..).unwrap_or_default();
        let Some(end) = strings.windows(2).position(|w| w == [0, 0]) else { break };
        at += usize::from(*length) + end + 2;
        count += 1;
    }
    count
}

fn theirs(table: &[u8]) -> usize {
    let data = SMBiosData::from_vec_and_version(table.to_vec(), None);
    let devices = data.collect::<SMBiosMemoryDevice<'_>>();
    let read = devices.iter().map(|d| {
        let strings = [d.device_locator(), d.bank_locator(), d.manufacturer(), d.serial_number(), d.part_number()];
        let texts = strings.into_iter().filter_map(|s| s.to_utf8_lossy()).map(|s| s.len()).sum::<usize>();
        black_box((d.size(), d.extended_size(), d.speed(), d.configured_memory_speed(), d.attributes()));
        texts
    });
    read.sum()
}

fn main() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../captures/smbios/machines.jsonl");
    let text = match std::fs::read_to_string(path) {
        Ok(text) => text,
        Err(error) => return eprintln!("{path}: {error}"),
    };
    let machines = text.lines().filter_map(|line| serde_json::from_str::<Machine>(line).ok());
    let tables: Vec<Vec<u8>> = machines.map(|m| m.table.bytes()).collect();
    let bytes: usize = tables.iter().map(Vec::len).sum();
    let slots: usize = tables.iter().filter_map(|t| readers::smbios::read(t).ok()).map(|s| s.slots.len()).sum();
    println!("{} machines, {slots} slots, {bytes} bytes; least of {RUNS} runs of {ROUNDS} rounds", tables.len());
    let each = |time: Duration| time.as_secs_f64() / tables.len() as f64;
    let walk = each(least(|| {
        tables.iter().for_each(|t| {
            black_box(ends(black_box(t)));
        })
    }));
    let other = each(least(|| {
        tables.iter().for_each(|t| {
            black_box(theirs(black_box(t)));
        })
    }));
    let ours = each(least(|| {
        tables.iter().for_each(|t| {
            let _ = black_box(readers::smbios::read(black_box(t)));
        })
    }));
    println!("  walk only       {:7.2} us a machine", walk * 1e6);
    println!("  smbios-lib      {:7.2} us a machine = {:.2} walks (type 17 alone)", other * 1e6, other / walk);
    println!(
        "  smbios::read    {:7.2} us a machine = {:.2} walks, {:.2} of smbios-lib; {:.0} machines a second",
        ours * 1e6,
        ours / walk,
        ours / other,
        1.0 / ours
    );
}
