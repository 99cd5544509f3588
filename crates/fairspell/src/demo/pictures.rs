//! The invented radars' pictures, one CF NetCDF file each.

use anyhow::Context as _;
use fairspell_studio::{Session, Studio};
use jiff::{Timestamp, civil, tz::TimeZone};
use netcdf_writer::{NcAttrValue, NcFileBuilder, NcWriteFormat, NcWriteOptions};
use rayon::prelude::*;

use super::{
    clock,
    evenings::sky_of,
    grid::Grid,
    received::{File, Received},
    sky::Sky,
    town::Town,
};

/// A picture every so many minutes.
const STEP_MIN: i64 = 5;
/// The first one so long before getting ready begins, minutes.
const BEFORE_CHAIR_MIN: i64 = 60;
/// The last one so long after the booked hours, minutes.
const AFTER_END_MIN: i64 = 15;
/// A picture can be fetched so long after its moment, minutes.
const FETCHED_AFTER_MIN: i64 = 2;
/// Rates are packed in steps of so many mm/h.
const PACKED_STEP_MM_H: f32 = 0.05;
/// The packed value of a cell that no radar sees. Ours see all of theirs.
const PACKED_UNKNOWN: i16 = -1;
/// Strength of compression: quick, and nearly as small as the slowest.
const DEFLATE_LEVEL: u8 = 4;

/// The pictures of one town on one day.
#[derive(Debug)]
struct Reel {
    town: Town,
    day: civil::Date,
    moments: Vec<Timestamp>,
}

/// Makes the pictures of all session days, hands each to `keep`, and says when each was fetched.
pub(super) fn each(
    studio: &Studio,
    zone: &TimeZone,
    sessions: &[Session],
    keep: impl Fn(File) -> anyhow::Result<()> + Sync,
) -> anyhow::Result<Vec<Received>> {
    let mut received = Vec::new();
    for session in sessions {
        let reel = reel(studio, zone, session)?;
        let grid = Grid::around(reel.town.position()?)?;
        let sky = sky_of(reel.day);
        let rows: anyhow::Result<Vec<Received>> = reel
            .moments
            .par_iter()
            .map(|moment| {
                let minute = clock::minute_of_day(zone, reel.day, *moment)?;
                let bytes = picture(&sky, &grid, *moment, minute, reel.town)?;
                let name = format!("radar/{}-{}.nc", reel.town.slug(), clock::stamp(*moment));
                let row = Received {
                    file: name.clone(),
                    fetched_at: clock::minutes_before(*moment, -FETCHED_AFTER_MIN)?,
                    source: reel.town.radar(),
                };
                keep(File { name, bytes })?;
                Ok(row)
            })
            .collect();
        received.extend(rows?);
    }
    Ok(received)
}

fn reel(studio: &Studio, zone: &TimeZone, session: &Session) -> anyhow::Result<Reel> {
    let booked = session.booked(zone)?;
    let before_min = i64::from(session.chair_before_start_min) + BEFORE_CHAIR_MIN;
    let from = clock::minutes_before(booked.from, before_min)?;
    let to = clock::minutes_before(booked.to, -AFTER_END_MIN)?;
    Ok(Reel {
        town: Town::of(session, studio)?,
        day: session.start.date(),
        moments: clock::every(STEP_MIN, 0, from, to)?,
    })
}

/// One picture as a NetCDF-4 file after the CF conventions.
fn picture(
    sky: &Sky,
    grid: &Grid,
    moment: Timestamp,
    minute: f64,
    town: Town,
) -> anyhow::Result<Vec<u8>> {
    let packed: Vec<i16> = sky.field_mm_h(minute, grid).into_iter().map(packed).collect();
    netcdf(&packed, grid, moment, town.radar()).context("write a radar picture")
}

#[expect(clippy::cast_possible_truncation, reason = "clamped to the type's range before")]
fn packed(rain_rate_mm_h: f64) -> i16 {
    (rain_rate_mm_h / f64::from(PACKED_STEP_MM_H)).round().clamp(0.0, f64::from(i16::MAX)) as i16
}

fn netcdf(
    packed: &[i16],
    grid: &Grid,
    moment: Timestamp,
    radar: &str,
) -> Result<Vec<u8>, netcdf_writer::Error> {
    let text = |text: &str| NcAttrValue::Chars(text.to_owned());
    let (rows, columns) = (grid.lat_deg.len() as u64, grid.lon_deg.len() as u64);
    let mut file = NcFileBuilder::new();
    file.add_attribute("Conventions", text("CF-1.8"))?;
    file.add_attribute("title", text("Rain rate, invented"))?;
    file.add_attribute("institution", text(radar))?;
    file.add_attribute("comment", text("No radar measured this: it belongs to a demonstration."))?;
    let time = file.add_dimension("time", 1)?;
    let lat = file.add_dimension("lat", rows)?;
    let lon = file.add_dimension("lon", columns)?;

    let axis = file.add_variable::<f64>("time", &[time])?;
    file.add_variable_attribute(axis, "standard_name", text("time"))?;
    file.add_variable_attribute(axis, "units", text("seconds since 1970-01-01 00:00:00"))?;
    file.add_variable_attribute(axis, "calendar", text("standard"))?;
    file.write_variable(axis, &[moment.as_second() as f64])?;

    for (name, long, units, dimension, degrees) in [
        ("lat", "latitude", "degrees_north", lat, &grid.lat_deg),
        ("lon", "longitude", "degrees_east", lon, &grid.lon_deg),
    ] {
        let axis = file.add_variable::<f64>(name, &[dimension])?;
        file.add_variable_attribute(axis, "standard_name", text(long))?;
        file.add_variable_attribute(axis, "units", text(units))?;
        file.write_variable(axis, degrees)?;
    }

    let rain = file.add_variable::<i16>("rainfall_rate", &[time, lat, lon])?;
    file.add_variable_attribute(rain, "standard_name", text("rainfall_rate"))?;
    file.add_variable_attribute(rain, "long_name", text("rain rate at the ground"))?;
    file.add_variable_attribute(rain, "units", text("mm h-1"))?;
    file.add_variable_attribute(rain, "scale_factor", NcAttrValue::Floats(vec![PACKED_STEP_MM_H]))?;
    file.add_variable_attribute(rain, "add_offset", NcAttrValue::Floats(vec![0.0]))?;
    file.set_variable_fill_value(rain, PACKED_UNKNOWN)?;
    file.set_variable_chunking(rain, vec![1, rows, columns])?;
    file.set_variable_deflate(rain, Some(DEFLATE_LEVEL), true)?;
    file.write_variable(rain, packed)?;
    let (_, bytes) = file.to_vec(NcWriteOptions { format: NcWriteFormat::Nc4 })?;
    Ok(bytes)
}
