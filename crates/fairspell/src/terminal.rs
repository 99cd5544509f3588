//! The only room that writes to the terminal and asks the clock.

use std::io::{self, Write};

use jiff::Timestamp;

/// A line on standard output. A reader that has gone away (`| head`) is no error.
pub(crate) fn say(line: &str) {
    let _ = writeln!(io::stdout(), "{line}");
}

/// A line on standard error, for what went wrong or is going on.
pub(crate) fn complain(line: &str) {
    let _ = writeln!(io::stderr(), "fairspell: {line}");
}

/// Progress of long work, on standard error so that output stays clean.
pub(crate) fn progress(line: &str) {
    let _ = writeln!(io::stderr(), "{line}");
}

/// This moment: the one place that asks.
#[expect(clippy::disallowed_methods, reason = "the shell's one question to the clock")]
pub(crate) fn now() -> Timestamp {
    Timestamp::now()
}
