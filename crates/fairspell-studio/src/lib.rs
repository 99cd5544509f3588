//! The studio's nouns and rules: plain values, and the policy that turns an outlook into a ruling.
//!
//! A [`Studio`] sells [`Session`]s at [`Spot`]s. At every [`Gate`] of a session, a moment after
//! which somebody's money or time is gone, the studio's [`Policy`] looks at an [`Outlook`] and says
//! where we stand: a [`Ruling`] with its band, the rule that said so and the next gate.
//!
//! ```
//! use fairspell_studio::{Band, Policy};
//!
//! let policy = Policy::default();
//! assert_eq!(policy.any_rain.band_of_percent(14), Band::Settled);
//! assert_eq!(policy.any_rain.band_of_percent(30), Band::Watch);
//! assert_eq!(policy.any_rain.band_of_percent(31), Band::FamilysChoice);
//! ```
//!
//! Nothing here fetches, computes light or rain, or writes a sentence.
//!
//! - [`studio`]: the studio, its week, its artist, its sources
//! - [`spot`]: one place to stand, with its cover, refuge and limits
//! - [`site`]: what a spot is like to light and water
//! - [`session`]: one agreed meeting, its people and looks
//! - [`season`]: exceptions from the week, what each evening is, schools' deadlines
//! - [`back_plan`]: whether there is still time before a deadline
//! - [`permit`]: leave to work at a spot on a date
//! - [`terms`]: how a season is worked, and what is at stake
//! - [`look_table`]: what colours and fabrics do at a backdrop and in the rain, as the owner's data
//! - [`mod@look_advice`]: what that means for a look at a spot, and where a look goes well
//! - [`field_terms`]: what hair, outfits and an umbrella bear in the field
//! - [`gate`]: the moments by which somebody has to decide
//! - [`policy`]: the owner's thresholds as data
//! - [`road`]: what the road to a spot passes, and what can shut it
//! - [`outlook`]: everything known of a session's sky at one moment
//! - [`ruling`]: what the policy says of an outlook, and by which rule
//! - [`letter`]: what the family is told, as facts
//! - [`notice`]: what the photographer is told unasked, and when
//! - [`answer`]: what a family may choose, and what they answered
//! - [`field_event`]: what happens in the field, tap by tap
//! - [`field_log`]: the taps of all phones put together, and what is let in
//! - [`field_record`]: what was made, in what rain, out of the taps
//! - [`field_text`]: the log as text, from a sheet that has no signal
//! - [`variety`]: how many different pictures a look has
//! - [`person`]: the people of a session, and how to reach them
//! - [`record`]: what every reading said, kept for good
//! - [`journal`]: the chain that shows later what was agreed, and can still forget

pub mod answer;
pub mod back_plan;
pub mod field_event;
pub mod field_log;
pub mod field_record;
pub mod field_terms;
pub mod field_text;
pub mod gate;
pub mod journal;
pub mod letter;
pub mod look_advice;
pub mod look_table;
pub mod notice;
pub mod outlook;
pub mod permit;
pub mod person;
pub mod policy;
pub mod record;
pub mod road;
pub mod ruling;
pub mod season;
pub mod session;
pub mod site;
pub mod spot;
pub mod studio;
pub mod terms;
pub mod variety;

pub use answer::{Agreement, Answer, AnsweredBy, Choice, Offer, SentLetter, agreed, is_late};
pub use field_event::{FieldEvent, FieldEventKind};
pub use field_record::FieldRecord;
pub use field_terms::FieldTerms;
pub use gate::{Gate, GateKind, gates, next_gate};
pub use letter::{LetterFacts, LetterKind, letter_kind};
pub use look_advice::{LookAdvice, LookSky, look_advice, suited_spots};
pub use look_table::{LookTable, LookTableError};
pub use notice::{Notice, NoticeKind, notices};
pub use outlook::{Outlook, SourceState, Sourced, Span, Tier};
pub use person::{Person, Role};
pub use policy::{Band, DriverRules, Policy, PolicyError};
pub use record::{ForecastFigure, RadarFigure};
pub use road::RoadPoint;
pub use ruling::{Question, Rule, Ruling, Step, rule, rule_leaving};
pub use session::{Hair, Hem, LightWish, Session, SessionError};
pub use site::{Side, Site};
pub use spot::Spot;
pub use studio::{Studio, StudioError};
