//! Positions as people paste them.

use fairspell_web::place_input::{NotAPlace, read_position};
use proptest::prelude::*;

/// Reads as this point, to a tenth of a second of arc.
fn reads(text: &str, lat_deg: f64, lon_deg: f64) {
    let point = read_position(text).unwrap_or_else(|error| panic!("`{text}`: {error}"));
    let (dlat, dlon) = (point.lat_deg() - lat_deg, point.lon_deg() - lon_deg);
    assert!(dlat.abs() < 3e-5 && dlon.abs() < 3e-5, "`{text}` was read as {point}");
}

fn refused(text: &str, why: NotAPlace) {
    assert_eq!(read_position(text), Err(why), "`{text}`");
}

#[test]
fn examples_of_the_geo_standard_are_read() {
    // RFC 5870, sections 1, 6.1, 6.2 and 6.4.
    reads("geo:13.4125,103.8667", 13.4125, 103.8667);
    reads("geo:48.2010,16.3695,183", 48.2010, 16.3695);
    reads("geo:48.198634,16.371648;crs=wgs84;u=40", 48.198634, 16.371648);
    reads("geo:22.300,-118.44", 22.3, -118.44);
    reads("geo:66,30;u=6.500;FOo=this%2dthat", 66.0, 30.0);
    // Section 6.4: at a pole these two are the same place.
    assert_eq!(read_position("geo:90,-22.43;crs=WGS84"), read_position("geo:90,46"));
}

#[test]
fn what_the_geo_standard_forbids_is_refused() {
    // RFC 5870, section 9.1: a latitude of 94 degrees is invalid.
    refused("geo:94,0", NotAPlace::OutOfRange);
    refused("geo:48.2,16.3;crs=nad27", NotAPlace::OtherGrid);
    refused("geo:48.2", NotAPlace::Unreadable);
    refused("geo:48.2,16.3,1,2", NotAPlace::Unreadable);
    refused("geo:forty,16.3", NotAPlace::Unreadable);
}

#[test]
fn a_telephones_pin_counts_where_its_numbers_are_nought() {
    reads("geo:0,0?q=-31.7252,152.7741(Warm%20steps)", -31.7252, 152.7741);
    reads("geo:-31.7252,152.7741?z=17", -31.7252, 152.7741);
}

#[test]
fn decimal_degrees_are_read_in_every_usual_form() {
    for text in [
        "-31.7252, 152.7741",
        "-31.7252,152.7741",
        "-31.7252 152.7741",
        "-31.7252; 152.7741",
        "\u{2212}31.7252\u{a0}/ 152.7741",
        "(-31.7252, 152.7741)",
        "-31.7252°, 152.7741°",
        "-31.7252° 152.7741°",
        "31.7252 S 152.7741 E",
        "31.7252S,152.7741E",
        "S 31.7252, E 152.7741",
        "S31.7252 E152.7741",
        "152.7741 E, 31.7252 S",
        "31.7252° South, 152.7741° East",
        "Lat: -31.7252, Lon: 152.7741",
        "latitude=-31.7252 longitude=152.7741",
        "Longitude 152.7741; latitude -31.7252",
        "Lat 31.7252 S, Long 152.7741 E",
        "-31.7252+152.7741/",
    ] {
        reads(text, -31.7252, 152.7741);
    }
}

#[test]
fn a_comma_is_a_decimal_point_only_where_it_must_be() {
    reads("-31,7252, 152,7741", -31.7252, 152.7741);
    reads("-31,7252 152,7741", -31.7252, 152.7741);
    reads("-31,7252;152,7741", -31.7252, 152.7741);
    reads("-31,7252,152,7741", -31.7252, 152.7741);
    reads("52° 31,2' N, 13° 24,3' E", 52.52, 13.405);
    reads("-31,152", -31.0, 152.0);
    reads("-31, 152", -31.0, 152.0);
}

#[test]
fn degrees_minutes_and_seconds_are_read() {
    // 31 + 43/60 + 30.72/3600 = 31.7252; 152 + 46/60 + 26.76/3600 = 152.7741.
    for text in [
        "31°43'30.72\"S 152°46'26.76\"E",
        "31° 43′ 30.72″ S, 152° 46′ 26.76″ E",
        "S 31° 43' 30.72'' E 152° 46' 26.76''",
        "31º43’30.72”S152º46’26.76”E",
        "-31°43'30.72\", 152°46'26.76\"",
        "-31° 43' 30.72\" 152° 46' 26.76\"",
        "31 43 30.72 S 152 46 26.76 E",
        "-31 43 30.72, 152 46 26.76",
        "-31:43:30.72 152:46:26.76",
        "31 deg 43 min 30.72 sec S, 152 deg 46 min 26.76 sec E",
        "31°43.512'S 152°46.446'E",
    ] {
        reads(text, -31.7252, 152.7741);
    }
}

#[test]
fn a_sign_before_nought_degrees_is_kept() {
    reads("-0°30', -0°15'", -0.5, -0.25);
    reads("0°30'S 0°15'W", -0.5, -0.25);
}

#[test]
fn every_quarter_of_the_globe_is_told_apart() {
    reads("59.91 N, 10.75 E", 59.91, 10.75);
    reads("29.93 N, 81.3 W", 29.93, -81.3);
    reads("31.72 S, 152.79 E", -31.72, 152.79);
    reads("33.45 S, 70.66 W", -33.45, -70.66);
    reads("0, 0", 0.0, 0.0);
    reads("-16.5, 180", -16.5, 180.0);
    reads("90 N 0 E", 90.0, 0.0);
}

#[test]
fn the_links_of_maps_are_read() {
    for text in [
        "https://maps.example/maps/place/Steps/@-31.7252,152.7741,17z/data=!3m1",
        "https://maps.example/maps?q=-31.7252,152.7741",
        "https://maps.example/maps?q=loc:-31.7252+152.7741&z=16",
        "https://maps.example/?q=-31.7252%2C152.7741",
        "https://maps.example/?ll=-31.7252,152.7741&t=m",
        "https://maps.example/?api=1&query=-31.7252%2C152.7741",
        "https://maps.example/maps?cp=-31.7252~152.7741&lvl=16",
        "https://maps.example/?mlat=-31.7252&mlon=152.7741#map=17/-31.7/152.7",
        "https://maps.example/#map=17/-31.7252/152.7741",
        "https://maps.example/maps/place/-31.7252,152.7741",
        "https://maps.example/maps/search/-31.7252,+152.7741?entry=x",
        "https://maps.example/place/31%C2%B043'30.7%22S+152%C2%B046'26.8%22E/",
        "Meet here: https://maps.example/maps?q=-31.7252,152.7741",
        // What is marked counts before what is looked at.
        "https://maps.example/maps/place/X/@-31.70,152.70,15z/data=!8m2!3d-31.7252!4d152.7741!16s",
    ] {
        reads(text, -31.7252, 152.7741);
    }
}

#[test]
fn a_link_without_a_position_says_so() {
    refused("https://maps.example/abcDEF123", NotAPlace::LinkWithout);
    refused("https://maps.example/?q=Warm+steps", NotAPlace::LinkWithout);
    refused("https://maps.example/@999,999,17z", NotAPlace::LinkWithout);
    refused("https://", NotAPlace::LinkWithout);
}

#[test]
fn what_could_mean_two_places_is_refused() {
    for text in [
        "",
        "   ",
        "the beach",
        "31.7252",
        "1, 2, 3",
        "-31,152, 10",
        "-31,152 10",
        "31.7252 S 152.7741",
        "31.7252 S 152.7741 S",
        "-31.7252 S, 152.7741 E",
        "31.7252 N 31.7252 S 152 E",
        "31,7252 Sud 152,7741 O",
        "31°75'0\"S 152°46'0\"E",
        "31.5°43'S 152°46'E",
        "31°43'S 152°46'-5\"E",
        "43'31°S 46'152°E",
        "--31.7, 152.7",
        "31.7.2, 152.7",
        "1e1, 2e1",
        "inf, nan",
        "٣١, ١٥٢",
        "31.7 S 🙂 152.7 E",
        "<script>, 1",
    ] {
        refused(text, NotAPlace::Unreadable);
    }
    refused(&"1".repeat(5000), NotAPlace::Unreadable);
}

#[test]
fn what_lies_off_the_globe_is_told_apart_from_what_cannot_be_read() {
    refused("152.7741, -31.7252", NotAPlace::OutOfRange);
    refused("95 N, 10 E", NotAPlace::OutOfRange);
    refused("10, -181", NotAPlace::OutOfRange);
}

proptest! {
    #[test]
    fn a_shown_position_is_read_back_as_it_was(lat in -90.0..=90.0, lon in -180.0..=180.0) {
        let point = read_position(&format!("{lat}, {lon}")).unwrap();
        prop_assert_eq!((point.lat_deg(), point.lon_deg()), (lat, lon));
    }

    #[test]
    fn nothing_that_is_pasted_makes_it_panic(text in "\\PC{0,60}") {
        let _ = read_position(&text);
    }

    #[test]
    fn no_heap_of_pieces_makes_it_panic(
        pieces in prop::collection::vec(
            prop::sample::select(vec![
                "-", "31", "152.7", ",", " ", "°", "'", "\"", "S", "E", "lat", ".", ";", "\n",
                "geo:", "https://", "@", "q=", "!3d", "!4d", "?", "%", "%2", "map=", "/",
            ]),
            0..14,
        )
    ) {
        let _ = read_position(&pieces.concat());
    }
}
