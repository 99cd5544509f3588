//! A season followed exactly, state by state.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use crate::season_chain::{Course, Step, StepUse};
use crate::season_risk::{SeasonMethod, SeasonRisk, SessionRisk};

/// States that are less likely are left out.
const NEGLIGIBLE: f64 = 1e-13;

/// What is to be known.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Follow {
    /// Everybody's own chance.
    Everybody,
    /// Only the joint one: states in which somebody has been missed are forgotten.
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

/// Weather, week and queue. States sort by it, so that sums never depend on a hash.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
struct State {
    lost: bool,
    made: usize,
    /// Last chance (upper half) and the day since which a session waits (lower half; 0 when it has
    /// waited long enough to be told), ascending: of each last chance, the longest waiting first.
    queue: Vec<u64>,
}

/// What a state carries; all of it passes through an evening linearly.
#[derive(Clone, Default)]
struct Load {
    p: f64,
    /// The part of `p` in which nobody has been missed.
    p_unmissed: f64,
    /// Place in the queue (upper half) and session (lower half), ascending, with the chance of the
    /// state and of that session in that place.
    who: Vec<(u64, f64)>,
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
    let mut now = Layer { course, follow, next: 0, states: BTreeMap::new() };
    now.begin();
    for (at, step) in course.steps.iter().enumerate() {
        let mut next = Layer { course, follow, next: at + 1, states: BTreeMap::new() };
        for (state, load) in now.states {
            let p_lost = step.p_lost[usize::from(state.lost)];
            pass(step, state, load, p_lost, &mut next, &mut solved.sessions);
        }
        solved.dropped += next.leave_out_negligible();
        solved.states += next.states.values().map(|load| 1 + load.who.len()).sum::<usize>();
        solved.p_all_delivered = next.states.values().map(|load| load.p_unmissed).sum();
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

/// One evening in one state: lost or fine, and what becomes of who had it.
fn pass(
    step: &Step,
    state: State,
    load: Load,
    p_lost: f64,
    next: &mut Layer<'_>,
    sessions: &mut [SessionRisk],
) {
    let p_fine = 1.0 - p_lost;
    match step.use_ {
        StepUse::Sold { session, in_time, chance } => {
            sessions[session].moves_expected += load.p * p_lost;
            if in_time {
                sessions[session].p_delivered += load.p * p_fine;
            }
            if p_lost > 0.0 {
                let (mut state, mut load) = (state.clone(), load.times(p_lost));
                state.lost = true;
                match chance {
                    Some(chance) => {
                        let whole = load.p;
                        let place = state.wait(chance, step.day);
                        load.enter(place, |who| who.push((session as u64, whole)));
                    }
                    None => load.p_unmissed = 0.0,
                }
                next.add(state, load);
            }
            if p_fine > 0.0 {
                let mut load = load.times(p_fine);
                if !in_time {
                    load.p_unmissed = 0.0;
                }
                next.add(State { lost: false, made: state.made + 1, ..state }, load);
            }
        }
        StepUse::Open => {
            let place = state.first_told(step);
            let Some(place) = place else {
                if p_lost > 0.0 {
                    next.add(State { lost: true, ..state.clone() }, load.times(p_lost));
                }
                if p_fine > 0.0 {
                    next.add(State { lost: false, ..state }, load.times(p_fine));
                }
                return;
            };
            let mut left = state;
            let chance = (left.queue.remove(place) >> 32) as usize;
            let mut load = load;
            let had = load.leave(place);
            for &(session, p) in &had {
                sessions[session as usize].moves_expected += p * p_lost;
                sessions[session as usize].p_delivered += p * p_fine;
            }
            if p_lost > 0.0 {
                let (mut state, mut load) = (left.clone(), load.times(p_lost));
                state.lost = true;
                if chance >= next.next {
                    let place = state.wait(chance, step.day);
                    load.enter(place, |who| {
                        who.extend(had.iter().map(|&(session, p)| (session, p * p_lost)));
                    });
                } else {
                    load.p_unmissed = 0.0;
                }
                next.add(state, load);
            }
            if p_fine > 0.0 {
                next.add(State { lost: false, made: left.made + 1, ..left }, load.times(p_fine));
            }
        }
    }
}

impl State {
    /// Puts a session behind all others of its last chance; its place.
    fn wait(&mut self, chance: usize, day: i32) -> usize {
        let entry = (chance as u64) << 32 | u64::from(day.unsigned_abs());
        let place = self.queue.partition_point(|&other| other <= entry);
        self.queue.insert(place, entry);
        place
    }

    /// The place of who has an open evening.
    fn first_told(&self, step: &Step) -> Option<usize> {
        if step.made_below.is_some_and(|below| self.made >= below) {
            return None;
        }
        self.queue.iter().position(|entry| entry & SINCE == 0)
    }
}

/// The lower half of an entry.
const SINCE: u64 = 0xffff_ffff;

impl Load {
    fn times(&self, p: f64) -> Self {
        Self {
            p: self.p * p,
            p_unmissed: self.p_unmissed * p,
            who: self.who.iter().map(|&(key, mass)| (key, mass * p)).collect(),
        }
    }

    /// Makes room at a place and lets `fill` say who stands there, sessions ascending.
    fn enter(&mut self, place: usize, fill: impl FnOnce(&mut Vec<(u64, f64)>)) {
        let first = (place as u64) << 32;
        let at = self.who.partition_point(|&(key, _)| key < first);
        for (key, _) in &mut self.who[at..] {
            *key += 1 << 32;
        }
        let mut there = Vec::new();
        fill(&mut there);
        self.who.splice(at..at, there.into_iter().map(|(session, p)| (first | session, p)));
    }

    /// Closes a place; who stood there.
    fn leave(&mut self, place: usize) -> Vec<(u64, f64)> {
        let (first, end) = ((place as u64) << 32, (place as u64 + 1) << 32);
        let from = self.who.partition_point(|&(key, _)| key < first);
        let to = self.who.partition_point(|&(key, _)| key < end);
        let there = self.who.drain(from..to).map(|(key, p)| (key & SINCE, p)).collect();
        for (key, _) in &mut self.who[from..] {
            *key -= 1 << 32;
        }
        there
    }

    /// Adds the load of the same state reached in another way.
    fn join(&mut self, other: Self) {
        self.p += other.p;
        self.p_unmissed += other.p_unmissed;
        if other.who.is_empty() {
            return;
        }
        let mut joined: Vec<(u64, f64)> = Vec::with_capacity(self.who.len() + other.who.len());
        let mut mine = self.who.iter().copied().peekable();
        for (key, p) in other.who {
            while let Some(one) = mine.next_if(|one| one.0 < key) {
                joined.push(one);
            }
            let same = mine.next_if(|one| one.0 == key).map_or(0.0, |one| one.1);
            joined.push((key, p + same));
        }
        joined.extend(mine);
        self.who = joined;
    }
}

/// The states before one evening.
struct Layer<'a> {
    course: &'a Course,
    follow: Follow,
    /// The evening.
    next: usize,
    states: BTreeMap<State, Load>,
}

impl Layer<'_> {
    /// The one state before the first evening. Before the first evening nothing is known of the
    /// weather, and both of its chances are the same.
    fn begin(&mut self) {
        let made = self.course.made_this_week;
        let mut state = State { lost: false, made, queue: Vec::new() };
        let mut load = Load { p: 1.0, p_unmissed: 1.0, who: Vec::new() };
        for waiting in &self.course.waiting {
            match waiting.chance {
                Some(chance) => {
                    let place = state.wait(chance, waiting.since_day);
                    load.enter(place, |who| who.push((waiting.session as u64, 1.0)));
                }
                None => load.p_unmissed = 0.0,
            }
        }
        self.add_as(state, load, true);
    }

    fn add(&mut self, state: State, load: Load) {
        self.add_as(state, load, false);
    }

    /// Adds a state as it stands on the next evening: who has no chance left is missed, who has
    /// waited long enough can be told, a new week has made nothing.
    fn add_as(&mut self, mut state: State, mut load: Load, first: bool) {
        while let Some(&entry) = state.queue.first()
            && (entry >> 32) < self.next as u64
        {
            state.queue.remove(0);
            load.leave(0);
            load.p_unmissed = 0.0;
        }
        if self.follow == Follow::OnlyAll {
            if load.p_unmissed == 0.0 {
                return;
            }
            load.who.clear();
        }
        if let Some(step) = self.course.steps.get(self.next) {
            for entry in &mut state.queue {
                let since = *entry & SINCE;
                let told = u64::from((step.day - self.course.notice_days).max(0).unsigned_abs());
                if since <= told {
                    *entry &= !SINCE;
                }
            }
            if step.made_below.is_none() || (step.week_begins && !first) {
                state.made = 0;
            }
        } else {
            state.made = 0;
        }
        match self.states.entry(state) {
            Entry::Vacant(place) => {
                place.insert(load);
            }
            Entry::Occupied(mut place) => place.get_mut().join(load),
        }
    }

    /// Leaves out what is hardly possible; how likely all of it was.
    fn leave_out_negligible(&mut self) -> f64 {
        let mut dropped = 0.0;
        let follow = self.follow;
        self.states.retain(|_, load| {
            let p = if follow == Follow::OnlyAll { load.p_unmissed } else { load.p };
            let keep = p >= NEGLIGIBLE;
            if !keep {
                dropped += p;
            }
            keep
        });
        dropped
    }
}
