//! Asking the web: one request, or two where the first address names the second.

use jiff::{SignedDuration, Timestamp};
use reqwest::{StatusCode, Url, header};
use serde::Deserialize;

use crate::{
    Feed, Fetcher,
    content::is_web_page,
    fetched::{Astray, Why, unreadable},
    http_time::{later, retry_after},
    state::{FeedState, LedTo},
    web::{Answer, Conditions, address},
};

/// How long it is remembered where an address led to: grids are redrawn every few months.
const LED_TO_FOR: SignedDuration = SignedDuration::from_hours(3 * 24);

impl Fetcher {
    /// Asks, with conditions where we still have what they are about.
    pub(crate) async fn ask(
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
                let nowhere = || Why::astray(&led_to.address, Astray::NoAddress);
                let url = address(&led_to.address).ok_or_else(nowhere)?;
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
        if is_web_page(&answer.bytes) {
            return Err(Asked::from(Why::WebPage));
        }
        let document: serde_json::Value =
            serde_json::from_slice(&answer.bytes).map_err(|error| unreadable(&error))?;
        let named = document["properties"][property].as_str();
        let named = named.ok_or_else(|| unreadable(&format!("no `{property}` in the answer")))?;
        let (asked, address) = (own.as_str().to_owned(), named.to_owned());
        Ok(LedTo { asked, address, until: later(now, LED_TO_FOR) })
    }
}

/// A request that brought nothing, and when the service wants to be asked again.
pub(crate) struct Asked {
    pub(crate) why: Why,
    pub(crate) come_back: Option<Timestamp>,
}

impl From<Why> for Asked {
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

/// What an error says for itself, in one short line. Its title alone: the `detail` is of this one
/// request, and may repeat where the place is, which belongs into no log.
fn said(answer: &Answer) -> String {
    let title = problem(answer).title;
    let otherwise = answer.status.canonical_reason().unwrap_or("no reason given");
    let text = if title.is_empty() { otherwise.to_owned() } else { title };
    text.chars().filter(|c| !c.is_control()).take(200).collect()
}
