//! Integration tests; the modules mirror `src/`.

mod address;
mod host;
mod resolver;
