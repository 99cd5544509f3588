//! The words that the field sheet shows: they travel with it as JSON, since the phone has no Rust.

/// Templates by key, as one JSON object; `{names}` in them are filled in on the phone.
pub const FIELD_WORDS_JSON: &str = include_str!("field.json");
