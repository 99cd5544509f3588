//! CF NetCDF files as services and scientists write them, made here by `netcdf-writer`.

use fairspell_ground::LatLon;
use fairspell_nowcast::readers::cf::{read_cf, read_cf_times};
use fairspell_nowcast::{Cut, RadarError, RadarRemark, RainField, ReadOptions};
use ndarray::{Array2, Axis, array};
use netcdf_writer::{NcAttrValue, NcFileBuilder, NcWriteFormat, NcWriteOptions};
use proptest::prelude::*;

const NONE: f32 = f32::NAN;
const FILL: f32 = -9999.0;

/// A file to be written: two pictures of 3 x 4 cells, five minutes apart.
#[derive(Clone)]
pub(crate) struct Cf {
    /// Numbers of the first picture as stored; the second one has its columns turned round.
    stored: Array2<f32>,
    /// Attributes of the rain variable.
    rain: Vec<(&'static str, NcAttrValue)>,
    /// Name, unit and values of the axes.
    y: (&'static str, &'static str, Vec<f64>),
    x: (&'static str, &'static str, Vec<f64>),
    time_units: &'static str,
    /// Attributes of a grid mapping called `crs`.
    mapping: Vec<(&'static str, NcAttrValue)>,
    /// The file keeps (time, x, y).
    x_before_y: bool,
}

fn chars(text: &str) -> NcAttrValue {
    NcAttrValue::Chars(text.to_owned())
}

fn number(value: f64) -> NcAttrValue {
    NcAttrValue::Doubles(vec![value])
}

/// What the files hold, north up.
fn planted() -> Array2<f32> {
    array![[NONE, 0.0, 0.5, 1.0], [0.0, 2.0, 4.0, 8.0], [0.25, 0.0, 16.0, 32.0]]
}

/// East and west changed over.
fn mirrored(mut picture: Array2<f32>) -> Array2<f32> {
    picture.invert_axis(Axis(1));
    picture
}

impl Default for Cf {
    fn default() -> Self {
        Cf {
            stored: planted().mapv(|rate| if rate.is_nan() { FILL } else { rate }),
            rain: vec![
                ("standard_name", chars("rainfall_rate")),
                ("units", chars("mm h-1")),
                ("_FillValue", NcAttrValue::Floats(vec![FILL])),
            ],
            y: ("lat", "degrees_north", vec![44.0, 43.5, 43.0]),
            x: ("lon", "degrees_east", vec![-3.0, -2.5, -2.0, -1.5]),
            time_units: "minutes since 2026-09-03 14:00:00",
            mapping: vec![],
            x_before_y: false,
        }
    }
}

impl Cf {
    fn with(mut self, name: &'static str, value: NcAttrValue) -> Self {
        self.rain.retain(|(existing, _)| *existing != name);
        self.rain.push((name, value));
        self
    }

    fn without(mut self, name: &str) -> Self {
        self.rain.retain(|(existing, _)| *existing != name);
        self
    }

    fn written(&self, format: NcWriteFormat) -> Vec<u8> {
        let mut file = NcFileBuilder::new();
        let time = file.add_unlimited_dimension("time").unwrap();
        let y = file.add_dimension(self.y.0, self.y.2.len() as u64).unwrap();
        let x = file.add_dimension(self.x.0, self.x.2.len() as u64).unwrap();
        let times = file.add_variable::<i32>("time", &[time]).unwrap();
        file.add_variable_attribute(times, "units", chars(self.time_units)).unwrap();
        file.write_variable(times, &[30, 35]).unwrap();
        for (id, (name, unit, values)) in [(y, &self.y), (x, &self.x)] {
            let axis = file.add_variable::<f64>(*name, &[id]).unwrap();
            file.add_variable_attribute(axis, "units", chars(unit)).unwrap();
            file.write_variable(axis, values).unwrap();
        }
        if !self.mapping.is_empty() {
            let crs = file.add_variable::<i32>("crs", &[]).unwrap();
            for (name, value) in &self.mapping {
                file.add_variable_attribute(crs, *name, value.clone()).unwrap();
            }
            file.write_variable(crs, &[0]).unwrap();
        }
        let dimensions = if self.x_before_y { [time, x, y] } else { [time, y, x] };
        let rain = file.add_variable::<f32>("rr", &dimensions).unwrap();
        for (name, value) in &self.rain {
            file.add_variable_attribute(rain, *name, value.clone()).unwrap();
        }
        let mut numbers = Vec::new();
        for picture in [self.stored.clone(), mirrored(self.stored.clone())] {
            let picture = if self.x_before_y { picture.reversed_axes() } else { picture };
            numbers.extend(picture.iter().copied());
        }
        file.write_variable(rain, &numbers).unwrap();
        file.to_vec(NcWriteOptions { format }).unwrap().1
    }

    pub(crate) fn classic(&self) -> Vec<u8> {
        self.written(NcWriteFormat::Classic)
    }

    pub(crate) fn netcdf4(&self) -> Vec<u8> {
        self.written(NcWriteFormat::Nc4)
    }

    /// Both pictures, read from the classic file without a remark.
    fn read(&self) -> Vec<RainField> {
        let reading = read_cf(&self.classic(), &ReadOptions::default()).unwrap();
        assert_eq!(reading.remarks, []);
        reading.value
    }

    fn refusal(&self) -> String {
        read_cf(&self.classic(), &ReadOptions::default()).unwrap_err().to_string()
    }
}

fn same(found: &Array2<f32>, expected: &Array2<f32>) -> bool {
    found.dim() == expected.dim()
        && found.iter().zip(expected).all(|(a, b)| a == b || a.is_nan() && b.is_nan())
}

#[test]
fn every_kind_of_netcdf_holds_the_same_pictures() {
    let file = Cf::default();
    for format in [
        NcWriteFormat::Classic,
        NcWriteFormat::Offset64,
        NcWriteFormat::Cdf5,
        NcWriteFormat::Nc4,
        NcWriteFormat::Nc4Classic,
    ] {
        let bytes = file.written(format);
        let reading = read_cf(&bytes, &ReadOptions::default()).unwrap();
        assert_eq!(reading.remarks, [], "{format:?}");
        let [first, second] = &reading.value[..] else { panic!("{format:?}") };
        assert!(same(&first.rain_rate_mm_h, &planted()), "{format:?}");
        assert!(same(&second.rain_rate_mm_h, &mirrored(planted())));
        assert_eq!(first.valid_time, "2026-09-03T14:30:00Z".parse().unwrap());
        assert_eq!(second.valid_time, "2026-09-03T14:35:00Z".parse().unwrap());
        assert_eq!(read_cf_times(&bytes).unwrap(), [first.valid_time, second.valid_time]);
        assert_eq!(first.grid.point_at(2.0, 3.0), Some(LatLon::new(43.0, -1.5).unwrap()));
    }
}

#[test]
fn the_picture_comes_out_north_up_whichever_way_the_axes_run() {
    for (flip_y, flip_x, x_before_y) in
        [(true, false, false), (false, true, false), (true, true, true), (false, false, true)]
    {
        let mut file = Cf { x_before_y, ..Cf::default() };
        if flip_y {
            file.y.2.reverse();
            file.stored.invert_axis(Axis(0));
        }
        if flip_x {
            file.x.2.reverse();
            file.stored.invert_axis(Axis(1));
        }
        for cut in [None, Some(Cut { centre: LatLon::new(43.1, -1.6).unwrap(), radius_km: 10.0 })] {
            let options = ReadOptions { cut, ..ReadOptions::default() };
            let field = read_cf(&file.netcdf4(), &options).unwrap().value.remove(0);
            let plain = read_cf(&Cf::default().netcdf4(), &options).unwrap().value.remove(0);
            assert!(field.grid.matches(&plain.grid));
            assert!(same(&field.rain_rate_mm_h, &plain.rain_rate_mm_h));
        }
    }
}

#[test]
fn units_are_turned_into_millimetres_an_hour() {
    // 16 mm/h is 16 kg/m2/h = 0.0044444 kg/m2/s = 4.4444e-6 m/s.
    for (unit, mm_h) in [("mm/h", 1.0), ("kg m-2 s-1", 3600.0), ("m s-1", 3.6e6)] {
        let mut file = Cf::default().with("units", chars(unit));
        file.stored = planted().mapv(|rate| if rate.is_nan() { FILL } else { rate / mm_h });
        let rate = file.read()[0].rain_rate_mm_h[(2, 2)];
        // Single precision both ways.
        assert!((rate - 16.0).abs() < 16.0 * 2e-7, "{unit}: {rate}");
    }
    for unit in ["dBZ", "mm"] {
        let refusal = Cf::default().with("units", chars(unit)).refusal();
        assert!(refusal.contains(&format!("found `rr` in `{unit}`")), "{refusal}");
    }
}

#[test]
fn the_variable_is_found_by_its_unit_when_nothing_names_it() {
    let unnamed = Cf::default().without("standard_name");
    let reading = read_cf(&unnamed.classic(), &ReadOptions::default()).unwrap();
    assert!(matches!(reading.remarks[..], [RadarRemark::ChosenByUnit { .. }]));
    assert!(same(&reading.value[0].rain_rate_mm_h, &planted()));
    // A long name that says rain is enough.
    unnamed.with("long_name", chars("Surface rain rate")).read();
    // What calls itself wind is never rain, whatever its unit.
    let wind =
        Cf::default().with("standard_name", chars("wind_speed")).with("units", chars("m s-1"));
    assert!(wind.refusal().starts_with("expected a rain rate"), "{}", wind.refusal());
}

#[test]
fn every_way_to_say_missing_is_not_measured() {
    let missing = Cf::default().without("_FillValue");
    for named in ["missing_value", "_FillValue"] {
        let file = missing.clone().with(named, NcAttrValue::Floats(vec![FILL]));
        assert!(same(&file.read()[0].rain_rate_mm_h, &planted()), "{named}");
    }
    let file = missing.clone().with("valid_range", NcAttrValue::Floats(vec![0.0, 500.0]));
    assert!(same(&file.read()[0].rain_rate_mm_h, &planted()));
    // Even when the file forgot to say it.
    let reading = read_cf(&missing.classic(), &ReadOptions::default()).unwrap();
    assert!(same(&reading.value[0].rain_rate_mm_h, &planted()));
    assert!(matches!(
        reading.remarks[..],
        [
            RadarRemark::ImpossibleRates { cells: 1, .. },
            RadarRemark::ImpossibleRates { cells: 1, .. }
        ]
    ));
}

#[test]
fn packed_numbers_are_unpacked_after_the_fill_value_was_taken_out() {
    let mut file = Cf::default()
        .with("scale_factor", number(0.25))
        .with("add_offset", number(-1.0))
        .with("_FillValue", NcAttrValue::Floats(vec![255.0]));
    file.stored = planted().mapv(|rate| if rate.is_nan() { 255.0 } else { (rate + 1.0) / 0.25 });
    assert!(same(&file.read()[0].rain_rate_mm_h, &planted()));
}

#[test]
fn longitudes_may_count_to_360_and_cross_a_meridian() {
    for longitudes in [vec![357.0, 357.5, 358.0, 358.5], vec![359.0, 359.5, 0.0, 0.5]] {
        let first = if longitudes[0] < 358.0 { -3.0 } else { -1.0 };
        let mut file = Cf::default();
        file.x.2 = longitudes;
        let field = &file.read()[0];
        assert_eq!(field.grid.x_first, first);
        let place = LatLon::new(43.5, first + 1.0).unwrap();
        assert_eq!(field.grid.cell_of(place), Some((1.0, 2.0)));
    }
}

/// A grid mapping and where its plane points (100 km, 200 km) and (500 km, -300 km) lie: pyproj
/// 3.7.2 (`CRS.from_cf`), latitude and longitude to six decimals.
type Map = (&'static str, &'static [(&'static str, f64)], [(f64, f64); 2]);

const MAPS: [Map; 7] = [
    (
        "polar_stereographic",
        &[
            ("latitude_of_projection_origin", 90.0),
            ("straight_vertical_longitude_from_pole", 25.0),
            ("standard_parallel", 60.0),
            ("earth_radius", 6371288.0),
            ("false_easting", 380886.31),
            ("false_northing", 3395677.92),
        ],
        [(59.799065, 19.976857), (55.447535, 26.846035)],
    ),
    (
        "lambert_azimuthal_equal_area",
        &[
            ("latitude_of_projection_origin", 55.0),
            ("longitude_of_projection_origin", 10.0),
            ("semi_major_axis", 6378137.0),
            ("inverse_flattening", 298.257223563),
            ("false_easting", 1950000.0),
            ("false_northing", -2100000.0),
        ],
        [(68.87587, -41.304445), (67.609423, -25.810971)],
    ),
    (
        "lambert_conformal_conic",
        &[
            ("latitude_of_projection_origin", 25.0),
            ("longitude_of_central_meridian", 265.0),
            ("standard_parallel", 25.0),
            ("earth_radius", 6371229.0),
        ],
        [(26.794944, -93.993022), (22.222734, -90.147387)],
    ),
    (
        "transverse_mercator",
        &[
            ("latitude_of_projection_origin", 49.0),
            ("longitude_of_central_meridian", -2.0),
            ("scale_factor_at_central_meridian", 0.9996012717),
            ("semi_major_axis", 6378137.0),
            ("inverse_flattening", 298.257223563),
            ("false_easting", 400000.0),
            ("false_northing", -100000.0),
        ],
        [(51.618008, -6.334114), (47.19299, -0.679885)],
    ),
    (
        "stereographic",
        &[
            ("latitude_of_projection_origin", 46.0),
            ("longitude_of_projection_origin", 8.0),
            ("scale_factor_at_projection_origin", 1.0),
            ("earth_radius", 6371000.0),
        ],
        [(47.790828, 9.338306), (43.132775, 14.160655)],
    ),
    (
        "azimuthal_equidistant",
        &[
            ("latitude_of_projection_origin", -33.7),
            ("longitude_of_projection_origin", 151.2),
            ("earth_radius", 6371000.0),
        ],
        [(-31.896817, 152.259113), (-36.273681, 156.778559)],
    ),
    (
        "mercator",
        &[
            ("longitude_of_projection_origin", 0.0),
            ("standard_parallel", 20.0),
            ("semi_major_axis", 6378137.0),
            ("inverse_flattening", 298.257223563),
        ],
        [(1.9237, 0.955593), (-2.884863, 4.777964)],
    ),
];

/// The same for two standard parallels, which are one attribute of two numbers: latitude of origin,
/// central meridian, parallels, places.
type ConicMap = (&'static str, f64, f64, [f64; 2], [(f64, f64); 2]);

const TWO_PARALLELS: [ConicMap; 2] = [
    (
        "lambert_conformal_conic",
        39.0,
        -96.0,
        [33.0, 45.0],
        [(40.804967, -94.808921), (36.144278, -90.417615)],
    ),
    (
        "albers_conical_equal_area",
        0.0,
        132.0,
        [-18.0, -36.0],
        [(1.981512, 132.816207), (-2.840873, 136.214232)],
    ),
];

/// A file on a map with cells of 100 km, rows from 200 to -300 km and columns from 100 to 500 km.
fn on_map(name: &str, mapping: Vec<(&'static str, NcAttrValue)>, unit: &'static str) -> Cf {
    let scale = if unit == "km" { 1.0 } else { 1000.0 };
    let mut mapping = mapping;
    mapping.push(("grid_mapping_name", chars(name)));
    Cf {
        stored: Array2::zeros((6, 5)),
        y: ("y", unit, (0..6).map(|row| (200.0 - 100.0 * f64::from(row)) * scale).collect()),
        x: ("x", unit, (1..6).map(|column| 100.0 * f64::from(column) * scale).collect()),
        mapping,
        ..Cf::default()
    }
    .with("grid_mapping", chars("crs"))
}

fn check_places(file: &Cf, places: [(f64, f64); 2]) {
    let grid = &file.read()[0].grid;
    for ((row, column), (lat, lon)) in [(0.0, 0.0), (5.0, 4.0)].into_iter().zip(places) {
        let place = grid.point_at(row, column).unwrap();
        // The last decimal of the table is 0.1 m; the series of the two libraries agree better.
        let near = (place.lat_deg() - lat).abs() < 2e-6 && (place.lon_deg() - lon).abs() < 2e-6;
        assert!(near, "{:?}: {place}, expected {lat},{lon}", file.mapping);
    }
}

#[test]
fn cells_lie_where_the_grid_mapping_puts_them() {
    for (name, parameters, places) in MAPS {
        let mapping = parameters.iter().map(|&(key, value)| (key, number(value))).collect();
        check_places(&on_map(name, mapping, "m"), places);
        // False eastings are in the unit of the axes.
        let in_km = |&(key, value): &(&'static str, f64)| {
            (key, number(if key.starts_with("false") { value / 1000.0 } else { value }))
        };
        check_places(&on_map(name, parameters.iter().map(in_km).collect(), "km"), places);
    }
    for (name, origin_lat, meridian, parallels, places) in TWO_PARALLELS {
        let mapping = vec![
            ("latitude_of_projection_origin", number(origin_lat)),
            ("longitude_of_central_meridian", number(meridian)),
            ("standard_parallel", NcAttrValue::Doubles(parallels.to_vec())),
            ("semi_major_axis", number(6378137.0)),
            // WGS 84 and GRS 80 differ by a tenth of a millimetre in this axis.
            ("semi_minor_axis", number(6356752.314245179)),
        ];
        check_places(&on_map(name, mapping, "m"), places);
    }
}

#[test]
fn a_proj_string_serves_where_the_mapping_is_not_one_of_the_conventions() {
    let text = "+proj=laea +lat_0=55 +lon_0=10 +x_0=1950000 +y_0=-2100000 +units=km +ellps=WGS84";
    let file = on_map("of our own", vec![("proj4", chars(text))], "m");
    check_places(&file, MAPS[1].2);
}

#[test]
fn a_map_without_a_size_of_the_earth_is_remarked_on() {
    let mapping = vec![
        ("latitude_of_projection_origin", number(55.0)),
        ("longitude_of_projection_origin", number(10.0)),
    ];
    let file = on_map("lambert_azimuthal_equal_area", mapping, "m");
    let reading = read_cf(&file.classic(), &ReadOptions::default()).unwrap();
    assert_eq!(reading.remarks, [RadarRemark::EarthAssumed]);
}

#[test]
fn what_cannot_be_placed_or_dated_is_refused_by_name() {
    let check = |file: &Cf, said: &str| {
        let refusal = file.refusal();
        assert!(refusal.contains(said), "{refusal}");
    };
    check(&on_map("vertical_perspective", vec![], "m"), "the grid mapping: `vertical_perspective`");
    check(&on_map("mercator", vec![], "m"), "`scale_factor_at_projection_origin`");
    check(
        &on_map("mercator", vec![], "m").without("grid_mapping"),
        "no grid mapping of `rr`, whose axes are in metres",
    );
    check(&on_map("mercator", vec![], "m").with("grid_mapping", chars("map")), "mapping `map`");
    let mut uneven = Cf::default();
    uneven.x.2[1] += 0.2;
    check(&uneven, "an axis without even steps: `lon`");
    let mut no_unit = Cf::default();
    no_unit.y = ("lat", "", no_unit.y.2);
    check(&no_unit, "no unit of `lat`");
    check(&Cf { time_units: "months since 2026-01-01", ..Cf::default() }, "months since");
    check(&Cf { time_units: "minutes", ..Cf::default() }, "coordinates of the dimension `time`");
}

#[test]
fn two_dimensional_coordinates_alone_are_refused_by_name() {
    let mut file = NcFileBuilder::new();
    let (j, i) = (file.add_dimension("j", 2).unwrap(), file.add_dimension("i", 2).unwrap());
    for (name, unit) in [("lat", "degrees_north"), ("lon", "degrees_east"), ("rr", "mm h-1")] {
        let variable = file.add_variable::<f32>(name, &[j, i]).unwrap();
        file.add_variable_attribute(variable, "units", chars(unit)).unwrap();
        file.write_variable(variable, &[1.0_f32, 2.0, 3.0, 4.0]).unwrap();
    }
    let bytes = file.to_vec(NcWriteOptions::default()).unwrap().1;
    let error = read_cf(&bytes, &ReadOptions::default()).unwrap_err();
    assert!(matches!(error, RadarError::Unsupported { .. }), "{error}");
    assert!(error.to_string().contains("two-dimensional"), "{error}");
}

#[test]
fn pictures_outside_the_wanted_times_are_not_read() {
    let options = ReadOptions {
        valid_times: Some(jiff::Timestamp::MIN..="2026-09-03T14:34:00Z".parse().unwrap()),
        ..ReadOptions::default()
    };
    let reading = read_cf(&Cf::default().classic(), &options).unwrap();
    assert_eq!(reading.value.len(), 1);
}

proptest! {
    /// Whatever parameters a file gives to its projection, there is an answer or an error.
    #[test]
    fn no_parameters_of_a_map_make_the_reader_panic(
        name in prop::sample::select(MAPS.map(|(name, ..)| name).to_vec()),
        values in prop::collection::vec(
            prop_oneof![
                any::<f64>(), -400.0..400.0, Just(0.0), Just(90.0), Just(-90.0), Just(1e7)
            ],
            9,
        ),
    ) {
        let keys = [
            "latitude_of_projection_origin",
            "longitude_of_projection_origin",
            "longitude_of_central_meridian",
            "standard_parallel",
            "scale_factor_at_central_meridian",
            "semi_major_axis",
            "inverse_flattening",
            "false_easting",
            "false_northing",
        ];
        let mapping = keys.into_iter().zip(values).map(|(key, value)| (key, number(value)));
        let bytes = on_map(name, mapping.collect(), "m").classic();
        let place = Cut { centre: LatLon::new(43.0, 2.0).unwrap(), radius_km: 300.0 };
        for cut in [None, Some(place)] {
            let _ = read_cf(&bytes, &ReadOptions { cut, ..ReadOptions::default() });
        }
    }
}
