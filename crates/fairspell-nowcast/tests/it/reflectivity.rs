//! Reflectivity against published pairs.

use fairspell_nowcast::ZR;
use proptest::prelude::*;

/// The Finnish service's relation 223 R^1.53 in its own half-dB bytes, rain rates to three decimals
/// as tabulated with its composites of 2016-09-28.
const FINNISH: [(f64, f64); 6] =
    [(16.0, 0.324), (10.0, 0.131), (49.0, 46.534), (4.0, 0.053), (4.5, 0.057), (57.0, 155.114)];

#[test]
fn rain_rates_agree_with_the_tabulated_ones() {
    let relation: ZR = "223,1.53".parse().unwrap();
    for (dbz, expected) in FINNISH {
        let rate = relation.rain_rate_mm_h(dbz);
        assert!((rate - expected).abs() <= 0.0005, "{dbz} dBZ: {rate} mm/h");
    }
    // 0.1 mm/h is 8.18 dBZ there, to two decimals.
    assert!((relation.rain_rate_mm_h(8.18) - 0.1).abs() < 1e-4);
}

#[test]
fn a_relation_without_two_numbers_above_zero_is_refused() {
    for text in ["", "200", "200,", "200;1.6", "0,1.6", "200,-1", "nan,1.6", "200,inf", "a,b"] {
        assert!(text.parse::<ZR>().is_err(), "{text}");
    }
    assert_eq!(" 200 , 1.6 ".parse(), Ok(ZR::default()));
}

proptest! {
    #[test]
    fn more_echo_is_never_less_rain(dbz in -40.0..80.0, a in 50.0..500.0, b in 1.0..2.5) {
        let relation = ZR::new(a, b).unwrap();
        prop_assert!(relation.rain_rate_mm_h(dbz + 0.5) > relation.rain_rate_mm_h(dbz));
    }
}

#[test]
fn what_was_not_measured_stays_so() {
    assert!(ZR::default().rain_rate_mm_h(f64::NAN).is_nan());
}
