use fairspell_tell::web_push::address::{has_public_host, is_public};
use reqwest::Url;

/// IANA special-purpose address registries (RFC 6890 and its updates): none of these is reachable
/// from the open internet, or each leads to one that is not.
const NOT_PUBLIC: [&str; 31] = [
    "0.0.0.0",
    "10.0.0.1",
    "100.64.0.1",
    "127.0.0.1",
    "127.255.255.254",
    "169.254.169.254",
    "172.16.0.1",
    "172.31.255.255",
    "192.0.0.8",
    "192.0.2.1",
    "192.88.99.1",
    "192.168.1.1",
    "198.18.0.1",
    "198.51.100.1",
    "203.0.113.1",
    "224.0.0.1",
    "240.0.0.1",
    "255.255.255.255",
    "::",
    "::1",
    "::ffff:127.0.0.1",
    "64:ff9b::a00:1",
    "100::1",
    "2001::1",
    "2001:db8::1",
    "2002:7f00:1::1",
    "3fff::1",
    "fc00::1",
    "fd12:3456::1",
    "fe80::1",
    "ff02::1",
];

#[test]
fn addresses_of_the_house_are_not_public() {
    for address in NOT_PUBLIC {
        assert!(!is_public(address.parse().unwrap()), "{address}");
    }
}

#[test]
fn addresses_beside_them_are() {
    for address in [
        "1.1.1.1",
        "9.255.255.255",
        "11.0.0.0",
        "100.63.255.255",
        "100.128.0.0",
        "172.15.255.255",
        "172.32.0.0",
        "198.17.255.255",
        "198.20.0.0",
        "223.255.255.255",
        "::ffff:1.1.1.1",
        "64:ff9b::101:101",
        "2001:4860:4860::8888",
        "2606:4700::1111",
    ] {
        assert!(is_public(address.parse().unwrap()), "{address}");
    }
}

#[test]
fn an_endpoint_leads_out_of_the_house_however_its_host_is_written() {
    for (endpoint, expected) in [
        ("https://push.example.net/p", true),
        ("https://push.example.net./p", true),
        ("https://1.1.1.1/p", true),
        ("https://localhost/p", false),
        ("https://localhost./p", false),
        ("https://LOCALHOST/p", false),
        ("https://me.localhost/p", false),
        ("https://printer/p", false),
        ("https://printer.local/p", false),
        ("https://router.home.arpa/p", false),
        ("https://127.0.0.1/p", false),
        ("https://127.1/p", false),
        ("https://2130706433/p", false),
        ("https://0x7f000001/p", false),
        ("https://0177.0.0.1/p", false),
        ("https://[::1]/p", false),
        ("https://[::ffff:7f00:1]/p", false),
        ("https://192.168.0.10:8443/p", false),
    ] {
        assert_eq!(has_public_host(&Url::parse(endpoint).unwrap()), expected, "{endpoint}");
    }
}
