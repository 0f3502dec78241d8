//! Reading saved Redfish trees whole, as a ratio to parsing the same JSON texts alone, untyped and typed.

use readers::redfish::{self, Fetch, Kept, Unfetched};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::hint::black_box;
use std::path::Path;
use std::time::{Duration, Instant};

const RUNS: usize = 60;

/// The properties that the reader uses, as a plain reader without any forgiveness would have them.
#[derive(Deserialize)]
#[serde(rename_all = "PascalCase")]
#[allow(dead_code)]
struct Plain {
    #[serde(rename = "@odata.id")]
    odata_id: Option<String>,
    #[serde(rename = "@odata.type")]
    odata_type: Option<String>,
    id: Option<String>,
    name: Option<String>,
    device_locator: Option<String>,
    manufacturer: Option<String>,
    model: Option<String>,
    bios_version: Option<String>,
    part_number: Option<String>,
    serial_number: Option<String>,
    memory_device_type: Option<String>,
    memory_type: Option<String>,
    base_module_type: Option<String>,
    error_correction: Option<String>,
    socket: Option<String>,
    processor_type: Option<String>,
    #[serde(rename = "ModuleManufacturerID")]
    manufacturer_id: Option<String>,
    #[serde(rename = "CapacityMiB")]
    capacity: Option<f64>,
    #[serde(rename = "OperatingSpeedMhz")]
    speed: Option<f64>,
    #[serde(rename = "AllowedSpeedsMHz")]
    speeds: Option<Vec<f64>>,
    #[serde(rename = "BusWidthBits")]
    bus_width: Option<f64>,
    #[serde(rename = "DataWidthBits")]
    data_width: Option<f64>,
    rank_count: Option<f64>,
    total_cores: Option<f64>,
    operating_memory_modes: Option<Vec<String>>,
    memory_media: Option<Vec<String>>,
    memory_location: Option<BTreeMap<String, Option<f64>>>,
    status: Option<Status>,
    members: Option<Vec<Link>>,
    metrics: Option<Link>,
}

#[derive(Deserialize)]
#[serde(rename_all = "PascalCase")]
#[allow(dead_code)]
struct Status {
    state: Option<String>,
    health: Option<String>,
}

#[derive(Deserialize)]
#[allow(dead_code)]
struct Link {
    #[serde(rename = "@odata.id")]
    id: Option<String>,
}

/// Remembers which texts a reading asks for, so that the references parse those and no others.
struct Noting<'k>(&'k mut Kept, Vec<Vec<u8>>);
impl Fetch for Noting<'_> {
    fn get(&mut self, path: &str) -> Result<Vec<u8>, Unfetched> {
        let text = self.0.get(path)?;
        self.1.push(text.clone());
        Ok(text)
    }
}

fn hold(folder: &Path, path: &str, kept: &mut Kept) -> std::io::Result<()> {
    for entry in std::fs::read_dir(folder)? {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        if entry.path().is_dir() {
            hold(&entry.path(), &format!("{path}/{name}"), kept)?;
        } else if name == "index.json" {
            kept.hold(path, std::fs::read(entry.path())?);
        }
    }
    Ok(())
}

/// The least time of many short runs, which other work on the machine disturbs least.
fn least(mut run: impl FnMut()) -> Duration {
    let time = |run: &mut dyn FnMut()| {
        let start = Instant::now();
        run();
        start.elapsed()
    };
    (0..RUNS).map(|_| time(&mut run)).min().unwrap_or_default()
}

fn main() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../captures/redfish");
    let Ok(folders) = std::fs::read_dir(&root) else { return eprintln!("no captures at {}", root.display()) };
    let mut trees = Vec::new();
    for folder in folders.flatten().map(|e| e.path().join("redfish")).filter(|p| p.is_dir()) {
        let mut kept = Kept::default();
        if let Err(error) = hold(&folder, "/redfish", &mut kept) {
            return eprintln!("{}: {error}", folder.display());
        }
        trees.push(kept);
    }
    let (mut resources, mut bytes) = (0, 0);
    let [mut reading, mut untyped, mut typed] = [Duration::ZERO; 3];
    for tree in &mut trees {
        let mut noting = Noting(tree, Vec::new());
        if let Err(error) = redfish::read(&mut noting) {
            return eprintln!("{error}");
        }
        let texts = noting.1;
        resources += texts.len();
        bytes += texts.iter().map(Vec::len).sum::<usize>();
        reading += least(|| {
            let _ = black_box(redfish::read(tree));
        });
        untyped += least(|| {
            for text in &texts {
                let _ = black_box(serde_json::from_slice::<serde_json::Value>(text));
            }
        });
        typed += least(|| {
            for text in &texts {
                let _ = black_box(serde_json::from_slice::<Plain>(text));
            }
        });
    }
    println!("{} trees, {resources} resources, {bytes} bytes; least of {RUNS} runs, tree by tree", trees.len());
    for (name, time) in [("reading whole", reading), ("serde_json, untyped", untyped), ("serde_json, typed", typed)] {
        let ratio = reading.as_secs_f64() / time.as_secs_f64();
        let speed = bytes as f64 / time.as_secs_f64() / 1e6;
        println!("{name:20} {:8.1} us {speed:6.0} MB/s; reading takes {ratio:.2} of that", time.as_secs_f64() * 1e6);
    }
}
