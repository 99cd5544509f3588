//! The first start: a place, tonight's hours, a passphrase.

use jiff::civil;

use crate::clock::date;

/// The page's heading.
pub const HEADING: &str = "Your studio begins here";
/// What is asked.
pub const ASKS: &str = "Three things, and you see tonight: where, when, and a passphrase that keeps \
                        others out. Everything else has a default that you can change later.";
/// Heads the place.
pub const WHERE: &str = "Where?";
/// The position's field.
pub const PLACE: &str = "Where you would stand tonight";
/// Goes on.
pub const GO_ON: &str = "Go on";
/// Heads the map.
pub const MAP_HEADING: &str = "Or choose it on the map";
/// The whole world.
pub const MAP_WORLD: &str = "Touch about where it is; the map comes nearer.";
/// A region.
pub const MAP_REGION: &str = "Touch again, nearer. Towns are there to find your way.";
/// A town.
pub const MAP_TOWN: &str = "Touch the place itself.";
/// The map was sent without a touch.
pub const MAP_UNTOUCHED: &str = "The map works by touch or mouse. By keyboard, please paste a \
                                 position above.";
/// Shows the whole world again.
pub const MAP_WIDER: &str = "The whole world again";
/// Heads what is asked on the second page.
pub const TONIGHT: &str = "Tonight";
/// Another place.
pub const OTHER_PLACE: &str = "Another place";
/// Begins.
pub const FROM: &str = "From";
/// Ends.
pub const TO: &str = "To";
/// The passphrase's field.
pub const PASSPHRASE: &str = "Choose a passphrase";
/// What it should be.
pub const PASSPHRASE_HINT: &str = "At least 10 characters; four words of your own do well. You need it \
                                   on every telephone or computer that opens your studio.";
/// Makes what is typed readable.
pub const SHOW: &str = "Show it";
/// Hides it again.
pub const HIDE: &str = "Hide it";
/// Begins.
pub const BEGIN: &str = "Show me the evening";
/// Heads the page of a studio that has everything but a passphrase.
pub const ONLY_PASSPHRASE: &str = "Choose a passphrase";
/// What it is for.
pub const ONLY_PASSPHRASE_MEANS: &str =
    "Your studio is all here. Before it opens, choose the passphrase that keeps others out.";
/// Keeps it.
pub const KEEP: &str = "Keep it and open the studio";
/// The passphrase was kept, something else was wrong.
pub const PASSPHRASE_KEPT: &str = "Your passphrase is kept.";
/// The page is opened from elsewhere.
pub const NOT_FROM_HERE: &str = "Not from here";
/// Why.
pub const NOT_FROM_HERE_MEANS: &str = "A new studio is set up on its own computer or from the same home \
                                       network, so that nobody else can take it.";
/// The end lies before the beginning.
pub const HOURS_WRONG: &str = "The end has to come after the beginning.";
/// The sun does not rise high enough.
pub const NO_LIGHT: &str = "On this date the sun stays too low there for portraits by daylight.";
/// The sun does not go down.
pub const NO_NIGHT: &str = "On this date it stays light there all night.";

/// The studio's name until she gives it one.
pub const STUDIO: &str = "My studio";
/// The first spot.
pub const SPOT: &str = "First spot";
/// The first session's sitter.
pub const SITTER: &str = "Tonight";
/// Its look.
pub const LOOK: &str = "First look";

/// The clock of the place: "Clocks there: Australia/Sydney".
pub fn zone(name: &str) -> String {
    format!("Clocks there: {name}")
}

/// When the last light is usable: "Last usable light: 18:02".
pub fn last_light(at: civil::DateTime) -> String {
    format!("Last usable light: {}", at.strftime("%H:%M"))
}

/// Tonight's light is gone.
pub fn tomorrow(day: civil::Date) -> String {
    format!("Today's light is used up, so this is tomorrow evening, {}.", date(day))
}

/// What the small map shows.
pub fn map_title(width_km: f64) -> String {
    if width_km > 30_000.0 {
        "The whole world".to_owned()
    } else {
        format!("Map, {width_km:.0} km wide")
    }
}

/// The same at length.
pub fn map_description(position: &str) -> String {
    format!("Coast and towns around {position}.")
}

/// A passphrase of the wrong length.
pub fn passphrase_wrong(shortest: usize, longest: usize) -> String {
    format!("Please take from {shortest} to {longest} characters.")
}
