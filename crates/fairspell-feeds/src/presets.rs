//! The services that we know, for a place.

use std::ops::RangeInclusive;

use fairspell_ground::LatLon;
use fairspell_studio::outlook::SourceKind;

use crate::feed::{Feed, From};

/// Degrees north and east of the conterminous United States.
const CONTERMINOUS: (RangeInclusive<f64>, RangeInclusive<f64>) = (24.4..=49.5, -125.0..=-66.5);

/// The same of Alaska on both sides of the 180th meridian, of Hawaii, and of Puerto Rico with the
/// Virgin Islands.
const BEYOND: [(RangeInclusive<f64>, RangeInclusive<f64>); 4] = [
    (51.0..=71.5, -180.0..=-129.9),
    (51.0..=53.5, 172.0..=180.0),
    (18.8..=22.4, -160.6..=-154.7),
    (17.6..=18.6, -67.4..=-64.5),
];

/// Feeds for a place, from the services that we know.
///
/// MET Norway's forecast is to be had anywhere. In the United States the National Weather Service
/// comes first, whose chances of rain are stated, with its warnings and the national radar mosaic;
/// there the other only stands in. The United States are a few boxes here: where a box reaches over
/// the border the service answers that it does not cover the place, and MET Norway stands in.
///
/// # Examples
///
/// ```
/// use fairspell_feeds::presets;
/// use fairspell_ground::LatLon;
///
/// let ids = |lat, lon| -> Vec<String> {
///     presets(LatLon::new(lat, lon).unwrap()).into_iter().map(|feed| feed.id).collect()
/// };
/// assert_eq!(ids(59.91, 10.75), ["met-forecast"]);
/// assert_eq!(ids(29.9, -81.3), ["nws-forecast", "met-forecast", "nws-alerts", "mrms-rain"]);
/// ```
///
/// # Source
///
/// MET Norway's terms of service: at most four decimals, never before `Expires`. The National Weather
/// Service's interface: `points` names the grid's address; alerts by point; more than four decimals
/// are redirected. How often is our choice: forecasts are made hourly at best, alerts are asked for
/// no more often than MET Norway's terms allow for theirs, the mosaic comes every two minutes and a
/// nowcast wants pictures some four minutes apart.
pub fn presets(place: LatLon) -> Vec<Feed> {
    let is_in = |(lat, lon): &(RangeInclusive<f64>, RangeInclusive<f64>)| {
        lat.contains(&place.lat_deg()) && lon.contains(&place.lon_deg())
    };
    let is_conterminous = is_in(&CONTERMINOUS);
    let mut met = web(
        "met-forecast",
        SourceKind::Forecast,
        "MET Norway",
        "https://api.met.no/weatherapi/locationforecast/2.0/complete?lat={lat}&lon={lon}",
        30,
    );
    met.accept = Some("application/json".to_owned());
    if !is_conterminous && !BEYOND.iter().any(is_in) {
        return vec![met];
    }

    let weather_service = "US National Weather Service";
    let points = "https://api.weather.gov/points/{lat},{lon}".to_owned();
    let property = "forecastGridData".to_owned();
    let mut nws = web("nws-forecast", SourceKind::Forecast, weather_service, "", 30);
    nws.from = From::Through { address: points, property };
    // Requests without this field were twice served forecasts that were days old.
    nws.accept = Some("application/geo+json".to_owned());
    met.stands_in_for = Some(nws.id.clone());
    let mut alerts = web(
        "nws-alerts",
        SourceKind::Warnings,
        weather_service,
        "https://api.weather.gov/alerts/active?point={lat},{lon}",
        10,
    );
    alerts.accept.clone_from(&nws.accept);
    let mut feeds = vec![nws, met, alerts];
    if is_conterminous {
        feeds.push(web(
            "mrms-rain",
            SourceKind::Radar,
            "NOAA MRMS",
            "https://mrms.ncep.noaa.gov/2D/PrecipRate/MRMS_PrecipRate.latest.grib2.gz",
            4,
        ));
    }
    feeds
}

fn web(id: &str, kind: SourceKind, source: &str, address: &str, every_min: u32) -> Feed {
    Feed {
        id: id.to_owned(),
        kind,
        source: source.to_owned(),
        from: From::Web(address.to_owned()),
        every_min,
        accept: None,
        decimals: 4,
        stands_in_for: None,
    }
}
