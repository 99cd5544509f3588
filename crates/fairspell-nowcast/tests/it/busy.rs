use fairspell_nowcast::{Busyness, Nowcast, RainField, Trend};

use crate::sky;

fn busyness(fields: Vec<RainField>, radius_km: f64) -> Option<Busyness> {
    let nowcast = Nowcast::from_fields(fields, sky::issued()).unwrap().value;
    nowcast.at(sky::middle()).unwrap().busyness(radius_km)
}

/// Frames five minutes apart in which rain lies between two distances from the middle, km.
fn ring(inner_km: f64, outer_km: impl Fn(f64) -> f64) -> Vec<RainField> {
    let grid = sky::grid(256, 1.0);
    (0..8)
        .map(|index| {
            let minutes = (index - 7) * 5;
            let outer_km = outer_km(minutes as f64);
            sky::field(&grid, minutes, |east, north| {
                if (inner_km..outer_km).contains(&east.hypot(north)) { 2.0 } else { 0.0 }
            })
        })
        .collect()
}

#[test]
fn rain_that_spreads_makes_the_sky_busier_by_as_much() {
    // Its area is a tenth of the circle's now and grows by a tenth of it an hour.
    let outer_km = |minutes: f64| 100.0 * (0.1 + 0.1 * minutes / 60.0).sqrt();
    let found = busyness(ring(0.0, outer_km), 100.0).unwrap();
    // Cells of a kilometre on a circle of 32 km.
    assert!((found.wet_share - 0.1).abs() < 0.002, "{found:?}");
    assert!((found.trend_per_hour.unwrap() - 0.1).abs() < 0.01, "{found:?}");
    assert_eq!(found.trend(), Some(Trend::Growing));
    let shrinks = busyness(ring(0.0, |minutes| outer_km(-minutes)), 100.0).unwrap();
    assert_eq!(shrinks.trend(), Some(Trend::Shrinking));
    let steady = busyness(ring(0.0, |_| 40.0), 100.0).unwrap();
    assert_eq!((steady.trend(), steady.trend_per_hour), (Some(Trend::Steady), Some(0.0)));
}

#[test]
fn a_radar_that_fails_is_no_fine_weather() {
    let mut fields = ring(0.0, |_| 40.0);
    let newest = fields.last_mut().unwrap();
    for ((_, column), rate) in newest.rain_rate_mm_h.indexed_iter_mut() {
        if column > 150 {
            *rate = f32::NAN;
        }
    }
    let found = busyness(fields, 100.0).unwrap();
    assert_eq!(found.trend_per_hour, Some(0.0));
}

#[test]
fn one_picture_has_no_trend_and_a_circle_off_the_map_no_answer() {
    let only = ring(0.0, |_| 40.0).pop().unwrap();
    let found = busyness(vec![only.clone()], 100.0).unwrap();
    assert_eq!((found.trend_per_hour, found.trend()), (None, None));
    assert_eq!(busyness(vec![only], 400.0), None, "a tenth of that is on the map");
}

#[test]
fn gaps_between_bands_have_their_length() {
    // Bands 20 minutes wide, 40 minutes apart, at 60 km/h.
    let grid = sky::grid(512, 1.0);
    let fields = (0..8)
        .map(|index| {
            let minutes = (index - 7) * 5;
            sky::field(&grid, minutes, |east, _| {
                if (minutes as f64 - east).rem_euclid(60.0) < 20.0 { 2.0 } else { 0.0 }
            })
        })
        .collect();
    let gap = busyness(fields, 100.0).unwrap().gap_between_rain.unwrap();
    // A step of the series at each end.
    assert!((gap.p50_min - 40.0).abs() <= 5.0, "{gap:?}");
    let dry = busyness(sky::even(&sky::grid(256, 1.0), 0.0, 8), 100.0).unwrap();
    assert_eq!(dry.gap_between_rain, None);
    assert_eq!(dry.wet_share, 0.0);
}
