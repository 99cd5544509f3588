//! Integration tests; the modules mirror `src/`. Everything here is invented.

#![expect(clippy::unwrap_used, reason = "in a test an unwrap is a check")]

mod answer;
mod backup;
mod change;
mod erase;
mod field_event;
mod import;
mod journal;
mod kit;
mod letter;
mod migrations;
mod notice;
mod nouns;
mod push_subscription;
mod record;
mod restore;
mod ruling;
mod setting;
mod sign_in;
mod store;
mod world;
