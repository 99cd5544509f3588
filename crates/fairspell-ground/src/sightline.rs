//! How high something stands that a person can see, pace out or look up on a map.
//!
//! These turn metres into the degrees of a [`Skyline`](crate::Skyline). Heights are seen through
//! air that bends light a little towards the ground, over a round earth; both matter from a
//! kilometre or two on.

/// The earth's radius here, metres.
const RE_M: f64 = 6_371_000.0;

/// Coefficient of refraction near the ground: the light's curvature over the earth's. The usual
/// value of surveyors; on a hot beach or over cold water it may be anything from -1 to +1.
const K: f64 = 0.13;

/// How high the eyes are above the ground where nobody has said otherwise, metres.
pub const EYE_HEIGHT_M: f64 = 1.6;

/// How high trees, a wall or a house stand above eye level, degrees.
///
/// - `height_m`: from the ground one stands on to the top.
/// - `eye_height_m`: of whoever faces the sun; [`EYE_HEIGHT_M`] is common, a child has less.
/// - `distance_m`: along the ground, to the foot of what stands there.
///
/// Zero for what does not reach the eyes. `None` for a distance that is not above zero, and for
/// what is not finite.
///
/// # Examples
///
/// ```
/// use fairspell_ground::sightline::{EYE_HEIGHT_M, trees_height_deg};
///
/// // Trees of 12 m at the far side of a 40 m lawn.
/// let trees_deg = trees_height_deg(12.0, EYE_HEIGHT_M, 40.0).unwrap();
/// assert_eq!((trees_deg * 10.0).round(), 146.0);
/// ```
pub fn trees_height_deg(height_m: f64, eye_height_m: f64, distance_m: f64) -> Option<f64> {
    Some(terrain_elevation_deg(height_m - eye_height_m, distance_m)?.max(0.0))
}

/// How high a hill or an island stands above eye level, degrees; negative where the round earth
/// hides its top.
///
/// - `height_above_eye_m`: its top over the eye, both above sea level, as a map says.
/// - `distance_m`: along the ground.
///
/// `None` for a distance that is not above zero, and for what is not finite.
///
/// # Examples
///
/// ```
/// use fairspell_ground::sightline::terrain_elevation_deg;
///
/// // An island of 300 m, 30 km out, takes the last minutes of the sun.
/// let island_deg = terrain_elevation_deg(300.0, 30_000.0).unwrap();
/// assert_eq!((island_deg * 100.0).round(), 46.0);
/// ```
///
/// # Source
///
/// `atan((h - d²(1 - k)/2R)/d)` with R 6371 km and k 0.13, the values usual in surveying.
pub fn terrain_elevation_deg(height_above_eye_m: f64, distance_m: f64) -> Option<f64> {
    if !(height_above_eye_m.is_finite() && distance_m.is_finite() && distance_m > 0.0) {
        return None;
    }
    let sunk_m = distance_m * distance_m * (1.0 - K) / (2.0 * RE_M);
    Some(((height_above_eye_m - sunk_m) / distance_m).atan().to_degrees())
}

/// How far below level the sea's horizon lies as seen from a height, degrees.
///
/// From a cliff the sun sets later: ask for the moment it sinks through
/// `SUNRISE_DEG - dip_deg(height)`.
///
/// - `eye_height_m`: above the water.
///
/// `None` below the water, and for what is not finite.
///
/// # Examples
///
/// ```
/// use fairspell_ground::sightline::dip_deg;
///
/// // A lookout of 50 m sees the sun a fifth of a degree longer: about a minute.
/// assert_eq!((dip_deg(50.0).unwrap() * 10.0).round(), 2.0);
/// ```
///
/// # Source
///
/// The Nautical Almanac's 1.76' times the square root of the height in metres, refraction
/// included.
pub fn dip_deg(eye_height_m: f64) -> Option<f64> {
    let is_above = eye_height_m.is_finite() && eye_height_m >= 0.0;
    is_above.then(|| 1.76 / 60.0 * eye_height_m.sqrt())
}

/// How far away the sea's horizon lies as seen from a height, kilometres.
///
/// What stands beyond it begins to sink behind the water. `None` as for [`dip_deg`].
pub fn horizon_distance_km(eye_height_m: f64) -> Option<f64> {
    let is_above = eye_height_m.is_finite() && eye_height_m >= 0.0;
    is_above.then(|| (2.0 * RE_M * eye_height_m / (1.0 - K)).sqrt() / 1000.0)
}
