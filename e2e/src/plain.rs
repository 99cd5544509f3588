//! Pages asked for without a browser, as mail scanners and checkers do.

use std::io::Cursor;

use anyhow::{Context, Result, ensure};
use http::{Method, Request, StatusCode, header};
use http_body_util::{BodyExt, Full};
use hyper_util::{
    client::legacy::{Client, connect::HttpConnector},
    rt::TokioExecutor,
};
use serde_json::Value;
use url::form_urlencoded;

type Body = Full<Cursor<Vec<u8>>>;

/// Asks one studio for pages. It follows no redirects.
#[derive(Debug, Clone)]
pub struct Plain {
    client: Client<HttpConnector, Body>,
    base: String,
    cookie: Option<String>,
}

/// What came back.
#[derive(Debug, Clone)]
pub struct Answer {
    /// Whether it went well.
    pub status: StatusCode,
    /// Where to go on to.
    pub location: Option<String>,
    /// The cookie that was set, as it is sent back.
    pub cookie: Option<String>,
    /// The page.
    pub text: String,
}

impl Plain {
    /// - `base`: where the studio is served, without a slash at its end.
    pub fn new(base: &str) -> Plain {
        let client = Client::builder(TokioExecutor::new()).build_http();
        Plain { client, base: base.to_owned(), cookie: None }
    }

    /// The same, signed in by a cookie.
    #[must_use]
    pub fn with_cookie(self, cookie: Option<String>) -> Plain {
        Plain { cookie, ..self }
    }

    /// `GET` of a path.
    ///
    /// # Errors
    ///
    /// Nobody answers, or not with text.
    pub async fn get(&self, path: &str) -> Result<Answer> {
        self.ask(Method::GET, path, None).await
    }

    /// `POST` of the form on a page, with its hidden fields and the ones that were filled in.
    ///
    /// - `from`: the page with the form; `None` sends only the fields.
    ///
    /// # Errors
    ///
    /// There is no such form, or nobody answers, or not with text.
    pub async fn post(
        &self,
        path: &str,
        from: Option<&str>,
        fields: &[(&str, &str)],
    ) -> Result<Answer> {
        let mut form = form_urlencoded::Serializer::new(String::new());
        if let Some(from) = from {
            let page = self.get(from).await?.page()?;
            let hidden = hidden_fields(&page, path);
            let hidden = hidden.with_context(|| format!("{from} has no form to {path}"))?;
            let is_filled = |name: &str| fields.iter().any(|(filled, _)| *filled == name);
            form.extend_pairs(hidden.into_iter().filter(|(name, _)| !is_filled(name)));
        }
        form.extend_pairs(fields);
        let kind = "application/x-www-form-urlencoded";
        self.ask(Method::POST, path, Some((kind, form.finish()))).await
    }

    /// `POST` of JSON, as a phone hands something in.
    ///
    /// # Errors
    ///
    /// Nobody answers, or not with text.
    pub async fn post_json(&self, path: &str, json: &Value) -> Result<Answer> {
        self.ask(Method::POST, path, Some(("application/json", json.to_string()))).await
    }

    async fn ask(
        &self,
        method: Method,
        path: &str,
        content: Option<(&str, String)>,
    ) -> Result<Answer> {
        let mut request = Request::builder().method(method).uri(format!("{}{path}", self.base));
        if let Some(cookie) = &self.cookie {
            request = request.header(header::COOKIE, cookie);
        }
        if let Some((kind, _)) = &content {
            request = request.header(header::CONTENT_TYPE, *kind);
        }
        let text = content.map(|(_, text)| text).unwrap_or_default();
        let body = Full::new(Cursor::new(text.into_bytes()));
        let asked = self.client.request(request.body(body)?).await;
        let answer = asked.with_context(|| format!("ask for {path}"))?;
        let text_of = |name: header::HeaderName| {
            answer.headers().get(name).and_then(|value| value.to_str().ok()).map(str::to_owned)
        };
        let cookie =
            text_of(header::SET_COOKIE).and_then(|set| Some(set.split_once(';')?.0.to_owned()));
        let (status, location) = (answer.status(), text_of(header::LOCATION));
        let bytes = answer.into_body().collect().await.context("read the page")?.to_bytes();
        let text = String::from_utf8(bytes.to_vec()).context("read the page as text")?;
        Ok(Answer { status, location, cookie, text })
    }
}

impl Answer {
    /// The page, when it went well.
    ///
    /// # Errors
    ///
    /// Another status.
    pub fn page(self) -> Result<String> {
        ensure!(self.status.is_success(), "answered {}: {}", self.status, self.text);
        Ok(self.text)
    }
}

/// The hidden fields of the form of a page that goes to a path.
fn hidden_fields(page: &str, path: &str) -> Option<Vec<(String, String)>> {
    let (_, rest) = page.split_once(&format!(" action=\"{path}\""))?;
    let (form, _) = rest.split_once("</form>")?;
    let tags = form.split("<input ").skip(1).filter(|tag| tag.starts_with("type=\"hidden\""));
    tags.map(|tag| Some((attribute(tag, "name")?, attribute(tag, "value")?))).collect()
}

/// An attribute of a tag, as it was meant.
pub fn attribute(tag: &str, name: &str) -> Option<String> {
    let (_, rest) = tag.split_once(&format!("{name}=\""))?;
    Some(unescaped(rest.split_once('"')?.0))
}

/// Text of a page's source without the marks that a source needs.
pub fn unescaped(text: &str) -> String {
    let text = text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"");
    text.replace("&amp;", "&")
}
