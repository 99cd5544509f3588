//! The mail server, who signs in there, from whom and to whom.

use std::{fmt, net::IpAddr};

use lettre::Address;
use serde::{Deserialize, Serialize};

use crate::TellError;

/// How the way to the mail server is kept private.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Security {
    /// Encrypted from the first byte (usually port 465).
    Tls,
    /// Encrypted before anything is said, or not at all (usually port 587).
    StartTls,
    /// Not encrypted: only to this machine itself.
    None,
}

/// A person's name and address.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mailbox {
    /// The name, in any script; it may be empty.
    #[serde(default)]
    pub name: String,
    /// The address.
    pub address: String,
}

/// Everything that sending needs.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MailSettings {
    /// The mail server's name.
    pub host: String,
    /// Its port.
    pub port: u16,
    /// How the way there is kept private.
    pub security: Security,
    /// Who signs in; empty where nobody has to.
    #[serde(default)]
    pub user: String,
    /// With what.
    #[serde(default)]
    pub password: String,
    /// From whom.
    pub from: Mailbox,
    /// To whom: the photographer herself.
    pub to: Mailbox,
}

impl fmt::Debug for MailSettings {
    /// All but the password.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("MailSettings")
            .field("host", &self.host)
            .field("port", &self.port)
            .field("security", &self.security)
            .field("user", &self.user)
            .field("from", &self.from)
            .field("to", &self.to)
            .finish_non_exhaustive()
    }
}

impl MailSettings {
    /// Checks settings as somebody typed them.
    ///
    /// # Errors
    ///
    /// [`TellError::MailSetting`] for a host, port or address that cannot be,
    /// [`TellError::MailInTheOpen`] for another machine without encryption.
    pub fn check(&self) -> Result<(), TellError> {
        let no = |what, value: &str| TellError::MailSetting { what, value: value.to_owned() };
        let is_name = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '_' | ':');
        if self.host.is_empty() || !self.host.chars().all(is_name) {
            return Err(no("host", &self.host));
        }
        if self.port == 0 {
            return Err(no("port", "0"));
        }
        if self.security == Security::None && !is_this_machine(&self.host) {
            return Err(TellError::MailInTheOpen { host: self.host.clone() });
        }
        self.from.checked("from")?;
        self.to.checked("to")?;
        Ok(())
    }
}

fn is_this_machine(host: &str) -> bool {
    host.eq_ignore_ascii_case("localhost")
        || host.parse::<IpAddr>().is_ok_and(|address| address.is_loopback())
}

impl Mailbox {
    /// As a header carries it: the name on one line, without control characters.
    pub(crate) fn checked(
        &self,
        what: &'static str,
    ) -> Result<lettre::message::Mailbox, TellError> {
        let address: Address = self
            .address
            .trim()
            .parse()
            .map_err(|_| TellError::MailSetting { what, value: self.address.clone() })?;
        let name = on_one_line(&self.name);
        Ok(lettre::message::Mailbox::new((!name.is_empty()).then_some(name), address))
    }
}

/// Foreign text for a header: a line end in it would begin a header of its own.
pub(crate) fn on_one_line(text: &str) -> String {
    let blank = |c: char| if c.is_control() { ' ' } else { c };
    text.chars().map(blank).collect::<String>().split_whitespace().collect::<Vec<_>>().join(" ")
}
