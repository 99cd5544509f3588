//! The studio's pages, and the family's page.
//!
//! Server-rendered: a handler reads its input, asks the store or the skies, and renders. What a page
//! shows of a session's sky was looked at beforehand and is drawn once, so that a page costs
//! milliseconds. Nothing works only with script; script makes things quicker.
//!
//! ```no_run
//! # async fn serve(
//! #     settings: fairspell_web::Settings,
//! #     machine: fairspell_web::Machine,
//! #     store: fairspell_store::Store,
//! # ) -> Result<(), fairspell_web::ServeError> {
//! fairspell_web::serve(settings, machine, store, |address| println!("open http://{address}/")).await
//! # }
//! ```
//!
//! Start reading at `routes`: every address on one page.
//!
//! - `app`: what a request can reach: store, clock, skies, secrets
//! - `skies`: every session's sky, looked at and drawn beforehand
//! - `watch`: the round that fetches, looks again and tells
//! - `visit`: who is here; `sign_in`, `guard`, `guesses`, `links`, `secrets`: what keeps others out
//! - `page`, `fields`, `figures`, `error`: the shell around a page, its forms, its pictures, its mishaps
//! - `pages`: one file a page
//! - [`field_document`]: the field sheet as one document that needs nothing else
//! - [`field_sheet`], [`field_document`]: what the phone carries into the field, and the page it comes in
//! - [`drawing`]: from an outlook to the picture of its evening

mod app;
mod assets;
pub mod backdrops_input;
mod clock;
mod drafts;
pub mod drawing;
mod error;
pub mod field_document;
pub mod field_sheet;
mod fields;
mod figures;
mod form_markup;
mod guard;
mod guesses;
pub mod hours_input;
mod light_plan;
mod links;
mod notices;
mod number_input;
mod page;
mod pages;
pub mod photo_position;
mod place_field;
pub mod place_input;
mod place_map;
mod rain_here;
pub mod road_input;
mod routes;
mod season_views;
mod secrets;
mod self_check;
mod serve;
mod sign_in;
mod skies;
pub mod skyline_input;
mod spelled_id;
mod spot_drawing;
mod spot_years;
pub mod start_told;
mod telling;
mod visit;
mod watch;
mod zone_of;

pub use app::{App, Settings};
pub use clock::{Clock, Machine};
pub use error::PageError;
pub use routes::router;
pub use serve::{ServeError, serve};
pub use sign_in::{PassphraseRefused, replace_passphrase};
