//! Reads a skyline from a file: JSON as in `studio.json`, or CSV.

use std::{fs, path::Path};

use anyhow::{Context, Result};
use fairspell_ground::Skyline;

/// Reads and checks it.
pub(crate) fn read_skyline_file(file: &Path) -> Result<Skyline> {
    let read = || -> Result<Skyline> {
        let text = fs::read_to_string(file)?;
        if text.trim_start().starts_with('[') {
            let skyline: Skyline = serde_json::from_str(&text)?;
            skyline.check()?;
            return Ok(skyline);
        }
        Ok(Skyline::from_csv(&text)?)
    };
    read().with_context(|| format!("read the skyline {}", file.display()))
}
