//! Error counters from trees as the kernel's drivers make them, built from the kernel's document and drivers.

use domain::Capacity;
use domain::snapshot::{ErrorController, ErrorCounts};
use proptest::prelude::*;
use readers::edac::{self, Files};
use std::collections::BTreeMap;

/// A folder in memory: path → text.
#[derive(Default)]
struct Tree(BTreeMap<String, String>);

impl Tree {
    fn with(mut self, path: &str, text: &str) -> Self {
        self.0.insert(path.to_string(), text.to_string());
        self
    }
}

impl Files for Tree {
    fn list(&self, folder: &str) -> Option<Vec<String>> {
        let prefix = if folder.is_empty() { String::new() } else { format!("{folder}/") };
        let below = self.0.keys().filter_map(|k| k.strip_prefix(&prefix));
        let mut names: Vec<String> = below.filter_map(|k| k.split('/').next()).map(str::to_string).collect();
        names.dedup();
        Some(names)
    }
    fn read(&self, path: &str) -> Option<String> {
        self.0.get(path).cloned()
    }
}

struct Nothing;
impl Files for Nothing {
    fn list(&self, _: &str) -> Option<Vec<String>> {
        None
    }
    fn read(&self, _: &str) -> Option<String> {
        None
    }
}

fn controllers(tree: &Tree) -> Vec<ErrorController> {
    match edac::read(tree).0 {
        ErrorCounts::Read(all) => all,
        other => panic!("{other:?}"),
    }
}

#[test]
fn no_driver_and_no_folder_are_not_no_errors() {
    assert_eq!(edac::read(&Nothing).0, ErrorCounts::NotRead);
    assert_eq!(edac::read(&Tree::default()).0, ErrorCounts::NoDriver);
    // A driver's bus leaves other names there.
    assert_eq!(edac::read(&Tree::default().with("power/control", "auto\n")).0, ErrorCounts::NoDriver);
}

#[test]
fn one_folder_a_module_with_gaps_where_slots_are_empty() {
    let mut tree = Tree::default()
        .with("mc0/mc_name", "skx_edac\n")
        .with("mc0/size_mb", "65536\n")
        .with("mc0/ce_count", "7\n")
        .with("mc0/ue_count", "0\n")
        .with("mc0/ce_noinfo_count", "1\n")
        .with("mc0/seconds_since_reset", "86400\n")
        .with("mc10/mc_name", "skx_edac\n")
        .with("mc2/mc_name", "skx_edac\n");
    for (index, channel, count) in [(0u32, 0, 5u32), (4, 2, 2), (10, 5, 0)] {
        let at = format!("mc0/dimm{index}");
        tree = tree
            .with(&format!("{at}/dimm_label"), &format!("CPU_SrcID#0_MC#0_Chan#{channel}_DIMM#0\n"))
            .with(&format!("{at}/dimm_location"), &format!("channel {channel} slot 0 \n"))
            .with(&format!("{at}/size"), "16384\n")
            .with(&format!("{at}/dimm_mem_type"), "Registered-DDR4\n")
            .with(&format!("{at}/dimm_dev_type"), "x4\n")
            .with(&format!("{at}/dimm_edac_mode"), "S4ECD4ED\n")
            .with(&format!("{at}/dimm_ce_count"), &format!("{count}\n"));
    }
    let all = controllers(&tree);
    assert_eq!(all.iter().map(|c| c.index).collect::<Vec<_>>(), [0, 2, 10]);
    let first = &all[0];
    assert_eq!((first.corrected, first.uncorrected, first.seconds), (Some(7), Some(0), Some(86_400)));
    assert_eq!((first.corrected_unplaced, first.uncorrected_unplaced), (Some(1), None));
    assert_eq!(first.modules.iter().map(|m| m.index).collect::<Vec<_>>(), [0, 4, 10]);
    let last = &first.modules[2];
    assert_eq!(last.location, [("channel".to_string(), 5), ("slot".to_string(), 0)]);
    assert_eq!((last.size, last.corrected, last.uncorrected), (Some(Capacity::from_gib(16)), Some(0), None));
    assert_eq!(last.label.as_deref(), Some("CPU_SrcID#0_MC#0_Chan#5_DIMM#0"));
    assert!(all[1].modules.is_empty() && all[1].corrected.is_none());
}

#[test]
fn drivers_by_chip_select_count_ranks() {
    let tree = Tree::default()
        .with("mc0/mc_name", "F19h_M10h\n")
        .with("mc0/rank2/dimm_label", "mc#0csrow#2channel#0")
        .with("mc0/rank2/dimm_location", "csrow 2 channel 0 ")
        .with("mc0/rank2/size", "8192\n")
        .with("mc0/rank3/dimm_label", "")
        .with("mc0/csrow2/ce_count", "0\n");
    let modules = controllers(&tree).remove(0).modules;
    assert_eq!(modules.len(), 2);
    assert!(modules.iter().all(|m| m.by_rank));
    assert_eq!((modules[0].index, modules[1].label.as_deref()), (2, None));
}

#[test]
fn the_firmware_first_driver_labels_as_the_table_does() {
    let tree = Tree::default()
        .with("mc0/mc_name", "ghes_edac\n")
        .with("mc0/dimm5/dimm_label", "NODE 1 DIMM_A1\n")
        .with("mc0/dimm5/dimm_location", "memory 5 \n")
        .with("mc0/dimm5/dimm_ce_count", "12 errors\n");
    let module = controllers(&tree).remove(0).modules.remove(0);
    assert_eq!(module.label.as_deref(), Some("NODE 1 DIMM_A1"));
    assert_eq!(module.location, [("memory".to_string(), 5)]);
    assert_eq!(module.corrected, None);
    let notes = edac::read(&tree).1;
    let [note] = notes.as_slice() else { panic!("{notes:?}") };
    assert_eq!(note.place.as_deref(), Some("mc0/dimm5/dimm_ce_count"));
    assert_eq!(note.what, "`12 errors` is no number, so this is not known; read the file again on the machine");
}

#[test]
fn counters_that_are_missing_or_empty_are_not_spoken_of() {
    let tree = Tree::default().with("mc0/ce_count", "0\n").with("mc0/ue_count", "\n").with("mc0/dimm0/size", " ");
    let (counts, notes) = edac::read(&tree);
    assert!(matches!(counts, ErrorCounts::Read(_)) && notes.is_empty(), "{notes:?}");
}

proptest! {
    #[test]
    fn any_tree_is_survived(files in prop::collection::btree_map("(mc|dimm|rank)?[0-9/]{0,12}(size|ce_count|dimm_label|dimm_location)?", ".*", 0..20)) {
        let (counts, _) = edac::read(&Tree(files));
        prop_assert!(counts != ErrorCounts::NotRead);
    }
}
