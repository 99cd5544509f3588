//! What the CF writer writes is what the CF reader reads, on every map that the conventions know.

use fairspell_ground::Projection;
use fairspell_nowcast::readers::cf::read_cf;
use fairspell_nowcast::writers::cf::{About, CELLS_MAX, CfFile, WriteError};
use fairspell_nowcast::{Grid, RadarRemark, ReadOptions};
use jiff::{SignedDuration, Timestamp};
use ndarray::{Array2, array};

fn issued() -> Timestamp {
    "2026-09-03T14:30:00Z".parse().unwrap()
}

fn grid(projection: Projection) -> Grid {
    let degrees = projection.is_degrees();
    let (first, step) = if degrees { (1.5, 0.5) } else { (100_000.0, 2_000.0) };
    Grid {
        projection,
        x_first: first,
        y_first: 43.0,
        x_step: step,
        y_step: step,
        rows: 3,
        columns: 4,
    }
}

fn about<'a>(grid: &'a Grid, valid_times: &'a [Timestamp]) -> About<'a> {
    About {
        grid,
        issued: issued(),
        newest: issued() - SignedDuration::from_mins(4),
        frames_used: 5,
        valid_times,
        thresholds_mm_h: &[0.1, 1.0],
        history: "made for a test",
    }
}

fn planted() -> Array2<f32> {
    array![[f32::NAN, 0.0, 0.5, 1.0], [0.0, 2.0, 4.0, 8.0], [0.25, 0.0, 16.0, 32.0]]
}

fn same(found: &Array2<f32>, expected: &Array2<f32>) -> bool {
    found.dim() == expected.dim()
        && found.iter().zip(expected).all(|(a, b)| a == b || a.is_nan() && b.is_nan())
}

/// PROJ strings as radar services and our reader write them; the last has no name in the
/// conventions.
const MAPS: [&str; 13] = [
    "+proj=longlat +datum=WGS84",
    "+proj=stere +lat_0=90 +lon_0=25 +lat_ts=60 +a=6371288 +x_0=380886.310 +y_0=3395677.920",
    "+proj=stere +lat_0=90 +lon_0=10 +k_0=0.93 +a=6378137 +b=6356752.3 +x_0=500",
    "+proj=stere +lat_0=46 +lon_0=8 +k=0.99 +R=6371000",
    "+proj=laea +lat_0=55.0 +lon_0=10.0 +x_0=1950000.0 +y_0=-2100000.0 +units=m +ellps=WGS84",
    "+proj=aeqd +lat_0=-33.7 +lon_0=151.2 +ellps=GRS80",
    "+proj=lcc +lat_1=25 +lat_2=25 +lat_0=25 +lon_0=265 +R=6371229",
    "+proj=lcc +lat_1=33 +lat_2=45 +lat_0=39 +lon_0=-96 +a=6378137 +rf=298.257222101",
    "+proj=aea +lat_1=-18 +lat_2=-36 +lat_0=0 +lon_0=132 +ellps=GRS80",
    "+proj=tmerc +lat_0=49 +lon_0=-2 +k=0.9996012717 +x_0=400000 +y_0=-100000 +ellps=airy",
    "+proj=merc +lon_0=0 +lat_ts=20 +ellps=WGS84",
    "+proj=merc +lon_0=5 +ellps=bessel",
    "+proj=utm +zone=32 +ellps=WGS84",
];

#[test]
fn what_is_written_is_read_back_in_its_place_and_time() {
    for text in MAPS {
        let grid = grid(Projection::from_proj_string(text).unwrap());
        let valid_times = [5, 10].map(|minutes| issued() + SignedDuration::from_mins(minutes));
        let mut file = CfFile::new(&about(&grid, &valid_times)).unwrap();
        file.add_rain_rate(1, &planted().view()).unwrap();
        let bytes = file.into_bytes().unwrap();
        let reading = read_cf(&bytes, &ReadOptions::default()).unwrap();
        assert_eq!(reading.remarks, [], "{text}");
        let [first, second] = &reading.value[..] else { panic!("two moments") };
        assert_eq!([first.valid_time, second.valid_time], valid_times);
        assert!(first.rain_rate_mm_h.iter().all(|rate| rate.is_nan()), "never added, never dry");
        assert!(same(&second.rain_rate_mm_h, &planted()), "{text}");
        for (row, column) in [(0.0, 0.0), (2.0, 3.0)] {
            let (found, expected) =
                (second.grid.point_at(row, column).unwrap(), grid.point_at(row, column).unwrap());
            assert!(found.distance_km(expected) < 1e-5, "{text}: {found}, expected {expected}");
        }
    }
}

#[test]
fn a_shorter_way_to_say_a_thing_is_found_in_the_file() {
    let grid = grid(Projection::from_proj_string(MAPS[4]).unwrap());
    let bytes = CfFile::new(&about(&grid, &[issued()])).unwrap().into_bytes().unwrap();
    let holds = |text: &str| bytes.windows(text.len()).any(|part| part == text.as_bytes());
    for text in [
        "CF-1.8",
        "rainfall_rate",
        "lambert_azimuthal_equal_area",
        "forecast_reference_time",
        "projection_x_coordinate",
        "radar_picture_age_min",
        "made for a test",
    ] {
        assert!(holds(text), "{text}");
    }
}

#[test]
fn more_than_memory_holds_is_refused_before_it_is_made() {
    let grid = Grid { rows: 100_000, columns: 100_000, ..grid(Projection::degrees()) };
    let refusal = CfFile::new(&about(&grid, &[issued()])).unwrap_err();
    assert_eq!(refusal, WriteError::TooLarge { cells: 10_000_000_000, most: CELLS_MAX });
}

#[test]
fn another_number_of_cells_and_a_moment_too_many_are_refused() {
    let grid = grid(Projection::degrees());
    let mut file = CfFile::new(&about(&grid, &[issued()])).unwrap();
    assert!(file.add_rain_rate(0, &Array2::zeros((2, 2)).view()).is_err());
    assert!(file.add_rain_rate(1, &planted().view()).is_err());
    assert!(file.add_exceedance(2, 0, &planted().view()).is_err());
}

#[test]
fn the_chances_beside_it_are_never_taken_for_the_rain() {
    let grid = grid(Projection::degrees());
    let mut file = CfFile::new(&about(&grid, &[issued()])).unwrap();
    file.add_rain_rate(0, &planted().view()).unwrap();
    file.add_exceedance(0, 0, &planted().mapv(|rate| rate / 32.0).view()).unwrap();
    let reading = read_cf(&file.into_bytes().unwrap(), &ReadOptions::default()).unwrap();
    assert!(!reading.remarks.iter().any(|r| matches!(r, RadarRemark::SeveralCandidates { .. })));
    assert!(same(&reading.value[0].rain_rate_mm_h, &planted()));
}
