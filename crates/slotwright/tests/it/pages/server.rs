//! The program serving, asked over a plain socket so that bad requests can be sent too; killed when it is dropped.

use crate::program::Place;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{Shutdown, TcpStream};
use std::process::{Child, Stdio};
use std::time::Duration;

/// A hostile name: markup, quotes, and a mark that turns the direction of writing.
pub const HOSTILE: &str = "<script>alert(1)</script>\"'&\u{202e}";

pub struct Server {
    child: Child,
    address: String,
    pub place: Place,
}

/// An answer.
#[derive(Debug)]
pub struct Got {
    pub status: u16,
    pub head: String,
    pub body: String,
}

impl Server {
    /// Serves with a folder of its own data.
    pub fn new() -> Self {
        let place = Place::new();
        std::fs::create_dir_all(place.path().join("data/boards")).unwrap();
        Self::started(place, &["--data", "data", "serve", "--listen", "127.0.0.1:0"])
    }
    /// Serves without one.
    pub fn bare() -> Self {
        Self::started(Place::new(), &["serve", "--listen", "127.0.0.1:0"])
    }
    /// Serves with a store of its own.
    pub fn with_store() -> Self {
        Self::started(Place::new(), &["--store", "shop.db", "serve", "--listen", "127.0.0.1:0"])
    }
    /// Serves where a token is asked for.
    pub fn with_token(token: &str) -> Self {
        let place = Place::new();
        place.write("token.txt", token);
        Self::started(place, &["serve", "--listen", "127.0.0.1:0", "--token-file", "token.txt"])
    }
    fn started(place: Place, args: &[&str]) -> Self {
        let mut child = place.command(args).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
        let address = line.trim().strip_prefix("listening on http://").unwrap_or_else(|| panic!("{line}")).to_string();
        Self { child, address, place }
    }
    pub fn get(&self, path: &str) -> Got {
        self.send(&format!("GET {path} HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n\r\n", self.address), b"", false)
    }
    /// A form without files, as a page of ours sends it.
    pub fn post(&self, path: &str, fields: &[(&str, &str)]) -> Got {
        let mut form = form_urlencoded::Serializer::new(String::new());
        form.extend_pairs(fields);
        let body = form.finish();
        self.posted(path, &self.origin(), "application/x-www-form-urlencoded", body.len(), body.as_bytes())
    }
    /// A form with files: (field, file name, bytes).
    pub fn upload(&self, path: &str, fields: &[(&str, &str)], files: &[(&str, &str, &[u8])]) -> Got {
        let body = multipart(fields, files);
        self.posted(path, &self.origin(), MULTIPART, body.len(), &body)
    }
    pub fn origin(&self) -> String {
        format!("http://{}", self.address)
    }
    pub fn posted(&self, path: &str, origin: &str, kind: &str, length: usize, body: &[u8]) -> Got {
        let head = format!(
            "POST {path} HTTP/1.1\r\nHost: {}\r\nOrigin: {origin}\r\nContent-Type: {kind}\r\nContent-Length: {length}\r\nConnection: close\r\n\r\n",
            self.address
        );
        self.send(&head, body, length > body.len())
    }
    /// A call of the API with a body of JSON; `lines` are further lines of its head.
    pub fn call(&self, method: &str, path: &str, token: Option<&str>, lines: &[&str], body: &[u8]) -> Got {
        let mut head = format!("{method} {path} HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n", self.address);
        if !body.is_empty() {
            head.push_str(&format!("Content-Length: {}\r\n", body.len()));
        }
        if method == "POST" && !lines.iter().any(|l| l.starts_with("Content-Type")) {
            head.push_str("Content-Type: application/json\r\n");
        }
        head.extend(token.map(|t| format!("Authorization: Bearer {t}\r\n")));
        head.extend(lines.iter().map(|l| format!("{l}\r\n")));
        self.send(&format!("{head}\r\n"), body, false)
    }
    fn send(&self, head: &str, body: &[u8], cut: bool) -> Got {
        let mut stream = TcpStream::connect(&self.address).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
        stream.write_all(head.as_bytes()).unwrap();
        // A server that refuses early may close before it has read all.
        let _ = stream.write_all(body);
        if cut {
            let _ = stream.shutdown(Shutdown::Write);
        }
        let mut all = Vec::new();
        let _ = stream.read_to_end(&mut all);
        let all = String::from_utf8_lossy(&all);
        let (head, body) = all.split_once("\r\n\r\n").unwrap_or((&all, ""));
        let status = head.split(' ').nth(1).and_then(|s| s.parse().ok()).unwrap_or(0);
        Got { status, head: head.to_ascii_lowercase(), body: body.to_string() }
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

pub const MULTIPART: &str = "multipart/form-data; boundary=between";

pub fn multipart(fields: &[(&str, &str)], files: &[(&str, &str, &[u8])]) -> Vec<u8> {
    let mut body = Vec::new();
    for (name, value) in fields {
        write!(body, "--between\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n").unwrap();
    }
    for (name, file, bytes) in files {
        let file = file.replace('"', "%22");
        let head = format!("--between\r\nContent-Disposition: form-data; name=\"{name}\"; filename=\"{file}\"\r\n");
        body.extend_from_slice(head.as_bytes());
        body.extend_from_slice(b"Content-Type: application/octet-stream\r\n\r\n");
        body.extend_from_slice(bytes);
        body.extend_from_slice(b"\r\n");
    }
    body.extend_from_slice(b"--between--\r\n");
    body
}

impl Got {
    /// Holds a status and words of the page.
    #[track_caller]
    pub fn is(self, status: u16, words: &[&str]) -> Self {
        let main: String = self.body.split("<h1>").last().unwrap_or_default().chars().take(2000).collect();
        assert_eq!(self.status, status, "{}\n{main}", self.head);
        for words in words {
            assert!(self.body.contains(words), "no `{words}` in\n{main}");
        }
        self
    }
}

/// The value of a hidden or visible field, as the page has it.
pub fn value(page: &str, name: &str) -> String {
    let at = page.find(&format!("name=\"{name}\"")).unwrap_or_else(|| panic!("no field {name}"));
    let tag = &page[at..];
    let tag = &tag[..tag.find('>').unwrap()];
    let value = tag.split("value=\"").nth(1).map_or("", |v| v.split('"').next().unwrap_or_default());
    plain(value)
}

/// What stands in a field of several lines.
pub fn lines(page: &str, name: &str) -> String {
    let at = page.find(&format!("<textarea id=\"f-{name}\"")).unwrap_or_else(|| panic!("no field {name}"));
    let from = at + page[at..].find('>').unwrap() + 1;
    plain(page[from..from + page[from..].find("</textarea>").unwrap()].trim_start_matches('\n'))
}

fn plain(html: &str) -> String {
    html.replace("&quot;", "\"").replace("&lt;", "<").replace("&gt;", ">").replace("&#39;", "'").replace("&amp;", "&")
}

/// Every field of a form of the page with what it holds, as a browser would send it; buttons and unticked boxes apart.
pub fn fields(page: &str) -> Vec<(String, String)> {
    let mut fields = Vec::new();
    for tag in page.split("<input ").skip(1).map(|t| &t[..t.find('>').unwrap()]) {
        let of = |key: &str| tag.split(&format!("{key}=\"")).nth(1).and_then(|v| v.split('"').next()).map(plain);
        let kind = of("type").unwrap_or_default();
        if kind == "file" || (kind == "checkbox" && !tag.contains(" checked")) {
            continue;
        }
        fields.extend(of(" name").or_else(|| of("name")).map(|name| (name, of("value").unwrap_or_default())));
    }
    fields
}
