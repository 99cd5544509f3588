//! The chance of one dry gap long enough, computed exactly over phase of the sky and dry run.

use crate::spells::{Character, Phases, STEP_MIN, SpellRates, steps_in, whole_steps};
use crate::{Chance, Probability};

/// The chance of so many dry minutes on end within a window, from the chance of any wet minute in
/// it.
///
/// The question that saves a session: seldom "will it rain?", nearly always "will there be 25 dry
/// minutes before the light goes?".
///
/// - `p_wet`: chance of at least 0.1 mm/h at any moment of the window; from a forecast by
///   [`p_wet_minutes`](crate::p_wet_minutes). (Not a forecast's own chance of 0.2 mm.)
/// - `window_min`: from now, or from the session's start, to last usable light, minutes. Steps of
///   five minutes; a begun step at its end doesn't count.
/// - `gap_min`: the least a session needs, minutes, rounded up to whole steps.
/// - `character`: showers leave gaps where steady rain of the same chance leaves none.
///
/// The range takes in both ends of `p_wet` and spells that are longer or shorter than those we
/// learned. More rain never makes a gap likelier, nor does a shorter window or a longer gap; without
/// any chance of a wet minute the gap is certain.
///
/// `None` when the window is shorter than the gap, longer than
/// [`WINDOW_MAX_MIN`](crate::spells::WINDOW_MAX_MIN), or when a number is not one.
///
/// # Examples
///
/// ```
/// use fairspell_chance::{Chance, Character, Probability, p_dry_gap};
///
/// // Some rain is likely before dusk, 75 %, and yet 25 dry minutes are likelier: go.
/// let p_wet = Chance::certain(Probability::new(0.75).expect("0 to 1"));
/// let p_gap = p_dry_gap(&p_wet, 150.0, 25.0, Character::Showery).expect("a long window");
/// assert!(p_gap.low.get() > 0.75);
///
/// // The same chance of a front's rain is another evening.
/// let steady = p_dry_gap(&p_wet, 150.0, 25.0, Character::Steady).expect("a long window");
/// assert!(steady.centre.get() < 0.65);
///
/// // Twenty minutes can't hold a gap of 25.
/// assert_eq!(p_dry_gap(&p_wet, 20.0, 25.0, Character::Showery), None);
/// ```
pub fn p_dry_gap(
    p_wet: &Chance,
    window_min: f64,
    gap_min: f64,
    character: Character,
) -> Option<Chance> {
    if gap_min.is_nan() || window_min < gap_min {
        return None;
    }
    let steps = steps_in(window_min)?;
    let gap_steps = whole_steps((gap_min / STEP_MIN).ceil().max(0.0));
    // A gap that fills its window is one although neither may be whole steps.
    let steps = steps.max(gap_steps);

    let p_gap = |p: Probability, rates: SpellRates| p_gap_of(p.get(), rates, steps, gap_steps);
    let chains = character.chains();
    let readings =
        chains.into_iter().flat_map(|rates| [p_wet.low, p_wet.high].map(|p| p_gap(p, rates)));
    Some(Chance::spanning(p_gap(p_wet.centre, chains[0]), readings))
}

/// The chance of a dry gap from the chance that each five-minute step is wet, as a radar's
/// extrapolation gives it.
///
/// Every step keeps its chance exactly; spells hang together as the chain of [`spells`] says: at
/// each step the odds of being wet, which differ from phase to phase, are shifted by one common
/// factor, so that the step's chance comes out.
///
/// - `p_wet`: chance of at least 0.1 mm/h for each step, in order.
/// - `gap_steps`: the gap, in steps of five minutes; 5 for 25 minutes.
///
/// `None` when there are fewer steps than the gap needs. With `gap_steps` equal to the number of
/// steps it is the chance that all of them stay dry, and its complement that of any wet minute.
///
/// [`spells`]: crate::spells
///
/// # Examples
///
/// ```
/// use fairspell_chance::{Character, Probability, p_dry_gap_from_steps};
///
/// // The radar sees a shower over the place for 20 minutes, then a clear half hour.
/// let p = |value| Probability::new(value).expect("0 to 1");
/// let steps = [0.9, 0.9, 0.8, 0.6, 0.2, 0.05, 0.02, 0.02, 0.02, 0.02].map(p);
/// let p_gap = p_dry_gap_from_steps(&steps, Character::Showery, 5).expect("ten steps");
/// assert!(p_gap.get() > 0.85);
/// ```
pub fn p_dry_gap_from_steps(
    p_wet: &[Probability],
    character: Character,
    gap_steps: usize,
) -> Option<Probability> {
    if p_wet.len() < gap_steps {
        return None;
    }
    let (Some(first), true) = (p_wet.first(), gap_steps > 0) else {
        return Some(Probability::ONE);
    };
    let rates = character.rates();
    let climate = rates.stationary();
    let (wet, dry) = (first.get(), first.complement().get());
    let start = Phases {
        settled: dry * climate.settled / climate.dry(),
        just_dried: dry * climate.just_dried / climate.dry(),
        just_begun: wet * climate.just_begun / climate.wet(),
        set_in: wet * climate.set_in / climate.wet(),
    };

    let mut runs = DryRuns::new(start, gap_steps);
    let mut phases = start;
    for p in &p_wet[1..] {
        let step = Step::with_marginal(&rates, &phases, p.get());
        phases = step.advance(&phases);
        runs.advance(&step);
    }
    Some(Probability::clamped(runs.done))
}

/// The chance of a gap in a window that has a wet step with chance `p_wet`.
fn p_gap_of(p_wet: f64, rates: SpellRates, steps: usize, gap_steps: usize) -> f64 {
    if gap_steps == 0 {
        return 1.0;
    }
    let chain = rates.reproducing(p_wet, steps);
    let step = Step::of(&chain);
    let mut runs = DryRuns::new(chain.stationary(), gap_steps);
    for _ in 1..steps {
        runs.advance(&step);
    }
    // An all-dry window has the gap, so those without one are all wet. Where the chain falls short
    // of the given chance its wet windows come more often, in proportion; else the factor is 1.
    let p_any_wet = 1.0 - chain.p_all_dry(steps);
    if p_any_wet <= 0.0 {
        return 1.0;
    }
    1.0 - p_wet * ((1.0 - runs.done) / p_any_wet).clamp(0.0, 1.0)
}

/// One step of the chain: the chance to be wet next, from each phase, and what follows then.
struct Step {
    settled_wet: f64,
    just_dried_wet: f64,
    just_begun_wet: f64,
    set_in_wet: f64,
    /// Of skies that have just dried and stay dry, the share that settles.
    settles: f64,
    /// Of rain that has just begun and goes on, the share that sets in.
    lasts: f64,
}

impl Step {
    fn of(rates: &SpellRates) -> Self {
        Self {
            settled_wet: rates.onset,
            just_dried_wet: rates.returns,
            just_begun_wet: 1.0 - rates.ends,
            set_in_wet: 1.0 - rates.clears,
            settles: rates.settles / (1.0 - rates.returns),
            lasts: rates.lasts / (1.0 - rates.ends),
        }
    }

    /// The chain's step with all odds of being wet multiplied by one factor, found so that the next
    /// step is wet with the given chance.
    fn with_marginal(rates: &SpellRates, phases: &Phases, p_wet: f64) -> Self {
        let plain = Self::of(rates);
        if p_wet <= 0.0 || p_wet >= 1.0 {
            return plain.map(|_| p_wet);
        }
        // Odds that are e^60 times as large or small are beyond any chance an f64 tells from 0 or 1.
        let (mut below, mut above) = (-60.0_f64, 60.0_f64);
        for _ in 0..60 {
            let middle = 0.5 * (below + above);
            if plain.shifted(middle).advance(phases).wet() < p_wet {
                below = middle;
            } else {
                above = middle;
            }
        }
        plain.shifted(0.5 * (below + above))
    }

    fn shifted(&self, log_odds: f64) -> Self {
        let factor = log_odds.exp();
        self.map(|p| p * factor / (1.0 - p + p * factor))
    }

    fn map(&self, wet: impl Fn(f64) -> f64) -> Self {
        Self {
            settled_wet: wet(self.settled_wet),
            just_dried_wet: wet(self.just_dried_wet),
            just_begun_wet: wet(self.just_begun_wet),
            set_in_wet: wet(self.set_in_wet),
            ..*self
        }
    }

    fn advance(&self, from: &Phases) -> Phases {
        let begins = from.settled * self.settled_wet + from.just_dried * self.just_dried_wet;
        let goes_on = from.just_begun * self.just_begun_wet;
        let stays_dry = from.just_dried * (1.0 - self.just_dried_wet);
        let dries =
            from.just_begun * (1.0 - self.just_begun_wet) + from.set_in * (1.0 - self.set_in_wet);
        Phases {
            settled: from.settled * (1.0 - self.settled_wet) + stays_dry * self.settles,
            just_dried: stays_dry * (1.0 - self.settles) + dries,
            just_begun: begins + goes_on * (1.0 - self.lasts),
            set_in: goes_on * self.lasts + from.set_in * self.set_in_wet,
        }
    }
}

/// Where the sky stands among the evenings that have not had their gap yet, by the length of the
/// present dry run, and the chance that the gap has been.
struct DryRuns {
    /// `[n]`: evenings whose last n steps were dry; only the dry phases of `[1..]` are filled, only
    /// the wet ones of `[0]`.
    by_length: Vec<Phases>,
    done: f64,
}

const NOWHERE: Phases = Phases { settled: 0.0, just_dried: 0.0, just_begun: 0.0, set_in: 0.0 };

impl DryRuns {
    fn new(start: Phases, gap_steps: usize) -> Self {
        let mut runs = Self { by_length: vec![NOWHERE; gap_steps], done: 0.0 };
        runs.by_length[0] = Phases { settled: 0.0, just_dried: 0.0, ..start };
        runs.count_dry(0, &start);
        runs
    }

    fn advance(&mut self, step: &Step) {
        let mut wet = NOWHERE;
        // From the longest run down, so that each is read before it is overwritten.
        for length in (0..self.by_length.len()).rev() {
            let next = step.advance(&self.by_length[length]);
            wet.just_begun += next.just_begun;
            wet.set_in += next.set_in;
            self.count_dry(length, &next);
        }
        self.by_length[0] = wet;
    }

    /// Adds the dry part of `next` to the runs that are one longer than `length`.
    fn count_dry(&mut self, length: usize, next: &Phases) {
        match self.by_length.get_mut(length + 1) {
            Some(run) => *run = Phases { just_begun: 0.0, set_in: 0.0, ..*next },
            None => self.done += next.dry(),
        }
    }
}
