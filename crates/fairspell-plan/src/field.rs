//! What can be made in the field, and the rain to reckon with there: a session as a decision problem.
//!
//! A session says which looks are to be made and where each is planned. In the field every look has more
//! than one way: in the open where it was planned, under a clear umbrella there, under the nearest roof, at
//! a spot close by. Those ways are the sets of [`fairspell_sheet`]; light, hours, tide, wind and rain say
//! what each is worth and when.
//!
//! The safe pictures are no set of their own: whatever comes first begins with them, in every look.
//!
//! - [`rain`]: the rain to reckon with, slot by slot
//! - `sets`: the ways of a session's looks, and what water does to each

pub mod rain;
mod sets;

use fairspell_almanac::{sun_position, tide::Tide};
pub use fairspell_sheet::{Closed, problem::Setting};
use fairspell_sheet::{
    SheetBudget, SheetError, SheetModel, SheetProblem, Solved,
    problem::{self, Exposure},
    solve,
};
use fairspell_studio::{
    FieldTerms, LightWish, Outlook, Session, Spot, Studio, gate::minus_minutes,
};
use jiff::{SignedDuration, Timestamp, tz::TimeZone};

use crate::{
    field::{
        rain::{FieldRain, field_rain},
        sets::{look_terms, session_sets, set_terms},
    },
    light_plan::cloud_at,
    light_wish::SpotMoment,
    seen::Seen,
    spot_surroundings::surroundings,
    starts_day::{road_min, stands},
};

/// Minutes of a slot.
pub const SLOT_MIN: u32 = 5;

/// Five hours in the field, more than anybody stands.
const SLOTS_MOST: usize = 60;

/// What a session in the field is asked about.
#[derive(Debug, Clone, Copy)]
pub struct FieldAsk<'a> {
    /// The studio with its spots and rules.
    pub studio: &'a Studio,
    /// The clock on its wall.
    pub zone: &'a TimeZone,
    /// The session.
    pub session: &'a Session,
    /// Its sky.
    pub outlook: &'a Outlook,
    /// What had been fetched.
    pub seen: &'a Seen,
    /// The tide of the studio's coast.
    pub tide: Option<&'a Tide>,
}

/// A look at a spot in one setting.
#[derive(Debug, Clone, PartialEq)]
pub struct FieldSet<'a> {
    /// The look, by its place in the session.
    pub look: usize,
    /// Where.
    pub spot: &'a Spot,
    /// Under what.
    pub setting: Setting,
    /// Whether it is made in short dashes out into the rain.
    pub in_dashes: bool,
    /// Whether it is a second round of the same, in a look that has no other way.
    pub is_again: bool,
    /// Whether it is where the look was planned.
    pub is_planned: bool,
}

/// A session as a decision problem.
#[derive(Debug, Clone)]
pub struct FieldPlan<'a> {
    /// When the first slot begins: a change before the agreed start.
    pub origin: Timestamp,
    /// Last usable light; in the morning the agreed end.
    pub light_ends: Timestamp,
    /// The sets, as the problem lists them.
    pub sets: Vec<FieldSet<'a>>,
    /// Sets that can never be made this evening, and why.
    pub closed: Vec<(FieldSet<'a>, Closed)>,
    /// The rain.
    pub rain: FieldRain,
    /// The problem; it begins at the spot where it is best begun once it is [solved](Self::solve).
    pub problem: SheetProblem,
}

/// A session with its best strategy.
#[derive(Debug)]
pub struct FieldSolved<'a> {
    /// The problem.
    pub plan: FieldPlan<'a>,
    /// The same, checked.
    pub model: SheetModel,
    /// The strategy.
    pub solved: Solved,
}

/// Why a session cannot be planned in the field.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FieldError {
    /// There is no light to work by.
    #[error("session {0} has no usable light")]
    NoLight(String),
    /// None of its looks can be made anywhere.
    #[error("session {session}: nothing can be made; of the first set, {why}")]
    NothingOpen {
        /// The session.
        session: String,
        /// Why its first set cannot.
        why: Closed,
    },
    /// A number of the studio's own rules that the solver does not take.
    #[error(transparent)]
    Problem(#[from] SheetError),
}

/// A session as a decision problem, from what was known of its sky.
///
/// Sets whose spot is shut, flooded, too windy or dark all evening are left out and
/// [named](FieldPlan::closed); water that nobody knows counts as there.
///
/// # Errors
///
/// [`FieldError::NoLight`] for a session without light, [`FieldError::NothingOpen`] where no look can be
/// made anywhere, and [`FieldError::Problem`] for numbers of the studio that cannot be.
///
/// # Panics
///
/// Never: the solver names only sets that it was given.
pub fn field_plan(ask: FieldAsk<'_>) -> Result<FieldPlan<'_>, FieldError> {
    let outlook = ask.outlook;
    let terms = &ask.studio.policy.field;
    let origin = minus_minutes(outlook.window.from, terms.change_min.next_multiple_of(SLOT_MIN));
    let light_ends = outlook.evening.to;
    let whole = light_ends.duration_since(origin).as_mins() / i64::from(SLOT_MIN);
    let slots = usize::try_from(whole).unwrap_or(0).min(SLOTS_MOST);
    let sets = session_sets(ask.studio, ask.session);
    if slots == 0 || sets.is_empty() {
        return Err(FieldError::NoLight(ask.session.id.clone()));
    }
    let place = sets[0].spot.position;
    let rain = field_rain(outlook, ask.seen, place, origin, slots, SLOT_MIN);
    let grid = Grid { ask, origin, slots };
    let problem = SheetProblem {
        slot_min: SLOT_MIN,
        slots,
        start: problem::Start { spot: sets[0].spot.id.clone(), look: None, hair_dose_g_m2: 0.0 },
        last_light_min: None,
        spots: Vec::new(),
        walks: Vec::new(),
        looks: Vec::new(),
        sets: Vec::new(),
        rain: problem::Rain {
            start: rain.start,
            steps: rain.steps.clone(),
            ..problem::Rain::of_rates()
        },
        hair: problem::Hair {
            damp_at_g_m2: terms.hair_damp_at_g_m2,
            wet_at_g_m2: terms.hair_is_wet_at_g_m2(),
            level_g_m2: terms.hair_is_wet_at_g_m2() / f64::from(HAIR_STEPS),
            levels: 1 + usize::from(HAIR_STEPS),
            damp_factor: HAIR_DAMP,
            wet_factor: HAIR_WET,
        },
        exposure: Exposure { umbrella: terms.umbrella_lets_through, ..Exposure::default() },
        orders: Vec::new(),
    };
    let mut plan = FieldPlan { origin, light_ends, sets, closed: Vec::new(), rain, problem };
    loop {
        plan.fill(&grid);
        match SheetModel::new(&plan.problem) {
            Ok(_) => return Ok(plan),
            Err(SheetError::NeverOpen { set, why }) => {
                let is_it = |known: &FieldSet<'_>| known.id(ask.session) == set;
                let index = plan.sets.iter().position(is_it).expect("a set of the problem");
                plan.closed.push((plan.sets.remove(index), why));
                if plan.sets.is_empty() {
                    let session = ask.session.id.clone();
                    return Err(FieldError::NothingOpen { session, why: plan.closed[0].1 });
                }
            }
            Err(error) => return Err(error.into()),
        }
    }
}

/// What damp and wet hair leaves of a set that wants it dry: pinned up or combed back it is still a
/// picture, and nobody is sent home for it. Our choice.
const HAIR_DAMP: f64 = 0.6;
const HAIR_WET: f64 = 0.3;
/// From dry to wet in so many levels.
const HAIR_STEPS: u8 = 6;

impl<'a> FieldPlan<'a> {
    /// Spots, looks and sets of the problem, from the sets that are left.
    fn fill(&mut self, grid: &Grid<'a>) {
        let spots = self.spots();
        let problem = &mut self.problem;
        let session = grid.ask.session;
        let terms = &grid.ask.studio.policy.field;
        problem.start.spot.clone_from(&spots[0].id);
        problem.spots = spots.iter().map(|spot| grid.spot(spot)).collect();
        problem.walks = walks(&spots);
        let is_left = |look: &usize| self.sets.iter().any(|set| set.look == *look);
        problem.looks = (0..session.looks.len())
            .filter(is_left)
            .map(|look| look_terms(grid.ask.studio, &session.looks[look]))
            .collect();
        let share_min = share_min(session, terms);
        problem.sets = self.sets.iter().map(|set| grid.set(set, share_min)).collect();
        // What she had planned, to compare with: each look where it was to be, in its order.
        let planned = self.sets.iter().filter(|set| set.is_planned);
        problem.orders = vec![problem::FixedOrder {
            name: AS_BOOKED.to_owned(),
            sets: planned.map(|set| set.id(session)).collect(),
        }];
    }

    /// The spots of its sets, each once.
    pub fn spots(&self) -> Vec<&'a Spot> {
        let mut spots: Vec<&Spot> = Vec::new();
        for set in &self.sets {
            if spots.iter().all(|known| known.id != set.spot.id) {
                spots.push(set.spot);
            }
        }
        spots
    }

    /// The best strategy, begun where the first look was booked, or at another spot where clearly more
    /// can be made from there.
    ///
    /// # Errors
    ///
    /// [`SheetError::TooLarge`] for more than memory holds.
    ///
    /// # Panics
    ///
    /// Never: a plan has a set, and so a spot.
    pub fn solve(mut self, budget: SheetBudget) -> Result<FieldSolved<'a>, SheetError> {
        let mut best: Option<(SheetModel, Solved)> = None;
        for spot in self.spots() {
            self.problem.start.spot.clone_from(&spot.id);
            let model = SheetModel::new(&self.problem)?;
            let solved = solve(&model, budget)?;
            let is_better = best.as_ref().is_none_or(|(_, best)| {
                let clearly = BEGUN_ELSEWHERE * best.course.value.abs();
                solved.course.value > best.course.value + clearly
            });
            if is_better {
                best = Some((model, solved));
            }
        }
        let (model, solved) = best.expect("a plan has a spot");
        self.problem.start.spot.clone_from(&model.problem().start.spot);
        Ok(FieldSolved { plan: self, model, solved })
    }

    /// When a slot begins.
    pub fn slot_begins(&self, slot: usize) -> Timestamp {
        at_slot(self.origin, slot)
    }
}

/// Another spot to begin at must be better by so much of the value: everybody was told to meet at the
/// first, and the next picture of the radar may speak for it again. Our choice.
const BEGUN_ELSEWHERE: f64 = 0.005;

/// What the order of the booking is called in a problem.
pub const AS_BOOKED: &str = "as booked";

impl FieldSet<'_> {
    /// What it is called in a problem and in what was tapped: look, spot and setting.
    pub fn id(&self, session: &Session) -> String {
        let again = if self.is_again { " again" } else { "" };
        let how = match (self.setting, self.in_dashes) {
            (Setting::Open, true) => "dashes",
            (Setting::Open, false) => "open",
            (Setting::Umbrella, _) => "umbrella",
            (Setting::Cover, _) => "cover",
        };
        format!("{} / {} / {how}{again}", session.looks[self.look].name, self.spot.id)
    }

    /// The light that it goes by: under a roof where it was planned, shade that faces open sky; else what
    /// the look wishes for.
    pub fn wants(&self, session: &Session) -> LightWish {
        match self.setting {
            Setting::Cover if self.is_planned => LightWish::OpenShade,
            _ => session.looks[self.look].wants,
        }
    }
}

/// Greeting and the first words, minutes.
const GREETING_MIN: u32 = 10;

/// The minutes of the agreed time that are a set's: half of its look's share.
fn share_min(session: &Session, terms: &FieldTerms) -> u32 {
    let looks = u32::try_from(session.looks.len()).unwrap_or(1).max(1);
    let changes_min = GREETING_MIN + (looks - 1) * terms.change_min;
    session.duration_min.saturating_sub(changes_min) / looks / 2
}

/// The evening's slots.
struct Grid<'a> {
    ask: FieldAsk<'a>,
    origin: Timestamp,
    slots: usize,
}

/// Under a sky of cloud in the open the light comes from straight above: what that leaves of shade's
/// worth. A roof or leaves take the top light away. Our choice.
const OVERCAST_IN_THE_OPEN: f64 = 0.75;
/// A picture in another light than was wished for is still a picture: what it is worth. Our choice.
const OTHER_LIGHT: f64 = 0.5;
/// A slot in hand is worth something that no chain knows: each later one is worth so much less, and
/// nobody waits half an hour for a light that is hardly better. Our choice.
const LATER: f64 = 0.003;
/// The share of cloud to reckon with where nobody knows it.
const CLOUD_UNKNOWN: f64 = 0.5;

impl Grid<'_> {
    fn middles(&self) -> impl Iterator<Item = Timestamp> {
        let half = SignedDuration::from_secs(i64::from(SLOT_MIN) * 30);
        (0..self.slots).map(move |slot| at_slot(self.origin, slot) + half)
    }

    /// A spot with the minutes in which it can be stood on.
    fn spot(&self, spot: &Spot) -> problem::Spot {
        let gust = self.ask.outlook.comfort.wind_gust_km_h.as_ref();
        let is_calm = gust.is_none_or(|gust| spot.bears_gust(gust.value));
        let is_open = |at: Timestamp| {
            let water_m = self.ask.tide.and_then(|tide| tide.height_m(at));
            is_calm
                && stands(spot.site.tide, water_m) == Some(true)
                && spot.site.is_open(self.ask.zone.to_datetime(at))
        };
        let open: Vec<bool> = self.middles().map(is_open).collect();
        let open = (!open.iter().all(|open| *open)).then(|| open_minutes(&open));
        problem::Spot { name: spot.id.clone(), open }
    }

    fn set(&self, set: &FieldSet<'_>, share_min: u32) -> problem::Set {
        let session = self.ask.session;
        let gust = self.ask.outlook.comfort.wind_gust_km_h.as_ref().map(|gust| gust.value);
        let light = self
            .middles()
            .enumerate()
            .map(|(slot, at)| self.light(set, at) * (1.0 - LATER * slot as f64));
        let look = &session.looks[set.look];
        let (name, light) = (set.id(session), light.collect());
        set_terms(self.ask.studio, look, set, name, share_min, light, gust)
    }

    /// How well the light of a moment grants what a set wants, 0 to 1, by as much cloud as is forecast.
    fn light(&self, set: &FieldSet<'_>, at: Timestamp) -> f64 {
        let (spot, policy) = (set.spot, &self.ask.studio.policy);
        let wants = set.wants(self.ask.session);
        let sun = sun_position(at, spot.position);
        let clear = SpotMoment::at(spot, &surroundings(spot, false), &sun);
        let cloudy = SpotMoment { is_direct: false, is_dappled: false, ..clear };
        // Sun that slants in under a roof is escaped by a step back.
        let clear = if set.setting == Setting::Cover { cloudy } else { clear };
        let is_sheltered = spot.site.roof.is_some() || spot.site.leaves_let_through.is_some();
        let top_light = if is_sheltered { 1.0 } else { OVERCAST_IN_THE_OPEN };
        let forecast = self.ask.seen.forecast.as_ref();
        let cloud = forecast.and_then(|seen| cloud_at(&seen.forecast, at)).unwrap_or(CLOUD_UNKNOWN);
        let score = |wants: LightWish| {
            (1.0 - cloud) * clear.grants(spot, policy, wants)
                + cloud * top_light * cloudy.grants(spot, policy, wants)
        };
        // The score tells evenings apart; a picture's worth falls by less than it does.
        score(wants).max(OTHER_LIGHT * score(LightWish::Any)).clamp(0.0, 1.0).sqrt()
    }
}

/// The minutes of those slots that are open, as stretches.
fn open_minutes(open: &[bool]) -> Vec<[u32; 2]> {
    let mut stretches: Vec<[u32; 2]> = Vec::new();
    for (slot, _) in open.iter().enumerate().filter(|(_, open)| **open) {
        let from = u32::try_from(slot).expect("slots are few") * SLOT_MIN;
        match stretches.last_mut() {
            Some(last) if last[1] == from => last[1] += SLOT_MIN,
            _ => stretches.push([from, from + SLOT_MIN]),
        }
    }
    stretches
}

/// Whole minutes between all pairs of spots, by a third one where that is shorter.
fn walks(spots: &[&Spot]) -> Vec<problem::Walk> {
    let count = spots.len();
    let mut minutes: Vec<Vec<u32>> = spots
        .iter()
        .map(|a| spots.iter().map(|b| whole_minutes(road_min(a, b))).collect())
        .collect();
    for over in 0..count {
        for from in 0..count {
            for to in 0..count {
                minutes[from][to] = minutes[from][to].min(minutes[from][over] + minutes[over][to]);
            }
        }
    }
    let pairs = (0..count).flat_map(|from| (from + 1..count).map(move |to| (from, to)));
    let walk = |(from, to): (usize, usize)| problem::Walk {
        from: spots[from].id.clone(),
        to: spots[to].id.clone(),
        minutes: minutes[from][to],
    };
    pairs.map(walk).collect()
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "minutes of a walk, never negative"
)]
fn whole_minutes(minutes: f64) -> u32 {
    (minutes - 1e-9).ceil().clamp(0.0, 1e4) as u32
}

fn at_slot(origin: Timestamp, slot: usize) -> Timestamp {
    let slots = i64::try_from(slot).expect("slots are few");
    origin + SignedDuration::from_mins(slots * i64::from(SLOT_MIN))
}
