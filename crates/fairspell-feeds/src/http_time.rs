//! What HTTP says of time: dates, how long an answer stays fresh, when to come back.

use std::time::SystemTime;

use jiff::{SignedDuration, Timestamp};

/// No answer is believed to stay fresh longer than this, and nobody is stayed away from longer: a
/// date years ahead is a fault, and would silence a feed for good.
const LONGEST: SignedDuration = SignedDuration::from_hours(24);

/// A date as HTTP writes it, in any of its three forms.
///
/// # Source
///
/// RFC 9110, section 5.6.7.
pub fn http_date(text: &str) -> Option<Timestamp> {
    let moment: SystemTime = httpdate::parse_http_date(text.trim()).ok()?;
    Timestamp::try_from(moment).ok()
}

/// The fields of an answer that say how long it stays fresh, as they were sent.
#[derive(Debug, Clone, Copy, Default)]
pub struct Freshness<'a> {
    /// `Cache-Control`; several fields joined with commas.
    pub cache_control: Option<&'a str>,
    /// `Expires`.
    pub expires: Option<&'a str>,
    /// `Date`.
    pub date: Option<&'a str>,
    /// `Age`: how long the answer lay in a cache on the way, s.
    pub age: Option<&'a str>,
}

impl Freshness<'_> {
    /// The moment up to which an answer that came `now` need not be asked for again; at most a day
    /// ahead. `None` where the answer does not say, or says that it must be asked for anew.
    ///
    /// Where the answer has its own `Date`, its `Expires` is read against that: then nothing depends
    /// on whether the two clocks agree.
    ///
    /// # Source
    ///
    /// RFC 9111: section 4.2.1 (`max-age` before `Expires`; `s-maxage` is for shared caches), 4.2.3
    /// (`Age`), 5.2.2.4 and 5.2.2.5 (`no-cache`, `no-store`), 5.3 (an `Expires` that is no date has
    /// passed), 1.2.2 (a number too large is a very long time).
    pub fn until(&self, now: Timestamp) -> Option<Timestamp> {
        let directives = || {
            let all = self.cache_control.unwrap_or_default().split(',').map(str::trim);
            all.map(|one| one.split_once('=').unwrap_or((one, "")))
        };
        let has = |name: &str| directives().any(|(one, _)| one.eq_ignore_ascii_case(name));
        if has("no-cache") || has("no-store") {
            return None;
        }
        let max_age = directives()
            .find(|(name, _)| name.eq_ignore_ascii_case("max-age"))
            .and_then(|(_, value)| seconds(value.trim().trim_matches('"')));
        let age = self.age.and_then(seconds).unwrap_or_default();
        let lifetime = if let Some(max_age) = max_age {
            max_age
        } else {
            let expires = http_date(self.expires?)?;
            expires.duration_since(self.date.and_then(http_date).unwrap_or(now))
        };
        let left = lifetime.min(LONGEST + age) - age;
        (left > SignedDuration::ZERO).then(|| later(now, left.min(LONGEST)))
    }
}

/// When a service that is busy wants to be asked again; at most a day ahead.
///
/// # Source
///
/// RFC 9110, section 10.2.3: a date, or seconds from now.
pub fn retry_after(text: &str, now: Timestamp) -> Option<Timestamp> {
    let wait = match seconds(text.trim()) {
        Some(wait) => wait,
        None => http_date(text)?.duration_since(now),
    };
    Some(later(now, wait.clamp(SignedDuration::ZERO, LONGEST)))
}

/// A count of seconds. One too large for the type is taken as ten years, as the standard advises.
fn seconds(text: &str) -> Option<SignedDuration> {
    const TEN_YEARS_S: i64 = 10 * 366 * 24 * 3600;
    let is_number = !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    is_number.then(|| {
        SignedDuration::from_secs(text.parse().map_or(TEN_YEARS_S, |s: i64| s.min(TEN_YEARS_S)))
    })
}

/// A moment so much later, or earlier by a negative duration; at either end of time it stays there.
pub(crate) fn later(from: Timestamp, by: SignedDuration) -> Timestamp {
    let end = if by.is_negative() { Timestamp::MIN } else { Timestamp::MAX };
    from.checked_add(by).unwrap_or(end)
}
