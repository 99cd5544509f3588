//! Reads a forecast or warnings without being told from which service.

use fairspell_ground::Reading;

use crate::{
    Forecast, Remark, Warning, WeatherError, cap, json, met, nws_alerts, nws_gridpoint, nws_hourly,
};

/// Reads a forecast, whichever of the three documents it is.
///
/// # Errors
///
/// Those of [`read_nws_hourly`](crate::read_nws_hourly), [`read_nws_gridpoint`](crate::read_nws_gridpoint)
/// and [`read_met`](crate::read_met); [`WeatherError::WrongDocument`] for what is none of them.
///
/// # Examples
///
/// ```
/// use fairspell_weather::{Service, read_forecast};
///
/// let bytes = include_bytes!("../tests/fixtures/nws_gridpoint.json");
/// let forecast = read_forecast(bytes)?.value;
/// assert_eq!(forecast.service, Service::NwsGridpoint);
/// # Ok::<(), fairspell_weather::WeatherError>(())
/// ```
pub fn read_forecast(bytes: &[u8]) -> Result<Reading<Forecast, Remark>, WeatherError> {
    let document = json::parse("forecast", bytes)?;
    if met::recognises(&document) {
        met::from_document(&document)
    } else if nws_hourly::recognises(&document) {
        nws_hourly::from_document(&document)
    } else if nws_gridpoint::recognises(&document) {
        nws_gridpoint::from_document(&document)
    } else {
        let found = json::looks_like(&document);
        Err(WeatherError::WrongDocument { expected: "a forecast", found })
    }
}

/// Reads warnings, from CAP 1.2 XML or from the US service's list of alerts.
///
/// What is in force out of them is for [`WarningBoard`](crate::WarningBoard) to say.
///
/// # Errors
///
/// Those of [`read_cap`](crate::read_cap) for what begins as XML, else those of
/// [`read_nws_alerts`](crate::read_nws_alerts).
pub fn read_warnings(bytes: &[u8]) -> Result<Reading<Vec<Warning>, Remark>, WeatherError> {
    let bytes = bytes.strip_prefix("\u{feff}".as_bytes()).unwrap_or(bytes);
    let is_xml = bytes.iter().find(|byte| !byte.is_ascii_whitespace()) == Some(&b'<');
    if is_xml { cap::read_cap(bytes) } else { nws_alerts::read_nws_alerts(bytes) }
}
