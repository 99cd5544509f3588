//! What holds for every request: which hosts we answer for, what browsers may do with a page.

use axum::{
    extract::{Request, State},
    http::{HeaderMap, HeaderName, HeaderValue, Method, Uri, header},
    middleware::Next,
    response::{IntoResponse, Response},
};

use crate::{app::Shared, error::PageError};

/// Headers of every answer.
const HEADERS: [(HeaderName, &str); 6] = [
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::X_FRAME_OPTIONS, "DENY"),
    // A family's link must not travel on to other sites. With `no-referrer` a browser would hide the
    // origin of a form even from ourselves, and on the home network nothing else tells us of it.
    (header::REFERRER_POLICY, "same-origin"),
    (HeaderName::from_static("permissions-policy"), "camera=(), geolocation=(), microphone=()"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
];

/// Refuses other hosts and forms from other sites, and adds the headers.
pub(crate) async fn guard(State(app): State<Shared>, request: Request, next: Next) -> Response {
    let host = host_of(request.headers(), request.uri());
    let is_public = host.is_some_and(|host| is_public(&app, host));
    let mut response = if !host.is_some_and(|host| is_public || is_local(host)) {
        PageError::OtherHost.into_response()
    } else if request.method() == Method::POST && !is_from_our_pages(request.headers(), host) {
        PageError::NotOurForm.into_response()
    } else {
        next.run(request).await
    };
    let headers = response.headers_mut();
    for (name, value) in HEADERS {
        headers.insert(name, HeaderValue::from_static(value));
    }
    if !headers.contains_key(header::CACHE_CONTROL) {
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    }
    if !headers.contains_key(header::CONTENT_SECURITY_POLICY) {
        let nothing = HeaderValue::from_static("default-src 'none'; frame-ancestors 'none'");
        headers.insert(header::CONTENT_SECURITY_POLICY, nothing);
    }
    if is_public && is_secure(&app) {
        let always = HeaderValue::from_static("max-age=31536000");
        headers.insert(header::STRICT_TRANSPORT_SECURITY, always);
    }
    response
}

/// Whether the public address is a secure one.
pub(crate) fn is_secure(app: &Shared) -> bool {
    app.settings.public_url.as_deref().is_some_and(|url| url.starts_with("https://"))
}

/// Whether a request came by the public address.
pub(crate) fn came_by_public_address(app: &Shared, headers: &HeaderMap, uri: &Uri) -> bool {
    host_of(headers, uri).is_some_and(|host| is_public(app, host))
}

fn host_of<'a>(headers: &'a HeaderMap, uri: &'a Uri) -> Option<&'a str> {
    let named = headers.get(header::HOST).and_then(|value| value.to_str().ok());
    named.or_else(|| uri.authority().map(axum::http::uri::Authority::as_str))
}

fn is_public(app: &Shared, host: &str) -> bool {
    let ours = app.settings.public_url.as_deref().and_then(|url| url.split_once("://"));
    ours.is_some_and(|(scheme, ours)| {
        // The scheme's own port need not be named.
        let port = if scheme == "https" { ":443" } else { ":80" };
        let bare = |host: &str| host.strip_suffix(port).unwrap_or(host).to_ascii_lowercase();
        ours.split('/').next().is_some_and(|ours| bare(ours) == bare(host))
    })
}

/// A number or a name that cannot be pointed at us from outside: a page of another site could
/// otherwise reach the studio through a name of its own.
fn is_local(host: &str) -> bool {
    let name = match host.rsplit_once(':') {
        Some((name, port)) if port.bytes().all(|byte| byte.is_ascii_digit()) => name,
        _ => host,
    };
    let number = name.trim_start_matches('[').trim_end_matches(']');
    number.parse::<std::net::IpAddr>().is_ok()
        || name == "localhost"
        || name.rsplit_once('.').is_some_and(|(_, end)| end == "local")
}

/// Whether a form was sent from a page of the host that it is for.
fn is_from_our_pages(headers: &HeaderMap, host: Option<&str>) -> bool {
    let text = |name: &str| headers.get(name).and_then(|value| value.to_str().ok());
    match (text("sec-fetch-site"), text("origin")) {
        (Some(site), _) => site == "same-origin" || site == "none",
        (None, Some(origin)) => origin.split("://").nth(1) == host,
        // Programs send neither; they have no cookie of ours to misuse.
        (None, None) => true,
    }
}
