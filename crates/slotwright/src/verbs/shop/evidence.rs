//! Photos, logs, snapshots and records that belong to an item, an order or a batch.

use super::calendar;
use super::supplier::FailureView;
use crate::failure::Failure;
use domain::failure::{Attachment, NewFailure};
use domain::item::{ItemId, Subject, Who};
use schemars::JsonSchema;
use serde::Serialize;
use store::{Content, NewAttachment, Record, Store, StoreError};

/// What is attached to something.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct AttachmentListView {
    pub attachments: Vec<AttachmentView>,
}

/// Something that is kept, named by what it holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct AttachmentView {
    /// SHA-256 of its bytes.
    pub sha256: String,
    pub name: String,
    pub media_type: String,
    /// In bytes.
    pub size: u64,
    pub at: String,
    pub who: String,
}

impl AttachmentView {
    fn new(attachment: &Attachment) -> Self {
        Self {
            sha256: attachment.hash.clone(),
            name: attachment.name.clone(),
            media_type: attachment.media_type.clone(),
            size: attachment.size,
            at: calendar::moment(attachment.who.at),
            who: attachment.who.name.clone(),
        }
    }
}

/// A file to be kept.
#[derive(Debug, Clone, Copy)]
pub struct File<'a> {
    pub name: &'a str,
    pub bytes: &'a [u8],
}

/// Keeps a file as belonging to something.
///
/// # Errors
/// It is empty or too large, or what it belongs to is not there.
pub fn attach(store: &Store, subject: Subject, file: File<'_>, who: &Who) -> Result<AttachmentView, Failure> {
    let new = NewAttachment { subject, name: file.name, media_type: media_type(file), bytes: file.bytes };
    Ok(AttachmentView::new(&store.attach(&new, who)?))
}

/// What is attached to something, the oldest first.
///
/// # Errors
/// The store's.
pub fn attached(store: &Store, subject: Subject) -> Result<AttachmentListView, Failure> {
    Ok(AttachmentListView { attachments: store.attachments(subject)?.iter().map(AttachmentView::new).collect() })
}

/// What is kept under a sum, or the beginning of one of those that are attached.
///
/// # Errors
/// There is none, or more than one.
pub fn content(store: &Store, subject: Subject, named: &str) -> Result<(AttachmentView, Content), Failure> {
    let all = attached(store, subject)?.attachments;
    let mut found: Vec<&AttachmentView> = all.iter().filter(|a| a.name == named.trim()).collect();
    if found.is_empty() && named.trim().len() >= 6 {
        found = all.iter().filter(|a| a.sha256.starts_with(&named.trim().to_lowercase())).collect();
    }
    found.dedup_by(|a, b| a.sha256 == b.sha256);
    match found.as_slice() {
        [one] => Ok(((*one).clone(), store.content(&one.sha256)?)),
        [] => Err(StoreError::Absent { what: "attachment", which: format!("`{}`", named.trim()) }.into()),
        _ => Err(Failure::Shop {
            why: format!("more than one `{}` is attached", named.trim()),
            hint: "give the first digits of the sum that is meant".to_string(),
        }),
    }
}

/// Writes down that a module failed, with the record of its diagnosis where there is one, and holds it back.
///
/// # Errors
/// It is promised, not here, or has an open failure already.
pub fn fail(
    store: &Store,
    item: ItemId,
    reason: &str,
    record: Option<File<'_>>,
    who: &Who,
) -> Result<FailureView, Failure> {
    let new = NewFailure { item, order: None, reason: reason.trim().to_string(), record: None };
    let record = record.map(|file| Record { name: file.name, media_type: media_type(file), bytes: file.bytes });
    Ok(FailureView::new(&store.report_failure(&new, record, who)?))
}

/// What a file holds, by its first bytes, else by its name. What could run in a browser is given as plain text or bytes.
fn media_type(file: File<'_>) -> &'static str {
    const FIRST: [(&[u8], &str); 5] = [
        (b"\x89PNG\r\n\x1a\n", "image/png"),
        (b"\xff\xd8\xff", "image/jpeg"),
        (b"%PDF-", "application/pdf"),
        (b"GIF8", "image/gif"),
        (b"RIFF", "image/webp"),
    ];
    let of_bytes = FIRST.iter().find(|(first, kind)| {
        file.bytes.starts_with(first) && (*kind != "image/webp" || file.bytes.get(8..12) == Some(b"WEBP"))
    });
    if let Some((_, kind)) = of_bytes {
        return kind;
    }
    let text = std::str::from_utf8(file.bytes).is_ok_and(|t| !t.contains('\0'));
    match (text, file.name.rsplit_once('.').map(|(_, end)| end.to_lowercase()).as_deref()) {
        (true, Some("json")) => "application/json",
        (true, _) => "text/plain",
        (false, _) => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_browser_could_run_is_never_called_so() {
        let of = |name, bytes: &'static [u8]| media_type(File { name, bytes });
        assert_eq!(of("pins.png", b"\x89PNG\r\n\x1a\nrest"), "image/png");
        assert_eq!(of("page.html", b"<script>alert(1)</script>"), "text/plain");
        assert_eq!(of("drawing.svg", b"<?xml version=\"1.0\"?><!-- a drawing -->"), "text/plain");
        assert_eq!(of("snapshot.json", b"{}"), "application/json");
        assert_eq!(of("sound.wav", b"RIFF....WAVE\xff"), "application/octet-stream");
    }
}
