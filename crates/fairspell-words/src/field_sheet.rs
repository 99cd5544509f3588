//! The field sheet in words: what a set is called, where to begin, who speaks of the rain.

use fairspell_plan::field::{FieldSet, Setting, rain::RainBasis};
use fairspell_studio::Session;
use jiff::{Timestamp, tz::TimeZone};

use crate::{clock::clock, text::one_line};

/// What a set is called: "sage satin at Cannery Arcade, under the roof".
pub fn field_set_title(set: &FieldSet<'_>, session: &Session) -> String {
    let how = match (set.setting, set.in_dashes) {
        (Setting::Open, false) => "",
        (Setting::Open, true) => ", in dashes out into the rain",
        (Setting::Umbrella, _) => ", under the clear umbrella",
        (Setting::Cover, _) => ", under the roof",
    };
    let look = one_line(&session.looks[set.look].name);
    format!("{look} at {}{how}", one_line(&set.spot.name))
}

/// Where and when to begin.
pub fn field_begins(origin: Timestamp, spot: &str, zone: &TimeZone) -> String {
    format!("Begin at {} at {}.", one_line(spot), clock(origin, zone))
}

/// Who speaks of the rain that the sheet reckons with.
pub fn field_rain_basis(basis: RainBasis) -> &'static str {
    match basis {
        RainBasis::RadarAndForecast => {
            "Rain near ahead goes by radar, farther ahead by the forecast and how long rain lasts."
        }
        RainBasis::Radar => {
            "Rain near ahead goes by radar; no forecast speaks of the rest, so one evening in five \
             is taken for wet."
        }
        RainBasis::Forecast => "Rain goes by the forecast and how long rain lasts; no radar yet.",
        RainBasis::Nobody => {
            "Nobody speaks of the rain: one evening in five is taken for wet. Look at the sky."
        }
    }
}
