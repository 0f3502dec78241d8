//! The outside: standard output and error, colour, files that are written, and what becomes of a panic.

use crate::failure::Failure;
use catalog::{Folder, Library};
use domain::Stamp;
use domain::item::Who;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use signal_hook::consts::signal::{SIGINT, SIGTERM};
use signal_hook::flag;
use std::fs::{self, File, OpenOptions};
use std::io::{self, BufRead, ErrorKind, IsTerminal, Write};
use std::panic::{self, AssertUnwindSafe};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::time::Duration;
use store::{Place, Store};

/// Nothing to act on.
pub const CLEAN: u8 = 0;
/// Findings worth acting on, or nothing fits.
pub const FINDINGS: u8 = 1;
/// The user's input is wrong.
pub const INPUT: u8 = 2;
/// Our bug.
pub const BUG: u8 = 3;

/// When to use colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, clap::ValueEnum)]
pub enum Colour {
    /// On a terminal, unless NO_COLOR is set.
    #[default]
    Auto,
    Always,
    Never,
}

impl Colour {
    fn holds(self, terminal: bool) -> bool {
        let set = |name: &str| std::env::var_os(name).is_some_and(|v| !v.is_empty());
        let dumb = std::env::var_os("TERM").is_some_and(|t| t == "dumb");
        match self {
            Self::Always => true,
            Self::Never => false,
            Self::Auto => terminal && !set("NO_COLOR") && !dumb,
        }
    }
    /// Colour on standard output?
    pub fn on_output(self) -> bool {
        self.holds(io::stdout().is_terminal())
    }
    /// Colour on standard error?
    pub fn on_error(self) -> bool {
        self.holds(io::stderr().is_terminal())
    }
}

/// Today, where the machine is.
pub fn today() -> jiff::civil::Date {
    jiff::ZonedDateTime::now().date()
}

/// Columns that there are to print on: what COLUMNS says, else what the terminal is wide; `None` where nothing says it.
pub fn width() -> Option<usize> {
    let said = std::env::var("COLUMNS").ok().and_then(|c| c.parse().ok());
    let terminal = || terminal_size::terminal_size_of(io::stdout()).map(|(w, _)| usize::from(w.0));
    said.or_else(terminal).filter(|c| (40..=400).contains(c))
}

/// Lines that the terminal is high: what LINES says, else what it has; `None` where nothing says it.
pub fn height() -> Option<usize> {
    let said = std::env::var("LINES").ok().and_then(|l| l.parse().ok());
    let terminal = || terminal_size::terminal_size_of(io::stdout()).map(|(_, h)| usize::from(h.0));
    said.or_else(terminal).filter(|l| (10..=400).contains(l))
}

/// Columns for drawings and running text: as wide as there is room, else 100.
pub fn columns() -> usize {
    width().unwrap_or(100)
}

/// A bar for work that takes long, on a terminal only; its positions go to 1000.
pub fn bar() -> ProgressBar {
    if !io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::with_draw_target(Some(1000), ProgressDrawTarget::stderr());
    if let Ok(style) = ProgressStyle::with_template("{bar:30} {percent} %, {elapsed}, {msg}") {
        bar.set_style(style);
    }
    bar.enable_steady_tick(Duration::from_millis(500));
    bar
}

/// A mark that is set where somebody interrupts or ends the program; a second time it ends at once.
///
/// # Errors
/// The signals can't be caught.
pub fn interrupted() -> Result<Arc<AtomicBool>, Failure> {
    let mark = Arc::new(AtomicBool::new(false));
    for signal in [SIGINT, SIGTERM] {
        // The first of the two looks at the mark before the second sets it.
        flag::register_conditional_shutdown(signal, 130, Arc::clone(&mark))
            .and_then(|_| flag::register(signal, Arc::clone(&mark)))
            .map_err(|e| Failure::Signal(e.to_string()))?;
    }
    Ok(mark)
}

/// Writes to standard output; a reader that has gone away is no fault.
///
/// # Errors
/// The output can't be written, such as to a full disk.
pub fn say(text: &str) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(e) if e.kind() != ErrorKind::BrokenPipe => {
            Err(Failure::Write { path: "standard output".to_string(), why: e.to_string() })
        }
        _ => Ok(()),
    }
}

/// Writes a line to standard error, where it can be.
pub fn complain(text: &str) {
    let _ = writeln!(io::stderr().lock(), "{text}");
}

/// Puts a question on standard error and reads the answer, a line of standard input; `None` at its end.
pub fn ask(question: &str) -> Option<String> {
    complain(question);
    let mut line = String::new();
    let read = io::stdin().lock().read_line(&mut line).ok()?;
    (read > 0).then_some(line)
}

/// The data that verbs ask, and the shop's own folder that went into it.
#[derive(Debug)]
pub struct Data {
    pub library: Library,
    folder: Option<PathBuf>,
}

impl Data {
    /// What the program carries, with a shop's own folder of data over it where there is one.
    ///
    /// # Errors
    /// The folder is not there or holds no data, or a file in it is wrong; where the program's own data is, it is our bug.
    pub fn open(folder: Option<&Path>) -> Result<Self, Failure> {
        let library = shipped()?;
        let Some(folder) = folder else {
            return Ok(Self { library, folder: None });
        };
        if !DATA.iter().any(|name| folder.join(name).exists()) {
            return Err(Failure::NoData { folder: folder.display().to_string() });
        }
        let within = |error| Failure::Data { folder: folder.display().to_string(), error };
        let library = library.with(&Folder::new(folder)).map_err(within)?;
        Ok(Self { library, folder: Some(folder.to_path_buf()) })
    }
    /// The shop's own folder.
    pub fn folder(&self) -> Option<&Path> {
        self.folder.as_deref()
    }
    /// The option that brings the same data into another command: ` --data DIR`, or nothing.
    pub fn option(&self) -> String {
        self.folder.as_ref().map_or_else(String::new, |f| format!(" --data {}", f.display()))
    }
}

/// Where the shop's store is: as said, else `slotwright/shop.db` among the user's data.
///
/// # Errors
/// It can't be opened.
pub fn open_store(said: Option<&str>) -> Result<Store, Failure> {
    let place = store_place(said);
    let new = matches!(&place, Place::File(path) if !path.exists());
    let store = Store::open(&place)?;
    if new {
        complain(&format!("made a new, empty store: {place}"));
    }
    Ok(store)
}

fn store_place(said: Option<&str>) -> Place {
    if let Some(said) = said.filter(|s| !s.trim().is_empty()) {
        return Place::parse(said);
    }
    let set = |name: &str| std::env::var_os(name).filter(|v| !v.is_empty()).map(PathBuf::from);
    let data = set("XDG_DATA_HOME").or_else(|| Some(set("HOME")?.join(".local/share"))).unwrap_or_default();
    Place::File(data.join("slotwright").join("shop.db"))
}

/// Now, and who is at work: SLOTWRIGHT_WHO, else the user's name.
pub fn who() -> Who {
    let set = |name: &str| std::env::var(name).ok().filter(|v| !v.trim().is_empty());
    let name = set("SLOTWRIGHT_WHO").or_else(|| set("USER")).unwrap_or_else(|| "somebody".to_string());
    Who { name: name.trim().to_string(), at: now() }
}

/// Now.
pub fn now() -> Stamp {
    let now = jiff::ZonedDateTime::now();
    Stamp::from_seconds(now.timestamp().as_second()).with_clock(now.offset().seconds())
}

/// What a folder of data may hold; one of them at least.
const DATA: [&str; 5] = ["boards", "modules", "processors", "sources.toml", "processor-names.toml"];

/// Everything that the program carries: boards, processors, modules, sources.
///
/// # Errors
/// The data is faulty, which is our bug.
pub fn shipped() -> Result<Library, Failure> {
    Library::shipped().map_err(Failure::Shipped)
}

/// Writes a whole file or none of it: a neighbour is written first and then takes its name.
///
/// # Errors
/// The folder is not there or may not be written, or there is no room; what stood there before is then left as it was.
pub fn write_file(path: &Path, text: &str) -> Result<(), Failure> {
    write_bytes(path, text.as_bytes())
}

/// The same for bytes.
///
/// # Errors
/// As [`write_file`].
pub fn write_bytes(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    replace(path, bytes).map_err(|e| Failure::Write { path: path.display().to_string(), why: e.to_string() })
}

fn replace(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let target = match fs::metadata(path) {
        Ok(found) if found.is_dir() => return Err(ErrorKind::IsADirectory.into()),
        // A device or pipe is written to; it must not be replaced by a file.
        Ok(found) if !found.is_file() => return File::create(path)?.write_all(bytes),
        Ok(_) => fs::canonicalize(path)?,
        Err(_) => path.to_path_buf(),
    };
    let beside = neighbour(&target)?;
    let written = OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(&beside)
        .and_then(|mut file| {
            file.write_all(bytes)?;
            file.sync_all()
        })
        .and_then(|()| fs::rename(&beside, &target));
    if written.is_err() {
        let _ = fs::remove_file(&beside);
    }
    written
}

fn neighbour(target: &Path) -> io::Result<PathBuf> {
    let name = target.file_name().ok_or(ErrorKind::InvalidInput)?;
    let mut beside = std::ffi::OsString::from(".");
    beside.push(name);
    beside.push(format!(".{}.part", std::process::id()));
    Ok(target.with_file_name(beside))
}

/// Runs the program; a panic becomes a message and the exit code of a bug.
pub fn run(program: impl FnOnce() -> u8) -> ExitCode {
    panic::set_hook(Box::new(|info| {
        complain(&format!(
            "bug in slotwright: {info}\n  = help: this is a fault of the program, not of your input: please report it"
        ));
    }));
    ExitCode::from(panic::catch_unwind(AssertUnwindSafe(program)).unwrap_or(BUG))
}
