//! Which hosts a URL may name.

use std::net::IpAddr;

use reqwest::Url;

use crate::is_public;

/// Endings of names that are this machine's or a house's own, or that nobody has (RFC 6761, 6762,
/// 8375, and what routers use).
const OWN: [&str; 8] = ["localhost", "local", "internal", "lan", "home", "arpa", "test", "invalid"];

/// Whether a URL's host can be a public one: an address of the public network, or a name that is
/// neither this machine's nor a house's own. Where such a name leads is seen when it is resolved.
pub fn has_public_host(url: &Url) -> bool {
    let Some(host) = url.host_str() else { return false };
    if let Some(address) = literal_address(url) {
        return is_public(address);
    }
    let name = host.trim_end_matches('.').to_ascii_lowercase();
    name.rsplit_once('.').is_some_and(|(_, last)| !OWN.contains(&last))
}

/// The address that a URL names without a name: such a one never reaches a resolver.
pub fn literal_address(url: &Url) -> Option<IpAddr> {
    url.host_str()?.trim_start_matches('[').trim_end_matches(']').parse().ok()
}
