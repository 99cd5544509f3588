//! The program, serving a studio.

use std::{
    ffi::OsString,
    fs::File,
    io::{BufRead, BufReader},
    path::Path,
    process::{Child, Command, Stdio},
    thread,
};

use anyhow::{Context, Result, bail, ensure};
use tempfile::TempDir;

use crate::{program::program, tools::folder};

/// A studio that is being served from a folder of its own, until it is dropped.
#[derive(Debug)]
pub struct Studio {
    running: Running,
    base: String,
    folder: TempDir,
}

/// The program, until it is dropped.
#[derive(Debug)]
struct Running(Child);

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

impl Studio {
    /// The invented studio, its clock at the eve of the hardest evening.
    ///
    /// # Errors
    ///
    /// The program cannot be built or started.
    pub fn demo() -> Result<Studio> {
        Studio::start("demo", new_folder()?, |folder| {
            let mut arguments = vec!["demo".into(), "--no-browser".into()];
            arguments.extend(["--port".into(), "0".into(), "--dir".into(), folder.into()]);
            arguments
        })
    }

    /// A folder with nothing in it.
    ///
    /// # Errors
    ///
    /// The program cannot be built or started.
    pub fn empty() -> Result<Studio> {
        Studio::serve(new_folder()?)
    }

    /// A folder that has been a studio's before.
    ///
    /// # Errors
    ///
    /// The program cannot be built or started.
    pub fn serve(folder: TempDir) -> Result<Studio> {
        Studio::start("serve", folder, |folder| {
            let mut arguments = vec!["serve".into(), "--data".into(), folder.into()];
            arguments.extend(["--listen".into(), "127.0.0.1:0".into()]);
            arguments
        })
    }

    fn start(
        name: &str,
        place: TempDir,
        arguments: impl Fn(&Path) -> Vec<OsString>,
    ) -> Result<Studio> {
        let log = folder("logs")?.join(format!("{name}.log"));
        let log = File::create(&log).context("make a log")?;
        let mut child = Command::new(program()?)
            .args(arguments(place.path()))
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(log)
            .spawn()
            .context("start the program")?;
        let said = child.stdout.take().context("hear the program")?;
        let mut lines = BufReader::new(said).lines().map_while(Result::ok);
        let Some(base) = lines.find_map(|line| address_in(&line)) else {
            let ended = child.wait().context("wait for the program")?;
            bail!("`fairspell {name}` said no address and ended with {ended}");
        };
        // What it says later is read away, so that it never waits for us.
        thread::spawn(move || lines.for_each(drop));
        Ok(Studio { running: Running(child), base, folder: place })
    }

    /// The whole address of a path.
    pub fn address(&self, path: &str) -> String {
        format!("{}{path}", self.base)
    }

    /// Where it is served, without a slash at its end.
    pub fn base(&self) -> &str {
        &self.base
    }

    /// Its folder.
    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// Runs another command of the program on its folder; what that prints.
    ///
    /// # Errors
    ///
    /// It cannot be started, or it fails.
    pub fn command(&self, words: &[&str], more: &[&str]) -> Result<String> {
        let ran = Command::new(program()?)
            .args(words)
            .arg("--data")
            .arg(self.folder())
            .args(more)
            .stdin(Stdio::null())
            .output()
            .context("start the program")?;
        let said = String::from_utf8_lossy(&ran.stderr);
        ensure!(ran.status.success(), "`fairspell {}`: {said}", words.join(" "));
        String::from_utf8(ran.stdout).context("read what the program printed")
    }

    /// Ends it and leaves its folder.
    pub fn end(self) -> TempDir {
        drop(self.running);
        self.folder
    }

    /// The number of its process.
    pub fn process(&self) -> u32 {
        self.running.0.id()
    }
}

fn new_folder() -> Result<TempDir> {
    TempDir::with_prefix("fairspell-e2e-").context("make a folder")
}

/// The address that a line names: `It is open at http://127.0.0.1:8046/`.
fn address_in(line: &str) -> Option<String> {
    let word = line.split_whitespace().find(|word| word.starts_with("http://127.0.0.1:"))?;
    Some(word.trim_end_matches('/').to_owned())
}
