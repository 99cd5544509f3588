//! Which addresses are public.

use std::net::{IpAddr, Ipv4Addr, Ipv6Addr};

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
