//! What a slot map is drawn from.

use domain::{Build, Finding, SlotIndex};

/// Where the module in a slot comes from, seen from an upgrade.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PartOrigin {
    /// Was in this slot and stays.
    Kept,
    /// Was in the machine and comes here from another slot.
    Moved,
    /// Is bought new.
    New,
    /// Is bought used, or comes off the shelf.
    Used,
}

impl PartOrigin {
    /// Its word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Kept => "kept",
            Self::Moved => "moved",
            Self::New => "new",
            Self::Used => "used",
        }
    }
}

/// A build, what was found of it, and what else the map shows. The lists go by slot index and may be short or empty.
#[derive(Debug, Clone, Copy)]
pub struct MapInput<'a> {
    pub build: &'a Build,
    pub findings: &'a [Finding],
    /// The heading; empty for the board's title.
    pub title: &'a str,
    /// Place in the order of fitting, from 1, slot by slot.
    pub install: &'a [Option<u16>],
    /// Number of the interleave region that the slot's channel begins with, from 1, slot by slot.
    pub regions: &'a [Option<u8>],
    /// Where each module comes from, slot by slot.
    pub origins: &'a [Option<PartOrigin>],
    /// Begins every id in the SVG, so that several maps fit one page; letters, digits and dashes.
    pub id_prefix: &'a str,
}

impl<'a> MapInput<'a> {
    /// Only a build and its findings.
    pub fn new(build: &'a Build, findings: &'a [Finding]) -> Self {
        Self { build, findings, title: "", install: &[], regions: &[], origins: &[], id_prefix: "map" }
    }
    pub(crate) fn install_of(&self, slot: SlotIndex) -> Option<u16> {
        self.install.get(slot.at()).copied().flatten()
    }
    pub(crate) fn region_of(&self, slot: SlotIndex) -> Option<u8> {
        self.regions.get(slot.at()).copied().flatten()
    }
    pub(crate) fn origin_of(&self, slot: SlotIndex) -> Option<PartOrigin> {
        self.origins.get(slot.at()).copied().flatten()
    }
}
