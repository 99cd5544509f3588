//! What had to be left out of a radar file, or guessed.

use std::fmt;

use jiff::Timestamp;
use serde::Serialize;

/// Something about a radar file that did not stop us from reading it.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "remark", rename_all = "snake_case")]
pub enum RadarRemark {
    /// Rain rates that no sky has (negative without being a known code, or beyond
    /// [`RAIN_RATE_MAX_MM_H`](crate::readers::RAIN_RATE_MAX_MM_H)) were taken as not measured.
    ImpossibleRates {
        /// The picture that they stood in.
        valid_time: Timestamp,
        /// How many cells.
        cells: usize,
        /// The first of them, mm/h.
        example_mm_h: f32,
    },
    /// Cells that show something else than rain took the rate of their surroundings, see
    /// [`clutter`](crate::clutter).
    Clutter {
        /// The picture that they stood in.
        valid_time: Timestamp,
        /// How many cells.
        cells: usize,
        /// Those of them that had too few measured neighbours and count as not measured now.
        not_measured: usize,
        /// The highest rate among them, mm/h.
        largest_mm_h: f32,
    },
    /// A picture or message in the file could not be read; the others could.
    PictureLost {
        /// Which one, counted from 0.
        index: usize,
        /// Why.
        cause: String,
    },
    /// The file holds several that would do; the first was taken.
    SeveralCandidates {
        /// The one that was taken.
        chosen: String,
        /// The others.
        others: Vec<String>,
    },
    /// Nothing but its unit says that this variable is a rain rate.
    ChosenByUnit {
        /// The variable.
        variable: String,
        /// Its unit.
        unit: String,
    },
    /// The file does not say how large the earth is on its map; WGS 84 was assumed, which may move
    /// the picture by up to about 20 km.
    EarthAssumed,
}

impl fmt::Display for RadarRemark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            RadarRemark::ImpossibleRates { valid_time, cells, example_mm_h } => write!(
                f,
                "{cells} cells with impossible rain rates (such as {example_mm_h} mm/h) at \
                 {valid_time} taken as not measured"
            ),
            RadarRemark::Clutter { valid_time, cells, not_measured, largest_mm_h } => write!(
                f,
                "{cells} cells of clutter (up to {largest_mm_h} mm/h) at {valid_time} mended, \
                 {not_measured} of them taken as not measured"
            ),
            RadarRemark::PictureLost { index, cause } => {
                write!(f, "picture {index} left out: {cause}")
            }
            RadarRemark::SeveralCandidates { chosen, others } => {
                write!(f, "took `{chosen}`, left `{}`", others.join("`, `"))
            }
            RadarRemark::ChosenByUnit { variable, unit } => {
                write!(f, "took `{variable}` for a rain rate by its unit `{unit}` alone")
            }
            RadarRemark::EarthAssumed => {
                f.write_str("the map does not say the earth's size, WGS 84 assumed")
            }
        }
    }
}
