//! The studio: home, week, artist, sources, spots, policy.

use std::collections::HashSet;

use fairspell_almanac::tide::{HarmonicConstants, HarmonicTide, Tide, TideError, TideTable};
use fairspell_ground::{LatLon, SkylineError};
use jiff::{
    Timestamp, ToSpan,
    civil::{self, Weekday},
    tz::TimeZone,
};
use serde::{Deserialize, Serialize};

use crate::{
    LookTable, LookTableError, Policy, PolicyError, Session, SessionError, Spot,
    season::{EveningKind, Pattern, Season, SeasonError},
};

/// A service that the studio counts on, or knows that it has not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Expected {
    /// It is read here; when it is missing or stale, nothing may be called settled.
    Yes,
    /// No service covers this place; the ruling says what she has to look up herself.
    NoneHere,
}

/// Which services cover the place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sources {
    /// Official warnings.
    pub warnings: Expected,
    /// Radar pictures.
    pub radar: Expected,
}

/// The pattern of a week.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Week {
    /// Days that are sold to sessions.
    pub working: Vec<Day>,
    /// Days that are kept empty for weather.
    pub reserve: Vec<Day>,
    /// Days on which a session at dawn may be had too.
    #[serde(default)]
    pub dawn: Vec<Day>,
}

/// A day of the week, as files spell it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[expect(missing_docs, reason = "the days of the week explain themselves")]
pub enum Day {
    Monday,
    Tuesday,
    Wednesday,
    Thursday,
    Friday,
    Saturday,
    Sunday,
}

impl From<Weekday> for Day {
    fn from(day: Weekday) -> Self {
        match day {
            Weekday::Monday => Day::Monday,
            Weekday::Tuesday => Day::Tuesday,
            Weekday::Wednesday => Day::Wednesday,
            Weekday::Thursday => Day::Thursday,
            Weekday::Friday => Day::Friday,
            Weekday::Saturday => Day::Saturday,
            Weekday::Sunday => Day::Sunday,
        }
    }
}

/// Dates that are never offered.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Blackout {
    /// Why: "exams".
    pub name: String,
    /// First day.
    pub from: civil::Date,
    /// Last day, itself included.
    pub to: civil::Date,
}

/// School, which ends before a session can begin.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct School {
    /// When its day ends.
    pub ends: civil::Time,
    /// Its terms, from the first day to the last; empty is all year round.
    #[serde(default)]
    pub terms: Vec<(civil::Date, civil::Date)>,
}

impl School {
    /// When a date's school is out; `None` at weekends and between terms.
    pub fn out_at(&self, date: civil::Date) -> Option<civil::Time> {
        let is_in_term = |(from, to): &(civil::Date, civil::Date)| (from..=to).contains(&&date);
        let is_weekend = matches!(date.weekday(), Weekday::Saturday | Weekday::Sunday);
        let is_school = self.terms.is_empty() || self.terms.iter().any(is_in_term);
        (is_school && !is_weekend).then_some(self.ends)
    }
}

/// Where the studio's tide comes from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TideSource {
    /// Harmonic constants of a port, for any date.
    Constants(HarmonicConstants),
    /// A published table of high and low waters: time and height in metres, in order.
    Table(Vec<(Timestamp, f64)>),
}

impl TideSource {
    /// The tide to be asked.
    ///
    /// # Errors
    ///
    /// [`TideError`] for constants or a table that cannot be.
    pub fn tide(&self) -> Result<Tide, TideError> {
        match self {
            TideSource::Constants(constants) => HarmonicTide::new(constants).map(Tide::Harmonic),
            TideSource::Table(rows) => TideTable::new(rows).map(Tide::Table),
        }
    }
}

/// The hair and make-up artist, with her own terms for a change of date.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Artist {
    /// Her name.
    pub name: String,
    /// Up to how long before the chair a change costs nothing, hours.
    pub free_change_h: u32,
    /// From so long before the chair on a change costs her whole fee, hours; in between it costs half.
    #[serde(default)]
    pub full_fee_h: u32,
    /// Her fee, in the studio's currency.
    #[serde(default)]
    pub fee: f64,
}

/// One photographer's studio.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Studio {
    /// The name on its letters.
    pub name: String,
    /// The photographer, as she signs.
    pub owner: String,
    /// Where it is, in words.
    pub place: String,
    /// Home: where the drive begins.
    pub home: LatLon,
    /// Its zone in the IANA time zone database, such as `Australia/Sydney`.
    pub time_zone: String,
    /// Whether studio, people and weather are invented; then everything shown says so.
    #[serde(default)]
    pub invented: bool,
    /// Its week.
    #[serde(default)]
    pub week: Week,
    /// Dates never offered.
    #[serde(default)]
    pub blackouts: Vec<Blackout>,
    /// Exceptions from the week, and what schools want by when.
    #[serde(default)]
    pub season: Season,
    /// Who does hair and make-up.
    #[serde(default)]
    pub artist: Option<Artist>,
    /// School, where those she portrays still go to one.
    #[serde(default)]
    pub school: Option<School>,
    /// The tide on its coast.
    #[serde(default)]
    pub tide: Option<TideSource>,
    /// Which services cover the place.
    pub sources: Sources,
    /// Codes by which official warnings name the place, as `SYSTEM:VALUE` (such as `UGC:FLC109`).
    #[serde(default)]
    pub warning_areas: Vec<String>,
    /// The places to stand.
    pub spots: Vec<Spot>,
    /// The owner's thresholds.
    #[serde(default)]
    pub policy: Policy,
    /// What colours and fabrics do at a backdrop and in the rain.
    #[serde(default)]
    pub look_table: LookTable,
}

/// What can be wrong with a studio that somebody wrote down.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum StudioError {
    /// The time zone is none of the database's.
    #[error("`{0}` is no time zone of the IANA database")]
    TimeZone(String),
    /// Two spots, or two sessions, have the same id.
    #[error("the id `{0}` is given twice")]
    IdTwice(String),
    /// No session has this id.
    #[error("there is no session `{id}`; there are {known}")]
    NoSuchSession {
        /// What was asked for.
        id: String,
        /// All ids, with commas.
        known: String,
    },
    /// A code by which warnings name the place is not written as `SYSTEM:VALUE`.
    #[error("the warning area `{0}` is not written as SYSTEM:VALUE, such as UGC:FLC109")]
    WarningArea(String),
    /// A number that no studio can have.
    #[error("{what} cannot be {value}")]
    OutOfRange {
        /// Which number.
        what: String,
        /// Its value as written.
        value: String,
    },
    /// What stands around a spot cannot be as written.
    #[error("the skyline of {spot}: {error}")]
    Skyline {
        /// The spot, by id.
        spot: String,
        /// What is wrong.
        error: SkylineError,
    },
    /// The policy contradicts itself.
    #[error(transparent)]
    Policy(#[from] PolicyError),
    /// The season cannot be as written.
    #[error(transparent)]
    Season(#[from] SeasonError),
    /// The table of looks cannot be as written.
    #[error(transparent)]
    LookTable(#[from] LookTableError),
    /// The tide cannot be as written.
    #[error("the tide: {0}")]
    Tide(#[from] TideError),
    /// A session cannot be as written.
    #[error(transparent)]
    Session(#[from] SessionError),
}

/// How far ahead another date is offered, days.
const OFFERED_DAYS: i64 = 14;

impl Studio {
    /// The clock on the studio's wall.
    ///
    /// # Errors
    ///
    /// [`StudioError::TimeZone`] for a name that the database does not have.
    pub fn zone(&self) -> Result<TimeZone, StudioError> {
        TimeZone::get(&self.time_zone).map_err(|_| StudioError::TimeZone(self.time_zone.clone()))
    }

    /// The tide on its coast; `None` where nobody entered one.
    ///
    /// # Errors
    ///
    /// [`StudioError::Tide`] for constants or a table that cannot be.
    pub fn tide(&self) -> Result<Option<Tide>, StudioError> {
        Ok(self.tide.as_ref().map(TideSource::tide).transpose()?)
    }

    /// The spot of this id.
    pub fn spot(&self, id: &str) -> Option<&Spot> {
        self.spots.iter().find(|spot| spot.id == id)
    }

    /// Checks a studio and its sessions, as they come out of a file.
    ///
    /// # Errors
    ///
    /// The first thing that cannot be: an unknown zone, an id given twice, a policy whose bands
    /// overlap, a session at an unknown spot, without looks, or at a time that does not exist.
    pub fn check(&self, sessions: &[Session]) -> Result<(), StudioError> {
        let zone = self.zone()?;
        self.policy.check()?;
        self.season.check()?;
        self.look_table.check()?;
        self.check_numbers(sessions)?;
        self.tide()?;
        if let Some(area) = self.warning_areas.iter().find(|area| !area.contains(':')) {
            return Err(StudioError::WarningArea(area.clone()));
        }
        unique(self.spots.iter().map(|spot| &spot.id))?;
        unique(sessions.iter().map(|session| &session.id))?;
        for session in sessions {
            session.booked(&zone)?;
            if session.looks.is_empty() {
                return Err(SessionError::NoLooks { id: session.id.clone() }.into());
            }
            if session.duration_min == 0 {
                return Err(SessionError::NoDuration { id: session.id.clone() }.into());
            }
            for look in &session.looks {
                if self.spot(&look.spot).is_none() {
                    let (id, look, spot) =
                        (session.id.clone(), look.name.clone(), look.spot.clone());
                    return Err(SessionError::UnknownSpot { id, look, spot }.into());
                }
            }
        }
        Ok(())
    }

    /// Numbers that would put moments or winds out of all reason.
    fn check_numbers(&self, sessions: &[Session]) -> Result<(), StudioError> {
        let at_most = |what: String, value: f64, most: f64| {
            if (0.0..=most).contains(&value) {
                Ok(())
            } else {
                Err(StudioError::OutOfRange { what, value: value.to_string() })
            }
        };
        if let Some(artist) = &self.artist {
            let what = "the artist's free change, hours,".to_owned();
            at_most(what, f64::from(artist.free_change_h), 1000.0)?;
            let what = "the artist's whole fee, hours before the chair,".to_owned();
            at_most(what, f64::from(artist.full_fee_h), f64::from(artist.free_change_h))?;
            at_most("the artist's fee".to_owned(), artist.fee, 1e6)?;
        }
        for spot in &self.spots {
            spot.skyline
                .check()
                .map_err(|error| StudioError::Skyline { spot: spot.id.clone(), error })?;
            at_most(format!("the gust factor of {}", spot.id), spot.wind.gust_factor, 5.0)?;
            if let Some((what, value)) = spot.site.first_wrong() {
                let what = format!("{what} of {}", spot.id);
                return Err(StudioError::OutOfRange { what, value });
            }
        }
        for session in sessions {
            for (what, minutes) in [
                ("duration", session.duration_min),
                ("drive", session.drive.minutes),
                ("getting ready before the start", session.chair_before_start_min),
            ] {
                let what = format!("session {}: its {what}, minutes,", session.id);
                at_most(what, f64::from(minutes), 24.0 * 60.0)?;
            }
        }
        Ok(())
    }

    /// Reserve evenings of the next two weeks that are free for moving a session, in order.
    ///
    /// A blackout or an evening that another session has is not offered. An evening after the
    /// session's deadline is: it may take the second part of a session whose first part is made in
    /// time.
    pub fn reserve_evenings(&self, session: &Session, sessions: &[Session]) -> Vec<civil::Date> {
        let booked = session.start.date();
        let taken = |date: &civil::Date| {
            sessions.iter().any(|other| {
                other.start.date() == *date
                    && other.moved_from.as_deref() != Some(session.id.as_str())
            })
        };
        let last = booked.saturating_add(OFFERED_DAYS.days());
        Pattern::of(self, (booked.saturating_add(1.day()), last))
            .evenings()
            .filter(|(date, kind)| *kind == EveningKind::Reserve && !taken(date))
            .map(|(date, _)| date)
            .collect()
    }
}

fn unique<'a>(ids: impl Iterator<Item = &'a String>) -> Result<(), StudioError> {
    let mut seen = HashSet::new();
    for id in ids {
        if !seen.insert(id) {
            return Err(StudioError::IdTwice(id.clone()));
        }
    }
    Ok(())
}
