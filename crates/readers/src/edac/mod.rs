//! Error counters of the Linux kernel (EDAC), from its files (kernel document Documentation/ABI/testing/sysfs-devices-edac).
//! Any file may be missing; what can't be read is `None`. No driver is not the same as no errors.

use domain::Capacity;
use domain::snapshot::{ErrorController, ErrorCounts, ErrorModule, Note};

/// Where the kernel keeps the controllers, below the root of the file system.
pub const FOLDER: &str = "sys/devices/system/edac/mc";

/// The files of `/sys/devices/system/edac/mc`, or of a copy of it; paths are relative to that folder.
pub trait Files {
    /// Names in a folder; the folder itself is the empty path. `None` where there is no such folder.
    fn list(&self, folder: &str) -> Option<Vec<String>>;
    /// A file's text. `None` where it is missing or can't be read.
    fn read(&self, path: &str) -> Option<String>;
}

/// Reads the counters of every controller, in order of their numbers, with a note for each file whose text is no number
/// where one has to be: such a counter is not known, which is not the same as none.
pub fn read(files: &dyn Files) -> (ErrorCounts, Vec<Note>) {
    let Some(names) = files.list("") else { return (ErrorCounts::NotRead, Vec::new()) };
    let mut notes = Vec::new();
    let mut controllers: Vec<ErrorController> =
        numbered(&names, "mc").into_iter().map(|index| controller(files, index, &mut notes)).collect();
    controllers.sort_by_key(|c| c.index);
    let counts = if controllers.is_empty() { ErrorCounts::NoDriver } else { ErrorCounts::Read(controllers) };
    (counts, notes)
}

/// The numbers behind `prefix`, each once, in order.
fn numbered(names: &[String], prefix: &str) -> Vec<u32> {
    let mut numbers: Vec<u32> = names.iter().filter_map(|n| number(n.strip_prefix(prefix)?)).collect();
    numbers.sort_unstable();
    numbers.dedup();
    numbers
}

fn number(text: &str) -> Option<u32> {
    text.bytes().all(|b| b.is_ascii_digit()).then(|| text.parse().ok())?
}

fn controller(files: &dyn Files, index: u32, notes: &mut Vec<Note>) -> ErrorController {
    let folder = format!("mc{index}");
    let names = files.list(&folder).unwrap_or_default();
    // By chip select a driver makes `rank` folders, else `dimm` ones; never both.
    let modules = [("dimm", false), ("rank", true)]
        .into_iter()
        .flat_map(|(prefix, by_rank)| numbered(&names, prefix).into_iter().map(move |n| (prefix, n, by_rank)));
    let modules: Vec<ErrorModule> = modules
        .map(|(prefix, n, by_rank)| module(files, &format!("{folder}/{prefix}{n}"), (n, by_rank), notes))
        .collect();
    let mut of = |name: &str| count(files, &format!("{folder}/{name}"), notes);
    ErrorController {
        index,
        driver: text(files, &format!("{folder}/mc_name")),
        size: of("size_mb").map(Capacity::from_mib),
        corrected: of("ce_count"),
        uncorrected: of("ue_count"),
        corrected_unplaced: of("ce_noinfo_count"),
        uncorrected_unplaced: of("ue_noinfo_count"),
        seconds: of("seconds_since_reset"),
        modules,
    }
}

fn module(files: &dyn Files, folder: &str, (index, by_rank): (u32, bool), notes: &mut Vec<Note>) -> ErrorModule {
    let of = |name: &str| text(files, &format!("{folder}/{name}"));
    let mut number = |name: &str| count(files, &format!("{folder}/{name}"), notes);
    ErrorModule {
        index,
        by_rank,
        label: of("dimm_label"),
        location: of("dimm_location").map(|l| layers(&l)).unwrap_or_default(),
        size: number("size").map(Capacity::from_mib),
        kind: of("dimm_mem_type"),
        device: of("dimm_dev_type"),
        mode: of("dimm_edac_mode"),
        // These two exist since kernel 4.10.
        corrected: number("dimm_ce_count"),
        uncorrected: number("dimm_ue_count"),
    }
}

/// A file's text without the newline; `None` where it is empty, as an unset label is.
fn text(files: &dyn Files, path: &str) -> Option<String> {
    let text = files.read(path)?;
    let harmless: String = text.trim().chars().map(|c| if c.is_control() { '\u{FFFD}' } else { c }).collect();
    (!harmless.is_empty()).then_some(harmless)
}

fn count(files: &dyn Files, path: &str, notes: &mut Vec<Note>) -> Option<u64> {
    const SHOWN: usize = 40;
    let text = text(files, path)?;
    let number = text.parse().ok();
    if number.is_none() {
        let start: String = text.chars().take(SHOWN).collect();
        let what = format!("`{start}` is no number, so this is not known; read the file again on the machine");
        notes.push(Note { offset: None, place: Some(path.to_string()), what });
    }
    number
}

/// `channel 0 slot 1 ` → the layers with their numbers; a layer without a number is left out.
fn layers(text: &str) -> Vec<(String, u32)> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let pair = |pair: &[&str]| match pair {
        [layer, index] => Some(((*layer).to_string(), index.parse().ok()?)),
        _ => None,
    };
    words.chunks(2).filter_map(pair).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn locations_of_all_drivers_are_taken_apart() {
        let pairs = |text| layers(text).into_iter().map(|(l, n)| format!("{l}={n}")).collect::<Vec<_>>().join(" ");
        assert_eq!(pairs("channel 0 slot 1 "), "channel=0 slot=1");
        assert_eq!(pairs("csrow 2 channel 0 \n"), "csrow=2 channel=0");
        assert_eq!(pairs("branch 0 channel 1 slot 0 "), "branch=0 channel=1 slot=0");
        assert_eq!(pairs("memory 5 "), "memory=5");
        assert_eq!(pairs("channel x slot"), "");
    }
}
