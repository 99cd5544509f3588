//! Where a session stands at a moment: the whole way from a folder to a ruling.

use std::path::PathBuf;

use anyhow::{Context, Result};
use clap::Args;
use fairspell_feeds::{Radar, SeenBy, seen_by_with};
use fairspell_plan::{Seen, radar_speaks, standing};
use fairspell_studio::{Gate, Outlook, Ruling, Session};
use fairspell_web::drawing::Drawn;
use jiff::Timestamp;

use crate::{folder::Folder, terminal::now, typed};

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
    #[arg(long, value_name = "T", value_parser = typed::moment)]
    as_of: Option<Timestamp>,
}

impl SessionArguments {
    /// Arguments that a command takes apart itself.
    pub(crate) fn new(data: PathBuf, session: String, as_of: Option<Timestamp>) -> Self {
        SessionArguments { data, session, as_of }
    }

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
    pub(crate) at: fairspell_plan::Standing,
    pub(crate) seen: Seen,
    pub(crate) remarks: Vec<String>,
}

impl Standing<'_> {
    /// Reads what had been fetched by `as_of` and rules on it.
    pub(crate) fn at<'a>(folder: &'a Folder, id: &str, as_of: Timestamp) -> Result<Standing<'a>> {
        let session = folder.session(id)?;
        let hours = fairspell_plan::evening::hours(&folder.studio, &folder.zone, session)?;
        let radar = if radar_speaks(&hours, as_of) { Radar::Decoded } else { Radar::LeftOut };
        let SeenBy { seen, remarks } = seen_by_with(&folder.readings(), as_of, hours.place, radar)
            .with_context(|| format!("read {}", folder.readings().display()))?;
        let at = standing(&folder.studio, &folder.zone, session, as_of, &seen)?;
        Ok(Standing { session, at, seen, remarks })
    }

    /// All its gates, in order of time.
    pub(crate) fn gates(&self) -> &[Gate] {
        &self.at.gates
    }

    /// What was known of its sky.
    pub(crate) fn outlook(&self) -> &Outlook {
        &self.at.outlook
    }

    /// Where the policy puts that.
    pub(crate) fn ruling(&self) -> &Ruling {
        &self.at.ruling
    }

    /// The same, to be drawn.
    pub(crate) fn drawn<'a>(&'a self, folder: &'a Folder) -> Drawn<'a> {
        Drawn {
            studio: &folder.studio,
            zone: &folder.zone,
            session: self.session,
            standing: &self.at,
        }
    }
}
