//! Integration tests; the modules mirror `src/`, and two more hold the five-minute record.

#![expect(clippy::unwrap_used, reason = "a helper that cannot set a test up fails it")]
#![expect(clippy::float_cmp, reason = "equal where the definition says so, not by rounding")]

mod any_of;
mod climate;
mod contingency;
mod cost_loss;
mod gap;
mod handover;
mod handover_learned;
mod learning;
mod probability;
mod record;
mod scores;
mod scores_binned;
mod scores_crps;
mod scores_ratio;
mod spells;
mod wet_minutes;
mod window;

use fairspell_chance::{Chance, Probability};

/// A probability that the test knows to be one.
fn p(value: f64) -> Probability {
    Probability::new(value).unwrap()
}

/// A figure without a range of its own.
fn certain(value: f64) -> Chance {
    Chance::certain(p(value))
}
