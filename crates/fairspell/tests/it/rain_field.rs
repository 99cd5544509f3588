//! `fairspell rain-field`: what is written is what is read, and nothing is left half done.

use std::{fs, path::Path};

use fairspell_ground::LatLon;
use fairspell_nowcast::{Grid, RainField, ReadOptions, read_rain_fields};
use serde_json::Value;
use tempfile::TempDir;

use crate::{
    demo_folder::{fairspell, fairspell_json, text},
    pictures::{NOON, PLACE, SIDE, degrees, moment, put, put_in_degrees, showers},
    schemas::{assert_follows, schema, validator},
};

/// Pictures every five minutes, the newest twelve minutes old.
fn radar() -> TempDir {
    let folder = TempDir::new().unwrap();
    for minute in [-32, -27, -22, -17, -12] {
        put(folder.path(), minute, &showers(minute));
    }
    folder
}

fn arguments<'a>(frames: &'a str, out: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    let usual = [
        "rain-field",
        "--frames",
        frames,
        "--issued",
        NOON,
        "--lead",
        "30",
        "--step",
        "10",
        "--out",
        out,
    ];
    [&usual, more].concat()
}

fn write(frames: &Path, out: &Path, more: &[&str]) -> Value {
    let (frames, out) = (frames.to_string_lossy(), out.to_string_lossy());
    fairspell_json(&arguments(&frames, &out, &[more, &["--json"]].concat()))
}

fn refused(frames: &Path, out: &Path, more: &[&str], expected: &str) {
    let (frames, out) = (frames.to_string_lossy(), out.to_string_lossy());
    let output = fairspell(&arguments(&frames, &out, more));
    let error = text(&output.stderr);
    assert!(!output.status.success() && error.contains(expected), "{error}");
}

fn read(file: &Path) -> Vec<RainField> {
    let reading = read_rain_fields(&fs::read(file).unwrap(), &ReadOptions::default()).unwrap();
    assert_eq!(reading.remarks, []);
    reading.value
}

#[test]
fn what_is_written_is_read_back_as_the_rain_of_the_coming_hours() {
    let (frames, out) = (radar(), TempDir::new().unwrap());
    let file = out.path().join("coming.nc");
    let report = write(frames.path(), &file, &[]);
    assert_follows(&validator(&schema("rain-field")), &report, "rain-field --json");
    assert_eq!(report["frame_age_min"], 12.0);
    assert_eq!(report["bytes"].as_u64(), Some(fs::metadata(&file).unwrap().len()));

    let fields = read(&file);
    let times: Vec<_> = fields.iter().map(|field| field.valid_time).collect();
    assert_eq!(times, [10, 20, 30].map(moment), "leads count from the question");
    let place: LatLon = PLACE.parse().unwrap();
    for (field, minute) in fields.iter().zip([10, 20, 30]) {
        assert_eq!((field.grid.rows, field.grid.columns), (SIDE, SIDE));
        // The sky as it was planted, where it does not come from beyond the picture.
        let (mut same, mut cells) = (0, 0);
        for row in 10..SIDE - 10 {
            for column in SIDE / 2..SIDE - 10 {
                let point = field.grid.point_at(row as f64, column as f64).unwrap();
                let (east_km, north_km) = place.offset_km(point);
                let wet = showers(minute)(east_km, north_km) >= 0.1;
                cells += 1;
                same += usize::from((field.rain_rate_mm_h[[row, column]] >= 0.1) == wet);
            }
        }
        assert!(same * 100 > cells * 85, "{minute} minutes ahead: {same} of {cells}");
    }
}

#[test]
fn a_box_is_a_part_of_the_same_maps_and_rain_still_blows_into_it() {
    let (frames, out) = (radar(), TempDir::new().unwrap());
    let (whole, part) = (out.path().join("whole.nc"), out.path().join("part.nc"));
    write(frames.path(), &whole, &[]);
    let boxed = format!("--box={PLACE},20");
    let report = write(frames.path(), &part, &[&boxed]);
    assert!(report["rows"].as_u64().unwrap() < 25, "{}", report["rows"]);
    for (whole, part) in read(&whole).iter().zip(&read(&part)) {
        let corner = part.grid.point_at(0.0, 0.0).unwrap();
        let (row, column) = whole.grid.cell_of(corner).unwrap();
        assert!((row - row.round()).abs() < 1e-6 && (column - column.round()).abs() < 1e-6);
        let place: LatLon = PLACE.parse().unwrap();
        assert_eq!(part.rain_rate_at(place), whole.rain_rate_at(place));
        assert!(part.rain_rate_mm_h.iter().all(|rate| rate.is_finite()));
    }
}

/// Axes of a grid, to the last digit that degrees of a hundred metres have.
fn axes(grid: &Grid) -> (usize, usize, [i64; 4]) {
    let digits = [grid.x_first, grid.y_first, grid.x_step, grid.y_step]
        .map(|degrees| format!("{:.0}", degrees * 1e9).parse().unwrap());
    (grid.rows, grid.columns, digits)
}

#[test]
fn maps_have_the_grid_of_pictures_in_degrees_and_rain_stands_where_it_belongs() {
    let (frames, out) = (TempDir::new().unwrap(), TempDir::new().unwrap());
    for minute in [-20, -15, -10, -5, 0] {
        put_in_degrees(frames.path(), minute, &showers(minute));
    }
    let (whole, part) = (out.path().join("whole.nc"), out.path().join("part.nc"));
    let report = write(frames.path(), &whole, &[]);
    assert_eq!((&report["rows"], &report["columns"]), (&85.into(), &80.into()));
    let fields = read(&whole);
    let place: LatLon = PLACE.parse().unwrap();
    for (field, minute) in fields.iter().zip([10, 20, 30]) {
        assert!(field.grid.projection.is_degrees());
        assert_eq!(axes(&field.grid), axes(&degrees()), "{minute} minutes ahead");
        let (mut same, mut cells) = (0, 0);
        for row in 10..75 {
            for column in 40..70 {
                let point = field.grid.point_at(f64::from(row), f64::from(column)).unwrap();
                let (east_km, north_km) = place.offset_km(point);
                let wet = showers(minute)(east_km, north_km) >= 0.1;
                let rate = field.rain_rate_at(point).expect("seen, and so it stays");
                cells += 1;
                same += usize::from((rate >= 0.1) == wet);
            }
        }
        assert!(same * 100 > cells * 85, "{minute} minutes ahead: {same} of {cells}");
    }

    let boxed = format!("--box={PLACE},20");
    write(frames.path(), &part, &[&boxed]);
    for part in read(&part) {
        let corner = part.grid.point_at(0.0, 0.0).unwrap();
        let (row, column) = degrees().cell_of(corner).unwrap();
        assert!((row - row.round()).abs() < 1e-6 && (column - column.round()).abs() < 1e-6);
        assert!(part.rain_rate_mm_h.iter().all(|rate| rate.is_finite()));
    }
}

#[test]
fn a_pixel_that_is_no_rain_is_told_and_not_carried_on() {
    let (frames, out) = (TempDir::new().unwrap(), TempDir::new().unwrap());
    for minute in [-10, -5, 0] {
        // A turbine 30 km north-east of the middle, in an otherwise dry sky.
        put(frames.path(), minute, &|east_km, north_km| {
            if (east_km, north_km) == (31.0, 31.0) { 90.0 } else { 0.0 }
        });
    }
    let file = out.path().join("coming.nc");
    let report = write(frames.path(), &file, &[]);
    let remarks = report["remarks"].to_string();
    assert!(remarks.contains("3 pixels were no rain (up to 90 mm/h)"), "{remarks}");
    assert!(remarks.contains("1 at 2026-09-03T04:30:00Z"), "{remarks}");
    for field in read(&file) {
        assert!(field.rain_rate_mm_h.iter().all(|rate| *rate == 0.0));
    }
}

#[test]
fn the_file_names_no_folder_of_the_machine() {
    let (frames, out) = (radar(), TempDir::new().unwrap());
    let file = out.path().join("coming.nc");
    write(frames.path(), &file, &[]);
    let bytes = fs::read(&file).unwrap();
    for folder in [frames.path(), out.path()] {
        let name = folder.file_name().unwrap().to_string_lossy().into_owned();
        assert!(!bytes.windows(name.len()).any(|part| part == name.as_bytes()), "{name}");
    }
    let history = b"rain-field, issued 2026-09-03T04:30:00Z";
    assert!(bytes.windows(history.len()).any(|part| part == history));
}

#[test]
fn only_an_older_netcdf_file_is_replaced_and_nothing_lies_beside_it() {
    let (frames, out) = (radar(), TempDir::new().unwrap());
    let file = out.path().join("coming.nc");
    write(frames.path(), &file, &[]);
    let first = fs::read(&file).unwrap();
    write(frames.path(), &file, &[]);
    assert_eq!(fs::read(&file).unwrap(), first, "the same pictures give the same bytes");
    assert_eq!(fs::read_dir(out.path()).unwrap().count(), 1);

    let letter = out.path().join("letter.txt");
    fs::write(&letter, "Dear Linh").unwrap();
    refused(frames.path(), &letter, &[], "is no NetCDF file");
    assert_eq!(fs::read_to_string(&letter).unwrap(), "Dear Linh");
}

#[test]
fn what_cannot_be_written_is_refused_by_name() {
    let (frames, out) = (radar(), TempDir::new().unwrap());
    let file = out.path().join("coming.nc");
    refused(frames.path(), &frames.path().join("x.nc"), &[], "lies among the pictures");
    refused(frames.path(), out.path(), &[], "is a folder");
    refused(frames.path(), &out.path().join("no/x.nc"), &[], "look at the folder");
    refused(frames.path(), &file, &["--box=-31.7,152.7"], "`-31.7`");
    refused(frames.path(), &file, &["--box=-31.7,152.7,0"], "above 0");
    refused(frames.path(), &file, &["--box=48.2,16.4,20"], "nothing to tell");
    let empty = TempDir::new().unwrap();
    refused(empty.path(), &file, &[], "no radar picture");
    assert!(!file.exists());
    let (frames, out) = (frames.path().to_string_lossy(), file.to_string_lossy());
    for (lead, step, said) in [("10", "20", "longer than the lead"), ("0", "5", "above 0")] {
        let output = fairspell(&[
            "rain-field",
            "--frames",
            &frames,
            "--issued",
            NOON,
            "--lead",
            lead,
            "--step",
            step,
            "--out",
            &out,
        ]);
        assert!(text(&output.stderr).contains(said), "{}", text(&output.stderr));
    }
}

#[test]
fn what_no_radar_measures_is_not_written_as_dry() {
    let (frames, out) = (TempDir::new().unwrap(), TempDir::new().unwrap());
    for minute in [-10, -5, 0] {
        put(frames.path(), minute, &|east_km, north_km| {
            if north_km > 20.0 { f32::NAN } else { showers(minute)(east_km, north_km) }
        });
    }
    let file = out.path().join("coming.nc");
    let report = write(frames.path(), &file, &[]);
    let known = report["moments"][0]["known_share"].as_f64().unwrap();
    assert!(known < 0.8, "{known}");
    let field = &read(&file)[0];
    assert!(field.rain_rate_mm_h[[2, SIDE / 2]].is_nan());
    assert!(field.rain_rate_mm_h[[SIDE / 2 + 10, SIDE / 2 + 10]].is_finite());
}

#[cfg(unix)]
#[test]
fn ctrl_c_leaves_no_file() {
    use std::{
        io::{BufRead, BufReader},
        process::{Command, Stdio},
    };
    let (frames, out) = (radar(), TempDir::new().unwrap());
    let file = out.path().join("coming.nc");
    let mut running = Command::new(env!("CARGO_BIN_EXE_fairspell"))
        .args(["rain-field", "--issued", NOON, "--lead", "240", "--step", "0.05", "--frames"])
        .arg(frames.path())
        .arg("--out")
        .arg(&file)
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut said = BufReader::new(running.stderr.take().unwrap()).lines();
    assert_eq!(said.next().unwrap().unwrap(), "rain-field: 10 %");
    let id = running.id().to_string();
    assert!(Command::new("kill").args(["-INT", &id]).status().unwrap().success());
    let rest: Vec<String> = said.map(Result::unwrap).collect();
    assert!(!running.wait().unwrap().success());
    assert!(rest.last().unwrap().contains("stopped; nothing was written"), "{rest:?}");
    assert_eq!(fs::read_dir(out.path()).unwrap().count(), 0);
}
