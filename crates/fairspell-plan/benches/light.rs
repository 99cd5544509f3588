//! How long the year of a spot and a month's search for starts take.

use divan::{Bencher, black_box};
use fairspell_almanac::tide::{
    ConstituentConstants, HarmonicConstants, HarmonicTide, NodalCorrection, Tide,
};
use fairspell_ground::{LatLon, Skyline, SkylineSector};
use fairspell_plan::{StartQuestion, WantedLook, spot_year, starts::starts};
use fairspell_studio::{
    LightWish, Policy, Side, Site, Spot, Studio,
    site::{Roof, TideLimits},
    spot::{Cover, WindExposure},
    studio::{Day, Expected, Sources, Week},
};
use jiff::{civil::date, tz::TimeZone};

fn main() {
    divan::main();
}

/// Ten spots: hills of all heights, three roofs, three woods, four with a limit of water.
fn studio() -> Studio {
    let home = LatLon::new(-31.72, 152.79).expect("a place");
    let spot = |index: u8| {
        let hill = SkylineSector {
            from_azimuth_deg: 240.0,
            to_azimuth_deg: 295.0,
            height_deg: f64::from(index),
        };
        let roof = Roof { opens_to: Side::NorthWest, edge_height_m: 2.6, depth_m: 3.0 };
        let tide = TideLimits { usable_to_m: Some(1.3), ..TideLimits::default() };
        Spot {
            id: format!("spot-{index}"),
            name: format!("Spot {index}"),
            position: home.at_offset_km(f64::from(index) / 10.0, 0.0).expect("a place"),
            cover: Cover::None,
            refuge: None,
            skyline: Skyline::new(vec![hill]),
            wind: WindExposure::default(),
            shore: false,
            site: Site {
                roof: (index % 4 == 1).then_some(roof),
                leaves_let_through: (index % 4 == 2).then_some(0.35),
                tide: (index % 3 == 0).then_some(tide),
                ..Site::default()
            },
        }
    };
    Studio {
        name: "Half Past Dune Portraits".into(),
        owner: "Ines".into(),
        place: "Saltern Bight".into(),
        home,
        time_zone: "Australia/Sydney".into(),
        invented: true,
        week: Week {
            working: vec![Day::Tuesday, Day::Thursday],
            reserve: vec![Day::Monday, Day::Wednesday, Day::Friday, Day::Saturday, Day::Sunday],
            dawn: Vec::new(),
        },
        blackouts: Vec::new(),
        artist: None,
        school: None,
        tide: None,
        sources: Sources { warnings: Expected::NoneHere, radar: Expected::NoneHere },
        warning_areas: Vec::new(),
        spots: (0..10).map(spot).collect(),
        policy: Policy::default(),
    }
}

fn tide() -> Tide {
    let wave = |name: &str, amplitude_m, phase_lag_deg| ConstituentConstants {
        name: name.into(),
        amplitude_m,
        phase_lag_deg,
    };
    let constants = HarmonicConstants {
        name: "Saltern Bight (invented)".into(),
        datum: "lowest tide".into(),
        mean_level_m: 1.0,
        phase_zone: "utc".into(),
        nodal: NodalCorrection::Standard,
        constituents: vec![
            wave("M2", 0.48, 300.0),
            wave("S2", 0.12, 322.0),
            wave("K1", 0.15, 115.0),
        ],
    };
    Tide::Harmonic(HarmonicTide::new(&constants).expect("sound constants"))
}

/// 525 600 minutes with sun, skyline, light and tide, on two cores.
#[divan::bench(sample_count = 10)]
fn year_of_one_spot(bencher: Bencher<'_, '_>) {
    let (studio, tide) = (studio(), tide());
    let zone = TimeZone::get("Australia/Sydney").expect("a zone");
    let spot = &studio.spots[9];
    bencher.bench_local(|| spot_year(black_box(&studio), &zone, spot, 2026, Some(&tide)));
}

/// Thirty evenings, three looks, ten spots.
#[divan::bench(sample_count = 10)]
fn month_of_starts(bencher: Bencher<'_, '_>) {
    let (studio, tide) = (studio(), tide());
    let zone = TimeZone::get("Australia/Sydney").expect("a zone");
    let look =
        |wants, minutes| WantedLook { name: format!("{wants:?}"), wants, minutes, spot: None };
    let question = StartQuestion {
        spots: studio.spots.iter().collect(),
        looks: vec![
            look(LightWish::Backlight, 25),
            look(LightWish::OpenShade, 25),
            look(LightWish::Afterglow, 15),
        ],
        in_order: false,
        dates: (date(2026, 9, 1), date(2026, 9, 30)),
        taken: Vec::new(),
        with_reserve: true,
        drive_min: 20,
        change_min: 8,
        count: 5,
    };
    bencher.bench_local(|| starts(black_box(&studio), &zone, &question, &|at| tide.height_m(at)));
}
