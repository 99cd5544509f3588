//! The light plan of a session: look by look, and what goes for all of them.

use fairspell_light::{ColourTemperatureRange, FacingAdvice, RainLook, Settings};
use fairspell_studio::{LightWish, Session, Span};
use jiff::{SignedDuration, Timestamp, tz::TimeZone};

use crate::{
    clock::{as_of, clock, date_and_clock},
    light::{facing_reason, facing_said, limit_said, rain_said, settings_said},
    screens::session_edit::wish,
    text::{capital, one_line},
};

/// Heads the plan within the session's page.
pub const HEADING: &str = "The light, look by look";
/// Leads to the plan on a page of its own.
pub const TO_PLAN: &str = "The light plan, to read and print";
/// Prints it.
pub const PRINT_HINT: &str = "Print this page from the browser; it fits on one sheet.";
/// What its hours are.
pub const PROPOSED: &str =
    "The hours of the looks are an equal split of the session's: a proposal.";
/// Heads the bag.
pub const BAG: &str = "The bag";
/// The forecast says nothing of the air.
pub const BAG_NOT_KNOWN: &str = "The forecast does not say how damp the air will be. On a humid evening stop \
                                 the car's cooling half an hour before you arrive, or set the bag out on \
                                 arrival.";
/// What the rows are called.
pub const STAND: &str = "Stand and face";
/// The sun.
pub const SUN: &str = "Sun, if it shines";
/// The camera.
pub const CAMERA: &str = "Camera";
/// The colour.
pub const COLOUR: &str = "White balance";
/// The water.
pub const WATER: &str = "Water";
/// The end.
pub const END: &str = "Light to work by";
/// The rain.
pub const RAIN: &str = "If it rains";
/// What to know of the water.
pub const WATER_CAUTION: &str = "The water is that of a quiet day; wind and swell add to it. Official tide \
                                 tables, warnings and local advice come first, and the way back has to stay \
                                 open.";
/// Nothing can be said.
pub const NO_LIGHT: &str = "There is no light to work by at this hour.";

/// The page's heading: "The light: Linh, Thu 3 Sep, 15:15".
pub fn heading(session: &Session) -> String {
    format!("The light: {}, {}", one_line(&session.sitter), date_and_clock(session.start))
}

/// A look: "16:05 to 16:55, sage satin, Lantern Steps".
pub fn look(hours: Span, name: &str, spot: &str, zone: &TimeZone) -> String {
    format!(
        "{} to {}, {}, {}",
        clock(hours.from, zone),
        clock(hours.to, zone),
        one_line(name),
        one_line(spot)
    )
}

/// What cloud the plan counts with, from whom, and how old that is.
pub fn cloud(seen: Option<(f64, &str, Timestamp)>, now: Timestamp, zone: &TimeZone) -> String {
    match seen {
        Some((cloud, source, issued)) => format!(
            "Counted with cloud over {:.0} % of the sky in these hours ({}, {}). Cloud that thickens ends the \
             light sooner.",
            cloud * 100.0,
            one_line(source),
            as_of(issued, now, zone)
        ),
        None => "No forecast says how much cloud there will be, so everything from thick rain cloud to a clear \
                 sky is allowed for."
            .to_owned(),
    }
}

/// Where to stand and face, and why.
pub fn facing(advice: &FacingAdvice, is_backlit: bool, wants: LightWish) -> String {
    let reasons: Vec<String> = advice.reasons.iter().map(facing_reason).collect();
    let wish = match (wants, is_backlit) {
        (LightWish::Backlight, false) => " No sun stands behind here and then.",
        _ => "",
    };
    format!("{}: {}.{wish}", facing_said(advice.light.facing_azimuth_deg), reasons.join("; "))
}

/// What a look wants: "wants low sun behind".
pub fn wants(wants: LightWish) -> Option<String> {
    (wants != LightWish::Any).then(|| format!("wants {}", wish(wants)))
}

/// When the sun is on the spot, and when it leaves.
pub fn sun(spans: &[Span], under_roof: bool, hours: Span, zone: &TimeZone) -> String {
    if under_roof {
        return "Under a roof: light from its open side.".to_owned();
    }
    let meets = |span: &&Span| span.from < hours.to && hours.from < span.to;
    let during = spans.iter().find(meets);
    let before = spans.iter().rev().find(|span| span.to <= hours.from);
    match (during, before) {
        (Some(span), _) if span.from > hours.from => {
            format!("Comes to the spot at {}, during this look.", clock(span.from, zone))
        }
        (Some(span), _) if span.to >= hours.to => {
            format!("On the spot; leaves at {}.", clock(span.to, zone))
        }
        (Some(span), _) => {
            format!("Leaves the spot at {}, during this look.", clock(span.to, zone))
        }
        (None, Some(span)) => format!("Left the spot at {}: shade.", clock(span.to, zone)),
        (None, None) => "Not on the spot: shade.".to_owned(),
    }
}

/// Settings to begin with, and for the least light.
pub fn camera(begin: Option<&Settings>, darkest: Option<&Settings>, doubt_stops: f64) -> String {
    let Some(begin) = begin else {
        return "Your camera's limits leave no setting for this; look at your policy.".to_owned();
    };
    let mut said = format!("Begin with {}.", settings_said(begin));
    if let Some(darkest) = darkest.filter(|darkest| doubt_stops >= 0.5 && *darkest != begin) {
        let limits: Vec<String> = darkest.limits.iter().map(limit_said).collect();
        let settings = settings_said(darkest);
        said = format!("{said} Under the darkest likely cloud {settings}.");
        if !limits.is_empty() {
            said = format!("{said} {}.", limits.join(". "));
        }
    }
    said
}

/// How warm or cool the light is.
pub fn colour(range: ColourTemperatureRange) -> String {
    let hundreds = |k: f64| (k / 100.0).round() * 100.0;
    format!(
        "{:.0} to {:.0} K; set one and keep it for the look.",
        hundreds(range.low_k),
        hundreds(range.high_k)
    )
}

/// Beyond a moment nobody knows the tide.
pub fn water_known_until(at: Timestamp, zone: &TimeZone) -> String {
    format!(
        "Leaves the spot free until {}; beyond that the tide is not known here.",
        clock(at, zone)
    )
}

/// What the water does.
pub fn water(free: Option<bool>, at: Option<Timestamp>, zone: &TimeZone) -> String {
    match (free, at) {
        (None, _) => {
            "The spot has a limit of water and the tide is not known here. Look it up; what nobody knows is \
             not dry land."
                .to_owned()
        }
        (Some(true), None) => "Leaves the spot free for the next twelve hours.".to_owned(),
        (Some(true), Some(at)) => format!("Shuts the spot at {}.", clock(at, zone)),
        (Some(false), Some(at)) => format!("Keeps the spot closed until {}.", clock(at, zone)),
        (Some(false), None) => "Keeps the spot closed for the next twelve hours.".to_owned(),
    }
}

/// So much sooner must cloud end the light for it to be said.
const SAID_FROM: SignedDuration = SignedDuration::from_mins(4);

/// Until when there is light, by the cloud.
pub fn last_light(
    dark: Option<Timestamp>,
    likely: Option<Timestamp>,
    bright: Option<Timestamp>,
    zone: &TimeZone,
) -> String {
    // A difference that no one plans by is not said.
    let is_sooner = |dark: Timestamp, later: Timestamp| later.duration_since(dark) >= SAID_FROM;
    match (dark, likely, bright) {
        (Some(dark), Some(likely), _) if is_sooner(dark, likely) => format!(
            "Until {}; under thick cloud only until {}.",
            clock(likely, zone),
            clock(dark, zone)
        ),
        (Some(dark), None, Some(bright)) if is_sooner(dark, bright) => format!(
            "Until {} under thick cloud, {} under a clear sky.",
            clock(dark, zone),
            clock(bright, zone)
        ),
        (_, Some(at), _) | (Some(at), None, _) | (None, None, Some(at)) => {
            format!("Until {}.", clock(at, zone))
        }
        (None, None, None) => "Not enough for your camera's limits here.".to_owned(),
    }
}

/// How rain will look.
pub fn rain(look: &RainLook) -> String {
    capital(&format!("{}.", rain_said(look)))
}
