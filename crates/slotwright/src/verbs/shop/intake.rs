//! Taking in: what was read and screened becomes items of the store, all of them or none.

use super::act::read_bin;
use super::offer::Modules;
use super::stock::ItemView;
use crate::failure::Failure;
use crate::verbs::read::{self, ItemView as Read, ModuleView, Question, ReadView};
use crate::verbs::recognise::{self, What};
use crate::verbs::sent::Sent;
use crate::world::Data;
use domain::item::{Model, NewItem, Screened, Who};
use domain::reading::Weight;
use domain::{Condition, Day, Money};
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use store::{Bought, Store, StoreError};

pub use super::intake_fault::{RowFault, counted, short, told};
pub use super::intake_list::{list_in, list_sent};

/// What holds for all of an intake where a row does not say otherwise.
#[derive(Debug, Clone)]
pub struct Terms {
    pub condition: Condition,
    pub bin: String,
    pub cost: Option<Money>,
    /// Supplier and reference.
    pub batch: Option<(String, String)>,
    /// Maker, density or revision of the dies, where a person knows it and no contents tell.
    pub die: Option<String>,
    pub note: String,
    /// The day on which it was received.
    pub today: Day,
}

impl Terms {
    /// From what a person wrote; what is empty says nothing.
    ///
    /// # Errors
    /// The first that can't be read.
    pub fn read(condition: &str, bin: &str, cost: &str, batch: &str, note: &str, today: Day) -> Result<Self, Failure> {
        let shop = |(why, hint): (String, String)| Failure::Shop { why, hint };
        let some = |text: &str| !text.trim().is_empty();
        Ok(Self {
            condition: if some(condition) { read_condition(condition).map_err(shop)? } else { Condition::Used },
            bin: if some(bin) { read_bin(bin)? } else { String::new() },
            cost: some(cost).then(|| read_cost(cost).map_err(shop)).transpose()?,
            batch: some(batch).then(|| read_batch(batch).map_err(shop)).transpose()?,
            die: None,
            note: note.trim().to_string(),
            today,
        })
    }
}

/// Why a text is refused, and what to do.
pub type Wrong = (String, String);

/// `new` or `used`.
///
/// # Errors
/// It is neither.
pub fn read_condition(text: &str) -> Result<Condition, Wrong> {
    Condition::parse(text)
        .ok_or_else(|| (format!("`{}` is no condition", text.trim()), "write new or used".to_string()))
}

/// What one module cost.
///
/// # Errors
/// It is no amount of money.
pub fn read_cost(text: &str) -> Result<Money, Wrong> {
    Money::parse(text).map_err(|e| (e.to_string(), e.hint().to_string()))
}

/// `SUPPLIER/REFERENCE`.
///
/// # Errors
/// One of the two is missing.
pub fn read_batch(text: &str) -> Result<(String, String), Wrong> {
    let parts = text.split_once('/').map(|(s, r)| (s.trim().to_string(), r.trim().to_string()));
    parts.filter(|(s, r)| !s.is_empty() && !r.is_empty()).ok_or_else(|| {
        (format!("`{}` names no batch", text.trim()), "write SUPPLIER/REFERENCE, such as Whimbrel/2026-114".to_string())
    })
}

/// A serial as it is kept: capitals, and of the eighteen digits of a 2-D code or bar code (maker, place, date, serial) the last eight,
/// as a label prints them and SPD contents hold them.
pub fn serial(text: &str) -> String {
    let whole = text.trim().to_uppercase();
    let long = readers::serial::read(&whole)
        .filter(|long| long.maker.is_some() && long.made.is_some_and(|made| (1..=53).contains(&made.week)));
    long.map_or(whole, |long| long.serial)
}

/// The serial that a scanned line tells: of a 2-D code that carries one, that one; else the line is the serial.
pub fn serial_of(line: &str) -> String {
    if recognise::line(line) != What::Code {
        return serial(line);
    }
    let one = read::intake::Scanned { line: 1, text: line, serial: None, count: 1 };
    let view = read::intake::scanned(&[one], &question());
    let told = view.items.first().and_then(|i| i.module.as_ref()?.serial.clone());
    told.map_or_else(|| line.trim().to_uppercase(), |told| serial(&told))
}

/// What was taken in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ScreenedView {
    pub items: Vec<TookView>,
    /// Modules in all, counts added.
    pub modules: u32,
    /// Set aside at once.
    pub rejects: usize,
    /// To be looked at closely.
    pub suspects: usize,
    /// What several of them show together.
    pub together: Vec<String>,
    /// Columns that nothing reads.
    pub passed_over: Vec<String>,
}

/// An item that was taken in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct TookView {
    #[serde(flatten)]
    pub item: ItemView,
    /// Was it here before?
    pub again: bool,
}

/// How intake reads: as a tray, today.
pub fn question() -> Question {
    Question {
        things: Vec::new(),
        kind: None,
        same: false,
        tray: true,
        today: read::week_of(crate::world::today()),
        threshold: read::threshold(None),
    }
}

/// What could not be read of a text.
pub fn unread(view: &ReadView, text: &str) -> Vec<RowFault> {
    view.unread.iter().map(|u| RowFault::unread(u, text)).collect()
}

/// A row on its way in: what it is of, and its own terms.
pub struct Row {
    pub line: Option<usize>,
    pub text: String,
    pub terms: Terms,
}

impl Row {
    fn place(&self) -> String {
        self.line.map_or_else(|| short(&self.text), |line| format!("line {line}"))
    }
}

/// Takes in a folder of SPD dumps, or other files that tell of modules.
///
/// # Errors
/// [`Failure::Intake`] with everything that can't be taken in.
pub fn folder(data: &Data, store: &Store, path: &Path, terms: &Terms, who: &Who) -> Result<ScreenedView, Failure> {
    if !path.exists() {
        return Err(Failure::Shop {
            why: format!("there is no folder `{}`", path.display()),
            hint: "name the folder that holds the dumps".to_string(),
        });
    }
    let view = read::intake::folder(path, &question())?;
    take(data, store, &view, &|_| None, terms, unread(&view, ""), who)
}

/// Takes in files that were sent.
///
/// # Errors
/// As [`folder`].
pub fn sent(data: &Data, store: &Store, files: &[Sent<'_>], terms: &Terms, who: &Who) -> Result<ScreenedView, Failure> {
    let view = read::read_sent(&[], files, &question())?;
    take(data, store, &view, &|_| None, terms, unread(&view, ""), who)
}

/// Takes in what was read. `row` finds an item's own terms, `faults` are those that are known already.
///
/// # Errors
/// As [`folder`].
pub fn take(
    data: &Data,
    store: &Store,
    view: &ReadView,
    row: &dyn Fn(&str) -> Option<Row>,
    terms: &Terms,
    mut faults: Vec<RowFault>,
    who: &Who,
) -> Result<ScreenedView, Failure> {
    let mut known = Modules::new(data.library.catalog());
    let mut new: Vec<(NewItem, Option<Bought>)> = Vec::new();
    let mut rows = Vec::new();
    let mut sent = Vec::new();
    let mut serials: BTreeMap<(String, Option<String>), String> = BTreeMap::new();
    let unread: BTreeSet<usize> = faults.iter().filter_map(|f| f.line).collect();
    for (place, item) in view.items.iter().enumerate() {
        let row = row(&item.from).unwrap_or_else(|| Row { line: None, text: item.from.clone(), terms: terms.clone() });
        let mut fault = |(why, hint): Wrong| {
            faults.push(RowFault { line: row.line, column: None, text: short(&row.text), why, hint });
        };
        match one(&mut known, view, place, item, &row.terms) {
            Ok(made) => {
                let bears = made.0.serial.clone().map(|serial| (serial, made.0.model.maker.clone()));
                match bears.and_then(|bears| serials.insert(bears, row.place())) {
                    Some(first) => fault(twice(&made.0, &first)),
                    None => {
                        new.push(made);
                        sent.push(rows.len());
                    }
                }
            }
            // Of a row with a cell that can't be read, that cell is the fault, and not what is then missing.
            Err(_) if row.line.is_some_and(|l| unread.contains(&l)) => {}
            Err(wrong) => fault(wrong),
        }
        rows.push(row);
    }
    if new.is_empty() && faults.is_empty() {
        let why = "it tells of no module".to_string();
        let hint = "give a label, a part number or a dump a row".to_string();
        faults.push(RowFault { line: None, column: None, text: "what was given".to_string(), why, hint });
    }
    let of_store = |fault: store::RowFault| {
        let row = sent.get(fault.row).and_then(|row| rows.get(*row));
        let hint = "leave it out, or correct its serial, count or cost".to_string();
        let (line, text) = row.map_or((None, String::new()), |r| (r.line, short(&r.text)));
        RowFault { line, column: None, text, why: fault.why, hint }
    };
    if !faults.is_empty() {
        // What the store would refuse is told at once, too.
        let items: Vec<NewItem> = new.into_iter().map(|(item, _)| item).collect();
        faults.extend(store.refusals(&items)?.into_iter().map(of_store));
        faults.sort_by_key(|f| (f.line, f.column));
        return Err(Failure::Intake(faults));
    }
    let took = store.take_in_bought(&new, who).map_err(|e| match e {
        StoreError::Rows(list) => Failure::Intake(list.into_iter().map(of_store).collect()),
        other => Failure::Store(other),
    })?;
    let mut items = Vec::new();
    for took in took {
        items.push(TookView { item: ItemView::new(&store.item(took.id)?), again: took.again });
    }
    let count = |word: Screened| items.iter().filter(|i| i.item.screening == word.word()).count();
    let together = view.tray.iter().flat_map(|t| &t.together).filter(|t| t.finding.matters());
    Ok(ScreenedView {
        modules: items.iter().map(|i| i.item.quantity).fold(0, u32::saturating_add),
        rejects: count(Screened::Reject),
        suspects: count(Screened::Look),
        together: together.map(|t| format!("{}: {}", t.finding.name, t.finding.evidence)).collect(),
        passed_over: Vec::new(),
        items,
    })
}

fn twice(item: &NewItem, first: &str) -> Wrong {
    let why = format!("serial {} was given already: {first}", item.serial.as_deref().unwrap_or_default());
    (why, "two modules of one maker never share a serial: look at both, and leave out what is copied".to_string())
}

/// An item of what was read of it.
fn one(
    known: &mut Modules<'_>,
    view: &ReadView,
    place: usize,
    item: &Read,
    terms: &Terms,
) -> Result<(NewItem, Option<Bought>), Wrong> {
    let Some(module) = &item.module else {
        let why = "it tells of a machine or of errors, and of no single module".to_string();
        return Err((why, "take in what its modules' labels or SPD contents say".to_string()));
    };
    let Some(cost) = terms.cost else {
        let why = "what it cost is not said".to_string();
        return Err((why, "give a column cost, or --cost \"42 EUR\" for all; 0 EUR where it was free".to_string()));
    };
    let (screened, screening_note) = screening(view, place, item);
    let new = NewItem {
        model: model(known, module, terms)?,
        serial: module.serial.as_deref().map(serial).filter(|s| !s.is_empty()),
        condition: terms.condition,
        quantity: item.quantity,
        batch: None,
        bin: terms.bin.clone(),
        cost,
        screened,
        screening_note,
        made: module.made.as_ref().map(|m| (m.year, m.week)),
        received: terms.today,
        note: terms.note.clone(),
    };
    let bought = terms.batch.clone().map(|(supplier, reference)| Bought { supplier, reference, on: terms.today });
    Ok((new, bought))
}

/// The model that all evidence together describes.
fn model(known: &mut Modules<'_>, module: &ModuleView, terms: &Terms) -> Result<Model, Wrong> {
    let label = module.label.clone().or_else(|| worked_out(module)).ok_or_else(|| {
        let why = "what is known of it is too little for a label".to_string();
        (why, "give its label: capacity, ranks, rate and kind must be known".to_string())
    })?;
    let of_label = known.get(&label).ok_or_else(|| {
        let why = format!("`{label}` is no label of a server's module");
        (why, "small outline, non-volatile and unknown kinds are not kept in stock".to_string())
    })?;
    let text = |t: &Option<String>| t.as_deref().map(|t| t.trim().to_string()).filter(|t| !t.is_empty());
    let density = module.die_density_gbit.map(|d| format!("{d} Gbit"));
    let die = [text(&module.dram_maker), density].into_iter().flatten().collect::<Vec<_>>().join(" ");
    // Contents know the dies' maker; else a person knows more than a label, which tells their density at most.
    let die = Some(die).filter(|d| !d.is_empty());
    let die = if module.dram_maker.is_some() { die } else { terms.die.clone().or(die) };
    let mut model = Model::of(&of_label, die);
    model.label = label.trim().to_string();
    model.part_number = text(&module.part_number);
    model.maker = text(&module.maker);
    Ok(model)
}

/// The label that a part number's facts come to (JEDEC module label, JESD21-C and JESD401-5B), without what it leaves open.
fn worked_out(module: &ModuleView) -> Option<String> {
    let generation = module.generation.as_deref()?;
    let capacity = module.capacity_mib.filter(|c| c % 1024 == 0)? / 1024;
    let stack = module.stack_height.filter(|h| *h > 1).map_or_else(String::new, |h| format!("S{h}"));
    let organisation = format!("{}{stack}Rx{}", module.package_ranks?, module.device_width?);
    let letter = match module.kind.as_deref()? {
        "RDIMM" => "R",
        "LRDIMM" => "L",
        "UDIMM" => "E",
        _ => return None,
    };
    let bus = match generation {
        "DDR4" => "PC4",
        "DDR5" => "PC5",
        _ => return None,
    };
    let grade = module.speed_grade.as_deref().unwrap_or_default();
    let label = format!("{capacity}GB {organisation} {bus}-{}{grade}-{letter}", module.data_rate_mts?);
    readers::label::module(&label).ok().map(|_| label)
}

/// What the intake screening says: clean only where the module's own contents were read.
fn screening(view: &ReadView, place: usize, item: &Read) -> (Screened, String) {
    let heaviest = view.tray.as_ref().and_then(|t| t.heaviest(place, item));
    let shared = view.tray.iter().flat_map(|t| &t.together).filter(|t| t.items.contains(&place)).map(|t| &t.finding);
    let signs = item.findings.iter().chain(shared).filter(|f| f.matters());
    let note: Vec<String> = signs.map(|f| format!("{} ({}): {}", f.name, f.weight, f.evidence)).collect();
    let screened = match heaviest.as_deref() {
        Some(w) if w == Weight::Reject.word() => Screened::Reject,
        Some(w) if w == Weight::Suspect.word() => Screened::Look,
        _ if item.input == "spd" => Screened::Clean,
        _ => Screened::Not,
    };
    (screened, note.join("; "))
}
