//! Places: where one can stand, what keeps rain off, where it is safe in thunder.

use fairspell_studio::{
    Session,
    spot::{Cover, Refuge, WindExposure},
};

use crate::{
    clock::date_and_clock,
    text::{capital, one_line},
};

/// The page's heading.
pub const HEADING: &str = "Places";
/// Begins a new spot.
pub const NEW: &str = "New spot";
/// Heads an empty form.
pub const NEW_HEADING: &str = "A new spot";
/// There is no spot.
pub const NO_SPOT: &str = "No spot is here yet. A session needs at least one place to stand.";
/// Heads the map.
pub const MAP: &str = "The spots on a map";
/// What the cross on the map is.
pub const MAP_CROSS: &str = "The cross is home.";
/// Nobody looked for a refuge.
pub const NOBODY_LOOKED: &str = "nobody has looked yet";
/// The shore's mark.
pub const ON_THE_SHORE: &str = "On the shore: warnings of surf and high water concern it.";

/// What people call the spot.
pub const NAME: &str = "Name";
/// The position's field.
pub const POSITION: &str = "Position";
/// How it may be written.
pub const POSITION_HINT: &str = "Paste coordinates or the link of a map: -31.7252, 152.7741, or \
                                 31°43'31\"S 152°46'27\"E.";
/// Heads the map on which a spot is chosen.
pub const ON_THE_MAP: &str = "On the map";
/// What a touch does.
pub const TOUCH: &str = "Touch the map where it is; the position below follows. Or type it there.";
/// After a touch.
pub const TOUCH_AGAIN: &str = "The cross is the position below. Touch again to put it right.";
/// The photograph's field.
pub const PHOTO: &str = "Or a photograph taken there";
/// What happens to it.
pub const PHOTO_HINT: &str =
    "Only the position that the camera noted is read. The photograph is not kept.";
/// Heads the two ratings.
pub const COVER_AND_REFUGE: &str = "Dry under, safe in thunder";
/// The cover's field.
pub const COVER: &str = "Dry under";
/// The refuge's field.
pub const REFUGE: &str = "Safe in thunder";
/// What counts as safe.
pub const REFUGE_HINT: &str = "A substantial building or a closed car; a porch, an open shed or a \
                               tree is none. Leave it empty while nobody has looked.";
/// The walk to it.
pub const REFUGE_MINUTES: &str = "Walk to it, minutes";
/// Heads wind and skyline.
pub const WIND_AND_SKYLINE: &str = "Wind and skyline";
/// The factor's field.
pub const GUST_FACTOR: &str = "Gusts there, as a multiple of the forecast's";
/// What is usual.
pub const GUST_FACTOR_HINT: &str =
    "1 is as forecast; an open beach has about 1.3, a courtyard less.";
/// The limit's field.
pub const GUST_LIMIT: &str = "Looks go elsewhere from gusts of, km/h";
/// It may stay empty.
pub const GUST_LIMIT_HINT: &str = "Gusts as they are at the spot. Leave it empty for no limit.";
/// The skyline's field.
pub const SKYLINE: &str = "What hides the sun, one line each";
/// How it is written.
pub const SKYLINE_HINT: &str = "Direction from, to, and height in degrees: \"240-295: 8\" is a hill \
                                from west-south-west to west-north-west. North is 0, east 90. A fist \
                                at arm's length is about 10 high. Where it is not all of one height, give \
                                the height in some directions: \"240: 3; 260: 8; 290: 5\".";
/// The shore's field.
pub const SHORE: &str = "It lies on the shore";

/// Deletes.
pub const DELETE: &str = "Delete this spot";
/// What deleting does.
pub const DELETE_MEANS: &str = "It can be undone.";
/// Heads the answer to a spot in use.
pub const IN_USE: &str = "This spot is still in use";
/// What to do about it.
pub const IN_USE_MEANS: &str = "Nothing was deleted. These sessions have looks there; give the looks \
                                another spot first.";
/// To the spots.
pub const TO_PLACES: &str = "To all places";

/// There is neither position nor photograph.
pub const POSITION_NEEDED: &str = "Please give a position, or a photograph that carries one.";
/// The position cannot be read.
pub const POSITION_UNREADABLE: &str = "This cannot be read as one place. Two numbers do, degrees \
                                       north and degrees east, such as -31.7252, 152.7741.";
/// The position is not on the globe.
pub const POSITION_OUT_OF_RANGE: &str = "There is no such place. The first number is degrees north, \
                                         from -90 to 90, the second degrees east.";
/// A link without a position.
pub const POSITION_LINK: &str = "This link holds no position. Open it, and copy the coordinates or \
                                 the whole address from there.";
/// Another grid.
pub const POSITION_GRID: &str = "This position belongs to another grid. Please paste it as degrees \
                                 north and east.";
/// No photograph.
pub const PHOTO_UNREADABLE: &str =
    "This file could not be read as a photograph with a camera's notes.";
/// No position in it.
pub const PHOTO_WITHOUT: &str = "This photograph carries no position. Many programs take it out when \
                                 a photograph is sent; the original may still have it.";
/// An impossible position in it.
pub const PHOTO_IMPOSSIBLE: &str = "What this photograph notes is no position on the globe.";
/// The minutes without the refuge.
pub const REFUGE_NAME_WRONG: &str = "Please say what it is, or leave the minutes empty too.";

/// A kind of cover.
pub fn cover(cover: Cover) -> &'static str {
    match cover {
        Cover::None => "nothing, open sky",
        Cover::Partial => "a ledge or branches, which drip",
        Cover::Roof => "a roof",
    }
}

/// What keeps rain off: "Dry under: a roof".
pub fn dry_under(rated: Cover) -> String {
    format!("Dry under: {}", cover(rated))
}

/// Where it is safe: "Safe in thunder: Net Store, 3 minutes' walk".
pub fn safe_in_thunder(refuge: Option<&Refuge>) -> String {
    match refuge {
        None => format!("Safe in thunder: {NOBODY_LOOKED}"),
        Some(Refuge { name, minutes: 0 }) => {
            format!("Safe in thunder: {}, at the spot itself", one_line(name))
        }
        Some(Refuge { name, minutes: 1 }) => {
            format!("Safe in thunder: {}, 1 minute's walk", one_line(name))
        }
        Some(Refuge { name, minutes }) => {
            format!("Safe in thunder: {}, {minutes} minutes' walk", one_line(name))
        }
    }
}

/// What wind it bears: "Up to gusts of 40 km/h there; 1.3 times the forecast's".
pub fn wind(wind: &WindExposure) -> String {
    let factor = wind.gust_factor;
    let times = if (factor - 1.0).abs() < 0.005 {
        "as forecast".to_owned()
    } else {
        format!("{factor} times the forecast's")
    };
    match wind.gust_limit_km_h {
        Some(limit) => format!("Up to gusts of {limit} km/h there; {times}"),
        None => format!("No wind limit of its own; gusts {times}"),
    }
}

/// How far from home: "2.3 km from home".
pub fn from_home(distance_km: f64) -> String {
    if distance_km < 0.1 {
        "At home".to_owned()
    } else if distance_km < 10.0 {
        format!("{distance_km:.1} km from home")
    } else {
        format!("{distance_km:.0} km from home")
    }
}

/// A position in words: "31.7252 S, 152.7741 E".
pub fn position(lat_deg: f64, lon_deg: f64) -> String {
    let north = if lat_deg < 0.0 { "S" } else { "N" };
    let east = if lon_deg < 0.0 { "W" } else { "E" };
    format!("{:.4} {north}, {:.4} {east}", lat_deg.abs(), lon_deg.abs())
}

/// How wide the map is, for those who cannot see it.
pub fn map_description(spots: usize, width_km: f64) -> String {
    let spots = if spots == 1 { "1 spot".to_owned() } else { format!("{spots} spots") };
    format!("{spots} around home, with the coast; the map is {width_km:.0} km wide.")
}

/// A line of the skyline that cannot be read.
pub fn skyline_wrong(line: usize, text: &str) -> String {
    format!(
        "Line {line}, \"{}\", cannot be read. One looks like \"240-295: 8\": from, to, height.",
        one_line(text)
    )
}

/// A session that stands in the way: "Linh, Thu 3 Sep, 15:15".
pub fn session_there(session: &Session) -> String {
    capital(&format!("{}, {}", one_line(&session.sitter), date_and_clock(session.start)))
}
