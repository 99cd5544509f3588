//! The few lines that the command line says of itself.

use fairspell_studio::Session;

use crate::{clock::date_and_clock, text::one_line};

/// Stands over everything from an invented studio.
pub const INVENTED: &str = "Studio, people, places and weather here are invented.";

/// Stands where a letter would, while nothing is known.
pub const NO_LETTER: &str = "No letter: something that the ruling needs is not known, and nobody is \
                             told a guess.";

/// Stands where a letter would, while there is nothing to tell.
pub const NOTHING_TO_TELL: &str =
    "No letter: there is nothing yet, or no longer, that the family has to know.";

/// What the walk through the demo is about.
pub fn demo_opening(studio: &str, place: &str, session: &Session) -> String {
    format!(
        "{}, {}: {} with {}, {}. The forecast stays nearly dry, the sky does not.",
        one_line(studio),
        one_line(place),
        one_line(&session.sitter),
        one_line(&session.guardian),
        date_and_clock(session.start)
    )
}

/// Where a picture was drawn.
pub fn drawn(file: &str) -> String {
    format!("Drawn: {file}")
}
