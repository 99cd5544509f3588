//! Integration tests; the modules mirror `src/`.

#![expect(clippy::unwrap_used, reason = "a helper that cannot set a test up fails it")]

mod illuminance;
mod phase;
