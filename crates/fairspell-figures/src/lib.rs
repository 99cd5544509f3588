//! Every picture for a person, as SVG from plain values.
//!
//! A figure takes numbers and finished words and returns one SVG document that stands alone: no
//! database, no clock, no files, no scripts, no fonts to fetch. Equal input gives equal bytes. The
//! words come from the caller because every sentence for a person lives in one other place; the
//! only ones made here are units.
//!
//! What all figures share: paper and ink, one hue for rain, at least 7:1 between text and its
//! ground, a `<title>` that says it in words, and *missing is never dry*. A value that is absent or
//! not finite is drawn as not known.
//!
//! ```
//! use fairspell_figures::{Evening, RainSlot, Size, Theme, evening_svg};
//!
//! // From 16:00 to 17:30; the last half hour lies beyond what anybody can say.
//! let evening = Evening {
//!     heading: "Thu 3 Sep, Saltern Bight".into(),
//!     description: "Rain likely until 17:00, then not known.".into(),
//!     span_min: 90.0,
//!     rain: vec![RainSlot {
//!         from_min: 0.0,
//!         to_min: 60.0,
//!         p_rain: Some(0.8),
//!         rain_rate_mm_h: Some(3.0),
//!     }],
//!     not_known_label: "not known".into(),
//!     ..Evening::default()
//! };
//! let svg = evening_svg(&evening, Size::Large, Theme::Auto);
//! assert!(svg.starts_with("<svg ") && svg.contains(">not known</text>"));
//! ```
//!
//! - [`evening`]: the common figure, one band from arrival to last usable light
//! - [`mod@evening_table`]: the same evening as rows of text, for those who cannot see it
//! - [`rain_map`]: a field of rain around a place, over the coast
//! - [`rain_loop`]: the last hour of rain and what is likely to come, a frame of it showing
//! - [`mod@chance_map`]: how likely rain is around a place in some hours
//! - [`place_map`]: a coast to choose a place on
//! - [`mod@year`]: a spot's light on every day of a year
//! - [`palette`]: the colours, by day and by night
//! - [`nonce`]: figures in pages with a strict Content-Security-Policy

mod band;
pub mod chance_map;
pub mod evening;
mod evening_above;
mod evening_below;
mod evening_looks;
mod evening_page;
mod evening_small;
pub mod evening_table;
mod lettering;
mod light_line;
mod map_page;
mod map_sheet;
mod markup;
pub mod nonce;
pub mod palette;
pub mod place_map;
mod rain_cells;
pub mod rain_chances;
mod rain_coarse;
pub mod rain_loop;
mod rain_loop_strip;
pub mod rain_map;
mod rain_map_panel;
mod rain_pieces;
mod rain_runs;
mod rain_strokes;
mod rows;
pub mod year;
mod year_field;
mod year_key;

pub use chance_map::{ChanceMap, chance_map_svg};
pub use evening::{
    Danger, DryGap, Evening, LightSample, LookCard, Mark, RainSlot, Setting, Size, Tick,
    evening_svg,
};
pub use evening_table::{TableWords, evening_table};
pub use map_page::MapWidth;
pub use nonce::with_nonce;
pub use palette::Theme;
pub use place_map::{NamedPoint, PlaceMap, ScaleBar, place_map_svg};
pub use rain_chances::ChanceField;
pub use rain_loop::{FrameSky, LoopFrame, RainLoop, rain_loop_svg};
pub use rain_map::{MapPlace, RainMap, RainMotion, rain_map_svg};
pub use year::{LightRun, Year, YearDay, YearKey, YearLight, year_svg};
