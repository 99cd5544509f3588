//! Who is here: a signed-in visit, or a guest.

use std::{
    collections::BTreeMap,
    net::{IpAddr, Ipv4Addr, SocketAddr},
};

use axum::{
    extract::{ConnectInfo, FromRequest, FromRequestParts, Multipart, RawForm, Request},
    http::{HeaderMap, header, request::Parts},
    response::{IntoResponse, Redirect, Response},
};
use base64::{Engine, engine::general_purpose::URL_SAFE_NO_PAD};
use fairspell_store::SignIn;
use fairspell_words::screens::shell;
use maud::{Markup, html};

use crate::{
    app::Shared,
    error::PageError,
    fields::{Fields, Uploaded},
    secrets::{Purpose, token_digest},
    sign_in,
};

/// One request of somebody who is signed in (or of anybody, in the demo).
#[derive(Debug, Clone)]
pub(crate) struct Visit {
    pub(crate) app: Shared,
    /// The sign-in; the demo has none.
    pub(crate) sign_in: Option<SignIn>,
    /// The one-time word by which this page's own styles are known.
    pub(crate) nonce: String,
    /// What just happened, said at the top of the page.
    pub(crate) notice: Option<Notice>,
    form_word: String,
}

/// A one-time word for the styles of one page.
pub(crate) fn nonce(app: &Shared) -> String {
    URL_SAFE_NO_PAD.encode(app.machine.random_bytes::<16>())
}

/// What just happened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Notice {
    /// Something was saved, and can be undone.
    Saved {
        /// The change, by number.
        change: u64,
    },
    /// An undo was done.
    Undone,
    /// Something was done that has its own word in the address.
    Done(String),
}

impl Notice {
    fn from_query(query: &str) -> Option<Notice> {
        let value = |name: &str| {
            let mut pairs = query.split('&').filter_map(|pair| pair.split_once('='));
            pairs.find(|(known, _)| *known == name).map(|(_, value)| value)
        };
        if let Some(change) = value("saved").and_then(|number| number.parse().ok()) {
            return Some(Notice::Saved { change });
        }
        match value("done") {
            Some("undone") => Some(Notice::Undone),
            Some(word) => Some(Notice::Done(word.to_owned())),
            None => None,
        }
    }

    /// The notice, with its undo where there is one.
    pub(crate) fn markup(&self, visit: &Visit) -> Markup {
        let said = match self {
            Notice::Saved { .. } => Some(shell::SAVED),
            Notice::Undone => Some(shell::UNDONE),
            Notice::Done(word) => shell::done(word),
        };
        html! {
            @if let Some(said) = said {
                div.notice role="status" {
                    p { (said) }
                    @if let Notice::Saved { change } = self {
                        form method="post" action=(format!("/changes/{change}/undo")) {
                            (visit.form_field())
                            button.plain { (shell::UNDO) }
                        }
                    }
                }
            }
        }
    }
}

impl Visit {
    /// The word that shows that a form of a signed-in page is ours.
    pub(crate) fn form_word(&self) -> &str {
        &self.form_word
    }

    /// The hidden field that every form of a signed-in page carries.
    pub(crate) fn form_field(&self) -> Markup {
        html! { input type="hidden" name="form_word" value=(self.form_word); }
    }

    /// Whether a word that came with a request is the one that our own pages carry.
    pub(crate) fn is_ours(&self, form_word: &str) -> bool {
        let word = URL_SAFE_NO_PAD.decode(form_word).unwrap_or_default();
        self.app.secrets.fits(Purpose::Form, &whose(self.sign_in.as_ref()), &word)
    }

    fn of(app: Shared, sign_in: Option<SignIn>, query: &str) -> Visit {
        let nonce = nonce(&app);
        let form_word =
            URL_SAFE_NO_PAD.encode(app.secrets.sign(Purpose::Form, &whose(sign_in.as_ref())));
        let notice = Notice::from_query(query);
        Visit { app, sign_in, nonce, notice, form_word }
    }
}

/// Whose forms these are; the number of a sign-in that has ended is given again, its moment is not.
fn whose(sign_in: Option<&SignIn>) -> String {
    let of = |known: &SignIn| format!("{} {}", known.id.0, known.at);
    sign_in.map_or_else(String::new, of)
}

/// What turns a request away from a signed-in page.
#[derive(Debug)]
pub(crate) enum TurnedAway {
    /// There is no studio yet.
    FirstStart,
    /// Nobody is signed in; afterwards go there.
    SignIn(String),
    /// Something went wrong.
    Problem(PageError),
}

impl From<PageError> for TurnedAway {
    fn from(error: PageError) -> Self {
        TurnedAway::Problem(error)
    }
}

impl IntoResponse for TurnedAway {
    fn into_response(self) -> Response {
        match self {
            TurnedAway::FirstStart => Redirect::to("/start").into_response(),
            TurnedAway::SignIn(next) => Redirect::to(&sign_in::address(&next)).into_response(),
            TurnedAway::Problem(error) => error.into_response(),
        }
    }
}

impl FromRequestParts<Shared> for Visit {
    type Rejection = TurnedAway;

    async fn from_request_parts(parts: &mut Parts, app: &Shared) -> Result<Self, TurnedAway> {
        let query = parts.uri.query().unwrap_or_default();
        if app.settings.is_demo {
            return Ok(Visit::of(app.clone(), None, query));
        }
        if !sign_in::has_passphrase(app).await? {
            return Err(TurnedAway::FirstStart);
        }
        let known = match cookie(&parts.headers) {
            Some(token) => app
                .store
                .signed_in(&token_digest(&token), app.clock.real())
                .await
                .map_err(PageError::from)?,
            None => None,
        };
        let Some(known) = known else {
            // Where a form is sent to there need not be a page.
            let page = parts.uri.path_and_query().filter(|_| parts.method.is_safe());
            let next = page.map_or("/", |uri| uri.as_str());
            return Err(TurnedAway::SignIn(next.to_owned()));
        };
        if app.skies().house.is_none() && !parts.uri.path().starts_with("/start") {
            return Err(TurnedAway::FirstStart);
        }
        Ok(Visit::of(app.clone(), Some(known), query))
    }
}

/// A form of a signed-in page.
#[derive(Debug)]
pub(crate) struct Posted {
    pub(crate) visit: Visit,
    pub(crate) fields: Fields,
}

impl FromRequest<Shared> for Posted {
    type Rejection = TurnedAway;

    async fn from_request(request: Request, app: &Shared) -> Result<Self, TurnedAway> {
        let (mut parts, body) = request.into_parts();
        let visit = Visit::from_request_parts(&mut parts, app).await?;
        let fields = read_fields(Request::from_parts(parts, body), app).await?;
        if !visit.is_ours(fields.text("form_word")) {
            return Err(PageError::NotOurForm.into());
        }
        Ok(Posted { visit, fields })
    }
}

/// A form of somebody who need not be signed in.
#[derive(Debug)]
pub(crate) struct GuestPosted {
    pub(crate) app: Shared,
    pub(crate) from: IpAddr,
    pub(crate) fields: Fields,
}

impl FromRequest<Shared> for GuestPosted {
    type Rejection = PageError;

    async fn from_request(request: Request, app: &Shared) -> Result<Self, PageError> {
        let (parts, body) = request.into_parts();
        let from = address_of(&parts, app);
        let fields = read_fields(Request::from_parts(parts, body), app).await?;
        Ok(GuestPosted { app: app.clone(), from, fields })
    }
}

/// Where a request comes from.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Caller(pub(crate) IpAddr);

impl FromRequestParts<Shared> for Caller {
    type Rejection = std::convert::Infallible;

    async fn from_request_parts(parts: &mut Parts, app: &Shared) -> Result<Self, Self::Rejection> {
        Ok(Caller(address_of(parts, app)))
    }
}

/// Where a request comes from; through a web server of our own on this computer, where that says.
fn address_of(parts: &Parts, app: &Shared) -> IpAddr {
    let connected = parts.extensions.get::<ConnectInfo<SocketAddr>>();
    let peer =
        connected.map_or(IpAddr::V4(Ipv4Addr::UNSPECIFIED), |ConnectInfo(address)| address.ip());
    if !peer.is_loopback() || app.settings.public_url.is_none() {
        return peer;
    }
    // Only the last entry is the near server's own; what stands before it anybody can write.
    let passed_on = parts.headers.get_all("x-forwarded-for").iter().next_back();
    passed_on
        .and_then(|line| line.to_str().ok()?.rsplit(',').next()?.trim().parse().ok())
        .unwrap_or(peer)
}

/// The token of our cookie; the secure one counts before one that anybody on the way may have set.
pub(crate) fn cookie(headers: &HeaderMap) -> Option<String> {
    let pairs = || {
        let lines = headers.get_all(header::COOKIE).iter();
        let lines = lines.filter_map(|value| value.to_str().ok());
        lines.flat_map(|line| line.split(';')).filter_map(|pair| pair.trim().split_once('='))
    };
    let token = |ours: &str| pairs().find(|(name, _)| *name == ours).map(|(_, token)| token);
    sign_in::COOKIES.into_iter().find_map(token).map(str::to_owned)
}

async fn read_fields(request: Request, app: &Shared) -> Result<Fields, PageError> {
    let kind = request.headers().get(header::CONTENT_TYPE).and_then(|kind| kind.to_str().ok());
    if kind.is_some_and(|kind| kind.starts_with("multipart/form-data")) {
        let form = Multipart::from_request(request, app)
            .await
            .map_err(|error| PageError::BadRequest(error.to_string()))?;
        return read_multipart(form).await;
    }
    let RawForm(bytes) = RawForm::from_request(request, app)
        .await
        .map_err(|error| PageError::BadRequest(error.to_string()))?;
    let values = serde_urlencoded::from_bytes(&bytes)
        .map_err(|error| PageError::BadRequest(error.to_string()))?;
    Ok(Fields::new(values, BTreeMap::new()))
}

async fn read_multipart(mut form: Multipart) -> Result<Fields, PageError> {
    let bad =
        |error: axum::extract::multipart::MultipartError| PageError::BadRequest(error.body_text());
    let (mut values, mut files) = (Vec::new(), BTreeMap::new());
    while let Some(field) = form.next_field().await.map_err(bad)? {
        let name = field.name().unwrap_or_default().to_owned();
        match field.file_name().map(str::to_owned) {
            Some(file_name) => {
                let bytes = field.bytes().await.map_err(bad)?;
                files.insert(name, Uploaded { name: file_name, bytes });
            }
            None => values.push((name, field.text().await.map_err(bad)?)),
        }
    }
    Ok(Fields::new(values, files))
}
