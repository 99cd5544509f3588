//! The rain to reckon with at a spot, slot by slot, as a chain of four classes.
//!
//! Near ahead the nowcast's plausible evenings say how rain comes and goes there; farther ahead the
//! forecast's chances with the persistence of showers or of steady rain do. One fades into the other as
//! the outlook's own figures do, so that the sheet and the evening's figure speak of one sky.

use fairspell_chance::{Chance, Character, Handover, Probability, p_wet_minutes, p_wet_step};
use fairspell_ground::LatLon;
use fairspell_nowcast::RainChain;
use fairspell_studio::Outlook;
use jiff::{SignedDuration, Timestamp};

use crate::{climate::P_RAIN_DEFAULT, seen::Seen};

/// Classes: dry, drizzle below 1 mm/h, rain from 1 to 4, heavy above.
pub type Classes = [f64; 4];

/// Who speaks of the rain.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RainBasis {
    /// Radar near ahead, fading into the forecast.
    RadarAndForecast,
    /// Radar near ahead; beyond it nobody, so that one evening in five is taken for wet.
    Radar,
    /// The forecast alone.
    Forecast,
    /// Nobody: one evening in five is taken for wet.
    Nobody,
}

/// The rain to reckon with, slot by slot.
#[derive(Debug, Clone, PartialEq)]
pub struct FieldRain {
    /// The chance of each class in the first slot.
    pub start: Classes,
    /// From each slot to the next, a row for each class now; one table less than slots.
    pub steps: Vec<[Classes; 4]>,
    /// Who speaks.
    pub basis: RainBasis,
}

/// How rain that falls is shared among drizzle, rain and heavy rain, where only its chance is known.
/// Our choice.
const SHOWERY_CLASSES: [f64; 3] = [0.35, 0.45, 0.20];
const STEADY_CLASSES: [f64; 3] = [0.45, 0.50, 0.05];

/// Rain stays in its class from one slot to the next this often, else it is shared anew. Our choice.
const SAME_CLASS: f64 = 0.6;

/// The evenings' own steps count as if this much more of them, all told, went by persistence alone:
/// a class that hardly any evening has is no class that never ends.
const PERSISTENCE_SHARE: f64 = 0.02;

/// The rain at a place from `origin` on.
///
/// - `outlook`: the session's sky, by which sources too old to rely on are left out.
/// - `slots`: how many, of `slot_min` minutes each.
///
/// Where nobody speaks of some hours they are not taken for dry: [`P_RAIN_DEFAULT`] stands in, and the
/// basis says so.
pub fn field_rain(
    outlook: &Outlook,
    seen: &Seen,
    place: LatLon,
    origin: Timestamp,
    slots: usize,
    slot_min: u32,
) -> FieldRain {
    let slot = SignedDuration::from_mins(i64::from(slot_min));
    let middles: Vec<Timestamp> =
        (0..slots).map(|index| origin + slot * whole(index) + slot / 2).collect();
    let character = outlook.character.as_ref().map_or(Character::Showery, |it| it.value);
    let persistence = Persistence::of(character, f64::from(slot_min));
    let told = |at: Timestamp| {
        let step = outlook.steps.iter().find(|step| step.hours.from <= at && at < step.hours.to);
        step.and_then(|step| step.p_wet).map(Probability::get)
    };
    let unknown = p_wet_unknown(outlook, character);
    let wet: Vec<f64> = middles.iter().map(|at| told(*at).unwrap_or(unknown)).collect();

    let radar = outlook.radar.as_ref().and(seen.radar.as_ref());
    let evenings = radar.and_then(|seen| seen.nowcast.at(place).ok()?.evenings());
    let chain = evenings.map(|evenings| evenings.rain_chain_at(&middles));
    let reach = outlook.radar.as_ref().and_then(|radar| radar.reach);
    let handover = reach.and_then(Handover::with_reach).unwrap_or_default();
    let radar_share =
        |at: Timestamp| handover.radar_share(at.duration_since(outlook.as_of).as_secs_f64() / 60.0);

    let steps = (0..slots.saturating_sub(1)).map(|index| {
        let usual = persistence.step(wet[index], wet[index + 1]);
        match &chain {
            None => usual,
            Some(chain) => blended(chain, index, &usual, radar_share(middles[index + 1])),
        }
    });
    let usual = persistence.classes(wet.first().copied().unwrap_or(unknown));
    let start = match (&chain, middles.first()) {
        (Some(chain), Some(first)) => mixed(&usual, &chain.shares[0], radar_share(*first)),
        _ => usual,
    };
    let has_forecast = outlook.p_any_rain.is_some();
    // Pictures whose reach ends before the first slot say nothing of these hours.
    let has_radar = chain.as_ref().is_some_and(|chain| {
        let known = |shares: &Classes| shares.iter().sum::<f64>() > 0.0;
        chain
            .shares
            .iter()
            .zip(&middles)
            .any(|(shares, at)| known(shares) && radar_share(*at) > 0.0)
    });
    let basis = match (has_radar, has_forecast) {
        (true, true) => RainBasis::RadarAndForecast,
        (true, false) => RainBasis::Radar,
        (false, true) => RainBasis::Forecast,
        (false, false) => RainBasis::Nobody,
    };
    FieldRain { start, steps: steps.collect(), basis }
}

impl FieldRain {
    /// The chance of each class in each slot.
    pub fn shares(&self) -> Vec<Classes> {
        let follow = |now: &mut Classes, step: &[Classes; 4]| {
            let before = *now;
            *now = std::array::from_fn(|to| (0..4).map(|from| before[from] * step[from][to]).sum());
            Some(*now)
        };
        std::iter::once(self.start).chain(self.steps.iter().scan(self.start, follow)).collect()
    }
}

/// The chance that a slot is wet of which nobody speaks.
fn p_wet_unknown(outlook: &Outlook, character: Character) -> f64 {
    let p = Chance::certain(Probability::clamped(P_RAIN_DEFAULT));
    let window_min = outlook.evening.minutes().max(60.0);
    p_wet_step(&p_wet_minutes(&p), window_min, character).map_or(P_RAIN_DEFAULT, |p| p.centre.get())
}

/// What the evenings say of a step, by so much, and what is usual.
fn blended(chain: &RainChain, index: usize, usual: &[Classes; 4], share: f64) -> [Classes; 4] {
    std::array::from_fn(|from| {
        let joint = &chain.transitions[index][from];
        let known: f64 = joint.iter().sum();
        let by_evenings: Classes = std::array::from_fn(|to| {
            (joint[to] + PERSISTENCE_SHARE * usual[from][to]) / (known + PERSISTENCE_SHARE)
        });
        mixed(&usual[from], &by_evenings, share)
    })
}

/// One by its share, the other by the rest; the other alone where the one knows nothing.
fn mixed(usual: &Classes, radar: &Classes, share: f64) -> Classes {
    let share = if radar.iter().sum::<f64>() > 0.0 { share } else { 0.0 };
    std::array::from_fn(|class| (1.0 - share) * usual[class] + share * radar[class])
}

/// How long rain lasts, and what rain it is.
struct Persistence {
    /// The chance that rain ends from one slot to the next.
    ends: f64,
    classes: [f64; 3],
}

impl Persistence {
    /// The mean length of a wet spell is that of [`fairspell_chance::spells`]; its two phases are one
    /// here, since the sheet's state has no room for them.
    fn of(character: Character, slot_min: f64) -> Self {
        let rates = character.rates();
        let spell_steps = (1.0 + rates.lasts / rates.clears) / (rates.ends + rates.lasts);
        let spell_slots = spell_steps * fairspell_chance::spells::STEP_MIN / slot_min;
        let classes = match character {
            Character::Showery => SHOWERY_CLASSES,
            Character::Steady => STEADY_CLASSES,
        };
        Persistence { ends: (1.0 / spell_slots).min(1.0), classes }
    }

    /// The chances of the classes, by the chance that it is wet.
    fn classes(&self, wet: f64) -> Classes {
        let [drizzle, rain, heavy] = self.classes.map(|share| wet * share);
        [1.0 - wet, drizzle, rain, heavy]
    }

    /// From a slot that is wet with a chance to one that is wet with another.
    fn step(&self, wet_now: f64, wet_next: f64) -> [Classes; 4] {
        let dry_now = 1.0 - wet_now;
        let stays_wet = wet_now * (1.0 - self.ends);
        let begins = if dry_now > 0.0 { (wet_next - stays_wet) / dry_now } else { wet_next };
        // A chance that falls faster than spells end: they end sooner.
        let ends = if stays_wet > wet_next { 1.0 - wet_next / wet_now } else { self.ends };
        let dry = self.classes(begins.clamp(0.0, 1.0));
        std::array::from_fn(|from| {
            if from == 0 {
                return dry;
            }
            let anew = self.classes(1.0 - ends);
            std::array::from_fn(|to| match to {
                0 => ends,
                to => {
                    let same = if to == from { (1.0 - ends) * SAME_CLASS } else { 0.0 };
                    same + (1.0 - SAME_CLASS) * anew[to]
                }
            })
        })
    }
}

fn whole(index: usize) -> i32 {
    i32::try_from(index).expect("slots are few")
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn a_step_leads_from_one_chance_to_the_next(
            wet_now in 0.0..=1.0_f64,
            wet_next in 0.0..=1.0_f64,
            steady in any::<bool>(),
        ) {
            let character = if steady { Character::Steady } else { Character::Showery };
            let persistence = Persistence::of(character, 5.0);
            let step = persistence.step(wet_now, wet_next);
            let now = persistence.classes(wet_now);
            for row in step {
                prop_assert!((row.iter().sum::<f64>() - 1.0).abs() < 1e-9);
                prop_assert!(row.iter().all(|chance| (-1e-12..=1.0 + 1e-12).contains(chance)));
            }
            let dry_next: f64 = (0..4).map(|from| now[from] * step[from][0]).sum();
            // Rain that lasts cannot begin faster than in every dry sky.
            let most = wet_now * (1.0 - persistence.ends) + (1.0 - wet_now);
            prop_assert!((1.0 - dry_next - wet_next.min(most)).abs() < 1e-9);
        }
    }

    #[test]
    fn rain_that_is_certain_can_still_be_told_to_end() {
        let persistence = Persistence::of(Character::Showery, 5.0);
        for wet_next in [0.0, 0.2, 0.84, 1.0] {
            let step = persistence.step(1.0, wet_next);
            let now = persistence.classes(1.0);
            let dry_next: f64 = (0..4).map(|from| now[from] * step[from][0]).sum();
            let most = 1.0 - persistence.ends;
            assert!((1.0 - dry_next - wet_next.min(most)).abs() < 1e-9, "{wet_next}: {dry_next}");
        }
    }

    /// Mean wet spells of `fairspell-chance`'s chain: 33 minutes of showers, over four hours of steady
    /// rain.
    #[test]
    fn steady_rain_lasts_longer_than_showers() {
        let minutes = |character| 5.0 / Persistence::of(character, 5.0).ends;
        assert!((30.0..36.0).contains(&minutes(Character::Showery)));
        assert!((240.0..260.0).contains(&minutes(Character::Steady)));
    }
}
