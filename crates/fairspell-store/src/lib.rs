//! Keeps the studio in a database and a folder.
//!
//! A [`Store`] is one studio's folder, opened. Only this crate knows SQL: its functions take and return
//! the values of `fairspell_studio`, one module for each noun; what is not there is `Ok(None)`; what
//! must happen together is one function and one transaction. Whatever somebody may be asked about
//! later (a letter, an answer, a change, what she was told) is an entry of the journal at the same
//! time, and its contents lie there alone, so that one place has to be erased when a family asks.
//! (Taps of the field lie in a table of their own; the journal seals them.)
//!
//! ```
//! use fairspell_store::Store;
//!
//! # tokio::runtime::Builder::new_current_thread().enable_all().build()?.block_on(async {
//! let folder = tempfile::tempdir()?;
//! let now = "2026-09-03T05:15:00Z".parse()?;
//! let store = Store::open(folder.path(), now).await?;
//! assert_eq!(store.studio().await?, None);
//! assert!(store.journal_verify(None).await?.holds());
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! # })?;
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! - [`store`]: the folder, its database and its lock
//! - [`error`]: what can go wrong, by what the caller may do about it
//! - [`journal`]: the chain, and the contents beside it
//! - [`studio`], [`session`], [`person`]: what she edits
//! - [`change`], [`import`]: every edit can be taken back; bookings that come in from elsewhere
//! - [`letter`], [`answer`]: what families were told, and what they said
//! - [`ruling`], [`record`]: where sessions stood, and what every reading said
//! - [`field_event`]: what phones handed in from the field, and the sheets they had
//! - [`notice`], [`push_subscription`]: what she was told, and where it can go
//! - [`kit`]: what is in the car already
//! - [`setting`], [`sign_in`]: the program's own
//! - [`erase`]: a family is forgotten
//! - [`mod@backup`], [`mod@restore`]: the whole folder, there and back

pub mod answer;
pub mod backup;
pub mod change;
pub mod erase;
pub mod error;
pub mod field_event;
pub mod import;
pub mod journal;
pub mod kit;
pub mod letter;
pub mod notice;
pub mod person;
pub mod push_subscription;
pub mod record;
pub mod restore;
pub mod ruling;
pub mod session;
pub mod setting;
pub mod sign_in;
pub mod store;
pub mod studio;

mod archive;
mod document;
mod private;
mod values;

pub use backup::{Manifest, backup};
pub use change::{ChangeId, Restored, Undone};
pub use erase::Erased;
pub use error::StoreError;
pub use field_event::{AddedFieldEvents, KeptFieldLog, TakenFieldLog};
pub use import::Imported;
pub use journal::KeptEntry;
pub use letter::Draft;
pub use notice::{Delivery, Told};
pub use push_subscription::PushSubscription;
pub use restore::restore;
pub use ruling::KeptRuling;
pub use sign_in::{SignIn, SignInId};
pub use store::Store;
