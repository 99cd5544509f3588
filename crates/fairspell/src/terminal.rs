//! The only room that writes to the terminal and asks the clock.

use std::io::{self, BufWriter, StdoutLock, Write};

use fairspell_web::Machine;
use jiff::Timestamp;

/// A line on standard output. A reader that has gone away (`| head`) is no error.
pub(crate) fn say(line: &str) {
    let _ = writeln!(io::stdout(), "{line}");
}

/// Many lines on standard output, which are written in large pieces, the last when it is dropped.
#[derive(Debug)]
pub(crate) struct Lines {
    out: BufWriter<StdoutLock<'static>>,
}

impl Lines {
    /// Nobody else writes to standard output while it lives.
    pub(crate) fn new() -> Self {
        Lines { out: BufWriter::with_capacity(1 << 20, io::stdout().lock()) }
    }

    /// A line; as for [`say`], a reader that has gone away is no error.
    pub(crate) fn say(&mut self, line: &str) {
        let _ = writeln!(self.out, "{line}");
    }
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

/// What only the shell may ask for, handed to the server.
pub(crate) fn machine() -> Machine {
    Machine { now, random: fill }
}

/// Fills a buffer with bytes that nobody can guess.
fn fill(buffer: &mut [u8]) {
    getrandom::fill(buffer).expect("the system gives random bytes");
}

/// Writes the program's log to standard error.
pub(crate) fn start_log() {
    tracing_subscriber::fmt()
        .with_writer(io::stderr)
        .with_max_level(tracing_subscriber::filter::LevelFilter::INFO)
        .init();
}

/// Says every now and then how far long work has come.
#[derive(Debug)]
pub(crate) struct Counter {
    what: &'static str,
    said_tenths: u64,
}

impl Counter {
    /// A counter that has said nothing yet.
    pub(crate) fn new(what: &'static str) -> Self {
        Counter { what, said_tenths: 0 }
    }

    /// So much is done; a line at every tenth.
    pub(crate) fn at(&mut self, done: u64, total: u64) {
        let tenths = 10 * done / total.max(1);
        if tenths > self.said_tenths {
            self.said_tenths = tenths;
            progress(&format!("{}: {} %", self.what, 10 * tenths));
        }
    }
}
