//! Integration tests; the modules mirror `src/`. Everything here is invented.

mod gate;
mod letter;
mod policy;
mod ruling;
mod session;
mod studio;
mod world;
