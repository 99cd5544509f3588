//! How far the radar's say reaches, learned from windows that have ended.

use std::collections::BTreeMap;

use crate::{
    Probability,
    handover::{Handover, REACH_MIN},
};

/// So many reaches are tried below the longest. A step between two moves no share by more than 0.025.
const REACHES: u32 = 300;

/// Before the first window ends it is as if so many had ended in which the shortest reach did worse
/// than the longest by [`WORSE_BY`], and those between in proportion.
const PRIOR_WINDOWS: f64 = 120.0;

/// Difference of the Brier scores in these windows.
const WORSE_BY: f64 = 0.1;

/// Differences smaller than this are rounding, and leave the radar its say.
const TIE: f64 = 1e-9;

/// What both said of some hours that are over, and what came.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HandoverCase {
    /// How far ahead the middle of the hours lay when the radar spoke, minutes.
    pub lead_min: f64,
    /// What the radar said.
    pub radar: Probability,
    /// What the forecast said of the same event, made no later.
    pub forecast: Probability,
    /// Whether it came.
    pub came: bool,
    /// Which window: cases with one number are places that one window was judged at, and share the
    /// weight of one.
    pub window: u64,
}

impl Handover {
    /// The handover whose mixture would have done best in windows that have ended.
    ///
    /// Of all reaches it is the one with the least sum of the Brier scores of each window plus what
    /// its prior costs; where two are as good, the longer. Only a forecast that clearly did better
    /// takes over sooner, then; without cases the hours stand. Radar is never given more than these:
    /// windows four hours ahead cannot be judged from pictures that say nothing of them.
    ///
    /// - `cases`: in any order. A lead that is not finite is left out.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_chance::{Handover, HandoverCase, Probability};
    ///
    /// let p = |percent| Probability::from_percent(percent).expect("a percentage");
    /// // Showers grew where radar had shown none, as the forecast had said.
    /// let grown = |window| HandoverCase {
    ///     lead_min: 75.0,
    ///     radar: p(10.0),
    ///     forecast: p(60.0),
    ///     came: window % 5 < 3,
    ///     window,
    /// };
    /// let cases: Vec<HandoverCase> = (0..100).map(grown).collect();
    /// assert!(Handover::learned(&cases).reach() < 0.6);
    /// // Two such windows are no reason.
    /// assert_eq!(Handover::learned(&cases[..2]), Handover::by_hours());
    /// ```
    ///
    /// # Source
    ///
    /// Our choice. Brier score: G. W. Brier, Mon. Weather Rev. 78 (1950), 1-3. An hour of pictures asks
    /// some forty-five windows, which share most of their rain. Weighed in two drawn years of days of
    /// eight such hours, each day judged by what was learned on the one before (see the tests): as if 60,
    /// 120 or 240 windows had ended costs a radar that is honest and sharper than the forecast 2, 0.8 and
    /// 0.2 per cent of its score, and spares 16, 15 and 10 per cent where the radar knows nothing.
    pub fn learned(cases: &[HandoverCase]) -> Handover {
        let mut places: BTreeMap<u64, f64> = BTreeMap::new();
        let judged = || cases.iter().filter(|case| case.lead_min.is_finite());
        for case in judged() {
            *places.entry(case.window).or_default() += 1.0;
        }
        // What the mixture's score has more than the forecast's own, by the radar's share, is
        // (forecast + share (radar - forecast) - came)² without what the share does not change: its
        // two coefficients are added up for each lead.
        let mut leads: BTreeMap<u64, (f64, f64)> = BTreeMap::new();
        for case in judged() {
            let apart = case.radar.get() - case.forecast.get();
            let miss = case.forecast.get() - f64::from(u8::from(case.came));
            let weight = 1.0 / places[&case.window];
            let sums = leads.entry(case.lead_min.to_bits()).or_default();
            *sums = (sums.0 + weight * apart * apart, sums.1 + 2.0 * weight * apart * miss);
        }
        let cost = |handover: Handover| {
            let scores = leads.iter().map(|(lead_min, (square, linear))| {
                let share = handover.radar_share(f64::from_bits(*lead_min));
                share * (share * square + linear)
            });
            let nearer = (1.0 - handover.reach()) / (1.0 - REACH_MIN);
            scores.sum::<f64>() + PRIOR_WINDOWS * WORSE_BY * nearer
        };
        let mut best = Handover::by_hours();
        let mut least = cost(best);
        for step in 1..=REACHES {
            let share = f64::from(step) / f64::from(REACHES);
            let nearer = Handover { reach: 1.0 - (1.0 - REACH_MIN) * share };
            let its = cost(nearer);
            if its < least - TIE {
                (best, least) = (nearer, its);
            }
        }
        best
    }
}
