//! The owner's table of colours and fabrics.

use fairspell_studio::{LookTable, LookTableError};

use crate::text::one_line;

/// The page's heading.
pub const HEADING: &str = "Looks";
/// What the table is for.
pub const MEANS: &str = "What colours do in front of a backdrop, and what rain does to fabrics. A session's \
                         page goes by it. The rows that came with the program are common practice; \
                         change, add and empty them as you see fit.";
/// How rows are found.
pub const FOUND: &str = "A row is found by its words: a look in \"dusty sage\" goes by the row \"sage\". Rows \
                         without a name are passed over. More empty rows come when you save.";
/// Fabrics.
pub const FABRICS: &str = "Fabrics";
/// A fabric's name.
pub const FABRIC: &str = "Fabric";
/// It can carry a colour.
pub const FABRIC_HINT: &str = "With its colour where that matters, such as \"mid-grey cotton\".";
/// Drops show.
pub const SHOWS_DROPS: &str = "Drops show";
/// For good.
pub const MARKS_FOR_GOOD: &str = "Water marks it for good";
/// It collapses or sags.
pub const LOSES_SHAPE: &str = "Loses its shape when wet";
/// How long drops take to dry.
pub const DRIES: &str = "Dries in, minutes";
/// Colours.
pub const PAIRINGS: &str = "Colours and backdrops";
/// A backdrop may stay empty.
pub const PAIRINGS_HINT: &str = "Leave the backdrop empty for whatever stands behind.";
/// The colour.
pub const COLOUR: &str = "Colour";
/// The backdrop.
pub const BACKDROP: &str = "In front of";
/// How they go together.
pub const VERDICT: &str = "It";
/// Hair and shoes.
pub const HAIR_AND_SHOES: &str = "Hair and shoes";
/// The humidity.
pub const HUMID: &str = "Curls drop from a humidity of, %";
/// The wind.
pub const HAIR_GUST: &str = "Open hair minds gusts at the spot from, km/h";
/// Shoes.
pub const SHOES: &str = "Shoes that sink in, one line each";
/// Restores common practice.
pub const DEFAULTS: &str = "Fill in common practice everywhere";
/// A backdrop without a colour.
pub const COLOUR_NEEDED: &str = "Please name the colour, or empty its backdrop too.";
/// A row without a name that says something.
pub const FABRIC_NEEDED: &str = "Please name the fabric, or empty the rest of its row.";

/// A row's number: "Fabric 2".
pub fn fabric_row(number: usize) -> String {
    format!("Fabric {number}")
}

/// A row's number: "Pairing 2".
pub fn pairing_row(number: usize) -> String {
    format!("Pairing {number}")
}

/// The table in one line of the studio's list.
pub fn line(table: &LookTable) -> String {
    let count = |count: usize, one: &str, more: &str| match count {
        0 => format!("no {more}"),
        1 => format!("1 {one}"),
        count => format!("{count} {more}"),
    };
    let fabrics = count(table.fabrics.len(), "fabric", "fabrics");
    let pairings = count(table.pairings.len(), "pairing", "pairings");
    format!("{fabrics}, {pairings} of colour and backdrop")
}

/// Why a table cannot be kept.
pub fn wrong(error: &LookTableError) -> String {
    match error {
        LookTableError::NoName(_) => "Please write a name with letters in it.".to_owned(),
        LookTableError::Twice(name) => {
            format!("\"{}\" stands here twice. Please keep one of them.", one_line(name))
        }
        LookTableError::OutOfRange { .. } => "One of the figures cannot be.".to_owned(),
    }
}
