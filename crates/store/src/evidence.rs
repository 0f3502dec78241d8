//! Failures, returns to suppliers, and what is kept as evidence.

use crate::db::{Store, changing, looking};
use crate::error::StoreError;
use domain::failure::{Attachment, CountedBy, Failed, Failure, FailureId, FailureState, NewFailure};
use domain::item::{ItemId, Subject, Who};
use ring::digest;

/// Most bytes of one attachment.
pub const ATTACHMENT_MOST: usize = 16 << 20;

/// Something to be kept.
#[derive(Debug, Clone, Copy)]
pub struct NewAttachment<'a> {
    /// An item, an order or a batch.
    pub subject: Subject,
    /// The file's name, without a folder.
    pub name: &'a str,
    pub media_type: &'a str,
    pub bytes: &'a [u8],
}

/// The record of a diagnosis, which is attached to the item that failed.
#[derive(Debug, Clone, Copy)]
pub struct Record<'a> {
    /// The file's name, without a folder.
    pub name: &'a str,
    pub media_type: &'a str,
    pub bytes: &'a [u8],
}

/// What was kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Content {
    pub media_type: String,
    pub bytes: Vec<u8>,
}

/// Modules that go back to one supplier.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sending {
    pub failures: Vec<FailureId>,
    /// The supplier's number of the return.
    pub reference: String,
    pub note: String,
    /// Although the warranty is over.
    pub late: bool,
}

/// What became of a failure.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Closing {
    pub id: FailureId,
    pub to: FailureState,
    pub note: String,
}

/// SHA-256 in hexadecimal digits.
pub(crate) fn sum(bytes: &[u8]) -> String {
    digest::digest(&digest::SHA256, bytes).as_ref().iter().map(|b| format!("{b:02x}")).collect()
}

/// The name, where it and the bytes can be kept.
fn checked<'a>(name: &'a str, bytes: &[u8]) -> Result<&'a str, StoreError> {
    let name = name.trim();
    if bytes.is_empty() {
        return Err(StoreError::Refused(format!("`{name}` is empty")));
    }
    if bytes.len() > ATTACHMENT_MOST {
        let (most, is) = (ATTACHMENT_MOST >> 20, bytes.len().div_ceil(1 << 20));
        return Err(StoreError::Refused(format!("`{name}` has {is} MiB; {most} MiB at most are kept")));
    }
    let plain = |c: char| !c.is_control() && c != '/' && c != '\\';
    if name.is_empty() || name.len() > 200 || !name.chars().all(plain) {
        return Err(StoreError::Refused(format!("`{name}` is no name of a file")));
    }
    Ok(name)
}

impl Store {
    /// Keeps bytes as evidence; the same bytes are kept once, however often they are attached.
    ///
    /// # Errors
    /// Nothing or more than [`ATTACHMENT_MOST`] is given, or what it belongs to is not there.
    pub fn attach(&self, new: &NewAttachment<'_>, who: &Who) -> Result<Attachment, StoreError> {
        let name = checked(new.name, new.bytes)?;
        changing!(self, attachments::attach(&NewAttachment { name, ..*new }, who))
    }
    /// What is attached to something, the oldest first.
    ///
    /// # Errors
    /// The database's.
    pub fn attachments(&self, about: Subject) -> Result<Vec<Attachment>, StoreError> {
        looking!(self, attachments::of(about))
    }
    /// The bytes that are kept under a sum.
    ///
    /// # Errors
    /// There are none, or they are not what they were.
    pub fn content(&self, hash: &str) -> Result<Content, StoreError> {
        looking!(self, attachments::content(hash))
    }
    /// Writes down that a module failed, keeps the record of its diagnosis, and holds it back; one of a lot becomes an item of its
    /// own.
    ///
    /// # Errors
    /// It is promised, not here, or has an open failure already.
    pub fn report_failure(
        &self,
        new: &NewFailure,
        record: Option<Record<'_>>,
        who: &Who,
    ) -> Result<Failure, StoreError> {
        let record = match record {
            Some(r) => Some((checked(r.name, r.bytes)?, r.media_type, r.bytes)),
            None => None,
        };
        changing!(self, failures::report(new, record, who))
    }
    /// One failure.
    ///
    /// # Errors
    /// There is none of that number.
    pub fn failure(&self, id: FailureId) -> Result<Failure, StoreError> {
        looking!(self, failures::one(id))
    }
    /// Failures, the newest first. `state` is a state's word, `open` for all with something left to do, or empty.
    ///
    /// # Errors
    /// The database's.
    pub fn failures(
        &self,
        state: &str,
        item: Option<ItemId>,
        skip: u32,
        most: u32,
    ) -> Result<Vec<Failure>, StoreError> {
        looking!(self, failures::list(state, item, skip, most))
    }
    /// Sends modules back, all to one supplier, or none.
    ///
    /// # Errors
    /// One of them has no supplier or another one, its warranty is over, or it is not held back.
    pub fn send_back(&self, sending: &Sending, who: &Who) -> Result<Vec<Failure>, StoreError> {
        if sending.failures.is_empty() {
            return Err(StoreError::Refused("no failures are named to be sent back".to_string()));
        }
        changing!(self, failures::send(sending, who))
    }
    /// Says what became of a failure: replaced, credited, refused, scrapped.
    ///
    /// # Errors
    /// It is not that far, or closed already.
    pub fn close_failure(&self, closing: &Closing, who: &Who) -> Result<Failure, StoreError> {
        changing!(self, failures::close(closing, who))
    }
    /// How many modules came in and how many of them failed, the most failures first.
    ///
    /// # Errors
    /// The database's.
    pub fn failed(&self, by: CountedBy) -> Result<Vec<Failed>, StoreError> {
        looking!(self, failures::counted(by))
    }
}
