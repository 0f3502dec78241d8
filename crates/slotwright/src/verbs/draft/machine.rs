//! What a machine reported, from a file, a folder or standard input.

use crate::failure::Failure;
use crate::world;
use domain::Snapshot;
use readers::redfish::Kept;
use std::fs::{self, File};
use std::io::{self, BufRead, IsTerminal, Read};
use std::path::{Path, PathBuf};

/// Largest file that is taken, in bytes.
const MOST: u64 = 64 << 20;
/// Most files of a tree, and folders within folders.
const FILES_MOST: usize = 20_000;
const DEEPEST: usize = 16;

/// Every machine in it; a service processor may hold several.
pub fn machines(from: &Path) -> Result<Vec<Snapshot>, Failure> {
    let name = from.display().to_string();
    let failed = |why: String, hint: String| Failure::Machine { from: name.clone(), why, hint };
    let unread = |e: std::io::Error| failed(e.to_string(), "check the path, and that it may be read".to_string());
    if name == "-" {
        if io::stdin().is_terminal() {
            return Err(failed("nothing is piped in".to_string(), "pipe a report in".to_string()));
        }
        return report(&limited(io::stdin().lock()).map_err(unread)?, &failed);
    }
    if !from.is_dir() {
        return report(&bytes_of(from).map_err(unread)?, &failed);
    }
    let table = from.join("DMI");
    if table.is_file() {
        return report(&bytes_of(&table).map_err(unread)?, &failed);
    }
    let mut tree = tree(from, files_of(from).map_err(unread)?);
    readers::redfish::read(&mut tree).map_err(|e| failed(e.to_string(), e.hint()))
}

fn report(bytes: &[u8], failed: &dyn Fn(String, String) -> Failure) -> Result<Vec<Snapshot>, Failure> {
    let text = bytes.strip_prefix(&[0xEF, 0xBB, 0xBF]).unwrap_or(bytes);
    let start = text.iter().copied().find(|b| !b.is_ascii_whitespace());
    if !matches!(start, Some(b'{' | b'[')) {
        let read = readers::smbios::read(bytes);
        return read.map(|s| vec![s]).map_err(|e| failed(e.to_string(), e.hint().to_string()));
    }
    let words = String::from_utf8_lossy(text);
    if words.contains("\"slotwright-snapshot\"") {
        let read = readers::snapshot::read(&words);
        return read.map(|s| vec![s]).map_err(|e| failed(e.to_string(), e.hint().to_string()));
    }
    readers::redfish::read_one(text).map_err(|e| failed(e.to_string(), e.hint()))
}

fn bytes_of(path: &Path) -> io::Result<Vec<u8>> {
    limited(File::open(path)?)
}

fn limited(source: impl Read) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    source.take(MOST + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > MOST { Err(io::Error::other("it is larger than 64 MiB")) } else { Ok(bytes) }
}

/// Every file below, by name; hidden ones are left out, links to folders are not followed.
fn files_of(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut found = Vec::new();
    list(folder, DEEPEST, &mut found)?;
    found.sort();
    Ok(found)
}

fn list(folder: &Path, deeper: usize, found: &mut Vec<PathBuf>) -> io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let hidden = entry.file_name().to_string_lossy().starts_with('.');
        let kind = entry.file_type()?;
        if kind.is_dir() && deeper > 0 && !hidden {
            list(&entry.path(), deeper - 1, found)?;
        } else if kind.is_file() && !hidden {
            found.push(entry.path());
        }
        if found.len() > FILES_MOST {
            return Err(io::Error::other("the folder holds more than 20,000 files"));
        }
    }
    Ok(())
}

/// A saved tree: the path of each file below `redfish` is the path of its resource.
fn tree(root: &Path, files: Vec<PathBuf>) -> Kept {
    let mut kept = Kept::default();
    for file in files {
        let parts: Vec<String> =
            file.strip_prefix(root).unwrap_or(&file).iter().map(|p| p.to_string_lossy().into_owned()).collect();
        let start = parts.iter().position(|p| p == "redfish").unwrap_or(0);
        let mut below: Vec<&str> = parts.iter().skip(start).map(String::as_str).collect();
        if below.first() != Some(&"redfish") {
            below.insert(0, if parts.first().is_some_and(|p| p == "v1") { "redfish" } else { "redfish/v1" });
        }
        let last = below.pop().unwrap_or_default();
        let stem = last.strip_suffix(".json").unwrap_or(last);
        if stem != "index" {
            below.push(stem);
        }
        if let Ok(bytes) = bytes_of(&file) {
            kept.hold(&format!("/{}", below.join("/")), bytes);
        }
    }
    kept
}

/// Asks at a terminal; `None` where there is none.
pub fn ask(question: &str) -> Option<String> {
    if !io::stdin().is_terminal() {
        return None;
    }
    world::complain(question);
    let mut line = String::new();
    io::stdin().lock().read_line(&mut line).ok()?;
    Some(line.trim().to_string())
}
