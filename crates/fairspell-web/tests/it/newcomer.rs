//! Somebody who opens an empty folder's studio in a browser.

use std::net::SocketAddr;
use std::sync::Arc;

use axum::{
    Router,
    body::Body,
    extract::ConnectInfo,
    http::{Request, StatusCode, header, request::Builder},
};
use fairspell_store::Store;
use fairspell_web::{App, Settings, router};
use http_body_util::BodyExt;
use tempfile::TempDir;
use tower::ServiceExt;

use crate::desk::{machine, moment};

/// A browser in front of a studio that has nothing yet.
pub(crate) struct Newcomer {
    pub(crate) store: Store,
    pub(crate) cookie: Option<String>,
    /// Where requests come from.
    pub(crate) address: SocketAddr,
    pub(crate) host: &'static str,
    /// Another header that each request carries.
    pub(crate) header: Option<(&'static str, &'static str)>,
    router: Router,
    folder: Arc<TempDir>,
}

/// What came back.
#[derive(Debug)]
pub(crate) struct Answer {
    pub(crate) status: StatusCode,
    pub(crate) location: String,
    pub(crate) text: String,
}

/// A field of a form: a text, or a file by its name.
pub(crate) enum Part<'a> {
    Text(&'a str, &'a str),
    File(&'a str, &'a str, &'a [u8]),
}

impl Newcomer {
    /// - `at`: the moment.
    pub(crate) async fn at(at: &str) -> Newcomer {
        Newcomer::with(at, async |_: &Store| {}).await
    }

    /// A studio in which something has been prepared.
    pub(crate) async fn with(at: &str, prepare: impl AsyncFnOnce(&Store)) -> Newcomer {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(folder.path(), moment(at)).await.unwrap();
        prepare(&store).await;
        let settings = Settings {
            data: folder.path().to_owned(),
            listen: ([127, 0, 0, 1], 0).into(),
            public_url: Some("https://studio.example".to_owned()),
            is_demo: false,
            clock: Some(moment(at)),
        };
        let app = App::open(settings, machine(), store.clone()).await.unwrap();
        Newcomer {
            store,
            cookie: None,
            address: ([127, 0, 0, 1], 50_000).into(),
            host: "localhost:8080",
            header: None,
            router: router(app),
            folder: Arc::new(folder),
        }
    }

    /// Somebody else before the same studio, in another browser.
    pub(crate) fn another(&self) -> Newcomer {
        Newcomer {
            store: self.store.clone(),
            cookie: None,
            router: self.router.clone(),
            folder: self.folder.clone(),
            ..*self
        }
    }

    pub(crate) async fn get(&mut self, path: &str) -> Answer {
        self.send(Request::get(path), Body::empty()).await
    }

    pub(crate) async fn post(&mut self, path: &str, fields: &[(&str, &str)]) -> Answer {
        let request =
            Request::post(path).header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        let body = serde_urlencoded::to_string(fields).unwrap();
        self.send(request, Body::from(body)).await
    }

    pub(crate) async fn upload(&mut self, path: &str, parts: &[Part<'_>]) -> Answer {
        let mut body = Vec::new();
        for part in parts {
            body.extend_from_slice(b"--x\r\nContent-Disposition: form-data; ");
            match part {
                Part::Text(name, value) => {
                    body.extend_from_slice(
                        format!("name=\"{name}\"\r\n\r\n{value}\r\n").as_bytes(),
                    );
                }
                Part::File(name, file, bytes) => {
                    let head = format!("name=\"{name}\"; filename=\"{file}\"\r\n\r\n");
                    body.extend_from_slice(head.as_bytes());
                    body.extend_from_slice(bytes);
                    body.extend_from_slice(b"\r\n");
                }
            }
        }
        body.extend_from_slice(b"--x--\r\n");
        let request =
            Request::post(path).header(header::CONTENT_TYPE, "multipart/form-data; boundary=x");
        self.send(request, Body::from(body)).await
    }

    async fn send(&mut self, request: Builder, body: Body) -> Answer {
        let mut request =
            request.header(header::HOST, self.host).extension(ConnectInfo(self.address));
        if let Some(cookie) = &self.cookie {
            request = request.header(header::COOKIE, cookie);
        }
        if let Some((name, value)) = self.header {
            request = request.header(name, value);
        }
        let response = self.router.clone().oneshot(request.body(body).unwrap()).await.unwrap();
        let text = |name| {
            let value = response.headers().get(name);
            value.and_then(|value| value.to_str().ok()).unwrap_or_default().to_owned()
        };
        if let Some((cookie, _)) = text(header::SET_COOKIE).split_once(';') {
            self.cookie = Some(cookie.to_owned());
        }
        let (status, location) = (response.status(), text(header::LOCATION));
        let bytes = response.into_body().collect().await.unwrap().to_bytes();
        Answer { status, location, text: String::from_utf8_lossy(&bytes).into_owned() }
    }
}
