//! What was made, in what rain, out of the taps.

use std::collections::BTreeSet;

use jiff::{SignedDuration, Timestamp};
use serde::{Deserialize, Serialize};

use crate::{
    FieldEvent, FieldEventKind, Session,
    field_event::{RainTruth, SetForm, Wetness},
    field_log::standing,
    outlook::Span,
    variety::Coverage,
};

/// How long nobody goes out again after the last thunder, minutes; every new one starts it again.
///
/// # Source
///
/// US National Weather Service, lightning safety ("30-30 rule"): go in when thunder follows the flash
/// within 30 seconds, stay in until 30 minutes after the last thunder.
pub const THUNDER_WAIT_MIN: i64 = 30;

/// How a set ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Ending {
    /// It was made.
    Made,
    /// It was broken off.
    NotMade,
    /// Nobody said; the next set was begun, or the session was over.
    NotSaid,
    /// It is being made.
    Running,
}

/// A set that was begun.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SetRun {
    /// The set, by the field sheet's id.
    pub set: String,
    /// Its look; see [`look_of_set`].
    pub look: String,
    /// In full or short.
    pub form: SetForm,
    /// When it was begun.
    pub from: Timestamp,
    /// When it ended; `None`: it is being made.
    pub to: Option<Timestamp>,
    /// How.
    pub ending: Ending,
}

/// A stretch of rain of one class, as it was tapped.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct RainSpell {
    /// 0 dry, 1 drizzle, 2 rain, 3 heavy.
    pub class: u8,
    /// From when.
    pub from: Timestamp,
    /// Until when; `None`: nobody said otherwise.
    pub to: Option<Timestamp>,
}

/// A stretch of waiting.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Hold {
    /// From when.
    pub from: Timestamp,
    /// Until when; `None`: it goes on.
    pub to: Option<Timestamp>,
}

/// Words at a moment.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Said {
    /// When.
    pub at: Timestamp,
    /// What.
    pub text: String,
    /// The set that was being made then, by id.
    pub set: Option<String>,
}

/// Something seen to be dry, damp or wet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Seen {
    /// When.
    pub at: Timestamp,
    /// The look; `None`: the hair.
    pub look: Option<String>,
    /// How wet.
    pub state: Wetness,
}

/// A set or a spot at a moment.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Named {
    /// When.
    pub at: Timestamp,
    /// Its id.
    pub id: String,
}

/// The cells of one look.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LookCells {
    /// The look, by name.
    pub look: String,
    /// What was tapped as filled: ids of [`CORE`](crate::variety::CORE) and of newer sheets.
    pub cells: BTreeSet<String>,
}

/// What was made, and in what weather.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct FieldRecord {
    /// When she arrived.
    pub arrived: Option<Timestamp>,
    /// The sets that were begun, in their order.
    pub sets: Vec<SetRun>,
    /// Sets that were given up, and not begun since.
    pub skipped: Vec<Named>,
    /// The rain as tapped, dry stretches among it. What came before the first tap nobody said.
    pub rain: Vec<RainSpell>,
    /// When thunder was heard.
    pub thunder: Vec<Timestamp>,
    /// When work had to stand still: from a thunder to [`THUNDER_WAIT_MIN`] after the last.
    pub standstills: Vec<Span>,
    /// Waiting under cover.
    pub holds: Vec<Hold>,
    /// Spots walked to.
    pub spots: Vec<Named>,
    /// Hair and outfits.
    pub seen: Vec<Seen>,
    /// What the camera was set to.
    pub settings: Vec<Said>,
    /// Notes.
    pub notes: Vec<Said>,
    /// What the rain was, as tapped last.
    pub truth: Option<RainTruth>,
    /// The cells tapped as filled, look by look in the order of their names.
    pub cells: Vec<LookCells>,
    /// When the session was ended.
    pub finished: Option<Timestamp>,
    /// Events of kinds that we do not know.
    pub unknown: u32,
}

impl FieldRecord {
    /// The looks to speak of: those of the session, and others that were tapped.
    pub fn looks<'a>(&'a self, session: &'a Session) -> Vec<&'a str> {
        let mut looks: Vec<&str> = session.looks.iter().map(|look| look.name.as_str()).collect();
        for of in &self.cells {
            if !looks.contains(&of.look.as_str()) {
                looks.push(&of.look);
            }
        }
        looks
    }

    /// Reads the events of a session, in whatever order they are.
    ///
    /// Taps of two phones are read as one row: a set that is begun on both is begun once. A set ends
    /// with *done* or *stop*, and else when the next one begins or the session ends. Whoever begins a
    /// set no longer waits.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_studio::{FieldEvent, FieldEventKind, FieldRecord, field_event::SetForm, field_record::Ending};
    ///
    /// let at = |text: &str| text.parse().expect("a moment");
    /// let set = "sage satin / cannery_arcade / cover".to_owned();
    /// let begun = FieldEventKind::Start { set, form: SetForm::Full };
    /// let record = FieldRecord::of(&[
    ///     FieldEvent::new("k3", 1, at("2026-09-03T05:20:00Z"), begun),
    ///     FieldEvent::new("k3", 2, at("2026-09-03T05:38:00Z"), FieldEventKind::Done {}),
    /// ]);
    /// assert_eq!((record.sets[0].look.as_str(), record.sets[0].ending), ("sage satin", Ending::Made));
    /// ```
    pub fn of(events: &[FieldEvent]) -> FieldRecord {
        let mut record = FieldRecord::default();
        let mut is_rain_tapped = false;
        for event in standing(events) {
            let is_rain = matches!(event.kind, FieldEventKind::Rain { .. });
            // What a phone noted out of the radar picture gives way to what somebody saw fall.
            let is_by_picture = event.more.get("by").is_some_and(|by| by == "picture");
            if is_rain && is_by_picture && is_rain_tapped {
                continue;
            }
            is_rain_tapped |= is_rain && !is_by_picture;
            record.take(event);
        }
        record.standstills = standstills(&record.thunder);
        record
    }

    /// Whether nothing was tapped.
    pub fn is_empty(&self) -> bool {
        *self == FieldRecord::default()
    }

    /// What of a look's variety was tapped.
    pub fn coverage(&self, look: &str) -> Coverage {
        let mut coverage = Coverage::default();
        for id in self.cells.iter().filter(|of| of.look == look).flat_map(|of| &of.cells) {
            coverage.tap(id, true);
        }
        coverage
    }

    fn take(&mut self, event: &FieldEvent) {
        let at = event.at;
        match &event.kind {
            FieldEventKind::Arrived {} => self.arrived = self.arrived.or(Some(at)),
            FieldEventKind::Start { set, form } => self.begin(set, *form, at),
            FieldEventKind::Done {} => self.end_set(at, Ending::Made),
            FieldEventKind::Stop {} => self.end_set(at, Ending::NotMade),
            FieldEventKind::Skip { set } => {
                if self.skipped.iter().all(|skipped| skipped.id != *set) {
                    self.skipped.push(Named { at, id: set.clone() });
                }
            }
            FieldEventKind::Rain { class } => self.rains(*class, at),
            FieldEventKind::Thunder {} => self.thunder.push(at),
            FieldEventKind::Hold {} => {
                if self.holds.last().is_none_or(|hold| hold.to.is_some()) {
                    self.holds.push(Hold { from: at, to: None });
                }
            }
            FieldEventKind::Resume {} => self.end_hold(at),
            FieldEventKind::Spot { spot } => self.spots.push(Named { at, id: spot.clone() }),
            FieldEventKind::Hair { state } => {
                self.seen.push(Seen { at, look: None, state: *state });
            }
            FieldEventKind::Cloth { look, state } => {
                self.seen.push(Seen { at, look: Some(look.clone()), state: *state });
            }
            FieldEventKind::Cell { look, cell, filled } => {
                let cells = self.cells_of(look);
                if *filled {
                    cells.insert(cell.clone())
                } else {
                    cells.remove(cell)
                };
            }
            FieldEventKind::Settings { text } => {
                let said = self.said(at, text);
                self.settings.push(said);
            }
            FieldEventKind::Note { text } => {
                let said = self.said(at, text);
                self.notes.push(said);
            }
            FieldEventKind::Truth { rain } => self.truth = Some(*rain),
            FieldEventKind::Finish {} => {
                self.end_set(at, Ending::NotSaid);
                self.end_hold(at);
                self.end_rain(at);
                self.finished = Some(at);
            }
            FieldEventKind::Undo { .. } => {}
            FieldEventKind::Unknown { .. } => self.unknown += 1,
        }
    }

    fn cells_of(&mut self, look: &str) -> &mut BTreeSet<String> {
        let place = self.cells.binary_search_by(|of| of.look.as_str().cmp(look));
        let place = place.unwrap_or_else(|place| {
            let look = look.to_owned();
            self.cells.insert(place, LookCells { look, cells: BTreeSet::new() });
            place
        });
        &mut self.cells[place].cells
    }

    fn running(&mut self) -> Option<&mut SetRun> {
        self.sets.last_mut().filter(|run| run.ending == Ending::Running)
    }

    fn begin(&mut self, set: &str, form: SetForm, at: Timestamp) {
        if self.running().is_some_and(|run| run.set == set && run.form == form) {
            return;
        }
        self.end_set(at, Ending::NotSaid);
        self.end_hold(at);
        self.finished = None;
        self.skipped.retain(|skipped| skipped.id != set);
        let (set, look) = (set.to_owned(), look_of_set(set).to_owned());
        self.sets.push(SetRun { set, look, form, from: at, to: None, ending: Ending::Running });
    }

    fn end_set(&mut self, at: Timestamp, ending: Ending) {
        if let Some(run) = self.running() {
            (run.to, run.ending) = (Some(at), ending);
        }
    }

    fn end_hold(&mut self, at: Timestamp) {
        if let Some(hold) = self.holds.last_mut().filter(|hold| hold.to.is_none()) {
            hold.to = Some(at);
        }
    }

    fn rains(&mut self, class: u8, at: Timestamp) {
        if self.rain.last().is_some_and(|spell| spell.class == class && spell.to.is_none()) {
            return;
        }
        self.end_rain(at);
        self.rain.push(RainSpell { class, from: at, to: None });
    }

    fn end_rain(&mut self, at: Timestamp) {
        if let Some(spell) = self.rain.last_mut().filter(|spell| spell.to.is_none()) {
            spell.to = Some(at);
        }
    }

    fn said(&mut self, at: Timestamp, text: &str) -> Said {
        let set = self.running().map(|run| run.set.clone());
        Said { at, text: text.to_owned(), set }
    }
}

/// The look of a set, from the field sheet's id: look, spot and setting with ` / ` between them. An
/// id of another make is its own look.
///
/// ```
/// use fairspell_studio::field_record::look_of_set;
///
/// assert_eq!(look_of_set("sage satin / cannery_arcade / cover"), "sage satin");
/// assert_eq!(look_of_set("bank"), "bank");
/// ```
pub fn look_of_set(set: &str) -> &str {
    let mut parts = set.rsplitn(3, " / ");
    let (_, _, look) = (parts.next(), parts.next(), parts.next());
    look.unwrap_or(set)
}

/// When work had to stand still, from the times of thunder in their order.
fn standstills(thunder: &[Timestamp]) -> Vec<Span> {
    let wait = SignedDuration::from_mins(THUNDER_WAIT_MIN);
    let mut spans: Vec<Span> = Vec::new();
    for &from in thunder {
        let to = from.saturating_add(wait).unwrap_or(Timestamp::MAX);
        match spans.last_mut() {
            Some(last) if from <= last.to => last.to = to,
            _ => spans.push(Span { from, to }),
        }
    }
    spans
}
