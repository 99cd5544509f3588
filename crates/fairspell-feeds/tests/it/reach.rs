use std::net::IpAddr;

use fairspell_feeds::reach::is_public;

/// IANA's registries of special-purpose addresses: the blocks that are not globally reachable, first
/// and last address of each, and the neighbours outside.
#[test]
fn special_purpose_addresses_are_not_public() {
    let check = |addresses: &[&str], expected: bool| {
        for text in addresses {
            let address: IpAddr = text.parse().unwrap();
            assert_eq!(is_public(address), expected, "{text}");
        }
    };
    check(
        &[
            "0.0.0.0",
            "0.255.255.255",
            "10.0.0.0",
            "10.255.255.255",
            "100.64.0.0",
            "100.127.255.255",
            "127.0.0.1",
            "127.255.255.255",
            "169.254.0.0",
            "169.254.255.255",
            "172.16.0.0",
            "172.31.255.255",
            "192.0.0.0",
            "192.0.2.1",
            "192.168.0.0",
            "192.168.255.255",
            "198.18.0.0",
            "198.19.255.255",
            "198.51.100.7",
            "203.0.113.9",
            "224.0.0.1",
            "240.0.0.0",
            "255.255.255.255",
        ],
        false,
    );
    check(
        &[
            "1.1.1.1",
            "9.255.255.255",
            "11.0.0.0",
            "100.63.255.255",
            "100.128.0.0",
            "126.255.255.255",
            "128.0.0.0",
            "169.253.255.255",
            "169.255.0.0",
            "172.15.255.255",
            "172.32.0.0",
            "192.167.255.255",
            "192.169.0.0",
            "198.17.255.255",
            "198.20.0.0",
            "223.255.255.255",
        ],
        true,
    );
    check(
        &[
            "::",
            "::1",
            "::ffff:10.0.0.1",
            "::ffff:127.0.0.1",
            "64:ff9b::7f00:1",
            "100::1",
            "2001::1",
            "2001:db8::1",
            "2002:7f00:1::",
            "3fff::1",
            "fc00::1",
            "fd12:3456::1",
            "fe80::1",
            "ff02::1",
        ],
        false,
    );
    check(&["2606:4700:4700::1111", "2a00:1450::1", "::ffff:1.1.1.1", "64:ff9b::101:101"], true);
}
