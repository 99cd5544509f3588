//! Everything known of a session's sky at one moment. Never changed afterwards.

use fairspell_chance::{Chance, Character, Probability};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// A stretch of time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Span {
    /// Its beginning.
    pub from: Timestamp,
    /// Its end.
    pub to: Timestamp,
}

impl Span {
    /// Whether two stretches share a moment; touching ends do not.
    pub fn overlaps(&self, other: &Span) -> bool {
        self.from < other.to && other.from < self.to
    }

    /// Its length, minutes.
    pub fn minutes(&self) -> f64 {
        self.to.duration_since(self.from).as_secs_f64() / 60.0
    }
}

/// A figure with everything without which it means nothing: hours, place, source, age.
///
/// The amount that counts as rain stands in the name of the figure that holds this.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Sourced<T> {
    /// The figure.
    pub value: T,
    /// The hours it speaks of.
    pub hours: Span,
    /// The place it speaks of.
    pub place: String,
    /// Who says so.
    pub source: String,
    /// When its source was issued: a forecast's run, a radar picture's time.
    pub issued: Timestamp,
    /// Whether the source stated it, or we derived it from something else that it stated.
    pub our_estimate: bool,
}

/// What an official warning means for an outdoor portrait.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Tier {
    /// Shown.
    Info,
    /// Shown, with its caution.
    Caution,
    /// Advise moving.
    Hold,
    /// Must move.
    Stop,
}

/// What a warning overlaps.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Reach {
    /// The session's hours at one of its spots.
    Session,
    /// The drive there or home.
    Drive,
}

/// An official warning that touches the session.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WarningSeen {
    /// What it warns of, in the service's words.
    pub event: String,
    /// What that means for us.
    pub tier: Tier,
    /// What it overlaps.
    pub reach: Reach,
    /// From when to when it holds; no end: until further notice.
    pub from: Timestamp,
    /// Its end.
    pub to: Option<Timestamp>,
    /// The service's headline.
    pub headline: Option<String>,
    /// Who warns.
    pub source: String,
    /// When the warning was sent.
    pub issued: Timestamp,
}

/// One of the three sources a ruling rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SourceKind {
    /// Hourly forecast.
    Forecast,
    /// Official warnings.
    Warnings,
    /// Radar pictures.
    Radar,
}

/// How a source stands.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SourceState {
    /// Young enough.
    Fresh {
        /// Who.
        source: String,
        /// When it was issued (warnings: when the list was last fetched).
        issued: Timestamp,
    },
    /// There, but too old to rely on.
    Stale {
        /// Who.
        source: String,
        /// When it was issued.
        issued: Timestamp,
    },
    /// There, but it does not speak of these hours or this place.
    NotCovering {
        /// Who.
        source: String,
    },
    /// Not there.
    Missing,
    /// No such service covers the place; she has to look herself.
    NoneHere,
    /// Not looked at yet: the session is too far off for it to say anything.
    NotYet,
}

impl SourceState {
    /// Whether a ruling may rest on it.
    pub fn is_sound(&self) -> bool {
        matches!(self, SourceState::Fresh { .. } | SourceState::NoneHere | SourceState::NotYet)
    }
}

/// Temperature and wind over the session's hours.
///
/// Each figure is the worst that is known. Where some of the hours say nothing, the worst may be
/// worse still, and `temperature_is_complete` or `gusts_are_complete` is false.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Comfort {
    /// Whether every hour says how warm and how cold it feels.
    pub temperature_is_complete: bool,
    /// Whether every hour has a gust, stated or estimated from its mean wind.
    pub gusts_are_complete: bool,
    /// Highest air temperature, °C.
    pub air_temperature_max_c: Option<Sourced<f64>>,
    /// Highest of air temperature and heat index, °C: what heat is judged by.
    pub felt_max_c: Option<Sourced<f64>>,
    /// Lowest felt temperature (wind chill where it is defined, else the air), °C.
    pub felt_min_c: Option<Sourced<f64>>,
    /// Strongest mean wind, km/h.
    pub wind_speed_km_h: Option<Sourced<f64>>,
    /// Strongest gust in the open, km/h, before a spot's own exposure.
    pub wind_gust_km_h: Option<Sourced<f64>>,
    /// Largest share of sky covered, 0 to 1.
    pub cloud_area_fraction: Option<Sourced<f64>>,
    /// Whether the forecast mentions thunder in these hours.
    pub thunder: Option<Sourced<bool>>,
}

/// Light that bounds the session.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LightBounds {
    /// When the sun's upper edge sets or rises over a flat horizon; `None` where it does not.
    pub sunset: Option<Timestamp>,
    /// Sunrise, for a session at dawn.
    pub sunrise: Option<Timestamp>,
    /// When the sun leaves each spot of the session: (spot id, moment).
    pub last_direct: Vec<(String, Timestamp)>,
    /// When work has to stop.
    pub last_usable: Option<Timestamp>,
}

/// What the radar shows around the place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RadarView {
    /// Share of the measured sky within 60 km that is wet (at least 0.1 mm/h), 0 to 1.
    pub wet_share: Option<f64>,
    /// Pictures used.
    pub frames_used: usize,
    /// The newest picture's time.
    pub issued: Timestamp,
    /// Rain at the spot in that picture, mm/h.
    pub rain_rate_mm_h: Option<f64>,
    /// Where the rain goes: km/h toward east and north.
    pub motion_km_h: Option<(f64, f64)>,
    /// Where the forecast takes over sooner than after two to four hours, because it did better of
    /// late: these hours are multiplied by it, 0.25 to 1. `None`: they stand.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reach: Option<f64>,
}

/// Five minutes of the evening, for drawing.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct RainStep {
    /// Its five minutes.
    pub hours: Span,
    /// Chance that it rains (at least 0.1 mm/h) then; `None`: not known.
    pub p_wet: Option<Probability>,
    /// How hard, if it does, mm/h.
    pub rain_rate_mm_h: Option<f64>,
}

/// A dry gap that is likely enough to plan with.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LikelyGap {
    /// Its minutes.
    pub hours: Span,
    /// Doubt about its beginning, minutes either way.
    pub from_doubt_min: f64,
    /// Doubt about its end, minutes either way.
    pub to_doubt_min: f64,
}

/// Everything known of a session's sky at one moment.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Outlook {
    /// Which session.
    pub session: String,
    /// The moment; nothing fetched later was looked at.
    pub as_of: Timestamp,
    /// The booked hours, cut at last usable light.
    pub window: Span,
    /// From arrival to last usable light.
    pub evening: Span,
    /// Light.
    pub light: LightBounds,
    /// The amount from which the forecast counts rain as rain, mm in its own period.
    pub rain_threshold_mm: Option<f64>,
    /// Chance of any rain, at least that amount, in the booked hours.
    pub p_any_rain: Option<Sourced<Chance>>,
    /// Chance of a wet minute, at least 0.1 mm/h, between start and last usable light.
    pub p_wet_minute: Option<Sourced<Chance>>,
    /// Length of the dry gap that is asked for, minutes: the policy's.
    pub gap_min: u32,
    /// Chance of one dry gap of that length between start and last usable light.
    pub p_gap: Option<Sourced<Chance>>,
    /// Showery or steady, where the forecast says so.
    pub character: Option<Sourced<Character>>,
    /// Rain in the booked hours, mm.
    pub rain_amount_mm: Option<Sourced<f64>>,
    /// The largest single hour that was published over these hours: what the family will have read.
    pub largest_hour: Option<Sourced<Probability>>,
    /// Temperature and wind.
    pub comfort: Comfort,
    /// Warnings over session and drive, the gravest first.
    pub warnings: Vec<WarningSeen>,
    /// Events of warnings in these hours whose area we cannot tell: given by codes of a system in
    /// which the studio has none.
    pub unplaced_warnings: Vec<String>,
    /// The three sources.
    pub sources: Vec<(SourceKind, SourceState)>,
    /// The radar's view.
    pub radar: Option<RadarView>,
    /// The evening in five-minute steps.
    pub steps: Vec<RainStep>,
    /// Likely dry gaps.
    pub likely_gaps: Vec<LikelyGap>,
}

impl Outlook {
    /// How a source stands.
    pub fn source(&self, kind: SourceKind) -> &SourceState {
        self.sources
            .iter()
            .find(|(of, _)| *of == kind)
            .map_or(&SourceState::Missing, |(_, state)| state)
    }
}
