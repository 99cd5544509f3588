//! The time zone of a place, without asking anybody.

use std::sync::LazyLock;

use fairspell_ground::LatLon;
use jiff::tz::TimeZone;
use tzf_rs::EmbeddedFinder;

/// Reads the borders where they lie in the program: four megabytes that are touched only here.
static BORDERS: LazyLock<EmbeddedFinder> = LazyLock::new(EmbeddedFinder::new);

/// The name of the time zone at a place, such as `Australia/Sydney`.
///
/// Borders are simplified: within a kilometre or so of one the neighbour may be named. At sea it is
/// the zone of the ship's clocks. A zone that our own copy of the database does not know becomes
/// `Etc/UTC`; she can choose another on Studio.
///
/// # Source
///
/// The borders are OpenStreetMap's, as `timezone-boundary-builder` collects them, under the Open
/// Database License.
pub(crate) fn zone_of(place: LatLon) -> String {
    let name = BORDERS.get_tz_name(place.lon_deg(), place.lat_deg());
    if TimeZone::get(name).is_ok() { name.to_owned() } else { "Etc/UTC".to_owned() }
}
