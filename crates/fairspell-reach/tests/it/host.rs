use fairspell_reach::has_public_host;
use reqwest::Url;

#[test]
fn a_host_of_the_house_is_not_public_however_it_is_written() {
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
