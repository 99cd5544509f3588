//! What bands, gates and sources are called on screens.

use fairspell_studio::{
    Band, GateKind, Step,
    outlook::{SourceKind, Tier},
};
use jiff::tz::TimeZone;

use crate::clock::clock;

/// A band, as screens and letters call it.
pub fn band_name(band: Band) -> &'static str {
    match band {
        Band::Settled => "settled",
        Band::Watch => "watch",
        Band::FamilysChoice => "family's choice",
        Band::AdviseMoving => "advise moving",
        Band::MustMove => "must move",
        Band::Unknown => "not known",
    }
}

/// A gate, as what happens then: it follows "decide by Thu 3 Sep, 11:45:".
pub fn gate_name(kind: GateKind) -> &'static str {
    match kind {
        GateKind::FirstWord => "first word to the family, a week ahead",
        GateKind::ArtistLimit => "last free change for hair and make-up",
        GateKind::TwoDays => "two days ahead",
        GateKind::EveningReading => "reading on the evening before",
        GateKind::MorningReading => "reading on the morning of the day",
        GateKind::Chair => "hair and make-up begin",
        GateKind::LeaveBy => "time to leave",
        GateKind::Arrival => "start, on the spot",
    }
}

/// A source.
pub fn source_name(kind: SourceKind) -> &'static str {
    match kind {
        SourceKind::Forecast => "forecast",
        SourceKind::Warnings => "official warnings",
        SourceKind::Radar => "radar",
    }
}

/// What an official warning means for us.
pub fn tier_name(tier: Tier) -> &'static str {
    match tier {
        Tier::Info => "for your information",
        Tier::Caution => "take care",
        Tier::Hold => "advise moving",
        Tier::Stop => "must move",
    }
}

/// What to do, in a list: "go", "wait until 15:00", "don't go".
pub fn step_name(step: Step, zone: &TimeZone) -> String {
    match step {
        Step::Go => "go".to_owned(),
        Step::WaitUntil(then) => format!("wait until {}", clock(then, zone)),
        Step::DontGo => "don't go".to_owned(),
    }
}

/// Under what sky a look is made.
pub fn setting_name(under_roof: bool) -> &'static str {
    if under_roof { "under a roof" } else { "in the open" }
}
