use std::{
    fs,
    path::{Path, PathBuf},
};

use fairspell_feeds::{
    FrameCache,
    frames::{Form, Frames, Look, read_look},
};
use fairspell_ground::{LatLon, Projection};
use fairspell_nowcast::{
    Grid, Nowcast, RainField, ZR,
    writers::cf::{About, CfFile},
};
use jiff::Timestamp;
use ndarray::Array2;

use crate::world::{at, minutes};

const ISSUED: &str = "2026-09-03T14:30:00Z";

/// A beach at 60 degrees north, where a degree of longitude is half as long as one of latitude.
fn place() -> LatLon {
    LatLon::new(60.1, 21.3).unwrap()
}

/// Hundredths of a degree, about 200 km each way.
fn degrees() -> Grid {
    Grid {
        projection: Projection::degrees(),
        x_first: 19.5,
        y_first: 61.0,
        x_step: 0.01,
        y_step: 0.01,
        rows: 181,
        columns: 360,
    }
}

/// Kilometres, as large.
fn kilometres() -> Grid {
    Grid {
        projection: Projection::from_proj_string("+proj=laea +lat_0=60.1 +lon_0=21.3").unwrap(),
        x_first: -100_000.0,
        y_first: 100_000.0,
        x_step: 1000.0,
        y_step: 1000.0,
        rows: 201,
        columns: 201,
    }
}

/// Rain rate by kilometres east and north of the beach and by minutes after the question.
type Sky<'s> = &'s dyn Fn(f64, f64, i64) -> f32;

/// Pictures of the twenty minutes up to the question.
fn put(folder: &Path, grid: &Grid, sky: Sky<'_>) -> Vec<PathBuf> {
    [-20, -15, -10, -5, 0].map(|minute| picture(folder, grid, minute, sky)).into()
}

fn picture(folder: &Path, grid: &Grid, minute: i64, sky: Sky<'_>) -> PathBuf {
    let valid_times = [at(ISSUED) + minutes(minute)];
    let rates = Array2::from_shape_fn((grid.rows, grid.columns), |(row, column)| {
        let point = grid.point_at(row as f64, column as f64).unwrap();
        let (east_km, north_km) = place().offset_km(point);
        sky(east_km, north_km, minute)
    });
    let mut written = CfFile::new(&About {
        grid,
        issued: valid_times[0],
        newest: valid_times[0],
        frames_used: 1,
        valid_times: &valid_times,
        thresholds_mm_h: &[0.1],
        history: "made for a test",
    })
    .unwrap();
    written.add_rain_rate(0, &rates.view()).unwrap();
    let file = folder.join(format!("{}.nc", minute + 100));
    fs::write(&file, written.into_bytes().unwrap()).unwrap();
    file
}

fn look(form: Form) -> Look {
    Look { form, ..Look::plain(at(ISSUED), &[place()], ZR::default()) }
}

fn read(files: &[PathBuf], form: Form) -> Frames {
    read_look(files, &look(form), None)
}

fn nowcast(frames: Frames) -> Nowcast {
    let made = Nowcast::from_fields(frames.fields, at(ISSUED)).unwrap();
    assert_eq!(made.remarks, []);
    made.value
}

/// A wavy curtain of rain that comes from the west at a kilometre a minute, 40 km away.
fn curtain(east_km: f64, north_km: f64, minute: i64) -> f32 {
    let edge_km = minute as f64 - 40.0 + 6.0 * (north_km / 7.0).sin();
    if east_km < edge_km && east_km > edge_km - 50.0 { 2.0 } else { 0.0 }
}

/// A shower of 80 mm/h that goes eastward, and a turbine that stands 12 km south-east of the beach.
fn turbine(east_km: f64, north_km: f64, minute: i64) -> f32 {
    let shower = (east_km + 50.0 - minute as f64).hypot(north_km) < 8.0;
    let turbine = (east_km - 12.0).abs() < 0.3 && (north_km + 12.0).abs() < 0.6;
    if shower || turbine { 80.0 } else { 0.0 }
}

#[test]
fn a_pixel_of_clutter_never_reaches_the_nowcast_and_the_shower_does() {
    for grid in [degrees(), kilometres()] {
        let folder = tempfile::tempdir().unwrap();
        let files = put(folder.path(), &grid, &turbine);
        let raw = read(&files, Form::AsRead);
        let strong = |field: &RainField| {
            let cells = field.rain_rate_mm_h.indexed_iter().filter(|(_, rate)| **rate > 1.0);
            let places = cells
                .map(|((row, column), _)| field.grid.point_at(row as f64, column as f64).unwrap());
            let near = |point: &LatLon| place().offset_km(*point).0 > 0.0;
            places.partition::<Vec<LatLon>, _>(near)
        };
        let (turbines, showers) = strong(&raw.fields[0]);
        assert_eq!(turbines.len(), 1, "planted");
        assert_eq!(raw.mended.cells(), 0);

        let ready = read(&files, Form::ForNowcast);
        assert_eq!(ready.remarks, Vec::<String>::new());
        assert_eq!(ready.mended.pictures.len(), 5);
        assert_eq!((ready.mended.cells(), ready.mended.not_measured()), (5, 0));
        assert!((ready.mended.largest_mm_h() - 80.0).abs() < 1e-3);
        let told = ready.mended.to_string();
        let nowcast = nowcast(ready);
        for field in nowcast.observed() {
            let (left, stays) = strong(field);
            assert_eq!(left, [], "at {}", field.valid_time);
            // Of cells half as wide as high two become one.
            assert!(3 * stays.len() > showers.len(), "{} of {}", stays.len(), showers.len());
            assert_eq!(field.rain_rate_at(turbines[0]), Some(0.0), "as what is around it");
        }
        assert!(told.starts_with("5 cells of clutter (up to 80 mm/h)"), "{told}");
    }
}

#[test]
fn pictures_in_degrees_give_a_nowcast_in_kilometres_with_the_same_answers() {
    let answers = |grid: &Grid| {
        let folder = tempfile::tempdir().unwrap();
        let frames = read(&put(folder.path(), grid, &curtain), Form::ForNowcast);
        let changed = frames.regrids.len();
        let nowcast = nowcast(frames);
        let newest = &nowcast.newest().grid;
        let (height_km, width_km) = newest.spacing_km(place()).unwrap();
        assert!(!newest.projection.is_degrees());
        assert!((height_km - 1.1).abs() < 0.15 && (height_km / width_km - 1.0).abs() < 0.01);
        let (east_km_h, north_km_h) = nowcast.motion_at(place()).unwrap();
        assert!((east_km_h - 60.0).abs() < 6.0 && north_km_h.abs() < 6.0, "{east_km_h}");
        let spot = nowcast.at(place()).unwrap();
        let told = [(0, 15), (0, 30), (15, 45), (30, 60), (45, 75)].map(|(from, to)| {
            let [from, to] = [from, to].map(|minute| at(ISSUED) + minutes(minute));
            spot.p_rain(from, to).unwrap().get()
        });
        (changed, told)
    };
    let (changed, in_degrees) = answers(&degrees());
    let (as_they_are, in_kilometres) = answers(&kilometres());
    assert_eq!((changed, as_they_are), (1, 0), "kilometres are left alone");
    for (a, b) in in_degrees.iter().zip(in_kilometres) {
        // Half a cell of a curtain's edge is worth a few hundredths.
        assert!((a - b).abs() < 0.05, "{in_degrees:?} and {in_kilometres:?}");
    }
    assert!(in_degrees[0] < 0.3 && in_degrees[4] > 0.9, "{in_degrees:?}");
}

#[test]
fn nothing_that_was_not_measured_becomes_dry() {
    // North of the beach nothing is measured; in the middle of that a patch of impossible rates.
    let sky = |east_km: f64, north_km: f64, _: i64| match north_km {
        north if (north - 40.0).hypot(east_km) < 0.8 => 900.0,
        north if north > 10.0 => f32::NAN,
        _ => 0.0,
    };
    for grid in [degrees(), kilometres()] {
        let folder = tempfile::tempdir().unwrap();
        let files = put(folder.path(), &grid, &sky);
        let as_read = read(&files, Form::AsRead);
        let ready = read(&files, Form::ForNowcast);
        assert!(ready.mended.not_measured() >= 5, "{}", ready.mended);
        let (mut known, mut cells) = (0, 0);
        for (ready, as_read) in ready.fields.iter().zip(&as_read.fields) {
            let inside = |row: f64, column: f64| {
                let point = ready.grid.point_at(row, column).unwrap();
                (point, place().offset_km(point).1)
            };
            for ((row, column), rate) in ready.rain_rate_mm_h.indexed_iter() {
                let (point, north_km) = inside(row as f64, column as f64);
                let off = as_read.grid.cell_of(point).is_none();
                // Where the edge lies within a cell, the nearest cell decides.
                if north_km > 11.5 || off {
                    assert!(rate.is_nan(), "{rate} mm/h at {point}");
                }
                cells += usize::from(north_km < 8.5 && !off);
                known += usize::from(north_km < 8.5 && *rate == 0.0);
            }
        }
        // What is measured stays so, but for the outermost cells.
        assert!(known * 100 >= cells * 99, "{known} of {cells}");
    }
}

#[test]
fn a_picture_is_decoded_once_for_both_of_its_forms_and_readied_once() {
    let folder = tempfile::tempdir().unwrap();
    let files = put(folder.path(), &degrees(), &curtain);
    let cache = FrameCache::default();
    let as_read = read_look(&files, &look(Form::AsRead), Some(&cache));
    assert_eq!((as_read.regrids.len(), cache.decoded()), (0, 5));
    assert!(as_read.fields.iter().all(|field| field.grid.projection.is_degrees()));
    let first = read_look(&files, &look(Form::ForNowcast), Some(&cache));
    let held = cache.bytes();
    let second = read_look(&files, &look(Form::ForNowcast), Some(&cache));
    assert_eq!((cache.decoded(), cache.bytes()), (5, held));
    let grid = |frames: &Frames| -> Vec<(Timestamp, usize, usize)> {
        let fields = frames.fields.iter();
        fields.map(|field| (field.valid_time, field.grid.rows, field.grid.columns)).collect()
    };
    assert_eq!(grid(&first), grid(&second));
    assert!(std::sync::Arc::ptr_eq(&first.regrids[0], &second.regrids[0]), "the same way");
    assert!(first.fields.iter().all(|field| field.grid.matches(first.regrids[0].target())));
    // And back again: those who want the files' own cells have them.
    let again = read_look(&files, &look(Form::AsRead), Some(&cache));
    assert_eq!((grid(&again), cache.decoded()), (grid(&as_read), 5));
}
