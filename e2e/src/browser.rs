//! Chromium, and what a person does with it.

use std::{fs, future::Future, path::PathBuf, time::Duration};

use anyhow::{Context, Result, ensure};
use fantoccini::{
    Client, ClientBuilder, Locator,
    elements::Element,
    wd::{Capabilities, WebDriverCompatibleCommand, WindowHandle},
};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};
use tempfile::TempDir;
use tokio::time::{Instant, sleep};

use crate::{
    driver::Driver,
    tools::{Tools, folder},
};

/// Whether pages may run script.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Script {
    /// They may.
    On,
    /// She has switched it off.
    Off,
}

impl Script {
    /// As a word before "script".
    pub fn name(self) -> &'static str {
        match self {
            Script::On => "with",
            Script::Off => "without",
        }
    }
}

/// How large the page is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sheet {
    /// A window on a desk, 1280 by 900.
    Desktop,
    /// A telephone of today, 390 by 844.
    Phone,
    /// The narrowest telephone that counts, 360 by 640.
    Narrow,
}

impl Sheet {
    /// Its name, for files and messages.
    pub fn name(self) -> &'static str {
        match self {
            Sheet::Desktop => "desktop",
            Sheet::Phone => "phone",
            Sheet::Narrow => "narrow",
        }
    }

    fn metrics(self) -> Value {
        let (width, height, pixels, mobile) = match self {
            Sheet::Desktop => (1280, 900, 1, false),
            Sheet::Phone => (390, 844, 2, true),
            Sheet::Narrow => (360, 640, 2, true),
        };
        json!({"width": width, "height": height, "deviceScaleFactor": pixels, "mobile": mobile})
    }
}

/// Which colours she prefers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scheme {
    /// By day.
    Light,
    /// By night.
    Dark,
}

impl Scheme {
    /// Its name, for files and for `prefers-color-scheme`.
    pub fn name(self) -> &'static str {
        match self {
            Scheme::Light => "light",
            Scheme::Dark => "dark",
        }
    }
}

/// A browser of its own, with nothing remembered from before.
#[derive(Debug)]
pub struct Browser {
    client: Client,
    sheet: Sheet,
    _profile: TempDir,
}

/// For how long a person would wait for something to appear.
const PATIENCE: Duration = Duration::from_secs(10);

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

    /// Opens an address and waits until the page is there.
    ///
    /// # Errors
    ///
    /// It does not come.
    pub async fn go(&self, address: &str) -> Result<()> {
        self.client.goto(address).await.with_context(|| format!("open {address}"))
    }

    /// The address of the page.
    ///
    /// # Errors
    ///
    /// The browser does not answer.
    pub async fn address(&self) -> Result<String> {
        Ok(self.client.current_url().await.context("ask for the address")?.into())
    }

    /// An element, by its CSS selector, once it is there.
    ///
    /// # Errors
    ///
    /// It does not come.
    pub async fn find(&self, selector: &str) -> Result<Element> {
        let wait = self.client.wait().at_most(PATIENCE).every(Duration::from_millis(20));
        wait.for_element(Locator::Css(selector))
            .await
            .with_context(|| format!("look for `{selector}`"))
    }

    /// Whether an element is there.
    ///
    /// # Errors
    ///
    /// The browser does not answer.
    pub async fn has(&self, selector: &str) -> Result<bool> {
        Ok(!self.client.find_all(Locator::Css(selector)).await?.is_empty())
    }

    /// The text of an element as it is read.
    ///
    /// # Errors
    ///
    /// It is not there.
    pub async fn text(&self, selector: &str) -> Result<String> {
        let element = self.find(selector).await?;
        element.text().await.with_context(|| format!("read `{selector}`"))
    }

    /// Waits until an element says something.
    ///
    /// # Errors
    ///
    /// It does not come to say it.
    pub async fn wait_for_text(&self, selector: &str, words: &str) -> Result<()> {
        let patient_until = Instant::now() + PATIENCE;
        while self.text(selector).await? != words {
            ensure!(Instant::now() < patient_until, "`{selector}` never says \"{words}\"");
            sleep(Duration::from_millis(10)).await;
        }
        Ok(())
    }

    /// An attribute of an element.
    ///
    /// # Errors
    ///
    /// The element or the attribute is not there.
    pub async fn attribute(&self, selector: &str, name: &str) -> Result<String> {
        let element = self.find(selector).await?;
        element.attr(name).await?.with_context(|| format!("`{selector}` has no {name}"))
    }

    /// Taps an element that changes something on the page.
    ///
    /// # Errors
    ///
    /// It is not there, or something lies over it.
    pub async fn tap(&self, selector: &str) -> Result<()> {
        let element = self.find(selector).await?;
        element.click().await.with_context(|| format!("tap `{selector}`"))
    }

    /// Taps an element that leads to another page, and waits until that is there.
    ///
    /// # Errors
    ///
    /// It is not there, something lies over it, or it leads nowhere.
    pub async fn follow(&self, selector: &str) -> Result<()> {
        self.leave_by(selector, self.tap(selector)).await
    }

    /// Does something that leads to another page, and waits until that is there.
    ///
    /// # Errors
    ///
    /// It cannot be done, or it leads nowhere.
    pub async fn leave_by(&self, what: &str, act: impl Future<Output = Result<()>>) -> Result<()> {
        self.run("window.isBeingLeft = true").await?;
        act.await?;
        let came = "return document.readyState === 'complete' && !window.isBeingLeft";
        let patient_until = Instant::now() + PATIENCE;
        // Between two pages there is none in which a script could run.
        while !self.run(came).await.is_ok_and(|came| came == true) {
            ensure!(Instant::now() < patient_until, "`{what}` leads nowhere");
            sleep(Duration::from_millis(10)).await;
        }
        Ok(())
    }

    /// Fills in a field, instead of what stood there.
    ///
    /// # Errors
    ///
    /// There is no such field.
    pub async fn fill(&self, name: &str, value: &str) -> Result<()> {
        let field = self.find(&format!("[name=\"{name}\"]:not([type=\"hidden\"])")).await?;
        let kind = field.attr("type").await?.unwrap_or_default();
        if ["date", "time", "datetime-local"].contains(&kind.as_str()) {
            // What a person types there depends on the language of the browser.
            let arguments = vec![serde_json::to_value(&field)?, value.into()];
            self.client.execute("arguments[0].value = arguments[1]", arguments).await?;
        } else {
            field.clear().await.with_context(|| format!("clear {name}"))?;
            field.send_keys(value).await.with_context(|| format!("fill in {name}"))?;
        }
        Ok(())
    }

    /// Runs a script of ours in the page, as the driver may even where pages may not.
    ///
    /// # Errors
    ///
    /// It fails.
    pub async fn run(&self, script: &str) -> Result<Value> {
        self.client.execute(script, Vec::new()).await.context("run a script")
    }

    /// Goes over to the window that a tap has opened; the answer leads back.
    ///
    /// # Errors
    ///
    /// No window was opened.
    pub async fn follow_into_new_window(&mut self) -> Result<WindowHandle> {
        let here = self.client.window().await?;
        let windows = self.client.windows().await?;
        let new = windows.into_iter().find(|window| *window != here).context("no new window")?;
        self.client.switch_to_window(new).await?;
        self.resize(self.sheet).await?;
        Ok(here)
    }

    /// Closes this window and goes back to another.
    ///
    /// # Errors
    ///
    /// The browser does not answer.
    pub async fn close_window(&self, back: WindowHandle) -> Result<()> {
        self.client.close_window().await?;
        self.client.switch_to_window(back).await.context("go back to the other window")
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
        let wanted = json!({ "format": "png", "captureBeyondViewport": true, "clip": clip });
        let taken = self.devtools("Page.captureScreenshot", wanted).await?;
        let encoded = taken["data"].as_str().context("there is no picture")?;
        let path = folder("screenshots")?.join(format!("{name}.png"));
        fs::write(&path, decoded(encoded)?).with_context(|| format!("write {}", path.display()))?;
        Ok(path)
    }
}

/// The bytes of a picture.
fn decoded(base64: &str) -> Result<Vec<u8>> {
    use base64::{Engine, engine::general_purpose::STANDARD};
    STANDARD.decode(base64).context("read the picture")
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
