//! A studio with readings and a clock that moves, served in-process to browsers that keep cookies.

use std::{
    cell::Cell,
    collections::BTreeMap,
    net::{IpAddr, Ipv4Addr, SocketAddr},
    sync::Mutex,
};

use axum::{
    Router,
    body::Body,
    extract::ConnectInfo,
    http::{HeaderMap, Method, Request, StatusCode, header},
};
use fairspell_store::Store;
use fairspell_studio::{Session, journal::Digest};
use fairspell_web::{App, Machine, PageError, Settings, router};
use http_body_util::BodyExt;
use jiff::Timestamp;
use tempfile::TempDir;
use tower::ServiceExt;

use crate::{
    desk::{self, PASSPHRASE, moment, person, sessions, studio},
    forms::fields_of,
    readings::Readings,
};

/// Linh's evening: Thu 3 Sep, 15:15 by the studio's clock, which is 5:15 UTC.
pub(crate) const LINH: &str = "2026-09-03-linh";
/// Ten minutes after the reading of the evening before.
pub(crate) const EVENING_BEFORE: &str = "2026-09-02T08:10:00Z";
/// Where browsers find the studio.
pub(crate) const HOME: &str = "localhost:8045";
pub(crate) const PUBLIC_HOST: &str = "studio.example.org";
pub(crate) const PUBLIC: &str = "https://studio.example.org";

thread_local! {
    /// The real clock of the studio that this test serves; each test has its own thread.
    static NOW: Cell<Timestamp> = const { Cell::new(Timestamp::UNIX_EPOCH) };
}

/// What the machine's clock shows.
pub(crate) fn now() -> Timestamp {
    NOW.get()
}

/// Sets the machine's clock.
pub(crate) fn it_is(text: &str) {
    NOW.set(moment(text));
}

/// Moves the machine's clock on.
pub(crate) fn later(minutes: i64) {
    NOW.set(now() + jiff::SignedDuration::from_mins(minutes));
}

/// Moves the machine's clock on.
pub(crate) fn seconds_later(seconds: i64) {
    NOW.set(now() + jiff::SignedDuration::from_secs(seconds));
}

pub(crate) fn machine() -> Machine {
    Machine { now, random: desk::machine().random }
}

/// How a studio is served, and what it knows.
pub(crate) struct Setup {
    pub(crate) sessions: Vec<Session>,
    pub(crate) public_url: Option<&'static str>,
    pub(crate) is_demo: bool,
    pub(crate) clock: Option<&'static str>,
    /// Puts its readings into the folder.
    pub(crate) readings: fn(&Readings),
}

impl Default for Setup {
    /// Linh's session on the evening before, under a dry sky.
    fn default() -> Self {
        Setup {
            sessions: vec![sessions()[0].clone()],
            public_url: None,
            is_demo: false,
            clock: None,
            readings: Readings::dry,
        }
    }
}

/// A studio that is served.
pub(crate) struct Served {
    pub(crate) store: Store,
    pub(crate) folder: TempDir,
    pub(crate) readings: Readings,
    pub(crate) router: Router,
}

impl Served {
    /// The example's studio under a dry sky, at the moment that the clock shows.
    pub(crate) async fn open() -> Served {
        Served::with(Setup::default()).await
    }

    pub(crate) async fn with(setup: Setup) -> Served {
        if now() == Timestamp::UNIX_EPOCH {
            it_is(EVENING_BEFORE);
        }
        let folder = tempfile::tempdir().unwrap();
        let readings = Readings::under(folder.path());
        (setup.readings)(&readings);
        let store = Store::open(folder.path(), now()).await.unwrap();
        store.save_studio(&studio(), now()).await.unwrap();
        for session in &setup.sessions {
            store.save_session(session, now()).await.unwrap();
        }
        for (id, name, role) in [
            ("linh", "Linh", fairspell_studio::person::Role::Sitter),
            ("quoc", "Quoc", fairspell_studio::person::Role::Guardian),
        ] {
            store.save_person(&person(id, name, role), now()).await.unwrap();
        }
        store.save_setting("passphrase", &desk::quick_hash(PASSPHRASE)).await.unwrap();
        let router = serve(folder.path(), store.clone(), &setup).await.unwrap();
        Served { store, folder, readings, router }
    }

    /// Serves the same folder once more, as after a start of the program.
    pub(crate) async fn again(&self, setup: Setup) -> Result<Router, PageError> {
        serve(self.folder.path(), self.store.clone(), &setup).await
    }

    /// A browser at home that is signed in.
    pub(crate) async fn hers(&self) -> Browser {
        let browser = self.browser(HOME);
        browser.sign_in().await;
        browser
    }

    /// A browser that nobody knows yet.
    pub(crate) fn browser(&self, host: &str) -> Browser {
        Browser::new(&self.router, host)
    }

    /// The newest head of the journal: it changes when anything is recorded.
    pub(crate) async fn head(&self) -> Option<Digest> {
        self.store.journal_head().await.unwrap()
    }
}

/// Serves a folder through a store.
pub(crate) async fn serve(
    data: &std::path::Path,
    store: Store,
    setup: &Setup,
) -> Result<Router, PageError> {
    let settings = Settings {
        data: data.to_owned(),
        listen: ([127, 0, 0, 1], 0).into(),
        public_url: setup.public_url.map(str::to_owned),
        is_demo: setup.is_demo,
        clock: setup.clock.map(moment),
    };
    App::open(settings, machine(), store).await.map(router)
}

/// A browser: where it looks, from where, and which cookies it keeps.
pub(crate) struct Browser {
    router: Router,
    pub(crate) host: String,
    pub(crate) from: IpAddr,
    cookies: Mutex<BTreeMap<String, String>>,
}

impl Browser {
    pub(crate) fn new(router: &Router, host: &str) -> Browser {
        Browser {
            router: router.clone(),
            host: host.to_owned(),
            from: Ipv4Addr::LOCALHOST.into(),
            cookies: Mutex::default(),
        }
    }

    /// The same from another address.
    pub(crate) fn from(self, address: &str) -> Browser {
        Browser { from: address.parse().unwrap(), ..self }
    }

    pub(crate) async fn sign_in(&self) {
        let answer = self.post("/sign-in", &[("passphrase", PASSPHRASE)]).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    }

    pub(crate) async fn get(&self, path: &str) -> Answer {
        self.ask(Method::GET, path, &[], String::new()).await
    }

    pub(crate) async fn head(&self, path: &str) -> Answer {
        self.ask(Method::HEAD, path, &[], String::new()).await
    }

    /// Sends a form as it is given.
    pub(crate) async fn post(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        self.post_with(path, fields, &[]).await
    }

    /// Sends a form with more headers.
    pub(crate) async fn post_with(
        &self,
        path: &str,
        fields: &[(&str, &str)],
        headers: &[(&str, &str)],
    ) -> Answer {
        let mut headers = headers.to_vec();
        headers.push(("content-type", "application/x-www-form-urlencoded"));
        let body = serde_urlencoded::to_string(fields).unwrap();
        self.ask(Method::POST, path, &headers, body).await
    }

    /// Sends the form of a page with its own fields, but for these.
    pub(crate) async fn submit(
        &self,
        page: &Answer,
        action: &str,
        changed: &[(&str, &str)],
    ) -> Answer {
        let own = fields_of(&page.text, action);
        let is_changed = |name: &str| changed.iter().any(|(known, _)| *known == name);
        let mut fields: Vec<(&str, &str)> = own
            .iter()
            .filter(|(name, _)| !is_changed(name))
            .map(|(name, value)| (name.as_str(), value.as_str()))
            .collect();
        fields.extend(changed);
        if let Some(word) = page.form_word() {
            fields.push(("form_word", word));
        }
        self.post(action, &fields).await
    }

    /// Sends a form that has only the word of a page.
    pub(crate) async fn press(&self, page: &str, action: &str) -> Answer {
        let page = self.get(page).await;
        let word = page.form_word().expect("the page has a form");
        self.post(action, &[("form_word", word)]).await
    }

    pub(crate) async fn follow(&self, answer: &Answer) -> Answer {
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
        self.get(answer.location()).await
    }

    pub(crate) async fn ask(
        &self,
        method: Method,
        path: &str,
        headers: &[(&str, &str)],
        body: String,
    ) -> Answer {
        let mut request = Request::builder().method(method).uri(path);
        request = request.header(header::HOST, &self.host);
        let cookies: Vec<String> = self.cookies().iter().map(|(n, v)| format!("{n}={v}")).collect();
        if !cookies.is_empty() {
            request = request.header(header::COOKIE, cookies.join("; "));
        }
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        let mut request = request.body(Body::from(body)).unwrap();
        request.extensions_mut().insert(ConnectInfo(SocketAddr::from((self.from, 50_000))));
        let response = self.router.clone().oneshot(request).await.unwrap();
        let (parts, body) = response.into_parts();
        for cookie in parts.headers.get_all(header::SET_COOKIE) {
            self.keep(cookie.to_str().unwrap());
        }
        let bytes = body.collect().await.unwrap().to_bytes();
        let text = String::from_utf8_lossy(&bytes).into_owned();
        Answer { status: parts.status, headers: parts.headers, text }
    }

    /// The cookies that it keeps.
    pub(crate) fn cookies(&self) -> BTreeMap<String, String> {
        self.cookies.lock().unwrap().clone()
    }

    /// Keeps a cookie; one that is over at once is dropped.
    pub(crate) fn keep(&self, cookie: &str) {
        let mut kept = self.cookies.lock().unwrap();
        let (name, rest) = cookie.split_once('=').unwrap();
        if cookie.contains("Max-Age=0") {
            kept.remove(name);
        } else {
            let value = rest.split(';').next().unwrap();
            kept.insert(name.to_owned(), value.to_owned());
        }
    }
}

/// What came back.
pub(crate) struct Answer {
    pub(crate) status: StatusCode,
    pub(crate) headers: HeaderMap,
    pub(crate) text: String,
}

impl Answer {
    pub(crate) fn header(&self, name: &str) -> &str {
        self.headers.get(name).and_then(|value| value.to_str().ok()).unwrap_or_default()
    }

    pub(crate) fn location(&self) -> &str {
        self.header("location")
    }

    pub(crate) fn form_word(&self) -> Option<&str> {
        self.between("name=\"form_word\" value=\"", "\"")
    }

    /// What stands between two texts, the first time.
    pub(crate) fn between(&self, before: &str, after: &str) -> Option<&str> {
        let rest = self.text.split_once(before)?.1;
        Some(rest.split_once(after)?.0)
    }

    /// The page without its head and its drawings.
    fn brief(&self) -> String {
        let body = self.text.split_once("<body").map_or(self.text.as_str(), |(_, body)| body);
        let drawn = body.split("<svg").map(|part| part.rsplit_once("</svg>").map_or(part, |p| p.1));
        drawn.collect()
    }

    /// Asserts that it holds a text.
    #[track_caller]
    pub(crate) fn says(&self, text: &str) -> &Self {
        assert!(self.text.contains(text), "`{text}` is not in {}:\n{}", self.status, self.brief());
        self
    }

    /// Asserts that it does not hold a text.
    #[track_caller]
    pub(crate) fn never_says(&self, text: &str) -> &Self {
        assert!(!self.text.contains(text), "`{text}` is in {}:\n{}", self.status, self.brief());
        self
    }
}
