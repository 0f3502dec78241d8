//! What all pages share: the data, the shop's settings, the doorkeeper, and plans that were worked out lately.

use super::guard::Guard;
use super::received::Received;
use crate::failure::Failure;
use crate::verbs::plan::Searched;
use crate::verbs::shop::pricing::Sale;
use crate::verbs::shop::{calendar, proposal, settings};
use crate::world::{self, Data};
use domain::Need;
use domain::shop::Shop;
use std::collections::VecDeque;
use std::path::PathBuf;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError, RwLock};
use std::time::{Duration, Instant};
use store::Store;

/// Searched needs that are kept at most, and plans in all of them: a plan takes some kilobytes.
const KEPT_MOST: usize = 24;
const PLANS_MOST: usize = 6_000;

/// The state of the server.
#[derive(Debug)]
pub struct App {
    data: RwLock<Arc<Data>>,
    /// The shop's own folder of data, where boards are saved.
    pub folder: Option<PathBuf>,
    /// The shop's settings, where a file of them was named.
    pub settings: Option<Shop>,
    pub guard: Guard,
    /// Is the reference page of the load trial offered?
    pub reference: bool,
    /// The shop's store, where one was named.
    pub store: Option<Arc<Store>>,
    /// What machines sent of themselves.
    pub received: Received,
    /// The proposal of the allocation that was read last.
    pub proposal: proposal::Kept,
    kept: Mutex<VecDeque<Kept>>,
    saves: Mutex<()>,
    turns: Turns,
}

/// A need that was planned.
#[derive(Debug, Clone)]
pub struct Timed {
    pub searched: Arc<Searched>,
    /// What the search took, without the page.
    pub took: Duration,
}

#[derive(Debug)]
struct Kept {
    /// All that the need was read from.
    text: String,
    timed: Timed,
}

/// At most so many searches at a time as the machine has cores; the others wait their turn.
#[derive(Debug)]
struct Turns {
    free: Mutex<usize>,
    given_back: Condvar,
}

impl App {
    /// The state of a server that starts.
    pub fn new(
        data: Data,
        folder: Option<PathBuf>,
        shop: Option<Shop>,
        guard: Guard,
        reference: bool,
        store: Option<Arc<Store>>,
    ) -> Self {
        let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
        Self {
            data: RwLock::new(Arc::new(data)),
            folder,
            settings: shop,
            guard,
            reference,
            store,
            received: Received::default(),
            proposal: proposal::Kept::default(),
            kept: Mutex::default(),
            saves: Mutex::default(),
            turns: Turns { free: Mutex::new(cores), given_back: Condvar::new() },
        }
    }
    /// The shop's settings: those of the file that was named, else those that the store keeps.
    ///
    /// # Errors
    /// The store's.
    pub fn shop(&self) -> Result<Option<Shop>, Failure> {
        match (&self.settings, &self.store) {
            (None, Some(store)) => settings::kept(&self.data(), store),
            (own, _) => Ok(own.clone()),
        }
    }
    /// What is sold now.
    ///
    /// # Errors
    /// The store's.
    pub fn sale(&self) -> Result<Sale, Failure> {
        Ok(Sale { shop: self.shop()?, day: calendar::of(world::today()) })
    }
    /// The data as it now is.
    pub fn data(&self) -> Arc<Data> {
        Arc::clone(&self.data.read().unwrap_or_else(PoisonError::into_inner))
    }
    /// Reads the shop's folder again, after something was saved there.
    ///
    /// # Errors
    /// What is in the folder now can't be read; the data then stays as it was.
    pub fn reload(&self) -> Result<(), Failure> {
        let data = Arc::new(Data::open(self.folder.as_deref())?);
        *self.data.write().unwrap_or_else(PoisonError::into_inner) = data;
        lock(&self.kept).clear();
        Ok(())
    }
    /// Waits for a core to search on; it is given back where the turn ends.
    pub fn turn(&self) -> Turn<'_> {
        self.turns.take()
    }
    /// Saves something in the shop's folder, one at a time, so that what is looked at is what is written over.
    pub fn saving<T>(&self, save: impl FnOnce() -> T) -> T {
        let _turn = lock(&self.saves);
        save()
    }
    /// Searches a need, or takes it from those that were searched lately. `text` is all that the need was read from.
    pub fn search(&self, text: &str, need: Need) -> Timed {
        let known = |kept: &VecDeque<Kept>| kept.iter().find(|k| k.text == text).map(|k| k.timed.clone());
        if let Some(timed) = known(&lock(&self.kept)) {
            return timed;
        }
        let _turn = self.turns.take();
        // Somebody else may have asked the same meanwhile.
        if let Some(timed) = known(&lock(&self.kept)) {
            return timed;
        }
        let start = Instant::now();
        let searched = Arc::new(Searched::new(need));
        let timed = Timed { searched, took: start.elapsed() };
        let mut kept = lock(&self.kept);
        kept.push_front(Kept { text: text.to_string(), timed: timed.clone() });
        kept.truncate(KEPT_MOST);
        while kept.len() > 1 && kept.iter().map(|k| k.timed.searched.front_size()).sum::<usize>() > PLANS_MOST {
            kept.pop_back();
        }
        timed
    }
}

fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

pub struct Turn<'a>(&'a Turns);

impl Turns {
    fn take(&self) -> Turn<'_> {
        let mut free = lock(&self.free);
        while *free == 0 {
            free = self.given_back.wait(free).unwrap_or_else(PoisonError::into_inner);
        }
        *free -= 1;
        Turn(self)
    }
}

impl Drop for Turn<'_> {
    fn drop(&mut self) {
        *lock(&self.0.free) += 1;
        self.0.given_back.notify_one();
    }
}
