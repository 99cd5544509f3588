use fairspell_feeds::{Feed, From, Identity, feed::address_for, presets};
use fairspell_ground::LatLon;

/// MET Norway's terms: at most four decimals, cut. Zeros at the end are left out, since the US
/// service redirects for them.
#[test]
fn coordinates_are_cut_and_never_rounded() {
    let check = |lat: f64, lon: f64, decimals: u8, expected: &str| {
        let place = LatLon::new(lat, lon).unwrap();
        assert_eq!(address_for("{lat},{lon}", place, decimals), expected);
    };
    check(29.9321, -81.321, 4, "29.9321,-81.321");
    check(29.93219, -81.32199, 4, "29.9321,-81.3219");
    check(0.00009, -0.00009, 4, "0,0");
    check(-31.0, 152.0, 4, "-31,152");
    check(59.91273, 10.74609, 2, "59.91,10.74");
    check(59.91273, 10.74609, 0, "59,10");
}

#[test]
fn presets_follow_the_place() {
    let ids = |lat, lon| -> Vec<String> {
        presets(LatLon::new(lat, lon).unwrap()).into_iter().map(|feed| feed.id).collect()
    };
    let everywhere = ["met-forecast"];
    let beyond = ["nws-forecast", "met-forecast", "nws-alerts"];
    let conterminous = ["nws-forecast", "met-forecast", "nws-alerts", "mrms-rain"];
    assert_eq!(ids(-31.72, 152.79), everywhere);
    assert_eq!(ids(29.9321, -81.321), conterminous);
    assert_eq!(ids(61.2, -149.9), beyond, "Anchorage");
    assert_eq!(ids(52.8, 173.2), beyond, "Attu, west of the 180th meridian");
    assert_eq!(ids(21.3, -157.8), beyond, "Honolulu");
    assert_eq!(ids(18.4, -66.1), beyond, "San Juan");
}

#[test]
fn a_feed_is_written_and_read_again() {
    for feed in presets(LatLon::new(29.9321, -81.321).unwrap()) {
        let text = serde_json::to_string(&feed).unwrap();
        assert_eq!(serde_json::from_str::<Feed>(&text).unwrap(), feed);
    }
    let text = r#"{"id": "home", "kind": "radar", "source": "my own",
        "from": {"folder": "incoming"}, "every_min": 5}"#;
    let feed: Feed = serde_json::from_str(text).unwrap();
    assert_eq!((feed.from, feed.decimals), (From::Folder("incoming".into()), 4));
}

#[test]
fn a_contact_cannot_add_a_field_to_a_request() {
    let contact = Some("me@example.org\r\nCookie: (a)\u{fc}".to_owned());
    let identity = Identity { product: "fairspell/0.1.0".to_owned(), contact };
    assert_eq!(identity.user_agent(), "fairspell/0.1.0 (me@example.orgCookie: a)");
}
