//! From link to link: collections page by page, members that are whole or mere links, and what can't be had.

use super::parse::{self, Unread};
use super::quirks::Tally;
use super::resources::{Collection, Expanded, Head, Memory, Processor, System};
use super::{Fetch, Unfetched};
use serde::Deserialize;
use std::collections::BTreeSet;

/// Pages of one collection; more is a service that links in circles.
const PAGES_MOST: usize = 256;
/// Members of one collection.
const MEMBERS_MOST: usize = 4096;
/// Longest path.
const PATH_MOST: usize = 2048;

/// A sort of resource that collections have.
pub trait Family: 'static {
    type Of<'a>: Deserialize<'a> + Expanded + Default;
    /// Its schema's name.
    const NAME: &'static str;
}
pub struct Systems;
pub struct Processors;
pub struct Memories;
impl Family for Systems {
    type Of<'a> = System<'a>;
    const NAME: &'static str = "ComputerSystem";
}
impl Family for Processors {
    type Of<'a> = Processor<'a>;
    const NAME: &'static str = "Processor";
}
impl Family for Memories {
    type Of<'a> = Memory<'a>;
    const NAME: &'static str = "Memory";
}

/// A way to resources, and what is known of it.
pub struct Walk<'f, F: ?Sized> {
    fetch: &'f mut F,
    /// The query that has members sent whole, where the service offers it.
    pub expand: Option<&'static str>,
    /// Why nothing more can be had.
    closed: Option<String>,
}

/// What a visitor is given: the resource, or why there is none, and its path.
pub enum Met<'m, R> {
    Whole(&'m R),
    Not(String),
}

#[allow(clippy::type_complexity, reason = "a name for what visits would need the lifetimes of all it is given")]
impl<'f, F: Fetch + ?Sized> Walk<'f, F> {
    pub fn new(fetch: &'f mut F) -> Self {
        Self { fetch, expand: None, closed: None }
    }

    /// Gets one resource's text.
    pub fn get(&mut self, path: &str) -> Result<Vec<u8>, Unfetched> {
        if let Some(why) = &self.closed {
            return Err(Unfetched::Closed(why.clone()));
        }
        let got = self.fetch.get(path);
        if let Err(Unfetched::Closed(why)) = &got {
            self.closed = Some(why.clone());
        }
        got
    }

    /// Visits every member of the collection, which is what stands in `inline` and then, page by page, what it links to.
    pub fn each<R: Family>(
        &mut self,
        inline: &Collection<'_, R::Of<'_>>,
        tally: &mut Tally,
        visit: &mut dyn FnMut(&mut Self, &mut Tally, Met<'_, R::Of<'_>>, &str),
    ) {
        let own = inline.id.said().and_then(path_of);
        let mut pages = Pages::default();
        let mut next = if inline.members.0.is_empty() {
            own.clone()
        } else {
            self.page::<R>(inline, own.as_deref().unwrap_or(""), &mut pages, tally, visit)
        };
        let first = next.clone();
        while let Some(path) = next.take() {
            if !pages.seen.insert(path.clone()) || pages.seen.len() > PAGES_MOST {
                tally.note(&path, "its pages link in circles or without end; what came before was read");
                return;
            }
            let expand = self.expand.filter(|_| first.as_ref() == Some(&path) && !path.contains('?'));
            let text = match self.page_text(&path, expand) {
                Ok(text) => text,
                Err(why) => return tally.unread(&path, why),
            };
            next = match parse::quick::<Collection<'_, R::Of<'_>>>(&text) {
                Ok(page) => self.page::<R>(&page, &path, &mut pages, tally, visit),
                Err(_) => match parse::ready(&text) {
                    Ok(ready) => {
                        if let Some(remark) = ready.remark {
                            tally.note(&path, remark);
                        }
                        let page = parse::quick::<Collection<'_, R::Of<'_>>>(&ready.text);
                        page.ok().and_then(|page| self.page::<R>(&page, &path, &mut pages, tally, visit))
                    }
                    Err(unread) => return tally.unread(&path, not_json(&unread)),
                },
            };
        }
        if let Some(count) = pages.count.filter(|count| *count != pages.members as u64) {
            let what = format!("says that it has {count} members, and {} were found", pages.members);
            tally.note(own.as_deref().unwrap_or(""), what);
        }
    }

    /// A page, whole members where the service can send them so.
    fn page_text(&mut self, path: &str, expand: Option<&str>) -> Result<Vec<u8>, String> {
        if let Some(query) = expand
            && let Ok(text) = self.get(&format!("{path}?{query}"))
            && serde_json::from_slice::<serde::de::IgnoredAny>(&text).is_ok()
        {
            return Ok(text);
        }
        self.get(path).map_err(|e| e.to_string())
    }

    fn page<R: Family>(
        &mut self,
        page: &Collection<'_, R::Of<'_>>,
        path: &str,
        pages: &mut Pages,
        tally: &mut Tally,
        visit: &mut dyn FnMut(&mut Self, &mut Tally, Met<'_, R::Of<'_>>, &str),
    ) -> Option<String> {
        pages.count = pages.count.or(page.count.whole());
        for (index, member) in page.members.0.iter().enumerate() {
            pages.members += 1;
            if pages.members > MEMBERS_MOST {
                tally.note(path, format!("has more than {MEMBERS_MOST} members; the rest was not read"));
                return None;
            }
            let link = member.link().said().and_then(path_of);
            match (link, member.expanded()) {
                (Some(link), _) if pages.seen.contains(&link) => {
                    tally.note(&link, "is listed twice; it was read once");
                }
                (Some(link), true) => {
                    visit(self, tally, Met::Whole(member), &link);
                    pages.seen.insert(link);
                }
                (None, true) => visit(self, tally, Met::Whole(member), &format!("{path}#/Members/{index}")),
                (Some(link), false) => {
                    self.one::<R>(&link, tally, visit);
                    pages.seen.insert(link);
                }
                (None, false) => tally.note(path, format!("member {index} is neither a resource nor a link to one")),
            }
        }
        page.next.said().or(page.next_bare.said()).and_then(path_of)
    }

    /// Gets one resource and visits it.
    pub fn one<R: Family>(
        &mut self,
        path: &str,
        tally: &mut Tally,
        visit: &mut dyn FnMut(&mut Self, &mut Tally, Met<'_, R::Of<'_>>, &str),
    ) {
        match self.get(path) {
            Ok(text) => self.text::<R>(&text, path, tally, visit),
            Err(why) => visit(self, tally, Met::Not(why.to_string()), path),
        }
    }

    /// Visits the resource that a text holds.
    pub fn text<R: Family>(
        &mut self,
        text: &[u8],
        path: &str,
        tally: &mut Tally,
        visit: &mut dyn FnMut(&mut Self, &mut Tally, Met<'_, R::Of<'_>>, &str),
    ) {
        if let Ok(resource) = parse::quick::<R::Of<'_>>(text) {
            return self.met::<R>(&resource, text, path, tally, visit);
        }
        match parse::ready(text) {
            Ok(ready) => {
                if let Some(remark) = ready.remark {
                    tally.note(path, remark);
                }
                let resource = parse::quick::<R::Of<'_>>(&ready.text).unwrap_or_default();
                self.met::<R>(&resource, &ready.text, path, tally, visit);
            }
            Err(unread) => visit(self, tally, Met::Not(not_json(&unread)), path),
        }
    }

    fn met<R: Family>(
        &mut self,
        resource: &R::Of<'_>,
        text: &[u8],
        path: &str,
        tally: &mut Tally,
        visit: &mut dyn FnMut(&mut Self, &mut Tally, Met<'_, R::Of<'_>>, &str),
    ) {
        if resource.expanded() {
            return visit(self, tally, Met::Whole(resource), path);
        }
        let head: Head<'_> = parse::quick(text).unwrap_or_default();
        let complaint = &head.error.0;
        let why = match complaint.message.said().or(complaint.code.said()) {
            Some(message) => format!("holds an error in place of the resource: {message}"),
            None => format!("is JSON, but no {} resource", R::NAME),
        };
        visit(self, tally, Met::Not(why), path);
    }
}

#[derive(Default)]
struct Pages {
    seen: BTreeSet<String>,
    members: usize,
    count: Option<u64>,
}

/// One sentence's end on text that is no JSON.
pub fn not_json(unread: &Unread) -> String {
    format!("is no JSON at line {}, column {}: {}", unread.line, unread.column, unread.why)
}

/// The path of a link, without host, fragment and closing slash; `None` where it is no path that one may follow.
pub fn path_of(link: &str) -> Option<String> {
    let link = link.trim();
    // Nearly all links are plain, so one look at each byte settles them.
    let plain = |b: &u8| b.is_ascii_alphanumeric() || matches!(b, b'/' | b'-' | b'_');
    if link.starts_with('/') && !link.starts_with("//") && link.len() <= PATH_MOST && link.as_bytes().iter().all(plain)
    {
        let bare = link.trim_end_matches('/');
        return (!bare.is_empty()).then(|| bare.to_string());
    }
    let after_host = match link.split_once("://") {
        Some((scheme, rest)) if scheme.chars().all(|c| c.is_ascii_alphanumeric()) => rest.get(rest.find('/')?..)?,
        _ => link,
    };
    let bare = after_host.split('#').next().unwrap_or("").trim_end_matches('/');
    let steps = |p: &str| p.split(['/', '\\']).any(|step| step == ".." || step == ".");
    let plain = bare.starts_with('/') && !bare.starts_with("//") && !bare.chars().any(char::is_control);
    (plain && bare.len() <= PATH_MOST && !steps(bare.split('?').next().unwrap_or(""))).then(|| bare.to_string())
}

#[cfg(test)]
mod tests {
    use super::path_of;

    #[test]
    fn links_become_paths_of_the_same_service() {
        let is = |link: &str, path: Option<&str>| assert_eq!(path_of(link).as_deref(), path, "{link}");
        is("/redfish/v1/Systems/1/", Some("/redfish/v1/Systems/1"));
        is("https://elsewhere/redfish/v1/Systems", Some("/redfish/v1/Systems"));
        is("/redfish/v1/Systems#/Members/0", Some("/redfish/v1/Systems"));
        is("/redfish/v1/Systems?$skip=2", Some("/redfish/v1/Systems?$skip=2"));
        for link in ["", "Systems/1", "/redfish/../../etc/passwd", "//elsewhere/x", "https://host", "/a\\..\\b"] {
            is(link, None);
        }
    }
}
