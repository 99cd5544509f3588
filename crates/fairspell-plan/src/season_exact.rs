//! A season followed exactly, queue by queue.
//!
//! What lies before an evening is a [`Layer`]: each queue that can stand there, after a fine and
//! after a lost evening, with the [`Load`] it carries. Keys sorted in a tree took four times as long
//! as hashed ones.

use std::collections::HashMap;
use std::collections::hash_map::Entry;

use crate::season_chain::{Course, Step, StepUse};
use crate::season_load::{Load, QuickHash};
use crate::season_risk::{SeasonMethod, SeasonRisk, SessionRisk};

/// Queues that are less likely are left out.
const NEGLIGIBLE: f64 = 1e-13;
/// So are a session's chances to stand at a place of a queue: of these there are many more.
const NEGLIGIBLE_STAND: f64 = 1e-15;

/// What is to be known.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Follow {
    /// Everybody's own chance.
    Everybody,
    /// Only the joint one: what follows after somebody has been missed is forgotten.
    OnlyAll,
}

/// What was found.
pub(crate) struct Solved {
    pub(crate) p_all_delivered: f64,
    sessions: Vec<SessionRisk>,
    states: usize,
    dropped: f64,
}

impl Solved {
    pub(crate) fn into_risk(self) -> SeasonRisk {
        SeasonRisk {
            p_all_delivered: self.p_all_delivered,
            moves_expected: self.sessions.iter().map(|session| session.moves_expected).sum(),
            sessions: self.sessions,
            method: SeasonMethod::Exact { states: self.states, dropped: self.dropped },
        }
    }
}

/// There are more states than were allowed.
pub(crate) struct TooMany;

/// Follows the season; `None` as soon as the joint chance is known to be below `floor`.
pub(crate) fn solve(
    course: &Course,
    follow: Follow,
    states_max: usize,
    floor: f64,
) -> Result<Option<Solved>, TooMany> {
    let mut solved = Solved {
        p_all_delivered: 1.0,
        sessions: vec![SessionRisk { p_delivered: 0.0, moves_expected: 0.0 }; course.sessions],
        states: 0,
        dropped: 0.0,
    };
    let mut now = Layer::new(course, follow, 0, 1);
    now.begin();
    for (at, step) in course.steps.iter().enumerate() {
        let mut next = Layer::new(course, follow, at + 1, now.queues.len());
        for (queue, loads) in now.queues {
            pass(step, queue, &loads, &mut next, &mut solved.sessions);
        }
        solved.dropped += next.leave_out_negligible();
        let loads = || next.queues.values().flatten().filter(|load| load.p > 0.0);
        solved.states += loads().map(|load| 1 + load.who.len()).sum::<usize>();
        solved.p_all_delivered = loads().map(|load| load.p_unmissed).sum();
        if solved.states > states_max {
            return Err(TooMany);
        }
        if solved.p_all_delivered + solved.dropped < floor {
            return Ok(None);
        }
        now = next;
    }
    for session in &mut solved.sessions {
        session.p_delivered = session.p_delivered.clamp(0.0, 1.0);
    }
    solved.p_all_delivered = solved.p_all_delivered.clamp(0.0, 1.0);
    Ok(Some(solved))
}

/// One evening with one queue before it: lost or fine, and what becomes of who had it.
fn pass(
    step: &Step,
    mut queue: Queue,
    loads: &[Load; 2],
    next: &mut Layer<'_>,
    sessions: &mut [SessionRisk],
) {
    let [p_after_fine, p_after_lost] = step.p_lost;
    let mut lost = Load::mixed(loads, [p_after_fine, p_after_lost]);
    let mut fine = Load::mixed(loads, [1.0 - p_after_fine, 1.0 - p_after_lost]);
    match step.use_ {
        StepUse::Sold { session, in_time, chance } => {
            sessions[session].moves_expected += lost.p;
            if in_time {
                sessions[session].p_delivered += fine.p;
            } else {
                fine.p_unmissed = 0.0;
            }
            if lost.p > 0.0 {
                let mut queue = queue.clone();
                if let Some(chance) = chance {
                    let place = queue.wait(chance, step.day);
                    lost.enter(place, vec![(session, lost.p)]);
                } else {
                    lost.p_unmissed = 0.0;
                }
                next.add(queue, lost, true);
            }
            queue.made += 1;
            next.add(queue, fine, false);
        }
        StepUse::Open => {
            let Some(place) = queue.first_told(step) else {
                next.add(queue.clone(), lost, true);
                next.add(queue, fine, false);
                return;
            };
            let chance = queue.places.remove(place).chance;
            for (session, p) in fine.leave(place) {
                sessions[session].p_delivered += p;
            }
            let had = lost.leave(place);
            for &(session, p) in &had {
                sessions[session].moves_expected += p;
            }
            if lost.p > 0.0 {
                let mut queue = queue.clone();
                if chance >= next.evening {
                    let place = queue.wait(chance, step.day);
                    lost.enter(place, had);
                } else {
                    lost.p_unmissed = 0.0;
                }
                next.add(queue, lost, true);
            }
            queue.made += 1;
            next.add(queue, fine, false);
        }
    }
}

/// The week and who waits.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Queue {
    made: usize,
    /// Ascending: earliest last chance first, then the longest waiting.
    places: Vec<Place>,
}

/// Somebody waits.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
struct Place {
    /// The last open evening that serves.
    chance: usize,
    /// The day of the lost evening; 0 once it lies back far enough for any evening to come.
    since_day: i32,
}

impl Queue {
    /// Puts a session behind all others of its last chance; its place.
    fn wait(&mut self, chance: usize, since_day: i32) -> usize {
        let entry = Place { chance, since_day };
        let place = self.places.partition_point(|&other| other <= entry);
        self.places.insert(place, entry);
        place
    }

    /// The place of who has an open evening.
    fn first_told(&self, step: &Step) -> Option<usize> {
        if step.made_below.is_some_and(|below| self.made >= below) {
            return None;
        }
        self.places.iter().position(|place| place.since_day == 0)
    }
}

/// What lies before one evening.
struct Layer<'a> {
    course: &'a Course,
    follow: Follow,
    evening: usize,
    /// With the loads after a fine evening and after a lost one.
    queues: HashMap<Queue, [Load; 2], QuickHash>,
}

impl<'a> Layer<'a> {
    fn new(course: &'a Course, follow: Follow, evening: usize, size: usize) -> Self {
        let queues = HashMap::with_capacity_and_hasher(size, QuickHash::default());
        Self { course, follow, evening, queues }
    }

    /// The one queue before the first evening. Nothing is known of the weather before it, and its
    /// two chances are the same.
    fn begin(&mut self) {
        let mut queue = Queue { made: self.course.made_this_week, places: Vec::new() };
        let mut load = Load { p: 1.0, p_unmissed: 1.0, who: Vec::new() };
        for waiting in &self.course.waiting {
            if let Some(chance) = waiting.chance {
                let place = queue.wait(chance, waiting.since_day);
                load.enter(place, vec![(waiting.session, 1.0)]);
            } else {
                load.p_unmissed = 0.0;
            }
        }
        self.add(queue, load, false);
    }

    /// Adds a queue as it stands before this evening: who has no chance left is missed, who has
    /// waited long enough can be told, a new week has made nothing.
    fn add(&mut self, mut queue: Queue, mut load: Load, lost: bool) {
        if load.p == 0.0 {
            return;
        }
        let over = queue.places.iter().take_while(|place| place.chance < self.evening).count();
        if over > 0 {
            queue.places.drain(..over);
            load.miss_first(over);
        }
        if self.follow == Follow::OnlyAll {
            if load.p_unmissed == 0.0 {
                return;
            }
            (load.p, load.who) = (load.p_unmissed, Vec::new());
        }
        match self.course.steps.get(self.evening) {
            Some(step) => {
                let told = step.day - self.course.notice_days;
                for place in queue.places.iter_mut().filter(|place| place.since_day <= told) {
                    place.since_day = 0;
                }
                if step.made_below.is_none() || (step.week_begins && self.evening > 0) {
                    queue.made = 0;
                }
            }
            None => queue.made = 0,
        }
        match self.queues.entry(queue) {
            Entry::Vacant(place) => {
                let mut loads = <[Load; 2]>::default();
                loads[usize::from(lost)] = load;
                place.insert(loads);
            }
            Entry::Occupied(mut place) => place.get_mut()[usize::from(lost)].join(load),
        }
    }

    /// Leaves out what is hardly possible; how likely all of it was.
    fn leave_out_negligible(&mut self) -> f64 {
        let mut dropped = 0.0;
        self.queues.retain(|_, loads| {
            let p = loads[0].p + loads[1].p;
            let keep = p >= NEGLIGIBLE;
            if !keep {
                dropped += p;
            } else if self.follow == Follow::Everybody {
                let stands = loads.iter_mut().map(|load| load.leave_out_below(NEGLIGIBLE_STAND));
                dropped += stands.sum::<f64>();
            }
            keep
        });
        dropped
    }
}
