//! The clock of an event, by the database's name or as its own file explains it.

use jiff::tz::{Offset, TimeZone};

use crate::lines::Component;

/// The zone that a TZID names.
///
/// - `calendar`: the component that the event stands in, for zones that are none of the database's
///   (some programs write "AUS Eastern Standard Time" and explain it in the file).
pub(crate) fn zone_named(tzid: &str, calendar: &Component) -> Option<TimeZone> {
    of_the_database(tzid).or_else(|| {
        let explained = calendar.all("VTIMEZONE").find(|zone| {
            zone.property("TZID").is_some_and(|property| property.value.trim() == tzid)
        })?;
        explained_zone(explained)
    })
}

/// By its name, also where a program put its own path before it: `/example.org/Europe/Berlin`.
fn of_the_database(tzid: &str) -> Option<TimeZone> {
    let tzid = tzid.trim();
    if let Ok(zone) = TimeZone::get(tzid) {
        return Some(zone);
    }
    let path = tzid.strip_prefix('/')?;
    path.match_indices('/').find_map(|(at, _)| TimeZone::get(&path[at + 1..]).ok())
}

/// A zone from its VTIMEZONE: one offset for good, or two that change by a yearly rule.
///
/// Only the newest rules count, for bookings lie ahead. `None` for what is not understood; a zone
/// that is guessed would be a wrong hour.
///
/// # Source
///
/// RFC 5545, section 3.6.5; the text built here is a POSIX TZ string.
fn explained_zone(zone: &Component) -> Option<TimeZone> {
    let standard = newest(zone, "STANDARD")?;
    let standard_offset = offset(standard, "TZOFFSETTO")?;
    let Some(daylight) = newest(zone, "DAYLIGHT") else {
        let is_fixed = standard.property("RRULE").is_none();
        return is_fixed.then(|| TimeZone::fixed(standard_offset));
    };
    let daylight_offset = offset(daylight, "TZOFFSETTO")?;
    let rules = format!(
        "<STD>{}<DST>{},{},{}",
        posix_offset(standard_offset),
        posix_offset(daylight_offset),
        yearly(daylight)?,
        yearly(standard)?
    );
    TimeZone::posix(&rules).ok()
}

fn newest<'a>(zone: &'a Component, kind: &'a str) -> Option<&'a Component> {
    // Dates in this form sort as texts.
    zone.all(kind).max_by_key(|rule| rule.property("DTSTART").map(|start| start.value.clone()))
}

/// `+1100` or `-033000`.
fn offset(rule: &Component, name: &str) -> Option<Offset> {
    let text = rule.property(name)?.value.trim();
    let (sign, digits) = match text.split_at_checked(1)? {
        ("+", digits) => (1, digits),
        ("-", digits) => (-1, digits),
        _ => return None,
    };
    let two = |at: usize| digits.get(at..at + 2)?.parse::<i32>().ok();
    let seconds = if digits.len() > 4 { two(4)? } else { 0 };
    Offset::from_seconds(sign * (two(0)? * 3600 + two(2)? * 60 + seconds)).ok()
}

/// POSIX counts offsets westward.
fn posix_offset(offset: Offset) -> String {
    let seconds = -offset.seconds();
    let sign = if seconds < 0 { "-" } else { "" };
    let seconds = seconds.abs();
    format!("{sign}{}:{:02}:{:02}", seconds / 3600, seconds / 60 % 60, seconds % 60)
}

/// When a rule begins each year, as POSIX writes it: `M10.1.0/2:00:00`.
fn yearly(rule: &Component) -> Option<String> {
    let rrule = rule.property("RRULE")?.value.to_ascii_uppercase();
    let part =
        |name: &str| rrule.split(';').find_map(|part| part.strip_prefix(name)?.strip_prefix('='));
    if part("FREQ") != Some("YEARLY") || part("UNTIL").is_some() || part("COUNT").is_some() {
        return None;
    }
    let month: u8 = part("BYMONTH")?.parse().ok()?;
    let by_day = part("BYDAY")?;
    let (week, day) = by_day.split_at_checked(by_day.len().checked_sub(2)?)?;
    let weekday =
        ["SU", "MO", "TU", "WE", "TH", "FR", "SA"].iter().position(|name| *name == day)?;
    let week = match (week, part("BYMONTHDAY")) {
        ("-1", None) => 5,
        (week, None) => week.parse().ok().filter(|week| (1..=4).contains(week))?,
        ("", Some(days)) => week_of(days)?,
        _ => return None,
    };
    let clock = rule.property("DTSTART")?.value.trim().split_once('T')?.1.to_owned();
    let two =
        |at: usize| clock.get(at..at + 2).filter(|text| text.bytes().all(|b| b.is_ascii_digit()));
    Some(format!("M{month}.{week}.{weekday}/{}:{}:{}", two(0)?, two(2)?, two(4)?))
}

/// "The Sunday from the 8th to the 14th" is another way to say the second. Seven days that are no
/// such week are a rule that a POSIX text cannot say.
fn week_of(days: &str) -> Option<u8> {
    let days: Vec<u8> =
        days.split(',').map(|day| day.trim().parse().ok()).collect::<Option<_>>()?;
    let first = *days.first()?;
    let is_week =
        (1..=4).any(|week| first == week * 7 - 6) && days.iter().copied().eq(first..first + 7);
    is_week.then_some(first / 7 + 1)
}
