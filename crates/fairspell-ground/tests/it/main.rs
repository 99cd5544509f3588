//! Integration tests; the modules mirror `src/`.

#![expect(clippy::unwrap_used, reason = "a helper that cannot set a test up fails it")]

mod area;
mod coast;
mod position;
mod projection;
mod ridge;
mod sightline;
mod skyline;
mod skyline_check;
mod skyline_csv;
mod skyline_points;

use fairspell_ground::LatLon;

fn place(lat_deg: f64, lon_deg: f64) -> LatLon {
    LatLon::new(lat_deg, lon_deg).unwrap()
}
