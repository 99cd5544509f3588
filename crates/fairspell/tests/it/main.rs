//! Integration tests of the command line, and of the repository itself.

mod demo;
mod demo_folder;
mod rain;
mod tidy;
