//! The radar's page.

/// The heading.
pub const HEADING: &str = "The radar";
/// Starts the loop.
pub const PLAY: &str = "Play";
/// Stops it.
pub const STOP: &str = "Stop";
/// All pictures.
pub const FRAMES: &str = "Pictures";
/// No picture young enough.
pub const NONE: &str = "There is no radar picture young enough to show. That does not mean that it \
                        is dry.";
/// What the coming pictures are.
pub const COMING_MEANS: &str = "Coming pictures carry the rain on as it moves now, without growing or \
                                dying. They lose their worth with every quarter of an hour; the \
                                chances on the session's page allow for that.";
/// What the two kinds of pictures are called: measured, and coming.
pub const KINDS: [&str; 2] = ["measured", "coming, if the rain goes on as it goes"];
/// Where the radar cannot see.
pub const BLIND: &str = "The beam climbs with distance: drizzle and shallow showers may pass beneath it, \
                         and rain aloft may dry out before the ground.";
/// No radar service covers the place.
pub const NO_SERVICE: &str = "No radar service is set up for this place.";
/// It is too early for radar.
pub const TOO_EARLY: &str = "The radar says something from about four hours before the session on.";
