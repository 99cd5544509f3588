//! A spot's light: on one date, and through the year.

use jiff::{Timestamp, civil, tz::TimeZone};

use crate::{clock::clock, text::one_line};

/// Leads to the page.
pub const TO_LIGHT: &str = "Its light through the year";
/// From the page back to the spot's notes.
pub const TO_SPOT: &str = "Change what is noted of this spot";
/// Heads the steps.
pub const ANOTHER_DATE: &str = "Another date";
/// The date's field.
pub const DATE: &str = "Date";
/// Goes there.
pub const LOOK: &str = "Look";
/// The steps, by days.
pub const STEPS: [(i64, &str); 4] =
    [(-7, "A week earlier"), (-1, "The day before"), (1, "The day after"), (7, "A week later")];
/// How to step without a mouse.
pub const KEYS: &str = "The arrow keys left and right step by a day.";
/// What the figure's light is.
pub const CLEAR: &str = "The light on a face on a clear evening; rain is not in this picture. Cloud can end it \
                         15 to 25 minutes sooner.";
/// The date is none.
pub const DATE_WRONG: &str = "Please write the date as year-month-day, such as 2026-09-03.";
/// Heads the date's facts.
pub const THAT_DAY: &str = "That day, by a clear sky";
/// Heads the year.
pub const YEAR: &str = "The year";
/// What to know of the tide.
pub const TIDE_CAUTION: &str = "The water is that of a quiet day: wind and swell add to it. Official tide \
                                tables, warnings and local advice come first.";
/// The tide is missing.
pub const TIDE_MISSING: &str = "This spot has a limit of water, and the tide of that day is not known here. \
                                Look it up before you plan anything: what nobody knows is not dry land.";
/// How many of the year's days have no tide.
pub fn days_without_tide(days: usize) -> String {
    format!(
        "The tide of {days} days of this year is not known here; on those the picture says nothing of the \
         water."
    )
}

/// Leads to the tide.
pub const TO_TIDE: &str = "Enter the studio's tide";
/// No minute of the year will do.
pub const NEVER_USABLE: &str = "On no minute of this year is there light to work by here. Perhaps the noted \
                                skyline, roof or leaves are wrong, or the least light of your policy asks too \
                                much.";

/// Heads the sighting.
pub const SIGHTING: &str = "Put its skyline right by what you saw";
/// How it helps.
pub const SIGHTING_MEANS: &str = "Note when the last of the sun left this spot, or when the first of it came. \
                                  Where the sun stood then is known, and so is what hid it.";
/// What was seen.
pub const SAW: &str = "The sun";
/// It left.
pub const LEFT: &str = "left the spot";
/// It came.
pub const CAME: &str = "came to the spot";
/// When.
pub const SAW_DATE: &str = "On";
/// When.
pub const SAW_TIME: &str = "At";
/// There was none.
pub const NO_SUN: &str = "The sun was below the horizon then. Is it the right date, the right time of day, and \
                          the right place?";
/// The hour is skipped.
pub const NO_SUCH_TIME: &str = "The clocks go past this time on that day.";

/// The key of the year.
pub const KEY: [&str; 8] = [
    "sun, high",
    "sun, low and golden",
    "shade",
    "light, the sun below the horizon",
    "too dark",
    "closed by the tide",
    "last sun",
    "last light to work by",
];
/// Months, short.
pub const MONTHS: [&str; 12] =
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
/// What hours without the spot are called in an evening's figure.
pub const CLOSED_BY_TIDE: &str = "closed by the tide";

/// The page's heading: "The light at Warm Steps".
pub fn heading(spot: &str) -> String {
    format!("The light at {}", one_line(spot))
}

/// The figure's heading: "Thu 3 Sep 2026, Warm Steps".
pub fn evening_heading(date: civil::Date, spot: &str) -> String {
    format!("{}, {}", long_date(date), one_line(spot))
}

/// The year's heading: "Warm Steps, 2026".
pub fn year_heading(spot: &str, year: i16) -> String {
    format!("{}, {year}", one_line(spot))
}

/// A date with its year: "Thu 3 Sep 2026".
pub fn long_date(date: civil::Date) -> String {
    date.strftime("%a %-d %b %Y").to_string()
}

/// The mark at which the sun leaves: "sun leaves 16:53".
pub fn mark_sun_leaves(clock: &str) -> String {
    format!("sun leaves {clock}")
}

/// The mark of sunset.
pub fn mark_sunset(clock: &str) -> String {
    format!("sunset {clock}")
}

/// The mark of last light.
pub fn mark_last_light(clock: &str) -> String {
    format!("last light {clock}")
}

/// The year in words: on which date the sun stays longest and shortest.
pub fn year_description(
    spot: &str,
    year: i16,
    latest: Option<(civil::Date, u16)>,
    earliest: Option<(civil::Date, u16)>,
) -> String {
    let of = |(date, minute): (civil::Date, u16)| {
        format!("{} on {}", minute_clock(minute), date.strftime("%-d %b"))
    };
    match (latest, earliest) {
        (Some(latest), Some(earliest)) => format!(
            "{}, {year}: the sun leaves the spot between {} and {}.",
            one_line(spot),
            of(earliest),
            of(latest)
        ),
        _ => format!("{}, {year}: the sun never reaches the spot.", one_line(spot)),
    }
}

/// A minute of the day as the clock says it; 1440 is "24:00".
pub fn minute_clock(minute: u16) -> String {
    format!("{:02}:{:02}", minute / 60, minute % 60)
}

/// The sun is on the spot: "Sun on the spot 06:40 to 16:53."
pub fn sun_on_the_spot(spans: &[(u16, u16)]) -> String {
    if spans.is_empty() {
        return "The sun does not reach the spot.".to_owned();
    }
    format!("Sun on the spot {}.", spans_said(spans))
}

/// Stretches of the day: "06:40 to 09:10 and 14:00 to 16:53".
fn spans_said(spans: &[(u16, u16)]) -> String {
    let of = |(from, to): &(u16, u16)| format!("{} to {}", minute_clock(*from), minute_clock(*to));
    crate::text::and_list(&spans.iter().map(of).collect::<Vec<_>>())
}

/// Sunrise and sunset: "Sunrise 06:04, sunset 17:33."
pub fn rise_and_set(rise: Option<Timestamp>, set: Option<Timestamp>, zone: &TimeZone) -> String {
    match (rise, set) {
        (Some(rise), Some(set)) => {
            format!("Sunrise {}, sunset {}.", clock(rise, zone), clock(set, zone))
        }
        (Some(rise), None) => format!("Sunrise {}; it does not set that day.", clock(rise, zone)),
        (None, Some(set)) => format!("Sunset {}; it does not rise that day.", clock(set, zone)),
        (None, None) => "The sun neither rises nor sets that day.".to_owned(),
    }
}

/// Golden or blue light: "Golden light 06:00 to 06:35 and 17:00 to 17:53."
pub fn phase(is_golden: bool, spans: &[(Timestamp, Timestamp)], zone: &TimeZone) -> Option<String> {
    if spans.is_empty() {
        return None;
    }
    let of = |(from, to): &(Timestamp, Timestamp)| {
        format!("{} to {}", clock(*from, zone), clock(*to, zone))
    };
    let what = if is_golden { "Golden light" } else { "Blue light" };
    Some(format!("{what} {}.", crate::text::and_list(&spans.iter().map(of).collect::<Vec<_>>())))
}

/// Until when one can work: "Light to work by until 17:46."
pub fn last_light(minute: Option<u16>) -> String {
    match minute {
        Some(minute) => format!("Light to work by until {}.", minute_clock(minute)),
        None => "There is no light to work by that day.".to_owned(),
    }
}

/// When the water limits it: "The tide closes the spot 17:10 to 21:40."
pub fn flooded(spans: &[(u16, u16)]) -> String {
    if spans.is_empty() {
        return "The tide leaves the spot open all that day.".to_owned();
    }
    format!("The tide closes the spot {}.", spans_said(spans))
}
