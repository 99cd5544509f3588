//! Projections and grids as files describe them.

use fairspell_ground::Projection;

use crate::{Grid, RadarError};

/// What of a PROJ string describes the map. The rest names units (we always work in metres), files
/// of the projection library or shifts between datums, none of which a radar file should ask for.
const MAP_KEYS: [&str; 23] = [
    "proj", "lat_0", "lon_0", "lat_1", "lat_2", "lat_ts", "k", "k_0", "x_0", "y_0", "R", "a", "b",
    "f", "rf", "es", "ellps", "datum", "zone", "south", "alpha", "gamma", "lonc",
];

/// A projection in metres (or degrees) from a PROJ string found in a file.
pub(super) fn projection(proj_string: &str) -> Result<Projection, RadarError> {
    let mut kept = String::new();
    for parameter in proj_string.split_ascii_whitespace() {
        let parameter = parameter.trim_start_matches('+');
        let key = parameter.split('=').next().unwrap_or_default();
        if MAP_KEYS.contains(&key) {
            if !kept.is_empty() {
                kept.push(' ');
            }
            kept.push('+');
            kept.push_str(parameter);
        }
    }
    Ok(Projection::from_proj_string(&kept)?)
}

/// Refuses a grid whose numbers cannot be positions.
pub(super) fn checked(grid: Grid) -> Result<Grid, RadarError> {
    let finite = grid.x_first.is_finite() && grid.y_first.is_finite();
    let stepping = |step: f64| step.is_finite() && step > 0.0;
    if grid.rows == 0 || grid.columns == 0 {
        return Err(RadarError::Missing("cells".to_owned()));
    }
    if !finite || !stepping(grid.x_step) || !stepping(grid.y_step) {
        return Err(RadarError::Unsupported {
            what: "the grid",
            found: format!(
                "first {}, {}, step {}, {}",
                grid.x_first, grid.y_first, grid.x_step, grid.y_step
            ),
        });
    }
    Ok(grid)
}
