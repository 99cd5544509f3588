//! What a form holds, and what is wrong with it, field by field.

use std::collections::BTreeMap;

use axum::body::Bytes;

/// A file that came with a form.
#[derive(Debug, Clone, Default)]
pub(crate) struct Uploaded {
    /// What it was called where it came from.
    pub(crate) name: String,
    /// What is in it.
    pub(crate) bytes: Bytes,
}

/// The fields of a form as they were sent, and what is wrong with each.
///
/// A page that is shown again after a mistake shows what was typed: nothing is lost.
#[derive(Debug, Clone, Default)]
pub(crate) struct Fields {
    values: Vec<(String, String)>,
    files: BTreeMap<String, Uploaded>,
    wrong: BTreeMap<String, String>,
}

/// No field is longer than this, characters.
const LONGEST: usize = 20_000;
/// But for a log of the field as text.
pub(crate) const FIELD_LOG: &str = "field_log";
/// No log is longer than this, characters: a longer one does not come through as a form.
const FIELD_LOG_LONGEST: usize = 4 << 20;

impl Fields {
    /// Fields out of pairs; a field that is too long is cut and marked by [`Fields::wrong`].
    pub(crate) fn new(values: Vec<(String, String)>, files: BTreeMap<String, Uploaded>) -> Self {
        let tidy = |name: &str, text: String| {
            let longest = if name == FIELD_LOG { FIELD_LOG_LONGEST } else { LONGEST };
            let text = text.replace("\r\n", "\n");
            text.chars().filter(|c| !c.is_control() || *c == '\n').take(longest).collect()
        };
        let values = values.into_iter().map(|(name, value)| {
            let value = tidy(&name, value);
            (name, value)
        });
        let values = values.collect();
        Fields { values, files, wrong: BTreeMap::new() }
    }

    /// A form that nobody has filled in yet.
    pub(crate) fn of<N: Into<String>, V: Into<String>>(
        values: impl IntoIterator<Item = (N, V)>,
    ) -> Self {
        let values = values.into_iter().map(|(name, value)| (name.into(), value.into())).collect();
        Fields { values, ..Fields::default() }
    }

    /// A field's text without blanks around it; empty when it was not sent.
    pub(crate) fn text(&self, name: &str) -> &str {
        self.values.iter().find(|(known, _)| known == name).map_or("", |(_, value)| value.trim())
    }

    /// A field's text, `None` when it is empty.
    pub(crate) fn filled(&self, name: &str) -> Option<&str> {
        Some(self.text(name)).filter(|text| !text.is_empty())
    }

    /// All values of a field that may come several times.
    pub(crate) fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a str> {
        self.values.iter().filter(move |(known, _)| known == name).map(|(_, value)| value.trim())
    }

    /// Whether a box was ticked.
    pub(crate) fn ticked(&self, name: &str) -> bool {
        self.filled(name).is_some()
    }

    /// A file that was chosen.
    pub(crate) fn file(&self, name: &str) -> Option<&Uploaded> {
        self.files.get(name).filter(|file| !file.bytes.is_empty())
    }

    /// Notes what is wrong with a field.
    pub(crate) fn refuse(&mut self, name: &str, why: impl Into<String>) {
        self.wrong.entry(name.to_owned()).or_insert_with(|| why.into());
    }

    /// What is wrong with a field.
    pub(crate) fn wrong(&self, name: &str) -> Option<&str> {
        self.wrong.get(name).map(String::as_str)
    }

    /// Whether nothing is wrong so far.
    pub(crate) fn is_right(&self) -> bool {
        self.wrong.is_empty()
    }

    /// Reads a field that must be filled; `why` is said when it is empty or cannot be read.
    pub(crate) fn need<T>(
        &mut self,
        name: &str,
        why: &str,
        read: impl FnOnce(&str) -> Option<T>,
    ) -> Option<T> {
        let value = self.filled(name).and_then(read);
        if value.is_none() {
            self.refuse(name, why);
        }
        value
    }

    /// Reads a field that may be empty: `Some(None)` when it is, `None` when it cannot be read.
    #[expect(clippy::option_option, reason = "empty, unreadable and read are three answers")]
    pub(crate) fn may<T>(
        &mut self,
        name: &str,
        why: &str,
        read: impl FnOnce(&str) -> Option<T>,
    ) -> Option<Option<T>> {
        let Some(text) = self.filled(name) else { return Some(None) };
        let value = read(text);
        if value.is_none() {
            self.refuse(name, why);
        }
        value.map(Some)
    }
}
