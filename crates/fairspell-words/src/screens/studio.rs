//! The studio's own pages: one file for each, and here their list.

pub mod about;
pub mod backups;
pub mod journal;
pub mod looks;
pub mod policy;
pub mod season;
pub mod sign_ins;
pub mod sources;
pub mod tide;
pub mod week;

use fairspell_studio::{
    Policy, Studio,
    studio::{Day, Week},
};
use jiff::{Timestamp, tz::TimeZone};

use crate::{
    clock::moment,
    text::{and_list, capital, one_line},
};

/// The page's heading.
pub const HEADING: &str = "Your studio";
/// From a part back to the list.
pub const TO_STUDIO: &str = "To your studio";

/// What was just done, by its word in the address; what can be undone is said elsewhere.
pub fn done(word: &str) -> Option<&'static str> {
    match word {
        "kept" => Some("Saved."),
        "ended" => Some("Every other sign-in has ended."),
        "passphrase" => Some("The new passphrase holds. Every other sign-in has ended."),
        "told" => Some(super::telling::TEST_SENT),
        _ => None,
    }
}

/// The studio in one line.
pub fn about_line(studio: &Studio) -> String {
    format!("{}, {}, {}", one_line(&studio.name), one_line(&studio.owner), one_line(&studio.place))
}

/// The week in one line: "Working Tue and Thu; reserve Wed and Sun; 2 stretches never offered".
pub fn week_line(week: &Week, blackouts: usize) -> String {
    let days = |days: &[Day]| {
        let names: Vec<&str> = days.iter().map(|day| &week::day(*day)[..3]).collect();
        if names.is_empty() { "no day".to_owned() } else { and_list(&names) }
    };
    let never = match blackouts {
        0 => String::new(),
        1 => "; one stretch never offered".to_owned(),
        count => format!("; {count} stretches never offered"),
    };
    format!("Working {}; reserve {}{never}", days(&week.working), days(&week.reserve))
}

/// The policy in one line.
pub fn policy_line(policy: &Policy) -> String {
    format!(
        "Any rain: watched from {} %, the family's choice above {} %, moving advised above {} %; a \
         dry gap of {} minutes",
        policy.any_rain.watch_from_percent,
        policy.any_rain.choice_above_percent,
        policy.any_rain.advise_above_percent,
        policy.rescue_set_min
    )
}

/// The sources in one line: "4 sources, 1 of them failing, 1 paused".
pub fn sources_line(count: usize, failing: usize, paused: usize) -> String {
    if count == 0 {
        return "None yet: nothing is fetched".to_owned();
    }
    let of = |count: usize, what: &str| {
        if count == 0 { String::new() } else { format!(", {count} {what}") }
    };
    let sources = if count == 1 { "source" } else { "sources" };
    format!("{count} {sources}{}{}", of(failing, "failing"), of(paused, "paused"))
}

/// The channels in one line.
pub fn telling_line(channels: Option<String>) -> String {
    channels.unwrap_or_else(|| capital("no way of telling you is set up yet"))
}

/// The sign-ins in one line.
pub fn sign_ins_line(count: usize) -> String {
    match count {
        0 => "Nobody has to sign in here".to_owned(),
        1 => "Signed in on one device".to_owned(),
        _ => format!("Signed in on {count} devices"),
    }
}

/// The backups in one line.
pub fn backups_line(newest: Option<Timestamp>, zone: &TimeZone) -> String {
    newest.map_or_else(
        || "None made here yet".to_owned(),
        |newest| format!("The newest was made {}", moment(newest, zone)),
    )
}

/// The journal in one line.
pub fn journal_line(entries: Option<u64>) -> String {
    match entries {
        None | Some(0) => "Empty".to_owned(),
        Some(1) => "1 entry".to_owned(),
        Some(count) => format!("{count} entries"),
    }
}
