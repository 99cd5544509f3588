//! How likely and how honest: hours into a window, wet and dry spells, gaps, scores.
//!
//! "50 %" means nothing until it names hours, place and amount. This crate carries a chance that a
//! service states for its own periods over to the hours that are booked, turns it into the chance
//! of one dry gap long enough to work in, and keeps the score of what was said. It knows no clock
//! and no place: minutes from any origin, and probabilities.
//!
//! Two events are kept apart by name. `p_rain`: at least 0.2 mm in a period, as services count.
//! `p_wet`: wet minutes, at least 0.1 mm/h at some moment, which undo hair without counting as rain.
//! [`p_wet_minutes`] leads from the first to the second.
//!
//! ```
//! use fairspell_chance::{
//!     Character, Probability, Stated, default_correlation, p_dry_gap, p_rain_in_window,
//!     p_wet_minutes,
//! };
//!
//! // 16:00 to 18:00: the service says 40 % for each hour, showers.
//! let p = Probability::from_percent(40.0).expect("a percentage");
//! let hours = [960.0, 1020.0].map(|from_min| Stated { from_min, to_min: from_min + 60.0, p });
//! let r = default_correlation(120.0, 360.0);
//! let p_rain = p_rain_in_window(&hours, 960.0, 1080.0, r).expect("both hours are stated");
//! assert_eq!((p_rain.centre.get() * 100.0).round(), 52.0);
//!
//! // Some rain is as likely as not, and yet 25 dry minutes are all but sure.
//! let p_wet = p_wet_minutes(&p_rain);
//! let p_gap = p_dry_gap(&p_wet, 120.0, 25.0, Character::Showery).expect("two hours hold 25 min");
//! assert!(p_gap.centre.get() > 0.9);
//! ```
//!
//! - [`probability`]: a probability, and one with its range
//! - [`any_of`]: rain in at least one of several periods
//! - [`window`]: chances of whole periods carried over to the booked hours
//! - [`wet_minutes`]: from rain as services count it to wet minutes
//! - [`spells`]: wet and dry spells in five-minute steps, showery or steady
//! - [`gap`]: the chance of one dry gap long enough
//! - [`handover`]: from the radar's figure to the forecast's without a step
//! - [`handover_learned`]: how soon, by what both said of hours that are over
//! - [`scores`]: Brier score and its parts, reliability, ROC area
//! - [`scores_binned`]: the parts of a Brier score over bins
//! - [`scores_ratio`]: one score over another, with how far it could be chance
//! - [`scores_crps`]: score of plausible values
//! - [`contingency`]: scores of plain calls
//! - [`cost_loss`]: when moving is worth its cost, and what waiting costs
//! - [`climate`]: counts of past evenings, drawn toward a default where they are few

pub mod any_of;
mod beta;
pub mod climate;
pub mod contingency;
pub mod cost_loss;
pub mod gap;
pub mod handover;
pub mod handover_learned;
pub mod probability;
pub mod scores;
pub mod scores_binned;
pub mod scores_crps;
pub mod scores_ratio;
pub mod spells;
pub mod wet_minutes;
pub mod window;

pub use any_of::{any_of_bounds, any_of_markov};
pub use climate::{Counts, Persistence, difference_range};
pub use contingency::Contingency;
pub use cost_loss::CostLoss;
pub use gap::{p_dry_gap, p_dry_gap_from_steps};
pub use handover::{Handover, joined};
pub use handover_learned::HandoverCase;
pub use probability::{Chance, Probability};
pub use scores::{
    BrierParts, Outcome, ReliabilityRow, brier_score, reliability_by_bin, reliability_by_value,
    roc_area,
};
pub use scores_binned::BinnedBrier;
pub use scores_crps::crps;
pub use scores_ratio::{PairedBlock, ScoreRatio, score_ratio};
pub use spells::{Character, SpellRates, p_wet_step, simulate};
pub use wet_minutes::p_wet_minutes;
pub use window::{
    CORRELATION_CLIMATE, CORRELATION_SAME_DAY, Stated, default_correlation, p_rain_in_window,
    share_of_period,
};
