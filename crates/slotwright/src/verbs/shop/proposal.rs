//! The newest proposal as its page shows it. Its document is long and never changes, so it is read once.

use super::allocate::{PurchaseLine, UnservedView};
use crate::failure::Failure;
use domain::order::OrderId;
use serde::Deserialize;
use std::collections::BTreeSet;
use std::sync::{Arc, Mutex, PoisonError};
use store::{AllocationHead, Store};

/// A proposal without what only its acceptance needs: slot by slot, which module.
#[derive(Debug, Deserialize)]
pub struct Proposal {
    pub served: Vec<Served>,
    pub unserved: Vec<UnservedView>,
    pub purchase: Vec<PurchaseLine>,
    pub purchase_price: String,
    pub reached: Vec<String>,
    pub proof: String,
    pub moves: Vec<String>,
}

/// An order that gets its modules; the fields are those of the verb's view.
#[derive(Debug, Deserialize)]
pub struct Served {
    pub order: String,
    order_id: i64,
    version: i64,
    pub customer: String,
    pub priority: u8,
    pub machines: u32,
    pub build: Words,
    pub cost: String,
    pub broken_sets: u32,
    pub why: Vec<String>,
}

/// What a build is made of.
#[derive(Debug, Deserialize)]
pub struct Words {
    pub words: String,
}

impl Served {
    /// Is this part of the order's number or of its customer's name, in any case of letters?
    pub fn holds(&self, words: &str) -> bool {
        let words = words.to_lowercase();
        [&self.order, &self.customer].iter().any(|text| text.to_lowercase().contains(&words))
    }
}

/// The newest proposal, and how it stands now.
#[derive(Debug)]
pub struct Newest {
    pub number: i64,
    pub state: String,
    pub proposal: Arc<Proposal>,
    /// Orders that can still be accepted: nobody changed or served them since.
    pub open: BTreeSet<String>,
    /// How many were not accepted yet, whether or not they still can be.
    pub left: usize,
}

impl Newest {
    /// Can all that is left be accepted at once?
    pub fn whole(&self) -> bool {
        !self.open.is_empty() && self.open.len() == self.left
    }
}

/// The document that was read last.
#[derive(Debug, Default)]
pub struct Kept(Mutex<Option<(i64, i64, Arc<Proposal>)>>);

impl Kept {
    /// The newest proposal, where there is one.
    ///
    /// # Errors
    /// The store's, or its document can't be read.
    pub fn newest(&self, store: &Store) -> Result<Option<Newest>, Failure> {
        let Some(head) = store.newest_allocation_head()? else { return Ok(None) };
        let proposal = self.document(store, &head)?;
        let (mut open, mut left) = (BTreeSet::new(), 0);
        if ["proposed", "partly accepted"].contains(&head.state.as_str()) {
            let waiting: BTreeSet<(OrderId, i64)> = store.waiting_of(head.number)?.into_iter().collect();
            let still = proposal.served.iter().filter(|s| waiting.contains(&(OrderId(s.order_id), s.version)));
            open = still.map(|s| s.order.clone()).collect();
            left = store.allocated(head.number)?.iter().filter(|(_, state)| state == "proposed").count();
        }
        Ok(Some(Newest { number: head.number, state: head.state, proposal, open, left }))
    }
    fn document(&self, store: &Store, head: &AllocationHead) -> Result<Arc<Proposal>, Failure> {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        // A store that was put back from a copy may give a number again, but not at the same second.
        if let Some((number, made, proposal)) = &*kept
            && (*number, *made) == (head.number, head.made)
        {
            return Ok(Arc::clone(proposal));
        }
        let proposal: Arc<Proposal> = Arc::new(serde_json::from_str(&store.allocation(head.number)?.answer)?);
        *kept = Some((head.number, head.made, Arc::clone(&proposal)));
        Ok(proposal)
    }
}
