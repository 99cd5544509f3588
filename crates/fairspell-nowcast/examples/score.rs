//! Scores the nowcast on real radar sequences, beside persistence: Brier scores at fixed points.
//!
//! ```console
//! $ FAIRSPELL_RADAR_DATA=radar cargo run --release -p fairspell-nowcast --example score
//! ```
//!
//! The folder holds `mrms/` and `opera/` with the pictures and `score/*_points.csv` (header
//! `lat,lon`) with the points. At each point the question is whether it is wet (at least 0.1 mm/h) in
//! any picture of the window; only pictures up to the start are used.

use std::{error::Error, fs, path::Path};

use fairspell_chance::{Outcome, Probability, brier_score};
use fairspell_ground::LatLon;
use fairspell_nowcast::{Cut, Nowcast, RainField, ReadOptions, read_rain_fields};
use jiff::{SignedDuration, Timestamp};

/// One event: its folder, its points, where to cut, and what is asked.
struct Event {
    name: &'static str,
    prefix: &'static str,
    points: &'static str,
    centre: (f64, f64),
    radius_km: f64,
    starts: &'static [&'static str],
    window_min: (i64, i64),
}

const MRMS_STARTS: &[&str] = &["2019-06-10T00:08Z", "2019-06-10T00:16Z", "2019-06-10T00:24Z"];
const OPERA_STARTS: &[&str] = &[
    "2018-08-24T18:30Z",
    "2018-08-24T19:15Z",
    "2018-08-24T20:00Z",
    "2018-08-24T20:45Z",
    "2018-08-24T21:30Z",
];

const EVENTS: [Event; 4] = [mrms((8, 28)), mrms((15, 45)), opera((15, 45)), opera((30, 120))];

const fn mrms(window_min: (i64, i64)) -> Event {
    Event {
        name: "mrms2019",
        prefix: "mrms/PrecipRate",
        points: "mrms2019_points.csv",
        centre: (35.7, -84.6),
        radius_km: 450.0,
        starts: MRMS_STARTS,
        window_min,
    }
}

const fn opera(window_min: (i64, i64)) -> Event {
    Event {
        name: "opera2018",
        prefix: "opera/T_PAAH21",
        points: "opera2018_points.csv",
        centre: (64.5, 19.0),
        radius_km: 800.0,
        starts: OPERA_STARTS,
        window_min,
    }
}

#[expect(clippy::print_stdout, reason = "a table for whoever runs it")]
fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::env::var("FAIRSPELL_RADAR_DATA")
        .map_err(|_| "set FAIRSPELL_RADAR_DATA to the folder with the radar files")?;
    let folder = Path::new(&folder);
    println!(
        "{:<10} {:<9} {:>6} {:>6} {:>12} {:>8}",
        "event", "minutes", "cases", "wet", "persistence", "ours"
    );
    for event in EVENTS {
        let places = places(&folder.join("score").join(event.points))?;
        let fields = pictures(folder, &event)?;
        let (mut ours, mut persistence) = (Vec::new(), Vec::new());
        for start in event.starts {
            let issued: Timestamp = start.parse()?;
            let (a, b) = event.window_min;
            let (from, to) =
                (issued + SignedDuration::from_mins(a), issued + SignedDuration::from_mins(b));
            let seen: Vec<RainField> =
                fields.iter().filter(|field| field.valid_time <= issued).cloned().collect();
            let nowcast = Nowcast::from_fields(seen, issued)?.value;
            for place in &places {
                let Some(happened) = came(&fields, *place, from, to) else { continue };
                let Some(wet_now) = wet(nowcast.newest(), *place) else { continue };
                let Some(p) = nowcast.at(*place)?.p_rain(from, to) else { continue };
                ours.push(Outcome { p, happened });
                let p = if wet_now { Probability::ONE } else { Probability::ZERO };
                persistence.push(Outcome { p, happened });
            }
        }
        let wet_share = ours.iter().filter(|case| case.happened).count() as f64 / ours.len() as f64;
        println!(
            "{:<10} {:<9} {:>6} {:>6.3} {:>12.4} {:>8.4}",
            event.name,
            format!("{}-{}", event.window_min.0, event.window_min.1),
            ours.len(),
            wet_share,
            brier_score(&persistence).ok_or("nothing to score")?,
            brier_score(&ours).ok_or("nothing to score")?,
        );
    }
    Ok(())
}

fn places(file: &Path) -> Result<Vec<LatLon>, Box<dyn Error>> {
    let mut places = Vec::new();
    for row in csv::Reader::from_path(file)?.deserialize() {
        let (lat, lon): (f64, f64) = row?;
        places.push(LatLon::new(lat, lon)?);
    }
    Ok(places)
}

fn pictures(folder: &Path, event: &Event) -> Result<Vec<RainField>, Box<dyn Error>> {
    let (group, prefix) = event.prefix.split_once('/').ok_or("a folder and a prefix")?;
    let (lat, lon) = event.centre;
    let cut = Some(Cut { centre: LatLon::new(lat, lon)?, radius_km: event.radius_km });
    let options = ReadOptions { cut, ..ReadOptions::default() };
    let mut fields = Vec::new();
    for entry in fs::read_dir(folder.join(group))? {
        let path = entry?.path();
        if path.file_name().is_some_and(|name| name.to_string_lossy().starts_with(prefix)) {
            fields.extend(read_rain_fields(&fs::read(path)?, &options)?.value);
        }
    }
    fields.sort_by_key(|field| field.valid_time);
    Ok(fields)
}

fn wet(field: &RainField, place: LatLon) -> Option<bool> {
    field.rain_rate_at(place).map(|rate| rate >= 0.1)
}

fn came(fields: &[RainField], place: LatLon, from: Timestamp, to: Timestamp) -> Option<bool> {
    let mut window = fields.iter().filter(|field| (from..=to).contains(&field.valid_time));
    window.try_fold(false, |any, field| Some(any || wet(field, place)?))
}
