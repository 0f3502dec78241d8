//! What is attached to an item or order: arguments and text.

use crate::cli::Reply;
use crate::cli::table::table;
use crate::failure::Failure;
use crate::verbs::shop::evidence::{self, AttachmentListView, AttachmentView, File};
use crate::world;
use domain::item::Subject;
use std::path::{Path, PathBuf};
use store::Store;

/// Files to attach, or to get back.
#[derive(Debug, clap::Args)]
pub struct AttachArgs {
    /// Photos, logs, snapshots, records; without one it lists what is there.
    #[arg(value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Writes what is attached under this name, or under the first digits of this sum, into the folder of --to.
    #[arg(long, value_name = "NAME|SUM", conflicts_with = "files", requires = "to")]
    get: Option<String>,
    #[arg(long, value_name = "FOLDER")]
    to: Option<PathBuf>,
    #[arg(long)]
    json: bool,
}

/// A file that somebody named.
pub struct Named {
    name: String,
    bytes: Vec<u8>,
}

impl Named {
    /// Reads it.
    ///
    /// # Errors
    /// It can't be read.
    pub fn read(path: &Path) -> Result<Self, Failure> {
        let bytes = std::fs::read(path).map_err(|e| Failure::Shop {
            why: format!("`{}` can't be read: {e}", path.display()),
            hint: "name a file".to_string(),
        })?;
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        Ok(Self { name, bytes })
    }
    /// For the verb.
    pub fn file(&self) -> File<'_> {
        File { name: &self.name, bytes: &self.bytes }
    }
}

/// Attaches, lists, or gets back.
///
/// # Errors
/// A file can't be read or written, or there is none of that name.
pub fn run(store: &Store, subject: Subject, args: &AttachArgs) -> Result<Reply, Failure> {
    let who = world::who();
    if let (Some(named), Some(folder)) = (&args.get, &args.to) {
        let (view, content) = evidence::content(store, subject, named)?;
        let path = folder.join(&view.name);
        if path.exists() {
            return Err(Failure::Shop {
                why: format!("{} is there already", path.display()),
                hint: "name another folder".to_string(),
            });
        }
        // A folder that can't be made is told where the file can't be written.
        let _ = std::fs::create_dir_all(folder);
        world::write_bytes(&path, &content.bytes)?;
        return Ok(Reply::new(format!("wrote {}\n", path.display()), false));
    }
    // All are read before the first is kept.
    let read = args.files.iter().map(|f| Named::read(f)).collect::<Result<Vec<_>, _>>()?;
    for named in &read {
        evidence::attach(store, subject, named.file(), &who)?;
    }
    let view = evidence::attached(store, subject)?;
    Reply::of(&view, args.json, false, || list(&view))
}

fn list(view: &AttachmentListView) -> String {
    if view.attachments.is_empty() {
        return "nothing is attached\n".to_string();
    }
    let row = |a: &AttachmentView| {
        let sum = a.sha256.chars().take(12).collect();
        vec![a.name.clone(), a.media_type.clone(), a.size.to_string(), sum, a.at.clone(), a.who.clone()]
    };
    table(&["name", "type", "bytes", "SHA-256 begins", "at", "who"], &[2], view.attachments.iter().map(row).collect())
}
