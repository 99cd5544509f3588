use std::{
    fmt::Write,
    sync::{Arc, Mutex},
};

use axum::{http::StatusCode, response::IntoResponse};
use fairspell_store::{Store, StoreError};
use fairspell_web::PageError;
use http_body_util::BodyExt;

use crate::served::{Answer, Browser, HOME, LINH, Served, Setup, serve};

const ADA: [(&str, &str); 2] = [("name", "Ada"), ("role", "sitter")];

/// A studio that is served through another store, with the same browser signed in.
async fn served_by(store: Store, cookie: &str) -> Browser {
    let folder = store.folder().to_owned();
    let router = serve(&folder, store, &Setup::default()).await.unwrap();
    let browser = Browser::new(&router, HOME);
    browser.keep(&format!("fairspell={cookie}"));
    browser
}

async fn sends_a_form(browser: &Browser) -> Answer {
    let page = browser.get("/people/new").await;
    browser.submit(&page, "/people", &ADA).await
}

async fn everything_can_be_read(browser: &Browser) {
    for path in ["/", "/season", "/people", "/studio", &format!("/sessions/{LINH}")] {
        assert_eq!(browser.get(path).await.status, StatusCode::OK, "{path}");
    }
}

/// That a store on a full disk answers so is proved by its own tests; nobody can fill one here.
#[tokio::test]
async fn on_a_full_disk_the_page_says_that_nothing_was_saved_and_nothing_lost() {
    let response = PageError::from(StoreError::DiskFull).into_response();
    assert_eq!(response.status(), StatusCode::INSUFFICIENT_STORAGE);
    let body = response.into_body().collect().await.unwrap().to_bytes();
    let page = String::from_utf8(body.to_vec()).unwrap();
    for said in [
        "There is no room left",
        "so this was not saved. Everything saved earlier is safe.",
        "Make room, then send it once more.",
        "In the log it stands under ",
    ] {
        assert!(page.contains(said), "{page}");
    }
}

#[tokio::test]
async fn where_nothing_can_be_written_pages_are_shown_and_a_form_says_so() {
    let served = Served::open().await;
    let cookie = served.hers().await.cookies()["fairspell"].clone();
    let store = Store::look(served.folder.path()).await.unwrap();
    let browser = served_by(store, &cookie).await;
    everything_can_be_read(&browser).await;
    let refused = sends_a_form(&browser).await;
    assert_eq!(refused.status, StatusCode::INTERNAL_SERVER_ERROR);
    refused.says("cannot be written").says("This was not saved. Everything saved earlier is safe.");
    assert_eq!(served.store.people().await.unwrap().len(), 2);
}

#[tokio::test]
async fn what_was_remembered_in_a_shape_that_is_not_known_is_begun_anew() {
    let served = Served::open().await;
    let hers = served.hers().await;
    served.store.save_setting("remembered_standings", &"not what it was").await.unwrap();
    let saved = sends_a_form(&hers).await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}", saved.text);
    hers.get("/people").await.says("Ada");
}

/// What the program writes into its log.
#[derive(Clone, Default)]
struct Log(Arc<Mutex<String>>);

impl tracing::Subscriber for Log {
    fn enabled(&self, _: &tracing::Metadata<'_>) -> bool {
        true
    }

    fn new_span(&self, _: &tracing::span::Attributes<'_>) -> tracing::span::Id {
        tracing::span::Id::from_u64(1)
    }

    fn record(&self, _: &tracing::span::Id, _: &tracing::span::Record<'_>) {}

    fn record_follows_from(&self, _: &tracing::span::Id, _: &tracing::span::Id) {}

    fn event(&self, event: &tracing::Event<'_>) {
        let mut log = self.0.lock().unwrap();
        if event.metadata().target().starts_with("fairspell") {
            write!(log, "{} ", event.metadata().level()).unwrap();
            event.record(&mut |field: &tracing::field::Field, value: &dyn std::fmt::Debug| {
                write!(log, "{}={value:?} ", field.name()).unwrap();
            });
            log.push('\n');
        }
    }

    fn enter(&self, _: &tracing::span::Id) {}

    fn exit(&self, _: &tracing::span::Id) {}
}

#[tokio::test]
async fn a_cause_goes_to_the_log_under_the_reference_that_the_page_shows() {
    let served = Served::open().await;
    let hers = served.hers().await;
    served.store.save_setting("mail", &"not what it was").await.unwrap();
    let log = Log::default();
    let _guard = tracing::subscriber::set_default(log.clone());
    let page = hers.get("/").await;
    assert_eq!(page.status, StatusCode::INTERNAL_SERVER_ERROR);
    page.says("Something went wrong here").says("everything saved earlier is safe");
    page.says("href=\"/\"").never_says("damaged").never_says("not what it was");
    let reference = page.between("In the log it stands under ", ".").unwrap();
    let log = log.0.lock().unwrap().clone();
    let lines: Vec<&str> = log.lines().filter(|line| line.contains(reference)).collect();
    let [line] = lines[..] else { panic!("once, not {lines:?}, in:\n{log}") };
    assert!(line.starts_with("ERROR") && line.contains("damaged"), "{line}");
    assert!(!log.contains("Linh") && !log.contains("Heron"), "no names or places: {log}");
}

#[tokio::test]
async fn what_is_not_there_and_what_cannot_be_read_is_no_mistake_of_ours() {
    let served = Served::open().await;
    let hers = served.hers().await;
    let log = Log::default();
    let _guard = tracing::subscriber::set_default(log.clone());
    for path in ["/nothing", "/sessions/nothing", "/letters/nothing", "/people/nothing"] {
        let page = hers.get(path).await;
        assert_eq!(page.status, StatusCode::NOT_FOUND, "{path}");
        page.says("Nothing was changed.").says("href=\"/\"").never_says("In the log");
    }
    let words = hers.get("/").await;
    let fields = [("start", "soon"), ("form_word", words.form_word().unwrap())];
    let refused = hers.post(&format!("/sessions/{LINH}/move"), &fields).await;
    assert_eq!(refused.status, StatusCode::BAD_REQUEST);
    refused.says("could not be understood").says("Nothing was changed.");
    assert_eq!(*log.0.lock().unwrap(), "");
}

#[tokio::test]
async fn a_change_that_cannot_be_taken_back_any_more_is_said_to_be_so() {
    let served = Served::open().await;
    let hers = served.hers().await;
    let here = "/people/linh";
    let rename = async |name: &str| {
        let page = hers.get(here).await;
        let saved = hers.submit(&page, here, &[("name", name)]).await;
        saved.location().split_once("saved=").unwrap().1.to_owned()
    };
    let (first, _second) = (rename("Linh A").await, rename("Linh B").await);
    let page = hers.get("/").await;
    let undo = format!("/changes/{first}/undo");
    let refused = hers.post(&undo, &[("form_word", page.form_word().unwrap())]).await;
    assert_eq!(refused.status, StatusCode::CONFLICT);
    refused.says("Nothing was changed.");
    hers.get("/people").await.says("Linh B");
}
