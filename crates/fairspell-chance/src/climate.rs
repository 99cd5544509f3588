//! Counts of past evenings: how many had rain, and whether one says anything of the next.
//!
//! A record is one outcome a day: did it rain in these hours, or does nobody know. What a short record
//! shows is drawn toward a stated default, so that three dry evenings do not become "it never rains".

use std::collections::BTreeMap;

use rand::{Rng, RngExt};
use serde::{Deserialize, Serialize};

use crate::{Chance, Probability, beta::beta_quantile, scores_ratio::quantile};

/// The default counts like so many evenings.
///
/// # Source
///
/// Our choice. On twelve months of daily forecasts and rain at Tampere (Finland, 2003), learned in the
/// first half and tested in the second, 2, 5, 10, 20 and 40 gave Brier scores of 0.1559, 0.1531, 0.1521,
/// 0.1528 and 0.1548.
pub const DEFAULT_WEIGHT: f64 = 10.0;

/// Correlation between one evening's rain and the next one's where a record shows nothing.
///
/// # Source
///
/// Our choice: between a two-hour evening window, for which 1,087 evenings at three New York airports
/// in 2013 show none, and whole days, which have some (0.18 there).
pub const CORRELATION_DEFAULT: f64 = 0.1;

/// That default counts like so many pairs of evenings (our choice: some two months).
pub const CORRELATION_WEIGHT: f64 = 50.0;

/// From how many days to how many days later rain is followed up: one, two, three, a week.
pub const LAGS_DAYS: [i64; 4] = [1, 2, 3, 7];

/// Days that are drawn together in a bootstrap: longer than a spell of weather (our choice).
const BLOCK_DAYS: i64 = 10;

/// With fewer pairs of one of the four kinds nothing can be drawn anew: zero stays zero in every draw.
const PAIRS_MIN: usize = 5;

/// Evenings of which it is known whether they had rain, and how many had.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Counts {
    /// How many are known.
    pub known: usize,
    /// How many of these had rain.
    pub wet: usize,
}

impl Counts {
    /// Counts outcomes; what nobody knows is not counted, and is not dry.
    ///
    /// - `outcomes`: the number of a day, from any origin, and whether its hours were wet.
    pub fn of(outcomes: &[(i64, Option<bool>)]) -> Self {
        let mut counts = Self::default();
        outcomes.iter().filter_map(|(_, wet)| *wet).for_each(|wet| counts.add(wet));
        counts
    }

    /// One more.
    pub fn add(&mut self, wet: bool) {
        self.known += 1;
        self.wet += usize::from(wet);
    }

    /// The share that had rain; `None` while none is known.
    pub fn share(self) -> Option<f64> {
        (self.known > 0).then(|| self.wet as f64 / self.known as f64)
    }

    /// The chance of rain on another such evening, drawn toward a default, with its 90 % range.
    ///
    /// - `default`: what is assumed while no evening is known; it has to be stated beside the figure.
    /// - `weight`: how many evenings it counts for; see [`DEFAULT_WEIGHT`].
    ///
    /// The range takes the evenings for independent. Two-hour windows on end nearly are; whole days are
    /// less so, and their true range is wider.
    ///
    /// # Panics
    ///
    /// Unless the weight is above zero and finite: a mistake of ours.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_chance::{Probability, climate::{Counts, DEFAULT_WEIGHT}};
    ///
    /// let default = Probability::new(0.2).expect("0 to 1");
    /// // Three evenings, none with rain: not "never", but rather less than the default.
    /// let p_rain = Counts { known: 3, wet: 0 }.shrunk(default, DEFAULT_WEIGHT);
    /// assert_eq!((p_rain.centre.get() * 100.0).round(), 15.0);
    ///
    /// // Of 1087 evenings, 95: the record speaks for itself.
    /// let p_rain = Counts { known: 1087, wet: 95 }.shrunk(default, DEFAULT_WEIGHT);
    /// assert_eq!((p_rain.centre.get() * 1000.0).round(), 88.0);
    /// ```
    ///
    /// # Source
    ///
    /// Beta-binomial model: (k + K p) / (n + K), and the 5th and 95th percentile of the beta
    /// distribution with k + K p and n - k + K (1 - p).
    pub fn shrunk(self, default: Probability, weight: f64) -> Chance {
        assert!(weight > 0.0 && weight.is_finite(), "a default needs a weight, found {weight}");
        let (known, wet) = (self.known as f64, self.wet.min(self.known) as f64);
        let a = wet + weight * default.get();
        let b = known - wet + weight * default.complement().get();
        let ends = [0.05, 0.95].map(|share| beta_quantile(a, b, share));
        Chance::spanning(a / (a + b), ends)
    }
}

/// What followed wet and what followed dry evenings, so many days later.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Persistence {
    /// How many days later.
    pub lag_days: i64,
    /// Evenings that came so many days after a wet one.
    pub after_wet: Counts,
    /// Evenings that came so many days after a dry one.
    pub after_dry: Counts,
}

impl Persistence {
    /// Counts pairs of days so far apart of which both are known.
    ///
    /// - `outcomes`: in any order, each day once (of a day given twice the last counts).
    /// - `lag_days`: at least 1.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_chance::climate::Persistence;
    ///
    /// // Wet, wet, dry, not known, dry: two pairs after wet, none across the evening nobody knows.
    /// let outcomes = [(0, Some(true)), (1, Some(true)), (2, Some(false)), (3, None), (4, Some(false))];
    /// let next_day = Persistence::of(&outcomes, 1);
    /// assert_eq!((next_day.after_wet.known, next_day.after_wet.wet), (2, 1));
    /// assert_eq!(next_day.after_dry.known, 0);
    /// ```
    pub fn of(outcomes: &[(i64, Option<bool>)], lag_days: i64) -> Self {
        let mut persistence = Self::none(lag_days);
        for (_, before, after) in pairs(outcomes, lag_days) {
            persistence.add(before, after);
        }
        persistence
    }

    fn none(lag_days: i64) -> Self {
        Self { lag_days, after_wet: Counts::default(), after_dry: Counts::default() }
    }

    fn add(&mut self, before: bool, after: bool) {
        let counts = if before { &mut self.after_wet } else { &mut self.after_dry };
        counts.add(after);
    }

    /// How many pairs were counted.
    pub fn pairs(&self) -> usize {
        self.after_wet.known + self.after_dry.known
    }

    /// Share of wet after wet less share of wet after dry; `None` without both.
    pub fn difference(&self) -> Option<f64> {
        Some(self.after_wet.share()? - self.after_dry.share()?)
    }

    /// Correlation of the two evenings' rain (phi); `None` where one of them was always alike.
    pub fn correlation(&self) -> Option<f64> {
        let [n11, n10] = [self.after_wet.wet, self.after_wet.known - self.after_wet.wet]
            .map(|count| count as f64);
        let [n01, n00] = [self.after_dry.wet, self.after_dry.known - self.after_dry.wet]
            .map(|count| count as f64);
        let square = (n11 + n10) * (n01 + n00) * (n11 + n01) * (n10 + n00);
        (square > 0.0).then(|| (n11 * n00 - n10 * n01) / square.sqrt())
    }

    /// That correlation drawn toward [`CORRELATION_DEFAULT`]; the default alone where there is none.
    pub fn correlation_shrunk(&self) -> f64 {
        let Some(phi) = self.correlation() else { return CORRELATION_DEFAULT };
        let pairs = self.pairs() as f64;
        (pairs * phi + CORRELATION_WEIGHT * CORRELATION_DEFAULT) / (pairs + CORRELATION_WEIGHT)
    }
}

/// How far [`Persistence::difference`] could be chance: its 90 % range over redrawn stretches of days.
///
/// - `draws`: how many times; 1000 settles the second decimal.
/// - `rng`: seeded by the caller, so that the range can be repeated.
///
/// `None` with fewer than five pairs of one of the four kinds (wet after wet, dry after wet and so on), or
/// fewer than two stretches of ten days: redrawing so few would only repeat them.
///
/// # Source
///
/// B. Efron, R. J. Tibshirani, "An Introduction to the Bootstrap" (1993), sections 8.5 and 13.3; stretches
/// of ten days are our choice, longer than a spell of weather.
pub fn difference_range(
    outcomes: &[(i64, Option<bool>)],
    lag_days: i64,
    draws: usize,
    rng: &mut impl Rng,
) -> Option<(f64, f64)> {
    let mut blocks: BTreeMap<i64, Persistence> = BTreeMap::new();
    for (day, before, after) in pairs(outcomes, lag_days) {
        let block = blocks.entry(day.div_euclid(BLOCK_DAYS));
        block.or_insert_with(|| Persistence::none(lag_days)).add(before, after);
    }
    let blocks: Vec<Persistence> = blocks.into_values().collect();
    let Persistence { after_wet, after_dry, .. } = Persistence::of(outcomes, lag_days);
    let kinds = [after_wet, after_dry].map(|counts| counts.wet.min(counts.known - counts.wet));
    if blocks.len() < 2 || kinds.iter().any(|pairs| *pairs < PAIRS_MIN) {
        return None;
    }
    let mut drawn: Vec<f64> = (0..draws)
        .filter_map(|_| {
            let mut sum = Persistence::none(lag_days);
            for _ in &blocks {
                let block = blocks[rng.random_range(0..blocks.len())];
                for (sum, its) in
                    [(&mut sum.after_wet, block.after_wet), (&mut sum.after_dry, block.after_dry)]
                {
                    sum.known += its.known;
                    sum.wet += its.wet;
                }
            }
            sum.difference()
        })
        .collect();
    drawn.sort_by(f64::total_cmp);
    (!drawn.is_empty()).then(|| (quantile(&drawn, 5), quantile(&drawn, 95)))
}

/// Pairs of known days so far apart: the later day, whether the earlier was wet, whether the later was.
fn pairs(outcomes: &[(i64, Option<bool>)], lag_days: i64) -> Vec<(i64, bool, bool)> {
    let known: BTreeMap<i64, bool> =
        outcomes.iter().filter_map(|(day, wet)| wet.map(|wet| (*day, wet))).collect();
    let pair = |(day, after): (&i64, &bool)| {
        let before = known.get(&day.checked_sub(lag_days)?)?;
        Some((*day, *before, *after))
    };
    known.iter().filter_map(pair).collect()
}
