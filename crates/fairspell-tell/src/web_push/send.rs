//! Posting to the push service, and what came of it.

use std::{future::Future, sync::Arc, time::Duration};

use fairspell_reach::PublicResolver;
use jiff::{SignedDuration, Timestamp};
use reqwest::{
    Client, Method, Response, StatusCode, Url,
    header::{HeaderMap, HeaderName, HeaderValue, RETRY_AFTER},
    redirect,
};
use rustls::crypto::CryptoProvider;

use super::PushRequest;
use crate::TellError;

/// How long a push service may take, seconds.
const TIMEOUT_S: u64 = 10;

/// The longest wait that a service may ask for: a day. What asks for more is of no use to us.
const AFTER_MAX: SignedDuration = SignedDuration::from_hours(24);

/// What came of a push message.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// The service has it.
    Delivered,
    /// The browser no longer wants any: drop the subscription.
    Gone,
    /// Not now.
    TryLater {
        /// How long the service asks us to wait, where it says so.
        after: Option<SignedDuration>,
    },
    /// The service says no.
    Refused {
        /// Its HTTP status.
        status: u16,
    },
}

/// Whatever posts a request: the client of [`client`], or a test's.
pub trait Post {
    /// Posts it at a moment.
    fn post(&self, request: &PushRequest, now: Timestamp) -> impl Future<Output = Outcome> + Send;
}

impl Post for Client {
    async fn post(&self, request: &PushRequest, now: Timestamp) -> Outcome {
        send(self, request, now).await
    }
}

/// A client that speaks `https:` only, finds no name at an address that is not public, and follows
/// nobody elsewhere. An endpoint that is such an address itself is refused by
/// [`Subscription`](super::Subscription).
///
/// Where the program has chosen no TLS provider yet, *ring* becomes it.
///
/// # Errors
///
/// [`TellError::Client`] where the system's certificates cannot be read.
pub fn client() -> Result<Client, TellError> {
    if CryptoProvider::get_default().is_none() {
        // That somebody else was quicker is as good.
        let _ = rustls::crypto::ring::default_provider().install_default();
    }
    Client::builder()
        .https_only(true)
        .no_proxy()
        .redirect(redirect::Policy::none())
        .dns_resolver(Arc::new(PublicResolver))
        .timeout(Duration::from_secs(TIMEOUT_S))
        .build()
        .map_err(|cause| TellError::Client(cause.to_string()))
}

/// Posts a message.
///
/// What cannot be reached, or takes longer than ten seconds, is for later.
///
/// # Source
///
/// RFC 8030, sections 5 and 7.3; 404 and 410 both mean that the subscription has ended; Retry-After
/// is RFC 9110's, section 10.2.3.
pub async fn send(client: &Client, request: &PushRequest, now: Timestamp) -> Outcome {
    // An address or a field that cannot be is a refusal: it will be no better later.
    let (Ok(url), Some(headers)) = (Url::parse(&request.url), headers(request)) else {
        return Outcome::Refused { status: StatusCode::BAD_REQUEST.as_u16() };
    };
    let answer = client
        .request(Method::POST, url)
        .headers(headers)
        .timeout(Duration::from_secs(TIMEOUT_S))
        .body(request.body.clone())
        .send()
        .await;
    answer.map_or(Outcome::TryLater { after: None }, |answer| outcome(&answer, now))
}

fn headers(request: &PushRequest) -> Option<HeaderMap> {
    let pair = |(name, value): &(&'static str, String)| {
        let name = HeaderName::from_bytes(name.as_bytes()).ok()?;
        Some((name, HeaderValue::from_str(value).ok()?))
    };
    request.headers.iter().map(pair).collect()
}

fn outcome(answer: &Response, now: Timestamp) -> Outcome {
    let status = answer.status();
    match status {
        StatusCode::NOT_FOUND | StatusCode::GONE => Outcome::Gone,
        StatusCode::TOO_MANY_REQUESTS | StatusCode::REQUEST_TIMEOUT => {
            Outcome::TryLater { after: retry_after(answer, now) }
        }
        _ if status.is_success() => Outcome::Delivered,
        _ if status.is_server_error() => Outcome::TryLater { after: retry_after(answer, now) },
        _ => Outcome::Refused { status: status.as_u16() },
    }
}

/// Seconds, or a moment.
fn retry_after(answer: &Response, now: Timestamp) -> Option<SignedDuration> {
    let text = answer.headers().get(RETRY_AFTER)?.to_str().ok()?.trim();
    let after = match text.parse::<u32>() {
        Ok(seconds) => SignedDuration::from_secs(seconds.into()),
        Err(_) => jiff::fmt::rfc2822::parse(text).ok()?.timestamp().duration_since(now),
    };
    Some(after.clamp(SignedDuration::ZERO, AFTER_MAX))
}
