//! Bytes → a resource. A text with a repeated property, odd bytes or a missing end is read as far as it goes.

use super::mend;
use serde::Deserialize;
use serde::de::DeserializeOwned;
use std::borrow::Cow;

/// Why a text could not be read at all, with where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unread {
    /// From 1.
    pub line: usize,
    /// From 1.
    pub column: usize,
    pub why: String,
}

impl From<serde_json::Error> for Unread {
    fn from(error: serde_json::Error) -> Self {
        let (line, column) = (error.line(), error.column());
        let told = error.to_string();
        let place = format!(" at line {line} column {column}");
        Self { line, column, why: told.strip_suffix(place.as_str()).unwrap_or(&told).to_string() }
    }
}

/// A text made ready to be read, with what had to be done to it.
pub struct Ready<'t> {
    pub text: Cow<'t, [u8]>,
    pub remark: Option<String>,
}

/// Reads a text in its usual form; `Err` says that it needs [`ready`] first.
pub fn quick<'t, T: Deserialize<'t>>(text: &'t [u8]) -> Result<T, serde_json::Error> {
    // Looked at once as a whole, no string or name needs a look of its own.
    match std::str::from_utf8(text) {
        Ok(text) => serde_json::from_str(text),
        Err(_) => serde_json::from_slice(text),
    }
}

/// Makes a text that can be read out of one that can't be read as it stands.
///
/// # Errors
/// Nothing of it is JSON.
pub fn ready(text: &[u8]) -> Result<Ready<'_>, Unread> {
    let bare = text.strip_prefix(b"\xef\xbb\xbf").unwrap_or(text);
    let whole: Cow<'_, [u8]> = match String::from_utf8_lossy(bare) {
        Cow::Borrowed(_) => Cow::Borrowed(bare),
        Cow::Owned(mended) => Cow::Owned(mended.into_bytes()),
    };
    let odd_bytes = matches!(whole, Cow::Owned(_));
    match serde_json::from_slice::<serde_json::Value>(&whole) {
        // Written anew, so that of a property that stands twice the last one is left.
        Ok(value) => {
            let anew = serde_json::to_vec(&value).map_err(Unread::from)?;
            let marked = bare.len() < text.len();
            let twice = || (!marked).then_some("has a property twice; the last one counts");
            let remark = if odd_bytes { Some("holds bytes that are no UTF-8") } else { twice() };
            Ok(Ready { text: Cow::Owned(anew), remark: remark.map(str::to_string) })
        }
        Err(error) if error.is_eof() => {
            let mended = mend::close(&whole).ok_or_else(|| Unread::from(error))?;
            let value: serde_json::Value = serde_json::from_slice(&mended)?;
            let remark = format!("breaks off after {} bytes; what stands before that was read", text.len());
            Ok(Ready { text: Cow::Owned(serde_json::to_vec(&value)?), remark: Some(remark) })
        }
        Err(error) => Err(error.into()),
    }
}

/// Reads an owned value, with the same forgiveness.
///
/// # Errors
/// Nothing of it is JSON.
pub fn owned<T: DeserializeOwned>(text: &[u8]) -> Result<T, Unread> {
    match serde_json::from_slice(text) {
        Ok(value) => Ok(value),
        Err(_) => Ok(serde_json::from_slice(&ready(text)?.text)?),
    }
}
