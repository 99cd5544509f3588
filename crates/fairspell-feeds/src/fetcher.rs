//! Asks feeds, politely, and keeps what they say.

use std::{
    path::{Path, PathBuf},
    sync::{Mutex, MutexGuard, PoisonError},
};

use fairspell_ground::LatLon;
use jiff::{SignedDuration, Timestamp};
use reqwest::StatusCode;

use crate::{
    FeedsError, Identity,
    asking::Asked,
    feed::{Feed, From, address_for},
    fetched::{Astray, Fetched, Why},
    http_time::later,
    pauses::{Pauses, still_ahead},
    reach::Reach,
    state::{FeedState, FeedsState, LastError},
    web::{Limits, Web, address},
};

/// Asks feeds, one fetch at a time each, and keeps what they say in a folder of readings.
///
/// It knows no clock and rolls no dice: both come in with each call. Share it behind a reference;
/// fetches of different feeds may be under way at once.
pub struct Fetcher {
    pub(crate) readings: PathBuf,
    pub(crate) web: Web,
    limits: Limits,
    state: Mutex<FeedsState>,
}

impl Fetcher {
    /// A fetcher that keeps what it fetches in a folder, and goes on where the last one stopped.
    ///
    /// # Errors
    ///
    /// [`FeedsError::Client`] when the means of fetching cannot be set up, [`FeedsError::Read`] when
    /// what was remembered cannot be read.
    pub fn new(
        readings: &Path,
        identity: &Identity,
        limits: Limits,
        reach: Reach,
    ) -> Result<Self, FeedsError> {
        Ok(Fetcher {
            readings: readings.to_owned(),
            web: Web::new(identity, limits, reach)?,
            limits,
            state: Mutex::new(FeedsState::load(readings)?),
        })
    }

    /// What is remembered of all feeds now.
    pub fn state(&self) -> FeedsState {
        self.remembered().clone()
    }

    /// Asks one feed, if it may be asked, and keeps what it says.
    ///
    /// - `place`: for the address, and for the check of what comes.
    /// - `jitter`: any number from 0 to 1, drawn anew for each call; it spreads the pauses.
    ///
    /// # Errors
    ///
    /// [`FeedsError::DiskFull`], [`FeedsError::ReadOnly`], [`FeedsError::Write`] when nothing can be
    /// kept; what was there before is untouched, and the feed is asked again after its pause. Where
    /// not even that pause can be remembered, nobody is asked. What the service does wrong is
    /// [`Fetched::Failed`].
    pub async fn fetch(
        &self,
        feed: &Feed,
        place: LatLon,
        now: Timestamp,
        jitter: f64,
    ) -> Result<Fetched, FeedsError> {
        let pauses = Pauses { every_min: feed.every_min, now, jitter };
        match &feed.from {
            From::Folder(folder) => self.take_from(feed, folder, place, &pauses).await,
            From::Web(template) => self.fetch_from_web(feed, template, None, place, &pauses).await,
            From::Through { address, property } => {
                self.fetch_from_web(feed, address, Some(property), place, &pauses).await
            }
        }
    }

    async fn fetch_from_web(
        &self,
        feed: &Feed,
        template: &str,
        property: Option<&str>,
        place: LatLon,
        pauses: &Pauses,
    ) -> Result<Fetched, FeedsError> {
        let Some(own) = address(&address_for(template, place, feed.decimals)) else {
            let why = Why::astray(template, Astray::NoAddress);
            return self.failed(feed, why, None, pauses);
        };
        let before = match self.may_ask(feed, own.host_str(), pauses)? {
            MayAsk::Now(before) => *before,
            MayAsk::From(until) => return Ok(Fetched::TooEarly { until }),
        };
        let asking = self.ask(feed, &own, property, &before, pauses.now);
        let asked = tokio::time::timeout(self.limits.whole, asking).await;
        let (answer, before) = match asked.unwrap_or(Err(Asked::from(Why::TimedOut))) {
            Ok(asked) => asked,
            Err(asked) => return self.failed(feed, asked.why, asked.come_back, pauses),
        };
        if answer.status == StatusCode::NOT_MODIFIED {
            return self.unchanged(feed, before, &answer, pauses, Fetched::NotModified);
        }
        self.keep(feed, before, answer, place, pauses).await
    }

    /// Whether a feed and its host may be asked now. If so, nobody else asks it from here on until
    /// its answer or the end of its pause, not even a program that is started again.
    pub(crate) fn may_ask(
        &self,
        feed: &Feed,
        host: Option<&str>,
        pauses: &Pauses,
    ) -> Result<MayAsk, FeedsError> {
        let now = pauses.now;
        let mut state = self.remembered();
        let known = state.feeds.get(&feed.id).cloned().unwrap_or_default();
        if let Some(until) = still_ahead(known.next_at, now) {
            return Ok(MayAsk::From(until));
        }
        if let Some(host) = host {
            let pause = SignedDuration::from_secs(self.limits.host_interval_s);
            if let Some(last) = state.hosts.get(host)
                && later(*last, pause) > now
                && *last <= now
            {
                return Ok(MayAsk::From(later(*last, pause)));
            }
            state.hosts.insert(host.to_owned(), now);
        }
        let entry = state.feeds.entry(feed.id.clone()).or_default();
        entry.last_asked_at = Some(now);
        entry.next_at = Some(pauses.after_success(None));
        state.save(&self.readings)?;
        Ok(MayAsk::Now(Box::new(known)))
    }

    /// Remembers a failure, and when to try again.
    pub(crate) fn failed(
        &self,
        feed: &Feed,
        why: Why,
        come_back: Option<Timestamp>,
        pauses: &Pauses,
    ) -> Result<Fetched, FeedsError> {
        let mut state = self.remembered().feeds.get(&feed.id).cloned().unwrap_or_default();
        state.failures = state.failures.saturating_add(1);
        let next_at = match why {
            Why::NotCovering => pauses.where_not_covered(),
            _ => pauses.after_failure(state.failures, come_back),
        };
        state.next_at = Some(next_at);
        state.last_asked_at = Some(pauses.now);
        state.last_error = Some(LastError { at: pauses.now, why: why.clone() });
        self.remember(feed, state)?;
        Ok(Fetched::Failed { why, next_at })
    }

    pub(crate) fn remember(&self, feed: &Feed, state: FeedState) -> Result<(), FeedsError> {
        let mut all = self.remembered();
        all.feeds.insert(feed.id.clone(), state);
        all.save(&self.readings)
    }

    /// What is remembered is whole after each change, even where another thread panicked.
    pub(crate) fn remembered(&self) -> MutexGuard<'_, FeedsState> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Whether a feed may be asked.
pub(crate) enum MayAsk {
    /// It may; this is what was remembered of it.
    Now(Box<FeedState>),
    /// Not before this moment.
    From(Timestamp),
}
