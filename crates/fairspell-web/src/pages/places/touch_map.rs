//! The coast map on which a new spot is chosen: the first touch comes nearer, the next ones put it right.
//!
//! The picture is a button, so that a touch arrives as pixels whatever the browser is allowed to run.

use base64::{Engine, engine::general_purpose::STANDARD};
use fairspell_ground::LatLon;
use fairspell_studio::Studio;
use fairspell_words::screens::places as words;
use maud::{Markup, html};
use serde::Deserialize;

use crate::place_map::View;

/// Two fixed sizes, of which the style sheet shows the one that fits: pixels are those of the picture as
/// it is shown.
const SIZES_PX: [(&str, f64); 2] = [("wide", 600.0), ("narrow", 288.0)];

const ASPECT: f64 = 1.5;

/// The first map around home, and the nearer one, km wide.
const WIDTHS_KM: [f64; 2] = [40.0, 6.0];

/// Where the map was touched.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Touched {
    /// The middle of the map.
    #[serde(default)]
    near: String,
    /// Its width, km.
    #[serde(default)]
    width_km: Option<f64>,
    /// The width of the picture, pixels.
    #[serde(default)]
    width_px: Option<f64>,
    #[serde(default, rename = "at.x")]
    x: Option<f64>,
    #[serde(default, rename = "at.y")]
    y: Option<f64>,
}

impl Touched {
    /// The point that was meant, to a ten-thousandth of a degree, some ten metres: a finger is no finer.
    pub(super) fn point(&self) -> Option<LatLon> {
        let (x, y) = (self.x?, self.y?);
        // So a browser sends a button that was pressed by keyboard.
        if x == 0.0 && y == 0.0 {
            return None;
        }
        let width_km = self.width_km.filter(|km| (0.1..=100.0).contains(km))?;
        let width_px = self.width_px.filter(|px| (1.0..=4096.0).contains(px))?;
        let view = View { centre: self.near.parse().ok()?, width_km, aspect: ASPECT };
        let point = view.point(x / width_px, y / (width_px / ASPECT))?;
        let round = |degrees: f64| (degrees * 1e4).round() / 1e4;
        LatLon::new(round(point.lat_deg()), round(point.lon_deg())).ok()
    }
}

/// The map around home, or a nearer one around what was chosen.
pub(super) fn markup(
    studio: &Studio,
    chosen: Option<LatLon>,
    coast: Option<&[Vec<LatLon>]>,
) -> Markup {
    let (centre, width_km) = match chosen {
        Some(point) => (point, WIDTHS_KM[1]),
        None => (studio.home, WIDTHS_KM[0]),
    };
    let view = View { centre, width_km, aspect: ASPECT };
    let spots: Vec<(LatLon, String)> =
        studio.spots.iter().map(|spot| (spot.position, spot.name.clone())).collect();
    html! {
        h2 #map { (words::ON_THE_MAP) }
        p { (if chosen.is_some() { words::TOUCH_AGAIN } else { words::TOUCH }) }
        figure.evening {
            @for (size, width_px) in SIZES_PX {
                form.map.(size) method="get" action="/places/new#map" {
                    input type="hidden" name="near" value=(centre);
                    input type="hidden" name="width_km" value=(width_km);
                    input type="hidden" name="width_px" value=(width_px);
                    input type="image" name="at" alt=(words::MAP)
                        width=(width_px) height=(width_px / ASPECT)
                        src=(drawn(view, width_px, coast, &spots));
                }
            }
        }
    }
}

/// The picture itself as an address.
fn drawn(
    view: View,
    width_px: f64,
    coast: Option<&[Vec<LatLon>]>,
    spots: &[(LatLon, String)],
) -> String {
    let description = words::map_description(spots.len(), view.width_km);
    let svg = view.svg(width_px, coast, spots, (words::MAP.to_owned(), description));
    format!("data:image/svg+xml;base64,{}", STANDARD.encode(svg))
}
