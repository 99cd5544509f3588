//! Integration tests; the modules mirror `src/`. Everything here is invented.

mod evening;
mod letter;
mod outlook;
mod rain;
mod warnings;
mod world;
