//! One official warning, whatever the service: the words and rules of the Common Alerting Protocol.

use std::str::FromStr;

use fairspell_ground::Area;
use jiff::Timestamp;

use crate::vtec::Vtec;

/// A set of names that a CAP element may hold, read without regard to case.
macro_rules! cap_words {
    ($(#[$doc:meta])* $name:ident { $($(#[$word_doc:meta])* $word:ident),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum $name {
            $($(#[$word_doc])* $word),+
        }

        impl FromStr for $name {
            type Err = UnknownWord;

            fn from_str(text: &str) -> Result<Self, UnknownWord> {
                $(if text.eq_ignore_ascii_case(stringify!($word)) {
                    return Ok($name::$word);
                })+
                Err(UnknownWord)
            }
        }
    };
}

/// The text is none of the words that CAP 1.2 allows here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("expected a word of CAP 1.2")]
pub struct UnknownWord;

cap_words! {
    /// Whether a message is meant.
    Status {
        /// To be acted on.
        Actual,
        /// For the participants of an exercise.
        Exercise,
        /// Between machines.
        System,
        /// A technical test.
        Test,
        /// Not yet meant.
        Draft,
    }
}

cap_words! {
    /// What a message does to the messages that it refers to.
    MessageType {
        /// The first of its event.
        Alert,
        /// Replaces them.
        Update,
        /// Withdraws them.
        Cancel,
        /// Acknowledges them.
        Ack,
        /// Rejects them.
        Error,
    }
}

cap_words! {
    /// How soon somebody has to act.
    Urgency {
        /// Now.
        Immediate,
        /// Within the hour.
        Expected,
        /// In the near future.
        Future,
        /// No longer.
        Past,
        /// Not known.
        Unknown,
    }
}

cap_words! {
    /// How bad it may be for life or property.
    Severity {
        /// An extraordinary threat.
        Extreme,
        /// A significant threat.
        Severe,
        /// A possible threat.
        Moderate,
        /// Next to no threat.
        Minor,
        /// Not known.
        Unknown,
    }
}

cap_words! {
    /// How sure the service is.
    Certainty {
        /// Has happened or is going on.
        Observed,
        /// More likely than not.
        Likely,
        /// Not more likely than not.
        Possible,
        /// Next to impossible.
        Unlikely,
        /// Not known.
        Unknown,
    }
}

cap_words! {
    /// What the service asks people to do.
    Response {
        /// Take cover.
        Shelter,
        /// Leave.
        Evacuate,
        /// Get ready.
        Prepare,
        /// Do what was planned.
        Execute,
        /// Stay away.
        Avoid,
        /// Keep reading.
        Monitor,
        /// Judge for themselves.
        Assess,
        /// Nothing any more: the event no longer threatens.
        AllClear,
        /// Nothing.
        None,
    }
}

/// Another message, as `references` names it.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Reference {
    /// Who sent it.
    pub sender: String,
    /// Its name with that sender.
    pub identifier: String,
}

/// The code of an area in some system, such as a county or a forecast zone.
///
/// # Examples
///
/// ```
/// use fairspell_weather::warning::GeoCode;
///
/// let county = GeoCode::new("SAME", "012951");
/// assert!(GeoCode::new("SAME", "012000").covers(&county), "the whole state");
/// assert!(GeoCode::new("SAME", "112951").covers(&county), "its north-west, taken as all of it");
/// assert!(!GeoCode::new("UGC", "FLC951").covers(&county), "another system");
/// ```
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct GeoCode {
    /// The system: `SAME`, `UGC`, `EMMA_ID` and so on.
    pub system: String,
    /// The code.
    pub value: String,
}

impl GeoCode {
    /// A code in its system.
    pub fn new(system: impl Into<String>, value: impl Into<String>) -> Self {
        GeoCode { system: system.into(), value: value.into() }
    }

    /// Whether a warning for this code holds for a place that has the other code.
    ///
    /// Letters' case does not matter. In `SAME` the first digit, a part of the county, is left out of
    /// account (to over-warn a county rather than to miss it), and county 000 is the whole state.
    ///
    /// # Source
    ///
    /// US Code of Federal Regulations, title 47, 11.31(c), for the make-up of `SAME` codes.
    pub fn covers(&self, place: &GeoCode) -> bool {
        if !self.system.eq_ignore_ascii_case(&place.system) {
            return false;
        }
        if self.value.eq_ignore_ascii_case(&place.value) {
            return true;
        }
        self.system.eq_ignore_ascii_case("SAME")
            && same_state_and_county(&self.value)
                .zip(same_state_and_county(&place.value))
                .is_some_and(|((state, county), (place_state, place_county))| {
                    state == place_state && (county == "000" || county == place_county)
                })
    }
}

fn same_state_and_county(value: &str) -> Option<(&str, &str)> {
    let six_digits = value.len() == 6 && value.bytes().all(|byte| byte.is_ascii_digit());
    six_digits.then(|| (&value[1..3], &value[3..]))
}

/// One area of a warning.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct WarnedArea {
    /// In words.
    pub description: Option<String>,
    /// As drawn. Where there is a drawing it is the warned area, and the codes only contain it.
    pub shapes: Vec<Area>,
    /// By code.
    pub geocodes: Vec<GeoCode>,
}

/// An official warning as CAP 1.2 has it: one message, one event.
///
/// A message that speaks of several events becomes several warnings with the same identifier.
///
/// # Source
///
/// OASIS Common Alerting Protocol 1.2 (2010); `ends` and `vtec` after the US National Weather
/// Service.
#[derive(Debug, Clone, PartialEq)]
pub struct Warning {
    /// The message's name; unique with its sender.
    pub identifier: String,
    /// Who sent it.
    pub sender: String,
    /// When it was sent.
    pub sent: Timestamp,
    /// Whether it is meant.
    pub status: Status,
    /// What it does to the messages in `references`.
    pub message_type: MessageType,
    /// The messages that it speaks of.
    pub references: Vec<Reference>,
    /// The event's name in the service's words. Empty only in a message that withdraws others
    /// without any information of its own.
    pub event: String,
    /// How soon.
    pub urgency: Urgency,
    /// How bad.
    pub severity: Severity,
    /// How sure.
    pub certainty: Certainty,
    /// What to do.
    pub response: Vec<Response>,
    /// From when the information holds.
    pub effective: Option<Timestamp>,
    /// When the event is expected to begin.
    pub onset: Option<Timestamp>,
    /// When the message lapses.
    pub expires: Option<Timestamp>,
    /// When the event ends, where the service says so beside `expires`.
    pub ends: Option<Timestamp>,
    /// Where.
    pub areas: Vec<WarnedArea>,
    /// One line.
    pub headline: Option<String>,
    /// The text.
    pub description: Option<String>,
    /// What the service tells people to do.
    pub instruction: Option<String>,
    /// The sender's name for people.
    pub sender_name: Option<String>,
    /// The US event codes.
    pub vtec: Vec<Vtec>,
}

impl Warning {
    /// When the event begins: onset, else the start of validity, else when the message was sent.
    pub fn begins(&self) -> Timestamp {
        self.onset.or(self.effective).unwrap_or(self.sent)
    }

    /// When the event ends; `None` until further notice.
    ///
    /// "Until further notice" in a running event code goes first; else the later of the code's end
    /// and `ends`; where there is neither, the moment at which the message lapses, unless that comes
    /// before the event begins: a watch lapses, and is renewed, long before its storm.
    pub fn event_ends(&self) -> Option<Timestamp> {
        let running = || self.vtec.iter().filter(|event| !event.is_over());
        if running().any(|event| event.end.is_none()) {
            return None;
        }
        let by_code = running().filter_map(|event| event.end).max();
        self.ends
            .map(|ends| by_code.map_or(ends, |end| end.max(ends)))
            .or(by_code)
            .or_else(|| self.expires.filter(|expires| *expires > self.begins()))
    }

    /// Whether the message itself says that its event no longer threatens.
    ///
    /// A called-off warning keeps its event's name in the US list; its urgency is Past, its response
    /// is `AllClear`, and its event codes are all of the kind that ends an event.
    pub fn is_over(&self) -> bool {
        let codes_over = !self.vtec.is_empty() && self.vtec.iter().all(Vtec::is_over);
        self.urgency == Urgency::Past || codes_over || self.response == [Response::AllClear]
    }

    /// Whether the event and a window have a moment in common. The window's end does not belong to
    /// it, nor does the event's.
    pub fn meets(&self, from: Timestamp, to: Timestamp) -> bool {
        self.begins() < to && self.event_ends().is_none_or(|end| from < end)
    }

    /// Whether a whole window lies inside the event's time.
    pub fn spans(&self, from: Timestamp, to: Timestamp) -> bool {
        self.begins() <= from && self.event_ends().is_none_or(|end| to <= end)
    }

    /// This message as another one would refer to it.
    pub fn reference(&self) -> Reference {
        Reference { sender: self.sender.clone(), identifier: self.identifier.clone() }
    }
}
