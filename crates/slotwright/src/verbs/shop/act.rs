//! What is done to an item at the bench: moved, held back, put on the shelf, scrapped.

use super::stock::ItemView;
use crate::failure::Failure;
use domain::item::{ItemId, ItemState, Who};
use store::{ItemChange, Store, StoreError};

/// What is done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Act {
    Move(String),
    Hold,
    Shelve,
    Scrap,
    /// Not found where it should be.
    Miss,
}

impl Act {
    /// What leads to a state by a person's word; the others come about by orders and suppliers.
    ///
    /// # Errors
    /// It is such another one.
    pub fn to(state: ItemState) -> Result<Self, Failure> {
        let wrong = |hint: &str| {
            Err(Failure::Shop { why: format!("an item does not become {state} by hand"), hint: hint.to_string() })
        };
        match state {
            ItemState::HeldBack => Ok(Self::Hold),
            ItemState::Shelf => Ok(Self::Shelve),
            ItemState::Scrapped => Ok(Self::Scrap),
            ItemState::Missing => Ok(Self::Miss),
            ItemState::Shipped => wrong("ship the order that it is promised to: `slotwright order step N shipped`"),
            ItemState::SentBack => wrong(
                "write its failure down with `slotwright stock fail`, then send it with `slotwright supplier send`",
            ),
        }
    }
}

/// Does it, of a lot to `part` of it where that is named. `version` is the one that somebody looked at, where it matters.
///
/// # Errors
/// It was changed meanwhile, is promised, has left the shop, or failed and is not closed; no reason is given.
pub fn act(
    store: &Store,
    id: ItemId,
    version: Option<i64>,
    (act, part): (&Act, Option<u32>),
    why: &str,
    who: &Who,
) -> Result<ItemView, Failure> {
    let item = store.item(id)?;
    if is_gone(item.state) {
        let why = format!("item {} is {} and not here", item.id, item.state);
        return Err(StoreError::NotNow { why, hint: "take it in again if it came back" }.into());
    }
    let mut change = ItemChange { why: why.trim().to_string(), part, ..ItemChange::default() };
    match act {
        Act::Move(bin) => change.bin = Some(read_bin(bin)?),
        Act::Hold => change.state = Some(ItemState::HeldBack),
        Act::Shelve => change.state = Some(ItemState::Shelf),
        Act::Scrap => change.state = Some(ItemState::Scrapped),
        Act::Miss => change.state = Some(ItemState::Missing),
    }
    if !matches!(act, Act::Move(_)) && change.why.is_empty() {
        return Err(Failure::Shop {
            why: "there is no reason given".to_string(),
            hint: "say why: it stands in the item's history".to_string(),
        });
    }
    Ok(ItemView::new(&store.change_item(item.id, version.or(Some(item.version)), &change, who)?))
}

/// Did an item in this state leave the shop?
pub fn is_gone(state: ItemState) -> bool {
    matches!(state, ItemState::Shipped | ItemState::SentBack | ItemState::Scrapped)
}

/// A bin's name: capitals, at most 40 characters in one word.
///
/// # Errors
/// It is none.
pub fn read_bin(text: &str) -> Result<String, Failure> {
    const MOST: usize = 40;
    let name = text.trim().to_uppercase();
    let plain = !name.contains(char::is_whitespace) && !name.contains(char::is_control);
    if !name.is_empty() && plain && name.chars().count() <= MOST {
        return Ok(name);
    }
    Err(Failure::Shop {
        why: format!("`{}` is no bin", text.trim()),
        hint: format!("write one word of at most {MOST} characters, such as A3"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bins_are_one_word_in_capitals() {
        assert_eq!(read_bin(" a3 ").unwrap(), "A3");
        for wrong in ["", "a 3", &"x".repeat(41)] {
            assert!(read_bin(wrong).is_err(), "{wrong}");
        }
    }
}
