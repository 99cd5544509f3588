//! Whether what was fetched is what was asked for: read once before it counts.

use fairspell_ground::LatLon;
use fairspell_nowcast::{Cut, RadarError, ReadOptions, read_rain_fields, read_times};
use fairspell_studio::outlook::SourceKind;
use fairspell_weather::{WeatherError, read_forecast, read_warnings};
use jiff::Timestamp;
use serde::Deserialize;

use crate::{
    fetched::{Why, unreadable},
    unpack::{is_gzip, unpacked},
};

/// How far around the place a picture is decoded for the check, km: a bad one shows anywhere.
const CHECKED_RADIUS_KM: f64 = 100.0;

/// A document that can be read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Sound {
    /// How its file's name ends.
    pub(crate) extension: &'static str,
    /// When it was made, by its own word.
    pub(crate) made: Option<Timestamp>,
}

/// Reads a document once, to see that it can be read.
pub(crate) fn check(kind: SourceKind, bytes: &[u8], place: LatLon) -> Result<Sound, Why> {
    match kind {
        SourceKind::Radar => check_picture(bytes, place),
        SourceKind::Forecast | SourceKind::Warnings => {
            let is_packed = is_gzip(bytes);
            let bytes = unpacked(bytes.to_vec()).map_err(|error| unreadable(&error))?;
            if is_web_page(&bytes) {
                return Err(Why::WebPage);
            }
            let made = if kind == SourceKind::Forecast {
                Some(read_forecast(&bytes).map_err(|e| refused(&e))?.value.reference_time)
            } else {
                let warnings = read_warnings(&bytes).map_err(|e| refused(&e))?.value;
                updated(&bytes).or(warnings.iter().map(|warning| warning.sent).max())
            };
            Ok(Sound { extension: extension(&bytes, is_packed), made })
        }
    }
}

/// [`check`] on a thread of its own, for decoding takes a while: other tasks go on meanwhile. Gives
/// the bytes back.
pub(crate) async fn check_aside(
    kind: SourceKind,
    bytes: Vec<u8>,
    place: LatLon,
) -> (Result<Sound, Why>, Vec<u8>) {
    let check = move || (check(kind, &bytes, place), bytes);
    let checked = tokio::task::spawn_blocking(check).await;
    checked.unwrap_or_else(|error| (Err(unreadable(&error)), Vec::new()))
}

fn check_picture(bytes: &[u8], place: LatLon) -> Result<Sound, Why> {
    if is_web_page(bytes) {
        return Err(Why::WebPage);
    }
    let times = read_times(bytes).map_err(|error| unreadable(&error))?;
    let newest = times.into_iter().max();
    let options = ReadOptions {
        cut: Some(Cut { centre: place, radius_km: CHECKED_RADIUS_KM }),
        valid_times: newest.map(|newest| newest..=newest),
        ..ReadOptions::default()
    };
    match read_rain_fields(bytes, &options) {
        // A picture of elsewhere is sound; that it does not cover the place is the outlook's to say.
        Ok(_) | Err(RadarError::OutsideMap { .. }) => {}
        Err(error) => return Err(unreadable(&error)),
    }
    let extension = match bytes {
        [0x1f, 0x8b, ..] => "gz",
        [b'G', b'R', b'I', b'B', ..] => "grib2",
        [b'C', b'D', b'F', ..] => "nc",
        _ => "h5",
    };
    Ok(Sound { extension, made: newest })
}

/// Whether it is a page for people: services say so when they are down, with any status.
pub(crate) fn is_web_page(bytes: &[u8]) -> bool {
    let text = bytes.strip_prefix("\u{feff}".as_bytes()).unwrap_or(bytes).trim_ascii_start();
    if !text.starts_with(b"<") {
        return false;
    }
    let start = String::from_utf8_lossy(&text[..text.len().min(1024)]).to_lowercase();
    start.contains("<!doctype html") || start.contains("<html")
}

fn extension(bytes: &[u8], is_packed: bool) -> &'static str {
    let bytes = bytes.strip_prefix("\u{feff}".as_bytes()).unwrap_or(bytes);
    match (bytes.trim_ascii_start().starts_with(b"<"), is_packed) {
        (true, false) => "xml",
        (true, true) => "xml.gz",
        (false, false) => "json",
        (false, true) => "json.gz",
    }
}

/// When a list of alerts was made.
fn updated(bytes: &[u8]) -> Option<Timestamp> {
    #[derive(Deserialize)]
    struct List {
        updated: Option<Timestamp>,
    }
    serde_json::from_slice::<List>(bytes).ok()?.updated
}

fn refused(error: &WeatherError) -> Why {
    match error {
        WeatherError::Problem { status, title, .. } => {
            Why::Status { status: *status, said: title.clone() }
        }
        error => unreadable(error),
    }
}
