//! Redfish resources (DMTF DSP0266, DSP0268), from a live service, a saved tree or a single file: one code path over
//! [`Fetch`]. Gives one snapshot per computer system. Every property may be missing, null or of another shape; what is
//! odd becomes a note, and what can't be had costs no more than itself.

mod figures;
mod kept;
mod loose;
mod memory;
mod mend;
mod parse;
mod quirks;
mod resources;
mod system;
mod walk;
mod whole;
mod words;

pub use kept::Kept;
pub use walk::path_of;
pub use whole::{Bases, bases};

use domain::snapshot::Snapshot;
use loose::Branch;
use memory::Context;
use quirks::Tally;
use resources::{Collection, Head, Memory, ServiceRoot, System};
use walk::{Memories, Met, Systems, Walk};

/// Where every service starts (DSP0266).
pub const ROOT: &str = "/redfish/v1";
/// Where its systems are, in a tree that was saved without the root.
const SYSTEMS: &str = "/redfish/v1/Systems";

/// A way to get resources by their path, such as `/redfish/v1/Systems/1`, without a closing slash.
pub trait Fetch {
    /// Gets one resource as JSON text.
    ///
    /// # Errors
    /// It is not there, it can't be had, or nothing more can be had.
    fn get(&mut self, path: &str) -> Result<Vec<u8>, Unfetched>;

    /// May a path carry a query, such as `?$expand=.`? Saved trees have no answer to that.
    fn queries(&self) -> bool {
        false
    }

    /// Every path that there is, where that is known without asking; only saved trees know.
    fn paths(&self) -> Vec<String> {
        Vec::new()
    }
}

/// Why a resource could not be had.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Unfetched {
    #[error("it is not there")]
    Missing,
    /// This one; others may do.
    #[error("{0}")]
    Failed(String),
    /// Nothing more can be had: the service went away, refused the user, or the time is up.
    #[error("{0}")]
    Closed(String),
}

/// Why nothing could be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum RedfishError {
    #[error("`{path}` can't be had: {why}")]
    Entry { path: String, why: Unfetched },
    #[error("`{path}` is no JSON: line {line}, column {column}: {why}")]
    Json { path: String, line: usize, column: usize, why: String },
    #[error("`{path}` is JSON, but no Redfish resource that leads to memory")]
    Shape { path: String },
    #[error("`{path}` answers with an error: {message}")]
    Complaint { path: String, message: String },
    #[error("`{path}` names no computer system that could be read: {why}")]
    NoSystem { path: String, why: String },
}

impl RedfishError {
    /// What the person can do next, in one clause.
    pub fn hint(&self) -> String {
        match self {
            Self::Entry { why: Unfetched::Missing, .. } => {
                "give the folder that holds redfish/v1, or the address of the service".into()
            }
            Self::Entry { .. } => "check that the service is up and may be reached".into(),
            Self::Json { .. } => "save the resource again as the service sent it".into(),
            Self::Shape { .. } => {
                "give a service root, a ComputerSystem, a Memory collection or a Memory resource".into()
            }
            Self::Complaint { .. } => "ask again with a user who may see it".into(),
            Self::NoSystem { .. } => {
                "check that there are Systems with members, and that the user who asks may see them".into()
            }
        }
    }
}

/// Reads what a service or saved tree holds, from its root.
///
/// # Errors
/// The root or every system can't be had or is no Redfish; see [`RedfishError`].
pub fn read<F: Fetch + ?Sized>(fetch: &mut F) -> Result<Vec<Snapshot>, RedfishError> {
    let text = match fetch.get(ROOT) {
        Ok(text) => text,
        // A tree may have been saved without its root.
        Err(Unfetched::Missing) => match fetch.get(SYSTEMS) {
            Ok(text) => return read_text(fetch, &text, SYSTEMS),
            Err(_) => return scattered(fetch),
        },
        Err(why) => return Err(RedfishError::Entry { path: ROOT.into(), why }),
    };
    read_text(fetch, &text, ROOT)
}

/// Reads a part of a tree that was saved without what leads to it: its systems, else its Memory collections, else its
/// Memory resources.
fn scattered<F: Fetch + ?Sized>(fetch: &mut F) -> Result<Vec<Snapshot>, RedfishError> {
    let paths = fetch.paths();
    let below = |end: &str| {
        let parent = |p: &&String| p.rsplit_once('/').is_some_and(|(parent, _)| parent.ends_with(end));
        let found = paths.iter().filter(parent).map(|p| serde_json::json!({ "@odata.id": p }));
        let found: Vec<serde_json::Value> = found.collect();
        (!found.is_empty()).then(|| serde_json::json!({ "Members": found }).to_string())
    };
    if let Some(systems) = below("/Systems") {
        return read_text(fetch, systems.as_bytes(), SYSTEMS);
    }
    let mut all = Vec::new();
    for path in paths.iter().filter(|p| p.ends_with("/Memory")) {
        if let Ok(text) = fetch.get(path) {
            all.extend(read_text(fetch, &text, path)?);
        }
    }
    match below("/Memory").filter(|_| all.is_empty()) {
        Some(memories) => read_text(fetch, memories.as_bytes(), "the tree"),
        None if all.is_empty() => Err(RedfishError::Entry { path: ROOT.into(), why: Unfetched::Missing }),
        None => Ok(all),
    }
}

/// Reads one document: a service root, systems, a whole system, a Memory collection, or one Memory resource. What it
/// links to is looked for within it.
///
/// # Errors
/// It is no JSON or no such resource; see [`RedfishError`].
pub fn read_one(text: &[u8]) -> Result<Vec<Snapshot>, RedfishError> {
    read_text(&mut Kept::default(), text, "")
}

/// Reads from a text that is at hand; what it links to is fetched. `path` is its own, where that is known.
///
/// # Errors
/// As [`read_one`].
pub fn read_text<F: Fetch + ?Sized>(fetch: &mut F, text: &[u8], path: &str) -> Result<Vec<Snapshot>, RedfishError> {
    let at = if path.is_empty() { "the document" } else { path };
    let failed = |unread: parse::Unread| RedfishError::Json {
        path: at.to_string(),
        line: unread.line,
        column: unread.column,
        why: unread.why,
    };
    let list = text.iter().find(|b| !b.is_ascii_whitespace()) == Some(&b'[');
    let mut tally = Tally::default();
    if !list && let Ok(head) = parse::quick::<Head<'_>>(text) {
        return shaped(fetch, text, &head, path, tally);
    }
    if list && parse::quick::<Branch<Collection<'_, Memory<'_>>>>(text).is_ok() {
        return shaped(fetch, text, &Head::default(), path, tally);
    }
    let ready = parse::ready(text).map_err(failed)?;
    if let Some(remark) = ready.remark {
        tally.note(at, remark);
    }
    let head = parse::quick::<Head<'_>>(&ready.text).unwrap_or_default();
    shaped(fetch, &ready.text, &head, path, tally)
}

/// What a document is.
enum Shape {
    Root,
    Systems,
    System,
    Memories,
    Memory,
}

fn shape(head: &Head<'_>, text: &[u8]) -> Option<Shape> {
    let schema = head.kind.said().and_then(|k| k.trim_start_matches('#').split('.').next()).unwrap_or("");
    match schema {
        "ServiceRoot" => return Some(Shape::Root),
        "ComputerSystemCollection" => return Some(Shape::Systems),
        "ComputerSystem" => return Some(Shape::System),
        "MemoryCollection" => return Some(Shape::Memories),
        "Memory" => return Some(Shape::Memory),
        _ => {}
    }
    if head.members.0 || text.iter().find(|b| !b.is_ascii_whitespace()) == Some(&b'[') {
        let all: Branch<Collection<'_, Memory<'_>>> = parse::quick(text).unwrap_or_default();
        let memory = |m: &Memory<'_>| {
            let told = m.capacity.value().is_some() || m.memory_device_type.said().is_some();
            told || m.memory_type.said().is_some() || m.odata_id.said().is_some_and(|p| p.contains("/Memory/"))
        };
        let systems = |m: &Memory<'_>| m.odata_id.said().is_some_and(|p| p.contains("/Systems/"));
        let members = &all.0.members.0;
        return match (members.iter().any(memory), members.iter().any(systems)) {
            (true, _) => Some(Shape::Memories),
            (_, true) => Some(Shape::Systems),
            _ => None,
        };
    }
    if head.systems.0 {
        return Some(Shape::Root);
    }
    if head.memory_summary.0 || head.memory.0 {
        return Some(Shape::System);
    }
    let signs = [head.capacity, head.memory_device_type, head.memory_type, head.base_module_type, head.memory_location];
    signs.iter().any(|p| p.0).then_some(Shape::Memory)
}

fn shaped<F: Fetch + ?Sized>(
    fetch: &mut F,
    text: &[u8],
    head: &Head<'_>,
    path: &str,
    mut tally: Tally,
) -> Result<Vec<Snapshot>, RedfishError> {
    let own = head.id.said().and_then(path_of);
    let path = if path.is_empty() { own.as_deref().unwrap_or("the document") } else { path };
    let queries = fetch.queries();
    let mut walk = Walk::new(fetch);
    match shape(head, text) {
        Some(Shape::Root) => {
            let root: ServiceRoot<'_> = parse::quick(text).unwrap_or_default();
            let offered = &root.protocol_features_supported.0.expand_query.0;
            walk.expand = match (queries && offered.no_links.0 == Some(true), offered.levels.0) {
                (true, Some(true)) => Some("$expand=.($levels=1)"),
                (true, _) => Some("$expand=."),
                (false, _) => None,
            };
            systems(&mut walk, &root.systems.0, path, tally)
        }
        Some(Shape::Systems) => {
            let all: Collection<'_, System<'_>> = parse::quick(text).unwrap_or_default();
            systems(&mut walk, &all, path, tally)
        }
        Some(Shape::System) => {
            let mut found = Vec::new();
            walk.text::<Systems>(text, path, &mut tally, &mut |walk, _, met, path| {
                if let Met::Whole(system) = met {
                    found.push((path.to_string(), system::read(walk, system, path)));
                }
            });
            if found.is_empty() {
                let system: System<'_> = parse::quick(text).unwrap_or_default();
                found.push((path.to_string(), system::read(&mut walk, &system, path)));
            }
            Ok(finish(found, tally))
        }
        Some(Shape::Memories) => {
            let all: Branch<Collection<'_, Memory<'_>>> = parse::quick(text).unwrap_or_default();
            Ok(memories(&mut walk, &all.0, path, tally))
        }
        Some(Shape::Memory) => {
            let one: Memory<'_> = parse::quick(text).unwrap_or_default();
            let mut gathered = system::Gathered::default();
            gathered.take(&one, path, Context::default(), &mut tally);
            Ok(vec![system::loose(gathered, path, tally, None)])
        }
        None => {
            let complaint = &head.error.0;
            let path = path.to_string();
            Err(match complaint.message.said().or(complaint.code.said()) {
                Some(message) => RedfishError::Complaint { path, message: message.to_string() },
                None => RedfishError::Shape { path },
            })
        }
    }
}

fn systems<F: Fetch + ?Sized>(
    walk: &mut Walk<'_, F>,
    all: &Collection<'_, System<'_>>,
    path: &str,
    mut tally: Tally,
) -> Result<Vec<Snapshot>, RedfishError> {
    let mut found = Vec::new();
    walk.each::<Systems>(all, &mut tally, &mut |walk, tally, met, path| match met {
        Met::Whole(system) => {
            let inner = system::read(walk, system, path);
            found.push((path.to_string(), inner));
        }
        Met::Not(why) => tally.unread(path, why),
    });
    if found.is_empty() {
        let notes = tally.into_notes();
        let told = notes.first().map(|n| format!("{} {}", n.place.as_deref().unwrap_or(""), n.what));
        let why = told.unwrap_or_else(|| "it has no members".into()).trim().to_string();
        return Err(RedfishError::NoSystem { path: path.to_string(), why });
    }
    Ok(finish(found, tally))
}

fn memories<F: Fetch + ?Sized>(
    walk: &mut Walk<'_, F>,
    all: &Collection<'_, Memory<'_>>,
    path: &str,
    mut tally: Tally,
) -> Vec<Snapshot> {
    let mut gathered = system::Gathered::default();
    let array = all.id.said().and_then(path_of);
    let context = Context { array: array.as_deref(), ..Context::default() };
    walk.each::<Memories>(all, &mut tally, &mut |_, tally, met, path| match met {
        Met::Whole(memory) => gathered.take(memory, path, context, tally),
        Met::Not(why) => {
            tally.unread(path, why);
            gathered.push(memory::unread(path, context), None, None);
        }
    });
    let place = array.clone().unwrap_or_else(|| path.to_string());
    vec![system::loose(gathered, &place, tally, array)]
}

/// Snapshots in the service's order; what could not be read beside them is told with the first.
fn finish(mut found: Vec<(String, Snapshot)>, tally: Tally) -> Vec<Snapshot> {
    whole::shared(&mut found);
    if let Some((_, first)) = found.first_mut() {
        first.notes.extend(tally.into_notes());
    }
    found.into_iter().map(|(_, snapshot)| snapshot).collect()
}
