//! The field sheet in words: what a set is called, where to begin, who speaks of the rain.

use fairspell_light::LightPhase;
use fairspell_plan::field::{Closed, FieldError, FieldSet, Setting, rain::RainBasis};
use fairspell_studio::{Band, LookTable, Session, session::Look};
use jiff::{Timestamp, tz::TimeZone};

use crate::{
    clock::clock,
    sheet::SheetRuleTold,
    text::{and_list, capital, one_line},
};

/// What a set is called: "sage satin at Cannery Arcade, under the roof".
pub fn field_set_title(set: &FieldSet<'_>, session: &Session) -> String {
    let how = set_how(set.setting, set.in_dashes, set.is_again);
    let look = one_line(&session.looks[set.look].name);
    format!("{look} at {}{how}", one_line(&set.spot.name))
}

/// How a set is made, said after its look and its spot: ", under the roof, a second time".
pub(crate) fn set_how(setting: Setting, in_dashes: bool, is_again: bool) -> String {
    let how = match (setting, in_dashes) {
        (Setting::Open, false) => "",
        (Setting::Open, true) => ", in dashes out into the rain",
        (Setting::Umbrella, _) => ", under the clear umbrella",
        (Setting::Cover, _) => ", under the roof",
    };
    format!("{how}{}", again(is_again))
}

/// A look at a spot, as a heading: "Sage satin at Cannery Arcade".
pub fn field_set_place(set: &FieldSet<'_>, session: &Session) -> String {
    let look = one_line(&session.looks[set.look].name);
    capital(&format!("{look} at {}{}", one_line(&set.spot.name), again(set.is_again)))
}

/// Said of a second round, or nobody would see that the first was counted.
fn again(is_again: bool) -> &'static str {
    if is_again { ", a second time" } else { "" }
}

/// The same as a heading: "Sage satin at Cannery Arcade, under the roof".
pub fn field_set_heading(set: &FieldSet<'_>, session: &Session) -> String {
    capital(&field_set_title(set, session))
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

/// What holds in the field whatever the sheet says.
pub const FIELD_CAUTIONS: [&str; 6] = [
    "First thunder or flash: stop, go to the refuge, wait 30 minutes after the last one. A porch, an open \
     shed or a tree is no refuge.",
    "Official warnings and the people in charge of a place come before this sheet.",
    "Water that moves takes a person at 15 cm and a car at 30 cm: turn around.",
    "Watch the tide line and the swell; keep the way back open.",
    "Feeling faint, cold or hot ends the session, without blame.",
    "No tracks, no roads, no wet rock ledges; never alone with her or him out of sight of the companion.",
];

/// The heading of the sheet: "Linh, Thu 3 Sep, 15:15".
pub fn field_title(session: &Session) -> String {
    crate::screens::session::heading(session)
}

/// What there is to mind about a set, in a few words each.
pub fn field_why(table: &LookTable, look: &Look, set: &FieldSet<'_>) -> Vec<String> {
    let mut why = Vec::new();
    let is_open = set.setting == Setting::Open;
    if table.marks_for_good(look) {
        why.push("Water marks it for good: not a drop".to_owned());
    } else if table.shows_drops(look) && is_open {
        why.push("Drops show on it".to_owned());
    }
    if is_open && !set.in_dashes && !table.marks_for_good(look) {
        why.push("Umbrella at hand: up at the first drops".to_owned());
    }
    if set.in_dashes {
        why.push("Out for 40 seconds at most, then back under".to_owned());
    }
    if set.setting == Setting::Cover {
        why.push("A step behind the edge of the roof, face toward the open side".to_owned());
    }
    why
}

/// The light of a moment: "Sun 12° up. Gold: from behind or from the side."
pub fn field_light(apparent_elevation_deg: f64, phase: LightPhase) -> String {
    let sun = match apparent_elevation_deg.round() {
        up if up > 0.0 => format!("Sun {up:.0}° up"),
        down if down < 0.0 => format!("Sun {:.0}° down", -down),
        _ => "Sun on the horizon".to_owned(),
    };
    let phase = match phase {
        LightPhase::High => "hard from above: open shade only",
        LightPhase::ShadeFirst => "shade, or the sun behind",
        LightPhase::Gold => "gold: from behind or from the side",
        LightPhase::FaceToSun => "low: a face can look toward it",
        LightPhase::Soft => "soft, with colour in the sky opposite",
        LightPhase::Blue => "blue; lamps mix in",
        LightPhase::Dark => "dark",
    };
    format!("{sun}, {phase}.")
}

/// Which rule of thumb rules this evening, in a sentence.
pub fn field_rule(ruling: SheetRuleTold) -> String {
    let said = match ruling {
        SheetRuleTold::DelicateFirst => {
            "Delicate first rules this evening, before the favourite in the best light."
        }
        SheetRuleTold::FavouriteInBestLight => {
            "The favourite in the best light rules this evening, before delicate first."
        }
        SheetRuleTold::Both => {
            "Delicate first and the favourite in the best light go together this evening."
        }
        SheetRuleTold::Neither => "No rule of thumb holds this evening; go by the sheet.",
    };
    said.to_owned()
}

/// A step of an outline: a set with whether it is the short form, else to finish or to wait.
pub fn field_step(set: Option<(&str, bool)>, finish: bool) -> String {
    match set {
        Some((title, true)) => format!("{}, short", capital(title)),
        Some((title, false)) => capital(title),
        None if finish => "Finish".to_owned(),
        None => "Wait under cover".to_owned(),
    }
}

/// Why there is no sheet, and what to do.
pub fn field_problem(error: &FieldError) -> String {
    match error {
        FieldError::NoLight(_) => {
            "There is no light to work by in this session's hours: look at its start and its looks."
                .to_owned()
        }
        FieldError::NothingOpen { why, .. } => {
            let why = match why {
                Closed::Spot => "shut, flooded or too windy",
                Closed::Light => "too dark",
                Closed::Time => "too far for the time",
                Closed::Rain => "no good in any weather",
            };
            format!(
                "Nothing can be made: every spot of this session is closed all evening, the first {why}. \
                 Choose other spots for its looks."
            )
        }
        FieldError::Problem(error) => format!("The studio's numbers do not go together: {error}."),
    }
}

/// That the file was written, and how it comes to the phone.
pub fn field_packed(file: &str) -> String {
    format!(
        "Written to {file}. Send it to the phone before leaving and open it there once: it then needs no \
         signal. It says at once if that phone does not keep what is tapped."
    )
}

/// Nobody knows how hard it blows where that matters.
pub fn field_wind_unknown(spots: &[&str]) -> String {
    let spots: Vec<String> = spots.iter().map(|spot| one_line(spot)).collect();
    format!("How hard it blows is not known: look before you go out to {}.", and_list(&spots))
}

/// Why nothing is to be begun, whatever the plan says; `None` where nothing speaks against it.
pub fn field_stop(band: Band, is_moved: bool) -> Option<&'static str> {
    if is_moved {
        Some("This session was moved to another date. Nothing is made on this one.")
    } else if band == Band::MustMove {
        Some(
            "By your policy this session must not be held: read the warnings and where it stands before \
             anything else.",
        )
    } else {
        None
    }
}
