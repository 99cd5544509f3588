//! Times as the clock on the studio's wall says them, and ages.

use fairspell_studio::Span;
use jiff::{Timestamp, civil, tz::TimeZone};

/// A moment by the clock: "14:26".
///
/// # Examples
///
/// ```
/// use fairspell_words::clock::clock;
/// use jiff::{Timestamp, tz::TimeZone};
///
/// let zone = TimeZone::get("Australia/Sydney").expect("a zone of the database");
/// let picture: Timestamp = "2026-09-03T04:26:00Z".parse().expect("a moment");
/// assert_eq!(clock(picture, &zone), "14:26");
/// ```
pub fn clock(moment: Timestamp, zone: &TimeZone) -> String {
    zone.to_datetime(moment).strftime("%H:%M").to_string()
}

/// A day: "Thu 3 Sep".
///
/// Without the year: everything a studio says lies within a season.
///
/// ```
/// assert_eq!(fairspell_words::clock::date(jiff::civil::date(2026, 9, 3)), "Thu 3 Sep");
/// ```
pub fn date(date: civil::Date) -> String {
    date.strftime("%a %-d %b").to_string()
}

/// A day and an hour on the studio's wall: "Sun 27 Sep, 15:30".
pub fn date_and_clock(when: civil::DateTime) -> String {
    when.strftime("%a %-d %b, %H:%M").to_string()
}

/// A moment with its day: "Sun 27 Sep, 15:30".
pub fn moment(moment: Timestamp, zone: &TimeZone) -> String {
    date_and_clock(zone.to_datetime(moment))
}

/// A stretch of time: "Thu 3 Sep, 15:15 to 17:05"; the second day only where it is another.
pub fn hours(span: Span, zone: &TimeZone) -> String {
    let (from, to) = (zone.to_datetime(span.from), zone.to_datetime(span.to));
    if from.date() == to.date() {
        format!("{} to {}", date_and_clock(from), to.strftime("%H:%M"))
    } else {
        format!("{} to {}", date_and_clock(from), date_and_clock(to))
    }
}

/// How far a figure can be trusted to be of today: "as of 14:26", with the day where it is another
/// than the reader's.
pub fn as_of(issued: Timestamp, now: Timestamp, zone: &TimeZone) -> String {
    let (then, now) = (zone.to_datetime(issued), zone.to_datetime(now));
    if then.date() == now.date() {
        format!("as of {}", then.strftime("%H:%M"))
    } else {
        format!("as of {}", date_and_clock(then))
    }
}

/// How old something is: "4 minutes old", "3 hours old", "2 days old"; always rounded down.
///
/// Something dated later than now gets no age but is called so: a clock is wrong somewhere.
pub fn age(issued: Timestamp, now: Timestamp) -> String {
    let minutes = now.duration_since(issued).as_secs().div_euclid(60);
    let (count, unit) = match minutes {
        ..0 => return "dated later than now".to_owned(),
        0 => return "less than a minute old".to_owned(),
        1..120 => (minutes, "minute"),
        120..2880 => (minutes / 60, "hour"),
        _ => (minutes / 1440, "day"),
    };
    format!("{count} {unit}{} old", if count == 1 { "" } else { "s" })
}
