//! SPD contents to every field, checksums included, as a ratio to the checksum alone by the `crc` crate, a byte a step.

use crc::{CRC_16_XMODEM, Crc};
use readers::spd;
use std::hint::black_box;
use std::path::PathBuf;
use std::time::{Duration, Instant};

const ROUNDS: usize = 25;
/// How long a round takes, about.
const ROUND: Duration = Duration::from_millis(10);
const CRC: Crc<u16> = Crc::<u16>::new(&CRC_16_XMODEM);

/// Nanoseconds a run, the best of some rounds: other work on the machine only ever adds.
fn best(mut run: impl FnMut()) -> f64 {
    let mut round = |runs: u32| {
        let start = Instant::now();
        for _ in 0..runs {
            run();
        }
        start.elapsed()
    };
    let mut runs = 16;
    while round(runs) < ROUND && runs < 1 << 20 {
        runs *= 2;
    }
    (0..ROUNDS).map(|_| round(runs).as_secs_f64() * 1e9 / f64::from(runs)).fold(f64::INFINITY, f64::min)
}

fn main() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../captures/spd");
    println!("best of {ROUNDS} rounds; reference: CRC-16 of the bytes under checksums by the crc crate");
    for (file, covered) in [
        ("ddr3-rdimm-32g.hex", &[(0, 117)][..]),
        ("ddr4-rdimm-64g-a.hex", &[(0, 126), (128, 254)]),
        ("ddr4-lrdimm-3ds-128g.hex", &[(0, 126), (128, 254)]),
        ("ddr5-rdimm-64g.hex", &[(0, 510)]),
    ] {
        let text = std::fs::read_to_string(folder.join(file)).unwrap_or_default();
        let bytes = match spd::text::bytes(&text) {
            Ok(bytes) => bytes,
            Err(error) => return eprintln!("{file}: {error}"),
        };
        let Ok(read) = spd::read(&bytes) else { return eprintln!("{file} does not read") };
        let reference = best(|| {
            for (from, to) in covered {
                black_box(CRC.checksum(black_box(bytes.get(*from..*to).unwrap_or_default())));
            }
        });
        let decode = best(|| {
            let _ = black_box(spd::read(black_box(&bytes)));
        });
        let reading = best(|| {
            black_box(black_box(&read).reading());
        });
        let hex = best(|| {
            let _ = black_box(spd::text::bytes(black_box(&text)));
        });
        println!("{file}: {:.2} M/s", 1e3 / decode);
        println!("  read {decode:.0} ns = {:.2} x the reference ({reference:.0} ns)", decode / reference);
        println!("  reading {reading:.0} ns, hex text {hex:.0} ns");
    }
}
