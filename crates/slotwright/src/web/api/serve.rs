//! HTTP of the API: who asks, how much, and every refusal as a problem document.

use super::call::Call;
use super::problem::Problem;
use super::table::{ALL, DOCUMENT, ROOT, Route, Trait, Way};
use super::{answer, document, parameter};
use crate::verbs::shop::token::{self, Scope};
use crate::web::app::App;
use crate::web::query::Query;
use crate::web::server::{BODY_TIME, UPLOAD_MOST};
use crate::world;
use axum::Router;
use axum::body::Body;
use axum::extract::rejection::RawPathParamsRejection;
use axum::extract::{RawPathParams, Request, State};
use axum::http::{HeaderMap, Method, Response, StatusCode, header};
use axum::routing::any;
use domain::item::Who;
use std::sync::Arc;
use store::Store;

type Params = Result<RawPathParams, RawPathParamsRejection>;

/// Adds every address of the table, the document, and a problem for what is neither.
pub fn routed(mut router: Router<Arc<App>>) -> Router<Arc<App>> {
    let mut paths: Vec<&str> = ALL.iter().map(|r| r.path).collect();
    paths.sort_unstable();
    paths.dedup();
    for path in paths {
        let serve = move |State(app): State<Arc<App>>, params: Params, request: Request| async move {
            let part = params.map(|p| p.iter().next().map(|(_, v)| v.to_string()).unwrap_or_default());
            match part {
                Ok(name) => asked(app, path, name, request).await,
                Err(_) => answer::problem(&Problem::absent("there is nothing of a name that is no UTF-8"), &[]),
            }
        };
        router = router.route(&format!("{ROOT}{path}"), any(serve));
    }
    let nothing = |request: Request| async move {
        let detail = format!("there is nothing at {}", request.uri().path());
        answer::problem(&Problem::new(StatusCode::NOT_FOUND, detail, format!("see {DOCUMENT}")), &[])
    };
    ["/api", "/api/", "/api/{*rest}"]
        .iter()
        .fold(router.route(DOCUMENT, any(shown)), |r, path| r.route(path, any(nothing)))
}

/// A call that the doorkeeper sends away: by a host name that is not ours.
pub fn refused(why: &str) -> Response<Body> {
    answer::problem(&Problem::new(StatusCode::FORBIDDEN, why, "use the address that the program printed"), &[])
}

async fn shown(method: Method) -> Response<Body> {
    if !reads(&method) {
        return not_so(&method, "GET, HEAD");
    }
    let text = serde_json::to_string_pretty(&document::document()).unwrap_or_default() + "\n";
    let mut response = Response::new(Body::from(text));
    response.headers_mut().insert(header::CONTENT_TYPE, header::HeaderValue::from_static("application/json"));
    response
}

fn reads(method: &Method) -> bool {
    [Method::GET, Method::HEAD].contains(method)
}

fn not_so(method: &Method, allowed: &str) -> Response<Body> {
    let detail = format!("{method} is not answered at this address");
    let problem = Problem::new(StatusCode::METHOD_NOT_ALLOWED, detail, format!("use {allowed}"));
    answer::problem(&problem, &[(header::ALLOW, allowed)])
}

async fn asked(app: Arc<App>, path: &'static str, name: String, request: Request) -> Response<Body> {
    let here = || ALL.iter().filter(|r| r.path == path);
    let is = |way: Way, method: &Method| if way == Way::Get { reads(method) } else { method == Method::POST };
    let Some(route) = here().find(|r| is(r.way, request.method())) else {
        let ways: Vec<&str> = here().map(|r| if r.way == Way::Get { "GET, HEAD" } else { "POST" }).collect();
        return not_so(request.method(), &ways.join(", "));
    };
    match answered(app, route, name, request).await {
        Ok(response) => response,
        Err(problem) => {
            let ask = [(header::WWW_AUTHENTICATE, "Bearer realm=\"slotwright\"")];
            answer::problem(&problem, if problem.status == 401 { &ask } else { &[] })
        }
    }
}

async fn answered(
    app: Arc<App>,
    route: &'static Route,
    name: String,
    request: Request,
) -> Result<Response<Body>, Problem> {
    let Some(store) = app.store.clone() else {
        let hint = "start it with --store and the shop's store";
        return Err(Problem::new(StatusCode::SERVICE_UNAVAILABLE, "this server was started without a store", hint));
    };
    let secret = bearer(request.headers())?;
    let known = Arc::clone(&store);
    // Before anything of the body is read: who has no token sends nothing here.
    let who = computed(move || known_as(&known, &secret, route.scopes)).await?;
    let query = Query::parse(request.uri().query().unwrap_or_default());
    parameter::hold(&query, route.parameters)?;
    let matches = matches(request.headers(), route)?;
    if name.contains(char::is_control) {
        return Err(Problem::absent("there is nothing of a name with control characters"));
    }
    let body = if route.body.is_some() { body(request).await? } else { Vec::new() };
    let call = Call { data: app.data(), store, settings: app.settings.clone(), who, name, query, body, matches };
    let work = move || {
        // As many searches at a time as there are cores, those of the pages among them.
        let _turn = route.is(Trait::Searches).then(|| app.turn());
        (route.run)(&call)
    };
    let written = computed(work).await.map_err(|mut problem| {
        // RFC 9110, 15.5.13: what was asked for by If-Match is refused by its own status.
        if problem.stale && matches.is_some() {
            problem = problem.under(StatusCode::PRECONDITION_FAILED);
        }
        problem
    })?;
    Ok(written.respond(route))
}

/// Works apart from the threads that read and write sockets; a fault of ours is told as one.
async fn computed<T: Send + 'static>(work: impl FnOnce() -> Result<T, Problem> + Send + 'static) -> Result<T, Problem> {
    tokio::task::spawn_blocking(work).await.unwrap_or_else(|_| {
        let hint = "this is not your input's fault: please report it with the address and the body";
        Err(Problem::new(StatusCode::INTERNAL_SERVER_ERROR, "the program has a fault and could not answer", hint))
    })
}

fn unauthorized(detail: &str) -> Problem {
    let hint = "send `Authorization: Bearer TOKEN` with a token that `slotwright store token new` printed";
    Problem::new(StatusCode::UNAUTHORIZED, detail, hint)
}

/// What the caller shows. Cookies are not looked at: a browser sends those by itself, and this is what keeps forms of other
/// pages out here.
fn bearer(headers: &HeaderMap) -> Result<String, Problem> {
    let mut sent = headers.get_all(header::AUTHORIZATION).iter();
    let (Some(one), None) = (sent.next(), sent.next()) else {
        return Err(unauthorized("this address asks for a token"));
    };
    let secret = one.to_str().ok().and_then(|v| v.split_once(' ')).filter(|(s, _)| s.eq_ignore_ascii_case("bearer"));
    secret.map(|(_, secret)| secret.trim().to_string()).ok_or_else(|| unauthorized("this is no bearer token"))
}

fn known_as(store: &Store, secret: &str, needed: &[Scope]) -> Result<Who, Problem> {
    let Some((who, scopes)) = token::bearer(store, secret, world::now())? else {
        return Err(unauthorized("this token is not known here, or was revoked"));
    };
    if needed.iter().all(|s| scopes.contains(s)) {
        return Ok(who);
    }
    let words = |joined: &str| needed.iter().map(|s| s.word()).collect::<Vec<_>>().join(joined);
    let which = if needed.len() > 1 { "scopes" } else { "scope" };
    let detail = format!("token `{}` may not do this: it needs the {which} {}", who.name, words(" and "));
    Err(Problem::new(StatusCode::FORBIDDEN, detail, format!("make a token with --scope {}", words(","))))
}

/// The version of `If-Match`.
fn matches(headers: &HeaderMap, route: &Route) -> Result<Option<i64>, Problem> {
    let mut sent = headers.get_all(header::IF_MATCH).iter();
    let Some(first) = sent.next() else { return Ok(None) };
    if !route.is(Trait::Versioned) {
        return Err(Problem::bad("this address knows no versions, so If-Match can't be held", "leave it out"));
    }
    let text = first.to_str().unwrap_or_default().trim();
    let version = text.strip_prefix('"').and_then(|t| t.strip_suffix('"')).and_then(|t| t.parse().ok());
    if version.is_none() || sent.next().is_some() {
        return Err(Problem::bad("If-Match is no version", "send it as ETag gave it, such as \"3\""));
    }
    Ok(version)
}

async fn body(request: Request) -> Result<Vec<u8>, Problem> {
    let kind = request.headers().get(header::CONTENT_TYPE).and_then(|v| v.to_str().ok()).unwrap_or_default();
    let kind = kind.split(';').next().unwrap_or_default().trim().to_ascii_lowercase();
    if kind != "application/json" {
        let detail =
            if kind.is_empty() { "the body has no Content-Type".into() } else { format!("the body is `{kind}`") };
        return Err(Problem::new(StatusCode::UNSUPPORTED_MEDIA_TYPE, detail, "send JSON as application/json"));
    }
    let large = |_| {
        let most = UPLOAD_MOST >> 20;
        Problem::new(StatusCode::PAYLOAD_TOO_LARGE, format!("the body is larger than {most} MiB"), "send it in parts")
    };
    let arrived = tokio::time::timeout(BODY_TIME, axum::body::to_bytes(request.into_body(), UPLOAD_MOST)).await;
    let late = |_| Problem::new(StatusCode::REQUEST_TIMEOUT, "the body took too long to arrive", "send it again");
    Ok(arrived.map_err(late)?.map_err(large)?.to_vec())
}
