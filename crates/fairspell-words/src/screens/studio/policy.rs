//! The owner's thresholds, with their units.

use fairspell_studio::PolicyError;

use crate::text::capital;

/// The page's heading.
pub const HEADING: &str = "Policy";
/// What these numbers are.
pub const MEANS: &str = "By these numbers the program says where a session stands. They are yours: none \
                         is a law of nature, and what stands behind each field is common practice.";
/// Restores them.
pub const DEFAULTS: &str = "Fill in common practice everywhere";

/// The chance of rain, up to the last reading.
pub const ANY_RAIN: &str = "Chance of any rain in the booked hours, until hair and make-up begin";
/// From this on it is watched.
pub const WATCH_FROM: &str = "Watched from";
/// Above this the family chooses.
pub const CHOICE_ABOVE: &str = "The family's choice above";
/// Above this we advise moving.
pub const ADVISE_ABOVE: &str = "Moving is advised above";
/// The chance of a gap, from the chair on.
pub const GAP: &str = "Chance of one dry gap, from hair and make-up on";
/// From this on it is settled.
pub const SETTLED_FROM: &str = "Settled from";
/// From this on the step is to go.
pub const GO_FROM: &str = "Go from";
/// From this on waiting is worth while.
pub const WAIT_FROM: &str = "Waiting is worth while from";
/// The gap's length.
pub const RESCUE_SET: &str = "The least that a session needs, dry on end";
/// Safety.
pub const SAFETY: &str = "Safety";
/// Heat.
pub const HEAT: &str = "Too hot from";
/// Cold.
pub const COLD: &str = "Too cold below";
/// Wind.
pub const GUST: &str = "Too windy for gusts above";
/// The hours.
pub const TIMES: &str = "Hours";
/// The evening before.
pub const EVENING: &str = "The reading on the evening before, at";
/// The day itself.
pub const MORNING: &str = "The reading on the day, at";
/// Where the light ends.
pub const LAST_LIGHT: &str = "Work ends at the latest with the sun at this height";
/// What a negative height is.
pub const LAST_LIGHT_HINT: &str = "Negative: below the horizon.";
/// The arrival.
pub const ARRIVE: &str = "You want to be there before the start by";
/// The way home.
pub const DRIVER: &str = "The way home: beyond this the program says to stay the night";
/// When she wants to be home.
pub const HOME_BY: &str = "Home by";
/// How long she drives home.
pub const DRIVE_HOME: &str = "The longest drive home";
/// Gold and blue.
pub const LIGHT_HOURS: &str = "Golden and blue light, by the sun's height";
/// Where gold begins.
pub const GOLDEN_FROM: &str = "Golden below";
/// Where gold ends.
pub const GOLDEN_TO: &str = "Blue below";
/// Where blue ends.
pub const BLUE_TO: &str = "Blue ends at";
/// Blue would end before it began.
pub const BLUE_ABOVE_GOLD: &str = "Blue light has to end below the height at which gold ends.";
/// The camera, which says when there is too little light.
pub const CAMERA: &str = "The least light you work in, and your camera";
/// The slowest shutter.
pub const SHUTTER: &str = "Slowest shutter for a face, one part of a second in";
/// The widest aperture.
pub const F_NUMBER: &str = "Widest aperture";
/// The highest sensitivity.
pub const ISO: &str = "Highest sensitivity that you deliver";
/// The sensor.
pub const SENSOR_WIDTH: &str = "Width of the sensor";
/// Its pixels.
pub const PIXELS_ACROSS: &str = "Pixels across it";
/// The lens.
pub const LENS: &str = "The lens that you portray with";
/// In the field.
pub const FIELD: &str = "In the field: what hair and an umbrella bear, and what a set takes";
/// Damp hair.
pub const HAIR_DAMP: &str = "Hair looks damp after";
/// Wet hair.
pub const HAIR_WET: &str = "Hair is wet after";
/// What comes through an umbrella.
pub const UMBRELLA: &str = "Rain that a clear umbrella lets through to hair and shoulders";
/// The wind for it.
pub const UMBRELLA_GUST: &str = "No umbrella in gusts above";
/// From one outfit to the next.
pub const CHANGE: &str = "Changing from one look to the next";
/// A set in the open.
pub const OPEN_SET: &str = "A set in the open";
/// A set under a roof.
pub const SHELTERED_SET: &str = "A set under a roof or an umbrella";
/// Its short form.
pub const SHORT_SET: &str = "The short form of either: the safe pictures";
/// The promise.
pub const PICTURES: &str = "Finished pictures promised of each look";
/// Pictures.
pub const PICTURES_UNIT: &str = "pictures";
/// Water on hair: a minute of 1 mm/h is 16.7 of these.
pub const WATER: &str = "g of water on a square metre; a minute in rain of 1 mm/h is 17";
/// How old a source may be.
pub const FRESH: &str = "A source is too old to rely on after";
/// A forecast.
pub const FRESH_FORECAST: &str = "A forecast";
/// The list of warnings.
pub const FRESH_WARNINGS: &str = "The list of official warnings";
/// A radar picture.
pub const FRESH_RADAR: &str = "A radar picture";
/// A clock time is wrong.
pub const TIME_WRONG: &str = "Please give a time, such as 18:00.";

/// Per cent.
pub const PERCENT: &str = "%";
/// Degrees Celsius.
pub const CELSIUS: &str = "°C felt";
/// Kilometres an hour.
pub const KM_H: &str = "km/h";
/// Degrees of arc.
pub const DEGREES: &str = "degrees";
/// 250 for 1/250 s.
pub const OF_A_SECOND: &str = "250 is 1/250 s";
/// The aperture's letter.
pub const F: &str = "f-number";
/// The sensitivity's scale.
pub const ISO_UNIT: &str = "ISO";
/// Millimetres.
pub const MM: &str = "mm";
/// Pixels.
pub const PIXELS: &str = "pixels";
/// Minutes.
pub const MINUTES: &str = "minutes";

/// Behind a field: "%; common practice: 15; between 0 and 100".
pub fn hint(unit: &str, usual: &str, (low, high): (f64, f64)) -> String {
    format!("{unit}; common practice: {usual}; from {low} to {high}")
}

/// Behind a field with a clock time.
pub fn time_hint(usual: &str) -> String {
    format!("Common practice: {usual}")
}

/// A number cannot be read.
pub fn number_wrong((low, high): (f64, f64), whole: bool) -> String {
    let whole = if whole { "whole " } else { "" };
    format!("Please give a {whole}number from {low} to {high}.")
}

/// The numbers contradict each other, or one cannot be.
pub fn contradiction(error: &PolicyError) -> String {
    match error {
        PolicyError::Overlap { what, lower, upper } => format!(
            "Two edges meet, so that one stretch would be empty ({what}): {lower} % must be below \
             {upper} %."
        ),
        PolicyError::OverHundred(percent) => {
            format!("{percent} % is more than 100 %.")
        }
        PolicyError::OutOfRange { what, value } => {
            format!("{} cannot be {value}.", capital(what))
        }
    }
}
