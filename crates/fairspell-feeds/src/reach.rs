//! Where nothing is ever fetched from: this machine, private networks, addresses that are nobody's.
//!
//! A service that was taken over, or a mistake in its settings, may redirect to an address inside the
//! home network, where printers and routers trust whoever asks. So every address is checked before
//! it is gone to, and every name again when it is resolved.

use std::net::{IpAddr, Ipv4Addr, Ipv6Addr};

use reqwest::{
    Url,
    dns::{Addrs, Name, Resolve, Resolving},
};

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
    // A literal address never reaches the resolver.
    let host = url.host_str().ok_or(Astray::NoAddress)?;
    match host.trim_start_matches('[').trim_end_matches(']').parse::<IpAddr>() {
        Ok(address) if !is_public(address) => Err(Astray::NotPublic),
        _ => Ok(()),
    }
}

/// Whether an address is on the public network.
///
/// # Source
///
/// IANA's registries of special-purpose addresses for IPv4 and IPv6 (RFC 6890).
pub fn is_public(address: IpAddr) -> bool {
    match address {
        IpAddr::V4(address) => is_public_v4(address),
        IpAddr::V6(address) => is_public_v6(address),
    }
}

fn is_public_v4(address: Ipv4Addr) -> bool {
    let [a, b, c, _] = address.octets();
    !(a == 0
        || address.is_private()
        || (a == 100 && (64..128).contains(&b)) // shared by carriers
        || address.is_loopback()
        || address.is_link_local()
        || (a, b, c) == (192, 0, 0)
        || address.is_documentation()
        || (a, b, c) == (192, 88, 99) // relays, no longer in use
        || (a == 198 && (b == 18 || b == 19)) // benchmarks
        || a >= 224) // multicast, reserved, broadcast
}

fn is_public_v6(address: Ipv6Addr) -> bool {
    let segments = address.segments();
    if let Some(inside) = address.to_ipv4_mapped() {
        return is_public_v4(inside);
    }
    // Addresses that carry an IPv4 address: translated ones (64:ff9b::/96) and 6to4 (2002::/16).
    if segments[..6] == [0x64, 0xff9b, 0, 0, 0, 0] {
        return is_public_v4(v4_of(segments[6], segments[7]));
    }
    if segments[0] == 0x2002 {
        return is_public_v4(v4_of(segments[1], segments[2]));
    }
    // Only 2000::/3 is given out; in it 2001::/23 is for protocols, 2001:db8::/32 and 3fff::/20 for
    // documentation.
    let given_out = segments[0] & 0xe000 == 0x2000;
    let for_protocols = segments[0] == 0x2001 && segments[1] < 0x200;
    let for_documents = (segments[0], segments[1]) == (0x2001, 0xdb8)
        || (segments[0] == 0x3fff && segments[1] < 0x1000);
    given_out && !for_protocols && !for_documents
}

fn v4_of(high: u16, low: u16) -> Ipv4Addr {
    Ipv4Addr::from_bits(u32::from(high) << 16 | u32::from(low))
}

/// A name that leads to no public address.
#[derive(Debug, thiserror::Error)]
#[error("the name leads to no public address")]
pub(crate) struct NotPublic;

/// Resolves names to their public addresses alone.
#[derive(Debug)]
pub(crate) struct PublicResolver;

impl Resolve for PublicResolver {
    fn resolve(&self, name: Name) -> Resolving {
        Box::pin(async move {
            let found = tokio::net::lookup_host((name.as_str(), 0)).await?;
            let public: Vec<_> = found.filter(|address| is_public(address.ip())).collect();
            if public.is_empty() {
                return Err(NotPublic.into());
            }
            let addresses: Addrs = Box::new(public.into_iter());
            Ok(addresses)
        })
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
