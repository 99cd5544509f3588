//! Which addresses are public.
//!
//! An endpoint is foreign text. Without this check it could make the studio post into its own
//! network: to the router, to a printer, to itself.

use std::{
    net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr},
    sync::Arc,
};

use reqwest::{
    Url,
    dns::{Addrs, Name, Resolve, Resolving},
};

/// Whether a URL's host can be a public one: an address of the open internet, or a name that is
/// neither this machine's nor a house's own.
pub fn has_public_host(url: &Url) -> bool {
    let Some(host) = url.host_str() else { return false };
    let literal = host.trim_start_matches('[').trim_end_matches(']');
    if let Ok(address) = literal.parse::<IpAddr>() {
        return is_public(address);
    }
    let name = host.trim_end_matches('.').to_ascii_lowercase();
    let own = ["localhost", "local", "internal", "lan", "home", "arpa", "test", "invalid"];
    match name.rsplit_once('.') {
        None => false,
        Some((_, last)) => !own.contains(&last),
    }
}

/// Whether an address belongs to the open internet.
///
/// # Source
///
/// IANA special-purpose address registries (RFC 6890); addresses that hold an IPv4 address inside
/// (mapped, NAT64, 6to4) count as that one.
pub fn is_public(address: IpAddr) -> bool {
    match address {
        IpAddr::V4(address) => is_public_v4(address),
        IpAddr::V6(address) => is_public_v6(address),
    }
}

fn is_public_v4(address: Ipv4Addr) -> bool {
    let [a, b, c, _] = address.octets();
    let is_shared = a == 100 && (64..128).contains(&b);
    let is_protocol = (a, b, c) == (192, 0, 0) || (a, b, c) == (192, 88, 99);
    let is_benchmark = a == 198 && (b == 18 || b == 19);
    !(a == 0
        || a >= 240
        || address.is_private()
        || address.is_loopback()
        || address.is_link_local()
        || address.is_documentation()
        || address.is_multicast()
        || is_shared
        || is_protocol
        || is_benchmark)
}

fn is_public_v6(address: Ipv6Addr) -> bool {
    let parts = address.segments();
    let inner = |high: u16, low: u16| {
        let ([a, b], [c, d]) = (high.to_be_bytes(), low.to_be_bytes());
        is_public_v4(Ipv4Addr::new(a, b, c, d))
    };
    match parts {
        [0, 0, 0, 0, 0, 0xffff, high, low] | [0x64, 0xff9b, 0, 0, 0, 0, high, low] => {
            inner(high, low)
        }
        [0x2002, high, low, ..] => inner(high, low),
        // Protocol assignments (Teredo among them) and documentation.
        [0x2001, 0..0x200 | 0xdb8, ..] | [0x3fff, 0..0x1000, ..] => false,
        // All that is given out so far.
        [first, ..] => (0x2000..0x4000).contains(&first),
    }
}

/// Looks names up and keeps public addresses only: a public name may lead into the house.
#[derive(Debug, Clone, Copy)]
struct PublicOnly;

impl Resolve for PublicOnly {
    fn resolve(&self, name: Name) -> Resolving {
        Box::pin(async move {
            let found = tokio::net::lookup_host((name.as_str(), 0)).await?;
            let public: Vec<SocketAddr> = found.filter(|address| is_public(address.ip())).collect();
            if public.is_empty() {
                return Err(format!("{} has no public address", name.as_str()).into());
            }
            let addresses: Addrs = Box::new(public.into_iter());
            Ok(addresses)
        })
    }
}

/// The resolver that keeps public addresses only.
pub(crate) fn public_only() -> Arc<impl Resolve + 'static> {
    Arc::new(PublicOnly)
}
