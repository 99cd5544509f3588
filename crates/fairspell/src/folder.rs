//! A studio's folder: who, where, and by which policy.
//!
//! A studio that is served keeps all this in `studio.db`, which then is what counts; one that is
//! written by hand, or the demo's, in files:
//!
//! ```text
//! studio.json              the studio, its spots and its policy
//! sessions.json            its sessions
//! people.json              its people, where it has any
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
use fairspell_store::{Store, store::DATABASE};
use fairspell_studio::{Gate, Person, Session, Studio, StudioError, gates};
use jiff::tz::TimeZone;
use serde::de::DeserializeOwned;

use crate::waiting::wait_for;

/// A studio with its sessions, read from its folder and checked.
#[derive(Debug)]
pub(crate) struct Folder {
    pub(crate) path: PathBuf,
    pub(crate) studio: Studio,
    pub(crate) sessions: Vec<Session>,
    pub(crate) people: Vec<Person>,
    pub(crate) zone: TimeZone,
    /// The studio's own outline of the coast, where it has one.
    pub(crate) coast: Option<Vec<Vec<LatLon>>>,
}

impl Folder {
    /// Reads and checks a studio's folder.
    pub(crate) fn open(path: &Path) -> Result<Folder> {
        let (studio, sessions, people) = if path.join(DATABASE).is_file() {
            from_store(path)?
        } else {
            let files = Files::read(path)?;
            (files.studio, files.sessions, files.people)
        };
        studio.check(&sessions).with_context(|| format!("check {}", path.display()))?;
        let zone = studio.zone()?;
        let coast_file = path.join("coast.json");
        let coast = if coast_file.exists() { Some(read_json(&coast_file)?) } else { None };
        Ok(Folder { path: path.to_owned(), studio, sessions, people, zone, coast })
    }

    /// The session of an id.
    pub(crate) fn session(&self, id: &str) -> Result<&Session> {
        let found = self.sessions.iter().find(|session| session.id == id);
        found.ok_or_else(|| {
            let known: Vec<&str> =
                self.sessions.iter().map(|session| session.id.as_str()).collect();
            StudioError::NoSuchSession { id: id.to_owned(), known: known.join(", ") }.into()
        })
    }

    /// The session that another one was moved to.
    pub(crate) fn moved_to(&self, session: &Session) -> Option<&Session> {
        self.sessions.iter().find(|other| other.moved_from.as_deref() == Some(&session.id))
    }

    /// A session's gates.
    pub(crate) fn gates(&self, session: &Session) -> Result<Vec<Gate>> {
        Ok(gates(&self.studio, &self.zone, session)?)
    }

    /// Where what was fetched lies.
    pub(crate) fn readings(&self) -> PathBuf {
        self.path.join("readings")
    }
}

/// A studio that is written down in files.
#[derive(Debug)]
pub(crate) struct Files {
    pub(crate) studio: Studio,
    pub(crate) sessions: Vec<Session>,
    pub(crate) people: Vec<Person>,
}

impl Files {
    /// Whether a folder holds such a studio.
    pub(crate) fn are_in(path: &Path) -> bool {
        path.join("studio.json").is_file()
    }

    /// Reads them.
    pub(crate) fn read(path: &Path) -> Result<Files> {
        let people = path.join("people.json");
        Ok(Files {
            studio: read_json(&path.join("studio.json"))?,
            sessions: read_json(&path.join("sessions.json"))?,
            people: if people.exists() { read_json(&people)? } else { Vec::new() },
        })
    }
}

/// A studio that is kept in its database, also while another process serves it.
fn from_store(path: &Path) -> Result<(Studio, Vec<Session>, Vec<Person>)> {
    wait_for(async {
        let store = Store::look(path).await.with_context(|| format!("open {}", path.display()))?;
        let studio = store.studio().await?.context("there is no studio in it yet")?;
        let (sessions, people) = (store.sessions().await?, store.people().await?);
        store.close().await;
        Ok((studio, sessions, people))
    })
}

fn read_json<T: DeserializeOwned>(file: &Path) -> Result<T> {
    let text = fs::read(file).with_context(|| format!("read {}", file.display()))?;
    serde_json::from_slice(&text).with_context(|| format!("understand {}", file.display()))
}
