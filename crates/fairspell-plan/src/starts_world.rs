//! Small evenings on which the search is held against trying everything.

use fairspell_ground::{LatLon, Skyline, SkylineSector};
use fairspell_studio::{
    LightWish, LookTable, Policy, Side, Site, Spot, Studio,
    season::Season,
    site::TideLimits,
    spot::{Cover, WindExposure},
    studio::{Day, Expected, Sources, Week},
};
use jiff::{Timestamp, civil::date, tz::TimeZone};

use crate::{
    starts::{StartQuestion, WantedLook},
    starts_day::{Table, halves},
};

fn spot(id: &str, east_km: f64, hill_deg: f64, site: Site) -> Spot {
    let home = LatLon::new(-31.72, 152.79).expect("on the globe");
    let hill =
        SkylineSector { from_azimuth_deg: 240.0, to_azimuth_deg: 300.0, height_deg: hill_deg };
    Spot {
        id: id.to_owned(),
        name: id.to_owned(),
        position: home.at_offset_km(east_km, 0.0).expect("near home"),
        cover: Cover::None,
        refuge: None,
        skyline: Skyline::new(vec![hill]),
        wind: WindExposure::default(),
        shore: false,
        site,
    }
}

/// Evenings with two spots, a hill, a tide, and looks that want different light.
pub(crate) fn each_case(check: impl Fn(&Table<'_>, &StartQuestion<'_>)) {
    let boards = Site {
        opens_to: vec![Side::West],
        dark_towards: vec![Side::West],
        tide: Some(TideLimits { usable_to_m: Some(1.2), ..TideLimits::default() }),
        ..Site::default()
    };
    let spots = [spot("boards", 0.0, 2.0, boards), spot("steps", 0.5, 12.0, Site::default())];
    let week =
        Week { working: vec![Day::Thursday], reserve: Vec::new(), dawn: vec![Day::Thursday] };
    let studio = Studio {
        name: String::new(),
        owner: String::new(),
        place: String::new(),
        home: spots[0].position,
        time_zone: "Australia/Sydney".to_owned(),
        invented: true,
        week,
        blackouts: Vec::new(),
        season: Season::default(),
        artist: None,
        school: None,
        tide: None,
        sources: Sources { warnings: Expected::NoneHere, radar: Expected::NoneHere },
        warning_areas: Vec::new(),
        spots: spots.to_vec(),
        policy: Policy::default(),
        look_table: LookTable::default(),
    };
    let zone = TimeZone::get("Australia/Sydney").expect("a zone of the database");
    let day = date(2026, 9, 3);
    let rising = |at: Timestamp| Some(0.9 + at.as_second().rem_euclid(86_400) as f64 / 86_400.0);
    let falling = |at: Timestamp| Some(1.4 - at.as_second().rem_euclid(86_400) as f64 / 86_400.0);
    let unknown = |_: Timestamp| None;
    let tides: [&(dyn Fn(Timestamp) -> Option<f64> + Sync); 3] = [&rising, &falling, &unknown];
    let wishes = [
        [LightWish::OpenShade, LightWish::Backlight, LightWish::Afterglow],
        [LightWish::Blue, LightWish::LowSun, LightWish::Any],
    ];
    for wants in wishes {
        for in_order in [false, true] {
            let look = |index: usize| WantedLook {
                name: index.to_string(),
                wants: wants[index],
                minutes: [20, 25, 15][index],
                spot: [Some("boards"), None, Some("steps")][index].map(str::to_owned),
            };
            let question = StartQuestion {
                spots: spots.iter().collect(),
                looks: (0..3).map(look).collect(),
                in_order,
                dates: (day, day),
                taken: Vec::new(),
                with_reserve: false,
                drive_min: 10,
                change_min: 8,
                any_dawn: false,
                count: 1,
            };
            for tide_m in tides {
                let has_dawn = studio.week.dawn.contains(&day.weekday().into());
                for half in halves(&studio, &zone, day, studio.home, 20, has_dawn) {
                    let table = Table::new(&studio, &zone, &question, &half, studio.home, tide_m);
                    check(&table, &question);
                }
            }
        }
    }
}
