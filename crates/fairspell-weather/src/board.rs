//! Which of many warning messages are in force, and which of those concern an evening.

use std::collections::{HashMap, HashSet};

use fairspell_ground::{Area, LatLon, Reading};
use jiff::{SignedDuration, Timestamp};

use crate::{
    Remark,
    event_policy::{Circumstances, EventPolicy, Tier},
    warning::{GeoCode, MessageType, Reference, Status, WarnedArea, Warning},
};

/// The warning messages in force at a moment, out of all those that were received.
///
/// Of several messages with the same sender and identifier the one sent last counts. Updates and
/// cancels withdraw the messages that they name, also when they arrive first, and only those of their
/// own sender: nobody can call off another service's warning. A message named by an Error is treated
/// as never sent. Tests, exercises and drafts count for nothing.
///
/// # Examples
///
/// ```
/// use fairspell_weather::{WarningBoard, board::Whereabouts, event_policy::{EventPolicy, Tier}, read_warnings};
///
/// let bytes = include_bytes!("../tests/fixtures/cap_1_severe_thunderstorm.xml");
/// let received = read_warnings(bytes)?.value;
/// let board = WarningBoard::as_of(received, "2030-06-14T17:15:00-04:00".parse()?).value;
///
/// let spot = Whereabouts { points: vec!["29.9321,-81.3210".parse()?], ..Whereabouts::default() };
/// let session = ("2030-06-14T17:30:00-04:00".parse()?, "2030-06-14T19:30:00-04:00".parse()?);
/// let found = board.in_force(&EventPolicy::default(), &spot, session);
/// assert_eq!(found[0].tier, Tier::Stop);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Source
///
/// OASIS Common Alerting Protocol 1.2 (2010), elements `msgType`, `references` and `expires`.
#[derive(Debug, Clone, PartialEq)]
pub struct WarningBoard {
    messages: Vec<Warning>,
}

/// Where somebody will be: a spot, or a spot and the drive to it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Whereabouts {
    /// The spot, and the route in steps shorter than a storm is wide: a kilometre or two.
    pub points: Vec<LatLon>,
    /// The codes of the areas that these points lie in, in every system that is known.
    pub codes: Vec<GeoCode>,
    /// Whether any of it lies on or over water, at the shore, in a marsh or behind a causeway.
    pub shore: bool,
}

/// How a warning was matched with a place; the strongest way comes first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum How {
    /// Inside its drawing, or on the edge.
    InsidePolygon,
    /// Inside its circle.
    InsideCircle,
    /// The area is given by code alone, and the code fits.
    ByCode,
    /// The code fits, but the warning has a drawing and the place lies outside it.
    ///
    /// The standard would count this as warned. US storm and flood warnings name whole counties
    /// beside the drawing that is really meant, so for us it is a caution.
    SameCodeOutsidePolygon,
}

/// A warning that concerns a place and a window.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Match<'a> {
    /// The warning.
    pub warning: &'a Warning,
    /// What it means for the session. Never [`Tier::Ignore`].
    pub tier: Tier,
    /// How it was matched with the place.
    pub how: How,
}

impl WarningBoard {
    /// The messages in force at a moment. Messages sent after it are not looked at, so that any
    /// evening can be replayed.
    ///
    /// Remarks say which message referred to one that we never had, which was no actual message, and
    /// which lapsed without a successor although its event has no stated end.
    pub fn as_of(
        received: impl IntoIterator<Item = Warning>,
        as_of: Timestamp,
    ) -> Reading<WarningBoard, Remark> {
        let mut remarks = Vec::new();
        let messages = latest_actual(received, as_of, &mut remarks);
        let withdrawn = withdrawn(&messages, &mut remarks);
        let in_force = messages.into_iter().filter(|warning| {
            matches!(warning.message_type, MessageType::Alert | MessageType::Update)
                && !warning.is_over()
                && !withdrawn.contains(&warning.reference())
                && !has_lapsed(warning, as_of, &mut remarks)
        });
        let messages = in_force.collect();
        Reading { value: WarningBoard { messages }, remarks }
    }

    /// All messages in force, wherever and whenever their events are.
    pub fn messages(&self) -> &[Warning] {
        &self.messages
    }

    /// The warnings that concern a place and a window, the gravest first.
    ///
    /// An area with a drawing is matched by the drawing, its edge included; otherwise by code. An
    /// event concerns the window when they have a moment in common.
    ///
    /// - `policy`: what each event means; [`EventPolicy::default`] unless the owner has her own.
    /// - `place`: where she will be.
    /// - `window`: from and to, the drive included where the place includes it.
    pub fn in_force(
        &self,
        policy: &EventPolicy,
        place: &Whereabouts,
        window: (Timestamp, Timestamp),
    ) -> Vec<Match<'_>> {
        let (from, to) = window;
        let mut matches: Vec<Match<'_>> = self
            .messages
            .iter()
            .filter(|warning| warning.meets(from, to))
            .filter_map(|warning| {
                let how = warning.areas.iter().filter_map(|area| match_area(area, place)).min()?;
                let circumstances = Circumstances {
                    shore: place.shore,
                    inside_drawing: matches!(how, How::InsidePolygon | How::InsideCircle),
                    whole_window: warning.spans(from, to),
                };
                let tier = policy.tier(warning, circumstances);
                let tier =
                    if how == How::SameCodeOutsidePolygon { tier.min(Tier::Caution) } else { tier };
                (tier != Tier::Ignore).then_some(Match { warning, tier, how })
            })
            .collect();
        matches.sort_by_key(|found| (std::cmp::Reverse(found.tier), found.how, found.warning.sent));
        matches
    }
}

/// For each sender and identifier the message sent last, if it is meant and was sent by then.
fn latest_actual(
    received: impl IntoIterator<Item = Warning>,
    as_of: Timestamp,
    remarks: &mut Vec<Remark>,
) -> Vec<Warning> {
    let mut latest: HashMap<Reference, Timestamp> = HashMap::new();
    let mut messages: Vec<Warning> = Vec::new();
    for warning in received {
        if warning.sent > as_of {
            continue;
        }
        if warning.status != Status::Actual {
            let remark = Remark::NotActual { identifier: warning.identifier };
            if !remarks.contains(&remark) {
                remarks.push(remark);
            }
            continue;
        }
        let sent = latest.entry(warning.reference()).or_insert(warning.sent);
        *sent = warning.sent.max(*sent);
        messages.push(warning);
    }
    messages.retain(|warning| latest.get(&warning.reference()) == Some(&warning.sent));
    // The same message read twice, from two documents.
    let mut kept: Vec<Warning> = Vec::with_capacity(messages.len());
    let mut at: HashMap<Reference, Vec<usize>> = HashMap::new();
    for warning in messages {
        let same = at.entry(warning.reference()).or_default();
        if !same.iter().any(|&index| kept[index] == warning) {
            same.push(kept.len());
            kept.push(warning);
        }
    }
    kept
}

/// The messages that others replace, withdraw or reject.
fn withdrawn(messages: &[Warning], remarks: &mut Vec<Remark>) -> HashSet<Reference> {
    let known: HashSet<Reference> = messages.iter().map(Warning::reference).collect();
    let rejected: HashSet<Reference> = messages
        .iter()
        .filter(|warning| warning.message_type == MessageType::Error)
        .flat_map(own_references)
        .collect();
    let mut withdrawn = rejected.clone();
    for warning in messages {
        let withdraws = matches!(
            warning.message_type,
            MessageType::Update | MessageType::Cancel | MessageType::Error
        );
        if !withdraws || rejected.contains(&warning.reference()) {
            continue;
        }
        for reference in own_references(warning) {
            // An update that outlives its forerunners in the list is the ordinary case; a cancel of
            // something unknown may mean that a warning was missed.
            if warning.message_type != MessageType::Update && !known.contains(&reference) {
                remarks.push(Remark::UnknownReference {
                    identifier: warning.identifier.clone(),
                    reference: reference.identifier.clone(),
                });
            }
            withdrawn.insert(reference);
        }
    }
    withdrawn
}

fn own_references(warning: &Warning) -> impl Iterator<Item = Reference> {
    warning.references.iter().filter(|reference| reference.sender == warning.sender).cloned()
}

/// How long a message about an event without a stated end still counts after it has lapsed, hours.
///
/// Nobody has said that the event is over, and renewals come late. Beyond that a service that had more
/// to say would have said it (our choice).
const UNRENEWED_H: i64 = 6;

/// Whether a message is no longer valid. One whose event has a later end of its own holds until that
/// end; one without an expiry holds until it is replaced; one whose event has no stated end holds for
/// some hours beyond its own lapse.
fn has_lapsed(warning: &Warning, as_of: Timestamp, remarks: &mut Vec<Remark>) -> bool {
    let identifier = || warning.identifier.clone();
    match (warning.event_ends(), warning.expires) {
        (Some(end), _) => end <= as_of,
        (None, Some(expires)) if expires <= as_of => {
            remarks.push(Remark::LapsedWithoutSuccessor { identifier: identifier(), expires });
            as_of.duration_since(expires) >= SignedDuration::from_hours(UNRENEWED_H)
        }
        (None, Some(_)) => false,
        (None, None) => {
            remarks.push(Remark::NoExpiry { identifier: identifier(), sent: warning.sent });
            false
        }
    }
}

fn match_area(area: &WarnedArea, place: &Whereabouts) -> Option<How> {
    let inside = |shape: &Area| place.points.iter().any(|point| shape.contains(*point));
    let drawn = area.shapes.iter().filter(|shape| inside(shape)).map(|shape| match shape {
        Area::Polygon(_) => How::InsidePolygon,
        Area::Circle { .. } => How::InsideCircle,
    });
    if let Some(how) = drawn.min() {
        return Some(how);
    }
    let same_code =
        area.geocodes.iter().any(|code| place.codes.iter().any(|theirs| code.covers(theirs)));
    match (same_code, area.shapes.is_empty()) {
        (false, _) => None,
        (true, true) => Some(How::ByCode),
        (true, false) => Some(How::SameCodeOutsidePolygon),
    }
}
