//! Modules that failed, what became of them at their supplier, and what is kept as evidence.

use crate::day::{Day, Stamp};
use crate::item::{Item, ItemId, Subject, Who, id, words};
use crate::order::OrderId;

id!(/// A failure in the store.
    FailureId);
id!(/// An attachment in the store.
    AttachmentId);

words! {
    /// What became of a module that failed.
    FailureState {
        /// It is held back here.
        Found = "found",
        /// It is on its way to the supplier, or there.
        SentBack = "sent back",
        /// The supplier sent another.
        Replaced = "replaced",
        /// The supplier paid.
        Credited = "credited",
        /// The supplier did not take it; it came back.
        Refused = "refused",
        /// It will not be sent anywhere.
        Scrapped = "scrapped",
        /// Nothing is wrong with it after all: it is back on the shelf.
        Sound = "sound",
    }
}

impl FailureState {
    /// Is there still something to do?
    pub const fn is_open(self) -> bool {
        matches!(self, Self::Found | Self::SentBack | Self::Refused)
    }
    /// May a failure go from here to there?
    pub const fn leads_to(self, next: Self) -> bool {
        match self {
            Self::Found => matches!(next, Self::SentBack | Self::Scrapped | Self::Sound),
            Self::SentBack => matches!(next, Self::Replaced | Self::Credited | Self::Refused),
            // What came back can be sent again, with more evidence, or thrown away.
            Self::Refused => matches!(next, Self::SentBack | Self::Scrapped | Self::Sound),
            Self::Replaced | Self::Credited | Self::Scrapped | Self::Sound => false,
        }
    }
}

/// A failure before it is written down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewFailure {
    pub item: ItemId,
    /// The order whose machine showed it.
    pub order: Option<OrderId>,
    pub reason: String,
    /// SHA-256 of the record of the diagnosis, which is attached to the item.
    pub record: Option<String>,
}

/// A module that failed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Failure {
    pub id: FailureId,
    pub item: Item,
    /// The number of the order whose machine showed it.
    pub order: Option<String>,
    /// Who found it, and when.
    pub who: Who,
    pub reason: String,
    /// SHA-256 of the record of the diagnosis.
    pub record: Option<String>,
    pub state: FailureState,
    /// The supplier's number of the return.
    pub reference: String,
    pub note: String,
    pub closed: Option<Stamp>,
    /// Supplier and reference of the batch, where it was bought in one.
    pub bought: Option<(String, String)>,
    pub warranty_until: Option<Day>,
}

/// How many modules of something failed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Failed {
    /// What they have in common: a supplier, a batch, a model.
    pub name: String,
    /// Modules that came in.
    pub received: u32,
    /// Modules of these that failed; one that failed twice counts once.
    pub failed: u32,
    /// Of these, how many the supplier replaced or credited.
    pub made_good: u32,
}

/// What failures are counted by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CountedBy {
    Supplier,
    Batch,
    Model,
}

/// Something that is kept as evidence, named by what it holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Attachment {
    pub id: AttachmentId,
    /// SHA-256 of its bytes, 64 hexadecimal digits in small letters.
    pub hash: String,
    pub subject: Subject,
    /// The file's name.
    pub name: String,
    pub media_type: String,
    /// In bytes.
    pub size: u64,
    pub who: Who,
}

#[cfg(test)]
mod tests {
    use super::FailureState::*;
    use super::*;

    #[test]
    fn what_is_closed_stays_closed_and_what_came_back_can_be_sent_again() {
        assert!(Found.leads_to(SentBack) && SentBack.leads_to(Credited) && Refused.leads_to(SentBack));
        assert!(!Found.leads_to(Credited) && !SentBack.leads_to(Scrapped));
        for state in FailureState::ALL {
            assert!(!Credited.leads_to(*state) && !Replaced.leads_to(*state) && !Scrapped.leads_to(*state));
        }
    }
}
