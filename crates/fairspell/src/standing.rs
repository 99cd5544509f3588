//! Where a session stands at a moment: the whole way from a folder to a ruling.

use std::path::PathBuf;

use anyhow::{Context, Result};
use clap::Args;
use fairspell_plan::{Seen, outlook};
use fairspell_studio::{Gate, Outlook, Ruling, Session, rule};
use jiff::Timestamp;

use crate::{
    folder::Folder,
    readings::{SeenBy, seen_by},
    terminal::now,
};

/// Which session of which studio, seen from which moment.
#[derive(Args)]
pub(crate) struct SessionArguments {
    /// The studio's folder
    #[arg(long, value_name = "DIR")]
    data: PathBuf,
    /// The session, by its id
    #[arg(long, value_name = "ID")]
    session: String,
    /// The moment (RFC 3339); nothing fetched later is looked at. Now when left out
    #[arg(long, value_name = "T")]
    as_of: Option<Timestamp>,
}

impl SessionArguments {
    /// The studio's folder, read and checked.
    pub(crate) fn folder(&self) -> Result<Folder> {
        Folder::open(&self.data)
    }

    /// Where the session stands.
    pub(crate) fn standing<'a>(&self, folder: &'a Folder) -> Result<Standing<'a>> {
        Standing::at(folder, &self.session, self.as_of.unwrap_or_else(now))
    }
}

/// A session's outlook and ruling at a moment.
#[derive(Debug)]
pub(crate) struct Standing<'a> {
    pub(crate) session: &'a Session,
    pub(crate) gates: Vec<Gate>,
    pub(crate) seen: Seen,
    pub(crate) outlook: Outlook,
    pub(crate) ruling: Ruling,
    pub(crate) remarks: Vec<String>,
}

impl Standing<'_> {
    /// Reads what had been fetched by `as_of` and rules on it.
    pub(crate) fn at<'a>(folder: &'a Folder, id: &str, as_of: Timestamp) -> Result<Standing<'a>> {
        let (session, gates) = folder.session(id)?;
        let hours = fairspell_plan::evening::hours(&folder.studio, &folder.zone, session)?;
        let SeenBy { seen, remarks } = seen_by(&folder.readings(), as_of, hours.place)
            .with_context(|| format!("read {}", folder.readings().display()))?;
        let outlook = outlook(&folder.studio, &folder.zone, session, as_of, &seen)?;
        let ruling = rule(&folder.studio, session, &gates, &outlook);
        Ok(Standing { session, gates, seen, outlook, ruling, remarks })
    }
}
