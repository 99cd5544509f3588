use fairspell_nowcast::level::{DRY, WET_MIN, from_rain_rate};

#[test]
fn wet_begins_at_a_tenth_of_a_millimetre_an_hour() {
    assert!(from_rain_rate(0.1) >= WET_MIN);
    assert_eq!(from_rain_rate(0.0999), DRY);
    assert_eq!(from_rain_rate(1.0), 0.0);
}

#[test]
fn what_is_not_measured_stays_unknown() {
    assert!(from_rain_rate(f32::NAN).is_nan());
    assert!(from_rain_rate(f32::INFINITY).is_nan());
}
