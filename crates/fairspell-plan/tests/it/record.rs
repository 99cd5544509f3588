use fairspell_ground::{LatLon, Projection};
use fairspell_nowcast::{Grid, Nowcast, RainField};
use fairspell_plan::{Seen, forecast_figures, outlook, outlook::BUSY_RADIUS_KM, radar_figures};
use jiff::{ToSpan, civil::date};
use ndarray::Array2;

use crate::world::{at, forecast, place, seen_forecast, session, spot, studio, zone};

/// 200 km square around the beach, 2 km cells: measured west of the middle and dry there, but for
/// one wet column; not measured elsewhere.
fn field() -> RainField {
    let rate = |(_, column): (usize, usize)| match column {
        48 => 3.5,
        0..56 => 0.0,
        _ => f32::NAN,
    };
    RainField {
        valid_time: at("2026-09-03T04:26:00Z"),
        grid: Grid {
            projection: Projection::from_proj_string("+proj=laea +lat_0=-31.7252 +lon_0=152.7741")
                .unwrap(),
            x_first: -99_000.0,
            y_first: 99_000.0,
            x_step: 2000.0,
            y_step: 2000.0,
            rows: 100,
            columns: 100,
        },
        rain_rate_mm_h: Array2::from_shape_fn((100, 100), rate),
    }
}

#[test]
fn a_picture_says_of_a_spot_what_the_nowcast_says() {
    let field = field();
    let spots = [
        spot("middle", place(), 0.0),
        spot("edge", place().at_offset_km(-95.0, 0.0).unwrap(), 0.0),
    ];
    let fetched_at = at("2026-09-03T04:28:00Z");
    let figures = radar_figures(&field, &spots, "a radar", fetched_at);
    let nowcast = Nowcast::from_fields(vec![field.clone()], fetched_at).unwrap().value;
    for (figure, spot) in figures.iter().zip(&spots) {
        assert_eq!(figure.spot, spot.id);
        let coverage = nowcast.coverage(spot.position, BUSY_RADIUS_KM);
        assert!((figure.coverage - coverage).abs() < 1e-12, "{}", spot.id);
        if figure.coverage >= 0.5 {
            assert_eq!(figure.wet_share, nowcast.wet_share(spot.position, BUSY_RADIUS_KM));
        }
    }
    let middle = &figures[0];
    assert_eq!((middle.valid_time, middle.fetched_at), (field.valid_time, fetched_at));
    assert_eq!(middle.rain_rate_mm_h, Some(0.0));
    assert_eq!(middle.rain_rate_max_nearby_mm_h, Some(3.5), "the wet column is 4 km away");
    let edge = &figures[1];
    assert_eq!(edge.rain_rate_max_nearby_mm_h, Some(0.0));
    assert!((0.5..0.6).contains(&edge.coverage), "half the sky lies off the picture");
}

/// Cells of a metre are eleven thousand million around a spot: counting them would never end.
#[test]
fn a_picture_finer_than_any_radar_is_not_walked_cell_by_cell() {
    let mut field = field();
    (field.grid.x_first, field.grid.y_first) = (-49.5, 49.5);
    (field.grid.x_step, field.grid.y_step) = (1.0, 1.0);
    let middle = LatLon::new(-31.7252, 152.7741).unwrap();
    let spots = [spot("middle", middle, 0.0)];
    let figures = radar_figures(&field, &spots, "a radar", at("2026-09-03T04:28:00Z"));
    assert_eq!((figures[0].rain_rate_mm_h, figures[0].wet_share), (Some(0.0), None));
    assert!(figures[0].coverage < f64::EPSILON);
}

#[test]
fn what_was_not_measured_is_missing_and_never_dry() {
    let spots = [
        spot("unseen", place().at_offset_km(90.0, 0.0).unwrap(), 0.0),
        spot("elsewhere", LatLon::new(59.9, 10.7).unwrap(), 0.0),
    ];
    for figure in radar_figures(&field(), &spots, "a radar", at("2026-09-03T04:28:00Z")) {
        assert_eq!(figure.rain_rate_mm_h, None, "{}", figure.spot);
        assert_eq!(figure.rain_rate_max_nearby_mm_h, None, "{}", figure.spot);
        assert_eq!(figure.wet_share.is_none(), figure.coverage == 0.0, "{}", figure.spot);
    }
}

#[test]
fn a_forecast_says_of_a_session_what_the_outlook_says_at_its_issue() {
    let issued = at("2026-09-02T07:00:00Z");
    let seen = seen_forecast(forecast("2026-09-02T07:00:00Z", 20.0));
    let fetched_at = issued + 20.minutes();
    let figures = forecast_figures(&studio(), &zone(), &[session()], &seen, fetched_at);
    let [figure] = figures.as_slice() else { panic!("{figures:?}") };
    let everything = Seen { forecast: Some(seen), warnings: None, radar: None };
    let sky = outlook(&studio(), &zone(), &session(), issued, &everything).unwrap();
    assert_eq!((figure.session.as_str(), figure.issued), ("thursday", issued));
    assert_eq!(figure.fetched_at, fetched_at);
    assert_eq!(figure.hours, sky.window);
    assert!((figure.lead_h - 22.25).abs() < 1e-9, "07:00 to 05:15 the next day");
    assert!(figure.p_any_rain.is_some() && figure.p_gap.is_some());
    assert_eq!(figure.p_any_rain, sky.p_any_rain.map(|said| said.value));
    assert_eq!(figure.p_gap, sky.p_gap.map(|said| said.value));
    assert_eq!(figure.rain_amount_mm, sky.rain_amount_mm.map(|said| said.value));
    assert_eq!(figure.air_temperature_max_c, Some(18.0));
    assert_eq!(figure.wind_gust_km_h, Some(20.0));
    assert_eq!(figure.thunder, Some(false));
}

#[test]
fn a_session_that_is_over_or_out_of_reach_has_no_figure() {
    let seen = seen_forecast(forecast("2026-09-02T07:00:00Z", 20.0));
    let figures = |day: i8| {
        let mut session = session();
        session.start = date(2026, 9, day).at(15, 15, 0, 0);
        forecast_figures(&studio(), &zone(), &[session], &seen, at("2026-09-02T07:20:00Z")).len()
    };
    assert_eq!(figures(1), 0, "over");
    assert_eq!(figures(2), 1, "being made: 15:15 to 17:15, issued at 17:00");
    assert_eq!(figures(3), 1);
    assert_eq!(figures(5), 0, "after the forecast's two days");

    let mut elsewhere = studio();
    elsewhere.spots[0].position = LatLon::new(-33.9, 151.2).unwrap();
    let fetched_at = at("2026-09-02T07:20:00Z");
    let figures = forecast_figures(&elsewhere, &zone(), &[session()], &seen, fetched_at);
    assert_eq!(figures, [], "250 km away");

    // Two o'clock comes twice on 5 April.
    let mut twice = session();
    twice.start = date(2026, 4, 5).at(2, 30, 0, 0);
    let seen = seen_forecast(forecast("2026-04-04T07:00:00Z", 20.0));
    let figures = forecast_figures(&studio(), &zone(), &[twice], &seen, fetched_at);
    assert_eq!(figures, []);
}

#[test]
fn of_a_session_being_made_the_hours_left_count() {
    let seen = seen_forecast(forecast("2026-09-03T06:00:00Z", 20.0));
    let fetched_at = at("2026-09-03T06:20:00Z");
    let figures = forecast_figures(&studio(), &zone(), &[session()], &seen, fetched_at);
    let [figure] = figures.as_slice() else { panic!("{figures:?}") };
    assert_eq!(figure.hours.from, at("2026-09-03T06:00:00Z"));
    assert!(figure.lead_h.abs() < 1e-9);
}
