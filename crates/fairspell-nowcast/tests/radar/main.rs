//! The readers against whole files of the services.
//!
//! The files are not ours to pass on: `FAIRSPELL_RADAR_DATA` names the folder that holds them, with
//! `mrms/` and `opera/` in it. Without it every test here is reported as ignored.
//!
//! Expected values: eccodes 2.50 (GRIB2), h5py 3.16 (ODIM), pyproj 3.7.2 (positions); rows and
//! columns count from 0 in the north-west, positions are pixel centres to four decimals.

mod brier;
mod clutter;
mod csi;
mod evenings;
mod predictors;
mod scores;

use std::{env, fs, path::Path, process::ExitCode};

use fairspell_ground::LatLon;
use fairspell_nowcast::{
    Cut, RadarError, RainField, ReadOptions, ZR, read_rain_fields, read_times,
};
use libtest_mimic::{Arguments, Completion, Failed, Trial};

const VARIABLE: &str = "FAIRSPELL_RADAR_DATA";

const MRMS_FIRST: &str = "mrms/PrecipRate_00.00_20190610-000000.grib2";
const MRMS_LAST: &str = "mrms/PrecipRate_00.00_20190610-010800.grib2";
const RATE_FIRST: &str = "opera/T_PAAH21_C_EUOC_20180824180000.hdf";
const RATE_LATER: &str = "opera/T_PAAH21_C_EUOC_20180824194500.hdf";
const DBZH: &str = "opera/T_PABV21_C_EUOC_20241126010000.hdf";

fn main() -> ExitCode {
    let trials = vec![
        trial("every_listed_cell_has_its_rate_and_place", every_listed_cell),
        trial("the_national_mosaic_has_as_many_cells_of_each_kind_as_published", mosaic_totals),
        trial("the_european_rate_composite_has_its_codes_and_sum", rate_totals),
        trial("the_european_reflectivity_composite_has_its_codes_and_extremes", dbzh_totals),
        trial("a_cut_is_the_same_cells_in_the_same_places", a_cut_is_the_same_cells),
        trial("times_are_read_without_the_pictures", times),
        trial("frames_outside_the_wanted_times_are_not_decoded", unwanted_times),
        trial("a_place_beyond_the_map_is_said_to_be_beyond_it", beyond_the_map),
        trial("a_file_cut_short_is_damaged_wherever_it_ends", cut_short),
        trial("a_gzipped_file_reads_like_the_plain_one", gzipped),
        trial(
            "clutter_of_the_european_composite_is_mended_and_its_rain_is_not",
            clutter::of_the_european_composite,
        ),
        trial(
            "rain_soon_beats_persistence_by_a_third",
            brier::rain_soon_beats_persistence_by_a_third,
        ),
        trial("chances_beat_the_references_ensemble", scores::chances_beat_the_references_ensemble),
        trial(
            "evenings_look_like_those_that_were_observed",
            evenings::evenings_look_like_those_that_were_observed,
        ),
        trial(
            "extrapolation_is_no_worse_than_the_references",
            csi::extrapolation_is_no_worse_than_the_references,
        ),
        Trial::ignorable_test("predictors_are_written_for_refitting", predictors::are_written),
    ];
    libtest_mimic::run(&Arguments::from_args(), trials).exit_code()
}

/// A test that needs the folder; ignored, with the reason, where there is none.
fn trial(name: &str, test: fn(&Path) -> Result<(), Failed>) -> Trial {
    Trial::ignorable_test(name, move || match env::var_os(VARIABLE) {
        Some(folder) => test(Path::new(&folder)).map(|()| Completion::Completed),
        None => Ok(Completion::ignored_with(format!("needs {VARIABLE}"))),
    })
}

fn bytes(folder: &Path, name: &str) -> Result<Vec<u8>, Failed> {
    let path = folder.join(name);
    fs::read(&path).map_err(|error| format!("{}: {error}", path.display()).into())
}

fn field(folder: &Path, name: &str, options: &ReadOptions) -> Result<RainField, Failed> {
    let mut reading = read_rain_fields(&bytes(folder, name)?, options)?;
    match (reading.value.pop(), reading.value.len(), reading.remarks.as_slice()) {
        (Some(field), 0, []) => Ok(field),
        (_, others, remarks) => Err(format!("{name}: {others} more, remarks {remarks:?}").into()),
    }
}

fn whole(folder: &Path, name: &str) -> Result<RainField, Failed> {
    field(folder, name, &ReadOptions::default())
}

fn ensure(holds: bool, what: impl FnOnce() -> String) -> Result<(), Failed> {
    if holds { Ok(()) } else { Err(what().into()) }
}

/// (row, column, latitude, longitude, rain rate in mm/h or NaN where not measured)
type Cell = (usize, usize, f64, f64, f32);

fn every_listed_cell(folder: &Path) -> Result<(), Failed> {
    const NONE: f32 = f32::NAN;
    let from_dbz = |dbz| {
        #[expect(clippy::cast_possible_truncation, reason = "rates are kept in single precision")]
        let rate = ZR::default().rain_rate_mm_h(dbz) as f32;
        rate
    };
    let tables: [(&str, &[Cell]); 5] = [
        (
            MRMS_FIRST,
            &[
                (2252, 4650, 32.4750, -83.4950, 0.3),
                (2008, 4440, 34.9150, -85.5950, 0.3),
                (2191, 4371, 33.0850, -86.2850, 148.8),
                (0, 0, 54.9950, -129.9950, NONE),
                (2000, 3000, 34.9950, -99.9950, 0.0),
            ],
        ),
        (
            MRMS_LAST,
            &[
                (2104, 4524, 33.9550, -84.7550, 2.5),
                (1948, 4715, 35.5150, -82.8450, 1.9),
                (2655, 4876, 28.4450, -81.2350, 151.8),
            ],
        ),
        (
            RATE_FIRST,
            &[
                (250, 1212, 69.0075, 21.8555, 0.60),
                (1491, 1019, 47.0505, 11.1687, 0.75),
                (0, 0, 67.0226, -39.5025, NONE),
                (477, 203, 62.1127, -20.6574, 0.0),
            ],
        ),
        (RATE_LATER, &[(1412, 1070, 48.4497, 12.5787, 1.56), (411, 1364, 65.5947, 27.0186, 4.76)]),
        (
            DBZH,
            &[
                (1026, 2822, 63.6181, 27.7681, from_dbz(22.0)),
                (1700, 1326, 58.1582, -0.6332, from_dbz(14.5)),
            ],
        ),
    ];
    for (name, cells) in tables {
        let field = whole(folder, name)?;
        for &(row, column, lat, lon, expected) in cells {
            let rate = field.rain_rate_mm_h[(row, column)];
            // The sources' steps are 0.1 and 0.01 mm/h: single precision keeps them to a part in
            // ten million.
            let same = (rate - expected).abs() <= 1e-6 * expected.abs();
            ensure(same || (rate.is_nan() && expected.is_nan()), || {
                format!("{name} ({row}, {column}): {rate} instead of {expected} mm/h")
            })?;
            let place = field.grid.point_at(row as f64, column as f64);
            let near = place.is_some_and(|place| {
                // Half the last decimal of the table, and a rounding error of the comparison.
                (place.lat_deg() - lat).abs() <= 5.1e-5 && (place.lon_deg() - lon).abs() <= 5.1e-5
            });
            ensure(near, || format!("{name} ({row}, {column}): at {place:?}"))?;
            let back = field.grid.cell_of(LatLon::new(lat, lon)?);
            let found =
                back.is_some_and(|(r, c)| (r.round(), c.round()) == (row as f64, column as f64));
            ensure(found, || format!("{name} {lat},{lon}: in cell {back:?}"))?;
        }
    }
    Ok(())
}

/// What a whole field adds up to.
#[derive(Debug, PartialEq)]
struct Totals {
    not_measured: usize,
    dry: usize,
    wet: usize,
    largest_mm_h: f32,
    sum_mm_h: f64,
}

impl Totals {
    fn of(field: &RainField) -> Self {
        let mut totals =
            Totals { not_measured: 0, dry: 0, wet: 0, largest_mm_h: 0.0, sum_mm_h: 0.0 };
        for &rate in &field.rain_rate_mm_h {
            if rate.is_nan() {
                totals.not_measured += 1;
            } else if rate > 0.0 {
                totals.wet += 1;
                totals.sum_mm_h += f64::from(rate);
                totals.largest_mm_h = totals.largest_mm_h.max(rate);
            } else {
                totals.dry += 1;
            }
        }
        totals
    }
}

fn mosaic_totals(folder: &Path) -> Result<(), Failed> {
    for (name, not_measured, dry, wet, sum_mm_h, largest_mm_h) in [
        (MRMS_FIRST, 8_769_493, 14_747_625, 982_882, 2_126_764.0, 148.8),
        (MRMS_LAST, 8_755_622, 14_808_387, 935_991, 1_943_196.5, 151.8),
    ] {
        let found = Totals::of(&whole(folder, name)?);
        let same = (found.not_measured, found.dry, found.wet) == (not_measured, dry, wet)
            && found.largest_mm_h.total_cmp(&largest_mm_h).is_eq()
            // The sum is published to 0.1; single precision adds less than half of that.
            && (found.sum_mm_h - sum_mm_h).abs() < 0.05;
        ensure(same, || format!("{name}: {found:?}"))?;
    }
    Ok(())
}

fn rate_totals(folder: &Path) -> Result<(), Failed> {
    const CELLS: usize = 1900 * 2200;
    for (name, nodata, undetect, sum_mm_h, largest_mm_h) in [
        (RATE_FIRST, 2_085_857, 1_605_989, 304_024.06, 1205.22),
        (RATE_LATER, 2_085_745, 1_577_766, 283_101.00, 314.66),
    ] {
        let found = Totals::of(&whole(folder, name)?);
        // Zero occurs as a value beside *undetect*, so the dry cells are at least those.
        let same = found.not_measured == nodata
            && found.dry >= undetect
            && found.dry + found.wet == CELLS - nodata
            && found.largest_mm_h.total_cmp(&largest_mm_h).is_eq()
            // Published to 0.01; half a million cells, each rounded to a part in 1.7e7.
            && (found.sum_mm_h - sum_mm_h).abs() < 0.02;
        ensure(same, || format!("{name}: {found:?}"))?;
    }
    Ok(())
}

fn dbzh_totals(folder: &Path) -> Result<(), Failed> {
    let field = whole(folder, DBZH)?;
    let found = Totals::of(&field);
    let smallest =
        field.rain_rate_mm_h.iter().copied().filter(|&rate| rate > 0.0).fold(f32::MAX, f32::min);
    let relation = ZR::default();
    let near = |rate: f32, dbz: f64| {
        let expected = relation.rain_rate_mm_h(dbz);
        (f64::from(rate) - expected).abs() <= 1e-6 * expected
    };
    // Every dry cell is an *undetect* here: the smallest reflectivity, -32 dBZ, is a trace of rain.
    let same = (found.not_measured, found.dry) == (8_208_633, 6_472_855)
        && near(smallest, -32.0)
        && near(found.largest_mm_h, 78.0);
    ensure(same, || format!("{found:?}, smallest {smallest}"))
}

fn a_cut_is_the_same_cells(folder: &Path) -> Result<(), Failed> {
    for (name, lat, lon) in [
        (MRMS_FIRST, 33.085, -86.285),
        (MRMS_FIRST, 25.0, -80.0),
        (RATE_FIRST, 47.05, 11.17),
        (DBZH, 63.6, 27.8),
    ] {
        let centre = LatLon::new(lat, lon)?;
        let cut = Cut { centre, radius_km: 300.0 };
        let options = ReadOptions { cut: Some(cut), ..ReadOptions::default() };
        let small = field(folder, name, &options)?;
        let large = whole(folder, name)?.cut(centre, 300.0).ok_or("nothing there")?;
        let bits = |field: &RainField| -> Vec<u32> {
            field.rain_rate_mm_h.iter().map(|rate| rate.to_bits()).collect()
        };
        ensure(small.grid.matches(&large.grid) && bits(&small) == bits(&large), || {
            format!("{name} {centre}: {:?} and {:?}", small.grid, large.grid)
        })?;
    }
    Ok(())
}

fn times(folder: &Path) -> Result<(), Failed> {
    for (name, expected) in [
        (MRMS_FIRST, "2019-06-10T00:00:00Z"),
        (MRMS_LAST, "2019-06-10T01:08:00Z"),
        (RATE_FIRST, "2018-08-24T18:00:00Z"),
        (DBZH, "2024-11-26T01:00:00Z"),
    ] {
        let found = read_times(&bytes(folder, name)?)?;
        ensure(found == [expected.parse()?], || format!("{name}: {found:?}"))?;
    }
    Ok(())
}

fn unwanted_times(folder: &Path) -> Result<(), Failed> {
    for (name, issued) in [(MRMS_LAST, "2019-06-10T01:07:59Z"), (DBZH, "2024-11-26T00:59:59Z")] {
        let valid_times = Some(jiff::Timestamp::MIN..=issued.parse()?);
        let options = ReadOptions { valid_times, ..ReadOptions::default() };
        let reading = read_rain_fields(&bytes(folder, name)?, &options)?;
        ensure(reading.value.is_empty() && reading.remarks.is_empty(), || name.to_owned())?;
    }
    Ok(())
}

fn beyond_the_map(folder: &Path) -> Result<(), Failed> {
    let sydney = LatLon::new(-33.86, 151.21)?;
    let cut = Some(Cut { centre: sydney, radius_km: 300.0 });
    for name in [MRMS_FIRST, RATE_FIRST] {
        let found =
            read_rain_fields(&bytes(folder, name)?, &ReadOptions { cut, ..ReadOptions::default() });
        ensure(matches!(found, Err(RadarError::OutsideMap { .. })), || name.to_owned())?;
    }
    Ok(())
}

fn cut_short(folder: &Path) -> Result<(), Failed> {
    for name in [MRMS_FIRST, RATE_FIRST] {
        let all = bytes(folder, name)?;
        for eighth in 1..8 {
            let found = read_rain_fields(&all[..all.len() * eighth / 8], &ReadOptions::default());
            ensure(found.is_err(), || format!("{name}: {eighth} eighths were enough"))?;
        }
    }
    Ok(())
}

fn gzipped(folder: &Path) -> Result<(), Failed> {
    let plain = bytes(folder, MRMS_FIRST)?;
    let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    std::io::Write::write_all(&mut encoder, &plain)?;
    let found = read_times(&encoder.finish()?)?;
    ensure(found == read_times(&plain)?, || format!("{found:?}"))
}
