//! A Redfish service of one machine with three modules, on loopback, with faults to order.

use super::certificate;
use rustls::pki_types::{CertificateDer, PrivateKeyDer, PrivatePkcs8KeyDer};
use rustls::{ServerConfig, ServerConnection, StreamOwned};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Duration;

/// What a path answers in place of its resource.
#[derive(Debug, Clone, Copy)]
pub enum Reply {
    Status(u16),
    /// 503 so many times, then the resource.
    Busy(usize),
    Html,
    Large,
    /// Half a body, then the end.
    Cut,
    Slow,
    Away(&'static str),
    /// For the empty path: everything but the login wants a session or the basic login.
    Session,
}

struct Inner {
    faults: Vec<(&'static str, Reply)>,
    log: Mutex<Vec<String>>,
    sessions: AtomicUsize,
    busy: AtomicUsize,
    stop: AtomicBool,
    tls: Option<Arc<ServerConfig>>,
}

/// A server that runs until it is dropped.
pub struct Server {
    inner: Arc<Inner>,
    port: u16,
    certificate: Vec<u8>,
}

impl Server {
    pub fn start(faults: Vec<(&'static str, Reply)>) -> Self {
        Self::run(faults, None, Vec::new())
    }
    pub fn with_tls() -> Self {
        let (certificate, key) = certificate::self_signed();
        let provider = Arc::new(rustls::crypto::ring::default_provider());
        let key = PrivateKeyDer::Pkcs8(PrivatePkcs8KeyDer::from(key));
        let config = ServerConfig::builder_with_provider(provider)
            .with_safe_default_protocol_versions()
            .unwrap()
            .with_no_client_auth()
            .with_single_cert(vec![CertificateDer::from(certificate.clone())], key)
            .unwrap();
        Self::run(Vec::new(), Some(Arc::new(config)), certificate)
    }
    fn run(faults: Vec<(&'static str, Reply)>, tls: Option<Arc<ServerConfig>>, certificate: Vec<u8>) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let port = listener.local_addr().unwrap().port();
        let inner = Arc::new(Inner {
            faults,
            log: Mutex::default(),
            sessions: AtomicUsize::new(0),
            busy: AtomicUsize::new(0),
            stop: AtomicBool::new(false),
            tls,
        });
        let shared = inner.clone();
        std::thread::spawn(move || {
            for stream in listener.incoming().flatten() {
                if shared.stop.load(Ordering::Relaxed) {
                    break;
                }
                let shared = shared.clone();
                std::thread::spawn(move || match &shared.tls {
                    Some(config) => {
                        let connection = ServerConnection::new(config.clone()).unwrap();
                        serve(&shared, StreamOwned::new(connection, stream));
                    }
                    None => serve(&shared, stream),
                });
            }
        });
        Self { inner, port, certificate }
    }
    pub fn url(&self) -> String {
        let scheme = if self.inner.tls.is_some() { "https" } else { "http" };
        format!("{scheme}://127.0.0.1:{}", self.port)
    }
    pub fn count(&self, line: &str) -> usize {
        self.inner.log.lock().unwrap().iter().filter(|l| *l == line).count()
    }
    pub fn asked(&self, line: &str) -> bool {
        self.count(line) > 0
    }
    pub fn open_sessions(&self) -> usize {
        self.inner.sessions.load(Ordering::Relaxed)
    }
    pub fn pin(&self) -> [u8; 32] {
        let sum = ring::digest::digest(&ring::digest::SHA256, &self.certificate);
        sum.as_ref().try_into().unwrap()
    }
    pub fn sum(&self) -> String {
        self.pin().iter().map(|b| format!("{b:02x}")).collect()
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        self.inner.stop.store(true, Ordering::Relaxed);
        // Wakes the listener, so that the port is free again.
        let _ = TcpStream::connect(("127.0.0.1", self.port));
    }
}

fn serve<S: Read + Write>(inner: &Inner, stream: S) {
    let mut stream = BufReader::new(stream);
    while let Some((line, headers, body)) = request(&mut stream) {
        inner.log.lock().unwrap().push(line.clone());
        if !answer(inner, stream.get_mut(), &line, &headers, &body) {
            return;
        }
    }
}

fn request<S: Read>(stream: &mut BufReader<S>) -> Option<(String, Vec<String>, String)> {
    let mut line = String::new();
    stream.read_line(&mut line).ok().filter(|n| *n > 0)?;
    let mut headers = Vec::new();
    loop {
        let mut header = String::new();
        stream.read_line(&mut header).ok().filter(|n| *n > 0)?;
        if header.trim().is_empty() {
            break;
        }
        headers.push(header.trim().to_string());
    }
    let length =
        headers.iter().find_map(|h| h.to_ascii_lowercase().strip_prefix("content-length:")?.trim().parse().ok());
    let mut body = vec![0; length.unwrap_or(0)];
    stream.read_exact(&mut body).ok()?;
    let line = line.rsplit_once(" HTTP/")?.0.to_string();
    Some((line, headers, String::from_utf8(body).ok()?))
}

/// Answers one request; false closes the connection.
fn answer(inner: &Inner, out: &mut impl Write, line: &str, headers: &[String], body: &str) -> bool {
    let (method, asked) = line.split_once(' ').unwrap();
    let path = asked.trim_end_matches('/');
    let error = r#"{"error":{"code":"Base.1.0.GeneralError","message":"no"}}"#;
    if inner.faults.iter().any(|(_, r)| matches!(r, Reply::Session)) {
        if method == "POST" && path.ends_with("/Sessions") {
            if !body.contains("\"Password\":\"s3cret\"") {
                return send(out, "401 Unauthorized", "", error);
            }
            inner.sessions.fetch_add(1, Ordering::Relaxed);
            let head = "X-Auth-Token: t0ken\r\nLocation: /redfish/v1/SessionService/Sessions/7\r\n";
            return send(out, "201 Created", head, "{}");
        }
        let proof = |h: &String| {
            let (name, value) = h.split_once(':').unwrap_or(("", ""));
            let (name, value) = (name.to_ascii_lowercase(), value.trim());
            (name == "x-auth-token" && value == "t0ken")
                || (name == "authorization" && value == "Basic cmVhZGVyOnMzY3JldA==")
        };
        if !headers.iter().any(proof) {
            return send(out, "401 Unauthorized", "", error);
        }
    }
    if method == "DELETE" {
        inner.sessions.fetch_sub(1, Ordering::Relaxed);
        return send(out, "204 No Content", "", "");
    }
    let Some(text) = resource(path) else { return send(out, "404 Not Found", "", error) };
    let fault = inner.faults.iter().find(|(p, _)| !p.is_empty() && *p == path).map(|(_, r)| *r);
    match fault {
        Some(Reply::Status(code)) => send(out, &format!("{code} Odd"), "", error),
        Some(Reply::Busy(times)) if inner.busy.fetch_add(1, Ordering::Relaxed) < times => {
            send(out, "503 Service Unavailable", "Retry-After: 1\r\n", error)
        }
        Some(Reply::Html) => {
            let page = "<html>login</html>";
            let head = format!("HTTP/1.1 200 OK\r\nContent-Type: text/html\r\nContent-Length: {}\r\n\r\n", page.len());
            out.write_all(format!("{head}{page}").as_bytes()).is_ok()
        }
        Some(Reply::Large) => send(out, "200 OK", "", &format!("{{\"Id\":\"{}\"}}", "x".repeat(200_000))),
        Some(Reply::Cut) => {
            let head = "HTTP/1.1 200 OK\r\nContent-Type: application/json\r\nContent-Length: 5000\r\n\r\n";
            let _ = out.write_all(format!("{head}{}", &text[..text.len() / 2]).as_bytes());
            let _ = out.flush();
            false
        }
        Some(Reply::Slow) => {
            std::thread::sleep(Duration::from_secs(30));
            false
        }
        Some(Reply::Away(to)) => send(out, "302 Found", &format!("Location: {to}\r\n"), ""),
        _ => send(out, "200 OK", "", &text),
    }
}

fn send(out: &mut impl Write, status: &str, head: &str, body: &str) -> bool {
    let length = body.len();
    let kind = "Content-Type: application/json; charset=utf-8";
    let whole = format!("HTTP/1.1 {status}\r\n{kind}\r\n{head}Content-Length: {length}\r\n\r\n{body}");
    out.write_all(whole.as_bytes()).and_then(|()| out.flush()).is_ok()
}

fn resource(path: &str) -> Option<String> {
    const MEMORY: &str = "/redfish/v1/Systems/1/Memory";
    let link = |to: &str| format!(r#"{{"@odata.id":"{to}"}}"#);
    Some(match path {
        "/redfish/v1" => format!(r#"{{"RedfishVersion":"1.15.0","Systems":{}}}"#, link("/redfish/v1/Systems")),
        "/redfish/v1/Systems" => format!(r#"{{"Members":[{}]}}"#, link("/redfish/v1/Systems/1")),
        "/redfish/v1/Systems/1" => format!(r#"{{"Id":"1","Memory":{}}}"#, link(MEMORY)),
        MEMORY => format!(
            r#"{{"Members":[{},{}],"Members@odata.count":3,"Members@odata.nextLink":"{MEMORY}?$skip=2"}}"#,
            link(&format!("{MEMORY}/A1")),
            link(&format!("{MEMORY}/A2"))
        ),
        "/redfish/v1/Systems/1/Memory?$skip=2" => format!(r#"{{"Members":[{}]}}"#, link(&format!("{MEMORY}/A3"))),
        _ => {
            let slot = path.strip_prefix(MEMORY)?.strip_prefix("/A").filter(|n| matches!(*n, "1" | "2" | "3"))?;
            format!(
                r#"{{"Id":"A{slot}","MemoryType":"DRAM","MemoryDeviceType":"DDR4","CapacityMiB":16384,"DeviceLocator":"A{slot}"}}"#
            )
        }
    })
}
