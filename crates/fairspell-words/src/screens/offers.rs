//! Which evenings suit some looks at a place: the question, its answers, and what is said when there
//! is none.

use fairspell_studio::{LightWish, season::SchoolDeadline};
use jiff::{Timestamp, civil::Date, tz::TimeZone};

use crate::{
    clock::{clock, date},
    compass::compass,
    text::one_line,
};

/// The page's heading, and the link that leads to it.
pub const HEADING: &str = "Find an evening";
/// What the page is for.
pub const MEANS: &str = "Which dates give these looks their light? Sun, skyline, tide, opening \
                         hours and school are reckoned with, clouds are not: nobody knows them yet.";
/// The place's field.
pub const PLACE: &str = "Place";
/// All spots.
pub const ANYWHERE: &str = "any of our spots";
/// Heads the dates.
pub const WHEN: &str = "When";
/// The first date.
pub const FROM: &str = "From";
/// The last date.
pub const TO: &str = "To";
/// A deadline's field.
pub const DEADLINE: &str = "A picture must be handed in on";
/// The drive is longer than the studio drives.
pub const DRIVE_TOO_LONG: &str = "That drive is longer than you drive (Studio, Season and money).";
/// Reserve evenings count.
pub const WITH_RESERVE: &str = "Offer reserve evenings too";
/// The drive's field.
pub const DRIVE: &str = "Drive from home, minutes";
/// Heads the looks.
pub const LOOKS: &str = "Looks";
/// Rows may stay empty.
pub const LOOKS_HINT: &str = "Up to six. Rows without a name are passed over.";
/// Opens the other rows.
pub const MORE_LOOKS: &str = "More looks";
/// Its length.
pub const LOOK_MINUTES: &str = "Minutes";
/// Where the light is best.
pub const BEST_LIGHT: &str = "wherever the light is best";
/// The order is fixed.
pub const IN_ORDER: &str = "Keep this order";
/// Searches.
pub const SEARCH: &str = "Find evenings";
/// Heads the answers.
pub const ANSWERS: &str = "The evenings that suit best";
/// What the answers of a search for light stand on.
pub const ANSWERS_MEAN: &str =
    "The best light first, under a clear sky. Dates that are taken are left out.";
/// What the answers to an enquiry stand on.
pub const OFFERS_MEAN: &str = "The best first: light under a clear sky, and how often such evenings \
                               stay dry enough; with a deadline those that leave more days before it \
                               come first. Dates that are taken are left out.";
/// Heads an answer that is none.
pub const NO_ANSWER: &str = "No evening found";
/// Heads the looks of an answer.
pub const IN_ORDER_OF_TIME: &str = "The looks";
/// Heads what bounds an answer.
pub const BOUNDS: &str = "What the evening keeps to";
/// Begins a session with this answer.
pub const BOOK: &str = "Book this";

/// The place is gone.
pub const UNKNOWN_PLACE: &str = "That spot is not there any more. Please choose another.";
/// The first day lies behind.
pub const FROM_BEHIND: &str = "That day lies behind us. Please choose today or a later one.";
/// The last day is before the first.
pub const TO_BEFORE: &str = "The last day is before the first. Please choose a later one.";
/// No look's minutes.
pub const LOOK_MINUTES_WRONG: &str = "Please write whole minutes, from 5 to 240.";
/// A spot that the place rules out.
pub const SPOT_ELSEWHERE: &str =
    "This spot is not part of the place chosen above. Change one of the two.";

/// No day of the week is sold in these dates.
pub const NO_DAYS: &str = "Every date asked for is taken, never sold, or no day of your week. Ask \
                           for a longer time, or allow reserve evenings.";
/// Nobody knows the tide.
pub const TIDE_NOT_KNOWN: &str = "What is left depends on the tide, and the tide of these dates is \
                                  not known. Choose a place above the water, or dates that your \
                                  table of tides covers.";
/// No light for all looks.
pub const NO_LIGHT: &str = "On none of these dates there is light enough for all looks in one \
                            session. Take a look out, shorten one, give up the order, or let the \
                            spots be chosen.";
/// The question cannot be answered as it is.
pub const NOT_AS_ASKED: &str = "These looks cannot be placed as they are. Look at their minutes and \
                                spots again.";

/// What schools want: "Known: Saltern High, yearbook, Fri 18 Sep."
pub fn deadlines(deadlines: &[SchoolDeadline]) -> String {
    if deadlines.is_empty() {
        return "Empty where nobody waits for one.".to_owned();
    }
    let known: Vec<String> = deadlines
        .iter()
        .map(|it| format!("{}, {}, {}", one_line(&it.school), one_line(&it.name), date(it.date)))
        .collect();
    format!("Empty where nobody waits for one. Known: {}.", known.join("; "))
}

/// The first evening that could be sold: "The first free evening is Tue 8 Sep."
pub fn first_free(evening: Date) -> String {
    format!("The first free evening is {}.", date(evening))
}

/// One spot and no other: "Heron Walk only".
pub fn only(spot: &str) -> String {
    format!("{} only", one_line(spot))
}

/// Too many days: "That is more than 100 days. Please choose an earlier last day."
pub fn too_long(days: i32) -> String {
    format!("That is more than {days} days. Please choose an earlier last day.")
}

/// Heads an answer: "Thursday 3 September".
pub fn heading(date: Date) -> String {
    date.strftime("%A %-d %B").to_string()
}

/// Start, end and kind: "15:20 to 17:45, a working evening".
pub fn hours(
    (from, to): (Timestamp, Timestamp),
    zone: &TimeZone,
    is_reserve: bool,
    at_dawn: bool,
) -> String {
    let kind = if is_reserve { "a reserve" } else { "a working" };
    let half = if at_dawn { "day, at dawn" } else { "evening" };
    format!("{} to {}, {kind} {half}", clock(from, zone), clock(to, zone))
}

/// The road: "Leave home 14:30, home again 18:05."
pub fn road(leave: Timestamp, again: Timestamp, zone: &TimeZone) -> String {
    format!("Leave home {}, home again {}.", clock(leave, zone), clock(again, zone))
}

/// A look in its minutes: "15:30 to 15:55, Linen, Heron Walk".
pub fn look((from, to): (Timestamp, Timestamp), zone: &TimeZone, name: &str, spot: &str) -> String {
    let (from, to) = (clock(from, zone), clock(to, zone));
    format!("{from} to {to}: {}, {}", one_line(name), one_line(spot))
}

/// The light of a look at its spot, as far as its reason speaks of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LookLight {
    /// What it wants.
    pub wants: LightWish,
    /// The sun's height in its middle, degrees.
    pub sun_elevation_deg: f64,
    /// The sun's direction in its middle, degrees clockwise from true north.
    pub sun_azimuth_deg: f64,
    /// The share of its minutes with the sun on the spot, 0 to 1.
    pub direct_share: f64,
    /// Whether a roof is over it.
    pub under_roof: bool,
    /// Whether lamps light the spot.
    pub has_lamps: bool,
    /// When the sun leaves the spot, where it does that evening.
    pub sun_leaves: Option<Timestamp>,
    /// When the tide shuts the spot after it, where it does.
    pub tide_shuts: Option<Timestamp>,
    /// How well its wish is granted, 0 to 1.
    pub score: f64,
}

/// Below this a look's light is called a compromise.
const COMPROMISE_BELOW: f64 = 0.5;

/// Why a look is where and when it is: "low sun behind, in the west; it leaves the spot at 17:05".
pub fn reason(light: &LookLight, ends: Timestamp, zone: &TimeZone) -> String {
    let mut parts = vec![lit(light, zone)];
    let leaves = light.sun_leaves.filter(|at| light.direct_share >= 0.5 && *at >= ends);
    if let Some(at) = leaves {
        parts.push(format!("the sun leaves the spot at {}", clock(at, zone)));
    }
    if let Some(at) = light.tide_shuts {
        parts.push(format!("the tide shuts the spot at {}", clock(at, zone)));
    }
    if light.score < COMPROMISE_BELOW {
        parts.push("a compromise".to_owned());
    }
    parts.join("; ")
}

fn lit(light: &LookLight, zone: &TimeZone) -> String {
    let elevation_deg = light.sun_elevation_deg;
    if light.direct_share >= 0.5 {
        return in_the_sun(light);
    }
    let wants_sun = matches!(light.wants, LightWish::Backlight | LightWish::LowSun);
    if elevation_deg > 0.0 {
        let shade = match (light.under_roof, light.sun_leaves) {
            (true, _) => "open shade under the roof".to_owned(),
            (false, Some(at)) => {
                format!("open shade, the skyline takes the sun at {}", clock(at, zone))
            }
            (false, None) => "open shade".to_owned(),
        };
        return if wants_sun { format!("no sun on the spot by then: {shade}") } else { shade };
    }
    match light.wants {
        LightWish::Blue if light.has_lamps => "blue hour, with the lamps on",
        LightWish::Blue if elevation_deg <= -3.0 => "blue hour",
        LightWish::OpenShade => "soft, even light about sunset",
        LightWish::Backlight | LightWish::LowSun => "the sun is down by then: soft light",
        _ => "colour in the sky about sunset",
    }
    .to_owned()
}

fn in_the_sun(light: &LookLight) -> String {
    let height = match light.sun_elevation_deg {
        ..12.0 => "low sun",
        12.0..25.0 => "sun at a middling height",
        _ => "high sun",
    };
    let from = compass(light.sun_azimuth_deg).map(|side| format!(", in the {side}"));
    let from = from.unwrap_or_default();
    match light.wants {
        LightWish::LowSun => format!("{height} on the face{from}"),
        LightWish::OpenShade => format!("{height} still on the spot{from}: turn her back to it"),
        LightWish::Blue | LightWish::Afterglow => format!("{height} still up{from}"),
        LightWish::Backlight | LightWish::Any => format!("{height} behind{from}"),
    }
}

/// What bounds an evening.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bounding<'a> {
    /// School is out.
    SchoolOut,
    /// The sun leaves this spot.
    SunLeaves(&'a str),
    /// The tide shuts this spot.
    TideShuts(&'a str),
    /// The tide opens this spot.
    TideOpens(&'a str),
    /// This spot shuts its gate.
    Shuts(&'a str),
    /// The last light to work by.
    LastLight,
}

/// A bound with its time: "17:05: the sun leaves Heron Walk".
pub fn bound(what: Bounding<'_>, at: Timestamp, zone: &TimeZone) -> String {
    let words = match what {
        Bounding::SchoolOut => "school is out".to_owned(),
        Bounding::SunLeaves(spot) => format!("the sun leaves {}", one_line(spot)),
        Bounding::TideShuts(spot) => format!("the tide shuts {}", one_line(spot)),
        Bounding::TideOpens(spot) => format!("the tide opens {}", one_line(spot)),
        Bounding::Shuts(spot) => format!("{} shuts", one_line(spot)),
        Bounding::LastLight => "last light to work by".to_owned(),
    };
    format!("{}: {words}", clock(at, zone))
}

/// Said to those who hear the page, since every answer has such a link: "Book this: Thu 3 Sep".
pub fn book(day: Date) -> String {
    format!("{BOOK}: {}", date(day))
}
