//! Integration tests; the modules mirror `src/`. Everything here is invented, but for what
//! `tests/fixtures/README.md` names.

#![expect(clippy::unwrap_used, reason = "in a test an unwrap is a check")]

mod bad_answers;
mod climate_files;
mod due;
mod feed;
mod fetcher;
mod folder;
mod frame_cache;
mod frames;
mod http_time;
mod prune;
mod readings;
mod ready;
mod record_file;
mod server;
mod two_steps;
mod world;
