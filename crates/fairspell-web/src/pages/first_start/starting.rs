//! Who may do a first start, and what is still missing.

use std::net::IpAddr;

use axum::{
    extract::{DefaultBodyLimit, FromRequest, FromRequestParts, Request},
    http::{HeaderMap, StatusCode, Uri, request::Parts},
    response::{IntoResponse, Redirect, Response},
};
use fairspell_words::screens::first_start as words;
use maud::html;

use crate::{
    app::Shared,
    error::PageError,
    fields::Fields,
    guard::came_by_public_address,
    page::bare_page,
    sign_in::has_passphrase,
    visit::{Caller, GuestPosted, Visit},
};

/// The largest form, bytes: a photograph with its position.
const UPLOAD_BYTES: usize = 40 << 20;

/// What a studio still lacks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Missing {
    Everything,
    /// Somebody chose a passphrase and went away; only she may go on.
    Studio,
    /// The studio came from elsewhere, such as a file.
    Passphrase,
}

/// Somebody who may begin a studio.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Starting {
    pub(super) missing: Missing,
}

impl FromRequestParts<Shared> for Starting {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, app: &Shared) -> Result<Self, Response> {
        let error = |error: PageError| error.into_response();
        let has_studio = app.skies().house.is_some();
        let has_passphrase = has_passphrase(app).await.map_err(error)?;
        if app.settings.is_demo || (has_studio && has_passphrase) {
            return Err(Redirect::to("/").into_response());
        }
        if has_passphrase {
            Visit::from_request_parts(parts, app).await.map_err(IntoResponse::into_response)?;
            return Ok(Starting { missing: Missing::Studio });
        }
        let Ok(Caller(address)) = Caller::from_request_parts(parts, app).await;
        if !is_near(app, address, &parts.headers, &parts.uri) {
            return Err(not_from_here());
        }
        let missing = if has_studio { Missing::Passphrase } else { Missing::Everything };
        Ok(Starting { missing })
    }
}

/// Whether a request comes from the computer itself or from the same home network, and through no
/// other program that passes requests on: behind one everybody seems to be near.
fn is_near(app: &Shared, address: IpAddr, headers: &HeaderMap, uri: &Uri) -> bool {
    let was_passed_on =
        ["forwarded", "x-forwarded-for"].into_iter().any(|name| headers.contains_key(name));
    is_home(address) && !was_passed_on && !came_by_public_address(app, headers, uri)
}

fn is_home(address: IpAddr) -> bool {
    match address.to_canonical() {
        IpAddr::V4(address) => {
            address.is_loopback() || address.is_private() || address.is_link_local()
        }
        IpAddr::V6(address) => {
            address.is_loopback() || address.is_unique_local() || address.is_unicast_link_local()
        }
    }
}

fn not_from_here() -> Response {
    let body = html! {
        h1 { (words::NOT_FROM_HERE) }
        p { (words::NOT_FROM_HERE_MEANS) }
    };
    (StatusCode::FORBIDDEN, bare_page(words::NOT_FROM_HERE, &body)).into_response()
}

/// A form of the first start. Nobody who may not begin gets a byte of it read.
#[derive(Debug)]
pub(crate) struct StartingPosted {
    pub(super) starting: Starting,
    pub(super) app: Shared,
    pub(super) headers: HeaderMap,
    pub(super) uri: Uri,
    pub(super) fields: Fields,
}

impl FromRequest<Shared> for StartingPosted {
    type Rejection = Response;

    async fn from_request(request: Request, app: &Shared) -> Result<Self, Response> {
        let (mut parts, body) = request.into_parts();
        let starting = Starting::from_request_parts(&mut parts, app).await?;
        let (headers, uri) = (parts.headers.clone(), parts.uri.clone());
        let mut request = Request::from_parts(parts, body);
        DefaultBodyLimit::max(UPLOAD_BYTES).apply(&mut request);
        let posted = GuestPosted::from_request(request, app).await;
        let GuestPosted { app, fields, .. } = posted.map_err(IntoResponse::into_response)?;
        Ok(StartingPosted { starting, app, headers, uri, fields })
    }
}

#[cfg(test)]
mod tests {
    use super::is_home;

    #[test]
    fn only_the_computer_itself_and_private_networks_are_home() {
        // RFC 1918, RFC 3927, RFC 4193 and RFC 4291; beyond them addresses for documentation.
        for near in [
            "127.0.0.1",
            "10.1.2.3",
            "172.16.0.1",
            "192.168.178.20",
            "169.254.7.7",
            "::1",
            "::ffff:192.168.0.9",
            "fd12:3456:789a::1",
            "fe80::1",
        ] {
            assert!(is_home(near.parse().unwrap()), "{near}");
        }
        for far in ["0.0.0.0", "203.0.113.7", "172.32.0.1", "::ffff:203.0.113.7", "2001:db8::1"] {
            assert!(!is_home(far.parse().unwrap()), "{far}");
        }
    }
}
