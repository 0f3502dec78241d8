//! `store token`: what lets other programs in, and what each may do.

use super::calendar;
use crate::failure::Failure;
use domain::item::Who;
use schemars::JsonSchema;
use serde::Serialize;
use std::fmt;
use store::{Store, Token};

/// What a token may do: one kind of thing, read or changed. Changing does not include reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Scope {
    StockRead,
    StockWrite,
    OrdersRead,
    OrdersWrite,
    QuotesRead,
    QuotesWrite,
    AllocateRead,
    AllocateWrite,
}

impl Scope {
    pub const ALL: [Self; 8] = [
        Self::StockRead,
        Self::StockWrite,
        Self::OrdersRead,
        Self::OrdersWrite,
        Self::QuotesRead,
        Self::QuotesWrite,
        Self::AllocateRead,
        Self::AllocateWrite,
    ];
    /// As it is written.
    pub const fn word(self) -> &'static str {
        match self {
            Self::StockRead => "stock:read",
            Self::StockWrite => "stock:write",
            Self::OrdersRead => "orders:read",
            Self::OrdersWrite => "orders:write",
            Self::QuotesRead => "quotes:read",
            Self::QuotesWrite => "quotes:write",
            Self::AllocateRead => "allocate:read",
            Self::AllocateWrite => "allocate:write",
        }
    }
    /// Reads what a person writes.
    ///
    /// # Errors
    /// It is none of them.
    pub fn read(text: &str) -> Result<Self, Failure> {
        Self::ALL.into_iter().find(|s| s.word() == text.trim()).ok_or_else(|| Failure::Shop {
            why: format!("`{}` is nothing that a token may do", text.trim()),
            hint: format!("use one or more of: {}", Self::ALL.map(Self::word).join(", ")),
        })
    }
}
impl fmt::Display for Scope {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// A token, without its secret.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct TokenView {
    /// Under which it writes history.
    pub name: String,
    /// What it may do, such as `stock:read`.
    pub scopes: Vec<String>,
    pub created: String,
    /// When it was last shown, to the minute; null where it never was.
    pub used: Option<String>,
    /// Null while it lets in.
    pub revoked: Option<String>,
}

/// A token that was just made: the only time that its secret is told.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct NewTokenView {
    #[serde(flatten)]
    pub token: TokenView,
    /// What its bearer sends; 64 hexadecimal digits.
    pub secret: String,
}

/// Every token.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct TokenListView {
    pub tokens: Vec<TokenView>,
}

impl TokenView {
    fn new(token: &Token) -> Self {
        Self {
            name: token.name.clone(),
            scopes: token.scopes.clone(),
            created: calendar::moment(token.created),
            used: token.used.map(calendar::moment),
            revoked: token.revoked.map(calendar::moment),
        }
    }
}

/// Makes a token.
///
/// # Errors
/// The name is taken or no name; a scope is none or missing.
pub fn new(store: &Store, name: &str, scopes: &[String], who: &Who) -> Result<NewTokenView, Failure> {
    let mut read = scopes.iter().map(|s| Scope::read(s)).collect::<Result<Vec<_>, _>>()?;
    read.sort();
    read.dedup();
    let words: Vec<&str> = read.iter().map(|s| s.word()).collect();
    let (token, secret) = store.new_token(name, &words, who)?;
    Ok(NewTokenView { token: TokenView::new(&token), secret })
}

/// Every token, revoked ones too.
///
/// # Errors
/// The store's.
pub fn list(store: &Store) -> Result<TokenListView, Failure> {
    Ok(TokenListView { tokens: store.tokens()?.iter().map(TokenView::new).collect() })
}

/// Ends a token at once.
///
/// # Errors
/// There is none of that name.
pub fn revoke(store: &Store, name: &str, who: &Who) -> Result<TokenView, Failure> {
    Ok(TokenView::new(&store.revoke_token(name, who)?))
}

/// Who a secret lets in, and what it may do; `None` where nobody made it, or it was revoked.
///
/// # Errors
/// The store's.
pub fn bearer(store: &Store, secret: &str, at: domain::Stamp) -> Result<Option<(Who, Vec<Scope>)>, Failure> {
    let found = store.token(secret, at)?;
    Ok(found.map(|token| {
        // A scope of a later version of this program allows nothing here.
        let scopes = token.scopes.iter().filter_map(|s| Scope::read(s).ok()).collect();
        (Who { name: token.name, at }, scopes)
    }))
}
