use fairspell_ground::{Skyline, SkylineSector};
use proptest::prelude::*;

pub(crate) fn sector(from_azimuth_deg: f64, to_azimuth_deg: f64, height_deg: f64) -> SkylineSector {
    SkylineSector { from_azimuth_deg, to_azimuth_deg, height_deg }
}

pub(crate) fn check(skyline: &Skyline, azimuth_deg: f64, height_deg: f64) {
    let found_deg = skyline.height_deg(azimuth_deg);
    assert!((found_deg - height_deg).abs() < f64::EPSILON, "{found_deg}° at {azimuth_deg}°");
}

#[test]
fn a_stretch_may_reach_across_north_and_the_higher_one_counts() {
    let skyline = Skyline::new(vec![sector(340.0, 20.0, 6.0), sector(10.0, 30.0, 9.0)]);
    for (azimuth_deg, height_deg) in [
        (339.9, 0.0),
        (340.0, 6.0),
        (0.0, 6.0),
        (360.0, 6.0),
        (-5.0, 6.0),
        (10.0, 9.0),
        (25.0, 9.0),
        (30.1, 0.0),
        (180.0, 0.0),
    ] {
        check(&skyline, azimuth_deg, height_deg);
    }
}

#[test]
fn from_0_to_360_is_all_round() {
    let ring = Skyline::new(vec![sector(0.0, 360.0, 12.0)]);
    for azimuth_deg in [0.0, 90.0, 270.0, 360.0] {
        check(&ring, azimuth_deg, 12.0);
    }
}

#[test]
fn nonsense_counts_as_flat() {
    let skyline = Skyline::new(vec![
        sector(0.0, 360.0, -3.0),
        sector(0.0, 360.0, f64::NAN),
        sector(f64::NAN, 90.0, 5.0),
    ]);
    check(&skyline, 45.0, 0.0);
    check(&Skyline::new(vec![sector(0.0, 360.0, 3.0)]), f64::NAN, 3.0);
}

#[test]
fn a_skyline_is_a_plain_list_in_json() {
    let text = r#"[{"from_azimuth_deg":240.0,"to_azimuth_deg":295.0,"height_deg":8.0}]"#;
    let skyline: Skyline = serde_json::from_str(text).unwrap();
    assert_eq!(skyline.stretches(), [sector(240.0, 295.0, 8.0).into()]);
    assert_eq!(serde_json::to_string(&skyline).unwrap(), text);
    assert_eq!(serde_json::from_str::<Skyline>("[]").unwrap(), Skyline::default());
}

proptest! {
    #[test]
    fn turning_everything_round_changes_nothing(
        from in 0.0..=360.0_f64,
        width in 1.0..=359.0_f64,
        ahead in 0.01..=0.99_f64,
        turn in 0.0..=360.0_f64,
    ) {
        let skyline = |from: f64| {
            Skyline::new(vec![sector(from % 360.0, (from + width) % 360.0, 5.0)])
        };
        for (part, height_deg) in [(ahead * width, 5.0), (width + ahead * (360.0 - width), 0.0)] {
            check(&skyline(from), (from + part) % 360.0, height_deg);
            check(&skyline(from + turn), (from + turn + part) % 360.0, height_deg);
        }
    }
}
