//! Integration tests; the modules mirror `src/`. Nothing leaves 127.0.0.1.

#![expect(clippy::unwrap_used, reason = "in a test an unwrap is a check")]

mod deliver;
mod mail;
mod retry;
mod server;
mod web_push;
mod world;
