//! What the invented world promises, checked on what it is made of and on what it writes.

use std::{
    collections::{BTreeMap, HashMap},
    fs,
    path::Path,
    sync::OnceLock,
};

use fairspell_studio::{GateKind, Session, Studio, gates};
use jiff::{Timestamp, civil::date, tz::TimeZone};

use super::{
    clock,
    coast::coast,
    evenings::{
        RainKind, SEVENTEENTH_OF_SEPTEMBER, THIRD_OF_SEPTEMBER, TWENTY_FOURTH_OF_NOVEMBER, Weather,
        sky_of,
    },
    forecasts::weather_told,
    grid::Grid,
    people::sessions,
    received,
    sky::{Cell, Showers, Sky, WET_FROM_MM_H, motion_km_min},
    studio::studio,
    town::Town,
    warnings, write,
};

/// Heron Walk and Cannery Arcade, km east and north of the town.
const SPOTS_KM: [(f64, f64); 2] = [(-1.504, -0.578), (-0.397, 0.044)];

fn third_of_september() -> &'static Sky {
    static SKY: OnceLock<Sky> = OnceLock::new();
    SKY.get_or_init(|| Sky::Showers(Showers::grow(&THIRD_OF_SEPTEMBER)))
}

fn at(hour: u32, minute: u32) -> f64 {
    f64::from(60 * hour + minute)
}

/// First and last wet minute of each wet spell at a point, minutes of the day.
fn wet_spells(sky: &Sky, (x, y): (f64, f64), from: u32, to: u32) -> Vec<(f64, f64)> {
    let mut spells: Vec<(f64, f64)> = Vec::new();
    for minute in (from..=to).map(f64::from) {
        if sky.rain_rate_mm_h(minute, x, y) < WET_FROM_MM_H {
            continue;
        }
        match spells.last_mut() {
            Some(spell) if minute - spell.1 <= 1.0 => spell.1 = minute,
            _ => spells.push((minute, minute)),
        }
    }
    spells
}

fn wet_share_within_60_km(sky: &Sky, minute: f64) -> f64 {
    let grid = Grid::around(Town::SalternBight.position().unwrap()).unwrap();
    grid.share(&sky.field_mm_h(minute, &grid), |x, y| x.hypot(y) <= 60.0)
}

/// The studio's trade sheet: 12 % at 13:30, 20 % at 14:30. Two points: whole cells come and go.
#[test]
fn the_third_of_september_is_as_wet_around_the_town_as_told() {
    for (minute, told) in [(at(13, 30), 0.12), (at(14, 30), 0.20), (at(16, 0), 0.20)] {
        let share = wet_share_within_60_km(third_of_september(), minute);
        assert!((share - told).abs() <= 0.02, "{minute}: {share}");
    }
}

/// The trade sheet's minutes: 15:41-15:52, 16:14-16:30, 17:01-17:12; dry otherwise. A minute either
/// way, because the spots lie 1.3 km apart.
#[test]
fn on_the_third_of_september_three_showers_cross_the_town_and_leave_two_long_gaps() {
    for spot in SPOTS_KM {
        let spells = wet_spells(third_of_september(), spot, 11 * 60, 18 * 60);
        let told = [(at(15, 41), at(15, 52)), (at(16, 14), at(16, 30)), (at(17, 1), at(17, 12))];
        assert_eq!(spells.len(), told.len(), "{spells:?}");
        for (spell, told) in spells.iter().zip(told) {
            assert!(
                (spell.0 - told.0).abs() <= 1.5 && (spell.1 - told.1).abs() <= 1.5,
                "{spells:?}"
            );
        }
    }
}

/// 2.4 mm fell in the gauge, by the trade sheet; to its last digit.
#[test]
fn on_the_third_of_september_the_gauge_holds_two_point_four_millimetres() {
    let (x, y) = SPOTS_KM[0];
    let sky = third_of_september();
    let steps = (15 * 600..18 * 600).map(|tenth| f64::from(tenth) / 10.0);
    let sum_mm: f64 = steps.map(|minute| sky.rain_rate_mm_h(minute, x, y) / 600.0).sum();
    assert!((sum_mm - 2.4).abs() <= 0.15, "{sum_mm} mm");
}

/// A south-east wind of 25 km/h carries a cell 12.5 km north-west in half an hour.
#[test]
fn a_cell_drifts_where_the_wind_blows_as_fast_as_told() {
    let cell = Cell {
        birth_km: (20.0, -20.0),
        born_minute: 0.0,
        life_min: 90.0,
        radius_km: 4.0,
        peak_mm_h: 5.0,
        raggedness: 0.0,
        bulge_rad: 0.0,
    };
    let sky = Sky::Showers(Showers::of(motion_km_min(135.0, 25.0), vec![cell]));
    let grid = Grid::square(60.0, 0.5);
    let middle = |minute| {
        let field = sky.field_mm_h(minute, &grid);
        let (mut x_sum, mut y_sum, mut sum) = (0.0, 0.0, 0.0);
        let places = grid.fill(|x, _| x).into_iter().zip(grid.fill(|_, y| y));
        for (rate, (x, y)) in field.into_iter().zip(places) {
            x_sum += rate * x;
            y_sum += rate * y;
            sum += rate;
        }
        (x_sum / sum, y_sum / sum)
    };
    let (from, to) = (middle(20.0), middle(50.0));
    let along_axis_km = 12.5 / 2.0_f64.sqrt();
    // The middle of a cell on a mesh of half a kilometre is good to a tenth of that.
    assert!((to.0 - from.0 + along_axis_km).abs() < 0.05, "{from:?} {to:?}");
    assert!((to.1 - from.1 - along_axis_km).abs() < 0.05, "{from:?} {to:?}");
}

/// The trade sheet's cells are 4 to 8 km wide; ragged edges may add and take a fifth.
#[test]
fn no_shower_is_wider_than_told() {
    let grid = Grid::square(8.0, 0.1);
    let Sky::Showers(showers) = third_of_september() else { panic!("it is a showery day") };
    for cell in showers.cells() {
        let alone = Cell { birth_km: (0.0, 0.0), ..*cell };
        let sky = Sky::Showers(Showers::of((0.0, 0.0), vec![alone]));
        let field = sky.field_mm_h(cell.born_minute + 12.0, &grid);
        let area_km2 = grid.share(&field, |_, _| true) * 16.0 * 16.0;
        let width_km = 2.0 * (area_km2 / std::f64::consts::PI).sqrt();
        assert!((3.8..=8.4).contains(&width_km), "{width_km} km: {cell:?}");
    }
}

/// The trade sheet: storm at 16:40, 21 mm in 30 minutes, dry from 18:50.
#[test]
fn the_storm_of_november_comes_pours_and_goes_at_its_minutes() {
    let sky = Sky::SquallLine(TWENTY_FOURTH_OF_NOVEMBER);
    let spells = wet_spells(&sky, (0.0, 0.0), 12 * 60, 21 * 60);
    assert_eq!(spells.len(), 1);
    assert!((spells[0].0 - at(16, 40)).abs() <= 1.0, "{spells:?}");
    assert!((spells[0].1 - at(18, 50)).abs() <= 1.0, "{spells:?}");
    let pours: f64 = (17 * 60 + 10..17 * 60 + 40)
        .map(|minute| sky.rain_rate_mm_h(f64::from(minute) + 0.5, 0.0, 0.0) / 60.0)
        .sum();
    assert!((pours - 21.0).abs() <= 0.5, "{pours} mm");
}

/// The trade sheet: 6 mm/h easing to 1.5 by 16:30. A low is uneven from place to place (a quarter,
/// one standard deviation), so twice that.
#[test]
fn the_low_eases_and_never_stops() {
    let sky = sky_of(date(2026, 9, 17));
    for (minute, told) in [(at(14, 0), 6.0), (at(16, 30), 1.5)] {
        assert!((super::sky::at_knots(SEVENTEENTH_OF_SEPTEMBER, minute) - told).abs() < 1e-9);
        let grid = Grid::around(Town::SalternBight.position().unwrap()).unwrap();
        let field = sky.field_mm_h(minute, &grid);
        let mean = field.iter().sum::<f64>() / field.len() as f64;
        assert!((mean / told - 1.0).abs() < 0.2, "{minute}: {mean} mm/h over all");
        let here = sky.rain_rate_mm_h(minute, 0.0, 0.0);
        assert!((here / told).ln().abs() < 0.5, "{minute}: {here} mm/h in town");
    }
    assert_eq!(wet_spells(&sky, (0.0, 0.0), 12 * 60, 18 * 60).len(), 1);
}

#[test]
fn the_shower_at_pell_narrows_can_be_waited_out() {
    let spells = wet_spells(&sky_of(date(2026, 10, 1)), (0.0, 0.0), 12 * 60, 18 * 60);
    assert_eq!(spells.len(), 1, "{spells:?}");
    assert!((spells[0].0 - at(15, 55)).abs() <= 1.0, "{spells:?}");
    assert!((spells[0].1 - at(16, 20)).abs() <= 1.0, "{spells:?}");
}

/// Values that are written down, not computed.
fn assert_same(value: f64, told: f64) {
    assert!((value - told).abs() < 1e-9, "{value} instead of {told}");
}

fn told(made: (i8, i8, i8), hour: (i8, i8, i8)) -> Weather {
    let clock = |(month, day, hour): (i8, i8, i8)| date(2026, month, day).at(hour, 0, 0, 0);
    weather_told(Town::SalternBight, clock(made), clock(hour))
}

#[test]
fn the_third_of_september_is_forecast_dry_at_every_reading() {
    for made in [(8, 30, 12), (9, 2, 17), (9, 3, 9), (9, 3, 14)] {
        for (hour, percent) in [(15, 5.0), (16, 5.0), (17, 10.0), (18, 10.0)] {
            assert_same(told(made, (9, 3, hour)).rain_percent, percent);
        }
    }
}

#[test]
fn the_low_is_told_from_friday_evening_on() {
    let before = told((9, 11, 12), (9, 15, 16));
    assert!(before.rain_percent < 50.0 && before.wind_gust_km_h <= 45.0);
    for (day, rain_percent, gust_km_h) in [(15, 90.0, 75.0), (16, 95.0, 75.0), (17, 80.0, 40.0)] {
        let hour = told((9, 11, 17), (9, day, 16));
        assert_same(hour.rain_percent, rain_percent);
        assert_same(hour.wind_gust_km_h, gust_km_h);
    }
    let thursday = told((9, 11, 17), (9, 17, 16));
    assert_eq!(thursday.rain_kind, RainKind::Steady);
}

#[test]
fn the_heat_is_told_from_monday_on_and_gone_by_dawn() {
    let hot = told((11, 30, 17), (12, 1, 18));
    assert_eq!((hot.air_temperature_c, hot.relative_humidity_percent), (Some(39.0), Some(18.0)));
    let before = told((11, 29, 17), (12, 1, 18)).air_temperature_c;
    assert!(before.is_some_and(|air| air < 38.0), "{before:?}");
    assert_eq!(told((12, 1, 17), (12, 2, 6)).air_temperature_c, Some(21.0));
}

struct World {
    studio: Studio,
    sessions: Vec<Session>,
    zone: TimeZone,
}

fn world() -> World {
    World { studio: studio().unwrap(), sessions: sessions().unwrap(), zone: clock::zone().unwrap() }
}

impl World {
    fn session(&self, id: &str) -> &Session {
        self.sessions.iter().find(|session| session.id == id).unwrap()
    }

    fn gate(&self, id: &str, kind: GateKind) -> Timestamp {
        let gates = gates(&self.studio, &self.zone, self.session(id)).unwrap();
        gates.iter().find(|gate| gate.kind == kind).unwrap().at
    }
}

#[test]
fn studio_and_sessions_pass_the_studios_own_check() {
    let world = world();
    world.studio.check(&world.sessions).unwrap();
    assert!(world.studio.invented);
    assert_eq!(world.studio.spots.len(), 9);
    for session in &world.sessions {
        let from = session.moved_from.as_deref();
        assert!(from.is_none_or(|id| world.sessions.iter().any(|other| other.id == id)));
    }
}

/// The trade sheet's own moments: leave at 14:30 on 3 September; Saturday 10:00 is 74 hours before
/// the chair of 15 September; Monday 18:00 is 20 hours before that of 24 November.
#[test]
fn the_gates_fall_on_the_told_moments() {
    let world = world();
    let moment = |text: &str| -> Timestamp { text.parse().unwrap() };
    assert_eq!(
        world.gate("2026-09-03-linh", GateKind::LeaveBy),
        moment("2026-09-03T14:30:00+10:00")
    );
    let until_chair = |id, from| world.gate(id, GateKind::Chair).duration_since(moment(from));
    assert_eq!(until_chair("2026-09-15-soraya", "2026-09-12T10:00:00+10:00").as_hours(), 74);
    assert_eq!(until_chair("2026-11-24-priyanka", "2026-11-23T18:00:00+11:00").as_hours(), 20);
}

/// The studio's own freshness: a forecast counts for 12 hours since its run, the list of warnings
/// for 60 minutes.
#[test]
fn at_every_gate_of_every_session_forecast_and_warnings_are_fresh() {
    let world = world();
    let (forecasts, fetches) =
        super::forecasts::all(&world.studio, &world.zone, &world.sessions).unwrap();
    let (_, looks) = warnings::all(&world.studio, &world.zone, &world.sessions).unwrap();
    let made: HashMap<String, Timestamp> = forecasts
        .iter()
        .map(|file| {
            let json: serde_json::Value = serde_json::from_slice(&file.bytes).unwrap();
            let made = json["properties"]["meta"]["updated_at"].as_str().unwrap().parse().unwrap();
            (file.name.clone(), made)
        })
        .collect();
    for session in &world.sessions {
        let town = Town::of(session, &world.studio).unwrap();
        for gate in gates(&world.studio, &world.zone, session).unwrap() {
            let run = fetches
                .iter()
                .filter(|row| row.fetched_at <= gate.at && row.file.contains(town.slug()))
                .map(|row| made[&row.file])
                .max()
                .unwrap();
            let age = gate.at.duration_since(run);
            assert!(age.as_mins() <= 45, "{} {:?}: {age}", session.id, gate.kind);
            let look = looks.iter().map(|row| row.fetched_at).filter(|at| *at <= gate.at).max();
            assert!(gate.at.duration_since(look.unwrap()).as_mins() <= 60, "{}", session.id);
        }
        // Whatever hour of the week before somebody asks for.
        let start = session.booked(&world.zone).unwrap().from;
        for hours in 1..168 {
            let asked = clock::minutes_before(start, 60 * hours).unwrap();
            let run = fetches
                .iter()
                .filter(|row| row.fetched_at <= asked && row.file.contains(town.slug()))
                .map(|row| made[&row.file])
                .max();
            assert!(asked.duration_since(run.unwrap()).as_hours() < 12, "{} {hours}", session.id);
        }
    }
}

#[test]
fn on_monday_at_six_the_list_holds_the_storm_and_on_sunday_nothing() {
    let world = world();
    let (_, looks) = warnings::all(&world.studio, &world.zone, &world.sessions).unwrap();
    let listed = |gate: Timestamp| -> Vec<&str> {
        let latest = looks.iter().map(|row| row.fetched_at).filter(|at| *at <= gate).max();
        let rows = looks.iter().filter(|row| Some(row.fetched_at) == latest);
        rows.map(|row| row.file.as_str()).collect()
    };
    let monday = world.gate("2026-11-24-priyanka", GateKind::EveningReading);
    assert_eq!(listed(monday), ["warnings/SBW-2026-0047.xml"]);
    let leaving = world.gate("2026-11-24-priyanka", GateKind::LeaveBy);
    assert_eq!(listed(leaving), ["warnings/SBW-2026-0047.xml", "warnings/SBW-2026-0048.xml"]);
    let thursday = world.gate("2026-09-17-soraya", GateKind::Chair);
    assert_eq!(listed(thursday), ["warnings/SBW-2026-0032.xml"]);
    let sunday = world.gate("2026-11-29-priyanka", GateKind::EveningReading);
    assert_eq!(listed(sunday), ["warnings/none-2026-11-28.json"]);
}

#[test]
fn the_coast_runs_past_every_spot() {
    let shores = coast().unwrap();
    for spot in studio().unwrap().spots {
        let nearest_km = shores
            .iter()
            .flatten()
            .map(|corner| corner.distance_km(spot.position))
            .fold(f64::INFINITY, f64::min);
        assert!(nearest_km < 1.5, "{}: {nearest_km} km", spot.name);
    }
}

fn files_under(dir: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut files = BTreeMap::new();
    for entry in fs::read_dir(dir).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if path.is_dir() {
            let inner = files_under(&path);
            files.extend(inner.into_iter().map(|(file, bytes)| (format!("{name}/{file}"), bytes)));
        } else {
            files.insert(name, fs::read(&path).unwrap());
        }
    }
    files
}

#[test]
fn the_folder_holds_all_that_its_list_names_and_stays_small() {
    let dir = tempfile::tempdir().unwrap();
    let mut lines = 0;
    write(dir.path(), &mut |_| lines += 1).unwrap();
    assert!(lines > 0);
    let files = files_under(dir.path());
    let studio: Studio = serde_json::from_slice(&files["studio.json"]).unwrap();
    let sessions: Vec<Session> = serde_json::from_slice(&files["sessions.json"]).unwrap();
    studio.check(&sessions).unwrap();

    let mut rows = csv::Reader::from_reader(files["readings/received.csv"].as_slice());
    assert_eq!(rows.headers().unwrap(), vec!["file", "fetched_at", "source"]);
    let mut named = BTreeMap::new();
    for row in rows.records() {
        let row = row.unwrap();
        row[1].parse::<Timestamp>().unwrap();
        assert!(row[2].contains("invented"));
        *named.entry(format!("readings/{}", &row[0])).or_insert(0) += 1;
    }
    for (name, bytes) in files.iter().filter(|(name, _)| name.starts_with("readings/")) {
        let is_list = name == "readings/received.csv";
        assert!(
            is_list || name.contains("SBW") || named.contains_key(name),
            "{name} is not listed"
        );
        if Path::new(name).extension().is_some_and(|ending| ending == "json") {
            serde_json::from_slice::<serde_json::Value>(bytes).unwrap();
        }
    }
    assert!(named.keys().all(|name| files.contains_key(name)));
    let size_mb = files.values().map(Vec::len).sum::<usize>() as f64 / 1e6;
    assert!(size_mb < 40.0, "{size_mb} MB");
}

#[test]
fn a_folder_with_something_else_in_it_is_left_alone() {
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("wedding.jpg"), "hers").unwrap();
    let refused = write(dir.path(), &mut |_| {}).unwrap_err();
    assert!(refused.to_string().contains("something else"), "{refused}");
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1);
}

#[test]
fn a_list_of_readings_is_in_order_of_time() {
    let world = world();
    let (_, mut rows) = warnings::all(&world.studio, &world.zone, &world.sessions).unwrap();
    rows.reverse();
    let csv = String::from_utf8(received::csv_of(rows).unwrap()).unwrap();
    let times: Vec<&str> = csv.lines().skip(1).filter_map(|line| line.split(',').nth(1)).collect();
    assert!(times.is_sorted());
}

#[test]
fn every_look_is_dressed_and_does_in_the_rain_what_its_cloth_does() {
    let World { studio, sessions, .. } = world();
    let table = &studio.look_table;
    for look in sessions.iter().flat_map(|session| &session.looks) {
        assert!(look.colour.is_some() && look.hem.is_some() && look.hair.is_some(), "{look:?}");
        let shown = (table.shows_drops(look), table.marks_for_good(look));
        let sags = table.fabric(look).is_some_and(|row| row.collapses_wet);
        // What the season was invented with: whether drops show, whether they stay, what collapses.
        let expected = match look.name.as_str() {
            "sage satin" | "sari" | "tapa vest" => (true, true, false),
            "white linen" | "linen" | "guayabera" | "grey dress" | "cream dress" | "gown"
            | "dressed up, both" => (true, false, false),
            "white tulle" => (true, false, true),
            "rust knit" | "jumper" => (false, false, true),
            _ => (false, false, false),
        };
        assert_eq!((shown.0, shown.1, sags), expected, "{}", look.name);
    }
    for spot in &studio.spots {
        assert!(!spot.site.backdrops.is_empty(), "{}", spot.id);
    }
}
