//! What a spot is like to light and water, as its form asks for it.

use fairspell_studio::site::{Ground, Side};

use crate::{
    compass::compass,
    text::{and_list, one_line},
};

/// Heads what decides the light.
pub const LIGHT: &str = "What the light finds there";
/// The ground's field.
pub const GROUND: &str = "One stands on";
/// Nobody said.
pub const NOT_SAID: &str = "not said";
/// The open sides.
pub const OPENS_TO: &str = "One can look out to (none ticked: all round)";
/// The dark sides.
pub const DARK_TOWARDS: &str = "Something dark stands behind, looking to";
/// Why it is asked.
pub const DARK_HINT: &str = "Dark trees or an arch: rims of light and rain show against them.";
/// What stands behind.
pub const BACKDROPS: &str = "What stands behind a face there, one line each";
/// Heads the roof.
pub const ROOF: &str = "Roof and leaves";
/// The roof's open side.
pub const ROOF_OPENS: &str = "The roof is open to";
/// There is no roof.
pub const NO_ROOF: &str = "there is no roof";
/// The edge's height.
pub const ROOF_EDGE: &str = "Height of its edge above the ground, metres";
/// The depth.
pub const ROOF_DEPTH: &str = "How far one can go in under it, metres";
/// The leaves.
pub const LEAVES: &str = "Of a hundred parts of light, leaves overhead let through";
/// When to leave it empty.
pub const LEAVES_HINT: &str = "A thin crown 50, a thick one 10. Leave it empty without leaves.";
/// The lamps.
pub const LAMPS: &str = "Lamps light it after dark";
/// Heads water and hours.
pub const WATER: &str = "Water, hours, the walk";
/// The lowest tide.
pub const TIDE_FROM: &str = "Needs a tide of at least, metres";
/// Why.
pub const TIDE_FROM_HINT: &str =
    "A mirror or a pool needs water. Leave it empty if none is needed.";
/// The highest tide.
pub const TIDE_TO: &str = "Is under water from a tide of, metres";
/// Heights of what.
pub const TIDE_TO_HINT: &str = "Metres as in the studio's tide. Leave it empty for no limit.";
/// Room.
pub const TIDE_WIDE: &str = "Has all its room up to a tide of, metres";
/// The hours.
pub const HOURS: &str = "Open, one line each";
/// How they are written.
pub const HOURS_HINT: &str = "\"8:00-19:30\" is every day, \"Tue Thu 8:00-19:30\" those days. Leave \
                              it empty if it is always open.";
/// The walk.
pub const WALK: &str = "Walk from the car, minutes";

/// What the road passes.
pub const ROAD: &str = "What the road from home passes, one line each";
/// How it is written.
pub const ROAD_HINT: &str = "Name, degrees north, degrees east, and what shuts it: \"Gannet Ford, -32.42, \
                             152.44, tide 1.65 swell, rain 60\" is under water above 1.65 m when a swell \
                             runs, and after 60 mm of rain in 24 hours; \"open 5:00-22:00\" is a ferry's hours. \
                             It is looked at on the way there and on the way home.";

/// A roof of which half was said.
pub const ROOF_WHOLE: &str = "A roof needs its open side, the height of its edge and its depth.";
/// A tide limit below another.
pub const TIDE_ORDER: &str = "This must be above the other two heights of the tide.";

/// A line of hours that cannot be read.
pub fn hours_wrong(line: usize, text: &str) -> String {
    format!(
        "Line {line}, \"{}\", cannot be read. One looks like \"Tue Thu 8:00-19:30\".",
        one_line(text)
    )
}

/// A line of the road that cannot be read.
pub fn road_wrong(line: usize, text: &str) -> String {
    format!(
        "Line {line}, \"{}\", cannot be read. One looks like \"Gannet Ford, -32.42, 152.44, tide 1.65\".",
        one_line(text)
    )
}

/// How backdrops are written, and which of them the table of looks knows.
pub fn backdrops_hint(known: &[&str]) -> String {
    let known: Vec<String> = known.iter().map(|name| one_line(name)).collect();
    let all = "\"dry grass\" is all year, \"dry grass: Dec-Mar\" those months.";
    if known.is_empty() {
        return all.to_owned();
    }
    format!("{all} Your table of looks knows {}.", and_list(&known))
}

/// A line of backdrops that cannot be read.
pub fn backdrops_wrong(line: usize, text: &str) -> String {
    format!(
        "Line {line}, \"{}\", cannot be read. One looks like \"dry grass: Dec-Mar\".",
        one_line(text)
    )
}

/// A kind of ground.
pub fn ground(ground: Ground) -> &'static str {
    match ground {
        Ground::Grass => "grass, heath",
        Ground::Sand => "dry sand",
        Ground::WetSand => "wet sand",
        Ground::Stone => "pale stone, concrete, shells",
        Ground::Boards => "weathered boards",
        Ground::Earth => "earth, dead leaves",
        Ground::Asphalt => "asphalt, dark brick",
        Ground::Water => "boards over water",
        Ground::Snow => "snow",
    }
}

/// A side of the compass: "north-east".
pub fn side(side: Side) -> &'static str {
    compass(side.azimuth_deg()).unwrap_or_default()
}

/// Leave to work there.
pub const PERMIT: &str = "Permit";
/// How long ahead.
pub const PERMIT_DAYS: &str = "To be asked for so many days ahead";
/// When it stays empty.
pub const PERMIT_DAYS_HINT: &str = "Empty where nobody asks for one.";
/// What it costs.
pub const PERMIT_FEE: &str = "Its fee, in your currency";
/// What a move does to it.
pub const PERMIT_MOVES: &str = "It can be moved to another date for nothing";
/// A fee without a permit.
pub const PERMIT_DAYS_NEEDED: &str =
    "Please say how many days ahead it must be asked for; 0 if the same day will do.";
