//! Exposure, sharpness and movement against published forms and the exposure tables.

use fairspell_light::{
    Camera, Doing, SettingLimit, depth_of_field, exposure_value_100, motion_blur_mm, settings,
};
use proptest::prelude::*;

#[derive(Debug, serde::Deserialize)]
struct DofRow {
    f_mm: f64,
    #[serde(rename = "N")]
    n: f64,
    coc_mm: f64,
    subject_mm: f64,
    hyperfocal_mm: f64,
    near_mm: f64,
    far_mm: String,
    total_mm: String,
}

/// The table is rounded to a tenth of a millimetre.
#[test]
fn depth_of_field_agrees_with_the_table() {
    let csv = include_bytes!("../reference/dof.csv");
    let mut count = 0;
    for row in csv::Reader::from_reader(csv.as_slice()).deserialize() {
        let row: DofRow = row.unwrap();
        let sharp = depth_of_field(row.f_mm, row.n, row.subject_mm / 1000.0, row.coc_mm).unwrap();
        assert!((sharp.hyperfocal_m * 1000.0 - row.hyperfocal_mm).abs() <= 0.051, "{row:?}");
        assert!((sharp.near_m * 1000.0 - row.near_mm).abs() <= 0.051, "{row:?}");
        match row.far_mm.parse::<f64>() {
            Ok(far_mm) if far_mm.is_finite() => {
                assert!((sharp.far_m.unwrap() * 1000.0 - far_mm).abs() <= 0.051, "{row:?}");
                let total_mm: f64 = row.total_mm.parse().unwrap();
                assert!((sharp.total_m().unwrap() * 1000.0 - total_mm).abs() <= 0.1, "{row:?}");
            }
            _ => assert_eq!(sharp.far_m, None, "{row:?}"),
        }
        count += 1;
    }
    assert_eq!(count, 8);
}

#[test]
fn what_no_lens_does_has_no_depth() {
    for (f_mm, n, distance_m) in [
        (85.0, 2.0, 0.085),
        (85.0, 2.0, 0.0),
        (0.0, 2.0, 3.0),
        (85.0, 0.0, 3.0),
        (85.0, 2.0, f64::NAN),
    ] {
        assert_eq!(depth_of_field(f_mm, n, distance_m, 0.03), None, "{f_mm} {n} {distance_m}");
    }
    let beyond = depth_of_field(24.0, 8.0, 3.0, 0.03).unwrap();
    assert_eq!(beyond.far_m, None, "focused beyond the hyperfocal distance of 2.4 m");
}

/// Worked in the reference sheet: a walk of 1.4 m/s across, 1/250 s, 85 mm at 3 m.
#[test]
fn a_walk_smears_a_sixth_of_a_millimetre() {
    let smear_mm = motion_blur_mm(1.4, 1.0 / 250.0, 85.0, 3.0).unwrap();
    assert!((smear_mm - 0.163).abs() < 0.0005);
    assert_eq!(motion_blur_mm(1.4, 1.0 / 250.0, 85.0, 0.08), None);
}

/// The trade's table: at f/2 and 1/250 s EV 10 asks for ISO 100, EV 7 for 800, EV 5 for 3200.
#[test]
fn values_of_marked_settings_are_those_of_the_exposure_tables() {
    for (ev, iso) in [(10.0, 100), (7.0, 800), (5.0, 3200)] {
        assert!((exposure_value_100(1.0 / 250.0, 2.0, iso) - ev).abs() < 0.01);
    }
    // Sunny sixteen: f/16 at 1/125 s is 15.
    assert!((exposure_value_100(1.0 / 125.0, 16.0, 100) - 15.0).abs() < 0.01);
}

#[test]
fn low_sun_shade_and_dusk_have_settings_that_a_photographer_would_choose() {
    let camera = Camera::default();
    let standing = |ev100| settings(ev100, Doing::Standing, 85.0, 3.0, &camera).unwrap();
    let low_sun = standing(13.0);
    assert_eq!((low_sun.f_number, low_sun.iso), (2.0, 100));
    assert!((low_sun.shutter_s - 1.0 / 2000.0).abs() < 1e-9);
    let shade = standing(10.0);
    assert_eq!((shade.f_number, shade.iso), (2.0, 100));
    let late = standing(5.0);
    assert_eq!((late.f_number, late.iso, late.limits.len()), (1.8, 2000, 0));
    let blue = standing(2.0);
    assert_eq!(blue.iso, 3200);
    let [SettingLimit::TooDark { stops }] = blue.limits[..] else { panic!("{blue:?}") };
    assert!((stops - 2.33).abs() < 0.02, "{stops}");
    // White sand in the sun, at f/2: the shortest time is too long.
    let [SettingLimit::TooBright { stops }] = standing(16.0).limits[..] else { panic!("bright") };
    assert!((stops - 1.0).abs() < 0.02, "{stops}");
}

#[test]
fn a_group_stays_sharp_and_a_twirl_is_short() {
    let camera = Camera::default();
    let group = settings(8.0, Doing::Group, 50.0, 5.0, &camera).unwrap();
    assert!(group.f_number >= 4.0 && group.depth_of_field.total_m().unwrap() > 1.0);
    let twirl = settings(8.0, Doing::Twirl, 85.0, 5.0, &camera).unwrap();
    assert!(twirl.shutter_s <= 1.001 / 1000.0 && twirl.blur_px < 15.0);
    // A long lens in the hand is not held at 1/200 s.
    let long = settings(8.0, Doing::Standing, 400.0, 12.0, &camera).unwrap();
    assert!(long.shutter_s < 1.0 / 350.0);
    assert_eq!(settings(f64::NAN, Doing::Standing, 85.0, 3.0, &camera), None);
    assert_eq!(settings(8.0, Doing::Standing, 85.0, 0.05, &camera), None);
}

proptest! {
    /// A third of a stop is the step of the marks; half of it is what rounding leaves.
    #[test]
    fn settings_give_the_light_that_is_there_or_say_by_how_much_they_fail(
        ev100 in -4.0..18.0_f64,
        doing in prop::sample::select(Doing::ALL.to_vec()),
        focal_length_mm in 24.0..300.0_f64,
        distance_m in 1.0..20.0_f64,
        width in prop::sample::select(vec![36.0, 23.6, 17.3]),
    ) {
        let camera = Camera { sensor_width_mm: width, ..Camera::default() };
        let found = settings(ev100, doing, focal_length_mm, distance_m, &camera).unwrap();
        let off = ev100 - exposure_value_100(found.shutter_s, found.f_number, found.iso);
        match found.limits[..] {
            [] => prop_assert!(off.abs() <= 0.19, "{off}: {found:?}"),
            [SettingLimit::TooDark { stops }] => {
                prop_assert!((off + stops).abs() < 1e-9);
                prop_assert_eq!(found.iso, camera.iso_max);
            }
            [SettingLimit::TooBright { stops }] => {
                prop_assert!((off - stops).abs() < 1e-9);
                prop_assert!(found.shutter_s < 1.01 * camera.shutter_min_s);
            }
            _ => prop_assert!(false, "{found:?}"),
        }
        prop_assert!(found.shutter_s <= doing.shutter_max_s() * 1.001);
        prop_assert!(found.f_number >= camera.f_number_min - 0.01);
    }

    #[test]
    fn less_light_never_asks_for_less_sensitivity(
        ev100 in -4.0..18.0_f64, less in 0.0..6.0_f64,
        doing in prop::sample::select(Doing::ALL.to_vec()),
    ) {
        let of = |ev100| settings(ev100, doing, 85.0, 3.0, &Camera::default()).unwrap();
        let (bright, dim) = (of(ev100), of(ev100 - less));
        prop_assert!(dim.iso >= bright.iso && dim.shutter_s >= bright.shutter_s * 0.999);
    }
}
