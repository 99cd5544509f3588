//! Every sentence for a person.
//!
//! The other parts reason in enums with figures; here they become English: the letter that a
//! family gets, where we stand and why for the photographer, the sky line by line, the words of the
//! evening's picture. Plain, calm, with names, hours as the clock says them, and "as of 14:26" beside
//! every figure that ages. What is not known is said to be not known.
//!
//! ```
//! use fairspell_studio::{Band, GateKind};
//! use fairspell_words::{avoided_words, band_name, gate_name};
//!
//! assert_eq!(band_name(Band::FamilysChoice), "family's choice");
//! assert_eq!(gate_name(GateKind::LeaveBy), "time to leave");
//!
//! // No family should have to read the trade's own words.
//! assert_eq!(avoided_words("The shoot is ON, perfect!"), ["shoot", "perfect"]);
//! ```
//!
//! - [`letters`]: the ten letters to a family
//! - [`family`]: the family's page, and what they read when they have answered
//! - [`replies`]: their answers, for the photographer and for the record
//! - [`reasons`]: a ruling in plain English, for the photographer
//! - [`sky`]: every figure of an outlook as a line
//! - [`evening`]: the words of the evening figure
//! - [`rain`]: what radar pictures tell of one place
//! - [`mod@light`]: sun, light, camera and rain in pictures
//! - [`looks`]: what to mind about a look, and where it goes well
//! - [`radar`]: what a radar may not have seen
//! - [`rain_score`]: how good that was, and what was written of the coming hours
//! - [`labels`]: the words on pictures
//! - [`screens`]: the words on the pages
//! - [`terminal`]: what the command line says of itself
//! - [`notices`]: what she is told unasked
//! - [`calendar`]: the words in calendars
//! - [`tide`]: the tide
//! - [`climate`]: what past evenings were like; [`climate_kept`]: a record of rain taken in
//! - [`sources`]: how fresh or missing a source is
//! - [`cautions`]: what to mind in danger
//! - [`leave`]: the leave gate; [`kit`]: what to pack
//! - [`moves`]: which session moves to which evening
//! - [`redate`]: one plan when a week washes out
//! - [`alternatives`]: another hour, two parts, and what moving costs
//! - [`season_risk`], [`time_left`]: how the season stands, and the time before a deadline
//! - [`field_sheet`]: what a set is called in the field, and who speaks of its rain
//! - [`sheet`]: what to make next, whatever the sky does
//! - [`field_log`]: what was made in the field
//! - [`grid`]: the pictures a look should have, and what to ask a sitter for
//! - [`field`]: the field sheet on the phone
//! - [`names`]: what bands, gates, sources and warnings' tiers are called
//! - [`clock`], [`compass`]: times, ages and directions in words
//! - [`avoid`]: the words that nobody should have to read

pub mod alternatives;
pub mod avoid;
pub mod calendar;
pub mod cautions;
pub mod climate;
pub mod climate_kept;
pub mod clock;
pub mod compass;
pub mod evening;
pub mod family;
pub mod field;
pub mod field_log;
pub mod field_sheet;
mod figure;
pub mod grid;
pub mod kit;
pub mod labels;
pub mod leave;
pub mod letters;
pub mod light;
pub mod looks;
pub mod moves;
pub mod names;
pub mod notices;
mod numbers;
pub mod radar;
pub mod rain;
pub mod rain_score;
pub mod reasons;
pub mod redate;
pub mod replies;
pub mod screens;
pub mod season_risk;
pub mod sheet;
pub mod sky;
pub mod sources;
pub mod terminal;
mod text;
pub mod tide;
pub mod time_left;

pub use avoid::avoided_words;
pub use climate::{ClimateSeenTold, ClimateTold, DaysTold, StationTold, climate_lines};
pub use climate_kept::{ClimateKeptTold, climate_kept_lines};
pub use evening::{EveningWords, evening_description};
pub use field_sheet::{field_begins, field_rain_basis, field_set_title};
pub use grid::{core_cell_prompts, core_cell_title};
pub use labels::{
    ChanceMapFacts, ChanceMapWords, EveningLabels, RainMapWords, chance_map_words,
    danger_of_figure, evening_labels, rain_map_words, standing_line,
};
pub use leave::{LeavePart, LeaveTold, leave_lines, leave_name, leave_told};
pub use letters::{Letter, letter};
pub use light::{LightTold, RainTimes, SunTold, light_lines, settings_lines, sun_lines};
pub use moves::{
    ClashTold, MoveTold, MovesTold, NextTold, SecondTold, WhyTold, clash_lines, moves_lines,
};
pub use names::{band_name, gate_name, setting_name, source_name, step_name, tier_name};
pub use radar::{BeamTold, ClutterTold, beam_line, beam_unknown_line, clutter_line};
pub use rain::{RainAhead, RainTold, RainWindow, SkyAround, SkyTrend, rain_here, rain_lines};
pub use rain_score::{
    RainFieldTold, RainScoreTold, ScoreRow, ScoredQuestion, rain_field_lines, rain_score_lines,
};
pub use reasons::where_we_stand;
pub use sheet::{
    PlayedTold, SheetOrderTold, SheetRuleTold, SheetRulesTold, SheetSetTold, SheetTold, StepTold,
    played_lines, sheet_lines, sheet_order_name,
};
pub use sky::{NO_WARNING, the_sky, warning_lines};
pub use sources::source_state;
pub use terminal::{
    INVENTED, NO_BROWSER, NO_LETTER, NOTHING_TO_TELL, PASSPHRASE_CHOSEN, TYPE_PASSPHRASE,
    backed_up, demo_opening, drawn, imported, journal_verdict, serving, serving_demo,
};
pub use tide::{TideSourceTold, TideTold, tide_lines};
