//! Chromium: how it is opened and set up, what its console says, pictures of it.

use std::{fs, path::PathBuf};

use anyhow::{Context, Result};
use base64::{Engine, engine::general_purpose::STANDARD};
use fantoccini::{
    Client, ClientBuilder,
    wd::{Capabilities, WebDriverCompatibleCommand},
};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};
use tempfile::TempDir;

use crate::{
    driver::Driver,
    sheet::{Scheme, Script, Sheet},
    tools::{Tools, folder},
};

/// A browser of its own, with nothing remembered from before.
#[derive(Debug)]
pub struct Browser {
    client: Client,
    sheet: Sheet,
    _profile: TempDir,
}

impl Browser {
    /// Opens one.
    ///
    /// # Errors
    ///
    /// It does not start.
    pub async fn open(
        tools: &Tools,
        driver: &Driver,
        script: Script,
        sheet: Sheet,
    ) -> Result<Browser> {
        let profile = TempDir::with_prefix("fairspell-browser-").context("make a profile")?;
        let mut arguments: Vec<String> = [
            "--headless=new",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-quic",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--window-size=1280,900",
        ]
        .map(str::to_owned)
        .into();
        arguments.push(format!("--user-data-dir={}", profile.path().display()));
        let may_script = if script == Script::On { 1 } else { 2 };
        let options = json!({
            "binary": tools.browser,
            "args": arguments,
            "prefs": { "profile.managed_default_content_settings.javascript": may_script },
        });
        let mut wanted = Capabilities::new();
        wanted.insert("browserName".to_owned(), "chrome".into());
        wanted.insert("goog:chromeOptions".to_owned(), options);
        wanted.insert("goog:loggingPrefs".to_owned(), json!({ "browser": "ALL" }));
        let client = ClientBuilder::new(HttpConnector::new())
            .capabilities(wanted)
            .connect(driver.base())
            .await
            .context("start Chromium")?;
        let mut browser = Browser { client, sheet, _profile: profile };
        browser.resize(sheet).await?;
        Ok(browser)
    }

    /// Closes it.
    ///
    /// # Errors
    ///
    /// It does not answer any more.
    pub async fn close(self) -> Result<()> {
        self.client.close().await.context("close Chromium")
    }

    /// The client of the driver under it.
    pub fn client(&self) -> &Client {
        &self.client
    }

    /// The size that it has.
    pub fn sheet(&self) -> Sheet {
        self.sheet
    }

    /// Gives the page another size, as another telephone or window would.
    ///
    /// # Errors
    ///
    /// The browser does not answer.
    pub async fn resize(&mut self, sheet: Sheet) -> Result<()> {
        self.sheet = sheet;
        let is_touched = json!({ "enabled": sheet != Sheet::Desktop });
        self.devtools("Emulation.setDeviceMetricsOverride", sheet.metrics()).await?;
        self.devtools("Emulation.setTouchEmulationEnabled", is_touched).await?;
        Ok(())
    }

    /// Prefers other colours.
    ///
    /// # Errors
    ///
    /// The browser does not answer.
    pub async fn prefer(&self, scheme: Scheme) -> Result<()> {
        let features = json!([{ "name": "prefers-color-scheme", "value": scheme.name() }]);
        self.devtools("Emulation.setEmulatedMedia", json!({ "features": features })).await?;
        Ok(())
    }

    /// A command of the browser's own protocol for developers.
    ///
    /// # Errors
    ///
    /// The browser does not answer, or refuses it.
    pub async fn devtools(&self, command: &str, parameters: Value) -> Result<Value> {
        let body = json!({ "cmd": command, "params": parameters });
        let extra = Extra { path: "goog/cdp/execute", body };
        self.client.issue_cmd(extra).await.with_context(|| format!("do {command}"))
    }

    /// The errors and warnings of the console since the last time.
    ///
    /// # Errors
    ///
    /// The browser does not answer.
    pub async fn console(&self) -> Result<Vec<String>> {
        let extra = Extra { path: "se/log", body: json!({ "type": "browser" }) };
        let said = self.client.issue_cmd(extra).await.context("read the console")?;
        let entries = said.as_array().into_iter().flatten();
        let is_meant = |entry: &&Value| entry["level"] == "SEVERE" || entry["level"] == "WARNING";
        let message = |entry: &Value| entry["message"].as_str().map(str::to_owned);
        Ok(entries.filter(is_meant).filter_map(message).collect())
    }

    /// Keeps a picture of the whole page under a name, among the screenshots of this run.
    ///
    /// # Errors
    ///
    /// It cannot be taken or written.
    pub async fn picture(&self, name: &str) -> Result<PathBuf> {
        // The full length of the page, as a person would scroll it; no page is longer than this.
        const LONGEST_PX: f64 = 12_000.0;
        let layout = self.devtools("Page.getLayoutMetrics", json!({})).await?;
        let size = |key: &str| layout["cssContentSize"][key].as_f64().unwrap_or_default();
        let clip = json!({
            "x": 0, "y": 0, "scale": 1,
            "width": size("width"), "height": size("height").min(LONGEST_PX),
        });
        let wanted = json!({
            "format": "png", "optimizeForSpeed": true, "captureBeyondViewport": true, "clip": clip,
        });
        let taken = self.devtools("Page.captureScreenshot", wanted).await?;
        let encoded = taken["data"].as_str().context("there is no picture")?;
        let path = folder("screenshots")?.join(format!("{name}.png"));
        let bytes = STANDARD.decode(encoded).context("read the picture")?;
        fs::write(&path, bytes).with_context(|| format!("write {}", path.display()))?;
        Ok(path)
    }
}

/// A command that the standard does not have.
#[derive(Debug)]
struct Extra {
    path: &'static str,
    body: Value,
}

impl WebDriverCompatibleCommand for Extra {
    fn endpoint(
        &self,
        base: &url::Url,
        session: Option<&str>,
    ) -> Result<url::Url, url::ParseError> {
        base.join(&format!("session/{}/{}", session.unwrap_or_default(), self.path))
    }

    fn method_and_body(&self, _: &url::Url) -> (http::Method, Option<String>) {
        (http::Method::POST, Some(self.body.to_string()))
    }
}
