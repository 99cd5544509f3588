//! Integration tests; the modules mirror `src/`. Everything here is invented.
#![expect(clippy::unwrap_used, reason = "in a test an unwrap is a check")]

mod answer;
mod back_plan;
mod field_event;
mod field_log;
mod field_record;
mod field_text;
mod gate;
mod journal;
mod letter;
mod look_advice;
mod look_table;
mod notice;
mod permit;
mod policy;
mod ruling;
mod season;
mod session;
mod studio;
mod variety;
mod world;
