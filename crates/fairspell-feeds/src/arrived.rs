//! Keeping what came, if it is new and can be read.

use std::{
    fs,
    path::{Path, PathBuf},
};

use fairspell_ground::LatLon;
use fairspell_studio::outlook::SourceKind;
use jiff::{SignedDuration, Timestamp};
use reqwest::{StatusCode, header};

use crate::{
    Feed, FeedsError, Fetcher,
    content::{Sound, check_aside},
    feed::folder_of,
    fetched::{FetchRemark, Fetched, Why},
    http_time::{Freshness, later},
    keep::{append, keep_reading, put_aside, stem},
    pauses::Pauses,
    received::Line,
    state::FeedState,
    web::Answer,
};

/// How much older than the last one a list of warnings may be: a service's machines differ a little.
const LIST_OLDER_MAX: SignedDuration = SignedDuration::from_mins(15);

/// How far a service's clock may run ahead of ours.
const CLOCK_ERROR_MAX: SignedDuration = SignedDuration::from_mins(15);

impl Fetcher {
    /// Keeps a whole answer, if it is new and can be read.
    pub(crate) async fn keep(
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
        let (checked, bytes) =
            check_aside(feed.kind, std::mem::take(&mut answer.bytes), place).await;
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
    pub(crate) fn unchanged(
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
}
