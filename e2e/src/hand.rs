//! What a person does with a page: opens, taps, fills in, reads.

use std::{future::Future, time::Duration};

use anyhow::{Context, Result, ensure};
use fantoccini::{Locator, elements::Element, wd::WindowHandle};
use serde_json::Value;
use tokio::time::{Instant, sleep};

use crate::browser::Browser;

/// For how long a person would wait for something to appear.
const PATIENCE: Duration = Duration::from_secs(10);

impl Browser {
    /// Opens an address and waits until the page is there.
    ///
    /// # Errors
    ///
    /// It does not come.
    pub async fn go(&self, address: &str) -> Result<()> {
        self.client().goto(address).await.with_context(|| format!("open {address}"))
    }

    /// The address of the page.
    ///
    /// # Errors
    ///
    /// The browser does not answer.
    pub async fn address(&self) -> Result<String> {
        Ok(self.client().current_url().await.context("ask for the address")?.into())
    }

    /// An element, by its CSS selector, once it is there.
    ///
    /// # Errors
    ///
    /// It does not come.
    pub async fn find(&self, selector: &str) -> Result<Element> {
        let wait = self.client().wait().at_most(PATIENCE).every(Duration::from_millis(20));
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
        Ok(!self.client().find_all(Locator::Css(selector)).await?.is_empty())
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

    /// Waits until an element says something among other things; all that it says then.
    ///
    /// # Errors
    ///
    /// It does not come to say it.
    pub async fn wait_until_says(
        &self,
        selector: &str,
        words: &str,
        patience: Duration,
    ) -> Result<String> {
        let patient_until = Instant::now() + patience;
        loop {
            let said = self.text(selector).await?;
            if said.contains(words) {
                return Ok(said);
            }
            let waits = Instant::now() < patient_until;
            ensure!(waits, "`{selector}` never says \"{words}\": {said}");
            sleep(Duration::from_millis(50)).await;
        }
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
            self.client().execute("arguments[0].value = arguments[1]", arguments).await?;
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
        self.client().execute(script, Vec::new()).await.context("run a script")
    }

    /// Goes over to the window that a tap has opened; the answer leads back.
    ///
    /// # Errors
    ///
    /// No window was opened.
    pub async fn follow_into_new_window(&mut self) -> Result<WindowHandle> {
        let here = self.client().window().await?;
        let windows = self.client().windows().await?;
        let new = windows.into_iter().find(|window| *window != here).context("no new window")?;
        self.client().switch_to_window(new).await?;
        self.resize(self.sheet()).await?;
        Ok(here)
    }

    /// Closes this window and goes back to another.
    ///
    /// # Errors
    ///
    /// The browser does not answer.
    pub async fn close_window(&self, back: WindowHandle) -> Result<()> {
        self.client().close_window().await?;
        self.client().switch_to_window(back).await.context("go back to the other window")
    }
}
