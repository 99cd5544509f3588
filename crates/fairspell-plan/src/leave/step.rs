//! Go, hold, or don't go: the policy's word on the sky, which everything else can only make more careful.

use fairspell_studio::{
    Band, Outlook, Rule, Ruling, SourceState, Step, Tier,
    gate::{minus_minutes, quarter_after},
    outlook::SourceKind,
    ruling::NEXT_LOOK_MIN,
};
use jiff::Timestamp;

use super::{LeaveTimes, RoadCheck, RoadState, Way, WayWarning, is_same};

/// So long before leaving she looks again where that is still far off, minutes. Common practice.
const LOOK_BEFORE_MIN: u32 = 30;

/// What to do at the leave gate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LeaveStep {
    /// Go.
    Go,
    /// Wait at home and look again then.
    Hold {
        /// A quarter of an hour on the clock, from which going is still worth while.
        look_again_at: Timestamp,
    },
    /// Don't go.
    No,
    /// Something is warned of, or not known, that she has to look at herself before she goes.
    Yours,
}

/// What she has to look up herself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LookUp {
    /// The official warnings: no service is read for this place.
    Warnings,
    /// A point of the road that rain shuts, by name: no source says how much fell.
    Road(String),
}

/// Why.
#[derive(Debug, Clone, PartialEq)]
pub enum LeaveReason {
    /// What the policy says of the sky, by this rule.
    Sky(Box<Rule>),
    /// The same by the gate's own figure, where another rule outweighed it.
    Figure(Box<Rule>),
    /// An official warning touches the way or the place.
    Warned(Box<WayWarning>),
    /// An official warning is in force whose area nobody can tell.
    WarnedSomewhere {
        /// What it warns of, in the service's words.
        event: String,
    },
    /// A point of the road is not known to be open, or it leaves no time to wait at home.
    Road(Box<RoadCheck>),
    /// It is too late: after this moment no set is left before the light goes.
    TooLate {
        /// The moment.
        latest: Timestamp,
    },
}

/// What is decided.
pub(super) struct Decided {
    pub(super) step: LeaveStep,
    pub(super) reasons: Vec<LeaveReason>,
    pub(super) go_once: Vec<LookUp>,
}

/// The step, and why: the policy's own, which what follows can only make more careful.
pub(super) fn decide(
    ruling: &Ruling,
    outlook: &Outlook,
    times: &LeaveTimes,
    warnings: &[WayWarning],
    road: &[RoadCheck],
) -> Decided {
    let mut reasons = vec![LeaveReason::Sky(Box::new(ruling.rule.clone()))];
    reasons.extend(ruling.figure.clone().map(|figure| LeaveReason::Figure(Box::new(figure))));
    let mut step = by_sky(ruling, outlook, times, road, &mut reasons);
    step = by_warnings(step, ruling, outlook, warnings, &mut reasons);
    step = by_road(step, times, road, &mut reasons);
    if outlook.as_of > times.latest {
        reasons.insert(0, LeaveReason::TooLate { latest: times.latest });
        step = LeaveStep::No;
    }
    // What nobody here knows: it is asked last, so that it only stands between her and a go.
    let look_ups = look_ups(outlook, road);
    if step == LeaveStep::Go && !look_ups.is_empty() {
        return Decided { step: LeaveStep::Yours, reasons, go_once: look_ups };
    }
    Decided { step, reasons, go_once: Vec::new() }
}

/// What the sky says. Missing is never dry: there may be something by then, or she has to look herself.
fn by_sky(
    ruling: &Ruling,
    outlook: &Outlook,
    times: &LeaveTimes,
    road: &[RoadCheck],
    reasons: &mut Vec<LeaveReason>,
) -> LeaveStep {
    match (ruling.band, ruling.step) {
        (Band::MustMove, _) | (_, Some(Step::DontGo)) => return LeaveStep::No,
        (Band::Unknown, _) | (_, None | Some(Step::WaitUntil(_))) => {}
        (_, Some(Step::Go)) => return LeaveStep::Go,
    }
    let look_again_at = next_look(outlook.as_of, times.for_the_start);
    if look_again_at <= times.latest {
        return LeaveStep::Hold { look_again_at };
    }
    // The light would have left the time to wait, the road does not.
    let shuts_first = |check: &&RoadCheck| check.leave_by(times.leaving_at) == Some(times.latest);
    if times.latest < times.latest_for_light {
        let check = road.iter().find(shuts_first);
        reasons.extend(check.map(|check| LeaveReason::Road(Box::new(check.clone()))));
    }
    LeaveStep::Yours
}

fn by_warnings(
    mut step: LeaveStep,
    ruling: &Ruling,
    outlook: &Outlook,
    warnings: &[WayWarning],
    reasons: &mut Vec<LeaveReason>,
) -> LeaveStep {
    for known in warnings.iter().filter(|known| known.warning.tier > Tier::Info) {
        let decided = match &ruling.rule {
            Rule::StopWarning { warning } | Rule::HoldWarning { warning } => {
                is_same(warning, &known.warning)
            }
            _ => false,
        };
        if !decided {
            reasons.push(LeaveReason::Warned(Box::new(known.clone())));
        }
        step = match known.warning.tier {
            Tier::Stop | Tier::Hold => LeaveStep::No,
            // Looking again at a quarter past does not take it away: she reads it and decides.
            Tier::Caution | Tier::Info => no_go(step),
        };
    }
    for event in &outlook.unplaced_warnings {
        reasons.push(LeaveReason::WarnedSomewhere { event: event.clone() });
        step = no_go(step);
    }
    step
}

/// What the road makes of the step: whatever is hers to decide stays so, and of several points that
/// are shut on the way there the last one to open again says how long to wait.
fn by_road(
    step: LeaveStep,
    times: &LeaveTimes,
    road: &[RoadCheck],
    reasons: &mut Vec<LeaveReason>,
) -> LeaveStep {
    let (mut step, mut waits): (_, Vec<&RoadCheck>) = (step, Vec::new());
    for check in road.iter().filter(|check| !check.is_open()) {
        // Rain of the last day is the same both ways.
        let is_told = |reason: &LeaveReason| {
            matches!(reason, LeaveReason::Road(told)
            if told.name == check.name && told.state.is_open_but_for_rain())
        };
        let only_rain = check.state.is_open_but_for_rain();
        if !(only_rain && reasons.iter().any(is_told)) {
            reasons.push(LeaveReason::Road(Box::new(check.clone())));
        }
        match (check.state, check.way) {
            (RoadState::Shut { .. }, Way::There) => waits.push(check),
            // That is looked up, whatever else is said.
            _ if only_rain => {}
            _ => step = no_go(step),
        }
    }
    for check in waits {
        let RoadState::Shut { opens: Some(opens) } = check.state else { return LeaveStep::No };
        // So long after the point is open again she may pass it.
        let later = opens.duration_since(check.passed.from);
        let leave = times.leaving_at.checked_add(later).unwrap_or(Timestamp::MAX);
        let opened = quarter_after(leave, 0);
        step = match step {
            LeaveStep::No => return LeaveStep::No,
            _ if opened > times.latest => return LeaveStep::No,
            LeaveStep::Yours => LeaveStep::Yours,
            LeaveStep::Go => LeaveStep::Hold { look_again_at: opened },
            LeaveStep::Hold { look_again_at } => {
                LeaveStep::Hold { look_again_at: look_again_at.max(opened) }
            }
        };
    }
    step
}

/// What she has to look up herself, because nothing that the program reads knows it.
fn look_ups(outlook: &Outlook, road: &[RoadCheck]) -> Vec<LookUp> {
    let mut look_ups = Vec::new();
    if matches!(outlook.source(SourceKind::Warnings), SourceState::NoneHere) {
        look_ups.push(LookUp::Warnings);
    }
    for check in road.iter().filter(|check| check.state.is_open_but_for_rain()) {
        let point = LookUp::Road(check.name.clone());
        if !look_ups.contains(&point) {
            look_ups.push(point);
        }
    }
    look_ups
}

/// When to look again: in a while, or, where leaving is still hours off, shortly before it.
fn next_look(as_of: Timestamp, for_the_start: Timestamp) -> Timestamp {
    let before = minus_minutes(for_the_start, LOOK_BEFORE_MIN);
    let soon = quarter_after(as_of, NEXT_LOOK_MIN);
    if before > soon { quarter_after(before, 0) } else { soon }
}

/// What was a go is hers to decide; a hold or a no stays.
fn no_go(step: LeaveStep) -> LeaveStep {
    if step == LeaveStep::Go { LeaveStep::Yours } else { step }
}
