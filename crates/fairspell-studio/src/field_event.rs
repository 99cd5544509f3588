//! What happens in the field, tap by tap.
//!
//! A phone writes down a [`FieldEvent`] for each tap, offline too, and hands them in later. They are
//! foreign bytes: [`FieldEvent::read`] says of each what cannot be let in and why, so that one bad
//! event never loses the others. An event of a kind that we do not know (from a newer sheet) is kept
//! as it came and means nothing to us.
//!
//! ```
//! use fairspell_studio::field_event::{FieldEvent, FieldEventKind, Refusal};
//! use serde_json::json;
//!
//! let tap = json!({"id": "k3-1", "device": "k3", "n": 1, "at": "2026-09-03T05:21:04.120Z",
//!                  "kind": "rain", "class": 2});
//! let event = FieldEvent::read(&tap)?;
//! assert_eq!(event.kind, FieldEventKind::Rain { class: 2 });
//!
//! let absurd = json!({"id": "k3-2", "device": "k3", "n": 2, "at": "2026-09-03T05:22:00Z",
//!                     "kind": "rain", "class": 9});
//! let refused = FieldEvent::read(&absurd).expect_err("there are four classes");
//! assert_eq!((refused.id.as_str(), refused.why), ("k3-2", Refusal::NoSuchRain));
//! # Ok::<(), fairspell_studio::field_event::Refused>(())
//! ```

use jiff::{RoundMode, Timestamp, TimestampRound, Unit};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use serde_json::{Map, Value};

/// The longest id of an event or a phone, characters.
pub const ID_MAX: usize = 64;
/// The longest name of a set, look, spot or cell, characters.
pub const NAME_MAX: usize = 200;
/// The longest note, characters.
pub const TEXT_MAX: usize = 2000;
/// The longest event altogether, bytes of JSON: room for a note in letters of four bytes each.
pub const BYTES_MAX: usize = 10_000;
/// The hardest class of rain: 0 dry, 1 drizzle, 2 rain, 3 heavy.
pub const RAIN_CLASS_MAX: u8 = 3;

/// One tap.
#[derive(Debug, Clone, PartialEq)]
pub struct FieldEvent {
    /// Unique: the phone's id and the event's number.
    pub id: String,
    /// The phone, by a random id that it keeps.
    pub device: String,
    /// The phone's own count, from 1.
    pub n: u64,
    /// When, to the millisecond.
    pub at: Timestamp,
    /// What.
    pub kind: FieldEventKind,
    /// Members that came with it and that we do not know, kept as they came.
    pub more: Map<String, Value>,
}

/// In full or in its short form.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SetForm {
    /// As planned.
    Full,
    /// Cut to what has to be.
    Short,
}

/// How wet hair or cloth is seen to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Wetness {
    /// As it came.
    Dry,
    /// It shows, and can still be worked with.
    Damp,
    /// It is done for today.
    Wet,
}

/// What the evening's rain was at the place, in one tap: the truth that forecasts are held against.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RainTruth {
    /// No drop.
    None,
    /// Some.
    Some,
    /// Much.
    Much,
}

/// What was tapped.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum FieldEventKind {
    /// On the spot.
    Arrived {},
    /// A set is begun.
    Start {
        /// The set, by the field sheet's id.
        set: String,
        /// Its form.
        form: SetForm,
    },
    /// The running set is made.
    Done {},
    /// The running set is ended, and not made.
    Stop {},
    /// A set will not be made.
    Skip {
        /// The set, by the field sheet's id.
        set: String,
    },
    /// What falls now and from now on.
    Rain {
        /// 0 dry, 1 drizzle, 2 rain, 3 heavy.
        class: u8,
    },
    /// Thunder was heard, or lightning seen.
    Thunder {},
    /// Waiting under cover begins.
    Hold {},
    /// Waiting ends.
    Resume {},
    /// Walked to a spot.
    Spot {
        /// The spot, by id.
        spot: String,
    },
    /// How the hair is seen to be.
    Hair {
        /// How wet.
        state: Wetness,
    },
    /// How an outfit is seen to be.
    Cloth {
        /// The look, by name.
        look: String,
        /// How wet.
        state: Wetness,
    },
    /// A cell of the variety grid is filled, or empty after all.
    Cell {
        /// The look, by name.
        look: String,
        /// One of the core twelve, by id; see [`CORE`](crate::variety::CORE).
        cell: String,
        /// Whether it is.
        filled: bool,
    },
    /// What the camera was set to.
    Settings {
        /// As she says it.
        text: String,
    },
    /// Anything.
    Note {
        /// As she says it.
        text: String,
    },
    /// What the evening's rain was.
    Truth {
        /// The rain.
        rain: RainTruth,
    },
    /// The session is over.
    Finish {},
    /// Another event did not happen; that can be one of these.
    Undo {
        /// The event, by id.
        of: String,
    },
    /// Of a kind that we do not know: kept as it came, and ignored.
    #[serde(skip)]
    Unknown {
        /// What it calls itself; everything else of it stands in [`FieldEvent::more`].
        kind: String,
    },
}

/// The kinds that [`FieldEventKind`] knows, as they are spelled.
const KINDS: [&str; 18] = [
    "arrived", "start", "done", "stop", "skip", "rain", "thunder", "hold", "resume", "spot",
    "hair", "cloth", "cell", "settings", "note", "truth", "finish", "undo",
];

/// Why an event is not let in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, thiserror::Error)]
#[serde(rename_all = "snake_case")]
pub enum Refusal {
    /// It is no JSON object.
    #[error("it is no event")]
    NotAnEvent,
    /// It has no id, an empty one or one that is too long.
    #[error("it has no id of 1 to {ID_MAX} characters")]
    NoId,
    /// Its phone has no id, an empty one or one that is too long.
    #[error("its phone has no id of 1 to {ID_MAX} characters")]
    NoDevice,
    /// Its number is not 1, 2, 3 and so on.
    #[error("its number is not a whole one from 1 on")]
    BadNumber,
    /// Its time is none.
    #[error("its time cannot be read")]
    BadTime,
    /// It does not say what happened.
    #[error("it does not say of which kind it is")]
    NoKind,
    /// A class of rain that there is not.
    #[error("there is no such class of rain")]
    NoSuchRain,
    /// Something that belongs to its kind is missing or is not what it has to be.
    #[error("a part that its kind needs is missing or not as agreed")]
    BadPart,
    /// A note, a name or the whole is too long.
    #[error("it is too long")]
    TooLong,
    /// It lies in the future.
    #[error("it lies in the future")]
    InFuture,
    /// It came after as many as are let in at once.
    #[error("too many came at once")]
    TooMany,
    /// There is an event of this id that says something else.
    #[error("another event has this id already")]
    SameId,
}

/// An event that is not let in.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("event `{id}`: {why}")]
pub struct Refused {
    /// Its id as far as it has one, cut to [`ID_MAX`] characters.
    pub id: String,
    /// Why.
    pub why: Refusal,
}

impl FieldEvent {
    /// An event as a phone makes it: its id is the phone's with the number behind it.
    pub fn new(device: &str, n: u64, at: Timestamp, kind: FieldEventKind) -> FieldEvent {
        let (id, device) = (format!("{device}-{n}"), device.to_owned());
        FieldEvent { id, device, n, at: whole_milliseconds(at), kind, more: Map::new() }
    }

    /// Reads what a phone sent. Its time is taken to the millisecond, as everything keeps it.
    ///
    /// # Errors
    ///
    /// Why it is not let in; the others of its batch are none the worse for it.
    pub fn read(value: &Value) -> Result<FieldEvent, Refused> {
        let sent = value.get("id").and_then(Value::as_str).unwrap_or_default();
        let refused = |why| Refused { id: sent.chars().take(ID_MAX).collect(), why };
        read_object(value).map_err(refused)
    }

    /// Whether it says the same as another one of its id. Their times may differ: the studio
    /// corrects the times of a phone whose clock is wrong, and the phone goes on sending its own.
    pub fn says_the_same(&self, other: &FieldEvent) -> bool {
        (&self.device, self.n, &self.kind, &self.more)
            == (&other.device, other.n, &other.kind, &other.more)
    }

    /// As it is written: what we know of it, and what came with it.
    pub(crate) fn members(&self) -> Map<String, Value> {
        let mut members = self.more.clone();
        members.extend(parts(&self.kind));
        members.insert("id".to_owned(), Value::from(self.id.as_str()));
        members.insert("device".to_owned(), Value::from(self.device.as_str()));
        members.insert("n".to_owned(), Value::from(self.n));
        members.insert("at".to_owned(), Value::from(self.at.to_string()));
        members
    }

    /// Its place in an evening: by time, then phone, then number; the id settles what a phone that
    /// counts wrongly leaves open.
    pub(crate) fn place(&self) -> (Timestamp, &str, u64, &str) {
        (self.at, &self.device, self.n, &self.id)
    }
}

fn read_object(value: &Value) -> Result<FieldEvent, Refusal> {
    let Value::Object(object) = value else { return Err(Refusal::NotAnEvent) };
    let mut more = object.clone();
    let id = identity(more.remove("id")).ok_or(Refusal::NoId)?;
    let device = identity(more.remove("device")).ok_or(Refusal::NoDevice)?;
    let n = more.remove("n").and_then(|n| n.as_u64()).filter(|n| (1..=i64::MAX as u64).contains(n));
    let n = n.ok_or(Refusal::BadNumber)?;
    let at = more.remove("at").and_then(|at| at.as_str()?.parse::<Timestamp>().ok());
    let at = whole_milliseconds(at.ok_or(Refusal::BadTime)?);
    if value.to_string().len() > BYTES_MAX {
        return Err(Refusal::TooLong);
    }
    let kind = read_kind(&mut more)?;
    Ok(FieldEvent { id, device, n, at, kind, more })
}

fn identity(value: Option<Value>) -> Option<String> {
    match value {
        Some(Value::String(id)) if (1..=ID_MAX).contains(&id.chars().count()) => Some(id),
        _ => None,
    }
}

/// Takes the kind and its parts out of the members.
fn read_kind(members: &mut Map<String, Value>) -> Result<FieldEventKind, Refusal> {
    let Some(Value::String(name)) = members.get("kind").cloned() else {
        return Err(Refusal::NoKind);
    };
    if !KINDS.contains(&name.as_str()) {
        members.remove("kind");
        return match name.chars().count() {
            1..=ID_MAX => Ok(FieldEventKind::Unknown { kind: name }),
            _ => Err(Refusal::NoKind),
        };
    }
    if name == "rain" {
        let class = members.get("class").ok_or(Refusal::BadPart)?.as_u64();
        class.filter(|class| *class <= RAIN_CLASS_MAX.into()).ok_or(Refusal::NoSuchRain)?;
    }
    let longest = |member: &str| if member == "text" { TEXT_MAX } else { NAME_MAX };
    let read: FieldEventKind =
        serde_json::from_value(Value::Object(members.clone())).map_err(|_| Refusal::BadPart)?;
    for (member, value) in parts(&read) {
        let text = value.as_str().unwrap_or_default();
        if text.chars().count() > longest(&member) {
            return Err(Refusal::TooLong);
        }
        members.remove(&member);
    }
    Ok(read)
}

/// The members that a kind is written with, its name among them.
fn parts(kind: &FieldEventKind) -> Map<String, Value> {
    match (kind, serde_json::to_value(kind)) {
        (FieldEventKind::Unknown { kind }, _) => {
            Map::from_iter([("kind".to_owned(), Value::from(kind.as_str()))])
        }
        (_, Ok(Value::Object(parts))) => parts,
        (_, _) => unreachable!("a kind is written as an object"),
    }
}

fn whole_milliseconds(at: Timestamp) -> Timestamp {
    let down = TimestampRound::new().smallest(Unit::Millisecond).mode(RoundMode::Floor);
    at.round(down).unwrap_or(at)
}

impl Serialize for FieldEvent {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.members().serialize(serializer)
    }
}

impl<'de> Deserialize<'de> for FieldEvent {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<FieldEvent, D::Error> {
        FieldEvent::read(&Value::deserialize(deserializer)?).map_err(de::Error::custom)
    }
}
