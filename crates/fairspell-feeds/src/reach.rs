//! Where nothing is ever fetched from: this machine, private networks, addresses that are nobody's.
//!
//! A service that was taken over, or a mistake in its settings, may redirect to an address inside the
//! home network. So every address is checked before it is gone to, and every name again when it is
//! resolved (`fairspell_reach`).

use fairspell_reach::{is_public, literal_address};
use reqwest::Url;

use crate::fetched::Astray;

/// Which hosts may be asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Reach {
    /// Those on the public network.
    #[default]
    Public,
    /// Also the host that stands in the feed's own address, wherever it is; redirects still lead to
    /// it or to the public network alone. For tests, and for a server at home.
    FeedsOwnHost,
}

/// Why an address is not gone to, if it is not.
///
/// - `before`: the address that led here; an answer over `https` leads to `https` only.
pub(crate) fn check(url: &Url, before: Option<&Url>) -> Result<(), Astray> {
    let steps_down = before.is_some_and(|before| before.scheme() == "https");
    match url.scheme() {
        "https" => {}
        "http" if !steps_down => {}
        _ => return Err(Astray::Scheme),
    }
    if !url.username().is_empty() || url.password().is_some() {
        return Err(Astray::Credentials);
    }
    if url.host_str().is_none() {
        return Err(Astray::NoAddress);
    }
    match literal_address(url) {
        Some(address) if !is_public(address) => Err(Astray::NotPublic),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_answer_over_https_leads_to_https_only() {
        let url = |text: &str| Url::parse(text).unwrap();
        let (open, closed) = (url("http://example.org/"), url("https://example.org/"));
        assert_eq!(check(&open, Some(&closed)), Err(Astray::Scheme));
        assert_eq!(check(&open, Some(&open)), Ok(()));
        assert_eq!(check(&closed, Some(&open)), Ok(()));
        assert_eq!(check(&open, None), Ok(()));
    }
}
