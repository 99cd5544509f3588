//! One polite request: conditions, redirects, bounds, and what came of it.

use std::{error::Error, sync::Arc, time::Duration};

use fairspell_reach::{NotPublic, PublicResolver};
use reqwest::{
    Client, Response, StatusCode, Url,
    header::{self, HeaderMap},
    redirect,
};

use crate::{
    FeedsError, Identity,
    fetched::{Astray, Why},
    reach::{Reach, check},
};

/// How often an answer may lead on.
const REDIRECTS_MAX: usize = 5;

/// Bounds on one fetch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// For the connection.
    pub connect: Duration,
    /// For a whole fetch, with all that its answers lead to.
    pub whole: Duration,
    /// Length of an answer, unpacked from what the transport packed, bytes.
    pub most_bytes: u64,
    /// Between two fetches from one host, s.
    pub host_interval_s: i64,
}

impl Default for Limits {
    fn default() -> Self {
        Limits {
            connect: Duration::from_secs(10),
            whole: Duration::from_mins(1),
            // The largest that we know: a country's list of alerts, and a packed national mosaic.
            most_bytes: 32 << 20,
            host_interval_s: 1,
        }
    }
}

/// What is sent along so that the service may say that nothing changed.
#[derive(Debug, Clone, Default)]
pub(crate) struct Conditions {
    pub(crate) etag: Option<String>,
    pub(crate) last_modified: Option<String>,
}

/// An answer that is neither a redirect nor cut short.
#[derive(Debug)]
pub(crate) struct Answer {
    pub(crate) status: StatusCode,
    pub(crate) headers: HeaderMap,
    pub(crate) bytes: Vec<u8>,
}

impl Answer {
    /// A field of the answer; several fields of one name are joined with commas.
    pub(crate) fn field(&self, name: header::HeaderName) -> Option<String> {
        let values = self.headers.get_all(name);
        let values: Vec<&str> = values.iter().filter_map(|value| value.to_str().ok()).collect();
        (!values.is_empty()).then(|| values.join(", "))
    }
}

/// Asks, as one and the same somebody, and goes nowhere it should not.
pub(crate) struct Web {
    public: Client,
    /// For the feed's own host, where that may be anywhere.
    anywhere: Option<Client>,
    limits: Limits,
}

impl Web {
    pub(crate) fn new(
        identity: &Identity,
        limits: Limits,
        reach: Reach,
    ) -> Result<Self, FeedsError> {
        let failed = |error: &dyn Error| FeedsError::Client(error.to_string());
        let roots = webpki_roots::TLS_SERVER_ROOTS.iter().cloned();
        let provider = Arc::new(rustls::crypto::ring::default_provider());
        let mut tls = rustls::ClientConfig::builder_with_provider(provider)
            .with_safe_default_protocol_versions()
            .map_err(|error| failed(&error))?
            .with_root_certificates(rustls::RootCertStore { roots: roots.collect() })
            .with_no_client_auth();
        tls.alpn_protocols = vec![b"h2".to_vec(), b"http/1.1".to_vec()];
        let builder = || {
            Client::builder()
                .tls_backend_preconfigured(tls.clone())
                .user_agent(identity.user_agent())
                .connect_timeout(limits.connect)
                // We follow redirects ourselves, to check where they lead; a proxy would resolve
                // names out of our sight.
                .redirect(redirect::Policy::none())
                .no_proxy()
                .gzip(true)
        };
        let public = builder()
            .dns_resolver(Arc::new(PublicResolver))
            .build()
            .map_err(|error| failed(&error))?;
        let anywhere = match reach {
            Reach::Public => None,
            Reach::FeedsOwnHost => Some(builder().build().map_err(|error| failed(&error))?),
        };
        Ok(Web { public, anywhere, limits })
    }

    /// Gets an address, wherever it leads.
    ///
    /// - `own`: the feed's own address, whose host may be anywhere if that was allowed.
    pub(crate) async fn get(
        &self,
        address: &Url,
        own: &Url,
        accept: Option<&str>,
        conditions: &Conditions,
    ) -> Result<Answer, Why> {
        let mut url = address.clone();
        // What one address names over `https` is no more to be trusted over `http`.
        let mut before = (address != own).then(|| own.clone());
        for _ in 0..=REDIRECTS_MAX {
            let client = self.client_for(&url, before.as_ref(), own)?;
            let mut request = client.get(url.clone());
            if let Some(accept) = accept {
                request = request.header(header::ACCEPT, accept);
            }
            if let Some(etag) = &conditions.etag {
                request = request.header(header::IF_NONE_MATCH, etag);
            }
            if let Some(last_modified) = &conditions.last_modified {
                request = request.header(header::IF_MODIFIED_SINCE, last_modified);
            }
            let response = request.send().await.map_err(|error| why_unsent(&error, &url))?;
            let leads_on = matches!(response.status().as_u16(), 301 | 302 | 303 | 307 | 308);
            if !leads_on {
                return self.body(response).await;
            }
            let location = response.headers().get(header::LOCATION);
            let location = location.and_then(|to| to.to_str().ok()).unwrap_or_default();
            let next = url.join(location).map_err(|_| Why::astray(location, Astray::NoAddress))?;
            before = Some(std::mem::replace(&mut url, next));
        }
        Err(Why::astray(url.as_str(), Astray::TooManyRedirects))
    }

    /// The client that may go to an address.
    fn client_for(&self, url: &Url, before: Option<&Url>, own: &Url) -> Result<&Client, Why> {
        if let Some(anywhere) = &self.anywhere {
            let is_own = url.host_str() == own.host_str()
                && url.port_or_known_default() == own.port_or_known_default()
                && url.scheme() == own.scheme();
            if is_own {
                return Ok(anywhere);
            }
        }
        check(url, before).map_err(|cause| Why::astray(url.as_str(), cause))?;
        Ok(&self.public)
    }

    /// Reads an answer to its end, within bounds.
    async fn body(&self, mut response: Response) -> Result<Answer, Why> {
        let most_bytes = self.limits.most_bytes;
        let too_long = Why::TooLong { most_bytes };
        if response.content_length().is_some_and(|length| length > most_bytes) {
            return Err(too_long);
        }
        let mut bytes = Vec::new();
        loop {
            let chunk = response
                .chunk()
                .await
                .map_err(|error| if error.is_timeout() { Why::TimedOut } else { Why::Truncated })?;
            let Some(chunk) = chunk else { break };
            if (bytes.len() + chunk.len()) as u64 > most_bytes {
                return Err(too_long);
            }
            bytes.extend_from_slice(&chunk);
        }
        Ok(Answer { status: response.status(), headers: response.headers().clone(), bytes })
    }
}

/// An address as a person wrote it.
pub(crate) fn address(text: &str) -> Option<Url> {
    Url::parse(text).ok()
}

fn why_unsent(error: &reqwest::Error, url: &Url) -> Why {
    if error.is_timeout() {
        return Why::TimedOut;
    }
    let mut cause: &dyn Error = error;
    while let Some(source) = cause.source() {
        if source.is::<NotPublic>() {
            return Why::astray(url.as_str(), Astray::NotPublic);
        }
        cause = source;
    }
    // The innermost cause: the others say that a request failed.
    Why::Unreachable { cause: cause.to_string() }
}
