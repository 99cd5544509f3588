//! The taps of all phones put together, and what is let in.
//!
//! Phones hand in what they have, in any order, twice or late. The log is the union by id: nothing
//! is ever taken out, so whoever writes last never erases. A mistake is undone by an event that says
//! so, and that can be undone as well.
//!
//! ```
//! use fairspell_studio::{FieldEvent, FieldEventKind, field_log};
//!
//! let at = |text: &str| text.parse().expect("a moment");
//! let first = vec![FieldEvent::new("k3", 1, at("2026-09-03T05:20:00Z"), FieldEventKind::Arrived {})];
//! let second = vec![FieldEvent::new("p8", 1, at("2026-09-03T05:21:00Z"), FieldEventKind::Thunder {})];
//! let merged = field_log::merge(&first, &second);
//! assert_eq!(merged, field_log::merge(&second, &first));
//! assert_eq!((merged.events.len(), merged.clashes.len()), (2, 0));
//! ```

use std::collections::{HashMap, HashSet, hash_map};

use jiff::{SignedDuration, Timestamp};
use serde_json::Value;

use crate::{
    FieldEvent, FieldEventKind,
    field_event::{Refusal, Refused},
    journal::Digest,
};

/// The most events that are let in at once: an evening has a few hundred.
pub const EVENTS_MAX: usize = 5000;
/// A phone's clock may differ from the studio's by so much before its times are corrected, s.
pub const SKEW_MAX_S: i64 = 120;
/// After that correction, an event so far in the future is refused, s.
pub const FUTURE_MAX_S: i64 = 300;

/// Logs put together.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Merged {
    /// All events, in their order.
    pub events: Vec<FieldEvent>,
    /// The ids under which something else came as well; the first stays.
    pub clashes: Vec<String>,
}

/// The union of two logs by id. Where both have an event of one id that says something else, that of
/// the first stays. Where only their times differ, that of the first stays, and it is no clash.
pub fn merge(first: &[FieldEvent], second: &[FieldEvent]) -> Merged {
    let mut events: Vec<FieldEvent> = Vec::with_capacity(first.len() + second.len());
    let (mut clashes, mut known) = (Vec::new(), HashMap::new());
    for event in first.iter().chain(second) {
        match known.entry(event.id.as_str()) {
            hash_map::Entry::Vacant(entry) => {
                entry.insert(event);
                events.push(event.clone());
            }
            hash_map::Entry::Occupied(entry) if entry.get().says_the_same(event) => {}
            hash_map::Entry::Occupied(_) => clashes.push(event.id.clone()),
        }
    }
    events.sort_by(|one, other| one.place().cmp(&other.place()));
    clashes.sort();
    clashes.dedup();
    Merged { events, clashes }
}

/// The events that count, in their order: by time, then phone, then number, without those that were
/// undone.
///
/// An undo counts unless a counting undo undoes it. Undos that undo each other in a ring (nobody taps
/// that; a tampered log may hold it) undo nothing.
pub fn standing(events: &[FieldEvent]) -> Vec<&FieldEvent> {
    let mut ordered: Vec<&FieldEvent> = events.iter().collect();
    ordered.sort_by(|one, other| one.place().cmp(&other.place()));
    let place: HashMap<&str, usize> =
        ordered.iter().enumerate().map(|(index, event)| (event.id.as_str(), index)).collect();
    let target = |index: usize| match &ordered[index].kind {
        FieldEventKind::Undo { of } => place.get(of.as_str()).copied(),
        _ => None,
    };
    // How many undos of an event may still turn out to count.
    let mut open = vec![0_usize; ordered.len()];
    for undone in (0..ordered.len()).filter_map(target) {
        open[undone] += 1;
    }
    let mut counts: Vec<Option<bool>> = vec![None; ordered.len()];
    let mut decided: Vec<usize> = (0..ordered.len()).filter(|&index| open[index] == 0).collect();
    for &index in &decided {
        counts[index] = Some(true);
    }
    while let Some(index) = decided.pop() {
        let Some(undone) = target(index).filter(|&undone| counts[undone].is_none()) else {
            continue;
        };
        open[undone] -= 1;
        if counts[index] == Some(true) {
            counts[undone] = Some(false);
            decided.push(undone);
        } else if open[undone] == 0 {
            counts[undone] = Some(true);
            decided.push(undone);
        }
    }
    let in_ring = |index: usize| counts[index].is_none() && target(index).is_some();
    let stays = |index: usize| counts[index] != Some(false) && !in_ring(index);
    (0..ordered.len()).filter(|&index| stays(index)).map(|index| ordered[index]).collect()
}

/// By which of the phone's words its clock can be held against the studio's. Its time and those of
/// the events have to be of the same clock.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HandedIn {
    /// Sent just now, by the phone's clock: that clock's error is known.
    Sent(Timestamp),
    /// Written into a text at a moment of the phone's clock, and brought here some time later. A text
    /// from the future shows a clock that is ahead at least that much; of one that is behind, nothing
    /// shows.
    Written(Timestamp),
}

/// What is let in of a batch.
#[derive(Debug, Clone, PartialEq)]
pub struct Accepted {
    /// The events that are let in, corrected, in their order; known ones as they are known.
    pub kept: Vec<FieldEvent>,
    /// Those that are not.
    pub refused: Vec<Refused>,
    /// What the phone's clock lacks to the studio's, s: negative where it is ahead.
    pub skew_s: f64,
    /// Whether the times were corrected by it.
    pub corrected: bool,
}

/// Looks at what a phone handed in, event by event.
///
/// - `known`: what the studio has of this session. An event that is known is let in again as it is
///   known, whatever clock it comes with now; another one under its id is refused.
///
/// A clock that differs from the studio's by more than [`SKEW_MAX_S`] is corrected: every time of the
/// batch moves by the difference. What then lies more than [`FUTURE_MAX_S`] in the studio's future is
/// refused, and the others are kept.
///
/// # Examples
///
/// A phone whose clock is an hour ahead:
///
/// ```
/// use fairspell_studio::field_log::{HandedIn, accept};
/// use serde_json::json;
///
/// let sent = "2026-09-03T06:30:00Z".parse().expect("a moment");
/// let now = "2026-09-03T05:30:00Z".parse().expect("a moment");
/// let tap = json!({"id": "k3-1", "device": "k3", "n": 1, "at": "2026-09-03T06:21:00Z", "kind": "thunder"});
/// let accepted = accept(&[tap], &[], HandedIn::Sent(sent), now);
/// assert_eq!(accepted.skew_s, -3600.0);
/// assert_eq!(accepted.kept[0].at.to_string(), "2026-09-03T05:21:00Z");
/// ```
pub fn accept(
    events: &[Value],
    known: &[FieldEvent],
    handed_in: HandedIn,
    now: Timestamp,
) -> Accepted {
    let skew = match handed_in {
        HandedIn::Sent(sent_at) => now.duration_since(sent_at),
        HandedIn::Written(at) => now.duration_since(at).min(SignedDuration::ZERO),
    };
    let corrected = skew.abs() > SignedDuration::from_secs(SKEW_MAX_S);
    let latest = now.saturating_add(SignedDuration::from_secs(FUTURE_MAX_S)).unwrap_or(now);
    let known: HashMap<&str, &FieldEvent> =
        known.iter().map(|event| (event.id.as_str(), event)).collect();
    let (mut kept, mut refused) = (Vec::new(), Vec::new());
    for (index, sent) in events.iter().enumerate() {
        let looked_at = FieldEvent::read(sent).and_then(|mut event| {
            let refuse = |id: String, why| Err(Refused { id, why });
            if index >= EVENTS_MAX {
                return refuse(event.id, Refusal::TooMany);
            }
            match known.get(event.id.as_str()) {
                Some(known) if known.says_the_same(&event) => return Ok((*known).clone()),
                Some(_) => return refuse(event.id, Refusal::SameId),
                None => {}
            }
            match event.at.checked_add(skew) {
                Ok(at) if corrected => event.at = at,
                Ok(_) => {}
                Err(_) => return refuse(event.id, Refusal::BadTime),
            }
            if event.at > latest { refuse(event.id, Refusal::InFuture) } else { Ok(event) }
        });
        match looked_at {
            Ok(event) => kept.push(event),
            Err(why) => refused.push(why),
        }
    }
    let Merged { events: kept, clashes } = merge(&kept, &[]);
    refused.extend(clashes.into_iter().map(|id| Refused { id, why: Refusal::SameId }));
    // Whoever answers the phone names each id once.
    let mut named = HashSet::new();
    refused.retain(|it| it.id.is_empty() || named.insert(it.id.clone()));
    Accepted { kept, refused, skew_s: skew.as_secs_f64(), corrected }
}

/// What some events come to: the SHA-256 of their JSON, in the order of their ids, a line each. A log
/// that was changed afterwards comes to something else.
pub fn digest(events: &[FieldEvent]) -> Digest {
    let line = |event: &FieldEvent| Value::Object(event.members()).to_string() + "\n";
    let mut lines: Vec<(&str, String)> =
        events.iter().map(|event| (event.id.as_str(), line(event))).collect();
    lines.sort();
    let text: String = lines.into_iter().map(|(_, line)| line).collect();
    Digest::of(text.as_bytes())
}
