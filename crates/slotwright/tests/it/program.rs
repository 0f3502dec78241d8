//! Runs the built program in a folder of its own.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::atomic::{AtomicU32, Ordering};

static NUMBER: AtomicU32 = AtomicU32::new(0);

/// A folder for one test, removed when it is dropped.
pub struct Place(PathBuf);

impl Place {
    pub fn new() -> Self {
        let number = NUMBER.fetch_add(1, Ordering::Relaxed);
        let path = std::env::temp_dir().join(format!("slotwright-{}-{number}", std::process::id()));
        std::fs::create_dir_all(&path).unwrap();
        Self(path)
    }
    pub fn path(&self) -> &Path {
        &self.0
    }
    pub fn write(&self, name: &str, text: impl AsRef<[u8]>) {
        let path = self.0.join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }
    pub fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.0.join(name)).unwrap()
    }
    /// Copies a file of the repository's examples.
    pub fn example(&self, name: &str) {
        std::fs::copy(crate::top().join("examples").join(name), self.0.join(name)).unwrap();
    }
    /// Runs the program here.
    pub fn run(&self, args: &[&str]) -> Told {
        let out = self.command(args).output().unwrap();
        Told {
            code: out.status.code(),
            out: String::from_utf8(out.stdout).unwrap(),
            err: String::from_utf8_lossy(&out.stderr).into_owned(),
        }
    }
    pub fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_slotwright"));
        command.args(args).current_dir(&self.0).stdin(Stdio::null());
        ["NO_COLOR", "COLUMNS", "SLOTWRIGHT_DATA", "SLOTWRIGHT_STORE"].iter().for_each(|name| {
            command.env_remove(name);
        });
        command
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// What the program said.
#[derive(Debug)]
pub struct Told {
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
}

impl Told {
    pub fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.out).unwrap_or_else(|e| panic!("{e}: {}\n{}", self.out, self.err))
    }
}
