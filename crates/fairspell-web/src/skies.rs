//! Every session's sky as it was last looked at, drawn and ready to be shown.
//!
//! Looking costs up to half a second where radar pictures have to be decoded; a page must not. So
//! the skies are looked at when something has changed, and pages show the last look with its time.

use std::{
    collections::BTreeMap,
    path::PathBuf,
    sync::{Arc, OnceLock},
};

use fairspell_feeds::{FrameCache, Radar, readings::fingerprint, seen_by_with};
use fairspell_figures::{Evening, Size, Theme, evening_svg, evening_table};
use fairspell_ground::LatLon;
use fairspell_plan::{Seen, Standing, evening::Hours, letter_facts, radar_speaks, standing};
use fairspell_studio::{LetterFacts, Person, Session, Studio};
use fairspell_words::{Letter, clock::clock, letter};
use jiff::{SignedDuration, Timestamp, tz::TimeZone};
use rayon::prelude::*;

use crate::{
    drawing::{Drawn, evening_figure, evening_table_words},
    error::PageError,
    pages::radar::DrawnLoop,
};

/// The studio with everybody in it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct House {
    pub(crate) studio: Studio,
    pub(crate) zone: TimeZone,
    /// In order of their starts.
    pub(crate) sessions: Vec<Session>,
    pub(crate) people: Vec<Person>,
}

impl House {
    /// The session that another one was moved to.
    pub(crate) fn moved_to(&self, session: &Session) -> Option<&Session> {
        self.sessions.iter().find(|other| other.moved_from.as_deref() == Some(&session.id))
    }

    /// The people of a session.
    pub(crate) fn people_of<'a>(
        &'a self,
        session: &'a Session,
    ) -> impl Iterator<Item = &'a Person> {
        self.people.iter().filter(|person| session.people.contains(&person.id))
    }
}

/// One session's sky.
#[derive(Debug)]
pub(crate) struct Sky {
    pub(crate) session: Session,
    pub(crate) hours: Hours,
    pub(crate) standing: Standing,
    pub(crate) seen: Seen,
    /// The letter that would go out now, with its facts.
    pub(crate) letter: Option<(LetterFacts, Letter)>,
    /// What could not be read.
    pub(crate) remarks: Vec<String>,
    pub(crate) pictures: Pictures,
    rain_loop: OnceLock<Option<DrawnLoop>>,
    made_from: MadeFrom,
}

impl Sky {
    /// The rain loop, drawn when it is first asked for.
    pub(crate) fn rain_loop(&self, draw: impl FnOnce() -> Option<DrawnLoop>) -> Option<&DrawnLoop> {
        self.rain_loop.get_or_init(draw).as_ref()
    }
}

/// The evening, drawn.
#[derive(Debug)]
pub(crate) struct Pictures {
    pub(crate) large: String,
    pub(crate) narrow: String,
    pub(crate) small: String,
    /// Behind the picture, for those who cannot see it.
    pub(crate) table: Vec<[String; 4]>,
}

/// What a sky was made from: equal inputs need no second look.
#[derive(Debug, Clone, PartialEq)]
struct MadeFrom {
    as_of: Timestamp,
    fingerprint: u64,
    house: Arc<House>,
}

/// All skies, as of one moment.
#[derive(Debug, Default)]
pub(crate) struct Skies {
    /// `None` before there is a studio.
    pub(crate) house: Option<Arc<House>>,
    pub(crate) as_of: Timestamp,
    by_session: BTreeMap<String, Arc<Sky>>,
}

impl Skies {
    /// A session's sky.
    pub(crate) fn of(&self, id: &str) -> Option<&Arc<Sky>> {
        self.by_session.get(id)
    }

    /// All of them, in order of start.
    pub(crate) fn all(&self) -> impl Iterator<Item = &Arc<Sky>> {
        let house = self.house.as_deref();
        house
            .into_iter()
            .flat_map(|house| &house.sessions)
            .filter_map(|session| self.by_session.get(&session.id))
    }

    /// The sessions that are still to come and have not been moved.
    pub(crate) fn coming(&self) -> impl Iterator<Item = &Arc<Sky>> {
        self.all().filter(|sky| {
            let is_moved = self.house.as_ref().is_some_and(|h| h.moved_to(&sky.session).is_some());
            !is_moved && sky.hours.evening.to > self.as_of
        })
    }
}

/// Looks at skies, and remembers what was decoded.
#[derive(Debug)]
pub(crate) struct Looker {
    data: PathBuf,
    /// The studio's own outline of the coast, where it has one.
    pub(crate) coast: Option<Vec<Vec<LatLon>>>,
    frames: FrameCache,
}

impl Looker {
    pub(crate) fn new(data: PathBuf) -> Self {
        let coast = std::fs::read(data.join("coast.json"))
            .ok()
            .and_then(|text| serde_json::from_slice(&text).ok());
        Looker { data, coast, frames: FrameCache::default() }
    }

    /// Looks at every session's sky; what has not changed since `before` is taken from there.
    pub(crate) fn look(
        &self,
        studio: Studio,
        sessions: Vec<Session>,
        people: Vec<Person>,
        now: Timestamp,
        before: &Skies,
    ) -> Result<Skies, PageError> {
        let zone = studio.zone().map_err(|error| PageError::Sky(error.to_string()))?;
        let house = House { studio, zone, sessions, people };
        let house = match &before.house {
            Some(known) if **known == house => known.clone(),
            _ => Arc::new(house),
        };
        let skies: Result<Vec<_>, PageError> = house
            .sessions
            .par_iter()
            .map(|session| {
                let sky = self.look_at(&house, session, now, before.of(&session.id))?;
                Ok((session.id.clone(), sky))
            })
            .collect();
        Ok(Skies { by_session: skies?.into_iter().collect(), house: Some(house), as_of: now })
    }

    fn look_at(
        &self,
        house: &Arc<House>,
        session: &Session,
        now: Timestamp,
        before: Option<&Arc<Sky>>,
    ) -> Result<Arc<Sky>, PageError> {
        let sky = |error: &dyn std::fmt::Display| PageError::Sky(format!("{}: {error}", session.id));
        let House { studio, zone, sessions, .. } = &**house;
        let hours =
            fairspell_plan::evening::hours(studio, zone, session).map_err(|e| sky(&e))?;
        // An evening that is over stays as it was seen at its end.
        let as_of = now.min(hours.evening.to);
        let readings = self.data.join("readings");
        let made_from = MadeFrom {
            as_of,
            fingerprint: fingerprint(&readings, as_of).map_err(|e| sky(&e))?,
            house: house.clone(),
        };
        if let Some(known) = before.filter(|known| known.made_from == made_from) {
            return Ok(known.clone());
        }
        let radar =
            if radar_speaks(&hours, as_of) { Radar::Cached(&self.frames) } else { Radar::LeftOut };
        let found = seen_by_with(&readings, as_of, hours.place, radar).map_err(|e| sky(&e))?;
        let standing =
            standing(studio, zone, session, as_of, &found.seen).map_err(|e| sky(&e))?;
        let facts = letter_facts(
            studio,
            sessions,
            session,
            &standing.gates,
            &standing.outlook,
            &standing.ruling,
            &found.seen,
        )
        .map_err(|e| sky(&e))?;
        // The page itself says day, place and where we stand, as text that can be read aloud.
        let figure = Evening {
            heading: String::new(),
            summary: String::new(),
            ..evening_figure(Drawn { studio, zone, session, standing: &standing })
        };
        let pictures = Pictures {
            large: evening_svg(&figure, Size::Large, Theme::Auto),
            narrow: evening_svg(&figure, Size::Narrow, Theme::Auto),
            small: evening_svg(&figure, Size::Small, Theme::Auto),
            table: evening_table(&figure, &evening_table_words(), |min| {
                clock(hours.evening.from + SignedDuration::from_secs_f64(min * 60.0), zone)
            }),
        };
        Ok(Arc::new(Sky {
            session: session.clone(),
            hours,
            standing,
            seen: found.seen,
            letter: facts.map(|facts| {
                let letter = letter(&facts);
                (facts, letter)
            }),
            remarks: found.remarks,
            pictures,
            rain_loop: OnceLock::new(),
            made_from,
        }))
    }
}
