//! What can go wrong, by what can be done about it.

/// Why something could not be told, or not be set up.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum TellError {
    /// The browser's subscription cannot be as it came. Subscribe again.
    #[error("the push subscription's {what} cannot be used: {why}")]
    Subscription {
        /// Which part.
        what: &'static str,
        /// Why not.
        why: String,
    },
    /// The bytes are no private key of the curve. Draw others.
    #[error("these 32 bytes are no key of the curve P-256")]
    Key,
    /// The contact that push services ask for is no `mailto:` or `https:` address.
    #[error("the contact `{0}` is neither mailto: nor https:")]
    Contact(String),
    /// The text does not fit into one push message.
    #[error("{bytes} bytes are more than the {most} that fit into one push message")]
    TooLong {
        /// Its length.
        bytes: usize,
        /// The most that fits.
        most: usize,
    },
    /// The means of sending could not be set up.
    #[error("set up sending: {0}")]
    Client(String),
    /// A mail setting cannot be as written.
    #[error("the mail setting `{what}` cannot be `{value}`")]
    MailSetting {
        /// Which.
        what: &'static str,
        /// Its value as written; never a password.
        value: String,
    },
    /// Only this machine may be spoken to without encryption.
    #[error("mail to {host} without encryption would be readable on the way")]
    MailInTheOpen {
        /// The server.
        host: String,
    },
    /// Nobody answers there, or not in time. Try again.
    #[error("cannot reach {host}, port {port}")]
    CannotReach {
        /// The server.
        host: String,
        /// Its port.
        port: u16,
    },
    /// The server's certificate or its encryption is not what the settings ask for.
    #[error("no secure connection to {host}: {why}")]
    NotSecure {
        /// The server.
        host: String,
        /// What the other side of it says.
        why: String,
    },
    /// The server does not take user and password. Mend the settings.
    #[error("refused sign-in: {0}")]
    SignIn(String),
    /// The server does not take the sender's or the receiver's address. Mend the settings.
    #[error("refused address: {0}")]
    Address(String),
    /// The server is busy. Try again.
    #[error("the mail server asks to try later: {0}")]
    Later(String),
    /// The server says no for another reason.
    #[error("the mail server refused: {0}")]
    Refused(String),
}

impl TellError {
    /// Whether the same may go well a little later, with nothing changed.
    pub fn is_passing(&self) -> bool {
        matches!(self, TellError::CannotReach { .. } | TellError::Later(_))
    }
}
