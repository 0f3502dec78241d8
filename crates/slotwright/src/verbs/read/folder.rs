//! Folders: a saved Redfish tree, the kernel's tables or counters, or files of any kind.

use super::super::recognise::{self, What};
use super::super::sent::own_path;
use super::super::snapshot;
use super::beside::Beside;
use super::view::{NoteView, UnreadView};
use super::{As, Heap, sources};
use crate::disk;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

impl Heap {
    pub(super) fn folder(&mut self, folder: &Path, kind: Option<As>) {
        let name = folder.display().to_string();
        // The root of a machine's file system, or a copy of what counts in it: table, counters and SPD memories together.
        if kind.is_none() && folder.join(snapshot::TABLE).is_file() {
            match snapshot::take(Some(folder.to_path_buf())) {
                Ok(taken) => self.machine("smbios", &name, Ok(taken)),
                Err(e) => self.refuse(UnreadView::new(&name, None, e.to_string(), &e.hint())),
            }
            return;
        }
        let counters = counters(folder);
        if kind == Some(As::Edac) || (kind.is_none() && counters.is_some()) {
            self.machine("edac", &name, sources::edac(counters.as_deref().unwrap_or(folder)));
            return;
        }
        let table = folder.join("DMI");
        if kind.is_none_or(|k| k == As::Smbios) && table.is_file() {
            // With the entry point in front its length and checksum are checked too.
            let entry = disk::bytes(&folder.join("smbios_entry_point")).unwrap_or_default();
            match disk::bytes(&table) {
                Ok(bytes) => {
                    let whole = sources::smbios(&[entry, bytes.clone()].concat());
                    self.machine("smbios", &name, whole.or_else(|_| sources::smbios(&bytes)));
                }
                Err(e) => self.refuse(UnreadView::new(&name, None, e.to_string(), "the kernel's table needs root")),
            }
            return;
        }
        let files = match disk::files(folder) {
            Ok(files) => files,
            Err(e) => return self.refuse(UnreadView::new(&name, None, e.to_string(), "check that you may read it")),
        };
        let (tree, mut files) = take_tree(folder, files, kind == Some(As::Redfish));
        if !tree.is_empty() {
            self.machines("redfish", &name, sources::redfish_tree(&tree));
            // Other JSON beside a tree is somebody's own, such as a record of when it was saved.
            let (own, rest): (Vec<PathBuf>, _) = files.into_iter().partition(|p| is_json(p) && !is_snapshot(p));
            files = rest;
            if let (Some(piece), false) = (self.pieces.last_mut(), own.is_empty()) {
                let names: Vec<String> = own.iter().map(|p| p.display().to_string()).collect();
                piece.notes.push(NoteView::words(format!("no Redfish resource: {}", names.join(", "))));
            }
            if files.is_empty() {
                return;
            }
        }
        self.files(&name, &files, kind);
    }

    /// Every file by itself. A list that names dumps of this folder takes them, so they are not read twice.
    fn files(&mut self, name: &str, files: &[PathBuf], kind: Option<As>) {
        if files.is_empty() && self.pieces.is_empty() && self.unread.is_empty() {
            self.refuse(UnreadView::new(name, None, "the folder holds no files", "give one that holds dumps or lists"));
        }
        self.many = self.many || files.len() > 1;
        let is_list =
            |p: &&PathBuf| p.extension().is_some_and(|e| ["csv", "tsv"].iter().any(|l| e.eq_ignore_ascii_case(l)));
        let (lists, others): (Vec<_>, Vec<_>) = files.iter().partition(is_list);
        for path in lists.into_iter().chain(others) {
            if self.taken.contains(path) {
                continue;
            }
            let before = self.unread.len();
            let file = path.display().to_string();
            match disk::bytes(path) {
                Ok(bytes) => self.bytes(&file, &bytes, kind, Beside::Folder(path.parent().unwrap_or(Path::new(".")))),
                Err(e) => self.refuse(UnreadView::new(&file, None, e.to_string(), "check that you may read it")),
            }
            for unread in self.unread.iter_mut().skip(before) {
                unread.named = false;
            }
        }
    }
}

/// The kernel's folder of error counters, at whatever depth of a root it was given.
fn counters(folder: &Path) -> Option<PathBuf> {
    let depths = ["", "mc", "edac/mc", "system/edac/mc", "devices/system/edac/mc", readers::edac::FOLDER];
    let sure = depths.iter().map(|d| folder.join(d)).find(|d| d.join("mc0").is_dir());
    // Without a driver there is the folder, but no controller in it.
    sure.or_else(|| Some(folder.join(readers::edac::FOLDER)).filter(|d| d.is_dir()))
}

/// Redfish documents of a saved tree by their own path, and the files that are none. A tree may lie as folders with an
/// `index.json` each, or as loose files: each document says its path itself (`@odata.id`).
fn take_tree(folder: &Path, files: Vec<PathBuf>, sure: bool) -> (BTreeMap<String, Vec<u8>>, Vec<PathBuf>) {
    let (mut tree, mut rest) = (BTreeMap::new(), Vec::new());
    for path in files {
        let document = is_json(&path).then(|| disk::bytes(&path).ok()).flatten();
        let document = document.filter(|d| recognise::bytes(d) == What::Redfish);
        match document.map(|text| (own_path(&text).or_else(|| path_below(folder, &path)), text)) {
            Some((Some(own), text)) => {
                tree.insert(own, text);
            }
            _ if sure => {}
            _ => rest.push(path),
        }
    }
    (tree, rest)
}

fn is_json(path: &Path) -> bool {
    path.extension().is_some_and(|e| e.eq_ignore_ascii_case("json"))
}

fn is_snapshot(path: &Path) -> bool {
    disk::bytes(path).is_ok_and(|bytes| recognise::bytes(&bytes) == What::Snapshot)
}

/// The path that a file's place in a tree of folders stands for.
fn path_below(folder: &Path, file: &Path) -> Option<String> {
    let parent = file.strip_prefix(folder).ok()?.parent()?;
    let steps: Vec<String> = parent.components().map(|c| c.as_os_str().to_string_lossy().into_owned()).collect();
    let from = steps.iter().position(|s| s == "redfish")?;
    Some(format!("/{}", steps[from..].join("/")))
}
