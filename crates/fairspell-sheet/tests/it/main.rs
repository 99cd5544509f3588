//! Integration tests; the modules mirror `src/`. Everything here is invented.

#![expect(clippy::unwrap_used, reason = "in a test an unwrap is a check")]

mod bound;
mod course;
mod dose;
mod drawn;
#[path = "../../benches/common/mod.rs"]
mod evening;
mod naive;
mod outside;
mod refused;
mod solve;
mod table;
mod table_cases;
