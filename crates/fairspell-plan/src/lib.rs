//! One evening put together: light, forecast, radar and warnings become an outlook.
//!
//! [`outlook()`] is given what had been [`Seen`] by a moment, and nothing that came later: whoever
//! calls it has left out what was fetched after `as_of`. So any evening can be replayed, and no
//! ruling is ever wiser than the photographer could have been.
//!
//! ```no_run
//! # fn evening(
//! #     studio: fairspell_studio::Studio,
//! #     session: fairspell_studio::Session,
//! #     seen: fairspell_plan::Seen,
//! # ) -> Result<(), Box<dyn std::error::Error>> {
//! let zone = studio.zone()?;
//! let gates = fairspell_studio::gates(&studio, &zone, &session)?;
//! let outlook = fairspell_plan::outlook(&studio, &zone, &session, "2026-09-03T04:30:00Z".parse()?, &seen)?;
//! let ruling = fairspell_studio::rule(&studio, &session, &gates, &outlook);
//! # Ok(())
//! # }
//! ```
//!
//! - [`seen`]: what had been fetched
//! - [`evening`]: the hours of a session, and the light that bounds them
//! - [`rain`]: any rain, wet minutes, gaps, from forecast and radar
//! - [`comfort`]: heat, cold and wind over the hours
//! - [`warnings`]: official warnings over session and drive
//! - [`outlook`](mod@outlook): all of it together
//! - [`leave`]: the leave gate: go, hold, or don't go, the road and the way home
//! - [`kit`](mod@kit): what to pack for this sky and these looks
//! - [`standing`](mod@standing): gates, outlook and ruling together
//! - [`record`]: what each reading said, in the figures that are kept for good
//! - [`letter`]: the facts of the letter that a ruling asks for
//! - [`cost_advice`](mod@cost_advice): what moving costs at each gate, beside the policy
//! - [`climate`]: what an archived record says of such evenings
//! - [`field`]: what can be made in the field, and the rain to reckon with there
//! - [`light_plan`]: where to stand and face, settings, water and mist, look by look
//! - [`light_wish`]: how well the light of a minute grants what a look wants
//! - [`season_risk`](mod@season_risk): the chance that everybody of a season is made in time
//! - [`spot_surroundings`]: what a spot's notes mean for its light
//! - [`spot_year`](mod@spot_year): a spot's light and water on every day of a year
//! - [`moves`]: which session moves to which evening, proven to be the cheapest way
//! - [`evening_rain`](mod@evening_rain): what to expect of an evening's rain, by forecast or climate
//! - [`radar_climate`]: what the studio's own radar pictures said of a spot, as a record of past hours
//! - [`redate`](mod@redate): one plan when a week washes out
//! - [`season`]: who has which evening, and what can still be offered
//! - [`season_climate`]: how often an evening of each month is lost
//! - [`season_standing`](mod@season_standing): its risk, what would help, and the room that is left
//! - [`shift`]: the same day at another hour, and a session in two parts
//! - [`starts`](mod@starts): dates, starts and orders that put each look in its light

pub mod climate;
pub mod comfort;
pub mod cost_advice;
pub mod evening;
pub mod evening_rain;
pub mod field;
mod handover;
pub mod kit;
pub mod leave;
pub mod letter;
pub mod light_plan;
pub mod light_wish;
pub mod moves;
mod moves_branch;
mod moves_check;
mod moves_clash;
mod moves_climb;
mod moves_flow;
mod moves_model;
mod moves_price;
mod moves_repair;
mod moves_why;
pub mod outlook;
pub mod radar_climate;
pub mod rain;
pub mod record;
pub mod redate;
pub mod season;
mod season_chain;
pub mod season_climate;
mod season_exact;
mod season_load;
pub mod season_risk;
mod season_room;
mod season_simulated;
pub mod season_standing;
pub mod seen;
pub mod shift;
pub mod spot_surroundings;
pub mod spot_year;
pub mod standing;
pub mod starts;
mod starts_day;
mod starts_order;
#[cfg(test)]
mod starts_world;
pub mod warnings;

pub use climate::{
    ClimateQuestion, ClimateSeen, EveningClimate, evening_climate, evening_climate_unseen,
};
pub use cost_advice::{CostAdvice, GateCost, RainRisk, cost_advice};
pub use field::{FieldAsk, FieldError, FieldPlan, FieldSet, FieldSolved, field_plan};
pub use kit::{KitGroup, KitItem, KitLine, kit};
pub use leave::{LeaveAdvice, LeaveStep, leave_advice};
pub use letter::letter_facts;
pub use light_plan::{BagOut, LightAsk, LookLight, PlannedLook, Water, bag_out, look_light};
pub use moves::{MoveProblem, Moves, NoMoves, best_moves};
pub use outlook::{outlook, radar_speaks};
pub use record::{forecast_figures, radar_figures};
pub use season_risk::{
    SeasonBudget, SeasonError, SeasonProblem, SeasonRisk, helpful_evenings, room_for_more,
    season_risk, simulate_season,
};
pub use seen::{Seen, SeenForecast, SeenRadar, SeenWarnings};
pub use spot_surroundings::surroundings;
pub use spot_year::{MinuteLight, MinuteRun, SpotDay, SpotSample, spot_samples, spot_year};
pub use standing::{Standing, standing};
pub use starts::{NoStart, Start, StartQuestion, WantedLook, starts};
