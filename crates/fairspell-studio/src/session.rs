//! One agreed meeting with one young person: when, where, with whom, in what.

use jiff::{civil, tz::TimeZone};
use serde::{Deserialize, Serialize};

use crate::{gate::plus_minutes, outlook::Span, permit::Permit};

/// The light that a look wants.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LightWish {
    /// Whatever flatters: no light of its own.
    #[default]
    Any,
    /// Shade that faces open sky.
    OpenShade,
    /// Low sun behind her, gold in the hair.
    Backlight,
    /// Low sun on her face, soft enough not to squint.
    LowSun,
    /// The soft light after sunset, with colour in the sky.
    Afterglow,
    /// The blue before dark, with lamps.
    Blue,
}

impl LightWish {
    /// All of them.
    pub const ALL: [LightWish; 6] = [
        LightWish::Any,
        LightWish::OpenShade,
        LightWish::Backlight,
        LightWish::LowSun,
        LightWish::Afterglow,
        LightWish::Blue,
    ];
}

/// How far a skirt or trousers reach.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Hem {
    /// Above the knee.
    Short,
    /// To the knee or the calf.
    Knee,
    /// To the ankle.
    Ankle,
    /// To the floor.
    Floor,
}

impl Hem {
    /// All of them.
    pub const ALL: [Hem; 4] = [Hem::Short, Hem::Knee, Hem::Ankle, Hem::Floor];
}

/// How the hair is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Hair {
    /// Open, as it falls.
    Down,
    /// Open, in curls or waves that were put in.
    Curled,
    /// Partly pinned up.
    HalfUp,
    /// Pinned up.
    Up,
    /// In plaits.
    Braided,
    /// Too short for wind or damp to matter.
    Short,
}

impl Hair {
    /// All of them.
    pub const ALL: [Hair; 6] =
        [Hair::Down, Hair::Curled, Hair::HalfUp, Hair::Up, Hair::Braided, Hair::Short];

    /// Whether some of it is open to the wind.
    pub fn is_open(self) -> bool {
        matches!(self, Hair::Down | Hair::Curled | Hair::HalfUp)
    }
}

/// One outfit with its hair.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Look {
    /// What it is called: "sage satin".
    pub name: String,
    /// The spot where it is planned, by id.
    pub spot: String,
    /// Whether drops show on it, whatever the table says of its fabric.
    #[serde(default)]
    pub shows_drops: bool,
    /// Whether water marks it for good, whatever the table says of its fabric.
    #[serde(default)]
    pub marks_for_good: bool,
    /// The light that it wants.
    #[serde(default)]
    pub wants: LightWish,
    /// Its colour, as a row of the studio's table of looks or in other words: "sage".
    #[serde(default)]
    pub colour: Option<String>,
    /// What it is made of, as a row of that table or in other words: "satin".
    #[serde(default)]
    pub fabric: Option<String>,
    /// How far it reaches.
    #[serde(default)]
    pub hem: Option<Hem>,
    /// How the hair is done.
    #[serde(default)]
    pub hair: Option<Hair>,
    /// The shoes: "block heels".
    #[serde(default)]
    pub shoes: Option<String>,
}

/// A date by which a picture must be handed in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Deadline {
    /// What for: "yearbook".
    pub name: String,
    /// The last day.
    pub date: civil::Date,
}

/// The drive to the session's place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Drive {
    /// How long it takes, minutes.
    pub minutes: u32,
    /// Points along the road, for warnings; the spots themselves are always looked at.
    #[serde(default)]
    pub route: Vec<fairspell_ground::LatLon>,
}

/// What a session's dates depend on beside the sky.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct DateNotes {
    /// Permits asked for its dates.
    pub permits: Vec<Permit>,
    /// Dates on which the family cannot come.
    pub cannot: Vec<civil::Date>,
    /// Dates that the family would like best, where they named some.
    pub prefers: Vec<civil::Date>,
}

/// One agreed meeting.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Session {
    /// What it is called in files and on the command line.
    pub id: String,
    /// The young person who is portrayed; the name by which letters call her or him.
    pub sitter: String,
    /// The adult who consents and pays; the name by which letters call her or him.
    pub guardian: String,
    /// When work begins, by the clock on the studio's wall.
    pub start: civil::DateTime,
    /// How long it is booked for, minutes.
    pub duration_min: u32,
    /// What is worn, in the planned order.
    pub looks: Vec<Look>,
    /// The drive from the studio's home.
    pub drive: Drive,
    /// How long before the start getting ready begins (the styling chair is taken), minutes.
    pub chair_before_start_min: u32,
    /// Whether the studio's artist does hair and make-up; otherwise somebody at home does.
    pub with_artist: bool,
    /// The nearest date by which a picture must be handed in.
    #[serde(default)]
    pub deadline: Option<Deadline>,
    /// The session that this one was moved from, by id.
    #[serde(default)]
    pub moved_from: Option<String>,
    /// Its people as the studio knows them, by id; letters call them by `sitter` and `guardian`.
    #[serde(default)]
    pub people: Vec<String>,
    /// What its dates depend on beside the sky.
    #[serde(default)]
    pub dates: DateNotes,
}

/// What can be wrong with a session that somebody wrote down.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SessionError {
    /// The clocks jump over the hour of the start.
    #[error("session {id}: there is no {start} on that day, the clocks go forward past it")]
    StartSkipped {
        /// The session.
        id: String,
        /// The start as written.
        start: civil::DateTime,
    },
    /// The hour of the start comes twice.
    #[error("session {id}: {start} comes twice on that day, the clocks go back over it")]
    StartRepeated {
        /// The session.
        id: String,
        /// The start as written.
        start: civil::DateTime,
    },
    /// A look stands at a spot that the studio does not know.
    #[error(
        "session {id}: look `{look}` is planned at `{spot}`, which is none of the studio's spots"
    )]
    UnknownSpot {
        /// The session.
        id: String,
        /// The look.
        look: String,
        /// The spot as written.
        spot: String,
    },
    /// There is nothing to make.
    #[error("session {id} has no looks")]
    NoLooks {
        /// The session.
        id: String,
    },
    /// The booked time is empty.
    #[error("session {id} is booked for 0 minutes")]
    NoDuration {
        /// The session.
        id: String,
    },
}

/// How the ids of sessions begin whose family was erased: what is left of them is only their place.
pub const ERASED: &str = "erased-";

impl Session {
    /// Whether its family was erased; nothing more is to be told of it.
    pub fn is_erased(&self) -> bool {
        self.id.starts_with(ERASED)
    }

    /// The booked hours, from the start to the end that was agreed.
    ///
    /// # Errors
    ///
    /// [`SessionError::StartSkipped`] and [`SessionError::StartRepeated`] for a start in the hour
    /// that a clock change skips or repeats: nobody should be invited to such a time.
    ///
    /// # Source
    ///
    /// Iana time zone database, through `jiff`; the advice is RFC 5545's, section 3.3.5.
    pub fn booked(&self, zone: &TimeZone) -> Result<Span, SessionError> {
        use jiff::tz::AmbiguousOffset;
        let ambiguous = zone.to_ambiguous_timestamp(self.start);
        let (id, start) = (self.id.clone(), self.start);
        match ambiguous.offset() {
            AmbiguousOffset::Unambiguous { .. } => {}
            AmbiguousOffset::Gap { .. } => return Err(SessionError::StartSkipped { id, start }),
            AmbiguousOffset::Fold { .. } => return Err(SessionError::StartRepeated { id, start }),
        }
        let from = ambiguous
            .compatible()
            .map_err(|_| SessionError::StartSkipped { id: self.id.clone(), start })?;
        Ok(Span { from, to: plus_minutes(from, self.duration_min) })
    }
}
