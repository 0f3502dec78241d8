//! One request and its answer: redirects within the host, one more try at a 503, limits on time and size.

use super::tls::{NO_TLS, TlsConnector};
use std::io::Read;
use std::time::{Duration, Instant};
use ureq::Agent;
use ureq::http::{HeaderMap, Method, Request, StatusCode};
use ureq::unversioned::resolver::DefaultResolver;
use ureq::unversioned::transport::{Connector, TcpConnector};

/// Redirects of one request.
const REDIRECTS_MOST: usize = 4;
/// Longest wait that `Retry-After` may ask for.
const WAIT_MOST: Duration = Duration::from_secs(30);
/// For one request, however much time is left.
const REQUEST_MOST: Duration = Duration::from_secs(60);

/// An answer.
#[derive(Debug)]
pub struct Answer {
    pub status: StatusCode,
    pub headers: HeaderMap,
    pub body: Vec<u8>,
    /// The body ended before it should have.
    pub cut: bool,
}

impl Answer {
    /// A header as text.
    pub fn header(&self, name: &str) -> Option<&str> {
        self.headers.get(name).and_then(|v| v.to_str().ok())
    }
}

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NoAnswer {
    /// No connection, or one that broke: the next request won't fare better.
    Gone(String),
    /// This request failed.
    Failed(String),
    /// It answers, but without TLS, where the address says `https`.
    NoTls,
    /// The time for the host is up.
    Late(Duration),
}

/// A way to one host.
#[derive(Debug)]
pub struct Http {
    agent: Agent,
    base: String,
    authority: String,
    body_most: u64,
    whole: Duration,
    deadline: Instant,
}

impl Http {
    pub fn new(base: &str, authority: &str, options: &super::Options, tls: TlsConnector) -> Self {
        let config = Agent::config_builder()
            .http_status_as_error(false)
            .max_redirects(0)
            .max_redirects_will_error(false)
            // A management network is reached directly, or not at all.
            .proxy(None)
            .timeout_connect(Some(options.connect))
            .timeout_resolve(Some(options.connect))
            .user_agent(concat!("slotwright/", env!("CARGO_PKG_VERSION")))
            .build();
        let connector = ().chain(TcpConnector::default()).chain(tls);
        Self {
            agent: Agent::with_parts(config, connector, DefaultResolver::default()),
            base: base.to_string(),
            authority: authority.to_string(),
            body_most: options.body_most,
            whole: options.whole,
            deadline: Instant::now() + options.whole,
        }
    }

    /// Gives a last request some time, whatever was used up.
    pub fn allow(&mut self, more: Duration) {
        self.deadline = self.deadline.max(Instant::now() + more);
    }

    /// Sends a request and follows where it is sent within the host.
    ///
    /// # Errors
    /// See [`NoAnswer`].
    pub fn send(
        &self,
        method: &Method,
        path: &str,
        headers: &[(&str, &str)],
        body: Option<&str>,
    ) -> Result<Answer, NoAnswer> {
        let mut path = path.to_string();
        for _ in 0..=REDIRECTS_MOST {
            let answer = self.patient(method, &path, headers, body)?;
            if !answer.status.is_redirection() || answer.status == StatusCode::NOT_MODIFIED {
                return Ok(answer);
            }
            let to = answer.header("location").unwrap_or("");
            path = self.within(to).ok_or_else(|| NoAnswer::Failed(format!("sends away to `{to}`, off this host")))?;
        }
        Err(NoAnswer::Failed(format!("sends on and on: more than {REDIRECTS_MOST} redirects")))
    }

    /// The path of a redirect that stays on this host with this scheme.
    pub fn within(&self, location: &str) -> Option<String> {
        if let Some((scheme, rest)) = location.split_once("://") {
            let end = rest.find('/').unwrap_or(rest.len());
            let (authority, path) = rest.split_at(end);
            let same = self.base.starts_with(&format!("{}://", scheme.to_ascii_lowercase()))
                && authority.eq_ignore_ascii_case(&self.authority);
            return same.then(|| if path.is_empty() { "/".to_string() } else { path.to_string() });
        }
        (location.starts_with('/') && !location.starts_with("//")).then(|| location.to_string())
    }

    /// A service that is busy is asked once more.
    fn patient(
        &self,
        method: &Method,
        path: &str,
        headers: &[(&str, &str)],
        body: Option<&str>,
    ) -> Result<Answer, NoAnswer> {
        let first = self.once(method, path, headers, body)?;
        if first.status != StatusCode::SERVICE_UNAVAILABLE {
            return Ok(first);
        }
        let asked = first.header("retry-after").and_then(|s| s.trim().parse().ok()).map(Duration::from_secs);
        let wait = asked.unwrap_or(Duration::from_secs(1));
        if wait > WAIT_MOST || Instant::now() + wait >= self.deadline {
            return Ok(first);
        }
        std::thread::sleep(wait);
        self.once(method, path, headers, body)
    }

    /// Sends a request once, to this place only: no redirect is followed.
    pub(super) fn once(
        &self,
        method: &Method,
        path: &str,
        headers: &[(&str, &str)],
        body: Option<&str>,
    ) -> Result<Answer, NoAnswer> {
        let left = self.deadline.saturating_duration_since(Instant::now());
        if left.is_zero() {
            return Err(NoAnswer::Late(self.whole));
        }
        let mut request = Request::builder().method(method).uri(format!("{}{path}", self.base));
        let fixed = [("OData-Version", "4.0"), ("Accept", "application/json"), ("Accept-Encoding", "identity")];
        for (name, value) in fixed.iter().chain(headers) {
            request = request.header(*name, *value);
        }
        let unfit = |e: ureq::http::Error| NoAnswer::Failed(format!("`{path}` can't be asked for: {e}"));
        let limit = left.min(REQUEST_MOST);
        let answer = match body {
            Some(body) => {
                let request =
                    request.header("Content-Type", "application/json").body(body.to_string()).map_err(unfit)?;
                self.agent.run(self.agent.configure_request(request).timeout_global(Some(limit)).build())
            }
            None => {
                let request = request.body(()).map_err(unfit)?;
                self.agent.run(self.agent.configure_request(request).timeout_global(Some(limit)).build())
            }
        };
        let answer = answer.map_err(|e| self.no_answer(&e))?;
        self.take(answer)
    }

    fn take(&self, answer: ureq::http::Response<ureq::Body>) -> Result<Answer, NoAnswer> {
        let (parts, mut body) = answer.into_parts();
        let mut bytes = Vec::new();
        // One byte more than is taken shows that there is more.
        let read = body.as_reader().take(self.body_most + 1).read_to_end(&mut bytes);
        if bytes.len() as u64 > self.body_most {
            return Err(NoAnswer::Failed(format!("its answer is larger than {} bytes", self.body_most)));
        }
        if let Err(error) = &read
            && (bytes.is_empty() || is_timeout(error))
        {
            return Err(NoAnswer::Failed(format!("its answer broke off: {error}")));
        }
        Ok(Answer { status: parts.status, headers: parts.headers, body: bytes, cut: read.is_err() })
    }

    fn no_answer(&self, error: &ureq::Error) -> NoAnswer {
        let words = error.to_string();
        match error {
            ureq::Error::Timeout(ureq::Timeout::Connect | ureq::Timeout::Resolve) => {
                NoAnswer::Gone("no connection within the time allowed".into())
            }
            ureq::Error::Tls(why) if *why == NO_TLS => NoAnswer::NoTls,
            ureq::Error::Timeout(_) if Instant::now() >= self.deadline => NoAnswer::Late(self.whole),
            ureq::Error::Timeout(_) => NoAnswer::Failed("no answer within the time allowed".into()),
            ureq::Error::Io(_) | ureq::Error::HostNotFound | ureq::Error::ConnectionFailed | ureq::Error::Tls(_) => {
                NoAnswer::Gone(words.trim_start_matches("io: ").to_string())
            }
            _ => NoAnswer::Failed(words),
        }
    }
}

fn is_timeout(error: &std::io::Error) -> bool {
    matches!(error.kind(), std::io::ErrorKind::TimedOut | std::io::ErrorKind::WouldBlock)
        || error.to_string().contains("timeout")
}
