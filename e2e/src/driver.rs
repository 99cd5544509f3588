//! The driver of the browser: one process for all browsers of a run.

use std::{
    io::{BufRead, BufReader},
    process::{Child, Command, Stdio},
    thread,
};

use anyhow::{Context, Result};

use crate::{plain::Plain, tools::Tools};

/// A running driver.
#[derive(Debug)]
pub struct Driver {
    child: Child,
    base: String,
}

impl Driver {
    /// Starts it on a free port.
    ///
    /// # Errors
    ///
    /// It cannot be started.
    pub fn start(tools: &Tools) -> Result<Driver> {
        let mut child = Command::new(&tools.driver)
            .arg("--port=0")
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .context("start the browser's driver")?;
        let said = child.stdout.take().context("hear the browser's driver")?;
        let mut lines = BufReader::new(said).lines().map_while(Result::ok);
        let port = lines.find_map(|line| port_in(&line)).context("the driver said no port")?;
        thread::spawn(move || lines.for_each(drop));
        Ok(Driver { child, base: format!("http://127.0.0.1:{port}") })
    }

    pub(crate) fn base(&self) -> &str {
        &self.base
    }

    /// Ends it, and with it every browser that it still holds.
    pub async fn end(&self) {
        // Killed without a word it would leave its browsers behind.
        let _ = Plain::new(&self.base).get("/shutdown").await;
    }
}

impl Drop for Driver {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// The port in "... was started successfully on port 43210."
fn port_in(line: &str) -> Option<u16> {
    let (_, port) = line.split_once("started successfully on port ")?;
    port.trim_end_matches('.').parse().ok()
}
