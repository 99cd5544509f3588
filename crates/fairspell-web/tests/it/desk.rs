//! A studio in a folder of its own, with somebody signed in: pages are asked for in-process.

use std::sync::atomic::{AtomicU64, Ordering};

use argon2::{Algorithm, Argon2, Params, PasswordHasher, Version};
use axum::{
    Router,
    body::Body,
    http::{Request, StatusCode, header},
};
use fairspell_store::Store;
use fairspell_studio::{
    Answer, AnsweredBy, Choice, LetterFacts, Offer, Outlook, Person, Role, Ruling, SentLetter,
    Session, Studio, journal::Digest,
};
use fairspell_web::{App, Machine, Settings, router};
use http_body_util::BodyExt;
use jiff::Timestamp;
use serde::de::DeserializeOwned;
use tempfile::TempDir;
use tower::ServiceExt;

/// The passphrase of every desk.
pub(crate) const PASSPHRASE: &str = "seven wet umbrellas";
const TOKEN: &str = "the-token-of-this-browser";
/// The moment of the demo evening at which most pages are asked for.
const NOW: &str = "2026-09-02T08:10:00Z";

/// A studio that is served, and a browser that is signed in.
pub(crate) struct Desk {
    pub(crate) store: Store,
    pub(crate) folder: TempDir,
    router: Router,
    form_word: String,
}

/// What came back.
pub(crate) struct Page {
    pub(crate) status: StatusCode,
    pub(crate) text: String,
    pub(crate) location: String,
    pub(crate) kind: String,
}

impl Page {
    /// What stands between two texts, the first time.
    pub(crate) fn between(&self, before: &str, after: &str) -> Option<&str> {
        let rest = self.text.split_once(before)?.1;
        Some(rest.split_once(after)?.0)
    }

    /// Asserts that the page holds a text.
    #[track_caller]
    pub(crate) fn says(&self, text: &str) -> &Self {
        assert!(self.text.contains(text), "`{text}` is not on the page:\n{}", self.text);
        self
    }

    /// Asserts that the page does not hold a text.
    #[track_caller]
    pub(crate) fn never_says(&self, text: &str) -> &Self {
        assert!(!self.text.contains(text), "`{text}` is on the page:\n{}", self.text);
        self
    }
}

fn fixed_now() -> Timestamp {
    NOW.parse().unwrap()
}

/// Bytes that differ from call to call, and are the same in every run of one test.
fn counted(bytes: &mut [u8]) {
    static CALLS: AtomicU64 = AtomicU64::new(1);
    let call = CALLS.fetch_add(1, Ordering::Relaxed).to_be_bytes();
    for (index, byte) in bytes.iter_mut().enumerate() {
        *byte = call[(index + 4) % 8].wrapping_add(u8::try_from(index % 7).unwrap());
    }
}

pub(crate) fn machine() -> Machine {
    Machine { now: fixed_now, random: counted }
}

pub(crate) fn moment(text: &str) -> Timestamp {
    text.parse().unwrap()
}

fn example<T: DeserializeOwned>(text: &str, member: Option<&str>) -> T {
    let mut value: serde_json::Value = serde_json::from_str(text).unwrap();
    let value = member.map_or(value.clone(), |member| value[member].take());
    serde_json::from_value(value).unwrap()
}

macro_rules! schema_example {
    ($name:literal) => {
        include_str!(concat!("../../../../schemas/", $name, ".example.json"))
    };
}

pub(crate) fn studio() -> Studio {
    example(schema_example!("studio"), None)
}

/// Linh on 3 September with her two people, and the others of the example.
pub(crate) fn sessions() -> Vec<Session> {
    let mut sessions: Vec<Session> = example(schema_example!("sessions"), None);
    sessions[0].people = vec!["linh".to_owned(), "quoc".to_owned()];
    sessions
}

pub(crate) fn person(id: &str, name: &str, role: Role) -> Person {
    Person { id: id.to_owned(), name: name.to_owned(), role, email: None, phone: None }
}

/// A letter to Linh's family as it was sent.
pub(crate) fn letter(id: &str) -> SentLetter {
    let facts: LetterFacts = example(schema_example!("letter"), Some("facts"));
    let outlook: Outlook = example(schema_example!("outlook"), Some("outlook"));
    let ruling: Ruling = example(schema_example!("outlook"), Some("ruling"));
    let offers: Vec<Offer> = example(schema_example!("letter"), Some("offers"));
    SentLetter {
        id: id.to_owned(),
        session: "2026-09-03-linh".to_owned(),
        subject: "Thursday with Linh".to_owned(),
        body: "We look forward to it.".to_owned(),
        offers,
        facts,
        outlook,
        ruling,
        sent_at: moment("2026-09-01T08:00:00Z"),
        reply_by: None,
    }
}

pub(crate) fn answer(letter: &SentLetter, who: &str) -> Answer {
    Answer {
        letter: letter.id.clone(),
        session: letter.session.clone(),
        who: who.to_owned(),
        choice: Choice::Keep,
        words: letter.offers[0].words.clone(),
        answered_at: moment("2026-09-01T09:00:00Z"),
        by: AnsweredBy::Page,
        is_late: false,
    }
}

impl Desk {
    /// The example's studio and sessions, with Linh and Quoc.
    pub(crate) async fn open() -> Desk {
        Desk::with(&studio(), &sessions()).await
    }

    /// The same as a demo, where nobody signs in.
    pub(crate) async fn demo() -> Desk {
        Desk::served(&studio(), &sessions(), true).await
    }

    pub(crate) async fn with(studio: &Studio, sessions: &[Session]) -> Desk {
        Desk::served(studio, sessions, false).await
    }

    async fn served(studio: &Studio, sessions: &[Session], is_demo: bool) -> Desk {
        let folder = tempfile::tempdir().unwrap();
        let now = fixed_now();
        let store = Store::open(folder.path(), now).await.unwrap();
        store.save_studio(studio, now).await.unwrap();
        for session in sessions {
            store.save_session(session, now).await.unwrap();
        }
        for (id, name, role) in [("linh", "Linh", Role::Sitter), ("quoc", "Quoc", Role::Guardian)] {
            store.save_person(&person(id, name, role), now).await.unwrap();
        }
        if !is_demo {
            store.save_setting("passphrase", &quick_hash(PASSPHRASE)).await.unwrap();
            let until = moment("2026-10-02T08:10:00Z");
            store
                .sign_in(&Digest::of(TOKEN.as_bytes()), now, until, "Firefox on Android")
                .await
                .unwrap();
        }
        let settings = Settings {
            data: folder.path().to_owned(),
            listen: ([127, 0, 0, 1], 0).into(),
            public_url: None,
            is_demo,
            clock: None,
        };
        let app = App::open(settings, machine(), store.clone()).await.unwrap();
        let mut desk = Desk { store, folder, router: router(app), form_word: String::new() };
        let page = desk.get("/people/new").await;
        let word = page.between("name=\"form_word\" value=\"", "\"");
        word.unwrap().clone_into(&mut desk.form_word);
        desk
    }

    pub(crate) async fn get(&self, path: &str) -> Page {
        self.get_from("localhost:8080", path).await
    }

    pub(crate) async fn get_from(&self, host: &str, path: &str) -> Page {
        let request = Request::get(path)
            .header(header::HOST, host)
            .header(header::COOKIE, format!("fairspell={TOKEN}"));
        self.send(request.body(Body::empty()).unwrap()).await
    }

    /// Somebody who is not signed in.
    pub(crate) async fn get_as_guest(&self, path: &str) -> Page {
        let request = Request::get(path).header(header::HOST, "localhost:8080");
        self.send(request.body(Body::empty()).unwrap()).await
    }

    /// Sends a form of one of our pages.
    pub(crate) async fn post(&self, path: &str, fields: &[(&str, &str)]) -> Page {
        let mut fields = fields.to_vec();
        fields.push(("form_word", &self.form_word));
        self.post_bare(path, &fields).await
    }

    /// Sends a form without the word by which our pages are known.
    pub(crate) async fn post_bare(&self, path: &str, fields: &[(&str, &str)]) -> Page {
        let form = "application/x-www-form-urlencoded";
        self.post_body(path, form, serde_urlencoded::to_string(fields).unwrap()).await
    }

    /// Sends a file with a form.
    pub(crate) async fn upload(&self, path: &str, name: &str, content: &str) -> Page {
        let body = format!(
            "--x\r\nContent-Disposition: form-data; name=\"form_word\"\r\n\r\n{}\r\n\
             --x\r\nContent-Disposition: form-data; name=\"file\"; filename=\"{name}\"\r\n\
             Content-Type: text/plain\r\n\r\n{content}\r\n--x--\r\n",
            self.form_word
        );
        self.post_body(path, "multipart/form-data; boundary=x", body).await
    }

    async fn post_body(&self, path: &str, kind: &str, body: String) -> Page {
        let request = Request::post(path)
            .header(header::HOST, "localhost:8080")
            .header(header::COOKIE, format!("fairspell={TOKEN}"))
            .header(header::CONTENT_TYPE, kind);
        self.send(request.body(Body::from(body)).unwrap()).await
    }

    /// Follows a redirect to its page.
    pub(crate) async fn follow(&self, page: &Page) -> Page {
        assert_eq!(page.status, StatusCode::SEE_OTHER, "{}", page.text);
        self.get(&page.location).await
    }

    /// Takes back the change that a redirect speaks of.
    pub(crate) async fn undo(&self, saved: &Page) {
        let change = saved.location.split_once("saved=").expect("it can be undone").1;
        let page = self.follow(saved).await;
        page.says(&format!("action=\"/changes/{change}/undo\""));
        let undone = self.post(&format!("/changes/{change}/undo"), &[]).await;
        assert_eq!(undone.status, StatusCode::SEE_OTHER, "{}", undone.text);
    }

    pub(crate) async fn studio(&self) -> Studio {
        self.store.studio().await.unwrap().unwrap()
    }

    async fn send(&self, request: Request<Body>) -> Page {
        let response = self.router.clone().oneshot(request).await.unwrap();
        let status = response.status();
        let text = |name| {
            let value = response.headers().get(name);
            value.and_then(|value| value.to_str().ok()).unwrap_or_default().to_owned()
        };
        let (location, kind) = (text(header::LOCATION), text(header::CONTENT_TYPE));
        let bytes = response.into_body().collect().await.unwrap().to_bytes();
        Page { status, text: String::from_utf8_lossy(&bytes).into_owned(), location, kind }
    }
}

/// The hash of a passphrase that costs next to nothing.
pub(crate) fn quick_hash(passphrase: &str) -> String {
    let quick = Params::new(8, 1, 1, None).unwrap();
    Argon2::new(Algorithm::Argon2id, Version::V0x13, quick)
        .hash_password_with_salt(passphrase.as_bytes(), &[7; 16])
        .unwrap()
        .to_string()
}
