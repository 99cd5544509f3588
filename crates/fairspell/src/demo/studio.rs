//! The invented studio: its week, its spots, its artist.

use fairspell_almanac::tide::{ConstituentConstants, HarmonicConstants, NodalCorrection};
use fairspell_ground::{LatLon, Skyline, SkylineSector};
use fairspell_studio::{
    LookTable, Policy, RoadPoint, Spot, Studio,
    permit::PermitTerms,
    season::{SchoolDeadline, Season},
    site::{Backdrop, Ground, OpenHours, Roof, Side, Site, TideLimits},
    spot::{Cover, Refuge, WindExposure},
    studio::{Artist, Blackout, Day, Expected, School, Sources, TideSource, Week},
};
use jiff::civil::{Date, date, time};

use super::{clock::TIME_ZONE, people::GANNET_FORD, town::Town};

/// The code by which the invented warnings name the coast.
pub(super) const WARNING_AREA: &str = "ZZC901";

/// The directions in which the sun goes down over the year, degrees.
const WESTERN_SKY_DEG: (f64, f64) = (240.0, 295.0);
/// The height of a skyline that is a roof: no sun comes in from there.
const ROOF_DEG: f64 = 90.0;

/// Half Past Dune Portraits of Saltern Bight.
pub(super) fn studio() -> anyhow::Result<Studio> {
    Ok(Studio {
        name: "Half Past Dune Portraits".to_owned(),
        owner: "Ines Corrigan-Vale".to_owned(),
        place: "Saltern Bight".to_owned(),
        home: Town::SalternBight.position()?,
        time_zone: TIME_ZONE.to_owned(),
        invented: true,
        week: Week {
            working: vec![Day::Tuesday, Day::Thursday],
            reserve: vec![Day::Wednesday, Day::Sunday],
            dawn: vec![Day::Sunday],
        },
        blackouts: vec![
            blackout("exams", (10, 12), (11, 6)),
            blackout("formal", (11, 16), (11, 22)),
        ],
        season: Season {
            exceptions: Vec::new(),
            deadlines: vec![
                school_deadline("yearbook", date(2026, 9, 18)),
                school_deadline("slideshow", date(2026, 12, 4)),
            ],
            rain_station: None,
        },
        artist: Some(Artist {
            name: "Dune & Plait".to_owned(),
            free_change_h: 72,
            full_fee_h: 12,
            fee: 150.0,
        }),
        // The last school day is the 25th of September.
        school: Some(School {
            ends: time(15, 0, 0, 0),
            terms: vec![(date(2026, 1, 1), date(2026, 9, 25))],
        }),
        tide: Some(TideSource::Constants(tide())),
        sources: Sources { warnings: Expected::Yes, radar: Expected::Yes },
        warning_areas: vec![format!("UGC:{WARNING_AREA}")],
        spots: spots()?,
        policy: Policy::default(),
        look_table: LookTable::default(),
    })
}

/// The invented tide: wide sand at sunset in the weeks of neap tides only.
fn tide() -> HarmonicConstants {
    let wave = |name: &str, amplitude_m: f64, phase_lag_deg: f64| ConstituentConstants {
        name: name.to_owned(),
        amplitude_m,
        phase_lag_deg,
    };
    HarmonicConstants {
        name: "Saltern Bight (invented)".to_owned(),
        datum: "lowest tide".to_owned(),
        mean_level_m: 1.0,
        phase_zone: "utc".to_owned(),
        nodal: NodalCorrection::None,
        constituents: vec![
            wave("M2", 0.48, 300.0),
            wave("S2", 0.12, 322.0),
            wave("N2", 0.10, 285.0),
            wave("K1", 0.15, 115.0),
            wave("O1", 0.09, 85.0),
        ],
    }
}

fn school_deadline(name: &str, date: Date) -> SchoolDeadline {
    SchoolDeadline {
        school: "Saltern High".to_owned(),
        name: name.to_owned(),
        date,
        told_by: Some("school newsletter, February".to_owned()),
    }
}

fn blackout(name: &str, from: (i8, i8), to: (i8, i8)) -> Blackout {
    let day = |(month, day)| date(2026, month, day);
    Blackout { name: name.to_owned(), from: day(from), to: day(to) }
}

fn spots() -> anyhow::Result<Vec<Spot>> {
    let sheltered = WindExposure::default();
    let exposed = |gust_factor, gust_limit_km_h| WindExposure {
        gust_factor,
        gust_limit_km_h: Some(gust_limit_km_h),
    };
    let all = [
        // id, name, position, cover, refuge with its walk, skyline in the west, wind, shore, site
        row("heron_walk", "Heron Walk", (-31.7252, 152.7741), Cover::None)
            .refuge("car", 6)
            .skyline(2.5)
            .shore()
            .site(Site {
                opens_to: vec![Side::West, Side::North],
                dark_towards: vec![Side::West],
                ground: Some(Ground::Boards),
                tide: Some(TideLimits { usable_to_m: Some(1.55), ..TideLimits::default() }),
                walk_min: 6,
                ..Site::default()
            }),
        row("tin_boathouse", "Tin Boathouse", (-31.7218, 152.7832), Cover::Roof)
            .refuge("car", 2)
            .skyline(ROOF_DEG)
            .shore()
            .site(Site {
                opens_to: vec![Side::South],
                ground: Some(Ground::Boards),
                roof: Some(Roof { opens_to: Side::South, edge_height_m: 3.0, depth_m: 6.0 }),
                tide: Some(TideLimits { wide_to_m: Some(1.4), ..TideLimits::default() }),
                walk_min: 2,
                ..Site::default()
            }),
        row("cannery_arcade", "Cannery Arcade", (-31.7196, 152.7858), Cover::Roof)
            .refuge("shop hall", 1)
            .skyline(ROOF_DEG)
            .site(Site {
                opens_to: vec![Side::North],
                ground: Some(Ground::Asphalt),
                roof: Some(Roof { opens_to: Side::North, edge_height_m: 3.5, depth_m: 4.0 }),
                lamps: true,
                walk_min: 1,
                ..Site::default()
            }),
        row("paperbark_ring", "Paperbark Ring", (-31.7331, 152.7702), Cover::Partial)
            .refuge("car", 8)
            .skyline(15.0)
            .site(Site {
                dark_towards: Side::ALL.to_vec(),
                ground: Some(Ground::Earth),
                leaves_let_through: Some(0.3),
                walk_min: 8,
                ..Site::default()
            }),
        row("lantern_steps", "Lantern Steps", (-31.7177, 152.7849), Cover::Partial)
            .refuge("church hall", 3)
            .skyline(8.0)
            .site(Site {
                opens_to: vec![Side::West],
                ground: Some(Ground::Stone),
                lamps: true,
                walk_min: 3,
                ..Site::default()
            }),
        row("long_dune", "Long Dune", (-31.7084, 152.7951), Cover::None)
            .refuge("car", 7)
            .skyline(10.0)
            .wind(exposed(1.3, 30.0))
            .shore()
            .site(Site {
                opens_to: vec![Side::East, Side::North, Side::South],
                ground: Some(Ground::Sand),
                tide: Some(TideLimits {
                    usable_to_m: Some(1.4),
                    wide_to_m: Some(0.9),
                    ..TideLimits::default()
                }),
                walk_min: 7,
                ..Site::default()
            }),
        row("beacon_field", "Beacon Field", (-31.7289, 152.8019), Cover::None)
            .refuge("car", 9)
            .skyline(1.5)
            .wind(exposed(1.45, 35.0))
            .site(Site { ground: Some(Ground::Grass), walk_min: 9, ..Site::default() }),
        row("ferrow_veranda", "Ferrow House veranda", (-31.7142, 152.7796), Cover::Roof)
            .refuge("Ferrow House", 0)
            .skyline(ROOF_DEG)
            .site(Site {
                opens_to: vec![Side::NorthEast],
                ground: Some(Ground::Boards),
                roof: Some(Roof { opens_to: Side::NorthEast, edge_height_m: 2.8, depth_m: 3.0 }),
                hours: vec![OpenHours {
                    days: vec![
                        Day::Monday,
                        Day::Tuesday,
                        Day::Wednesday,
                        Day::Thursday,
                        Day::Friday,
                        Day::Sunday,
                    ],
                    from: time(8, 0, 0, 0),
                    to: time(19, 30, 0, 0),
                }],
                permit: Some(PermitTerms { ask_days: 0, fee: 0.0, moves_free: true }),
                ..Site::default()
            }),
        row("pell_quay", "Pell Quay", (-33.05, 152.02), Cover::Roof)
            .refuge("terminal", 2)
            .skyline(1.0)
            .wind(sheltered)
            .shore()
            .site(Site {
                opens_to: vec![Side::West],
                ground: Some(Ground::Stone),
                tide: Some(TideLimits { usable_to_m: Some(1.8), ..TideLimits::default() }),
                walk_min: 2,
                road: vec![gannet_ford()?],
                ..Site::default()
            }),
    ];
    all.into_iter().map(Row::spot).collect()
}

/// The low causeway on the way to Pell Narrows.
fn gannet_ford() -> anyhow::Result<RoadPoint> {
    let position = LatLon::new(GANNET_FORD.0, GANNET_FORD.1)?;
    Ok(RoadPoint {
        tide_limit_m: Some(1.65),
        with_swell: true,
        closes_after_rain_mm_24h: Some(60.0),
        ..RoadPoint::at("Gannet Ford", position)
    })
}

/// What stands behind a face at each spot, by month.
fn backdrops(spot: &str) -> Vec<Backdrop> {
    let rows: &[(&str, &[i8])] = match spot {
        "heron_walk" => &[
            ("green reeds", &[10, 11, 12, 1, 2, 3, 4]),
            ("dry grass", &[5, 6, 7, 8, 9]),
            ("water", &[]),
        ],
        "tin_boathouse" => &[("grey boards", &[]), ("water", &[])],
        "cannery_arcade" => &[("brick", &[])],
        "paperbark_ring" => &[("green wood", &[])],
        "lantern_steps" => &[("warm stone", &[]), ("blossom", &[9, 10])],
        "long_dune" => &[("sand", &[]), ("sea", &[])],
        "beacon_field" => &[
            ("green grass", &[4, 5, 6, 7, 8, 9, 10, 11]),
            ("dry grass", &[12, 1, 2, 3]),
            ("grey sky", &[6, 7, 8]),
        ],
        "ferrow_veranda" => &[("white wall", &[])],
        "pell_quay" => &[("water", &[]), ("grey sky", &[6, 7, 8])],
        _ => &[],
    };
    rows.iter()
        .map(|(name, months)| Backdrop { name: (*name).to_owned(), months: months.to_vec() })
        .collect()
}

/// One line of the table of spots.
struct Row {
    id: &'static str,
    name: &'static str,
    position: (f64, f64),
    cover: Cover,
    refuge: Option<Refuge>,
    skyline_west_deg: f64,
    wind: WindExposure,
    shore: bool,
    site: Site,
}

fn row(id: &'static str, name: &'static str, position: (f64, f64), cover: Cover) -> Row {
    Row {
        id,
        name,
        position,
        cover,
        refuge: None,
        skyline_west_deg: 0.0,
        wind: WindExposure::default(),
        shore: false,
        site: Site::default(),
    }
}

impl Row {
    fn refuge(self, name: &str, minutes: u32) -> Self {
        Row { refuge: Some(Refuge { name: name.to_owned(), minutes }), ..self }
    }

    fn skyline(self, skyline_west_deg: f64) -> Self {
        Row { skyline_west_deg, ..self }
    }

    fn wind(self, wind: WindExposure) -> Self {
        Row { wind, ..self }
    }

    fn shore(self) -> Self {
        Row { shore: true, ..self }
    }

    fn site(self, site: Site) -> Self {
        Row { site, ..self }
    }

    fn spot(self) -> anyhow::Result<Spot> {
        let sector = SkylineSector {
            from_azimuth_deg: WESTERN_SKY_DEG.0,
            to_azimuth_deg: WESTERN_SKY_DEG.1,
            height_deg: self.skyline_west_deg,
        };
        Ok(Spot {
            id: self.id.to_owned(),
            name: self.name.to_owned(),
            position: LatLon::new(self.position.0, self.position.1)?,
            cover: self.cover,
            refuge: self.refuge,
            skyline: Skyline::new(vec![sector]),
            wind: self.wind,
            shore: self.shore,
            site: Site { backdrops: backdrops(self.id), ..self.site },
        })
    }
}
