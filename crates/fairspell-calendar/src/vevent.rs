//! One event of a calendar as a booking.

use fairspell_ground::LatLon;
use jiff::{
    Timestamp,
    civil::{Date, Time},
    tz::TimeZone,
};

use crate::{
    About, Booking,
    feed::is_gate,
    hours::moment,
    lines::{Component, Property, unescaped},
    list::LONGEST_MIN,
    plain::{Plain, quoted},
    zones::zone_named,
};

/// Reads one event.
///
/// - `calendar`: the component around it, for the zones that it explains.
/// - `zone`: the studio's.
pub(crate) fn booking(
    calendar: &Component,
    event: &Component,
    plain: &mut Plain<'_>,
    zone: &TimeZone,
) -> Result<Booking, About> {
    if event.property("UID").is_some_and(|uid| is_gate(uid.value.trim())) {
        return Err(About::OwnGate);
    }
    let begin = when(event.property("DTSTART").ok_or(About::NoDate)?, calendar, zone)?;
    let start = zone.to_datetime(begin);
    moment(start, zone)?;
    let contact = contact(event);
    let contact_name = contact.and_then(|contact| plain.text(contact.parameter("CN")?));
    let summary = text(event, "SUMMARY", plain);
    let sitter = summary.or_else(|| contact_name.clone()).ok_or(About::NoName)?;
    if event.property("RRULE").is_some() || event.property("RDATE").is_some() {
        plain.remark(About::Repeats);
    }
    Ok(Booking {
        origin: plain.origin.clone(),
        guardian: contact_name.filter(|name| *name != sitter),
        sitter,
        start,
        duration_min: duration_min(event, begin, calendar, plain, zone),
        place: text(event, "LOCATION", plain),
        position: position(event, plain),
        email: contact.and_then(|to| address(to, "mailto:")).and_then(|to| plain.email(to)),
        phone: contact.and_then(|to| address(to, "tel:")).and_then(|to| plain.phone(to)),
        deadline: None,
        looks: Vec::new(),
    })
}

/// Who is written to: the first person invited who is not the organizer, else the organizer.
///
/// The organizer of the photographer's own calendar is she herself, and some programs list her among
/// those invited.
fn contact(event: &Component) -> Option<&Property> {
    let organizer = event.property("ORGANIZER");
    let is_organizer = |invited: &Property| {
        organizer.is_some_and(|organizer| organizer.value.eq_ignore_ascii_case(&invited.value))
    };
    let is_a_thing =
        |invited: &Property| matches!(invited.parameter("CUTYPE"), Some("ROOM" | "RESOURCE"));
    event
        .properties("ATTENDEE")
        .find(|invited| !is_organizer(invited) && !is_a_thing(invited))
        .or(organizer)
}

fn text(event: &Component, name: &str, plain: &mut Plain<'_>) -> Option<String> {
    plain.text(&unescaped(&event.property(name)?.value))
}

/// What follows the scheme of an address, which may be written in any capitals.
fn address<'a>(contact: &'a Property, scheme: &str) -> Option<&'a str> {
    let (begin, address) = contact.value.trim().split_at_checked(scheme.len())?;
    begin.eq_ignore_ascii_case(scheme).then_some(address)
}

/// A date-time: in UTC, by the clock that it names, or by the studio's.
///
/// # Source
///
/// RFC 5545, section 3.3.5, forms 1 to 3.
fn when(property: &Property, calendar: &Component, zone: &TimeZone) -> Result<Timestamp, About> {
    let value = property.value.trim();
    let unusable = || About::DateUnusable(quoted(value));
    let (date, clock) = match value.split_once(['T', 't']) {
        None => return Err(About::NoHour(date_in(value).ok_or_else(unusable)?)),
        Some((date, clock)) => (date_in(date).ok_or_else(unusable)?, clock),
    };
    let utc = clock.strip_suffix(['Z', 'z']);
    let local = date.to_datetime(time_in(utc.unwrap_or(clock)).ok_or_else(unusable)?);
    let zone = match (utc, property.parameter("TZID")) {
        (Some(_), _) => TimeZone::UTC,
        (None, None) => zone.clone(),
        (None, Some(tzid)) => {
            zone_named(tzid, calendar).ok_or_else(|| About::ZoneUnknown(quoted(tzid)))?
        }
    };
    moment(local, &zone)
}

/// `19970714`.
fn date_in(text: &str) -> Option<Date> {
    let year = i16::try_from(number(text, 0, 4)?).ok()?;
    let (month, day) = (number(text, 4, 2)?, number(text, 6, 2)?);
    (text.len() == 8).then_some(())?;
    Date::new(year, i8::try_from(month).ok()?, i8::try_from(day).ok()?).ok()
}

/// `133000`; the standard allows a leap second, which no booking has.
fn time_in(text: &str) -> Option<Time> {
    (text.len() == 6).then_some(())?;
    let part = |at| i8::try_from(number(text, at, 2)?).ok();
    Time::new(part(0)?, part(2)?, part(4)?.min(59), 0).ok()
}

fn number(text: &str, at: usize, digits: usize) -> Option<u32> {
    let part = text.get(at..at + digits)?;
    part.bytes().all(|byte| byte.is_ascii_digit()).then(|| part.parse().ok())?
}

fn duration_min(
    event: &Component,
    begin: Timestamp,
    calendar: &Component,
    plain: &mut Plain<'_>,
    zone: &TimeZone,
) -> Option<u32> {
    let property = event.property("DTEND").or_else(|| event.property("DURATION"))?;
    let seconds = if property.name == "DTEND" {
        let end = when(property, calendar, zone).ok();
        end.map(|end| end.duration_since(begin).as_secs())
    } else {
        duration_s(property.value.trim())
    };
    let minutes = seconds
        .and_then(|seconds| u32::try_from(seconds / 60).ok())
        .filter(|minutes| (1..=LONGEST_MIN).contains(minutes));
    if minutes.is_none() {
        plain.remark(About::DurationUnusable(quoted(&property.value)));
    }
    minutes
}

/// `PT1H30M`, `P7W`, `P15DT5H0M20S`, in seconds.
///
/// # Source
///
/// RFC 5545, section 3.3.6.
fn duration_s(text: &str) -> Option<i64> {
    let (sign, text) = match text.strip_prefix('-') {
        Some(text) => (-1, text),
        None => (1, text.strip_prefix('+').unwrap_or(text)),
    };
    let mut rest = text.strip_prefix('P')?;
    let (mut seconds, mut in_time) = (0_i64, false);
    while !rest.is_empty() {
        if let Some(after) = rest.strip_prefix('T') {
            (rest, in_time) = (after, true);
            continue;
        }
        let end = rest.find(|c: char| !c.is_ascii_digit())?;
        let count: i64 = rest[..end].parse().ok()?;
        let unit = match (rest.as_bytes()[end], in_time) {
            (b'W', false) => 7 * 86_400,
            (b'D', false) => 86_400,
            (b'H', true) => 3600,
            (b'M', true) => 60,
            (b'S', true) => 1,
            _ => return None,
        };
        seconds = seconds.checked_add(count.checked_mul(unit)?)?;
        rest = &rest[end + 1..];
    }
    Some(sign * seconds)
}

/// `37.386013;-122.082932`.
fn position(event: &Component, plain: &mut Plain<'_>) -> Option<LatLon> {
    let value = event.property("GEO")?.value.trim();
    // Some programs escape what stands between the two numbers.
    let position = value.replace("\\;", ";").split_once(';').and_then(|(lat, lon)| {
        LatLon::new(lat.trim().parse().ok()?, lon.trim().parse().ok()?).ok()
    });
    if position.is_none() {
        plain.remark(About::PositionUnusable(quoted(value)));
    }
    position
}
