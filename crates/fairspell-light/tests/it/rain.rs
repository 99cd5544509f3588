//! Drops and their looks against the published table, the spectrum and worked lengths.

use fairspell_light::{
    Camera, RainKind, RainShows, drops_per_m3, fall_speed_m_s, median_drop_mm, rain_look,
    shutter_for, visual_range_km,
};
use proptest::prelude::*;

fn rows(csv: &[u8]) -> Vec<Vec<String>> {
    let records = csv::Reader::from_reader(csv).into_records();
    records.map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect()
}

fn number(text: &str) -> f64 {
    text.parse().unwrap()
}

#[test]
fn drops_fall_as_fast_as_the_table_and_the_fit_of_1973_say() {
    let table = rows(include_bytes!("../reference/rain_fall_speed.csv"));
    assert_eq!(table.len(), 35);
    for row in &table {
        let (d_mm, published_m_s) = (number(&row[0]), number(&row[1]));
        let found = fall_speed_m_s(d_mm);
        if d_mm < 0.1 {
            assert_eq!(found, None);
            continue;
        }
        assert!((found.unwrap() - published_m_s).abs() < 1e-9, "{d_mm}");
    }
    // The fit is within 0.14 m/s of the table from 0.6 to 5 mm; between its rows we may add a little.
    for tenth in 6..50_u8 {
        let d_mm = f64::from(tenth) / 10.0 + 0.05;
        let fit_m_s = 9.65 - 10.3 * (-0.6 * d_mm).exp();
        assert!((fall_speed_m_s(d_mm).unwrap() - fit_m_s).abs() < 0.16, "{d_mm}");
    }
    assert_eq!((fall_speed_m_s(6.0), fall_speed_m_s(f64::NAN)), (None, None));
}

#[test]
fn drops_are_as_large_and_as_many_as_the_spectrum_has_them() {
    let table = rows(include_bytes!("../reference/rain_rate.csv"));
    assert_eq!(table.len(), 12);
    for row in &table {
        let rate = number(&row[0]);
        assert!((median_drop_mm(rate).unwrap() - number(&row[2])).abs() < 6e-5, "{rate}");
        let (all, large) = (drops_per_m3(rate, 0.0).unwrap(), drops_per_m3(rate, 1.0).unwrap());
        assert!((all / number(&row[3]) - 1.0).abs() < 1e-4, "{rate}");
        assert!((large / number(&row[4]) - 1.0).abs() < 4e-3, "{rate}: {large}");
        assert!((visual_range_km(rate).unwrap() / number(&row[12]) - 1.0).abs() < 1e-3, "{rate}");
    }
    for none in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!((median_drop_mm(none), visual_range_km(none)), (None, None));
    }
}

/// The table's streaks are of drops of 1 to 3 mm; the rate that has such a median drop stands for each.
#[test]
fn streaks_are_as_long_and_wide_as_worked_out_elsewhere() {
    let table = rows(include_bytes!("../reference/rain_streak.csv"));
    assert_eq!(table.len(), 54);
    for row in &table {
        let d_mm = number(&row[0]);
        let rate = (d_mm * 4.1 / 3.672_f64).powf(1.0 / 0.21);
        let (one, parts) = row[2].split_once('/').unwrap();
        let shutter_s = number(one) / number(parts);
        let (f_mm, distance_m) = (number(&row[3]), number(&row[4]));
        let look =
            rain_look(rate, shutter_s, f_mm, distance_m, &Camera::default(), 0.0, true, true)
                .unwrap();
        // The table is rounded to a tenth of a millimetre there and a whole pixel here.
        assert!((look.streak_there_mm - number(&row[5])).abs() < 0.07, "{row:?}: {look:?}");
        assert!((look.streak_mm - number(&row[6])).abs() < 0.002, "{row:?}: {look:?}");
        assert!((look.streak_px - number(&row[9])).abs() < 0.7, "{row:?}: {look:?}");
        assert!((look.width_px - number(&row[10])).abs() < 0.06, "{row:?}: {look:?}");
    }
}

/// The trade: at 1/1000 s drops look like snow, at 1/100 like rain, from 1/15 to 1/60 like curtains.
#[test]
fn a_shutter_makes_snow_rain_or_a_curtain_of_a_shower() {
    let kind = |parts: f64| {
        let look = rain_look(10.0, 1.0 / parts, 85.0, 3.0, &Camera::default(), 0.0, true, true);
        look.unwrap().kind
    };
    assert_eq!(kind(1000.0), RainKind::Frozen);
    assert_eq!((kind(125.0), kind(100.0)), (RainKind::Streaks, RainKind::Streaks));
    assert_eq!((kind(15.0), kind(25.0)), (RainKind::Curtain, RainKind::Curtain));
}

#[test]
fn only_rain_with_light_behind_it_before_something_dark_shows() {
    let shows = |backlit, dark| {
        let look =
            rain_look(5.0, 1.0 / 125.0, 85.0, 3.0, &Camera::default(), 3.0, backlit, dark).unwrap();
        (look.shows, look.lean_deg)
    };
    assert_eq!(shows(true, true).0, RainShows::Yes);
    assert_eq!(shows(true, false).0, RainShows::PaleBehind);
    assert_eq!(shows(false, true).0, RainShows::NoLightBehind);
    // tan θ = u/v: 3 m/s of wind against 4.78 of a drop of 1.26 mm.
    assert!((shows(true, true).1 - 32.1).abs() < 0.2);
}

proptest! {
    #[test]
    fn a_shutter_asked_for_draws_what_was_asked_for(
        rate in 0.2..60.0_f64,
        kind in prop::sample::select(RainKind::ALL.to_vec()),
        focal_length_mm in 24.0..200.0_f64,
        distance_m in 1.5..15.0_f64,
        within in 0.05..0.95_f64,
    ) {
        let camera = Camera::default();
        let (shortest_s, longest_s) =
            shutter_for(kind, rate, focal_length_mm, distance_m, &camera).unwrap();
        let shutter_s = shortest_s + within * (longest_s - shortest_s);
        let look = rain_look(rate, shutter_s, focal_length_mm, distance_m, &camera, 0.0, true, true);
        prop_assert_eq!(look.unwrap().kind, kind);
    }
}
