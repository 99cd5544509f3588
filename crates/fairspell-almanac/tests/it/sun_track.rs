use fairspell_almanac::{SunPosition, SunTrack, sun_position};
use jiff::{SignedDuration, Timestamp};
use proptest::prelude::*;

use crate::{place, rows};

const SOLAR_POSITION: &str = include_str!("../reference/solar_position.csv");

/// What the documentation promises. Cubic interpolation over three hours measures 0.00002°.
const PROMISED_DEG: f64 = 1e-4;

fn apart_deg(a: SunPosition, b: SunPosition) -> f64 {
    let turn_deg = (a.azimuth_deg - b.azimuth_deg + 540.0).rem_euclid(360.0) - 180.0;
    (turn_deg * a.elevation_deg.to_radians().cos()).hypot(a.elevation_deg - b.elevation_deg)
}

fn moment(text: &str) -> Timestamp {
    text.parse().unwrap()
}

/// The same 42 positions and the same 0.001° as for the full algorithm.
#[test]
fn a_track_agrees_with_two_other_programs_all_over_the_world() {
    let mut cases = 0;
    for row in rows(SOLAR_POSITION) {
        let at = row.time("utc");
        let week = SignedDuration::from_hours(24 * 7);
        let track = SunTrack::new(at - week, at + week, row.place());
        let sun = track.at(at);
        for program in ["spa", "ephem"] {
            let expected = SunPosition {
                azimuth_deg: row.number(&format!("az_{program}")),
                elevation_deg: row.number(&format!("el_true_{program}")),
                apparent_elevation_deg: f64::NAN,
            };
            assert!(apart_deg(sun, expected) <= 0.001, "{:?}", row.record);
        }
        assert!((sun.apparent_elevation_deg - row.number("el_app_spa")).abs() <= 0.001);
        cases += 1;
    }
    assert_eq!(cases, 42);
}

/// A year, every 101 minutes, from the equator to the poles and under the zenith sun.
#[test]
fn a_years_track_keeps_to_the_full_algorithm() {
    let (from, until) = (moment("2026-01-01T00:00:00Z"), moment("2027-01-01T00:00:00Z"));
    for (lat_deg, lon_deg) in
        [(-31.7, 152.8), (0.0, -78.5), (23.44, 10.0), (60.4, 5.3), (90.0, 0.0), (-90.0, 180.0)]
    {
        let spot = place(lat_deg, lon_deg);
        let track = SunTrack::new(from, until, spot);
        let (mut widest_deg, mut lift_deg) = (0.0_f64, 0.0_f64);
        for (at, sun) in track.every(101 * 60) {
            let full = sun_position(at, spot);
            widest_deg = widest_deg.max(apart_deg(sun, full));
            // On either side of the elevation at which refraction ends the two may fall.
            if (full.elevation_deg + 0.83337).abs() > PROMISED_DEG {
                let off_deg = sun.apparent_elevation_deg - full.apparent_elevation_deg;
                lift_deg = lift_deg.max(off_deg.abs());
            }
        }
        assert!(widest_deg < PROMISED_DEG && lift_deg < PROMISED_DEG, "{spot}: {widest_deg}°");
    }
}

#[test]
fn a_track_has_the_moments_asked_for() {
    let (from, until) = (moment("2026-03-01T00:00:00Z"), moment("2026-03-01T01:00:30Z"));
    let track = SunTrack::new(from, until, place(50.0, 10.0));
    let moments: Vec<_> = track.every(60).map(|(at, _)| at).collect();
    assert_eq!(moments.len(), 61);
    assert_eq!((moments[0], moments[60]), (from, moment("2026-03-01T01:00:00Z")));
    assert_eq!(track.every(0).count(), 3630);
    assert_eq!(SunTrack::new(until, from, place(50.0, 10.0)).every(60).count(), 0);
}

proptest! {
    #[test]
    fn a_track_is_the_sun_at_every_moment_and_beyond_its_ends(
        second in -2_000_000_000_i64..4_000_000_000,
        hours in 0..40_i64,
        part in -0.5..1.5_f64,
        lat_deg in -90.0..=90.0_f64,
        lon_deg in -180.0..=180.0_f64,
    ) {
        let from = Timestamp::from_second(second).unwrap();
        let until = from + SignedDuration::from_hours(hours);
        let spot = place(lat_deg, lon_deg);
        let at = from + SignedDuration::from_secs_f64(hours as f64 * 3600.0 * part);
        let sun = SunTrack::new(from, until, spot).at(at);
        let full = sun_position(at, spot);
        prop_assert!(apart_deg(sun, full) < PROMISED_DEG, "{sun:?} and {full:?}");
        prop_assert!((0.0..=360.0).contains(&sun.azimuth_deg));
    }

    #[test]
    fn the_ends_of_the_calendar_break_nothing(hours in 0..200_i64) {
        for from in [Timestamp::MIN, Timestamp::MAX - SignedDuration::from_hours(hours)] {
            let until = if from == Timestamp::MIN { from + SignedDuration::from_hours(hours) } else { Timestamp::MAX };
            let count = SunTrack::new(from, until, place(50.0, 10.0)).every(3600).count();
            prop_assert!(count <= 201);
        }
    }
}
