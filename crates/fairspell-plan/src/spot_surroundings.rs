//! What a spot's notes mean for its light: roof, leaves, ground and skyline as the light sees them.

use fairspell_light::{Canopy, Ground, Roof, Surroundings};
use fairspell_studio::{Spot, site};

/// Eyes above the ground, metres: a standing seventeen-year-old.
pub const EYE_HEIGHT_M: f64 = 1.55;

/// Under a roof one stands so far behind its edge, metres, where the light comes in like a window's
/// (common practice: within one roof's height of the edge).
pub const BEHIND_EDGE_M: f64 = 1.0;

/// Leaves hide the sky above this height, degrees; a low sun comes in under them.
const LEAVES_FROM_DEG: f64 = 10.0;

/// What stands around somebody at a spot.
///
/// - `wet`: whether the ground is wet from rain.
///
/// Where nobody noted the ground it counts as dark grass, the least that throws light back. A roof
/// goes on to both sides and has a wall behind.
pub fn surroundings(spot: &Spot, wet: bool) -> Surroundings {
    let noted = &spot.site;
    let (ground, is_always_wet) = match noted.ground.unwrap_or(site::Ground::Grass) {
        site::Ground::Grass => (Ground::Grass, false),
        site::Ground::Sand => (Ground::Sand, false),
        site::Ground::WetSand => (Ground::Sand, true),
        site::Ground::Stone => (Ground::Concrete, false),
        // Grey timber throws back as much as gravel.
        site::Ground::Boards => (Ground::Gravel, false),
        site::Ground::Earth => (Ground::Earth, false),
        site::Ground::Asphalt => (Ground::Asphalt, false),
        site::Ground::Water => (Ground::Water, false),
        site::Ground::Snow => (Ground::OldSnow, false),
    };
    let roof = noted.roof.map(|roof| Roof {
        opens_toward_azimuth_deg: roof.opens_to.azimuth_deg(),
        ..Roof::porch(
            BEHIND_EDGE_M.min(roof.depth_m / 2.0),
            (roof.edge_height_m - EYE_HEIGHT_M).max(0.1),
        )
    });
    let canopy = noted
        .leaves_let_through
        .map(|transmittance| Canopy { from_elevation_deg: LEAVES_FROM_DEG, transmittance });
    Surroundings {
        skyline: spot.skyline.clone(),
        roof,
        canopy,
        ..Surroundings::open(ground, wet || is_always_wet)
    }
}
