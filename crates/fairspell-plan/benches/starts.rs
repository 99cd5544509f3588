//! How long the search for starts takes: a month of working and reserve evenings, three looks, ten
//! spots with hills, tides and hours; and what grows when spots, looks or dates do.

use divan::{Bencher, black_box};
use fairspell_almanac::tide::{
    ConstituentConstants, HarmonicConstants, HarmonicTide, NodalCorrection, Tide,
};
use fairspell_ground::{LatLon, Skyline, SkylineSector};
use fairspell_plan::{StartQuestion, WantedLook, starts};
use fairspell_studio::{
    LightWish, LookTable, Policy, Side, Site, Spot, Studio,
    season::Season,
    site::TideLimits,
    spot::{Cover, WindExposure},
    studio::{Day, Expected, Sources, Week},
};
use jiff::{
    civil::{Date, date},
    tz::TimeZone,
};

const SEPTEMBER: (Date, Date) = (date(2026, 9, 1), date(2026, 9, 30));
const SEASON: (Date, Date) = (date(2026, 8, 15), date(2026, 12, 15));
const WISHES: [LightWish; 5] = [
    LightWish::Backlight,
    LightWish::OpenShade,
    LightWish::Afterglow,
    LightWish::LowSun,
    LightWish::Blue,
];

fn main() {
    divan::main();
}

/// Spots around a harbour, up to three kilometres apart; every other one on the shore.
fn spot(index: u8) -> Spot {
    let home = LatLon::new(-31.72, 152.79).expect("on the globe");
    let number = f64::from(index);
    let (east_km, north_km) = (1.5 * (2.0 * number).sin(), 1.5 * (3.0 * number).cos());
    let hill =
        SkylineSector { from_azimuth_deg: 240.0, to_azimuth_deg: 300.0, height_deg: 1.0 + number };
    let shore = TideLimits { usable_to_m: Some(1.2 + 0.05 * number), ..TideLimits::default() };
    Spot {
        id: format!("spot-{index}"),
        name: format!("Spot {index}"),
        position: home.at_offset_km(east_km, north_km).expect("near home"),
        cover: Cover::None,
        refuge: None,
        skyline: Skyline::new(vec![hill]),
        wind: WindExposure::default(),
        shore: index.is_multiple_of(2),
        site: Site {
            opens_to: vec![Side::ALL[usize::from(index) % 8], Side::West],
            dark_towards: vec![Side::West],
            tide: index.is_multiple_of(2).then_some(shore),
            walk_min: u32::from(index),
            ..Site::default()
        },
    }
}

fn studio(spots: u8) -> Studio {
    Studio {
        name: String::new(),
        owner: String::new(),
        place: String::new(),
        home: LatLon::new(-31.72, 152.79).expect("on the globe"),
        time_zone: "Australia/Sydney".to_owned(),
        invented: true,
        week: Week {
            working: vec![Day::Tuesday, Day::Thursday],
            reserve: vec![Day::Wednesday, Day::Sunday],
            dawn: vec![Day::Sunday],
        },
        blackouts: Vec::new(),
        season: Season::default(),
        artist: None,
        school: None,
        tide: None,
        sources: Sources { warnings: Expected::NoneHere, radar: Expected::NoneHere },
        warning_areas: Vec::new(),
        spots: (0..spots).map(spot).collect(),
        policy: Policy::default(),
        look_table: LookTable::default(),
    }
}

/// The invented harbour's tide.
fn tide() -> Tide {
    let wave = |(name, amplitude_m, phase_lag_deg): (&str, f64, f64)| ConstituentConstants {
        name: name.to_owned(),
        amplitude_m,
        phase_lag_deg,
    };
    let waves = [
        ("M2", 0.48, 300.0),
        ("S2", 0.12, 322.0),
        ("N2", 0.10, 285.0),
        ("K1", 0.15, 115.0),
        ("O1", 0.09, 85.0),
    ];
    let constants = HarmonicConstants {
        name: "Invented harbour".to_owned(),
        datum: "lowest tide".to_owned(),
        mean_level_m: 1.0,
        phase_zone: "utc".to_owned(),
        nodal: NodalCorrection::None,
        constituents: waves.map(wave).to_vec(),
    };
    Tide::Harmonic(HarmonicTide::new(&constants).expect("constants that can be"))
}

fn search(bencher: Bencher<'_, '_>, spots: u8, looks: u8, dates: (Date, Date)) {
    let zone = TimeZone::get("Australia/Sydney").expect("a zone of the database");
    let (studio, tide) = (studio(spots), tide());
    let look = |index: u8| WantedLook {
        name: format!("look {index}"),
        wants: WISHES[usize::from(index)],
        minutes: 20,
        spot: None,
    };
    let question = StartQuestion {
        spots: studio.spots.iter().collect(),
        looks: (0..looks).map(look).collect(),
        in_order: false,
        dates,
        taken: Vec::new(),
        with_reserve: true,
        drive_min: 20,
        change_min: 8,
        any_dawn: false,
        count: 5,
    };
    bencher.bench(|| {
        let found = starts(&studio, &zone, black_box(&question), &|at| tide.height_m(at));
        found.expect("a month with such evenings").len()
    });
}

/// The question of a booking: a month, three looks.
#[divan::bench(args = [2, 5, 10], sample_count = 10)]
fn month_three_looks_by_spots(bencher: Bencher<'_, '_>, spots: u8) {
    search(bencher, spots, 3, SEPTEMBER);
}

/// More looks in the same month at ten spots.
#[divan::bench(args = [1, 5], sample_count = 5)]
fn month_ten_spots_by_looks(bencher: Bencher<'_, '_>, looks: u8) {
    search(bencher, 10, looks, SEPTEMBER);
}

/// A whole season at ten spots.
#[divan::bench(sample_count = 5)]
fn season_three_looks_ten_spots(bencher: Bencher<'_, '_>) {
    search(bencher, 10, 3, SEASON);
}
