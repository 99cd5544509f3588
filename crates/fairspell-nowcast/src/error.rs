//! Why no rain field could be read.

use fairspell_ground::{GroundError, LatLon};

/// What can be wrong with a radar file, by what the caller may do about it.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RadarError {
    /// Not a radar file at all: look whether the right thing was fetched.
    #[error("expected GRIB2, HDF5 or NetCDF, found {0}")]
    Format(String),
    /// Cut short or corrupted: fetch it again.
    #[error("damaged {format}: {cause}")]
    Damaged {
        /// The file format.
        format: &'static str,
        /// What does not fit together.
        cause: String,
    },
    /// A sound file of something else: choose another product of the service.
    #[error("expected {expected}, found {found}")]
    Quantity {
        /// What we can use.
        expected: &'static str,
        /// What is there.
        found: String,
    },
    /// The right thing, written in a way that we do not read.
    #[error("cannot read {what}: `{found}`")]
    Unsupported {
        /// The part of the file that it is about.
        what: &'static str,
        /// What is there.
        found: String,
    },
    /// Something without which the numbers mean nothing is not in the file.
    #[error("the file has no {0}")]
    Missing(String),
    /// More cells than any radar picture has; nothing was allocated.
    #[error("{cells} cells are more than the {most} that a radar picture may have")]
    TooLarge {
        /// What the file declares.
        cells: u64,
        /// What we accept.
        most: usize,
    },
    /// The place lies outside the map: this radar does not see it.
    #[error("nothing within {radius_km} km of {centre} lies on the radar's map")]
    OutsideMap {
        /// The place that was asked for.
        centre: LatLon,
        /// The distance that was asked for, km.
        radius_km: f64,
    },
    /// The map projection cannot be used.
    #[error(transparent)]
    Projection(#[from] GroundError),
}
