//! Data files into domain values: boards, processors, modules, builds, needs and stock.
//!
//! Every fault points at its file, line and column and says what to do; inheritance is resolved here, once.

mod decode;
mod draft;
mod edit;
mod error;
mod files;
mod inherit;
mod key;
mod library;
mod nearest;
mod read;
mod reading;
mod schema;
mod shape;
mod text;
mod tree;

pub use draft::{BoardDraft, SlotDraft, SocketDraft, write_board};
pub use edit::{Held, Sheet};
pub use error::{CatalogError, Problem, Report};
pub use files::{Files, Folder, Input, LONGEST, Nowhere, Shipped};
pub use library::Library;
pub use read::build::{Resolve, Unread};
pub use schema::schemas;
pub use text::Place;

use domain::shop::Shop;
use domain::{Build, Lot, Need};

impl Library {
    /// Reads a build file.
    ///
    /// # Errors
    /// All faults of the file, its board and the modules that it names.
    pub fn build(&self, input: &Input<'_>, resolve: Resolve<'_>) -> Result<Build, CatalogError> {
        let mut reading = reading::Reading::default();
        let build = read::build::build(&mut reading, &mut read::build::Task::new(self, input, resolve));
        reading.finish(build)
    }
    /// Reads a need file.
    ///
    /// # Errors
    /// All faults of the file, its board, its stock file and the modules that they name.
    pub fn need(&self, input: &Input<'_>, resolve: Resolve<'_>) -> Result<Need, CatalogError> {
        let mut reading = reading::Reading::default();
        let need = read::need::need(&mut reading, &mut read::build::Task::new(self, input, resolve));
        reading.finish(need)
    }
    /// Reads a stock file.
    ///
    /// # Errors
    /// All faults of the file and the modules that it names.
    pub fn stock(&self, input: &Input<'_>, resolve: Resolve<'_>) -> Result<Vec<Lot>, CatalogError> {
        let mut reading = reading::Reading::default();
        let mut task = read::build::Task::new(self, input, resolve);
        let lots = read::stock::stock(&mut reading, &mut task, &input.name, &input.bytes);
        reading.finish(lots.map(|(lots, _)| lots))
    }
    /// Reads a shop's settings.
    ///
    /// # Errors
    /// All faults of the file.
    pub fn shop(&self, input: &Input<'_>) -> Result<Shop, CatalogError> {
        let mut reading = reading::Reading::default();
        let shop = read::shop::shop(&mut reading, &input.name, &input.bytes);
        reading.finish(shop)
    }
}
