//! Meshes in kilometres around a town, for the radar's pictures and for counting wet sky.

use fairspell_ground::LatLon;

/// Cells of the radar's pictures north and south of the middle one.
const HALF_ROWS: i32 = 80;
/// Cells east and west of the middle one.
const HALF_COLUMNS: i32 = 95;
/// Cells a degree.
const CELLS_PER_DEG: f64 = 100.0;

/// A mesh of straight rows and columns.
#[derive(Debug)]
pub(super) struct Grid {
    /// Latitude of each row, from the south; empty for a mesh in kilometres alone.
    pub(super) lat_deg: Vec<f64>,
    /// Longitude of each column, from the west; empty for a mesh in kilometres alone.
    pub(super) lon_deg: Vec<f64>,
    east_km: Vec<f64>,
    north_km: Vec<f64>,
}

impl Grid {
    /// The picture of a town's radar: hundredths of a degree, about 180 km square.
    ///
    /// Cells at 25 km/h that reach the town in three hours are inside.
    pub(super) fn around(town: LatLon) -> anyhow::Result<Self> {
        let degrees = |middle: f64, half: i32| -> Vec<f64> {
            let middle = (middle * CELLS_PER_DEG).round();
            (-half..=half).map(|cell| (middle + f64::from(cell)) / CELLS_PER_DEG).collect()
        };
        let lat_deg = degrees(town.lat_deg(), HALF_ROWS);
        let lon_deg = degrees(town.lon_deg(), HALF_COLUMNS);
        let mut east_km = Vec::with_capacity(lon_deg.len());
        for lon in &lon_deg {
            east_km.push(town.offset_km(LatLon::new(town.lat_deg(), *lon)?).0);
        }
        let mut north_km = Vec::with_capacity(lat_deg.len());
        for lat in &lat_deg {
            north_km.push(town.offset_km(LatLon::new(*lat, town.lon_deg())?).1);
        }
        Ok(Grid { lat_deg, lon_deg, east_km, north_km })
    }

    /// A square mesh with its middle at the town.
    pub(super) fn square(half_size_km: f64, mesh_km: f64) -> Self {
        let mut axis = Vec::new();
        let mut x = -half_size_km + mesh_km / 2.0;
        while x < half_size_km {
            axis.push(x);
            x += mesh_km;
        }
        let north_km = axis.clone();
        Grid { lat_deg: Vec::new(), lon_deg: Vec::new(), east_km: axis, north_km }
    }

    /// How many cells it has.
    pub(super) fn len(&self) -> usize {
        self.east_km.len() * self.north_km.len()
    }

    /// A field whose every cell is a function of its middle, km east and north.
    pub(super) fn fill(&self, value: impl Fn(f64, f64) -> f64) -> Vec<f64> {
        let row = |y: &f64| self.east_km.iter().map(|x| value(*x, *y)).collect::<Vec<_>>();
        self.north_km.iter().flat_map(row).collect()
    }

    /// Raises a field to at least a function's values within a square around a middle.
    pub(super) fn raise(
        &self,
        field: &mut [f64],
        middle_km: (f64, f64),
        reach_km: f64,
        value: impl Fn(f64, f64) -> f64,
    ) {
        let span = |axis: &[f64], middle: f64| {
            axis.partition_point(|at| *at < middle - reach_km)
                ..axis.partition_point(|at| *at <= middle + reach_km)
        };
        let columns = span(&self.east_km, middle_km.0);
        for row in span(&self.north_km, middle_km.1) {
            for column in columns.clone() {
                let cell = &mut field[row * self.east_km.len() + column];
                *cell = value(self.east_km[column], self.north_km[row]).max(*cell);
            }
        }
    }

    /// The share of wet cells (above zero) among those that belong; 0 when none belongs.
    pub(super) fn share(&self, field: &[f64], belongs: impl Fn(f64, f64) -> bool) -> f64 {
        let (mut wet, mut all) = (0_u32, 0_u32);
        for (row, y) in self.north_km.iter().enumerate() {
            for (column, x) in self.east_km.iter().enumerate() {
                if belongs(*x, *y) {
                    all += 1;
                    wet += u32::from(field[row * self.east_km.len() + column] > 0.0);
                }
            }
        }
        if all == 0 { 0.0 } else { f64::from(wet) / f64::from(all) }
    }
}
