//! Long work that can be stopped with Ctrl-C without leaving half a file behind.

use std::{
    fs,
    io::{self, ErrorKind, Write},
    path::{Path, PathBuf},
    process,
    sync::{
        Arc,
        atomic::{AtomicBool, Ordering},
    },
};

use anyhow::{Context, Result, bail};
use tokio::runtime::Runtime;

/// What a shell says of a program that was ended by Ctrl-C.
const STOPPED_CODE: i32 = 130;

/// Whether somebody has asked for an end.
#[derive(Debug)]
pub(crate) struct Stop {
    asked: Arc<AtomicBool>,
    /// Waits for the signal as long as it lives.
    _waiting: Runtime,
}

impl Stop {
    /// From now on Ctrl-C is a question, asked between two steps; a second one ends at once.
    pub(crate) fn on_ctrl_c() -> Result<Self> {
        let waiting = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(1)
            .enable_all()
            .build()
            .context("start the program's threads")?;
        let asked = Arc::new(AtomicBool::new(false));
        let ask = Arc::clone(&asked);
        waiting.spawn(async move {
            while tokio::signal::ctrl_c().await.is_ok() {
                if ask.swap(true, Ordering::Relaxed) {
                    process::exit(STOPPED_CODE);
                }
            }
        });
        Ok(Stop { asked, _waiting: waiting })
    }

    /// Fails once an end was asked for.
    pub(crate) fn check(&self) -> Result<()> {
        if self.asked.load(Ordering::Relaxed) {
            bail!("stopped; nothing was written");
        }
        Ok(())
    }
}

/// Writes a file as a whole or not at all: under another name beside it first.
pub(crate) fn write_whole(file: &Path, bytes: &[u8], stop: &Stop) -> Result<()> {
    let part = part_of(file);
    let written = write_part(&part, bytes).and_then(|()| {
        stop.check()?;
        fs::rename(&part, file).with_context(|| format!("write {}", file.display()))
    });
    if written.is_err() {
        // Whatever went wrong has been said already.
        let _ = fs::remove_file(&part);
    }
    written
}

fn write_part(part: &Path, bytes: &[u8]) -> Result<()> {
    let write = || -> io::Result<()> {
        let mut file = fs::File::create(part)?;
        file.write_all(bytes)?;
        file.sync_all()
    };
    write().with_context(|| format!("write {}", part.display()))
}

/// The name under which a file is written until it is whole; of this process alone.
fn part_of(file: &Path) -> PathBuf {
    let mut name = file.file_name().unwrap_or_default().to_owned();
    name.push(format!(".{}.part", process::id()));
    file.with_file_name(name)
}

/// Refuses to write over anything that is not of the same kind, or empty.
///
/// - `kinds`: how files of this kind begin.
pub(crate) fn may_replace(file: &Path, kinds: &[&[u8]]) -> Result<()> {
    use std::io::Read as _;
    let mut start = [0; 8];
    let read = match fs::File::open(file) {
        Ok(mut opened) => opened.read(&mut start),
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(()),
        Err(error) => Err(error),
    };
    let start = &start[..read.with_context(|| format!("look at {}", file.display()))?];
    if !start.is_empty() && !kinds.iter().any(|kind| start.starts_with(kind)) {
        bail!("{} is there already and is no NetCDF file; choose another name", file.display());
    }
    Ok(())
}
