//! The server: listens, keeps slow and greedy clients within bounds, turns requests into [`Asked`] and answers into HTTP.

use super::app::App;
use super::asked::{Answer, Asked, Upload};
use super::guard::Refused;
use super::query::Query;
use super::{api, layout, received, routes};
use axum::Router;
use axum::body::{Body, Bytes};
use axum::extract::{DefaultBodyLimit, FromRequest, Multipart, RawPathParams, Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, Response, StatusCode, header};
use axum::response::IntoResponse;
use axum::routing::{any, get};
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use std::io;
use std::sync::Arc;
use std::time::Duration;
use tokio::net::TcpListener;
use tokio::sync::Semaphore;

/// Most bytes of a form with its files.
pub const UPLOAD_MOST: usize = 16 << 20;
/// Time for the head of a request, also while a connection idles.
const HEAD_TIME: Duration = Duration::from_secs(15);
/// Time for the body of a request.
pub const BODY_TIME: Duration = Duration::from_secs(30);
/// Time that one connection may last, so that none that never reads its answer stays for good.
const CONNECTION_TIME: Duration = Duration::from_secs(600);
/// Connections at a time; further ones wait.
const CONNECTIONS_MOST: usize = 512;

/// A page's own code.
pub type Handler = fn(&App, &Asked) -> Answer;

/// Serves until the stop signal.
///
/// # Errors
/// The address can't be listened on any more.
pub async fn run(listener: TcpListener, app: Arc<App>, mut stop: tokio::sync::watch::Receiver<bool>) -> io::Result<()> {
    let router = router(Arc::clone(&app));
    let places = Arc::new(Semaphore::new(CONNECTIONS_MOST));
    loop {
        let place = Arc::clone(&places).acquire_owned().await.map_err(io::Error::other)?;
        let stream = tokio::select! {
            _ = stop.changed() => return Ok(()),
            accepted = listener.accept() => match accepted {
                Ok((stream, _)) => stream,
                Err(_) => {
                    // Out of files or a client that went away: wait a little, then go on.
                    tokio::time::sleep(Duration::from_millis(50)).await;
                    continue;
                }
            },
        };
        let service = TowerToHyperService::new(router.clone());
        tokio::spawn(async move {
            let _place = place;
            let mut http = hyper::server::conn::http1::Builder::new();
            http.timer(TokioTimer::new()).header_read_timeout(HEAD_TIME).max_buf_size(64 << 10);
            let connection = http.serve_connection(TokioIo::new(stream), service);
            let _ = tokio::time::timeout(CONNECTION_TIME, connection).await;
        });
    }
}

fn router(app: Arc<App>) -> Router {
    let mut router = Router::new();
    for (path, handler) in routes::ALL {
        let handler = *handler;
        let serve = move |State(app): State<Arc<App>>, params: RawPathParams, request: Request| async move {
            let name = params.iter().next().map(|(_, v)| v.to_string()).unwrap_or_default();
            serve(app, handler, name, request).await
        };
        router = router.route(path, any(serve));
    }
    api::routed(router)
        .route("/style.css", get(|| async { asset("text/css; charset=utf-8", layout::style()) }))
        .route("/script.js", get(|| async { asset("text/javascript; charset=utf-8", layout::SCRIPT) }))
        .fallback(|State(app): State<Arc<App>>, request: Request| async move {
            serve(app, routes::nothing, String::new(), request).await
        })
        .layer(axum::middleware::from_fn_with_state(Arc::clone(&app), door))
        .with_state(app)
}

fn asset(kind: &'static str, text: &'static str) -> Response<Body> {
    let headers = [(header::CONTENT_TYPE, kind), (header::CACHE_CONTROL, "max-age=31536000, immutable")];
    (headers, text).into_response()
}

/// Refuses what may not be asked, and puts the same headers on every answer.
async fn door(State(app): State<Arc<App>>, request: Request, next: axum::middleware::Next) -> Response<Body> {
    let (method, path) = (request.method().clone(), request.uri().path().to_string());
    let of_api = api::is_here(&path);
    let allowed = match of_api {
        true => app.guard.allows_host(request.headers()),
        false => app.guard.allows(&method, &path, request.headers()),
    };
    let mut response = match allowed {
        Ok(()) if of_api => next.run(request).await,
        Err(refused) if of_api => api::refused(&refused.to_string()),
        Ok(()) if ![Method::GET, Method::HEAD, Method::POST].contains(&method) => {
            layout::plain(StatusCode::METHOD_NOT_ALLOWED, "Only GET and POST are answered here.", "go back to the page")
                .respond()
        }
        Ok(()) => next.run(request).await,
        Err(Refused::Token) if method == Method::GET => {
            let to = Query::default().with("to", request.uri()).to("/enter");
            Answer::Go(to).respond()
        }
        Err(refused) => {
            let status = if refused == Refused::Token { StatusCode::UNAUTHORIZED } else { StatusCode::FORBIDDEN };
            layout::plain(status, &format!("Refused: {refused}."), "open the address that the program printed")
                .respond()
        }
    };
    if method == Method::POST && path == "/enter" && response.status() == StatusCode::SEE_OTHER {
        response.headers_mut().extend(app.guard.cookie().map(|c| (header::SET_COOKIE, c)));
    }
    for (name, value) in HEADERS {
        let name = HeaderName::from_static(name);
        if !response.headers().contains_key(&name) {
            response.headers_mut().insert(name, HeaderValue::from_static(value));
        }
    }
    response
}

/// Nothing from elsewhere, no script or style within a page, no framing, nothing kept in caches.
const HEADERS: [(&str, &str); 6] = [
    (
        "content-security-policy",
        "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; connect-src 'self'; \
         form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
    ),
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    ("cache-control", "no-store"),
];

async fn serve(app: Arc<App>, handler: Handler, name: String, request: Request) -> Response<Body> {
    let asked = match tokio::time::timeout(BODY_TIME, ask(name, request)).await {
        Ok(Ok(asked)) => asked,
        Ok(Err(refusal)) => return refusal.respond(),
        Err(_) => {
            return layout::plain(StatusCode::REQUEST_TIMEOUT, "The form took too long to arrive.", "send it again")
                .respond();
        }
    };
    // Pages compute; the threads that read and write sockets must not wait for them.
    let answered = tokio::task::spawn_blocking(move || handler(&app, &asked)).await;
    let answer = answered.unwrap_or_else(|_| {
        layout::plain(
            StatusCode::INTERNAL_SERVER_ERROR,
            "The program has a fault and could not make this page.",
            "this is not your input's fault: please report it with the address of this page",
        )
    });
    answer.respond()
}

async fn ask(name: String, request: Request) -> Result<Asked, Answer> {
    let mut asked = Asked {
        path: request.uri().path().to_string(),
        name,
        query: Query::parse(request.uri().query().unwrap_or_default()),
        ..Asked::default()
    };
    if request.method() != Method::POST {
        return Ok(asked);
    }
    let kind = kind_of(request.headers());
    if length(request.headers()).is_some_and(|l| l > UPLOAD_MOST) {
        return Err(too_long());
    }
    if kind.starts_with("application/x-www-form-urlencoded") {
        let bytes = axum::body::to_bytes(request.into_body(), UPLOAD_MOST).await.map_err(|_| too_long())?;
        asked.fields = Query::parse(&String::from_utf8_lossy(&bytes));
        return Ok(asked);
    }
    if kind.starts_with("multipart/form-data") {
        parts(request, &mut asked).await?;
        return Ok(asked);
    }
    if kind.starts_with("application/json") && asked.path == received::PLACE {
        let bytes = axum::body::to_bytes(request.into_body(), UPLOAD_MOST).await.map_err(|_| too_long())?;
        asked.files.push(Upload { field: "report".to_string(), name: "snapshot.json".to_string(), bytes });
        return Ok(asked);
    }
    Err(layout::plain(
        StatusCode::UNSUPPORTED_MEDIA_TYPE,
        "This is no form that a page of this program sends.",
        "send multipart/form-data or application/x-www-form-urlencoded",
    ))
}

async fn parts(mut request: Request, asked: &mut Asked) -> Result<(), Answer> {
    DefaultBodyLimit::max(UPLOAD_MOST).apply(&mut request);
    let mut form = Multipart::from_request(request, &()).await.map_err(|e| broken(&e.to_string()))?;
    let mut fields = Vec::new();
    loop {
        let part = form.next_field().await.map_err(refusal)?;
        let Some(part) = part else { break };
        let field = part.name().unwrap_or_default().to_string();
        let file = part.file_name().map(str::to_string);
        let bytes: Bytes = part.bytes().await.map_err(refusal)?;
        match file {
            Some(name) if !(name.is_empty() && bytes.is_empty()) => asked.files.push(Upload { field, name, bytes }),
            Some(_) => {}
            None => fields.push((field, String::from_utf8_lossy(&bytes).into_owned())),
        }
    }
    asked.fields = Query::of(fields);
    Ok(())
}

fn refusal(error: axum::extract::multipart::MultipartError) -> Answer {
    if error.status() == StatusCode::PAYLOAD_TOO_LARGE { too_long() } else { broken(&error.body_text()) }
}

fn broken(why: &str) -> Answer {
    layout::plain(StatusCode::BAD_REQUEST, &format!("The form could not be read: {why}."), "send it again")
}

fn too_long() -> Answer {
    layout::plain(
        StatusCode::PAYLOAD_TOO_LARGE,
        "What was sent is larger than 16 MiB.",
        "send one report or one tray at a time, or read it with the command line",
    )
}

fn kind_of(headers: &HeaderMap) -> String {
    headers.get(header::CONTENT_TYPE).and_then(|v| v.to_str().ok()).unwrap_or_default().to_ascii_lowercase()
}

fn length(headers: &HeaderMap) -> Option<usize> {
    headers.get(header::CONTENT_LENGTH)?.to_str().ok()?.parse().ok()
}
