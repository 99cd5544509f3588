//! Integration tests; the modules mirror `src/`. Everything here is invented, but for the standards' examples.

#![expect(clippy::unwrap_used, reason = "a helper that cannot set a test up fails it")]

mod dates;
mod defuse;
mod events;
mod feed;
mod invitation;
mod list;
mod read;
mod sessions;
mod world;
