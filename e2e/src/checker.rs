//! Whether pages are right by the standard of HTML.

use std::{fs, process::Command};

use anyhow::{Context, Result};
use serde_json::Value;

use crate::tools::{Tools, folder};

/// A page as it was sent.
#[derive(Debug, Clone)]
pub struct Markup {
    /// A name for its file and for messages.
    pub name: String,
    /// The page.
    pub text: String,
}

/// What the checker says that is not so.
///
/// Content policies know inline styles by `nonce`, and the DOM gives that attribute to the elements of
/// SVG as to those of HTML (`HTMLOrSVGElement`); the checker's grammar of SVG is older.
const NOT_SO: &str = "Attribute “nonce” not allowed on element “style” at this point.";

/// What is wrong with pages; nothing is good. Warnings count as well.
///
/// # Errors
///
/// The checker does not run.
pub fn check_markup(tools: &Tools, pages: &[Markup]) -> Result<Vec<String>> {
    let folder = folder("pages")?;
    let mut files = Vec::new();
    for page in pages {
        let file = folder.join(format!("{}.html", page.name));
        fs::write(&file, &page.text).with_context(|| format!("write {}", file.display()))?;
        files.push(file);
    }
    let ran = Command::new(&tools.java)
        .arg("-jar")
        .arg(&tools.checker)
        .args(["--stdout", "--format", "json", "--exit-zero-always"])
        .args(&files)
        .output()
        .context("start the checker")?;
    let said: Value = serde_json::from_slice(&ran.stdout).with_context(|| {
        format!("read what the checker said: {}", String::from_utf8_lossy(&ran.stderr))
    })?;
    let messages = said["messages"].as_array().context("the checker gave no list")?;
    Ok(messages.iter().filter(|message| message["message"] != NOT_SO).map(line).collect())
}

fn line(message: &Value) -> String {
    let text = |key: &str| message[key].as_str().unwrap_or_default();
    let file = text("url").rsplit('/').next().unwrap_or_default();
    let (row, column) = (&message["lastLine"], &message["lastColumn"]);
    format!("{file}:{row}:{column}: {}: {}", text("message"), text("extract").replace('\n', " "))
}
