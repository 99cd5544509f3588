//! How long the year of a spot takes.

use divan::{Bencher, black_box};
use fairspell_almanac::tide::{
    ConstituentConstants, HarmonicConstants, HarmonicTide, NodalCorrection, Tide,
};
use fairspell_ground::{LatLon, Skyline, SkylineSector};
use fairspell_plan::spot_year;
use fairspell_studio::{
    LookTable, Policy, Site, Spot, Studio,
    season::Season,
    site::TideLimits,
    spot::{Cover, WindExposure},
    studio::{Expected, Sources, Week},
};
use jiff::tz::TimeZone;

fn main() {
    divan::main();
}

/// A studio with a beach below a hill.
fn studio() -> Studio {
    let home = LatLon::new(-31.72, 152.79).expect("a place");
    let hill = SkylineSector { from_azimuth_deg: 240.0, to_azimuth_deg: 295.0, height_deg: 8.0 };
    let limits = TideLimits { usable_to_m: Some(1.3), ..TideLimits::default() };
    let beach = Spot {
        id: "beach".into(),
        name: "Beach".into(),
        position: home,
        cover: Cover::None,
        refuge: None,
        skyline: Skyline::new(vec![hill]),
        wind: WindExposure::default(),
        shore: true,
        site: Site { tide: Some(limits), ..Site::default() },
    };
    Studio {
        name: "Half Past Dune Portraits".into(),
        owner: "Ines".into(),
        place: "Saltern Bight".into(),
        home,
        time_zone: "Australia/Sydney".into(),
        invented: true,
        week: Week::default(),
        blackouts: Vec::new(),
        season: Season::default(),
        artist: None,
        school: None,
        tide: None,
        sources: Sources { warnings: Expected::NoneHere, radar: Expected::NoneHere },
        warning_areas: Vec::new(),
        spots: vec![beach],
        policy: Policy::default(),
        look_table: LookTable::default(),
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

/// 525 600 minutes with sun, skyline, light and tide, on two threads.
#[divan::bench(sample_count = 10)]
fn year_of_one_spot(bencher: Bencher<'_, '_>) {
    let (studio, tide) = (studio(), tide());
    let zone = TimeZone::get("Australia/Sydney").expect("a zone");
    let spot = &studio.spots[0];
    bencher.bench_local(|| spot_year(black_box(&studio), &zone, spot, 2026, Some(&tide)));
}
