//! E-mail from the studio to its owner, through her own mail server.
//!
//! - [`settings`]: the server, who signs in, from whom to whom
//! - [`message`](mod@message): the message as it goes out
//! - [`send`](mod@send): handing it to the server

pub mod message;
pub mod send;
pub mod settings;

pub use message::message;
pub use send::send;
pub use settings::{MailSettings, Mailbox, Security};
