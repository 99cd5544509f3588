//! Wet and dry spells in five-minute steps: a chain of four phases of the sky.
//!
//! A dry sky is *settled* or has *just dried*; a wet one has *just begun* or has *set in*. Rain comes
//! back sooner to a sky that has just dried, and rain that has set in stops later, so short and long
//! spells both come out as often as they do in nature, which one wet and one dry phase can't do:
//!
//! ```text
//!   settled --onset--> just begun --lasts--> set in
//!      ^                |     ^                |
//!    settles           ends  returns         clears
//!      |                v     |                v
//!      +-------------- just dried <------------+
//! ```
//!
//! The event is wet minutes: at least 0.1 mm/h at some moment of a step, see
//! [`wet_minutes`](crate::wet_minutes).
//!
//! How often rain comes (the onset) is not the chain's to say. It is set so that the chain
//! reproduces the chance that somebody gave for the window. The phases are ordered from settled to
//! set in, and the steps keep that order (a sky further along is never likelier to be less far along
//! a step later); so with more onsets two skies can be drawn together in such a way that the one with
//! more onsets is wet whenever the other is, and **more rain never means a likelier gap**.

use rand::{Rng, RngExt};
use serde::{Deserialize, Serialize};

use crate::{Chance, Probability};

/// Length of one step, minutes.
pub const STEP_MIN: f64 = 5.0;

/// The longest window that the spells are asked about, minutes: two days.
pub const WINDOW_MAX_MIN: f64 = 2880.0;

/// What kind of rain is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Character {
    /// Rain of minutes with dry pauses between: showers, thunderstorms.
    Showery,
    /// Rain of hours: a low, a warm front.
    Steady,
}

/// The chances, per five-minute step, that lead from one phase to another, but for the onset.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpellRates {
    /// Rain that has just begun ends.
    pub ends: f64,
    /// Rain that has just begun sets in.
    pub lasts: f64,
    /// Rain that has set in ends.
    pub clears: f64,
    /// Rain returns to a sky that has just dried.
    pub returns: f64,
    /// A sky that has just dried settles.
    pub settles: f64,
    /// A settled sky turns wet, in the climate; used only where no chance is given for a window.
    pub onset: f64,
}

/// Likeliest rates for the spells in the first half of the five-minute record, wet from 0.01 mm a
/// step on. `tests/it/learning.rs` finds them again.
const SHOWERY: SpellRates = SpellRates {
    ends: 0.1931,
    lasts: 0.0566,
    clears: 0.0871,
    returns: 0.1004,
    settles: 0.0999,
    onset: 0.0067,
};

/// Our choice, for want of a five-minute record of steady rain: the mean wet spell of 4.2 hours is
/// that of three New York airports from November to March (P(wet next hour | wet) = 0.763), and two
/// breaks in three are followed by more rain.
const STEADY: SpellRates = SpellRates {
    ends: 0.05,
    lasts: 0.05,
    clears: 0.0125,
    returns: 0.12,
    settles: 0.06,
    onset: 0.0025,
};

/// Wet spells this much longer or shorter, and this much more or less return of rain, make the ends
/// of a range. Our choice: it spans what the two halves of the five-minute record differ by.
const LENGTH_DOUBT: f64 = 1.5;
const RETURN_DOUBT: f64 = 1.4;

impl Character {
    /// The rates of the chain.
    pub fn rates(self) -> SpellRates {
        match self {
            Self::Showery => SHOWERY,
            Self::Steady => STEADY,
        }
    }

    /// The chain itself, then the two that mark the doubt about it.
    pub(crate) fn chains(self) -> [SpellRates; 3] {
        let rates = self.rates();
        let with = |length: f64, returns: f64| SpellRates {
            ends: rates.ends / length,
            clears: rates.clears / length,
            returns: rates.returns * returns,
            ..rates
        };
        [rates, with(LENGTH_DOUBT, RETURN_DOUBT), with(1.0 / LENGTH_DOUBT, 1.0 / RETURN_DOUBT)]
    }
}

/// Where the sky stands, as a distribution over the four phases.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Phases {
    pub(crate) settled: f64,
    pub(crate) just_dried: f64,
    pub(crate) just_begun: f64,
    pub(crate) set_in: f64,
}

impl Phases {
    pub(crate) fn wet(&self) -> f64 {
        self.just_begun + self.set_in
    }

    pub(crate) fn dry(&self) -> f64 {
        self.settled + self.just_dried
    }
}

impl SpellRates {
    /// The largest onset for which the phases keep their order: a settled sky turns wet no more
    /// easily than one that has just dried.
    pub(crate) fn onset_max(&self) -> f64 {
        self.returns.min(1.0 - self.settles)
    }

    pub(crate) fn with_onset(self, onset: f64) -> Self {
        Self { onset, ..self }
    }

    /// How often the sky is in each phase in the long run.
    pub(crate) fn stationary(&self) -> Phases {
        // Steps spent in each phase per wet spell, all times the onset, which may be zero.
        let just_begun = self.onset / (self.ends + self.lasts);
        let set_in = just_begun * self.lasts / self.clears;
        let just_dried = self.onset / (self.returns + self.settles);
        let settled = self.settles / (self.returns + self.settles);
        let sum = just_begun + set_in + just_dried + settled;
        Phases {
            settled: settled / sum,
            just_dried: just_dried / sum,
            just_begun: just_begun / sum,
            set_in: set_in / sum,
        }
    }

    /// The chance that so many steps are all dry.
    pub(crate) fn p_all_dry(&self, steps: usize) -> f64 {
        let Phases { mut settled, mut just_dried, .. } = self.stationary();
        for _ in 1..steps {
            settled = settled * (1.0 - self.onset) + just_dried * self.settles;
            just_dried *= 1.0 - self.returns - self.settles;
        }
        if steps == 0 { 1.0 } else { settled + just_dried }
    }

    /// The chain whose chance of a wet step among so many is `p_wet`, or, where no onset reaches
    /// that chance, the one that comes nearest.
    pub(crate) fn reproducing(self, p_wet: f64, steps: usize) -> Self {
        let (mut below, mut above) = (0.0, self.onset_max());
        let p_any_wet = |onset: f64| 1.0 - self.with_onset(onset).p_all_dry(steps);
        if p_any_wet(above) <= p_wet {
            return self.with_onset(above);
        }
        // Bisection: the chance rises with the onset, and 60 halvings exhaust an f64.
        for _ in 0..60 {
            let middle = 0.5 * (below + above);
            if p_any_wet(middle) <= p_wet {
                below = middle;
            } else {
                above = middle;
            }
        }
        self.with_onset(below)
    }
}

/// Whole steps in a window; `None` where there is no window to speak of.
pub(crate) fn steps_in(window_min: f64) -> Option<usize> {
    if !(window_min > 0.0 && window_min <= WINDOW_MAX_MIN) {
        return None;
    }
    Some(whole_steps((window_min / STEP_MIN).floor()).max(1))
}

/// A count of steps that has been rounded already.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "callers pass 0 to WINDOW_MAX_MIN / STEP_MIN, rounded"
)]
pub(crate) fn whole_steps(steps: f64) -> usize {
    steps as usize
}

/// The chance that one given five-minute step of a window is wet, from the chance of any wet minute
/// in the window.
///
/// For drawing an evening, and for laying hours with different chances end to end
/// ([`p_dry_gap_from_steps`](crate::p_dry_gap_from_steps)).
///
/// - `p_wet`: chance of at least 0.1 mm/h at any moment of the window; from a forecast by
///   [`p_wet_minutes`](crate::p_wet_minutes).
/// - `window_min`: its length, minutes; whole steps of it count.
///
/// `None` for a window without length, of more than [`WINDOW_MAX_MIN`], or not a number.
///
/// # Examples
///
/// ```
/// use fairspell_chance::{Chance, Character, Probability, p_wet_step};
///
/// // An hour with showers at 60 %: at any one moment it is dry more often than not.
/// let p_wet = Chance::certain(Probability::new(0.6).expect("0 to 1"));
/// let step = p_wet_step(&p_wet, 60.0, Character::Showery).expect("an hour");
/// assert!((0.2..0.4).contains(&step.centre.get()));
/// ```
pub fn p_wet_step(p_wet: &Chance, window_min: f64, character: Character) -> Option<Chance> {
    let steps = steps_in(window_min)?;
    let step = |p: Probability, rates: SpellRates| {
        let chain = rates.reproducing(p.get(), steps);
        // Where the chain falls short of the given chance, its wet windows come more often.
        p.get() * wet_share_given_any(&chain, steps)
    };
    let chains = character.chains();
    let readings =
        chains.into_iter().flat_map(|rates| [p_wet.low, p_wet.high].map(|p| step(p, rates)));
    Some(Chance::spanning(step(p_wet.centre, chains[0]), readings))
}

/// Mean share of wet steps in a window that has any.
fn wet_share_given_any(chain: &SpellRates, steps: usize) -> f64 {
    let p_any_wet = 1.0 - chain.p_all_dry(steps);
    if p_any_wet > 0.0 { (chain.stationary().wet() / p_any_wet).min(1.0) } else { 0.0 }
}

/// Draws one evening: for each five-minute step whether it is wet.
///
/// - `p_wet`: chance of any wet step in the window. Of many evenings drawn, that share has one.
/// - `rng`: seeded by the caller, so that an evening can be drawn again.
///
/// Empty for no steps.
pub fn simulate(
    p_wet: Probability,
    steps: usize,
    character: Character,
    rng: &mut impl Rng,
) -> Vec<bool> {
    if steps == 0 {
        return Vec::new();
    }
    let chain = character.rates().reproducing(p_wet.get(), steps);
    let falls_short = chain.onset >= chain.onset_max();
    if !falls_short {
        return walk(&chain, steps, rng);
    }
    // Its wet evenings are drawn more often instead. With so many onsets few draws are all dry, so
    // the search for a wet one is short.
    if rng.random::<f64>() >= p_wet.get() {
        return vec![false; steps];
    }
    loop {
        let evening = walk(&chain, steps, rng);
        if evening.contains(&true) {
            return evening;
        }
    }
}

fn walk(chain: &SpellRates, steps: usize, rng: &mut impl Rng) -> Vec<bool> {
    #[derive(Clone, Copy, PartialEq)]
    enum Phase {
        Settled,
        JustDried,
        JustBegun,
        SetIn,
    }
    let start = chain.stationary();
    let draw = rng.random::<f64>();
    let mut phase = if draw < start.settled {
        Phase::Settled
    } else if draw < start.dry() {
        Phase::JustDried
    } else if draw < start.dry() + start.just_begun {
        Phase::JustBegun
    } else {
        Phase::SetIn
    };
    let mut wet = Vec::with_capacity(steps);
    for _ in 0..steps {
        wet.push(matches!(phase, Phase::JustBegun | Phase::SetIn));
        let draw = rng.random::<f64>();
        phase = match phase {
            Phase::Settled if draw < chain.onset => Phase::JustBegun,
            Phase::JustDried if draw < chain.returns => Phase::JustBegun,
            Phase::JustDried if draw < chain.returns + chain.settles => Phase::Settled,
            Phase::JustBegun if draw < chain.ends => Phase::JustDried,
            Phase::JustBegun if draw < chain.ends + chain.lasts => Phase::SetIn,
            Phase::SetIn if draw < chain.clears => Phase::JustDried,
            same => same,
        };
    }
    wet
}
