//! An invented studio, its Thursday session, forecasts and radar pictures for tests to change.

use fairspell_chance::Probability;
use fairspell_ground::{LatLon, Projection, Skyline, SkylineSector};
use fairspell_nowcast::{Grid, Nowcast, RainField};
use fairspell_plan::{Seen, SeenForecast, SeenRadar, SeenWarnings, outlook};
use fairspell_studio::{
    LookTable, Outlook, Policy, Session, Site, Span, Spot, Studio,
    season::Season,
    session::{DateNotes, Drive, Look},
    spot::{Cover, WindExposure},
    studio::{Artist, Day, Expected, Sources, Week},
};
use fairspell_weather::{
    Forecast, Service, WarningBoard,
    forecast::{Basis, Condition, PeriodChance, RainAmount, RainStatement},
};
use jiff::{Timestamp, ToSpan, civil::date, tz::TimeZone};
use ndarray::Array2;

pub(crate) fn at(text: &str) -> Timestamp {
    text.parse().expect("a test's own timestamp")
}

pub(crate) fn zone() -> TimeZone {
    TimeZone::get("Australia/Sydney").unwrap()
}

pub(crate) fn place() -> LatLon {
    LatLon::new(-31.7252, 152.7741).unwrap()
}

pub(crate) fn spot(id: &str, position: LatLon, hill_deg: f64) -> Spot {
    let hill =
        SkylineSector { from_azimuth_deg: 240.0, to_azimuth_deg: 295.0, height_deg: hill_deg };
    Spot {
        id: id.to_owned(),
        name: id.to_owned(),
        position,
        cover: Cover::None,
        refuge: None,
        skyline: Skyline::new(vec![hill]),
        wind: WindExposure::default(),
        shore: false,
        site: Site::default(),
    }
}

pub(crate) fn studio() -> Studio {
    Studio {
        name: "Half Past Dune Portraits".to_owned(),
        owner: "Ines".to_owned(),
        place: "Saltern Bight".to_owned(),
        home: LatLon::new(-31.72, 152.79).unwrap(),
        time_zone: "Australia/Sydney".to_owned(),
        invented: true,
        week: Week {
            working: vec![Day::Thursday],
            reserve: vec![Day::Wednesday, Day::Sunday],
            dawn: Vec::new(),
        },
        blackouts: Vec::new(),
        season: Season::default(),
        artist: Some(Artist {
            name: "Dune & Plait".to_owned(),
            free_change_h: 72,
            full_fee_h: 12,
            fee: 0.0,
        }),
        school: None,
        tide: None,
        sources: Sources { warnings: Expected::Yes, radar: Expected::Yes },
        warning_areas: Vec::new(),
        spots: vec![
            spot("heron-walk", place(), 2.5),
            spot("lantern-steps", LatLon::new(-31.7177, 152.7849).unwrap(), 8.0),
        ],
        policy: Policy::default(),
        look_table: LookTable::default(),
    }
}

/// Thu 3 Sep 2026, 15:15 by the clock (05:15 UTC), for two hours.
pub(crate) fn session() -> Session {
    let look = |name: &str, spot: &str| Look {
        name: name.to_owned(),
        spot: spot.to_owned(),
        ..Look::default()
    };
    Session {
        id: "thursday".to_owned(),
        sitter: "Linh".to_owned(),
        guardian: "Quoc".to_owned(),
        start: date(2026, 9, 3).at(15, 15, 0, 0),
        duration_min: 120,
        looks: vec![look("denim", "heron-walk"), look("linen", "lantern-steps")],
        drive: Drive { minutes: 15, route: Vec::new() },
        chair_before_start_min: 210,
        with_artist: true,
        deadline: None,
        moved_from: None,
        people: Vec::new(),
        dates: DateNotes::default(),
    }
}

pub(crate) fn p(percent: f64) -> Probability {
    Probability::from_percent(percent).unwrap()
}

/// Two days of hours, all with the same chance of rain, made at `reference_time`.
pub(crate) fn forecast(reference_time: &str, percent: f64) -> Forecast {
    let made = at(reference_time);
    let first = Timestamp::from_second(made.as_second().div_euclid(3600) * 3600).unwrap();
    let hours: Vec<Span> = (0..48_i64)
        .map(|hour| Span { from: first + hour.hours(), to: first + (hour + 1).hours() })
        .collect();
    let amount = |hour: &Span| RainAmount {
        from: hour.from,
        to: hour.to,
        rain_amount_mm: 0.5,
        rain_amount_min_mm: None,
        rain_amount_max_mm: None,
    };
    Forecast {
        service: Service::MetLocationforecast,
        place: place(),
        reference_time: made,
        rain: hours
            .iter()
            .map(|hour| RainStatement {
                from: hour.from,
                to: hour.to,
                p_rain: Some(p(percent)),
                threshold_mm: 0.1,
                basis: Basis::Stated,
                spread: None,
                amount: None,
            })
            .collect(),
        rain_amounts: hours.iter().map(amount).collect(),
        conditions: hours
            .iter()
            .map(|hour| Condition {
                from: hour.from,
                to: hour.to,
                air_temperature_c: Some(18.0),
                dew_point_c: None,
                relative_humidity: Some(0.6),
                wind_speed_km_h: Some(12.0),
                wind_gust_km_h: Some(20.0),
                wind_from_direction_deg: None,
                cloud_area_fraction: Some(0.3),
                p_thunder: None,
                thunder: Some(false),
                rain_character: None,
            })
            .collect(),
        listed_hourly: hours
            .iter()
            .map(|hour| PeriodChance { from: hour.from, to: hour.to, p: p(percent) })
            .collect(),
    }
}

pub(crate) fn seen_forecast(forecast: Forecast) -> SeenForecast {
    SeenForecast { forecast, earlier: Vec::new(), source: "an invented service".to_owned() }
}

/// The services' list of warnings, looked at just then, with nothing on it.
pub(crate) fn no_warnings(looked_at: Timestamp) -> SeenWarnings {
    let board = WarningBoard::as_of(Vec::new(), looked_at).value;
    SeenWarnings { board, looked_at, source: "an invented service".to_owned() }
}

/// A picture of the same rain everywhere.
pub(crate) fn picture(valid_time: Timestamp, rain_rate_mm_h: f32) -> RainField {
    let grid = Grid {
        projection: Projection::from_proj_string("+proj=laea +lat_0=-31.7 +lon_0=152.8").unwrap(),
        x_first: -99_000.0,
        y_first: 99_000.0,
        x_step: 2000.0,
        y_step: 2000.0,
        rows: 100,
        columns: 100,
    };
    RainField { valid_time, grid, rain_rate_mm_h: Array2::from_elem((100, 100), rain_rate_mm_h) }
}

/// Six pictures up to `newest`, five minutes apart, of the same rain everywhere.
pub(crate) fn radar(newest: Timestamp, issued: Timestamp, rain_rate_mm_h: f32) -> SeenRadar {
    let fields =
        (0..6_i64).map(|back| picture(newest - (5 * back).minutes(), rain_rate_mm_h)).collect();
    let nowcast = Nowcast::from_fields(fields, issued).unwrap().value;
    SeenRadar { nowcast, source: "an invented radar".to_owned() }
}

/// Everything seen, fresh: a forecast of `percent` each hour, no warnings, an empty sky on the radar.
pub(crate) fn seen(as_of: Timestamp, percent: f64) -> Seen {
    Seen {
        forecast: Some(seen_forecast(forecast(&(as_of - 1.hour()).to_string(), percent))),
        warnings: Some(no_warnings(as_of)),
        radar: Some(radar(as_of - 4.minutes(), as_of, 0.0)),
    }
}

pub(crate) fn outlook_at(as_of: &str, seen: &Seen) -> Outlook {
    outlook(&studio(), &zone(), &session(), at(as_of), seen).unwrap()
}

/// 18:00 the day before, and 14:30 on the day, by UTC.
pub(crate) const EVENING_READING: &str = "2026-09-02T08:00:00Z";
pub(crate) const LEAVE_BY: &str = "2026-09-03T04:30:00Z";
