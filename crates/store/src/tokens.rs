//! Access tokens of other programs: printed once when they are made, and kept by their sums only.

use crate::db::{Store, changing, looking};
use crate::error::StoreError;
use crate::evidence::sum;
use domain::Stamp;
use domain::item::Who;
use ring::rand::{SecureRandom, SystemRandom};

/// Random bytes of a token: 256 bits, so that one round of SHA-256 is enough to keep it by.
const BYTES: usize = 32;
/// Seconds within which another use is not written down: a read shall not become a write each time.
pub(crate) const USED_AGAIN: i64 = 60;
/// Most characters of a token's name.
const NAME_MOST: usize = 60;

/// A token, without its secret.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Token {
    pub id: i64,
    /// Under which it writes history.
    pub name: String,
    /// What it may do, as the app names it; at least one.
    pub scopes: Vec<String>,
    pub created: Stamp,
    /// To the minute.
    pub used: Option<Stamp>,
    pub revoked: Option<Stamp>,
}

impl Store {
    /// Makes a token; the text is what its bearer shows, and is not kept.
    ///
    /// # Errors
    /// The name is taken (also by a revoked one), empty, too long or has controls; no scope or no word is given; the system
    /// gives no random numbers.
    pub fn new_token(&self, name: &str, scopes: &[&str], who: &Who) -> Result<(Token, String), StoreError> {
        let name = name.trim();
        let plain = !name.contains(char::is_control) && name.chars().count() <= NAME_MOST;
        if name.is_empty() || !plain {
            return Err(StoreError::Refused(format!(
                "a token needs a name of 1 to {NAME_MOST} characters in one line"
            )));
        }
        if scopes.is_empty() || scopes.iter().any(|s| s.is_empty() || s.contains(char::is_whitespace)) {
            return Err(StoreError::Refused("a token needs at least one scope".to_string()));
        }
        let mut bytes = [0_u8; BYTES];
        let unfilled = |_| StoreError::Refused("the system gives no random numbers".to_string());
        SystemRandom::new().fill(&mut bytes).map_err(unfilled)?;
        let secret: String = bytes.iter().map(|b| format!("{b:02x}")).collect();
        let (hash, scopes) = (sum(secret.as_bytes()), scopes.join(" "));
        let (hash, scopes) = (hash.as_str(), scopes.as_str());
        Ok((changing!(self, tokens::create(name, hash, scopes, who))?, secret))
    }
    /// Every token, revoked ones too, by name.
    ///
    /// # Errors
    /// The database's.
    pub fn tokens(&self) -> Result<Vec<Token>, StoreError> {
        looking!(self, tokens::all())
    }
    /// Ends a token at once; one that has ended stays as it is.
    ///
    /// # Errors
    /// There is none of that name.
    pub fn revoke_token(&self, name: &str, who: &Who) -> Result<Token, StoreError> {
        changing!(self, tokens::revoke(name.trim(), who))
    }
    /// The token that this text is, if it is one that was not revoked; its use is noted, to the minute.
    ///
    /// # Errors
    /// The database's.
    pub fn token(&self, secret: &str, at: Stamp) -> Result<Option<Token>, StoreError> {
        // Looked up by the sum: the time that this takes tells nothing of a token that is nearly right.
        let hash = sum(secret.as_bytes());
        let hash = hash.as_str();
        let found = looking!(self, tokens::by_hash(hash))?.filter(|t| t.revoked.is_none());
        if let Some(token) = &found
            && token.used.is_none_or(|used| used.seconds() < at.seconds() - USED_AGAIN)
        {
            changing!(self, tokens::used(token.id, at))?;
        }
        Ok(found)
    }
}
