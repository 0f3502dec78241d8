//! Files that were sent rather than found on a disk: bytes with a name that is never a path.

use std::collections::BTreeMap;

/// One of them.
#[derive(Debug, Clone, Copy)]
pub struct Sent<'a> {
    pub name: &'a str,
    pub bytes: &'a [u8],
}

/// What files that were sent are called together.
pub fn name_of(files: &[Sent<'_>]) -> String {
    match files {
        [] => "nothing".to_string(),
        [file] => file.name.to_string(),
        [first, ..] => format!("{} and {} more", first.name, files.len() - 1),
    }
}

/// Redfish documents by the path that each says of itself.
pub type Documents = BTreeMap<String, Vec<u8>>;

/// The Redfish documents of a saved tree among files, and the others; a document alone is a file like any other.
pub fn tree<'a>(files: &[Sent<'a>]) -> (Documents, Vec<Sent<'a>>) {
    let (mut documents, mut others) = (Documents::new(), Vec::new());
    for file in files {
        match own_path(file.bytes) {
            Some(path) if files.len() > 1 => {
                documents.insert(path, file.bytes.to_vec());
            }
            _ => others.push(*file),
        }
    }
    (documents, others)
}

/// What a Redfish document says of its own path.
pub fn own_path(text: &[u8]) -> Option<String> {
    let document: serde_json::Value = serde_json::from_slice(text).ok()?;
    document.get("@odata.id")?.as_str().map(str::to_string)
}
