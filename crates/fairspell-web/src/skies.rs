//! Every session's sky as it was last looked at, drawn and ready to be shown.
//!
//! Looking costs up to half a second where radar pictures have to be decoded; a page must not. So
//! the skies are looked at when something has changed, and pages show the last look with its time.

use std::{
    collections::BTreeMap,
    path::PathBuf,
    sync::{Arc, OnceLock},
};

use fairspell_feeds::{FrameCache, Radar, SeenBy, readings::fingerprint, seen_by_with};
use fairspell_figures::{Evening, Size, Theme, evening_svg, evening_table};
use fairspell_ground::LatLon;
use fairspell_plan::{
    FieldError, Seen, Standing,
    evening::{Hours, hours},
    letter_facts, radar_speaks, standing,
};
use fairspell_store::KeptRuling;
use fairspell_studio::{LetterFacts, Person, Session, Studio, gates};
use fairspell_words::{Letter, clock::clock, letter};
use jiff::{SignedDuration, Timestamp, civil::Date, tz::TimeZone};
use rayon::prelude::*;

use crate::{
    drawing::{Drawn, evening_figure, evening_table_words},
    error::PageError,
    light_plan::{LightPlan, light_plan},
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
    /// A session by its id.
    pub(crate) fn session(&self, id: &str) -> Option<&Session> {
        self.sessions.iter().find(|session| session.id == id)
    }

    /// The session that another one was moved to.
    pub(crate) fn moved_to(&self, session: &Session) -> Option<&Session> {
        self.sessions.iter().find(|other| other.moved_from.as_deref() == Some(&session.id))
    }

    /// The other session that has an evening; one that was moved away gives it back.
    pub(crate) fn taken_by(&self, session: &Session, date: Date) -> Option<&Session> {
        self.sessions.iter().find(|other| {
            other.id != session.id && other.start.date() == date && self.moved_to(other).is_none()
        })
    }

    /// Whether a moment lies on the day of a session.
    pub(crate) fn is_on(&self, session: &Session, at: Timestamp) -> bool {
        self.zone.to_datetime(at).date() == session.start.date()
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
    light_plan: OnceLock<LightPlan>,
    field_sheet: OnceLock<Result<Arc<str>, FieldError>>,
    made_from: MadeFrom,
}

impl Sky {
    /// Whether it was looked at for this studio as it is.
    pub(crate) fn is_of(&self, house: &Arc<House>) -> bool {
        Arc::ptr_eq(&self.made_from.house, house)
    }

    /// The rain loop, drawn when it is first asked for.
    pub(crate) fn rain_loop(&self, draw: impl FnOnce() -> Option<DrawnLoop>) -> Option<&DrawnLoop> {
        self.rain_loop.get_or_init(draw).as_ref()
    }

    /// Its field sheet as JSON, solved when it is first asked for.
    pub(crate) fn field_sheet(
        &self,
        make: impl FnOnce() -> Result<String, FieldError>,
    ) -> &Result<Arc<str>, FieldError> {
        self.field_sheet.get_or_init(|| make().map(Arc::from))
    }

    /// The light of its looks, worked out when it is first asked for.
    pub(crate) fn light_plan(&self, house: &House) -> &LightPlan {
        self.light_plan.get_or_init(|| light_plan(house, self))
    }

    /// A sky with its letter and its pictures.
    fn new(
        session: &Session,
        hours: Hours,
        standing: Standing,
        found: SeenBy,
        made_from: MadeFrom,
    ) -> Result<Arc<Sky>, PageError> {
        let House { studio, zone, sessions, .. } = &*made_from.house;
        let facts = letter_facts(
            studio,
            sessions,
            session,
            &standing.gates,
            &standing.outlook,
            &standing.ruling,
            &found.seen,
        )
        .map_err(unseen)?;
        let pictures = Pictures::of(Drawn { studio, zone, session, standing: &standing });
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
            light_plan: OnceLock::new(),
            field_sheet: OnceLock::new(),
            made_from,
        }))
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

impl Pictures {
    /// Draws an evening in all its sizes.
    pub(crate) fn of(drawn: Drawn<'_>) -> Pictures {
        // The page itself says day, place and where we stand, as text that can be read aloud.
        let figure =
            Evening { heading: String::new(), summary: String::new(), ..evening_figure(drawn) };
        let begins = drawn.standing.outlook.evening.from;
        Pictures {
            large: evening_svg(&figure, Size::Large, Theme::Auto),
            narrow: evening_svg(&figure, Size::Narrow, Theme::Auto),
            small: evening_svg(&figure, Size::Small, Theme::Auto),
            table: evening_table(&figure, &evening_table_words(), |min| {
                clock(begins + SignedDuration::from_secs_f64(min * 60.0), drawn.zone)
            }),
        }
    }
}

/// What a sky was made from: equal inputs need no second look.
#[derive(Debug, Clone, PartialEq)]
struct MadeFrom {
    as_of: Timestamp,
    fingerprint: u64,
    house: Arc<House>,
}

/// The skies of all sessions that are not over, as of one moment.
#[derive(Debug, Default)]
pub(crate) struct Skies {
    /// `None` before there is a studio.
    pub(crate) house: Option<Arc<House>>,
    pub(crate) as_of: Timestamp,
    by_session: BTreeMap<String, Arc<Sky>>,
    /// Sessions whose sky could not be looked at, with the reason: they do not take the others away.
    unseen: BTreeMap<String, String>,
}

impl Skies {
    /// The sky of a session that is not over.
    pub(crate) fn of(&self, id: &str) -> Option<&Arc<Sky>> {
        self.by_session.get(id)
    }

    /// Why a session's sky could not be looked at.
    pub(crate) fn unseen(&self, id: &str) -> Option<&str> {
        self.unseen.get(id).map(String::as_str)
    }

    /// Whether a session's evening is over.
    pub(crate) fn is_over(&self, session: &Session) -> bool {
        !self.by_session.contains_key(&session.id) && !self.unseen.contains_key(&session.id)
    }

    /// The sessions that are still to come, neither moved nor erased, in order of start.
    pub(crate) fn coming(&self) -> impl Iterator<Item = &Arc<Sky>> {
        let house = self.house.as_deref();
        house.into_iter().flat_map(|house| {
            let stays =
                |session: &&Session| house.moved_to(session).is_none() && !session.is_erased();
            let stay = house.sessions.iter().filter(stays);
            stay.filter_map(|session| self.by_session.get(&session.id))
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
        let looked: Vec<_> = house
            .sessions
            .par_iter()
            .map(|session| (session, self.look_at(&house, session, now, before.of(&session.id))))
            .collect();
        let mut skies = Skies { house: Some(house.clone()), as_of: now, ..Skies::default() };
        for (session, looked) in looked {
            match looked {
                Ok(Some(sky)) => drop(skies.by_session.insert(session.id.clone(), sky)),
                Ok(None) => {}
                Err(error) => {
                    tracing::error!("a session's sky could not be looked at: {error}");
                    skies.unseen.insert(session.id.clone(), error.to_string());
                }
            }
        }
        Ok(skies)
    }

    /// Looks at one sky; `None` for an evening that is over.
    fn look_at(
        &self,
        house: &Arc<House>,
        session: &Session,
        as_of: Timestamp,
        before: Option<&Arc<Sky>>,
    ) -> Result<Option<Arc<Sky>>, PageError> {
        let hours = hours(&house.studio, &house.zone, session).map_err(unseen)?;
        if as_of >= hours.evening.to {
            return Ok(None);
        }
        let made_from = self.made_from(house, as_of)?;
        if let Some(known) = before.filter(|known| known.made_from == made_from) {
            return Ok(Some(known.clone()));
        }
        let (found, standing) = self.read(house, session, &hours, as_of)?;
        Sky::new(session, hours, standing, found, made_from).map(Some)
    }

    /// An evening that is over, as it was seen last: as the store has kept it, or, where it kept
    /// nothing, as what had been fetched when it began says.
    pub(crate) fn look_back(
        &self,
        house: &Arc<House>,
        session: &Session,
        kept: Option<KeptRuling>,
    ) -> Result<Arc<Sky>, PageError> {
        let hours = hours(&house.studio, &house.zone, session).map_err(unseen)?;
        let made_from = self.made_from(house, hours.window.from)?;
        let (found, standing) = match kept {
            Some(KeptRuling { outlook, ruling, .. }) => {
                let gates = gates(&house.studio, &house.zone, session).map_err(unseen)?;
                (SeenBy::default(), Standing { gates, outlook, ruling })
            }
            None => self.read(house, session, &hours, hours.window.from)?,
        };
        Sky::new(session, hours, standing, found, made_from)
    }

    fn made_from(&self, house: &Arc<House>, as_of: Timestamp) -> Result<MadeFrom, PageError> {
        let fingerprint = fingerprint(&self.readings(), as_of).map_err(unseen)?;
        Ok(MadeFrom { as_of, fingerprint, house: house.clone() })
    }

    fn readings(&self) -> PathBuf {
        self.data.join("readings")
    }

    /// What had been seen by a moment, and where that put a session.
    fn read(
        &self,
        house: &House,
        session: &Session,
        hours: &Hours,
        as_of: Timestamp,
    ) -> Result<(SeenBy, Standing), PageError> {
        let radar =
            if radar_speaks(hours, as_of) { Radar::Cached(&self.frames) } else { Radar::LeftOut };
        let found = seen_by_with(&self.readings(), as_of, hours.place, radar).map_err(unseen)?;
        let standing =
            standing(&house.studio, &house.zone, session, as_of, &found.seen).map_err(unseen)?;
        Ok((found, standing))
    }
}

fn unseen(error: impl std::fmt::Display) -> PageError {
    PageError::Sky(error.to_string())
}
