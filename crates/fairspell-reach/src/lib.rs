//! Keeps requests on the public network.
//!
//! Addresses come from outside: a service redirects, a browser names where its messages go. Whoever
//! writes one could make the studio's machine ask its own network, where printers and routers trust
//! whoever asks. So an address is looked at before it is gone to, and a name again when it is
//! resolved, because a public name may lead into the house.
//!
//! ```
//! use fairspell_reach::is_public;
//!
//! assert!(is_public("1.1.1.1".parse()?));
//! assert!(!is_public("192.168.1.1".parse()?), "the router");
//! assert!(!is_public("::ffff:127.0.0.1".parse()?), "this machine, in another spelling");
//! # Ok::<(), std::net::AddrParseError>(())
//! ```
//!
//! - [`address`]: which addresses are public
//! - [`host`]: which hosts a URL may name
//! - [`resolver`]: names, resolved to public addresses alone

pub mod address;
pub mod host;
pub mod resolver;

pub use address::is_public;
pub use host::{has_public_host, literal_address};
pub use resolver::{NotPublic, PublicResolver};
