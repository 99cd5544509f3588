//! Invented readings, in the services' own forms, with the moments at which they were fetched.

use std::{
    fs,
    io::Write,
    path::{Path, PathBuf},
};

use jiff::{SignedDuration, Timestamp};
use netcdf_writer::{NcAttrValue, NcFileBuilder, NcWriteFormat, NcWriteOptions};
use serde_json::json;

use crate::desk::moment;

/// A studio's folder of readings.
#[derive(Clone)]
pub(crate) struct Readings {
    pub(crate) folder: PathBuf,
}

/// From here on services were asked, and up to there.
const ASKED: (&str, &str) = ("2026-09-02T00:00:00Z", "2026-09-04T00:00:00Z");
/// Between two looks at warnings, minutes.
const LOOKS_MIN: i64 = 30;

impl Readings {
    pub(crate) fn under(data: &Path) -> Readings {
        let folder = data.join("readings");
        for kind in ["forecasts", "warnings", "radar"] {
            fs::create_dir_all(folder.join(kind)).unwrap();
        }
        fs::write(folder.join("received.csv"), "file,fetched_at,source\n").unwrap();
        Readings { folder }
    }

    /// Nothing was ever fetched.
    pub(crate) fn none(&self) {
        assert!(self.folder.is_dir());
    }

    /// A dry forecast every six hours, and no warning.
    pub(crate) fn dry(&self) {
        self.sky(5);
    }

    /// Rain as likely as not: the choice is the family's.
    pub(crate) fn doubtful(&self) {
        self.sky(22);
    }

    /// A forecast of so many per cent an hour every six hours, and no warning.
    pub(crate) fn sky(&self, percent: u32) {
        let (from, to) = (moment(ASKED.0), moment(ASKED.1));
        let mut fetched = from;
        while fetched < to {
            self.forecast(fetched, percent);
            fetched += SignedDuration::from_hours(6);
        }
        self.no_warnings();
    }

    /// Looks at warnings that found none, all the time.
    pub(crate) fn no_warnings(&self) {
        let none = json!({ "type": "FeatureCollection", "title": "Current warnings (invented)",
            "updated": ASKED.0, "features": [] });
        fs::write(self.folder.join("warnings/none.json"), none.to_string()).unwrap();
        let mut looked_at = moment(ASKED.0);
        while looked_at < moment(ASKED.1) {
            self.received("warnings/none.json", looked_at, "Warning service (invented)");
            looked_at += SignedDuration::from_mins(LOOKS_MIN);
        }
    }

    /// A forecast, made half an hour before it was fetched.
    pub(crate) fn forecast(&self, fetched: Timestamp, percent: u32) {
        let file = format!("forecasts/{}-{percent}.json", fetched.as_second());
        fs::write(self.folder.join(&file), met_norway(fetched, percent)).unwrap();
        self.received(&file, fetched, "Weather service (invented)");
    }

    /// A thunderstorm warning for Linh's hours, sent at a moment and fetched with it.
    pub(crate) fn storm_warning(&self, sent: Timestamp) {
        fs::write(self.folder.join("warnings/storm.xml"), storm(sent)).unwrap();
        self.received("warnings/storm.xml", sent, "Warning service (invented)");
    }

    /// A radar picture of a moment, fetched two minutes later.
    pub(crate) fn radar(&self, at: Timestamp) {
        let file = format!("radar/{}.nc", at.as_second());
        fs::write(self.folder.join(&file), picture(at)).unwrap();
        self.received(&file, at + SignedDuration::from_mins(2), "Radar (invented)");
    }

    /// Notes that a file was fetched.
    pub(crate) fn received(&self, file: &str, fetched: Timestamp, source: &str) {
        let list = fs::OpenOptions::new().append(true).open(self.folder.join("received.csv"));
        writeln!(list.unwrap(), "{file},{fetched},{source}").unwrap();
    }
}

/// A forecast in the form of MET Norway's Locationforecast 2.0: four days by the hour.
fn met_norway(fetched: Timestamp, percent: u32) -> String {
    let made = fetched - SignedDuration::from_mins(30);
    let first = Timestamp::from_second(made.as_second().div_euclid(3600) * 3600).unwrap();
    let amount = if percent < 50 { 0.0 } else { 1.2 };
    let period = json!({ "summary": { "symbol_code": "cloudy" }, "details": {
        "precipitation_amount": amount, "precipitation_amount_max": 1.2,
        "precipitation_amount_min": 0.0, "probability_of_precipitation": f64::from(percent),
        "probability_of_thunder": 0.0 } });
    let step = |hour: i64| {
        json!({ "time": (first + SignedDuration::from_hours(hour)).to_string(), "data": {
            "instant": { "details": { "air_pressure_at_sea_level": 1016.0, "air_temperature": 19.0,
                "cloud_area_fraction": 60.0, "dew_point_temperature": 11.0,
                "relative_humidity": 60.0, "wind_from_direction": 140.0, "wind_speed": 3.0,
                "wind_speed_of_gust": 5.0 } },
            "next_1_hours": period } })
    };
    let units = json!({ "air_pressure_at_sea_level": "hPa", "air_temperature": "celsius",
        "cloud_area_fraction": "%", "dew_point_temperature": "celsius",
        "precipitation_amount": "mm", "precipitation_amount_max": "mm",
        "precipitation_amount_min": "mm", "probability_of_precipitation": "%",
        "probability_of_thunder": "%", "relative_humidity": "%",
        "wind_from_direction": "degrees", "wind_speed": "m/s", "wind_speed_of_gust": "m/s" });
    json!({ "type": "Feature",
        "geometry": { "type": "Point", "coordinates": [152.79, -31.72, 3.0] },
        "properties": {
            "meta": { "updated_at": made.to_string(), "units": units },
            "timeseries": (0..100).map(step).collect::<Vec<_>>() } })
    .to_string()
}

/// A CAP 1.2 message that says "not here, not now" for Linh's hours.
fn storm(sent: Timestamp) -> String {
    let sent = sent.strftime("%Y-%m-%dT%H:%M:%S+00:00");
    format!(
        r#"<?xml version="1.0" encoding="UTF-8"?>
<alert xmlns="urn:oasis:names:tc:emergency:cap:1.2">
 <identifier>invented-1</identifier>
 <sender>warnings@saltern-bight.example</sender>
 <sent>{sent}</sent>
 <status>Actual</status>
 <msgType>Alert</msgType>
 <scope>Public</scope>
 <info>
  <language>en-AU</language>
  <category>Met</category>
  <event>Severe Thunderstorm Warning</event>
  <responseType>Shelter</responseType>
  <urgency>Expected</urgency>
  <severity>Severe</severity>
  <certainty>Likely</certainty>
  <effective>{sent}</effective>
  <onset>2026-09-03T04:00:00+00:00</onset>
  <expires>2026-09-03T09:00:00+00:00</expires>
  <senderName>Warning service (invented)</senderName>
  <headline>Invented: severe thunderstorms</headline>
  <area><areaDesc>Saltern Bight (invented)</areaDesc><circle>-31.72,152.79 60</circle></area>
 </info>
</alert>
"#
    )
}

/// A picture after the CF conventions: two showers that drift east by a kilometre in two minutes.
fn picture(moment: Timestamp) -> Vec<u8> {
    const CELLS: u32 = 90;
    const STEP_DEG: f64 = 0.02;
    let axis = |first: f64| -> Vec<f64> {
        (0..CELLS).map(|cell| first + STEP_DEG * f64::from(cell)).collect()
    };
    let (lats, lons) = (axis(-32.6), axis(151.9));
    let drift_deg = moment.duration_since(moment_of_drift()).as_secs_f64() / 120.0 / 94.0;
    let rate = |lat: f64, lon: f64| {
        let showers = [(-31.6, 152.5, 0.1, 9.0), (-31.9, 152.2, 0.15, 4.0)];
        let of = |(at_lat, at_lon, size, peak): (f64, f64, f64, f64)| {
            let (north, east) = (lat - at_lat, lon - at_lon - drift_deg);
            peak * (-(north * north + east * east) / (size * size)).exp()
        };
        let rate: f64 = showers.map(of).iter().sum();
        if rate < 0.1 { 0.0 } else { rate }
    };
    let rates: Vec<f64> =
        lats.iter().flat_map(|lat| lons.iter().map(|lon| rate(*lat, *lon))).collect();

    let text = |text: &str| NcAttrValue::Chars(text.to_owned());
    let mut file = NcFileBuilder::new();
    file.add_attribute("Conventions", text("CF-1.8")).unwrap();
    let dimensions = [("time", 1), ("lat", CELLS), ("lon", CELLS)]
        .map(|(name, length)| file.add_dimension(name, length.into()).unwrap());
    let [time, lat, lon] = dimensions;
    let seconds = [moment.as_second() as f64];
    for (name, standard_name, units, dimension, values) in [
        ("time", "time", "seconds since 1970-01-01 00:00:00", time, &seconds[..]),
        ("lat", "latitude", "degrees_north", lat, &lats),
        ("lon", "longitude", "degrees_east", lon, &lons),
    ] {
        let axis = file.add_variable::<f64>(name, &[dimension]).unwrap();
        file.add_variable_attribute(axis, "standard_name", text(standard_name)).unwrap();
        file.add_variable_attribute(axis, "units", text(units)).unwrap();
        file.write_variable(axis, values).unwrap();
    }
    let rain = file.add_variable::<f64>("rainfall_rate", &dimensions).unwrap();
    file.add_variable_attribute(rain, "standard_name", text("rainfall_rate")).unwrap();
    file.add_variable_attribute(rain, "units", text("mm h-1")).unwrap();
    file.write_variable(rain, &rates).unwrap();
    let options = NcWriteOptions { format: NcWriteFormat::Nc4 };
    file.to_vec(options).unwrap().1
}

/// When the showers stood where they are drawn.
fn moment_of_drift() -> Timestamp {
    moment("2026-09-03T02:00:00Z")
}
