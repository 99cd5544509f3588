//! Directions in words.

/// The sixteen points, clockwise from north.
const POINTS: [&str; 16] = [
    "north",
    "north-north-east",
    "north-east",
    "east-north-east",
    "east",
    "east-south-east",
    "south-east",
    "south-south-east",
    "south",
    "south-south-west",
    "south-west",
    "west-south-west",
    "west",
    "west-north-west",
    "north-west",
    "north-north-west",
];

/// A direction in words, from degrees clockwise from true north.
///
/// Any finite angle is taken round the circle; `None` for one that is not finite.
///
/// # Examples
///
/// ```
/// use fairspell_words::compass::compass;
///
/// // Where the sun goes down at Saltern Bight in June, over the hills.
/// assert_eq!(compass(297.0), Some("west-north-west"));
/// assert_eq!(compass(359.0), Some("north"));
/// assert_eq!(compass(f64::NAN), None);
/// ```
pub fn compass(degrees: f64) -> Option<&'static str> {
    if !degrees.is_finite() {
        return None;
    }
    let sixteenths = (degrees / 22.5).rem_euclid(16.0);
    // The name of the first point that the direction is not more than half a sixteenth beyond;
    // past the last one it is north again.
    let beyond = |point: &u8| sixteenths < f64::from(*point) + 0.5;
    let nearest = (0..16u8).find(beyond).map_or(0, usize::from);
    Some(POINTS[nearest])
}

/// Where something moves, from its speed toward east and north: the direction in words.
pub(crate) fn toward(east: f64, north: f64) -> Option<&'static str> {
    compass(east.atan2(north).to_degrees())
}
