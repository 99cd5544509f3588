//! Who asks, as every service is told.

use serde::{Deserialize, Serialize};

/// Who asks: the program, and how to reach whoever runs it.
///
/// Services ask for both, so that they can say a word before they shut somebody out. Without a
/// contact some answer with 403.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Identity {
    /// The program and its version, such as `fairspell/0.1.0`.
    pub product: String,
    /// A mail address or a web address.
    pub contact: Option<String>,
}

impl Identity {
    /// The one `User-Agent` field that goes with every request.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_feeds::Identity;
    ///
    /// let contact = Some("me@example.org".to_owned());
    /// let identity = Identity { product: "fairspell/0.1.0".to_owned(), contact };
    /// assert_eq!(identity.user_agent(), "fairspell/0.1.0 (me@example.org)");
    /// ```
    ///
    /// # Source
    ///
    /// RFC 9110, sections 10.1.5 and 5.6.5: a product, then a comment in parentheses. What a comment
    /// cannot hold is left out.
    pub fn user_agent(&self) -> String {
        let clean = |text: &str| -> String {
            let fits = |c: &char| (c.is_ascii_graphic() || *c == ' ') && !"()\\".contains(*c);
            text.chars().filter(fits).collect::<String>().trim().to_owned()
        };
        let product = clean(&self.product);
        match self.contact.as_deref().map(clean).filter(|contact| !contact.is_empty()) {
            Some(contact) => format!("{product} ({contact})"),
            None => product,
        }
    }
}
