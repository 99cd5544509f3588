//! What must hold on every page, whatever it shows.

use anyhow::{Context, Result};
use serde_json::Value;

use crate::{browser::Browser, tools::Tools};

/// How closely a page is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sight {
    /// Only whether it fits: its width, its targets, whom it asks.
    Fit,
    /// That, and barriers of every kind that axe-core knows.
    Barriers,
}

/// What is wrong with the page that the browser shows; nothing is good.
///
/// Barriers are those of the Web Content Accessibility Guidelines 2.2 at the levels A and AA, as far as
/// a program can see them, and axe-core's good practice.
///
/// # Errors
///
/// The browser does not answer.
pub async fn faults(browser: &Browser, tools: &Tools, sight: Sight) -> Result<Vec<String>> {
    let mut found = lines(&browser.run(include_str!("sight.js")).await?);
    if sight == Sight::Barriers {
        if browser.run("return typeof axe === 'undefined'").await? == Value::Bool(true) {
            browser.run(&tools.axe).await.context("bring axe-core into the page")?;
        }
        let looked = browser.client().execute_async(include_str!("axe.js"), Vec::new()).await;
        found.extend(lines(&looked.context("look for barriers")?));
    }
    Ok(found)
}

fn lines(value: &Value) -> Vec<String> {
    let lines = value.as_array().into_iter().flatten();
    lines.filter_map(|line| line.as_str().map(str::to_owned)).collect()
}
