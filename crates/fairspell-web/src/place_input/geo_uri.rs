//! A `geo:` link, by RFC 5870.

use fairspell_ground::LatLon;

use super::{NotAPlace, decimal, percent_decoded, point, written};

/// What follows the scheme, which may be spelled in any case.
pub(super) fn after_scheme(text: &str) -> Option<&str> {
    let (scheme, rest) = text.split_once(':')?;
    scheme.eq_ignore_ascii_case("geo").then_some(rest)
}

/// Two or three numbers, then parameters, of which only the reference system matters here.
///
/// Telephones write `geo:0,0?q=LAT,LON(NAME)` for a pin, which the standard knows nothing of.
pub(super) fn read(rest: &str) -> Result<LatLon, NotAPlace> {
    let rest = percent_decoded(rest);
    let (path, query) = rest.split_once('?').unwrap_or((&rest, ""));
    let mut parts = path.split(';');
    let numbers: Option<Vec<f64>> =
        parts.next().unwrap_or_default().split(',').map(decimal).collect();
    let system = parts.filter_map(|part| part.split_once('=')).find_map(|(name, value)| {
        name.eq_ignore_ascii_case("crs").then(|| value.eq_ignore_ascii_case("wgs84"))
    });
    if system == Some(false) {
        return Err(NotAPlace::OtherGrid);
    }
    let (lat_deg, lon_deg) = match numbers.as_deref() {
        Some([lat_deg, lon_deg] | [lat_deg, lon_deg, _]) => (*lat_deg, *lon_deg),
        _ => return Err(NotAPlace::Unreadable),
    };
    let is_nowhere = lat_deg == 0.0 && lon_deg == 0.0;
    if let Some(pin) =
        query.split('&').find_map(|pair| pair.strip_prefix("q=")).filter(|_| is_nowhere)
    {
        let position = pin.split('(').next().unwrap_or_default();
        return written::read(position);
    }
    // Section 3.4.2: at a pole every longitude is the same one.
    let lon_deg = if lat_deg.abs() < 90.0 { lon_deg } else { 0.0 };
    point(lat_deg, lon_deg)
}
