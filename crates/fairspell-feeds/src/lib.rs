//! Fetches forecasts, warnings and radar politely, and remembers what it fetched.
//!
//! Weather services give their data away and ask for little: say who you are, do not ask again for
//! what cannot have changed, stay away when told. A [`Fetcher`] does that for each [`Feed`], from the
//! web or from a folder into which another program puts files, reads what came once to see that it
//! can be read, and keeps it as it was sent, with the moment at which it was fetched. That moment is
//! what counts: [`seen_by`] never opens what was fetched after the moment asked about, so that any
//! evening can be replayed.
//!
//! ```no_run
//! # async fn example() -> Result<(), Box<dyn std::error::Error>> {
//! use std::path::Path;
//!
//! use fairspell_feeds::{Fetcher, Identity, Limits, Reach, presets, seen_by};
//! use fairspell_ground::LatLon;
//!
//! let readings = Path::new("my-studio/readings");
//! let beach = LatLon::new(29.9321, -81.3210)?;
//! let contact = Some("me@example.org".to_owned());
//! let identity = Identity { product: "fairspell/0.1.0".to_owned(), contact };
//! let fetcher = Fetcher::new(readings, &identity, Limits::default(), Reach::Public)?;
//!
//! let now = "2026-09-02T17:55:00Z".parse()?;
//! for feed in presets(beach) {
//!     let fetched = fetcher.fetch(&feed, beach, now, 0.4).await?;
//!     // New, not modified, too early, failed ...
//! }
//! let known = seen_by(readings, now, beach)?;
//! # Ok(())
//! # }
//! ```
//!
//! Nothing here asks what time it is or rolls dice: both come in as arguments.
//!
//! - [`feed`]: one source of readings; [`mod@presets`]: the services that we know
//! - [`identity`]: who asks
//! - [`fetcher`]: asks, and keeps what is said; [`fetched`]: what came of it
//! - [`web`]: one request within bounds; [`reach`]: where nothing is ever fetched from
//! - [`http_time`]: dates, freshness, when to come back
//! - [`state`]: what is remembered between looks
//! - [`mod@due`]: which feeds are worth asking now; [`mod@prune`]: what has become too old
//! - [`readings`]: what had been fetched by a moment
//! - [`frames`], [`frame_cache`]: radar pictures out of files, decoded once; [`ready`]: without
//!   clutter, on cells that suit the nowcast
//! - [`record_file`]: what nowcasts said and what came, kept beside the pictures
//! - [`climate_files`]: archived records of rain, kept as received
//! - [`unpack`]: files that are compressed as a whole
//! - [`error`]: what can be wrong with the folder

mod arrived;
mod asking;
pub mod climate_files;
mod content;
pub mod due;
pub mod error;
pub mod feed;
pub mod fetched;
pub mod fetcher;
mod folder;
pub mod frame_cache;
pub mod frames;
pub mod http_time;
pub mod identity;
mod keep;
mod pauses;
pub mod presets;
pub mod prune;
pub mod reach;
pub mod readings;
pub mod ready;
mod received;
pub mod record_file;
pub mod state;
pub mod unpack;
pub mod web;

pub use climate_files::{
    ClimateFileError, ClimateStamp, ImportedClimate, NearRecord, climate_records, climate_stamp,
    import_climate, import_climate_bytes, nearest_record, remove_climate, speaking_record,
};
pub use due::{due, span_of};
pub use error::FeedsError;
pub use feed::{Feed, From};
pub use fetched::{FetchRemark, Fetched, Why};
pub use fetcher::Fetcher;
pub use frame_cache::FrameCache;
pub use identity::Identity;
pub use presets::presets;
pub use prune::{Retention, prune};
pub use reach::Reach;
pub use readings::{Radar, SeenBy, seen_by, seen_by_with};
pub use ready::{Mended, MendedPicture};
pub use state::{FeedState, FeedsState};
pub use web::Limits;
