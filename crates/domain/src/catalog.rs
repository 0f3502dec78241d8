//! The data that was read: boards, processors, modules and sources, by id.

use crate::board::Board;
use crate::module::Module;
use crate::processor::Processor;
use crate::source::Source;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Everything that the data files say, in memory.
#[derive(Debug, Clone, Default)]
pub struct Catalog {
    pub boards: BTreeMap<String, Arc<Board>>,
    pub processors: BTreeMap<String, Arc<Processor>>,
    pub modules: BTreeMap<String, Arc<Module>>,
    pub sources: BTreeMap<String, Source>,
}
