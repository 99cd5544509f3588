//! The two logistic formulas, and how a window's predictors enter them.
//!
//! # Source
//!
//! Fitted by ridge regression on three open radar events (Finland 2016-09-28, United States
//! 2019-06-10, Europe 2018-08-24) and copies of them at other speeds and steps; each system was
//! predicted from the others within 1 to 4 % of what its own fit gives. `tests/reference/refit.py`
//! fits them again from what `tests/radar/predictors.rs` writes; its table stands in the README
//! beside it.

/// What the two formulas read of one window at one place, before it is cut to the fitted ranges.
///
/// For refitting the formulas with more radar; nothing here is an answer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Predictors {
    /// Of the chance of rain, as named by [`Predictors::RAIN`].
    pub rain: [f64; 14],
    /// Of the chance of a dry gap, as named by [`Predictors::GAP`]; `None` in a window with fewer
    /// steps than the gap has.
    pub gap: Option<[f64; 14]>,
}

impl Predictors {
    /// Names of the rain formula's predictors, in the order of its weights.
    pub const RAIN: [&'static str; 14] = [
        "lead",
        "length",
        "share_max_0",
        "share_max_1",
        "share_max_2",
        "death",
        "birth",
        "level_max_0",
        "level_max_1",
        "trend",
        "death_of_rain",
        "edge",
        "neighbours",
        "passing",
    ];

    /// Names of the gap formula's predictors, in the order of its weights.
    pub const GAP: [&'static str; 14] = [
        "lead",
        "length",
        "step",
        "share_max_0",
        "share_max_1",
        "share_mean_0",
        "share_mean_1",
        "share_mean_2",
        "level_mean_0",
        "level_mean_1",
        "birth",
        "death",
        "trend",
        "neighbours",
    ];
}

/// One predictor's weight and the range it was fitted on; outside, it is cut to the range.
struct Term {
    weight: f64,
    low: f64,
    high: f64,
}

const fn term(weight: f64, low: f64, high: f64) -> Term {
    Term { weight, low, high }
}

/// What the chance of rain in a window is read from.
#[derive(Debug, Clone, Copy)]
pub(crate) struct RainPredictors {
    /// ln(middle of the window / 30 min).
    pub(crate) lead: f64,
    /// ln(length of the window / 30 min).
    pub(crate) length: f64,
    /// Stretched largest wet share along the path, three widths.
    pub(crate) share_max: [f64; 3],
    /// Log hazard of deaths.
    pub(crate) death: f64,
    /// Log hazard of births.
    pub(crate) birth: f64,
    /// Scaled largest level along the path, two widths.
    pub(crate) level_max: [f64; 2],
    /// Scaled trend of the level.
    pub(crate) trend: f64,
    /// Mean distance to the edge of the rain, compressed.
    pub(crate) edge: f64,
    /// Stretched share of the neighbours whose path meets rain.
    pub(crate) neighbours: f64,
    /// How much sky passes within the window, compressed.
    pub(crate) passing: f64,
}

const RAIN_CONSTANT: f64 = 0.881;
const RAIN: [Term; 14] = [
    term(0.108, -0.69, 1.39),
    term(0.166, 0.0, 1.39),
    term(0.064, -3.93, 3.93),
    term(0.207, -3.93, 3.93),
    term(0.231, -3.93, 3.93),
    term(0.203, -5.52, -0.16),
    term(0.171, -5.23, 0.08),
    term(1.272, -0.5, 1.68),
    term(-0.134, -0.5, 1.52),
    term(2.612, -0.45, 0.66),
    term(-0.437, -5.40, -0.01),
    term(-0.498, -3.19, 3.28),
    term(0.244, -3.93, 3.93),
    term(0.358, 0.17, 2.74),
];

impl RainPredictors {
    /// Log-odds of rain at any moment of the window.
    pub(crate) fn log_odds(&self) -> f64 {
        RAIN_CONSTANT + weighted(&RAIN, &self.values())
    }

    /// In the order of the weights.
    pub(crate) fn values(&self) -> [f64; 14] {
        let death_of_rain = self.death * chance(self.share_max[2]);
        [
            self.lead,
            self.length,
            self.share_max[0],
            self.share_max[1],
            self.share_max[2],
            self.death,
            self.birth,
            self.level_max[0],
            self.level_max[1],
            self.trend,
            death_of_rain,
            self.edge,
            self.neighbours,
            self.passing,
        ]
    }
}

/// What the chance of a dry gap in a window is read from.
#[derive(Debug, Clone, Copy)]
pub(crate) struct GapPredictors {
    /// As in [`RainPredictors`].
    pub(crate) lead: f64,
    /// As in [`RainPredictors`], for a gap of 25 minutes.
    pub(crate) length: f64,
    /// ln(step of the series / 5 min).
    pub(crate) step: f64,
    /// Stretched largest wet share along the path, the two narrower widths.
    pub(crate) share_max: [f64; 2],
    /// Stretched mean wet share along the path, three widths.
    pub(crate) share_mean: [f64; 3],
    /// Scaled mean level along the path, two widths.
    pub(crate) level_mean: [f64; 2],
    /// As in [`RainPredictors`].
    pub(crate) birth: f64,
    /// As in [`RainPredictors`].
    pub(crate) death: f64,
    /// As in [`RainPredictors`].
    pub(crate) trend: f64,
    /// Stretched share of the neighbours whose own series has the gap.
    pub(crate) neighbours: f64,
}

const GAP_CONSTANT: f64 = -1.236;
const GAP: [Term; 14] = [
    term(0.544, 0.0, 1.39),
    term(0.322, 0.69, 1.39),
    term(0.253, -0.22, 1.10),
    term(0.050, -3.93, 3.93),
    term(0.206, -3.93, 3.93),
    term(-0.269, -3.93, 3.93),
    term(-0.446, -3.93, 3.90),
    term(-0.375, -3.92, 3.11),
    term(-0.731, -0.5, 1.31),
    term(-0.223, -0.5, 1.22),
    term(-0.291, -5.23, 0.10),
    term(0.012, -5.50, -0.13),
    term(-1.933, -0.45, 0.67),
    term(0.518, -3.93, 3.93),
];

impl GapPredictors {
    /// Log-odds of a dry gap within the window.
    pub(crate) fn log_odds(&self) -> f64 {
        GAP_CONSTANT + weighted(&GAP, &self.values())
    }

    /// In the order of the weights.
    pub(crate) fn values(&self) -> [f64; 14] {
        [
            self.lead,
            self.length,
            self.step,
            self.share_max[0],
            self.share_max[1],
            self.share_mean[0],
            self.share_mean[1],
            self.share_mean[2],
            self.level_mean[0],
            self.level_mean[1],
            self.birth,
            self.death,
            self.trend,
            self.neighbours,
        ]
    }
}

fn weighted(terms: &[Term; 14], values: &[f64; 14]) -> f64 {
    let part = |(term, value): (&Term, &f64)| term.weight * value.clamp(term.low, term.high);
    terms.iter().zip(values).map(part).sum()
}

/// A share as log-odds that stay finite: 0 and 1 become ±3.93.
pub(crate) fn stretched(share: f64) -> f64 {
    ((share.clamp(0.0, 1.0) + 0.02) / (1.02 - share.clamp(0.0, 1.0))).ln()
}

/// The chance that log-odds stand for.
pub(crate) fn chance(log_odds: f64) -> f64 {
    1.0 / (1.0 + (-log_odds).exp())
}

/// The inverse of [`chance`], finite for 0 and 1 too.
pub(crate) fn log_odds(chance: f64) -> f64 {
    let inside = chance.clamp(1e-6, 1.0 - 1e-6);
    (inside / (1.0 - inside)).ln()
}

/// Log of the hazard over 20 minutes that turns a share `changed` in `lag_min` minutes.
pub(crate) fn log_hazard(changed: f64, lag_min: f64) -> f64 {
    (20.0 / lag_min * -(1.0 - changed.clamp(0.004, 0.95)).ln()).ln()
}
