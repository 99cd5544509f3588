//! Integration tests; the modules mirror `src/`. Everything here is invented.

#![expect(clippy::unwrap_used, reason = "in a test an unwrap is a check")]

mod answer;
mod gate;
mod journal;
mod letter;
mod notice;
mod policy;
mod ruling;
mod session;
mod studio;
mod world;
