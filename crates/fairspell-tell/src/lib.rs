//! Tells the photographer: e-mail to herself, and web push.
//!
//! What she is told is decided in `fairspell_studio::notice` and worded in `fairspell_words`; here it
//! goes out. A push message is encrypted for her browser alone and shows on a locked telephone, so
//! it carries the short words only; the e-mail carries all of them.
//!
//! ```
//! use fairspell_tell::next_try;
//! use jiff::Timestamp;
//!
//! // A mail server that was not there is asked again a minute later.
//! let failed_at: Timestamp = "2026-09-03T04:30:00Z".parse().expect("a moment");
//! let again = next_try(1, failed_at).expect("it was the first try");
//! assert_eq!(again.to_string(), "2026-09-03T04:31:00Z");
//! ```
//!
//! No clock, no dice: moments and random bytes come in as arguments.
//!
//! - [`deliver`](mod@deliver): each message once by each channel, and what became of it
//! - [`retry`]: when to try again, and when to stop
//! - [`mail`]: settings, message and sending by SMTP
//! - [`web_push`]: subscription, encryption, signature and sending
//! - [`error`]: what can go wrong, by what can be done about it

pub mod deliver;
pub mod error;
pub mod mail;
pub mod retry;
pub mod web_push;

pub use deliver::{Channel, Delivery, Message, Went, deliver};
pub use error::TellError;
pub use mail::MailSettings;
pub use retry::next_try;
pub use web_push::{Outcome, Subscription, VapidKey};
