//! Asks feeds, politely, and keeps what they say.

use std::{
    fs,
    path::{Path, PathBuf},
    sync::{Mutex, MutexGuard, PoisonError},
};

use fairspell_ground::LatLon;
use fairspell_studio::outlook::SourceKind;
use jiff::{SignedDuration, Timestamp};
use reqwest::{StatusCode, Url, header};
use serde::Deserialize;

use crate::{
    FeedsError, Identity,
    content::{self, Sound},
    feed::{Feed, From, address_for, folder_of},
    fetched::{FetchRemark, Fetched, Why},
    http_time::{Freshness, later, retry_after},
    keep::{append, keep_reading, put_aside, stem},
    reach::Reach,
    received::Line,
    state::{FeedState, FeedsState, LastError, LedTo},
    web::{Answer, Conditions, Limits, Web, address},
};

/// A feed that fails again and again is asked at least this often, unless it wants less: somebody
/// may be waiting for it.
const BACK_OFF_MAX: SignedDuration = SignedDuration::from_hours(1);

/// How long a service that does not cover the place is left alone.
const NOT_COVERING_FOR: SignedDuration = SignedDuration::from_hours(24);

/// How long it is remembered where an address led to: grids are redrawn every few months.
const LED_TO_FOR: SignedDuration = SignedDuration::from_hours(3 * 24);

/// Spreads what many programs ask: up to so much is added to a pause.
const SPREAD_MAX: SignedDuration = SignedDuration::from_secs(60);

/// How much older than the last one a list of warnings may be: a service's machines differ a little.
const LIST_OLDER_MAX: SignedDuration = SignedDuration::from_mins(15);

/// How far a service's clock may run ahead of ours.
const CLOCK_ERROR_MAX: SignedDuration = SignedDuration::from_mins(15);

/// A time to come back that lies farther ahead than this was set by a clock that was wrong.
pub(crate) const CLOCK_WRONG_FROM: SignedDuration = SignedDuration::from_hours(26);

/// Asks feeds, one fetch at a time each, and keeps what they say in a folder of readings.
///
/// It knows no clock and rolls no dice: both come in with each call. Share it behind a reference;
/// fetches of different feeds may be under way at once.
pub struct Fetcher {
    pub(crate) readings: PathBuf,
    web: Web,
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
    /// kept; what was there before is untouched, and the feed is asked again after its pause. What
    /// the service does wrong is [`Fetched::Failed`].
    pub async fn fetch(
        &self,
        feed: &Feed,
        place: LatLon,
        now: Timestamp,
        jitter: f64,
    ) -> Result<Fetched, FeedsError> {
        let pauses = Pauses { every_min: feed.every_min, now, jitter };
        match &feed.from {
            From::Folder(folder) => self.take_from(feed, folder, place, &pauses),
            From::Web(template) => {
                let own = address_for(template, place, feed.decimals);
                self.fetch_from_web(feed, &own, None, place, &pauses).await
            }
            From::Through { address, property } => {
                let own = address_for(address, place, feed.decimals);
                self.fetch_from_web(feed, &own, Some(property), place, &pauses).await
            }
        }
    }

    async fn fetch_from_web(
        &self,
        feed: &Feed,
        own: &str,
        property: Option<&str>,
        place: LatLon,
        pauses: &Pauses,
    ) -> Result<Fetched, FeedsError> {
        let own = match address(own) {
            Ok(own) => own,
            Err(why) => return self.failed(feed, why, None, pauses),
        };
        let before = match self.may_ask(feed, own.host_str(), pauses) {
            Ok(before) => before,
            Err(until) => return Ok(Fetched::TooEarly { until }),
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

    /// Whether a feed and its host may be asked now; if so, what is remembered of the feed.
    fn may_ask(
        &self,
        feed: &Feed,
        host: Option<&str>,
        pauses: &Pauses,
    ) -> Result<FeedState, Timestamp> {
        let now = pauses.now;
        let mut state = self.remembered();
        let known = state.feeds.entry(feed.id.clone()).or_default();
        let is_believable = |until: &Timestamp| *until <= later(now, CLOCK_WRONG_FROM);
        if let Some(until) = known.next_at.filter(is_believable)
            && until > now
        {
            return Err(until);
        }
        let known = known.clone();
        if let Some(host) = host {
            let pause = SignedDuration::from_secs(self.limits.host_interval_s);
            if let Some(last) = state.hosts.get(host)
                && later(*last, pause) > now
                && *last <= now
            {
                return Err(later(*last, pause));
            }
            state.hosts.insert(host.to_owned(), now);
        }
        // From here on nobody else asks this feed, until its answer or the end of its pause.
        let entry = state.feeds.entry(feed.id.clone()).or_default();
        entry.last_asked_at = Some(now);
        entry.next_at = Some(pauses.after_success(None));
        Ok(known)
    }

    /// Asks, with conditions where we still have what they are about.
    async fn ask(
        &self,
        feed: &Feed,
        own: &Url,
        property: Option<&str>,
        before: &FeedState,
        now: Timestamp,
    ) -> Result<(Answer, FeedState), Asked> {
        let accept = feed.accept.as_deref();
        let mut known = before.clone();
        let url = match property {
            None => own.clone(),
            Some(property) => {
                let remembered = known.led_to.take().filter(|led| {
                    led.asked == own.as_str()
                        && led.until > now
                        && led.until <= later(now, LED_TO_FOR)
                });
                let led_to = match remembered {
                    Some(led_to) => led_to,
                    None => self.lead(own, property, accept, now).await?,
                };
                // Remembered whatever comes of the second request.
                let mut all = self.remembered();
                all.feeds.entry(feed.id.clone()).or_default().led_to = Some(led_to.clone());
                drop(all);
                let url = address(&led_to.address)?;
                known.led_to = Some(led_to);
                url
            }
        };
        if known.address.as_deref() != Some(url.as_str()) {
            known.address = Some(url.as_str().to_owned());
            (known.etag, known.last_modified) = (None, None);
        }
        let is_there = known.last_file.as_ref().is_some_and(|f| self.readings.join(f).is_file());
        if !is_there {
            (known.etag, known.last_modified) = (None, None);
        }
        let conditions =
            Conditions { etag: known.etag.clone(), last_modified: known.last_modified.clone() };
        let answer = self.web.get(&url, own, accept, &conditions).await?;
        let asked_for_changes = conditions.etag.is_some() || conditions.last_modified.is_some();
        match answer.status {
            StatusCode::OK | StatusCode::NON_AUTHORITATIVE_INFORMATION => Ok((answer, known)),
            StatusCode::NOT_MODIFIED if asked_for_changes => Ok((answer, known)),
            _ => {
                let mut asked = refusal(&answer, now);
                // The grid may have been redrawn: then the first address names another one.
                if property.is_some() && asked.why == Why::NotCovering {
                    self.remembered().feeds.entry(feed.id.clone()).or_default().led_to = None;
                    asked.why = Why::Status { status: answer.status.as_u16(), said: said(&answer) };
                }
                Err(asked)
            }
        }
    }

    /// Asks the first address for the second.
    async fn lead(
        &self,
        own: &Url,
        property: &str,
        accept: Option<&str>,
        now: Timestamp,
    ) -> Result<LedTo, Asked> {
        let answer = self.web.get(own, own, accept, &Conditions::default()).await?;
        if answer.status == StatusCode::NOT_FOUND {
            return Err(Asked::from(Why::NotCovering));
        }
        if answer.status != StatusCode::OK {
            return Err(refusal(&answer, now));
        }
        if content::is_web_page(&answer.bytes) {
            return Err(Asked::from(Why::WebPage));
        }
        let unreadable = |cause: String| Asked::from(Why::Unreadable { cause });
        let document: serde_json::Value =
            serde_json::from_slice(&answer.bytes).map_err(|error| unreadable(error.to_string()))?;
        let named = document["properties"][property].as_str();
        let named = named.ok_or_else(|| unreadable(format!("no `{property}` in the answer")))?;
        let (asked, address) = (own.as_str().to_owned(), named.to_owned());
        Ok(LedTo { asked, address, until: later(now, LED_TO_FOR) })
    }

    /// Keeps a whole answer, if it is new and can be read.
    async fn keep(
        &self,
        feed: &Feed,
        before: FeedState,
        mut answer: Answer,
        place: LatLon,
        pauses: &Pauses,
    ) -> Result<Fetched, FeedsError> {
        let now = pauses.now;
        let last = before.last_file.as_ref().map(|file| self.readings.join(file));
        if last.and_then(|file| fs::read(file).ok()).is_some_and(|last| last == answer.bytes) {
            return self.unchanged(feed, before, &answer, pauses, Fetched::SameAsBefore);
        }
        let stem = stem(&feed.id, now);
        // Decoding a picture takes a while: other tasks go on meanwhile.
        let (kind, bytes) = (feed.kind, std::mem::take(&mut answer.bytes));
        let check = move || (content::check(kind, &bytes, place), bytes);
        let checked = tokio::task::spawn_blocking(check).await;
        let (checked, bytes) = checked.unwrap_or_else(|error| {
            (Err(Why::Unreadable { cause: error.to_string() }), Vec::new())
        });
        answer.bytes = bytes;
        let Sound { extension, made } = match checked {
            Ok(sound) => sound,
            Err(why) => {
                put_aside(&self.readings, &stem, &answer.bytes);
                return self.failed(feed, why, None, pauses);
            }
        };
        let mut remarks = Vec::new();
        // A moment that has not come yet was set by a clock that was wrong.
        let known = before.made.filter(|known| *known <= later(now, CLOCK_ERROR_MAX));
        if let (Some(made), Some(known)) = (made, known)
            && made < known
        {
            // What an old list does not name may be in force.
            if feed.kind == SourceKind::Warnings && made < later(known, -LIST_OLDER_MAX) {
                put_aside(&self.readings, &stem, &answer.bytes);
                return self.failed(feed, Why::Old { made, before: known }, None, pauses);
            }
            remarks.push(FetchRemark::OlderThanBefore { made, before: known });
        }
        if answer.status == StatusCode::NON_AUTHORITATIVE_INFORMATION {
            remarks.push(FetchRemark::Ceasing);
        }
        let file = self.keep_listed(feed, &stem, extension, &answer.bytes, now)?;
        let state = FeedState {
            etag: answer.field(header::ETAG),
            last_modified: answer.field(header::LAST_MODIFIED),
            last_file: Some(file.clone()),
            made: made.max(known),
            ..before
        };
        self.came_well(feed, state, &answer, pauses)?;
        Ok(Fetched::New { files: vec![file], remarks })
    }

    /// Remembers that nothing is new. Of warnings that is news: what was in force still is.
    fn unchanged(
        &self,
        feed: &Feed,
        mut before: FeedState,
        answer: &Answer,
        pauses: &Pauses,
        fetched: Fetched,
    ) -> Result<Fetched, FeedsError> {
        if feed.kind == SourceKind::Warnings {
            let file = before.last_file.clone().unwrap_or_else(|| folder_of(feed.kind).into());
            self.list(feed, &file, pauses.now)?;
        }
        // RFC 9111, section 4.3.4: what the answer says replaces what was remembered.
        before.etag = answer.field(header::ETAG).or(before.etag);
        before.last_modified = answer.field(header::LAST_MODIFIED).or(before.last_modified);
        self.came_well(feed, before, answer, pauses)?;
        Ok(fetched)
    }

    /// Keeps a reading and lists it: both, or neither.
    pub(crate) fn keep_listed(
        &self,
        feed: &Feed,
        stem: &str,
        extension: &str,
        bytes: &[u8],
        fetched_at: Timestamp,
    ) -> Result<PathBuf, FeedsError> {
        let file = keep_reading(&self.readings, folder_of(feed.kind), stem, extension, bytes)?;
        if let Err(error) = self.list(feed, &file, fetched_at) {
            // Not listed, it would count from its time of change, under no name.
            fs::remove_file(self.readings.join(&file)).ok();
            return Err(error);
        }
        Ok(file)
    }

    fn list(&self, feed: &Feed, file: &Path, fetched_at: Timestamp) -> Result<(), FeedsError> {
        // The list is written alike on every system.
        let parts: Vec<_> = file.iter().map(|part| part.to_string_lossy()).collect();
        let line = Line { file: parts.join("/"), fetched_at, source: feed.source.clone() };
        append(&self.readings, &[line])
    }

    fn came_well(
        &self,
        feed: &Feed,
        state: FeedState,
        answer: &Answer,
        pauses: &Pauses,
    ) -> Result<(), FeedsError> {
        let field = |name| answer.field(name);
        let (cache_control, expires) = (field(header::CACHE_CONTROL), field(header::EXPIRES));
        let (date, age) = (field(header::DATE), field(header::AGE));
        let freshness = Freshness {
            cache_control: cache_control.as_deref(),
            expires: expires.as_deref(),
            date: date.as_deref(),
            age: age.as_deref(),
        };
        let expires = freshness.until(pauses.now);
        self.remember(
            feed,
            FeedState {
                expires,
                next_at: Some(pauses.after_success(expires)),
                failures: 0,
                last_asked_at: Some(pauses.now),
                last_ok_at: Some(pauses.now),
                ..state
            },
        )
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
            Why::NotCovering => pauses.spread(later(pauses.now, NOT_COVERING_FOR)),
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

/// How long a feed is left alone after each outcome.
pub(crate) struct Pauses {
    pub(crate) every_min: u32,
    pub(crate) now: Timestamp,
    pub(crate) jitter: f64,
}

impl Pauses {
    fn every(&self) -> SignedDuration {
        SignedDuration::from_mins(i64::from(self.every_min.max(1)))
    }

    /// Never before what was sent has expired, nor sooner than the feed allows.
    pub(crate) fn after_success(&self, expires: Option<Timestamp>) -> Timestamp {
        let earliest = later(self.now, self.every());
        self.spread(expires.map_or(earliest, |expires| expires.max(earliest)))
    }

    /// Twice as long after each failure, up to a bound; longer where the service says so.
    fn after_failure(&self, failures: u32, come_back: Option<Timestamp>) -> Timestamp {
        let most = BACK_OFF_MAX.max(self.every());
        let doublings = failures.saturating_sub(1).min(10);
        let pause = self.every().saturating_mul(1 << doublings).min(most);
        let spread = pause.as_secs_f64() / 4.0 * self.jitter();
        let at = later(later(self.now, pause), SignedDuration::from_secs_f64(spread));
        come_back.map_or(at, |come_back| self.spread(at.max(come_back)))
    }

    fn spread(&self, at: Timestamp) -> Timestamp {
        let most = (self.every() / 10).min(SPREAD_MAX);
        later(at, SignedDuration::from_secs_f64(most.as_secs_f64() * self.jitter()))
    }

    fn jitter(&self) -> f64 {
        if self.jitter.is_finite() { self.jitter.clamp(0.0, 1.0) } else { 0.0 }
    }
}

/// A request that brought nothing, and when the service wants to be asked again.
struct Asked {
    why: Why,
    come_back: Option<Timestamp>,
}

impl std::convert::From<Why> for Asked {
    fn from(why: Why) -> Self {
        Asked { why, come_back: None }
    }
}

/// What an answer with an error says.
fn refusal(answer: &Answer, now: Timestamp) -> Asked {
    let come_back = answer.field(header::RETRY_AFTER).and_then(|text| retry_after(&text, now));
    // 422 is MET Norway's for a place outside its area.
    let is_elsewhere = answer.status == StatusCode::UNPROCESSABLE_ENTITY
        || (answer.status == StatusCode::NOT_FOUND && problem(answer).is_elsewhere());
    let why = if is_elsewhere {
        Why::NotCovering
    } else {
        Why::Status { status: answer.status.as_u16(), said: said(answer) }
    };
    Asked { why, come_back }
}

/// An error as services describe it.
///
/// # Source
///
/// RFC 9457 (before it RFC 7807), section 3.1.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Problem {
    r#type: String,
    title: String,
    detail: String,
}

impl Problem {
    /// Whether the National Weather Service has no data for the point.
    fn is_elsewhere(&self) -> bool {
        self.r#type.ends_with("/InvalidPoint")
    }
}

fn problem(answer: &Answer) -> Problem {
    serde_json::from_slice(&answer.bytes).unwrap_or_default()
}

/// What an error says for itself, in one short line.
fn said(answer: &Answer) -> String {
    let problem = problem(answer);
    let text = [problem.title, problem.detail].into_iter().filter(|part| !part.is_empty());
    let text = text.collect::<Vec<_>>().join(": ");
    let otherwise = answer.status.canonical_reason().unwrap_or("no reason given");
    let text = if text.is_empty() { otherwise.to_owned() } else { text };
    text.chars().filter(|c| !c.is_control()).take(200).collect()
}
