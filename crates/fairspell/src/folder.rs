//! A studio's folder: who, where, and by which policy.
//!
//! ```text
//! studio.json              the studio, its spots and its policy
//! sessions.json            its sessions
//! coast.json               an outline for maps, where the studio has its own (the demo)
//! readings/received.csv    what was fetched when: file,fetched_at,source
//! readings/forecasts/      forecasts as the services sent them
//! readings/warnings/       warnings as the services sent them
//! readings/radar/          radar pictures as the services sent them
//! ```

use std::{
    fs,
    path::{Path, PathBuf},
};

use anyhow::{Context, Result};
use fairspell_ground::LatLon;
use fairspell_studio::{Gate, Session, Studio, StudioError, gates};
use jiff::tz::TimeZone;
use serde::de::DeserializeOwned;

/// A studio with its sessions, read from its folder and checked.
#[derive(Debug)]
pub(crate) struct Folder {
    pub(crate) path: PathBuf,
    pub(crate) studio: Studio,
    pub(crate) sessions: Vec<Session>,
    pub(crate) zone: TimeZone,
    /// The studio's own outline of the coast, where it has one.
    pub(crate) coast: Option<Vec<Vec<LatLon>>>,
}

impl Folder {
    /// Reads and checks a studio's folder.
    pub(crate) fn open(path: &Path) -> Result<Folder> {
        let studio: Studio = read_json(&path.join("studio.json"))?;
        let sessions: Vec<Session> = read_json(&path.join("sessions.json"))?;
        studio.check(&sessions).with_context(|| format!("check {}", path.display()))?;
        let zone = studio.zone()?;
        let coast_file = path.join("coast.json");
        let coast = if coast_file.exists() { Some(read_json(&coast_file)?) } else { None };
        Ok(Folder { path: path.to_owned(), studio, sessions, zone, coast })
    }

    /// The session of an id, with its gates.
    pub(crate) fn session(&self, id: &str) -> Result<(&Session, Vec<Gate>)> {
        let session = self.sessions.iter().find(|session| session.id == id).ok_or_else(|| {
            let known: Vec<&str> =
                self.sessions.iter().map(|session| session.id.as_str()).collect();
            StudioError::NoSuchSession { id: id.to_owned(), known: known.join(", ") }
        })?;
        Ok((session, gates(&self.studio, &self.zone, session)?))
    }

    /// Where what was fetched lies.
    pub(crate) fn readings(&self) -> PathBuf {
        self.path.join("readings")
    }
}

fn read_json<T: DeserializeOwned>(file: &Path) -> Result<T> {
    let text = fs::read(file).with_context(|| format!("read {}", file.display()))?;
    serde_json::from_slice(&text).with_context(|| format!("understand {}", file.display()))
}
