//! Small radar pictures, made for a test.

use std::path::{Path, PathBuf};

use fairspell_ground::{LatLon, Projection};
use fairspell_nowcast::{
    Grid,
    writers::cf::{About, CfFile},
};
use jiff::{SignedDuration, Timestamp};
use ndarray::Array2;
use netcdf_writer::{NcAttrValue, NcFileBuilder, NcWriteFormat, NcWriteOptions};

/// Cells along each side.
pub(crate) const SIDE: usize = 80;
/// Size of a cell, km.
pub(crate) const CELL_KM: f64 = 2.0;
/// The middle of the pictures, and how it is typed.
pub(crate) const PLACE: &str = "-31.7252,152.7741";
/// The moment from which minutes count.
pub(crate) const NOON: &str = "2026-09-03T04:30:00Z";

pub(crate) fn moment(minute: i64) -> Timestamp {
    NOON.parse::<Timestamp>().unwrap() + SignedDuration::from_mins(minute)
}

/// Rain rate by kilometres east and north of the middle.
pub(crate) type Sky<'s> = &'s dyn Fn(f64, f64) -> f32;

/// Writes a picture of so many minutes after [`NOON`] on an equal-area map around [`PLACE`].
pub(crate) fn put(folder: &Path, minute: i64, sky: Sky<'_>) -> PathBuf {
    let file = folder.join(format!("radar_{:04}.nc", minute + 1000));
    std::fs::write(&file, picture(moment(minute), sky)).unwrap();
    file
}

/// The map of [`put_in_degrees`]: 150 km each way around [`PLACE`], more rows than columns.
pub(crate) fn degrees() -> Grid {
    Grid {
        projection: Projection::degrees(),
        x_first: 152.7741 - 0.79,
        y_first: -31.7252 + 0.84,
        x_step: 0.02,
        y_step: 0.02,
        rows: 85,
        columns: 80,
    }
}

/// Writes a picture as [`put`] does, on a map in degrees.
pub(crate) fn put_in_degrees(folder: &Path, minute: i64, sky: Sky<'_>) -> PathBuf {
    let grid = degrees();
    let middle: LatLon = PLACE.parse().unwrap();
    let rates = Array2::from_shape_fn((grid.rows, grid.columns), |(row, column)| {
        let point = grid.point_at(row as f64, column as f64).unwrap();
        let (east_km, north_km) = middle.offset_km(point);
        sky(east_km, north_km)
    });
    let valid_times = [moment(minute)];
    let mut written = CfFile::new(&About {
        grid: &grid,
        issued: valid_times[0],
        newest: valid_times[0],
        frames_used: 1,
        valid_times: &valid_times,
        thresholds_mm_h: &[0.1],
        history: "made for a test",
    })
    .unwrap();
    written.add_rain_rate(0, &rates.view()).unwrap();
    let file = folder.join(format!("radar_{:04}.nc", minute + 1000));
    std::fs::write(&file, written.into_bytes().unwrap()).unwrap();
    file
}

/// Kilometres from the middle of the picture to the middle of a cell, southward or eastward.
fn offset_km(cell: usize) -> f64 {
    (cell as f64 - (SIDE as f64 - 1.0) / 2.0) * CELL_KM
}

fn picture(valid_time: Timestamp, sky: Sky<'_>) -> Vec<u8> {
    let text = |text: &str| NcAttrValue::Chars(text.to_owned());
    let number = |value: f64| NcAttrValue::Doubles(vec![value]);
    let mut file = NcFileBuilder::new();
    let time = file.add_dimension("time", 1).unwrap();
    let y = file.add_dimension("y", SIDE as u64).unwrap();
    let x = file.add_dimension("x", SIDE as u64).unwrap();
    let axis = file.add_variable::<f64>("time", &[time]).unwrap();
    file.add_variable_attribute(axis, "units", text("seconds since 1970-01-01 00:00:00")).unwrap();
    file.write_variable(axis, &[valid_time.as_second() as f64]).unwrap();
    for (name, id, sign) in [("y", y, -1.0), ("x", x, 1.0)] {
        let axis = file.add_variable::<f64>(name, &[id]).unwrap();
        file.add_variable_attribute(axis, "units", text("m")).unwrap();
        let values: Vec<f64> = (0..SIDE).map(|cell| sign * 1000.0 * offset_km(cell)).collect();
        file.write_variable(axis, &values).unwrap();
    }
    let crs = file.add_variable::<i32>("crs", &[]).unwrap();
    for (name, value) in [
        ("grid_mapping_name", text("lambert_azimuthal_equal_area")),
        ("latitude_of_projection_origin", number(-31.7252)),
        ("longitude_of_projection_origin", number(152.7741)),
        ("earth_radius", number(6371000.0)),
    ] {
        file.add_variable_attribute(crs, name, value).unwrap();
    }
    file.write_variable(crs, &[0]).unwrap();
    let rain = file.add_variable::<f32>("rain", &[time, y, x]).unwrap();
    for (name, value) in [
        ("standard_name", text("rainfall_rate")),
        ("units", text("mm h-1")),
        ("grid_mapping", text("crs")),
        ("_FillValue", NcAttrValue::Floats(vec![-1.0])),
    ] {
        file.add_variable_attribute(rain, name, value).unwrap();
    }
    let rates: Vec<f32> = (0..SIDE * SIDE)
        .map(|cell| sky(offset_km(cell % SIDE), -offset_km(cell / SIDE)))
        .map(|rate| if rate.is_nan() { -1.0 } else { rate })
        .collect();
    file.write_variable(rain, &rates).unwrap();
    file.to_vec(NcWriteOptions { format: NcWriteFormat::Nc4 }).unwrap().1
}

/// Showers of 4 mm/h, 12 km wide, that move eastward at a kilometre a minute.
pub(crate) fn showers(minute: i64) -> impl Fn(f64, f64) -> f32 {
    move |east_km, north_km| {
        let east_km = east_km - minute as f64;
        let lump = (east_km / 11.0).sin() + (north_km / 13.0).sin() + (east_km / 29.0).cos();
        if lump > 0.8 { 4.0 } else { 0.0 }
    }
}
